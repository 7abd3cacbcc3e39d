//! Newton's method on the potential of the network.
//!
//! Unknowns are the zones' reference pressures in the factor's row order, with one more entry for
//! outdoors that stays zero, so that no passage needs a branch. A held zone keeps its row as an
//! identity. The step is accepted by Armijo's test on the potential; where the predicted fall is
//! lost in rounding, by a fall of the residual instead. The last step is always a full Newton step
//! from a point that already meets the tolerance, and its linear flows are what is handed on:
//! they balance to rounding whatever the tolerance.

use super::error::{Carrying, Given, SolveError};
use super::law::{
    self, DamperTerms, FLOOR_SLOPE_KG_S_PA, GRAVITY_M_S2, OpeningTerms, Point,
    REFERENCE_DENSITY_KG_M3, REFERENCE_TEMP_K, SMOOTHING_PA, leak_factor, viscosity_pa_s,
};
use super::{Boundary, Kind, Network, Node};
use crate::linalg::Ldlt;

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
/// Share of the summed flows below which a residual is rounding.
const ROUNDING: f64 = 1e-14;
/// Residual below which a network without any drive counts as at rest, kg/s.
const REST_KG_S: f64 = 1e-13;

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

/// A passage's law with the densities and viscosities of the moment.
#[derive(Clone, Copy, Debug)]
pub(super) enum Law {
    Leak { k: f64, n: f64 },
    Damper(DamperTerms),
    Opening(OpeningTerms),
    Fixed(f64),
    Curve { inlet_density: f64 },
}

#[derive(Clone, Copy, Debug)]
pub(super) struct Term {
    /// Pressure difference where both reference pressures are zero, Pa.
    pub(super) offset: f64,
    pub(super) law: Law,
}

/// Everything known at one set of pressures.
#[derive(Clone, Debug, Default)]
pub(super) struct State {
    /// Reference pressures by row, then outdoors (zero).
    pub(super) p: Vec<f64>,
    /// Net outflow by row; the last entry collects what concerns outdoors.
    pub(super) outflow: Vec<f64>,
    pub(super) dp: Vec<f64>,
    pub(super) flow: Vec<f64>,
    pub(super) slope: Vec<f64>,
    potential: f64,
    /// Sum of the absolute potentials: what the potential's rounding is measured by.
    potential_size: f64,
    flow_size: f64,
    /// Sum of |outflow| over the zones that are not held.
    residual: f64,
    throughflow: f64,
}

impl State {
    fn resize(&mut self, zones: usize, passages: usize) {
        self.p.resize(zones + 1, 0.0);
        self.outflow.resize(zones + 1, 0.0);
        self.dp.resize(passages, 0.0);
        self.flow.resize(passages, 0.0);
        self.slope.resize(passages, 0.0);
    }

    fn limit(&self, tolerance: f64) -> f64 {
        tolerance * self.throughflow + ROUNDING * self.flow_size + REST_KG_S
    }
}

/// Memory of a solver, made once for a network and reused: solving again allocates nothing.
#[derive(Clone, Debug)]
pub struct Workspace {
    tolerance: f64,
    pub(super) smoothing2: f64,
    pub(super) ldlt: Ldlt,
    pub(super) terms: Vec<Term>,
    pub(super) now: State,
    trial: State,
    pub(super) step: Vec<f64>,
    /// Whether a row's pressure is known (held, or outdoors).
    pub(super) known: Vec<bool>,
    any_held: bool,
    density: Vec<f64>,
    viscosity: Vec<f64>,
    shape: (usize, usize, usize),
}

impl Workspace {
    /// Memory for a network, with the tolerance for simulation.
    pub fn new(network: &Network) -> Self {
        let mut workspace = Self {
            tolerance: TOLERANCE,
            smoothing2: SMOOTHING_PA * SMOOTHING_PA,
            ldlt: Ldlt::new(&network.profile),
            terms: Vec::new(),
            now: State::default(),
            trial: State::default(),
            step: Vec::new(),
            known: Vec::new(),
            any_held: false,
            density: Vec::new(),
            viscosity: Vec::new(),
            shape: (0, 0, 0),
        };
        workspace.fit(network);
        workspace
    }

