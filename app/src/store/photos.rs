//! Photos of a job: bytes named by their SHA-256, so that none is ever changed and one that is sent twice is one.

use super::Store;
use super::documents::{Made, Who, add, current, hash, job_id};
use super::trouble::{Result, StoreError};
use rusqlite::params;

/// Largest photo that is taken, bytes.
pub(crate) const LARGEST_PHOTO: usize = 12 << 20;
/// All photos of a job together, bytes.
const LARGEST_PHOTOS: usize = 512 << 20;
/// Where photos stand in a job.
pub(crate) const PHOTOS: &str = "attachments/";

/// Whether a name is that of a photo: `<64 digits of its SHA-256>.jpg`, `.jpeg` or `.png`. Gives the hash.
pub(crate) fn photo_hash(name: &str) -> Option<&str> {
    let (stem, ending) = name.split_once('.')?;
    let digits = |b: u8| b.is_ascii_digit() || (b'a'..=b'f').contains(&b);
    let sound = stem.len() == 64 && stem.bytes().all(digits) && matches!(ending, "jpg" | "jpeg" | "png");
    sound.then_some(stem)
}

impl Store {
    /// Keeps a photo; whether it was not there yet. One that was erased stays erased.
    ///
    /// # Errors
    /// No such job; more photos than a job may have. The caller has held the bytes against the name.
    pub(crate) fn add_photo(&self, job: &str, name: &str, bytes: Vec<u8>, who: Who) -> Result<bool> {
        let (job, path) = (job.to_owned(), format!("{PHOTOS}{name}"));
        self.writer.call(move |conn| {
            let id = job_id(conn, &job)?;
            if current(conn, id, &path)?.is_some_and(|c| c.bytes.is_some()) {
                return Ok(false);
            }
            let erased: bool = conn.query_row(
                "SELECT EXISTS (SELECT 1 FROM tombstone WHERE job_id = ?1 AND hash = ?2)",
                params![id, hash(&bytes)],
                |r| r.get(0),
            )?;
            if erased {
                return Ok(false);
            }
            let held: i64 = conn.query_row(
                "SELECT ifnull(sum(r.size), 0) FROM revision r JOIN document d ON d.id = r.document_id \
                 WHERE d.job_id = ?1 AND d.path LIKE ?2 AND r.content_id IS NOT NULL",
                params![id, format!("{PHOTOS}%")],
                |r| r.get(0),
            )?;
            let all = usize::try_from(held).unwrap_or(usize::MAX).saturating_add(bytes.len());
            if all > LARGEST_PHOTOS {
                return Err(StoreError::Large { what: job.clone(), bytes: all, most: LARGEST_PHOTOS });
            }
            let made = Made { base: None, what: "put", undoes: None, operations: None };
            add(conn, id, &path, Some(&bytes), &made, &who)?;
            Ok(true)
        })
    }

    /// A photo's bytes; nothing where it is not there.
    ///
    /// # Errors
    /// No such job; bytes that are not what they were.
    pub(crate) fn photo(&self, job: &str, name: &str) -> Result<Option<Vec<u8>>> {
        let conn = self.read();
        let id = job_id(&conn, job)?;
        let path = format!("{PHOTOS}{name}");
        let bytes = current(&conn, id, &path)?.and_then(|c| c.bytes);
        match bytes {
            Some(bytes) if photo_hash(name) != Some(hash(&bytes).as_str()) => {
                Err(StoreError::Damaged { what: path })
            }
            bytes => Ok(bytes),
        }
    }
}
