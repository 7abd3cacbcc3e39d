//! A house stepped from where it was left, under weather and device states that come from outside:
//! what a watch expects of the next hours, and what it would have seen had something been otherwise.
//!
//! The same steps as those of a year. The state is kept by the caller and can be written down. The model may change from
//! call to call (a window opened, a fan stuck) where zones, fans, ventilators, dryers and gases stay the
//! same in number. Daily events take their part of every step; steps lie on a grid of equal steps.

use super::YearError;
use super::model::{Model, Occupant};
use super::score::Tally;
use super::step::{MOST_HALVINGS, Runner, State};
use crate::air;
use crate::device::person;
use crate::weather::Weather;
use serde::{Deserialize, Serialize};

/// What is known of devices and doors at an instant; nothing leaves each to its own schedule.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Held {
    /// Part of full of each exhaust fan, 0 to 1.
    pub exhausts: Vec<Option<f64>>,
    /// Part of full of each ventilator, 0 to 1.
    pub ventilators: Vec<Option<f64>>,
    /// Whether each door is open.
    pub doors: Vec<Option<bool>>,
    /// Part of the time that the handler runs at least, 0 to 1.
    pub handler: Option<f64>,
    /// People in each zone; in those zones they take the place of the occupants of the model.
    pub people: Vec<Option<f64>>,
}

/// What the people of one zone give off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Given {
    /// Where.
    pub(super) zone: usize,
    /// CO2, m3/s.
    pub(super) co2_m3_s: f64,
    /// Water, kg/s.
    pub(super) water_kg_s: f64,
    /// Sensible heat, W.
    pub(super) heat_w: f64,
}

/// Activity of people of whom nothing but their number is known, met (Persily and de Jonge 2017 give 1.2 to 1.4
/// for somebody awake at home).
const AWAKE_MET: f64 = 1.3;
/// Their mass, kg, and age: the middle of both sexes.
const ADULT: (f64, f64) = (78.0, 40.0);

fn adult(zone: usize) -> Given {
    let basal = |sex| person::basal_w(sex, ADULT.1, ADULT.0);
    let middle = 0.5 * (basal(person::Sex::Female) + basal(person::Sex::Male));
    let one = Occupant::person(middle, [Some(zone); 24], [AWAKE_MET; 24]);
    Given { zone, co2_m3_s: one.co2_m3_s[0], water_kg_s: one.water_kg_s[0], heat_w: one.heat_w[0] }
}

/// What people give off at a moment: the model's occupants, but where it is known how many there are, that many. Each
/// gives off what the model's own occupants of the zone do at that hour, or an adult who is awake.
pub(super) fn given<'m>(
    model: &'m Model,
    held: Option<&'m Held>,
    hour: usize,
    day_s: f64,
) -> impl Iterator<Item = Given> + 'm {
    let people = held.map(|h| h.people.as_slice()).unwrap_or_default();
    let stays = move || {
        model.occupants.iter().filter_map(move |o| {
            let stay = o.at(hour, day_s);
            let (co2_m3_s, water_kg_s, heat_w) = (stay.co2_m3_s, stay.water_kg_s, stay.heat_w);
            Some((Given { zone: stay.zone?, co2_m3_s, water_kg_s, heat_w }, o.persons))
        })
    };
    let counted = people.iter().enumerate().filter_map(move |(zone, count)| {
        let count = (*count)?.max(0.0);
        let zero = Given { zone, co2_m3_s: 0.0, water_kg_s: 0.0, heat_w: 0.0 };
        let own = stays().filter(|(g, persons)| g.zone == zone && *persons > 0.0);
        let (sum, persons) = own.fold((zero, 0.0), |(sum, n), (g, persons)| {
            let (co2_m3_s, water_kg_s) = (sum.co2_m3_s + g.co2_m3_s, sum.water_kg_s + g.water_kg_s);
            (Given { zone, co2_m3_s, water_kg_s, heat_w: sum.heat_w + g.heat_w }, n + persons)
        });
        let (each, of) = if persons > 0.0 { (sum, persons) } else { (adult(zone), 1.0) };
        Some(Given {
            zone,
            co2_m3_s: each.co2_m3_s / of * count,
            water_kg_s: each.water_kg_s / of * count,
            heat_w: each.heat_w / of * count,
        })
    });
    let is_known = move |zone: usize| people.get(zone).copied().flatten().is_some();
    stays().map(|s| s.0).filter(move |g| !is_known(g.zone)).chain(counted)
}

/// Where a house stands between two calls.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Standing(State);

