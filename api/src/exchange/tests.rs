//! Exports of the demonstration house and of made-up jobs, read back.
#![allow(
    clippy::float_cmp,
    clippy::string_slice,
    reason = "written numbers come back exactly; texts are ASCII"
)]

use super::*;
use crate::intake::senml as reader;
use crate::{Request, demo};
use engine::units::{Quantity, UNITS};
use std::collections::BTreeMap;
use std::ops::ControlFlow;

fn export(files: Vec<File>, form: Form) -> (crate::Outcome, BTreeMap<String, String>) {
    let inputs = Inputs { files, now: "2026-11-20 09:15 -05:00".to_owned() };
    let out = crate::answer(&Request::Export { form }, &inputs, &mut |_| ControlFlow::Continue(()));
    let documents = out.documents.iter().map(|d| (d.name.clone(), d.text.clone())).collect();
    (out, documents)
}

/// Rows of a table, as the program's own reader of loggers' files splits them.
fn rows(text: &str) -> Vec<Vec<String>> {
    let mut reader = csv_core::Reader::new();
    let (mut out, mut ends) = (vec![0; text.len() + 64], vec![0; 64]);
    let (mut rows, mut input) = (Vec::new(), text.as_bytes());
    loop {
        let (result, used, _, fields) = reader.read_record(input, &mut out, &mut ends);
        input = &input[used..];
        if result == csv_core::ReadRecordResult::End {
            return rows;
        }
        let starts = std::iter::once(0).chain(ends[..fields].iter().copied());
        let cells = starts.zip(&ends[..fields]).map(|(a, b)| String::from_utf8(out[a..*b].to_vec()).unwrap());
        if result == csv_core::ReadRecordResult::Record {
            rows.push(cells.collect());
        }
    }
}

#[test]
fn every_reading_of_the_demonstration_house_is_in_the_table() {
    let files = demo().unwrap();
    let visit = files.iter().find(|f| f.name.ends_with("visit.toml")).unwrap().text.clone();
    let (out, documents) = export(files, Form::ReadingsCsv);
    assert_eq!(out.exit_code(), 0, "{:?}", out.diagnostics);
    let rows = rows(&documents["export/readings.csv"]);
    assert_eq!(rows[0], table::COLUMNS);
    let at = |name: &str| table::COLUMNS.iter().position(|c| *c == name).unwrap();
    let of = |kind: &str| rows.iter().filter(|r| r[at("kind")] == kind).count();
    // Sixteen single readings; eight stations of two numbers and ten of the baselines; eight of the air.
    assert_eq!((of("reading"), of("envelope"), of("conditions")), (16, 26, 8));
    assert!(rows.iter().all(|r| r.len() == table::COLUMNS.len()));
    // Every number stands in the visit at the place told, digit by digit.
    for r in &rows[1..] {
        let (file, place) = r[at("document")].split_once('#').unwrap();
        assert_eq!(file, "visits/2026-11-12/visit.toml");
        let there = &visit[place.parse::<usize>().unwrap()..];
        let there = there.trim_start_matches('"');
        let end = there.find(|c: char| !(c.is_ascii_digit() || "+-.e".contains(c))).unwrap();
        assert_eq!(
            there[..end].parse::<f64>().unwrap().to_string(),
            r[at("value")].parse::<f64>().unwrap().to_string()
        );
    }
    let bath = rows.iter().find(|r| r[at("of")] == "bath_fan").unwrap();
    assert_eq!(bath[at("unit")], "[cft_i]/min");
    assert_eq!(
        (bath[at("instrument")].as_str(), bath[at("serial")].as_str()),
        ("powered flow hood", "FH-0093")
    );
    assert_eq!(bath[at("basis")], "flow at actual density");
    for part in
        ["bath_fan = on", "bedroom_door = open", "air_handler = off", "test_fan = off", "crawl_hatch = shut"]
    {
        assert!(bath[at("setup")].contains(part), "{}", bath[at("setup")]);
    }
    let station = rows.iter().find(|r| r[at("item")] == "stations.house").unwrap();
    assert_eq!(station[at("basis")], "house minus outdoors");
    assert!(
        station[at("value")].starts_with('-') && station[at("instrument")] == "two-channel pressure gauge"
    );
}

