//! Plans: every set of changes lived through the weather year in houses that the readings allow,
//! the same weather and the same draws for all, so that differences are sharper than the values.
//!
//! A plan's names are resolved and checked by [`resolve()`]; [`compare`] runs the years and scores
//! them, complaints first; [`crate::gate`] says which may be acted on. A held plan is computed and
//! shown and is never best.

mod added;
mod after;
mod billed;
mod compared;
mod doubt;
mod equipment;
mod events;
mod handler;
mod lived;
pub mod model;
mod passages;
mod resolve;
mod rooms;
mod rules;
mod score;
mod search;
mod work;

pub use billed::{Billed, BilledPart, Meter, Parts, billed, meter};
pub use compared::{Compared, Scored};
pub use doubt::{Doubt, Settles, Share};
pub use events::{EventLived, EventOfPlan, EventScore, bad_days, event_scores};
pub use handler::HandlerAir;
pub use lived::Hourly;
pub use resolve::{Choosable, Cost, MOST_COMBINATIONS, Planned, Searched, resolve, resolve_searches};
pub use rooms::{RoomKnown, RoomsDay, design_rooms};
pub use rules::controls;
pub use score::{Score, ScoreKind, beyond, list as score_list};
pub use search::{Combination, Found, Raced, run as search};
pub use work::{Mark, MarkKind, Stage, Step, in_order, marks};

use crate::doc::plans::Change;
use crate::gate::Gate;
use crate::house::House;
use crate::year::{Days, YearError};
use lived::{Lived, live};
use model::{Luck, Surroundings};
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
    /// People that the steady ventilation rate is for: bedrooms and one.
    pub people: f64,
    /// Keeps the hourly means of each plan in the first draw.
    pub hourly: bool,
}

/// How far the work is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// Years lived.
    pub done: usize,
    /// Years in all.
    pub of: usize,
    /// The plan that was best most often in the draws lived so far (0 is the house as found): a first
    /// ranking that the rest of the draws may still turn.
    pub leading: Option<usize>,
}

/// Draws that are lived, as indices of all of them: an even spread.
pub(super) fn picked(draws: usize, of: usize) -> Vec<usize> {
    let count = draws.min(of).max(1);
    (0..count).map(|i| i * of / count).collect()
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
    let picked = picked(options.draws, draws.len());
    let candidates: Vec<&[Change]> =
        std::iter::once(&[][..]).chain(plans.iter().map(|p| p.changes.as_slice())).collect();
    let count = candidates.len();
    let tasks: Vec<(usize, usize)> =
        (0..picked.len()).flat_map(|d| (0..count).map(move |c| (c, d))).collect();
    let bench = Bench { house, draws, scores, around, options };
    let leading = |lived: &[Lived]| {
        let whole = lived.len() / count;
        let so_far = || compared::tally(&lived[..whole * count], plans, scores, &picked[..whole], options);
        (whole > 0).then(|| so_far().0.best)
    };
    let lived = bench.lived(&tasks, &picked, &|c| candidates[c], &leading, progress)?;
    let (mut compared, runner_up) = compared::tally(&lived, plans, scores, &picked, options);
    let thetas: Vec<&[f64]> = picked.iter().map(|d| draws[*d].as_slice()).collect();
    compared.handler = handler::of_plans(house, &thetas, candidates.iter().copied());
    compared.doubt = runner_up.and_then(|pair| doubt::of(&compared, pair, house, draws));
    Ok(compared)
}

/// Where years are lived: common draws, common weather.
#[derive(Clone, Copy, Debug)]
struct Bench<'a> {
    house: &'a House,
    draws: &'a [Vec<f64>],
    scores: &'a [Score],
    around: Surroundings<'a>,
    options: &'a Options,
}

impl Bench<'_> {
    /// Lives every task, a candidate and a place in `picked`, in the order of the tasks.
    fn lived<'c>(
        &self,
        tasks: &[(usize, usize)],
        picked: &[usize],
        changes: &(dyn Fn(usize) -> &'c [Change] + Sync),
        leading: &dyn Fn(&[Lived]) -> Option<usize>,
        progress: &mut dyn FnMut(Progress) -> ControlFlow<()>,
    ) -> Result<Vec<Lived>, YearError> {
        let one = |&(c, d): &(usize, usize)| -> Result<Lived, YearError> {
            let luck = Luck { seed: self.options.seed, draw: d };
            let keep = self.options.hourly && d == 0;
            let theta = &self.draws[picked[d]];
            live(self.house, theta, changes(c), (luck, keep), self.scores, self.around, self.options)
        };
        let mut lived: Vec<Lived> = Vec::with_capacity(tasks.len());
        for chunk in tasks.chunks(CHUNK) {
            if progress(Progress { done: lived.len(), of: tasks.len(), leading: leading(&lived) }).is_break()
            {
                return Err(YearError::Stopped { day_count: 0 });
            }
            for result in each(chunk, &one) {
                lived.push(result?);
            }
        }
        Ok(lived)
    }
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
