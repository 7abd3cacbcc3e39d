//! The mistakes of a tired person: all of them named in one run, with file, line, reason, remedy.

use crate::run::{Folder, airwright, json, program};

const JOB: &str = "format = 1
name = 'tired'
units = 'imperial'
[place]
altitude = '886'
limit_ach50 = '3 cfm'
[[complaint]]
words = 'stuffy'
zone = 'bedrom'
quantity = 'CO2 at nite'
limit = '1000 ppm'
";

const HOUSE: &str = "format = 1
[zone.main]
kind = 'living'
volume = '-300 m3'
floor_area = '120 m2'
floor = '0 m'
ceiling = '2,5 m'
[zone.bedroom]
kind = 'living'
volume = '40 m3'
floor_area = '16 m2'
floor = '0 m'
ceiling = '2.5 m'
[zone.attic]
kind = 'attic'
volume = '100 m3'
floor_area = '136 m2'
floor = '2.5 m'
ceiling = '4 m'
[leak.walls]
between = ['bedroom', 'outdoor']
at50 = '900 to 300 cfm'
exponent = '0.3 to 0.7'
colour = 'red'
[leak.top]
between = ['bedroom', 'attic']
at50 = '50 to 300 cfn'
";

const VISIT: &str = "format = 1
date = '2026-13-40'
[instrument.gauge]
measures = 'pressure'
accuracy = '1 %'
[test.t]
standard = 'ASTM E77'
direction = 'depressurise'
pressure_with = 'gage'
flow_with = 'fan'
stations = { columns = ['house Pa', 'fan'], rows = [[-50, 1000], [-40], [-30, 'x']] }
[[reading]]
feels = 'bedroom'
compared_with = 'outdoors'
value = '3 Pa'
set = { bedroom_dor = 'open', test_fan = 'sideways' }
";

#[test]
fn twenty_mistakes_give_twenty_messages_in_one_run() {
    let folder = Folder::new();
    folder.write("job.toml", JOB);
    folder.write("house.toml", HOUSE);
    folder.write("visits/2026-01-10/visit.toml", VISIT);
    let ran = airwright(&["work"], folder.path());
    assert_eq!(ran.code, 2, "{}\n{}", ran.out, ran.err);
    // What was written, and what is said of it.
    let expected = [
        ("imperial", "T005"),
        ("altitude = '886'", "U002"),
        ("limit_ach50", "U005"),
        ("'bedrom'", "did you mean `bedroom`"),
        ("CO2 at nite", "CO2 at night"),
        ("volume = '-300 m3'", "U008"),
        ("ceiling = '2,5 m'", "U003"),
        ("'outdoor'", "T011"),
        ("900 to 300 cfm", "U006"),
        ("exponent = '0.3 to 0.7'", "U008"),
        ("colour", "T002"),
        ("300 cfn", "did you mean `cfm`"),
        ("2026-13-40", "T013"),
        ("ASTM E77", "astm-e779"),
        ("'gage'", "did you mean `gauge`"),
        ("'fan'", "T007"),
        ("[-40]", "T006"),
        ("'x'", "T008"),
        ("bedroom_dor", "T011"),
        ("sideways", "V101"),
    ];
    for (written, said) in expected {
        assert!(ran.err.contains(written), "nothing about {written:?}:\n{}", ran.err);
        assert!(ran.err.contains(said), "{written:?}: nothing says {said:?}:\n{}", ran.err);
    }
    assert!(!ran.err.contains("H106"), "a leak that was written wrongly isolates nothing:\n{}", ran.err);
    for file in ["job.toml:3:", "house.toml:4:", "visits/2026-01-10/visit.toml:2:"] {
        assert!(ran.err.contains(file), "{file}:\n{}", ran.err);
    }
    let (_, value) = json(&["work"], folder.path());
    for d in value["diagnostics"].as_array().unwrap() {
        assert!(d["because"].is_string() && d["help"].is_string(), "{d}");
        assert!(d["file"].is_null() || d["line"].is_u64(), "{d}");
    }
}

