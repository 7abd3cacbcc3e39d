//! The words of the page: every key of the catalogue that is the phone's and needs no values.

use super::draft::Field;
use engine::units::System;
use report::words::Words;
use serde_json::{Map, Value, json};

/// Keys in front of which this stands belong to the page.
const OURS: &str = "phone-";

/// `words`, and the `units` of the fields in both systems, as the wire carries them.
pub(super) fn all(words: &Words) -> Value {
    let said: Map<String, Value> =
        keys(words).into_iter().map(|k| (k.clone(), words.say(&k).into())).collect();
    let units = |system| units(&words.with_system(system));
    json!({ "words": said, "units": { "IP": units(System::Ip), "SI": units(System::Si) } })
}

fn units(words: &Words) -> Map<String, Value> {
    let symbol = |field: &Field| {
        let show = report::words::Show::unit(field.unit(words).symbol);
        words.unit_symbol(field.quantity(), show)
    };
    Field::ALL.iter().map(|(name, field)| ((*name).to_owned(), symbol(field).into())).collect()
}

/// Keys without a placeable, attributes (`key.help`) included.
fn keys(words: &Words) -> Vec<String> {
    let mut found: Vec<(String, bool)> = Vec::new();
    let mut id = "";
    for (_, text) in words.language().catalogues() {
        for line in text.lines().filter(|l| !l.starts_with('#')) {
            let name = line.split_once('=').map_or("", |(name, _)| name.trim());
            if !line.starts_with(' ') && !line.is_empty() {
                id = name;
                if id.starts_with(OURS) {
                    found.push((id.to_owned(), true));
                }
            } else if name.starts_with('.') && id.starts_with(OURS) {
                found.push((format!("{id}{name}"), true));
            }
            if line.contains("{ $")
                && id.starts_with(OURS)
                && let Some(last) = found.last_mut()
            {
                last.1 = false;
            }
        }
    }
    found.into_iter().filter(|f| f.1).map(|f| f.0).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use report::words::Language;

    #[test]
    fn the_page_gets_its_words_and_no_sentence_with_a_hole() {
        for language in Language::ALL {
            let answer = all(&Words::new(language, System::Ip));
            let said = answer["words"].as_object().unwrap();
            assert!(said.len() > 40, "{}", said.len());
            for (key, text) in said {
                let text = text.as_str().unwrap();
                assert!(!text.contains(['{', '$']) && text != key && !text.is_empty(), "{key}: {text}");
            }
            assert!(!said.contains_key("phone-job-name"), "it needs a date");
            assert_eq!(answer["units"]["SI"]["flow"], "m\u{b3}/h");
            assert_eq!(answer["units"]["SI"]["temperature"], "\u{b0}C");
            assert_eq!(answer["units"]["IP"]["flow"], "cfm");
        }
    }
}
