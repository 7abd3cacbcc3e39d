//! The report of a house, for its owner first: safety, the complaint and what explains it, the
//! drawing, what is known, the plans, what to do, and from what all of it was derived.

use super::parts::{self, cell, figure, row_head, table};
use super::{Page, page, section};
use crate::figure;
use crate::markup::{El, classed, el};
use crate::view::{
    Complaint, Evidence, HouseDrawing, HouseReport, Known, OUTDOORS, Passage, Photo, PhotosOf, Plan,
    PlanStatus, Plans, TestPlot, Tightness, ZoneKind,
};
use crate::words::Words;
use engine::measure::Estimate;
use engine::units::Quantity;

/// The whole file.
pub fn house(report: &HouseReport, words: &Words) -> Page {
    Page(tree(report, words))
}

pub(super) fn tree(r: &HouseReport, words: &Words) -> El {
    let mut out: Vec<El> = r.letterhead.iter().map(super::sheet::letterhead).collect();
    out.push(el("h1").with(r.title.as_str()));
    if !r.subtitle.is_empty() {
        out.push(classed("p", "lead").with(r.subtitle.as_str()));
    }
    out.extend(parts::safety(&r.safety, words));
    if let Some(why) = &r.stale {
        out.push(stale(why, words));
    }
    out.push(parts::states(words));
    let complaints = section(
        "",
        &words.say("complaints-title"),
        r.complaints.iter().map(|c| complaint(c, words)).collect(),
    );
    let tight =
        r.tightness.as_ref().and_then(|t| section("", &words.say("tightness-title"), tightness(t, words)));
    out.push(classed("div", "two").with_all(complaints.into_iter().chain(tight)));
    let findings = r.findings.as_ref().map(|f| super::findings::short(f, words)).unwrap_or_default();
    out.extend(section("", &words.say("findings-title"), findings));
    let drawing = r.house.as_ref().and_then(|h| section("whole", &h.title, drawing(h, words)));
    let ladder = r.ladder.as_ref().and_then(|l| {
        let caption = words.say("ladder-caption");
        let f = figure("lad-fig", Some(caption), |size| figure::ladder(l, words, size));
        section("whole", &words.say("ladder-title"), vec![f])
    });
    out.push(classed("div", "two").with_all(drawing.into_iter().chain(ladder)));
    out.extend(r.house.as_ref().map(|h| flows(h, words)));
    out.extend(r.plans.as_ref().and_then(|p| section("", &words.say("plans-title"), plans(p, words))));
    out.extend(section("", &words.say("todo-title"), todo(r, words)));
    out.extend(r.care.as_ref().and_then(|c| super::safety::care(c, words)));
    out.extend(section("", &words.say("cautions-title"), list(&r.cautions)));
    let known = r.known.as_ref().and_then(|k| section("", &words.say("known-title"), known(k, words)));
    let open = section("", &words.say("undetermined-title"), list(&r.undetermined));
    let next = section("", &words.say("next-title"), next(r, words));
    let aside = el("div").with_all(open.into_iter().chain(next));
    out.push(classed("div", "two").with_all(known).with(aside));
    let beyond = section("", &words.say("beyond-title"), list(&r.beyond));
    let rooms = section("", &words.say("rooms-title"), rooms(r, words));
    let answers = section("", &words.say("answers-title"), answers(r, words));
    if beyond.is_some() || answers.is_some() {
        out.push(classed("div", "two").with_all(beyond.into_iter().chain(answers)));
    }
    out.extend(rooms);
    let tests: Vec<El> = r.tests.iter().flat_map(|t| test(t, words)).collect();
    let tests = section("", &words.say("tests-title"), tests);
    let field: Vec<El> = r.field.iter().flat_map(|t| super::field::test(t, words)).collect();
    out.extend(section("", &words.say("field-title"), field));
    let residuals = section("", &words.say("residuals-title"), residuals(r, words));
    out.push(classed("div", "two").with_all(residuals.into_iter().chain(tests)));
    let further = r.findings.as_ref().map(|f| super::findings::appendix(f, words)).unwrap_or_default();
    out.extend(section("", &words.say("findings-appendix"), further));
    let photos: Vec<El> = r.photos.iter().flat_map(|p| photos(p, words)).collect();
    out.extend(section("", &words.say("photos-title"), photos));
    if !r.instruments.is_empty() {
        out.extend(section(
            "",
            &words.say("instruments-title"),
            vec![parts::instruments(&r.instruments, words)],
        ));
    }
    if !r.tester.is_empty() {
        out.push(el("p").with(r.tester.as_str()));
    }
    let mut made = vec![parts::provenance(&r.provenance, words)];
    if !r.left_out.is_empty() {
        let names: Vec<String> = r.left_out.iter().map(|p| words.say(&p.key())).collect();
        let args = [("parts", names.join(", ").into())];
        made.push(el("p").with(words.text("record-left-out", &args)));
    }
    made.push(classed("p", "soft").with(words.say("made-with")));
    out.extend(section("", &words.say("provenance-title"), made));
    page(&r.title, words, "house", out)
}

