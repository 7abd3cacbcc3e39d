//! The desk: takes arrivals in batches, has them kept, tells their senders, and knows how each source
//! is doing.

use super::map::Map;
use super::seen::Seen;
use super::{Arrival, BackOff, Fate, Keep, Reading, Sorted, Stop, Ticket, Trouble, Via};
use crate::clock;
use engine::doc::watch::{OUTDOORS, QUANTITIES};
use engine::units::Quantity;
use std::collections::{BTreeMap, VecDeque};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, RecvTimeoutError};
use std::time::Duration;

/// Most arrivals of one batch.
const BATCH: usize = 500;
/// Ways in without a source that are listed by name; of further ones only the number is known.
const LISTED: usize = 200;
/// Beginning of a message that is shown, characters.
const SHOWN: usize = 120;
/// Longest pause between attempts to keep a batch, ms.
const PAUSES_MS: (u64, u64) = (100, 10_000);

/// What arrived without a source that says what it is.
#[derive(Clone, Debug, Default)]
pub(crate) struct Unknown {
    /// How many messages.
    pub(crate) count: u64,
    /// The beginning of the last one.
    pub(crate) example: String,
}

/// How one source is doing.
#[derive(Clone, Debug)]
pub(crate) struct Standing {
    /// Readings since the start.
    pub(crate) readings: u64,
    /// The newest.
    pub(crate) last: Option<Reading>,
    /// When something last came of it, or the start; ms since 1970.
    pub(crate) heard_ms: i64,
    /// Since when it has been silent for longer than it may, ms since 1970.
    pub(crate) silent: Option<i64>,
}

/// Numbers since the start.
#[derive(Clone, Debug, Default)]
pub(crate) struct Tally {
    /// Messages kept.
    pub(crate) messages: u64,
    /// Readings kept.
    pub(crate) readings: u64,
    /// Messages and readings that had come before.
    pub(crate) repeated: u64,
    /// Messages that gave no reading, by reason.
    pub(crate) troubles: BTreeMap<Trouble, u64>,
    /// Messages without a source.
    pub(crate) unknown: BTreeMap<Via, Unknown>,
    /// Ways in without a source that are not listed.
    pub(crate) further: u64,
    /// Batches.
    pub(crate) batches: u64,
    /// Longest time from arrival to being kept, ms.
    pub(crate) longest_ms: i64,
    /// Sum of those times, ms.
    pub(crate) sum_ms: i64,
    /// Attempts to keep a batch that failed.
    pub(crate) failed: u64,
}

/// What a turn brought.
#[derive(Default)]
pub(crate) struct Turn {
    /// New readings, kept.
    pub(crate) readings: Vec<Reading>,
    /// Sources that have fallen silent, and since when, ms since 1970.
    pub(crate) silent: Vec<(Arc<str>, i64)>,
    /// Sources that speak again, since when they had been silent, and since when they speak.
    pub(crate) heard: Vec<(Arc<str>, i64, i64)>,
    /// Whether nobody puts anything in any more.
    pub(crate) over: bool,
}

/// Hears of attempts to keep a batch that failed: how many so far, and why.
pub(crate) type Trying = Box<dyn Fn(u64, &str)>;

/// The desk.
pub(crate) struct Desk<K> {
    from: Receiver<Arrival>,
    map: Map,
    keep: K,
    trying: Trying,
    seen: Seen,
    /// Senders who could not be told yet.
    late: VecDeque<(Box<dyn Ticket>, Fate)>,
    /// How each source is doing, by name.
    pub(crate) standing: BTreeMap<Arc<str>, Standing>,
    /// Numbers since the start.
    pub(crate) tally: Tally,
}

impl<K: Keep> Desk<K> {
    /// A desk at the end of a channel.
    pub(crate) fn new(from: Receiver<Arrival>, map: Map, keep: K, trying: Trying, now_ms: i64) -> Desk<K> {
        let standing = map
            .names()
            .map(|name| (name, Standing { readings: 0, last: None, heard_ms: now_ms, silent: None }));
        let standing = standing.collect();
        let (seen, late) = (Seen::default(), VecDeque::new());
        Desk { from, map, keep, trying, seen, late, standing, tally: Tally::default() }
    }

    /// What keeps the arrivals.
    pub(crate) fn kept(&self) -> &K {
        &self.keep
    }

    /// What people call a source, and where it stands.
    pub(crate) fn called(&self, name: &str) -> (String, String) {
        match self.map.source(name) {
            Some(source) => (source.label.clone(), source.place.value.clone()),
            None => (name.to_owned(), OUTDOORS.to_owned()),
        }
    }

    /// What a source measures.
    pub(crate) fn quantity(&self, name: &str) -> Quantity {
        let word = || name.rsplit('.').next().unwrap_or("");
        let outdoor = || QUANTITIES.iter().find(|(w, _)| *w == word()).map(|(_, q)| *q);
        self.map.source(name).map(|s| s.quantity).or_else(outdoor).unwrap_or(Quantity::Number)
    }

