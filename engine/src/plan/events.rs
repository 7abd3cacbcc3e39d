//! Plans through bad days: every plan lives the days of an event in the same draws as its year.

use super::compared::{difference, estimate};
use super::lived::prepared;
use super::model::{self, Luck, Surroundings};
use super::{CHUNK, Options, Planned, Progress, each, picked, score};
use crate::diag::Diagnostics;
use crate::doc::job::Thresholds;
use crate::doc::plans::{Change, Event, EventKind};
use crate::house::House;
use crate::measure::{Estimate, NoInterval};
use crate::units::Quantity;
use crate::weather::Weather;
use crate::year::{self, Series, Year, YearError};
use serde::Serialize;
use std::ops::ControlFlow;

/// One quantity of an event.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum EventScore {
    /// Mean PM2.5 of a zone over that outdoors.
    Pm25Mean {
        /// Index of the zone.
        zone: usize,
    },
    /// Highest hourly PM2.5 of a zone over the highest outdoors.
    Pm25Peak {
        /// Index of the zone.
        zone: usize,
    },
    /// Hours with more PM2.5 than the threshold of a day.
    Pm25Hours {
        /// Index of the zone.
        zone: usize,
    },
    /// Mean PM2.5 of a zone.
    Pm25 {
        /// Index of the zone.
        zone: usize,
    },
    /// Hours above the warm threshold.
    WarmHours {
        /// Index of the zone.
        zone: usize,
    },
    /// Highest hourly temperature.
    Warmest {
        /// Index of the zone.
        zone: usize,
    },
    /// Hours below the cool threshold.
    CoolHours {
        /// Index of the zone.
        zone: usize,
    },
    /// Lowest hourly temperature.
    Coldest {
        /// Index of the zone.
        zone: usize,
    },
    /// Temperature in the last hour of the event.
    TempAtEnd {
        /// Index of the zone.
        zone: usize,
    },
    /// Highest hourly CO2, volume fraction.
    HighestCo2 {
        /// Index of the zone.
        zone: usize,
    },
    /// Mean CO2 of the nights, 22 to 7, volume fraction.
    NightCo2 {
        /// Index of the zone.
        zone: usize,
    },
    /// Hours above the damp threshold.
    HumidHours {
        /// Index of the zone.
        zone: usize,
    },
    /// Least pressure at an appliance against outdoors.
    AppliancePressure {
        /// Index of the appliance.
        appliance: usize,
    },
    /// The most that lock-outs of rules come to owe.
    Owed,
    /// Time that repays it with the locked-out devices at full.
    Repay,
    /// Time from the end of the event until nothing was owed, as lived with the rules.
    Repaid,
}

impl EventScore {
    /// What its values measure.
    pub fn quantity(self) -> Quantity {
        match self {
            EventScore::Pm25Mean { .. } | EventScore::Pm25Peak { .. } => Quantity::Fraction,
            EventScore::Pm25 { .. } => Quantity::ParticleConcentration,
            EventScore::Pm25Hours { .. }
            | EventScore::WarmHours { .. }
            | EventScore::CoolHours { .. }
            | EventScore::HumidHours { .. }
            | EventScore::Owed
            | EventScore::Repay
            | EventScore::Repaid => Quantity::Time,
            EventScore::Warmest { .. } | EventScore::Coldest { .. } | EventScore::TempAtEnd { .. } => {
                Quantity::Temperature
            }
            EventScore::HighestCo2 { .. } | EventScore::NightCo2 { .. } => Quantity::GasFraction,
            EventScore::AppliancePressure { .. } => Quantity::Pressure,
        }
    }
}

/// What one plan came to in an event.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EventOfPlan {
    /// Name in the documents; empty for the house as found.
    pub name: String,
    /// One value a score.
    pub values: Vec<Estimate>,
    /// Each value less that of the house as found, over the same draws.
    pub differences: Vec<Estimate>,
}

/// An event lived through.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EventLived {
    /// What happened.
    #[serde(flatten)]
    pub event: Event,
    /// Day of the year on which it started, from 0.
    pub first_day: usize,
    /// What is looked at.
    pub scores: Vec<EventScore>,
    /// The house as found, then the plans.
    pub plans: Vec<EventOfPlan>,
    /// Draws used.
    pub draws: usize,
    /// Largest relative error of the books over all runs.
    pub books_worst: f64,
}

