//! One test as typed on a phone, field by field, and what of it can be read as a number.
//!
//! Everything is text as typed; an empty text was not entered. A number whose unit the column fixes
//! is bare digits, with the decimal mark of either language.

use engine::procedure::envelope::Profile;
use engine::procedure::instrument::Direction;
use engine::units::{Quantity, System, Unit, number, unit};
use report::words::{Language, Usage, Words};
use serde::{Deserialize, Serialize};

/// Where the house stands and what is adopted there.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Place {
    pub(super) name: String,
    /// m or ft.
    pub(super) altitude: String,
    /// Air changes an hour at 50 Pa.
    pub(super) limit: String,
    pub(super) limit_source: String,
    pub(super) limit_confirmed: bool,
}

/// Sizes, in the display units.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Building {
    pub(super) volume: String,
    pub(super) floor_area: String,
    pub(super) envelope_area: String,
    pub(super) height: String,
    /// `in`, `out`, `none` or nothing.
    pub(super) basement: String,
    pub(super) includes: String,
}

/// Who tests.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Tester {
    pub(super) name: String,
    pub(super) credential: String,
    pub(super) firm: String,
}

/// Air and wind, in the display units.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Conditions {
    pub(super) indoor: String,
    pub(super) outdoor: String,
    pub(super) wind: String,
    /// hPa or inHg.
    pub(super) barometer: String,
}

/// The pressure gauge.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Gauge {
    pub(super) label: String,
    pub(super) accuracy: String,
    pub(super) serial: String,
    pub(super) calibrated: String,
    pub(super) baseline_subtracted: bool,
}

/// The test fan and its flow gauge.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Fan {
    pub(super) label: String,
    pub(super) accuracy: String,
    pub(super) serial: String,
    pub(super) calibrated: String,
    /// An id of [`SHOWS`].
    pub(super) shows: String,
    /// kg/m3 or lb/ft3.
    pub(super) calibration_density: String,
    /// Flow at 1 Pa of fan pressure; only where the fan shows its pressure.
    pub(super) calibration_flow: String,
    /// Exponent of the calibration.
    pub(super) calibration_exponent: String,
}

/// One opening or device and how it was prepared.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Prepared {
    /// An id of the profile's list, or the tester's own words.
    pub(super) id: String,
    /// `open`, `closed`, `sealed` or nothing.
    pub(super) state: String,
    pub(super) restored: bool,
}

/// One station.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Station {
    /// Pa, without sign: the direction tells it.
    pub(super) house: String,
    /// Flow, or Pa where the fan shows its pressure.
    pub(super) fan: String,
}

/// One test as typed.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Draft {
    pub(super) id: String,
    /// Date, or date and time, of its beginning.
    pub(super) created: String,
    pub(super) language: String,
    pub(super) system: String,
    /// Id of a profile.
    pub(super) profile: String,
    /// `depressurise` or `pressurise`.
    pub(super) direction: String,
    pub(super) place: Place,
    pub(super) building: Building,
    pub(super) tester: Tester,
    pub(super) conditions: Conditions,
    pub(super) gauge: Gauge,
    pub(super) fan: Fan,
    pub(super) preparation: Vec<Prepared>,
    /// Pa, house minus outdoors.
    pub(super) baseline_before: Vec<String>,
    pub(super) baseline_after: Vec<String>,
    pub(super) stations: Vec<Station>,
}

/// What a fan's display may show: id on the phone, words of the documents.
pub(super) const SHOWS: &[(&str, &str)] = &[
    ("calibration-density", "flow at calibration density"),
    ("actual-density", "flow at actual density"),
    ("through-envelope", "flow through the envelope"),
    ("reference-conditions", "flow at reference conditions"),
    ("fan-pressure", "fan pressure"),
];

/// A column or a field with a fixed unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Field {
    Pressure,
    Flow,
    Length,
    Area,
    Volume,
    Temperature,
    Speed,
    Barometer,
    Density,
    AirChange,
}

impl Field {
    pub(super) const ALL: &[(&str, Field)] = &[
        ("pressure", Field::Pressure),
        ("flow", Field::Flow),
        ("length", Field::Length),
        ("area", Field::Area),
        ("volume", Field::Volume),
        ("temperature", Field::Temperature),
        ("speed", Field::Speed),
        ("barometer", Field::Barometer),
        ("density", Field::Density),
        ("air_change", Field::AirChange),
    ];

    pub(super) fn quantity(self) -> Quantity {
        match self {
            Field::Pressure | Field::Barometer => Quantity::Pressure,
            Field::Flow => Quantity::AirFlow,
            Field::Length => Quantity::Length,
            Field::Area => Quantity::Area,
            Field::Volume => Quantity::Volume,
            Field::Temperature => Quantity::Temperature,
            Field::Speed => Quantity::Speed,
            Field::Density => Quantity::Density,
            Field::AirChange => Quantity::AirChange,
        }
    }

    /// The unit typed numbers of this field are in.
    pub(super) fn unit(self, words: &Words) -> &'static Unit {
        let (quantity, usual) = (self.quantity(), words.unit_of(self.quantity()));
        match self {
            Field::Flow => words.unit_for(quantity, report::words::Show::usage(Usage::TestFlow)),
            Field::Barometer => {
                let symbol = if words.system() == System::Si { "hPa" } else { "inHg" };
                unit(symbol, quantity).unwrap_or(usual)
            }
            _ => usual,
        }
    }
}

