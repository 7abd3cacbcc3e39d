//! Psychrometrics: water vapour in air.

use super::{
    CP_DRY_AIR_J_KG_K, CP_VAPOUR_J_KG_K, DRY_AIR_GAS_CONSTANT, EVAPORATION_0C_J_KG, MASS_RATIO,
    ZERO_CELSIUS_K,
};
use crate::math;
use serde::Serialize;

/// Triple point of water, K. The saturation curves change here and not at 0 degC, where their
/// inverse would have a gap.
pub const TRIPLE_POINT_K: f64 = 273.16;
/// Where the source states the saturation curves, K (-100 to 200 degC).
pub const SATURATION_RANGE_K: std::ops::RangeInclusive<f64> = 173.15..=473.15;

fn ln_over_ice(temp_k: f64) -> f64 {
    let t = temp_k;
    -5.674_535_9e3 / t + 6.392_524_7 - 9.677_843e-3 * t
        + (6.221_570_1e-7 + (2.074_782_5e-9 - 9.484_024e-13 * t) * t) * t * t
        + 4.163_501_9 * math::ln(t)
}

fn ln_over_water(temp_k: f64) -> f64 {
    let t = temp_k;
    -5.800_220_6e3 / t + 1.391_499_3 - 4.864_023_9e-2 * t
        + (4.176_476_8e-5 - 1.445_209_3e-8 * t) * t * t
        + 6.545_967_3 * math::ln(t)
}

fn slope_over_ice(t: f64) -> f64 {
    5.674_535_9e3 / (t * t) - 9.677_843e-3
        + (2.0 * 6.221_570_1e-7 + (3.0 * 2.074_782_5e-9 - 4.0 * 9.484_024e-13 * t) * t) * t
        + 4.163_501_9 / t
}

fn slope_over_water(t: f64) -> f64 {
    5.800_220_6e3 / (t * t) - 4.864_023_9e-2
        + (2.0 * 4.176_476_8e-5 - 3.0 * 1.445_209_3e-8 * t) * t
        + 6.545_967_3 / t
}

/// Saturation pressure of water vapour, Pa: over ice below the triple point, over water above.
///
/// ASHRAE 2017 ch. 1 eq. 5 (-100 to 0 degC) and eq. 6 (0 to 200 degC).
///
/// ```
/// let pws = engine::air::saturation_pressure_pa(293.15);
/// assert!((pws - 2338.80).abs() < 0.01);
/// ```
pub fn saturation_pressure_pa(temp_k: f64) -> f64 {
    math::exp(if temp_k <= TRIPLE_POINT_K { ln_over_ice(temp_k) } else { ln_over_water(temp_k) })
}

/// Saturation pressure over liquid water at any temperature, Pa, also where it is supercooled:
/// what weather services mean by relative humidity in frost.
///
/// ASHRAE 2017 ch. 1 eq. 6, continued below 0 degC (at -20 degC 1.22 times the pressure over ice).
pub fn saturation_over_water_pa(temp_k: f64) -> f64 {
    math::exp(ln_over_water(temp_k))
}

/// Humidity ratio, kg/kg, from the partial pressure of vapour and the total pressure, Pa.
///
/// ASHRAE 2017 ch. 1 eq. 20; the vapour pressure must be below the total pressure.
pub fn humidity_ratio(vapour_pa: f64, pressure_pa: f64) -> f64 {
    MASS_RATIO * vapour_pa / (pressure_pa - vapour_pa)
}

/// Partial pressure of vapour, Pa, from the humidity ratio: the inverse of [`humidity_ratio`].
pub fn vapour_pressure_pa(humidity_ratio: f64, pressure_pa: f64) -> f64 {
    pressure_pa * humidity_ratio / (MASS_RATIO + humidity_ratio)
}

/// Humidity ratio of saturated air, kg/kg.
///
/// Close to boiling and above, where no air would be left, it stays at that of a vapour pressure of
/// nine tenths of the total, so that it never turns negative under a solver.
pub fn saturation_humidity_ratio(temp_k: f64, pressure_pa: f64) -> f64 {
    saturation_humidity_ratio_of(saturation_pressure_pa(temp_k), pressure_pa)
}

