//! Records, volumes and backgrounds of tracer tests, from document and visit to plain numbers.

use super::Around;
use engine::diag::{Diagnostic, code};
use engine::doc::Sp;
use engine::doc::field::record::{Outdoors, Record, Volume, When};
use engine::procedure::tracer::{Background, VolumeM3};
use engine::units::Quantity as Q;

/// Rows of a record in the part asked for.
pub(super) struct Rows {
    /// Since the first row of the whole record, s.
    pub(super) time_s: Vec<f64>,
    /// One a column, NaN in gaps.
    pub(super) gas: Vec<Vec<f64>>,
    /// Names of the columns.
    pub(super) names: Vec<String>,
    /// Local date and time of the first row of the whole record.
    pub(super) start: Option<jiff::civil::DateTime>,
}

impl Rows {
    /// A stretch of it as people write it, in words of no language.
    pub(super) fn label(&self, (from_s, to_s): (f64, f64)) -> String {
        let minutes = || format!("{:.0}\u{2013}{:.0} min", from_s / 60.0, to_s / 60.0);
        let Some(start) = self.start else { return minutes() };
        // Whole seconds: a label needs no more.
        #[expect(clippy::cast_possible_truncation, reason = "seconds of a record")]
        let at = |s: f64| start.checked_add(jiff::SignedDuration::from_secs(s.round() as i64)).ok();
        match (at(from_s), at(to_s)) {
            (Some(from), Some(to)) if from.date() == to.date() => {
                format!("{} {}\u{2013}{}", from.date(), clock(from), clock(to))
            }
            (Some(from), Some(to)) => {
                format!("{} {}\u{2013}{} {}", from.date(), clock(from), to.date(), clock(to))
            }
            _ => minutes(),
        }
    }
}

fn clock(at: jiff::civil::DateTime) -> String {
    format!("{:02}:{:02}", at.hour(), at.minute())
}

