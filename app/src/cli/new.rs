//! `airwright new DIR`.

use super::data;
use crate::{clock, files};
use anyhow::Result;
use std::path::Path;

/// Writes the starter.
pub(crate) fn run(dir: &Path) -> Result<u8> {
    let words = api::plain_words();
    let shown = dir.display().to_string();
    files::want_free(dir)?;
    for path in files::write_all(dir, &api::starter(&clock::today()))? {
        data(&format!("{}\n", words.text("cli-wrote", &[("path", path.display().to_string().into())])));
    }
    let command = format!("airwright work {shown}");
    data(&format!("{}\n", words.text("cli-try-next", &[("command", command.into())])));
    Ok(0)
}
