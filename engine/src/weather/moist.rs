//! Water in air, as far as weather, devices and the year need it.
//!
//! Saturation pressure over ice and water: Hyland and Wexler's equations as in ASHRAE
//! Handbook of Fundamentals 2017, chapter 1, equations 5 and 6; humidity ratio, relative humidity
//! and density: equations 20, 22, 26 and 9b. Ideal gas, no enhancement factor (0.5 % at most).

use crate::math;

/// Specific heat of dry air at constant pressure, J/(kg K); ASHRAE 2017 chapter 1 equation 30.
pub const CP_AIR_J_KG_K: f64 = 1006.0;
/// Specific heat of water vapour, J/(kg K); same equation.
pub const CP_VAPOUR_J_KG_K: f64 = 1860.0;
/// Heat of evaporation at 0 degC, J/kg; same equation.
pub const EVAPORATION_0C_J_KG: f64 = 2.501e6;
/// Heat of evaporation at room temperature, J/kg (2454 kJ/kg at 20 degC).
pub const EVAPORATION_J_KG: f64 = 2.454e6;
/// Gas constant of dry air, J/(kg K); same chapter, equation 26.
pub const R_AIR_J_KG_K: f64 = 287.042;
const RATIO: f64 = 0.621_945;
const ZERO_C_K: f64 = 273.15;
const TRIPLE_K: f64 = 273.16;

/// Saturation pressure, Pa, at a temperature in K (173 to 473 K): over ice below the triple
/// point, over water above.
pub fn saturation_pa(temp_k: f64) -> f64 {
    let t = temp_k.clamp(173.15, 473.15);
    let exponent = if t < TRIPLE_K {
        -5.674_535_9e3 / t + 6.392_524_7 - 9.677_843e-3 * t
            + t * t * (6.221_570_1e-7 + t * (2.074_782_5e-9 - 9.484_024e-13 * t))
            + 4.163_501_9 * math::ln(t)
    } else {
        -5.800_220_6e3 / t + 1.391_499_3 - 4.864_023_9e-2 * t
            + t * t * (4.176_476_8e-5 - 1.445_209_3e-8 * t)
            + 6.545_967_3 * math::ln(t)
    };
    math::exp(exponent)
}

/// Humidity ratio, kg/kg, of a vapour pressure.
pub fn w_of_vapour_pressure(vapour_pa: f64, pressure_pa: f64) -> f64 {
    // Held below 90 % of the total so that a nonsensical input cannot give a negative ratio.
    let vapour_pa = vapour_pa.clamp(0.0, 0.9 * pressure_pa);
    RATIO * vapour_pa / (pressure_pa - vapour_pa)
}

/// Saturated humidity ratio, kg/kg.
pub fn w_saturated(temp_k: f64, pressure_pa: f64) -> f64 {
    w_of_vapour_pressure(saturation_pa(temp_k), pressure_pa)
}

/// Vapour pressure, Pa, of a humidity ratio.
pub fn vapour_pa(w_kg_kg: f64, pressure_pa: f64) -> f64 {
    pressure_pa * w_kg_kg / (RATIO + w_kg_kg)
}

/// Relative humidity, 0 to 1 (over ice below freezing, as the equations have it).
pub fn rh(temp_k: f64, w_kg_kg: f64, pressure_pa: f64) -> f64 {
    vapour_pa(w_kg_kg, pressure_pa) / saturation_pa(temp_k)
}

/// Density of moist air, kg/m3.
pub fn density(temp_k: f64, w_kg_kg: f64, pressure_pa: f64) -> f64 {
    pressure_pa * (1.0 + w_kg_kg) / (R_AIR_J_KG_K * temp_k * (1.0 + 1.607_858 * w_kg_kg))
}

