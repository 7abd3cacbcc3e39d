//! Names and flows on the drawing, each where it covers nothing.

use super::arrows::{Air, Arrow, Drawn};
use super::layout::{Layout, Place, Role};
use crate::figure::Size;
use crate::figure::canvas::{Rect, text, text_width, wrap};
use crate::markup::El;
use crate::view::{HouseDrawing, Zone, ZoneKind};
use crate::words::Words;

const LINE: f64 = 15.5;

/// A text in its place.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Label {
    pub(super) rect: Rect,
    /// Class and words of each line.
    lines: Vec<(String, String)>,
}

impl Label {
    pub(super) fn draw(&self) -> Vec<El> {
        let x = (self.rect.x0 + self.rect.x1) / 2.0;
        let line = |(i, (class, words)): (usize, &(String, String))| {
            text(x, self.rect.y0 + 12.0 + LINE * i as f64, &format!("m halo {class}"), words)
        };
        self.lines.iter().enumerate().map(line).collect()
    }
}

struct Board {
    canvas: Rect,
    /// Things not to be covered, each with its weight.
    taken: Vec<(Rect, f64)>,
}

impl Board {
    fn cost(&self, r: &Rect) -> f64 {
        let covered: f64 = self.taken.iter().map(|(t, weight)| t.overlap(r) * weight).sum();
        let outside = if self.canvas.holds(r) { 0.0 } else { 1e5 };
        covered + outside
    }
}

/// Places the names of zones, then the flows.
pub(super) fn place(
    house: &HouseDrawing,
    l: &Layout,
    drawn: &Drawn,
    words: &Words,
    size: Size,
) -> Vec<Label> {
    let mut board = Board { canvas: Rect::new(0.0, 0.0, l.width, l.height), taken: Vec::new() };
    board.taken.extend(drawn.arrows.iter().map(|a| (a.rect().grown(1.5), 1.0)));
    board.taken.extend(drawn.boxes.iter().map(|b| (b.grown(2.0), 1.0)));
    board.taken.extend(drawn.fans.iter().map(|f| {
        let (x, y, r) = (f.at.0, f.at.1, f.radius + 1.0);
        (Rect::new(x - r, y - r, x + r, y + r), 1.0)
    }));
    for pipe in &drawn.pipes {
        for w in pipe.points.windows(2) {
            board.taken.push((Rect::new(w[0].0, w[0].1, w[1].0, w[1].1).grown(pipe.width / 2.0), 0.8));
        }
    }
    for w in &l.thick {
        board.taken.push((Rect::new(w.x0, w.y0, w.x1, w.y1).grown(3.0), 0.9));
    }
    let roof = l.ridge.map(|(x, y)| {
        [(l.body.0, x), (x, l.body.1)].map(|(a, b)| Rect {
            x0: a,
            y0: l.roof_y(a),
            x1: b,
            y1: l.roof_y(b).max(y),
        })
    });
    for w in l.thin.iter().chain(roof.iter().flatten()) {
        // A sloping line is covered by a chain of small boxes.
        let parts = if w.width() < 0.1 || w.height() < 0.1 { 1 } else { 16 };
        for i in 0..parts {
            let at = |t: f64| (w.x0 + (w.x1 - w.x0) * t, w.y0 + (w.y1 - w.y0) * t);
            let (a, b) = (at(f64::from(i) / f64::from(parts)), at(f64::from(i + 1) / f64::from(parts)));
            board.taken.push((Rect::new(a.0, a.1, b.0, b.1).grown(1.5), 0.8));
        }
    }
    board.taken.extend(
        drawn.flue_tops.iter().map(|t| (Rect::new(t.0 - 11.0, t.1 - 3.0, t.0 + 11.0, t.1 + 3.0), 3.0)),
    );
    let mut labels = Vec::new();
    for (zone, place) in house.zones.iter().zip(&l.places) {
        if let Some(place) = place
            && zone.kind != ZoneKind::Duct
            && let Some(label) = zone_label(zone, place, l, &board, words, size)
        {
            board.taken.push((label.rect, 4.0));
            labels.push(label);
        }
    }
    let mut order: Vec<&Arrow> = drawn.arrows.iter().collect();
    order.sort_by(|a, b| {
        (b.selected || b.caution).cmp(&(a.selected || a.caution)).then(b.flow_si.total_cmp(&a.flow_si))
    });
    for arrow in order {
        let others: Vec<Rect> =
            drawn.arrows.iter().filter(|a| !std::ptr::eq(*a, arrow)).map(Arrow::rect).collect();
        if let Some(label) = flow_label(arrow, &others, &board, size) {
            board.taken.push((label.rect.grown(2.0), 4.0));
            labels.push(label);
        }
    }
    labels
}

