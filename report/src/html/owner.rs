//! The owner's page: one sheet of A4 or Letter.

use super::{Page, page, parts, sheet};
use crate::figure;
use crate::markup::{El, classed, el};
use crate::sheets::{NowAfter, OwnerComplaint, OwnerPage};
use crate::view::Todo;
use crate::words::{Show, Words};

/// Characters of text, those of figures with it, that the sheet holds in type of 8.5 points, and in type
/// a step smaller each; measured with the widest of the usual fonts on Letter.
const HOLDS: [(usize, &str); 3] = [(5000, "owner"), (5700, "owner dense"), (6600, "owner dense denser")];

/// The whole file.
pub fn owner(page: &OwnerPage, words: &Words) -> Page {
    Page(tree(page, words))
}

/// All that the page says, without markup: for whoever explains its words.
pub fn owner_text(page: &OwnerPage, words: &Words) -> String {
    tree(page, words).inner_text()
}

pub(super) fn tree(p: &OwnerPage, words: &Words) -> El {
    let mut out = sheet::top(&p.head, words);
    let mut say = classed("div", if p.complaints.len() > 1 { "o2" } else { "o1" });
    for c in &p.complaints {
        say.push(complaint(c, words));
    }
    out.push(say);
    if p.more_complaints > 0 {
        let more = words.text("owner-more-complaints", &[("count", p.more_complaints.into())]);
        out.push(classed("p", "soft").with(more));
    }
    if !p.todo.is_empty() || !p.waiting.is_empty() {
        out.push(el("h2").with(words.text("owner-todo", &[("count", p.todo.len().into())])));
        let cards = p.todo.iter().enumerate().map(|(i, t)| card(i, t, words));
        out.push(classed("div", "o3 todo-row").with_all(cards));
        out.extend(p.waiting.iter().map(|w| classed("p", "held").with(w.as_str())));
    }
    let drawing = p.house.as_ref().map(|h| {
        let narrow = figure::section(h, words, figure::Size::Narrow);
        classed("figure", "pic").with(narrow).with(el("figcaption").with(h.setup.as_str()))
    });
    let numbers = el("div").with_all(changes(&p.changes, words)).with_all(tight(p, words));
    out.push(classed("div", "o3 low").with_all(drawing).with(numbers).with(unknown(p, words)));
    if !p.left_open.is_empty() {
        out.push(classed("p", "held").with(p.left_open.as_str()));
    }
    let mut foot = classed("footer", "soft");
    if !p.put_back.is_empty() {
        foot.push(el("p").with(p.put_back.as_str()));
    }
    foot.push(el("p").with(p.explained.join(" ")));
    foot.push(el("p").with(p.rest.as_str()).with(" ").with(words.say("made-with")));
    out.push(foot);
    let length: usize = out.iter().map(|e| e.inner_text().chars().count()).sum();
    let class = HOLDS.iter().find(|h| length <= h.0).map_or("owner dense densest", |h| h.1);
    page(&format!("{}: {}", p.head.title, p.head.lead), words, class, out)
}

fn complaint(c: &OwnerComplaint, words: &Words) -> El {
    let quote = el("blockquote").with(words.text("quoted", &[("words", c.words.clone().into())]));
    let says = c.says.iter().map(|s| {
        let p = el("p").with(s.text.as_str());
        match &s.state {
            Some(state) => p.with(" ").with(parts::mark(state, words)),
            None => p,
        }
    });
    classed("div", "complaint").with(quote).with_all(says)
}

fn card(i: usize, t: &Todo, words: &Words) -> El {
    let mut dl = el("dl");
    let mut add = |key: &str, text: El| {
        dl.push(el("dt").with(words.say(key)));
        dl.push(text);
    };
    let dd = |text: &str| el("dd").with(text);
    add("todo-where", dd(&t.place));
    add("todo-who", dd(&t.who));
    let price = match &t.price {
        Some(n) if n.estimate.si.is_finite() => {
            let s = words.shown_estimate(&n.estimate, n.show());
            let text = s.ends.map_or_else(|| s.value.to_string(), |(lo, hi)| words.from_to(&lo, &hi));
            el("dd").with(el("b").with(text))
        }
        _ => el("dd").with(words.say("owner-no-price")),
    };
    add("todo-price", price);
    add("todo-gain", dd(&t.change));
    add("todo-goes-with", dd(&t.goes_with));
    add("todo-proof", dd(&t.proof));
    classed("section", "td")
        .with(el("h3").with(t.what.as_str()))
        .with(classed("span", "num-tag").with((i + 1).to_string()))
        .with(dl)
}

fn changes(list: &[NowAfter], words: &Words) -> Option<El> {
    if list.is_empty() {
        return None;
    }
    let mut out = el("section").with(el("h3").with(words.say("owner-changes")));
    for row in list {
        let unit = words.unit_symbol(row.now.estimate.quantity, row.now.show());
        out.push(el("p").with(row.name.as_str()).with(classed("span", "soft").with(format!(", {unit}"))));
        out.push(el("figure").with(figure::now_after(row, words)));
    }
    Some(out)
}

fn tight(p: &OwnerPage, words: &Words) -> Option<El> {
    let t = p.tightness.as_ref()?;
    let shown = words.shown_estimate(&t.number.estimate, t.number.show()).value;
    let mut out = el("section")
        .with(el("h3").with(words.say("owner-tight")))
        .with(el("p").with(parts::shown(&shown)).with(format!(" {}", p.tightness_note)))
        .with(el("figure").with(figure::against_limit(t, words, figure::Size::Narrow)));
    if let Some(l) = &t.limit {
        let value = words.quantity_as(l.si, l.quantity, Show::usage(l.usage));
        let args = [("value", value.into()), ("source", l.source.as_str().into())];
        out.push(classed("p", "soft").with(words.text("owner-limit", &args)));
    }
    Some(out)
}

fn unknown(p: &OwnerPage, words: &Words) -> El {
    let items = p.unknown.iter().map(|u| el("li").with(u.as_str()));
    el("section")
        .with(el("h3").with(words.say("owner-unknown")))
        .with(el("ul").with_all(items))
        .with(parts::states(words))
        .with(sheet::signed(&p.head, words))
}
