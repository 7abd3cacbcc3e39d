//! The setup of a reading on the section: which doors stand open or shut, what runs, where pressure is
//! felt and against what. No air and no instrument is drawn; every mark has its shape and its words.

use super::layout::{self, Layout, Place, Role};
use super::{ground_and_rooms, walls};
use crate::figure::Size;
use crate::figure::canvas::{Rect, circle, figure, line, polygon, text, text_width, wrap};
use crate::markup::El;
use crate::view::{OUTDOORS, SetupDrawing, SetupKind, SetupMark, Zone, ZoneKind};
use crate::words::Words;

const LINE: f64 = 16.0;
/// Least height above the rooms that has place for a mark and its words.
const SKY: f64 = 60.0;

/// The house with the setup's marks.
pub fn setup(drawing: &SetupDrawing, words: &Words, size: Size) -> El {
    let house = &drawing.house;
    let l = layout::layout(house, size);
    if l.places.iter().all(Option::is_none) {
        return figure(l.width, 20.0, &house.title, &house.setup);
    }
    let said: Vec<String> = drawing.marks.iter().map(|m| said(m, drawing, words)).collect();
    let mut svg = figure(l.width, l.height, &house.title, &format!("{}: {}", house.setup, said.join("; ")));
    ground_and_rooms(&mut svg, house, &l);
    walls(&mut svg, &l);
    let mut taken: Vec<Rect> = Vec::new();
    for mark in &drawing.marks {
        let spot = match mark.kind {
            SetupKind::Feels | SetupKind::ComparedWith if mark.at == OUTDOORS => beside(&l),
            kind => {
                let Some(at) = place(drawing, &l, &mark.at) else { continue };
                match kind {
                    SetupKind::Feels | SetupKind::ComparedWith => middle(at, &taken),
                    _ => between(at, place(drawing, &l, &mark.other), &l, &taken),
                }
            }
        };
        shape(&mut svg, mark.kind, spot);
        taken.push(Rect::new(spot.0 - 10.0, spot.1 - 14.0, spot.0 + 10.0, spot.1 + 14.0));
        label(&mut svg, &mark.label, spot, &l, &mut taken);
    }
    for (zone, place) in house.zones.iter().zip(&l.places) {
        let (Some(place), true) = (place, zone.kind != ZoneKind::Duct) else { continue };
        name(&mut svg, zone, place, &l, &mut taken);
    }
    svg
}

/// A mark in words, for who cannot see it.
fn said(mark: &SetupMark, drawing: &SetupDrawing, words: &Words) -> String {
    let zone = drawing.house.zones.iter().find(|z| z.id == mark.at);
    let zone = zone.map_or_else(|| words.say("outdoors"), |z| z.name.clone());
    format!("{zone}: {}", mark.label)
}

fn place<'l>(drawing: &SetupDrawing, l: &'l Layout, id: &str) -> Option<&'l Place> {
    let at = drawing.house.zones.iter().position(|z| z.id == id)?;
    l.places.get(at)?.as_ref()
}

/// A free spot in a zone.
fn middle(at: &Place, taken: &[Rect]) -> (f64, f64) {
    let r = &at.rect;
    let y = r.y0 + 0.62 * r.height();
    let tries = [0.5, 0.3, 0.7, 0.2, 0.8].map(|part| (r.x0 + part * r.width(), y));
    free(&tries, taken)
}

/// A spot outdoors: in the sky beside a roof, else beside the house where there is more room.
fn beside(l: &Layout) -> (f64, f64) {
    let rooms = l.places.iter().flatten().filter(|p| p.role != Role::Roof);
    let sky = rooms.map(|p| p.rect.y0).fold(l.height, |top, y| if y < top { y } else { top });
    if sky > SKY {
        return (0.82 * l.width, 22.0);
    }
    let (left, right) = (l.body.0, l.width - l.body.1);
    let x = if right >= left { l.body.1 + 0.5 * right } else { 0.5 * left };
    (x, 0.45 * l.height)
}

