//! A part of a document as a form: what its reader asks for ([`engine::doc::form`]) beside what is
//! written, with places, doubts and what a field may be filled with.

use engine::diag::Diagnostics;
use engine::doc::form::{Field, Step, Want};
use engine::units::{Quantity, System, UNITS, parse};
use report::words::{Show, Usage, Words};
use serde_json::{Value, json};
use toml_edit::{ArrayOfTables, Document, Item, TableLike, Value as Toml};

/// A pressure that cannot be less than this is that of the air outside, Pa.
const LEAST_OF_THE_AIR_PA: f64 = 1e4;

/// What is in the house and in the documents that a text may name.
#[derive(Debug, Default)]
pub(super) struct Names {
    /// Zones: name and label.
    pub zones: Vec<(String, String)>,
    /// Appliances.
    pub appliances: Vec<(String, String)>,
    /// Fans and registers.
    pub fans: Vec<(String, String)>,
    /// Instruments of the visit: name, label, what they measure.
    pub instruments: Vec<(String, String, Quantity)>,
    /// Tests of the visit.
    pub tests: Vec<(String, String)>,
    /// What single fields may name: the table they stand in, their key, and names with labels.
    pub told: Vec<Told>,
}

/// The table a field stands in, its key, and names with labels that it may be filled with.
pub(super) type Told = (Vec<Step>, &'static str, Vec<(String, String)>);

/// A document, its form and what is said of it.
pub(super) struct Sheet<'a> {
    /// Its name within the job.
    pub path: &'a str,
    /// Its text.
    pub text: &'a str,
    doc: Option<Document<&'a str>>,
    fields: Vec<Field>,
    found: &'a Diagnostics,
    names: &'a Names,
    words: &'a Words,
    silent: &'static [&'static str],
}

#[derive(Clone, Copy)]
enum Node<'d> {
    Table(&'d dyn TableLike),
    Tables(&'d ArrayOfTables),
    Value(&'d Toml),
}

fn node(item: &Item) -> Option<Node<'_>> {
    match item {
        Item::ArrayOfTables(list) => Some(Node::Tables(list)),
        Item::Value(Toml::InlineTable(t)) => Some(Node::Table(t)),
        Item::Value(v) => Some(Node::Value(v)),
        Item::Table(t) => Some(Node::Table(t)),
        Item::None => None,
    }
}

fn child<'d>(here: Node<'d>, step: &Step) -> Option<Node<'d>> {
    match (here, step) {
        (Node::Table(t), Step::Name(name)) => node(t.get(name)?),
        (Node::Tables(list), Step::Entry(n)) => list.get(*n).map(|t| Node::Table(t)),
        (Node::Value(v), Step::Entry(n)) => v.as_array()?.get(*n)?.as_inline_table().map(|t| Node::Table(t)),
        _ => None,
    }
}

/// What is said to be wrong of keys that are not there: the field itself shows that it is needed.
const MISSING: &str = "T003";

