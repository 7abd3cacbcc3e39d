//! Folders of jobs on the disk, byte for byte.

use super::trouble::{Result, StoreError};
use crate::files;
use std::fs;
use std::path::{Path, PathBuf};

/// A file of a job: its name with `/`, and its bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Bytes {
    /// Such as `visits/2026-11-12/visit.toml`.
    pub(crate) path: String,
    /// Verbatim.
    pub(crate) bytes: Vec<u8>,
}

/// What a folder holds.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Taken {
    /// Its files, by name.
    pub(crate) files: Vec<Bytes>,
    /// What was left: hidden files, links, names that are no text.
    pub(crate) left: Vec<String>,
    /// Attachments whose name is not the hash of their bytes though it looks like one.
    pub(crate) misnamed: Vec<String>,
}

/// Folders in folders, at most.
const DEEPEST: usize = 16;
/// A larger file is not taken (SQLite takes at most 1 GB in one piece).
const LARGEST: u64 = 512 << 20;

/// Whether a path stays within the folder it is written below, on every system.
pub(super) fn sound(path: &str) -> bool {
    let part = |p: &str| {
        !p.is_empty()
            && p != "."
            && p != ".."
            && !p.contains(['\\', ':', '\0'])
            && !p.chars().any(char::is_control)
    };
    path.len() <= 1024
        && path.split('/').count() <= DEEPEST + 1
        && path.split('/').all(part)
        && path.split('/').next() != Some(files::OUT)
}

fn trouble(path: &Path, error: std::io::Error) -> StoreError {
    StoreError::file(path, &error)
}

/// All files of a job's folder but what is derived (`out`).
pub(crate) fn read_folder(folder: &Path) -> Result<Taken> {
    if !folder.is_dir() {
        return Err(trouble(folder, std::io::Error::from(std::io::ErrorKind::NotADirectory)));
    }
    let mut taken = Taken::default();
    let mut folders: Vec<(PathBuf, String)> = vec![(folder.to_path_buf(), String::new())];
    while let Some((inner, above)) = folders.pop() {
        for entry in fs::read_dir(&inner).map_err(|e| trouble(&inner, e))? {
            let entry = entry.map_err(|e| trouble(&inner, e))?;
            let (path, kind) = (entry.path(), entry.file_type().map_err(|e| trouble(&inner, e))?);
            let shown = format!("{above}{}", entry.file_name().to_string_lossy());
            if above.is_empty() && shown == files::OUT {
                continue;
            }
            let text = entry.file_name().to_str().is_some();
            if !text || shown.rsplit('/').next().is_some_and(|n| n.starts_with('.')) || !sound(&shown) {
                taken.left.push(shown);
            } else if kind.is_dir() {
                folders.push((path, format!("{shown}/")));
            } else if !kind.is_file() {
                taken.left.push(shown);
            } else {
                let size = entry.metadata().map_err(|e| trouble(&path, e))?.len();
                if size > LARGEST {
                    return Err(StoreError::File {
                        path: path.display().to_string(),
                        why: "large",
                        what: format!("{} MB > {} MB", size >> 20, LARGEST >> 20),
                    });
                }
                let bytes = fs::read(&path).map_err(|e| trouble(&path, e))?;
                if misnamed(&shown, &bytes) {
                    taken.misnamed.push(shown.clone());
                }
                taken.files.push(Bytes { path: shown, bytes });
            }
        }
    }
    taken.files.sort_by(|a, b| a.path.cmp(&b.path));
    taken.left.sort();
    taken.misnamed.sort();
    Ok(taken)
}

fn misnamed(path: &str, bytes: &[u8]) -> bool {
    let Some(name) = path.strip_prefix("attachments/") else { return false };
    let stem = name.split('.').next().unwrap_or(name);
    let looks = stem.len() == 64 && stem.bytes().all(|b| b.is_ascii_hexdigit());
    looks && !stem.eq_ignore_ascii_case(&super::documents::hash(bytes))
}

/// Writes documents below a folder.
pub(crate) fn write_folder(folder: &Path, documents: &[Bytes]) -> Result<()> {
    for document in documents {
        // What came from elsewhere may not lead out of the folder.
        if !sound(&document.path) {
            return Err(StoreError::Path { path: document.path.clone() });
        }
        files::write_bytes(folder, &document.path, &document.bytes).map_err(|e| {
            match e.downcast::<std::io::Error>() {
                Ok(error) => trouble(&folder.join(&document.path), error),
                Err(other) => StoreError::File {
                    path: folder.join(&document.path).display().to_string(),
                    why: "other",
                    what: format!("{other:#}"),
                },
            }
        })?;
    }
    fs::create_dir_all(folder).map_err(|e| trouble(folder, e))
}
