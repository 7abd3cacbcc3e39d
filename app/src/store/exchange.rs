//! What a device sends of a job, brought together with what the desk has.
//!
//! Compare-and-swap on revisions: a document names the revision it was made on. Where the desk went on
//! since, both are merged by `api::edit`; where both touched one field, the first counts, the rest of the
//! second is merged, and the field waits with both values until somebody settles it ([`Store::settle`]).
//! So every exchange ends with one text on both sides, and nothing is lost by either.
//!
//! A change carries a mark of the device's. One that comes again after its answer was lost is known by it
//! and changes nothing, whatever others did since.

use super::Store;
use super::documents::{Edited, Made, Who, add, current, job_id, now_but, remember};
use super::folder::sound;
use super::history;
use super::photos::PHOTOS;
use super::trouble::{Result, StoreError};
use api::edit::{self, Conflict};
use rusqlite::{Connection, params};
use std::collections::BTreeSet;

/// Largest document that is taken, bytes.
pub(crate) const LARGEST_DOCUMENT: usize = 4 << 20;
/// Largest job, bytes of its documents as they are.
pub(crate) const LARGEST_JOB: usize = 64 << 20;
/// Most documents of a job.
pub(crate) const MOST_DOCUMENTS: usize = 4096;
/// Marks that are kept of a device and a document: more than can be under way at once.
const MARKS: i64 = 32;

/// A document as a device has it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(crate) struct Sent {
    /// Its name within the job.
    pub(crate) name: String,
    /// The last revision of the desk that the device knows; 0 for none.
    pub(crate) base: i64,
    /// The text that the change was made on, where that is not the text of `base`.
    pub(crate) from: Option<String>,
    /// What the device made of it; nothing where it made nothing, `Some(None)` where it took the document away.
    pub(crate) text: Option<Option<String>>,
    /// The device's own mark of this change.
    pub(crate) mark: String,
}

/// A document as it stands on the desk after an exchange.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub(crate) struct Stands {
    /// Its name within the job.
    pub(crate) name: String,
    /// Its last revision.
    pub(crate) number: i64,
    /// Whether it is there.
    pub(crate) there: bool,
    /// Its text where that is not what the device sent, or where the device did not know this revision.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(crate) text: Option<String>,
    /// Whether others' edits were merged in.
    pub(crate) merged: bool,
    /// Fields that both changed; the device's values wait to be settled.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub(crate) conflicts: Vec<Conflict>,
}

/// What an exchange came to.
#[derive(Clone, Debug, Default, PartialEq, Eq, serde::Serialize)]
pub(crate) struct Exchanged {
    /// Documents sent, and those of which the device does not know the last revision.
    pub(crate) documents: Vec<Stands>,
    /// Documents that are no text: they stay on the desk.
    pub(crate) left: Vec<String>,
}

impl Store {
    /// Takes what a device made and says what it does not have yet: all of it or nothing. With `begin` a job
    /// that is not there is made.
    ///
    /// # Errors
    /// No such job; a name that is no path within a job; a revision that the desk never had; too much.
    pub(crate) fn exchange(
        &self,
        job: &str,
        device: i64,
        begin: bool,
        sent: Vec<Sent>,
        who: Who,
    ) -> Result<Exchanged> {
        let job = job.to_owned();
        self.writer.call(move |conn| exchange(conn, &job, device, begin, &sent, &who))
    }
}

/// A document as a device needs to know it to tell whether it has the last.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub(crate) struct Head {
    /// Its name within the job.
    pub(crate) name: String,
    /// Its last revision.
    pub(crate) number: i64,
    /// SHA-256 of its bytes.
    pub(crate) hash: String,
    /// Bytes.
    pub(crate) bytes: i64,
}

