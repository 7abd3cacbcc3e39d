//! What comes out of an envelope test.

use super::check::Check;
use super::figures::{FigureKind, Figures};
use super::honest::Honest;
use super::profile::{DensityForm, Method, Sourced};
use super::spread::Stated;
use crate::measure::Estimate;
use crate::measure::regression::BandPoint;
use crate::procedure::instrument::{AirAtTest, Direction, ReferenceForm};
use crate::procedure::verdict::Verdict;
use serde::Serialize;

/// Something that was not measured and therefore assumed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Assumption {
    /// Indoor temperature 20 degC.
    IndoorTemperature,
    /// Outdoor temperature 20 degC.
    OutdoorTemperature,
    /// Relative humidity 0.5 where none is told.
    Humidity,
    /// Air pressure at sea level.
    SeaLevel,
    /// Baseline before the stations only.
    BaselineBeforeOnly,
    /// Baseline after the stations only.
    BaselineAfterOnly,
}

/// Means of one baseline, house minus outdoors.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct BaselineMeans {
    /// Number of readings; 0 where only their mean was told.
    pub count: usize,
    /// Mean of all, Pa.
    pub mean_pa: f64,
    /// Mean of the positive readings, Pa, if there are any.
    pub mean_positive_pa: Option<f64>,
    /// Mean of the negative readings, Pa, if there are any.
    pub mean_negative_pa: Option<f64>,
    /// Standard error of the mean, Pa, if two readings or more tell.
    pub mean_se_pa: Option<f64>,
}

/// What was taken out of the station readings.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct BaselineSummary {
    /// Before the stations.
    pub before: Option<BaselineMeans>,
    /// After them.
    pub after: Option<BaselineMeans>,
    /// Mean of both, house minus outdoors, Pa.
    pub offset_pa: f64,
    /// Standard uncertainty of the offset, Pa: drift as a rectangular distribution between the two means,
    /// with the means' own standard errors. Absent where no baseline was told.
    pub offset_se_pa: Option<f64>,
}

/// One station as it was used.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct StationResult {
    /// Its number in the run as written, from 1.
    pub station: usize,
    /// Induced pressure along the direction, Pa.
    pub dp_pa: f64,
    /// Flow at reference conditions, m3/s.
    pub flow_m3_s: f64,
    /// The curve at this pressure, m3/s.
    pub fitted_m3_s: f64,
    /// How far the flow lies above the curve, per cent.
    pub residual_percent: f64,
}

/// One place of the drawn curve, with both bands.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct CurveBand {
    /// Curve and scatter band.
    #[serde(flatten)]
    pub scatter: BandPoint,
    /// Low end with the instruments' gain, m3/s.
    pub total_lo_m3_s: Option<f64>,
    /// High end with the instruments' gain, m3/s.
    pub total_hi_m3_s: Option<f64>,
}

/// One of several fans in a run.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FanPart {
    /// Which of the test's flow gauges, from 1.
    pub fan: usize,
    /// Its share in the flow at 50 Pa, as the curve weighs the stations.
    pub share50: f64,
    /// Its stated accuracy (95 % limits) over its own mean flow, where it is stated.
    pub accuracy_frac: Option<f64>,
}

/// One direction of one run.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RunResult {
    /// Number of the run as written, from 1.
    pub run: usize,
    /// Which way the fan moved air.
    pub direction: Direction,
    /// How the curve was drawn.
    pub method: Method,
    /// What was taken out of the pressures.
    pub baseline: BaselineSummary,
    /// Flow exponent n.
    pub exponent: Stated,
    /// Flow coefficient C at reference conditions, m3/(s Pa^n), stated as the flow at 1 Pa.
    pub coefficient: Stated,
    /// The coefficient at the density of the test, m3/(s Pa^n); absent where the gauge had
    /// brought the flow to reference conditions.
    pub coefficient_at_test: Option<f64>,
    /// r squared of the line; absent for one and two points.
    pub r2: Option<f64>,
    /// Figures of this run alone.
    pub figures: Figures,
    /// The fans that ran, where the test has several; empty for one.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub fans: Vec<FanPart>,
    /// The stations used, in the order written.
    pub stations: Vec<StationResult>,
    /// Numbers of the stations not used, from 1; each has its diagnostic.
    pub left_out: Vec<usize>,
    /// The curve for drawing, 4 Pa to 100 Pa.
    pub curve: Vec<CurveBand>,
    /// Checks of this run.
    pub checks: Vec<Check>,
}

