//! The visit, step by step: complaints, hazard screen, the tests of this house in a good order, one
//! test as a form with its setup and its taps, what has to be put back, and whether the visit may close.
//!
//! Everything that can be changed carries the key it stands under, so that the page's touch is an edit
//! of the document and nothing else. What a form holds comes from the documents' own readers
//! ([`form`]); what the page knows of a kind of test beyond that is one entry of [`kinds`].

mod kinds;
mod setup;
mod taps;
#[cfg(test)]
mod tests;

use super::form::{self, Names, Sheet, key};
use crate::{Data, Job, present};
use engine::diag::Diagnostics;
use engine::doc::File;
use engine::doc::screen::ITEMS;
use engine::doc::visit::Visit;
use engine::next::Minutes;
use engine::safety::Lack;
use kinds::{Kind, Wants};
use report::words::Words;
use serde::Deserialize;
use serde_json::{Value, json};

/// Which visit and what of it is open.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(default)]
pub struct Asked {
    /// Its document; the last one where none is named.
    pub visit: Option<String>,
    /// The test that is open.
    pub test: Option<String>,
    /// The kind whose page of how and why is open.
    pub how: Option<String>,
}

/// What the page is made from.
pub(super) struct Around<'a> {
    pub job: &'a Job,
    pub data: &'a Data,
    pub files: &'a [File],
    pub found: &'a Diagnostics,
    pub words: &'a Words,
    pub now: &'a str,
}

const JOB: &str = "job.toml";

/// The page's own part of the answer.
pub(super) fn page(a: &Around<'_>, asked: &Asked) -> Value {
    let visits = &a.job.documents.visits;
    let drawn = asked.how.as_deref().and_then(|kind| report::how_to::drawing(kind, a.words));
    let wanted = |v: &&Visit| asked.visit.as_deref().is_none_or(|path| path_of(v) == path);
    let visit = visits.iter().rev().find(wanted);
    let mut out = json!({
        "visits": visits.iter().map(|v| json!({ "path": path_of(v), "date": v.date })).collect::<Vec<_>>(),
        "begin": begin(a),
        "complaints": complaints(a),
        "by": a.job.documents.job.tester.name,
        "time": a.now.get(11..16),
        "picture": drawn,
    });
    let Some((visit, file)) = visit.and_then(|v| Some((v, a.files.iter().find(|f| f.name == path_of(v))?)))
    else {
        out["kinds"] = offered(a, None);
        return out;
    };
    let names = names(a.job, visit, a.words);
    let fields = engine::doc::visit::form(file);
    let sheet = Sheet::new((&file.name, &file.text), fields, a.found, &names, a.words);
    let place = visits.iter().position(|v| std::ptr::eq(v, visit)).unwrap_or(0);
    let part = |name: &str| sheet.group(&key(&[name]), COMMON);
    out["open"] = json!({
        "path": file.name,
        "date": visit.date,
        "folder": visit.folder,
        "head": head(&sheet),
        "conditions": part("conditions"),
        "screen": screen(a, visit, place, &sheet),
        "combustion": part("combustion"),
        "instruments": listed(&sheet, "instrument"),
        "readings": readings(a, visit, &sheet),
        "touched": listed(&sheet, "touched"),
        "changed": listed(&sheet, "changed"),
        "agreed": listed(&sheet, "agreed"),
        "photos": photos(visit),
        "restore": restore(a, visit, &sheet),
    });
    out["kinds"] = offered(a, Some(visit));
    if let Some(name) = &asked.test {
        out["test"] = test(a, visit, &sheet, name);
    }
    out
}

/// Keys of a visit that are shown first wherever they stand.
const COMMON: &[&str] = &[
    "indoor",
    "outdoor",
    "wind",
    "fuel",
    "looked_by",
    "looked_where",
    "state",
    "highest",
    "protocol",
    "where",
    "note",
    "measures",
    "label",
    "accuracy",
    "shows",
    "serial",
    "calibrated",
    "what",
    "part",
    "who",
    "to",
    "when",
    "about",
    "feels",
    "compared_with",
    "flow_of",
    "value",
    "with",
    "lel",
    "area",
    "zone",
    "left",
    "found",
];

