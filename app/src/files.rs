//! Reading a job folder and writing results, every error with its path.
//!
//! Documents are written to a temporary name in the same folder and renamed, so that a stop leaves
//! the old file or the new one and never half of one.

use crate::plain;
use anyhow::{Context, Result, bail};
use api::File;
use std::fs;
use std::io::Read;
use std::path::{Path, PathBuf};

/// Folder of what is derived; may be deleted.
pub(crate) const OUT: &str = "out";
/// Folder of originals, kept verbatim by their hash; nothing in it is read as a document.
const ATTACHMENTS: &str = "attachments";
/// Deeper folders are not part of a job.
const DEEPEST: usize = 3;
/// A text file larger than this is not read into memory (a year of minutes is 20 MB).
const LARGEST: u64 = 64 << 20;

/// What was derived and is asked again: which plan was best in which draw.
const DERIVED: &str = "plan-draws.json";

/// All TOML and CSV files of the job folder, by name with `/`, and what is kept of the plans.
pub(crate) fn read_job(folder: &Path) -> Result<Vec<File>> {
    if !folder.is_dir() {
        return Err(plain::no_job(folder));
    }
    let mut files = Vec::new();
    gather(folder, folder, 0, &mut files)?;
    let derived = folder.join(OUT).join(DERIVED);
    if derived.is_file() {
        files.push(File { name: name(folder, &derived), text: read(&derived)? });
    }
    files.sort_by(|a, b| a.name.cmp(&b.name));
    Ok(files)
}

/// A logo larger than this would make every sheet heavy.
pub(crate) const LARGEST_LOGO: usize = 200_000;

/// A photo larger than this is no part of a page; those of the phone have 0.2 to 0.5 MB.
pub(crate) const LARGEST_PHOTO: usize = 2_000_000;
/// All photos of a page together.
pub(crate) const LARGEST_PHOTOS: usize = 40_000_000;

/// A picture of the job folder as a `data:` address; nothing where it is missing, too large or no PNG or JPEG
/// by its first bytes, whatever its name says.
pub(crate) fn picture(folder: &Path, name: &str, most: usize) -> Option<File> {
    let path = name.split('/').fold(folder.to_path_buf(), |p, part| p.join(part));
    let bytes = head(&path, most + 1).ok().filter(|b| b.len() <= most)?;
    picture_of(name, &bytes)
}

/// Bytes as a `data:` address; nothing for anything but PNG and JPEG.
pub(crate) fn picture_of(name: &str, bytes: &[u8]) -> Option<File> {
    let kind = match bytes {
        [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1a, b'\n', ..] => "png",
        [0xff, 0xd8, 0xff, ..] => "jpeg",
        _ => return None,
    };
    Some(File { name: name.to_owned(), text: format!("data:image/{kind};base64,{}", base64(bytes)) })
}

/// Base64 with padding (RFC 4648, 4).
fn base64(bytes: &[u8]) -> String {
    const SIGNS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut out = String::new();
    for group in bytes.chunks(3) {
        let at = |i: usize| u32::from(group.get(i).copied().unwrap_or(0));
        let bits = at(0) << 16 | at(1) << 8 | at(2);
        for k in 0..4 {
            let sign = SIGNS[(bits >> (18 - 6 * k) & 63) as usize];
            out.push(if k > group.len() { '=' } else { char::from(sign) });
        }
    }
    out
}

fn gather(top: &Path, folder: &Path, depth: usize, files: &mut Vec<File>) -> Result<()> {
    let entries = fs::read_dir(folder).with_context(|| format!("cannot list `{}`", folder.display()))?;
    for entry in entries {
        let entry = entry.with_context(|| format!("cannot list `{}`", folder.display()))?;
        let path = entry.path();
        let hidden = entry.file_name().to_string_lossy().starts_with('.');
        if hidden {
            continue;
        }
        if path.is_dir() {
            let apart = entry.file_name() == OUT || entry.file_name() == ATTACHMENTS;
            if depth < DEEPEST && !(depth == 0 && apart) {
                gather(top, &path, depth + 1, files)?;
            }
            continue;
        }
        let wanted = path.extension().is_some_and(|e| e == "toml" || e == "csv");
        if wanted {
            files.push(File { name: name(top, &path), text: read(&path)? });
        }
    }
    Ok(())
}

