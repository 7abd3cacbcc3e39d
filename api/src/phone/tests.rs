//! A whole draft through every question.

use super::ask;
use super::compose::{accuracy, compose};
use super::draft::{Calibration, Draft, Fan, Field, Point, Prepared, Second, Station};
use engine::units::{Quantity, System, parse_accuracy};
use report::words::{Language, Words};
use serde_json::{Value, json};

pub(super) fn station(house: &str, fan: &str) -> Station {
    Station { house: house.into(), fans: vec![fan.into()], ranges: Vec::new() }
}

fn equation(flow: &str, exponent: &str, low: &str, high: &str) -> Calibration {
    Calibration {
        kind: "equation".into(),
        flow: flow.into(),
        exponent: exponent.into(),
        low: low.into(),
        high: high.into(),
        ..Calibration::default()
    }
}

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
        stations: stations.map(|(h, f)| station(h, f)).to_vec(),
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
    d.firm.name = "Firm \\ Sons".into();
    d.fans.push(Fan::default());
    d.conditions.indoor = "68".into();
    d.conditions.outdoor = "41".into();
    d.conditions.wind = "3.5".into();
    d.gauge.accuracy = "1 or 0.25".into();
    d.gauge.serial = "G-1".into();
    d.gauge.calibrated = "2026-03-02".into();
    d.fans[0].accuracy = "4".into();
    d.fans[0].shows = "calibration-density".into();
    d.fans[0].calibration_density = "0.075".into();
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
    let files = compose(&d, "", &[]);
    let inputs = crate::Inputs { files, now: String::new() };
    let out = crate::answer(&crate::Request::Results, &inputs, &mut |_| std::ops::ControlFlow::Continue(()));
    assert!(
        out.diagnostics.list.iter().all(|x| x.severity == engine::diag::Severity::Note),
        "{:?}",
        out.diagnostics
    );
    let ach50 = out.data.results[0].result.figures.ach50.unwrap().total;
    // The number is the standard's, its range the one with the wind counted.
    let counted = out.data.results[0].result.honest.as_ref().unwrap().ach50.unwrap();
    let (lo, hi) = counted.bounds().unwrap();
    let a = &look["answer"];
    for (key, si) in [("value", ach50.si), ("lo", lo), ("hi", hi)] {
        assert!((a[key].as_f64().unwrap() / (si * 3600.0) - 1.0).abs() < 1e-12, "{key}: {a}");
    }
    // C dp^n of the made readings, where nothing is to be corrected.
    let mut plain = draft();
    plain.fans[0].shows = "reference-conditions".into();
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
            d.fans[0].calibration_density = "1.2".into();
        }
        let first = answer(&json!({ "ask": "phone-sheet", "draft": d, "now": "2026-11-13" }));
        let files = &first["data"]["files"];
        assert_eq!(files[1]["name"], "visits/2026-11-12/visit.toml");
        let back = answer(&json!({ "ask": "phone-open", "files": files }));
        let back: Draft = serde_json::from_value(back["data"]["draft"].clone()).unwrap();
        // Accuracies come back with the units they were given.
        d.gauge.accuracy = "1 % or 0.25 Pa".into();
        d.fans[0].accuracy = "4 %".into();
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
    d.fans[0].shows = "fan-pressure".into();
    d.fans[0].accuracy = "4 %".into();
    d.fans[0].calibrations = vec![equation("100", "0.5", "1", "2000")];
    for s in &mut d.stations {
        let flow: f64 = s.fans[0].parse().unwrap();
        s.fans[0] = format!("{:.4}", (flow / 100.0) * (flow / 100.0));
    }
    let by_pressure = look(&d)["answer"]["value"].as_f64().unwrap();
    let by_flow = look(&draft())["answer"]["value"].as_f64().unwrap();
    assert!((by_pressure / by_flow - 1.0).abs() < 1e-5, "{by_pressure} {by_flow}");
    let files = answer(&json!({ "ask": "phone-sheet", "draft": d, "now": "" }))["data"]["files"].take();
    let back = answer(&json!({ "ask": "phone-open", "files": files }));
    assert_eq!(back["data"]["draft"]["fans"], json!(d.fans));
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
    d.fans[0].accuracy = String::new();
    let no_accuracy = sheet(&d);
    assert!(
        no_accuracy.contains("the accuracy of gauge or fan is missing")
            && no_accuracy.contains("not known")
            && !no_accuracy.contains("\"verdict fail\"")
    );
    d.fans[0].accuracy = "4".into();
    d.fans[0].shows = String::new();
    let no_basis = sheet(&d);
    assert!(no_basis.contains("not said what the fan shows") && !no_basis.contains("\"verdict fail\""));
    d.fans[0].shows = "actual-density".into();
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
    assert_eq!((d.profile.as_str(), d.fans[0].shows.as_str()), ("astm-e779", "calibration-density"));
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

fn reopened(d: &Draft) -> Draft {
    let made = answer(&json!({ "ask": "phone-sheet", "draft": d, "now": "2026-11-12" }));
    let back = answer(&json!({ "ask": "phone-open", "files": made["data"]["files"] }));
    assert_eq!(back["diagnostics"], json!([]));
    serde_json::from_value(back["data"]["draft"].clone()).unwrap()
}

