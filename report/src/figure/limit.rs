//! A number with its interval against a limit: the bar is the range, the line is the limit, beyond
//! it is hatched.

use super::canvas::{Rect, figure, hatch, line, rect, spread, text, text_width};
use super::scale::{Scale, round_range, tick_decimals};
use super::{NARROW_PX, Size};
use crate::markup::El;
use crate::view::Tightness;
use crate::words::{Show, Words};

/// How tight the house is against the limit.
pub fn against_limit(tightness: &Tightness, words: &Words, size: Size) -> El {
    let width = match size {
        Size::Narrow => NARROW_PX,
        Size::Wide => 416.0,
    };
    let number = &tightness.number;
    let show = number.show();
    let unit = words.unit_for(number.estimate.quantity, show);
    let value = unit.from_si(number.estimate.si);
    let range =
        |n: &crate::view::Number| n.estimate.bounds().map(|(a, b)| (unit.from_si(a), unit.from_si(b)));
    // The bar is the range that decides; the standard's own is a rule on it.
    let own = range(number);
    let counted = tightness.wind_counted.as_ref().and_then(range);
    let ends = counted.or(own);
    let limit = tightness.limit.as_ref().map(|l| unit.from_si(l.si));
    let all = [Some(0.0), Some(value), ends.map(|e| e.1), own.map(|e| e.1), limit].into_iter().flatten();
    let (lo, hi) = round_range(all, 5);
    let x = Scale::linear(lo, hi, 10.0, width - 10.0);
    let base = 62.0;
    let mut svg = figure(width, 88.0, &tightness.name, &describe(tightness, words));
    if let (Some(limit), Some(l)) = (limit, &tightness.limit) {
        let beyond = if l.at_most { (x.at(limit), x.at(hi)) } else { (x.at(lo), x.at(limit)) };
        let id = size.id("hatch-limit");
        svg.push(hatch(&id));
        svg.push(rect(&Rect::new(beyond.0, 24.0, beyond.1, base), "").attr("fill", format!("url(#{id})")));
        let class = if l.confirmed { "lim" } else { "lim dash" };
        svg.push(line(x.at(limit), 20.0, x.at(limit), base + 5.0, class));
    }
    svg.push(line(x.at(lo), base, x.at(hi), base, "axis"));
    let ticks = x.ticks(5);
    let decimals = tick_decimals(&ticks);
    for tick in ticks {
        svg.push(line(x.at(tick), base, x.at(tick), base + 5.0, "axis"));
        svg.push(text(x.at(tick), base + 20.0, "s m sf", &words.fixed(tick, decimals)));
    }
    if let Some((a, b)) = ends {
        svg.push(rect(&Rect::new(x.at(a), base - 26.0, x.at(b), base - 8.0), "f-wash o-acc"));
    }
    if let (Some((a, b)), true) = (own, counted.is_some()) {
        svg.push(line(x.at(a), base - 17.0, x.at(b), base - 17.0, "acc"));
    }
    svg.push(
        line(x.at(value), base - 30.0, x.at(value), base - 4.0, "acc").attr("style", "stroke-width:3.5px"),
    );
    // Both labels on one line, moved apart where they would touch.
    let value_text = words.shown_estimate(&number.estimate, show).value.to_string();
    let mut labels = vec![(x.at(value), value_text, "s b ac m halo")];
    if let (Some(l), Some(at)) = (&tightness.limit, limit) {
        let text = words.text("limit-label", &[("limit", words.quantity_as(l.si, l.quantity, show).into())]);
        labels.push((x.at(at), text, "s ca m halo"));
    }
    labels.sort_by(|a, b| a.0.total_cmp(&b.0));
    let centres: Vec<f64> = labels.iter().map(|l| l.0).collect();
    let widths: Vec<f64> = labels.iter().map(|l| text_width(&l.1, 13.0, true)).collect();
    for (at, (_, words, class)) in spread(&centres, &widths, 8.0, 0.0, width).into_iter().zip(&labels) {
        svg.push(text(at, 13.0, class, words));
    }
    svg
}

fn describe(t: &Tightness, words: &Words) -> String {
    let mut out = format!("{} {}", t.name, words.estimate(&t.number.estimate, t.number.show()));
    if let Some(n) = &t.wind_counted {
        out += &format!("; {} {}", words.say("wind-counted-title"), words.estimate(&n.estimate, n.show()));
    }
    if let Some(l) = &t.limit {
        let limit = words.quantity_as(l.si, l.quantity, Show::usage(l.usage));
        out += &format!("; {}", words.text("limit-label", &[("limit", limit.into())]));
    }
    out
}
