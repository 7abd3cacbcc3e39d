//! Documents: bytes with every revision, edits by operations, folders in and out.
//!
//! An edit names the revision it was made on. Where that is no longer the last, the edit is merged
//! with what came between; where both touched one field, nothing changes: the caller is shown both,
//! and what was refused is kept as a conflict until it is settled.

use super::Store;
use super::folder::{Bytes, sound};
use super::history;
use super::trouble::{Result, StoreError};
use api::edit::{self, Conflict, Operation};
use rusqlite::{Connection, OptionalExtension, params};
use sha2::{Digest, Sha256};
use std::collections::{BTreeMap, BTreeSet};

/// Who edits, where and when.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Who {
    /// The person.
    pub(crate) author: String,
    /// The machine.
    pub(crate) device: String,
    /// By its clock, ms since 1970; the order of revisions does not hang on it.
    pub(crate) now_ms: i64,
}

/// A job of the store.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub(crate) struct JobRow {
    /// Its name.
    pub(crate) name: String,
    /// Documents that are there now.
    pub(crate) documents: i64,
    /// Revisions of all documents.
    pub(crate) revisions: i64,
    /// Bytes of what is there now.
    pub(crate) bytes: i64,
    /// Last change, ms since 1970.
    pub(crate) changed_ms: Option<i64>,
    /// Edits that wait to be settled.
    pub(crate) conflicts: i64,
    /// When it was erased.
    pub(crate) erased_ms: Option<i64>,
}

/// What became of an edit.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(tag = "became", rename_all = "kebab-case")]
pub(crate) enum Edited {
    /// A new revision.
    Kept {
        /// Its number.
        number: i64,
        /// Whether others' edits were between.
        merged: bool,
    },
    /// It says what is there already.
    Same {
        /// The last revision.
        number: i64,
    },
    /// Both touched a field; nothing was changed, and the refused edit is kept.
    Conflict {
        /// The last revision.
        number: i64,
        /// Fields with both values.
        fields: Vec<Conflict>,
    },
}

/// What was put from a folder, by path.
pub(crate) type Put = BTreeMap<String, Edited>;

/// A document as it stands.
pub(super) struct Current {
    pub(super) document: i64,
    pub(super) number: i64,
    pub(super) bytes: Option<Vec<u8>>,
}

pub(super) fn hash(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect()
}

impl Store {
    /// Every job, by name.
    pub(crate) fn jobs(&self) -> Result<Vec<JobRow>> {
        list(&self.read())
    }

    /// The documents of a job as they are now.
    ///
    /// # Errors
    /// A job that is not there, or whose bytes are not what they were.
    pub(crate) fn job(&self, job: &str) -> Result<Vec<Bytes>> {
        let conn = self.read();
        let id = job_id(&conn, job)?;
        Ok(now(&conn, id)?.into_iter().map(|(bytes, _)| bytes).collect())
    }

    /// The documents of a job as they are now, noted as given out to a folder: what is put from there later is an edit of it.
    pub(crate) fn give(&self, job: &str, folder: &str) -> Result<Vec<Bytes>> {
        let (job, folder) = (job.to_owned(), folder.to_owned());
        self.writer.call(move |conn| {
            let id = job_id(conn, &job)?;
            let documents = now(conn, id)?;
            conn.execute("DELETE FROM copy WHERE job_id = ?1 AND folder = ?2", params![id, folder])?;
            for (bytes, number) in &documents {
                stands_on(conn, id, &folder, &bytes.path, *number)?;
            }
            Ok(documents.into_iter().map(|(bytes, _)| bytes).collect())
        })
    }

    /// Puts the files of a folder into a job, which is made where it is not there; all or, where a
    /// field was changed on both sides, nothing. With `over` the folder counts.
    ///
    /// # Errors
    /// A job that is there already and was never given to this folder, unless `over`.
    pub(crate) fn put(
        &self,
        job: &str,
        folder: &str,
        files: Vec<Bytes>,
        over: bool,
        who: Who,
    ) -> Result<Put> {
        let (job, folder) = (job.to_owned(), folder.to_owned());
        self.writer.call(move |conn| put(conn, &job, &folder, &files, over, &who))
    }

