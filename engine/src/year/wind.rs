//! Wind at the house and its pressure on the faces.
//!
//! Speed at height by the power law of terrain (ASHRAE Handbook of Fundamentals, chapter 24;
//! exponents and layer depths of Indoor Air 2023, 5433093, table 2); mean pressure coefficient of a
//! low-rise wall by Swami and Chandra (1987, coefficients from memory; the sign of the term with
//! the cube of the sine is not confirmed, it tells the two side walls of a long house apart).

use crate::math;
use std::f64::consts::PI;

/// Boundary layer of a terrain.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Terrain {
    /// Exponent of the power law.
    pub exponent: f64,
    /// Depth of the layer, m.
    pub depth_m: f64,
}

impl Terrain {
    /// Large city.
    pub const CITY: Terrain = Terrain { exponent: 0.33, depth_m: 460.0 };
    /// Suburb, town, woods.
    pub const SUBURB: Terrain = Terrain { exponent: 0.22, depth_m: 370.0 };
    /// Open, obstructions below 9 m: the usual weather station.
    pub const OPEN: Terrain = Terrain { exponent: 0.14, depth_m: 270.0 };
    /// Flat and bare.
    pub const FLAT: Terrain = Terrain { exponent: 0.10, depth_m: 210.0 };
}

/// Where the house stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Site {
    /// Around the house.
    pub terrain: Terrain,
    /// Height at which the wind is taken, usually the eave or ridge, m.
    pub height_m: f64,
    /// Part of the speed that shelter leaves, 0 to 1.
    pub shelter: f64,
    /// Around the weather station.
    pub station: Terrain,
    /// Height of the station's mast, m.
    pub mast_m: f64,
}

impl Site {
    /// Speed at the house over speed at the station.
    pub fn speed_ratio(&self) -> f64 {
        let gradient = math::pow(self.station.depth_m / self.mast_m, self.station.exponent);
        self.shelter * gradient * math::pow(self.height_m / self.terrain.depth_m, self.terrain.exponent)
    }
}

/// How wind presses on a face.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Exposure {
    /// A wall of a low-rise house.
    Wall {
        /// Direction it faces, clockwise from north, rad.
        azimuth_rad: f64,
        /// Its width over the width of the wall beside it.
        side_ratio: f64,
    },
    /// The same coefficient whatever the direction (a flue top, a vented crawl space).
    Constant(f64),
}

/// Mean pressure coefficient of a low-rise wall; `incidence_rad` between the wind and the wall's
/// outward normal, any sign.
pub fn wall_cp(incidence_rad: f64, side_ratio: f64) -> f64 {
    let a = (incidence_rad + PI).rem_euclid(2.0 * PI) - PI;
    let a = a.abs();
    let g = math::ln(side_ratio.clamp(0.1, 10.0));
    let sin_half = math::sin(0.5 * a);
    let cos_half = math::cos(0.5 * a);
    let sin_a = math::sin(a);
    let sin_2ag = math::sin(2.0 * a * g);
    let inside = 1.248 - 0.703 * sin_half - 1.175 * sin_a * sin_a
        + 0.131 * sin_2ag * sin_2ag * sin_2ag
        + 0.769 * cos_half
        + 0.07 * g * g * sin_half * sin_half
        + 0.717 * cos_half * cos_half;
    // The bracket stays above 0.2 for side ratios from 0.1 to 10 (tested).
    0.6 * math::ln(inside.max(0.05))
}

/// Steps of a face's table over the wind's direction.
const TABLE: usize = 360;

/// Pressure coefficients of faces by wind direction, tabled by degree: the error of the linear
/// interpolation is below 1e-4.
#[derive(Clone, Debug)]
pub(super) struct CpTable {
    faces: usize,
    values: Vec<f64>,
}

impl CpTable {
    pub(super) fn new(exposures: &[Exposure]) -> CpTable {
        let values = (0..TABLE)
            .flat_map(|d| {
                let from_rad = d as f64 * 2.0 * PI / TABLE as f64;
                exposures.iter().map(move |e| match *e {
                    Exposure::Wall { azimuth_rad, side_ratio } => wall_cp(from_rad - azimuth_rad, side_ratio),
                    Exposure::Constant(cp) => cp,
                })
            })
            .collect();
        CpTable { faces: exposures.len(), values }
    }

    /// Coefficients for wind from `from_rad`, one a face.
    pub(super) fn at(&self, from_rad: f64, into: &mut [f64]) {
        let place = (from_rad * TABLE as f64 / (2.0 * PI)).rem_euclid(TABLE as f64);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 <= place <= TABLE")]
        let below = (place.floor() as usize) % TABLE;
        let above = (below + 1) % TABLE;
        let part = place - place.floor();
        for (face, cp) in into.iter_mut().enumerate() {
            let a = self.values[below * self.faces + face];
            let b = self.values[above * self.faces + face];
            *cp = a + part * (b - a);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const DEG: f64 = PI / 180.0;

    /// The reference's values for side ratio 1, and one each for 2 and 0.5.
    #[test]
    fn regression_values() {
        for (deg, cp) in [
            (0.0, 0.6035),
            (30.0, 0.4687),
            (60.0, 0.1188),
            (90.0, -0.4427),
            (120.0, -0.6805),
            (150.0, -0.3897),
            (180.0, -0.3642),
        ] {
            assert!((wall_cp(deg * DEG, 1.0) - cp).abs() < 1e-4, "{deg}");
            assert!((wall_cp(-deg * DEG, 1.0) - cp).abs() < 1e-4, "{deg}");
        }
        assert!((wall_cp(90.0 * DEG, 2.0) + 0.3398).abs() < 1e-4);
        assert!((wall_cp(90.0 * DEG, 0.5) + 0.5171).abs() < 1e-4);
        for s in 0..40 {
            let ratio = math::pow(10.0, -1.0 + f64::from(s) * 0.05);
            assert!((0..180).all(|d| wall_cp(f64::from(d) * DEG, ratio) > -1.0));
        }
    }

    /// Speed at 10 m over the station's: 0.4484, 0.7168, 1, 1.1700; at 5 m 0.6154 in a suburb.
    #[test]
    fn terrain_ratios() {
        let at = |terrain, height_m| {
            Site { terrain, height_m, shelter: 1.0, station: Terrain::OPEN, mast_m: 10.0 }.speed_ratio()
        };
        assert!((at(Terrain::CITY, 10.0) - 0.4484).abs() < 1e-4);
        assert!((at(Terrain::SUBURB, 10.0) - 0.7168).abs() < 1e-4);
        assert!((at(Terrain::OPEN, 10.0) - 1.0).abs() < 1e-12);
        assert!((at(Terrain::FLAT, 10.0) - 1.17).abs() < 1e-4);
        assert!((at(Terrain::SUBURB, 5.0) - 0.6154).abs() < 1e-4);
    }

    #[test]
    fn table_is_close_and_cyclic() {
        let table =
            CpTable::new(&[Exposure::Wall { azimuth_rad: PI, side_ratio: 1.5 }, Exposure::Constant(-0.3)]);
        let mut cp = [0.0; 2];
        for k in 0..2000 {
            let from = -4.0 + f64::from(k) * 0.004;
            table.at(from, &mut cp);
            assert!((cp[0] - wall_cp(from - PI, 1.5)).abs() < 2e-4, "{from}");
            assert!((cp[1] + 0.3).abs() < 1e-12);
        }
    }
}
