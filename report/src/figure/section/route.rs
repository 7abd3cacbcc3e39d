//! Where the air goes: every passage gets its place, the largest flow first.
//!
//! What crosses a wall at its own height is placed before what may cross a floor anywhere; what
//! passes a wall that faces the reader comes last, where room is left.

use super::arrows::{Air, Arrow, Drawn, FanMark, Point, air_of, arrow_width};
use super::layout::{Layout, Place, Role};
use super::value;
use crate::figure::Size;
use crate::figure::canvas::Rect;
use crate::view::{HouseDrawing, Passage, PassageKind, ZoneKind};
use crate::words::Words;
use engine::math::max_valid;

/// A duct zone's run through the zone that holds it.
pub(super) struct Run {
    pub(super) y: f64,
    pub(super) x0: f64,
    pub(super) x1: f64,
    pub(super) host: Option<usize>,
}

/// The drawing while passages are being placed on it.
pub(super) struct Draft<'a> {
    pub(super) house: &'a HouseDrawing,
    pub(super) l: &'a Layout,
    pub(super) words: &'a Words,
    pub(super) size: Size,
    pub(super) largest: f64,
    pub(super) out: Drawn,
    /// Vertical things already placed: x, top, bottom.
    pub(super) columns: Vec<(f64, f64, f64)>,
    /// Crossings of walls already placed: x, y.
    pub(super) rows: Vec<Point>,
    pub(super) runs: Vec<Option<Run>>,
    /// Passages through a wall that faces the reader: placed where room is left.
    pub(super) facing: Vec<(&'a Passage, usize, bool)>,
    pub(super) reach: f64,
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
    d.runs = house.zones.iter().map(|z| (z.kind == ZoneKind::Duct).then(|| d.run(z)).flatten()).collect();
    d.keep_runs_apart();
    let mut order: Vec<&Passage> = house.passages.iter().collect();
    order.sort_by(|a, b| b.flow.estimate.si.abs().total_cmp(&a.flow.estimate.si.abs()));
    let (flues, others): (Vec<&Passage>, Vec<&Passage>) =
        order.into_iter().partition(|p| p.kind == PassageKind::Flue);
    let (handlers, others): (Vec<&Passage>, Vec<&Passage>) =
        others.into_iter().partition(|p| d.is_air_handler(p));
    flues.into_iter().for_each(|p| d.flue(p));
    let given = handlers.iter().find_map(|p| match d.ends(p) {
        (Some(from), Some(to)) => Some((from, to)),
        _ => None,
    });
    if let Some((from, to)) = given.or_else(|| d.return_and_supply()) {
        d.air_handler(from, to);
    }
    // What crosses a wall at its own height has less choice than what may cross a floor anywhere.
    let (across, others): (Vec<&Passage>, Vec<&Passage>) =
        others.into_iter().partition(|p| d.crosses_a_wall(p));
    across.into_iter().for_each(|p| d.passage(p));
    // A duct may leak anywhere along its run, so it comes after what crosses a floor in one room.
    let (leaks, others): (Vec<&Passage>, Vec<&Passage>) =
        others.into_iter().partition(|p| d.leaks_into_its_host(p));
    others.into_iter().for_each(|p| d.passage(p));
    leaks.into_iter().for_each(|p| d.passage(p));
    let facing = std::mem::take(&mut d.facing);
    facing.into_iter().for_each(|(p, zone, out)| d.facing_wall(p, zone, out));
    d.pipes_of_runs();
    d.out
}

impl<'a> Draft<'a> {
    pub(super) fn index(&self, id: &str) -> Option<usize> {
        self.house.zones.iter().position(|z| z.id == id)
    }

    pub(super) fn place(&self, i: usize) -> Option<&Place> {
        self.l.places.get(i).and_then(Option::as_ref)
    }

    /// Ends of a passage in the direction the air moves.
    pub(super) fn ends(&self, p: &Passage) -> (Option<usize>, Option<usize>) {
        let (a, b) = (self.index(&p.from), self.index(&p.to));
        if p.flow.estimate.si < 0.0 { (b, a) } else { (a, b) }
    }

