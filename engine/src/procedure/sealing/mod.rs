//! A sealing session: the fan holds a pressure while holes are closed; leakage now, since the start
//! and to the target, and what each repair was worth.

mod steps;

use super::field::{LEVEL, Limit, Note, Worked};
use crate::diag::{Diagnostic, Span, code};
use crate::math;
use crate::measure::{Estimate, NoInterval, normal_quantile};
use crate::units::{Accuracy, Quantity};
use serde::Serialize;

/// Exponent where no test of this house told one; common practice, marked so in the reference.
pub const USUAL_EXPONENT: f64 = 0.65;
/// Half width of its 95 % interval: exponents of houses lie between about 0.55 and 0.75.
/// Common practice, no source.
const EXPONENT_HALF: f64 = 0.10;
/// Pressure that leakage is told at, Pa.
const REFERENCE_PA: f64 = 50.0;
/// Below this pressure the way to 50 Pa says more about the exponent than about the house.
const LOWEST_PA: f64 = 10.0;

/// One reading while the fan runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// Time since the first, s.
    pub time_s: f64,
    /// House minus outdoors as shown, Pa; absent where only the flow was written down and the fan
    /// holds 50 Pa.
    pub house_pa: Option<f64>,
    /// Flow of the fan, m3/s.
    pub flow_m3_s: f64,
}

/// A repair and when it was done.
#[derive(Clone, Debug, PartialEq)]
pub struct Mark {
    /// What was closed.
    pub what: String,
    /// When it was done, s since the first reading.
    pub time_s: f64,
    /// Where it was written.
    pub span: Option<Span>,
}

/// A leakage below which something else is due.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// What is due.
    pub what: String,
    /// Below this leakage at 50 Pa, m3/s.
    pub below_m3_s: f64,
    /// Who says so.
    pub source: String,
    /// Whether that was read in its text.
    pub confirmed: bool,
}

/// What is known about fuel in the house.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Fuel {
    /// Nobody recorded a look.
    #[default]
    NotInspected,
    /// Looked for, none found.
    NoneFound,
    /// There is an appliance that burns fuel.
    Present,
}

/// What a session asks.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Asked {
    /// Readings in the order of time.
    pub readings: Vec<Reading>,
    /// Repairs in the order done.
    pub marks: Vec<Mark>,
    /// Zero-flow pressure, house minus outdoors, Pa.
    pub baseline_pa: f64,
    /// Exponent measured in this house.
    pub exponent: Option<f64>,
    /// Leakage at 50 Pa to come down to, m3/s.
    pub target_m3_s: Option<f64>,
    /// People at work.
    pub crew: f64,
    /// Accuracy of the flow instrument (95 % limits).
    pub flow_accuracy: Option<Accuracy>,
    /// Leakages below which something else is due.
    pub lines: Vec<Line>,
    /// What is known about fuel.
    pub fuel: Fuel,
    /// Where the test was written.
    pub span: Option<Span>,
}

/// What one repair was worth.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Repair {
    /// What was closed.
    pub what: String,
    /// Leakage at 50 Pa that it took away, m3/s.
    pub worth: Estimate,
    /// Whether the wind of the day hides it: the interval reaches down to nothing.
    pub hidden: bool,
    /// When the leakage fell, s since the first reading.
    pub at_s: f64,
    /// Crew time since the repair before, s.
    pub work_s: f64,
    /// Leakage a second of crew time, m3/s2; absent where hidden.
    pub per_work: Option<f64>,
}

/// What a session comes to.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Session {
    /// Leakage at 50 Pa before the first repair, m3/s.
    pub start: Estimate,
    /// Leakage at 50 Pa now.
    pub now: Estimate,
    /// By how much it came down.
    pub since_start: Estimate,
    /// How much is left to the target.
    pub to_target: Option<Estimate>,
    /// Smallest hole that two minutes of readings before and after would show today, m3/s.
    pub smallest_seen_m3_s: f64,
    /// Each repair.
    pub repairs: Vec<Repair>,
    /// The record at 50 Pa: time, s, and leakage, m3/s.
    pub record: Vec<(f64, f64)>,
    /// Comparisons with the lines at which something else is due, and cautions.
    #[serde(skip)]
    pub worked: Worked,
}

