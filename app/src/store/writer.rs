//! The one thread that writes, and the handle that feeds it.
//!
//! Work waits in a bounded channel. The thread takes what waits, does it in one transaction, each
//! piece behind a savepoint of its own, commits, and only then tells the callers. A piece that fails is
//! rolled back alone; a commit that fails fails all of them.

use super::series::{Ack, Appender, Batch};
use super::trouble::{Result, StoreError};
use rusqlite::Connection;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, AtomicUsize, Ordering};
use std::sync::mpsc::{Receiver, SyncSender, TrySendError, sync_channel};
use std::thread::JoinHandle;

/// Pieces of work put into one transaction at most, and readings in it after which it is closed: a
/// commit is due well within the time in which a reading is to be acknowledged.
const TOGETHER: usize = 64;
const READINGS: usize = 4000;

/// Tells a caller how its work ended.
type Tell = Box<dyn FnOnce(Result<()>) + Send>;

type Call = Box<dyn FnOnce(Result<&Connection>) -> (bool, Tell) + Send>;

enum Work {
    /// Readings.
    Append(Batch, SyncSender<Result<Ack>>),
    /// Anything else, in the transaction; whether it is to be kept, and whom to tell.
    /// Where no transaction could be begun it is told why instead.
    Call(Call),
    /// Outside of any transaction.
    Alone(Box<dyn FnOnce(&Connection) + Send>),
    /// No more after this.
    End,
}

#[derive(Default)]
struct Counts {
    waiting: AtomicUsize,
    refused: AtomicU64,
}

/// The handle of the writer.
#[derive(Clone)]
pub(crate) struct Writer {
    queue: SyncSender<Work>,
    counts: Arc<Counts>,
}

/// An answer that will come.
pub(crate) struct Pending<T>(Receiver<Result<T>>);

impl<T> Pending<T> {
    /// Waits for the commit.
    pub(crate) fn wait(self) -> Result<T> {
        self.0.recv().unwrap_or(Err(StoreError::Ended))
    }
}

impl Writer {
    /// Keeps readings; comes back when they are on the disk.
    ///
    /// # Errors
    /// At once where the queue is full; what the disk says otherwise. Nothing of the batch was kept.
    pub(crate) fn append(&self, batch: Batch) -> Result<Ack> {
        self.offer(batch)?.wait()
    }

    /// As [`Writer::append`], without waiting for the disk.
    pub(crate) fn offer(&self, batch: Batch) -> Result<Pending<Ack>> {
        let (tell, hear) = sync_channel(1);
        self.counts.waiting.fetch_add(1, Ordering::Relaxed);
        match self.queue.try_send(Work::Append(batch, tell)) {
            Ok(()) => Ok(Pending(hear)),
            Err(error) => {
                let waiting = self.counts.waiting.fetch_sub(1, Ordering::Relaxed).saturating_sub(1);
                let refused = self.counts.refused.fetch_add(1, Ordering::Relaxed) + 1;
                Err(match error {
                    TrySendError::Full(_) => StoreError::Full { waiting, refused },
                    TrySendError::Disconnected(_) => StoreError::Ended,
                })
            }
        }
    }

    /// Batches that were refused because the queue was full.
    #[cfg_attr(not(test), expect(dead_code, reason = "the intake shows it"))]
    pub(crate) fn refused(&self) -> u64 {
        self.counts.refused.load(Ordering::Relaxed)
    }

    /// Does something in a transaction; somebody waits for it, so it waits for its turn.
    pub(super) fn call<T: Send + 'static>(
        &self,
        f: impl FnOnce(&Connection) -> Result<T> + Send + 'static,
    ) -> Result<T> {
        let (tell, hear) = sync_channel::<Result<T>>(1);
        let work = move |conn: Result<&Connection>| {
            let made = conn.and_then(f);
            let keep = made.is_ok();
            let tell: Tell = Box::new(move |committed| {
                // Whoever asked may have gone.
                tell.send(committed.and(made)).ok();
            });
            (keep, tell)
        };
        self.send(Work::Call(Box::new(work)))?;
        Pending(hear).wait()
    }

    /// Does something outside of transactions.
    pub(super) fn alone<T: Send + 'static>(
        &self,
        f: impl FnOnce(&Connection) -> Result<T> + Send + 'static,
    ) -> Result<T> {
        let (tell, hear) = sync_channel(1);
        self.send(Work::Alone(Box::new(move |conn| {
            tell.send(f(conn)).ok();
        })))?;
        Pending(hear).wait()
    }

    fn send(&self, work: Work) -> Result<()> {
        self.counts.waiting.fetch_add(1, Ordering::Relaxed);
        self.queue.send(work).map_err(|_| StoreError::Ended)
    }

    pub(super) fn end(&self) {
        // A thread that is gone already has ended.
        self.queue.send(Work::End).ok();
    }
}

