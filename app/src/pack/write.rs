//! Writing a pack.

use super::{FORMAT, LIST, List, Listed, sha256};
use crate::store::Bytes;
use anyhow::{Context, Result};
use std::io::{Seek, Write};
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, DateTime, ZipWriter};

/// Writes a job's files, which stand in the order of their names, and returns the list.
///
/// # Errors
/// What the disk says.
pub(crate) fn pack(files: &[Bytes], to: impl Write + Seek) -> Result<List> {
    let listed = |f: &Bytes| Listed {
        path: f.path.clone(),
        size: u64::try_from(f.bytes.len()).unwrap_or(u64::MAX),
        sha256: sha256(&f.bytes),
    };
    let list = List { format: FORMAT, files: files.iter().map(listed).collect() };
    let text = format!("{}\n", serde_json::to_string_pretty(&list)?);
    // 1980-01-01, the first date a ZIP can hold: when a file was touched is not part of a job.
    let options = SimpleFileOptions::default()
        .compression_method(CompressionMethod::Deflated)
        .compression_level(Some(6))
        .last_modified_time(DateTime::default())
        .unix_permissions(0o644);
    let mut zip = ZipWriter::new(to);
    let list_entry = [(LIST, text.as_bytes())];
    for (path, bytes) in list_entry.into_iter().chain(files.iter().map(|f| (f.path.as_str(), &f.bytes[..]))) {
        zip.start_file(path, options).with_context(|| format!("cannot pack `{path}`"))?;
        zip.write_all(bytes).with_context(|| format!("cannot pack `{path}`"))?;
    }
    zip.finish().context("cannot write the table of contents")?;
    Ok(list)
}
