//! A number now and after the work, on one axis: an outlined bar for the house as found, a filled one
//! for after, the goal a line.

use super::canvas::{Rect, figure, line, rect, spread, text, text_width};
use super::scale::{Scale, round_range, tick_decimals};
use crate::markup::El;
use crate::sheets::NowAfter;
use crate::words::{Show, Words};

const WIDTH: f64 = 244.0;

/// The figure; its title is the page's.
pub fn now_after(row: &NowAfter, words: &Words) -> El {
    let show = row.now.show();
    let unit = words.unit_for(row.now.estimate.quantity, show);
    let ends = |n: &crate::view::Number| {
        let (lo, hi) = n.estimate.bounds().unwrap_or((n.estimate.si, n.estimate.si));
        [unit.from_si(lo), unit.from_si(n.estimate.si), unit.from_si(hi)]
    };
    let goal = row.goal.as_ref().map(|l| unit.from_si(l.si));
    let now = ends(&row.now);
    let after = row.after.as_ref().map(&ends);
    let all = [0.0].into_iter().chain(now).chain(after.into_iter().flatten()).chain(goal);
    let (lo, hi) = round_range(all.filter(|v| v.is_finite()), 4);
    let x = Scale::linear(lo, hi, 8.0, WIDTH - 8.0);
    let labels = labels(row, &x, words);
    // Side by side where there is room, else the goal on a line of its own.
    let needed: f64 = labels.iter().map(|l| text_width(&l.text, 13.0, true) + 8.0).sum();
    let lines = if needed <= WIDTH { 1.0 } else { 2.0 };
    let base = 26.0 + 14.0 * lines;
    let mut svg = figure(WIDTH, base + 22.0, &row.name, &describe(row, words));
    svg.push(line(x.at(lo), base, x.at(hi), base, "axis"));
    let ticks = x.ticks(4);
    let decimals = tick_decimals(&ticks);
    for tick in ticks {
        svg.push(line(x.at(tick), base, x.at(tick), base + 4.0, "axis"));
        svg.push(text(x.at(tick), base + 18.0, "s m sf", &words.fixed(tick, decimals)));
    }
    if let Some(goal) = goal {
        svg.push(line(x.at(goal), 2.0 + 14.0 * lines, x.at(goal), base + 4.0, "lim"));
    }
    let bar = |[lo, mid, hi]: [f64; 3], class: &str| {
        let (a, b) = (x.at(lo), x.at(hi).max(x.at(lo) + 3.0));
        [
            rect(&Rect::new(a, base - 12.0, b, base - 1.0), class),
            line(x.at(mid), base - 14.0, x.at(mid), base + 1.0, "ink"),
        ]
    };
    for part in bar(now, "f-bg o-ink") {
        svg.push(part);
    }
    if let Some(after) = after {
        svg.push(bar(after, "f-acc o-acc")[0].clone());
    }
    for line in 0..2 {
        let on = |l: &Label| usize::from(lines > 1.0 && !l.goal);
        let row: Vec<&Label> = labels.iter().filter(|l| on(l) == line).collect();
        let centres: Vec<f64> = row.iter().map(|l| l.at).collect();
        let widths: Vec<f64> = row.iter().map(|l| text_width(&l.text, 13.0, true)).collect();
        let y = if line == 0 { 13.0 } else { 27.0 };
        for (at, label) in spread(&centres, &widths, 8.0, 0.0, WIDTH).into_iter().zip(row) {
            svg.push(text(at, y, label.class, &label.text));
        }
    }
    svg
}

struct Label {
    at: f64,
    text: String,
    class: &'static str,
    goal: bool,
}

/// The labels from left to right.
fn labels(row: &NowAfter, x: &Scale, words: &Words) -> Vec<Label> {
    let show = row.now.show();
    let unit = words.unit_for(row.now.estimate.quantity, show);
    let value = |n: &crate::view::Number| words.shown_estimate(&n.estimate, show).value.number;
    let label = |si: f64, key: &str, value: String, class: &'static str| Label {
        at: x.at(unit.from_si(si)),
        text: words.text(key, &[("value", value.into())]),
        class,
        goal: key == "owner-goal",
    };
    let mut out = vec![label(row.now.estimate.si, "owner-now", value(&row.now), "s b m halo")];
    out.extend(row.after.as_ref().map(|n| label(n.estimate.si, "owner-after", value(n), "s b m ac halo")));
    out.extend(row.goal.as_ref().map(|l| {
        let shown = words.shown_about(l.si, l.quantity, Show::usage(l.usage)).number;
        label(l.si, "owner-goal", shown, "s m ca halo")
    }));
    out.sort_by(|a, b| a.at.total_cmp(&b.at));
    out
}

fn describe(row: &NowAfter, words: &Words) -> String {
    let short = |n: &crate::view::Number| words.estimate_short(&n.estimate, n.show());
    let mut out = words.text("owner-now", &[("value", short(&row.now).into())]);
    if let Some(n) = &row.after {
        out += &format!("; {}", words.text("owner-after", &[("value", short(n).into())]));
    }
    if let Some(l) = &row.goal {
        let shown = words.about(l.si, l.quantity, Show::usage(l.usage));
        out += &format!("; {}", words.text("owner-goal", &[("value", shown.into())]));
    }
    out
}
