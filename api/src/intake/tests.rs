//! Whole files of many kinds, looked at and read; malformed ones by the ten thousand.

use super::look::{Asked, Looked, look};
use super::mapping::{Kind, Mapping};
use super::message::Channels;
use super::read::{Reading, read};
use super::reject::{Reason, Rejects};
use super::time::stamp;
use super::{bthome, job, json, senml};
use crate::{Inputs, Request, answer};
use engine::diag::code;
use engine::doc::{File, Sink};
use proptest::prelude::*;
use std::collections::BTreeMap;
use std::ops::ControlFlow;

fn looked(text: &[u8], answers: &[(&str, &str)], zone: Option<&str>) -> Looked {
    let answers: BTreeMap<String, String> =
        answers.iter().map(|(k, v)| ((*k).to_owned(), (*v).to_owned())).collect();
    look(&Asked {
        file: "x.csv",
        head: text,
        instrument: "x",
        zone: None,
        time_zone: zone,
        answers: &answers,
    })
}

/// Rows as `time value value`, times UTC.
fn rows(mapping: &Mapping, text: &[u8]) -> (Vec<String>, Reading) {
    let mut out = Vec::new();
    let mut take = |r: &super::read::Record<'_>| {
        let mut line = String::new();
        stamp(r.time_ms, 0, &mut line);
        for v in r.values {
            line.push_str(&v.map_or(" -".to_owned(), |v| format!(" {v}")));
        }
        out.push(line);
        ControlFlow::Continue(())
    };
    let reading = read(mapping, text, 1_800_000_000_000, "x.csv", &mut take).unwrap();
    (out, reading)
}

/// The first row of a file that needs no question.
fn first(text: &str, zone: Option<&str>) -> (Mapping, String) {
    let found = looked(text.as_bytes(), &[], zone);
    assert!(found.questions.is_empty() && found.found.is_empty(), "{:?} {:?}", found.questions, found.found);
    let mapping = found.mapping.unwrap();
    let (rows, reading) = rows(&mapping, text.as_bytes());
    assert_eq!(reading.rejects.total(), 0, "{:?}", reading.rejects);
    (mapping, rows[0].clone())
}

#[test]
fn tables_of_many_devices_are_understood() {
    let cases = [
        // Preamble, semicolons, decimal comma, units row.
        (
            "Logger;12345\nModel;B\n\nDatum;CO2;Temp;Humidity\n;ppm;\u{b0}C;%\n12.11.2026 22:05;749;21,5;45,2\n13.11.2026 22:06;750;21,6;45,1\n",
            "2026-11-12 22:05:00 749 21.5 45.2",
        ),
        // Tabs, units in headers, date and time apart, twelve hours.
        (
            "Date\tTime\tCO2 (ppm)\tTemperature (\u{b0}F)\n11/12/2026\t10:05:30 PM\t749\t70.5\n11/13/2026\t12:05:30 AM\t750\t70.6\n",
            "2026-11-12 22:05:30 749 70.5",
        ),
        // ISO with offset, quoted, a comma in a text.
        (
            "\"timestamp\",\"place\",\"co2\",\"PM2.5 (\u{b5}g/m\u{b3})\"\n\"2026-11-12T22:05:30-05:00\",\"hall, upper\",749,12.5\n\"2026-11-12T22:06:30-05:00\",\"hall, upper\",750,\n",
            "2026-11-13 03:05:30 749 12.5",
        ),
        // Epoch, bars, no unit: the values leave one.
        ("time|co2|humidity\n1794521130|749|45\n1794521190|750|46\n", "2026-11-12 22:05:30 749 45"),
        // Header one name short, as a record that numbers its rows has it.
        (
            "\"date\",\"Temperature (C)\",\"CO2\"\n\"140\",\"2015-02-02 14:19:00\",23.7,749.2\n\"141\",\"2015-02-02 14:19:59\",23.718,760.4\n",
            "2015-02-02 14:19:00 23.7 749.2",
        ),
        // No header at all but units in the cells are no header either: the two clocks, UTC counts.
        (
            "local time,UTC time,Temperature (C)\n2026-11-12 17:05,2026-11-12 22:05,21\n2026-11-12 17:06,2026-11-12 22:06,22\n",
            "2026-11-12 22:05:00 21",
        ),
        // Spreadsheet days.
        ("Date Time,CO2 ppm\n46338.92049,749\n46338.92118,750\n", "2026-11-12 22:05:30 749"),
    ];
    for (text, wanted) in cases {
        let (mapping, row) = first(text, Some("UTC"));
        assert_eq!(row, wanted, "{text}");
        // What is written is read as the same mapping.
        let sink = Sink::default();
        let file = File { name: "intake/x.toml".to_owned(), text: mapping.write("x.csv") };
        assert_eq!(Mapping::read(&file, &sink), Some(mapping), "{:?}", sink.borrow());
        assert!(sink.borrow().list.is_empty());
    }
}

