//! How the equipment ran while it was read: mode, stage, steady or not, kind of motor.

use crate::measure::{Estimate, NoInterval};
use crate::procedure::field::{Check, Limit, Note, Worked};
use crate::procedure::verdict::Verdict;
use crate::units::Quantity;
use serde::Serialize;

/// What the equipment did.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Mode {
    /// It heated.
    Heating,
    /// It cooled.
    Cooling,
    /// Only the blower ran.
    FanOnly,
}

/// How the blower's motor answers to more resistance.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Motor {
    /// Fixed windings (permanent split capacitor): flow falls, watts hardly rise.
    FixedSpeed,
    /// Constant torque: flow falls a little.
    ConstantTorque,
    /// Constant airflow: flow is held, watts and speed rise.
    ConstantAirflow,
}

/// The setup.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Setup {
    /// What it did.
    pub mode: Option<Mode>,
    /// Stage, in the tester's words.
    pub stage: Option<String>,
    /// Whether the equipment varies its output by itself.
    pub modulating: bool,
    /// Whether it was held at a fixed output for the test.
    pub held: bool,
    /// Time since it started, s.
    pub since_start_s: Option<f64>,
    /// Time it needs to settle, s, as the tester requires.
    pub steady_after_s: Option<f64>,
    /// The blower's motor.
    pub motor: Option<Motor>,
}

impl Setup {
    /// Whether a reading says something of one known state: settled as far as is told, and not free
    /// to vary.
    ///
    /// ```
    /// use engine::procedure::handler::setup::Setup;
    /// let free = Setup { modulating: true, ..Setup::default() };
    /// assert!(!free.holds());
    /// assert!(Setup { held: true, ..free.clone() }.holds());
    /// let early = Setup { since_start_s: Some(300.0), steady_after_s: Some(900.0), ..Setup::default() };
    /// assert!(!early.holds());
    /// ```
    pub fn holds(&self) -> bool {
        let early = self.since_start_s.zip(self.steady_after_s).is_some_and(|(run, need)| run < need);
        // A requirement that was set and not met in writing is not met.
        let untold = self.steady_after_s.is_some() && self.since_start_s.is_none();
        !(early || untold || (self.modulating && !self.held))
    }

    /// Takes the verdict away where the setup does not hold.
    pub(super) fn judge(&self, check: Check) -> Check {
        if self.holds() { check } else { Check { verdict: Verdict::CannotTell, ..check } }
    }

    /// Adds what has to be said of it: the steady time as a check, and cautions.
    pub(super) fn say_steady(&self, worked: &mut Worked) {
        if let Some(need) = self.steady_after_s {
            let since = self.since_start_s.map(|s| Estimate::without(s, Quantity::Time, NoInterval::Exact));
            let limit = Limit::at_least(need, crate::procedure::source::TYPED, true);
            worked.checks.push(limit.check("check-running-time", since));
        } else {
            worked.notes.push(Note::new("note-steady-untold"));
        }
        if self.modulating && !self.held {
            worked.notes.push(Note::caution("note-modulating"));
        } else if !self.holds() {
            worked.notes.push(Note::caution("note-not-run-in"));
        }
    }

    /// The same, and what the motor does.
    pub(super) fn say(&self, worked: &mut Worked) {
        self.say_steady(worked);
        worked.notes.push(Note::new(match self.motor {
            Some(Motor::ConstantAirflow) => "note-motor-airflow",
            Some(Motor::ConstantTorque) => "note-motor-torque",
            Some(Motor::FixedSpeed) => "note-motor-fixed",
            None => "note-motor-unknown",
        }));
    }
}
