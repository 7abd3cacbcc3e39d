//! How a fan's pressure becomes a flow: the user's own calibration, an equation or a table.

use crate::math;
use serde::Serialize;

/// A point of a calibration table.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct CurvePoint {
    /// Fan pressure, Pa.
    pub fan_pa: f64,
    /// Flow at the density of the calibration, m3/s.
    pub flow_m3_s: f64,
}

/// How flow follows from fan pressure.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Curve {
    /// `flow = k p^exponent`.
    Power {
        /// Flow at 1 Pa, m3/s.
        k_m3_s: f64,
        /// Exponent, near 0.5 for a head-type meter.
        exponent: f64,
        /// Lowest and highest fan pressure it holds for, Pa.
        span_pa: Option<(f64, f64)>,
    },
    /// Points ascending in pressure and flow; a power law joins neighbours, nothing beyond the ends.
    Table(Vec<CurvePoint>),
}

/// One range of a calibrated fan, as the user entered it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Calibration {
    /// How flow follows from fan pressure.
    pub curve: Curve,
    /// Density of the air it was calibrated with, kg/m3.
    pub density_kg_m3: f64,
}

/// Why a reading gives no flow.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum FlowError {
    /// Not finite.
    #[error("the reading is not a finite number")]
    NotFinite,
    /// Zero or negative.
    #[error("the reading {shown} is not above zero")]
    NotPositive {
        /// What was shown.
        shown: f64,
    },
    /// A raw fan pressure of a range without a calibration.
    #[error("no calibration for range {range}")]
    NoCalibration {
        /// Index of the range.
        range: usize,
    },
    /// Outside what the calibration covers.
    #[error("fan pressure {shown_pa} Pa outside {low_pa} to {high_pa} Pa")]
    OutsideSpan {
        /// What was shown, Pa.
        shown_pa: f64,
        /// Low end of the calibration, Pa.
        low_pa: f64,
        /// High end, Pa.
        high_pa: f64,
    },
    /// One of several flows is at reference conditions already, another is not.
    #[error("one flow is at reference conditions and another is not")]
    OtherConditions,
}

impl Calibration {
    /// Whether the numbers make a calibration: positive, and a table of two or more points
    /// ascending in both columns.
    pub fn is_usable(&self) -> bool {
        let positive = |v: f64| v > 0.0 && v.is_finite();
        let curve = match &self.curve {
            Curve::Power { k_m3_s, exponent, span_pa } => {
                positive(*k_m3_s)
                    && positive(*exponent)
                    && span_pa.is_none_or(|(low, high)| low >= 0.0 && low < high && high.is_finite())
            }
            Curve::Table(points) => {
                points.len() >= 2
                    && points.iter().all(|p| positive(p.fan_pa) && positive(p.flow_m3_s))
                    && points.windows(2).all(|w| w[0].fan_pa < w[1].fan_pa && w[0].flow_m3_s < w[1].flow_m3_s)
            }
        };
        curve && positive(self.density_kg_m3)
    }

    /// Flow at the density of the calibration, m3/s.
    ///
    /// ```
    /// use engine::procedure::instrument::{Calibration, Curve};
    /// let curve = Curve::Power { k_m3_s: 0.02, exponent: 0.5, span_pa: Some((10.0, 400.0)) };
    /// let fan = Calibration { curve, density_kg_m3: 1.2041 };
    /// assert!((fan.flow_m3_s(100.0).unwrap() - 0.2).abs() < 1e-12);
    /// assert!(fan.flow_m3_s(401.0).is_err());
    /// ```
    pub fn flow_m3_s(&self, fan_pa: f64) -> Result<f64, FlowError> {
        let outside =
            |low_pa: f64, high_pa: f64| FlowError::OutsideSpan { shown_pa: fan_pa, low_pa, high_pa };
        match &self.curve {
            Curve::Power { k_m3_s, exponent, span_pa } => match span_pa {
                Some((low, high)) if fan_pa < *low || fan_pa > *high => Err(outside(*low, *high)),
                _ => Ok(k_m3_s * math::pow(fan_pa, *exponent)),
            },
            Curve::Table(points) => {
                let ends =
                    (points.first().map_or(0.0, |p| p.fan_pa), points.last().map_or(0.0, |p| p.fan_pa));
                let pair = points.windows(2).find(|w| w[0].fan_pa <= fan_pa && fan_pa <= w[1].fan_pa);
                let Some([a, b]) = pair else {
                    return Err(outside(ends.0, ends.1));
                };
                let exponent = math::ln(b.flow_m3_s / a.flow_m3_s) / math::ln(b.fan_pa / a.fan_pa);
                Ok(a.flow_m3_s * math::pow(fan_pa / a.fan_pa, exponent))
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_table_is_joined_by_power_laws_and_ends_where_it_ends() {
        let k = |p: f64| 0.02 * math::pow(p, 0.52);
        let points = [20.0, 60.0, 200.0].map(|p| CurvePoint { fan_pa: p, flow_m3_s: k(p) });
        let table = Calibration { curve: Curve::Table(points.to_vec()), density_kg_m3: 1.2 };
        assert!(table.is_usable());
        for p in [20.0, 33.0, 60.0, 120.0, 200.0] {
            assert!((table.flow_m3_s(p).unwrap() / k(p) - 1.0).abs() < 1e-13);
        }
        assert_eq!(
            table.flow_m3_s(19.0),
            Err(FlowError::OutsideSpan { shown_pa: 19.0, low_pa: 20.0, high_pa: 200.0 })
        );
        let descending = vec![points[1], points[0]];
        assert!(!Calibration { curve: Curve::Table(descending), density_kg_m3: 1.2 }.is_usable());
        let power = Curve::Power { k_m3_s: 0.02, exponent: 0.5, span_pa: Some((10.0, 300.0)) };
        assert!(Calibration { curve: power.clone(), density_kg_m3: 1.2 }.flow_m3_s(301.0).is_err());
        assert!(!Calibration { curve: power, density_kg_m3: 0.0 }.is_usable());
    }
}
