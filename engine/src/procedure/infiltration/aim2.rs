//! The AIM-2 model (Walker and Wilson 1990, 1998) of a house without a flue; formulas from memory.
//!
//! They give the handbook's enhanced table back within 2 % for one storey and leakage half in the
//! walls. The terms for a flue do not, and are left out.

use super::handbook::{Driven, Foundation};
use crate::math;

/// Where the leakage sits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Aim2 {
    /// Flow exponent.
    pub n: f64,
    /// (ceiling + floor) / total.
    pub r: f64,
    /// (ceiling - floor) / total.
    pub x: f64,
    /// Height of the upper ceiling above ground, m.
    pub height_m: f64,
    /// What it stands on.
    pub foundation: Foundation,
}

const GRAVITY_M_S2: f64 = 9.8;

impl Aim2 {
    /// Stack factor `(1 + n R)/(n + 1) (1/2 - 1/2 M^(5/4))^(n+1)`, `M = X2/(2 - R)`.
    pub fn stack_factor(&self) -> f64 {
        let m = (self.x * self.x / (2.0 - self.r)).min(1.0);
        (1.0 + self.n * self.r) / (self.n + 1.0) * math::pow(0.5 - 0.5 * math::pow(m, 1.25), self.n + 1.0)
    }

    /// Wind factor: `0.19 (2 - n) (1 - ((X + R)/2)^1.5)` over a slab or a basement; over a crawl
    /// space the product of its terms in X and R.
    pub fn wind_factor(&self) -> f64 {
        let base = 0.19 * (2.0 - self.n);
        match self.foundation {
            Foundation::SlabOrBasement => base * (1.0 - math::pow((self.x + self.r).max(0.0) / 2.0, 1.5)),
            Foundation::CrawlSpace => {
                let r_part = 1.0 - self.r * (self.n / 2.0 + 0.2);
                let shifted = (self.x - (1.0 - self.r) / 5.0) / (2.0 - self.r);
                base * r_part * (1.0 - math::pow(shifted * shifted, 0.75))
            }
        }
    }

    /// Stack coefficient, (Pa/K)^n: `f_s (rho g H / T)^n`.
    pub fn stack_coefficient(&self, density_kg_m3: f64, temp_k: f64) -> f64 {
        self.stack_factor() * math::pow(density_kg_m3 * GRAVITY_M_S2 * self.height_m / temp_k, self.n)
    }

    /// Wind coefficient, (Pa s2/m2)^n: `f_w (rho/2)^n`.
    pub fn wind_coefficient(&self, density_kg_m3: f64) -> f64 {
        self.wind_factor() * math::pow(density_kg_m3 / 2.0, self.n)
    }

    /// Flows of the stack and of the wind; `c` in m3/(s Pa^n), the wind at the eaves with shelter.
    ///
    /// ```
    /// use engine::procedure::infiltration::{Aim2, Foundation};
    /// let house =
    ///     Aim2 { n: 0.67, r: 0.5, x: 0.0, height_m: 2.5, foundation: Foundation::SlabOrBasement };
    /// // The handbook's enhanced table has 0.054 and 0.156 for such a house.
    /// assert!((house.stack_coefficient(1.2, 293.0) - 0.0538).abs() < 1e-4);
    /// assert!((house.wind_coefficient(1.2) - 0.157).abs() < 1e-3);
    /// ```
    pub fn flows(&self, c: f64, dt_k: f64, indoor_k: f64, density_kg_m3: f64, wind_m_s: f64) -> Driven {
        Driven {
            stack_m3_s: c * self.stack_coefficient(density_kg_m3, indoor_k) * math::pow(dt_k.abs(), self.n),
            wind_m3_s: c * self.wind_coefficient(density_kg_m3) * math::pow(wind_m_s.abs(), 2.0 * self.n),
        }
    }
}

/// Two flows put together as the model does it: `(a^(1/n) + b^(1/n) - 0.33 (a b)^(1/(2n)))^n`
/// (from memory; the handbook adds in quadrature, [`Driven::together_m3_s`]).
pub fn superposed_m3_s(flows: Driven, n: f64) -> f64 {
    let (a, b) = (math::pow(flows.stack_m3_s, 1.0 / n), math::pow(flows.wind_m3_s, 1.0 / n));
    math::pow(a + b - 0.33 * (a * b).sqrt(), n)
}
