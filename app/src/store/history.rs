//! What a document was, and going back.

use super::Store;
use super::documents::{Current, Edited, Made, Who, add, change, current, hash, job_id, remember};
use super::trouble::{Result, StoreError};
use rusqlite::{Connection, OptionalExtension, params};

/// A revision without its bytes.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub(crate) struct Revision {
    /// The document.
    pub(crate) path: String,
    /// From 1.
    pub(crate) number: i64,
    /// The one the edit was made on, where it is not the one before.
    pub(crate) base: Option<i64>,
    /// SHA-256 of its bytes; nothing where the document was removed.
    pub(crate) hash: Option<String>,
    /// Bytes.
    pub(crate) size: i64,
    /// When, ms since 1970.
    pub(crate) made_ms: i64,
    /// Who.
    pub(crate) author: String,
    /// Where.
    pub(crate) device: String,
    /// `put`, `edit`, `merge`, `undo` or `remove`.
    pub(crate) what: String,
    /// The revision it takes back.
    pub(crate) undoes: Option<i64>,
    /// Operations, where it came as such.
    pub(crate) operations: Option<serde_json::Value>,
}

/// An edit that was refused and waits to be settled.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub(crate) struct Waiting {
    /// The document.
    pub(crate) path: String,
    /// The revision it was made on.
    pub(crate) base: Option<i64>,
    /// The revision that it met.
    pub(crate) against: i64,
    /// Fields with both values.
    pub(crate) fields: serde_json::Value,
    /// When, ms since 1970.
    pub(crate) made_ms: i64,
    /// Whose it is.
    pub(crate) author: String,
    /// The number under which it is settled.
    pub(crate) id: i64,
}

impl Store {
    /// All revisions of a document, or of all of a job's, the first first.
    pub(crate) fn history(&self, job: &str, path: Option<&str>) -> Result<Vec<Revision>> {
        let conn = self.read();
        let id = job_id(&conn, job)?;
        let mut select = conn.prepare(
            "SELECT d.path, r.number, r.base, r.hash, r.size, r.made_ms, r.author, r.device, r.what, r.undoes, \
             r.operations FROM revision r JOIN document d ON d.id = r.document_id \
             WHERE d.job_id = ?1 AND (?2 IS NULL OR d.path = ?2) ORDER BY d.path, r.number",
        )?;
        let rows = select.query_map(params![id, path], |r| {
            Ok(Revision {
                path: r.get(0)?,
                number: r.get(1)?,
                base: r.get(2)?,
                hash: r.get(3)?,
                size: r.get(4)?,
                made_ms: r.get(5)?,
                author: r.get(6)?,
                device: r.get(7)?,
                what: r.get(8)?,
                undoes: r.get(9)?,
                operations: r.get::<_, Option<String>>(10)?.and_then(|t| serde_json::from_str(&t).ok()),
            })
        })?;
        let list: Vec<Revision> = rows.collect::<std::result::Result<_, _>>()?;
        match path {
            Some(path) if list.is_empty() => Err(StoreError::NoDocument { path: path.to_owned() }),
            _ => Ok(list),
        }
    }

    /// Refused edits of a job that nobody has settled.
    pub(crate) fn waiting(&self, job: &str) -> Result<Vec<Waiting>> {
        let conn = self.read();
        let id = job_id(&conn, job)?;
        let mut select = conn.prepare(
            "SELECT d.path, c.base, c.against, c.fields, c.made_ms, c.author, c.id FROM conflict c \
             JOIN document d ON d.id = c.document_id WHERE d.job_id = ?1 AND c.settled_ms IS NULL ORDER BY c.id",
        )?;
        let rows = select.query_map([id], |r| {
            Ok(Waiting {
                path: r.get(0)?,
                base: r.get(1)?,
                against: r.get(2)?,
                fields: serde_json::from_str(&r.get::<_, String>(3)?).unwrap_or_default(),
                made_ms: r.get(4)?,
                author: r.get(5)?,
                id: r.get(6)?,
            })
        })?;
        Ok(rows.collect::<std::result::Result<_, _>>()?)
    }

    /// Settles a refused edit: with `take`, what it wrote counts where both touched a field, and the
    /// rest of both stays; without, it goes. The bytes of either stay in the history.
    pub(crate) fn settle(&self, job: &str, waiting: i64, take: bool, who: Who) -> Result<Edited> {
        let job = job.to_owned();
        self.writer.call(move |conn| settle(conn, &job, waiting, take, &who))
    }

    /// The bytes of a revision, of the last without a number; nothing where it was removed then.
    pub(crate) fn bytes(&self, job: &str, path: &str, number: Option<i64>) -> Result<Option<Vec<u8>>> {
        let conn = self.read();
        let id = job_id(&conn, job)?;
        let last = known(&conn, id, path)?;
        at(&conn, id, path, number.unwrap_or(last.number))
    }

    /// The number of a document's last revision; 0 where there is none.
    pub(crate) fn last(&self, job: &str, path: &str) -> Result<i64> {
        let conn = self.read();
        Ok(current(&conn, job_id(&conn, job)?, path)?.map_or(0, |c| c.number))
    }

