//! `visits/<date>/visit.toml`: what was read on one day, with which instrument, in which setup.
//!
//! Readings stand in the order in which they were taken. Each names only what was touched since
//! the reading before (`set = { bedroom_door = "shut" }`); the rest of the setup is inherited.

use super::read::{Grid, Tab, parse};
use super::{File, Sink, Sp};
use crate::units::{Accuracy, Quantity as Q};

/// What the flow display of an instrument shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum FlowBasis {
    /// The pressure in the fan; the user's calibration turns it into flow.
    FanPressure,
    /// Flow as if the air had the density of the calibration.
    CalibrationDensity,
    /// Flow of the air that is there.
    ActualDensity,
    /// Flow through the envelope, corrected for the temperatures already.
    ThroughEnvelope,
    /// Flow at the standard's reference conditions, fully corrected already.
    ReferenceConditions,
}

/// A user's calibration of a flow instrument: flow = k p^m at the calibration density.
#[derive(Clone, Debug, PartialEq)]
pub struct Calibration {
    /// Flow at 1 Pa, m3/s.
    pub k_m3_s: f64,
    /// Exponent.
    pub exponent: f64,
    /// Fan pressures for which it holds, Pa.
    pub span_pa: Option<(f64, f64)>,
    /// Points of a table instead: fan pressure Pa, flow m3/s.
    pub table: Option<Grid>,
}

/// What took readings.
#[derive(Clone, Debug, PartialEq)]
pub struct Instrument {
    /// The name other tables use.
    pub name: Sp<String>,
    /// The name people read.
    pub label: String,
    /// What it measures.
    pub measures: Q,
    /// Its stated accuracy (95 % limits).
    pub accuracy: Accuracy,
    /// Step of its display, SI.
    pub resolution: f64,
    /// Serial number.
    pub serial: Option<String>,
    /// Date of its calibration.
    pub calibrated: Option<String>,
    /// What a flow instrument shows.
    pub shows: FlowBasis,
    /// Density of its calibration, kg/m3.
    pub calibration_density_kg_m3: f64,
    /// Whether the gauge subtracts the baseline itself.
    pub baseline_subtracted: bool,
    /// A calibration typed by the user.
    pub calibration: Option<Calibration>,
}

/// Air and wind while the readings were taken.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Conditions {
    /// Indoors, K.
    pub indoor_k: Option<f64>,
    /// Outdoors, K.
    pub outdoor_k: Option<f64>,
    /// Relative humidity indoors.
    pub indoor_rh: Option<f64>,
    /// Relative humidity outdoors.
    pub outdoor_rh: Option<f64>,
    /// Barometric pressure, Pa.
    pub pressure_pa: Option<f64>,
    /// Wind, m/s, as felt on site.
    pub wind_m_s: Option<f64>,
    /// Other zones' temperatures, K.
    pub zones_k: Vec<(Sp<String>, f64)>,
}

/// Which way the test fan blows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Direction {
    /// Air is drawn out of the house.
    Depressurise,
    /// Air is blown into the house.
    Pressurise,
}

/// The words used in documents.
pub const DIRECTIONS: &[(&str, Direction)] =
    &[("depressurise", Direction::Depressurise), ("pressurise", Direction::Pressurise)];

