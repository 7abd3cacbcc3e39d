//! From the text of a TOML file to typed values with their places.
//!
//! [`Tab`] wraps one table. Each accessor names the key, the quantity and what is allowed, and
//! puts a diagnostic into the sink where the text disagrees. A key that no accessor asked for is
//! reported when the `Tab` goes out of scope, with the nearest key that would have been
//! understood: an unknown key is never silently dropped.

mod grid;

pub use grid::Grid;

use super::form::{Form, Step, Want};
use super::{Sink, Sp};
use crate::diag::{Diagnostic, Span, code};
use crate::text::closest;
use crate::units::{self, Quantity, UnitError, Written};
use std::cell::RefCell;
use std::collections::BTreeSet;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue};

type Value<'t> = Spanned<DeValue<'t>>;

/// Parses the text; syntax errors go to the sink, the readable rest is returned.
pub fn parse<'t>(file: &str, text: &'t str, sink: &Sink) -> DeTable<'t> {
    let (root, errors) = DeTable::parse_recoverable(text);
    for error in errors {
        let range = error.span().unwrap_or(0..0);
        sink.borrow_mut().push(
            Diagnostic::error(code::T001)
                .at(Span::new(file, widen(text, range)))
                .arg("kind", syntax_kind(error.message()))
                .arg("detail", error.message()),
        );
    }
    root.into_inner()
}

/// What kind of mistake a parser's message tells of, for words of our own; empty where it is a rare one.
pub fn syntax_kind(message: &str) -> &'static str {
    const KINDS: [(&str, &str); 10] = [
        ("duplicate key", "twice"),
        ("invalid basic string", "unclosed-text"),
        ("invalid literal string", "unclosed-text"),
        ("unclosed", "unclosed-bracket"),
        ("string values must be quoted", "unquoted"),
        ("key with no value", "no-value"),
        ("missing value", "no-value"),
        ("missing table open", "stray-bracket"),
        ("missing comma", "no-comma"),
        ("missing opening quote", "unquoted"),
    ];
    KINDS.iter().find(|(part, _)| message.contains(part)).map_or("", |(_, kind)| kind)
}

/// An empty range underlines nothing; take at least one character where there is one.
fn widen(text: &str, range: Range<usize>) -> Range<usize> {
    if range.start < range.end {
        return range;
    }
    let start = range.start.min(text.len().saturating_sub(1));
    start..(start + 1).min(text.len().max(start))
}

/// One table of a document.
#[derive(Debug)]
pub struct Tab<'a, 't> {
    file: &'a str,
    /// How the table is called in the file, such as `leak.walls`; empty at the top.
    path: String,
    table: &'a DeTable<'t>,
    span: Range<usize>,
    asked: RefCell<BTreeSet<&'static str>>,
    /// Set where the keys are names that the user chose.
    open: RefCell<bool>,
    sink: &'a Sink,
    /// Where the keys asked for are noted, and where this table stands.
    form: Option<(&'a Form, Vec<Step>)>,
}

impl Drop for Tab<'_, '_> {
    fn drop(&mut self) {
        if *self.open.borrow() {
            return;
        }
        let asked = self.asked.borrow();
        for key in self.table.keys() {
            let name: &str = key.get_ref();
            if !asked.contains(name) {
                self.say(
                    Diagnostic::error(code::T002)
                        .at(Span::new(self.file, key.span()))
                        .arg("key", name)
                        .arg("table", self.path.as_str())
                        .arg("near", closest(name, asked.iter().copied()).unwrap_or("")),
                );
            }
        }
    }
}

impl<'a, 't> Tab<'a, 't> {
    /// The top of a document.
    pub fn top(file: &'a str, table: &'a DeTable<'t>, sink: &'a Sink) -> Tab<'a, 't> {
        Tab {
            file,
            path: String::new(),
            table,
            span: 0..0,
            asked: RefCell::default(),
            open: RefCell::new(false),
            sink,
            form: None,
        }
    }

