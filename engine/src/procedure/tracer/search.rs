//! Decays in a long record: falling stretches that follow an exponential towards outdoors.
//!
//! A fall alone is not a decay: a room with somebody left in it falls towards a raised level, and
//! a room that shares its air with the next falls towards the common one. So a stretch counts only
//! where it lost half its excess over outdoors at one rate all along; and with several sensors the
//! volume-weighted sum has to fall too, because only outdoor air lowers it
//! (`d/dt sum V c = - sum Q (c - c_out)`).

use super::decay::{self, Decay};
use super::{Background, VolumeM3};
use crate::math;
use crate::measure::regression::Line;
use crate::procedure::field::{Limit, Note, Worked};
use crate::units::Quantity;
use serde::Serialize;

/// Least fall of ln(excess): half the excess.
const LEAST_FALL: f64 = std::f64::consts::LN_2;
/// Least squared correlation of ln(excess) with time.
const LEAST_R2: f64 = 0.985;
/// Largest ratio of the rates of any two thirds of a stretch.
const MOST_UNEVEN: f64 = 1.5;
/// Least rate of the first twelfth and the first sixth, as a share of that of the whole, where they
/// hold at least `BEGINNING` steps.
const LEAST_BEGINNING: f64 = 0.8;
const BEGINNING: usize = 5;
/// Fewest readings of a stretch.
const FEWEST: usize = 9;
/// Shortest stretch, s.
const SHORTEST_S: f64 = 900.0;
/// A stretch ends where the excess is this share of that at its start.
const FLOOR: f64 = 0.1;
/// Starts and ends tried in each falling run, either.
const TRIED: usize = 32;
/// Share of the record whose lowest readings are taken as outdoors, where nobody read it.
const LOWEST: f64 = 0.01;

/// A long record.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked<'a> {
    /// Time of each row, s; rising.
    pub time_s: &'a [f64],
    /// Gas by sensor, volume fraction; NaN in gaps.
    pub gas: Vec<&'a [f64]>,
    /// Volume that each sensor stands for; equal parts where none is known.
    pub volume_m3: Option<Vec<VolumeM3>>,
    /// Gas outdoors; without it the lowest of the record is taken, and said.
    pub background: Option<Background>,
}

/// What a falling stretch is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// All sensors fell, or there is only one.
    Outdoors,
    /// Another sensor rose meanwhile: part of the fall is exchange between rooms.
    BetweenRooms,
    /// Another sensor rose, and the volume-weighted sum did not fall: no outdoor air is told.
    OnlyBetweenRooms,
}

/// A stretch found.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Stretch {
    /// Sensor in which it was found.
    pub sensor: usize,
    /// First and last row.
    pub rows: (usize, usize),
    /// Start and end, s from the start of the record.
    pub time_s: (f64, f64),
    /// What it is.
    pub kind: Kind,
    /// The decay of that sensor.
    pub decay: Decay,
    /// The decay of the volume-weighted sum, where there are several sensors and it fell.
    pub of_sum: Option<Decay>,
}

/// All stretches found.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Found {
    /// In the order of time.
    pub stretches: Vec<Stretch>,
    /// Background used.
    pub background: Background,
    /// Whether it was taken from the record.
    pub background_from_record: bool,
    /// Falling runs that were looked at and did not qualify.
    pub turned_down: usize,
}

/// Standard deviation of a record's noise from second differences, of which a slow signal has none:
/// `median |c[i-1] - 2 c[i] + c[i+1]| 1.4826 / sqrt 6` (the normal's median absolute deviation).
fn noise(values: &[f64]) -> f64 {
    let mut bends: Vec<f64> =
        values.windows(3).map(|w| (w[0] - 2.0 * w[1] + w[2]).abs()).filter(|b| b.is_finite()).collect();
    bends.sort_by(f64::total_cmp);
    math::quantile_sorted(&bends, 0.5).unwrap_or(0.0) * 1.4826 / 6.0_f64.sqrt()
}

/// Running median of five, of three at the ends.
fn smoothed(values: &[f64]) -> Vec<f64> {
    let n = values.len();
    (0..n)
        .map(|i| {
            let reach = 2.min(i).min(n - 1 - i);
            let mut near: Vec<f64> = values[i - reach..=i + reach].to_vec();
            near.sort_by(f64::total_cmp);
            near[reach]
        })
        .collect()
}

/// The readings of one sensor without its gaps.
struct Sensor {
    rows: Vec<usize>,
    time_s: Vec<f64>,
    raw: Vec<f64>,
    smooth: Vec<f64>,
    noise: f64,
}

