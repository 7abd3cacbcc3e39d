//! What a draft says so far: the answer and how it narrowed, what is missing, what contradicts.

use super::challenge::{challenges, confirmed};
use super::compose::{compose, compose_prefix};
use super::draft::{Draft, Fan, SHOWS, is_typed};
use super::{advice, prepare, profiles, work};
use crate::present::certificate::{checks, is_recalled, tightness};
use crate::{Job, Speech, TestResult, envelope_json};
use engine::diag::{Arg, Diagnostics, code};
use engine::measure::Estimate;
use engine::procedure::envelope::Method;
use engine::units::Quantity;
use report::view::{CheckState, Tightness, Verdict};
use report::words::{Show, Words};
use serde_json::{Value, json};

/// An interval is drawn from this many stations on.
const FIRST_INTERVAL: usize = 3;

/// The answer after a number of stations, in its display unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Step {
    pub(super) stations: usize,
    pub(super) value: f64,
    pub(super) ends: Option<(f64, f64)>,
}

/// The envelope with `look`.
pub(super) fn look(draft: &Draft, now: &str, speech: &Speech) -> Value {
    // What is typed is in the draft's units; what is said of it in the language of the device.
    let words = speech.in_language().over(draft.words());
    let worked = work(compose(draft, now, &confirmed(draft, now, &words)), now);
    let before = |stations: usize| {
        let worked = work(compose_prefix(draft, now, stations), now);
        Some(tightness(worked.result.as_ref()?, &worked.job, &words))
    };
    let so_far = SoFar {
        draft,
        now,
        words: &words,
        job: &worked.job,
        result: worked.result.as_ref(),
        extrapolated: is_extrapolated(&worked.found),
    };
    let data = json!({ "look": told(&so_far, &before) });
    envelope_json(&worked.found, &worked.files, &words, data)
}

/// A test as far as it was typed: as a draft, and as its documents were worked.
pub(super) struct SoFar<'a> {
    pub(super) draft: &'a Draft,
    pub(super) now: &'a str,
    pub(super) words: &'a Words,
    pub(super) job: &'a Job,
    pub(super) result: Option<&'a TestResult>,
    pub(super) extrapolated: bool,
}

/// Everything that is said of a test while it is typed; `before` is what its first stations came to.
pub(super) fn told(so_far: &SoFar<'_>, before: &dyn Fn(usize) -> Option<Tightness>) -> Value {
    let SoFar { draft, now, words, job, result, extrapolated } = *so_far;
    let headline = result.map(|r| tightness(r, job, words));
    let verdict = headline.as_ref().and_then(|t| decided(draft, t));
    let steps = history(draft, words, headline.as_ref(), before);
    let answer = headline.as_ref().and_then(|t| answer(draft, t, verdict, extrapolated, words));
    let runs = draft.runs();
    let advised: Vec<Option<Value>> =
        runs.iter().map(|run| advice::advice(run, &steps, verdict, result, words)).collect();
    let residuals: Vec<Value> = (result.iter().flat_map(|r| &r.result.runs))
        .flat_map(|r| r.stations.iter().map(move |s| (r, s)))
        .map(|(r, s)| {
            // The first run of the draft is the first of the documents.
            let at = usize::from(r.run > 1);
            let station = runs.get(at).map_or(s.station, |run| typed_place(run, s.station));
            json!({ "run": at, "station": station, "percent": s.residual_percent })
        })
        .collect();
    let checks: Vec<Value> = (result.iter().flat_map(|r| checks(&r.result, words)))
        .map(|c| {
            json!({
                "name": c.name, "found": c.found, "wanted": c.wanted, "state": state(c.state),
                "recalled": is_recalled(&c, words),
            })
        })
        .collect();
    let others: Vec<Value> = (headline.iter().flat_map(|t| &t.others))
        .map(|o| json!({ "label": o.label, "text": words.estimate_short(&o.number.estimate, o.number.show()) }))
        .collect();
    let restore: Vec<Value> = prepare::restore_list(draft)
        .iter()
        .map(|p| json!({ "id": p.id, "label": prepare::label(&p.id, words), "done": p.restored }))
        .collect();
    json!({
        "missing": missing(draft, now, words),
        "challenges": challenges(draft, now, words),
        "answer": answer,
        "others": others,
        "history": steps.iter().map(|s| json!({
            "stations": s.stations,
            "value": s.value,
            "lo": s.ends.map(|e| e.0),
            "hi": s.ends.map(|e| e.1),
        })).collect::<Vec<_>>(),
        "residuals": residuals,
        "checks": checks,
        "advice": advised.first(),
        "second_advice": advised.get(1),
        "basis_sentence": basis(draft, words),
        "restore": restore,
    })
}

fn state(state: CheckState) -> &'static str {
    match state {
        CheckState::Holds => "holds",
        CheckState::Failed => "failed",
        CheckState::Undecided => "undecided",
    }
}

/// The engine numbers stations of the document; a half typed line is none of them.
fn typed_place(draft: &Draft, station: usize) -> usize {
    let written = draft.stations.iter().enumerate().filter(|(_, s)| draft.is_whole(s));
    written.map(|(i, _)| i + 1).nth(station.saturating_sub(1)).unwrap_or(station)
}

