//! The series beside a visit, written from records while they are read: the format that
//! `engine::doc::series` reads.
//!
//! A value is written as it was read, in its own unit. Times stand on one offset from UTC
//! throughout, so that they rise also where a clock is set to winter time. Rows that do not rise are
//! rejected here (the original file keeps them) and flagged by the check of quality.

use super::mapping::Mapping;
use super::read::Record;
use super::reject::{Reason, Rejects};
use super::time::stamp;
use engine::series::Point;
use engine::series::quality::{Checker, Doubts, Limits};
use std::fmt::Write as _;
use std::io::{self, Write};

/// Points kept of a column for the comparison of clocks.
const MOST_THIN: usize = 16_384;

/// Means of a column, at a step that doubles when there are too many.
#[derive(Clone, Debug, PartialEq)]
struct Thin {
    step_ms: i64,
    done: Vec<Point>,
    open: Option<(i64, f64, f64)>,
}

impl Thin {
    fn push(&mut self, time_ms: i64, value: f64) {
        let slot = time_ms.div_euclid(self.step_ms);
        match &mut self.open {
            Some((at, sum, n)) if *at == slot => {
                *sum += value;
                *n += 1.0;
            }
            _ => {
                self.close();
                self.open = Some((slot, value, 1.0));
            }
        }
        if self.done.len() >= MOST_THIN {
            self.step_ms *= 2;
            self.done = engine::series::align::means(&self.done, self.step_ms);
            self.open = None;
        }
    }

    fn close(&mut self) {
        if let Some((slot, sum, n)) = self.open.take() {
            let time_ms = slot * self.step_ms + self.step_ms / 2;
            self.done.push(Point { time_ms, value: sum / n });
        }
    }
}

/// A moment: its time, and sum and count of each column.
type Moment = (i64, Vec<(f64, f64)>);

/// Writes one series.
pub struct Writer<'m, W> {
    out: W,
    mapping: &'m Mapping,
    offset_s: i32,
    every_ms: Option<i64>,
    /// The moment being put together: sums and counts a column.
    open: Option<Moment>,
    last_ms: Option<i64>,
    line: String,
    checkers: Vec<Checker>,
    thin: Vec<Thin>,
    done: Written,
}

/// What was written.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Written {
    /// Rows.
    pub rows: usize,
    /// Bytes.
    pub bytes: usize,
    /// Rows that do not rise in time.
    pub rejects: Rejects,
    /// Doubts, one list a column.
    pub doubts: Vec<Doubts>,
    /// Means of each column, SI, for the comparison of clocks.
    pub thin: Vec<Vec<Point>>,
}

