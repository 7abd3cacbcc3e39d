use super::*;
use engine::diag::{ALL, code};
use engine::measure::{Estimate, NoInterval};
use std::collections::{BTreeMap, BTreeSet};

fn en() -> Words {
    Words::new(Language::En, System::Ip)
}

fn es() -> Words {
    Words::new(Language::Es, System::Si)
}

fn si(value: f64, unit: &str, quantity: Quantity) -> f64 {
    engine::units::unit(unit, quantity).unwrap().to_si(value)
}

/// Entries of a language: key (also `key.attribute`) and the names of its placeables.
fn entries(language: Language) -> BTreeMap<String, BTreeSet<String>> {
    let mut found: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for (file, text) in language.catalogues() {
        let (mut id, mut key) = (String::new(), String::new());
        for line in text.lines().filter(|l| !l.starts_with('#')) {
            let name = line.split('=').next().unwrap().trim();
            let word = !name.is_empty() && !name.contains([' ', '{', '$', '*', '[']);
            if line.contains('=') && word && !line.starts_with(' ') {
                id = name.to_owned();
                key = id.clone();
                let twice = found.insert(key.clone(), BTreeSet::new());
                assert!(twice.is_none(), "{key} stands twice ({file}, {})", language.tag());
            } else if line.contains('=') && word && name.starts_with('.') {
                key = format!("{id}{name}");
                found.insert(key.clone(), BTreeSet::new());
            }
            for (_, rest) in line.match_indices('$').map(|(i, _)| line.split_at(i + 1)) {
                let name: String = rest.chars().take_while(|c| c.is_alphanumeric() || *c == '_').collect();
                found.entry(key.clone()).or_default().insert(name);
            }
        }
    }
    found
}

#[test]
fn catalogues_are_well_formed() {
    for language in Language::ALL {
        for (name, text) in language.catalogues() {
            if let Err((_, errors)) = FluentResource::try_new((*text).to_owned()) {
                panic!("{}/{name}.ftl: {errors:?}", language.tag());
            }
        }
    }
}

#[test]
fn every_code_has_a_text_in_every_language() {
    let mut missing = Vec::new();
    for language in Language::ALL {
        let known = entries(language);
        missing.extend(
            ALL.iter().filter(|c| !known.contains_key(c.0)).map(|c| format!("{}:{}", language.tag(), c.0)),
        );
    }
    assert!(missing.is_empty(), "codes without a text: {}", missing.join(" "));
}

