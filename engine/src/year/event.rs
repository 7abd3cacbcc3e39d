//! Bad days: a span of days with other weather, another use of the house, or without electricity.
//!
//! Weather is changed once for all houses ([`weather`]); the house meanwhile is a copy of its model
//! with other schedules ([`during`]), whose network, ducts and routes are those of the model it stands
//! in for. Days before warm up as they are. The event starts at midnight of standard time, or at a time of
//! the first day by the clock on the wall ([`Event::at_s`]); weather changes by the whole hours nearest to it.
//! Where rules still owe something at its end, days go on until it is repaid, [`REPAY_DAYS`] at most.
//!
//! * Smoke raises the outdoor PM2.5 of every hour by its size; rules know of a smoke notice.
//! * Heat and cold shift the outdoor temperature of every hour, or hold it; the humidity ratio stays,
//!   at most at saturation.
//! * A power cut stops fans, ventilators, handler, heating, cooling, dryers, humidifiers, lights and
//!   appliances, and control rules. Fans that move air through a line of their own stop too. Daily
//!   events (cooking) go on. Flues and dampers stay as they are.
//! * Everything on runs every exhaust (hoods and vented dryers are exhausts) and the handler all day
//!   with the doors within shut; what only brings air in rests, balanced ventilation keeps its hours,
//!   control rules rest.
//! * Doors shut shuts the doors within at night, 22 to 7.
//! * Guests live as the household does, in the same rooms at the same hours.
//! * Cooking and baths multiply what daily events of less than six hours give off.

use super::equipment::Schedule;
use super::model::{Model, Open, OutdoorAir};
use super::{Options, Progress, Spell, WARM_UP_FIRST_DAYS, Year, YearError, lived};
use crate::air;
use crate::doc::job::SummerTime;
use crate::doc::plans::{Event, EventKind, Size, Start};
use crate::network::Node;
use crate::weather::{DAYS, HOURS, Hour, Weather, month_of};
use std::ops::ControlFlow;

const DAY_S: f64 = 86_400.0;
/// Days that are lived after an event until nothing is owed.
pub const REPAY_DAYS: i64 = 14;
/// What lasts as long is no daily event that somebody could do more of, s.
const LONGEST_S: f64 = 6.0 * 3600.0;

/// Days of an event, begun ones counted.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a length of days at most")]
pub fn days(event: &Event) -> usize {
    (((event.at_s.unwrap_or(0.0) + event.lasts_s) / DAY_S).ceil() as usize).clamp(1, DAYS)
}

/// When an event begins, s after midnight of standard time of the first day.
pub fn begins_s(event: &Event, first_day: usize, summer: Option<&SummerTime>) -> f64 {
    let Some(at_s) = event.at_s else { return 0.0 };
    let midnight_s = first_day as f64 * DAY_S;
    let instant_s = summer.map_or(midnight_s + at_s, |s| super::clock::instant_s(s, midnight_s, at_s));
    (instant_s - midnight_s).max(0.0)
}

/// The first hour of an event, from 0 at midnight of standard time of the first day.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "within a day")]
pub fn first_hour(event: &Event, first_day: usize, summer: Option<&SummerTime>) -> usize {
    (begins_s(event, first_day, summer) / 3600.0).round() as usize
}

/// Hours of an event.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a length of days at most")]
pub fn hours(event: &Event) -> usize {
    ((event.lasts_s / 3600.0).round() as usize).clamp(1, HOURS)
}

/// The day of the year, from 0, on which it starts.
pub fn first_day(event: &Event, weather: &Weather) -> usize {
    let count = days(event);
    let of = |value: &dyn Fn(&Hour) -> f64| -> Vec<f64> {
        (0..DAYS)
            .map(|first| (24 * first..24 * (first + count)).map(|h| value(weather.hour(h as i64))).sum())
            .collect()
    };
    let least =
        |list: Vec<f64>| list.iter().enumerate().min_by(|a, b| a.1.total_cmp(b.1)).map_or(0, |(day, _)| day);
    match event.start {
        Start::Day(day) => day.min(DAYS - 1),
        Start::Hottest => least(of(&|h| -h.temp_k)),
        Start::Coldest => least(of(&|h| h.temp_k)),
        Start::Calmest => least(of(&|h| h.wind_m_s)),
    }
}

/// The weather with the event in it; nothing where it leaves the weather alone. `outdoor` stands for
/// particles where the weather has no series of them.
pub fn weather(
    event: &Event,
    first_day: usize,
    weather: &Weather,
    outdoor: &OutdoorAir,
    summer: Option<&SummerTime>,
) -> Option<Weather> {
    let length = weather.hours.len();
    let first = 24 * first_day + first_hour(event, first_day, summer);
    let span = || (first..first + hours(event)).map(move |h| h % length);
    let mut with = weather.clone();
    match event.size {
        Size::Raised(by_kg_m3) => {
            if with.pm25_kg_m3.is_empty() {
                with.pm25_kg_m3 = (0..length).map(|h| outdoor.pm25_kg_m3[month_of(h / 24 % DAYS)]).collect();
            }
            let count = with.pm25_kg_m3.len();
            span().for_each(|h| with.pm25_kg_m3[h % count] += by_kg_m3);
        }
        Size::Shifted(by_k) => span().for_each(|h| set_temp(&mut with.hours[h], |k| k + by_k)),
        Size::Held(temp_k) => span().for_each(|h| set_temp(&mut with.hours[h], |_| temp_k)),
        Size::None | Size::Persons(_) | Size::Times(_) => return None,
    }
    Some(with)
}

