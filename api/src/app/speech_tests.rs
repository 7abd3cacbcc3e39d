//! A device says everything in its own language, whatever the job is written in; what leaves stays in the job's.

use super::Desk;
use crate::phone::ask_at;
use report::words::Language;
use serde_json::{Value, json};
use std::collections::BTreeSet;
use std::ops::ControlFlow;

fn ask(desk: &mut Desk, question: &Value) -> Value {
    let text = ask_at(&question.to_string(), desk, &mut |_| ControlFlow::Continue(()));
    serde_json::from_str(&text).unwrap()
}

/// Pieces of the catalogues' texts between what is put in: several words each.
fn pieces(language: Language) -> BTreeSet<String> {
    let mut out = BTreeSet::new();
    let lines = language.catalogues().iter().flat_map(|(_, text)| text.lines());
    for line in lines.filter(|l| !l.trim_start().starts_with('#')) {
        let text = line.split_once(" = ").map_or(line, |l| l.1);
        let text = text.trim_start().trim_start_matches('*');
        let text = text.strip_prefix('[').and_then(|t| t.split_once(']')).map_or(text, |t| t.1);
        for piece in text.split(['{', '}']) {
            let piece = piece.trim();
            if piece.len() >= 14 && piece.contains(' ') && !piece.contains('$') {
                out.insert(piece.to_owned());
            }
        }
    }
    out
}

/// Sentences of English that no text of the job has and Spanish does not share.
fn english(files: &[Value]) -> Vec<String> {
    let spanish: String = Language::Es.catalogues().iter().map(|(_, t)| *t).collect();
    let own: String = files.iter().filter_map(|f| f["text"].as_str()).collect();
    pieces(Language::En).into_iter().filter(|p| !spanish.contains(p) && !own.contains(p)).collect()
}

const WORDS_OF_DOCUMENTS: [&str; 6] = ["text", "key", "id", "kind", "value", "name"];

fn said<'v>(value: &'v Value, key: &str, out: &mut Vec<&'v str>) {
    match value {
        // Documents leave; what stands under these keys is a word of the documents, with its label beside it.
        Value::String(text) if !WORDS_OF_DOCUMENTS.contains(&key) => out.push(text),
        Value::Array(list) => list.iter().for_each(|v| said(v, key, out)),
        Value::Object(map) => {
            map.iter().filter(|(k, _)| *k != "documents" && *k != "ready").for_each(|(k, v)| said(v, k, out));
        }
        _ => {}
    }
}

fn english_in(answer: &Value, english: &[String]) -> Vec<String> {
    let mut all = Vec::new();
    said(&answer["data"], "", &mut all);
    for d in answer["diagnostics"].as_array().unwrap() {
        all.extend(["text", "because", "help"].iter().filter_map(|k| d[k].as_str()));
    }
    // A word of the documents stands between backticks, in every language the same.
    let plain = |t: &&str| t.split('`').step_by(2).collect::<Vec<_>>().join(" ");
    let all: Vec<String> = all.iter().map(plain).collect();
    let found = |p: &String| all.iter().find(|t| t.contains(p.as_str())).map(|_| p.clone());
    english.iter().filter_map(found).collect()
}

#[test]
fn a_spanish_device_over_an_english_job_says_nothing_in_english() {
    let files: Vec<Value> =
        crate::demo().unwrap().iter().map(|f| json!({ "name": f.name, "text": f.text })).collect();
    let mut desk = Desk::default();
    let english = english(&files);
    assert!(english.len() > 500, "{}", english.len());
    let mut page = |files: &[Value], language: &str, of: &Value| {
        let mut question = json!({ "ask": "app", "app": "page", "files": files, "now": "2026-11-26",
            "language": language, "system": "SI" });
        question.as_object_mut().unwrap().extend(of.as_object().unwrap().clone());
        ask(&mut desk, &question)
    };
    let visit = "visits/2026-11-12/visit.toml";
    let tests = page(&files, "es", &json!({ "page": "visit" }));
    let kinds = tests["data"]["kinds"]["list"].as_array().unwrap();
    let mut asked: Vec<Value> = vec![
        json!({ "page": "house" }),
        json!({ "page": "house", "scene": { "fan_pa": -50, "weather": "mild" } }),
        json!({ "page": "visit" }),
        json!({ "page": "visit", "read": true }),
        json!({ "page": "known", "minutes": 30.0 }),
        json!({ "page": "known", "question": "nothing of the kind" }),
        json!({ "page": "plans" }),
        json!({ "page": "parts" }),
        json!({ "page": "watch" }),
        json!({ "page": "report" }),
    ];
    for name in kinds.iter().flat_map(|k| k["tests"].as_array().unwrap()).map(|t| &t["name"]) {
        asked.push(json!({ "page": "visit", "visit": visit, "test": name }));
    }
    assert!(asked.len() > 10, "no test is open");
    let mut found = Vec::new();
    for of in &asked {
        let answer = page(&files, "es", of);
        found.extend(english_in(&answer, &english).into_iter().map(|piece| format!("{of}: {piece}")));
    }
    assert!(found.is_empty(), "{found:#?}");
    // The check itself sees English where it is.
    assert!(english_in(&page(&files, "en", &asked[3]), &english).len() > 20);
    // What is wrong with a document is said in the same language.
    let mut broken = files.clone();
    let house = broken.iter_mut().find(|f| f["name"] == "house.toml").unwrap();
    house["text"] = house["text"].as_str().unwrap().replace("150 to 1000 cfm", "150 to 1000").into();
    let answer = page(&broken, "es", &json!({ "page": "house" }));
    assert!(!answer["diagnostics"].as_array().unwrap().is_empty());
    assert_eq!(english_in(&answer, &english), Vec::<String>::new());
}

