//! The one continuous setting of a change, on which a search may look for the best.

use super::Change;
use crate::units::Quantity;

/// What the setting of a change measures, and its present value, SI.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Setting {
    /// What it measures.
    pub quantity: Quantity,
    /// Its value.
    pub value: f64,
}

impl Setting {
    /// The setting of a change; nothing where it has none.
    pub fn of(change: &Change) -> Option<Setting> {
        let (quantity, value) = match change {
            Change::Exhaust { flow_m3_s, .. }
            | Change::Hood { flow_m3_s, .. }
            | Change::Supply { flow_m3_s, .. }
            | Change::Balanced { flow_m3_s, .. }
            | Change::Intake { flow_m3_s, .. } => (Quantity::AirFlow, *flow_m3_s),
            Change::Cleaner { cadr_m3_s, .. } => (Quantity::AirFlow, *cadr_m3_s),
            Change::Transfer { area_m2, .. } => (Quantity::Area, *area_m2),
            Change::Mixing { share } => (Quantity::Fraction, *share),
            Change::Dehumidify(d) => (Quantity::Fraction, d.set_point_rh),
            Change::Humidify(h) => (Quantity::Fraction, h.set_point_rh),
            Change::Insulate { adds_m2_k_w, .. } => (Quantity::Resistance, *adds_m2_k_w),
            _ => return None,
        };
        Some(Setting { quantity, value })
    }
}

/// The change with another value of its setting. Power goes with the flow of a fan (the same watts
/// per flow: another fan, not another speed).
#[must_use]
pub fn with_setting(change: &Change, value: f64) -> Change {
    let mut new = change.clone();
    match &mut new {
        Change::Exhaust { flow_m3_s, power_w, .. }
        | Change::Hood { flow_m3_s, power_w, .. }
        | Change::Supply { flow_m3_s, power_w, .. } => {
            *power_w *= value / *flow_m3_s;
            *flow_m3_s = value;
        }
        Change::Cleaner { cadr_m3_s, power_w, .. } => {
            *power_w *= value / *cadr_m3_s;
            *cadr_m3_s = value;
        }
        Change::Balanced { flow_m3_s, exhaust_m3_s, power_w, .. } => {
            *power_w *= value / *flow_m3_s;
            *exhaust_m3_s *= value / *flow_m3_s;
            *flow_m3_s = value;
        }
        Change::Intake { flow_m3_s, .. } => *flow_m3_s = value,
        Change::Transfer { area_m2, .. } => *area_m2 = value,
        Change::Mixing { share } => *share = value,
        Change::Dehumidify(d) => d.set_point_rh = value,
        Change::Humidify(h) => h.set_point_rh = value,
        Change::Insulate { adds_m2_k_w, .. } => *adds_m2_k_w = value,
        _ => {}
    }
    new
}
