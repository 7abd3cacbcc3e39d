//! What a solver holds in memory: the laws at the moment's densities, two states, the factor.
//!
//! Leaks, the bulk of a house, are kept as columns and worked out in lanes; the few passages of
//! other kinds overwrite their places one by one. Both use the formulas of [`law`].
//! Pressures are in the factor's row order with one more entry for outdoors that stays zero, so
//! that no passage needs a branch. A held zone keeps its row as an identity.

use super::error::SolveError;
use super::kernel::pow_each;
use super::law::{self, DamperTerms, FLOOR_SLOPE_KG_S_PA, GRAVITY_M_S2, OpeningTerms, Point, SMOOTHING_PA};
use super::solve::TOLERANCE;
use super::{Boundary, Kind, Network, Node};
use crate::air::{REFERENCE_DENSITY_KG_M3, REFERENCE_TEMP_K, viscosity_pa_s};
use crate::linalg::Ldlt;

/// Share of the summed flows below which a residual is rounding.
const ROUNDING: f64 = 1e-14;
/// Residual below which a network without any drive counts as at rest, kg/s.
const REST_KG_S: f64 = 1e-13;

/// A passage's law with the densities and viscosities of the moment.
#[derive(Clone, Copy, Debug)]
pub(super) enum Law {
    /// Mass flow coefficients for air of a and of b, kg/(s Pa^n).
    Leak {
        forward: f64,
        backward: f64,
        n: f64,
    },
    Damper(DamperTerms),
    Opening(OpeningTerms),
    Fixed(f64),
    Curve {
        inlet_density: f64,
    },
}

/// The leaks among the passages as columns, so that their law is worked out in lanes. Passages of
/// another kind have coefficients of zero here and are listed apart.
#[derive(Clone, Debug, Default)]
pub(super) struct Columns {
    offset: Vec<f64>,
    /// Coefficient for air of a, which flows where the pressure difference is positive.
    forward: Vec<f64>,
    /// Coefficient for air of b.
    backward: Vec<f64>,
    n_less_one: Vec<f64>,
    half_n_less_one: Vec<f64>,
    inverse_n_plus_one: Vec<f64>,
    /// Potential of a unit coefficient at rest, taken off so that both directions meet there.
    at_rest: Vec<f64>,
    others: Vec<usize>,
}

impl Columns {
    fn resize(&mut self, passages: usize) {
        for column in [
            &mut self.offset,
            &mut self.forward,
            &mut self.backward,
            &mut self.n_less_one,
            &mut self.half_n_less_one,
            &mut self.inverse_n_plus_one,
            &mut self.at_rest,
        ] {
            column.resize(passages, 0.0);
        }
        self.others.reserve(passages);
    }
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
    /// Scratch: powers of `dp^2 + e^2`, then the potential of each leak.
    power: Vec<f64>,
    pub(super) potential: f64,
    /// Sum of the absolute potentials: what the potential's rounding is measured by.
    pub(super) potential_size: f64,
    flow_size: f64,
    /// Sum of |outflow| over the zones that are not held.
    pub(super) residual: f64,
    pub(super) throughflow: f64,
}

impl State {
    fn resize(&mut self, zones: usize, passages: usize) {
        self.p.resize(zones + 1, 0.0);
        self.outflow.resize(zones + 1, 0.0);
        self.dp.resize(passages, 0.0);
        self.flow.resize(passages, 0.0);
        self.slope.resize(passages, 0.0);
        self.power.resize(passages, 0.0);
    }

    pub(super) fn limit(&self, tolerance: f64) -> f64 {
        tolerance * self.throughflow + ROUNDING * self.flow_size + REST_KG_S
    }
}

/// Which of the two states of a workspace.
#[derive(Clone, Copy)]
pub(super) enum Which {
    Now,
    Trial,
}

