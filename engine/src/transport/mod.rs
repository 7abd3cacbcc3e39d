//! What the air carries, in time: the balance of heat, water, CO2, particles or a named gas in
//! well-mixed zones under given flows.
//!
//! One balance for all: `capacity dx/dt = transfer in - (transfer out + lost) x + input`. The
//! ordinary step is backward Euler ([`Stepper`]): first order, positive for every step,
//! conservative. Its matrix is a column diagonally dominant M-matrix; it is eliminated without
//! pivoting and without a subtraction (Grassmann, Taksar and Heyman 1985, Operations Research
//! 33(5)), so every unknown is right to rounding relative to itself, however large the step. The
//! reference is the exact exponential ([`exact()`]). Nothing here can fail: all coefficients are
//! non-negative and each capacity is positive, or the zone has a way to lose what it holds.

mod exact;
mod graph;
mod side_by_side;

pub use exact::exact;
pub use graph::{Graph, Route};
pub use side_by_side::Balance;

/// How a carried thing moves: all coefficients per unit of the zones' values.
///
/// For a gas: kg/s of air and a value per kg of air; for heat: W/K and K.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Exchange {
    zones: usize,
    /// `transfer[from * zones + to]`, at least 0; the diagonal is not used.
    pub transfer: Vec<f64>,
    /// What leaves the balance from each zone, at least 0.
    pub lost: Vec<f64>,
    /// What enters each zone from outside the balance, per second.
    pub input: Vec<f64>,
}

impl Exchange {
    /// Nothing moves yet.
    pub fn new(zones: usize) -> Exchange {
        Exchange {
            zones,
            transfer: vec![0.0; zones * zones],
            lost: vec![0.0; zones],
            input: vec![0.0; zones],
        }
    }

    /// Number of zones.
    pub fn zones(&self) -> usize {
        self.zones
    }

    /// Sets everything back to zero.
    pub fn clear(&mut self) {
        self.transfer.fill(0.0);
        self.lost.fill(0.0);
        self.input.fill(0.0);
    }

    /// Air of `flow` from one zone to another, of which the part `passed` (0 to 1) arrives and the
    /// rest leaves the balance (a filter, a leak that holds particles back).
    pub fn add_transfer(&mut self, from: usize, to: usize, flow: f64, passed: f64) {
        if from == to {
            self.lost[from] += flow * (1.0 - passed);
        } else {
            self.transfer[from * self.zones + to] += flow * passed;
            self.lost[from] += flow * (1.0 - passed);
        }
    }

    /// Air of `flow` from outdoors, where the value is `outdoors`.
    pub fn add_from_outdoors(&mut self, to: usize, flow: f64, outdoors: f64, passed: f64) {
        self.input[to] += flow * passed * outdoors;
    }

    /// Air of `flow` that leaves to outdoors.
    pub fn add_to_outdoors(&mut self, from: usize, flow: f64) {
        self.lost[from] += flow;
    }

    /// Air that an air handler draws together, mixes and spreads during the part `duty` of the
    /// time: every return reaches every supply in proportion. `passed` is what filter or coil let
    /// through. Returns and supplies sum to the same flow.
    pub fn add_mixed(&mut self, returns: &[End], supplies: &[End], duty: f64, passed: f64, outdoors: f64) {
        let total: f64 = supplies.iter().map(|s| s.flow).sum();
        if total <= 0.0 || duty <= 0.0 {
            return;
        }
        for back in returns {
            for supply in supplies {
                let flow = duty * back.flow * supply.flow / total;
                match (back.zone, supply.zone) {
                    (Some(from), Some(to)) => self.add_transfer(from, to, flow, passed),
                    (Some(from), None) => self.add_to_outdoors(from, flow),
                    (None, Some(to)) => self.add_from_outdoors(to, flow, outdoors, passed),
                    (None, None) => {}
                }
            }
        }
    }

