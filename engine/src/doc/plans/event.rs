//! Bad days: what a plan lives through besides the weather year.

use crate::diag::{Diagnostic, code};
use crate::doc::Sp;
use crate::doc::house::time_of_day;
use crate::doc::read::Tab;
use crate::units::Quantity as Q;
use serde::Serialize;

/// What happens.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum EventKind {
    /// Outdoor PM2.5 raised by a pulse.
    Smoke,
    /// Hotter outdoors.
    HeatWave,
    /// Colder outdoors.
    ColdSnap,
    /// No electricity: no fan, handler, heating, cooling, drier, light.
    PowerCut,
    /// Every exhaust, dryer and hood and the handler at once, doors shut.
    EverythingOn,
    /// Doors shut at night.
    DoorsShut,
    /// More people.
    Guests,
    /// Cooking, baths and the other daily events beyond the usual.
    Cooking,
}

impl EventKind {
    /// The words used in documents and on the command line.
    pub const CHOICES: &'static [(&'static str, EventKind)] = &[
        ("smoke", EventKind::Smoke),
        ("heat wave", EventKind::HeatWave),
        ("cold snap", EventKind::ColdSnap),
        ("power cut", EventKind::PowerCut),
        ("everything on", EventKind::EverythingOn),
        ("doors shut", EventKind::DoorsShut),
        ("guests", EventKind::Guests),
        ("cooking and baths", EventKind::Cooking),
    ];

    /// Its word.
    pub fn word(self) -> &'static str {
        Self::CHOICES.iter().find(|(_, kind)| *kind == self).map_or("", |(word, _)| word)
    }

    /// What happens where the document says nothing more. Sizes and lengths are common practice
    /// without a source; 150 ug/m3 lies in the range that the US index calls very unhealthy (125.5 to
    /// 225.4, EPA 2024, from memory).
    pub fn usual(self) -> Event {
        let (days, size, start) = match self {
            EventKind::Smoke => (3.0, Size::Raised(150e-9), Start::Hottest),
            EventKind::HeatWave => (4.0, Size::Shifted(5.0), Start::Hottest),
            EventKind::ColdSnap => (4.0, Size::Shifted(-8.0), Start::Coldest),
            EventKind::PowerCut => (1.0, Size::None, Start::Coldest),
            EventKind::EverythingOn => (1.0, Size::None, Start::Coldest),
            EventKind::DoorsShut => (2.0, Size::None, Start::Calmest),
            EventKind::Guests => (3.0, Size::Persons(4.0), Start::Calmest),
            EventKind::Cooking => (1.0, Size::Times(3.0), Start::Coldest),
        };
        let name = self.word().replace(' ', "_");
        Event { name, label: None, kind: self, lasts_s: days * DAY_S, size, start, at_s: None }
    }
}

/// How much of it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Size {
    /// Its kind has no size.
    None,
    /// PM2.5 over that of the days, kg/m3.
    Raised(f64),
    /// Outdoor temperature over that of the days, K.
    Shifted(f64),
    /// Outdoor temperature held at this, K.
    Held(f64),
    /// People more.
    Persons(f64),
    /// Times the usual.
    Times(f64),
}

/// The day it starts on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Start {
    /// The hottest days of the weather year of its length, by their mean.
    Hottest,
    /// The coldest.
    Coldest,
    /// Those of the least mean wind.
    Calmest,
    /// A day of the year, from 0.
    Day(usize),
}

/// One event.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Event {
    /// The name.
    pub name: String,
    /// The name people read; its kind's words where not told.
    pub label: Option<String>,
    /// What.
    pub kind: EventKind,
    /// How long, s; whole hours.
    pub lasts_s: f64,
    /// How much.
    pub size: Size,
    /// When.
    pub start: Start,
    /// Time of the first day at which it starts, by the clock on the wall, s after midnight; midnight of
    /// standard time where not told.
    pub at_s: Option<f64>,
}

const DAY_S: f64 = 86_400.0;
/// The longest event, days.
const MOST_DAYS: f64 = 60.0;

/// Reads `[event.NAME]`.
pub(super) fn event((name, t): &(Sp<String>, Tab<'_, '_>)) -> Option<Event> {
    let kind = t.need("kind", t.choice("kind", EventKind::CHOICES));
    let label = t.text("label").map(|l| l.value);
    let Some(kind) = kind.map(|k| k.value) else {
        t.leave_alone();
        return None;
    };
    let usual = kind.usual();
    let lasts = t.bounded("lasts", Q::Time, 3600.0..=MOST_DAYS * DAY_S);
    let number =
        |bounds| t.number("size").filter(|n| t.within("size", n, Q::Number, bounds)).map(|n| n.value);
    let size = match usual.size {
        Size::None => None,
        Size::Raised(_) => {
            t.bounded("size", Q::ParticleConcentration, 1e-9..=5e-6).map(|v| Size::Raised(v.value))
        }
        Size::Shifted(by) => {
            let held = t.bounded("held", Q::Temperature, 213.15..=333.15).map(|v| Size::Held(v.value));
            let size = t.bounded("size", Q::TemperatureDifference, 0.1..=30.0);
            held.or(size.map(|v| Size::Shifted(v.value.copysign(by))))
        }
        Size::Persons(_) => number(0.5..=100.0).map(Size::Persons),
        Size::Times(_) => number(0.1..=50.0).map(Size::Times),
        // No kind is held where nothing is said.
        Size::Held(_) => None,
    };
    let start = t.text("when").and_then(|when| {
        let start = match when.value.as_str() {
            "hottest" => Some(Start::Hottest),
            "coldest" => Some(Start::Coldest),
            "calmest" => Some(Start::Calmest),
            date => day_of_year(date).map(Start::Day),
        };
        if start.is_none() {
            t.say(Diagnostic::error(code::P111).at(when.span.clone()).arg("found", when.value.as_str()));
        }
        start
    });
    let at = t.text("at").and_then(|at| time_of_day(t, &at, &at.value));
    // An event that is not as it was meant is another event.
    let unread = |key: &str, read: bool| t.has(key) && !read;
    let held = matches!(size, Some(Size::Held(_)));
    if unread("held", held)
        || unread("lasts", lasts.is_some())
        || unread("size", size.is_some())
        || unread("when", start.is_some())
        || unread("at", at.is_some())
    {
        return None;
    }
    Some(Event {
        name: name.value.clone(),
        label,
        kind,
        lasts_s: lasts.map_or(usual.lasts_s, |v| (v.value / 3600.0).ceil() * 3600.0),
        size: size.unwrap_or(usual.size),
        start: start.unwrap_or(usual.start),
        at_s: at,
    })
}

/// A date such as `08-15` as the day of a year of 365 days, from 0.
fn day_of_year(text: &str) -> Option<usize> {
    let (month, day) = text.split_once('-')?;
    // A year without a 29 February.
    let date = jiff::civil::Date::new(2025, month.parse().ok()?, day.parse().ok()?).ok()?;
    usize::try_from(date.day_of_year() - 1).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn dates() {
        assert_eq!(day_of_year("01-01"), Some(0));
        assert_eq!(day_of_year("12-31"), Some(364));
        assert_eq!(day_of_year("08-15"), Some(226));
        assert_eq!(day_of_year("02-29"), None);
        assert_eq!(day_of_year("13-01"), None);
        assert_eq!(day_of_year("summer"), None);
    }
}
