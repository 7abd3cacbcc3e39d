//! What the wind does to a run before its stations say: priors, and the errors that follow from them.

use super::line::Errors;
use super::readings::{Readings, Zero};
use crate::math;
use crate::measure::normal_quantile;
use std::sync::LazyLock;

/// A positive number known roughly: its median, and the standard deviation of its logarithm.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rough {
    /// Median.
    pub median: f64,
    /// Standard deviation of the logarithm.
    pub ln_sd: f64,
}

/// How windy tests behave, before one of them says.
///
/// Own choices: no publication was found that states them. They were settled on the first of two
/// simulators in `validate` and held against the second (`docs/COVERAGE.md`).
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WindPrior {
    /// Gust level (standard deviation of one baseline sample) over `1.2 kg/m3 / 2 U^2`, where a
    /// wind speed is told.
    pub gust_share: Rough,
    /// Gust level where none is told, Pa.
    pub gust_pa: Rough,
    /// Error of one station's mean pressure over the gust level.
    pub station_share: Rough,
    /// Standard deviation of the baseline's slow wander over the gust level.
    pub wander_share: Rough,
    /// Standard deviation of a ln flow about the curve, which is not by pressure.
    pub flow_scatter: Rough,
    /// Variance of the pressures over the leaks over the square of the gust level.
    pub leak_share: Rough,
    /// The same over the variance of a station's pressure, where that was recorded.
    pub leak_share_recorded: Rough,
    /// Integral time of the gusts at the tap, s.
    pub integral_s: Rough,
    /// Least gust level, Pa: what a calm day leaves, with the display's step.
    pub calm_pa: f64,
}

impl WindPrior {
    /// The one in use.
    pub const OWN: WindPrior = WindPrior {
        gust_share: Rough { median: 0.05, ln_sd: 0.9 },
        gust_pa: Rough { median: 0.5, ln_sd: 1.2 },
        station_share: Rough { median: 0.7, ln_sd: 0.5 },
        wander_share: Rough { median: 1.0, ln_sd: 0.7 },
        flow_scatter: Rough { median: 0.007, ln_sd: 0.6 },
        leak_share: Rough { median: 6.0, ln_sd: 1.0 },
        leak_share_recorded: Rough { median: 3.0, ln_sd: 1.0 },
        integral_s: Rough { median: 4.0, ln_sd: 0.7 },
        calm_pa: 0.05,
    };
}

/// Samples of one baseline are not quite independent: the variance of their mean is this many times
/// that of as many independent ones (own choice).
const SAMPLES_ALIKE: f64 = 1.5;
/// Variance of the pressures over the leaks that a steady baseline betrays, share of its square (own
/// choice: the tap sees about the spread that the leaks see).
const STEADY_SHARE: f64 = 0.5;

/// Variance of the baseline's level before anything is read, Pa2: as good as nothing known.
const LEVEL2_PA2: f64 = 1e4;
/// Stations after which the wander has forgotten most of itself (own choice).
const WANDER_STATIONS: f64 = 4.0;

/// One setting of all that is not known of the wind.
#[derive(Clone, Copy, Debug)]
pub(super) struct Weather {
    /// Gust level, Pa.
    pub(super) gust_pa: f64,
    pub(super) station_share: f64,
    pub(super) wander_pa: f64,
    pub(super) flow_scatter: f64,
    pub(super) leak_share: f64,
    pub(super) leak_share_recorded: f64,
    pub(super) integral_s: f64,
}

impl Weather {
    /// Standard deviation of the mean pressure of a station, Pa.
    pub(super) fn station_pa(&self, sd_pa: Option<f64>, seconds: Option<f64>) -> f64 {
        match (sd_pa, seconds) {
            (Some(sd), Some(s)) if s > 0.0 => sd * (2.0 * self.integral_s / s).min(1.0).sqrt(),
            _ => self.station_share * self.gust_pa,
        }
    }
}

