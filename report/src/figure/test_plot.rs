//! A test of several stations: flow against pressure, both logarithmic, with the fitted line and
//! its band; below it the residuals in per cent.

use super::canvas::{
    Rect, circle, figure, line, polygon, polyline, rect, text, text_lines, text_width, wrap,
};
use super::scale::{Scale, round_top};
use super::{NARROW_PX, Size};
use crate::markup::El;
use crate::view::{Station, TestPlot};
use crate::words::{Show, Usage, Words};
use engine::math::{max_valid, min_valid};
use engine::units::Quantity;

const LEFT: f64 = 54.0;
const TOP: f64 = 26.0;

/// Stations, line, band and residuals.
pub fn test_plot(plot: &TestPlot, words: &Words, size: Size) -> El {
    let (width, main, strip) = match size {
        Size::Narrow => (NARROW_PX, 164.0, 50.0),
        Size::Wide => (WIDE, 300.0, 84.0),
    };
    let unit = words.unit_for(Quantity::AirFlow, Show::usage(Usage::TestFlow));
    let flow = |m3_s: f64| unit.from_si(m3_s);
    let stations = &plot.stations;
    let all_dp = || {
        stations
            .iter()
            .map(|s| s.dp_pa.abs())
            .chain(plot.line.iter().map(|p| p.dp_pa.abs()))
            .chain([plot.reference_pa])
    };
    let all_flow = || {
        let line = plot.line.iter().flat_map(|p| [p.lo_m3_s, p.hi_m3_s]);
        stations.iter().map(|s| s.flow_m3_s.abs()).chain(line).map(flow).filter(|f| *f > 0.0)
    };
    let dp_lo = min_valid(all_dp().filter(|d| *d > 0.0)).unwrap_or(10.0);
    let dp_hi = max_valid(all_dp()).unwrap_or(60.0);
    let x = Scale::log(dp_lo * 0.92, dp_hi * 1.08, LEFT, width - 8.0);
    let y = Scale::log(
        min_valid(all_flow()).unwrap_or(1.0) * 0.92,
        max_valid(all_flow()).unwrap_or(10.0) * 1.1,
        TOP + main,
        TOP,
    );
    let strip_top = TOP + main + 78.0;
    let height = strip_top + strip + 8.0;
    let mut svg = figure(width, height, &plot.title, &describe(plot, words));

    let symbol = words.unit_symbol(Quantity::AirFlow, Show::usage(Usage::TestFlow));
    svg.push(text(0.0, 12.0, "s sf", &words.text("plot-flow-axis", &[("unit", symbol.into())])));
    for tick in y.ticks(7) {
        svg.push(line(LEFT, y.at(tick), width - 8.0, y.at(tick), "grid"));
        svg.push(text(LEFT - 7.0, y.at(tick) + 4.5, "s e sf", &words.number(tick)));
    }
    let ticks = pressure_ticks(&x);
    for tick in &ticks {
        svg.push(line(x.at(*tick), TOP, x.at(*tick), TOP + main, "grid"));
    }
    for tick in labelled(&ticks, &x, words) {
        svg.push(text(x.at(tick), TOP + main + 17.0, "s m sf", &words.number(tick)));
    }
    svg.push(text(width - 8.0, TOP + main + 34.0, "s e sf", &words.say("plot-pressure-axis")));

    let up: Vec<(f64, f64)> =
        plot.line.iter().map(|p| (x.at(p.dp_pa.abs()), y.at(flow(p.hi_m3_s)))).collect();
    let low: Vec<(f64, f64)> =
        plot.line.iter().map(|p| (x.at(p.dp_pa.abs()), y.at(flow(p.lo_m3_s)))).collect();
    let band: Vec<(f64, f64)> = up.iter().chain(low.iter().rev()).copied().collect();
    svg.push(polygon(&band, "f-wash"));
    // A narrow band is seen by its edges only.
    for edge in [&up, &low] {
        svg.push(polyline(edge, "acc").attr("style", "stroke-width:.9px"));
    }
    let fitted: Vec<(f64, f64)> =
        plot.line.iter().map(|p| (x.at(p.dp_pa.abs()), y.at(flow(p.flow_m3_s)))).collect();
    svg.push(polyline(&fitted, "acc"));

    let (rx, ry) = (x.at(plot.reference_pa), y.at(flow(plot.result.number.estimate.si)));
    svg.push(line(rx, ry, rx, TOP + main, "ink dash"));
    for s in stations {
        for mark in station_mark(s, x.at(s.dp_pa.abs()), y.at(flow(s.flow_m3_s.abs()))) {
            svg.push(mark);
        }
    }
    svg.push(circle(rx, ry, 6.0, "f-bg acc"));
    let value =
        words.shown_estimate(&plot.result.number.estimate, plot.result.number.show()).value.to_string();
    // Left of the point and above the line nothing is drawn; two lines where one is too wide.
    let room = rx - 16.0 - LEFT;
    let one = format!("{} {value}", plot.result.label);
    let lines = if text_width(&one, 14.0, true) <= room {
        vec![one]
    } else {
        let mut lines = wrap(&plot.result.label, room, 14.0, true);
        lines.push(value);
        lines
    };
    let first = (ry - 10.0 - 17.0 * (lines.len() as f64 - 1.0)).max(TOP + 12.0);
    for l in text_lines(rx - 12.0, first, "b ac e halo", 17.0, &lines) {
        svg.push(l);
    }

    // Residuals.
    let worst = max_valid(stations.iter().map(|s| s.residual_frac.abs() * 100.0)).unwrap_or(1.0);
    let limit = plot.residual_limit_frac.map(|l| l * 100.0);
    let reach = worst.max(limit.unwrap_or(0.0)).max(0.5);
    let top = round_top(reach * 1.1);
    let r = Scale::linear(-top, top, strip_top + strip, strip_top);
    svg.push(text(0.0, strip_top - 15.0, "s sf", &words.say("plot-residuals")));
    for tick in [-top, 0.0, top] {
        svg.push(line(LEFT, r.at(tick), width - 8.0, r.at(tick), if tick == 0.0 { "axis" } else { "grid" }));
        let sign = if tick > 0.0 { "+" } else { "" };
        svg.push(text(LEFT - 7.0, r.at(tick) + 4.5, "s e sf", &format!("{sign}{}", words.number(tick))));
    }
    if let Some(limit) = limit {
        for at in [-limit, limit] {
            svg.push(line(LEFT, r.at(at), width - 8.0, r.at(at), "lim"));
        }
        let label = words.text(
            "plot-residual-limit",
            &[("limit", format!("\u{b1}{}", words.percent(limit / 100.0)).into())],
        );
        svg.push(text(width - 8.0, strip_top - 15.0, "s e ca", &label));
    }
    for s in stations {
        let (sx, sy) = (x.at(s.dp_pa.abs()), r.at(s.residual_frac * 100.0));
        svg.push(line(sx, r.at(0.0), sx, sy, "ink").attr("style", "stroke-width:1px"));
        for mark in station_mark(s, sx, sy) {
            svg.push(mark);
        }
    }
    svg
}

