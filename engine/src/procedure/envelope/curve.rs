//! The leakage curve of one run: drawn by the profile's method, with the parts of its spread.

use super::fans::Fans;
use super::profile::{AssumedExponent, Method};
use super::spread::{LEVEL, Parts, Stated, coverage, half_width_of_limit};
use crate::math;
use crate::measure::regression::{PowerLaw, RegressionError};
use crate::measure::{Estimate, NoInterval, student_t_two_sided};
use crate::units::{Accuracy, Quantity};

/// `ln flow = ln_c + n ln dp` and what its method knows of its own scatter.
#[derive(Clone, Copy, Debug)]
pub(super) struct Shape {
    pub(super) n: f64,
    pub(super) ln_c: f64,
    kind: Kind,
}

#[derive(Clone, Copy, Debug)]
enum Kind {
    Many(PowerLaw),
    /// Mean logarithms of both groups of readings.
    Two {
        high: Group,
        low: Group,
        /// Half way between the groups.
        edge_ln_dp: f64,
        variance: Option<f64>,
        dof: usize,
    },
    One {
        ln_dp: f64,
        se: Option<f64>,
        dof: usize,
        assumed: AssumedExponent,
    },
}

#[derive(Clone, Copy, Debug)]
struct Group {
    ln_dp: f64,
    ln_flow: f64,
    count: f64,
}

fn mean(values: impl Iterator<Item = f64> + Clone) -> f64 {
    let count = values.clone().count() as f64;
    values.sum::<f64>() / count
}

/// Draws the curve. Pressures (Pa) and flows (m3/s) are positive.
pub(super) fn draw(
    method: Method,
    assumed: AssumedExponent,
    dp_pa: &[f64],
    flow_m3_s: &[f64],
) -> Result<Shape, RegressionError> {
    match method {
        Method::MultiPoint => {
            let law = PowerLaw::ordinary(dp_pa, flow_m3_s)?;
            Ok(Shape { n: law.exponent(), ln_c: law.line.intercept, kind: Kind::Many(law) })
        }
        Method::OnePoint => one(assumed, dp_pa, flow_m3_s),
        Method::TwoPoint => two(dp_pa, flow_m3_s),
    }
}

fn one(assumed: AssumedExponent, dp_pa: &[f64], flow_m3_s: &[f64]) -> Result<Shape, RegressionError> {
    if dp_pa.is_empty() {
        return Err(RegressionError::TooFewPoints { found: 0, needed: 1 });
    }
    let n = assumed.value;
    let each = dp_pa.iter().zip(flow_m3_s).map(|(p, q)| math::ln(*q) - n * math::ln(*p));
    let ln_c = mean(each.clone());
    let dof = dp_pa.len() - 1;
    let sum2: f64 = each.map(|c| (c - ln_c) * (c - ln_c)).sum();
    let se = (dof > 0).then(|| (sum2 / (dof * (dof + 1)) as f64).sqrt());
    let ln_dp = mean(dp_pa.iter().map(|p| math::ln(*p)));
    Ok(Shape { n, ln_c, kind: Kind::One { ln_dp, se, dof, assumed } })
}

/// Splits the readings into a high and a low group at the widest gap of ln dp.
fn two(dp_pa: &[f64], flow_m3_s: &[f64]) -> Result<Shape, RegressionError> {
    let mut points: Vec<(f64, f64)> =
        dp_pa.iter().zip(flow_m3_s).map(|(p, q)| (math::ln(*p), math::ln(*q))).collect();
    if points.len() < 2 {
        return Err(RegressionError::TooFewPoints { found: points.len(), needed: 2 });
    }
    points.sort_by(|a, b| b.0.total_cmp(&a.0));
    let gaps = points.windows(2).map(|w| w[0].0 - w[1].0).enumerate();
    let (place, gap) = gaps.fold((0, 0.0), |best, (i, g)| if g > best.1 { (i, g) } else { best });
    if gap < 1e-9 {
        return Err(RegressionError::NoSpread);
    }
    let (above, below) = points.split_at(place + 1);
    let group = |g: &[(f64, f64)]| Group {
        ln_dp: mean(g.iter().map(|p| p.0)),
        ln_flow: mean(g.iter().map(|p| p.1)),
        count: g.len() as f64,
    };
    let (high, low) = (group(above), group(below));
    let edge_ln_dp = 0.5 * (points[place].0 + points[place + 1].0);
    let n = (high.ln_flow - low.ln_flow) / (high.ln_dp - low.ln_dp);
    let ln_c = high.ln_flow - n * high.ln_dp;
    let dof = points.len() - 2;
    let sum2: f64 = points.iter().map(|(x, y)| y - ln_c - n * x).map(|r| r * r).sum();
    let variance = (dof > 0).then(|| sum2 / dof as f64);
    Ok(Shape { n, ln_c, kind: Kind::Two { high, low, edge_ln_dp, variance, dof } })
}

