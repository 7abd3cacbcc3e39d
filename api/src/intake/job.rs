//! Bringing files into a job: what the command line and a browser both do, step by step.
//!
//! [`Session::propose`] looks at the beginning of a file, or takes the mapping that the job keeps for
//! its instrument; [`Session::convert`] reads the whole of it into a series; [`Session::compare`]
//! holds the clocks of several loggers against each other. Who calls moves the bytes.

use super::look::{self, Looked, Question, Seen};
use super::mapping::Mapping;
use super::read::{Reading, read};
use super::time::{Clock, stamp};
use super::write::{Writer, Written};
use super::{guess, show};
use crate::Inputs;
use engine::diag::{Arg, Diagnostic, Severity, code};
use engine::doc::{Documents, File, Sink, load};
use engine::series::align::{self, Untold};
use engine::series::quality::Flag;
use engine::units::Quantity;
use report::words::{Language, Words};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use std::io::{self, Read, Write};
use std::ops::ControlFlow;

/// A series in a job is read into memory as a whole; a longer one must be averaged, bytes.
const LONGEST_SERIES: usize = 60 << 20;
/// Rows that are shown as understood.
const SHOWN: usize = 4;

/// How files are to be brought in.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, schemars::JsonSchema)]
pub struct Asked {
    /// Name of the instrument; the file's own name where nobody says.
    #[serde(default)]
    pub instrument: Option<String>,
    /// Date of the visit beside which the series go; the last one where nobody says.
    #[serde(default)]
    pub visit: Option<String>,
    /// Zone where the instrument stood.
    #[serde(default)]
    pub zone: Option<String>,
    /// The mapping shown is right: keep it and write the series.
    #[serde(default)]
    pub approve: bool,
    /// Write nothing.
    #[serde(default)]
    pub dry_run: bool,
    /// Means over so much time, such as `5 min`.
    #[serde(default)]
    pub every: Option<String>,
    /// Answers to questions, by their ids.
    #[serde(default)]
    pub answers: BTreeMap<String, String>,
}

/// A file as a browser hands it over: its text, or its bytes where it is no UTF-8.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, schemars::JsonSchema)]
pub struct Received {
    /// Its name.
    pub name: String,
    /// Its text.
    #[serde(default)]
    pub text: String,
    /// Its bytes, which count where there are any.
    #[serde(default)]
    pub bytes: Vec<u8>,
}

impl Received {
    fn all(&self) -> &[u8] {
        if self.bytes.is_empty() { self.text.as_bytes() } else { &self.bytes }
    }
}

/// What is known of a job when files come.
pub struct Session {
    asked: Asked,
    words: Words,
    documents: Documents,
    files: Vec<String>,
    mappings: Vec<File>,
    now_ms: Option<i64>,
    every_ms: Option<i64>,
    /// What is wrong with the question itself.
    pub found: Vec<Diagnostic>,
}

/// What is proposed for one file.
#[derive(Debug)]
pub struct Proposal {
    /// The file.
    pub file: String,
    /// Name of the instrument.
    pub instrument: String,
    /// Its mapping, made or kept.
    pub mapping: Option<Mapping>,
    /// Whether the job keeps it already.
    pub kept: bool,
    /// What looking gave, where the mapping is new.
    pub looked: Looked,
    /// First rows as understood.
    pub first: Vec<Understood>,
    /// Everything found.
    pub found: Vec<Diagnostic>,
    /// Name of the series within the job; nothing without a visit.
    pub series: Option<String>,
}

/// A row as understood.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Understood {
    /// Milliseconds since 1970 UTC.
    pub time_ms: i64,
    /// The same on the series' own clock.
    pub time: String,
    /// Values in the columns' units.
    pub values: Vec<Option<f64>>,
}

/// A series as made.
#[derive(Debug)]
pub struct Converted<W> {
    /// The target.
    pub out: W,
    /// How reading went.
    pub reading: Reading,
    /// What was written.
    pub written: Written,
    /// Everything found.
    pub found: Vec<Diagnostic>,
}

impl<W> Converted<W> {
    /// Whether the series may be kept.
    pub fn is_good(&self) -> bool {
        self.written.rows > 0 && !self.found.iter().any(|d| d.severity == Severity::Error)
    }
}

