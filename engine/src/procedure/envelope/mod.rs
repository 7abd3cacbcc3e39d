//! Fan-pressurisation tests of the building envelope, worked to a published procedure.
//!
//! [`evaluate()`] takes an [`EnvelopeTest`] (typed SI readings that say what they show) and a
//! [`Profile`] (the standard's rules as data) and gives the leakage curve, the figures with their
//! intervals, and every validity check. Chain: baseline out, flow at the meter, through the
//! envelope, log-log line, reference conditions, figures; sources at each step. An exponent outside
//! its range, a pressure not reached or a failed check stays visible and hides nothing. Bad input
//! comes back as diagnostics E101 and following; a station that cannot be used is named and left out.
//!
//! Beside the standard's own numbers stands the [`honest`] estimate, which counts the wind.
//!
//! Not covered: weighted fits (see [`crate::measure::regression`]).

mod check;
mod conditions;
mod curve;
mod evaluate;
mod fans;
mod figures;
pub mod honest;
mod input;
mod profile;
mod result;
mod run;
mod spread;

pub use check::{Check, CheckId};
pub use evaluate::{Outcome, evaluate};
pub use figures::{
    EQLA_DISCHARGE, FigureKind, Figures, FlowAt, REFERENCE_HEIGHT_M, REPORT_PA, leakage_area_m2,
    normalized_leakage,
};
pub use honest::Honest;
pub use input::{Averaged, Baseline, Building, Conditions, EnvelopeTest, Run, Site, Station};
pub use profile::{AssumedExponent, DensityForm, Limit, Method, PROFILES, Profile, Sourced};
pub use result::{
    AdoptedLimit, Assumption, BaselineMeans, BaselineSummary, Comparison, CurveBand, EnvelopeResult, FanPart,
    RunResult, StationResult,
};
pub use spread::{LEVEL, Parts, Split, Stated};
