//! A mapping made by looking at the beginning of a file. What the text does not tell is asked.

use super::guess::{self, Guess, Why};
use super::mapping::{Column, Kind, Mapping, Times};
use super::message::Channels;
use super::reject::Rejects;
use super::text::{Cells, Line, Lines, Splitter, encoding_of};
use super::time::{Clock, FORMS, Form, Reader, Since, Written, calendar};
use super::{bthome, json, senml};
use engine::diag::{Arg, Diagnostic, code};
use serde::Serialize;
use std::collections::BTreeMap;

/// Bytes of a file that are looked at.
pub const HEAD: usize = 256 * 1024;
/// Lines of them.
const MOST_LINES: usize = 600;

/// What is looked at, and what is known besides.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    /// Name of the file, for its own use in what is found.
    pub file: &'a str,
    /// Its first [`HEAD`] bytes.
    pub head: &'a [u8],
    /// Name of the instrument.
    pub instrument: &'a str,
    /// Zone where it stood, if somebody said.
    pub zone: Option<&'a str>,
    /// The time zone of the job.
    pub time_zone: Option<&'a str>,
    /// Answers to questions, by their ids.
    pub answers: &'a BTreeMap<String, String>,
}

/// Something the text does not tell.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Question {
    /// Its id: `date-order`, `clock`, `decimal`, `start`, `unit.NAME`.
    pub id: String,
    /// An example from the file.
    pub found: String,
    /// Answers that would do; empty where any text of the kind would.
    pub choices: Vec<String>,
}

/// A column of the file and what was made of it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Seen {
    /// Its header, path or record name.
    pub from: String,
    /// Name in the series; nothing where it is left out.
    pub name: Option<String>,
    /// Unit.
    pub unit: Option<&'static str>,
    /// From where the unit is known.
    pub why: Option<Why>,
    /// A value of it.
    pub example: String,
}

/// Why something was taken so: a key of the catalogue and its values.
pub type Reason = (&'static str, Vec<(&'static str, Arg)>);

/// What looking gave.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Looked {
    /// The mapping, as far as it is known.
    pub mapping: Option<Mapping>,
    /// What is asked before it can be approved.
    pub questions: Vec<Question>,
    /// Every column.
    pub columns: Vec<Seen>,
    /// Why.
    pub reasons: Vec<Reason>,
    /// What forbids a mapping.
    pub found: Vec<Diagnostic>,
}

/// The file as a grid of texts.
struct Grid {
    kind: Kind,
    header: Vec<String>,
    units: Vec<String>,
    rows: Vec<Vec<String>>,
}

impl Grid {
    fn column(&self, at: usize) -> impl Iterator<Item = &str> {
        self.rows.iter().filter_map(move |r| r.get(at)).map(String::as_str).filter(|c| !c.is_empty())
    }

    /// Share of the cells of a column that are there for which something holds.
    fn share(&self, at: usize, holds: impl Fn(&str) -> bool) -> f64 {
        let n = self.column(at).count();
        if n == 0 { 0.0 } else { self.column(at).filter(|c| holds(c)).count() as f64 / n as f64 }
    }

    fn name(&self, at: usize) -> String {
        match self.header.get(at) {
            Some(name) if !name.is_empty() && self.header.iter().filter(|h| *h == name).count() == 1 => {
                name.clone()
            }
            _ => format!("column {}", at + 1),
        }
    }
}

/// Looks.
pub fn look(asked: &Asked<'_>) -> Looked {
    let mut out = Looked::default();
    let encoding = encoding_of(asked.head);
    if encoding != "utf-8" {
        out.reasons.push(("intake-why-encoding", vec![("encoding", encoding.into())]));
    }
    let lines = lines(asked.head, encoding);
    let first = lines.iter().find(|l| !l.trim().is_empty()).map_or("", |l| l.trim_start());
    match first.chars().next() {
        Some('[') => packs(asked, encoding, &lines, &mut out),
        Some('{') => match json_grid(&lines) {
            Some(grid) => {
                if !payloads(asked, encoding, &grid, &lines, &mut out) {
                    grid_mapping(asked, encoding, &grid, &mut out);
                }
            }
            None => out.found.push(unknown(asked, &lines)),
        },
        _ => match table_grid(&lines, &mut out) {
            Some(grid) => grid_mapping(asked, encoding, &grid, &mut out),
            None => out.found.push(unknown(asked, &lines)),
        },
    }
    out
}

