//! Where a pressure is felt and what it is compared with, on the section, with what proves the tap.

use super::form::{Sheet, key};
use super::kinds::{Kind, Spot};
use crate::{Job, present};
use engine::doc::visit::{Reading, Subject, Visit};
use engine::house::{House, Place};
use report::html::{Fragment, taps as drawn};
use report::view::{OUTDOORS, SetupDrawing, SetupKind, SetupMark};
use report::words::Words;
use serde_json::{Value, json};

/// Rooms that are drawn one by one.
const MOST_ROOMS: usize = 4;

/// The taps of a test.
pub(super) fn of_test(
    job: &Job,
    visit: &Visit,
    kind: &Kind,
    name: &str,
    sheet: &Sheet<'_>,
    words: &Words,
) -> Vec<Value> {
    let Some(house) = &job.house else { return Vec::new() };
    let zone = sheet.text_at(&key(&["test", name, "zone"])).and_then(|z| house.zone(&z));
    let rooms: Vec<usize> = visit
        .field
        .iter()
        .filter(|t| t.name.value == name)
        .flat_map(|t| match &t.asked {
            engine::doc::field::Asked::RoomPressures(r) => {
                r.rooms.iter().filter_map(|r| house.zone(&r.room.value)).collect()
            }
            _ => Vec::new(),
        })
        .take(MOST_ROOMS)
        .collect();
    let main = engine::fit::fan_zone(house);
    let mut out = Vec::new();
    for (read, feels, compared) in kind.taps {
        // `None` stands for outdoors; a place that nobody named yet has no tap.
        let place = |spot: Spot, room: Option<usize>| match spot {
            Spot::Main => main.map(Some),
            Spot::Zone => zone.map(Some),
            Spot::Room => room.map(Some),
            Spot::Outdoors => Some(None),
        };
        let of_rooms = [*feels, *compared].contains(&Spot::Room);
        let each: Vec<Option<usize>> =
            if of_rooms { rooms.iter().map(|r| Some(*r)).collect() } else { vec![None] };
        for room in each {
            if let (Some(feels), Some(compared)) = (place(*feels, room), place(*compared, room)) {
                out.push(tap(house, read, feels, compared, words));
            }
        }
    }
    out
}

/// The tap of a single reading; nothing where it reads no pressure or names no place of the house.
pub(super) fn of_reading(job: &Job, reading: &Reading, words: &Words) -> Value {
    let (Some(house), Subject::Pressure { feels, compared_with }) = (&job.house, &reading.subject) else {
        return Value::Null;
    };
    let place = |name: &str| if name == OUTDOORS { Some(None) } else { house.zone(name).map(Some) };
    match (place(&feels.value), place(&compared_with.value)) {
        (Some(feels), Some(compared)) => tap(house, "value", feels, compared, words),
        _ => Value::Null,
    }
}

fn tap(house: &House, read: &str, feels: Option<usize>, compared: Option<usize>, words: &Words) -> Value {
    let label = |z: Option<usize>| z.map_or_else(|| words.say("outdoors"), |z| house.zones[z].label.clone());
    let id = |z: Option<usize>| z.map_or_else(|| OUTDOORS.to_owned(), |z| house.zones[z].name.clone());
    let args = [("feels", label(feels).into()), ("compared", label(compared).into())];
    let title = words.text("visit-tap", &args);
    let mark = |kind, z, word: &str| SetupMark {
        kind,
        at: id(z),
        other: String::new(),
        label: words.text(word, &[("place", label(z).into())]),
    };
    let marks = vec![
        mark(SetupKind::Feels, feels, "visit-tap-feels"),
        mark(SetupKind::ComparedWith, compared, "visit-tap-compared"),
    ];
    let plain = present::drawing::plain(house, feels, title.clone(), title.clone());
    let shown: Fragment = drawn(&SetupDrawing { house: plain, marks }, title.clone(), words);
    json!({ "of": read, "title": title, "html": shown.html, "proof": proof(house, feels, compared, words) })
}

/// What must move the number if the tap is where it is said to be.
fn proof(house: &House, feels: Option<usize>, compared: Option<usize>, words: &Words) -> String {
    let (Some(a), Some(b)) = (feels, compared) else { return words.say("visit-proof-outdoors") };
    let joins =
        |p: &[Place; 2]| [[a, b], [b, a]].iter().any(|[x, y]| *p == [Place::Zone(*x), Place::Zone(*y)]);
    match house.doors.iter().find(|d| joins(&d.between)) {
        Some(door) => words.text("visit-proof-open", &[("door", door.text.label.as_str().into())]),
        None => words.say("visit-proof-none"),
    }
}
