//! A whole draft through every question.

use super::ask;
use super::compose::{accuracy, compose};
use super::draft::{Draft, Field, Prepared, Station};
use engine::units::{Quantity, System, parse_accuracy};
use report::words::{Language, Words};
use serde_json::{Value, json};

/// `flow = 118 cfm (dp)^0.65` with the baseline of -1 Pa in the shown pressures, and some scatter.
pub(super) fn draft() -> Draft {
    let stations = [
        ("60", "1678"),
        ("53", "1531"),
        ("46", "1405"),
        ("39", "1263"),
        ("32", "1092"),
        ("25", "929"),
        ("18", "748"),
        ("12", "559"),
    ];
    let samples = |list: [&str; 3]| list.map(str::to_owned).to_vec();
    let mut d = Draft {
        id: "t-1".into(),
        created: "2026-11-12T10:03:00Z".into(),
        language: "en".into(),
        system: "IP".into(),
        profile: "astm-e779".into(),
        direction: "depressurise".into(),
        baseline_before: samples(["-1.1", "-0.8", "-1.2"]),
        baseline_after: samples(["-0.9", "-1", "-1"]),
        stations: stations.map(|(h, f)| Station { house: h.into(), fan: f.into() }).to_vec(),
        preparation: vec![
            Prepared { id: "appliance".into(), state: "closed".into(), restored: false },
            Prepared { id: "windows".into(), state: "closed".into(), restored: false },
            Prepared { id: "laundry chute \"C:\\\"".into(), state: "sealed".into(), restored: true },
        ],
        ..Draft::default()
    };
    d.place.name = "Marsh Row \"9\"".into();
    d.place.altitude = "500".into();
    d.place.limit = "9".into();
    d.place.limit_source = "an invented code".into();
    d.place.limit_confirmed = true;
    d.building.volume = "9000".into();
    d.building.floor_area = "1125".into();
    d.building.envelope_area = "3300".into();
    d.building.height = "8".into();
    d.building.basement = "out".into();
    d.building.includes = "rooms only".into();
    d.tester.name = "A. Nobody".into();
    d.tester.firm = "Firm \\ Sons".into();
    d.conditions.indoor = "68".into();
    d.conditions.outdoor = "41".into();
    d.conditions.wind = "3.5".into();
    d.gauge.accuracy = "1 or 0.25".into();
    d.gauge.serial = "G-1".into();
    d.gauge.calibrated = "2026-03-02".into();
    d.fan.accuracy = "4".into();
    d.fan.shows = "calibration-density".into();
    d.fan.calibration_density = "0.075".into();
    d
}

pub(super) fn answer(question: &Value) -> Value {
    serde_json::from_str(&ask(&question.to_string())).unwrap()
}

pub(super) fn look(draft: &Draft) -> Value {
    answer(&json!({ "ask": "phone-look", "draft": draft, "now": "2026-11-12" }))["data"]["look"].take()
}

#[test]
fn the_look_tells_what_the_command_line_tells() {
    let d = draft();
    let look = look(&d);
    let files = compose(&d, "");
    let inputs = crate::Inputs { files, now: String::new() };
    let out = crate::answer(&crate::Request::Results, &inputs, &mut |_| std::ops::ControlFlow::Continue(()));
    assert!(
        out.diagnostics.list.iter().all(|x| x.severity == engine::diag::Severity::Note),
        "{:?}",
        out.diagnostics
    );
    let ach50 = out.data.results[0].result.figures.ach50.unwrap().total;
    let (lo, hi) = ach50.bounds().unwrap();
    let a = &look["answer"];
    for (key, si) in [("value", ach50.si), ("lo", lo), ("hi", hi)] {
        assert!((a[key].as_f64().unwrap() / (si * 3600.0) - 1.0).abs() < 1e-12, "{key}: {a}");
    }
    // C dp^n of the made readings, where nothing is to be corrected.
    let mut plain = draft();
    plain.fan.shows = "reference-conditions".into();
    let (made, told) = (118.0 * engine::math::pow(50.0, 0.65) * 60.0 / 9000.0, self::look(&plain));
    assert!((told["answer"]["value"].as_f64().unwrap() / made - 1.0).abs() < 3e-3, "{told} against {made}");
    assert_eq!(a["name"], "ACH50");
    assert_eq!(a["verdict"], "fail");
    assert_eq!(a["extrapolated"], false);
    assert_eq!(look["missing"], json!([]));
    assert_eq!(look["challenges"], json!([]));
    assert_eq!(look["residuals"].as_array().unwrap().len(), 8);
    let history: Vec<u64> =
        look["history"].as_array().unwrap().iter().map(|h| h["stations"].as_u64().unwrap()).collect();
    assert_eq!(history, [3, 4, 5, 6, 7, 8]);
    assert_eq!(look["history"][5]["lo"], a["lo"]);
    assert_eq!(look["advice"]["stop"], true);
    let restore = look["restore"].as_array().unwrap();
    assert_eq!((restore.len(), &restore[0]["done"], &restore[1]["done"]), (2, &json!(false), &json!(true)));
}

