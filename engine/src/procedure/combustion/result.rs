//! A `combustion zone` test worked.

use super::gas::{Action, Reached, air_free, reached};
use super::protocol::Levels;
use super::record::{flue, gas_leave, of_test, spillage};
use super::states::{Devices, Guide, State};
use crate::diag::{Diagnostic, code};
use crate::doc::field::combustion_zone::{CombustionZone, Condition};
use crate::measure::{Estimate, NoInterval, propagate};
use crate::procedure::fan_pressure::{Baseline, Level};
use crate::procedure::field::{Check, LEVEL, Limit, Note, Worked, around, rounded};
use crate::procedure::gauge::GaugeError;
use crate::procedure::source::cite;
use crate::procedure::verdict::Verdict;
use crate::units::{Accuracy, Quantity};
use serde::Serialize;

/// Half a step of an oxygen display, volume fraction (0.1 %): ours.
const OXYGEN_HALF: f64 = 0.001;
/// Untried states that are told one by one; the rest are counted.
const TOLD: usize = 6;

/// What was read.
#[derive(Clone, Debug)]
pub struct Asked<'a> {
    /// The test's name.
    pub test: &'a str,
    /// As written.
    pub written: &'a CombustionZone,
    /// What can run and shut in this house.
    pub devices: Devices,
    /// States tried: name, what runs and is shut, zone less outdoors in Pa.
    pub states: Vec<(String, State, Vec<f64>)>,
    /// CO of each room, volume fraction, as [`CombustionZone::ambient`].
    pub rooms: Vec<Vec<f64>>,
    /// The pressure gauge.
    pub gauge: GaugeError,
    /// Accuracy of the room's CO meter.
    pub room_accuracy: Option<Accuracy>,
    /// Accuracy of the combustion meter.
    pub flue_accuracy: Option<Accuracy>,
}

/// One state tried.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct StateResult {
    /// Its name.
    pub name: String,
    /// What ran and was shut.
    #[serde(flatten)]
    pub state: State,
    /// As read, Pa.
    pub shown_pa: f64,
    /// Less the baseline, Pa.
    pub net: Option<Estimate>,
}

/// One spillage test.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SpillageResult {
    /// Which appliance.
    pub appliance: String,
    /// State of the house.
    pub condition: Option<Condition>,
    /// How long it spilled, s.
    pub spilled: Estimate,
    /// The limit, s.
    pub limit_s: Option<f64>,
    /// Where it stands.
    pub limit_source: String,
    /// Whether it may decide.
    pub limit_confirmed: bool,
}

/// One flue, or one oven.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FlueResult {
    /// Which appliance.
    pub appliance: String,
    /// Whether it is an oven.
    pub oven: bool,
    /// As measured, where that is known.
    pub as_measured: Option<Estimate>,
    /// Air-free, where that is known.
    pub air_free: Option<Estimate>,
    /// Whether the air-free value was converted by oxygen.
    pub converted: bool,
    /// Oxygen of the gas, volume fraction.
    pub oxygen: Option<f64>,
    /// The limit, volume fraction.
    pub limit: Option<f64>,
    /// Its basis.
    pub limit_air_free: bool,
    /// Where it stands.
    pub limit_source: String,
    /// Whether it may decide.
    pub limit_confirmed: bool,
}

impl FlueResult {
    /// The value on the basis of the limit; nothing where only the other is known.
    fn against_limit(&self) -> Option<Estimate> {
        if self.limit_air_free { self.air_free } else { self.as_measured }
    }
}

/// CO of a room.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RoomAir {
    /// Where.
    pub place: String,
    /// The highest sample.
    pub highest: Option<Estimate>,
    /// The first sample at each level that was reached.
    pub reached: Vec<Reached>,
}