impl Sensor {
    fn new(time_s: &[f64], gas: &[f64]) -> Sensor {
        let rows: Vec<usize> = (0..time_s.len().min(gas.len())).filter(|i| gas[*i].is_finite()).collect();
        let raw: Vec<f64> = rows.iter().map(|i| gas[*i]).collect();
        let smooth = smoothed(&raw);
        Sensor { time_s: rows.iter().map(|i| time_s[*i]).collect(), noise: noise(&raw), smooth, raw, rows }
    }

    /// Runs from a peak to the next lasting rise.
    fn falling_runs(&self, background: f64) -> Vec<(usize, usize)> {
        let mut runs = Vec::new();
        let (mut peak, mut low) = (0, 0);
        for i in 1..self.smooth.len() {
            if self.smooth[i] >= self.smooth[peak] {
                (peak, low) = (i, i);
                continue;
            }
            if self.smooth[i] < self.smooth[low] {
                low = i;
            }
            let rise = self.smooth[i] - self.smooth[low];
            let bearable = (5.0 * self.noise).max(0.04 * (self.smooth[peak] - background));
            if rise > bearable {
                runs.push((peak, low));
                (peak, low) = (i, i);
            }
        }
        runs.push((peak, low));
        runs
    }

    /// The part of a falling run that falls most at one rate: most in concentration, not in its
    /// logarithm, because a deep tail tells more of the background than of the rate.
    fn decay_in(&self, (first, last): (usize, usize), background: f64) -> Option<(usize, usize)> {
        let excess = |i: usize| self.smooth[i] - background;
        let mut best: Option<(f64, usize, usize)> = None;
        let stride = ((last.saturating_sub(first)) / TRIED).max(1);
        for a in (first..last).step_by(stride) {
            let floor = (FLOOR * excess(a)).max(5.0 * self.noise);
            let end = (a..=last).take_while(|i| excess(*i) > floor).last().unwrap_or(a);
            for b in (a + FEWEST - 1..=end).rev().step_by(stride) {
                let fall = math::ln(excess(a) / excess(b));
                let drop = excess(a) - excess(b);
                if fall < LEAST_FALL || best.is_some_and(|best| drop <= best.0) {
                    break;
                }
                if self.even(a, b, background) {
                    best = Some((drop, a, b));
                    break;
                }
            }
        }
        best.map(|(_, a, b)| (a, b))
    }

    /// Whether a part falls at one rate all along, without a hole in it.
    fn even(&self, a: usize, b: usize, background: f64) -> bool {
        let length_s = self.time_s[b] - self.time_s[a];
        let hole = self.time_s[a..=b].windows(2).any(|w| w[1] - w[0] > 0.25 * length_s);
        if length_s < SHORTEST_S || hole {
            return false;
        }
        let logs: Vec<f64> = self.smooth[a..=b].iter().map(|c| math::ln(c - background)).collect();
        let Ok(line) = Line::ordinary(&self.time_s[a..=b], &logs) else { return false };
        if line.slope >= 0.0 || line.r2 < LEAST_R2 {
            return false;
        }
        let third = (b - a) / 3;
        let rate = |from: usize, to: usize| {
            Line::ordinary(&self.time_s[a + from..=a + to], &logs[from..=to]).map_or(0.0, |l| -l.slope)
        };
        let rates = [rate(0, third), rate(third, 2 * third), rate(2 * third, b - a)];
        let (low, high) = rates.iter().fold((f64::MAX, 0.0_f64), |(l, h), r| (l.min(*r), h.max(*r)));
        // A room that empties falls fastest at once; a slow beginning had somebody left in it.
        let brisk = |parts: usize| {
            let part = (b - a) / parts;
            part < BEGINNING || rate(0, part) > LEAST_BEGINNING * -line.slope
        };
        low > 0.0 && high < MOST_UNEVEN * low && [12, 6].into_iter().all(brisk)
    }
}

