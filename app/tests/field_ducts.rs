//! Tests of ducts and of the air handler through the command line.

use crate::run::{Folder, airwright, json};

const INSTRUMENTS: &str = "
[instrument.gauge]
measures = 'pressure'
accuracy = '1 % or 0.25 Pa'
resolution = '0.1 Pa'
[instrument.ring]
measures = 'air flow'
shows = 'flow at calibration density'
accuracy = '3 %'
[instrument.plate]
measures = 'air flow'
shows = 'flow at calibration density'
accuracy = '7 %'
[instrument.clamp]
measures = 'power'
accuracy = '2 %'
[instrument.probe]
measures = 'temperature'
accuracy = '0.5 degF'
[instrument.hygro]
measures = 'relative humidity'
accuracy = '2 %'
";

const TESTS: &str = "
[test.house_open]
standard = 'astm-e779'
direction = 'depressurise'
pressure_with = 'gauge'
flow_with = 'ring'
baseline_before = ['Pa', -1.0, -1.1, -0.9]
baseline_after = ['Pa', -1.0, -1.2, -1.0]
stations = { columns = ['house Pa', 'fan cfm'], rows = [[-51, 1800], [-46, 1690], [-41, 1560], [-36, 1430], [-26, 1140]] }
[test.house_sealed]
standard = 'astm-e779'
direction = 'depressurise'
pressure_with = 'gauge'
flow_with = 'ring'
baseline_before = ['Pa', -1.0, -1.1, -0.9]
baseline_after = ['Pa', -1.0, -1.2, -1.0]
stations = { columns = ['house Pa', 'fan cfm'], rows = [[-51, 1590], [-46, 1485], [-41, 1375], [-36, 1260], [-26, 1005]] }
[test.subtraction]
kind = 'duct leakage by difference'
open = 'house_open'
sealed = 'house_sealed'
duct = '44 Pa'
pressure_with = 'gauge'
[test.plates]
kind = 'handler flow'
method = 'flow plate'
plate_flows = ['cfm', 600, 410]
flow_with = 'plate'
supply_operating = '62 Pa'
supply_during_test = '55 Pa'
pressure_with = 'gauge'
power = '520 W'
power_with = 'clamp'
cooling_capacity = '3 ton'
most_power_per_flow = '0.3 W/cfm'
limit_source = 'programme'
limit_confirmed = true
mode = 'cooling'
stage = 'high'
output = 'held'
since_start = '20 min'
steady_after = '15 min'
motor = 'constant airflow'
[test.ducts]
kind = 'duct leakage'
tap = 'supply plenum'
elsewhere = ['Pa', 25.1, 23.8, 24.4]
pressure_with = 'gauge'
flow_with = 'ring'
handler_flow_from = 'plates'
supply_plenum = '62 Pa'
return_plenum = '-80 Pa'
adopted = 'IECC 2012 post-construction'
[test.ducts.run.blown]
to = 'total'
direction = 'pressurise'
readings = { columns = ['duct Pa', 'fan cfm'], rows = [[25.1, 152], [40.0, 203], [15.2, 113], [60.0, 260]] }
[test.ducts.run.drawn]
to = 'total'
direction = 'depressurise'
readings = { columns = ['duct Pa', 'fan cfm'], rows = [[-25.0, 148]] }
[test.ducts.run.outdoors]
to = 'outdoors'
direction = 'pressurise'
readings = { columns = ['duct Pa', 'house Pa', 'fan cfm'], rows = [[0.1, 24.8, 71]] }
[test.ducts.run.supply]
part = 'supply'
to = 'total'
direction = 'pressurise'
readings = { columns = ['duct Pa', 'fan cfm'], rows = [[25.0, 92]] }
[test.ducts.run.return]
part = 'return'
to = 'total'
direction = 'pressurise'
readings = { columns = ['duct Pa', 'fan cfm'], rows = [[25.0, 61]] }
[test.pans]
kind = 'pressure pans'
house = '-50 Pa'
handler = 'off'
pressure_with = 'gauge'
zone.attic.to_house = '46 Pa'
zone.crawl.to_house = '18 Pa'
register.kitchen = { reads = '6.2 Pa', zone = 'attic' }
register.bath = { reads = '9.8 Pa', zone = 'crawl' }
[test.dominant]
kind = 'dominant leak'
doors = 'open'
pressure_with = 'gauge'
envelope = 'house_open'
repeats = { columns = ['off Pa', 'on Pa'], rows = [[-1.1, -2.2], [-0.9, -1.9], [-1.3, -2.0], [-1.0, -2.3]] }
last_off = '-1.1 Pa'
[test.statics]
kind = 'static pressure'
filter = 'outside the rated box'
coil = 'after the rated box'
coil_surface = 'wet'
pressure_with = 'gauge'
limit = '0.5 inH2O'
limit_source = 'label'
limit_confirmed = true
mode = 'cooling'
since_start = '20 min'
steady_after = '15 min'
motor = 'fixed speed'
taps = { before_filter = '-0.21 inH2O', after_filter = '-0.48 inH2O', before_coil = '0.52 inH2O', supply = '0.25 inH2O' }
[test.delivery]
kind = 'delivery effectiveness'
mode = 'heating'
handler_flow_from = 'plates'
capacity = '51 kBtu/h'
capacity_accuracy = '5 %'
area_accuracy = '10 %'
resistance_accuracy = '20 %'
temperature_accuracy = '2 degF'
supply = { leakage_from = 'ducts', area = '320 ft2', resistance = '6 ft2 h degF/Btu', around = '36 degF' }
return = { leakage_from = 'ducts', area = '100 ft2', resistance = '6 ft2 h degF/Btu', around = '36 degF' }
[test.strip_heat]
kind = 'handler flow'
method = 'temperature rise'
heat_from = 'electricity'
heat = '9.6 kW'
heat_with = 'clamp'
before = ['degF', 68.2, 68.0]
after = ['degF', 92.8, 94.1, 91.9, 93.5]
temperature_with = 'probe'
[test.matched]
kind = 'handler flow'
method = 'pressure matching'
fan_flow = '1020 cfm'
flow_with = 'ring'
supply_operating = '62 Pa'
supply_during_test = '58 Pa'
pressure_with = 'gauge'
[test.pitot]
kind = 'handler flow'
method = 'traverse'
width = '18 in'
height = '10 in'
read_with = 'gauge'
straight_before = '9 ft'
straight_after = '2 ft'
line = [
  { pressures = ['Pa', 12, 18, 20, 19, 11] },
  { pressures = ['Pa', 13, 20, 22, 21, 12] },
  { pressures = ['Pa', 14, 21, 23, 21, 13] },
  { pressures = ['Pa', 12, 19, 22, 20, 12] },
  { pressures = ['Pa', 10, 17, 19, 17, -1] },
]
[test.registers]
kind = 'handler flow'
method = 'hoods'
flow_with = 'plate'
register.den = { side = 'supply', flow = '110 cfm' }
register.hall = { side = 'supply', flow = '90 cfm' }
register.grille = { side = 'return', flow = '240 cfm' }
[test.coil]
kind = 'coil capacity'
handler_flow_from = 'plates'
temperature_with = 'probe'
humidity_with = 'hygro'
entering = { dry_bulb = '80 degF', rh = '50 %' }
leaving = { dry_bulb = '56 degF', wet_bulb = '54.5 degF' }
mode = 'cooling'
output = 'varies'
";

