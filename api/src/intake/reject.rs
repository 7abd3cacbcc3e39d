//! Rows that could not be taken, each with its reason; counted, and the first of each kind kept.

use engine::diag::{Code, Diagnostic, code};
use serde::Serialize;
use std::collections::BTreeMap;

/// Why a row or a cell was not taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Reason {
    /// More or fewer cells than the header.
    Cells,
    /// A cell that is no number.
    NotANumber,
    /// A time that is not written as the mapping says.
    Time,
    /// A local time that the clock of the zone passed over.
    SkippedHour,
    /// A line or message beyond the longest.
    TooLong,
    /// A quote that does not close.
    OpenQuote,
    /// Not well-formed JSON.
    NotJson,
    /// A message without what the mapping asks for.
    NoPath,
    /// A formula in the place of a number.
    Formula,
    /// Bytes that are no text.
    Control,
    /// A SenML record against RFC 8428.
    SenMl,
    /// A BTHome payload that is encrypted.
    Encrypted,
    /// A BTHome payload that cannot be read, or an object that nobody knows.
    BtHome,
    /// A value that is a text.
    TextValue,
    /// A record of a name that the mapping has no column for.
    Unmapped,
    /// A time not after the row before.
    NotLater,
}

impl Reason {
    /// Its code.
    pub fn code(self) -> Code {
        match self {
            Reason::Cells => code::I101,
            Reason::NotANumber => code::I102,
            Reason::Time => code::I103,
            Reason::SkippedHour => code::I104,
            Reason::TooLong => code::I105,
            Reason::OpenQuote => code::I106,
            Reason::NotJson => code::I107,
            Reason::NoPath => code::I108,
            Reason::Formula => code::I109,
            Reason::Control => code::I110,
            Reason::SenMl => code::I111,
            Reason::Encrypted => code::I112,
            Reason::BtHome => code::I113,
            Reason::TextValue => code::I114,
            Reason::Unmapped => code::I115,
            Reason::NotLater => code::I116,
        }
    }
}

/// One of them.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Reject {
    /// Line of the file, from 1; 0 for a message that came by itself.
    pub line: usize,
    /// Why.
    pub reason: Reason,
    /// The column, path or record.
    pub column: String,
    /// What stood there, cut short.
    pub found: String,
}

/// Kept of each kind.
const MOST_KEPT: usize = 5;
/// Letters kept of what stood there.
const MOST_SHOWN: usize = 60;

/// All of one source.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Rejects {
    /// The first of each kind.
    pub kept: Vec<Reject>,
    /// How many of each kind.
    pub counts: BTreeMap<Reason, usize>,
}

impl Rejects {
    /// Counts one more, and keeps it where it is one of the first.
    pub fn push(&mut self, line: usize, reason: Reason, column: &str, found: &str) {
        let count = self.counts.entry(reason).or_default();
        *count += 1;
        if *count <= MOST_KEPT {
            let show = |text: &str| -> String {
                let clean = text.chars().map(|c| if c.is_control() { '\u{fffd}' } else { c });
                clean.take(MOST_SHOWN).collect()
            };
            self.kept.push(Reject { line, reason, column: show(column), found: show(found) });
        }
    }

    /// How many in all.
    pub fn total(&self) -> usize {
        self.counts.values().sum()
    }

    /// As diagnostics: the first of each kind singly, the rest counted.
    pub fn diagnostics(&self, file: &str) -> Vec<Diagnostic> {
        let mut out: Vec<Diagnostic> = self
            .kept
            .iter()
            .map(|r| {
                Diagnostic::warning(r.reason.code())
                    .arg("file", file)
                    .arg("line", r.line.to_string())
                    .arg("column", r.column.as_str())
                    .arg("found", r.found.as_str())
            })
            .collect();
        for (reason, count) in self.counts.iter().filter(|(_, n)| **n > MOST_KEPT) {
            out.push(
                Diagnostic::warning(code::I117)
                    .arg("file", file)
                    .arg("more", count - MOST_KEPT)
                    .arg("code", reason.code().0),
            );
        }
        out
    }
}
