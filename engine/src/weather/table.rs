//! The hourly table that every weather file fills, whatever its format: possible values, gaps,
//! and the hours of the year made of it.
//!
//! Rules for gaps, each counted and said with its hours:
//! * up to [`SHORT_GAP_H`] hours: a straight line between the values around it, the wind's
//!   direction as a vector; the year is cyclic;
//! * up to [`DAYS_GAP_H`] hours, in records of a station ([`Gaps::Station`]): the mean of the same
//!   hour of the day before and of the day after, or the one of them that is there;
//! * longer: an error that names the hours; pressure alone falls back on the standard atmosphere.
//!
//! Such rules are common practice, without a source.

use super::{HOURS, Hour};
use crate::air;
use crate::diag::{Code, Diagnostic, Diagnostics, Span, code};
use crate::math;
use crate::units::Quantity;
use std::fmt::Write;

/// Longest gap that is interpolated, h.
pub(super) const SHORT_GAP_H: usize = 3;
/// Longest gap that the days around it fill, h.
pub(super) const DAYS_GAP_H: usize = 24;
/// Diagnostics of one code before the rest is only counted.
const MOST_SAID: usize = 10;
/// Runs of hours that a diagnostic names.
const MOST_RUNS: usize = 12;

/// What a column holds. `None` as quantity is irradiance, which has one unit only.
pub(super) struct Kind {
    pub(super) name: &'static str,
    pub(super) quantity: Option<Quantity>,
    /// Possible values, SI.
    pub(super) lo: f64,
    pub(super) hi: f64,
    pub(super) needed: bool,
}

pub(super) const TEMP: usize = 0;
pub(super) const DEW: usize = 1;
pub(super) const PRESSURE: usize = 2;
pub(super) const WIND: usize = 3;
pub(super) const FROM: usize = 4;
pub(super) const GHI: usize = 5;
pub(super) const DNI: usize = 6;
pub(super) const DHI: usize = 7;
pub(super) const COLUMNS: [Kind; 8] = [
    Kind { name: "dry_bulb", quantity: Some(Quantity::Temperature), lo: 193.15, hi: 333.15, needed: true },
    Kind { name: "dew_point", quantity: Some(Quantity::Temperature), lo: 183.15, hi: 309.15, needed: true },
    Kind { name: "pressure", quantity: Some(Quantity::Pressure), lo: 5e4, hi: 1.1e5, needed: false },
    Kind { name: "wind_speed", quantity: Some(Quantity::Speed), lo: 0.0, hi: 75.0, needed: true },
    Kind {
        name: "wind_from",
        quantity: Some(Quantity::Angle),
        lo: 0.0,
        hi: std::f64::consts::TAU * 1.000_001,
        needed: true,
    },
    Kind { name: "ghi", quantity: None, lo: 0.0, hi: 1500.0, needed: false },
    Kind { name: "dni", quantity: None, lo: 0.0, hi: 1500.0, needed: false },
    Kind { name: "dhi", quantity: None, lo: 0.0, hi: 1500.0, needed: false },
];

/// Gathers what is said of one file, at most [`MOST_SAID`] of a code.
pub(super) struct Sayer<'a> {
    pub(super) file: &'a str,
    pub(super) found: Diagnostics,
    said: Vec<(Code, usize)>,
}

impl<'a> Sayer<'a> {
    pub(super) fn new(file: &'a str) -> Sayer<'a> {
        Sayer { file, found: Diagnostics::default(), said: Vec::new() }
    }

    pub(super) fn say(&mut self, mut diagnostic: Diagnostic) {
        // What stands nowhere in particular is said of the file.
        if diagnostic.spans.is_empty() {
            diagnostic.spans.push(Span::new(self.file, 0..0));
        }
        let code = diagnostic.code;
        let count = match self.said.iter_mut().find(|(c, _)| *c == code) {
            Some((_, count)) => {
                *count += 1;
                *count
            }
            None => {
                self.said.push((code, 1));
                1
            }
        };
        if count <= MOST_SAID {
            self.found.push(diagnostic);
        }
    }
}

/// How gaps are treated.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Gaps {
    /// A prepared year: only short gaps are filled.
    Prepared,
    /// A station's record: the days around fill what is longer.
    Station,
}

/// Hours of the year by columns, SI.
pub(super) struct Table {
    pub(super) columns: Vec<Vec<Option<f64>>>,
}

impl Table {
    pub(super) fn new() -> Table {
        Table { columns: vec![vec![None; HOURS]; COLUMNS.len()] }
    }

