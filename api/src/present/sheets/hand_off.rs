//! The contractor's hand-off of each plan. Work is worded from a [`WorkScope`] alone, which the gate
//! alone makes; a held plan gets what holds it and who acts.

use super::head;
use crate::present::{changes, phrase, plans, screen};
use crate::{Data, Job};
use engine::diag::Arg;
use engine::doc::plans::{Change, SurfaceOf};
use engine::fit::Fit;
use engine::gate::{Condition, WorkScope, work_scope};
use engine::house::House;
use engine::measure::{Estimate, NoInterval};
use engine::plan::{Mark, MarkKind, Planned, Stage, Step, marks};
use engine::units::Quantity;
use report::sheets::{HandOff, HandOffStatus, MarkLine, Work, WorkStep};
use report::view::Number;
use report::words::{Show, Usage, Words};

/// Draws of the house that the marks are computed over.
const DRAWS: usize = 100;
/// A pressure that moves by less than this is no guide on site, Pa: a few steps of a gauge's display and
/// of the wind (common practice, no source).
const STEERS_PA: f64 = 0.5;
/// A flow that moves by less than this share is none either: what a test fan repeats within.
const STEERS_SHARE: f64 = 0.03;

/// One hand-off a plan.
pub(crate) fn all(job: &Job, data: &Data, words: &Words, now: &str) -> Vec<(String, HandOff)> {
    let Some(house) = &job.house else { return Vec::new() };
    let one = |(i, planned): (usize, &Planned)| {
        let args = [("letter", plans::called(i + 1, words).into()), ("plan", planned.label.as_str().into())];
        let status = match work_scope(&planned.name, &planned.changes, house, job.record.as_ref()) {
            Ok(scope) => {
                let work = work(&scope, planned, job, house, data.fit.as_ref(), words);
                HandOffStatus::Released(Box::new(work))
            }
            Err(reasons) => HandOffStatus::Held(reasons.iter().map(|r| phrase::reason(r, words)).collect()),
        };
        let head = head(job, words.say("hand-title"), job.documents.visits.last(), words, now);
        (planned.name.clone(), HandOff { head, plan: words.text("hand-plan", &args), status })
    };
    job.planned.iter().enumerate().map(one).collect()
}

/// The steps of a plan in the order of work over an even spread of the fit's draws.
pub(crate) fn steps(planned: &Planned, house: &House, fit: &Fit, seed: u64) -> Vec<Step> {
    let count = DRAWS.min(fit.draws.len());
    let picked: Vec<Vec<f64>> = (0..count).map(|i| fit.draws[i * fit.draws.len() / count].clone()).collect();
    marks(house, &picked, &planned.changes, seed)
}

fn work(
    scope: &WorkScope,
    planned: &Planned,
    job: &Job,
    house: &House,
    fit: Option<&Fit>,
    words: &Words,
) -> Work {
    let seed = job.documents.job.seed;
    let steps = match fit {
        Some(fit) => steps(planned, house, fit, seed),
        // Without a fit there is an order and no number.
        None => engine::plan::in_order(&planned.changes)
            .into_iter()
            .map(|(stage, change)| Step { stage, change, marks: Vec::new() })
            .collect(),
    };
    let felt = planned.changes.iter().any(|c| !engine::gate::effects(c, house).is_empty());
    let mut stops: Vec<String> =
        ["hand-stop-alarm", "hand-stop-draft", "hand-stop-found", "hand-stop-lower", "hand-stop-restore"]
            .iter()
            .filter(|key| **key != "hand-stop-draft" || !house.appliances.is_empty())
            .map(|key| words.say(key))
            .collect();
    if !felt {
        stops.retain(|s| *s != words.say("hand-stop-lower"));
    }
    Work {
        conditions: scope.conditions().iter().map(|c| phrase::condition(c, words)).collect(),
        price: planned.price.map(|(lo, hi)| {
            let e = Estimate::range(0.5 * (lo + hi), lo, hi, engine::fit::LEVEL, Quantity::Money);
            Number::assumed(e, &words.say("priced-by-you"))
        }),
        hazards: hazards(job, house, words),
        stops,
        computed: steps.iter().any(|s| !s.marks.is_empty()),
        steps: steps.iter().map(|s| step(s, planned, house, words)).collect(),
        retest: retest(scope, planned, job, words),
        release: scope.release().to_owned(),
    }
}

