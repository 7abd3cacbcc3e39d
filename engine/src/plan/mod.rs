//! Plans: every set of changes lived through the weather year in houses that the readings allow,
//! the same weather and the same draws for all, so that differences are sharper than the values.
//!
//! A plan's names are resolved and checked by [`resolve()`]; [`compare`] runs the years and scores
//! them, complaints first; [`crate::gate`] says which may be acted on. A held plan is computed and
//! shown and is never best.

mod equipment;
pub mod model;
mod resolve;
mod rules;
mod score;

pub use resolve::{Planned, resolve};
pub use rules::controls;
pub use score::{Score, ScoreKind, list as score_list};

use crate::gate::Gate;
use crate::house::House;
use crate::measure::{Estimate, NoInterval};
use crate::units::Quantity;
use crate::year::{self, Days, YearError};
use model::{Luck, Surroundings};
use serde::Serialize;
use std::ops::ControlFlow;

/// How much work to do.
#[derive(Clone, Debug, PartialEq)]
pub struct Options {
    /// Draws of the house.
    pub draws: usize,
    /// Days of the year.
    pub days: Days,
    /// Inner step, s.
    pub inner_step_s: f64,
    /// Years over which a first cost is spread.
    pub years_of_cost: f64,
    /// Seed.
    pub seed: u64,
}

/// One plan, scored.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Scored {
    /// Name in the documents; empty for the house as found.
    pub name: String,
    /// Name people read.
    pub label: String,
    /// Held or released; nothing for the house as found.
    pub gate: Option<Gate>,
    /// First cost.
    pub price: Option<Estimate>,
    /// Energy for heating, cooling, fans and drying, and the first cost spread over the years, money
    /// a year.
    pub yearly_cost: Estimate,
    /// One value a score.
    pub values: Vec<Estimate>,
    /// Chance that every target is met.
    pub all_met: f64,
    /// Chance of being best among what may be acted on; nothing for a held plan.
    pub best_chance: Option<f64>,
    /// Chance of being best if every plan were released.
    pub best_if_released: f64,
}

/// All plans side by side.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Compared {
    /// What is scored.
    pub scores: Vec<Score>,
    /// The house as found, then the plans.
    pub plans: Vec<Scored>,
    /// Index of the best that may be acted on.
    pub best: usize,
    /// Chance that no plan meets every target.
    pub none_meets: f64,
    /// Draws used.
    pub draws: usize,
    /// Days lived in each year.
    pub days: usize,
    /// Largest relative error of the books of air, water, CO2 and particles over all runs.
    pub books_worst: f64,
    /// Seed.
    pub seed: u64,
    /// What the reader should know, once each.
    pub diagnostics: crate::diag::Diagnostics,
}

/// How far the work is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Years lived.
    pub done: usize,
    /// Years in all.
    pub of: usize,
}

/// What one year of one plan in one draw gave.
struct Lived {
    values: Vec<f64>,
    energy_cost: f64,
    books: f64,
    days: usize,
    diagnostics: crate::diag::Diagnostics,
}

/// Runs and scores the house as found and every plan.
///
/// `draws` are equally weighted; the first `options.draws` of an even spread over them are used.
///
/// # Errors
/// [`YearError`]: a model that cannot be run, or a stop from `progress`.
pub fn compare(
    house: &House,
    draws: &[Vec<f64>],
    plans: &[Planned],
    scores: &[Score],
    around: Surroundings<'_>,
    options: &Options,
    progress: &mut dyn FnMut(Progress) -> ControlFlow<()>,
) -> Result<Compared, YearError> {
    let count = options.draws.min(draws.len()).max(1);
    let picked: Vec<&Vec<f64>> = (0..count).map(|i| &draws[i * draws.len() / count]).collect();
    let candidates: Vec<&[crate::doc::plans::Change]> =
        std::iter::once(&[][..]).chain(plans.iter().map(|p| p.changes.as_slice())).collect();
    let tasks: Vec<(usize, usize)> =
        (0..count).flat_map(|d| (0..candidates.len()).map(move |c| (c, d))).collect();
    let live = |&(c, d): &(usize, usize)| -> Result<Lived, YearError> {
        let luck = Luck { seed: options.seed, draw: d };
        live(house, picked[d], candidates[c], luck, scores, around, options)
    };
    let mut lived: Vec<Lived> = Vec::with_capacity(tasks.len());
    for chunk in tasks.chunks(CHUNK) {
        if progress(Progress { done: lived.len(), of: tasks.len() }).is_break() {
            return Err(YearError::Stopped { day_count: 0 });
        }
        for result in each(chunk, &live) {
            lived.push(result?);
        }
    }
    Ok(tally(&lived, plans, scores, count, options))
}

/// Years run between two words of progress; a multiple of the usual numbers of threads.
const CHUNK: usize = 8;

#[cfg(feature = "parallel")]
fn each<T: Sync, R: Send>(list: &[T], work: &(impl Fn(&T) -> R + Sync)) -> Vec<R> {
    use rayon::prelude::*;
    list.par_iter().map(work).collect()
}

#[cfg(not(feature = "parallel"))]
fn each<T, R>(list: &[T], work: &impl Fn(&T) -> R) -> Vec<R> {
    list.iter().map(work).collect()
}

