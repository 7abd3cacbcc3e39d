//! What is taken back before draws are made: readings wrong by a slip, doors that stood otherwise.
//!
//! One wrong sign or one hatch left open bends every leak of the house, and an interval around the
//! bent answer says nothing. Each reading is held to be a slip, and each door to have stood other
//! than noted, with the small probability that people have of such mistakes. An account of the
//! readings says which are slips and which doors stood otherwise; its evidence is Laplace's (sum of
//! squares at the optimum and determinant of what the readings were expected to spread). Accounts are
//! searched best first from the one as noted, each changing one reading or one door of another; the
//! draws are those of all accounts that are not improbable, each with its share. What is likelier
//! than not is named; nothing is dropped in silence.
//! What is left unexplained widens the ranges: where the sum of squares of the best account is still
//! improbable, all noise is raised by the root of its ratio to what is expected (Birge 1932, from
//! memory).
//! Not covered: accounts that lie more than a mistake away from every likely one; mistakes in the
//! drawing itself, which [`super::unseen`] looks for.

use super::observe::{Observations, Seen};
use super::problem::{FitError, Problem};
use super::solve::{self, Optimum};
use super::suspect;
use crate::house::House;
use crate::math;
use serde::Serialize;
use std::ops::ControlFlow;

/// Share of readings that are wrong by a slip. An assumption, no source.
const SLIP: f64 = 0.02;
/// A slip puts a reading anywhere within so many standard deviations of what it was expected to be. An
/// assumption, no source.
const SLIP_WIDTH: f64 = 30.0;
/// Share of doors that stood other than noted. An assumption, no source.
const DOOR: f64 = 0.05;
/// Noise is raised where the best account's sum of squares is less probable than this.
const PROBABLE: f64 = 0.05;
/// An account as noted with less than this is not taken to hold, and what the best one takes back is
/// named.
const HOLDS: f64 = 0.05;
/// Accounts with less than this share are left out.
const LEAST_SHARE: f64 = 0.01;
/// Most accounts that are drawn from.
const MOST_DRAWN: usize = 8;
/// Most accounts from which the search goes on.
const MOST_EXPANDED: usize = 12;
/// It goes on from an account whose minus twice log evidence is worse than the best by no more.
const GOES_ON: f64 = 6.0;
/// What the determinant may give back to an account whose sum of squares alone is too large.
const SLACK: f64 = 4.0;
/// Something is amiss where a reading lies further off, in standard uncertainties; then it may be this
/// one, or another that lies off by more than ...
const FAR: f64 = 3.0;
/// ... this: of two readings that contradict each other either may be the slip.
const OFF: f64 = 1.5;
/// A sum of squares less probable than this is a gross error's: the search is patient, and goes on
/// from more than the best account.
const GROSS: f64 = 1e-3;
/// Readings tried from one account.
const SUSPECTS: usize = 5;
/// Most stretches of doors that are tried.
const MOST_DOORS: usize = 24;

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
    /// Readings set aside, by index.
    pub set_aside: Vec<usize>,
    /// What the other readings expect of each, SI.
    pub expected: Vec<f64>,
    /// Doors turned.
    pub doors: Vec<Turned>,
    /// Factor on the noise of all other readings: one where their sum of squares is as expected.
    pub noise_factor: f64,
}

impl Default for SetRight {
    fn default() -> SetRight {
        SetRight { set_aside: Vec::new(), expected: Vec::new(), doors: Vec::new(), noise_factor: 1.0 }
    }
}

impl SetRight {
    /// Whether nothing was.
    pub fn is_empty(&self) -> bool {
        self.set_aside.is_empty() && self.doors.is_empty()
    }
}

/// A stretch of stations over which a door stands as noted once, or one station of a longer stretch: a
/// touch that nobody noted, and back again.
struct Stretch {
    door: usize,
    stations: Vec<usize>,
    /// Minus twice the log odds that it stood otherwise. That of a stretch is shared by its stations.
    cost: f64,
    single: bool,
}

