//! Corrections as series beside the raw one: the raw one stays, and each derived one says by what
//! rule it was made.
//!
//! None of them is applied by itself. A published equation for particles belongs to one kind of
//! sensor and to outdoor air; indoors, over a stove, it can be further off than the raw value.

use super::Point;
use serde::Serialize;

/// How a published equation came to be known here.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Known {
    /// The publication names form and purpose; the numbers were read in a second text.
    SecondText,
    /// Read in a second text alone; the publication itself was not found.
    Unconfirmed,
}

/// A published equation from what an optical sensor shows, and humidity, to PM2.5.
#[derive(Clone, Copy, Debug, Serialize)]
pub struct Published {
    /// What it is called in a file: first author or body, and year.
    pub id: &'static str,
    /// Publication.
    pub source: &'static str,
    /// How it came to be known here.
    pub known: Known,
    /// PM2.5, kg/m3, of what the sensor shows, kg/m3, and relative humidity, 0 to 1.
    #[serde(skip)]
    pub of: fn(f64, f64) -> f64,
}

impl PartialEq for Published {
    fn eq(&self, other: &Published) -> bool {
        self.id == other.id
    }
}

/// The published equations; a user names one, none is the usual one. All were made outdoors.
/// Where two versions differ, each stands by its own year.
pub const PARTICLES: &[Published] = &[
    Published {
        id: "barkjohn-2021",
        source: "Barkjohn, Gantt, Clements, Atmos. Meas. Tech. 14, 4617 (2021): 24-hour means of 16 states",
        known: Known::SecondText,
        of: |shown, rh| positive_ug(0.524 * (shown * 1e9) + plain(rh)),
    },
    Published {
        id: "smoke-five-bands",
        source: "five bands in what the sensor shows, continuous at their joins; body and year not confirmed",
        known: Known::Unconfirmed,
        of: |shown, rh| positive_ug(five_bands_ug(shown * 1e9, rh)),
    },
    Published {
        id: "smoke-two-bands-2020",
        source: "earlier version of the smoke map, 2020 to 2021, two bands that do not join",
        known: Known::Unconfirmed,
        of: |shown, rh| {
            let x = shown * 1e9;
            let low = 0.52 * x - 0.086 * rh * 100.0 + 5.75;
            positive_ug(if x <= 343.0 { low } else { 0.46 * x + 3.93e-4 * x * x + 2.97 })
        },
    },
    Published {
        id: "nilson-2022",
        source: "Nilson et al., Atmos. Meas. Tech. 15, 3315 (2022): growth of particles, best of eight there",
        known: Known::SecondText,
        of: |shown, rh| {
            let rh_percent = (rh * 100.0).clamp(30.0, 70.0);
            shown / (1.0 + 0.24 / (100.0 / rh_percent - 1.0))
        },
    },
];

/// Humidity and constant of the equation of 2021, ug/m3.
fn plain(rh: f64) -> f64 {
    -0.0862 * rh * 100.0 + 5.75
}

fn positive_ug(ug_m3: f64) -> f64 {
    // A NaN stays one.
    if ug_m3 < 0.0 { 0.0 } else { ug_m3 * 1e-9 }
}

fn five_bands_ug(x: f64, rh: f64) -> f64 {
    let top = 2.966 + 0.69 * x + 8.84e-4 * x * x;
    match x {
        x if x < 30.0 => 0.524 * x + plain(rh),
        x if x < 50.0 => {
            let w = x / 20.0 - 1.5;
            (0.786 * w + 0.524 * (1.0 - w)) * x + plain(rh)
        }
        x if x < 210.0 => 0.786 * x + plain(rh),
        x if x < 260.0 => {
            let w = x / 50.0 - 4.2;
            (0.69 * w + 0.786 * (1.0 - w)) * x + (1.0 - w) * plain(rh) + w * (2.966 + 8.84e-4 * x * x)
        }
        _ => top,
    }
}

/// The published equation of this name.
pub fn particles(id: &str) -> Option<&'static Published> {
    PARTICLES.iter().find(|p| p.id == id)
}

/// A correction of one series.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Correction {
    /// A published equation for PM2.5 with the humidity at the sensor.
    Particles(&'static Published),
    /// A sensor that counts molecules and shows their share at `calibrated_pa`, at another pressure:
    /// `shown * calibrated_pa / at_pa` (ideal gas law, first order).
    Pressure {
        /// Where the sensor stands, Pa absolute.
        at_pa: f64,
        /// For which it shows right, Pa absolute.
        calibrated_pa: f64,
    },
    /// A straight line through two known points, as humidity over two salts: `truth` where the
    /// sensor `shows`.
    TwoPoint {
        /// Shown at the two points, SI.
        shows: (f64, f64),
        /// True there, SI.
        truth: (f64, f64),
    },
    /// Moved by what the sensor is off outdoors.
    Zero {
        /// Shown outdoors, SI.
        shows: f64,
        /// True there, SI.
        truth: f64,
    },
}

