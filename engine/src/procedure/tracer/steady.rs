//! Outdoor air from what people breathe out: generation, and the balance at a steady level.

use super::{Background, VolumeM3};
use crate::device::person::{self, Sex};
use crate::diag::{Diagnostic, code};
use crate::measure::{Estimate, NoInterval, propagate};
use crate::procedure::field::{LEVEL, Limit, Note, Worked};
use crate::units::Quantity;
use serde::Serialize;

/// 95 % limits of what one person gives off about the computed value, as a share: sleeping adults
/// were measured at 11.0 L/h with a standard deviation of 1.4 L/h.
pub const PERSON_LIMIT: f64 = 1.96 * 1.4 / 11.0;

/// People of one kind in the room.
#[derive(Clone, Debug, PartialEq)]
pub struct Person {
    /// How many.
    pub count: f64,
    /// Sex.
    pub sex: Sex,
    /// Age, years.
    pub age_years: f64,
    /// Mass, kg; the table's mean for sex and age where it is not known.
    pub mass_kg: Option<f64>,
    /// Activity, met.
    pub met: f64,
}

/// Where the gas comes from.
#[derive(Clone, Debug, PartialEq)]
pub enum Source {
    /// A stated flow of gas, m3/s, and the half width of its interval where one is stated.
    Stated(f64, Option<f64>),
    /// What people give off.
    People(Vec<Person>),
}

/// CO2 given off.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Generation {
    /// All together, m3/s.
    pub total: Estimate,
    /// Masses taken from the table, kg, in the order asked.
    pub assumed_mass_kg: Vec<f64>,
    half: Option<f64>,
}

/// What the source gives off at the temperature and pressure of the room.
///
/// People: Persily and de Jonge 2017 ([`person::co2_m3_s`]). Each person's own deviation from it
/// ([`PERSON_LIMIT`]) is taken as independent of the others'.
///
/// ```
/// use engine::device::person::Sex;
/// use engine::procedure::tracer::steady::{Person, Source, generation};
/// let man = Person { count: 1.0, sex: Sex::Male, age_years: 25.0, mass_kg: Some(84.9), met: 1.2 };
/// let given = generation(&Source::People(vec![man]), 273.0, 101_000.0);
/// assert!((given.total.si * 1e3 - 0.004796).abs() < 1e-6);
/// ```
pub fn generation(source: &Source, temp_k: f64, pressure_pa: f64) -> Generation {
    match source {
        Source::Stated(value, half) => {
            let total = match half {
                Some(half) => Estimate::range(*value, value - half, value + half, LEVEL, Quantity::GasFlow),
                None => Estimate::without(*value, Quantity::GasFlow, NoInterval::TypedWithoutInstrument),
            };
            Generation { total, assumed_mass_kg: Vec::new(), half: *half }
        }
        Source::People(people) => {
            let (mut total, mut square) = (0.0, 0.0);
            let mut assumed_mass_kg = Vec::new();
            for p in people {
                let mass_kg = p.mass_kg.unwrap_or_else(|| {
                    let mean = person::mean_mass_kg(p.sex, p.age_years);
                    assumed_mass_kg.push(mean);
                    mean
                });
                let basal_w = person::basal_w(p.sex, p.age_years, mass_kg);
                let one = person::co2_m3_s(basal_w, p.met, temp_k, pressure_pa);
                total += p.count * one;
                square += p.count * (PERSON_LIMIT * one) * (PERSON_LIMIT * one);
            }
            let half = square.sqrt();
            let total = Estimate::range(total, total - half, total + half, LEVEL, Quantity::GasFlow);
            Generation { total, assumed_mass_kg, half: Some(half) }
        }
    }
}

impl Generation {
    /// Value and half width, m3/s; no half width where none was stated.
    pub fn parts(&self) -> (f64, Option<f64>) {
        (self.total.si, self.half)
    }
}

/// What was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// Gas in the room at its steady level, volume fraction, with the half width of its interval.
    pub level: (f64, Option<f64>),
    /// Gas outdoors.
    pub background: Background,
    /// Where it comes from.
    pub source: Source,
    /// Air temperature of the room, K.
    pub temp_k: f64,
    /// Air pressure, Pa.
    pub pressure_pa: f64,
    /// Volume of the room.
    pub volume_m3: Option<VolumeM3>,
    /// How long the room had been so, s.
    pub steady_for_s: Option<f64>,
}

/// What follows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Steady {
    /// Flow of outdoor air, m3/s.
    pub flow: Estimate,
    /// Air changes.
    pub rate: Option<Estimate>,
    /// CO2 given off.
    pub generation: Generation,
    /// Excess over outdoors.
    pub excess: Estimate,
    /// Time constants that the room had been so.
    pub turns: Option<f64>,
}

