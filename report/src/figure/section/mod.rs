//! The section drawing of a house, made from its zones and passages.
//!
//! Lived-in zones stand in storeys, side by side in the order given; attics under the roof, crawl
//! spaces and cellars in the ground, garages at the side, ducts where they run. A passage is an
//! arrow whose width grows with the square root of its flow. Placing is greedy, the largest flow
//! first: arrows keep apart from arrows, zone names from arrows, flow labels from all; a label that
//! finds no free place is left out (the table beside the figure holds every flow).

mod arrows;
mod ducts;
mod free;
mod labels;
mod layout;
mod route;
mod setup;

use super::Size;
use super::canvas::{Rect, circle, figure, line, polygon, polyline, rect};
use super::scale::round_step;
use crate::markup::{El, classed, el};
use crate::view::{HouseDrawing, Number, ZoneKind};
use crate::words::Words;
use arrows::{Air, Arrow, Drawn};
use engine::math::{log10, max_valid, pow};
use layout::Layout;
pub use setup::setup;

/// The section of the house in its setup.
pub fn section(house: &HouseDrawing, words: &Words, size: Size) -> El {
    let layout = layout::layout(house, size);
    if layout.places.iter().all(Option::is_none) {
        return figure(layout.width, 20.0, &house.title, &house.setup);
    }
    let drawn = route::arrows(house, &layout, words, size);
    let labels = labels::place(house, &layout, &drawn, words, size);
    let mut svg = figure(layout.width, layout.height, &house.title, &describe(house, words));
    ground_and_rooms(&mut svg, house, &layout);
    walls(&mut svg, &layout);
    equipment(&mut svg, &drawn);
    for arrow in &drawn.arrows {
        draw_arrow(&mut svg, arrow);
    }
    for arrow in drawn.arrows.iter().filter(|a| a.selected) {
        svg.push(circle(arrow.crossing.0, arrow.crossing.1, 14.0, "f-none zero"));
    }
    for label in &labels {
        for el in label.draw() {
            svg.push(el);
        }
    }
    svg
}

fn ground_and_rooms(svg: &mut El, house: &HouseDrawing, l: &Layout) {
    svg.push(rect(&Rect::new(0.0, l.grade_y, l.width, l.height), "f-earth"));
    svg.push(line(0.0, l.grade_y, l.width, l.grade_y, "axis"));
    // Slabs between a ceiling and the next floor are part of the house, not of the ground.
    svg.push(rect(&Rect::new(l.body.0, l.eaves_y, l.body.1, l.foot_y), "f-bg"));
    for (zone, place) in house.zones.iter().zip(&l.places) {
        let Some(place) = place else { continue };
        if zone.kind == ZoneKind::Duct {
            continue;
        }
        let fill = match zone.kind {
            _ if zone.selected => "f-wash",
            ZoneKind::Buffer | ZoneKind::Ground => "f-paper",
            _ => "f-bg",
        };
        svg.push(polygon(&place.outline, fill).attr("data-zone", &zone.id));
    }
}

fn walls(svg: &mut El, l: &Layout) {
    for w in &l.thin {
        svg.push(line(w.x0, w.y0, w.x1, w.y1, "thin"));
    }
    for w in &l.thick {
        svg.push(line(w.x0, w.y0, w.x1, w.y1, "thick"));
    }
    if let Some((ridge_x, ridge_y)) = l.ridge {
        let over = 18.0;
        let slope = (l.eaves_y - ridge_y) / ((l.body.1 - l.body.0) / 2.0);
        let low = l.eaves_y + over * slope;
        svg.push(
            polyline(&[(l.body.0 - over, low), (ridge_x, ridge_y), (l.body.1 + over, low)], "thin")
                .attr("style", "stroke-width:2.75px;stroke-linecap:butt"),
        );
    }
}

fn equipment(svg: &mut El, drawn: &Drawn) {
    for (outer, class) in [(true, "var(--edge)"), (false, "var(--bg)")] {
        for pipe in &drawn.pipes {
            let width = if outer { pipe.width } else { pipe.width - 2.6 };
            svg.push(
                polyline(&pipe.points, "f-none")
                    .attr("style", format!("stroke:{class};stroke-width:{width:.1}px;stroke-linejoin:round")),
            );
        }
    }
    for r in &drawn.boxes {
        svg.push(rect(r, "f-bg o-ink").attr("rx", 3));
    }
    for top in &drawn.flue_tops {
        svg.push(line(top.0 - 10.0, top.1, top.0 + 10.0, top.1, "ink"));
    }
    for fan in &drawn.fans {
        svg.push(circle(fan.at.0, fan.at.1, fan.radius, "f-bg o-ink"));
        let (dx, dy) = fan.way;
        let r = fan.radius * 0.62;
        let tip = (fan.at.0 + dx * r, fan.at.1 + dy * r);
        let back = (fan.at.0 - dx * r * 0.7, fan.at.1 - dy * r * 0.7);
        let side = (-dy * r * 0.85, dx * r * 0.85);
        svg.push(polygon(
            &[tip, (back.0 + side.0, back.1 + side.1), (back.0 - side.0, back.1 - side.1)],
            "f-ink",
        ));
    }
}

