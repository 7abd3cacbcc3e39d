//! The numbers of networks under solution, one in each lane, and what is worked out from them.
//!
//! Every list is flat: entry `i` of lane `l` stands at `i * lanes + l`. What treats each entry alone
//! (the law of a leak) runs over the flat list at the processor's full width, whether the lanes
//! are one house or eight; what follows the graph (differences, sums by row, the factor) is
//! written over `L: Lanes` and takes one house at a time where there is one. Sums over all
//! passages are taken in eight classes by place, so that their bits do not depend on either.
//! A held zone keeps its row as an identity.

use super::columns::Leaks;
use super::error::SolveError;
use super::kernel::{exp2, log2, log2_of_ratio};
use super::law::{
    self, DamperTerms, FLOOR_SLOPE_KG_S_PA, GRAVITY_M_S2, OpeningTerms, Point, SMOOTHING_PA, Smooth,
};
use super::run::{RunTerms, Side};
use super::shape::{Shape, WIDEST};
use super::{Boundary, Kind, Network};
use crate::air::{
    REFERENCE_DENSITY_KG_M3, REFERENCE_TEMP_K, SUTHERLAND_FACTOR, SUTHERLAND_K, viscosity_pa_s,
};
use crate::math::lanes::{Aligned, Lanes, Plain};
use std::sync::Arc;

/// Numbers a node in [`Core::air`].
const AIR: usize = 4;
/// Sums taken over all passages.
const SUMS: usize = 5;
/// Share of the summed flows below which a residual is rounding.
const ROUNDING: f64 = 1e-14;
/// Residual below which a network without any drive counts as at rest, kg/s.
const REST_KG_S: f64 = 1e-10;

/// The law of a passage that is no leak, with the densities and viscosities of the moment.
#[derive(Clone, Copy, Debug)]
pub(super) enum Law {
    /// In this lane it is a leak and stands in the columns.
    Leak,
    Damper(DamperTerms),
    Opening(OpeningTerms),
    Fixed(f64),
    Curve {
        inlet_density: f64,
    },
    Run(RunTerms),
}

/// Sums over one network.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Totals {
    pub(super) potential: f64,
    /// Sum of the absolute potentials: what the potential's rounding is measured by.
    pub(super) potential_size: f64,
    flow_size: f64,
    /// Sum of |outflow| over the zones that are not held.
    pub(super) residual: f64,
    pub(super) throughflow: f64,
    /// The step times the outflow: the potential's slope along the step.
    pub(super) along: f64,
}

impl Totals {
    pub(super) fn limit(&self, tolerance: f64) -> f64 {
        tolerance * self.throughflow + ROUNDING * self.flow_size + REST_KG_S
    }
}

/// The memory; see above for how it is laid out.
#[derive(Clone, Debug)]
pub(super) struct Core {
    pub(super) lanes: usize,
    pub(super) tolerance: f64,
    pub(super) smoothing2: f64,
    /// The shape that the lists are sized for.
    shape: Option<Arc<Shape>>,
    pub(super) leaks: Leaks,
    /// Pressure difference where both reference pressures are zero, Pa.
    offset: Aligned,
    /// Mass flow coefficient for air of a, which flows where the pressure difference is positive.
    forward: Aligned,
    /// Mass flow coefficient for air of b.
    backward: Aligned,
    outward: Aligned,
    // Passages that are no leak in one lane or more.
    pub(super) others: Vec<usize>,
    laws: Vec<Law>,
    // By node.
    density: Aligned,
    temp_k: Aligned,
    /// [`AIR`] numbers a node, one after another: the density, the logarithm to base two of
    /// `rho/rho0 (mu0/mu)^2`, `rho0 mu/mu0`, and one that is not used.
    air: Aligned,
    /// Reference pressures: zones by row, then the wind of each place outdoors.
    pub(super) p: Aligned,
    pub(super) p_now: Aligned,
    pub(super) step: Aligned,
    pub(super) fresh: Aligned,
    /// One where a zone's pressure is unknown, zero where it is held.
    pub(super) free: Aligned,
    pub(super) any_held: bool,
    pub(super) outflow: Aligned,
    /// What fans blow into each zone beside the passages, by row.
    blown: Aligned,
    /// By lane: the sum of those flows, and of their sizes.
    all_blown: [(f64, f64); WIDEST],
    /// Sum of the slopes around each zone.
    around: Aligned,
    // By passage, at the pressures `p`.
    pub(super) dp: Aligned,
    pub(super) flow: Aligned,
    pub(super) slope: Aligned,
    part: Aligned,
    /// What lanes that are done hand on: see [`last_flows`](Self::last_flows).
    pub(super) last_flow: Aligned,
    pub(super) last_dp: Aligned,
    /// Scratch: sums by class, of at most eight lanes.
    classes: Aligned,
    // The factor.
    pub(super) values: Aligned,
    pub(super) inverse_pivot: Aligned,
    pub(super) totals: [Totals; WIDEST],
}