/// Errors and warnings of a sheet.
fn troubles(d: &Draft) -> Vec<String> {
    let made = answer(&json!({ "ask": "phone-sheet", "draft": d, "now": "2026-11-12" }));
    let list = made["diagnostics"].as_array().unwrap().iter();
    list.filter(|x| x["severity"] != "note").map(|x| format!("{}: {}", x["code"], x["text"])).collect()
}

#[test]
fn two_fans_add_up_and_come_back() {
    let one = look(&draft())["answer"]["value"].as_f64().unwrap();
    let mut d = draft();
    d.gauge.accuracy = "1 % or 0.25 Pa".into();
    d.fans[0].accuracy = "4 %".into();
    let mut second = d.fans[0].clone();
    second.serial = "F-2".into();
    second.shows = "fan-pressure".into();
    second.calibrations = vec![
        Calibration {
            name: "small ring".into(),
            kind: "table".into(),
            points: [("5", "200"), ("20", "400"), ("500", "2000")]
                .map(|(p, q)| Point { pressure: p.into(), flow: q.into() })
                .to_vec(),
            ..Calibration::default()
        },
        Calibration { name: "ring \"b\"".into(), ..equation("40", "0.5", "5", "500") },
    ];
    d.fans.push(second);
    for (i, s) in d.stations.iter_mut().enumerate() {
        let flow: f64 = s.fans[0].parse().unwrap();
        // A third of the flow through the second fan, which is sealed at the last station.
        let (part, name) = if i == 7 { (0.0, "") } else { (flow / 3.0, if i < 3 { "1" } else { "2" }) };
        let k = if i < 3 { 200.0 / 5.0_f64.sqrt() } else { 40.0 };
        s.fans = vec![format!("{:.4}", flow - part), format!("{:.6}", (part / k) * (part / k))];
        s.fans.iter_mut().for_each(|t| *t = t.trim_end_matches('0').trim_end_matches('.').to_owned());
        s.ranges = if i == 7 { Vec::new() } else { vec![String::new(), name.into()] };
    }
    let l = look(&d);
    assert!((l["answer"]["value"].as_f64().unwrap() / one - 1.0).abs() < 1e-6, "{l}");
    assert_eq!((&l["challenges"], &l["missing"]), (&json!([]), &json!([])));
    assert_eq!(troubles(&d), [""; 0]);
    assert!(l["basis_sentence"].as_str().unwrap().contains("Fan 2: "));
    assert_eq!(reopened(&d), d);
    // A station that does not name its range is half a station.
    d.stations[2].ranges[1].clear();
    assert_eq!(look(&d)["residuals"].as_array().unwrap().len(), 7);
    assert!(troubles(&d)[0].contains("D104"), "{:?}", troubles(&d));
}

/// The second direction: 1.1 times as leaky, the baseline after the first belongs to both.
fn both_ways() -> Draft {
    let mut d = draft();
    d.gauge.accuracy = "1 % or 0.25 Pa".into();
    d.fans[0].accuracy = "4 %".into();
    d.fans[0].shows = "reference-conditions".into();
    d.fans[0].calibration_density.clear();
    let flow = |s: &Station| 118.0 * engine::math::pow(s.house.parse::<f64>().unwrap() + 1.0, 0.65) * 1.1;
    d.second = Some(Second {
        baseline_before: Vec::new(),
        baseline_after: ["-1", "-1.1", "-0.8"].map(str::to_owned).to_vec(),
        stations: d.stations.iter().map(|s| station(&s.house, &format!("{:.0}", flow(s)))).collect(),
    });
    d
}

#[test]
fn two_directions_give_the_mean_and_stand_on_the_sheet() {
    let d = both_ways();
    let alone = |run: &Draft| look(run)["answer"]["value"].as_f64().unwrap();
    let runs = d.runs();
    let (down, up) = (alone(&runs[0]), alone(&runs[1]));
    assert!((up / down - 1.1).abs() < 0.03, "{up} {down}");
    let l = look(&d);
    assert_eq!((&l["missing"], &l["challenges"]), (&json!([]), &json!([])));
    assert!((l["answer"]["value"].as_f64().unwrap() / (0.5 * (down + up)) - 1.0).abs() < 1e-12);
    let residuals = l["residuals"].as_array().unwrap();
    let of = |run: u64| residuals.iter().filter(|r| r["run"] == run).count();
    assert_eq!((of(0), of(1), l["history"].as_array().unwrap().len()), (8, 8, 14));
    assert!(l["second_advice"]["stop"] == true && l["advice"]["stop"] == true);
    assert_eq!(reopened(&d), d);
    let made = answer(&json!({ "ask": "phone-sheet", "draft": d, "now": "2026-11-12" }));
    let page = made["data"]["html"].as_str().unwrap();
    assert!(
        page.contains("house drawn down") && page.contains("house blown up") && page.contains("(\u{2212})")
    );
    let visit = made["data"]["files"][1]["text"].as_str().unwrap();
    assert_eq!(visit.matches("baseline_").count(), 3, "{visit}");
    // The same with baselines of its own: what is read once must not count as read twice.
    let half = |d: &Draft| {
        let inputs = crate::Inputs { files: compose(d, "", &[]), now: String::new() };
        let out =
            crate::answer(&crate::Request::Results, &inputs, &mut |_| std::ops::ControlFlow::Continue(()));
        let ach50 = out.data.results[0].result.figures.ach50.unwrap().total;
        ach50.bounds().unwrap().1 / ach50.si
    };
    let mut own = d.clone();
    own.second.as_mut().unwrap().baseline_before = d.baseline_after.clone();
    assert!(half(&d) > half(&own), "{} {}", half(&d), half(&own));
    // A question about the second run names it.
    let mut wrong = d.clone();
    wrong.second.as_mut().unwrap().stations[3].fans = vec!["99".into()];
    assert_eq!(look(&wrong)["challenges"][0]["field"], "second.stations.3.fan");
}

