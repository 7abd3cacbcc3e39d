//! Erasing at an owner's request: the bytes go, a tombstone stays.
//!
//! Every revision of a document goes, every reading and message of a series, what was derived from
//! them, and refused edits; freed pages are overwritten (`secure_delete`), the file is written anew
//! (`VACUUM`) and the log emptied. Copies made before (back-ups, folders) are not reached.

use super::Store;
use super::documents::{hash, job_id};
use super::trouble::{Result, StoreError};
use rusqlite::{Connection, params};
use std::time::Duration;

/// What is to be erased.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Target {
    /// A whole job with its series.
    Job,
    /// One document.
    Document(String),
    /// One series.
    Series(String),
}

/// What was erased.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub(crate) struct Tombstone {
    /// `document` or `series`.
    pub(crate) kind: String,
    /// Which, without what a person could be known by.
    pub(crate) what: String,
    /// SHA-256 of the last bytes, or over the readings.
    pub(crate) hash: String,
    /// When, ms since 1970.
    pub(crate) erased_ms: i64,
    /// At whose request.
    pub(crate) asked_by: String,
}

impl Store {
    /// Erases; comes back when the bytes are gone from the file.
    pub(crate) fn erase(
        &self,
        job: &str,
        target: Target,
        asked_by: &str,
        now_ms: i64,
    ) -> Result<Vec<Tombstone>> {
        let (job, asked_by) = (job.to_owned(), asked_by.to_owned());
        let stones = self.writer.call(move |conn| erase(conn, &job, &target, &asked_by, now_ms))?;
        self.writer.alone(|conn| {
            conn.execute_batch("VACUUM")?;
            empty_log(conn)
        })?;
        Ok(stones)
    }

    /// All tombstones.
    pub(crate) fn tombstones(&self) -> Result<Vec<Tombstone>> {
        let conn = self.read();
        let mut select =
            conn.prepare("SELECT kind, what, hash, erased_ms, asked_by FROM tombstone ORDER BY id")?;
        let rows = select.query_map([], |r| {
            Ok(Tombstone {
                kind: r.get(0)?,
                what: r.get(1)?,
                hash: r.get(2)?,
                erased_ms: r.get(3)?,
                asked_by: r.get(4)?,
            })
        })?;
        Ok(rows.collect::<std::result::Result<_, _>>()?)
    }
}

/// Empties the log; somebody who reads an older state right now may hold it for a moment.
fn empty_log(conn: &Connection) -> Result<()> {
    for _ in 0..50 {
        let busy: i64 = conn.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |r| r.get(0))?;
        if busy == 0 {
            return Ok(());
        }
        std::thread::sleep(Duration::from_millis(100));
    }
    Err(StoreError::Busy)
}

/// A document's name without what a person could be known by: names of our own format stay.
fn neutral(path: &str) -> String {
    let ours = matches!(path, "job.toml" | "house.toml" | "plans.toml")
        || (path.starts_with("visits/") && path.ends_with("/visit.toml") && path.len() < 40);
    if ours {
        return path.to_owned();
    }
    let first = path.split('/').next().filter(|f| matches!(*f, "visits" | "rules" | "attachments"));
    let end = path.rsplit('.').next().filter(|e| e.len() <= 4 && *e != path);
    format!("{}/*.{}", first.unwrap_or("*"), end.unwrap_or("*"))
}