impl Core {
    /// Memory for `lanes` networks of a shape; `lanes` divides [`WIDEST`].
    pub(super) fn new(lanes: usize, tolerance: f64, shape: &Arc<Shape>) -> Self {
        let mut core = Self {
            lanes,
            tolerance,
            smoothing2: SMOOTHING_PA * SMOOTHING_PA,
            shape: None,
            leaks: Leaks::new(lanes, shape.padded),
            offset: Aligned::default(),
            forward: Aligned::default(),
            backward: Aligned::default(),
            outward: Aligned::default(),
            others: Vec::new(),
            laws: Vec::new(),
            density: Aligned::default(),
            temp_k: Aligned::default(),
            air: Aligned::default(),
            p: Aligned::default(),
            p_now: Aligned::default(),
            step: Aligned::default(),
            fresh: Aligned::default(),
            free: Aligned::default(),
            any_held: false,
            outflow: Aligned::default(),
            blown: Aligned::default(),
            all_blown: [(0.0, 0.0); WIDEST],
            around: Aligned::default(),
            dp: Aligned::default(),
            flow: Aligned::default(),
            slope: Aligned::default(),
            part: Aligned::default(),
            last_flow: Aligned::default(),
            last_dp: Aligned::default(),
            classes: Aligned::new(SUMS * WIDEST * lanes, 0.0),
            values: Aligned::default(),
            inverse_pivot: Aligned::default(),
            totals: [Totals::default(); WIDEST],
        };
        core.fit(shape);
        core
    }

    /// Makes the lists right for a shape; does nothing when they are.
    pub(super) fn fit(&mut self, shape: &Arc<Shape>) {
        let n = self.lanes;
        if self.shape.as_ref().is_some_and(|old| Arc::ptr_eq(old, shape)) {
            return;
        }
        let same = self.shape.as_ref().is_some_and(|old| old == shape);
        self.shape = Some(Arc::clone(shape));
        if !same {
            self.leaks = Leaks::new(n, shape.padded);
            for by_passage in [
                &mut self.offset,
                &mut self.forward,
                &mut self.backward,
                &mut self.outward,
                &mut self.dp,
                &mut self.flow,
                &mut self.slope,
                &mut self.part,
                &mut self.last_flow,
                &mut self.last_dp,
            ] {
                *by_passage = Aligned::new(shape.padded * n, 0.0);
            }
            self.others = Vec::with_capacity(shape.passages);
            self.laws = Vec::with_capacity(shape.passages * n);
            let nodes = (shape.nodes() * n).next_multiple_of(WIDEST);
            for by_node in [
                (&mut self.density, 1.0),
                (&mut self.temp_k, 1.0),
                (&mut self.p, 0.0),
                (&mut self.p_now, 0.0),
                (&mut self.step, 0.0),
                (&mut self.fresh, 0.0),
                (&mut self.free, 0.0),
                (&mut self.outflow, 0.0),
                (&mut self.blown, 0.0),
                (&mut self.around, 0.0),
            ] {
                *by_node.0 = Aligned::new(nodes, by_node.1);
            }
            self.air = Aligned::new(shape.nodes() * AIR * n, 1.0);
            self.values = Aligned::new(shape.pattern.stored() * n, 0.0);
            self.inverse_pivot = Aligned::new(shape.zones * n, 0.0);
        }
        for (signs, sign) in self.outward.chunks_exact_mut(n).zip(&shape.outward) {
            signs.fill(f64::from(*sign));
        }
    }

