//! The combustion test of each appliance as a guide that can be left and taken up again: the states of the
//! house in order, what was recorded in each, and what is missing now.

use super::expect::Expected;
use crate::doc::field::Asked;
use crate::doc::field::combustion_zone::{CombustionZone, Condition, Stage};
use crate::doc::house::Draft;
use crate::doc::screen::{Found, Item};
use crate::doc::visit::{Combustion, Visit};
use crate::house::{self, House};
use crate::procedure::combustion::{Devices, HANDLER, State, combustion_states};
use serde::Serialize;

use super::screen::Screen;

/// A state of the house.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Step {
    /// As found, before anything is switched.
    AsFound,
    /// Under the greatest depressurisation attainable.
    Greatest,
    /// Fans off, doors open, vent cooled: where the greatest depressurisation failed.
    Natural,
}

/// What is recorded.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Record {
    /// A look at flue and vent, the appliance off.
    VentLook,
    /// Carbon monoxide in the air.
    AmbientCo,
    /// Gas at the joints.
    Gas,
    /// Zone against outdoors, everything off and open.
    Baseline,
    /// Zone against outdoors in the states tried.
    Pressure,
    /// How long flue gas spills.
    Spillage,
    /// Carbon monoxide in the undiluted flue gas.
    FlueCo,
}

/// One state of the guide.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Stand {
    /// Which.
    pub step: Step,
    /// Whether it is asked for now.
    pub needed: bool,
    /// What was recorded, in order.
    pub recorded: Vec<Record>,
    /// What is missing, in order.
    pub missing: Vec<Record>,
}

/// A setup to try for the greatest depressurisation.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Try {
    /// What runs and what is shut.
    #[serde(flatten)]
    pub state: State,
    /// As read, zone less outdoors, Pa.
    pub shown_pa: Option<f64>,
    /// What the fitted house expects.
    pub expected: Option<Expected>,
}

/// The guide of one appliance.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Guide {
    /// Its name.
    pub appliance: String,
    /// What people call it.
    pub label: String,
    /// Its zone, by label.
    pub zone: String,
    /// How it is vented.
    #[serde(skip)]
    pub draft: Draft,
    /// The states in order.
    pub stands: Vec<Stand>,
    /// Setups to try, the one expected lowest first where the fit tells, else in the order of the rule.
    pub tries: Vec<Try>,
    /// Combinations of everything on or off, open or shut.
    pub combinations: f64,
    /// What of the hazard screen stands against drawing the zone down now; empty where nothing does.
    pub held: Vec<Item>,
}

impl Guide {
    /// What to do now: the first state that is asked for and not whole.
    pub fn now(&self) -> Option<&Stand> {
        self.stands.iter().find(|s| s.needed && !s.missing.is_empty())
    }

    /// Setups of the list that were read.
    pub fn tried(&self) -> usize {
        self.tries.iter().filter(|t| t.shown_pa.is_some()).count()
    }
}

/// The setup of a state: everything as the standards ask for, but for what runs and what is shut. Devices
/// that `house.toml` does not name move nothing.
pub(super) fn setup_of(house: &House, state: &State) -> house::Setup {
    let mut setup = house::start(house);
    for (d, door) in house.doors.iter().enumerate() {
        if state.shut.contains(&door.text.name.value) {
            setup.open[d] = false;
        }
    }
    for (f, fan) in house.fans.iter().enumerate() {
        setup.running[f] = state.running.contains(&fan.text.name.value);
    }
    setup.air_handler = house.air_handler.is_some() && state.running.contains(HANDLER);
    setup
}

/// The setups to try for an appliance in a zone.
pub fn states(house: &House, zone: usize) -> Vec<State> {
    combustion_states(&Devices::of_house(house, Some(zone)))
}

/// The guide of every appliance of the house, from one visit. `expected` gives for a zone what the fit
/// expects of each of [`states`]; nothing without a fit.
pub fn guides(
    visit: Option<&Visit>,
    house: &House,
    combustion: Option<&Combustion>,
    screen: Option<&Screen>,
    expected: &dyn Fn(usize) -> Option<Vec<Expected>>,
) -> Vec<Guide> {
    let tests = |zone: usize, name: &str| -> Vec<&CombustionZone> {
        let all = visit.iter().flat_map(|v| &v.field).filter_map(|t| match &t.asked {
            Asked::CombustionZone(c) if c.stage == Stage::AsFound => Some(c.as_ref()),
            _ => None,
        });
        all.filter(|c| {
            let here = c.zone.as_ref().is_some_and(|z| z.value == house.zones[zone].name);
            here || c.spillage.iter().any(|s| s.record.appliance.value == name)
                || c.flue_co.iter().any(|f| f.record.appliance.value == name)
        })
        .collect()
    };
    let held = screen.map(Screen::against_drawing).unwrap_or_default();
    let one = |a: &house::Appliance| {
        let tests = tests(a.zone, &a.name);
        let (tries, combinations) = tries(house, a.zone, &tests, expected(a.zone));
        Guide {
            appliance: a.name.clone(),
            label: a.label.clone(),
            zone: house.zones[a.zone].label.clone(),
            draft: a.draft,
            stands: stands(a, &tests, combustion, screen, &tries),
            tries,
            combinations,
            held: held.clone(),
        }
    };
    house.appliances.iter().map(one).collect()
}

