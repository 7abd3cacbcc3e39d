//! Build-up of a gas in one room towards the level at which as much leaves as is given off.

use super::curve::{self, Curve, Prior};
use super::steady::{Generation, STEADY_TURNS, Source, generation};
use super::{Background, VolumeM3, flow};
use crate::diag::{Diagnostic, code};
use crate::measure::{Estimate, NoInterval, propagate};
use crate::procedure::field::{LEVEL, Limit, Note, Worked, around};
use crate::units::Quantity;
use serde::Serialize;

/// Readings that the curve needs.
const FEWEST: usize = 5;

/// What was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked<'a> {
    /// Time of each reading, s; rising.
    pub time_s: &'a [f64],
    /// Gas in the room, volume fraction; NaN in gaps.
    pub gas: &'a [f64],
    /// Gas outdoors.
    pub background: Option<Background>,
    /// Where the gas comes from, where it is known.
    pub source: Option<Source>,
    /// Air temperature, K.
    pub temp_k: f64,
    /// Air pressure, Pa.
    pub pressure_pa: f64,
    /// Volume of the room.
    pub volume_m3: Option<VolumeM3>,
    /// 95 % limit of the sensor's gain, as a share; it does not touch the shape.
    pub gain_limit: f64,
    /// A level of the end that is known beforehand, with its half width.
    pub expected_end: Option<(f64, f64)>,
}

/// What follows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Rise {
    /// The level it runs towards, volume fraction.
    pub end: Estimate,
    /// Whether the record is long enough to have seen it: three time constants.
    pub plateau: bool,
    /// Time constants in the record.
    pub turns: f64,
    /// Air changes, from the shape alone.
    pub rate: Estimate,
    /// Flow of outdoor air from the shape and the volume, m3/s.
    pub flow_by_shape: Option<Estimate>,
    /// Flow of outdoor air from the end level and what is given off, m3/s.
    pub flow_by_level: Option<Estimate>,
    /// CO2 given off.
    pub generation: Option<Generation>,
    /// Last reading, volume fraction.
    pub last: f64,
    /// Readings used.
    pub used: usize,
    /// Remarks.
    #[serde(skip)]
    pub said: Vec<Diagnostic>,
    /// The curve, for drawing.
    #[serde(skip)]
    pub curve: Curve,
}

/// Works it: `c = c_end - (c_end - c_0) e^(-A t)` is fitted with all three unknown ([`curve::fit`]).
///
/// Only after three time constants (95 % of the step) is the end called a plateau; before that it
/// is an extrapolation with its interval. With what is given off known, the end level gives a flow
/// of its own, `Q = G / (c_end - c_out)`, beside that of the shape, `Q = A V`.
///
/// Errors: A101 too few readings, A104 the record does not rise, A105 the record is too short or
/// too straight to tell an end. A reading that is not finite is left out and said (A113).
///
/// ```
/// use engine::procedure::tracer::rise::{Asked, evaluate};
/// let time_s: Vec<f64> = (0..30).map(|i| 600.0 * f64::from(i)).collect();
/// let gas: Vec<f64> = time_s.iter().map(|t| (1200.0 - 700.0 * (-t / 5000.0_f64).exp()) * 1e-6).collect();
/// let rise = evaluate(&Asked {
///     time_s: &time_s, gas: &gas, background: None, source: None, temp_k: 293.15,
///     pressure_pa: 101_325.0, volume_m3: None, gain_limit: 0.0, expected_end: None,
/// }).unwrap();
/// assert!(rise.plateau && (rise.end.si - 1200e-6).abs() < 1e-9);
/// ```
pub fn evaluate(asked: &Asked<'_>) -> Result<Rise, Diagnostic> {
    let mut said = Vec::new();
    let (mut time_s, mut gas) = (Vec::new(), Vec::new());
    for (row, (t, c)) in asked.time_s.iter().zip(asked.gas).enumerate() {
        match c {
            c if c.is_nan() => {}
            c if c.is_finite() && *c >= 0.0 => {
                time_s.push(*t);
                gas.push(*c);
            }
            _ => said.push(Diagnostic::warning(code::A113).arg("row", row + 1)),
        }
    }
    let few = Diagnostic::error(code::A101).arg("found", gas.len()).arg("needed", FEWEST);
    let (Some(start_s), Some(last)) = (time_s.first().copied(), gas.last().copied()) else { return Err(few) };
    if gas.len() < FEWEST {
        return Err(few);
    }
    let time_s: Vec<f64> = time_s.iter().map(|t| t - start_s).collect();
    let sd = |half: f64| half / crate::measure::normal_quantile(0.5 + LEVEL / 2.0);
    let prior = asked.expected_end.filter(|e| e.1 > 0.0).map(|(mean, half)| Prior { mean, sd: sd(half) });
    let fitted = curve::fit(&time_s, &gas, prior);
    let Some(curve) = fitted else { return Err(Diagnostic::error(code::A105)) };
    if curve.excess >= 0.0 {
        return Err(Diagnostic::error(code::A104));
    }
    let k = curve.coverage(LEVEL);
    let length_s = time_s.last().copied().unwrap_or(0.0);
    // A straight line has no end: the search ran into its slow edge, or the end is all interval.
    if curve.rate_per_s * length_s < 0.0101 || k * curve.end_se > 10.0 * curve.excess.abs() {
        return Err(Diagnostic::error(code::A105));
    }
    let turns = curve.rate_per_s * length_s;
    let end = around(curve.end, Some(k * curve.end_se), Quantity::GasFraction);
    let rate = around(curve.rate_per_s, Some(k * curve.rate_se), Quantity::AirChange);
    let generation = asked.source.as_ref().map(|s| generation(s, asked.temp_k, asked.pressure_pa));
    let flow_by_level = match (&generation, asked.background) {
        (Some(given), Some(background)) if curve.end > background.value => {
            let by_gain = asked.gain_limit * (curve.end - background.value);
            let half = (k * curve.end_se * k * curve.end_se + by_gain * by_gain).sqrt();
            Some(by_level(curve.end, half, background, given))
        }
        _ => None,
    };
    Ok(Rise {
        end,
        plateau: turns >= STEADY_TURNS,
        turns,
        rate,
        flow_by_shape: asked.volume_m3.map(|volume| flow(rate, volume)),
        flow_by_level,
        generation,
        last,
        used: gas.len(),
        said,
        curve,
    })
}

