//! `visits/<date>/visit.toml`: what was read on one day, with which instrument, in which setup.
//!
//! Readings stand in the order in which they were taken. Each names only what was touched since
//! the reading before (`set = { bedroom_door = "shut" }`); the rest of the setup is inherited.

use super::field::FieldTest;
use super::read::{Grid, Tab, parse};
use super::screen::Care;
use super::{File, Sink, Sp};
use crate::procedure::instrument::{self, Curve, CurvePoint};
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

/// A user's calibration of one range of a flow instrument.
#[derive(Clone, Debug, PartialEq)]
pub struct Calibration {
    /// The user's own name of the range; none where the instrument has one range only.
    pub name: Option<Sp<String>>,
    /// From the pressure in the fan (Pa) to flow (m3/s) at the calibration density.
    pub curve: Curve,
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
    /// Its stated accuracy (95 % limits), where it is known.
    pub accuracy: Option<Accuracy>,
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
    /// Calibrations typed by the user, one a range.
    pub calibrations: Vec<Calibration>,
}

impl Instrument {
    /// The calibrations with the density they were made at.
    pub fn calibrations_at_density(&self) -> Vec<instrument::Calibration> {
        let density_kg_m3 = self.calibration_density_kg_m3;
        let one = |c: &Calibration| instrument::Calibration { curve: c.curve.clone(), density_kg_m3 };
        self.calibrations.iter().map(one).collect()
    }
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

/// One sequence of stations of an envelope test in one direction.
#[derive(Clone, Debug, PartialEq)]
pub struct TestRun {
    /// Which way the fan blows.
    pub direction: Direction,
    /// Zero-flow pressures before, Pa, as written for this run.
    pub baseline_before: Option<Sp<Vec<f64>>>,
    /// Zero-flow pressures after, Pa, as written for this run.
    pub baseline_after: Option<Sp<Vec<f64>>>,
    /// Columns `house` and, a fan, `fan` or `fan-pressure` with perhaps `range` (then `fan-2` and so
    /// on), SI; see [`Visit::fan_columns`].
    pub stations: Option<Grid>,
}

/// Readings of an envelope test.
#[derive(Clone, Debug, PartialEq)]
pub struct EnvelopeTest {
    /// Its name.
    pub name: Sp<String>,
    /// Which standard's procedure.
    pub profile: Sp<String>,
    /// The zone the fan stands in.
    pub zone: Option<Sp<String>>,
    /// The gauge.
    pub pressure_with: Option<Sp<String>>,
    /// The fans that ran at once; none where no instrument is named.
    pub flow_with: Vec<Sp<String>>,
    /// True where the gauge shows outdoors minus house.
    pub reads_outdoors_minus_house: bool,
    /// In the order taken; at least one.
    pub runs: Vec<TestRun>,
    /// What was touched for it.
    pub set: Vec<(Sp<String>, Sp<String>)>,
    /// How each opening was prepared.
    pub prepared: Vec<(Sp<String>, Sp<String>)>,
    /// The preparation method the standard names.
    pub method: Option<String>,
    /// Readings that were asked about and that the tester said to be right, as sentences.
    pub confirmed: Vec<String>,
    /// Where the table stands.
    pub span: crate::diag::Span,
}

impl EnvelopeTest {
    /// Every baseline that was read, in the order taken.
    pub fn baselines(&self) -> Vec<&Sp<Vec<f64>>> {
        self.runs.iter().flat_map(|r| [&r.baseline_before, &r.baseline_after]).flatten().collect()
    }