#[test]
fn what_is_ambiguous_is_asked_and_an_answer_settles_it() {
    let text = b"Date,Temperature\n03/04/2026 10:00,21\n03/04/2026 10:01,21.5\n";
    let ids = |l: &Looked| l.questions.iter().map(|q| q.id.clone()).collect::<Vec<_>>();
    let found = looked(text, &[], None);
    assert_eq!(ids(&found), ["date-order", "unit.temperature", "clock"]);
    assert_eq!(found.questions[0].choices, ["d/m/y", "m/d/y"]);
    assert!(found.questions[1].choices.iter().any(|c| c == "degF"));
    let answers = [("date-order", "d/m/y"), ("unit.temperature", "degC"), ("clock", "America/New_York")];
    let found = looked(text, &answers, None);
    assert!(found.questions.is_empty());
    assert_eq!(rows(&found.mapping.unwrap(), text).0[0], "2026-04-03 14:00:00 21");
    // Days that follow each other in one order alone need no question.
    let days: String = (1..=12).map(|d| format!("{d:02}/04/2026 10:00;600\n")).collect();
    let (_, row) = first(&format!("Date;CO2\n{days}"), Some("UTC"));
    assert_eq!(row, "2026-04-01 10:00:00 600");
    // A comma before three digits.
    let found = looked(b"time;CO2 ppm\n2026-04-01 10:00;1,250\n2026-04-01 10:01;1,260\n", &[], Some("UTC"));
    assert_eq!(ids(&found), ["decimal"]);
    let elapsed = b"time min,CO2 ppm\n0,900\n5,850\n10,800\n";
    assert_eq!(ids(&looked(elapsed, &[], Some("UTC"))), ["start"]);
    let found = looked(elapsed, &[("start", "2026-11-12 22:05")], Some("UTC"));
    assert_eq!(rows(&found.mapping.unwrap(), elapsed).0[1], "2026-11-12 22:10:00 850");
}

#[test]
fn a_file_without_time_or_readings_is_refused_with_its_reason() {
    let code_of = |text: &str| looked(text.as_bytes(), &[], Some("UTC")).found.first().map(|d| d.code);
    assert_eq!(code_of("a,b\n1,x\n"), Some(code::I126));
    assert_eq!(code_of("CO2 ppm,RH %\n749,45\n700,46\n720,44\n"), Some(code::I127));
    assert_eq!(code_of("time,lux\n2026-01-01 00:00,5\n2026-01-01 00:01,6\n"), Some(code::I128));
    assert_eq!(code_of(""), Some(code::I126));
}

#[test]
fn a_small_file_is_read_as_far_as_it_goes() {
    let bad = b"\xef\xbb\xbftime,co2 ppm\r\n2026-11-12 10:00,412\r\n2026-11-12 10:05,\r\n2026-11-12 10:10,abc\r\n2026-11-12 10:15,415\r\n";
    let cut = b"time,co2 ppm\n2026-11-12 10:00,412\n2026-11-12 10:0";
    for text in [&bad[..], &cut[..]] {
        let found = looked(text, &[], Some("UTC"));
        assert!(found.found.is_empty(), "{:?}", found.found);
        assert_eq!(rows(&found.mapping.unwrap(), text).0[0], "2026-11-12 10:00:00 412");
    }
    for (text, why) in [("", "empty"), ("\n\n", "empty"), ("time,co2 ppm\n", "one-line"), ("a,b\n1,x\n", "")]
    {
        let found = looked(text.as_bytes(), &[], Some("UTC"));
        assert!(found.found[0].args.contains(&("why", why.into())), "{text:?}: {:?}", found.found);
    }
}

