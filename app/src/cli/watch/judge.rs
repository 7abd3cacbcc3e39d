//! What waits for nothing: carbon monoxide, of every reading as it comes.

use super::places::Places;
use crate::alert::{News, NewsKind};
use crate::intake::Reading;
use engine::doc::watch::{OUTDOORS, QUANTITIES, Watch as Document};
use engine::units::Quantity as Q;
use engine::watch::alert::level_of;
use engine::watch::{Alert, At, Clock, Field, Kind, Level, Setup, Source, Watch};

/// The watch over what is told at once.
pub(super) struct Judge {
    watch: Watch,
    setup: Setup<'static>,
}

impl Judge {
    /// For the sources of a document that measure it; `remembered` knows what was told already.
    pub(super) fn new(document: &Document, remembered: Watch) -> Judge {
        let monoxide = document.sources.iter().filter(|s| Field::named(s.word) == Some(Field::Co));
        let source = |s: &engine::doc::watch::Source| Source {
            name: s.name.value.clone(),
            at: if s.place.value == OUTDOORS { At::Outdoors } else { At::Zone(usize::MAX) },
            field: Field::Co,
            accuracy: s.accuracy.unwrap_or_else(|| Field::Co.usual_accuracy()),
        };
        let setup = Setup {
            sources: monoxide.map(source).collect(),
            devices: Vec::new(),
            filters: Vec::new(),
            draws: &[],
            weather: None,
            clock: Clock { ahead_s: 0.0 },
            false_a_month: engine::watch::FALSE_A_MONTH,
            exposure: None,
            volume_m3: 0.0,
            outdoor_co2: engine::watch::OUTDOOR_CO2,
            appliance_zone: None,
        };
        Judge { watch: remembered, setup }
    }

    /// Takes readings; what is to be told at once comes back.
    pub(super) fn turn(&mut self, readings: &[Reading]) -> Vec<Alert> {
        let mut found = Vec::new();
        for (at, source) in self.setup.sources.iter().enumerate() {
            let mine = readings.iter().filter(|r| *r.source == *source.name);
            let points: Vec<(i64, f64)> = mine.map(|r| (r.time_ms, r.value)).collect();
            if !points.is_empty() {
                found.extend(self.watch.take(&self.setup, at, &points));
            }
        }
        found
    }
}

/// What people call a source or device, and where it stands.
pub(super) fn called(document: &Document, name: &str, places: &Places) -> (String, String) {
    match document.sources.iter().find(|s| s.name.value == name) {
        Some(source) => (source.label.clone(), places.say(&source.place.value)),
        None if name.starts_with("outdoor.") => (name.to_owned(), places.say(OUTDOORS)),
        None => (name.replace('_', " "), places.say(name)),
    }
}

/// What a source measures.
pub(super) fn quantity(document: &Document, name: &str) -> Q {
    let word = name.rsplit('.').next().unwrap_or("");
    let outdoor = || QUANTITIES.iter().find(|(w, _)| *w == word).map(|(_, q)| *q);
    let own = document.sources.iter().find(|s| s.name.value == name).map(|s| s.quantity);
    own.or_else(outdoor).unwrap_or(Q::Number)
}

/// An alert as news for people.
pub(super) fn news(alert: &Alert, document: &Document, places: &Places) -> News {
    let (of, place) = called(document, &alert.of, places);
    let difference = || match quantity(document, &alert.of) {
        Q::Temperature => Q::TemperatureDifference,
        other => other,
    };
    let (kind, quantity) = match alert.kind {
        Kind::CarbonMonoxide => (NewsKind::CarbonMonoxide, Some(Q::GasFraction)),
        Kind::Change => (NewsKind::Change, Some(difference())),
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
    News {
        kind,
        name: alert.of.clone(),
        of,
        place,
        time_ms: alert.time_ms,
        value: quantity.map(|q| (alert.value, q)),
        limit: published,
        grave,
        false_a_month: alert.kind.false_a_month(engine::watch::FALSE_A_MONTH),
        causes: Vec::new(),
        late: false,
    }
}
