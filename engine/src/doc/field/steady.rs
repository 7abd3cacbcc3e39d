//! `kind = "steady state"` and `kind = "build-up"`: outdoor air from what is given off in a room.

use super::record::{self, GAS, Outdoors, Record, Volume};
use crate::device::person::{ASLEEP_MET, Sex};
use crate::doc::Sp;
use crate::doc::read::Tab;
use crate::procedure::field::Limit;
use crate::procedure::tracer::steady::Person;
use crate::units::{Accuracy, Quantity as Q};

/// Activities, met: asleep after Persily and de Jonge 2017, the others of the comfort standards from
/// memory.
const ACTIVITIES: &[(&str, f64)] = &[
    ("asleep", ASLEEP_MET),
    ("resting", 1.0),
    ("seated work", 1.2),
    ("light work standing", 1.6),
    ("housework", 2.0),
];
const YEAR_S: f64 = 365.0 * 86_400.0;

/// What gives off gas.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Given {
    /// Stated flow of gas, m3/s.
    pub stated: Option<Sp<f64>>,
    /// How well that is known.
    pub accuracy: Option<Accuracy>,
    /// People.
    pub people: Vec<Person>,
}

/// Reads it.
pub(super) fn given(t: &Tab<'_, '_>) -> Given {
    Given {
        stated: t.bounded("given_off", Q::GasFlow, 0.0..=0.1),
        accuracy: t.accuracy("given_off_accuracy", Q::GasFlow).map(|a| a.value),
        people: t.list("person").iter().filter_map(person).collect(),
    }
}

fn person(t: &Tab<'_, '_>) -> Option<Person> {
    let count = t.number("count");
    let sex = t.need("sex", t.choice("sex", &[("female", Sex::Female), ("male", Sex::Male)]));
    let age = t.need("age", t.bounded("age", Q::Time, 0.0..=120.0 * YEAR_S));
    let mass = t.bounded("mass", Q::Mass, 2.0..=300.0);
    let met = t.number("met");
    let met = met.filter(|m| t.within("met", m, Q::Number, 0.7..=10.0)).map(|m| m.value);
    let activity = t.choice("activity", ACTIVITIES).map(|a| a.value);
    let met = met.or(activity);
    if !t.has("met") {
        t.need("activity", met);
    }
    let count = count.filter(|c| t.within("count", c, Q::Number, 0.0..=1000.0));
    Some(Person {
        count: count.map_or(1.0, |c| c.value),
        sex: sex?.value,
        age_years: age?.value / YEAR_S,
        mass_kg: mass.map(|m| m.value),
        met: met?,
    })
}

/// `kind = "steady state"`.
#[derive(Clone, Debug, PartialEq)]
pub struct Steady {
    /// The steady level, volume fraction.
    pub level: Option<Sp<f64>>,
    /// Several readings of it.
    pub readings: Option<Sp<Vec<f64>>>,
    /// A record of it instead.
    pub record: Record,
    /// How long the room had been so, s.
    pub steady_for_s: Option<f64>,
    /// Gas outdoors.
    pub outdoors: Outdoors,
    /// What gives it off.
    pub given: Given,
    /// Volume of the room.
    pub volume: Volume,
    /// The user's own limit for the flow.
    pub limit: Option<Limit>,
}

/// Reads it.
pub(super) fn read(t: &Tab<'_, '_>) -> Option<Steady> {
    let readings = t.quantities("level_readings", Q::GasFraction);
    Some(Steady {
        level: t.bounded("level", Q::GasFraction, GAS),
        readings: readings.filter(|r| {
            let inside = |v: &f64| {
                let one = Sp { value: *v, span: r.span.clone() };
                t.within("level_readings", &one, Q::GasFraction, GAS)
            };
            r.value.iter().all(inside)
        }),
        record: record::record(t),
        steady_for_s: t.bounded("steady_for", Q::Time, 0.0..=1e7).map(|s| s.value),
        outdoors: record::outdoors(t),
        given: given(t),
        volume: record::volume(t),
        limit: record::limit(t, Q::AirFlow, false),
    })
}

/// `kind = "build-up"`.
#[derive(Clone, Debug, PartialEq)]
pub struct BuildUp {
    /// Readings.
    pub record: Record,
    /// Gas outdoors.
    pub outdoors: Outdoors,
    /// What gives it off.
    pub given: Given,
    /// Volume of the room.
    pub volume: Volume,
    /// The user's own limit for the flow.
    pub limit: Option<Limit>,
}

/// Reads it.
pub(super) fn read_build_up(t: &Tab<'_, '_>) -> Option<BuildUp> {
    Some(BuildUp {
        record: record::record(t),
        outdoors: record::outdoors(t),
        given: given(t),
        volume: record::volume(t),
        limit: record::limit(t, Q::AirFlow, false),
    })
}
