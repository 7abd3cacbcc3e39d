//! The watch of the demonstration house as data, against the answer of the command line.

use crate::app::Desk;
use crate::phone::ask_at;
use crate::{Inputs, Request};
use engine::doc::File;
use engine::units::System;
use report::words::{Language, Words};
use serde_json::{Value, json};
use std::ops::ControlFlow;

fn ask(desk: &mut Desk, question: &Value) -> Value {
    let text = ask_at(&question.to_string(), desk, &mut |_| ControlFlow::Continue(()));
    serde_json::from_str(&text).unwrap()
}

/// Ten days of ten minutes: a bedroom of two, carbon monoxide once, a fan of the morning.
fn csv() -> String {
    let mut csv = "time,bedroom.co2 ppm,main.co ppm,outdoor.temp degC,bath_fan.flow cfm\n".to_owned();
    for k in 0..10 * 144 {
        let (day, minute) = (k / 144 + 1, k % 144 * 10);
        let night = !(7 * 60..22 * 60).contains(&minute);
        let (co2, co) = (if night { 900 } else { 520 } + k % 7, if k == 500 { 12 } else { 1 });
        let fan = if (6..8).contains(&(minute / 60)) { 50 } else { 0 };
        csv += &format!("2026-11-{day:02} {:02}:{:02},{co2},{co},8,{fan}\n", minute / 60, minute % 60);
    }
    csv
}

fn files() -> Vec<File> {
    let mut files = crate::demo().unwrap();
    files.push(File { name: "watch/log.csv".into(), text: csv() });
    files
}

fn page(desk: &mut Desk, files: &[File], judge: bool) -> Value {
    let files: Vec<Value> = files.iter().map(|f| json!({ "name": f.name, "text": f.text })).collect();
    let question = json!({ "ask": "app", "app": "page", "page": "watch", "judge": judge, "files": files, "now": "2026-11-26" });
    ask(desk, &question)
}

#[test]
fn traces_and_windows_are_there_before_anything_is_judged() {
    let mut desk = Desk::default();
    let shown = page(&mut desk, &files(), false);
    let data = &shown["data"];
    assert_eq!((&data["judged"], data["traces"].as_array().unwrap().len()), (&json!(false), 4), "{shown}");
    let co2 = &data["traces"][0];
    assert_eq!(
        (&co2["id"], &co2["group"], &co2["count"]),
        (&json!("bedroom.co2"), &json!("air"), &json!(1440))
    );
    assert!(co2["name"].as_str().unwrap().ends_with(", CO2"), "{co2}");
    // Shown in the units of the job: 900 ppm, 8 degC in Fahrenheit.
    let unit = |q: &str, si: f64| {
        let of = &data["units"][q];
        (of["scale"].as_f64().unwrap() * si + of["shift"].as_f64().unwrap(), of["symbol"].clone())
    };
    let ((ppm, _), (warm, symbol)) = (unit("gas_fraction", 900e-6), unit("temperature", 281.15));
    assert!((ppm - 900.0).abs() < 1e-9 && (warm - 46.4).abs() < 1e-9, "{ppm} {warm} {symbol}");
    assert_eq!(symbol, "\u{b0}F");
    let (from, to) = (co2["first_ms"].as_i64().unwrap(), co2["last_ms"].as_i64().unwrap() + 1);
    let window = |desk: &mut Desk, trace: &str, from: i64, to: i64, buckets: usize| {
        let question = json!({ "ask": "app", "app": "window", "trace": trace, "from": from, "to": to, "buckets": buckets });
        ask(desk, &question)["data"].clone()
    };
    let days = window(&mut desk, "bedroom.co2", from, from + 10 * 86_400_000, 10);
    assert_eq!(days["count"], json!(vec![144; 10]), "{days}");
    // 540 minutes of night, 900 of day, and the mean of k mod 7 over 144 rows.
    let mean = days["mean"][0].as_f64().unwrap() * 1e6;
    let written =
        (54.0 * 900.0 + 90.0 * 520.0) / 144.0 + (0..144).map(|k| f64::from(k % 7)).sum::<f64>() / 144.0;
    assert!((mean - written).abs() < 1e-6, "{mean} {written}");
    let one = window(&mut desk, "main.co", from, to, 1);
    assert_eq!((&one["count"][0], one["greatest"][0].as_f64()), (&json!(1440), Some(12e-6)));
    assert!(window(&mut desk, "attic.co2", from, to, 1).is_null());
    assert!(window(&mut Desk::default(), "main.co", from, to, 1).is_null());
}