fn path_of(visit: &Visit) -> String {
    format!("{}/visit.toml", visit.folder)
}

/// The document of a visit that begins now.
fn begin(a: &Around<'_>) -> Value {
    let day = a.now.get(..10).filter(|d| d.parse::<jiff::civil::Date>().is_ok()).unwrap_or("2000-01-01");
    let taken = |folder: &str| a.files.iter().any(|f| f.name == format!("visits/{folder}/visit.toml"));
    let mut folder = day.to_owned();
    let mut n = 2;
    while taken(&folder) {
        folder = format!("{day}-{n}");
        n += 1;
    }
    json!({
        "path": format!("visits/{folder}/visit.toml"),
        "text": format!("format = 1\ndate = \"{day}\"\n"),
    })
}

fn names(job: &Job, visit: &Visit, words: &Words) -> Names {
    let mut names = Names::default();
    if let Some(house) = &job.house {
        names.zones = house.zones.iter().map(|z| (z.name.clone(), z.label.clone())).collect();
        names.zones.push(("outdoors".to_owned(), words.say("outdoors")));
        names.appliances = house.appliances.iter().map(|x| (x.name.clone(), x.label.clone())).collect();
        names.fans = house.fans.iter().map(|f| (f.text.name.value.clone(), f.text.label.clone())).collect();
    }
    names.instruments =
        visit.instruments.iter().map(|i| (i.name.value.clone(), i.label.clone(), i.measures)).collect();
    let tests = visit.tests.iter().map(|t| &t.name).chain(visit.field.iter().map(|t| &t.name));
    names.tests = tests.map(|n| (n.value.clone(), n.value.replace('_', " "))).collect();
    names
}

/// Fields of the visit itself.
fn head(sheet: &Sheet<'_>) -> Value {
    let all = sheet.group(&[], &["date", "purpose", "people"]);
    let wanted = |f: &&Value| matches!(f["name"].as_str(), Some("date" | "purpose" | "people"));
    all["fields"].as_array().map(|f| f.iter().filter(wanted).cloned().collect::<Vec<_>>()).into()
}

fn listed(sheet: &Sheet<'_>, name: &str) -> Value {
    let all = sheet.group(&[], COMMON);
    let found = all["lists"].as_array().and_then(|l| l.iter().find(|l| l["name"] == name)).cloned();
    found.unwrap_or(Value::Null)
}

/// What the people say, from `job.toml`.
fn complaints(a: &Around<'_>) -> Value {
    let Some(file) = a.files.iter().find(|f| f.name == JOB) else { return Value::Null };
    let mut names = Names::default();
    if let Some(house) = &a.job.house {
        names.zones = house.zones.iter().map(|z| (z.name.clone(), z.label.clone())).collect();
    }
    let sheet = Sheet::new((JOB, &file.text), engine::doc::job::form(file), a.found, &names, a.words);
    let main = ["words", "who", "zone", "quantity", "limit", "from", "gas"];
    let all = sheet.group(&[], &main);
    all["lists"].as_array().and_then(|l| l.iter().find(|l| l["name"] == "complaint")).cloned().into()
}