/// Reads digits as typed: either decimal mark, a true minus, spaces between groups.
///
/// A lone comma is a decimal mark, as the pad types it in Spanish; `1,214.5` and `1.214,5` are read
/// by the mark that comes last.
pub(super) fn digits(text: &str) -> Option<f64> {
    let text: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    let plain = match (text.rfind(','), text.rfind('.')) {
        (Some(comma), Some(point)) if comma > point => text.replace('.', "").replace(',', "."),
        (Some(_), Some(_)) => text.replace(',', ""),
        (Some(_), None) => text.replace(',', "."),
        _ => text,
    };
    number(&plain).ok()
}

/// Whether a field holds something.
pub(super) fn is_typed(text: &str) -> bool {
    !text.trim().is_empty()
}

impl Draft {
    pub(super) fn words(&self) -> Words {
        Words::new(language(&self.language), system(&self.system))
    }

    pub(super) fn profile(&self) -> Option<&'static Profile> {
        Profile::by_id(self.profile.trim())
    }

    pub(super) fn direction(&self) -> Option<Direction> {
        match self.direction.trim() {
            "depressurise" => Some(Direction::Depressurise),
            "pressurise" => Some(Direction::Pressurise),
            _ => None,
        }
    }

    /// Whether the fan column holds pressures in the fan instead of flows.
    pub(super) fn fan_shows_pressure(&self) -> bool {
        self.fan.shows.trim() == "fan-pressure"
    }

    pub(super) fn fan_field(&self) -> Field {
        if self.fan_shows_pressure() { Field::Pressure } else { Field::Flow }
    }

    /// The date of the test, `2026-11-12`: of its beginning, else of `now`.
    pub(super) fn date(&self, now: &str) -> Option<String> {
        [self.created.as_str(), now].into_iter().find_map(date)
    }

    /// Mean of the typed baselines, house minus outdoors, Pa: of each side, then of both.
    pub(super) fn baseline_pa(&self) -> Option<f64> {
        let mean = |list: &[String]| {
            let values: Vec<f64> = list.iter().filter_map(|t| digits(t)).collect();
            (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
        };
        match (mean(&self.baseline_before), mean(&self.baseline_after)) {
            (Some(a), Some(b)) => Some(0.5 * (a + b)),
            (a, b) => a.or(b),
        }
    }

    /// What the baseline adds to a shown pressure along the direction, Pa; nothing where the gauge
    /// has taken it out.
    pub(super) fn offset_along_pa(&self) -> f64 {
        if self.gauge.baseline_subtracted {
            return 0.0;
        }
        let baseline_pa = self.baseline_pa().unwrap_or(0.0);
        match self.direction() {
            Some(Direction::Pressurise) => baseline_pa,
            _ => -baseline_pa,
        }
    }

    /// Stations with both numbers: place in the list, shown pressure without sign (Pa), fan (as shown).
    pub(super) fn whole_stations(&self) -> Vec<(usize, f64, f64)> {
        let both = |s: &Station| Some((digits(&s.house)?.abs(), digits(&s.fan)?));
        self.stations.iter().enumerate().filter_map(|(i, s)| both(s).map(|(p, q)| (i, p, q))).collect()
    }
}

/// The date in front of a text, if it is one.
pub(super) fn date(text: &str) -> Option<String> {
    let front: String = text.trim().chars().take(10).collect();
    let parts: Vec<&str> = front.split('-').collect();
    let all_digits = |p: &&str| p.chars().all(|c| c.is_ascii_digit());
    let [year, month, day] = parts.as_slice() else { return None };
    let fits = parts.iter().all(all_digits) && year.len() == 4 && month.len() == 2 && day.len() == 2;
    let (month, day) = (month.parse::<u32>().ok()?, day.parse::<u32>().ok()?);
    (fits && (1..=12).contains(&month) && (1..=31).contains(&day)).then_some(front)
}

pub(super) fn language(tag: &str) -> Language {
    Language::from_tag(tag.trim()).unwrap_or_default()
}

pub(super) fn system(name: &str) -> System {
    if name.trim().eq_ignore_ascii_case("SI") { System::Si } else { System::Ip }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_of_either_language() {
        let read = [
            ("1214", 1214.0),
            (" 1 214 ", 1214.0),
            ("50.5", 50.5),
            ("50,5", 50.5),
            ("1,214.5", 1214.5),
            ("1.214,5", 1214.5),
            ("\u{2212}2,5", -2.5),
        ];
        for (text, value) in read {
            assert_eq!(digits(text), Some(value), "{text}");
        }
        for text in ["", "-", "5o", "1..2", "inf", "NaN"] {
            assert_eq!(digits(text), None, "{text}");
        }
    }

    #[test]
    fn a_date_stands_in_front() {
        assert_eq!(date("2026-11-12T10:03:00Z").as_deref(), Some("2026-11-12"));
        assert_eq!(date("2026-11-12 10:03").as_deref(), Some("2026-11-12"));
        for text in ["", "12.11.2026", "2026-13-01", "2026-1-1", "write the date here", "../../etc"] {
            assert_eq!(date(text), None, "{text}");
        }
    }
}
