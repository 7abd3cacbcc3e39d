//! Reading a pack that may be damaged or made to do harm.
//!
//! Three passes. The table of contents at the end of the file, where it can be read. Then, where that
//! failed or a file of it could not be read, every local header that stands in front of a file is looked
//! for by its mark. At last the list of checksums says what is whole, and what is missing. Nothing is
//! written outside of the folder: names are taken apart and refused by what they are made of, links are
//! never made, and each name is taken once.

use super::{FORMAT, LIST, List, sha256};
use crate::store::Bytes;
use flate2::{Decompress, FlushDecompress, Status};
use std::collections::BTreeMap;
use std::io::{Cursor, Read};
use zip::ZipArchive;

/// Bytes of one file at most, as in the store of the desk.
const LARGEST: u64 = 512 << 20;
/// Bytes of all files together at most.
const LARGEST_ALL: u64 = 2 << 30;
/// Entries at most.
const MOST: usize = 100_000;
/// Folders in folders at most.
const DEEPEST: usize = 16;

/// Why a file is lost or was refused: a key of the catalogues, `pack-why-...`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub(crate) enum Trouble {
    /// It stands in the list and nowhere else.
    Missing,
    /// Its bytes are not those of the list.
    Changed,
    /// Its data could not be read to the end.
    Broken,
    /// Its name leads out of the folder or cannot be written on every system.
    Name,
    /// Its name was there before, perhaps in other letters.
    Twice,
    /// It is a link or a device.
    Link,
    /// It is larger than what is taken, or all together are.
    Size,
    /// It is in a compression that is not read, or encrypted.
    Method,
    /// It is not in the list.
    Unlisted,
}

impl Trouble {
    /// Key of its words.
    pub(crate) fn key(self) -> &'static str {
        match self {
            Trouble::Missing => "pack-why-missing",
            Trouble::Changed => "pack-why-changed",
            Trouble::Broken => "pack-why-broken",
            Trouble::Name => "pack-why-name",
            Trouble::Twice => "pack-why-twice",
            Trouble::Link => "pack-why-link",
            Trouble::Size => "pack-why-size",
            Trouble::Method => "pack-why-method",
            Trouble::Unlisted => "pack-why-unlisted",
        }
    }
}

/// A file that did not come out as it went in.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub(crate) struct Lost {
    /// Its name in the pack.
    pub(crate) path: String,
    /// Why.
    pub(crate) why: Trouble,
    /// Whether what could be read of it is kept, as `NAME.damaged`.
    pub(crate) in_part: bool,
}

/// What came out.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Taken {
    /// Whole files, and parts of damaged ones under `NAME.damaged`.
    pub(crate) files: Vec<Bytes>,
    /// What the list names and is lost, and what the data of a file that is in no list lacks.
    pub(crate) lost: Vec<Lost>,
    /// Entries refused for their name, kind or size.
    pub(crate) refused: Vec<Lost>,
    /// The list of checksums was there.
    pub(crate) listed: bool,
    /// Format of the list, where it is newer than this program knows.
    pub(crate) newer: Option<u32>,
    /// The table of contents could not be read, or not all of it.
    pub(crate) searched: bool,
}

/// One entry as found.
struct Found {
    bytes: Vec<u8>,
    whole: bool,
}

#[derive(Default)]
struct Taking {
    found: BTreeMap<String, Found>,
    lower: BTreeMap<String, String>,
    refused: Vec<Lost>,
    total: u64,
}

impl Taking {
    fn refuse(&mut self, path: &str, why: Trouble) {
        let one = Lost { path: path.to_owned(), why, in_part: false };
        if self.refused.len() < MOST && !self.refused.contains(&one) {
            self.refused.push(one);
        }
    }

    /// Whether a name may be taken; `again` where a damaged reading of it may be bettered.
    fn may(&mut self, path: &str) -> bool {
        if path != LIST && !sound(path) {
            self.refuse(path, Trouble::Name);
            return false;
        }
        match self.lower.get(&path.to_lowercase()) {
            Some(first) if first != path => {
                self.refuse(path, Trouble::Twice);
                false
            }
            _ => true,
        }
    }

    fn take(&mut self, path: &str, found: Found) {
        let size = u64::try_from(found.bytes.len()).unwrap_or(u64::MAX);
        if self.total.saturating_add(size) > LARGEST_ALL || self.found.len() >= MOST {
            self.refuse(path, Trouble::Size);
            return;
        }
        self.total += size;
        self.lower.insert(path.to_lowercase(), path.to_owned());
        self.found.insert(path.to_owned(), found);
    }
}

/// Whether a path stays within the folder it is written below, and can be written on every system.
fn sound(path: &str) -> bool {
    let reserved = |p: &str| {
        let stem = p.split('.').next().unwrap_or(p).to_ascii_uppercase();
        let port = |name: &str| {
            let digit = stem.strip_prefix(name).filter(|d| d.len() == 1);
            digit.is_some_and(|d| d.bytes().all(|b| b.is_ascii_digit()))
        };
        ["CON", "PRN", "AUX", "NUL"].contains(&stem.as_str()) || port("COM") || port("LPT")
    };
    let part = |p: &str| {
        !p.is_empty()
            && !p.starts_with('.')
            && !p.ends_with(['.', ' '])
            && !p.contains(['\\', ':', '*', '?', '"', '<', '>', '|'])
            && !p.chars().any(char::is_control)
            && !reserved(p)
    };
    path.len() <= 1024 && path.split('/').count() <= DEEPEST + 1 && path.split('/').all(part)
}

