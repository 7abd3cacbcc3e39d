//! Several carried things in one elimination, side by side: each lane is a balance of its own on the
//! same graph.

use super::{Books, Graph};

use crate::math::lanes::{Lanes, Level, Task, dispatch};

/// Balances of `W` things on one graph: coefficients, factor of the step, and what a step leaves.
///
/// The same backward Euler and the same elimination without a subtraction as
/// [`Stepper`](super::Stepper), in the graph's order; a step may be cut into equal parts on one
/// factorisation. Lanes do not know of each other, and no level of the processor changes a bit.
#[derive(Clone, Debug)]
pub struct Balance<const W: usize> {
    /// By slot of the graph ([`Graph::slot`]), at least 0.
    pub transfer: Vec<[f64; W]>,
    /// What leaves the balance from each zone, at least 0.
    pub lost: Vec<[f64; W]>,
    /// What enters each zone from outside the balance, per second.
    pub input: Vec<[f64; W]>,
    /// Mean over the last step of the values at the ends of its parts: what `lost` took effect on.
    pub ended: Vec<[f64; W]>,
    /// Mean over the last step, straight lines between the ends of its parts.
    pub mean: Vec<[f64; W]>,
    /// By slot: multipliers from a zone to later ones, the (negated) upper factor back.
    factor: Vec<[f64; W]>,
    inverse_pivot: Vec<[f64; W]>,
    column_sum: Vec<[f64; W]>,
    level: Level,
}

impl<const W: usize> Balance<W> {
    /// Nothing moves yet.
    pub fn new(graph: &Graph) -> Balance<W> {
        let by_zone = vec![[0.0; W]; graph.zones()];
        let by_slot = vec![[0.0; W]; graph.slots()];
        Balance {
            transfer: by_slot.clone(),
            lost: by_zone.clone(),
            input: by_zone.clone(),
            ended: by_zone.clone(),
            mean: by_zone.clone(),
            factor: by_slot,
            inverse_pivot: by_zone.clone(),
            column_sum: by_zone,
            // The widest that `W` numbers fill.
            level: if W < 4 { Level::Plain } else { Level::best().min(Level::X86V3) },
        }
    }

    /// Factors `diag(capacity / dt) + flows`.
    pub fn factor(&mut self, graph: &Graph, dt_s: f64, capacity: &[[f64; W]]) {
        let level = self.level;
        dispatch(level, Factor { balance: self, graph, dt_s, capacity });
    }

    /// Solves the factored system in place: right-hand side in, values out.
    pub fn solve(&self, graph: &Graph, values: &mut [[f64; W]]) {
        dispatch(self.level, Solve { balance: self, graph, values });
    }

    /// One step of `dt_s` in `parts` equal parts: `values` go from its start to its end. The matrix is
    /// factored here.
    pub fn advance(
        &mut self,
        graph: &Graph,
        dt_s: f64,
        parts: u32,
        capacity: &[[f64; W]],
        values: &mut [[f64; W]],
    ) -> [Books; W] {
        let level = self.level;
        dispatch(level, Advance { balance: self, graph, dt_s, parts, capacity, values })
    }

    #[inline(always)]
    fn eliminate(&mut self, graph: &Graph, dt_s: f64, capacity: &[[f64; W]]) {
        self.factor.copy_from_slice(&self.transfer);
        let per_s = 1.0 / dt_s;
        for ((sum, capacity), lost) in self.column_sum.iter_mut().zip(capacity).zip(&self.lost) {
            *sum = std::array::from_fn(|l| capacity[l] * per_s + lost[l]);
        }
        let (sums, factor) = (&mut self.column_sum[..], &mut self.factor[..]);
        let mut targets = graph.targets.iter();
        for (turn, &zone) in graph.order.iter().enumerate() {
            let (first, end) = (graph.start[turn], graph.start[turn + 1]);
            let sum = sums[zone];
            // With p = -a off the diagonal, the diagonal is the column's sum plus what is below it;
            // both are carried along by additions only.
            let mut pivot = sum;
            for pair in factor[2 * first..2 * end].chunks_exact(2) {
                pivot = plus(pivot, pair[0]);
            }
            let inverse = pivot.map(|p| 1.0 / p);
            self.inverse_pivot[zone] = inverse;
            let share = times(sum, inverse);
            for (pair, &later) in (first..end).zip(&graph.later[first..end]) {
                let (down, up) = (times(factor[2 * pair], inverse), factor[2 * pair + 1]);
                factor[2 * pair] = down;
                sums[later] = plus(sums[later], times(up, share));
                for (other, &target) in (first..pair).zip(targets.by_ref()) {
                    let (other_down, other_up) = (factor[2 * other], factor[2 * other + 1]);
                    // From the other's zone to this one's: by this one's multiplier.
                    let (to, back) = (factor[2 * target], factor[2 * target + 1]);
                    factor[2 * target] = plus(to, times(down, other_up));
                    factor[2 * target + 1] = plus(back, times(other_down, up));
                }
            }
        }
    }

