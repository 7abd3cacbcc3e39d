//! Versions of the store: numbered, forward only, never edited.

use super::trouble::{Result, StoreError};
use rusqlite::Connection;

/// What makes each version out of the one before; the first out of nothing.
const STEPS: &[&str] = &[
    include_str!("migrations/0001.sql"),
    include_str!("migrations/0002.sql"),
    include_str!("migrations/0003.sql"),
    include_str!("migrations/0004.sql"),
];

/// Marks the file as ours, so that no other database is taken for a store.
pub(crate) const APPLICATION: i64 = 0x4169_7277;

/// The newest version this program knows.
pub(crate) fn latest() -> i64 {
    i64::try_from(STEPS.len()).unwrap_or(i64::MAX)
}

fn number(conn: &Connection, pragma: &str) -> Result<i64> {
    Ok(conn.pragma_query_value(None, pragma, |row| row.get(0))?)
}

/// Whether this is a store that the program may open, of any version up to its own.
pub(crate) fn look(conn: &Connection) -> Result<i64> {
    let version = number(conn, "user_version")?;
    let application = number(conn, "application_id")?;
    let tables: i64 = conn.query_row("SELECT count(*) FROM sqlite_schema", [], |row| row.get(0))?;
    if application != APPLICATION && (application != 0 || version != 0 || tables != 0) {
        return Err(StoreError::NotAStore);
    }
    if version > latest() {
        return Err(StoreError::Newer { version, known: latest() });
    }
    Ok(version)
}

/// Brings the store to the newest version, each step whole or not at all.
pub(crate) fn migrate(conn: &Connection) -> Result<()> {
    if look(conn)? == latest() {
        return Ok(());
    }
    conn.execute_batch("BEGIN IMMEDIATE")?;
    let done = steps(conn);
    conn.execute_batch(if done.is_ok() { "COMMIT" } else { "ROLLBACK" })?;
    done
}

fn steps(conn: &Connection) -> Result<()> {
    // Asked again: another process may have been quicker.
    let from = look(conn)?;
    for (n, step) in (1_i64..).zip(STEPS) {
        if n > from {
            conn.execute_batch(step)?;
            conn.pragma_update(None, "user_version", n)?;
        }
    }
    conn.pragma_update(None, "application_id", APPLICATION)?;
    Ok(())
}