#[test]
fn files_give_the_draft_back() {
    for (language, system) in [("en", "IP"), ("es", "SI")] {
        let mut d = draft();
        d.language = language.into();
        d.system = system.into();
        if system == "SI" {
            d.direction = "pressurise".into();
            d.conditions.indoor = "20.5".into();
            d.conditions.outdoor = "-5".into();
            d.gauge.baseline_subtracted = true;
            d.fan.calibration_density = "1.2".into();
        }
        let first = answer(&json!({ "ask": "phone-sheet", "draft": d, "now": "2026-11-13" }));
        let files = &first["data"]["files"];
        assert_eq!(files[1]["name"], "visits/2026-11-12/visit.toml");
        let back = answer(&json!({ "ask": "phone-open", "files": files }));
        let back: Draft = serde_json::from_value(back["data"]["draft"].clone()).unwrap();
        // Accuracies come back with the units they were given.
        d.gauge.accuracy = "1 % or 0.25 Pa".into();
        d.fan.accuracy = "4 %".into();
        let lines = |d: &Draft| serde_json::to_string_pretty(d).unwrap();
        for (got, wanted) in lines(&back).lines().zip(lines(&d).lines()) {
            assert_eq!(got, wanted);
        }
        assert_eq!(back, d);
        let again = answer(&json!({ "ask": "phone-sheet", "draft": back, "now": "2026-11-13" }));
        assert_eq!(&again["data"]["files"], files);
    }
}

#[test]
fn the_fan_may_show_its_pressure() {
    let mut d = draft();
    d.fan.shows = "fan-pressure".into();
    d.fan.calibration_flow = "100".into();
    d.fan.calibration_exponent = "0.5".into();
    for s in &mut d.stations {
        let flow: f64 = s.fan.parse().unwrap();
        s.fan = format!("{:.4}", (flow / 100.0) * (flow / 100.0));
    }
    let by_pressure = look(&d)["answer"]["value"].as_f64().unwrap();
    let by_flow = look(&draft())["answer"]["value"].as_f64().unwrap();
    assert!((by_pressure / by_flow - 1.0).abs() < 1e-5, "{by_pressure} {by_flow}");
    let files = answer(&json!({ "ask": "phone-sheet", "draft": d, "now": "" }))["data"]["files"].take();
    let back = answer(&json!({ "ask": "phone-open", "files": files }));
    assert_eq!(back["data"]["draft"]["fan"]["calibration_flow"], "100");
    assert_eq!(back["data"]["draft"]["stations"], json!(d.stations));
}

#[test]
fn a_sheet_says_what_is_not_done() {
    let mut d = draft();
    let sheet = |d: &Draft| {
        let made = answer(&json!({ "ask": "phone-sheet", "draft": d, "now": "2026-11-12" }));
        made["data"]["html"].as_str().unwrap().to_owned()
    };
    let open = sheet(&d);
    assert!(open.contains("restore list open") && open.contains("to be put back"));
    assert!(
        open.contains("A. Nobody")
            && open.contains("Combustion appliances")
            && open.contains("\"verdict fail\"")
    );
    d.preparation[0].restored = true;
    let done = sheet(&d);
    assert!(!done.contains("restore list open") && done.contains("switched off, put back: Combustion"));
    d.fan.accuracy = String::new();
    let no_accuracy = sheet(&d);
    assert!(
        no_accuracy.contains("the accuracy of gauge or fan is missing")
            && !no_accuracy.contains("\"verdict fail\"")
    );
    d.fan.accuracy = "4".into();
    d.fan.shows = String::new();
    let no_basis = sheet(&d);
    assert!(no_basis.contains("not said what the fan shows") && !no_basis.contains("\"verdict fail\""));
    d.fan.shows = "actual-density".into();
    d.stations.retain(|s| s.house.parse::<f64>().unwrap() < 40.0);
    assert!(sheet(&d).contains("ACH50, extrapolated"));
    assert_eq!(look(&d)["answer"]["extrapolated"], true);
}

