//! Findings on the page of a house: the short list; the appendix for the rest.

use crate::findings::{FindingView, FindingsView};
use crate::markup::{El, classed, el};
use crate::words::Words;

/// The short list.
pub(super) fn short(view: &FindingsView, words: &Words) -> Vec<El> {
    let mut out = vec![classed("p", "cap").with(words.say("findings-caption"))];
    if view.short.is_empty() {
        out.push(el("p").with(words.say("findings-none")));
    }
    out.extend(view.short.iter().flat_map(|f| one(f, words)));
    out.push(classed("p", "soft").with(view.counts.as_str()));
    out
}

/// What touches no complaint and no hazard; nothing where there is none.
pub(super) fn appendix(view: &FindingsView, words: &Words) -> Vec<El> {
    if view.appendix.is_empty() {
        return Vec::new();
    }
    let mut out = vec![classed("p", "cap").with(words.say("findings-appendix-caption"))];
    out.extend(view.appendix.iter().flat_map(|f| one(f, words)));
    out
}

fn one(f: &FindingView, words: &Words) -> Vec<El> {
    let mut out = vec![el("h3").with(f.headline())];
    let sure = el("p").with(el("b").with(f.group.as_str())).with(format!(" \u{b7} {}", f.sure));
    out.push(if f.hazard { sure.attr("class", "held") } else { sure });
    out.extend(f.doubts.iter().map(|d| classed("p", "held").with(d.as_str())));
    out.extend(f.complaints.iter().map(|c| classed("p", "soft").with(c.as_str())));
    let mut list = classed("dl", "find");
    let mut last = String::new();
    for (name, text) in f.lines(words) {
        if name != last {
            list.push(el("dt").with(name.as_str()));
        }
        list.push(el("dd").with(text));
        last = name;
    }
    out.push(list);
    if let Some(change) = &f.change {
        out.push(classed("p", "soft").with(words.say("findings-change")));
        out.push(classed("pre", "hash").with(change.as_str()));
    }
    out
}
