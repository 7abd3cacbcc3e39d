//! The drawing of a how-to page: a small section of a house, or the way of the air through a machine,
//! with numbered marks at the things that matter in a test. What stands where is data ([`scenes`]);
//! the numbers are told in words beneath, so that any language finds its room.

mod marks;
mod scenes;
#[cfg(test)]
mod tests;

use super::canvas::{Rect, circle, figure, line, polygon, polyline, rect, text};
use crate::markup::{El, classed, el};
use crate::words::Words;
use marks::{Mark, draw};
#[cfg(test)]
use marks::{Thing, extent};

/// Size of the drawing, px: a phone's column.
const WIDE: f64 = super::NARROW_PX;
const HIGH: f64 = 240.0;
/// Ground, floor and ceiling of the rooms, top of the roof.
const GRADE_Y: f64 = 198.0;
const FLOOR_Y: f64 = 190.0;
const CEILING_Y: f64 = 104.0;
const RIDGE: (f64, f64) = (164.0, 40.0);
/// Outer walls and the wall between the two rooms.
const BODY: (f64, f64) = (66.0, 262.0);
const MIDDLE_X: f64 = 164.0;
const EAVES: (f64, f64) = (50.0, 278.0);
/// Radius of a number.
const BADGE: f64 = 9.0;

/// What the marks stand in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Ground {
    /// One open storey under an attic.
    House,
    /// The same with a wall and its door between two rooms; whether the door stands open.
    Rooms(bool),
    /// A house on a crawl space.
    OverCrawl,
    /// Two homes wall to wall.
    TwoHomes,
    /// The way of the air through an air handler: filter, blower, coil.
    Machine,
}

/// The picture of one kind.
struct Scene {
    kind: &'static str,
    ground: Ground,
    marks: &'static [Mark],
}

/// The drawing of a kind with what its numbers mean; nothing for a kind that has none.
pub fn how(kind: &str, title: &str, words: &Words) -> Option<El> {
    let scene = scenes::ALL.iter().find(|s| s.kind == kind)?;
    let told: Vec<String> = scene.marks.iter().map(|m| words.say(m.word)).collect();
    let numbered: Vec<String> = told.iter().enumerate().map(|(i, t)| format!("{} {t}", i + 1)).collect();
    let mut svg = figure(WIDE, HIGH, title, &numbered.join("; "));
    if scene.ground == Ground::Machine {
        machine(&mut svg)
    } else {
        house(&mut svg, scene.ground)
    }
    for mark in scene.marks {
        draw(&mut svg, mark.thing, mark.at);
    }
    for (at, mark) in scene.marks.iter().enumerate() {
        svg.push(circle(mark.badge.0, mark.badge.1, BADGE, "f-ink"));
        let number = text(mark.badge.0, mark.badge.1 + 4.5, "s b m", &(at + 1).to_string());
        svg.push(number.attr("style", "fill:var(--bg)"));
    }
    let key = classed("ol", "how-key").with_all(told.into_iter().map(|t| el("li").with(t)));
    Some(classed("div", "how-fig").with(svg).with(key))
}

fn house(svg: &mut El, ground: Ground) {
    svg.push(rect(&Rect::new(0.0, GRADE_Y, WIDE, HIGH), "f-earth"));
    svg.push(line(0.0, GRADE_Y, WIDE, GRADE_Y, "axis"));
    svg.push(polygon(&[(BODY.0, CEILING_Y), RIDGE, (BODY.1, CEILING_Y)], "f-paper"));
    svg.push(rect(&Rect::new(BODY.0, CEILING_Y, BODY.1, FLOOR_Y), "f-bg"));
    if ground == Ground::OverCrawl {
        svg.push(rect(&Rect::new(BODY.0, FLOOR_Y, BODY.1, HIGH - 8.0), "f-paper"));
        for x in [BODY.0, BODY.1] {
            svg.push(line(x, FLOOR_Y, x, HIGH - 8.0, "thin"));
        }
    }
    svg.push(polyline(&[(EAVES.0, 113.0), RIDGE, (EAVES.1, 113.0)], "thin"));
    for x in [BODY.0, BODY.1] {
        svg.push(line(x, CEILING_Y, x, FLOOR_Y, "thick"));
    }
    for y in [CEILING_Y, FLOOR_Y] {
        svg.push(line(BODY.0, y, BODY.1, y, "thick"));
    }
    match ground {
        Ground::TwoHomes => svg.push(line(MIDDLE_X, CEILING_Y, MIDDLE_X, FLOOR_Y, "thick")),
        Ground::Rooms(open) => {
            svg.push(line(MIDDLE_X, CEILING_Y, MIDDLE_X, 146.0, "thin"));
            let foot = if open { (MIDDLE_X + 16.0, 178.0) } else { (MIDDLE_X, FLOOR_Y - 6.0) };
            svg.push(line(MIDDLE_X, 146.0, foot.0, foot.1, "acc"));
            svg.push(line(MIDDLE_X - 7.0, FLOOR_Y, MIDDLE_X + 7.0, FLOOR_Y, "ink"));
        }
        _ => {}
    }
}

/// A duct from the return on the left to the supply on the right, with filter, blower and coil.
fn machine(svg: &mut El) {
    let (top, bottom) = (92.0, 148.0);
    svg.push(rect(&Rect::new(0.0, GRADE_Y, WIDE, HIGH), "f-earth"));
    svg.push(line(0.0, GRADE_Y, WIDE, GRADE_Y, "axis"));
    svg.push(rect(&Rect::new(86.0, 80.0, 250.0, 160.0), "f-paper o-ink"));
    svg.push(rect(&Rect::new(8.0, top, 320.0, bottom), "f-bg"));
    for y in [top, bottom] {
        svg.push(line(8.0, y, 320.0, y, "thick"));
    }
    svg.push(polyline(&[(96.0, 94.0), (108.0, 107.0), (96.0, 120.0), (108.0, 133.0), (96.0, 146.0)], "ink"));
    svg.push(circle(156.0, 120.0, 20.0, "f-bg o-ink"));
    svg.push(polygon(&[(168.0, 120.0), (148.0, 109.0), (148.0, 131.0)], "f-ink"));
    for row in 0..5 {
        for x in [210.0, 220.0] {
            svg.push(circle(x, 100.0 + 10.0 * f64::from(row), 2.6, "f-ink"));
        }
    }
}
