//! What came before: at-least-once means that a message can come twice.
//!
//! A reading with a time of its own is the same one when source, time and value agree. A message
//! without a time is a repetition when its sender marks it as one and its like came lately; without
//! the mark two equal messages are two readings.

use super::{Reading, Via};
use std::collections::hash_map::DefaultHasher;
use std::collections::{HashSet, VecDeque};
use std::hash::{Hash, Hasher};

/// How many are remembered.
const REMEMBERED: usize = 65_536;

/// The last ones, by hash.
#[derive(Default)]
pub(crate) struct Seen {
    set: HashSet<u64>,
    order: VecDeque<u64>,
}

fn of_reading(r: &Reading) -> u64 {
    let mut hash = DefaultHasher::new();
    ("reading", &r.source, r.time_ms, r.value.to_bits()).hash(&mut hash);
    hash.finish()
}

fn of_message(via: &Via, body: &[u8]) -> u64 {
    let mut hash = DefaultHasher::new();
    match via {
        Via::Topic { broker, topic } => ("topic", broker, topic).hash(&mut hash),
        Via::Path(path) => ("path", path).hash(&mut hash),
        Via::Agency(name) => ("agency", name).hash(&mut hash),
    }
    body.hash(&mut hash);
    hash.finish()
}

impl Seen {
    fn remember(&mut self, hash: u64) -> bool {
        if !self.set.insert(hash) {
            return false;
        }
        self.order.push_back(hash);
        if self.order.len() > REMEMBERED
            && let Some(oldest) = self.order.pop_front()
        {
            self.set.remove(&oldest);
        }
        true
    }

    /// Whether a reading with a time of its own is new.
    pub(crate) fn reading(&mut self, reading: &Reading) -> bool {
        self.remember(of_reading(reading))
    }

    /// Whether a message is new; one that is not marked as a repetition always is.
    pub(crate) fn message(&mut self, via: &Via, body: &[u8], again: bool) -> bool {
        let new = self.remember(of_message(via, body));
        new || !again
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::Arc;

    #[test]
    fn repetitions() {
        let mut seen = Seen::default();
        let via = Via::Path("a".to_owned());
        assert!(seen.message(&via, b"21", false));
        assert!(seen.message(&via, b"21", false), "two equal readings are two");
        assert!(!seen.message(&via, b"21", true), "marked as sent before");
        assert!(seen.message(&via, b"22", true), "marked, but the first that arrived");
        let r = Reading { source: Arc::from("s"), time_ms: 5, value: 1.5 };
        assert!(seen.reading(&r) && !seen.reading(&r));
        assert!(seen.reading(&Reading { value: 1.6, ..r.clone() }));
        for at in 0..200_000_i64 {
            seen.reading(&Reading { time_ms: at + 10, ..r.clone() });
        }
        assert!(seen.order.len() == REMEMBERED && seen.set.len() == REMEMBERED, "bounded");
    }
}