#[test]
fn bad_rows_are_told_and_good_ones_stay() {
    let good = "time,co2 ppm,t degC\n2026-11-12 22:00,700,21\n2026-11-12 22:01,701,21\n";
    let (mapping, _) = first(good, Some("America/New_York"));
    let bad = "time,co2 ppm,t degC\n2026-11-12 22:00,700,21\nlater,1,2\n2026-11-12 22:02,x,21\n\
        2026-11-12 22:03,=A1,21\n2026-11-12 22:04,1\n2026-11-12 22:05,1,2,3\n2026-03-08 02:30,1,2\n\
        2026-11-12 22:06,7\u{0}0,21\n\"2026-11-12 22:07,700\n2026-11-12 22:08,702,21,\n";
    let (list, reading) = rows(&mapping, bad.as_bytes());
    assert_eq!(list.len(), 5, "{list:?}");
    let counts: Vec<(Reason, usize)> = reading.rejects.counts.iter().map(|(r, n)| (*r, *n)).collect();
    let wanted = [
        (Reason::Cells, 2),
        (Reason::NotANumber, 1),
        (Reason::Time, 1),
        (Reason::SkippedHour, 1),
        (Reason::OpenQuote, 1),
        (Reason::Formula, 1),
        (Reason::Control, 1),
    ];
    assert_eq!(counts, wanted);
    assert_eq!(reading.rejects.kept[0].line, 3);
    let many: String = (0..100).map(|_| "later,1,2\n").collect();
    let (_, reading) = rows(&mapping, format!("{good}{many}").as_bytes());
    assert_eq!((reading.rejects.kept.len(), reading.rejects.total()), (5, 100));
    assert_eq!(reading.rejects.diagnostics("x").len(), 6);
}

#[test]
fn a_unit_that_lies_is_named() {
    for (header, value, likely) in [("CO2 ppm", "0.04", "vol %"), ("Temperature degC", "295", "K")] {
        let text = format!("time,{header}\n2026-11-12 22:00,{value}\n2026-11-12 22:01,{value}\n");
        let found = looked(text.as_bytes(), &[], Some("UTC"));
        let (_, reading) = rows(&found.mapping.unwrap(), text.as_bytes());
        let d = &reading.found[0];
        assert_eq!(d.code, code::I124);
        assert!(d.args.iter().any(|(k, v)| *k == "likely" && *v == likely.into()), "{d:?}");
    }
}

#[test]
fn messages_of_three_kinds_give_the_same_rows() {
    let lines = "{\"ts\":1794521130,\"s\":{\"co2\":749,\"temperature_C\":21.5},\"id\":\"a\"}\n\n{\"ts\":1794521190,\"s\":{\"co2\":750,\"temperature_C\":null}}\n{\"ts\"\n";
    let found = looked(lines.as_bytes(), &[], None);
    assert!(found.questions.is_empty(), "{:?}", found.questions);
    let (list, reading) = rows(&found.mapping.unwrap(), lines.as_bytes());
    assert_eq!(list, ["2026-11-12 22:05:30 749 21.5", "2026-11-12 22:06:30 750 -"]);
    assert_eq!(reading.rejects.counts[&Reason::NotJson], 1);
    let pack = "[{\"bn\":\"hall:\",\"bt\":1794521130,\"n\":\"co2\",\"u\":\"ppm\",\"v\":749},\n{\"n\":\"temperature\",\"u\":\"Cel\",\"v\":21.5},\n{\"n\":\"co2\",\"u\":\"ppm\",\"t\":60,\"v\":750}]";
    let found = looked(pack.as_bytes(), &[], None);
    let mapping = found.mapping.unwrap();
    assert_eq!(mapping.kind, Kind::SenMl);
    assert_eq!(rows(&mapping, pack.as_bytes()).0, list);
    // One pack a line, too.
    let packs = format!(
        "{}\n{}\n",
        pack.replace('\n', ""),
        pack.replace('\n', "").replace("1794521130", "1794521430")
    );
    assert_eq!(rows(&mapping, packs.as_bytes()).0.len(), 4);
    let hex = "{\"time\":\"2026-11-12T22:05:30Z\",\"mac\":\"A4:C1\",\"service_data\":\"4012ed02026608\"}\n{\"time\":\"2026-11-12T22:06:30Z\",\"mac\":\"A4:C1\",\"service_data\":\"4012ee02\"}\n";
    let found = looked(hex.as_bytes(), &[], None);
    let mapping = found.mapping.unwrap();
    assert!(matches!(mapping.kind, Kind::BtHome { .. }));
    let (list, _) = rows(&mapping, hex.as_bytes());
    assert_eq!(list, ["2026-11-12 22:05:30 749 21.5", "2026-11-12 22:06:30 750 -"]);
    let sink = Sink::default();
    let file = File { name: "intake/x.toml".to_owned(), text: mapping.write("x") };
    assert_eq!(Mapping::read(&file, &sink), Some(mapping), "{:?}", sink.borrow());
}

