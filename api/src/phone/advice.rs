//! Which pressure next, how long to average, when to stop.
//!
//! Our own rules, common practice without a source:
//! * Next is, of the profile's suggested pressures, the one farthest (in the logarithm) from all that
//!   were taken; the highest first, since it says whether the fan can. Repeats of one- and two-point
//!   tests are taken in the order of the list.
//! * Seconds: the baseline's samples are taken as independent means over 10 s, so that averaging for
//!   `10 s (sd / (2 % of the pressure))^2` brings the standard error of the mean below 2 % of the
//!   station's pressure; never under 10 s, never over 60 s; 20 s where no scatter is known.
//! * Stop once the number of stations and the span of the profile are there, and either the verdict
//!   is clear, or the last two stations narrowed the interval by less than 5 %, or the estimate that
//!   counts the wind expects little of one more ([`engine::procedure::envelope::honest`]). Where it
//!   expects more, its pressure and its seconds are the ones to take again.

use super::draft::{Draft, digits, is_typed};
use super::look::Step;
use super::profiles;
use crate::TestResult;
use engine::diag::Arg;
use engine::math;
use engine::procedure::envelope::{Method, Profile};
use engine::units::Quantity;
use report::view::Verdict;
use report::words::Words;
use serde_json::{Value, json};

/// Length of time one typed baseline sample is taken to stand for, s.
const SAMPLE_S: f64 = 10.0;
/// Shortest and longest averaging, s.
const AVERAGE_S: (f64, f64) = (10.0, 60.0);
/// Averaging where the baseline's scatter is unknown, s.
const PLAIN_S: f64 = 20.0;
/// Wanted standard error of a station's pressure, share.
const PRESSURE_SHARE: f64 = 0.02;
/// Narrowing over the last two stations below which more of them tell little, share.
const NARROWING: f64 = 0.05;
/// A pressure is taken where a station lies within this factor.
const NEAR: f64 = 1.06;
/// The span is covered where its ends are met within this share.
const ENDS: f64 = 0.10;

/// `{ text, next_pa, seconds, stop }` for the run of a draft with one, or nothing where no profile is chosen.
pub(super) fn advice(
    draft: &Draft,
    steps: &[Step],
    verdict: Option<Verdict>,
    result: Option<&TestResult>,
    words: &Words,
) -> Option<Value> {
    let profile = draft.profile()?;
    let no_baseline = !draft.gauge.baseline_subtracted && !draft.baseline_before.iter().any(|t| is_typed(t));
    if no_baseline {
        return Some(json!({ "text": words.say("phone-advice-baseline-first"), "stop": false }));
    }
    let offset_pa = draft.offset_along_pa();
    let taken: Vec<f64> =
        draft.whole_stations().iter().map(|s| s.1 - offset_pa).filter(|p| *p > 0.0).collect();
    let plan = Plan::new(profile, &taken);
    let direction = draft.direction();
    let asked = result
        .filter(|r| r.result.runs.last().map(|run| run.direction) == direction)
        .and_then(|r| r.result.honest.as_ref()?.next);
    let settled = has_settled(steps) || asked.is_some_and(|n| n.stop);
    if plan.is_whole(&taken) && (is_clear(verdict) || settled) {
        let after = draft.gauge.baseline_subtracted || draft.baseline_after.iter().any(|t| is_typed(t));
        let key = match (after, is_clear(verdict)) {
            (false, _) => "phone-advice-stop-baseline",
            (true, true) => "phone-advice-stop-clear",
            (true, false) => "phone-advice-stop-settled",
        };
        return Some(json!({ "text": words.say(key), "stop": true }));
    }
    let (induced_pa, again) = match plan.next(&taken) {
        Some(pa) => (pa, false),
        None => {
            let worth = asked.map(|n| n.dp_pa).or_else(|| worst(draft, result));
            (worth.unwrap_or(plan.top()), true)
        }
    };
    // The display shows the baseline too, where the gauge leaves it in.
    let next_pa = (induced_pa + offset_pa).round();
    let seconds = match asked.filter(|_| again) {
        Some(n) => ((n.seconds / 5.0).round() * 5.0).clamp(AVERAGE_S.0, AVERAGE_S.1),
        None => seconds(draft, induced_pa),
    };
    let args = [
        ("pressure", Arg::from(words.quantity(next_pa, Quantity::Pressure))),
        ("seconds", Arg::from(seconds)),
    ];
    let key = match (again, plan.fan_at_its_end) {
        (true, _) => "phone-advice-again",
        (false, true) => "phone-advice-next-weak",
        (false, false) if taken.is_empty() => "phone-advice-first",
        (false, false) => "phone-advice-next",
    };
    Some(json!({ "text": words.text(key, &args), "next_pa": next_pa, "seconds": seconds, "stop": false }))
}

fn is_clear(verdict: Option<Verdict>) -> bool {
    matches!(verdict, Some(Verdict::Pass | Verdict::Fail))
}

