//! A cooling coil by its bypass factor, and the water that stays on it.
//!
//! The part `bypass` of the air passes untouched, the rest leaves saturated at the apparatus dew
//! point: `t2 = t_adp + bypass (t1 - t_adp)`, the same for the humidity ratio (standard
//! psychrometric practice; check value from PsychroLib 2.5.0). Enthalpy of the condensate is
//! neglected. Re-evaporation: while air moves and the coil is off, what is held evaporates as from
//! a wet surface at the wet bulb, of which the part is wet that corresponds to what is still held
//! (the linear-decay model of Henderson and Rengarajan 1996, ASHRAE Transactions 102(1), from memory).

use crate::{air, math};

/// Coldest apparatus dew point, K: below it the coil would ice over.
const COLDEST_ADP_K: f64 = 273.15;
const MOST_STEPS: usize = 60;
/// Relative miss of the total, and width of the bracket in K, at which the dew point is found.
const CLOSE: f64 = 1e-10;
const CLOSE_K: f64 = 1e-9;

/// A coil.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coil {
    /// Part of the air that passes untouched, 0 to 1; 0.1 to 0.2 is usual (common practice).
    pub bypass: f64,
    /// Water that stays on the wet coil, kg.
    pub holds_kg: f64,
}

/// The air a coil meets.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Entering {
    /// Temperature, K.
    pub temp_k: f64,
    /// Humidity ratio, kg/kg.
    pub w_kg_kg: f64,
    /// Pressure, Pa.
    pub pressure_pa: f64,
    /// Flow of dry air, kg/s.
    pub flow_kg_s: f64,
}

/// What a coil does to the air.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Duty {
    /// Sensible heat taken, W.
    pub sensible_w: f64,
    /// Water taken, kg/s.
    pub water_kg_s: f64,
    /// Sensible and latent heat taken, W.
    pub total_w: f64,
}

impl Coil {
    /// What the coil takes from `air` at an apparatus dew point.
    pub fn at_dew_point(&self, air: &Entering, adp_k: f64) -> Duty {
        let contact = 1.0 - self.bypass.clamp(0.0, 1.0);
        let adp_k = adp_k.min(air.temp_k);
        let w_adp = air::saturation_humidity_ratio(adp_k, air.pressure_pa).min(air.w_kg_kg);
        let t2 = air.temp_k - contact * (air.temp_k - adp_k);
        let w2 = air.w_kg_kg - contact * (air.w_kg_kg - w_adp);
        let total_w =
            air.flow_kg_s * (air::enthalpy_j_kg(air.temp_k, air.w_kg_kg) - air::enthalpy_j_kg(t2, w2));
        let sensible_w = air.flow_kg_s * (air::enthalpy_j_kg(air.temp_k, w2) - air::enthalpy_j_kg(t2, w2));
        Duty { sensible_w, water_kg_s: air.flow_kg_s * (air.w_kg_kg - w2), total_w }
    }

    /// What the coil takes when the machine behind it moves `total_w`; less where the coil would
    /// have to be below freezing.
    pub fn at_capacity(&self, air: &Entering, total_w: f64) -> Duty {
        let (mut lo, mut hi) = (COLDEST_ADP_K.min(air.temp_k), air.temp_k);
        let most = self.at_dew_point(air, lo);
        if most.total_w <= total_w {
            return most;
        }
        // The total falls as the dew point rises: Newton steps in a bracket.
        let mut adp_k = 0.5 * (lo + hi);
        for _ in 0..MOST_STEPS {
            let duty = self.at_dew_point(air, adp_k);
            let miss_w = duty.total_w - total_w;
            if miss_w.abs() <= CLOSE * total_w || hi - lo < CLOSE_K {
                return duty;
            }
            if miss_w > 0.0 {
                lo = adp_k;
            } else {
                hi = adp_k;
            }
            let next = adp_k + miss_w / self.falls_w_k(air, adp_k, &duty);
            adp_k = if next > lo && next < hi { next } else { 0.5 * (lo + hi) };
        }
        self.at_dew_point(air, hi)
    }

