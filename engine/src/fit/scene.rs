//! How air moves in one scene (a cold evening, everything on), over the draws: pressures of the
//! zones at floor, middle and ceiling, and the flow through every passage with its range.

use super::LEVEL;
use crate::air;
use crate::house::air::{Air, TestFan};
use crate::house::{self, House, Law, Owner, Place, Setup};
use crate::measure::Estimate;
use crate::network::{NetworkError, SolveError};
use crate::units::Quantity;
use serde::Serialize;

/// State, temperatures and no wind.
#[derive(Clone, Debug, PartialEq)]
pub struct Scene {
    /// State of the house.
    pub setup: Setup,
    /// Temperature of each zone, K.
    pub zone_k: Vec<f64>,
    /// Temperature outdoors, K.
    pub outdoor_k: f64,
    /// Barometric pressure, Pa.
    pub pressure_pa: f64,
    /// The test fan.
    pub fan: TestFan,
}

/// Pressure of a zone against outdoors at the same height, Pa.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Rung {
    /// Index of the zone.
    pub zone: usize,
    /// At its floor.
    pub floor: Estimate,
    /// At its middle.
    pub middle: Estimate,
    /// At its ceiling.
    pub ceiling: Estimate,
}

/// Air through one thing in one direction, m3/s at reference density.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Stream {
    /// What it passes.
    #[serde(skip)]
    pub owner: Owner,
    /// Zone it comes from; nothing for outdoors.
    pub from: Option<usize>,
    /// Zone it goes to; nothing for outdoors.
    pub to: Option<usize>,
    /// How much.
    pub flow: Estimate,
    /// Mean height of the passage above ground, m.
    pub z_m: f64,
}

/// What the scene looks like.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Picture {
    /// Every zone.
    pub rungs: Vec<Rung>,
    /// Every stream that moves air in at least half of the draws.
    pub streams: Vec<Stream>,
    /// Draws left out because their network could not be solved.
    pub left_out: usize,
}

impl Scene {
    /// A cold evening (36 degF outside): air handler on, doors as at night, all exhaust fans off.
    pub fn cold_evening(house: &House, pressure_pa: f64) -> Scene {
        let outdoor_k = 275.37;
        let indoor_k = house.text.heating.as_ref().map_or(293.15, |h| h.set_point_k);
        let mut setup = house::start(house);
        setup.air_handler = house.air_handler.is_some();
        for (open, door) in setup.open.iter_mut().zip(&house.doors) {
            *open = door.text.open_at_night;
        }
        let zone_k = house
            .zones
            .iter()
            .map(|z| match z.kind {
                k if k.is_indoors() => indoor_k,
                // Buffer zones lie between; a ground-coupled one nearer to the rooms.
                crate::doc::house::ZoneKind::Attic | crate::doc::house::ZoneKind::Garage => {
                    0.75 * outdoor_k + 0.25 * indoor_k
                }
                _ => 0.5 * (outdoor_k + indoor_k),
            })
            .collect();
        Scene { setup, zone_k, outdoor_k, pressure_pa, fan: TestFan::Off }
    }

    /// The same state of the house at 90 degF outdoors, 75 degF in the rooms, an attic 15 degF hotter
    /// than outdoors. Common practice, no source.
    pub fn on_a_hot_afternoon(&mut self, house: &House) {
        let (outdoor_k, indoor_k) = (305.37, 297.04);
        self.outdoor_k = outdoor_k;
        for (k, zone) in self.zone_k.iter_mut().zip(&house.zones) {
            *k = match zone.kind {
                kind if kind.is_indoors() => indoor_k,
                crate::doc::house::ZoneKind::Attic => outdoor_k + 8.33,
                crate::doc::house::ZoneKind::Garage => outdoor_k,
                _ => 0.5 * (outdoor_k + indoor_k),
            };
        }
    }

    /// Every exhaust on, inner doors shut, air handler on: what draws most on an appliance.
    pub fn everything_on(house: &House, pressure_pa: f64) -> Scene {
        let mut scene = Scene::cold_evening(house, pressure_pa);
        scene.setup.running.fill(true);
        scene
    }
}