/// Photos of a visit with what they show, and what is said of those that are not here.
pub(super) fn photos(of: &PhotosOf, words: &Words) -> Vec<El> {
    let mut out = vec![el("h3").with(of.visit.as_str())];
    let one = |p: &Photo| {
        let shows = if p.shows.is_empty() { words.say("photo-no-words") } else { p.shows.clone() };
        let mut caption = el("figcaption").with(shows.as_str());
        if !p.about.is_empty() {
            caption.push(classed("span", "soft").with(format!(" \u{b7} {}", p.about)));
        }
        classed("figure", "photo")
            .with(el("img").attr("src", p.data.as_str()).attr("alt", shows))
            .with(caption)
    };
    if !of.photos.is_empty() {
        out.push(classed("div", "photos").with_all(of.photos.iter().map(one)));
    }
    out.extend(of.lacking.iter().map(|l| classed("p", "held").with(l.as_str())));
    out
}

pub(super) fn stale(why: &str, words: &Words) -> El {
    classed("p", "stale").with(el("b").with(words.say("stale-title"))).with(format!(" {why}"))
}

pub(super) fn list(sentences: &[String]) -> Vec<El> {
    if sentences.is_empty() {
        return Vec::new();
    }
    vec![el("ul").with_all(sentences.iter().map(|s| el("li").with(s.as_str())))]
}

pub(super) fn complaint(c: &Complaint, words: &Words) -> El {
    let mut quote = el("blockquote").with(words.text("quoted", &[("words", c.words.clone().into())]));
    if !c.by.is_empty() {
        quote.push(el("footer").with(c.by.as_str()));
    }
    let mut block = classed("div", "complaint").with(quote);
    if !c.statement.is_empty() {
        block.push(
            classed("p", "soft")
                .with(words.text("complaint-tested", &[("statement", c.statement.clone().into())])),
        );
    }
    block.push(el("p").with(c.explanation.as_str()));
    block.with(parts::evidence(&c.evidence, words))
}

pub(super) fn tightness(t: &Tightness, words: &Words) -> Vec<El> {
    let shown = words.shown_estimate(&t.number.estimate, t.number.show());
    let mut head = classed("div", "whole")
        .with(classed("p", "big").with(parts::shown(&shown.value).with(format!(" {}", t.name))))
        .with(parts::range_line(&t.number, words))
        .with_all(parts::wind_counted(t, words))
        .with_all(t.verdict.map(|v| parts::verdict(v, words)));
    if let Some(l) = &t.limit {
        head.push(
            classed("p", "soft").with(words.text("limit-is", &[("limit", parts::limit(l, words).into())])),
        );
    }
    head.push(figure("lim-fig", None, |size| figure::against_limit(t, words, size)));
    let mut out = vec![head];
    let others: Vec<Evidence> = t.others.iter().chain(&t.others_counted).cloned().collect();
    if !others.is_empty() {
        out.push(parts::evidence(&others, words));
    }
    out
}

