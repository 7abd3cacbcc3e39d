//! One function for each reader of what strangers write: bytes in, nothing out, and nothing breaks. The tests
//! give each of them malformed bytes by the ten thousand; `fuzz/` hands the same functions to a fuzzer.

use super::look::{Asked, look};
use super::mapping::Mapping;
use super::message::Channels;
use super::read::read;
use super::reject::Rejects;
use super::{bthome, json, senml};
use engine::doc::{File, Sink};
use std::collections::BTreeMap;
use std::ops::ControlFlow;

/// A reader under test.
pub type Parser = fn(&[u8]);

/// Every reader, by name.
pub const ALL: &[(&str, Parser)] = &[
    ("look", files),
    ("table", table),
    ("json_lines", json_lines),
    ("senml", packs),
    ("bthome", payloads),
    ("mapping", mappings),
    ("watch", watch),
];

/// The time at which files are read, ms since 1970.
const NOW_MS: i64 = 1_800_000_000_000;

/// A file is looked at and read through the mapping that was proposed for it, which can be written and read again.
pub fn files(bytes: &[u8]) {
    let answers = BTreeMap::new();
    let asked = Asked {
        file: "x.csv",
        head: bytes,
        instrument: "x",
        zone: None,
        time_zone: Some("America/New_York"),
        answers: &answers,
    };
    let found = look(&asked);
    assert!(found.mapping.is_some() || !found.found.is_empty(), "nothing is said of it");
    let Some(mapping) = found.mapping else { return };
    through(&mapping, bytes);
    let text = mapping.write("x.csv");
    let again = Mapping::read(&File { name: "intake/x.toml".to_owned(), text }, &Sink::default());
    assert!(again == Some(mapping), "a mapping is read as it was written");
}

/// The bytes stand between good rows of a table.
pub fn table(bytes: &[u8]) {
    let good = "time,co2 ppm\n2026-11-12 22:00,700\n2026-11-12 22:01,701\n";
    let Some(mapping) = mapping_of(good) else { return };
    let text = [good.as_bytes(), bytes, b"\n2026-11-12 23:00,702\n"].concat();
    assert!(through(&mapping, &text) >= 2, "good rows are kept");
}

/// Lines of JSON.
pub fn json_lines(bytes: &[u8]) {
    if let Ok(value) = serde_json::from_slice(bytes) {
        json::leaves(&value);
    }
    let good = "{\"ts\":1794521130,\"co2\":749}\n{\"ts\":1794521190,\"co2\":750}\n";
    let Some(mapping) = mapping_of(good) else { return };
    through(&mapping, bytes);
}

/// A pack of SenML.
pub fn packs(bytes: &[u8]) {
    let (mut channels, mut rejects) = (Channels::default(), Rejects::default());
    let text = String::from_utf8_lossy(bytes);
    let rows = senml::rows(&text, NOW_MS, 1, &mut channels, &mut rejects);
    assert!(
        rows.iter().all(|r| r.value.is_finite() && r.channel < channels.list.len()),
        "values of channels"
    );
}

/// A payload of BTHome.
pub fn payloads(bytes: &[u8]) {
    let (mut channels, mut rejects) = (Channels::default(), Rejects::default());
    let text = String::from_utf8_lossy(bytes);
    let rows = bthome::rows(&text, "d", NOW_MS, 1, &mut channels, &mut rejects);
    assert!(rows.iter().all(|r| r.value.is_finite()), "finite values");
    bthome::is_payload(&text);
}

/// A mapping file.
pub fn mappings(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes).into_owned();
    Mapping::read(&File { name: "intake/x.toml".to_owned(), text }, &Sink::default());
}

/// `watch.toml`.
pub fn watch(bytes: &[u8]) {
    let text = String::from_utf8_lossy(bytes).into_owned();
    engine::doc::watch::read(&File { name: "watch.toml".to_owned(), text }, &Sink::default());
}

fn mapping_of(good: &str) -> Option<Mapping> {
    let answers = BTreeMap::new();
    let (file, instrument, zone, time_zone) = ("x.csv", "x", None, Some("UTC"));
    look(&Asked { file, head: good.as_bytes(), instrument, zone, time_zone, answers: &answers }).mapping
}

/// Rows read.
fn through(mapping: &Mapping, bytes: &[u8]) -> usize {
    let mut rows = 0;
    let mut take = |_: &super::read::Record<'_>| {
        rows += 1;
        ControlFlow::Continue(())
    };
    // Memory cannot fail to be read.
    read(mapping, bytes, NOW_MS, "x.csv", &mut take).map(|_| rows).unwrap_or_default()
}
