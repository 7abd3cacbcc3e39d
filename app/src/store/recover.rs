//! What can be saved of a damaged store.
//!
//! The damaged file is copied and only the copy is opened, so that nothing gets worse. Each row is
//! asked for by its number: pages that cannot be read cost what is on them and no more. Bytes are
//! held against their hash. Readings are taken from both ends and around gaps; levels are made anew.
//! Where the first page or the list of tables is gone, nothing can be saved this way.

use super::documents::{Made, Who, add, current, hash, keep_bytes};
use super::trouble::{Result, StoreError};
use super::{Settings, Store, beside, levels, migrate};
use rusqlite::types::Value;
use rusqlite::{Connection, OpenFlags, OptionalExtension, params, params_from_iter};
use std::collections::BTreeMap;
use std::path::Path;

/// What was saved and what was lost.
#[derive(Clone, Debug, Default, PartialEq, Eq, serde::Serialize)]
pub(crate) struct Recovered {
    /// Jobs saved.
    pub(crate) jobs: usize,
    /// Revisions saved.
    pub(crate) revisions: usize,
    /// Readings saved.
    pub(crate) readings: usize,
    /// What could not be read, in words of the store.
    pub(crate) lost: Vec<String>,
}

/// Copies what can be read from `from` into a new store.
pub(crate) fn recover(from: &Path, to: &Path) -> Result<Recovered> {
    let file = |path: &Path, e: std::io::Error| StoreError::file(path, &e);
    if !from.is_file() {
        return Err(StoreError::NoStore(from.to_path_buf()));
    }
    if to.exists() {
        return Err(StoreError::there(to));
    }
    let work = beside(to, ".damaged");
    let parts = ["", "-wal"];
    for end in parts {
        let part = beside(from, end);
        if part.exists() {
            std::fs::copy(&part, beside(&work, end)).map_err(|e| file(&part, e))?;
        }
    }
    let saved = save(&work, to);
    for end in ["", "-wal", "-shm"] {
        std::fs::remove_file(beside(&work, end)).ok();
    }
    saved
}