pub(super) fn drawing(h: &HouseDrawing, words: &Words) -> Vec<El> {
    let draw = figure("", Some(h.setup.clone()), |size| figure::section(h, words, size));
    let mut out = vec![draw];
    // The two drawings have arrows of different widths, so each has its own key.
    for (class, size) in [("narrow", figure::Size::Narrow), ("wide", figure::Size::Wide)] {
        out.push(classed("div", class).with(figure::flow_key(h, words, size)));
    }
    out
}

/// Every flow of the drawing as tables, under their heading.
pub(super) fn flows(h: &HouseDrawing, words: &Words) -> El {
    el("section").with(el("h2").with(words.say("flows-title"))).with(flow_tables(h, words))
}

/// Tables of flows: into the house, out of it, within it; the largest first.
pub(super) fn flow_tables(h: &HouseDrawing, words: &Words) -> El {
    let zone = |id: &str| h.zones.iter().find(|z| z.id == id);
    let name = |id: &str| match zone(id) {
        Some(z) => z.name.clone(),
        None if id == OUTDOORS => words.say("outdoors"),
        None => id.to_owned(),
    };
    let within = |id: &str| zone(id).is_some_and(|z| !matches!(z.kind, ZoneKind::Buffer | ZoneKind::Ground));
    let mut order: Vec<&Passage> = h.passages.iter().collect();
    order.sort_by(|a, b| b.flow.estimate.si.abs().total_cmp(&a.flow.estimate.si.abs()));
    let row = |p: &&Passage| {
        let way = format!("{} \u{2192} {}", name(&p.from), name(&p.to));
        el("tr")
            .with(row_head(&way).with(classed("span", "soft").with(format!(" {}", p.label))))
            .with(cell(parts::ranged(&p.flow, words)))
    };
    let mut tables = classed("div", "tables");
    for (title, from, to) in [
        (words.say("flows-in"), Some(false), Some(true)),
        (words.say("flows-out"), Some(true), Some(false)),
        (words.say("flows-within"), Some(true), Some(true)),
        (words.say("flows-around"), Some(false), Some(false)),
    ] {
        let fits = |p: &&&Passage| Some(within(&p.from)) == from && Some(within(&p.to)) == to;
        let rows: Vec<El> = order.iter().filter(fits).map(row).collect();
        if !rows.is_empty() {
            let heads = [(words.say("flows-way"), false), (words.say("flows-flow"), true)];
            tables.push(el("div").with(table(Some(title), &heads, rows)));
        }
    }
    let level = order
        .iter()
        .find_map(|p| words.shown_estimate(&p.flow.estimate, p.flow.show()).level)
        .unwrap_or_default();
    let caption = el("p")
        .with(parts::mark(&crate::view::State::Computed, words))
        .with(format!(". {}", words.text("flows-caption", &[("level", level.into())])));
    el("div").with(caption).with(tables)
}

pub(super) fn test(t: &TestPlot, words: &Words) -> Vec<El> {
    let caption = words.text("plot-caption", &[("level", words.percent(t.level).into())]);
    vec![
        classed("div", "whole")
            .with(el("h3").with(t.title.as_str()))
            .with(figure("plot-fig", Some(caption), |size| figure::test_plot(t, words, size)))
            .with(parts::evidence(&t.facts, words)),
    ]
}

pub(super) fn known(k: &Known, words: &Words) -> Vec<El> {
    let caption = words
        .text("known-caption", &[("level", words.percent(k.level).into()), ("readings", k.readings.into())]);
    let mut out = vec![classed("p", "cap").with(caption)];
    out.extend(list(&k.loose));
    for group in &k.groups {
        let symbol = words.unit_symbol(group.quantity, crate::words::Show::usage(group.usage));
        let title =
            if symbol.is_empty() { group.title.clone() } else { format!("{}, {symbol}", group.title) };
        let drawn = figure("", None, |size| figure::known(group, words, size));
        out.push(classed("div", "whole").with(el("h3").with(title)).with(drawn));
    }
    out
}

