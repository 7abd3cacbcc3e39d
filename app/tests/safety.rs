//! `airwright safety`: the screen, the restore list, the repeats, on the terminal and as JSON.

use crate::run::{Folder, airwright, json};
use std::path::PathBuf;

const VISIT: &str = "h/visits/2026-11-12/visit.toml";

fn demo(folder: &Folder) -> PathBuf {
    for file in api::demo().unwrap() {
        folder.write(&format!("h/{}", file.name), file.text);
    }
    folder.path().join("h")
}

#[test]
fn the_demonstration_visit_is_whole_and_closed() {
    let folder = Folder::new();
    let house = demo(&folder);
    let said = airwright(&["safety"], &house);
    assert!(said.code < 2, "{}", said.err);
    for part in [
        "Hazard screen, 2026-11-12",
        "one dog",
        "gas water heater",
        "By the fitted house",
        "all put back",
        "11:50",
    ] {
        assert!(said.out.contains(part), "{part}: {}", said.out);
    }
    let (_, answer) = json(&["safety"], &house);
    let safety = &answer["data"]["safety"];
    assert_eq!(safety["screen"]["outcome"], "changed");
    assert_eq!(safety["restore"][0]["list"].as_array().unwrap().len(), 7);
    let tries = safety["guides"][0]["tries"].as_array().unwrap();
    let nets: Vec<f64> = tries.iter().map(|t| t["expected"]["net"]["value"].as_f64().unwrap()).collect();
    assert!(nets.len() > 8 && nets.is_sorted() && nets[0] < -1.0, "{nets:?}");
}

#[test]
fn an_open_item_a_lost_photo_and_a_stop_are_said() {
    let folder = Folder::new();
    let house = demo(&folder);
    let whole = folder.read(VISIT);
    let codes = |house: &PathBuf| -> Vec<String> {
        let (code, answer) = json(&["safety"], house);
        assert_eq!(code, 1);
        let list = answer["diagnostics"].as_array().unwrap();
        list.iter().map(|d| d["code"].as_str().unwrap().to_owned()).filter(|c| c.starts_with('O')).collect()
    };
    folder.write(VISIT, whole.replacen("\"bath_fan\"]", "]", 1));
    assert_eq!(codes(&house), ["O106"]);
    folder.write(VISIT, whole.replacen("note = \"one dog\"", "photo = \"photos/dog.jpg\"", 1));
    assert_eq!(codes(&house), ["O102"]);
    folder.write("h/photos/dog.jpg", [0xff, 0xd8]);
    let (_, answer) = json(&["safety"], &house);
    assert!(!answer["diagnostics"].to_string().contains("O102"));
    let gas = "[hazards.gas]\nstate = ";
    folder.write(VISIT, whole.replacen(&format!("{gas}\"none seen\""), &format!("{gas}\"suspect\""), 1));
    assert!(codes(&house).contains(&"O104".to_owned()));
    let said = airwright(&["safety"], &house);
    assert!(said.out.contains("The work stops") && said.out.contains("gas utility"), "{}", said.out);
    let (_, next) = json(&["next"], &house);
    assert_eq!(next["data"]["next"]["list"], serde_json::json!([]), "{next}");
    assert_eq!(next["data"]["next"]["forbids"][0], "stop");
}
