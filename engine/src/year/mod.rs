//! One house lived through a weather series: air, heat, water, CO2 and particles together.
//!
//! Method: in every inner step the air network is solved with the densities of the step's start,
//! then heat with the thermostat exact within the capacity, then what the air carries, each by
//! backward Euler on the M-matrix of the same flows ([`crate::transport`]), the last in four equal
//! parts on one factorisation. Hourly means are those of straight lines between the instants that a
//! step knows. A handler that runs part of a step is solved on and off and mixed by its duty. Air
//! stored in a zone is that at 20 degC, so that storage does not breathe; fans that run part of an
//! hour count with their mean
//! flow; vapour does not diffuse through walls; heat of condensation on surfaces is left out. Motors
//! warm the air that their fans bring ([`Ventilator::fan_heat_w`], [`ExhaustFan::heats`]). Steps end on
//! every event of the day ([`Schedule::Spans`], sources, set-backs, doors, people's times), which come by
//! the clock on the wall ([`Model::summer`]); series and days are those of standard time. Control rules look once a step ([`Controls`]).
//! What can fail: [`YearError`]. What a run did that its reader should know: [`Year::diagnostics`].

mod air;
mod appliances;
mod carried;
mod check;
mod clock;
mod control;
mod design;
mod ducts;
mod equipment;
pub mod event;
mod events;
mod heat;
pub mod live;
mod model;
mod outside;
mod rooms;
mod rules;
mod score;
mod step;
mod surfaces;
pub mod wind;

pub use crate::doc::job::SummerTime;
pub use check::{ModelError, Part};
pub use design::{cold_day, hot_day};
pub use equipment::*;
pub use model::*;
pub use rooms::{Cause, DesignDay, Room, rooms};
pub use rules::{Controls, Target};

use crate::diag::{Diagnostic, Diagnostics, code};
use crate::network::{NetworkError, SolveError};
use crate::transport::Books;
use crate::units::Quantity;
use crate::weather::{DAYS, PickedDay, Weather};
use score::Tally;
use serde::Serialize;
use std::ops::ControlFlow;
use step::{MOST_HALVINGS, Runner};

/// Days lived through before the first recorded day of a whole year.
const WARM_UP_DAYS: usize = 7;
/// Before the first picked day, and before each of the others.
const WARM_UP_FIRST_DAYS: usize = 3;
const WARM_UP_PICKED_DAYS: usize = 1;
/// Books that close to this are not worth a word.
const BOOKS_CLOSE: f64 = 1e-9;
/// Hours of a missed set point worth a word.
const MISSED_H: f64 = 50.0;

/// Which days are lived.
#[derive(Clone, Debug, PartialEq)]
pub enum Days {
    /// The whole year, after seven days of warming up.
    All,
    /// Some days with weights ([`Weather::stratified_days`]), each after a day of warming up that
    /// starts where the picked day before it ended.
    Picked(Vec<PickedDay>),
}

/// How a year is run and judged.
#[derive(Clone, Debug, PartialEq)]
pub struct Options {
    /// Inner step, s; divides an hour.
    pub inner_step_s: f64,
    /// Which days.
    pub days: Days,
    /// Keep the hourly series.
    pub keep_series: bool,
    /// First hour of the night, by the clock on the wall.
    pub night_from_h: usize,
    /// Hour at which the night ends, likewise.
    pub night_to_h: usize,
    /// CO2 above which night hours are counted, ppm.
    pub co2_limit_ppm: f64,
    /// Relative humidity above which hours count as damp, 0 to 1.
    pub damp_rh: f64,
    /// Relative humidity below which hours count as dry, 0 to 1.
    pub dry_rh: f64,
    /// Control rules.
    pub controls: Option<Controls>,
}

impl Default for Options {
    /// Five minutes, the whole year, no series, night from 22 to 7, 1000 ppm, 60 % and 30 %.
    fn default() -> Options {
        Options {
            inner_step_s: 300.0,
            days: Days::All,
            keep_series: false,
            night_from_h: 22,
            night_to_h: 7,
            co2_limit_ppm: 1000.0,
            damp_rh: 0.6,
            dry_rh: 0.3,
            controls: None,
        }
    }
}

/// How far a run has come.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Days done, warming up included.
    pub day_count: usize,
    /// Days in all.
    pub of_days: usize,
}