#[test]
fn two_currencies_in_one_job_are_refused() {
    let folder = Folder::new();
    folder.write("job.toml", "format = 1\nname = 'x'\n[place]\nelectricity = '0.3 EUR/kWh'\n");
    folder.write("plans.toml", "format = 1\n[plan.a]\nprice = '900 to 1200 USD'\n");
    let ran = airwright(&["work"], folder.path());
    assert!(ran.err.contains("U009") && ran.err.contains("plans.toml:3:"), "{}", ran.err);
}

#[test]
fn broken_toml_is_reported_in_every_file_at_once() {
    let folder = Folder::new();
    folder.write("job.toml", "format = 1\nname = 'x\n[place\naltitude == 3\n");
    folder.write("house.toml", "format = 1\n[zone.a\nkind = \n");
    let ran = airwright(&["work"], folder.path());
    assert_eq!(ran.code, 2);
    assert!(ran.err.matches("T001").count() >= 4, "{}", ran.err);
    assert!(ran.err.contains("job.toml:") && ran.err.contains("house.toml:"), "{}", ran.err);
}

#[test]
fn what_is_no_job_is_said_plainly() {
    let folder = Folder::new();
    let empty = airwright(&["work"], folder.path());
    assert_eq!(empty.code, 2);
    assert!(empty.err.contains("job.toml"), "{}", empty.err);
    let nowhere = airwright(&["work"], &folder.path().join("nowhere"));
    assert_eq!(nowhere.code, 2);
    assert!(nowhere.err.contains("nowhere"), "{}", nowhere.err);
    folder.write("job.toml", b"format = 1\nname = '\xff'\n");
    let bytes = airwright(&["work"], folder.path());
    assert_eq!(bytes.code, 2);
    assert!(bytes.err.contains("UTF-8") && bytes.err.contains("line 2"), "{}", bytes.err);
}

/// One bad reading among good ones: the others still count, and the exit status says so.
#[test]
fn a_refused_reading_is_attention_and_not_failure() {
    let folder = Folder::new();
    let visit = include_str!("../../api/assets/starter/visit.toml");
    folder.write("job.toml", include_str!("../../api/assets/starter/job.toml"));
    folder.write("visits/2026-01-15/visit.toml", visit.replace("[-61.2, 1214],", "[-61.2, 'twelve'],"));
    let ran = airwright(&["work"], folder.path());
    assert_eq!(ran.code, 1, "{}\n{}", ran.out, ran.err);
    assert!(ran.err.contains("T008") && ran.out.contains("ACH50"), "{}\n{}", ran.out, ran.err);
}

/// The demonstration, with its visit changed by hand.
fn with_visit(change: impl Fn(&str) -> Option<String>) -> (Folder, crate::run::Ran) {
    let folder = Folder::new();
    let house = folder.path().join("h");
    assert_eq!(airwright(&["demo"], &house).code, 0);
    let visit = std::fs::read_dir(house.join("visits")).unwrap().next().unwrap().unwrap().path();
    let text = std::fs::read_to_string(visit.join("visit.toml")).unwrap();
    match change(&text) {
        Some(changed) => {
            assert_ne!(changed, text);
            std::fs::write(visit.join("visit.toml"), changed).unwrap();
        }
        None => std::fs::remove_dir_all(&visit).unwrap(),
    }
    let ran = airwright(&["fit"], &house);
    (folder, ran)
}

