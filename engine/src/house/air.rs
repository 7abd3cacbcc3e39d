//! The house as an air network: elements to passages, a setup and a `theta` to numbers.

use super::{AREA_DISCHARGE, Element, Exponent, House, Law, Place, Setup};
use crate::air::REFERENCE_DENSITY_KG_M3;
use crate::math;
use crate::network::{
    Boundary, Kind, Network, NetworkError, Node, Partial, Passage, Solution, SolveError, TOLERANCE_FIT,
    Workspace, solve_into,
};

/// Discharge coefficient of an open door (Brown and Solvason 1962 and later work lie between 0.6
/// and 0.8; the value is the usual one for a sharp edge).
const DOOR_DISCHARGE: f64 = 0.6;

/// Pressure at which the size of a leak is stated, Pa.
pub const STATED_AT_PA: f64 = 50.0;

/// The network of one house, reused from solution to solution.
#[derive(Clone, Debug)]
pub struct Air {
    /// The network: one passage an element.
    pub network: Network,
    /// Scratch memory.
    pub workspace: Workspace,
    /// Densities, wind, held pressures.
    pub boundary: Boundary,
    /// The last solution.
    pub solution: Solution,
}

/// What a test fan does while the network is solved.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TestFan {
    /// None runs.
    Off,
    /// Holds a zone at this pressure against outdoors at the zone's middle height, Pa.
    Hold {
        /// Zone.
        zone: usize,
        /// Pressure.
        pa: f64,
    },
}

impl Air {
    /// The network of a house.
    ///
    /// # Errors
    /// [`NetworkError`] where a zone has no way to outdoors; the checker of the house file says so
    /// before.
    pub fn new(house: &House) -> Result<Air, NetworkError> {
        let theta = house.prior_mean();
        let passages: Vec<Passage> = house
            .elements
            .iter()
            .map(|e| Passage { a: node(e.a), b: node(e.b), z_m: e.z_m, kind: start_kind(house, e, &theta) })
            .collect();
        let network = Network::new(house.zones.iter().map(|z| z.name.clone()), passages)?;
        let mut boundary = Boundary::still(&network, crate::air::REFERENCE_TEMP_K);
        boundary.wind_pa.resize(super::WINDS, 0.0);
        let workspace = Workspace::new(&network).with_tolerance(TOLERANCE_FIT);
        Ok(Air { network, workspace, boundary, solution: Solution::default() })
    }

    /// Sets temperatures; densities follow, air at 50 % relative humidity as the fan-test
    /// standards allow.
    pub fn set_temperatures(&mut self, zone_k: &[f64], outdoor_k: f64, pressure_pa: f64) {
        let rho = |k| crate::air::test_density_kg_m3(k, 0.5, pressure_pa);
        self.boundary.outdoor_density_kg_m3 = rho(outdoor_k);
        self.boundary.outdoor_temp_k = outdoor_k;
        for (zone, k) in zone_k.iter().enumerate() {
            self.boundary.zone_density_kg_m3[zone] = rho(*k);
            self.boundary.zone_temp_k[zone] = *k;
        }
    }

    /// Sets every passage from `theta` and the setup.
    ///
    /// # Errors
    /// [`NetworkError`] where a number is outside its bounds.
    pub fn set(
        &mut self,
        house: &House,
        theta: &[f64],
        setup: &Setup,
        fan: TestFan,
    ) -> Result<(), NetworkError> {
        self.set_after(house, theta, setup, fan, None)
    }