#[test]
fn what_is_judged_is_the_answer_of_the_command_line() {
    let mut heard = 0;
    let mut desk = Desk::default();
    let question = json!({ "ask": "app", "app": "page", "page": "watch", "judge": true, "now": "2026-11-26",
        "files": files().iter().map(|f| json!({ "name": f.name, "text": f.text })).collect::<Value>() });
    let text = ask_at(&question.to_string(), &mut desk, &mut |p| {
        heard += usize::from(p.what == "progress-watch");
        ControlFlow::Continue(())
    });
    let shown: Value = serde_json::from_str(&text).unwrap();
    let data = &shown["data"];
    assert!(heard >= 10 && data["judged"] == true && data["has_model"] == true, "{heard} {}", data["judged"]);
    let request = Request::Watch { since: None };
    let inputs = Inputs { files: files(), now: String::new() };
    let out = crate::answer(&request, &inputs, &mut |_| ControlFlow::Continue(()));
    let w = out.data.watch.unwrap();
    assert_eq!(data["alerts"].as_array().unwrap().len(), w.alerts.len());
    assert_eq!(data["events"].as_array().unwrap().len(), w.events.len());
    assert_eq!(data["nights"].as_array().unwrap().len(), w.nights.len());
    let grave: Vec<_> = data["alerts"].as_array().unwrap().iter().filter(|a| a["grave"] == true).collect();
    assert_eq!(grave.len(), 1);
    assert!(grave[0]["text"].as_str().unwrap().contains("9 ppm (bpi-1200)"), "{}", grave[0]);
    // The band of the last hour judged is what the command line says of it, which has learned that hour too.
    let now = w.traces.iter().find(|t| t.trace == "bedroom.co2").unwrap();
    let hours = data["expected"].as_array().unwrap();
    let of = hours.iter().find(|h| h["trace"] == "bedroom.co2").unwrap();
    let at = usize::try_from((now.hour_ms - of["from_ms"].as_i64().unwrap()) / 3_600_000).unwrap();
    let (low, mid) = (of["low"][at].as_f64().unwrap(), of["mid"][at].as_f64().unwrap());
    assert!((low - now.interval.unwrap().0).abs() < 5e-6 && low < mid, "{low} {:?}", now.interval);
    assert!(of["low"].as_array().unwrap().len() > 24 && hours.iter().all(|h| h["trace"] != "attic.co2"));
    // Asked again it is not lived through again, and says the same.
    let again = page(&mut desk, &files(), true);
    assert_eq!(&again["data"], data);
}

#[test]
fn a_job_without_series_has_units_and_no_trace_and_one_that_is_stopped_is_not_judged() {
    let mut desk = Desk::default();
    let shown = page(&mut desk, &crate::demo().unwrap(), false);
    assert_eq!(shown["data"]["traces"], json!([]));
    assert!(
        shown["data"]["units"]["pressure"]["symbol"] == "Pa" && shown["data"]["zone"].is_null(),
        "{shown}"
    );
    assert!(shown["diagnostics"].as_array().unwrap().iter().all(|d| d["severity"] != "error"), "{shown}");
    let question = json!({ "ask": "app", "app": "page", "page": "watch", "judge": true, "now": "",
        "files": files().iter().map(|f| json!({ "name": f.name, "text": f.text })).collect::<Value>() });
    let text = ask_at(&question.to_string(), &mut desk, &mut |_| ControlFlow::Break(()));
    let stopped: Value = serde_json::from_str(&text).unwrap();
    assert_eq!((&stopped["data"]["judged"], &stopped["data"]["stopped"]), (&json!(false), &json!(true)));
}

#[test]
fn causes_that_a_desk_kept_are_told_in_the_words_of_the_job() {
    let job = crate::demo().unwrap().into_iter().find(|f| f.name == "job.toml").unwrap();
    let question = json!({ "ask": "app", "app": "causes", "files": [{ "name": job.name, "text": job.text }],
        "traces": [{ "name": "bedroom_co2", "quantity": "gas_fraction" }],
        "events": [[
            { "kind": "sensor", "trace": "bedroom_co2", "amount": 200e-6, "share": 0.9 },
            { "kind": "other", "amount": 1.0, "share": 0.005 },
        ], []] });
    let told = ask(&mut Desk::default(), &question)["data"].clone();
    // What is hardly likely is not told.
    assert_eq!((told[0].as_array().unwrap().len(), &told[1]), (1, &json!([])), "{told}");
    let text = told[0][0]["text"].as_str().unwrap();
    assert!(text.contains("bedroom co2") && text.contains("+200\u{a0}ppm"), "{text}");
    assert!(
        told[0][0]["look"].as_str().unwrap().ends_with('.')
            && told[0][0]["percent"].as_str().unwrap().contains("90")
    );
}

