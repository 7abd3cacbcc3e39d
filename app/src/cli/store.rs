//! `airwright store FILE ...`: jobs with every revision, and series, in one file.

mod edits;

use super::{data, talk, whole};
use crate::clock;
use crate::store::{self, Description, Store, StoreError, Target, Who, back_up, write_folder};
use anyhow::Result;
use clap::{Args, Subcommand};
use edits::{edited, history, operations_in, operations_of, put};
use engine::diag::{Diagnostic, Diagnostics, code};
use report::terminal::{Style, render_all};
use report::words::Words;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// A store and what to do with it.
#[derive(Debug, Args)]
pub(super) struct OnStore {
    /// The store's file.
    file: PathBuf,
    #[command(subcommand)]
    what: What,
    /// Print JSON instead of text.
    #[arg(long, global = true)]
    json: bool,
    /// Who does it, for the history.
    #[arg(long, global = true, value_name = "NAME")]
    by: Option<String>,
    /// On which machine, for the history.
    #[arg(long, global = true, value_name = "NAME", default_value = "desk")]
    device: String,
}

#[derive(Debug, Subcommand)]
enum What {
    /// Put a job folder into the store, or what was changed in one that came from it.
    Put {
        /// The job folder.
        folder: PathBuf,
        /// The job's name in the store; without it the folder's.
        #[arg(long, value_name = "JOB")]
        job: Option<String>,
        /// The folder counts where others changed the same; what they wrote stays in the history.
        #[arg(long)]
        over: bool,
    },
    /// All jobs.
    List,
    /// Write a job's documents into a new folder, byte for byte.
    Get {
        /// The job.
        job: String,
        /// Folder to make.
        folder: PathBuf,
    },
    /// Every revision of a document, or of all documents of a job, and edits that wait to be settled.
    History {
        /// The job.
        job: String,
        /// The document.
        path: Option<String>,
    },
    /// Print a document.
    Show {
        /// The job.
        job: String,
        /// The document.
        path: String,
        /// As it was in this revision.
        #[arg(long, value_name = "NUMBER", value_parser = whole::<i64>)]
        revision: Option<i64>,
    },
    /// Change fields of a document; comments and layout stay.
    Edit {
        /// The job.
        job: String,
        /// The document.
        path: String,
        /// The revision the edit was made on; without it the last.
        #[arg(long, value_name = "NUMBER", value_parser = whole::<i64>)]
        on: Option<i64>,
        /// A field and its value as in TOML, such as `zone.main.volume="9600 ft3"` with its quotes.
        #[arg(long, value_name = "KEY=VALUE")]
        set: Vec<String>,
        /// A field, table or entry (`complaint[0]`) to take out.
        #[arg(long, value_name = "KEY")]
        remove: Vec<String>,
        /// A list of operations as JSON on standard input.
        #[arg(long, conflicts_with_all = ["set", "remove"])]
        operations: bool,
    },
    /// Take a revision back by a new one.
    Undo {
        /// The job.
        job: String,
        /// The document.
        path: String,
        /// The revision to take back; without it the last that was not taken back.
        #[arg(long, value_name = "NUMBER", value_parser = whole::<i64>)]
        revision: Option<i64>,
    },
    /// Settle an edit that met another one on the same field.
    Settle {
        /// The job.
        job: String,
        /// Its number, as `history` lists it.
        number: i64,
        /// What it wrote counts; without this it goes.
        #[arg(long)]
        take: bool,
    },
    /// Devices that joined the desk (`airwright serve --store`).
    Devices,
    /// Forget a device: it is not let in any more, and streams to it end.
    Forget {
        /// Its number or its name.
        device: String,
    },
    /// Copy the store to a new file while others use it.
    BackUp {
        /// File to make.
        to: PathBuf,
    },
    /// Hold everything against its hash, its references and its sums.
    Check,
    /// Copy what can be read of a damaged store into a new one and list what was lost.
    Recover {
        /// Store to make.
        to: PathBuf,
    },
    /// Erase a job, a document or a series at its owner's request, with all revisions and readings.
    Erase {
        /// The job.
        job: String,
        /// Only this document.
        #[arg(long, value_name = "PATH", conflicts_with = "series")]
        path: Option<String>,
        /// Only this series.
        #[arg(long, value_name = "SOURCE")]
        series: Option<String>,
        /// Who asked for it; stays in the record.
        #[arg(long, value_name = "NAME")]
        asked_by: String,
    },
    /// All sources of series.
    Sources,
    /// Say what a source is; when all is said its readings count.
    Describe {
        /// Its name.
        source: String,
        /// The job it belongs to.
        #[arg(long)]
        job: Option<String>,
        /// What takes the readings.
        #[arg(long)]
        instrument: Option<String>,
        /// Where it takes them.
        #[arg(long)]
        place: Option<String>,
        /// What it measures, such as `temperature` or `gas_fraction`.
        #[arg(long)]
        quantity: Option<String>,
        /// The unit it sends.
        #[arg(long)]
        unit: Option<String>,
        /// What was done to the value before it was shown, such as `raw`.
        #[arg(long)]
        basis: Option<String>,
    },
    /// Least, mean and greatest reading of a source in stretches of time.
    Readings {
        /// The source.
        source: String,
        /// Begin, ms since 1970; without it the first reading.
        #[arg(long, value_name = "MS", value_parser = whole::<i64>, allow_hyphen_values = true)]
        from: Option<i64>,
        /// End, ms since 1970; without it the last reading.
        #[arg(long, value_name = "MS", value_parser = whole::<i64>, allow_hyphen_values = true)]
        to: Option<i64>,
        /// Stretches at most.
        #[arg(long, default_value_t = 60, value_parser = whole::<usize>, allow_hyphen_values = true)]
        buckets: usize,
    },
}

