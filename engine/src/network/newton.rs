//! Newton's method on the potential, for one network or for several in lanes.
//!
//! Each lane goes its own way of [`solve`](super::solve_into): a lane whose trial is refused waits
//! with its step while the others go on, a lane that is done is frozen. What a lane computes
//! depends on nothing in the lanes beside it, so that grouping changes no bit.

use super::batch::Case;
use super::core::{Core, Law, Totals};
use super::error::{Carrying, SolveError};
use super::law;
use super::shape::{Shape, WIDEST};
use super::solve::{Flag, Flow, HIGH_PRESSURE_PA, Solution};
use super::{Kind, Network};
use crate::math::lanes::{Lanes, Level, Plain, Task, dispatch};

const MAX_ITERATIONS: usize = 60;
const MAX_HALVINGS: usize = 40;
/// Armijo's constant (Nocedal and Wright 2006, section 3.1).
const ARMIJO: f64 = 1e-4;
/// Slope of the potential at the far end of a step, as a share of that at its start, beyond which
/// the step is shortened. A square root law overshoots its zero to the mirror image, where the
/// potential is the same: Armijo's test alone lets open doors swing for 60 steps (seen).
const OVERSHOOT: f64 = 0.2;

/// How a lane is doing.
#[derive(Clone, Copy, Debug, Default)]
struct Lane {
    /// Neither solved nor failed.
    active: bool,
    /// The last trial has become the state at hand.
    accepted: bool,
    now: Totals,
    fall: f64,
    share: f64,
    halvings: usize,
    iteration: usize,
    lost: bool,
}

