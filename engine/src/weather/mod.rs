//! One year of weather at a place: what is outdoors in every hour, where the sun stands, and
//! which days stand for the others.
//!
//! Instant values hold at the end of their hour and are interpolated linearly (the wind's
//! direction as a vector); irradiance is the mean of its hour (Wilcox and Marion 2008,
//! NREL/TP-581-43156). The year is cyclic: before the first hour comes the last. Reading a file
//! can fail, with diagnostics W101 to W119 ([`read()`]). Not covered: rain, snow, long-wave sky.
//!
//! Time is the station's standard time all year: no hour is left out or doubled by daylight
//! saving, and schedules run by the same clock. Zones are fixed offsets from UTC (no database of
//! time zones is used).

mod ghcnh;
mod particles;
mod read;
mod strata;
pub mod sun;
mod table;
mod tmy3;

pub use particles::read as read_particles;
pub use strata::PickedDay;

use crate::diag::Diagnostics;
use crate::math;

/// Hours of a year.
pub const HOURS: usize = 8760;
/// Days of a year.
pub const DAYS: usize = 365;
/// First day of each month and one past the last, from 0.
pub const MONTH_STARTS: [usize; 13] = [0, 31, 59, 90, 120, 151, 181, 212, 243, 273, 304, 334, 365];

/// Reads a weather year from text in any of three formats, told apart by content; `file` is its
/// name for the diagnostics. The weather is there unless something was an error.
///
/// * Our own: comma-separated with units in the header (`dry_bulb [degC]`).
/// * TMY3 of the National Solar Radiation Database: a line for the station, a header, 8760 hours.
/// * GHCNh, hourly observations of stations, separated by `|` or commas; times in UTC.
pub fn read(file: &str, text: &str) -> (Option<Weather>, Diagnostics) {
    if tmy3::is_it(text) {
        tmy3::read(file, text)
    } else if ghcnh::is_it(text) {
        ghcnh::read(file, text)
    } else {
        read::read(file, text)
    }
}

/// One hour: instant values at its end, irradiance as its mean.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hour {
    /// Dry-bulb temperature, K.
    pub temp_k: f64,
    /// Water in dry air, kg/kg.
    pub w_kg_kg: f64,
    /// Station pressure, Pa.
    pub pressure_pa: f64,
    /// Wind speed at the station's mast, m/s.
    pub wind_m_s: f64,
    /// Where the wind comes from, clockwise from north, rad.
    pub wind_from_rad: f64,
    /// Global irradiance on a horizontal plane, W/m2.
    pub ghi_w_m2: f64,
    /// Direct irradiance on a plane facing the sun, W/m2.
    pub dni_w_m2: f64,
    /// Diffuse irradiance on a horizontal plane, W/m2.
    pub dhi_w_m2: f64,
}

/// Outdoors at one instant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Outdoor {
    /// Dry-bulb temperature, K.
    pub temp_k: f64,
    /// Water in dry air, kg/kg.
    pub w_kg_kg: f64,
    /// Pressure, Pa.
    pub pressure_pa: f64,
    /// Wind speed at the station's mast, m/s: the length of the interpolated speed.
    pub wind_m_s: f64,
    /// Where the wind comes from, clockwise from north, rad in (-pi, pi].
    pub wind_from_rad: f64,
}

/// A weather year.
#[derive(Clone, Debug, PartialEq)]
pub struct Weather {
    /// The station's name.
    pub station: String,
    /// Where the data come from.
    pub source: String,
    /// North positive, rad.
    pub latitude_rad: f64,
    /// East positive, rad.
    pub longitude_rad: f64,
    /// Above sea level, m.
    pub elevation_m: f64,
    /// Of the station's standard time, h; east positive.
    pub utc_offset_h: f64,
    /// The year, [`HOURS`] long; never empty.
    pub hours: Vec<Hour>,
    /// How many values were missing and interpolated.
    pub filled_count: usize,
    /// Outdoor PM2.5 as the mean of each hour, kg/m3, [`HOURS`] long; empty where no series was
    /// given ([`read_particles()`]).
    pub pm25_kg_m3: Vec<f64>,
}

impl Weather {
    /// The same weather every hour of the year; for tests and for design days.
    pub fn steady(hour: Hour) -> Weather {
        Weather {
            station: String::new(),
            source: String::new(),
            latitude_rad: 0.0,
            longitude_rad: 0.0,
            elevation_m: 0.0,
            utc_offset_h: 0.0,
            hours: vec![hour; HOURS],
            filled_count: 0,
            pm25_kg_m3: Vec::new(),
        }
    }

