//! A fan on its curve: volume flow as a non-increasing function of the pressure rise.
//!
//! Between the points a monotone cubic (PCHIP: Fritsch and Carlson 1980, slopes by Fritsch and
//! Butland 1984), beyond the ends the straight line of the end slope, which the solution flags.
//! A curve with a rising (stall) part has several flows at one pressure and is refused with the
//! points named. Fan laws (affinity) carry it to other densities and speeds: equal volume flow at
//! a pressure rise in proportion to the density; flow with the speed, pressure with its square.

use super::law::Point;
use std::sync::Arc;

/// Why points are not a fan curve.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum FanCurveError {
    /// Fewer than two points.
    #[error("a fan curve of {count} points")]
    TooFewPoints {
        /// How many there were.
        count: usize,
    },
    /// A coordinate or the density is not finite, or the density is not positive.
    #[error("point {point} of the fan curve is not finite")]
    NotFinite {
        /// Index of the point; the number of points for the density.
        point: usize,
    },
    /// Two points at one pressure rise.
    #[error("two points of the fan curve at {rise_pa} Pa")]
    DoublePoint {
        /// The pressure rise, Pa.
        rise_pa: f64,
    },
    /// Flow grows with the pressure rise from one point to the next.
    #[error("the fan curve rises over {} pairs of points", pairs.len())]
    Rising {
        /// Each rising pair: (rise Pa, flow m3/s) of its two points, by ascending rise.
        pairs: Vec<[(f64, f64); 2]>,
    },
}

/// A fan curve that is known to be monotone. Cheap to clone.
#[derive(Clone, Debug)]
pub struct FanCurve {
    knots: Arc<[Knot]>,
    density_kg_m3: f64,
}

#[derive(Clone, Copy, Debug)]
struct Knot {
    rise: f64,
    flow: f64,
    slope: f64,
    /// Integral of the flow from the first knot, Pa m3/s.
    integral: f64,
}

/// Flow, slope and integral over the rise at one pressure rise.
pub(super) struct CurvePoint {
    pub(super) flow: f64,
    pub(super) slope: f64,
    pub(super) integral: f64,
}

impl FanCurve {
    /// A curve through `points` of (pressure rise in Pa, flow in m3/s), in any order, valid for
    /// air of `density_kg_m3` at the fan's inlet.
    ///
    /// # Errors
    /// [`FanCurveError`]: too few points, a number that is not finite, a double pressure, or a
    /// part where the flow rises with the pressure.
    pub fn new(points: &[(f64, f64)], density_kg_m3: f64) -> Result<Self, FanCurveError> {
        if points.len() < 2 {
            return Err(FanCurveError::TooFewPoints { count: points.len() });
        }
        if let Some(point) = points.iter().position(|p| !(p.0.is_finite() && p.1.is_finite())) {
            return Err(FanCurveError::NotFinite { point });
        }
        if !(density_kg_m3.is_finite() && density_kg_m3 > 0.0) {
            return Err(FanCurveError::NotFinite { point: points.len() });
        }
        let mut sorted = points.to_vec();
        sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
        if let Some(pair) = sorted.windows(2).find(|pair| pair[1].0 <= pair[0].0) {
            return Err(FanCurveError::DoublePoint { rise_pa: pair[0].0 });
        }
        let pairs: Vec<_> =
            sorted.windows(2).filter(|pair| pair[1].1 > pair[0].1).map(|pair| [pair[0], pair[1]]).collect();
        if !pairs.is_empty() {
            return Err(FanCurveError::Rising { pairs });
        }
        let slopes = pchip_slopes(&sorted);
        let mut knots: Vec<Knot> = Vec::with_capacity(sorted.len());
        for (&(rise, flow), &slope) in sorted.iter().zip(&slopes) {
            let integral = knots.last().map_or(0.0, |last| {
                let h = rise - last.rise;
                last.integral + h * (0.5 * (last.flow + flow) + h * (last.slope - slope) / 12.0)
            });
            knots.push(Knot { rise, flow, slope, integral });
        }
        Ok(Self { knots: knots.into(), density_kg_m3 })
    }

    /// The same fan at `ratio` times the speed (fan laws); `ratio` must be positive.
    ///
    /// # Errors
    /// [`FanCurveError::NotFinite`] where the ratio is not a positive finite number.
    pub fn at_speed(&self, ratio: f64) -> Result<Self, FanCurveError> {
        if !(ratio.is_finite() && ratio > 0.0) {
            return Err(FanCurveError::NotFinite { point: self.knots.len() });
        }
        let knots = self.knots.iter().map(|k| Knot {
            rise: k.rise * ratio * ratio,
            flow: k.flow * ratio,
            slope: k.slope / ratio,
            integral: k.integral * ratio * ratio * ratio,
        });
        Ok(Self { knots: knots.collect(), density_kg_m3: self.density_kg_m3 })
    }

