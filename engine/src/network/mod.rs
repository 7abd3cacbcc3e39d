//! The air network: zones, passages, and the pressures at which the mass of each zone balances.
//!
//! Problem: given densities, wind, fans and doors, find every zone's pressure and every flow.
//! Method: each passage is a non-decreasing function of the pressure difference across it, so the
//! balance is the gradient of a convex potential; Newton with an Armijo test on that potential
//! converges from any start ([`solve()`]; many houses at once: [`Batch`]). The matrix is factored on
//! the zone graph's own pattern, ordered once. Derivatives by the implicit-function theorem ([`Network::derivatives`]).
//! Sources: see [`law`] and [`FanCurve`]. Checked against EPANET 2.2 in `validate`.
//! Duct runs, filters, fans in a line, stacks: [`Run`].
//! Not covered: time, humidity and heat (densities come in), flow that changes the densities within a step.
//! What can fail: [`NetworkError`], [`SolveError`]; what is doubtful but solved: [`Flag`].
//!
//! **Pressures.** A zone's unknown is its pressure at ground level (height 0) less that of outdoor
//! air without wind at ground level. At height z the zone's side of a passage is `p - rho g z`,
//! the outdoor side `wind - rho_out g z`. [`Boundary::pressure_at_pa`] turns it into what a gauge
//! between the zone and outdoors at one height shows.

mod batch;
mod boundary;
mod columns;
mod core;
mod derive;
mod error;
mod fan;
mod kernel;
pub mod law;
mod newton;
mod passage;
mod run;
mod shape;
mod solve;
mod trail;
mod workspace;

pub use crate::math::lanes::Level;
pub use batch::{Batch, Case};
pub use boundary::Boundary;
pub use derive::{Derivatives, Observation, Partial, Sensitivity};
pub use error::{Carrying, Given, NamedZone, NetworkError, Parameter, SolveError};
pub use fan::{FanCurve, FanCurveError};
pub use passage::{Kind, Node, Passage};
pub use run::{Gas, Hood, Resistance, Run, Working};
pub(crate) use solve::solve_blown_into;
pub use solve::{Flag, Flow, HIGH_PRESSURE_PA, Solution, TOLERANCE, TOLERANCE_FIT, solve, solve_into};
pub use trail::Trail;
pub use workspace::Workspace;

use columns::Columns;
use shape::Shape;
use std::sync::Arc;

/// Zones joined by passages, with the symbolic part of the factor.
///
/// The graph is fixed; every number of a passage, and its kind, may change between solutions.
#[derive(Clone, Debug)]
pub struct Network {
    names: Vec<String>,
    passages: Vec<Passage>,
    shape: Arc<Shape>,
    columns: Columns,
    /// What fans of fixed flow blow into each zone from outdoors beside the passages, kg/s.
    blown: Vec<f64>,
    /// Zones without a way to outdoors (they may be solved while a fan holds a pressure).
    isolated: Vec<usize>,
    /// Memory for finding them.
    scratch: Vec<usize>,
}

impl Network {
    /// A network of the named zones joined by `passages`.
    ///
    /// ```
    /// use engine::network::*;
    /// // Which pressure does a bath fan of 30 L/s make in a flat with one leak?
    /// let leak = Kind::Leak { c_m3_s_pan: 0.01, n: 0.65 };
    /// let fan = Kind::Fixed { kg_s: 0.030 * 1.2041 };
    /// let outdoors = Node::Outdoors { wind: 0 };
    /// let network = Network::new(
    ///     ["flat"],
    ///     vec![
    ///         Passage { a: outdoors, b: Node::Zone(0), z_m: 1.0, kind: leak },
    ///         Passage { a: Node::Zone(0), b: outdoors, z_m: 2.0, kind: fan },
    ///     ],
    /// )?;
    /// let boundary = Boundary::still(&network, 293.15);
    /// let solution = solve(&network, &boundary, &mut Workspace::new(&network), None)?;
    /// assert!((solution.zone_pa[0] + 5.42).abs() < 0.01); // (0.030 / 0.01)^(1 / 0.65)
    ///
    /// // A zone that only a fan reaches is refused by name.
    /// let fan = Kind::Fixed { kg_s: 0.01 };
    /// let alone = Network::new(
    ///     ["closet"],
    ///     vec![Passage { a: Node::Zone(0), b: outdoors, z_m: 1.0, kind: fan }],
    /// );
    /// assert!(matches!(alone, Err(NetworkError::Isolated { .. })));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// [`NetworkError`]: a zone without a way to outdoors over passages of positive slope, a
    /// passage that names no zone or leads back to its own, a number outside its bounds.
    pub fn new<S: Into<String>>(
        names: impl IntoIterator<Item = S>,
        passages: Vec<Passage>,
    ) -> Result<Self, NetworkError> {
        Self::new_with_held(names, passages, &[])
    }