/// Why there is no year.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum YearError {
    /// The model does not fit together.
    #[error("{} things in the model do not fit, the first: {}", .0.len(), .0[0])]
    Model(Vec<ModelError>),
    /// The network cannot be made.
    #[error("network: {0}")]
    Network(NetworkError),
    /// The flows of one step were not found.
    #[error("at {time_s} s of the year: {source}")]
    Solve {
        /// Time from the start of the year, s.
        time_s: f64,
        /// Why.
        source: SolveError,
    },
    /// The inner step does not divide an hour.
    #[error("an inner step of {step_s} s does not divide an hour")]
    Step {
        /// The step asked for, s.
        step_s: f64,
    },
    /// A picked day outside the year, or none.
    #[error("{count} picked days, day {day} is not one of the year")]
    Picked {
        /// How many were given.
        count: usize,
        /// The one that does not exist; 0 where there are none.
        day: usize,
    },
    /// Weather without hours.
    #[error("the weather has {count} hours")]
    Weather {
        /// How many it has.
        count: usize,
    },
    /// Stopped by the progress callback.
    #[error("stopped after {day_count} days")]
    Stopped {
        /// Days done.
        day_count: usize,
    },
}

impl YearError {
    /// What to tell the user.
    pub fn diagnostic(&self) -> Diagnostic {
        match self {
            YearError::Model(list) => {
                let first = list.first().map_or_else(String::new, ToString::to_string);
                Diagnostic::error(code::Y101).arg("count", list.len()).arg("first", first)
            }
            YearError::Network(e) => Diagnostic::error(code::Y102).arg("error", e.to_string()),
            YearError::Solve { time_s, source } => Diagnostic::error(code::Y103)
                .arg("day", (time_s / 86_400.0).floor() + 1.0)
                .arg("time", (time_s.rem_euclid(86_400.0), Quantity::Time))
                .arg("error", source.to_string()),
            YearError::Step { step_s } => {
                Diagnostic::error(code::Y104).arg("step", (*step_s, Quantity::Time))
            }
            YearError::Picked { count, day } => {
                Diagnostic::error(code::Y105).arg("count", *count).arg("day", *day)
            }
            YearError::Weather { count } => Diagnostic::error(code::Y106).arg("count", *count),
            YearError::Stopped { day_count } => Diagnostic::note(code::Y107).arg("days", *day_count),
        }
    }
}

/// Hourly means of one zone, for the recorded hours.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Series {
    /// Temperature, K.
    pub temp_k: Vec<f64>,
    /// Humidity ratio, kg/kg.
    pub w_kg_kg: Vec<f64>,
    /// Relative humidity, 0 to 1.
    pub rh: Vec<f64>,
    /// CO2, ppm.
    pub co2_ppm: Vec<f64>,
    /// PM2.5, kg/m3.
    pub pm25_kg_m3: Vec<f64>,
}

impl Series {
    fn with_room(hours: usize) -> Series {
        let list = || Vec::with_capacity(hours);
        Series { temp_k: list(), w_kg_kg: list(), rh: list(), co2_ppm: list(), pm25_kg_m3: list() }
    }
}

/// Scores of one zone. Hours are those of a whole year.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ZoneYear {
    /// The user's name.
    pub name: String,
    /// Mean CO2 of the nights, ppm.
    pub night_co2_mean_ppm: f64,
    /// 95th percentile of the nights' hourly CO2, ppm.
    pub night_co2_p95_ppm: f64,
    /// Night hours above the limit, h.
    pub night_co2_over_h: f64,
    /// Mean PM2.5, kg/m3.
    pub pm25_mean_kg_m3: f64,
    /// Mean PM2.5 over that outdoors, own sources included; nothing where outdoors has none.
    pub pm25_indoors_over_outdoors: Option<f64>,
    /// Hours above the damp limit, h.
    pub damp_h: f64,
    /// Hours below the dry limit, h.
    pub dry_h: f64,
    /// Mean temperature, K.
    pub temp_mean_k: f64,
    /// What its coldest surface is called.
    pub coldest_surface: String,
    /// Hours in which water condensed on it.
    pub condensing_h: f64,
    /// Hours at or above the humidity from which mould grows on it.
    pub mould_critical_h: f64,
    /// Highest mould index on it ([`crate::procedure::moisture::mould`]), from a clean surface at the
    /// start of the year; nothing where the days do not follow each other.
    pub mould_index: Option<f64>,
    /// Hourly series, where kept.
    pub series: Option<Series>,
}

