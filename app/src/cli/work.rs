//! `airwright work|results|fit|plans|next|report JOB`.

use super::{OnJob, colour, data, talk};
use crate::progress::Listener;
use crate::{clock, files};
use anyhow::{Result, bail};
use api::{Inputs, Outcome, Request};
use report::terminal::{Style, render_all};
use report::words::Words;
use std::collections::BTreeMap;
use std::io::IsTerminal;
use std::path::Path;

/// Reads the folder, asks, prints and writes; returns the exit status.
pub(crate) fn run(on: &OnJob, request: &Request, quiet: bool) -> Result<u8> {
    let inputs = Inputs { files: files::read_job(&on.job)?, now: clock::now() };
    if !inputs.files.iter().any(|f| f.name == "job.toml") {
        let words = api::plain_words();
        let path = on.job.display().to_string();
        bail!("{}", words.text("cli-not-a-job", &[("path", path.into())]));
    }
    let words = api::words(&inputs);
    // Beside JSON a terminal stays clean; a log hears the first ranking.
    let clean = on.json && std::io::stderr().is_terminal();
    let outcome = ask(request, &inputs, &words, quiet || clean);
    let written = finish(&on.job, &outcome)?;
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

/// Asks with progress and Ctrl-C.
pub(crate) fn ask(request: &Request, inputs: &Inputs, words: &Words, quiet: bool) -> Outcome {
    let mut listener = Listener::new(*words, quiet);
    let outcome = api::answer(request, inputs, &mut |p| listener.hear(p));
    listener.done();
    outcome
}

/// Writes the documents below the job's `out` folder.
pub(crate) fn finish(job: &Path, outcome: &Outcome) -> Result<Vec<std::path::PathBuf>> {
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
