//! `airwright import JOB FILE|FOLDER...`: files of loggers into a job.
//!
//! A file is read through twice (once for its hash) and never held in memory. The series is written
//! under a temporary name and kept only when the whole of it was good; originals are copied by hash.

use super::{colour, data, talk};
use crate::{clock, files, plain};
use anyhow::{Context, Result};
use api::intake::job::{Asked, Converted, Import as Answer, Proposal, Session, hash_of, kept_as};
use api::intake::look::HEAD;
use api::intake::write::Written;
use api::{Inputs, envelope_json};
use clap::Args;
use engine::diag::{Diagnostic, Diagnostics, Severity};
use report::terminal::{Style, render_all};
use std::collections::BTreeMap;
use std::io::{BufWriter, Write};
use std::path::{Path, PathBuf};

/// What to bring in, and how.
#[derive(Debug, Args)]
pub(crate) struct Import {
    /// The job folder.
    job: PathBuf,
    /// Files, or folders with files.
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// Name of the instrument; the file's own name without it.
    #[arg(long = "as", value_name = "INSTRUMENT")]
    instrument: Option<String>,
    /// Date of the visit beside which the series goes; the last visit without it.
    #[arg(long, value_name = "DATE")]
    visit: Option<String>,
    /// Zone of the house where the instrument stood.
    #[arg(long, value_name = "NAME")]
    zone: Option<String>,
    /// The mapping that was shown is right: keep it and write the series.
    #[arg(long)]
    approve: bool,
    /// Read everything and write nothing.
    #[arg(long)]
    dry_run: bool,
    /// Keep means over so much time, such as "5 min".
    #[arg(long, value_name = "TIME")]
    every: Option<String>,
    /// Answer to a question that was shown, such as "clock=UTC"; may be given several times.
    #[arg(long, value_name = "ID=VALUE", value_parser = answer)]
    answer: Vec<(String, String)>,
    /// Print JSON instead of text.
    #[arg(long)]
    json: bool,
}

fn answer(text: &str) -> Result<(String, String), String> {
    match text.split_once('=') {
        Some((id, value)) if !id.trim().is_empty() => Ok((id.trim().to_owned(), value.trim().to_owned())),
        _ => Err("ID=VALUE, such as clock=UTC".to_owned()),
    }
}

/// A file that went, or did not.
struct Done {
    proposal: Proposal,
    made: Option<(api::intake::read::Reading, Written)>,
    good: bool,
}

