//! What several kinds share: a record typed in or beside the visit, a part of it, a volume, and a
//! limit of the user's own.

use crate::diag::{Diagnostic, code};
use crate::doc::Sp;
use crate::doc::read::{Grid, Tab};
use crate::procedure::field::Limit;
use crate::units::{Accuracy, Quantity as Q};

/// A moment in a record.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum When {
    /// Since its first row, s.
    Elapsed(f64),
    /// Local date and time.
    Date(jiff::civil::DateTime),
    /// Local time, the first after the first row.
    Clock(jiff::civil::Time),
}

/// A record and the part of it that counts.
#[derive(Clone, Debug, PartialEq)]
pub struct Record {
    /// Rows typed in: time and one column or two of what the test reads.
    pub points: Option<Grid>,
    /// File beside the visit.
    pub series: Option<Sp<String>>,
    /// Its columns.
    pub columns: Vec<Sp<String>>,
    /// Where the part begins.
    pub start: Option<Sp<When>>,
    /// Where it ends.
    pub end: Option<Sp<When>>,
    /// Where to point.
    pub span: crate::diag::Span,
}

/// Reads it; `points` of gas.
pub(super) fn record(t: &Tab<'_, '_>) -> Record {
    let points = t.numbered_grid("points", &[("time", Q::Time)], &[("gas", Q::GasFraction)], &[]);
    Record {
        points,
        series: t.text("series"),
        columns: t.text_or_texts("column"),
        start: when(t, "start"),
        end: when(t, "end"),
        span: t.span(),
    }
}

/// A moment: `2026-11-12 22:05`, `22:05`, or `40 min` after the first row.
/// A moment in a record: a date and time, a time of day, or a time since the first row.
pub(super) fn when(t: &Tab<'_, '_>, key: &'static str) -> Option<Sp<When>> {
    let text = t.text(key)?;
    let value = text.value.trim();
    let read = (value.parse().ok().filter(|_| value.len() > 10).map(When::Date))
        .or_else(|| value.parse().ok().map(When::Clock))
        .or_else(|| crate::units::parse(value, Q::Time).ok().map(|w| When::Elapsed(w.si)));
    if read.is_none() {
        t.say(Diagnostic::error(code::T013).at(text.span.clone()).arg("found", value));
    }
    read.map(|value| Sp { value, span: text.span })
}

/// A volume: typed, with its accuracy, or that of a zone of the house.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Volume {
    /// Typed, m3.
    pub typed_m3: Option<Sp<f64>>,
    /// How well it is known.
    pub accuracy: Option<Accuracy>,
    /// The zone.
    pub zone: Option<Sp<String>>,
}

/// Volumes of rooms, m3.
pub const ROOM_M3: std::ops::RangeInclusive<f64> = 0.5..=1e6;

/// Reads it.
pub(super) fn volume(t: &Tab<'_, '_>) -> Volume {
    Volume {
        typed_m3: t.bounded("volume", Q::Volume, ROOM_M3),
        accuracy: t.accuracy("volume_accuracy", Q::Volume).map(|a| a.value),
        zone: t.text("zone"),
    }
}

/// Volumes by the name of a column.
pub(super) fn volumes(t: &Tab<'_, '_>) -> Vec<(Sp<String>, f64)> {
    let read = |(name, text): (Sp<String>, Sp<String>)| match crate::units::parse(&text.value, Q::Volume) {
        Ok(volume) => {
            let value = Sp { value: volume.si, span: text.span };
            t.within("volumes", &value, Q::Volume, ROOM_M3).then_some((name, value.value))
        }
        Err(e) => {
            t.say(crate::doc::read::unit_diagnostic(e, Q::Volume, &text.value).at(text.span));
            None
        }
    };
    t.pairs("volumes").into_iter().filter_map(read).collect()
}

/// Gas outdoors as written, and the sensor of the room.
#[derive(Clone, Debug, PartialEq)]
pub struct Outdoors {
    /// One value, volume fraction.
    pub value: Option<Sp<f64>>,
    /// Several readings.
    pub readings: Option<Sp<Vec<f64>>>,
    /// Half width of its interval, as the tester knows it.
    pub limit: Option<f64>,
    /// What read it.
    pub with: Option<Sp<String>>,
    /// What read the room.
    pub gas_with: Option<Sp<String>>,
}

/// Concentrations that a room can have, as a volume fraction.
pub const GAS: std::ops::RangeInclusive<f64> = 0.0..=0.1;

/// Reads it.
pub(super) fn outdoors(t: &Tab<'_, '_>) -> Outdoors {
    let readings = t.quantities("background_readings", Q::GasFraction);
    Outdoors {
        value: t.bounded("background", Q::GasFraction, GAS),
        readings: readings.filter(|r| {
            let inside = |v: &f64| {
                let one = Sp { value: *v, span: r.span.clone() };
                t.within("background_readings", &one, Q::GasFraction, GAS)
            };
            r.value.iter().all(inside)
        }),
        limit: t.bounded("background_limit", Q::GasFraction, GAS).map(|l| l.value),
        with: t.text("background_with"),
        gas_with: t.text("gas_with"),
    }
}

/// A limit of the user's own: at least it, or at most where `limit_is` says so.
pub(super) fn limit(t: &Tab<'_, '_>, quantity: Q, at_most: bool) -> Option<Limit> {
    let value = t.bounded("limit", quantity, 0.0..=f64::MAX);
    let source = t.text("limit_source").map(|s| s.value);
    let confirmed = t.flag("limit_confirmed").unwrap_or(false);
    let choices = [("at least", false), ("at most", true)];
    let at_most = t.choice("limit_is", &choices).map_or(at_most, |c| c.value);
    let value = value?.value;
    let source = source.unwrap_or_else(|| crate::procedure::source::COMMON_PRACTICE.to_owned());
    Some(if at_most {
        Limit::at_most(value, &source, confirmed)
    } else {
        Limit::at_least(value, &source, confirmed)
    })
}