fn job(head: &str, tests: &str) -> Folder {
    let folder = Folder::new();
    folder.write(
        "job.toml",
        format!(
            "format = 1\nname = 'ducts'\n{head}[place]\naltitude = '1200 ft'\n\
             [building]\nfloor_area = '2000 ft2'\nvolume = '16000 ft3'\n"
        ),
    );
    folder.write(
        "visits/2026-11-12/visit.toml",
        format!(
            "format = 1\ndate = '2026-11-12'\n[conditions]\nindoor = '68 degF'\noutdoor = '32 degF'\n\
             {INSTRUMENTS}{tests}"
        ),
    );
    folder
}

#[test]
fn a_day_on_ducts_is_worked() {
    let folder = job("", TESTS);
    let told = airwright(&["results"], folder.path());
    assert_eq!(told.code, 1, "a limit is broken: {}", told.err);
    for part in [
        "leakage to outdoors at 25 Pa",
        "failed: total duct leakage 7.67",
        "bath. Look at them first.",
        "The supply ducts leak more to outdoors",
        "failed: external static pressure 1.00",
        "shows in watts and speed, not in flow",
        "a licensed technician judges the charge",
        "failed: power per flow",
    ] {
        assert!(told.out.contains(part), "{part}\n{}", told.out);
    }
    let (_, value) = json(&["results"], folder.path());
    let field = value["data"]["field"].as_array().unwrap();
    assert_eq!(field.len(), 12);
    let detail = |name: &str| &field.iter().find(|f| f["name"] == name).unwrap()["detail"];
    let cfm = |v: &serde_json::Value| v.as_f64().unwrap() / (0.3048_f64.powi(3) / 60.0);
    // Plates: (600 + 410) sqrt(62/55), and the plates' calibration density over the air's at 1200 ft.
    // The last factor is the standard pressure at 1200 ft over that at sea level.
    let air_kg_m3 = 101_325.0_f64 * 0.957389697945 / (287.042 * 293.15);
    let plates = 1010.0 * (62.0_f64 / 55.0).sqrt() * (1.2014 / air_kg_m3).sqrt();
    assert!((cfm(&detail("plates")["flow"]["value"]) - plates).abs() < 0.5);
    // Electricity over rho cp dT: 24.97 degF in return air of 68.1 degF.
    let rho_cp = air_kg_m3 * 293.15 / 293.2056 * 1006.0;
    let rise = 9600.0 / (rho_cp * 24.975 / 1.8);
    assert!((detail("strip_heat")["flow"]["value"].as_f64().unwrap() / rise - 1.0).abs() < 1e-4);
    // 0.48 and 0.52 in of water lie outside the rated box.
    let external = detail("statics")["external"]["value"].as_f64().unwrap();
    assert!((external / 249.08891 - 1.0).abs() < 1e-9);
    // 9.8 Pa under a crawl space at 18 Pa.
    let bath = detail("pans")["pans"][1]["at_50"]["value"].as_f64().unwrap();
    assert!((bath - 9.8 * 50.0 / 18.0).abs() < 1e-9);
}

