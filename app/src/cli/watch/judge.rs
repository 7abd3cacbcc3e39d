//! The engine's watch over live readings: carbon monoxide at once, the rest by the hour.
//!
//! It is given traces, the house's volume and what it owes its people; a fitted house is not part of it
//! here, so that nothing is expected of rooms and no causes are weighed. What it remembers is kept as
//! `out/watch.json` of the job and may be deleted.

use crate::alert::{News, NewsKind};
use crate::clock;
use crate::files;
use crate::intake::Reading;
use crate::intake::desk::Desk;
use crate::intake::keep::Kept;
use engine::doc::Documents;
use engine::doc::watch::{OUTDOORS, QUANTITIES, Watch as Document};
use engine::units::Quantity as Q;
use engine::watch::alert::level_of;
use engine::watch::{Alert, At, Clock, FALSE_A_MONTH, Field, Kind, Level, OUTDOOR_CO2, Setup, Source, Watch};
use std::path::Path;

/// Where the memory is kept below `out`.
const MEMORY: &str = "watch.json";
/// How often whole hours are looked for, ms.
const LOOK_MS: i64 = 60_000;

/// The watch and what it works with.
pub(super) struct Judge {
    watch: Watch,
    setup: Setup<'static>,
    looked_ms: i64,
    changed: bool,
}

/// The engine's traces of a document, by the names of its sources. Quantities that the engine has no
/// use for are kept and not judged.
fn sources(document: &Document, documents: &Documents) -> Vec<Source> {
    let zones = documents.house.as_ref().map(|h| h.zones.as_slice()).unwrap_or_default();
    let own = document.sources.iter().filter_map(|s| {
        let field = Field::named(s.word).filter(|f| f.quantity() == s.quantity)?;
        let at = if s.place.value == OUTDOORS {
            At::Outdoors
        } else {
            At::Zone(zones.iter().position(|z| z.name.value == s.place.value).unwrap_or(usize::MAX))
        };
        Some(Source { name: s.name.value.clone(), at, field, accuracy: field.usual_accuracy() })
    });
    let fetched = QUANTITIES.iter().filter_map(|(word, q)| {
        let field = Field::named(word).filter(|f| f.quantity() == *q)?;
        let wanted =
            document.outdoor.as_ref().is_some_and(|o| if *word == "pm25" { o.particles } else { o.weather });
        let outdoors = matches!(field, Field::Temp | Field::Rh | Field::Pm25 | Field::Wind);
        let name = format!("outdoor.{word}");
        (wanted && outdoors).then(|| Source {
            name,
            at: At::Outdoors,
            field,
            accuracy: field.usual_accuracy(),
        })
    });
    own.chain(fetched).collect()
}

impl Judge {
    /// For a job; with what it remembers.
    pub(super) fn new(document: &Document, documents: &Documents, job: &Path) -> Judge {
        let job_doc = &documents.job;
        let zones = documents.house.as_ref().map(|h| h.zones.as_slice()).unwrap_or_default();
        let appliance = documents.house.as_ref().and_then(|h| h.appliances.first());
        let standard = job_doc.place.time_zone.as_ref().and_then(|z| jiff::tz::TimeZone::get(&z.value).ok());
        let ahead_s = standard.map_or(0.0, |zone| standard_s(&zone));
        let setup = Setup {
            sources: sources(document, documents),
            devices: Vec::new(),
            filters: Vec::new(),
            draws: &[],
            weather: None,
            clock: Clock { ahead_s },
            false_a_month: FALSE_A_MONTH,
            exposure: documents.rules.exposure.as_ref().map(|e| e.value),
            volume_m3: job_doc.building.volume_m3.as_ref().map_or(0.0, |v| v.value),
            outdoor_co2: job_doc.place.outdoor_co2.unwrap_or(OUTDOOR_CO2),
            appliance_zone: appliance.and_then(|a| zones.iter().position(|z| z.name.value == a.zone.value)),
        };
        let kept = std::fs::read(job.join(files::OUT).join(MEMORY)).ok();
        let watch = kept.and_then(|bytes| serde_json::from_slice(&bytes).ok()).unwrap_or_default();
        Judge { watch, setup, looked_ms: 0, changed: false }
    }

    /// Takes readings; carbon monoxide comes back at once, all else when an hour is over.
    pub(super) fn turn(&mut self, readings: &[Reading]) -> Vec<Alert> {
        let mut found = Vec::new();
        for (at, source) in self.setup.sources.iter().enumerate() {
            let mine = readings.iter().filter(|r| *r.source == *source.name);
            let points: Vec<(i64, f64)> = mine.map(|r| (r.time_ms, r.value)).collect();
            if !points.is_empty() {
                found.extend(self.watch.take(&self.setup, at, &points));
                self.changed = true;
            }
        }
        let now_ms = clock::now_ms();
        if now_ms - self.looked_ms >= LOOK_MS {
            self.looked_ms = now_ms;
            // Without a fitted house no model is stepped, so that none can fail.
            found.extend(self.watch.advance(&self.setup, now_ms).unwrap_or_default());
        }
        // Silence is the desk's own to tell, by each source's own patience.
        found.retain(|a| a.kind != Kind::Silence);
        found
    }

    /// Keeps what is remembered.
    pub(super) fn keep(&mut self, job: &Path) -> anyhow::Result<()> {
        if std::mem::take(&mut self.changed) {
            let bytes = serde_json::to_vec(&self.watch)?;
            files::write_bytes(&job.join(files::OUT), MEMORY, &bytes)?;
        }
        Ok(())
    }
}

/// How far standard time is ahead of UTC, s: the lesser of January's and July's offset.
fn standard_s(zone: &jiff::tz::TimeZone) -> f64 {
    let offset = |month| {
        let date = jiff::civil::date(2025, month, 1).at(0, 0, 0, 0);
        zone.to_timestamp(date).map_or(0, |t| zone.to_offset(t).seconds())
    };
    f64::from(offset(1).min(offset(7)))
}

/// An alert as news for people.
pub(super) fn news(alert: &Alert, desk: &Desk<Kept>) -> News {
    let (of, place) = desk.called(&alert.of);
    let (kind, quantity) = match alert.kind {
        Kind::CarbonMonoxide => (NewsKind::CarbonMonoxide, Some(Q::GasFraction)),
        Kind::Change => (NewsKind::Change, Some(desk.quantity(&alert.of))),
        Kind::Silence => (NewsKind::Silence, None),
        Kind::BelowOutdoors => (NewsKind::BelowOutdoors, Some(Q::GasFraction)),
        Kind::FilterDue => (NewsKind::FilterDue, None),
        Kind::Debt => (NewsKind::Debt, Some(Q::Time)),
    };
    let monoxide = alert.kind == Kind::CarbonMonoxide;
    let published =
        level_of(alert.value).filter(|_| monoxide).map(|(_, l)| (l.si, Q::GasFraction, l.source.to_owned()));
    let grave = alert.level.filter(|_| monoxide).map(|level| match level {
        Level::Tell => "alert-carbon-monoxide-tell",
        Level::Stop => "alert-carbon-monoxide-stop",
        Level::Leave => "alert-carbon-monoxide-leave",
    });
    let value = quantity.map(|q| (alert.value, q));
    News { kind, name: alert.of.clone(), of, place, time_ms: alert.time_ms, value, limit: published, grave }
}
