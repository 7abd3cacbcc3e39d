//! Arrivals into the store: messages verbatim, readings of sources that are described, levels and all in
//! one transaction.

use super::{Keep, Reading, Sorted, Via};
use crate::store::{Batch, Description, Part, Point, Raw, Store};
use engine::doc::watch::{QUANTITIES, Source, Watch};
use engine::units::Quantity;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Name and version of what reads messages, kept with each.
const PARSER: &str = "airwright live 1";

/// The store, and the numbers of the sources in it.
pub(crate) struct Kept {
    store: Arc<Store>,
    job: String,
    numbers: BTreeMap<Arc<str>, i64>,
    /// Readings that the store had already.
    twice: u64,
    /// Messages without a reading that newer ones took the room of.
    dropped: u64,
}

/// How a quantity is written in the store.
pub(crate) fn written(quantity: Quantity) -> String {
    serde_json::to_value(quantity).ok().and_then(|v| v.as_str().map(str::to_owned)).unwrap_or_default()
}

impl Kept {
    /// Describes the sources of a document to the store.
    ///
    /// # Errors
    ///
    /// A source that the store knows as something else, or a store that cannot be written.
    pub(crate) fn new(store: Arc<Store>, job: &str, watch: &Watch, now_ms: i64) -> Result<Kept, String> {
        let mut kept = Kept { store, job: job.to_owned(), numbers: BTreeMap::new(), twice: 0, dropped: 0 };
        for source in &watch.sources {
            kept.describe(source, now_ms)?;
        }
        Ok(kept)
    }

    fn describe(&mut self, source: &Source, now_ms: i64) -> Result<(), String> {
        let told = Description {
            job: Some(self.job.clone()),
            instrument: Some(source.instrument.value.clone()),
            place: Some(source.place.value.clone()),
            quantity: Some(written(source.quantity)),
            unit: Some(source.unit.symbol.to_owned()),
            basis: Some(format!("{:?}", source.basis).to_lowercase()),
        };
        let name: Arc<str> = Arc::from(source.name.value.as_str());
        self.number(name, told, now_ms).map(|_| ())
    }

    fn number(&mut self, name: Arc<str>, told: Description, now_ms: i64) -> Result<i64, String> {
        let full = format!("{}/{name}", self.job);
        let number = self.store.describe(&full, told, now_ms).map_err(|e| format!("{full}: {e}"))?;
        self.numbers.insert(name, number);
        Ok(number)
    }

    /// The number of a reading's source; outdoor ones are described when they first come.
    fn source(&mut self, reading: &Reading, via: &Via) -> Result<i64, String> {
        if let Some(number) = self.numbers.get(&reading.source) {
            return Ok(*number);
        }
        let word = reading.source.rsplit('.').next().unwrap_or("");
        let quantity = QUANTITIES.iter().find(|(w, _)| *w == word).map(|(_, q)| *q);
        let quantity = quantity.ok_or_else(|| format!("{}: no such quantity", reading.source))?;
        let told = Description {
            job: Some(self.job.clone()),
            instrument: Some(via.to_string()),
            place: Some(engine::doc::watch::OUTDOORS.to_owned()),
            quantity: Some(written(quantity)),
            unit: Some(quantity.si_symbol().to_owned()),
            basis: Some("corrected".to_owned()),
        };
        self.number(Arc::clone(&reading.source), told, reading.time_ms)
    }

    /// Readings that the store had already.
    pub(crate) fn twice(&self) -> u64 {
        self.twice
    }

    /// Messages without a reading that are no longer kept.
    pub(crate) fn dropped(&self) -> u64 {
        self.dropped
    }

    fn batch(&mut self, sorted: &[Sorted]) -> Result<Batch, String> {
        let mut parts: BTreeMap<i64, Vec<Point>> = BTreeMap::new();
        let mut raw = Vec::new();
        let mut arrived_ms = 0;
        for one in sorted {
            let arrival = &one.arrival;
            arrived_ms = arrived_ms.max(arrival.at_ms);
            let mut first = None;
            for reading in &one.readings {
                let number = self.source(reading, &arrival.via)?;
                first.get_or_insert(number);
                parts
                    .entry(number)
                    .or_default()
                    .push(Point { time_ms: reading.time_ms, value: reading.value });
            }
            let own = one.readings.first().map(|r| r.time_ms).filter(|t| *t != arrival.at_ms);
            raw.push(Raw {
                source: first,
                channel: arrival.via.to_string(),
                payload: arrival.body.clone(),
                device_ms: own,
                parser: PARSER.to_owned(),
            });
        }
        let parts = parts.into_iter().map(|(source, points)| Part { source, points, flags: 0 }).collect();
        Ok(Batch { parts, raw, arrived_ms })
    }
}

impl Keep for Kept {
    fn append(&mut self, batch: &[Sorted]) -> Result<(), String> {
        let kept = self.batch(batch).and_then(|b| self.store.writer().append(b).map_err(|e| e.to_string()));
        let kept = kept?;
        self.twice += kept.twice as u64;
        self.dropped += kept.dropped as u64;
        Ok(())
    }
}
