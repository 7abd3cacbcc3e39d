//! `kind = "dominant leak"`: pressure of the house with the handler off and on, again and again.

use crate::doc::Sp;
use crate::doc::read::{Grid, Tab};
use crate::units::Quantity as Q;

/// The document.
#[derive(Clone, Debug, PartialEq)]
pub struct Dominant {
    /// Columns `off` and `on`, house minus outdoors, Pa, in the order taken.
    pub repeats: Grid,
    /// With the handler off once more at the end, Pa.
    pub last_off_pa: Option<f64>,
    /// The gauge.
    pub pressure_with: Option<Sp<String>>,
    /// Whether interior doors were open.
    pub doors_open: bool,
    /// Whether a duct from outdoors into the return was open.
    pub intake_open: bool,
    /// The envelope test of the house.
    pub envelope: Option<Sp<String>>,
}

/// Reads it.
pub(in crate::doc::field) fn read(t: &Tab<'_, '_>) -> Option<Dominant> {
    const PRESSURE: std::ops::RangeInclusive<f64> = -100.0..=100.0;
    let doors = t.need("doors", t.choice("doors", &[("open", true), ("shut", false)]));
    let intake = t.choice("outdoor_air_intake", &[("open", true), ("closed", false), ("none", false)]);
    let last_off = t.bounded("last_off", Q::Pressure, PRESSURE);
    let (pressure_with, envelope) = (t.text("pressure_with"), t.text("envelope"));
    let repeats = t.need("repeats", t.grid("repeats", &[("off", Q::Pressure), ("on", Q::Pressure)]))?;
    let mut repeats = repeats;
    repeats.rows.retain(|row| {
        let span = row.span.clone();
        row.value
            .iter()
            .all(|v| t.within("repeats", &Sp { value: *v, span: span.clone() }, Q::Pressure, PRESSURE))
    });
    Some(Dominant {
        repeats,
        last_off_pa: last_off.map(|p| p.value),
        pressure_with,
        doors_open: doors?.value,
        intake_open: intake.is_some_and(|i| i.value),
        envelope,
    })
}
