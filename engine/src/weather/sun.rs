//! Where the sun stands and what falls on a tilted plane.
//!
//! Position: the Astronomical Almanac's low-precision formulas as given by Michalsky (1988,
//! Solar Energy 40(3), 227-235), good to 0.01 degree between 1950 and 2050; constants from
//! memory, checked against the solstices, the equinox and the equation of time. A weather year
//! has no calendar year; 2001 is taken. Tilted plane: isotropic sky and ground reflection (Liu
//! and Jordan 1960). Not covered: refraction, horizon, circumsolar and ground shadows.

use super::{Hour, Weather};
use crate::math;
use std::f64::consts::{PI, TAU};

/// Reflectance of the ground; common practice.
pub const GROUND_REFLECTANCE: f64 = 0.2;
/// Days from the epoch J2000.0 (2000-01-01 12:00 UT) to 2001-01-01 00:00 UT.
const START_DAYS: f64 = 365.5;
const DEG: f64 = PI / 180.0;

/// Direction to the sun.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Position {
    /// Unit vector: east, north, up.
    pub toward: [f64; 3],
}

impl Position {
    /// Height above the horizon, rad.
    pub fn altitude_rad(&self) -> f64 {
        math::atan2(self.toward[2], flat(self.toward[0], self.toward[1]))
    }

    /// Clockwise from north, rad in (-pi, pi].
    pub fn azimuth_rad(&self) -> f64 {
        math::atan2(self.toward[0], self.toward[1])
    }
}

fn flat(x: f64, y: f64) -> f64 {
    (x * x + y * y).sqrt()
}

/// The sun's place at `time_s` after the start of the year in standard time `utc_offset_h`.
pub fn position(time_s: f64, utc_offset_h: f64, latitude_rad: f64, longitude_rad: f64) -> Position {
    let ut_h = time_s / 3600.0 - utc_offset_h;
    let n = START_DAYS + ut_h / 24.0;
    let mean_long = DEG * (280.460 + 0.985_647_4 * n);
    let anomaly = DEG * (357.528 + 0.985_600_3 * n);
    let ecliptic = mean_long + DEG * (1.915 * math::sin(anomaly) + 0.020 * math::sin(2.0 * anomaly));
    let obliquity = DEG * (23.439 - 4e-7 * n);
    let sin_dec = math::sin(obliquity) * math::sin(ecliptic);
    let cos_dec = (1.0 - sin_dec * sin_dec).max(0.0).sqrt();
    let ascension = math::atan2(math::cos(obliquity) * math::sin(ecliptic), math::cos(ecliptic));
    // Sidereal time at Greenwich, h; the fraction of the day runs with UT.
    let sidereal_h = 6.697_375 + 0.065_709_824_2 * n + ut_h.rem_euclid(24.0);
    let angle = (TAU / 24.0 * sidereal_h + longitude_rad - ascension).rem_euclid(TAU);
    let (sin_lat, cos_lat) = (math::sin(latitude_rad), math::cos(latitude_rad));
    let (sin_h, cos_h) = (math::sin(angle), math::cos(angle));
    Position {
        toward: [
            -cos_dec * sin_h,
            cos_lat * sin_dec - sin_lat * cos_dec * cos_h,
            sin_lat * sin_dec + cos_lat * cos_dec * cos_h,
        ],
    }
}

/// A plane that the sun may shine on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Plane {
    /// Direction it faces, clockwise from north, rad.
    pub azimuth_rad: f64,
    /// 0 faces the sky, pi/2 is a wall, rad.
    pub tilt_rad: f64,
}

impl Plane {
    /// Outward unit vector: east, north, up.
    pub fn outward(&self) -> [f64; 3] {
        let s = math::sin(self.tilt_rad);
        [s * math::sin(self.azimuth_rad), s * math::cos(self.azimuth_rad), math::cos(self.tilt_rad)]
    }
}

/// Irradiance on a plane, W/m2: beam by the cosine of incidence, diffuse and reflected isotropic.
pub fn incident_w_m2(hour: &Hour, cos_incidence: f64, plane: &Plane, reflectance: f64) -> f64 {
    let cos_tilt = math::cos(plane.tilt_rad);
    hour.dni_w_m2 * cos_incidence.max(0.0)
        + hour.dhi_w_m2 * 0.5 * (1.0 + cos_tilt)
        + hour.ghi_w_m2 * reflectance * 0.5 * (1.0 - cos_tilt)
}