impl Store {
    /// The documents of a job that are there now, without their bytes.
    pub(crate) fn stands(&self, job: &str) -> Result<Vec<Head>> {
        let conn = self.read();
        let id = job_id(&conn, job)?;
        let mut select = conn.prepare(
            "SELECT d.path, r.number, r.hash, r.size FROM document d JOIN revision r ON r.document_id = d.id \
             WHERE d.job_id = ?1 AND r.content_id IS NOT NULL \
             AND r.number = (SELECT max(number) FROM revision WHERE document_id = d.id) ORDER BY d.path",
        )?;
        let rows = select.query_map([id], |r| {
            Ok(Head { name: r.get(0)?, number: r.get(1)?, hash: r.get(2)?, bytes: r.get(3)? })
        })?;
        Ok(rows.collect::<std::result::Result<_, _>>()?)
    }
}

fn exchange(
    conn: &Connection,
    job: &str,
    device: i64,
    begin: bool,
    sent: &[Sent],
    who: &Who,
) -> Result<Exchanged> {
    let mut known = BTreeSet::new();
    // Before anything is written, so that what is refused leaves no trace at all.
    for one in sent {
        if !sound(&one.name) || !known.insert(one.name.as_str()) {
            return Err(StoreError::Path { path: one.name.clone() });
        }
        let large = one.text.iter().flatten().map(String::len).max().unwrap_or(0);
        if large > LARGEST_DOCUMENT {
            return Err(StoreError::Large { what: one.name.clone(), bytes: large, most: LARGEST_DOCUMENT });
        }
    }
    if begin {
        conn.execute(
            "INSERT INTO job (name, made_ms) VALUES (?1, ?2) ON CONFLICT DO NOTHING",
            params![job, who.now_ms],
        )?;
    }
    let id = job_id(conn, job)?;
    let mut out = Exchanged::default();
    let mut changed = false;
    for one in sent {
        changed |= one.text.is_some();
        match document(conn, id, device, one, who)? {
            Some(stands) => out.documents.push(stands),
            None => out.left.push(one.name.clone()),
        }
    }
    // Photos go by themselves, and are many bytes.
    let there = now_but(conn, id, &format!("{PHOTOS}{}.*", "[0-9a-f]".repeat(64)))?;
    let bytes: usize = there.iter().map(|(d, _)| d.bytes.len()).sum();
    if changed && (bytes > LARGEST_JOB || there.len() > MOST_DOCUMENTS) {
        return Err(StoreError::Large { what: job.to_owned(), bytes, most: LARGEST_JOB });
    }
    for (document, number) in there {
        if known.contains(document.path.as_str()) {
            continue;
        }
        match String::from_utf8(document.bytes) {
            Ok(text) => out.documents.push(Stands {
                name: document.path,
                number,
                there: true,
                text: Some(text),
                merged: false,
                conflicts: Vec::new(),
            }),
            Err(_) => out.left.push(document.path),
        }
    }
    Ok(out)
}

