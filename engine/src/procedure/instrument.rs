//! From what the gauges of a fan test show to pressure and flow, each correction applied once.
//!
//! A fan-flow gauge may show a raw fan pressure, a flow as if the air had the density of its
//! calibration, the actual flow, the flow of standard air, the flow through the envelope, or a
//! leakage already brought to reference conditions ([`Basis`]). Each basis enters the chain at its
//! own state and can only move forward:
//!
//! [`FlowAtFan`] -> [`FlowThroughEnvelope`] -> [`AtReference`]; [`HousePressure`] -> [`InducedPressure`].
//!
//! A state is consumed by its one step and no later state has an earlier step, so that a
//! correction cannot be applied twice. Physics: head-type meter, conservation of mass
//! between fan and leaks (UK TSL1 2010 eq. 5-6), leakage law at another density and viscosity
//! (Roulet 2008 eq. 4.15). What can fail: [`FlowError`].

use crate::air;
use crate::math;
use crate::units::Accuracy;
use serde::Serialize;

/// Which way the fan moves air.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Direction {
    /// Out of the house: outdoor air comes in through the leaks.
    Depressurise,
    /// Into the house: indoor air leaves through the leaks.
    Pressurise,
}

/// Which tap minus which a pressure gauge shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum TapOrder {
    /// House minus outdoors: negative while depressurising.
    HouseMinusOutdoors,
    /// Outdoors minus house: positive while depressurising.
    OutdoorsMinusHouse,
    /// Stations are written without a sign and the direction tells it; baselines keep theirs,
    /// house minus outdoors.
    Unsigned,
}

/// House pressure minus outdoor pressure with the baseline still in it.
#[derive(Debug, PartialEq)]
pub struct HousePressure(f64);

/// House pressure minus outdoor pressure that the fan caused.
#[derive(Debug, PartialEq)]
pub struct InducedPressure(f64);

impl HousePressure {
    /// From what the gauge shows, Pa.
    pub fn shown(shown_pa: f64, order: TapOrder, direction: Direction) -> HousePressure {
        HousePressure(match (order, direction) {
            (TapOrder::HouseMinusOutdoors, _) | (TapOrder::Unsigned, Direction::Pressurise) => shown_pa,
            (TapOrder::OutdoorsMinusHouse, _) | (TapOrder::Unsigned, Direction::Depressurise) => -shown_pa,
        })
    }

    /// Takes the baseline (house minus outdoors, Pa) out.
    pub fn less_baseline(self, offset_pa: f64) -> InducedPressure {
        InducedPressure(self.0 - offset_pa)
    }

    /// For a gauge that has taken the baseline out itself.
    pub fn baseline_already_out(self) -> InducedPressure {
        InducedPressure(self.0)
    }
}

impl InducedPressure {
    /// House minus outdoors, Pa.
    pub fn pa(&self) -> f64 {
        self.0
    }

    /// Its size along the stated direction, Pa: negative where the sign contradicts the direction.
    pub fn along_pa(&self, direction: Direction) -> f64 {
        match direction {
            Direction::Depressurise => -self.0,
            Direction::Pressurise => self.0,
        }
    }
}

/// The pressure channel of a test.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct PressureGauge {
    /// Which tap minus which.
    pub order: TapOrder,
    /// Whether the gauge has taken the baseline out of the station readings.
    pub baseline_already_out: bool,
    /// Stated accuracy, Pa.
    pub accuracy: Option<Accuracy>,
}

/// What a fan-flow gauge shows.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Basis {
    /// Raw fan pressure, Pa; a [`Calibration`] turns it into flow.
    FanPressure,
    /// Flow, m3/s, as it would be if the air at the fan had the density of the calibration.
    CalibrationDensity {
        /// That density, kg/m3.
        density_kg_m3: f64,
    },
    /// Actual flow, m3/s, at the density of the air at the fan.
    Actual,
    /// The mass flow at the fan as a volume of reference air (20 degC, 101 325 Pa), m3/s.
    StandardAir,
    /// Flow through the leaks, m3/s, at the density of the air in the leaks.
    Envelope,
    /// Leakage that the same pressure would cause at reference conditions, m3/s.
    Reference,
}

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

/// The air on one side of the envelope.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct AirSide {
    /// Density, kg/m3.
    pub density_kg_m3: f64,
    /// Dynamic viscosity, Pa s.
    pub viscosity_pa_s: f64,
}