fn erase(
    conn: &Connection,
    job: &str,
    target: &Target,
    asked_by: &str,
    now_ms: i64,
) -> Result<Vec<Tombstone>> {
    let id = job_id(conn, job)?;
    let mut stones = Vec::new();
    let mut stone = |kind: &str, what: String, hash: String| {
        stones.push(Tombstone {
            kind: kind.to_owned(),
            what,
            hash,
            erased_ms: now_ms,
            asked_by: asked_by.to_owned(),
        });
    };
    let list = |sql: &str| -> Result<Vec<(i64, String)>> {
        let mut select = conn.prepare(sql)?;
        let rows = select.query_map([id], |r| Ok((r.get(0)?, r.get(1)?)))?;
        Ok(rows.collect::<std::result::Result<_, _>>()?)
    };
    let documents = list("SELECT id, path FROM document WHERE job_id = ?1 ORDER BY path")?;
    let series = list("SELECT id, name FROM source WHERE job_id = ?1 ORDER BY name")?;
    let wanted_document = |path: &str| match target {
        Target::Job => true,
        Target::Document(wanted) => wanted == path,
        Target::Series(_) => false,
    };
    let wanted_series = |name: &str| match target {
        Target::Job => true,
        Target::Series(wanted) => wanted == name,
        Target::Document(_) => false,
    };
    for (document, path) in documents.iter().filter(|(_, path)| wanted_document(path)) {
        let last: Option<String> = conn.query_row(
            "SELECT (SELECT hash FROM revision WHERE document_id = ?1 AND hash IS NOT NULL \
             ORDER BY number DESC LIMIT 1)",
            [document],
            |r| r.get(0),
        )?;
        stone("document", format!("job {id}: {}", neutral(path)), last.unwrap_or_default());
        conn.execute("DELETE FROM conflict WHERE document_id = ?1", [document])?;
        conn.execute("DELETE FROM revision WHERE document_id = ?1", [document])?;
        conn.execute("DELETE FROM copy WHERE job_id = ?1 AND path = ?2", params![id, path])?;
        conn.execute("DELETE FROM document WHERE id = ?1", [document])?;
    }
    conn.execute(
        "DELETE FROM content WHERE job_id = ?1 AND id NOT IN (SELECT content_id FROM revision WHERE content_id IS NOT NULL) \
         AND id NOT IN (SELECT content_id FROM conflict WHERE content_id IS NOT NULL)",
        [id],
    )?;
    for (source, _) in series.iter().filter(|(_, name)| wanted_series(name)) {
        stone("series", format!("job {id}: series {source}"), hash(&readings(conn, *source)?));
        conn.execute(
            "DELETE FROM event WHERE id IN (SELECT event_id FROM event_source WHERE source_id = ?1)",
            [source],
        )?;
        for table in ["event_source", "point", "level", "held", "raw", "expected"] {
            conn.execute(&format!("DELETE FROM {table} WHERE source_id = ?1"), [source])?;
        }
        conn.execute("DELETE FROM source WHERE id = ?1", [source])?;
    }
    if stones.is_empty() && *target != Target::Job {
        return Err(match target {
            Target::Series(name) => StoreError::NoSource { name: name.clone() },
            Target::Document(path) => StoreError::NoDocument { path: path.clone() },
            Target::Job => StoreError::Erased { name: job.to_owned() },
        });
    }
    // The watch remembers readings; it begins anew without those.
    if !matches!(target, Target::Document(_)) {
        conn.execute("DELETE FROM watched WHERE job_id = ?1", [id])?;
        conn.execute("DELETE FROM ruled WHERE job_id = ?1", [id])?;
    }
    // What was derived may repeat what was erased; it can be derived again.
    conn.execute("UPDATE result SET state = 'erased', body = NULL WHERE job_id = ?1", [id])?;
    if *target == Target::Job {
        conn.execute("DELETE FROM event WHERE job_id = ?1", [id])?;
        conn.execute("DELETE FROM copy WHERE job_id = ?1", [id])?;
        conn.execute(
            "UPDATE job SET name = ?2, erased_ms = ?3 WHERE id = ?1",
            params![id, format!("erased-{id}"), now_ms],
        )?;
    }
    for s in &stones {
        conn.execute(
            "INSERT INTO tombstone (job_id, kind, what, hash, erased_ms, asked_by) VALUES (?1, ?2, ?3, ?4, ?5, ?6)",
            params![id, s.kind, s.what, s.hash, s.erased_ms, s.asked_by],
        )?;
    }
    Ok(stones)
}

/// All readings of a source in one run of bytes: times and values, little end first.
fn readings(conn: &Connection, source: i64) -> Result<Vec<u8>> {
    let mut select =
        conn.prepare("SELECT time_ms, value FROM point WHERE source_id = ?1 ORDER BY time_ms, arrival")?;
    let mut rows = select.query([source])?;
    let mut bytes = Vec::new();
    while let Some(row) = rows.next()? {
        bytes.extend(row.get::<_, i64>(0)?.to_le_bytes());
        bytes.extend(row.get::<_, f64>(1)?.to_le_bytes());
    }
    Ok(bytes)
}
