//! Rules at work: which are on, since when, and what that makes of every device.
//!
//! One step: time passes for everything that is remembered; each rule whose signals are all there
//! looks at its conditions, one whose signal is lost goes to its fail-safe; a change waits for the
//! least times and the most in 24 hours; then each device gets the setting of its highest rule that
//! is on, held down by lock-outs of no lower priority. No allocation, no clock, no randomness.
//!
//! Order of strength: least times, the most in 24 hours, the fail-safe, the conditions. What ends a
//! rule is stronger than what starts it. A machine begins with every rule off since that moment, so
//! that a restart shortens no rest.

use super::Set;
use super::debt::{Ledger, Owed};
use crate::doc::rules::{Does, IfLost};

/// Hours remembered for the most in 24 hours: the current one and all that the day before touches.
const HOURS: usize = 25;
const HOUR_S: f64 = 3600.0;

/// Time on in the last day, by hours.
#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
struct Lately {
    on_s: [f64; HOURS],
    at: usize,
    into_s: f64,
    sum_s: f64,
}

impl Lately {
    fn pass(&mut self, mut dt_s: f64, on: bool) {
        // More than a day leaves nothing of what was before; whole days need not be walked.
        dt_s = dt_s.min((HOURS + 1) as f64 * HOUR_S);
        while dt_s > 0.0 {
            let part = dt_s.min(HOUR_S - self.into_s);
            if on {
                self.on_s[self.at] += part;
                self.sum_s += part;
            }
            self.into_s += part;
            dt_s -= part;
            if self.into_s >= HOUR_S {
                self.into_s = 0.0;
                self.at = (self.at + 1) % HOURS;
                self.on_s[self.at] = 0.0;
                self.sum_s = self.on_s.iter().sum();
            }
            if part <= 0.0 {
                break;
            }
        }
    }
}

#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
struct Memory {
    on: bool,
    lost: bool,
    since_s: f64,
    /// Whether it ever changed: before that it was off from the beginning.
    changed: bool,
    lately: Lately,
}

/// What rules make of a device.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Setting {
    /// Share of full that a rule asks for, 0 to 1; nothing leaves the device to its own schedule.
    pub set: Option<f64>,
    /// Share of full that lock-outs leave, 0 to 1.
    pub at_most: f64,
}

impl Setting {
    /// No rule has anything to say.
    pub const FREE: Setting = Setting { set: None, at_most: 1.0 };

    /// The share of full that the device runs at, where `own` is what its own schedule asks for.
    pub fn applied(self, own: f64) -> f64 {
        self.set.unwrap_or(own).min(self.at_most)
    }
}

/// What a machine remembers, to be written down.
#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub struct Remembered {
    memory: Vec<Memory>,
    owed: Option<Owed>,
}

/// A set of rules with what it remembers.
#[derive(Clone, Debug, PartialEq)]
pub struct Machine {
    set: Set,
    memory: Vec<Memory>,
    settings: Vec<Setting>,
    /// By device, priority of the rule that is on and sets it.
    strength: Vec<Option<usize>>,
    ledger: Option<Ledger>,
    outdoor_air: Option<usize>,
    own: [Option<usize>; 2],
}

impl Machine {
    /// All rules off, nothing owed.
    pub fn new(set: Set) -> Machine {
        let lately = Lately { on_s: [0.0; HOURS], at: 0, into_s: 0.0, sum_s: 0.0 };
        let memory = Memory { on: false, lost: false, since_s: 0.0, changed: false, lately };
        let ledger = set
            .exposure
            .filter(|_| set.volume_m3 > 0.0)
            .map(|e| Ledger::new(e, set.volume_m3, set.rules.len()));
        Machine {
            memory: vec![memory; set.rules.len()],
            settings: vec![Setting::FREE; set.signals.devices.len()],
            strength: vec![None; set.signals.devices.len()],
            ledger,
            outdoor_air: set.signals.slot("house.outdoor_air"),
            own: ["house.relative_exposure", "house.debt"].map(|n| set.signals.slot(n)),
            set,
        }
    }

    /// What is remembered.
    pub fn remembered(&self) -> Remembered {
        Remembered { memory: self.memory.clone(), owed: self.ledger.as_ref().map(Ledger::remembered) }
    }

    /// Goes on from what was remembered of the same rules; nothing where it is of others.
    pub fn resumed(set: Set, of: Remembered) -> Option<Machine> {
        let mut machine = Machine::new(set);
        if of.memory.len() != machine.memory.len() || of.memory.iter().any(|m| m.lately.at >= HOURS) {
            return None;
        }
        machine.memory = of.memory;
        let owed = match (&mut machine.ledger, of.owed) {
            (Some(ledger), Some(owed)) => ledger.resume(owed),
            (None, None) => true,
            _ => false,
        };
        if !owed {
            return None;
        }
        machine.arrange();
        Some(machine)
    }

