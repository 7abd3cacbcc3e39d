//! `airwright pack JOB FILE` and `airwright unpack FILE DIR`.

use super::{colour, data, talk};
use crate::pack::{Lost, pack, unpack};
use crate::{files, plain, store};
use anyhow::{Context, Result, bail};
use engine::diag::{Diagnostic, Diagnostics, Severity, code};
use report::terminal::{Style, render_all};
use report::words::Words;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::path::Path;

/// A larger pack is not read into memory.
const LARGEST: u64 = 2 << 30;

/// Packs a job folder.
pub(super) fn write(job: &Path, to: &Path, as_json: bool) -> Result<u8> {
    let words = api::plain_words();
    if !job.join("job.toml").is_file() {
        return Err(plain::no_job(job));
    }
    let taken = store::read_folder(job).map_err(|e| anyhow::anyhow!("{e}"))?;
    let Some(name) = to.file_name().map(|n| n.to_string_lossy().into_owned()).filter(|_| !to.is_dir()) else {
        return Err(plain::refused("cli-pack-name", &[("path", plain::shown(to))]));
    };
    let folder = to.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let (draft, mut file) = files::Draft::new(folder, &name)?;
    let list = pack(&taken.files, &mut file)?;
    file.sync_all().with_context(|| format!("cannot write `{}`", to.display()))?;
    drop(file);
    draft.keep()?;
    let mut said = Vec::new();
    if !taken.left.is_empty() {
        said.push(Diagnostic::note(code::O140).arg("names", taken.left.join(", ")));
    }
    let args = [("count", list.files.len().into()), ("path", to.display().to_string().into())];
    let line = words.text("pack-packed", &args);
    let value = json!({ "pack": { "format": list.format, "files": list.files } });
    Ok(say(&words, &[line], value, said, as_json))
}

/// Unpacks into a folder that must be free.
pub(super) fn read(from: &Path, dir: &Path, as_json: bool) -> Result<u8> {
    let words = api::plain_words();
    let shown = dir.display().to_string();
    files::want_free(dir)?;
    let size = std::fs::metadata(from).with_context(|| format!("cannot read `{}`", from.display()))?.len();
    if size > LARGEST {
        bail!("`{}` is {} MB; a pack is at most {} MB", from.display(), size >> 20, LARGEST >> 20);
    }
    let bytes = std::fs::read(from).with_context(|| format!("cannot read `{}`", from.display()))?;
    let taken = unpack(&bytes);
    let mut said = Vec::new();
    if taken.files.is_empty() {
        said.push(Diagnostic::error(code::O141).arg("path", from.display().to_string()));
        say(&words, &[], Value::Null, said, as_json);
        return Ok(2);
    }
    for file in &taken.files {
        files::write_bytes(dir, &file.path, &file.bytes)?;
    }
    if let Some(format) = taken.newer {
        said.push(Diagnostic::warning(code::O146).arg("found", f64::from(format)));
    }
    if taken.searched {
        said.push(Diagnostic::warning(code::O147));
    }
    if !taken.listed {
        said.push(Diagnostic::warning(code::O143));
    }
    let why = |l: &Lost| words.say(l.why.key());
    for lost in &taken.lost {
        let code = if lost.in_part { code::O145 } else { code::O142 };
        said.push(Diagnostic::error(code).arg("name", lost.path.as_str()).arg("why", why(lost)));
    }
    for refused in &taken.refused {
        said.push(Diagnostic::error(code::O144).arg("name", refused.path.as_str()).arg("why", why(refused)));
    }
    let whole =
        taken.files.iter().filter(|f| !taken.lost.iter().any(|l| f.path == format!("{}.damaged", l.path)));
    let whole: Vec<&str> = whole.map(|f| f.path.as_str()).collect();
    let args = [("count", whole.len().into()), ("path", shown.into())];
    let line = words.text(if taken.listed { "pack-unpacked" } else { "pack-unpacked-unlisted" }, &args);
    let value = json!({ "unpacked": { "files": whole, "lost": taken.lost, "refused": taken.refused } });
    Ok(say(&words, &[line], value, said, as_json))
}

fn say(words: &Words, lines: &[String], value: Value, said: Vec<Diagnostic>, as_json: bool) -> u8 {
    let diagnostics = Diagnostics { list: said };
    if as_json {
        data(&format!("{:#}\n", api::envelope_json(&diagnostics, &[], words, value)));
    } else {
        for line in lines {
            data(&format!("{line}\n"));
        }
        if !diagnostics.list.is_empty() {
            talk(&render_all(&diagnostics, &BTreeMap::new(), words, Style { colour: colour() }));
        }
    }
    match diagnostics.worst() {
        Some(Severity::Error | Severity::Warning) => 1,
        _ => 0,
    }
}
