//! Passages: where air goes, and by which law.

use super::error::{NetworkError, Parameter};
use super::fan::FanCurve;
use super::run::Run;
use std::sync::Arc;

/// One side of a passage.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Node {
    /// Outdoors, at a place whose wind pressure is `Boundary::wind_pa[wind]`.
    Outdoors {
        /// Index into the wind pressures; many passages may share one.
        wind: usize,
    },
    /// A zone.
    Zone(usize),
}

/// Anything that lets air pass; flow counts positive from `a` to `b`.
#[derive(Clone, Debug)]
pub struct Passage {
    /// The side flow counts from.
    pub a: Node,
    /// The side flow counts to.
    pub b: Node,
    /// Height above ground, m (not used by an opening, which has its own heights).
    pub z_m: f64,
    /// The law.
    pub kind: Kind,
}

/// The law of a passage. Coefficients are volumetric, at 20 degC, 101,325 Pa, dry air.
#[derive(Clone, Debug)]
pub enum Kind {
    /// A leak: `c dp^n`, corrected for density and viscosity as ASTM E779 does. `c = 0` is sealed.
    Leak {
        /// Coefficient, m3/(s Pa^n).
        c_m3_s_pan: f64,
        /// Flow exponent, 0.4 to 1.
        n: f64,
    },
    /// A one-way passage: backdraft damper, relief or barometric damper. Closed it leaks both
    /// ways; beyond `opens_pa` from a to b it opens. With `opens_pa = 0` the forward flow is
    /// `c dp^n`, the backward flow `closed dp^n`.
    Damper {
        /// Coefficient fully open, m3/(s Pa^n).
        c_m3_s_pan: f64,
        /// Flow exponent of both, 0.4 to 1.
        n: f64,
        /// Coefficient closed, m3/(s Pa^n): above zero, at most the open one.
        closed_c_m3_s_pan: f64,
        /// Pressure difference from a to b at which it opens, Pa, not negative.
        opens_pa: f64,
    },
    /// A large vertical opening (door, window) with flow both ways at once, orifice law over its
    /// height, each direction at the density of the air it carries.
    Opening {
        /// Clear width, m.
        width_m: f64,
        /// Clear height, m.
        height_m: f64,
        /// Height of the sill above ground, m.
        bottom_m: f64,
        /// Discharge coefficient.
        discharge: f64,
    },
    /// A flow that does not answer to pressure. Does not connect its ends.
    Fixed {
        /// Flow from a to b, kg/s.
        kg_s: f64,
    },
    /// A fan on its curve, blowing from a to b; inlet density is that of a.
    Curve(FanCurve),
    /// Resistances in series with, where there are such, a fan, a stack's draft, a draft hood.
    Run(Arc<Run>),
}

impl Kind {
    /// Whether flow grows with the pressure difference, so that the passage ties its ends.
    pub fn connects(&self) -> bool {
        match self {
            Self::Leak { c_m3_s_pan, .. } => *c_m3_s_pan > 0.0,
            Self::Damper { .. } | Self::Opening { .. } | Self::Curve(_) | Self::Run(_) => true,
            Self::Fixed { .. } => false,
        }
    }

    pub(super) fn check(&self, passage: usize) -> Result<(), NetworkError> {
        let within = |parameter, value: f64, min: f64, max: f64| {
            // Written so that NaN fails.
            if value >= min && value <= max {
                Ok(())
            } else {
                Err(NetworkError::OutOfBounds { passage, parameter, value, min, max })
            }
        };
        if let Self::Run(run) = self {
            return if run.is_valid() { Ok(()) } else { Err(NetworkError::BadRun { passage }) };
        }
        match *self {
            Self::Leak { c_m3_s_pan, n } => {
                within(Parameter::Coefficient, c_m3_s_pan, 0.0, C_MAX)?;
                within(Parameter::Exponent, n, N_MIN, N_MAX)
            }
            Self::Damper { c_m3_s_pan, n, closed_c_m3_s_pan, opens_pa } => {
                within(Parameter::Coefficient, c_m3_s_pan, CLOSED_MIN, C_MAX)?;
                within(Parameter::Exponent, n, N_MIN, N_MAX)?;
                within(Parameter::ClosedCoefficient, closed_c_m3_s_pan, CLOSED_MIN, c_m3_s_pan)?;
                within(Parameter::OpeningPressure, opens_pa, 0.0, 1000.0)
            }
            Self::Opening { width_m, height_m, bottom_m, discharge } => {
                within(Parameter::OpeningWidth, width_m, SIZE_MIN, SIZE_MAX)?;
                within(Parameter::OpeningHeight, height_m, SIZE_MIN, SIZE_MAX)?;
                within(Parameter::OpeningBottom, bottom_m, -HEIGHT_MAX, HEIGHT_MAX)?;
                within(Parameter::Discharge, discharge, 0.01, 1.0)
            }
            Self::Fixed { kg_s } => within(Parameter::FixedFlow, kg_s, -C_MAX, C_MAX),
            // A curve cannot be made but monotone.
            Self::Curve(_) | Self::Run(_) => Ok(()),
        }
    }
}

impl Passage {
    pub(super) fn check(&self, passage: usize) -> Result<(), NetworkError> {
        let (min, max) = (-HEIGHT_MAX, HEIGHT_MAX);
        if !(self.z_m >= min && self.z_m <= max) {
            let parameter = Parameter::Height;
            return Err(NetworkError::OutOfBounds { passage, parameter, value: self.z_m, min, max });
        }
        self.kind.check(passage)
    }
}

// Bounds of sense, ours: they catch wrong units, not unusual houses.
const N_MIN: f64 = 0.4;
const N_MAX: f64 = 1.0;
const C_MAX: f64 = 1e3;
const CLOSED_MIN: f64 = 1e-9;
const SIZE_MIN: f64 = 1e-4;
const SIZE_MAX: f64 = 100.0;
const HEIGHT_MAX: f64 = 1000.0;