    /// The same fan with `ratio` times the flow at every pressure rise.
    ///
    /// # Errors
    /// [`FanCurveError::NotFinite`] where the ratio is not a positive finite number.
    pub fn with_flow(&self, ratio: f64) -> Result<Self, FanCurveError> {
        if !(ratio.is_finite() && ratio > 0.0) {
            return Err(FanCurveError::NotFinite { point: self.knots.len() });
        }
        let knots = self.knots.iter().map(|k| Knot {
            rise: k.rise,
            flow: k.flow * ratio,
            slope: k.slope * ratio,
            integral: k.integral * ratio,
        });
        Ok(Self { knots: knots.collect(), density_kg_m3: self.density_kg_m3 })
    }

    /// A motor that holds its flow up to `limit_pa` and then follows the wheel at full speed to no
    /// flow at `shut_off_pa`, along `q0 sqrt((shut_off - p) / (shut_off - limit))` (a wheel whose
    /// pressure falls with the square of its flow; common practice, no source).
    ///
    /// # Errors
    /// [`FanCurveError`]: as for [`new`](Self::new); a shut-off pressure not above the limit is a
    /// double point.
    pub fn constant_flow(
        flow_m3_s: f64,
        limit_pa: f64,
        shut_off_pa: f64,
        density_kg_m3: f64,
    ) -> Result<Self, FanCurveError> {
        if !(shut_off_pa > limit_pa && limit_pa > 0.0) {
            return Err(FanCurveError::DoublePoint { rise_pa: limit_pa });
        }
        let mut points = vec![(0.0, flow_m3_s), (limit_pa, flow_m3_s)];
        points.extend((1..=8_u8).map(|i| {
            let q = 1.0 - f64::from(i) / 8.0;
            (shut_off_pa - (shut_off_pa - limit_pa) * q * q, q * flow_m3_s)
        }));
        Self::new(&points, density_kg_m3)
    }

    /// Air density the curve is stated for, kg/m3.
    pub fn density_kg_m3(&self) -> f64 {
        self.density_kg_m3
    }

    /// Least and greatest pressure rise among the points, Pa.
    pub fn range_pa(&self) -> (f64, f64) {
        (self.knots[0].rise, self.knots[self.knots.len() - 1].rise)
    }

    /// Flow in m3/s at a pressure rise in Pa, at the curve's own density.
    pub fn flow_m3_s(&self, rise_pa: f64) -> f64 {
        self.at(rise_pa).flow
    }

    pub(super) fn at(&self, rise: f64) -> CurvePoint {
        let last = &self.knots[self.knots.len() - 1];
        let first = &self.knots[0];
        let end = if rise <= first.rise {
            Some(first)
        } else if rise >= last.rise {
            Some(last)
        } else {
            None
        };
        if let Some(end) = end {
            let x = rise - end.rise;
            return CurvePoint {
                flow: end.flow + end.slope * x,
                slope: end.slope,
                integral: end.integral + x * (end.flow + 0.5 * end.slope * x),
            };
        }
        let upper = self.knots.partition_point(|k| k.rise <= rise);
        let (a, b) = (&self.knots[upper - 1], &self.knots[upper]);
        let h = b.rise - a.rise;
        let x = rise - a.rise;
        let mean = (b.flow - a.flow) / h;
        let c2 = (3.0 * mean - 2.0 * a.slope - b.slope) / h;
        let c3 = (a.slope + b.slope - 2.0 * mean) / (h * h);
        CurvePoint {
            flow: a.flow + x * (a.slope + x * (c2 + x * c3)),
            slope: a.slope + x * (2.0 * c2 + x * 3.0 * c3),
            integral: a.integral + x * (a.flow + x * (a.slope / 2.0 + x * (c2 / 3.0 + x * c3 / 4.0))),
        }
    }

    /// The fan as a passage from a to b at the inlet density: `dp = p_a - p_b` is minus the rise.
    pub(super) fn passage(&self, inlet_density_kg_m3: f64, dp: f64) -> Point {
        let ratio = self.density_kg_m3 / inlet_density_kg_m3;
        let p = self.at(-dp * ratio);
        Point {
            flow: inlet_density_kg_m3 * p.flow,
            slope: -inlet_density_kg_m3 * p.slope * ratio,
            potential: -inlet_density_kg_m3 * p.integral / ratio,
        }
    }

    /// Whether a pressure difference lies beyond the curve's points.
    pub(super) fn beyond(&self, inlet_density_kg_m3: f64, dp: f64) -> bool {
        let rise = -dp * self.density_kg_m3 / inlet_density_kg_m3;
        let (least, greatest) = self.range_pa();
        rise < least || rise > greatest
    }
}

