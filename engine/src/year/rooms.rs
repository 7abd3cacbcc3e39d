//! Rooms on a design day: what each needs at its set point against what its registers bring with the
//! machine at full power, and why one falls short.
//!
//! Steady state: living zones at the set point, buffer zones at what their balance gives, ducts
//! included. With `fair` the share of the capacity that corresponds to the share of all loads and
//! `tight` what the registers would bring without leaks and losses of ducts, the shortfall is
//! `load - delivered = (load - fair) + (fair - tight) + (tight - delivered)`: the machine, the
//! distribution of flow, the ducts. What a room gets from its neighbours at the same temperature does
//! not count. Not covered: storage of heat, latent loads.

use super::YearError;
use super::air::{Air, Flows};
use super::ducts::HandlerFlows;
use super::equipment::Delivery;
use super::heat::{Conduction, spread};
use super::model::{Beyond, Model, ZoneKind};
use crate::air::CP_DRY_AIR_J_KG_K as CP;
use crate::device::coil::Entering;
use crate::transport::{Exchange, step};
use crate::weather::Outdoor;
use serde::Serialize;

/// Holds a zone at a temperature, W/K: far above any conductance of a house.
const HELD_W_K: f64 = 1e12;
/// Long enough to be settled, s.
const SETTLED_S: f64 = 1e12;
/// A shortfall below this part of the load is none.
const SHORT: f64 = 0.02;

/// The conditions.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DesignDay {
    /// Outdoors.
    pub outdoor: Outdoor,
    /// Temperature in all living zones, K; above outdoors asks for heating, below for cooling.
    pub indoor_k: f64,
    /// Humidity ratio of the living zones, kg/kg.
    pub indoor_w_kg_kg: f64,
    /// Ground, K.
    pub ground_k: f64,
    /// Sun on windows, W/m2; zero for heating.
    pub sun_w_m2: f64,
    /// Whether people and appliances of [`DesignDay::hour`] count.
    pub gains: bool,
    /// Hour of the day whose doors count.
    pub hour: usize,
}

/// What makes most of a shortfall.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Cause {
    /// It gets what it needs.
    Enough,
    /// All loads together are beyond the machine.
    Load,
    /// Its share of the flow is smaller than its share of the load.
    Flow,
    /// Leaks and walls of the ducts.
    Leakage,
}

/// One living zone. Heating and cooling both count positive.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Room {
    /// The user's name.
    pub name: String,
    /// What it needs, W.
    pub load_w: f64,
    /// Of it by air that comes in, W.
    pub air_w: f64,
    /// Air from its registers, kg/s.
    pub flow_kg_s: f64,
    /// What that brings, W.
    pub delivered_w: f64,
    /// Missing because all loads exceed the machine, W; below zero where it has reserve.
    pub by_load_w: f64,
    /// Missing by its share of the flow, W; below zero where it has more than its share.
    pub by_flow_w: f64,
    /// Missing by the ducts, W.
    pub by_leakage_w: f64,
    /// What makes most of it.
    pub cause: Cause,
}

