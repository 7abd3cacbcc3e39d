//! Derivatives of the solved network by the implicit-function theorem.
//!
//! At the solution the zones' balances hold for every parameter, so a change of a passage's flow
//! by 1 kg/s moves the pressures by one column of the inverse matrix. One solve with the transposed
//! (here: the same, symmetric) factor per observation gives the sensitivity to all passages at
//! once; the chain rule with each passage's own partial derivatives does the rest.

use super::core::Law;
use super::law;
use super::solve::Solution;
use super::workspace::Workspace;
use super::{Boundary, Kind, Network, Node, SolveError};
use crate::math::lanes::Plain;
use crate::math::ln;

/// A number read off the solved network.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Observation<'a> {
    /// Sum of weight times reference pressure over some zones, Pa.
    Pressures(&'a [(usize, f64)]),
    /// Flow a test fan blows into a zone whose pressure it holds, kg/s.
    HeldFlow(usize),
    /// Net flow from a to b through a passage, kg/s.
    Flow(usize),
    /// Sum of weight times net flow from a to b over some passages, kg/s.
    Flows(&'a [(usize, f64)]),
}

/// How one passage's net flow from a to b changes with its own numbers.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Partial {
    /// By the logarithm of its coefficient (leak, open damper), discharge (opening), flow (fixed)
    /// or flow scale at given pressure (fan curve, run), kg/s.
    pub by_ln_c_kg_s: f64,
    /// By the flow exponent at a given coefficient, kg/s; zero for passages without one.
    pub by_n_kg_s: f64,
    /// By the logarithm of the sized resistance of a run, kg/s; zero for other passages.
    pub by_ln_sized_kg_s: f64,
    /// By the pressure difference, kg/(s Pa).
    pub by_dp_kg_s_pa: f64,
}

/// Derivatives of one observation, in its unit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sensitivity {
    /// By one more kg/s from a to b through each passage; times a [`Partial`] it is the derivative
    /// by that passage's number. For a passage of fixed flow it is the derivative by that flow.
    pub by_flow: Vec<f64>,
    /// By each wind pressure, per Pa.
    pub by_wind: Vec<f64>,
    /// By the pressure held in each zone, per Pa; zero where none is held.
    pub by_held: Vec<f64>,
    adjoint: Vec<f64>,
}

/// A network linearised at its solution; made by [`Network::derivatives`].
#[derive(Debug)]
pub struct Derivatives<'a> {
    network: &'a Network,
    workspace: &'a mut Workspace,
    partials: Vec<Partial>,
}

impl Network {
    /// Linearises the network at a solution, with one factor for all observations.
    ///
    /// Solve with [`TOLERANCE_FIT`](super::TOLERANCE_FIT) before: derivatives are those at the
    /// pressures given. In a damper that stands exactly at its opening pressure they are those of
    /// the closed side.
    ///
    /// # Errors
    /// [`SolveError`]: as for solving, except that nothing is iterated.
    pub fn derivatives<'a>(
        &'a self,
        boundary: &Boundary,
        solution: &Solution,
        workspace: &'a mut Workspace,
    ) -> Result<Derivatives<'a>, SolveError> {
        let w = workspace;
        if solution.zone_pa.len() != self.zone_count() {
            return Err(SolveError::WrongLength {
                given: super::Given::Start,
                expected: self.zone_count(),
                found: solution.zone_pa.len(),
            });
        }
        w.linearise(self, boundary, &solution.zone_pa)?;
        let partials = (0..self.passages.len()).map(|k| partial(self, w, k)).collect();
        Ok(Derivatives { network: self, workspace: w, partials })
    }
}

fn partial(network: &Network, w: &Workspace, k: usize) -> Partial {
    let c = &w.core;
    let (dp, flow, slope, e2) = (c.dp[k], c.flow[k], c.slope[k], c.smoothing2);
    let ends = network.shape.ends[k];
    // d ln m / d n of a leak: from the pressure, and from the correction for density and viscosity.
    let by_n = |factor_ln: f64, dp: f64| 0.5 * ln(dp * dp + e2) + factor_ln;
    let mut by_ln_sized_kg_s = 0.0;
    let (by_ln_c_kg_s, by_n_kg_s) = match (c.law(k, 0), &network.passages[k].kind) {
        (Law::Leak, _) => (flow, flow * by_n(c.joint_ln(if dp >= 0.0 { ends.a } else { ends.b }), dp)),
        (Law::Damper(d), Kind::Damper { c_m3_s_pan, closed_c_m3_s_pan, .. }) => {
            let factor_ln = c.joint_ln(ends.a);
            let closed = law::leak(d.closed, d.n, e2, dp).flow;
            let beyond = dp - d.opens_pa;
            let open = if beyond > 0.0 { law::leak(d.more, d.n, e2, beyond).flow } else { 0.0 };
            let whole = d.closed * c_m3_s_pan / closed_c_m3_s_pan;
            let by_c = if beyond > 0.0 { law::leak(whole, d.n, e2, beyond).flow } else { 0.0 };
            (by_c, closed * by_n(factor_ln, dp) + open * by_n(factor_ln, beyond))
        }
        (Law::Run(terms), Kind::Run(run)) => {
            let (by_scale, by_sized) = terms.partials(run.fan.as_ref(), dp);
            by_ln_sized_kg_s = by_sized;
            (by_scale, 0.0)
        }
        _ => (flow, 0.0),
    };
    Partial { by_ln_c_kg_s, by_n_kg_s, by_ln_sized_kg_s, by_dp_kg_s_pa: slope }
}

