//! Tracer and moisture tests through the command line: examples, and what a tired person gets wrong.

use crate::run::{Folder, airwright, json};
use serde_json::Value;
use std::fmt::Write;

fn job(visit: &str) -> Folder {
    let folder = Folder::new();
    folder.write("job.toml", "format = 1\nname = 'field tests'\nunits = 'SI'\n");
    folder.write("visits/2026-11-12/visit.toml", format!("format = 1\ndate = '2026-11-12'\n{visit}"));
    folder
}

/// The figure of this id, SI.
fn figure(value: &Value, id: &str) -> f64 {
    let figures = value["data"]["field"][0]["figures"].as_array().unwrap();
    figures.iter().find(|f| f["id"] == id).unwrap()["number"]["value"].as_f64().unwrap()
}

/// The same in Spanish.
fn spanish(visit: &str) -> Folder {
    let folder = job(visit);
    folder.write("job.toml", "format = 1\nname = 'ensayos'\nunits = 'SI'\nlanguage = 'es'\n");
    folder
}

const METER: &str = "[instrument.co2]\nmeasures = 'gas'\naccuracy = '3 % + 50 ppm'\nresolution = '1 ppm'\n";
const DECAY: &str = "[test.office]\nkind = 'decay'\nvolume = '150 m3'\nvolume_accuracy = '5 %'\n\
    points = { columns = ['time h', 'gas ppm'], rows = [[0, 1840], [0.25, 1598], [0.5, 1391], \
    [0.75, 1226], [1, 1081], [1.25, 968], [1.5, 866], [1.75, 783], [2, 712]] }\n";

#[test]
fn a_decay_from_typed_points() {
    let folder =
        job(&format!("{METER}{DECAY}background = '420 ppm'\nbackground_with = 'co2'\ngas_with = 'co2'\n"));
    let told = airwright(&["results"], folder.path());
    println!("{}", told.out);
    assert_eq!(told.code, 0, "{}", told.err);
    let (_, value) = json(&["results"], folder.path());
    assert!((figure(&value, "figure-air-change") * 3600.0 - 0.78666).abs() < 1e-4);
    assert!((figure(&value, "figure-zone-outdoor-air") * 3600.0 - 118.0).abs() < 0.1);
    assert!(told.out.contains("air change") && told.out.contains("A background"), "{}", told.out);
    assert!(!told.out.contains("Caution"), "{}", told.out);
}

#[test]
fn a_background_that_nobody_measured_is_a_caution_and_spanish_says_it() {
    let folder = spanish(&format!("{DECAY}background = '420 ppm'\n"));
    let told = airwright(&["results"], folder.path());
    println!("{}", told.out);
    assert!(told.out.contains("Cuidado: Nada indica con qué exactitud"), "{}", told.out);
    // No background at all: this clean record bends enough to tell it.
    let told = airwright(&["results"], job(DECAY).path());
    println!("{}{}", told.out, told.err);
    assert!(told.out.contains("the record itself tells it"), "{}", told.out);
    // A short one does not.
    let short = "[test.a]\nkind = 'decay'\npoints = { columns = ['time min', 'gas ppm'], \
        rows = [[0, 900], [5, 880], [10, 862], [15, 840], [20, 825]] }\n";
    let told = airwright(&["results"], job(short).path());
    assert!(told.err.contains("A112"), "{}{}", told.out, told.err);
}

#[test]
fn mistakes_in_points_are_said_and_the_rest_computes() {
    let rows = "[test.a]\nkind = 'decay'\nbackground = '420 ppm'\n\
        points = { columns = ['time min', 'gas ppm'], rows = [[0, 1840], [15, 1598], [10, 1391], \
        [45, nan], [60, 1081], [75, 400], [90, 866], [105, 783], [120, 712]] }\n";
    let told = airwright(&["results"], job(rows).path());
    println!("{}{}", told.out, told.err);
    assert_eq!(told.code, 1, "{}", told.err);
    for code in ["A114", "T008", "A102"] {
        assert!(told.err.contains(code), "{code}: {}", told.err);
    }
    assert!(told.out.contains("air change"), "{}", told.out);
    for (wrong, code) in [
        ("points = { columns = ['time min', 'gas Pa'], rows = [[0, 1840]] }", "U005"),
        ("background = '420'\npoints = { columns = ['time min', 'gas ppm'], rows = [[0, 1840]] }", "U002"),
        ("background = '42 Pa'", "U005"),
        ("background = '42 %'", "U008"),
        ("", "A106"),
        ("series = 'none.csv'", "V206"),
        (
            "background = '400 ppm'\npoints = { columns = ['time min', 'gas ppm'], rows = [[0, 500], [9, 550], [20, 600]] }",
            "A103",
        ),
        (
            "background = '400 ppm'\npoints = { columns = ['time min', 'gas ppm'], rows = [[0, 500], [9, 450]] }",
            "A101",
        ),
        ("backgroud = '400 ppm'", "T002"),
        ("start = 'later'", "T013"),
    ] {
        let told = airwright(&["results"], job(&format!("[test.a]\nkind = 'decay'\n{wrong}\n")).path());
        assert!(told.err.contains(code), "{wrong}: {}", told.err);
    }
}

