//! A number now and after the work, on one axis: an outlined bar for the house as found, a filled one
//! for after, the goal a line.

use super::canvas::{Rect, figure, line, rect, spread, text, text_width};
use super::scale::{Scale, round_range, tick_decimals};
use crate::markup::El;
use crate::sheets::NowAfter;
use crate::words::{Show, Words};

const WIDTH: f64 = 244.0;
const BASE: f64 = 40.0;

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
    let mut svg = figure(WIDTH, 62.0, &row.name, &describe(row, words));
    svg.push(line(x.at(lo), BASE, x.at(hi), BASE, "axis"));
    let ticks = x.ticks(4);
    let decimals = tick_decimals(&ticks);
    for tick in ticks {
        svg.push(line(x.at(tick), BASE, x.at(tick), BASE + 4.0, "axis"));
        svg.push(text(x.at(tick), BASE + 18.0, "s m sf", &words.fixed(tick, decimals)));
    }
    if let Some(goal) = goal {
        svg.push(line(x.at(goal), 16.0, x.at(goal), BASE + 4.0, "lim"));
    }
    let bar = |[lo, mid, hi]: [f64; 3], class: &str| {
        let (a, b) = (x.at(lo), x.at(hi).max(x.at(lo) + 3.0));
        [
            rect(&Rect::new(a, BASE - 12.0, b, BASE - 1.0), class),
            line(x.at(mid), BASE - 14.0, x.at(mid), BASE + 1.0, "ink"),
        ]
    };
    for part in bar(now, "f-bg o-ink") {
        svg.push(part);
    }
    if let Some(after) = after {
        svg.push(bar(after, "f-acc o-acc")[0].clone());
    }
    // Labels on one line, moved apart where they would touch.
    let value = |n: &crate::view::Number| words.shown_estimate(&n.estimate, show).value.number;
    let mut labels =
        vec![(x.at(now[1]), words.text("owner-now", &[("value", value(&row.now).into())]), "s b m halo")];
    if let (Some(at), Some(n)) = (after, &row.after) {
        labels.push((x.at(at[1]), words.text("owner-after", &[("value", value(n).into())]), "s b m ac halo"));
    }
    if let (Some(at), Some(l)) = (goal, &row.goal) {
        let shown = words.shown(l.si, l.quantity, Show::usage(l.usage)).number;
        labels.push((x.at(at), words.text("owner-goal", &[("value", shown.into())]), "s m ca halo"));
    }
    labels.sort_by(|a, b| a.0.total_cmp(&b.0));
    let centres: Vec<f64> = labels.iter().map(|l| l.0).collect();
    let widths: Vec<f64> = labels.iter().map(|l| text_width(&l.1, 13.0, true)).collect();
    for (at, (_, words, class)) in spread(&centres, &widths, 8.0, 0.0, WIDTH).into_iter().zip(&labels) {
        svg.push(text(at, 13.0, class, words));
    }
    svg
}

fn describe(row: &NowAfter, words: &Words) -> String {
    let short = |n: &crate::view::Number| words.estimate_short(&n.estimate, n.show());
    let mut out = words.text("owner-now", &[("value", short(&row.now).into())]);
    if let Some(n) = &row.after {
        out += &format!("; {}", words.text("owner-after", &[("value", short(n).into())]));
    }
    if let Some(l) = &row.goal {
        let shown = words.quantity_as(l.si, l.quantity, Show::usage(l.usage));
        out += &format!("; {}", words.text("owner-goal", &[("value", shown.into())]));
    }
    out
}