    /// The same, noting every key that is asked for.
    pub fn top_with_form(
        file: &'a str,
        table: &'a DeTable<'t>,
        sink: &'a Sink,
        form: &'a Form,
    ) -> Tab<'a, 't> {
        let mut top = Tab::top(file, table, sink);
        top.form = Some((form, Vec::new()));
        top
    }

    fn note(&self, key: &'static str, want: impl FnOnce() -> Want) {
        if let Some((form, at)) = &self.form {
            form.note(at, key, want());
        }
    }

    /// The same place, some steps further.
    fn further(&self, steps: &[Step]) -> Option<(&'a Form, Vec<Step>)> {
        self.form.as_ref().map(|(form, at)| (*form, [at.as_slice(), steps].concat()))
    }

    /// An empty table that stands for one that is not there, where a form is being learnt.
    fn ghost(&self, path: String, steps: &[Step]) -> Option<Tab<'a, 't>> {
        let further = self.further(steps)?;
        let table: &'a DeTable<'t> = &further.0.nothing;
        Some(Tab {
            file: self.file,
            path,
            table,
            span: self.span.clone(),
            asked: RefCell::default(),
            open: RefCell::new(false),
            sink: self.sink,
            form: Some(further),
        })
    }

    fn inner<'b>(&self, path: String, value: &'b Value<'t>, steps: &[Step]) -> Option<Tab<'b, 't>>
    where
        'a: 'b,
    {
        let table = value.get_ref().as_table()?;
        Some(Tab {
            file: self.file,
            path,
            table,
            span: value.span(),
            asked: RefCell::default(),
            open: RefCell::new(false),
            sink: self.sink,
            form: self.further(steps),
        })
    }

    /// Puts a diagnostic into the sink.
    pub fn say(&self, diagnostic: Diagnostic) {
        self.sink.borrow_mut().push(diagnostic);
    }

    /// Where the table stands.
    pub fn span(&self) -> Span {
        Span::new(self.file, self.span.clone())
    }

    /// Where a key's value stands, or the table itself.
    pub fn span_of(&self, key: &str) -> Span {
        self.table.get(key).map_or_else(|| self.span(), |v| Span::new(self.file, v.span()))
    }

    /// Says nothing of keys that nobody asked for: the table could not be understood as a whole, and
    /// that was said.
    pub fn leave_alone(&self) {
        *self.open.borrow_mut() = true;
    }

    /// Counts a key as understood without reading it: what is wrong with it was said.
    pub fn ask(&self, key: &'static str) {
        self.get(key);
    }

    /// Whether the key holds a table.
    pub fn holds_table(&self, key: &str) -> bool {
        self.table.get(key).is_some_and(|v| v.get_ref().as_table().is_some())
    }

    /// Whether the key is there.
    pub fn has(&self, key: &str) -> bool {
        self.table.contains_key(key)
    }

    fn get(&self, key: &'static str) -> Option<&'a Value<'t>> {
        self.asked.borrow_mut().insert(key);
        self.table.get(key)
    }

    fn missing(&self, key: &str) {
        self.say(
            Diagnostic::error(code::T003).at(self.span()).arg("key", key).arg("table", self.path.as_str()),
        );
    }

    fn wrong_type(&self, key: &str, value: &Value<'_>, wanted: &'static str) {
        self.say(
            Diagnostic::error(code::T004)
                .at(Span::new(self.file, value.span()))
                .arg("key", key)
                .arg("wanted", wanted)
                .arg("found", value.get_ref().type_str()),
        );
    }

    /// Reports a missing key where the value is not there.
    pub fn need<T>(&self, key: &'static str, value: Option<T>) -> Option<T> {
        if let Some((form, at)) = &self.form {
            form.need(at, key);
        }
        // A value that is there but wrong was reported already.
        if value.is_none() && !self.has(key) {
            self.missing(key);
        }
        value
    }