    /// How fast the total falls with the dew point, W/K; close to it, which is all that is needed.
    fn falls_w_k(&self, air: &Entering, adp_k: f64, duty: &Duty) -> f64 {
        let contact = 1.0 - self.bypass.clamp(0.0, 1.0);
        let wet = if duty.water_kg_s > 0.0 && contact > 0.0 {
            let w_adp = air.w_kg_kg - duty.water_kg_s / (air.flow_kg_s * contact);
            air::EVAPORATION_20C_J_KG * w_adp * air::saturation_log_slope(adp_k)
        } else {
            0.0
        };
        air.flow_kg_s * contact * (air::CP_DRY_AIR_J_KG_K + wet)
    }

    /// Water that evaporates in `time_s` from a coil that holds `held_kg` and is off while air
    /// passes, kg.
    ///
    /// The wet part of the coil shrinks with what it holds, so what is left falls off as
    /// `exp(-t / tau)` with `tau = holds / ((1 - bypass) m (w_wet bulb - w))`.
    pub fn evaporated_kg(&self, air: &Entering, held_kg: f64, time_s: f64) -> f64 {
        if held_kg <= 0.0 || air.flow_kg_s <= 0.0 || self.holds_kg <= 0.0 {
            return 0.0;
        }
        let wet_k = air::wet_bulb_k(air.temp_k, air.w_kg_kg, air.pressure_pa);
        let w_wet = air::saturation_humidity_ratio(wet_k, air.pressure_pa);
        let all_wet_kg_s = (1.0 - self.bypass) * air.flow_kg_s * (w_wet - air.w_kg_kg).max(0.0);
        held_kg * (1.0 - math::exp(-time_s * all_wet_kg_s / self.holds_kg))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn air() -> Entering {
        // 26.67 degC, 50 %, 0.5663 m3/s at sea level: 0.65523 kg/s of dry air.
        Entering { temp_k: 299.82, w_kg_kg: 0.010_926_6, pressure_pa: 101_325.0, flow_kg_s: 0.655_23 }
    }

    /// PsychroLib 2.5.0: apparatus dew point 9 degC, bypass 0.15.
    #[test]
    fn bypass_factor_case() {
        let duty = Coil { bypass: 0.15, holds_kg: 0.0 }.at_dew_point(&air(), 282.15);
        assert!((duty.total_w - 15_437.0).abs() < 20.0, "{duty:?}");
        assert!((duty.sensible_w - 10_041.0).abs() < 15.0, "{duty:?}");
        assert!((duty.water_kg_s * 3600.0 - 7.616).abs() < 0.01, "{duty:?}");
    }

    #[test]
    fn capacity_gives_the_dew_point_back() {
        let coil = Coil { bypass: 0.15, holds_kg: 0.0 };
        let duty = coil.at_capacity(&air(), 15_437.0);
        assert!((duty.sensible_w / duty.total_w - 0.6505).abs() < 2e-3);
        // Dry air: all sensible.
        let dry = coil.at_capacity(&Entering { w_kg_kg: 0.004, ..air() }, 6000.0);
        assert!(dry.water_kg_s.abs() < 1e-12 && (dry.sensible_w - 6000.0).abs() < 1.0);
        // Never below freezing.
        assert!(coil.at_capacity(&air(), 1e6).total_w < 4e4);
    }

    /// Time constant worked with PsychroLib 2.5.0: wet bulb 19.26257 degC, saturated there
    /// 0.01402222, so a coil of bypass 0.15 that holds 0.6 kg dries in 0.65523 kg/s by 1/e in 348 s.
    #[test]
    fn what_is_held_falls_off_exponentially() {
        const TAU_S: f64 = 348.0088;
        let coil = Coil { bypass: 0.15, holds_kg: 0.6 };
        let gone = coil.evaporated_kg(&air(), 0.3, TAU_S);
        assert!((gone / 0.3 - (1.0 - math::exp(-1.0))).abs() < 2e-4, "{gone}");
        // In two goes as in one.
        let first = coil.evaporated_kg(&air(), 0.3, 100.0);
        let both = first + coil.evaporated_kg(&air(), 0.3 - first, 200.0);
        assert!((both - coil.evaporated_kg(&air(), 0.3, 300.0)).abs() < 1e-15);
        // Saturated air takes none.
        let damp = Entering { w_kg_kg: 0.022_25, ..air() };
        assert!(coil.evaporated_kg(&damp, 0.3, 300.0) < 1e-3);
    }
}