fn hazards(job: &Job, house: &House, words: &Words) -> Vec<String> {
    let mut out = Vec::new();
    for a in &house.appliances {
        let args =
            [("appliance", a.label.as_str().into()), ("zone", house.zones[a.zone].label.as_str().into())];
        out.push(words.text("hand-hazard-fuel", &args));
    }
    // What the screen of the last visit found, each with who must act.
    out.extend(job.screen().iter().flat_map(|s| &s.reasons).map(|r| screen::told(r, Some(house), words)));
    if job.documents.job.building.year_built.is_none_or(|y| y < 1978) {
        out.push(words.say("hand-hazard-old"));
        out.push(words.say("hand-hazard-wiring"));
    }
    out
}

/// Key of a kind of work.
pub(crate) fn stage(stage: Stage) -> &'static str {
    match stage {
        Stage::Hazards => "hazards",
        Stage::Moisture => "moisture",
        Stage::Ventilation => "ventilation",
        Stage::AirBarrier => "air-barrier",
        Stage::Ducts => "ducts",
        Stage::Insulation => "insulation",
        Stage::Equipment => "equipment",
    }
}

fn step(s: &Step, planned: &Planned, house: &House, words: &Words) -> WorkStep {
    let change = &planned.changes[s.change];
    let key = stage(s.stage);
    WorkStep {
        stage: words.say(&format!("stage-{key}")),
        what: changes::change(change, house, words),
        place: places(change, house).join(", "),
        marks: s.marks.iter().map(|m| mark(m, house, words)).collect(),
        materials: vec![words.say(&format!("hand-material-{key}"))],
    }
}

/// Where a change is, by names that people read.
pub(crate) fn places(change: &Change, house: &House) -> Vec<String> {
    let zone = |name: &str| house.zone(name).map(|z| house.zones[z].label.clone());
    let handler = || house.air_handler.as_ref().map(|h| house.zones[h.zone].label.clone());
    let appliance = |name: &str| {
        let at = house.appliances.iter().find(|a| a.name == name)?;
        Some(house.zones[at.zone].label.clone())
    };
    let found: Vec<Option<String>> = match change {
        Change::Seal { what, .. } => {
            let leak = |n: &str| house.leaks.iter().find(|l| l.name == n).map(|l| l.label.clone());
            what.iter().map(|w| leak(&w.value)).collect()
        }
        Change::Transfer { between, .. } => between.iter().map(|b| zone(&b.value)).collect(),
        Change::Exhaust { from: at, .. }
        | Change::Hood { zone: at, .. }
        | Change::Supply { to: at, .. }
        | Change::Cleaner { zone: at, .. }
        | Change::Remove { zone: at, .. }
        | Change::Shade { zone: at, .. }
        | Change::GroundCover { zone: at, .. }
        | Change::CloseCrawl { zone: at, .. }
        | Change::Drain { zone: at, .. }
        | Change::VentDryer { zone: at, .. } => vec![zone(&at.value)],
        Change::Balanced { to, from, .. } => vec![zone(&to.value), zone(&from.value)],
        Change::Dehumidify(d) => vec![zone(&d.zone.value)],
        Change::Humidify(h) => vec![zone(&h.zone.value)],
        Change::Replace { appliance: a, .. } => vec![appliance(&a.value)],
        Change::SealDucts { .. } | Change::Intake { .. } | Change::Mixing { .. } => vec![handler()],
        Change::Filter { what: None, .. } => vec![handler()],
        Change::Speed { what, .. } if what.value == "air_handler" => vec![handler()],
        Change::Insulate { surface: SurfaceOf::Between(ends), .. }
        | Change::Glazing { surface: SurfaceOf::Between(ends), .. } => {
            ends.iter().map(|e| zone(&e.value)).collect()
        }
        Change::Insulate { surface: SurfaceOf::Label(l), .. }
        | Change::Glazing { surface: SurfaceOf::Label(l), .. } => vec![Some(l.value.clone())],
        Change::Door { door, .. } => {
            let found = house.doors.iter().find(|d| d.text.name.value == door.value);
            vec![found.map(|d| d.text.label.clone())]
        }
        _ => Vec::new(),
    };
    let mut out: Vec<String> = Vec::new();
    for place in found.into_iter().flatten() {
        if !out.contains(&place) {
            out.push(place);
        }
    }
    out
}

