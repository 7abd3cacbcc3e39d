//! Where zones, walls, roof and ground stand on the drawing.

use crate::figure::canvas::Rect;
use crate::figure::{NARROW_PX, Size, WIDE_PX};
use crate::view::{HouseDrawing, PassageKind, Zone, ZoneKind};
use engine::math::{max_valid, min_valid};

/// What part of the house a zone belongs to on the drawing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Role {
    Body,
    Roof,
    Left,
    Right,
    Ground,
}

/// A zone on the drawing.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Place {
    pub(super) role: Role,
    /// The box that labels and arrows use.
    pub(super) rect: Rect,
    /// The shape that is filled.
    pub(super) outline: Vec<(f64, f64)>,
}

/// The drawing without its air.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Layout {
    pub(super) width: f64,
    pub(super) height: f64,
    pub(super) grade_y: f64,
    /// Left and right of the main body.
    pub(super) body: (f64, f64),
    pub(super) eaves_y: f64,
    pub(super) foot_y: f64,
    pub(super) ridge: Option<(f64, f64)>,
    /// One entry a zone; ducts have none.
    pub(super) places: Vec<Option<Place>>,
    pub(super) thick: Vec<Rect>,
    pub(super) thin: Vec<Rect>,
    levels: Vec<(f64, f64)>,
    px_per_m: f64,
}

impl Layout {
    /// Pixel of a height over grade.
    pub(super) fn y(&self, height_m: f64) -> f64 {
        height_to_px(&self.levels, self.px_per_m, height_m)
    }

    /// The roof's line over a place, or the eaves outside of it.
    pub(super) fn roof_y(&self, x: f64) -> f64 {
        let Some((ridge_x, ridge_y)) = self.ridge else {
            return self.eaves_y;
        };
        let half = (self.body.1 - self.body.0) / 2.0;
        let part = ((x - ridge_x).abs() / half).min(1.0);
        ridge_y + part * (self.eaves_y - ridge_y)
    }
}

struct Room {
    margin: f64,
    px_per_m: f64,
    least: f64,
    /// Least height of a zone that holds ducts.
    ducts: f64,
    roof: f64,
    /// Largest width of a garage against the body.
    side: f64,
    /// Least share of its storey for a room, and for a closet: names and arrows have to stand in it.
    room: f64,
    closet: f64,
}

fn height_to_px(levels: &[(f64, f64)], px_per_m: f64, h: f64) -> f64 {
    let (Some(first), Some(last)) = (levels.first(), levels.last()) else {
        return 0.0;
    };
    if h <= first.0 {
        return first.1 + (first.0 - h) * px_per_m;
    }
    match levels.windows(2).find(|w| h <= w[1].0) {
        Some(w) => w[0].1 + (h - w[0].0) / (w[1].0 - w[0].0) * (w[1].1 - w[0].1),
        None => last.1 - (h - last.0) * px_per_m,
    }
}

/// Heights against pixels: to scale, but no storey lower than its words need.
fn levels(zones: &[&Zone], holds_ducts: &dyn Fn(&Zone) -> bool, room: &Room, top: f64) -> Vec<(f64, f64)> {
    let mut heights: Vec<f64> =
        zones.iter().flat_map(|z| [z.floor_m, z.ceiling_m]).filter(|h| h.is_finite()).collect();
    if heights.is_empty() {
        heights.push(0.0);
    }
    heights.sort_by(f64::total_cmp);
    heights.dedup_by(|a, b| (*a - *b).abs() < 0.02);
    let mut y = 0.0;
    let mut list = vec![(heights[0], y)];
    for w in heights.windows(2) {
        let span = w[1] - w[0];
        let to_scale = span * room.px_per_m;
        // A thin slab between a ceiling and the next floor stays thin.
        let inside = |z: &&&Zone| z.floor_m < w[1] - 0.02 && z.ceiling_m > w[0] + 0.02;
        let ducts = zones.iter().filter(inside).any(|z| z.kind == ZoneKind::Ground && holds_ducts(z));
        let step = match () {
            () if span < 0.5 => to_scale.min(10.0),
            () if ducts => to_scale.max(room.ducts),
            () => to_scale.max(room.least),
        };
        y -= step;
        list.push((w[1], y));
    }
    let lift = top - y;
    list.iter_mut().for_each(|l| l.1 += lift);
    list
}

