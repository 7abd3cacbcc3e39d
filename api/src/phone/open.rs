//! A job folder of a single test back into a draft.
//!
//! Tolerant: what another hand wrote is taken as far as a draft can hold it, in the job's display
//! units; what it cannot hold (a house, a second test, a calibration table) stays in the folder and
//! is not part of the draft.

use super::compose::{BEGUN_MARK, TEST_MARK, basement_words};
use super::draft::{Building, Conditions, Draft, Fan, Field, Gauge, Place, SHOWS, Station, Tester};
use super::prepare::read_back;
use crate::envelope_json;
use engine::diag::{Diagnostic, code};
use engine::doc::visit::{Direction, EnvelopeTest, FlowBasis, Instrument, Visit};
use engine::doc::{Documents, File, Sink, load};
use engine::units::{Accuracy, Unit, number};
use report::words::{Language, Words};
use serde_json::{Value, json};

/// Digits that a typed number may have; the rest is what conversion to SI and back leaves behind.
const DIGITS: usize = 10;

/// The envelope with `draft`, `null` where no envelope test is in the folder.
pub(super) fn open(files: &[File], language: Language) -> Value {
    let sink = Sink::default();
    let documents = load(files, &sink);
    let found = documents.visits.iter().rev().find_map(|v| v.tests.first().map(|t| (v, t)));
    let said = Language::from_tag(&documents.job.language).unwrap_or(language);
    let words = Words::new(said, documents.job.units);
    let draft = found.map(|(visit, test)| draft(&documents, visit, test, files, &words, &sink));
    let mut diagnostics = sink.into_inner();
    if found.is_some_and(|(visit, test)| holds_more(&documents, visit, test)) {
        diagnostics.push(Diagnostic::warning(code::D105));
    }
    if draft.is_none() {
        diagnostics.push(Diagnostic::error(code::D102));
    }
    let answer = Words::new(language, documents.job.units);
    envelope_json(&diagnostics.sorted(), files, &answer, draft.map_or(Value::Null, |d| json!({ "draft": d })))
}

/// Whether the folder says more than a draft can.
fn holds_more(documents: &Documents, visit: &Visit, test: &EnvelopeTest) -> bool {
    let c = &visit.conditions;
    documents.house.is_some()
        || documents.visits.iter().map(|v| v.tests.len() + v.readings.len()).sum::<usize>() > 1
        || c.indoor_rh.or(c.outdoor_rh).is_some()
        || test.method.is_some()
        || test.flow_with.len() > 1
        || visit.instruments.iter().any(|i| i.calibration.as_ref().is_some_and(|c| c.table.is_some()))
}

/// A number with the digits somebody may have typed.
fn typed(value: f64) -> String {
    let text = format!("{value:.*e}", DIGITS - 1);
    // Reading it again drops the zeros at its end.
    number(&text).map_or(text, |n| format!("{n}"))
}

fn in_unit(si: Option<f64>, unit: &Unit) -> String {
    si.map(|si| typed(unit.from_si(si))).unwrap_or_default()
}

fn accuracy(a: &Accuracy, unit: &Unit) -> String {
    let share = (a.relative > 0.0).then(|| format!("{} %", typed(a.relative * 100.0)));
    let fixed = (a.absolute > 0.0).then(|| format!("{} {}", typed(unit.from_si(a.absolute)), unit.symbol));
    match (share, fixed) {
        (Some(share), Some(fixed)) => format!("{share} {} {fixed}", if a.larger { "or" } else { "+" }),
        (share, fixed) => share.or(fixed).unwrap_or_default(),
    }
}

fn mark(files: &[File], what: &str) -> String {
    let job = files.iter().find(|f| f.name == "job.toml").map_or("", |f| f.text.as_str());
    let line = job.lines().find_map(|l| l.strip_prefix("# ")?.strip_prefix(what));
    line.unwrap_or_default().trim().to_owned()
}