/// Readings of an envelope test.
#[derive(Clone, Debug, PartialEq)]
pub struct EnvelopeTest {
    /// Its name.
    pub name: Sp<String>,
    /// Which standard's procedure.
    pub profile: Sp<String>,
    /// Which way the fan blows.
    pub direction: Direction,
    /// The zone the fan stands in.
    pub zone: Option<Sp<String>>,
    /// The gauge.
    pub pressure_with: Option<Sp<String>>,
    /// The fans that ran at once; none where no instrument is named.
    pub flow_with: Vec<Sp<String>>,
    /// True where the gauge shows outdoors minus house.
    pub reads_outdoors_minus_house: bool,
    /// Zero-flow pressures before, Pa.
    pub baseline_before: Option<Sp<Vec<f64>>>,
    /// Zero-flow pressures after, Pa.
    pub baseline_after: Option<Sp<Vec<f64>>>,
    /// Columns `house`; where recorded `house-sd` (its standard deviation) and `seconds` (how long it was
    /// averaged); and, a fan, `fan` or `fan-pressure` (then `fan-2` and so on), SI; see
    /// [`Visit::fan_columns`].
    pub stations: Option<Grid>,
    /// What was touched for it.
    pub set: Vec<(Sp<String>, Sp<String>)>,
    /// How each opening was prepared.
    pub prepared: Vec<(Sp<String>, Sp<String>)>,
    /// The preparation method the standard names.
    pub method: Option<String>,
    /// Where the table stands.
    pub span: crate::diag::Span,
}

/// What one reading is about.
#[derive(Clone, Debug, PartialEq)]
pub enum Subject {
    /// Pressure of one place against another.
    Pressure {
        /// Where it is felt.
        feels: Sp<String>,
        /// What it is compared with.
        compared_with: Sp<String>,
    },
    /// Flow of a fan, a register, the air handler or the test fan.
    Flow {
        /// Of what.
        of: Sp<String>,
    },
}

/// One reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Reading {
    /// What it is about.
    pub subject: Subject,
    /// Value, SI. Where `below` is set, the instrument's lower limit.
    pub value: Sp<f64>,
    /// The instrument showed less than it can read.
    pub below: bool,
    /// The instrument.
    pub with: Option<Sp<String>>,
    /// What was touched since the reading before.
    pub set: Vec<(Sp<String>, Sp<String>)>,
    /// When.
    pub time: Option<String>,
    /// Anything else.
    pub note: Option<String>,
    /// Where the table stands.
    pub span: crate::diag::Span,
}

/// What is known about fuel and combustion from this visit.
#[derive(Clone, Debug, PartialEq)]
pub struct Combustion {
    /// True where fuel is in or touches the house.
    pub fuel_present: bool,
    /// Who looked.
    pub looked_by: Option<Sp<String>>,
    /// Where.
    pub looked_where: Option<Sp<String>>,
    /// Spillage tests.
    pub spillage: Vec<Spillage>,
    /// Undiluted flue CO.
    pub flue_co: Vec<FlueCo>,
    /// A licensed person's word.
    pub sign_off: Option<SignOff>,
    /// A result stands here that could not be read; it was reported, and may have been a failed one.
    pub unreadable: bool,
    /// Where the table stands.
    pub span: crate::diag::Span,
}

/// A spillage test of one appliance.
#[derive(Clone, Debug, PartialEq)]
pub struct Spillage {
    /// Which appliance.
    pub appliance: Sp<String>,
    /// State of the house.
    pub house: String,
    /// How long flue gas spilled, s.
    pub spilled_s: Sp<f64>,
    /// The published limit, s.
    pub limit_s: Option<f64>,
    /// Where the limit stands.
    pub limit_source: Option<String>,
    /// Whether the user has confirmed it in the protocol's own text.
    pub limit_confirmed: bool,
}

/// Undiluted carbon monoxide in a flue.
#[derive(Clone, Debug, PartialEq)]
pub struct FlueCo {
    /// Which appliance.
    pub appliance: Sp<String>,
    /// Volume fraction.
    pub value: Sp<f64>,
    /// Air-free or as measured.
    pub air_free: bool,
    /// The published limit, on the basis `limit_air_free`.
    pub limit: Option<f64>,
    /// Basis of the limit.
    pub limit_air_free: bool,
    /// Where the limit stands.
    pub limit_source: Option<String>,
    /// Whether the user has confirmed it in the protocol's own text.
    pub limit_confirmed: bool,
}

