//! Intervals of a fan test: scatter about the line, and what the instruments add.
//!
//! All parts are 95 % half widths of the logarithm of a flow, added in quadrature. The scatter part is
//! the standards' own interval. A gauge's stated accuracy is read as 95 %
//! limits, as the fit reads it. A gain is one number for all readings of an instrument, so it does
//! not average out over stations or directions.

use crate::math;
use crate::measure::{Estimate, Interval, NoInterval, normal_quantile};
use crate::units::Quantity;
use serde::Serialize;

/// Probability that every interval of a test's result is stated for.
pub const LEVEL: f64 = 0.95;

/// A flow known no better than within a factor of `e^30` is not known.
const WIDEST: f64 = 30.0;

/// Half width over standard uncertainty for a normal distribution at [`LEVEL`].
pub(super) fn coverage() -> f64 {
    normal_quantile(0.5 + LEVEL / 2.0)
}

/// 95 % half width of a stated accuracy limit: the limit itself.
pub(super) fn half_width_of_limit(limit: f64) -> f64 {
    limit
}

/// A number with two intervals.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Stated {
    /// With the instruments' own gain, the baseline's spread and an assumed exponent's: the one
    /// to show and decide by.
    pub total: Estimate,
    /// With the scatter of the stations only, as the standards state it.
    pub scatter: Estimate,
}

impl Stated {
    /// The same number in another quantity.
    #[must_use]
    pub fn scaled(&self, factor: f64, quantity: Quantity) -> Stated {
        Stated { total: self.total.scaled(factor, quantity), scatter: self.scatter.scaled(factor, quantity) }
    }

    /// A flow (or what is proportional to one) with the half widths of its logarithm.
    pub(super) fn from_parts(value: f64, quantity: Quantity, parts: &Parts) -> Stated {
        let around = |half: Option<f64>, why| match half {
            Some(h) if h > WIDEST => Estimate::without(value, quantity, NoInterval::NotComputed),
            Some(h) => Estimate {
                si: value,
                quantity,
                interval: Interval::Range {
                    lo: value * math::exp(-h),
                    hi: value * math::exp(h),
                    level: LEVEL,
                },
            },
            None => Estimate::without(value, quantity, why),
        };
        Stated {
            total: around(parts.total(), NoInterval::TypedWithoutInstrument),
            scatter: around(parts.scatter, NoInterval::TooFewPoints),
        }
    }
}

/// Where the interval of a flow comes from: 95 % half widths of ln flow.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Parts {
    /// Scatter of the stations; absent where too few tell.
    pub scatter: Option<f64>,
    /// The flow gauges' gains; absent where a fan ran whose accuracy is not stated.
    pub flow_gain: Option<f64>,
    /// The pressure gauge's gain.
    pub pressure_gain: Option<f64>,
    /// Spread and drift of the baseline; absent where it is unknown.
    pub baseline: Option<f64>,
    /// The assumed exponent of a one-point test.
    pub exponent: Option<f64>,
}

/// Squared 95 % half widths of ln flow.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Split {
    /// Scatter and baseline: of this test alone.
    pub own: f64,
    /// Gains and an assumed exponent: the same in every test that is done alike.
    pub shared: f64,
}

impl Parts {
    /// All parts in quadrature; nothing where neither scatter nor the flow gauge is known.
    pub fn total(&self) -> Option<f64> {
        self.scatter.or(self.flow_gain)?;
        let all = [self.scatter, self.flow_gain, self.pressure_gain, self.baseline, self.exponent];
        Some(all.into_iter().flatten().map(|h| h * h).sum::<f64>().sqrt())
    }

    /// Squares of what is a test's own and of what its instruments bring into every test they take.
    pub fn split(&self) -> Split {
        let sum = |list: &[Option<f64>]| list.iter().flatten().map(|h| h * h).sum();
        Split {
            own: sum(&[self.scatter, self.baseline]),
            shared: sum(&[self.flow_gain, self.pressure_gain, self.exponent]),
        }
    }

    /// Parts of a weighted mean of flows; `shares` are each flow's share of the mean and sum to 1.
    /// Scatter is independent between runs, instruments and the assumed exponent are shared.
    ///
    /// Baselines are independent between groups, the third number of each share. Within a group a baseline
    /// was read once and used twice: an error of its mean moves the two directions apart, and one by
    /// its drift moves them together where they were taken one after the other. The plain sum holds
    /// for both.
    pub(super) fn of_mean(shares: &[(f64, Parts, usize)]) -> Parts {
        let each = |get: fn(&Parts) -> Option<f64>| -> Option<Vec<f64>> {
            shares.iter().map(|(share, parts, _)| get(parts).map(|h| share * h)).collect()
        };
        let groups = shares.iter().map(|s| s.2).max().unwrap_or(0);
        let baseline = each(|p| p.baseline).map(|halves| {
            let of = |group| halves.iter().zip(shares).filter(move |(_, s)| s.2 == group).map(|(h, _)| h);
            (0..=groups).map(|g| of(g).sum::<f64>()).map(|sum| sum * sum).sum::<f64>().sqrt()
        });
        let apart = |get| each(get).map(|v| v.iter().map(|h| h * h).sum::<f64>().sqrt());
        let shared = |get| each(get).map(|v| v.iter().sum::<f64>());
        Parts {
            scatter: apart(|p| p.scatter),
            flow_gain: shared(|p| p.flow_gain),
            pressure_gain: shared(|p| p.pressure_gain),
            baseline,
            exponent: shared(|p| p.exponent),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shared_gain_does_not_average_out() {
        let one = Parts { scatter: Some(0.02), flow_gain: Some(0.05), ..Parts::default() };
        let mean = Parts::of_mean(&[(0.5, one, 0), (0.5, one, 1)]);
        assert!((mean.scatter.unwrap() - 0.02 / 2.0_f64.sqrt()).abs() < 1e-15);
        assert!((mean.flow_gain.unwrap() - 0.05).abs() < 1e-15);
        assert_eq!(mean.exponent, None);
    }

    #[test]
    fn a_baseline_read_once_is_not_two() {
        let one = Parts { baseline: Some(0.02), ..Parts::default() };
        let of = |groups: [usize; 2]| Parts::of_mean(&groups.map(|g| (0.5, one, g))).baseline.unwrap();
        assert!((of([0, 1]) - 0.02 / 2.0_f64.sqrt()).abs() < 1e-15, "each run with its own");
        assert!((of([0, 0]) - 0.02).abs() < 1e-15, "both with one");
    }

    #[test]
    fn without_scatter_and_gauge_there_is_no_interval() {
        let bare = Parts { baseline: Some(0.01), exponent: Some(0.0), ..Parts::default() };
        assert_eq!(bare.total(), None);
    }
}
