//! A test taken with several fans, from the document to the result.

use crate::run::{Folder, airwright, json};

const JOB: &str = "format = 1\nname = 'two fans'\n[building]\nvolume = '400 m3'\n";

fn visit(flow_with: &str, columns: &str, rows: &str) -> String {
    format!(
        "format = 1\ndate = '2026-02-03'\n[conditions]\nindoor = '20 degC'\noutdoor = '20 degC'\n\
         barometer = '101325 Pa'\n[instrument.p]\nmeasures = 'pressure'\naccuracy = '0 %'\nbaseline = 'subtracted'\n\
         [instrument.a]\nmeasures = 'air flow'\naccuracy = '5 %'\nshows = 'flow through the envelope'\n\
         [instrument.b]\nmeasures = 'air flow'\naccuracy = '5 %'\nshows = 'fan pressure'\n\
         calibration_density = '1.2 kg/m3'\ncalibration = {{ k = '10 m3/h', exponent = 0.5 }}\n\
         [test.t]\nstandard = 'ISO 9972'\ndirection = 'depressurise'\npressure_with = 'p'\nflow_with = {flow_with}\n\
         stations = {{ columns = {columns}, rows = [{rows}] }}\n"
    )
}

/// FT-2 of the reference data: q50 1044.33434803 m3/h, n 0.658736322.
const STATIONS: [(f64, f64); 10] = [
    (-10.0, 361.0),
    (-15.0, 474.0),
    (-20.0, 567.0),
    (-25.0, 668.0),
    (-30.0, 744.0),
    (-35.0, 829.0),
    (-40.0, 897.0),
    (-45.0, 978.0),
    (-50.0, 1040.0),
    (-60.0, 1178.0),
];

fn gain(result: &serde_json::Value) -> f64 {
    let flows = result["figures"]["flows"].as_array().unwrap();
    flows.iter().find(|f| f["dp_pa"] == 50.0).unwrap()["parts"]["flow_gain"].as_f64().unwrap()
}

#[test]
fn two_fans_in_a_document_give_the_flow_of_one() {
    let folder = Folder::new();
    folder.write("job.toml", JOB);
    let file = "visits/2026-02-03/visit.toml";
    let rows = |row: &dyn Fn(f64, f64) -> String| STATIONS.map(|(p, q)| row(p, q)).join(", ");
    let worked = |text: String| {
        folder.write(file, text);
        let (code, value) = json(&["results"], folder.path());
        assert!(code < 2 && !value["diagnostics"].to_string().contains("\"error\""), "{value}");
        value["data"]["results"][0]["result"].clone()
    };
    let one = worked(visit("'a'", "['house Pa', 'fan m3/h']", &rows(&|p, q| format!("[{p}, {q}]"))));
    // The second fan is sealed below 30 Pa; else it moves half, told by the pressure in it: the air has
    // 1.2041 kg/m3, its calibration 1.2.
    let two = worked(visit(
        "['a', 'b']",
        "['house Pa', 'fan m3/h', 'fan-pressure-2 Pa']",
        &rows(&|p, q| {
            let half = if p > -30.0 { 0.0 } else { q / 2.0 };
            let density_kg_m3 = two_density(&one);
            let fan_pa = (half / 10.0) * (half / 10.0) * density_kg_m3 / 1.2;
            format!("[{p}, {}, {fan_pa}]", q - half)
        }),
    ));
    let ach50 = |r: &serde_json::Value| r["figures"]["ach50"]["total"]["value"].as_f64().unwrap();
    let n = |r: &serde_json::Value| r["exponent"]["total"]["value"].as_f64().unwrap();
    assert!((ach50(&two) / ach50(&one) - 1.0).abs() < 1e-12);
    assert!((n(&two) - 0.658736322).abs() < 1e-8);
    assert!((gain(&one) - 0.05).abs() < 1e-12 && gain(&two) < 0.04, "{} {}", gain(&one), gain(&two));
    assert!(one["runs"][0].get("fans").is_none());
    assert_eq!(two["runs"][0]["fans"].as_array().unwrap().len(), 2);
}

/// Density of the air in the fan and in the leaks: one temperature on both sides.
fn two_density(result: &serde_json::Value) -> f64 {
    let air = &result["air"];
    assert_eq!(air["indoor"]["density_kg_m3"], air["outdoor"]["density_kg_m3"]);
    air["indoor"]["density_kg_m3"].as_f64().unwrap()
}

#[test]
fn a_column_too_few_is_said_in_both_languages() {
    let folder = Folder::new();
    folder.write("job.toml", JOB);
    folder
        .write("visits/2026-02-03/visit.toml", visit("['a', 'b']", "['house Pa', 'fan m3/h']", "[-50, 900]"));
    let ran = airwright(&["results"], folder.path());
    assert_eq!(ran.code, 2, "{}\n{}", ran.out, ran.err);
    let wanted = "in `flow_with`, and its stations have one flow column: fan";
    assert!(ran.err.contains("V107") && ran.err.contains("visit.toml"), "{}", ran.err);
    assert!(ran.err.contains("names 2 fans"), "{}", ran.err);
    assert!(ran.err.replace('\n', " ").contains(wanted), "{}", ran.err);
    assert!(ran.err.contains("fan-pressure-2"), "{}", ran.err);
    folder.write("job.toml", JOB.replace("name =", "language = 'es'\nname ="));
    let ran = airwright(&["results"], folder.path());
    assert!(ran.err.contains("2 ventiladores"), "{}", ran.err);
}