fn screen(a: &Around<'_>, visit: &Visit, place: usize, sheet: &Sheet<'_>) -> Value {
    let words = a.words;
    let Some(screen) = a.job.screens.get(place) else { return Value::Null };
    let view = present::screen::screen(screen, a.job.house.as_ref(), words);
    let items = ITEMS.iter().map(|(word, item)| {
        let seen = screen.of(*item);
        let missing = screen.missing.iter().find(|m| m.item == *item);
        let lack = missing.map(|m| match m.lack {
            Lack::NotLooked => String::new(),
            Lack::NoName => words.say("screen-lack-no-name"),
            Lack::NoReading => words.say("screen-lack-no-reading"),
        });
        let fuel = *word == "fuel";
        let at = if fuel { key(&["combustion"]) } else { key(&["hazards", word]) };
        let state = if fuel { "fuel" } else { "state" };
        let short = !fuel && sheet.text_at(&at).is_some();
        let written = sheet.text_at(&[at.as_slice(), &key(&[state])].concat());
        json!({
            "item": word,
            "label": words.say(&format!("screen-item-{}", item.key())),
            "why": words.say(&format!("screen-why-{}", item.key())),
            "first": missing.is_some_and(|m| m.before_drawing),
            "done": missing.is_none(),
            "lack": lack.filter(|l| !l.is_empty()),
            "told": seen.map(|s| present::screen::seen(s, a.job.house.as_ref(), words)),
            "key": at,
            "field": state,
            "short": short,
            "state": written.unwrap_or_else(|| short_state(sheet, &at)),
            "choices": choices(if fuel { &["none found", "present"] } else { &["none seen", "suspect", "present"] }, words),
            "form": sheet.group(&at, COMMON),
            "photos": visit.care.hazards.get(*item).map(|l| l.photos.iter().map(|p| p.value.clone()).collect::<Vec<_>>()),
        })
    });
    json!({
        "outcome": screen.outcome,
        "says": view.outcome,
        "holds": view.holds,
        "reasons": view.reasons.iter().map(|r| json!({
            "stop": r.stop, "item": r.item, "says": r.says, "measured": r.measured, "bars": r.bars, "who": r.who,
            "source": r.source,
        })).collect::<Vec<_>>(),
        "left": screen.missing.len(),
        "items": items.collect::<Vec<_>>(),
        "looked_by": sheet.text_at(&key(&["hazards", "looked_by"])),
        "fuel_by": sheet.text_at(&key(&["combustion", "looked_by"])),
    })
}

/// What the short form of a look says.
fn short_state(sheet: &Sheet<'_>, at: &[engine::doc::form::Step]) -> String {
    match sheet.text_at(at).as_deref() {
        Some("true") => "present",
        Some("false") => "none seen",
        _ => "",
    }
    .to_owned()
}

fn choices(of: &[&str], words: &Words) -> Vec<Value> {
    of.iter().map(|w| json!({ "value": w, "label": form::word(w, words) })).collect()
}

fn photos(visit: &Visit) -> Vec<Value> {
    let mut out: Vec<Value> = Vec::new();
    for (at, photo) in visit.photos.iter().enumerate() {
        out.push(json!({ "key": ["photo", at], "file": photo.file.value, "shows": photo.shows, "where": photo.place, "test": photo.test }));
    }
    out
}

fn readings(a: &Around<'_>, visit: &Visit, sheet: &Sheet<'_>) -> Value {
    let mut list = listed(sheet, "reading");
    let drawn: Vec<Value> = visit.readings.iter().map(|r| taps::of_reading(a.job, r, a.words)).collect();
    // A reading that cannot be read as a whole has no tap yet.
    if list["entries"].as_array().map(Vec::len) == Some(drawn.len()) {
        list["taps"] = drawn.into();
    }
    list
}

fn restore(a: &Around<'_>, visit: &Visit, sheet: &Sheet<'_>) -> Value {
    let all = a.job.restore_lists();
    let list = all.iter().find(|r| r.visit == visit.folder);
    let items = list.map(|r| {
        let one = |d: &engine::safety::Disturbed| {
            json!({
                "id": d.id,
                "label": present::screen::thing(d, a.words),
                "found": d.found.as_deref().map(|f| form::word(f, a.words)),
                "states": d.states.iter().map(|s| form::word(s, a.words)).collect::<Vec<_>>(),
                "by": d.restored.as_ref().map(|b| b.by.clone()),
                "when": d.restored.as_ref().map(|b| b.when.clone()),
                "done": d.restored.is_some(),
            })
        };
        r.list.iter().map(one).collect::<Vec<_>>()
    });
    let open = list.map_or(0, |r| r.open().count());
    let mut why: Vec<String> = Vec::new();
    if open > 0 {
        why.push(a.words.text("visit-why-open", &[("count", open.into())]));
    }
    let owes = a.job.repeats().is_owed().then(|| a.words.say("visit-why-repeat"));
    json!({
        "items": items.unwrap_or_default(),
        "open": open,
        "entries": sheet.entries_at(&key(&["restored"])),
        "may_leave": why.is_empty(),
        "why": why,
        "owes": owes,
        "closed": visit.care.closed.as_ref().map(|c| json!({ "by": c.by, "when": c.when })),
    })
}