fn by_level(end: f64, half: f64, background: Background, given: &Generation) -> Estimate {
    let (value, given_half) = given.parts();
    let out_half = background.half.unwrap_or(0.0);
    let excess = end - background.value;
    let reach = (half * half + out_half * out_half).sqrt();
    if reach >= excess {
        return Estimate::range(value / excess, 0.0, f64::INFINITY, LEVEL, Quantity::AirFlow);
    }
    let inputs = [(end, half), (background.value, out_half), (value, given_half.unwrap_or(0.0))];
    let flow = propagate(&inputs, LEVEL, Quantity::AirFlow, |x| x[2] / (x[0] - x[1]));
    match (given_half, background.half) {
        (Some(_), Some(_)) => flow,
        _ => Estimate::without(flow.si, Quantity::AirFlow, NoInterval::TypedWithoutInstrument),
    }
}

impl Rise {
    /// In the shape of all tests. `limit` is the user's own for the flow.
    pub fn worked(&self, limit: Option<&Limit>) -> Worked {
        let mut worked = Worked::default();
        worked.figure(if self.plateau { "figure-plateau" } else { "figure-end-value" }, self.end);
        let flows = [self.flow_by_level, self.flow_by_shape];
        for (id, flow) in ["figure-outdoor-air-level", "figure-outdoor-air-shape"].iter().zip(flows) {
            if let Some(flow) = flow {
                worked.figure(id, flow);
            }
        }
        worked.figure("figure-air-change", self.rate);
        if let Some(given) = &self.generation {
            worked.figure("figure-co2-given-off", given.total);
        }
        if let Some(limit) = limit {
            // The level's flow is the surer one: the shape is bent by every change in the room.
            let flow = self.flow_by_level.or(self.flow_by_shape);
            worked.checks.push(limit.check("check-outdoor-air", flow));
        }
        let turns = Estimate::without(self.turns, Quantity::Number, NoInterval::Exact);
        let rule = Limit::at_least(STEADY_TURNS, "time-constants", true);
        worked.checks.push(rule.check("check-build-up-span", Some(turns)));
        if !self.plateau {
            let gas = |c: f64| (c, Quantity::GasFraction);
            let note = Note::caution("note-no-plateau").arg("last", gas(self.last));
            worked.notes.push(note.arg("turns", self.turns));
        }
        if self.generation.as_ref().is_some_and(|g| !g.assumed_mass_kg.is_empty()) {
            worked.notes.push(Note::new("note-mass-from-table"));
        }
        // Two ways to one flow that do not meet say that something was taken wrongly.
        if let [Some(level), Some(shape)] = flows
            && let (Some(a), Some(b)) = (level.bounds(), shape.bounds())
            && (a.1 < b.0 || b.1 < a.0)
        {
            worked.notes.push(Note::caution("note-flows-disagree"));
        }
        worked
    }
}