/// A licensed person's recorded word that the work may go on without a result.
#[derive(Clone, Debug, PartialEq)]
pub struct SignOff {
    /// Who.
    pub who: String,
    /// Licence.
    pub licence: String,
    /// What was looked at.
    pub what: String,
}

/// The whole document.
#[derive(Clone, Debug, PartialEq)]
pub struct Visit {
    /// Folder of the visit, such as `visits/2026-11-12`.
    pub folder: String,
    /// Date.
    pub date: String,
    /// Air and wind.
    pub conditions: Conditions,
    /// Instruments.
    pub instruments: Vec<Instrument>,
    /// State of the house before the first reading.
    pub start: Vec<(Sp<String>, Sp<String>)>,
    /// Envelope tests.
    pub tests: Vec<EnvelopeTest>,
    /// Single readings, in the order taken.
    pub readings: Vec<Reading>,
    /// Fuel and combustion.
    pub combustion: Option<Combustion>,
}

/// Reads `visits/<date>/visit.toml`.
pub fn read(file: &File, sink: &Sink) -> Visit {
    let root = parse(&file.name, &file.text, sink);
    let top = Tab::top(&file.name, &root, sink);
    top.format();
    let date = top.need("date", top.text("date"));
    if let Some(date) = &date
        && date.value.parse::<jiff::civil::Date>().is_err()
    {
        top.say(
            crate::diag::Diagnostic::error(crate::diag::code::T013)
                .at(date.span.clone())
                .arg("found", date.value.as_str()),
        );
    }
    let mut visit = Visit {
        folder: file.name.rsplit_once('/').map_or("", |(folder, _)| folder).to_owned(),
        date: date.map_or_else(String::new, |d| d.value),
        conditions: top.table("conditions").map(|t| conditions(&t)).unwrap_or_default(),
        instruments: top.named("instrument").iter().filter_map(instrument).collect(),
        start: top.pairs("start"),
        tests: top.named("test").iter().filter_map(test).collect(),
        readings: top.list("reading").iter().filter_map(reading).collect(),
        combustion: top.table("combustion").and_then(|t| combustion(&t)),
    };
    let mut tests = std::mem::take(&mut visit.tests);
    tests.retain(|test| super::fans::check(&visit, test, sink));
    visit.tests = tests;
    visit
}

const AIR_TEMPERATURE: std::ops::RangeInclusive<f64> = 213.15..=343.15;

fn conditions(t: &Tab<'_, '_>) -> Conditions {
    let temperature = |key| t.bounded(key, Q::Temperature, AIR_TEMPERATURE).map(|k| k.value);
    let humidity = |key| t.bounded(key, Q::Fraction, 0.0..=1.0).map(|r| r.value);
    let zones = t.pairs("zones").into_iter().filter_map(|(name, text)| {
        match crate::units::parse(&text.value, Q::Temperature) {
            Ok(k) => Some((name, k.si)),
            Err(e) => {
                t.say(super::read::unit_diagnostic(e, Q::Temperature, &text.value).at(text.span));
                None
            }
        }
    });
    Conditions {
        zones_k: zones.collect(),
        indoor_k: temperature("indoor"),
        outdoor_k: temperature("outdoor"),
        indoor_rh: humidity("indoor_rh"),
        outdoor_rh: humidity("outdoor_rh"),
        pressure_pa: t.bounded("barometer", Q::Pressure, 4e4..=1.1e5).map(|p| p.value),
        wind_m_s: t.bounded("wind", Q::Speed, 0.0..=60.0).map(|w| w.value),
    }
}

