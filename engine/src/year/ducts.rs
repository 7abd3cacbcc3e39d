//! The handler's flows at full speed, and what its ducts pass through their walls.
//!
//! Along a duct of conductance UA through air of one temperature the difference to that air falls to
//! `B = exp(-UA / (m cp))` of what it was at the start (the conduction efficiency of ASHRAE 152, from
//! memory). That is the same as if the part `1 - B` of the stream were exchanged for air of the zone
//! it crosses, which is how it is charged: what the stream loses the zone gains, to rounding. A side
//! that crosses several zones meets them side by side. Leaks are taken at the machine's end of the
//! return and at the register's end of the supply.

use super::equipment::{DuctLeak, DuctRun, Handler};
use crate::air::CP_DRY_AIR_J_KG_K as CP;
use crate::math;
use crate::transport::{End, Exchange, Graph, Route};

/// A handler whose leaks move less than this in every zone needs no solution of its own, kg/s.
const BALANCED_KG_S: f64 = 1e-7;

/// The handler's flows at full speed, kg/s.
#[derive(Clone, Debug)]
pub(super) struct HandlerFlows {
    pub(super) supplies: Vec<End>,
    pub(super) returns: Vec<End>,
    /// What arrives at the machine by its heat: the returns, less what their ducts gave up, and the
    /// zones that took it.
    pub(super) plenum: Vec<End>,
    /// Where heat added at the machine ends up.
    pub(super) heated: Vec<End>,
    supply_side: Side,
    return_side: Side,
    pub(super) net_kg_s: Vec<f64>,
    pub(super) balanced: bool,
}

/// What one side's walls exchange.
#[derive(Clone, Debug)]
struct Side {
    /// `1 - B`.
    exchanged: f64,
    /// Zones crossed, summing to the handler's flow.
    crossed: Vec<End>,
}

impl Side {
    fn new(runs: &[DuctRun], flow_kg_s: f64) -> Side {
        let all_w_k: f64 = runs.iter().map(|r| r.conductance_w_k).sum();
        if all_w_k <= 0.0 {
            return Side { exchanged: 0.0, crossed: Vec::new() };
        }
        let end = |r: &DuctRun| End { zone: r.zone, flow: flow_kg_s * r.conductance_w_k / all_w_k };
        Side {
            exchanged: 1.0 - math::exp(-all_w_k / (flow_kg_s * CP)),
            crossed: runs.iter().map(end).collect(),
        }
    }

    /// `ends` by the part that is not exchanged, and what is crossed by the rest.
    fn after(&self, ends: &[End]) -> Vec<End> {
        let scaled = |e: &End, by: f64| End { zone: e.zone, flow: by * e.flow };
        let own = ends.iter().map(|e| scaled(e, 1.0 - self.exchanged));
        own.chain(self.crossed.iter().map(|e| scaled(e, self.exchanged))).collect()
    }
}

impl HandlerFlows {
    pub(super) fn new(handler: &Handler, zones: usize) -> HandlerFlows {
        let side = |shares: &[(usize, f64)], leak: Option<DuctLeak>, intake: f64| -> Vec<End> {
            let sum: f64 = shares.iter().map(|s| s.1).sum();
            let leaked = leak.map_or(0.0, |l| l.share);
            let whole = handler.flow_kg_s * (1.0 - leaked) * (1.0 - intake) / sum;
            let ends = shares.iter().map(|(zone, share)| End { zone: Some(*zone), flow: whole * share });
            let leak = leak.map(|l| End { zone: l.zone, flow: handler.flow_kg_s * l.share });
            // What the leak does not bring, grilles and intake do.
            let intake = (intake > 0.0)
                .then_some(End { zone: None, flow: handler.flow_kg_s * (1.0 - leaked) * intake });
            ends.chain(leak).chain(intake).collect()
        };
        let supplies = side(&handler.supplies, handler.supply_leak, 0.0);
        let returns = side(&handler.returns, handler.return_leak, handler.intake_share);
        let mut net_kg_s = vec![0.0; zones];
        for (ends, sign) in [(&supplies, 1.0), (&returns, -1.0)] {
            for end in ends {
                if let Some(zone) = end.zone {
                    net_kg_s[zone] += sign * end.flow;
                }
            }
        }
        let balanced = net_kg_s.iter().all(|m| m.abs() < BALANCED_KG_S);
        let supply_side = Side::new(&handler.supply_ducts, handler.flow_kg_s);
        let return_side = Side::new(&handler.return_ducts, handler.flow_kg_s);
        HandlerFlows {
            plenum: return_side.after(&returns),
            heated: supply_side.after(&supplies),
            supplies,
            returns,
            supply_side,
            return_side,
            net_kg_s,
            balanced,
        }
    }

    /// Heat that the air carries during the part `duty` of the time, W/K, into the balance.
    pub(super) fn carry_heat(&self, into: &mut Exchange, duty: f64, outdoor_k: f64) {
        let per_k = CP * duty;
        let (back, out) = (&self.return_side, &self.supply_side);
        into.add_mixed(&self.plenum, &self.heated, per_k, 1.0, outdoor_k);
        if back.exchanged > 0.0 {
            into.add_mixed(&self.returns, &back.crossed, per_k * back.exchanged, 1.0, outdoor_k);
        }
        if out.exchanged > 0.0 {
            into.add_mixed(&out.crossed, &self.supplies, per_k * out.exchanged, 1.0, outdoor_k);
        }
    }

    /// The same for a duty of one, as a route.
    pub(super) fn heat_route(&self, graph: &Graph) -> Route<1> {
        let (back, out) = (&self.return_side, &self.supply_side);
        let mut route = Route::default();
        route.add_mixed(graph, &self.plenum, &self.heated, CP);
        if back.exchanged > 0.0 {
            route.add_mixed(graph, &self.returns, &back.crossed, CP * back.exchanged);
        }
        if out.exchanged > 0.0 {
            route.add_mixed(graph, &out.crossed, &self.supplies, CP * out.exchanged);
        }
        route
    }

    /// Temperature at the registers, K, with `heat_w` given at the machine while it runs.
    pub(super) fn register_k(&self, heat_w: f64, outdoor_k: f64, temp_k: &[f64]) -> f64 {
        let mean = |ends: &[End]| -> f64 {
            let flow: f64 = ends.iter().map(|e| e.flow).sum();
            ends.iter().map(|e| e.flow * e.zone.map_or(outdoor_k, |z| temp_k[z])).sum::<f64>() / flow
        };
        let flow_kg_s: f64 = self.plenum.iter().map(|e| e.flow).sum();
        let plenum_k = mean(&self.plenum) + heat_w / (flow_kg_s * CP);
        if self.supply_side.exchanged > 0.0 {
            plenum_k + self.supply_side.exchanged * (mean(&self.supply_side.crossed) - plenum_k)
        } else {
            plenum_k
        }
    }
}
