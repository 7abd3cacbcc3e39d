//! A derived number with its interval, or the reason it has none.

use crate::units::Quantity;
use serde::ser::SerializeStruct;
use serde::{Serialize, Serializer};

/// Why a number has no interval.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum NoInterval {
    /// A person typed the value and named no instrument.
    TypedWithoutInstrument,
    /// An assumption; no reading stands behind it.
    Assumed,
    /// Too few points to tell.
    TooFewPoints,
    /// It is a count or follows exactly from typed numbers.
    Exact,
    /// The value itself could not be computed.
    NotComputed,
    /// The standard gives no way to state one.
    NotDefined,
    /// Told as a guide; nothing is decided by it.
    Guide,
    /// The readings set no end to it: they moved too little, or their error reaches zero.
    DataCannotTell,
}

/// The range around a number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Interval {
    /// From `lo` to `hi` with probability `level`.
    Range {
        /// Low end, SI.
        lo: f64,
        /// High end, SI.
        hi: f64,
        /// Probability that the true value lies inside, such as 0.95.
        level: f64,
    },
    /// None, and why.
    None(NoInterval),
}

/// A derived number with its unit and its interval.
///
/// In JSON: `{"value", "unit", "lo", "hi", "level"}`, SI; a value that is not finite is `null` with a
/// `reason`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// Value, SI.
    pub si: f64,
    /// What it measures.
    pub quantity: Quantity,
    /// Its interval.
    pub interval: Interval,
}

impl Estimate {
    /// A value with a range.
    pub fn range(si: f64, lo: f64, hi: f64, level: f64, quantity: Quantity) -> Estimate {
        Estimate { si, quantity, interval: Interval::Range { lo, hi, level } }
    }

    /// A value without a range, and why.
    pub fn without(si: f64, quantity: Quantity, why: NoInterval) -> Estimate {
        Estimate { si, quantity, interval: Interval::None(why) }
    }

    /// The middle value and the central range of sorted draws (`level` such as 0.9).
    pub fn from_sorted_draws(sorted: &[f64], level: f64, quantity: Quantity) -> Estimate {
        let tail = (1.0 - level) / 2.0;
        match (
            crate::math::quantile_of_draws(sorted, 0.5),
            crate::math::quantile_of_draws(sorted, tail),
            crate::math::quantile_of_draws(sorted, 1.0 - tail),
        ) {
            (Some(mid), Some(lo), Some(hi)) => Estimate::range(mid, lo, hi, level, quantity),
            _ => Estimate::without(f64::NAN, quantity, NoInterval::NotComputed),
        }
    }

    /// Low and high end, if there is a range.
    pub fn bounds(&self) -> Option<(f64, f64)> {
        match self.interval {
            Interval::Range { lo, hi, .. } => Some((lo, hi)),
            Interval::None(_) => None,
        }
    }

    /// The same number in another quantity: value and ends multiplied by `factor`.
    #[must_use]
    pub fn scaled(&self, factor: f64, quantity: Quantity) -> Estimate {
        let interval = match self.interval {
            Interval::Range { lo, hi, level } if factor >= 0.0 => {
                Interval::Range { lo: lo * factor, hi: hi * factor, level }
            }
            Interval::Range { lo, hi, level } => Interval::Range { lo: hi * factor, hi: lo * factor, level },
            none => none,
        };
        Estimate { si: self.si * factor, quantity, interval }
    }
}

impl Serialize for Estimate {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut s = serializer.serialize_struct("Estimate", 6)?;
        let finite = |x: f64| if x.is_finite() { Some(x) } else { None };
        s.serialize_field("value", &finite(self.si))?;
        s.serialize_field("unit", self.quantity.si_symbol())?;
        match self.interval {
            Interval::Range { lo, hi, level } => {
                s.serialize_field("lo", &finite(lo))?;
                s.serialize_field("hi", &finite(hi))?;
                s.serialize_field("level", &level)?;
            }
            Interval::None(why) => {
                s.serialize_field("lo", &None::<f64>)?;
                s.serialize_field("hi", &None::<f64>)?;
                s.serialize_field("reason", &why)?;
            }
        }
        s.end()
    }
}