    /// Waits for arrivals at most so long, and sees to them.
    pub(crate) fn turn(&mut self, wait: Duration, stop: &Stop) -> Turn {
        let mut turn = Turn::default();
        self.tell_late();
        let mut batch = Vec::new();
        match self.from.recv_timeout(wait) {
            Ok(first) => {
                batch.push(first);
                batch.extend(self.from.try_iter().take(BATCH - 1));
            }
            Err(RecvTimeoutError::Timeout) => {}
            Err(RecvTimeoutError::Disconnected) => turn.over = true,
        }
        if !batch.is_empty() {
            turn.readings = self.see_to(batch, stop);
        }
        self.listen_for_silence(&mut turn);
        turn
    }

    /// Has a batch kept, however long that takes, and tells its senders.
    fn see_to(&mut self, batch: Vec<Arrival>, stop: &Stop) -> Vec<Reading> {
        let now_ms = clock::now_ms();
        let sorted: Vec<Sorted> = batch.into_iter().map(|a| self.sort(a, now_ms)).collect();
        let mut pause = BackOff::new(PAUSES_MS.0, PAUSES_MS.1);
        // Senders are held back meanwhile: the channel fills, and nothing is acknowledged.
        while let Err(why) = self.keep.append(&sorted) {
            self.tally.failed += 1;
            (self.trying)(self.tally.failed, &why);
            if stop.wait(pause.next()) {
                for ticket in sorted.into_iter().filter_map(|s| s.arrival.ticket) {
                    self.tell(ticket, Fate::NotKept);
                }
                return Vec::new();
            }
        }
        let kept_ms = clock::now_ms();
        self.tally.batches += 1;
        let mut out = Vec::new();
        for one in sorted {
            self.count(&one, kept_ms);
            let readings = one.readings.len();
            out.extend(one.readings);
            if let Some(ticket) = one.arrival.ticket {
                self.tell(ticket, Fate::Kept(readings));
            }
        }
        out
    }

    /// Says what an arrival holds, without what came before.
    fn sort(&mut self, arrival: Arrival, now_ms: i64) -> Sorted {
        if !self.seen.message(&arrival.via, &arrival.body, arrival.again) {
            self.tally.repeated += 1;
            return Sorted { arrival, readings: Vec::new(), trouble: None };
        }
        let mut sorted = self.map.sort(arrival, now_ms);
        let (at_ms, before) = (sorted.arrival.at_ms, sorted.readings.len());
        // A reading that took the time of its arrival cannot be told from its like.
        sorted.readings.retain(|r| r.time_ms == at_ms || self.seen.reading(r));
        self.tally.repeated += (before - sorted.readings.len()) as u64;
        sorted
    }

    fn count(&mut self, one: &Sorted, kept_ms: i64) {
        let tally = &mut self.tally;
        tally.messages += 1;
        tally.readings += one.readings.len() as u64;
        let took_ms = (kept_ms - one.arrival.at_ms).max(0);
        tally.longest_ms = tally.longest_ms.max(took_ms);
        tally.sum_ms += took_ms;
        if let Some(trouble) = one.trouble {
            *tally.troubles.entry(trouble).or_default() += 1;
        }
        if one.trouble == Some(Trouble::Unknown) {
            let known = tally.unknown.contains_key(&one.arrival.via);
            if known || tally.unknown.len() < LISTED {
                let entry = tally.unknown.entry(one.arrival.via.clone()).or_default();
                entry.count += 1;
                let text = String::from_utf8_lossy(&one.arrival.body);
                let plain = text.chars().map(|c| if c.is_control() { ' ' } else { c });
                entry.example = plain.take(SHOWN).collect();
            } else {
                tally.further += 1;
            }
        }
        for reading in &one.readings {
            let fresh = || Standing { readings: 0, last: None, heard_ms: kept_ms, silent: None };
            let standing = self.standing.entry(Arc::clone(&reading.source)).or_insert_with(fresh);
            standing.readings += 1;
            standing.heard_ms = one.arrival.at_ms.max(standing.heard_ms);
            if standing.last.as_ref().is_none_or(|last| last.time_ms <= reading.time_ms) {
                standing.last = Some(reading.clone());
            }
        }
    }

    fn tell(&mut self, mut ticket: Box<dyn Ticket>, fate: Fate) {
        if !ticket.tell(fate) {
            self.late.push_back((ticket, fate));
        }
    }

    fn tell_late(&mut self) {
        for _ in 0..self.late.len() {
            if let Some((ticket, fate)) = self.late.pop_front() {
                self.tell(ticket, fate);
            }
        }
    }

    fn listen_for_silence(&mut self, turn: &mut Turn) {
        let now_ms = clock::now_ms();
        for (name, standing) in &mut self.standing {
            let Some(most_ms) = self.map.silent_after_ms(name) else { continue };
            match (now_ms - standing.heard_ms > most_ms, standing.silent) {
                (true, None) => {
                    standing.silent = Some(standing.heard_ms);
                    turn.silent.push((Arc::clone(name), standing.heard_ms));
                }
                (false, Some(since)) => {
                    standing.silent = None;
                    turn.heard.push((Arc::clone(name), since, standing.heard_ms));
                }
                _ => {}
            }
        }
    }
}

#[cfg(test)]
mod tests;
