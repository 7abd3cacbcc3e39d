//! The sheets of a job: which there are, and why one cannot be made.

use crate::{Job, Speech};
use engine::diag::{Diagnostic, Span, code};
use report::sheets::Part;
use report::words::Words;
use serde::{Deserialize, Serialize};

/// A sheet: one HTML file that stands alone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Sheet {
    /// One page for the owner.
    Owner,
    /// The full record of the house.
    Record,
    /// For the contractor, one a plan.
    HandOff,
    /// What work came to.
    TestOut,
    /// Control rules with how each is tried.
    Commissioning,
    /// One of each envelope test.
    Certificate,
}

impl Sheet {
    /// Every sheet, in the order in which they are written.
    pub const ALL: [Sheet; 6] = [
        Sheet::Owner,
        Sheet::Record,
        Sheet::HandOff,
        Sheet::TestOut,
        Sheet::Commissioning,
        Sheet::Certificate,
    ];

    /// Its word on the command line.
    pub fn word(self) -> &'static str {
        match self {
            Sheet::Owner => "owner",
            Sheet::Record => "record",
            Sheet::HandOff => "hand-off",
            Sheet::TestOut => "test-out",
            Sheet::Commissioning => "commissioning",
            Sheet::Certificate => "certificate",
        }
    }

    /// The sheet of a word.
    pub fn of_word(word: &str) -> Option<Sheet> {
        Sheet::ALL.into_iter().find(|s| s.word() == word)
    }

    /// Whether it shows fit, plans, findings and next reading.
    pub(crate) fn wants_all(self) -> bool {
        matches!(self, Sheet::Owner | Sheet::Record | Sheet::TestOut)
    }

    /// Key of what it needs.
    fn lacks(self, job: &Job) -> &'static str {
        match self {
            Sheet::HandOff if job.house.is_some() => "sheet-lacks-plans",
            Sheet::Owner | Sheet::Record | Sheet::HandOff => "sheet-lacks-house",
            Sheet::TestOut => "sheet-lacks-test-out",
            Sheet::Commissioning => "sheet-lacks-rules",
            Sheet::Certificate => "sheet-lacks-test",
        }
    }
}

/// How a sheet is written, where not as the job says.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize, schemars::JsonSchema)]
pub struct Written {
    /// Its language and units.
    #[serde(flatten)]
    pub speech: Speech,
    /// Parts of the full record that it has; nothing for all. What concerns safety, and from what the record
    /// was derived, is in every one. Other sheets are as they are.
    #[serde(default)]
    #[schemars(with = "Option<Vec<String>>")]
    pub parts: Option<Vec<Part>>,
}

/// A sheet as written.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct SheetFile {
    /// Which.
    pub sheet: Sheet,
    /// Its file below the job's `out` folder.
    pub file: String,
    /// The same as PDF, where whoever asked prints it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pdf: Option<String>,
}

impl SheetFile {
    pub(crate) fn of(sheet: Sheet, file: &str) -> SheetFile {
        SheetFile { sheet, file: file.to_owned(), pdf: None }
    }
}

/// Says that a sheet cannot be made, and what it needs.
pub(crate) fn lacks(job: &Job, sheet: Sheet, words: &Words) {
    let said = Diagnostic::error(code::N105)
        .at(Span::new("job.toml", 0..0))
        .arg("sheet", words.say(&format!("sheet-{}", sheet.word())))
        .arg("lacks", words.say(sheet.lacks(job)));
    job.say(said);
}