/// Solves the cases loaded into the lanes of a core; lanes in `errors` are left out. Solutions of
/// lanes that fail are left as they were.
pub(super) fn run(
    level: Level,
    core: &mut Core,
    cases: &[Case<'_>],
    solutions: &mut [Solution],
    errors: &mut Vec<(usize, SolveError)>,
) {
    let wide = core.lanes > 1;
    let job = Job { core, cases, solutions, errors, prepared: false };
    if wide { dispatch(level, Together(job)) } else { dispatch(level, Alone(job)) }
}

/// As [`run`] for one network, with the laws and coefficients that the last run left.
pub(super) fn run_prepared(
    level: Level,
    core: &mut Core,
    cases: &[Case<'_>],
    solutions: &mut [Solution],
    errors: &mut Vec<(usize, SolveError)>,
) {
    dispatch(level, Alone(Job { core, cases, solutions, errors, prepared: true }));
}

struct Job<'a, 'c> {
    core: &'a mut Core,
    cases: &'a [Case<'c>],
    solutions: &'a mut [Solution],
    errors: &'a mut Vec<(usize, SolveError)>,
    /// Laws and coefficients of the moment are there already.
    prepared: bool,
}

/// One network, its passages in lanes.
struct Alone<'a, 'c>(Job<'a, 'c>);

impl Task for Alone<'_, '_> {
    type Output = ();
    #[inline(always)]
    fn run<E: Lanes>(self, e: E) {
        self.0.solve(Plain, e);
    }
}

/// One network in each lane.
struct Together<'a, 'c>(Job<'a, 'c>);

impl Task for Together<'_, '_> {
    type Output = ();
    #[inline(always)]
    fn run<L: Lanes>(self, l: L) {
        self.0.solve(l, l);
    }
}

impl Job<'_, '_> {
    #[inline(always)]
    fn solve<L: Lanes, E: Lanes>(self, l: L, e: E) {
        let Self { core, cases, solutions, errors, prepared } = self;
        let mut lanes = [Lane::default(); WIDEST];
        for (index, lane) in lanes[..cases.len()].iter_mut().enumerate() {
            lane.active = errors.iter().all(|(failed, _)| *failed != index);
        }
        let Some(good) = lanes.iter().position(|lane| lane.active) else { return };
        let shape = &*cases[good].network.shape;
        // A lane that is not used works along on the case of another, and nobody looks at it.
        let mut case_of = [good; WIDEST];
        for (index, case) in case_of.iter_mut().enumerate() {
            *case = if lanes[index].active { index } else { good };
        }
        let network = |lane: usize| -> &Network { cases[case_of[lane]].network };
        if !prepared {
            core.prepare(l, e, shape);
            for lane in 0..L::N {
                core.load_laws(lane, network(lane));
            }
        }
        load_start(core, l, shape, |lane| cases[case_of[lane]], &mut lanes, errors);
        core.evaluate(l, e, shape, network);
        for (lane, totals) in lanes.iter_mut().zip(&core.totals) {
            (lane.now, lane.accepted) = (*totals, lane.active);
        }
        loop {
            // Where a lane was accepted, the lists by passage are those of the state at hand.
            let (mut good, mut falls) = ([0.0; WIDEST], [0.0; WIDEST]);
            core.factor(l, shape, &mut good);
            core.newton_step(l, shape, &mut falls);
            if lanes[..L::N]
                .iter()
                .any(|lane| lane.accepted && lane.now.residual <= lane.now.limit(core.tolerance))
            {
                core.last_flows(l, shape);
            }
            let all = lanes[..L::N].iter().all(|lane| lane.accepted || !lane.active);
            if all {
                std::mem::swap(&mut core.step, &mut core.fresh);
            }
            for (index, lane) in lanes[..cases.len()].iter_mut().enumerate().filter(|(_, l)| l.accepted) {
                if !all {
                    for (step, fresh) in core.step.chunks_exact_mut(L::N).zip(core.fresh.chunks_exact(L::N)) {
                        step[index] = fresh[index];
                    }
                }
                lane.iteration += 1;
                (lane.fall, lane.share, lane.halvings) = (falls[index], 1.0, 0);
                if good[index] <= 0.0 {
                    let (row, pivot_kg_s_pa) = core.bad_pivot(shape, index).unwrap_or((0, f64::NAN));
                    let (zone, iteration) = (shape.pattern.order()[row], lane.iteration);
                    errors.push((index, SolveError::Singular { zone, pivot_kg_s_pa, iteration }));
                    lane.active = false;
                } else if lane.now.residual <= lane.now.limit(core.tolerance) {
                    hand_over(network(index), core, index, lane, &mut solutions[index]);
                    lane.active = false;
                } else if lane.iteration == MAX_ITERATIONS {
                    (lane.active, lane.lost) = (false, true);
                }
            }
            search(core, l, e, shape, network, &mut lanes);
            if lanes[..L::N].iter().all(|lane| !lane.active) {
                break;
            }
        }
        if lanes.iter().any(|lane| lane.lost) {
            core.p.copy_from_slice(&core.p_now);
            core.evaluate(l, e, shape, network);
            for (index, lane) in lanes.iter().enumerate().filter(|(_, lane)| lane.lost) {
                errors.push((index, not_converged(shape, core, index, lane)));
            }
        }
    }
}

/// Goes along the steps until in one lane the potential has fallen enough, or none is active.
#[inline(always)]
fn search<'n, L: Lanes, E: Lanes>(
    core: &mut Core,
    l: L,
    e: E,
    shape: &Shape,
    network: impl Fn(usize) -> &'n Network + Copy,
    lanes: &mut [Lane; WIDEST],
) {
    while lanes[..L::N].iter().any(|lane| lane.active) {
        let mut shares = [0.0; WIDEST];
        for (share, lane) in shares.iter_mut().zip(lanes.iter()) {
            *share = if lane.active { lane.share } else { 0.0 };
        }
        let share = L::view(&shares)[0];
        let (now, step) = (L::view(&core.p_now), L::view(&core.step));
        for (row, p) in L::view_mut(&mut core.p)[..shape.zones].iter_mut().enumerate() {
            *p = l.add(now[row], l.mul(share, step[row]));
        }
        core.evaluate(l, e, shape, network);
        let mut any = false;
        for (index, lane) in lanes[..L::N].iter_mut().enumerate() {
            lane.accepted = lane.active && accepts(lane, &core.totals[index]);
            any |= lane.accepted;
            if lane.accepted {
                lane.now = core.totals[index];
            } else if lane.active {
                lane.halvings += 1;
                (lane.lost, lane.active) = (lane.halvings == MAX_HALVINGS, lane.halvings < MAX_HALVINGS);
            }
        }
        if any {
            if lanes[..L::N].iter().all(|lane| lane.accepted) {
                std::mem::swap(&mut core.p, &mut core.p_now);
            } else {
                for (now, p) in core.p_now.chunks_exact_mut(L::N).zip(core.p.chunks_exact(L::N)) {
                    for (index, lane) in lanes[..L::N].iter().enumerate() {
                        now[index] = if lane.accepted { p[index] } else { now[index] };
                    }
                }
            }
            return;
        }
    }
}