/// Shows, and writes what is approved.
pub(crate) fn run(asked: &Import) -> Result<u8> {
    let inputs = Inputs { files: files::read_job(&asked.job)?, now: clock::now() };
    if !inputs.files.iter().any(|f| f.name == "job.toml") {
        return Err(plain::no_job(&asked.job));
    }
    let how = Asked {
        instrument: asked.instrument.clone(),
        visit: asked.visit.clone(),
        zone: asked.zone.clone(),
        approve: asked.approve,
        dry_run: asked.dry_run,
        every: asked.every.clone(),
        answers: asked.answer.iter().cloned().collect(),
    };
    let mut session = Session::open(&inputs, &how);
    let words = *session.words();
    let mut paths = Vec::new();
    for path in &asked.files {
        paths.extend(files::below(path)?);
    }
    if paths.is_empty() {
        let shown: Vec<String> = asked.files.iter().map(|p| p.display().to_string()).collect();
        return Err(plain::refused("cli-import-nothing", &[("path", shown.join(", ").into())]));
    }
    let mut found = session.found.clone();
    let (mut all, mut wrote, mut originals) = (Vec::new(), Vec::new(), Vec::new());
    for path in &paths {
        let name = path.display().to_string();
        let proposal = session.propose(&name, &files::head(path, HEAD)?, paths.len() > 1);
        found.extend(proposal.found.iter().cloned());
        found.extend(session.open_questions(&proposal));
        if !asked.json {
            data(&session.told(&proposal));
        }
        let mut done = Done { proposal, made: None, good: false };
        if session.goes(&done.proposal) {
            let hash = hash_of(files::open(path)?).with_context(|| format!("cannot read `{name}`"))?;
            let (converted, written) = bring(asked, &session, &done.proposal, path, &hash)?;
            found.extend(converted.found.iter().cloned());
            done.good = converted.is_good();
            if done.good {
                session.keep(&done.proposal);
                originals.push((name, kept_as(&done.proposal.file, &hash)));
                if !asked.json {
                    data(&session.made(&done.proposal, &converted));
                }
            }
            wrote.extend(written);
            done.made = Some((converted.reading, converted.written));
        }
        all.push(done);
    }
    let good: Vec<(&Proposal, &Written)> = all
        .iter()
        .filter(|d| d.good)
        .filter_map(|d| d.made.as_ref().map(|(_, written)| (&d.proposal, written)))
        .collect();
    let (clocks, told) = session.compare(&good);
    found.extend(told);
    let mut list = Diagnostics::default();
    found.into_iter().for_each(|d: Diagnostic| list.push(d));
    let waits = all.iter().any(|d| !d.good && !d.proposal.looked.questions.is_empty());
    if asked.json {
        let made = |d: &Done| session.answered(&d.proposal, d.made.as_ref().map(|(r, w)| (r, w)));
        let answer = Answer {
            files: all.iter().map(made).collect(),
            clocks,
            additions: Vec::new(),
            originals: if asked.dry_run { Vec::new() } else { originals },
        };
        let json = envelope_json(&list, &inputs.files, &words, serde_json::json!({ "import": answer }));
        data(&format!("{json:#}\n"));
    } else {
        if !list.list.is_empty() {
            let sources: BTreeMap<String, String> =
                inputs.files.iter().map(|f| (f.name.clone(), f.text.clone())).collect();
            talk(&render_all(&list, &sources, &words, Style { colour: colour() }));
        }
        for path in wrote {
            data(&format!("{}\n", words.text("cli-wrote", &[("path", path.display().to_string().into())])));
        }
    }
    Ok(match list.worst() {
        Some(Severity::Error) if !all.iter().any(|d| d.good) => 2,
        Some(Severity::Error | Severity::Warning) => 1,
        _ => u8::from(waits),
    })
}

/// Reads one file into its series; where it is good and no trial, keeps original, mapping and series.
fn bring(
    asked: &Import,
    session: &Session,
    proposal: &Proposal,
    path: &Path,
    hash: &str,
) -> Result<(Converted<()>, Vec<PathBuf>)> {
    let job = &asked.job;
    let source = files::open(path)?;
    let failed = || format!("cannot read `{}` into a series", path.display());
    let series = proposal.series.as_deref().context("there is no visit")?;
    if asked.dry_run {
        let done = session.convert(proposal, source, hash, std::io::sink()).with_context(failed)?;
        return Ok((without(done), Vec::new()));
    }
    let (draft, file) = files::Draft::new(job, series)?;
    let mut done = session.convert(proposal, source, hash, BufWriter::new(file)).with_context(failed)?;
    done.out.flush().with_context(failed)?;
    let mut wrote = Vec::new();
    if done.is_good() {
        let original = kept_as(&proposal.file, hash);
        if !files::is_there(job, &original) {
            let (copy, mut target) = files::Draft::new(job, &original)?;
            std::io::copy(&mut files::open(path)?, &mut target).with_context(failed)?;
            wrote.push(copy.keep()?);
        }
        let mapping = format!("intake/{}.toml", proposal.instrument);
        if let (false, Some(m)) = (proposal.kept, &proposal.mapping) {
            let (made, mut target) = files::Draft::new(job, &mapping)?;
            target.write_all(m.write(&file_name(path)).as_bytes()).with_context(failed)?;
            wrote.push(made.keep()?);
        }
        wrote.push(draft.keep()?);
    }
    Ok((without(done), wrote))
}

fn file_name(path: &Path) -> String {
    path.file_name().map_or(String::new(), |n| n.to_string_lossy().into_owned())
}

fn without<W>(done: Converted<W>) -> Converted<()> {
    Converted { out: (), reading: done.reading, written: done.written, found: done.found }
}