/// Slopes at the points: weighted harmonic means inside, the limited three-point rule at the ends.
fn pchip_slopes(points: &[(f64, f64)]) -> Vec<f64> {
    let h: Vec<f64> = points.windows(2).map(|p| p[1].0 - p[0].0).collect();
    let d: Vec<f64> = points.windows(2).map(|p| (p[1].1 - p[0].1) / (p[1].0 - p[0].0)).collect();
    let last = points.len() - 1;
    if last == 1 {
        return vec![d[0]; 2];
    }
    let mut slopes = vec![0.0; points.len()];
    slopes[0] = end_slope(h[0], h[1], d[0], d[1]);
    for k in 1..last {
        if d[k - 1] * d[k] > 0.0 {
            let (w1, w2) = (2.0 * h[k] + h[k - 1], h[k] + 2.0 * h[k - 1]);
            slopes[k] = (w1 + w2) / (w1 / d[k - 1] + w2 / d[k]);
        }
    }
    slopes[last] = end_slope(h[last - 1], h[last - 2], d[last - 1], d[last - 2]);
    slopes
}

fn end_slope(h0: f64, h1: f64, d0: f64, d1: f64) -> f64 {
    let slope = ((2.0 * h0 + h1) * d0 - h0 * d1) / (h0 + h1);
    if slope * d0 <= 0.0 {
        0.0
    } else if d0 * d1 <= 0.0 && slope.abs() > 3.0 * d0.abs() {
        3.0 * d0
    } else {
        slope
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn curve() -> FanCurve {
        let points = [(0.0, 0.060), (25.0, 0.055), (50.0, 0.047), (100.0, 0.030), (150.0, 0.012)];
        FanCurve::new(&points, 1.2).unwrap()
    }

    #[test]
    fn a_rising_part_is_refused_with_its_points() {
        let points = [(0.0, 0.06), (40.0, 0.03), (50.0, 0.035), (80.0, 0.0)];
        let error = FanCurve::new(&points, 1.2).unwrap_err();
        assert_eq!(error, FanCurveError::Rising { pairs: vec![[(40.0, 0.03), (50.0, 0.035)]] });
        assert!(matches!(
            FanCurve::new(&[(1.0, 0.1), (1.0, 0.2)], 1.2),
            Err(FanCurveError::DoublePoint { .. })
        ));
    }

    #[test]
    fn between_the_points_it_agrees_with_scipy() {
        // scipy 1.17.1, PchipInterpolator.
        let fan = curve();
        for (rise, flow) in [
            (10.0, 0.058_326_769_230_769_23),
            (30.0, 0.053_643_180_175_529_17),
            (49.0, 0.047_330_752_792_978_83),
            (75.0, 0.038_632_023_010_546_496),
            (120.0, 0.022_922_057_142_857_142),
            (149.0, 0.012_369_805_6),
        ] {
            assert!((fan.flow_m3_s(rise) - flow).abs() < 1e-16, "{rise}");
        }
        assert!((fan.at(120.0).integral - 5.181_221_099_073_187).abs() < 1e-14);
        assert!((fan.at(200.0).slope + 0.000_37).abs() < 1e-17);
        let points = [(0.0, 0.060), (25.0, 0.060), (50.0, 0.047), (100.0, 0.030)];
        let flat = FanCurve::new(&points, 1.2).unwrap();
        for (rise, flow) in [(10.0, 0.06), (30.0, 0.058_984_761_904_761_91)] {
            assert!((flat.flow_m3_s(rise) - flow).abs() < 1e-16, "{rise}");
        }
    }

    #[test]
    fn the_passage_is_the_gradient_of_its_potential() {
        let fan = curve();
        for dp in [20.0, -3.0, -25.0, -60.0, -149.0, -200.0] {
            let h = 1e-4;
            let (up, down) = (fan.passage(1.1, dp + h), fan.passage(1.1, dp - h));
            let at = fan.passage(1.1, dp);
            assert!(((up.potential - down.potential) / (2.0 * h) - at.flow).abs() < 1e-9, "{dp}");
            assert!(((up.flow - down.flow) / (2.0 * h) - at.slope).abs() < 1e-8, "{dp}");
        }
    }

    #[test]
    fn fan_laws_hold() {
        let fan = curve();
        let slow = fan.at_speed(0.8).unwrap();
        assert!((slow.flow_m3_s(50.0 * 0.64) - 0.8 * fan.flow_m3_s(50.0)).abs() < 1e-15);
        // Thinner air: the same volume flow at a pressure in proportion.
        assert!((fan.passage(0.9, -37.5).flow - 0.9 * fan.flow_m3_s(50.0)).abs() < 1e-15);
        assert!(fan.beyond(1.2, -151.0) && !fan.beyond(1.2, -149.0) && fan.beyond(1.2, 1.0));
    }
}
