//! The power law of a leak, `flow = C dp^n`, fitted in logarithms.

use super::line::{Line, RegressionError};
use crate::math;
use crate::measure::{Estimate, NoInterval};
use crate::units::Quantity;
use serde::Serialize;

/// One place on the fitted curve, for drawing.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct BandPoint {
    /// Pressure difference, Pa.
    pub dp_pa: f64,
    /// Fitted flow, m3/s.
    pub flow_m3_s: f64,
    /// Low end at the level asked for, m3/s; absent where two points carry the line.
    pub lo_m3_s: Option<f64>,
    /// High end, m3/s.
    pub hi_m3_s: Option<f64>,
}

/// A fitted `flow = C dp^n`: a straight line in ln dp (Pa) and ln flow (m3/s).
///
/// Its intervals tell the scatter about the line only; what an instrument adds is the business of
/// the procedure that uses it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct PowerLaw {
    /// The line behind it.
    pub line: Line,
}

fn logs(values: &[f64]) -> Result<Vec<f64>, RegressionError> {
    let bad = |v: &f64| !(*v > 0.0 && v.is_finite());
    match values.iter().position(bad) {
        Some(index) => Err(RegressionError::Unusable { index }),
        None => Ok(values.iter().map(|v| math::ln(*v)).collect()),
    }
}

impl PowerLaw {
    /// Ordinary log-log least squares, the method of the fan-test standards.
    ///
    /// ```
    /// use engine::measure::regression::PowerLaw;
    /// let dp_pa = [10.0, 20.0, 30.0, 40.0, 50.0, 60.0];
    /// let flow_m3_s = [237.0, 364.0, 444.0, 625.0, 688.0, 704.0].map(|q: f64| q / 3600.0);
    /// let law = PowerLaw::ordinary(&dp_pa, &flow_m3_s).unwrap();
    /// assert!((law.exponent() - 0.6434).abs() < 1e-4);
    /// ```
    pub fn ordinary(dp_pa: &[f64], flow_m3_s: &[f64]) -> Result<PowerLaw, RegressionError> {
        Ok(PowerLaw { line: Line::ordinary(&logs(dp_pa)?, &logs(flow_m3_s)?)? })
    }

    /// The line of organic correlation in logarithms.
    pub fn organic(dp_pa: &[f64], flow_m3_s: &[f64]) -> Result<PowerLaw, RegressionError> {
        Ok(PowerLaw { line: Line::organic(&logs(dp_pa)?, &logs(flow_m3_s)?)? })
    }

    /// With stated standard uncertainties of each pressure (Pa) and each flow (m3/s).
    ///
    /// ```
    /// use engine::measure::regression::PowerLaw;
    /// let dp_pa = [10.0, 30.0, 50.0];
    /// let flow_m3_s = [0.10, 0.21, 0.29];
    /// let law = PowerLaw::york(&dp_pa, &flow_m3_s, &[1.0; 3], &[0.005; 3]).unwrap();
    /// assert!(law.exponent() > 0.6 && law.exponent() < 0.7);
    /// ```
    pub fn york(
        dp_pa: &[f64],
        flow_m3_s: &[f64],
        dp_se_pa: &[f64],
        flow_se_m3_s: &[f64],
    ) -> Result<PowerLaw, RegressionError> {
        let relative = |u: &[f64], v: &[f64]| u.iter().zip(v).map(|(u, v)| u / v).collect::<Vec<f64>>();
        let (x, y) = (logs(dp_pa)?, logs(flow_m3_s)?);
        for u in [dp_se_pa, flow_se_m3_s] {
            if u.len() != x.len() {
                return Err(RegressionError::LengthsDiffer { x: x.len(), y: u.len() });
            }
        }
        let line = Line::york(&x, &y, &relative(dp_se_pa, dp_pa), &relative(flow_se_m3_s, flow_m3_s))?;
        Ok(PowerLaw { line })
    }

    /// The exponent n.
    pub fn exponent(&self) -> f64 {
        self.line.slope
    }