/// One instant, the end of a step.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Instant {
    /// Temperature by zone, K.
    pub temp_k: Vec<f64>,
    /// Humidity ratio by zone, kg/kg.
    pub w_kg_kg: Vec<f64>,
    /// CO2 by zone, volume fraction.
    pub co2: Vec<f64>,
    /// PM2.5 by zone, kg/m3 of air at 20 degC.
    pub pm25_kg_m3: Vec<f64>,
    /// Pressure of each zone against outdoors at its floor, Pa.
    pub pressure_pa: Vec<f64>,
    /// Part of full of each exhaust fan.
    pub exhausts: Vec<f64>,
    /// Part of full of each ventilator.
    pub ventilators: Vec<f64>,
    /// Part of the step that the handler ran.
    pub handler: f64,
    /// Outdoor air into the rooms that are lived in, kg/s.
    pub outdoor_air_kg_s: f64,
    /// Station pressure, Pa.
    pub station_pa: f64,
}

impl Standing {
    /// A house that begins as the days of a year do; it needs some days to forget that.
    ///
    /// # Errors
    /// [`YearError`]: a model that does not fit together.
    pub fn new(model: &Model, weather: &Weather) -> Result<Standing, YearError> {
        let faults = model.check();
        if !faults.is_empty() {
            return Err(YearError::Model(faults));
        }
        let runner = Runner::new(model, weather, Tally::new(model, false, 0))?;
        Ok(Standing(runner.state))
    }
}

/// Steps from `span_s.0` to `span_s.1`, s of the year in standard time, in equal steps of at most `step_s`.
/// `held` says what is known of devices at the middle of a step; `see` is called at the end of each step
/// with the time of its end and its length.
///
/// # Errors
/// [`YearError`].
pub fn step(
    model: &Model,
    weather: &Weather,
    standing: &mut Standing,
    span_s: (f64, f64),
    step_s: f64,
    held: &mut dyn FnMut(f64, &mut Held),
    see: &mut dyn FnMut(f64, f64, &Instant),
) -> Result<(), YearError> {
    if weather.hours.is_empty() {
        return Err(YearError::Weather { count: 0 });
    }
    let count = ((span_s.1 - span_s.0) / step_s).ceil();
    if !(1.0..1e7).contains(&count) {
        return Ok(());
    }
    let dt_s = (span_s.1 - span_s.0) / count;
    let mut tally = Tally::new(model, false, 0);
    tally.set_weight(0.0);
    let mut runner = Runner::new(model, weather, tally)?;
    runner.state = standing.0.clone();
    runner.held = Some(Held::default());
    let mut seen = Instant::default();
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "checked above")]
    let count = count as usize;
    for k in 0..count {
        let time_s = span_s.0 + k as f64 * dt_s;
        let mut known = runner.held.take().unwrap_or_default();
        held(time_s + 0.5 * dt_s, &mut known);
        runner.held = Some(known);
        runner.step(time_s, dt_s, MOST_HALVINGS)?;
        runner.look(time_s + dt_s, &mut seen);
        see(time_s + dt_s, dt_s, &seen);
    }
    standing.0 = runner.state;
    Ok(())
}

impl Runner<'_> {
    /// What is known of fans and ventilators, after schedules and rules chose.
    pub(super) fn apply_held(&mut self) {
        let Some(held) = &self.held else { return };
        let put = |parts: &mut [f64], known: &[Option<f64>]| {
            for (part, known) in parts.iter_mut().zip(known) {
                *part = known.unwrap_or(*part);
            }
        };
        put(&mut self.exhaust_part, &held.exhausts);
        put(&mut self.vent_part, &held.ventilators);
    }

    fn look(&self, time_s: f64, seen: &mut Instant) {
        let state = &self.state;
        seen.temp_k.clone_from(&state.temp_k);
        seen.w_kg_kg.clone_from(&state.w_kg_kg);
        seen.co2.clear();
        seen.co2.extend(state.co2_ppm.iter().map(|c| c * 1e-6));
        seen.pm25_kg_m3.clear();
        seen.pm25_kg_m3.extend(state.pm_kg_kg.iter().map(|p| p * air::REFERENCE_DENSITY_KG_M3));
        let balanced = self.handler.as_ref().is_none_or(|h| h.balanced);
        let duty = if balanced { 0.0 } else { state.duty.clamp(0.0, 1.0) };
        seen.pressure_pa.clear();
        seen.pressure_pa.extend(
            self.model
                .zones
                .iter()
                .enumerate()
                .map(|(z, zone)| self.air.mean_pressure_pa(z, zone.floor_m, duty)),
        );
        seen.exhausts.clone_from(&self.exhaust_part);
        seen.ventilators.clone_from(&self.vent_part);
        seen.handler = state.duty;
        seen.outdoor_air_kg_s = self.outdoor_air_kg_s();
        seen.station_pa = self.weather.at(time_s).pressure_pa;
    }
}