/// What people are told of how often an alert comes for nothing has no more than whole numbers in it.
#[test]
fn rates_of_false_alerts_are_whole_numbers() {
    let en = Words::new(Language::En, System::Si);
    let es = Words::new(Language::Es, System::Si);
    let said = |rate: f64| super::false_rate(rate, &en);
    assert_eq!(said(0.0083), "about one false alert of this kind in 10 years");
    assert_eq!(said(0.2), "about one false alert of this kind in 5 months");
    assert_eq!(said(0.9), "about one false alert of this kind a month");
    assert_eq!(said(3.4), "about 3 false alerts of this kind a month");
    assert_eq!(said(1e-9), "less than one false alert of this kind in 50 years");
    assert_eq!(said(0.0), said(1e-9));
    assert_eq!(super::false_rate(0.2, &es), "más o menos un aviso falso de este tipo en 5 meses");
}

/// A live watch of the demonstration house whose sources do not say in their names where they are.
const LIVE: &str = r#"
format = 1
[posts]
listen = "127.0.0.1:1"
token_env = "X"
[source.bed_co2]
path = "bed_co2"
payload = "plain"
quantity = "co2"
unit = "ppm"
basis = "raw"
instrument = "one"
place = "bedroom"
[source.bed_co2_b]
path = "bed_co2_b"
payload = "plain"
quantity = "co2"
unit = "ppm"
basis = "raw"
instrument = "two"
place = "bedroom"
[source.blower]
path = "blower"
payload = "plain"
quantity = "power"
unit = "W"
basis = "raw"
instrument = "three"
place = "air_handler"
[source.porch]
label = "by the porch"
path = "porch"
payload = "plain"
quantity = "temp"
unit = "degC"
basis = "raw"
instrument = "four"
place = "outdoors"
"#;

fn documents() -> Vec<File> {
    let mut files: Vec<File> = crate::demo().unwrap();
    files.retain(|f| ["job.toml", "house.toml"].contains(&f.name.as_str()));
    files.push(File { name: "watch.toml".into(), text: LIVE.into() });
    files
}

fn in_language(desk: &mut Desk, mut question: Value, language: &str) -> Value {
    question["language"] = language.into();
    ask(desk, &question)["data"].clone()
}

#[test]
fn traces_of_a_desk_are_called_as_people_call_them() {
    let files: Vec<Value> = documents().iter().map(|f| json!({ "name": f.name, "text": f.text })).collect();
    let told = |name: &str, place: Value, quantity: &str| json!({ "name": name, "place": place, "quantity": quantity });
    let traces = json!([
        told("bed_co2", json!("bedroom"), "gas_fraction"),
        told("bed_co2_b", json!("bedroom"), "gas_fraction"),
        told("blower", json!("air_handler"), "power"),
        told("porch", json!("outdoors"), "temperature"),
        // These nobody wrote down: a place and a quantity, a name that ends in what it is, and neither.
        told("handheld", json!("main"), "particle_concentration"),
        told("attic_co", json!("attic"), "gas_fraction"),
        told("odd_thing", Value::Null, "gas_fraction"),
        told("outdoor.temp", Value::Null, "temperature"),
    ]);
    let question = json!({ "ask": "app", "app": "names", "files": files, "traces": traces });
    let en = in_language(&mut Desk::default(), question.clone(), "en");
    let wanted = [
        "north bedroom, CO2 (bed co2)",
        "north bedroom, CO2 (bed co2 b)",
        "Air handler, power",
        "by the porch",
        "main floor, PM2.5",
        "attic, carbon monoxide",
        "odd thing",
        "Outdoors, temperature",
    ];
    assert_eq!(en, json!(wanted));
    let es = in_language(&mut Desk::default(), question, "es");
    assert_eq!(
        (&es[2], &es[4], &es[6]),
        (&json!("Manejadora de aire, potencia"), &json!("main floor, PM2,5"), &json!("odd thing"))
    );
    let question = json!({ "ask": "app", "app": "causes", "files": files, "traces": traces, "events": [[
        { "kind": "sensor", "trace": "blower", "amount": 20.0, "share": 0.4 },
        { "kind": "filter", "device": "air_handler", "amount": 2.0, "share": 0.2 },
        { "kind": "runs", "device": "bath_fan", "amount": 1.0, "share": 0.2 },
        { "kind": "door_shut", "between": ["main", "bedroom"], "amount": 1.0, "share": 0.1 },
        { "kind": "people", "zone": "closet", "amount": 2.0, "share": 0.1 },
    ]] });
    let fan = documents().iter().find(|f| f.name == "house.toml").unwrap().text.contains("[fan.bath_fan]");
    assert!(fan);
    for language in ["en", "es"] {
        let list = in_language(&mut Desk::default(), question.clone(), language);
        let texts: Vec<&str> =
            list[0].as_array().unwrap().iter().map(|c| c["text"].as_str().unwrap()).collect();
        assert_eq!(texts.len(), 5, "{texts:?}");
        assert!(texts[3].contains("main floor") && texts[3].contains("north bedroom"), "{texts:?}");
        assert!(texts[4].contains("heater closet"), "{texts:?}");
        assert!(texts.iter().all(|t| !t.contains('_')), "{texts:?}");
    }
}