/// Every living zone on a design day; empty without equipment for it.
///
/// # Errors
/// [`YearError::Model`], [`YearError::Network`], [`YearError::Solve`].
pub fn rooms(model: &Model, day: &DesignDay) -> Result<Vec<Room>, YearError> {
    let faults = model.check();
    if !faults.is_empty() {
        return Err(YearError::Model(faults));
    }
    let n = model.zones.len();
    let heats = day.indoor_k >= day.outdoor.temp_k;
    let sign = if heats { 1.0 } else { -1.0 };
    let delivery = if heats {
        model.heating.as_ref().map(|h| &h.delivery)
    } else {
        model.cooling.as_ref().map(|c| &c.delivery)
    };
    let Some(delivery) = delivery else { return Ok(Vec::new()) };
    let handler = match delivery {
        Delivery::Handler => model.handler.as_ref().map(|h| (h, HandlerFlows::new(h, n))),
        Delivery::Zones(_) => None,
    };

    let living = |z: usize| model.zones[z].kind == ZoneKind::Conditioned;
    let mut temp_k: Vec<f64> =
        (0..n).map(|z| if living(z) { day.indoor_k } else { model.zones[z].start_k }).collect();
    let w: Vec<f64> =
        (0..n).map(|z| if living(z) { day.indoor_w_kg_kg } else { day.outdoor.w_kg_kg }).collect();
    let net = handler.as_ref().map_or_else(|| vec![0.0; n], |(_, h)| h.net_kg_s.clone());
    let mut air = Air::new(model).map_err(YearError::Network)?;
    let hour = day.hour.min(23);
    let open = model.doors.iter().map(|d| d.is_open(hour, hour as f64 * 3600.0));
    air.set_doors(open).map_err(YearError::Network)?;
    let mut flows = Flows::new(&air.graph);
    let mut exchange = Exchange::new(n);
    let conduction = Conduction::new(model);
    let mut capacity_w = 0.0;
    // The buffers' temperatures move the air, which moves them: twice settles to a few percent of it.
    for _ in 0..3 {
        air.set_boundary(&day.outdoor, &temp_k, &w);
        air.solve(0.0, &net, true, &mut flows).map_err(|source| YearError::Solve { time_s: 0.0, source })?;
        capacity_w = sign * capacity(model, day, heats, handler.as_ref().map(|h| &h.1), &temp_k);
        exchange.clear();
        conduction.add_to(&mut exchange, day.outdoor.temp_k, day.ground_k);
        for from in 0..n {
            for to in 0..n {
                exchange.transfer[from * n + to] += CP * between(&air, &flows, from, to);
            }
            exchange.lost[from] += CP * flows.leaving()[from];
            exchange.input[from] += CP * flows.entering()[from] * day.outdoor.temp_k;
        }
        if let Some((h, ends)) = &handler {
            ends.carry_heat(&mut exchange, 1.0, day.outdoor.temp_k);
            spread(&ends.heated, capacity_w + h.power_w, &mut exchange.input);
        }
        for zone in (0..n).filter(|z| living(*z)) {
            exchange.lost[zone] += HELD_W_K;
            exchange.input[zone] += HELD_W_K * day.indoor_k;
        }
        step(SETTLED_S, &conduction.capacity_j_k, &exchange, &mut temp_k);
        (0..n).filter(|z| living(*z)).for_each(|z| temp_k[z] = day.indoor_k);
    }

    let gives_w = capacity_w + handler.as_ref().map_or(0.0, |(h, _)| h.power_w);
    let register_k = handler.as_ref().map(|(_, h)| h.register_k(gives_w, day.outdoor.temp_k, &temp_k));
    let mut rooms = Vec::new();
    for zone in (0..n).filter(|z| living(*z)) {
        let (through_w, air_w) = losses(model, day, zone, &temp_k, (&air, &flows));
        let load_w = sign * (through_w + air_w - gains(model, day, zone));
        let (flow_kg_s, delivered_w, tight_w) = match (&handler, delivery, register_k) {
            (Some((h, _)), _, Some(register_k)) => {
                let sum: f64 = h.supplies.iter().map(|s| s.1).sum();
                let share: f64 = h.supplies.iter().filter(|s| s.0 == zone).map(|s| s.1).sum::<f64>() / sum;
                let leaked = h.supply_leak.map_or(0.0, |l| l.share);
                let flow = h.flow_kg_s * (1.0 - leaked) * share;
                (flow, sign * flow * CP * (register_k - day.indoor_k), sign * share * gives_w)
            }
            (None, Delivery::Zones(shares), _) => {
                let sum: f64 = shares.iter().map(|s| s.1).sum();
                let share: f64 = shares.iter().filter(|s| s.0 == zone).map(|s| s.1).sum::<f64>() / sum;
                (0.0, sign * share * gives_w, sign * share * gives_w)
            }
            _ => (0.0, 0.0, 0.0),
        };
        rooms.push(Room {
            name: model.zones[zone].name.clone(),
            load_w,
            air_w: sign * air_w,
            flow_kg_s,
            delivered_w,
            by_load_w: 0.0,
            by_flow_w: tight_w,
            by_leakage_w: tight_w - delivered_w,
            cause: Cause::Enough,
        });
    }
    let all_w: f64 = rooms.iter().map(|r| r.load_w.max(0.0)).sum();
    for room in &mut rooms {
        let tight_w = room.by_flow_w;
        let fair_w = if all_w > 0.0 { sign * gives_w * room.load_w.max(0.0) / all_w } else { tight_w };
        room.by_load_w = room.load_w - fair_w;
        room.by_flow_w = fair_w - tight_w;
        room.cause = cause(room);
    }
    Ok(rooms)
}