/// Every kind of number a test can hold: lists, tables in tables, bare counts, a unit UCUM lacks.
#[test]
fn numbers_of_any_test_are_found_and_formulas_are_texts() {
    let visit = "format = 1\ndate = '2026-03-04'\n\
        [instrument.meter]\nlabel = '=HYPERLINK(\"x\")'\nserial = '@7'\nmeasures = 'gas'\naccuracy = '5 %'\n\
        [test.zone]\nkind = 'combustion zone'\nflue_with = 'meter'\nlimit = '-5 Pa'\nnote = \"+1,\\\"2\\\"\\n-3\"\n\
        baseline_before = ['Pa', -1.0, 0.5]\n\
        [[test.zone.flue_co]]\nappliance = 'heater'\nvalue = '40 ppm'\nbasis = 'air-free'\nlimit = '200 ppm'\n\
        [test.other]\nkind = 'duct leakage'\nfloor = '3 ton'\nregister.bath = { reads = '9.8 Pa' }\ncount = 3\n";
    let files = vec![
        File { name: "job.toml".into(), text: "format = 1\nname = 'X'\n".into() },
        File { name: "visits/2026-03-04/visit.toml".into(), text: visit.into() },
    ];
    let taken = readings::all(&files);
    let found: Vec<(String, f64, &str)> = taken.iter().map(|t| (t.item.clone(), t.value, t.ucum)).collect();
    let wanted = [
        ("baseline_before", -1.0, "Pa"),
        ("baseline_before", 0.5, "Pa"),
        ("flue_co.value", 40.0, "[ppm]"),
        ("floor", 3.0 * 12000.0 * 1_055.055_852_62 / 3600.0, "W"),
        ("register.bath.reads", 9.8, "Pa"),
        ("count", 3.0, "1"),
    ];
    assert_eq!(found.len(), wanted.len(), "{found:?}");
    for ((item, value, ucum), w) in found.iter().zip(wanted) {
        assert!(item == w.0 && (value - w.1).abs() < 1e-9 && *ucum == w.2, "{item} {value} {ucum}");
    }
    assert_eq!((taken[2].basis.as_str(), taken[2].of.as_str()), ("air-free", "heater"));
    assert_eq!(taken[4].of, "bath");
    let text = table::write(&taken);
    let rows = rows(&text);
    let at = |name: &str| table::COLUMNS.iter().position(|c| *c == name).unwrap();
    assert_eq!(rows[3][at("instrument")], "'=HYPERLINK(\"x\")");
    assert_eq!(rows[3][at("serial")], "'@7");
    assert_eq!(rows[3][at("note")], "'+1,\"2\"\n-3");
    assert_eq!(rows[1][at("value")], "-1");
    // No cell but a number begins like a formula.
    for row in &rows[1..] {
        for (i, cell) in row.iter().enumerate().filter(|(_, c)| c.starts_with(['=', '+', '-', '@'])) {
            assert!(i == at("value") && cell.parse::<f64>().is_ok(), "{cell}");
        }
    }
    assert_eq!(["'=1", "plain", "''a"].map(|w| w.to_owned()), ["=1", "plain", "'a"].map(table::cell));
}