impl AirSide {
    /// Reference conditions of the fan-test standards: 20 degC, 101 325 Pa, dry.
    pub fn reference() -> AirSide {
        AirSide {
            density_kg_m3: air::REFERENCE_DENSITY_KG_M3,
            viscosity_pa_s: air::viscosity_pa_s(air::REFERENCE_TEMP_K),
        }
    }
}

/// The air on both sides of the envelope during a test.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct AirAtTest {
    /// Indoors.
    pub indoor: AirSide,
    /// Outdoors.
    pub outdoor: AirSide,
}

impl AirAtTest {
    /// The air that goes through the fan.
    pub fn at_fan(&self, direction: Direction) -> AirSide {
        match direction {
            Direction::Depressurise => self.indoor,
            Direction::Pressurise => self.outdoor,
        }
    }

    /// The air that goes through the leaks.
    pub fn in_leaks(&self, direction: Direction) -> AirSide {
        match direction {
            Direction::Depressurise => self.outdoor,
            Direction::Pressurise => self.indoor,
        }
    }
}

/// How a standard brings leakage to reference conditions.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ReferenceForm {
    /// `C (rho/rho0)^(1-n)`: ISO 9972, EN 13829.
    Density,
    /// `C (mu/mu0)^(2n-1) (rho/rho0)^(1-n)`: ASTM E779, E1827; Roulet 2008 eq. 4.15.
    DensityAndViscosity,
}

/// Actual volume flow at the fan, at the density of the air there.
#[derive(Debug, PartialEq)]
pub struct FlowAtFan(f64);

/// Volume flow through the leaks, at the density of the air in them.
#[derive(Debug, PartialEq)]
pub struct FlowThroughEnvelope(f64);

/// Leakage at reference conditions for the same pressure difference.
#[derive(Debug, PartialEq)]
pub struct AtReference(f64);

impl FlowAtFan {
    /// Value, m3/s.
    pub fn m3_s(&self) -> f64 {
        self.0
    }

    /// The same mass through the leaks. UK TSL1 2010 eq. 5-6.
    pub fn through_envelope(self, air: &AirAtTest, direction: Direction) -> FlowThroughEnvelope {
        FlowThroughEnvelope(
            self.0 * air.at_fan(direction).density_kg_m3 / air.in_leaks(direction).density_kg_m3,
        )
    }
}

impl FlowThroughEnvelope {
    /// Value, m3/s.
    pub fn m3_s(&self) -> f64 {
        self.0
    }

    /// What the same leaks would pass at reference conditions under the same pressure difference,
    /// for the leakage exponent `n`.
    pub fn at_reference(self, leak_air: &AirSide, form: ReferenceForm, n: f64) -> AtReference {
        AtReference(self.0 * reference_factor(leak_air, form, n))
    }
}

impl AtReference {
    /// Value, m3/s.
    pub fn m3_s(&self) -> f64 {
        self.0
    }
}

/// Leakage at reference conditions over leakage at the test, for the exponent `n`.
pub fn reference_factor(leak_air: &AirSide, form: ReferenceForm, n: f64) -> f64 {
    let zero = AirSide::reference();
    let density = math::pow(leak_air.density_kg_m3 / zero.density_kg_m3, 1.0 - n);
    match form {
        ReferenceForm::Density => density,
        ReferenceForm::DensityAndViscosity => {
            density * math::pow(leak_air.viscosity_pa_s / zero.viscosity_pa_s, 2.0 * n - 1.0)
        }
    }
}

/// Where a gauge's flow enters the chain after all that can be done before the exponent is known.
#[derive(Debug, PartialEq)]
pub enum Leakage {
    /// Still at the density of the test.
    AtTest(FlowThroughEnvelope),
    /// The gauge has brought it to reference conditions.
    AtReference(AtReference),
}

/// One reading of a flow gauge.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FanReading {
    /// What it shows: Pa for [`Basis::FanPressure`], else m3/s.
    pub shown: f64,
    /// Which of the gauge's calibrations holds, from 0.
    pub range: usize,
}

/// A fan with its flow gauge.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FlowGauge {
    /// What it shows.
    pub basis: Basis,
    /// One calibration a range; needed for [`Basis::FanPressure`] only.
    pub calibrations: Vec<Calibration>,
    /// Stated accuracy of its flow, m3/s.
    pub accuracy: Option<Accuracy>,
}

