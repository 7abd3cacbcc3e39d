//! How files of one instrument are read: `intake/<instrument>.toml` of a job.
//!
//! Made by looking ([`super::look`]), shown, approved, kept; written and edited by hand just as
//! well. Nothing in it is guessed when it is read.

use super::text::ENCODINGS;
use super::time::{Clock, FORMS, Form};
use engine::diag::{Diagnostic, code};
use engine::doc::read::{Tab, parse};
use engine::doc::{File, Sink, Sp};
use engine::series::correct::{Correction, PARTICLES};
use engine::units::{Quantity, Unit, unit};
use std::fmt::Write;

/// What kind of text it is.
#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    /// Cells between delimiters.
    Table {
        /// Between cells.
        delimiter: u8,
        /// Line of the header, from 1; 0 where there is none.
        header_row: usize,
        /// First line of readings, from 1.
        first_row: usize,
        /// The header lacks the name of the first column, as some programs write it.
        header_short: bool,
    },
    /// One JSON object a line.
    JsonLines,
    /// SenML in JSON (RFC 8428), a pack a file or a pack a line.
    SenMl,
    /// JSON lines that carry a BTHome v2 payload as hexadecimal digits.
    BtHome {
        /// Path of the payload.
        payload: String,
        /// Path of what names the device; empty where there is but one.
        device: String,
    },
}

/// Where the time of a row stands.
#[derive(Clone, Debug, PartialEq)]
pub struct Times {
    /// Header names or paths: one, or a date and a time of day.
    pub from: Vec<String>,
    /// How it is written.
    pub form: Form,
    /// Which clock it is.
    pub clock: Clock,
    /// Where elapsed times count from, ms UTC.
    pub start_ms: i64,
    /// The same as written.
    pub start: String,
}

/// One column of readings.
#[derive(Clone, Debug, PartialEq)]
pub struct Column {
    /// Its name in the series.
    pub name: String,
    /// Header name, `column N`, path or record name.
    pub from: String,
    /// What it measures.
    pub quantity: Quantity,
    /// In which unit it is written.
    pub unit: &'static Unit,
}

/// A column derived from another, beside it.
#[derive(Clone, Debug, PartialEq)]
pub struct Derived {
    /// Its name in the series.
    pub name: String,
    /// Index of the column it is made from.
    pub from: usize,
    /// Index of the column with the humidity, where it is needed.
    pub rh: Option<usize>,
    /// How.
    pub correction: Correction,
}

/// A whole mapping.
#[derive(Clone, Debug, PartialEq)]
pub struct Mapping {
    /// The instrument's name in the job.
    pub instrument: String,
    /// Zone or place where it stands; empty where nobody said.
    pub zone: String,
    /// What kind of text.
    pub kind: Kind,
    /// Its encoding, of [`ENCODINGS`].
    pub encoding: &'static str,
    /// Decimal mark.
    pub decimal: char,
    /// Texts that stand for no value besides the usual ones.
    pub missing: Vec<String>,
    /// The time.
    pub time: Times,
    /// The readings.
    pub columns: Vec<Column>,
    /// What is derived beside them.
    pub derived: Vec<Derived>,
}

/// Names of the delimiters.
pub const DELIMITERS: &[(&str, u8)] = &[("comma", b','), ("semicolon", b';'), ("tab", b'\t'), ("bar", b'|')];

/// A text as TOML writes it.
pub(crate) fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            c if c.is_control() => {
                // Writing to a text cannot fail.
                if write!(out, "\\u{:04X}", u32::from(c)).is_err() {}
            }
            c => out.push(c),
        }
    }
    out.push('"');
    out
}

/// Key of a quantity in a mapping: as JSON names it.
pub fn quantity_key(quantity: Quantity) -> String {
    serde_json::to_value(quantity).ok().and_then(|v| v.as_str().map(str::to_owned)).unwrap_or_default()
}

