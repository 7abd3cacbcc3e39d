//! The estimates of a test's runs brought together, and the figures that follow.

use super::super::figures::{EQLA_DISCHARGE, FigureKind, REPORT_PA, leakage_area_m2, normalized_leakage};
use super::super::input::Building;
use super::super::spread::{LEVEL, coverage};
use super::advice::{NextStation, next_station};
use super::posterior::{Posterior, Spread};
use crate::math;
use crate::measure::Estimate;
use crate::units::Quantity;
use serde::Serialize;

/// Flow at one pressure with an interval that the wind cannot break.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct HonestFlow {
    /// Pressure, Pa.
    pub dp_pa: f64,
    /// Flow at reference conditions.
    pub flow: Estimate,
    /// 95 % half width of ln flow by the readings.
    pub readings_half: f64,
    /// The same by the gauges' own gain.
    pub gauges_half: f64,
}

/// A test estimated with what the wind does to it, beside the standard's own line.
///
/// Intervals hold 95 %; how often they do is in `docs/COVERAGE.md`.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Honest {
    /// Flow exponent.
    pub exponent: Estimate,
    /// Flow at 1 Pa, m3/s.
    pub coefficient: Estimate,
    /// At the pressures of [`REPORT_PA`].
    pub flows: Vec<HonestFlow>,
    /// Effective leakage area, 4 Pa.
    pub ela: Estimate,
    /// Equivalent leakage area, 10 Pa.
    pub eqla: Estimate,
    /// Air changes at 50 Pa; needs the volume.
    pub ach50: Option<Estimate>,
    /// Exponent expected before the test and its standard deviation over houses.
    pub expected_exponent: (f64, f64),
    /// Gust level of the windiest run: standard deviation of a baseline sample, Pa.
    pub gust_pa: f64,
    /// Standard deviation of the baseline's slow wander in that run, Pa.
    pub wander_pa: f64,
    /// What one more station of the last run would bring to the flow at 50 Pa.
    pub next: Option<NextStation>,
    #[serde(skip)]
    sizes: Building,
}

impl Honest {
    /// Flow at one of [`REPORT_PA`].
    pub fn flow_at(&self, dp_pa: f64) -> Option<&HonestFlow> {
        self.flows.iter().find(|f| (f.dp_pa - dp_pa).abs() < 1e-9)
    }

    /// The figure of this kind, if it could be worked out.
    pub fn get(&self, kind: FigureKind) -> Option<Estimate> {
        use FigureKind as K;
        let at = |dp_pa: f64| self.flow_at(dp_pa).map(|f| f.flow);
        let per = |flow: Option<Estimate>, size: Option<f64>| {
            flow.zip(size).map(|(f, s)| f.scaled(1.0 / s, Quantity::Permeability))
        };
        let b = &self.sizes;
        match kind {
            K::Flow50 => at(50.0),
            K::Flow75 => at(75.0),
            K::Ach50 => self.ach50,
            K::EnvelopePermeability50 => per(at(50.0), b.envelope_area_m2),
            K::EnvelopePermeability75 => per(at(75.0), b.envelope_area_m2),
            K::FloorPermeability50 => per(at(50.0), b.floor_area_m2),
            K::Ela => Some(self.ela),
            K::EqLa => Some(self.eqla),
            K::Sla => b.floor_area_m2.map(|a| self.ela.scaled(1.0 / a, Quantity::Number)),
            K::Nl => b.floor_area_m2.zip(b.height_m).map(|(floor, height)| {
                self.ela.scaled(normalized_leakage(1.0, floor, height), Quantity::Number)
            }),
        }
    }
}

/// One run's estimate with its gauges' standard deviations.
pub(in super::super) struct RunEstimate {
    pub(in super::super) posterior: Posterior,
    /// Of ln flow at 1 Pa and at each of [`REPORT_PA`].
    pub(in super::super) gain_sd: Vec<(f64, f64)>,
    /// Of the exponent.
    pub(in super::super) exponent_gain_sd: f64,
}

/// One number of one run before its gauges: share in the mean, spread, what is shared with other runs.
struct Part {
    share: f64,
    spread: Spread,
    shared_sd: f64,
    gain_sd: f64,
}