    /// Takes a revision back, by a new one: without a number the last that was not taken back yet.
    ///
    /// An older one is taken back by a merge: what others did since stays, and where they touched
    /// the same field it is a conflict and nothing changes.
    pub(crate) fn undo(&self, job: &str, path: &str, number: Option<i64>, who: Who) -> Result<Edited> {
        let (job, path) = (job.to_owned(), path.to_owned());
        self.writer.call(move |conn| undo(conn, &job, &path, number, &who))
    }
}

fn known(conn: &Connection, job: i64, path: &str) -> Result<Current> {
    current(conn, job, path)?.ok_or_else(|| StoreError::NoDocument { path: path.to_owned() })
}

/// The bytes of a revision; nothing for 0 and where the document was removed.
pub(super) fn at(conn: &Connection, job: i64, path: &str, number: i64) -> Result<Option<Vec<u8>>> {
    if number == 0 {
        return Ok(None);
    }
    let found: Option<(Option<Vec<u8>>, Option<String>)> = conn
        .query_row(
            "SELECT c.bytes, r.hash FROM revision r JOIN document d ON d.id = r.document_id \
             LEFT JOIN content c ON c.id = r.content_id WHERE d.job_id = ?1 AND d.path = ?2 AND r.number = ?3",
            params![job, path, number],
            |r| Ok((r.get(0)?, r.get(1)?)),
        )
        .optional()?;
    match found {
        Some((bytes, told)) if bytes.as_deref().map(hash) == told => Ok(bytes),
        Some(_) => Err(StoreError::Damaged { what: format!("{path} ({number})") }),
        None => {
            let last = current(conn, job, path)?.map_or(0, |c| c.number);
            Err(StoreError::NoRevision { path: path.to_owned(), number, last })
        }
    }
}

fn undo(conn: &Connection, job: &str, path: &str, number: Option<i64>, who: &Who) -> Result<Edited> {
    let id = job_id(conn, job)?;
    let last = known(conn, id, path)?;
    let undoes = |number: i64| -> Result<Option<i64>> {
        Ok(conn.query_row(
            "SELECT undoes FROM revision WHERE document_id = ?1 AND number = ?2",
            [last.document, number],
            |r| r.get(0),
        )?)
    };
    let target = match number {
        Some(number) => number,
        None => {
            // An undo after an undo goes on from what that one took back.
            let mut target = last.number;
            while let Some(back) = undoes(target)? {
                target = back - 1;
                if target < 1 {
                    break;
                }
            }
            target
        }
    };
    if target < 1 || (number.is_none() && target == 1) {
        return Err(StoreError::NothingToUndo { path: path.to_owned() });
    }
    let was = at(conn, id, path, target)?;
    let before = at(conn, id, path, target - 1)?;
    let made = Made { base: Some(target), what: "undo", undoes: Some(target), operations: None };
    if was == last.bytes {
        let number = add(conn, id, path, before.as_deref(), &made, who)?;
        return Ok(Edited::Kept { number, merged: false });
    }
    // The edit from `was` to `before`, brought together with what came since.
    let merged = change(conn, id, path, target, before.as_deref(), false, who, None)?;
    if let Edited::Kept { number, .. } = merged {
        conn.execute(
            "UPDATE revision SET what = 'undo', undoes = ?3 WHERE document_id = ?1 AND number = ?2",
            [last.document, number, target],
        )?;
    }
    Ok(merged)
}

fn settle(conn: &Connection, job: &str, waiting: i64, take: bool, who: &Who) -> Result<Edited> {
    let id = job_id(conn, job)?;
    type Row = (String, Option<i64>, Option<Vec<u8>>, Option<i64>);
    let found: Option<Row> = conn
        .query_row(
            "SELECT d.path, c.base, b.bytes, c.settled_ms FROM conflict c JOIN document d ON d.id = c.document_id \
             LEFT JOIN content b ON b.id = c.content_id WHERE d.job_id = ?1 AND c.id = ?2",
            [id, waiting],
            |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?, r.get(3)?)),
        )
        .optional()?;
    let none = || StoreError::NothingToUndo { path: format!("{waiting}") };
    let (path, base, mine, settled) = found.ok_or_else(none)?;
    let last = known(conn, id, &path)?;
    if settled.is_some() || !take {
        conn.execute(
            "UPDATE conflict SET settled_ms = ifnull(settled_ms, ?2) WHERE id = ?1",
            [waiting, who.now_ms],
        )?;
        return Ok(Edited::Same { number: last.number });
    }
    let base = at(conn, id, &path, base.unwrap_or(0))?;
    let text = |bytes: &Option<Vec<u8>>| bytes.clone().and_then(|b| String::from_utf8(b).ok());
    // Merged the other way round: mine counts where both touched a field, theirs in the rest.
    let bytes = match (text(&base), text(&mine), text(&last.bytes)) {
        (Some(base), Some(mine), Some(theirs)) => {
            Some(api::edit::merge(&path, &base, &theirs, &mine).text.into_bytes())
        }
        _ => mine,
    };
    let made = Made { base: Some(last.number), what: "merge", undoes: None, operations: None };
    let number = add(conn, id, &path, bytes.as_deref(), &made, who)?;
    conn.execute("UPDATE conflict SET settled_ms = ?2 WHERE id = ?1", [waiting, who.now_ms])?;
    let kept = Edited::Kept { number, merged: true };
    remember(conn, id, &kept, &path, number, None, who)?;
    Ok(kept)
}