#[test]
fn what_leaves_is_in_the_language_of_the_job_or_the_one_that_was_chosen() {
    let files: Vec<Value> =
        crate::demo().unwrap().iter().map(|f| json!({ "name": f.name, "text": f.text })).collect();
    let mut desk = Desk::default();
    let mut report = |written: Value| {
        let question = json!({ "ask": "app", "app": "page", "page": "report", "files": files, "now": "2026-11-26",
            "language": "es", "system": "SI", "written": written });
        ask(&mut desk, &question)["data"].clone()
    };
    let own = report(json!({}));
    let sheet = |of: &Value, name: &str| {
        let all = of["documents"].as_array().unwrap().clone();
        all.into_iter()
            .find(|d| d["name"] == name)
            .map(|d| (d["label"].clone(), d["text"].as_str().unwrap().to_owned()))
    };
    let (label, text) = sheet(&own, "report.html").unwrap();
    assert!(text.contains("<html lang=\"en\"") && text.contains("cfm"), "as the job is");
    assert_ne!(label, json!("full record"), "the list of the page is the device's");
    assert_eq!(own["own"], json!({ "language": "en", "system": "IP" }));
    let (_, text) = sheet(&report(json!({ "language": "es", "system": "SI" })), "report-es-si.html").unwrap();
    assert!(text.contains("<html lang=\"es\"") && text.contains("m\u{b3}/h"));
    let ip = |text: &str| text.matches("\u{a0}cfm").count();
    assert!(ip(&text) * 20 < ip(&sheet(&own, "report.html").unwrap().1), "{}", ip(&text));
    // Parts are left out and named; safety never is.
    let without = report(json!({ "parts": ["complaint"] }));
    let (_, short) = sheet(&without, "report.html").unwrap();
    let (_, whole) = sheet(&own, "report.html").unwrap();
    assert!(short.len() < whole.len() / 2);
    assert!(short.contains("class=\"safe\"") && short.contains("Left out of this copy"));
    assert!(!short.contains("Instruments</h2>") && whole.contains("Instruments</h2>"));
    let (_, owner) = sheet(&without, "owner.html").unwrap();
    assert_eq!(Some(owner), sheet(&own, "owner.html").map(|s| s.1), "the owner's page stays as designed");
}

#[test]
fn a_photo_is_a_part_of_the_record_or_said_to_be_lacking() {
    use sha2::{Digest, Sha256};
    let mut files: Vec<Value> =
        crate::demo().unwrap().iter().map(|f| json!({ "name": f.name, "text": f.text })).collect();
    // `foobar` is no picture, but its bytes have a hash as those of one.
    let hash: String = Sha256::digest(b"foobar").iter().map(|b| format!("{b:02x}")).collect();
    let other = "0".repeat(64);
    let visit = files.iter_mut().find(|f| f["name"].as_str().unwrap().ends_with("visit.toml")).unwrap();
    let photo = |name: &str, shows: &str| {
        format!(
            "\n[[photo]]\nfile = \"attachments/{name}.jpg\"\nshows = \"{shows}\"\ntime = \"14:05\"\nwhere = \"attic\"\n"
        )
    };
    let more = photo(&hash, "cold <corner>") + &photo(&other, "changed") + &photo("gone", "lost");
    visit["text"] = (visit["text"].as_str().unwrap().to_owned() + &more).into();
    let picture = |name: &str| json!({ "name": format!("attachments/{name}.jpg"), "text": "data:image/jpeg;base64,Zm9vYmFy" });
    files.extend([picture(&hash), picture(&other)]);
    let question =
        json!({ "ask": "app", "app": "page", "page": "report", "files": files, "now": "2026-11-26" });
    let answer = ask(&mut Desk::default(), &question);
    let documents = answer["data"]["documents"].as_array().unwrap();
    let text = documents.iter().find(|d| d["name"] == "report.html").unwrap()["text"].as_str().unwrap();
    assert_eq!(text.matches("data:image/jpeg;base64,Zm9vYmFy").count(), 1);
    assert!(
        text.contains("alt=\"cold &lt;corner") && text.contains("14:05, attic"),
        "escaped, with time and place"
    );
    assert!(text.contains("lost") && text.contains("its bytes are not those"));
    let codes: Vec<&str> =
        answer["diagnostics"].as_array().unwrap().iter().filter_map(|d| d["code"].as_str()).collect();
    assert!(codes.contains(&"S112") && codes.contains(&"S113"), "{codes:?}");
}
