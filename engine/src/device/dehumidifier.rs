//! A dehumidifier: water taken and energy used over the condition of the air it draws.
//!
//! Capacity and efficiency relative to a reference point are biquadratic in temperature (degC) and
//! relative humidity (%). The coefficients are those of laboratory tests of residential units
//! (Winkler, Christensen and Tomerlin 2011, NREL/TP-5500-52791), **from memory**; they are scaled
//! to one at the unit's own rating point, so a rating at 65 degF is not taken for one at 80 degF.

use super::calls;
use crate::air;

/// A dehumidifier with its rating.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dehumidifier {
    /// Water taken at the rating point, kg/s.
    pub capacity_kg_s: f64,
    /// Water taken per electricity at the rating point, kg/J.
    pub efficiency_kg_j: f64,
    /// Temperature of the rating, K (65 degF for portable units: 10 CFR 430 subpart B appendix X1).
    pub rating_k: f64,
    /// Relative humidity of the rating, 0 to 1.
    pub rating_rh: f64,
    /// Relative humidity it holds, 0 to 1.
    pub set_rh: f64,
    /// Width of its dead band, 0 to 1.
    pub band_rh: f64,
}

/// What it does while it runs.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Running {
    /// Water taken, kg/s.
    pub water_kg_s: f64,
    /// Electricity, W.
    pub power_w: f64,
    /// Sensible heat given to the air, W: electricity and heat of condensation.
    pub heat_w: f64,
}

const CAPACITY: [f64; 6] =
    [-1.162_525_707, 0.022_714_69, -1.132_08e-4, 0.021_110_538, -6.930_34e-5, 3.788_43e-4];
const EFFICIENCY: [f64; 6] =
    [-1.902_154_518, 0.063_466_565, -6.228_39e-4, 0.039_540_407, -1.256_37e-4, -1.767_22e-4];

fn surface(c: &[f64; 6], temp_c: f64, rh_percent: f64) -> f64 {
    // Tests ran from 10 to 35 degC; held at the ends.
    let t = temp_c.clamp(5.0, 38.0);
    let h = rh_percent.clamp(20.0, 100.0);
    (c[0] + c[1] * t + c[2] * t * t + c[3] * h + c[4] * h * h + c[5] * t * h).max(0.05)
}

impl Dehumidifier {
    /// Whether it runs now.
    pub fn runs(&self, was_on: bool, rh: f64) -> bool {
        calls(was_on, rh - self.set_rh, self.band_rh)
    }

    /// What it does in this air.
    pub fn running(&self, temp_k: f64, rh: f64) -> Running {
        let relative = |c: &[f64; 6]| {
            surface(c, temp_k - 273.15, 100.0 * rh)
                / surface(c, self.rating_k - 273.15, 100.0 * self.rating_rh)
        };
        let water_kg_s = self.capacity_kg_s * relative(&CAPACITY);
        let power_w = water_kg_s / (self.efficiency_kg_j * relative(&EFFICIENCY));
        Running { water_kg_s, power_w, heat_w: power_w + water_kg_s * air::EVAPORATION_20C_J_KG }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rating_point_and_heat() {
        // 70 pints a day at 2.0 L/kWh: 690 W of electricity, 0.941 kW of latent heat.
        let unit = Dehumidifier {
            capacity_kg_s: 33.122 / 86_400.0,
            efficiency_kg_j: 2.0 / 3.6e6,
            rating_k: 291.48,
            rating_rh: 0.6,
            set_rh: 0.5,
            band_rh: 0.04,
        };
        let at = unit.running(291.48, 0.6);
        assert!((at.power_w - 690.05).abs() < 0.1);
        assert!((at.heat_w - at.power_w - 941.0).abs() < 1.0);
        // Warmer and damper air gives more, cold dry air less.
        assert!(unit.running(299.8, 0.6).water_kg_s > at.water_kg_s);
        assert!(unit.running(288.0, 0.45).water_kg_s < at.water_kg_s);
        assert!(unit.runs(false, 0.53) && unit.runs(true, 0.49) && !unit.runs(true, 0.47));
    }
}