/// The engine says so where the highest station lies below 50 Pa by more than the gauge can tell.
pub(super) fn is_extrapolated(found: &Diagnostics) -> bool {
    found.list.iter().any(|d| d.code == code::E113)
}

/// Why nothing can be decided although there is a limit: a key of the catalogue.
///
/// Without the accuracy of both instruments the interval is too narrow to decide by; without what
/// the fan shows the number itself is a guess.
pub(super) fn undecidable(draft: &Draft) -> Option<&'static str> {
    let stated = is_typed(&draft.gauge.accuracy) && draft.fans.iter().all(|f| is_typed(&f.accuracy));
    let shown = |fan: &Fan| SHOWS.iter().any(|s| s.0 == fan.shows.trim());
    if draft.fans.is_empty() || !draft.fans.iter().all(shown) {
        Some("phone-verdict-no-basis")
    } else if !stated {
        Some("phone-verdict-no-accuracy")
    } else {
        None
    }
}

pub(super) fn decided(draft: &Draft, t: &Tightness) -> Option<Verdict> {
    match t.verdict {
        Some(Verdict::Pass | Verdict::Fail | Verdict::TooClose) if undecidable(draft).is_some() => None,
        other => other,
    }
}

/// The estimate whose interval decides: with the wind counted where that could be worked out.
fn deciding(t: &Tightness) -> Estimate {
    t.wind_counted.as_ref().unwrap_or(&t.number).estimate
}

fn answer(
    draft: &Draft,
    t: &Tightness,
    verdict: Option<Verdict>,
    extrapolated: bool,
    words: &Words,
) -> Option<Value> {
    let (estimate, show) = (&t.number.estimate, t.number.show());
    if !estimate.si.is_finite() {
        return None;
    }
    let unit = words.unit_for(estimate.quantity, show);
    // The number is the standard's; its range is the one that decides.
    let shown = words.shown_estimate(&deciding(t), show);
    let number = words.shown_estimate(estimate, show).value;
    let bounds = deciding(t).bounds().map(|(lo, hi)| (unit.from_si(lo), unit.from_si(hi)));
    let range = match (&shown.ends, shown.reason) {
        (Some((lo, hi)), _) => words.from_to(lo, hi),
        (None, Some(why)) => words.text("no-interval", &[("reason", why.into())]),
        (None, None) => String::new(),
    };
    let limit = t.limit.as_ref().map(|l| {
        json!({
            "value": words.unit_for(l.quantity, Show::usage(l.usage)).from_si(l.si),
            "text": words.quantity_as(l.si, l.quantity, Show::usage(l.usage)),
            "source": l.source,
            "confirmed": l.confirmed,
        })
    });
    Some(json!({
        "name": t.name,
        "text": number.number,
        "unit": number.unit,
        "range": range,
        "level": shown.level.unwrap_or_default(),
        "value": unit.from_si(estimate.si),
        "lo": bounds.map(|b| b.0),
        "hi": bounds.map(|b| b.1),
        "limit": limit,
        "verdict": verdict.map(verdict_id),
        "verdict_text": verdict_text(draft, t, verdict, words),
        "extrapolated": extrapolated,
    }))
}

fn verdict_id(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "pass",
        Verdict::Fail => "fail",
        Verdict::TooClose => "too-close",
        Verdict::LimitNotConfirmed => "limit-not-confirmed",
    }
}

fn verdict_text(draft: &Draft, t: &Tightness, verdict: Option<Verdict>, words: &Words) -> String {
    match verdict {
        Some(Verdict::Pass) => words.say("phone-verdict-pass"),
        Some(Verdict::Fail) => words.say("phone-verdict-fail"),
        Some(Verdict::TooClose) => words.say("phone-verdict-too-close"),
        Some(Verdict::LimitNotConfirmed) => words.say("phone-verdict-not-confirmed"),
        None if t.limit.is_none() => words.say("phone-verdict-no-limit"),
        None => words.say(undecidable(draft).unwrap_or("phone-verdict-no-interval")),
    }
}

/// The answer after each number of stations, the last one taken from the look itself.
fn history(
    draft: &Draft,
    words: &Words,
    whole: Option<&Tightness>,
    before: &dyn Fn(usize) -> Option<Tightness>,
) -> Vec<Step> {
    let count = draft.all_stations().filter(|s| draft.is_whole(s)).count();
    let step = |stations: usize, t: &Tightness| {
        let unit = words.unit_for(t.number.estimate.quantity, t.number.show());
        let ends = deciding(t).bounds().map(|(lo, hi)| (unit.from_si(lo), unit.from_si(hi)));
        let value = unit.from_si(t.number.estimate.si);
        value.is_finite().then_some(Step { stations, value, ends })
    };
    let mut steps: Vec<Step> = (FIRST_INTERVAL..count).filter_map(|n| step(n, &before(n)?)).collect();
    if count >= FIRST_INTERVAL {
        steps.extend(whole.and_then(|t| step(count, t)));
    }
    steps
}

