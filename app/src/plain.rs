//! What could not be done, in plain words: what, why, and what to do about it.

use anyhow::{Error, anyhow};
use engine::diag::Arg;
use std::fs;
use std::path::{Path, PathBuf};

/// How far above and below a job is looked for.
const FAR: usize = 3;

/// A text of the catalogue as an error, its remedy on a line of its own.
pub(crate) fn refused(key: &str, args: &[(&str, Arg)]) -> Error {
    let words = api::plain_words();
    let text = words.text(key, args);
    match words.find(&format!("{key}.help"), args) {
        Some(help) => anyhow!("{text}\n  {}: {help}", words.say("terminal-help")),
        None => anyhow!("{text}"),
    }
}

/// A path as an argument, as short as it was written.
pub(crate) fn shown(path: &Path) -> Arg {
    path.strip_prefix(".")
        .ok()
        .filter(|p| !p.as_os_str().is_empty())
        .unwrap_or(path)
        .display()
        .to_string()
        .into()
}

/// An error with what the system says of it in words of the catalogue.
pub(crate) fn told(error: &Error) -> String {
    let words = api::plain_words();
    let mut parts = Vec::new();
    let mut help = None;
    for cause in error.chain() {
        let why = cause.downcast_ref::<std::io::Error>().map(crate::intake::cannot::why);
        match why.filter(|why| *why != "other") {
            Some(why) => {
                let args = [("why", why.into())];
                parts.push(words.text("cli-system", &args));
                help = words.find("cli-system.help", &args);
            }
            None => parts.push(cause.to_string()),
        }
    }
    let help = help.map(|help| format!("\n  {}: {help}", words.say("terminal-help")));
    format!("{}{}", parts.join(": "), help.unwrap_or_default())
}

/// Why a path is no job folder, and where the job may be.
pub(crate) fn no_job(path: &Path) -> Error {
    let whole = std::path::absolute(path).unwrap_or_else(|_| path.to_path_buf());
    let named = |p: Option<PathBuf>| p.map_or_else(String::new, |p| p.display().to_string());
    if path.is_file() {
        let around = path.parent().map(|p| if p.as_os_str().is_empty() { Path::new(".") } else { p });
        let near = around.filter(|p| is_job(p)).map(Path::to_path_buf);
        return refused("cli-no-folder-but-file", &[("path", shown(path)), ("near", named(near).into())]);
    }
    if !path.is_dir() {
        return refused("cli-no-folder", &[("path", shown(path)), ("near", named(alike(path)).into())]);
    }
    let above = || whole.ancestors().skip(1).take(FAR).find(|p| is_job(p)).map(Path::to_path_buf);
    let near = below(path, 0).or_else(above);
    let args = [("path", shown(path)), ("near", named(near).into()), ("slip", slip(path).into())];
    refused("cli-not-a-job", &args)
}

fn is_job(folder: &Path) -> bool {
    folder.join("job.toml").is_file()
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).into_iter().flatten().flatten();
    let mut names: Vec<String> = entries.map(|e| e.file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

/// The first job in the folders below.
fn below(folder: &Path, depth: usize) -> Option<PathBuf> {
    let hidden = |n: &String| n.starts_with('.');
    let inner: Vec<PathBuf> = names(folder)
        .into_iter()
        .filter(|n| !hidden(n))
        .map(|n| folder.join(n))
        .filter(|p| p.is_dir())
        .collect();
    let here = inner.iter().find(|p| is_job(p)).cloned();
    here.or_else(|| inner.iter().filter(|_| depth + 1 < FAR).find_map(|p| below(p, depth + 1)))
}

/// A folder beside the one that is not there, with nearly its name.
fn alike(path: &Path) -> Option<PathBuf> {
    let around = path.parent().filter(|p| !p.as_os_str().is_empty());
    let wanted = path.file_name()?.to_string_lossy().into_owned();
    let beside = around.unwrap_or(Path::new("."));
    let there: Vec<String> = names(beside).into_iter().filter(|n| beside.join(n).is_dir()).collect();
    let found = engine::text::closest(&wanted, there.iter().map(String::as_str))?;
    Some(around.map_or_else(|| PathBuf::from(found), |a| a.join(found)))
}

/// A file that was meant to be `job.toml`: other letters, or an ending that a program hid.
fn slip(folder: &Path) -> String {
    let meant = |n: &String| {
        let low = n.to_lowercase();
        n != "job.toml" && (low == "job.toml" || low == "job.toml.txt" || low == "job.txt" || low == "job")
    };
    names(folder).into_iter().find(|n| meant(n) && folder.join(n).is_file()).unwrap_or_default()
}
