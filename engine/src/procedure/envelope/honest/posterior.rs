//! The estimate of one run: lines under many settings of the wind, weighted by what the readings say.

use super::line::{self, Errors, Line};
use super::readings::Readings;
use super::wind::{Gusts, Weather, WindPrior, normal_points, told};
use crate::math;
use crate::measure::{normal_below, normal_quantile};

/// Settings below this share of the best one's weight count for nothing.
const NEGLIGIBLE: f64 = 1e-4;

/// Steps toward a quantile at the most. A last step shorter than this, in standard deviations, ends them:
/// what is left after it goes with the cube of its length.
const QUANTILE_STEPS: usize = 60;
const LAST_STEP: f64 = 1e-5;
/// `sqrt(2 pi)`.
const SQRT_TAU: f64 = 2.506_628_274_631_000_5;

/// Why a run gives no estimate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum NoEstimate {
    /// No stations.
    Empty,
    /// A pressure, flow or spread that is not a number or not above zero: which station, from 0.
    Unusable {
        /// Place in the list.
        station: usize,
    },
    /// The exponent expected, or its standard deviation, is no number above zero.
    Exponent,
    /// The stations do not fix a line.
    NoLine,
}

impl std::fmt::Display for NoEstimate {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            NoEstimate::Empty => f.write_str("no stations"),
            NoEstimate::Unusable { station } => write!(f, "station {station} holds no usable number"),
            NoEstimate::Exponent => f.write_str("the exponent expected is no usable number"),
            NoEstimate::NoLine => f.write_str("the stations fix no line"),
        }
    }
}

impl std::error::Error for NoEstimate {}

#[derive(Clone, Debug)]
struct Part {
    weight: f64,
    ln_c: f64,
    n: f64,
    covariance: [f64; 3],
}

/// What is known of `ln C` and `n` after a run.
#[derive(Clone, Debug)]
pub struct Posterior {
    parts: Vec<Part>,
    /// The line under the mean setting.
    pub(super) centre: Line,
    /// The mean setting.
    pub(super) weather: Weather,
    pub(super) exponent: (f64, f64),
    pub(super) readings: Readings,
    pub(super) prior: WindPrior,
}

/// Middle and ends of a distribution.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Spread {
    /// Median.
    pub middle: f64,
    /// Low end of the central 95 %.
    pub lo: f64,
    /// High end.
    pub hi: f64,
    /// Standard deviation.
    pub sd: f64,
}