/// A judged page of a job names nothing as a document spells it.
#[test]
fn a_judged_page_has_no_name_that_only_its_documents_know() {
    let toml = "format = 1\n[filter.hall]\ndevice = \"air_handler\"\nflow = \"1000 cfm\"\ndrop = \"25 Pa\"\n";
    let mut files = files();
    files.push(File { name: "watch.toml".into(), text: toml.into() });
    // The bath fan's trace ends days before the others: silence, and a night of the bedroom.
    let log = files.iter_mut().find(|f| f.name == "watch/log.csv").unwrap();
    let rows: Vec<String> = log
        .text
        .lines()
        .enumerate()
        .map(|(k, row)| match (k > 1000, row.rsplit_once(',')) {
            (true, Some((kept, _))) => format!("{kept},"),
            _ => row.to_owned(),
        })
        .collect();
    log.text = rows.join("\n") + "\n";
    for (language, outdoors) in [("en", "Outdoors, "), ("es", "Exterior, ")] {
        let of: Vec<Value> = files.iter().map(|f| json!({ "name": f.name, "text": f.text })).collect();
        let question = json!({ "ask": "app", "app": "page", "page": "watch", "judge": true, "files": of, "now": "2026-11-26" });
        let data = in_language(&mut Desk::default(), question, language);
        let mut said: Vec<String> = Vec::new();
        for key in ["alerts", "nights", "filters"] {
            said.extend(data[key].as_array().unwrap().iter().map(|a| a["text"].as_str().unwrap().to_owned()));
        }
        said.extend(
            data["nights"].as_array().unwrap().iter().map(|n| n["name"].as_str().unwrap().to_owned()),
        );
        let traces = data["traces"].as_array().unwrap();
        assert!(traces.iter().any(|t| t["name"].as_str().unwrap().starts_with(outdoors)), "{traces:?}");
        assert!(
            said.iter().any(|t| t.contains("main floor")) && said.iter().any(|t| t.contains("north bedroom")),
            "{said:?}"
        );
        assert!(data["alerts"].as_array().unwrap().iter().any(|a| a["kind"] == "silence"), "{said:?}");
        assert!(
            said.iter()
                .all(|t| !t.contains("bath_fan") && !t.contains("bedroom.co2") && !t.contains("main.co")),
            "{said:?}"
        );
    }
}

/// What a desk tells of a live watch has the names of the house, in the language that is asked for.
#[test]
fn a_live_watch_is_told_with_the_names_of_its_house() {
    use crate::watch::{Told, told};
    let alert = |kind: &str, of: &str, value: f64| Told {
        kind: kind.to_owned(),
        of: of.to_owned(),
        start_ms: 1_790_000_000_000,
        end_ms: None,
        value: Some(value),
        false_a_month: None,
    };
    let alerts = [
        alert("silence", "blower", 0.0),
        alert("change", "porch", 4.0),
        alert("filter-due", "air_handler", 2.0),
    ];
    let say = |language: Option<&str>| {
        let speech = crate::Speech { language: language.map(str::to_owned), system: None };
        let page = told(None, &alerts, None, documents(), &speech, 1_790_000_000_000 + 36_000_000);
        page["alerts"]
            .as_array()
            .unwrap()
            .iter()
            .map(|a| a["text"].as_str().unwrap().to_owned())
            .collect::<Vec<_>>()
    };
    let en = say(None);
    assert_eq!(en[0], "Air handler, power: nothing sent for 10.0\u{a0}h.");
    assert!(en[1].starts_with("by the porch: ") && en[2].starts_with("Air handler: "), "{en:?}");
    let es = say(Some("es"));
    assert_eq!(es[0], "Manejadora de aire, potencia: no env\u{ed}a nada desde hace 10,0\u{a0}h.");
    assert!(es[1].starts_with("by the porch: ") && es[2].starts_with("Manejadora de aire: "), "{es:?}");
}