#[test]
fn a_folder_of_another_hand_becomes_a_draft() {
    let files: Vec<Value> = (crate::starter("2026-01-15").iter())
        .filter(|f| f.name.ends_with(".toml"))
        .map(|f| json!({ "name": f.name, "text": f.text }))
        .collect();
    let opened = answer(&json!({ "ask": "phone-open", "files": files, "language": "en" }));
    let d: Draft = serde_json::from_value(opened["data"]["draft"].clone()).unwrap();
    assert_eq!((d.profile.as_str(), d.fan.shows.as_str()), ("astm-e779", "calibration-density"));
    assert_eq!((d.stations.len(), d.stations[0].house.as_str()), (8, "61.2"));
    // The phone makes of it what the command line makes of the folder itself.
    let inputs = crate::Inputs { files: crate::starter("2026-01-15"), now: String::new() };
    let out = crate::answer(&crate::Request::Results, &inputs, &mut |_| std::ops::ControlFlow::Continue(()));
    let ach50_h = out.data.results[0].result.figures.ach50.unwrap().total.si * 3600.0;
    let told = look(&d)["answer"]["value"].as_f64().unwrap();
    assert!((told / ach50_h - 1.0).abs() < 1e-9, "{told} {ach50_h}");
    // A preparation in other words keeps them and waits for a state.
    let hood = d.preparation.iter().find(|p| p.id.starts_with("range hood")).unwrap();
    assert_eq!((hood.id.as_str(), hood.state.as_str()), ("range hood (off, left open)", ""));
    assert_eq!(opened["diagnostics"], json!([]));
    // A house does not fit into a draft, and that is said.
    let files: Vec<Value> =
        crate::demo().unwrap().iter().map(|f| json!({ "name": f.name, "text": f.text })).collect();
    let opened = answer(&json!({ "ask": "phone-open", "files": files, "language": "es" }));
    assert!(opened["data"]["draft"]["stations"].as_array().unwrap().len() == 8);
    assert!(opened["diagnostics"].to_string().contains("D105"), "{}", opened["diagnostics"]);
}

#[test]
fn an_empty_draft_is_looked_at() {
    let empty = look(&Draft::default());
    assert!(empty["answer"].is_null() && empty["advice"].is_null());
    assert_eq!(empty["history"], json!([]));
    assert!(empty["missing"].as_array().unwrap().len() > 10);
    assert_eq!(empty["challenges"], json!([]), "nothing is asked before something is typed");
    let none = answer(&json!({ "ask": "phone-open", "files": [] }));
    assert!(none["data"].is_null() && none["diagnostics"].to_string().contains("D102"));
    let wrong = answer(&json!({ "ask": "phone-dance" }));
    assert!(wrong["data"].is_null() && wrong["diagnostics"][0]["code"] == "D101");
}

#[test]
fn every_prefix_of_typing_is_looked_at() {
    // Each field in turn is cut off at every character, as it stands while somebody types.
    let whole = serde_json::to_value(draft()).unwrap();
    let mut places = Vec::new();
    texts(&whole, String::new(), &mut places);
    assert!(places.len() > 40);
    for (place, text) in places {
        for end in (0..=text.len()).filter(|e| text.is_char_boundary(*e)) {
            let mut cut = whole.clone();
            let half = text.get(..end).unwrap();
            *cut.pointer_mut(&place).unwrap() = half.into();
            let look = answer(&json!({ "ask": "phone-look", "draft": cut }));
            assert!(look["data"]["look"].is_object(), "{place} {half}");
        }
    }
}

fn texts(value: &Value, at: String, found: &mut Vec<(String, String)>) {
    match value {
        Value::String(s) => found.push((at, s.clone())),
        Value::Array(list) => {
            list.iter().enumerate().for_each(|(i, v)| texts(v, format!("{at}/{i}"), found));
        }
        Value::Object(map) => map.iter().for_each(|(k, v)| texts(v, format!("{at}/{k}"), found)),
        _ => {}
    }
}

#[test]
fn accuracies_as_typed() {
    let words = Words::new(Language::Es, System::Si);
    let pressure = Field::Pressure.unit(&words);
    for (typed, written) in [
        ("3", "3 %"),
        ("3 %", "3 %"),
        ("1 or 0.25", "1 % or 0.25 Pa"),
        ("1 % o 0,25 Pa", "1 % or 0.25 Pa"),
        ("1 + 0,2", "1 % + 0.2 Pa"),
        ("0.5 Pa", "0.5 Pa"),
    ] {
        assert_eq!(accuracy(typed, pressure), written, "{typed}");
        assert!(parse_accuracy(written, Quantity::Pressure).is_ok());
    }
}