/// Nothing was recognised, and what can be said of why.
fn unknown(asked: &Asked<'_>, lines: &[String]) -> Diagnostic {
    let written = lines.iter().filter(|l| !l.trim().is_empty()).count();
    let why = match written {
        0 => "empty",
        1 => "one-line",
        _ => "",
    };
    Diagnostic::error(code::I126).arg("file", asked.file).arg("why", why)
}

fn lines(head: &[u8], encoding: &str) -> Vec<String> {
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

fn is_number(cell: &str) -> bool {
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
fn written(cell: &str) -> Option<Written> {
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

fn table_grid(lines: &[String], out: &mut Looked) -> Option<Grid> {
    let candidates = super::mapping::DELIMITERS.iter().filter_map(|(name, d)| {
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
    Some(Grid {
        kind: Kind::Table { delimiter, header_row, first_row: rows[first].0, header_short: short },
        header,
        units,
        rows: rows.into_iter().skip(first).map(|(_, r)| r).filter(|r| r.len() + 1 >= width).collect(),
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

fn json_grid(lines: &[String]) -> Option<Grid> {
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

/// Where the time stands and how it is written.
struct TimeFound {
    columns: Vec<usize>,
    form: Form,
    clock: Option<Clock>,
}

const TIME_WORDS: &[&str] = &[
    "time",
    "date",
    "timestamp",
    "ts",
    "datetime",
    "epoch",
    "unix",
    "elapsed",
    "fecha",
    "hora",
    "seconds",
    "minutes",
    "t",
];

fn time_word(header: &str) -> bool {
    let lower = header.to_lowercase();
    let mut words = lower.split(|c: char| !c.is_alphanumeric());
    words.any(|w| TIME_WORDS.contains(&w)) || lower.contains("timestamp") || lower.ends_with("time")
}

fn find_time(grid: &Grid, asked: &Asked<'_>, out: &mut Looked) -> Option<TimeFound> {
    let width = grid.header.len();
    let all = |at: usize, holds: fn(&Written) -> bool| {
        grid.share(at, |c| written(c).is_some_and(|w| holds(&w))) >= 0.6
    };
    let whole: Vec<usize> =
        (0..width).filter(|at| all(*at, |w| w.date.is_some() && w.time.is_some())).collect();
    let dates: Vec<usize> = (0..width).filter(|at| all(*at, |w| w.date.is_some())).collect();
    let clocks: Vec<usize> =
        (0..width).filter(|at| all(*at, |w| w.date.is_none() && w.time.is_some())).collect();
    let utc = |at: &usize| {
        let header = grid.header.get(*at).map_or(String::new(), |h| h.to_lowercase());
        header.contains("utc") || header.contains("gmt") || header.contains("zulu")
    };
    let columns = if let Some(first) = whole.first() {
        if whole.len() > 1 {
            out.reasons.push(("intake-why-time-of-several", vec![("count", whole.len().into())]));
        }
        vec![whole.iter().copied().find(utc).unwrap_or(*first)]
    } else if let (Some(date), Some(clock)) = (dates.first(), clocks.first()) {
        vec![*date, *clock]
    } else if let Some(date) = dates.first() {
        vec![*date]
    } else {
        return numeric_time(grid, asked, out);
    };
    let sample: Vec<Written> =
        grid.rows.iter().filter_map(|r| r.get(columns[0]).and_then(|c| written(c))).collect();
    let second_offset = columns
        .get(1)
        .is_some_and(|at| grid.share(*at, |c| written(c).is_some_and(|w| w.offset_s.is_some())) >= 0.9);
    let told =
        sample.iter().filter(|w| w.offset_s.is_some()).count() * 10 >= sample.len() * 9 || second_offset;
    let form = date_order(grid, columns[0], asked, out);
    let clock = if told {
        out.reasons.push(("intake-why-offset", Vec::new()));
        Some(Clock::Told)
    } else if columns.iter().any(utc) {
        out.reasons.push(("intake-why-utc", Vec::new()));
        Some(Clock::Fixed(0))
    } else {
        None
    };
    Some(TimeFound { columns, form, clock })
}

/// A time as a plain number: since 1970, spreadsheet days, or elapsed.
fn numeric_time(grid: &Grid, asked: &Asked<'_>, out: &mut Looked) -> Option<TimeFound> {
    let values = |at: usize| -> Vec<f64> {
        grid.column(at).filter_map(|c| c.replace(',', ".").parse::<f64>().ok()).collect()
    };
    let rising = |list: &[f64]| {
        list.len() >= 2 && list.windows(2).filter(|w| w[1] >= w[0]).count() * 10 >= (list.len() - 1) * 9
    };
    let mut candidates: Vec<usize> =
        (0..grid.header.len()).filter(|at| time_word(&grid.header[*at])).collect();
    candidates.extend((0..grid.header.len()).filter(|at| !time_word(&grid.header[*at])));
    for at in candidates {
        let list = values(at);
        let Some(first) = list.first().copied().filter(|_| rising(&list) || list.len() == 1) else {
            continue;
        };
        let named = time_word(&grid.header[at]);
        let form = match first {
            f if (5e11..5e12).contains(&f) => Form::EpochMs,
            f if (5e8..5e9).contains(&f) => Form::EpochS,
            f if (30_000.0..70_000.0).contains(&f)
                && named
                && grid.share(at, |c| c.contains(['.', ','])) > 0.0 =>
            {
                Form::Serial
            }
            f if named && (0.0..1e7).contains(&f) => {
                let header = format!("{} {}", grid.header[at], grid.units.get(at).map_or("", String::as_str));
                let lower = header.to_lowercase();
                let words: Vec<&str> = lower.split(|c: char| !c.is_alphanumeric()).collect();
                let any = |list: &[&str]| words.iter().any(|w| list.contains(w));
                let unit = if any(&["s", "sec", "seconds", "secs"]) {
                    Since::S
                } else if any(&["min", "minutes", "mins"]) {
                    Since::Min
                } else if any(&["h", "hours", "hr", "hrs"]) {
                    Since::H
                } else {
                    continue;
                };
                Form::Elapsed(unit)
            }
            _ => continue,
        };
        let name = FORMS.iter().find(|(_, f)| *f == form).map_or("", |(n, _)| n);
        out.reasons.push(("intake-why-number-time", vec![("form", name.into())]));
        let clock = matches!(form, Form::EpochS | Form::EpochMs).then_some(Clock::Fixed(0));
        if matches!(form, Form::Elapsed(_)) && !asked.answers.contains_key("start") {
            out.questions.push(Question {
                id: "start".to_owned(),
                found: grid.name(at),
                choices: Vec::new(),
            });
        }
        return Some(TimeFound { columns: vec![at], form, clock });
    }
    None
}

fn date_order(grid: &Grid, at: usize, asked: &Asked<'_>, out: &mut Looked) -> Form {
    if let Some(answer) = asked.answers.get("date-order")
        && let Some((_, form)) = FORMS.iter().find(|(n, _)| n == answer)
    {
        return *form;
    }
    let days = |form: Form| -> Option<Vec<i64>> {
        let read = |c: &str| calendar(c, form).and_then(|w| w.date);
        let midnight = |d: jiff::civil::Date| super::time::ms_of_civil(d.at(0, 0, 0, 0)) / 86_400_000;
        let all: Vec<i64> = grid.column(at).filter_map(read).map(midnight).collect();
        // Cells that are a time in no order at all are rejected later, in every order.
        let readable = grid.column(at).filter(|c| written(c).is_some()).count();
        (all.len() * 10 >= readable * 9).then_some(all)
    };
    let example = grid.column(at).next().unwrap_or("").to_owned();
    let forms: Vec<(Form, Vec<i64>)> =
        [Form::Ymd, Form::Dmy, Form::Mdy].into_iter().filter_map(|f| days(f).map(|d| (f, d))).collect();
    // The same days either way: the year stands first, or the month by its name.
    let Some((first, read)) = forms.first() else { return Form::Ymd };
    if forms.iter().all(|(_, d)| d == read) {
        return *first;
    }
    let year_last = calendar(&example, Form::Ymd).and_then(|w| w.date).is_none();
    let forms: Vec<&(Form, Vec<i64>)> =
        forms.iter().filter(|(f, _)| !(year_last && *f == Form::Ymd)).collect();
    if let [(form, _)] = forms[..] {
        out.reasons.push(("intake-why-order-only", vec![("example", example.into())]));
        return *form;
    }
    // Days of a record follow each other: an order by which they rise without leaps, if the others leap.
    let rough = |days: &[i64]| {
        days.windows(2).map(|w| if w[1] < w[0] { 1000 } else { (w[1] - w[0]).max(0) }).max().unwrap_or(0)
    };
    let mut by_leap: Vec<(i64, Form)> = forms.iter().map(|(f, d)| (rough(d), *f)).collect();
    by_leap.sort_by_key(|(leap, _)| *leap);
    if let [(a, form), (b, _), ..] = by_leap[..]
        && a <= 2
        && b >= 20
    {
        out.reasons.push(("intake-why-order-rises", vec![("example", example.into())]));
        return form;
    }
    if example.matches('.').count() >= 2
        && !example.contains('/')
        && forms.iter().any(|(f, _)| *f == Form::Dmy)
    {
        out.reasons.push(("intake-why-order-points", Vec::new()));
        return Form::Dmy;
    }
    let choices =
        forms.iter().filter_map(|(f, _)| FORMS.iter().find(|(_, k)| k == f)).map(|(n, _)| (*n).to_owned());
    out.questions.push(Question { id: "date-order".to_owned(), found: example, choices: choices.collect() });
    Form::Ymd
}

/// The decimal mark of the numbers.
fn decimal(grid: &Grid, times: &[usize], asked: &Asked<'_>, out: &mut Looked) -> char {
    match asked.answers.get("decimal").map(String::as_str) {
        Some("comma") => return ',',
        Some("point") => return '.',
        _ => {}
    }
    let (mut comma, mut point, mut unclear) = (0, 0, None);
    for at in (0..grid.header.len()).filter(|at| !times.contains(at)) {
        for cell in grid.column(at).filter(|c| is_number(c)) {
            match (cell.rfind(','), cell.rfind('.')) {
                (Some(c), Some(p)) if c > p => comma += 1,
                (Some(_), Some(_)) | (None, Some(_)) => point += 1,
                (Some(c), None) => {
                    let after =
                        cell.get(c + 1..).map_or(0, |r| r.bytes().take_while(u8::is_ascii_digit).count());
                    let before = cell.get(..c).map_or(0, |r| r.trim_start_matches(['-', '+']).len());
                    if after == 3 && (1..=3).contains(&before) && !cell.starts_with('0') {
                        unclear = Some(cell.to_owned());
                    } else {
                        comma += 1;
                    }
                }
                (None, None) => {}
            }
        }
    }
    if comma > point {
        out.reasons.push(("intake-why-comma", Vec::new()));
        return ',';
    }
    if point == 0
        && let Some(found) = unclear
    {
        let choices = vec!["comma".to_owned(), "point".to_owned()];
        out.questions.push(Question { id: "decimal".to_owned(), found, choices });
    }
    '.'
}

fn grid_mapping(asked: &Asked<'_>, encoding: &'static str, grid: &Grid, out: &mut Looked) {
    let Some(time) = find_time(grid, asked, out) else {
        out.found.push(
            Diagnostic::error(code::I127)
                .arg("file", asked.file)
                .arg("known", grid.header.join(", ").chars().take(200).collect::<String>()),
        );
        return;
    };
    let decimal = decimal(grid, &time.columns, asked, out);
    let mut columns: Vec<Column> = Vec::new();
    for at in (0..grid.header.len()).filter(|at| !time.columns.contains(at)) {
        let example = grid.column(at).next().unwrap_or("").to_owned();
        let mut seen = Seen { from: grid.name(at), name: None, unit: None, why: None, example };
        let numeric = grid.share(at, |c| is_number(c) || c.len() <= 5) >= 0.6;
        let guess = (numeric && grid.share(at, is_number) > 0.3)
            .then(|| {
                guess::column(
                    &grid.header[at],
                    grid.units.get(at).map_or("", String::as_str),
                    median(grid, at, decimal),
                )
            })
            .flatten();
        if let Some(guess) = guess {
            let column = take(guess, grid.name(at), &grid.header[at], asked, &columns, out);
            seen.name = Some(column.0.name.clone());
            seen.unit = Some(column.0.unit.symbol);
            seen.why = Some(column.1);
            columns.push(column.0);
        }
        if !(seen.from.starts_with("column ") && seen.example.is_empty()) {
            out.columns.push(seen);
        }
    }
    finish(asked, encoding, grid.kind.clone(), decimal, time, columns, grid, out);
}

fn median(grid: &Grid, at: usize, decimal: char) -> Option<f64> {
    let mut list: Vec<f64> = grid
        .column(at)
        .filter_map(|c| {
            let end = c.find(|x: char| !(x.is_ascii_digit() || ".,-+eE".contains(x))).unwrap_or(c.len());
            let digits = c.get(..end)?.trim();
            let plain = if decimal == ',' {
                digits.replace('.', "").replace(',', ".")
            } else {
                digits.replace(',', "")
            };
            plain.parse::<f64>().ok().filter(|v| v.is_finite())
        })
        .collect();
    list.sort_by(f64::total_cmp);
    list.get(list.len() / 2).copied()
}

/// A guess as a column: a free name, and its unit asked or answered.
fn take(
    guess: Guess,
    from: String,
    header: &str,
    asked: &Asked<'_>,
    before: &[Column],
    out: &mut Looked,
) -> (Column, Why) {
    let taken = |name: &str| before.iter().any(|c| c.name == name);
    let mut name = guess.name.clone();
    if taken(&name) {
        name = guess::slug(header);
    }
    let stem = name.clone();
    let mut n = 2;
    while taken(&name) {
        name = format!("{stem}_{n}");
        n += 1;
    }
    let id = format!("unit.{name}");
    let answer = asked.answers.get(&id).and_then(|a| engine::units::unit(a, guess.quantity));
    let (mut unit, mut why) = (guess.unit, guess.why);
    if let Some(answer) = answer {
        (unit, why) = (answer, Why::Written);
    } else if why == Why::Asked {
        let choices = guess.choices.iter().map(|c| (*c).to_owned()).collect();
        out.questions.push(Question { id, found: from.clone(), choices });
    }
    (Column { name, from, quantity: guess.quantity, unit }, why)
}

#[allow(clippy::too_many_arguments, reason = "the parts of a mapping, put together once")]
fn finish(
    asked: &Asked<'_>,
    encoding: &'static str,
    kind: Kind,
    decimal: char,
    time: TimeFound,
    columns: Vec<Column>,
    grid: &Grid,
    out: &mut Looked,
) {
    if columns.is_empty() {
        out.found.push(
            Diagnostic::error(code::I128)
                .arg("file", asked.file)
                .arg("known", grid.header.join(", ").chars().take(200).collect::<String>()),
        );
        return;
    }
    let answered = asked.answers.get("clock").and_then(|a| Clock::read(a));
    let clock = match (time.clock, answered, asked.time_zone.and_then(Clock::read)) {
        (Some(clock), _, _) | (None, Some(clock), _) => clock,
        (None, None, Some(zone)) => {
            out.reasons.push(("intake-why-zone", vec![("zone", asked.time_zone.unwrap_or("").into())]));
            zone
        }
        (None, None, None) => {
            let found = grid.column(time.columns[0]).next().unwrap_or("").to_owned();
            let choices = vec!["UTC".to_owned(), "America/New_York".to_owned(), "UTC-05:00".to_owned()];
            out.questions.push(Question { id: "clock".to_owned(), found, choices });
            Clock::Fixed(0)
        }
    };
    let start = asked.answers.get("start").cloned().unwrap_or_default();
    let start_ms = Reader::new(Form::Ymd, clock.clone(), 0).read(&start, None).unwrap_or(0);
    if matches!(time.form, Form::Elapsed(_)) && start_ms == 0 && !start.is_empty() {
        out.questions.push(Question { id: "start".to_owned(), found: start.clone(), choices: Vec::new() });
    }
    out.mapping = Some(Mapping {
        instrument: asked.instrument.to_owned(),
        zone: asked.zone.unwrap_or("").to_owned(),
        kind,
        encoding,
        decimal,
        missing: Vec::new(),
        time: Times {
            from: time.columns.iter().map(|at| grid.name(*at)).collect(),
            form: time.form,
            clock,
            start_ms,
            start,
        },
        columns,
        derived: Vec::new(),
    });
}

/// Columns from the channels that messages opened.
fn of_channels(channels: &Channels, asked: &Asked<'_>, out: &mut Looked) -> Vec<Column> {
    let mut columns: Vec<Column> = Vec::new();
    for channel in &channels.list {
        let header = channel.name.rsplit([':', '/']).next().unwrap_or(&channel.name);
        let guess = Guess {
            name: guess::column(header, channel.unit.symbol, None).map_or(guess::slug(header), |g| g.name),
            quantity: channel.quantity,
            unit: channel.unit,
            why: Why::Written,
            choices: Vec::new(),
        };
        let (column, why) = take(guess, channel.name.clone(), &channel.name, asked, &columns, out);
        out.columns.push(Seen {
            from: channel.name.clone(),
            name: Some(column.name.clone()),
            unit: Some(column.unit.symbol),
            why: Some(why),
            example: String::new(),
        });
        columns.push(column);
    }
    columns
}

fn packs(asked: &Asked<'_>, encoding: &'static str, lines: &[String], out: &mut Looked) {
    let mut text = lines.join("\n");
    let (mut channels, mut rejects) = (Channels::default(), Rejects::default());
    let first = lines.iter().find(|l| !l.trim().is_empty()).map_or("", |l| l.trim());
    if first.ends_with(']') && serde_json::from_str::<serde_json::Value>(first).is_ok() {
        for line in lines.iter().filter(|l| !l.trim().is_empty()) {
            senml::rows(line, 0, 0, &mut channels, &mut rejects);
        }
    } else {
        if serde_json::from_str::<serde::de::IgnoredAny>(&text).is_err()
            && let Some(end) = text.rfind('}')
        {
            // The head ends within a record.
            text.truncate(end + 1);
            text.push(']');
        }
        senml::rows(&text, 0, 0, &mut channels, &mut rejects);
    }
    let columns = of_channels(&channels, asked, out);
    if columns.is_empty() {
        out.found.push(unknown(asked, lines));
        return;
    }
    out.reasons.push(("intake-why-senml", Vec::new()));
    let time = Times {
        from: Vec::new(),
        form: Form::EpochS,
        clock: Clock::Fixed(0),
        start_ms: 0,
        start: String::new(),
    };
    out.mapping = Some(Mapping {
        instrument: asked.instrument.to_owned(),
        zone: asked.zone.unwrap_or("").to_owned(),
        kind: Kind::SenMl,
        encoding,
        decimal: '.',
        missing: Vec::new(),
        time,
        columns,
        derived: Vec::new(),
    });
}

/// JSON lines that carry BTHome payloads; false where there are none.
fn payloads(
    asked: &Asked<'_>,
    encoding: &'static str,
    grid: &Grid,
    lines: &[String],
    out: &mut Looked,
) -> bool {
    let Some(at) = (0..grid.header.len())
        .find(|at| grid.column(*at).count() > 0 && grid.share(*at, bthome::is_payload) >= 0.9)
    else {
        return false;
    };
    let payload = grid.header[at].clone();
    let names = ["mac", "address", "addr", "device", "id", "name", "source"];
    let device = grid
        .header
        .iter()
        .find(|h| {
            names.contains(&h.rsplit('.').next().unwrap_or(h).to_lowercase().as_str()) && **h != payload
        })
        .cloned()
        .unwrap_or_default();
    let Some(time) = find_time(grid, asked, out) else {
        out.found.push(
            Diagnostic::error(code::I127)
                .arg("file", asked.file)
                .arg("known", grid.header.join(", ").chars().take(200).collect::<String>()),
        );
        return true;
    };
    let (mut channels, mut rejects) = (Channels::default(), Rejects::default());
    for line in lines {
        let Ok(value) = serde_json::from_str::<serde_json::Value>(line) else { continue };
        let text = |path: &str| json::at(&value, path).and_then(json::cell).unwrap_or_default();
        bthome::rows(&text(&payload), &text(&device), 0, 0, &mut channels, &mut rejects);
    }
    let columns = of_channels(&channels, asked, out);
    out.reasons.push(("intake-why-bthome", vec![("column", payload.as_str().into())]));
    finish(asked, encoding, Kind::BtHome { payload, device }, '.', time, columns, grid, out);
    true
}