fn save(work: &Path, to: &Path) -> Result<Recovered> {
    let old = Connection::open_with_flags(work, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    old.execute_batch("PRAGMA cell_size_check = ON;")?;
    // A file that is cut short is larger by its header than on the disk; SQLite reads it all the same.
    migrate::look(&old)?;
    // Of an older version it has no columns that came later; where it cannot be given them, less is saved.
    migrate::migrate(&old).ok();
    let new = Store::open_with(to, Settings::default())?;
    let out = new.writer().call(move |conn| {
        let mut out = Recovered::default();
        documents(&old, conn, &mut out)?;
        series(&old, conn, &mut out)?;
        plain(&old, conn, &mut out)?;
        Ok(out)
    })?;
    Ok(out)
}

/// Every row of a table with a number, each by itself; numbers that cannot be read are lost.
fn rows(old: &Connection, table: &str, columns: &[&str], out: &mut Recovered) -> Vec<Vec<Value>> {
    let mut found = Vec::new();
    let last = old
        .query_row(&format!("SELECT max(rowid) FROM {table}"), [], |r| r.get::<_, Option<i64>>(0))
        .map(|last| last.unwrap_or(0))
        .ok();
    // Where even the last number cannot be read, numbers are tried until many in a row are not there.
    let (last, patience) = match last {
        Some(last) => (last, i64::MAX),
        None => (1_000_000, 5_000),
    };
    let select = format!("SELECT {} FROM {table} WHERE rowid = ?1", columns.join(", "));
    let Ok(mut statement) = old.prepare(&select) else {
        out.lost.push(table.to_owned());
        return found;
    };
    let (mut lost, mut missing) = (Vec::new(), 0);
    for n in 1..=last {
        let row = statement
            .query_row([n], |r| {
                (0..columns.len()).map(|i| r.get::<_, Value>(i)).collect::<std::result::Result<Vec<_>, _>>()
            })
            .optional();
        match row {
            Ok(Some(row)) => {
                missing = 0;
                found.push(row);
            }
            Ok(None) => missing += 1,
            Err(_) => {
                missing += 1;
                lost.push(n);
            }
        }
        if missing > patience {
            break;
        }
    }
    if let (Some(first), Some(last)) = (lost.first(), lost.last()) {
        out.lost.push(format!("{table} {first}..{last}: {}", lost.len()));
    }
    found
}

fn int(value: Option<&Value>) -> Option<i64> {
    match value {
        Some(Value::Integer(n)) => Some(*n),
        _ => None,
    }
}

fn text(value: Option<&Value>) -> Option<String> {
    match value {
        Some(Value::Text(t)) => Some(t.clone()),
        _ => None,
    }
}

fn documents(old: &Connection, new: &Connection, out: &mut Recovered) -> Result<()> {
    let mut known = std::collections::BTreeSet::new();
    for row in rows(old, "job", &["id", "name", "made_ms", "erased_ms"], out) {
        known.extend(int(row.first()));
        out.jobs += new.execute(
            "INSERT OR IGNORE INTO job (id, name, made_ms, erased_ms) VALUES (?1, ?2, ?3, ?4)",
            params_from_iter(row),
        )?;
    }
    let mut paths: BTreeMap<i64, (i64, String)> = BTreeMap::new();
    for row in rows(old, "document", &["id", "job_id", "path"], out) {
        if let (Some(id), Some(job), Some(path)) = (int(row.first()), int(row.get(1)), text(row.get(2))) {
            paths.insert(id, (job, path));
        }
    }
    let columns = [
        "document_id",
        "number",
        "content_id",
        "hash",
        "made_ms",
        "author",
        "device",
        "what",
        "base",
        "undoes",
        "operations",
    ];
    let mut chain: BTreeMap<(i64, i64), Vec<Value>> = BTreeMap::new();
    for row in rows(old, "revision", &columns, out) {
        if let (Some(document), Some(number)) = (int(row.first()), int(row.get(1))) {
            chain.insert((document, number), row);
        }
    }
    for ((document, number), row) in chain {
        // A document whose name is lost is saved under its number.
        let (job, path) = match paths.get(&document) {
            Some(found) => found.clone(),
            None => (*known.first().unwrap_or(&1), format!("recovered/{document}")),
        };
        if known.insert(job) {
            out.jobs += new.execute(
                "INSERT OR IGNORE INTO job (id, name, made_ms) VALUES (?1, ?2, 0)",
                params![job, format!("recovered-{job}")],
            )?;
        }
        let told = text(row.get(3));
        let bytes = match int(row.get(2)) {
            None => None,
            Some(content) => {
                let bytes: Option<Vec<u8>> = old
                    .query_row("SELECT bytes FROM content WHERE rowid = ?1", [content], |r| r.get(0))
                    .ok()
                    .filter(|b: &Vec<u8>| Some(hash(b)) == told);
                if bytes.is_none() {
                    out.lost.push(format!("{path} ({number})"));
                    continue;
                }
                bytes
            }
        };
        let who = Who {
            author: text(row.get(5)).unwrap_or_default(),
            device: text(row.get(6)).unwrap_or_default(),
            now_ms: int(row.get(4)).unwrap_or(0),
        };
        let (what, operations) = (text(row.get(7)), text(row.get(10)));
        let made = Made {
            base: int(row.get(8)),
            what: what.as_deref().unwrap_or("put"),
            undoes: int(row.get(9)),
            operations: operations.as_deref(),
        };
        add(new, job, &path, bytes.as_deref(), &made, &who)?;
        out.revisions += 1;
    }
    refused(old, new, &paths, out)
}

/// Edits that wait to be settled, with the text that they would have made.
fn refused(
    old: &Connection,
    new: &Connection,
    paths: &BTreeMap<i64, (i64, String)>,
    out: &mut Recovered,
) -> Result<()> {
    let columns = [
        "document_id",
        "base",
        "against",
        "fields",
        "content_id",
        "made_ms",
        "author",
        "device",
        "settled_ms",
    ];
    for mut row in rows(old, "conflict", &columns, out) {
        let Some((job, path)) = int(row.first()).and_then(|id| paths.get(&id)) else { continue };
        let Some(last) = current(new, *job, path)? else { continue };
        let content = match int(row.get(4)) {
            None => Value::Null,
            Some(content) => {
                let found =
                    old.query_row("SELECT bytes, hash FROM content WHERE rowid = ?1", [content], |r| {
                        Ok((r.get::<_, Vec<u8>>(0)?, r.get::<_, String>(1)?))
                    });
                match found {
                    Ok((bytes, told)) if hash(&bytes) == told => {
                        Value::Integer(keep_bytes(new, *job, &bytes)?)
                    }
                    _ => {
                        out.lost.push(format!("{path} (conflict)"));
                        continue;
                    }
                }
            }
        };
        if let Some(slot) = row.first_mut() {
            *slot = Value::Integer(last.document);
        }
        if let Some(slot) = row.get_mut(4) {
            *slot = content;
        }
        let places = (1..=columns.len()).map(|n| format!("?{n}")).collect::<Vec<_>>().join(", ");
        new.execute(
            &format!("INSERT INTO conflict ({}) VALUES ({places})", columns.join(", ")),
            params_from_iter(row),
        )?;
    }
    Ok(())
}

fn series(old: &Connection, new: &Connection, out: &mut Recovered) -> Result<()> {
    let columns =
        ["id", "name", "job_id", "instrument", "place", "quantity", "unit", "basis", "made_ms", "fine"];
    for row in rows(old, "source", &columns, out) {
        let (Some(id), name) = (int(row.first()), text(row.get(1)).unwrap_or_default()) else { continue };
        let places = (1..=columns.len()).map(|n| format!("?{n}")).collect::<Vec<_>>().join(", ");
        let sql = format!("INSERT OR IGNORE INTO source ({}) VALUES ({places})", columns.join(", "));
        if new.execute(&sql, params_from_iter(row)).is_err() {
            out.lost.push(name);
            continue;
        }
        let mut span = Span { old, new, source: id, saved: 0, lost: Vec::new() };
        span.take(0, i64::MAX, 0)?;
        out.readings += span.saved;
        out.lost.extend(span.lost.iter().map(|(a, b)| format!("{name} {a}..{b} ms")));
        levels::rebuild(new, id)?;
    }
    Ok(())
}

struct Span<'c> {
    old: &'c Connection,
    new: &'c Connection,
    source: i64,
    saved: usize,
    lost: Vec<(i64, i64)>,
}