impl<'a> Sheet<'a> {
    pub(super) fn new(
        (path, text): (&'a str, &'a str),
        fields: Vec<Field>,
        found: &'a Diagnostics,
        names: &'a Names,
        words: &'a Words,
    ) -> Sheet<'a> {
        Sheet { path, text, doc: Document::parse(text).ok(), fields, found, names, words, silent: SILENT }
    }

    /// Every key is a field, also those that a visit's page asks for in its own way.
    pub(super) fn with_all(self) -> Sheet<'a> {
        Sheet { silent: &["format"], ..self }
    }

    fn at(&self, at: &[Step]) -> Option<Node<'_>> {
        let top = Node::Table(self.doc.as_ref()?.as_table());
        at.iter().try_fold(top, |here, step| child(here, step))
    }

    /// Whether something is written under a place.
    pub(super) fn is_written(&self, at: &[Step]) -> bool {
        self.at(at).is_some()
    }

    /// The text of a value.
    pub(super) fn text_at(&self, at: &[Step]) -> Option<String> {
        match self.at(at)? {
            Node::Value(v) => Some(plain(v)),
            _ => None,
        }
    }

    /// Names and texts of a table of pairs.
    pub(super) fn pairs_at(&self, at: &[Step]) -> Vec<(String, String)> {
        match self.at(at) {
            Some(Node::Table(t)) => t
                .iter()
                .filter_map(|(name, item)| Some((name.to_owned(), item.as_str()?.to_owned())))
                .collect(),
            _ => Vec::new(),
        }
    }

    /// Number of entries of a list that is there.
    pub(super) fn entries_at(&self, at: &[Step]) -> usize {
        match self.at(at) {
            Some(Node::Tables(list)) => list.len(),
            Some(Node::Value(v)) => v.as_array().map_or(0, toml_edit::Array::len),
            Some(Node::Table(t)) => t.len(),
            None => 0,
        }
    }

    fn line(&self, offset: usize) -> usize {
        self.text.bytes().take(offset).filter(|b| *b == b'\n').count() + 1
    }

    /// The form of what stands under `at`; `main` are the keys that are shown first.
    pub(super) fn group(&self, at: &[Step], main: &[&str]) -> Value {
        let here = self.at(at);
        let mut fields = Vec::new();
        let (mut groups, mut lists, mut paper) = (Vec::new(), Vec::new(), Vec::new());
        for field in self.fields.iter().filter(|f| f.at == at && !self.silent.contains(&f.key)) {
            let below = [at, &[Step::Name(field.key.to_owned())]].concat();
            let label = self.label(at, field.key);
            let first = main.contains(&field.key) || field.needed;
            let there = here.and_then(|h| child(h, &Step::Name(field.key.to_owned())));
            match &field.want {
                Want::Table => {
                    let mut group = self.group(&below, main);
                    if let Value::Object(group) = &mut group {
                        group.extend([
                            ("name".to_owned(), field.key.into()),
                            ("label".to_owned(), label.into()),
                            ("present".to_owned(), there.is_some().into()),
                            ("main".to_owned(), first.into()),
                        ]);
                    }
                    groups.push(group);
                }
                Want::Named | Want::List => {
                    if let Some(Node::Value(v)) = there {
                        paper.push(json!({ "label": label, "line": v.span().map(|s| self.line(s.start)) }));
                        continue;
                    }
                    let mut list = self.list(&below, there, field, main);
                    list["label"] = label.into();
                    list["main"] = first.into();
                    lists.push(list);
                }
                _ => fields.push(self.field(&below, there, field, label, first)),
            }
        }
        // What the form does not know stands in the paper.
        if let Some(Node::Table(t)) = here {
            let known = |key: &str| self.fields.iter().any(|f| f.at == at && f.key == key);
            for (key, item) in t.iter().filter(|(key, _)| !known(key)) {
                let start = item.span().or_else(|| t.key(key)?.span()).map(|s| s.start);
                paper.push(json!({ "label": key, "line": start.map(|s| self.line(s)) }));
            }
        }
        json!({ "path": self.path, "key": at, "fields": fields, "groups": groups, "lists": lists, "paper": paper })
    }

    fn list(&self, at: &[Step], there: Option<Node<'_>>, field: &Field, main: &[&str]) -> Value {
        let named = field.want == Want::Named;
        let steps: Vec<Step> = match there {
            Some(Node::Tables(list)) => (0..list.len()).map(Step::Entry).collect(),
            Some(Node::Table(t)) => t.iter().map(|(name, _)| Step::Name(name.to_owned())).collect(),
            _ => Vec::new(),
        };
        let entries = steps.iter().map(|step| {
            let mut group = self.group(&[at, std::slice::from_ref(step)].concat(), main);
            if let Step::Name(name) = step {
                group["name"] = name.as_str().into();
            }
            group
        });
        json!({
            "path": self.path,
            "key": at,
            "name": field.key,
            "named": named,
            "entries": entries.collect::<Vec<_>>(),
        })
    }

    fn field(&self, at: &[Step], there: Option<Node<'_>>, field: &Field, label: String, main: bool) -> Value {
        let value = match there {
            Some(Node::Value(v)) => Some(v),
            _ => None,
        };
        let text = value.map(plain).unwrap_or_default();
        let mut out = json!({
            "key": at,
            "name": field.key,
            "label": label,
            "needed": field.needed,
            "main": main || there.is_some(),
            "text": text,
            "said": value.and_then(Toml::span).map(|s| self.said(s.start, s.end)).unwrap_or_default(),
        });
        if let Some(help) = self.words.find(&format!("form-help-{}", hyphens(field.key)), &[]) {
            out["help"] = help.into();
        }
        let extra = match &field.want {
            Want::Flag => json!({ "want": "flag" }),
            Want::Count => json!({ "want": "number" }),
            Want::Number => json!({ "want": "number", "signed": true }),
            Want::Choice(words) => json!({ "want": "choice", "choices": self.choices(field.key, words) }),
            Want::Quantity(Quantity::Number, _) => json!({ "want": "number", "signed": true }),
            Want::Quantity(quantity, bounds) => self.quantity(&text, *quantity, *bounds),
            Want::Range(quantity) => {
                json!({ "want": "text", "shape": "range", "units": units(*quantity, self.words) })
            }
            Want::Accuracy(quantity) => {
                json!({ "want": "text", "shape": "accuracy", "units": units(*quantity, self.words) })
            }
            Want::Texts => {
                json!({ "want": "texts", "values": texts(value), "options": self.options(&field.at, field.key) })
            }
            Want::Quantities(quantity) => self.quantities(value, *quantity),
            Want::Pairs => json!({ "want": "pairs", "entries": self.pairs_at(at) }),
            Want::Grid { known, numbered, texts } => self.grid(at, field.key, known, numbered, texts),
            Want::Text | Want::Table | Want::Named | Want::List => {
                json!({ "want": "text", "options": self.options(&field.at, field.key) })
            }
        };
        if let (Value::Object(out), Value::Object(extra)) = (&mut out, extra) {
            out.extend(extra);
        }
        out
    }

    fn quantity(&self, text: &str, quantity: Quantity, bounds: Option<(f64, f64)>) -> Value {
        let (number, unit) = split(text);
        let of_the_air = quantity == Quantity::Pressure && bounds.is_some_and(|b| b.0 >= LEAST_OF_THE_AIR_PA);
        let show = if of_the_air { Show::usage(Usage::Barometer) } else { Show::default() };
        let mut units = units(quantity, self.words);
        let usual = self.words.unit_for(quantity, show).symbol;
        if of_the_air {
            units.retain(|u| u != usual);
            units.insert(0, usual.to_owned());
        }
        let shown = parse(text, quantity).ok().map(|w| match quantity {
            // Nobody reads hundredths of a degree; a whole degree of the other scale has them.
            Quantity::Temperature | Quantity::TemperatureDifference => self.words.written(w.si, quantity),
            _ => self.words.quantity_as(w.si, quantity, show),
        });
        let signed = bounds.is_none_or(|b| b.0 < 0.0) || quantity == Quantity::Temperature;
        json!({
            "want": "quantity",
            "number": number,
            "unit": if unit.is_empty() { units.first().cloned().unwrap_or_default() } else { unit },
            "units": units,
            "signed": signed,
            "shown": shown,
        })
    }

    fn quantities(&self, value: Option<&Toml>, quantity: Quantity) -> Value {
        let units = units(quantity, self.words);
        let list: Vec<String> =
            value.and_then(Toml::as_array).map(|a| a.iter().map(plain).collect()).unwrap_or_default();
        let headed = list.first().is_some_and(|t| engine::units::unit(t, quantity).is_some());
        let (unit, values) = match list.split_first() {
            Some((unit, rest)) if headed => (unit.clone(), rest.to_vec()),
            _ => (units.first().cloned().unwrap_or_default(), list),
        };
        json!({ "want": "quantities", "unit": unit, "units": units, "values": values, "signed": true })
    }

    fn grid(
        &self,
        at: &[Step],
        key: &str,
        known: &[(&'static str, Quantity)],
        numbered: &[(&'static str, Quantity)],
        names: &[&'static str],
    ) -> Value {
        let all: Vec<(&str, Quantity)> = known.iter().chain(numbered).copied().collect();
        let column = |header: &str| {
            let (name, unit) = header.split_once(' ').unwrap_or((header, ""));
            let stem = name
                .rsplit_once('-')
                .map_or(name, |(stem, n)| if n.parse::<u16>().is_ok() { stem } else { name });
            let quantity = all.iter().find(|(n, _)| *n == stem).map(|(_, q)| *q);
            json!({
                "header": header,
                "name": name,
                "label": self.column(name),
                "unit": unit.trim(),
                "units": quantity.map(|q| units(q, self.words)).unwrap_or_default(),
                "turn": quantity.and_then(|q| self.turn(q, unit.trim())),
                "text": names.contains(&stem),
            })
        };
        let (mut headers, mut rows): (Vec<String>, Vec<Vec<String>>) = (Vec::new(), Vec::new());
        let within = |name: &str| [at, &[Step::Name(name.to_owned())]].concat();
        if let Some(Node::Value(v)) = self.at(&within("columns")) {
            headers = texts(Some(v));
        }
        if let Some(Node::Value(v)) = self.at(&within("rows")) {
            let cells =
                |row: &Toml| row.as_array().map(|a| a.iter().map(plain).collect()).unwrap_or_default();
            rows = v.as_array().map(|a| a.iter().map(cells).collect()).unwrap_or_default();
        }
        let present = self.is_written(at);
        let header = |(name, quantity): (&str, Quantity)| match units(quantity, self.words).first() {
            Some(unit) if quantity != Quantity::Number => format!("{name} {unit}"),
            _ => name.to_owned(),
        };
        if headers.is_empty() {
            let usual = usual_columns(key);
            let first = all.iter().filter(|(n, _)| usual.is_empty() || usual.contains(n));
            headers = first.map(|c| header(*c)).collect();
        }
        let stem_there = |n: &str| headers.iter().any(|h| h.split(' ').next() == Some(n));
        let more: Vec<Value> =
            all.iter().filter(|(n, _)| !stem_there(n)).map(|c| column(&header(*c))).collect();
        json!({
            "want": "grid",
            "present": present,
            "columns": headers.iter().map(|h| column(h)).collect::<Vec<_>>(),
            "rows": rows,
            "more": more,
        })
    }

    /// What takes a number as it is typed on the pad, in the device's unit, to one of a column in another unit.
    fn turn(&self, quantity: Quantity, unit: &str) -> Option<f64> {
        let of = engine::units::unit(unit, quantity)?;
        let typed = match quantity {
            Quantity::AirFlow => self.words.unit_for(quantity, Show::usage(Usage::TestFlow)),
            _ => self.words.unit_of(quantity),
        };
        (of.offset == 0.0 && typed.offset == 0.0).then(|| typed.factor / of.factor)
    }

    /// What is said of a stretch of the text.
    fn said(&self, start: usize, end: usize) -> Vec<Value> {
        let here = |s: &engine::diag::Span| s.file == self.path && s.start >= start && s.end <= end;
        let found =
            self.found.list.iter().filter(|d| d.code.0 != MISSING && d.spans.first().is_some_and(here));
        found
            .map(|d| {
                let message = self.words.diagnostic(d);
                let told = |text: &str| super::gloss::glossed(text, self.words);
                json!({
                    "severity": d.severity, "text": told(&message.text),
                    "help": message.help.as_deref().map(told),
                })
            })
            .collect()
    }

    fn choices(&self, key: &str, list: &[&'static str]) -> Vec<Value> {
        let measured = |w: &str| {
            self.words.find(&format!("form-measure-{}", slug(w)), &[]).filter(|_| key == "quantity")
        };
        let label = |w: &str| measured(w).unwrap_or_else(|| word(w, self.words));
        list.iter().map(|w| json!({ "value": w, "label": label(w) })).collect()
    }

    /// What a key is called: in its table, or anywhere; the key itself where the catalogue has none.
    fn label(&self, at: &[Step], key: &str) -> String {
        // A name that the user chose says nothing of a key.
        let chosen = |i: usize| {
            i == 1 && at.first().is_some_and(|s| NAMED.iter().any(|n| *s == Step::Name((*n).to_owned())))
        };
        let inner = at.iter().enumerate().rev().find_map(|(i, s)| match s {
            Step::Name(name) if !chosen(i) => Some(name.as_str()),
            _ => None,
        });
        let inner = if at.is_empty() { Some("top") } else { inner };
        let within =
            inner.and_then(|t| self.words.find(&format!("form-{}-{}", hyphens(t), hyphens(key)), &[]));
        within
            .or_else(|| self.words.find(&format!("form-{}", hyphens(key)), &[]))
            .unwrap_or_else(|| key.replace('_', " "))
    }

    fn column(&self, name: &str) -> String {
        let (stem, number) = match name.rsplit_once('-') {
            Some((stem, n)) if n.parse::<u16>().is_ok() => (stem, format!(" {n}")),
            _ => (name, String::new()),
        };
        let said = self.words.find(&format!("form-column-{stem}"), &[]);
        said.unwrap_or_else(|| stem.replace('-', " ")) + &number
    }

    /// Names that a text may be.
    fn options(&self, at: &[Step], key: &str) -> Vec<Value> {
        let n = self.names;
        if let Some((_, _, told)) = n.told.iter().find(|(a, k, _)| a == at && *k == key) {
            return told.iter().map(|(value, label)| json!({ "value": value, "label": label })).collect();
        }
        if key == "standard" {
            let all = engine::procedure::envelope::PROFILES.iter();
            return all.map(|p| json!({ "value": p.id, "label": p.standard })).collect();
        }
        if key == "with" || (key.ends_with("_with") && key != "compared_with") {
            let fits = |q: Quantity| measured(key).is_none_or(|wanted| wanted == q);
            // A door fan reads no gas: where nothing fits, an instrument has to be named first.
            let shown = n.instruments.iter().filter(|i| fits(i.2));
            return shown.map(|(value, label, _)| json!({ "value": value, "label": label })).collect();
        }
        let pairs: Vec<&(String, String)> = match key {
            "feels" | "compared_with" | "zone" | "room" | "source" => n.zones.iter().collect(),
            "appliance" => n.appliances.iter().collect(),
            "of" | "flow_of" | "supply_of" | "exhaust_of" | "exhausts" | "on" | "supplies" => {
                n.fans.iter().collect()
            }
            "envelope" | "first" | "second" | "open" | "sealed" | "guarded" | "unguarded" => {
                n.tests.iter().collect()
            }
            k if k.ends_with("_from") && k != "heat_from" => n.tests.iter().collect(),
            _ => Vec::new(),
        };
        pairs.into_iter().map(|(value, label)| json!({ "value": value, "label": label })).collect()
    }
}

/// What an instrument that a key names measures, where the key tells.
fn measured(key: &str) -> Option<Quantity> {
    match key {
        "pressure_with" => Some(Quantity::Pressure),
        "flow_with" | "supply_with" | "exhaust_with" | "good_with" => Some(Quantity::AirFlow),
        "gas_with" | "background_with" | "flue_with" => Some(Quantity::GasFraction),
        "temperature_with" => Some(Quantity::Temperature),
        "humidity_with" => Some(Quantity::Fraction),
        "power_with" | "heat_with" => Some(Quantity::Power),
        _ => None,
    }
}

/// Tables of tables with names of the user's own.
const NAMED: &[&str] = &["test", "instrument", "price", "plan", "search", "event"];

/// Keys that the page asks for in its own way.
pub(super) const SILENT: &[&str] = &["format", "kind", "set", "photo"];

/// Columns that a new table begins with, where it can have more.
fn usual_columns(key: &str) -> &'static [&'static str] {
    match key {
        "stations" => &["house", "fan"],
        "readings" => &["duct", "fan"],
        _ => &[],
    }
}

/// A word of the documents as people read it.
pub(crate) fn word(of: &str, words: &Words) -> String {
    let key = word_key(of).unwrap_or_else(|| format!("form-name-{}", slug(of)));
    words.find(&key, &[]).unwrap_or_else(|| of.replace('_', " "))
}

/// What a key or a word of the documents means, where the catalogue of the language says it.
pub(super) fn meaning(of: &str, words: &Words) -> Option<String> {
    let last = of.rsplit('.').next().unwrap_or(of);
    let keys = [Some(format!("form-{}", hyphens(last))), word_key(last)];
    keys.into_iter().flatten().find_map(|key| words.find(&key, &[]))
}

fn slug(of: &str) -> String {
    of.chars().map(|c| if c.is_ascii_alphanumeric() { c.to_ascii_lowercase() } else { '-' }).collect()
}

/// The key of a word; nothing for names of rules and standards, which are the same everywhere.
pub(super) fn word_key(of: &str) -> Option<String> {
    let named = of.chars().any(|c| c.is_ascii_digit() || c.is_ascii_uppercase());
    let plain = |c: char| if c.is_ascii_alphanumeric() { c } else { '-' };
    (!named).then(|| format!("form-word-{}", of.chars().map(plain).collect::<String>()))
}

fn hyphens(key: &str) -> String {
    key.replace('_', "-")
}

/// A value without its quotes.
fn plain(value: &Toml) -> String {
    match value.as_str() {
        Some(text) => text.to_owned(),
        None => value.clone().decorated("", "").to_string(),
    }
}

fn texts(value: Option<&Toml>) -> Vec<String> {
    match value {
        Some(Toml::Array(list)) => list.iter().map(plain).collect(),
        Some(one) => vec![plain(one)],
        None => Vec::new(),
    }
}

/// Units that a quantity is written in, those of the job first.
fn units(quantity: Quantity, words: &Words) -> Vec<String> {
    let (mine, other) = match words.system() {
        System::Ip => (System::Ip, System::Si),
        System::Si => (System::Si, System::Ip),
    };
    let mut out: Vec<String> = Vec::new();
    let display = [mine, other].map(|s| quantity.display_unit(s).symbol);
    for symbol in display.into_iter().chain(UNITS.iter().filter(|u| u.quantity == quantity).map(|u| u.symbol))
    {
        if !symbol.is_empty() && !out.iter().any(|s| s == symbol) {
            out.push(symbol.to_owned());
        }
    }
    out
}

/// The number at the start of a text, and the unit behind it.
fn split(text: &str) -> (String, String) {
    let is_number = |c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '+' | '-' | '\u{2212}');
    let trimmed = text.trim();
    let end = trimmed.find(|c: char| !is_number(c)).unwrap_or(trimmed.len());
    let (number, unit) = trimmed.split_at_checked(end).unwrap_or((trimmed, ""));
    (number.replace('\u{2212}', "-"), unit.trim().to_owned())
}

/// A form's place as the operations of an edit take it.
pub(super) fn key(steps: &[&str]) -> Vec<Step> {
    steps.iter().map(|s| Step::Name((*s).to_owned())).collect()
}