/// What follows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct CombustionResult {
    /// Levels of CO in the room.
    pub levels: Levels,
    /// The list of states with what was tried.
    pub guide: Guide,
    /// States tried.
    pub states: Vec<StateResult>,
    /// Index of the state with the greatest depressurisation.
    pub greatest: Option<usize>,
    /// Spillage.
    pub spillage: Vec<SpillageResult>,
    /// Flues and ovens.
    pub flues: Vec<FlueResult>,
    /// Draft: appliance, Pa.
    pub draft: Vec<(String, Estimate)>,
    /// Rooms.
    pub rooms: Vec<RoomAir>,
    #[serde(skip)]
    gas: Vec<(String, bool, Option<f64>)>,
    #[serde(skip)]
    gas_leave: f64,
    #[serde(skip)]
    limit: Option<Limit>,
    #[serde(skip)]
    draft_limits: Vec<Option<Limit>>,
    #[serde(skip)]
    levels_confirmed: bool,
}

/// Works it: net pressures, the guide, and every result against its limit. One that cannot be used is
/// said and left out. Sources: see the module and [`super::PROTOCOLS`].
pub fn evaluate(asked: &Asked<'_>) -> (CombustionResult, Vec<Diagnostic>) {
    let test = asked.written;
    let mut said = Vec::new();
    let about = |d: Diagnostic| d.arg("test", asked.test);
    let (protocol, levels, refused) = of_test(test);
    if refused > 0 {
        said.push(about(Diagnostic::warning(code::C104)).arg("count", refused));
    }
    let baseline =
        Baseline { before_pa: test.baseline_before.clone(), after_pa: test.baseline_after.clone() };
    if baseline.level().is_none() && !asked.states.is_empty() {
        said.push(about(Diagnostic::error(code::C101)));
    }
    let mut states: Vec<StateResult> = Vec::new();
    for (name, state, shown) in &asked.states {
        let Some(level) = Level::of(shown) else { continue };
        if states.iter().any(|s| s.state == *state) {
            said.push(about(Diagnostic::warning(code::C107)).arg("state", name.as_str()));
        }
        states.push(StateResult {
            name: name.clone(),
            state: state.clone(),
            shown_pa: level.mean_pa,
            net: baseline.moved(&level, &asked.gauge),
        });
    }
    let greatest =
        (states.iter().enumerate()).min_by(|a, b| a.1.shown_pa.total_cmp(&b.1.shown_pa)).map(|(k, _)| k);
    let read: Vec<(State, f64)> = states.iter().map(|s| (s.state.clone(), s.shown_pa)).collect();
    let spilled = test.spillage.iter().map(|one| {
        let record = spillage(test, one);
        SpillageResult {
            appliance: record.appliance.value.clone(),
            condition: one.condition,
            spilled: Estimate::without(
                record.spilled_s.value,
                Quantity::Time,
                NoInterval::TypedWithoutInstrument,
            ),
            limit_s: record.limit_s,
            limit_source: record.limit_source.unwrap_or_default(),
            limit_confirmed: record.limit_confirmed,
        }
    });
    let flues = (test.flue_co.iter().map(|f| (f, false)))
        .chain(test.oven.iter().map(|f| (f, true)))
        .map(|(one, oven)| {
            let (value, typed_air_free) = (one.record.value.value, one.record.air_free);
            let name = one.record.appliance.value.as_str();
            let record = flue(test, one, oven);
            if one.oxygen.is_some_and(|o| air_free(1.0, o).is_none()) {
                said.push(
                    about(Diagnostic::warning(code::C106))
                        .arg("appliance", name)
                        .arg("oxygen", (one.oxygen.unwrap_or(0.0), Quantity::Fraction)),
                );
            }
            if record.limit.is_some() && record.air_free != record.limit_air_free {
                said.push(about(Diagnostic::warning(code::C105)).arg("appliance", name));
            }
            let wait = protocol.and_then(|p| p.flue_after).map(|p| p.si);
            if let (Some(after), Some(wait)) = (one.after_s, wait)
                && after < wait
            {
                said.push(
                    about(Diagnostic::warning(code::C108))
                        .arg("appliance", name)
                        .arg("after", (after, Quantity::Time))
                        .arg("wait", (wait, Quantity::Time)),
                );
            }
            let half = asked.flue_accuracy.map(|a| a.limit(value));
            let typed = around(value, half, Quantity::GasFraction);
            let other = one.oxygen.filter(|o| air_free(1.0, *o).is_some()).map(|oxygen| {
                let inputs = [(value, half.unwrap_or(0.0)), (oxygen, OXYGEN_HALF)];
                let e = propagate(&inputs, LEVEL, Quantity::GasFraction, |x| {
                    let factor = air_free(1.0, x[1].clamp(0.0, super::OXYGEN_HIGHEST)).unwrap_or(1.0);
                    if typed_air_free { x[0] / factor } else { x[0] * factor }
                });
                match half {
                    Some(_) => e,
                    None => around(e.si, None, Quantity::GasFraction),
                }
            });
            let (as_measured, free) =
                if typed_air_free { (other, Some(typed)) } else { (Some(typed), other) };
            FlueResult {
                appliance: name.to_owned(),
                oven,
                as_measured,
                air_free: free,
                converted: other.is_some(),
                oxygen: one.oxygen,
                limit: record.limit,
                limit_air_free: record.limit_air_free,
                limit_source: record.limit_source.unwrap_or_default(),
                limit_confirmed: record.limit_confirmed,
            }
        })
        .collect();
    let rooms = test.ambient.iter().zip(&asked.rooms).map(|(room, samples)| RoomAir {
        place: room.place.clone(),
        highest: crate::math::max_valid(samples.iter().copied())
            .map(|v| around(v, asked.room_accuracy.map(|a| a.limit(v)), Quantity::GasFraction)),
        reached: reached(samples, &levels),
    });
    let user = |limit: &crate::doc::field::zone_pressures::UserLimit| {
        let source = limit.source.clone().unwrap_or_default();
        limit.value.map(|v| Limit { source, confirmed: limit.confirmed, ..Limit::at_most(v, "", false) })
    };
    let result = CombustionResult {
        levels,
        guide: Guide::new(&asked.devices, &read),
        greatest,
        spillage: spilled.collect(),
        flues,
        draft: (test.draft.iter())
            .map(|d| {
                let half = asked.gauge.is_stated().then(|| asked.gauge.total_pa(d.value_pa));
                (d.appliance.value.clone(), around(d.value_pa, half, Quantity::Pressure))
            })
            .collect(),
        rooms: rooms.collect(),
        gas: test.gas.iter().map(|g| (g.place.clone(), g.leak, g.lel)).collect(),
        gas_leave: gas_leave(test),
        // A depressurisation is below zero, whichever way the limit was written.
        limit: user(&test.limit).map(|l| Limit { lo: l.hi.map(|v| -v.abs()), hi: None, ..l }),
        // A draft is below zero; weaker is nearer to it.
        draft_limits: (test.draft.iter())
            .map(|d| user(&d.limit).map(|l| Limit { hi: l.hi.map(|v| -v.abs()), ..l }))
            .collect(),
        levels_confirmed: test.protocol_confirmed,
        states,
    };
    (result, said)
}

