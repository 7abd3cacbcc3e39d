//! Heating and cooling equipment: what it can give, and what that costs.
//!
//! Capacity and coefficient of performance are linear in the outdoor temperature about the rating
//! point (the usual two-point reading of a rating sheet); a furnace or heater has no slope. A machine
//! with two stages gives a share of its capacity in the low one. Starting costs: over an hour that it
//! runs the part x of, it uses `1 / (1 - Cd (1 - x))` times what steady running would (degradation
//! coefficient Cd of 10 CFR 430 subpart B appendix M, where 0.25 stands for what was not tested; from
//! memory). Seasonal efficiencies have this loss in them already: leave Cd at zero with those.

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

/// The lower of two stages.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LowStage {
    /// Capacity over that of the full stage, 0 to 1.
    pub share: f64,
    /// Coefficient of performance over that of the full stage.
    pub cop_factor: f64,
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
    /// Outdoor temperature below which it stops and leaves all to the backup, K.
    pub lowest_k: f64,
    /// The lower stage, where it has two.
    pub low: Option<LowStage>,
    /// Degradation coefficient of cycling, 0 to 1.
    pub cycling_loss: f64,
}

/// How a stretch of time is served.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Served {
    /// Part of the time in the low stage.
    pub low: f64,
    /// Part of the time in the full (or only) stage.
    pub full: f64,
    /// Mean of the backup, W.
    pub backup_w: f64,
}

impl Served {
    /// Part of the time that it runs.
    pub fn running(&self) -> f64 {
        self.low + self.full
    }

    /// The least that gives `need_w`, where the stages give `[low, full, backup]` W (low and full
    /// with what the fan adds; low equal to full for one stage). What is beyond all is not given.
    ///
    /// ```
    /// use engine::device::plant::Served;
    /// let levels = [4000.0, 6000.0, 3000.0];
    /// // Below the low stage it cycles, between the stages it never stops.
    /// assert_eq!(Served::least(1000.0, levels), Served { low: 0.25, full: 0.0, backup_w: 0.0 });
    /// assert_eq!(Served::least(5500.0, levels), Served { low: 0.25, full: 0.75, backup_w: 0.0 });
    /// assert_eq!(Served::least(7000.0, levels), Served { low: 0.0, full: 1.0, backup_w: 1000.0 });
    /// ```
    pub fn least(need_w: f64, [low_w, full_w, backup_w]: [f64; 3]) -> Served {
        if need_w <= 0.0 {
            return Served::default();
        }
        if low_w < full_w && need_w <= low_w {
            return Served { low: need_w / low_w, ..Served::default() };
        }
        if low_w < full_w && need_w <= full_w {
            let full = (need_w - low_w) / (full_w - low_w);
            return Served { low: 1.0 - full, full, backup_w: 0.0 };
        }
        if need_w <= full_w {
            return Served { full: need_w / full_w, ..Served::default() };
        }
        Served { low: 0.0, full: 1.0, backup_w: (need_w - full_w).min(backup_w) }
    }
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
            lowest_k: 0.0,
            low: None,
            cycling_loss: 0.0,
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
            lowest_k: 0.0,
            low: None,
            cycling_loss: 0.0,
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
            lowest_k: 0.0,
            low: None,
            cycling_loss: 0.0,
        }
    }

    /// Capacity and coefficient at an outdoor temperature; neither falls below a tenth of its
    /// rating, but there is no capacity below [`Plant::lowest_k`].
    pub fn at(&self, outdoor_k: f64) -> Output {
        let off = outdoor_k - self.rating_k;
        let works = if outdoor_k < self.lowest_k { 0.0 } else { 1.0 };
        Output {
            capacity_w: works * self.capacity_w * (1.0 + self.capacity_slope_per_k * off).max(0.1),
            cop: (self.cop + self.cop_slope_per_k * off).max(0.1 * self.cop),
        }
    }

    /// Power of own fuel that moves heat of the low and full stage, W each, as means over the time.
    pub fn stages_power_w(&self, low_w: f64, full_w: f64, outdoor_k: f64) -> f64 {
        let cop = self.at(outdoor_k).cop;
        full_w / cop + low_w / (cop * self.low.map_or(1.0, |l| l.cop_factor))
    }

    /// What cycling multiplies the energy of an hour by that it runs the part `running` of.
    ///
    /// ```
    /// use engine::device::Plant;
    /// let plant = Plant { cycling_loss: 0.25, ..Plant::air_conditioner(9000.0, 3.5) };
    /// assert!((plant.cycling_factor(0.5) - 1.0 / 0.875).abs() < 1e-15);
    /// assert!((plant.cycling_factor(1.0) - 1.0).abs() < 1e-15);
    /// ```
    pub fn cycling_factor(&self, running: f64) -> f64 {
        1.0 / (1.0 - self.cycling_loss * (1.0 - running.clamp(0.0, 1.0)))
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
