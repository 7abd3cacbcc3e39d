//! Doubts about a series, as flags on stretches of it. Nothing is taken out or mended here.
//!
//! [`Checker`] sees one point after the other and keeps only what it needs, so that a record of any
//! length can be checked while it is read. What is usual for a quantity ([`Limits::of`]) is common
//! practice, no source; every number of it can be set.

use super::Point;
use crate::units::Quantity;
use serde::Serialize;

/// What is doubtful.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Flag {
    /// A value that cannot be where people live.
    OutOfRange,
    /// Held at an end of the scale.
    Saturated,
    /// The same value for longer than the air stays the same.
    Stuck,
    /// A change faster than air can change.
    Jump,
    /// The sensor had just been started or moved.
    Settling,
    /// Time went backwards, moved by whole hours, or lies in the future.
    Clock,
    /// A second reading of the same moment.
    Duplicate,
    /// Nothing for longer than usual before this row.
    Gap,
}

impl Flag {
    /// Every flag.
    pub const ALL: [Flag; 8] = [
        Flag::OutOfRange,
        Flag::Saturated,
        Flag::Stuck,
        Flag::Jump,
        Flag::Settling,
        Flag::Clock,
        Flag::Duplicate,
        Flag::Gap,
    ];

    /// Its name in JSON and in the keys of its text.
    pub fn key(self) -> &'static str {
        match self {
            Flag::OutOfRange => "out_of_range",
            Flag::Saturated => "saturated",
            Flag::Stuck => "stuck",
            Flag::Jump => "jump",
            Flag::Settling => "settling",
            Flag::Clock => "clock",
            Flag::Duplicate => "duplicate",
            Flag::Gap => "gap",
        }
    }

    fn at(self) -> usize {
        self as usize
    }
}

/// What is usual for a sensor. Values are SI.
#[derive(Clone, Debug, PartialEq)]
pub struct Limits {
    /// Values beyond these cannot be in a house or outdoors.
    pub range: (f64, f64),
    /// Ends of scale; three rows or more held at one of them are saturated.
    pub ends: Vec<f64>,
    /// Fastest believable change, SI per minute; infinite where any is.
    pub jump_per_min: f64,
    /// The same value for longer is stuck, s; infinite where it may stand for ever.
    pub stuck_s: f64,
    /// Warm-up after a start, s.
    pub settling_s: f64,
    /// A step longer than so many usual ones is a gap.
    pub gap_steps: f64,
    /// Moments at which the sensor was moved, ms UTC, besides the first row; rising.
    pub moved_ms: Vec<i64>,
    /// Now, ms UTC: later readings have a wrong clock. Nothing where nobody knows.
    pub now_ms: Option<i64>,
}

impl Limits {
    /// Common practice for a quantity, no source.
    pub fn of(quantity: Quantity) -> Limits {
        use Quantity as Q;
        const HOUR_S: f64 = 3600.0;
        let none = f64::INFINITY;
        let (range, ends, jump_per_min, stuck_s, settling_s): ((f64, f64), &[f64], f64, f64, f64) =
            match quantity {
                // 200 ppm is below any air outdoors; 5 % is beyond every indoor sensor.
                Q::GasFraction => {
                    ((0.0, 0.05), &[2e-3, 5e-3, 9.999e-3, 10e-3, 40e-3], 1e-3, 2.0 * HOUR_S, 900.0)
                }
                Q::Temperature => ((223.15, 343.15), &[], 5.0, 24.0 * HOUR_S, 900.0),
                Q::Fraction => ((0.0, 1.0), &[0.0, 0.999, 1.0], 0.3, 24.0 * HOUR_S, 900.0),
                Q::ParticleConcentration => ((0.0, 1e-5), &[5e-7, 9.999e-7, 1e-6], none, 12.0 * HOUR_S, 60.0),
                // Absolute and differential.
                Q::Pressure => ((-5e3, 1.1e5), &[], 500.0, 24.0 * HOUR_S, 0.0),
                _ => ((-none, none), &[], none, none, 0.0),
            };
        Limits {
            range,
            ends: ends.to_vec(),
            jump_per_min,
            stuck_s,
            settling_s,
            gap_steps: 2.5,
            moved_ms: Vec::new(),
            now_ms: None,
        }
    }
}