/// How a test of the visit stands.
fn tests_of<'v>(visit: &'v Visit, kind: &str) -> Vec<&'v str> {
    match kind {
        "envelope" => visit.tests.iter().map(|t| t.name.value.as_str()).collect(),
        kind => visit.field.iter().filter(|t| t.kind == kind).map(|t| t.name.value.as_str()).collect(),
    }
}

/// The kinds of tests in a good order, each with how it stands.
fn offered(a: &Around<'_>, visit: Option<&Visit>) -> Value {
    let minutes = Minutes::of(&a.job.documents.job.minutes_s);
    let held = present::screen::unlooked_or_barred(a.job, a.words);
    let begun = visit.map(|v| written_tests(a.files, &path_of(v))).unwrap_or_default();
    let one = |kind: &Kind| {
        let worked = visit.map(|v| tests_of(v, kind.kind)).unwrap_or_default();
        let tests: Vec<Value> = (begun.iter().filter(|(_, k)| k == kind.kind))
            .map(|(name, _)| {
                let read = worked.contains(&name.as_str());
                let complete = read && visit.is_some_and(|v| has_result(a.data, v, name));
                json!({
                    "name": name,
                    "label": name.replace('_', " "),
                    "state": if complete { "complete" } else { "begun" },
                })
            })
            .collect();
        let not = tests.is_empty().then(|| not_needed(a, visit, kind)).flatten();
        json!({
            "kind": kind.kind,
            "label": title(kind.kind, a.words),
            "part": kind.part,
            "usual": kind.usual,
            "minutes": kinds::minutes(kind, minutes).round(),
            "tools": kind.tools.iter().map(|t| a.words.say(&format!("visit-tool-{t}"))).collect::<Vec<_>>(),
            "tests": tests,
            "not": not.map(|key| a.words.say(key)),
            "held": held.as_ref().filter(|_| kind.draws),
            "how_to": report::how_to::page(kind.kind, a.words),
        })
    };
    json!({
        "parts": kinds::PARTS.iter().map(|p| json!({ "id": p, "label": a.words.say(&format!("visit-part-{p}")) }))
            .collect::<Vec<_>>(),
        "list": kinds::ALL.iter().map(one).collect::<Vec<_>>(),
    })
}

/// Names and kinds of the tests as they are written, also those that cannot be read yet.
fn written_tests(files: &[File], path: &str) -> Vec<(String, String)> {
    let text = files.iter().find(|f| f.name == path).map_or("", |f| f.text.as_str());
    let Ok(doc) = text.parse::<toml_edit::DocumentMut>() else { return Vec::new() };
    let tests = doc.get("test").and_then(|t| t.as_table_like());
    tests
        .into_iter()
        .flat_map(|t| t.iter())
        .map(|(name, test)| {
            let kind = test.get("kind").and_then(|k| k.as_str()).unwrap_or("envelope");
            (name.to_owned(), kind.to_owned())
        })
        .collect()
}

fn title(kind: &str, words: &Words) -> String {
    if kind == "envelope" {
        words.say("visit-test-envelope")
    } else {
        words.say(&present::field::kind_key(kind))
    }
}

fn has_result(data: &Data, visit: &Visit, name: &str) -> bool {
    data.results.iter().any(|r| r.visit == visit.folder && r.result.name == name)
        || data.field.iter().any(|r| r.visit == visit.folder && r.name == name)
}

