//! The pressure ladder: each zone a rung at its pressure against outdoors at the same height; its
//! pale box runs from floor to ceiling. Air falls from a higher rung to a lower one.

use super::canvas::{Rect, figure, line, polygon, rect, spread, text, text_lines, text_width, wrap};
use super::scale::{Scale, round_range, round_step, tick_decimals};
use super::{NARROW_PX, Size};
use crate::markup::El;
use crate::view::{Drop, Ladder, Rung};
use crate::words::{Show, Words};
use engine::math::{max_valid, min_valid};
use engine::units::Quantity;

const LEFT: f64 = 40.0;
const TOP: f64 = 28.0;

/// Pressures of all zones, Pa, on one axis.
pub fn ladder(ladder: &Ladder, words: &Words, size: Size) -> El {
    let (width, plot_height) = match size {
        Size::Narrow => (NARROW_PX, 290.0),
        Size::Wide => (416.0, 380.0),
    };
    let all = ladder.rungs.iter().flat_map(|r| [r.middle.estimate.si, r.floor_pa, r.ceiling_pa]);
    let (lo, hi) = round_range(all.chain([0.0]), 8);
    // Room for the figures above and below the boxes.
    let step = round_step(hi - lo, 8);
    let top_end = max_valid(ladder.rungs.iter().map(|r| r.ceiling_pa.max(r.floor_pa))).unwrap_or(0.0);
    let low_end = min_valid(ladder.rungs.iter().map(|r| r.ceiling_pa.min(r.floor_pa))).unwrap_or(0.0);
    let hi = if hi - top_end < step * 0.6 { hi + step } else { hi };
    let lo = if low_end - lo < step * 0.6 && low_end < 0.0 { lo - step } else { lo };
    // The words of a drop stand where nothing else is; where no such place is left, above the plot.
    let column = (width - LEFT) / ladder.rungs.len().max(1) as f64;
    let plot = |top: f64| Plot {
        y: Scale::linear(lo, hi, top + plot_height, top),
        column,
        half: (column * 0.27).min(15.0),
        frame: Rect::new(LEFT + 3.0, top + 3.0, width, top + plot_height - 3.0),
    };
    let mut top = TOP;
    let mut drop_label = None;
    if let Some(drop) = valid_drop(ladder) {
        drop_label = plot(top).free_label(ladder, drop, words);
        if drop_label.is_none() {
            let label = DropLabel::new(drop, words, width - LEFT);
            top += label.height + 10.0;
            let x = plot(top).drop_x(drop).min(width - label.width).max(LEFT);
            drop_label = Some(DropLabel { at: (x, TOP - 4.0), ..label });
        }
    }
    let plot = plot(top);
    let (y, bottom) = (plot.y, top + plot_height);
    let ticks = y.ticks(10);
    let decimals = tick_decimals(&ticks);

    // Names need two lines of columns where one column is too tight for the longest word.
    let widest = |r: &Rung| r.name.split(' ').map(|w| text_width(w, 13.0, r.selected)).fold(0.0, f64::max);
    let staggered = ladder.rungs.iter().any(|r| widest(r) > column - 4.0);
    let room = if staggered { column * 2.0 - 6.0 } else { column - 4.0 };
    let names: Vec<Vec<String>> =
        ladder.rungs.iter().map(|r| wrap(&r.name, room, 13.0, r.selected)).collect();
    let lines = |parity: usize| names.iter().skip(parity).step_by(2).map(Vec::len).max().unwrap_or(0);
    let first_rows = if staggered { lines(0) } else { names.iter().map(Vec::len).max().unwrap_or(1) };
    let rows = if staggered { first_rows + lines(1) } else { first_rows };
    let height = bottom + 10.0 + 15.0 * rows as f64 + if staggered { 6.0 } else { 0.0 };

    let title = words.say("ladder-title");
    let mut svg = figure(width, height, &title, &describe(ladder, words));
    svg.push(text(0.0, 12.0, "s sf", &words.say("ladder-axis")));
    for tick in ticks {
        let class = if tick.abs() < 1e-9 { "zero" } else { "grid" };
        svg.push(line(LEFT - 4.0, y.at(tick), width, y.at(tick), class));
        let signed = if tick > 0.0 { "+" } else { "" };
        let label = format!("{signed}{}", words.fixed(tick, decimals));
        let class = if tick.abs() < 1e-9 { "s e b" } else { "s e sf" };
        svg.push(text(LEFT - 9.0, y.at(tick) + 4.5, class, &label));
    }
    let half = plot.half;
    for (i, rung) in ladder.rungs.iter().enumerate() {
        let x = plot.x(i);
        let (top, foot) = (rung.floor_pa.max(rung.ceiling_pa), rung.floor_pa.min(rung.ceiling_pa));
        svg.push(rect(&Rect::new(x - half, y.at(top), x + half, y.at(foot)), "f-wash o-acc"));
        let at = y.at(rung.middle.estimate.si);
        if let Some((a, b)) = rung.middle.estimate.bounds() {
            svg.push(line(x, y.at(a), x, y.at(b), "acc"));
        }
        svg.push(line(x - half - 5.0, at, x + half + 5.0, at, "acc").attr("style", "stroke-width:4.5px"));
        let value = pressure(rung, words);
        let label_y = plot.value_y(rung);
        svg.push(text(x, label_y, "s b m halo", &value));
        let drop_rows = if staggered && i % 2 == 1 { first_rows as f64 * 15.0 + 6.0 } else { 0.0 };
        let class = if rung.selected { "s b m" } else { "s m" };
        if drop_rows > 0.0 {
            svg.push(line(x, bottom + 2.0, x, bottom + 10.0 + drop_rows, "grid"));
        }
        let half_name = names[i].iter().map(|l| text_width(l, 13.0, rung.selected)).fold(0.0, f64::max) / 2.0;
        let name_x = spread(&[x], &[half_name * 2.0], 0.0, 0.0, width)[0];
        for t in text_lines(name_x, bottom + 22.0 + drop_rows, class, 15.0, &names[i]) {
            svg.push(t);
        }
    }
    if let (Some(drop), Some(label)) = (valid_drop(ladder), drop_label) {
        let (x_from, x_to, x) = (plot.x(drop.from), plot.x(drop.to), plot.drop_x(drop));
        let (a, b) = (y.at(drop.from_pa), y.at(drop.to_pa));
        let sign = if b >= a { 1.0 } else { -1.0 };
        let lead = label.lead(x, a, b);
        svg.push(line(lead.0.0, lead.0.1, lead.1.0, lead.1.1, "axis").attr("stroke-dasharray", "1.5 3"));
        svg.push(line(x_from, a, x, a, "ink").attr("style", "stroke-width:1.25px"));
        svg.push(line(x, a, x, b - sign * 8.0, "ink"));
        svg.push(polygon(&[(x, b), (x - 4.5, b - sign * 9.0), (x + 4.5, b - sign * 9.0)], "f-ink"));
        svg.push(line(x, b, x_to, b, "ink").attr("style", "stroke-width:1.25px"));
        svg.push(text(label.at.0, label.at.1 + 17.0, "h halo", &label.size));
        for t in text_lines(label.at.0, label.at.1 + 36.0, "s sf halo", 16.0, &label.lines) {
            svg.push(t);
        }
    }
    svg
}

