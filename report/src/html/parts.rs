//! Pieces that pages share: numbers with their marks, the safety block, verdicts, tables.

use crate::figure::Size;
use crate::markup::{El, Node, classed, el};
use crate::view::{
    Evidence, Fact, Instrument, Limit, Number, Provenance, SafetyLine, State, Tightness, Verdict,
};
use crate::words::{Show, Shown, Words};
use engine::measure::{Interval, NoInterval};

/// A number and its unit, the unit a little smaller.
pub(super) fn shown(s: &Shown) -> El {
    let span = classed("span", "n").with(el("b").with(s.number.as_str()));
    // `%` follows its number like any unit.
    if s.unit.is_empty() { span } else { span.with(classed("span", "u").with(format!("\u{a0}{}", s.unit))) }
}

/// Value, range and mark: `26 cfm (19 to 37) computed`.
pub(super) fn number(n: &Number, words: &Words) -> El {
    let mut span = ranged(n, words);
    span.push(" ");
    span.push(mark(&n.state, words));
    span
}

/// Value and range, without the mark.
pub(super) fn ranged(n: &Number, words: &Words) -> El {
    let parts = words.shown_estimate(&n.estimate, n.show());
    let mut span = el("span").with(shown(&parts.value));
    if let Some((lo, hi)) = parts.ends {
        // A break may come between value and range, never inside of them.
        span.push(" ");
        span.push(classed("span", "r").with(format!("({})", words.from_to(&lo, &hi))));
        span = span.attr("class", "nr");
    } else if let Some(reason) = parts.reason {
        // An assumed number says so by its mark; a plain reading is what the instrument showed.
        let read = matches!(n.state, State::Measured { .. })
            && n.estimate.interval == Interval::None(NoInterval::NotDefined);
        if n.estimate.si.is_finite() && !read && !matches!(n.state, State::Assumed { .. }) {
            let text = words.text("no-interval", &[("reason", reason.into())]);
            span.push(classed("span", "soft").with(format!(", {text}")));
        }
    }
    span
}

/// `95 % range 8.71 to 9.56 1/h`, or why there is none, then the mark.
pub(super) fn range_line(n: &Number, words: &Words) -> El {
    let parts = words.shown_estimate(&n.estimate, n.show());
    let text = match (parts.ends, parts.level, parts.reason) {
        (Some((lo, hi)), Some(level), _) => {
            let hi = format!("{hi}\u{a0}{}", parts.value.unit);
            words.text(
                "range-only",
                &[("level", level.into()), ("lo", lo.into()), ("hi", hi.trim().to_owned().into())],
            )
        }
        (_, _, Some(reason)) => words.text("no-interval", &[("reason", reason.into())]),
        _ => String::new(),
    };
    el("p").with(text).with(" ").with(mark(&n.state, words))
}

/// The result with the wind counted, and whether the verdict rests on it.
pub(super) fn wind_counted(t: &Tightness, words: &Words) -> Option<El> {
    let n = t.wind_counted.as_ref()?;
    let value = words.estimate(&n.estimate, n.show());
    let mut text = format!("{}.", words.text("wind-counted", &[("value", value.into())]));
    if t.verdict.is_some() {
        text += &format!(" {}", words.say("wind-counted-decides"));
    }
    Some(el("p").with(text))
}

/// The mark of a state with its word.
pub(super) fn mark(state: &State, words: &Words) -> El {
    let word = match state {
        State::Measured { at } if at.is_empty() => words.say("state-measured"),
        State::Measured { at } => words.text("state-measured-at", &[("at", at.clone().into())]),
        State::Computed => words.say("state-computed"),
        State::Assumed { by } if by.is_empty() => words.say("state-assumed"),
        State::Assumed { by } => words.text("state-assumed-by", &[("by", by.clone().into())]),
    };
    let svg = el("svg").attr("viewBox", "0 0 16 16").attr("aria-hidden", "true");
    let ring = |r: f64| el("circle").attr("cx", 8).attr("cy", 8).attr("r", r);
    let svg = match state {
        State::Measured { .. } => svg.with(ring(5.0).attr("fill", "var(--ink)")),
        State::Computed => svg
            .with(el("path").attr("d", "M8 0v16").attr("stroke", "var(--accent)").attr("stroke-width", 2))
            .with(ring(4.0).attr("style", "fill:var(--bg);stroke:var(--accent);stroke-width:2")),
        State::Assumed { .. } => svg.with(
            ring(5.5).attr("style", "fill:none;stroke:var(--soft);stroke-width:2;stroke-dasharray:2.6 2.2"),
        ),
    };
    classed("span", "mk").with(svg).with(word)
}