    #[inline(always)]
    fn substitute(&self, graph: &Graph, values: &mut [[f64; W]]) {
        let factor = &self.factor[..];
        for (turn, &zone) in graph.order.iter().enumerate() {
            let known = values[zone];
            let (first, end) = (graph.start[turn], graph.start[turn + 1]);
            for (pair, &later) in factor[2 * first..2 * end].chunks_exact(2).zip(&graph.later[first..end]) {
                values[later] = plus(values[later], times(pair[0], known));
            }
        }
        for (turn, &zone) in graph.order.iter().enumerate().rev() {
            let mut value = values[zone];
            let (first, end) = (graph.start[turn], graph.start[turn + 1]);
            for (pair, &later) in factor[2 * first..2 * end].chunks_exact(2).zip(&graph.later[first..end]) {
                value = plus(value, times(pair[1], values[later]));
            }
            values[zone] = times(value, self.inverse_pivot[zone]);
        }
    }

    #[inline(always)]
    fn go(
        &mut self,
        graph: &Graph,
        dt_s: f64,
        parts: u32,
        capacity: &[[f64; W]],
        values: &mut [[f64; W]],
    ) -> [Books; W] {
        let part_s = dt_s / f64::from(parts);
        self.eliminate(graph, part_s, capacity);
        let (per_s, share) = (1.0 / part_s, 1.0 / f64::from(parts));
        let mut start = [0.0; W];
        for ((value, capacity), mean) in values.iter().zip(capacity).zip(&mut self.mean) {
            start = plus(start, times(*capacity, *value));
            *mean = *value;
        }
        self.ended.fill([0.0; W]);
        for _ in 0..parts {
            for ((value, capacity), input) in values.iter_mut().zip(capacity).zip(&self.input) {
                let held = times(times(*capacity, [per_s; W]), *value);
                *value = plus(held, *input);
            }
            self.substitute(graph, values);
            for (ended, value) in self.ended.iter_mut().zip(values.iter()) {
                *ended = plus(*ended, times([share; W], *value));
            }
        }
        let (mut end, mut gained, mut lost) = ([0.0; W], [0.0; W], [0.0; W]);
        for ((((value, capacity), ended), mean), (input, leaves)) in values
            .iter()
            .zip(capacity)
            .zip(&self.ended)
            .zip(&mut self.mean)
            .zip(self.input.iter().zip(&self.lost))
        {
            end = plus(end, times(*capacity, *value));
            gained = plus(gained, times(*input, [dt_s; W]));
            lost = plus(lost, times(times(*leaves, *ended), [dt_s; W]));
            // The start counts half where the end does.
            *mean = std::array::from_fn(|l| ended[l] + 0.5 * share * (mean[l] - value[l]));
        }
        std::array::from_fn(|l| Books {
            gained: gained[l],
            lost: lost[l],
            stored: end[l] - start[l],
            held: start[l].max(end[l]),
        })
    }
}

// Whole arrays in and out: what the compiler makes vectors of.

#[inline(always)]
fn plus<const W: usize>(a: [f64; W], b: [f64; W]) -> [f64; W] {
    std::array::from_fn(|l| a[l] + b[l])
}

#[inline(always)]
fn times<const W: usize>(a: [f64; W], b: [f64; W]) -> [f64; W] {
    std::array::from_fn(|l| a[l] * b[l])
}

struct Factor<'a, const W: usize> {
    balance: &'a mut Balance<W>,
    graph: &'a Graph,
    dt_s: f64,
    capacity: &'a [[f64; W]],
}

impl<const W: usize> Task for Factor<'_, W> {
    type Output = ();
    #[inline(always)]
    fn run<L: Lanes>(self, _: L) {
        self.balance.eliminate(self.graph, self.dt_s, self.capacity);
    }
}

struct Solve<'a, const W: usize> {
    balance: &'a Balance<W>,
    graph: &'a Graph,
    values: &'a mut [[f64; W]],
}

impl<const W: usize> Task for Solve<'_, W> {
    type Output = ();
    #[inline(always)]
    fn run<L: Lanes>(self, _: L) {
        self.balance.substitute(self.graph, self.values);
    }
}

struct Advance<'a, const W: usize> {
    balance: &'a mut Balance<W>,
    graph: &'a Graph,
    dt_s: f64,
    parts: u32,
    capacity: &'a [[f64; W]],
    values: &'a mut [[f64; W]],
}

