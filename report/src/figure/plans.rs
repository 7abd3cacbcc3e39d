//! Plans side by side: one score a figure, a bar a plan, a line for the target and hatching beyond
//! it; and the chance of each plan to be the best.

use super::canvas::{Rect, figure, hatch, line, rect, spread, text, text_width};
use super::scale::{Scale, round_range, tick_decimals};
use super::{NARROW_PX, Size, WIDE_PX};
use crate::markup::El;
use crate::view::{Number, Plans, Score};
use crate::words::{Show, Words};

/// One score of all plans. `index` tells the figures of a page apart.
pub fn score(score: &Score, plans: &Plans, index: usize, words: &Words) -> El {
    let width = NARROW_PX;
    let found = words.say("plans-as-found");
    let mut rows: Vec<(&str, &Number, bool)> = Vec::new();
    rows.extend(score.as_found.as_ref().map(|n| (found.as_str(), n, false)));
    rows.extend(plans.list.iter().zip(&score.plans).map(|(p, n)| (p.letter.as_str(), n, p.best)));
    let Some((_, first, _)) = rows.first() else {
        return figure(width, 10.0, &score.name, &score.detail);
    };
    let show = first.show();
    let unit = words.unit_for(first.estimate.quantity, show);
    let symbol = words.unit_symbol(first.estimate.quantity, show);

    let left = rows.iter().map(|r| text_width(r.0, 14.0, true)).fold(0.0, f64::max) + 12.0;
    let shown: Vec<_> = rows.iter().map(|r| words.shown_estimate(&r.1.estimate, show)).collect();
    let range: Vec<String> = rows.iter().map(|r| words.range_tight(&r.1.estimate, show)).collect();
    let range_width = range.iter().map(|r| text_width(r, 13.0, false)).fold(0.0, f64::max);
    let value_width = shown.iter().map(|s| text_width(&s.value.number, 14.0, true)).fold(0.0, f64::max);
    let right = width - range_width - value_width - 18.0;

    let ends = rows.iter().flat_map(|r| {
        let (a, b) = r.1.estimate.bounds().unwrap_or((r.1.estimate.si, r.1.estimate.si));
        [unit.from_si(a), unit.from_si(b)]
    });
    let target = score.target.as_ref().map(|t| unit.from_si(t.si));
    let (lo, hi) = round_range(ends.chain(target), 3);
    let x = Scale::linear(lo, hi, left + 6.0, right - 8.0);
    let (top, step) = (if score.target.is_some() { 28.0 } else { 6.0 }, 29.0);
    let bottom = top + step * rows.len() as f64;
    let title = if symbol.is_empty() { score.name.clone() } else { format!("{}, {symbol}", score.name) };
    let mut svg = figure(width, bottom + 24.0, &title, &describe(score, &rows, words));

    let (ticks, decimals) = fitting_ticks(&x, words);
    for tick in ticks {
        svg.push(line(x.at(tick), top, x.at(tick), bottom, "grid"));
        svg.push(text(x.at(tick), bottom + 17.0, "s m sf", &words.fixed(tick, decimals)));
    }
    if let (Some(t), Some(at)) = (&score.target, target) {
        let id = format!("hatch-score-{index}");
        let beyond = if t.at_most { (x.at(at), x.at(hi)) } else { (x.at(lo), x.at(at)) };
        svg.push(hatch(&id));
        svg.push(rect(&Rect::new(beyond.0, top, beyond.1, bottom), "").attr("fill", format!("url(#{id})")));
        svg.push(line(x.at(at), top - 6.0, x.at(at), bottom, if t.confirmed { "lim" } else { "lim dash" }));
        let label =
            words.text("plans-target", &[("target", words.quantity_as(t.si, t.quantity, show).into())]);
        let half = text_width(&label, 13.0, false);
        let centre = spread(&[x.at(at)], &[half], 0.0, 0.0, width)[0];
        svg.push(text(centre, 14.0, "s ca m", &label));
    }
    for (i, ((label, number, best), shown)) in rows.iter().zip(&shown).enumerate() {
        let y = top + step * (i as f64 + 0.5);
        let as_found = score.as_found.is_some() && i == 0;
        let strong = if as_found {
            ""
        } else if *best {
            "b ac"
        } else {
            "b"
        };
        svg.push(text(0.0, y + 5.0, strong, label));
        let at = |si: f64| x.at(unit.from_si(si));
        let mid = at(number.estimate.si);
        if let Some((a, b)) = number.estimate.bounds() {
            let bar = Rect::new(at(a), y - 6.0, at(b).max(at(a) + 2.0), y + 6.0);
            let class = match (as_found, best) {
                (true, _) => "f-bg o-ink",
                (_, true) => "f-acc",
                _ => "f-ink",
            };
            svg.push(rect(&bar, class));
            if as_found {
                svg.push(line(mid, y - 6.0, mid, y + 6.0, "ink"));
            } else {
                svg.push(
                    line(mid, y - 6.0, mid, y + 6.0, "").attr("style", "stroke:var(--bg);stroke-width:2px"),
                );
            }
        } else {
            svg.push(line(mid, y - 7.0, mid, y + 7.0, if *best { "acc" } else { "ink" }));
        }
        svg.push(text(
            width - range_width - 10.0,
            y + 5.0,
            &format!("e {}", if as_found { "b" } else { strong }),
            &shown.value.number,
        ));
        svg.push(text(width, y + 5.0, "s e sf", &range[i]));
    }
    svg
}