/// Lays out the zones.
pub(super) fn layout(house: &HouseDrawing, size: Size) -> Layout {
    let room = match size {
        Size::Narrow => Room {
            margin: 38.0,
            px_per_m: 46.0,
            least: 44.0,
            ducts: 84.0,
            roof: 92.0,
            side: 0.4,
            room: 0.28,
            closet: 0.22,
        },
        Size::Wide => Room {
            margin: 78.0,
            px_per_m: 54.0,
            least: 54.0,
            ducts: 104.0,
            roof: 128.0,
            side: 0.6,
            room: 0.27,
            closet: 0.18,
        },
    };
    let width = match size {
        Size::Narrow => NARROW_PX,
        Size::Wide => WIDE_PX,
    };
    let roles = roles(&house.zones);
    let of =
        |role: Role| -> Vec<usize> { (0..house.zones.len()).filter(|i| roles[*i] == Some(role)).collect() };
    let (attics, left, right, ground) = (of(Role::Roof), of(Role::Left), of(Role::Right), of(Role::Ground));
    let body = of(Role::Body);

    // Widths: the body takes what the sides leave.
    let mut storeys = storeys(&house.zones, &body);
    for storey in &mut storeys {
        *storey = by_neighbours(house, storey, &left, &right);
    }
    let body_m = max_valid(storeys.iter().map(|s| s.iter().map(|i| house.zones[*i].width).sum::<f64>()))
        .unwrap_or(1.0);
    let side_share = |list: &[usize]| -> f64 {
        if list.is_empty() {
            return 0.0;
        }
        let w = max_valid(list.iter().map(|i| house.zones[*i].width)).unwrap_or(0.0);
        (w / body_m.max(1e-9)).clamp(0.34, room.side)
    };
    let (l, r) = (side_share(&left), side_share(&right));
    let inner = width - 2.0 * room.margin;
    let body_px = inner / (1.0 + l + r);
    let x0 = room.margin + l * body_px;
    let x1 = x0 + body_px;

    let top_margin = if attics.is_empty() { 56.0 } else { room.roof + 44.0 };
    let measured: Vec<&Zone> = body.iter().chain(&ground).map(|i| &house.zones[*i]).collect();
    let body_top = max_valid(body.iter().map(|i| house.zones[*i].ceiling_m)).unwrap_or(2.5);
    let holds_ducts = |z: &Zone| {
        house.zones.iter().any(|d| d.kind == ZoneKind::Duct && d.inside.as_deref() == Some(z.id.as_str()))
    };
    let levels = levels(&measured, &holds_ducts, &room, top_margin);
    let y = |h: f64| height_to_px(&levels, room.px_per_m, h);
    let eaves_y = y(body_top);
    let lowest = min_valid(body.iter().chain(&ground).map(|i| house.zones[*i].floor_m)).unwrap_or(0.0);
    let grade_y = y(0.0);
    let foot = y(lowest);
    let height = foot.max(grade_y) + if ground.is_empty() { 44.0 } else { 22.0 };
    let ridge = (!attics.is_empty()).then(|| ((x0 + x1) / 2.0, eaves_y - room.roof));

    let mut out = Layout {
        width,
        height,
        grade_y,
        body: (x0, x1),
        eaves_y,
        foot_y: foot,
        ridge,
        places: vec![None; house.zones.len()],
        thick: Vec::new(),
        thin: Vec::new(),
        levels,
        px_per_m: room.px_per_m,
    };
    rows(&mut out, house, &storeys, Role::Body, &room);
    rows(&mut out, house, std::slice::from_ref(&ground), Role::Ground, &room);
    roof(&mut out, house, &attics);
    side(&mut out, house, &left, Role::Left, x0 - l * body_px);
    side(&mut out, house, &right, Role::Right, x1 + r * body_px);
    shell(&mut out, house, lowest, !ground.is_empty());
    out
}

fn roles(zones: &[Zone]) -> Vec<Option<Role>> {
    let lived = |z: &&Zone| matches!(z.kind, ZoneKind::Living | ZoneKind::Closet);
    let top = max_valid(zones.iter().filter(lived).map(|z| z.ceiling_m));
    let mut sides = 0;
    zones
        .iter()
        .map(|z| match z.kind {
            ZoneKind::Living | ZoneKind::Closet => Some(Role::Body),
            ZoneKind::Ground => Some(Role::Ground),
            ZoneKind::Duct => None,
            ZoneKind::Buffer if top.is_some_and(|t| z.floor_m > t - 0.6) => Some(Role::Roof),
            ZoneKind::Buffer => {
                sides += 1;
                Some(if sides % 2 == 1 { Role::Left } else { Role::Right })
            }
        })
        .collect()
}

