//! What each reading and each instrument does to the answer, on the straight model at the optimum.
//!
//! With `c` the derivative of the logarithm of the total by the unknowns in units of their prior,
//! `A` the readings' derivatives and `S = I + A A'`, the total's variance is `c'c - c'A' S^-1 A c`.
//! Without reading i it grows by `w_i^2 / (S^-1)_ii`, where `w = S^-1 A c`.

use super::observe::Observations;
use super::problem::Problem;
use super::solve::Optimum;
use super::{fan_zone, total_at50_m3_s};
use crate::house::House;
use crate::house::air::{Air, for_each_partial};
use crate::network::{Observation as Read, Sensitivity};
use nalgebra::DVector;
use serde::Serialize;

/// What a reading does.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Weight {
    /// Share of its own expected value that it decides itself, 0 to 1.
    pub leverage: f64,
    /// Share of the variance of the total that it removes from what all the others leave, 0 to 1.
    pub of_total: f64,
}

/// What an instrument's own error does.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Gain {
    /// The instrument.
    pub instrument: String,
    /// Share of the remaining variance of the total that its relative error makes, 0 to 1.
    pub of_total: f64,
}

/// Weights of all readings and gains of all instruments.
pub(super) fn weights(problem: &Problem<'_>, optimum: &Optimum) -> (Vec<Weight>, Vec<Gain>) {
    let free = optimum.spread.inverse().diagonal();
    let slope = total_slope(problem, optimum);
    let along = &optimum.slopes * &slope;
    let w = optimum.spread.solve(&along);
    let left = slope.norm_squared() - along.dot(&w);
    let share = |part: f64, of: f64| if of > 0.0 { (part / of).clamp(0.0, 1.0) } else { 0.0 };
    let readings = free
        .iter()
        .zip(w.iter())
        .map(|(free, w)| {
            let lost = w * w / free;
            Weight { leverage: (1.0 - free).clamp(0.0, 1.0), of_total: share(lost, left + lost) }
        })
        .collect();
    let Observations { instruments, .. } = problem.seen;
    let gains = instruments.iter().enumerate().map(|(i, instrument)| {
        let g = problem.gain_unknown(i);
        let column = optimum.slopes.column(g).clone_owned();
        let back = optimum.spread.solve(&column);
        let variance = 1.0 - column.dot(&back);
        let shared = slope[g] - along.dot(&back);
        Gain { instrument: instrument.label.clone(), of_total: share(shared * shared / variance, left) }
    });
    (readings, gains.collect())
}

/// Derivative of the logarithm of the total by the unknowns in units of their prior sd.
fn total_slope(problem: &Problem<'_>, optimum: &Optimum) -> DVector<f64> {
    let house: &House = problem.house;
    let mut slope = DVector::zeros(problem.len());
    let theta = &optimum.x[problem.first_house..];
    let (Some(zone), Ok(mut air)) = (fan_zone(house), Air::new(house)) else { return slope };
    if !total_at50_m3_s(house, &mut air, theta).is_finite() {
        return slope;
    }
    let setup = crate::house::start(house);
    let held = air.solution.held_flow_kg_s[zone];
    let Ok(mut d) = air.network.derivatives(&air.boundary, &air.solution, &mut air.workspace) else {
        return slope;
    };
    let mut sensitivity = Sensitivity::default();
    d.observe(Read::HeldFlow(zone), &mut sensitivity);
    for (k, partial) in d.partials().iter().take(house.elements.len()).enumerate() {
        for_each_partial(house, theta, &setup, k, partial, |p, by| {
            let unknown = problem.first_house + p;
            slope[unknown] += sensitivity.by_flow[k] * by / held * problem.prior(unknown).1;
        });
    }
    slope
}