/// Whether a mark moves enough to be worked to.
pub(crate) fn steers(m: &Mark) -> bool {
    let by = (m.after.si - m.before.si).abs();
    match m.kind.quantity() {
        Quantity::Pressure => by >= STEERS_PA,
        _ => by >= STEERS_SHARE * m.before.si.abs(),
    }
}

fn mark(m: &Mark, house: &House, words: &Words) -> MarkLine {
    let zone = |z: usize| -> Arg { house.zones[z].label.as_str().into() };
    let read = match m.kind {
        MarkKind::ZonePressure { zone: z, against } => {
            words.text("hand-mark-zone", &[("zone", zone(z)), ("against", zone(against))])
        }
        MarkKind::TestFlow => words.say("hand-mark-flow"),
        MarkKind::RoomPressure { zone: z, against } => {
            words.text("hand-mark-room", &[("zone", zone(z)), ("against", zone(against))])
        }
        MarkKind::SupplyLoss => words.say("hand-mark-supply"),
        MarkKind::ReturnLoss => words.say("hand-mark-return"),
        MarkKind::AppliancePressure { appliance } => {
            words.text("hand-mark-appliance", &[("zone", zone(house.appliances[appliance].zone))])
        }
    };
    let usage = if m.kind == MarkKind::TestFlow { Usage::TestFlow } else { Usage::Usual };
    let number = |e: Estimate| {
        let e = if e.si.is_finite() {
            e
        } else {
            Estimate::without(f64::NAN, e.quantity, NoInterval::NotComputed)
        };
        let n = Number::computed(e).used_as(usage);
        if m.kind.quantity() == Quantity::Pressure { n.signed() } else { n }
    };
    let after = number(m.after);
    let value = |si: f64| -> Arg { words.about(si, m.after.quantity, after.show()).into() };
    let watch = matches!(m.kind, MarkKind::AppliancePressure { .. });
    let steers = !watch && steers(m);
    let stop = match (watch, steers) {
        // The lower end of what is computed: below it the house is not as fitted.
        (true, _) => {
            let low = m.after.bounds().map_or(m.after.si, |b| b.0);
            words.text("hand-stop-watch", &[("value", value(low))])
        }
        (false, false) => words.say("hand-stop-weak"),
        (false, true) => {
            let rises = m.kind.rises() || (m.after.si > m.before.si);
            let key = if rises { "hand-stop-rises" } else { "hand-stop-falls" };
            // The figure of the column beside it, to the same digit.
            let shown = words.shown_estimate(&after.estimate, after.show()).value;
            words.text(key, &[("value", shown.to_string().into())])
        }
    };
    MarkLine { read, before: number(m.before), after, stop, steers }
}

fn retest(scope: &WorkScope, planned: &Planned, job: &Job, words: &Words) -> Vec<String> {
    let who = job.documents.job.tester.name.as_deref().unwrap_or("");
    let mut out = vec![words.text("hand-retest-tester", &[("who", who.into())])];
    if scope.conditions().contains(&Condition::TestAgain) {
        out.push(words.say("hand-retest-combustion"));
    }
    let fans = |c: &Change| {
        matches!(
            c,
            Change::Exhaust { .. }
                | Change::Hood { .. }
                | Change::Supply { .. }
                | Change::Balanced { .. }
                | Change::Intake { .. }
                | Change::Speed { .. }
                | Change::VentDryer { .. }
        )
    };
    if planned.changes.iter().any(fans) {
        out.push(words.say("hand-retest-flows"));
    }
    // Work noted in the visits after which nobody has tested yet.
    out.extend(screen::repeats(&job.repeats(), words));
    out
}

/// How a number of a mark is written in a sentence.
pub(crate) fn shown(m: &Mark, words: &Words) -> String {
    let usage = if m.kind == MarkKind::TestFlow { Usage::TestFlow } else { Usage::Usual };
    words.about(m.after.si, m.after.quantity, Show::usage(usage))
}
