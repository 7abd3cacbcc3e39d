//! Air that a body of well-mixed rooms gets from elsewhere: what tracers, plateaus and humidity see.
//!
//! The body is a zone with every room that a door standing open joins to it; while the air handler
//! runs, all rooms with registers are one body with it. Air comes in through every passage from
//! outside the body, and by the return ducts' leaks from the space they run in. Air from a room
//! behind a shut door counts as fresh: what it carries of the tracer is part of the stated
//! discrepancy of the summary ([`super::observe`]).

use crate::house::air::Air;
use crate::house::{House, Owner, Place, Setup};
use crate::math;
use crate::network::{Boundary, Solution};

/// What comes in.
#[derive(Clone, Debug)]
pub struct Inflow {
    /// Sum over everything, kg/s.
    pub kg_s: f64,
    /// Derivative by each passage's net flow, where it crosses the body's border.
    pub by_flow: Vec<(usize, f64)>,
    /// By return ducts' leaks, kg/s.
    by_ducts_kg_s: f64,
    /// Which zones are the body.
    body: Vec<bool>,
}

/// The zones (one, named twice, or two) with every room that mixes with them.
pub fn body(house: &House, setup: &Setup, zones: [usize; 2]) -> Vec<bool> {
    let mut inside = vec![false; house.zones.len()];
    for z in zones {
        inside[z] = true;
    }
    let mut registers: Vec<usize> = Vec::new();
    if let Some(h) = house.air_handler.as_ref().filter(|_| setup.air_handler) {
        registers.extend(h.registers.iter().map(|r| r.0).filter(|z| house.zones[*z].kind.is_indoors()));
    }
    loop {
        let before = inside.iter().filter(|i| **i).count();
        for (door, _) in house.doors.iter().zip(&setup.open).filter(|(_, open)| **open) {
            let [Place::Zone(a), Place::Zone(b)] = door.between else { continue };
            let rooms = house.zones[a].kind.is_indoors() && house.zones[b].kind.is_indoors();
            if rooms && (inside[a] || inside[b]) {
                (inside[a], inside[b]) = (true, true);
            }
        }
        if registers.iter().any(|z| inside[*z]) {
            for z in &registers {
                inside[*z] = true;
            }
        }
        if inside.iter().filter(|i| **i).count() == before {
            return inside;
        }
    }
}

/// Whether the body holds every room.
pub fn is_whole(house: &House, body: &[bool]) -> bool {
    house.zones.iter().zip(body).all(|(z, inside)| *inside || !z.kind.is_indoors())
}

/// What the body around two zones gets in the last solution.
pub fn inflow(house: &House, air: &Air, setup: &Setup, theta: &[f64], zones: [usize; 2]) -> Inflow {
    inflow_of(house, (&air.solution, &air.boundary), setup, theta, zones)
}

/// The same from the parts of [`Air`].
pub(super) fn inflow_of(
    house: &House,
    (solution, boundary): (&Solution, &Boundary),
    setup: &Setup,
    theta: &[f64],
    zones: [usize; 2],
) -> Inflow {
    let body = body(house, setup, zones);
    let inside = |p: Place| matches!(p, Place::Zone(z) if body[z]);
    let (mut kg_s, mut by_flow) = (0.0, Vec::new());
    let crossing = house.elements.iter().enumerate().filter(|(_, e)| {
        // Registers carry the body's own air; what the ducts draw is added below.
        inside(e.a) != inside(e.b) && !matches!(e.owner, Owner::Register(_))
    });
    for (k, element) in crossing {
        let flow = &solution.flows[k];
        let (enters, leaves, sign) = if inside(element.b) {
            (flow.forward_kg_s, flow.backward_kg_s, 1.0)
        } else {
            (flow.backward_kg_s, flow.forward_kg_s, -1.0)
        };
        if enters > 0.0 {
            kg_s += enters;
            // In an opening with air both ways each stream goes with its height to the power 1.5
            // and its slope by the pressure with the power 0.5.
            let (part, rest) = (math::pow(enters, 1.0 / 3.0), math::pow(leaves, 1.0 / 3.0));
            by_flow.push((k, sign * part / (part + rest)));
        }
    }
    let by_ducts_kg_s = match &house.air_handler {
        Some(h) if setup.air_handler && !body[h.zone] && h.registers.iter().any(|r| body[r.0]) => {
            let inlet = h.registers.iter().find(|r| !r.1).map_or(h.zone, |r| r.0);
            let total = house.value(h.flow, theta) * boundary.zone_density_kg_m3[inlet];
            total * house.value(h.return_leak, theta) * (1.0 - house.value(h.supply_leak, theta))
        }
        _ => 0.0,
    };
    Inflow { kg_s: kg_s + by_ducts_kg_s, by_flow, by_ducts_kg_s, body }
}

impl Inflow {
    /// As air of the zone, m3/s.
    pub fn m3_s(&self, air: &Air, zone: usize) -> f64 {
        self.kg_s / air.boundary.zone_density_kg_m3[zone]
    }

    /// Volume of the body, m3.
    pub fn volume_m3(&self, house: &House) -> f64 {
        house.zones.iter().zip(&self.body).filter(|(_, inside)| **inside).map(|(z, _)| z.volume_m3).sum()
    }

    /// Calls `each(param, d ln inflow / d theta)` for what the ducts draw.
    pub(super) fn duct_partials(&self, house: &House, theta: &[f64], mut each: impl FnMut(usize, f64)) {
        let Some(h) = house.air_handler.as_ref().filter(|_| self.by_ducts_kg_s > 0.0) else { return };
        let share = self.by_ducts_kg_s / self.kg_s;
        let slope = |p: usize| house.params[p].scale.slope(theta[p]);
        each(h.flow, share);
        each(h.return_leak, share * slope(h.return_leak) / house.value(h.return_leak, theta));
        each(h.supply_leak, -share * slope(h.supply_leak) / (1.0 - house.value(h.supply_leak, theta)));
    }
}

/// What the ducts of one side or both lose or draw while the air handler runs, m3/s.
pub fn duct_leak_m3_s(house: &House, theta: &[f64], (supply, back): (bool, bool)) -> f64 {
    let Some(h) = &house.air_handler else { return 0.0 };
    let share = |wanted: bool, param: usize| if wanted { house.value(param, theta) } else { 0.0 };
    house.value(h.flow, theta) * (share(supply, h.supply_leak) + share(back, h.return_leak))
}

/// Calls `each(param, d ln leak / d theta)`.
pub(super) fn duct_leak_partials(
    house: &House,
    theta: &[f64],
    sides: (bool, bool),
    mut each: impl FnMut(usize, f64),
) {
    let Some(h) = &house.air_handler else { return };
    let leak = duct_leak_m3_s(house, theta, sides);
    let flow = house.value(h.flow, theta);
    each(h.flow, 1.0);
    for (_, param) in [(sides.0, h.supply_leak), (sides.1, h.return_leak)].iter().filter(|s| s.0) {
        each(*param, flow * house.params[*param].scale.slope(theta[*param]) / leak);
    }
}
