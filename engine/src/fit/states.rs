//! Doors whose state nobody noted, and readings with less weight.
//!
//! A door that was noted as `unknown` on a visit may have stood open or shut. The readings are fitted
//! under each state of up to three such doors; the states' weights are their evidence (Laplace's
//! method: the sum of squares at the optimum and the determinant of what it bends by).

use super::observe::Observations;
use super::problem::{FitError, Problem};
use super::solve::{self, Optimum};
use crate::house::House;
use crate::math;
use serde::Serialize;
use std::ops::ControlFlow;

/// Doors that get a weight on each state; more of them keep the usual state.
pub const MOST: usize = 3;
/// A state is open to doubt between this and one minus this.
const DOUBT: f64 = 0.05;
/// Degrees of freedom of the t that the robust fit gives to the readings.
const T_DEGREES: f64 = 4.0;
/// Most rounds of weighting.
const MOST_ROUNDS: usize = 12;

/// A door whose state was not noted.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct DoorState {
    /// The door.
    pub door: String,
    /// Index of the visit.
    pub visit: usize,
    /// Probability that it stood open; half where it was left out because there were too many.
    pub open_probability: f64,
    /// Whether the readings leave it open.
    pub in_doubt: bool,
    /// Whether this is the one question that would save most.
    pub ask: bool,
}

/// The fit under one combination of states.
pub(super) struct Under {
    /// The readings under it, with the noise that the weights leave.
    pub(super) seen: Observations,
    /// The optimum.
    pub(super) optimum: Optimum,
    /// Weight of each reading; ones where the fit is not robust.
    pub(super) weight: Vec<f64>,
    /// Sum of squares without weights, less the test fans' priors.
    pub(super) chi_square: f64,
    /// Posterior weight of the combination.
    pub(super) share: f64,
}

/// Fits under every combination, the most probable first; with the doors' states.
pub(super) fn fit(
    house: &House,
    seen: &Observations,
    robust: bool,
    progress: &mut dyn FnMut(usize) -> ControlFlow<()>,
) -> Result<(Vec<Under>, Vec<DoorState>), FitError> {
    let mut open: Vec<(usize, usize)> = Vec::new();
    for s in &seen.stations {
        for (door, unnoted) in s.setup.unnoted.iter().enumerate() {
            if *unnoted && !open.contains(&(s.visit, door)) {
                open.push((s.visit, door));
            }
        }
    }
    let weighed = open.len().min(MOST);
    let mut all: Vec<(usize, Under)> = Vec::new();
    let mut failed = None;
    for states in 0..1_usize << weighed {
        let mut changed = seen.clone();
        for s in &mut changed.stations {
            for (bit, (visit, door)) in open.iter().take(weighed).enumerate() {
                if s.visit == *visit && s.setup.unnoted[*door] {
                    s.setup.open[*door] = states >> bit & 1 == 1;
                }
            }
        }
        match one(house, changed, robust, progress) {
            Ok(under) => all.push((states, under)),
            Err(FitError::Stopped) => return Err(FitError::Stopped),
            // A state in which the readings cannot be is one that did not hold.
            Err(error) => failed = Some(error),
        }
    }
    let evidence = |u: &Under| -0.5 * (u.optimum.squares + solve::ln_det(&u.optimum.spread));
    let Some(top) = math::max_valid(all.iter().map(|(_, u)| evidence(u))) else {
        return Err(failed.unwrap_or(FitError::Stopped));
    };
    let total: f64 = all.iter().map(|(_, u)| math::exp(evidence(u) - top)).sum();
    for (_, u) in &mut all {
        u.share = math::exp(evidence(u) - top) / total;
    }
    let mut doors: Vec<DoorState> = open
        .iter()
        .enumerate()
        .map(|(bit, (visit, door))| {
            let stood = all.iter().filter(|(states, _)| states >> bit & 1 == 1);
            let p = if bit < weighed { stood.map(|(_, u)| u.share).sum::<f64>() } else { 0.5 };
            DoorState {
                door: house.doors[*door].text.label.clone(),
                visit: *visit,
                open_probability: p.clamp(0.0, 1.0),
                in_doubt: p > DOUBT && p < 1.0 - DOUBT,
                ask: false,
            }
        })
        .collect();
    let doubt = |d: &DoorState| (d.open_probability - 0.5).abs();
    let most = (0..doors.len()).min_by(|a, b| doubt(&doors[*a]).total_cmp(&doubt(&doors[*b])));
    if let Some(d) = most {
        doors[d].ask = doors[d].in_doubt;
    }
    all.sort_by(|a, b| b.1.share.total_cmp(&a.1.share));
    Ok((all.into_iter().map(|(_, u)| u).collect(), doors))
}

fn one(
    house: &House,
    mut seen: Observations,
    robust: bool,
    progress: &mut dyn FnMut(usize) -> ControlFlow<()>,
) -> Result<Under, FitError> {
    let noise: Vec<f64> = seen.list.iter().map(|o| o.noise_sd).collect();
    let mut weight = vec![1.0; noise.len()];
    let (mut optimum, chi_square) = {
        let mut problem = Problem::new(house, &seen)?;
        let optimum = solve::optimum(&mut problem, progress)?;
        let chi_square = optimum.squares - problem.fan_squares(&optimum.x);
        (optimum, chi_square)
    };
    for _ in 0..if robust { MOST_ROUNDS } else { 0 } {
        let mut moved = 0.0_f64;
        for (i, o) in seen.list.iter_mut().enumerate().filter(|(_, o)| !o.below) {
            let r = (optimum.rows[i].expected - o.value) / noise[i];
            let new = ((T_DEGREES + 1.0) / (T_DEGREES + r * r)).clamp(1e-6, 1.0);
            let change = (new - weight[i]).abs();
            moved = if change > moved { change } else { moved };
            weight[i] = new;
            o.noise_sd = noise[i] / new.sqrt();
        }
        let mut problem = Problem::new(house, &seen)?;
        optimum = solve::optimum_from(&mut problem, optimum.x.clone(), progress)?;
        if moved < 0.01 {
            break;
        }
    }
    Ok(Under { seen, optimum, weight, chi_square, share: 1.0 })
}
