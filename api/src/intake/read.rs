//! Reading a source through a mapping, row by row; memory does not grow with the source.

use super::json;
use super::mapping::{Kind, Mapping};
use super::message::{Channels, Row};
use super::reject::{Reason, Rejects};
use super::text::{Cells, Line, Lines, Rows, Taken};
use super::time::{NoTime, Reader};
use super::{bthome, guess, senml};
use engine::diag::{Diagnostic, code};
use engine::units::{self, Quantity, Unit};
use std::io::{self, Read};
use std::ops::ControlFlow;

/// One row of readings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Record<'a> {
    /// Line of the file.
    pub line: usize,
    /// Milliseconds since 1970 UTC.
    pub time_ms: i64,
    /// One value a column of the mapping, in the column's own unit; nothing where none was read.
    pub values: &'a [Option<f64>],
}

/// How reading went.
#[derive(Debug, Default, PartialEq)]
pub struct Reading {
    /// Rows given out.
    pub rows: usize,
    /// Time of the first and the last row, ms UTC.
    pub time_ms: Option<(i64, i64)>,
    /// What was not taken.
    pub rejects: Rejects,
    /// What forbids the mapping: a column that is not there, a unit that lies.
    pub found: Vec<Diagnostic>,
    /// Whether the caller stopped, or something found did.
    pub stopped: bool,
}

/// The caller's ear for records.
pub type Take<'a> = dyn FnMut(&Record<'_>) -> ControlFlow<()> + 'a;

/// Values from which a column's unit is judged.
const JUDGED: usize = 500;
/// Texts that stand for no value.
const MISSING: &[&str] =
    &["", "na", "n/a", "nan", "null", "none", "-", "--", "---", "unknown", "unavailable", "sin dato"];

/// Reads `source` through `mapping`; `now_ms` is what relative times count from, `file` names the
/// source in what is found.
///
/// # Errors
/// What the source says.
pub fn read<R: Read>(
    mapping: &Mapping,
    source: R,
    now_ms: i64,
    file: &str,
    take: &mut Take<'_>,
) -> io::Result<Reading> {
    let lines = Lines::new(source, mapping.encoding);
    let mut work = Work {
        mapping,
        file,
        time: Reader::new(mapping.time.form, mapping.time.clock.clone(), mapping.time.start_ms),
        values: vec![None; mapping.columns.len()],
        judged: vec![Vec::new(); mapping.columns.len()],
        judging: true,
        out: Reading::default(),
        take,
    };
    match &mapping.kind {
        Kind::Table { delimiter, header_row, first_row, header_short } => {
            work.table(Rows::new(lines, *delimiter), *header_row, *first_row, *header_short)?;
        }
        Kind::SenMl => work.packs(lines, now_ms)?,
        Kind::JsonLines | Kind::BtHome { .. } => work.json_lines(lines)?,
    }
    if work.judging {
        work.judge();
    }
    Ok(work.out)
}

struct Work<'a, 't> {
    mapping: &'a Mapping,
    file: &'a str,
    time: Reader,
    values: Vec<Option<f64>>,
    /// First values of each column, until they are judged.
    judged: Vec<Vec<f64>>,
    judging: bool,
    out: Reading,
    take: &'a mut Take<'t>,
}

impl Work<'_, '_> {
    fn reject(&mut self, line: usize, reason: Reason, column: &str, found: &str) {
        self.out.rejects.push(line, reason, column, found);
    }

    fn read_time(&mut self, line: usize, text: &str, second: Option<&str>) -> Option<i64> {
        let reason = match self.time.read(text, second) {
            Ok(ms) => return Some(ms),
            _ if text.contains(char::is_control) => Reason::Control,
            Err(NoTime::Skipped) => Reason::SkippedHour,
            Err(NoTime::Unreadable | NoTime::NoOffset) => Reason::Time,
        };
        let found = second.map_or(text.to_owned(), |s| format!("{text} {s}"));
        let column = self.mapping.time.from.join(", ");
        self.reject(line, reason, &column, &found);
        None
    }

    fn read_value(&mut self, at: usize, line: usize, text: &str) {
        let Some(column) = self.mapping.columns.get(at) else { return };
        let mapping = self.mapping;
        self.values[at] = match value(text, mapping.decimal, column.unit, &mapping.missing) {
            Ok(value) => value,
            Err(reason) => {
                self.reject(line, reason, &column.name, text);
                None
            }
        };
    }

