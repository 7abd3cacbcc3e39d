//! Control rules: when a condition holds, set a device. The same rules run in the simulated year and
//! in the live watch.
//!
//! Text -> [`crate::doc::rules`] -> [`compile`] -> [`Set`] -> [`Machine`]. Conditions are CEL, the
//! Common Expression Language, read by the crate `cel` and nothing of it kept: an expression is
//! checked against the list of [`Signals`] (names, quantities, ranges), its quantities are folded to
//! SI, and it becomes a flat [`Program`] over numbered slots that runs without allocation. Every
//! expression that is accepted means here what it means to any CEL interpreter that is given the
//! signals as doubles and bools; a test holds 10 000 random ones to that.
//!
//! What a rule remembers (least times, a most in 24 hours, debts) stands in its fields, not in the
//! expression. What can fail: codes R of [`crate::diag`].

mod authority;
mod background;
mod check;
mod debt;
mod lower;
mod machine;
mod mixing;
mod program;
mod provoke;
mod region;
mod signal;
#[cfg(test)]
mod tests;

pub use authority::{Command, Refusal, authorities};
pub use background::Background;
pub use check::compile;
pub use debt::{Ledger, Worst, exposure_after, repay_s};
pub use lower::condition;
pub use machine::{Machine, Remembered, Setting};
pub use mixing::{Charge, MixingAir, charge};
pub use program::Program;
pub use provoke::{Act, Demand, Event, Part, Provoked, Stage, demands, live, provoke};
pub use region::{Bounds, Region};
pub use signal::spelled;
pub use signal::{Device, DeviceKind, Kind, Signal, Signals};

use crate::diag::Span;
use crate::doc::rules::{Condition, Does, Exposure, IfLost};

/// A rule that can run.
#[derive(Clone, Debug, PartialEq)]
pub struct Rule {
    /// The name in the document.
    pub name: String,
    /// The name people read.
    pub label: String,
    /// Device, by index in [`Signals::devices`].
    pub device: usize,
    /// What it does.
    pub does: Does,
    /// When it starts.
    pub on_when: Program,
    /// When it ends; nothing: as soon as `on_when` no longer holds.
    pub off_when: Option<Program>,
    /// The conditions as written.
    pub text: (Condition, Option<Condition>),
    /// Where each condition holds, as far as it can be told.
    pub region: (Region, Option<Region>),
    /// Slots that the conditions read, each once.
    pub slots: Vec<u16>,
    /// Least time on, s.
    pub min_on_s: f64,
    /// Least time off, s.
    pub min_off_s: f64,
    /// Most time on in any 24 hours, s; infinite where nothing is stated.
    pub most_on_s: f64,
    /// The higher one counts.
    pub priority: usize,
    /// When a signal is lost.
    pub if_lost: IfLost,
    /// Whether what it takes is owed.
    pub debt: bool,
    /// Where it was written.
    pub span: Span,
}

/// Rules put together for one house.
#[derive(Clone, Debug, PartialEq)]
pub struct Set {
    /// What the rules may read and set.
    pub signals: Signals,
    /// Rules, by falling priority, else in the order of the files.
    pub rules: Vec<Rule>,
    /// Ventilation that is owed.
    pub exposure: Option<Exposure>,
    /// Air of the rooms that people live in, m3: what relative exposure is counted in.
    pub volume_m3: f64,
}