    /// The same right after [`Air::set`] with the same `theta` under the setup `before`: leaks and
    /// doors that stand as they did keep their numbers.
    ///
    /// # Errors
    /// As [`Air::set`].
    pub fn set_after(
        &mut self,
        house: &House,
        theta: &[f64],
        setup: &Setup,
        fan: TestFan,
        before: Option<&Setup>,
    ) -> Result<(), NetworkError> {
        let as_before = |law: &Law, owner: &super::Owner| {
            let Some(before) = before else { return false };
            match (law, owner) {
                (Law::Leak { .. }, super::Owner::Leak(l)) => setup.sealed[*l] == before.sealed[*l],
                (Law::Leak { .. }, _) => true,
                (Law::Door { door }, _) => {
                    setup.open[*door] == before.open[*door] && setup.hole[*door] == before.hole[*door]
                }
                _ => false,
            }
        };
        let shares = handler_shares(house, theta, setup, &self.boundary);
        for (k, element) in house.elements.iter().enumerate() {
            if as_before(&element.law, &element.owner) {
                continue;
            }
            let kind = match element.law {
                Law::Leak { at50, exponent, share } => {
                    let sealed = matches!(element.owner, super::Owner::Leak(l) if setup.sealed[l]);
                    let n = house.exponent(exponent, theta);
                    let at50_m3_s = if sealed { 0.0 } else { house.value(at50, theta) * share };
                    Kind::Leak { c_m3_s_pan: at50_m3_s / math::pow(STATED_AT_PA, n), n }
                }
                Law::Door { door } => match setup.hole[door] {
                    Some(hole) => orifice(hole.area_m2, AREA_DISCHARGE),
                    None => door_kind(house, door, setup.open[door], theta),
                },
                Law::Fan { fan } => {
                    let flow = house.value(house.fans[fan].flow, theta);
                    let on = setup.running[fan];
                    Kind::Fixed {
                        kg_s: if on { self.boundary.mass_flow_kg_s(node(element.a), flow) } else { 0.0 },
                    }
                }
                Law::Register { register } => Kind::Fixed { kg_s: shares[register] },
                Law::Line { line } => {
                    super::line::line_in(house, line, theta, setup, &self.boundary, element.a)
                }
                Law::Damper { .. } => start_kind(house, element, theta),
            };
            self.network.set_kind(k, kind)?;
        }
        for zone in 0..house.zones.len() {
            self.boundary.held_pa[zone] = None;
        }
        match fan {
            TestFan::Off => {}
            TestFan::Hold { zone, pa } => {
                let reference = self.boundary.reference_pa(zone, pa, house.zones[zone].middle_m());
                self.boundary.held_pa[zone] = Some(reference);
            }
        }
        Ok(())
    }

    /// Solves, starting from the last solution where there is one.
    ///
    /// # Errors
    /// [`SolveError`].
    pub fn solve(&mut self) -> Result<(), SolveError> {
        let start =
            (self.solution.zone_pa.len() == self.network.zone_count()).then(|| self.solution.zone_pa.clone());
        solve_into(&self.network, &self.boundary, &mut self.workspace, start.as_deref(), &mut self.solution)
    }

    /// Pressure felt at one place minus another, at a height, in the last solution, Pa. Outdoors is
    /// taken without wind.
    pub fn pressure_between_pa(&self, a: Option<usize>, b: Option<usize>, z_m: f64) -> f64 {
        let at = |zone: Option<usize>| {
            zone.map_or(0.0, |z| self.boundary.pressure_at_pa(z, self.solution.zone_pa[z], z_m))
        };
        at(a) - at(b)
    }
}

/// The network's node of a place.
pub fn node(place: Place) -> Node {
    match place {
        Place::Outdoors(wind) => Node::Outdoors { wind },
        Place::Zone(zone) => Node::Zone(zone),
    }
}

fn orifice(area_m2: f64, discharge: f64) -> Kind {
    Kind::Leak { c_m3_s_pan: discharge * area_m2 * (2.0 / REFERENCE_DENSITY_KG_M3).sqrt(), n: 0.5 }
}

fn door_kind(house: &House, door: usize, open: bool, theta: &[f64]) -> Kind {
    let d = &house.doors[door];
    match (open, d.horizontal) {
        (false, _) => orifice(house.value(d.gap, theta), AREA_DISCHARGE),
        (true, true) => orifice(d.text.width_m * d.text.height_m, AREA_DISCHARGE),
        (true, false) => Kind::Opening {
            width_m: d.text.width_m,
            height_m: d.text.height_m,
            bottom_m: d.bottom_m,
            discharge: DOOR_DISCHARGE,
        },
    }
}

fn start_kind(house: &House, element: &Element, theta: &[f64]) -> Kind {
    match element.law {
        Law::Leak { at50, exponent, share } => {
            let n = house.exponent(exponent, theta);
            Kind::Leak { c_m3_s_pan: house.value(at50, theta) * share / math::pow(STATED_AT_PA, n), n }
        }
        Law::Door { door } => door_kind(house, door, false, theta),
        Law::Fan { .. } | Law::Register { .. } => Kind::Fixed { kg_s: 0.0 },
        Law::Line { line } => {
            let room = (crate::air::REFERENCE_TEMP_K, REFERENCE_DENSITY_KG_M3);
            super::line_kind(house, line, theta, (true, false), room)
        }
        Law::Damper { c_m3_s_pan, closed_c_m3_s_pan, opens_pa } => {
            Kind::Damper { c_m3_s_pan, n: 0.5, closed_c_m3_s_pan, opens_pa }
        }
    }
}