impl<const W: usize> Task for Advance<'_, W> {
    type Output = [Books; W];
    #[inline(always)]
    fn run<L: Lanes>(self, _: L) -> [Books; W] {
        self.balance.go(self.graph, self.dt_s, self.parts, self.capacity, self.values)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::transport::{End, Exchange, Route, step};
    use rand::{RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    /// Four lanes with a handler and a ventilator, in parts, against the dense step of each.
    #[test]
    fn lanes_agree_with_the_dense_step_at_every_level() {
        let mut rng = ChaCha8Rng::seed_from_u64(5);
        for zones in [1, 2, 5, 12] {
            let mut pairs: Vec<(usize, usize)> = (1..zones).map(|i| (rng.random_range(0..i), i)).collect();
            pairs.push((0, zones - 1));
            let ends =
                |a: usize, b: Option<usize>| [End { zone: Some(a), flow: 0.3 }, End { zone: b, flow: 0.1 }];
            let (returns, supplies) = (ends(0, None), ends(zones - 1, Some(zones / 2)));
            for from in [Some(0), None] {
                for to in [zones - 1, zones / 2] {
                    pairs.extend(from.map(|from| (from, to)));
                }
            }
            let graph = Graph::new(zones, &pairs);
            let (e, filter) = ([0.0, 0.4, 0.0, 0.0], [1.0, 1.0, 0.5, 1.0]);
            let (sup, exh) = ([(0, 0.02)], [(zones - 1, 0.03)]);
            let handler: Route<4> = Route::mixed(&graph, &returns, &supplies);
            let vent = Route::recovered(&graph, &sup, &exh, e, filter);
            let (passed, outdoors) = ([1.0, 0.9, 0.7, 1.0], [420.0, 0.005, 1e-8, 2.0]);
            let mut balance: Balance<4> = Balance::new(&graph);
            let mut dense: Vec<Exchange> = (0..4).map(|_| Exchange::new(zones)).collect();
            for (from, to) in pairs.iter().flat_map(|(a, b)| [(*a, *b), (*b, *a)]).filter(|(a, b)| a != b) {
                let Some(slot) = graph.slot(from, to) else { panic!("{from} {to}") };
                let flow: [f64; 4] = std::array::from_fn(|_| rng.random_range(0.0..0.2));
                for l in 0..4 {
                    balance.transfer[slot][l] += flow[l];
                    dense[l].add_transfer(from, to, flow[l], 1.0);
                }
            }
            handler.add_to(&mut balance, 0.6, passed);
            vent.add_to(&mut balance, 0.8, [1.0; 4]);
            for zone in 0..zones {
                for l in 0..4 {
                    balance.input[zone][l] *= outdoors[l];
                    balance.lost[zone][l] += 0.01 * (l + zone) as f64;
                    dense[l].add_to_outdoors(zone, 0.01 * (l + zone) as f64);
                }
            }
            let capacity = vec![[30.0, 450.0, 30.0, 60.0]; zones];
            let start: Vec<[f64; 4]> = (0..zones).map(|z| outdoors.map(|o| o * (1.0 + z as f64))).collect();
            let mut wanted = start.clone();
            for (l, x) in dense.iter_mut().enumerate() {
                x.add_mixed(&returns, &supplies, 0.6, passed[l], outdoors[l]);
                x.add_recovered(&sup, &exh, e[l], 0.8, filter[l], outdoors[l]);
                let mut values: Vec<f64> = start.iter().map(|v| v[l]).collect();
                for _ in 0..3 {
                    step(100.0, &vec![capacity[0][l]; zones], x, &mut values);
                }
                wanted.iter_mut().zip(&values).for_each(|(w, v)| w[l] = *v);
            }
            let mut first: Option<Vec<[f64; 4]>> = None;
            for level in Level::ALL.into_iter().filter(|level| level.is_available()) {
                balance.level = level;
                let mut values = start.clone();
                let books = balance.advance(&graph, 300.0, 3, &capacity, &mut values);
                assert!(books.iter().all(|b| b.relative_error() < 1e-13), "{books:?}");
                for (zone, (v, w)) in values.iter().zip(&wanted).enumerate() {
                    (0..4).for_each(|l| assert!((v[l] / w[l] - 1.0).abs() < 1e-12, "{zones} {zone} {l}"));
                    let mean = balance.mean[zone];
                    let (low, high) = (0.99 * v[0].min(start[zone][0]), 1.01 * v[0].max(start[zone][0]));
                    assert!(zones > 1 || (low..high).contains(&mean[0]), "{mean:?}");
                }
                assert_eq!(first.get_or_insert_with(|| values.clone()), &values, "{level:?}");
            }
        }
    }
}
