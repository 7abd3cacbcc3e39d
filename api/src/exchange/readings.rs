//! Every reading of every visit, as it was written: value, unit, place, setup, instrument.
//!
//! Taken from the documents' own text, key by key, so that a test of any kind is in it and no digit is
//! lost on the way through SI.

use engine::diag::Span;
use engine::doc::File;
use engine::units::{self, Quantity, UNITS, Unit};
use serde::Serialize;
use std::collections::BTreeMap;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

type Value<'t> = Spanned<DeValue<'t>>;

/// One number that was read.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Taken {
    /// Folder of the visit.
    pub visit: String,
    /// Date of the visit.
    pub date: String,
    /// Time, as noted; that of the reading before where none was.
    pub time: String,
    /// Name of the test; empty for a single reading.
    pub test: String,
    /// Kind of the test as written in documents: `reading`, `envelope`, `conditions`, `combustion`, ...
    pub kind: String,
    /// Key of the number within its test, such as `stations.house`.
    pub item: String,
    /// Number within its list or table, from 1; 0 where there is one only.
    pub number: usize,
    /// What it measures.
    pub quantity: Quantity,
    /// Value in the unit.
    pub value: f64,
    /// The unit: that written, or the SI unit where UCUM has none for it.
    #[serde(skip)]
    pub unit: &'static Unit,
    /// The unit by UCUM.
    pub ucum: &'static str,
    /// What the number refers to: `air-free`, `flow at actual density`, `house minus outdoors`.
    pub basis: String,
    /// The instrument showed less than this, its lower limit.
    pub below: bool,
    /// Place that is felt.
    pub feels: String,
    /// What it is compared with.
    pub compared_with: String,
    /// Fan, register, appliance, zone it is of.
    pub of: String,
    /// The instrument's label.
    pub instrument: String,
    /// Its serial number.
    pub serial: String,
    /// State of everything that was touched on the visit until then.
    pub setup: String,
    /// Note of the reading or the test.
    pub note: String,
    /// Where it was written.
    #[serde(skip)]
    pub span: Span,
}

/// Keys whose values are no readings: descriptions, limits, what an instrument is.
fn is_no_reading(key: &str) -> bool {
    const KEYS: [&str; 11] = [
        "label",
        "name",
        "note",
        "serial",
        "calibrated",
        "accuracy",
        "resolution",
        "time",
        "date",
        "source",
        "method",
    ];
    KEYS.contains(&key) || key.starts_with("limit") || key.ends_with("_source")
}

/// What the tables around a number say of it.
#[derive(Clone, Default)]
struct Around {
    visit: String,
    date: String,
    time: String,
    test: String,
    kind: String,
    path: Vec<String>,
    number: usize,
    feels: String,
    compared_with: String,
    of: String,
    basis: String,
    reads: String,
    with: BTreeMap<String, String>,
    setup: BTreeMap<String, String>,
    note: String,
}

struct Instrument {
    label: String,
    serial: String,
    measures: String,
    shows: String,
}

struct Walk<'f> {
    file: &'f str,
    instruments: BTreeMap<String, Instrument>,
    out: Vec<Taken>,
}

/// All readings of the visits among these files, by visit and in the order written.
pub(super) fn all(files: &[File]) -> Vec<Taken> {
    let visits = files.iter().filter(|f| f.name.starts_with("visits/") && f.name.ends_with("/visit.toml"));
    let mut out: Vec<Taken> = visits.flat_map(visit).collect();
    out.sort_by(|a, b| a.date.cmp(&b.date).then_with(|| a.visit.cmp(&b.visit)));
    out
}