fn instrument((name, t): &(Sp<String>, Tab<'_, '_>)) -> Option<Instrument> {
    let label = t.text("label").map_or_else(|| name.value.replace('_', " "), |l| l.value);
    let measures =
        t.need("measures", t.choice("measures", &[("pressure", Q::Pressure), ("air flow", Q::AirFlow)]));
    let quantity = measures.as_ref().map_or(Q::Pressure, |m| m.value);
    let accuracy = t.need("accuracy", t.accuracy("accuracy", quantity));
    let resolution = t.quantity("resolution", quantity);
    let serial = t.text("serial").map(|s| s.value);
    let calibrated = t.text("calibrated").map(|s| s.value);
    let shows = t.choice(
        "shows",
        &[
            ("fan pressure", FlowBasis::FanPressure),
            ("flow at calibration density", FlowBasis::CalibrationDensity),
            ("flow at actual density", FlowBasis::ActualDensity),
            ("flow through the envelope", FlowBasis::ThroughEnvelope),
            ("flow at reference conditions", FlowBasis::ReferenceConditions),
        ],
    );
    if quantity == Q::AirFlow && shows.is_none() {
        t.need::<()>("shows", None);
    }
    let density = t.bounded("calibration_density", Q::Density, 0.5..=2.0);
    let baseline = t.choice("baseline", &[("subtracted", true), ("not subtracted", false)]);
    let calibration = t.table("calibration").and_then(|c| calibration(&c));
    Some(Instrument {
        name: name.clone(),
        label,
        measures: measures?.value,
        accuracy: accuracy?.value,
        resolution: resolution.map_or(0.0, |r| r.value),
        serial,
        calibrated,
        shows: shows.map_or(FlowBasis::ActualDensity, |s| s.value),
        // US standard air, 0.075 lb/ft3, is what flow instruments are commonly calibrated for;
        // common practice, no source.
        calibration_density_kg_m3: density.map_or(1.2014, |d| d.value),
        baseline_subtracted: baseline.is_some_and(|b| b.value),
        calibration,
    })
}

fn calibration(t: &Tab<'_, '_>) -> Option<Calibration> {
    let table = t.grid("table", &[("pressure", Q::Pressure), ("flow", Q::AirFlow)]);
    let k = t.bounded("k", Q::AirFlow, 1e-9..=100.0);
    let exponent = t.number("exponent");
    let span = t.range("span", Q::Pressure);
    if table.is_some() {
        return Some(Calibration { k_m3_s: 0.0, exponent: 0.5, span_pa: span.map(|s| s.value), table });
    }
    let k = t.need("k", k);
    let exponent = t.need("exponent", exponent);
    Some(Calibration {
        k_m3_s: k?.value,
        exponent: exponent?.value,
        span_pa: span.map(|s| s.value),
        table: None,
    })
}

fn test((name, t): &(Sp<String>, Tab<'_, '_>)) -> Option<EnvelopeTest> {
    let profile = t.need("standard", t.text("standard"));
    let direction = t.need("direction", t.choice("direction", DIRECTIONS));
    let reads = t.choice("reads", &[("house minus outdoors", false), ("outdoors minus house", true)]);
    let stations = t.need(
        "stations",
        t.numbered_grid(
            "stations",
            &[("house", Q::Pressure), ("house-sd", Q::Pressure), ("seconds", Q::Number)],
            &[("fan-pressure", Q::Pressure), ("fan", Q::AirFlow)],
        ),
    );
    Some(EnvelopeTest {
        name: name.clone(),
        zone: t.text("zone"),
        pressure_with: t.text("pressure_with"),
        flow_with: t.text_or_texts("flow_with"),
        reads_outdoors_minus_house: reads.is_some_and(|r| r.value),
        baseline_before: t.quantities("baseline_before", Q::Pressure),
        baseline_after: t.quantities("baseline_after", Q::Pressure),
        stations,
        set: t.pairs("set"),
        prepared: t.pairs("prepared"),
        method: t.text("method").map(|m| m.value),
        span: t.span(),
        profile: profile?,
        direction: direction?.value,
    })
}