/// Estimates `ln C` and `n` of one run with what the wind does to it.
///
/// * `readings`: stations in the order taken (Pa, m3/s), at least one, with the baselines.
/// * `exponent`: exponent expected and its standard deviation over houses. It is weak beside several
///   stations, and all there is with one.
/// * `prior`: how windy tests behave, [`WindPrior::OWN`].
///
/// Unknown are `ln C`, `n`, the true baseline at each station (a slow wander held by the baselines
/// before and after, and an error of its own), the gust level, the share of it that a station's mean
/// keeps, the wander, the flow's own scatter, and the variance of the pressures over the leaks, which
/// bends a nonlinear law (mean of `|dp|^n` below `|mean dp|^n`). The last five are tried in 192
/// settings spread evenly over their priors and weighted by what the readings say; under each the line
/// is the mode with Laplace's approximation. Own method; the parts are text-book (effective
/// variance of a line with errors in both axes, Gaussian process, importance weights).
/// The instruments' gains are not in it: [`Posterior::ln_flow`] takes them.
///
/// # Errors
/// [`NoEstimate`] for empty or unusable readings.
///
/// ```
/// use engine::procedure::envelope::honest::{Reading, Readings, WindPrior, Zero, estimate};
/// let station = |dp_pa: f64, err: f64| Reading::mean(dp_pa + err, 0.03 * dp_pa.powf(0.65));
/// let zero = |mean_pa| Some(Zero { mean_pa, count: 6, sd_pa: Some(0.9) });
/// let readings = Readings {
///     stations: vec![station(50.0, 0.8), station(40.0, -0.5), station(30.0, 1.1), station(20.0, -0.6),
///                    station(15.0, 0.4)],
///     before: zero(-1.0),
///     after: zero(-1.6),
///     offset_pa: -1.3,
///     wind_m_s: Some(4.0),
/// };
/// let windy = estimate(&readings, (0.65, 0.07), &WindPrior::OWN).unwrap();
/// let q50 = windy.ln_flow(50.0, 0.015);
/// let truth = (0.03 * 50.0_f64.powf(0.65)).ln();
/// assert!(q50.lo < truth && truth < q50.hi && q50.hi - q50.lo < 0.15);
/// // Four pascals lie outside the stations.
/// let q4 = windy.ln_flow(4.0, 0.015);
/// assert!(q4.hi - q4.lo > 2.0 * (q50.hi - q50.lo));
/// ```
pub fn estimate(
    readings: &Readings,
    exponent: (f64, f64),
    prior: &WindPrior,
) -> Result<Posterior, NoEstimate> {
    if readings.stations.is_empty() {
        return Err(NoEstimate::Empty);
    }
    let positive = |v: f64| v > 0.0 && v.is_finite();
    if !(positive(exponent.0) && positive(exponent.1)) {
        return Err(NoEstimate::Exponent);
    }
    let told_well = |v: Option<f64>| v.is_none_or(|v| v >= 0.0 && v.is_finite());
    let bad = readings.stations.iter().position(|s| {
        !(positive(s.dp_pa) && positive(s.flow_m3_s) && told_well(s.sd_pa) && told_well(s.seconds))
    });
    if let Some(station) = bad {
        return Err(NoEstimate::Unusable { station });
    }
    let dp_pa: Vec<f64> = readings.stations.iter().map(|s| s.dp_pa).collect();
    let ln_flow: Vec<f64> = readings.stations.iter().map(|s| math::ln(s.flow_m3_s)).collect();
    let gusts = Gusts::new(readings, prior);
    let recorded = readings.stations.iter().all(|s| s.sd_pa.is_some() && s.seconds.is_some());
    let setting = |z: [f64; 5]| {
        let (gust_pa, ln_weight) = gusts.at(z[0]);
        let gust_pa = (gust_pa * gust_pa + prior.calm_pa * prior.calm_pa).sqrt();
        let weather = Weather {
            gust_pa,
            station_share: prior.station_share.at(z[1]),
            wander_pa: prior.wander_share.at(z[2]) * gust_pa,
            flow_scatter: prior.flow_scatter.at(z[3]),
            leak_share: prior.leak_share.at(z[4]),
            leak_share_recorded: prior.leak_share_recorded.at(z[4]),
            // Recorded spreads leave the share of a station without use.
            integral_s: prior.integral_s.at(if recorded { z[1] } else { 0.0 }),
        };
        (weather, ln_weight)
    };
    let drawn = |weather: &Weather, start: Option<&Line>| {
        let told = told(readings, weather, prior);
        let start = start.map(|l| (l.n, l.e_pa.as_slice()));
        line::draw(&dp_pa, &ln_flow, &told.errors(Some(exponent)), start, 1e-4)
            .map(|l| (l, told.ln_baselines))
    };
    let first = drawn(&setting([0.0; 5]).0, None).ok_or(NoEstimate::NoLine)?.0;
    let mut tried: Vec<(f64, Weather, Line)> = Vec::with_capacity(normal_points().len());
    for &z in normal_points() {
        let (weather, ln_weight) = setting(z);
        if let Some((line, ln_baselines)) = drawn(&weather, Some(&first)) {
            tried.push((ln_weight + ln_baselines + line.ln_evidence, weather, line));
        }
    }
    let best = math::max_valid(tried.iter().map(|t| t.0)).ok_or(NoEstimate::NoLine)?;
    let weights: Vec<f64> = tried.iter().map(|t| math::exp(t.0 - best)).collect();
    let sum: f64 = weights.iter().filter(|w| **w > NEGLIGIBLE).sum();
    let mut parts = Vec::new();
    let mut means = [0.0; 7];
    for ((_, w, line), weight) in tried.into_iter().zip(weights).filter(|(_, weight)| *weight > NEGLIGIBLE) {
        let weight = weight / sum;
        let values = [
            w.gust_pa,
            w.station_share,
            w.wander_pa,
            w.flow_scatter,
            w.leak_share,
            w.leak_share_recorded,
            w.integral_s,
        ];
        for (mean, v) in means.iter_mut().zip(values) {
            *mean += weight * math::ln(v);
        }
        parts.push(Part { weight, ln_c: line.ln_c, n: line.n, covariance: line.covariance });
    }
    let m = means.map(math::exp);
    let weather = Weather {
        gust_pa: m[0],
        station_share: m[1],
        wander_pa: m[2],
        flow_scatter: m[3],
        leak_share: m[4],
        leak_share_recorded: m[5],
        integral_s: m[6],
    };
    let centre = drawn(&weather, Some(&first)).ok_or(NoEstimate::NoLine)?.0;
    Ok(Posterior { parts, centre, weather, exponent, readings: readings.clone(), prior: *prior })
}

