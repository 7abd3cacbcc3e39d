//! Design days out of a weather year: the cold and the hot day that machines are chosen for.
//!
//! Heating at the dry bulb that 99 % of the year's hours reach or exceed, without sun; cooling at the
//! one that 1 % exceed, with the humidity, wind, pressure and sun that go with such hours (annual
//! percentiles and coincident means as in ASHRAE Handbook Fundamentals, climatic design information;
//! from memory). One year of a file is not the decades those tables are made of.

use super::model::Model;
use super::rooms::DesignDay;
use crate::air;
use crate::math;
use crate::weather::sun::{self, Plane};
use crate::weather::{Outdoor, Weather};
use std::f64::consts::{FRAC_PI_2, PI};

/// Share of the year's hours beyond the design temperature.
const RARE: f64 = 0.01;
/// Hour of the afternoon whose people and doors count when it is hot.
const AFTERNOON_H: usize = 17;
/// Hour before sunrise whose doors count when it is cold.
const MORNING_H: usize = 5;
/// Relative humidity indoors that the load of a cooling day is worked at; common practice, no source.
const INDOOR_RH: f64 = 0.5;

/// The cold day: rooms at `indoor_k`. A `given_k` of the user's stands in for the weather's own.
pub fn cold_day(weather: &Weather, model: &Model, indoor_k: f64, given_k: Option<f64>) -> DesignDay {
    let temp_k = given_k.unwrap_or_else(|| percentile(weather, RARE));
    let outdoor = coincident(weather, temp_k, |t| t <= temp_k);
    DesignDay {
        outdoor,
        indoor_k,
        // Nothing is taken out of the air while it heats.
        indoor_w_kg_kg: outdoor.w_kg_kg,
        ground_k: model.ground.temp_k(hardest_day(weather, f64::lt)),
        sun_w_m2: 0.0,
        gains: false,
        hour: MORNING_H,
    }
}

/// The hot day: rooms at `indoor_k`, people and sun counted.
pub fn hot_day(weather: &Weather, model: &Model, indoor_k: f64, given_k: Option<f64>) -> DesignDay {
    let temp_k = given_k.unwrap_or_else(|| percentile(weather, 1.0 - RARE));
    let outdoor = coincident(weather, temp_k, |t| t >= temp_k);
    DesignDay {
        outdoor,
        indoor_k,
        indoor_w_kg_kg: air::humidity_ratio(
            INDOOR_RH * air::saturation_over_water_pa(indoor_k),
            outdoor.pressure_pa,
        ),
        ground_k: model.ground.temp_k(hardest_day(weather, f64::gt)),
        sun_w_m2: sun_on_walls(weather, temp_k),
        gains: true,
        hour: AFTERNOON_H,
    }
}

fn percentile(weather: &Weather, share: f64) -> f64 {
    let mut all: Vec<f64> = weather.hours.iter().map(|h| h.temp_k).collect();
    all.sort_by(f64::total_cmp);
    math::quantile_of_draws(&all, share).unwrap_or(f64::NAN)
}

/// The means of the hours that are as hard as the design temperature; of the nearest one where a given
/// temperature lies beyond the file.
fn coincident(weather: &Weather, temp_k: f64, is_hard: impl Fn(f64) -> bool) -> Outdoor {
    let mut hours: Vec<&crate::weather::Hour> = weather.hours.iter().filter(|h| is_hard(h.temp_k)).collect();
    if hours.is_empty() {
        let off = |h: &&crate::weather::Hour| (h.temp_k - temp_k).abs();
        hours.extend(weather.hours.iter().min_by(|a, b| off(a).total_cmp(&off(b))));
    }
    let mean = |of: fn(&crate::weather::Hour) -> f64| {
        hours.iter().map(|h| of(h)).sum::<f64>() / hours.len().max(1) as f64
    };
    let north = mean(|h| h.wind_m_s * math::cos(h.wind_from_rad));
    let east = mean(|h| h.wind_m_s * math::sin(h.wind_from_rad));
    Outdoor {
        temp_k,
        w_kg_kg: mean(|h| h.w_kg_kg),
        pressure_pa: mean(|h| h.pressure_pa),
        wind_m_s: mean(|h| h.wind_m_s),
        wind_from_rad: math::atan2(east, north),
    }
}

/// Day of the year, from 0, with the hardest hour.
fn hardest_day(weather: &Weather, harder: impl Fn(&f64, &f64) -> bool) -> f64 {
    let mut worst = (0, weather.hours.first().map_or(f64::NAN, |h| h.temp_k));
    for (i, hour) in weather.hours.iter().enumerate() {
        if harder(&hour.temp_k, &worst.1) {
            worst = (i, hour.temp_k);
        }
    }
    (worst.0 / 24) as f64
}

/// Mean irradiance of the four walls in the hours that are as hot, W/m2.
fn sun_on_walls(weather: &Weather, temp_k: f64) -> f64 {
    let walls: Vec<Plane> =
        (0..4).map(|k| Plane { azimuth_rad: 0.5 * PI * f64::from(k), tilt_rad: FRAC_PI_2 }).collect();
    let (mut sum, mut count, mut each) = (0.0, 0.0, Vec::new());
    for (i, _) in weather.hours.iter().enumerate().filter(|(_, h)| h.temp_k >= temp_k) {
        sun::hour_on_planes(weather, i as i64, &walls, &mut each);
        sum += each.iter().sum::<f64>() / walls.len() as f64;
        count += 1.0;
    }
    if count > 0.0 { sum / count } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::weather::Hour;

    /// Hours that rise by 0.01 K each: the percentiles are known by counting.
    #[test]
    fn one_hour_in_a_hundred_is_beyond_either_day() {
        let hour = Hour {
            temp_k: 263.15,
            w_kg_kg: 0.001,
            pressure_pa: 101_325.0,
            wind_m_s: 3.0,
            wind_from_rad: 0.5,
            ghi_w_m2: 0.0,
            dni_w_m2: 0.0,
            dhi_w_m2: 0.0,
        };
        let mut weather = Weather::steady(hour);
        for (i, h) in weather.hours.iter_mut().enumerate() {
            h.temp_k += 0.005 * ((i * 7919) % 8760) as f64;
            h.w_kg_kg = 0.001 * (h.temp_k - 262.15);
        }
        let cold_k = percentile(&weather, RARE);
        let hot_k = percentile(&weather, 1.0 - RARE);
        let beyond = |is: &dyn Fn(f64) -> bool| weather.hours.iter().filter(|h| is(h.temp_k)).count();
        // 1 % of 8760 hours is 87.6.
        assert!((87..=88).contains(&beyond(&|t| t < cold_k)), "{cold_k}");
        assert!((87..=88).contains(&beyond(&|t| t > hot_k)), "{hot_k}");
        let outdoor = coincident(&weather, hot_k, |t| t >= hot_k);
        // The mean over the hottest 88 hours lies half their span of 0.44 K above the limit.
        assert!((outdoor.w_kg_kg - 0.001 * (hot_k + 0.2175 - 262.15)).abs() < 1e-5);
        assert!((outdoor.wind_m_s - 3.0).abs() < 1e-12 && (outdoor.wind_from_rad - 0.5).abs() < 1e-12);
        // Beyond the file, the nearest hour tells what else there was.
        let outdoor = coincident(&weather, 250.0, |t| t <= 250.0);
        assert!((outdoor.temp_k - 250.0).abs() < 1e-12 && (outdoor.w_kg_kg - 0.001).abs() < 1e-12);
    }
}