/// Errors of the stations under one weather, and what the two baselines say for it.
pub(super) struct Told {
    pub(super) mean_pa: Vec<f64>,
    pub(super) covariance_pa2: Vec<f64>,
    pub(super) flow_var: Vec<f64>,
    pub(super) rectified_pa2: f64,
    pub(super) ln_baselines: f64,
}

impl Told {
    pub(super) fn errors(&self, exponent: Option<(f64, f64)>) -> Errors<'_> {
        Errors {
            mean_pa: &self.mean_pa,
            covariance_pa2: &self.covariance_pa2,
            flow_var: &self.flow_var,
            rectified_pa2: self.rectified_pa2,
            exponent,
        }
    }
}

fn variance_of_mean(zero: &Zero, w: &Weather) -> f64 {
    if zero.count > 1 {
        SAMPLES_ALIKE * w.gust_pa * w.gust_pa / zero.count as f64
    } else {
        let one = w.station_share * w.gust_pa;
        one * one
    }
}

/// The baseline wanders as a first-order process about a level of which nothing is known; what the two
/// baselines show of it is taken in. On top comes an error of its own for each station, by gusts that
/// its mean does not level out. Time counts in stations: the baseline before is at 0, the one after
/// one step behind the last station.
pub(super) fn told(readings: &Readings, w: &Weather, prior: &WindPrior) -> Told {
    let k = readings.stations.len();
    let wander2 = w.wander_pa * w.wander_pa;
    let one_step = math::exp(-1.0 / WANDER_STATIONS);
    let by_steps: Vec<f64> = std::iter::successors(Some(wander2), |w| Some(w * one_step))
        .take(k + 2)
        .map(|w| LEVEL2_PA2 + w)
        .collect();
    let shared = |i: usize, j: usize| by_steps[i.abs_diff(j)];
    let offset = Zero { mean_pa: readings.offset_pa, count: 0, sd_pa: None };
    let seen: Vec<(usize, Zero)> = match (readings.before, readings.after) {
        // A gauge that took the baseline out had measured one.
        (None, None) => vec![(0, offset)],
        (before, after) => before.map(|z| (0, z)).into_iter().chain(after.map(|z| (k + 1, z))).collect(),
    };
    // Precision of the one or two baselines, and of what they were expected to be.
    let own = |at: usize| shared(seen[at].0, seen[at].0) + variance_of_mean(&seen[at].1, w);
    let away = |at: usize| seen[at].1.mean_pa - readings.offset_pa;
    let (precision, ln_det) = if seen.len() == 2 {
        let (a, c, b) = (own(0), own(1), shared(seen[0].0, seen[1].0));
        let det = a * c - b * b;
        ([[c / det, -b / det], [-b / det, a / det]], math::ln(det))
    } else {
        ([[1.0 / own(0), 0.0], [0.0, 0.0]], math::ln(own(0)))
    };
    let pulls = |i: usize| -> [f64; 2] {
        let with = |at: usize| seen.get(at).map_or(0.0, |z| shared(i, z.0));
        let (x, y) = (with(0), with(1));
        [x * precision[0][0] + y * precision[1][0], x * precision[0][1] + y * precision[1][1]]
    };
    let toward = |pull: [f64; 2]| -> f64 { (0..seen.len()).map(|at| pull[at] * away(at)).sum() };
    let (mut mean_pa, mut cov) = (vec![0.0; k], vec![0.0; k * k]);
    for i in 0..k {
        let pull = pulls(i + 1);
        mean_pa[i] = toward(pull);
        for j in 0..k {
            let known: f64 = (0..seen.len()).map(|at| pull[at] * shared(j + 1, seen[at].0)).sum();
            cov[i * k + j] = shared(i + 1, j + 1) - known;
        }
    }
    let chi2: f64 = (0..seen.len())
        .map(|a| (0..seen.len()).map(|b| away(a) * precision[a][b] * away(b)).sum::<f64>())
        .sum();
    let ln_baselines = -0.5 * (ln_det + chi2);
    let (mut recorded2, mut count) = (0.0, 0);
    for (i, s) in readings.stations.iter().enumerate() {
        let own = w.station_pa(s.sd_pa, s.seconds);
        cov[i * k + i] += own * own + prior.calm_pa * prior.calm_pa;
        if let Some(sd) = s.sd_pa {
            recorded2 += sd * sd;
            count += 1;
        }
    }
    let steady2 = STEADY_SHARE * readings.offset_pa * readings.offset_pa;
    let rectified_pa2 = if count == k && k > 0 {
        w.leak_share_recorded * (recorded2 / k as f64) + steady2
    } else {
        w.leak_share * w.gust_pa * w.gust_pa + steady2
    };
    Told {
        mean_pa,
        covariance_pa2: cov,
        flow_var: vec![w.flow_scatter * w.flow_scatter; k],
        rectified_pa2,
        ln_baselines,
    }
}

