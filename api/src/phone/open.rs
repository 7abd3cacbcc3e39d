//! A job folder of a single test back into a draft.
//!
//! Tolerant: what another hand wrote is taken as far as a draft can hold it, in the job's display
//! units; what it cannot hold (a house, a second test, single readings) stays in the folder and
//! is not part of the draft.

use super::challenge::{challenges, sentence};
use super::compose::{BEGUN_MARK, TEST_MARK, basement_words};
use super::draft::{
    Building, Calibration, Conditions, Draft, Fan, Field, Firm, Gauge, Place, Point, SHOWS, Second, Station,
    Tester,
};
use super::prepare::read_back;
use crate::envelope_json;
use engine::diag::{Diagnostic, code};
use engine::doc::fans::{FanColumn, range as range_used};
use engine::doc::visit::{self, Direction, EnvelopeTest, FlowBasis, Instrument, TestRun, Visit};
use engine::doc::{Documents, File, Sink, load};
use engine::procedure::instrument::Curve;
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
    let draft = found.map(|(visit, test)| {
        let mut d = draft(&documents, visit, test, files, &words, &sink);
        d.accepted = accepted(&d, test, &words);
        d
    });
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
    // A draft has a run in one direction and one in the other, the first told by the direction.
    let turns = test.runs.windows(2).all(|pair| pair[0].direction != pair[1].direction);
    documents.house.is_some()
        || documents.visits.iter().map(|v| v.tests.len() + v.readings.len()).sum::<usize>() > 1
        || !visit.conditions.zones_k.is_empty()
        || test.method.is_some()
        || test.runs.len() > 2
        || !turns
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