/// Looks for decays; nothing where no sensor has readings enough.
///
/// Own method, built on the balance of a mixed room: see the module. A stretch is kept where it
/// loses at least half of its excess over outdoors, in at least 15 min and nine readings, with
/// ln(excess) straight to r2 0.985 and no third of it faster than another by more than half, and no slow
/// beginning. Which
/// of two overlapping stretches of two sensors is kept: the one that falls further.
///
/// ```
/// use engine::procedure::tracer::{Background, search::{Asked, Kind, search}};
/// let time_s: Vec<f64> = (0..600).map(|i| 60.0 * f64::from(i)).collect();
/// // Two hours of people, then nobody.
/// let gas: Vec<f64> = time_s.iter().map(|t| {
///     let rise = |t: f64| 900.0 * (1.0 - (-t / 6000.0).exp());
///     let excess = if *t < 7200.0 { rise(*t) } else { rise(7200.0) * (-(t - 7200.0) / 6000.0).exp() };
///     (420.0 + excess) * 1e-6
/// }).collect();
/// let background = Some(Background { value: 420e-6, half: Some(1e-6) });
/// let found = search(&Asked { time_s: &time_s, gas: vec![&gas], volume_m3: None, background }).unwrap();
/// assert_eq!(found.stretches.len(), 1);
/// assert_eq!(found.stretches[0].kind, Kind::Outdoors);
/// assert!((found.stretches[0].decay.rate.si * 6000.0 - 1.0).abs() < 0.01);
/// ```
pub fn search(asked: &Asked<'_>) -> Option<Found> {
    let sensors: Vec<Sensor> = asked.gas.iter().map(|g| Sensor::new(asked.time_s, g)).collect();
    if sensors.iter().all(|s| s.raw.len() < FEWEST) {
        return None;
    }
    let background = asked.background.unwrap_or_else(|| lowest(&sensors));
    let mut stretches: Vec<Stretch> = Vec::new();
    let mut turned_down = 0;
    for (at, sensor) in sensors.iter().enumerate() {
        if sensor.raw.len() < FEWEST {
            continue;
        }
        for run in sensor.falling_runs(background.value) {
            let steep = sensor.smooth[run.0] - sensor.smooth[run.1];
            if steep < 10.0 * sensor.noise || steep < 0.1 * (sensor.smooth[run.0] - background.value) {
                continue;
            }
            let found = sensor
                .decay_in(run, background.value)
                .and_then(|(a, b)| stretch(asked, at, (sensor.rows[a], sensor.rows[b]), background));
            match found {
                Some(found) => stretches.push(found),
                None => turned_down += 1,
            }
        }
    }
    // By depth of the fall; overlapping ones of other sensors are the same event.
    let depth = |s: &Stretch| s.decay.rate.si * (s.time_s.1 - s.time_s.0);
    stretches.sort_by(|a, b| depth(b).total_cmp(&depth(a)));
    let mut kept: Vec<Stretch> = Vec::new();
    for s in stretches {
        if !kept.iter().any(|k| s.time_s.0 < k.time_s.1 && k.time_s.0 < s.time_s.1) {
            kept.push(s);
        }
    }
    kept.sort_by(|a, b| a.time_s.0.total_cmp(&b.time_s.0));
    Some(Found {
        stretches: kept,
        background,
        background_from_record: asked.background.is_none(),
        turned_down,
    })
}

/// Takes the whole record as one stretch: each sensor's decay, and the volume-weighted sum. Nothing
/// where no sensor shows a decay.
pub fn whole(asked: &Asked<'_>) -> Option<Found> {
    let sensors: Vec<Sensor> = asked.gas.iter().map(|g| Sensor::new(asked.time_s, g)).collect();
    let background = asked.background.unwrap_or_else(|| lowest(&sensors));
    let last = asked.time_s.len().checked_sub(1)?;
    let stretches: Vec<Stretch> =
        (0..sensors.len()).filter_map(|i| stretch(asked, i, (0, last), background)).collect();
    Some(Found { stretches, background, background_from_record: asked.background.is_none(), turned_down: 0 })
}

/// The lowest readings of the record, with the scatter among them as interval: outdoors is at most
/// this.
fn lowest(sensors: &[Sensor]) -> Background {
    let mut all: Vec<f64> = sensors.iter().flat_map(|s| s.smooth.iter().copied()).collect();
    all.sort_by(f64::total_cmp);
    let noise = sensors.iter().map(|s| s.noise).fold(0.0, f64::max);
    let value = math::quantile_sorted(&all, LOWEST).unwrap_or(0.0);
    let least = all.first().copied().unwrap_or(0.0);
    Background { value, half: Some((value - least).max(4.0 * noise)) }
}

