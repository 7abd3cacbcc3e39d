//! Before and after the readings: a dashed outline for the prior, a solid bar for the posterior, on
//! a logarithmic axis; pale where the readings said little.

use super::canvas::{Rect, figure, line, rect, text, text_lines, wrap};
use super::scale::Scale;
use super::{NARROW_PX, Size, WIDE_PX};
use crate::markup::El;
use crate::view::{KnownGroup, KnownRow};
use crate::words::{Show, Words};
use engine::math::{max_valid, min_valid};

/// One group of parameters.
pub fn known(group: &KnownGroup, words: &Words, size: Size) -> El {
    let show = Show::usage(group.usage);
    let unit = words.unit_for(group.quantity, show);
    let (width, left, right) = match size {
        Size::Narrow => (NARROW_PX, 0.0, NARROW_PX),
        Size::Wide => (WIDE_PX, 176.0, 458.0),
    };
    let ends = group.rows.iter().flat_map(|r| {
        let (a, b) = r.posterior.bounds().unwrap_or((r.posterior.si, r.posterior.si));
        [r.prior.0, r.prior.2, a, b].map(|v| unit.from_si(v))
    });
    let positive: Vec<f64> = ends.filter(|v| *v > 0.0).collect();
    let lo = min_valid(positive.iter().copied()).unwrap_or(1.0) * 0.85;
    let hi = max_valid(positive.iter().copied()).unwrap_or(10.0) * 1.18;
    let x = Scale::log(lo, hi, left + 4.0, right - 4.0);

    let symbol = words.unit_symbol(group.quantity, show);
    let title = if symbol.is_empty() { group.title.clone() } else { format!("{}, {symbol}", group.title) };
    let labels: Vec<Vec<String>> = group
        .rows
        .iter()
        .map(|r| wrap(&r.label, if size == Size::Wide { left - 14.0 } else { width - 8.0 }, 14.0, false))
        .collect();
    let row_height = |i: usize| match size {
        Size::Narrow => 42.0 + 17.0 * labels[i].len() as f64,
        Size::Wide => 16.0 + 16.0 * (labels[i].len().max(1)) as f64,
    };
    let top = if size == Size::Wide { 28.0 } else { 8.0 };
    let total: f64 = (0..group.rows.len()).map(row_height).sum();
    let bottom = top + total;
    let mut svg = figure(width, bottom + 24.0, &title, &describe(group, words));
    let ticks = x.ticks(if size == Size::Wide { 7 } else { 6 });
    for tick in &ticks {
        svg.push(line(x.at(*tick), top, x.at(*tick), bottom, "grid"));
        svg.push(text(x.at(*tick), bottom + 17.0, "s m sf", &words.number(*tick)));
    }
    if size == Size::Wide {
        svg.push(text(width, 14.0, "s e sf", &words.say("known-from-readings")));
        svg.push(text(right + 12.0, 14.0, "s sf", &words.say("known-range")));
    }
    let mut y = top;
    for (i, row) in group.rows.iter().enumerate() {
        let height = row_height(i);
        let shown = words.shown_estimate(&row.posterior, show);
        let range = shown.ends.map(|(a, b)| words.from_to(&a, &b)).unwrap_or_default();
        let share = words.percent(row.from_readings_frac);
        let class = if row.determined { "" } else { "sf" };
        let strong = if row.determined { "b" } else { "sf" };
        let bar_y = match size {
            Size::Narrow => {
                for t in text_lines(0.0, y + 17.0, class, 17.0, &labels[i]) {
                    svg.push(t);
                }
                y + 17.0 * labels[i].len() as f64 + 13.0
            }
            Size::Wide => y + height / 2.0,
        };
        bars(&mut svg, row, &x, &|si| unit.from_si(si), bar_y);
        match size {
            Size::Narrow => {
                // The numbers stand under the bar, over the grid.
                let line_y = bar_y + 22.0;
                svg.push(text(0.0, line_y, &format!("s halo {strong}"), &shown.value.number));
                svg.push(text(58.0, line_y, "s sf halo", &range));
                let said = words.text("known-share", &[("share", share.into())]);
                svg.push(text(width, line_y, &format!("s e halo {strong}"), &said));
            }
            Size::Wide => {
                let n = labels[i].len() as f64;
                let first = bar_y + 5.0 - 8.0 * (n - 1.0);
                for t in text_lines(left - 10.0, first, &format!("e {class}"), 16.0, &labels[i]) {
                    svg.push(t);
                }
                svg.push(text(right + 58.0, bar_y + 5.0, &format!("e {strong}"), &shown.value.number));
                svg.push(text(right + 70.0, bar_y + 5.0, "s sf", &range));
                svg.push(text(
                    width,
                    bar_y + 5.0,
                    &format!("e {strong} {}", if row.determined { "ac" } else { "" }),
                    &share,
                ));
            }
        }
        y += height;
    }
    svg
}

fn bars(svg: &mut El, row: &KnownRow, x: &Scale, unit: &dyn Fn(f64) -> f64, y: f64) {
    let at = |si: f64| x.at(unit(si));
    let prior = Rect::new(at(row.prior.0), y - 9.0, at(row.prior.2), y + 9.0);
    svg.push(rect(&prior, "f-none o-edge dash").attr("rx", 9));
    let Some((a, b)) = row.posterior.bounds() else {
        return;
    };
    let bar = Rect::new(at(a), y - 5.5, at(b).max(at(a) + 2.0), y + 5.5);
    let mid = at(row.posterior.si);
    if row.determined {
        svg.push(rect(&bar, "f-acc"));
        svg.push(line(mid, y - 5.5, mid, y + 5.5, "").attr("style", "stroke:var(--bg);stroke-width:2px"));
    } else {
        svg.push(rect(&bar, "f-wash o-acc"));
        svg.push(line(mid, y - 5.5, mid, y + 5.5, "acc"));
    }
}

fn describe(group: &KnownGroup, words: &Words) -> String {
    let show = Show::usage(group.usage);
    let rows = group.rows.iter().map(|r| format!("{} {}", r.label, words.estimate_short(&r.posterior, show)));
    rows.collect::<Vec<_>>().join("; ")
}