/// Where two zones meet; the outer wall where there is no other.
fn between(at: &Place, other: Option<&Place>, l: &Layout, taken: &[Rect]) -> (f64, f64) {
    let a = &at.rect;
    let Some(b) = other.map(|o| &o.rect) else {
        let left = (a.x0 - l.body.0).abs() < (l.body.1 - a.x1).abs();
        let x = if left { a.x0 } else { a.x1 };
        let tries = [0.7, 0.35].map(|part| (x, a.y0 + part * a.height()));
        return free(&tries, taken);
    };
    let x0 = if a.x0 > b.x0 { a.x0 } else { b.x0 };
    let x1 = if a.x1 < b.x1 { a.x1 } else { b.x1 };
    let y0 = if a.y0 > b.y0 { a.y0 } else { b.y0 };
    let y1 = if a.y1 < b.y1 { a.y1 } else { b.y1 };
    if x1 > x0 {
        // One above the other: a hatch in the floor between.
        let tries = [0.5, 0.25, 0.75, 0.12].map(|part| (x0 + part * (x1 - x0), (y0 + y1) / 2.0));
        return free(&tries, taken);
    }
    let (low, high) = if y1 > y0 { (y1, y0) } else { (a.y1, a.y0) };
    let tries = [0.25, 0.6].map(|part| ((x0 + x1) / 2.0, low - part * (low - high)));
    free(&tries, taken)
}

fn free(tries: &[(f64, f64)], taken: &[Rect]) -> (f64, f64) {
    let covered = |(x, y): &(f64, f64)| {
        let spot = Rect::new(x - 12.0, y - 14.0, x + 12.0, y + 14.0);
        taken.iter().map(|t| t.overlap(&spot)).sum::<f64>()
    };
    tries.iter().copied().min_by(|a, b| covered(a).total_cmp(&covered(b))).unwrap_or((0.0, 0.0))
}

fn shape(svg: &mut El, kind: SetupKind, (x, y): (f64, f64)) {
    match kind {
        // A gap with its leaf swung aside.
        SetupKind::Open => {
            svg.push(
                line(x, y - 11.0, x, y + 11.0, "ink").attr("style", "stroke:var(--bg);stroke-width:7px"),
            );
            svg.push(line(x, y + 11.0, x + 15.0, y - 4.0, "acc"));
            svg.push(line(x - 5.0, y + 11.0, x + 5.0, y + 11.0, "ink"));
            svg.push(line(x - 5.0, y - 11.0, x + 5.0, y - 11.0, "ink"));
        }
        // A leaf across the gap.
        SetupKind::Shut => {
            svg.push(line(x, y - 12.0, x, y + 12.0, "ink").attr("style", "stroke-width:7px"));
            svg.push(line(x - 6.0, y + 12.0, x + 6.0, y + 12.0, "ink"));
        }
        // Three spokes in a circle: the test fan.
        SetupKind::TestFan => {
            svg.push(circle(x, y, 11.0, "f-bg o-ink"));
            for (dx, dy) in [(0.0, -9.5), (8.2, 4.75), (-8.2, 4.75)] {
                svg.push(line(x, y, x + dx, y + dy, "ink"));
            }
        }
        SetupKind::Runs => {
            svg.push(circle(x, y, 10.0, "f-bg o-ink"));
            svg.push(polygon(&[(x, y - 6.5), (x + 5.5, y + 4.0), (x - 5.5, y + 4.0)], "f-ink"));
        }
        // Ring and dot; the partner is a ring alone.
        SetupKind::Feels => {
            svg.push(circle(x, y, 8.0, "f-bg o-acc"));
            svg.push(circle(x, y, 3.2, "f-acc"));
        }
        SetupKind::ComparedWith => svg.push(circle(x, y, 8.0, "f-bg o-acc")),
    }
}

/// Words beside a mark, where they cover least.
fn label(svg: &mut El, words: &str, (x, y): (f64, f64), l: &Layout, taken: &mut Vec<Rect>) {
    put(svg, words, "b", &[(x, y + 28.0), (x, y - 18.0), (x, y + 44.0), (x, y - 34.0)], l, taken);
}

