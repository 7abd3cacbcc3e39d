//! Plans side by side: one score a figure, a bar a plan, a line for the target and hatching beyond
//! it; and the chance of each plan to be the best.

use super::canvas::{Rect, figure, hatch, line, rect, spread, text, text_width};
use super::scale::{Scale, round_range, tick_decimals};
use super::{NARROW_PX, Size, WIDE_PX};
use crate::markup::El;
use crate::view::{Number, PlanStatus, Plans, Score};
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
    let range: Vec<String> = rows
        .iter()
        .map(|r| {
            if r.1.estimate.bounds().is_some() {
                words.range_tight(&r.1.estimate, show)
            } else {
                String::new()
            }
        })
        .collect();
    let range_width = range.iter().map(|r| text_width(r, 13.0, false)).fold(0.0, f64::max);
    let value_width = shown.iter().map(|s| text_width(&s.value.number, 14.0, true)).fold(0.0, f64::max);
    let gap = if range_width > 0.0 { 12.0 } else { 0.0 };
    let right = width - range_width - value_width - gap - 8.0;

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
        svg.push(text(
            width - range_width - gap,
            y + 5.0,
            &format!("e {}", if as_found { "b" } else { strong }),
            &shown.value.number,
        ));
        if !number.estimate.si.is_finite() {
            continue;
        }
        svg.push(text(width, y + 5.0, "s e sf", &range[i]));
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
        if ticks.len() > 1 && ticks.windows(2).all(fits) {
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
    // Held plans are not in it; what nobody finds best has no part of the bar.
    let mut parts: Vec<(String, f64, bool, bool)> = plans
        .list
        .iter()
        .filter(|p| matches!(p.status, PlanStatus::Released(_)))
        .map(|p| (p.letter.clone(), p.best_frac, p.best, false))
        .collect();
    parts.sort_by(|a, b| b.1.total_cmp(&a.1));
    parts.push((words.say("plans-as-found"), plans.as_found_frac, false, true));
    parts.retain(|p| p.1 >= 0.0005);
    let said: Vec<String> = whole_percents(parts.iter().map(|p| p.1))
        .into_iter()
        .map(|p| words.percent(f64::from(p) / 100.0))
        .collect();
    let total: f64 = parts.iter().map(|p| p.1).sum();
    let total = if total > 0.0 { total } else { 1.0 };
    let described: Vec<String> = parts.iter().zip(&said).map(|(p, s)| format!("{} {s}", p.0)).collect();
    let mut svg = figure(width, 76.0, &words.say("plans-chance"), &described.join("; "));
    let mut x = 0.0;
    let (mut centres, mut widths) = (Vec::new(), Vec::new());
    for (i, (label, share, best, as_found)) in parts.iter().enumerate() {
        let w = width * share / total;
        let bar = Rect::new(x, 22.0, x + w, 50.0);
        let class = match (best, as_found) {
            (true, _) => "f-acc",
            // As in the scores: the house as found is an open bar.
            (_, true) => "f-bg o-ink",
            _ if i % 2 == 0 => "f-ink",
            _ => "f-soft",
        };
        svg.push(rect(&bar, class));
        if i > 0 {
            svg.push(line(x, 22.0, x, 50.0, "").attr("style", "stroke:var(--bg);stroke-width:2px"));
        }
        centres.push(x + w / 2.0);
        widths.push(text_width(label, 14.0, true).max(text_width(&said[i], 13.0, true)));
        x += w;
    }
    let at = spread(&centres, &widths, 8.0, 0.0, width);
    for ((at, (label, _, best, _)), share) in at.into_iter().zip(&parts).zip(&said) {
        svg.push(text(at, 14.0, if *best { "b ac m" } else { "m" }, label));
        svg.push(text(at, 68.0, "s b m", share));
    }
    svg
}

/// Shares as whole per cents that make 100 together: the largest remainders are rounded up.
fn whole_percents(shares: impl Iterator<Item = f64>) -> Vec<u32> {
    let shares: Vec<f64> = shares.map(|s| s.max(0.0)).collect();
    let total: f64 = shares.iter().sum();
    if total <= 0.0 {
        return vec![0; shares.len()];
    }
    let exact: Vec<f64> = shares.iter().map(|s| 100.0 * s / total).collect();
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 100")]
    let mut whole: Vec<u32> = exact.iter().map(|e| e.floor() as u32).collect();
    let mut order: Vec<usize> = (0..exact.len()).collect();
    order.sort_by(|a, b| (exact[*b] - exact[*b].floor()).total_cmp(&(exact[*a] - exact[*a].floor())));
    let lack = 100u32.saturating_sub(whole.iter().sum());
    for i in order.into_iter().take(usize::try_from(lack).unwrap_or(0)) {
        whole[i] += 1;
    }
    whole
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_make_a_hundred() {
        assert_eq!(whole_percents([1.0, 1.0, 1.0].into_iter()), [34, 33, 33]);
        assert_eq!(whole_percents([0.84, 0.16].into_iter()), [84, 16]);
        assert_eq!(whole_percents([0.333, 0.0, 0.666].into_iter()).iter().sum::<u32>(), 100);
        assert_eq!(whole_percents([0.0].into_iter()), [0]);
    }

    #[test]
    fn held_plans_have_no_part_of_the_bar() {
        let plans = crate::sample::house().plans.unwrap();
        let words = Words::new(crate::words::Language::En, engine::units::System::Ip);
        let svg = chance_of_best(&plans, &words, Size::Wide);
        let bar: String =
            svg.walk().into_iter().filter(|e| e.name() == "text").map(|e| e.inner_text()).collect();
        assert_eq!(bar, "D84\u{a0}%as found16\u{a0}%");
    }
}