/// The drop, if both its rungs are there.
fn valid_drop(ladder: &Ladder) -> Option<&Drop> {
    let rungs = ladder.rungs.len();
    ladder.drop.as_ref().filter(|d| d.from < rungs && d.to < rungs)
}

fn pressure(rung: &Rung, words: &Words) -> String {
    words.shown_estimate(&rung.middle.estimate, Show::default().signed()).value.number
}

/// Where things stand on the ladder.
struct Plot {
    y: Scale,
    column: f64,
    /// Half the width of a rung's box.
    half: f64,
    /// Where words of a drop may stand.
    frame: Rect,
}

/// The words of a drop: its size and what it drives.
struct DropLabel {
    at: (f64, f64),
    width: f64,
    height: f64,
    size: String,
    lines: Vec<String>,
}

impl DropLabel {
    fn new(drop: &Drop, words: &Words, room: f64) -> DropLabel {
        let size = words.about((drop.from_pa - drop.to_pa).abs(), Quantity::Pressure, Show::default());
        let lines = wrap(&drop.label, room, 13.0, false);
        let widest = lines.iter().map(|l| text_width(l, 13.0, false)).fold(0.0, f64::max);
        DropLabel {
            at: (0.0, 0.0),
            width: widest.max(text_width(&size, 20.0, true)),
            height: 24.0 + 16.0 * lines.len() as f64,
            size,
            lines,
        }
    }

