//! Live readings: what arrives by MQTT, by posts and from public agencies, on its way to the store.
//!
//! Each way in is a thread that puts [`Arrival`]s into one bounded channel ([`Inlet`]); one thread takes
//! them out ([`desk::Desk`]), says which readings they hold ([`map`]), has them kept ([`Keep`]) and only
//! then tells the sender so ([`Ticket`]). Nothing waits for an answer of the thread that it feeds, so
//! that a full channel holds senders back and cannot lock up.

#[cfg(test)]
pub(crate) mod bench;
pub(crate) mod cannot;
pub(crate) mod desk;
pub(crate) mod house;
pub(crate) mod keep;
pub(crate) mod map;
pub(crate) mod mqtt;
pub(crate) mod outdoor;
#[cfg(test)]
mod parsers;
mod path;
mod payload;
pub(crate) mod posts;
pub(crate) mod secret;
mod seen;
pub(crate) mod tls;
pub(crate) mod web;

use std::sync::atomic::{AtomicBool, AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, SyncSender, TrySendError, sync_channel};
use std::sync::{Arc, Condvar, Mutex, PoisonError};
use std::time::Duration;

/// Arrivals that may wait for the store.
const WAITING: usize = 256;
/// Longest message that is kept whole; of a longer one the beginning.
pub(crate) const LONGEST: usize = 64 << 10;

/// The way something arrived.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Via {
    /// By MQTT.
    Topic {
        /// Name of the broker's table.
        broker: Arc<str>,
        /// The topic, as sent.
        topic: String,
    },
    /// Posted here.
    Path(String),
    /// Fetched from a public agency: which of its answers.
    Agency(&'static str),
}

impl std::fmt::Display for Via {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Via::Topic { broker, topic } => write!(f, "{broker}:{topic}"),
            Via::Path(path) => write!(f, "/readings/{path}"),
            Via::Agency(name) => write!(f, "{name}"),
        }
    }
}

/// What becomes of an arrival, for its sender.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Fate {
    /// It is in the store; so many readings were read from it.
    Kept(usize),
    /// It could not be kept; the sender should send it again.
    NotKept,
}

/// Who waits to hear what became of an arrival.
pub(crate) trait Ticket: Send {
    /// Tells the sender without waiting; false where that has to be tried again later.
    fn tell(&mut self, fate: Fate) -> bool;
}

/// Something that arrived, as it arrived.
pub(crate) struct Arrival {
    /// The way it came.
    pub(crate) via: Via,
    /// Its bytes, at most [`LONGEST`] of them.
    pub(crate) body: Vec<u8>,
    /// Whether that is its beginning only.
    pub(crate) cut: bool,
    /// When it came, ms since 1970.
    pub(crate) at_ms: i64,
    /// Whether its sender says that it may have come before.
    pub(crate) again: bool,
    /// Whether the broker had stored it, so that its age is not known.
    pub(crate) stored: bool,
    /// Who waits to hear.
    pub(crate) ticket: Option<Box<dyn Ticket>>,
}

impl Arrival {
    /// Something that came now and for which nobody waits.
    pub(crate) fn new(via: Via, mut body: Vec<u8>, at_ms: i64) -> Arrival {
        let cut = body.len() > LONGEST;
        body.truncate(LONGEST);
        Arrival { via, body, cut, at_ms, again: false, stored: false, ticket: None }
    }
}

/// Where arrivals go in. Cheap to copy.
#[derive(Clone)]
pub(crate) struct Inlet {
    to: SyncSender<Arrival>,
    held: Arc<AtomicU64>,
}

/// A bounded channel for arrivals.
pub(crate) fn channel() -> (Inlet, Receiver<Arrival>) {
    let (to, from) = sync_channel(WAITING);
    (Inlet { to, held: Arc::new(AtomicU64::new(0)) }, from)
}

impl Inlet {
    /// Puts it in, waiting while the channel is full; false where nobody takes anything any more.
    pub(crate) fn put(&self, arrival: Arrival) -> bool {
        match self.to.try_send(arrival) {
            Ok(()) => true,
            Err(TrySendError::Full(arrival)) => {
                self.held.fetch_add(1, Ordering::Relaxed);
                self.to.send(arrival).is_ok()
            }
            Err(TrySendError::Disconnected(_)) => false,
        }
    }