/// Keys and values in the order of the file.
fn in_order<'a, 't>(table: &'a DeTable<'t>) -> Vec<(&'a str, &'a Value<'t>)> {
    let mut list: Vec<(usize, &str, &Value<'t>)> =
        table.iter().map(|(k, v)| (k.span().start, k.get_ref().as_ref(), v)).collect();
    list.sort_by_key(|entry| entry.0);
    list.into_iter().map(|(_, k, v)| (k, v)).collect()
}

fn text(table: &DeTable<'_>, key: &str) -> Option<String> {
    table.get(key)?.get_ref().as_str().map(str::to_owned)
}

fn visit(file: &File) -> Vec<Taken> {
    let (root, _) = DeTable::parse_recoverable(&file.text);
    let root = root.into_inner();
    let mut instruments = BTreeMap::new();
    if let Some(table) = root.get("instrument").and_then(|t| t.get_ref().as_table()) {
        for (name, value) in in_order(table) {
            let Some(t) = value.get_ref().as_table() else { continue };
            let word = |key| text(t, key).unwrap_or_default();
            instruments.insert(
                name.to_owned(),
                Instrument {
                    label: text(t, "label").unwrap_or_else(|| name.replace('_', " ")),
                    serial: word("serial"),
                    measures: word("measures"),
                    shows: word("shows"),
                },
            );
        }
    }
    let mut walk = Walk { file: &file.name, instruments, out: Vec::new() };
    let mut around = Around {
        visit: file.name.rsplit_once('/').map_or("", |(folder, _)| folder).to_owned(),
        date: text(&root, "date").unwrap_or_default(),
        ..Around::default()
    };
    if let Some(start) = root.get("start").and_then(|t| t.get_ref().as_table()) {
        touch(&mut around.setup, start);
    }
    for (key, value) in in_order(&root) {
        match (key, value.get_ref()) {
            ("test", DeValue::Table(tests)) => {
                for (name, test) in in_order(tests) {
                    let Some(table) = test.get_ref().as_table() else { continue };
                    let kind = text(table, "kind").unwrap_or_else(|| "envelope".to_owned());
                    let around = Around { test: name.to_owned(), kind, ..around.clone() };
                    walk.table(table, &around);
                }
            }
            ("conditions" | "combustion", DeValue::Table(table)) => {
                walk.table(table, &Around { kind: key.to_owned(), ..around.clone() });
            }
            ("reading", DeValue::Array(list)) => {
                for reading in list.iter() {
                    let Some(table) = reading.get_ref().as_table() else { continue };
                    // The state of the house is inherited from reading to reading.
                    if let Some(set) = table.get("set").and_then(|t| t.get_ref().as_table()) {
                        touch(&mut around.setup, set);
                    }
                    if let Some(time) = text(table, "time") {
                        around.time = time;
                    }
                    walk.table(table, &Around { kind: "reading".to_owned(), ..around.clone() });
                }
            }
            _ => {}
        }
    }
    walk.out
}

fn touch(setup: &mut BTreeMap<String, String>, set: &DeTable<'_>) {
    for (name, value) in in_order(set) {
        if let Some(word) = value.get_ref().as_str() {
            setup.insert(name.to_owned(), word.to_owned());
        }
    }
}

/// The unit of this spelling, of the kind that is expected if there is one, else of the first that has it.
pub(super) fn unit_of(spelling: &str, expected: Option<Quantity>) -> Option<&'static Unit> {
    let of_kind = expected.and_then(|q| units::unit(spelling, q));
    // The trade's own spellings of money are no readings.
    let kinds =
        || Quantity::all().into_iter().filter(|q| !matches!(q, Quantity::Money | Quantity::EnergyPrice));
    of_kind.or_else(|| kinds().find_map(|q| units::unit(spelling, q)))
}

/// A number with its unit, such as `-50.1 Pa`; nothing for other words.
fn quantity(text: &str, expected: Option<Quantity>) -> Option<(f64, &'static Unit)> {
    let at = text.find(' ').or_else(|| text.find(|c: char| !(c.is_ascii_digit() || "+-.,".contains(c))))?;
    let (digits, spelling) = text.split_at(at);
    let value = units::number(digits).ok()?;
    let spelling = spelling.trim();
    if spelling.is_empty() {
        return None;
    }
    Some((value, unit_of(spelling, expected)?))
}

fn bare(value: &DeValue<'_>) -> Option<f64> {
    match value {
        DeValue::Integer(i) => i.as_str().replace('_', "").parse().ok(),
        DeValue::Float(f) => f.as_str().replace('_', "").parse().ok(),
        _ => None,
    }
    .filter(|v: &f64| v.is_finite())
}

