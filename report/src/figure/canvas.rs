//! The little that all figures draw with.

use crate::markup::{El, classed, el, px};

/// A box, px.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Rect {
    pub(super) x0: f64,
    pub(super) y0: f64,
    pub(super) x1: f64,
    pub(super) y1: f64,
}

impl Rect {
    pub(super) fn new(x0: f64, y0: f64, x1: f64, y1: f64) -> Rect {
        let (x0, x1) = if x0 <= x1 { (x0, x1) } else { (x1, x0) };
        let (y0, y1) = if y0 <= y1 { (y0, y1) } else { (y1, y0) };
        Rect { x0, y0, x1, y1 }
    }

    pub(super) fn width(&self) -> f64 {
        (self.x1 - self.x0).abs()
    }

    pub(super) fn height(&self) -> f64 {
        (self.y1 - self.y0).abs()
    }

    pub(super) fn grown(&self, by: f64) -> Rect {
        Rect { x0: self.x0 - by, y0: self.y0 - by, x1: self.x1 + by, y1: self.y1 + by }
    }

    /// Area shared with another box, px2.
    pub(super) fn overlap(&self, other: &Rect) -> f64 {
        let w = self.x1.min(other.x1) - self.x0.max(other.x0);
        let h = self.y1.min(other.y1) - self.y0.max(other.y0);
        if w > 0.0 && h > 0.0 { w * h } else { 0.0 }
    }

    pub(super) fn holds(&self, other: &Rect) -> bool {
        other.x0 >= self.x0 && other.x1 <= self.x1 && other.y0 >= self.y0 && other.y1 <= self.y1
    }
}

/// An empty figure of a size, with its title and description.
pub(super) fn figure(width: f64, height: f64, title: &str, description: &str) -> El {
    el("svg")
        .attr("class", "fig")
        .attr("xmlns", "http://www.w3.org/2000/svg")
        .attr("viewBox", format!("0 0 {} {}", px(width), px(height)))
        .at("width", width)
        .at("height", height)
        // A narrow drawing may grow a little on a large phone; a wide one keeps its size.
        .attr(
            "style",
            format!("max-width:{}px", px(if width <= super::NARROW_PX { width * 1.3 } else { width })),
        )
        .attr("role", "img")
        .attr("aria-label", title)
        .with(el("title").with(title))
        .with(el("desc").with(description))
}

pub(super) fn line(x0: f64, y0: f64, x1: f64, y1: f64, class: &str) -> El {
    classed("line", class).at("x1", x0).at("y1", y0).at("x2", x1).at("y2", y1)
}

pub(super) fn rect(r: &Rect, class: &str) -> El {
    classed("rect", class).at("x", r.x0).at("y", r.y0).at("width", r.width()).at("height", r.height())
}

pub(super) fn circle(x: f64, y: f64, r: f64, class: &str) -> El {
    classed("circle", class).at("cx", x).at("cy", y).at("r", r)
}

fn points(points: &[(f64, f64)]) -> String {
    points.iter().map(|(x, y)| format!("{},{}", px(*x), px(*y))).collect::<Vec<_>>().join(" ")
}

pub(super) fn polygon(list: &[(f64, f64)], class: &str) -> El {
    classed("polygon", class).attr("points", points(list))
}

pub(super) fn polyline(list: &[(f64, f64)], class: &str) -> El {
    classed("polyline", class).attr("points", points(list))
}

pub(super) fn text(x: f64, y: f64, class: &str, words: &str) -> El {
    classed("text", class).at("x", x).at("y", y).with(words)
}

/// Lines of text, each `leading` below the one before.
pub(super) fn text_lines(x: f64, y: f64, class: &str, leading: f64, lines: &[String]) -> Vec<El> {
    lines.iter().enumerate().map(|(i, l)| text(x, y + leading * i as f64, class, l)).collect()
}

/// Diagonal hatching for what lies beyond a limit.
pub(super) fn hatch(id: &str) -> El {
    el("defs").with(
        el("pattern")
            .attr("id", id)
            .attr("width", 7)
            .attr("height", 7)
            .attr("patternUnits", "userSpaceOnUse")
            .attr("patternTransform", "rotate(45)")
            .with(line(0.0, 0.0, 0.0, 7.0, "lim").attr("style", "stroke-width:1px;opacity:.55")),
    )
}

/// Width of a text in px, a little on the safe side for common system fonts.
pub fn text_width(words: &str, size_px: f64, bold: bool) -> f64 {
    let em: f64 = words
        .chars()
        .map(|c| match c {
            'i' | 'j' | 'l' | '.' | ',' | ':' | ';' | '\'' | '|' | '!' | '\u{a0}' | ' ' => 0.31,
            'f' | 't' | 'r' | '(' | ')' | '-' | 'I' | '/' => 0.40,
            'm' | 'w' | 'M' | 'W' | '%' => 0.92,
            '\u{2212}' | '+' | '=' | '\u{2192}' => 0.84,
            'A'..='Z' => 0.68,
            '0'..='9' => 0.60,
            _ => 0.59,
        })
        .sum();
    em * size_px * if bold { 1.09 } else { 1.0 }
}

/// Breaks a text at words so that no line is wider than `width_px`, if words allow.
pub(super) fn wrap(words: &str, width_px: f64, size_px: f64, bold: bool) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in words.split(' ').filter(|w| !w.is_empty()) {
        if let Some(last) = lines.last_mut()
            && text_width(&format!("{last} {word}"), size_px, bold) <= width_px
        {
            last.push(' ');
            last.push_str(word);
            continue;
        }
        lines.push(word.to_owned());
    }
    lines
}

/// Puts labels side by side apart: moves centres so that boxes of these widths do not touch, and
/// keeps them within `[lo, hi]`. Centres must be ascending.
pub(super) fn spread(centres: &[f64], widths: &[f64], gap: f64, lo: f64, hi: f64) -> Vec<f64> {
    let mut at = centres.to_vec();
    for _ in 0..40 {
        for i in 1..at.len() {
            let need = (widths[i - 1] + widths[i]) / 2.0 + gap;
            let lack = need - (at[i] - at[i - 1]);
            if lack > 0.0 {
                at[i - 1] -= lack / 2.0;
                at[i] += lack / 2.0;
            }
        }
        for i in 0..at.len() {
            let half = widths[i] / 2.0;
            at[i] = at[i].min(hi - half).max(lo + half);
        }
    }
    at
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn words_wrap_and_never_vanish() {
        let lines = wrap("return platform, in the garage", 90.0, 14.0, false);
        assert!(lines.len() >= 2);
        assert_eq!(lines.join(" "), "return platform, in the garage");
    }

    #[test]
    fn labels_are_spread() {
        let at = spread(&[50.0, 52.0, 90.0], &[30.0, 30.0, 30.0], 4.0, 0.0, 120.0);
        for w in at.windows(2) {
            assert!(w[1] - w[0] >= 33.0, "{at:?}");
        }
        assert!(at[0] >= 15.0 && at[2] <= 105.0);
    }

    #[test]
    fn boxes_overlap_by_their_shared_area() {
        let a = Rect::new(0.0, 0.0, 10.0, 10.0);
        assert!((a.overlap(&Rect::new(5.0, 5.0, 20.0, 20.0)) - 25.0).abs() < 1e-9);
        assert!(a.overlap(&Rect::new(10.0, 0.0, 20.0, 10.0)) < 1e-9);
        assert!(a.grown(1.0).holds(&a));
    }
}