#[test]
fn languages_have_the_same_keys_and_placeables() {
    let (en, es) = (entries(Language::En), entries(Language::Es));
    let mut wrong = Vec::new();
    for key in en.keys().chain(es.keys()).collect::<BTreeSet<_>>() {
        match (en.get(key), es.get(key)) {
            (Some(a), Some(b)) if a != b => wrong.push(format!("{key}: {a:?} against {b:?}")),
            (Some(_), None) => wrong.push(format!("{key}: not in es")),
            (None, Some(_)) => wrong.push(format!("{key}: not in en")),
            _ => {}
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Keys in `.say("...")` and `.text("...")` of the crates that speak.
#[test]
fn every_key_in_the_code_is_in_the_catalogue() {
    fn walk(folder: &std::path::Path, keys: &mut BTreeSet<String>) {
        for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
            let path = entry.path();
            if path.is_dir() {
                walk(&path, keys);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let flat: String = std::fs::read_to_string(&path).unwrap();
                let flat = flat.replace(".text(\n", ".text(").replace(".say(\n", ".say(");
                for opening in [".say(", ".text("] {
                    for part in flat.split(opening).skip(1) {
                        if let Some(rest) = part.trim_start().strip_prefix('"') {
                            keys.insert(rest.split('"').next().unwrap().to_owned());
                        }
                    }
                }
            }
        }
    }
    // Results name their figures, checks and sentences by the key alone.
    fn ids(folder: &std::path::Path, keys: &mut BTreeSet<String>) {
        for entry in std::fs::read_dir(folder).into_iter().flatten().flatten() {
            let path = entry.path();
            if path.is_dir() {
                ids(&path, keys);
            } else if path.extension().is_some_and(|e| e == "rs") {
                let text: String = std::fs::read_to_string(&path).unwrap();
                let is_key = |t: &&str| {
                    ["figure-", "check-", "note-"].iter().any(|p| t.starts_with(p))
                        && t.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'-')
                };
                keys.extend(text.split('"').filter(is_key).map(str::to_owned));
            }
        }
    }
    let mut keys: BTreeSet<String> =
        engine::doc::field::KINDS.iter().map(|k| format!("test-{}", k.0.replace(' ', "-"))).collect();
    ids(&std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../engine/src/procedure"), &mut keys);
    assert!(keys.contains("figure-dew-point"), "the scan found no id");
    let root = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    for folder in ["src", "../api/src", "../app/src"] {
        walk(&root.join(folder), &mut keys);
    }
    assert!(keys.len() > 5, "the scan found nothing: {keys:?}");
    for language in Language::ALL {
        let known = entries(language);
        let missing: Vec<&String> =
            keys.iter().filter(|k| k.contains('-') && !known.contains_key(*k)).collect();
        assert!(missing.is_empty(), "{}: {missing:?}", language.tag());
    }
}

#[test]
fn every_quantity_has_a_name() {
    for quantity in Quantity::all() {
        let key = format!("quantity-{}", serde_json::to_string(&quantity).unwrap().trim_matches('"'));
        let said = es().value(&Arg::Text(key.clone()));
        assert_ne!(said, FluentValue::from(key));
    }
}

#[test]
fn a_diagnostic_is_said_in_both_languages() {
    let d = Diagnostic::error(code::U004)
        .arg("found", "50 cfn")
        .arg("near", "cfm")
        .arg("wanted_units", "cfm, L/s");
    assert_eq!(en().diagnostic(&d).text, "the unit in `50 cfn` is not known");
    assert_eq!(en().diagnostic(&d).help.unwrap(), "did you mean `cfm`?");
    assert_eq!(es().diagnostic(&d).help.unwrap(), "¿quiso decir `cfm`?");
    let far = Diagnostic::error(code::U004).arg("found", "5 blah").arg("near", "").arg("wanted_units", "cfm");
    assert_eq!(en().diagnostic(&far).help.unwrap(), "use one of the units that fit");
    let kind = Diagnostic::error(code::U005)
        .arg("found", "50 Pa")
        .arg("is", "quantity-pressure")
        .arg("wanted", "quantity-air_flow")
        .arg("wanted_units", "cfm");
    assert_eq!(es().diagnostic(&kind).text, "`50 Pa` es una presión, pero aquí hace falta un caudal de aire");
}

#[test]
fn quantities_in_messages_follow_system_and_language() {
    let d = Diagnostic::error(code::U008)
        .arg("key", "height")
        .arg("found", (-2.5, Quantity::Length))
        .arg("low", (0.0, Quantity::Length))
        .arg("high", (30.48, Quantity::Length));
    assert_eq!(en().diagnostic(&d).text, "`height` cannot be \u{2212}8.2\u{a0}ft");
    assert_eq!(es().diagnostic(&d).text, "`height` no puede ser \u{2212}2,5\u{a0}m");
    let rows = Diagnostic::error(code::T006).arg("row", 1200usize).arg("found", 1usize).arg("wanted", 3usize);
    assert_eq!(en().diagnostic(&rows).text, "row 1,200 has 1 column; the header has 3");
}

#[test]
fn estimates_read_as_the_look_asks() {
    let q = Quantity::AirFlow;
    let cfm = |x| si(x, "cfm", q);
    let e = Estimate::range(cfm(26.2), cfm(19.1), cfm(37.2), 0.9, q);
    assert_eq!(en().estimate(&e, Show::default()), "26\u{a0}cfm, 90\u{a0}% range 19 to 37");
    let cfm50 = Estimate::range(cfm(2291.4), cfm(2247.0), cfm(2335.0), 0.95, q);
    assert_eq!(en().estimate_short(&cfm50, Show::usage(Usage::TestFlow)), "2,291\u{a0}cfm (2,247 to 2,335)");
    assert_eq!(es().estimate_short(&cfm50, Show::usage(Usage::TestFlow)), "3.893\u{a0}m³/h (3.818 a 3.967)");
    let p = Estimate::range(3.0, 2.4, 3.6, 0.9, Quantity::Pressure);
    assert_eq!(en().estimate_short(&p, Show::default().signed()), "+3.0\u{a0}Pa (+2.4 to +3.6)");
    let typed = Estimate::without(cfm(60.0), q, NoInterval::TypedWithoutInstrument);
    assert_eq!(en().estimate(&typed, Show::default()), "60\u{a0}cfm, no interval: typed without instrument");
    let n = Estimate::range(-0.67, -1.2, 0.1, 0.9, Quantity::Number);
    assert_eq!(es().range_tight(&n, Show::default()), "\u{2212}1,20 a 0,10");
}

#[test]
fn computed_values_in_sentences_are_rounded() {
    let flow = si(112.7, "cfm", Quantity::AirFlow);
    assert_eq!(en().about(flow, Quantity::AirFlow, Show::default()), "113\u{a0}cfm");
    assert_eq!(es().about(7.738, Quantity::Pressure, Show::default().signed()), "+7,7\u{a0}Pa");
    assert_eq!(en().about(-0.013, Quantity::Pressure, Show::default().signed()), "0.0\u{a0}Pa");
    let tiny = Estimate::range(0.040, 0.020, 0.049, 0.9, Quantity::Pressure);
    assert_eq!(en().estimate_short(&tiny, Show::default().signed()), "0.0\u{a0}Pa");
    let none = Estimate::range(0.0, 0.0, 0.001, 0.9, Quantity::Fraction);
    assert_eq!(en().estimate_short(&none, Show::default()), "0\u{a0}%");
    assert_eq!(en().range_tight(&none, Show::default()), "");
    let ppm = Estimate::range(632e-6, 630e-6, 635e-6, 0.9, Quantity::GasFraction);
    assert_eq!(en().estimate_short(&ppm, Show::default()), "632\u{a0}ppm (630 to 635)");
    let no_value = Estimate::without(f64::NAN, Quantity::Money, NoInterval::NotComputed);
    assert_eq!(en().estimate_short(&no_value, Show::default()), "\u{2013}");
}

#[test]
fn money_has_its_sign_before_or_after() {
    assert_eq!(en().quantity(1900.0, Quantity::Money), "$1,900");
    assert_eq!(en().quantity(-1900.0, Quantity::Money), "\u{2212}$1,900");
    assert_eq!(es().with_currency("EUR").quantity(1900.0, Quantity::Money), "1.900\u{a0}€");
}

#[test]
fn trade_units() {
    let area = si(15.0, "in2", Quantity::Area);
    assert_eq!(en().quantity_as(area, Quantity::Area, Show::usage(Usage::LeakageArea)), "15\u{a0}in²");
    assert_eq!(es().quantity_as(74.0, Quantity::Time, Show::usage(Usage::Seconds)), "74\u{a0}s");
}
