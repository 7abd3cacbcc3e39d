//! Traverses: where to read in a duct, and the mean speed of the air from what was read.
//!
//! Positions: log-linear (round) and log-Tchebycheff (rectangular) as in ISO 3966 and ASHRAE 111 (from
//! memory; symmetric, and right to 0.5 % on a 1/7-power profile, which a test works out), and the
//! middles of equal areas. Speeds are averaged, never pressures: `V = sqrt(2 P_v / rho)`.

use serde::Serialize;

const ROUND_6: &[f64] = &[0.032, 0.135, 0.321, 0.679, 0.865, 0.968];
const ROUND_8: &[f64] = &[0.021, 0.117, 0.184, 0.345, 0.655, 0.816, 0.883, 0.979];
const ROUND_10: &[f64] = &[0.019, 0.077, 0.153, 0.217, 0.361, 0.639, 0.783, 0.847, 0.923, 0.981];
const SIDE_5: &[f64] = &[0.074, 0.288, 0.5, 0.712, 0.926];
const SIDE_6: &[f64] = &[0.061, 0.235, 0.437, 0.563, 0.765, 0.939];
const SIDE_7: &[f64] = &[0.053, 0.203, 0.366, 0.5, 0.634, 0.797, 0.947];

/// Share of the readings whose velocity pressure has to exceed a tenth of the largest (AMCA and ASHRAE
/// 111, from memory).
pub const QUALITY_SHARE: f64 = 0.75;
/// Straight duct wanted before and after the plane, in diameters (a public page, secondary).
pub const STRAIGHT: (f64, f64) = (7.5, 3.0);
/// Half width for profile and placement, as a share of the flow: whole traverses are given 5 to 7 % (a
/// public page, secondary).
pub const PLACEMENT: f64 = 0.05;
/// Speed below which a pitot tube is poor, m/s (400 ft/min; the same page).
pub const PITOT_LEAST_M_S: f64 = 2.0;

/// The shape of the duct at the plane.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Section {
    /// Round.
    Round {
        /// Inner diameter, m.
        diameter_m: f64,
    },
    /// Rectangular.
    Rectangular {
        /// Inner width, m.
        width_m: f64,
        /// Inner height, m.
        height_m: f64,
    },
}

impl Section {
    /// Area, m2.
    pub fn area_m2(&self) -> f64 {
        match *self {
            Section::Round { diameter_m } => std::f64::consts::FRAC_PI_4 * diameter_m * diameter_m,
            Section::Rectangular { width_m, height_m } => width_m * height_m,
        }
    }

    /// Hydraulic diameter, m.
    pub fn diameter_m(&self) -> f64 {
        match *self {
            Section::Round { diameter_m } => diameter_m,
            Section::Rectangular { width_m, height_m } => 2.0 * width_m * height_m / (width_m + height_m),
        }
    }
}

/// Which positions.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Rule {
    /// Log-linear on diameters, log-Tchebycheff on sides.
    Logarithmic,
    /// Middles of equal areas.
    EqualArea,
}

/// Positions along one line, as fractions of diameter or side from one wall; nothing where the rule
/// has no line of so many points.
///
/// ```
/// use engine::procedure::handler::traverse::{Rule, Section, positions};
/// let round = Section::Round { diameter_m: 0.15 };
/// let depths_mm: Vec<f64> =
///     positions(&round, Rule::Logarithmic, 6).unwrap().iter().map(|x| x * 150.0).collect();
/// assert!((depths_mm[1] - 20.25).abs() < 1e-9);
/// assert!(positions(&round, Rule::Logarithmic, 7).is_none());
/// ```
pub fn positions(section: &Section, rule: Rule, points: usize) -> Option<Vec<f64>> {
    match (rule, section, points) {
        (Rule::Logarithmic, Section::Round { .. }, 6) => Some(ROUND_6.to_vec()),
        (Rule::Logarithmic, Section::Round { .. }, 8) => Some(ROUND_8.to_vec()),
        (Rule::Logarithmic, Section::Round { .. }, 10) => Some(ROUND_10.to_vec()),
        (Rule::Logarithmic, Section::Rectangular { .. }, 5) => Some(SIDE_5.to_vec()),
        (Rule::Logarithmic, Section::Rectangular { .. }, 6) => Some(SIDE_6.to_vec()),
        (Rule::Logarithmic, Section::Rectangular { .. }, 7) => Some(SIDE_7.to_vec()),
        (Rule::EqualArea, Section::Round { .. }, n) if n >= 2 && n % 2 == 0 => Some(equal_rings(n)),
        (Rule::EqualArea, Section::Rectangular { .. }, n) if n >= 2 => {
            Some((0..n).map(|i| (i as f64 + 0.5) / n as f64).collect())
        }
        _ => None,
    }
}

/// `1/2 - 1/2 sqrt((2i-1)/(2m))` for the `m` rings, and their mirror images.
fn equal_rings(n: usize) -> Vec<f64> {
    let m = n / 2;
    let near = |i: usize| 0.5 - 0.5 * ((2 * i + 1) as f64 / (2 * m) as f64).sqrt();
    (0..m).rev().map(near).chain((0..m).map(|i| 1.0 - near(i))).collect()
}

/// Points a side takes under the logarithmic rule: 5 below 30 in, 6 to 36 in, 7 above (from memory);
/// a diameter takes 6 (10 in and less) or 10 (own choice).
pub fn points_for(section: &Section, side_m: f64) -> usize {
    const INCH_M: f64 = 0.0254;
    match section {
        Section::Round { diameter_m } if *diameter_m <= 10.0 * INCH_M => 6,
        Section::Round { .. } => 10,
        Section::Rectangular { .. } if side_m < 30.0 * INCH_M => 5,
        Section::Rectangular { .. } if side_m <= 36.0 * INCH_M => 6,
        Section::Rectangular { .. } => 7,
    }
}

