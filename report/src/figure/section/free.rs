//! Free places: the freest x, y or spot for the next thing, given what stands already.

use super::arrows::{Arrow, Point};
use super::layout::Role;
use super::route::Draft;
use crate::figure::canvas::Rect;

impl Draft<'_> {
    /// The freest x within `[lo, hi]` between two heights.
    pub(super) fn free_x(&self, lo: f64, hi: f64, y0: f64, y1: f64, wish: f64) -> f64 {
        let (y0, y1) = (y0.min(y1), y0.max(y1));
        let inset = ((hi - lo) * 0.12).min(22.0);
        let (lo, hi) = (lo + inset, hi - inset);
        let mut best = (f64::NEG_INFINITY, (lo + hi) / 2.0);
        for step in 0..=40 {
            let x = lo + (hi - lo) * f64::from(step) / 40.0;
            let near = self.columns.iter().filter(|c| c.1 < y1 && c.2 > y0).map(|c| (c.0 - x).abs());
            let flat = self.out.arrows.iter().map(Arrow::rect).filter(|a| a.y0 < y1 && a.y1 > y0);
            let beside = flat.map(|a| (a.x0 - x).max(x - a.x1).max(0.0));
            let gap = near.chain(beside).fold(f64::INFINITY, f64::min).min(64.0);
            let score = gap - 0.08 * (x - wish).abs();
            if score > best.0 {
                best = (score, x);
            }
        }
        best.1
    }

    /// The nearest free y on a wall.
    pub(super) fn free_y(&self, wall: f64, wish: f64, lo: f64, hi: f64, room: f64) -> f64 {
        let (lo, hi) = if lo < hi { (lo, hi) } else { ((lo + hi) / 2.0, (lo + hi) / 2.0) };
        let wish = wish.clamp(lo, hi);
        let gap_at = |y: f64| {
            let near = self.rows.iter().filter(|r| (r.0 - wall).abs() < 70.0).map(|r| (r.1 - y).abs());
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
    pub(super) fn free_spot(&self, r: &Rect, wish_y: f64) -> Point {
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
                let solid = self.out.arrows.iter().map(|a| a.rect()).chain(self.out.boxes.iter().copied());
                let solid = solid
                    .map(|s| (s.x0 - mark.x1).max(mark.x0 - s.x1).max(s.y0 - mark.y1).max(mark.y0 - s.y1));
                let gap = column.chain(solid).fold(f64::INFINITY, f64::min).min(34.0);
                let score = gap * 2.0 - (y - wish_y).abs() * 0.3;
                if score > best.0 {
                    best = (score, (x, y));
                }
            }
        }
        best.1
    }

    /// How far left and right a run may go at its height: under a roof, not through it.
    pub(super) fn reach_of_run(&self, host: Option<usize>, y: f64) -> (f64, f64) {
        let under_roof = host.and_then(|i| self.place(i)).is_some_and(|p| p.role == Role::Roof);
        match self.l.ridge {
            Some((x, top)) if under_roof => {
                let half = (self.l.body.1 - self.l.body.0) / 2.0 * (y - top) / (self.l.eaves_y - top) - 12.0;
                (x - half.max(8.0), x + half.max(8.0))
            }
            _ => (0.0, self.l.width),
        }
    }
}