/// [`saturation_humidity_ratio`] from the saturation pressure.
pub(crate) fn saturation_humidity_ratio_of(saturation_pa: f64, pressure_pa: f64) -> f64 {
    let most_pa = 0.9 * pressure_pa;
    // Not `f64::min`, which would make a number of NaN.
    humidity_ratio(if saturation_pa > most_pa { most_pa } else { saturation_pa }, pressure_pa)
}

/// Slope of the logarithm of [`saturation_pressure_pa`], 1/K.
pub(crate) fn saturation_log_slope(temp_k: f64) -> f64 {
    if temp_k <= TRIPLE_POINT_K { slope_over_ice(temp_k) } else { slope_over_water(temp_k) }
}

/// Relative humidity, 0 to 1, over ice below the triple point. ASHRAE 2017 ch. 1 eq. 12.
pub fn relative_humidity(temp_k: f64, humidity_ratio: f64, pressure_pa: f64) -> f64 {
    vapour_pressure_pa(humidity_ratio, pressure_pa) / saturation_pressure_pa(temp_k)
}

/// Dew point (frost point below 0.01 degC), K: the temperature at which `vapour_pa` is the
/// saturation pressure.
///
/// Inverts [`saturation_pressure_pa`] by Newton steps in 1/T, in which the curve is nearly
/// straight; exact to rounding from -100 to 200 degC. NaN where the pressure is not positive.
///
/// ```
/// use engine::air::{dew_point_k, saturation_pressure_pa};
/// let t = dew_point_k(saturation_pressure_pa(282.422));
/// assert!((t - 282.422).abs() < 1e-9);
/// ```
pub fn dew_point_k(vapour_pa: f64) -> f64 {
    if !(vapour_pa > 0.0 && vapour_pa.is_finite()) {
        return f64::NAN;
    }
    let ln_p = math::ln(vapour_pa);
    let (ice, water) = (ln_over_ice(TRIPLE_POINT_K), ln_over_water(TRIPLE_POINT_K));
    type Curve = fn(f64) -> f64;
    let (curve, slope, start, scale_k) = if ln_p <= ice {
        (ln_over_ice as Curve, slope_over_ice as Curve, ice, 6140.0)
    } else if ln_p > water {
        (ln_over_water as Curve, slope_over_water as Curve, water, 5400.0)
    } else {
        // The two curves leave 0.02 Pa between them.
        return TRIPLE_POINT_K;
    };
    let mut inverse = 1.0 / TRIPLE_POINT_K - (ln_p - start) / scale_k;
    for _ in 0..20 {
        let t = 1.0 / inverse;
        let step = (curve(t) - ln_p) / (slope(t) * t * t);
        inverse += step;
        if step.abs() < 1e-15 * inverse.abs() {
            break;
        }
    }
    1.0 / inverse
}

/// Enthalpy of moist air per kg of dry air, J/kg, zero for dry air at 0 degC.
///
/// ASHRAE 2017 ch. 1 eq. 30.
pub fn enthalpy_j_kg(temp_k: f64, humidity_ratio: f64) -> f64 {
    let t_c = temp_k - ZERO_CELSIUS_K;
    CP_DRY_AIR_J_KG_K * t_c + humidity_ratio * (EVAPORATION_0C_J_KG + CP_VAPOUR_J_KG_K * t_c)
}

/// Volume of moist air per kg of dry air, m3/kg. ASHRAE 2017 ch. 1 eq. 26.
pub fn specific_volume_m3_kg(temp_k: f64, humidity_ratio: f64, pressure_pa: f64) -> f64 {
    DRY_AIR_GAS_CONSTANT * temp_k * (1.0 + 1.607_858 * humidity_ratio) / pressure_pa
}

/// Density of moist air, kg of air and vapour per m3. ASHRAE 2017 ch. 1 eq. 9b.
pub fn moist_density_kg_m3(temp_k: f64, humidity_ratio: f64, pressure_pa: f64) -> f64 {
    (1.0 + humidity_ratio) / specific_volume_m3_kg(temp_k, humidity_ratio, pressure_pa)
}