    pub(super) fn add(&mut self, p: &Passage, from: Point, to: Point, crossing: Point) {
        let flow_si = p.flow.estimate.si.abs();
        let caution = p.kind == PassageKind::Flue && air_of(p) == Air::Outdoor;
        let mut label = value(&p.flow, self.words).replace(crate::words::MINUS, "");
        if caution {
            label = self.words.text("section-down-flue", &[("flow", label.into())]);
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
            passage: self.house.passages.iter().position(|q| std::ptr::eq(q, p)),
        });
    }

    fn leaks_into_its_host(&self, p: &Passage) -> bool {
        let host = |i: Option<usize>| i.and_then(|i| self.runs.get(i)?.as_ref()?.host);
        let (a, b) = self.ends(p);
        (a.is_some() && host(b) == a) || (b.is_some() && host(a) == b)
    }

    pub(super) fn crosses_a_wall(&self, p: &Passage) -> bool {
        let rect = |i: Option<usize>| i.and_then(|i| self.place(i));
        match self.ends(p) {
            (Some(a), Some(b)) => match (rect(Some(a)), rect(Some(b))) {
                (Some(a), Some(b)) => a.rect.x1.min(b.rect.x1) - a.rect.x0.max(b.rect.x0) < 12.0,
                _ => false,
            },
            (a, b) => rect(a.or(b)).is_some_and(|p| p.role != Role::Roof),
        }
    }

    pub(super) fn passage(&mut self, p: &'a Passage) {
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
    pub(super) fn between(&mut self, p: &Passage, a: usize, b: usize) {
        let (Some(pa), Some(pb)) = (self.place(a).cloned(), self.place(b).cloned()) else {
            return;
        };
        let (ra, rb) = (pa.rect, pb.rect);
        let (x0, x1) = (ra.x0.max(rb.x0), ra.x1.min(rb.x1));
        let (y0, y1) = (ra.y0.max(rb.y0), ra.y1.min(rb.y1));
        let room = self.clearance(p);
        if y1 - y0 > 12.0 && x1 - x0 < 12.0 {
            // Side by side: across the wall between them, or across what lies between.
            let (wall_a, wall_b) = if ra.x1 <= rb.x0 + 1.0 { (ra.x1, rb.x0) } else { (ra.x0, rb.x1) };
            let wall = (wall_a + wall_b) / 2.0;
            let y = self.free_y(wall, self.l.y(p.height_m), y0 + room * 0.6, y1 - room * 0.6, room);
            let sign = if wall_b >= wall_a && ra.x0 < rb.x0 { 1.0 } else { -1.0 };
            self.rows.push((wall, y));
            let (from, to) = ((wall_a - sign * self.reach, y), (wall_b + sign * self.reach * 0.9, y));
            self.add(p, from, to, (wall, y));
        } else if x1 - x0 > 12.0 {
            // One over the other.
            let up = ra.y1 > rb.y1;
            let wall = if up { ra.y0.max(rb.y1.min(ra.y0)) } else { ra.y1 };
            let wall = if pa.role == Role::Roof || pb.role == Role::Roof { self.l.eaves_y } else { wall };
            let reach = self.reach.min(ra.height() * 0.42).min(rb.height() * 0.42);
            let reach = reach.max(16.0);
            let x = self.free_x(x0, x1, wall - reach - 6.0, wall + reach + 6.0, (x0 + x1) / 2.0);
            let sign = if up { 1.0 } else { -1.0 };
            self.columns.push((x, wall - reach, wall + reach));
            self.add(p, (x, wall + sign * reach), (x, wall - sign * reach), (x, wall));
        } else {
            // Nothing shared: a straight line between the nearest corners.
            let near = |r: &Rect, o: &Rect| {
                let (cx, cy) = ((o.x0 + o.x1) / 2.0, (o.y0 + o.y1) / 2.0);
                (cx.clamp(r.x0 + 12.0, r.x1 - 12.0), cy.clamp(r.y0 + 12.0, r.y1 - 12.0))
            };
            let (from, to) = (near(&ra, &rb), near(&rb, &ra));
            self.add(p, from, to, ((from.0 + to.0) / 2.0, (from.1 + to.1) / 2.0));
        }
    }

    pub(super) fn clearance(&self, p: &Passage) -> f64 {
        let width = arrow_width(p.flow.estimate.si, self.largest, self.size);
        (if self.size == Size::Wide { 26.0f64 } else { 21.0 }).max(width * 1.6 + 14.0)
    }

    /// Air between a zone and outdoors.
    pub(super) fn outdoors(&mut self, p: &'a Passage, zone: usize, out: bool) {
        if let Some(Some(run)) = self.runs.get(zone) {
            let (y, x) = (run.y, run.x0);
            let x = self.free_x(x - 60.0, x + 60.0, y - 30.0, y + 30.0, x);
            self.columns.push((x, y - 30.0, y + 30.0));
            self.extend(zone, x);
            let (from, to) = if out { ((x, y), (x, y - 28.0)) } else { ((x, y - 28.0), (x, y)) };
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
        let sheltered =
            |side: Role| {
                self.l.places.iter().flatten().filter(|q| q.role == side).map(|q| q.rect).reduce(|a, b| {
                    Rect { x0: a.x0.min(b.x0), y0: a.y0.min(b.y0), x1: a.x1.max(b.x1), y1: a.y1.max(b.y1) }
                })
            };
        // Left or right: where there is more free wall; a wall behind a garage is not outdoors.
        let free = |side: Role, touches: bool, lo: f64, hi: f64| -> f64 {
            if !touches {
                return -1.0;
            }
            let hidden = sheltered(side).map_or(0.0, |s| (hi.min(s.y1) - lo.max(s.y0 - 26.0)).max(0.0));
            let wall = if side == Role::Left { x0 } else { x1 };
            let used = self.rows.iter().filter(|q| (q.0 - wall).abs() < 4.0 && q.1 > lo && q.1 < hi).count();
            (hi - lo) - hidden - used as f64 * room
        };
        let low = if place.role == Role::Ground { self.l.grade_y } else { r.y1 };
        let (mut lo, mut hi) = (r.y0 + room * 0.45, (low.max(r.y0 + 8.0) - room * 0.45).max(r.y0 + 6.0));
        let side = match place.role {
            Role::Left | Role::Right => Some(place.role),
            _ => {
                let (l, rr) = (
                    free(Role::Left, touches_left, r.y0, r.y1),
                    free(Role::Right, touches_right, r.y0, r.y1),
                );
                (l > 8.0 || rr > 8.0).then_some(if l > rr + 4.0 { Role::Left } else { Role::Right })
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
    pub(super) fn facing_wall(&mut self, p: &Passage, zone: usize, out: bool) {
        let Some(r) = self.place(zone).map(|p| p.rect) else {
            return;
        };
        let (x, y) = self.free_spot(&r, self.l.y(p.height_m));
        self.columns.push((x, y - 28.0, y));
        if p.kind == PassageKind::Fan {
            let way = (0.0, if out { 1.0 } else { -1.0 });
            self.out.fans.push(FanMark { at: (x, y), radius: 8.0, way });
        } else {
            self.out.boxes.push(Rect::new(x - 4.0, y - 4.0, x + 4.0, y + 4.0));
        }
        let (from, to) = if out { ((x, y - 28.0), (x, y - 4.0)) } else { ((x, y - 4.0), (x, y - 28.0)) };
        self.add(p, from, to, (x, y));
    }

    /// Attic vents: the first largest at the ridge, others at the eaves.
    pub(super) fn roof_vent(&mut self, p: &Passage, place: &Place, out: bool) {
        let r = place.rect;
        let ridge = self.l.ridge.unwrap_or((r.x0, r.y0));
        let ridge_free =
            !self.rows.iter().any(|q| (q.0 - ridge.0).abs() < 1.0 && (q.1 - ridge.1).abs() < 1.0);
        let inside = r.x0 <= ridge.0 && r.x1 >= ridge.0;
        if ridge_free && inside && out {
            self.rows.push(ridge);
            let (low, high) = ((ridge.0, ridge.1 + 26.0), (ridge.0, (ridge.1 - 24.0).max(3.0)));
            self.columns.push((ridge.0, high.1, low.1));
            return self.add(p, low, high, ridge);
        }
        let left = self.rows.iter().filter(|q| q.0 < ridge.0 && (q.1 - self.l.eaves_y).abs() < 40.0).count();
        let right = self.rows.iter().filter(|q| q.0 > ridge.0 && (q.1 - self.l.eaves_y).abs() < 40.0).count();
        let sign = if left <= right && (r.x0 - self.l.body.0).abs() < 1.0 { -1.0 } else { 1.0 };
        let edge = if sign < 0.0 { self.l.body.0 } else { self.l.body.1 };
        let y = self.l.eaves_y - 12.0;
        let inset = (self.l.eaves_y - y) / (self.l.eaves_y - ridge.1) * (self.l.body.1 - self.l.body.0) / 2.0;
        let wall = edge - sign * inset;
        self.rows.push((wall, y));
        let (outer, inner) = ((wall + sign * (self.reach + 6.0), y), (wall - sign * self.reach * 0.8, y));
        let (from, to) = if out { (inner, outer) } else { (outer, inner) };
        self.add(p, from, to, (wall, y));
    }
}