/// Works the session; what is wrong is said, and what can be used is used.
///
/// Every reading is brought to 50 Pa by `Q50 = Q (50/dp)^n`. A repair is a fall of that record,
/// sought between its mark and the one before; its interval carries the record's own
/// autocorrelation, the uncertainty of where the fall is, and the fan's gain.
///
/// # Errors
/// Diagnostics L101 (too few readings), L102 (a repair outside the record), L105 (a reading that
/// cannot be brought to 50 Pa); the result is absent where fewer than three readings are left.
///
/// ```
/// use engine::procedure::sealing::{Asked, Mark, Reading, evaluate};
/// let reading = |minute: f64, cfm: f64| Reading {
///     time_s: 60.0 * minute,
///     house_pa: Some(-50.0),
///     flow_m3_s: cfm * 0.000_471_947,
/// };
/// let cfm = [2000.0, 2004.0, 1998.0, 2001.0, 1850.0, 1846.0, 1852.0, 1849.0];
/// let asked = Asked {
///     readings: cfm.iter().enumerate().map(|(i, q)| reading(i as f64, *q)).collect(),
///     marks: vec![Mark { what: "chase".into(), time_s: 240.0, span: None }],
///     crew: 1.0,
///     ..Asked::default()
/// };
/// let session = evaluate(&asked).0.unwrap();
/// let worth = session.repairs[0].worth.si / 0.000_471_947;
/// assert!((worth - 151.5).abs() < 1.0, "{worth}");
/// ```
pub fn evaluate(asked: &Asked) -> (Option<Session>, Vec<Diagnostic>) {
    let mut said = Vec::new();
    let n = asked.exponent.unwrap_or(USUAL_EXPONENT);
    let mut record: Vec<(f64, f64)> = Vec::new();
    let mut pressure = 0.0;
    for (i, r) in asked.readings.iter().enumerate() {
        let dp = r.house_pa.map_or(REFERENCE_PA, |p| (p - asked.baseline_pa).abs());
        let usable = dp >= LOWEST_PA && dp.is_finite() && r.flow_m3_s > 0.0 && r.flow_m3_s.is_finite();
        if usable {
            pressure += dp;
            record.push((r.time_s, r.flow_m3_s * math::pow(REFERENCE_PA / dp, n)));
        } else {
            said.push(Diagnostic::warning(code::L105).at(asked.span.clone()).arg("reading", i + 1));
        }
    }
    if record.len() < 3 {
        said.push(Diagnostic::error(code::L101).at(asked.span.clone()).arg("found", record.len()));
        return (None, said);
    }
    let pressure = pressure / record.len() as f64;
    let mut marks: Vec<(usize, &Mark)> = Vec::new();
    let mut sorted: Vec<&Mark> = asked.marks.iter().collect();
    sorted.sort_by(|a, b| a.time_s.total_cmp(&b.time_s));
    for mark in sorted {
        let at = record.partition_point(|(t, _)| *t < mark.time_s);
        let taken = marks.last().is_some_and(|(before, _)| at <= before + 1);
        if at == 0 || at >= record.len() || taken {
            let d = Diagnostic::warning(code::L102).arg("what", mark.what.as_str());
            said.push(d.at(mark.span.clone().or_else(|| asked.span.clone())));
        } else {
            marks.push((at, mark));
        }
    }
    let values: Vec<f64> = record.iter().map(|r| r.1).collect();
    let places: Vec<usize> = marks.iter().map(|m| m.0).collect();
    let Some(found) = steps::find(&values, &places) else {
        said.push(Diagnostic::error(code::L101).at(asked.span.clone()).arg("found", record.len()));
        return (None, said);
    };
    // Of the way to 50 Pa and of the fan's gain every level has the same share.
    let away = math::ln(REFERENCE_PA / pressure).abs();
    let exponent = if asked.exponent.is_some() { 0.0 } else { EXPONENT_HALF * away };
    let gain = asked.flow_accuracy.map(|a| a.limit(found.last.0) / found.last.0);
    let flow = |si: f64, half: f64| match gain {
        Some(gain) => {
            let shared = si * (gain * gain + exponent * exponent).sqrt();
            let half = (half * half + shared * shared).sqrt();
            Estimate::range(si, si - half, si + half, LEVEL, Quantity::AirFlow)
        }
        None => Estimate::without(si, Quantity::AirFlow, NoInterval::TypedWithoutInstrument),
    };
    let mut before_s = record.first().map_or(0.0, |r| r.0);
    let repairs: Vec<Repair> = found
        .steps
        .iter()
        .zip(&marks)
        .map(|(step, (_, mark))| {
            let work_s = (mark.time_s - before_s) * asked.crew;
            before_s = mark.time_s;
            let hidden = step.fall - step.half <= 0.0;
            // A single fall is told with its scatter even where nobody named an instrument: what
            // hides it is the wind, which the record itself shows.
            let half = gain.map_or(step.half, |_| {
                flow(step.fall, step.half).bounds().map_or(step.half, |(lo, _)| step.fall - lo)
            });
            Repair {
                what: mark.what.clone(),
                worth: Estimate::range(
                    step.fall,
                    step.fall - half,
                    step.fall + half,
                    LEVEL,
                    Quantity::AirFlow,
                ),
                hidden,
                at_s: record.get(step.at).map_or(mark.time_s, |r| r.0),
                work_s,
                per_work: (!hidden && work_s > 0.0).then(|| step.fall / work_s),
            }
        })
        .collect();
    let (start, now) = (flow(found.first.0, found.first.1), flow(found.last.0, found.last.1));
    let fell_half = (found.first.1 * found.first.1 + found.last.1 * found.last.1).sqrt();
    let since_start = flow(found.first.0 - found.last.0, fell_half);
    let to_target = asked.target_m3_s.map(|target| {
        let left = now.si - target;
        match now.bounds() {
            Some((lo, hi)) => Estimate::range(left, lo - target, hi - target, LEVEL, Quantity::AirFlow),
            None => Estimate::without(left, Quantity::AirFlow, NoInterval::TypedWithoutInstrument),
        }
    });
    let per_value_s = step_s(&record);
    let seen_in = (120.0 / per_value_s / found.together).max(1.0);
    let mut session = Session {
        start,
        now,
        since_start,
        to_target,
        // Half width of the difference of two means of two minutes each.
        smallest_seen_m3_s: normal_quantile(0.975) * found.noise * (2.0 / seen_in).sqrt(),
        repairs,
        record,
        worked: Worked::default(),
    };
    session.worked = worked(&session, asked);
    (Some(session), said)
}

