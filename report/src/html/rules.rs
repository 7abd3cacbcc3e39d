//! Control rules: the table, the sheet for commissioning, what a test showed.

use super::parts::{row_head, table};
use super::{Page, page, section};
use crate::markup::{El, classed, el};
use crate::rules::{RuleView, RulesView, SheetView, TestedView, verdict};
use crate::words::Words;

/// The page of a job's rules.
pub fn rules(view: &RulesView, words: &Words) -> Page {
    Page(tree(view, words))
}

pub(super) fn tree(view: &RulesView, words: &Words) -> El {
    let mut out: Vec<El> = view.head.letterhead.iter().map(super::sheet::letterhead).collect();
    out.push(el("h1").with(view.title.as_str()));
    out.extend(view.missing.as_ref().map(|m| el("p").with(el("strong").with(m.as_str()))));
    out.extend(section("", &words.say("rules-title"), table_of(&view.rules, words)));
    out.extend(section("", &words.say("rules-authority-title"), authority(view)));
    let mut sheet: Vec<El> = view.sheet.iter().flat_map(|s| sheet_of(s, words)).collect();
    if !sheet.is_empty() {
        sheet.insert(0, el("p").with(words.say("rules-sheet-caption")));
        let line = |key: &str| el("div").with(words.say(key));
        sheet.push(classed("div", "sign").with(line("rules-tried-by")).with(line("rules-tried-on")));
    }
    out.extend(section("", &words.say("rules-sheet-title"), sheet));
    let tested: Vec<El> = view.tested.iter().flat_map(|t| tested_of(t, words)).collect();
    out.extend(section("", &words.say("rules-tested-title"), tested));
    out.extend(super::sheet::foot(&view.head, words));
    page(&view.title, words, "house", out)
}

fn authority(view: &RulesView) -> Vec<El> {
    view.authority.iter().map(|l| el("p").with(l.as_str())).collect()
}

/// The table and on whose authority, without the sheet for commissioning.
pub(super) fn plainly(view: &RulesView, words: &Words) -> Vec<El> {
    let mut out = table_of(&view.rules, words);
    if !out.is_empty() {
        out.extend(authority(view));
    }
    out
}

fn code(text: &str) -> El {
    classed("span", "hash").with(text)
}

/// Text into an element, with what stands between backticks small.
fn marked(mut into: El, text: &str) -> El {
    for (at, part) in text.split('`').enumerate() {
        if at % 2 == 1 {
            into = into.with(code(part));
        } else if !part.is_empty() {
            into = into.with(part);
        }
    }
    into
}

fn table_of(rules: &[RuleView], words: &Words) -> Vec<El> {
    if rules.is_empty() {
        return Vec::new();
    }
    let heads = ["rules-head-rule", "rules-head-when", "rules-head-keeps"].map(|k| (words.say(k), false));
    let row = |r: &RuleView| {
        let name = row_head("").with(el("b").with(r.label.as_str())).with(el("br")).with(r.does.as_str());
        let mut when = classed("td", "full");
        for (key, plain, written) in
            [("rules-on-when", &r.on_words, &r.on_when), ("rules-off-when", &r.off_words, &r.off_when)]
        {
            if written.is_empty() {
                continue;
            }
            if key == "rules-off-when" {
                when.push(el("br"));
            }
            when =
                when.with(words.say(key)).with(" ").with(plain.as_str()).with(el("br")).with(code(written));
        }
        let mut keeps = classed("td", "full");
        for (at, line) in r.keeps.iter().chain(&r.debt).enumerate() {
            if at > 0 {
                keeps.push(el("br"));
            }
            keeps.push(line.as_str());
        }
        el("tr").with(name).with(when).with(keeps)
    };
    vec![table(None, &heads, rules.iter().map(row).collect())]
}

fn sheet_of(sheet: &SheetView, words: &Words) -> Vec<El> {
    let heads = ["rules-head-do", "rules-head-see", "rules-head-seen"].map(|k| (words.say(k), false));
    let row = |(act, see): &(String, String)| {
        el("tr")
            .with(marked(row_head(""), act))
            .with(marked(classed("td", "full"), see))
            .with(el("td").with("\u{2610}"))
    };
    vec![el("h3").with(sheet.label.as_str()), table(None, &heads, sheet.steps.iter().map(row).collect())]
}

fn tested_of(tested: &TestedView, words: &Words) -> Vec<El> {
    let title = match verdict(tested, words) {
        Some(verdict) => format!("{}: {verdict}", tested.label),
        None => tested.label.clone(),
    };
    let class = if tested.as_expected == Some(false) { "held" } else { "soft" };
    let lines = tested.lines.iter().map(|l| el("li").with(l.as_str()));
    vec![el("h3").with(title), classed("ul", class).with_all(lines)]
}
