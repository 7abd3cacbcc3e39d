//! Readings and series as SenML in JSON (RFC 8428), in units of its registry and of the secondary one
//! (RFC 8798).
//!
//! A record needs a time that is the same everywhere: the date of the visit, the time noted last, and the
//! zone of the place (or the standard time of its weather). Where one of them is missing the reading is
//! left out and named.

use super::readings::{self, Taken, unit_of};
use crate::{File, Job, zone};
use engine::doc::{Sink, series};
use engine::units::Quantity as Q;
use jiff::civil;
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;

/// What was made.
#[derive(Default)]
pub(super) struct Made {
    pub(super) files: Vec<File>,
    pub(super) records: usize,
    /// Readings without a unit of the registry, by quantity.
    pub(super) without_unit: Vec<String>,
    /// Visits and series without a whole time.
    pub(super) without_time: Vec<String>,
}

/// Symbol of the registry for a quantity, and what an SI value is divided by (after the offset is taken
/// off) to be in it. From memory of both registries; `docs/EXCHANGE.md` lists them.
fn unit(quantity: Q, is_humidity: bool) -> Option<(&'static str, f64, f64)> {
    Some(match quantity {
        Q::Pressure | Q::StaticPressure => ("Pa", 1.0, 0.0),
        Q::AirFlow | Q::GasFlow => ("m3/s", 1.0, 0.0),
        Q::Temperature => ("Cel", 1.0, 273.15),
        Q::TemperatureDifference => ("K", 1.0, 0.0),
        Q::Fraction if is_humidity => ("%RH", 0.01, 0.0),
        Q::Fraction | Q::Number | Q::Index => ("/", 1.0, 0.0),
        Q::GasFraction => ("ppm", 1e-6, 0.0),
        Q::ParticleConcentration => ("ug/m3", 1e-9, 0.0),
        Q::Density | Q::VapourConcentration => ("kg/m3", 1.0, 0.0),
        Q::Speed | Q::DuctSpeed => ("m/s", 1.0, 0.0),
        Q::Power | Q::HeatFlow => ("W", 1.0, 0.0),
        Q::Energy => ("J", 1.0, 0.0),
        Q::Length => ("m", 1.0, 0.0),
        Q::Area => ("m2", 1.0, 0.0),
        Q::Volume => ("m3", 1.0, 0.0),
        Q::Mass => ("kg", 1.0, 0.0),
        Q::Time => ("s", 1.0, 0.0),
        Q::AirChange => ("1/s", 1.0, 0.0),
        Q::Angle => ("rad", 1.0, 0.0),
        _ => return None,
    })
}

/// A name as the RFC allows it (4.5.1): letters, digits, `-:./_`, the first a letter or digit.
fn name(text: &str) -> String {
    let allowed = |c: char| c.is_ascii_alphanumeric() || "-:./_".contains(c);
    let plain: String = text.trim().chars().map(|c| if allowed(c) { c } else { '_' }).collect();
    let plain = plain.trim_start_matches(|c: char| !c.is_ascii_alphanumeric());
    if plain.is_empty() { "x".to_owned() } else { plain.to_lowercase() }
}

/// How local times of this job become times of the world.
enum Clock {
    Zone(jiff::tz::TimeZone),
    Hours(f64),
}

impl Clock {
    fn of(job: &Job) -> Option<Clock> {
        let named = job.documents.job.place.time_zone.as_ref().and_then(zone::known);
        named.map(Clock::Zone).or_else(|| job.weather.as_ref().map(|w| Clock::Hours(w.utc_offset_h)))
    }

    /// Seconds since 1970 UTC.
    fn time_s(&self, local: civil::DateTime) -> Option<f64> {
        match self {
            Clock::Zone(zone) => {
                Some(zone.to_ambiguous_timestamp(local).compatible().ok()?.as_second() as f64)
            }
            Clock::Hours(hours) => {
                let utc = jiff::tz::TimeZone::UTC.to_timestamp(local).ok()?;
                Some(utc.as_second() as f64 - hours * 3600.0)
            }
        }
    }
}

/// A noted time such as `10:40`, `10:40:30`, or a date and a time.
fn local(date: &str, time: &str) -> Option<civil::DateTime> {
    let time = time.trim();
    time.replace(' ', "T").parse().ok().or_else(|| {
        let day: civil::Date = date.parse().ok()?;
        let hour: civil::Time = time.parse().ok()?;
        Some(day.to_datetime(hour))
    })
}

/// Name of a reading within its visit.
fn reading_name(r: &Taken) -> String {
    let part = match r.kind.as_str() {
        "reading" if !r.feels.is_empty() => format!("{}.{}", r.feels, r.compared_with),
        "reading" => format!("{}.flow", r.of),
        _ if r.test.is_empty() => format!("{}.{}", r.kind, r.item),
        _ => format!("{}/{}", r.test, r.item),
    };
    if r.number > 0 && r.kind != "reading" { format!("{part}.{}", r.number) } else { part }
}

