//! From messages to readings: what the sources of `watch.toml` say of what arrives.

use super::path::Path;
use super::{Arrival, Reading, Sorted, Trouble, Via, outdoor, payload};
use engine::doc::watch::{Arrives, Payload, Source, Watch, matches};
use engine::units::Quantity as Q;
use serde_json::Value;
use std::sync::Arc;

/// How far ahead of ours a sender's clock may be, ms.
const AHEAD_MS: i64 = 3_600_000;
/// Times before this are those of a clock that was never set: 2000-01-01, ms since 1970.
const FIRST_MS: i64 = 946_684_800_000;
/// Numbers above this are milliseconds, below it seconds, since 1970. Common practice, no source.
const MILLISECONDS_FROM: f64 = 1e11;
/// How long outdoor air may be without news, ms.
const OUTDOOR_SILENT_MS: i64 = 6 * 3_600_000;

struct Known {
    source: Source,
    name: Arc<str>,
    inside: Option<Path>,
    value: Option<Path>,
    time: Option<Path>,
}

/// The sources, ready for use.
pub(crate) struct Map {
    known: Vec<Known>,
}

/// A value, SI, and its own time where it has one, ms since 1970.
pub(super) type Sent = (f64, Option<i64>);

impl Map {
    /// Of a document.
    pub(crate) fn new(watch: &Watch) -> Map {
        let path = |p: &Option<engine::doc::Sp<String>>| p.as_ref().and_then(|p| Path::parse(&p.value));
        let known = |s: &Source| Known {
            name: Arc::from(s.name.value.as_str()),
            inside: path(&s.inside),
            value: path(&s.value),
            time: path(&s.time),
            source: s.clone(),
        };
        Map { known: watch.sources.iter().map(known).collect() }
    }

    /// Names of the sources.
    pub(crate) fn names(&self) -> impl Iterator<Item = Arc<str>> {
        self.known.iter().map(|k| Arc::clone(&k.name))
    }

    /// The source of a name.
    pub(crate) fn source(&self, name: &str) -> Option<&Source> {
        self.known.iter().find(|k| &*k.name == name).map(|k| &k.source)
    }

    /// How long a source may be silent, ms.
    pub(crate) fn silent_after_ms(&self, name: &str) -> Option<i64> {
        if name.starts_with("outdoor.") {
            return Some(OUTDOOR_SILENT_MS);
        }
        self.source(name).map(|s| (1000.0 * s.silent_after_s) as i64)
    }

    /// Says what an arrival holds.
    pub(crate) fn sort(&self, arrival: Arrival, now_ms: i64) -> Sorted {
        let found = match &arrival.via {
            Via::Agency(name) => outdoor::readings(name, &arrival.body).map(|r| (r, None)),
            _ => self.read(&arrival, now_ms),
        };
        match found {
            Ok((readings, trouble)) => Sorted { arrival, readings, trouble },
            Err(trouble) => Sorted { arrival, readings: Vec::new(), trouble: Some(trouble) },
        }
    }

    fn read(&self, arrival: &Arrival, now_ms: i64) -> Result<(Vec<Reading>, Option<Trouble>), Trouble> {
        let here = |k: &&Known| match (&k.source.from, &arrival.via) {
            (Arrives::Topic { broker, filter }, Via::Topic { broker: of, topic }) => {
                broker.value == **of && matches(&filter.value, topic)
            }
            (Arrives::Path(path), Via::Path(of)) => path.value == *of,
            _ => false,
        };
        let mine: Vec<&Known> = self.known.iter().filter(here).collect();
        if mine.is_empty() {
            return Err(Trouble::Unknown);
        }
        if arrival.cut {
            return Err(Trouble::Long);
        }
        let mut json = None;
        let (mut readings, mut worst) = (Vec::new(), None);
        for known in mine {
            let sent = match known.source.payload {
                Payload::Json => {
                    let parsed = json.get_or_insert_with(|| serde_json::from_slice::<Value>(&arrival.body));
                    parsed.as_ref().map_err(|_| Trouble::Malformed).and_then(|v| known.json(v))
                }
                Payload::Plain => known.plain(&arrival.body),
                Payload::Senml => payload::senml(&known.source, &arrival.body, arrival.at_ms),
                Payload::Bthome => {
                    payload::bthome(&known.source, known.inside.as_ref(), &arrival.body, arrival.at_ms)
                }
                Payload::Csv => payload::csv(&known.source, &arrival.body),
            };
            match sent.and_then(|sent| known.timed(sent, arrival, now_ms)) {
                Ok(more) => readings.extend(more),
                // Others of the same message may well be there.
                Err(trouble) => worst = worst.max(Some(trouble)),
            }
        }
        // A message that holds one source's value need not hold another's.
        let missing = worst == Some(Trouble::NoValue) && !readings.is_empty();
        Ok((readings, worst.filter(|_| !missing)))
    }
}

