//! Newton's method on the potential of the network.
//!
//! The step is accepted by Armijo's test on the potential; where the predicted fall is
//! lost in rounding, by a fall of the residual instead. The last step is always a full Newton step
//! from a point that already meets the tolerance, and its linear flows are what is handed on:
//! they balance to rounding whatever the tolerance.

use super::error::{Carrying, Given, SolveError};
use super::law;
use super::workspace::{Law, Which, Workspace, point};
use super::{Boundary, Kind, Network};

/// Stop for simulation: sum of residuals as a share of the outdoor throughflow.
pub const TOLERANCE: f64 = 1e-5;

/// Stop for the fit, which differentiates the answer.
pub const TOLERANCE_FIT: f64 = 1e-8;

/// A pressure beyond this in an answer is flagged, Pa.
pub const HIGH_PRESSURE_PA: f64 = 500.0;

const MAX_ITERATIONS: usize = 60;
const MAX_HALVINGS: usize = 40;
/// Armijo's constant (Nocedal and Wright 2006, section 3.1).
const ARMIJO: f64 = 1e-4;
/// Slope of the potential at the far end of a step, as a share of that at its start, beyond which
/// the step is shortened. A square root law overshoots its zero to the mirror image, where the
/// potential is the same: Armijo's test alone lets open doors swing for 60 steps (seen).
const OVERSHOOT: f64 = 0.2;
/// Flow through one passage.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Flow {
    /// Flow from a to b, kg/s, not negative.
    pub forward_kg_s: f64,
    /// Flow from b to a, kg/s, not negative. Both are positive only in an opening.
    pub backward_kg_s: f64,
    /// Pressure of a less that of b at the passage's height (an opening: mid-height), Pa.
    pub dp_pa: f64,
}

impl Flow {
    /// Net flow from a to b, kg/s.
    pub fn net_kg_s(&self) -> f64 {
        self.forward_kg_s - self.backward_kg_s
    }
}

/// Something in a solution that its reader should know.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Flag {
    /// A fan works beyond the ends of its curve, on the straight continuation.
    FanBeyondCurve {
        /// The passage.
        passage: usize,
        /// Pressure rise over the fan, Pa.
        rise_pa: f64,
    },
    /// A pressure beyond [`HIGH_PRESSURE_PA`].
    HighPressure {
        /// The zone.
        zone: usize,
        /// Its reference pressure, Pa.
        zone_pa: f64,
    },
}

/// Pressures and flows at which every zone's mass balances.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Solution {
    /// Reference pressure of each zone, Pa.
    pub zone_pa: Vec<f64>,
    /// Flow through each passage; the zones' balances close to rounding.
    pub flows: Vec<Flow>,
    /// Flow the test fan blows into each zone whose pressure is held, kg/s; zero elsewhere.
    pub held_flow_kg_s: Vec<f64>,
    /// Newton steps taken.
    pub iterations: usize,
    /// Sum of the absolute residuals before the last step, kg/s.
    pub residual_kg_s: f64,
    /// Air that enters from outdoors (or leaves, where that is more), kg/s.
    pub throughflow_kg_s: f64,
    /// What the reader should know.
    pub flags: Vec<Flag>,
}

/// Solves the network; see [`solve_into`].
///
/// # Errors
/// As [`solve_into`].
pub fn solve(
    network: &Network,
    boundary: &Boundary,
    workspace: &mut Workspace,
    start: Option<&[f64]>,
) -> Result<Solution, SolveError> {
    let mut solution = Solution::default();
    solve_into(network, boundary, workspace, start, &mut solution)?;
    Ok(solution)
}

