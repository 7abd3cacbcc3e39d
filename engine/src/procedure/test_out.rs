//! The change of one number between two visits: what the instruments share cancels.

use super::field::LEVEL;
use crate::measure::{Estimate, normal_quantile};
use crate::units::Quantity;
use serde::Serialize;

/// A reading with the parts of its standard uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Part {
    /// Value, SI.
    pub si: f64,
    /// Scatter of its own (display step, wind), sd in the same measure.
    pub own_sd: f64,
    /// Relative error of the instrument's calibration, sd.
    pub gain_sd: f64,
    /// Fixed error of the instrument's calibration, sd in the same measure.
    pub offset_sd: f64,
}

impl Part {
    /// Standard uncertainty of the calibration.
    fn calibration_sd(&self) -> f64 {
        (self.gain_sd * self.si).hypot(self.offset_sd)
    }

    /// Standard uncertainty of all parts.
    pub fn sd(&self) -> f64 {
        self.calibration_sd().hypot(self.own_sd)
    }
}

/// The change between two visits.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Change {
    /// After minus before, with its 95 % range.
    pub value: Estimate,
    /// Correlation of the two readings.
    pub correlation: f64,
}

/// After minus before, `u^2 = u1^2 + u2^2 - 2 r u1 u2` (JCGM 100:2008, 5.2.2).
///
/// One instrument in the same hands errs alike on both visits: gain and offset are one number each, so
/// that the covariance is `g^2 a b + o^2` (of the smaller of each, where a new certificate changed the
/// stated accuracy) and of the change only `g (b - a)` and the readings' own scatter are left. Two
/// instruments have `r = 0`.
pub fn change(before: &Part, after: &Part, same_instrument: bool, quantity: Quantity) -> Change {
    let (u1, u2) = (before.sd(), after.sd());
    let gain = before.gain_sd.min(after.gain_sd);
    let offset = before.offset_sd.min(after.offset_sd);
    let covariance = if same_instrument { gain * gain * before.si * after.si + offset * offset } else { 0.0 };
    let correlation = if u1 * u2 > 0.0 { (covariance / (u1 * u2)).clamp(-1.0, 1.0) } else { 0.0 };
    let variance = (u1 * u1 + u2 * u2 - 2.0 * correlation * u1 * u2).max(0.0);
    let half = normal_quantile(0.5 + LEVEL / 2.0) * variance.sqrt();
    let by = after.si - before.si;
    Change { value: Estimate::range(by, by - half, by + half, LEVEL, quantity), correlation }
}

/// The change of two estimates whose errors nobody can take apart: independent, so that the range is
/// rather too wide than too narrow where one instrument took both. Nothing where one has no range.
pub fn change_apart(before: &Estimate, after: &Estimate, quantity: Quantity) -> Option<Estimate> {
    let ((lo1, hi1), (lo2, hi2)) = (before.bounds()?, after.bounds()?);
    let by = after.si - before.si;
    // Ends combine each with the end that widens, so that lopsided ranges stay lopsided.
    let down = (after.si - lo2).hypot(hi1 - before.si);
    let up = (hi2 - after.si).hypot(before.si - lo1);
    let level = match after.interval {
        crate::measure::Interval::Range { level, .. } => level,
        crate::measure::Interval::None(_) => LEVEL,
    };
    Some(Estimate::range(by, by - down, by + up, level, quantity))
}

/// Differences of every value after with every value before: the change over two sets of draws that do
/// not know of each other.
pub fn change_of_draws(before: &[f64], after: &[f64], level: f64, quantity: Quantity) -> Estimate {
    let mut all: Vec<f64> = after.iter().flat_map(|a| before.iter().map(move |b| a - b)).collect();
    all.sort_by(f64::total_cmp);
    Estimate::from_sorted_draws(&all, level, quantity)
}

/// What became of a complaint.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Became {
    /// The whole range after the work keeps the limit.
    Gone,
    /// The limit is not shown to be kept, and the whole range of the change is for the better.
    Better,
    /// The whole range of the change is for the worse.
    Worse,
    /// Neither is shown.
    NotShown,
}

