//! Texts of documents, gate, fit, next and plans, as they come out in both languages.

use super::*;
use engine::diag::code;
use engine::gate::{Condition, Reason};

const BOTH: [Language; 2] = Language::ALL;

fn words(language: Language) -> Words {
    Words::new(language, System::Si)
}

/// Keys of a language, also `key.attribute`, with the names of the values they need.
fn keys(language: Language) -> Vec<(String, Vec<String>)> {
    let mut found: Vec<(String, Vec<String>)> = Vec::new();
    let mut id = String::new();
    for line in language.catalogues().iter().flat_map(|(_, text)| text.lines()) {
        let head = line.split(" = ").next().unwrap_or("");
        let head = head.strip_suffix(" =").unwrap_or(head).trim();
        // A message may have parts and no text of its own.
        let parts_alone = line.ends_with(" =") && !line.starts_with(' ');
        let plain = head.chars().all(|c| c.is_ascii_alphanumeric() || "-._".contains(c));
        if line.starts_with('#') || line.trim().is_empty() {
            continue;
        }
        if line.contains(" = ") && plain && line.starts_with("    .") {
            found.push((format!("{id}{head}"), Vec::new()));
        } else if parts_alone && plain {
            id = head.to_owned();
            continue;
        } else if line.contains(" = ") && plain && !line.starts_with(' ') {
            id = head.to_owned();
            found.push((id.clone(), Vec::new()));
        }
        let Some((_, names)) = found.last_mut() else { continue };
        for part in line.split('$').skip(1) {
            let name: String = part.chars().take_while(|c| c.is_ascii_alphanumeric() || *c == '_').collect();
            names.push(name);
        }
    }
    found
}