    /// Fills the gaps of the columns that the file has; how many values were filled.
    pub(super) fn fill(&mut self, present: &[usize], gaps: Gaps, sayer: &mut Sayer<'_>) -> usize {
        let mut filled = 0;
        let mut short = vec![false; HOURS];
        let mut short_count = 0;
        for k in present {
            let name = COLUMNS[*k].name;
            let outcome = fill(&mut self.columns[*k], *k == FROM, gaps);
            filled += outcome.short.len() + outcome.by_days.len();
            short_count += outcome.short.len();
            outcome.short.iter().for_each(|h| short[*h] = true);
            if !outcome.by_days.is_empty() {
                sayer.say(
                    Diagnostic::warning(code::W110)
                        .arg("column", name)
                        .arg("count", outcome.by_days.len())
                        .arg("where", runs(&outcome.by_days)),
                );
            }
            if outcome.left.is_empty() {
                continue;
            }
            if *k == PRESSURE && gaps == Gaps::Station {
                let left: Vec<usize> = outcome.left.iter().flat_map(|(a, n)| cyclic(*a, *n)).collect();
                filled += left.len();
                sayer.say(Diagnostic::warning(code::W114).arg("count", left.len()).arg("where", runs(&left)));
                continue;
            }
            for (first, hours) in outcome.left {
                sayer.say(
                    Diagnostic::error(code::W106)
                        .arg("column", name)
                        .arg("hour", first + 1)
                        .arg("hours", hours)
                        .arg("longest", if gaps == Gaps::Station { DAYS_GAP_H } else { SHORT_GAP_H }),
                );
            }
        }
        if short_count > 0 {
            let hours: Vec<usize> = (0..HOURS).filter(|h| short[*h]).collect();
            sayer.say(
                Diagnostic::warning(code::W107)
                    .arg("count", short_count)
                    .arg("longest", SHORT_GAP_H)
                    .arg("where", runs(&hours)),
            );
        }
        filled
    }

    /// The hours, once the gaps are filled; pressure that is missing is that of the elevation.
    pub(super) fn hours(&self, elevation_m: f64) -> Vec<Hour> {
        let standard_pa = air::standard_pressure_pa(elevation_m);
        (0..HOURS)
            .map(|h| {
                let get = |k: usize, other: f64| self.columns[k][h].unwrap_or(other);
                let temp_k = get(TEMP, f64::NAN);
                let pressure_pa = get(PRESSURE, standard_pa);
                // A dew point above the dry bulb is rounding of the source: saturated.
                let dew_k = get(DEW, f64::NAN).min(temp_k);
                Hour {
                    temp_k,
                    w_kg_kg: air::saturation_humidity_ratio(dew_k, pressure_pa),
                    pressure_pa,
                    wind_m_s: get(WIND, 0.0),
                    wind_from_rad: get(FROM, 0.0),
                    ghi_w_m2: get(GHI, 0.0),
                    dni_w_m2: get(DNI, 0.0),
                    dhi_w_m2: get(DHI, 0.0),
                }
            })
            .collect()
    }
}

/// What became of the gaps of one column; hours from 0.
#[derive(Default)]
pub(super) struct Filled {
    pub(super) short: Vec<usize>,
    pub(super) by_days: Vec<usize>,
    /// Gaps that stay: first hour and length.
    pub(super) left: Vec<(usize, usize)>,
}

/// Fills the gaps of a cyclic column by the rules of this module.
pub(super) fn fill(column: &mut [Option<f64>], angle: bool, rule: Gaps) -> Filled {
    let mut filled = Filled::default();
    let known = column.to_vec();
    let at = |hour: usize| known.get(hour % known.len()).copied().flatten();
    let mix = |a: f64, b: f64, part: f64| if angle { turn(a, b, part) } else { a + part * (b - a) };
    for (first, length) in gaps(&known) {
        let before = at(first + known.len() - 1);
        if let (true, Some(a), Some(b)) = (length <= SHORT_GAP_H, before, at(first + length)) {
            for (k, hour) in cyclic(first, length).enumerate() {
                column[hour] = Some(mix(a, b, (k + 1) as f64 / (length + 1) as f64));
                filled.short.push(hour);
            }
            continue;
        }
        let mut whole = rule == Gaps::Station && length <= DAYS_GAP_H;
        if whole {
            for hour in cyclic(first, length) {
                column[hour] = match (at(hour + known.len() - 24), at(hour + 24)) {
                    (Some(a), Some(b)) => Some(mix(a, b, 0.5)),
                    (one, other) => one.or(other),
                };
                whole &= column[hour].is_some();
            }
        }
        if whole {
            filled.by_days.extend(cyclic(first, length));
        } else {
            filled.left.push((first, length));
        }
    }
    filled
}