/// Speed from velocity pressure, m/s; a reading below zero, as in eddies, counts as no flow.
///
/// ```
/// use engine::procedure::handler::traverse::speed_m_s;
/// assert!((speed_m_s(15.05125, 1.2041) - 5.0).abs() < 1e-9);
/// ```
pub fn speed_m_s(velocity_pa: f64, density_kg_m3: f64) -> f64 {
    (2.0 * velocity_pa.max(0.0) / density_kg_m3).sqrt()
}

/// What the readings of a traverse are.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Shows {
    /// Velocity pressures, Pa.
    VelocityPressure,
    /// Actual speeds, m/s.
    Speed,
    /// Speeds of standard air as a thermal sensor shows: mass flow over this density, kg/m3.
    StandardSpeed(f64),
}

/// What a traverse says.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Traversed {
    /// Mean speed, m/s.
    pub mean_m_s: f64,
    /// Part of the readings whose velocity pressure exceeds a tenth of the largest.
    pub good_share: f64,
    /// Readings.
    pub readings: usize,
    /// Readings below zero, taken as no flow.
    pub below_zero: usize,
    /// Positions along a line, m from one wall (rectangular: of the lines' own side).
    pub depths_m: Vec<f64>,
}

/// The mean of the speeds of all lines, and how good the plane is.
///
/// ```
/// use engine::procedure::handler::traverse::{Shows, mean_speed};
/// let all = mean_speed(&[vec![10.0, 20.0], vec![30.0, 40.0]], Shows::VelocityPressure, 1.2);
/// assert!((all.mean_m_s - 6.273).abs() < 1e-3); // the root of the mean pressure would be 6.455
/// ```
pub fn mean_speed(lines: &[Vec<f64>], shows: Shows, density_kg_m3: f64) -> Traversed {
    let readings: Vec<f64> = lines.iter().flatten().copied().collect();
    let speed = |r: f64| match shows {
        Shows::VelocityPressure => speed_m_s(r, density_kg_m3),
        Shows::Speed => r.max(0.0),
        Shows::StandardSpeed(standard) => r.max(0.0) * standard / density_kg_m3,
    };
    let speeds: Vec<f64> = readings.iter().map(|r| speed(*r)).collect();
    let count = speeds.len() as f64;
    let largest = speeds.iter().copied().fold(0.0, f64::max);
    // A tenth of the velocity pressure is a tenth of the square.
    let good = speeds.iter().filter(|v| *v * *v > 0.1 * largest * largest).count() as f64;
    Traversed {
        mean_m_s: speeds.iter().sum::<f64>() / count,
        good_share: good / count,
        readings: readings.len(),
        below_zero: readings.iter().filter(|r| **r < 0.0).count(),
        depths_m: Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math;

    const ROUND: Section = Section::Round { diameter_m: 1.0 };
    const SQUARE: Section = Section::Rectangular { width_m: 1.0, height_m: 1.0 };

    /// The table's integration errors on the 1/7-power profile: round -0.27/-0.09/-0.11 %, equal-area
    /// round +0.92/+0.68/+0.54 %, sides (product profile) -0.20/-0.45/-0.08 %.
    #[test]
    fn positions_integrate_a_turbulent_profile() {
        let wall = |y: f64| math::pow(2.0 * y.min(1.0 - y), 1.0 / 7.0);
        let mean = |x: &[f64]| x.iter().map(|y| wall(*y)).sum::<f64>() / x.len() as f64;
        let round = |rule, n| mean(&positions(&ROUND, rule, n).unwrap()) / (49.0 / 60.0) - 1.0;
        for (n, log, equal) in [(6, -0.0027, 0.0092), (8, -0.0009, 0.0068), (10, -0.0011, 0.0054)] {
            assert!((round(Rule::Logarithmic, n) - log).abs() < 6e-5, "{n}");
            assert!((round(Rule::EqualArea, n) - equal).abs() < 6e-5, "{n}");
        }
        for (n, error) in [(5, -0.0020), (6, -0.0045), (7, -0.0008)] {
            let side = mean(&positions(&SQUARE, Rule::Logarithmic, n).unwrap()) / (7.0 / 8.0);
            assert!((side * side - 1.0 - error).abs() < 6e-5, "{n}");
        }
    }

    #[test]
    fn positions_are_symmetric_and_rise() {
        for (section, rule, n) in [
            (ROUND, Rule::Logarithmic, 6),
            (ROUND, Rule::Logarithmic, 8),
            (ROUND, Rule::Logarithmic, 10),
            (ROUND, Rule::EqualArea, 12),
            (SQUARE, Rule::Logarithmic, 5),
            (SQUARE, Rule::Logarithmic, 6),
            (SQUARE, Rule::Logarithmic, 7),
            (SQUARE, Rule::EqualArea, 4),
        ] {
            let x = positions(&section, rule, n).unwrap();
            assert_eq!(x.len(), n);
            assert!(x.windows(2).all(|w| w[0] < w[1]));
            assert!(x.iter().zip(x.iter().rev()).all(|(a, b)| (a + b - 1.0).abs() < 1e-12), "{x:?}");
        }
    }

    #[test]
    fn eddies_count_as_no_flow() {
        let all = mean_speed(&[vec![-3.0, 20.0, 20.0, 1.0]], Shows::VelocityPressure, 1.2);
        assert_eq!((all.below_zero, all.readings), (1, 4));
        assert!((all.good_share - 0.5).abs() < 1e-12);
    }
}
