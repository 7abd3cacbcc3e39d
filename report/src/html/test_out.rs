//! The test-out: what became of each complaint, what was promised and what was obtained.

use super::parts::{self, cell, row_head, table};
use super::{Page, certificate, page, section, sheet};
use crate::markup::{El, classed, el};
use crate::sheets::{OutComplaint, OutRow, OutTest, TestOutView};
use crate::words::Words;
use engine::procedure::test_out::{Became, Written};

/// The whole file.
pub fn test_out(view: &TestOutView, words: &Words) -> Page {
    Page(tree(view, words))
}

pub(super) fn tree(v: &TestOutView, words: &Words) -> El {
    let mut out = sheet::top(&v.head, words);
    out.extend(v.intro.iter().map(|s| el("p").with(s.as_str())));
    out.push(parts::states(words));
    let complaints: Vec<El> = v.complaints.iter().map(|c| complaint(c, words)).collect();
    out.extend(section("", &words.say("out-complaints"), complaints));
    let mut promised = Vec::new();
    if !v.promised.is_empty() {
        promised.push(el("p").with(words.say("out-promised-caption")));
        promised.push(rows(&v.promised, true, words));
    }
    out.extend(section("", &words.say("out-promised"), promised));
    let tests: Vec<El> = v.tests.iter().flat_map(|t| test(t, words)).collect();
    out.extend(section("", &words.say("out-tests"), tests));
    let mut readings = Vec::new();
    if !v.readings.is_empty() {
        readings.push(el("p").with(words.say("out-readings-caption")));
        readings.push(rows(&v.readings, false, words));
    }
    out.extend(section("", &words.say("out-readings"), readings));
    out.extend(section("", &words.say("out-setups"), setups(&v.setups, words)));
    let photos: Vec<El> = v.photos.iter().flat_map(|p| super::house::photos(p, words)).collect();
    out.extend(section("", &words.say("photos-title"), photos));
    if !v.instruments_before.is_empty() {
        let before = vec![parts::instruments(&v.instruments_before, words)];
        out.extend(section("", &words.say("out-instruments-before"), before));
    }
    out.extend(sheet::foot(&v.head, words));
    page(&format!("{}: {}", v.head.title, v.head.lead), words, "house sheet", out)
}

fn complaint(c: &OutComplaint, words: &Words) -> El {
    // The criterion stands before the result.
    let written = match c.written {
        Written::Before => classed("p", "soft"),
        Written::After | Written::Undated => classed("p", "held"),
    };
    let (class, sign) = match c.became {
        Became::Gone => ("verdict", "M2 9l4 4L14 3"),
        Became::Better => ("verdict", "M8 2v12M3 9l5 5 5-5"),
        Became::Worse => ("verdict fail", "M2 2h12v12H2ZM2 2l12 12M14 2L2 14"),
        Became::NotShown => ("verdict close", "M8 1l7 7-7 7-7-7ZM8 0v16"),
    };
    let svg = el("svg")
        .attr("viewBox", "0 0 16 16")
        .attr("aria-hidden", "true")
        .with(el("path").attr("d", sign).attr("style", "fill:none;stroke:currentColor;stroke-width:2"));
    let number = |key: &str, n: &crate::view::Number| {
        [el("dt").with(words.say(key)), el("dd").with(parts::number(n, words))]
    };
    let mut dl = classed("dl", "ev");
    for part in
        [number("out-before", &c.before), number("out-after", &c.after), number("out-change", &c.change)]
            .into_iter()
            .flatten()
    {
        dl.push(part);
    }
    classed("div", "complaint")
        .with(el("blockquote").with(words.text("quoted", &[("words", c.words.clone().into())])))
        .with(el("p").with(c.criterion.as_str()))
        .with(written.with(c.written_text.as_str()))
        .with(classed("p", class).with(svg).with(c.said.as_str()))
        .with(classed("div", "evs").with(dl))
}

fn rows(list: &[OutRow], promised: bool, words: &Words) -> El {
    let mut heads = vec![(words.say("out-what"), false), (words.say("out-before"), true)];
    if promised {
        heads.push((words.say("out-promise"), true));
    }
    heads.extend([
        (words.say("out-after"), true),
        (words.say("out-change"), true),
        (words.say("out-note"), false),
    ]);
    let value = |n: &crate::view::Number| {
        if n.estimate.si.is_finite() { cell(parts::ranged(n, words)) } else { cell("\u{2013}") }
    };
    let row = |r: &OutRow| {
        let mut tr = el("tr").with(row_head(&r.name).attr("class", "full")).with(value(&r.before));
        if promised {
            tr.push(r.promised.as_ref().map_or_else(|| cell("\u{2013}"), value));
        }
        tr.with(value(&r.after))
            .with(r.change.as_ref().map_or_else(|| cell("\u{2013}"), value))
            .with(el("td").with(r.note.as_str()))
    };
    table(None, &heads, list.iter().map(row).collect())
}

fn test(t: &OutTest, words: &Words) -> Vec<El> {
    let mut out = vec![el("h3").with(t.title.as_str())];
    out.extend(t.differs.iter().map(|d| classed("p", "held").with(d.as_str())));
    out.push(rows(&t.rows, false, words));
    out.extend(certificate::checks(&t.checks, words));
    out.extend(t.notes.iter().map(|n| classed("p", "soft").with(n.as_str())));
    out
}

fn setups(list: &[[String; 3]], words: &Words) -> Vec<El> {
    if list.is_empty() {
        return vec![el("p").with(words.say("out-setups-alike"))];
    }
    let heads = ["out-what", "out-before", "out-after"].map(|k| (words.say(k), false));
    let row = |[what, before, after]: &[String; 3]| {
        el("tr").with(row_head(what)).with(el("td").with(before.as_str())).with(el("td").with(after.as_str()))
    };
    vec![table(None, &heads, list.iter().map(row).collect())]
}