/// Dew (or frost) point, K, by Newton's method on the logarithm of [`saturation_pa`].
pub fn dew_point_k(w_kg_kg: f64, pressure_pa: f64) -> f64 {
    let target = math::ln(vapour_pa(w_kg_kg.max(1e-7), pressure_pa));
    let mut temp_k = 280.0;
    for _ in 0..30 {
        let here = math::ln(saturation_pa(temp_k));
        let slope = (math::ln(saturation_pa(temp_k + 0.01)) - here) / 0.01;
        let step = (target - here) / slope;
        temp_k = (temp_k + step).clamp(173.15, 373.15);
        if step.abs() < 1e-7 {
            break;
        }
    }
    temp_k
}

/// Enthalpy, J/kg dry air, from 0 degC.
pub fn enthalpy(temp_k: f64, w_kg_kg: f64) -> f64 {
    let c = temp_k - ZERO_C_K;
    CP_AIR_J_KG_K * c + w_kg_kg * (EVAPORATION_0C_J_KG + CP_VAPOUR_J_KG_K * c)
}

/// Wet-bulb temperature, K, by bisection of ASHRAE 2017 chapter 1 equation 33 (35 below 0 degC).
pub fn wet_bulb_k(temp_k: f64, w_kg_kg: f64, pressure_pa: f64) -> f64 {
    let (mut lo, mut hi) = (temp_k - 60.0, temp_k);
    for _ in 0..40 {
        let mid = 0.5 * (lo + hi);
        if w_of_wet_bulb(temp_k, mid, pressure_pa) > w_kg_kg {
            hi = mid;
        } else {
            lo = mid;
        }
    }
    0.5 * (lo + hi)
}

fn w_of_wet_bulb(temp_k: f64, wet_k: f64, pressure_pa: f64) -> f64 {
    let (t, b) = (temp_k - ZERO_C_K, wet_k - ZERO_C_K);
    let ws = w_saturated(wet_k, pressure_pa);
    if b >= 0.0 {
        ((2501.0 - 2.326 * b) * ws - 1.006 * (t - b)) / (2501.0 + 1.86 * t - 4.186 * b)
    } else {
        ((2830.0 - 0.24 * b) * ws - 1.006 * (t - b)) / (2830.0 + 1.86 * t - 2.1 * b)
    }
}

/// Pressure of the standard atmosphere, Pa, at an elevation; same chapter, equation 3.
pub fn standard_pressure_pa(elevation_m: f64) -> f64 {
    101_325.0 * math::pow(1.0 - 2.255_77e-5 * elevation_m, 5.2559)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// PsychroLib 2.5.0 at 101325 Pa: degC, RH, pws Pa, W g/kg, dew point, wet bulb, density.
    #[test]
    fn published_states() {
        let states = [
            (-20.0, 0.70, 103.26, 0.443_99, -23.663, -20.459, 1.3940),
            (20.0, 0.50, 2338.80, 7.2617, 9.272, 13.783, 1.1989),
            (26.67, 0.60, 3498.77, 13.158, 18.267, 20.920, 1.1681),
            (35.0, 0.40, 5627.82, 14.132, 19.385, 23.934, 1.1359),
        ];
        let p = 101_325.0;
        for (c, phi, pws, w_g, dew, wet, rho) in states {
            let t = c + 273.15;
            assert!((saturation_pa(t) / pws - 1.0).abs() < 1e-4, "pws at {c}");
            let w = w_of_vapour_pressure(phi * saturation_pa(t), p);
            assert!((w * 1e3 / w_g - 1.0).abs() < 1e-4, "w at {c}");
            assert!((rh(t, w, p) - phi).abs() < 1e-12);
            assert!((dew_point_k(w, p) - 273.15 - dew).abs() < 2e-3, "dew point at {c}");
            assert!((wet_bulb_k(t, w, p) - 273.15 - wet).abs() < 3e-3, "wet bulb at {c}");
            assert!((density(t, w, p) / rho - 1.0).abs() < 1e-4, "density at {c}");
        }
        assert!((standard_pressure_pa(1000.0) - 89_875.0).abs() < 1.0);
    }
}