    /// The same with another tolerance: residuals as a share of the outdoor throughflow.
    #[must_use]
    pub fn with_tolerance(mut self, tolerance: f64) -> Self {
        self.tolerance = tolerance;
        self
    }

    /// The same with another smoothing pressure in place of [`SMOOTHING_PA`], to show what the
    /// constant changes.
    #[must_use]
    pub fn with_smoothing_pa(mut self, smoothing_pa: f64) -> Self {
        self.smoothing2 = smoothing_pa * smoothing_pa;
        self
    }

    /// Makes the sizes right for a network; does nothing when they are.
    fn fit(&mut self, network: &Network) {
        let (zones, passages) = (network.zone_count(), network.passages.len());
        let shape = (zones, passages, network.profile.stored());
        if self.shape == shape {
            return;
        }
        self.ldlt = Ldlt::new(&network.profile);
        self.terms.resize(
            passages,
            Term {
                offset: 0.0,
                law: Law::Fixed(0.0),
            },
        );
        self.now.resize(zones, passages);
        self.trial.resize(zones, passages);
        self.step.resize(zones + 1, 0.0);
        self.known.resize(zones + 1, true);
        self.density.resize(zones + 1, 0.0);
        self.viscosity.resize(zones + 1, 0.0);
        self.shape = shape;
    }

    /// Checks the boundary, takes over the held pressures, fills the laws.
    pub(super) fn prepare(
        &mut self,
        network: &Network,
        boundary: &Boundary,
    ) -> Result<(), SolveError> {
        self.fit(network);
        boundary.check(network)?;
        self.any_held = boundary.held_pa.iter().any(Option::is_some);
        if !network.isolated.is_empty() {
            let held: Vec<usize> = (0..network.zone_count())
                .filter(|&zone| boundary.held_pa[zone].is_some())
                .collect();
            let zones = network.unreached(&held);
            if !zones.is_empty() {
                return Err(SolveError::Isolated { zones });
            }
        }
        let outdoors = network.zone_count();
        for (row, &zone) in network.profile.order().iter().enumerate() {
            self.density[row] = boundary.zone_density_kg_m3[zone];
            self.viscosity[row] = viscosity_pa_s(boundary.zone_temp_k[zone]);
            self.known[row] = boundary.held_pa[zone].is_some();
        }
        self.density[outdoors] = boundary.outdoor_density_kg_m3;
        self.viscosity[outdoors] = viscosity_pa_s(boundary.outdoor_temp_k);
        self.known[outdoors] = true;

        let mu0 = viscosity_pa_s(REFERENCE_TEMP_K);
        for ((term, passage), ends) in self
            .terms
            .iter_mut()
            .zip(&network.passages)
            .zip(&network.ends)
        {
            let (rho_a, rho_b) = (self.density[ends.a], self.density[ends.b]);
            let mean_ratios = || {
                let density = 0.5 * (rho_a + rho_b) / REFERENCE_DENSITY_KG_M3;
                (
                    density,
                    2.0 * mu0 / (self.viscosity[ends.a] + self.viscosity[ends.b]),
                )
            };
            let mut offset = 0.0;
            if let Node::Outdoors { wind } = passage.a {
                offset += boundary.wind_pa[wind];
            }
            if let Node::Outdoors { wind } = passage.b {
                offset -= boundary.wind_pa[wind];
            }
            let lift = (rho_b - rho_a) * GRAVITY_M_S2;
            let law = match passage.kind {
                Kind::Leak { c_m3_s_pan, n } => {
                    let (density, viscosity) = mean_ratios();
                    Law::Leak {
                        k: c_m3_s_pan * leak_factor(density, viscosity, n),
                        n,
                    }
                }
                Kind::Damper {
                    c_m3_s_pan,
                    n,
                    closed_c_m3_s_pan,
                    opens_pa,
                } => {
                    let (density, viscosity) = mean_ratios();
                    let factor = leak_factor(density, viscosity, n);
                    Law::Damper(DamperTerms {
                        closed: closed_c_m3_s_pan * factor,
                        more: (c_m3_s_pan - closed_c_m3_s_pan) * factor,
                        n,
                        opens_pa,
                    })
                }
                Kind::Opening {
                    width_m,
                    height_m,
                    bottom_m,
                    discharge,
                } => {
                    let base = discharge * width_m * height_m;
                    Law::Opening(OpeningTerms {
                        forward: base * (2.0 * rho_a).sqrt(),
                        backward: base * (2.0 * rho_b).sqrt(),
                        sill_pa: lift * bottom_m,
                        rise_pa: lift * height_m,
                    })
                }
                Kind::Fixed { kg_s } => Law::Fixed(kg_s),
                Kind::Curve(_) => Law::Curve {
                    inlet_density: rho_a,
                },
            };
            // An opening counts from the ground and carries its own heights.
            let height_m = if matches!(law, Law::Opening(_)) {
                0.0
            } else {
                passage.z_m
            };
            *term = Term {
                offset: offset + lift * height_m,
                law,
            };
        }
        Ok(())
    }