/// The humidity ratio that a wick at `wet_c` makes of air at `dry_c`, both degC, and its slope over
/// `wet_c`, 1/K.
fn wick(dry_c: f64, wet_c: f64, pressure_pa: f64, frozen: bool) -> (f64, f64) {
    let wet_k = wet_c + ZERO_CELSIUS_K;
    let pa = saturation_pressure_pa(wet_k);
    let saturated = saturation_humidity_ratio_of(pa, pressure_pa);
    let rise = if pa > 0.9 * pressure_pa {
        0.0
    } else {
        saturated * saturation_log_slope(wet_k) * pressure_pa / (pressure_pa - pa)
    };
    let (at_zero, falls, dry_heat, wet_heat) =
        if frozen { (2830.0, 0.24, 1.86, 2.1) } else { (2501.0, 2.326, 1.86, 4.186) };
    let latent = at_zero - falls * wet_c;
    let below = at_zero + dry_heat * dry_c - wet_heat * wet_c;
    let w = (latent * saturated - 1.006 * (dry_c - wet_c)) / below;
    (w, (latent * rise - falls * saturated + 1.006 + wet_heat * w) / below)
}

/// Thermodynamic wet-bulb temperature, K, of air at `temp_k` and `humidity_ratio`.
///
/// ASHRAE 2017 ch. 1 eq. 33 (water) and eq. 35 (ice), solved by Newton steps in a bracket to
/// 1e-10 K. The two do not meet at 0 degC: air that both could explain gets the wet bulb over water.
/// Saturated or supersaturated air has its own temperature. From -100 to 200 degC.
///
/// ```
/// use engine::air::MoistAir;
/// let room = MoistAir::from_rh(293.15, 0.5, 101_325.0);
/// assert!((room.wet_bulb_k() - 286.933).abs() < 2e-3);
/// ```
pub fn wet_bulb_k(temp_k: f64, humidity_ratio: f64, pressure_pa: f64) -> f64 {
    if !(temp_k.is_finite() && humidity_ratio.is_finite() && pressure_pa > 0.0) {
        return f64::NAN;
    }
    let dry_c = temp_k - ZERO_CELSIUS_K;
    if humidity_ratio >= saturation_humidity_ratio(temp_k, pressure_pa) {
        return temp_k;
    }
    let frozen = dry_c < 0.0 || wick(dry_c, 0.0, pressure_pa, false).0 > humidity_ratio;
    let (mut low, mut high) = match (frozen, dry_c < 0.0) {
        (true, true) => (*SATURATION_RANGE_K.start() - ZERO_CELSIUS_K, dry_c),
        (true, false) => (*SATURATION_RANGE_K.start() - ZERO_CELSIUS_K, 0.0),
        (false, _) => (0.0, dry_c),
    };
    let mut wet_c = if frozen { high } else { low + (high - low) * 0.6 };
    for _ in 0..200 {
        let (w, slope) = wick(dry_c, wet_c, pressure_pa, frozen);
        let miss = w - humidity_ratio;
        if miss > 0.0 {
            high = wet_c;
        } else {
            low = wet_c;
        }
        let step = -miss / slope;
        if step.abs() < 1e-10 || high - low < 1e-10 {
            wet_c += step.clamp(-1e-10, 1e-10);
            break;
        }
        let next = wet_c + step;
        wet_c = if next > low && next < high { next } else { 0.5 * (low + high) };
    }
    wet_c + ZERO_CELSIUS_K
}

/// The state of moist air at one place.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct MoistAir {
    /// Dry-bulb temperature, K.
    pub temp_k: f64,
    /// Humidity ratio, kg of vapour per kg of dry air.
    pub humidity_ratio: f64,
    /// Total pressure, Pa.
    pub pressure_pa: f64,
}

impl MoistAir {
    /// From relative humidity, 0 to 1 (over ice below the triple point).
    pub fn from_rh(temp_k: f64, rh_frac: f64, pressure_pa: f64) -> MoistAir {
        let vapour_pa = rh_frac * saturation_pressure_pa(temp_k);
        MoistAir { temp_k, humidity_ratio: humidity_ratio(vapour_pa, pressure_pa), pressure_pa }
    }

