//! What the program has to say about a user's text or data.
//!
//! A [`Diagnostic`] carries a stable code, where it was found and the values needed to act. It
//! holds no sentence: the catalogues in `report/locales` turn code and arguments into text, in
//! every language and for every place it is shown. Many are collected in one run ([`Diagnostics`]).

mod codes;

pub use codes::{ALL, Code};
pub mod code {
    //! One constant a code; the texts are in `report/locales`.
    pub use super::codes::names::*;
}

use crate::units::Quantity;
use serde::Serialize;

/// How much it matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Severity {
    /// Worth knowing; nothing was done differently.
    Note,
    /// Something was done differently from what was asked, or needs a look.
    Warning,
    /// Something could not be read or done.
    Error,
}

/// A stretch of a file, in bytes.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct Span {
    /// The file's name within the job folder.
    pub file: String,
    /// First byte.
    pub start: usize,
    /// One past the last byte.
    pub end: usize,
}

impl Span {
    /// A stretch of `file`.
    pub fn new(file: &str, range: std::ops::Range<usize>) -> Span {
        Span { file: file.to_owned(), start: range.start, end: range.end }
    }

    /// Line and column, from 1, of the first byte in the text of the file.
    pub fn line_column(&self, text: &str) -> (usize, usize) {
        let before = text.get(..self.start).unwrap_or(text);
        let line = before.matches('\n').count() + 1;
        let column = before.rsplit('\n').next().map_or(0, |l| l.chars().count()) + 1;
        (line, column)
    }
}

/// A value that a message needs.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Arg {
    /// The user's own words or a name.
    Text(String),
    /// A pure number.
    Number(f64),
    /// A number with a unit, SI.
    Quantity {
        /// SI value.
        si: f64,
        /// What it measures.
        quantity: Quantity,
    },
}

impl From<&str> for Arg {
    fn from(text: &str) -> Arg {
        Arg::Text(text.to_owned())
    }
}

impl From<String> for Arg {
    fn from(text: String) -> Arg {
        Arg::Text(text)
    }
}

impl From<f64> for Arg {
    fn from(number: f64) -> Arg {
        Arg::Number(number)
    }
}

impl From<usize> for Arg {
    fn from(number: usize) -> Arg {
        Arg::Number(number as f64)
    }
}

impl From<(f64, Quantity)> for Arg {
    fn from((si, quantity): (f64, Quantity)) -> Arg {
        Arg::Quantity { si, quantity }
    }
}

/// One thing found.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Diagnostic {
    /// Stable code; the key of its text.
    pub code: Code,
    /// How much it matters.
    pub severity: Severity,
    /// Where, the main place first.
    pub spans: Vec<Span>,
    /// Values for the text, by name.
    pub args: Vec<(&'static str, Arg)>,
}

impl Diagnostic {
    /// An error.
    pub fn error(code: Code) -> Diagnostic {
        Diagnostic { code, severity: Severity::Error, spans: Vec::new(), args: Vec::new() }
    }

    /// A warning.
    pub fn warning(code: Code) -> Diagnostic {
        Diagnostic { severity: Severity::Warning, ..Diagnostic::error(code) }
    }

    /// A note.
    pub fn note(code: Code) -> Diagnostic {
        Diagnostic { severity: Severity::Note, ..Diagnostic::error(code) }
    }

    /// Adds a place.
    #[must_use]
    pub fn at(mut self, span: impl Into<Option<Span>>) -> Diagnostic {
        self.spans.extend(span.into());
        self
    }

    /// Adds a value for the text.
    #[must_use]
    pub fn arg(mut self, name: &'static str, value: impl Into<Arg>) -> Diagnostic {
        self.args.push((name, value.into()));
        self
    }
}

/// Everything found in one run.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
#[serde(transparent)]
pub struct Diagnostics {
    /// In the order found.
    pub list: Vec<Diagnostic>,
}

impl Diagnostics {
    /// Keeps one more, unless the same was said already.
    pub fn push(&mut self, diagnostic: Diagnostic) {
        if !self.list.contains(&diagnostic) {
            self.list.push(diagnostic);
        }
    }

    /// Takes over all of another list.
    pub fn append(&mut self, other: Diagnostics) {
        for d in other.list {
            self.push(d);
        }
    }

    /// Whether anything is an error.
    pub fn has_errors(&self) -> bool {
        self.list.iter().any(|d| d.severity == Severity::Error)
    }

    /// The gravest severity, if anything was found.
    pub fn worst(&self) -> Option<Severity> {
        self.list.iter().map(|d| d.severity).max()
    }

    /// By file and place, for showing.
    pub fn sorted(mut self) -> Diagnostics {
        self.list.sort_by(|a, b| a.spans.first().cmp(&b.spans.first()).then(b.severity.cmp(&a.severity)));
        self
    }
}