    /// Derivative of the logarithm of a leak's coefficient, corrected for density and viscosity,
    /// by its exponent.
    pub(super) fn joint_ratio_ln(&self, network: &Network, passage: usize) -> f64 {
        let ends = &network.ends[passage];
        let density = 0.5 * (self.density[ends.a] + self.density[ends.b]) / REFERENCE_DENSITY_KG_M3;
        let viscosity = 0.5 * (self.viscosity[ends.a] + self.viscosity[ends.b]);
        let viscosity_ratio = viscosity_pa_s(REFERENCE_TEMP_K) / viscosity;
        crate::math::ln(density * viscosity_ratio * viscosity_ratio)
    }

    /// Fills the matrix of slopes and factors it.
    pub(super) fn factor(&mut self, network: &Network, iteration: usize) -> Result<(), SolveError> {
        let outdoors = network.zone_count();
        let values = self.ldlt.values_mut();
        values.fill(0.0);
        for (ends, &g) in network.ends.iter().zip(&self.now.slope) {
            let free_a = ends.a < outdoors && !self.known[ends.a];
            let free_b = ends.b < outdoors && !self.known[ends.b];
            if free_a {
                values[network.diagonal[ends.a]] += g;
            }
            if free_b {
                values[network.diagonal[ends.b]] += g;
            }
            if free_a && free_b {
                values[ends.slot] -= g;
            }
        }
        if self.any_held {
            for (row, &slot) in network.diagonal.iter().enumerate() {
                if self.known[row] {
                    values[slot] = 1.0;
                }
            }
        }
        self.ldlt
            .factor(&network.profile)
            .map_err(|e| SolveError::Singular {
                zone: e.unknown,
                pivot_kg_s_pa: e.pivot,
                iteration,
            })
    }

    /// The Newton step from the state at hand, and the potential's slope along it.
    fn newton_step(&mut self, network: &Network) -> f64 {
        let zones = network.zone_count();
        for row in 0..zones {
            self.step[row] = if self.known[row] {
                0.0
            } else {
                -self.now.outflow[row]
            };
        }
        self.step[zones] = 0.0;
        self.ldlt
            .solve_rows(&network.profile, &mut self.step[..zones]);
        self.step
            .iter()
            .zip(&self.now.outflow)
            .map(|(d, r)| d * r)
            .sum()
    }
}

/// One passage's law at one pressure difference.
#[inline(always)]
pub(super) fn point(law: &Law, kind: &Kind, e2: f64, dp: f64) -> Point {
    match law {
        Law::Leak { k, n } => law::leak(*k, *n, e2, dp),
        Law::Damper(terms) => law::damper(terms, e2, dp),
        Law::Opening(terms) => law::opening(terms, e2, dp).net(),
        Law::Fixed(flow) => Point {
            flow: *flow,
            slope: 0.0,
            potential: flow * dp,
        },
        Law::Curve { inlet_density } => match kind {
            Kind::Curve(curve) => {
                let p = curve.passage(*inlet_density, dp);
                Point {
                    flow: p.flow + FLOOR_SLOPE_KG_S_PA * dp,
                    slope: p.slope + FLOOR_SLOPE_KG_S_PA,
                    potential: p.potential + 0.5 * FLOOR_SLOPE_KG_S_PA * dp * dp,
                }
            }
            // `prepare` makes this law from a curve only.
            _ => Point::default(),
        },
    }
}