#[test]
fn every_text_comes_out_whole() {
    let mut broken = Vec::new();
    for language in BOTH {
        let list = keys(language);
        assert!(list.len() > 300, "the scan found only {}", list.len());
        for (key, names) in list {
            // A text, nothing, one and many: every variant of every selector that hangs on them.
            for value in [Arg::from("x"), Arg::from(""), Arg::Number(1.0), Arg::Number(3.0)] {
                let args: Vec<(&str, Arg)> = names.iter().map(|n| (n.as_str(), value.clone())).collect();
                let Some(said) = words(language).find(&key, &args) else {
                    broken.push(format!("{} {key}: cannot be read", language.tag()));
                    continue;
                };
                // Examples of what to type hold dots of their own.
                let plain = said.replace(" ...", "");
                if ["{", "}", "  ", " ,", " .", " ;", "\n"].iter().any(|w| plain.contains(w)) {
                    broken.push(format!("{} {key}: {said:?}", language.tag()));
                }
            }
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

#[test]
fn every_reason_and_condition_of_the_gate_has_a_text() {
    let name = || "water heater".to_owned();
    let reasons = [
        Reason::NotInspected,
        Reason::Contradiction,
        Reason::ApplianceNotNamed,
        Reason::SpillageMissing { appliance: name() },
        Reason::FlueCoMissing { appliance: name() },
        Reason::SpillageFailed { appliance: name() },
        Reason::FlueCoFailed { appliance: name() },
        Reason::LimitNotConfirmed { appliance: name() },
        Reason::BasisDiffers { appliance: name() },
        Reason::Unvented { appliance: name() },
        Reason::Stopped,
        Reason::Changed,
        Reason::RepeatOwed,
    ];
    let conditions =
        [Condition::ReplaceFirst { appliance: name() }, Condition::TestAgain, Condition::SignedOff];
    // A new variant stops the build here until it has a text and stands above.
    for reason in &reasons {
        match reason {
            Reason::NotInspected | Reason::Contradiction | Reason::ApplianceNotNamed => {}
            Reason::Stopped | Reason::Changed | Reason::RepeatOwed => {}
            Reason::SpillageMissing { .. } | Reason::FlueCoMissing { .. } => {}
            Reason::SpillageFailed { .. } | Reason::FlueCoFailed { .. } => {}
            Reason::LimitNotConfirmed { .. } | Reason::BasisDiffers { .. } | Reason::Unvented { .. } => {}
        }
    }
    for condition in &conditions {
        match condition {
            Condition::ReplaceFirst { .. } | Condition::TestAgain | Condition::SignedOff => {}
        }
    }
    let tags = (reasons.iter().map(|r| ("reason", serde_json::to_value(r).unwrap())))
        .chain(conditions.iter().map(|c| ("condition", serde_json::to_value(c).unwrap())));
    for (kind, value) in tags {
        let key = format!("gate-{kind}-{}", value[kind].as_str().unwrap());
        for language in BOTH {
            let said = words(language).find(&key, &[("appliance", "water heater".into())]);
            let said = said.unwrap_or_else(|| panic!("{}: {key}", language.tag()));
            // Joined with semicolons into one sentence.
            assert!(!said.contains(';') && !said.ends_with('.'), "{said}");
            let named = value.get("appliance").is_some();
            assert_eq!(said.contains("water heater"), named, "{said}");
        }
    }
}

/// The program states values, limits and who acts; it never calls anything safe.
#[test]
fn nothing_is_called_safe() {
    for language in BOTH {
        for (name, text) in language.catalogues() {
            for line in text.lines().filter(|l| !l.starts_with('#')) {
                let said = line.split_once(" = ").map_or(line, |(_, said)| said).to_lowercase();
                let bad = said
                    .split(|c: char| !c.is_alphanumeric())
                    .find(|w| ["safe", "safely", "seguro", "segura", "seguros", "seguras"].contains(w));
                assert!(bad.is_none(), "{}/{name}: {line}", language.tag());
            }
        }
    }
}

#[test]
fn an_unknown_name_is_told_by_its_kind() {
    let d = |kind: &'static str, known: &'static str| {
        Diagnostic::error(code::T011)
            .arg("name", "bedrom")
            .arg("kind", kind)
            .arg("near", "")
            .arg("known", known)
    };
    let en = words(Language::En);
    let es = words(Language::Es);
    assert_eq!(en.diagnostic(&d("zone", "")).text, "there is no zone called `bedrom`");
    assert_eq!(
        es.diagnostic(&d("switchable", "")).text,
        "nada que se pueda encender, abrir, cerrar o sellar tiene el nombre `bedrom`"
    );
    assert_eq!(en.diagnostic(&d("zone", "main, attic")).because.unwrap(), "known here: main, attic");
    assert_eq!(en.diagnostic(&d("zone", "")).because.unwrap(), "nothing of this kind is named yet");
    let mut said: Vec<String> =
        ["switchable", "zone", "instrument", "flow", "plan", "leak", "door", "appliance", "thing", "size"]
            .iter()
            .chain(&["price", "fan", "filter", "opening", "surface", "source", "gas"])
            .map(|k| en.diagnostic(&d(k, "")).text)
            .collect();
    said.sort();
    said.dedup();
    assert_eq!(said.len(), 17);
}

#[test]
fn outdoors_is_a_place_without_a_name() {
    let taps = |a: &str, b: &str| [("feels", Arg::from(a)), ("compared_with", Arg::from(b))];
    let en = |a, b| words(Language::En).text("reading-pressure", &taps(a, b));
    let es = |a, b| words(Language::Es).text("reading-pressure", &taps(a, b));
    assert_eq!(en("attic", ""), "pressure in attic against outdoors");
    assert_eq!(en("attic", "hall"), "pressure in attic against hall");
    assert_eq!(en("", "hall"), "pressure outdoors against hall");
    assert_eq!(es("ático", ""), "presión en ático respecto al exterior");
    assert_eq!(es("", "pasillo"), "presión del exterior respecto a pasillo");
}

#[test]
fn lists_and_counts_read_well() {
    let en = words(Language::En);
    let es = words(Language::Es);
    let used = |w: &Words, n: usize, m: usize| {
        w.text("fit-used", &[("readings", n.into()), ("instruments", m.into())])
    };
    assert_eq!(used(&en, 23, 1), "23 readings from 1 instrument");
    assert_eq!(used(&es, 1, 2), "1 lectura de 2 instrumentos");
    let of = |w: &Words, zone: &str| w.text("measure-co2-at-night", &[("zone", zone.into())]);
    assert_eq!(of(&en, ""), "CO₂ at night");
    assert_eq!(of(&en, "bedroom 2"), "CO₂ at night in bedroom 2");
    assert_eq!(of(&es, "dormitorio 2"), "CO₂ de noche en dormitorio 2");
    let fan = |hours: &str| {
        en.text(
            "change-exhaust",
            &[("from", "bath".into()), ("flow", "50 cfm".into()), ("hours", hours.into())],
        )
    };
    assert_eq!(fan(""), "exhaust fan in bath: 50 cfm, always on");
    assert_eq!(fan("7:00 to 8:00"), "exhaust fan in bath: 50 cfm, 7:00 to 8:00");
    let failed = |source: &str| {
        let args = [
            ("appliance", Arg::from("Water heater")),
            ("value", "75 s".into()),
            ("limit", "60 s".into()),
            ("source", source.into()),
        ];
        en.text("safety-failed-spillage", &args)
    };
    let found = "Flue gas of Water heater spilled into the house for 75 s; the published limit is 60 s";
    assert_eq!(failed(""), format!("{found}, its source not stated."));
    assert_eq!(failed("protocol, clause 7"), format!("{found} (protocol, clause 7)."));
}

/// A message without a reason or a remedy leaves somebody alone with it.
#[test]
fn every_code_has_its_reason_and_its_remedy_in_every_language() {
    let mut missing = Vec::new();
    for language in [Language::En, Language::Es] {
        let words = Words::new(language, System::Ip);
        for code in engine::diag::ALL {
            for part in ["because", "help"] {
                let key = format!("{code}.{part}");
                // `find` falls back to English; the parity of keys is another test's work.
                if words.find(&key, &[]).is_none() {
                    missing.push(key);
                }
            }
        }
    }
    assert!(missing.is_empty(), "{missing:?}");
}
