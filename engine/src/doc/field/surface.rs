//! `kind = "surface"`: moisture at a surface, from the air beside it and its temperature.

use crate::doc::Sp;
use crate::doc::read::Tab;
use crate::units::{Accuracy, Quantity as Q};

/// The document.
#[derive(Clone, Debug, PartialEq)]
pub struct Surface {
    /// Which surface, in the tester's words.
    pub place: Option<String>,
    /// Air temperature beside it, K.
    pub air_k: Sp<f64>,
    /// Relative humidity of that air.
    pub rh_frac: Sp<f64>,
    /// Temperature of the surface, K.
    pub surface_k: Option<Sp<f64>>,
    /// Outdoor temperature, K, where it is not the visit's.
    pub outdoor_k: Option<Sp<f64>>,
    /// Relative humidity outdoors, where it is not the visit's.
    pub outdoor_rh_frac: Option<f64>,
    /// What read the temperatures of air and surface.
    pub temperature_with: Option<Sp<String>>,
    /// Water that people and things give off to the air of the house, kg/s.
    pub given_off_kg_s: Option<f64>,
    /// How well that is known.
    pub given_off_accuracy: Option<Accuracy>,
    /// What read the humidity.
    pub humidity_with: Option<Sp<String>>,
}

/// Reads it.
pub(super) fn read(t: &Tab<'_, '_>) -> Option<Surface> {
    let place = t.text("place").map(|p| p.value);
    let temperature = |key| t.bounded(key, Q::Temperature, 213.15..=343.15);
    let air = t.need("air", temperature("air"));
    let rh = t.need("rh", t.bounded("rh", Q::Fraction, 0.0..=1.0));
    let (surface, outdoor) = (temperature("surface"), temperature("outdoor"));
    let outdoor_rh = t.bounded("outdoor_rh", Q::Fraction, 0.0..=1.0);
    let given_off = t.bounded("moisture_given_off", Q::MassRate, 1e-7..=0.1);
    let given_off_accuracy = t.accuracy("moisture_given_off_accuracy", Q::MassRate);
    let (temperature_with, humidity_with) = (t.text("temperature_with"), t.text("humidity_with"));
    Some(Surface {
        place,
        air_k: air?,
        rh_frac: rh?,
        surface_k: surface,
        outdoor_k: outdoor,
        outdoor_rh_frac: outdoor_rh.map(|r| r.value),
        given_off_kg_s: given_off.map(|g| g.value),
        given_off_accuracy: given_off_accuracy.map(|a| a.value),
        temperature_with,
        humidity_with,
    })
}