    /// Checks a boundary and takes it over into one lane, with the network's leaks.
    pub(super) fn load(
        &mut self,
        lane: usize,
        network: &Network,
        boundary: &Boundary,
    ) -> Result<(), SolveError> {
        boundary.check(network)?;
        let shape = &*network.shape;
        if !network.isolated.is_empty() {
            let held: Vec<usize> =
                (0..shape.zones).filter(|&zone| boundary.held_pa[zone].is_some()).collect();
            let zones = network.unreached(&held);
            if !zones.is_empty() {
                return Err(SolveError::Isolated { zones });
            }
        }
        self.leaks.fill(lane, &network.columns, self.smoothing2);
        self.load_blown(lane, network);
        let n = self.lanes;
        let (density, temp_k) = (&mut *self.density, &mut *self.temp_k);
        let (free, p, p_now) = (&mut *self.free, &mut *self.p, &mut *self.p_now);
        for (row, &zone) in shape.pattern.order().iter().enumerate() {
            let at = row * n + lane;
            density[at] = boundary.zone_density_kg_m3[zone];
            temp_k[at] = boundary.zone_temp_k[zone];
            let held = boundary.held_pa[zone].is_some();
            free[at] = if held { 0.0 } else { 1.0 };
            self.any_held |= held;
        }
        for (wind, pressure) in boundary.wind_pa[..shape.wind_count].iter().enumerate() {
            let at = (shape.zones + wind) * n + lane;
            density[at] = boundary.outdoor_density_kg_m3;
            temp_k[at] = boundary.outdoor_temp_k;
            (p[at], p_now[at]) = (*pressure, *pressure);
        }
        for other in &network.columns.others {
            if let Err(place) = self.others.binary_search(other) {
                self.others.insert(place, *other);
            }
        }
        Ok(())
    }

    /// Takes over what fans blow into the zones.
    pub(super) fn load_blown(&mut self, lane: usize, network: &Network) {
        let (n, mut all) = (self.lanes, (0.0, 0.0));
        for (row, &zone) in network.shape.pattern.order().iter().enumerate() {
            let blown = network.blown[zone];
            self.blown[row * n + lane] = blown;
            all = (all.0 + blown, all.1 + blown.abs());
        }
        self.all_blown[lane] = all;
    }

    /// A lane that is not used: the numbers of another one.
    pub(super) fn copy_lane(&mut self, from: usize, to: usize) {
        let n = self.lanes;
        self.leaks.copy_lane(from, to);
        self.all_blown[to] = self.all_blown[from];
        for list in [
            &mut self.density,
            &mut self.temp_k,
            &mut self.p,
            &mut self.p_now,
            &mut self.free,
            &mut self.blown,
        ] {
            for entry in list.chunks_exact_mut(n) {
                entry[to] = entry[from];
            }
        }
    }

    /// Forgets which passages are no leaks and which zones are held: before lanes are loaded.
    pub(super) fn clear(&mut self) {
        self.others.clear();
        self.laws.clear();
        self.any_held = false;
    }

    /// Coefficients and offsets of the moment, once every lane is loaded. `network(lane)` is the
    /// one whose laws the lane has.
    ///
    /// The factor from a leak's volumetric coefficient at reference conditions to its mass flow
    /// coefficient is `rho0 (rho/rho0)^n (mu0/mu)^(2n-1)` in kg/m3, for the air of either side: what
    /// flows through a leak is air of the side it comes from, as the fan-test standards have it.
    #[inline(always)]
    pub(super) fn prepare<L: Lanes, E: Lanes>(&mut self, l: L, e: E, shape: &Shape) {
        // The standard's law, in `viscosity_pa_s`, for all nodes at once; the lists of the state serve
        // as scratch.
        let mu0 = viscosity_pa_s(REFERENCE_TEMP_K);
        let (per_rho0, to_scale) =
            (e.splat(1.0 / REFERENCE_DENSITY_KG_M3), e.splat(REFERENCE_DENSITY_KG_M3 / mu0));
        let (density, temp_k) = (E::view(&self.density), E::view(&self.temp_k));
        let (joints, scales) = (E::view_mut(&mut self.fresh), E::view_mut(&mut self.step));
        for (((&density, &temp_k), joint), scale) in density.iter().zip(temp_k).zip(joints).zip(scales) {
            let above = e.mul(e.mul(e.splat(SUTHERLAND_FACTOR), temp_k), e.sqrt(temp_k));
            let mu = e.div(above, e.add(temp_k, e.splat(SUTHERLAND_K)));
            let ratio = e.div(e.splat(mu0), mu);
            *joint = log2(e, e.mul(e.mul(density, per_rho0), e.mul(ratio, ratio)));
            *scale = e.mul(mu, to_scale);
        }
        let (density, joint) = (L::view(&self.density), L::view(&self.fresh));
        let scale = L::view(&self.step);
        for (node, air) in L::view_mut(&mut self.air).chunks_exact_mut(AIR).enumerate() {
            (air[0], air[1], air[2]) = (density[node], joint[node], scale[node]);
        }
        // A step is zero outdoors.
        for step in [&mut self.fresh, &mut self.step] {
            step.fill(0.0);
        }
        if L::N > 1 {
            self.coefficients_together(l, shape);
        } else {
            self.coefficients_alone(l, e, shape);
        }
    }