/// Weight of each station's ln flow in the slope of the line of least squares.
fn slope_weights(stations_pa: &[f64]) -> Vec<(usize, f64)> {
    let ln_dp: Vec<f64> = stations_pa.iter().map(|p| math::ln(*p)).collect();
    let centre = mean(ln_dp.iter().copied());
    let sum2: f64 = ln_dp.iter().map(|x| (x - centre) * (x - centre)).sum();
    ln_dp.iter().map(|x| (x - centre) / sum2).enumerate().collect()
}

impl Shape {
    pub(super) fn ln_flow(&self, dp_pa: f64) -> f64 {
        self.ln_c + self.n * math::ln(dp_pa)
    }

    pub(super) fn flow_m3_s(&self, dp_pa: f64) -> f64 {
        math::exp(self.ln_flow(dp_pa))
    }

    /// Whether it gives flows between 1 Pa and the end of the drawing. Stations next to
    /// each other in pressure may ask for an exponent that no number can hold.
    pub(super) fn is_usable(&self, drawn_pa: (f64, f64)) -> bool {
        let flow = |dp_pa: f64| self.flow_m3_s(dp_pa);
        [1.0, drawn_pa.0, drawn_pa.1].map(flow).iter().all(|q| q.is_normal())
    }

    /// Share of the high group in ln flow at `dp_pa`.
    fn lean(dp_pa: f64, high: &Group, low: &Group) -> f64 {
        (math::ln(dp_pa) - low.ln_dp) / (high.ln_dp - low.ln_dp)
    }

    /// Weight of each station's ln flow in ln flow at `dp_pa`.
    fn weights(&self, dp_pa: f64, stations_pa: &[f64]) -> Vec<(usize, f64)> {
        let count = stations_pa.len() as f64;
        match &self.kind {
            Kind::Many(law) => {
                let away = math::ln(dp_pa) - law.line.x_centre;
                slope_weights(stations_pa).into_iter().map(|(i, w)| (i, 1.0 / count + away * w)).collect()
            }
            Kind::Two { high, low, edge_ln_dp, .. } => {
                let a = Self::lean(dp_pa, high, low);
                let is_high = |pa: f64| math::ln(pa) > *edge_ln_dp;
                let of = |pa| if is_high(pa) { a / high.count } else { (1.0 - a) / low.count };
                stations_pa.iter().map(|pa| of(*pa)).enumerate().collect()
            }
            Kind::One { .. } => (0..stations_pa.len()).map(|i| (i, 1.0 / count)).collect(),
        }
    }

    /// 95 % half width of ln flow by scatter.
    pub(super) fn scatter(&self, dp_pa: f64) -> Option<f64> {
        match &self.kind {
            Kind::Many(law) => law.ln_half_width(dp_pa, LEVEL),
            Kind::Two { high, low, variance, dof, .. } => {
                let a = Self::lean(dp_pa, high, low);
                let spread = (a * a / high.count + (1.0 - a) * (1.0 - a) / low.count).sqrt();
                variance.map(|v| student_t_two_sided(LEVEL, *dof as f64) * v.sqrt() * spread)
            }
            Kind::One { se, dof, .. } => se.map(|s| student_t_two_sided(LEVEL, *dof as f64) * s),
        }
    }

    fn scatter_of_exponent(&self) -> Option<f64> {
        match &self.kind {
            Kind::Many(law) => Some(law.line.coverage(LEVEL)? * law.line.slope_se),
            Kind::Two { high, low, variance, dof, .. } => variance.map(|v| {
                let spread = (1.0 / high.count + 1.0 / low.count).sqrt() / (high.ln_dp - low.ln_dp);
                student_t_two_sided(LEVEL, *dof as f64) * v.sqrt() * spread
            }),
            Kind::One { .. } => None,
        }
    }

    /// r squared and the relative standard error of the flow at `dp_pa`, of a line.
    pub(super) fn line(&self, dp_pa: f64) -> Option<(f64, f64)> {
        match &self.kind {
            Kind::Many(law) => Some((law.line.r2, law.line.se_at(math::ln(dp_pa)))),
            _ => None,
        }
    }
}

/// The curve with all that widens it.
pub(super) struct Curve<'a> {
    pub(super) method: Method,
    pub(super) shape: Shape,
    pub(super) assumed: AssumedExponent,
    pub(super) dp_pa: &'a [f64],
    pub(super) flow_m3_s: &'a [f64],
    pub(super) fans: Fans<'a>,
    pub(super) pressure_accuracy: Option<Accuracy>,
    pub(super) offset_se_pa: Option<f64>,
}

