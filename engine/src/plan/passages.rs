//! Leaks, lines, doors and openings of a house as passages of the year's network.

use super::model::NIGHT;
use crate::device::filter;
use crate::doc::plans::Change;
use crate::house::{AREA_DISCHARGE, Element, House, Law, Owner, Place, air as house_air};
use crate::math;
use crate::network::{Kind, Passage};
use crate::year;
/// The passages of a network, what the year knows of each, and which of them are doors.
pub(super) struct Passages<'a> {
    house: &'a House,
    theta: &'a [f64],
    changes: &'a [Change],
    pub(super) network: Vec<Passage>,
    pub(super) kept: Vec<year::Passage>,
    pub(super) doors: Vec<year::Door>,
    /// Doors of the house that may open: their index there and among `doors`.
    pub(super) own: Vec<(usize, usize)>,
}

impl<'a> Passages<'a> {
    /// Those of a house after a plan, whose changes open others.
    pub(super) fn of(house: &'a House, theta: &'a [f64], changes: &'a [Change]) -> Passages<'a> {
        let (network, kept, doors) = (Vec::new(), Vec::new(), Vec::new());
        let mut out = Passages { house, theta, changes, network, kept, doors, own: Vec::new() };
        out.all();
        out
    }

    fn push(&mut self, element: &Element, kind: Kind, pm25_passed: f64) -> usize {
        self.network.push(Passage {
            a: house_air::node(element.a),
            b: house_air::node(element.b),
            z_m: element.z_m,
            kind,
        });
        self.kept.push(year::Passage { pm25_passed });
        self.network.len() - 1
    }

    fn all(&mut self) {
        let house = self.house;
        for element in &house.elements {
            match element.law {
                Law::Leak { at50, exponent, share } => {
                    let n = house.exponent(exponent, self.theta);
                    let c = house.value(at50, self.theta) * share / math::pow(house_air::STATED_AT_PA, n);
                    // Particles pass what is large; cracks hold some back.
                    let passed = if n <= 0.5 { 1.0 } else { filter::PENETRATION };
                    self.push(element, Kind::Leak { c_m3_s_pan: c, n }, passed);
                }
                Law::Door { door } => self.door(element, door),
                Law::Line { line } => self.line(element, line),
                Law::Damper { c_m3_s_pan, closed_c_m3_s_pan, opens_pa } => {
                    self.push(element, Kind::Damper { c_m3_s_pan, n: 0.5, closed_c_m3_s_pan, opens_pa }, 1.0);
                }
                Law::Fan { .. } | Law::Register { .. } => {}
            }
        }
        for change in self.changes {
            if let Change::Transfer { between, area_m2 } = change {
                let zones: Vec<usize> = between.iter().filter_map(|b| house.zone(&b.value)).collect();
                if let [a, b] = zones[..] {
                    let z_m = crate::fit::observe::common_height_m(house, Some(a), Some(b));
                    let element = Element {
                        a: Place::Zone(a),
                        b: Place::Zone(b),
                        z_m,
                        law: Law::Door { door: 0 },
                        owner: Owner::Door(0),
                    };
                    self.push(&element, orifice(*area_m2), 1.0);
                }
            }
        }
    }

    /// A line; with a fan it is one passage for the hours the fan runs and, where it stays open, another
    /// one for the rest. So is a stack with the hours that it is hot; without them it stands cold.
    fn line(&mut self, element: &Element, line: usize) {
        let room = (crate::air::REFERENCE_TEMP_K, crate::air::REFERENCE_DENSITY_KG_M3);
        let kind = |runs| crate::house::line_kind(self.house, line, self.theta, (runs, runs), room);
        let l = &self.house.lines[line];
        let passed = self.line_passes(l);
        let spans = match &l.fan {
            Some((fan, ..)) => &self.house.fans[*fan].text.runs_s,
            None => &l.hot_s,
        };
        if l.fan.is_none() && spans.is_empty() {
            self.push(element, kind(false), passed);
            return;
        }
        let open = |while_on| year::Open::Running { spans: spans.clone(), while_on };
        let (on, off) = (kind(true), kind(false));
        let passage = self.push(element, on, passed);
        self.doors.push(year::Door { passage, open: open(true) });
        if l.ties() {
            let passage = self.push(element, off, passed);
            self.doors.push(year::Door { passage, open: open(false) });
        }
    }

    /// Part of PM2.5 that passes a line: all, unless the plan put a filter into it.
    fn line_passes(&self, line: &crate::house::Line) -> f64 {
        let Some(sized) = line.sized else { return 1.0 };
        let name = &self.house.params[sized.drop].name;
        let held = self.changes.iter().rev().find_map(|c| match c {
            Change::Filter { what: Some(what), pm25, .. } if what.value == *name => Some(*pm25),
            _ => None,
        });
        1.0 - held.unwrap_or(0.0)
    }

    fn door(&mut self, element: &Element, door: usize) {
        let d = &self.house.doors[door];
        let at_night = d.text.open_at_night;
        self.push(element, orifice(self.house.value(d.gap, self.theta)), 1.0);
        let never = match &d.text.open_s {
            Some(spans) => spans.is_empty(),
            None => !at_night && !d.text.open_by_day,
        };
        if never {
            return;
        }
        let open_kind = if d.horizontal {
            orifice(d.text.width_m * d.text.height_m)
        } else {
            Kind::Opening {
                width_m: d.text.width_m,
                height_m: d.text.height_m,
                bottom_m: d.bottom_m,
                discharge: AREA_DISCHARGE,
            }
        };
        let passage = self.push(element, open_kind, 1.0);
        let open = match &d.text.open_s {
            Some(spans) => year::Open::Running { spans: spans.clone(), while_on: true },
            None => year::Open::Hours(std::array::from_fn(|h| {
                if is_night(h) { at_night } else { d.text.open_by_day }
            })),
        };
        self.own.push((door, self.doors.len()));
        self.doors.push(year::Door { passage, open });
    }
}

fn is_night(hour: usize) -> bool {
    hour >= NIGHT.0 || hour < NIGHT.1
}

fn orifice(area_m2: f64) -> Kind {
    let c = AREA_DISCHARGE * area_m2 * (2.0 / crate::air::REFERENCE_DENSITY_KG_M3).sqrt();
    Kind::Leak { c_m3_s_pan: c, n: 0.5 }
}
