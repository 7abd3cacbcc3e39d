//! A house after a plan lived through its days in one draw, and what its hours say.

use super::after::after;
use super::model::{self, Luck, Surroundings};
use super::{Options, Score, score};
use crate::air::{self, ZERO_CELSIUS_K, quality};
use crate::doc::plans::Change;
use crate::house::House;
use crate::procedure::moisture::mould::{Decline, Index};
use crate::weather::{DAYS, Weather};
use crate::year::{self, Days, Gas, GasSource, Model, Series, Year, YearError};
use serde::Serialize;
use std::ops::ControlFlow;

/// What one year of one plan in one draw gave.
#[derive(Clone, Debug)]
pub(super) struct Lived {
    pub(super) values: Vec<f64>,
    pub(super) energy_cost: f64,
    /// Burnt for heating; electricity that follows the weather; other electricity, J.
    pub(super) energy_parts: [f64; 3],
    pub(super) books: f64,
    pub(super) days: usize,
    pub(super) owed: Option<year::Owed>,
    pub(super) diagnostics: crate::diag::Diagnostics,
    pub(super) hourly: Option<Hourly>,
}

/// Hourly means of one year.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Hourly {
    /// The days lived: day of the year (0 is 1 January) and the days it stands for.
    pub days: Vec<(usize, f64)>,
    /// Names of the zones.
    pub zones: Vec<String>,
    /// One a zone, 24 values a day.
    pub series: Vec<Series>,
    /// Outdoor temperature, K, likewise.
    pub outdoor_k: Vec<f64>,
}

/// Something that the rooms give off evenly, kg/s, to compare ventilation by.
const EVEN_KG_S: f64 = 1e-6;
/// Steady dwelling-unit rate of ASHRAE 62.2 in SI: 0.15 L/s a m2 and 3.5 L/s a person (ASHRAE
/// Fundamentals 2021, chapter 16, table 3).
const RATE_M3_S_M2: f64 = 0.15e-3;
const RATE_M3_S_PERSON: f64 = 3.5e-3;

/// Lives a plan's changes in one draw; `keep` its hours.
pub(super) fn live(
    house: &House,
    theta: &[f64],
    changes: &[Change],
    (luck, keep): (Luck, bool),
    scores: &[Score],
    around: Surroundings<'_>,
    options: &Options,
) -> Result<Lived, YearError> {
    let (mut model, controls) = prepared(house, theta, changes, luck, around)?;
    if scores.iter().any(|s| s.kind == super::ScoreKind::RelativeExposure) {
        model.gases.push(even_gas(&model));
    }
    let how = year::Options {
        inner_step_s: options.inner_step_s,
        days: options.days.clone(),
        keep_series: true,
        controls,
        ..year::Options::default()
    };
    let year = year::run(&model, around.weather, &how, &mut |_| ControlFlow::Continue(()))?;
    let hours = Hours::new(&model, &year, around.weather, &options.days, options.people);
    let (house, theta) = after(house, theta, changes, luck);
    let electricity = around.place.electricity_per_j.unwrap_or(0.0);
    let fuel = around.place.fuel_per_j.unwrap_or(0.0);
    let season_j = year.energy.heating_j[0] + year.energy.cooling_j + year.energy.handler_fan_j;
    Ok(Lived {
        values: scores.iter().map(|s| score::value(s, &house, &theta, &year, &hours)).collect(),
        energy_cost: year.energy.electricity_j() * electricity + score::fuel_j(&year) * fuel,
        energy_parts: [score::fuel_j(&year), season_j, year.energy.electricity_j() - season_j],
        books: year.books.worst(),
        days: year.days_simulated,
        owed: year.owed,
        hourly: keep.then(|| hours.hourly()),
        diagnostics: year.diagnostics,
    })
}

/// The house after a plan as its year sees it, with the control rules that the plan turns on.
pub(super) fn prepared(
    house: &House,
    theta: &[f64],
    changes: &[Change],
    luck: Luck,
    around: Surroundings<'_>,
) -> Result<(Model, Option<year::Controls>), YearError> {
    let mut model = model::model(house, theta, changes, luck, around)?;
    let controls = around.rules.and_then(|set| super::rules::turned_on(changes, set)).map(|set| {
        let (house, theta) = after(house, theta, changes, luck);
        let altitude_m = around.place.altitude_m.unwrap_or(0.0);
        super::controls(&house, &theta, altitude_m, &mut model, &set)
    });
    Ok((model, controls))
}

fn even_gas(model: &Model) -> Gas {
    let rooms = || {
        let lived = |z: &&year::Zone| z.kind == year::ZoneKind::Conditioned;
        model.zones.iter().filter(lived).map(|z| z.floor_area_m2).sum::<f64>()
    };
    let area = rooms();
    let sources = model.zones.iter().enumerate().filter(|(_, z)| z.kind == year::ZoneKind::Conditioned);
    Gas {
        name: "evenly given off".to_owned(),
        outdoors_kg_kg: 0.0,
        decay_per_s: 0.0,
        sources: sources
            .map(|(zone, z)| GasSource {
                zone,
                start_s: 0.0,
                duration_s: 86_400.0,
                rate_kg_s: EVEN_KG_S * z.floor_area_m2 / area,
                capture: 0.0,
            })
            .collect(),
    }
}

/// The hours of a year, with what each stands for.
#[derive(Debug)]
pub(super) struct Hours<'a> {
    model: &'a Model,
    year: &'a Year,
    weather: &'a Weather,
    days: Vec<(usize, f64)>,
    people: f64,
}