/// Takes a pack apart.
pub(crate) fn unpack(bytes: &[u8]) -> Taken {
    let mut taking = Taking::default();
    let mut searched = !by_contents(bytes, &mut taking);
    searched |= taking.found.values().any(|f| !f.whole);
    if searched {
        by_marks(bytes, &mut taking);
    }
    settle(taking, searched)
}

/// Reads what the table of contents names; false where it cannot be read.
fn by_contents(bytes: &[u8], taking: &mut Taking) -> bool {
    let Ok(mut zip) = ZipArchive::new(Cursor::new(bytes)) else { return false };
    let mut all = true;
    for path in twice(bytes, zip.central_directory_start()) {
        taking.refuse(&path, Trouble::Twice);
    }
    for at in 0..zip.len().min(MOST) {
        let name = zip.name_for_index(at).and_then(Result::ok).map(std::borrow::Cow::into_owned);
        let mut entry = match zip.by_index(at) {
            Ok(entry) => entry,
            Err(zip::result::ZipError::UnsupportedArchive(_)) => {
                taking.refuse(name.as_deref().unwrap_or("?"), Trouble::Method);
                continue;
            }
            Err(_) => {
                all = false;
                continue;
            }
        };
        // Names as bytes: what is no UTF-8 cannot be written on every system.
        let Ok(path) = std::str::from_utf8(entry.name_raw()).map(str::to_owned) else {
            taking.refuse(&String::from_utf8_lossy(entry.name_raw()), Trouble::Name);
            continue;
        };
        if entry.is_dir() {
            continue;
        }
        // File type bits of the mode; none where the pack was not made on Unix.
        let kind = entry.unix_mode().map_or(0, |m| m & 0o170_000);
        if entry.is_symlink() || (kind != 0 && kind != 0o100_000) {
            taking.refuse(&path, Trouble::Link);
            continue;
        }
        if !taking.may(&path) {
            continue;
        }
        if taking.found.contains_key(&path) {
            taking.refuse(&path, Trouble::Twice);
            continue;
        }
        // The size told may be a lie: what comes out is counted.
        let mut data = Vec::new();
        let read = entry.by_ref().take(LARGEST + 1).read_to_end(&mut data);
        if u64::try_from(data.len()).unwrap_or(u64::MAX) > LARGEST {
            taking.refuse(&path, Trouble::Size);
            continue;
        }
        taking.take(&path, Found { bytes: data, whole: read.is_ok() });
    }
    all
}

/// Names that stand more than once in the table of contents; the reader of it keeps one of each.
fn twice(bytes: &[u8], start: u64) -> Vec<String> {
    const RECORD: usize = 46;
    let mut seen = BTreeMap::<&[u8], usize>::new();
    let mut at = usize::try_from(start).unwrap_or(usize::MAX);
    while let Some(record) = bytes.get(at..at.saturating_add(RECORD)).filter(|r| r.starts_with(b"PK\x01\x02"))
    {
        let word = |i: usize| usize::from(u16::from_le_bytes([record[i], record[i + 1]]));
        let (name, extra, comment) = (word(28), word(30), word(32));
        if let Some(name) = bytes.get(at + RECORD..at + RECORD + name) {
            *seen.entry(name).or_default() += 1;
        }
        at += RECORD + name + extra + comment;
    }
    let more = seen.into_iter().filter(|(_, n)| *n > 1);
    more.map(|(name, _)| String::from_utf8_lossy(name).into_owned()).collect()
}

/// The local header in front of each file begins with this.
const MARK: &[u8] = b"PK\x03\x04";
/// Length of that header without name and extra field (APPNOTE.TXT 4.3.7).
const HEADER: usize = 30;

/// Reads every file whose local header can be found.
fn by_marks(bytes: &[u8], taking: &mut Taking) {
    let mut at = 0;
    let next = |from: usize| {
        let rest = bytes.get(from..)?;
        rest.windows(MARK.len()).position(|w| w == MARK).map(|i| from + i)
    };
    // Headers that lie about where data begins would be read again and again.
    let mut left = LARGEST_ALL;
    while let Some(start) = next(at).filter(|_| left > 0) {
        at = start + MARK.len();
        let Some((path, found, end)) = local(bytes, start) else { continue };
        left = left.saturating_sub(u64::try_from(found.bytes.len()).unwrap_or(u64::MAX));
        if found.whole {
            // What lies within a whole file is its data, even where it looks like a header.
            at = end;
        }
        let better = taking
            .found
            .get(&path)
            .is_none_or(|f| !f.whole && (found.whole || found.bytes.len() > f.bytes.len()));
        let refused = taking.refused.iter().any(|r| r.path == path && r.why != Trouble::Twice);
        if better && !refused && taking.may(&path) {
            taking.take(&path, found);
        }
    }
}