fn tries(
    house: &House,
    zone: usize,
    tests: &[&CombustionZone],
    expected: Option<Vec<Expected>>,
) -> (Vec<Try>, f64) {
    let devices = Devices::of_house(house, Some(zone));
    let read: Vec<(State, f64)> =
        tests.iter().flat_map(|t| t.states.iter().map(|s| as_tried(s, &devices))).collect();
    let mut list: Vec<Try> = states(house, zone)
        .into_iter()
        .enumerate()
        .map(|(k, state)| Try {
            shown_pa: read.iter().filter(|(s, _)| *s == state).map(|r| r.1).reduce(f64::min),
            expected: expected.as_ref().and_then(|e| e.get(k).copied()),
            state,
        })
        .collect();
    if expected.is_some() {
        let net = |t: &Try| t.expected.map_or(f64::INFINITY, |e| e.net.si);
        list.sort_by(|a, b| net(a).total_cmp(&net(b)));
    }
    // What was tried beside the list counts too.
    let beside: Vec<_> = read.into_iter().filter(|(s, _)| list.iter().all(|t| t.state != *s)).collect();
    list.extend(beside.into_iter().map(|(state, pa)| Try { state, shown_pa: Some(pa), expected: None }));
    (list, devices.combinations())
}

/// A state as it was written, with the mean of its readings.
fn as_tried(written: &crate::doc::field::combustion_zone::State, devices: &Devices) -> (State, f64) {
    let mut state = State::default();
    let all = |into: &mut std::collections::BTreeSet<String>, names: &[String], yes: bool| {
        into.extend(names.iter().filter(|_| yes).cloned());
    };
    all(&mut state.running, &devices.exhausts, written.exhausts);
    all(&mut state.shut, &devices.room_doors, written.doors);
    all(&mut state.shut, &devices.zone_doors, written.zone_doors);
    state.running.extend((written.handler && devices.handler).then(|| HANDLER.to_owned()));
    for (name, word) in &written.set {
        match word.value.as_str() {
            "on" => state.running.insert(name.value.clone()),
            "off" => state.running.remove(&name.value),
            "shut" => state.shut.insert(name.value.clone()),
            "open" => state.shut.remove(&name.value),
            _ => false,
        };
    }
    let mean_pa = written.shown_pa.iter().sum::<f64>() / written.shown_pa.len() as f64;
    (state, mean_pa)
}

fn stands(
    appliance: &house::Appliance,
    tests: &[&CombustionZone],
    combustion: Option<&Combustion>,
    screen: Option<&Screen>,
    tries: &[Try],
) -> Vec<Stand> {
    let spills = matches!(appliance.draft, Draft::Natural | Draft::FanAssisted);
    let mine = |name: &crate::doc::Sp<String>| name.value == appliance.name;
    let looked = |item: Item| screen.and_then(|s| s.of(item)).is_some();
    let stand = |step, needed, list: &[(Record, bool)]| {
        let of = |wanted: bool| list.iter().filter(move |r| r.1 == wanted).map(|r| r.0).collect();
        Stand { step, needed, recorded: of(true), missing: of(false) }
    };
    let co = screen
        .and_then(|s| s.of(Item::AmbientCo))
        .is_some_and(|s| s.highest.is_some() || s.found != Found::NoneSeen);
    let found = [
        (Record::AmbientCo, co),
        (Record::Gas, looked(Item::Gas)),
        (Record::VentLook, looked(Item::Flues)),
        (Record::Baseline, tests.iter().any(|t| !t.baseline_before.is_empty())),
    ];
    // Results of `[combustion]` without a test are taken as of the greatest depressurisation unless they
    // name the natural state.
    let plain = |natural: bool| {
        combustion.iter().flat_map(|c| &c.spillage).any(|s| {
            mine(&s.appliance) && !s.house.is_empty() && s.house.to_lowercase().contains("natural") == natural
        })
    };
    let spilled = |condition: Condition| {
        let noted = tests.iter().flat_map(|t| &t.spillage);
        noted.into_iter().any(|s| mine(&s.record.appliance) && s.condition == Some(condition))
            || plain(condition == Condition::Natural)
    };
    let flue = combustion.iter().flat_map(|c| &c.flue_co).any(|f| mine(&f.appliance));
    // Without anything that moves air there is no setup to find.
    let mut greatest = Vec::new();
    if !tries.is_empty() {
        greatest.push((Record::Pressure, tries.iter().any(|t| t.shown_pa.is_some())));
    }
    if spills {
        greatest.push((Record::Spillage, spilled(Condition::Greatest)));
    }
    greatest.push((Record::FlueCo, flue));
    let beyond = combustion
        .iter()
        .flat_map(|c| &c.spillage)
        .any(|s| mine(&s.appliance) && s.limit_s.is_some_and(|limit| s.spilled_s.value > limit));
    let natural = [(Record::Spillage, spilled(Condition::Natural))];
    let mut out = vec![stand(Step::AsFound, true, &found), stand(Step::Greatest, true, &greatest)];
    if spills {
        out.push(stand(Step::Natural, beyond, &natural));
    }
    out
}