impl<'a> Hours<'a> {
    fn new(model: &'a Model, year: &'a Year, weather: &'a Weather, days: &Days, people: f64) -> Hours<'a> {
        let days = match days {
            Days::All => (0..DAYS).map(|d| (d, 1.0)).collect(),
            Days::Picked(picked) => picked.iter().map(|p| (p.day, p.weight)).collect(),
        };
        Hours { model, year, weather, days, people }
    }

    fn series(&self, zone: usize) -> Option<&Series> {
        self.year.zones.get(zone)?.series.as_ref()
    }

    /// Each hour: its place in the series, its hour of the day, the days it stands for.
    fn each(&self) -> impl Iterator<Item = (usize, usize, f64)> {
        self.days
            .iter()
            .enumerate()
            .flat_map(|(d, (_, weight))| (0..24).map(move |h| (24 * d + h, h, *weight)))
    }

    fn outdoor_k(&self, hour: usize) -> f64 {
        let day = self.days[hour / 24].0;
        self.weather.hour((24 * day + hour % 24) as i64).temp_k
    }

    /// Share of the hours of a zone that count.
    pub(super) fn share(
        &self,
        zone: usize,
        list: fn(&Series) -> &Vec<f64>,
        counts: &dyn Fn(f64) -> bool,
    ) -> f64 {
        let Some(series) = self.series(zone) else { return f64::NAN };
        let (mut sum, mut all) = (0.0, 0.0);
        for (k, _, weight) in self.each() {
            all += weight;
            if counts(list(series)[k]) {
                sum += weight;
            }
        }
        sum / all
    }

    /// Mean of what people meet while they are at home.
    pub(super) fn person(&self, people: usize, of: impl Fn(&Series, usize) -> f64) -> f64 {
        let Some(person) = self.model.occupants.get(people) else { return f64::NAN };
        let (mut sum, mut all) = (0.0, 0.0);
        for (k, h, weight) in self.each() {
            let stay = person.at(h, (h as f64 + 0.5) * 3600.0);
            let Some(series) = stay.zone.and_then(|z| self.series(z)) else { continue };
            sum += weight * of(series, k);
            all += weight;
        }
        sum / all
    }

    /// Share of the days with a mean of PM2.5 above the limit.
    pub(super) fn pm25_days(&self, zone: usize, limit_kg_m3: f64) -> f64 {
        let Some(series) = self.series(zone) else { return f64::NAN };
        let all: f64 = self.days.iter().map(|d| d.1).sum();
        let over = self
            .days
            .iter()
            .zip(series.pm25_kg_m3.chunks(24))
            .filter(|(_, day)| day.iter().sum::<f64>() / day.len() as f64 > limit_kg_m3);
        over.map(|((_, weight), _)| weight).sum::<f64>() / all
    }

    /// Highest index by the NowCast of the hours of each day.
    pub(super) fn highest_now_cast(&self, zone: usize) -> f64 {
        let Some(series) = self.series(zone) else { return f64::NAN };
        let mut highest = f64::NAN;
        for day in series.pm25_kg_m3.chunks(24) {
            for last in 1..day.len() {
                let newest_first: Vec<f64> = day[..=last].iter().rev().take(12).copied().collect();
                let index = quality::nowcast(&newest_first).map_or(f64::NAN, quality::aqi_pm25);
                highest = f64::max(highest, index);
            }
        }
        highest
    }

    /// Highest mould index on the coldest surface of a zone, each picked day lived as many times in
    /// a row as the days it stands for: an estimate, since real days change.
    pub(super) fn mould_index(&self, zone: usize) -> f64 {
        let (Some(series), Some(z)) = (self.series(zone), self.model.zones.get(zone)) else {
            return f64::NAN;
        };
        let pressure_pa = self.weather.mean_pressure_pa();
        let mut index = Index::from(z.mould, Decline::AlmostNone, 0.0);
        let mut highest: f64 = 0.0;
        for (d, (_, weight)) in self.days.iter().enumerate() {
            let hours: Vec<(f64, f64)> = (24 * d..24 * (d + 1))
                .map(|k| {
                    let out_k = self.outdoor_k(k);
                    let surface_k = out_k + z.cold_factor * (series.temp_k[k] - out_k);
                    let rh = air::relative_humidity(surface_k, series.w_kg_kg[k], pressure_pa);
                    (surface_k - ZERO_CELSIUS_K, (100.0 * rh).min(100.0))
                })
                .collect();
            let mut left = weight.round();
            while left > 0.0 {
                hours.iter().for_each(|(temp_c, rh_pct)| index.hour(*temp_c, *rh_pct));
                highest = highest.max(index.index);
                left -= 1.0;
            }
        }
        highest
    }

    /// Mean of what the rooms give off evenly over its value at the steady rate.
    pub(super) fn relative_exposure(&self) -> f64 {
        let Some(gas) = self.year.gases.last() else { return f64::NAN };
        let (mut sum, mut area) = (0.0, 0.0);
        for (zone, mean) in self.model.zones.iter().zip(&gas.mean_kg_kg) {
            if zone.kind == year::ZoneKind::Conditioned {
                sum += zone.floor_area_m2 * mean;
                area += zone.floor_area_m2;
            }
        }
        let rate_m3_s = RATE_M3_S_M2 * area + RATE_M3_S_PERSON * self.people;
        let steady_kg_kg = EVEN_KG_S / (rate_m3_s * air::REFERENCE_DENSITY_KG_M3);
        sum / area / steady_kg_kg
    }

    fn hourly(&self) -> Hourly {
        let hours = 24 * self.days.len();
        Hourly {
            days: self.days.clone(),
            zones: self.model.zones.iter().map(|z| z.name.clone()).collect(),
            series: (0..self.model.zones.len()).filter_map(|z| self.series(z).cloned()).collect(),
            outdoor_k: (0..hours).map(|k| self.outdoor_k(k)).collect(),
        }
    }
}