fn said(names: &std::collections::BTreeSet<String>) -> String {
    names.iter().map(|n| n.replace('_', " ")).collect::<Vec<_>>().join(", ")
}

impl CombustionResult {
    /// In the shape of all tests: cautions first.
    pub fn worked(&self) -> Worked {
        let mut worked = Worked::default();
        self.room_air(&mut worked);
        self.gas(&mut worked);
        self.spilled(&mut worked);
        self.flue(&mut worked);
        self.pressures(&mut worked);
        for ((appliance, draft), limit) in self.draft.iter().zip(&self.draft_limits) {
            worked.figure_of("figure-draft", appliance, *draft);
            if let Some(limit) = limit {
                worked.checks.push(limit.check("check-draft", Some(*draft)).of(appliance));
            }
        }
        worked
    }

    fn room_air(&self, worked: &mut Worked) {
        for room in &self.rooms {
            if let Some(highest) = room.highest {
                worked.figure_of("figure-room-co", &room.place, highest);
            }
            if let Some(worst) = room.reached.last() {
                let id = match worst.action {
                    Action::Leave => "note-co-leave",
                    Action::Stop => "note-co-stop",
                    Action::Tell => "note-co-tell",
                };
                worked.notes.push(
                    Note::caution(id)
                        .arg("place", room.place.replace('_', " "))
                        .arg("sample", worst.sample)
                        .arg("value", (worst.value, Quantity::GasFraction))
                        .arg("level", (worst.level.si, Quantity::GasFraction))
                        .arg("source", cite(worst.level.source)),
                );
            }
            worked.checks.extend(self.room_check(room));
        }
        if self.rooms.iter().any(|r| r.highest.is_some())
            && [self.levels.tell, self.levels.stop, self.levels.leave].iter().all(Option::is_none)
        {
            worked.notes.push(Note::caution("note-co-no-levels"));
        }
    }