    /// Edits one document by operations made on revision `on`; 0 for a document that was not there.
    ///
    /// # Errors
    /// Operations that do not fit the text they were made on.
    pub(crate) fn edit(
        &self,
        job: &str,
        path: &str,
        on: i64,
        operations: Vec<Operation>,
        who: Who,
    ) -> Result<Edited> {
        let (job, path) = (job.to_owned(), path.to_owned());
        self.writer.call(move |conn| {
            let id = job_id(conn, &job)?;
            let base = history::at(conn, id, &path, on)?;
            let text = text_of(&path, base.as_deref().unwrap_or_default())?;
            let mine = edit::apply(&text, &operations).map_err(|e| StoreError::edit(&path, &e))?;
            let told = serde_json::to_string(&operations).ok();
            let made = change(conn, id, &path, on, Some(mine.as_bytes()), false, &who, told.as_deref())?;
            remember(conn, id, &made, &path, on, Some(mine.as_bytes()), &who)?;
            Ok(made)
        })
    }
}

/// The number of a job.
pub(super) fn job_id(conn: &Connection, name: &str) -> Result<i64> {
    let found: Option<(i64, Option<i64>)> = conn
        .query_row("SELECT id, erased_ms FROM job WHERE name = ?1", [name], |r| Ok((r.get(0)?, r.get(1)?)))
        .optional()?;
    match found {
        Some((id, None)) => Ok(id),
        Some((_, Some(_))) => Err(StoreError::Erased { name: name.to_owned() }),
        None => {
            let mut select =
                conn.prepare("SELECT name FROM job WHERE erased_ms IS NULL ORDER BY name LIMIT 20")?;
            let known: Vec<String> =
                select.query_map([], |r| r.get(0))?.collect::<std::result::Result<_, _>>()?;
            Err(StoreError::NoJob { name: name.to_owned(), known: known.join(", ") })
        }
    }
}

pub(super) fn text_of(path: &str, bytes: &[u8]) -> Result<String> {
    String::from_utf8(bytes.to_vec()).map_err(|_| StoreError::Edit {
        path: path.to_owned(),
        why: "no-text",
        what: String::new(),
        line: 0,
    })
}

fn list(conn: &Connection) -> Result<Vec<JobRow>> {
    let mut select = conn.prepare(
        "SELECT j.name, count(CASE WHEN r.number = m.last AND r.content_id IS NOT NULL THEN 1 END), count(r.id), \
         ifnull(sum(CASE WHEN r.number = m.last THEN r.size END), 0), max(r.made_ms), \
         (SELECT count(*) FROM conflict c JOIN document e ON e.id = c.document_id \
          WHERE e.job_id = j.id AND c.settled_ms IS NULL), j.erased_ms \
         FROM job j LEFT JOIN document d ON d.job_id = j.id \
         LEFT JOIN (SELECT document_id, max(number) AS last FROM revision GROUP BY document_id) m \
           ON m.document_id = d.id \
         LEFT JOIN revision r ON r.document_id = d.id GROUP BY j.id ORDER BY j.name",
    )?;
    let rows = select.query_map([], |r| {
        Ok(JobRow {
            name: r.get(0)?,
            documents: r.get(1)?,
            revisions: r.get(2)?,
            bytes: r.get(3)?,
            changed_ms: r.get(4)?,
            conflicts: r.get(5)?,
            erased_ms: r.get(6)?,
        })
    })?;
    Ok(rows.collect::<std::result::Result<_, _>>()?)
}

/// All documents that are there, each with its last revision's number; bytes held against their hash.
pub(super) fn now(conn: &Connection, job: i64) -> Result<Vec<(Bytes, i64)>> {
    now_but(conn, job, "")
}