/// A flag on a stretch of a series.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Doubt {
    /// What is doubtful.
    pub flag: Flag,
    /// First and last row, from 0.
    pub rows: (usize, usize),
    /// Times of those rows, ms UTC.
    pub time_ms: (i64, i64),
    /// By how much the time moved from the row before, ms, where a clock or a gap is meant.
    pub step_ms: Option<i64>,
}

/// All doubts of a series.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Doubts {
    /// By flag and row.
    pub list: Vec<Doubt>,
    /// Stretches beyond the most that are kept.
    pub more: usize,
    /// Rows seen.
    pub rows: usize,
    /// Usual time between rows, ms.
    pub step_ms: Option<i64>,
}

impl Doubts {
    /// Whether a row carries a flag.
    pub fn has(&self, row: usize, flag: Flag) -> bool {
        self.list.iter().any(|d| d.flag == flag && d.rows.0 <= row && row <= d.rows.1)
    }

    /// Rows that carry a flag.
    pub fn count(&self, flag: Flag) -> usize {
        self.list.iter().filter(|d| d.flag == flag).map(|d| d.rows.1 - d.rows.0 + 1).sum()
    }
}

/// Stretches that are kept; more are counted.
const MOST_KEPT: usize = 10_000;
/// Steps from which the usual one is taken.
const EARLY: usize = 64;
/// Rows of the same value before it can be called stuck or saturated.
const LEAST_STUCK: usize = 10;
const LEAST_SATURATED: usize = 3;
/// Clocks of two devices differ by so much without being wrong, ms.
const CLOCKS_DIFFER_MS: i64 = 600_000;
const HOUR_MS: i64 = 3_600_000;

/// Sees points one by one. Memory does not grow with the series.
#[derive(Debug)]
pub struct Checker {
    limits: Limits,
    row: usize,
    last: Option<Point>,
    latest_ms: i64,
    settled_ms: i64,
    moves: usize,
    /// First row and time of the run of equal values.
    run: (usize, i64),
    early: Vec<(usize, i64, i64)>,
    usual_ms: Option<i64>,
    open: [Option<Doubt>; 8],
    out: Doubts,
}

impl Checker {
    /// A checker for one series.
    pub fn new(limits: Limits) -> Checker {
        Checker {
            limits,
            row: 0,
            last: None,
            latest_ms: i64::MIN,
            settled_ms: i64::MIN,
            moves: 0,
            run: (0, 0),
            early: Vec::new(),
            usual_ms: None,
            open: [const { None }; 8],
            out: Doubts::default(),
        }
    }

    /// Sees the next point.
    pub fn push(&mut self, point: Point) {
        let row = self.row;
        let Point { time_ms, value } = point;
        self.clock(row, time_ms);
        if !(self.limits.range.0..=self.limits.range.1).contains(&value) {
            self.flag(Flag::OutOfRange, (row, row), (time_ms, time_ms), None);
        }
        self.settling(row, time_ms);
        self.run_of_equals(row, point);
        if let Some(last) = self.last {
            let minutes = (time_ms - last.time_ms) as f64 / 60_000.0;
            let allowed = self.limits.jump_per_min * if minutes > 1.0 { minutes } else { 1.0 };
            if minutes >= 0.0 && (value - last.value).abs() > allowed {
                self.flag(Flag::Jump, (row, row), (time_ms, time_ms), None);
            }
        }
        self.latest_ms = self.latest_ms.max(time_ms);
        self.last = Some(point);
        self.row += 1;
    }

    fn clock(&mut self, row: usize, time_ms: i64) {
        let here = (time_ms, time_ms);
        if self.limits.now_ms.is_some_and(|now| time_ms > now.saturating_add(CLOCKS_DIFFER_MS)) {
            self.flag(Flag::Clock, (row, row), here, None);
        }
        let Some(last) = self.last else { return };
        let step_ms = time_ms.saturating_sub(last.time_ms);
        if time_ms < self.latest_ms {
            // The rows that repeat times already told, too.
            self.flag(Flag::Clock, (row, row), here, Some(step_ms).filter(|s| *s < 0));
        } else if step_ms == 0 {
            self.flag(Flag::Duplicate, (row, row), here, None);
        }
        if step_ms <= 0 {
            return;
        }
        if self.usual_ms.is_none() {
            self.early.push((row, last.time_ms, time_ms));
            if self.early.len() >= EARLY {
                self.learn();
            }
        } else {
            self.step(row, last.time_ms, time_ms);
        }
    }