/// What a command came to: lines for people, data for JSON, what is to be said.
#[derive(Default)]
struct Answer {
    lines: Vec<String>,
    data: Value,
    said: Vec<Diagnostic>,
}

/// Does it; trouble of the store is told by its code.
pub(super) fn run(on: &OnStore) -> Result<u8> {
    let words = api::plain_words();
    let answer = match answer(on, &words) {
        Ok(answer) => answer,
        Err(error) => match error.downcast_ref::<StoreError>() {
            Some(trouble) => Answer { said: vec![trouble.diagnostic()], ..Answer::default() },
            None => return Err(error),
        },
    };
    let failed = answer.lines.is_empty() && answer.data.is_null() && !answer.said.is_empty();
    let diagnostics = Diagnostics { list: answer.said };
    if on.json {
        data(&format!("{:#}\n", api::envelope_json(&diagnostics, &[], &words, answer.data)));
    } else {
        for line in &answer.lines {
            data(&format!("{line}\n"));
        }
        if !diagnostics.list.is_empty() {
            let none: BTreeMap<String, String> = BTreeMap::new();
            talk(&render_all(&diagnostics, &none, &words, Style { colour: super::colour() }));
        }
    }
    use engine::diag::Severity;
    Ok(match diagnostics.worst() {
        _ if failed => 2,
        Some(Severity::Error | Severity::Warning) => 1,
        _ => 0,
    })
}

fn value(of: &impl serde::Serialize) -> Value {
    serde_json::to_value(of).unwrap_or_default()
}