    /// Air brought in and led out by a ventilator with a recovery core during the part `duty` of
    /// the time: the supplied air has outdoors' value plus `effectiveness` of the difference to the
    /// air led out, over the smaller of the two flows. `passed` is what its filter lets through.
    pub fn add_recovered(
        &mut self,
        supplies: &[(usize, f64)],
        exhausts: &[(usize, f64)],
        effectiveness: f64,
        duty: f64,
        passed: f64,
        outdoors: f64,
    ) {
        let supplied: f64 = supplies.iter().map(|s| s.1).sum();
        let exhausted: f64 = exhausts.iter().map(|s| s.1).sum();
        let recovered = effectiveness * supplied.min(exhausted);
        for (to, flow) in supplies {
            // At least zero up to rounding: the recovered flow is at most the supplied.
            let fresh = (flow - recovered * flow / supplied).max(0.0);
            self.add_from_outdoors(*to, duty * fresh, outdoors, passed);
        }
        for (from, flow) in exhausts {
            self.add_to_outdoors(*from, duty * (flow - recovered * flow / exhausted).max(0.0));
            if recovered > 0.0 {
                for (to, share) in supplies {
                    let moved = duty * recovered * flow / exhausted * share / supplied;
                    self.add_transfer(*from, *to, moved, 1.0);
                }
            }
        }
    }
}

/// One end of a mixed flow.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct End {
    /// The zone, or outdoors.
    pub zone: Option<usize>,
    /// Flow, at least 0.
    pub flow: f64,
}

/// What entered, left and stayed: in = out + stored.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize)]
pub struct Books {
    /// Entered the balance.
    pub gained: f64,
    /// Left it.
    pub lost: f64,
    /// Stored at the end less stored at the start.
    pub stored: f64,
    /// The larger of what was held at the start and at the end.
    pub held: f64,
}

impl Books {
    /// Adds a later stretch of time.
    pub fn add(&mut self, later: &Books) {
        self.gained += later.gained;
        self.lost += later.lost;
        self.stored += later.stored;
        self.held = self.held.max(later.held);
    }

    /// What the books do not explain, relative to the largest sum in them.
    pub fn relative_error(&self) -> f64 {
        let scale = self.gained.abs().max(self.lost.abs()).max(self.held.abs());
        if scale > 0.0 { (self.gained - self.lost - self.stored).abs() / scale } else { 0.0 }
    }
}

/// A factored step of fixed size; used again while flows and step stay the same.
#[derive(Clone, Debug, Default)]
pub struct Stepper {
    zones: usize,
    /// Row by column: above the diagonal the (negated) upper factor, below it the multipliers.
    factor: Vec<f64>,
    pivot: Vec<f64>,
    column_sum: Vec<f64>,
    dt_s: f64,
}

impl Stepper {
    /// Factors `diag(capacity / dt) + flows`. `capacity` has one value a zone.
    pub fn factor(&mut self, dt_s: f64, capacity: &[f64], exchange: &Exchange) {
        let n = exchange.zones;
        self.zones = n;
        self.dt_s = dt_s;
        self.factor.resize(n * n, 0.0);
        self.pivot.resize(n, 0.0);
        self.column_sum.resize(n, 0.0);
        #[expect(clippy::needless_range_loop, reason = "several lists by one index")]
        for from in 0..n {
            self.column_sum[from] = capacity[from] / dt_s + exchange.lost[from];
            for to in 0..n {
                self.factor[to * n + from] = exchange.transfer[from * n + to];
            }
        }
        // With p = -a off the diagonal, the diagonal is the column's sum plus what is below it;
        // both are carried along by additions only.
        for k in 0..n {
            let below: f64 = (k + 1..n).map(|i| self.factor[i * n + k]).sum();
            let pivot = self.column_sum[k] + below;
            self.pivot[k] = pivot;
            let share = self.column_sum[k] / pivot;
            for j in k + 1..n {
                self.column_sum[j] += self.factor[k * n + j] * share;
            }
            for i in k + 1..n {
                let multiplier = self.factor[i * n + k] / pivot;
                if multiplier > 0.0 {
                    for j in k + 1..n {
                        self.factor[i * n + j] += multiplier * self.factor[k * n + j];
                    }
                }
                self.factor[i * n + k] = multiplier;
            }
        }
    }

    /// Solves the factored system in place: right-hand side in, values out.
    pub fn solve(&self, values: &mut [f64]) {
        let n = self.zones;
        for k in 0..n {
            for i in k + 1..n {
                values[i] += self.factor[i * n + k] * values[k];
            }
        }
        for k in (0..n).rev() {
            let right: f64 = (k + 1..n).map(|j| self.factor[k * n + j] * values[j]).sum();
            values[k] = (values[k] + right) / self.pivot[k];
        }
    }