impl Curve<'_> {
    /// Change of ln flow at `dp_pa` and of the exponent per pascal of baseline, by redrawing.
    fn baseline_slopes(&self, dp_pa: f64) -> Option<(f64, f64)> {
        let lowest = math::min_valid(self.dp_pa.iter().copied())?;
        let step = 1e-3 * lowest;
        let moved = |by: f64| {
            let dp: Vec<f64> = self.dp_pa.iter().map(|p| p + by).collect();
            draw(self.method, self.assumed, &dp, self.flow_m3_s).ok()
        };
        let (up, down) = (moved(step)?, moved(-step)?);
        Some(((up.ln_flow(dp_pa) - down.ln_flow(dp_pa)) / (2.0 * step), (up.n - down.n) / (2.0 * step)))
    }

    /// Relative 95 % half width of a stated accuracy at a value.
    fn gain(accuracy: Option<Accuracy>, value: f64) -> Option<f64> {
        accuracy.map(|a| half_width_of_limit(a.limit(value)) / value)
    }

    /// Gain part of the high and of the low group's mean flow.
    fn group_gains(&self, edge_ln_dp: f64) -> (Option<f64>, Option<f64>) {
        let is_high = |i: &usize| math::ln(self.dp_pa[*i]) > edge_ln_dp;
        let (above, below): (Vec<usize>, Vec<usize>) = (0..self.dp_pa.len()).partition(is_high);
        let gain = |group: &[usize]| {
            let weight = 1.0 / group.len() as f64;
            self.fans.gain(&group.iter().map(|i| (*i, weight)).collect::<Vec<_>>())
        };
        (gain(&above), gain(&below))
    }

    /// A fan's share in the flow at `dp_pa`: the line through its shares at the stations, since that is
    /// how much of an error in its flow the curve takes up there.
    pub(super) fn share(&self, fan: usize, dp_pa: f64) -> f64 {
        self.fans.weighted_share(fan, &self.shape.weights(dp_pa, self.dp_pa))
    }

    /// Half widths of ln flow at `dp_pa`, by cause.
    pub(super) fn parts(&self, dp_pa: f64) -> Parts {
        let n = self.shape.n;
        let baseline = self
            .offset_se_pa
            .and_then(|se| self.baseline_slopes(dp_pa).map(|(slope, _)| coverage() * se * slope.abs()));
        let mean_of = |v: &[f64]| math::exp(mean(v.iter().map(|x| math::ln(*x))));
        let (flow_gain, pressure_gain) = match &self.shape.kind {
            // The errors of the two points are taken as independent, which for the part that
            // they share is wider than the truth.
            Kind::Two { high, low, edge_ln_dp, .. } => {
                let a = Shape::lean(dp_pa, high, low);
                let join = |h: Option<f64>, l: Option<f64>| {
                    h.zip(l).map(|(h, l)| ((a * h) * (a * h) + (1.0 - a) * l * (1.0 - a) * l).sqrt())
                };
                let [p_high, p_low] = [high.ln_dp, low.ln_dp].map(math::exp);
                let (flow_high, flow_low) = self.group_gains(*edge_ln_dp);
                (
                    join(flow_high, flow_low),
                    join(
                        Self::gain(self.pressure_accuracy, p_high),
                        Self::gain(self.pressure_accuracy, p_low),
                    ),
                )
            }
            _ => (
                self.fans.gain(&self.shape.weights(dp_pa, self.dp_pa)),
                Self::gain(self.pressure_accuracy, mean_of(self.dp_pa)),
            ),
        };
        let exponent = match &self.shape.kind {
            Kind::One { ln_dp, assumed, .. } => {
                Some(coverage() * assumed.se * (math::ln(dp_pa) - ln_dp).abs())
            }
            _ => None,
        };
        Parts {
            scatter: self.shape.scatter(dp_pa),
            flow_gain,
            pressure_gain: pressure_gain.map(|g| n.abs() * g),
            baseline,
            exponent,
        }
    }

    /// Half width of the exponent by the two points' gauges, or by the gains of several fans whose
    /// shares change from station to station; nothing for the shared gain of one fan (it moves the
    /// whole curve and leaves the exponent alone).
    fn gauges_of_exponent(&self) -> Option<f64> {
        let Kind::Two { high, low, edge_ln_dp, .. } = &self.shape.kind else {
            let several = self.fans.accuracy.len() > 1;
            return if several { self.fans.gain(&slope_weights(self.dp_pa)) } else { None };
        };
        let square = |g: Option<f64>| g.map(|g| g * g);
        let both = |accuracy, a: f64, b: f64| {
            square(Self::gain(accuracy, math::exp(a)))
                .zip(square(Self::gain(accuracy, math::exp(b))))
                .map(|(a, b)| a + b)
        };
        let (flow_high, flow_low) = self.group_gains(*edge_ln_dp);
        let flow = square(flow_high).zip(square(flow_low)).map(|(a, b)| a + b)?;
        let pressure = both(self.pressure_accuracy, high.ln_dp, low.ln_dp).unwrap_or(0.0);
        let n = self.shape.n;
        Some((flow + n * n * pressure).sqrt() / (high.ln_dp - low.ln_dp))
    }

    /// The exponent with both intervals.
    pub(super) fn exponent(&self) -> Stated {
        let n = self.shape.n;
        let around = |half: Option<f64>, why| match half {
            Some(h) => Estimate::range(n, n - h, n + h, LEVEL, Quantity::Number),
            None => Estimate::without(n, Quantity::Number, why),
        };
        if let Kind::One { assumed, .. } = &self.shape.kind {
            return Stated {
                total: around(Some(coverage() * assumed.se), NoInterval::Assumed),
                scatter: around(None, NoInterval::Assumed),
            };
        }
        let scatter = self.shape.scatter_of_exponent();
        let gauges = self.gauges_of_exponent();
        let baseline = self
            .offset_se_pa
            .and_then(|se| self.baseline_slopes(50.0).map(|(_, slope)| coverage() * se * slope.abs()));
        let total = scatter
            .or(gauges)
            .map(|_| [scatter, gauges, baseline].into_iter().flatten().map(|h| h * h).sum::<f64>().sqrt());
        Stated {
            total: around(total, NoInterval::TypedWithoutInstrument),
            scatter: around(scatter, NoInterval::TooFewPoints),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ASSUMED: AssumedExponent = AssumedExponent { value: 0.65, se: 0.07 };

    fn curve<'a>(method: Method, dp: &'a [f64], q: &'a [f64], flow: f64, pressure: f64) -> Curve<'a> {
        let stated = |relative| Some(Accuracy { relative, absolute: 0.0, larger: false });
        let shares: &[Vec<f64>] = vec![vec![1.0]; dp.len()].leak();
        let accuracy: &[Option<Accuracy>] = vec![stated(flow)].leak();
        Curve {
            method,
            shape: draw(method, ASSUMED, dp, q).unwrap(),
            assumed: ASSUMED,
            dp_pa: dp,
            flow_m3_s: q,
            fans: Fans { shares, accuracy, flow_m3_s: q },
            pressure_accuracy: stated(pressure),
            offset_se_pa: None,
        }
    }

    /// A limit whose standard uncertainty is `u`.
    fn limit(u: f64) -> f64 {
        u * coverage()
    }

    #[test]
    fn the_exponent_of_two_points_is_as_sure_as_published_arithmetic_says() {
        // u_Q 3 %, u_p 2 % -> 0.0334; 5 % and 5 % -> 0.0608, at n = 0.65 and 50 / 12.5 Pa.
        let q = [0.3, 0.3 * math::pow(0.25, 0.65)];
        for (u_q, u_p, u_n) in [(0.03, 0.02, 0.0334), (0.05, 0.05, 0.0608)] {
            let c = curve(Method::TwoPoint, &[50.0, 12.5], &q, limit(u_q), limit(u_p));
            let (lo, hi) = c.exponent().total.bounds().unwrap();
            assert!(((hi - lo) / 2.0 / coverage() - u_n).abs() < 5e-5);
            assert!(c.exponent().scatter.bounds().is_none());
        }
    }

    #[test]
    fn one_point_far_from_its_pressure_carries_the_assumed_exponent() {
        let c = curve(Method::OnePoint, &[50.0], &[0.3], limit(0.03), limit(0.01));
        let at_4 = c.parts(4.0);
        assert!((at_4.exponent.unwrap() / coverage() - 0.177).abs() < 5e-4);
        let near = curve(Method::OnePoint, &[48.3], &[0.3], limit(0.03), limit(0.01));
        assert!((near.parts(50.0).exponent.unwrap() / coverage() - 0.0024).abs() < 5e-5);
        let total = c.parts(50.0).total().unwrap() / coverage();
        assert!((total - (0.03_f64 * 0.03 + 0.65 * 0.01 * 0.65 * 0.01).sqrt()).abs() < 1e-12);
        assert_eq!(at_4.scatter, None);
    }

    #[test]
    fn repeated_readings_of_two_points_equal_the_line_through_them() {
        let dp = [50.0, 50.0, 12.5, 12.5];
        let q = [0.300, 0.304, 0.121, 0.123];
        let two = draw(Method::TwoPoint, ASSUMED, &dp, &q).unwrap();
        let line = draw(Method::MultiPoint, ASSUMED, &dp, &q).unwrap();
        assert!((two.n - line.n).abs() < 1e-12);
        for p in [4.0, 50.0] {
            assert!((two.scatter(p).unwrap() / line.scatter(p).unwrap() - 1.0).abs() < 1e-10);
        }
    }
}
