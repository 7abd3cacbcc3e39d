//! Field tests: figures, checks and sentences of each.

use super::certificate::checks;
use super::{Page, page, parts, section, sheet};
use crate::markup::{El, classed, el};
use crate::sheets::Head;
use crate::view::FieldTest;
use crate::words::Words;

/// A page of its own, for a job without a house.
pub fn field(head: &Head, tests: &[FieldTest], words: &Words) -> Page {
    Page(tree(head, tests, words))
}

pub(super) fn tree(head: &Head, tests: &[FieldTest], words: &Words) -> El {
    let mut out = sheet::top(head, words);
    let all: Vec<El> = tests.iter().flat_map(|t| test(t, words)).collect();
    out.extend(section("", &words.say("field-title"), all));
    out.extend(sheet::foot(head, words));
    page(&head.title, words, "house", out)
}

pub(super) fn test(test: &FieldTest, words: &Words) -> Vec<El> {
    let mut out = vec![el("h3").with(test.title.as_str())];
    for caution in &test.cautions {
        let lead = el("b").with(words.say("field-caution"));
        out.push(classed("p", "held").with(lead).with(format!(" {caution}")));
    }
    out.extend(test.lead.iter().map(|n| el("p").with(n.as_str())));
    if !test.figures.is_empty() {
        out.push(parts::evidence(&test.figures, words));
    }
    out.extend(test.notes.iter().map(|n| el("p").with(n.as_str())));
    out.extend(checks(&test.checks, words));
    out
}
