//! Ducts, the air handler between them, and flues.

use super::arrows::{FanMark, Pipe, arrow_width};
use super::layout::Role;
use super::route::{Draft, Run};
use crate::figure::Size;
use crate::figure::canvas::Rect;
use crate::view::{Passage, PassageKind, ZoneKind};

impl Draft<'_> {
    pub(super) fn run(&self, zone: &crate::view::Zone) -> Option<Run> {
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
            Role::Roof => r.y1 - 22.0,
            // Ducts hang under the floor; below them is room for names and leaks.
            Role::Ground => (r.y0 + 18.0).min((r.y0 + r.y1) / 2.0),
            _ => self.l.y(mid).clamp(r.y0 + 14.0, (r.y1 - 14.0).max(r.y0 + 14.0)),
        };
        let middle = (r.x0 + r.x1) / 2.0;
        Some(Run { y, x0: middle, x1: middle, host: Some(host) })
    }

    pub(super) fn keep_runs_apart(&mut self) {
        for i in 0..self.runs.len() {
            for j in 0..i {
                let (a, b) = match (&self.runs[j], &self.runs[i]) {
                    (Some(a), Some(b)) if a.host == b.host && (a.y - b.y).abs() < 20.0 => (a.y, b.y),
                    _ => continue,
                };
                let middle = (a + b) / 2.0;
                let host = self.runs[i].as_ref().and_then(|r| r.host).and_then(|h| self.place(h));
                let low = host.filter(|p| p.role == Role::Ground && p.rect.height() > 70.0).is_some();
                let (up, down) = if low { (0.0, 27.0) } else { (10.0, 10.0) };
                if let Some(r) = &mut self.runs[j] {
                    r.y = middle - up;
                }
                if let Some(r) = &mut self.runs[i] {
                    r.y = middle + down;
                }
            }
        }
    }

    pub(super) fn is_air_handler(&self, p: &Passage) -> bool {
        let duct = |id: &str| self.index(id).is_some_and(|i| self.house.zones[i].kind == ZoneKind::Duct);
        duct(&p.from) && duct(&p.to)
    }

    /// The ducts that air is drawn into and blown out of, where no passage between them is given.
    pub(super) fn return_and_supply(&self) -> Option<(usize, usize)> {
        let ducts = || (0..self.house.zones.len()).filter(|i| self.house.zones[*i].kind == ZoneKind::Duct);
        let registers = || self.house.passages.iter().filter(|p| p.kind == PassageKind::Duct);
        let draws = ducts().find(|d| registers().any(|p| self.ends(p).1 == Some(*d)))?;
        let blows = ducts().find(|d| *d != draws && registers().any(|p| self.ends(p).0 == Some(*d)))?;
        Some((draws, blows))
    }

    /// The air handler between two ducts, the air going `from` one `to` the other.
    pub(super) fn air_handler(&mut self, from: usize, to: usize) {
        let (Some(Some(a)), Some(Some(b))) = (self.runs.get(from), self.runs.get(to)) else {
            return;
        };
        let (w, h) = if self.size == Size::Wide { (30.0, 44.0) } else { (24.0, 34.0) };
        let role = |r: &Run| r.host.and_then(|i| self.place(i)).map(|p| (p.role, p.rect));
        let side =
            [role(a), role(b)].into_iter().flatten().find(|(r, _)| matches!(r, Role::Left | Role::Right));
        let Some((role, host)) = side.or(role(a)) else {
            return;
        };
        let x = match role {
            Role::Left => host.x1 - host.width() * 0.24 - w / 2.0,
            Role::Right => host.x0 + host.width() * 0.24 + w / 2.0,
            // Off the middle, where names stand.
            _ => host.x0 + host.width() * 0.30,
        };
        let y = ((a.y + b.y) / 2.0).min(host.y1 - h / 2.0 - 3.0).max(host.y0 + h / 2.0 + 2.0);
        let (ya, yb) = (a.y, b.y);
        for (i, run_y) in [(from, ya), (to, yb)] {
            if let Some(Some(r)) = self.runs.get_mut(i) {
                (r.x0, r.x1) = (x, x);
            }
            self.columns.push((x, run_y.min(y), run_y.max(y)));
            self.out.pipes.push(Pipe { points: vec![(x, y), (x, run_y)], width: 0.0 });
        }
        self.out.boxes.push(Rect::new(x - w / 2.0, y - h / 2.0, x + w / 2.0, y + h / 2.0));
        let way = if yb > ya { (0.0, 1.0) } else { (0.0, -1.0) };
        self.out.fans.push(FanMark { at: (x, y), radius: w * 0.33, way });
    }

    /// Air between a duct and a room or the zone around it.
    pub(super) fn duct(&mut self, p: &Passage, duct: usize, zone: usize, out_of_duct: bool) {
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
            let (lo, hi) = self.reach_of_run(run_host, run_y - 20.0);
            let (lo, hi) = (lo.max(r.x0).max(start - 150.0), hi.min(r.x1).min(start + 260.0));
            let x = self.free_x(lo, hi, r.y0, r.y1, start + 40.0);
            self.extend(duct, x);
            let up = run_y - r.y0 > r.y1 - run_y;
            let sign = if up { -1.0 } else { 1.0 };
            let far = (
                x,
                run_y + sign * reach.min(((if up { run_y - r.y0 } else { r.y1 - run_y }) - 2.0).max(14.0)),
            );
            self.columns.push((x, run_y.min(far.1), run_y.max(far.1)));
            let (from, to) = if out_of_duct { ((x, run_y), far) } else { (far, (x, run_y)) };
            return self.add(p, from, to, (x, run_y));
        }
        let host = run_host.and_then(|i| self.place(i)).map(|p| (p.role, p.rect));
        let beside = matches!(host, Some((Role::Left | Role::Right, _))) && place.role == Role::Body;
        if beside && run_y > r.y0 + 6.0 && run_y < r.y1 - 6.0 {
            // Through the wall beside it.
            let wall = if matches!(host, Some((Role::Left, _))) { r.x0 } else { r.x1 };
            let sign = if matches!(host, Some((Role::Left, _))) { 1.0 } else { -1.0 };
            self.extend(duct, wall);
            self.rows.push((wall, run_y));
            let (near, far) = ((wall + sign * 2.0, run_y), (wall + sign * (reach + 10.0), run_y));
            let (from, to) = if out_of_duct { (near, far) } else { (far, near) };
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
        let (lo, hi) = self.reach_of_run(run_host, run_y);
        let (lo, hi) = (lo.max(r.x0), hi.min(r.x1));
        let x = self.free_x(lo, hi, edge + sign * reach, run_y, (r.x0 + r.x1) / 2.0);
        self.columns.push((x, run_y.min(edge + sign * reach), run_y.max(edge + sign * reach)));
        self.extend(duct, x);
        let mouth = edge + sign * 4.0;
        let width = (arrow_width(p.flow.estimate.si, self.largest, self.size) * 0.75).clamp(5.0, 11.0);
        self.out.pipes.push(Pipe { points: vec![(x, run_y), (x, mouth)], width });
        let (near, far) = ((x, mouth), (x, mouth + sign * (reach + 6.0)));
        let (from, to) = if out_of_duct { (near, far) } else { (far, near) };
        self.add(p, from, to, (x, edge));
    }

    pub(super) fn extend(&mut self, duct: usize, x: f64) {
        if let Some(Some(run)) = self.runs.get_mut(duct) {
            run.x0 = run.x0.min(x);
            run.x1 = run.x1.max(x);
        }
    }

    /// Runs as pipes, under the risers.
    pub(super) fn pipes_of_runs(&mut self) {
        let main = if self.size == Size::Wide { 13.0 } else { 9.0 };
        for pipe in self.out.pipes.iter_mut().filter(|p| p.width <= 0.0) {
            pipe.width = main;
        }
        for run in self.runs.iter().flatten() {
            let pad = main / 2.0 - 1.3;
            self.out
                .pipes
                .push(Pipe { points: vec![(run.x0 - pad, run.y), (run.x1 + pad, run.y)], width: main });
        }
    }

    /// A flue from its appliance up through the roof.
    pub(super) fn flue(&mut self, p: &Passage) {
        let (from, to) = self.ends(p);
        let Some(zone) = from.or(to) else { return };
        let Some(place) = self.place(zone).cloned() else {
            return;
        };
        let r = place.rect;
        let (w, h) = if self.size == Size::Wide { (26.0, 56.0) } else { (17.0, 38.0) };
        // In a small room at its wall, so that its name has room beside it.
        let x = if r.width() < 130.0 { r.x1 - w / 2.0 - 7.0 } else { (r.x0 + r.x1) / 2.0 };
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
        let (a, b) = if from.is_some() { (low, high) } else { (high, low) };
        self.add(p, a, b, (x, roof));
    }
}
