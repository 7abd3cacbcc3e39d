//! Sheets as PDF: they say what their HTML says, are tagged, and have the paper that was asked for.
//!
//! What stands in a PDF is read by poppler's `pdftotext` and `pdfinfo`; without them the tests say NOT RUN.

use crate::run::{Folder, program};
use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;

const RULES: &str = "run-time";

/// What a tool of poppler says; nothing where it is not installed.
#[expect(clippy::print_stdout, reason = "a test that did not run says so")]
fn poppler(tool: &str, options: &[&str], file: &Path) -> Option<String> {
    let out = if tool == "pdftotext" { vec!["-"] } else { vec![] };
    let ran = match Command::new(tool).args(options).arg(file).args(out).output() {
        Ok(ran) => ran,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
            println!("NOT RUN: {tool} is missing (Debian: apt-get install poppler-utils)");
            return None;
        }
        Err(error) => panic!("{tool}: {error}"),
    };
    assert!(ran.status.success(), "{tool} {file:?}: {}", String::from_utf8_lossy(&ran.stderr));
    // Titles of elements are told in the bytes of the file.
    Some(String::from_utf8_lossy(&ran.stdout).into_owned())
}

/// The text of a page as paper shows it: without head, drawings for a phone, and titles of drawings.
fn shown(html: &str) -> String {
    let mut out = String::new();
    let mut open: Vec<(String, bool)> = Vec::new();
    let mut rest = html.split_once("<html").unwrap().1.split_once('>').unwrap().1;
    while let Some((text, tail)) = rest.split_once('<') {
        if !open.iter().any(|o| o.1) {
            out.push_str(text);
        }
        let (tag, tail) = tail.split_once('>').unwrap();
        rest = tail;
        let name: String = tag.trim_start_matches('/').chars().take_while(|c| c.is_alphanumeric()).collect();
        if !matches!(name.as_str(), "b" | "strong" | "span" | "small") {
            out.push('\n');
        }
        if tag.starts_with('/') {
            let closed = open.pop();
            assert!(closed.is_none_or(|c| c.0 == name), "{name} is closed");
        } else if !matches!(name.as_str(), "br" | "hr" | "meta" | "img") {
            let class = tag.split_once("class=\"").map_or("", |c| c.1.split('"').next().unwrap());
            let hidden = class.split(' ').any(|c| c == "narrow")
                || matches!(name.as_str(), "head" | "title" | "desc" | "style");
            open.push((name, hidden));
        }
    }
    out.replace("&lt;", "<")
        .replace("&gt;", ">")
        .replace("&quot;", "\"")
        .replace("&#39;", "'")
        .replace("&amp;", "&")
}

/// Numbers of a text with sign and unit, in order.
fn numbers(text: &str) -> Vec<(String, String)> {
    let plain: String = text
        .chars()
        .filter(|c| *c != '\u{200b}')
        .map(|c| if matches!(c, '\u{a0}' | '\u{202f}' | '\u{2009}') { ' ' } else { c })
        .collect();
    let units: Vec<&str> = engine::units::UNITS
        .iter()
        .map(|u| u.symbol)
        .filter(|u| u.contains(|c: char| !c.is_ascii_digit()))
        .collect();
    let mut found = Vec::new();
    let chars: Vec<char> = plain.chars().collect();
    let mut at = 0;
    while at < chars.len() {
        if !chars[at].is_ascii_digit() {
            at += 1;
            continue;
        }
        let from = at;
        while at < chars.len()
            && (chars[at].is_ascii_digit()
                || (matches!(chars[at], '.' | ',') && chars.get(at + 1).is_some_and(char::is_ascii_digit)))
        {
            at += 1;
        }
        let sign = from.checked_sub(1).map(|i| chars[i]).filter(|c| matches!(c, '+' | '\u{2212}'));
        let number: String = sign.into_iter().chain(chars[from..at].iter().copied()).collect();
        let after: String =
            chars[at..].iter().skip_while(|c| **c == ' ').take_while(|c| !c.is_whitespace()).collect();
        let after = after.trim_end_matches(['.', ',', ';', ':', ')']);
        found
            .push((number, units.iter().find(|u| **u == after).map(|u| (*u).to_owned()).unwrap_or_default()));
    }
    found
}

