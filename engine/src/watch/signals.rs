//! The same control rules as in the year, fed by traces; a signal that falls silent is lost.
//!
//! Nothing is set: what a rule would have set is told, and the device stays its owner's.

use super::{Clock, HOUR_MS, Setup, Watch};
use crate::air;
use crate::doc::rules::Does;
use crate::rule::{Machine, Remembered, Set, Setting, Signals};
use serde::{Deserialize, Serialize};

/// What is done only when it changes (a door, a fan's command, people) holds for so long, ms.
const HOLDS_MS: i64 = 24 * HOUR_MS;
/// Longest time between two points that says what is usual, ms.
const LONGEST_GAP_MS: f64 = 6.0 * HOUR_MS as f64;

/// Usual time between points after one more gap, ms.
pub(super) fn usual_gap_ms(usual_ms: f64, gap_ms: i64) -> f64 {
    let gap = (gap_ms as f64).min(LONGEST_GAP_MS);
    if usual_ms > 0.0 { usual_ms + 0.05 * (gap - usual_ms) } else { gap }
}

/// How long a signal may be silent before it counts as lost, ms: three usual gaps, at least fifteen minutes.
pub(super) fn patience_ms(usual_ms: f64) -> f64 {
    (3.0 * usual_ms).max(0.25 * HOUR_MS as f64)
}

/// The last that a source said, and how often it usually speaks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Ear {
    /// Time of the last point, ms.
    last_ms: Option<i64>,
    /// Its value, SI.
    last: f64,
    /// Usual time between points, ms.
    gap_ms: f64,
}

impl Ear {
    /// Hears a point (ms, SI); one that is older than the last says nothing of now.
    pub fn hear(&mut self, time_ms: i64, value: f64) {
        if !value.is_finite() || self.last_ms.is_some_and(|l| time_ms < l) {
            return;
        }
        if let Some(last_ms) = self.last_ms.filter(|l| *l < time_ms) {
            self.gap_ms = usual_gap_ms(self.gap_ms, time_ms - last_ms);
        }
        (self.last_ms, self.last) = (Some(time_ms), value);
    }

    /// The value of now, SI; nothing where it was silent for three usual gaps, at least fifteen minutes, or for a day
    /// where it speaks of changes only.
    pub fn heard(&self, now_ms: i64, changes_only: bool) -> Option<f64> {
        let most_ms = if changes_only { HOLDS_MS as f64 } else { patience_ms(self.gap_ms) };
        self.last_ms.filter(|l| (now_ms - l) as f64 <= most_ms).map(|_| self.last)
    }
}

/// Rules at work on a house that is watched. A machine begins with every rule off.
#[derive(Clone, Debug)]
pub struct Ruled {
    machine: Machine,
    signals: Vec<f64>,
    last_ms: Option<i64>,
}

/// What rules remember, to be written down.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RuledMemory {
    machine: Remembered,
    last_ms: Option<i64>,
}

/// One rule as it stands.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RuleNow {
    /// The name people read.
    pub label: String,
    /// The device, as people call it.
    pub device: String,
    /// Whether it would be on.
    pub on: bool,
    /// Since when, ms; nothing where it was so from the beginning.
    pub since_ms: Option<i64>,
    /// Whether a signal of it is lost, so that its fail-safe counts.
    pub lost: bool,
    /// Share of full that it sets, 0 to 1.
    pub share: f64,
    /// Whether it holds the device down to that share rather than sets it.
    pub locks_out: bool,
    /// What is owed through it, s of one excess exposure.
    pub owed_s: f64,
}

/// One device as the rules would have it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct DeviceNow {
    /// The name people read.
    pub label: String,
    /// Share of full that a rule asks for, 0 to 1; nothing leaves it to its own schedule.
    pub set: Option<f64>,
    /// Share of full that lock-outs leave, 0 to 1.
    pub at_most: f64,
}

/// What the rules would have done.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RulesNow {
    /// When the machine looked last, ms.
    pub at_ms: i64,
    /// Rules, by falling priority.
    pub rules: Vec<RuleNow>,
    /// Devices that a rule may set or hold down.
    pub devices: Vec<DeviceNow>,
    /// Relative exposure and what is owed, s of one excess exposure, where the documents say what is owed.
    pub owed: Option<(f64, f64)>,
}