/// A gas in one zone.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct GasYear {
    /// The gas.
    pub gas: String,
    /// Mean by zone, kg per kg of air, in the model's order.
    pub mean_kg_kg: Vec<f64>,
    /// Highest hourly mean by zone, kg per kg of air.
    pub highest_kg_kg: Vec<f64>,
    /// Its books, kg.
    pub books: Books,
}

/// How hard a zone that touches the ground draws soil gas: its pressure at the floor against outdoor
/// air, which fills the soil. No concentration follows from it without the soil and a measurement.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SoilPressure {
    /// The zone.
    pub zone: String,
    /// Mean, Pa; below zero it draws.
    pub mean_pa: f64,
    /// Mean change from one hour to the next, without sign, Pa.
    pub change_pa: f64,
    /// Part of the time below zero.
    pub drawing: f64,
}

/// Energy of a year, J.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Energy {
    /// Used for heating by fuel, in the order of [`crate::device::Fuel::ALL`]; backup under
    /// electricity.
    pub heating_j: [f64; 5],
    /// Electricity of cooling.
    pub cooling_j: f64,
    /// Electricity of the air handler's fan.
    pub handler_fan_j: f64,
    /// Electricity of exhaust fans and ventilators.
    pub ventilation_fan_j: f64,
    /// Electricity of dehumidifiers.
    pub drier_j: f64,
    /// Electricity of heat-pump water heaters.
    pub hot_water_j: f64,
    /// Electricity of humidifiers.
    pub humidifier_j: f64,
    /// Heat the heating gave.
    pub heat_delivered_j: f64,
    /// Sensible and latent heat the cooling took.
    pub heat_removed_j: f64,
}

impl Energy {
    /// All electricity.
    pub fn electricity_j(&self) -> f64 {
        let machines = [
            self.heating_j[0],
            self.cooling_j,
            self.handler_fan_j,
            self.ventilation_fan_j,
            self.drier_j,
            self.hot_water_j,
            self.humidifier_j,
        ];
        machines.iter().sum()
    }
}

/// In = out + stored, over everything that was run (warming up included, not weighted).
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct YearBooks {
    /// Largest imbalance of air of any zone in any step over that step's throughflow.
    pub air_imbalance: f64,
    /// Water, kg.
    pub water: Books,
    /// CO2, ppm kg of air.
    pub co2: Books,
    /// PM2.5, kg.
    pub pm25: Books,
    /// Heat, J, over 0 K.
    pub heat: Books,
    /// Largest relative error of a named gas.
    pub gases: f64,
}

impl YearBooks {
    /// The largest relative error of all.
    pub fn worst(&self) -> f64 {
        let carried = [self.water, self.co2, self.pm25, self.heat];
        carried.iter().fold(self.air_imbalance.max(self.gases), |w, b| w.max(b.relative_error()))
    }
}

/// What lock-outs of control rules came to owe.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Owed {
    /// The most at any time, s of one excess exposure.
    pub highest_s: f64,
    /// Time that repays it with the locked-out devices at full, s; nothing where that never does.
    pub repay_s: Option<f64>,
    /// Owed at the end, s of one excess exposure.
    pub left_s: f64,
    /// After an event ([`event`]), time from its end until nothing was owed, as lived, s; nothing where
    /// that took longer than [`event::REPAY_DAYS`], and in a year without one.
    pub repaid_s: Option<f64>,
}

/// What the run did.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
pub struct Counts {
    /// Inner steps accepted.
    pub step_count: usize,
    /// Steps halved because a zone's temperature moved by more than 1 K.
    pub halved_count: usize,
    /// Networks solved.
    pub solved_count: usize,
    /// Newton steps of all networks.
    pub newton_count: usize,
    /// Extra passes because a surface began or ceased to condense.
    pub condensation_pass_count: usize,
    /// Steps in which that had not settled after three passes.
    pub condensation_unsettled_count: usize,
}

