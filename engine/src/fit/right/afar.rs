//! An account of readings that contradict each other, as they show from afar.
//!
//! Several mistakes at once hide each other: the sum of squares is bent by all of them, and each one
//! mended by itself helps little. Here a reading pulls only while it lies near what the others
//! expect; one that lies far off costs what a slip costs, however far. Such a loss has many hollows, so the
//! noise is first taken much too large and then lessened step by step. Doors are turned one after the other while that
//! lessens the loss; the readings that are then far off are the slips. What comes out is one account to go on from, whose
//! evidence is then worked out as that of any other.

use super::super::observe::Observations;
use super::super::problem::{FitError, Problem};
use super::super::solve::{self, Stop};
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
/// Changes that look best after one round are tried to the end.
const TRIED: usize = 4;
/// Most changes, one after the other.
const MOST_CHANGES: usize = 8;

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

/// How the readings are looked at from afar.
#[derive(Clone, Copy)]
pub(super) struct Afar<'a> {
    /// The house as drawn.
    pub(super) house: &'a House,
    /// Minus twice the log of the odds and the width of a slip that puts a reading anywhere.
    pub(super) slip: f64,
    /// A reading that is held to be right, whatever the others say.
    pub(super) held: Option<usize>,
}

/// A change of what is taken for wrong.
pub(super) struct Change<K> {
    /// What is then taken for wrong.
    pub(super) key: K,
    /// What it costs more.
    pub(super) dearer: f64,
    /// Where the search under it begins.
    pub(super) x: Vec<f64>,
}

/// How far it is looked.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Depth {
    Far,
    Near,
    Glance,
}

impl Afar<'_> {
    /// Loss and weight of a reading that lies off by `r` of its noise.
    fn judged(&self, at: usize, r: f64) -> (f64, f64) {
        if self.held == Some(at) {
            return (r * r, 1.0);
        }
        let good = math::exp(-0.5 * r * r);
        let slip = math::exp(-0.5 * self.slip);
        (-2.0 * math::ln(good + slip), good / (good + slip))
    }

    fn looked(&self, noted: &Observations, x: Vec<f64>, depth: Depth) -> Result<View, FitError> {
        let (factors, rounds): (&[f64], usize) = match depth {
            Depth::Far => (&FROM_FAR, ROUNDS),
            Depth::Near => (&FROM_NEAR, ROUNDS),
            Depth::Glance => (&FROM_NEAR[..1], 1),
        };
        let stop = Stop { most_iterations: STEPS, small_gain: SMALL_GAIN, ..Stop::default() };
        // How far off each reading lies; one below its range is held by its limit alone.
        let off = |expected: &[f64]| -> Vec<f64> {
            let each = noted.list.iter().zip(expected);
            each.map(|(o, e)| if o.below { 0.0 } else { (e - o.value) / o.noise_sd }).collect()
        };
        let mut rows = Vec::new();
        Problem::new(self.house, noted)?.rows(&x, false, &mut rows)?;
        let mut seen = noted.clone();
        let expected = rows.iter().map(|r| r.expected).collect();
        let mut view = View { x, expected, weight: vec![1.0; noted.list.len()], loss: f64::INFINITY };
        for factor in factors {
            for _ in 0..rounds {
                for (at, r) in off(&view.expected).into_iter().enumerate() {
                    let weight = self.judged(at, r / factor).1.max(LEAST);
                    seen.list[at].noise_sd = noted.list[at].noise_sd * factor / weight.sqrt();
                }
                let mut problem = Problem::new(self.house, &seen)?;
                let go = &mut |_| ControlFlow::Continue(());
                let optimum = solve::least_squares(&mut problem, view.x, stop, go)?;
                view.expected = optimum.rows.iter().map(|r| r.expected).collect();
                let off = off(&view.expected).into_iter().enumerate();
                let readings: f64 = off.map(|(at, r)| self.judged(at, r / factor).0).sum();
                view.loss = readings + optimum.squares - optimum.reading_squares;
                view.x = optimum.x;
            }
        }
        view.weight =
            off(&view.expected).into_iter().enumerate().map(|(at, r)| self.judged(at, r).1).collect();
        Ok(view)
    }

    /// The readings as noted, from a start that may be far off.
    ///
    /// # Errors
    /// [`FitError`] where the model has no answer.
    pub(super) fn view(&self, noted: &Observations, x: Vec<f64>) -> Result<View, FitError> {
        self.looked(noted, x, Depth::Far)
    }

    /// Changes what is taken for wrong, one thing after the other, while that lessens the loss: `changes` lists what
    /// can be changed, `under` gives the readings under it.
    pub(super) fn changed<K: Clone>(
        &self,
        (from, mut key): (View, K),
        changes: impl Fn(&K, &View) -> Vec<Change<K>>,
        under: impl Fn(&K) -> Observations,
    ) -> (View, K) {
        let mut best = from;
        for _ in 0..MOST_CHANGES {
            let mut glances: Vec<(f64, Change<K>)> = Vec::new();
            for change in changes(&key, &best) {
                // What the readings cannot be under is not changed.
                let Ok(view) = self.looked(&under(&change.key), change.x, Depth::Glance) else { continue };
                glances.push((view.loss + change.dearer, Change { x: view.x, ..change }));
            }
            glances.sort_by(|a, b| a.0.total_cmp(&b.0));
            let mut next: Option<(f64, K, View)> = None;
            for (_, change) in glances.into_iter().take(TRIED) {
                let Ok(view) = self.looked(&under(&change.key), change.x, Depth::Near) else { continue };
                let gain = best.loss - view.loss - change.dearer;
                if gain > next.as_ref().map_or(0.0, |n| n.0) {
                    next = Some((gain, change.key, view));
                }
            }
            let Some((_, changed, view)) = next else { break };
            (best, key) = (view, changed);
        }
        (best, key)
    }
}