/// Signals of now: one value a slot, SI; what nobody measures, or what is silent, is no number. `heard` has what was
/// heard lately by its name in rules (`bedroom.co2`); the first of one name counts.
pub fn signals(
    of: &Signals,
    heard: &[(String, f64)],
    clock: Clock,
    pressure_pa: f64,
    now_ms: i64,
) -> Vec<f64> {
    let mut list = vec![f64::NAN; of.list.len()];
    let mut put = |name: &str, value: f64| {
        if let Some(place) = of.slot(name).and_then(|s| list.get_mut(s)).filter(|v| v.is_nan()) {
            *place = value;
        }
    };
    let hour = clock.year_s(now_ms) / 3600.0;
    put("time.hour", hour.rem_euclid(24.0));
    let days = clock.day(now_ms);
    // 1 January 1970 was a Thursday.
    put("time.weekday", ((days + 3).rem_euclid(7) + 1) as f64);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a day of the year")]
    let month = crate::weather::month_of(((hour / 24.0) as usize).min(364));
    put("time.month", (month + 1) as f64);
    let value = |name: &str| heard.iter().find(|h| h.0 == name).map(|h| h.1);
    for (name, si) in heard {
        put(name, *si);
        if let Some(place) = name.strip_suffix(".on") {
            put(&format!("{place}.run_share"), *si);
        }
        let Some(place) = name.strip_suffix(".temp") else { continue };
        if let (Some(temp_k), Some(rh)) = (value(name), value(&format!("{place}.rh"))) {
            let vapour_pa = rh * air::saturation_pressure_pa(temp_k);
            put(&format!("{place}.humidity_ratio"), air::humidity_ratio(vapour_pa, pressure_pa));
            put(&format!("{place}.dew_point"), air::dew_point_k(vapour_pa));
        }
    }
    list
}

impl Ruled {
    /// All rules off.
    pub fn new(set: Set) -> Ruled {
        Ruled { signals: Vec::new(), machine: Machine::new(set), last_ms: None }
    }

    /// Goes on from what was remembered of the same rules; nothing where it is of others.
    pub fn resumed(set: Set, memory: RuledMemory) -> Option<Ruled> {
        let machine = Machine::resumed(set, memory.machine)?;
        Some(Ruled { signals: Vec::new(), machine, last_ms: memory.last_ms })
    }

    /// What is remembered.
    pub fn remembered(&self) -> RuledMemory {
        RuledMemory { machine: self.machine.remembered(), last_ms: self.last_ms }
    }

    /// Looks at the traces of now; one setting a device. The caller says how often: a step a minute to five.
    pub fn step(&mut self, setup: &Setup<'_>, watch: &Watch, now_ms: i64) -> &[Setting] {
        let mut heard = Vec::new();
        for (source, trace) in setup.sources.iter().zip(watch.traces()) {
            if let Some(value) = trace.last.filter(|_| !trace.is_lost(now_ms)) {
                heard.push((source.name.clone(), value));
            }
        }
        let pressure_pa = setup.weather.map_or(air::STANDARD_PRESSURE_PA, |w| w.mean_pressure_pa());
        self.step_heard(&heard, setup.clock, pressure_pa, now_ms)
    }

    /// The same of what was heard lately, by its names in rules.
    pub fn step_heard(
        &mut self,
        heard: &[(String, f64)],
        clock: Clock,
        pressure_pa: f64,
        now_ms: i64,
    ) -> &[Setting] {
        self.signals = signals(&self.machine.set().signals, heard, clock, pressure_pa, now_ms);
        self.machine.fill_own(&mut self.signals);
        let dt_s = self.last_ms.map_or(0.0, |l| (now_ms - l) as f64 / 1000.0).max(0.0);
        self.last_ms = Some(now_ms);
        self.machine.step(&self.signals, dt_s)
    }

    /// The machine, for what is on, what is lost and what is owed.
    pub fn machine(&self) -> &Machine {
        &self.machine
    }

    /// How rules and devices stand; nothing before the first look.
    pub fn now(&self) -> Option<RulesNow> {
        let (at_ms, machine) = (self.last_ms?, &self.machine);
        let set = machine.set();
        let label =
            |device: usize| set.signals.devices.get(device).map_or_else(String::new, |d| d.label.clone());
        let one = |(k, rule): (usize, &crate::rule::Rule)| {
            let (share, locks_out) = match rule.does {
                Does::Set { on, .. } => (on, false),
                Does::LockOut { floor } => (floor, true),
            };
            #[expect(clippy::cast_possible_truncation, reason = "a time within centuries")]
            let since_ms = machine.since_s(k).map(|s| at_ms - (1000.0 * s) as i64);
            RuleNow {
                label: rule.label.clone(),
                device: label(rule.device),
                on: machine.is_on(k),
                since_ms,
                lost: machine.is_lost(k),
                share,
                locks_out,
                owed_s: machine.ledger().map_or(0.0, |l| l.owed_by_s(k)),
            }
        };
        let mut named: Vec<usize> = set.rules.iter().map(|r| r.device).collect();
        named.sort_unstable();
        named.dedup();
        let settings = machine.settings();
        let device =
            |d: usize| settings.get(d).map(|s| DeviceNow { label: label(d), set: s.set, at_most: s.at_most });
        Some(RulesNow {
            at_ms,
            rules: set.rules.iter().enumerate().map(one).collect(),
            devices: named.into_iter().filter_map(device).collect(),
            owed: machine.ledger().map(|l| (l.relative_exposure(), l.owed_s())),
        })
    }
}