fn storeys(zones: &[Zone], body: &[usize]) -> Vec<Vec<usize>> {
    let mut numbers: Vec<i32> = body.iter().map(|i| zones[*i].storey).collect();
    numbers.sort_unstable();
    numbers.dedup();
    numbers.iter().map(|n| body.iter().copied().filter(|i| zones[*i].storey == *n).collect()).collect()
}

/// The rooms of a storey in the order in which air crosses fewest rooms that it does not enter, and
/// most rooms with outside leaks have an outside wall; as given where that is no better.
fn by_neighbours(house: &HouseDrawing, storey: &[usize], left: &[usize], right: &[usize]) -> Vec<usize> {
    if storey.len() < 3 || storey.len() > 6 {
        return storey.to_vec();
    }
    let zone = |id: &str| house.zones.iter().position(|z| z.id == id);
    let ends: Vec<(Option<usize>, Option<usize>, PassageKind)> =
        house.passages.iter().map(|p| (zone(&p.from), zone(&p.to), p.kind)).collect();
    let last = storey.len() - 1;
    let cost = |order: &[usize]| -> usize {
        let at = |i: usize| order.iter().position(|o| *o == i);
        let mut cost = 0;
        for (a, b, kind) in &ends {
            cost += match (a.and_then(at), b.and_then(at)) {
                (Some(x), Some(y)) => 3 * x.abs_diff(y).saturating_sub(1),
                (Some(x), None) | (None, Some(x)) => match a.filter(|i| at(*i).is_none()).or(*b) {
                    Some(other) if left.contains(&other) => 2 * x,
                    Some(other) if right.contains(&other) => 2 * (last - x),
                    _ => usize::from(
                        (a.is_none() || b.is_none()) && *kind != PassageKind::Flue && x > 0 && x < last,
                    ),
                },
                (None, None) => 0,
            };
        }
        let moved: usize =
            (0..order.len()).map(|i| (0..i).filter(|j| at(storey[*j]) > at(storey[i])).count()).sum();
        // Moving rooms about is worth less than any crossing.
        cost * 100 + moved
    };
    let mut best = storey.to_vec();
    for order in orders(storey) {
        if cost(&order) < cost(&best) {
            best = order;
        }
    }
    best
}

fn orders(list: &[usize]) -> Vec<Vec<usize>> {
    if list.len() < 2 {
        return vec![list.to_vec()];
    }
    let mut all = Vec::new();
    for (i, first) in list.iter().enumerate() {
        let rest: Vec<usize> = list.iter().enumerate().filter(|(j, _)| *j != i).map(|(_, x)| *x).collect();
        all.extend(orders(&rest).into_iter().map(|o| std::iter::once(*first).chain(o).collect()));
    }
    all
}

/// Shares of a width by size, none below its least; what the small ones get comes from the others.
fn shares(sizes: &[f64], least: &[f64]) -> Vec<f64> {
    let wanted: f64 = least.iter().sum();
    let scale = if wanted > 1.0 { 1.0 / wanted } else { 1.0 };
    let least: Vec<f64> = least.iter().map(|l| l * scale).collect();
    let mut fixed = vec![false; sizes.len()];
    loop {
        let free: f64 = 1.0 - (0..sizes.len()).filter(|i| fixed[*i]).map(|i| least[i]).sum::<f64>();
        let total: f64 = (0..sizes.len()).filter(|i| !fixed[*i]).map(|i| sizes[i]).sum::<f64>().max(1e-9);
        let share = |i: usize| if fixed[i] { least[i] } else { free * sizes[i] / total };
        match (0..sizes.len()).find(|i| !fixed[*i] && share(*i) < least[*i]) {
            Some(i) => fixed[i] = true,
            None => return (0..sizes.len()).map(share).collect(),
        }
    }
}