/// Runs of missing values of a cyclic column: first hour and length.
fn gaps(column: &[Option<f64>]) -> Vec<(usize, usize)> {
    let count = column.len();
    let Some(start) = column.iter().position(Option::is_some) else {
        return vec![(0, count)];
    };
    let mut list: Vec<(usize, usize)> = Vec::new();
    for step in 0..count {
        let hour = (start + step) % count;
        if column[hour].is_none() {
            match list.last_mut() {
                Some((first, length)) if (*first + *length) % count == hour => *length += 1,
                _ => list.push((hour, 1)),
            }
        }
    }
    list
}

fn cyclic(first: usize, length: usize) -> impl Iterator<Item = usize> {
    (0..length).map(move |k| (first + k) % HOURS)
}

fn turn(a: f64, b: f64, part: f64) -> f64 {
    let north = (1.0 - part) * math::cos(a) + part * math::cos(b);
    let east = (1.0 - part) * math::sin(a) + part * math::sin(b);
    math::atan2(east, north).rem_euclid(std::f64::consts::TAU)
}

/// Hours (from 0) as runs counted from 1, `5-7, 100`; the first [`MOST_RUNS`], then how many more.
pub(super) fn runs(hours: &[usize]) -> String {
    let mut list: Vec<(usize, usize)> = Vec::new();
    for hour in hours {
        match list.last_mut() {
            Some((_, last)) if *last + 1 == *hour => *last = *hour,
            _ => list.push((*hour, *hour)),
        }
    }
    let mut text = String::new();
    for (k, (a, b)) in list.iter().take(MOST_RUNS).enumerate() {
        let comma = if k > 0 { ", " } else { "" };
        // Writing to a String cannot fail.
        let _ = if a == b {
            write!(text, "{comma}{}", a + 1)
        } else {
            write!(text, "{comma}{}-{}", a + 1, b + 1)
        };
    }
    if list.len() > MOST_RUNS {
        let _ = write!(text, ", +{}", list.len() - MOST_RUNS);
    }
    text
}

/// Cells of a line, with the place of each in it. Quotes around a cell are taken off; a separator
/// inside quotes does not separate.
pub(super) fn cells(line: &str, separator: char) -> Vec<(usize, &str)> {
    let mut list = Vec::new();
    let (mut start, mut quoted) = (0, false);
    let mut push = |a: usize, b: usize| {
        let raw = line.get(a..b).unwrap_or("");
        let cell = raw.trim().trim_matches('"').trim();
        let inset = raw.find(cell).unwrap_or(0);
        list.push((a + inset, cell));
    };
    for (at, c) in line.char_indices() {
        if c == '"' {
            quoted = !quoted;
        } else if c == separator && !quoted {
            push(start, at);
            start = at + c.len_utf8();
        }
    }
    push(start, line.len());
    list
}

#[cfg(test)]
mod tests {
    use super::*;

    fn day_wave() -> Vec<Option<f64>> {
        (0..HOURS).map(|h| Some((h % 24) as f64 + (h / 24) as f64 * 0.1)).collect()
    }

    #[test]
    fn a_day_is_filled_by_its_neighbours_and_two_are_not() {
        let mut column = day_wave();
        column[1000..1024].fill(None);
        let filled = fill(&mut column, false, Gaps::Station);
        assert_eq!((filled.short.len(), filled.by_days.len(), filled.left.len()), (0, 24, 0));
        for (found, truth) in column.iter().zip(day_wave()) {
            assert!((found.unwrap() - truth.unwrap()).abs() < 1e-12);
        }
        column[1000..1025].fill(None);
        assert_eq!(fill(&mut column, false, Gaps::Station).left, [(1000, 25)]);
        column[1004..1025].fill(Some(0.0));
        assert_eq!(fill(&mut column, false, Gaps::Prepared).left, [(1000, 4)]);
    }

    #[test]
    fn a_gap_over_new_year_is_one_gap() {
        let mut column = vec![Some(1.0); HOURS];
        column[HOURS - 1] = None;
        column[0] = None;
        column[1] = Some(4.0);
        let filled = fill(&mut column, false, Gaps::Prepared);
        assert_eq!(filled.short, [HOURS - 1, 0]);
        assert!((column[HOURS - 1].unwrap() - 2.0).abs() < 1e-12 && (column[0].unwrap() - 3.0).abs() < 1e-12);
    }

    #[test]
    fn runs_and_cells() {
        assert_eq!(runs(&[4, 5, 6, 99]), "5-7, 100");
        assert_eq!(runs(&(0..40).map(|k| 2 * k).collect::<Vec<_>>()).split(',').count(), MOST_RUNS + 1);
        let line = "7,\"A, B\", x ";
        assert_eq!(cells(line, ','), [(0, "7"), (3, "A, B"), (10, "x")]);
    }
}
