//! Rules put to the test: each condition provoked, and series lived through.
//!
//! For a rule's condition the analysis of [`super::region`] gives alternatives; each is provoked by
//! signals under which it holds, then the rule is ended, then its signals are lost. What is expected
//! comes from the rule's own fields and conditions; what is seen comes from a [`Machine`] with the
//! whole set of rules.

use super::machine::{Machine, Setting};
use super::region::{Bounds, Region, holds};
use super::{Set, check};
use crate::doc::rules::IfLost;

/// Step of a provocation, s.
const STEP_S: f64 = 30.0;
/// Time after which what was provoked has to be seen, beyond the least times, s.
const AFTER_S: f64 = 300.0;

/// What happened to a rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Act {
    /// It went on.
    On,
    /// It went off.
    Off,
    /// A signal was lost.
    Lost,
    /// All signals are there again.
    Back,
}

/// Something that happened.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Event {
    /// Since the start, s.
    pub time_s: f64,
    /// The rule.
    pub rule: usize,
    /// What happened.
    pub act: Act,
    /// What that made of its device.
    pub setting: Setting,
    /// What is owed then, s of one excess exposure.
    pub owed_s: f64,
}

/// What one part of a provocation does.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Stage {
    /// Nothing calls.
    Rest,
    /// An alternative of the condition holds.
    Provoke(usize),
    /// The condition goes on holding beyond the most in 24 hours.
    Cap,
    /// What ends the rule.
    End,
    /// A signal of the rule is lost.
    Lose,
}

/// One part of a provocation.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Part {
    /// What was done.
    pub stage: Stage,
    /// How long it was held, s.
    pub held_s: f64,
    /// Whether the rule has to be on at its end.
    pub expected: bool,
    /// Whether it was.
    pub seen: bool,
    /// What the device got then.
    pub setting: Setting,
}

/// A rule provoked.
#[derive(Clone, Debug, PartialEq)]
pub struct Provoked {
    /// The rule.
    pub rule: usize,
    /// What was done, in order.
    pub parts: Vec<Part>,
    /// What happened meanwhile, to this rule.
    pub events: Vec<Event>,
    /// Alternatives for which no signals were found.
    pub without: usize,
}

impl Provoked {
    /// Whether everything was seen that was expected.
    pub fn is_as_expected(&self) -> bool {
        self.parts.iter().all(|p| p.expected == p.seen)
    }
}

/// What one alternative of a condition asks of the house.
#[derive(Clone, Debug, PartialEq)]
pub struct Demand {
    /// Bounds on single signals.
    pub bounds: Vec<Bounds>,
    /// Whether that is all: no comparison between signals is left.
    pub whole: bool,
}

/// What each alternative of a condition asks: the commissioning sheet's first column.
pub fn demands(region: &Region) -> Vec<Demand> {
    region.alternatives().into_iter().map(|(bounds, whole)| Demand { bounds, whole }).collect()
}

struct Stand<'a> {
    machine: Machine,
    rule: usize,
    set: &'a Set,
    time_s: f64,
    out: Provoked,
}

impl Stand<'_> {
    fn hold(&mut self, stage: Stage, signals: &mut [f64], held_s: f64, expected: bool) {
        let mut passed_s = 0.0;
        while passed_s < held_s {
            let (was_on, was_lost) = (self.machine.is_on(self.rule), self.machine.is_lost(self.rule));
            self.machine.step(signals, STEP_S);
            passed_s += STEP_S;
            self.time_s += STEP_S;
            events(&self.machine, self.rule, self.time_s, was_on, was_lost, &mut self.out.events);
        }
        let rule = &self.set.rules[self.rule];
        let seen = self.machine.is_on(self.rule);
        let setting = self.machine.settings()[rule.device];
        self.out.parts.push(Part { stage, held_s, expected, seen, setting });
    }
}

fn events(machine: &Machine, rule: usize, time_s: f64, was_on: bool, was_lost: bool, out: &mut Vec<Event>) {
    let setting = machine.settings()[machine.set().rules[rule].device];
    let owed_s = machine.ledger().map_or(0.0, super::Ledger::owed_s);
    let (on, lost) = (machine.is_on(rule), machine.is_lost(rule));
    let mut say = |act| out.push(Event { time_s, rule, act, setting, owed_s });
    if lost != was_lost {
        say(if lost { Act::Lost } else { Act::Back });
    }
    if on != was_on {
        say(if on { Act::On } else { Act::Off });
    }
}