impl Derivatives<'_> {
    /// Partial derivatives of each passage's own flow.
    pub fn partials(&self) -> &[Partial] {
        &self.partials
    }

    /// Natural logarithm of the determinant of the matrix of slopes.
    pub fn log_det(&self) -> f64 {
        self.workspace.core.log_det(&self.network.shape)
    }

    /// Derivatives of an observation by everything, from one solve.
    ///
    /// Observations of zones or passages that do not exist, and the held flow of a zone that is
    /// not held, give zeros.
    pub fn observe(&mut self, observation: Observation<'_>, into: &mut Sensitivity) {
        let (network, c) = (self.network, &self.workspace.core);
        let shape = &*network.shape;
        let (zones, nodes) = (shape.zones, shape.nodes());
        let known = |row: usize| c.free[row] <= 0.0;
        // The adjoint: the observation changes by `adjoint[b] - adjoint[a]` for one more kg/s.
        let adjoint = &mut into.adjoint;
        adjoint.clear();
        adjoint.resize(nodes, 0.0);
        into.by_held.clear();
        into.by_held.resize(zones, 0.0);
        // What a known row stands for after the solve: minus one for the zone whose fan is read.
        let mut fan_row = None;
        match observation {
            Observation::Pressures(weights) => {
                for &(zone, weight) in weights.iter().filter(|(zone, _)| *zone < zones) {
                    let row = shape.pattern.row_of(zone);
                    if known(row) {
                        into.by_held[zone] += weight;
                    } else {
                        adjoint[row] += weight;
                    }
                }
            }
            Observation::HeldFlow(zone) if zone < zones => {
                let row = shape.pattern.row_of(zone);
                if known(row) {
                    fan_row = Some(row);
                    for (ends, slope) in shape.ends.iter().zip(c.slope.iter()) {
                        if ends.a == row {
                            adjoint[ends.b] -= slope;
                        } else if ends.b == row {
                            adjoint[ends.a] -= slope;
                        }
                    }
                }
            }
            Observation::Flow(passage) => {
                if let Some(ends) = shape.ends.get(passage) {
                    adjoint[ends.a] += c.slope[passage];
                    adjoint[ends.b] -= c.slope[passage];
                }
            }
            Observation::Flows(weights) => {
                for (passage, weight) in weights {
                    if let Some(ends) = shape.ends.get(*passage) {
                        adjoint[ends.a] += weight * c.slope[*passage];
                        adjoint[ends.b] -= weight * c.slope[*passage];
                    }
                }
            }
            Observation::HeldFlow(_) => {}
        }
        // Outdoors and held pressures do not move.
        for (row, value) in adjoint.iter_mut().enumerate() {
            if row >= zones || known(row) {
                *value = 0.0;
            }
        }
        shape.pattern.solve_lanes(Plain, &c.values, &c.inverse_pivot, &mut adjoint[..zones]);
        if let Some(row) = fan_row {
            adjoint[row] = -1.0;
        }
        into.by_flow.clear();
        into.by_flow.extend(shape.ends.iter().map(|ends| adjoint[ends.b] - adjoint[ends.a]));
        if let Observation::Flow(passage) = observation
            && let Some(direct) = into.by_flow.get_mut(passage)
        {
            *direct += 1.0;
        }
        if let Observation::Flows(weights) = observation {
            for (passage, weight) in weights {
                if let Some(direct) = into.by_flow.get_mut(*passage) {
                    *direct += weight;
                }
            }
        }
        into.by_wind.clear();
        into.by_wind.resize(shape.wind_count, 0.0);
        for (k, passage) in network.passages.iter().enumerate() {
            let by_dp = into.by_flow[k] * c.slope[k];
            for (node, sign) in [(passage.a, 1.0), (passage.b, -1.0)] {
                match node {
                    Node::Outdoors { wind } => into.by_wind[wind] += sign * by_dp,
                    Node::Zone(zone) if known(shape.pattern.row_of(zone)) => {
                        into.by_held[zone] += sign * by_dp;
                    }
                    Node::Zone(_) => {}
                }
            }
        }
    }
}