    /// The lowest level against the samples: one that reached it decides, not the mean.
    fn room_check(&self, room: &RoomAir) -> Option<Check> {
        let lowest = [self.levels.tell, self.levels.stop, self.levels.leave].into_iter().flatten().next()?;
        let confirmed = lowest.seen && (self.levels_confirmed || lowest.source == super::protocol::OWN_LEVEL);
        let limit = Limit::at_most(lowest.si, lowest.source, confirmed);
        let mut check = limit.check("check-room-co", room.highest).of(&room.place);
        if confirmed && !room.reached.is_empty() {
            check.verdict = Verdict::Fail;
        }
        Some(check)
    }

    fn gas(&self, worked: &mut Worked) {
        for (place, leak, lel) in &self.gas {
            let place = place.replace('_', " ");
            if let Some(lel) = lel.filter(|l| *l >= self.gas_leave) {
                worked.notes.push(
                    Note::caution("note-gas-leave")
                        .arg("place", place)
                        .arg("value", (lel, Quantity::Fraction))
                        .arg("level", (self.gas_leave, Quantity::Fraction)),
                );
            } else if *leak {
                worked.notes.push(Note::caution("note-gas-leak").arg("place", place));
            } else {
                worked.notes.push(Note::new("note-gas-none-found").arg("place", place));
            }
        }
    }

    fn spilled(&self, worked: &mut Worked) {
        let beyond = |s: &SpillageResult| s.limit_s.is_some_and(|l| s.spilled.si > l);
        for s in &self.spillage {
            let (figure, check) = match s.condition {
                Some(Condition::Greatest) => ("figure-spillage-greatest", "check-spillage-greatest"),
                Some(Condition::Natural) => ("figure-spillage-natural", "check-spillage-natural"),
                None => ("figure-spillage", "check-spillage"),
            };
            worked.figure_of(figure, &s.appliance, s.spilled);
            let Some(limit_s) = s.limit_s else {
                worked.notes.push(
                    Note::new("note-spillage-no-limit").arg("appliance", s.appliance.replace('_', " ")),
                );
                continue;
            };
            let limit = Limit::at_most(limit_s, &s.limit_source, s.limit_confirmed);
            worked.checks.push(limit.check(check, Some(s.spilled)).of(&s.appliance));
            if beyond(s) {
                worked.notes.push(
                    Note::caution("note-spillage-beyond")
                        .arg("appliance", s.appliance.replace('_', " "))
                        .arg("value", s.spilled.si)
                        .arg("limit", limit_s)
                        .arg("source", s.limit_source.as_str()),
                );
            }
        }
        // Fails under depressurisation, and what happens without it: where the fault lies.
        for s in self.spillage.iter().filter(|s| s.condition == Some(Condition::Greatest) && beyond(s)) {
            let natural =
                |o: &&SpillageResult| o.appliance == s.appliance && o.condition == Some(Condition::Natural);
            let id = match self.spillage.iter().find(natural) {
                Some(o) if beyond(o) => "note-spillage-also-natural",
                Some(o) if o.limit_s.is_some() => "note-spillage-drawn-down",
                Some(_) => continue,
                None => "note-spillage-try-natural",
            };
            worked.notes.push(Note::new(id).arg("appliance", s.appliance.replace('_', " ")));
        }
    }

