//! `kind = "coil capacity"`: what a coil takes from the air or gives it.

use super::super::ducts::{AIR, FLOW, Told, told};
use crate::diag::Span;
use crate::doc::Sp;
use crate::doc::read::Tab;
use crate::procedure::handler::coil::{Humidity, Side};
use crate::procedure::handler::setup::Setup;
use crate::units::Quantity as Q;

/// The document.
#[derive(Clone, Debug, PartialEq)]
pub struct Coil {
    /// Flow of the handler, of the entering air.
    pub handler: Told,
    /// Entering.
    pub entering: Side,
    /// Leaving.
    pub leaving: Side,
    /// The thermometer.
    pub temperature_with: Option<Sp<String>>,
    /// The hygrometer.
    pub humidity_with: Option<Sp<String>>,
    /// How the equipment ran.
    pub setup: Setup,
    /// Where the table stands.
    pub span: Span,
}

/// Reads it.
pub(in crate::doc::field) fn read(t: &Tab<'_, '_>) -> Option<Coil> {
    let handler = told(t, ["handler_flow", "handler_flow_accuracy", "handler_flow_from"], Q::AirFlow, FLOW);
    if handler.value.is_none() && handler.from.is_none() {
        t.need::<()>("handler_flow", None);
    }
    let (temperature_with, humidity_with) = (t.text("temperature_with"), t.text("humidity_with"));
    let setup = super::setup(t);
    let side = |key| t.need(key, t.table(key)).and_then(|s| side(&s));
    let (entering, leaving) = (side("entering"), side("leaving"));
    Some(Coil {
        handler,
        entering: entering?,
        leaving: leaving?,
        temperature_with,
        humidity_with,
        setup,
        span: t.span(),
    })
}

fn side(t: &Tab<'_, '_>) -> Option<Side> {
    let dry = t.need("dry_bulb", t.bounded("dry_bulb", Q::Temperature, AIR));
    let wet = t.bounded("wet_bulb", Q::Temperature, AIR);
    let rh = t.bounded("rh", Q::Fraction, 0.0..=1.0);
    let humidity = match (wet, rh) {
        (Some(wet), _) => Some(Humidity::WetBulb(wet.value)),
        (None, Some(rh)) => Some(Humidity::Relative(rh.value)),
        (None, None) => {
            if !t.has("wet_bulb") {
                t.need::<()>("rh", None);
            }
            None
        }
    };
    Some(Side { temp_k: dry?.value, humidity: humidity? })
}
