//! `airwright work|results|fit|plans|next|report JOB`.

use super::{OnJob, colour, data, talk};
use crate::progress::Listener;
use crate::{clock, files, plain};
use anyhow::Result;
use api::{Inputs, Outcome, Request, Speech};
use engine::diag::{Diagnostic, code};
use report::terminal::{Style, render_all};
use report::words::Words;
use std::collections::BTreeMap;
use std::io::IsTerminal;
use std::path::{Path, PathBuf};

/// Reads the folder, asks, prints and writes; returns the exit status.
pub(crate) fn run(on: &OnJob, request: &Request, quiet: bool) -> Result<u8> {
    run_with(on, request, quiet, |_, _, _| Ok(Vec::new()))
}

/// The same, with more files that are made of the answer; what they are is told in the answer.
pub(crate) fn run_with(
    on: &OnJob,
    request: &Request,
    quiet: bool,
    further: impl FnOnce(&mut Outcome, &Inputs, &Words) -> Result<Vec<PathBuf>>,
) -> Result<u8> {
    let mut inputs = Inputs { files: files::read_job(&on.job)?, now: clock::now() };
    if !inputs.files.iter().any(|f| f.name == "job.toml") {
        return Err(plain::no_job(&on.job));
    }
    let words = api::words(&inputs);
    let logo = logo(&on.job, &mut inputs);
    if matches!(request, Request::Report { .. } | Request::Work) {
        photos(&on.job, &mut inputs);
    }
    // Beside JSON a terminal stays clean; a log hears the first ranking.
    let clean = on.json && std::io::stderr().is_terminal();
    let mut outcome = ask(request, &inputs, &words, quiet || clean);
    outcome.diagnostics.list.extend(logo);
    let written = finish(&on.job, &outcome).and_then(|mut written| {
        written.extend(further(&mut outcome, &inputs, &words)?);
        Ok(written)
    });
    let written = match written {
        Ok(written) => written,
        Err(error) => {
            // What was worked is shown even where it cannot be written.
            if !on.json {
                tell(&inputs, &outcome, &words);
            }
            return Err(error);
        }
    };
    if on.json {
        data(&format!("{:#}\n", outcome.json(&inputs.files, &words)));
    } else {
        tell(&inputs, &outcome, &words);
        for path in written {
            data(&format!("{}\n", words.text("cli-wrote", &[("path", path.display().to_string().into())])));
        }
    }
    if outcome.stopped {
        talk(&format!("{}\n", words.say("cli-stopped")));
    }
    Ok(outcome.exit_code())
}

/// Brings the letterhead's picture, or says why not.
fn logo(job: &Path, inputs: &mut Inputs) -> Option<Diagnostic> {
    let name = api::logo_of(&inputs.files)?;
    match files::picture(job, &name, files::LARGEST_LOGO) {
        Some(file) => {
            inputs.files.push(file);
            None
        }
        None => {
            let most = (files::LARGEST_LOGO / 1000) as f64;
            Some(Diagnostic::warning(code::K184).arg("logo", name).arg("kilobytes", most))
        }
    }
}

/// Brings the photos of the visits; the record says which are lacking.
fn photos(job: &Path, inputs: &mut Inputs) {
    let mut left = files::LARGEST_PHOTOS;
    for places in api::photos_of(&inputs.files) {
        let there = |name: &String| inputs.files.iter().any(|f| f.name == *name);
        if places.iter().any(there) {
            continue;
        }
        let most = left.min(files::LARGEST_PHOTO);
        if let Some(file) = places.iter().find_map(|name| files::picture(job, name, most)) {
            left = left.saturating_sub(file.text.len());
            inputs.files.push(file);
        }
    }
}

/// Asks with progress and Ctrl-C.
pub(crate) fn ask(request: &Request, inputs: &Inputs, words: &Words, quiet: bool) -> Outcome {
    ask_in(request, inputs, &Speech::default(), words, quiet)
}

/// The same, answered in a language and units of its own.
pub(super) fn ask_in(
    request: &Request,
    inputs: &Inputs,
    speech: &Speech,
    words: &Words,
    quiet: bool,
) -> Outcome {
    let mut listener = Listener::new(*words, quiet);
    let outcome = api::answer_in(request, inputs, speech, &mut |p| listener.hear(p));
    listener.done();
    outcome
}

/// Writes the documents below the job's `out` folder.
pub(crate) fn finish(job: &Path, outcome: &Outcome) -> Result<Vec<PathBuf>> {
    files::write_all(&job.join(files::OUT), &outcome.documents)
}

/// Prints the summary, safety first, then what was found to standard error.
pub(crate) fn tell(inputs: &Inputs, outcome: &Outcome, words: &Words) {
    data(&outcome.summary.text);
    if !outcome.diagnostics.list.is_empty() {
        let sources: BTreeMap<String, String> =
            inputs.files.iter().map(|f| (f.name.clone(), f.text.clone())).collect();
        talk(&render_all(&outcome.diagnostics, &sources, words, Style { colour: colour() }));
    }
}