/// Works one window of a record with several sensors: the decay of one of them, what the others
/// did meanwhile, and the volume-weighted sum. Nothing where the sensor shows no decay.
pub fn stretch(
    asked: &Asked<'_>,
    sensor: usize,
    rows: (usize, usize),
    background: Background,
) -> Option<Stretch> {
    let gas = asked.gas.get(sensor)?;
    let time_s = asked.time_s.get(rows.0..=rows.1)?;
    let window = gas.get(rows.0..=rows.1)?;
    let volumes = asked.volume_m3.as_ref();
    let decay = decay::evaluate(&decay::Asked {
        time_s,
        gas: window,
        background: Some(background),
        volume_m3: volumes.and_then(|v| v.get(sensor).copied()),
    })
    .ok()?;
    let others: Vec<&[f64]> = (0..asked.gas.len())
        .filter(|i| *i != sensor)
        .filter_map(|i| asked.gas[i].get(rows.0..=rows.1))
        .collect();
    let rose = others.iter().any(|g| rises(time_s, g));
    let mut of_sum = None;
    if !others.is_empty() {
        let weight = |i: usize| volumes.and_then(|v| v.get(i)).map_or(1.0, |v| v.0);
        let whole: f64 = (0..asked.gas.len()).map(weight).sum();
        let sum: Vec<f64> = (rows.0..=rows.1)
            .map(|row| {
                let part = |i: usize| weight(i) * asked.gas[i].get(row).copied().unwrap_or(f64::NAN);
                (0..asked.gas.len()).map(part).sum::<f64>() / whole
            })
            .collect();
        let half = volumes.map(|v| v.iter().map(|v| v.1 * v.1).sum::<f64>().sqrt());
        of_sum = decay::evaluate(&decay::Asked {
            time_s,
            gas: &sum,
            background: Some(background),
            volume_m3: half.map(|half| (whole, half)),
        })
        .ok()
        // A rate whose interval holds zero is no fall.
        .filter(|d| d.rate.bounds().is_none_or(|(lo, _)| lo > 0.0));
    }
    let kind = match (rose, &of_sum) {
        (false, _) => Kind::Outdoors,
        (true, Some(_)) => Kind::BetweenRooms,
        (true, None) => Kind::OnlyBetweenRooms,
    };
    let ends = (*time_s.first()?, *time_s.last()?);
    Some(Stretch { sensor, rows, time_s: ends, kind, decay, of_sum })
}

impl Found {
    /// In the shape of all tests. `names` are the sensors', `label` names a stretch by its ends in s;
    /// `limit` is the user's own for the air change.
    pub fn worked(
        &self,
        names: &[String],
        label: impl Fn((f64, f64)) -> String,
        limit: Option<&Limit>,
    ) -> Worked {
        let mut worked = Worked::default();
        let mut seen: Vec<(f64, f64)> = Vec::new();
        for s in &self.stretches {
            let of = label(s.time_s);
            let sensor = names.get(s.sensor).map_or("", String::as_str);
            let own = if names.len() > 1 { format!("{of}, {sensor}") } else { of.clone() };
            let again = seen.contains(&s.time_s);
            seen.push(s.time_s);
            // With several sensors the sum is the result; a room of its own loses air to the others too.
            let of_rooms = if names.len() > 1 { s.of_sum.as_ref() } else { Some(&s.decay) };
            if let Some(decay) = of_rooms.filter(|_| !again) {
                worked.figure_of("figure-air-change", &of, decay.rate);
                if let Some(flow) = decay.flow {
                    worked.figure_of("figure-zone-outdoor-air", &of, flow);
                }
                if let Some(limit) = limit {
                    worked.checks.push(limit.check("check-air-change", Some(decay.rate)).of(&of));
                }
            }
            if names.len() > 1 {
                worked.figure_of("figure-fall-rate", &own, s.decay.rate);
            }
            let of = of.replace('_', " ");
            match s.kind {
                _ if again => {}
                Kind::Outdoors => {}
                Kind::BetweenRooms => worked.notes.push(Note::caution("note-between-rooms").arg("of", of)),
                Kind::OnlyBetweenRooms => {
                    worked.notes.push(Note::caution("note-only-between-rooms").arg("of", of));
                }
            }
        }
        let level = (self.background.value, Quantity::GasFraction);
        if self.background_from_record {
            worked.notes.push(Note::caution("note-background-lowest").arg("level", level));
        } else if self.background.half.is_none() {
            worked.notes.push(Note::caution("note-background-unsure"));
        }
        if self.turned_down > 0 {
            let note = Note::new("note-search-turned-down").arg("count", self.turned_down);
            worked.notes.push(note);
        }
        worked
    }
}

/// Whether a sensor rose at some time in a window: by more than its noise, over its own lowest.
fn rises(time_s: &[f64], gas: &[f64]) -> bool {
    let sensor = Sensor::new(time_s, gas);
    let mut low = f64::INFINITY;
    let mut rise = 0.0_f64;
    for c in &sensor.smooth {
        low = low.min(*c);
        rise = rise.max(c - low);
    }
    let level = math::max_valid(sensor.smooth.iter().copied()).unwrap_or(0.0);
    rise > (6.0 * sensor.noise).max(0.02 * level)
}