/// What an event is judged by in a house.
pub fn event_scores(event: &Event, house: &House, owes: bool) -> Vec<EventScore> {
    let mut rooms = score::lived_in(house);
    if rooms.is_empty() {
        rooms.extend(crate::fit::fan_zone(house));
    }
    let mut sleep: Vec<usize> = Vec::new();
    for p in &house.text.people {
        sleep.extend(house.zone(&p.sleep_in.value).filter(|z| !sleep.contains(z)));
    }
    if sleep.is_empty() {
        sleep.clone_from(&rooms);
    }
    let by = |zones: &[usize], of: &[fn(usize) -> EventScore]| -> Vec<EventScore> {
        of.iter().flat_map(|one| zones.iter().map(|z| one(*z)).collect::<Vec<_>>()).collect()
    };
    let mut list = match event.kind {
        EventKind::Smoke => by(
            &rooms,
            &[
                |zone| EventScore::Pm25Mean { zone },
                |zone| EventScore::Pm25Peak { zone },
                |zone| EventScore::Pm25Hours { zone },
            ],
        ),
        EventKind::HeatWave => {
            by(&rooms, &[|zone| EventScore::WarmHours { zone }, |zone| EventScore::Warmest { zone }])
        }
        EventKind::ColdSnap => {
            by(&rooms, &[|zone| EventScore::Coldest { zone }, |zone| EventScore::CoolHours { zone }])
        }
        EventKind::PowerCut => {
            by(&rooms, &[|zone| EventScore::TempAtEnd { zone }, |zone| EventScore::HighestCo2 { zone }])
        }
        EventKind::EverythingOn => (0..house.appliances.len())
            .map(|appliance| EventScore::AppliancePressure { appliance })
            .filter(|s| matches!(s, EventScore::AppliancePressure { appliance } if model::draws_room_air(&house.appliances[*appliance], &[])))
            .collect(),
        EventKind::DoorsShut | EventKind::Guests => {
            by(&sleep, &[|zone| EventScore::NightCo2 { zone }, |zone| EventScore::HighestCo2 { zone }])
        }
        EventKind::Cooking => by(
            &rooms,
            &[
                |zone| EventScore::Pm25 { zone },
                |zone| EventScore::Pm25Hours { zone },
                |zone| EventScore::HumidHours { zone },
            ],
        ),
    };
    if owes && matches!(event.kind, EventKind::Smoke | EventKind::HeatWave | EventKind::ColdSnap) {
        list.extend([EventScore::Owed, EventScore::Repay, EventScore::Repaid]);
    }
    list
}

/// An event made ready once for all draws and plans.
struct Ready<'a> {
    event: &'a Event,
    first_day: usize,
    /// From midnight of that day.
    first_hour: usize,
    weather: Weather,
    scores: Vec<EventScore>,
}