/// One document; nothing where what the desk has is no text.
fn document(conn: &Connection, job: i64, device: i64, sent: &Sent, who: &Who) -> Result<Option<Stands>> {
    let path = sent.name.as_str();
    let last = current(conn, job, path)?;
    let number = last.as_ref().map_or(0, |c| c.number);
    let id = last.as_ref().map(|c| c.document);
    let Some(theirs) = plain(last.and_then(|c| c.bytes)) else { return Ok(None) };
    let unknown = sent.base < 0 || sent.base > number;
    // A base that the desk never had: its store is an older one. The device says from which text it began.
    if unknown && sent.from.is_none() && sent.text.is_some() {
        return Err(StoreError::NoRevision { path: path.to_owned(), number: sent.base, last: number });
    }
    let stands = |number: i64, text: &Option<String>, merged: bool, conflicts: Vec<Conflict>| {
        let same = match &sent.text {
            Some(mine) => mine == text,
            None => number == sent.base,
        };
        Some(Stands {
            name: path.to_owned(),
            number,
            there: text.is_some(),
            text: if same { None } else { text.clone() },
            merged,
            conflicts,
        })
    };
    let Some(mine) = &sent.text else { return Ok(stands(number, &theirs, false, Vec::new())) };
    if known(conn, device, id, &sent.mark)? {
        return Ok(stands(number, &theirs, true, Vec::new()));
    }
    let base = match &sent.from {
        Some(from) => Some(from.clone()),
        None => plain(history::at(conn, job, path, sent.base)?).flatten(),
    };
    let made =
        |base: i64, what| Made { base: (base > 0).then_some(base), what, undoes: None, operations: None };
    let plainly = if mine.is_none() { "remove" } else { "put" };
    let answer = if *mine == theirs || *mine == base {
        stands(number, &theirs, *mine != theirs, Vec::new())
    } else if theirs == base {
        let bytes = mine.as_ref().map(String::as_bytes);
        let number = add(conn, job, path, bytes, &made(sent.base.min(number).max(0), plainly), who)?;
        stands(number, mine, false, Vec::new())
    } else {
        let (text, over, conflicts) = bring_together(path, base, mine, &theirs);
        let mut number = number;
        if text != theirs {
            let bytes = text.as_ref().map(String::as_bytes);
            number = add(conn, job, path, bytes, &made(sent.base.min(number).max(0), "merge"), who)?;
        }
        if !conflicts.is_empty() {
            // What waits differs from what counts in the fields that both changed, and in nothing else.
            let refused = Edited::Conflict { number, fields: conflicts.clone() };
            remember(conn, job, &refused, path, number, over.as_ref().map(String::as_bytes), who)?;
        }
        stands(number, &text, true, conflicts)
    };
    mark(conn, job, device, path, &sent.mark)?;
    Ok(answer)
}

/// The text of a document; nothing where its bytes are none.
#[allow(
    clippy::option_option,
    reason = "a document that is not there is something else than one that is no text"
)]
fn plain(bytes: Option<Vec<u8>>) -> Option<Option<String>> {
    match bytes {
        None => Some(None),
        Some(bytes) => String::from_utf8(bytes).ok().map(Some),
    }
}

type Text = Option<String>;

/// What counts, what it would be if the second counted, and the fields that both changed.
fn bring_together(path: &str, base: Text, mine: &Text, theirs: &Text) -> (Text, Text, Vec<Conflict>) {
    // A document that both made begins from nothing.
    if let (Some(mine), Some(theirs)) = (mine, theirs) {
        let base = base.unwrap_or_default();
        let merged = edit::merge(path, &base, mine, theirs);
        let over = if merged.conflicts.is_empty() {
            merged.text.clone()
        } else {
            edit::merge(path, &base, theirs, mine).text
        };
        return (Some(merged.text), Some(over), merged.conflicts);
    }
    let whole = Conflict {
        path: path.to_owned(),
        key: String::new(),
        base,
        theirs: theirs.clone(),
        mine: mine.clone(),
    };
    (theirs.clone(), mine.clone(), vec![whole])
}

fn known(conn: &Connection, device: i64, document: Option<i64>, mark: &str) -> Result<bool> {
    Ok(conn.query_row(
        "SELECT EXISTS (SELECT 1 FROM taken WHERE device_id = ?1 AND document_id = ?2 AND mark = ?3)",
        params![device, document, mark],
        |r| r.get(0),
    )?)
}

fn mark(conn: &Connection, job: i64, device: i64, path: &str, mark: &str) -> Result<()> {
    let Some(document) = current(conn, job, path)?.map(|c| c.document) else { return Ok(()) };
    conn.execute(
        "INSERT INTO taken (device_id, document_id, mark) VALUES (?1, ?2, ?3) ON CONFLICT DO NOTHING",
        params![device, document, mark],
    )?;
    conn.execute(
        "DELETE FROM taken WHERE device_id = ?1 AND document_id = ?2 AND id NOT IN (SELECT id FROM taken \
         WHERE device_id = ?1 AND document_id = ?2 ORDER BY id DESC LIMIT ?3)",
        params![device, document, MARKS],
    )?;
    Ok(())
}