    /// A text.
    pub fn text(&self, key: &'static str) -> Option<Sp<String>> {
        self.note(key, || Want::Text);
        let value = self.get(key)?;
        match value.get_ref() {
            DeValue::String(s) => {
                Some(Sp { value: s.clone().into_owned(), span: Span::new(self.file, value.span()) })
            }
            _ => {
                self.wrong_type(key, value, "text");
                None
            }
        }
    }

    /// True or false.
    pub fn flag(&self, key: &'static str) -> Option<bool> {
        self.note(key, || Want::Flag);
        let value = self.get(key)?;
        match value.get_ref() {
            DeValue::Boolean(b) => Some(*b),
            _ => {
                self.wrong_type(key, value, "true-false");
                None
            }
        }
    }

    /// A whole number, such as a count.
    pub fn count(&self, key: &'static str) -> Option<Sp<usize>> {
        self.note(key, || Want::Count);
        let value = self.get(key)?;
        let number = match value.get_ref() {
            DeValue::Integer(i) => i.as_str().replace('_', "").parse::<usize>().ok(),
            _ => None,
        };
        if number.is_none() {
            self.wrong_type(key, value, "count");
        }
        number.map(|n| Sp { value: n, span: Span::new(self.file, value.span()) })
    }

    /// A number without a unit.
    pub fn number(&self, key: &'static str) -> Option<Sp<f64>> {
        self.note(key, || Want::Number);
        let value = self.get(key)?;
        let number = bare_number(value.get_ref());
        if number.is_none() {
            self.wrong_type(key, value, "number");
        }
        number.map(|n| Sp { value: n, span: Span::new(self.file, value.span()) })
    }