/// Memory of a solver, made once for a network and reused: solving again allocates nothing.
#[derive(Clone, Debug)]
pub struct Workspace {
    pub(super) tolerance: f64,
    pub(super) smoothing2: f64,
    pub(super) ldlt: Ldlt,
    pub(super) terms: Vec<Term>,
    columns: Columns,
    /// Scratch: the correction of each leak for density and viscosity of the air of a, and of b.
    correction: [Vec<f64>; 2],
    exponent: Vec<f64>,
    pub(super) now: State,
    pub(super) trial: State,
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
            columns: Columns::default(),
            correction: [Vec::new(), Vec::new()],
            exponent: Vec::new(),
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
        self.terms.resize(passages, Term { offset: 0.0, law: Law::Fixed(0.0) });
        self.columns.resize(passages);
        self.correction.iter_mut().for_each(|c| c.resize(passages, 1.0));
        self.exponent.resize(passages, 0.0);
        self.now.resize(zones, passages);
        self.trial.resize(zones, passages);
        self.step.resize(zones + 1, 0.0);
        self.known.resize(zones + 1, true);
        self.density.resize(zones + 1, 0.0);
        self.viscosity.resize(zones + 1, 0.0);
        self.shape = shape;
    }

    /// Checks the boundary, takes over the held pressures, fills the laws.
    pub(super) fn prepare(&mut self, network: &Network, boundary: &Boundary) -> Result<(), SolveError> {
        self.fit(network);
        boundary.check(network)?;
        self.any_held = boundary.held_pa.iter().any(Option::is_some);
        if !network.isolated.is_empty() {
            let held: Vec<usize> =
                (0..network.zone_count()).filter(|&zone| boundary.held_pa[zone].is_some()).collect();
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

        self.correct(network);
        let c = &mut self.columns;
        c.others.clear();
        for (k, (passage, ends)) in network.passages.iter().zip(&network.ends).enumerate() {
            let (rho_a, rho_b) = (self.density[ends.a], self.density[ends.b]);
            let factors = [self.correction[0][k], self.correction[1][k]];
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
                    Law::Leak { forward: c_m3_s_pan * factors[0], backward: c_m3_s_pan * factors[1], n }
                }
                // What passes an open damper is air of a.
                Kind::Damper { c_m3_s_pan, n, closed_c_m3_s_pan, opens_pa } => Law::Damper(DamperTerms {
                    closed: closed_c_m3_s_pan * factors[0],
                    more: (c_m3_s_pan - closed_c_m3_s_pan) * factors[0],
                    n,
                    opens_pa,
                }),
                Kind::Opening { width_m, height_m, bottom_m, discharge } => {
                    let base = discharge * width_m * height_m;
                    Law::Opening(OpeningTerms {
                        forward: base * (2.0 * rho_a).sqrt(),
                        backward: base * (2.0 * rho_b).sqrt(),
                        sill_pa: lift * bottom_m,
                        rise_pa: lift * height_m,
                    })
                }
                Kind::Fixed { kg_s } => Law::Fixed(kg_s),
                Kind::Curve(_) => Law::Curve { inlet_density: rho_a },
            };
            // An opening counts from the ground and carries its own heights.
            let height_m = if matches!(law, Law::Opening(_)) { 0.0 } else { passage.z_m };
            let term = Term { offset: offset + lift * height_m, law };
            self.terms[k] = term;
            c.offset[k] = term.offset;
            let (forward, backward, n) = match law {
                Law::Leak { forward, backward, n } => (forward, backward, n),
                _ => {
                    c.others.push(k);
                    (0.0, 0.0, 1.0)
                }
            };
            c.forward[k] = forward;
            c.backward[k] = backward;
            c.n_less_one[k] = n - 1.0;
            c.half_n_less_one[k] = 0.5 * (n - 1.0);
            c.inverse_n_plus_one[k] = 1.0 / (n + 1.0);
            c.at_rest[k] = self.smoothing2;
            self.exponent[k] = 0.5 * (n + 1.0);
        }
        pow_each(&mut c.at_rest, &self.exponent);
        for (rest, inverse) in c.at_rest.iter_mut().zip(&c.inverse_n_plus_one) {
            *rest *= inverse;
        }
        Ok(())
    }

    /// Factor from each leak's volumetric coefficient at reference conditions to its mass flow
    /// coefficient, `rho0 (rho/rho0)^n (mu0/mu)^(2n-1)` in kg/m3, for the air of either side: what
    /// flows through a leak is air of the side it comes from, as the fan-test standards have it.
    fn correct(&mut self, network: &Network) {
        let mu0 = viscosity_pa_s(REFERENCE_TEMP_K);
        for (side, correction) in self.correction.iter_mut().enumerate() {
            for (k, (passage, ends)) in network.passages.iter().zip(&network.ends).enumerate() {
                let row = if side == 0 { ends.a } else { ends.b };
                let (base, n) = match passage.kind {
                    Kind::Leak { n, .. } | Kind::Damper { n, .. } => {
                        let ratio = mu0 / self.viscosity[row];
                        (self.density[row] / REFERENCE_DENSITY_KG_M3 * ratio * ratio, n)
                    }
                    _ => (1.0, 0.0),
                };
                correction[k] = base;
                self.exponent[k] = n;
            }
            pow_each(correction, &self.exponent);
            for (factor, ends) in correction.iter_mut().zip(&network.ends) {
                let row = if side == 0 { ends.a } else { ends.b };
                *factor *= REFERENCE_DENSITY_KG_M3 * self.viscosity[row] / mu0;
            }
        }
    }

    /// Flows, slopes, residuals and potential at the pressures of `now` or `trial`.
    pub(super) fn evaluate(&mut self, network: &Network, which: Which) {
        let state = match which {
            Which::Now => &mut self.now,
            Which::Trial => &mut self.trial,
        };
        evaluate(network, &self.terms, &self.columns, &self.known, self.smoothing2, state);
    }

    /// Derivative of the logarithm of a leak's coefficient, corrected for density and viscosity of
    /// the air that comes from a (or from b), by its exponent.
    pub(super) fn joint_ratio_ln(&self, network: &Network, passage: usize, from_a: bool) -> f64 {
        let ends = &network.ends[passage];
        let row = if from_a { ends.a } else { ends.b };
        let viscosity_ratio = viscosity_pa_s(REFERENCE_TEMP_K) / self.viscosity[row];
        crate::math::ln(self.density[row] / REFERENCE_DENSITY_KG_M3 * viscosity_ratio * viscosity_ratio)
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
        self.ldlt.factor(&network.profile).map_err(|e| SolveError::Singular {
            zone: e.unknown,
            pivot_kg_s_pa: e.pivot,
            iteration,
        })
    }

    /// The Newton step from the state at hand, and the potential's slope along it.
    pub(super) fn newton_step(&mut self, network: &Network) -> f64 {
        let zones = network.zone_count();
        for row in 0..zones {
            self.step[row] = if self.known[row] { 0.0 } else { -self.now.outflow[row] };
        }
        self.step[zones] = 0.0;
        self.ldlt.solve_rows(&network.profile, &mut self.step[..zones]);
        self.step.iter().zip(&self.now.outflow).map(|(d, r)| d * r).sum()
    }
}

