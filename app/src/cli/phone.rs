//! `airwright phone DIR`.

use super::data;
use crate::files;
use crate::pages::PAGES;
use anyhow::{Result, bail};
use std::path::Path;

/// Writes the phone's pages as a static folder.
pub(crate) fn run(dir: &Path) -> Result<u8> {
    let words = api::plain_words();
    let shown = dir.display().to_string();
    if PAGES.is_empty() {
        bail!("{}", words.say("cli-no-pages"));
    }
    if !files::is_free(dir)? {
        bail!("{}", words.text("cli-not-empty", &[("path", shown.into())]));
    }
    for (name, bytes) in PAGES {
        files::write_bytes(dir, name, bytes)?;
    }
    data(&format!("{}\n", words.text("cli-wrote", &[("path", shown.clone().into())])));
    data(&format!("{}\n", words.text("cli-phone-next", &[("path", shown.into())])));
    Ok(0)
}