impl Correction {
    /// The corrected value, SI; `rh` is the humidity at the same moment, 0 to 1, where it is needed.
    ///
    /// ```
    /// use engine::series::correct::Correction;
    /// // 1000 ppm shown at 83.4 kPa (1600 m) by a sensor that takes itself to be at sea level.
    /// let high = Correction::Pressure { at_pa: 83_400.0, calibrated_pa: 101_325.0 };
    /// assert!((high.of(1000e-6, None).unwrap() - 1214.9e-6).abs() < 1e-7);
    /// ```
    pub fn of(&self, shown: f64, rh: Option<f64>) -> Option<f64> {
        let value = match self {
            Correction::Particles(published) => (published.of)(shown, rh?),
            Correction::Pressure { at_pa, calibrated_pa } => shown * calibrated_pa / at_pa,
            Correction::TwoPoint { shows, truth } => {
                truth.0 + (shown - shows.0) * (truth.1 - truth.0) / (shows.1 - shows.0)
            }
            Correction::Zero { shows, truth } => shown + (truth - shows),
        };
        value.is_finite().then_some(value)
    }

    /// The corrected series; a point without what it needs is left out. `rh` is read by straight
    /// lines between its points, at most `hole_ms` apart.
    pub fn series(&self, raw: &[Point], rh: Option<&[Point]>, hole_ms: i64) -> Vec<Point> {
        let mut out = Vec::with_capacity(raw.len());
        for point in raw {
            let humid = rh.and_then(|rh| between(rh, point.time_ms, hole_ms));
            out.extend(self.of(point.value, humid).map(|value| Point { value, ..*point }));
        }
        out
    }
}

/// The value of a rising series at a moment.
fn between(points: &[Point], time_ms: i64, hole_ms: i64) -> Option<f64> {
    let after = points.partition_point(|p| p.time_ms < time_ms);
    let b = points.get(after)?;
    if b.time_ms == time_ms {
        return Some(b.value);
    }
    let a = points.get(after.checked_sub(1)?)?;
    let wide = b.time_ms - a.time_ms;
    (wide <= hole_ms).then(|| a.value + (b.value - a.value) * (time_ms - a.time_ms) as f64 / wide as f64)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ug(id: &str, shown: f64, rh: f64) -> f64 {
        (particles(id).unwrap().of)(shown * 1e-9, rh) * 1e9
    }

    #[test]
    fn published_equations_give_what_they_say() {
        // By hand from the equations as printed.
        assert!((ug("barkjohn-2021", 40.0, 0.5) - 22.40).abs() < 1e-9);
        assert!(ug("barkjohn-2021", 0.0, 0.9).abs() < 1e-12);
        assert!((ug("smoke-five-bands", 100.0, 0.3) - (78.6 - 2.586 + 5.75)).abs() < 1e-9);
        assert!((ug("smoke-five-bands", 300.0, 0.3) - (2.966 + 207.0 + 79.56)).abs() < 1e-9);
        assert!((ug("smoke-two-bands-2020", 400.0, 0.3) - (184.0 + 62.88 + 2.97)).abs() < 1e-9);
        // 100/50 - 1 = 1; humidity beyond 70 % counts as 70 %.
        assert!((ug("nilson-2022", 31.0, 0.5) - 25.0).abs() < 1e-9);
        assert!((ug("nilson-2022", 31.0, 0.95) - ug("nilson-2022", 31.0, 0.70)).abs() < 1e-9);
        assert!(ug("barkjohn-2021", f64::NAN, 0.5).is_nan());
    }

    #[test]
    fn five_bands_join() {
        for join in [30.0, 50.0, 210.0, 260.0] {
            let step = ug("smoke-five-bands", join + 1e-9, 0.4) - ug("smoke-five-bands", join - 1e-9, 0.4);
            assert!(step.abs() < 1e-6, "{join}: {step}");
        }
    }

    #[test]
    fn two_salts_and_a_zero() {
        let salts = Correction::TwoPoint { shows: (0.14, 0.78), truth: (0.113, 0.753) };
        assert!((salts.of(0.14, None).unwrap() - 0.113).abs() < 1e-12);
        assert!((salts.of(0.46, None).unwrap() - 0.433).abs() < 1e-12);
        let same = Correction::TwoPoint { shows: (0.5, 0.5), truth: (0.4, 0.5) };
        assert_eq!(same.of(0.6, None), None);
        let zero = Correction::Zero { shows: 455e-6, truth: 425e-6 };
        assert!((zero.of(1000e-6, None).unwrap() - 970e-6).abs() < 1e-12);
    }

    #[test]
    fn the_raw_series_stays_and_points_without_humidity_fall_out_of_the_derived_one() {
        let at = |s: i64, value: f64| Point { time_ms: s * 1000, value };
        let raw = [at(0, 40e-9), at(60, 40e-9), at(600, 40e-9)];
        let rh = [at(0, 0.4), at(120, 0.6)];
        let made =
            Correction::Particles(particles("barkjohn-2021").unwrap()).series(&raw, Some(&rh), 300_000);
        assert_eq!(made.iter().map(|p| p.time_ms).collect::<Vec<_>>(), [0, 60_000]);
        assert!((made[1].value * 1e9 - 22.40).abs() < 1e-9);
        assert_eq!(raw[2].time_ms, 600_000);
    }
}
