//! The safety of a visit on the page of a house: the screen, combustion, what was touched and put back.

use super::parts::{row_head, table};
use super::section;
use crate::markup::{El, classed, el};
use crate::screen::{GuideView, RestoreView, SafetyView, ScreenView};
use crate::words::Words;

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

fn pairs(title: &str, heads: [String; 2], rows: &[(String, String)]) -> Option<El> {
    let rows: Vec<El> =
        rows.iter().map(|(a, b)| el("tr").with(row_head(a)).with(el("td").with(b.as_str()))).collect();
    let [a, b] = heads;
    (!rows.is_empty()).then(|| table(Some(title.to_owned()), &[(a, false), (b, false)], rows))
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
    let heads = |b: &str| [words.say("screen-head-item"), words.say(b)];
    let missing = words.say("screen-missing-title");
    out.extend(pairs(&missing, heads("screen-head-why"), &s.missing));
    out.extend(pairs(&words.say("screen-seen-title"), heads("screen-head-found"), &s.seen));
    out.extend(listed(&words.say("screen-agreed-title"), &s.agreed));
    out
}

fn guide(g: &GuideView, words: &Words) -> Vec<El> {
    let mut out = vec![el("h3").with(g.title.as_str()), el("p").with(g.now.as_str())];
    let heads = [words.say("guide-head-state"), words.say("guide-head-recorded")];
    out.extend(pairs(&words.say("guide-stands-title"), heads, &g.stands));
    out.push(el("p").with(g.worst.as_str()));
    let heads = [words.say("guide-head-setup"), words.say("guide-head-net")];
    out.extend(pairs(&words.say("guide-tries-title"), heads, &g.tries));
    if !g.untried.is_empty() {
        out.push(classed("p", "soft").with(g.untried.as_str()));
    }
    out
}

fn restore(r: &RestoreView, words: &Words) -> Vec<El> {
    let mut out = vec![el("h3").with(r.title.as_str())];
    let heads = |b: &str| [words.say("screen-head-item"), words.say(b)];
    out.extend(pairs(&words.say("restore-open-title"), heads("restore-head-found"), &r.open));
    if !r.how.is_empty() {
        out.push(classed("p", "soft").with(r.how.as_str()));
    }
    out.extend(pairs(&words.say("restore-back-title"), heads("restore-head-back"), &r.back));
    out
}
