//! Guarded and unguarded tests of one unit of a building: which share of its leakage goes through
//! walls and floors to its neighbours.

use super::change::Side;
use super::field::{LEVEL, Note, Worked};
use crate::measure::{Estimate, NoInterval};
use crate::units::Quantity;
use serde::Serialize;

/// Leakage of a unit at 50 Pa, split.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Guarded {
    /// Through everything: neighbours open to outdoors, m3/s.
    pub whole: Estimate,
    /// To outdoors alone: neighbours held at the unit's own pressure, m3/s.
    pub outdoors: Estimate,
    /// To the neighbours, m3/s.
    pub party: Estimate,
    /// Their share of the whole, 0 to 1.
    pub share: Estimate,
    /// To outdoors a floor area, m/s.
    pub per_floor: Option<Estimate>,
    /// Whether the same instruments took both tests.
    pub shared_error: bool,
    /// Whether more air was measured to outdoors alone than through everything, beyond doubt.
    pub contradiction: bool,
}

/// Splits the leakage of a unit: with its neighbours at its own pressure no air passes between
/// them, so what is left goes outdoors, and the difference goes to the neighbours.
///
/// Errors as in [`super::change::compare`]: scatter and baseline of each test are its own, the gain
/// of instruments that took both is in both. Nothing where a test has no flow at 50 Pa.
///
/// ```
/// use engine::procedure::change::Side;
/// use engine::procedure::guarded::{Guarded, split};
/// fn party_wall_share(unguarded: &Side<'_>, guarded: &Side<'_>) -> Option<f64> {
///     split(unguarded, guarded, None).map(|g| g.share.si)
/// }
/// ```
pub fn split(unguarded: &Side<'_>, guarded: &Side<'_>, floor_area_m2: Option<f64>) -> Option<Guarded> {
    let of = |side: &Side<'_>| {
        let at = side.result.figures.flow_at(50.0)?;
        Some((at.flow.total, at.parts)).filter(|(q, _)| q.si.is_finite() && q.si > 0.0)
    };
    let (whole, parts_whole) = of(unguarded)?;
    let (outdoors, parts_out) = of(guarded)?;
    let shared_error = !guarded.instruments.is_empty() && guarded.instruments == unguarded.instruments;
    let (all, out) = (parts_whole.split(), parts_out.split());
    let (q, o) = (whole.si, outdoors.si);
    let difference = q - o;
    let stated = whole.bounds().is_some() && outdoors.bounds().is_some();
    let told = |si: f64, half: f64, quantity| match stated {
        true => Estimate::range(si, si - half, si + half, LEVEL, quantity),
        false => Estimate::without(si, quantity, NoInterval::TypedWithoutInstrument),
    };
    let gain = if shared_error {
        difference * difference * all.shared
    } else {
        q * q * all.shared + o * o * out.shared
    };
    let half = (q * q * all.own + o * o * out.own + gain).sqrt();
    let ratio = o / q;
    let apart = if shared_error { 0.0 } else { all.shared + out.shared };
    let share_half = ratio * (all.own + out.own + apart).sqrt();
    Some(Guarded {
        whole,
        outdoors,
        party: told(difference, half, Quantity::AirFlow),
        share: told(1.0 - ratio, share_half, Quantity::Fraction),
        per_floor: floor_area_m2.map(|a| outdoors.scaled(1.0 / a, Quantity::Permeability)),
        shared_error,
        contradiction: stated && difference + half < 0.0,
    })
}

impl Guarded {
    /// In the shape of all tests.
    pub fn worked(&self) -> Worked {
        let mut worked = Worked::default();
        if self.contradiction {
            worked.notes.push(Note::caution("note-guarded-contradiction"));
        }
        worked.figure("figure-guarded-share", self.share);
        worked.figure("figure-guarded-outdoors", self.outdoors);
        worked.figure("figure-guarded-party", self.party);
        worked.figure("figure-guarded-whole", self.whole);
        if let Some(per_floor) = self.per_floor {
            worked.figure("figure-guarded-per-floor", per_floor);
        }
        let shared = if self.shared_error { "note-change-shared" } else { "note-change-apart" };
        worked.notes.push(Note::new(shared));
        worked
    }
}
