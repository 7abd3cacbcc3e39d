//! The exponential approach `c = end + excess e^(-rate t)` fitted to readings of a gas.
//!
//! One room with constant exchange and constant source follows it, falling or rising. For each
//! rate the other two numbers are a linear problem (variable projection, Golub and Pereyra 1973),
//! so only the rate is searched: on a grid over all rates that the record could tell, then by
//! golden section. What is known of the end value beforehand enters as one more observation.

use crate::math;
use crate::measure::student_t_two_sided;
use nalgebra::{Matrix3, Vector3};

/// Steps of the grid over the logarithm of the rate.
const GRID: usize = 160;
/// Points from which the correlation of neighbours is told.
pub(super) const ENOUGH_FOR_CORRELATION: usize = 20;

/// What is known of the end value beforehand: normal, of this mean and standard deviation.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Prior {
    /// Mean, in the readings' unit.
    pub mean: f64,
    /// Standard deviation, above zero.
    pub sd: f64,
}

/// The fitted curve.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Curve {
    /// Rate, 1/s.
    pub rate_per_s: f64,
    /// Its standard error, 1/s.
    pub rate_se: f64,
    /// End value, in the readings' unit.
    pub end: f64,
    /// Its standard error.
    pub end_se: f64,
    /// Value above the end value at time zero.
    pub excess: f64,
    /// Standard deviation of the readings about the curve.
    pub scatter: f64,
    /// Readings, and the prior as one, less three.
    pub dof: usize,
    /// By how much the standard errors were widened because neighbours err alike.
    pub widened: f64,
}

impl Curve {
    /// The value at a time, s.
    pub fn at(&self, time_s: f64) -> f64 {
        self.end + self.excess * math::exp(-self.rate_per_s * time_s)
    }

    /// Student's factor of the interval at `level`.
    pub fn coverage(&self, level: f64) -> f64 {
        student_t_two_sided(level, self.dof as f64)
    }
}

/// How much wider standard errors have to be where neighbouring residuals are alike: with a
/// correlation r of neighbours n readings tell as much as `n (1 - r) / (1 + r)` (first-order
/// process; common practice). One below twenty readings, where r cannot be told.
pub fn widening(residuals: &[f64]) -> f64 {
    if residuals.len() < ENOUGH_FOR_CORRELATION {
        return 1.0;
    }
    let square: f64 = residuals.iter().map(|r| r * r).sum();
    let neighbours: f64 = residuals.windows(2).map(|w| w[0] * w[1]).sum();
    let r = if square > 0.0 { (neighbours / square).clamp(0.0, 0.95) } else { 0.0 };
    ((1.0 + r) / (1.0 - r)).sqrt()
}

struct Problem<'a> {
    time_s: &'a [f64],
    value: &'a [f64],
    /// Mean of the prior and its weight against one reading.
    prior: Option<(f64, f64)>,
}

struct Linear {
    end: f64,
    excess: f64,
    cost: f64,
}

impl Problem<'_> {
    /// Best end value and excess for a rate.
    fn linear(&self, rate: f64) -> Linear {
        let shape: Vec<f64> = self.time_s.iter().map(|t| math::exp(-rate * t)).collect();
        let (weight, mean) = self.prior.map_or((0.0, 0.0), |(mean, weight)| (weight, mean));
        // Centred on the first reading, so that nothing cancels in the sums.
        let origin = self.value.first().copied().unwrap_or(0.0);
        let n = shape.len() as f64 + weight;
        let s: f64 = shape.iter().sum();
        let ss: f64 = shape.iter().map(|x| x * x).sum();
        let y: f64 = self.value.iter().map(|v| v - origin).sum::<f64>() + weight * (mean - origin);
        let sy: f64 = shape.iter().zip(self.value).map(|(x, v)| x * (v - origin)).sum();
        let det = n * ss - s * s;
        let (end, excess) = ((y * ss - s * sy) / det + origin, (n * sy - s * y) / det);
        let rest = |(x, v): (&f64, &f64)| (v - end - excess * x) * (v - end - excess * x);
        let cost = shape.iter().zip(self.value).map(rest).sum::<f64>() + weight * (end - mean) * (end - mean);
        Linear { end, excess, cost: if cost.is_finite() { cost } else { f64::INFINITY } }
    }

    fn best(&self, slowest: f64, fastest: f64) -> Option<f64> {
        let (low, high) = (math::ln(slowest), math::ln(fastest));
        let place = |i: usize| low + (high - low) * i as f64 / GRID as f64;
        let cost = |ln_rate: f64| self.linear(math::exp(ln_rate)).cost;
        let costs: Vec<f64> = (0..=GRID).map(|i| cost(place(i))).collect();
        let at = (0..=GRID).min_by(|a, b| costs[*a].total_cmp(&costs[*b]))?;
        let (mut a, mut b) = (place(at.saturating_sub(1)), place((at + 1).min(GRID)));
        const GOLDEN: f64 = 0.618_033_988_749_894_9;
        let (mut x, mut y) = (b - GOLDEN * (b - a), a + GOLDEN * (b - a));
        let (mut at_x, mut at_y) = (cost(x), cost(y));
        while b - a > 1e-9 {
            if at_x < at_y {
                (b, y, at_y) = (y, x, at_x);
                x = b - GOLDEN * (b - a);
                at_x = cost(x);
            } else {
                (a, x, at_x) = (x, y, at_y);
                y = a + GOLDEN * (b - a);
                at_y = cost(y);
            }
        }
        Some(math::exp(0.5 * (a + b)))
    }
}