/// The three marks and their words, once a page.
pub(super) fn states(words: &Words) -> El {
    let all = [
        (State::Measured { at: String::new() }, words.say("states-measured")),
        (State::Computed, words.say("states-computed")),
        (State::Assumed { by: String::new() }, words.say("states-assumed")),
    ];
    let item = |(state, text): (State, String)| {
        el("span").with(mark(&state, words)).with(classed("span", "soft").with(format!(": {text}")))
    };
    classed("p", "states").with_all(all.map(item))
}

/// A limit as text: `at most 60 s (source)`.
pub(super) fn limit(l: &Limit, words: &Words) -> String {
    let value = words.quantity_as(l.si, l.quantity, Show::usage(l.usage));
    let args = [("value", value.into()), ("source", l.source.clone().into())];
    let mut text =
        if l.at_most { words.text("limit-at-most", &args) } else { words.text("limit-at-least", &args) };
    if !l.confirmed {
        text += ", ";
        text += &words.say("limit-not-confirmed");
    }
    text
}

fn octagon() -> El {
    el("svg")
        .attr("viewBox", "0 0 30 30")
        .attr("aria-hidden", "true")
        .with(
            el("path")
                .attr("d", "M9.5 2h11L28 9.5v11L20.5 28h-11L2 20.5v-11Z")
                .attr("style", "fill:none;stroke:currentColor;stroke-width:2.5"),
        )
        .with(el("path").attr("d", "M15 8v9M15 20.5v2.5").attr("style", "stroke:currentColor;stroke-width:3"))
}

/// The safety block, first on the page.
pub(super) fn safety(lines: &[SafetyLine], words: &Words) -> Option<El> {
    if lines.is_empty() {
        return None;
    }
    let mut block = classed("div", "safe").attr("role", "note").attr("aria-label", words.say("safety-title"));
    for line in lines {
        let mut p = el("p").with(el("b").with(line.headline.as_str())).with(format!(" {}", line.found));
        if let Some(n) = &line.measured {
            let parts = words.shown_estimate(&n.estimate, n.show());
            p.push(" ");
            p.push(shown(&parts.value));
            if let State::Measured { at } = &n.state
                && !at.is_empty()
            {
                p.push(format!(", {}", words.text("state-measured-at", &[("at", at.clone().into())])));
            }
            p.push(".");
        }
        if let Some(l) = &line.limit {
            p.push(format!(" {}", words.text("safety-limit", &[("limit", limit(l, words).into())])));
        }
        p.push(format!(" {}", line.who));
        block.push(el("div").with(octagon()).with(p));
    }
    Some(block.with(classed("p", "never").with(words.say("safety-never"))))
}

/// The verdict as a framed word with its shape.
pub(super) fn verdict(v: Verdict, words: &Words) -> El {
    let (class, word, path) = match v {
        Verdict::Pass => ("verdict", words.say("verdict-pass"), "M2 9l4 4L14 3"),
        Verdict::Fail => ("verdict fail", words.say("verdict-fail"), "M2 2h12v12H2ZM2 2l12 12M14 2L2 14"),
        Verdict::TooClose => ("verdict close", words.say("verdict-too-close"), "M8 1l7 7-7 7-7-7ZM8 0v16"),
        Verdict::LimitNotConfirmed => {
            ("verdict unsure", words.say("verdict-not-confirmed"), "M1 4h10l4 4-4 4H1Z")
        }
    };
    let svg = el("svg").attr("viewBox", "0 0 16 16").attr("aria-hidden", "true");
    let dash = if v == Verdict::LimitNotConfirmed { ";stroke-dasharray:3 2" } else { "" };
    let path = el("path")
        .attr("d", path)
        .attr("style", format!("fill:none;stroke:currentColor;stroke-width:2{dash}"));
    classed("p", class).with(svg.with(path)).with(word)
}