#[test]
fn a_fit_without_readings_says_so_and_nothing_else() {
    let (_folder, ran) = with_visit(|_| None);
    assert!(
        ran.err.contains("F104") && !ran.err.contains("F101") && !ran.err.contains("F102"),
        "{}",
        ran.err
    );
    assert!(!ran.err.contains("{$"), "{}", ran.err);
    let said = ran.out.replace(['\u{a0}', '\u{202f}'], " ");
    let from_readings = said.lines().filter(|l| l.contains("% from readings"));
    assert!(
        from_readings.clone().count() > 5 && from_readings.clone().all(|l| l.contains(", 0 % from")),
        "{}",
        ran.out
    );
}

#[test]
fn a_digit_that_slipped_is_undone_and_named_with_what_the_others_expect() {
    let (_folder, ran) = with_visit(|text| Some(text.replacen("\"41.1 Pa\"", "\"4.11 Pa\"", 1)));
    // A number and its unit are not parted at the end of a line.
    let said = ran.err.replace(['\u{a0}', '\u{202f}'], " ");
    assert!(said.contains("F116") && said.contains("the reading of 4.11 Pa is taken"), "{said:?}");
    assert!(said.contains("written ten times too small"), "{said:?}");
    let (_, rest) = said.split_once("the others expect ").unwrap();
    let expected_pa: f64 = rest.split(' ').next().unwrap().parse().unwrap();
    assert!((expected_pa - 41.1).abs() < 4.0, "{said}");
    assert_eq!(ran.code, 1);
}

#[test]
fn a_door_that_stood_otherwise_is_named() {
    // The bedroom's pressure against the house was read with its door shut; the note says open.
    let (_folder, ran) = with_visit(|text| {
        let (before, shut) = text.split_once("set = { bedroom_door = \"shut\" }\nfeels = \"main\"")?;
        Some(format!("{before}feels = \"main\"{shut}"))
    });
    assert!(ran.err.contains("F108") && ran.err.contains("north bedroom door"), "{}", ran.err);
}

#[test]
fn a_sheet_that_lacks_a_refused_rule_says_so() {
    let folder = Folder::new();
    let house = folder.path().join("h");
    assert_eq!(airwright(&["demo"], &house).code, 0);
    let rule = |name: &str, signal: &str| {
        format!(
            "[rule.{name}]\ndevice = \"bath_fan\"\non = \"100 %\"\non_when = '{signal} > q(\"2 g/kg\")'\n"
        )
    };
    let right = format!("format = 1\n{}", rule("right", "main.humidity_rise"));
    folder.write("h/rules/bath.toml", &right);
    assert_eq!(airwright(&["rules"], &house).code, 0);
    let said = "missing here";
    assert!(!folder.read("h/out/rules.html").contains(said));
    folder.write("h/rules/bath.toml", right + &rule("wrong", "main.humidty_rise"));
    let ran = airwright(&["rules"], &house);
    assert!(ran.err.contains("R102") && ran.out.contains(said), "{}\n{}", ran.out, ran.err);
    assert!(folder.read("h/out/rules.html").contains(said));
}

#[test]
fn a_range_without_room_for_what_was_read_is_named_with_the_readings() {
    let folder = Folder::new();
    for file in api::demo().unwrap() {
        let text = file.text.replace("at50 = \"25 to 200 cfm\"", "at50 = \"0.25 to 2 cfm\"");
        // Every other leak of the rooms a hundredth too: the test's flow has nowhere to come from.
        let text = if file.name == "house.toml" { shrunk(&text) } else { text };
        folder.write(&format!("h/{}", file.name), text);
    }
    let ran = airwright(&["fit"], &folder.path().join("h"));
    assert!(ran.err.contains("F105"), "{}", ran.err);
    assert!(ran.err.contains("has no room for what the readings say"), "{}", ran.err);
    // It stands at the readings that pull, where some do by themselves.
    assert!(ran.err.split("[F105]").skip(1).any(|said| said.starts_with(" visits/")), "{}", ran.err);
}

