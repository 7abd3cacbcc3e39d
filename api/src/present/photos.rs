//! Photos of the visits as parts of a page.

use crate::{File, Job};
use engine::diag::{Diagnostic, code};
use engine::doc::visit::{Photo as Taken, Visit};
use report::view::{Photo, PhotosOf};
use report::words::Words;
use sha2::{Digest, Sha256};

/// Pictures that may become a part of a page.
const KINDS: [&str; 2] = ["data:image/png;base64,", "data:image/jpeg;base64,"];

/// Why a photo is not shown.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Lack {
    /// Not among the files, or nothing that can be shown.
    Missing,
    /// Its bytes are not those that its name says.
    Changed,
}

impl Job {
    /// Takes the pictures among the files; those that were there before are gone.
    pub(crate) fn bring_pictures(&mut self, files: &[File]) {
        let shown = |f: &&File| KINDS.iter().any(|k| f.text.starts_with(k));
        self.pictures = files.iter().filter(shown).cloned().collect();
    }

    /// Says which photos a page lacks.
    pub(crate) fn check_pictures(&self) {
        for visit in &self.documents.visits {
            for photo in &visit.photos {
                let said = match look(self, visit, photo) {
                    Ok(_) => continue,
                    Err(Lack::Missing) => code::S112,
                    Err(Lack::Changed) => code::S113,
                };
                let name = photo.file.value.as_str();
                self.say(Diagnostic::warning(said).at(photo.file.span.clone()).arg("photo", name));
            }
        }
    }
}

/// Where a photo may lie: within the job folder, or beside its visit. A path that leads out of the folder is none.
pub(crate) fn places(folder: &str, name: &str) -> Vec<String> {
    let leads_out = name.starts_with('/') || name.contains('\\') || name.split('/').any(|p| p == "..");
    if leads_out {
        return Vec::new();
    }
    vec![name.to_owned(), format!("{folder}/{name}")]
}

/// The photo's `data:` address, or why there is none.
fn look<'j>(job: &'j Job, visit: &Visit, photo: &Taken) -> Result<&'j str, Lack> {
    let name = photo.file.value.as_str();
    let places = places(&visit.folder, name);
    let found = job.pictures.iter().find(|f| places.contains(&f.name)).ok_or(Lack::Missing)?;
    let stem = name.rsplit('/').next().and_then(|n| n.split('.').next()).unwrap_or("");
    let is_hash = stem.len() == 64 && stem.bytes().all(|b| b.is_ascii_hexdigit());
    if is_hash {
        let text = found.text.split_once(',').map_or("", |t| t.1);
        let sum = Sha256::digest(bytes_of(text).ok_or(Lack::Changed)?);
        let hex: String = sum.iter().map(|b| format!("{b:02x}")).collect();
        if !hex.eq_ignore_ascii_case(stem) {
            return Err(Lack::Changed);
        }
    }
    Ok(&found.text)
}

/// Base64 with padding (RFC 4648, 4); nothing where it is none.
fn bytes_of(text: &str) -> Option<Vec<u8>> {
    let plain = text.trim_end_matches('=');
    let mut out = Vec::with_capacity(plain.len() / 4 * 3 + 2);
    let (mut bits, mut held) = (0_u32, 0_u32);
    for sign in plain.bytes() {
        let six = match sign {
            b'A'..=b'Z' => sign - b'A',
            b'a'..=b'z' => sign - b'a' + 26,
            b'0'..=b'9' => sign - b'0' + 52,
            b'+' => 62,
            b'/' => 63,
            _ => return None,
        };
        bits = (bits << 6) | u32::from(six);
        held += 6;
        if held >= 8 {
            held -= 8;
            out.extend(u8::try_from((bits >> held) & 0xff));
        }
    }
    Some(out)
}

/// Photos of every visit.
pub(crate) fn of_job(job: &Job, words: &Words) -> Vec<PhotosOf> {
    job.documents.visits.iter().filter(|v| !v.photos.is_empty()).map(|v| of_visit(job, v, words)).collect()
}

/// Photos of one visit, with a sentence for each that cannot be shown.
pub(crate) fn of_visit(job: &Job, visit: &Visit, words: &Words) -> PhotosOf {
    let mut out = PhotosOf {
        visit: words.text("photos-of", &[("date", visit.date.as_str().into())]),
        photos: Vec::new(),
        lacking: Vec::new(),
    };
    for photo in &visit.photos {
        let shows = photo.shows.clone().unwrap_or_default();
        match look(job, visit, photo) {
            Ok(data) => {
                let test = photo.test.as_ref().map(|t| t.replace('_', " "));
                let about = [photo.time.clone(), photo.place.clone(), test];
                let about = about.into_iter().flatten().collect::<Vec<_>>().join(", ");
                out.photos.push(Photo { data: data.to_owned(), shows, about });
            }
            Err(lack) => {
                let key = if lack == Lack::Missing { "photo-missing" } else { "photo-changed" };
                let called = if shows.is_empty() { photo.file.value.clone() } else { shows };
                out.lacking.push(words.text(key, &[("photo", called.into())]));
            }
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The test vectors of RFC 4648, 10.
    #[test]
    fn base64_is_read_as_the_rfc_writes_it() {
        for (text, bytes) in
            [("", ""), ("Zg==", "f"), ("Zm8=", "fo"), ("Zm9v", "foo"), ("Zm9vYmFy", "foobar")]
        {
            assert_eq!(bytes_of(text).unwrap(), bytes.as_bytes());
        }
        assert_eq!(bytes_of("Zm9*"), None);
    }

    #[test]
    fn a_path_stays_within_the_job() {
        assert_eq!(
            places("visits/a", "attachments/x.jpg"),
            ["attachments/x.jpg", "visits/a/attachments/x.jpg"]
        );
        for out in ["../x.jpg", "attachments/../../x.jpg", "/x.jpg", "a\\..\\x.jpg"] {
            assert!(places("visits/a", out).is_empty(), "{out}");
        }
    }
}