/// Works the scene out for every draw.
///
/// # Errors
/// [`NetworkError`] where the network cannot be made.
pub fn picture(house: &House, scene: &Scene, draws: &[Vec<f64>]) -> Result<Picture, NetworkError> {
    let mut air = Air::new(house)?;
    air.set_temperatures(&scene.zone_k, scene.outdoor_k, scene.pressure_pa);
    air.boundary.wind_pa.fill(0.0);
    let zones = house.zones.len();
    let mut levels = vec![[Vec::new(), Vec::new(), Vec::new()]; zones];
    // One entry an owner and direction: flow in each draw, weighted height.
    let owners = owners(house);
    let mut flows: Vec<[Vec<f64>; 2]> = vec![[Vec::new(), Vec::new()]; owners.len()];
    let mut left_out = 0;
    for theta in draws {
        let solved: Result<(), SolveError> = match air.set(house, theta, &scene.setup, scene.fan) {
            Ok(()) => air.solve(),
            Err(error) => return Err(error),
        };
        if solved.is_err() {
            left_out += 1;
            continue;
        }
        for (zone, z) in house.zones.iter().enumerate() {
            for (level, height) in [z.floor_m, z.middle_m(), z.ceiling_m].into_iter().enumerate() {
                levels[zone][level].push(air.pressure_between_pa(Some(zone), None, height));
            }
        }
        for (index, owner) in owners.iter().enumerate() {
            let (mut there, mut back) = (0.0, 0.0);
            for (k, _) in house.elements.iter().enumerate().filter(|(_, e)| e.owner == *owner) {
                let flow = &air.solution.flows[k];
                there += flow.forward_kg_s;
                back += flow.backward_kg_s;
            }
            flows[index][0].push(there / air::REFERENCE_DENSITY_KG_M3);
            flows[index][1].push(back / air::REFERENCE_DENSITY_KG_M3);
        }
    }
    let estimate = |values: &mut Vec<f64>, quantity| {
        values.sort_by(f64::total_cmp);
        Estimate::from_sorted_draws(values, LEVEL, quantity)
    };
    let rungs = levels
        .iter_mut()
        .enumerate()
        .map(|(zone, [floor, middle, ceiling])| Rung {
            zone,
            floor: estimate(floor, Quantity::Pressure),
            middle: estimate(middle, Quantity::Pressure),
            ceiling: estimate(ceiling, Quantity::Pressure),
        })
        .collect();
    let mut streams = Vec::new();
    for (owner, [there, back]) in owners.iter().zip(flows.iter_mut()) {
        let elements: Vec<_> = house.elements.iter().filter(|e| e.owner == *owner).collect();
        let Some(first) = elements.first() else { continue };
        let z_m = elements.iter().map(|e| e.z_m).sum::<f64>() / elements.len() as f64;
        let zone = |p: Place| match p {
            Place::Zone(z) => Some(z),
            Place::Outdoors(_) => None,
        };
        for (values, from, to) in [(there, first.a, first.b), (back, first.b, first.a)] {
            let flow = estimate(values, Quantity::AirFlow);
            if flow.si > 0.0 {
                streams.push(Stream { owner: *owner, from: zone(from), to: zone(to), flow, z_m });
            }
        }
    }
    // Duct leaks have no element of their own: they are what the registers do not carry.
    if let Some(h) = &house.air_handler
        && scene.setup.air_handler
    {
        let mut leak = |param: usize, supply: bool| {
            let mut values: Vec<f64> =
                draws.iter().map(|d| house.value(h.flow, d) * house.value(param, d)).collect();
            let flow = estimate(&mut values, Quantity::AirFlow);
            let inside = h.registers.iter().find(|r| !r.1).map(|r| r.0);
            let (from, to) = if supply { (inside, Some(h.zone)) } else { (Some(h.zone), inside) };
            streams.push(Stream {
                owner: Owner::Register(usize::MAX),
                from,
                to,
                flow,
                z_m: house.zones[h.zone].middle_m(),
            });
        };
        leak(h.supply_leak, true);
        leak(h.return_leak, false);
    }
    Ok(Picture { rungs, streams, left_out })
}

fn owners(house: &House) -> Vec<Owner> {
    let mut owners: Vec<Owner> = house.elements.iter().map(|e| e.owner).collect();
    owners.dedup();
    owners
}

/// Name people read for what a stream passes.
pub fn owner_label(house: &House, owner: Owner) -> String {
    match owner {
        Owner::Leak(l) => house.leaks[l].label.clone(),
        Owner::Door(d) => house.doors[d].text.label.clone(),
        Owner::Fan(f) => house.fans[f].text.label.clone(),
        Owner::Register(r) => house
            .air_handler
            .as_ref()
            .and_then(|h| h.text.registers.get(r))
            .map_or_else(String::new, |r| r.label.clone()),
        Owner::Flue(a) => house.appliances[a].label.clone(),
        Owner::Part(p) => house.parts[p].label.clone(),
    }
}

/// Whether a law is driven by a fan rather than by pressure.
pub fn is_driven(law: &Law) -> bool {
    matches!(law, Law::Fan { .. } | Law::Register { .. })
}