impl Around<'_> {
    /// The rows of a record; what is wrong is said.
    pub(super) fn rows(&self, record: &Record) -> Option<Rows> {
        let rows = match (&record.points, &record.series) {
            (Some(grid), None) => self.typed_rows(grid, record)?,
            (None, Some(name)) => self.beside(name, record)?,
            _ => {
                self.say(Diagnostic::error(code::A106).at(record.span.clone()));
                return None;
            }
        };
        self.part(rows, record)
    }

    fn typed_rows(&self, grid: &engine::doc::read::Grid, record: &Record) -> Option<Rows> {
        let place = |name: &str| grid.columns.iter().position(|c| c == name);
        let names: Vec<String> = grid.columns.iter().filter(|c| c.starts_with("gas")).cloned().collect();
        let Some(time_at) = place("time").filter(|_| !names.is_empty()) else {
            self.say(Diagnostic::error(code::A106).at(grid.columns_span.clone()));
            return None;
        };
        let at: Vec<usize> = names.iter().filter_map(|n| place(n)).collect();
        let mut rows = Rows { time_s: Vec::new(), gas: vec![Vec::new(); at.len()], names, start: None };
        for row in &grid.rows {
            let Some(time_s) = row.value.get(time_at).copied() else { continue };
            if rows.time_s.last().is_some_and(|last| time_s <= *last) {
                let time = (time_s, Q::Time);
                self.say(Diagnostic::warning(code::A114).at(row.span.clone()).arg("time", time));
                continue;
            }
            rows.time_s.push(time_s);
            for (gas, at) in rows.gas.iter_mut().zip(&at) {
                gas.push(row.value.get(*at).copied().unwrap_or(f64::NAN));
            }
        }
        // Columns chosen by name, where there are several.
        if !record.columns.is_empty() {
            let wanted: Vec<usize> =
                record.columns.iter().filter_map(|c| rows.names.iter().position(|n| *n == c.value)).collect();
            for column in record.columns.iter().filter(|c| !rows.names.contains(&c.value)) {
                let known: Vec<&str> = rows.names.iter().map(String::as_str).collect();
                self.unknown(column, "column", &known);
            }
            rows.gas = wanted.iter().filter_map(|i| rows.gas.get(*i).cloned()).collect();
            rows.names = wanted.iter().filter_map(|i| rows.names.get(*i).cloned()).collect();
        }
        (!rows.gas.is_empty()).then_some(rows)
    }

    fn beside(&self, name: &Sp<String>, record: &Record) -> Option<Rows> {
        let series = self.series(name)?;
        let columns: Vec<Sp<String>> = if record.columns.is_empty() {
            // Without a name the only column is meant.
            let all: Vec<&str> = series.names().collect();
            match all.as_slice() {
                [only] => vec![Sp { value: (*only).to_owned(), span: name.span.clone() }],
                _ => {
                    let known = all.join(", ");
                    let d = Diagnostic::error(code::A116).at(name.span.clone()).arg("known", known);
                    self.say(d);
                    return None;
                }
            }
        } else {
            record.columns.clone()
        };
        let mut gas = Vec::new();
        for column in &columns {
            gas.push(self.column(series, column, Q::GasFraction)?);
        }
        let names = columns.into_iter().map(|c| c.value).collect();
        Some(Rows { time_s: series.time_s.clone(), gas, names, start: series.start })
    }

    fn part(&self, mut rows: Rows, record: &Record) -> Option<Rows> {
        let length_s = rows.time_s.last().copied().unwrap_or(0.0);
        let first_s = rows.time_s.first().copied().unwrap_or(0.0);
        let bound = |when: &Option<Sp<When>>, open: f64| {
            let Some(when) = when else { return Some(open) };
            let at = moment(when.value, rows.start, first_s).filter(|s| (first_s..=length_s).contains(s));
            if at.is_none() {
                self.say(Diagnostic::error(code::A111).at(when.span.clone()));
            }
            at
        };
        let from_s = bound(&record.start, first_s)?;
        let to_s = bound(&record.end, length_s)?;
        let keep = |t: f64| (from_s..=to_s).contains(&t);
        let kept: Vec<bool> = rows.time_s.iter().map(|t| keep(*t)).collect();
        for gas in &mut rows.gas {
            let mut flags = kept.iter();
            gas.retain(|_| flags.next().copied().unwrap_or(false));
        }
        rows.time_s.retain(|t| keep(*t));
        Some(rows)
    }

    /// The volume typed or that of the zone named, and the half width of its interval.
    pub(super) fn volume(&self, volume: &Volume) -> Option<VolumeM3> {
        let typed = volume.typed_m3.as_ref().map(|v| v.value);
        let value = typed.or_else(|| self.zone_volume(volume.zone.as_ref()?))?;
        Some((value, volume.accuracy.map_or(0.0, |a| a.limit(value))))
    }

    fn zone_volume(&self, zone: &Sp<String>) -> Option<f64> {
        let zones = self.house.map_or(&[][..], |h| &h.zones);
        let found = zones.iter().find(|z| z.name == zone.value).map(|z| z.volume_m3);
        if found.is_none() {
            let known: Vec<&str> = zones.iter().map(|z| z.name.as_str()).collect();
            self.unknown(zone, "zone", &known);
        }
        found
    }

    /// The volume of a column: typed under its name, or that of the zone of this name.
    pub(super) fn volume_of(&self, column: &str, typed: &[(Sp<String>, f64)]) -> Option<f64> {
        let zone = || {
            let house = self.house?;
            house.zone(column).and_then(|i| house.zones.get(i)).map(|z| z.volume_m3)
        };
        typed.iter().find(|v| v.0.value == column).map(|v| v.1).or_else(zone)
    }

    /// Names under which volumes or sources were typed that are no column.
    pub(super) fn strays(&self, typed: &[(Sp<String>, f64)], columns: &[String]) {
        for (name, _) in typed.iter().filter(|v| !columns.contains(&v.0.value)) {
            let known: Vec<&str> = columns.iter().map(String::as_str).collect();
            self.unknown(name, "column", &known);
        }
    }

    /// Gas outdoors and how well it is known.
    pub(super) fn background(&self, asked: &Outdoors) -> Option<Background> {
        let room = self.instrument(asked.gas_with.as_ref(), Q::GasFraction);
        let own = self.instrument(asked.with.as_ref(), Q::GasFraction);
        let same = room.zip(own).is_some_and(|(a, b)| a.name.value == b.name.value);
        let readings: Vec<f64> = match (&asked.readings, &asked.value) {
            (Some(list), _) => list.value.clone(),
            (None, Some(one)) => vec![one.value],
            (None, None) => return None,
        };
        Background::read(
            &readings,
            same,
            asked.limit,
            room.and_then(|i| i.accuracy),
            own.and_then(|i| i.accuracy),
            own.map_or(0.0, |i| i.resolution),
        )
    }

    /// Says what a procedure found, at the place of the record.
    pub(super) fn said_of(&self, list: &[Diagnostic], record: &Record) {
        for d in list {
            self.say(d.clone().at(record.span.clone()));
        }
    }
}

/// Seconds of a moment since the first row.
pub(super) fn moment(when: When, start: Option<jiff::civil::DateTime>, first_s: f64) -> Option<f64> {
    let since = |at: jiff::civil::DateTime| Some(first_s + at.duration_since(start?).as_secs_f64());
    match when {
        When::Elapsed(s) => Some(first_s + s),
        When::Date(at) => since(at),
        When::Clock(time) => {
            let day = start?.date();
            let same = day.to_datetime(time);
            // The first such time after the record's first row.
            since(same).filter(|s| *s >= first_s).or_else(|| since(day.tomorrow().ok()?.to_datetime(time)))
        }
    }
}