fn name(svg: &mut El, zone: &Zone, place: &Place, l: &Layout, taken: &mut Vec<Rect>) {
    let r = &place.rect;
    // Under a roof there is room further down.
    let top = if place.role == Role::Roof { r.y0 + 0.5 * r.height() } else { r.y0 + 18.0 };
    let lines = wrap(&zone.name, r.width() - 8.0, 14.0, false);
    // Lines stay under one another; one alone may go aside, on no wall and no floor.
    let aside = if lines.len() == 1 { &[0.5, 0.7, 0.3, 0.82, 0.18][..] } else { &[0.5][..] };
    for (i, part) in lines.iter().enumerate() {
        let half = 0.53 * text_width(part, 14.0, true);
        let fits = |(x, y): &(f64, f64)| *x - half > r.x0 && *x + half < r.x1 && *y < r.y1 - 5.0;
        let first = (r.x0 + 0.5 * r.width(), top + LINE * i as f64);
        let spots = aside
            .iter()
            .flat_map(|part| [0.0, 16.0, 32.0].map(|down| (r.x0 + part * r.width(), first.1 + down)));
        let mut spots: Vec<(f64, f64)> = spots.filter(fits).collect();
        if spots.is_empty() {
            spots.push(first);
        }
        put(svg, part, "sf", &spots, l, taken);
    }
}

fn put(svg: &mut El, words: &str, class: &str, spots: &[(f64, f64)], l: &Layout, taken: &mut Vec<Rect>) {
    // Bold system fonts run wider than the table of widths.
    let width = 1.06 * text_width(words, 14.0, true);
    let inside = |x: f64| {
        let (low, high) = (width / 2.0 + 2.0, l.width - width / 2.0 - 2.0);
        if low < high { x.clamp(low, high) } else { l.width / 2.0 }
    };
    let boxed = |(x, y): (f64, f64)| {
        let x = inside(x);
        Rect::new(x - width / 2.0, y - LINE + 4.0, x + width / 2.0, y + 4.0)
    };
    let cost = |spot: &(f64, f64)| {
        let r = boxed(*spot);
        let outside = if r.y0 < 0.0 || r.y1 > l.height { 1e5 } else { 0.0 };
        outside + taken.iter().map(|t| t.overlap(&r)).sum::<f64>()
    };
    let best = spots.iter().copied().min_by(|a, b| cost(a).total_cmp(&cost(b)));
    let Some((x, y)) = best else { return };
    taken.push(boxed((x, y)));
    svg.push(text(inside(x), y, &format!("m halo {class}"), words));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::view::{HouseDrawing, OUTDOORS};
    use crate::words::Language;
    use engine::units::System;

    fn zone(id: &str, kind: ZoneKind, floor_m: f64, storey: i32) -> Zone {
        Zone {
            id: id.to_owned(),
            name: format!("the {id}"),
            kind,
            floor_m,
            ceiling_m: floor_m + 2.5,
            width: 60.0,
            storey,
            pressure: None,
            inside: None,
            selected: false,
        }
    }

    /// Every mark has its words beside its shape, in the drawing and in its description.
    #[test]
    fn every_mark_has_shape_and_words() {
        let zones = vec![
            zone("rooms", ZoneKind::Living, 0.5, 0),
            zone("bedroom", ZoneKind::Living, 0.5, 0),
            zone("attic", ZoneKind::Buffer, 3.0, 1),
        ];
        let house =
            HouseDrawing { title: "t".to_owned(), setup: "s".to_owned(), zones, passages: Vec::new() };
        let mark = |kind, at: &str, other: &str, label: &str| SetupMark {
            kind,
            at: at.to_owned(),
            other: other.to_owned(),
            label: label.to_owned(),
        };
        let marks = vec![
            mark(SetupKind::Open, "rooms", "attic", "hatch: open"),
            mark(SetupKind::Shut, "bedroom", "rooms", "door: shut"),
            mark(SetupKind::TestFan, "rooms", OUTDOORS, "test fan"),
            mark(SetupKind::Feels, "attic", "", "feels"),
            mark(SetupKind::ComparedWith, "rooms", "", "compared with"),
        ];
        let drawing = SetupDrawing { house, marks };
        for size in [Size::Narrow, Size::Wide] {
            let svg = setup(&drawing, &Words::new(Language::En, System::Ip), size).render();
            for label in ["hatch: open", "door: shut", "test fan", "feels", "compared with", "the bedroom"] {
                assert!(
                    svg.contains(label) || svg.contains(label.rsplit(' ').next().unwrap()),
                    "{label}: {svg}"
                );
            }
            for said in ["the attic: feels", "the rooms: hatch: open"] {
                assert!(svg.contains(said), "{said}");
            }
            assert!(svg.matches("<circle").count() >= 4 && svg.matches("<line").count() >= 9);
        }
    }
}
