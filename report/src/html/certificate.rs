//! The certificate of one envelope test: the standard's number against its limit, the honest
//! interval, every check of the procedure, and who measured with what.

use super::parts::{self, facts, row_head, table};
use super::{Page, page, section};
use crate::figure;
use crate::markup::{El, classed, el};
use crate::view::{Certificate, Check, CheckState, Evidence, Fact, TestPlot};
use crate::words::Words;

/// Lines of lists and tables that a sheet holds in its usual type.
const MUCH: usize = 22;

/// The whole file; one sheet on A4 and Letter for a test of usual size.
pub fn certificate(certificate: &Certificate, words: &Words) -> Page {
    Page(tree(certificate, words))
}

pub(super) fn tree(c: &Certificate, words: &Words) -> El {
    let mut out: Vec<El> = c.letterhead.iter().map(super::sheet::letterhead).collect();
    out.extend([
        el("h1").with(words.say("certificate-title")),
        classed("p", "lead").with(format!("{} \u{b7} {} \u{b7} {}", c.title, c.tested, c.standard)),
    ]);
    if let Some(why) = &c.stale {
        out.push(super::house::stale(why, words));
    }
    // Each direction has its plot, side by side after the result.
    let class = if c.plots.len() > 1 { "tops several" } else { "tops" };
    let plots = c.plots.iter().map(|p| plot(p, c, words));
    out.push(classed("div", class).with(result(c, words)).with_all(plots));
    out.extend(conditions(c, words));
    out.extend(preparation(c, words));
    out.extend(section("", &words.say("checks-title"), checks(&c.checks, words)));
    if !c.instruments.is_empty() {
        out.extend(section(
            "",
            &words.say("instruments-title"),
            vec![parts::instruments(&c.instruments, words)],
        ));
    }
    out.push(classed("p", "soft").with(words.say("certificate-scope")));
    out.push(parts::provenance(&c.provenance, words));
    let place = |label: String| el("div").with(label);
    out.push(
        classed("div", "sign")
            .with(place(words.say("certificate-place-date")))
            .with(place(words.say("certificate-signature"))),
    );
    // On paper all of it stands on one sheet: where there is much, in smaller type.
    let lines = c.preparation.len() + c.confirmed.len() + c.checks.len() + c.instruments.len();
    let class = if c.plots.len() > 1 || lines > MUCH { "cert dense" } else { "cert" };
    page(&format!("{}: {}", words.say("certificate-title"), c.title), words, class, out)
}

fn result(c: &Certificate, words: &Words) -> El {
    let t = &c.tightness;
    let shown = words.shown_estimate(&t.number.estimate, t.number.show());
    let mut out = el("section")
        .with(el("h2").with(t.name.as_str()))
        .with(
            classed("div", "head")
                .with(classed("p", "big").with(parts::shown(&shown.value)))
                .with_all(t.verdict.map(|v| parts::verdict(v, words))),
        )
        .with(parts::range_line(&t.number, words))
        .with_all(parts::wind_counted(t, words));
    if let Some(why) = &c.undecided {
        out.push(el("p").with(el("b").with(why.as_str())));
    }
    if let Some(l) = &t.limit {
        out.push(
            classed("p", "soft").with(words.text("limit-is", &[("limit", parts::limit(l, words).into())])),
        );
    }
    out.push(classed("figure", "lim-fig").with(figure::against_limit(t, words, figure::Size::Narrow)));
    if !t.others.is_empty() {
        out.push(parts::evidence(&t.others, words));
    }
    out
}

/// How the building was prepared, and what the tester confirmed, in columns that a sheet has room for.
fn preparation(c: &Certificate, words: &Words) -> Vec<El> {
    let list = |lines: &[String]| {
        let item = |line: &String| el("li").with(line.as_str());
        vec![classed("ul", "prep").with_all(lines.iter().map(item))]
    };
    let blocks = [("certificate-preparation", &c.preparation), ("certificate-confirmed", &c.confirmed)];
    blocks
        .into_iter()
        .filter(|(_, lines)| !lines.is_empty())
        .filter_map(|(key, lines)| section("", &words.say(key), list(lines)))
        .collect()
}