    #[inline(always)]
    fn coefficients_together<L: Lanes>(&mut self, l: L, shape: &Shape) {
        let count = shape.ends.len();
        let air = L::view(&self.air);
        let (gz, c) = (&L::view(&self.leaks.gz)[..count], &L::view(&self.leaks.c)[..count]);
        let n_less_one = &L::view(&self.leaks.n_less_one)[..count];
        let offset = &mut L::view_mut(&mut self.offset)[..count];
        let forward = &mut L::view_mut(&mut self.forward)[..count];
        let backward = &mut L::view_mut(&mut self.backward)[..count];
        let one = l.splat(1.0);
        for (k, ends) in shape.ends.iter().enumerate() {
            let (a, b) = (air_of(air, ends.a), air_of(air, ends.b));
            offset[k] = l.mul(l.sub(b[0], a[0]), gz[k]);
            let n = l.add(n_less_one[k], one);
            forward[k] = l.mul(l.mul(c[k], a[2]), exp2(l, l.mul(n, a[1])));
            backward[k] = l.mul(l.mul(c[k], b[2]), exp2(l, l.mul(n, b[1])));
        }
    }

    #[inline(always)]
    fn coefficients_alone<L: Lanes, E: Lanes>(&mut self, l: L, e: E, shape: &Shape) {
        let count = shape.ends.len();
        let air = L::view(&self.air);
        let gz = &L::view(&self.leaks.gz)[..count];
        let offset = &mut L::view_mut(&mut self.offset)[..count];
        // The lists of the state serve as scratch.
        let joint_a = &mut L::view_mut(&mut self.dp)[..count];
        let joint_b = &mut L::view_mut(&mut self.flow)[..count];
        let scale_a = &mut L::view_mut(&mut self.slope)[..count];
        let scale_b = &mut L::view_mut(&mut self.part)[..count];
        for (k, ends) in shape.ends.iter().enumerate() {
            let (a, b) = (air_of(air, ends.a), air_of(air, ends.b));
            offset[k] = l.mul(l.sub(b[0], a[0]), gz[k]);
            (joint_a[k], scale_a[k]) = (a[1], a[2]);
            (joint_b[k], scale_b[k]) = (b[1], b[2]);
        }
        let (joint_a, joint_b) = (E::view(&self.dp), E::view(&self.flow));
        let (scale_a, scale_b) = (E::view(&self.slope), E::view(&self.part));
        let (c, n_less_one) = (E::view(&self.leaks.c), E::view(&self.leaks.n_less_one));
        let (forward, backward) = (E::view_mut(&mut self.forward), E::view_mut(&mut self.backward));
        let count = c.len();
        let (joint_a, joint_b) = (&joint_a[..count], &joint_b[..count]);
        let (scale_a, scale_b) = (&scale_a[..count], &scale_b[..count]);
        let n_less_one = &n_less_one[..count];
        let (forward, backward) = (&mut forward[..count], &mut backward[..count]);
        let one = e.splat(1.0);
        for i in 0..count {
            let n = e.add(n_less_one[i], one);
            forward[i] = e.mul(e.mul(c[i], scale_a[i]), exp2(e, e.mul(n, joint_a[i])));
            backward[i] = e.mul(e.mul(c[i], scale_b[i]), exp2(e, e.mul(n, joint_b[i])));
        }
        // Scratch again as it was: nothing beyond the last passage.
        for list in [&mut self.dp, &mut self.flow, &mut self.slope, &mut self.part] {
            for entry in &mut list[shape.passages..] {
                *entry = 0.0;
            }
        }
    }