    /// As [`new`](Self::new), for a network that is to be solved only while test fans hold the
    /// pressure of the zones in `held`: those count as known, like outdoors.
    ///
    /// # Errors
    /// As [`new`](Self::new).
    pub fn new_with_held<S: Into<String>>(
        names: impl IntoIterator<Item = S>,
        passages: Vec<Passage>,
        held: &[usize],
    ) -> Result<Self, NetworkError> {
        let names: Vec<String> = names.into_iter().map(Into::into).collect();
        let count = names.len();
        for (k, passage) in passages.iter().enumerate() {
            passage.check(k)?;
            for node in [passage.a, passage.b] {
                match node {
                    Node::Zone(zone) if zone >= count => {
                        return Err(NetworkError::UnknownZone { passage: k, zone, zone_count: count });
                    }
                    Node::Zone(_) | Node::Outdoors { .. } => {}
                }
            }
            if let (Node::Zone(a), Node::Zone(b)) = (passage.a, passage.b)
                && a == b
            {
                return Err(NetworkError::SameZone { passage: k, zone: a });
            }
        }
        let shape = Arc::new(Shape::new(count, &passages));
        let columns = Columns::new(&passages);
        let (isolated, scratch) = (Vec::new(), Vec::new());
        let blown = vec![0.0; count];
        let mut network = Self { names, passages, shape, columns, blown, isolated, scratch };
        network.isolated = network.unreached(&[]);
        let unreached = network.unreached(held);
        if !unreached.is_empty() {
            let named = |zone: usize| NamedZone { zone, name: network.names[zone].clone() };
            return Err(NetworkError::Isolated { zones: unreached.into_iter().map(named).collect() });
        }
        Ok(network)
    }

    /// Number of zones.
    pub fn zone_count(&self) -> usize {
        self.names.len()
    }

    /// Least number of entries in [`Boundary::wind_pa`].
    pub fn wind_count(&self) -> usize {
        self.shape.wind_count
    }

    /// Name of a zone.
    pub fn zone_name(&self, zone: usize) -> Option<&str> {
        self.names.get(zone).map(String::as_str)
    }

    /// The passages, in the order given.
    pub fn passages(&self) -> &[Passage] {
        &self.passages
    }

    /// Swaps the kind of a passage (a door opened, a damper shut) on the same graph.
    ///
    /// A swap may leave zones without a way to outdoors; that is found when the network is solved,
    /// because the next swap or a held pressure may mend it.
    ///
    /// # Errors
    /// [`NetworkError`]: no such passage, or a number outside its bounds. Nothing is changed then.
    pub fn set_kind(&mut self, passage: usize, kind: Kind) -> Result<(), NetworkError> {
        let passage_count = self.passages.len();
        let Some(place) = self.passages.get_mut(passage) else {
            return Err(NetworkError::UnknownPassage { passage, passage_count });
        };
        kind.check(passage)?;
        let connected = place.kind.connects();
        let connects = kind.connects();
        place.kind = kind;
        self.columns.set(passage, place);
        if connected != connects {
            let (mut parent, mut isolated) =
                (std::mem::take(&mut self.scratch), std::mem::take(&mut self.isolated));
            self.unreached_into(&[], &mut parent, &mut isolated);
            (self.scratch, self.isolated) = (parent, isolated);
        }
        Ok(())
    }