    /// For each run the places in [`EnvelopeTest::baselines`] of the one nearest before its stations and
    /// the one nearest after them: where two runs follow each other, what was read between them
    /// belongs to both.
    pub fn baselines_of_runs(&self) -> Vec<[Option<usize>; 2]> {
        let given = self.runs.iter().map(|r| (r.baseline_before.is_some(), r.baseline_after.is_some()));
        let count = self.baselines().len();
        let mut read = 0;
        let mut out = Vec::with_capacity(self.runs.len());
        for (before, after) in given {
            read += usize::from(before);
            out.push([read.checked_sub(1), (read < count).then_some(read)]);
            read += usize::from(after);
        }
        out
    }
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
    /// Carbon monoxide in the room or gas at a level at which the work ends was found, or the hazard screen
    /// of the visit says stop.
    pub stopped: bool,
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

/// A photo.
#[derive(Clone, Debug, PartialEq)]
pub struct Photo {
    /// Path within the job folder or beside the visit, or the SHA-256 of an attachment.
    pub file: Sp<String>,
    /// What it shows.
    pub shows: Option<String>,
    /// The test it belongs to, where it belongs to one.
    pub test: Option<String>,
    /// When it was taken, as written.
    pub time: Option<String>,
    /// Where, as written.
    pub place: Option<String>,
}

/// The whole document.
#[derive(Clone, Debug, PartialEq)]
pub struct Visit {
    /// Folder of the visit, such as `visits/2026-11-12`.
    pub folder: String,
    /// Date.
    pub date: String,
    /// What it is for, in the tester's words.
    pub purpose: Option<String>,
    /// Who was there.
    pub people: Vec<String>,
    /// Photos taken on it.
    pub photos: Vec<Photo>,
    /// Air and wind.
    pub conditions: Conditions,
    /// Instruments.
    pub instruments: Vec<Instrument>,
    /// State of the house before the first reading.
    pub start: Vec<(Sp<String>, Sp<String>)>,
    /// Envelope tests.
    pub tests: Vec<EnvelopeTest>,
    /// Tests of every other kind, in the order of the file.
    pub field: Vec<FieldTest>,
    /// Single readings, in the order taken.
    pub readings: Vec<Reading>,
    /// Fuel and combustion.
    pub combustion: Option<Combustion>,
    /// A test with combustion results could not be read as a whole.
    pub lost_combustion: bool,
    /// What was looked at before anything was switched on, what was touched, put back and changed.
    pub care: Care,
    /// Where the visit shows what work came to: which plan was carried out, and which visit saw the
    /// house before it.
    pub test_out: Option<super::test_out::TestOut>,
}

/// Reads `visits/<date>/visit.toml`.
pub fn read(file: &File, sink: &Sink) -> Visit {
    let root = parse(&file.name, &file.text, sink);
    read_top(file, &Tab::top(&file.name, &root, sink), sink)
}

/// What the document can hold, as it is written now.
pub fn form(file: &File) -> Vec<super::form::Field> {
    let (form, sink) = (super::form::Form::default(), Sink::default());
    let root = parse(&file.name, &file.text, &sink);
    read_top(file, &Tab::top_with_form(&file.name, &root, &sink, &form), &sink);
    form.fields()
}

fn read_top(file: &File, top: &Tab<'_, '_>, sink: &Sink) -> Visit {
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
        purpose: top.text("purpose").map(|p| p.value),
        people: top.text_or_texts("people").into_iter().map(|p| p.value).collect(),
        photos: top.list("photo").iter().filter_map(photo).collect(),
        conditions: top.table("conditions").map(|t| conditions(&t)).unwrap_or_default(),
        instruments: top.named("instrument").iter().filter_map(instrument).collect(),
        start: top.pairs("start"),
        tests: Vec::new(),
        field: Vec::new(),
        readings: top.list("reading").iter().filter_map(reading).collect(),
        combustion: top.table("combustion").and_then(|t| combustion(&t)),
        lost_combustion: false,
        care: Care::default(),
        test_out: top.table("test_out").and_then(|t| super::test_out::read(&t)),
    };
    visit.care = super::screen::read(top, &visit.date);
    let (field, envelope): (Vec<_>, Vec<_>) = top
        .named("test")
        .into_iter()
        .partition(|(_, t)| t.text("kind").is_some_and(|k| k.value != "envelope"));
    for named in &field {
        let read = super::field::read(named);
        let held = read.as_ref().is_some_and(FieldTest::holds_combustion);
        visit.lost_combustion |= !held && lost_combustion(&named.1, read.is_none());
        visit.field.extend(read);
    }
    visit.lost_combustion |= envelope.iter().any(|(_, t)| lost_combustion(t, false));
    visit.tests =
        envelope.iter().filter_map(test).filter(|test| super::fans::check(&visit, test, sink)).collect();
    visit
}

fn photo(t: &Tab<'_, '_>) -> Option<Photo> {
    let file = t.need("file", t.text("file"));
    let text = |key: &'static str| t.text(key).map(|s| s.value);
    let (shows, test) = (text("shows"), text("test"));
    let (time, place) = (text("time"), text("where"));
    Some(Photo { file: file?, shows, test, time, place })
}

/// Whether combustion results stand in a table that was not read as what holds them: they may be failed
/// ones, whatever the kind was meant to be.
fn lost_combustion(t: &Tab<'_, '_>, unknown: bool) -> bool {
    let mine = ["spillage", "flue_co"].iter().any(|key| t.has(key));
    mine || (unknown && ["oven", "ambient", "gas"].iter().any(|key| t.has(key)))
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

/// What instruments measure, as written in documents.
pub(super) const MEASURED: &[(&str, Q)] = &[
    ("pressure", Q::Pressure),
    ("air flow", Q::AirFlow),
    ("air speed", Q::Speed),
    ("temperature", Q::Temperature),
    ("relative humidity", Q::Fraction),
    ("gas", Q::GasFraction),
    ("particles", Q::ParticleConcentration),
    ("moisture content", Q::Fraction),
    ("power", Q::Power),
    ("length", Q::Length),
];

fn instrument((name, t): &(Sp<String>, Tab<'_, '_>)) -> Option<Instrument> {
    let label = t.text("label").map_or_else(|| name.value.replace('_', " "), |l| l.value);
    let measures = t.need("measures", t.choice("measures", MEASURED));
    let quantity = measures.as_ref().map_or(Q::Pressure, |m| m.value);
    let accuracy = t.accuracy("accuracy", quantity);
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
    // Several ranges have names of the user's own.
    let calibrations = if t.has("range") {
        t.named("range").iter().filter_map(|(name, c)| calibration(Some(name.clone()), c)).collect()
    } else {
        t.table("calibration").and_then(|c| calibration(None, &c)).into_iter().collect()
    };
    Some(Instrument {
        name: name.clone(),
        label,
        measures: measures?.value,
        accuracy: accuracy.map(|a| a.value),
        resolution: resolution.map_or(0.0, |r| r.value),
        serial,
        calibrated,
        shows: shows.map_or(FlowBasis::ActualDensity, |s| s.value),
        // US standard air, 0.075 lb/ft3, is what flow instruments are commonly calibrated for;
        // common practice, no source.
        calibration_density_kg_m3: density.map_or(1.2014, |d| d.value),
        baseline_subtracted: baseline.is_some_and(|b| b.value),
        calibrations,
    })
}

fn calibration(name: Option<Sp<String>>, t: &Tab<'_, '_>) -> Option<Calibration> {
    if let Some(table) = t.grid("table", &[("pressure", Q::Pressure), ("flow", Q::AirFlow)]) {
        let column = |name| table.column(name).unwrap_or_default();
        let points = column("pressure").into_iter().zip(column("flow"));
        let points = points.map(|(fan_pa, flow_m3_s)| CurvePoint { fan_pa, flow_m3_s });
        // A table holds between its ends.
        return Some(Calibration { name, curve: Curve::Table(points.collect()) });
    }
    let k = t.need("k", t.bounded("k", Q::AirFlow, 1e-9..=100.0));
    let exponent = t.need("exponent", t.number("exponent"));
    let span_pa = t.range("span", Q::Pressure).map(|s| s.value);
    Some(Calibration { name, curve: Curve::Power { k_m3_s: k?.value, exponent: exponent?.value, span_pa } })
}

/// The runs of one station table: two where it holds both directions, told apart by the sign.
fn runs(t: &Tab<'_, '_>, outdoors_minus_house: bool) -> Vec<TestRun> {
    const WORDS: &[(&str, Option<Direction>)] = &[
        ("depressurise", Some(Direction::Depressurise)),
        ("pressurise", Some(Direction::Pressurise)),
        ("both", None),
    ];
    let direction = t.need("direction", t.choice("direction", WORDS));
    let baseline_before = t.quantities("baseline_before", Q::Pressure);
    let baseline_after = t.quantities("baseline_after", Q::Pressure);
    let stations = t.need(
        "stations",
        t.numbered_grid(
            "stations",
            &[("house", Q::Pressure), ("house-sd", Q::Pressure), ("seconds", Q::Number)],
            &[("fan-pressure", Q::Pressure), ("fan", Q::AirFlow)],
            &["range"],
        ),
    );
    let Some(direction) = direction else { return Vec::new() };
    if let Some(direction) = direction.value {
        return vec![TestRun { direction, baseline_before, baseline_after, stations }];
    }
    let house = stations.as_ref().and_then(|g| g.columns.iter().position(|c| c == "house"));
    let along = |wanted: Direction| {
        stations.as_ref().map(|g| {
            g.only(|row| {
                let shown_pa = house.and_then(|at| row.get(at)).copied().unwrap_or(0.0);
                let above = if outdoors_minus_house { shown_pa < 0.0 } else { shown_pa > 0.0 };
                above == (wanted == Direction::Pressurise)
            })
        })
    };
    let run = |direction, baseline_before, baseline_after| TestRun {
        direction,
        baseline_before,
        baseline_after,
        stations: along(direction),
    };
    let both = [
        run(Direction::Depressurise, baseline_before, None),
        run(Direction::Pressurise, None, baseline_after),
    ];
    both.into_iter().filter(|r| r.stations.as_ref().is_none_or(|g| !g.rows.is_empty())).collect()
}

fn test((name, t): &(Sp<String>, Tab<'_, '_>)) -> Option<EnvelopeTest> {
    let profile = t.need("standard", t.text("standard"));
    let reads = t.choice("reads", &[("house minus outdoors", false), ("outdoors minus house", true)]);
    let outdoors_minus_house = reads.is_some_and(|r| r.value);
    let mut all = runs(t, outdoors_minus_house);
    let first_is_there = !all.is_empty();
    all.extend(t.list("run").iter().flat_map(|run| runs(run, outdoors_minus_house)));
    let test = EnvelopeTest {
        name: name.clone(),
        zone: t.text("zone"),
        pressure_with: t.text("pressure_with"),
        flow_with: t.text_or_texts("flow_with"),
        reads_outdoors_minus_house: outdoors_minus_house,
        runs: all,
        set: t.pairs("set"),
        prepared: t.pairs("prepared"),
        method: t.text("method").map(|m| m.value),
        confirmed: t.texts("confirmed").into_iter().map(|c| c.value).collect(),
        span: t.span(),
        profile: profile?,
    };
    first_is_there.then_some(test)
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
        stopped: false,
        span: t.span(),
    })
}

/// Reads a spillage result; the keys are the same in `[combustion]` and in a test.
pub(in crate::doc) fn spillage(t: &Tab<'_, '_>) -> Option<Spillage> {
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

/// Bases of carbon monoxide in flue gas, true for air-free.
pub(in crate::doc) const BASES: &[(&str, bool)] = &[("air-free", true), ("as measured", false)];

/// Reads a flue CO result; the keys are the same in `[combustion]` and in a test.
pub(in crate::doc) fn flue_co(t: &Tab<'_, '_>) -> Option<FlueCo> {
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
