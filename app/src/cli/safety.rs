//! `airwright safety JOB`.

use super::{OnJob, work};
use crate::files;
use anyhow::Result;
use api::Request;

/// Asks with the names of the job's other files, so that photos can be looked up.
pub(crate) fn run(on: &OnJob, quiet: bool) -> Result<u8> {
    let attachments = if on.job.is_dir() { Some(files::others(&on.job)?) } else { None };
    work::run(on, &Request::Safety { attachments }, quiet)
}
