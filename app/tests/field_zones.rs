//! Zone, room and fan pressures and the combustion zone through the command line, with the mistakes of a
//! tired person.

use crate::run::{Folder, Ran, json};
use serde_json::Value;

const INSTRUMENTS: &str = "[instrument.gauge]\nmeasures = 'pressure'\naccuracy = '1 % or 0.2 Pa'\nresolution = '0.1 Pa'\n\
    [instrument.fan]\nmeasures = 'air flow'\naccuracy = '3 %'\nshows = 'flow at actual density'\n\
    [instrument.meter]\nmeasures = 'gas'\naccuracy = '5 ppm'\n";

/// As it reads: numbers and units are joined by spaces that do not break.
fn airwright(args: &[&str], folder: &std::path::Path) -> Ran {
    let ran = crate::run::airwright(args, folder);
    Ran { out: ran.out.replace('\u{a0}', " "), ..ran }
}

fn job(visit: &str) -> Folder {
    let folder = Folder::new();
    folder.write("job.toml", "format = 1\nname = 'zones'\n");
    folder.write(
        "visits/2026-11-12/visit.toml",
        format!("format = 1\ndate = '2026-11-12'\n{INSTRUMENTS}{visit}"),
    );
    folder
}

fn first(folder: &Folder) -> Value {
    json(&["results"], folder.path()).1["data"]["field"][0].clone()
}

const ATTIC: &str = "[test.attic]\nkind = 'zone pressures'\npressure_with = 'gauge'\nflow_with = 'fan'\n\
    flow_repeats_within = '1 %'\n\
    as_found = { house_zone = '-42.2 Pa', zone_outdoors = '-7.8 Pa', house_outdoors = '-50 Pa', flow = '2300 cfm' }\n\
    [[test.attic.opened]]\nbetween = 'house-zone'\nhole_at50 = '950 to 1050 cfm'\nhouse_zone = '-18.9 Pa'\n\
    zone_outdoors = '-31.1 Pa'\nhouse_outdoors = '-50 Pa'\nflow = '2716 cfm'\n";

#[test]
fn a_hole_and_a_door_give_the_same_barriers() {
    let folder = job(ATTIC);
    let told = airwright(&["results"], folder.path());
    assert_eq!(told.code, 0, "{}{}", told.out, told.err);
    assert!(told.out.contains("by the hole") && told.out.contains("agree within"), "{}", told.out);
    let field = first(&folder);
    // Case Z-2: coefficients 25 and 75 cfm/Pa^0.65, 318 and 954 cfm at 50 Pa.
    for method in field["detail"]["methods"].as_array().unwrap() {
        let cfm = |key: &str| method[key]["value"].as_f64().unwrap() / 0.000_471_947_443;
        assert!((cfm("house_zone") - 318.0).abs() < 4.0, "{method}");
        assert!((cfm("zone_outdoors") - 954.0).abs() < 10.0, "{method}");
        assert_eq!(method["tells"], "tells");
    }
    let spanish = Folder::new();
    spanish.write("job.toml", "format = 1\nname = 'zonas'\nlanguage = 'es'\n");
    spanish.write("visits/2026-11-12/visit.toml", folder.read("visits/2026-11-12/visit.toml"));
    let told = airwright(&["results"], spanish.path());
    assert!(told.out.contains("presiones de zonas") && told.out.contains("por el hueco"), "{}", told.out);
}

