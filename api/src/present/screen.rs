//! The safety of a visit in words: what was seen and what follows, which published or customary rule
//! says so, who must act; never a verdict on an appliance or a house.

use crate::{FieldResult, Job, Safety};
use engine::diag::Arg;
use engine::doc::screen::{Found, Item};
use engine::house::{self, House, Switchable};
use engine::procedure::combustion::{HANDLER, State};
use engine::procedure::source::cite;
use engine::safety::{
    AFTER_SOURCE, Back, Bars, Because, DAY_SOURCE, Disturbed, Flag, Guide, KnownFrom, Lack, MOULD_M2, Mark,
    Missing, Outcome, Reason, Repeats, Restore, Screen, Seen, Sort, Stand, Standing, Step, Try,
};
use engine::units::Quantity;
use report::screen::{GuideView, ReasonView, RestoreView, SafetyView, ScreenView};
use report::view::{self, Check, CheckState};
use report::words::Words;
use serde::Serialize;

/// Setups that are shown one by one; the rest are counted.
const SHOWN: usize = 6;

/// Setups closer than this are not told apart by a reading in any wind, Pa: ours.
const CLOSE_PA: f64 = 0.5;

/// The catalogue's part of a word that serialises in kebab case.
fn key(of: impl Serialize) -> String {
    serde_json::to_value(of).ok().and_then(|v| v.as_str().map(str::to_owned)).unwrap_or_default()
}

fn item(item: Item, words: &Words) -> String {
    words.say(&format!("screen-item-{}", item.key()))
}

/// Everything, worded.
pub(crate) fn all(job: &Job, safety: &Safety, words: &Words) -> SafetyView {
    SafetyView {
        screen: safety.screen.as_ref().map(|s| screen(s, job.house.as_ref(), words)),
        flags: counted(safety.flags.iter().map(|f| flag(f, words))),
        guides: safety.guides.iter().map(|g| guide(g, job.house.as_ref(), words)).collect(),
        repeats: repeats(&safety.repeats, words),
        restore: safety.restore.iter().map(|r| restore(r, words)).collect(),
    }
}

/// Sentences, those that are alike once with how often.
fn counted(sentences: impl Iterator<Item = String>) -> Vec<String> {
    let mut out: Vec<(String, usize)> = Vec::new();
    for sentence in sentences {
        match out.iter_mut().find(|(s, _)| *s == sentence) {
            Some((_, times)) => *times += 1,
            None => out.push((sentence, 1)),
        }
    }
    let told = |(s, times)| if times == 1 { s } else { format!("{s} ({times}\u{d7})") };
    out.into_iter().map(told).collect()
}

pub(crate) fn screen(s: &Screen, house: Option<&House>, words: &Words) -> ScreenView {
    let before = s.unlooked().count();
    let args: [(&str, Arg); 2] = [("missing", s.missing.len().into()), ("before", before.into())];
    let outcome = format!("screen-outcome-{}", key(s.outcome));
    ScreenView {
        title: words.text("screen-title-of", &[("date", s.date.as_str().into())]),
        outcome: words.text(&outcome, &args),
        holds: s.outcome >= Outcome::Unfinished,
        reasons: s.reasons.iter().map(|r| reason(r, house, words)).collect(),
        missing: s.missing.iter().map(|m| missing(m, words)).collect(),
        seen: s.seen.iter().map(|one| (item(one.item, words), seen(one, house, words))).collect(),
        agreed: s
            .agreed
            .iter()
            .map(|a| {
                let args = [("who", a.who.as_str()), ("to", a.to.as_str()), ("when", a.when.as_str())];
                words.text("screen-agreed", &args.map(|(k, v)| (k, v.into())))
            })
            .collect(),
    }
}

fn zone_label(zone: &str, house: Option<&House>) -> String {
    let label = house.and_then(|h| h.zone(zone).map(|z| h.zones[z].label.clone()));
    label.unwrap_or_else(|| zone.to_owned())
}

/// What a reason changes: a sentence.
pub(crate) fn rule(r: &Reason, words: &Words) -> String {
    words.say(&format!("screen-rule-{}", r.rule))
}

