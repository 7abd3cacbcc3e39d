//! Which reading to take next: questions, safety, what is said where nothing can be said.

use crate::run::{Folder, airwright, json};

/// The demonstration house before anything was lived: documents only.
fn demo(folder: &Folder) -> std::path::PathBuf {
    let house = folder.path().join("h");
    for file in api::demo().unwrap() {
        folder.write(&format!("h/{}", file.name), file.text);
    }
    house
}

#[test]
fn what_safety_forbids_is_counted_and_never_shown() {
    let folder = Folder::new();
    let house = demo(&folder);
    let (code, held) = json(&["next", "--question", "air from crawl", "--minutes", "60"], &house);
    assert!(code < 2, "{held}");
    let next = &held["data"]["next"];
    assert!(next["forbidden"].as_u64().unwrap() > 10 && next["forbids"][0] == "combustion", "{next}");
    let list = next["list"].as_array().unwrap();
    assert!(
        !list.is_empty()
            && list.iter().all(|c| c["test_fan"] == false && c["running"] == serde_json::json!([]))
    );
    assert!(next["helps"].as_array().unwrap().iter().any(|h| h["missing"] == "safety"));
    let said = airwright(&["next"], &house);
    assert!(said.out.contains("gas water heater has no spillage result"), "{}", said.out);

    // A licensed person's word stands in for what is missing: the fan may run.
    let visit = "h/visits/2026-11-12/visit.toml";
    let signed = "[combustion.sign_off]\nwho = \"L. Sample\"\nlicence = \"no. 0000\"\nwhat = \"water heater off\"\n\n[start]";
    let text = folder.read(visit).replacen("[start]", signed, 1);
    folder.write(visit, &text);
    let (_, free) = json(&["next", "--question", "air_from crawl", "--minutes", "60"], &house);
    let next = &free["data"]["next"];
    assert_eq!(next["forbidden"], 0, "{}", free["diagnostics"]);
    let route = &next["route"];
    assert!(route["minutes"].as_f64().unwrap() <= 60.0);
    let stops = route["stops"].as_array().unwrap();
    let each =
        |s: &serde_json::Value| s["changeover_min"].as_f64().unwrap() + s["reading_min"].as_f64().unwrap();
    let minutes: f64 = stops.iter().map(each).sum();
    assert!(!stops.is_empty() && (minutes - route["minutes"].as_f64().unwrap()).abs() < 1e-9, "{route}");
    let first = &next["list"][usize::try_from(stops[0]["pick"].as_u64().unwrap()).unwrap()];
    assert!(first["surprise"]["lo"].as_f64() < first["expected"]["lo"].as_f64());

    // Embers: nothing is drawn down, whatever the results say.
    let hot =
        text.replacen("[hazards.embers]\nstate = \"none seen\"", "[hazards.embers]\nstate = \"present\"", 1);
    folder.write(visit, hot);
    let (_, embers) = json(&["next"], &house);
    assert_eq!(embers["data"]["next"]["forbids"], serde_json::json!(["embers"]));
    assert!(airwright(&["next"], &house).out.contains("a fire burns or glows"));
}

#[test]
fn a_question_nobody_can_answer_lists_those_that_can() {
    let folder = Folder::new();
    let house = demo(&folder);
    let ran = airwright(&["next", "--question", "the moon"], &house);
    for part in ["the moon", "complaint 2", "total", "air from crawl", "pressure at water_heater", "plans"] {
        assert!(ran.err.contains(part), "{part}: {}", ran.err);
    }
    // Nothing but that: no safety, no fit.
    assert!(ran.out.is_empty() && ran.code != 0, "{} {}", ran.code, ran.out);
    assert_eq!(ran.err.matches("F111").count(), 1, "{}", ran.err);
    let plans = airwright(&["next", "--question", "plans"], &house);
    assert!(plans.err.contains("airwright plans"), "{}", plans.err);
    let bad = airwright(&["next", "--minutes", "-3"], &house);
    assert_eq!(bad.code, 2);
}

#[test]
fn minutes_are_the_users_own() {
    let folder = Folder::new();
    let house = demo(&folder);
    let minutes = |reads: &str| {
        let (_, value) = json(&["next", "--question", "duct leakage"], &house);
        let list = value["data"]["next"]["list"].as_array().unwrap().clone();
        list.iter().find(|c| c["reads"] == reads).map_or(f64::NAN, |c| c["minutes"].as_f64().unwrap())
    };
    let usual = minutes("handler");
    let job = folder.read("h/job.toml") + "\n[minutes]\nplate = \"25 min\"\n";
    folder.write("h/job.toml", job);
    assert!((minutes("handler") - usual - 15.0).abs() < 1e-9, "{usual}");
}
