//! Pages of the demonstration house, a house from answers, edits.

use super::Desk;
use crate::phone::ask_at;
use serde_json::{Value, json};
use std::ops::ControlFlow;

fn ask(desk: &mut Desk, question: &Value) -> Value {
    let text = ask_at(&question.to_string(), desk, &mut |_| ControlFlow::Continue(()));
    serde_json::from_str(&text).unwrap()
}

fn demo() -> Vec<Value> {
    let files = crate::demo().unwrap();
    files.into_iter().map(|f| json!({ "name": f.name, "text": f.text })).collect()
}

fn page(desk: &mut Desk, files: &[Value], page: &Value) -> Value {
    let mut question = json!({ "ask": "app", "app": "page", "files": files, "now": "2026-11-26" });
    question.as_object_mut().unwrap().extend(page.as_object().unwrap().clone());
    ask(desk, &question)
}

#[test]
fn a_switch_turned_on_the_drawing_moves_the_air_at_a_desk_as_without_one() {
    let (mut desk, files) = (Desk::default(), demo());
    let still = page(&mut desk, &files, &json!({ "page": "house" }));
    let data = &still["data"];
    assert_eq!((&data["house"], &data["fitted"]), (&json!(true), &json!(true)), "{still}");
    let ids: Vec<_> = data["fragments"].as_array().unwrap().iter().map(|f| f["id"].clone()).collect();
    assert_eq!(ids, ["section", "ladder", "flows"]);
    let level = |answer: &Value, zone: &str| {
        let zones = answer["data"]["zones"].as_array().unwrap().clone();
        zones.iter().find(|z| z["id"] == zone).unwrap()["levels"][1]["value"].as_str().unwrap().to_owned()
    };
    let scene = json!({ "page": "house", "scene": { "runs": { "range_hood": true, "air_handler": false } } });
    let hood = page(&mut desk, &files, &scene);
    assert_ne!(level(&still, "main"), level(&hood, "main"));
    assert!(hood["data"]["scene"]["switches"].to_string().contains("range_hood"));
    // Another desk, which has to fit first, says the same.
    assert_eq!(page(&mut Desk::default(), &files, &scene)["data"], hood["data"]);
    let held =
        page(&mut desk, &files, &json!({ "page": "house", "scene": { "fan_pa": -50, "weather": "mild" } }));
    assert!(level(&held, "main").contains("50"), "{}", level(&held, "main"));
}

#[test]
fn what_can_be_touched_carries_its_fields() {
    let (mut desk, files) = (Desk::default(), demo());
    let house = page(&mut desk, &files, &json!({ "page": "house" }));
    let passages = house["data"]["passages"].as_array().unwrap();
    let crawl = passages.iter().find(|p| p["path"] == "leak.floor_main").unwrap();
    let at50 =
        crawl["fields"].as_array().unwrap().iter().find(|f| f["key"] == "leak.floor_main.at50").unwrap();
    assert_eq!(at50["text"], "150 to 1000 cfm");
    assert!(!crawl["known"].as_array().unwrap().is_empty());
    // The drawing says which arrow is which passage.
    let svg = house["data"]["fragments"][0]["html"].as_str().unwrap();
    assert!(svg.contains("data-zone=\"bedroom\"") && svg.contains("data-passage=\"0\""));
    // An edit by its key: the comment beside it stays, and its inverse brings the bytes back.
    let edit = |value: &str, files: &[Value]| {
        let key = ["leak", "floor_main", "at50"];
        json!({ "ask": "app", "app": "edit", "files": files, "operations":
            [{ "path": "house.toml", "key": key, "do": "set", "value": value }] })
    };
    let changed = ask(&mut desk, &edit("\"200 to 400 cfm\"", &files));
    let new = changed["data"]["files"].as_array().unwrap();
    assert_eq!((new.len(), &new[0]["name"]), (1, &json!("house.toml")));
    let text = new[0]["text"].as_str().unwrap();
    assert!(text.contains("at50 = \"200 to 400 cfm\"") && text.contains("# ----"));
    let back = ask(&mut desk, &edit("\"150 to 1000 cfm\"", new));
    let was = files.iter().find(|f| f["name"] == "house.toml").unwrap();
    assert_eq!(back["data"]["files"][0]["text"], was["text"]);
    let refused = ask(&mut desk, &edit("not toml", &files));
    assert!(refused["data"].is_null() && refused["diagnostics"][0]["code"] == "K115", "{refused}");
}

