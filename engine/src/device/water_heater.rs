//! A heat-pump water heater: heat from the air of its room, and water where its coil is cold enough.
//!
//! What the coil takes is what the water gets less the electricity; sensible and latent part follow
//! from the coil's bypass factor and the air that enters. The coefficient of performance rises with
//! the temperature of the air (slope: common practice, no source).

use super::coil::{Coil, Duty, Entering};

/// A heat-pump water heater.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WaterHeater {
    /// Heat to the water per electricity at the rating temperature.
    pub cop: f64,
    /// Change of it per K of air temperature, 1/K.
    pub cop_slope_per_k: f64,
    /// Air temperature of the rating, K (67.5 degF: 10 CFR 430 subpart B appendix E, from memory).
    pub rating_k: f64,
    /// Most heat to the water, W; resistance gives what is beyond.
    pub capacity_w: f64,
    /// Its coil.
    pub coil: Coil,
    /// Air over the coil, kg/s.
    pub flow_kg_s: f64,
}

/// What it does over a stretch of time, as means.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Heated {
    /// Taken from the air of the room while the compressor runs, times the part it runs.
    pub taken: Duty,
    /// Electricity, resistance included, W.
    pub power_w: f64,
}

impl WaterHeater {
    /// A unit of usual size: 1.5 kW of heat, 0.1 kg/s of air, 0.05 per K (common practice, no
    /// source).
    pub fn usual(cop: f64) -> WaterHeater {
        WaterHeater {
            cop,
            cop_slope_per_k: 0.05,
            rating_k: 292.87,
            capacity_w: 1500.0,
            coil: Coil { bypass: 0.3, holds_kg: 0.0 },
            flow_kg_s: 0.1,
        }
    }

    /// Gives `heat_w` to the water from air of a temperature, humidity ratio and pressure.
    pub fn heating(&self, heat_w: f64, temp_k: f64, w_kg_kg: f64, pressure_pa: f64) -> Heated {
        let cop = (self.cop + self.cop_slope_per_k * (temp_k - self.rating_k)).max(1.0);
        let air = Entering { temp_k, w_kg_kg, pressure_pa, flow_kg_s: self.flow_kg_s };
        let full = self.coil.at_capacity(&air, self.capacity_w * (1.0 - 1.0 / cop));
        // A coil at the freezing point gives less than asked; the machine gives less with it.
        let most_w = if cop > 1.0 { (full.total_w / (1.0 - 1.0 / cop)).min(self.capacity_w) } else { 0.0 };
        let pumped_w = heat_w.min(most_w);
        let part = if most_w > 0.0 { pumped_w / most_w } else { 0.0 };
        Heated {
            taken: Duty {
                sensible_w: part * full.sensible_w,
                water_kg_s: part * full.water_kg_s,
                total_w: part * full.total_w,
            },
            power_w: pumped_w / cop + (heat_w - pumped_w).max(0.0),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_the_water_gets_is_electricity_and_heat_of_the_air() {
        let unit = WaterHeater::usual(3.5);
        let at = unit.heating(600.0, 292.87, 0.009, 101_325.0);
        assert!((at.power_w - 600.0 / 3.5).abs() < 1e-9);
        assert!((at.taken.total_w + at.power_w - 600.0).abs() < 0.01, "{at:?}");
        assert!(at.taken.water_kg_s > 0.0);
        // Air too dry to give water: all sensible.
        let dry = unit.heating(600.0, 292.87, 0.002, 101_325.0);
        assert!(
            dry.taken.water_kg_s.abs() < 1e-15 && (dry.taken.sensible_w - dry.taken.total_w).abs() < 1e-9
        );
        // Beyond the capacity: resistance, one for one.
        let most = unit.heating(2000.0, 292.87, 0.009, 101_325.0);
        assert!((most.power_w - (1500.0 / 3.5 + 500.0)).abs() < 1e-3, "{most:?}");
    }
}
