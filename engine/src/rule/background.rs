//! What a bath's moisture is measured against: the house itself.

use crate::math;

/// Time over which the house's own mean is taken, s. Common practice, no source.
const MEMORY_S: f64 = 24.0 * 3600.0;

/// The humidity ratio that is usual in a house now.
///
/// The background of a room is the larger of two: the mean of the other rooms at this moment, and
/// the house's own mean of the last day (exponential). So a damp day, which raises all rooms, starts
/// no bath fan, and neither does a house that is damp all along; and where there is one room only,
/// the mean of the day is left.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Background {
    mean_kg_kg: Option<f64>,
}

impl Background {
    /// Goes on by a time in which the rooms held these humidity ratios, kg/kg, in these volumes, m3.
    /// Lost ones (no number) do not count.
    pub fn step(&mut self, dt_s: f64, rooms: impl Iterator<Item = (f64, f64)>) {
        let (sum, volume) = sums(rooms);
        if volume <= 0.0 {
            return;
        }
        let now = sum / volume;
        let mean = self.mean_kg_kg.unwrap_or(now);
        self.mean_kg_kg = Some(now + (mean - now) * math::exp(-dt_s / MEMORY_S));
    }

    /// Rise of one room, by its place among `rooms`, over the house's background, kg/kg; no number
    /// where nothing is known.
    pub fn rise(&self, room: usize, rooms: impl Iterator<Item = (f64, f64)> + Clone) -> f64 {
        let own = rooms.clone().nth(room).map_or(f64::NAN, |r| r.0);
        let (sum, volume) = sums(rooms.enumerate().filter(|(at, _)| *at != room).map(|(_, r)| r));
        let mean = self.mean_kg_kg.unwrap_or(f64::NAN);
        let others = if volume > 0.0 { sum / volume } else { mean };
        own - others.max(mean)
    }
}

fn sums(rooms: impl Iterator<Item = (f64, f64)>) -> (f64, f64) {
    let known = rooms.filter(|(w, volume)| w.is_finite() && *volume > 0.0);
    known.fold((0.0, 0.0), |(sum, all), (w, volume)| (sum + w * volume, all + volume))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_shower_rises_and_a_damp_day_does_not() {
        let mut background = Background::default();
        let dry = [(0.006, 200.0), (0.006, 15.0)];
        background.step(86_400.0, dry.into_iter());
        let shower = [(0.0062, 200.0), (0.011, 15.0)];
        assert!((background.rise(1, shower.into_iter()) - 0.0048).abs() < 1e-12);
        let damp = [(0.013, 200.0), (0.013, 15.0)];
        assert!(background.rise(1, damp.into_iter()).abs() < 1e-12);
        // Dried out again, the mean of the day is the background.
        for _ in 0..48 {
            background.step(3600.0, damp.into_iter());
        }
        // 0.013 - 0.007 exp(-2)
        let mean = 0.013 - 0.007 * 0.135_335_283_236_612_7;
        assert!((background.rise(1, dry.into_iter()) - (0.006 - mean)).abs() < 1e-12);
    }

    #[test]
    fn a_house_of_one_room_and_lost_signals() {
        let mut background = Background::default();
        assert!(background.rise(0, [(0.01, 50.0)].into_iter()).is_nan());
        background.step(60.0, [(0.006, 50.0)].into_iter());
        assert!((background.rise(0, [(0.01, 50.0)].into_iter()) - 0.004).abs() < 1e-12);
        assert!(background.rise(0, [(f64::NAN, 50.0)].into_iter()).is_nan());
        let lost = [(0.01, 50.0), (f64::NAN, 20.0)];
        assert!((background.rise(0, lost.into_iter()) - 0.004).abs() < 1e-12);
    }
}