#[test]
fn tired_mistakes_in_a_zone_test_are_said() {
    let wrong = |from: &str, to: &str| {
        let text = ATTIC.replace(from, to);
        assert_ne!(text, ATTIC, "{from}");
        airwright(&["results"], job(&text).path()).err
    };
    // A unit forgotten, one of another kind, a number that is none, a slip of the decimal point.
    assert!(wrong("'-42.2 Pa'", "-42.2").contains("U002"));
    assert!(wrong("'-42.2 Pa'", "'-42.2 cfm'").contains("U005"));
    assert!(wrong("'-42.2 Pa'", "'nan Pa'").contains("error["));
    assert!(wrong("'-42.2 Pa'", "'-4200 Pa'").contains("U008"));
    let slip = wrong("'-42.2 Pa'", "'-4.22 Pa'");
    assert!(slip.contains("Z102") && slip.contains("most likely `house_zone` is wrong"), "{slip}");
    assert!(wrong("'-7.8 Pa'", "'7.8 Pa'").contains("Z104"));
    assert!(wrong("'house-zone'", "'zone-outdoors'").contains("Z106"));
    assert!(wrong("'gauge'", "'guage'").contains("did you mean `gauge`"));
    // With one reading left out the rest still computes.
    let folder = job(&ATTIC.replace("'-42.2 Pa'", "'-4.22 Pa'"));
    assert!((first(&folder)["detail"]["house_zone"]["value"].as_f64().unwrap() - 42.2).abs() < 0.01);
}

#[test]
fn rooms_and_fans_need_their_baseline_and_say_what_exceeds() {
    let folder = job("[test.doors]\nkind = 'room pressures'\npressure_with = 'gauge'\nflow_with = 'fan'\n\
        limit = '2.5 Pa'\nlimit_source = 'adopted code'\nlimit_confirmed = true\n\
        [[test.doors.room]]\nroom = 'bedroom'\npressure = '9 Pa'\nflow = '60 L/s'\n\
        [[test.doors.room]]\nroom = 'study'\npressure = '1.2 Pa'\nundercut = '0.5 in'\ndoor_width = '30 in'\n");
    let told = airwright(&["results"], folder.path());
    assert!(told.out.contains("failed: pressure to the main body, bedroom"), "{}", told.out);
    assert!(told.out.contains("holds: pressure to the main body, study"), "{}", told.out);
    let rooms = first(&folder)["detail"]["rooms"].clone();
    let area = rooms[0]["path"]["value"].as_f64().unwrap() + rooms[0]["to_add"]["value"].as_f64().unwrap();
    // 0.060 / (0.611 sqrt(5 / density)).
    assert!((area - 0.0482).abs() < 0.0002, "{area}");
    let fans = "[test.fans]\nkind = 'fan pressures'\npressure_with = 'gauge'\nlimit = '-5 Pa'\n\
        limit_confirmed = true\nbaseline_before = ['Pa', -1.0, -1.2, -0.9, -1.1]\n\
        [[test.fans.state]]\non = ['bath_fan', 'range_hood']\npressure = '-8.4 Pa'\n\
        [[test.fans.state]]\non = 'bath_fan'\npressure = '-1.9 Pa'\n";
    let told = airwright(&["results"], job(fans).path());
    assert!(told.out.contains("failed: pressure moved, bath fan + range hood"), "{}", told.out);
    assert!(told.out.contains("holds: pressure moved, bath fan "), "{}", told.out);
    let without = fans.replace("baseline_before = ['Pa', -1.0, -1.2, -0.9, -1.1]\n", "");
    let told = airwright(&["results"], job(&without).path());
    assert!(told.err.contains("Z108") && told.out.contains("not measured"), "{}{}", told.out, told.err);
}

const CLOSET: &str = "[combustion]\nfuel = 'present'\nlooked_by = 'T'\nlooked_where = 'closet'\n\
    [test.closet]\nkind = 'combustion zone'\nprotocol = 'bpi-1200'\npressure_with = 'gauge'\ngas_with = 'meter'\n\
    exhausts = ['dryer', 'bath_fan']\nhandler = true\ndoors = ['bedroom_door']\nbaseline_before = ['Pa', -0.8, -1.0, -0.9]\n\
    [[test.closet.state]]\nname = 'fans'\nexhausts = 'on'\npressure = '-3.5 Pa'\n\
    [[test.closet.state]]\nname = 'fans, door shut'\nexhausts = 'on'\nset = { bedroom_door = 'shut' }\npressure = '-4.6 Pa'\n\
    [[test.closet.spillage]]\nappliance = 'heater'\nhouse = 'greatest depressurisation'\nvent = 'warm'\nspilled_for = '150 s'\n\
    [[test.closet.spillage]]\nappliance = 'heater'\nhouse = 'natural'\nvent = 'warm'\nspilled_for = '20 s'\n\
    [[test.closet.flue_co]]\nappliance = 'heater'\nappliance_type = 'water heater'\nvalue = '60 ppm'\n\
    basis = 'as measured'\noxygen = '9 %'\nafter = '6 min'\n\
    [[test.closet.ambient]]\nplace = 'closet'\nvalues = ['ppm', 0, 1, 12, 40, 9]\n";