/// Every stretch, in the order of the visit.
fn stretches(seen: &Observations) -> Vec<Stretch> {
    let mut all: Vec<Stretch> = Vec::new();
    let cost = 2.0 * math::ln(1.0 / DOOR - 1.0);
    let doors = seen.stations.first().map_or(0, |s| s.setup.open.len());
    for door in 0..doors {
        let mut before = None;
        for (at, s) in seen.stations.iter().enumerate() {
            let now = Some((s.visit, s.setup.open[door]));
            match all.last_mut().filter(|l| l.door == door && before == now) {
                Some(last) => last.stations.push(at),
                None => all.push(Stretch { door, stations: vec![at], cost, single: false }),
            }
            before = now;
        }
    }
    // A door that nobody noted has a weight on each state already.
    all.retain(|s| s.stations.iter().all(|at| !seen.stations[*at].setup.unnoted[s.door]));
    all.truncate(MOST_DOORS);
    let single = |s: &Stretch, at: usize| Stretch {
        door: s.door,
        stations: vec![at],
        cost: s.cost + 2.0 * math::ln(s.stations.len() as f64),
        single: true,
    };
    let longer = all.iter().filter(|s| s.stations.len() > 1);
    let singles: Vec<Stretch> =
        longer.flat_map(|s| s.stations.iter().map(move |at| single(s, *at))).collect();
    all.extend(singles);
    all
}

/// An account of the readings.
#[derive(Clone)]
struct Account {
    /// Stretches over which a door stood otherwise, ascending.
    turned: Vec<usize>,
    /// Readings that are slips, ascending.
    aside: Vec<usize>,
    seen: Observations,
    optimum: Optimum,
    /// Minus twice the logarithm of its evidence but for the sum of squares.
    rest: f64,
    /// Nothing is amiss under it.
    well: bool,
    /// A gross error is left in it.
    gross: bool,
    expanded: bool,
}

impl Account {
    fn new(
        (turned, aside): (Vec<usize>, Vec<usize>),
        problem: &Problem<'_>,
        optimum: Optimum,
        doors: &[Stretch],
    ) -> Account {
        let rest = rest((&turned, &aside), doors, &optimum);
        let near = suspect::distances(&optimum).iter().all(|z| z.abs() <= FAR);
        let seen = problem.seen.clone();
        let probability = probability(problem, &optimum, aside.len());
        let (well, gross) = (near && probability > PROBABLE, probability < GROSS);
        Account { turned, aside, seen, optimum, rest, well, gross, expanded: false }
    }