/// Starts the thread on a connection of its own.
pub(super) fn start(conn: Connection, queue: usize) -> Result<(Writer, JoinHandle<()>)> {
    let (send, receive) = sync_channel(queue.max(1));
    let counts = Arc::new(Counts::default());
    let writer = Writer { queue: send, counts: Arc::clone(&counts) };
    let thread = std::thread::Builder::new()
        .name("store".to_owned())
        .spawn(move || {
            run(&conn, &receive, &counts);
            // Statistics for the planner; without them everything works as before.
            conn.execute_batch("PRAGMA optimize").ok();
        })
        .map_err(|e| StoreError::Other { what: e.to_string() })?;
    Ok((writer, thread))
}

fn run(conn: &Connection, receive: &Receiver<Work>, counts: &Counts) {
    let mut next: Option<Work> = None;
    let mut appender: Option<Appender<'_>> = None;
    loop {
        let Some(first) = next.take().or_else(|| take(receive, counts)) else { return };
        match first {
            Work::End => return,
            Work::Alone(f) => f(conn),
            work => next = together(conn, &mut appender, work, receive, counts),
        }
    }
}

fn take(receive: &Receiver<Work>, counts: &Counts) -> Option<Work> {
    let work = receive.recv().ok()?;
    counts.waiting.fetch_sub(1, Ordering::Relaxed);
    Some(work)
}

/// One transaction; returns work that was taken and must go outside of it.
fn together<'c>(
    conn: &'c Connection,
    kept: &mut Option<Appender<'c>>,
    first: Work,
    receive: &Receiver<Work>,
    counts: &Counts,
) -> Option<Work> {
    let begun = match kept {
        Some(appender) => Ok(appender),
        none => Appender::new(conn).map(|made| none.insert(made)),
    };
    let begun = begun.and_then(|appender| {
        conn.execute_batch("BEGIN IMMEDIATE")?;
        Ok(appender)
    });
    let appender = match begun {
        Ok(appender) => appender,
        Err(error) => {
            match first {
                Work::Append(_, tell) => drop(tell.send(Err(error))),
                Work::Call(f) => f(Err(error.clone())).1(Err(error)),
                other => return Some(other),
            }
            return None;
        }
    };
    let mut told: Vec<Tell> = Vec::new();
    let mut outside = None;
    let done = pieces(conn, appender, first, receive, counts, &mut told, &mut outside)
        .and_then(|()| appender.flush())
        .and_then(|()| Ok(conn.execute_batch("COMMIT")?));
    appender.clear();
    if done.is_err() && !conn.is_autocommit() {
        // Nothing was committed; the error that led here is the one to tell.
        conn.execute_batch("ROLLBACK").ok();
    }
    for tell in told {
        tell(done.clone());
    }
    outside
}

fn pieces(
    conn: &Connection,
    appender: &mut Appender<'_>,
    first: Work,
    receive: &Receiver<Work>,
    counts: &Counts,
    told: &mut Vec<Tell>,
    outside: &mut Option<Work>,
) -> Result<()> {
    let mut readings = 0;
    let mut work = Some(first);
    while let Some(one) = work.take() {
        let failed = match one {
            Work::Append(batch, tell) => {
                readings += batch.len();
                let made = apart(conn, || appender.append(&batch).map(|ack| (true, ack)));
                appender.settle(made.is_ok());
                let failed = made.as_ref().err().cloned();
                told.push(Box::new(move |committed| drop(tell.send(committed.and(made)))));
                failed
            }
            Work::Call(f) => {
                // What was appended before must be seen by what comes after it.
                appender.flush()?;
                let mut answer = None;
                let failed = apart(conn, || {
                    let (keep, tell) = f(Ok(conn));
                    answer = Some(tell);
                    Ok((keep, ()))
                })
                .err();
                told.extend(answer);
                failed
            }
            other => {
                *outside = Some(other);
                return Ok(());
            }
        };
        if conn.is_autocommit() {
            // The trouble was so grave that the whole transaction is gone.
            return Err(failed.unwrap_or(StoreError::NoRoom { what: String::new() }));
        }
        if told.len() < TOGETHER && readings < READINGS {
            work = receive.try_recv().ok();
            if work.is_some() {
                counts.waiting.fetch_sub(1, Ordering::Relaxed);
            }
        }
    }
    Ok(())
}

/// Does something behind a savepoint and takes it back where it is not to be kept.
fn apart<T>(conn: &Connection, f: impl FnOnce() -> Result<(bool, T)>) -> Result<T> {
    conn.execute_batch("SAVEPOINT piece")?;
    let made = f();
    if conn.is_autocommit() {
        return made.map(|(_, made)| made);
    }
    if !matches!(made, Ok((true, _))) {
        conn.execute_batch("ROLLBACK TO piece")?;
    }
    conn.execute_batch("RELEASE piece")?;
    made.map(|(_, made)| made)
}