/// Flows, slopes, residuals and potential at `state.p`.
pub(super) fn evaluate(
    network: &Network,
    terms: &[Term],
    known: &[bool],
    e2: f64,
    state: &mut State,
) {
    let outdoors = network.zone_count();
    state.outflow.fill(0.0);
    let (mut potential, mut potential_size, mut flow_size) = (0.0, 0.0, 0.0);
    let (mut inward, mut outward) = (0.0, 0.0);
    for (k, term) in terms.iter().enumerate() {
        let ends = &network.ends[k];
        let dp = term.offset + state.p[ends.a] - state.p[ends.b];
        let at = point(&term.law, &network.passages[k].kind, e2, dp);
        state.dp[k] = dp;
        state.flow[k] = at.flow;
        state.slope[k] = at.slope;
        state.outflow[ends.a] += at.flow;
        state.outflow[ends.b] -= at.flow;
        potential += at.potential;
        potential_size += at.potential.abs();
        flow_size += at.flow.abs();
        if (ends.a == outdoors) != (ends.b == outdoors) {
            let out = if ends.b == outdoors {
                at.flow
            } else {
                -at.flow
            };
            if out > 0.0 {
                outward += out;
            } else {
                inward -= out;
            }
        }
    }
    state.potential = potential;
    state.potential_size = potential_size;
    state.flow_size = flow_size;
    state.throughflow = if inward > outward { inward } else { outward };
    let free = state
        .outflow
        .iter()
        .zip(known)
        .filter(|&(_, &known)| !known);
    state.residual = free.map(|(r, _)| r.abs()).sum();
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
/// at the same answer. Allocates nothing when workspace and solution have been used before with
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
    evaluate(network, &w.terms, &w.known, w.smoothing2, &mut w.now);
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
            return Err(SolveError::WrongLength {
                given,
                expected,
                found,
            });
        }
        if let Some(index) = start.iter().position(|p| !p.is_finite()) {
            return Err(SolveError::BadNumber {
                given: Given::Start,
                index,
                value: start[index],
            });
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
            Law::Leak { k, .. } => (k, k * dp),
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
        evaluate(network, &w.terms, &w.known, w.smoothing2, &mut w.trial);
        let accepted = if -share * fall > noise {
            w.trial.potential <= w.now.potential + ARMIJO * share * fall
        } else {
            w.trial.residual < w.now.residual
        };
        if accepted {
            std::mem::swap(&mut w.now, &mut w.trial);
            return Some(share);
        }
        share *= 0.5;
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
    solution
        .flows
        .resize(network.passages.len(), Flow::default());
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
            solution.flags.push(Flag::FanBeyondCurve {
                passage: k,
                rise_pa: -dp_pa,
            });
        }
        *flow = if net >= 0.0 {
            Flow {
                forward_kg_s: net + against,
                backward_kg_s: against,
                dp_pa,
            }
        } else {
            Flow {
                forward_kg_s: against,
                backward_kg_s: against - net,
                dp_pa,
            }
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

fn not_converged(
    network: &Network,
    w: &Workspace,
    iteration: usize,
    last_step_pa: f64,
) -> SolveError {
    let zones = network.zone_count();
    let row = (0..zones)
        .filter(|&row| !w.known[row])
        .max_by(|&a, &b| w.now.outflow[a].abs().total_cmp(&w.now.outflow[b].abs()))
        .unwrap_or(0);
    let mut touching: Vec<usize> = (0..network.passages.len())
        .filter(|&k| network.ends[k].a == row || network.ends[k].b == row)
        .collect();
    touching.sort_by(|&i, &j| w.now.flow[j].abs().total_cmp(&w.now.flow[i].abs()));
    let carrying = |&k: &usize| Carrying {
        passage: k,
        flow_kg_s: w.now.flow[k],
        dp_pa: w.now.dp[k],
    };
    SolveError::NotConverged {
        zone: network.profile.order().get(row).copied().unwrap_or(0),
        zone_residual_kg_s: w.now.outflow[row],
        residual_kg_s: w.now.residual,
        iteration,
        last_step_pa,
        dominating: touching.iter().take(4).map(carrying).collect(),
    }
}