/// Whether a trial is accepted; where it is not, the step is shortened.
#[inline(always)]
fn accepts(lane: &mut Lane, trial: &Totals) -> bool {
    let noise = 1e-13 * lane.now.potential_size;
    let predicted = -lane.share * lane.fall;
    if predicted <= noise {
        if trial.residual < lane.now.residual {
            return true;
        }
        lane.share *= 0.5;
        return false;
    }
    let fallen = trial.potential <= lane.now.potential - ARMIJO * predicted;
    if fallen && trial.along <= OVERSHOOT * -lane.fall {
        return true;
    }
    // The potential's slope along the step has changed sign: its zero by the secant.
    let secant = lane.fall / (lane.fall - trial.along);
    lane.share *= if trial.along > 0.0 && secant > 0.1 { secant } else { 0.5 };
    false
}

/// Puts the starts into `p` and `p_now`.
#[inline(always)]
fn load_start<'n, L: Lanes>(
    core: &mut Core,
    l: L,
    shape: &Shape,
    case: impl Fn(usize) -> Case<'n>,
    lanes: &mut [Lane; WIDEST],
    errors: &mut Vec<(usize, SolveError)>,
) {
    let p = &mut *core.p;
    for index in 0..L::N {
        let case = case(index);
        for (row, &zone) in shape.pattern.order().iter().enumerate() {
            let begin = case.start.map_or(0.0, |start| start[zone]);
            p[row * L::N + index] = case.boundary.held_pa[zone].unwrap_or(begin);
        }
    }
    if (0..L::N).any(|index| case(index).start.is_none()) {
        core.evaluate_linear(l, shape, |lane| case(lane).network);
        let mut good = [0.0; WIDEST];
        core.factor(l, shape, &mut good);
        core.newton_step(l, shape, &mut [0.0; WIDEST]);
        for index in 0..L::N {
            if case(index).start.is_some() {
                continue;
            }
            if good[index] <= 0.0 && lanes[index].active {
                let (row, pivot_kg_s_pa) = core.bad_pivot(shape, index).unwrap_or((0, f64::NAN));
                let zone = shape.pattern.order()[row];
                errors.push((index, SolveError::Singular { zone, pivot_kg_s_pa, iteration: 0 }));
                lanes[index].active = false;
                continue;
            }
            for row in 0..shape.zones {
                core.p[row * L::N + index] += core.fresh[row * L::N + index];
            }
        }
    }
    core.p_now.copy_from_slice(&core.p);
}

