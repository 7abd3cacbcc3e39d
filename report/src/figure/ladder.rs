//! The pressure ladder: each zone a rung at its pressure against outdoors at the same height; its
//! pale box runs from floor to ceiling. Air falls from a higher rung to a lower one.

use super::canvas::{Rect, figure, line, rect, spread, text, text_lines, text_width, wrap};
use super::scale::{Scale, round_range, round_step, tick_decimals};
use super::{NARROW_PX, Size};
use crate::markup::El;
use crate::view::{Ladder, Rung};
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
    let bottom = TOP + plot_height;
    let all = ladder.rungs.iter().flat_map(|r| [r.middle.estimate.si, r.floor_pa, r.ceiling_pa]);
    let (lo, hi) = round_range(all.chain([0.0]), 8);
    // Room for the figures above and below the boxes.
    let step = round_step(hi - lo, 8);
    let top_end = max_valid(ladder.rungs.iter().map(|r| r.ceiling_pa.max(r.floor_pa))).unwrap_or(0.0);
    let low_end = min_valid(ladder.rungs.iter().map(|r| r.ceiling_pa.min(r.floor_pa))).unwrap_or(0.0);
    let hi = if hi - top_end < step * 0.6 { hi + step } else { hi };
    let lo = if low_end - lo < step * 0.6 && low_end < 0.0 { lo - step } else { lo };
    let y = Scale::linear(lo, hi, bottom, TOP);
    let ticks = y.ticks(10);
    let decimals = tick_decimals(&ticks);
    let column = (width - LEFT) / ladder.rungs.len().max(1) as f64;

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
    let half = (column * 0.27).min(15.0);
    for (i, rung) in ladder.rungs.iter().enumerate() {
        let x = LEFT + column * (i as f64 + 0.5);
        let (top, foot) = (rung.floor_pa.max(rung.ceiling_pa), rung.floor_pa.min(rung.ceiling_pa));
        svg.push(rect(&Rect::new(x - half, y.at(top), x + half, y.at(foot)), "f-wash o-acc"));
        let at = y.at(rung.middle.estimate.si);
        if let Some((a, b)) = rung.middle.estimate.bounds() {
            svg.push(line(x, y.at(a), x, y.at(b), "acc"));
        }
        svg.push(line(x - half - 5.0, at, x + half + 5.0, at, "acc").attr("style", "stroke-width:4.5px"));
        let value = words.shown_estimate(&rung.middle.estimate, Show::default().signed()).value.number;
        let ends = rung.middle.estimate.bounds().unwrap_or((top, foot));
        let above = rung.middle.estimate.si >= 0.0;
        let label_y = if above {
            y.at(top.max(ends.1).max(ends.0)) - 7.0
        } else {
            y.at(foot.min(ends.0).min(ends.1)) + 17.0
        };
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
    if let Some(drop) = &ladder.drop
        && let (Some(from), Some(to)) = (ladder.rungs.get(drop.from), ladder.rungs.get(drop.to))
    {
        let x_from = LEFT + column * (drop.from as f64 + 0.5);
        let x_to = LEFT + column * (drop.to as f64 + 0.5);
        let x = (x_from + x_to) / 2.0;
        let (a, b) = (y.at(drop.from_pa), y.at(drop.to_pa));
        svg.push(line(x_from, a, x, a, "ink").attr("style", "stroke-width:1.25px"));
        svg.push(line(x, a, x, b - 8.0, "ink"));
        svg.push(super::canvas::polygon(&[(x, b), (x - 4.5, b - 9.0), (x + 4.5, b - 9.0)], "f-ink"));
        svg.push(line(x, b, x_to, b, "ink").attr("style", "stroke-width:1.25px"));
        let size = words.quantity((drop.from_pa - drop.to_pa).abs(), Quantity::Pressure);
        let lines: Vec<String> = wrap(&drop.label, 132.0, 13.0, false);
        let left = x > width * 0.5;
        let (tx, anchor) =
            if left { (x_from.min(x_to) - half - 12.0, "e") } else { (x_from.max(x_to) + half + 12.0, "") };
        // The words stand where there are no rungs: above the tallest box nearby.
        let base = TOP + 22.0;
        let start = if left { tx + 4.0 } else { tx - 4.0 };
        svg.push(
            super::canvas::polyline(&[(start, base - 6.0), (x, base - 6.0), (x, a)], "axis")
                .attr("stroke-dasharray", "1.5 3"),
        );
        svg.push(text(tx, base, &format!("h halo {anchor}"), &size));
        for t in text_lines(tx, base + 18.0, &format!("s sf halo {anchor}"), 16.0, &lines) {
            svg.push(t);
        }
        let _ = (from, to);
    }
    svg
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