/// The gust level as prior and as the samples have it.
pub(super) struct Gusts {
    prior: (f64, f64),
    dof: f64,
    mean_square: f64,
    proposal: (f64, f64),
}

/// How much wider than its normal approximation the level is searched.
const SEARCH: f64 = 1.3;

impl Gusts {
    pub(super) fn new(readings: &Readings, prior: &WindPrior) -> Gusts {
        let rough = match readings.wind_m_s {
            Some(u) => {
                let pressure_pa = 0.6 * u * u;
                Rough { median: prior.gust_share.median * pressure_pa, ..prior.gust_share }
            }
            None => prior.gust_pa,
        };
        let calm2 = prior.calm_pa * prior.calm_pa;
        let median = (rough.median * rough.median + 4.0 * calm2).sqrt();
        let (mut dof, mut sum2) = (0.0, 0.0);
        for zero in readings.before.iter().chain(&readings.after) {
            if let (Some(sd), true) = (zero.sd_pa, zero.count > 1) {
                let own = (zero.count - 1) as f64;
                dof += own;
                sum2 += own * (sd * sd + calm2);
            }
        }
        let centre = math::ln(median);
        let weight = 1.0 / (rough.ln_sd * rough.ln_sd);
        let mean_square = if dof > 0.0 { sum2 / dof } else { 0.0 };
        let proposal = if dof > 0.0 {
            let own = 2.0 * dof;
            let seen = 0.5 * math::ln(mean_square);
            ((weight * centre + own * seen) / (weight + own), SEARCH / (weight + own).sqrt())
        } else {
            (centre, rough.ln_sd)
        };
        Gusts { prior: (centre, rough.ln_sd), dof, mean_square, proposal }
    }

    /// Level at `z` standard deviations of the search, and the logarithm of its weight.
    pub(super) fn at(&self, z: f64) -> (f64, f64) {
        let ln_s = self.proposal.0 + self.proposal.1 * z;
        let away = (ln_s - self.prior.0) / self.prior.1;
        let seen = if self.dof > 0.0 {
            -self.dof * ln_s - 0.5 * self.dof * self.mean_square * math::exp(-2.0 * ln_s)
        } else {
            0.0
        };
        (math::exp(ln_s), seen - 0.5 * away * away + 0.5 * z * z)
    }
}

/// Settings of the wind that are tried.
const SETTINGS: usize = 192;

/// Points of a sequence that fills the unit cube evenly (additive recurrence by powers of the root of
/// `x^6 = x + 1`), as standard normal numbers.
pub(super) fn normal_points() -> &'static [[f64; 5]] {
    const ROOT: f64 = 1.134_724_138_401_519_4;
    static POINTS: LazyLock<Vec<[f64; 5]>> = LazyLock::new(|| {
        let mut alpha = [0.0; 5];
        let mut power = 1.0;
        for a in &mut alpha {
            power /= ROOT;
            *a = power;
        }
        (1..=SETTINGS).map(|i| alpha.map(|a| normal_quantile((0.5 + a * i as f64).fract()))).collect()
    });
    &POINTS
}

impl Rough {
    pub(super) fn at(&self, z: f64) -> f64 {
        self.median * math::exp(self.ln_sd * z)
    }
}
