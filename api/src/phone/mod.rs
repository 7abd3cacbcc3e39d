//! The questions of a browser, JSON in and JSON out: one test from the doorway to the sheet, and any
//! [`Request`] of a whole job.
//!
//! A draft (everything as typed) becomes the documents of a job (`compose`), and the documents are
//! worked by the code that the command line uses; nothing is computed in a second way. What the
//! phone adds is asked of the typed values themselves: what is missing, what contradicts
//! (`challenge`), which pressure next and when to stop (`advice`). Answers stand in the envelope
//! of `--json`; a question that cannot be read is answered with a diagnostic and `null` data.

mod advice;
mod challenge;
mod compose;
pub(crate) mod draft;
mod look;
mod of_job;
mod open;
mod prepare;
mod profiles;
mod sheet;
#[cfg(test)]
mod tests;
mod words;
mod write;

pub(crate) use of_job::of_job;
pub(crate) use prepare::preparation;

use crate::{Inputs, Job, Request, Speech, TestResult, envelope_json};
use draft::Draft;
use engine::diag::{Diagnostic, Diagnostics, code};
use engine::doc::File;
use report::words::Words;
use serde::Deserialize;
use serde_json::{Value, json};
use std::ops::ControlFlow;

#[derive(Debug, Deserialize)]
#[serde(tag = "ask")]
enum Ask {
    #[serde(rename = "phone-words")]
    Words {
        #[serde(default)]
        language: String,
    },
    #[serde(rename = "phone-profiles")]
    Profiles {
        #[serde(default)]
        language: String,
    },
    #[serde(rename = "phone-look")]
    Look {
        draft: Box<Draft>,
        /// Date of today; calibrations are held against it.
        #[serde(default)]
        now: String,
        #[serde(flatten)]
        speech: Speech,
    },
    #[serde(rename = "phone-sheet")]
    Sheet {
        draft: Box<Draft>,
        #[serde(default)]
        now: String,
    },
    #[serde(rename = "phone-open")]
    Open {
        files: Vec<Text>,
        #[serde(default)]
        language: String,
    },
    /// What the command line asks of a job folder.
    #[serde(rename = "job")]
    Job {
        request: Request,
        files: Vec<Text>,
        #[serde(default)]
        now: String,
        #[serde(flatten)]
        speech: Speech,
    },
    /// A page of the app, an edit, a new house.
    #[serde(rename = "app")]
    App {
        #[serde(flatten)]
        question: crate::app::Question,
        #[serde(flatten)]
        speech: Speech,
    },
}

#[derive(Debug, Deserialize)]
struct Text {
    name: String,
    text: String,
}

/// Answers one question of the phone.
///
/// ```
/// let answer = api::phone::ask(r#"{"ask": "phone-profiles", "language": "es"}"#);
/// assert!(answer.contains("ISO 9972"));
/// assert!(api::phone::ask("{}").contains("D101"));
/// ```
pub fn ask(question: &str) -> String {
    ask_at(question, &mut crate::app::Desk::default(), &mut |_| ControlFlow::Continue(()))
}

/// The same at a desk that keeps what it worked out for the job asked about last, and with an ear for
/// how far long work is.
pub fn ask_at(question: &str, desk: &mut crate::app::Desk, listen: &mut crate::Listen<'_>) -> String {
    let asked: Ask = match serde_json::from_str(question) {
        Ok(asked) => asked,
        Err(error) => return unreadable(&error.to_string()),
    };
    let answer = match asked {
        Ask::Words { language } => {
            let words = Words::new(draft::language(&language), draft::system(""));
            plain(&words, words::all(&words))
        }
        Ask::Profiles { language } => {
            let words = Words::new(draft::language(&language), draft::system(""));
            plain(&words, json!({ "profiles": profiles::all(&words) }))
        }
        Ask::Look { draft, now, speech } => look::look(&draft, &now, &speech),
        Ask::Sheet { draft, now } => sheet::sheet(&draft, &now),
        Ask::Open { files, language } => open::open(&plain_files(files), draft::language(&language)),
        Ask::Job { request, files, now, speech } => {
            job(&request, Inputs { files: plain_files(files), now }, &speech)
        }
        Ask::App { question, speech } => desk.answer(question, &speech, listen),
    };
    answer.to_string()
}

fn plain_files(files: Vec<Text>) -> Vec<File> {
    files.into_iter().map(|f| File { name: f.name, text: f.text }).collect()
}

/// The envelope of `--json`, and beside it what the command line prints and writes.
fn job(request: &Request, inputs: Inputs, speech: &Speech) -> Value {
    let outcome = crate::answer_in(request, &inputs, speech, &mut |_| ControlFlow::Continue(()));
    let mut answer = outcome.json(&inputs.files, &speech.over(crate::words(&inputs)));
    let written = |f: &File| json!({ "name": f.name, "text": f.text });
    answer["summary"] = json!(outcome.summary.text);
    answer["documents"] = outcome.documents.iter().map(written).collect();
    answer["changed"] = outcome.changed.iter().map(written).collect();
    answer["exit_code"] = json!(outcome.exit_code());
    answer
}

fn plain(words: &Words, data: Value) -> Value {
    envelope_json(&Diagnostics::default(), &[], words, data)
}

fn unreadable(why: &str) -> String {
    let mut found = Diagnostics::default();
    found.push(Diagnostic::error(code::D101).arg("detail", why));
    envelope_json(&found, &[], &crate::plain_words(), Value::Null).to_string()
}

/// The documents opened and their first test worked, as every client of the program does it.
struct Worked {
    files: Vec<File>,
    job: Job,
    result: Option<TestResult>,
    found: Diagnostics,
}

fn work(files: Vec<File>, now: &str) -> Worked {
    let inputs = Inputs { files, now: now.to_owned() };
    let mut job = Job::open(&inputs);
    let result = job.results().into_iter().next();
    let found = job.take_diagnostics();
    Worked { files: inputs.files, job, result, found }
}