impl Mapping {
    /// As a document; `made_from` is told in its head.
    pub fn write(&self, made_from: &str) -> String {
        let mut out = String::new();
        let clean: String = made_from.chars().filter(|c| !c.is_control()).collect();
        out.push_str("# How files of this instrument are read. Made by looking at ");
        out.push_str(&clean);
        out.push_str(";\n# what is wrong here is read wrong: mend it.\nformat = 1\n");
        let mut line = |key: &str, value: String| {
            out.push_str(key);
            out.push_str(" = ");
            out.push_str(&value);
            out.push('\n');
        };
        if !self.zone.is_empty() {
            line("zone", quoted(&self.zone));
        }
        let kind = match &self.kind {
            Kind::Table { .. } => "table",
            Kind::JsonLines => "json lines",
            Kind::SenMl => "senml",
            Kind::BtHome { .. } => "bthome",
        };
        line("kind", quoted(kind));
        line("encoding", quoted(self.encoding));
        match &self.kind {
            Kind::Table { delimiter, header_row, first_row, header_short } => {
                let name = DELIMITERS.iter().find(|(_, d)| d == delimiter).map_or("comma", |(n, _)| n);
                line("delimiter", quoted(name));
                line("decimal", quoted(if self.decimal == ',' { "comma" } else { "point" }));
                line("header_row", header_row.to_string());
                line("first_row", first_row.to_string());
                if *header_short {
                    line("header_short", "true".to_owned());
                }
            }
            Kind::BtHome { payload, device } => {
                line("payload", quoted(payload));
                if !device.is_empty() {
                    line("device", quoted(device));
                }
            }
            _ => {}
        }
        if !self.missing.is_empty() {
            let list: Vec<String> = self.missing.iter().map(|m| quoted(m)).collect();
            line("missing", format!("[{}]", list.join(", ")));
        }
        if self.kind != Kind::SenMl {
            out.push_str("\n[time]\n");
            let from: Vec<String> = self.time.from.iter().map(|f| quoted(f)).collect();
            let form = FORMS.iter().find(|(_, f)| *f == self.time.form).map_or("y-m-d", |(n, _)| n);
            let mut line = |key: &str, value: String| {
                out.push_str(&format!("{key} = {value}\n"));
            };
            line("from", format!("[{}]", from.join(", ")));
            line("written", quoted(form));
            line("clock", quoted(&self.time.clock.write()));
            if !self.time.start.is_empty() {
                line("start", quoted(&self.time.start));
            }
        }
        for c in &self.columns {
            out.push_str(&format!(
                "\n[column.{}]\nfrom = {}\nquantity = {}\nunit = {}\n",
                c.name,
                quoted(&c.from),
                quoted(&quantity_key(c.quantity)),
                quoted(c.unit.symbol)
            ));
        }
        out
    }

    /// The mapping of an instrument: reads `intake/<instrument>.toml`.
    pub fn read(file: &File, sink: &Sink) -> Option<Mapping> {
        let root = parse(&file.name, &file.text, sink);
        let top = Tab::top(&file.name, &root, sink);
        top.format();
        let stem = file.name.rsplit('/').next().unwrap_or("").trim_end_matches(".toml");
        let kinds = [("table", 0), ("json lines", 1), ("senml", 2), ("bthome", 3)];
        let kind = top.need("kind", top.choice("kind", &kinds));
        let encodings: Vec<(&'static str, &'static str)> = ENCODINGS.iter().map(|(n, _)| (*n, *n)).collect();
        let encoding = top.choice("encoding", &encodings).map_or("utf-8", |e| e.value);
        let decimal = top.choice("decimal", &[("point", '.'), ("comma", ',')]).map_or('.', |d| d.value);
        let delimiter = top.choice("delimiter", DELIMITERS).map_or(b',', |d| d.value);
        let header_row = top.count("header_row").map_or(1, |c| c.value);
        let first_row = top.count("first_row").map_or(header_row + 1, |c| c.value);
        let header_short = top.flag("header_short").unwrap_or(false);
        let payload = top.text("payload").map(|t| t.value);
        let device = top.text("device").map_or(String::new(), |t| t.value);
        let zone = top.text("zone").map_or(String::new(), |t| t.value);
        let missing = top.texts("missing").into_iter().map(|t| t.value).collect();
        let kind = match kind?.value {
            0 => Kind::Table { delimiter, header_row, first_row, header_short },
            1 => Kind::JsonLines,
            2 => Kind::SenMl,
            _ => Kind::BtHome { payload: top.need("payload", payload)?, device },
        };
        let time = if kind == Kind::SenMl {
            Some(Times {
                from: Vec::new(),
                form: Form::EpochS,
                clock: Clock::Fixed(0),
                start_ms: 0,
                start: String::new(),
            })
        } else {
            top.need("time", top.table("time")).and_then(|t| times(&t))
        };
        let columns: Vec<Column> = top.named("column").iter().filter_map(column).collect();
        let derived = top.named("derived").iter().filter_map(|d| derived(d, &columns)).collect();
        if columns.is_empty() {
            top.say(Diagnostic::error(code::I118).arg("file", file.name.as_str()));
            return None;
        }
        Some(Mapping {
            instrument: stem.to_owned(),
            zone,
            kind,
            encoding,
            decimal,
            missing,
            time: time?,
            columns,
            derived,
        })
    }
}

fn times(t: &Tab<'_, '_>) -> Option<Times> {
    let from: Vec<String> = t.text_or_texts("from").into_iter().map(|f| f.value).collect();
    let form = t.need("written", t.choice("written", FORMS));
    let clock = t.text("clock");
    let start = t.text("start");
    if from.is_empty() && !t.has("from") {
        return t.need("from", None);
    }
    let clock = match clock {
        None => Clock::Fixed(0),
        Some(text) => match Clock::read(&text.value) {
            Some(clock) => clock,
            None => {
                t.say(Diagnostic::error(code::I119).at(text.span).arg("found", text.value.as_str()));
                return None;
            }
        },
    };
    let form = form?.value;
    let mut start_ms = 0;
    if matches!(form, Form::Elapsed(_)) {
        let start = t.need("start", start.clone())?;
        match super::time::Reader::new(Form::Ymd, clock.clone(), 0).read(&start.value, None) {
            Ok(ms) => start_ms = ms,
            Err(_) => {
                t.say(Diagnostic::error(code::T013).at(start.span).arg("found", start.value.as_str()));
                return None;
            }
        }
    }
    Some(Times { from, form, clock, start_ms, start: start.map_or(String::new(), |s| s.value) })
}