    /// The laws of the passages that are no leaks in one lane; lanes in turn, the first one first.
    pub(super) fn load_laws(&mut self, lane: usize, network: &Network) {
        let (n, shape) = (self.lanes, &*network.shape);
        if lane == 0 {
            self.laws.resize(self.others.len() * n, Law::Leak);
        }
        for (o, &k) in self.others.iter().enumerate() {
            let ends = shape.ends[k];
            let air = |node: usize, what: usize| self.air[(node * AIR + what) * n + lane];
            let (rho_a, rho_b) = (air(ends.a, 0), air(ends.b, 0));
            self.laws[o * n + lane] = match &network.passages[k].kind {
                Kind::Leak { .. } => Law::Leak,
                // What passes an open damper is air of a.
                &Kind::Damper { c_m3_s_pan, n, closed_c_m3_s_pan, opens_pa } => {
                    let factor = air(ends.a, 2) * exp2(Plain, n * air(ends.a, 1));
                    Law::Damper(DamperTerms {
                        closed: closed_c_m3_s_pan * factor,
                        more: (c_m3_s_pan - closed_c_m3_s_pan) * factor,
                        n,
                        opens_pa,
                    })
                }
                &Kind::Opening { width_m, height_m, bottom_m, discharge } => {
                    let base = discharge * width_m * height_m;
                    let lift = (rho_b - rho_a) * GRAVITY_M_S2;
                    Law::Opening(OpeningTerms {
                        forward: base * (2.0 * rho_a).sqrt(),
                        backward: base * (2.0 * rho_b).sqrt(),
                        sill_pa: lift * bottom_m,
                        rise_pa: lift * height_m,
                    })
                }
                Kind::Fixed { kg_s } => Law::Fixed(*kg_s),
                Kind::Curve(_) => Law::Curve { inlet_density: rho_a },
                Kind::Run(run) => {
                    let side = |node: usize| Side {
                        density: air(node, 0),
                        viscosity_ratio: air(node, 2) * (1.0 / REFERENCE_DENSITY_KG_M3),
                    };
                    Law::Run(RunTerms::new(run, side(ends.a), side(ends.b), self.smoothing2))
                }
            };
        }
    }

    /// The law of a passage in a lane.
    pub(super) fn law(&self, k: usize, lane: usize) -> Law {
        match self.others.binary_search(&k) {
            Ok(o) => self.laws[o * self.lanes + lane],
            Err(_) => Law::Leak,
        }
    }

    /// Natural logarithm of `rho/rho0 (mu0/mu)^2` at a node: how the logarithm of a leak's
    /// coefficient grows with its exponent through density and viscosity.
    pub(super) fn joint_ln(&self, node: usize) -> f64 {
        self.air[(node * AIR + 1) * self.lanes] * std::f64::consts::LN_2
    }

    /// Differences across all passages at `p`.
    #[inline(always)]
    fn differences<L: Lanes>(&mut self, l: L, shape: &Shape) {
        let p = L::view(&self.p);
        let (dp, offset) = (L::view_mut(&mut self.dp), L::view(&self.offset));
        for ((dp, offset), ends) in dp.iter_mut().zip(offset).zip(&shape.ends) {
            *dp = l.add(*offset, l.sub(p[ends.a], p[ends.b]));
        }
    }

