//! Fans and infiltration together.

use serde::Serialize;

/// How infiltration adds to a fan that blows one way.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Combination {
    /// In quadrature (Handbook - Fundamentals 2021 ch. 16 eq. 51).
    #[default]
    Quadrature,
    /// Half of the fan's flow adds, until it exceeds twice the infiltration (the same text gives it as
    /// typical of small fans, none to all being possible).
    HalfFan,
    /// `Q_fan + Q_inf2/(Q_fan + Q_inf)`, the form behind the later editions of ASHRAE 62.2 (from memory).
    SubAdditive,
}

/// The words used in documents.
pub const COMBINATIONS: &[(&str, Combination)] = &[
    ("quadrature", Combination::Quadrature),
    ("half fan", Combination::HalfFan),
    ("sub-additive", Combination::SubAdditive),
];

/// Outdoor air of a balanced flow, an unbalanced one and infiltration, m3/s.
///
/// ```
/// use engine::procedure::ventilation::{Combination, combined_m3_s};
/// let cfm = combined_m3_s(Combination::Quadrature, 0.0, 47.63, 61.75);
/// assert!((cfm - 77.985).abs() < 1e-3);
/// ```
pub fn combined_m3_s(how: Combination, balanced: f64, unbalanced: f64, infiltration: f64) -> f64 {
    let (u, q) = (unbalanced.abs(), infiltration);
    balanced
        + match how {
            Combination::Quadrature => (u * u + q * q).sqrt(),
            Combination::HalfFan if u < 2.0 * q => q + u / 2.0,
            Combination::HalfFan => u,
            Combination::SubAdditive if u + q > 0.0 => u + q * q / (u + q),
            Combination::SubAdditive => 0.0,
        }
}
