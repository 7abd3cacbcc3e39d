//! Outdoor temperatures of the days of a bill.

use jiff::civil::{Date, DateTime, date};
use std::collections::BTreeMap;

const DAY_S: f64 = 86400.0;
/// Share of a bill's days that need a temperature; common practice, no source.
pub const COVERED: f64 = 0.9;

/// A day, counted from 1 January 2000.
pub type Day = i64;

/// The day of a moment: so many seconds after a start.
pub fn day_of(start: DateTime, after_s: f64) -> Day {
    let since = start.duration_since(date(2000, 1, 1).at(0, 0, 0, 0)).as_secs_f64();
    #[expect(clippy::cast_possible_truncation, reason = "days of a calendar")]
    let day = ((since + after_s) / DAY_S).floor() as Day;
    day
}

/// The start of a day written as `2026-01-31`, if it is one.
pub fn start_of(text: &str) -> Option<DateTime> {
    text.parse::<Date>().ok().map(|d| d.at(0, 0, 0, 0))
}

/// Place in a year of 365 days, from 0; 29 February stands with the 28th.
fn day_of_year(day: Day) -> usize {
    let span = jiff::Span::new().days(day.clamp(-700_000, 700_000));
    let at = date(2000, 1, 1).saturating_add(span);
    let place = i32::from(at.day_of_year()) - 1;
    usize::try_from(place - i32::from(at.in_leap_year() && place >= 59)).unwrap_or(0)
}

/// Where a bill's outdoor temperature comes from when it does not stand beside it.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Outdoors {
    /// A mean a day, K.
    Days(BTreeMap<Day, f64>),
    /// Days of a usual year from 1 January, K.
    Usual(Vec<f64>),
    /// From nowhere.
    #[default]
    Unknown,
}

impl Outdoors {
    /// Daily means of a record, K; gaps are NaN.
    pub fn of_record(start: DateTime, time_s: &[f64], temp_k: &[f64]) -> Outdoors {
        let mut sums: BTreeMap<Day, (f64, f64)> = BTreeMap::new();
        for (time, k) in time_s.iter().zip(temp_k).filter(|(_, k)| k.is_finite()) {
            let sum = sums.entry(day_of(start, *time)).or_default();
            *sum = (sum.0 + k, sum.1 + 1.0);
        }
        Outdoors::Days(sums.into_iter().map(|(d, (sum, n))| (d, sum / n)).collect())
    }

    /// Temperatures of the days from `first` up to `end`; nothing where fewer than [`COVERED`] of
    /// them are known.
    ///
    /// ```
    /// use engine::procedure::bills::outdoors::{Outdoors, day_of, start_of};
    /// let start = start_of("2024-02-28").unwrap();
    /// let record = Outdoors::of_record(start, &[0.0, 43200.0, 86400.0], &[270.0, 272.0, 280.0]);
    /// let day = day_of(start, 0.0);
    /// assert_eq!(record.between(day, day + 2), [271.0, 280.0]);
    /// assert!(record.between(day, day + 3).is_empty()); // one of three is missing
    /// let usual = Outdoors::Usual((0..365).map(f64::from).collect());
    /// assert_eq!(usual.between(day, day + 3), [58.0, 58.0, 59.0]); // 29 February as the 28th
    /// ```
    pub fn between(&self, first: Day, end: Day) -> Vec<f64> {
        let found: Vec<f64> = match self {
            Outdoors::Days(known) if first < end => known.range(first..end).map(|(_, k)| *k).collect(),
            // No bill runs over more days; a wrong clock must not count through the ages.
            Outdoors::Usual(year) if end - first <= 4000 => {
                (first..end).filter_map(|d| year.get(day_of_year(d)).copied()).collect()
            }
            _ => Vec::new(),
        };
        if found.len() as f64 >= COVERED * (end - first) as f64 { found } else { Vec::new() }
    }
}