fn accuracy(a: Option<Accuracy>, unit: &Unit) -> String {
    let Some(a) = a else { return String::new() };
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

/// The name that somebody gave a job; nothing where it is the one that a test without a place gets.
fn own_name(name: &str, date: &str, words: &Words) -> Option<String> {
    let usual = words.text("phone-job-name", &[("date", date.into())]);
    (!name.trim().is_empty() && name != usual).then(|| name.to_owned())
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
    let gauge = of(test.pressure_with.as_ref());
    let unnamed = test.flow_with.is_empty();
    let fans: Vec<Option<&Instrument>> = test.flow_with.iter().map(|name| of(Some(name))).collect();
    let second =
        test.runs.get(1).filter(|second| Some(second.direction) != test.runs.first().map(|r| r.direction));
    let first = test.runs.first();
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
        direction: match first.map(|r| r.direction) {
            Some(Direction::Pressurise) => "pressurise",
            _ => "depressurise",
        }
        .to_owned(),
        place: Place {
            name: text(&job.place.name.clone().or_else(|| own_name(&job.name, &visit.date, words))),
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
        tester: Tester { name: text(&job.tester.name), credential: text(&job.tester.credential) },
        firm: Firm {
            name: text(&job.firm.name.clone().or_else(|| job.tester.firm.clone())),
            address: job.firm.address.join("\n"),
            phone: text(&job.firm.phone),
            licence: text(&job.firm.licence),
        },
        conditions: Conditions {
            indoor: in_unit(visit.conditions.indoor_k, Field::Temperature.unit(words)),
            outdoor: in_unit(visit.conditions.outdoor_k, Field::Temperature.unit(words)),
            indoor_rh: in_unit(visit.conditions.indoor_rh, Field::Humidity.unit(words)),
            outdoor_rh: in_unit(visit.conditions.outdoor_rh, Field::Humidity.unit(words)),
            wind: in_unit(visit.conditions.wind_m_s, Field::Speed.unit(words)),
            barometer: in_unit(visit.conditions.pressure_pa, Field::Barometer.unit(words)),
        },
        gauge: gauge.map(|g| gauge_of(g, words)).unwrap_or_default(),
        fans: if unnamed {
            vec![Fan::default()]
        } else {
            let one = |(at, fan): (usize, &Option<&Instrument>)| {
                fan.map(|f| fan_of(f, at, visit, words, files)).unwrap_or_default()
            };
            fans.iter().enumerate().map(one).collect()
        },
        preparation: (test.prepared.iter()).map(|(k, v)| read_back(&k.value, &v.value, words)).collect(),
        baseline_before: first.map(|r| samples(test, &r.baseline_before)).unwrap_or_default(),
        baseline_after: first.map(|r| samples(test, &r.baseline_after)).unwrap_or_default(),
        stations: first.map(|r| stations(r, test, visit, words)).unwrap_or_default(),
        second: second.map(|r| Second {
            baseline_before: samples(test, &r.baseline_before),
            baseline_after: samples(test, &r.baseline_after),
            stations: stations(r, test, visit, words),
        }),
        accepted: Vec::new(),
    }
}

/// An envelope test of a whole job as a draft: what is typed next is asked about as in a test alone.
pub(super) fn of_job(
    documents: &Documents,
    visit: &Visit,
    test: &EnvelopeTest,
    files: &[File],
    words: &Words,
) -> Draft {
    let mut d = draft(documents, visit, test, files, words, &Sink::default());
    tidy(&mut d);
    d.id = test.name.value.clone();
    d.created = visit.date.clone();
    // A question may have been answered on a phone of the other language.
    for language in Language::ALL {
        let said = accepted(&d, test, &Words::new(language, words.system()));
        d.accepted.extend(said.into_iter().filter(|mark| !d.accepted.contains(mark)).collect::<Vec<_>>());
    }
    d
}

/// Significant digits that nobody types: a number that has them was typed in another unit.
const CONVERTED: usize = 9;

/// Readings that were typed in other units, with the digits that a person can read. Digits that nobody touches stay in
/// the document as they were written there.
fn tidy(d: &mut Draft) {
    let converted = |text: &str| {
        let digits = text.trim_start_matches(['-', '0', '.']).chars().filter(char::is_ascii_digit).count();
        (digits >= CONVERTED).then(|| number(text).ok()).flatten()
    };
    let five = |text: &mut String| {
        if let Some(value) = converted(text) {
            *text = number(&format!("{value:.4e}")).map_or_else(|_| text.clone(), |n| format!("{n}"));
        }
    };
    let mut stations: Vec<&mut Station> = d.stations.iter_mut().collect();
    stations.extend(d.second.iter_mut().flat_map(|s| s.stations.iter_mut()));
    for station in stations {
        five(&mut station.house);
        station.fans.iter_mut().for_each(five);
    }
    for text in [&mut d.conditions.indoor, &mut d.conditions.outdoor] {
        if let Some(value) = converted(text) {
            *text = format!("{}", (value * 10.0).round() / 10.0);
        }
    }
    [&mut d.conditions.wind, &mut d.conditions.barometer].into_iter().for_each(five);
}

/// Marks of the questions whose sentences the folder holds as confirmed.
fn accepted(draft: &Draft, test: &EnvelopeTest, words: &Words) -> Vec<String> {
    if test.confirmed.is_empty() {
        return Vec::new();
    }
    let asked = challenges(draft, "", words).into_iter();
    asked.filter(|c| test.confirmed.contains(&sentence(c, draft, words))).map(|c| c.mark).collect()
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
fn label(instrument: &Instrument, usual: &str) -> String {
    if instrument.label == usual { String::new() } else { instrument.label.clone() }
}

fn gauge_of(gauge: &Instrument, words: &Words) -> Gauge {
    Gauge {
        label: label(gauge, &words.say("phone-gauge")),
        accuracy: accuracy(gauge.accuracy, Field::Pressure.unit(words)),
        serial: gauge.serial.clone().unwrap_or_default(),
        calibrated: gauge.calibrated.clone().unwrap_or_default(),
        baseline_subtracted: gauge.baseline_subtracted,
    }
}

fn fan_of(fan: &Instrument, at: usize, visit: &Visit, words: &Words, files: &[File]) -> Fan {
    let document = match fan.shows {
        FlowBasis::FanPressure => "fan pressure",
        FlowBasis::CalibrationDensity => "flow at calibration density",
        FlowBasis::ActualDensity => "flow at actual density",
        FlowBasis::ThroughEnvelope => "flow through the envelope",
        FlowBasis::ReferenceConditions => "flow at reference conditions",
    };
    // The reader fills in a density where none is written; a draft shows what was.
    let name = format!("{}/visit.toml", visit.folder);
    let wrote = files.iter().any(|f| f.name == name && f.text.contains("calibration_density"));
    let usual = words.say("phone-fan");
    Fan {
        label: label(fan, &if at == 0 { usual } else { format!("{usual} {}", at + 1) }),
        accuracy: accuracy(fan.accuracy, Field::Flow.unit(words)),
        serial: fan.serial.clone().unwrap_or_default(),
        calibrated: fan.calibrated.clone().unwrap_or_default(),
        shows: SHOWS.iter().find(|s| s.1 == document).map_or("", |s| s.0).to_owned(),
        calibration_density: in_unit(
            wrote.then_some(fan.calibration_density_kg_m3),
            Field::Density.unit(words),
        ),
        calibrations: fan.calibrations.iter().map(|c| calibration(c, words)).collect(),
    }
}

fn calibration(c: &visit::Calibration, words: &Words) -> Calibration {
    let name = c.name.as_ref().map(|n| n.value.clone()).unwrap_or_default();
    let unit = Field::Flow.unit(words);
    match &c.curve {
        Curve::Power { k_m3_s, exponent, span_pa } => Calibration {
            name,
            kind: "equation".to_owned(),
            flow: in_unit(Some(*k_m3_s), unit),
            exponent: typed(*exponent),
            low: span_pa.map(|s| typed(s.0)).unwrap_or_default(),
            high: span_pa.map(|s| typed(s.1)).unwrap_or_default(),
            ..Calibration::default()
        },
        Curve::Table(points) => Calibration {
            name,
            kind: "table".to_owned(),
            points: points
                .iter()
                .map(|p| Point { pressure: typed(p.fan_pa), flow: in_unit(Some(p.flow_m3_s), unit) })
                .collect(),
            ..Calibration::default()
        },
    }
}

/// The sign that turns what the gauge shows into house minus outdoors.
fn sign(test: &EnvelopeTest) -> f64 {
    if test.reads_outdoors_minus_house { -1.0 } else { 1.0 }
}

fn samples(test: &EnvelopeTest, list: &Option<engine::doc::Sp<Vec<f64>>>) -> Vec<String> {
    list.iter().flat_map(|l| &l.value).map(|pa| typed(sign(test) * pa)).collect()
}

fn stations(run: &TestRun, test: &EnvelopeTest, visit: &Visit, words: &Words) -> Vec<Station> {
    let Some(grid) = &run.stations else { return Vec::new() };
    let house = grid.columns.iter().position(|c| c == "house");
    let columns = visit.fan_columns(test, run);
    let fan = |at: usize| test.flow_with.get(at).and_then(|name| visit.instrument(&name.value));
    let cell = |row: &[f64], place: Option<usize>| place.and_then(|p| row.get(p)).copied();
    let station = |(at, row): (usize, &engine::doc::Sp<Vec<f64>>)| {
        let shown = |column: &FanColumn| {
            let field = if column.holds_pressure { Field::Pressure } else { Field::Flow };
            in_unit(cell(&row.value, Some(column.at)), field.unit(words))
        };
        let range = |(i, column): (usize, &FanColumn)| {
            let several = fan(i).is_some_and(|f| f.calibrations.len() > 1) && column.holds_pressure;
            let sealed = cell(&row.value, Some(column.at)) == Some(0.0);
            let used = if several && !sealed { range_used(fan(i), column, grid, at) } else { None };
            used.map(|n| (n + 1).to_string()).unwrap_or_default()
        };
        let ranges: Vec<String> = columns.iter().enumerate().map(range).collect();
        Station {
            house: cell(&row.value, house).map(|pa| typed(pa.abs())).unwrap_or_default(),
            fans: columns.iter().map(shown).collect(),
            ranges: if ranges.iter().all(String::is_empty) { Vec::new() } else { ranges },
        }
    };
    grid.rows.iter().enumerate().map(station).collect()
}
