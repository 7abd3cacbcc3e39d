//! Friction of ducts: what a straight run takes from the pressure, and ducts equal in flow and loss.
//!
//! `dp = f (L/D) rho V^2 / 2` with Colebrook's friction factor, solved exactly: explicit forms in use
//! are up to 15 % off at the roughness of flexible ducts. Roughness categories: ASHRAE Fundamentals
//! ch. 21 (smooth 0.46 um, medium smooth 46 um, average 90 um, medium rough 0.9 mm, rough 3 mm).
//! Not covered: fittings, whose published losses differ by 30 % among sources.

use crate::math;

/// Reynolds number below which flow is taken as laminar.
pub const LAMINAR: f64 = 2040.0;
const STEPS: usize = 30;

/// Darcy friction factor from the Reynolds number and roughness over diameter.
///
/// Colebrook: `1/sqrt(f) = -2 log10(e/3.7 + 2.51/(Re sqrt(f)))`; laminar `64/Re`.
///
/// ```
/// use engine::device::duct::friction_factor;
/// assert!((friction_factor(28_178.75, 0.09e-3 / 0.15) - 0.025331).abs() < 1e-6);
/// ```
pub fn friction_factor(reynolds: f64, relative_roughness: f64) -> f64 {
    if reynolds < LAMINAR {
        return 64.0 / reynolds;
    }
    // Newton in x = 1/sqrt(f), from a rough start; the function is nearly straight.
    let (a, b) = (relative_roughness / 3.7, 2.51 / reynolds);
    let mut x = 7.0;
    for _ in 0..STEPS {
        let inner = a + b * x;
        let value = x + 2.0 * math::log10(inner);
        let slope = 1.0 + 2.0 * b / (inner * std::f64::consts::LN_10);
        let step = value / slope;
        x -= step;
        if step.abs() < 1e-14 * x {
            break;
        }
    }
    1.0 / (x * x)
}

/// Friction of a round duct, Pa/m.
///
/// ```
/// use engine::device::duct::friction_pa_m;
/// assert!((friction_pa_m(0.15, 0.05, 0.09e-3, 1.204, 1.8134e-5) - 0.8139).abs() < 1e-4);
/// ```
pub fn friction_pa_m(
    diameter_m: f64,
    flow_m3_s: f64,
    roughness_m: f64,
    density_kg_m3: f64,
    viscosity_pa_s: f64,
) -> f64 {
    let speed_m_s = flow_m3_s / (std::f64::consts::FRAC_PI_4 * diameter_m * diameter_m);
    let reynolds = density_kg_m3 * speed_m_s * diameter_m / viscosity_pa_s;
    let f = friction_factor(reynolds, roughness_m / diameter_m);
    f / diameter_m * 0.5 * density_kg_m3 * speed_m_s * speed_m_s
}

/// Diameter of the round duct with the same flow and friction as a rectangular one, in the unit of
/// the sides: `1.30 (ab)^0.625 / (a+b)^0.25` (ASHRAE; not the hydraulic diameter).
///
/// ```
/// assert!((engine::device::duct::equal_friction_rectangle(16.0, 8.0) - 12.187).abs() < 1e-3);
/// ```
pub fn equal_friction_rectangle(a: f64, b: f64) -> f64 {
    1.30 * math::pow(a * b, 0.625) / math::pow(a + b, 0.25)
}

/// The same of a flat oval, from its long and short axis: `1.55 A^0.625 / P^0.25` (ASHRAE).
///
/// ```
/// assert!((engine::device::duct::equal_friction_oval(300.0, 150.0) - 221.811).abs() < 0.01);
/// ```
pub fn equal_friction_oval(long: f64, short: f64) -> f64 {
    let area = std::f64::consts::FRAC_PI_4 * short * short + short * (long - short);
    let perimeter = std::f64::consts::PI * short + 2.0 * (long - short);
    1.55 * math::pow(area, 0.625) / math::pow(perimeter, 0.25)
}

/// How much more pressure a flexible duct takes that is compressed by the share `compression` of its
/// stretched length: `1 + 58 exp(-0.126 D/in) compression` (Abushakra, Walker and Sherman 2004,
/// coefficients from memory; tested from 6 to 10 in).
///
/// ```
/// assert!((engine::device::duct::compression_factor(6.0 * 0.0254, 0.3) - 9.17).abs() < 0.01);
/// ```
pub fn compression_factor(diameter_m: f64, compression: f64) -> f64 {
    1.0 + 58.0 * math::exp(-0.126 * diameter_m / 0.0254) * compression
}

/// Loss coefficient of a round thin butterfly damper by the angle of its blade from fully open, rad:
/// 0.20, 0.52, 1.5, 4.5, 11, 29, 108 at 0 to 60 degrees in steps of ten, straight in its logarithm between and on to
/// the next steps (published fitting tables of the field, from memory; single fittings differ by 30 % among sources).
///
/// ```
/// use engine::device::duct::butterfly_loss;
/// assert!((butterfly_loss(30_f64.to_radians()) - 4.5).abs() < 1e-9);
/// assert!(butterfly_loss(85_f64.to_radians()) > 500.0);
/// ```
pub fn butterfly_loss(angle_rad: f64) -> f64 {
    const LOSS: [f64; 7] = [0.20, 0.52, 1.5, 4.5, 11.0, 29.0, 108.0];
    let tens = (angle_rad.to_degrees() / 10.0).clamp(0.0, 9.0);
    let below = if tens >= 5.0 { 5 } else { tens as usize };
    let (a, b) = (math::ln(LOSS[below]), math::ln(LOSS[below + 1]));
    math::exp(a + (b - a) * (tens - below as f64))
}
