//! The beginning of a file as a grid of texts: which mark parts the cells, where the readings begin, which
//! line is the header.

use super::super::json;
use super::super::mapping::{DELIMITERS, Kind};
use super::super::text::{Cells, Line, Lines, Splitter};
use super::super::time::{Form, Written, calendar};
use super::{HEAD, Looked};
use std::collections::BTreeMap;

/// The file as a grid of texts.
pub(super) struct Grid {
    pub(super) kind: Kind,
    pub(super) header: Vec<String>,
    pub(super) units: Vec<String>,
    pub(super) rows: Vec<Vec<String>>,
}

impl Grid {
    pub(super) fn column(&self, at: usize) -> impl Iterator<Item = &str> {
        self.rows.iter().filter_map(move |r| r.get(at)).map(String::as_str).filter(|c| !c.is_empty())
    }

    /// Share of the cells of a column that are there for which something holds.
    pub(super) fn share(&self, at: usize, holds: impl Fn(&str) -> bool) -> f64 {
        let n = self.column(at).count();
        if n == 0 { 0.0 } else { self.column(at).filter(|c| holds(c)).count() as f64 / n as f64 }
    }

    pub(super) fn name(&self, at: usize) -> String {
        match self.header.get(at) {
            Some(name) if !name.is_empty() && self.header.iter().filter(|h| *h == name).count() == 1 => {
                name.clone()
            }
            _ => format!("column {}", at + 1),
        }
    }
}

/// Lines of them.
const MOST_LINES: usize = 600;

pub(super) fn lines(head: &[u8], encoding: &str) -> Vec<String> {
    let mut lines = Lines::new(head, encoding);
    let mut out = Vec::new();
    // Reading from memory cannot fail.
    while let Ok(Some(line)) = lines.next_line() {
        out.push(match line {
            Line::Text(text) => text.to_owned(),
            Line::TooLong => String::new(),
        });
        if out.len() >= MOST_LINES {
            return out;
        }
    }
    if head.len() >= HEAD {
        // The last one was cut.
        out.pop();
    }
    out
}

pub(super) fn is_number(cell: &str) -> bool {
    let end = cell
        .char_indices()
        .find(|(i, c)| {
            !(c.is_ascii_digit() || matches!(c, '.' | ',') || (*i == 0 && "+-\u{2212}".contains(*c)))
        })
        .map_or(cell.len(), |(i, _)| i);
    let (digits, rest) = (cell.get(..end).unwrap_or(""), cell.get(end..).unwrap_or(""));
    let exponent = rest
        .strip_prefix(['e', 'E'])
        .is_some_and(|e| e.trim_start_matches(['+', '-']).bytes().all(|b| b.is_ascii_digit()) && e.len() > 1);
    digits.bytes().any(|b| b.is_ascii_digit())
        && (rest.is_empty() || exponent || (rest.chars().count() <= 7 && !rest.contains([':', '/', '-'])))
        && digits.matches('.').count() <= 1
}

/// A date, a time, or both; a bare number is none.
pub(super) fn written(cell: &str) -> Option<Written> {
    if cell.bytes().all(|b| b.is_ascii_digit()) {
        return None;
    }
    [Form::Dmy, Form::Mdy, Form::Ymd].into_iter().find_map(|f| calendar(cell, f))
}

fn is_typed(cell: &str) -> bool {
    is_number(cell) || written(cell).is_some()
}

/// A file of so few rows is looked at as a whole where its last third does not tell.
const FEW_ROWS: usize = 30;

