//! The contractor's hand-off: locations, targets, pressures to reach on the way, limits, who tests again.

use super::parts::{self, row_head, table};
use super::{Page, page, section, sheet};
use crate::markup::{El, classed, el};
use crate::sheets::{HandOff, HandOffStatus, MarkLine, Work, WorkStep};
use crate::words::Words;

/// The whole file.
pub fn hand_off(view: &HandOff, words: &Words) -> Page {
    Page(tree(view, words))
}

pub(super) fn tree(v: &HandOff, words: &Words) -> El {
    let mut out = sheet::top(&v.head, words);
    out.push(el("h2").with(v.plan.as_str()));
    match &v.status {
        HandOffStatus::Held(reasons) => {
            let title = el("b").with(words.say("hand-held"));
            let list = reasons.iter().map(|r| el("li").with(r.as_str()));
            out.push(classed("div", "held").with(el("p").with(title)).with(el("ul").with_all(list)));
            out.push(el("p").with(words.say("hand-held-note")));
        }
        HandOffStatus::Released(work) => out.extend(released(work, words)),
    }
    out.extend(sheet::foot(&v.head, words));
    page(&format!("{}: {}", v.head.title, v.plan), words, "house sheet", out)
}

fn list(lines: &[String]) -> Vec<El> {
    if lines.is_empty() {
        return Vec::new();
    }
    vec![el("ul").with_all(lines.iter().map(|l| el("li").with(l.as_str())))]
}

fn released(w: &Work, words: &Words) -> Vec<El> {
    let mut out = Vec::new();
    out.extend(section("", &words.say("hand-conditions"), list(&w.conditions)));
    out.extend(section("", &words.say("hand-stops"), list(&w.stops)));
    out.extend(section("", &words.say("hand-hazards"), list(&w.hazards)));
    let mut steps = Vec::new();
    if w.computed {
        steps.push(el("p").with(words.say("hand-steps-caption")));
    }
    steps.extend(w.steps.iter().enumerate().map(|(i, s)| step(i, s, words)));
    out.extend(section("", &words.say("hand-steps"), steps));
    out.extend(section("", &words.say("hand-retest"), list(&w.retest)));
    if let Some(price) = &w.price {
        let text = words.say("hand-price");
        out.push(el("p").with(format!("{text} ")).with(parts::number(price, words)));
    }
    out.push(
        classed("p", "soft")
            .with(words.say("hand-release"))
            .with(" ")
            .with(classed("span", "hash").with(w.release.as_str())),
    );
    let line = |key: &str| el("div").with(words.say(key));
    out.push(classed("div", "sign").with(line("hand-done-by")).with(line("hand-done-on")));
    out
}

fn step(i: usize, s: &WorkStep, words: &Words) -> El {
    let mut out = classed("div", "card step")
        .with(el("h3").with(s.what.as_str()))
        .with(classed("span", "num-tag").with((i + 1).to_string()));
    let place =
        words.text("hand-place", &[("stage", s.stage.as_str().into()), ("place", s.place.as_str().into())]);
    out.push(classed("p", "soft").with(place));
    if !s.marks.is_empty() {
        let heads = [
            (words.say("hand-read"), false),
            (words.say("hand-before"), true),
            (words.say("hand-after"), true),
            (words.say("hand-stop"), false),
        ];
        let row = |m: &MarkLine| {
            let stop = if m.steers {
                el("td").with(el("b").with(m.stop.as_str()))
            } else {
                el("td").with(m.stop.as_str())
            };
            el("tr")
                .with(row_head(&m.read).attr("class", "full"))
                .with(parts::cell(parts::ranged(&m.before, words)))
                .with(parts::cell(parts::ranged(&m.after, words)))
                .with(stop)
        };
        out.push(table(None, &heads, s.marks.iter().map(row).collect()));
    }
    out.with_all(s.materials.iter().map(|m| classed("p", "soft").with(m.as_str())))
}
