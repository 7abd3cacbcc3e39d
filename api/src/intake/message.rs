//! What messages of any kind become: rows on channels.

use super::reject::{Reason, Rejects};
use engine::units::{Quantity, Unit};
use serde::Serialize;

/// One reading of one channel.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Row {
    /// Milliseconds since 1970 UTC.
    pub time_ms: i64,
    /// Index of its channel.
    pub channel: usize,
    /// SI.
    pub value: f64,
}

/// What a source sends under one name.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Channel {
    /// Its full name: device and what it measures, as the source writes it.
    pub name: String,
    /// What it measures.
    pub quantity: Quantity,
    /// The unit it was sent in; rows are SI.
    pub unit: &'static Unit,
}

/// Most channels of one source; names beyond are refused, so that a hostile sender cannot fill the
/// memory.
const MOST_CHANNELS: usize = 10_000;
/// Longest name.
const LONGEST_NAME: usize = 200;

/// The channels of a source, in the order met.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Channels {
    /// Each of them.
    pub list: Vec<Channel>,
    at: std::collections::BTreeMap<(String, &'static str), usize>,
}

impl Channels {
    /// The index of a channel, a new one where it was not met before; nothing where there are too many.
    pub fn index(&mut self, name: &str, unit: &'static Unit) -> Option<usize> {
        if name.len() > LONGEST_NAME {
            return None;
        }
        let key = (name.to_owned(), unit.symbol);
        if let Some(found) = self.at.get(&key) {
            return Some(*found);
        }
        if self.list.len() >= MOST_CHANNELS {
            return None;
        }
        self.list.push(Channel { name: name.to_owned(), quantity: unit.quantity, unit });
        self.at.insert(key, self.list.len() - 1);
        Some(self.list.len() - 1)
    }

    /// A row of a value in its unit, put on its channel; what cannot be is rejected.
    pub(crate) fn row(
        &mut self,
        name: &str,
        unit: &'static Unit,
        time_ms: i64,
        written: f64,
        (line, rejects): (usize, &mut Rejects),
    ) -> Option<Row> {
        let value = unit.to_si(written);
        if !value.is_finite() {
            rejects.push(line, Reason::NotANumber, name, &written.to_string());
            return None;
        }
        let Some(channel) = self.index(name, unit) else {
            rejects.push(line, Reason::TooLong, "", name);
            return None;
        };
        Some(Row { time_ms, channel, value })
    }
}