/// The clocks of two loggers.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Compared {
    /// The logger whose clock is told.
    pub of: String,
    /// The one it is held against.
    pub against: String,
    /// The column that told.
    pub by: Option<String>,
    /// Offset, s: the first clock shows so much more.
    pub offset_s: Option<f64>,
    /// Its standard uncertainty, s.
    pub std_s: Option<f64>,
    /// Correlation there.
    pub correlation: Option<f64>,
    /// Why there is none.
    pub reason: Option<Untold>,
}

/// One file as answered.
#[derive(Debug, Serialize)]
pub struct Imported {
    /// The file.
    pub file: String,
    /// The instrument.
    pub instrument: String,
    /// The mapping, as a document.
    pub mapping: Option<String>,
    /// Whether it was kept before.
    pub mapping_kept: bool,
    /// Every column of the file.
    pub columns: Vec<Seen>,
    /// What is asked.
    pub questions: Vec<Question>,
    /// First rows as understood.
    pub first_rows: Vec<Understood>,
    /// The series, where it was made.
    pub series: Option<String>,
    /// Rows in it.
    pub rows: usize,
    /// Rows and cells not taken, by reason.
    pub rejects: BTreeMap<super::reject::Reason, usize>,
    /// The first of each kind.
    pub rejected: Vec<super::reject::Reject>,
    /// Rows under each flag, by column.
    pub flags: BTreeMap<String, BTreeMap<&'static str, usize>>,
}

/// All files as answered.
#[derive(Debug, Default, Serialize)]
pub struct Import {
    /// Each file.
    pub files: Vec<Imported>,
    /// Clocks of several loggers against the first.
    pub clocks: Vec<Compared>,
    /// New files of the job itself: mappings and series. None of them was there.
    pub additions: Vec<Addition>,
    /// Originals to keep verbatim: the file and its name within the job.
    pub originals: Vec<(String, String)>,
}

/// A new file of the job.
#[derive(Debug, Serialize)]
pub struct Addition {
    /// Its name within the job.
    pub name: String,
    /// Its text.
    pub text: String,
}

impl Session {
    /// Opens a session on the files of a job.
    pub fn open(inputs: &Inputs, asked: &Asked) -> Session {
        // What is wrong in the documents is told by every other command.
        let documents = load(&inputs.files, &Sink::default());
        let job = &documents.job;
        let language = Language::from_tag(&job.language).unwrap_or(Language::En);
        let words = Words::new(language, job.units);
        let mut found = Vec::new();
        if let (Some(zone), Some(house)) = (&asked.zone, &documents.house) {
            let names: Vec<&str> = house.zones.iter().map(|z| z.name.value.as_str()).collect();
            if !names.contains(&zone.as_str()) {
                found.push(
                    Diagnostic::error(code::I131)
                        .arg("name", zone.as_str())
                        .arg("near", engine::text::closest(zone, names.iter().copied()).unwrap_or(""))
                        .arg("known", names.join(", ")),
                );
            }
        }
        let every_ms =
            asked.every.as_ref().and_then(|text| match engine::units::parse(text, Quantity::Time) {
                Ok(w) if (1.0..=86_400.0).contains(&w.si) => Some((w.si * 1000.0).round() as i64),
                _ => {
                    found.push(Diagnostic::error(code::I137).arg("id", "every").arg("found", text.as_str()));
                    None
                }
            });
        for (id, answer) in &asked.answers {
            let good = match id.as_str() {
                "clock" => Clock::read(answer).is_some(),
                "date-order" => matches!(answer.as_str(), "y-m-d" | "d/m/y" | "m/d/y"),
                "decimal" => matches!(answer.as_str(), "comma" | "point"),
                "start" => {
                    super::time::calendar(answer, super::time::Form::Ymd).is_some_and(|w| w.date.is_some())
                }
                _ => id.starts_with("unit."),
            };
            if !good {
                found
                    .push(Diagnostic::error(code::I137).arg("id", id.as_str()).arg("found", answer.as_str()));
            }
        }
        let folder = |v: &engine::doc::visit::Visit| match &asked.visit {
            Some(date) => v.folder.rsplit('/').next() == Some(date.as_str()) || v.date == *date,
            None => true,
        };
        if !documents.visits.iter().any(folder) {
            let known: Vec<&str> = documents.visits.iter().map(|v| v.date.as_str()).collect();
            found.push(
                Diagnostic::error(code::I138)
                    .arg("date", asked.visit.as_deref().unwrap_or(""))
                    .arg("known", known.join(", ")),
            );
        }
        let now = super::time::calendar(&inputs.now, super::time::Form::Ymd);
        let now_ms = now.and_then(|w| {
            let local = w.date?.to_datetime(w.time.unwrap_or(jiff::civil::Time::midnight()));
            Some(super::time::ms_of_civil(local) - i64::from(w.offset_s.unwrap_or(0)) * 1000)
        });
        let is_mapping = |f: &&File| f.name.starts_with("intake/") && f.name.ends_with(".toml");
        Session {
            asked: asked.clone(),
            words,
            files: inputs.files.iter().map(|f| f.name.clone()).collect(),
            mappings: inputs.files.iter().filter(is_mapping).cloned().collect(),
            documents,
            now_ms,
            every_ms,
            found,
        }
    }