fn block(lines: Vec<(String, String)>, size_px: f64, cx: f64, cy: f64) -> Label {
    let width = lines.iter().map(|l| text_width(&l.1, size_px, true)).fold(0.0, f64::max);
    let height = LINE * lines.len() as f64;
    Label { rect: Rect::new(cx - width / 2.0, cy - height / 2.0, cx + width / 2.0, cy + height / 2.0), lines }
}

fn zone_label(
    zone: &Zone,
    place: &Place,
    l: &Layout,
    board: &Board,
    words: &Words,
    size: Size,
) -> Option<Label> {
    let (class, px) = if size == Size::Wide { ("b", 14.0) } else { ("s b", 13.0) };
    let pressure = zone
        .pressure
        .as_ref()
        .map(|n| words.shown_estimate(&n.estimate, n.show().signed()).value.to_string());
    let second: Vec<(String, String)> = pressure.iter().map(|p| ("s sf".to_owned(), p.clone())).collect();
    let named = |width: f64| -> Vec<(String, String)> {
        let name = wrap(&zone.name, width, px, true).into_iter().map(|n| (class.to_owned(), n));
        name.chain(second.clone()).collect()
    };
    let r = place.rect;
    let one_line = match &pressure {
        Some(p) => vec![(class.to_owned(), format!("{} {p}", zone.name))],
        None => named(f64::INFINITY),
    };
    // The last form does without the pressure, which stands on the ladder too.
    let bare =
        wrap(&zone.name, r.width() - 6.0, px, true).into_iter().map(|n| (class.to_owned(), n)).collect();
    let forms = [
        (named(f64::INFINITY), 0.0),
        (named(r.width() - 10.0), 8.0),
        (named(1.0), 16.0),
        (one_line, 10.0),
        (bare, 120.0),
        (wrap(&zone.name, 1.0, px, true).into_iter().map(|n| (class.to_owned(), n)).collect(), 130.0),
    ];
    let (want_x, want_y) = match place.role {
        Role::Roof => ((r.x0 + r.x1) / 2.0, r.y0 + r.height() * 0.62),
        _ => ((r.x0 + r.x1) / 2.0, r.y0 + r.height() * 0.32),
    };
    let mut best: Option<(f64, f64, Label)> = None;
    for (form, dislike) in &forms {
        for ix in 0..=24 {
            for iy in 0..=16 {
                let cx = r.x0 + r.width() * f64::from(ix) / 24.0;
                let cy = r.y0 + r.height() * f64::from(iy) / 16.0;
                let label = block(form.clone(), px, cx, cy);
                let out = outside(&label.rect, place, l);
                let far = (cx - want_x).abs() * 0.35 + (cy - want_y).abs() * 0.6;
                let covers = board.cost(&label.rect) * 2.5 + out * 3.0;
                let cost = covers + far + dislike;
                if best.as_ref().is_none_or(|b| cost < b.0) {
                    best = Some((cost, covers, label));
                }
            }
        }
    }
    // A closet too small for its own name on a phone is known by what stands in it.
    let too_small = size == Size::Narrow && zone.kind == ZoneKind::Closet;
    best.filter(|b| !too_small || b.1 < 200.0).map(|b| b.2)
}

