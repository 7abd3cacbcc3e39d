//! `airwright demo [DIR]`.

use super::{data, talk, work};
use crate::{clock, files};
use anyhow::{Result, anyhow};
use api::{Inputs, Request};
use std::path::Path;

/// Writes the demonstration house, works it and says what to try next.
pub(crate) fn run(dir: &Path, quiet: bool) -> Result<u8> {
    let words = api::plain_words();
    files::want_free(dir)?;
    let job = api::demo().map_err(|e| anyhow!(e))?;
    files::write_all(dir, &job)?;
    let inputs = Inputs { files: files::read_job(dir)?, now: clock::now() };
    let outcome = work::ask(&Request::Work, &inputs, &words, quiet);
    let written = work::finish(dir, &outcome)?;
    work::tell(&inputs, &outcome, &words);
    if outcome.stopped {
        talk(&format!("{}\n", words.say("cli-stopped")));
        return Ok(2);
    }
    for path in written {
        data(&format!("{}\n", words.text("cli-wrote", &[("path", path.display().to_string().into())])));
    }
    data(&format!("{}\n", words.text("cli-try-next", &[("command", "airwright new my-house".into())])));
    // What needs attention in the invented house is part of the show.
    Ok(if outcome.exit_code() == 2 { 2 } else { 0 })
}
