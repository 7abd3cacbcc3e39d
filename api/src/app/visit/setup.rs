//! The setup of a test as one line of switches: how everything stands that this house has to open, to
//! shut or to run, and the edits that turn it.

use super::Around;
use super::form::{Sheet, key, word};
use engine::doc::visit::Visit;
use engine::house::{self, House, Place, Setup};
use serde_json::{Value, json};

/// The switches of the house for a test; nothing without a house.
pub(super) fn of(a: &Around<'_>, visit: &Visit, sheet: &Sheet<'_>, name: &str) -> Value {
    let Some(house) = &a.job.house else { return Value::Null };
    let own = sheet.pairs_at(&key(&["test", name, "set"]));
    let before = before(house, visit);
    let switch = |id: &str, label: String, kind: &str, words: [&str; 2], on: bool| {
        let inherited = words[usize::from(on)];
        let now = own.iter().find(|(n, _)| n == id).map(|(_, w)| w.as_str());
        json!({
            "id": id,
            "label": label,
            "kind": kind,
            "key": ["test", name, "set", id],
            "now": now.unwrap_or(inherited),
            "own": now.is_some(),
            "usual": inherited,
            "choices": words.map(|w| json!({ "value": w, "label": word(w, a.words) })),
        })
    };
    let mut out = Vec::new();
    for (door, open) in house.doors.iter().zip(&before.open) {
        let kind = if door.horizontal { "hatch" } else { "door" };
        let outer = door.between.iter().any(|p| matches!(p, Place::Outdoors(_)));
        if !outer || own.iter().any(|(n, _)| *n == door.text.name.value) {
            out.push(switch(&door.text.name.value, door.text.label.clone(), kind, ["shut", "open"], *open));
        }
    }
    for (fan, runs) in house.fans.iter().zip(&before.running) {
        out.push(switch(&fan.text.name.value, fan.text.label.clone(), "fan", ["off", "on"], *runs));
    }
    if house.air_handler.is_some() {
        out.push(switch(
            "air_handler",
            a.words.say("guide-handler"),
            "handler",
            ["off", "on"],
            before.air_handler,
        ));
    }
    let says: Vec<String> = out
        .iter()
        .filter_map(|s| Some(format!("{} {}", s["label"].as_str()?, word(s["now"].as_str()?, a.words))))
        .collect();
    json!({ "says": says.join(" \u{b7} "), "switches": out, "path": sheet.path })
}

/// How the house stands before the tests: as the visit says it was at the start.
fn before(house: &House, visit: &Visit) -> Setup {
    let mut setup = house::start(house);
    // What does not fit was said when the job was opened.
    house::apply(house, &mut setup, &visit.start, &engine::doc::Sink::default());
    setup
}