    /// Words of the job.
    pub fn words(&self) -> &Words {
        &self.words
    }

    fn visit(&self) -> Option<&str> {
        let visits = &self.documents.visits;
        let found = match &self.asked.visit {
            Some(date) => {
                visits.iter().find(|v| v.folder.rsplit('/').next() == Some(date.as_str()) || v.date == *date)
            }
            None => visits.last(),
        };
        found.map(|v| v.folder.as_str())
    }

    /// Looks at the beginning of a file (its first [`look::HEAD`] bytes). `several` tells that more files
    /// come in one go.
    pub fn propose(&self, file: &str, head: &[u8], several: bool) -> Proposal {
        let base = file.rsplit(['/', '\\']).next().unwrap_or(file);
        let stem = base.rsplit_once('.').map_or(base, |(s, _)| s);
        let instrument = guess::slug(self.asked.instrument.as_deref().unwrap_or(stem));
        let series = self.visit().map(|folder| match (&self.asked.instrument, several) {
            (Some(_), true) => format!("{folder}/{instrument}-{}.csv", guess::slug(stem)),
            _ => format!("{folder}/{instrument}.csv"),
        });
        let mut out = Proposal {
            file: file.to_owned(),
            instrument: instrument.clone(),
            mapping: None,
            kept: false,
            looked: Looked::default(),
            first: Vec::new(),
            found: Vec::new(),
            series,
        };
        let name = format!("intake/{instrument}.toml");
        if let Some(document) = self.mappings.iter().find(|f| f.name == name) {
            let sink = Sink::default();
            out.mapping = Mapping::read(document, &sink);
            out.found.extend(sink.into_inner().list);
            out.kept = true;
        } else {
            let asked = look::Asked {
                file: base,
                head,
                instrument: &instrument,
                zone: self.asked.zone.as_deref(),
                time_zone: self.documents.job.place.time_zone.as_ref().map(|z| z.value.as_str()),
                answers: &self.asked.answers,
            };
            out.looked = look::look(&asked);
            out.mapping = out.looked.mapping.clone();
            out.found.append(&mut out.looked.found);
        }
        if let Some(mapping) = &out.mapping {
            let mut first: Vec<(i64, Vec<Option<f64>>)> = Vec::new();
            let mut take = |r: &super::read::Record<'_>| {
                if first.len() < SHOWN {
                    first.push((r.time_ms, r.values.to_vec()));
                }
                ControlFlow::Continue(())
            };
            // Memory cannot fail to be read. The head may end within a row, so rejects say nothing here.
            if let Ok(reading) = read(mapping, head, self.now_ms.unwrap_or(0), base, &mut take) {
                out.found.extend(reading.found);
            }
            let offset_s = first.first().map_or(0, |(ms, _)| self.offset_s(mapping, *ms));
            out.first = first
                .into_iter()
                .map(|(time_ms, values)| {
                    let mut time = String::new();
                    stamp(time_ms, offset_s, &mut time);
                    Understood { time_ms, time, values }
                })
                .collect();
        }
        let taken = |name: &str| self.files.iter().any(|f| f == name);
        if let Some(series) = out.series.as_deref().filter(|s| taken(s)) {
            out.found.push(Diagnostic::error(code::I130).arg("file", series));
        }
        out
    }

    /// Whether the proposal can be carried out: nothing wrong, nothing open, and approved or kept.
    pub fn goes(&self, proposal: &Proposal) -> bool {
        let wrong = |d: &Diagnostic| d.severity == Severity::Error;
        proposal.mapping.is_some()
            && (proposal.kept || (self.asked.approve && proposal.looked.questions.is_empty()))
            && !proposal.found.iter().chain(&self.found).any(wrong)
    }

    /// Remembers what was carried out: later files of the instrument are read the same way, and no
    /// name is used twice.
    pub fn keep(&mut self, proposal: &Proposal) {
        self.files.extend(proposal.series.clone());
        let name = format!("intake/{}.toml", proposal.instrument);
        if let Some(mapping) = &proposal.mapping
            && !self.mappings.iter().any(|f| f.name == name)
        {
            self.mappings.push(File { name, text: mapping.write(&proposal.file) });
        }
    }

    /// What forbids it, where it was approved with questions open.
    pub fn open_questions(&self, proposal: &Proposal) -> Vec<Diagnostic> {
        let open = proposal.looked.questions.iter().filter(|_| self.asked.approve);
        open.map(|q| {
            Diagnostic::error(code::I129)
                .arg("file", proposal.file.as_str())
                .arg("id", q.id.as_str())
                .arg("choices", q.choices.join(", "))
        })
        .collect()
    }

    /// The clock on which the series stands, s east of UTC: that of the mapping, or the job's where
    /// times were UTC.
    fn offset_s(&self, mapping: &Mapping, first_ms: i64) -> i32 {
        let job = self.documents.job.place.time_zone.as_ref().and_then(|z| Clock::read(&z.value));
        match (&mapping.time.clock, job) {
            (clock @ Clock::Zone(..), _) => clock.offset_s(first_ms),
            (Clock::Fixed(s), _) if *s != 0 => *s,
            (_, Some(job)) => job.offset_s(first_ms),
            _ => 0,
        }
    }

    /// Reads the whole file into a series. `hash` is that of the original.
    ///
    /// # Errors
    /// What source or target say.
    pub fn convert<R: Read, W: Write>(
        &self,
        proposal: &Proposal,
        source: R,
        hash: &str,
        out: W,
    ) -> io::Result<Converted<W>> {
        let Some(mapping) = &proposal.mapping else {
            return Err(io::Error::new(io::ErrorKind::InvalidInput, proposal.file.clone()));
        };
        let first_ms = proposal.first.first().map_or(0, |r| r.time_ms);
        let offset_s = self.offset_s(mapping, first_ms);
        let head = show::head(proposal, mapping, hash, offset_s, &self.words);
        let now_ms = self.now_ms;
        let mut writer =
            Writer::new(out, mapping, offset_s, self.every_ms, now_ms.unwrap_or(i64::MAX), &head)?;
        let mut failed = None;
        let mut take = |record: &super::read::Record<'_>| match writer.push(record) {
            Ok(()) => ControlFlow::Continue(()),
            Err(error) => {
                failed = Some(error);
                ControlFlow::Break(())
            }
        };
        let reading = read(mapping, source, now_ms.unwrap_or(0), &proposal.file, &mut take)?;
        if let Some(error) = failed {
            return Err(error);
        }
        let (out, written) = writer.finish()?;
        let mut found = reading.found.clone();
        let file = proposal.file.as_str();
        found.extend(reading.rejects.diagnostics(file));
        found.extend(written.rejects.diagnostics(file));
        if written.rows == 0 {
            found.push(Diagnostic::error(code::I136).arg("file", file));
        }
        if written.bytes > LONGEST_SERIES {
            found.push(
                Diagnostic::error(code::I135)
                    .arg("file", file)
                    .arg("size", (written.bytes >> 20).to_string())
                    .arg("most", (LONGEST_SERIES >> 20).to_string()),
            );
        }
        if let Some((_, last_ms)) = reading.time_ms
            && self.offset_s(mapping, last_ms) != offset_s
        {
            found.push(
                Diagnostic::note(code::I139).arg("file", file).arg("clock", Clock::Fixed(offset_s).write()),
            );
        }
        for (column, doubts) in mapping.columns.iter().zip(&written.doubts) {
            for flag in Flag::ALL {
                let count = doubts.count(flag);
                // Every record begins with a sensor that settles.
                if count == 0 || flag == Flag::Settling {
                    continue;
                }
                let first = doubts.list.iter().find(|d| d.flag == flag);
                let mut when = String::new();
                if let Some(first) = first {
                    stamp(first.time_ms.0, offset_s, &mut when);
                }
                found.push(
                    Diagnostic::warning(code::I132)
                        .arg("file", file)
                        .arg("column", column.name.as_str())
                        .arg("flag", flag.key())
                        .arg("count", count)
                        .arg("when", when),
                );
            }
        }
        Ok(Converted { out, reading, written, found })
    }

    /// Holds the clock of each logger against that of the first, by the column that tells most.
    pub fn compare(&self, all: &[(&Proposal, &Written)]) -> (Vec<Compared>, Vec<Diagnostic>) {
        let (mut list, mut found) = (Vec::new(), Vec::new());
        let Some(((first, first_written), others)) = all.split_first() else { return (list, found) };
        let Some(first_mapping) = &first.mapping else { return (list, found) };
        for (other, written) in others {
            let Some(mapping) = &other.mapping else { continue };
            let mut best: Result<(align::Offset, String), Untold> = Err(Untold::TooShort);
            for (a, column) in mapping.columns.iter().enumerate() {
                for (b, with) in first_mapping.columns.iter().enumerate() {
                    if column.quantity != with.quantity || column.name != with.name {
                        continue;
                    }
                    let (Some(x), Some(y)) = (written.thin.get(a), first_written.thin.get(b)) else {
                        continue;
                    };
                    let told = align::offset(x, y, align::Asked::default()).map(|o| (o, column.name.clone()));
                    best = match (best, told) {
                        (Ok(b), Ok(t)) => Ok(if t.0.std_s < b.0.std_s { t } else { b }),
                        (Err(_), Ok(t)) => Ok(t),
                        (Ok(b), Err(_)) => Ok(b),
                        (Err(Untold::TooShort), Err(e)) => Err(e),
                        (Err(b), Err(_)) => Err(b),
                    };
                }
            }
            let told = best.as_ref().ok();
            let names = |d: Diagnostic| {
                d.arg("of", other.instrument.as_str()).arg("against", first.instrument.as_str())
            };
            found.push(match &best {
                Ok((offset, by)) => {
                    // More than two standard deviations and more than half a minute off needs a look.
                    let off = offset.offset_s.abs() > 2.0 * offset.std_s && offset.offset_s.abs() > 30.0;
                    let d = if off { Diagnostic::warning(code::I133) } else { Diagnostic::note(code::I133) };
                    names(d)
                        .arg("by", by.as_str())
                        .arg("offset", Arg::Text(format!("{:.0}", offset.offset_s)))
                        .arg("std", Arg::Text(format!("{:.0}", offset.std_s)))
                        .arg("correlation", Arg::Text(format!("{:.2}", offset.correlation)))
                }
                Err(why) => {
                    let key = serde_json::to_value(why).ok().and_then(|v| v.as_str().map(str::to_owned));
                    names(Diagnostic::note(code::I134)).arg("why", key.unwrap_or_default())
                }
            });
            list.push(Compared {
                of: other.instrument.clone(),
                against: first.instrument.clone(),
                by: told.map(|t| t.1.clone()),
                offset_s: told.map(|t| t.0.offset_s),
                std_s: told.map(|t| t.0.std_s),
                correlation: told.map(|t| t.0.correlation),
                reason: best.err(),
            });
        }
        (list, found)
    }

    /// The proposal in plain words.
    pub fn told(&self, proposal: &Proposal) -> String {
        show::proposal(proposal, self.goes(proposal), &self.words)
    }

    /// What was made, in plain words.
    pub fn made<W>(&self, proposal: &Proposal, converted: &Converted<W>) -> String {
        show::made(proposal, &converted.reading, &converted.written, &self.words)
    }

    /// One file as answered.
    pub fn answered(&self, proposal: &Proposal, made: Option<(&Reading, &Written)>) -> Imported {
        let mapping = proposal.mapping.as_ref();
        let mut flags: BTreeMap<String, BTreeMap<&'static str, usize>> = BTreeMap::new();
        let mut rejects = BTreeMap::new();
        let mut rejected = Vec::new();
        if let (Some(mapping), Some((reading, written))) = (mapping, made) {
            for (column, doubts) in mapping.columns.iter().zip(&written.doubts) {
                let counts =
                    Flag::ALL.into_iter().map(|f| (f.key(), doubts.count(f))).filter(|(_, n)| *n > 0);
                flags.insert(column.name.clone(), counts.collect());
            }
            for (reason, count) in reading.rejects.counts.iter().chain(&written.rejects.counts) {
                *rejects.entry(*reason).or_default() += count;
            }
            rejected.extend(reading.rejects.kept.iter().chain(&written.rejects.kept).cloned());
        }
        Imported {
            file: proposal.file.clone(),
            instrument: proposal.instrument.clone(),
            mapping: mapping.map(|m| m.write(&proposal.file)),
            mapping_kept: proposal.kept,
            columns: proposal.looked.columns.clone(),
            questions: proposal.looked.questions.clone(),
            first_rows: proposal.first.clone(),
            series: made.and(proposal.series.clone()),
            rows: made.map_or(0, |(_, w)| w.rows),
            rejects,
            rejected,
            flags,
        }
    }
}