/// The same without those whose path is of a pattern (SQLite's `GLOB`).
pub(super) fn now_but(conn: &Connection, job: i64, pattern: &str) -> Result<Vec<(Bytes, i64)>> {
    let mut select = conn.prepare(
        "SELECT d.path, r.number, c.bytes, r.hash FROM document d JOIN revision r ON r.document_id = d.id \
         JOIN content c ON c.id = r.content_id WHERE d.job_id = ?1 AND d.path NOT GLOB ?2 \
         AND r.number = (SELECT max(number) FROM revision WHERE document_id = d.id) ORDER BY d.path",
    )?;
    let mut rows = select.query(params![job, pattern])?;
    let mut documents = Vec::new();
    while let Some(row) = rows.next()? {
        let (path, number, bytes): (String, i64, Vec<u8>) = (row.get(0)?, row.get(1)?, row.get(2)?);
        if row.get::<_, Option<String>>(3)?.as_deref() != Some(hash(&bytes).as_str()) {
            return Err(StoreError::Damaged { what: path });
        }
        documents.push((Bytes { path, bytes }, number));
    }
    Ok(documents)
}

/// A document as it stands; nothing where no revision of it was ever kept.
pub(super) fn current(conn: &Connection, job: i64, path: &str) -> Result<Option<Current>> {
    Ok(conn
        .query_row(
            "SELECT d.id, r.number, c.bytes FROM document d JOIN revision r ON r.document_id = d.id \
             LEFT JOIN content c ON c.id = r.content_id WHERE d.job_id = ?1 AND d.path = ?2 \
             ORDER BY r.number DESC LIMIT 1",
            params![job, path],
            |r| Ok(Current { document: r.get(0)?, number: r.get(1)?, bytes: r.get(2)? }),
        )
        .optional()?)
}

/// The number of the bytes in this job, which are kept once.
pub(super) fn keep_bytes(conn: &Connection, job: i64, bytes: &[u8]) -> Result<i64> {
    let hash = hash(bytes);
    conn.execute(
        "INSERT INTO content (job_id, hash, bytes) VALUES (?1, ?2, ?3) ON CONFLICT DO NOTHING",
        params![job, hash, bytes],
    )?;
    Ok(conn.query_row("SELECT id FROM content WHERE job_id = ?1 AND hash = ?2", params![job, hash], |r| {
        r.get(0)
    })?)
}

/// What a new revision is, apart from its bytes.
pub(super) struct Made<'a> {
    pub(super) base: Option<i64>,
    pub(super) what: &'a str,
    pub(super) undoes: Option<i64>,
    pub(super) operations: Option<&'a str>,
}

/// Adds a revision and marks results as older than their inputs.
pub(super) fn add(
    conn: &Connection,
    job: i64,
    path: &str,
    bytes: Option<&[u8]>,
    made: &Made<'_>,
    who: &Who,
) -> Result<i64> {
    conn.execute(
        "INSERT INTO document (job_id, path) VALUES (?1, ?2) ON CONFLICT DO NOTHING",
        params![job, path],
    )?;
    let document: i64 =
        conn.query_row("SELECT id FROM document WHERE job_id = ?1 AND path = ?2", params![job, path], |r| {
            r.get(0)
        })?;
    let parent: Option<i64> =
        conn.query_row("SELECT max(number) FROM revision WHERE document_id = ?1", [document], |r| r.get(0))?;
    let content = bytes.map(|b| keep_bytes(conn, job, b)).transpose()?;
    let number = parent.unwrap_or(0) + 1;
    conn.execute(
        "INSERT INTO revision (document_id, number, parent, base, content_id, hash, size, made_ms, author, device, \
         what, undoes, operations) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10, ?11, ?12, ?13)",
        params![
            document,
            number,
            parent,
            made.base,
            content,
            bytes.map(hash),
            bytes.map_or(0, <[u8]>::len) as i64,
            who.now_ms,
            who.author,
            who.device,
            made.what,
            made.undoes,
            made.operations
        ],
    )?;
    conn.execute("UPDATE result SET state = 'stale' WHERE job_id = ?1 AND state = 'fresh'", [job])?;
    Ok(number)
}

