//! A mapping made by looking at the beginning of a file. What the text does not tell is asked.

mod grid;
mod times;

use super::guess::{self, Guess, Why};
use super::mapping::{Column, Kind, Mapping, Times};
use super::message::Channels;
use super::reject::Rejects;
use super::text::encoding_of;
use super::time::{Clock, Form, Reader};
use super::{bthome, json, senml};
use engine::diag::{Arg, Diagnostic, code};
use grid::{Grid, is_number, json_grid, lines, table_grid};
use serde::Serialize;
use std::collections::BTreeMap;
use times::{TimeFound, find_time};

/// Bytes of a file that are looked at.
pub const HEAD: usize = 256 * 1024;

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
