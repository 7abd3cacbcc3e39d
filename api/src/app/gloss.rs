//! Words of the documents are English in every language: beside one that a text names stands what it means.

use super::form::meaning;
use report::words::{Language, Words};
use serde_json::Value;

/// A text whose words of the documents, which stand between backticks, are followed by their meaning,
/// each the first time. English is left as it is.
pub(super) fn glossed(text: &str, words: &Words) -> String {
    if words.language() == Language::En {
        return text.to_owned();
    }
    let mut told: Vec<&str> = Vec::new();
    let mut out = String::with_capacity(text.len());
    let mut parts = text.split('`');
    out += parts.next().unwrap_or_default();
    while let Some(word) = parts.next() {
        out.push('`');
        out += word;
        // A tick without its partner is no word.
        let Some(after) = parts.next() else { break };
        out.push('`');
        let plain = meaning(word, words).map(|m| small(&m)).filter(|m| !m.eq_ignore_ascii_case(word));
        if let Some(meaning) = plain.filter(|_| !told.contains(&word) && !after.starts_with(" (")) {
            told.push(word);
            out += &format!(" ({meaning})");
        }
        out += after;
    }
    out
}

/// Without the capital of a label, but for what is written in capitals.
fn small(label: &str) -> String {
    let mut chars = label.chars();
    match (chars.next(), chars.clone().next()) {
        (Some(first), Some(second)) if !second.is_uppercase() => first.to_lowercase().chain(chars).collect(),
        _ => label.to_owned(),
    }
}

/// The same for all that an answer says of the documents.
pub(super) fn gloss_all(answer: &mut Value, words: &Words) {
    let list = answer.get_mut("diagnostics").and_then(Value::as_array_mut);
    for one in list.into_iter().flatten() {
        for key in ["text", "because", "help"] {
            if let Some(text) = one.get(key).and_then(Value::as_str).map(|t| glossed(t, words)) {
                one[key] = text.into();
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use engine::units::System;

    #[test]
    fn a_word_of_the_documents_has_its_meaning_beside_it_once() {
        let es = Words::new(Language::Es, System::Si);
        let said =
            glossed("`height` no puede ser \u{2212}2,5 m; `height` y `zone.hall` y `nada_de_eso`", &es);
        assert!(said.starts_with("`height` (altura) no puede ser"), "{said}");
        assert_eq!(said.matches("(altura)").count(), 1, "{said}");
        assert!(said.ends_with("y `nada_de_eso`"), "{said}");
        assert_eq!(glossed("un ` solo", &es), "un ` solo");
        let en = Words::new(Language::En, System::Si);
        assert_eq!(glossed("`height` is missing", &en), "`height` is missing");
    }
}
