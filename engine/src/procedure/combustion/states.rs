//! The states of the house in which an appliance zone may be drawn down most, as data.
//!
//! Whoever tests goes through the list in any order, stops and comes back: a state that was read is
//! known by what runs and which doors are shut. Steps: all exhausts, doors open and shut; the same
//! with the air handler; the air handler alone; each door by itself. Common to the published
//! procedures (older BPI sheet, Standard Work Specifications, Canadian depressurisation test).

use crate::house::{House, Place};
use serde::Serialize;
use std::collections::BTreeSet;

/// The air handler's name in documents.
pub const HANDLER: &str = "air_handler";

/// What can run and what can be shut in a house.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Devices {
    /// Everything that blows air out of the house: fans, dryer, central vacuum.
    pub exhausts: Vec<String>,
    /// Whether there is an air handler.
    pub handler: bool,
    /// Doors of the appliance zone.
    pub zone_doors: Vec<String>,
    /// Other doors inside the house.
    pub room_doors: Vec<String>,
}

impl Devices {
    /// What `house.toml` names; `zone` is the zone of the appliance.
    pub fn of_house(house: &House, zone: Option<usize>) -> Devices {
        let inside = |p: Place| match p {
            Place::Zone(z) => house.zones.get(z).is_some_and(|z| z.kind.is_indoors()),
            Place::Outdoors(_) => false,
        };
        let of_zone = |p: Place| zone.is_some_and(|z| p == Place::Zone(z));
        let mut devices = Devices { handler: house.air_handler.is_some(), ..Devices::default() };
        for fan in &house.fans {
            let [from, to] = fan.between;
            if (inside(from) || of_zone(from)) && matches!(to, Place::Outdoors(_)) {
                devices.exhausts.push(fan.text.name.value.clone());
            }
        }
        for door in &house.doors {
            let [a, b] = door.between;
            let name = door.text.name.value.clone();
            match (of_zone(a) || of_zone(b), inside(a) && inside(b)) {
                (true, _) if [a, b].iter().all(|p| inside(*p) || of_zone(*p)) => {
                    devices.zone_doors.push(name);
                }
                (false, true) => devices.room_doors.push(name),
                _ => {}
            }
        }
        devices
    }

    /// Everything that has a name.
    pub fn names(&self) -> Vec<&str> {
        let all = self.exhausts.iter().chain(&self.zone_doors).chain(&self.room_doors);
        all.map(String::as_str).chain(self.handler.then_some(HANDLER)).collect()
    }

    /// Combinations of everything on or off, open or shut, with something running.
    pub fn combinations(&self) -> f64 {
        let doors = self.zone_doors.len() + self.room_doors.len();
        let moving = self.exhausts.len() + usize::from(self.handler);
        let two = |n: usize| (0..n).fold(1.0, |p, _| 2.0 * p);
        (two(moving) - 1.0) * two(doors)
    }
}

/// One state: what runs and which doors are shut; the rest is off and open.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Serialize)]
pub struct State {
    /// What runs.
    pub running: BTreeSet<String>,
    /// What is shut.
    pub shut: BTreeSet<String>,
}

/// The states to try, in order.
///
/// ```
/// use engine::procedure::combustion::{Devices, combustion_states};
/// let devices = Devices {
///     exhausts: vec!["bath_fan".into(), "dryer".into()],
///     handler: true,
///     zone_doors: vec![],
///     room_doors: vec!["bedroom_door".into()],
/// };
/// let states = combustion_states(&devices);
/// // Exhausts, exhausts with handler, handler alone; each with the door open and shut.
/// assert_eq!(states.len(), 6);
/// assert_eq!(states[0].running.len(), 2);
/// assert!(states[0].shut.is_empty());
/// ```
pub fn combustion_states(devices: &Devices) -> Vec<State> {
    let exhausts: BTreeSet<String> = devices.exhausts.iter().cloned().collect();
    let handler: BTreeSet<String> = devices.handler.then(|| HANDLER.to_owned()).into_iter().collect();
    let both: BTreeSet<String> = exhausts.union(&handler).cloned().collect();
    let set = |names: &[String]| -> BTreeSet<String> { names.iter().cloned().collect() };
    let (rooms, own) = (set(&devices.room_doors), set(&devices.zone_doors));
    let all: BTreeSet<String> = rooms.union(&own).cloned().collect();
    let mut states: Vec<State> = Vec::new();
    let mut add = |running: &BTreeSet<String>, shut: BTreeSet<String>| {
        let state = State { running: running.clone(), shut };
        if !running.is_empty() && !states.contains(&state) {
            states.push(state);
        }
    };
    for running in [&exhausts, &both, &handler] {
        for shut in [BTreeSet::new(), rooms.clone(), own.clone(), all.clone()] {
            add(running, shut);
        }
    }
    for door in &devices.room_doors {
        add(&both, BTreeSet::from([door.clone()]));
    }
    states
}

/// A state of the list and what was read in it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Guided {
    /// The state.
    #[serde(flatten)]
    pub state: State,
    /// Pressure of the zone against outdoors as read, Pa; nothing while untried.
    pub shown_pa: Option<f64>,
}

/// The list with what was done of it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Guide {
    /// The states, in order.
    pub states: Vec<Guided>,
    /// How many of them were read.
    pub tried: usize,
    /// Combinations there are at all.
    pub combinations: f64,
}

impl Guide {
    /// The list for these devices, with the states read so far.
    pub fn new(devices: &Devices, read: &[(State, f64)]) -> Guide {
        let states: Vec<Guided> = combustion_states(devices)
            .into_iter()
            .map(|state| {
                // The lowest where one state was read twice.
                let shown = read.iter().filter(|(s, _)| *s == state).map(|(_, pa)| *pa);
                Guided { shown_pa: shown.reduce(f64::min), state }
            })
            .collect();
        let tried = states.iter().filter(|s| s.shown_pa.is_some()).count();
        Guide { states, tried, combinations: devices.combinations() }
    }

    /// What is left to try, in order.
    pub fn untried(&self) -> impl Iterator<Item = &State> {
        self.states.iter().filter(|s| s.shown_pa.is_none()).map(|s| &s.state)
    }
}
