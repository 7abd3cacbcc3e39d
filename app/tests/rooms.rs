//! Rooms on the hardest days of the weather year.

use crate::run::{Folder, airwright, json};

#[test]
fn rooms_are_set_against_their_registers() {
    let folder = Folder::new();
    let house = folder.path().join("h");
    assert_eq!(airwright(&["demo"], &house).code, 0);
    let (code, answer) = json(&["rooms"], &house);
    assert_eq!(code, 0, "{}", answer["diagnostics"]);
    let days = answer["data"]["rooms"].as_array().unwrap();
    assert_eq!(days.len(), 2);
    assert!(days[0]["heats"].as_bool().unwrap() && !days[1]["heats"].as_bool().unwrap());
    let total = |day: &serde_json::Value| -> f64 {
        day["rooms"].as_array().unwrap().iter().map(|r| r["load"]["value"].as_f64().unwrap()).sum()
    };
    let usual_w = total(&days[0]);

    // A colder day asks for more, in proportion to the difference, but for the ground.
    let job = folder.read("h/job.toml");
    folder.write("h/job.toml", job.replacen("[place]", "[place]\nheating_design = \"-10 degC\"", 1));
    let (_, colder) = json(&["rooms"], &house);
    let day = &colder["data"]["rooms"][0];
    assert!(day["given"].as_bool().unwrap() && (day["outdoor_k"].as_f64().unwrap() - 263.15).abs() < 1e-9);
    let (from_k, to_k) = (days[0]["outdoor_k"].as_f64().unwrap(), 263.15);
    let indoor_k = day["indoor_k"].as_f64().unwrap();
    let expected = (indoor_k - to_k) / (indoor_k - from_k);
    assert!((total(day) / usual_w / expected - 1.0).abs() < 0.08, "{} {expected}", total(day) / usual_w);

    // A register that gets next to nothing is told from a machine that is too small.
    let text = folder.read("h/house.toml");
    let choked = text
        .replace("share = \"75 to 90 %\"", "share = \"97 to 98 %\"")
        .replace("share = \"9 to 20 %\"", "share = \"2 to 3 %\"");
    folder.write("h/house.toml", &choked);
    let visit = std::fs::read_dir(house.join("visits")).unwrap().next().unwrap().unwrap().path();
    std::fs::remove_dir_all(visit).unwrap();
    let ran = airwright(&["rooms"], &house);
    assert!(ran.out.contains("too small a share of the air"), "{}\n{}", ran.out, ran.err);
    let small = text.replace("capacity = \"9 kW\"", "capacity = \"1.5 kW\"");
    folder.write("h/house.toml", &small);
    let ran = airwright(&["rooms"], &house);
    assert!(ran.out.contains("more than the machine has"), "{}\n{}", ran.out, ran.err);

    // What it needs is asked for, with a way out.
    let bare = text.split("[heating]").next().unwrap().to_owned();
    folder.write("h/house.toml", bare);
    let ran = airwright(&["rooms"], &house);
    assert!(ran.code != 0 && ran.err.contains("J120") && ran.err.contains("[heating]"), "{}", ran.err);
    folder.write("h/house.toml", &text);
    let weatherless: String =
        job.lines().filter(|l| !l.starts_with("weather")).map(|l| format!("{l}\n")).collect();
    folder.write("h/job.toml", weatherless);
    let ran = airwright(&["rooms"], &house);
    assert!(ran.code != 0 && ran.err.contains("J121"), "{}", ran.err);
}