/// Mass flow of each register in the direction of its element, kg/s; zeros while the blower rests.
fn handler_shares(house: &House, theta: &[f64], setup: &Setup, boundary: &Boundary) -> Vec<f64> {
    let Some(h) = &house.air_handler else { return Vec::new() };
    if !setup.air_handler {
        return vec![0.0; h.registers.len()];
    }
    let inlet = h.registers.iter().find(|r| !r.1).map_or(h.zone, |r| r.0);
    let total = house.value(h.flow, theta) * boundary.zone_density_kg_m3[inlet];
    let sum = |supply: bool| -> f64 {
        h.registers.iter().filter(|r| r.1 == supply).map(|r| house.value(r.2, theta)).sum()
    };
    let (supply, ret) = (sum(true), sum(false));
    h.registers
        .iter()
        .map(|&(_, is_supply, weight)| {
            let (side, leak) = if is_supply { (supply, h.supply_leak) } else { (ret, h.return_leak) };
            total * (1.0 - house.value(leak, theta)) * house.value(weight, theta) / side
        })
        .collect()
}

/// Calls `each(param, d flow / d theta)` for every parameter that sizes element `k`, kg/s.
pub fn for_each_partial(
    house: &House,
    theta: &[f64],
    setup: &Setup,
    k: usize,
    partial: &Partial,
    mut each: impl FnMut(usize, f64),
) {
    match house.elements[k].law {
        Law::Leak { at50, exponent, .. } => {
            each(at50, partial.by_ln_c_kg_s);
            // The size is stated at 50 Pa, so the coefficient falls as the exponent grows.
            let by_n = partial.by_n_kg_s - partial.by_ln_c_kg_s * math::ln(STATED_AT_PA);
            match exponent {
                Exponent::Fixed(_) => {}
                Exponent::Own(p) => each(p, by_n * house.params[p].scale.slope(theta[p])),
                Exponent::Shared { common, own } => {
                    let slope = house.params[common].scale.slope(theta[common] + theta[own]);
                    each(common, by_n * slope);
                    each(own, by_n * slope);
                }
            }
        }
        Law::Door { door } => {
            if !setup.open[door] && setup.hole[door].is_none() {
                each(house.doors[door].gap, partial.by_ln_c_kg_s);
            }
        }
        Law::Fan { fan } => each(house.fans[fan].flow, partial.by_ln_c_kg_s),
        Law::Line { line } => {
            let l = &house.lines[line];
            if let Some((fan, ..)) = l.fan.as_ref().filter(|f| setup.running[f.0]) {
                each(house.fans[*fan].flow, partial.by_ln_c_kg_s);
            }
            if let Some(s) = l.sized {
                each(s.drop, partial.by_ln_sized_kg_s);
            }
        }
        Law::Damper { .. } => {}
        Law::Register { register } => {
            register_partials(house, theta, register, |p, d_ln| each(p, partial.by_ln_c_kg_s * d_ln));
        }
    }
}

/// Calls `each(param, d ln flow / d theta)` for every parameter of a register's flow.
pub fn register_partials(house: &House, theta: &[f64], register: usize, mut each: impl FnMut(usize, f64)) {
    let Some(h) = &house.air_handler else { return };
    let (_, supply, own) = h.registers[register];
    each(h.flow, 1.0);
    let leak = if supply { h.supply_leak } else { h.return_leak };
    // d ln(1 - f) / d theta of a logit: -f.
    each(leak, -house.value(leak, theta));
    let side: f64 = h.registers.iter().filter(|r| r.1 == supply).map(|r| house.value(r.2, theta)).sum();
    for &(_, _, weight) in h.registers.iter().filter(|r| r.1 == supply) {
        let part = house.value(weight, theta) / side;
        each(weight, if weight == own { 1.0 - part } else { -part });
    }
}

/// Flow of a register, m3/s, while the blower runs.
pub fn register_flow_m3_s(house: &House, theta: &[f64], register: usize) -> f64 {
    let Some(h) = &house.air_handler else { return 0.0 };
    let (_, supply, own) = h.registers[register];
    let leak = if supply { h.supply_leak } else { h.return_leak };
    let side: f64 = h.registers.iter().filter(|r| r.1 == supply).map(|r| house.value(r.2, theta)).sum();
    house.value(h.flow, theta) * (1.0 - house.value(leak, theta)) * house.value(own, theta) / side
}