fn counted<T: Ord + Clone>(list: impl IntoIterator<Item = T>) -> BTreeMap<T, i64> {
    let mut out = BTreeMap::new();
    for item in list {
        *out.entry(item).or_default() += 1;
    }
    out
}

/// What is in one and not in the other: name and how often more.
fn apart<T: Ord + Clone>(a: &BTreeMap<T, i64>, b: &BTreeMap<T, i64>) -> Vec<(T, i64)> {
    let keys: std::collections::BTreeSet<&T> = a.keys().chain(b.keys()).collect();
    let more = |k: &T| a.get(k).unwrap_or(&0) - b.get(k).unwrap_or(&0);
    keys.into_iter().map(|k| (k.clone(), more(k))).filter(|(_, n)| *n != 0).collect()
}

/// The demonstration house with a letterhead, control rules and a visit after the work.
fn house(folder: &Folder, language: &str, units: &str) {
    let mut files = api::demo().unwrap();
    for file in &mut files {
        if file.name == "job.toml" {
            file.text = file
                .text
                .replace("units = \"IP\"", &format!("units = \"{units}\""))
                .replace("language = \"en\"", &format!("language = \"{language}\""))
                .replace("[place]\nname", "[letterhead]\nname = \"Casa #read(\\\"/etc/passwd\\\") & *Peña*\"\naddress = [\"1 Sample Road // $5\"]\n\n[place]\nname");
        }
    }
    let inputs = api::Inputs { files: files.clone(), now: String::new() };
    let rules = api::ready_rules(&inputs, RULES).unwrap();
    let visit = files.iter().find(|f| f.name.ends_with("visit.toml")).unwrap();
    let after = visit.text.replacen("2026-11-12", "2026-12-10", 1);
    assert_ne!(after, visit.text);
    folder.write(
        "visits/2026-12-10/visit.toml",
        format!("{after}\n[test_out]\nof = \"c\"\nbefore = \"2026-11-12\"\n"),
    );
    for file in &files {
        folder.write(&file.name, &file.text);
    }
    folder.write("rules/ready.toml", rules);
}

fn print(folder: &Folder, options: &[&str]) -> serde_json::Value {
    let ran =
        program().args(["report", "--pdf", "--json"]).args(options).arg(folder.path()).output().unwrap();
    let said = String::from_utf8_lossy(&ran.stderr).into_owned();
    assert!(ran.status.code().is_some_and(|c| c <= 1), "{said}");
    let answer: serde_json::Value = serde_json::from_slice(&ran.stdout).unwrap();
    let about = |d: &&serde_json::Value| d["code"].as_str().is_some_and(|c| c.starts_with("K18"));
    let found: Vec<_> =
        answer["data"]["diagnostics"].as_array().into_iter().flatten().filter(about).collect();
    assert!(found.is_empty(), "{found:?}");
    let found: Vec<_> = answer["diagnostics"].as_array().unwrap().iter().filter(about).collect();
    assert!(found.is_empty(), "{found:?}");
    answer
}