/// Zones side by side over the width of the body.
fn rows(out: &mut Layout, house: &HouseDrawing, storeys: &[Vec<usize>], role: Role, room: &Room) {
    let (x0, x1) = out.body;
    for storey in storeys {
        let sizes: Vec<f64> = storey.iter().map(|i| house.zones[*i].width.max(1e-6)).collect();
        let least: Vec<f64> = storey
            .iter()
            .map(|i| if house.zones[*i].kind == ZoneKind::Closet { room.closet } else { room.room })
            .collect();
        let shares = shares(&sizes, &least);
        let mut x = x0;
        for (n, i) in storey.iter().enumerate() {
            let zone = &house.zones[*i];
            let w = (x1 - x0) * shares[n];
            let rect = Rect::new(x, out.y(zone.ceiling_m), x + w, out.y(zone.floor_m));
            if n > 0 {
                out.thin.push(Rect { x0: x, y0: rect.y0, x1: x, y1: rect.y1 });
            }
            out.places[*i] = Some(Place { role, rect, outline: corners(&rect) });
            x += w;
        }
    }
}

fn corners(r: &Rect) -> Vec<(f64, f64)> {
    vec![(r.x0, r.y0), (r.x1, r.y0), (r.x1, r.y1), (r.x0, r.y1)]
}

fn roof(out: &mut Layout, house: &HouseDrawing, attics: &[usize]) {
    let Some((ridge_x, ridge_y)) = out.ridge else {
        return;
    };
    let (x0, x1) = out.body;
    let total: f64 = attics.iter().map(|i| house.zones[*i].width.max(1e-6)).sum();
    let mut x = x0;
    for (n, i) in attics.iter().enumerate() {
        let w = (x1 - x0) * house.zones[*i].width.max(1e-6) / total;
        let (a, b) = (x, x + w);
        let mut outline = vec![(a, out.eaves_y), (a, out.roof_y(a))];
        if a < ridge_x && b > ridge_x {
            outline.push((ridge_x, ridge_y));
        }
        outline.extend([(b, out.roof_y(b)), (b, out.eaves_y)]);
        if n > 0 {
            out.thin.push(Rect { x0: a, y0: out.roof_y(a), x1: a, y1: out.eaves_y });
        }
        out.places[*i] =
            Some(Place { role: Role::Roof, rect: Rect::new(a, ridge_y, b, out.eaves_y), outline });
        x = b;
    }
}

fn side(out: &mut Layout, house: &HouseDrawing, list: &[usize], role: Role, outer: f64) {
    let wall = if role == Role::Left { out.body.0 } else { out.body.1 };
    for i in list {
        let zone = &house.zones[*i];
        let (top, foot) = (out.y(zone.ceiling_m), out.y(zone.floor_m));
        let rise = 24.0;
        let high = (top - rise).max(out.eaves_y + 4.0).min(top);
        let rect = Rect::new(outer, top, wall, foot);
        let outline = vec![(outer, top), (wall, high), (wall, foot), (outer, foot)];
        out.thin.push(Rect { x0: outer, y0: top, x1: outer, y1: foot });
        out.thin.push(Rect { x0: outer, y0: foot, x1: wall, y1: foot });
        let out_by = if wall > outer { -12.0 } else { 12.0 };
        let slope = (top - high) / (outer - wall).abs().max(1.0);
        out.thin.push(Rect { x0: outer + out_by, y0: top + slope * 12.0, x1: wall, y1: high });
        out.places[*i] = Some(Place { role, rect, outline });
    }
}

/// Outer walls, floors and the top ceiling.
fn shell(out: &mut Layout, house: &HouseDrawing, lowest_m: f64, has_ground: bool) {
    let (x0, x1) = out.body;
    let foot = out.y(lowest_m);
    for x in [x0, x1] {
        out.thick.push(Rect { x0: x, y0: out.eaves_y, x1: x, y1: foot });
    }
    out.thick.push(Rect { x0, y0: out.eaves_y, x1, y1: out.eaves_y });
    let mut floors: Vec<f64> = Vec::new();
    for (zone, place) in house.zones.iter().zip(&out.places) {
        if let Some(p) = place
            && p.role == Role::Body
            && !floors.iter().any(|f| (f - zone.floor_m).abs() < 0.3)
        {
            floors.push(zone.floor_m);
        }
    }
    floors.sort_by(f64::total_cmp);
    for (n, floor) in floors.iter().enumerate() {
        let y = out.y(*floor);
        let edge = Rect { x0, y0: y, x1, y1: y };
        // The lowest floor is where air is meant to stop; those between storeys are not.
        if n == 0 { out.thick.push(edge) } else { out.thin.push(edge) }
    }
    if has_ground {
        out.thin.push(Rect { x0, y0: foot, x1, y1: foot });
    }
}
