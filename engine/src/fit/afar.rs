//! A first account of readings that contradict each other, from afar.
//!
//! Several mistakes at once hide each other: the sum of squares is bent by all of them, and each one
//! mended by itself helps little. Here a reading pulls only while it lies near what the others
//! expect; one that lies far off costs what a slip costs, however far. Such a loss has many hollows, so the
//! noise is first taken much too large and then lessened step by step. Doors are turned one after the other while that
//! lessens the loss; the readings that are then far off are the slips. What comes out is one account to go on from, whose
//! evidence is then worked out as that of any other.

use super::observe::Observations;
use super::problem::{FitError, Problem};
use super::solve::{self, Stop};
use crate::house::House;
use crate::math;
use std::ops::ControlFlow;

/// Factors on the noise, one after the other, from a start that may be far off.
const FROM_FAR: [f64; 4] = [30.0, 10.0, 3.0, 1.0];
/// The same from the optimum of another account.
const FROM_NEAR: [f64; 2] = [3.0, 1.0];
/// Rounds of weighting with one factor.
const ROUNDS: usize = 3;
/// Steps of one round: the weights change with the next.
const STEPS: usize = 6;
/// A sum of squares that falls by less ends a round.
const SMALL_GAIN: f64 = 0.01;
/// A reading with less weight is a slip.
const BELIEVED: f64 = 0.5;
/// Least weight, so that a reading that tells nothing still has a finite noise.
const LEAST: f64 = 1e-8;
/// Doors that look best after one round are tried to the end.
const TRIED: usize = 4;
/// Most changes of doors, one after the other.
const MOST_TURNS: usize = 8;

/// Where a slip costs as much as a reading that lies off by itself: minus twice the log of the odds and of the width.
#[derive(Clone, Copy, Debug)]
pub(super) struct Price {
    /// Of a slip that puts the reading anywhere.
    pub(super) slip: f64,
}

/// The readings from afar.
#[derive(Clone, Debug)]
pub(super) struct View {
    /// The unknowns.
    pub(super) x: Vec<f64>,
    /// What is expected of each reading there.
    pub(super) expected: Vec<f64>,
    /// Weight of each reading, one where nothing is wrong with it.
    pub(super) weight: Vec<f64>,
    /// Minus twice the log posterior, each reading a slip by the price.
    pub(super) loss: f64,
}

impl View {
    /// Readings that are taken for slips.
    pub(super) fn slips(&self) -> impl Iterator<Item = usize> {
        (0..self.weight.len()).filter(|at| self.weight[*at] < BELIEVED)
    }
}

/// Loss and weight of a reading that lies off by `r` of its noise.
fn judged(r: f64, price: Price) -> (f64, f64) {
    let good = math::exp(-0.5 * r * r);
    let slip = math::exp(-0.5 * price.slip);
    (-2.0 * math::ln(good + slip), good / (good + slip))
}

/// How far it is looked.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Depth {
    Far,
    Near,
    Glance,
}

fn looked(
    house: &House,
    noted: &Observations,
    x: Vec<f64>,
    price: Price,
    depth: Depth,
) -> Result<View, FitError> {
    let (factors, rounds): (&[f64], usize) = match depth {
        Depth::Far => (&FROM_FAR, ROUNDS),
        Depth::Near => (&FROM_NEAR, ROUNDS),
        Depth::Glance => (&FROM_NEAR[..1], 1),
    };
    let stop = Stop { most_iterations: STEPS, small_gain: SMALL_GAIN, ..Stop::default() };
    let off = |seen: &Observations, expected: &[f64]| -> Vec<f64> {
        let each = seen.list.iter().zip(&noted.list).zip(expected);
        // A reading below its range is held by its limit alone.
        each.map(|((o, as_noted), e)| if o.below { 0.0 } else { (e - o.value) / as_noted.noise_sd }).collect()
    };
    let mut seen = noted.clone();
    let mut rows = Vec::new();
    Problem::new(house, &seen)?.rows(&x, false, &mut rows)?;
    let mut view = View {
        x,
        expected: rows.iter().map(|r| r.expected).collect(),
        weight: vec![1.0; noted.list.len()],
        loss: f64::INFINITY,
    };
    for factor in factors {
        for _ in 0..rounds {
            for ((o, as_noted), (r, w)) in (seen.list.iter_mut().zip(&noted.list))
                .zip(off(noted, &view.expected).iter().zip(&mut view.weight))
            {
                *w = judged(r / factor, price).1;
                o.noise_sd = as_noted.noise_sd * factor / w.max(LEAST).sqrt();
            }
            let mut problem = Problem::new(house, &seen)?;
            let go = &mut |_| ControlFlow::Continue(());
            let optimum = solve::least_squares(&mut problem, view.x, stop, go)?;
            view.expected = optimum.rows.iter().map(|r| r.expected).collect();
            let readings: f64 = off(noted, &view.expected).iter().map(|r| judged(r / factor, price).0).sum();
            view.loss = readings + optimum.squares - optimum.reading_squares;
            view.x = optimum.x;
        }
    }
    for (w, r) in view.weight.iter_mut().zip(off(noted, &view.expected)) {
        *w = judged(r, price).1;
    }
    Ok(view)
}

/// The readings as noted, from afar.
///
/// # Errors
/// [`FitError`] where the model has no answer.
pub(super) fn view(house: &House, noted: &Observations, x: Vec<f64>, price: Price) -> Result<View, FitError> {
    looked(house, noted, x, price, Depth::Far)
}

/// Turns doors one after the other while that lessens the loss: `changes` lists what can be turned beside what
/// is turned already with what it costs, `under` gives the readings under it.
///
/// # Errors
/// [`FitError`] where the model has no answer for the readings as noted.
pub(super) fn turned<K: Clone>(
    house: &House,
    (from, mut key): (View, K),
    price: Price,
    changes: impl Fn(&K, &View) -> Vec<(K, f64)>,
    under: impl Fn(&K) -> Observations,
) -> Result<(View, K), FitError> {
    let mut best = from;
    for _ in 0..MOST_TURNS {
        let now = looked(house, &under(&key), best.x.clone(), price, Depth::Glance)?.loss;
        let mut glances: Vec<(f64, K, f64, View)> = Vec::new();
        for (changed, dearer) in changes(&key, &best) {
            // A door that the readings cannot be under stays.
            let Ok(view) = looked(house, &under(&changed), best.x.clone(), price, Depth::Glance) else {
                continue;
            };
            glances.push((view.loss + dearer - now, changed, dearer, view));
        }
        glances.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut next: Option<(f64, K, View)> = None;
        for (_, changed, dearer, glance) in glances.into_iter().take(TRIED) {
            let Ok(view) = looked(house, &under(&changed), glance.x, price, Depth::Near) else { continue };
            let gain = best.loss - view.loss - dearer;
            if gain > next.as_ref().map_or(0.0, |n| n.0) {
                next = Some((gain, changed, view));
            }
        }
        let Some((_, changed, view)) = next else { break };
        (best, key) = (view, changed);
    }
    Ok((best, key))
}