    /// The coefficient C, m3/(s Pa^n): the flow at 1 Pa.
    pub fn coefficient(&self) -> f64 {
        math::exp(self.line.intercept)
    }

    /// Flow at a pressure difference above zero, m3/s.
    pub fn flow_m3_s(&self, dp_pa: f64) -> f64 {
        math::exp(self.line.at(math::ln(dp_pa)))
    }

    /// Half width of ln flow at `dp_pa`: the flow lies between `flow e^-h` and `flow e^h`.
    /// Nothing where two points carry the line.
    pub fn ln_half_width(&self, dp_pa: f64, level: f64) -> Option<f64> {
        Some(self.line.coverage(level)? * self.line.se_at(math::ln(dp_pa)))
    }

    /// The exponent with its interval.
    pub fn exponent_estimate(&self, level: f64) -> Estimate {
        let n = self.exponent();
        match self.line.coverage(level) {
            Some(k) => {
                let half = k * self.line.slope_se;
                Estimate::range(n, n - half, n + half, level, Quantity::Number)
            }
            None => Estimate::without(n, Quantity::Number, NoInterval::TooFewPoints),
        }
    }

    /// The coefficient with its interval, as the flow at 1 Pa.
    pub fn coefficient_estimate(&self, level: f64) -> Estimate {
        self.flow_estimate(1.0, level)
    }

    /// Flow at `dp_pa` with its (asymmetric) interval.
    pub fn flow_estimate(&self, dp_pa: f64, level: f64) -> Estimate {
        let q = self.flow_m3_s(dp_pa);
        match self.ln_half_width(dp_pa, level) {
            Some(h) => Estimate::range(q, q * math::exp(-h), q * math::exp(h), level, Quantity::AirFlow),
            None => Estimate::without(q, Quantity::AirFlow, NoInterval::TooFewPoints),
        }
    }

    /// The curve and its band at `count` pressures from `from_pa` to `to_pa`, evenly in logarithm.
    pub fn band(&self, from_pa: f64, to_pa: f64, count: usize, level: f64) -> Vec<BandPoint> {
        let (low, high) = (math::ln(from_pa), math::ln(to_pa));
        let steps = count.saturating_sub(1).max(1) as f64;
        (0..count)
            .map(|i| {
                let dp_pa = math::exp(low + (high - low) * i as f64 / steps);
                let e = self.flow_estimate(dp_pa, level);
                let ends = e.bounds();
                BandPoint { dp_pa, flow_m3_s: e.si, lo_m3_s: ends.map(|b| b.0), hi_m3_s: ends.map(|b| b.1) }
            })
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_band_is_narrowest_at_the_log_mean_pressure() {
        let dp = [10.0, 20.0, 30.0, 40.0, 50.0, 60.0];
        let q = [0.066, 0.101, 0.123, 0.174, 0.191, 0.196];
        let law = PowerLaw::ordinary(&dp, &q).unwrap();
        let middle = law.ln_half_width(math::exp(law.line.x_centre), 0.95).unwrap();
        for p in [4.0, 20.0, 50.0, 75.0] {
            assert!(law.ln_half_width(p, 0.95).unwrap() > middle);
        }
        let band = law.band(4.0, 75.0, 9, 0.95);
        assert_eq!(band.len(), 9);
        assert!((band[0].dp_pa - 4.0).abs() < 1e-12 && (band[8].dp_pa - 75.0).abs() < 1e-9);
        assert!(band.iter().all(|b| b.lo_m3_s.unwrap() < b.flow_m3_s && b.flow_m3_s < b.hi_m3_s.unwrap()));
    }

    #[test]
    fn zero_or_negative_values_are_named() {
        assert_eq!(
            PowerLaw::ordinary(&[10.0, 0.0], &[1.0, 2.0]),
            Err(RegressionError::Unusable { index: 1 })
        );
        assert_eq!(
            PowerLaw::ordinary(&[10.0, 20.0], &[-1.0, 2.0]),
            Err(RegressionError::Unusable { index: 0 })
        );
    }
}
