//! Ducts, filters, grilles, dampers, stacks and fans on curves as elements.

use super::super::line::{Heat, Line, Sized};
use super::super::{Element, Exponent, Fan, Law, Owner, ParamKind, Part, Place, Scale, normal_of_range};
use super::{Builder, LEAST_SD, winds};
use crate::diag::{Diagnostic, code};
use crate::doc::Sp;
use crate::doc::house::{self as text, DamperKind, Face};
use crate::math;
use crate::network::Resistance;
use std::collections::BTreeMap;

/// How far a fan's rated curve is believed, as a share of its flow, 5 to 95 %. Common practice, no source.
const CURVE_BELIEF: f64 = 0.1;

/// Parts that have found their place, by name.
pub(super) type Placed = BTreeMap<String, crate::diag::Span>;

impl Builder<'_> {
    /// All that has parts; after the zones.
    pub(super) fn with_parts(&mut self, doc: &text::House) {
        let mut placed = Placed::new();
        let alone = (doc.ducts.iter().map(|d| (&d.name, &d.stand)))
            .chain(doc.filters.iter().map(|f| (&f.name, &f.stand)))
            .chain(doc.dampers.iter().map(|d| (&d.name, &d.stand)));
        for (name, stand) in alone.clone() {
            if stand.between.is_some() {
                placed.insert(name.value.clone(), name.span.clone());
            }
        }
        for f in doc.fans.iter().filter(|f| f.parts.curve.is_some()) {
            self.fan_on_curve(f, &mut placed);
        }
        doc.ducts.iter().for_each(|d| self.duct(d, &mut placed));
        doc.filters.iter().for_each(|f| self.filter(f));
        doc.dampers.iter().for_each(|d| self.damper(d));
        doc.grilles.iter().for_each(|g| self.grille(g));
        doc.stacks.iter().for_each(|s| self.stack(s));
        for (name, stand) in alone {
            if stand.between.is_none() && !placed.contains_key(&name.value) {
                self.say(
                    Diagnostic::warning(code::H115).at(name.span.clone()).arg("name", name.value.as_str()),
                );
            }
        }
    }

    fn part(&mut self, name: &Sp<String>, label: &str) -> Owner {
        self.house.parts.push(Part { name: name.value.clone(), label: label.to_owned() });
        Owner::Part(self.house.parts.len() - 1)
    }

    /// Height of a passage between two places.
    fn height(&self, between: [Place; 2], written: Option<f64>) -> f64 {
        written.unwrap_or_else(|| {
            let all = self.heights(between);
            all.iter().sum::<f64>() / all.len() as f64
        })
    }

    fn sized(&mut self, f: &text::Filter) -> Option<Sized> {
        let (lo, hi) = f.drop_pa?;
        let prior = normal_of_range(Scale::Ln, lo, hi, LEAST_SD);
        let drop = self.param((&f.name.value, &f.label), ParamKind::FilterDrop, Scale::Ln, prior);
        Some(Sized { drop, per_pa: Resistance::rated(1.0, f.at_m3_s, f.exponent) })
    }

    /// What stands in a line: the first filter or coil is a parameter, others count by the middle of
    /// their range. Nothing where a name was wrong.
    fn series(
        &mut self,
        names: &[Sp<String>],
        placed: &mut Placed,
    ) -> Option<(Resistance, Option<Sized>, f64)> {
        let doc = self.house.text.clone();
        let (mut fixed, mut sized, mut rise_m) = (Resistance::default(), None, 0.0);
        let mut whole = true;
        for name in names {
            let before = placed.insert(name.value.clone(), name.span.clone());
            if before.is_some() {
                self.say(
                    Diagnostic::error(code::H113)
                        .at(name.span.clone())
                        .at(before)
                        .arg("name", name.value.as_str()),
                );
                whole = false;
                continue;
            }
            if let Some(d) = doc.ducts.iter().find(|d| d.name.value == name.value) {
                whole &= d.resistance.is_some();
                fixed = fixed.and(d.resistance.unwrap_or_default());
                rise_m += d.rise_m;
                if !d.in_line.is_empty() {
                    let (more, inner, up) = self.series(&d.in_line, placed)?;
                    fixed = fixed.and(more);
                    rise_m += up;
                    sized = sized.or(inner);
                }
            } else if let Some(f) = doc.filters.iter().find(|f| f.name.value == name.value) {
                match (sized.is_none(), f.drop_pa) {
                    (true, _) => sized = self.sized(f),
                    (false, Some((lo, hi))) => {
                        let middle = (lo * hi).sqrt();
                        fixed = fixed.and(Resistance::rated(middle, f.at_m3_s, f.exponent));
                    }
                    (false, None) => {}
                }
                whole &= f.drop_pa.is_some();
            } else if let Some(d) = doc.dampers.iter().find(|d| d.name.value == name.value) {
                match (d.kind, d.area_m2) {
                    (DamperKind::Manual(loss), Some(area)) => fixed = fixed.and(Resistance::loss(loss, area)),
                    _ => whole = false,
                }
            } else {
                let known = (doc.ducts.iter().map(|d| d.name.value.as_str()))
                    .chain(doc.filters.iter().map(|f| f.name.value.as_str()))
                    .chain(doc.dampers.iter().map(|d| d.name.value.as_str()));
                self.say(name.unknown("part", known));
                whole = false;
            }
        }
        whole.then_some((fixed, sized, rise_m))
    }

    fn line(&mut self, between: [Place; 2], z_m: f64, owner: Owner, line: Line) {
        let index = self.house.lines.len();
        self.house.lines.push(line);
        self.house.elements.push(Element {
            a: between[0],
            b: between[1],
            z_m,
            law: Law::Line { line: index },
            owner,
        });
    }

    fn fan_on_curve(&mut self, f: &text::Fan, placed: &mut Placed) {
        let ends = [f.from.clone(), f.to.clone()];
        let Some(between) = self.sides(&ends, Face::Roof) else { return };
        let Some((fixed, sized, rise_m)) = self.series(&f.parts.in_line, placed) else { return };
        let Some(curve) = f.parts.curve.clone() else { return };
        let free = curve.flow_m3_s(curve.range_pa().0.max(0.0));
        if free <= 0.0 {
            self.say(Diagnostic::error(code::H112).at(f.name.span.clone()));
            return;
        }
        let (lo, hi) = f.flow_m3_s.unwrap_or((free / (1.0 + CURVE_BELIEF), free * (1.0 + CURVE_BELIEF)));
        let prior = normal_of_range(Scale::Ln, lo, hi, LEAST_SD);
        let flow = self.param((&f.name.value, &f.label), ParamKind::FanFlow, Scale::Ln, prior);
        let fan = self.house.fans.len();
        let line = Line {
            name: f.name.value.clone(),
            label: f.label.clone(),
            fixed,
            sized,
            rise_m,
            fan: Some((fan, curve, free, f.parts.shut_when_off)),
            heat: None,
            hot_s: Vec::new(),
        };
        let z_m = self.height(between, None);
        self.house.fans.push(Fan { text: f.clone(), between, flow });
        self.line(between, z_m, Owner::Fan(fan), line);
    }

    fn duct(&mut self, d: &text::Duct, placed: &mut Placed) {
        let Some(ends) = &d.stand.between else { return };
        let Some(between) = self.sides(ends, d.stand.face) else { return };
        let Some(own) = d.resistance else { return };
        let Some((more, sized, up)) = self.series(&d.in_line, placed) else { return };
        let owner = self.part(&d.name, &d.label);
        let line = Line {
            name: d.name.value.clone(),
            label: d.label.clone(),
            fixed: own.and(more),
            sized,
            rise_m: d.rise_m + up,
            fan: None,
            heat: None,
            hot_s: Vec::new(),
        };
        self.line(between, self.height(between, d.stand.height_m), owner, line);
    }

    fn filter(&mut self, f: &text::Filter) {
        let Some(ends) = &f.stand.between else { return };
        let Some(between) = self.sides(ends, f.stand.face) else { return };
        let Some(sized) = self.sized(f) else { return };
        let owner = self.part(&f.name, &f.label);
        let line = Line {
            name: f.name.value.clone(),
            label: f.label.clone(),
            fixed: Resistance::default(),
            sized: Some(sized),
            rise_m: 0.0,
            fan: None,
            heat: None,
            hot_s: Vec::new(),
        };
        self.line(between, self.height(between, f.stand.height_m), owner, line);
    }

    fn damper(&mut self, d: &text::Damper) {
        let Some(ends) = &d.stand.between else { return };
        let Some(between) = self.sides(ends, d.stand.face) else { return };
        let Some(area) = d.area_m2 else { return };
        let owner = self.part(&d.name, &d.label);
        let z_m = self.height(between, d.stand.height_m);
        match d.kind {
            // A damper alone has the loss of entry and exit too (a half and one: sharp edges).
            DamperKind::Manual(loss) => {
                let line = Line {
                    name: d.name.value.clone(),
                    label: d.label.clone(),
                    fixed: Resistance::loss(loss + 1.5, area),
                    sized: None,
                    rise_m: 0.0,
                    fan: None,
                    heat: None,
                    hot_s: Vec::new(),
                };
                self.line(between, z_m, owner, line);
            }
            DamperKind::Opens { at_pa, leak } => {
                let c = super::area_flow_at50_m3_s(area) / math::pow(50.0, 0.5);
                let law = Law::Damper { c_m3_s_pan: c, closed_c_m3_s_pan: c * leak, opens_pa: at_pa };
                self.house.elements.push(Element { a: between[0], b: between[1], z_m, law, owner });
            }
        }
    }

    fn grille(&mut self, g: &text::Grille) {
        let Some(ends) = &g.stand.between else { return };
        let Some(between) = self.sides(ends, g.stand.face) else { return };
        let Some((lo, hi)) = g.effective_m2 else { return };
        let owner = self.part(&g.name, &g.label);
        // The flow of a free area already has the usual discharge.
        let at50 = |effective: f64| super::area_flow_at50_m3_s(effective / super::AREA_DISCHARGE);
        let prior = normal_of_range(Scale::Ln, at50(lo), at50(hi), LEAST_SD);
        let at50 = self.param((&g.name.value, &g.label), ParamKind::LeakAt50, Scale::Ln, prior);
        let law = Law::Leak { at50, exponent: Exponent::Fixed(0.5), share: 1.0 };
        let z_m = self.height(between, g.stand.height_m);
        self.house.elements.push(Element { a: between[0], b: between[1], z_m, law, owner });
    }

    fn stack(&mut self, s: &text::Stack) {
        let Some(mut between) = self.sides(&s.between, Face::Roof) else { return };
        let Some(fixed) = s.resistance else { return };
        if let Place::Outdoors(_) = between[1] {
            between[1] = Place::Outdoors(winds(Face::Roof)[0]);
        }
        let owner = self.part(&s.name, &s.label);
        let line = Line {
            name: s.name.value.clone(),
            label: s.label.clone(),
            fixed,
            sized: None,
            rise_m: s.top_m - s.bottom_m,
            fan: None,
            heat: Some(Heat { gas_k: s.gas_k, hood: s.hood }),
            hot_s: s.hot_s.clone(),
        };
        self.line(between, s.bottom_m, owner, line);
    }
}