fn cause(room: &Room) -> Cause {
    if room.load_w - room.delivered_w <= SHORT * room.load_w.abs() {
        Cause::Enough
    } else if room.by_leakage_w >= room.by_flow_w && room.by_leakage_w >= room.by_load_w {
        Cause::Leakage
    } else if room.by_flow_w >= room.by_load_w {
        Cause::Flow
    } else {
        Cause::Load
    }
}

/// Sensible capacity of the machine at full power, backup included, W.
fn capacity(
    model: &Model,
    day: &DesignDay,
    heats: bool,
    handler: Option<&HandlerFlows>,
    temp_k: &[f64],
) -> f64 {
    if heats {
        return model
            .heating
            .as_ref()
            .map_or(0.0, |h| h.plant.at(day.outdoor.temp_k).capacity_w + h.plant.backup_w);
    }
    let Some(cooling) = &model.cooling else { return 0.0 };
    let mean_k = |ends: &[crate::transport::End]| {
        let flow: f64 = ends.iter().map(|e| e.flow).sum();
        ends.iter().map(|e| e.flow * e.zone.map_or(day.outdoor.temp_k, |z| temp_k[z])).sum::<f64>() / flow
    };
    let air = Entering {
        temp_k: handler.map_or(day.indoor_k, |h| mean_k(&h.plenum)),
        w_kg_kg: day.indoor_w_kg_kg,
        pressure_pa: day.outdoor.pressure_pa,
        flow_kg_s: handler.map_or(cooling.own_flow_kg_s, |h| h.returns.iter().map(|e| e.flow).sum::<f64>()),
    };
    cooling.coil.at_capacity(&air, cooling.plant.at(day.outdoor.temp_k).capacity_w).sensible_w
}

/// Air from a zone to another, kg/s.
fn between(air: &Air, flows: &Flows, from: usize, to: usize) -> f64 {
    air.graph.slot(from, to).map_or(0.0, |slot| flows.between()[slot])
}

/// What a zone loses through its surfaces and to the air that comes in, W.
fn losses(
    model: &Model,
    day: &DesignDay,
    zone: usize,
    temp_k: &[f64],
    (air, flows): (&Air, &Flows),
) -> (f64, f64) {
    let here_k = temp_k[zone];
    let mut through_w = 0.0;
    for s in &model.surfaces {
        let there_k = match s.beyond {
            Beyond::Outdoors(_) if s.zone == zone => day.outdoor.temp_k,
            Beyond::Ground if s.zone == zone => day.ground_k,
            Beyond::Zone(other) if s.zone == zone => temp_k[other],
            Beyond::Zone(other) if other == zone => temp_k[s.zone],
            _ => continue,
        };
        through_w += s.conductance_w_k * (here_k - there_k);
    }
    let mut air_w = CP * flows.entering()[zone] * (here_k - day.outdoor.temp_k);
    for (other, there_k) in temp_k.iter().enumerate() {
        air_w += CP * between(air, flows, other, zone) * (here_k - there_k);
    }
    (through_w, air_w)
}

fn gains(model: &Model, day: &DesignDay, zone: usize) -> f64 {
    let sun: f64 =
        model.windows.iter().filter(|w| w.zone == zone).map(|w| w.area_m2 * w.shgc * day.sun_w_m2).sum();
    if !day.gains {
        return sun;
    }
    let hour = day.hour.min(23);
    let stays = model.occupants.iter().map(|o| o.at(hour, (hour as f64 + 0.5) * 3600.0));
    let people = stays.filter(|stay| stay.zone == Some(zone)).map(|stay| stay.heat_w);
    let other = model.gains.iter().filter(|g| g.zone == zone).map(|g| g.heat_w[hour]);
    sun + people.chain(other).sum::<f64>()
}
