//! What an hour of mixing by the air handler costs, before any of it is charged to cleaner air.

use crate::air;

/// The air handler and the air around it while it mixes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MixingAir {
    /// Flow through the blower, m3/s.
    pub flow_m3_s: f64,
    /// Share of it that supply ducts lose out of the house, 0 to 1.
    pub supply_leak: f64,
    /// Share of it that return ducts draw from out of the house, 0 to 1.
    pub return_leak: f64,
    /// Blower, W.
    pub power_w: f64,
    /// Indoor temperature, K.
    pub temp_k: f64,
    /// Indoor humidity ratio, kg/kg.
    pub w_kg_kg: f64,
    /// Outdoor temperature, K.
    pub outdoor_k: f64,
    /// Outdoor humidity ratio, kg/kg.
    pub outdoor_w_kg_kg: f64,
    /// Water that goes from a wet coil back into the air, kg/s.
    pub evaporation_kg_s: f64,
}

/// The price of mixing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Charge {
    /// Outdoor air that duct leaks bring in, m3/s.
    pub leak_air_m3_s: f64,
    /// Blower, W.
    pub blower_w: f64,
    /// Heat and moisture of that air that the house has to make good, W.
    pub leak_w: f64,
    /// Latent heat of the water that comes back from the coil, W.
    pub coil_w: f64,
}

impl Charge {
    /// All of it, W: the signal `air_handler.mixing_power`.
    pub fn total_w(&self) -> f64 {
        self.blower_w + self.leak_w + self.coil_w
    }
}

/// What mixing costs now.
///
/// What the return draws from outside comes in with it; where the supply loses more, the house draws
/// the rest through its own leaks: the outdoor air is the larger of the two shares.
pub fn charge(at: &MixingAir) -> Charge {
    let leak_air_m3_s = at.flow_m3_s * at.supply_leak.max(at.return_leak);
    let density = air::moist_density_kg_m3(at.outdoor_k, at.outdoor_w_kg_kg, air::STANDARD_PRESSURE_PA);
    // Heat capacity of dry air and latent heat at 20 degC; the moist part of the first is small.
    let per_kg = air::CP_DRY_AIR_J_KG_K * (at.temp_k - at.outdoor_k)
        + air::EVAPORATION_20C_J_KG * (at.w_kg_kg - at.outdoor_w_kg_kg);
    Charge {
        leak_air_m3_s,
        blower_w: at.power_w,
        leak_w: leak_air_m3_s * density * per_kg.abs(),
        coil_w: at.evaporation_kg_s * air::EVAPORATION_20C_J_KG,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn leaks_coil_and_blower_are_all_charged() {
        let at = MixingAir {
            flow_m3_s: 0.4,
            supply_leak: 0.06,
            return_leak: 0.10,
            power_w: 420.0,
            temp_k: 294.15,
            w_kg_kg: 0.007,
            outdoor_k: 274.15,
            outdoor_w_kg_kg: 0.003,
            evaporation_kg_s: 1e-4,
        };
        let cost = charge(&at);
        // By hand: 0.04 m3/s of 1.285 kg/m3, 1006 x 20 + 2.454e6 x 0.004 J/kg; 1e-4 kg/s of 2.454e6 J/kg.
        assert!((cost.leak_air_m3_s - 0.04).abs() < 1e-12);
        assert!((cost.leak_w - 0.04 * 1.285 * (1006.0 * 20.0 + 2.454e6 * 0.004)).abs() < 10.0, "{cost:?}");
        assert!((cost.coil_w - 245.4).abs() < 0.5 && (cost.total_w() - 2207.0).abs() < 15.0, "{cost:?}");
    }
}