    /// Puts it in where there is room.
    pub(crate) fn offer(&self, arrival: Arrival) -> bool {
        let put = self.to.try_send(arrival).is_ok();
        if !put {
            self.held.fetch_add(1, Ordering::Relaxed);
        }
        put
    }

    /// How often a sender was held back or turned away because the store was behind.
    pub(crate) fn held(&self) -> u64 {
        self.held.load(Ordering::Relaxed)
    }
}

/// Asks threads to end; they hear it while they wait.
#[derive(Clone, Default)]
pub(crate) struct Stop(Arc<(AtomicBool, Mutex<()>, Condvar)>);

impl Stop {
    /// Asks.
    pub(crate) fn ask(&self) {
        // Under the lock, so that nobody is between looking and waiting.
        let _held = self.0.1.lock().unwrap_or_else(PoisonError::into_inner);
        self.0.0.store(true, Ordering::Relaxed);
        self.0.2.notify_all();
    }

    /// Whether somebody asked.
    pub(crate) fn asked(&self) -> bool {
        self.0.0.load(Ordering::Relaxed)
    }

    /// Waits; true where somebody asked to end.
    pub(crate) fn wait(&self, time: Duration) -> bool {
        let held = self.0.1.lock().unwrap_or_else(PoisonError::into_inner);
        let waited = self.0.2.wait_timeout_while(held, time, |()| !self.asked());
        drop(waited);
        self.asked()
    }
}

/// Waiting times that double from failure to failure.
#[derive(Debug)]
pub(crate) struct BackOff {
    first_ms: u64,
    most_ms: u64,
    next_ms: u64,
}

impl BackOff {
    /// From `first_ms` to `most_ms`.
    pub(crate) fn new(first_ms: u64, most_ms: u64) -> BackOff {
        BackOff { first_ms, most_ms, next_ms: first_ms }
    }

    /// How long to wait after one more failure.
    pub(crate) fn next(&mut self) -> Duration {
        let now = self.next_ms;
        self.next_ms = (2 * now).min(self.most_ms);
        Duration::from_millis(now)
    }

    /// All is well again.
    pub(crate) fn reset(&mut self) {
        self.next_ms = self.first_ms;
    }
}

/// One reading, SI.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Reading {
    /// Name of its source.
    pub(crate) source: Arc<str>,
    /// Its own time where it has one, or the time of arrival; ms since 1970.
    pub(crate) time_ms: i64,
    /// Value, SI.
    pub(crate) value: f64,
}

/// Why a message gave no reading, or not all.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Trouble {
    /// Nothing says what it is.
    Unknown,
    /// It is not what its source's `payload` says.
    Malformed,
    /// The named value is not in it.
    NoValue,
    /// A time that cannot be read, or one in the future.
    Time,
    /// Longer than what is kept.
    Long,
    /// Stored by the broker, without a time of its own.
    Stored,
}

impl Trouble {
    /// Its key in the catalogue.
    pub(crate) fn key(self) -> &'static str {
        match self {
            Trouble::Unknown => "live-trouble-unknown",
            Trouble::Malformed => "live-trouble-malformed",
            Trouble::NoValue => "live-trouble-no-value",
            Trouble::Time => "live-trouble-time",
            Trouble::Long => "live-trouble-long",
            Trouble::Stored => "live-trouble-stored",
        }
    }
}

/// An arrival and what was read from it.
pub(crate) struct Sorted {
    /// As it came.
    pub(crate) arrival: Arrival,
    /// Its readings.
    pub(crate) readings: Vec<Reading>,
    /// Why there are none, or not all.
    pub(crate) trouble: Option<Trouble>,
}

/// What keeps arrivals. After `append` they survive the loss of the machine's power.
pub(crate) trait Keep {
    /// Keeps the whole batch or nothing of it.
    ///
    /// # Errors
    ///
    /// Why it could not be kept, in words.
    fn append(&mut self, batch: &[Sorted]) -> Result<(), String>;
}