    fn flue(&self, worked: &mut Worked) {
        for f in &self.flues {
            let of = f.appliance.as_str();
            let name = of.replace('_', " ");
            if let Some(e) = f.as_measured {
                let id = if f.oven { "figure-oven-co" } else { "figure-flue-co-as-measured" };
                worked.figure_of(id, of, e);
            }
            if let Some(e) = f.air_free {
                let id = if f.oven { "figure-oven-co-air-free" } else { "figure-flue-co-air-free" };
                worked.figure_of(id, of, e);
            }
            if f.converted
                && let (Some(oxygen), Some(a), Some(b)) = (f.oxygen, f.as_measured, f.air_free)
            {
                worked.notes.push(
                    Note::new("note-co-converted")
                        .arg("appliance", name.as_str())
                        .arg("measured", (rounded(a.si, 1e6), Quantity::GasFraction))
                        .arg("free", (rounded(b.si, 1e6), Quantity::GasFraction))
                        .arg("oxygen", (oxygen, Quantity::Fraction)),
                );
            }
            let Some(limit) = f.limit else {
                worked.notes.push(Note::new("note-flue-no-limit").arg("appliance", name));
                continue;
            };
            let id = match (f.oven, f.limit_air_free) {
                (true, _) => "check-oven-co",
                (false, true) => "check-flue-co-air-free",
                (false, false) => "check-flue-co-as-measured",
            };
            let value = f.against_limit();
            let against = Limit::at_most(limit, &f.limit_source, f.limit_confirmed);
            worked.checks.push(against.check(id, value).of(of));
            match value {
                Some(v) if v.si > limit => worked.notes.push(
                    Note::caution(if f.oven { "note-oven-co-beyond" } else { "note-flue-co-beyond" })
                        .arg("appliance", name)
                        .arg("value", (rounded(v.si, 1e6), Quantity::GasFraction))
                        .arg("limit", (limit, Quantity::GasFraction))
                        .arg("source", f.limit_source.as_str()),
                ),
                _ => {}
            }
        }
    }

    fn pressures(&self, worked: &mut Worked) {
        let greatest = self.greatest.and_then(|k| self.states.get(k));
        if let Some(state) = greatest {
            if let Some(net) = state.net {
                worked.figure("figure-greatest-depressurisation", net);
            }
            worked.notes.push(
                Note::new("note-greatest-state")
                    .arg("state", state.name.as_str())
                    .arg("running", said(&state.state.running))
                    .arg("shut", said(&state.state.shut)),
            );
            // An open state that lies within the other's error might be the greatest.
            let close = |s: &StateResult| {
                let (a, b) = (s.net.and_then(|n| n.bounds()), state.net.map(|n| n.si));
                s.state != state.state && a.zip(b).is_some_and(|((lo, _), b)| lo <= b)
            };
            if let Some(other) = self.states.iter().find(|s| close(s)) {
                worked.notes.push(Note::new("note-greatest-close").arg("state", other.name.as_str()));
            }
        }
        for state in &self.states {
            if let Some(net) = state.net {
                worked.figure_of("figure-zone-net", &state.name, net);
            }
        }
        if let Some(limit) = &self.limit {
            let net = greatest.and_then(|s| s.net);
            worked.checks.push(limit.check("check-net-depressurisation", net));
        }
        let of = self.guide.states.len();
        if of > 0 {
            worked.notes.push(
                Note::new("note-states-tried")
                    .arg("tried", self.guide.tried)
                    .arg("of", of)
                    .arg("combinations", self.guide.combinations),
            );
        }
        let untried: Vec<&State> = self.guide.untried().collect();
        for state in untried.iter().take(TOLD) {
            worked.notes.push(
                Note::new("note-state-untried")
                    .arg("running", said(&state.running))
                    .arg("shut", said(&state.shut)),
            );
        }
        if untried.len() > TOLD {
            worked.notes.push(Note::new("note-states-more").arg("count", untried.len() - TOLD));
        }
        if !self.states.is_empty() {
            worked.notes.push(Note::new("note-pressure-screens"));
        }
    }
}