pub(super) fn table_grid(lines: &[String], out: &mut Looked) -> Option<Grid> {
    let candidates = DELIMITERS.iter().filter_map(|(name, d)| {
        let rows = split(lines, *d);
        let width = usual_width(&rows)?;
        let (mut typed, mut cells) = (0, 0);
        for (_, row) in &rows {
            cells += row.len().max(width);
            if row.len() == width {
                typed += row.iter().filter(|c| is_typed(c) || c.is_empty()).count();
            }
        }
        Some((typed as f64 / cells.max(1) as f64, width, *name, *d, rows))
    });
    let (_, width, name, delimiter, rows) =
        candidates.max_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)))?;
    out.reasons.push(("intake-why-delimiter", vec![("delimiter", name.into()), ("count", width.into())]));
    // Columns that hold numbers and times in the last third are what makes a row one of readings.
    // `share`: how many of its cells have to be.
    let columns = |later: &[(usize, Vec<String>)], share: f64, holds: &dyn Fn(&str) -> bool| -> Vec<usize> {
        let fits = |at: &usize| {
            let there = later.iter().filter_map(|(_, r)| r.get(*at)).filter(|c| !c.is_empty());
            let (all, hit) = there.fold((0, 0), |(a, t), c| (a + 1, t + usize::from(holds(c))));
            all > 0 && hit as f64 >= share * all as f64
        };
        (0..width).filter(fits).collect()
    };
    let last_third = rows.get(rows.len() * 2 / 3..).unwrap_or(&[]);
    let (mut later, mut share) = (last_third, 0.8);
    if rows.len() <= FEW_ROWS && columns(later, share, &is_typed).len() < 2 {
        // In a few rows one bad cell is a large share, and the last line may have been cut.
        (later, share) = (rows.get(1..).unwrap_or(&[]), 0.5);
    }
    let typical = columns(later, share, &is_typed);
    if typical.len() < 2 {
        return None;
    }
    let times = columns(later, share, &|c| written(c).is_some());
    let is_row = |row: &Vec<String>| {
        let there = typical.iter().filter(|at| row.get(**at).is_some_and(|c| is_typed(c))).count();
        let timed =
            times.is_empty() || times.iter().any(|at| row.get(*at).is_some_and(|c| written(c).is_some()));
        there * 2 > typical.len() && timed && row.len() + 1 >= width
    };
    let first = rows.iter().position(|(_, row)| is_row(row))?;
    let wide = |row: &[String]| {
        let n = row.iter().rposition(|c| !c.is_empty()).map_or(0, |i| i + 1);
        n <= width && n + 1 >= width.min(n + 1) && row.len() + 1 >= width
    };
    let mut header_at = first.checked_sub(1).filter(|i| wide(&rows[*i].1));
    let mut units = Vec::new();
    if let Some(at) = header_at
        && is_units(&rows[at].1)
        && let Some(above) = at.checked_sub(1).filter(|i| wide(&rows[*i].1))
    {
        units = rows[at].1.clone();
        header_at = Some(above);
        out.reasons.push(("intake-why-units-row", vec![("line", rows[at].0.into())]));
    }
    let mut header = header_at.map_or(Vec::new(), |at| rows[at].1.clone());
    let last_empty = rows.iter().skip(first).all(|(_, r)| r.get(width - 1).is_none_or(|c| c.is_empty()));
    let short = !header.is_empty() && header.len() + 1 == width && !last_empty;
    if short {
        header.insert(0, String::new());
        out.reasons.push(("intake-why-header-short", Vec::new()));
    }
    let header_row = header_at.map_or(0, |at| rows[at].0);
    if header_row > 1 {
        out.reasons.push(("intake-why-preamble", vec![("line", (header_row - 1).into())]));
    }
    header.resize(width.max(header.len()), String::new());
    let first_row = rows[first].0;
    let mut rows: Vec<Vec<String>> =
        rows.into_iter().map(|(_, r)| r).skip(first).filter(|r| r.len() + 1 >= width).collect();
    if rows.len() > 1 && rows.last().is_some_and(|r| r.len() < width) {
        // A line that was cut when the file was saved tells nothing of the others.
        rows.pop();
    }
    Some(Grid {
        kind: Kind::Table { delimiter, header_row, first_row, header_short: short },
        header,
        units,
        rows,
    })
}

fn split(lines: &[String], delimiter: u8) -> Vec<(usize, Vec<String>)> {
    let (mut splitter, mut cells) = (Splitter::new(delimiter), Cells::default());
    let mut out = Vec::new();
    for (at, line) in lines.iter().enumerate().filter(|(_, l)| !l.trim().is_empty()) {
        splitter.split(line, &mut cells);
        out.push((at + 1, cells.iter().map(str::to_owned).collect()));
    }
    out
}

/// The most frequent number of cells, if it is two or more.
fn usual_width(rows: &[(usize, Vec<String>)]) -> Option<usize> {
    let mut counts: BTreeMap<usize, usize> = BTreeMap::new();
    for (_, row) in rows {
        *counts.entry(row.len()).or_default() += 1;
    }
    counts.into_iter().filter(|(w, _)| *w >= 2).max_by_key(|(w, n)| (*n, *w)).map(|(w, _)| w)
}

/// Whether a row holds units: half of what stands there or more.
fn is_units(row: &[String]) -> bool {
    let there: Vec<&String> = row.iter().filter(|c| !c.is_empty()).collect();
    let known = |cell: &&&String| {
        let bare = cell.trim_matches(['(', ')', '[', ']']);
        engine::units::UNITS.iter().any(|u| u.symbol == bare || u.spellings.contains(&bare))
            || matches!(
                bare.to_lowercase().as_str(),
                "yyyy-mm-dd" | "dd.mm.yyyy" | "hh:mm" | "hh:mm:ss" | "utc" | "local"
            )
    };
    !there.is_empty() && there.iter().filter(known).count() * 2 >= there.len()
}

pub(super) fn json_grid(lines: &[String]) -> Option<Grid> {
    let mut header: Vec<String> = Vec::new();
    let mut found: Vec<BTreeMap<usize, String>> = Vec::new();
    for line in lines.iter().filter(|l| !l.trim().is_empty()) {
        let Ok(value) = serde_json::from_str::<serde_json::Value>(line) else { continue };
        let mut row = BTreeMap::new();
        for (path, cell) in json::leaves(&value) {
            let at = header.iter().position(|h| *h == path).unwrap_or_else(|| {
                header.push(path);
                header.len() - 1
            });
            row.insert(at, cell.trim().to_owned());
        }
        found.push(row);
    }
    let rows: Vec<Vec<String>> = found
        .into_iter()
        .map(|mut row| (0..header.len()).map(|at| row.remove(&at).unwrap_or_default()).collect())
        .collect();
    (!rows.is_empty()).then_some(Grid { kind: Kind::JsonLines, header, units: Vec::new(), rows })
}