fn reason(r: &Reason, house: Option<&House>, words: &Words) -> ReasonView {
    let measured = r.measured.zip(r.level).map(|(value, level)| {
        let quantity = if r.item == Item::Gas { Quantity::Fraction } else { Quantity::GasFraction };
        let args = [
            ("value", words.quantity(value, quantity).into()),
            ("level", words.quantity(level, quantity).into()),
        ];
        words.text("screen-measured", &args)
    });
    let bars = match (&r.agreed, r.until_agreed) {
        (Some(a), _) => words.text("screen-lifted", &[("who", a.who.as_str().into())]),
        (None, true) => words.say("screen-until-agreed"),
        (None, false) if r.bars == Bars::Nothing => String::new(),
        (None, false) => match &r.zone {
            Some(zone) if r.bars == Bars::Entering => {
                words.text("screen-bars-zone", &[("zone", zone_label(zone, house).into())])
            }
            _ => words.say(&format!("screen-bars-{}", key(r.bars))),
        },
    };
    let source = match r.mark {
        Mark::Read => words.text("screen-source", &[("source", cite(r.source).into())]),
        Mark::FromMemory => words.say("screen-source-memory"),
        Mark::CommonPractice => words.say("screen-source-practice"),
    };
    ReasonView {
        stop: r.outcome == Outcome::Stop,
        item: item(r.item, words),
        says: rule(r, words),
        measured: measured.unwrap_or_default(),
        bars,
        who: words.say(&format!("screen-who-{}", key(r.who))),
        source,
    }
}

/// A reason in one line: what it is about, what changes, who must act.
pub(crate) fn told(r: &Reason, house: Option<&House>, words: &Words) -> String {
    let view = reason(r, house, words);
    let says = [view.says.as_str(), view.who.as_str()];
    format!("{}: {}", view.item, says.into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>().join(" "))
}

fn missing(m: &Missing, words: &Words) -> (String, String) {
    let why = match m.lack {
        Lack::NotLooked => words.say(&format!("screen-why-{}", m.item.key())),
        Lack::NoName => words.say("screen-lack-no-name"),
        Lack::NoReading => words.say("screen-lack-no-reading"),
    };
    let before =
        if m.before_drawing { format!(" {}", words.say("screen-before-drawing")) } else { String::new() };
    (item(m.item, words), why + &before)
}

pub(crate) fn seen(s: &Seen, house: Option<&House>, words: &Words) -> String {
    let mut parts = vec![match (s.item, s.found) {
        (Item::Fuel, Found::NoneSeen) => words.say("screen-found-no-fuel"),
        (_, found) => words.say(&format!("screen-found-{}", key(found))),
    }];
    parts.extend(s.highest.map(|h| {
        words.text("screen-highest", &[("value", words.quantity(h, Quantity::GasFraction).into())])
    }));
    parts.extend(
        s.lel.map(|l| words.text("screen-lel", &[("value", words.quantity(l, Quantity::Fraction).into())])),
    );
    parts.extend(s.area_m2.map(|a| {
        let args = [
            ("area", words.quantity(a, Quantity::Area).into()),
            ("published", words.quantity(MOULD_M2, Quantity::Area).into()),
        ];
        words.text("screen-mould-area", &args)
    }));
    parts.extend(s.zone.as_ref().map(|z| zone_label(z, house)));
    parts.extend(s.place.clone());
    match s.from {
        KnownFrom::Look | KnownFrom::Combustion => {}
        from => parts.push(words.say(&format!("screen-from-{}", key(from)))),
    }
    let by = s.looked_by.as_ref().map(|by| match &s.time {
        Some(time) => format!("{by}, {time}"),
        None => by.clone(),
    });
    parts.extend(by);
    parts.extend(s.note.clone());
    parts.extend(s.photos.iter().map(|p| words.text("screen-photo", &[("photo", p.as_str().into())])));
    parts.join("; ")
}

/// A test taken against the screen.
fn flag(f: &Flag, words: &Words) -> String {
    let items: Vec<String> = f.items.iter().map(|i| item(*i, words)).collect();
    let args = [("test", f.test.as_str().into()), ("items", items.join(", ").into())];
    words.text(if f.drew_down { "screen-flag-down" } else { "screen-flag-air" }, &args)
}

fn records(list: &[engine::safety::Record], words: &Words) -> String {
    list.iter().map(|r| words.say(&format!("guide-record-{}", key(r)))).collect::<Vec<_>>().join(", ")
}

fn step(step: Step, words: &Words) -> String {
    words.say(&format!("guide-step-{}", key(step)))
}

/// What runs and what is shut, by the names people read.
fn setup(state: &State, house: Option<&House>, words: &Words) -> String {
    let label = |name: &String| match house.and_then(|h| Some((h, house::find(h, name)?))) {
        _ if name == HANDLER => words.say("guide-handler"),
        Some((h, Switchable::Fan(f))) => h.fans[f].text.label.clone(),
        Some((h, Switchable::Door(d))) => h.doors[d].text.label.clone(),
        _ => name.clone(),
    };
    let names =
        |set: &std::collections::BTreeSet<String>| set.iter().map(label).collect::<Vec<_>>().join(", ");
    let args = [("on", names(&state.running).into()), ("shut", names(&state.shut).into())];
    words.text("guide-setup", &args)
}