impl Span<'_> {
    /// Saves readings of `[from, to)` from both ends; what cannot be read between is halved.
    fn take(&mut self, from: i64, to: i64, depth: u32) -> Result<()> {
        if from >= to {
            return Ok(());
        }
        let Some(up) = self.run(from, to, "ASC")? else { return Ok(()) };
        let (a, Some(b)) = (up + 1, self.run(up + 1, to, "DESC")?) else { return Ok(()) };
        let gone = a.max(from)..b.max(a);
        if depth < 24 && gone.end - gone.start > 60_000 {
            let middle = gone.start + (gone.end - gone.start) / 2;
            self.take(gone.start, middle, depth + 1)?;
            return self.take(middle, gone.end, depth + 1);
        }
        if !gone.is_empty() {
            match self.lost.last_mut() {
                Some(last) if last.1 == gone.start => last.1 = gone.end,
                _ => self.lost.push((gone.start, gone.end)),
            }
        }
        Ok(())
    }

    /// Reads on until the end (nothing) or until a page cannot be read (where).
    fn run(&mut self, from: i64, to: i64, order: &str) -> Result<Option<i64>> {
        let up = order == "ASC";
        let mut at = if up { from - 1 } else { to };
        let sql = format!(
            "SELECT time_ms, arrival, value, flags FROM point \
             WHERE source_id = ?1 AND time_ms >= ?2 AND time_ms < ?3 ORDER BY time_ms {order}, arrival {order}"
        );
        let Ok(mut select) = self.old.prepare(&sql) else { return Ok(Some(at)) };
        let mut insert = self.new.prepare(
            "INSERT INTO point (source_id, time_ms, arrival, value, flags) VALUES (?1, ?2, ?3, ?4, ?5) \
             ON CONFLICT DO NOTHING",
        )?;
        let Ok(mut rows) = select.query(params![self.source, from, to]) else { return Ok(Some(at)) };
        loop {
            match rows.next() {
                Ok(Some(row)) => {
                    let read = |i: usize| row.get::<_, i64>(i);
                    let (Ok(time), Ok(arrival), Ok(flags)) = (read(0), read(1), read(3)) else {
                        return Ok(Some(at));
                    };
                    let Ok(value) = row.get::<_, f64>(2) else { return Ok(Some(at)) };
                    self.saved += insert.execute(params![self.source, time, arrival, value, flags])?;
                    at = time;
                }
                Ok(None) => return Ok(None),
                Err(_) => return Ok(Some(at)),
            }
        }
    }
}