#[test]
fn a_combustion_zone_states_cautions_first_and_what_is_left_to_try() {
    let folder = job(CLOSET);
    let told = airwright(&["results"], folder.path());
    let at = |text: &str| told.out.find(text).unwrap_or_else(|| panic!("{text}: {}", told.out));
    assert!(at("was 40 ppm at sample 4") < at("spilled into the house for 150 s"));
    assert!(at("spilled into the house for 150 s") < at("highest CO in the room"));
    at("spills only while the zone is drawn down");
    at("is 105 ppm air-free");
    at("2 of 6 states of the list tried");
    at("Not tried: on: air handler, bath fan, dryer; shut: no door.");
    // Nothing is decided on a limit that nobody confirmed, and nothing is called what it may not be.
    assert!(!told.out.contains("holds:") && !told.out.contains("failed:"), "{}", told.out);
    assert!(!told.out.to_lowercase().contains("safe"), "{}", told.out);
    let guide = &first(&folder)["detail"]["guide"];
    assert_eq!((guide["tried"].as_u64(), guide["states"].as_array().unwrap().len()), (Some(2), 6));
    assert_eq!(guide["states"][0]["shown_pa"], -3.5);
}

#[test]
fn tired_mistakes_in_a_combustion_test_are_said() {
    let wrong = |from: &str, to: &str| {
        let text = CLOSET.replace(from, to);
        assert_ne!(text, CLOSET, "{from}");
        airwright(&["results"], job(&text).path())
    };
    assert!(wrong("baseline_before = ['Pa', -0.8, -1.0, -0.9]\n", "").err.contains("C101"));
    assert!(wrong("oxygen = '9 %'\n", "").err.contains("C105"));
    assert!(wrong("oxygen = '9 %'", "oxygen = '19 %'").err.contains("C106"));
    assert!(wrong("'6 min'", "'1 min'").err.contains("C108"));
    assert!(wrong("fuel = 'present'", "fuel = 'none found'").err.contains("C103"));
    assert!(
        wrong("bedroom_door = 'shut'", "bedrom_door = 'shut'").err.contains("did you mean `bedroom_door`")
    );
    assert!(wrong("set = { bedroom_door = 'shut' }\n", "").err.contains("C107"));
    assert!(wrong("spilled_for = '150 s'", "spilled_for = 150").err.contains("U002"));
    assert!(wrong("value = '60 ppm'", "value = 'nan ppm'").err.contains("error["));
    let raised = wrong("protocol = 'bpi-1200'", "protocol = 'bpi-1200'\nlevels = { stop = '100 ppm' }");
    assert!(raised.err.contains("C104") && raised.out.contains("was 40 ppm at sample 4"), "{}", raised.err);
    // A series stands in for typed samples; one reading of it is enough.
    let text = CLOSET.replace("values = ['ppm', 0, 1, 12, 40, 9]", "series = 'co.csv'\ncolumn = 'co'");
    let folder = job(&text);
    folder.write(
        "visits/2026-11-12/co.csv",
        "time,co ppm\n2026-11-12 09:00,1\n2026-11-12 09:01,\n2026-11-12 09:02,72\n2026-11-12 09:03,2\n",
    );
    let told = airwright(&["results"], folder.path());
    assert!(told.out.contains("72 ppm") && told.out.contains("everybody leaves"), "{}{}", told.out, told.err);
}