/// Lives every event with the house as found and every plan; `thresholds` are those beyond which hours
/// count.
///
/// # Errors
/// [`YearError`]: a model that cannot be run, or a stop from `progress`.
#[expect(clippy::too_many_arguments, reason = "the arguments of `compare`, and two")]
pub fn bad_days(
    events: &[Event],
    house: &House,
    draws: &[Vec<f64>],
    plans: &[Planned],
    thresholds: &Thresholds,
    around: Surroundings<'_>,
    options: &Options,
    progress: &mut dyn FnMut(Progress) -> ControlFlow<()>,
) -> Result<(Vec<EventLived>, Diagnostics), YearError> {
    let picked = picked(options.draws, draws.len());
    let candidates: Vec<&[Change]> =
        std::iter::once(&[][..]).chain(plans.iter().map(|p| p.changes.as_slice())).collect();
    let owes = around.rules.is_some_and(|set| (0..set.rules.len()).any(|r| set.worst_debt(r).is_some()))
        && candidates.iter().any(|c| c.iter().any(|c| matches!(c, Change::Rules { .. })));
    let outdoor = model::outdoor(around.place);
    let summer = around.place.summer.as_ref();
    let ready: Vec<Ready<'_>> = events
        .iter()
        .map(|event| {
            let first_day = year::event::first_day(event, around.weather);
            let with = year::event::weather(event, first_day, around.weather, &outdoor, summer);
            let weather = with.unwrap_or_else(|| around.weather.clone());
            let first_hour = year::event::first_hour(event, first_day, summer);
            Ready { event, first_day, first_hour, weather, scores: event_scores(event, house, owes) }
        })
        .collect();
    let count = candidates.len();
    let tasks: Vec<(usize, usize, usize)> = (0..ready.len())
        .flat_map(|e| (0..picked.len()).flat_map(move |d| (0..count).map(move |c| (e, d, c))))
        .collect();
    let one = |&(e, d, c): &(usize, usize, usize)| {
        let luck = Luck { seed: options.seed, draw: d };
        live(&ready[e], house, (&draws[picked[d]], candidates[c], luck), thresholds, around, options)
    };
    let mut lived: Vec<Lived> = Vec::with_capacity(tasks.len());
    for chunk in tasks.chunks(CHUNK) {
        if progress(Progress { done: lived.len(), of: tasks.len(), leading: None }).is_break() {
            return Err(YearError::Stopped { day_count: 0 });
        }
        for result in each(chunk, &one) {
            lived.push(result?);
        }
    }
    let mut said = Diagnostics::default();
    let books_open = |l: &&Lived| l.diagnostics.worst() == Some(crate::diag::Severity::Error);
    if let Some(l) = lived.iter().find(books_open) {
        said.append(l.diagnostics.clone());
    }
    let all = ready.iter().enumerate().map(|(e, ready)| {
        let at = |c: usize, d: usize| &lived[(e * picked.len() + d) * count + c];
        let over = |value: &dyn Fn(usize) -> f64| (0..picked.len()).map(value).collect::<Vec<f64>>();
        let made = |values: Vec<f64>, quantity: Quantity| {
            // A quantity that a plan does not have, in no draw, is none.
            if values.iter().all(|v| v.is_nan()) {
                Estimate::without(f64::NAN, quantity, NoInterval::NotComputed)
            } else {
                estimate(values, quantity)
            }
        };
        let of_plan = |c: usize| EventOfPlan {
            name: c.checked_sub(1).map_or_else(String::new, |p| plans[p].name.clone()),
            values: ready
                .scores
                .iter()
                .enumerate()
                .map(|(s, score)| made(over(&|d| at(c, d).values[s]), score.quantity()))
                .collect(),
            differences: ready
                .scores
                .iter()
                .enumerate()
                .map(|(s, score)| {
                    made(over(&|d| at(c, d).values[s] - at(0, d).values[s]), difference(score.quantity()))
                })
                .collect(),
        };
        let books = (0..count).flat_map(|c| (0..picked.len()).map(move |d| (c, d)));
        EventLived {
            event: ready.event.clone(),
            first_day: ready.first_day,
            scores: ready.scores.clone(),
            plans: (0..count).map(of_plan).collect(),
            draws: picked.len(),
            books_worst: crate::math::max_valid(books.map(|(c, d)| at(c, d).books)).unwrap_or(f64::NAN),
        }
    });
    Ok((all.collect(), said))
}

/// One event of one plan in one draw.
struct Lived {
    values: Vec<f64>,
    books: f64,
    diagnostics: Diagnostics,
}

fn live(
    ready: &Ready<'_>,
    house: &House,
    (theta, changes, luck): (&[f64], &[Change], Luck),
    thresholds: &Thresholds,
    around: Surroundings<'_>,
    options: &Options,
) -> Result<Lived, YearError> {
    let (mut model, controls) = prepared(house, theta, changes, luck, around)?;
    let how = year::Options {
        inner_step_s: options.inner_step_s,
        keep_series: true,
        controls,
        ..year::Options::default()
    };
    let mut run = |appliance_zone: Option<usize>| {
        model.appliance_zone = appliance_zone;
        let meanwhile = year::event::during(ready.event, &model);
        let houses = (&model, meanwhile.as_ref());
        let go = &mut |_| ControlFlow::Continue(());
        year::event::run(ready.event, ready.first_day, houses, &ready.weather, &how, go)
    };
    // One run for each room with an appliance that draws from it: mostly one.
    let mut rooms: Vec<usize> = Vec::new();
    for score in &ready.scores {
        if let EventScore::AppliancePressure { appliance } = score {
            let a = &house.appliances[*appliance];
            if model::draws_room_air(a, changes) && !rooms.contains(&a.zone) {
                rooms.push(a.zone);
            }
        }
    }
    let first = run(rooms.first().copied())?;
    let mut years = vec![first];
    for room in rooms.iter().skip(1) {
        years.push(run(Some(*room))?);
    }
    let year = &years[0];
    let value = |score: &EventScore| match score {
        EventScore::AppliancePressure { appliance } => {
            let a = &house.appliances[*appliance];
            let place = rooms.iter().position(|z| *z == a.zone);
            let open = model::draws_room_air(a, changes);
            place.filter(|_| open).and_then(|p| years[p].least_appliance_pa).unwrap_or(f64::NAN)
        }
        other => of_year(*other, ready, year, thresholds),
    };
    Ok(Lived {
        values: ready.scores.iter().map(value).collect(),
        books: year.books.worst(),
        diagnostics: year.diagnostics.clone(),
    })
}

