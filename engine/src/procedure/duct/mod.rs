//! Ducts: leakage at 25 Pa, pressure pans, the dominant leak, delivery effectiveness, leakage by the
//! difference of two envelope tests.

pub mod delivery;
pub mod difference;
pub mod dominant;
pub mod leakage;
mod leakage_worked;
pub mod pans;
#[cfg(test)]
mod tests;

use super::instrument::{AirAtTest, AirSide, Direction, FanReading, FlowError, FlowGauge};
use crate::math;

/// Flow exponent of duct leaks where no line was measured (from memory: ASTM E1554, ASHRAE 152,
/// ANSI/RESNET/ICC 380).
pub const EXPONENT: f64 = 0.6;
/// Half width taken for [`EXPONENT`]: 0.5 is a hole, 0.7 a long crack (assumed here, no source).
pub const EXPONENT_HALF: f64 = 0.1;
/// Pressure at which duct leakage is stated, Pa.
pub const REFERENCE_PA: f64 = 25.0;

/// Leakage at `to_pa` from leakage at `from_pa`: `flow (to/from)^n`, any flow unit.
///
/// ```
/// use engine::procedure::duct::{EXPONENT, at_pressure};
/// assert!((at_pressure(60.0, 25.0, 50.0, EXPONENT) - 90.943).abs() < 1e-3);
/// ```
pub fn at_pressure(flow: f64, from_pa: f64, to_pa: f64, n: f64) -> f64 {
    flow * math::pow(to_pa / from_pa, n)
}

/// Leakage while the handler runs, m3/s, if the leaks feel `share` of the plenum's pressure: the half
/// of it in ASHRAE 152 (from memory).
///
/// ```
/// use engine::procedure::duct::{EXPONENT, operating_leakage};
/// assert!((operating_leakage(80.0, 60.0, 0.5, EXPONENT) - 89.248).abs() < 1e-3);
/// ```
pub fn operating_leakage(q25: f64, plenum_pa: f64, share: f64, n: f64) -> f64 {
    at_pressure(q25, REFERENCE_PA, share * plenum_pa.abs(), n)
}

/// The flow of the air that goes through a fan or meter, m3/s, from what its gauge shows; `density`
/// is that of this air. A gauge that shows flow at other conditions is taken at its word.
///
/// ```
/// use engine::procedure::duct::flow_at_meter;
/// use engine::procedure::instrument::{Basis, FlowGauge};
/// let gauge = FlowGauge::flow(Basis::CalibrationDensity { density_kg_m3: 1.2 });
/// assert!((flow_at_meter(&gauge, 0.05, 0.972).unwrap() - 0.05 * (1.2_f64 / 0.972).sqrt()).abs() < 1e-12);
/// ```
///
/// # Errors
/// [`FlowError`] where the reading is not above zero or no calibration covers it.
pub fn flow_at_meter(gauge: &FlowGauge, shown: f64, density_kg_m3: f64) -> Result<f64, FlowError> {
    let side = AirSide { density_kg_m3, ..AirSide::reference() };
    let air = AirAtTest { indoor: side, outdoor: side };
    let reading = FanReading { shown, range: 0 };
    gauge.leakage(reading, Direction::Pressurise, &air).map(|flow| flow.m3_s())
}
