//! `kind = "delivery effectiveness"`: what of the equipment's heat reaches the rooms.

use super::{FLOW, Told, told};
use crate::doc::Sp;
use crate::doc::read::Tab;
use crate::units::{Accuracy, Quantity as Q};

/// The document.
#[derive(Clone, Debug, PartialEq)]
pub struct Delivery {
    /// Whether the equipment cools.
    pub cooling: bool,
    /// Flow of the handler.
    pub handler: Told,
    /// Sensible capacity, W, without sign.
    pub capacity_w: Sp<f64>,
    /// Its accuracy.
    pub capacity_accuracy: Option<Accuracy>,
    /// Rooms, K.
    pub indoor_k: Option<f64>,
    /// Accuracy of all temperatures.
    pub temperature_accuracy: Option<Accuracy>,
    /// Accuracy of areas.
    pub area_accuracy: Option<Accuracy>,
    /// Accuracy of resistances.
    pub resistance_accuracy: Option<Accuracy>,
    /// Supply ducts.
    pub supply: Side,
    /// Return ducts.
    pub back: Side,
    /// Where the table stands.
    pub span: crate::diag::Span,
}

/// One side of the ducts.
#[derive(Clone, Debug, PartialEq)]
pub struct Side {
    /// Leakage to or from outdoors in operation.
    pub leakage: Told,
    /// Surface outside the rooms, m2.
    pub area_m2: f64,
    /// Resistance, m2 K/W.
    pub resistance_m2_k_w: f64,
    /// Air around, K.
    pub around_k: f64,
}

/// Reads it.
pub(in crate::doc::field) fn read(t: &Tab<'_, '_>) -> Option<Delivery> {
    let mode = t.need("mode", t.choice("mode", &[("heating", false), ("cooling", true)]));
    let handler = told(t, ["handler_flow", "handler_flow_accuracy", "handler_flow_from"], Q::AirFlow, FLOW);
    if handler.value.is_none() && handler.from.is_none() {
        t.need::<()>("handler_flow", None);
    }
    let capacity = t.need("capacity", t.bounded("capacity", Q::Power, 100.0..=1e6));
    let capacity_accuracy = t.accuracy("capacity_accuracy", Q::Power).map(|a| a.value);
    let indoor = t.bounded("indoor", Q::Temperature, super::AIR).map(|k| k.value);
    let of = |key, quantity| t.accuracy(key, quantity).map(|a| a.value);
    let temperature_accuracy = of("temperature_accuracy", Q::Temperature);
    let area_accuracy = of("area_accuracy", Q::Area);
    let resistance_accuracy = of("resistance_accuracy", Q::Resistance);
    let side = |key| t.need(key, t.table(key)).and_then(|s| side(&s));
    let (supply, back) = (side("supply"), side("return"));
    Some(Delivery {
        cooling: mode?.value,
        handler,
        capacity_w: capacity?,
        capacity_accuracy,
        indoor_k: indoor,
        temperature_accuracy,
        area_accuracy,
        resistance_accuracy,
        supply: supply?,
        back: back?,
        span: t.span(),
    })
}

fn side(t: &Tab<'_, '_>) -> Option<Side> {
    let leakage = told(t, ["leakage", "leakage_accuracy", "leakage_from"], Q::AirFlow, 0.0..=10.0);
    if leakage.value.is_none() && leakage.from.is_none() {
        t.need::<()>("leakage", None);
    }
    let area = t.need("area", t.bounded("area", Q::Area, 0.0..=1000.0));
    let resistance = t.need("resistance", t.bounded("resistance", Q::Resistance, 0.05..=10.0));
    let around = t.need("around", t.bounded("around", Q::Temperature, super::AIR));
    Some(Side {
        leakage,
        area_m2: area?.value,
        resistance_m2_k_w: resistance?.value,
        around_k: around?.value,
    })
}