/// Labels and numbers with their marks; a state that all of them share is said once.
pub(super) fn evidence(list: &[Evidence], words: &Words) -> El {
    let shared = list.len() > 1 && list.windows(2).all(|w| w[0].number.state == w[1].number.state);
    let mut dl = classed("dl", "ev");
    for e in list {
        dl.push(el("dt").with(e.label.as_str()));
        let text = if shared { ranged(&e.number, words) } else { number(&e.number, words) };
        dl.push(el("dd").with(text));
    }
    let mut block = classed("div", "evs").with(dl);
    if let (true, Some(first)) = (shared, list.first()) {
        let all = words.say("states-all");
        block.push(classed("p", "soft").with(format!("{all} ")).with(mark(&first.number.state, words)));
    }
    block
}

/// Labels and texts.
pub(super) fn facts(list: &[Fact]) -> El {
    let mut dl = el("dl");
    for f in list {
        dl.push(el("dt").with(f.label.as_str()));
        dl.push(el("dd").with(f.text.as_str()));
    }
    dl
}

/// A figure in its two drawings; the page shows the one that fits.
pub(super) fn figure(class: &str, caption: Option<String>, draw: impl Fn(Size) -> El) -> El {
    let mut f = classed("figure", class);
    if let Some(caption) = caption {
        f.push(el("figcaption").with(caption));
    }
    for (class, size) in [("narrow", Size::Narrow), ("wide", Size::Wide)] {
        f.push(classed("div", class).with(draw(size)));
    }
    f
}

/// A table: heads, then rows. A head with `true` is a column of numbers.
pub(super) fn table(caption: Option<String>, heads: &[(String, bool)], rows: Vec<El>) -> El {
    let mut tr = el("tr");
    for (head, numeric) in heads {
        let th = el("th").attr("scope", "col").with(head.as_str());
        tr.push(if *numeric { th.attr("class", "num") } else { th });
    }
    let caption = caption.map(|c| el("caption").with(c));
    // On a phone rows stack; with several columns each cell then carries its head.
    let names: Vec<String> =
        if heads.len() > 2 { heads.iter().map(|h| h.0.clone()).collect() } else { Vec::new() };
    let rows: Vec<El> = rows.into_iter().map(|r| r.labelled(&names)).collect();
    classed("table", "stack").with_all(caption).with(el("thead").with(tr)).with(el("tbody").with_all(rows))
}

/// The first cell of a row.
pub(super) fn row_head(text: &str) -> El {
    el("th").attr("scope", "row").with(text)
}

/// A cell with a number.
pub(super) fn cell(content: impl Into<Node>) -> El {
    classed("td", "num").with(content)
}

/// Instruments as a table.
pub(super) fn instruments(list: &[Instrument], words: &Words) -> El {
    let heads = [
        (words.say("instrument-name"), false),
        (words.say("instrument-calibrated"), false),
        (words.say("instrument-accuracy"), false),
        (words.say("instrument-basis"), false),
    ];
    let row = |i: &Instrument| {
        let serial = words.text("instrument-serial", &[("serial", i.serial.clone().into())]);
        el("tr")
            .with(row_head(&i.name).with(classed("span", "soft").with(format!(" {serial}"))))
            .with(el("td").with(i.calibrated.as_str()))
            .with(classed("td", "full").with(i.accuracy.as_str()))
            .with(classed("td", "full").with(i.basis.as_str()))
    };
    table(None, &heads, list.iter().map(row).collect())
}

/// From what the page was derived.
pub(super) fn provenance(p: &Provenance, words: &Words) -> El {
    let mut dl = classed("dl", "prov");
    let mut add = |label: String, text: &str| {
        if !text.is_empty() {
            dl.push(el("dt").with(label));
            dl.push(classed("dd", "hash").with(text));
        }
    };
    add(words.say("provenance-inputs"), &p.inputs_hash);
    add(words.say("provenance-seed"), &p.seed);
    add(words.say("provenance-engine"), &p.engine_version);
    add(words.say("provenance-made"), &p.made);
    dl
}