/// What is still to be typed before the test is whole.
fn missing(draft: &Draft, now: &str, words: &Words) -> Vec<Value> {
    let mut out = Vec::new();
    let mut need = |field: &str, key: &str, there: bool| {
        if !there {
            out.push(json!({ "field": field, "text": words.say(key) }));
        }
    };
    let profile = draft.profile();
    need("profile", "phone-missing-profile", profile.is_some());
    need("direction", "phone-missing-direction", draft.direction().is_some());
    need("created", "phone-missing-date", draft.date(now).is_some());
    need("place.name", "phone-missing-place", is_typed(&draft.place.name));
    let site = is_typed(&draft.place.altitude) || is_typed(&draft.conditions.barometer);
    need("place.altitude", "phone-missing-altitude", site);
    need("building.volume", "phone-missing-volume", is_typed(&draft.building.volume));
    need("building.basement", "phone-missing-basement", is_typed(&draft.building.basement));
    need("gauge.accuracy", "phone-missing-gauge-accuracy", is_typed(&draft.gauge.accuracy));
    if draft.fans.is_empty() {
        need("fans.0.shows", "phone-missing-fan-shows", false);
    }
    for (at, fan) in draft.fans.iter().enumerate() {
        let field = |name: &str| format!("fans.{at}.{name}");
        need(&field("shows"), "phone-missing-fan-shows", is_typed(&fan.shows));
        need(&field("accuracy"), "phone-missing-fan-accuracy", is_typed(&fan.accuracy));
        if fan.shows_pressure() {
            let typed = !fan.calibrations.is_empty() && fan.calibrations.iter().all(|c| c.is_typed());
            need(&field("calibrations"), "phone-missing-calibration", typed);
            let named = !fan.has_ranges() || fan.calibrations.iter().all(|c| is_typed(&c.name));
            need(&field("calibrations"), "phone-missing-range-names", named);
        }
    }
    let prepared = !draft.preparation.is_empty() && draft.preparation.iter().all(|p| is_typed(&p.state));
    need("preparation", "phone-missing-preparation", prepared);
    need("conditions.indoor", "phone-missing-indoor", is_typed(&draft.conditions.indoor));
    need("conditions.outdoor", "phone-missing-outdoor", is_typed(&draft.conditions.outdoor));
    let taken = draft.gauge.baseline_subtracted;
    let some = |list: &[String]| list.iter().any(|t| is_typed(t));
    let runs = draft.runs();
    for (run, prefix) in runs.iter().zip(["", "second."]) {
        let field = |name: &str| format!("{prefix}{name}");
        // What was read between two runs belongs to both.
        let before = taken || some(&run.baseline_before);
        need(&field("baseline_before"), "phone-missing-baseline-before", before);
        let after = taken || some(&run.baseline_after);
        need(&field("baseline_after"), "phone-missing-baseline-after", after);
    }
    need("tester.name", "phone-missing-tester", is_typed(&draft.tester.name));
    if let Some(profile) = profile {
        let wanted = profiles::stations_wanted(profile);
        for (run, prefix) in runs.iter().zip(["", "second."]) {
            let have = run.whole_stations().len();
            if have < wanted {
                let args = [("have", Arg::from(have)), ("wanted", Arg::from(wanted))];
                let text = words.text("phone-missing-stations", &args);
                out.push(json!({ "field": format!("{prefix}stations"), "text": text }));
            }
        }
    }
    out
}

/// What the gauge and the fan show, in one sentence.
fn basis(draft: &Draft, words: &Words) -> String {
    let gauge = if draft.gauge.baseline_subtracted { "out" } else { "in" };
    let gauge = words.say(&format!("phone-basis-gauge-{gauge}"));
    let several = draft.fans.len() > 1;
    let mut said = vec![gauge];
    for (at, fan) in draft.fans.iter().enumerate() {
        let density = super::draft::digits(&fan.calibration_density)
            .map(|n| super::draft::Field::Density.unit(words).to_si(n))
            // Taken by the reader of the documents where none is written.
            .unwrap_or(1.2014);
        let density: Arg = words.quantity(density, Quantity::Density).into();
        let shows = match fan.shows.trim() {
            "fan-pressure" => words.text("phone-basis-fan-pressure", &[("density", density)]),
            "calibration-density" => words.text("phone-basis-calibration-density", &[("density", density)]),
            "actual-density" => words.say("phone-basis-actual-density"),
            "through-envelope" => words.say("phone-basis-through-envelope"),
            "reference-conditions" => words.say("phone-basis-reference-conditions"),
            _ => words.say("phone-basis-not-chosen"),
        };
        let args = [("number", Arg::from(at + 1)), ("shows", shows.clone().into())];
        said.push(if several { words.text("phone-basis-of-fan", &args) } else { shows });
    }
    said.join(" ")
}

/// Whether the profile draws one line through many pressures.
pub(super) fn is_multi_point(draft: &Draft) -> bool {
    draft.profile().is_some_and(|p| p.method == Method::MultiPoint)
}