fn set_temp(hour: &mut Hour, temp: impl Fn(f64) -> f64) {
    hour.temp_k = temp(hour.temp_k);
    let most = air::saturation_humidity_ratio(hour.temp_k, hour.pressure_pa);
    if hour.w_kg_kg > most {
        hour.w_kg_kg = most;
    }
}

/// The house while the event lasts; nothing where it only has other weather.
pub fn during(event: &Event, model: &Model) -> Option<Model> {
    let mut with = model.clone();
    match (event.kind, event.size) {
        (EventKind::PowerCut, _) => without_power(&mut with),
        (EventKind::EverythingOn, _) => all_on(&mut with),
        (EventKind::DoorsShut, _) => {
            for door in &mut with.doors {
                if let Open::Hours(open) = &mut door.open {
                    (0..24).filter(|h| *h >= 22 || *h < 7).for_each(|h| open[h] = false);
                }
            }
        }
        (EventKind::Guests, Size::Persons(more)) => {
            let all: f64 = with.occupants.iter().map(|o| o.persons).sum();
            if all > 0.0 {
                let times = 1.0 + more / all;
                for o in &mut with.occupants {
                    o.persons *= times;
                    for list in [&mut o.co2_m3_s, &mut o.water_kg_s, &mut o.heat_w] {
                        list.iter_mut().for_each(|v| *v *= times);
                    }
                    for stay in &mut o.stays {
                        stay.co2_m3_s *= times;
                        stay.water_kg_s *= times;
                        stay.heat_w *= times;
                    }
                }
            }
        }
        (EventKind::Cooking, Size::Times(times)) => {
            for s in with.sources.iter_mut().filter(|s| s.duration_s < LONGEST_S) {
                for rate in [&mut s.pm25_kg_s, &mut s.water_kg_s, &mut s.co2_m3_s, &mut s.heat_w] {
                    *rate *= times;
                }
            }
            let gases = with.gases.iter_mut().flat_map(|g| &mut g.sources);
            gases.filter(|s| s.duration_s < LONGEST_S).for_each(|s| s.rate_kg_s *= times);
        }
        _ => return None,
    }
    Some(with)
}

fn without_power(model: &mut Model) {
    let never = Schedule::Spans(Vec::new());
    model.exhausts.iter_mut().for_each(|f| f.schedule = never.clone());
    model.ventilators.iter_mut().for_each(|v| v.schedule = never.clone());
    for door in &mut model.doors {
        if let Open::Running { spans, .. } = &mut door.open {
            spans.clear();
        }
    }
    if let Some(handler) = &mut model.handler {
        handler.least_duty = 0.0;
    }
    model.thermostat = None;
    model.driers.clear();
    model.hot_water.clear();
    model.humidifiers.clear();
    model.gains.clear();
}

fn all_on(model: &mut Model) {
    model.exhausts.iter_mut().for_each(|f| f.schedule = Schedule::Always);
    for v in model.ventilators.iter_mut().filter(|v| v.exhaust_kg_s.is_empty()) {
        v.schedule = Schedule::Spans(Vec::new());
    }
    if let Some(handler) = &mut model.handler {
        handler.least_duty = 1.0;
    }
    for door in &mut model.doors {
        match &mut door.open {
            Open::Hours(open) => *open = [false; 24],
            Open::Running { spans, .. } => {
                let from_outdoors = model
                    .network
                    .passages()
                    .get(door.passage)
                    .is_some_and(|p| matches!(p.a, Node::Outdoors { .. }));
                *spans = if from_outdoors { Vec::new() } else { vec![(0.0, DAY_S)] };
            }
        }
    }
}

/// Lives through an event that starts on a day of the year, after days of warming up; the days of the
/// event are recorded, with their hourly series. `weather` is that of [`weather`], `options.days` do
/// not count.
///
/// # Errors
/// [`YearError`], as in [`run`](super::run).
pub fn run(
    event: &Event,
    first_day: usize,
    (model, meanwhile): (&Model, Option<&Model>),
    weather: &Weather,
    options: &Options,
    progress: &mut dyn FnMut(Progress) -> ControlFlow<()>,
) -> Result<Year, YearError> {
    let first = first_day as i64;
    let warm = (first - WARM_UP_FIRST_DAYS as i64..first).map(|day| (day, 0.0));
    let plan: Vec<(i64, f64)> = warm.chain((first..first + days(event) as i64).map(|d| (d, 1.0))).collect();
    let from_s = first_day as f64 * DAY_S + begins_s(event, first_day, model.summer.as_ref());
    let spell = Spell {
        model: meanwhile.unwrap_or(model),
        span_s: (from_s, from_s + event.lasts_s),
        ruled: !matches!(event.kind, EventKind::PowerCut | EventKind::EverythingOn),
        smoke: event.kind == EventKind::Smoke,
    };
    lived(model, weather, options, &plan, Some(spell), progress)
}