pub(super) fn residuals(r: &HouseReport, words: &Words) -> Vec<El> {
    if r.residuals.is_empty() {
        return Vec::new();
    }
    let heads = [
        (words.say("residual-reading"), false),
        (words.say("residual-read"), true),
        (words.say("residual-expected"), true),
        (words.say("residual-z"), true),
    ];
    let row = |x: &crate::view::Residual| {
        let mut head = row_head(&x.label);
        if x.suspect {
            head.push(" ");
            head.push(el("b").with(words.say("residual-suspect")));
        }
        // Reading and expectation to the same step.
        let plain = |e: &Estimate| parts::shown(&words.shown_about(e.si, e.quantity, x.value.show()));
        let z = words.fixed(x.z, 1);
        let sign = if x.z > 0.05 { "+" } else { "" };
        let expected = match x.expected.bounds() {
            Some(_) => parts::ranged(&crate::view::Number { estimate: x.expected, ..x.value.clone() }, words),
            None => plain(&x.expected),
        };
        el("tr")
            .attr("class", if x.suspect { "check-f" } else { "" })
            .with(head)
            .with(cell(plain(&x.value.estimate)))
            .with(cell(expected))
            .with(cell(format!("{sign}{z}")))
    };
    vec![
        el("p").with(words.say("residuals-caption")),
        table(None, &heads, r.residuals.iter().map(row).collect()),
    ]
}

pub(super) fn answers(r: &HouseReport, words: &Words) -> Vec<El> {
    if r.answers.is_empty() {
        return Vec::new();
    }
    let heads = [
        (words.say("answers-asked"), false),
        (words.say("answers-answer"), true),
        (words.say("answers-from-readings"), true),
    ];
    let row = |a: &crate::view::Answered| {
        el("tr")
            .with(row_head(&a.label))
            .with(cell(parts::ranged(&a.number, words)))
            .with(cell(words.percent(a.from_readings_frac)))
    };
    vec![el("p").with(words.say("answers-caption")), table(None, &heads, r.answers.iter().map(row).collect())]
}

pub(super) fn rooms(r: &HouseReport, words: &Words) -> Vec<El> {
    let mut out = Vec::new();
    for day in &r.rooms {
        let heads = [
            (words.say("rooms-room"), false),
            (words.say("rooms-needs"), true),
            (words.say("rooms-gets"), true),
            (words.say("rooms-flow"), true),
            (words.say("rooms-short"), true),
            (words.say("rooms-why"), false),
        ];
        let row = |room: &crate::view::RoomLine| {
            let flow = room.flow.as_ref().map(|n| parts::ranged(n, words));
            el("tr")
                .with(row_head(&room.label))
                .with(cell(parts::ranged(&room.needs, words)))
                .with(classed("td", "num").with_all(room.gets.as_ref().map(|n| parts::ranged(n, words))))
                .with(classed("td", "num").with_all(flow))
                .with(cell(if room.gets.is_some() { words.percent(room.short_frac) } else { String::new() }))
                .with(el("td").with(room.why.clone().unwrap_or_else(|| words.say("rooms-enough"))))
        };
        out.push(el("h3").with(day.title.as_str()));
        out.push(el("p").with(day.note.as_str()));
        out.push(table(None, &heads, day.rooms.iter().map(row).collect()));
    }
    if !out.is_empty() {
        out.push(classed("p", "soft").with(words.say("rooms-caption")));
    }
    out
}