    fn rect(&self) -> Rect {
        Rect::new(self.at.0, self.at.1, self.at.0 + self.width, self.at.1 + self.height)
    }

    /// From the nearest edge of the words to the nearest point of the drop's line.
    fn lead(&self, x: f64, a: f64, b: f64) -> ((f64, f64), (f64, f64)) {
        let r = self.rect().grown(2.0);
        let (lo, hi) = (a.min(b), a.max(b));
        let (top, foot) = (lo.max(r.y0), hi.min(r.y1));
        let y = if top <= foot { (top + foot) / 2.0 } else { r.y0.max(lo.min(r.y1)) };
        ((x.clamp(r.x0, r.x1), y), (x, y.clamp(lo, hi)))
    }
}

impl Plot {
    fn x(&self, rung: usize) -> f64 {
        LEFT + self.column * (rung as f64 + 0.5)
    }

    fn drop_x(&self, drop: &Drop) -> f64 {
        // Neighbours: between them; else just beside the rung the air leaves, where no other rung is.
        let (from, to) = (self.x(drop.from), self.x(drop.to));
        from + (to - from).signum() * self.column * 0.5
    }

    /// Base line of a rung's figure: over its box, under it where the pressure is negative.
    fn value_y(&self, rung: &Rung) -> f64 {
        let (top, foot) = (rung.floor_pa.max(rung.ceiling_pa), rung.floor_pa.min(rung.ceiling_pa));
        let (lo, hi) = rung.middle.estimate.bounds().unwrap_or((foot, top));
        if rung.middle.estimate.si >= 0.0 {
            self.y.at(top.max(hi)) - 7.0
        } else {
            self.y.at(foot.min(lo)) + 17.0
        }
    }

    /// What words must not cover.
    fn taken(&self, ladder: &Ladder, drop: &Drop, words: &Words) -> Vec<Rect> {
        let mut taken = Vec::new();
        for (i, rung) in ladder.rungs.iter().enumerate() {
            let (x, at) = (self.x(i), self.y.at(rung.middle.estimate.si));
            let (a, b) = rung.middle.estimate.bounds().unwrap_or((rung.floor_pa, rung.ceiling_pa));
            let ends = [rung.floor_pa, rung.ceiling_pa, a, b].map(|p| self.y.at(p));
            let (top, foot) = (ends.into_iter().fold(at, f64::min), ends.into_iter().fold(at, f64::max));
            taken.push(Rect::new(x - self.half - 5.0, top - 3.0, x + self.half + 5.0, foot + 3.0));
            let half = text_width(&pressure(rung, words), 13.0, true) / 2.0;
            let base = self.value_y(rung);
            taken.push(Rect::new(x - half, base - 12.0, x + half, base + 4.0));
        }
        let (a, b, x) = (self.y.at(drop.from_pa), self.y.at(drop.to_pa), self.drop_x(drop));
        for (x0, y0, x1, y1) in [(self.x(drop.from), a, x, a), (x, a, x, b), (self.x(drop.to), b, x, b)] {
            taken.push(Rect::new(x0, y0, x1, y1).grown(5.0));
        }
        taken
    }

