//! The safety of a visit on the page of a house: the screen, combustion, what was touched and put back.

use super::section;
use crate::markup::{El, classed, el};
use crate::screen::{GuideView, RestoreView, SafetyView, ScreenView};
use crate::words::Words;

/// Setups of the combustion guide that the page shows; the command shows more.
const SETUPS: usize = 3;

/// The whole section; nothing where there is nothing to say.
pub(super) fn care(view: &SafetyView, words: &Words) -> Option<El> {
    let mut out: Vec<El> = view.screen.iter().flat_map(|s| screen(s, words)).collect();
    out.extend(listed(&words.say("screen-flags-title"), &view.flags));
    out.extend(view.guides.iter().flat_map(|g| guide(g, words)));
    out.extend(listed(&words.say("repeat-title"), &view.repeats));
    out.extend(view.restore.iter().flat_map(|r| restore(r, words)));
    section("", &words.say("screen-title"), out)
}

fn listed(title: &str, sentences: &[String]) -> Vec<El> {
    if sentences.is_empty() {
        return Vec::new();
    }
    let list = el("ul").with_all(sentences.iter().map(|s| el("li").with(s.as_str())));
    vec![el("h3").with(title), list]
}

/// Names and what is said of each; stacked, so that a phone shows both.
fn pairs(title: &str, rows: &[(String, String)]) -> Vec<El> {
    if rows.is_empty() {
        return Vec::new();
    }
    let mut list = classed("dl", "find");
    for (name, text) in rows {
        list.push(el("dt").with(name.as_str()));
        list.push(el("dd").with(text.as_str()));
    }
    vec![el("p").with(el("b").with(title)), list]
}

fn screen(s: &ScreenView, words: &Words) -> Vec<El> {
    let mut out = vec![el("h3").with(s.title.as_str())];
    let outcome = el("p").with(el("b").with(s.outcome.as_str()));
    out.push(if s.holds { outcome.attr("class", "held") } else { outcome });
    for r in &s.reasons {
        let line = el("p").with(el("b").with(format!("{}: ", r.item))).with(r.says.as_str());
        out.push(if r.stop { line.attr("class", "held") } else { line });
        let rest = [&r.measured, &r.bars, &r.who].into_iter().filter(|t| !t.is_empty());
        let rest: Vec<&str> = rest.map(String::as_str).collect();
        out.push(classed("p", "soft").with(format!("{} {}", rest.join(" "), r.source)));
    }
    out.extend(pairs(&words.say("screen-missing-title"), &s.missing));
    out.extend(pairs(&words.say("screen-seen-title"), &s.seen));
    out.extend(listed(&words.say("screen-agreed-title"), &s.agreed));
    out
}

fn guide(g: &GuideView, words: &Words) -> Vec<El> {
    let mut out = vec![el("h3").with(g.title.as_str()), el("p").with(g.now.as_str())];
    out.extend(pairs(&words.say("guide-stands-title"), &g.stands));
    out.push(el("p").with(g.worst.as_str()));
    out.extend(pairs(&words.say("guide-tries-title"), g.tries.get(..SETUPS).unwrap_or(&g.tries)));
    if !g.untried.is_empty() {
        out.push(classed("p", "soft").with(g.untried.as_str()));
    }
    out
}

fn restore(r: &RestoreView, words: &Words) -> Vec<El> {
    let mut out = vec![el("h3").with(r.title.as_str())];
    out.extend(pairs(&words.say("restore-open-title"), &r.open));
    if !r.how.is_empty() {
        out.push(classed("p", "soft").with(r.how.as_str()));
    }
    out.extend(pairs(&words.say("restore-back-title"), &r.back));
    out
}