/// Three-way: `mine` was made on revision `on`. With `over`, mine counts where both touched a field.
#[allow(clippy::too_many_arguments, reason = "one edit: whose, of what, made on which, becoming what")]
pub(super) fn change(
    conn: &Connection,
    job: i64,
    path: &str,
    on: i64,
    mine: Option<&[u8]>,
    over: bool,
    who: &Who,
    operations: Option<&str>,
) -> Result<Edited> {
    if !sound(path) {
        return Err(StoreError::Path { path: path.to_owned() });
    }
    let last = current(conn, job, path)?;
    let number = last.as_ref().map_or(0, |c| c.number);
    if on < 0 || on > number {
        return Err(StoreError::NoRevision { path: path.to_owned(), number: on, last: number });
    }
    let theirs = last.and_then(|c| c.bytes);
    if mine == theirs.as_deref() {
        return Ok(Edited::Same { number });
    }
    let plain = if mine.is_none() {
        "remove"
    } else if operations.is_some() {
        "edit"
    } else {
        "put"
    };
    let kept = |bytes: Option<&[u8]>, what: &str| {
        let made = Made { base: (on > 0).then_some(on), what, undoes: None, operations };
        add(conn, job, path, bytes, &made, who)
    };
    if on == number {
        return Ok(Edited::Kept { number: kept(mine, plain)?, merged: false });
    }
    let base = history::at(conn, job, path, on)?;
    if mine == base.as_deref() {
        return Ok(Edited::Same { number });
    }
    let text = |bytes: &Option<Vec<u8>>| bytes.clone().and_then(|b| String::from_utf8(b).ok());
    let mine_text = mine.and_then(|b| String::from_utf8(b.to_vec()).ok());
    let fields = match (text(&base), &mine_text, text(&theirs)) {
        (Some(base), Some(mine), Some(theirs)) => {
            let merged = edit::merge(path, &base, mine, &theirs);
            if merged.text == theirs && merged.conflicts.is_empty() {
                return Ok(Edited::Same { number });
            }
            if merged.conflicts.is_empty() {
                return Ok(Edited::Kept {
                    number: kept(Some(merged.text.as_bytes()), "merge")?,
                    merged: true,
                });
            }
            if over {
                // The other way round: mine where both touched a field, theirs in the rest.
                let text = edit::merge(path, &base, &theirs, mine).text;
                return Ok(Edited::Kept { number: kept(Some(text.as_bytes()), "merge")?, merged: true });
            }
            merged.conflicts
        }
        // Pictures, and documents that one of both made or took away: one field.
        _ if over => return Ok(Edited::Kept { number: kept(mine, plain)?, merged: false }),
        (base, mine, theirs) => {
            vec![Conflict { path: path.to_owned(), key: String::new(), base, theirs, mine: mine.clone() }]
        }
    };
    Ok(Edited::Conflict { number, fields })
}

/// Keeps an edit that was refused.
pub(super) fn remember(
    conn: &Connection,
    job: i64,
    made: &Edited,
    path: &str,
    on: i64,
    mine: Option<&[u8]>,
    who: &Who,
) -> Result<()> {
    let Edited::Conflict { number, fields } = made else { return Ok(()) };
    let Some(last) = current(conn, job, path)? else { return Ok(()) };
    let content = mine.map(|b| keep_bytes(conn, job, b)).transpose()?;
    let fields = serde_json::to_string(fields).unwrap_or_else(|_| "[]".to_owned());
    // The same edit, sent again after its answer was lost, is one.
    conn.execute(
        "INSERT INTO conflict (document_id, base, against, fields, content_id, made_ms, author, device) \
         SELECT ?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8 WHERE NOT EXISTS (SELECT 1 FROM conflict WHERE document_id = ?1 \
         AND base IS ?2 AND against = ?3 AND content_id IS ?5 AND author = ?7 AND settled_ms IS NULL)",
        params![last.document, on, number, fields, content, who.now_ms, who.author, who.device],
    )?;
    Ok(())
}