#[test]
fn the_same_day_in_spanish() {
    let folder = job("language = 'es'\nunits = 'SI'\n", TESTS);
    let told = airwright(&["results"], folder.path());
    for part in ["fuga al exterior a 25 Pa", "presión estática externa", "un técnico con licencia"] {
        assert!(told.out.contains(part), "{part}\n{}", told.out);
    }
    assert!(!told.out.contains("figure-") && !told.out.contains("note-"), "{}", told.out);
}

/// Codes of a visit with these tests, and what is still worked.
fn said(tests: &str) -> (Vec<String>, String) {
    let told = airwright(&["results"], job("", tests).path());
    let codes = told.err.lines().filter_map(|l| {
        let code = l.split_once('[')?.1.split_once(']')?.0;
        (l.starts_with("error") || l.starts_with("warning")).then(|| code.to_owned())
    });
    (codes.collect(), told.out)
}

#[test]
fn lost_signs_and_missing_columns_are_said_and_the_rest_computes() {
    let (codes, out) = said(
        "[test.ducts]\nkind = 'duct leakage'\ntap = 'farthest register'\npressure_with = 'gauge'\nflow_with = 'ring'\n\
         [test.ducts.run.drawn]\nto = 'total'\ndirection = 'depressurise'\n\
         readings = { columns = ['duct Pa', 'fan cfm'], rows = [[25, 150], [-25, 150]] }\n\
         [test.ducts.run.outside]\nto = 'outdoors'\ndirection = 'pressurise'\n\
         readings = { columns = ['duct Pa', 'fan cfm'], rows = [[0, 70]] }\n\
         [test.ducts.run.units]\nto = 'total'\ndirection = 'pressurise'\n\
         readings = { columns = ['duct cfm', 'fan cfm'], rows = [[25, 70]] }\n\
         [test.statics]\nkind = 'static pressure'\nfilter = 'inside the rated box'\ncoil = 'none'\n\
         taps = { before_filter = '0.2 inH2O', supply = '0.25 inH2O' }\n",
    );
    for code in ["D203", "D204", "D205", "U005", "D210", "D209"] {
        assert!(codes.iter().any(|c| c == code), "{code}: {codes:?}");
    }
    assert!(out.contains("total leakage at 25 Pa") && out.contains("drop of the supply ducts"), "{out}");
    assert!(out.contains("assumed, nobody read them"), "{out}");
}

