//! `airwright phone DIR`.
//!
//! The folder holds a list of what was written, so that a later run can tell its own files from
//! somebody else's: it updates a folder that holds nothing else, and touches no other.

use super::data;
use crate::files;
use crate::pages::PAGES;
use anyhow::{Result, bail};
use std::collections::BTreeSet;
use std::path::Path;

/// The list of written files, one a line.
const LIST: &str = "airwright-pages.txt";
/// What a phone asks for first; written last, when everything they name is there.
const DOORS: [&str; 2] = ["index.html", "sw.js"];

/// Writes the phone's pages as a static folder, or brings one that it wrote up to date.
pub(crate) fn run(dir: &Path) -> Result<u8> {
    let words = api::plain_words();
    let shown = dir.display().to_string();
    if PAGES.is_empty() {
        bail!("{}", words.say("cli-no-pages"));
    }
    let there: BTreeSet<String> = files::names_below(dir)?.into_iter().collect();
    let listed: BTreeSet<String> = if there.contains(LIST) {
        files::read_text(&dir.join(LIST))?.lines().map(str::to_owned).collect()
    } else {
        BTreeSet::new()
    };
    // What a stopped run left half written is its own too.
    let own = |name: &str| name == LIST || listed.contains(name);
    let strange = there.iter().find(|name| !own(name) && !own(name.trim_end_matches(".part")));
    if let Some(strange) = strange {
        let args = [("path", shown.into()), ("file", strange.clone().into())];
        bail!("{}", words.text("cli-phone-other", &args));
    }
    // The list comes first: a run that is stopped can be taken up again.
    let new: BTreeSet<String> = PAGES.iter().map(|(name, _)| (*name).to_owned()).collect();
    let both: Vec<&str> = listed.union(&new).map(String::as_str).collect();
    files::write_bytes(dir, LIST, lines(&both).as_bytes())?;
    let (doors, others): (Vec<_>, Vec<_>) = PAGES.iter().partition(|(name, _)| DOORS.contains(name));
    for (name, bytes) in others.into_iter().chain(doors) {
        files::write_bytes(dir, name, bytes)?;
    }
    for old in there.intersection(&listed).filter(|name| !new.contains(*name)) {
        files::remove(dir, old)?;
    }
    files::write_bytes(dir, LIST, lines(&new.iter().map(String::as_str).collect::<Vec<_>>()).as_bytes())?;
    let said = if there.is_empty() { "cli-wrote" } else { "cli-phone-updated" };
    data(&format!("{}\n", words.text(said, &[("path", shown.clone().into())])));
    data(&format!("{}\n", words.text("cli-phone-next", &[("path", shown.into())])));
    Ok(0)
}

fn lines(names: &[&str]) -> String {
    names.iter().map(|name| format!("{name}\n")).collect()
}