/// Takes the last full step of a lane and hands on the flows of its linearisation.
fn hand_over(network: &Network, core: &Core, index: usize, lane: &Lane, solution: &mut Solution) {
    let (shape, n) = (&*network.shape, core.lanes);
    solution.iterations = lane.iteration;
    solution.residual_kg_s = lane.now.residual;
    solution.throughflow_kg_s = lane.now.throughflow;
    solution.flags.clear();
    solution.zone_pa.resize(shape.zones, 0.0);
    solution.held_flow_kg_s.clear();
    solution.held_flow_kg_s.resize(shape.zones, 0.0);
    let (p_now, step) = (&*core.p_now, &*core.step);
    for (row, &zone) in shape.pattern.order().iter().enumerate() {
        let zone_pa = p_now[row * n + index] + step[row * n + index];
        solution.zone_pa[zone] = zone_pa;
        if zone_pa.abs() > HIGH_PRESSURE_PA {
            solution.flags.push(Flag::HighPressure { zone, zone_pa });
        }
    }
    solution.flows.resize(shape.passages, Flow::default());
    if n == 1 {
        let flows = solution.flows.iter_mut();
        for ((into, net), dp) in flows.zip(core.last_flow.iter()).zip(core.last_dp.iter()) {
            *into = plain_flow(*net, *dp);
        }
    } else {
        let (net, dp) = (core.last_flow.chunks_exact(n), core.last_dp.chunks_exact(n));
        for ((into, net), dp) in solution.flows.iter_mut().zip(net).zip(dp) {
            *into = plain_flow(net[index], dp[index]);
        }
    }
    for &k in &core.others {
        let ends = shape.ends[k];
        let change = step[ends.a * n + index] - step[ends.b * n + index];
        let (net, mut dp_pa) = (core.last_flow[k * n + index], core.last_dp[k * n + index]);
        match core.law(k, index) {
            Law::Opening(o) => {
                dp_pa += o.sill_pa + 0.5 * o.rise_pa;
                let both = law::opening(&o, &law::Smooth::new(core.smoothing2), core.dp[k * n + index]);
                // What the weaker direction carries.
                let against = if net >= 0.0 {
                    both.backward - both.backward_slope * change
                } else {
                    both.forward + both.forward_slope * change
                };
                solution.flows[k] = split(net, if against < 0.0 { 0.0 } else { against }, dp_pa);
            }
            Law::Curve { inlet_density } => {
                if let Kind::Curve(curve) = &network.passages[k].kind
                    && curve.beyond(inlet_density, dp_pa)
                {
                    solution.flags.push(Flag::FanBeyondCurve { passage: k, rise_pa: -dp_pa });
                }
            }
            Law::Run(terms) => {
                if let Kind::Run(run) = &network.passages[k].kind
                    && let Some(curve) = &run.fan
                    && let Some(rise_pa) = terms.beyond(curve, dp_pa)
                {
                    solution.flags.push(Flag::FanBeyondCurve { passage: k, rise_pa });
                }
            }
            _ => {}
        }
    }
    if core.any_held {
        for (row, &zone) in shape.pattern.order().iter().enumerate() {
            if core.free[row * n + index] > 0.0 {
                continue;
            }
            let sum = |list: &[usize]| list.iter().map(|&k| solution.flows[k].net_kg_s()).sum::<f64>();
            solution.held_flow_kg_s[zone] =
                sum(shape.of_row.get(2 * row)) - sum(shape.of_row.get(2 * row + 1)) - network.blown[zone];
        }
    }
}

#[inline(always)]
fn plain_flow(net: f64, dp_pa: f64) -> Flow {
    let (forward_kg_s, backward_kg_s) =
        (if net >= 0.0 { net } else { 0.0 }, if net < 0.0 { -net } else { 0.0 });
    Flow { forward_kg_s, backward_kg_s, dp_pa }
}

/// A flow of which `against` goes the other way than `net`.
#[inline(always)]
fn split(net: f64, against: f64, dp_pa: f64) -> Flow {
    let (forward, backward) = if net >= 0.0 { (net, 0.0) } else { (0.0, -net) };
    Flow { forward_kg_s: forward + against, backward_kg_s: backward + against, dp_pa }
}

fn not_converged(shape: &Shape, core: &Core, index: usize, lane: &Lane) -> SolveError {
    let n = core.lanes;
    let row = (0..shape.zones)
        .filter(|&row| core.free[row * n + index] > 0.0)
        .max_by(|&a, &b| core.outflow[a * n + index].abs().total_cmp(&core.outflow[b * n + index].abs()))
        .unwrap_or(0);
    let steps = core.step[index..].iter().step_by(n).take(shape.zones);
    let largest = crate::math::max_valid(steps.map(|step| step.abs())).unwrap_or(f64::INFINITY);
    let flow = |k: usize| core.flow[k * n + index];
    let mut touching: Vec<usize> =
        (0..shape.passages).filter(|&k| shape.ends[k].a == row || shape.ends[k].b == row).collect();
    touching.sort_by(|&i, &j| flow(j).abs().total_cmp(&flow(i).abs()));
    let carrying = |&k: &usize| Carrying { passage: k, flow_kg_s: flow(k), dp_pa: core.dp[k * n + index] };
    SolveError::NotConverged {
        zone: shape.pattern.order().get(row).copied().unwrap_or(0),
        zone_residual_kg_s: core.outflow.get(row * n + index).copied().unwrap_or(0.0),
        residual_kg_s: lane.now.residual,
        iteration: lane.iteration,
        last_step_pa: lane.share * largest,
        dominating: touching.iter().take(4).map(carrying).collect(),
    }
}