    /// The hour that lasts from `hour` to `hour + 1`, counted from the start of the year, cyclic.
    pub fn hour(&self, hour: i64) -> &Hour {
        let count = self.hours.len() as i64;
        // Never negative, below the count.
        let place = usize::try_from(hour.rem_euclid(count)).unwrap_or(0);
        &self.hours[place]
    }

    /// Outdoors at `time_s` after the start of the year, standard time; cyclic.
    pub fn at(&self, time_s: f64) -> Outdoor {
        let hours = time_s / 3600.0;
        #[expect(clippy::cast_possible_truncation, reason = "a time within years of the start")]
        let whole = hours.floor() as i64;
        let part = hours - hours.floor();
        let a = self.hour(whole - 1);
        let b = self.hour(whole);
        let mix = |x: f64, y: f64| x + part * (y - x);
        let (wind_m_s, wind_from_rad) = mix_wind(a, b, part);
        Outdoor {
            temp_k: mix(a.temp_k, b.temp_k),
            w_kg_kg: mix(a.w_kg_kg, b.w_kg_kg),
            pressure_pa: mix(a.pressure_pa, b.pressure_pa),
            wind_m_s,
            wind_from_rad,
        }
    }

    /// Outdoor PM2.5 of the hour around `time_s` after the start of the year, kg/m3; nothing where
    /// no series was given.
    pub fn pm25_kg_m3_at(&self, time_s: f64) -> Option<f64> {
        if self.pm25_kg_m3.is_empty() {
            return None;
        }
        let hour = (time_s / 3600.0).floor().rem_euclid(self.pm25_kg_m3.len() as f64);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 <= hour < length")]
        self.pm25_kg_m3.get(hour as usize).copied()
    }

    /// Mean dry-bulb temperature of the year, K.
    pub fn mean_temp_k(&self) -> f64 {
        mean(self.hours.iter().map(|h| h.temp_k))
    }

    /// Mean dry-bulb temperature of each month, K.
    pub fn monthly_temp_k(&self) -> [f64; 12] {
        let mut months = [0.0; 12];
        for (m, value) in months.iter_mut().enumerate() {
            let hours = self.hours.get(24 * MONTH_STARTS[m]..24 * MONTH_STARTS[m + 1]).unwrap_or(&[]);
            *value = mean(hours.iter().map(|h| h.temp_k));
        }
        months
    }

    /// Mean station pressure of the year, Pa.
    pub fn mean_pressure_pa(&self) -> f64 {
        mean(self.hours.iter().map(|h| h.pressure_pa))
    }
}

/// The month, from 0, of a day of the year, from 0.
pub fn month_of(day: usize) -> usize {
    MONTH_STARTS.iter().skip(1).take(11).filter(|first| day >= **first).count()
}

fn mix_wind(a: &Hour, b: &Hour, part: f64) -> (f64, f64) {
    let (wa, wb) = ((1.0 - part) * a.wind_m_s, part * b.wind_m_s);
    let north = wa * math::cos(a.wind_from_rad) + wb * math::cos(b.wind_from_rad);
    let east = wa * math::sin(a.wind_from_rad) + wb * math::sin(b.wind_from_rad);
    // The speed is mixed as a number: a wind that turns does not drop between two hours.
    (wa + wb, math::atan2(east, north))
}

fn mean(values: impl Iterator<Item = f64>) -> f64 {
    let (mut sum, mut count) = (0.0, 0.0);
    for value in values {
        sum += value;
        count += 1.0;
    }
    if count > 0.0 { sum / count } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    fn hour(temp_k: f64, wind_from_deg: f64) -> Hour {
        Hour {
            temp_k,
            w_kg_kg: 0.005,
            pressure_pa: 101_325.0,
            wind_m_s: 4.0,
            wind_from_rad: wind_from_deg * PI / 180.0,
            ghi_w_m2: 0.0,
            dni_w_m2: 0.0,
            dhi_w_m2: 0.0,
        }
    }

    #[test]
    fn wind_turns_through_north_the_short_way() {
        let mut weather = Weather::steady(hour(280.0, 350.0));
        weather.hours[0] = hour(282.0, 10.0);
        let out = weather.at(1800.0);
        assert!((out.temp_k - 281.0).abs() < 1e-12);
        assert!(out.wind_from_rad.abs() < 1e-12);
        assert!((out.wind_m_s - 4.0).abs() < 1e-12);
        let end = weather.at(3600.0);
        assert!((end.temp_k - 282.0).abs() < 1e-12);
        assert!((weather.at(0.0).temp_k - 280.0).abs() < 1e-12);
    }

    #[test]
    fn months() {
        assert_eq!(month_of(0), 0);
        assert_eq!(month_of(30), 0);
        assert_eq!(month_of(31), 1);
        assert_eq!(month_of(364), 11);
    }
}