/// The house with each `at50` range a fiftieth of what it was.
fn shrunk(house: &str) -> String {
    let mut out = String::new();
    for line in house.lines() {
        let range = line
            .strip_prefix("at50 = \"")
            .and_then(|r| r.split_once(" cfm"))
            .and_then(|r| r.0.split_once(" to "));
        match range.and_then(|(lo, hi)| Some((lo.parse::<f64>().ok()?, hi.parse::<f64>().ok()?))) {
            Some((lo, hi)) => out += &format!("at50 = \"{} to {} cfm\"\n", lo / 50.0, hi / 50.0),
            None => out += &format!("{line}\n"),
        }
    }
    out
}

#[test]
fn a_fan_that_would_have_to_blow_the_other_way_is_named_at_its_readings() {
    // Another fan draws the tight house down further than the test fan is said to hold it.
    let visit = "format = 1\ndate = 2026-11-12\n[conditions]\nindoor = \"70 degF\"\noutdoor = \"45 degF\"\nwind = \"2 mph\"\n\
        [instrument.gauge]\nmeasures = \"pressure\"\naccuracy = \"1 % or 0.15 Pa\"\n\
        [instrument.door_fan]\nmeasures = \"air flow\"\naccuracy = \"3 %\"\nshows = \"flow at actual density\"\n\
        [[reading]]\nfeels = \"room\"\ncompared_with = \"outdoors\"\nvalue = \"-50 Pa\"\nwith = \"gauge\"\n\
        set = { test_fan = \"depressurise\", strong = \"on\" }\n\
        [[reading]]\nflow_of = \"test_fan\"\nvalue = \"200 cfm\"\nwith = \"door_fan\"\n";
    let house = "format = 1\n[zone.room]\nkind = \"living\"\nvolume = \"250 m3\"\nfloor_area = \"100 m2\"\nfloor = \"0 m\"\n\
        ceiling = \"2.5 m\"\n[leak.walls]\nbetween = [\"room\", \"outdoors\"]\nat50 = \"1 to 2 L/s\"\n\
        [fan.strong]\nfrom = \"room\"\nto = \"outdoors\"\nflow = \"400 to 500 L/s\"\n";
    let folder = Folder::new();
    folder.write("h/job.toml", "format = 1\nname = \"backwards\"\n");
    folder.write("h/house.toml", house);
    folder.write("h/visits/2026-11-12/visit.toml", visit);
    let ran = airwright(&["fit"], &folder.path().join("h"));
    assert!(ran.err.contains("F106") && ran.err.contains("blow the other way"), "{}\n{}", ran.err, ran.out);
    let at = ran.err.split("F106").nth(1).unwrap();
    assert!(at.contains("visit.toml:"), "{at}");
}

/// The starter's test with its visit and job changed by hand.
fn single(visit: impl Fn(String) -> String, job: impl Fn(String) -> String) -> (Folder, crate::run::Ran) {
    let folder = Folder::new();
    folder.write("job.toml", job(include_str!("../../api/assets/starter/job.toml").to_owned()));
    let text = include_str!("../../api/assets/starter/visit.toml").to_owned();
    folder.write("visits/2026-01-15/visit.toml", visit(text));
    let ran = airwright(&["results"], folder.path());
    (folder, ran)
}

fn with_rows(visit: &str, rows: &str) -> String {
    let (before, _) = visit.rsplit_once("rows = [").unwrap();
    format!("{before}rows = [{rows}]\n")
}

#[test]
fn letters_of_a_unit_may_be_of_either_case() {
    let (_folder, ran) = single(
        |v| v.replace("columns = [\"house Pa\", \"fan cfm\"]", "columns = [\"house PA\", \"fan CFM\"]"),
        |j| j,
    );
    assert!(ran.out.contains("ACH50") && !ran.err.contains("error["), "{}\n{}", ran.out, ran.err);
}