    /// Takes the usual step from the first ones, and looks at them by it.
    fn learn(&mut self) {
        let early = std::mem::take(&mut self.early);
        let mut steps: Vec<i64> = early.iter().map(|(_, from, to)| to - from).collect();
        steps.sort_unstable();
        self.usual_ms = steps.get(steps.len() / 2).copied();
        for (row, from, to) in early {
            self.step(row, from, to);
        }
    }

    fn step(&mut self, row: usize, from_ms: i64, to_ms: i64) {
        let Some(usual) = self.usual_ms else { return };
        let step = to_ms - from_ms;
        if step as f64 <= self.limits.gap_steps * usual as f64 {
            return;
        }
        self.flag(Flag::Gap, (row, row), (from_ms, to_ms), Some(step));
        // A clock that was set by whole hours leaves exactly one usual step besides them.
        let beyond = step - usual;
        let hours = (beyond + HOUR_MS / 2) / HOUR_MS;
        let off = (beyond - hours * HOUR_MS).abs();
        if usual < HOUR_MS / 2 && (1..=24).contains(&hours) && off * 20 <= usual {
            self.flag(Flag::Clock, (row, row), (to_ms, to_ms), Some(step));
        }
    }

    fn settling(&mut self, row: usize, time_ms: i64) {
        let warm_ms = (self.limits.settling_s * 1000.0) as i64;
        if self.last.is_none() {
            self.settled_ms = time_ms.saturating_add(warm_ms);
        }
        while self.limits.moved_ms.get(self.moves).is_some_and(|moved| *moved <= time_ms) {
            self.settled_ms = self.limits.moved_ms[self.moves].saturating_add(warm_ms);
            self.moves += 1;
        }
        if time_ms < self.settled_ms {
            self.flag(Flag::Settling, (row, row), (time_ms, time_ms), None);
        }
    }

    fn run_of_equals(&mut self, row: usize, point: Point) {
        let same = self.last.is_some_and(|last| last.value.total_cmp(&point.value).is_eq());
        if !same {
            self.run = (row, point.time_ms);
            return;
        }
        let long = row - self.run.0 + 1;
        let lasts_s = (point.time_ms - self.run.1) as f64 / 1000.0;
        let span = ((self.run.0, row), (self.run.1, point.time_ms));
        if long >= LEAST_STUCK && lasts_s >= self.limits.stuck_s {
            self.flag(Flag::Stuck, span.0, span.1, None);
        }
        let close = |end: &f64| (point.value - end).abs() <= 1e-9 * end.abs();
        if long >= LEAST_SATURATED && self.limits.ends.iter().any(close) {
            self.flag(Flag::Saturated, span.0, span.1, None);
        }
    }

    fn flag(&mut self, flag: Flag, rows: (usize, usize), time_ms: (i64, i64), step_ms: Option<i64>) {
        let slot = &mut self.open[flag.at()];
        match slot {
            // Gaps stand for themselves; the others grow.
            Some(open) if flag != Flag::Gap && rows.0 <= open.rows.1 + 1 && step_ms.is_none() => {
                open.rows.1 = open.rows.1.max(rows.1);
                open.time_ms.1 = time_ms.1;
            }
            _ => {
                let before = slot.replace(Doubt { flag, rows, time_ms, step_ms });
                self.close(before);
            }
        }
    }

    fn close(&mut self, doubt: Option<Doubt>) {
        match doubt {
            Some(doubt) if self.out.list.len() < MOST_KEPT => self.out.list.push(doubt),
            Some(_) => self.out.more += 1,
            None => {}
        }
    }

    /// What was doubtful.
    pub fn finish(mut self) -> Doubts {
        if self.usual_ms.is_none() && !self.early.is_empty() {
            self.learn();
        }
        for at in 0..self.open.len() {
            let open = self.open[at].take();
            self.close(open);
        }
        self.out.list.sort_by_key(|d| (d.flag, d.rows));
        self.out.rows = self.row;
        self.out.step_ms = self.usual_ms;
        self.out
    }
}