/// Finds the pressures at which every zone's mass balances, into `solution`.
///
/// `start` gives the zones' reference pressures to begin with, in Pa (the last solution, say);
/// without it the network with every passage made linear at 1 Pa is solved first. Any start ends
/// at the same answer; the last solution is the better one where boundaries move little, none
/// where they are new (measured on 300 houses: 3.2 steps; 5.8 from other weather, 5.2 from none). Allocates nothing when workspace and solution have been used before with
/// this network (flags apart).
///
/// # Errors
/// [`SolveError`]: a boundary of wrong length or with bad numbers, zones that nothing ties to
/// outdoors, a lost pivot, no balance after 60 steps.
pub fn solve_into(
    network: &Network,
    boundary: &Boundary,
    workspace: &mut Workspace,
    start: Option<&[f64]>,
    solution: &mut Solution,
) -> Result<(), SolveError> {
    let w = workspace;
    w.prepare(network, boundary)?;
    load_start(network, boundary, w, start)?;
    let mut last_step_pa = 0.0;
    w.evaluate(network, Which::Now);
    for iteration in 1..=MAX_ITERATIONS {
        w.factor(network, iteration)?;
        let fall = w.newton_step(network);
        if w.now.residual <= w.now.limit(w.tolerance) {
            hand_over(network, w, iteration, solution);
            return Ok(());
        }
        match search(network, w, fall) {
            Some(share) => last_step_pa = share * largest(&w.step),
            None => return Err(not_converged(network, w, iteration, last_step_pa)),
        }
    }
    Err(not_converged(network, w, MAX_ITERATIONS, last_step_pa))
}

/// Puts the start into `now.p`.
fn load_start(
    network: &Network,
    boundary: &Boundary,
    w: &mut Workspace,
    start: Option<&[f64]>,
) -> Result<(), SolveError> {
    let zones = network.zone_count();
    if let Some(start) = start {
        if start.len() != zones {
            let (given, expected, found) = (Given::Start, zones, start.len());
            return Err(SolveError::WrongLength { given, expected, found });
        }
        if let Some(index) = start.iter().position(|p| !p.is_finite()) {
            return Err(SolveError::BadNumber { given: Given::Start, index, value: start[index] });
        }
    }
    w.now.p[zones] = 0.0;
    for (row, &zone) in network.profile.order().iter().enumerate() {
        let begin = start.map_or(0.0, |start| start[zone]);
        w.now.p[row] = boundary.held_pa[zone].unwrap_or(begin);
    }
    if start.is_none() {
        linear_start(network, w)?;
    }
    Ok(())
}

/// Pressures of the network with every passage linear through its flow at 1 Pa.
fn linear_start(network: &Network, w: &mut Workspace) -> Result<(), SolveError> {
    let zones = network.zone_count();
    w.now.outflow.fill(0.0);
    for k in 0..w.terms.len() {
        let ends = &network.ends[k];
        let dp = w.terms[k].offset + w.now.p[ends.a] - w.now.p[ends.b];
        let (slope, flow) = match w.terms[k].law {
            Law::Leak { forward, .. } => (forward, forward * dp),
            Law::Damper(d) => (d.closed + d.more, (d.closed + d.more) * (dp - d.opens_pa)),
            Law::Opening(o) => (o.forward, o.forward * (dp + o.sill_pa + 0.5 * o.rise_pa)),
            Law::Fixed(_) | Law::Curve { .. } => {
                let at = point(&w.terms[k].law, &network.passages[k].kind, w.smoothing2, dp);
                (at.slope, at.flow)
            }
        };
        w.now.slope[k] = slope;
        w.now.outflow[ends.a] += flow;
        w.now.outflow[ends.b] -= flow;
    }
    w.factor(network, 0)?;
    w.newton_step(network);
    for row in 0..zones {
        w.now.p[row] += w.step[row];
    }
    Ok(())
}

/// Goes along the step until the potential has fallen enough; the share of the step taken.
fn search(network: &Network, w: &mut Workspace, fall: f64) -> Option<f64> {
    let noise = 1e-13 * w.now.potential_size;
    let mut share = 1.0;
    for _ in 0..MAX_HALVINGS {
        for ((trial, now), step) in w.trial.p.iter_mut().zip(&w.now.p).zip(&w.step) {
            *trial = now + share * step;
        }
        w.evaluate(network, Which::Trial);
        let predicted = -share * fall;
        if predicted <= noise {
            if w.trial.residual < w.now.residual {
                std::mem::swap(&mut w.now, &mut w.trial);
                return Some(share);
            }
            share *= 0.5;
            continue;
        }
        let fallen = w.trial.potential <= w.now.potential - ARMIJO * predicted;
        let slope: f64 = w.step.iter().zip(&w.trial.outflow).map(|(d, r)| d * r).sum();
        if fallen && slope <= OVERSHOOT * -fall {
            std::mem::swap(&mut w.now, &mut w.trial);
            return Some(share);
        }
        // The potential's slope along the step has changed sign: its zero by the secant.
        let secant = fall / (fall - slope);
        share *= if slope > 0.0 && secant > 0.1 { secant } else { 0.5 };
    }
    None
}