#[test]
fn a_header_of_a_wrong_unit_is_one_mistake_and_not_nine() {
    let (_folder, ran) =
        single(|v| v.replace("\"house Pa\", \"fan cfm\"]", "\"house inWC\", \"fan cfm\"]"), |j| j);
    assert_eq!(ran.code, 2, "{}", ran.err);
    assert!(ran.err.contains("E127") && ran.err.contains("none of the 8 stations"), "{}", ran.err);
    assert!(!ran.err.contains("E101") && !ran.err.contains("E102"), "{}", ran.err);
    let (_folder, ran) =
        single(|v| v.replace("\"house Pa\", \"fan cfm\"]", "\"house Pa\", \"fan cfn\"]"), |j| j);
    assert!(ran.err.contains("U004") && ran.err.contains("did you mean `cfm`"), "{}", ran.err);
    assert!(!ran.err.contains("E101"), "what follows from it is not said: {}", ran.err);
    let (_folder, ran) = single(|v| v.replace("\"house Pa\", \"fan cfm\"]", "\"house Pa\"]"), |j| j);
    assert!(ran.err.contains("T014") && !ran.err.contains("T006"), "{}", ran.err);
}

#[test]
fn a_reading_that_was_typed_twice_is_pointed_at() {
    let rows = "[-60, 1200], [-50, 1060], [-50, 1060], [-40, 920], [-30, 760], [-20, 590]";
    let (_folder, ran) = single(|v| with_rows(&v, rows), |j| j);
    assert!(
        ran.err.contains("E128") && ran.err.contains("station 3 has the very numbers of station 2"),
        "{}",
        ran.err
    );
}

#[test]
fn too_few_stations_are_counted_in_words() {
    let (_folder, ran) = single(|v| with_rows(&v, "[-50, 1000]"), |j| j);
    assert!(ran.err.contains("1 usable station where 3 are needed"), "{}", ran.err);
    let (_folder, ran) = single(|v| with_rows(&v, ""), |j| j);
    assert!(ran.err.contains("no usable station where 1 is needed"), "{}", ran.err);
}

#[test]
fn what_is_silently_missing_is_said() {
    let (_folder, ran) = single(|v| v, |j| j.replace("volume = \"12000 ft3\"", ""));
    assert!(ran.err.contains("E129") && ran.err.contains("job.toml:"), "{}", ran.err);
    let (_folder, ran) = single(|v| v.split("[test.envelope]").next().unwrap().to_owned(), |j| j);
    assert!(ran.code == 1 && ran.err.contains("J110"), "{}", ran.err);
    let (folder, ran) = single(|v| v, |j| j);
    assert!(!ran.err.contains("J10"), "{}", ran.err);
    folder.write("House.toml", "format = 1\n");
    folder.write("other/job.toml", "format = 1\nname = 'x'\n");
    let visit = folder.read("visits/2026-01-15/visit.toml");
    folder.write("visits/2026-01-16/visit.toml", &visit);
    folder.write("visits/2099-02-01/visit.toml", visit.replace("2026-01-15", "2099-02-01"));
    let ran = airwright(&["results"], folder.path());
    assert!(ran.err.contains("House.toml, other/job.toml"), "{}", ran.err);
    assert!(ran.err.contains("J107") && ran.err.contains("visits/2026-01-16/visit.toml:3:"), "{}", ran.err);
    assert!(ran.err.contains("J108"), "{}", ran.err);
}

#[test]
fn an_empty_document_is_called_a_file() {
    let folder = Folder::new();
    folder.write("job.toml", "");
    let ran = airwright(&["work"], folder.path());
    assert!(ran.err.contains("this file needs `format`") && ran.err.contains("`format = 1`"), "{}", ran.err);
    assert!(!ran.err.contains("none"), "{}", ran.err);
}