/// The result of an envelope test under one procedure.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EnvelopeResult {
    /// The user's name of the test.
    pub name: String,
    /// Id of the procedure.
    pub profile: &'static str,
    /// Standard and edition.
    pub standard: &'static str,
    /// How density was computed.
    pub density: Sourced<DensityForm>,
    /// How leakage was brought to reference conditions.
    pub reference: Sourced<ReferenceForm>,
    /// Air on both sides during the test.
    pub air: AirAtTest,
    /// What was assumed.
    pub assumptions: Vec<Assumption>,
    /// Every direction of every run.
    pub runs: Vec<RunResult>,
    /// Mean flow exponent over the directions.
    pub exponent: Stated,
    /// Figures of the test: of the one run, or the mean over directions.
    pub figures: Figures,
    /// The estimate that counts the wind; absent where a fan ran whose accuracy is not stated, since no
    /// interval is honest without it.
    pub honest: Option<Honest>,
    /// Checks of the whole test.
    pub checks: Vec<Check>,
}

impl EnvelopeResult {
    /// Every check, those of the test first.
    pub fn all_checks(&self) -> impl Iterator<Item = &Check> {
        self.checks.iter().chain(self.runs.iter().flat_map(|r| r.checks.iter()))
    }

    /// Whether the interval holds the gain of every gauge: each has a stated accuracy.
    pub fn is_gain_known(&self) -> bool {
        let known = |r: &RunResult| {
            let parts = r.figures.flow_at(50.0).map(|f| f.parts);
            parts.is_some_and(|p| p.flow_gain.is_some() && p.pressure_gain.is_some())
        };
        self.runs.iter().all(known)
    }

    /// Judges the test against a limit somebody adopted.
    ///
    /// The honest interval decides where there is one, else the standard's with the instruments' own
    /// gain. A figure without an interval decides nothing, and so does one whose interval leaves out
    /// an instrument.
    ///
    /// ```
    /// use engine::procedure::envelope::{AdoptedLimit, EnvelopeResult, FigureKind};
    /// fn keeps_three_per_hour(result: &EnvelopeResult) -> bool {
    ///     use engine::procedure::verdict::Verdict;
    ///     let limit = AdoptedLimit {
    ///         figure: FigureKind::Ach50,
    ///         at_most: 3.0 / 3600.0,
    ///         named: "residential code 2018, zones 3 to 8".into(),
    ///         confirmed: true,
    ///     };
    ///     result.compare(&limit).verdict == Verdict::Pass
    /// }
    /// ```
    pub fn compare(&self, limit: &AdoptedLimit) -> Comparison {
        let honest = self.honest.as_ref().and_then(|h| h.get(limit.figure));
        let value = honest.or_else(|| self.figures.get(limit.figure).map(|s| s.total));
        // Without an interval nobody can say that a limit is kept or broken.
        let verdict = match value {
            Some(v) if limit.confirmed && (v.bounds().is_none() || !self.is_gain_known()) => {
                Verdict::CannotTell
            }
            _ => Verdict::of(value.as_ref(), None, Some(limit.at_most), limit.confirmed),
        };
        let failed = |c: &&Check| c.verdict == Verdict::Fail;
        Comparison {
            limit: limit.clone(),
            value,
            verdict,
            failed_checks: self.all_checks().filter(failed).cloned().collect(),
        }
    }
}

/// A limit that a code, a programme or an owner set.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AdoptedLimit {
    /// What is limited.
    pub figure: FigureKind,
    /// Highest allowed value, SI.
    pub at_most: f64,
    /// Whose limit, as the user names it.
    pub named: String,
    /// Whether it was read in its text.
    pub confirmed: bool,
}

/// A result against an adopted limit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Comparison {
    /// The limit.
    pub limit: AdoptedLimit,
    /// The figure with the interval that decides.
    pub value: Option<Estimate>,
    /// How it stands.
    pub verdict: Verdict,
    /// Confirmed validity checks that the test failed: to be read with the verdict.
    pub failed_checks: Vec<Check>,
}
