//! From `house.toml` to [`House`]: names to indices, ranges to priors, groups to elements, and the
//! checks that need the whole house.

mod parts;

use super::priors::{AREA_DISCHARGE, COMMON_EXPONENT, EXPONENT_OWN_SD, OPENING_EXPONENT, normal_of_range};
use super::{
    AirHandler, Appliance, Door, Element, Exponent, Fan, House, Law, Leak, Owner, Param, ParamKind, Place,
    ROOF, Scale, Zone,
};
use crate::air::REFERENCE_DENSITY_KG_M3;
use crate::diag::{Diagnostic, code};
use crate::doc::house::{self as text, Face, Size};
use crate::doc::{Sink, Sp};
use crate::units::Quantity;
use std::collections::BTreeMap;

const N_SCALE: Scale = Scale::Logit { lo: 0.5, hi: 1.0 };
const SHARE_SCALE: Scale = Scale::Logit { lo: 0.0, hi: 1.0 };
/// Narrowest prior sd of a logarithm: a number typed without a range is believed to 3 %.
const LEAST_SD: f64 = 0.02;

/// Resolves the document. What cannot be resolved is reported and left out.
pub fn build(doc: &text::House, sink: &Sink) -> House {
    let mut b = Builder {
        sink,
        common_exponent: None,
        house: House {
            text: doc.clone(),
            zones: Vec::new(),
            params: Vec::new(),
            elements: Vec::new(),
            leaks: Vec::new(),
            doors: Vec::new(),
            fans: Vec::new(),
            lines: Vec::new(),
            parts: Vec::new(),
            air_handler: None,
            appliances: Vec::new(),
        },
    };
    b.unique_names(doc);
    doc.zones.iter().for_each(|z| b.zone(z));
    doc.leaks.iter().for_each(|l| b.leak(l));
    doc.doors.iter().for_each(|d| b.door(d));
    doc.fans.iter().filter(|f| f.parts.curve.is_none()).for_each(|f| b.fan(f));
    b.with_parts(doc);
    doc.appliances.iter().for_each(|a| b.appliance(a));
    if let Some(handler) = &doc.air_handler {
        b.air_handler(handler);
    }
    b.other_references(doc);
    // A zone whose only leak was written wrongly is not isolated; that mistake stands on its own.
    let whole = doc.zones.len() == b.house.zones.len()
        && doc.leaks.len() == b.house.leaks.len()
        && doc.doors.len() == b.house.doors.len();
    if whole && !b.house_errors() {
        b.isolated();
    }
    b.house
}

struct Builder<'s> {
    sink: &'s Sink,
    common_exponent: Option<usize>,
    house: House,
}