    /// Gives out what stands in `values`; false where reading is to stop.
    fn give(&mut self, line: usize, time_ms: i64) -> bool {
        if self.values.iter().all(Option::is_none) {
            return true;
        }
        if self.judging {
            for (list, value) in self.judged.iter_mut().zip(&self.values) {
                list.extend(value);
            }
            if self.judged.iter().any(|l| l.len() >= JUDGED) && self.judge() {
                self.out.stopped = true;
                return false;
            }
        }
        self.out.rows += 1;
        let (first, last) = self.out.time_ms.unwrap_or((time_ms, time_ms));
        self.out.time_ms = Some((first.min(time_ms), last.max(time_ms)));
        let stop = (self.take)(&Record { line, time_ms, values: &self.values }).is_break();
        self.out.stopped |= stop;
        !stop
    }

    /// Whether a unit lies.
    fn judge(&mut self) -> bool {
        self.judging = false;
        let before = self.out.found.len();
        for (column, list) in self.mapping.columns.iter().zip(&mut self.judged) {
            let mut list = std::mem::take(list);
            list.sort_by(f64::total_cmp);
            let Some(median) = list.get(list.len() / 2).copied() else { continue };
            let Some(likely) = guess::lies(&column.name, column.quantity, column.unit, median) else {
                continue;
            };
            self.out.found.push(
                Diagnostic::error(code::I124)
                    .arg("file", self.file)
                    .arg("column", column.name.as_str())
                    .arg("value", engine::text::digits(median, 4))
                    .arg("unit", column.unit.symbol)
                    .arg("likely", likely.join(", ")),
            );
        }
        self.out.found.len() > before
    }

    fn table<R: Read>(
        &mut self,
        mut rows: Rows<R>,
        header_row: usize,
        first_row: usize,
        short: bool,
    ) -> io::Result<()> {
        let mut header: Vec<String> = Vec::new();
        let mut places: Option<Places> = None;
        while let Some(taken) = rows.take()? {
            let line = match taken {
                Taken::Row(line) => line,
                Taken::TooLong(line) => {
                    self.reject(line, Reason::TooLong, "", "");
                    continue;
                }
                Taken::Open(line) => {
                    self.reject(line, Reason::OpenQuote, "", "");
                    continue;
                }
            };
            if line == header_row {
                header = rows.cells.iter().map(str::to_owned).collect();
                if short {
                    header.insert(0, String::new());
                }
                continue;
            }
            if line < first_row {
                continue;
            }
            if places.is_none() {
                if header.is_empty() {
                    header = vec![String::new(); rows.cells.len()];
                }
                places = self.places(&header);
            }
            let Some(places) = &places else {
                self.out.stopped = true;
                return Ok(());
            };
            if !self.row(line, &rows.cells, places) {
                return Ok(());
            }
        }
        Ok(())
    }

    fn row(&mut self, line: usize, cells: &Cells, places: &Places) -> bool {
        // Cells beyond the header shift everything unless they are empty.
        let beyond = (places.width..cells.len()).any(|i| cells.get(i).is_some_and(|c| !c.is_empty()));
        if beyond || cells.len() <= places.last {
            self.reject(line, Reason::Cells, &places.width.to_string(), &cells.len().to_string());
            return true;
        }
        let text = cells.get(places.time).unwrap_or("");
        let second = places.second.map(|at| cells.get(at).unwrap_or(""));
        let Some(time_ms) = self.read_time(line, text, second) else { return true };
        for (at, place) in places.columns.iter().enumerate() {
            self.read_value(at, line, cells.get(*place).unwrap_or(""));
        }
        self.give(line, time_ms)
    }

    /// Where the mapping's columns stand; what is not there is found.
    fn places(&mut self, header: &[String]) -> Option<Places> {
        let find = |name: &str| {
            let by_number = name.strip_prefix("column ").and_then(|n| n.parse::<usize>().ok());
            let at = header.iter().position(|h| h == name);
            at.or_else(|| by_number.and_then(|n| n.checked_sub(1)).filter(|n| *n < header.len()))
        };
        let (file, found) = (self.file, &mut self.out.found);
        let mut need = |name: &str| {
            let at = find(name);
            if at.is_none() {
                let known: Vec<&str> = header.iter().map(String::as_str).filter(|h| !h.is_empty()).collect();
                let shown: String = known.join(", ").chars().take(300).collect();
                found.push(
                    Diagnostic::error(code::I125)
                        .arg("file", file)
                        .arg("name", name)
                        .arg("near", engine::text::closest(name, known).unwrap_or(""))
                        .arg("known", shown),
                );
            }
            at
        };
        let time = self.mapping.time.from.first().and_then(|n| need(n));
        let second = self.mapping.time.from.get(1).map(|n| need(n));
        let columns: Vec<Option<usize>> = self.mapping.columns.iter().map(|c| need(&c.from)).collect();
        let columns: Vec<usize> = columns.into_iter().collect::<Option<_>>()?;
        let (time, second) = (time?, second.map_or(Some(None), |s| s.map(Some))?);
        let last = columns.iter().copied().chain([time]).chain(second).max()?;
        Some(Places { time, second, columns, width: header.len(), last })
    }

