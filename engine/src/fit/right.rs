//! What is taken back before draws are made: readings wrong by a slip, doors that stood otherwise.
//!
//! One wrong sign or one hatch left open bends every leak of the house, and an interval around the
//! bent answer says nothing. Each reading is held to be a slip, and each door to have stood other
//! than noted, with the small probability that people have of such mistakes. A slip is a usual one (a
//! swapped sign, a wrong unit, a factor of ten), and then the reading still tells, or puts the reading
//! anywhere. An account of the readings says which are slips and which doors stood otherwise; its
//! evidence is Laplace's (sum of squares at the optimum and determinant of what the readings were
//! expected to spread). Accounts are searched best first from the one as noted, each changing one
//! reading or one door of another, and where the readings as noted hold a gross error once more from
//! one that is sought under a loss that mistakes cannot bend (`afar`), since several at once hide
//! each other; the draws are those of all accounts that are not improbable, each with its share.
//! Where the search ends in a doubtful account, it draws the passage that nobody drew and that the
//! readings ask for most ([`super::unseen`]) and searches the accounts of the house with it: a passage
//! bends many readings a little, and one after the other is set aside for its sake. Where they are
//! likelier, draws are made of that house and handed on as the drawn house's (what passes beside a drawn
//! leak is part of it). Else it asks what else there would be if one of its mistakes were none, and goes
//! on from several accounts of each number of mistakes. What is likelier than not is named; nothing is
//! dropped in silence.
//! What is left unexplained widens the ranges: where the sum of squares of the best account is still
//! improbable, all noise is raised by the root of its ratio to what is expected (Birge 1932, from
//! memory).
//! Not covered: accounts that lie more than a mistake away from every likely one; two passages at once,
//! and other mistakes in the drawing itself.

mod afar;
pub(super) mod mistakes;
pub(super) mod search;

use super::again::{self, Again};
use super::observe::{Observations, Seen};
use super::problem::{FitError, Problem};
use super::solve::{self, Optimum};
use super::suspect::Slip;
use crate::house::House;
use crate::math;
use mistakes::Mistakes;
use search::{Account, PROBABLE, Passage, Searched, probability, search, sum_of_squares};
use serde::Serialize;
use std::ops::ControlFlow;

/// An account as noted with less than this is not taken to hold, and what the best one takes back is
/// named.
const HOLDS: f64 = 0.05;
/// Accounts with less than this share are left out.
const LEAST_SHARE: f64 = 0.01;
/// Most accounts that are drawn from.
const MOST_DRAWN: usize = 8;

/// A door that was taken to have stood otherwise.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Turned {
    /// Name people read.
    pub door: String,
    /// Whether it is taken to have stood open.
    pub open: bool,
    /// Index of the visit.
    pub visit: usize,
    /// First and last of the stations at which it did.
    #[serde(skip)]
    pub stations: (usize, usize),
}

/// What was taken back.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SetRight {
    /// Readings that are not taken as written, by index.
    pub set_aside: Vec<usize>,
    /// The usual slip with which each is taken; nothing where it is not taken at all.
    pub as_slip: Vec<Option<Slip>>,
    /// What the other readings expect of each, SI.
    pub expected: Vec<f64>,
    /// Doors turned.
    pub doors: Vec<Turned>,
    /// Factor on the noise of all other readings: one where their sum of squares is as expected.
    pub noise_factor: f64,
}

impl Default for SetRight {
    fn default() -> SetRight {
        SetRight {
            set_aside: Vec::new(),
            as_slip: Vec::new(),
            expected: Vec::new(),
            doors: Vec::new(),
            noise_factor: 1.0,
        }
    }
}

impl SetRight {
    /// Whether nothing was.
    pub fn is_empty(&self) -> bool {
        self.set_aside.is_empty() && self.doors.is_empty()
    }
}

/// One account that draws are made from.
pub(super) struct Drawn {
    /// The readings under it.
    pub(super) seen: Observations,
    /// Their optimum.
    pub(super) optimum: Optimum,
    /// Its share of all.
    pub(super) share: f64,
}

