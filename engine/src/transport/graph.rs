//! Which zones exchange with which, made once for a house, and what moves the same way in every step.

use super::{Balance, End};
use crate::linalg::Pattern;

const NONE: usize = usize::MAX;

/// The zones and the pairs of them between which something can move.
///
/// Every pair has two slots, one for each direction. The order in which zones are eliminated is that
/// of least degree ([`Pattern`]), so that a house, which is close to a tree, fills in next to nothing.
#[derive(Clone, Debug)]
pub struct Graph {
    zones: usize,
    /// The zone eliminated in each turn.
    pub(super) order: Vec<usize>,
    /// Where the pairs of each turn begin; one more at the end.
    pub(super) start: Vec<usize>,
    /// The zone that each pair leads to, later in the order.
    pub(super) later: Vec<usize>,
    /// For each turn, for each two of its pairs: the pair that joins their later zones, and whether the
    /// first of the two leads to the one that comes later.
    pub(super) targets: Vec<usize>,
    /// `[from * zones + to]`, or [`NONE`].
    slots: Vec<usize>,
}

impl Graph {
    /// The graph of `zones` zones; pairs in any order, double ones allowed, those of a zone with itself
    /// ignored.
    pub fn new(zones: usize, pairs: &[(usize, usize)]) -> Graph {
        let pattern = Pattern::new(zones, pairs);
        let (start, rows, targets) = pattern.below();
        let order = pattern.order().to_vec();
        let later: Vec<usize> = rows.iter().map(|row| order[*row]).collect();
        let mut slots = vec![NONE; zones * zones];
        for (turn, zone) in order.iter().enumerate() {
            for pair in start[turn]..start[turn + 1] {
                slots[zone * zones + later[pair]] = 2 * pair;
                slots[later[pair] * zones + zone] = 2 * pair + 1;
            }
        }
        Graph { zones, start: start.to_vec(), targets: targets.collect(), order, later, slots }
    }

    /// Number of zones.
    pub fn zones(&self) -> usize {
        self.zones
    }

    /// Number of slots.
    pub fn slots(&self) -> usize {
        2 * self.later.len()
    }

    /// The slot of what moves from a zone to another; nothing where nothing can.
    pub fn slot(&self, from: usize, to: usize) -> Option<usize> {
        self.slots.get(from * self.zones + to).copied().filter(|slot| *slot != NONE)
    }
}

/// Flows that keep their shares from step to step (a handler's, a ventilator's): worked out once, added
/// to a balance with a factor. `W` things side by side, each with flows of its own.
#[derive(Clone, Debug, Default)]
pub struct Route<const W: usize> {
    /// Slot, zone it leads from, flow.
    moved: Vec<(usize, usize, [f64; W])>,
    /// From a zone back into it.
    back: Vec<(usize, [f64; W])>,
    out: Vec<(usize, [f64; W])>,
    into: Vec<(usize, [f64; W])>,
}

impl<const W: usize> Route<W> {
    /// What a handler draws together, mixes and spreads: every return reaches every supply in
    /// proportion. Both sum to the same flow.
    pub fn mixed(graph: &Graph, returns: &[End], supplies: &[End]) -> Route<W> {
        let mut route = Route { moved: vec![], back: vec![], out: vec![], into: vec![] };
        route.add_mixed(graph, returns, supplies, 1.0);
        route
    }

    /// Adds a mixing `factor` times.
    pub fn add_mixed(&mut self, graph: &Graph, returns: &[End], supplies: &[End], factor: f64) {
        let total: f64 = supplies.iter().map(|s| s.flow).sum();
        if total <= 0.0 {
            return;
        }
        for back in returns {
            for supply in supplies {
                let flow = factor * back.flow * supply.flow / total;
                match (back.zone, supply.zone) {
                    (Some(from), Some(to)) => self.between(graph, from, to, [flow; W]),
                    (Some(from), None) => add(&mut self.out, from, [flow; W]),
                    (None, Some(to)) => add(&mut self.into, to, [flow; W]),
                    (None, None) => {}
                }
            }
        }
    }

    /// What a ventilator with a core brings in and leads out (see
    /// [`Exchange::add_recovered`](super::Exchange::add_recovered)); effectiveness and what its filter
    /// lets through for each of the things.
    pub fn recovered(
        graph: &Graph,
        supplies: &[(usize, f64)],
        exhausts: &[(usize, f64)],
        effectiveness: [f64; W],
        passed: [f64; W],
    ) -> Route<W> {
        let mut route = Route { moved: vec![], back: vec![], out: vec![], into: vec![] };
        let supplied: f64 = supplies.iter().map(|s| s.1).sum();
        let exhausted: f64 = exhausts.iter().map(|s| s.1).sum();
        let recovered = effectiveness.map(|e| e * supplied.min(exhausted));
        for (to, flow) in supplies {
            // At least zero up to rounding: the recovered flow is at most the supplied.
            let fresh = |l: usize| passed[l] * (flow - recovered[l] * flow / supplied).max(0.0);
            add(&mut route.into, *to, std::array::from_fn(fresh));
        }
        for (from, flow) in exhausts {
            let leaves = |l: usize| (flow - recovered[l] * flow / exhausted).max(0.0);
            add(&mut route.out, *from, std::array::from_fn(leaves));
            for (to, share) in supplies {
                let moved = recovered.map(|r| r * flow / exhausted * share / supplied);
                if moved.iter().any(|m| *m > 0.0) {
                    route.between(graph, *from, *to, moved);
                }
            }
        }
        route
    }

    fn between(&mut self, graph: &Graph, from: usize, to: usize, flow: [f64; W]) {
        if from == to {
            add(&mut self.back, from, flow);
            return;
        }
        debug_assert!(graph.slot(from, to).is_some(), "a graph without {from} to {to}");
        if let Some(slot) = graph.slot(from, to) {
            match self.moved.iter_mut().find(|m| m.0 == slot) {
                Some((_, _, sum)) => (0..W).for_each(|l| sum[l] += flow[l]),
                None => self.moved.push((slot, from, flow)),
            }
        }
    }

    /// Adds the flows `times` to a balance; of what reaches a zone the part `passed` (0 to 1) arrives,
    /// the rest leaves the balance. What comes from outdoors is added to `input` as a flow, still to
    /// be multiplied by outdoors' value.
    pub fn add_to(&self, balance: &mut Balance<W>, times: f64, passed: [f64; W]) {
        let held = passed.map(|p| times * (1.0 - p));
        let all = held.iter().all(|h| *h <= 0.0);
        for (slot, from, flow) in &self.moved {
            let (to, lost) = (&mut balance.transfer[*slot], &mut balance.lost[*from]);
            (0..W).for_each(|l| to[l] += times * passed[l] * flow[l]);
            if !all {
                (0..W).for_each(|l| lost[l] += held[l] * flow[l]);
            }
        }
        if !all {
            for (zone, flow) in &self.back {
                (0..W).for_each(|l| balance.lost[*zone][l] += held[l] * flow[l]);
            }
        }
        for (zone, flow) in &self.out {
            (0..W).for_each(|l| balance.lost[*zone][l] += times * flow[l]);
        }
        for (zone, flow) in &self.into {
            (0..W).for_each(|l| balance.input[*zone][l] += times * passed[l] * flow[l]);
        }
    }
}

fn add<const W: usize>(list: &mut Vec<(usize, [f64; W])>, zone: usize, flow: [f64; W]) {
    match list.iter_mut().find(|entry| entry.0 == zone) {
        Some((_, sum)) => (0..W).for_each(|l| sum[l] += flow[l]),
        None => list.push((zone, flow)),
    }
}