/// Provokes one rule of the set.
pub fn provoke(set: &Set, rule: usize) -> Option<Provoked> {
    let it = set.rules.get(rule)?;
    let signals = &set.signals;
    let quiet = super::lower::Cond::Not(Box::new(check::may_be_on(it)));
    let usual = signals.usual();
    let rest = Region::of(&quiet, signals).witness(signals).unwrap_or(usual);
    let mut out = Stand {
        machine: Machine::new(set.clone()),
        rule,
        set,
        time_s: 0.0,
        out: Provoked { rule, parts: Vec::new(), events: Vec::new(), without: 0 },
    };
    let rests = !holds(&check::may_be_on(it), &rest);
    let (off_s, on_s) = (it.min_off_s.max(it.min_on_s) + AFTER_S, it.min_on_s.max(it.min_off_s) + AFTER_S);
    let mut calm = rest.clone();
    out.hold(Stage::Rest, &mut calm, off_s, !rests);
    let ends = |s: &[f64]| it.region.1.as_ref().is_some_and(|off| holds(off.cond(), s));
    let alternatives = it.region.0.alternatives().len();
    let witnesses: Vec<Vec<f64>> = it.region.0.witnesses(signals).into_iter().filter(|w| !ends(w)).collect();
    out.out.without = alternatives.saturating_sub(witnesses.len());
    // What ends it: its own condition, or that the first no longer holds.
    let ending = match &it.region.1 {
        Some(off) => off.witness(signals),
        None => Some(rest.clone()),
    };
    for (at, witness) in witnesses.iter().enumerate() {
        let mut calling = witness.clone();
        // A most in 24 hours that is soon used up: what is left decides.
        let room_s = it.most_on_s - out.machine.lately_s(rule);
        let fits = room_s > on_s + AFTER_S;
        if !fits {
            break;
        }
        out.hold(Stage::Provoke(at), &mut calling, on_s, true);
        if let Some(ending) = &ending {
            let mut ending = ending.clone();
            out.hold(Stage::End, &mut ending, off_s, !rests);
        }
    }
    if let Some(first) = witnesses.first() {
        if it.most_on_s < 86_400.0 {
            let mut calling = first.clone();
            out.hold(Stage::Cap, &mut calling, it.most_on_s + off_s, false);
            let mut calm = rest.clone();
            out.hold(Stage::Rest, &mut calm, 25.0 * 3600.0, !rests);
        }
        // A lost signal has to be noticed in the state that is not the fail-safe.
        let to = it.if_lost == IfLost::On;
        let mut before = if to { rest.clone() } else { first.clone() };
        out.hold(
            if to { Stage::Rest } else { Stage::Provoke(0) },
            &mut before,
            on_s,
            if to { !rests } else { true },
        );
        if let Some(slot) = it.slots.first() {
            before[usize::from(*slot)] = f64::NAN;
            out.hold(Stage::Lose, &mut before, on_s, to);
        }
    }
    Some(out.out)
}

/// Lives through a series: the time of each row, s, and the signals of each row, one value a slot.
/// Each row counts until the next. What happened to each rule comes back in order.
pub fn live(set: &Set, time_s: &[f64], rows: &[Vec<f64>]) -> (Vec<Event>, Machine) {
    let mut machine = Machine::new(set.clone());
    let mut out = Vec::new();
    let mut signals: Vec<f64> = Vec::new();
    let mut before: Vec<(bool, bool)> = vec![(false, false); set.rules.len()];
    let mut last_s = time_s.first().copied().unwrap_or(0.0);
    for (now_s, row) in time_s.iter().zip(rows) {
        signals.clone_from(row);
        machine.fill_own(&mut signals);
        machine.step(&signals, now_s - last_s);
        last_s = *now_s;
        for (rule, was) in before.iter_mut().enumerate() {
            events(&machine, rule, *now_s, was.0, was.1, &mut out);
            *was = (machine.is_on(rule), machine.is_lost(rule));
        }
    }
    (out, machine)
}