fn draft(
    documents: &Documents,
    visit: &Visit,
    test: &EnvelopeTest,
    files: &[File],
    words: &Words,
    sink: &Sink,
) -> Draft {
    let job = &documents.job;
    let of = |name: Option<&engine::doc::Sp<String>>| {
        name.and_then(|n| visit.instruments.iter().find(|i| i.name.value == n.value))
    };
    let (gauge, fan) = (of(test.pressure_with.as_ref()), of(test.flow_with.first()));
    let text = |t: &Option<String>| t.clone().unwrap_or_default();
    let b = &job.building;
    let (basement, includes) = includes(b.includes.as_deref().unwrap_or(""), words);
    let begun = mark(files, BEGUN_MARK);
    Draft {
        id: mark(files, TEST_MARK),
        created: if begun.is_empty() { visit.date.clone() } else { begun },
        language: words.language().tag().to_owned(),
        system: if words.system() == engine::units::System::Si { "SI" } else { "IP" }.to_owned(),
        profile: crate::envelope::profile(&test.profile, sink).map_or("", |p| p.id).to_owned(),
        direction: if test.direction == Direction::Pressurise { "pressurise" } else { "depressurise" }
            .to_owned(),
        place: Place {
            name: text(&job.place.name),
            altitude: in_unit(job.place.altitude_m, Field::Length.unit(words)),
            limit: in_unit(job.place.limit_ach50_s.as_ref().map(|l| l.value), Field::AirChange.unit(words)),
            limit_source: text(&job.place.limit_source),
            limit_confirmed: job.place.limit_confirmed,
        },
        building: Building {
            volume: in_unit(b.volume_m3.as_ref().map(|v| v.value), Field::Volume.unit(words)),
            floor_area: in_unit(b.floor_area_m2.as_ref().map(|v| v.value), Field::Area.unit(words)),
            envelope_area: in_unit(b.envelope_area_m2.as_ref().map(|v| v.value), Field::Area.unit(words)),
            height: in_unit(b.height_m.as_ref().map(|v| v.value), Field::Length.unit(words)),
            basement,
            includes,
        },
        tester: Tester {
            name: text(&job.tester.name),
            credential: text(&job.tester.credential),
            firm: text(&job.tester.firm),
        },
        conditions: Conditions {
            indoor: in_unit(visit.conditions.indoor_k, Field::Temperature.unit(words)),
            outdoor: in_unit(visit.conditions.outdoor_k, Field::Temperature.unit(words)),
            wind: in_unit(visit.conditions.wind_m_s, Field::Speed.unit(words)),
            barometer: in_unit(visit.conditions.pressure_pa, Field::Barometer.unit(words)),
        },
        gauge: gauge.map(|g| gauge_of(g, words)).unwrap_or_default(),
        fan: fan.map(|f| fan_of(f, visit, words, files)).unwrap_or_default(),
        preparation: (test.prepared.iter()).map(|(k, v)| read_back(&k.value, &v.value, words)).collect(),
        baseline_before: samples(test, &test.baseline_before),
        baseline_after: samples(test, &test.baseline_after),
        stations: stations(test, words),
    }
}

fn includes(text: &str, words: &Words) -> (String, String) {
    for answer in ["in", "out", "none"] {
        let said = basement_words(answer, words).unwrap_or_default();
        if let Some(rest) = text.strip_prefix(&said) {
            return (answer.to_owned(), rest.trim_start_matches(';').trim().to_owned());
        }
    }
    (String::new(), text.to_owned())
}

/// A label that the writer put for want of one is not typed text.
fn label(instrument: &Instrument, key: &str, words: &Words) -> String {
    if instrument.label == words.say(key) { String::new() } else { instrument.label.clone() }
}

fn gauge_of(gauge: &Instrument, words: &Words) -> Gauge {
    Gauge {
        label: label(gauge, "phone-gauge", words),
        accuracy: accuracy(&gauge.accuracy, Field::Pressure.unit(words)),
        serial: gauge.serial.clone().unwrap_or_default(),
        calibrated: gauge.calibrated.clone().unwrap_or_default(),
        baseline_subtracted: gauge.baseline_subtracted,
    }
}

fn fan_of(fan: &Instrument, visit: &Visit, words: &Words, files: &[File]) -> Fan {
    let document = match fan.shows {
        FlowBasis::FanPressure => "fan pressure",
        FlowBasis::CalibrationDensity => "flow at calibration density",
        FlowBasis::ActualDensity => "flow at actual density",
        FlowBasis::ThroughEnvelope => "flow through the envelope",
        FlowBasis::ReferenceConditions => "flow at reference conditions",
    };
    let equation = fan.calibration.as_ref().filter(|c| c.table.is_none());
    // The reader fills in a density where none is written; a draft shows what was.
    let name = format!("{}/visit.toml", visit.folder);
    let wrote = files.iter().any(|f| f.name == name && f.text.contains("calibration_density"));
    Fan {
        label: label(fan, "phone-fan", words),
        accuracy: accuracy(&fan.accuracy, Field::Flow.unit(words)),
        serial: fan.serial.clone().unwrap_or_default(),
        calibrated: fan.calibrated.clone().unwrap_or_default(),
        shows: SHOWS.iter().find(|s| s.1 == document).map_or("", |s| s.0).to_owned(),
        calibration_density: in_unit(
            wrote.then_some(fan.calibration_density_kg_m3),
            Field::Density.unit(words),
        ),
        calibration_flow: in_unit(equation.map(|c| c.k_m3_s), Field::Flow.unit(words)),
        calibration_exponent: equation.map(|c| typed(c.exponent)).unwrap_or_default(),
    }
}

/// The sign that turns what the gauge shows into house minus outdoors.
fn sign(test: &EnvelopeTest) -> f64 {
    if test.reads_outdoors_minus_house { -1.0 } else { 1.0 }
}

fn samples(test: &EnvelopeTest, list: &Option<engine::doc::Sp<Vec<f64>>>) -> Vec<String> {
    list.iter().flat_map(|l| &l.value).map(|pa| typed(sign(test) * pa)).collect()
}

fn stations(test: &EnvelopeTest, words: &Words) -> Vec<Station> {
    let Some(grid) = &test.stations else { return Vec::new() };
    let at = |name: &str| grid.columns.iter().position(|c| c == name);
    let (house, flow, pressure) = (at("house"), at("fan"), at("fan-pressure"));
    let fan_unit = if flow.is_some() { Field::Flow.unit(words) } else { Field::Pressure.unit(words) };
    let cell = |row: &[f64], place: Option<usize>| place.and_then(|p| row.get(p)).copied();
    grid.rows
        .iter()
        .map(|row| Station {
            house: cell(&row.value, house).map(|pa| typed(pa.abs())).unwrap_or_default(),
            fan: in_unit(cell(&row.value, flow.or(pressure)), fan_unit),
        })
        .collect()
}