    fn json_lines<R: Read>(&mut self, mut lines: Lines<R>) -> io::Result<()> {
        let (mut channels, mapping) = (Channels::default(), self.mapping);
        loop {
            let (value, line) = match lines.next_line()? {
                None => return Ok(()),
                Some(Line::TooLong) => (None, lines.number()),
                Some(Line::Text(text)) if text.trim().is_empty() => continue,
                Some(Line::Text(text)) => (Some(serde_json::from_str::<serde_json::Value>(text)), 0),
            };
            let line = if line == 0 { lines.number() } else { line };
            let value = match value {
                None => {
                    self.reject(line, Reason::TooLong, "", "");
                    continue;
                }
                Some(Err(error)) => {
                    self.reject(line, Reason::NotJson, "", &error.to_string());
                    continue;
                }
                Some(Ok(value)) => value,
            };
            let mut texts = mapping.time.from.iter().map(|path| json::at(&value, path).and_then(json::cell));
            let (Some(Some(first)), second) = (texts.next(), texts.next()) else {
                self.reject(line, Reason::NoPath, &mapping.time.from.join(", "), "");
                continue;
            };
            let Some(time_ms) = self.read_time(line, &first, second.flatten().as_deref()) else { continue };
            if let Kind::BtHome { payload, device } = &mapping.kind {
                let Some(hex) = json::at(&value, payload).and_then(json::cell) else {
                    self.reject(line, Reason::NoPath, payload, "");
                    continue;
                };
                let name = json::at(&value, device).and_then(json::cell).unwrap_or_default();
                let rejects = &mut self.out.rejects;
                let rows = bthome::rows(&hex, &name, time_ms, line, &mut channels, rejects);
                if !self.message(line, rows, &channels) {
                    return Ok(());
                }
                continue;
            }
            for (at, column) in mapping.columns.iter().enumerate() {
                match json::at(&value, &column.from) {
                    Some(leaf) => match json::cell(leaf) {
                        Some(cell) => self.read_value(at, line, &cell),
                        None => {
                            self.values[at] = None;
                            self.reject(line, Reason::NotANumber, &column.name, "{}");
                        }
                    },
                    None => self.values[at] = None,
                }
            }
            if !self.give(line, time_ms) {
                return Ok(());
            }
        }
    }

    /// SenML: a pack a line, or one pack over many lines.
    fn packs<R: Read>(&mut self, mut lines: Lines<R>, now_ms: i64) -> io::Result<()> {
        let mut channels = Channels::default();
        let mut pack = String::new();
        let mut first = 1;
        loop {
            let ended = match lines.next_line()? {
                None => true,
                Some(Line::TooLong) => {
                    pack.clear();
                    let line = lines.number();
                    self.reject(line, Reason::TooLong, "", "");
                    continue;
                }
                Some(Line::Text(text)) if pack.is_empty() && text.trim().is_empty() => continue,
                Some(Line::Text(text)) => {
                    pack.push_str(text);
                    pack.push('\n');
                    false
                }
            };
            if pack.len() > senml::LONGEST_PACK {
                pack.clear();
                self.reject(first, Reason::TooLong, "", "");
                continue;
            }
            let text = pack.trim();
            if text.is_empty() && ended {
                return Ok(());
            }
            // Records hold no brackets of their own besides those in texts: the first that ends a line
            // outside of one ends the pack.
            let whole = text.ends_with(']') && text.matches('"').count().is_multiple_of(2);
            if !whole && !ended {
                continue;
            }
            let rejects = &mut self.out.rejects;
            let mut rows = senml::rows(text, now_ms, first, &mut channels, rejects);
            rows.sort_by_key(|r| r.time_ms);
            pack.clear();
            if !self.message(first, rows, &channels) || ended {
                return Ok(());
            }
            first = lines.number() + 1;
        }
    }

