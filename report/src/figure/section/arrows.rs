//! The shapes that move air on the drawing: arrows, pipes and equipment.

use super::root;
use crate::figure::Size;
use crate::figure::canvas::Rect;
use crate::view::{OUTDOORS, Passage};

pub(super) type Point = (f64, f64);

/// What air it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Air {
    Outdoor,
    ThroughBuffer,
    House,
}

/// What air a passage carries.
pub(super) fn air_of(p: &Passage) -> Air {
    let from = if p.flow.estimate.si < 0.0 { &p.to } else { &p.from };
    match () {
        () if p.via_buffer => Air::ThroughBuffer,
        () if from == OUTDOORS => Air::Outdoor,
        () => Air::House,
    }
}

/// A straight arrow.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Arrow {
    pub(super) from: Point,
    pub(super) to: Point,
    /// Where it crosses the wall.
    pub(super) crossing: Point,
    pub(super) width: f64,
    pub(super) air: Air,
    pub(super) label: String,
    /// A label that says who has to look at it: outdoor air down a flue.
    pub(super) caution: bool,
    pub(super) selected: bool,
    pub(super) flow_si: f64,
    /// Index in the drawing's passages; nothing for a sample.
    pub(super) passage: Option<usize>,
}

impl Arrow {
    pub(super) fn sample(from: Point, to: Point, width: f64, air: Air) -> Arrow {
        Arrow {
            from,
            to,
            crossing: from,
            width,
            air,
            label: String::new(),
            caution: false,
            selected: false,
            flow_si: 0.0,
            passage: None,
        }
    }

    /// Unit vector of its direction.
    pub(super) fn way(&self) -> Point {
        let (dx, dy) = (self.to.0 - self.from.0, self.to.1 - self.from.1);
        let length = root(dx * dx + dy * dy).max(1e-9);
        (dx / length, dy / length)
    }

    pub(super) fn head_half(&self) -> f64 {
        0.78 * self.width + 1.8
    }

    pub(super) fn head_length(&self) -> f64 {
        0.6 * self.width + 5.5
    }

    /// The box it covers.
    pub(super) fn rect(&self) -> Rect {
        let half = self.head_half();
        let r = Rect::new(self.from.0, self.from.1, self.to.0, self.to.1);
        let ring = if self.selected { 15.0 } else { 0.0 };
        let vertical = r.height() > r.width();
        let r = if vertical {
            Rect { x0: r.x0 - half, x1: r.x1 + half, ..r }
        } else {
            Rect { y0: r.y0 - half, y1: r.y1 + half, ..r }
        };
        if ring > 0.0 {
            let (x, y) = self.crossing;
            Rect {
                x0: r.x0.min(x - ring),
                y0: r.y0.min(y - ring),
                x1: r.x1.max(x + ring),
                y1: r.y1.max(y + ring),
            }
        } else {
            r
        }
    }
}

/// A duct or a flue.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Pipe {
    pub(super) points: Vec<Point>,
    pub(super) width: f64,
}

/// A fan's circle and the way it blows.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct FanMark {
    pub(super) at: Point,
    pub(super) radius: f64,
    pub(super) way: Point,
}

/// All that moves air on the drawing.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Drawn {
    pub(super) arrows: Vec<Arrow>,
    pub(super) pipes: Vec<Pipe>,
    pub(super) boxes: Vec<Rect>,
    pub(super) fans: Vec<FanMark>,
    pub(super) flue_tops: Vec<Point>,
}

/// Shaft width, px: the square root of the flow.
pub(super) fn arrow_width(flow_si: f64, largest_si: f64, size: Size) -> f64 {
    let most = if size == Size::Wide { 16.0 } else { 11.0 };
    (most * root(flow_si.abs() / largest_si.max(1e-12))).max(1.8)
}
