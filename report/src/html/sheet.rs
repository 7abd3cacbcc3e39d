//! What every sheet begins and ends with: letterhead, title, safety; who read what with what.

use super::parts;
use crate::markup::{El, classed, el};
use crate::sheets::Head;
use crate::view::{Instrument, Letterhead};
use crate::words::Words;

/// The letterhead.
pub(super) fn letterhead(l: &Letterhead) -> El {
    let lines = l.lines.iter().map(|line| el("span").with(line.as_str()));
    // What the picture shows is the name beside it.
    let logo = l.logo.as_ref().map(|data| el("img").attr("src", data).attr("alt", l.name.as_str()));
    classed("div", "letter").with_all(logo).with(el("b").with(l.name.as_str())).with(el("p").with_all(lines))
}

/// Letterhead, title, lead, safety.
pub(super) fn top(head: &Head, words: &Words) -> Vec<El> {
    let mut out: Vec<El> = head.letterhead.iter().map(letterhead).collect();
    out.push(el("h1").with(head.title.as_str()));
    if !head.lead.is_empty() {
        out.push(classed("p", "lead").with(head.lead.as_str()));
    }
    out.extend(parts::safety(&head.safety, words));
    out.extend(head.stale.as_ref().map(|why| super::house::stale(why, words)));
    out
}

/// Instruments with serial and calibration date in one line, for sheets without room for a table.
pub(super) fn read_with(list: &[Instrument], words: &Words) -> Option<El> {
    let one = |i: &Instrument| {
        let args = [
            ("name", i.name.as_str().into()),
            ("serial", i.serial.as_str().into()),
            ("date", i.calibrated.as_str().into()),
        ];
        words.text("sheet-instrument", &args)
    };
    let list: Vec<String> = list.iter().map(one).collect();
    let text = || words.text("sheet-read-with", &[("list", list.join("; ").into())]);
    (!list.is_empty()).then(|| el("span").with(text()))
}

/// Tester and instruments in one paragraph.
pub(super) fn signed(head: &Head, words: &Words) -> El {
    let tester = (!head.tester.is_empty()).then(|| el("span").with(format!("{} ", head.tester)));
    classed("p", "soft by").with_all(tester).with_all(read_with(&head.instruments, words))
}

/// Tester, instruments as a table, from what it was derived.
pub(super) fn foot(head: &Head, words: &Words) -> Vec<El> {
    let mut out = Vec::new();
    if !head.instruments.is_empty() {
        let table = vec![parts::instruments(&head.instruments, words)];
        out.extend(super::section("", &words.say("instruments-title"), table));
    }
    if !head.tester.is_empty() {
        out.push(el("p").with(head.tester.as_str()));
    }
    out.push(parts::provenance(&head.provenance, words));
    out.push(classed("p", "soft").with(words.say("made-with")));
    out
}