/// All files.
pub(super) fn write(job: &Job, files: &[File]) -> Made {
    let mut made = Made::default();
    let clock = Clock::of(job);
    let base = name(&job.documents.job.name);
    let all = readings::all(files);
    let mut pack: Vec<Value> = Vec::new();
    let mut base_now = (String::new(), -1.0);
    let mut twice: BTreeMap<String, usize> = BTreeMap::new();
    // A visit whose single readings carry times gives the first of them to its tests.
    let first_time =
        |visit: &str| all.iter().find(|r| r.visit == visit && !r.time.is_empty()).map(|r| r.time.clone());
    for r in &all {
        let humid = r.item.ends_with("rh") || r.item.contains("humidity");
        let Some((symbol, factor, offset)) = unit(r.quantity, humid) else {
            note(&mut made.without_unit, &quantity_name(r.quantity));
            continue;
        };
        let time = Some(r.time.clone()).filter(|t| !t.is_empty()).or_else(|| first_time(&r.visit));
        let at = time.and_then(|t| local(&r.date, &t)).zip(clock.as_ref()).and_then(|(l, c)| c.time_s(l));
        let Some(at) = at else {
            note(&mut made.without_time, &r.visit);
            continue;
        };
        let mut record = Map::new();
        let visit = format!("{base}/{}/", name(r.visit.trim_start_matches("visits/")));
        if base_now != (visit.clone(), at) {
            record.insert("bn".to_owned(), json!(visit));
            record.insert("bt".to_owned(), json!(at));
            base_now = (visit.clone(), at);
        }
        // Two values of one name at one time would be one record sent twice.
        let mut own = name(&reading_name(r));
        let seen = twice.entry(format!("{visit}{own} {at}")).or_default();
        *seen += 1;
        if *seen > 1 {
            own = format!("{own}.{seen}");
        }
        record.insert("n".to_owned(), json!(own));
        record.insert("u".to_owned(), json!(symbol));
        record.insert("v".to_owned(), json!(tidy((r.unit.to_si(r.value) - offset) / factor)));
        pack.push(Value::Object(record));
    }
    if !pack.is_empty() {
        made.records += pack.len();
        made.files.push(File { name: "export/readings.senml.json".to_owned(), text: lines(&pack) });
    }
    let place = &job.documents.job.place;
    let weather: Vec<&str> =
        [&place.weather, &place.particles].into_iter().flatten().map(|s| s.value.as_str()).collect();
    let is_series = |f: &&File| {
        f.name.ends_with(".csv")
            && !weather.contains(&f.name.as_str())
            && !["rules/", "out/"].iter().any(|p| f.name.starts_with(p))
    };
    for file in files.iter().filter(is_series) {
        one_series(file, &base, clock.as_ref(), &mut made);
    }
    made
}

fn one_series(file: &File, base: &str, clock: Option<&Clock>, made: &mut Made) {
    let quiet = Sink::default();
    let Some(read) = series::read(file, &quiet) else { return };
    let utc = Clock::Hours(0.0);
    let clock = if read.utc { Some(&utc) } else { clock };
    let Some(start) = read.start.zip(clock).and_then(|(local, c)| c.time_s(local)) else {
        note(&mut made.without_time, &file.name);
        return;
    };
    let header = file.text.lines().find(|l| !l.starts_with('#') && !l.trim().is_empty()).unwrap_or("");
    let stem = file.name.trim_end_matches(".csv");
    let mut columns: Vec<(String, &'static str, Vec<f64>)> = Vec::new();
    for column in read.names() {
        let unit_text = header.split(',').find_map(|h| h.trim().strip_prefix(column)?.strip_prefix(' '));
        let Some(known) = unit_text.and_then(|u| unit_of(u.trim(), None)) else {
            note(&mut made.without_unit, column);
            continue;
        };
        let told = format!("{column} {}", unit_text.unwrap_or("")).to_lowercase();
        let humid = ["rh", "humidity"].iter().any(|w| told.contains(w));
        let Some((symbol, factor, offset)) = unit(known.quantity, humid) else {
            note(&mut made.without_unit, column);
            continue;
        };
        let Some(si) = read.column(column, known.quantity, &quiet) else { continue };
        columns.push((name(column), symbol, si.iter().map(|v| (v - offset) / factor).collect()));
    }
    let mut pack: Vec<Value> = Vec::new();
    for (row, t) in read.time_s.iter().enumerate() {
        for (own, symbol, values) in &columns {
            let Some(v) = values.get(row).filter(|v| v.is_finite()) else { continue };
            let mut record = Map::new();
            if pack.is_empty() {
                record.insert("bn".to_owned(), json!(format!("{base}/{}/", name(stem))));
                record.insert("bt".to_owned(), json!(start));
            }
            record.insert("n".to_owned(), json!(own));
            record.insert("u".to_owned(), json!(symbol));
            record.insert("t".to_owned(), json!(t));
            record.insert("v".to_owned(), json!(tidy(*v)));
            pack.push(Value::Object(record));
        }
    }
    if !pack.is_empty() {
        made.records += pack.len();
        made.files.push(File { name: format!("export/{stem}.senml.json"), text: lines(&pack) });
    }
}

/// Twelve digits: a value that went through SI and back is written as it was.
fn tidy(v: f64) -> f64 {
    format!("{v:.11e}").parse().unwrap_or(v)
}

fn note(list: &mut Vec<String>, what: &str) {
    if !list.iter().any(|w| w == what) {
        list.push(what.to_owned());
    }
}

fn quantity_name(quantity: Q) -> String {
    serde_json::to_value(quantity).ok().and_then(|v| v.as_str().map(str::to_owned)).unwrap_or_default()
}

/// One record a line, so that people and comparisons of files can read it.
fn lines(pack: &[Value]) -> String {
    let list: Vec<String> = pack.iter().map(Value::to_string).collect();
    format!("[\n{}\n]\n", list.join(",\n"))
}
