//! Tests of ducts, and what their documents have in common with those of the air handler.

pub mod delivery;
pub mod difference;
pub mod dominant;
pub mod leakage;
pub mod pans;

use crate::doc::Sp;
use crate::doc::read::Tab;
use crate::procedure::field::Limit;
use crate::units::Quantity as Q;

/// Flows through ducts and handlers, m3/s.
pub(super) const FLOW: std::ops::RangeInclusive<f64> = 1e-5..=10.0;
/// Pressures in ducts, Pa.
pub(super) const DUCT_PRESSURE: std::ops::RangeInclusive<f64> = -1500.0..=1500.0;
/// Temperatures of air in and around ducts, K.
pub(super) const AIR: std::ops::RangeInclusive<f64> = 213.15..=393.15;

/// A number with what says how sure it is: an instrument, a stated accuracy, or an earlier test.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// The number, SI.
    pub value: Option<Sp<f64>>,
    /// Its stated accuracy.
    pub accuracy: Option<crate::units::Accuracy>,
    /// The test of this visit that it comes from instead.
    pub from: Option<Sp<String>>,
}

/// Reads `key`, `key_accuracy` and `key_from`.
pub(super) fn told(
    t: &Tab<'_, '_>,
    [key, accuracy, from]: [&'static str; 3],
    quantity: Q,
    bounds: std::ops::RangeInclusive<f64>,
) -> Told {
    Told {
        value: t.bounded(key, quantity, bounds),
        accuracy: t.accuracy(accuracy, quantity).map(|a| a.value),
        from: t.text(from),
    }
}

/// A limit of the user's own: `source` and whether he confirmed it in its text.
pub(super) fn own_limit(t: &Tab<'_, '_>) -> Limit {
    Limit {
        source: t
            .text("limit_source")
            .map_or_else(|| crate::procedure::source::TYPED.to_owned(), |s| s.value),
        confirmed: t.flag("limit_confirmed").unwrap_or(false),
        ..Limit::default()
    }
}