    /// Time since a rule went on or off, s; nothing where it never did.
    pub fn since_s(&self, rule: usize) -> Option<f64> {
        self.memory.get(rule).filter(|m| m.changed).map(|m| m.since_s)
    }

    /// The rules.
    pub fn set(&self) -> &Set {
        &self.set
    }

    /// Writes what the machine itself knows into the signals: relative exposure and what is owed.
    /// Where nothing is owed by the documents, both slots stay as they are.
    pub fn fill_own(&self, signals: &mut [f64]) {
        let Some(ledger) = &self.ledger else { return };
        for (slot, value) in self.own.iter().zip([ledger.relative_exposure(), ledger.owed_s()]) {
            if let Some(place) = slot.and_then(|s| signals.get_mut(s)) {
                *place = value;
            }
        }
    }

    /// Goes on by `dt_s`, the time since the step before, and decides by the signals of now: one
    /// value a slot, SI, flags as 1 and 0; no number (NaN) is a lost signal. Returns one setting a
    /// device, in the order of [`Signals::devices`](super::Signals::devices). `house.outdoor_air` is
    /// the mean over the time that passed. Allocates nothing.
    pub fn step(&mut self, signals: &[f64], dt_s: f64) -> &[Setting] {
        let rules = &self.set.rules;
        if let Some(ledger) = &mut self.ledger {
            let acting = self.memory.iter().zip(rules).position(|(m, r)| m.on && r.debt);
            let flow = self.outdoor_air.and_then(|s| signals.get(s)).copied().unwrap_or(f64::NAN);
            ledger.step(dt_s, flow, acting);
        }
        for (memory, rule) in self.memory.iter_mut().zip(rules) {
            memory.since_s += dt_s;
            let capped = rule.most_on_s.is_finite();
            if capped {
                memory.lately.pass(dt_s, memory.on);
            }
            let read = |slot: &u16| signals.get(usize::from(*slot)).copied().unwrap_or(f64::NAN);
            memory.lost = rule.slots.iter().any(|s| read(s).is_nan());
            let wanted = if memory.lost {
                rule.if_lost == IfLost::On
            } else {
                match &rule.off_when {
                    // What ends it is stronger than what starts it.
                    Some(off) if off.holds(signals) => false,
                    Some(_) if memory.on => true,
                    _ => rule.on_when.holds(signals),
                }
            };
            let used_s = memory.lately.sum_s;
            let wanted = wanted
                && (!capped
                    || if memory.on {
                        used_s < rule.most_on_s
                    } else {
                        used_s + rule.min_on_s < rule.most_on_s
                            || (used_s <= 0.0 && rule.min_on_s <= rule.most_on_s)
                    });
            let least_s = if memory.on { rule.min_on_s } else { rule.min_off_s };
            if wanted != memory.on && memory.since_s >= least_s {
                memory.on = wanted;
                memory.since_s = 0.0;
                memory.changed = true;
            }
        }
        self.arrange();
        &self.settings
    }

    /// Settings by the rules that are on.
    fn arrange(&mut self) {
        self.settings.fill(Setting::FREE);
        self.strength.fill(None);
        let rules = || self.set.rules.iter().zip(&self.memory);
        // Rules stand by falling priority: the first one counts.
        for (rule, memory) in rules() {
            if let Does::Set { on, .. } = rule.does
                && memory.on
                && self.strength[rule.device].is_none()
            {
                self.strength[rule.device] = Some(rule.priority);
                self.settings[rule.device].set = Some(on);
            }
        }
        for (rule, memory) in rules() {
            let setting = &mut self.settings[rule.device];
            match rule.does {
                Does::Set { off: Some(off), .. } => {
                    let silent = memory.on || (memory.lost && rule.if_lost == IfLost::LetGo);
                    if !silent && setting.set.is_none() {
                        setting.set = Some(off);
                    }
                }
                Does::LockOut { floor }
                    if memory.on && self.strength[rule.device].is_none_or(|p| p <= rule.priority) =>
                {
                    setting.at_most = setting.at_most.min(floor);
                }
                _ => {}
            }
        }
    }

    /// The settings of the last step.
    pub fn settings(&self) -> &[Setting] {
        &self.settings
    }

    /// Whether a rule is on.
    pub fn is_on(&self, rule: usize) -> bool {
        self.memory.get(rule).is_some_and(|m| m.on)
    }

    /// Whether a signal of a rule was lost at the last step.
    pub fn is_lost(&self, rule: usize) -> bool {
        self.memory.get(rule).is_some_and(|m| m.lost)
    }

    /// Time that a rule was on in the last 24 hours or up to one more, s; counted where a most is stated.
    pub fn lately_s(&self, rule: usize) -> f64 {
        self.memory.get(rule).map_or(0.0, |m| m.lately.sum_s)
    }

    /// What is owed.
    pub fn ledger(&self) -> Option<&Ledger> {
        self.ledger.as_ref()
    }
}