/// Fits the curve to readings of any unit at times from zero, s; nothing where fewer than four
/// readings stand there, or all are alike.
///
/// Without a prior the scatter is that about the curve, as of `scipy.optimize.curve_fit`. With a
/// prior the scatter is first told without it, and weighs the prior against the readings.
///
/// ```
/// use engine::procedure::tracer::curve::fit;
/// let time_s: Vec<f64> = (0..20).map(|i| 300.0 * f64::from(i)).collect();
/// let ppm: Vec<f64> = time_s.iter().map(|t| 430.0 + 800.0 * (-t / 3600.0_f64).exp()).collect();
/// let curve = fit(&time_s, &ppm, None).unwrap();
/// assert!((curve.rate_per_s * 3600.0 - 1.0).abs() < 1e-5 && (curve.end - 430.0).abs() < 1e-2);
/// ```
pub fn fit(time_s: &[f64], value: &[f64], prior: Option<Prior>) -> Option<Curve> {
    if time_s.len() != value.len() || time_s.len() < 4 {
        return None;
    }
    let length_s = time_s.last()? - time_s.first()?;
    let shortest_s = math::min_valid(time_s.windows(2).map(|w| w[1] - w[0]))?;
    let all_alike = value.windows(2).all(|w| (w[0] - w[1]).abs() < f64::MIN_POSITIVE);
    if !(length_s > 0.0 && shortest_s > 0.0) || all_alike {
        return None;
    }
    // Slower than a hundredth of the record is a straight line, faster than the step a jump.
    let (slowest, fastest) = (0.01 / length_s, 3.0 / shortest_s);
    let free = Problem { time_s, value, prior: None };
    let rate = free.best(slowest, fastest)?;
    let curve = finish(&free, rate, None)?;
    let Some(prior) = prior else { return Some(curve) };
    // A perfect record still has a scatter, or the prior would weigh nothing.
    let scatter = curve.scatter.max(1e-9 * curve.excess.abs());
    let weight = (scatter / prior.sd) * (scatter / prior.sd);
    let held = Problem { time_s, value, prior: Some((prior.mean, weight)) };
    let rate = held.best(slowest, fastest)?;
    finish(&held, rate, Some(scatter))
}

/// Standard errors at the best rate.
fn finish(problem: &Problem<'_>, rate: f64, known_scatter: Option<f64>) -> Option<Curve> {
    let best = problem.linear(rate);
    let n = problem.time_s.len();
    let residuals: Vec<f64> = problem
        .time_s
        .iter()
        .zip(problem.value)
        .map(|(t, v)| v - best.end - best.excess * math::exp(-rate * t))
        .collect();
    let dof = n + usize::from(problem.prior.is_some()) - 3;
    let scatter =
        known_scatter.unwrap_or_else(|| (residuals.iter().map(|r| r * r).sum::<f64>() / dof as f64).sqrt());
    // Columns: end, excess, rate times length of the record (so that all are of one size).
    let length_s = problem.time_s.last()? - problem.time_s.first()?;
    let mut normal = Matrix3::zeros();
    for t in problem.time_s {
        let e = math::exp(-rate * t);
        let row = Vector3::new(1.0, e, -best.excess * t / length_s * e);
        normal += row * row.transpose();
    }
    if let Some((_, weight)) = problem.prior {
        normal[(0, 0)] += weight;
    }
    // Scaled to a unit diagonal before it is inverted.
    let scale = Vector3::from_fn(|i, _| 1.0 / normal[(i, i)].sqrt());
    let scaled = Matrix3::from_fn(|i, j| normal[(i, j)] * scale[i] * scale[j]);
    let inverse = scaled.try_inverse()?;
    let widened = widening(&residuals);
    let se = |i: usize| widened * scatter * scale[i] * inverse[(i, i)].max(0.0).sqrt();
    let curve = Curve {
        rate_per_s: rate,
        rate_se: se(2) / length_s,
        end: best.end,
        end_se: se(0),
        excess: best.excess,
        scatter,
        dof,
        widened,
    };
    (curve.rate_se.is_finite() && curve.end.is_finite()).then_some(curve)
}
