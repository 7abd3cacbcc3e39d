//! Duct leakage to outdoors as the difference of two envelope tests: registers open, registers sealed.
//!
//! A small difference of two large numbers: gains of shared gauges scale the difference, scatter and
//! baseline of both tests stay whole. With the registers sealed the ducts still leak from the
//! house through their own leaks; their pressure against the house `p` tells how much: at the same
//! leaks the difference is `Q (1 - ((50 - |p|)/50)^n)` of the leakage to outdoors `Q` (from the power
//! law; a printed correction table that circulates was not confirmed and is not used).

use super::{EXPONENT, EXPONENT_HALF, at_pressure};
use crate::math;
use crate::measure::Estimate;
use crate::procedure::field::{LEVEL, Note, Worked};
use crate::procedure::known::{Known, follows};
use crate::units::{Accuracy, Quantity};
use serde::Serialize;

/// One of the two tests at 50 Pa.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Envelope {
    /// Flow, m3/s.
    pub q50_m3_s: f64,
    /// Half width of ln flow from the gauges' gains, which both tests share where the gauges are the same.
    pub gain: Option<f64>,
    /// Half width of ln flow from scatter, baseline and assumed exponent.
    pub own: f64,
}

/// What was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Asked {
    /// Registers open.
    pub open: Envelope,
    /// Registers sealed.
    pub sealed: Envelope,
    /// Whether the same gauges took both.
    pub same_gauges: bool,
    /// Ducts against the house with the registers sealed and the house at 50 Pa, Pa.
    pub duct_pa: Option<f64>,
    /// Accuracy of that.
    pub duct_accuracy: Option<Accuracy>,
}

/// What follows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Difference {
    /// Open less sealed at 50 Pa.
    pub difference: Estimate,
    /// The difference as a share of the open test.
    pub share: Estimate,
    /// Duct leakage to outdoors at 50 Pa, where the duct pressure tells.
    pub q50: Option<Estimate>,
    /// The same at 25 Pa.
    pub q25: Option<Estimate>,
    /// Whether the interval excludes zero.
    pub told: bool,
}

/// Factor from the difference to leakage at 50 Pa: `1 / (1 - ((50 - |p|)/50)^n)`; infinite at `p = 0`.
///
/// ```
/// use engine::procedure::duct::difference::sealed_factor;
/// assert!((sealed_factor(50.0, 0.6) - 1.0).abs() < 1e-12);
/// assert!((sealed_factor(45.0, 0.6) - 1.3354).abs() < 1e-4);
/// ```
pub fn sealed_factor(duct_pa: f64, n: f64) -> f64 {
    let left = ((50.0 - duct_pa.abs()) / 50.0).max(0.0);
    let through = if left > 0.0 { math::pow(left, n) } else { 0.0 };
    1.0 / (1.0 - through)
}

/// Part of the open test that sealing took away.
pub fn share(open: f64, sealed: f64) -> f64 {
    (open - sealed) / open
}

/// Works it.
///
/// ```
/// use engine::procedure::duct::difference::*;
/// let test = |q50_m3_s| Envelope { q50_m3_s, gain: Some(0.05), own: 0.02 };
/// let result = evaluate(&Asked {
///     open: test(12.30), sealed: test(10.58), same_gauges: true, duct_pa: None, duct_accuracy: None,
/// });
/// assert!((result.share.si - 0.1398).abs() < 1e-4);
/// let apart = evaluate(&Asked {
///     open: test(12.30), sealed: test(12.10), same_gauges: true, duct_pa: None, duct_accuracy: None,
/// });
/// assert!(!apart.told);
/// ```
pub fn evaluate(asked: &Asked) -> Difference {
    let part = |half: f64| Known { si: 0.0, half: Some(half) };
    let gain = |e: &Envelope| Known { si: 0.0, half: e.gain };
    let (open, sealed) = (asked.open, asked.sealed);
    // ln errors: open's own, sealed's own, the gauges of the open test, those of the sealed one.
    let errors = [part(open.own), part(sealed.own), gain(&open), gain(&sealed)];
    let flows = move |x: &[f64]| match x {
        [own_open, own_sealed, gain_open, gain_sealed] => {
            let of_sealed = if asked.same_gauges { gain_open } else { gain_sealed };
            let (a, b) = (own_open + gain_open, own_sealed + of_sealed);
            (open.q50_m3_s * math::exp(a), sealed.q50_m3_s * math::exp(b))
        }
        _ => (f64::NAN, f64::NAN),
    };
    let difference = follows(&errors, Quantity::AirFlow, |x| {
        let (open, sealed) = flows(x);
        open - sealed
    });
    let share = follows(&errors, Quantity::Fraction, |x| {
        let (open, sealed) = flows(x);
        share(open, sealed)
    });
    let n = Known { si: EXPONENT, half: Some(EXPONENT_HALF) };
    let at = |duct_pa: f64, to_pa: f64| {
        let duct = Known::read(duct_pa.abs(), asked.duct_accuracy);
        follows(&[Known::from_estimate(&difference), duct, n], Quantity::AirFlow, |x| match x {
            [difference, duct, n] => at_pressure(difference * sealed_factor(*duct, *n), 50.0, to_pa, *n),
            _ => f64::NAN,
        })
    };
    let duct = asked.duct_pa.filter(|p| p.abs() > 0.0);
    Difference {
        told: difference.bounds().is_some_and(|(lo, hi)| lo > 0.0 || hi < 0.0),
        difference,
        share,
        q50: duct.map(|p| at(p, 50.0)),
        q25: duct.map(|p| at(p, 25.0)),
    }
}

impl Difference {
    /// In the shape of all tests.
    pub fn worked(&self) -> Worked {
        let mut worked = Worked::default();
        worked.figure("figure-sealed-difference", self.difference);
        worked.figure("figure-sealed-share", self.share);
        if let Some(e) = self.q50 {
            worked.figure("figure-duct-50-difference", e);
        }
        if let Some(e) = self.q25 {
            worked.figure("figure-duct-25-difference", e);
        }
        if self.difference.bounds().is_some() && !self.told {
            worked
                .notes
                .push(Note::caution("note-difference-unclear").arg("level", (LEVEL, Quantity::Fraction)));
        } else if self.difference.si < 0.0 {
            worked.notes.push(Note::caution("note-difference-negative"));
        }
        worked.notes.push(match self.q50 {
            Some(_) => Note::new("note-difference-factor"),
            None => Note::caution("note-difference-low"),
        });
        worked
    }
}
