//! Devices that joined the desk: each shows a token, of which only the hash is kept.

use super::Store;
use super::trouble::{Result, StoreError};
use rusqlite::{Connection, OptionalExtension, params};

/// A device that joined.
#[derive(Clone, Debug, PartialEq, Eq, serde::Serialize)]
pub(crate) struct Device {
    /// Its number.
    pub(crate) id: i64,
    /// As its owner calls it.
    pub(crate) name: String,
    /// When, ms since 1970.
    pub(crate) joined_ms: i64,
}

fn row(r: &rusqlite::Row<'_>) -> rusqlite::Result<Device> {
    Ok(Device { id: r.get(0)?, name: r.get(1)?, joined_ms: r.get(2)? })
}

impl Store {
    /// Lets a device in; `token` is the SHA-256 of what it will show.
    pub(crate) fn join(&self, name: &str, token: &str, now_ms: i64) -> Result<Device> {
        let (name, token) = (name.to_owned(), token.to_owned());
        self.writer.call(move |conn| {
            conn.execute(
                "INSERT INTO device (name, token, joined_ms) VALUES (?1, ?2, ?3)",
                params![name, token, now_ms],
            )?;
            Ok(Device { id: conn.last_insert_rowid(), name, joined_ms: now_ms })
        })
    }

    /// Whose token this is the SHA-256 of.
    pub(crate) fn device(&self, token: &str) -> Result<Option<Device>> {
        let conn = self.read();
        let mut select =
            conn.prepare("SELECT id, name, joined_ms FROM device WHERE token = ?1 AND forgotten_ms IS NULL")?;
        Ok(select.query_row([token], row).optional()?)
    }

    /// Devices that may come, the first that joined first.
    pub(crate) fn devices(&self) -> Result<Vec<Device>> {
        list(&self.read())
    }

    /// Forgets a device by its number: its token opens nothing any more.
    pub(crate) fn forget(&self, id: i64, now_ms: i64) -> Result<()> {
        self.writer.call(move |conn| {
            let sql = "UPDATE device SET forgotten_ms = ?2 WHERE id = ?1 AND forgotten_ms IS NULL";
            match conn.execute(sql, [id, now_ms])? {
                0 => Err(StoreError::NoDevice { name: id.to_string() }),
                _ => Ok(()),
            }
        })
    }

    /// A number that changes whenever somebody, this program or another, has committed to the store.
    pub(crate) fn pulse(&self) -> Result<i64> {
        Ok(self.read().pragma_query_value(None, "data_version", |r| r.get(0))?)
    }
}

fn list(conn: &Connection) -> Result<Vec<Device>> {
    let mut select =
        conn.prepare("SELECT id, name, joined_ms FROM device WHERE forgotten_ms IS NULL ORDER BY id")?;
    let rows = select.query_map([], row)?;
    Ok(rows.collect::<std::result::Result<_, _>>()?)
}