fn guide(g: &Guide, house: Option<&House>, words: &Words) -> GuideView {
    let pressure = |pa| words.quantity(pa, Quantity::Pressure);
    let stand = |s: &Stand| {
        let args = [
            ("recorded", records(&s.recorded, words).into()),
            ("missing", records(&s.missing, words).into()),
            ("needed", if s.needed { "yes" } else { "no" }.into()),
        ];
        (step(s.step, words), words.text("guide-stand", &args))
    };
    let held: Vec<String> = g.held.iter().map(|i| item(*i, words)).collect();
    let held = words.text("guide-held", &[("items", held.join(", ").into())]);
    let now = match g.now() {
        Some(s) if s.step == Step::Greatest && !g.held.is_empty() => held.clone(),
        Some(s) => {
            let args =
                [("state", step(s.step, words).into()), ("missing", records(&s.missing, words).into())];
            words.text("guide-now", &args)
        }
        None => words.say("guide-whole"),
    };
    let one = |t: &Try| {
        let shown = t.shown_pa.map_or_else(
            || words.say("guide-not-tried"),
            |pa| words.text("guide-read", &[("value", pressure(pa).into())]),
        );
        let expected = t.expected.map(|e| {
            let net = words.estimate(&e.net, report::words::Show::default());
            words.text("guide-expected", &[("net", net.into())])
        });
        let said: Vec<String> = std::iter::once(shown).chain(expected).collect();
        (setup(&t.state, house, words), said.join("; "))
    };
    let untried = g.combinations - g.tried() as f64;
    let args = [("tried", g.tried().into()), ("left", untried.into())];
    GuideView {
        title: words
            .text("guide-title", &[("appliance", g.label.as_str().into()), ("zone", g.zone.as_str().into())]),
        now,
        stands: g.stands.iter().map(stand).collect(),
        // What the screen forbids is not proposed; what was read is told.
        worst: if g.held.is_empty() { worst(g, house, words) } else { held },
        tries: (g.tries.iter().filter(|t| g.held.is_empty() || t.shown_pa.is_some()))
            .take(SHOWN)
            .map(one)
            .collect(),
        untried: if g.combinations < 1.0 { String::new() } else { words.text("guide-untried", &args) },
    }
}

/// The setup that the fit expects to be the worst and by how much, else the rule.
fn worst(g: &Guide, house: Option<&House>, words: &Words) -> String {
    if g.tries.is_empty() {
        return words.say("guide-nothing-moves");
    }
    let expected = |t: &Try| t.expected.map(|e| (e, setup(&t.state, house, words)));
    let mut list = g.tries.iter().filter_map(expected);
    let (Some((first, name)), second) = (list.next(), list.next()) else {
        return words.text("guide-rule", &[("source", cite("greatest-depressurisation").into())]);
    };
    // Tenths of a pascal are what a gauge shows.
    let apart = second.map_or(0.0, |(s, _)| s.net.si - first.net.si);
    let by = (apart * 10.0).ceil().max(1.0) / 10.0;
    let args = [
        ("setup", name.into()),
        ("net", words.estimate(&first.net, report::words::Show::default()).into()),
        ("by", words.quantity(by, Quantity::Pressure).into()),
        ("share", words.percent(first.lowest).into()),
        ("close", if apart < CLOSE_PA { "yes" } else { "no" }.into()),
    ];
    words.text("guide-worst", &args)
}

pub(crate) fn repeats(r: &Repeats, words: &Words) -> Vec<String> {
    let mut out = Vec::new();
    for day in &r.days {
        let args = [
            ("day", day.day.as_str().into()),
            ("what", day.changed.join("; ").into()),
            ("lacking", day.lacking.join(", ").into()),
            ("source", cite(DAY_SOURCE).into()),
        ];
        out.push(words.text(&format!("repeat-day-{}", key(day.standing)), &args));
    }
    match r.test_out {
        Some(Standing::Owed) => out.push(words.text(
            "repeat-test-out-owed",
            &[("lacking", r.test_out_lacking.join(", ").into()), ("source", cite(AFTER_SOURCE).into())],
        )),
        Some(_) => out.push(words.say("repeat-test-out-done")),
        None => {}
    }
    out
}

/// What a thing on the restore list is called.
pub(crate) fn thing(d: &Disturbed, words: &Words) -> String {
    match d.sort {
        Sort::Noted => d.label.clone(),
        sort => words.text(&format!("restore-item-{}", key(sort)), &[("label", d.label.as_str().into())]),
    }
}