impl Builder<'_> {
    fn say(&self, diagnostic: Diagnostic) {
        self.sink.borrow_mut().push(diagnostic);
    }

    fn house_errors(&self) -> bool {
        let file = &self.house.text.span.file;
        self.sink.borrow().list.iter().any(|d| {
            d.severity == crate::diag::Severity::Error && d.spans.first().is_some_and(|s| s.file == *file)
        })
    }

    fn unique_names(&self, doc: &text::House) {
        let mut seen: BTreeMap<&str, &Sp<String>> = BTreeMap::new();
        let all = (doc.zones.iter().map(|z| &z.name))
            .chain(doc.leaks.iter().map(|l| &l.name))
            .chain(doc.doors.iter().map(|d| &d.name))
            .chain(doc.fans.iter().map(|f| &f.name))
            .chain(doc.ducts.iter().map(|d| &d.name))
            .chain(doc.filters.iter().map(|f| &f.name))
            .chain(doc.grilles.iter().map(|g| &g.name))
            .chain(doc.dampers.iter().map(|d| &d.name))
            .chain(doc.stacks.iter().map(|s| &s.name))
            .chain(doc.appliances.iter().map(|a| &a.name))
            .chain(doc.air_handler.iter().flat_map(|h| h.registers.iter().map(|r| &r.name)));
        for name in all {
            let taken = matches!(name.value.as_str(), "outdoors" | "ground" | "test_fan" | "air_handler");
            let before = seen.insert(&name.value, name);
            if taken || before.is_some() {
                self.say(
                    Diagnostic::error(code::T010)
                        .at(name.span.clone())
                        .at(before.map(|b| b.span.clone()))
                        .arg("name", name.value.as_str()),
                );
            }
        }
    }

    fn zone(&mut self, z: &text::Zone) {
        if z.ceiling_m <= z.floor_m {
            self.say(
                Diagnostic::error(code::H101)
                    .at(z.name.span.clone())
                    .arg("zone", z.label.as_str())
                    .arg("floor", (z.floor_m, Quantity::Length))
                    .arg("ceiling", (z.ceiling_m, Quantity::Length)),
            );
            return;
        }
        let (Some(volume_m3), Some(floor_area_m2)) = (z.volume_m3, z.floor_area_m2) else { return };
        // A sloped attic may hold a third of the box; more than half again is a typing error.
        let boxed = floor_area_m2 * (z.ceiling_m - z.floor_m);
        if volume_m3 > 1.5 * boxed || volume_m3 < 0.25 * boxed {
            self.say(
                Diagnostic::warning(code::H102)
                    .at(z.name.span.clone())
                    .arg("zone", z.label.as_str())
                    .arg("volume", (volume_m3, Quantity::Volume))
                    .arg("boxed", (boxed, Quantity::Volume)),
            );
        }
        self.house.zones.push(Zone {
            name: z.name.value.clone(),
            label: z.label.clone(),
            kind: z.kind,
            volume_m3,
            floor_area_m2,
            floor_m: z.floor_m,
            ceiling_m: z.ceiling_m,
            span: z.name.span.clone(),
        });
    }

    fn zone_index(&self, name: &Sp<String>) -> Option<usize> {
        let found = self.house.zone(&name.value);
        // A zone that was itself written wrongly is reported once, where it stands.
        let written = self.house.text.zones.iter().any(|z| z.name.value == name.value);
        if found.is_none() && !written {
            let known = self.house.text.zones.iter().map(|z| z.name.value.as_str());
            self.say(name.unknown("zone", known));
        }
        found
    }

    fn place(&self, name: &Sp<String>, face: Face) -> Option<Place> {
        if name.value == "outdoors" {
            return Some(Place::Outdoors(winds(face).first().copied().unwrap_or(0)));
        }
        self.zone_index(name).map(Place::Zone)
    }

    fn sides(&self, between: &[Sp<String>; 2], face: Face) -> Option<[Place; 2]> {
        let a = self.place(&between[0], face);
        let b = self.place(&between[1], face);
        let (a, b) = (a?, b?);
        let same = match (a, b) {
            (Place::Outdoors(_), Place::Outdoors(_)) => true,
            _ => a == b,
        };
        if same {
            self.say(
                Diagnostic::error(code::H103)
                    .at(between[1].span.clone())
                    .arg("name", between[1].value.as_str()),
            );
            return None;
        }
        Some([a, b])
    }

    fn param(&mut self, of: (&str, &str), kind: ParamKind, scale: Scale, (mean, sd): (f64, f64)) -> usize {
        self.house.params.push(Param {
            name: of.0.to_owned(),
            label: of.1.to_owned(),
            kind,
            scale,
            mean,
            sd,
        });
        self.house.params.len() - 1
    }

    fn shared_exponent(&mut self, of: (&str, &str)) -> Exponent {
        let common = match self.common_exponent {
            Some(p) => p,
            None => {
                let (_, lo, hi) = COMMON_EXPONENT;
                let prior = normal_of_range(N_SCALE, lo, hi, LEAST_SD);
                let p = self.param(("", ""), ParamKind::CommonExponent, N_SCALE, prior);
                self.common_exponent = Some(p);
                p
            }
        };
        let own = self.param(of, ParamKind::Exponent, N_SCALE, (0.0, EXPONENT_OWN_SD));
        Exponent::Shared { common, own }
    }

    fn leak(&mut self, l: &text::Leak) {
        let Some(between) = self.sides(&l.between, l.face) else { return };
        let of = (l.name.value.as_str(), l.label.as_str());
        let Some(size) = l.size else { return };
        let (range, exponent) = match size {
            Size::At50 { lo_m3_s, hi_m3_s } => {
                let exponent = match l.exponent {
                    Some((lo, hi)) if hi > lo && lo > 0.5 && hi < 1.0 => Exponent::Own(self.param(
                        of,
                        ParamKind::Exponent,
                        N_SCALE,
                        normal_of_range(N_SCALE, lo, hi, LEAST_SD),
                    )),
                    Some((n, _)) => Exponent::Fixed(n),
                    None => self.shared_exponent(of),
                };
                ((lo_m3_s, hi_m3_s), exponent)
            }
            Size::Area { lo_m2, hi_m2 } => {
                let (lo, hi) = OPENING_EXPONENT;
                let prior = normal_of_range(N_SCALE, lo, hi, LEAST_SD);
                let exponent = Exponent::Own(self.param(of, ParamKind::Exponent, N_SCALE, prior));
                ((area_flow_at50_m3_s(lo_m2), area_flow_at50_m3_s(hi_m2)), exponent)
            }
        };
        let prior = normal_of_range(Scale::Ln, range.0, range.1, LEAST_SD);
        let at50 = self.param(of, ParamKind::LeakAt50, Scale::Ln, prior);
        let index = self.house.leaks.len();
        let spots = self.spots(between, l.face, l.height_m);
        for (a, b, z_m) in &spots {
            self.house.elements.push(Element {
                a: *a,
                b: *b,
                z_m: *z_m,
                law: Law::Leak { at50, exponent, share: 1.0 / spots.len() as f64 },
                owner: Owner::Leak(index),
            });
        }
        self.house.leaks.push(Leak {
            name: l.name.value.clone(),
            label: l.label.clone(),
            between,
            at50,
            exponent,
            span: l.name.span.clone(),
        });
    }

    /// Where the parts of a leak lie: faces of the wind times heights.
    fn spots(&self, between: [Place; 2], face: Face, height_m: Option<f64>) -> Vec<(Place, Place, f64)> {
        let heights = match height_m {
            Some(h) => vec![h],
            None => self.heights(between),
        };
        let faces: &[usize] =
            if between.iter().any(|p| matches!(p, Place::Outdoors(_))) { winds(face) } else { &[0] };
        let mut spots = Vec::new();
        for wind in faces {
            for z in &heights {
                let on = |p: Place| match p {
                    Place::Outdoors(_) => Place::Outdoors(*wind),
                    zone => zone,
                };
                spots.push((on(between[0]), on(between[1]), *z));
            }
        }
        spots
    }

    /// One height for a floor, ceiling or low wall; two for a wall of a storey, a fifth from its
    /// ends, which keeps mean and spread of an evenly leaky wall (exact would be 0.211).
    fn heights(&self, between: [Place; 2]) -> Vec<f64> {
        let z = |p: Place| match p {
            Place::Zone(z) => Some((self.house.zones[z].floor_m, self.house.zones[z].ceiling_m)),
            Place::Outdoors(_) => None,
        };
        let (lo, hi) = match (z(between[0]), z(between[1])) {
            (Some(a), Some(b)) => {
                let lo = if a.0 > b.0 { a.0 } else { b.0 };
                let hi = if a.1 < b.1 { a.1 } else { b.1 };
                if hi - lo < 0.3 {
                    return vec![(lo + hi) / 2.0];
                }
                (lo, hi)
            }
            (Some(one), None) | (None, Some(one)) => one,
            (None, None) => return vec![0.0],
        };
        if hi - lo < 1.3 {
            return vec![(lo + hi) / 2.0];
        }
        vec![lo + 0.211 * (hi - lo), hi - 0.211 * (hi - lo)]
    }

    fn door(&mut self, d: &text::Door) {
        let Some(between) = self.sides(&d.between, d.face) else { return };
        let of = (d.name.value.as_str(), d.label.as_str());
        let Some((lo, hi)) = d.gap_m2 else { return };
        let prior = normal_of_range(Scale::Ln, lo, hi, LEAST_SD);
        let gap = self.param(of, ParamKind::Gap, Scale::Ln, prior);
        let (horizontal, plane) = match between {
            [Place::Zone(a), Place::Zone(b)] => {
                let (a, b) = (&self.house.zones[a], &self.house.zones[b]);
                let (low, high) = if a.floor_m < b.floor_m { (a, b) } else { (b, a) };
                (low.ceiling_m - high.floor_m < 0.3, high.floor_m)
            }
            [Place::Zone(z), _] | [_, Place::Zone(z)] => (false, self.house.zones[z].floor_m),
            _ => (false, 0.0),
        };
        let bottom_m = d.bottom_m.unwrap_or(plane);
        let door = self.house.doors.len();
        self.house.elements.push(Element {
            a: between[0],
            b: between[1],
            z_m: bottom_m,
            law: Law::Door { door },
            owner: Owner::Door(door),
        });
        self.house.doors.push(Door { text: d.clone(), between, gap, horizontal, bottom_m });
    }

    fn fan(&mut self, f: &text::Fan) {
        let ends = [f.from.clone(), f.to.clone()];
        let Some(between) = self.sides(&ends, Face::Roof) else { return };
        if !between.iter().any(|p| matches!(p, Place::Outdoors(_))) {
            self.say(Diagnostic::error(code::H107).at(f.name.span.clone()).arg("name", f.label.as_str()));
            return;
        }
        if let Some(part) = f.parts.in_line.first() {
            self.say(Diagnostic::error(code::H116).at(part.span.clone()).arg("name", f.label.as_str()));
        }
        let of = (f.name.value.as_str(), f.label.as_str());
        let Some((lo, hi)) = f.flow_m3_s else { return };
        let prior = normal_of_range(Scale::Ln, lo, hi, LEAST_SD);
        let flow = self.param(of, ParamKind::FanFlow, Scale::Ln, prior);
        let fan = self.house.fans.len();
        self.house.elements.push(Element {
            a: between[0],
            b: between[1],
            z_m: 0.0,
            law: Law::Fan { fan },
            owner: Owner::Fan(fan),
        });
        self.house.fans.push(Fan { text: f.clone(), between, flow });
    }

    fn appliance(&mut self, a: &text::Appliance) {
        let Some(zone) = self.zone_index(&a.zone) else { return };
        let index = self.house.appliances.len();
        if let Some((lo, hi)) = a.flue_m2 {
            let of = (a.name.value.as_str(), a.label.as_str());
            let prior =
                normal_of_range(Scale::Ln, area_flow_at50_m3_s(lo), area_flow_at50_m3_s(hi), LEAST_SD);
            let at50 = self.param(of, ParamKind::LeakAt50, Scale::Ln, prior);
            // The cold flue stands full of the zone's air, so its opening counts at the top.
            self.house.elements.push(Element {
                a: Place::Zone(zone),
                b: Place::Outdoors(ROOF),
                z_m: a.flue_top_m,
                law: Law::Leak { at50, exponent: Exponent::Fixed(0.5), share: 1.0 },
                owner: Owner::Flue(index),
            });
        } else if a.draft == text::Draft::Natural {
            self.say(Diagnostic::warning(code::H104).at(a.name.span.clone()).arg("name", a.label.as_str()));
        }
        self.house.appliances.push(Appliance {
            name: a.name.value.clone(),
            label: a.label.clone(),
            zone,
            draft: a.draft,
            span: a.name.span.clone(),
        });
    }

    fn air_handler(&mut self, h: &text::AirHandler) {
        let Some(zone) = self.zone_index(&h.zone) else { return };
        let of = ("air_handler", "");
        let flow_prior = normal_of_range(Scale::Ln, h.flow_m3_s.0, h.flow_m3_s.1, LEAST_SD);
        let flow = self.param(of, ParamKind::HandlerFlow, Scale::Ln, flow_prior);
        let share = |(lo, hi): (f64, f64)| {
            let inside = |x: f64| x.clamp(0.002, 0.998);
            normal_of_range(SHARE_SCALE, inside(lo), inside(hi), 0.05)
        };
        let supply_leak =
            self.param(("supply_leak", ""), ParamKind::DuctLeak, SHARE_SCALE, share(h.supply_leak));
        let return_leak =
            self.param(("return_leak", ""), ParamKind::DuctLeak, SHARE_SCALE, share(h.return_leak));
        let mut registers = Vec::new();
        for r in &h.registers {
            let Some(to) = self.zone_index(&r.zone) else { continue };
            let least = 1e-3;
            let at_least = |x: f64| if x > least { x } else { least };
            let prior = normal_of_range(Scale::Ln, at_least(r.share.0), at_least(r.share.1), LEAST_SD);
            let of = (r.name.value.as_str(), r.label.as_str());
            let weight = self.param(of, ParamKind::RegisterWeight, Scale::Ln, prior);
            let register = registers.len();
            let (a, b) = if r.supply { (zone, to) } else { (to, zone) };
            if a != b {
                self.house.elements.push(Element {
                    a: Place::Zone(a),
                    b: Place::Zone(b),
                    z_m: 0.0,
                    law: Law::Register { register },
                    owner: Owner::Register(register),
                });
            }
            registers.push((to, r.supply, weight));
        }
        for supply in [true, false] {
            if !registers.iter().any(|r| r.1 == supply) {
                self.say(
                    Diagnostic::error(code::H105)
                        .at(h.span.clone())
                        .arg("side", if supply { "supply" } else { "return" }),
                );
                return;
            }
        }
        self.house.air_handler =
            Some(AirHandler { text: h.clone(), zone, flow, supply_leak, return_leak, registers });
    }

    /// Names in tables that need no element of their own.
    fn other_references(&self, doc: &text::House) {
        for s in &doc.surfaces {
            for end in s.between.iter().filter(|e| e.value != "outdoors" && e.value != "ground") {
                self.zone_index(end);
            }
        }
        let zones = (doc.windows.iter().map(|w| &w.zone))
            .chain(doc.people.iter().flat_map(|p| [&p.sleep_in, &p.day_in]))
            .chain(doc.sources.iter().map(|s| &s.zone))
            .chain(doc.dehumidifier.iter().map(|d| &d.zone))
            .chain(
                doc.air_handler
                    .iter()
                    .flat_map(|h| &h.ducts)
                    .map(|d| &d.zone)
                    .filter(|z| z.value != "outdoors"),
            )
            .chain(doc.machines.zones());
        for zone in zones {
            self.zone_index(zone);
        }
    }

    /// Every zone needs a way to outdoors over something that is not a fan.
    fn isolated(&self) {
        let mut reached = vec![false; self.house.zones.len()];
        let mut changed = true;
        while changed {
            changed = false;
            for e in &self.house.elements {
                let ties = match e.law {
                    Law::Leak { .. } | Law::Door { .. } | Law::Damper { .. } => true,
                    Law::Line { line } => self.house.lines[line].ties(),
                    Law::Fan { .. } | Law::Register { .. } => false,
                };
                if !ties {
                    continue;
                }
                let is_out = |p: Place| match p {
                    Place::Outdoors(_) => true,
                    Place::Zone(z) => reached[z],
                };
                let (a, b) = (is_out(e.a), is_out(e.b));
                for (near, far) in [(a, e.b), (b, e.a)] {
                    if let (true, Place::Zone(z)) = (near, far)
                        && !reached[z]
                    {
                        reached[z] = true;
                        changed = true;
                    }
                }
            }
        }
        for (zone, reached) in self.house.zones.iter().zip(reached) {
            if !reached {
                self.say(
                    Diagnostic::error(code::H106).at(zone.span.clone()).arg("zone", zone.label.as_str()),
                );
            }
        }
    }
}

/// Wind indices of a face.
fn winds(face: Face) -> &'static [usize] {
    match face {
        Face::All => &[0, 1, 2, 3],
        Face::Front => &[0],
        Face::Right => &[1],
        Face::Back => &[2],
        Face::Left => &[3],
        Face::Roof => &[ROOF],
    }
}

/// Flow at 50 Pa and reference density through a free area, m3/s.
pub(super) fn area_flow_at50_m3_s(area_m2: f64) -> f64 {
    AREA_DISCHARGE * area_m2 * (2.0 * 50.0 / REFERENCE_DENSITY_KG_M3).sqrt()
}