/// Checks a whole series.
///
/// ```
/// use engine::series::{Point, quality::{Flag, Limits, check}};
/// use engine::units::Quantity;
/// let minute = |i: i64, ppm: f64| Point { time_ms: i * 60_000, value: ppm * 1e-6 };
/// // The clock is set back by an hour after the third reading.
/// let points = [minute(0, 600.0), minute(1, 601.0), minute(2, 603.0), minute(-57, 604.0)];
/// let doubts = check(&points, Limits::of(Quantity::GasFraction));
/// assert!(doubts.has(3, Flag::Clock) && !doubts.has(2, Flag::Clock));
/// ```
pub fn check(points: &[Point], limits: Limits) -> Doubts {
    let mut checker = Checker::new(limits);
    for point in points {
        checker.push(*point);
    }
    checker.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn series(steps: &[(i64, f64)]) -> Vec<Point> {
        steps.iter().map(|(s, ppm)| Point { time_ms: s * 1000, value: ppm * 1e-6 }).collect()
    }

    fn calm() -> Limits {
        Limits { settling_s: 0.0, ..Limits::of(Quantity::GasFraction) }
    }

    #[test]
    fn each_doubt_is_flagged_where_it_is_and_nowhere_else() {
        let mut rows: Vec<(i64, f64)> = (0..400).map(|i| (i * 60, 600.0 + (i % 7) as f64)).collect();
        rows[50].1 = 60_000.0;
        (100..104).for_each(|i| rows[i].1 = 2000.0);
        (200..340).for_each(|i| rows[i].1 = 555.0);
        rows[360].0 = rows[359].0;
        (380..400).for_each(|i| rows[i].0 += 900);
        let found = check(&series(&rows), calm());
        let rows_of = |flag| -> Vec<usize> { (0..400).filter(|i| found.has(*i, flag)).collect() };
        assert_eq!(rows_of(Flag::OutOfRange), [50]);
        assert_eq!(rows_of(Flag::Saturated), [100, 101, 102, 103]);
        assert_eq!(rows_of(Flag::Stuck), (200..340).collect::<Vec<_>>());
        assert_eq!(rows_of(Flag::Jump), [50, 51, 100, 104]);
        assert_eq!(rows_of(Flag::Duplicate), [360]);
        assert_eq!(rows_of(Flag::Gap), [380]);
        assert!(rows_of(Flag::Clock).is_empty() && rows_of(Flag::Settling).is_empty());
        assert_eq!(found.step_ms, Some(60_000));
    }

    #[test]
    fn clocks_that_are_set_are_told_by_how_much() {
        let mut rows: Vec<(i64, f64)> = (0..300).map(|i| (i * 60, 600.0 + (i % 5) as f64)).collect();
        (100..300).for_each(|i| rows[i].0 += 3600);
        (200..300).for_each(|i| rows[i].0 -= 7200);
        let now_ms = Some(-10_000_000);
        let found = check(&series(&rows), calm());
        let steps: Vec<i64> = found.list.iter().filter_map(|d| d.step_ms).collect();
        assert!(found.has(100, Flag::Clock) && found.has(200, Flag::Clock), "{found:?}");
        assert!(steps.contains(&3_660_000) && steps.contains(&-7_140_000), "{steps:?}");
        // Ten minutes late is a gap, no clock.
        let mut late = rows[..100].to_vec();
        (50..100).for_each(|i| late[i].0 += 600);
        assert_eq!(check(&series(&late), calm()).count(Flag::Clock), 0);
        let all = check(&series(&rows[..100]), Limits { now_ms, ..calm() });
        assert_eq!(all.count(Flag::Clock), 100);
    }

    #[test]
    fn a_sensor_settles_after_start_and_after_a_move() {
        let rows: Vec<(i64, f64)> = (0..100).map(|i| (i * 60, 600.0 + (i % 7) as f64)).collect();
        let limits = Limits { settling_s: 300.0, moved_ms: vec![3_000_000], ..calm() };
        let found = check(&series(&rows), limits);
        let settling: Vec<usize> = (0..100).filter(|i| found.has(*i, Flag::Settling)).collect();
        assert_eq!(settling, [0, 1, 2, 3, 4, 50, 51, 52, 53, 54]);
    }

    #[test]
    fn many_stretches_are_counted() {
        let rows: Vec<(i64, f64)> =
            (0..40_000).map(|i| (i * 60, if i % 2 == 0 { 6e5 } else { 600.0 })).collect();
        let found = check(&series(&rows), Limits { jump_per_min: f64::INFINITY, ..calm() });
        assert_eq!(found.list.len() + found.more, 20_000);
    }
}
