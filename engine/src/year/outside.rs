//! What surrounds the house in a step: sun on every plane, hour of the day, ground.

use super::model::{Beyond, Model};
use crate::weather::Weather;
use crate::weather::sun::{self, Plane};

/// Irradiance on the model's planes, linear between the middles of hours (the mean of an hour is
/// kept over the year, and no jump at the hour makes zones of little capacity leap).
#[derive(Clone, Debug)]
pub(super) struct Sun {
    planes: Vec<Plane>,
    hours: [i64; 2],
    values: [Vec<f64>; 2],
    /// One a plane, W/m2.
    pub(super) now: Vec<f64>,
}

impl Sun {
    /// Planes of the windows first, then of the sunlit surfaces, each in the model's order.
    pub(super) fn new(model: &Model) -> Sun {
        let windows = model.windows.iter().map(|w| w.plane);
        let roofs = model.surfaces.iter().filter_map(|s| match s.beyond {
            Beyond::Outdoors(Some(sun)) => Some(sun.plane),
            _ => None,
        });
        let planes: Vec<Plane> = windows.chain(roofs).collect();
        Sun { now: vec![0.0; planes.len()], planes, hours: [i64::MIN; 2], values: [Vec::new(), Vec::new()] }
    }

    /// Fills [`Sun::now`] for an instant.
    pub(super) fn set(&mut self, weather: &Weather, time_s: f64) {
        if self.planes.is_empty() {
            return;
        }
        let place = time_s / 3600.0 - 0.5;
        #[expect(clippy::cast_possible_truncation, reason = "a time within years of the start")]
        let first = place.floor() as i64;
        if self.hours[1] == first {
            self.values.swap(0, 1);
            self.hours.swap(0, 1);
        }
        for k in 0..2 {
            let hour = first + k as i64;
            if self.hours[k] != hour {
                sun::hour_on_planes(weather, hour, &self.planes, &mut self.values[k]);
                self.hours[k] = hour;
            }
        }
        let part = place - place.floor();
        for (now, (a, b)) in self.now.iter_mut().zip(self.values[0].iter().zip(&self.values[1])) {
            *now = a + part * (b - a);
        }
    }
}

/// Seconds of `dt_s` from `from` (s after midnight) that fall in a daily event, as a part of the step.
pub(super) fn overlap(from: f64, dt_s: f64, start_s: f64, duration_s: f64) -> f64 {
    // An event may run past midnight: seen once from today and once from yesterday.
    let one = |start: f64| ((from + dt_s).min(start + duration_s) - from.max(start)).max(0.0);
    ((one(start_s) + one(start_s - 86_400.0) + one(start_s + 86_400.0)) / dt_s).min(1.0)
}

#[cfg(test)]
mod tests {
    use super::overlap;

    #[test]
    fn events_keep_their_length() {
        for (start_s, duration_s, dt_s) in
            [(64_800.0, 600.0, 300.0), (64_900.0, 700.0, 900.0), (86_000.0, 1800.0, 900.0)]
        {
            let mut sum = 0.0;
            let mut time_s: f64 = 5.0 * 86_400.0;
            while time_s < 6.0 * 86_400.0 {
                sum += overlap(time_s.rem_euclid(86_400.0), dt_s, start_s, duration_s) * dt_s;
                time_s += dt_s;
            }
            assert!((sum - duration_s).abs() < 1e-6, "{start_s}");
        }
        assert!((overlap(3600.0, 300.0, 0.0, 86_400.0) - 1.0).abs() < 1e-12);
    }
}