#[test]
fn one_table_in_both_directions_is_split() {
    let d = both_ways();
    let second = d.second.as_ref().unwrap();
    let mut files = compose(&Draft { second: None, ..d.clone() }, "", &[]);
    let visit = &mut files[1].text;
    *visit = visit.replace("direction = \"depressurise\"", "direction = \"both\"");
    let more: String = second.stations.iter().map(|s| format!("  [{}, {}],\n", s.house, s.fans[0])).collect();
    let end = visit.rfind("]").unwrap();
    visit.insert_str(end, &more);
    let inputs = crate::Inputs { files, now: String::new() };
    let out = crate::answer(&crate::Request::Results, &inputs, &mut |_| std::ops::ControlFlow::Continue(()));
    let result = &out.data.results[0].result;
    assert_eq!(
        result.runs.iter().map(|r| r.stations.len()).collect::<Vec<_>>(),
        [8, 8],
        "{:?}",
        out.diagnostics
    );
    let ach50_h = result.figures.ach50.unwrap().total.si * 3600.0;
    // The baseline before and the one after belong to both.
    let mut shared = d.clone();
    shared.baseline_after.clear();
    shared.second.as_mut().unwrap().baseline_after = d.baseline_after.clone();
    let told = look(&shared)["answer"]["value"].as_f64().unwrap();
    assert!((told / ach50_h - 1.0).abs() < 1e-3, "{told} {ach50_h}");
}

#[test]
fn letterhead_humidity_and_what_was_confirmed_come_back_and_are_printed() {
    let mut d = draft();
    d.gauge.accuracy = "1 % or 0.25 Pa".into();
    d.fans[0].accuracy = "4 %".into();
    d.firm = super::draft::Firm {
        name: "Doorway Testing".into(),
        address: "12 Example Street\nSampleton".into(),
        phone: "555 0100".into(),
        licence: "Invented 77".into(),
    };
    d.conditions.indoor_rh = "45".into();
    d.conditions.outdoor_rh = "80.5".into();
    d.stations[5].house = "32".into();
    d.accepted = vec![look(&d)["challenges"][0]["mark"].as_str().unwrap().to_owned()];
    assert_eq!(reopened(&d), d);
    let made = answer(&json!({ "ask": "phone-sheet", "draft": d, "now": "2026-11-12" }));
    let page = made["data"]["html"].as_str().unwrap();
    for part in
        ["Doorway Testing", "Sampleton", "phone 555 0100", "licence Invented 77", "The tester: it is right"]
    {
        assert!(page.contains(part), "{part}");
    }
    // The command line says the same of the folder.
    let files = compose(&d, "", &super::challenge::confirmed(&d, "", &d.words()));
    let inputs = crate::Inputs { files, now: String::new() };
    let out = crate::answer(
        &crate::Request::Report { sheet: None, written: crate::Written::default() },
        &inputs,
        &mut |_| std::ops::ControlFlow::Continue(()),
    );
    let text: String = out.documents.iter().map(|f| f.text.as_str()).collect();
    for part in ["Doorway Testing", "licence Invented 77", "The tester: it is right", "80.5"] {
        assert!(text.contains(part), "{part}");
    }
}

#[test]
fn an_accuracy_nobody_knows_is_not_written_and_decides_nothing() {
    let mut d = draft();
    d.fans[0].accuracy.clear();
    let files = compose(&d, "", &[]);
    assert_eq!(files[1].text.matches("accuracy").count(), 1, "{}", files[1].text);
    let inputs = crate::Inputs { files, now: String::new() };
    let out = crate::answer(
        &crate::Request::Report { sheet: None, written: crate::Written::default() },
        &inputs,
        &mut |_| std::ops::ControlFlow::Continue(()),
    );
    let result = &out.data.results[0];
    use engine::procedure::verdict::Verdict;
    assert_eq!(result.comparison.as_ref().unwrap().verdict, Verdict::CannotTell);
    let text: String = out.documents.iter().map(|f| f.text.as_str()).collect();
    assert!(text.contains("not known") && text.contains("No verdict: the accuracy"));
}
