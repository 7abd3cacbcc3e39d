//! How well the ends of intervals are known, one number at a time: an interval's limit is a quantile of
//! draws, and rests on the few of them that lie beyond it.
//!
//! With weights `w` that sum to one, the share of the posterior below a limit at level `a` has the
//! variance `sum w^2 (1[x < limit] - a)^2` (the delta method for a self-normalised mean, Owen 2013,
//! Monte Carlo theory, methods and examples, 9.3). As many equally weighted independent draws as have the same
//! variance are the number that the limit rests on; the quantiles one standard error to either side of
//! it are its error in the number's own measure (Woodruff 1952).

use super::draws::Draws;
use serde::Serialize;

/// A limit whose standard error is more than this share of the number's standard deviation does not
/// hold: two of them are half a standard deviation.
pub const MOST_ERROR: f64 = 0.25;
/// With fewer independent draws beyond a limit than this its error cannot be told, and it does not hold
/// either: the quantile one standard error further out is then the outermost draw.
pub const LEAST_BEYOND: f64 = 3.0;
/// The two ends of an interval of [`super::LEVEL`].
const ENDS: [f64; 2] = [0.05, 0.95];

/// What the limits of one number rest on.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Limits {
    /// Independent draws beyond the limit that rests on fewer.
    pub draws_beyond: f64,
    /// Standard error of the worse limit by the number of draws, in posterior standard deviations.
    pub error_sd: f64,
    /// Whether both limits are known well enough.
    pub hold: bool,
}

/// What the limits of the number `value` of each draw rest on.
pub fn limits(draws: &Draws, value: impl Fn(&[f64]) -> f64) -> Limits {
    let all = ascending(draws, value);
    let sum: f64 = all.iter().map(|a| a.1).sum();
    let sd = variance(&all).sqrt();
    let mut out = Limits { draws_beyond: f64::INFINITY, error_sd: 0.0, hold: false };
    for end in ENDS {
        let limit = quantile(&all, end);
        let variance: f64 = all
            .iter()
            .map(|(v, w)| {
                let off = w / sum * (if *v < limit { 1.0 - end } else { -end });
                off * off
            })
            .sum();
        let beyond = ENDS[0] * end * (1.0 - end) / variance;
        out.draws_beyond = if beyond < out.draws_beyond { beyond } else { out.draws_beyond };
        let se = variance.sqrt();
        let error = 0.5 * (quantile(&all, end + se) - quantile(&all, end - se)) / sd;
        out.error_sd = if error > out.error_sd { error } else { out.error_sd };
    }
    out.hold = out.draws_beyond.is_finite() && out.draws_beyond >= LEAST_BEYOND && out.error_sd <= MOST_ERROR;
    out
}

/// The number `value` of each draw that has weight, ascending, with the weights.
pub(super) fn ascending(draws: &Draws, value: impl Fn(&[f64]) -> f64) -> Vec<(f64, f64)> {
    let mut all: Vec<(f64, f64)> =
        draws.all.iter().zip(&draws.weight).map(|(theta, w)| (value(theta), *w)).collect();
    all.retain(|(v, w)| v.is_finite() && *w > 0.0);
    all.sort_by(|a, b| a.0.total_cmp(&b.0));
    all
}

/// Variance of weighted values.
pub(super) fn variance(all: &[(f64, f64)]) -> f64 {
    let sum: f64 = all.iter().map(|a| a.1).sum();
    let mean = all.iter().map(|a| a.0 * a.1).sum::<f64>() / sum;
    all.iter().map(|a| a.1 * (a.0 - mean) * (a.0 - mean)).sum::<f64>() / sum
}

/// The quantile of ascending weighted values, on straight lines between the middles of their weights;
/// NaN of none.
pub(super) fn quantile(all: &[(f64, f64)], level: f64) -> f64 {
    let wanted = level * all.iter().map(|a| a.1).sum::<f64>();
    let (mut below, mut before): (f64, Option<(f64, f64)>) = (0.0, None);
    for (value, weight) in all {
        let middle = below + 0.5 * weight;
        if middle >= wanted {
            return match before {
                Some((v, m)) if middle > m => v + (value - v) * (wanted - m) / (middle - m),
                _ => *value,
            };
        }
        before = Some((*value, middle));
        below += weight;
    }
    before.map_or(f64::NAN, |b| b.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math;
    use crate::rng::Stream;

    fn drawn(seed: u64, n: usize, weight: impl Fn(f64) -> f64) -> Draws {
        let mut stream = Stream::new(seed, "limits");
        let all: Vec<Vec<f64>> = (0..n).map(|_| vec![stream.normal()]).collect();
        let weight = all.iter().map(|x| weight(x[0])).collect();
        Draws { theta: all.clone(), all, weight, effective: n as f64, pareto_k: 0.0, unsolved: 0 }
    }

    /// The error that is said against the spread of limits over many sets of draws. Of normal draws that
    /// are weighted to a normal one sd off and half as wide the limits are those of that.
    #[test]
    fn the_error_is_what_limits_spread_by() {
        let shifted = |x: f64| math::exp(0.5 * x * x - 0.5 * (x - 1.0) * (x - 1.0) / 0.25);
        for (weight, sd) in [(&(|_| 1.0) as &dyn Fn(f64) -> f64, 1.0), (&shifted, 0.5)] {
            let sets = 300;
            let (mut said, mut low, mut high) = (0.0, Vec::new(), Vec::new());
            for seed in 0..sets {
                let draws = drawn(seed, 400, weight);
                said += limits(&draws, |x| x[0]).error_sd / sets as f64;
                let mut all: Vec<(f64, f64)> =
                    draws.all.iter().zip(&draws.weight).map(|(x, w)| (x[0], *w)).collect();
                all.sort_by(|a, b| a.0.total_cmp(&b.0));
                low.push(quantile(&all, 0.05) / sd);
                high.push(quantile(&all, 0.95) / sd);
            }
            let spread = |v: &[f64]| {
                let mean = v.iter().sum::<f64>() / v.len() as f64;
                (v.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>() / v.len() as f64).sqrt()
            };
            let worse = spread(&low).max(spread(&high));
            assert!((said / worse - 1.0).abs() < 0.3, "said {said}, spread {worse}");
        }
    }

    #[test]
    fn few_heavy_draws_are_told() {
        assert!(limits(&drawn(5, 400, |_| 1.0), |x| x[0]).hold);
        // One part in ten weighs a hundred times what the others do.
        let few = limits(&drawn(5, 400, |x| if x.abs() > 1.65 { 100.0 } else { 1.0 }), |x| x[0]);
        let even = limits(&drawn(5, 400, |_| 1.0), |x| x[0]);
        assert!(few.draws_beyond < 0.4 * even.draws_beyond, "{few:?} {even:?}");
        assert!(!limits(&drawn(5, 30, |_| 1.0), |x| x[0]).hold);
    }
}