fn answer(on: &OnStore, words: &Words) -> Result<Answer> {
    let who = || Who {
        author: on.by.clone().or_else(user).unwrap_or_else(|| "-".to_owned()),
        device: on.device.clone(),
        now_ms: clock::now_ms(),
    };
    let open = || Store::existing(&on.file);
    let kb = |bytes: i64| (bytes as f64 / 1000.0).ceil();
    Ok(match &on.what {
        What::Put { folder, job, over } => put(on, words, folder, job.as_deref(), *over, who())?,
        What::List => {
            let store = open()?;
            let (jobs, stones) = (store.jobs()?, store.tombstones()?);
            let line = |j: &store::JobRow| match j.erased_ms {
                Some(ms) => words.text(
                    "store-job-erased",
                    &[("name", j.name.as_str().into()), ("when", clock::moment(ms).into())],
                ),
                None => words.text(
                    "store-job",
                    &[
                        ("name", j.name.as_str().into()),
                        ("documents", (j.documents as f64).into()),
                        ("revisions", (j.revisions as f64).into()),
                        ("kb", kb(j.bytes).into()),
                        ("conflicts", (j.conflicts as f64).into()),
                    ],
                ),
            };
            let mut lines: Vec<String> = jobs.iter().map(line).collect();
            lines.extend(
                stones.iter().map(|s| words.text("store-erased", &[("what", s.what.as_str().into())])),
            );
            Answer {
                lines: or_none(lines, words),
                data: json!({ "jobs": value(&jobs), "erased": value(&stones) }),
                ..Answer::default()
            }
        }
        What::Get { job, folder } => {
            let shown = folder.display().to_string();
            crate::files::want_free(folder)?;
            std::fs::create_dir_all(folder)?;
            let documents = open()?.give(job, &place(folder))?;
            write_folder(folder, &documents)?;
            Answer {
                lines: vec![
                    words.text("store-got", &[("count", documents.len().into()), ("path", shown.into())]),
                ],
                data: json!({ "documents": documents.iter().map(|d| d.path.clone()).collect::<Vec<_>>() }),
                ..Answer::default()
            }
        }
        What::History { job, path } => history(&open()?, words, job, path.as_deref())?,
        What::Show { job, path, revision } => {
            let bytes = open()?.bytes(job, path, *revision)?;
            let bytes = bytes.ok_or_else(|| StoreError::NoDocument { path: path.clone() })?;
            let text = String::from_utf8_lossy(&bytes).into_owned();
            if !on.json {
                // As it is, with its own last line.
                super::bytes(&bytes);
            }
            Answer { data: json!({ "text": text }), ..Answer::default() }
        }
        What::Edit { job, path, on: revision, set, remove, operations } => {
            let store = open()?;
            let list = if *operations { operations_in()? } else { operations_of(path, set, remove)? };
            let revision = match revision {
                Some(number) => *number,
                None => store.last(job, path)?,
            };
            edited(&store, words, job, path, &store.edit(job, path, revision, list, who())?)?
        }
        What::Undo { job, path, revision } => {
            let store = open()?;
            edited(&store, words, job, path, &store.undo(job, path, *revision, who())?)?
        }
        What::Settle { job, number, take } => {
            let store = open()?;
            edited(&store, words, job, "", &store.settle(job, *number, *take, who())?)?
        }
        What::Devices => {
            let devices = open()?.devices()?;
            let lines: Vec<String> = devices.iter().map(|d| words.text("store-device", &device(d))).collect();
            let none = || vec![words.say("store-no-devices")];
            Answer {
                lines: if lines.is_empty() { none() } else { lines },
                data: json!({ "devices": value(&devices) }),
                ..Answer::default()
            }
        }
        What::Forget { device: wanted } => {
            let store = open()?;
            let mut named: Vec<store::Device> = store.devices()?;
            named.retain(|d| d.id.to_string() == *wanted || d.name == *wanted);
            if named.is_empty() {
                return Err(StoreError::NoDevice { name: wanted.clone() }.into());
            }
            // Two phones may have one name: both go, and whoever is missed joins again.
            for d in &named {
                store.forget(d.id, clock::now_ms())?;
            }
            Answer {
                lines: named.iter().map(|d| words.text("store-forgot", &device(d))).collect(),
                data: json!({ "forgotten": value(&named) }),
                ..Answer::default()
            }
        }
        What::BackUp { to } => {
            open()?;
            let bytes = back_up(&on.file, to)?;
            let args =
                [("kb", (bytes as f64 / 1000.0).ceil().into()), ("path", to.display().to_string().into())];
            Answer {
                lines: vec![words.text("store-backed-up", &args)],
                data: json!({ "bytes": bytes }),
                ..Answer::default()
            }
        }
        What::Check => {
            let checked = open()?.check()?;
            let found = checked.said.iter().chain(&checked.changed).chain(&checked.levels);
            let said: Vec<Diagnostic> =
                found.map(|what| Diagnostic::error(code::K134).arg("what", what.as_str())).collect();
            let args = [("version", (checked.version as f64).into()), ("contents", checked.contents.into())];
            let lines = if checked.sound() { vec![words.text("store-sound", &args)] } else { Vec::new() };
            Answer { lines, data: value(&checked), said }
        }
        What::Recover { to } => {
            let saved = store::recover(&on.file, to)?;
            let said = saved
                .lost
                .iter()
                .map(|what| Diagnostic::error(code::K133).arg("what", what.as_str()))
                .collect();
            let args = [
                ("jobs", saved.jobs.into()),
                ("revisions", saved.revisions.into()),
                ("readings", saved.readings.into()),
            ];
            Answer { lines: vec![words.text("store-recovered", &args)], data: value(&saved), said }
        }
        What::Erase { job, path, series, asked_by } => {
            let target = match (path, series) {
                (Some(path), _) => Target::Document(path.clone()),
                (None, Some(series)) => Target::Series(series.clone()),
                (None, None) => Target::Job,
            };
            let stones = open()?.erase(job, target, asked_by, clock::now_ms())?;
            let line = |s: &store::Tombstone| words.text("store-erased", &[("what", s.what.as_str().into())]);
            Answer {
                lines: or_none(stones.iter().map(line).collect(), words),
                data: json!({ "erased": value(&stones) }),
                said: vec![Diagnostic::note(code::K135)],
            }
        }
        What::Sources => {
            let sources = open()?.sources()?;
            let line = |s: &store::Source| {
                words.text(
                    "store-source",
                    &[
                        ("name", s.name.as_str().into()),
                        ("readings", (s.readings as f64).into()),
                        ("held", (s.held as f64).into()),
                    ],
                )
            };
            Answer {
                lines: or_none(sources.iter().map(line).collect(), words),
                data: json!({ "sources": value(&sources) }),
                ..Answer::default()
            }
        }
        What::Describe { source, job, instrument, place, quantity, unit, basis } => {
            let store = open()?;
            let told = Description {
                job: job.clone(),
                instrument: instrument.clone(),
                place: place.clone(),
                quantity: quantity.clone(),
                unit: unit.clone(),
                basis: basis.clone(),
            };
            store.describe(source, told, clock::now_ms())?;
            let found = store.sources()?.into_iter().find(|s| s.name == *source);
            let complete = if found.as_ref().is_some_and(|s| s.complete) { "yes" } else { "no" };
            let args = [("name", source.as_str().into()), ("complete", complete.into())];
            Answer {
                lines: vec![words.text("store-described", &args)],
                data: json!({ "source": value(&found) }),
                ..Answer::default()
            }
        }
        What::Readings { source, from, to, buckets } => {
            let store = open()?;
            let id = store.source(source)?;
            let known = store.sources()?.into_iter().find(|s| s.id == id);
            let span = known.and_then(|s| s.first_ms.zip(s.last_ms)).unwrap_or((0, 0));
            let (from, to) = (from.unwrap_or(span.0), to.unwrap_or(span.1 + 1));
            let list = store.window(id, from, to, *buckets)?;
            let mut lines = vec!["time,min,mean,max,count".to_owned()];
            lines.extend(
                list.iter()
                    .map(|b| format!("{},{},{},{},{}", clock::moment(b.t), b.min, b.mean, b.max, b.count)),
            );
            // Of a source that is watched with a fitted house, what that was expected to show, hour by hour.
            let expected = store.expected(id, from.saturating_sub(3_600_000 - 1), to)?;
            if !expected.is_empty() {
                lines.push("hour,expected,lo,hi".to_owned());
                let line = |e: &store::Expected| {
                    format!("{},{},{},{}", clock::moment(e.hour_ms), e.mean, e.lo, e.hi)
                };
                lines.extend(expected.iter().map(line));
            }
            let data = json!({ "buckets": value(&list), "expected": value(&expected) });
            Answer { lines, data, ..Answer::default() }
        }
    })
}

fn device(d: &store::Device) -> [(&'static str, engine::diag::Arg); 3] {
    [
        ("id", (d.id as f64).into()),
        ("name", d.name.as_str().into()),
        ("when", clock::moment(d.joined_ms).into()),
    ]
}

fn or_none(lines: Vec<String>, words: &Words) -> Vec<String> {
    if lines.is_empty() { vec![words.say("store-none")] } else { lines }
}

fn user() -> Option<String> {
    ["USER", "USERNAME"]
        .iter()
        .find_map(|name| std::env::var_os(name)?.into_string().ok())
        .filter(|n| !n.is_empty())
}

/// A folder by its full path, so that it is known again from elsewhere.
fn place(folder: &Path) -> String {
    let full = folder.canonicalize().unwrap_or_else(|_| folder.to_path_buf());
    full.display().to_string()
}