#[test]
fn a_house_from_answers_can_be_worked_at_once() {
    for (units, area) in [("IP", "1400 ft2"), ("SI", "130 m2")] {
        for foundation in ["slab", "crawl", "basement"] {
            for ducts in ["none", "inside", "attic", "below", "garage"] {
                for storeys in [1, 2] {
                    let begin = json!({ "ask": "app", "app": "begin", "name": "A \"new\" house", "language": "es",
                        "units": units, "floor_area": area, "height": "", "storeys": storeys, "bedrooms": 3,
                        "foundation": foundation, "attic": foundation != "slab", "garage": ducts == "garage", "ducts": ducts,
                        "tightness": "leaky", "burns": ["water-heater"], "year_built": 1962 });
                    let made = ask(&mut Desk::default(), &begin);
                    let files = made["data"]["files"].as_array().unwrap().clone();
                    let shown = page(&mut Desk::default(), &files, &json!({ "page": "house" }));
                    let found = shown["diagnostics"].as_array().unwrap();
                    let wrong: Vec<_> = found.iter().filter(|d| d["severity"] == "error").collect();
                    let house = files[1]["text"].as_str().unwrap();
                    assert!(wrong.is_empty(), "{wrong:#?}\n{house}");
                    assert_eq!(shown["data"]["fragments"].as_array().unwrap().len(), 3, "{shown}\n{house}");
                }
            }
        }
    }
}

/// An answer that no house has is named; the page says so instead of drawing another house.
#[test]
fn answers_that_cannot_be_taken_are_told() {
    let ignored = |area: &str, height: &str| {
        let begin = json!({ "ask": "app", "app": "begin", "name": "New", "language": "en", "units": "IP",
            "floor_area": area, "height": height, "storeys": 1, "bedrooms": 3, "foundation": "slab", "attic": true,
            "garage": false, "ducts": "none", "tightness": "usual", "burns": [], "year_built": null });
        ask(&mut Desk::default(), &begin)["data"]["ignored"].clone()
    };
    assert_eq!(ignored("", ""), json!([]));
    assert_eq!(ignored("1400 ft2", "8 ft"), json!([]));
    assert_eq!(ignored("14o0 ft2", "8 ft"), json!(["floor_area"]));
    assert_eq!(ignored("14 ft2", "80 ft"), json!(["floor_area", "height"]));
}

#[test]
fn known_plans_and_report_have_their_parts() {
    let (mut desk, files) = (Desk::default(), demo());
    let known = page(&mut desk, &files, &json!({ "page": "known", "minutes": 20 }));
    let has = |answer: &Value, id: &str| {
        answer["data"]["fragments"].as_array().unwrap().iter().any(|f| f["id"] == id)
    };
    assert!(has(&known, "next") && has(&known, "known") && has(&known, "answers"), "{}", known["data"]);
    let questions = known["data"]["questions"].as_array().unwrap();
    assert!(questions.iter().any(|q| q["value"] == "complaint 1") && questions.len() > 5);
    let plans = page(&mut desk, &files, &json!({ "page": "plans" }));
    assert_eq!((&plans["data"]["lived"], has(&plans, "plans")), (&json!(false), false));
    let report = page(&mut desk, &files, &json!({ "page": "report" }));
    let documents = report["data"]["documents"].as_array().unwrap();
    let names: Vec<_> = documents.iter().map(|d| d["name"].as_str().unwrap()).collect();
    assert!(
        names.contains(&"owner.html")
            && names.contains(&"report.html")
            && names.contains(&"certificate.html"),
        "{names:?}"
    );
    assert!(documents.iter().all(|d| d["text"].as_str().unwrap().starts_with("<!doctype html>")));
    assert_eq!(documents[0]["label"], "owner\u{2019}s page");
}