/// Why a kind is not needed in this house, as a key of words.
fn not_needed(a: &Around<'_>, visit: Option<&Visit>, kind: &Kind) -> Option<&'static str> {
    let house = a.job.house.as_ref()?;
    let tests = visit.map_or(0, |v| v.tests.len());
    match kind.wants {
        Wants::Nothing => None,
        Wants::Fuel => {
            let none = visit.and_then(|v| v.combustion.as_ref()).is_some_and(|c| !c.fuel_present);
            (none && house.appliances.is_empty()).then_some("visit-not-fuel")
        }
        Wants::Handler => house.air_handler.is_none().then_some("visit-not-handler"),
        Wants::Rooms => {
            let inner = house.doors.iter().any(|d| {
                d.between
                    .iter()
                    .all(|p| matches!(p, engine::house::Place::Zone(z) if house.zones[*z].kind.is_indoors()))
            });
            (house.air_handler.is_none() || !inner).then_some("visit-not-rooms")
        }
        Wants::Fans => house.fans.is_empty().then_some("visit-not-fans"),
        Wants::Spaces => house.zones.iter().all(|z| z.kind.is_indoors()).then_some("visit-not-spaces"),
        Wants::Test => (tests == 0).then_some("visit-not-test"),
        Wants::TwoTests => (tests < 2).then_some("visit-not-two-tests"),
    }
}

/// An envelope test as a test alone is typed; nothing where it cannot be read yet or is of another kind.
fn typed(a: &Around<'_>, visit: &Visit, name: &str) -> Value {
    let test = visit.tests.iter().find(|t| t.name.value == name);
    test.map_or(Value::Null, |t| crate::phone::of_job(a.job, a.files, visit, t, a.now, a.words))
}

/// One test: its form, its setup, its taps, what it came to so far.
fn test(a: &Around<'_>, visit: &Visit, sheet: &Sheet<'_>, name: &str) -> Value {
    let at = key(&["test", name]);
    if !sheet.is_written(&at) {
        return Value::Null;
    }
    let kind = sheet.text_at(&key(&["test", name, "kind"])).unwrap_or_else(|| "envelope".to_owned());
    let known = kinds::of(&kind);
    let main = known.map_or(&[][..], |k| k.main);
    let form = sheet.group(&at, main);
    let mut report = present::house_report(a.job, a.data, a.words, a.now);
    let own: Vec<bool> = a.data.field.iter().map(|f| f.visit == visit.folder && f.name == name).collect();
    let mut keep = own.iter();
    report.field.retain(|_| keep.next().copied().unwrap_or(false));
    let runs = a.data.results.iter().flat_map(|r| {
        let is = r.visit == visit.folder && r.result.name == name;
        r.result.runs.iter().map(move |_| is)
    });
    let runs: Vec<bool> = runs.collect();
    let mut keep = runs.iter();
    report.tests.retain(|_| keep.next().copied().unwrap_or(false));
    let mut fragments = report::html::fragments(&report, a.words);
    fragments.retain(|f| ["tests", "field"].contains(&f.id));
    if let Some(result) = a.data.results.iter().find(|r| r.visit == visit.folder && r.result.name == name) {
        let tightness = present::certificate::tightness(result, a.job, a.words);
        fragments.splice(0..0, report::html::tightness_alone(&tightness, a.words));
    }
    json!({
        "name": name,
        "kind": kind,
        "label": title(&kind, a.words),
        "form": form,
        "setup": setup::of(a, visit, sheet, name),
        "taps": known.map(|k| taps::of_test(a.job, visit, k, name, sheet, a.words)).unwrap_or_default(),
        "fragments": fragments,
        "typed": typed(a, visit, name),
        "complete": has_result(a.data, visit, name),
        "held": known.filter(|k| k.draws).and_then(|_| present::screen::unlooked_or_barred(a.job, a.words)),
        "photos": photos(visit).into_iter().filter(|p| p["test"] == name).collect::<Vec<_>>(),
        "how_to": report::how_to::page(&kind, a.words),
        "picture": report::how_to::drawing(&kind, a.words),
    })
}