    /// Flows, slopes, outflows and totals at the pressures `p`.
    #[inline(always)]
    pub(super) fn evaluate<'n, L: Lanes, E: Lanes>(
        &mut self,
        l: L,
        e: E,
        shape: &Shape,
        network: impl Fn(usize) -> &'n Network,
    ) {
        self.differences(l, shape);
        self.leaks(e);
        let smooth = Smooth::new(self.smoothing2);
        for o in 0..self.others.len() {
            let k = self.others[o];
            for lane in 0..L::N {
                let law = &self.laws[o * L::N + lane];
                if !matches!(law, Law::Leak) {
                    let at = k * L::N + lane;
                    let p =
                        point(law, &network(lane).passages[k].kind, &smooth, self.smoothing2, self.dp[at]);
                    (self.flow[at], self.slope[at], self.part[at]) = (p.flow, p.slope, p.potential);
                }
            }
        }
        self.sums::<L, E>(e);
        self.balance(l, shape);
    }

    /// As [`evaluate`](Self::evaluate), with every passage linear through its flow at 1 Pa.
    #[inline(always)]
    pub(super) fn evaluate_linear<'n, L: Lanes>(
        &mut self,
        l: L,
        shape: &Shape,
        network: impl Fn(usize) -> &'n Network,
    ) {
        self.differences(l, shape);
        let (slope, flow) = (L::view_mut(&mut self.slope), L::view_mut(&mut self.flow));
        let (dp, forward) = (L::view(&self.dp), L::view(&self.forward));
        for i in 0..dp.len() {
            slope[i] = forward[i];
            flow[i] = l.mul(forward[i], dp[i]);
        }
        let smooth = Smooth::new(self.smoothing2);
        for o in 0..self.others.len() {
            let k = self.others[o];
            for lane in 0..L::N {
                let at = k * L::N + lane;
                let dp = self.dp[at];
                let law = &self.laws[o * L::N + lane];
                let (slope, flow) = match law {
                    Law::Leak => continue,
                    Law::Damper(d) => (d.closed + d.more, (d.closed + d.more) * (dp - d.opens_pa)),
                    Law::Opening(o) => (o.forward, o.forward * (dp + o.sill_pa + 0.5 * o.rise_pa)),
                    Law::Run(terms) => match &network(lane).passages[k].kind {
                        Kind::Run(run) => terms.secant(run.fan.as_ref(), dp),
                        _ => (0.0, 0.0),
                    },
                    Law::Fixed(_) | Law::Curve { .. } => {
                        let p = point(law, &network(lane).passages[k].kind, &smooth, self.smoothing2, dp);
                        (p.slope, p.flow)
                    }
                };
                (self.slope[at], self.flow[at]) = (slope, flow);
            }
        }
        self.balance(l, shape);
    }

    /// The law of a leak, as [`law::leak`] has it, for all passages.
    #[inline(always)]
    fn leaks<E: Lanes>(&mut self, e: E) {
        let dp = E::view(&self.dp);
        let count = dp.len();
        let (forward, backward) = (&E::view(&self.forward)[..count], &E::view(&self.backward)[..count]);
        let n_less_one = &E::view(&self.leaks.n_less_one)[..count];
        let inverse_n_plus_one = &E::view(&self.leaks.inverse_n_plus_one)[..count];
        let at_rest = &E::view(&self.leaks.at_rest)[..count];
        let flow = &mut E::view_mut(&mut self.flow)[..count];
        let slope = &mut E::view_mut(&mut self.slope)[..count];
        let part = &mut E::view_mut(&mut self.part)[..count];
        let (zero, half, one) = (e.splat(0.0), e.splat(0.5), e.splat(1.0));
        let e2 = e.splat(self.smoothing2);
        for i in 0..count {
            let d2 = e.mul(dp[i], dp[i]);
            let s = e.add(d2, e2);
            let (exponent, m) = e.split(s);
            // One division serves the logarithm's argument and the slope: it is what costs.
            let m_plus_one = e.add(m, one);
            let inverse = e.div(one, e.mul(s, m_plus_one));
            let log = log2_of_ratio(e, exponent, e.mul(e.sub(m, one), e.mul(s, inverse)));
            let share = e.mul(d2, e.mul(m_plus_one, inverse));
            let k = e.select(e.not_less(dp[i], zero), forward[i], backward[i]);
            let w = e.mul(k, exp2(e, e.mul(e.mul(half, n_less_one[i]), log)));
            flow[i] = e.mul(w, dp[i]);
            slope[i] = e.mul(w, e.add(one, e.mul(n_less_one[i], share)));
            part[i] = e.sub(e.mul(e.mul(w, s), inverse_n_plus_one[i]), e.mul(k, at_rest[i]));
        }
    }

    /// Sums over all passages, in eight classes by place.
    #[inline(always)]
    fn sums<L: Lanes, E: Lanes>(&mut self, e: E) {
        let stride = WIDEST * L::N;
        let vectors = stride / E::N;
        let (part, flow) = (E::view(&self.part), E::view(&self.flow));
        let outward = E::view(&self.outward);
        for j in 0..vectors {
            let mut sum = [e.splat(0.0); SUMS];
            for ((part, flow), outward) in
                part.chunks_exact(vectors).zip(flow.chunks_exact(vectors)).zip(outward.chunks_exact(vectors))
            {
                let out = e.mul(outward[j], flow[j]);
                sum[0] = e.add(sum[0], part[j]);
                sum[1] = e.add(sum[1], e.abs(part[j]));
                sum[2] = e.add(sum[2], e.abs(flow[j]));
                sum[3] = e.add(sum[3], out);
                sum[4] = e.add(sum[4], e.abs(out));
            }
            for (class, sum) in E::view_mut(&mut self.classes).chunks_exact_mut(vectors).zip(sum) {
                class[j] = sum;
            }
        }
        for lane in 0..L::N {
            let t = &mut self.totals[lane];
            t.potential = total(&self.classes, stride, 0, lane);
            t.potential_size = total(&self.classes, stride, 1, lane);
            let (net, all) = self.all_blown[lane];
            t.flow_size = total(&self.classes, stride, 2, lane) + all;
            // The larger of what comes in and what goes out.
            let out = total(&self.classes, stride, 3, lane) - net;
            t.throughflow = 0.5 * (total(&self.classes, stride, 4, lane) + all + out.abs());
        }
    }

    /// Outflow and slope of each zone, the residuals' sum, and the step's product with the outflow.
    #[inline(always)]
    fn balance<L: Lanes>(&mut self, l: L, shape: &Shape) {
        let count = shape.passages;
        let (flow, slope) = (&L::view(&self.flow)[..count], &L::view(&self.slope)[..count]);
        let around = &mut L::view_mut(&mut self.around)[..shape.zones];
        let (step, free) = (&L::view(&self.step)[..shape.zones], &L::view(&self.free)[..shape.zones]);
        let outflow = &mut L::view_mut(&mut self.outflow)[..shape.zones];
        let blown = &L::view(&self.blown)[..shape.zones];
        let (mut residual, mut along) = (l.splat(0.0), l.splat(0.0));
        let mut lists = shape.of_row.walk();
        for row in 0..shape.zones {
            // What fans blow comes in whatever the pressures.
            let (mut out, mut into) = (l.splat(0.0), blown[row]);
            let (mut slopes_out, mut slopes_into) = (l.splat(0.0), l.splat(0.0));
            for &k in lists.next().unwrap_or_default() {
                out = l.add(out, flow[k]);
                slopes_out = l.add(slopes_out, slope[k]);
            }
            for &k in lists.next().unwrap_or_default() {
                into = l.add(into, flow[k]);
                slopes_into = l.add(slopes_into, slope[k]);
            }
            around[row] = l.add(slopes_out, slopes_into);
            let net = l.sub(out, into);
            outflow[row] = net;
            residual = l.add(residual, l.mul(free[row], l.abs(net)));
            along = l.add(along, l.mul(step[row], net));
        }
        let (mut residuals, mut alongs) = ([0.0; WIDEST], [0.0; WIDEST]);
        L::view_mut(&mut residuals)[0] = residual;
        L::view_mut(&mut alongs)[0] = along;
        for (lane, t) in self.totals[..L::N].iter_mut().enumerate() {
            (t.residual, t.along) = (residuals[lane], alongs[lane]);
        }
        if self.all_blown[..L::N].iter().any(|(_, all)| *all > 0.0) {
            self.lift(l, shape);
        }
    }

    /// The potential of what fans blow, which falls with the zone's pressure.
    #[inline(always)]
    fn lift<L: Lanes>(&mut self, l: L, shape: &Shape) {
        let (blown, p) = (&L::view(&self.blown)[..shape.zones], &L::view(&self.p)[..shape.zones]);
        let (mut sum, mut size) = (l.splat(0.0), l.splat(0.0));
        for (&blown, &p) in blown.iter().zip(p) {
            let lift = l.mul(blown, p);
            (sum, size) = (l.add(sum, lift), l.add(size, l.abs(lift)));
        }
        let (mut sums, mut sizes) = ([0.0; WIDEST], [0.0; WIDEST]);
        L::view_mut(&mut sums)[0] = sum;
        L::view_mut(&mut sizes)[0] = size;
        for (lane, t) in self.totals[..L::N].iter_mut().enumerate() {
            t.potential -= sums[lane];
            t.potential_size += sizes[lane];
        }
    }

    /// Fills the matrix of slopes and factors it; in `good` a lane with a pivot that is not a
    /// positive number becomes zero, see [`bad_pivot`](Self::bad_pivot).
    #[inline(always)]
    pub(super) fn factor<L: Lanes>(&mut self, l: L, shape: &Shape, good: &mut [f64; WIDEST]) {
        let slope = &L::view(&self.slope)[..shape.passages];
        let (diagonal, below) = L::view_mut(&mut self.values).split_at_mut(shape.zones);
        diagonal.copy_from_slice(&L::view(&self.around)[..shape.zones]);
        for (below, list) in below.iter_mut().zip(shape.of_coupling.walk()) {
            let mut sum = l.splat(0.0);
            for &k in list {
                sum = l.sub(sum, slope[k]);
            }
            *below = sum;
        }
        if self.any_held {
            let free = L::view(&self.free);
            for (diagonal, &free) in diagonal.iter_mut().zip(free) {
                *diagonal = l.add(l.mul(free, *diagonal), l.sub(l.splat(1.0), free));
            }
            for (below, ends) in below.iter_mut().zip(&shape.coupled) {
                *below = l.mul(*below, l.mul(free[ends.a], free[ends.b]));
            }
        }
        // The Newton step's right side goes along.
        let (free, outflow) = (L::view(&self.free), L::view(&self.outflow));
        for (row, fresh) in L::view_mut(&mut self.fresh)[..shape.zones].iter_mut().enumerate() {
            *fresh = l.mul(free[row], l.sub(l.splat(0.0), outflow[row]));
        }
        shape.pattern.eliminate(l, &mut self.values, &mut self.inverse_pivot, &mut self.fresh);
        let (least, most, mut all) = (l.splat(f64::MIN_POSITIVE), l.splat(f64::MAX), l.splat(1.0));
        for &pivot in &L::view(&self.values)[..shape.zones] {
            all = l.select(l.not_less(pivot, least), all, l.splat(0.0));
            all = l.select(l.not_less(most, pivot), all, l.splat(0.0));
        }
        L::view_mut(good)[0] = all;
    }

    /// The first row whose pivot is not a positive number, with that pivot.
    pub(super) fn bad_pivot(&self, shape: &Shape, lane: usize) -> Option<(usize, f64)> {
        let pivots = self.values[lane..].iter().step_by(self.lanes).take(shape.zones).enumerate();
        pivots.map(|(row, pivot)| (row, *pivot)).find(|(_, p)| !(*p >= f64::MIN_POSITIVE && p.is_finite()))
    }

    /// Flows and differences after the step in `fresh`, by the linearisation at hand.
    #[inline(always)]
    pub(super) fn last_flows<L: Lanes>(&mut self, l: L, shape: &Shape) {
        let count = shape.ends.len();
        let (fresh, flow) = (L::view(&self.fresh), &L::view(&self.flow)[..count]);
        let (slope, dp) = (&L::view(&self.slope)[..count], &L::view(&self.dp)[..count]);
        let last_flow = &mut L::view_mut(&mut self.last_flow)[..count];
        let last_dp = &mut L::view_mut(&mut self.last_dp)[..count];
        for (k, ends) in shape.ends.iter().enumerate() {
            let change = l.sub(fresh[ends.a], fresh[ends.b]);
            last_flow[k] = l.add(flow[k], l.mul(slope[k], change));
            last_dp[k] = l.add(dp[k], change);
        }
    }

    /// Natural logarithm of the determinant of the factored matrix of the first lane.
    pub(super) fn log_det(&self, shape: &Shape) -> f64 {
        self.values.iter().step_by(self.lanes).take(shape.zones).map(|&pivot| crate::math::ln(pivot)).sum()
    }

    /// The Newton step into `fresh`, after [`factor`](Self::factor), and its product with the outflow.
    #[inline(always)]
    pub(super) fn newton_step<L: Lanes>(&mut self, l: L, shape: &Shape, fall: &mut [f64; WIDEST]) {
        shape.pattern.back(l, &self.values, &self.inverse_pivot, &mut self.fresh);
        let outflow = L::view(&self.outflow);
        let mut sum = l.splat(0.0);
        for (step, outflow) in L::view(&self.fresh)[..shape.zones].iter().zip(outflow) {
            sum = l.add(sum, l.mul(*step, *outflow));
        }
        L::view_mut(fall)[0] = sum;
    }
}