/// Samples of the sun's place within an hour; where it rises or sets, only those above the
/// horizon count, as the hour's direct irradiance was measured while it was up.
const SAMPLES: usize = 4;

/// Mean irradiance on each plane in the hour from `hour` to `hour + 1` of the year, W/m2.
pub fn hour_on_planes(weather: &Weather, hour: i64, planes: &[Plane], into: &mut Vec<f64>) {
    into.clear();
    let values = weather.hour(hour);
    if values.ghi_w_m2 <= 0.0 && values.dni_w_m2 <= 0.0 && values.dhi_w_m2 <= 0.0 {
        into.resize(planes.len(), 0.0);
        return;
    }
    let mut places = [[0.0; 3]; SAMPLES];
    let mut up = 0;
    for k in 0..SAMPLES {
        let time_s = 3600.0 * (hour as f64 + (k as f64 + 0.5) / SAMPLES as f64);
        let sun = position(time_s, weather.utc_offset_h, weather.latitude_rad, weather.longitude_rad);
        if sun.toward[2] > 0.0 {
            places[up] = sun.toward;
            up += 1;
        }
    }
    into.extend(planes.iter().map(|plane| {
        let n = plane.outward();
        let sum: f64 = places[..up].iter().map(|s| (s[0] * n[0] + s[1] * n[1] + s[2] * n[2]).max(0.0)).sum();
        let cos_incidence = if up > 0 { sum / up as f64 } else { 0.0 };
        incident_w_m2(values, cos_incidence, plane, GROUND_REFLECTANCE)
    }));
}

#[cfg(test)]
mod tests {
    use super::*;

    const NOON: f64 = 43_200.0;

    /// Highest altitude of a day and the time it is reached, searched to a minute.
    fn noon(day: f64, latitude_deg: f64) -> (f64, f64) {
        (0..1440)
            .map(|m| {
                let t = day * 86_400.0 + f64::from(m) * 60.0;
                (position(t, 0.0, latitude_deg * DEG, 0.0).altitude_rad() / DEG, f64::from(m))
            })
            .reduce(|a, b| if b.0 > a.0 { b } else { a })
            .unwrap()
    }

    #[test]
    fn solstices_and_equinox_by_geometry() {
        // 2001: solstices 21 June and 21 December, March equinox 20 March 13:31 UT.
        assert!((noon(171.0, 36.1).0 - (90.0 - 36.1 + 23.438)).abs() < 0.01);
        assert!((noon(354.0, 36.1).0 - (90.0 - 36.1 - 23.438)).abs() < 0.01);
        assert!((noon(78.0, 36.1).0 - (90.0 - 36.1)).abs() < 0.05);
    }

    #[test]
    fn equation_of_time() {
        // Sundial minus clock at its extremes: -14.2 min on 11 February, +16.4 min on 3 November
        // (the usual almanac values, from memory).
        let f = 720.0 - noon(41.0, 36.1).1;
        let n = 720.0 - noon(306.0, 36.1).1;
        assert!((f + 14.2).abs() < 0.8, "{f}");
        assert!((n - 16.4).abs() < 0.8, "{n}");
    }

    #[test]
    fn rises_in_the_east_and_stands_south_at_noon() {
        let morning = position(171.0 * 86_400.0 + 6.0 * 3600.0, 0.0, 36.1 * DEG, 0.0);
        assert!(morning.azimuth_rad() / DEG > 60.0 && morning.azimuth_rad() / DEG < 80.0);
        let south = position(171.0 * 86_400.0 + NOON, 0.0, 36.1 * DEG, 0.0);
        assert!((south.azimuth_rad() / DEG).abs() > 170.0);
    }

    #[test]
    fn flat_plane_gets_what_the_station_measured() {
        let hour = Hour {
            temp_k: 280.0,
            w_kg_kg: 0.0,
            pressure_pa: 1e5,
            wind_m_s: 0.0,
            wind_from_rad: 0.0,
            ghi_w_m2: 600.0,
            dni_w_m2: 800.0,
            dhi_w_m2: 200.0,
        };
        let flat = Plane { azimuth_rad: 0.0, tilt_rad: 0.0 };
        assert!((incident_w_m2(&hour, 0.5, &flat, 0.2) - 600.0).abs() < 1e-9);
        // A wall: half the sky, half the ground.
        let wall = Plane { azimuth_rad: PI, tilt_rad: PI / 2.0 };
        assert!((incident_w_m2(&hour, 0.0, &wall, 0.2) - (100.0 + 60.0)).abs() < 1e-9);
    }
}