fn live(
    house: &House,
    theta: &[f64],
    changes: &[crate::doc::plans::Change],
    luck: Luck,
    scores: &[Score],
    around: Surroundings<'_>,
    options: &Options,
) -> Result<Lived, YearError> {
    let model = model::model(house, theta, changes, luck, around)?;
    let how = year::Options {
        inner_step_s: options.inner_step_s,
        days: options.days.clone(),
        ..year::Options::default()
    };
    let year = year::run(&model, around.weather, &how, &mut |_| ControlFlow::Continue(()))?;
    let electricity = around.place.electricity_per_j.unwrap_or(0.0);
    let fuel = around.place.fuel_per_j.unwrap_or(0.0);
    Ok(Lived {
        values: scores.iter().map(|s| score::value(s, house, theta, changes, luck, &year)).collect(),
        energy_cost: year.energy.electricity_j() * electricity + score::fuel_j(&year) * fuel,
        books: year.books.worst(),
        days: year.days_simulated,
        diagnostics: year.diagnostics,
    })
}

fn tally(lived: &[Lived], plans: &[Planned], scores: &[Score], count: usize, options: &Options) -> Compared {
    let candidates = plans.len() + 1;
    let at = |c: usize, d: usize| &lived[d * candidates + c];
    let price = |c: usize, d: usize| {
        let luck = Luck { seed: options.seed, draw: d };
        let plan = c.checked_sub(1).map(|p| &plans[p]);
        plan.and_then(|p| p.price.map(|range| luck.within(&p.name, range))).unwrap_or(0.0)
    };
    let cost = |c: usize, d: usize| at(c, d).energy_cost + price(c, d) / options.years_of_cost;
    let weight_met = |c: usize, d: usize| -> f64 {
        scores.iter().zip(&at(c, d).values).filter(|(s, v)| s.met(**v)).map(|(s, _)| s.weight).sum()
    };
    let all_met = |c: usize, d: usize| scores.iter().zip(&at(c, d).values).all(|(s, v)| s.met(*v));
    // Complaints first, then every target, then the least cost.
    let best_of = |allowed: &dyn Fn(usize) -> bool, d: usize| -> usize {
        (0..candidates)
            .filter(|c| allowed(*c))
            .max_by(|&a, &b| {
                (weight_met(a, d).total_cmp(&weight_met(b, d)))
                    .then(all_met(a, d).cmp(&all_met(b, d)))
                    .then(cost(b, d).total_cmp(&cost(a, d)))
            })
            .unwrap_or(0)
    };
    let released = |c: usize| c == 0 || plans[c - 1].gate.is_released();
    let share = |allowed: &dyn Fn(usize) -> bool| -> Vec<f64> {
        let mut wins = vec![0.0; candidates];
        for d in 0..count {
            wins[best_of(allowed, d)] += 1.0 / count as f64;
        }
        wins
    };
    let wins = share(&released);
    let wins_if = share(&|_| true);
    let estimate = |quantity: Quantity, value: &dyn Fn(usize) -> f64| {
        let mut values: Vec<f64> = (0..count).map(value).collect();
        values.sort_by(f64::total_cmp);
        if values.iter().all(|v| v.is_finite()) {
            Estimate::from_sorted_draws(&values, crate::fit::LEVEL, quantity)
        } else {
            Estimate::without(f64::NAN, quantity, NoInterval::NotComputed)
        }
    };
    let scored = (0..candidates)
        .map(|c| {
            let plan = c.checked_sub(1).map(|p| &plans[p]);
            Scored {
                name: plan.map_or_else(String::new, |p| p.name.clone()),
                label: plan.map_or_else(String::new, |p| p.label.clone()),
                gate: plan.map(|p| p.gate.clone()),
                price: plan.and_then(|p| p.price).map(|(lo, hi)| {
                    Estimate::range(0.5 * (lo + hi), lo, hi, crate::fit::LEVEL, Quantity::Money)
                }),
                yearly_cost: estimate(Quantity::Money, &|d| cost(c, d)),
                values: scores
                    .iter()
                    .enumerate()
                    .map(|(s, score)| estimate(score.kind.quantity(), &|d| at(c, d).values[s]))
                    .collect(),
                all_met: (0..count).filter(|d| all_met(c, *d)).count() as f64 / count as f64,
                best_chance: released(c).then_some(wins[c]),
                best_if_released: wins_if[c],
            }
        })
        .collect();
    let best =
        (0..candidates).filter(|c| released(*c)).max_by(|a, b| wins[*a].total_cmp(&wins[*b])).unwrap_or(0);
    let none = (0..count).filter(|d| !(0..candidates).any(|c| all_met(c, *d))).count() as f64 / count as f64;
    let mut diagnostics = crate::diag::Diagnostics::default();
    for l in lived {
        for d in &l.diagnostics.list {
            // Every run says it with its own numbers; once is enough.
            if !diagnostics.list.iter().any(|have| have.code == d.code) {
                diagnostics.push(d.clone());
            }
        }
    }
    Compared {
        scores: scores.to_vec(),
        plans: scored,
        best,
        none_meets: none,
        draws: count,
        days: lived.first().map_or(0, |l| l.days),
        books_worst: crate::math::max_valid(lived.iter().map(|l| l.books)).unwrap_or(f64::NAN),
        seed: options.seed,
        diagnostics,
    }
}