/// The file behind one local header: name, data, the byte behind it.
fn local(bytes: &[u8], start: usize) -> Option<(String, Found, usize)> {
    let header = bytes.get(start..start + HEADER)?;
    let word = |at: usize| usize::from(u16::from_le_bytes([header[at], header[at + 1]]));
    let long = |at: usize| u32::from_le_bytes([header[at], header[at + 1], header[at + 2], header[at + 3]]);
    let (flags, method, crc) = (word(6), word(8), long(14));
    let (packed, name_len, extra_len) = (usize::try_from(long(18)).ok()?, word(26), word(28));
    // Encrypted files are not ours.
    if flags & 1 != 0 || name_len == 0 || name_len > 1024 {
        return None;
    }
    let data_at = start + HEADER + name_len + extra_len;
    let name = bytes.get(start + HEADER..start + HEADER + name_len)?;
    let path = std::str::from_utf8(name).ok()?.to_owned();
    if path.ends_with('/') {
        return None;
    }
    let data = bytes.get(data_at..)?;
    // Bit 3: sizes and sum stand behind the data.
    let told = flags & 8 == 0;
    let (out, used, ended) = match method {
        0 if told => {
            let whole = data.len() >= packed;
            (data.get(..packed.min(data.len()))?.to_vec(), packed.min(data.len()), whole)
        }
        8 => inflate(data),
        _ => return None,
    };
    let mut sum = flate2::Crc::new();
    sum.update(&out);
    let wanted = if told {
        Some(crc)
    } else {
        // The data descriptor, with or without its own mark (4.3.9).
        let behind = data.get(used..)?;
        let from = if behind.starts_with(b"PK\x07\x08") { 4 } else { 0 };
        behind.get(from..from + 4).map(|b| u32::from_le_bytes([b[0], b[1], b[2], b[3]]))
    };
    let whole = ended && wanted == Some(sum.sum());
    Some((path, Found { bytes: out, whole }, data_at + used))
}

/// Inflates as far as it goes: data, bytes used, whether it came to its end.
fn inflate(data: &[u8]) -> (Vec<u8>, usize, bool) {
    let mut stream = Decompress::new(false);
    let mut out = Vec::new();
    let mut block = vec![0; 1 << 16];
    loop {
        let used = usize::try_from(stream.total_in()).unwrap_or(usize::MAX);
        let made = stream.total_out();
        let rest = data.get(used..).unwrap_or_default();
        let status = stream.decompress(rest, &mut block, FlushDecompress::None);
        let new = usize::try_from(stream.total_out() - made).unwrap_or(0);
        out.extend_from_slice(block.get(..new).unwrap_or_default());
        let used_now = usize::try_from(stream.total_in()).unwrap_or(usize::MAX);
        match status {
            Ok(Status::StreamEnd) => return (out, used_now, true),
            Ok(_) if new > 0 || used_now > used => {}
            // No progress: the data broke off.
            _ => return (out, used_now, false),
        }
        if stream.total_out() > LARGEST {
            return (Vec::new(), used_now, false);
        }
    }
}

/// Holds what was found against the list.
fn settle(mut taking: Taking, searched: bool) -> Taken {
    let mut out = Taken { searched, ..Taken::default() };
    let list: Option<List> =
        taking.found.remove(LIST).filter(|f| f.whole).and_then(|f| serde_json::from_slice(&f.bytes).ok());
    if let Some(list) = list {
        out.listed = true;
        out.newer = (list.format > FORMAT).then_some(list.format);
        for file in &list.files {
            let Some(found) = taking.found.remove(&file.path) else {
                let was_refused = taking.refused.iter().any(|r| r.path == file.path);
                if !was_refused {
                    out.lost.push(Lost { path: file.path.clone(), why: Trouble::Missing, in_part: false });
                }
                continue;
            };
            let same = sha256(&found.bytes) == file.sha256;
            let why = if found.whole { Trouble::Changed } else { Trouble::Broken };
            // The checksum of the list outweighs that of the entry.
            keep(&mut out, file.path.clone(), found.bytes, same, why);
        }
        for (path, found) in taking.found {
            out.lost.push(Lost {
                path: path.clone(),
                why: Trouble::Unlisted,
                in_part: !found.bytes.is_empty(),
            });
            if !found.bytes.is_empty() {
                out.files.push(Bytes { path: path + ".damaged", bytes: found.bytes });
            }
        }
    } else {
        for (path, found) in taking.found {
            keep(&mut out, path, found.bytes, found.whole, Trouble::Broken);
        }
    }
    out.refused = taking.refused;
    out.files.sort_by(|a, b| a.path.cmp(&b.path));
    out
}

fn keep(out: &mut Taken, path: String, bytes: Vec<u8>, good: bool, why: Trouble) {
    if good {
        out.files.push(Bytes { path, bytes });
        return;
    }
    let in_part = !bytes.is_empty();
    out.lost.push(Lost { path: path.clone(), why, in_part });
    if in_part {
        // Another ending: half a document is never read as one.
        out.files.push(Bytes { path: path + ".damaged", bytes });
    }
}
