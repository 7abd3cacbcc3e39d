//! `airwright rules JOB --ready SET`: a ready set of rules for this house, as text.

use super::data;
use crate::{clock, files};
use anyhow::{Result, bail};
use api::Inputs;
use std::path::Path;

/// Prints the set.
pub(crate) fn ready(job: &Path, set: &str) -> Result<u8> {
    let inputs = Inputs { files: files::read_job(job)?, now: clock::now() };
    match api::ready_rules(&inputs, set) {
        Some(text) => {
            data(&text);
            Ok(0)
        }
        None => bail!("{}", api::words(&inputs).say("cli-rules-need-a-house")),
    }
}
