//! `kind = "settled reading"`: where a record comes to rest, and how long to wait for it.

use crate::doc::Sp;
use crate::doc::read::Tab;
use crate::doc::visit::MEASURED;
use crate::units::Quantity as Q;

/// An outdoor-air intake duct.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Duct {
    /// Inner diameter, m.
    pub diameter_m: f64,
    /// Length from outdoors to the probe, m.
    pub length_m: f64,
    /// Flow, m3/s.
    pub flow_m3_s: f64,
    /// Thermal resistance of its insulation, m2 K/W.
    pub outer_m2_k_w: f64,
    /// Temperature around it, K.
    pub around_k: f64,
}

/// The document.
#[derive(Clone, Debug, PartialEq)]
pub struct Settled {
    /// File beside the visit.
    pub series: Sp<String>,
    /// Column.
    pub column: Sp<String>,
    /// What it measures.
    pub measures: Q,
    /// The instrument.
    pub with: Option<Sp<String>>,
    /// Fan or register of `house.toml` whose flow it is.
    pub of: Option<Sp<String>>,
    /// When the fan started, s after the first row.
    pub from_s: f64,
    /// How near is near enough, SI.
    pub tolerance: Option<f64>,
    /// The duct of an intake.
    pub duct: Option<Duct>,
}

/// Reads it.
pub(super) fn read(t: &Tab<'_, '_>) -> Option<Settled> {
    let series = t.need("series", t.text("series"));
    let column = t.need("column", t.text("column"));
    let measures = t.need("measures", t.choice("measures", MEASURED));
    let with = t.text("with");
    let of = t.text("of");
    let from = t.bounded("from", Q::Time, 0.0..=7.0 * 86400.0);
    let quantity = measures.as_ref().map_or(Q::Number, |m| m.value);
    let difference = if quantity == Q::Temperature { Q::TemperatureDifference } else { quantity };
    let tolerance = t.quantity("tolerance", difference);
    if let Some(tolerance) = &tolerance {
        t.within("tolerance", tolerance, difference, f64::MIN_POSITIVE..=f64::MAX);
    }
    let duct = t.table("duct").and_then(|d| duct(&d));
    Some(Settled {
        series: series?,
        column: column?,
        measures: measures?.value,
        with,
        of,
        from_s: from.map_or(0.0, |f| f.value),
        tolerance: tolerance.map(|t| t.value).filter(|t| *t > 0.0),
        duct,
    })
}

fn duct(t: &Tab<'_, '_>) -> Option<Duct> {
    let diameter = t.need("diameter", t.bounded("diameter", Q::Length, 0.05..=1.0));
    let length = t.need("length", t.bounded("length", Q::Length, 0.1..=60.0));
    let flow = t.need("flow", t.bounded("flow", Q::AirFlow, super::fan_flow::FLOWS));
    let insulation = t.need("insulation", t.bounded("insulation", Q::Resistance, 0.02..=10.0));
    let around = t.need("around", t.bounded("around", Q::Temperature, 213.15..=343.15));
    Some(Duct {
        diameter_m: diameter?.value,
        length_m: length?.value,
        flow_m3_s: flow?.value,
        outer_m2_k_w: insulation?.value,
        around_k: around?.value,
    })
}