/// What became of the readings.
#[derive(Default)]
pub(super) struct Righted {
    /// The accounts that draws are made from, the best first.
    pub(super) drawn: Vec<Drawn>,
    /// What the best takes back, where the account as noted does not hold.
    pub(super) set_right: SetRight,
    /// What should be taken again.
    pub(super) again: Vec<Again>,
    /// The readings under the best account, with their own noise.
    pub(super) likeliest: Option<Observations>,
    /// The passage that nobody drew and without which the readings cannot be had; then the optima are those
    /// of the house with it.
    pub(super) passage: Option<Passage>,
}

/// The accounts of the readings that are not improbable.
///
/// # Errors
/// [`FitError`] where the readings as noted cannot be fitted.
pub(super) fn set_right(house: &House, noted: &Observations, optimum: &Optimum) -> Result<Righted, FitError> {
    let mistakes = Mistakes::new(noted);
    let Searched { all, passage } = search(house, noted, optimum, &mistakes)?;
    let mut righted = Righted::default();
    let Some(best) = all.first() else { return Ok(righted) };
    let house = passage.as_ref().map_or(house, |p| &p.house);
    let done = &mut righted.set_right;
    let factor = noise_factor(house, best)?;
    let share = |a: &Account| {
        let squares = (a.optimum.squares - best.optimum.squares) / (factor * factor);
        math::exp(-0.5 * (squares + a.rest - best.rest))
    };
    let whole: f64 = all.iter().map(share).sum();
    let as_noted = all.iter().find(|a| a.key.is_as_noted());
    if as_noted.map_or(0.0, share) / whole < HOLDS {
        name(house, &mistakes, best, done);
    }
    done.noise_factor = factor;
    let shares: Vec<(&Account, f64)> = all.iter().map(|a| (a, share(a) / whole)).collect();
    righted.again = again::again(house, noted, &mistakes, &shares)?;
    for a in all.iter().take(MOST_DRAWN).filter(|a| share(a) / whole >= LEAST_SHARE) {
        let (mut seen, mut optimum) = (a.seen.clone(), a.optimum.clone());
        if factor > 1.0 {
            seen.list.iter_mut().for_each(|o| o.noise_sd *= factor);
            let mut problem = Problem::new(house, &seen)?;
            let go = &mut |_| ControlFlow::Continue(());
            optimum = solve::optimum_from(&mut problem, optimum.x.clone(), go)?;
        }
        righted.drawn.push(Drawn { seen, optimum, share: share(a) / whole });
    }
    righted.likeliest = Some(best.seen.clone());
    righted.passage = passage;
    Ok(righted)
}

/// Factor on all noise: one where the account's sum of squares is as expected.
fn noise_factor(house: &House, of: &Account) -> Result<f64, FitError> {
    let problem = Problem::new(house, &of.seen)?;
    if probability(&problem, &of.optimum, of.key.lost().count()) > PROBABLE {
        return Ok(1.0);
    }
    let (chi_square, degrees) = sum_of_squares(&problem, &of.optimum, of.key.lost().count());
    Ok((chi_square / degrees).sqrt())
}

/// Names what an account takes back.
fn name(house: &House, mistakes: &Mistakes, of: &Account, done: &mut SetRight) {
    let doors = of.key.turned.iter().map(|at| {
        let stretch = &mistakes.doors[*at];
        let (first, last) = (stretch.stations[0], stretch.stations[stretch.stations.len() - 1]);
        let s = &of.seen.stations[first];
        Turned {
            door: house.doors[stretch.door].text.label.clone(),
            open: s.setup.open[stretch.door],
            visit: s.visit,
            stations: (first, last),
        }
    });
    done.doors = doors.collect();
    for w in &of.key.wrong {
        let expected = of.optimum.rows[w.reading].expected;
        done.set_aside.push(w.reading);
        done.as_slip.push(w.usual.map(|at| mistakes.usual[w.reading][at].0.clone()));
        done.expected.push(match of.seen.list[w.reading].seen {
            Seen::Pressure { .. } => expected,
            _ => math::exp(expected),
        });
    }
}
