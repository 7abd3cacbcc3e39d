//! A series beside a visit: comma-separated text with a header.
//!
//! The first column is the time: `time` with local dates and times (`2026-11-12 22:05:30`), or those of UTC
//! with a `Z` behind them, or
//! `time s`, `time min`, `time h` since the start. Every other column is a name and its unit,
//! `bedroom ppm`; an empty cell is a gap. Units are read when a test asks for a column, because only
//! the test knows what it measures. Lines that start with `#` are the writer's own.

use super::{File, Sink};
use crate::diag::{Diagnostic, Span, code};
use crate::units::{self, Quantity};

/// Mistakes of one kind that are said singly.
const MOST_SAID: usize = 5;

/// A series as read.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// The file.
    pub file: String,
    /// Local date and time of the first row, where the file tells.
    pub start: Option<jiff::civil::DateTime>,
    /// Whether its times are those of UTC (a `Z` behind them), not of the clock on the wall.
    pub utc: bool,
    /// Time of each row since the first, s; rising.
    pub time_s: Vec<f64>,
    columns: Vec<Column>,
}

#[derive(Clone, Debug, PartialEq)]
struct Column {
    name: String,
    unit: String,
    span: Span,
    /// As written; NaN in a gap.
    values: Vec<f64>,
}

impl Series {
    /// Names of the columns besides time.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.columns.iter().map(|c| c.name.as_str())
    }

    /// The values of a column in SI, NaN in gaps; what is wrong with its unit goes to the sink.
    pub fn column(&self, name: &str, quantity: Quantity, sink: &Sink) -> Option<Vec<f64>> {
        let column = self.columns.iter().find(|c| c.name == name)?;
        match units::unit(&column.unit, quantity) {
            Some(unit) => Some(column.values.iter().map(|v| unit.to_si(*v)).collect()),
            None => {
                sink.borrow_mut().push(
                    Diagnostic::error(code::V201)
                        .at(column.span.clone())
                        .arg("column", name)
                        .arg("unit", column.unit.as_str())
                        .arg("wanted", super::read::quantity_key(quantity)),
                );
                None
            }
        }
    }
}

/// Reads `file`. Rows that cannot be read are said and left out; nothing where no row is left.
pub fn read(file: &File, sink: &Sink) -> Option<Series> {
    let mut reader =
        Reader { file, sink, said: 0, rows: 0, series: None, elapsed: None, first: None, last: None };
    let mut at = 0;
    for line in file.text.split_inclusive('\n') {
        let start = at;
        at += line.len();
        let line = line.trim_end_matches(['\n', '\r']);
        if !line.trim().is_empty() && !line.starts_with('#') {
            reader.line(line, start);
        }
    }
    if reader.said > MOST_SAID {
        let more = reader.said - MOST_SAID;
        sink.borrow_mut()
            .push(Diagnostic::error(code::V202).at(Span::new(&file.name, 0..0)).arg("more", more));
    }
    let series = reader.series.filter(|s| !s.time_s.is_empty());
    if series.is_none() && reader.said == 0 {
        sink.borrow_mut().push(Diagnostic::error(code::V203).at(Span::new(&file.name, 0..0)));
    }
    series
}

struct Reader<'a> {
    file: &'a File,
    sink: &'a Sink,
    /// Mistakes so far.
    said: usize,
    /// Rows so far.
    rows: usize,
    series: Option<Series>,
    /// Unit of the time column, where it counts from the start.
    elapsed: Option<&'static units::Unit>,
    /// Time of the first row, s on the column's own clock.
    first: Option<f64>,
    /// Time of the row before, s on the column's own clock.
    last: Option<f64>,
}

