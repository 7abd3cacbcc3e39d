//! Dry air as a gas: density, viscosity, pressure at altitude, and the fan-test standards' density.

use super::{DRY_AIR_GAS_CONSTANT, REFERENCE_DENSITY_KG_M3, ZERO_CELSIUS_K};
use crate::math;

/// Where the source states [`standard_pressure_pa`], m above sea level.
pub const ALTITUDE_RANGE_M: std::ops::RangeInclusive<f64> = -5000.0..=11000.0;

/// Pressure of the standard atmosphere, Pa, at `altitude_m` above sea level.
///
/// ASHRAE 2017 ch. 1 eq. 3; from -5000 to 11000 m.
///
/// ```
/// let p_pa = engine::air::standard_pressure_pa(1609.344);
/// assert!((p_pa - 83428.0).abs() < 1.0);
/// ```
pub fn standard_pressure_pa(altitude_m: f64) -> f64 {
    super::STANDARD_PRESSURE_PA * math::pow(1.0 - 2.25577e-5 * altitude_m, 5.2559)
}

/// Density of dry air, kg/m3, as a perfect gas with the constant of ASHRAE 2017 ch. 1.
///
/// ```
/// let rho = engine::air::dry_density_kg_m3(293.15, 101_325.0);
/// assert!((rho - 1.20415).abs() < 1e-5);
/// ```
pub fn dry_density_kg_m3(temp_k: f64, pressure_pa: f64) -> f64 {
    pressure_pa / (DRY_AIR_GAS_CONSTANT * temp_k)
}

/// Factor of Sutherland's law, kg/(m s K^0.5) (U.S. Standard Atmosphere 1976).
pub(crate) const SUTHERLAND_FACTOR: f64 = 1.458e-6;

/// Temperature of Sutherland's law, K (U.S. Standard Atmosphere 1976).
pub(crate) const SUTHERLAND_K: f64 = 110.4;

/// Dynamic viscosity of air, Pa s: Sutherland's law with the constants of the U.S. Standard
/// Atmosphere 1976 (the same as Roulet 2008 eq. 4.17).
///
/// About 0.5 % below real dry air between -20 and 40 degC; moisture lowers it by 0.3 % at 20 degC
/// and 50 %.
///
/// ```
/// let mu = engine::air::viscosity_pa_s(293.15);
/// assert!((mu - 1.813406e-5).abs() < 1e-11);
/// ```
pub fn viscosity_pa_s(temp_k: f64) -> f64 {
    SUTHERLAND_FACTOR * temp_k * temp_k.sqrt() / (temp_k + SUTHERLAND_K)
}

/// Saturation pressure in the moist density of the fan-test standards, Pa.
///
/// UK air-tightness standard TSL1 (2010) A.1.2, built on EN 13829.
pub fn test_vapour_pressure_pa(temp_k: f64, rh_frac: f64) -> f64 {
    rh_frac * math::exp(59.484_085 - 6790.4985 / temp_k - 5.028_02 * math::ln(temp_k))
}

/// Density of moist air as the fan-test standards compute it, kg/m3.
///
/// UK air-tightness standard TSL1 (2010) A.1.2, built on EN 13829; the factor 0.37802 and the gas
/// constant 287.055 are from memory and agree with the perfect gas. A relative humidity of 0.5
/// may be used where none was measured.
///
/// ```
/// let rho = engine::air::test_density_kg_m3(293.15, 0.5, 101_325.0);
/// assert!((rho - 1.198843).abs() < 1e-6);
/// ```
pub fn test_density_kg_m3(temp_k: f64, rh_frac: f64, pressure_pa: f64) -> f64 {
    (pressure_pa - 0.378_02 * test_vapour_pressure_pa(temp_k, rh_frac)) / (287.055 * temp_k)
}

/// Density of air from altitude and temperature in the form of ASTM E779, kg/m3 (from memory).
///
/// ```
/// let rho = engine::air::density_at_altitude_kg_m3(294.15, 1600.0);
/// assert!((rho - 0.992427).abs() < 1e-6);
/// ```
pub fn density_at_altitude_kg_m3(temp_k: f64, altitude_m: f64) -> f64 {
    // The source adds 273, not 273.15, to degrees Celsius.
    let temp_c = temp_k - ZERO_CELSIUS_K;
    REFERENCE_DENSITY_KG_M3 * math::pow(1.0 - 0.0065 * altitude_m / 293.0, 5.2553) * 293.0 / (temp_c + 273.0)
}