/// A year's scores.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Year {
    /// One a zone, in the model's order.
    pub zones: Vec<ZoneYear>,
    /// Days lived through, warming up included.
    pub days_simulated: usize,
    /// Mean outdoor air that reaches the living space straight, kg/s.
    pub outdoor_air_kg_s: f64,
    /// The same as air changes of the living space, 1/h.
    pub outdoor_air_per_h: f64,
    /// Mean air from each buffer zone into the living space, kg/s, by name.
    pub air_from_buffers_kg_s: Vec<(String, f64)>,
    /// Least pressure of the appliance's zone against outdoors at its floor, Pa.
    pub least_appliance_pa: Option<f64>,
    /// Mean outdoor PM2.5, kg/m3.
    pub outdoor_pm25_kg_m3: f64,
    /// Energy.
    pub energy: Energy,
    /// Highest hourly mean of heat given, W.
    pub peak_heating_w: f64,
    /// Highest hourly mean of heat taken, latent included, W.
    pub peak_cooling_w: f64,
    /// Hours more than half a kelvin below the heating set point, h.
    pub too_cold_h: f64,
    /// Hours more than half a kelvin above the cooling set point, h.
    pub too_hot_h: f64,
    /// Part of the time the air handler runs.
    pub handler_duty: f64,
    /// Water that condensed on cold surfaces, kg.
    pub condensed_kg: f64,
    /// Water taken by the handler's coil, kg.
    pub coil_water_kg: f64,
    /// Of it, what evaporated again while the fan ran on.
    pub reevaporated_kg: f64,
    /// Mean temperature at the registers while it heats, K.
    pub register_heating_k: Option<f64>,
    /// Mean temperature at the registers while it cools, K.
    pub register_cooling_k: Option<f64>,
    /// Gases by name.
    pub gases: Vec<GasYear>,
    /// Zones that touch the ground.
    pub soil: Vec<SoilPressure>,
    /// The books.
    pub books: YearBooks,
    /// What lock-outs of control rules came to owe; nothing without rules that owe.
    pub owed: Option<Owed>,
    /// What the run did.
    pub counts: Counts,
    /// What the reader should know.
    pub diagnostics: Diagnostics,
}

/// Lives through the days asked for. `progress` is called after every day and may stop the run.
///
/// # Errors
/// [`YearError`]: a model that does not fit together, a network that cannot be solved, an inner
/// step that does not divide an hour, or a stop from `progress`.
pub fn run(
    model: &Model,
    weather: &Weather,
    options: &Options,
    progress: &mut dyn FnMut(Progress) -> ControlFlow<()>,
) -> Result<Year, YearError> {
    let plan = day_plan(&options.days)?;
    lived(model, weather, options, &plan, None, progress)
}

/// What another model stands for during a part of the time ([`event`]).
#[derive(Clone, Copy, Debug)]
struct Spell<'a> {
    /// The house meanwhile: the same zones, passages, fans, ventilators and gases.
    model: &'a Model,
    /// From and to, s after the start of the year.
    span_s: (f64, f64),
    /// Whether control rules act; else they rest from its start on.
    ruled: bool,
    /// Whether a smoke notice is in force.
    smoke: bool,
}

