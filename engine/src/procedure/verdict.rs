//! How a value stands against a limit.

use crate::measure::Estimate;
use serde::Serialize;

/// How a value stands against a limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Value and, where it has one, its whole interval keep the limit.
    Pass,
    /// Value and its whole interval break the limit.
    Fail,
    /// The interval crosses the limit.
    TooClose,
    /// The limit was not read in a citable text: value and limit are shown, nothing is decided.
    LimitNotConfirmed,
    /// What the check needs was not measured.
    CannotTell,
}

impl Verdict {
    /// Judges `value` against the limits `lo` and `hi` (either may be open).
    ///
    /// ```
    /// use engine::measure::{Estimate, NoInterval};
    /// use engine::procedure::verdict::Verdict;
    /// use engine::units::Quantity;
    /// let typed = Estimate::without(2.9, Quantity::Number, NoInterval::Exact);
    /// assert_eq!(Verdict::of(Some(&typed), None, Some(3.0), true), Verdict::Pass);
    /// let measured = Estimate::range(2.9, 2.7, 3.1, 0.95, Quantity::Number);
    /// assert_eq!(Verdict::of(Some(&measured), None, Some(3.0), true), Verdict::TooClose);
    /// assert_eq!(Verdict::of(Some(&measured), None, Some(3.0), false), Verdict::LimitNotConfirmed);
    /// ```
    pub fn of(value: Option<&Estimate>, lo: Option<f64>, hi: Option<f64>, confirmed: bool) -> Verdict {
        let Some(value) = value.filter(|v| v.si.is_finite()) else {
            return Verdict::CannotTell;
        };
        if !confirmed {
            return Verdict::LimitNotConfirmed;
        }
        let kept = |x: f64| lo.is_none_or(|l| x >= l) && hi.is_none_or(|h| x <= h);
        let Some((low, high)) = value.bounds() else {
            return if kept(value.si) { Verdict::Pass } else { Verdict::Fail };
        };
        let crosses = |limit: &f64| low < *limit && *limit < high;
        if lo.iter().chain(hi.iter()).any(crosses) {
            Verdict::TooClose
        } else if kept(value.si) {
            Verdict::Pass
        } else {
            Verdict::Fail
        }
    }
}