fn draw_arrow(svg: &mut El, a: &Arrow) {
    let mut group = match a.passage {
        Some(at) => el("g").attr("data-passage", at),
        None => el("g"),
    };
    shape(&mut group, a);
    svg.push(group);
}

fn shape(svg: &mut El, a: &Arrow) {
    let (dx, dy) = a.way();
    let head = a.head_length();
    let neck = (a.to.0 - dx * head * 0.92, a.to.1 - dy * head * 0.92);
    let colour = match a.air {
        Air::House => "var(--edge)",
        Air::Outdoor | Air::ThroughBuffer => "var(--accent)",
    };
    let shaft = |stroke: &str, width: f64, extra: &str| {
        polyline(&[a.from, neck], "f-none")
            .attr("style", format!("stroke:{stroke};stroke-width:{width:.1}px{extra}"))
    };
    svg.push(shaft("var(--bg)", a.width + 3.0, ""));
    svg.push(shaft(colour, a.width, ""));
    if a.air == Air::ThroughBuffer {
        svg.push(shaft("var(--bg)", a.width * 0.55, ";stroke-dasharray:2.4 3.4"));
    }
    let half = a.head_half();
    let base = (a.to.0 - dx * head, a.to.1 - dy * head);
    let points = [a.to, (base.0 - dy * half, base.1 + dx * half), (base.0 + dy * half, base.1 - dx * half)];
    svg.push(polygon(&points, "").attr("style", format!("fill:{colour};stroke:var(--bg);stroke-width:.8px")));
}

/// The key under a drawing of this size: what the arrows mean, and how wide three flows are.
pub fn flow_key(house: &HouseDrawing, words: &Words, size: Size) -> El {
    let largest = max_valid(house.passages.iter().map(|p| p.flow.estimate.si.abs())).unwrap_or(0.0);
    let mut key = classed("div", "key");
    let swatch = |air: Air, width: f64| {
        let mut svg = el("svg").attr("viewBox", "0 0 44 26").attr("aria-hidden", "true").attr("class", "fig");
        let arrow = Arrow::sample((2.0, 13.0), (42.0, 13.0), width, air);
        draw_arrow(&mut svg, &arrow);
        svg
    };
    let entry = |svg: El, text: String| el("span").with(svg).with(text);
    let mut add = |svg: El, text: String| key.push(entry(svg, text));
    let airs: Vec<Air> = house.passages.iter().map(arrows::air_of).collect();
    if airs.contains(&Air::Outdoor) {
        add(swatch(Air::Outdoor, 4.0), words.say("key-outdoor"));
    }
    if airs.contains(&Air::ThroughBuffer) {
        add(swatch(Air::ThroughBuffer, 5.0), words.say("key-buffer"));
    }
    add(swatch(Air::House, 4.0), words.say("key-house"));
    let Some(first) = house.passages.first() else {
        return key;
    };
    let unit = words.unit_for(first.flow.estimate.quantity, first.flow.show());
    let top = round_step(unit.from_si(largest) / 1.6, 1);
    let mut sizes = classed("span", "sizes").with(format!("{} ", words.say("key-sizes")));
    for share in [0.02, 0.2, 1.0] {
        let value = round_step(top * share, 1);
        let si = unit.to_si(value);
        let width = arrows::arrow_width(si, largest, size);
        sizes.push(entry(
            swatch(Air::House, width),
            words.quantity_as(si, first.flow.estimate.quantity, first.flow.show()),
        ));
    }
    key.with(sizes)
}

fn describe(house: &HouseDrawing, words: &Words) -> String {
    let name = |id: &str| {
        let zone = house.zones.iter().find(|z| z.id == id);
        zone.map_or_else(|| words.say("outdoors"), |z| z.name.clone())
    };
    let mut list: Vec<_> = house.passages.iter().collect();
    list.sort_by(|a, b| b.flow.estimate.si.abs().total_cmp(&a.flow.estimate.si.abs()));
    let parts = list.iter().map(|p| {
        let flow = value(&p.flow, words);
        words.text(
            "flow-from-to",
            &[("from", name(&p.from).into()), ("to", name(&p.to).into()), ("flow", flow.into())],
        )
    });
    format!("{}: {}", house.setup, parts.collect::<Vec<_>>().join("; "))
}

fn value(number: &Number, words: &Words) -> String {
    words.shown_estimate(&number.estimate, number.show()).value.to_string()
}

/// Square root scale, shared by drawing and key.
fn root(x: f64) -> f64 {
    if x > 0.0 { pow(10.0, log10(x) / 2.0) } else { 0.0 }
}

#[cfg(test)]
mod tests;