/// A power law through points whose errors are known.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct KnownLine {
    /// `ln C`, C in m3/s at 1 Pa.
    pub ln_c: f64,
    /// Exponent.
    pub n: f64,
    /// Standard error of `ln C`.
    pub ln_c_se: f64,
    /// Standard error of the exponent.
    pub n_se: f64,
}

/// The power law `flow = C dp^n` of known errors in both axes and no priors: what [`estimate`] draws in
/// the limit.
///
/// `dp_pa` (Pa) errs by `dp_sd_pa`, ln `flow_m3_s` by `flow_sd`, independently; all slices are
/// equally long. It is the orthogonal distance regression of `ln q = ln C + n ln(dp - e)`; the standard
/// errors are those of the effective variance `flow_sd^2 + (n dp_sd / dp)^2`.
///
/// # Errors
/// [`NoEstimate`] for empty or unusable readings, or where they fix no line.
///
/// ```
/// use engine::procedure::envelope::honest::both_axes;
/// let dp = [10.0, 20.0, 40.0, 60.0];
/// let flow = dp.map(|p: f64| 0.02 * p.powf(0.6));
/// let line = both_axes(&dp, &flow, &[1.0; 4], &[0.02; 4]).unwrap();
/// assert!((line.n - 0.6).abs() < 1e-9 && line.n_se > 0.02);
/// assert!(both_axes(&[], &[], &[], &[]).is_err());
/// ```
pub fn both_axes(
    dp_pa: &[f64],
    flow_m3_s: &[f64],
    dp_sd_pa: &[f64],
    flow_sd: &[f64],
) -> Result<KnownLine, NoEstimate> {
    let k = dp_pa.len();
    if k == 0 {
        return Err(NoEstimate::Empty);
    }
    let positive = |v: &[f64], i: usize| v.get(i).is_some_and(|v| *v > 0.0 && v.is_finite());
    let usable = |i: &usize| [dp_pa, flow_m3_s, dp_sd_pa, flow_sd].iter().all(|v| positive(v, *i));
    if let Some(station) = (0..k).find(|i| !usable(i)) {
        return Err(NoEstimate::Unusable { station });
    }
    let ln_flow: Vec<f64> = flow_m3_s.iter().map(|q| math::ln(*q)).collect();
    let mut covariance_pa2 = vec![0.0; k * k];
    for (i, sd) in dp_sd_pa.iter().enumerate().take(k) {
        covariance_pa2[i * k + i] = sd * sd;
    }
    let flow_var: Vec<f64> = flow_sd.iter().map(|s| s * s).collect();
    let errors = Errors {
        mean_pa: &vec![0.0; k],
        covariance_pa2: &covariance_pa2,
        flow_var: &flow_var,
        rectified_pa2: 0.0,
        exponent: None,
    };
    let line = line::draw(dp_pa, &ln_flow, &errors, None, 1e-13).ok_or(NoEstimate::NoLine)?;
    let [cc, nn, _] = line.covariance;
    Ok(KnownLine { ln_c: line.ln_c, n: line.n, ln_c_se: cc.sqrt(), n_se: nn.sqrt() })
}

impl Posterior {
    /// `ln` of the flow (m3/s) at `dp_pa` on the curve; `gain_sd` is the standard deviation of the
    /// instruments' own shift of it.
    pub fn ln_flow(&self, dp_pa: f64, gain_sd: f64) -> Spread {
        let x = math::ln(dp_pa);
        self.spread([1.0, x], gain_sd)
    }

    /// The exponent.
    pub fn exponent(&self, gain_sd: f64) -> Spread {
        self.spread([0.0, 1.0], gain_sd)
    }

    /// The gust level, Pa: standard deviation of a baseline sample.
    pub fn gust_pa(&self) -> f64 {
        self.weather.gust_pa
    }

    /// Change of the baseline over the run that the readings bear out, Pa.
    pub fn wander_pa(&self) -> f64 {
        self.weather.wander_pa
    }

    /// Weight of each station's ln flow in `ln` flow at `dp_pa`, for what moves flows of several stations
    /// together.
    pub fn weights(&self, dp_pa: f64) -> Vec<f64> {
        let x = math::ln(dp_pa);
        self.centre.weights.iter().map(|w| w[0] + x * w[1]).collect()
    }

    /// Weight of each station's ln flow in the exponent.
    pub fn exponent_weights(&self) -> Vec<f64> {
        self.centre.weights.iter().map(|w| w[1]).collect()
    }

    /// Slope of each station's ln flow in its pressure, 1/Pa.
    pub(in super::super) fn slopes_per_pa(&self) -> &[f64] {
        &self.centre.slope_per_pa
    }