const WIDE: f64 = 416.0;

/// 10, 20, 30 ... read better on a gauge's scale than 1, 2, 5.
fn pressure_ticks(x: &Scale) -> Vec<f64> {
    let tens: Vec<f64> =
        (1..=10).map(|i| f64::from(i) * 10.0).filter(|t| *t >= x.lo() && *t <= x.hi()).collect();
    if tens.len() >= 3 { tens } else { x.ticks(6) }
}

/// The ticks whose labels fit side by side; round ones first.
fn labelled(ticks: &[f64], x: &Scale, words: &Words) -> Vec<f64> {
    let rank =
        |t: &f64| [10.0, 50.0, 100.0, 20.0, 30.0].iter().position(|r| (r - t).abs() < 1e-9).unwrap_or(9);
    let mut order = ticks.to_vec();
    order.sort_by_key(rank);
    let half = |t: f64| text_width(&words.number(t), 13.0, false) / 2.0;
    let mut kept: Vec<f64> = Vec::new();
    for t in order {
        if kept.iter().all(|k| (x.at(*k) - x.at(t)).abs() >= half(*k) + half(t) + 7.0) {
            kept.push(t);
        }
    }
    kept
}

/// A filled dot where the station counts, a crossed square where it does not.
fn station_mark(s: &Station, x: f64, y: f64) -> Vec<El> {
    if s.used {
        return vec![circle(x, y, 4.5, "f-ink o-bg")];
    }
    let r = Rect::new(x - 5.0, y - 5.0, x + 5.0, y + 5.0);
    vec![rect(&r, "f-bg o-lim"), line(r.x0, r.y0, r.x1, r.y1, "lim"), line(r.x0, r.y1, r.x1, r.y0, "lim")]
}

fn describe(plot: &TestPlot, words: &Words) -> String {
    let show = Show::usage(Usage::TestFlow);
    let list: Vec<String> = plot
        .stations
        .iter()
        .map(|s| {
            let dp = words.about(s.dp_pa, Quantity::Pressure, Show::default());
            format!("{dp}: {}", words.about(s.flow_m3_s, Quantity::AirFlow, show))
        })
        .collect();
    format!(
        "{} {}. {}",
        plot.result.label,
        words.estimate(&plot.result.number.estimate, plot.result.number.show()),
        list.join("; ")
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::words::Language;
    use engine::units::System;

    #[test]
    fn labels_of_pressures_stand_apart() {
        let words = Words::new(Language::En, System::Ip);
        for right in [320.0, 408.0] {
            let x = Scale::log(4.0, 105.0, LEFT, right);
            let mut kept = labelled(&pressure_ticks(&x), &x, &words);
            kept.sort_by(f64::total_cmp);
            assert!([10.0, 50.0, 100.0].iter().all(|t| kept.contains(t)), "{kept:?}");
            for w in kept.windows(2) {
                assert!(x.at(w[1]) - x.at(w[0]) > 20.0, "{kept:?}");
            }
        }
    }
}