impl FlowGauge {
    /// A gauge that shows flow on the given basis.
    pub fn flow(basis: Basis) -> FlowGauge {
        FlowGauge { basis, calibrations: Vec::new(), accuracy: None }
    }

    /// The flow through the leaks that a reading tells.
    ///
    /// A head-type meter calibrated at `rho_cal` shows `Q_r`; the actual flow is
    /// `Q_r sqrt(rho_cal / rho_fan)` (orifice physics; the root is not legible in the UK standard's
    /// text that was read).
    ///
    /// ```
    /// use engine::procedure::instrument::*;
    /// let air = |density_kg_m3| AirSide { density_kg_m3, viscosity_pa_s: 1.8e-5 };
    /// let air = AirAtTest { indoor: air(1.20), outdoor: air(1.32) };
    /// let gauge = FlowGauge::flow(Basis::CalibrationDensity { density_kg_m3: 1.2041 });
    /// let reading = FanReading { shown: 0.5, range: 0 };
    /// let Ok(Leakage::AtTest(flow)) = gauge.leakage(reading, Direction::Depressurise, &air) else { panic!() };
    /// assert!((flow.m3_s() - 0.5 * (1.2041_f64 / 1.20).sqrt() * 1.20 / 1.32).abs() < 1e-12);
    /// ```
    pub fn leakage(
        &self,
        reading: FanReading,
        direction: Direction,
        air: &AirAtTest,
    ) -> Result<Leakage, FlowError> {
        let leakage = self.unchecked_leakage(reading, direction, air)?;
        let flow_m3_s = match &leakage {
            Leakage::AtTest(flow) => flow.m3_s(),
            Leakage::AtReference(flow) => flow.m3_s(),
        };
        if flow_m3_s > 0.0 && flow_m3_s.is_finite() { Ok(leakage) } else { Err(FlowError::NotFinite) }
    }

    fn unchecked_leakage(
        &self,
        reading: FanReading,
        direction: Direction,
        air: &AirAtTest,
    ) -> Result<Leakage, FlowError> {
        let shown = reading.shown;
        if !shown.is_finite() {
            return Err(FlowError::NotFinite);
        }
        if shown <= 0.0 {
            return Err(FlowError::NotPositive { shown });
        }
        let fan_density = air.at_fan(direction).density_kg_m3;
        let from_head =
            |indicated: f64, calibrated: f64| FlowAtFan(indicated * (calibrated / fan_density).sqrt());
        let at_fan = match self.basis {
            Basis::FanPressure => {
                let missing = FlowError::NoCalibration { range: reading.range };
                let calibration = self.calibrations.get(reading.range).ok_or(missing)?;
                from_head(calibration.flow_m3_s(shown)?, calibration.density_kg_m3)
            }
            Basis::CalibrationDensity { density_kg_m3 } => from_head(shown, density_kg_m3),
            Basis::Actual => FlowAtFan(shown),
            Basis::StandardAir => FlowAtFan(shown * AirSide::reference().density_kg_m3 / fan_density),
            Basis::Envelope => return Ok(Leakage::AtTest(FlowThroughEnvelope(shown))),
            Basis::Reference => return Ok(Leakage::AtReference(AtReference(shown))),
        };
        Ok(Leakage::AtTest(at_fan.through_envelope(air, direction)))
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

    #[test]
    fn signs() {
        use Direction::{Depressurise, Pressurise};
        let is_along = |expected: f64, shown, order, direction| {
            let induced = HousePressure::shown(shown, order, direction).less_baseline(-1.5);
            assert!(
                (induced.along_pa(direction) - expected).abs() < 1e-12,
                "{shown} {order:?} {direction:?}"
            );
        };
        is_along(50.0, -51.5, TapOrder::HouseMinusOutdoors, Depressurise);
        is_along(50.0, 51.5, TapOrder::OutdoorsMinusHouse, Depressurise);
        is_along(50.0, 51.5, TapOrder::Unsigned, Depressurise);
        is_along(50.0, 48.5, TapOrder::Unsigned, Pressurise);
        is_along(-47.0, 48.5, TapOrder::OutdoorsMinusHouse, Pressurise);
    }
}