/// Takes the last full step and hands on the flows of its linearisation.
fn hand_over(network: &Network, w: &Workspace, iterations: usize, solution: &mut Solution) {
    let zones = network.zone_count();
    solution.iterations = iterations;
    solution.residual_kg_s = w.now.residual;
    solution.throughflow_kg_s = w.now.throughflow;
    solution.flags.clear();
    solution.zone_pa.resize(zones, 0.0);
    solution.held_flow_kg_s.clear();
    solution.held_flow_kg_s.resize(zones, 0.0);
    for (row, &zone) in network.profile.order().iter().enumerate() {
        let zone_pa = w.now.p[row] + w.step[row];
        solution.zone_pa[zone] = zone_pa;
        if zone_pa.abs() > HIGH_PRESSURE_PA {
            solution.flags.push(Flag::HighPressure { zone, zone_pa });
        }
    }
    solution.flows.resize(network.passages.len(), Flow::default());
    for (k, flow) in solution.flows.iter_mut().enumerate() {
        let ends = &network.ends[k];
        let change = w.step[ends.a] - w.step[ends.b];
        let net = w.now.flow[k] + w.now.slope[k] * change;
        let mut dp_pa = w.now.dp[k] + change;
        // What the opening's weaker direction carries; nothing in any other passage.
        let mut against = 0.0;
        if let Law::Opening(o) = &w.terms[k].law {
            dp_pa += o.sill_pa + 0.5 * o.rise_pa;
            let both = law::opening(o, w.smoothing2, w.now.dp[k]);
            against = if net >= 0.0 {
                both.backward - both.backward_slope * change
            } else {
                both.forward + both.forward_slope * change
            };
            if against < 0.0 {
                against = 0.0;
            }
        }
        if let Law::Curve { inlet_density } = w.terms[k].law
            && let Kind::Curve(curve) = &network.passages[k].kind
            && curve.beyond(inlet_density, dp_pa)
        {
            solution.flags.push(Flag::FanBeyondCurve { passage: k, rise_pa: -dp_pa });
        }
        *flow = if net >= 0.0 {
            Flow { forward_kg_s: net + against, backward_kg_s: against, dp_pa }
        } else {
            Flow { forward_kg_s: against, backward_kg_s: against - net, dp_pa }
        };
        for (row, out) in [(ends.a, net), (ends.b, -net)] {
            if row < zones && w.known[row] {
                solution.held_flow_kg_s[network.profile.order()[row]] += out;
            }
        }
    }
}

fn largest(values: &[f64]) -> f64 {
    crate::math::max_valid(values.iter().map(|v| v.abs())).unwrap_or(f64::INFINITY)
}

fn not_converged(network: &Network, w: &Workspace, iteration: usize, last_step_pa: f64) -> SolveError {
    let zones = network.zone_count();
    let row = (0..zones)
        .filter(|&row| !w.known[row])
        .max_by(|&a, &b| w.now.outflow[a].abs().total_cmp(&w.now.outflow[b].abs()))
        .unwrap_or(0);
    let mut touching: Vec<usize> = (0..network.passages.len())
        .filter(|&k| network.ends[k].a == row || network.ends[k].b == row)
        .collect();
    touching.sort_by(|&i, &j| w.now.flow[j].abs().total_cmp(&w.now.flow[i].abs()));
    let carrying = |&k: &usize| Carrying { passage: k, flow_kg_s: w.now.flow[k], dp_pa: w.now.dp[k] };
    SolveError::NotConverged {
        zone: network.profile.order().get(row).copied().unwrap_or(0),
        zone_residual_kg_s: w.now.outflow[row],
        residual_kg_s: w.now.residual,
        iteration,
        last_step_pa,
        dominating: touching.iter().take(4).map(carrying).collect(),
    }
}