    /// One step with the factored matrix: `values` go from its start to its end.
    pub fn advance(&self, capacity: &[f64], exchange: &Exchange, values: &mut [f64]) -> Books {
        let n = self.zones;
        let mut start = 0.0;
        let mut gained = 0.0;
        for i in 0..n {
            start += capacity[i] * values[i];
            gained += exchange.input[i] * self.dt_s;
            values[i] = capacity[i] / self.dt_s * values[i] + exchange.input[i];
        }
        self.solve(values);
        let mut end = 0.0;
        let mut lost = 0.0;
        for i in 0..n {
            end += capacity[i] * values[i];
            lost += exchange.lost[i] * values[i] * self.dt_s;
        }
        Books { gained, lost, stored: end - start, held: start.max(end) }
    }
}

/// One backward Euler step: values at its end, in place, and its books.
pub fn step(dt_s: f64, capacity: &[f64], exchange: &Exchange, values: &mut [f64]) -> Books {
    let mut stepper = Stepper::default();
    stepper.factor(dt_s, capacity, exchange);
    stepper.advance(capacity, exchange, values)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn decay(rate_per_s: f64) -> (Vec<f64>, Exchange) {
        let mut exchange = Exchange::new(1);
        exchange.add_to_outdoors(0, rate_per_s * 100.0);
        (vec![100.0], exchange)
    }

    #[test]
    fn filter_in_a_loop_only_loses() {
        let mut exchange = Exchange::new(1);
        exchange.add_mixed(
            &[End { zone: Some(0), flow: 0.1 }],
            &[End { zone: Some(0), flow: 0.1 }],
            1.0,
            0.6,
            0.0,
        );
        assert!((exchange.lost[0] - 0.04).abs() < 1e-15);
    }

    #[test]
    fn error_of_a_decay_stays_within_what_is_promised() {
        // A decay of 0.5/h followed for six hours against the closed form.
        let (capacity, exchange) = decay(0.5 / 3600.0);
        for (dt_s, limit) in [(60.0, 2e-3), (300.0, 1e-2)] {
            let mut value = [1.0];
            let mut worst: f64 = 0.0;
            let mut time_s = 0.0;
            while time_s < 6.0 * 3600.0 {
                step(dt_s, &capacity, &exchange, &mut value);
                time_s += dt_s;
                worst = worst.max((value[0] - crate::math::exp(-0.5 * time_s / 3600.0)).abs());
            }
            assert!(worst < limit, "{dt_s}: {worst}");
        }
    }

    proptest! {
        #[test]
        fn positive_and_conservative_for_every_step(
            zones in 1usize..9,
            numbers in proptest::collection::vec((-6.0f64..3.0, 0.0f64..1.0), 120),
            dt_exp in -2.0f64..9.0,
        ) {
            let ten = |k: usize| if numbers[k].1 < 0.3 { 0.0 } else { crate::math::pow(10.0, numbers[k].0) };
            let mut exchange = Exchange::new(zones);
            let mut next = 0;
            let mut take = || { next += 1; ten((next - 1) % 120) };
            for from in 0..zones {
                for to in 0..zones {
                    if from != to { exchange.transfer[from * zones + to] = take(); }
                }
                exchange.lost[from] = take();
                exchange.input[from] = take();
            }
            let capacity: Vec<f64> = (0..zones).map(|_| take() + 1e-3).collect();
            let mut values: Vec<f64> = (0..zones).map(|_| take()).collect();
            let books = step(crate::math::pow(10.0, dt_exp), &capacity, &exchange, &mut values);
            prop_assert!(values.iter().all(|v| *v >= 0.0 && v.is_finite()));
            prop_assert!(books.relative_error() < 1e-12, "{:?}", books);
        }

        #[test]
        fn a_uniform_value_stays_when_air_balances(
            flows in proptest::collection::vec(0.0f64..1.0, 9),
            dt_exp in 0.0f64..6.0,
        ) {
            // Three zones in a ring plus outdoors on each, balanced in every zone: everything at
            // the outdoor value stays there.
            let mut exchange = Exchange::new(3);
            for i in 0..3 {
                exchange.add_transfer(i, (i + 1) % 3, flows[0], 1.0);
                exchange.add_from_outdoors(i, flows[i + 1], 420.0, 1.0);
                exchange.add_to_outdoors(i, flows[i + 1]);
            }
            let mut values = vec![420.0; 3];
            step(crate::math::pow(10.0, dt_exp), &[30.0, 200.0, 5.0], &exchange, &mut values);
            prop_assert!(values.iter().all(|v| (v - 420.0).abs() < 1e-9));
        }
    }
}