/// exp(-0.6/60): what a minute leaves at 0.6 air changes an hour.
const DECAY_A_MINUTE: f64 = 0.990_049_833_749_168;

/// A day in one-minute rows: people until noon, then nobody; a hall beside it at outdoors.
fn day(folder: &Folder, hall: impl Fn(f64, f64) -> f64) {
    let mut text = "time,bedroom ppm,hall ppm\n".to_owned();
    let mut c = 0.0_f64;
    for minute in 0..1200 {
        let level = if minute < 240 { 1100.0 } else { 0.0 };
        c = level + (c - level) * DECAY_A_MINUTE;
        let shown = (420.0 + c).round();
        writeln!(
            text,
            "2026-11-12 {:02}:{:02},{shown},{}",
            minute / 60,
            minute % 60,
            hall(c, f64::from(minute))
        )
        .unwrap();
    }
    folder.write("visits/2026-11-12/log.csv", text);
}

#[test]
fn a_long_record_is_searched() {
    let folder = job("[test.night]\nkind = 'decay'\nsearch = true\nseries = 'log.csv'\ncolumn = 'bedroom'\n\
        background = '420 ppm'\nbackground_limit = '10 ppm'\nvolume = '35 m3'\n\
        limit = '0.35 1/h'\nlimit_source = 'our own aim'\nlimit_confirmed = true\n");
    day(&folder, |_, _| 420.0);
    let told = airwright(&["results"], folder.path());
    println!("{}{}", told.out, told.err);
    assert_eq!(told.code, 0, "{}", told.err);
    assert!(told.out.contains("2026-11-12 03:59"), "{}", told.out);
    let (_, value) = json(&["results"], folder.path());
    assert!((figure(&value, "figure-air-change") * 3600.0 - 0.6).abs() < 0.02);
    assert_eq!(value["data"]["field"][0]["checks"][0]["verdict"], "pass");
    // Start and end by the clock give the same; a clock outside of the record is said.
    let part =
        "[test.night]\nkind = 'decay'\nseries = 'log.csv'\ncolumn = 'bedroom'\nbackground = '420 ppm'\n";
    let folder = job(&format!("{part}start = '04:05'\nend = '2026-11-12 06:30'\n"));
    day(&folder, |_, _| 420.0);
    let (_, value) = json(&["results"], folder.path());
    assert!((figure(&value, "figure-air-change") * 3600.0 - 0.6).abs() < 0.01);
    let folder = job(&format!("{part}start = '2027-01-01 00:00'\n"));
    day(&folder, |_, _| 420.0);
    assert!(airwright(&["results"], folder.path()).err.contains("A111"));
    let folder = job(&part.replace("column = 'bedroom'", "column = 'kitchen'"));
    day(&folder, |_, _| 420.0);
    assert!(airwright(&["results"], folder.path()).err.contains("V207"));
}

#[test]
fn a_hall_that_rises_makes_it_exchange_between_rooms() {
    let folder = job("[test.night]\nkind = 'decay'\nsearch = true\nseries = 'log.csv'\n\
        column = ['bedroom', 'hall']\nbackground = '420 ppm'\nbackground_limit = '10 ppm'\n\
        volumes = { bedroom = '35 m3', hall = '365 m3' }\n");
    // What leaves the bedroom stays in the hall.
    day(&folder, |c, minute| {
        (470.0 + if minute < 240.0 { 0.0 } else { (1000.0 - c) * 35.0 / 365.0 }).round()
    });
    let told = airwright(&["results"], folder.path());
    println!("{}{}", told.out, told.err);
    assert!(told.out.contains("another room rose"), "{}", told.out);
}

#[test]
fn people_at_a_steady_level_and_a_build_up() {
    let people = "[[test.a.person]]\nsex = 'male'\nage = '35 years'\nmass = '80 kg'\nactivity = 'asleep'\n\
        [[test.a.person]]\nsex = 'female'\nage = '35 years'\nmet = 0.95\n";
    let level = "[test.a]\nkind = 'steady state'\nlevel = '1000 ppm'\ngas_with = 'co2'\nbackground = '420 ppm'\n\
        background_with = 'co2'\nvolume = '35 m3'\nsteady_for = '6 h'\n";
    let folder = job(&format!("[conditions]\nindoor = '20 degC'\n{METER}{level}{people}"));
    let told = airwright(&["results"], folder.path());
    println!("{}{}", told.out, told.err);
    assert_eq!(told.code, 0, "{}", told.err);
    assert!(told.out.contains("Mass not given"), "{}", told.out);
    let without = job(&format!("{METER}{level}"));
    assert!(airwright(&["results"], without.path()).err.contains("A108"));
    let below = job(&format!("{METER}{}{people}", level.replace("1000 ppm", "410 ppm")));
    assert!(airwright(&["results"], below.path()).err.contains("A107"));

    let folder = job(&format!(
        "[conditions]\nindoor = '20 degC'\n{METER}[test.a]\nkind = 'build-up'\nseries = 'log.csv'\n\
        column = 'bedroom'\nend = '120 min'\nbackground = '420 ppm'\nvolume = '35 m3'\n{people}"
    ));
    day(&folder, |_, _| 420.0);
    let told = airwright(&["results"], folder.path());
    println!("{}{}", told.out, told.err);
    assert!(told.out.contains("That is no plateau"), "{}", told.out);
    let (_, value) = json(&["results"], folder.path());
    assert!((figure(&value, "figure-end-value") * 1e6 - 1520.0).abs() < 15.0);
}

