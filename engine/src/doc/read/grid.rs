//! Tables of numbers in a document: named columns with units, and rows.

use super::super::Sp;
use super::super::form::Want;
use super::{Tab, Value, other_number_text, unit_diagnostic};
use crate::diag::{Diagnostic, Span, code};
use crate::text::closest;
use crate::units::{self, Quantity};
use toml::de::DeValue;

/// A table of numbers: named columns with units, and rows.
#[derive(Clone, Debug, PartialEq)]
pub struct Grid {
    /// Names of the columns found, in order.
    pub columns: Vec<String>,
    /// Where they stand.
    pub columns_span: Span,
    /// Rows of SI values, one a column; 0 where the column holds texts.
    pub rows: Vec<Sp<Vec<f64>>>,
    /// For each row the texts of the columns that hold them, with the place of the column.
    pub texts: Vec<Vec<(usize, Sp<String>)>>,
}

impl Grid {
    /// The values of one column.
    pub fn column(&self, name: &str) -> Option<Vec<f64>> {
        let at = self.columns.iter().position(|c| c == name)?;
        Some(self.rows.iter().filter_map(|r| r.value.get(at).copied()).collect())
    }

    /// The text of a row in a column that holds texts.
    pub fn text(&self, row: usize, column: usize) -> Option<&Sp<String>> {
        self.texts.get(row)?.iter().find(|(at, _)| *at == column).map(|(_, text)| text)
    }

    /// The rows that are wanted.
    #[must_use]
    pub fn only(&self, wanted: impl Fn(&[f64]) -> bool) -> Grid {
        let rows = self.rows.iter().zip(&self.texts).filter(|(row, _)| wanted(&row.value));
        let (rows, texts) = rows.map(|(row, texts)| (row.clone(), texts.clone())).unzip();
        Grid { rows, texts, ..self.clone() }
    }
}