fn restore(r: &Restore, words: &Words) -> RestoreView {
    let open: Vec<(String, String)> = r
        .open()
        .map(|d| {
            let args = [
                ("thing", thing(d, words).into()),
                ("found", d.found.clone().unwrap_or_default().into()),
                ("states", d.states.join(", ").into()),
            ];
            let from: Vec<String> = d.because.iter().filter_map(|b| because(b, words)).collect();
            let mut said = words.text("restore-open", &args);
            if !from.is_empty() {
                said += &format!(" ({})", from.join(", "));
            }
            (d.id.clone(), said)
        })
        .collect();
    let by = |b: &Back| {
        let args = [("who", b.by.as_str().into()), ("when", b.when.as_str().into())];
        words.text("restore-back", &args)
    };
    let back = r.list.iter().filter_map(|d| Some((thing(d, words), by(d.restored.as_ref()?)))).collect();
    let closed = r.closed.as_ref().map_or_else(String::new, |c| c.when.clone());
    let args = [
        ("date", r.date.as_str().into()),
        ("count", r.list.len().into()),
        ("open", open.len().into()),
        ("closed", closed.into()),
    ];
    RestoreView {
        title: words.text("restore-title", &args),
        how: if open.is_empty() { String::new() } else { words.say("restore-how") },
        open,
        back,
    }
}

/// Where a thing on the list is known from; nothing for single readings, which have no name.
fn because(b: &Because, words: &Words) -> Option<String> {
    match b {
        Because::Start | Because::Reading | Because::Noted => None,
        Because::Test { test } | Because::Prepared { test } | Because::Kind { test } => {
            Some(words.text("restore-test", &[("test", test.as_str().into())]))
        }
    }
}

/// That a test of a visit was taken against its screen: what stood against it, in words.
fn against(flags: &[Flag], visit: &str, test: &str, words: &Words) -> Option<String> {
    let flag = flags.iter().find(|f| f.visit == visit && f.test == test)?;
    Some(flag.items.iter().map(|i| item(*i, words)).collect::<Vec<_>>().join(", "))
}

/// The check of a certificate where its test was taken against the screen.
pub(crate) fn check(job: &Job, visit: &str, test: &str, words: &Words) -> Option<Check> {
    let found = against(&job.flags(), visit, test, words)?;
    Some(Check {
        name: words.say("screen-check"),
        found,
        wanted: words.say("screen-check-wanted"),
        source: String::new(),
        state: CheckState::Failed,
    })
}

/// Field tests as people see them, those taken against the screen with a caution.
pub(crate) fn field_tests(job: &Job, results: &[FieldResult], words: &Words) -> Vec<view::FieldTest> {
    let flags = job.flags();
    let mut tests = super::field::tests(results, words);
    for (test, result) in tests.iter_mut().zip(results) {
        if let Some(items) = against(&flags, &result.visit, &result.name, words) {
            test.cautions.push(words.text("screen-caution", &[("items", items.into())]));
        }
    }
    tests
}

/// That tests which draw air down are held back now; nothing where the screen holds nothing back or was
/// never begun.
pub(crate) fn holding_back(job: &Job, words: &Words) -> Option<String> {
    let screen = job.screen().filter(|s| s.begun)?;
    let items: Vec<String> = screen.against_drawing().into_iter().map(|i| item(i, words)).collect();
    (!items.is_empty()).then(|| words.text("screen-holds-tests", &[("items", items.join(", ").into())]))
}

/// What stands against drawing air down on the last visit, in a few words; nothing where nothing does.
pub(crate) fn unlooked_or_barred(job: &Job, words: &Words) -> Option<String> {
    let items: Vec<String> = job.screen()?.against_drawing().into_iter().map(|i| item(i, words)).collect();
    (!items.is_empty()).then(|| items.join(", "))
}

/// Why the screen of the last visit forbids, in a few words each: for the advice on readings.
pub(crate) fn forbidding(job: &Job, least: Bars, words: &Words) -> Vec<String> {
    let reasons = job.screen().into_iter().flat_map(|s| s.barring(least));
    reasons.map(|r| item(r.item, words)).collect()
}

/// What has to be looked at before air is drawn down, in a few words each.
pub(crate) fn unlooked(job: &Job, words: &Words) -> String {
    let list =
        job.screen().into_iter().flat_map(|s| s.unlooked().map(|m| item(m.item, words)).collect::<Vec<_>>());
    list.collect::<Vec<_>>().join(", ")
}