    /// Makes a passage a leak with this coefficient in m3/(s Pa^n) at reference conditions.
    ///
    /// # Errors
    /// As [`set_kind`](Self::set_kind).
    pub fn set_leak(&mut self, passage: usize, c_m3_s_pan: f64, n: f64) -> Result<(), NetworkError> {
        self.set_kind(passage, Kind::Leak { c_m3_s_pan, n })
    }

    /// Makes a passage a fixed flow from a to b in kg/s.
    ///
    /// # Errors
    /// As [`set_kind`](Self::set_kind).
    pub fn set_fixed(&mut self, passage: usize, kg_s: f64) -> Result<(), NetworkError> {
        self.set_kind(passage, Kind::Fixed { kg_s })
    }

    /// Net flow that fans blow into each zone from outdoors (below zero: draw out of it), kg/s, beside
    /// the passages: the same as a fixed passage a zone, for less work.
    pub(crate) fn set_blown(&mut self, blown_kg_s: &[f64]) {
        for (into, blown) in self.blown.iter_mut().zip(blown_kg_s) {
            *into = *blown;
        }
    }

    /// Where a run or a fan works at a pressure difference that a solution gave for it; nothing for
    /// another kind of passage.
    pub fn working(&self, passage: usize, boundary: &Boundary, dp_pa: f64) -> Option<Working> {
        let p = self.passages.get(passage)?;
        let side = |node| run::Side {
            density: boundary.density_kg_m3(node),
            viscosity_ratio: crate::air::viscosity_pa_s(boundary.temp_k(node))
                / crate::air::viscosity_pa_s(crate::air::REFERENCE_TEMP_K),
        };
        let (a, b) = (side(p.a), side(p.b));
        match &p.kind {
            Kind::Run(run) => {
                let e2 = law::SMOOTHING_PA * law::SMOOTHING_PA;
                Some(run::RunTerms::new(run, a, b, e2).working(run.fan.as_ref(), dp_pa))
            }
            Kind::Curve(curve) => {
                let flow_kg_s = curve.passage(a.density, dp_pa).flow;
                let flow_m3_s = flow_kg_s / a.density;
                Some(Working { flow_kg_s, flow_m3_s, rise_pa: -dp_pa, ..Working::default() })
            }
            _ => None,
        }
    }

    /// Zones that have no way to outdoors now, over passages of positive slope.
    pub fn isolated(&self) -> &[usize] {
        &self.isolated
    }

    /// Zones without a way to outdoors or to a zone in `held`.
    fn unreached(&self, held: &[usize]) -> Vec<usize> {
        let mut zones = Vec::new();
        self.unreached_into(held, &mut Vec::new(), &mut zones);
        zones
    }

    /// As [`unreached`](Self::unreached), in memory that is there already.
    fn unreached_into(&self, held: &[usize], parent: &mut Vec<usize>, into: &mut Vec<usize>) {
        let outdoors = self.zone_count();
        parent.clear();
        parent.extend(0..=outdoors);
        let join = |parent: &mut [usize], a: usize, b: usize| {
            let (a, b) = (root(parent, a), root(parent, b));
            parent[a] = b;
        };
        for &zone in held.iter().filter(|&&zone| zone < outdoors) {
            join(parent, zone, outdoors);
        }
        for passage in self.passages.iter().filter(|passage| passage.kind.connects()) {
            let index = |node: Node| match node {
                Node::Zone(zone) => zone,
                Node::Outdoors { .. } => outdoors,
            };
            join(parent, index(passage.a), index(passage.b));
        }
        let outside = root(parent, outdoors);
        into.clear();
        into.extend((0..outdoors).filter(|&zone| root(parent, zone) != outside));
    }
}

fn root(parent: &mut [usize], mut node: usize) -> usize {
    while parent[node] != node {
        parent[node] = parent[parent[node]];
        node = parent[node];
    }
    node
}
