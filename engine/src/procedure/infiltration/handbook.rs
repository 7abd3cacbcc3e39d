//! The two simple models of ASHRAE Handbook - Fundamentals 2021 (SI), chapter 16, as printed: the
//! basic one (eq. 48 there, tables 4 to 6) and the enhanced one (tables 7 to 9).
//!
//! The basic table stands for rural terrain with scattered obstacles and leakage half in the walls;
//! the enhanced one for 2.5 m a storey, an exponent of 0.67 and, with a flue, one of 15 cm that ends
//! 2 m above the upper ceiling, unsheltered. Neither says anything of hours without wind and stack.

use crate::math;

/// Storeys above ground, as the tables count them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Storeys {
    /// One.
    One,
    /// Two.
    Two,
    /// Three.
    Three,
}

/// The words used in documents.
pub const STOREYS: &[(&str, Storeys)] = &[("1", Storeys::One), ("2", Storeys::Two), ("3", Storeys::Three)];

/// How the surroundings shelter the house.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shelter {
    /// Class 1: no obstructions.
    Unsheltered,
    /// Class 2: an isolated house in open country.
    Light,
    /// Class 3: other buildings across the street.
    Moderate,
    /// Class 4: buildings around, further away than the house is high.
    Heavy,
    /// Class 5: buildings or trees closer than the house is high.
    Dense,
}

/// The words used in documents.
pub const SHELTERS: &[(&str, Shelter)] = &[
    ("none", Shelter::Unsheltered),
    ("light", Shelter::Light),
    ("moderate", Shelter::Moderate),
    ("heavy", Shelter::Heavy),
    ("dense", Shelter::Dense),
];

/// What the house stands on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Foundation {
    /// A slab or a basement.
    SlabOrBasement,
    /// A vented crawl space.
    CrawlSpace,
}

/// The words used in documents.
pub const FOUNDATIONS: &[(&str, Foundation)] = &[
    ("slab", Foundation::SlabOrBasement),
    ("basement", Foundation::SlabOrBasement),
    ("crawl space", Foundation::CrawlSpace),
];

/// Air drawn in by the stack and by the wind apart, m3/s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Driven {
    /// By the difference of temperatures.
    pub stack_m3_s: f64,
    /// By the wind.
    pub wind_m3_s: f64,
}

impl Driven {
    /// Both together, added in quadrature (eq. 47 there), m3/s.
    pub fn together_m3_s(self) -> f64 {
        (self.stack_m3_s * self.stack_m3_s + self.wind_m3_s * self.wind_m3_s).sqrt()
    }
}

/// Coefficients of the basic model for a height and a shelter: stack, (L/s)2/(cm4 K), and wind,
/// (L/s)2/(cm4 (m/s)2).
pub fn basic_coefficients(storeys: Storeys, shelter: Shelter) -> (f64, f64) {
    let stack = [0.000145, 0.000290, 0.000435];
    let wind = match shelter {
        Shelter::Unsheltered => [0.000319, 0.000420, 0.000494],
        Shelter::Light => [0.000246, 0.000325, 0.000382],
        Shelter::Moderate => [0.000174, 0.000231, 0.000271],
        Shelter::Heavy => [0.000104, 0.000137, 0.000161],
        Shelter::Dense => [0.000032, 0.000042, 0.000049],
    };
    (stack[storeys as usize], wind[storeys as usize])
}

/// The basic model: `A_L sqrt(C_s dT + C_w U2)` with the effective leakage area at 4 Pa and the
/// mean wind of the weather station.
///
/// ```
/// use engine::procedure::infiltration::{Shelter, Storeys, basic};
/// // Handbook example: 500 cm2, two storeys, moderate shelter, 39 K, 6.7 m/s: 0.0736 m3/s.
/// let flow = basic(0.05, Storeys::Two, Shelter::Moderate, 39.0, 6.7).together_m3_s();
/// assert!((flow - 0.07362).abs() < 1e-5);
/// ```
pub fn basic(ela_m2: f64, storeys: Storeys, shelter: Shelter, dt_k: f64, wind_m_s: f64) -> Driven {
    let (stack, wind) = basic_coefficients(storeys, shelter);
    let area_cm2 = ela_m2 * 1e4;
    Driven {
        stack_m3_s: 1e-3 * area_cm2 * (stack * dt_k.abs()).sqrt(),
        wind_m3_s: 1e-3 * area_cm2 * wind.sqrt() * wind_m_s.abs(),
    }
}

/// What the enhanced model needs to know of a house.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Enhanced {
    /// Storeys above ground.
    pub storeys: Storeys,
    /// Shelter.
    pub shelter: Shelter,
    /// What it stands on.
    pub foundation: Foundation,
    /// Whether a flue is open to the rooms.
    pub flue: bool,
}

/// Coefficients of the enhanced model.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct EnhancedCoefficients {
    /// Stack, (Pa/K)^n.
    pub stack: f64,
    /// Wind, (Pa s2/m2)^n.
    pub wind: f64,
    /// Shelter factor on the wind.
    pub shelter: f64,
    /// Wind at the eaves over wind at the station.
    pub wind_ratio: f64,
}

impl Enhanced {
    /// Coefficients out of tables 7 to 9.
    pub fn coefficients(&self) -> EnhancedCoefficients {
        use Foundation as F;
        let at = self.storeys as usize;
        let stack = if self.flue { [0.069, 0.089, 0.107] } else { [0.054, 0.078, 0.098] };
        let wind = match (self.foundation, self.flue) {
            (F::SlabOrBasement, false) => [0.156, 0.170, 0.170],
            (F::SlabOrBasement, true) => [0.142, 0.156, 0.167],
            (F::CrawlSpace, false) => [0.128, 0.142, 0.151],
            (F::CrawlSpace, true) => [0.128, 0.142, 0.154],
        };
        let shelter = match (self.flue, self.storeys) {
            (false, _) => [1.00, 0.90, 0.70, 0.50, 0.30],
            (true, Storeys::One) => [1.10, 1.02, 0.86, 0.70, 0.54],
            (true, Storeys::Two) => [1.07, 0.98, 0.81, 0.64, 0.47],
            (true, Storeys::Three) => [1.06, 0.97, 0.79, 0.61, 0.43],
        };
        EnhancedCoefficients {
            stack: stack[at],
            wind: wind[at],
            shelter: shelter[self.shelter as usize],
            wind_ratio: [0.48, 0.59, 0.67][at],
        }
    }
}

impl EnhancedCoefficients {
    /// `c C_s dT^n` and `c C_w (s G U)^(2 n)`, with the flow coefficient `c` in m3/(s Pa^n).
    ///
    /// ```
    /// use engine::procedure::infiltration::EnhancedCoefficients;
    /// // Handbook example 5: 0.0528 and 0.0276 m3/s.
    /// let house = EnhancedCoefficients { stack: 0.089, wind: 0.156, shelter: 0.64, wind_ratio: 0.59 };
    /// let driven = house.flows(0.051, 0.67, 39.0, 6.7);
    /// assert!((driven.stack_m3_s - 0.052841).abs() < 1e-6);
    /// assert!((driven.wind_m3_s - 0.027597).abs() < 1e-6);
    /// ```
    pub fn flows(&self, c: f64, n: f64, dt_k: f64, wind_m_s: f64) -> Driven {
        let at_house = self.shelter * self.wind_ratio * wind_m_s.abs();
        Driven {
            stack_m3_s: c * self.stack * math::pow(dt_k.abs(), n),
            wind_m3_s: c * self.wind * math::pow(at_house, 2.0 * n),
        }
    }
}