/// Every sheet of a house, printed and compared with its HTML.
fn all_sheets_say_the_same(language: &str, units: &str, size: &str) {
    let folder = Folder::new();
    house(&folder, language, units);
    let answer = print(&folder, &[]);
    let sheets = answer["data"]["sheets"].as_array().unwrap();
    let kinds: std::collections::BTreeSet<&str> =
        sheets.iter().map(|s| s["sheet"].as_str().unwrap()).collect();
    let all = ["owner", "record", "hand-off", "test-out", "commissioning", "certificate"];
    assert_eq!(kinds, all.into_iter().collect());
    for sheet in sheets {
        let (html, pdf) = (sheet["file"].as_str().unwrap(), sheet["pdf"].as_str().unwrap());
        let file = folder.path().join("out").join(pdf);
        let html = folder.read(&format!("out/{html}"));
        let Some(info) = poppler("pdfinfo", &[], &file) else { return };
        let said = |key: &str| info.lines().find_map(|l| l.strip_prefix(key)).unwrap_or("").trim().to_owned();
        assert_eq!(said("Tagged:"), "yes", "{pdf}");
        assert!(said("Page size:").contains(size), "{pdf}: {}", said("Page size:"));
        assert_eq!(said("Author:"), "Casa #read(\"/etc/passwd\") & *Peña*", "{pdf}");
        assert!(!said("Title:").is_empty(), "{pdf}");
        let pages: usize = said("Pages:").parse().unwrap();
        let single = pdf.starts_with("owner") || pdf.starts_with("certificate");
        if single {
            assert_eq!(pages, 1, "{pdf}");
        }
        let bytes = std::fs::read(&file).unwrap();
        let has = |needle: &[u8]| bytes.windows(needle.len()).any(|w| w == needle);
        assert!(has(b"pdfuaid"), "{pdf} says that it is PDF/UA");
        assert!(
            has(format!("/Lang({language})").as_bytes()) || has(format!("/Lang ({language})").as_bytes()),
            "{pdf}"
        );

        let Some(text) = poppler("pdftotext", &["-nopgbrk"], &file) else { return };
        // The foot of each page: title and count, nothing of the sheet.
        let mut expected = counted(numbers(&shown(&html)).into_iter().map(|n| n.0));
        if !single {
            let title = said("Title:");
            for page in 1..=pages {
                for (number, _) in numbers(&format!("{title}\n{page} / {pages}")) {
                    *expected.entry(number).or_default() += 1;
                }
            }
        }
        let printed = numbers(&text);
        assert_eq!(apart(&counted(printed.iter().map(|n| n.0.clone())), &expected), [], "{pdf}, {language}");
        // In the order of the page, what is no drawing: as the tags have it, which a screen reader follows.
        let Some(tagged) = poppler("pdfinfo", &["-struct-text"], &file) else { return };
        let plain = without_drawings(&html);
        let read: Vec<String> = numbers(&spoken(&tagged)).into_iter().map(|n| n.0).collect();
        let wanted: Vec<String> = numbers(&shown(&plain)).into_iter().map(|n| n.0).collect();
        let first = read.iter().zip(&wanted).position(|(a, b)| a != b);
        let around = |l: &[String]| {
            l.iter().skip(first.unwrap_or(0).saturating_sub(3)).take(9).cloned().collect::<Vec<_>>()
        };
        assert!(read == wanted, "{pdf}, {language}: {:?} for {:?}", around(&read), around(&wanted));
        // With their units, what is no drawing: a drawing's words stand where the drawing wants them.
        let united = counted(numbers(&shown(&plain)).into_iter().filter(|n| !n.1.is_empty()));
        let there = counted(printed.into_iter().filter(|n| !n.1.is_empty()));
        let lost: Vec<_> = united.iter().filter(|(k, n)| there.get(*k).unwrap_or(&0) < *n).collect();
        assert!(
            united.len() > 3 || pdf.starts_with("rules") || pdf.starts_with("hand-off"),
            "{pdf} has numbers"
        );
        assert!(lost.is_empty(), "{pdf}, {language}: {lost:?}");
    }
}

/// The text of a file's tags, without drawings.
fn spoken(tagged: &str) -> String {
    let mut out = String::new();
    let mut drawing: Option<usize> = None;
    for line in tagged.lines() {
        let inner = line.trim_start();
        let depth = line.len() - inner.len();
        if drawing.is_some_and(|d| depth <= d) {
            drawing = None;
        }
        match inner.strip_prefix('"').and_then(|l| l.strip_suffix('"')) {
            Some(text) if drawing.is_none() => out.push_str(text),
            Some(_) => {}
            None => {
                if drawing.is_none() && inner.starts_with("Figure") {
                    drawing = Some(depth);
                }
                // An element that is no part of a line begins another one.
                if !inner.starts_with("Span") {
                    out.push('\n');
                }
            }
        }
    }
    out
}

fn without_drawings(html: &str) -> String {
    let mut out = String::new();
    let mut rest = html;
    while let Some((before, tail)) = rest.split_once("<svg") {
        out.push_str(before);
        rest = tail.split_once("</svg>").unwrap().1;
    }
    out + rest
}

#[test]
fn every_sheet_in_english_on_letter_says_what_its_html_says() {
    all_sheets_say_the_same("en", "IP", "letter");
}

#[test]
fn every_sheet_in_spanish_on_a4_says_what_its_html_says() {
    all_sheets_say_the_same("es", "SI", "A4");
}
