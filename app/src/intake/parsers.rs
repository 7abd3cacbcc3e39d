//! One function for each reader of live messages: bytes in, nothing out, and nothing breaks. Malformed ones by the ten
//! thousand; the readers of files have theirs in `api::intake::parsers`.

use super::bench::document;
use super::map::Map;
use super::posts::{Terms, head};
use super::{Arrival, Via, outdoor};
use std::sync::LazyLock;

const NOW_MS: i64 = 1_800_000_000_000;

/// A reader under test.
type Parser = fn(&[u8]);

const ALL: &[(&str, Parser)] = &[
    ("json", |b| message("json", b)),
    ("plain", |b| message("plain", b)),
    ("senml", |b| message("senml", b)),
    ("bthome", |b| message("bthome", b)),
    ("csv", |b| message("csv", b)),
    ("weather", |b| agency("weather", b)),
    ("particles", |b| agency("particles", b)),
    ("head of a post", post),
];

static MAP: LazyLock<Map> = LazyLock::new(|| {
    let source = |payload: &str, value: &str| {
        format!(
            "[source.{payload}]\npath = '{payload}'\npayload = '{payload}'\n{value}quantity = 'temp'\nunit = 'degC'\n\
             basis = 'raw'\ninstrument = 'one'\nplace = 'attic'\n"
        )
    };
    let sources = [
        source("json", "value = '$.a.b[0]'\ntime = '$.at'\n"),
        source("plain", ""),
        source("senml", "value = 'attic:temp'\n"),
        source("bthome", "value = 'temperature'\n"),
        source("csv", "value = 'v'\ntime = 't'\n"),
    ];
    let posts = "format = 1\n[posts]\nlisten = '127.0.0.1:1'\ntoken_env = 'X'\n";
    Map::new(&document(&format!("{posts}{}", sources.concat())))
});

fn message(payload: &str, bytes: &[u8]) {
    let sorted = MAP.sort(Arrival::new(Via::Path(payload.to_owned()), bytes.to_vec(), NOW_MS), NOW_MS);
    assert!(sorted.readings.iter().all(|r| r.value.is_finite() && r.time_ms <= NOW_MS + 3_600_000));
    assert!(!sorted.readings.is_empty() || sorted.trouble.is_some(), "nothing is said of it");
}

fn agency(name: &str, bytes: &[u8]) {
    if let Ok(list) = outdoor::read(name, bytes) {
        assert!(list.iter().all(|o| o.2.is_finite()));
    }
}

fn post(bytes: &[u8]) {
    let terms = Terms { token: "secret".to_owned(), largest_body: 1000, per_minute: 10 };
    if let Ok(head) = head(&String::from_utf8_lossy(bytes), &terms) {
        assert!(head.length <= terms.largest_body);
    }
}

/// Pieces that messages are made of.
const PIECES: &[&str] = &[
    "{",
    "}",
    "[",
    "]",
    ",",
    ":",
    "\"a\"",
    "\"b\"",
    "\"at\"",
    "1e999",
    "-40",
    "21.5",
    "null",
    "true",
    "\"21\"",
    "\"\\u0000\"",
    "1790000000",
    "99999999999999999999",
    "\"2026-11-12T22:00:00Z\"",
    "\"2026-13-45\"",
    "\n",
    "\r\n",
    "t,v",
    "v",
    ";",
    "\"",
    "\"n\":\"attic:temp\"",
    "\"v\":1e400",
    "\"bn\"",
    "\"u\":\"Cel\"",
    "\"bt\"",
    "40",
    "02c409",
    "44",
    "ff",
    "zz",
    "on",
    "NaN",
    "\"properties\":{\"temperature\":{\"value\":",
    "\"unitCode\":\"wmoUnit:degC\"",
    "|",
    "\u{feff}",
    "\u{202e}",
    "POST /readings/a HTTP/1.1",
    "Authorization: Bearer secret",
    "Content-Length: ",
    "-1",
    "18446744073709551616",
    "Expect: 100-continue",
    "\0",
    "[[[[[[[[[[[[",
];

#[test]
fn malformed_messages_by_the_ten_thousand() {
    let mut state = 987_654_321_u64;
    let mut below = move |n: usize| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as usize % n
    };
    for (name, parser) in ALL {
        for k in 0..10_000 {
            let mut bytes: Vec<u8> = Vec::new();
            for _ in 0..below(24) {
                bytes.extend_from_slice(PIECES[below(PIECES.len())].as_bytes());
            }
            // Every fourth with bytes that are no text.
            if k % 4 == 0 && !bytes.is_empty() {
                let at = below(bytes.len());
                bytes[at] = below(256) as u8;
            }
            let told = std::panic::catch_unwind(|| parser(&bytes));
            assert!(told.is_ok(), "{name}: {:?}", String::from_utf8_lossy(&bytes));
        }
    }
}
