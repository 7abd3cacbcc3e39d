//! An outdoor-air intake duct as the fan starts: how its warm wall lends its warmth to the air.
//!
//! The wall stores heat, the air does not (it passes in seconds): `dT_a/dx = NTU (T_w - T_a)/L` and
//! `tau dT_w/dt = (T_a - T_w) + (T_around - T_w)/(h R)`, a single-blow (Schumann) problem with a
//! leaky wall. `theta = (T - T_outdoors)/(T_around - T_outdoors)` at the outlet starts at
//! `1 - e^(-NTU)` and ends at a share that never goes. Film coefficient by Dittus and Boelter.

use crate::math;

/// Properties of cold air: density kg/m3, conductivity W/(m K), viscosity Pa s, specific heat J/(kg K).
const AIR: (f64, f64, f64, f64) = (1.29, 0.0245, 1.73e-5, 1006.0);

/// A round intake duct.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct IntakeDuct {
    /// Inner diameter, m.
    pub diameter_m: f64,
    /// Length from outdoors to the probe, m.
    pub length_m: f64,
    /// Flow, m3/s.
    pub flow_m3_s: f64,
    /// Mass of the wall, kg per m of duct.
    pub wall_kg_m: f64,
    /// Specific heat of the wall, J/(kg K).
    pub wall_j_kg_k: f64,
    /// Thermal resistance from the wall to the air around, m2 K/W.
    pub outer_m2_k_w: f64,
    /// Temperature around it, K.
    pub around_k: f64,
}

/// The numbers that decide how it responds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Response {
    /// Transfer units between air and wall.
    pub ntu: f64,
    /// Time constant of the wall, s.
    pub tau_s: f64,
    /// Outer conductance over the inner one.
    pub outer_ratio: f64,
}

impl IntakeDuct {
    /// Film coefficient, wall and outer side put together.
    pub fn response(&self) -> Response {
        let (density, conductivity, viscosity, heat) = AIR;
        let d = self.diameter_m;
        let speed = self.flow_m3_s / (std::f64::consts::PI * d * d / 4.0);
        let reynolds = density * speed * d / viscosity;
        let prandtl = heat * viscosity / conductivity;
        let film = 0.023 * math::pow(reynolds, 0.8) * math::pow(prandtl, 0.4) * conductivity / d;
        let round_m = std::f64::consts::PI * d;
        Response {
            ntu: film * round_m * self.length_m / (density * self.flow_m3_s * heat),
            tau_s: self.wall_kg_m * self.wall_j_kg_k / (film * round_m),
            outer_ratio: 1.0 / (film * self.outer_m2_k_w),
        }
    }
}

impl Response {
    /// Share of the difference to the air around that never goes: `1 - e^(-NTU_o)` with both
    /// resistances in a row.
    pub fn standing_share(&self) -> f64 {
        1.0 - math::exp(-self.ntu * self.outer_ratio / (1.0 + self.outer_ratio))
    }

    /// `theta` at the outlet at these times, s, rising.
    ///
    /// Cells along the duct, each with the exact exchange of its air; the wall of a cell relaxes
    /// exactly over a step towards what its air and the outside ask for. A step is a hundredth of the
    /// wall's time constant.
    pub fn outlet(&self, times_s: &[f64]) -> Vec<f64> {
        const CELLS: usize = 60;
        let keep = math::exp(-self.ntu / CELLS as f64);
        let mut wall = [1.0_f64; CELLS];
        let air = |wall: &[f64; CELLS]| {
            let mut theta = 0.0;
            let mut middle = [0.0; CELLS];
            for (w, m) in wall.iter().zip(&mut middle) {
                let next = w + (theta - w) * keep;
                *m = (theta + next) / 2.0;
                theta = next;
            }
            (middle, theta)
        };
        let mut now = 0.0;
        let mut out = Vec::with_capacity(times_s.len());
        for at in times_s {
            while now < *at {
                let step = (self.tau_s / 100.0).min(at - now);
                let relax = math::exp(-step * (1.0 + self.outer_ratio) / self.tau_s);
                let (middle, _) = air(&wall);
                for (w, a) in wall.iter_mut().zip(middle) {
                    let rest = (a + self.outer_ratio) / (1.0 + self.outer_ratio);
                    *w = rest + (*w - rest) * relax;
                }
                now += step;
            }
            out.push(air(&wall).1);
        }
        out
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// It starts at `1 - e^(-NTU)` and ends at the standing share.
    #[test]
    fn start_and_end() {
        let r = Response { ntu: 0.5686, tau_s: 144.4, outer_ratio: 0.1095 };
        let theta = r.outlet(&[0.0, 60.0, 6000.0]);
        assert!((theta[0] - (1.0 - math::exp(-0.5686))).abs() < 1e-9);
        assert!(theta[1] < theta[0] && (theta[2] - r.standing_share()).abs() < 1e-4, "{theta:?}");
    }
}
