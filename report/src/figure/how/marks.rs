//! The things that may stand in a how-to drawing: how each is drawn and how much room it takes.

use super::{Rect, circle, line, polygon, polyline, rect};
use crate::figure::canvas::hatch;
use crate::markup::El;

/// One thing. Lengths are px of the drawing.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Thing {
    /// A fan of the test: three spokes.
    TestFan,
    /// A fan of the house, with its duct up through the roof.
    ExhaustFan,
    /// A window that is shut.
    Window,
    /// A place of which nothing is drawn but its number: a door, a machine that stands there already.
    Here,
    /// Where a pressure is felt.
    Feels,
    /// What it is compared with.
    Compared,
    /// Where something else is read.
    Reads,
    /// Air from outdoors, by its way.
    AirIn(f64, f64),
    /// Air of the house, by its way.
    AirOut(f64, f64),
    /// What burns, with its flue through the roof.
    Burner,
    /// An air handler in the attic with one supply and one return.
    Ducts,
    /// Something shut tight over a register.
    Cover,
    /// A hood over a register.
    Hood,
    /// A box, such as a machine or a logger.
    Box(f64, f64),
    /// Gas in the air.
    Gas,
    /// Water.
    Drop,
    /// A person.
    Person,
    /// A cold patch of a wall on the right.
    Patch,
    /// A camera that looks to the right, and how far.
    Camera(f64, f64),
    /// A beam of wood, seen from its end.
    Beam,
    /// A curve over time: where it begins and ends between 0 (low) and 1.
    Curve(f64, f64),
}

/// A thing at its place, its number, and the key of what is said of it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Mark {
    pub(super) thing: Thing,
    pub(super) at: (f64, f64),
    pub(super) badge: (f64, f64),
    pub(super) word: &'static str,
}

/// What a thing covers.
#[cfg(test)]
pub(super) fn extent(thing: Thing, (x, y): (f64, f64)) -> Rect {
    let around = |w: f64, h: f64| Rect::new(x - w, y - h, x + w, y + h);
    match thing {
        Thing::TestFan => around(12.0, 12.0),
        Thing::ExhaustFan => Rect::new(x - 10.0, 50.0, x + 10.0, y + 10.0),
        Thing::Window => around(5.0, 15.0),
        Thing::Here => around(0.0, 0.0),
        Thing::Feels | Thing::Compared => around(8.0, 8.0),
        Thing::Reads => around(5.0, 5.0),
        Thing::AirIn(dx, dy) | Thing::AirOut(dx, dy) => {
            let span = |from: f64, way: f64| if way < 0.0 { (from + way, from) } else { (from, from + way) };
            let ((x0, x1), (y0, y1)) = (span(x, dx), span(y, dy));
            Rect::new(x0, y0, x1, y1).grown(6.0)
        }
        Thing::Burner => Rect::new(x - 12.0, 52.0, x + 12.0, y + 16.0),
        Thing::Ducts => Rect::new(x - 60.0, y - 11.0, x + 60.0, 106.0),
        Thing::Cover => around(13.0, 3.0),
        Thing::Hood => Rect::new(x - 17.0, y, x + 17.0, y + 22.0),
        Thing::Box(w, h) => around(w, h),
        Thing::Gas => around(14.0, 9.0),
        Thing::Drop => around(6.0, 8.0),
        Thing::Person => Rect::new(x - 8.0, y - 38.0, x + 8.0, y),
        Thing::Patch => Rect::new(x - 6.0, y - 14.0, x, y + 14.0),
        Thing::Camera(dx, _) => Rect::new(x - 9.0, y - 6.0, x + dx, y + 6.0),
        Thing::Beam => around(10.0, 7.0),
        Thing::Curve(..) => around(34.0, 20.0),
    }
}

fn pipe(svg: &mut El, points: &[(f64, f64)]) {
    for (colour, width) in [("var(--edge)", 9.0), ("var(--bg)", 6.0)] {
        let style = format!("stroke:{colour};stroke-width:{width}px;stroke-linejoin:round");
        svg.push(polyline(points, "f-none").attr("style", style));
    }
}

/// An arrow from a place by its way.
fn arrow(svg: &mut El, (x, y): (f64, f64), (dx, dy): (f64, f64), colour: &str) {
    let long = (dx * dx + dy * dy).sqrt();
    let (ux, uy) = (dx / long, dy / long);
    let neck = (x + dx - ux * 9.0, y + dy - uy * 9.0);
    let tip = (x + dx, y + dy);
    svg.push(polyline(&[(x, y), neck], "f-none").attr("style", format!("stroke:{colour};stroke-width:4px")));
    let side = (-uy * 6.0, ux * 6.0);
    let head = [tip, (neck.0 + side.0, neck.1 + side.1), (neck.0 - side.0, neck.1 - side.1)];
    svg.push(polygon(&head, "").attr("style", format!("fill:{colour}")));
}