    fn energy(&self) -> f64 {
        self.optimum.squares + self.rest
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

/// Minus twice the log odds of a slip.
fn slip() -> f64 {
    2.0 * math::ln(1.0 / SLIP - 1.0)
}

/// Minus twice the log evidence of an account but for the sum of squares. A slip's reading lies anywhere
/// within [`SLIP_WIDTH`] of what noise and the other readings leave open: of the pressure and the flow
/// of one station that contradict each other, neither is the cheaper slip.
fn rest(account: (&[usize], &[usize]), doors: &[Stretch], optimum: &Optimum) -> f64 {
    let (turned, aside) = account;
    let free = optimum.spread.inverse().diagonal();
    let open = |at: &usize| {
        let left_open = (1.0 / free[*at] - 1.0) * suspect::NO_WEIGHT * suspect::NO_WEIGHT;
        2.0 * math::ln(SLIP_WIDTH) + math::ln(1.0 + if left_open > 0.0 { left_open } else { 0.0 })
    };
    let slips: f64 = aside.iter().map(|at| slip() + open(at)).sum();
    solve::ln_det(&optimum.spread) + slips + turned.iter().map(|at| doors[*at].cost).sum::<f64>()
}

/// The accounts of the readings that are not improbable, the best first, and what the best takes back
/// where the account as noted does not hold.
///
/// # Errors
/// [`FitError`] where the readings as noted cannot be fitted.
pub(super) fn set_right(
    house: &House,
    noted: &Observations,
    optimum: &Optimum,
) -> Result<(Vec<Drawn>, SetRight), FitError> {
    let doors = stretches(noted);
    let all = search(house, noted, optimum, &doors)?;
    let mut done = SetRight::default();
    let Some(best) = all.first() else { return Ok((Vec::new(), done)) };
    let factor = noise_factor(house, best)?;
    let share = |a: &Account| {
        let squares = (a.optimum.squares - best.optimum.squares) / (factor * factor);
        math::exp(-0.5 * (squares + a.rest - best.rest))
    };
    let whole: f64 = all.iter().map(share).sum();
    let as_noted = all.iter().find(|a| a.turned.is_empty() && a.aside.is_empty());
    if as_noted.map_or(0.0, share) / whole < HOLDS {
        name(house, &doors, best, &mut done);
    }
    done.noise_factor = factor;
    let mut drawn = Vec::new();
    for a in all.iter().take(MOST_DRAWN).filter(|a| share(a) / whole >= LEAST_SHARE) {
        let (mut seen, mut optimum) = (a.seen.clone(), a.optimum.clone());
        if factor > 1.0 {
            seen.list.iter_mut().for_each(|o| o.noise_sd *= factor);
            let mut problem = Problem::new(house, &seen)?;
            let go = &mut |_| ControlFlow::Continue(());
            optimum = solve::optimum_from(&mut problem, optimum.x.clone(), go)?;
        }
        drawn.push(Drawn { seen, optimum, share: share(a) / whole });
    }
    Ok((drawn, done))
}

/// All accounts found, the best first.
fn search(
    house: &House,
    noted: &Observations,
    optimum: &Optimum,
    doors: &[Stretch],
) -> Result<Vec<Account>, FitError> {
    let none = (Vec::new(), Vec::new());
    let mut all = vec![Account::new(none.clone(), &Problem::new(house, noted)?, optimum.clone(), doors)];
    let mut tried = vec![none];
    for _ in 0..MOST_EXPANDED {
        all.sort_by(|a, b| a.energy().total_cmp(&b.energy()));
        // Two mistakes that show in next to nothing are not looked for.
        if all[0].expanded && !all[0].gross {
            break;
        }
        let mut best = all[0].energy();
        let Some(from) = all.iter_mut().find(|a| !a.expanded && a.energy() <= best + GOES_ON) else { break };
        from.expanded = true;
        let from = from.clone();
        for key in changes(&from, doors) {
            if tried.contains(&key) {
                continue;
            }
            tried.push(key.clone());
            let (turned, aside) = &key;
            let mut seen = noted.clone();
            turned.iter().for_each(|at| turn(&mut seen, &doors[*at]));
            aside.iter().for_each(|at| seen.list[*at].noise_sd *= suspect::NO_WEIGHT);
            let cost = |turned: &[usize], aside: &[usize]| {
                turned.iter().map(|at| doors[*at].cost).sum::<f64>() + slip() * aside.len() as f64
            };
            let dearer = cost(turned, aside) - cost(&from.turned, &from.aside);
            // Neither what is improbable beside the best so far nor what is no way on is looked for.
            let needed = best + 2.0 * math::ln(1.0 / LEAST_SHARE) + SLACK - from.rest - dearer;
            let x = from.optimum.x.clone();
            let mut problem = Problem::new(house, &seen)?;
            // From where the readings fit, another account is as good at once or not at all.
            let found = match from.gross {
                true => solve::optimum_below(&mut problem, x, needed),
                false => solve::optimum_soon_below(&mut problem, x, needed),
            };
            // Readings that cannot be under it speak against an account.
            let Ok(optimum) = found else { continue };
            let new = Account::new(key, &problem, optimum, doors);
            best = if new.energy() < best { new.energy() } else { best };
            all.push(new);
        }
    }
    all.sort_by(|a, b| a.energy().total_cmp(&b.energy()));
    Ok(all)
}

/// Accounts that differ from one in one reading that lies off or is aside, or in one stretch of a
/// door; where something is amiss, in all stretches of a door too: a hatch that always stood otherwise
/// shows as its one true stretch.
fn changes(from: &Account, doors: &[Stretch]) -> Vec<(Vec<usize>, Vec<usize>)> {
    let toggled = |list: &[usize], which: &[usize]| {
        let mut new: Vec<usize> = list.iter().copied().filter(|i| !which.contains(i)).collect();
        new.extend(which.iter().filter(|i| !list.contains(i)));
        new.sort_unstable();
        new
    };
    let off = suspect::distances(&from.optimum);
    let least = if from.well { FAR } else { OFF };
    let mut far: Vec<usize> = (0..off.len()).filter(|i| off[*i].abs() > least).collect();
    far.sort_by(|a, b| off[*b].abs().total_cmp(&off[*a].abs()));
    far.truncate(SUSPECTS);
    far.retain(|at| !from.aside.contains(at));
    let mut all: Vec<_> =
        from.aside.iter().chain(&far).map(|at| (from.turned.clone(), toggled(&from.aside, &[*at]))).collect();
    let stations: Vec<usize> = far.iter().map(|at| from.seen.list[*at].station).collect();
    let singles = doors.iter().position(|s| s.single).unwrap_or(doors.len());
    let mut stretches: Vec<Vec<usize>> = (0..singles).map(|at| vec![at]).collect();
    if !from.well {
        // One station of a stretch, where something read at it lies off.
        let off = |at: &usize| stations.contains(&doors[*at].stations[0]);
        stretches.extend((singles..doors.len()).filter(off).map(|at| vec![at]));
        let of = |door: usize| (0..singles).filter(move |at| doors[*at].door == door);
        let last = doors.iter().map(|s| s.door + 1).max().unwrap_or(0);
        stretches.extend((0..last).map(|door| of(door).collect::<Vec<_>>()).filter(|s| s.len() > 1));
    }
    all.extend(stretches.iter().map(|s| (toggled(&from.turned, s), from.aside.clone())));
    all
}

/// Probability of so large a sum of squares.
fn probability(problem: &Problem<'_>, optimum: &Optimum, aside: usize) -> f64 {
    let (chi_square, degrees) = sum_of_squares(problem, optimum, aside);
    if degrees > 0.0 { crate::measure::chi_square_above(chi_square, degrees) } else { 1.0 }
}

/// Sum of squares without the test fans' priors, and what it is expected to be.
fn sum_of_squares(problem: &Problem<'_>, optimum: &Optimum, aside: usize) -> (f64, f64) {
    let chi_square = optimum.squares - problem.fan_squares(&optimum.x);
    (chi_square, problem.degrees_of_freedom() as f64 - aside as f64)
}

/// Factor on all noise: one where the account's sum of squares is as expected.
fn noise_factor(house: &House, of: &Account) -> Result<f64, FitError> {
    let problem = Problem::new(house, &of.seen)?;
    if probability(&problem, &of.optimum, of.aside.len()) > PROBABLE {
        return Ok(1.0);
    }
    let (chi_square, degrees) = sum_of_squares(&problem, &of.optimum, of.aside.len());
    Ok((chi_square / degrees).sqrt())
}

/// Names what an account takes back.
fn name(house: &House, doors: &[Stretch], of: &Account, done: &mut SetRight) {
    done.doors = of
        .turned
        .iter()
        .map(|at| {
            let stretch = &doors[*at];
            let (first, last) = (stretch.stations[0], stretch.stations[stretch.stations.len() - 1]);
            let s = &of.seen.stations[first];
            Turned {
                door: house.doors[stretch.door].text.label.clone(),
                open: s.setup.open[stretch.door],
                visit: s.visit,
                stations: (first, last),
            }
        })
        .collect();
    done.set_aside.clone_from(&of.aside);
    let expected = |at: &usize| match (of.optimum.rows[*at].expected, of.seen.list[*at].seen) {
        (pa, Seen::Pressure { .. }) => pa,
        (ln, _) => math::exp(ln),
    };
    done.expected = of.aside.iter().map(expected).collect();
}

/// Turns a door over a stretch.
fn turn(seen: &mut Observations, stretch: &Stretch) {
    for at in &stretch.stations {
        let open = &mut seen.stations[*at].setup.open[stretch.door];
        *open = !*open;
    }
}
