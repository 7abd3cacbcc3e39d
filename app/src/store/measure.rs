//! What the store is measured against.

use super::series::Batch;
use super::trouble::{Result, StoreError};
use rusqlite::{Connection, params};
use std::path::Path;

/// Batches in one transaction: as many as the measurement has under way.
pub(crate) const BATCHES: usize = 4;

/// The same inserts without checks, levels or a writer, into a table alike; transactions as large as the
/// writer's.
pub(crate) fn bare_loop(path: &Path, batches: &[Batch]) -> Result<()> {
    let conn = Connection::open(path)?;
    conn.execute_batch(
        "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA wal_autocheckpoint = 4000; \
         PRAGMA cache_size = -65536; \
         CREATE TABLE IF NOT EXISTS point (source_id INTEGER NOT NULL, time_ms INTEGER NOT NULL, \
         arrival INTEGER NOT NULL DEFAULT 0, value REAL NOT NULL, flags INTEGER NOT NULL DEFAULT 0, \
         PRIMARY KEY (source_id, time_ms, arrival)) STRICT, WITHOUT ROWID;",
    )?;
    let mut insert = conn
        .prepare("INSERT INTO point (source_id, time_ms, arrival, value, flags) VALUES (?1, ?2, 0, ?3, 0)")?;
    for together in batches.chunks(BATCHES) {
        conn.execute_batch("BEGIN IMMEDIATE")?;
        for part in together.iter().flat_map(|b| &b.parts) {
            for p in &part.points {
                insert.execute(params![part.source, p.time_ms, p.value])?;
            }
        }
        conn.execute_batch("COMMIT")?;
    }
    Ok(())
}

/// Bytes of a store with its log.
pub(crate) fn pages(path: &Path) -> Result<u64> {
    let size = |p: &Path| std::fs::metadata(p).map_or(0, |m| m.len());
    match size(path) {
        0 => Err(StoreError::NoStore(path.to_path_buf())),
        n => Ok(n + size(&super::beside(path, "-wal"))),
    }
}