/// Mean time between readings, s.
fn step_s(record: &[(f64, f64)]) -> f64 {
    match (record.first(), record.last()) {
        (Some(a), Some(b)) if record.len() > 1 => ((b.0 - a.0) / (record.len() - 1) as f64).max(1e-3),
        _ => 60.0,
    }
}

fn worked(session: &Session, asked: &Asked) -> Worked {
    let mut worked = Worked::default();
    let number = |si: f64, quantity| Estimate::without(si, quantity, NoInterval::Guide);
    worked.figure("figure-leakage-now", session.now);
    worked.figure("figure-leakage-since-start", session.since_start);
    if let Some(left) = session.to_target {
        worked.figure("figure-leakage-to-target", left);
    }
    worked.figure("figure-leakage-start", session.start);
    for repair in &session.repairs {
        if repair.hidden {
            // A fall below nothing is scatter; it makes no bound tighter than the scatter itself.
            let half = repair.worth.bounds().map_or(0.0, |(_, hi)| hi - repair.worth.si);
            let most = repair.worth.si.max(0.0) + half;
            worked.notes.push(
                Note::new("note-repair-hidden")
                    .arg("what", repair.what.as_str())
                    .arg("most", (most, Quantity::AirFlow)),
            );
            continue;
        }
        worked.figure_of("figure-repair-worth", &repair.what, repair.worth);
        if let Some(rate) = repair.per_work {
            worked.figure_of(
                "figure-repair-per-minute",
                &repair.what,
                number(rate * 60.0, Quantity::AirFlow),
            );
        }
    }
    worked.figure("figure-smallest-seen", number(session.smallest_seen_m3_s, Quantity::AirFlow));
    for line in &asked.lines {
        let limit = Limit::at_least(line.below_m3_s, &line.source, line.confirmed);
        worked.checks.push(limit.check("check-sealing-line", Some(session.now)).of(&line.what));
        let low = session.now.bounds().map_or(session.now.si, |(lo, _)| lo);
        if low < line.below_m3_s {
            worked.notes.push(Note::caution("note-sealing-line").arg("what", line.what.as_str()));
        }
    }
    let fell = session.since_start.bounds().map_or(session.since_start.si, |(lo, _)| lo) > 0.0;
    match asked.fuel {
        Fuel::NoneFound => {}
        Fuel::Present if fell => worked.notes.push(Note::caution("note-sealing-combustion")),
        Fuel::Present => {}
        Fuel::NotInspected => worked.notes.push(Note::caution("note-sealing-not-inspected")),
    }
    if asked.exponent.is_none() && session.record.len() > 2 {
        worked.notes.push(Note::new("note-sealing-exponent").arg("exponent", USUAL_EXPONENT));
    }
    worked
}