    /// Standard deviation that the exponent's prior leaves in `ln` flow at `dp_pa`, or in the
    /// exponent where no pressure is told. It is shared by the runs of a test.
    pub(in super::super) fn shared_sd(&self, dp_pa: Option<f64>) -> f64 {
        let [_, nn, cn] = self.centre.covariance;
        let with = dp_pa.map_or(nn, |p| cn + math::ln(p) * nn);
        with.abs() / self.exponent.1
    }

    fn spread(&self, [in_ln_c, in_n]: [f64; 2], gain_sd: f64) -> Spread {
        let parts: Vec<(f64, f64, f64)> = self
            .parts
            .iter()
            .map(|p| {
                let [cc, nn, cn] = p.covariance;
                let var = in_ln_c * in_ln_c * cc + 2.0 * in_ln_c * in_n * cn + in_n * in_n * nn;
                (p.weight, in_ln_c * p.ln_c + in_n * p.n, (var.max(0.0) + gain_sd * gain_sd).sqrt())
            })
            .collect();
        let mean: f64 = parts.iter().map(|(w, m, _)| w * m).sum();
        let var: f64 = parts.iter().map(|(w, m, s)| w * (s * s + (m - mean) * (m - mean))).sum();
        let sd = var.sqrt();
        // Halley's steps on the mixture's distribution, held in a bracket that shrinks.
        let quantile = |p: f64| {
            let (mut lo, mut hi) = (mean - 10.0 * sd, mean + 10.0 * sd);
            let mut t = mean + normal_quantile(p) * sd;
            for _ in 0..QUANTILE_STEPS {
                let (mut below, mut density, mut slope) = (-p, 0.0, 0.0);
                for (w, m, s) in &parts {
                    let z = (t - m) / s;
                    below += w * normal_below(z);
                    let high = w * math::exp(-0.5 * z * z) / (s * SQRT_TAU);
                    density += high;
                    slope -= high * z / s;
                }
                if below < 0.0 {
                    lo = t;
                } else {
                    hi = t;
                }
                let next = t - 2.0 * below * density / (2.0 * density * density - below * slope);
                // Asked first: from the quantile itself no step lies inside the bracket.
                if (next - t).abs() < LAST_STEP * sd {
                    return next;
                }
                t = if next > lo && next < hi { next } else { 0.5 * (lo + hi) };
            }
            t
        };
        if sd.is_nan() || sd <= 0.0 {
            return Spread { middle: mean, lo: mean, hi: mean, sd: 0.0 };
        }
        Spread { middle: quantile(0.5), lo: quantile(0.025), hi: quantile(0.975), sd }
    }
}

#[cfg(test)]
mod tests {
    use super::super::readings::{Reading, Zero};
    use super::*;

    #[test]
    fn below_the_ends_lie_what_they_are_named_for() {
        let zero = |mean_pa| Some(Zero { mean_pa, count: 6, sd_pa: Some(0.9) });
        let station = |dp_pa: f64| Reading::mean(dp_pa, 0.03 * math::pow(dp_pa, 0.65));
        let readings = |stations: &[f64]| Readings {
            stations: stations.iter().copied().map(station).collect(),
            before: zero(-1.0),
            after: zero(-1.6),
            offset_pa: -1.3,
            wind_m_s: Some(4.0),
        };
        for stations in [vec![50.0], vec![50.0, 30.0, 15.0], vec![60.0, 50.0, 40.0, 30.0, 20.0, 10.0]] {
            let posterior = estimate(&readings(&stations), (0.65, 0.07), &WindPrior::OWN).unwrap();
            for (dp_pa, gain_sd) in [(1.0, 0.0), (4.0, 0.015), (50.0, 0.0), (75.0, 0.03)] {
                let spread = posterior.ln_flow(dp_pa, gain_sd);
                let below = |t: f64| -> f64 {
                    let x = math::ln(dp_pa);
                    let part = |p: &Part| {
                        let [cc, nn, cn] = p.covariance;
                        let var = cc + 2.0 * x * cn + x * x * nn + gain_sd * gain_sd;
                        p.weight * normal_below((t - p.ln_c - x * p.n) / var.sqrt())
                    };
                    posterior.parts.iter().map(part).sum()
                };
                for (end, p) in [(spread.lo, 0.025), (spread.middle, 0.5), (spread.hi, 0.975)] {
                    assert!((below(end) - p).abs() < 1e-12, "{stations:?} {dp_pa} {p}: {:e}", below(end) - p);
                }
            }
        }
    }
}