/// Name under which an original is kept: its hash and its ending.
pub fn kept_as(file: &str, hash: &str) -> String {
    let ending = file.rsplit(['/', '\\']).next().and_then(|f| f.rsplit_once('.')).map_or("", |(_, e)| e);
    let plain = !ending.is_empty() && ending.len() <= 8 && ending.bytes().all(|b| b.is_ascii_alphanumeric());
    if plain {
        format!("attachments/{hash}.{}", ending.to_lowercase())
    } else {
        format!("attachments/{hash}")
    }
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|b| format!("{b:02x}")).collect()
}

/// The hash of a source, under which its original is kept.
///
/// # Errors
/// What the source says.
pub fn hash_of<R: Read>(mut source: R) -> io::Result<String> {
    use sha2::{Digest, Sha256};
    let mut hash = Sha256::new();
    let mut block = vec![0; 1 << 16];
    loop {
        match source.read(&mut block) {
            Ok(0) => return Ok(hex(&hash.finalize())),
            Ok(n) => hash.update(block.get(..n).unwrap_or(&[])),
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return Err(error),
        }
    }
}

/// Brings files that lie in memory into a job, whole: what a browser asks for.
pub(crate) fn answer(
    inputs: &Inputs,
    received: &[Received],
    asked: &Asked,
) -> (Import, Vec<Diagnostic>, String) {
    use sha2::{Digest, Sha256};
    let mut session = Session::open(inputs, asked);
    let (mut out, mut found, mut text) = (Import::default(), session.found.clone(), String::new());
    let mut made: Vec<(Proposal, Option<Converted<Vec<u8>>>)> = Vec::new();
    for file in received {
        let bytes = file.all();
        let head = bytes.get(..look::HEAD.min(bytes.len())).unwrap_or(bytes);
        let proposal = session.propose(&file.name, head, received.len() > 1);
        text.push_str(&session.told(&proposal));
        found.extend(session.open_questions(&proposal));
        let mut converted = None;
        if session.goes(&proposal) {
            let hash = hex(&Sha256::digest(bytes));
            match session.convert(&proposal, bytes, &hash, Vec::new()) {
                Ok(done) => {
                    found.extend(done.found.iter().cloned());
                    if done.is_good() {
                        session.keep(&proposal);
                        text.push_str(&session.made(&proposal, &done));
                        out.originals.push((file.name.clone(), kept_as(&file.name, &hash)));
                    }
                    converted = Some(done);
                }
                // Memory cannot fail; a proposal without a mapping does not go.
                Err(_) => found.push(Diagnostic::error(code::I136).arg("file", file.name.as_str())),
            }
        }
        found.extend(proposal.found.iter().cloned());
        made.push((proposal, converted));
    }
    let good: Vec<(&Proposal, &Written)> = made
        .iter()
        .filter_map(|(p, c)| c.as_ref().filter(|c| c.is_good()).map(|c| (p, &c.written)))
        .collect();
    let (clocks, told) = session.compare(&good);
    out.clocks = clocks;
    found.extend(told);
    for (proposal, converted) in &made {
        let good = converted.as_ref().filter(|c| c.is_good());
        let shown = converted.as_ref().map(|c| (&c.reading, &c.written));
        out.files.push(session.answered(proposal, shown));
        let (Some(good), Some(mapping), Some(series)) = (good, &proposal.mapping, &proposal.series) else {
            continue;
        };
        if asked.dry_run {
            continue;
        }
        if !proposal.kept {
            let name = format!("intake/{}.toml", proposal.instrument);
            out.additions.push(Addition { name, text: mapping.write(&proposal.file) });
        }
        // The writer writes text.
        let text = String::from_utf8_lossy(&good.out).into_owned();
        out.additions.push(Addition { name: series.clone(), text });
    }
    if asked.dry_run {
        out.originals.clear();
    }
    (out, found, text)
}