    /// A word out of a list.
    pub fn choice<T: Copy>(&self, key: &'static str, choices: &[(&'static str, T)]) -> Option<Sp<T>> {
        self.choice_also(key, choices, &[])
    }

    /// The same, with words that are read too and not offered.
    pub fn choice_also<T: Copy>(
        &self,
        key: &'static str,
        choices: &[(&'static str, T)],
        also: &[(&'static str, T)],
    ) -> Option<Sp<T>> {
        self.note(key, || Want::Choice(choices.iter().map(|c| c.0).collect()));
        let word = self.text(key)?;
        match choices.iter().chain(also).find(|(name, _)| *name == word.value) {
            Some((_, value)) => Some(Sp { value: *value, span: word.span }),
            None => {
                let names: Vec<&str> = choices.iter().map(|c| c.0).collect();
                self.say(
                    Diagnostic::error(code::T005)
                        .at(word.span)
                        .arg("key", key)
                        .arg("found", word.value.as_str())
                        .arg("choices", names.join(", "))
                        .arg("near", closest(&word.value, names).unwrap_or("")),
                );
                None
            }
        }
    }

    fn written<T>(
        &self,
        key: &'static str,
        quantity: Quantity,
        read: impl Fn(&str) -> Result<T, UnitError>,
    ) -> Option<Sp<T>> {
        let value = self.get(key)?;
        let span = Span::new(self.file, value.span());
        let text = match value.get_ref() {
            DeValue::String(s) => s.as_ref().to_owned(),
            other => match bare_number(other) {
                Some(_) => other_number_text(other),
                None => {
                    self.wrong_type(key, value, "quantity");
                    return None;
                }
            },
        };
        match read(&text) {
            Ok(value) => Some(Sp { value, span }),
            Err(error) => {
                self.say(unit_diagnostic(error, quantity, &text).at(span));
                None
            }
        }
    }

    /// A quantity, SI.
    pub fn quantity(&self, key: &'static str, quantity: Quantity) -> Option<Sp<f64>> {
        self.quantity_as_written(key, quantity).map(|w| w.map(|w| w.si))
    }

    /// A quantity with the unit it was written in.
    pub fn quantity_as_written(&self, key: &'static str, quantity: Quantity) -> Option<Sp<Written>> {
        self.note(key, || Want::Quantity(quantity, None));
        self.written(key, quantity, |t| units::parse(t, quantity))
    }

    /// A quantity within bounds (SI), which are part of the message.
    pub fn bounded(
        &self,
        key: &'static str,
        quantity: Quantity,
        bounds: std::ops::RangeInclusive<f64>,
    ) -> Option<Sp<f64>> {
        self.note(key, || Want::Quantity(quantity, Some((*bounds.start(), *bounds.end()))));
        let value = self.quantity(key, quantity)?;
        self.within(key, &value, quantity, bounds).then_some(value)
    }

    /// Whether a value is within bounds; a diagnostic where it is not.
    pub fn within(
        &self,
        key: &'static str,
        value: &Sp<f64>,
        quantity: Quantity,
        bounds: std::ops::RangeInclusive<f64>,
    ) -> bool {
        let inside = bounds.contains(&value.value);
        if !inside {
            self.say(
                Diagnostic::error(code::U008)
                    .at(value.span.clone())
                    .arg("key", key)
                    .arg("found", (value.value, quantity))
                    .arg("low", (*bounds.start(), quantity))
                    .arg("high", (*bounds.end(), quantity)),
            );
        }
        inside
    }

    /// A range such as `300 to 1500 cfm`, SI; a single value is a range of no width.
    pub fn range(&self, key: &'static str, quantity: Quantity) -> Option<Sp<(f64, f64)>> {
        self.range_as_written(key, quantity).map(|w| w.map(|(lo, hi)| (lo.si, hi.si)))
    }

    /// A range with the units it was written in.
    pub fn range_as_written(&self, key: &'static str, quantity: Quantity) -> Option<Sp<(Written, Written)>> {
        self.note(key, || Want::Range(quantity));
        self.written(key, quantity, |t| units::parse_range(t, quantity))
    }

    /// How exact an instrument is.
    pub fn accuracy(&self, key: &'static str, quantity: Quantity) -> Option<Sp<units::Accuracy>> {
        self.note(key, || Want::Accuracy(quantity));
        self.written(key, quantity, |t| units::parse_accuracy(t, quantity))
    }

    /// A list of texts.
    pub fn texts(&self, key: &'static str) -> Vec<Sp<String>> {
        self.note(key, || Want::Texts);
        let Some(value) = self.get(key) else {
            return Vec::new();
        };
        let Some(list) = value.get_ref().as_array() else {
            self.wrong_type(key, value, "list");
            return Vec::new();
        };
        let mut out = Vec::new();
        for item in list {
            match item.get_ref() {
                DeValue::String(s) => {
                    out.push(Sp { value: s.clone().into_owned(), span: Span::new(self.file, item.span()) })
                }
                _ => self.wrong_type(key, item, "text"),
            }
        }
        out
    }

    /// A text, or a list of them.
    pub fn text_or_texts(&self, key: &'static str) -> Vec<Sp<String>> {
        self.note(key, || Want::Texts);
        match self.get(key) {
            Some(value) if value.get_ref().as_array().is_none() => self.text(key).into_iter().collect(),
            _ => self.texts(key),
        }
    }

    /// A list of quantities in one column, SI: `["Pa", -1.2, 0.4]` or a list of written quantities.
    pub fn quantities(&self, key: &'static str, quantity: Quantity) -> Option<Sp<Vec<f64>>> {
        self.note(key, || Want::Quantities(quantity));
        let value = self.get(key)?;
        let Some(list) = value.get_ref().as_array() else {
            self.wrong_type(key, value, "list");
            return None;
        };
        let mut unit = None;
        let mut out = Vec::new();
        for (at, item) in list.iter().enumerate() {
            let span = Span::new(self.file, item.span());
            let text = match item.get_ref() {
                DeValue::String(s) => s.as_ref().to_owned(),
                other if bare_number(other).is_some() => other_number_text(other),
                _ => {
                    self.wrong_type(key, item, "quantity");
                    continue;
                }
            };
            if at == 0
                && let Some(found) = units::unit(&text, quantity)
            {
                unit = Some(found);
                continue;
            }
            let read = match unit {
                Some(unit) if item.get_ref().as_str().is_none() => {
                    units::number(&text).map(|n| unit.to_si(n))
                }
                _ => units::parse(&text, quantity).map(|w| w.si),
            };
            match read {
                Ok(si) => out.push(si),
                Err(error) => self.say(unit_diagnostic(error, quantity, &text).at(span)),
            }
        }
        Some(Sp { value: out, span: Span::new(self.file, value.span()) })
    }

    /// The table under a key.
    pub fn table(&self, key: &'static str) -> Option<Tab<'a, 't>> {
        self.note(key, || Want::Table);
        self.table_as(key)
    }

    fn table_as(&self, key: &'static str) -> Option<Tab<'a, 't>> {
        let steps = [Step::Name(key.to_owned())];
        let Some(value) = self.get(key) else { return self.ghost(self.path_of(key), &steps) };
        let inner = self.inner(self.path_of(key), value, &steps);
        if inner.is_none() {
            self.wrong_type(key, value, "table");
        }
        inner
    }

    /// The tables under a key, one a name that the user chose, in the order of the file.
    pub fn named(&self, key: &'static str) -> Vec<(Sp<String>, Tab<'a, 't>)> {
        self.note(key, || Want::Named);
        let Some(outer) = self.table_as(key) else {
            return Vec::new();
        };
        *outer.open.borrow_mut() = true;
        let mut out = Vec::new();
        for (name, value) in outer.table {
            let label =
                Sp { value: name.get_ref().clone().into_owned(), span: Span::new(self.file, name.span()) };
            let steps = [Step::Name(label.value.clone())];
            match outer.inner(format!("{key}.{}", label.value), value, &steps) {
                Some(tab) => out.push((label, tab)),
                None => self.wrong_type(key, value, "table"),
            }
        }
        out.sort_by_key(|(name, _)| name.span.start);
        if let Some(ghost) = outer.ghost(key.to_owned(), &[Step::New]) {
            out.push((Sp { value: String::new(), span: outer.span() }, ghost));
        }
        out
    }

    /// The pairs of a table whose keys are names that the user chose and whose values are texts.
    pub fn pairs(&self, key: &'static str) -> Vec<(Sp<String>, Sp<String>)> {
        self.note(key, || Want::Pairs);
        let Some(outer) = self.table_as(key) else {
            return Vec::new();
        };
        *outer.open.borrow_mut() = true;
        let mut out = Vec::new();
        for (name, value) in outer.table {
            let label = |s: &Spanned<DeString<'_>>| Sp {
                value: s.get_ref().clone().into_owned(),
                span: Span::new(self.file, s.span()),
            };
            match value.get_ref() {
                DeValue::String(s) => out.push((
                    label(name),
                    Sp { value: s.clone().into_owned(), span: Span::new(self.file, value.span()) },
                )),
                _ => self.wrong_type(key, value, "text"),
            }
        }
        out.sort_by_key(|(name, _)| name.span.start);
        out
    }

    /// The tables of a list `[[key]]`.
    pub fn list(&self, key: &'static str) -> Vec<Tab<'a, 't>> {
        self.note(key, || Want::List);
        let ghost = self.ghost(self.path_of(key), &[Step::Name(key.to_owned()), Step::New]);
        let Some(value) = self.get(key) else {
            return ghost.into_iter().collect();
        };
        let Some(items) = value.get_ref().as_array() else {
            self.wrong_type(key, value, "list");
            return Vec::new();
        };
        let mut out = Vec::new();
        for (at, item) in items.iter().enumerate() {
            match self.inner(self.path_of(key), item, &[Step::Name(key.to_owned()), Step::Entry(at)]) {
                Some(tab) => out.push(tab),
                None => self.wrong_type(key, item, "table"),
            }
        }
        out.extend(ghost);
        out
    }

    fn path_of(&self, key: &str) -> String {
        if self.path.is_empty() { key.to_owned() } else { format!("{}.{key}", self.path) }
    }

    /// Checks `format = 1` at the top of a document.
    pub fn format(&self) {
        match self.need("format", self.count("format")) {
            Some(found) if i64::try_from(found.value).ok() != Some(super::FORMAT) => self.say(
                Diagnostic::error(code::T009)
                    .at(found.span)
                    .arg("found", found.value)
                    .arg("known", super::FORMAT as f64),
            ),
            _ => {}
        }
    }
}

fn bare_number(value: &DeValue<'_>) -> Option<f64> {
    match value {
        DeValue::Integer(i) => i.as_str().replace('_', "").parse::<f64>().ok(),
        DeValue::Float(f) => f.as_str().replace('_', "").parse::<f64>().ok(),
        _ => None,
    }
}

fn other_number_text(value: &DeValue<'_>) -> String {
    match value {
        DeValue::Integer(i) => i.as_str().replace('_', ""),
        DeValue::Float(f) => f.as_str().replace('_', ""),
        _ => String::new(),
    }
}

/// The diagnostic for a text that is not the quantity it should be.
pub fn unit_diagnostic(error: UnitError, quantity: Quantity, text: &str) -> Diagnostic {
    let wanted = quantity.likely_units().join(", ");
    let with = |code| Diagnostic::error(code).arg("found", text).arg("wanted_units", wanted.as_str());
    match error {
        UnitError::NotANumber => with(code::U001),
        UnitError::NoUnit => with(code::U002),
        UnitError::AmbiguousComma => with(code::U003),
        UnitError::UnknownUnit { found, near } => Diagnostic::error(code::U004)
            .arg("found", found)
            .arg("near", near.unwrap_or(""))
            .arg("wanted_units", wanted),
        UnitError::WrongKind { found, is } => Diagnostic::error(code::U005)
            .arg("found", found)
            .arg("is", quantity_key(is))
            .arg("wanted", quantity_key(quantity))
            .arg("wanted_units", wanted),
        UnitError::Backwards => with(code::U006),
        UnitError::NotFinite => with(code::U007),
    }
}

/// The catalogue key of a quantity's name, such as `quantity-air-flow`.
pub fn quantity_key(quantity: Quantity) -> String {
    let mut key = String::from("quantity");
    for c in format!("{quantity:?}").chars() {
        if c.is_ascii_uppercase() {
            key.push('-');
        }
        key.push(c.to_ascii_lowercase());
    }
    key
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sink_of(text: &str, ask: impl Fn(&Tab<'_, '_>)) -> Vec<&'static str> {
        let sink = Sink::default();
        let root = parse("house.toml", text, &sink);
        {
            let tab = Tab::top("house.toml", &root, &sink);
            ask(&tab);
        }
        sink.into_inner().list.iter().map(|d| d.code.0).collect()
    }

    #[test]
    fn five_syntax_mistakes_give_at_least_five_messages() {
        let text = "a = \nb = 'x\nc = [1,\nd == 2\n[e\nf = 1..2\n";
        let codes = sink_of(text, |t| *t.open.borrow_mut() = true);
        assert!(codes.iter().filter(|c| **c == "T001").count() >= 4, "{codes:?}");
    }

    #[test]
    fn bare_numbers_wrong_units_and_unknown_keys_are_all_reported() {
        let text = "volume = 9600\nheight = '8 cfm'\nvolumne = '3 m3'\n";
        let codes = sink_of(text, |t| {
            assert!(t.quantity("volume", Quantity::Volume).is_none());
            assert!(t.quantity("height", Quantity::Length).is_none());
        });
        assert_eq!(codes, ["U002", "U005", "T002"]);
    }

    #[test]
    fn a_grid_needs_units_in_its_headers_and_full_rows() {
        let text = "g = { columns = ['house Pa', 'fan'], rows = [[-50, 1200], [-40], [-30, 'x']] }\n";
        let known = [("house", Quantity::Pressure), ("fan", Quantity::AirFlow)];
        let codes = sink_of(text, |t| {
            t.grid("g", &known);
        });
        assert_eq!(codes, ["T007", "T006", "T008"]);
    }

    #[test]
    fn quantity_keys() {
        assert_eq!(quantity_key(Quantity::AirFlow), "quantity-air-flow");
    }
}
