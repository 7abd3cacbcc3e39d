//! Heating and cooling equipment: what it can give, and what that costs.
//!
//! Capacity and coefficient of performance are linear in the outdoor temperature about the rating
//! point (the usual two-point reading of a rating sheet); a furnace or heater has no slope.

use serde::Serialize;

/// What is burnt or drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Fuel {
    /// Electricity.
    Electricity,
    /// Natural gas.
    Gas,
    /// Heating oil.
    Oil,
    /// Propane.
    Propane,
    /// Wood.
    Wood,
}

impl Fuel {
    /// Every fuel, in the order of [`Fuel::place`].
    pub const ALL: [Fuel; 5] = [Fuel::Electricity, Fuel::Gas, Fuel::Oil, Fuel::Propane, Fuel::Wood];

    /// Its place in a table by fuel.
    pub fn place(self) -> usize {
        self as usize
    }
}

/// One piece of equipment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plant {
    /// What it uses.
    pub fuel: Fuel,
    /// Capacity at the rating temperature, W (cooling: sensible and latent together).
    pub capacity_w: f64,
    /// Change of capacity per K outdoors, relative to the rating, 1/K.
    pub capacity_slope_per_k: f64,
    /// Heat moved per energy used at the rating temperature (a furnace: its efficiency).
    pub cop: f64,
    /// Change of it per K outdoors, 1/K.
    pub cop_slope_per_k: f64,
    /// Outdoor temperature of the rating, K.
    pub rating_k: f64,
    /// Electric resistance behind a heat pump, W.
    pub backup_w: f64,
}

/// What equipment gives at an outdoor temperature.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Output {
    /// Capacity without backup, W.
    pub capacity_w: f64,
    /// Heat moved per energy used.
    pub cop: f64,
}

impl Plant {
    /// A furnace or boiler.
    pub fn furnace(fuel: Fuel, capacity_w: f64, efficiency: f64) -> Plant {
        Plant {
            fuel,
            capacity_w,
            capacity_slope_per_k: 0.0,
            cop: efficiency,
            cop_slope_per_k: 0.0,
            rating_k: 281.48,
            backup_w: 0.0,
        }
    }

    /// A heat pump rated at 47 degF outdoors; slopes of common practice: 2.3 % of capacity and
    /// 0.06 of the coefficient per K.
    pub fn heat_pump(capacity_w: f64, cop: f64, backup_w: f64) -> Plant {
        Plant {
            fuel: Fuel::Electricity,
            capacity_w,
            capacity_slope_per_k: 0.023,
            cop,
            cop_slope_per_k: 0.06,
            rating_k: 281.48,
            backup_w,
        }
    }

    /// An air conditioner rated at 95 degF outdoors; slopes of common practice: capacity -0.7 % and
    /// coefficient -0.08 per K.
    pub fn air_conditioner(capacity_w: f64, cop: f64) -> Plant {
        Plant {
            fuel: Fuel::Electricity,
            capacity_w,
            capacity_slope_per_k: -0.007,
            cop,
            cop_slope_per_k: -0.08,
            rating_k: 308.15,
            backup_w: 0.0,
        }
    }

    /// Capacity and coefficient at an outdoor temperature; neither falls below a tenth of its
    /// rating.
    pub fn at(&self, outdoor_k: f64) -> Output {
        let off = outdoor_k - self.rating_k;
        Output {
            capacity_w: self.capacity_w * (1.0 + self.capacity_slope_per_k * off).max(0.1),
            cop: (self.cop + self.cop_slope_per_k * off).max(0.1 * self.cop),
        }
    }

    /// Power used to move `heat_w`, by (own fuel, backup electricity), W.
    pub fn power_w(&self, heat_w: f64, outdoor_k: f64) -> (f64, f64) {
        let output = self.at(outdoor_k);
        let own = heat_w.min(output.capacity_w);
        (own / output.cop, (heat_w - own).max(0.0))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn backup_takes_what_the_heat_pump_cannot() {
        let pump = Plant::heat_pump(10_000.0, 3.5, 5000.0);
        let cold_k = 281.48 - 20.0;
        let output = pump.at(cold_k);
        assert!((output.capacity_w - 5400.0).abs() < 1e-9 && (output.cop - 2.3).abs() < 1e-12);
        let (own, backup) = pump.power_w(8000.0, cold_k);
        assert!((own - 5400.0 / 2.3).abs() < 1e-9 && (backup - 2600.0).abs() < 1e-9);
    }

    #[test]
    fn fuels_stand_at_their_place() {
        assert!(Fuel::ALL.iter().enumerate().all(|(k, f)| f.place() == k));
    }
}