/// One passage's law at one pressure difference.
#[inline(always)]
pub(super) fn point(law: &Law, kind: &Kind, e2: f64, dp: f64) -> Point {
    match law {
        Law::Leak { forward, backward, n } => {
            law::leak(if dp >= 0.0 { *forward } else { *backward }, *n, e2, dp)
        }
        Law::Damper(terms) => law::damper(terms, e2, dp),
        Law::Opening(terms) => law::opening(terms, e2, dp).net(),
        Law::Fixed(flow) => Point { flow: *flow, slope: 0.0, potential: flow * dp },
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
fn evaluate(
    network: &Network,
    terms: &[Term],
    columns: &Columns,
    known: &[bool],
    e2: f64,
    state: &mut State,
) {
    let c = columns;
    let count = terms.len();
    let (dp, power) = (&mut state.dp[..count], &mut state.power[..count]);
    for ((dp, power), (ends, offset)) in
        dp.iter_mut().zip(power.iter_mut()).zip(network.ends.iter().zip(&c.offset))
    {
        *dp = offset + state.p[ends.a] - state.p[ends.b];
        *power = *dp * *dp + e2;
    }
    pow_each(power, &c.half_n_less_one);
    // The law of a leak, as `law::leak` has it, for all passages in lanes.
    let (flow, slope) = (&mut state.flow[..count], &mut state.slope[..count]);
    let (forward, backward) = (&c.forward[..count], &c.backward[..count]);
    let (n_less_one, at_rest) = (&c.n_less_one[..count], &c.at_rest[..count]);
    let inverse_n_plus_one = &c.inverse_n_plus_one[..count];
    for i in 0..count {
        let d2 = dp[i] * dp[i];
        let s = d2 + e2;
        let k = if dp[i] >= 0.0 { forward[i] } else { backward[i] };
        let w = k * power[i];
        flow[i] = w * dp[i];
        slope[i] = w * (1.0 + n_less_one[i] * (d2 / s));
        power[i] = w * s * inverse_n_plus_one[i] - k * at_rest[i];
    }
    for &i in &c.others {
        let at = point(&terms[i].law, &network.passages[i].kind, e2, dp[i]);
        (flow[i], slope[i], power[i]) = (at.flow, at.slope, at.potential);
    }
    // One loop: the sums are chains of additions that wait for each other less side by side.
    let (mut potential, mut potential_size, mut flow_size) = (0.0, 0.0, 0.0);
    state.outflow.fill(0.0);
    for ((ends, &flow), &part) in network.ends.iter().zip(flow.iter()).zip(power.iter()) {
        state.outflow[ends.a] += flow;
        state.outflow[ends.b] -= flow;
        potential += part;
        potential_size += part.abs();
        flow_size += flow.abs();
    }
    state.potential = potential;
    state.potential_size = potential_size;
    state.flow_size = flow_size;
    let (mut inward, mut outward) = (0.0, 0.0);
    for &(k, sign) in &network.outer {
        let out = sign * state.flow[k];
        outward += if out > 0.0 { out } else { 0.0 };
        inward += if out < 0.0 { -out } else { 0.0 };
    }
    state.throughflow = if inward > outward { inward } else { outward };
    let free = state.outflow.iter().zip(known).filter(|&(_, &known)| !known);
    state.residual = free.map(|(r, _)| r.abs()).sum();
}