/// Whether the last two stations narrowed the interval by less than [`NARROWING`] together.
fn has_settled(steps: &[Step]) -> bool {
    let width = |s: &Step| s.ends.map(|(lo, hi)| hi - lo);
    match steps {
        // Too few stations for a history: a one-point test of one reading narrows no further.
        [] => true,
        [.., before, _, last] => match (width(before), width(last)) {
            (Some(before), Some(last)) => last > before * (1.0 - NARROWING),
            _ => false,
        },
        _ => false,
    }
}

/// Seconds of averaging for a station at this pressure.
fn seconds(draft: &Draft, induced_pa: f64) -> f64 {
    let samples: Vec<f64> = draft.baseline_before.iter().filter_map(|t| digits(t)).collect();
    let count = samples.len() as f64;
    if samples.len() < 2 {
        return PLAIN_S;
    }
    let mean = samples.iter().sum::<f64>() / count;
    let variance = samples.iter().map(|s| (s - mean) * (s - mean)).sum::<f64>() / (count - 1.0);
    let share = PRESSURE_SHARE * induced_pa;
    // Whole fives: a number to keep in mind.
    let wanted = SAMPLE_S * variance / (share * share);
    ((wanted / 5.0).ceil() * 5.0).clamp(AVERAGE_S.0, AVERAGE_S.1)
}

/// The station of this run that lies farthest from its line: the one worth taking again.
fn worst(draft: &Draft, result: Option<&TestResult>) -> Option<f64> {
    let direction = draft.direction()?;
    let stations = result?.result.runs.iter().find(|r| r.direction == direction)?.stations.iter();
    let far = stations.max_by(|a, b| a.residual_percent.abs().total_cmp(&b.residual_percent.abs()));
    far.map(|s| s.dp_pa)
}

struct Plan {
    method: Method,
    /// Induced pressures in the order of the profile, Pa.
    aims: Vec<f64>,
    wanted: usize,
    /// The first station lay below the highest pressure wanted: the fan has no more.
    fan_at_its_end: bool,
}

impl Plan {
    fn new(profile: &Profile, taken: &[f64]) -> Plan {
        let mut aims = profiles::pressures_pa(profile);
        let wanted = aims.len();
        let (low, high) = ends(&aims);
        let first = taken.first().copied().unwrap_or(high);
        let reached = taken.iter().copied().fold(0.0, f64::max);
        // Testers begin at the top. What the first station reached is then what the fan can do.
        let fan_at_its_end =
            first < high * (1.0 - ENDS) && (first - reached).abs() < 1e-9 && first > 2.0 * low;
        if fan_at_its_end && profile.method == Method::MultiPoint {
            let step = math::ln(first / low) / (wanted - 1) as f64;
            aims = (0..wanted).map(|k| first * math::exp(-step * k as f64)).collect();
        } else if fan_at_its_end {
            for aim in &mut aims {
                *aim = aim.min(first);
            }
        }
        Plan { method: profile.method, aims, wanted, fan_at_its_end }
    }

    fn top(&self) -> f64 {
        ends(&self.aims).1
    }

    fn is_whole(&self, taken: &[f64]) -> bool {
        let (low, high) = ends(&self.aims);
        let (lowest, highest) = ends(taken);
        let spans = match self.method {
            Method::OnePoint => highest >= high * (1.0 - ENDS),
            _ => highest >= high * (1.0 - ENDS) && lowest <= low * (1.0 + ENDS) + 1.0,
        };
        taken.len() >= self.wanted && spans
    }

    /// Where the next station should lie; nothing once all are taken.
    fn next(&self, taken: &[f64]) -> Option<f64> {
        if self.method != Method::MultiPoint {
            return self.next_repeat(taken);
        }
        if taken.is_empty() {
            return Some(self.top());
        }
        let apart = |aim: f64| taken.iter().map(|t| math::ln(aim / t).abs()).fold(f64::INFINITY, f64::min);
        let free = self.aims.iter().copied().filter(|aim| apart(*aim) > math::ln(NEAR));
        free.max_by(|a, b| apart(*a).total_cmp(&apart(*b)))
    }

    /// The first of the list that no station of its own stands for.
    fn next_repeat(&self, taken: &[f64]) -> Option<f64> {
        let mut left = self.aims.clone();
        for t in taken {
            let apart = |aim: &f64| math::ln(aim / t).abs();
            let nearest = (0..left.len()).min_by(|a, b| apart(&left[*a]).total_cmp(&apart(&left[*b])));
            if let Some(at) = nearest {
                left.remove(at);
            }
        }
        left.first().copied()
    }
}

fn ends(values: &[f64]) -> (f64, f64) {
    let low = values.iter().copied().fold(f64::INFINITY, f64::min);
    (low, values.iter().copied().fold(0.0, f64::max))
}

#[cfg(test)]
mod tests;
