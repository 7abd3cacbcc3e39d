//! What people add to the air: CO2, water, heat.
//!
//! CO2: Persily and de Jonge (2017, Indoor Air 27, 868-879), with basal metabolic rates of
//! Schofield (1985); the conversion constant is from memory. Water: 0.44 US pints an hour for a
//! family of four (household moisture study of 1988), taken at 1.2 met and in proportion to
//! activity (common practice, no source).

use crate::air;

/// Sex, as the metabolic tables have it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sex {
    /// Female.
    Female,
    /// Male.
    Male,
}

/// Age from (years), slope MJ/(day kg), intercept MJ/day.
const MALE: [(f64, f64, f64); 6] = [
    (0.0, 0.249, -0.127),
    (3.0, 0.095, 2.110),
    (10.0, 0.074, 2.754),
    (18.0, 0.063, 2.896),
    (30.0, 0.048, 3.653),
    (60.0, 0.049, 2.459),
];
const FEMALE: [(f64, f64, f64); 6] = [
    (0.0, 0.244, -0.130),
    (3.0, 0.085, 2.033),
    (10.0, 0.056, 2.898),
    (18.0, 0.062, 2.036),
    (30.0, 0.034, 3.538),
    (60.0, 0.038, 2.755),
];
const RESPIRATORY_QUOTIENT: f64 = 0.85;
/// Water given off at 1.2 met, kg/s: 0.11 US pints an hour.
const WATER_KG_S: f64 = 0.11 * 0.473_176 / 3600.0;
const WATER_AT_MET: f64 = 1.2;
/// Activity asleep, met (Persily and de Jonge 2017 use 0.95).
pub const ASLEEP_MET: f64 = 0.95;

/// Age from (years), mean mass of men and of women, kg (Persily and de Jonge 2017, from memory).
const MEAN_MASS_KG: [(f64, f64, f64); 13] = [
    (0.0, 8.0, 7.7),
    (1.0, 12.8, 12.3),
    (3.0, 18.8, 18.3),
    (6.0, 31.9, 31.7),
    (11.0, 57.6, 55.9),
    (16.0, 77.3, 65.9),
    (21.0, 84.9, 71.9),
    (30.0, 87.0, 74.8),
    (40.0, 90.5, 77.1),
    (50.0, 89.5, 77.5),
    (60.0, 89.5, 76.8),
    (70.0, 83.9, 70.8),
    (80.0, 76.1, 64.1),
];

/// Mean mass of people of this sex and age, kg, where nobody was weighed (from memory).
///
/// ```
/// use engine::device::person::{Sex, mean_mass_kg};
/// assert!((mean_mass_kg(Sex::Female, 35.0) - 74.8).abs() < 1e-12);
/// ```
pub fn mean_mass_kg(sex: Sex, age_years: f64) -> f64 {
    let row = MEAN_MASS_KG.iter().rev().find(|row| age_years >= row.0).unwrap_or(&MEAN_MASS_KG[0]);
    match sex {
        Sex::Male => row.1,
        Sex::Female => row.2,
    }
}

/// Basal metabolic rate, W.
pub fn basal_w(sex: Sex, age_years: f64, mass_kg: f64) -> f64 {
    let table = match sex {
        Sex::Male => &MALE,
        Sex::Female => &FEMALE,
    };
    let row = table.iter().rev().find(|row| age_years >= row.0).unwrap_or(&table[0]);
    (row.1 * mass_kg + row.2).max(0.0) * 1e6 / 86_400.0
}

/// CO2 given off, m3/s at the temperature and pressure of the room.
pub fn co2_m3_s(basal_w: f64, met: f64, temp_k: f64, pressure_pa: f64) -> f64 {
    let basal_mj_day = basal_w * 86_400.0 / 1e6;
    1e-3 * RESPIRATORY_QUOTIENT * basal_mj_day * met * temp_k / (pressure_pa / 1000.0) * 0.000_211
}

/// Water given off, kg/s.
pub fn water_kg_s(met: f64) -> f64 {
    WATER_KG_S * met / WATER_AT_MET
}

/// Sensible heat given off, W: all metabolic heat less that of the water.
pub fn sensible_w(basal_w: f64, met: f64) -> f64 {
    (basal_w * met - water_kg_s(met) * air::EVAPORATION_20C_J_KG).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn published_rows() {
        // G-0: 8.2447, 6.0812 and 5.1405 MJ/day.
        for (sex, age, mass, mj) in [
            (Sex::Male, 25.0, 84.9, 8.2447),
            (Sex::Female, 35.0, 74.8, 6.0812),
            (Sex::Male, 8.0, 31.9, 5.1405),
        ] {
            assert!((basal_w(sex, age, mass) * 86_400.0 / 1e6 - mj).abs() < 1e-4);
        }
        // G-1: 1.2 met, 273 K, 101 kPa: 0.004796 L/s.
        let g = co2_m3_s(basal_w(Sex::Male, 25.0, 84.9), 1.2, 273.0, 101_000.0);
        assert!((g * 1e3 - 0.004_796).abs() < 1e-6, "{g}");
        // 6.5 MJ/day asleep at 293.15 K, 101.3 kPa: 11.54 L/h.
        let asleep = co2_m3_s(6.5e6 / 86_400.0, ASLEEP_MET, 293.15, 101_300.0);
        assert!((asleep * 3.6e6 - 11.54).abs() < 0.005);
        // Four people: 5 L a day.
        assert!((4.0 * water_kg_s(1.2) * 86_400.0 - 5.0).abs() < 0.01);
    }
}