/// Lives through days in order, each with its weight; a weight of zero warms up.
fn lived(
    model: &Model,
    weather: &Weather,
    options: &Options,
    plan: &[(i64, f64)],
    spell: Option<Spell<'_>>,
    progress: &mut dyn FnMut(Progress) -> ControlFlow<()>,
) -> Result<Year, YearError> {
    let faults = model.check();
    if !faults.is_empty() {
        return Err(YearError::Model(faults));
    }
    if weather.hours.is_empty() {
        return Err(YearError::Weather { count: 0 });
    }
    let steps_h = 3600.0 / options.inner_step_s;
    if !((1.0..=3600.0).contains(&steps_h) && (steps_h - steps_h.round()).abs() < 1e-9) {
        return Err(YearError::Step { step_s: options.inner_step_s });
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "between 1 and 3600")]
    let steps_day = 24 * steps_h.round() as usize;

    let marks = events::Marks::new(model, options.inner_step_s, steps_day, &[]);
    let during = spell
        .map(|s| events::Marks::new(s.model, options.inner_step_s, steps_day, &[s.span_s.0, s.span_s.1]));
    let whole = options.days == Days::All;
    let hours = 24 * plan.iter().filter(|(_, weight)| *weight > 0.0).count();
    let mut runner = Runner::new(model, weather, Tally::new(model, whole, hours))?;
    runner.rules = options.controls.as_ref().map(|c| rules::Running::new(c, model));
    for (done, (day, weight)) in plan.iter().enumerate() {
        runner.tally.set_weight(*weight);
        let midnight_s = *day as f64 * 86_400.0;
        let touched = spell.filter(|s| s.span_s.0 < midnight_s + 86_400.0 && s.span_s.1 > midnight_s);
        let marks = during.as_ref().filter(|_| touched.is_some()).unwrap_or(&marks);
        for step in marks.of(*day).windows(2) {
            let time_s = midnight_s + step[0];
            if let Some(s) = spell {
                // The middle: a start may be rounded.
                let middle_s = time_s + 0.5 * (step[1] - step[0]);
                let now = s.span_s.0 <= middle_s && middle_s < s.span_s.1;
                runner.turn(if now { s.model } else { model }, now && !s.ruled, now && s.smoke);
            }
            runner.step(time_s, step[1] - step[0], MOST_HALVINGS)?;
        }
        let day_count = done + 1;
        if progress(Progress { day_count, of_days: plan.len() }).is_break() {
            return Err(YearError::Stopped { day_count });
        }
    }
    if let (Some(s), Some((last, _))) = (spell, plan.last()) {
        runner.tally.set_weight(0.0);
        runner.turn(model, false, false);
        for day in last + 1..=last + event::REPAY_DAYS {
            if runner.owed_s() <= 0.0 {
                break;
            }
            for step in marks.of(day).windows(2) {
                runner.step(day as f64 * 86_400.0 + step[0], step[1] - step[0], MOST_HALVINGS)?;
            }
        }
        runner.ended(s.span_s.1);
    }
    let mut year = runner.finish(options, plan.len());
    year.diagnostics = remarks(&year, options);
    Ok(year)
}

/// Days in order, as (day of the year, weight); a weight of zero warms up.
fn day_plan(days: &Days) -> Result<Vec<(i64, f64)>, YearError> {
    let mut plan = Vec::new();
    match days {
        Days::All => {
            plan.extend((0..WARM_UP_DAYS).map(|k| (k as i64 - WARM_UP_DAYS as i64, 0.0)));
            plan.extend((0..DAYS).map(|d| (d as i64, 1.0)));
        }
        Days::Picked(picked) => {
            let bad = picked.iter().find(|p| p.day >= DAYS || !(p.weight > 0.0 && p.weight.is_finite()));
            if bad.is_some() || picked.is_empty() {
                return Err(YearError::Picked { count: picked.len(), day: bad.map_or(0, |p| p.day) });
            }
            for (k, p) in picked.iter().enumerate() {
                let warm = if k == 0 { WARM_UP_FIRST_DAYS } else { WARM_UP_PICKED_DAYS } as i64;
                // The day after another picked day needs no warming up.
                let follows = k > 0 && picked[k - 1].day + 1 == p.day;
                if !follows {
                    plan.extend((1..=warm).rev().map(|b| (p.day as i64 - b, 0.0)));
                }
                plan.push((p.day as i64, p.weight));
            }
        }
    }
    Ok(plan)
}

fn remarks(year: &Year, options: &Options) -> Diagnostics {
    let mut found = Diagnostics::default();
    let worst = year.books.worst();
    if worst > BOOKS_CLOSE {
        found.push(Diagnostic::error(code::Y110).arg("error", worst));
    }
    if year.counts.halved_count > 0 {
        found.push(
            Diagnostic::note(code::Y111)
                .arg("count", year.counts.halved_count)
                .arg("steps", year.counts.step_count)
                .arg("step", (options.inner_step_s, Quantity::Time)),
        );
    }
    if year.counts.condensation_unsettled_count > 0 {
        found.push(Diagnostic::note(code::Y112).arg("count", year.counts.condensation_unsettled_count));
    }
    if year.too_cold_h > MISSED_H {
        found.push(Diagnostic::warning(code::Y113).arg("hours", year.too_cold_h));
    }
    if year.too_hot_h > MISSED_H {
        found.push(Diagnostic::warning(code::Y114).arg("hours", year.too_hot_h));
    }
    found
}