fn plan(p: &Plan, words: &Words) -> El {
    let price = words.shown_estimate(&p.price.estimate, p.price.show());
    let range = price.ends.map(|(lo, hi)| words.from_to(&lo, &hi)).unwrap_or_default();
    let mut card = classed("div", if p.best { "card best" } else { "card" })
        .with(el("h3").with(p.name.as_str()))
        .with(classed("span", "tag").with(p.letter.as_str()))
        .with(
            classed("p", "price")
                .with(parts::shown(&price.value))
                .with(classed("span", "soft").with(format!(" {range} ")))
                .with(parts::mark(&p.price.state, words)),
        )
        .with(el("ul").with_all(p.changes.iter().map(|c| el("li").with(c.as_str()))))
        .with(
            classed("p", "soft")
                .with(crate::text::plan_best(p, words))
                .with(" ")
                .with(words.text("plan-targets", &[("share", words.percent(p.targets_frac).into())])),
        );
    match &p.status {
        PlanStatus::Held(reasons) => {
            let why = words.text("plan-held", &[("reasons", reasons.join("; ").into())]);
            card.push(
                classed("p", "held").with(el("b").with(words.say("plan-held-title"))).with(format!(" {why}")),
            );
        }
        PlanStatus::Released(conditions) => {
            card.push(classed("p", "ok").with(crate::text::released(conditions, words)));
        }
    }
    card
}

pub(super) fn plans(p: &Plans, words: &Words) -> Vec<El> {
    let mut caption = p.rule.clone();
    if p.list.iter().any(|x| matches!(x.status, PlanStatus::Held(_))) {
        caption = format!("{caption} {}", words.say("plans-held-note"));
    }
    let mut out = vec![
        el("h3").with(words.say("plans-chance")),
        figure("", Some(caption), |size| figure::chance_of_best(p, words, size)),
        el("p").with(words.text("plans-none-meet", &[("share", words.percent(p.none_meets_frac).into())])),
        classed("div", "cards").with_all(p.list.iter().map(|x| plan(x, words))),
    ];
    if !p.scores.is_empty() {
        out.push(classed("p", "cap soft").with(words.say("plans-hatched")));
    }
    let mut scores = classed("div", "scores");
    for (i, s) in p.scores.iter().enumerate() {
        let first = s.as_found.as_ref().or_else(|| s.plans.first());
        let symbol = first.map(|n| words.unit_symbol(n.estimate.quantity, n.show())).unwrap_or_default();
        let detail = [s.detail.as_str(), symbol.as_str()]
            .into_iter()
            .filter(|t| !t.is_empty())
            .collect::<Vec<_>>()
            .join(", ");
        scores.push(
            el("div")
                .with(el("h3").with(s.name.as_str()))
                .with(el("figure").with(el("figcaption").with(detail)).with(figure::score(s, p, i, words))),
        );
    }
    out.push(scores);
    out.extend(p.notes.iter().map(|note| el("p").with(note.as_str())));
    if !p.rest.is_empty() {
        out.push(el("h3").with(words.say("plans-rest-title")));
        out.push(classed("p", "cap soft").with(words.say("plans-rest-caption")));
        let mut heads = vec![(words.say("plans-quantity"), false), (words.say("plans-as-found"), true)];
        heads.extend(p.list.iter().map(|x| (x.letter.clone(), true)));
        let value = |n: &crate::view::Number| {
            let shown = words.shown_estimate(&n.estimate, n.show());
            if n.estimate.si.is_finite() { cell(parts::shown(&shown.value)) } else { cell("\u{2013}") }
        };
        let row = |s: &crate::view::Score| {
            el("tr")
                .with(row_head(&s.name).attr("class", "full"))
                .with_all(s.as_found.iter().chain(&s.plans).map(value))
        };
        out.push(table(None, &heads, p.rest.iter().map(row).collect()));
    }
    out.extend(p.bad_days.iter().flat_map(|days| bad_days(days, &p.list, words)));
    out
}