impl Known {
    fn json(&self, message: &Value) -> Result<Vec<Sent>, Trouble> {
        let path = self.value.as_ref().ok_or(Trouble::NoValue)?;
        let value = match path.find(message) {
            None | Some(Value::Null) => return Err(Trouble::NoValue),
            Some(Value::Number(n)) => n.as_f64(),
            Some(Value::String(s)) => s.trim().parse::<f64>().ok(),
            // A contact or a motion sensor.
            Some(Value::Bool(b)) if self.source.quantity == Q::Number => Some(f64::from(u8::from(*b))),
            Some(_) => None,
        };
        let value = value.filter(|v| v.is_finite()).ok_or(Trouble::Malformed)?;
        let time_ms = match &self.time {
            None => None,
            Some(path) => Some(path.find(message).and_then(time_ms).ok_or(Trouble::Time)?),
        };
        Ok(vec![(self.source.unit.to_si(value), time_ms)])
    }

    fn plain(&self, body: &[u8]) -> Result<Vec<Sent>, Trouble> {
        let text = std::str::from_utf8(body).map_err(|_| Trouble::Malformed)?.trim();
        let value = match text.to_ascii_lowercase().as_str() {
            "on" | "true" | "open" if self.source.quantity == Q::Number => 1.0,
            "off" | "false" | "closed" if self.source.quantity == Q::Number => 0.0,
            other => other.parse::<f64>().map_err(|_| Trouble::Malformed)?,
        };
        let si = self.source.unit.to_si(value);
        if si.is_finite() { Ok(vec![(si, None)]) } else { Err(Trouble::Malformed) }
    }

    fn timed(&self, sent: Vec<Sent>, arrival: &Arrival, now_ms: i64) -> Result<Vec<Reading>, Trouble> {
        let one = |(value, own): Sent| {
            let time_ms = match own {
                Some(t) if (FIRST_MS..=now_ms + AHEAD_MS).contains(&t) => t,
                Some(_) => return Err(Trouble::Time),
                // The broker had it for nobody knows how long.
                None if arrival.stored => return Err(Trouble::Stored),
                None => arrival.at_ms,
            };
            let source = Arc::clone(&self.name);
            Ok(Reading { source, time_ms, value })
        };
        sent.into_iter().map(one).collect()
    }
}

/// A time as senders write it: seconds or milliseconds since 1970, or a date and time that names its
/// offset from UTC.
pub(super) fn time_ms(value: &Value) -> Option<i64> {
    match value {
        Value::Number(n) => n.as_f64().and_then(since_1970),
        Value::String(s) => match s.trim().parse::<f64>() {
            Ok(n) => since_1970(n),
            Err(_) => s.trim().parse::<jiff::Timestamp>().ok().map(jiff::Timestamp::as_millisecond),
        },
        _ => None,
    }
}

fn since_1970(n: f64) -> Option<i64> {
    let ms = if n.abs() >= MILLISECONDS_FROM { n } else { 1000.0 * n };
    (ms.is_finite() && ms.abs() < 1e15).then(|| ms.round() as i64)
}

#[cfg(test)]
mod tests;