const JOB: &str = "format = 1\nname = \"j\"\nunits = \"SI\"\n[place]\ntime_zone = \"America/New_York\"\n";

fn inputs(more: &[(&str, &str)]) -> Inputs {
    let base = [("job.toml", JOB), ("visits/2026-11-12/visit.toml", "format = 1\ndate = 2026-11-12\n")];
    let files = base.iter().chain(more).map(|(n, t)| File { name: (*n).to_owned(), text: (*t).to_owned() });
    Inputs { files: files.collect(), now: "2026-12-01 12:00 -05:00".to_owned() }
}

fn import(inputs: &Inputs, received: &[(&str, String)], approve: bool) -> crate::Outcome {
    let received = received.iter().map(|(n, t)| job::Received {
        name: (*n).to_owned(),
        text: t.clone(),
        bytes: Vec::new(),
    });
    let asked = job::Asked { approve, ..job::Asked::default() };
    answer(&Request::Import { received: received.collect(), asked }, inputs, &mut |_| {
        ControlFlow::Continue(())
    })
}

#[test]
fn a_file_is_shown_first_and_written_when_approved() {
    let text = "time,CO2 ppm\n2026-11-01 01:30,700\n2026-11-01 01:59,710\n2026-11-01 01:01,720\n2026-11-01 01:40,730\n2026-11-01 02:00,735.25\n".to_owned();
    let shown = import(&inputs(&[]), &[("bed room.csv", text.clone())], false);
    let data = shown.data.import.unwrap();
    assert!(data.additions.is_empty() && data.files[0].first_rows.len() == 4);
    let made = import(&inputs(&[]), &[("bed room.csv", text.clone())], true);
    let data = made.data.import.unwrap();
    let names: Vec<&str> = data.additions.iter().map(|a| a.name.as_str()).collect();
    assert_eq!(names, ["intake/bed_room.toml", "visits/2026-11-12/bed_room.csv"]);
    assert!(data.originals[0].1.starts_with("attachments/") && data.originals[0].1.ends_with(".csv"));
    // The series is read by the same code that every test reads series with.
    let sink = Sink::default();
    let file = File { name: names[1].to_owned(), text: data.additions[1].text.clone() };
    let series = engine::doc::series::read(&file, &sink).unwrap();
    assert!(sink.borrow().list.is_empty(), "{:?}", sink.borrow());
    assert_eq!(series.time_s, [0.0, 1740.0, 1860.0, 4200.0, 5400.0]);
    let ppm = series.column("co2", engine::units::Quantity::GasFraction, &sink).unwrap();
    assert!((ppm[4] - 735.25e-6).abs() < 1e-12);
    assert!(made.diagnostics.list.iter().any(|d| d.code == code::I139));
    // Nothing is written over what is there; the kept mapping needs no approval.
    let again = inputs(&[(names[0], &data.additions[0].text), (names[1], "time,co2 ppm\n")]);
    let refused = import(&again, &[("bed room.csv", text.clone())], true);
    assert!(refused.data.import.unwrap().additions.is_empty());
    assert!(refused.diagnostics.list.iter().any(|d| d.code == code::I130));
    let kept = import(&inputs(&[(names[0], &data.additions[0].text)]), &[("bed room.csv", text)], false);
    assert_eq!(kept.data.import.unwrap().additions.len(), 1);
}

#[test]
fn loggers_that_come_together_have_their_clocks_compared() {
    let record = |late_s: i64, noise: u64| {
        let mut state = noise;
        let mut text = "time,CO2 ppm\n".to_owned();
        for i in 0..400_i64 {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(99);
            let t = i as f64;
            let bump = |at: f64| {
                if t < at { 0.0 } else { (t - at) * 20.0 / (1.0 + ((t - at) / 20.0) * ((t - at) / 20.0)) }
            };
            let ppm = 450.0 + bump(60.0) + bump(150.0) * 0.4 + bump(300.0) * 1.5 + (state >> 40) as f64 / 1e6;
            stamp(1_794_000_000_000 + i * 60_000 + late_s * 1000, 0, &mut text);
            text.push_str(&format!(",{ppm:.0}\n"));
        }
        text
    };
    let done = import(&inputs(&[]), &[("hall.csv", record(0, 1)), ("bed.csv", record(420, 2))], true);
    let data = done.data.import.unwrap();
    let clock = &data.clocks[0];
    assert_eq!((clock.of.as_str(), clock.against.as_str()), ("bed", "hall"));
    assert!(clock.offset_s.is_some_and(|s| (s - 420.0).abs() < 30.0), "{clock:?}");
    // It is told, and the series stands as it was.
    assert!(done.diagnostics.list.iter().any(|d| d.code == code::I133));
    assert!(data.additions[3].text.contains("2026-11-06 21:27:00,"), "{}", data.additions[3].text);
}

