//! Devices as pure functions of the air they meet: heating and cooling, coils, dehumidifiers,
//! filters, heat recovery, water heaters, thermostats, and people.
//!
//! Each file gives the source of its formulas. No state is kept here: a device's state (on or off,
//! water held on a coil) comes in and goes out. Nothing here can fail; inputs are clamped to what
//! is physical.

pub mod coil;
pub mod dehumidifier;
pub mod duct;
pub mod fan;
pub mod filter;
pub mod person;
pub mod plant;
pub mod recovery;
pub mod water_heater;

pub use coil::Coil;
pub use dehumidifier::Dehumidifier;
pub use plant::{Fuel, Plant};
pub use recovery::Recovery;
pub use water_heater::WaterHeater;

/// Whether a device with a dead band runs: it starts when `above` (the excess over the set point in
/// the direction that calls for it) exceeds half the band and stops when it is below minus half.
pub fn calls(was_on: bool, above: f64, band: f64) -> bool {
    if was_on { above > -0.5 * band } else { above > 0.5 * band }
}

#[cfg(test)]
mod tests {
    use super::calls;

    #[test]
    fn a_dead_band_holds_its_state() {
        assert!(!calls(false, 0.4, 1.0) && calls(true, 0.4, 1.0));
        assert!(calls(false, 0.6, 1.0) && !calls(true, -0.6, 1.0));
    }
}
