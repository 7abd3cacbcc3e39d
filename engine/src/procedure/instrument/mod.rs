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

mod calibration;

pub use calibration::{Calibration, Curve, CurvePoint, FlowError};

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
///
/// ```
/// use engine::procedure::instrument::{Direction, HousePressure, TapOrder};
/// let direction = Direction::Depressurise;
/// let house = HousePressure::shown(51.5, TapOrder::OutdoorsMinusHouse, direction);
/// assert_eq!(house.less_baseline(-1.5).along_pa(direction), 50.0);
/// ```
///
/// A baseline comes out once:
///
/// ```compile_fail
/// use engine::procedure::instrument::{Direction, HousePressure, TapOrder};
/// let house = HousePressure::shown(-51.5, TapOrder::HouseMinusOutdoors, Direction::Depressurise);
/// let induced = house.less_baseline(-1.5);
/// induced.less_baseline(-1.5);
/// ```
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
///
/// Only a [`FlowGauge`] makes one, and no correction can be applied twice:
///
/// ```compile_fail
/// use engine::procedure::instrument::*;
/// fn twice(flow: FlowThroughEnvelope, air: &AirSide) -> AtReference {
///     let once = flow.at_reference(air, ReferenceForm::Density, 0.65);
///     once.at_reference(air, ReferenceForm::Density, 0.65)
/// }
/// ```
///
/// ```compile_fail
/// use engine::procedure::instrument::*;
/// fn twice(flow: FlowAtFan, air: &AirAtTest) -> (FlowThroughEnvelope, FlowThroughEnvelope) {
///     let direction = Direction::Pressurise;
///     (flow.through_envelope(air, direction), flow.through_envelope(air, direction))
/// }
/// ```
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

    /// Together with what another fan moved through the same leaks at the same time.
    #[must_use]
    pub fn with(self, other: FlowThroughEnvelope) -> FlowThroughEnvelope {
        FlowThroughEnvelope(self.0 + other.0)
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

    /// Together with what another fan moved through the same leaks at the same time.
    #[must_use]
    pub fn with(self, other: AtReference) -> AtReference {
        AtReference(self.0 + other.0)
    }
}

/// Leakage at reference conditions over leakage at the test, for the exponent `n`.
///
/// ```
/// use engine::procedure::instrument::{AirSide, ReferenceForm, reference_factor};
/// let cold = AirSide { density_kg_m3: 1.316357, viscosity_pa_s: 1.691e-5 };
/// let factor = reference_factor(&cold, ReferenceForm::Density, 0.658736);
/// assert!((factor - 74.5909 / 72.3561).abs() < 1e-5);
/// ```
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

impl Leakage {
    /// Value, m3/s.
    pub fn m3_s(&self) -> f64 {
        match self {
            Leakage::AtTest(flow) => flow.m3_s(),
            Leakage::AtReference(flow) => flow.m3_s(),
        }
    }

    /// Together with what another fan moved at the same time; [`FlowError::OtherConditions`] where one
    /// gauge has brought its part to reference conditions and the other has not.
    ///
    /// ```
    /// use engine::procedure::instrument::*;
    /// let side = AirSide::reference();
    /// let air = AirAtTest { indoor: side, outdoor: side };
    /// let shown = |basis, shown| {
    ///     FlowGauge::flow(basis).leakage(FanReading { shown, range: 0 }, Direction::Depressurise, &air).unwrap()
    /// };
    /// let both = shown(Basis::Actual, 0.25).with(shown(Basis::Envelope, 0.5)).unwrap();
    /// assert_eq!(both.m3_s(), 0.75);
    /// let mixed = shown(Basis::Actual, 0.25).with(shown(Basis::Reference, 0.5));
    /// assert_eq!(mixed, Err(FlowError::OtherConditions));
    /// ```
    pub fn with(self, other: Leakage) -> Result<Leakage, FlowError> {
        match (self, other) {
            (Leakage::AtTest(a), Leakage::AtTest(b)) => Ok(Leakage::AtTest(a.with(b))),
            (Leakage::AtReference(a), Leakage::AtReference(b)) => Ok(Leakage::AtReference(a.with(b))),
            _ => Err(FlowError::OtherConditions),
        }
    }
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
        let flow_m3_s = leakage.m3_s();
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