    /// The nearest place to the drop that covers nothing, if there is one.
    fn free_label(&self, ladder: &Ladder, drop: &Drop, words: &Words) -> Option<DropLabel> {
        let taken = self.taken(ladder, drop, words);
        let (a, b, x) = (self.y.at(drop.from_pa), self.y.at(drop.to_pa), self.drop_x(drop));
        let mut best: Option<(f64, DropLabel)> = None;
        for room in [220.0, 170.0, 132.0, 96.0] {
            let f = self.frame;
            let shape = DropLabel::new(drop, words, room);
            let columns = ((f.width() - shape.width) / 6.0).floor();
            let rows = ((f.height() - shape.height) / 6.0).floor();
            let mut iy = 0.0;
            while iy <= rows {
                let mut ix = 0.0;
                while ix <= columns {
                    let label = DropLabel {
                        at: (f.x0 + 6.0 * ix, f.y0 + 6.0 * iy),
                        size: String::new(),
                        lines: Vec::new(),
                        ..shape
                    };
                    ix += 1.0;
                    let r = label.rect().grown(4.0);
                    if taken.iter().any(|t| t.overlap(&r) > 0.0) {
                        continue;
                    }
                    let (from, to) = label.lead(x, a, b);
                    let way = Rect::new(from.0, from.1, to.0, to.1).grown(0.5);
                    let crosses = taken.iter().take(2 * ladder.rungs.len()).filter(|t| t.overlap(&way) > 0.0);
                    let far = way.width() + way.height();
                    let cost = far + 60.0 * crosses.count() as f64 + 4.0 * shape.lines.len() as f64;
                    if best.as_ref().is_none_or(|b| cost < b.0) {
                        best = Some((
                            cost,
                            DropLabel { size: shape.size.clone(), lines: shape.lines.clone(), ..label },
                        ));
                    }
                }
                iy += 1.0;
            }
        }
        best.map(|b| b.1)
    }
}

fn describe(ladder: &Ladder, words: &Words) -> String {
    let show = Show::default().signed();
    let list: Vec<String> = ladder
        .rungs
        .iter()
        .map(|r| format!("{} {}", r.name, words.estimate_short(&r.middle.estimate, show)))
        .collect();
    format!("{}: {}", words.say("ladder-axis"), list.join("; "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::view::Number;
    use crate::words::Language;
    use engine::measure::Estimate;
    use engine::units::System;

    fn house(pressures: &[f64]) -> Ladder {
        let rung = |p: &f64| Rung {
            name: "a zone".into(),
            middle: Number::computed(Estimate::range(*p, p - 0.4, p + 0.4, 0.9, Quantity::Pressure)),
            floor_pa: p - 1.1,
            ceiling_pa: p + 1.1,
            selected: false,
        };
        let drop = Drop {
            from: 1,
            to: 0,
            from_pa: pressures[1],
            to_pa: pressures[0],
            label: "drives 36 cfm through the door of the north bedroom".into(),
        };
        Ladder { rungs: pressures.iter().map(rung).collect(), drop: Some(drop) }
    }

    #[test]
    fn the_words_of_a_drop_cover_no_box_and_no_figure() {
        let words = Words::new(Language::En, System::Ip);
        for pressures in
            [&[-1.0, 6.7, -1.1, 0.04, 0.0][..], &[2.0, -3.0], &[0.5, 0.6, 0.4, 0.5, 0.6, 0.4, 0.1]]
        {
            let l = house(pressures);
            for width in [NARROW_PX, 416.0] {
                let column = (width - LEFT) / l.rungs.len() as f64;
                let plot = Plot {
                    y: Scale::linear(-5.0, 9.0, 320.0, TOP),
                    column,
                    half: (column * 0.27).min(15.0),
                    frame: Rect::new(LEFT, TOP, width, 320.0),
                };
                let drop = l.drop.as_ref().unwrap();
                let label = plot.free_label(&l, drop, &words).expect("there is room here");
                assert!(plot.frame.holds(&label.rect()));
                for t in plot.taken(&l, drop, &words) {
                    assert!(t.overlap(&label.rect()) <= 0.0, "{:?} covers {t:?}", label.rect());
                }
                assert_eq!(label.lines.join(" "), drop.label);
            }
        }
    }
}
