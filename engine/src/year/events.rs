//! Where steps end: on the grid of the inner step and on every event of the day, exactly.

use super::clock::{Season, season};
use super::equipment::Schedule;
use super::model::{Model, Open};
use crate::doc::job::SummerTime;

const DAY_S: f64 = 86_400.0;
/// An event this close to the end of a step is taken as being there, s.
const CLOSE_S: f64 = 0.5;

/// Starts and ends of all steps of a day, s after midnight; the first is 0, the last 86400.
fn day_marks(events: &[f64], step_s: f64, steps_day: usize) -> Vec<f64> {
    let mut marks: Vec<f64> = (0..steps_day).map(|k| k as f64 * step_s).collect();
    marks.push(DAY_S);
    for event in events {
        let after = marks.partition_point(|m| m < event);
        let near =
            |k: Option<usize>| k.and_then(|k| marks.get(k)).is_some_and(|m| (m - event).abs() < CLOSE_S);
        if !near(Some(after)) && !near(after.checked_sub(1)) {
            marks.insert(after, *event);
        }
    }
    marks
}

/// Marks of the days of a year, made once.
#[derive(Clone, Debug)]
pub(super) struct Marks {
    summer: Option<SummerTime>,
    standard: Vec<f64>,
    ahead: Vec<f64>,
    /// Around a change of the clock: both, and the change.
    change: Vec<f64>,
}

impl Marks {
    /// `also` are times of the day in standard time at which a step ends too.
    pub(super) fn new(model: &Model, step_s: f64, steps_day: usize, also: &[f64]) -> Marks {
        let by_clock = events(model);
        let also = || also.iter().map(|s| s.rem_euclid(DAY_S));
        let standard =
            day_marks(&by_clock.iter().copied().chain(also()).collect::<Vec<_>>(), step_s, steps_day);
        let Some(summer) = model.summer else {
            return Marks { summer: None, standard, ahead: Vec::new(), change: Vec::new() };
        };
        let ahead: Vec<f64> =
            by_clock.iter().map(|e| (e - summer.shift_s).rem_euclid(DAY_S)).chain(also()).collect();
        let changes = [summer.from_s, summer.to_s].map(|s| s.rem_euclid(DAY_S));
        let both: Vec<f64> = by_clock.into_iter().chain(ahead.iter().copied()).chain(changes).collect();
        Marks {
            summer: Some(summer),
            standard,
            ahead: day_marks(&ahead, step_s, steps_day),
            change: day_marks(&both, step_s, steps_day),
        }
    }

    /// Those of a day of the year, by standard time.
    pub(super) fn of(&self, day: i64) -> &[f64] {
        match season(self.summer.as_ref(), day) {
            Season::Standard => &self.standard,
            Season::Summer => &self.ahead,
            Season::Change => &self.change,
        }
    }
}

/// Events of the day by the clock on the wall, s after midnight.
fn events(model: &Model) -> Vec<f64> {
    let mut events = Vec::new();
    let mut span = |from_s: f64, to_s: f64| events.extend([from_s.rem_euclid(DAY_S), to_s.rem_euclid(DAY_S)]);
    let own = model.sources.iter().map(|s| (s.start_s, s.duration_s));
    let gases = model.gases.iter().flat_map(|g| &g.sources).map(|s| (s.start_s, s.duration_s));
    for (start_s, duration_s) in own.chain(gases).filter(|(_, duration_s)| *duration_s < DAY_S) {
        span(start_s, start_s + duration_s);
    }
    let fans = model.exhausts.iter().map(|f| &f.schedule);
    for schedule in fans.chain(model.ventilators.iter().map(|v| &v.schedule)) {
        if let Schedule::Spans(spans) = schedule {
            spans.iter().for_each(|(from_s, to_s)| span(*from_s, *to_s));
        }
    }
    for door in &model.doors {
        if let Open::Running { spans, .. } = &door.open {
            spans.iter().for_each(|(from_s, to_s)| span(*from_s, *to_s));
        }
    }
    for stay in model.occupants.iter().flat_map(|o| &o.stays) {
        span(stay.from_s, stay.to_s);
    }
    for back in model.thermostat.iter().flat_map(|t| &t.set_backs) {
        span(back.from_s, back.to_s);
    }
    events
}