#[test]
fn corrections_stand_beside_the_raw_column() {
    let mapping = "format = 1\nkind = \"table\"\n[time]\nfrom = \"time\"\nwritten = \"y-m-d\"\nclock = \"UTC\"\n\
        [column.co2]\nfrom = \"CO2\"\nquantity = \"gas_fraction\"\nunit = \"ppm\"\n\
        [column.rh]\nfrom = \"RH\"\nquantity = \"fraction\"\nunit = \"%\"\n\
        [column.pm25]\nfrom = \"PM\"\nquantity = \"particle_concentration\"\nunit = \"ug/m3\"\n\
        [derived.co2_here]\nfrom = \"co2\"\ncorrection = \"pressure\"\npressure = \"83.4 kPa\"\n\
        [derived.co2_zeroed]\nfrom = \"co2\"\ncorrection = \"zero\"\nshows = \"455 ppm\"\ntruth = \"425 ppm\"\n\
        [derived.rh_salts]\nfrom = \"rh\"\ncorrection = \"two points\"\nshows = [\"14 %\", \"78 %\"]\ntruth = [\"11.3 %\", \"75.3 %\"]\n\
        [derived.pm_dry]\nfrom = \"pm25\"\ncorrection = \"particles\"\npublication = \"barkjohn-2021\"\nrh = \"rh\"\n";
    let text = "time,CO2,RH,PM\n2026-11-12 22:00,1000,50,40\n2026-11-12 22:01,1001,,41\n".to_owned();
    let done = import(&inputs(&[("intake/x.toml", mapping)]), &[("x.csv", text)], false);
    let series = &done.data.import.as_ref().unwrap().additions[0].text;
    let body: Vec<&str> = series.lines().filter(|l| !l.starts_with('#')).collect();
    assert_eq!(body[0], "time,co2 ppm,rh %,pm25 ug/m3,co2_here ppm,co2_zeroed ppm,rh_salts %,pm_dry ug/m3");
    assert_eq!(body[1], "2026-11-12 17:00:00,1000,50,40,1214.928,970,47.3,22.4");
    assert_eq!(body[2], "2026-11-12 17:01:00,1001,,41,1216.143,971,,");
}

#[test]
fn a_field_of_ten_megabytes_costs_one_row() {
    let (mapping, _) = first("time,co2 ppm\n2026-11-12 22:00,700\n2026-11-12 22:01,701\n", Some("UTC"));
    for quote in ["", "\""] {
        let big = "9".repeat(10 << 20);
        let text = format!("time,co2 ppm\n2026-11-12 22:00,{quote}{big}{quote}\n2026-11-12 22:01,701\n");
        let (list, reading) = rows(&mapping, text.as_bytes());
        assert_eq!((list.len(), reading.rejects.counts[&Reason::TooLong]), (1, 1));
    }
}

/// Pieces of which hostile messages are made.
fn hostile(pieces: &'static [&'static str]) -> impl Strategy<Value = String> {
    prop_oneof![
        3 => proptest::collection::vec(proptest::sample::select(pieces), 0..24).prop_map(|p| p.concat()),
        1 => ".{0,80}",
        1 => proptest::collection::vec(any::<u8>(), 0..80).prop_map(|b| String::from_utf8_lossy(&b).into_owned()),
    ]
}