/// Names of all other files of the job folder, photos and attachments among them.
pub(crate) fn others(folder: &Path) -> Result<Vec<String>> {
    let mut names = Vec::new();
    let mut folders = vec![(folder.to_path_buf(), 0)];
    while let Some((at, depth)) = folders.pop() {
        let entries = fs::read_dir(&at).with_context(|| format!("cannot list `{}`", at.display()))?;
        for entry in entries {
            let entry = entry.with_context(|| format!("cannot list `{}`", at.display()))?;
            let path = entry.path();
            let hidden = entry.file_name().to_string_lossy().starts_with('.');
            let derived = depth == 0 && entry.file_name() == OUT;
            if hidden || derived {
                continue;
            }
            if path.is_dir() {
                // Attachments lie a folder deeper than documents.
                if depth <= DEEPEST {
                    folders.push((path, depth + 1));
                }
            } else if path.extension().is_none_or(|e| e != "toml" && e != "csv") {
                names.push(name(folder, &path));
            }
        }
    }
    names.sort();
    Ok(names)
}

fn name(top: &Path, path: &Path) -> String {
    let parts = path.strip_prefix(top).unwrap_or(path).components();
    parts.map(|p| p.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/")
}

fn read(path: &Path) -> Result<String> {
    let size = fs::metadata(path).with_context(|| format!("cannot read `{}`", path.display()))?.len();
    if size > LARGEST {
        bail!(
            "`{}` is {} MB; a job's text files are at most {} MB",
            path.display(),
            size >> 20,
            LARGEST >> 20
        );
    }
    let bytes = fs::read(path).with_context(|| format!("cannot read `{}`", path.display()))?;
    match String::from_utf8(bytes) {
        // A byte order mark that some editors add is not part of the text.
        Ok(text) => Ok(text.strip_prefix('\u{feff}').map_or_else(|| text.clone(), str::to_owned)),
        Err(error) => {
            let at = error.utf8_error().valid_up_to();
            let line = error.as_bytes().iter().take(at).filter(|b| **b == b'\n').count() + 1;
            bail!(
                "`{}` is not UTF-8 text: line {line}, byte {at}; save it as UTF-8 in your editor",
                path.display()
            )
        }
    }
}

/// A file to read from its beginning.
pub(crate) fn open(path: &Path) -> Result<fs::File> {
    fs::File::open(path).with_context(|| format!("cannot read `{}`", path.display()))
}

/// The first bytes of a file, at most `most`.
pub(crate) fn head(path: &Path, most: usize) -> Result<Vec<u8>> {
    let mut bytes = Vec::new();
    let limit = u64::try_from(most).unwrap_or(u64::MAX);
    open(path)?
        .take(limit)
        .read_to_end(&mut bytes)
        .with_context(|| format!("cannot read `{}`", path.display()))?;
    Ok(bytes)
}

/// A file that is being made: it bears a temporary name until it is [`Draft::keep`]t, and goes
/// where it is not.
#[derive(Debug)]
pub(crate) struct Draft {
    path: PathBuf,
    half: PathBuf,
    kept: bool,
}

impl Draft {
    /// Begins a file below a folder; one that is there already is an error.
    pub(crate) fn new(folder: &Path, name: &str) -> Result<(Draft, fs::File)> {
        let path = name.split('/').fold(folder.to_path_buf(), |p, part| p.join(part));
        if path.exists() {
            return Err(plain::refused("cli-exists", &[("path", plain::shown(&path))]));
        }
        let around = path.parent().context("a file needs a folder")?;
        fs::create_dir_all(around).with_context(|| format!("cannot make `{}`", around.display()))?;
        let mut half = path.as_os_str().to_owned();
        half.push(".part");
        let half = PathBuf::from(half);
        let file = fs::File::create(&half).with_context(|| format!("cannot write `{}`", half.display()))?;
        Ok((Draft { path, half, kept: false }, file))
    }

    /// Gives it its name. A hard link fails where a file of that name has come up meanwhile.
    pub(crate) fn keep(mut self) -> Result<PathBuf> {
        let named = fs::hard_link(&self.half, &self.path);
        let named = match named {
            // Not every file system has links.
            Err(_) if !self.path.exists() => fs::rename(&self.half, &self.path),
            other => other,
        };
        named.with_context(|| format!("cannot write `{}`", self.path.display()))?;
        self.kept = true;
        if fs::remove_file(&self.half).is_err() {
            // It was renamed.
        }
        Ok(self.path.clone())
    }
}

impl Drop for Draft {
    fn drop(&mut self) {
        if !self.kept && fs::remove_file(&self.half).is_err() {
            // What is left is a `.part`, which nobody reads.
        }
    }
}

/// Whether there is a file of this name below a folder.
pub(crate) fn is_there(folder: &Path, name: &str) -> bool {
    name.split('/').fold(folder.to_path_buf(), |p, part| p.join(part)).exists()
}

/// The files that a path means: itself, or all below it, by name; hidden ones are passed over.
pub(crate) fn below(path: &Path) -> Result<Vec<PathBuf>> {
    if !path.is_dir() {
        return Ok(vec![path.to_path_buf()]);
    }
    let names = names_below(path)?;
    let hidden = |name: &str| name.split('/').any(|part| part.starts_with('.'));
    let mut found: Vec<PathBuf> = names.iter().filter(|n| !hidden(n)).map(|n| path.join(n)).collect();
    found.sort();
    Ok(found)
}

/// An error unless a folder holds nothing (or is not there yet).
pub(crate) fn want_free(folder: &Path) -> Result<()> {
    if is_free(folder)? {
        return Ok(());
    }
    Err(plain::refused("cli-not-empty", &[("path", plain::shown(folder))]))
}

/// Whether a folder holds nothing (or is not there yet).
pub(crate) fn is_free(folder: &Path) -> Result<bool> {
    if !folder.exists() {
        return Ok(true);
    }
    let mut entries = fs::read_dir(folder).with_context(|| format!("cannot list `{}`", folder.display()))?;
    Ok(entries.next().is_none())
}

/// Names of all files below a folder, with `/`; none where it is not there.
pub(crate) fn names_below(folder: &Path) -> Result<Vec<String>> {
    let mut found = Vec::new();
    let mut folders = if folder.exists() { vec![folder.to_path_buf()] } else { Vec::new() };
    while let Some(inner) = folders.pop() {
        let entries = fs::read_dir(&inner).with_context(|| format!("cannot list `{}`", inner.display()))?;
        for entry in entries {
            let path = entry.with_context(|| format!("cannot list `{}`", inner.display()))?.path();
            // A link is a file of its own, wherever it leads.
            if path.is_dir() && !path.is_symlink() {
                folders.push(path);
            } else {
                found.push(name(folder, &path));
            }
        }
    }
    Ok(found)
}

/// The text of one file.
pub(crate) fn read_text(path: &Path) -> Result<String> {
    read(path)
}

/// Removes one file below a folder, and the folder around it where it was the last.
pub(crate) fn remove(folder: &Path, name: &str) -> Result<()> {
    let path = name.split('/').fold(folder.to_path_buf(), |p, part| p.join(part));
    fs::remove_file(&path).with_context(|| format!("cannot remove `{}`", path.display()))?;
    let around = path.parent().filter(|inner| *inner != folder);
    if around.is_some_and(|inner| fs::remove_dir(inner).is_err()) {
        // It holds other files still.
    }
    Ok(())
}

/// Writes files below a folder and returns the paths.
pub(crate) fn write_all(folder: &Path, files: &[File]) -> Result<Vec<PathBuf>> {
    let mut written = Vec::new();
    for file in files {
        written.push(write_bytes(folder, &file.name, file.text.as_bytes())?);
    }
    Ok(written)
}

/// Writes one file below a folder; its name has `/`.
pub(crate) fn write_bytes(folder: &Path, name: &str, bytes: &[u8]) -> Result<PathBuf> {
    let path = name.split('/').fold(folder.to_path_buf(), |p, part| p.join(part));
    write(&path, bytes)?;
    Ok(path)
}

fn write(path: &Path, bytes: &[u8]) -> Result<()> {
    let folder = path.parent().context("a file needs a folder")?;
    fs::create_dir_all(folder).with_context(|| format!("cannot make `{}`", folder.display()))?;
    let mut half = path.as_os_str().to_owned();
    half.push(".part");
    let half = PathBuf::from(half);
    let done = fs::write(&half, bytes).and_then(|()| fs::rename(&half, path));
    if done.is_err() && fs::remove_file(&half).is_err() {
        // Nothing was begun; the error below says why.
    }
    done.with_context(|| format!("cannot write `{}`", path.display()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_logo_is_told_by_its_bytes() {
        let folder = std::env::temp_dir().join(format!("airwright logo {}", std::process::id()));
        let png = [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1a, b'\n', 0];
        write_bytes(&folder, "attachments/logo.png", &png).unwrap();
        write_bytes(&folder, "attachments/drawing.png", b"<svg/>").unwrap();
        let mut large = png.to_vec();
        large.resize(LARGEST_LOGO + 1, 0);
        write_bytes(&folder, "attachments/large.png", &large).unwrap();
        let shown = picture(&folder, "attachments/logo.png", LARGEST_LOGO).unwrap();
        assert_eq!(shown.text, "data:image/png;base64,iVBORw0KGgoA");
        for name in ["attachments/drawing.png", "attachments/large.png", "attachments/none.png"] {
            assert_eq!(picture(&folder, name, LARGEST_LOGO), None, "{name}");
        }
        fs::remove_dir_all(&folder).unwrap();
    }

    #[test]
    fn base64_is_that_of_rfc_4648() {
        for (plain, coded) in
            [("", ""), ("f", "Zg=="), ("fo", "Zm8="), ("foo", "Zm9v"), ("foobar", "Zm9vYmFy")]
        {
            assert_eq!(base64(plain.as_bytes()), coded);
        }
    }
}