impl Reader<'_> {
    fn say(&mut self, diagnostic: Diagnostic, at: std::ops::Range<usize>) {
        self.said += 1;
        if self.said <= MOST_SAID {
            self.sink.borrow_mut().push(diagnostic.at(Span::new(&self.file.name, at)));
        }
    }

    fn line(&mut self, line: &str, start: usize) {
        let mut at = start;
        let mut cells: Vec<(&str, usize)> = Vec::new();
        for cell in line.split(',') {
            cells.push((cell, at));
            at += cell.len() + 1;
        }
        if self.series.is_none() {
            self.header(&cells);
        } else {
            self.row(&cells, start..start + line.len());
        }
    }

    fn header(&mut self, cells: &[(&str, usize)]) {
        let mut columns = Vec::new();
        for (i, (cell, at)) in cells.iter().enumerate() {
            let (name, unit) = cell.trim().split_once(' ').unwrap_or((cell.trim(), ""));
            let span = *at..*at + cell.len();
            if i == 0 {
                self.elapsed = units::unit(unit.trim(), Quantity::Time);
                if name != "time" || (self.elapsed.is_none() && !unit.trim().is_empty()) {
                    self.say(Diagnostic::error(code::V204).arg("found", cell.trim()), span);
                }
                continue;
            }
            columns.push(Column {
                name: name.to_owned(),
                unit: unit.trim().to_owned(),
                span: Span::new(&self.file.name, span),
                values: Vec::new(),
            });
        }
        self.series = Some(Series {
            file: self.file.name.clone(),
            start: None,
            utc: false,
            time_s: Vec::new(),
            columns,
        });
    }

    fn row(&mut self, cells: &[(&str, usize)], span: std::ops::Range<usize>) {
        self.rows += 1;
        let wanted = self.series.as_ref().map_or(0, |s| s.columns.len() + 1);
        if cells.len() != wanted {
            let d = Diagnostic::error(code::T006)
                .arg("row", self.rows)
                .arg("found", cells.len())
                .arg("wanted", wanted);
            return self.say(d, span);
        }
        let Some((time, rest)) = cells.split_first() else { return };
        let Some((clock_s, date)) = self.time(time.0.trim()) else {
            let d = Diagnostic::error(code::T013).arg("found", time.0.trim());
            return self.say(d, time.1..time.1 + time.0.len());
        };
        if self.last.is_some_and(|last| clock_s <= last) {
            let d = Diagnostic::error(code::V205).arg("found", time.0.trim());
            return self.say(d, time.1..time.1 + time.0.len());
        }
        let mut values = Vec::with_capacity(rest.len());
        let names: Vec<String> = self.series.iter().flat_map(Series::names).map(str::to_owned).collect();
        for (i, (cell, at)) in rest.iter().enumerate() {
            let text = cell.trim();
            match text.parse::<f64>() {
                _ if text.is_empty() => values.push(f64::NAN),
                Ok(value) if value.is_finite() => values.push(value),
                _ => {
                    values.push(f64::NAN);
                    let column = names.get(i).map_or("", String::as_str);
                    let d = Diagnostic::error(code::T008)
                        .arg("column", column)
                        .arg("row", self.rows)
                        .arg("found", text);
                    self.say(d, *at..*at + cell.len());
                }
            }
        }
        self.last = Some(clock_s);
        let first_s = *self.first.get_or_insert(clock_s);
        let Some(series) = &mut self.series else { return };
        if series.time_s.is_empty() {
            series.start = date;
            series.utc = time.0.trim().ends_with('Z');
        }
        series.time_s.push(clock_s - first_s);
        for (column, value) in series.columns.iter_mut().zip(values) {
            column.values.push(value);
        }
    }

    fn time(&self, text: &str) -> Option<(f64, Option<jiff::civil::DateTime>)> {
        if let Some(unit) = self.elapsed {
            return units::number(text).ok().map(|n| (unit.to_si(n), None));
        }
        let date: jiff::civil::DateTime = text.trim_end_matches('Z').parse().ok()?;
        let since = date.duration_since(jiff::civil::date(2000, 1, 1).at(0, 0, 0, 0));
        Some((since.as_secs_f64(), Some(date)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn file(text: &str) -> File {
        File { name: "visits/2026-11-12/log.csv".to_owned(), text: text.to_owned() }
    }

    #[test]
    fn a_column_is_read_in_the_unit_the_test_asks_for() {
        let sink = Sink::default();
        let series = read(
            &file(
                "# bedroom logger\ntime,room ppm,air degC\n2026-11-12 22:00,900,20\n2026-11-12 22:01,,21\n",
            ),
            &sink,
        )
        .unwrap();
        assert_eq!(series.time_s, [0.0, 60.0]);
        let ppm = series.column("room", Quantity::GasFraction, &sink).unwrap();
        assert!((ppm[0] - 900e-6).abs() < 1e-12 && ppm[1].is_nan());
        assert!((series.column("air", Quantity::Temperature, &sink).unwrap()[1] - 294.15).abs() < 1e-9);
        assert!(sink.borrow().list.is_empty());
        assert!(series.column("air", Quantity::Pressure, &sink).is_none());
        assert_eq!(sink.borrow().list[0].code, code::V201);
    }

    #[test]
    fn every_mistake_is_said_and_good_rows_stay() {
        let sink = Sink::default();
        let text = "time s,room ppm\n0,900\n60,x\n60,905\n120,1,2\nlater,7\n180,910\n";
        let series = read(&file(text), &sink).unwrap();
        assert_eq!(series.time_s, [0.0, 60.0, 180.0]);
        let codes: Vec<&str> = sink.borrow().list.iter().map(|d| d.code.0).collect();
        assert_eq!(codes, ["T008", "V205", "T006", "T013"]);
    }

    #[test]
    fn many_mistakes_are_counted() {
        let sink = Sink::default();
        let rows: String = (0..50).map(|i| format!("{i},oops\n")).collect();
        assert!(read(&file(&format!("time s,room ppm\n{rows}")), &sink).is_some());
        assert_eq!(sink.borrow().list.len(), MOST_SAID + 1);
        let empty = Sink::default();
        assert!(read(&file("time s,room ppm\n"), &empty).is_none());
        assert_eq!(empty.borrow().list[0].code, code::V203);
    }
}
