//! One test as typed on a phone, field by field, and what of it can be read as a number.
//!
//! Everything is text as typed; an empty text was not entered. A number whose unit the column fixes
//! is bare digits, with the decimal mark of either language.

use engine::procedure::envelope::Profile;
use engine::procedure::instrument::{self, Curve, CurvePoint, Direction};
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
}

/// The letterhead.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Firm {
    pub(super) name: String,
    /// Lines, parted by line breaks.
    pub(super) address: String,
    pub(super) phone: String,
    pub(super) licence: String,
}

/// Air and wind, in the display units.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Conditions {
    pub(super) indoor: String,
    pub(super) outdoor: String,
    /// Relative humidities, %.
    pub(super) indoor_rh: String,
    pub(super) outdoor_rh: String,
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
    /// One a range; only where the fan shows its pressure.
    pub(super) calibrations: Vec<Calibration>,
}

/// A point of a calibration table: Pa, flow.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Point {
    pub(super) pressure: String,
    pub(super) flow: String,
}

/// The calibration of one range of a fan.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Calibration {
    /// The user's own name of the range.
    pub(super) name: String,
    /// `table`, else an equation.
    pub(super) kind: String,
    /// Flow at 1 Pa of fan pressure.
    pub(super) flow: String,
    pub(super) exponent: String,
    /// Lowest and highest fan pressure it holds for, Pa.
    pub(super) low: String,
    pub(super) high: String,
    pub(super) points: Vec<Point>,
}

impl Calibration {
    pub(super) fn is_table(&self) -> bool {
        self.kind.trim() == "table"
    }

    /// Points with both numbers, by pressure.
    pub(super) fn numbers(&self) -> Vec<(f64, f64)> {
        let both = |p: &Point| Some((digits(&p.pressure)?, digits(&p.flow)?));
        let mut list: Vec<(f64, f64)> = self.points.iter().filter_map(both).collect();
        list.sort_by(|a, b| a.0.total_cmp(&b.0));
        list
    }

    /// Whether everything is there.
    pub(super) fn is_typed(&self) -> bool {
        if self.is_table() {
            return self.numbers().len() >= 2;
        }
        is_typed(&self.flow) && is_typed(&self.exponent)
    }

    /// Fan pressures for which it holds, Pa.
    pub(super) fn span_pa(&self) -> Option<(f64, f64)> {
        if self.is_table() {
            let points = self.numbers();
            return Some((points.first()?.0, points.last()?.0));
        }
        Some((digits(&self.low)?, digits(&self.high)?))
    }

    /// The calibration as numbers, flows in the unit they were typed in.
    fn curve(&self) -> Option<Curve> {
        if self.is_table() {
            let points = self.numbers().into_iter();
            return Some(Curve::Table(
                points.map(|(fan_pa, flow_m3_s)| CurvePoint { fan_pa, flow_m3_s }).collect(),
            ));
        }
        let (k_m3_s, exponent) = (digits(&self.flow)?, digits(&self.exponent)?);
        // Whether a reading lies within its span is asked elsewhere.
        Some(Curve::Power { k_m3_s, exponent, span_pa: None })
    }

    /// Flow in the unit of its own numbers.
    fn flow(&self, shown_pa: f64) -> Option<f64> {
        let calibration = instrument::Calibration { curve: self.curve()?, density_kg_m3: 1.2 };
        calibration.is_usable().then(|| calibration.flow_m3_s(shown_pa).ok()).flatten()
    }
}

impl Fan {
    pub(super) fn shows_pressure(&self) -> bool {
        self.shows.trim() == "fan-pressure"
    }

    pub(super) fn field(&self) -> Field {
        if self.shows_pressure() { Field::Pressure } else { Field::Flow }
    }

    /// Whether a station has to say its range.
    pub(super) fn has_ranges(&self) -> bool {
        self.shows_pressure() && self.calibrations.len() > 1
    }

    /// Names of the ranges, each of its own; a number where none was typed.
    pub(super) fn range_names(&self) -> Vec<String> {
        let mut names: Vec<String> = Vec::new();
        for (at, c) in self.calibrations.iter().enumerate() {
            let typed = c.name.trim();
            let mut name = if typed.is_empty() { (at + 1).to_string() } else { typed.to_owned() };
            while names.contains(&name) {
                name += "'";
            }
            names.push(name);
        }
        names
    }

    /// The calibration of a range as a station names it: its number, from 1.
    pub(super) fn range(&self, typed: &str) -> Option<&Calibration> {
        if !self.has_ranges() {
            return self.calibrations.first();
        }
        self.calibrations.get(typed.trim().parse::<usize>().ok()?.checked_sub(1)?)
    }
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
    /// One a fan: flow, or Pa where the fan shows its pressure.
    pub(super) fans: Vec<String>,
    /// One a fan: number of the range, from 1, where the fan has several.
    pub(super) ranges: Vec<String>,
}

impl Station {
    pub(super) fn fan(&self, fan: usize) -> &str {
        self.fans.get(fan).map_or("", String::as_str)
    }

    pub(super) fn range(&self, fan: usize) -> &str {
        self.ranges.get(fan).map_or("", String::as_str)
    }