/// As many ticks as fit side by side.
fn fitting_ticks(x: &Scale, words: &Words) -> (Vec<f64>, i32) {
    for most in [4, 3, 2] {
        let ticks = x.ticks(most);
        let decimals = tick_decimals(&ticks);
        let width = |t: f64| text_width(&words.fixed(t, decimals), 13.0, false);
        let fits = |w: &[f64]| x.at(w[1]) - x.at(w[0]) >= (width(w[0]) + width(w[1])) / 2.0 + 6.0;
        if ticks.windows(2).all(fits) {
            return (ticks, decimals);
        }
    }
    let ends = vec![x.lo(), x.hi()];
    let decimals = tick_decimals(&ends);
    (ends, decimals)
}

fn describe(score: &Score, rows: &[(&str, &Number, bool)], words: &Words) -> String {
    let list =
        rows.iter().map(|(label, n, _)| format!("{label} {}", words.estimate_short(&n.estimate, n.show())));
    let mut out = list.collect::<Vec<_>>().join("; ");
    if let Some(t) = &score.target {
        let target = words.quantity_as(t.si, t.quantity, Show::usage(t.usage));
        out += &format!("; {}", words.text("plans-target", &[("target", target.into())]));
    }
    out
}

/// The chance of each plan to be the best one, as one bar.
pub fn chance_of_best(plans: &Plans, words: &Words, size: Size) -> El {
    let width = match size {
        Size::Narrow => NARROW_PX,
        Size::Wide => WIDE_PX,
    };
    let none = words.say("plans-none");
    let mut parts: Vec<(String, f64, bool, bool)> =
        plans.list.iter().map(|p| (p.letter.clone(), p.best_frac, p.best, false)).collect();
    parts.sort_by(|a, b| b.1.total_cmp(&a.1));
    parts.push((none, plans.none_frac, false, true));
    let total: f64 = parts.iter().map(|p| p.1).sum();
    let total = if total > 0.0 { total } else { 1.0 };
    let described: Vec<String> = parts.iter().map(|p| format!("{} {}", p.0, words.percent(p.1))).collect();
    let mut svg = figure(width, 76.0, &words.say("plans-chance"), &described.join("; "));
    let id = size.id("hatch-chance");
    svg.push(hatch(&id));
    let mut x = 0.0;
    let (mut centres, mut widths) = (Vec::new(), Vec::new());
    for (i, (label, share, best, none)) in parts.iter().enumerate() {
        let w = width * share / total;
        let bar = Rect::new(x, 22.0, x + w, 50.0);
        let class = match (best, none) {
            (true, _) => "f-acc",
            (_, true) => "f-bg o-edge",
            _ if i % 2 == 0 => "f-ink",
            _ => "f-soft",
        };
        svg.push(rect(&bar, class));
        if *none {
            svg.push(rect(&bar, "").attr("fill", format!("url(#{id})")));
        }
        if i > 0 {
            svg.push(line(x, 22.0, x, 50.0, "").attr("style", "stroke:var(--bg);stroke-width:2px"));
        }
        centres.push(x + w / 2.0);
        widths.push(text_width(label, 14.0, true).max(text_width(&words.percent(*share), 13.0, true)));
        x += w;
    }
    for (at, (label, share, best, _)) in spread(&centres, &widths, 8.0, 0.0, width).into_iter().zip(&parts) {
        svg.push(text(at, 14.0, if *best { "b ac m" } else { "m" }, label));
        svg.push(text(at, 68.0, "s b m", &words.percent(*share)));
    }
    svg
}