/// Time constants after which 95 % of a step is reached: -ln 0.05 = 3.0.
pub const STEADY_TURNS: f64 = 3.0;

/// Works it: `Q = G / (c - c_out)` (balance of the room with dc/dt = 0; Batterman 2017).
///
/// Errors: A107 where the level is not above the background.
///
/// ```
/// use engine::procedure::tracer::{Background, steady::{Asked, Source, evaluate}};
/// let two_people = evaluate(&Asked {
///     level: (1000e-6, None),
///     background: Background { value: 420e-6, half: None },
///     source: Source::Stated(2.0 * 0.0052e-3, None),
///     temp_k: 293.15,
///     pressure_pa: 101_325.0,
///     volume_m3: Some((150.0, 0.0)),
///     steady_for_s: None,
/// }).unwrap();
/// assert!((two_people.flow.si * 1e3 - 17.931).abs() < 1e-3);
/// assert!((two_people.rate.unwrap().si * 3600.0 - 0.43034).abs() < 1e-5);
/// ```
pub fn evaluate(asked: &Asked) -> Result<Steady, Diagnostic> {
    let (level, background) = (asked.level.0, asked.background);
    if level <= background.value {
        return Err(Diagnostic::error(code::A107)
            .arg("level", (level, Quantity::GasFraction))
            .arg("background", (background.value, Quantity::GasFraction)));
    }
    let generation = generation(&asked.source, asked.temp_k, asked.pressure_pa);
    let (given, given_half) = generation.parts();
    let known = asked.level.1.is_some() && background.half.is_some() && given_half.is_some();
    let width = |half: Option<f64>| half.unwrap_or(0.0);
    let honest = |e: Estimate| match known {
        true => e,
        false => Estimate::without(e.si, e.quantity, NoInterval::TypedWithoutInstrument),
    };
    let inputs = [(level, width(asked.level.1)), (background.value, width(background.half))];
    let excess = propagate(&inputs, LEVEL, Quantity::GasFraction, |x| x[0] - x[1]);
    // An excess that may be nothing has no highest flow.
    let flow = match excess.bounds() {
        Some((low, _)) if known && low <= 0.0 => {
            Estimate::range(given / excess.si, 0.0, f64::INFINITY, LEVEL, Quantity::AirFlow)
        }
        _ => {
            let [level, background] = inputs;
            let all = [level, background, (given, width(given_half))];
            honest(propagate(&all, LEVEL, Quantity::AirFlow, |x| x[2] / (x[0] - x[1])))
        }
    };
    let rate = asked.volume_m3.map(|volume| rate(flow, volume));
    let turns = rate.zip(asked.steady_for_s).map(|(rate, time_s)| rate.si * time_s);
    Ok(Steady { flow, rate, generation, excess: honest(excess), turns })
}

/// Rate from a flow and a volume; the two are independent.
pub(super) fn rate(flow: Estimate, volume_m3: VolumeM3) -> Estimate {
    let (volume, half) = volume_m3;
    let value = flow.si / volume;
    match flow.bounds() {
        Some((lo, hi)) => {
            let of_volume = value * half / volume;
            let wider = |part: f64| (part * part + of_volume * of_volume).sqrt();
            let (down, up) = (wider(value - lo / volume), wider(hi / volume - value));
            Estimate::range(value, value - down, value + up, LEVEL, Quantity::AirChange)
        }
        None => flow.scaled(1.0 / volume, Quantity::AirChange),
    }
}

impl Steady {
    /// In the shape of all tests. `limit` is the user's own for the flow.
    pub fn worked(&self, limit: Option<&Limit>) -> Worked {
        let mut worked = Worked::default();
        worked.figure("figure-zone-outdoor-air", self.flow);
        if let Some(rate) = self.rate {
            worked.figure("figure-air-change", rate);
        }
        worked.figure("figure-co2-given-off", self.generation.total);
        worked.figure("figure-excess", self.excess);
        if let Some(limit) = limit {
            worked.checks.push(limit.check("check-outdoor-air", Some(self.flow)));
        }
        let exact = |turns| Estimate::without(turns, Quantity::Number, NoInterval::Exact);
        // Mathematics, not a text's rule, and about the reading, not about the room: it decides.
        let limit = Limit::at_least(STEADY_TURNS, "time-constants", true);
        worked.checks.push(limit.check("check-steady", self.turns.map(exact)));
        if self.turns.is_none_or(|t| t < STEADY_TURNS) {
            worked.notes.push(Note::caution("note-not-steady"));
        }
        if !self.generation.assumed_mass_kg.is_empty() {
            worked.notes.push(Note::new("note-mass-from-table"));
        }
        worked
    }
}