const JSONS: &[&str] = &[
    "[",
    "]",
    "{",
    "}",
    ",",
    ":",
    "\"n\"",
    "\"bn\"",
    "\"v\"",
    "\"bt\"",
    "\"t\"",
    "\"u\"",
    "\"Cel\"",
    "\"a\"",
    "1e308",
    "-1e999",
    "23.1",
    "true",
    "null",
    "\"vs\"",
    "\"s\"",
    "\"bver\"",
    "\"x_\"",
    "{\"n\":\"a\",\"v\":1}",
    "\u{0}",
    "\\",
    "\"ts\"",
    "1794521130",
    "\"co2\"",
    "[[[[[[[[",
];
const CELLS: &[&str] = &[
    "time,co2 ppm,t degC\n",
    "2026-11-12 22:00",
    "12/11/2026",
    "700",
    "21,5",
    ",",
    ";",
    "\t",
    "\n",
    "\r\n",
    "\"",
    "\"\"",
    "=cmd|' /C calc'!A0",
    "@SUM(A1)",
    "\u{0}",
    "1e999",
    "-",
    "\u{feff}",
    "NaN",
    "\u{202e}",
    "99999999999999999999",
    "2026-13-45 99:99",
    "|",
    "Z",
    "+05:00",
    "'",
];
const HEXES: &[&str] = &[
    "40", "44", "41", "02", "c409", "d2fc", "53", "ff", "12", "e204", "50", "ffffffff", "0x", "z", " ", ":",
    "54", "00",
];

proptest! {
    // 10 000 malformed messages for each parser.
    #![proptest_config(ProptestConfig { cases: 10_000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn hostile_packs(text in hostile(JSONS)) {
        let (mut channels, mut rejects) = (Channels::default(), Rejects::default());
        let rows = senml::rows(&text, 0, 1, &mut channels, &mut rejects);
        prop_assert!(rows.iter().all(|r| r.value.is_finite() && r.channel < channels.list.len()));
        prop_assert!(!rows.is_empty() || rejects.total() > 0 || serde_json::from_str::<Vec<serde_json::Value>>(&text).is_ok());
    }

    #[test]
    fn hostile_payloads(text in hostile(HEXES)) {
        let (mut channels, mut rejects) = (Channels::default(), Rejects::default());
        let rows = bthome::rows(&text, "d", 0, 1, &mut channels, &mut rejects);
        prop_assert!(rows.iter().all(|r| r.value.is_finite()));
        bthome::is_payload(&text);
    }

    #[test]
    fn hostile_json_lines(text in hostile(JSONS)) {
        if let Ok(value) = serde_json::from_str(&text) {
            prop_assert!(json::leaves(&value).len() <= 400);
        }
        let lines = b"{\"ts\":1794521130,\"co2\":749}\n{\"ts\":1794521190,\"co2\":750}\n";
        let mapping = looked(lines, &[], None).mapping.unwrap();
        let (list, _) = rows(&mapping, text.as_bytes());
        prop_assert!(list.len() <= text.len());
    }

    #[test]
    fn hostile_tables(text in hostile(CELLS)) {
        let good = "time,co2 ppm\n2026-11-12 22:00,700\n2026-11-12 22:01,701\n";
        let mapping = looked(good.as_bytes(), &[], Some("UTC")).mapping.unwrap();
        let (list, reading) = rows(&mapping, format!("{good}{text}\n2026-11-12 23:00,702\n").as_bytes());
        prop_assert!(list.len() >= 2 && reading.rows == list.len());
    }

    #[test]
    fn hostile_files_are_looked_at(text in hostile(CELLS), wide in any::<bool>()) {
        let bytes: Vec<u8> = if wide {
            text.encode_utf16().flat_map(u16::to_le_bytes).collect()
        } else {
            text.clone().into_bytes()
        };
        let found = looked(&bytes, &[], Some("America/New_York"));
        prop_assert!(found.mapping.is_some() || !found.found.is_empty());
        if let Some(mapping) = found.mapping {
            rows(&mapping, &bytes);
            let sink = Sink::default();
            let file = File { name: "intake/x.toml".to_owned(), text: mapping.write(&text) };
            prop_assert_eq!(Mapping::read(&file, &sink), Some(mapping));
        }
    }

    /// Bytes of any kind, to each reader.
    #[test]
    fn no_reader_breaks(bytes in prop::collection::vec(any::<u8>(), 0..300)) {
        for (_, parser) in super::parsers::ALL {
            parser(&bytes);
        }
    }

    #[test]
    fn hostile_mappings_are_read(text in hostile(&["[time]\n", "from = ", "\"a\"", "\n", "kind = \"table\"", "format = 1", "[column.co2]", "unit = \"ppm\"", "[derived.x]", "shows = [1]", "=", "[", "quantity = \"gas_fraction\"", "written = \"y-m-d\""])) {
        Mapping::read(&File { name: "intake/x.toml".to_owned(), text }, &Sink::default());
    }
}