/// A node's numbers in [`Core::air`].
#[inline(always)]
fn air_of<V>(air: &[V], node: usize) -> &[V] {
    &air[node * AIR..node * AIR + AIR]
}

/// One of the sums of one lane, from its eight classes.
#[inline(always)]
fn total(classes: &[f64], stride: usize, sum: usize, lane: usize) -> f64 {
    let c = &classes[sum * stride..(sum + 1) * stride];
    let lanes = stride / WIDEST;
    let at = |class: usize| c[class * lanes + lane];
    ((at(0) + at(4)) + (at(2) + at(6))) + ((at(1) + at(5)) + (at(3) + at(7)))
}

/// The law of one passage that is no leak, at one pressure difference.
fn point(law: &Law, kind: &Kind, smooth: &Smooth, e2: f64, dp: f64) -> Point {
    match law {
        Law::Leak => Point::default(),
        Law::Damper(terms) => law::damper(terms, e2, dp),
        Law::Opening(terms) => law::opening(terms, smooth, dp).net(),
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
            // `load_laws` makes this law from a curve only, and the next one from a run.
            _ => Point::default(),
        },
        Law::Run(terms) => match kind {
            Kind::Run(run) => terms.point(run.fan.as_ref(), dp),
            _ => Point::default(),
        },
    }
}