#[test]
fn syntax_is_told_without_words_of_the_parser() {
    let (_folder, ran) = single(|v| v.replace("wind = \"4 mph\"", "wind = \"4 mph\"\nwind = 4 mph"), |j| j);
    assert!(ran.err.contains("stands here a second time"), "{}", ran.err);
    let (_folder, ran) = single(|v| v.replace("[-61.2, 1214]", "[-61.2; 1214]"), |j| j);
    assert!(ran.err.contains("cells of a row stand between commas"), "{}", ran.err);
    let (_folder, ran) = single(|v| v.rsplit_once("-41.3").unwrap().0.to_owned(), |j| j);
    assert!(ran.err.contains("a bracket that was opened is not closed"), "{}", ran.err);
    for word in ["expected", "literal string", "basic string"] {
        assert!(!ran.err.contains(word), "{word}: {}", ran.err);
    }
}

#[test]
fn a_wrong_folder_is_told_with_the_right_one() {
    let folder = Folder::new();
    folder.write("jobs/mill/job.toml", "format = 1\nname = 'x'\n");
    folder.write("jobs/mill/visits/2026-01-15/notes.txt", "");
    let said = |path: &str| airwright(&["work"], &folder.path().join(path)).err;
    for (path, near) in [
        ("jobs", "mill"),
        ("jobs/mil", "mill"),
        ("jobs/mill/visits/2026-01-15", "mill"),
        ("jobs/mill/job.toml", "mill"),
    ] {
        let err = said(path);
        assert!(
            err.contains("help: ") && err.split("help: ").nth(1).unwrap().contains(near),
            "{path}: {err}"
        );
    }
    folder.write("other/Job.toml", "");
    assert!(said("other").contains("give `Job.toml` the name `job.toml`"), "{}", said("other"));
    for (command, after) in
        [("pack", "y.zip"), ("import", "x.csv"), ("results", "--json"), ("watch", "--json")]
    {
        let nowhere = folder.path().join("nowhere");
        let ran: crate::run::Ran = program().arg(command).arg(nowhere).arg(after).output().unwrap().into();
        assert!(ran.code == 2 && ran.err.contains("there is no folder `"), "{command}: {}", ran.err);
    }
}

#[test]
fn options_of_other_commands_ask_in_words_too() {
    let said = |args: &[&str]| String::from_utf8(program().args(args).output().unwrap().stderr).unwrap();
    for args in [
        &["serve", "--port", "abc"][..],
        &["serve", "--port", "70000"],
        &["practice", "new", "x", "--seed", "abc"],
        &["store", "x.store", "undo", "job", "job.toml", "--revision", "x"],
        &["store", "x.store", "readings", "co2", "--buckets", "-3"],
    ] {
        let err = said(args);
        assert!(err.contains("a whole number") && !err.contains("digit found"), "{args:?}: {err}");
    }
}

#[test]
fn what_cannot_be_written_loses_nothing_and_is_told_plainly() {
    let (folder, _) = single(|v| v, |j| j);
    std::fs::remove_dir_all(folder.path().join("out")).ok();
    folder.write("out", "a file where the folder should be");
    let ran = airwright(&["work"], folder.path());
    assert_eq!(ran.code, 2, "{}", ran.err);
    assert!(ran.out.contains("ACH50"), "the answer is lost: {}", ran.out);
    assert!(ran.err.contains("help: ") && !ran.err.contains("os error"), "{}", ran.err);
}

#[test]
fn numbers_of_options_are_asked_for_in_words() {
    let folder = Folder::new();
    folder.write("job.toml", "format = 1\nname = 'x'\n");
    for (command, option, value) in [
        ("next", "--minutes", "-5"),
        ("next", "--minutes", "abc"),
        ("next", "--minutes", "0"),
        ("plans", "--draws", "-3"),
        ("plans", "--draws", "x"),
    ] {
        let ran = airwright(&[command, option, value], folder.path());
        assert_eq!(ran.code, 2, "{}", ran.err);
        assert!(
            ran.err.contains("from 1 to") && !ran.err.contains("digit") && !ran.err.contains("tip"),
            "{}",
            ran.err
        );
    }
}