/// Building, weather and tester, side by side.
fn conditions(c: &Certificate, words: &Words) -> Option<El> {
    let mut columns = classed("div", "trio");
    // A long text stands under the columns; beside its label it would be a column of letters.
    let long = |f: &&Fact| f.text.chars().count() > 32;
    let lists = [
        (words.say("certificate-building"), &c.building),
        (words.say("certificate-weather"), &c.weather),
        (words.say("certificate-tester"), &c.tester),
    ];
    for (heading, list) in &lists {
        if !list.is_empty() {
            let short: Vec<Fact> = list.iter().filter(|f| !long(f)).cloned().collect();
            columns.push(el("div").with(el("h2").with(heading.as_str())).with(facts(&short)));
        }
    }
    for f in lists.iter().flat_map(|l| l.1).filter(long) {
        let label = classed("span", "soft").with(format!("{}: ", f.label));
        columns.push(classed("p", "long").with(label).with(f.text.as_str()));
    }
    lists.iter().any(|l| !l.1.is_empty()).then(|| el("section").with(columns))
}

fn plot(p: &TestPlot, c: &Certificate, words: &Words) -> El {
    // What stands beside the result already is not said again.
    let told: Vec<Evidence> = p.facts.iter().filter(|f| !c.tightness.others.contains(f)).cloned().collect();
    let caption = words.text("plot-caption", &[("level", words.percent(p.level).into())]);
    el("section")
        .with(el("h2").with(p.title.as_str()))
        .with(classed("figure", "plot-fig").with(el("figcaption").with(caption)).with(figure::test_plot(
            p,
            words,
            figure::Size::Narrow,
        )))
        .with_all((!told.is_empty()).then(|| parts::evidence(&told, words)))
}

pub(super) fn checks(list: &[Check], words: &Words) -> Vec<El> {
    if list.is_empty() {
        return Vec::new();
    }
    let failed = list.iter().filter(|c| c.state == CheckState::Failed).count();
    let mut out = Vec::new();
    if failed > 0 {
        out.push(el("p").with(el("b").with(words.text("checks-failed", &[("failed", failed.into())]))));
    }
    let heads = [
        (words.say("check-name"), false),
        (words.say("check-found"), false),
        (words.say("check-wanted"), false),
        (words.say("check-source"), false),
        (words.say("check-state"), false),
    ];
    // Sources repeat; each is written out once under the table and named by its number.
    let mut sources: Vec<&str> = Vec::new();
    for c in list {
        if !c.source.is_empty() && !sources.contains(&c.source.as_str()) {
            sources.push(&c.source);
        }
    }
    let number = |c: &Check| sources.iter().position(|s| *s == c.source).map(|i| format!("[{}]", i + 1));
    // Failed ones first: nobody should have to look for them.
    let mut order: Vec<&Check> = list.iter().collect();
    order.sort_by_key(|c| match c.state {
        CheckState::Failed => 0,
        CheckState::Undecided => 1,
        CheckState::Holds => 2,
    });
    let row = |c: &&Check| {
        let (word, sign) = match c.state {
            CheckState::Holds => (words.say("check-holds"), "\u{2713}"),
            CheckState::Failed => (words.say("check-failed"), "\u{2612}"),
            CheckState::Undecided => (words.say("check-undecided"), "\u{25c7}"),
        };
        el("tr")
            .attr("class", if c.state == CheckState::Failed { "check-f" } else { "" })
            .with(row_head(&c.name).attr("class", "full"))
            .with(el("td").with(c.found.as_str()))
            .with(el("td").with(c.wanted.as_str()))
            .with(el("td").with(number(c).unwrap_or_else(|| "\u{2013}".to_owned())))
            .with(classed("td", "full").with(el("b").with(format!("{sign} {word}"))))
    };
    out.push(classed("div", "checks").with(table(None, &heads, order.iter().map(row).collect())));
    let mut notes = classed("p", "soft sources");
    for (i, source) in sources.iter().enumerate() {
        notes.push(el("span").with(format!("[{}]\u{a0}{source}", i + 1)));
        notes.push(" ");
    }
    // Two directions share a line of the table, each by the sign of its pressure.
    if list.iter().any(|c| c.found.contains("(\u{2212})") || c.name.contains("(\u{2212})")) {
        notes.push(el("span").with(words.say("checks-signs")));
    }
    out.push(notes);
    out
}