/// An event: a table of every quantity by plan, with its interval and the difference to the house as
/// found.
fn bad_days(days: &crate::view::BadDays, list: &[Plan], words: &Words) -> Vec<El> {
    let mut out = vec![el("h3").with(days.title.as_str())];
    if !days.rows.is_empty() {
        let mut heads = vec![(words.say("plans-quantity"), false), (words.say("plans-as-found"), true)];
        heads.extend(list.iter().map(|x| (x.letter.clone(), true)));
        let value = |n: &crate::view::Number| {
            if n.estimate.si.is_finite() { cell(parts::ranged(n, words)) } else { cell("\u{2013}") }
        };
        let both = |[n, by]: &[crate::view::Number; 2]| {
            let by = by.estimate.si.is_finite().then(|| {
                let by = words.estimate_short(&by.estimate, by.show());
                classed("p", "soft").with(words.text("plans-against-found", &[("value", by.into())]))
            });
            value(n).with_all(by)
        };
        let row = |r: &crate::view::BadDaysRow| {
            el("tr")
                .with(row_head(&r.name).attr("class", "full"))
                .with(value(&r.as_found))
                .with_all(r.plans.iter().map(both))
        };
        out.push(table(None, &heads, days.rows.iter().map(row).collect()));
    }
    out.push(classed("p", "soft").with(days.note.as_str()));
    out
}

pub(super) fn next(r: &HouseReport, words: &Words) -> Vec<El> {
    let mut notes = r.next_notes.iter().map(|n| el("p").with(n.as_str()));
    if r.next.is_empty() {
        return notes.collect();
    }
    // What was asked, and what is known of it, before what to read for it.
    let asked = notes.next();
    let heads =
        [(words.say("next-reading"), false), (words.say("next-work"), true), (words.say("next-gain"), true)];
    let row = |n: &crate::view::NextReading| {
        let work = words.shown(n.work_s, Quantity::Time, crate::words::Show::default());
        let gain = if n.gain_frac < 0.005 { words.say("next-no-help") } else { words.percent(n.gain_frac) };
        el("tr")
            .with(row_head(&n.words).attr("class", "full"))
            .with(cell(parts::shown(&work)))
            .with(cell(gain))
    };
    let mut out: Vec<El> = asked.into_iter().collect();
    out.push(el("p").with(words.say("next-caption")));
    out.push(table(None, &heads, r.next.iter().map(row).collect()));
    // The first of them in full: how the house stands, what to expect, how the tap is proved.
    if let Some(first) = r.next.first() {
        if let Some(setup) = &first.setup {
            let caption = Some(first.words.clone());
            out.push(figure("setup-fig", caption, |size| figure::setup(setup, words, size)));
        }
        out.extend(first.before.iter().map(|line| el("p").with(line.as_str())));
    }
    out.extend(notes);
    out
}

pub(super) fn todo(r: &HouseReport, words: &Words) -> Vec<El> {
    if r.todo.is_empty() {
        return Vec::new();
    }
    let mut cards = classed("div", "cards todo");
    for (i, t) in r.todo.iter().enumerate() {
        let mut dl = el("dl");
        let mut add = |label: String, text: El| {
            dl.push(el("dt").with(label));
            dl.push(text);
        };
        let dd = |text: &str| el("dd").with(text);
        add(words.say("todo-where"), dd(&t.place));
        add(words.say("todo-who"), dd(&t.who));
        if let Some(n) = &t.price {
            let s = words.shown_estimate(&n.estimate, n.show());
            let text = s.ends.map_or_else(|| s.value.to_string(), |(lo, hi)| words.from_to(&lo, &hi));
            add(
                words.say("todo-price"),
                el("dd").with(el("b").with(text)).with(" ").with(parts::mark(&n.state, words)),
            );
        }
        add(words.say("todo-gain"), dd(&t.change));
        add(words.say("todo-goes-with"), dd(&t.goes_with));
        add(words.say("todo-proof"), dd(&t.proof));
        cards.push(
            classed("div", "card")
                .with(el("h3").with(t.what.as_str()))
                .with(classed("span", "num-tag").with((i + 1).to_string()))
                .with(dl),
        );
    }
    vec![cards]
}