fn stands_on(conn: &Connection, job: i64, folder: &str, path: &str, number: i64) -> Result<()> {
    conn.execute(
        "INSERT INTO copy (job_id, folder, path, number) VALUES (?1, ?2, ?3, ?4) \
         ON CONFLICT DO UPDATE SET number = excluded.number",
        params![job, folder, path, number],
    )?;
    Ok(())
}

fn put(conn: &Connection, job: &str, folder: &str, files: &[Bytes], over: bool, who: &Who) -> Result<Put> {
    let new = conn.execute(
        "INSERT INTO job (name, made_ms) VALUES (?1, ?2) ON CONFLICT DO NOTHING",
        params![job, who.now_ms],
    )?;
    let id = job_id(conn, job)?;
    let mut select = conn.prepare("SELECT path, number FROM copy WHERE job_id = ?1 AND folder = ?2")?;
    let stood: BTreeMap<String, i64> = select
        .query_map(params![id, folder], |r| Ok((r.get(0)?, r.get(1)?)))?
        .collect::<std::result::Result<_, _>>()?;
    let there = now(conn, id)?;
    if new == 0 && stood.is_empty() && !over && !there.is_empty() {
        return Err(StoreError::Unknown { folder: folder.to_owned(), job: job.to_owned() });
    }
    let there: BTreeMap<&str, i64> = there.iter().map(|(b, n)| (b.path.as_str(), *n)).collect();
    let mine: BTreeMap<&str, &[u8]> = files.iter().map(|f| (f.path.as_str(), f.bytes.as_slice())).collect();
    // Without a record of what it stands on, the folder is taken to stand on what is there.
    let unknown = stood.is_empty();
    let mut paths: BTreeSet<&str> = mine.keys().copied().collect();
    paths.extend(stood.keys().map(String::as_str));
    if unknown {
        paths.extend(there.keys().copied());
    }
    conn.execute_batch("SAVEPOINT folder")?;
    let mut out = Put::new();
    for path in &paths {
        let on = match stood.get(*path) {
            Some(number) => *number,
            // A document that came from elsewhere meanwhile is not one the folder stands on.
            None if unknown => current(conn, id, path)?.map_or(0, |c| c.number),
            None => removed(conn, id, path)?,
        };
        let bytes = mine.get(path).copied();
        out.insert((*path).to_owned(), change(conn, id, path, on, bytes, over, who, None)?);
    }
    let refused = out.values().any(|e| matches!(e, Edited::Conflict { .. }));
    conn.execute_batch(if refused { "ROLLBACK TO folder; RELEASE folder" } else { "RELEASE folder" })?;
    for (path, edited) in &out {
        let bytes = mine.get(path.as_str()).copied();
        if refused {
            let on = stood.get(path).copied().unwrap_or(0);
            remember(conn, id, edited, path, on, bytes, who)?;
            continue;
        }
        // A folder whose edit was merged holds its own part only: it stands where it stood.
        match (edited, bytes) {
            (Edited::Kept { merged: true, .. } | Edited::Conflict { .. }, _) => {}
            (Edited::Kept { number, .. } | Edited::Same { number }, Some(bytes)) => {
                if current(conn, id, path)?.is_some_and(|c| c.bytes.as_deref() == Some(bytes)) {
                    stands_on(conn, id, folder, path, *number)?;
                }
            }
            (_, None) => {
                conn.execute(
                    "DELETE FROM copy WHERE job_id = ?1 AND folder = ?2 AND path = ?3",
                    params![id, folder, path],
                )?;
            }
        }
    }
    Ok(out)
}

/// The last revision where that is a removal: a document that comes again stands on it.
fn removed(conn: &Connection, job: i64, path: &str) -> Result<i64> {
    Ok(current(conn, job, path)?.filter(|c| c.bytes.is_none()).map_or(0, |c| c.number))
}
