//! Where the air goes: arrows, pipes and equipment, kept apart from one another.

use super::layout::{Layout, Role};
use super::{Place, root, value};
use crate::figure::Size;
use crate::figure::canvas::Rect;
use crate::view::{HouseDrawing, OUTDOORS, Passage, PassageKind, ZoneKind};
use crate::words::Words;
use engine::math::max_valid;

type Point = (f64, f64);

/// What air it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Air {
    Outdoor,
    ThroughBuffer,
    House,
}

/// What air a passage carries.
pub(super) fn air_of(p: &Passage) -> Air {
    let from = if p.flow.estimate.si < 0.0 {
        &p.to
    } else {
        &p.from
    };
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
            Rect {
                x0: r.x0 - half,
                x1: r.x1 + half,
                ..r
            }
        } else {
            Rect {
                y0: r.y0 - half,
                y1: r.y1 + half,
                ..r
            }
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

/// A duct zone's run through the zone that holds it.
struct Run {
    y: f64,
    x0: f64,
    x1: f64,
    host: Option<usize>,
}

struct Draft<'a> {
    house: &'a HouseDrawing,
    l: &'a Layout,
    words: &'a Words,
    size: Size,
    largest: f64,
    out: Drawn,
    /// Vertical things already placed: x, top, bottom.
    columns: Vec<(f64, f64, f64)>,
    /// Crossings of walls already placed: x, y.
    rows: Vec<Point>,
    runs: Vec<Option<Run>>,
    /// Passages through a wall that faces the reader: placed where room is left.
    facing: Vec<(&'a Passage, usize, bool)>,
    reach: f64,
}

/// Places everything.
pub(super) fn arrows(house: &HouseDrawing, l: &Layout, words: &Words, size: Size) -> Drawn {
    let largest = max_valid(house.passages.iter().map(|p| p.flow.estimate.si.abs())).unwrap_or(1.0);
    let reach = if size == Size::Wide { 36.0 } else { 24.0 };
    let mut d = Draft {
        house,
        l,
        words,
        size,
        largest,
        out: Drawn::default(),
        columns: Vec::new(),
        rows: Vec::new(),
        runs: Vec::new(),
        facing: Vec::new(),
        reach,
    };
    d.runs = house
        .zones
        .iter()
        .map(|z| (z.kind == ZoneKind::Duct).then(|| d.run(z)).flatten())
        .collect();
    d.keep_runs_apart();
    let mut order: Vec<&Passage> = house.passages.iter().collect();
    order.sort_by(|a, b| {
        b.flow
            .estimate
            .si
            .abs()
            .total_cmp(&a.flow.estimate.si.abs())
    });
    let (flues, others): (Vec<&Passage>, Vec<&Passage>) =
        order.into_iter().partition(|p| p.kind == PassageKind::Flue);
    let (handlers, others): (Vec<&Passage>, Vec<&Passage>) =
        others.into_iter().partition(|p| d.is_air_handler(p));
    flues.into_iter().for_each(|p| d.flue(p));
    handlers.into_iter().for_each(|p| d.air_handler(p));
    // What crosses a wall at its own height has less choice than what may cross a floor anywhere.
    let (across, others): (Vec<&Passage>, Vec<&Passage>) =
        others.into_iter().partition(|p| d.crosses_a_wall(p));
    across.into_iter().for_each(|p| d.passage(p));
    others.into_iter().for_each(|p| d.passage(p));
    let facing = std::mem::take(&mut d.facing);
    facing
        .into_iter()
        .for_each(|(p, zone, out)| d.facing_wall(p, zone, out));
    d.pipes_of_runs();
    d.out
}

impl<'a> Draft<'a> {
    fn index(&self, id: &str) -> Option<usize> {
        self.house.zones.iter().position(|z| z.id == id)
    }

    fn place(&self, i: usize) -> Option<&Place> {
        self.l.places.get(i).and_then(Option::as_ref)
    }

    /// Ends of a passage in the direction the air moves.
    fn ends(&self, p: &Passage) -> (Option<usize>, Option<usize>) {
        let (a, b) = (self.index(&p.from), self.index(&p.to));
        if p.flow.estimate.si < 0.0 {
            (b, a)
        } else {
            (a, b)
        }
    }

    fn add(&mut self, p: &Passage, from: Point, to: Point, crossing: Point) {
        let flow_si = p.flow.estimate.si.abs();
        let caution = p.kind == PassageKind::Flue && air_of(p) == Air::Outdoor;
        let mut label = value(&p.flow, self.words).replace(crate::words::MINUS, "");
        if caution {
            label = self
                .words
                .text("section-down-flue", &[("flow", label.into())]);
        }
        self.out.arrows.push(Arrow {
            from,
            to,
            crossing,
            width: arrow_width(flow_si, self.largest, self.size),
            air: air_of(p),
            label,
            caution,
            selected: p.selected,
            flow_si,
        });
    }

    fn run(&self, zone: &crate::view::Zone) -> Option<Run> {
        let mid = (zone.floor_m + zone.ceiling_m) / 2.0;
        let named = zone.inside.as_deref().and_then(|id| self.index(id));
        let host = named.or_else(|| {
            self.house
                .zones
                .iter()
                .position(|z| z.kind != ZoneKind::Duct && z.floor_m <= mid && z.ceiling_m >= mid)
        })?;
        let place = self.place(host)?;
        let r = place.rect;
        let y = match place.role {
            Role::Roof => r.y1 - 26.0,
            _ => self
                .l
                .y(mid)
                .clamp(r.y0 + 14.0, (r.y1 - 14.0).max(r.y0 + 14.0)),
        };
        let middle = (r.x0 + r.x1) / 2.0;
        Some(Run {
            y,
            x0: middle,
            x1: middle,
            host: Some(host),
        })
    }

    fn keep_runs_apart(&mut self) {
        for i in 0..self.runs.len() {
            for j in 0..i {
                let (a, b) = match (&self.runs[j], &self.runs[i]) {
                    (Some(a), Some(b)) if a.host == b.host && (a.y - b.y).abs() < 20.0 => {
                        (a.y, b.y)
                    }
                    _ => continue,
                };
                let middle = (a + b) / 2.0;
                if let Some(r) = &mut self.runs[j] {
                    r.y = middle - 10.0;
                }
                if let Some(r) = &mut self.runs[i] {
                    r.y = middle + 10.0;
                }
            }
        }
    }

    fn is_air_handler(&self, p: &Passage) -> bool {
        let duct = |id: &str| {
            self.index(id)
                .is_some_and(|i| self.house.zones[i].kind == ZoneKind::Duct)
        };
        duct(&p.from) && duct(&p.to)
    }

    fn crosses_a_wall(&self, p: &Passage) -> bool {
        let rect = |i: Option<usize>| i.and_then(|i| self.place(i));
        match self.ends(p) {
            (Some(a), Some(b)) => match (rect(Some(a)), rect(Some(b))) {
                (Some(a), Some(b)) => a.rect.x1.min(b.rect.x1) - a.rect.x0.max(b.rect.x0) < 12.0,
                _ => false,
            },
            (a, b) => rect(a.or(b)).is_some_and(|p| p.role != Role::Roof),
        }
    }

    fn air_handler(&mut self, p: &Passage) {
        let (Some(from), Some(to)) = self.ends(p) else {
            return;
        };
        let (Some(Some(a)), Some(Some(b))) = (self.runs.get(from), self.runs.get(to)) else {
            return;
        };
        let (w, h) = if self.size == Size::Wide {
            (30.0, 44.0)
        } else {
            (24.0, 34.0)
        };
        let role = |r: &Run| r.host.and_then(|i| self.place(i)).map(|p| (p.role, p.rect));
        let side = [role(a), role(b)]
            .into_iter()
            .flatten()
            .find(|(r, _)| matches!(r, Role::Left | Role::Right));
        let Some((role, host)) = side.or(role(a)) else {
            return;
        };
        let x = match role {
            Role::Left => host.x1 - host.width() * 0.24 - w / 2.0,
            Role::Right => host.x0 + host.width() * 0.24 + w / 2.0,
            _ => host.x0 + host.width() * 0.30,
        };
        let y = ((a.y + b.y) / 2.0)
            .min(host.y1 - h / 2.0 - 3.0)
            .max(host.y0 + h / 2.0 + 2.0);
        let (ya, yb) = (a.y, b.y);
        for (i, run_y) in [(from, ya), (to, yb)] {
            if let Some(Some(r)) = self.runs.get_mut(i) {
                (r.x0, r.x1) = (x, x);
            }
            self.columns.push((x, run_y.min(y), run_y.max(y)));
            self.out.pipes.push(Pipe {
                points: vec![(x, y), (x, run_y)],
                width: 0.0,
            });
        }
        self.out.boxes.push(Rect::new(
            x - w / 2.0,
            y - h / 2.0,
            x + w / 2.0,
            y + h / 2.0,
        ));
        let way = if yb > ya { (0.0, 1.0) } else { (0.0, -1.0) };
        self.out.fans.push(FanMark {
            at: (x, y),
            radius: w * 0.33,
            way,
        });
    }

    /// The freest x within `[lo, hi]` between two heights.
    fn free_x(&self, lo: f64, hi: f64, y0: f64, y1: f64, wish: f64) -> f64 {
        let (y0, y1) = (y0.min(y1), y0.max(y1));
        let inset = ((hi - lo) * 0.12).min(22.0);
        let (lo, hi) = (lo + inset, hi - inset);
        let mut best = (f64::NEG_INFINITY, (lo + hi) / 2.0);
        for step in 0..=40 {
            let x = lo + (hi - lo) * f64::from(step) / 40.0;
            let near = self
                .columns
                .iter()
                .filter(|c| c.1 < y1 && c.2 > y0)
                .map(|c| (c.0 - x).abs());
            let flat = self
                .out
                .arrows
                .iter()
                .map(Arrow::rect)
                .filter(|a| a.y0 < y1 && a.y1 > y0);
            let beside = flat.map(|a| (a.x0 - x).max(x - a.x1).max(0.0));
            let gap = near.chain(beside).fold(f64::INFINITY, f64::min).min(64.0);
            let score = gap - 0.15 * (x - wish).abs();
            if score > best.0 {
                best = (score, x);
            }
        }
        best.1
    }

    /// The nearest free y on a wall.
    fn free_y(&self, wall: f64, wish: f64, lo: f64, hi: f64, room: f64) -> f64 {
        let (lo, hi) = if lo < hi {
            (lo, hi)
        } else {
            ((lo + hi) / 2.0, (lo + hi) / 2.0)
        };
        let wish = wish.clamp(lo, hi);
        let gap_at = |y: f64| {
            let near = self
                .rows
                .iter()
                .filter(|r| (r.0 - wall).abs() < 70.0)
                .map(|r| (r.1 - y).abs());
            near.fold(f64::INFINITY, f64::min)
        };
        let mut best = (f64::NEG_INFINITY, wish);
        for step in 0..=60 {
            let y = lo + (hi - lo) * f64::from(step) / 60.0;
            let score = gap_at(y).min(room) * 4.0 - (y - wish).abs();
            if score > best.0 {
                best = (score, y);
            }
        }
        if gap_at(wish) >= room { wish } else { best.1 }
    }

    /// The freest place inside a room for a mark of 12 by 40 px, near a height.
    fn free_spot(&self, r: &Rect, wish_y: f64) -> Point {
        let mut best = (f64::NEG_INFINITY, ((r.x0 + r.x1) / 2.0, wish_y));
        for ix in 0..=30 {
            for iy in 0..=8 {
                let x = r.x0 + 14.0 + (r.width() - 28.0) * f64::from(ix) / 30.0;
                let y = r.y0 + 34.0 + (r.height() - 46.0).max(0.0) * f64::from(iy) / 8.0;
                let mark = Rect::new(x - 6.0, y - 32.0, x + 6.0, y + 6.0);
                let column = self
                    .columns
                    .iter()
                    .filter(|c| c.1 < mark.y1 && c.2 > mark.y0)
                    .map(|c| (c.0 - x).abs() - 6.0);
                let solid = self
                    .out
                    .arrows
                    .iter()
                    .map(|a| a.rect())
                    .chain(self.out.boxes.iter().copied());
                let solid = solid.map(|s| {
                    (s.x0 - mark.x1)
                        .max(mark.x0 - s.x1)
                        .max(s.y0 - mark.y1)
                        .max(mark.y0 - s.y1)
                });
                let gap = column.chain(solid).fold(f64::INFINITY, f64::min).min(34.0);
                let score = gap * 2.0 - (y - wish_y).abs() * 0.3;
                if score > best.0 {
                    best = (score, (x, y));
                }
            }
        }
        best.1
    }

    fn passage(&mut self, p: &'a Passage) {
        match self.ends(p) {
            (Some(a), Some(b)) => {
                let duct = |i: usize| self.house.zones[i].kind == ZoneKind::Duct;
                match (duct(a), duct(b)) {
                    (true, false) => self.duct(p, a, b, true),
                    (false, true) => self.duct(p, b, a, false),
                    _ => self.between(p, a, b),
                }
            }
            (Some(zone), None) => self.outdoors(p, zone, true),
            (None, Some(zone)) => self.outdoors(p, zone, false),
            (None, None) => {}
        }
    }

    /// Air between two zones that are not ducts.
    fn between(&mut self, p: &Passage, a: usize, b: usize) {
        let (Some(pa), Some(pb)) = (self.place(a).cloned(), self.place(b).cloned()) else {
            return;
        };
        let (ra, rb) = (pa.rect, pb.rect);
        let (x0, x1) = (ra.x0.max(rb.x0), ra.x1.min(rb.x1));
        let (y0, y1) = (ra.y0.max(rb.y0), ra.y1.min(rb.y1));
        let room = self.clearance(p);
        if y1 - y0 > 12.0 && x1 - x0 < 12.0 {
            // Side by side: across the wall between them, or across what lies between.
            let (wall_a, wall_b) = if ra.x1 <= rb.x0 + 1.0 {
                (ra.x1, rb.x0)
            } else {
                (ra.x0, rb.x1)
            };
            let wall = (wall_a + wall_b) / 2.0;
            let y = self.free_y(
                wall,
                self.l.y(p.height_m),
                y0 + room * 0.6,
                y1 - room * 0.6,
                room,
            );
            let sign = if wall_b >= wall_a && ra.x0 < rb.x0 {
                1.0
            } else {
                -1.0
            };
            self.rows.push((wall, y));
            let (from, to) = (
                (wall_a - sign * self.reach, y),
                (wall_b + sign * self.reach * 0.9, y),
            );
            self.add(p, from, to, (wall, y));
        } else if x1 - x0 > 12.0 {
            // One over the other.
            let up = ra.y1 > rb.y1;
            let wall = if up {
                ra.y0.max(rb.y1.min(ra.y0))
            } else {
                ra.y1
            };
            let wall = if pa.role == Role::Roof || pb.role == Role::Roof {
                self.l.eaves_y
            } else {
                wall
            };
            let reach = self.reach.min(ra.height() * 0.42).min(rb.height() * 0.42);
            let reach = reach.max(16.0);
            let x = self.free_x(
                x0,
                x1,
                wall - reach - 6.0,
                wall + reach + 6.0,
                (x0 + x1) / 2.0,
            );
            let sign = if up { 1.0 } else { -1.0 };
            self.columns.push((x, wall - reach, wall + reach));
            self.add(
                p,
                (x, wall + sign * reach),
                (x, wall - sign * reach),
                (x, wall),
            );
        } else {
            // Nothing shared: a straight line between the nearest corners.
            let near = |r: &Rect, o: &Rect| {
                let (cx, cy) = ((o.x0 + o.x1) / 2.0, (o.y0 + o.y1) / 2.0);
                (
                    cx.clamp(r.x0 + 12.0, r.x1 - 12.0),
                    cy.clamp(r.y0 + 12.0, r.y1 - 12.0),
                )
            };
            let (from, to) = (near(&ra, &rb), near(&rb, &ra));
            self.add(p, from, to, ((from.0 + to.0) / 2.0, (from.1 + to.1) / 2.0));
        }
    }

    fn clearance(&self, p: &Passage) -> f64 {
        let width = arrow_width(p.flow.estimate.si, self.largest, self.size);
        (if self.size == Size::Wide {
            26.0f64
        } else {
            21.0
        })
        .max(width * 1.6 + 14.0)
    }

    /// Air between a zone and outdoors.
    fn outdoors(&mut self, p: &'a Passage, zone: usize, out: bool) {
        if let Some(Some(run)) = self.runs.get(zone) {
            let (y, x) = (run.y, run.x0);
            let x = self.free_x(x - 60.0, x + 60.0, y - 30.0, y + 30.0, x);
            self.columns.push((x, y - 30.0, y + 30.0));
            self.extend(zone, x);
            let (from, to) = if out {
                ((x, y), (x, y - 28.0))
            } else {
                ((x, y - 28.0), (x, y))
            };
            return self.add(p, from, to, (x, y));
        }
        let Some(place) = self.place(zone).cloned() else {
            return;
        };
        let r = place.rect;
        let (x0, x1) = self.l.body;
        let reach = self.reach;
        if place.role == Role::Roof {
            return self.roof_vent(p, &place, out);
        }
        let touches_left = (r.x0 - x0).abs() < 1.0;
        let touches_right = (r.x1 - x1).abs() < 1.0;
        let room = self.clearance(p);
        let sheltered = |side: Role| {
            self.l
                .places
                .iter()
                .flatten()
                .filter(|q| q.role == side)
                .map(|q| q.rect)
                .reduce(|a, b| Rect {
                    x0: a.x0.min(b.x0),
                    y0: a.y0.min(b.y0),
                    x1: a.x1.max(b.x1),
                    y1: a.y1.max(b.y1),
                })
        };
        // Left or right: where there is more free wall; a wall behind a garage is not outdoors.
        let free = |side: Role, touches: bool, lo: f64, hi: f64| -> f64 {
            if !touches {
                return -1.0;
            }
            let hidden =
                sheltered(side).map_or(0.0, |s| (hi.min(s.y1) - lo.max(s.y0 - 26.0)).max(0.0));
            let wall = if side == Role::Left { x0 } else { x1 };
            let used = self
                .rows
                .iter()
                .filter(|q| (q.0 - wall).abs() < 4.0 && q.1 > lo && q.1 < hi)
                .count();
            (hi - lo) - hidden - used as f64 * room
        };
        let low = if place.role == Role::Ground {
            self.l.grade_y
        } else {
            r.y1
        };
        let (mut lo, mut hi) = (
            r.y0 + room * 0.45,
            (low.max(r.y0 + 8.0) - room * 0.45).max(r.y0 + 6.0),
        );
        let side = match place.role {
            Role::Left | Role::Right => Some(place.role),
            _ => {
                let (l, rr) = (
                    free(Role::Left, touches_left, r.y0, r.y1),
                    free(Role::Right, touches_right, r.y0, r.y1),
                );
                (l > 8.0 || rr > 8.0).then_some(if l > rr + 4.0 {
                    Role::Left
                } else {
                    Role::Right
                })
            }
        };
        let Some(side) = side else {
            return self.facing.push((p, zone, out));
        };
        let wall = match (place.role, side) {
            (Role::Left, _) => r.x0,
            (Role::Right, _) => r.x1,
            (_, Role::Left) => x0,
            _ => x1,
        };
        if !matches!(place.role, Role::Left | Role::Right)
            && let Some(s) = sheltered(side)
            && s.y0 - 26.0 < hi
        {
            hi = (s.y0 - 34.0).max(r.y0 + 8.0);
            lo = lo.min(hi);
        }
        let y = self.free_y(wall, self.l.y(p.height_m), lo, hi, room);
        self.rows.push((wall, y));
        let sign = if side == Role::Left { -1.0 } else { 1.0 };
        let (outer, inner) = ((wall + sign * reach, y), (wall - sign * reach * 0.6, y));
        let (from, to) = if out { (inner, outer) } else { (outer, inner) };
        self.add(p, from, to, (wall, y));
        if p.kind == PassageKind::Fan {
            let way = if out { sign } else { -sign };
            self.out.fans.push(FanMark {
                at: (wall - sign * (reach * 0.6 + 10.0), y),
                radius: 9.0,
                way: (way, 0.0),
            });
        }
    }

    /// Air through a wall that faces the reader: the arrow starts at a mark inside the room.
    fn facing_wall(&mut self, p: &Passage, zone: usize, out: bool) {
        let Some(r) = self.place(zone).map(|p| p.rect) else {
            return;
        };
        let (x, y) = self.free_spot(&r, self.l.y(p.height_m));
        self.columns.push((x, y - 28.0, y));
        self.out
            .boxes
            .push(Rect::new(x - 4.0, y - 4.0, x + 4.0, y + 4.0));
        let (from, to) = if out {
            ((x, y - 28.0), (x, y - 4.0))
        } else {
            ((x, y - 4.0), (x, y - 28.0))
        };
        self.add(p, from, to, (x, y));
    }

    /// Attic vents: the first largest at the ridge, others at the eaves.
    fn roof_vent(&mut self, p: &Passage, place: &Place, out: bool) {
        let r = place.rect;
        let ridge = self.l.ridge.unwrap_or((r.x0, r.y0));
        let ridge_free = !self
            .rows
            .iter()
            .any(|q| (q.0 - ridge.0).abs() < 1.0 && (q.1 - ridge.1).abs() < 1.0);
        let inside = r.x0 <= ridge.0 && r.x1 >= ridge.0;
        if ridge_free && inside && out {
            self.rows.push(ridge);
            let (low, high) = (
                (ridge.0, ridge.1 + 26.0),
                (ridge.0, (ridge.1 - 24.0).max(3.0)),
            );
            self.columns.push((ridge.0, high.1, low.1));
            return self.add(p, low, high, ridge);
        }
        let left = self
            .rows
            .iter()
            .filter(|q| q.0 < ridge.0 && (q.1 - self.l.eaves_y).abs() < 40.0)
            .count();
        let right = self
            .rows
            .iter()
            .filter(|q| q.0 > ridge.0 && (q.1 - self.l.eaves_y).abs() < 40.0)
            .count();
        let sign = if left <= right && (r.x0 - self.l.body.0).abs() < 1.0 {
            -1.0
        } else {
            1.0
        };
        let edge = if sign < 0.0 {
            self.l.body.0
        } else {
            self.l.body.1
        };
        let y = self.l.eaves_y - 12.0;
        let inset = (self.l.eaves_y - y) / (self.l.eaves_y - ridge.1)
            * (self.l.body.1 - self.l.body.0)
            / 2.0;
        let wall = edge - sign * inset;
        self.rows.push((wall, y));
        let (outer, inner) = (
            (wall + sign * (self.reach + 6.0), y),
            (wall - sign * self.reach * 0.8, y),
        );
        let (from, to) = if out { (inner, outer) } else { (outer, inner) };
        self.add(p, from, to, (wall, y));
    }

    /// Air between a duct and a room or the zone around it.
    fn duct(&mut self, p: &Passage, duct: usize, zone: usize, out_of_duct: bool) {
        let Some(Some(run)) = self.runs.get(duct) else {
            return;
        };
        let (run_y, run_host, start) = (run.y, run.host, run.x0);
        let Some(place) = self.place(zone).cloned() else {
            return;
        };
        let r = place.rect;
        let reach = self.reach * 0.8;
        if run_host == Some(zone) {
            // A leak into or out of the zone it runs in, square to the run.
            let x = self.free_x(
                r.x0.max(start - 90.0),
                r.x1.min(start + 150.0),
                r.y0,
                r.y1,
                start + 40.0,
            );
            self.extend(duct, x);
            let up = run_y - r.y0 > r.y1 - run_y;
            let sign = if up { -1.0 } else { 1.0 };
            let far = (
                x,
                run_y
                    + sign
                        * reach
                            .min(((if up { run_y - r.y0 } else { r.y1 - run_y }) - 2.0).max(14.0)),
            );
            self.columns.push((x, run_y.min(far.1), run_y.max(far.1)));
            let (from, to) = if out_of_duct {
                ((x, run_y), far)
            } else {
                (far, (x, run_y))
            };
            return self.add(p, from, to, (x, run_y));
        }
        let host = run_host
            .and_then(|i| self.place(i))
            .map(|p| (p.role, p.rect));
        let beside =
            matches!(host, Some((Role::Left | Role::Right, _))) && place.role == Role::Body;
        if beside && run_y > r.y0 + 6.0 && run_y < r.y1 - 6.0 {
            // Through the wall beside it.
            let wall = if matches!(host, Some((Role::Left, _))) {
                r.x0
            } else {
                r.x1
            };
            let sign = if matches!(host, Some((Role::Left, _))) {
                1.0
            } else {
                -1.0
            };
            self.extend(duct, wall);
            self.rows.push((wall, run_y));
            let (near, far) = (
                (wall + sign * 2.0, run_y),
                (wall + sign * (reach + 10.0), run_y),
            );
            let (from, to) = if out_of_duct {
                (near, far)
            } else {
                (far, near)
            };
            return self.add(p, from, to, (wall, run_y));
        }
        let below = run_y > r.y1 - 6.0;
        let edge = if below {
            r.y1
        } else if run_y < r.y0 + 6.0 {
            r.y0
        } else {
            run_y
        };
        let sign = if below { -1.0 } else { 1.0 };
        let reach = reach.min(r.height() * 0.45);
        let x = self.free_x(r.x0, r.x1, edge + sign * reach, run_y, (r.x0 + r.x1) / 2.0);
        self.columns.push((
            x,
            run_y.min(edge + sign * reach),
            run_y.max(edge + sign * reach),
        ));
        self.extend(duct, x);
        let mouth = edge + sign * 4.0;
        let width =
            (arrow_width(p.flow.estimate.si, self.largest, self.size) * 0.75).clamp(5.0, 11.0);
        self.out.pipes.push(Pipe {
            points: vec![(x, run_y), (x, mouth)],
            width,
        });
        let (near, far) = ((x, mouth), (x, mouth + sign * (reach + 6.0)));
        let (from, to) = if out_of_duct {
            (near, far)
        } else {
            (far, near)
        };
        self.add(p, from, to, (x, edge));
    }

    fn extend(&mut self, duct: usize, x: f64) {
        if let Some(Some(run)) = self.runs.get_mut(duct) {
            run.x0 = run.x0.min(x);
            run.x1 = run.x1.max(x);
        }
    }

    /// Runs as pipes, under the risers.
    fn pipes_of_runs(&mut self) {
        let main = if self.size == Size::Wide { 13.0 } else { 9.0 };
        for pipe in self.out.pipes.iter_mut().filter(|p| p.width <= 0.0) {
            pipe.width = main;
        }
        for run in self.runs.iter().flatten() {
            let pad = main / 2.0 - 1.3;
            self.out.pipes.push(Pipe {
                points: vec![(run.x0 - pad, run.y), (run.x1 + pad, run.y)],
                width: main,
            });
        }
    }

    /// A flue from its appliance up through the roof.
    fn flue(&mut self, p: &Passage) {
        let (from, to) = self.ends(p);
        let Some(zone) = from.or(to) else { return };
        let Some(place) = self.place(zone).cloned() else {
            return;
        };
        let r = place.rect;
        let (w, h) = if self.size == Size::Wide {
            (26.0, 56.0)
        } else {
            (17.0, 38.0)
        };
        let x = (r.x0 + r.x1) / 2.0;
        let top = (self.l.roof_y(x) - 46.0).max(12.0);
        let tank = Rect::new(x - w / 2.0, r.y1 - h - 3.0, x + w / 2.0, r.y1 - 3.0);
        self.out.pipes.push(Pipe {
            points: vec![(x, tank.y0), (x, top)],
            width: if self.size == Size::Wide { 9.0 } else { 7.0 },
        });
        self.out.boxes.push(tank);
        self.out.flue_tops.push((x, top - 5.0));
        self.columns.push((x, top, r.y1));
        let roof = self.l.roof_y(x);
        let (high, low) = ((x, top + 4.0), (x, (roof + 18.0).max(top + 40.0)));
        let (a, b) = if from.is_some() {
            (low, high)
        } else {
            (high, low)
        };
        self.add(p, a, b, (x, roof));
    }
}
