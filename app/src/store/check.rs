//! Is the store sound; a copy of it while it is used.

use super::Store;
use super::documents::hash;
use super::trouble::{Result, StoreError};
use rusqlite::backup::{Backup, StepResult};
use rusqlite::{Connection, OpenFlags};
use std::path::Path;
use std::time::Duration;

/// What a check of everything found.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub(crate) struct Checked {
    /// Version of the store.
    pub(crate) version: i64,
    /// Contents held against their hash.
    pub(crate) contents: usize,
    /// Contents that are not what they were, by hash.
    pub(crate) changed: Vec<String>,
    /// What SQLite says of the file, of references and of indices; empty where all is well.
    pub(crate) said: Vec<String>,
    /// Sources whose levels do not add up to their readings.
    pub(crate) levels: Vec<String>,
}

impl Checked {
    pub(crate) fn sound(&self) -> bool {
        self.changed.is_empty() && self.said.is_empty() && self.levels.is_empty()
    }
}

/// Where the last one who had the store did not come to close it (the log is there and nobody is), the structure
/// of the whole file is checked. Who finds others at work leaves that to the first of them. To be called while this
/// process has no connection to the file.
pub(super) fn if_left_open(path: &Path) -> Result<()> {
    if log_length(path) == 0 {
        return Ok(());
    }
    let alone = Connection::open_with_flags(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    alone.busy_timeout(Duration::ZERO)?;
    let looked = super::migrate::look(&alone)
        .and_then(|_| Ok(alone.execute_batch("PRAGMA locking_mode = EXCLUSIVE; BEGIN EXCLUSIVE; COMMIT;")?));
    match looked {
        Ok(()) => quick(&alone),
        Err(StoreError::Busy) => Ok(()),
        Err(other) => Err(other),
    }
}

/// The look at every start: the file's length and the way to the first row of each table, which takes no longer
/// for a large file.
pub(super) fn at_start(path: &Path, conn: &Connection) -> Result<()> {
    let number = |pragma: &str| conn.pragma_query_value(None, pragma, |r| r.get::<_, i64>(0));
    let said = number("page_count")?.saturating_mul(number("page_size")?);
    let there = std::fs::metadata(path).map_or(0, |m| i64::try_from(m.len()).unwrap_or(i64::MAX));
    // Pages that are in the log alone are not in the file yet.
    if there < said && log_length(path) == 0 {
        return Err(StoreError::Damaged { what: format!("{there} B of {said} B") });
    }
    let mut tables = conn.prepare("SELECT name FROM sqlite_schema WHERE type = 'table' AND rootpage > 0")?;
    let names: Vec<String> = tables.query_map([], |r| r.get(0))?.collect::<rusqlite::Result<_>>()?;
    for name in names {
        conn.query_row(&format!("SELECT count(*) FROM (SELECT * FROM \"{name}\" LIMIT 1)"), [], |_| Ok(()))?;
    }
    Ok(())
}

fn log_length(path: &Path) -> u64 {
    std::fs::metadata(super::beside(path, "-wal")).map_or(0, |m| m.len())
}

/// The structure of the whole file, without comparing indices with tables.
pub(super) fn quick(conn: &Connection) -> Result<()> {
    let first: String = conn.query_row("PRAGMA quick_check(1)", [], |r| r.get(0))?;
    if first == "ok" { Ok(()) } else { Err(StoreError::Damaged { what: first }) }
}

impl Store {
    /// Checks everything there is to check.
    pub(crate) fn check(&self) -> Result<Checked> {
        let conn = self.read();
        let texts = |sql: &str| -> Result<Vec<String>> {
            let mut select = conn.prepare(sql)?;
            let rows = select.query_map([], |r| r.get::<_, String>(0))?;
            Ok(rows.collect::<std::result::Result<_, _>>()?)
        };
        let mut said = texts("PRAGMA integrity_check(20)")?;
        said.retain(|line| line != "ok");
        said.extend(texts("SELECT \"table\" FROM pragma_foreign_key_check")?);
        let (mut contents, mut changed) = (0, Vec::new());
        let mut select = conn.prepare("SELECT hash, bytes FROM content")?;
        let mut rows = select.query([])?;
        while let Some(row) = rows.next()? {
            let told: String = row.get(0)?;
            contents += 1;
            if hash(row.get_ref(1)?.as_blob().unwrap_or_default()) != told {
                changed.push(told);
            }
        }
        let levels = texts(
            "SELECT s.name FROM source s WHERE \
             (SELECT count(*) FROM point p WHERE p.source_id = s.id AND p.arrival = 0) IS NOT \
             (SELECT ifnull(sum(count), 0) FROM level l WHERE l.source_id = s.id AND l.level = 4) \
             OR (SELECT ifnull(sum(count), 0) FROM level l WHERE l.source_id = s.id AND l.level = 1) IS NOT \
             (SELECT ifnull(sum(count), 0) FROM level l WHERE l.source_id = s.id AND l.level = 4)",
        )?;
        let version = conn.pragma_query_value(None, "user_version", |r| r.get(0))?;
        Ok(Checked { version, contents, changed, said, levels })
    }
}

/// Copies the store to a new file while others write to it: a state that one of their transactions
/// left, whole.
pub(crate) fn back_up(from: &Path, to: &Path) -> Result<u64> {
    if to.exists() {
        return Err(StoreError::there(to));
    }
    let half = super::beside(to, ".part");
    let made = copy(from, &half).and_then(|()| {
        std::fs::rename(&half, to)
            .and_then(|()| std::fs::metadata(to))
            .map(|m| m.len())
            .map_err(|e| StoreError::file(to, &e))
    });
    if made.is_err() {
        // Half a copy is none; the error says why.
        std::fs::remove_file(&half).ok();
    }
    made
}

fn copy(from: &Path, to: &Path) -> Result<()> {
    let source = Connection::open_with_flags(from, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    source.busy_timeout(super::PATIENCE)?;
    super::migrate::look(&source)?;
    // One reading transaction: without it each write of others would begin the copy anew.
    source.execute_batch("BEGIN; SELECT count(*) FROM sqlite_schema;")?;
    let mut copy = Connection::open(to)?;
    {
        let backup = Backup::new(&source, &mut copy)?;
        loop {
            match backup.step(4096)? {
                StepResult::Done => break,
                StepResult::More => {}
                _ => std::thread::sleep(Duration::from_millis(20)),
            }
        }
    }
    source.execute_batch("COMMIT")?;
    // A copy is one file: its log is emptied into it.
    copy.execute_batch("PRAGMA journal_mode = DELETE;")?;
    quick(&copy)
}