#[test]
fn what_cannot_be_is_said() {
    let (codes, _) = said(
        "[test.a]\nkind = 'pressure pans'\nhouse = '-50 Pa'\nhandler = 'on'\nregister.x.reads = '1 Pa'\n\
         [test.b]\nkind = 'pressure pans'\nhouse = '-50 Pa'\nhandler = 'off'\nzone.attic.to_house = '5 Pa'\n\
         register.x = { reads = '9 Pa', zone = 'attic' }\n\
         [test.c]\nkind = 'coil capacity'\nhandler_flow_from = 'nobody'\nentering = { dry_bulb = '80 degF', rh = '50 %' }\n\
         leaving = { dry_bulb = '56 degF', rh = '90 %' }\n\
         [test.d]\nkind = 'coil capacity'\nhandler_flow = '1000 cfm'\nentering = { dry_bulb = '80 degF', wet_bulb = '90 degF' }\n\
         leaving = { dry_bulb = '56 degF', rh = '90 %' }\n\
         [test.e]\nkind = 'handler flow'\nmethod = 'temperature rise'\nheat_from = 'fuel'\nheat = '20 kW'\n\
         before = ['degF', 120]\nafter = ['degF', 70]\n\
         [test.f]\nkind = 'handler flow'\nmethod = 'traverse'\ndiameter = '6 in'\n\
         line = [{ pressures = ['Pa', 10, 11, 12, 13, nan] }]\n\
         [test.g]\nkind = 'delivery effectiveness'\nmode = 'heating'\nhandler_flow = '100 cfm'\ncapacity = '5 kW'\n\
         supply = { leakage = '200 cfm', area = '10 m2', resistance = '1 m2 K/W', around = '5 degC' }\n\
         return = { leakage = '10 cfm', area = '10 m2', resistance = '1 m2 K/W', around = '5 degC' }\n",
    );
    for code in ["D208", "D207", "D202", "D213", "D212", "D211", "D214"] {
        assert_eq!(codes.iter().filter(|c| *c == code).count(), 1, "{code}: {codes:?}");
    }
}

#[test]
fn nothing_is_decided_before_the_equipment_is_steady() {
    let statics = |setup: &str| {
        said(&format!(
            "[test.s]\nkind = 'static pressure'\nfilter = 'none'\ncoil = 'none'\nlimit = '0.1 inH2O'\n\
             limit_confirmed = true\npressure_with = 'gauge'\n{setup}\
             taps = {{ after_filter = '-0.3 inH2O', supply = '0.3 inH2O' }}\n"
        ))
        .1
    };
    assert!(statics("").contains("failed: external static pressure"));
    for setup in [
        "output = 'varies'\n",
        "since_start = '3 min'\nsteady_after = '15 min'\n",
        "steady_after = '15 min'\n",
    ] {
        let out = statics(setup);
        assert!(out.contains("cannot be decided: external static pressure 0.6"), "{setup}: {out}");
        assert!(out.contains("Caution:"), "{out}");
    }
}

#[test]
fn a_traverse_without_readings_tells_where_to_read() {
    let told = airwright(
        &["results"],
        job("", "[test.plan]\nkind = 'handler flow'\nmethod = 'traverse'\ndiameter = '150 mm'\n").path(),
    );
    assert!(told.err.contains("5, 20, 48, 102, 130, 145"), "{}", told.err);
}