    /// From the dew point.
    pub fn from_dew_point(temp_k: f64, dew_point_k: f64, pressure_pa: f64) -> MoistAir {
        MoistAir { temp_k, humidity_ratio: saturation_humidity_ratio(dew_point_k, pressure_pa), pressure_pa }
    }

    /// Partial pressure of vapour, Pa.
    pub fn vapour_pa(&self) -> f64 {
        vapour_pressure_pa(self.humidity_ratio, self.pressure_pa)
    }

    /// Relative humidity, 0 to 1.
    pub fn rh_frac(&self) -> f64 {
        relative_humidity(self.temp_k, self.humidity_ratio, self.pressure_pa)
    }

    /// Dew point, K.
    pub fn dew_point_k(&self) -> f64 {
        dew_point_k(self.vapour_pa())
    }

    /// Wet bulb, K.
    pub fn wet_bulb_k(&self) -> f64 {
        wet_bulb_k(self.temp_k, self.humidity_ratio, self.pressure_pa)
    }

    /// Enthalpy per kg of dry air, J/kg.
    pub fn enthalpy_j_kg(&self) -> f64 {
        enthalpy_j_kg(self.temp_k, self.humidity_ratio)
    }

    /// Volume per kg of dry air, m3/kg.
    pub fn specific_volume_m3_kg(&self) -> f64 {
        specific_volume_m3_kg(self.temp_k, self.humidity_ratio, self.pressure_pa)
    }

    /// Density, kg/m3.
    pub fn density_kg_m3(&self) -> f64 {
        moist_density_kg_m3(self.temp_k, self.humidity_ratio, self.pressure_pa)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn saturation_slopes_are_the_derivatives() {
        for t in [180.0, 230.0, 273.0] {
            let by_difference = (ln_over_ice(t + 1e-3) - ln_over_ice(t - 1e-3)) / 2e-3;
            assert!((slope_over_ice(t) / by_difference - 1.0).abs() < 1e-7);
        }
        for t in [274.0, 320.0, 470.0] {
            let by_difference = (ln_over_water(t + 1e-3) - ln_over_water(t - 1e-3)) / 2e-3;
            assert!((slope_over_water(t) / by_difference - 1.0).abs() < 1e-7);
        }
    }

    #[test]
    fn dew_point_inverts_saturation_over_the_whole_range() {
        let mut t = 173.15;
        while t < 473.0 {
            assert!((dew_point_k(saturation_pressure_pa(t)) - t).abs() < 1e-9, "{t}");
            t += 0.37;
        }
        assert!(dew_point_k(0.0).is_nan());
        assert!(dew_point_k(f64::NAN).is_nan());
    }

    #[test]
    fn wet_bulb_lies_between_dew_point_and_air_and_closes_the_wick_equation() {
        for t_c in [-40.0, -10.0, -0.5, 0.0, 0.005, 0.5, 3.0, 12.0, 35.0, 60.0] {
            for rh in [0.02, 0.3, 0.7, 0.99] {
                for p in [70_000.0, 101_325.0] {
                    let air = MoistAir::from_rh(t_c + ZERO_CELSIUS_K, rh, p);
                    let wet = air.wet_bulb_k();
                    assert!(wet <= air.temp_k && wet >= air.dew_point_k() - 1e-9, "{t_c} {rh}: {wet}");
                    let wet_c = wet - ZERO_CELSIUS_K;
                    let (back, _) = wick(t_c, wet_c, p, wet_c < 0.0);
                    assert!((back - air.humidity_ratio).abs() < 1e-11, "{t_c} {rh}");
                }
            }
        }
        assert!((wet_bulb_k(293.15, 0.02, 101_325.0) - 293.15).abs() < 1e-12);
        assert!(wet_bulb_k(f64::NAN, 0.01, 101_325.0).is_nan());
        // Air hotter than boiling: the bracket's upper end has no saturated air.
        let wet_c = wet_bulb_k(150.0 + ZERO_CELSIUS_K, 0.02, 101_325.0) - ZERO_CELSIUS_K;
        assert!((wick(150.0, wet_c, 101_325.0, false).0 - 0.02).abs() < 1e-11, "{wet_c}");
        assert!(saturation_humidity_ratio(f64::NAN, 101_325.0).is_nan());
    }
}