pub(super) fn draw(svg: &mut El, thing: Thing, at: (f64, f64)) {
    let (x, y) = at;
    match thing {
        Thing::Here => {}
        Thing::TestFan => {
            svg.push(circle(x, y, 12.0, "f-bg o-ink"));
            for (dx, dy) in [(0.0, -9.0), (7.8, 4.5), (-7.8, 4.5)] {
                svg.push(line(x, y, x + dx, y + dy, "ink"));
            }
        }
        Thing::ExhaustFan => {
            pipe(svg, &[(x, y), (x, 56.0)]);
            svg.push(line(x - 9.0, 54.0, x + 9.0, 54.0, "ink"));
            svg.push(circle(x, y, 10.0, "f-bg o-ink"));
            svg.push(polygon(&[(x, y - 6.5), (x + 5.5, y + 4.0), (x - 5.5, y + 4.0)], "f-ink"));
        }
        Thing::Window => {
            svg.push(rect(&Rect::new(x - 4.0, y - 14.0, x + 4.0, y + 14.0), "f-bg o-ink"));
            svg.push(line(x - 4.0, y, x + 4.0, y, "ink"));
        }
        Thing::Feels => {
            svg.push(circle(x, y, 8.0, "f-bg o-acc"));
            svg.push(circle(x, y, 3.2, "f-acc"));
        }
        Thing::Compared => svg.push(circle(x, y, 8.0, "f-bg o-acc")),
        Thing::Reads => svg.push(circle(x, y, 4.5, "f-ink")),
        Thing::AirIn(dx, dy) => arrow(svg, at, (dx, dy), "var(--accent)"),
        Thing::AirOut(dx, dy) => arrow(svg, at, (dx, dy), "var(--edge)"),
        Thing::Burner => {
            pipe(svg, &[(x, y), (x, 58.0)]);
            svg.push(line(x - 10.0, 56.0, x + 10.0, 56.0, "ink"));
            svg.push(rect(&Rect::new(x - 12.0, y - 14.0, x + 12.0, y + 16.0), "f-bg o-ink"));
            let flame = [(x, y - 6.0), (x + 6.0, y + 6.0), (x, y + 11.0), (x - 6.0, y + 6.0)];
            svg.push(polygon(&flame, "f-ink"));
        }
        Thing::Ducts => {
            pipe(svg, &[(x - 56.0, 104.0), (x - 56.0, y), (x + 56.0, y), (x + 56.0, 104.0)]);
            svg.push(rect(&Rect::new(x - 16.0, y - 11.0, x + 16.0, y + 11.0), "f-bg o-ink"));
            svg.push(polygon(&[(x + 7.0, y), (x - 5.0, y - 6.0), (x - 5.0, y + 6.0)], "f-ink"));
            for end in [x - 56.0, x + 56.0] {
                svg.push(line(end - 9.0, 104.0, end + 9.0, 104.0, "ink"));
            }
        }
        Thing::Cover => {
            let style = "stroke-width:5px;stroke-linecap:butt";
            svg.push(line(x - 12.0, y, x + 12.0, y, "ink").attr("style", style));
        }
        Thing::Hood => {
            let outline = [(x - 9.0, y), (x + 9.0, y), (x + 16.0, y + 21.0), (x - 16.0, y + 21.0)];
            svg.push(polygon(&outline, "f-bg o-ink"));
        }
        Thing::Box(w, h) => {
            svg.push(rect(&Rect::new(x - w, y - h, x + w, y + h), "f-bg o-ink").attr("rx", 3))
        }
        Thing::Gas => {
            for (dx, dy) in [(-9.0, 3.0), (0.0, -4.0), (9.0, 3.0)] {
                svg.push(circle(x + dx, y + dy, 4.0, "f-bg o-ink"));
            }
        }
        Thing::Drop => {
            svg.push(polygon(
                &[(x, y - 8.0), (x + 5.0, y + 2.0), (x, y + 7.0), (x - 5.0, y + 2.0)],
                "f-bg o-ink",
            ));
        }
        Thing::Person => {
            svg.push(circle(x, y - 32.0, 6.0, "f-bg o-ink"));
            svg.push(polygon(
                &[(x - 8.0, y), (x - 6.0, y - 24.0), (x + 6.0, y - 24.0), (x + 8.0, y)],
                "f-bg o-ink",
            ));
        }
        Thing::Patch => {
            svg.push(hatch("how-cold"));
            let cold = rect(&Rect::new(x - 6.0, y - 14.0, x, y + 14.0), "o-ink");
            svg.push(cold.attr("fill", "url(#how-cold)"));
        }
        Thing::Camera(dx, dy) => {
            svg.push(line(x + 8.0, y, x + dx, y + dy - 12.0, "axis"));
            svg.push(line(x + 8.0, y, x + dx, y + dy + 12.0, "axis"));
            svg.push(rect(&Rect::new(x - 9.0, y - 6.0, x + 5.0, y + 6.0), "f-bg o-ink"));
        }
        Thing::Beam => {
            svg.push(rect(&Rect::new(x - 10.0, y - 7.0, x + 10.0, y + 7.0), "f-bg o-ink"));
            svg.push(line(x - 6.0, y + 3.0, x + 2.0, y - 5.0, "axis"));
            svg.push(line(x - 1.0, y + 5.0, x + 7.0, y - 3.0, "axis"));
        }
        Thing::Curve(from, to) => {
            let frame = Rect::new(x - 34.0, y - 20.0, x + 34.0, y + 20.0);
            svg.push(rect(&frame, "f-bg o-ink").attr("rx", 3));
            let high = |share: f64| y + 14.0 - 28.0 * share;
            // Half of what is left in each step: how gases and slow readings go.
            let points: Vec<(f64, f64)> = (0..=5)
                .map(|i| {
                    (
                        x - 28.0 + 11.2 * f64::from(i),
                        high(to + (from - to) * f64::from(1u32 << (5 - i)) / 32.0),
                    )
                })
                .collect();
            svg.push(polyline(&points, "acc"));
        }
    }
}