    /// Rows of a message, those of one moment together.
    fn message(&mut self, line: usize, rows: Vec<Row>, channels: &Channels) -> bool {
        let mapping = self.mapping;
        let mut rows = rows.into_iter().peekable();
        while let Some(row) = rows.next() {
            if let Some(channel) = channels.list.get(row.channel) {
                let fits =
                    |c: &super::mapping::Column| c.from == channel.name && c.quantity == channel.quantity;
                match mapping.columns.iter().position(fits) {
                    Some(at) => self.values[at] = Some(tidy(mapping.columns[at].unit.from_si(row.value))),
                    None => self.reject(line, Reason::Unmapped, &channel.name, ""),
                }
            }
            if rows.peek().is_none_or(|next| next.time_ms != row.time_ms) {
                let on = self.give(line, row.time_ms);
                self.values.iter_mut().for_each(|v| *v = None);
                if !on {
                    return false;
                }
            }
        }
        true
    }
}

/// Without what going to SI and back left behind.
fn tidy(value: f64) -> f64 {
    engine::text::digits(value, 12).parse().unwrap_or(value)
}

struct Places {
    time: usize,
    second: Option<usize>,
    columns: Vec<usize>,
    width: usize,
    last: usize,
}

/// A cell as a number in `unit`; nothing where it stands for no value.
///
/// # Errors
/// The reason for which it is refused.
pub(crate) fn value(
    text: &str,
    decimal: char,
    unit: &'static Unit,
    missing: &[String],
) -> Result<Option<f64>, Reason> {
    // Almost every cell is a plain number.
    let plain = if decimal == '.' { text.parse::<f64>().ok() } else { None };
    if let Some(value) = plain.filter(|v| v.is_finite()) {
        return if missing.iter().any(|m| m == text) { Ok(None) } else { Ok(Some(value)) };
    }
    if text.len() <= 12 && MISSING.iter().any(|m| text.eq_ignore_ascii_case(m))
        || missing.iter().any(|m| m == text)
    {
        return Ok(None);
    }
    if text.contains(char::is_control) {
        return Err(Reason::Control);
    }
    if text.starts_with(['=', '@']) {
        return Err(Reason::Formula);
    }
    if text.len() > 64 {
        return Err(Reason::NotANumber);
    }
    // Thousands go, the decimal mark becomes a point.
    let text = if decimal == ',' { text.replace('.', "").replace(',', ".") } else { text.to_owned() };
    if let Ok(value) = units::number(&text) {
        return Ok(Some(value));
    }
    match units::parse(&text, unit.quantity) {
        Ok(written) if written.unit.symbol == unit.symbol => {
            // In the column's own unit: the number as it stands.
            let digits = text.trim_end_matches(|c: char| !c.is_ascii_digit() && c != '.');
            units::number(digits).map(Some).or(Ok(Some(tidy(unit.from_si(written.si)))))
        }
        Ok(written) => Ok(Some(tidy(unit.from_si(written.si)))),
        Err(_) if unit.quantity == Quantity::Fraction && text.ends_with("%RH") => {
            units::number(text.trim_end_matches("%RH")).map(Some).map_err(|_| Reason::NotANumber)
        }
        Err(_) => Err(Reason::NotANumber),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use engine::units::unit;

    #[test]
    fn cells() {
        let c = unit("degC", Quantity::Temperature).unwrap();
        let read = |text: &str, decimal| value(text, decimal, c, &["-999".to_owned()]);
        assert_eq!(read("21.5", '.'), Ok(Some(21.5)));
        assert_eq!(read("21,5", ','), Ok(Some(21.5)));
        assert_eq!(read("1.021,5", ','), Ok(Some(1021.5)));
        assert_eq!(read("21.5 \u{b0}C", '.'), Ok(Some(21.5)));
        assert_eq!(read("68 \u{b0}F", '.'), Ok(Some(20.0)));
        for none in ["", "NaN", "null", "--", "-999", "unavailable"] {
            assert_eq!(read(none, '.'), Ok(None), "{none}");
        }
        assert_eq!(read("=HYPERLINK(1)", '.'), Err(Reason::Formula));
        assert_eq!(read("2\u{0}1", '.'), Err(Reason::Control));
        for bad in ["x", "21,5", "1e999", "inf", "+-3"] {
            assert_eq!(read(bad, '.'), Err(Reason::NotANumber), "{bad}");
        }
    }
}
