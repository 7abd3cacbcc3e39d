//! The store of the desk: one SQLite file with the documents of jobs, every revision of them, and
//! the series that live sources send.
//!
//! Documents are bytes, kept verbatim; what is current is the last revision, and nothing is ever
//! written over. Readings are append-only, with levels of aggregates beside them in the same
//! transaction, so that a year can be drawn at once.
//!
//! **Who writes.** One thread ([`writer`]), fed by a bounded channel: when it is full the caller is
//! told and the refusal counted. It commits what waits together and acknowledges after the commit.
//! Other processes may write to the same file; SQLite's lock puts them in line.
//!
//! **What an acknowledgement means.** Write-ahead log with `synchronous = FULL`: what was
//! acknowledged is in the log and the log was flushed. It survives the end of the process at any
//! moment, and a loss of power as far as the disk does what it says when it is told to flush.
//!
//! **What is refused.** A file that is no store, a newer one, a damaged one (`quick_check` where it was not
//! closed, otherwise a look at each table's beginning); [`recover()`] saves what can be read from the last.

mod check;
mod devices;
mod documents;
mod erase;
mod exchange;
mod folder;
mod history;
mod levels;
mod measure;
mod migrate;
mod outbox;
mod photos;
mod recover;
mod seen;
mod series;
mod sources;
#[cfg(test)]
mod tests;
mod trouble;
mod watched;
mod writer;

pub(crate) use check::back_up;
pub(crate) use devices::Device;
pub(crate) use documents::{Edited, JobRow, Who};
pub(crate) use erase::{Target, Tombstone};
pub(crate) use exchange::{Head as DocumentHead, LARGEST_DOCUMENT, Sent};
pub(crate) use folder::{Bytes, read_folder, write_folder};
pub(crate) use history::Waiting;
pub(crate) use levels::Bucket;
pub(crate) use measure::{BATCHES, bare_loop, pages};
pub(crate) use outbox::{Found, Message, OutboxRow};
pub(crate) use photos::{LARGEST_PHOTO, PHOTOS, photo_hash};
pub(crate) use recover::recover;
pub(crate) use series::{Ack, Batch, MOST_UNREAD, MOST_UNREAD_BYTES, Part, Point, Raw};
pub(crate) use sources::{Description, Source, si_unit, to_si};
pub(crate) use trouble::{Result, StoreError};
pub(crate) use watched::{Expected, Judged, Ruled, Watched};
pub(crate) use writer::{Pending, Writer};

use rusqlite::{Connection, OpenFlags};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};
use std::time::Duration;

/// How long one writer waits for another process's transaction.
const PATIENCE: Duration = Duration::from_secs(20);

/// An open store. Dropping it lets the writer finish what waits.
pub(crate) struct Store {
    reader: Mutex<Connection>,
    writer: Writer,
    thread: Option<std::thread::JoinHandle<()>>,
}

/// How a store is opened, apart from its file.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Settings {
    /// Pieces of work that may wait for the writer.
    pub(crate) queue: usize,
    /// Largest size of the file in pages of 4 kB; for tests of a full disk.
    pub(crate) max_pages: Option<u32>,
}

impl Default for Settings {
    fn default() -> Settings {
        Settings { queue: 256, max_pages: None }
    }
}

impl Store {
    /// Opens a store, makes it where there is none, checks it and brings it to this version.
    ///
    /// # Errors
    /// A file that is no store, a newer or a damaged one, or one that cannot be opened.
    pub(crate) fn open(path: &Path) -> Result<Store> {
        Store::open_with(path, Settings::default())
    }

    /// Opens a store that must be there.
    pub(crate) fn existing(path: &Path) -> Result<Store> {
        if !path.is_file() {
            return Err(StoreError::NoStore(path.to_path_buf()));
        }
        Store::open(path)
    }

    /// As [`Store::open`], with settings.
    pub(crate) fn open_with(path: &Path, settings: Settings) -> Result<Store> {
        check::if_left_open(path)?;
        let conn = connect(path)?;
        migrate::look(&conn)?;
        check::at_start(path, &conn)?;
        migrate::migrate(&conn)?;
        // Nothing of an erased document may stay in free pages, nor grow the log without end.
        conn.execute_batch(
            "PRAGMA secure_delete = ON; PRAGMA wal_autocheckpoint = 4000; \
             PRAGMA journal_size_limit = 67108864; PRAGMA cache_size = -65536;",
        )?;
        if let Some(pages) = settings.max_pages {
            conn.pragma_update(None, "max_page_count", pages)?;
        }
        let reader = Connection::open_with_flags(path, OpenFlags::SQLITE_OPEN_READ_WRITE)?;
        reader.busy_timeout(PATIENCE)?;
        reader.execute_batch("PRAGMA query_only = ON; PRAGMA cache_size = -65536;")?;
        let (writer, thread) = writer::start(conn, settings.queue)?;
        Ok(Store { reader: Mutex::new(reader), writer, thread: Some(thread) })
    }

    /// A handle to the one writer; cheap to copy, may go to other threads.
    pub(crate) fn writer(&self) -> Writer {
        self.writer.clone()
    }

    fn read(&self) -> MutexGuard<'_, Connection> {
        // A reader that panicked has changed nothing.
        self.reader.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Least, mean and greatest of a source's readings in each of at most `buckets` stretches of
    /// `[from_ms, to_ms)`, and of at least half as many; stretches without readings are left out.
    pub(crate) fn window(
        &self,
        source: i64,
        from_ms: i64,
        to_ms: i64,
        buckets: usize,
    ) -> Result<Vec<Bucket>> {
        levels::window(&self.read(), source, from_ms, to_ms, buckets)
    }
}

impl Drop for Store {
    fn drop(&mut self) {
        self.writer.end();
        if self.thread.take().is_some_and(|thread| thread.join().is_err()) {
            // What was acknowledged is on the disk; what was not was told so.
        }
    }
}

/// A connection with what every writer of a store needs.
fn connect(path: &Path) -> Result<Connection> {
    let conn = Connection::open_with_flags(
        path,
        OpenFlags::SQLITE_OPEN_READ_WRITE | OpenFlags::SQLITE_OPEN_CREATE | OpenFlags::SQLITE_OPEN_NO_MUTEX,
    )?;
    conn.busy_timeout(PATIENCE)?;
    // The header is looked at before anything is written.
    migrate::look(&conn)?;
    conn.execute_batch("PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA foreign_keys = ON;")?;
    Ok(conn)
}

/// A path beside another, such as `house.store-wal`.
fn beside(path: &Path, end: &str) -> PathBuf {
    let mut name = path.as_os_str().to_owned();
    name.push(end);
    PathBuf::from(name)
}
