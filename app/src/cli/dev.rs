//! `airwright dev ask`: the phone's questions on standard input, one JSON a line, answered likewise.
//! For tests that hold the engine of a browser against this one.
//!
//! `airwright dev logpost JOB`: the fit's log posterior for other people's samplers and optimisers.

use super::data;
use crate::files;
use anyhow::{Result, bail};
use api::Inputs;
use std::io::{BufRead, Write};
use std::path::Path;

/// Answers each line.
pub(crate) fn ask() -> Result<u8> {
    for line in std::io::stdin().lock().lines() {
        let line = line?;
        if !line.trim().is_empty() {
            data(&format!("{}\n", api::phone::ask(&line)));
        }
    }
    Ok(0)
}

/// Answers each line about the log posterior of a job.
pub(crate) fn logpost(job: &Path) -> Result<u8> {
    let inputs = Inputs { files: files::read_job(job)?, now: String::new() };
    let served = api::log_posterior(&inputs, |posterior| {
        let mut out = std::io::stdout().lock();
        for line in std::io::stdin().lock().lines() {
            let line = line?;
            if !line.trim().is_empty() {
                // A line at a time: the asker waits for it.
                out.write_all(posterior.answer(&line).as_bytes())?;
                out.write_all(b"\n")?;
                out.flush()?;
            }
        }
        Ok::<(), std::io::Error>(())
    });
    match served {
        Ok(Ok(())) => Ok(0),
        // Whoever asked has gone.
        Ok(Err(error)) if error.kind() == std::io::ErrorKind::BrokenPipe => Ok(0),
        Ok(Err(error)) => Err(error.into()),
        Err(why) => bail!("{}: {why}", job.display()),
    }
}
