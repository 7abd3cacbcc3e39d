//! What a live watch remembered before, so that hours whose readings come late can be judged again; and what was told of
//! those hours, so that nothing is told twice.

use engine::watch::{Event, HOUR_MS, Watch};
use serde::{Deserialize, Serialize};

/// What was known at another time is the same where it is no further away, ms.
const SAME_MS: i64 = 24 * HOUR_MS;

/// The memory as it was.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub(super) struct Snapshot {
    /// Readings before this were taken, ms since 1970.
    pub(super) until_ms: i64,
    /// Readings that were taken since.
    pub(super) count: i64,
    /// The memory.
    pub(super) watch: Watch,
}

/// Something that was told of hours that may be judged again.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(super) struct Said {
    /// Its kind among events of the store.
    pub(super) kind: String,
    /// Of what.
    pub(super) about: String,
    /// When it was known, ms.
    pub(super) time_ms: i64,
    /// When it began, ms.
    pub(super) start_ms: i64,
}

/// The last two midnights.
#[derive(Clone, Debug, Default, Serialize, Deserialize)]
pub(super) struct Back {
    older: Option<Snapshot>,
    newer: Option<Snapshot>,
    said: Vec<Said>,
    /// Hours before this are judged again, ms.
    pub(super) again_to_ms: Option<i64>,
}

impl Back {
    /// Counts readings that were taken.
    pub(super) fn took(&mut self, count: usize) {
        for one in [&mut self.older, &mut self.newer].into_iter().flatten() {
            one.count += count as i64;
        }
    }

    /// A day is over: the memory of two midnights is kept.
    pub(super) fn day(&mut self, until_ms: i64, watch: &Watch) {
        self.older = self.newer.take();
        self.newer = Some(Snapshot { until_ms, count: 0, watch: watch.clone() });
        let from_ms = self.since_ms().unwrap_or(until_ms) - SAME_MS;
        self.said.retain(|s| s.time_ms >= from_ms);
    }

    /// From when on hours can be judged again, ms.
    pub(super) fn since_ms(&self) -> Option<i64> {
        self.oldest().map(|s| s.until_ms)
    }

    /// The oldest memory that is kept.
    pub(super) fn oldest(&self) -> Option<&Snapshot> {
        self.older.as_ref().or(self.newer.as_ref())
    }

    /// The hours since the oldest memory are to be judged again, up to a time: what it was is given back.
    pub(super) fn again(&mut self, to_ms: i64) -> Option<(i64, Watch)> {
        let oldest = self.oldest()?.clone();
        let (until_ms, watch) = (oldest.until_ms, oldest.watch.clone());
        (self.older, self.newer) = (None, Some(Snapshot { count: 0, ..oldest }));
        self.again_to_ms = Some(to_ms);
        Some((until_ms, watch))
    }

    /// What was told of the same before, where hours are judged again.
    pub(super) fn before(&self, kind: &str, about: &[&str], time_ms: i64) -> Option<&Said> {
        self.again_to_ms?;
        let same = |s: &&Said| {
            s.kind == kind && about.contains(&s.about.as_str()) && (s.time_ms - time_ms).abs() <= SAME_MS
        };
        self.said.iter().filter(same).min_by_key(|s| (s.time_ms - time_ms).abs())
    }

    /// It was told.
    pub(super) fn say(&mut self, said: Said) {
        if !self
            .said
            .iter()
            .any(|s| s.kind == said.kind && s.about == said.about && s.time_ms == said.time_ms)
        {
            self.said.push(said);
        }
    }

    /// All hours are judged again: changes that were told of them and that no event tells any more, which are forgotten here.
    pub(super) fn withdrawn(&mut self, kind: &str, watch: &Watch) -> Vec<Said> {
        self.again_to_ms = None;
        let from_ms = self.since_ms().unwrap_or(i64::MAX);
        let stands = |s: &Said| {
            let same = |e: &Event| {
                (e.known_ms - s.time_ms).abs() <= SAME_MS && e.traces.iter().any(|m| m.trace == s.about)
            };
            s.kind != kind || s.time_ms <= from_ms || watch.events().any(same)
        };
        let (stay, gone) = std::mem::take(&mut self.said).into_iter().partition(stands);
        self.said = stay;
        gone
    }
}
