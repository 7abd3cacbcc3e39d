//! Widths of a table's columns, as browsers find them (CSS 2.1, 17.5.2.2): no narrower than the longest word,
//! no wider than the longest line where there is room for both.

use report::figure::text_width;
use report::markup::{El, Node};

/// Width of the paper between its margins over the size of a table's type; A4, the narrower of the two.
const PAPER_EM: f64 = 533.0 / 8.0;
/// The same on sheets in small type.
const PAPER_SMALL_EM: f64 = 533.0 / 6.9;
/// Space after a column.
const GAP_EM: f64 = 1.0;

/// One width a column, as a share of what there is.
pub(super) fn widths(rows: &[&El], columns: usize, share: f64, single: bool, split: bool) -> Vec<String> {
    let mut least = vec![1.0f64; columns];
    let mut most = vec![1.0f64; columns];
    for row in rows {
        let cells = row.children().iter().filter_map(|n| match n {
            Node::Element(e) => Some(e),
            _ => None,
        });
        for (j, cell) in cells.enumerate() {
            let mut lines = vec![String::new()];
            gather(cell, split, &mut lines);
            let bold = cell.attribute("scope") == Some("col");
            let width = |text: &str| text_width(text, 1.0, bold);
            let word = lines.iter().flat_map(|l| l.split(' ')).map(width).fold(0.0, f64::max);
            let line = lines.iter().map(|l| width(l)).fold(0.0, f64::max);
            (least[j], most[j]) = (least[j].max(word), most[j].max(line));
        }
    }
    let paper = if single { PAPER_SMALL_EM } else { PAPER_EM };
    let there = (paper * share - GAP_EM * columns as f64).max(1.0);
    let (low, high): (f64, f64) = (least.iter().sum(), most.iter().sum());
    let width = |j: usize| match () {
        () if high <= there => most[j] / high * there,
        () if low >= there => least[j] / low * there,
        () => least[j] + (there - low) * (most[j] - least[j]) / (high - low).max(1e-9),
    };
    (0..columns).map(|j| format!("{:.3}fr", width(j) + GAP_EM)).collect()
}

/// The lines of a cell; what is not broken has no space.
fn gather(el: &El, split: bool, lines: &mut Vec<String>) {
    let apart = matches!(el.name(), "p" | "br" | "li" | "dd") || (split && el.has_class("r"));
    if apart {
        lines.push(String::new());
    }
    for child in el.children() {
        match child {
            Node::Element(e) if e.has_class("r") => {
                if split {
                    lines.push(String::new());
                }
                push(lines, &e.inner_text().replace(' ', "\u{a0}"));
            }
            Node::Element(e) => gather(e, split, lines),
            Node::Text(text) => push(lines, text),
            Node::Css(_) => {}
        }
    }
}

fn push(lines: &mut [String], text: &str) {
    if let Some(line) = lines.last_mut() {
        line.push_str(text);
    }
}