/// What is written is read back by the program's own reader of SenML: names, times, units, values.
#[test]
fn senml_comes_back_through_our_own_reader() {
    let mut files = demo().unwrap();
    let series = "time,attic degF,bath % RH,main ppm,dust ug/m3\n2026-11-12 10:00:00,50,61,800,9.5\n2026-11-12 10:05:00,51,,810,\n";
    files.push(File { name: "visits/2026-11-12/log.csv".into(), text: series.into() });
    let (out, documents) = export(files.clone(), Form::Senml);
    let text = &documents["export/readings.senml.json"];
    let mut rejects = crate::intake::reject::Rejects::default();
    let resolved = reader::resolve(text, 0, 0, &mut rejects);
    assert_eq!(rejects.total(), 0);
    let taken = readings::all(&files);
    assert_eq!(resolved.len(), taken.len());
    assert_eq!(out.data.exported.as_ref().unwrap().count, resolved.len() + 6);
    for (r, t) in resolved.iter().zip(&taken) {
        let unit = reader::unit_of(&r.unit).unwrap_or_else(|| panic!("{} of {}", r.unit, r.name));
        let (si, wanted) = (unit.to_si(r.value.unwrap()), t.unit.to_si(t.value));
        assert!((si - wanted).abs() <= 1e-9 * wanted.abs().max(1e-9), "{}: {si} {wanted}", r.name);
    }
    // Half past ten and ten minutes by the clock of the weather, five hours behind UTC.
    let first = resolved.iter().find(|r| r.name.ends_with("/main.outdoors")).unwrap();
    assert_eq!(first.time_s, 1_794_497_400.0 + 600.0);
    let names: std::collections::BTreeSet<(String, String)> =
        resolved.iter().map(|r| (r.name.clone(), r.time_s.to_string())).collect();
    assert_eq!(names.len(), resolved.len());
    let log = reader::resolve(&documents["export/visits/2026-11-12/log.senml.json"], 0, 0, &mut rejects);
    let found: Vec<(&str, f64)> = log.iter().map(|r| (r.unit.as_str(), r.value.unwrap())).collect();
    assert_eq!(
        found,
        [
            ("Cel", 10.0),
            ("%RH", 61.0),
            ("ppm", 800.0),
            ("ug/m3", 9.5),
            ("Cel", 10.555_555_555_6),
            ("ppm", 810.0)
        ]
    );
    assert_eq!(log[4].time_s - log[0].time_s, 300.0);
    // Without a zone and without weather nobody knows when that was.
    let bare: Vec<File> = files.into_iter().filter(|f| f.name != "weather.csv").collect();
    let (out, _) = export(bare, Form::Senml);
    assert!(out.diagnostics.list.iter().any(|d| d.code.0 == "O148"), "{:?}", out.diagnostics);
    assert!(out.diagnostics.list.iter().any(|d| d.code.0 == "O149"));
}

/// UCUM codes are unique in what they mean: two units of one code have one factor.
#[test]
fn a_ucum_code_means_one_factor() {
    let mut seen: BTreeMap<&str, (f64, f64)> = BTreeMap::new();
    let temperature = |q| matches!(q, Quantity::Temperature | Quantity::TemperatureDifference);
    for u in UNITS.iter().filter(|u| !u.ucum.is_empty() && !temperature(u.quantity)) {
        let known = *seen.entry(u.ucum).or_insert((u.factor, u.offset));
        assert!((known.0 / u.factor - 1.0).abs() < 1e-12 && known.1 == u.offset, "{}", u.symbol);
    }
}

#[test]
fn the_summary_of_the_demonstration_house() {
    let (out, documents) = export(demo().unwrap(), Form::Hpxml);
    let text = &documents["export/house.xml"];
    if std::env::var_os("AIRWRIGHT_WRITE").is_some() {
        let path = concat!(env!("CARGO_MANIFEST_DIR"), "/../docs/examples/demo.hpxml.xml");
        std::fs::create_dir_all(concat!(env!("CARGO_MANIFEST_DIR"), "/../docs/examples")).unwrap();
        std::fs::write(path, text).unwrap();
    }
    let example = include_str!("../../../docs/examples/demo.hpxml.xml");
    assert!(example == text, "AIRWRIGHT_WRITE=1 writes docs/examples/demo.hpxml.xml anew");
    let between = |tag: &str| {
        let from = text.find(&format!("<{tag}>")).unwrap_or_else(|| panic!("{tag}")) + tag.len() + 2;
        text[from..].split('<').next().unwrap().to_owned()
    };
    assert_eq!(between("ConditionedFloorArea"), "1345");
    assert_eq!(between("ConditionedBuildingVolume"), "10760");
    assert_eq!(between("NumberofBedrooms"), "2");
    assert_eq!(between("TypeOfBlowerDoorTest"), "depressurization");
    assert_eq!(between("OutsideTemperature"), "50");
    assert_eq!(between("CreatedDateAndTime"), "2026-11-20T09:15:00");
    // The flow at 50 Pa of the results, in the unit of the schema.
    let results =
        crate::answer(&Request::Results, &Inputs { files: demo().unwrap(), now: String::new() }, &mut |_| {
            ControlFlow::Continue(())
        });
    let flow = results.data.results[0].result.figures.flow_at(50.0).unwrap().flow.total.si;
    let told: f64 = between("AirLeakage").parse().unwrap();
    assert!((told / (flow / 0.000_471_947_443_2) - 1.0).abs() < 1e-5, "{told} {flow}");
    assert!(out.data.exported.unwrap().without.iter().any(|w| w.contains("air handler")));
}