impl Walk<'_> {
    fn table(&mut self, table: &DeTable<'_>, around: &Around) {
        let mut here = around.clone();
        for (key, value) in in_order(table) {
            let word = value.get_ref().as_str().map(str::to_owned);
            match (key, word) {
                ("time", Some(w)) => here.time = w,
                ("feels", Some(w)) => here.feels = w,
                ("compared_with", Some(w)) => here.compared_with = w,
                ("flow_of" | "appliance" | "zone" | "register" | "place", Some(w)) => here.of = w,
                ("basis", Some(w)) => here.basis = w,
                ("reads", Some(w)) => here.reads = w,
                ("note", Some(w)) => here.note = w,
                (key, Some(w)) if key == "with" || key.ends_with("_with") => {
                    here.with.insert(key.to_owned(), w);
                }
                ("set", None) => {
                    if let Some(set) = value.get_ref().as_table() {
                        touch(&mut here.setup, set);
                    }
                }
                (key, None) if key.ends_with("_with") => {
                    let list =
                        value.get_ref().as_array().map(|a| a.iter().filter_map(|v| v.get_ref().as_str()));
                    let list: Vec<&str> = list.into_iter().flatten().collect();
                    here.with.insert(key.to_owned(), list.join("+"));
                }
                _ => {}
            }
        }
        for (key, value) in in_order(table) {
            if is_no_reading(key) || key == "set" || key == "prepared" {
                continue;
            }
            let mut inner = here.clone();
            inner.path.push(key.to_owned());
            self.value(value, &inner);
        }
    }

    fn value(&mut self, value: &Value<'_>, around: &Around) {
        match value.get_ref() {
            DeValue::String(s) => {
                if let Some((number, unit)) = quantity(s.trim(), self.expected(around)) {
                    self.push(number, unit, value.span(), around);
                }
            }
            DeValue::Array(list) => {
                let items: Vec<&Value<'_>> = list.iter().collect();
                let head = items.first().and_then(|v| v.get_ref().as_str());
                let common = head.and_then(|s| unit_of(s.trim(), self.expected(around)));
                let skip = usize::from(common.is_some());
                for (at, item) in items.into_iter().enumerate().skip(skip) {
                    let inner = Around { number: at + 1 - skip, ..around.clone() };
                    match (item.get_ref(), common, bare(item.get_ref())) {
                        (DeValue::Table(t), ..) => self.table(t, &inner),
                        (_, Some(unit), Some(number)) => self.push(number, unit, item.span(), &inner),
                        (DeValue::String(_), ..) => self.value(item, &inner),
                        (_, None, Some(number)) => self.plain(number, item.span(), &inner),
                        _ => {}
                    }
                }
            }
            DeValue::Table(table) => match (table.get("columns"), table.get("rows")) {
                (Some(columns), Some(rows)) => self.grid(columns, rows, around),
                _ => {
                    // A table under a name of the user's own, such as a register, is of that name.
                    self.table(table, around);
                }
            },
            other => {
                if let Some(number) = bare(other) {
                    self.plain(number, value.span(), around);
                }
            }
        }
    }

    fn plain(&mut self, number: f64, span: std::ops::Range<usize>, around: &Around) {
        if let Some(unit) = units::unit("1", Quantity::Number) {
            self.push(number, unit, span, around);
        }
    }

    fn grid(&mut self, columns: &Value<'_>, rows: &Value<'_>, around: &Around) {
        let (Some(columns), Some(rows)) = (columns.get_ref().as_array(), rows.get_ref().as_array()) else {
            return;
        };
        let headers: Vec<(&str, Option<&'static Unit>)> = columns
            .iter()
            .map(|c| {
                let text = c.get_ref().as_str().unwrap_or("").trim();
                let (name, spelling) = text.split_once(' ').unwrap_or((text, "1"));
                (name, unit_of(spelling.trim(), None))
            })
            .collect();
        for (row, cells) in rows.iter().enumerate() {
            let Some(cells) = cells.get_ref().as_array() else { continue };
            for ((name, unit), cell) in headers.iter().zip(cells.iter()) {
                if let (Some(number), Some(unit)) = (bare(cell.get_ref()), unit) {
                    let mut inner = Around { number: row + 1, ..around.clone() };
                    inner.path.push((*name).to_owned());
                    self.push(number, unit, cell.span(), &inner);
                }
            }
        }
    }

    /// The quantity that the one instrument named beside a number measures.
    fn expected(&self, around: &Around) -> Option<Quantity> {
        let name = around.with.get("with")?;
        match self.instruments.get(name)?.measures.as_str() {
            "pressure" => Some(Quantity::Pressure),
            "air flow" => Some(Quantity::AirFlow),
            "air speed" => Some(Quantity::Speed),
            "temperature" => Some(Quantity::Temperature),
            "gas" => Some(Quantity::GasFraction),
            "particles" => Some(Quantity::ParticleConcentration),
            _ => None,
        }
    }

    /// The instrument of a number: the one named for its quantity, or the one that is named at all.
    fn instrument(&self, around: &Around, quantity: Quantity) -> (String, String, &str) {
        let keys: &[&str] = match quantity {
            Quantity::Pressure | Quantity::StaticPressure => &["pressure_with", "with"],
            Quantity::AirFlow => &["flow_with", "with"],
            Quantity::GasFraction => &["flue_with", "gas_with", "with"],
            Quantity::Temperature => &["temperature_with", "with"],
            Quantity::Power => &["power_with", "with"],
            Quantity::Fraction => &["humidity_with", "moisture_with", "with"],
            _ => &["with"],
        };
        let named = keys.iter().find_map(|k| around.with.get(*k));
        let all: Vec<&Instrument> =
            named.iter().flat_map(|n| n.split('+')).filter_map(|n| self.instruments.get(n)).collect();
        let joined = |part: fn(&Instrument) -> &str| {
            all.iter().map(|i| part(i)).filter(|s| !s.is_empty()).collect::<Vec<_>>().join(" + ")
        };
        (joined(|i| &i.label), joined(|i| &i.serial), all.first().map_or("", |i| i.shows.as_str()))
    }

    fn push(&mut self, number: f64, unit: &'static Unit, span: std::ops::Range<usize>, around: &Around) {
        // A unit that UCUM has no code for goes out as its SI unit.
        let si = || UNITS.iter().find(|u| u.quantity == unit.quantity);
        let (value, unit) = match (unit.ucum, si()) {
            ("", Some(si)) if !si.ucum.is_empty() => (unit.to_si(number), si),
            ("", _) => return,
            _ => (number, unit),
        };
        let (instrument, serial, shows) = self.instrument(around, unit.quantity);
        let key = around.path.last().map_or("", String::as_str);
        let basis = match unit.quantity {
            Quantity::AirFlow if !shows.is_empty() => shows.to_owned(),
            Quantity::Pressure if key == "house" || key.starts_with("baseline") => around.reads.clone(),
            Quantity::GasFraction => around.basis.clone(),
            _ => String::new(),
        };
        // Named tables on the way say what a number is of.
        let of = if around.of.is_empty() && around.path.len() > 2 {
            around.path.get(1).cloned().unwrap_or_default()
        } else {
            around.of.clone()
        };
        let setup: Vec<String> = around.setup.iter().map(|(k, v)| format!("{k} = {v}")).collect();
        self.out.push(Taken {
            visit: around.visit.clone(),
            date: around.date.clone(),
            time: around.time.clone(),
            test: around.test.clone(),
            kind: around.kind.clone(),
            item: around.path.join("."),
            number: around.number,
            quantity: unit.quantity,
            value,
            unit,
            ucum: unit.ucum,
            basis,
            below: key == "below",
            feels: around.feels.clone(),
            compared_with: around.compared_with.clone(),
            of,
            instrument,
            serial,
            setup: setup.join("; "),
            note: around.note.clone(),
            span: Span::new(self.file, span),
        });
    }
}