/// How far a label sticks out of its zone, as an area.
fn outside(label: &Rect, place: &Place, l: &Layout) -> f64 {
    let r = place.rect;
    let inside = r.grown(-3.0).overlap(label);
    let sticks = label.width() * label.height() - inside;
    if place.role != Role::Roof {
        return sticks;
    }
    let over = |x: f64| (l.roof_y(x) + 8.0 - label.y0).max(0.0);
    sticks + (over(label.x0) + over(label.x1)) * 20.0
}

fn flow_label(arrow: &Arrow, others: &[Rect], board: &Board, size: Size) -> Option<Label> {
    let class = match (arrow.caution, arrow.air) {
        (true, _) => "s b ca",
        (_, Air::House) if arrow.selected => "s b",
        (_, Air::House) => "s b sf",
        _ => "s b ac",
    };
    let words = if arrow.caution { wrap(&arrow.label, 96.0, 13.0, true) } else { vec![arrow.label.clone()] };
    let lines: Vec<(String, String)> = words.into_iter().map(|w| (class.to_owned(), w)).collect();
    let empty = block(lines.clone(), 13.0, 0.0, 0.0).rect;
    let (hw, hh) = (empty.width() / 2.0, empty.height() / 2.0);
    let r = arrow.rect();
    let (mx, my) = ((r.x0 + r.x1) / 2.0, (r.y0 + r.y1) / 2.0);
    let vertical = r.height() > r.width();
    let mut centres = if vertical {
        let ys = [my, r.y0 + hh, r.y1 - hh, r.y0 - 2.0, r.y1 + 2.0, r.y0 - 9.0, r.y1 + 9.0];
        let beside = |gap: f64| {
            ys.iter().flat_map(move |y| [(r.x1 + hw + gap, *y), (r.x0 - hw - gap, *y)]).collect::<Vec<_>>()
        };
        let mut all = beside(5.0);
        all.extend(beside(12.0));
        all
    } else {
        let xs = [mx, r.x0 + hw, r.x1 - hw, r.x0, r.x1, r.x0 - hw, r.x1 + hw];
        xs.iter().flat_map(|x| [(*x, r.y0 - hh - 1.0), (*x, r.y1 + hh + 1.0)]).collect()
    };
    if vertical {
        centres.extend([(mx, r.y0 - hh - 3.0), (mx, r.y1 + hh + 3.0)]);
    } else {
        centres.extend([(r.x0 - hw - 4.0, my), (r.x1 + hw + 4.0, my)]);
    }
    if arrow.caution {
        centres.extend([(mx, r.y0 - hh - 14.0), (r.x0 - hw - 12.0, r.y0 - 6.0)]);
    }
    // The same places pushed back onto the canvas.
    let clamped: Vec<(f64, f64)> = centres
        .iter()
        .map(|(x, y)| {
            let c = &board.canvas;
            (x.clamp(c.x0 + hw, c.x1 - hw), y.clamp(c.y0 + hh, c.y1 - hh))
        })
        .collect();
    let candidates = centres.iter().chain(&clamped);
    let scored = candidates.enumerate().map(|(n, (x, y))| {
        let label = block(lines.clone(), 13.0, *x, *y);
        let cost = board.cost(&label.rect);
        // Close to another arrow it could be taken for that arrow's.
        let near = label.rect.grown(7.0);
        let doubtful: f64 = others.iter().map(|o| o.overlap(&near)).sum::<f64>() * 0.3;
        (cost + doubtful + n as f64 * 2.0, cost, label)
    });
    let best = scored.min_by(|a, b| a.0.total_cmp(&b.0))?;
    let bearable = if size == Size::Wide { 40.0 } else { 25.0 };
    (best.1 < bearable || arrow.caution || arrow.selected).then_some(best.2)
}