impl<'m, W: Write> Writer<'m, W> {
    /// Begins a series: `head` are lines for its top, `every_ms` averages.
    ///
    /// # Errors
    /// What the target says.
    pub fn new(
        mut out: W,
        mapping: &'m Mapping,
        offset_s: i32,
        every_ms: Option<i64>,
        now_ms: i64,
        head: &[String],
    ) -> io::Result<Writer<'m, W>> {
        let mut text = String::new();
        for line in head {
            let clean: String = line.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
            text.push_str("# ");
            text.push_str(&clean);
            text.push('\n');
        }
        text.push_str("time");
        let names = mapping.columns.iter().map(|c| (c.name.as_str(), c.unit));
        let derived = mapping
            .derived
            .iter()
            .filter_map(|d| mapping.columns.get(d.from).map(|c| (d.name.as_str(), c.unit)));
        for (name, unit) in names.chain(derived) {
            // Writing to a text cannot fail.
            if write!(text, ",{name} {}", unit.symbol).is_err() {}
        }
        text.push('\n');
        out.write_all(text.as_bytes())?;
        let limits = |q| Limits { now_ms: Some(now_ms), ..Limits::of(q) };
        let done = Written { bytes: text.len(), ..Written::default() };
        Ok(Writer {
            out,
            mapping,
            offset_s,
            every_ms,
            open: None,
            last_ms: None,
            line: String::new(),
            checkers: mapping.columns.iter().map(|c| Checker::new(limits(c.quantity))).collect(),
            thin: vec![Thin { step_ms: 60_000, done: Vec::new(), open: None }; mapping.columns.len()],
            done,
        })
    }

    /// Takes the next record.
    ///
    /// # Errors
    /// What the target says.
    pub fn push(&mut self, record: &Record<'_>) -> io::Result<()> {
        let columns = self.mapping.columns.iter().zip(record.values);
        for ((column, value), checker) in columns.zip(&mut self.checkers) {
            if let Some(value) = value {
                checker.push(Point { time_ms: record.time_ms, value: column.unit.to_si(*value) });
            }
        }
        let slot = match self.every_ms {
            Some(every) => record.time_ms.div_euclid(every) * every,
            None => record.time_ms,
        };
        let before = self.open.as_ref().map(|(at, _)| *at).or(self.last_ms);
        let same = self.open.as_ref().is_some_and(|(at, _)| *at == slot);
        if !same && before.is_some_and(|before| slot < before) {
            let mut text = String::new();
            stamp(record.time_ms, self.offset_s, &mut text);
            self.done.rejects.push(record.line, Reason::NotLater, "time", &text);
            return Ok(());
        }
        if !same {
            self.close()?;
            self.open = Some((slot, vec![(0.0, 0.0); record.values.len()]));
        }
        let Some((_, sums)) = &mut self.open else { return Ok(()) };
        let mut twice = false;
        for (value, sum) in record.values.iter().zip(sums) {
            let Some(value) = value else { continue };
            if sum.1 > 0.0 && self.every_ms.is_none() {
                // The same column twice at one moment: the first stands.
                twice = true;
                continue;
            }
            sum.0 += value;
            sum.1 += 1.0;
        }
        if twice {
            let mut text = String::new();
            stamp(record.time_ms, self.offset_s, &mut text);
            self.done.rejects.push(record.line, Reason::NotLater, "time", &text);
        }
        Ok(())
    }

    fn close(&mut self) -> io::Result<()> {
        let Some((slot, sums)) = self.open.take() else { return Ok(()) };
        self.last_ms = Some(slot);
        // A mean stands at the middle of its stretch.
        let time_ms = slot + self.every_ms.map_or(0, |every| every / 2);
        self.line.clear();
        stamp(time_ms, self.offset_s, &mut self.line);
        let mean = |sum: &(f64, f64)| (sum.1 > 0.0).then(|| sum.0 / sum.1);
        for (at, sum) in sums.iter().enumerate() {
            self.line.push(',');
            let Some(value) = mean(sum) else { continue };
            put(&mut self.line, value, sum.1 > 1.0);
            if let (Some(column), Some(thin)) = (self.mapping.columns.get(at), self.thin.get_mut(at)) {
                thin.push(time_ms, column.unit.to_si(value));
            }
        }
        for d in &self.mapping.derived {
            self.line.push(',');
            let si = |at: usize| {
                let column = self.mapping.columns.get(at)?;
                mean(sums.get(at)?).map(|v| column.unit.to_si(v))
            };
            let made = si(d.from).and_then(|shown| d.correction.of(shown, d.rh.and_then(si)));
            if let (Some(made), Some(column)) = (made, self.mapping.columns.get(d.from)) {
                put(&mut self.line, column.unit.from_si(made), true);
            }
        }
        self.line.push('\n');
        self.out.write_all(self.line.as_bytes())?;
        self.done.rows += 1;
        self.done.bytes += self.line.len();
        Ok(())
    }

    /// Ends the series.
    ///
    /// # Errors
    /// What the target says.
    pub fn finish(mut self) -> io::Result<(W, Written)> {
        self.close()?;
        self.out.flush()?;
        self.done.doubts = self.checkers.into_iter().map(Checker::finish).collect();
        self.done.thin = self
            .thin
            .into_iter()
            .map(|mut thin| {
                thin.close();
                thin.done
            })
            .collect();
        Ok((self.out, self.done))
    }
}

/// A number: as it was read, or rounded once where it was computed.
fn put(line: &mut String, value: f64, computed: bool) {
    // Writing to a text cannot fail.
    let failed = if computed {
        write!(line, "{}", engine::text::digits(value, 7)).is_err()
    } else {
        write!(line, "{value}").is_err()
    };
    if failed {}
}
