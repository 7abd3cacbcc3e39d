//! The house in one scene: how it stands and what the air then does, over the draws of the fit, or
//! over those of the prior where nothing was read.

use super::table;
use crate::{Data, Job, present};
use engine::doc::File;
use engine::fit::prior_draws;
use engine::fit::scene::{Picture, Scene, owner_label, picture};
use engine::house::air::TestFan;
use engine::house::{House, Owner};
use engine::units::Quantity;
use report::html::scene as drawn;
use report::view::Number;
use report::words::{Show, Words};
use serde::Deserialize;
use serde_json::{Value, json};

/// Draws of the prior that a house without readings is drawn with.
const PRIOR_DRAWS: usize = 100;
/// Most pressure of a test fan, Pa.
const MOST_PA: f64 = 75.0;

/// How the house stands on the page. What is not named stands as on a cold evening.
#[derive(Clone, Debug, Default, Deserialize, PartialEq)]
#[serde(default)]
pub struct Chosen {
    /// Outdoors: `cold`, `mild` or `hot`.
    weather: Weather,
    /// Doors and hatches by name, and whether they are open.
    doors: std::collections::BTreeMap<String, bool>,
    /// Fans by name, and `air_handler`, and whether they run.
    runs: std::collections::BTreeMap<String, bool>,
    /// What a test fan holds the rooms at against outdoors, Pa.
    fan_pa: Option<f64>,
    /// The zone that the page is about.
    zone: Option<String>,
}

#[derive(Clone, Copy, Debug, Default, Deserialize, PartialEq, Eq)]
#[serde(rename_all = "kebab-case")]
enum Weather {
    #[default]
    Cold,
    Mild,
    Hot,
}

/// The page.
pub(super) fn page(job: &Job, data: &Data, files: &[File], chosen: &Chosen, words: &Words) -> Value {
    let Some(house) = &job.house else { return json!({ "house": false }) };
    let altitude_m = job.documents.job.place.altitude_m.unwrap_or(0.0);
    let scene = scene(house, chosen, engine::air::standard_pressure_pa(altitude_m));
    let selected = chosen.zone.as_deref().and_then(|z| house.zone(z));
    let prior;
    let draws = match &data.fit {
        Some(fit) => &fit.draws,
        None => {
            prior = prior_draws(house, PRIOR_DRAWS, job.documents.job.seed);
            &prior
        }
    };
    let mut out = json!({
        "house": true,
        "fitted": data.fit.as_ref().is_some_and(|f| f.readings_used > 0),
        "scene": state(house, &scene, chosen),
    });
    let text = files.iter().find(|f| f.name == "house.toml").map_or("", |f| f.text.as_str());
    match picture(house, &scene, draws) {
        Ok(seen) => {
            let mut drawing = present::drawing::drawing(house, &seen, selected, words);
            (drawing.title, drawing.setup) = (words.say("app-scene"), told(house, &scene, chosen, words));
            let ladder = present::drawing::ladder(house, &seen, selected, words);
            out["fragments"] = json!(drawn(&drawing, &ladder, words));
            out["zones"] = zones(text, house, &seen, words);
            out["passages"] = passages(text, data, house, &seen, words);
        }
        Err(_) => out["trouble"] = words.say("app-no-picture").into(),
    }
    out
}

fn scene(house: &House, chosen: &Chosen, pressure_pa: f64) -> Scene {
    let mut scene = Scene::cold_evening(house, pressure_pa);
    let indoor_k = scene.zone_k.iter().zip(&house.zones).find(|(_, z)| z.kind.is_indoors()).map(|(k, _)| *k);
    match chosen.weather {
        Weather::Cold => {}
        // Nothing drives but what runs.
        Weather::Mild => {
            scene.outdoor_k = indoor_k.unwrap_or(scene.outdoor_k);
            scene.zone_k.fill(scene.outdoor_k);
        }
        Weather::Hot => scene.on_a_hot_afternoon(house),
    }
    for (open, door) in scene.setup.open.iter_mut().zip(&house.doors) {
        *open = chosen.doors.get(&door.text.name.value).copied().unwrap_or(*open);
    }
    for (on, fan) in scene.setup.running.iter_mut().zip(&house.fans) {
        *on = chosen.runs.get(&fan.text.name.value).copied().unwrap_or(*on);
    }
    let handler = chosen.runs.get("air_handler").copied().unwrap_or(scene.setup.air_handler);
    scene.setup.air_handler = handler && house.air_handler.is_some();
    let largest = (0..house.zones.len())
        .filter(|z| house.zones[*z].kind.is_indoors())
        .max_by(|a, b| house.zones[*a].volume_m3.total_cmp(&house.zones[*b].volume_m3));
    if let (Some(pa), Some(zone)) = (chosen.fan_pa.filter(|p| p.is_finite()), largest) {
        scene.fan = TestFan::Hold { zone, pa: pa.clamp(-MOST_PA, MOST_PA) };
    }
    scene
}