#[test]
fn two_rooms() {
    let folder = job("[test.rooms]\nkind = 'two zones'\nseries = 'log.csv'\ncolumn = ['bedroom', 'hall']\n\
        background = '420 ppm'\nvolumes = { bedroom = '35 m3', hall = '90 m3' }\n");
    let mut text = "time min,bedroom ppm,hall ppm\n".to_owned();
    let (mut a, mut b) = (1500.0_f64, 100.0_f64);
    for i in 0..40 {
        writeln!(text, "{},{},{}", 5 * i, (420.0 + a).round(), (420.0 + b).round()).unwrap();
        for _ in 0..500 {
            let h = 5.0 / 60.0 / 500.0;
            let across = 25.0 * (b - a);
            (a, b) = (a + h * (across - 10.0 * a) / 35.0, b + h * (-across - 40.0 * b) / 90.0);
        }
    }
    folder.write("visits/2026-11-12/log.csv", &text);
    let told = airwright(&["results"], folder.path());
    println!("{}{}", told.out, told.err);
    assert_eq!(told.code, 0, "{}", told.err);
    let (_, value) = json(&["results"], folder.path());
    assert!((figure(&value, "figure-exchange-flow") * 3600.0 - 25.0).abs() < 0.5);
    let folder = job(
        "[test.rooms]\nkind = 'two zones'\nseries = 'log.csv'\ncolumn = 'bedroom'\nbackground = '420 ppm'\n",
    );
    folder.write("visits/2026-11-12/log.csv", &text);
    assert!(airwright(&["results"], folder.path()).err.contains("A117"));
    let folder = job(
        "[test.rooms]\nkind = 'two zones'\nseries = 'log.csv'\ncolumn = ['bedroom', 'hall']\nbackground = '420 ppm'\n",
    );
    folder.write("visits/2026-11-12/log.csv", &text);
    assert!(airwright(&["results"], folder.path()).err.contains("A109"));
}

#[test]
fn moisture_in_all_its_kinds() {
    let folder = job("[conditions]\nindoor = '21 degC'\noutdoor = '0 degC'\noutdoor_rh = '80 %'\n\
        [instrument.pins]\nmeasures = 'moisture content'\naccuracy = '1.5 %'\n\
        [test.corner]\nkind = 'surface'\nair = '21 degC'\nrh = '45 %'\nsurface = '12 degC'\n\
        [test.sheathing]\nkind = 'mould index'\nseries = 'wall.csv'\nsurface = 'sheathing'\nrh = 'rh'\nmaterial = 'sensitive'\n\
        [test.sill]\nkind = 'wood moisture'\nreadings = ['%', 21, 22, 23]\nspecies = 'spruce'\nspecies_correction = '-1 %'\nwith = 'pins'\nair = '20 degC'\nrh = '50 %'\n\
        [test.wall]\nkind = 'surface meter'\nmaterial = 'gypsum board'\n\
        dry.by_door = { reads = 14 }\ndry.high = { reads = 16 }\ndry.low = { reads = 15 }\nspot.below_window = { reads = 42 }\n\
        [test.scan]\nkind = 'infrared'\nhouse = '-20 Pa'\nsteady_for = '5 h'\ntells = '0.5 K'\n\
        spot.rim_joist = { before = '16 degC', during = '11 degC' }\nspot.corner = { before = '13 degC', during = '12.9 degC' }\n\
        spot.wall = { before = '19.5 degC', during = '19.5 degC' }\nspot.door = { before = '18 degC' }\n");
    let mut text = "time h,sheathing degC,rh %\n".to_owned();
    for hour in 0..45 * 24 {
        writeln!(text, "{hour},{},{}", 12.0, if hour % 24 < 12 { 92.0 } else { 75.0 }).unwrap();
    }
    folder.write("visits/2026-11-12/wall.csv", &text);
    let told = airwright(&["results"], folder.path());
    println!("{}{}", told.out, told.err);
    for words in [
        "moisture excess",
        "highest mould index, sensitive",
        "wetter than this air",
        "below window",
        "rim joist moved",
    ] {
        assert!(told.out.contains(words), "{words}: {}", told.out);
    }
    assert!(told.err.contains("M107"), "{}", told.err);
    assert!(!told.out.contains("failed"), "{}", told.out);
    folder.write("job.toml", "format = 1\nname = 'ensayos'\nlanguage = 'es'\n");
    let told = airwright(&["results"], folder.path());
    println!("{}", told.out);
    assert!(told.out.contains("exceso de humedad"), "{}", told.out);
    assert!(told.out.contains("rim joist se movi\u{f3}"), "{}", told.out);
}
