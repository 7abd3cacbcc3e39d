//! `airwright dev ask`: the phone's questions on standard input, one JSON a line, answered likewise.
//! For tests that hold the engine of a browser against this one.

use super::data;
use anyhow::Result;
use std::io::BufRead;

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