/// Every switch of the scene and how it stands.
fn state(house: &House, scene: &Scene, chosen: &Chosen) -> Value {
    let door = |(d, open): (&engine::house::Door, &bool)| {
        let (name, label) = (&d.text.name.value, &d.text.label);
        json!({ "kind": "door", "name": name, "label": label, "on": open })
    };
    let fan = |(f, on): (&engine::house::Fan, &bool)| {
        let (name, label) = (&f.text.name.value, &f.text.label);
        json!({ "kind": "fan", "name": name, "label": label, "on": on })
    };
    let mut switches: Vec<Value> = house.fans.iter().zip(&scene.setup.running).map(fan).collect();
    if house.air_handler.is_some() {
        let on = scene.setup.air_handler;
        switches.insert(0, json!({ "kind": "handler", "name": "air_handler", "label": "", "on": on }));
    }
    switches.extend(house.doors.iter().zip(&scene.setup.open).map(door));
    let weather = match chosen.weather {
        Weather::Cold => "cold",
        Weather::Mild => "mild",
        Weather::Hot => "hot",
    };
    json!({ "weather": weather, "switches": switches, "fan_pa": chosen.fan_pa })
}

/// The scene in one line.
fn told(house: &House, scene: &Scene, chosen: &Chosen, words: &Words) -> String {
    let mut parts = Vec::new();
    let outside = words.about(scene.outdoor_k, Quantity::Temperature, Show::default());
    parts.push(words.text("outside-at", &[("value", outside.into())]));
    if scene.setup.air_handler {
        parts.push(words.say("app-told-handler"));
    }
    let on = house.fans.iter().zip(&scene.setup.running).filter(|(_, on)| **on);
    parts.extend(on.map(|(f, _)| words.text("app-told-runs", &[("name", f.text.label.as_str().into())])));
    let shut = house.doors.iter().zip(&scene.setup.open).filter(|(d, open)| d.text.open_by_day != **open);
    parts.extend(shut.map(|(d, open)| {
        let key = if *open { "app-told-open" } else { "app-told-shut" };
        words.text(key, &[("name", d.text.label.as_str().into())])
    }));
    if let (TestFan::Hold { pa, .. }, Some(_)) = (scene.fan, chosen.fan_pa) {
        let pa = words.about(pa, Quantity::Pressure, Show::default());
        parts.push(words.text("app-told-fan", &[("value", pa.into())]));
    }
    parts.join(" \u{b7} ")
}

fn zones(text: &str, house: &House, seen: &Picture, words: &Words) -> Value {
    let zone = |(z, r): (&engine::house::Zone, &engine::fit::scene::Rung)| {
        let level = |e| {
            let n = Number::computed(e).signed();
            words.estimate(&n.estimate, n.show())
        };
        let path = format!("zone.{}", z.name);
        json!({
            "id": z.name,
            "label": z.label,
            "levels": [
                { "label": words.say("app-level-ceiling"), "value": level(r.ceiling) },
                { "label": words.say("app-level-middle"), "value": level(r.middle) },
                { "label": words.say("app-level-floor"), "value": level(r.floor) },
            ],
            "path": path,
            "fields": table::fields(text, &path, words),
        })
    };
    house.zones.iter().zip(&seen.rungs).map(zone).collect()
}

fn passages(text: &str, data: &Data, house: &House, seen: &Picture, words: &Words) -> Value {
    let zone = |z: Option<usize>| z.map_or_else(|| words.say("outdoors"), |z| house.zones[z].label.clone());
    let known = |name: &str| -> Vec<Value> {
        let Some(fit) = &data.fit else { return Vec::new() };
        let of_it = fit.known.iter().filter(|k| k.name == name);
        of_it
            .map(|k| {
                let show = present::param_show(k.kind);
                json!({
                    "label": present::param(k, words),
                    "before": words.estimate(&k.prior, show),
                    "after": words.estimate(&k.posterior, show),
                    "from_readings": words.percent(k.from_readings),
                })
            })
            .collect()
    };
    let one = |s: &engine::fit::scene::Stream| {
        let (name, path) = named(house, s.owner);
        let flow = Number::computed(s.flow);
        json!({
            "label": owner_label(house, s.owner),
            "from": zone(s.from),
            "to": zone(s.to),
            "flow": words.estimate(&flow.estimate, flow.show()),
            "known": name.as_deref().map(known).unwrap_or_default(),
            "path": path,
            "fields": path.as_deref().map(|p| table::fields(text, p, words)).unwrap_or_default(),
        })
    };
    seen.streams.iter().map(one).collect()
}

/// The name of a thing and where it stands in `house.toml`.
fn named(house: &House, owner: Owner) -> (Option<String>, Option<String>) {
    let both = |kind: &str, name: &str| (Some(name.to_owned()), Some(format!("{kind}.{name}")));
    match owner {
        Owner::Leak(l) => both("leak", &house.leaks[l].name),
        Owner::Door(d) => both("door", &house.doors[d].text.name.value),
        Owner::Fan(f) => both("fan", &house.fans[f].text.name.value),
        Owner::Flue(a) => both("appliance", &house.appliances[a].name),
        Owner::Register(_) => (None, Some("air_handler".to_owned())),
        Owner::Part(p) => (Some(house.parts[p].name.clone()), None),
    }
}