fn reading(t: &Tab<'_, '_>) -> Option<Reading> {
    let feels = t.text("feels");
    let compared = t.text("compared_with");
    let of = t.text("flow_of");
    let with = t.text("with");
    let set = t.pairs("set");
    let time = t.text("time").map(|s| s.value);
    let note = t.text("note").map(|s| s.value);
    let (subject, quantity) = match (feels, of) {
        (_, Some(of)) => (Some(Subject::Flow { of }), Q::AirFlow),
        (Some(feels), None) => {
            let compared = t.need("compared_with", compared);
            (compared.map(|c| Subject::Pressure { feels, compared_with: c }), Q::Pressure)
        }
        (None, None) => (t.need("feels", None), Q::Pressure),
    };
    let below = t.quantity("below", quantity);
    let value = match &below {
        Some(_) => {
            t.has("value").then(|| t.quantity("value", quantity));
            below.clone()
        }
        None => t.need("value", t.quantity("value", quantity)),
    };
    Some(Reading {
        subject: subject?,
        value: value?,
        below: below.is_some(),
        with,
        set,
        time,
        note,
        span: t.span(),
    })
}

fn combustion(t: &Tab<'_, '_>) -> Option<Combustion> {
    let fuel = t.need("fuel", t.choice("fuel", &[("present", true), ("none found", false)]));
    let looked_by = t.need("looked_by", t.text("looked_by"));
    let looked_where = t.need("looked_where", t.text("looked_where"));
    let (spilled, flues) = (t.list("spillage"), t.list("flue_co"));
    let spillage: Vec<Spillage> = spilled.iter().filter_map(spillage).collect();
    let flue_co: Vec<FlueCo> = flues.iter().filter_map(flue_co).collect();
    let unreadable = spillage.len() < spilled.len() || flue_co.len() < flues.len();
    let sign_off = t.table("sign_off").and_then(|s| {
        let word = |key| s.need(key, s.text(key)).map(|w| w.value);
        let (who, licence, what) = (word("who"), word("licence"), word("what"));
        Some(SignOff { who: who?, licence: licence?, what: what? })
    });
    Some(Combustion {
        fuel_present: fuel?.value,
        looked_by,
        looked_where,
        spillage,
        flue_co,
        sign_off,
        unreadable,
        span: t.span(),
    })
}

fn spillage(t: &Tab<'_, '_>) -> Option<Spillage> {
    let appliance = t.need("appliance", t.text("appliance"));
    let house = t.text("house").map_or_else(String::new, |h| h.value);
    let spilled = t.need("spilled_for", t.bounded("spilled_for", Q::Time, 0.0..=7200.0));
    let limit = t.bounded("limit", Q::Time, 0.0..=7200.0);
    let source = t.text("limit_source").map(|s| s.value);
    let confirmed = t.flag("limit_confirmed").unwrap_or(false);
    Some(Spillage {
        appliance: appliance?,
        house,
        spilled_s: spilled?,
        limit_s: limit.map(|l| l.value),
        limit_source: source,
        limit_confirmed: confirmed,
    })
}

fn flue_co(t: &Tab<'_, '_>) -> Option<FlueCo> {
    const BASES: &[(&str, bool)] = &[("air-free", true), ("as measured", false)];
    let appliance = t.need("appliance", t.text("appliance"));
    let value = t.need("value", t.bounded("value", Q::GasFraction, 0.0..=0.1));
    let basis = t.need("basis", t.choice("basis", BASES));
    let limit = t.bounded("limit", Q::GasFraction, 0.0..=0.1);
    let limit_basis = t.choice("limit_basis", BASES);
    let source = t.text("limit_source").map(|s| s.value);
    let confirmed = t.flag("limit_confirmed").unwrap_or(false);
    let air_free = basis?.value;
    Some(FlueCo {
        appliance: appliance?,
        value: value?,
        air_free,
        limit: limit.map(|l| l.value),
        limit_air_free: limit_basis.map_or(air_free, |b| b.value),
        limit_source: source,
        limit_confirmed: confirmed,
    })
}