impl<'a, 't> Tab<'a, 't> {
    /// A table of numbers `{ columns = ["house Pa", "fan cfm"], rows = [[-50.1, 1210], ...] }`.
    /// `known` gives the columns understood: name and quantity.
    pub fn grid(&self, key: &'static str, known: &[(&'static str, Quantity)]) -> Option<Grid> {
        self.numbered_grid(key, known, &[], &[])
    }

    /// A table of numbers whose columns `numbered` may stand there more than once: the second as
    /// `name-2`, the third as `name-3`, and so on. Columns `texts`, numbered too, hold names.
    pub fn numbered_grid(
        &self,
        key: &'static str,
        known: &[(&'static str, Quantity)],
        numbered: &[(&'static str, Quantity)],
        texts: &[&'static str],
    ) -> Option<Grid> {
        self.note(key, || Want::Grid {
            known: known.to_vec(),
            numbered: numbered.to_vec(),
            texts: texts.to_vec(),
        });
        // Without it nothing is asked of its inside.
        self.get(key)?;
        let mut tab = self.table_as(key)?;
        tab.form = None;
        let headers = tab.texts("columns");
        let rows = tab.need("rows", tab.get("rows"))?;
        let mut columns: Vec<(String, Option<&'static units::Unit>)> = Vec::new();
        let holds_text = |name: &str| texts.iter().any(|stem| is_numbered(name, stem));
        for header in &headers {
            let text = header.value.trim();
            if holds_text(text) {
                columns.push((text.to_owned(), None));
                continue;
            }
            let (name, rest) = text.split_once(' ').map_or((text, ""), |(name, rest)| (name, rest.trim()));
            let found = known
                .iter()
                .find(|(known, _)| *known == name)
                .or_else(|| numbered.iter().find(|(stem, _)| is_numbered(name, stem)));
            let unit = found.and_then(|(_, quantity)| {
                let spelled = if rest.is_empty() && *quantity == Quantity::Number { "1" } else { rest };
                units::unit(spelled, *quantity)
            });
            if let (Some((_, quantity)), None, false) = (found, unit, rest.is_empty()) {
                if let Err(error) = units::unit_or_why(rest, *quantity) {
                    tab.say(unit_diagnostic(error, *quantity, rest).at(header.span.clone()));
                }
            } else if unit.is_none() {
                let near = closest(name, known.iter().chain(numbered).map(|(n, _)| *n));
                let examples: Vec<String> = known
                    .iter()
                    .chain(numbered)
                    .map(|(n, q)| format!("{n} {}", q.likely_units()[0]))
                    .collect();
                tab.say(
                    Diagnostic::error(code::T007)
                        .at(header.span.clone())
                        .arg("column", text)
                        .arg("named", if found.is_some() { "yes" } else { "no" })
                        .arg("near", near.filter(|_| found.is_none()).unwrap_or(""))
                        .arg("known", examples.join(", ")),
                );
            }
            columns.push((if found.is_some() { name } else { text }.to_owned(), unit));
        }
        let columns_span = tab.get("columns").map_or_else(|| tab.span(), |c| Span::new(self.file, c.span()));
        let mut grid = Grid {
            columns: columns.iter().map(|c| c.0.clone()).collect(),
            columns_span,
            rows: Vec::new(),
            texts: Vec::new(),
        };
        let Some(list) = rows.get_ref().as_array() else {
            tab.wrong_type("rows", rows, "list");
            return None;
        };
        let lengths = || list.iter().map(|row| row.get_ref().as_array().map_or(0, |a| a.len()));
        if let (Some(found), true) = (lengths().next(), list.len() > 1)
            && found != columns.len()
            && lengths().all(|n| n == found)
        {
            // Where all rows agree it is the header that differs.
            tab.say(
                Diagnostic::error(code::T014)
                    .at(grid.columns_span.clone())
                    .arg("rows", list.len())
                    .arg("found", found)
                    .arg("wanted", columns.len()),
            );
            return Some(grid);
        }
        for (at, row) in list.iter().enumerate() {
            let span = Span::new(self.file, row.span());
            let cells: Vec<&Value<'_>> =
                row.get_ref().as_array().map_or_else(Vec::new, |a| a.iter().collect());
            if cells.len() != columns.len() {
                tab.say(
                    Diagnostic::error(code::T006)
                        .at(span)
                        .arg("row", at + 1)
                        .arg("found", cells.len())
                        .arg("wanted", columns.len()),
                );
                continue;
            }
            let mut values = Vec::with_capacity(cells.len());
            let mut row_texts = Vec::new();
            for (place, (cell, (name, unit))) in cells.iter().zip(&columns).enumerate() {
                if holds_text(name) {
                    match cell.get_ref() {
                        DeValue::String(s) => {
                            let span = Span::new(self.file, cell.span());
                            row_texts.push((place, Sp { value: s.as_ref().trim().to_owned(), span }));
                            values.push(0.0);
                        }
                        _ => tab.wrong_type(name, cell, "text"),
                    }
                    continue;
                }
                let text = match cell.get_ref() {
                    DeValue::String(s) => s.as_ref().to_owned(),
                    other => other_number_text(other),
                };
                match (units::number(&text), unit) {
                    (Ok(number), Some(unit)) => values.push(unit.to_si(number)),
                    (Ok(_), None) => {}
                    (Err(_), _) => tab.say(
                        Diagnostic::error(code::T008)
                            .at(Span::new(self.file, cell.span()))
                            .arg("column", name.as_str())
                            .arg("row", at + 1)
                            .arg("found", text),
                    ),
                }
            }
            if values.len() == columns.len() {
                grid.rows.push(Sp { value: values, span });
                grid.texts.push(row_texts);
            }
        }
        Some(grid)
    }
}

/// Whether a column's name is the stem, or the stem with a number from 2 on.
fn is_numbered(name: &str, stem: &str) -> bool {
    let Some(rest) = name.strip_prefix(stem) else { return false };
    let number = rest.strip_prefix('-').and_then(|digits| Some((digits, digits.parse::<u16>().ok()?)));
    rest.is_empty() || number.is_some_and(|(digits, n)| n >= 2 && digits == n.to_string())
}
