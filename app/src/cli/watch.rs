//! `airwright watch JOB [--since TIME]`: the series of a job lived through; events go to `out/watch-events.json`.

use super::{OnJob, work};
use anyhow::Result;
use api::Request;

/// Runs it; exit status 1 where something was told.
pub(crate) fn run(on: &OnJob, since: Option<&str>, quiet: bool) -> Result<u8> {
    work::run(on, &Request::Watch { since: since.map(str::to_owned) }, quiet)
}

/// A date, or a date and a time.
pub(crate) fn since(text: &str) -> Result<String, String> {
    let is_date = text.parse::<jiff::civil::Date>().is_ok() && text.len() == 10;
    match is_date || text.parse::<jiff::civil::DateTime>().is_ok() {
        true => Ok(text.to_owned()),
        false => Err("a date such as 2026-11-12, or a date and a time".to_owned()),
    }
}