fn column((name, t): &(Sp<String>, Tab<'_, '_>)) -> Option<Column> {
    let from = t.need("from", t.text("from"));
    let keys: Vec<(&'static str, Quantity)> =
        Quantity::all().into_iter().map(|q| (serde_name(q), q)).collect();
    let quantity = t.need("quantity", t.choice("quantity", &keys));
    let written = t.need("unit", t.text("unit"));
    let (from, quantity, written) = (from?, quantity?, written?);
    let Some(unit) = unit(&written.value, quantity.value) else {
        let [a, b] = quantity.value.likely_units();
        t.say(
            Diagnostic::error(code::I120)
                .at(written.span)
                .arg("unit", written.value.as_str())
                .arg("quantity", format!("quantity-{}", quantity_key(quantity.value)))
                .arg("likely", if a == b { a.to_owned() } else { format!("{a}, {b}") }),
        );
        return None;
    };
    if super::guess::slug(&name.value) != name.value {
        t.say(
            Diagnostic::error(code::I121)
                .at(name.span.clone())
                .arg("name", name.value.as_str())
                .arg("near", super::guess::slug(&name.value)),
        );
        return None;
    }
    Some(Column { name: name.value.clone(), from: from.value, quantity: quantity.value, unit })
}

/// The name of a quantity in JSON, for as long as the program runs.
fn serde_name(quantity: Quantity) -> &'static str {
    static NAMES: std::sync::OnceLock<Vec<(Quantity, String)>> = std::sync::OnceLock::new();
    let names = NAMES.get_or_init(|| Quantity::all().into_iter().map(|q| (q, quantity_key(q))).collect());
    names.iter().find(|(q, _)| *q == quantity).map_or("", |(_, n)| n.as_str())
}

/// The ways to correct, as a mapping names them.
const CORRECTIONS: &[(&str, u8)] = &[("particles", 0), ("pressure", 1), ("two points", 2), ("zero", 3)];

fn derived((name, t): &(Sp<String>, Tab<'_, '_>), columns: &[Column]) -> Option<Derived> {
    let find = |word: &Sp<String>| {
        let at = columns.iter().position(|c| c.name == word.value);
        if at.is_none() {
            let known: Vec<&str> = columns.iter().map(|c| c.name.as_str()).collect();
            t.say(
                Diagnostic::error(code::I122)
                    .at(word.span.clone())
                    .arg("name", word.value.as_str())
                    .arg("known", known.join(", ")),
            );
        }
        at
    };
    let from = t.need("from", t.text("from")).and_then(|w| find(&w));
    let kind = t.need("correction", t.choice("correction", CORRECTIONS));
    let rh = t.text("rh");
    let quantity = from.and_then(|i| columns.get(i)).map(|c| c.quantity);
    let (Some(from), Some(kind), Some(quantity)) = (from, kind, quantity) else {
        t.leave_alone();
        return None;
    };
    let pair = |key: &'static str| {
        let list = t.need(key, t.quantities(key, quantity))?;
        match list.value[..] {
            [a, b] => Some((a, b)),
            _ => {
                t.say(Diagnostic::error(code::I123).at(list.span).arg("key", key));
                None
            }
        }
    };
    let correction = match kind.value {
        0 => {
            let ids: Vec<(&'static str, usize)> =
                PARTICLES.iter().enumerate().map(|(i, p)| (p.id, i)).collect();
            let which = t.need("publication", t.choice("publication", &ids))?;
            Correction::Particles(PARTICLES.get(which.value)?)
        }
        1 => {
            let at = t.need("pressure", t.bounded("pressure", Quantity::Pressure, 4e4..=1.2e5));
            let calibrated = t.bounded("calibrated_at", Quantity::Pressure, 4e4..=1.2e5);
            Correction::Pressure {
                at_pa: at?.value,
                calibrated_pa: calibrated.map_or(101_325.0, |c| c.value),
            }
        }
        2 => Correction::TwoPoint { shows: pair("shows")?, truth: pair("truth")? },
        _ => Correction::Zero {
            shows: t.need("shows", t.quantity("shows", quantity))?.value,
            truth: t.need("truth", t.quantity("truth", quantity))?.value,
        },
    };
    let rh = match rh {
        Some(word) => Some(find(&word)?),
        None => None,
    };
    if matches!(correction, Correction::Particles(_)) && rh.is_none() {
        return t.need("rh", None);
    }
    Some(Derived { name: super::guess::slug(&name.value), from, rh, correction })
}