fn of_year(score: EventScore, ready: &Ready<'_>, year: &Year, thresholds: &Thresholds) -> f64 {
    let count = year::event::hours(ready.event);
    let series = |zone: usize| year.zones.get(zone).and_then(|z| z.series.as_ref());
    let list = |zone: usize, of: fn(&Series) -> &Vec<f64>| -> &[f64] {
        series(zone).map_or(&[][..], |s| {
            let end = (ready.first_hour + count).min(of(s).len());
            of(s).get(ready.first_hour..end).unwrap_or(&[])
        })
    };
    let hours = |values: &[f64], counts: &dyn Fn(f64) -> bool| {
        3600.0 * values.iter().filter(|v| counts(**v)).count() as f64
    };
    let mean = |values: &mut dyn Iterator<Item = f64>| {
        let (sum, n) = values.fold((0.0, 0.0), |(sum, n), v| (sum + v, n + 1.0));
        if n > 0.0 { sum / n } else { f64::NAN }
    };
    let highest = |values: &[f64]| values.iter().copied().fold(f64::NAN, f64::max);
    let outdoors: Vec<f64> = (0..count)
        .map(|h| {
            let time_s = 86_400.0 * ready.first_day as f64 + 3600.0 * ((ready.first_hour + h) as f64 + 0.5);
            ready.weather.pm25_kg_m3_at(time_s).unwrap_or(year.outdoor_pm25_kg_m3)
        })
        .collect();
    let pm = |zone| list(zone, |s| &s.pm25_kg_m3);
    let temp = |zone| list(zone, |s| &s.temp_k);
    let co2 = |zone| list(zone, |s| &s.co2_ppm);
    match score {
        EventScore::Pm25Mean { zone } => {
            mean(&mut pm(zone).iter().copied()) / mean(&mut outdoors.iter().copied())
        }
        EventScore::Pm25Peak { zone } => highest(pm(zone)) / highest(&outdoors),
        EventScore::Pm25Hours { zone } => hours(pm(zone), &|v| v > thresholds.pm25_day_kg_m3),
        EventScore::Pm25 { zone } => mean(&mut pm(zone).iter().copied()),
        EventScore::WarmHours { zone } => hours(temp(zone), &|v| v > thresholds.warm_k),
        EventScore::Warmest { zone } => highest(temp(zone)),
        EventScore::CoolHours { zone } => hours(temp(zone), &|v| v < thresholds.cool_k),
        EventScore::Coldest { zone } => temp(zone).iter().copied().fold(f64::NAN, f64::min),
        EventScore::TempAtEnd { zone } => temp(zone).last().copied().unwrap_or(f64::NAN),
        EventScore::HighestCo2 { zone } => 1e-6 * highest(co2(zone)),
        EventScore::NightCo2 { zone } => {
            let of_day = |h: &usize| (ready.first_hour + h) % 24;
            let night = |h: &usize| of_day(h) >= 22 || of_day(h) < 7;
            let values = co2(zone).iter().enumerate().filter(|(h, _)| night(h));
            1e-6 * mean(&mut values.map(|(_, v)| *v))
        }
        EventScore::HumidHours { zone } => hours(list(zone, |s| &s.rh), &|v| v > thresholds.damp_rh),
        EventScore::Owed => year.owed.map_or(0.0, |o| o.highest_s),
        // What nobody owes is repaid at once.
        EventScore::Repay => year.owed.map_or(0.0, |o| o.repay_s.unwrap_or(f64::NAN)),
        EventScore::Repaid => year.owed.map_or(0.0, |o| o.repaid_s.unwrap_or(f64::NAN)),
        EventScore::AppliancePressure { .. } => f64::NAN,
    }
}