/// Half widths, low and high, of a mean: readings are independent between runs, the gauges' gain and
/// the exponent's prior are shared.
fn halves(parts: &[Part]) -> [f64; 2] {
    let c = coverage();
    [false, true].map(|high| {
        let (mut apart2, mut shared, mut gain) = (0.0, 0.0, 0.0);
        for p in parts {
            let half = if high { p.spread.hi - p.spread.middle } else { p.spread.middle - p.spread.lo };
            let common = (c * p.shared_sd).min(half);
            apart2 += p.share * p.share * (half * half - common * common);
            shared += p.share * common;
            gain += p.share * c * p.gain_sd;
        }
        (apart2 + shared * shared + gain * gain).sqrt()
    })
}

/// All runs together; `weights` are the runs' shares in the mean and sum to 1. Nothing without a run.
pub(in super::super) fn together(
    runs: &[RunEstimate],
    weights: &[f64],
    building: &Building,
) -> Option<Honest> {
    let last = runs.last()?;
    let at = |run: &RunEstimate, dp_pa: f64| {
        run.gain_sd.iter().find(|g| (g.0 - dp_pa).abs() < 1e-9).map_or(0.0, |g| g.1)
    };
    let flow_at = |dp_pa: f64| -> HonestFlow {
        let (ends, gauges) = match runs {
            [only] => {
                let s = only.posterior.ln_flow(dp_pa, at(only, dp_pa));
                ([s.lo, s.middle, s.hi].map(math::exp), coverage() * at(only, dp_pa))
            }
            _ => {
                let spreads: Vec<Spread> = runs.iter().map(|r| r.posterior.ln_flow(dp_pa, 0.0)).collect();
                let mean: f64 = spreads.iter().zip(weights).map(|(s, w)| w * math::exp(s.middle)).sum();
                let parts: Vec<Part> = (runs.iter().zip(weights).zip(spreads))
                    .map(|((run, w), spread)| Part {
                        share: w * math::exp(spread.middle) / mean,
                        spread,
                        shared_sd: run.posterior.shared_sd(Some(dp_pa)),
                        gain_sd: at(run, dp_pa),
                    })
                    .collect();
                let [below, above] = halves(&parts);
                let gauges = parts.iter().map(|p| p.share * coverage() * p.gain_sd).sum();
                ([mean * math::exp(-below), mean, mean * math::exp(above)], gauges)
            }
        };
        let ln_half = 0.5 * math::ln(ends[2] / ends[0]);
        HonestFlow {
            dp_pa,
            flow: Estimate::range(ends[1], ends[0], ends[2], LEVEL, Quantity::AirFlow),
            readings_half: (ln_half * ln_half - gauges * gauges).max(0.0).sqrt(),
            gauges_half: gauges,
        }
    };
    let exponent = match runs {
        [only] => only.posterior.exponent(only.exponent_gain_sd),
        _ => {
            let parts: Vec<Part> = (runs.iter().zip(weights))
                .map(|(run, w)| Part {
                    share: *w,
                    spread: run.posterior.exponent(0.0),
                    shared_sd: run.posterior.shared_sd(None),
                    gain_sd: run.exponent_gain_sd,
                })
                .collect();
            let middle: f64 = parts.iter().map(|p| p.share * p.spread.middle).sum();
            let [below, above] = halves(&parts);
            Spread { middle, lo: middle - below, hi: middle + above, sd: 0.0 }
        }
    };
    let windiest =
        runs.iter().map(|r| &r.posterior).reduce(|a, b| if b.gust_pa() > a.gust_pa() { b } else { a })?;
    let flows: Vec<HonestFlow> = REPORT_PA.iter().map(|p| flow_at(*p)).collect();
    let reported = |dp_pa: f64| flows.iter().find(|f| (f.dp_pa - dp_pa).abs() < 1e-9).map(|f| f.flow);
    let (q4, q10, q50) = (reported(4.0)?, reported(10.0)?, reported(50.0)?);
    Some(Honest {
        exponent: Estimate::range(exponent.middle, exponent.lo, exponent.hi, LEVEL, Quantity::Number),
        coefficient: flow_at(1.0).flow,
        ela: q4.scaled(leakage_area_m2(1.0, 4.0, 1.0), Quantity::Area),
        eqla: q10.scaled(leakage_area_m2(1.0, 10.0, EQLA_DISCHARGE), Quantity::Area),
        ach50: building.volume_m3.map(|v| q50.scaled(1.0 / v, Quantity::AirChange)),
        flows,
        expected_exponent: last.posterior.exponent,
        gust_pa: windiest.gust_pa(),
        wander_pa: windiest.wander_pa(),
        next: next_station(&last.posterior, 50.0, at(last, 50.0)),
        sizes: *building,
    })
}