/// Tables whose rows are taken as they are.
fn plain(old: &Connection, new: &Connection, out: &mut Recovered) -> Result<()> {
    let tables: [(&str, &[&str]); 9] = [
        ("held", &["id", "source_id", "time_ms", "value", "flags", "arrived_ms"]),
        ("raw", &["id", "source_id", "channel", "payload", "arrived_ms", "device_ms", "parser"]),
        (
            "event",
            &[
                "id", "job_id", "kind", "about", "start_ms", "end_ms", "causes", "quantity", "value", "lo",
                "hi", "level", "made_ms", "known_ms",
            ],
        ),
        (
            "alert",
            &["id", "event_id", "kind", "state", "made_ms", "changed_ms", "changed_by", "false_a_month"],
        ),
        (
            "outbox",
            &["id", "alert_id", "key", "channel", "payload", "attempts", "next_ms", "sent_ms", "last_error"],
        ),
        ("tombstone", &["id", "job_id", "kind", "what", "hash", "erased_ms", "asked_by"]),
        ("watched", &["job_id", "inputs", "until_ms", "body", "made_ms"]),
        ("ruled", &["job_id", "inputs", "until_ms", "body", "standing", "made_ms"]),
        ("result", &["id", "job_id", "request", "inputs", "program", "body", "made_ms", "state"]),
    ];
    for (table, columns) in tables {
        let places = (1..=columns.len()).map(|n| format!("?{n}")).collect::<Vec<_>>().join(", ");
        let sql = format!("INSERT OR IGNORE INTO {table} ({}) VALUES ({places})", columns.join(", "));
        let mut insert = new.prepare(&sql)?;
        let mut refused = 0;
        for row in rows(old, table, columns, out) {
            if insert.execute(params_from_iter(row)).is_err() {
                refused += 1;
            }
        }
        if refused > 0 {
            out.lost.push(format!("{table}: {refused}"));
        }
    }
    // Which series an event is of: a table without numbers, read as far as it can be.
    let mut link = new.prepare("INSERT OR IGNORE INTO event_source (event_id, source_id) VALUES (?1, ?2)")?;
    let read = || -> rusqlite::Result<Vec<(i64, i64)>> {
        let mut select = old.prepare("SELECT event_id, source_id FROM event_source")?;
        select.query_map([], |r| Ok((r.get(0)?, r.get(1)?)))?.collect()
    };
    match read() {
        Ok(links) => {
            for (event, source) in links {
                // An event or a source that is lost has been told already.
                link.execute([event, source]).ok();
            }
        }
        Err(_) => out.lost.push("event_source".to_owned()),
    }
    expected(old, new, out)
}

/// What was expected, source by source, each as far as it can be read.
fn expected(old: &Connection, new: &Connection, out: &mut Recovered) -> Result<()> {
    let mut sources = new.prepare("SELECT id FROM source")?;
    let sources: Vec<i64> = sources.query_map([], |r| r.get(0))?.collect::<rusqlite::Result<_>>()?;
    let mut insert = new.prepare("INSERT OR IGNORE INTO expected VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8)")?;
    for source in sources {
        let mut read = || -> rusqlite::Result<()> {
            let mut select = old.prepare("SELECT * FROM expected WHERE source_id = ?1 ORDER BY hour_ms")?;
            let mut rows = select.query([source])?;
            while let Some(row) = rows.next()? {
                let values: Vec<Value> = (0..8).map(|k| row.get(k)).collect::<rusqlite::Result<_>>()?;
                insert.execute(params_from_iter(values))?;
            }
            Ok(())
        };
        if read().is_err() {
            out.lost.push(format!("expected {source}"));
        }
    }
    Ok(())
}