/// Judges by the range after the work against the limit, then by the range of the change.
pub fn became(after: &Estimate, change: &Estimate, limit: f64, lower_is_better: bool) -> Became {
    let sign = if lower_is_better { 1.0 } else { -1.0 };
    let worst = |e: &Estimate| e.bounds().map(|(lo, hi)| (sign * lo).max(sign * hi));
    let best = |e: &Estimate| e.bounds().map(|(lo, hi)| (sign * lo).min(sign * hi));
    match (worst(after), worst(change), best(change)) {
        (Some(after), _, _) if after <= sign * limit => Became::Gone,
        (_, Some(by), _) if by < 0.0 => Became::Better,
        (_, _, Some(by)) if by > 0.0 => Became::Worse,
        _ => Became::NotShown,
    }
}

/// When a criterion was set against when the result was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Written {
    /// On an earlier day than the result.
    Before,
    /// On the day of the result or later.
    After,
    /// Nobody wrote down when.
    Undated,
}

/// Compares two days written `YYYY-MM-DD`.
pub fn written(agreed: Option<&str>, result: &str) -> Written {
    match agreed {
        Some(day) if day < result => Written::Before,
        Some(_) => Written::After,
        None => Written::Undated,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn half(e: &Estimate) -> f64 {
        let (lo, hi) = e.bounds().unwrap();
        0.5 * (hi - lo)
    }

    /// By hand: a gauge of 1 % (k = 2: 0.5 % sd) with 0.05 Pa offset sd, display 0.1 Pa (0.0289 Pa sd);
    /// 40.0 and 47.0 Pa. Same gauge: sqrt(2 * 0.0289^2 + (0.005 * 7)^2) = 0.0538 Pa, times 1.96 = 0.1054.
    /// Another gauge: sqrt(2 * 0.0289^2 + 0.2^2 + 0.235^2 + 2 * 0.05^2) = 0.3192, times 1.96 = 0.6256.
    #[test]
    fn what_the_instrument_shares_cancels() {
        let part = |si| Part { si, own_sd: 0.1 / 12.0_f64.sqrt(), gain_sd: 0.005, offset_sd: 0.05 };
        let same = change(&part(40.0), &part(47.0), true, Quantity::Pressure);
        assert!((same.value.si - 7.0).abs() < 1e-12);
        assert!((half(&same.value) - 0.1054).abs() < 2e-4, "{}", half(&same.value));
        let other = change(&part(40.0), &part(47.0), false, Quantity::Pressure);
        assert!((half(&other.value) - 0.6256).abs() < 5e-4, "{}", half(&other.value));
        assert!(same.correlation > 0.96 && other.correlation == 0.0);
        // The formula the sheet names, with the correlation it reports.
        let (u1, u2) = (part(40.0).sd(), part(47.0).sd());
        let u = (u1 * u1 + u2 * u2 - 2.0 * same.correlation * u1 * u2).sqrt();
        assert!((1.959_964 * u - half(&same.value)).abs() < 1e-6);
    }

    #[test]
    fn a_complaint_is_judged_by_whole_ranges() {
        let e = |si, lo, hi| Estimate::range(si, lo, hi, 0.9, Quantity::AirFlow);
        assert_eq!(became(&e(8.0, 5.0, 10.0), &e(-20.0, -30.0, -10.0), 11.0, true), Became::Gone);
        assert_eq!(became(&e(12.0, 9.0, 14.0), &e(-20.0, -30.0, -10.0), 11.0, true), Became::Better);
        assert_eq!(became(&e(12.0, 9.0, 14.0), &e(-2.0, -6.0, 1.0), 11.0, true), Became::NotShown);
        assert_eq!(became(&e(30.0, 25.0, 35.0), &e(9.0, 2.0, 16.0), 11.0, true), Became::Worse);
        // More is better: a flow that has to reach 11.
        assert_eq!(became(&e(14.0, 12.0, 16.0), &e(9.0, 7.0, 11.0), 11.0, false), Became::Gone);
        assert_eq!(became(&e(10.0, 9.0, 12.0), &e(5.0, 3.0, 7.0), 11.0, false), Became::Better);
        let none = Estimate::without(1.0, Quantity::AirFlow, crate::measure::NoInterval::NotComputed);
        assert_eq!(became(&none, &none, 11.0, true), Became::NotShown);
    }

    #[test]
    fn a_criterion_of_the_day_of_the_result_came_too_late() {
        assert_eq!(written(Some("2026-11-12"), "2026-12-10"), Written::Before);
        assert_eq!(written(Some("2026-12-10"), "2026-12-10"), Written::After);
        assert_eq!(written(None, "2026-12-10"), Written::Undated);
    }
}