    pub(super) fn is_begun(&self) -> bool {
        is_typed(&self.house) || self.fans.iter().any(|f| is_typed(f))
    }
}

/// The run in the other direction.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Second {
    pub(super) baseline_before: Vec<String>,
    pub(super) baseline_after: Vec<String>,
    pub(super) stations: Vec<Station>,
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
    pub(super) firm: Firm,
    pub(super) conditions: Conditions,
    pub(super) gauge: Gauge,
    /// All that run at once, in the order of a station's numbers.
    pub(super) fans: Vec<Fan>,
    pub(super) preparation: Vec<Prepared>,
    /// Pa, house minus outdoors.
    pub(super) baseline_before: Vec<String>,
    pub(super) baseline_after: Vec<String>,
    pub(super) stations: Vec<Station>,
    /// A run in the other direction, taken after the first.
    pub(super) second: Option<Second>,
    /// Marks of the questions that the tester answered with "it is right".
    pub(super) accepted: Vec<String>,
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
    Humidity,
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
        ("humidity", Field::Humidity),
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
            Field::Humidity => Quantity::Fraction,
        }
    }

    /// The unit typed numbers of this field are in.
    pub(super) fn unit(self, words: &Words) -> &'static Unit {
        let (quantity, usual) = (self.quantity(), words.unit_of(self.quantity()));
        match self {
            Field::Flow => words.unit_for(quantity, report::words::Show::usage(Usage::TestFlow)),
            Field::Barometer => words.unit_for(quantity, report::words::Show::usage(Usage::Barometer)),
            Field::Humidity => unit("%", quantity).unwrap_or(usual),
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

    /// Whether the numbers of [`Draft::whole_stations`] are pressures in the fan instead of flows.
    pub(super) fn fan_shows_pressure(&self) -> bool {
        matches!(self.fans.as_slice(), [only] if only.shows_pressure() && !only.has_ranges())
    }

    pub(super) fn fan_field(&self) -> Field {
        if self.fan_shows_pressure() { Field::Pressure } else { Field::Flow }
    }

    /// The direction of the second run.
    pub(super) fn other_direction(&self) -> &'static str {
        match self.direction() {
            Some(Direction::Pressurise) => "depressurise",
            Some(Direction::Depressurise) => "pressurise",
            None => "",
        }
    }

    /// Each direction as a draft of its own, with the baselines that its stations stand between: what was
    /// read between two runs belongs to both.
    pub(super) fn runs(&self) -> Vec<Draft> {
        let Some(second) = &self.second else { return vec![self.clone()] };
        let or = |own: &Vec<String>, other: &Vec<String>| {
            if own.iter().any(|t| is_typed(t)) { own.clone() } else { other.clone() }
        };
        let first = Draft {
            baseline_after: or(&self.baseline_after, &second.baseline_before),
            second: None,
            ..self.clone()
        };
        let second = Draft {
            direction: self.other_direction().to_owned(),
            baseline_before: or(&second.baseline_before, &self.baseline_after),
            baseline_after: second.baseline_after.clone(),
            stations: second.stations.clone(),
            second: None,
            ..self.clone()
        };
        vec![first, second]
    }

    /// Stations of every run.
    pub(super) fn all_stations(&self) -> impl Iterator<Item = &Station> {
        self.stations.iter().chain(self.second.iter().flat_map(|s| &s.stations))
    }

    /// Whether everything of a station is there: its pressure, every fan, and the range where a fan that
    /// ran has several.
    pub(super) fn is_whole(&self, s: &Station) -> bool {
        let fan = |(at, fan): (usize, &Fan)| {
            let shown = s.fan(at);
            let named = !fan.has_ranges() || fan.range(s.range(at)).is_some() || digits(shown) == Some(0.0);
            is_typed(shown) && named
        };
        is_typed(&s.house) && self.fans.iter().enumerate().all(fan)
    }

    /// What the fans moved, as one number: the only fan's own as it shows it, else the flow.
    fn moved(&self, s: &Station) -> Option<f64> {
        if let [only] = self.fans.as_slice()
            && !only.has_ranges()
        {
            return digits(s.fan(0));
        }
        let of = |(at, fan): (usize, &Fan)| {
            let shown = digits(s.fan(at))?;
            if !fan.shows_pressure() || shown == 0.0 {
                return Some(shown);
            }
            fan.range(s.range(at))?.flow(shown)
        };
        self.fans.iter().enumerate().map(of).sum()
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

    /// Whole stations: place in the list, shown pressure without sign (Pa), what the fans moved.
    pub(super) fn whole_stations(&self) -> Vec<(usize, f64, f64)> {
        let both = |s: &Station| Some((digits(&s.house)?.abs(), self.moved(s)?));
        let whole = self.stations.iter().enumerate().filter(|(_, s)| self.is_whole(s));
        whole.filter_map(|(i, s)| both(s).map(|(p, q)| (i, p, q))).collect()
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

pub(crate) fn language(tag: &str) -> Language {
    Language::from_tag(tag.trim()).unwrap_or_default()
}

pub(crate) fn system(name: &str) -> System {
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
