//! Moist air: what temperature, pressure and humidity make of it.
//!
//! Formulas: ASHRAE Handbook - Fundamentals 2017, chapter 1 (perfect-gas form, SI), equation
//! numbers at each function; viscosity after the U.S. Standard Atmosphere 1976. The fan-test
//! standards have a density of their own, kept apart in [`test_density_kg_m3`]. Everything here is
//! a pure function of SI values; the range in which the source states a formula stands in its
//! text, outside of it the same expression goes on and the caller decides ([`SATURATION_RANGE_K`],
//! [`ALTITUDE_RANGE_M`]). Relative humidity below 0.01 degC is over ice, as in the source;
//! weather services state it over liquid water ([`saturation_over_water_pa`]).
//! Not covered: the enhancement factor of real gas (about 0.5 % of the humidity ratio).

mod gas;
mod moist;
pub mod quality;

pub use gas::{
    ALTITUDE_RANGE_M, density_at_altitude_kg_m3, dry_density_kg_m3, standard_pressure_pa, test_density_kg_m3,
    test_vapour_pressure_pa, viscosity_pa_s,
};
pub(crate) use gas::{SUTHERLAND_FACTOR, SUTHERLAND_K};
pub use moist::{
    MoistAir, SATURATION_RANGE_K, TRIPLE_POINT_K, dew_point_k, enthalpy_j_kg, humidity_ratio,
    moist_density_kg_m3, relative_humidity, saturation_humidity_ratio, saturation_over_water_pa,
    saturation_pressure_pa, specific_volume_m3_kg, vapour_pressure_pa, wet_bulb_k,
};
pub(crate) use moist::{saturation_humidity_ratio_of, saturation_log_slope};

/// 0 degC in kelvin.
pub const ZERO_CELSIUS_K: f64 = 273.15;
/// Reference temperature of the fan-test standards, 20 degC, K.
pub const REFERENCE_TEMP_K: f64 = 293.15;
/// Standard pressure at sea level, Pa.
pub const STANDARD_PRESSURE_PA: f64 = 101_325.0;
/// Density of dry air at 20 degC and 101 325 Pa as the fan-test standards print it, kg/m3.
pub const REFERENCE_DENSITY_KG_M3: f64 = 1.2041;
/// "Standard air" of the US heating and cooling trade, 0.075 lb/ft3, kg/m3 (from memory;
/// dry air at 70 degF is 0.2 % lighter).
pub const TRADE_STANDARD_DENSITY_KG_M3: f64 = 0.075 * 0.453_592_37 / (0.3048 * 0.3048 * 0.3048);
/// Gas constant of dry air in ASHRAE 2017 ch. 1, J/(kg K).
pub const DRY_AIR_GAS_CONSTANT: f64 = 287.042;
/// Specific heat of dry air at constant pressure, J/(kg K); ASHRAE 2017 ch. 1 eq. 30.
pub const CP_DRY_AIR_J_KG_K: f64 = 1006.0;
/// Specific heat of water vapour, J/(kg K); same equation.
pub const CP_VAPOUR_J_KG_K: f64 = 1860.0;
/// Heat of evaporation at 0 degC, J/kg; same equation.
pub const EVAPORATION_0C_J_KG: f64 = 2.501e6;
/// Heat of evaporation at 20 degC, J/kg: `2501 - 2.326 t` kJ/kg of ASHRAE 2017 ch. 1 eq. 33.
pub const EVAPORATION_20C_J_KG: f64 = 2.454e6;
/// Molar mass of water over that of dry air, ASHRAE 2017 ch. 1 eq. 20.
pub const MASS_RATIO: f64 = 0.621_945;
