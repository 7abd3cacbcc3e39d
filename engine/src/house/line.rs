//! Lines: parts in series between two places, as the house file names them.

use super::{House, Setup};
use crate::device::fan::{self, Electric};
use crate::network::{Boundary, FanCurve, Gas, Hood, Kind, Resistance, Run, Working};
use std::sync::Arc;

/// A filter or coil whose drop is a parameter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sized {
    /// Parameter of the drop at the rated flow, Pa.
    pub drop: usize,
    /// Its resistance for a drop of 1 Pa.
    pub per_pa: Resistance,
}

/// A stack's gas and hood while it is hot.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Heat {
    /// Mean gas temperature, K; nothing for a stack that stands full of room air always.
    pub gas_k: Option<f64>,
    /// Free area of the draft hood, m2, and gas fed below it, m3/s at 20 degC.
    pub hood: Option<(f64, f64)>,
}

/// Parts in series.
#[derive(Clone, Debug)]
pub struct Line {
    /// Name in the documents.
    pub name: String,
    /// Name people read.
    pub label: String,
    /// Parts of known size.
    pub fixed: Resistance,
    /// The part whose size is a parameter.
    pub sized: Option<Sized>,
    /// Height of its second side over its first, m.
    pub rise_m: f64,
    /// The fan: index in [`House::fans`], its curve, its flow without pressure, m3/s, and whether it is
    /// shut when it stands still.
    pub fan: Option<(usize, FanCurve, f64, bool)>,
    /// What a stack adds.
    pub heat: Option<Heat>,
    /// Spans of the day in which a stack is hot, s after midnight; it is cold where none are written.
    pub hot_s: Vec<(f64, f64)>,
}

impl PartialEq for Line {
    fn eq(&self, other: &Self) -> bool {
        self.name == other.name && self.fixed == other.fixed && self.sized == other.sized
    }
}

impl Line {
    /// Whether it ties its two sides also while its fan stands still.
    pub fn ties(&self) -> bool {
        let open = self.fixed != Resistance::default() || self.sized.is_some();
        open && self.fan.as_ref().is_none_or(|f| !f.3)
    }
}

/// A line with its fan running or not and its stack hot or not. A stopped wheel takes nothing
/// beyond its line (common practice, no source), and a fan without a line is shut when it stands.
pub fn line_kind(
    house: &House,
    line: usize,
    theta: &[f64],
    (running, hot): (bool, bool),
    room: (f64, f64),
) -> Kind {
    let l = &house.lines[line];
    let fan = l.fan.as_ref().filter(|_| running).and_then(|(fan, curve, free_m3_s, _)| {
        curve.with_flow(house.value(house.fans[*fan].flow, theta) / free_m3_s).ok()
    });
    if fan.is_none() && !l.ties() {
        return Kind::Leak { c_m3_s_pan: 0.0, n: 0.5 };
    }
    let (room_k, room_kg_m3) = room;
    let heat = l.heat.filter(|_| hot);
    let gas =
        heat.and_then(|h| h.gas_k).map(|temp_k| Gas { temp_k, density_kg_m3: room_kg_m3 * room_k / temp_k });
    let hood = l.heat.and_then(|h| h.hood).map(|(area_m2, fed_m3_s)| Hood {
        opening: Resistance::orifice(area_m2, super::AREA_DISCHARGE),
        fed_kg_s: if heat.is_some() { fed_m3_s * crate::air::REFERENCE_DENSITY_KG_M3 } else { 0.0 },
    });
    Kind::Run(Arc::new(Run {
        fixed: l.fixed,
        sized: l.sized.map_or_else(Resistance::default, |s| s.per_pa.times(house.value(s.drop, theta))),
        fan,
        hood,
        rise_m: l.rise_m,
        gas,
    }))
}

/// As [`line_kind`], for a setup and the air of the moment.
pub(super) fn line_in(
    house: &House,
    line: usize,
    theta: &[f64],
    setup: &Setup,
    boundary: &Boundary,
    a: super::Place,
) -> Kind {
    let node = super::air::node(a);
    let running = house.lines[line].fan.as_ref().is_some_and(|f| setup.running[f.0]);
    let room = (boundary.temp_k(node), boundary.density_kg_m3(node));
    line_kind(house, line, theta, (running, setup.hot[line]), room)
}

/// The element and the line of a fan on a curve.
pub fn fan_line(house: &House, fan: usize) -> Option<(usize, usize)> {
    house.elements.iter().enumerate().find_map(|(k, e)| match e.law {
        super::Law::Line { line } if house.lines[line].fan.as_ref().is_some_and(|f| f.0 == fan) => {
            Some((k, line))
        }
        _ => None,
    })
}

/// Where a fan on a curve works with nothing else on, in air of 20 degC; nothing for another fan
/// or a house that cannot be solved.
pub fn fan_working(house: &House, theta: &[f64], fan: usize) -> Option<Working> {
    let (element, _) = fan_line(house, fan)?;
    let mut setup = super::start(house);
    setup.running[fan] = true;
    let mut air = super::air::Air::new(house).ok()?;
    air.set(house, theta, &setup, super::air::TestFan::Off).ok()?;
    air.solve().ok()?;
    air.network.working(element, &air.boundary, air.solution.flows[element].dp_pa)
}

/// Electric power of a fan, W, where it works ([`fan_working`]) or as written.
pub fn fan_watts(house: &House, theta: &[f64], fan: usize) -> f64 {
    let text = &house.fans[fan].text;
    match (&text.parts.electric, fan_working(house, theta, fan)) {
        (Some(electric), Some(w)) => fan::watts(electric, w.flow_m3_s, w.rise_pa, text.parts.speed, 1.0),
        (Some(Electric::Points(points)), None) => {
            let flow = house.value(house.fans[fan].flow, theta);
            fan::watts(&Electric::Points(points.clone()), flow, 0.0, text.parts.speed, 1.0)
        }
        _ => text.power_w,
    }
}

/// Share of what is cooked that a fan catches at its flow, or as written.
pub fn fan_capture(house: &House, theta: &[f64], fan: usize) -> f64 {
    let text = &house.fans[fan].text;
    if text.parts.capture.is_empty() {
        return text.capture;
    }
    let flow = fan_working(house, theta, fan)
        .map_or_else(|| house.value(house.fans[fan].flow, theta), |w| w.flow_m3_s);
    fan::capture(&text.parts.capture, flow)
}
