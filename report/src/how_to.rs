//! A page for each kind of test: what it tells, what it takes, its steps with the reason of each, what
//! goes wrong, what to mind. The words stand in the catalogues (`how-to.ftl`).

use crate::words::Words;
use serde::Serialize;

/// One step and why it is there.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Step {
    /// What to do.
    pub what: String,
    /// Why.
    pub why: String,
}

/// The page of a kind of test.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct HowTo {
    /// The kind, as written in documents.
    pub kind: String,
    /// What it tells.
    pub tells: String,
    /// What it takes.
    pub needs: String,
    /// In order.
    pub steps: Vec<Step>,
    /// What goes wrong.
    pub wrong: Vec<String>,
    /// What to mind.
    pub minds: Vec<String>,
}

/// Parts a step's line from its reason.
const WHY: &str = " // ";

/// The page of a kind; nothing where the catalogue has none.
pub fn page(kind: &str, words: &Words) -> Option<HowTo> {
    let key = format!("how-{}", kind.replace(' ', "-"));
    let part = |name: &str| words.find(&format!("{key}.{name}"), &[]);
    let lines = |name: &str| -> Vec<String> {
        part(name)
            .unwrap_or_default()
            .lines()
            .map(str::trim)
            .filter(|l| !l.is_empty())
            .map(str::to_owned)
            .collect()
    };
    let step = |line: &String| match line.split_once(WHY) {
        Some((what, why)) => Step { what: what.to_owned(), why: why.to_owned() },
        None => Step { what: line.clone(), why: String::new() },
    };
    Some(HowTo {
        kind: kind.to_owned(),
        tells: part("tells")?,
        needs: part("needs").unwrap_or_default(),
        steps: lines("steps").iter().map(step).collect(),
        wrong: lines("wrong"),
        minds: lines("minds"),
    })
}

/// The drawing of a kind as markup: a section with numbers, and what they mean.
pub fn drawing(kind: &str, words: &Words) -> Option<String> {
    crate::figure::how(kind, &words.say("how-title"), words).map(|d| d.render())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::Language;
    use engine::units::System;

    #[test]
    fn every_kind_of_test_has_its_page_in_every_language() {
        let kinds = engine::doc::field::KINDS.iter().map(|k| k.0).chain(["envelope"]);
        for kind in kinds {
            let [en, es] = Language::ALL.map(|l| page(kind, &Words::new(l, System::Si)));
            let (en, es) =
                (en.unwrap_or_else(|| panic!("{kind} en")), es.unwrap_or_else(|| panic!("{kind} es")));
            for one in [&en, &es] {
                assert!(one.steps.len() >= 3, "{kind}: {} steps", one.steps.len());
                assert!(one.steps.iter().all(|s| !s.why.is_empty()), "{kind}: a step without its reason");
                assert!(!one.needs.is_empty() && !one.wrong.is_empty() && !one.minds.is_empty(), "{kind}");
            }
            assert_eq!(en.steps.len(), es.steps.len(), "{kind}");
            assert_ne!(en.tells, es.tells, "{kind}");
        }
    }
}
