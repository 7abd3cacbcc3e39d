//! The search for the accounts of the readings that are not improbable.

use super::super::observe::Observations;
use super::super::problem::{FitError, Problem};
use super::super::solve::{self, Optimum};
use super::super::suspect::{self, Slip};
use super::super::unseen::{self, Route};
use super::LEAST_SHARE;
use super::afar::{Afar, Change, View};
use super::mistakes::{Key, Mistakes, SLIP_WIDTH, Wrong, turns, whole_stretches};
use crate::house::House;
use crate::math;
use std::ops::ControlFlow;

/// A usual slip is tried where undoing it would bring the reading nearer by this factor.
const NEARER: f64 = 0.5;
/// Noise is raised where the best account's sum of squares is less probable than this.
pub(super) const PROBABLE: f64 = 0.05;
/// Most accounts from which the search goes on.
const MOST_EXPANDED: usize = 12;
/// Where what it has come to is doubtful, it goes on from so many accounts of each number of mistakes ...
const WIDE: usize = 4;
/// ... up to this number.
const MOST_TOGETHER: usize = 3;
/// An account that sets aside so many readings is doubtful: slips are mostly usual ones.
const MANY_LOST: usize = 2;
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
/// Probability that there is a passage that nobody drew, whatever its route. An assumption, no source.
const PASSAGE: f64 = 0.1;
/// Routes that are drawn and fitted.
const ROUTES: usize = 4;
/// Changes that each lower minus twice the log evidence by more are also made all at once.
const CLEAR: f64 = 10.0;
/// Accounts that are kept, beside those from which the search may go on patiently.
const KEPT: usize = 48;

/// An account of the readings.
#[derive(Clone)]
pub(in crate::fit) struct Account {
    pub(in crate::fit) key: Key,
    pub(in crate::fit) seen: Observations,
    pub(in crate::fit) optimum: Optimum,
    /// Minus twice the logarithm of its evidence but for the sum of squares.
    pub(super) rest: f64,
    /// Nothing is amiss under it.
    well: bool,
    /// A gross error is left in it.
    gross: bool,
    /// The search went on from it in every way.
    expanded: bool,
}

impl Account {
    fn new(key: Key, problem: &Problem<'_>, optimum: Optimum, cost: f64) -> Account {
        let rest = cost + width(&key, &optimum);
        let near = suspect::distances(&optimum).iter().all(|z| z.abs() <= FAR);
        let seen = problem.seen.clone();
        let probability = probability(problem, &optimum, key.lost().count());
        let (well, gross) = (near && probability > PROBABLE, probability < GROSS);
        Account { key, seen, optimum, rest, well, gross, expanded: false }
    }

    pub(super) fn energy(&self) -> f64 {
        self.optimum.squares + self.rest
    }
}

/// Minus twice the log evidence of an account but for the sum of squares and the odds of its mistakes.
/// A reading that is a slip anyhow lies anywhere within [`SLIP_WIDTH`] of what noise and the other
/// readings leave open: of the pressure and the flow of one station that contradict each other, neither
/// is the cheaper slip.
fn width(key: &Key, optimum: &Optimum) -> f64 {
    let free = optimum.spread.inverse().diagonal();
    let open = |at: usize| {
        let left_open = (1.0 / free[at] - 1.0) * suspect::NO_WEIGHT * suspect::NO_WEIGHT;
        2.0 * math::ln(SLIP_WIDTH) + math::ln(1.0 + if left_open > 0.0 { left_open } else { 0.0 })
    };
    solve::ln_det(&optimum.spread) + key.lost().map(open).sum::<f64>()
}

/// A passage that nobody drew, and the house with it.
pub(in crate::fit) struct Passage {
    pub(in crate::fit) route: Route,
    pub(in crate::fit) house: House,
}

/// What a search has come to.
pub(super) struct Searched {
    /// All accounts found, the best first; where there is a passage all of the house with it.
    pub(super) all: Vec<Account>,
    pub(super) passage: Option<Passage>,
}

/// Looks for the accounts of the readings.
pub(super) fn search(
    house: &House,
    noted: &Observations,
    optimum: &Optimum,
    mistakes: &Mistakes,
) -> Result<Searched, FitError> {
    let as_noted = Account::new(Key::default(), &Problem::new(house, noted)?, optimum.clone(), 0.0);
    let gross = as_noted.gross;
    let (all, tried) = (vec![as_noted], vec![Key::default()]);
    let begun = Search { house, noted, mistakes, dearer: 0.0, all, tried };
    let mut search = begun.clone();
    search.greedily()?;
    if gross {
        // By itself: what is nearer to the account as noted would hold it up on its way.
        let mut other = begun;
        other.look_from_afar(None)?;
        other.greedily()?;
        search.join(other);
    }
    if search.is_doubtful()
        && let Some((passage, all)) = search.with_a_passage()?
    {
        return Ok(Searched { all, passage: Some(passage) });
    }
    if search.is_doubtful() {
        search.second_opinions()?;
    }
    let nearest = search.all.first().map_or(f64::INFINITY, Account::energy);
    if search.is_doubtful() {
        search.patiently()?;
        if search.all.first().is_some_and(|best| best.energy() < nearest) {
            search.greedily()?;
        }
    }
    Ok(Searched { all: search.all, passage: None })
}

/// One thing that an account takes to be wrong.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Item {
    Reading(usize),
    Stretch(usize),
}

/// The accounts found so far, and what was tried.
#[derive(Clone)]
struct Search<'a> {
    house: &'a House,
    noted: &'a Observations,
    mistakes: &'a Mistakes,
    /// What this house costs beside the one as drawn.
    dearer: f64,
    /// After every stage the best first.
    all: Vec<Account>,
    tried: Vec<Key>,
}

impl Search<'_> {
    /// The best first; what nothing will go on from is let go.
    fn sort(&mut self) {
        self.all.sort_by(|a, b| a.energy().total_cmp(&b.energy()));
        let mut of_count = [0; MOST_TOGETHER + 1];
        let mut place = 0;
        self.all.retain(|a| {
            place += 1;
            let counted = of_count.get_mut(a.key.count()).filter(|_| a.key.lost().next().is_none());
            let patient = counted.is_some_and(|n| {
                *n += 1;
                *n <= WIDE
            });
            place <= KEPT || patient
        });
    }

    /// Takes over what another search has found.
    fn join(&mut self, other: Search<'_>) {
        for account in other.all {
            match self.all.iter_mut().find(|a| a.key == account.key) {
                Some(same) if account.energy() < same.energy() => *same = account,
                Some(_) => {}
                None => self.all.push(account),
            }
        }
        self.tried.extend(other.tried);
        self.sort();
    }

    /// The best leaves a gross error, or gets along only by readings that tell nothing.
    fn is_doubtful(&self) -> bool {
        self.all.first().is_some_and(|best| best.gross || best.key.lost().count() >= MANY_LOST)
    }

    /// Goes on from the best and from those that are next to as good.
    fn greedily(&mut self) -> Result<(), FitError> {
        for _ in 0..MOST_EXPANDED {
            self.sort();
            // Two mistakes that show in next to nothing are not looked for.
            if self.all[0].expanded && !self.all[0].gross {
                break;
            }
            let best = self.all[0].energy();
            let next = self.all.iter().position(|a| !a.expanded && a.energy() <= best + GOES_ON);
            let Some(next) = next else { break };
            self.go_on_from(next, true)?;
        }
        self.sort();
        Ok(())
    }

    /// Adds the account that shows from afar; with one thing held to be right.
    fn look_from_afar(&mut self, held: Option<Item>) -> Result<(), FitError> {
        let (house, noted, mistakes) = (self.house, self.noted, self.mistakes);
        let reading = held.and_then(|item| if let Item::Reading(at) = item { Some(at) } else { None });
        let afar = Afar { house, slip: Mistakes::anywhere(), held: reading };
        let as_noted = Problem::new(house, noted)?;
        let cost = |key: &Key| mistakes.cost(key, noted);
        let changes = |key: &Key, view: &View| -> Vec<Change<Key>> {
            let change = |new: Key| {
                let x = start(&as_noted, &mistakes.under(&new, noted), (&view.x, key), &new);
                Change { dearer: cost(&new) - cost(key), key: new, x }
            };
            changes_from_afar(key, view, &as_noted, mistakes, held).into_iter().map(change).collect()
        };
        // Where the model has no answer, nothing shows from afar.
        let Ok(view) = afar.view(noted, as_noted.start()) else { return Ok(()) };
        let (view, key) = afar.changed((view, Key::default()), changes, |key| mistakes.under(key, noted));
        let key = with_slips(key, &view, mistakes, noted);
        if self.tried.contains(&key) {
            return Ok(());
        }
        self.tried.push(key.clone());
        let seen = mistakes.under(&key, noted);
        let mut problem = Problem::new(house, &seen)?;
        let go = &mut |_| ControlFlow::Continue(());
        // Readings that cannot be under it speak against an account.
        if let Ok(optimum) = solve::optimum_from(&mut problem, view.x, go) {
            let cost = cost(&key);
            self.all.push(Account::new(key, &problem, optimum, cost));
        }
        Ok(())
    }

    /// Asks from afar what else there would be if one thing that the best account takes to be wrong were right, for
    /// each of them: of two accounts that share nothing, no way of single changes leads from one to the other.
    fn second_opinions(&mut self) -> Result<(), FitError> {
        let Some(best) = self.all.first().map(|a| a.key.clone()) else { return Ok(()) };
        let items = best.wrong.iter().map(|w| Item::Reading(w.reading));
        for item in items.chain(best.turned.iter().map(|at| Item::Stretch(*at))) {
            self.look_from_afar(Some(item))?;
        }
        self.greedily()
    }

    /// The accounts of the house with a passage that nobody drew, where they are likelier than those of the house as drawn: a
    /// passage bends many readings a little, and one after the other is set aside for its sake.
    fn with_a_passage(&self) -> Result<Option<(Passage, Vec<Account>)>, FitError> {
        let Some(best) = self.all.first() else { return Ok(None) };
        let mut key = best.key.clone();
        key.wrong.retain(|w| w.usual.is_some());
        let seen = self.mistakes.under(&key, self.noted);
        let cost = self.mistakes.cost(&key, self.noted);
        let go = &mut |_| ControlFlow::Continue(());
        let mut problem = Problem::new(self.house, &seen)?;
        let Ok(plain) = solve::optimum_from(&mut problem, best.optimum.x.clone(), go) else {
            return Ok(None);
        };
        let (scores, _) = unseen::scored(&problem, &plain)?;
        let dearer = 2.0 * math::ln(1.0 / PASSAGE - 1.0) + 2.0 * math::ln(scores.len().max(1) as f64);
        let mut found: Option<(Passage, Account)> = None;
        for score in scores.iter().filter(|s| s.score > OFF).take(ROUTES) {
            let house = unseen::with_one(self.house, score.route);
            let mut problem = Problem::new(&house, &seen)?;
            let mut x = plain.x.clone();
            x.push(unseen::size_start(score));
            let Ok(optimum) = solve::optimum_from(&mut problem, x, go) else { continue };
            let new = Account::new(key.clone(), &problem, optimum, cost + dearer);
            if found.as_ref().is_none_or(|(_, a)| new.energy() < a.energy()) {
                found = Some((Passage { route: score.route, house }, new));
            }
        }
        let Some((passage, account)) = found else { return Ok(None) };
        let mut search = Search {
            house: &passage.house,
            noted: self.noted,
            mistakes: self.mistakes,
            dearer,
            all: vec![account],
            tried: vec![key],
        };
        search.greedily()?;
        let all = search.all;
        let likelier = all.first().is_some_and(|a| a.energy() < best.energy());
        Ok(likelier.then_some((passage, all)))
    }

    /// Goes on from several accounts of one mistake, then of two, and so on, by doors and usual slips alone, however bad
    /// they are. The nearest way down leads away from two doors that only together explain everything, and to set a
    /// reading aside mends a little of whatever is wrong.
    fn patiently(&mut self) -> Result<(), FitError> {
        for mistakes in 1..=MOST_TOGETHER {
            let fit = |a: &Account| !a.expanded && a.key.lost().next().is_none() && a.key.count() == mistakes;
            let wide: Vec<usize> = (0..self.all.len()).filter(|at| fit(&self.all[*at])).take(WIDE).collect();
            for at in wide {
                self.go_on_from(at, false)?;
                if self.all.iter().any(|a| !a.gross && a.key.lost().next().is_none()) {
                    self.sort();
                    return Ok(());
                }
            }
            self.sort();
        }
        Ok(())
    }

    /// Tries what differs from an account in one mistake; with readings that are not taken at all where `aside`.
    fn go_on_from(&mut self, at: usize, aside: bool) -> Result<(), FitError> {
        self.all[at].expanded |= aside;
        let from = self.all[at].clone();
        let first_new = self.all.len();
        let mut best = match aside {
            true => self.all.iter().map(Account::energy).fold(f64::INFINITY, f64::min),
            false => from.energy(),
        };
        for key in changes(&from, self.mistakes, self.noted) {
            if self.tried.contains(&key) || (!aside && key.lost().next().is_some()) {
                continue;
            }
            if let Some(new) = self.account(key, &from, best)? {
                if aside && new.energy() < best {
                    best = new.energy();
                }
                self.all.push(new);
            }
        }
        // Several mistakes are found sooner together than one after the other.
        let together = together(&from, &self.all[first_new..], self.mistakes, self.noted);
        if let Some(key) = together.filter(|key| !self.tried.contains(key)) {
            let new = self.account(key, &from, best)?;
            self.all.extend(new);
        }
        Ok(())
    }

    /// An account, searched from another; nothing where the readings cannot be under it. What is improbable beside the best
    /// energy so far is no more than begun.
    fn account(&mut self, key: Key, from: &Account, best: f64) -> Result<Option<Account>, FitError> {
        self.tried.push(key.clone());
        let seen = self.mistakes.under(&key, self.noted);
        let cost = self.dearer + self.mistakes.cost(&key, self.noted);
        let dearer = cost - self.dearer - self.mistakes.cost(&from.key, self.noted);
        // Neither what is improbable beside the best so far nor what is no way on is looked for.
        let needed = best + 2.0 * math::ln(1.0 / LEAST_SHARE) + SLACK - from.rest - dearer;
        let mut problem = Problem::new(self.house, &seen)?;
        let x = start(&problem, &seen, (&from.optimum.x, &from.key), &key);
        // From where the readings fit, another account is as good at once or not at all.
        let found = match from.gross {
            true => solve::optimum_below(&mut problem, x, needed),
            false => solve::optimum_soon_below(&mut problem, x, needed),
        };
        // Readings that cannot be under it speak against an account.
        Ok(found.ok().map(|optimum| Account::new(key, &problem, optimum, cost)))
    }
}

/// All that each by itself clearly betters an account, at once; of what touches the same setups the best alone.
fn together(from: &Account, found: &[Account], mistakes: &Mistakes, noted: &Observations) -> Option<Key> {
    let mut clear: Vec<&Account> = found.iter().filter(|a| a.energy() < from.energy() - CLEAR).collect();
    clear.sort_by(|a, b| a.energy().total_cmp(&b.energy()));
    let (mut key, mut touched, mut taken) = (from.key.clone(), Vec::new(), 0);
    for account in clear {
        let (wrong, turned) = account.key.beside(&from.key);
        let mut stations: Vec<usize> = wrong.iter().map(|w| noted.list[w.reading].station).collect();
        stations.extend(turned.iter().flat_map(|at| &mistakes.doors[*at].stations));
        if stations.iter().any(|s| touched.contains(s)) {
            continue;
        }
        // To set a reading aside mends a little of whatever is wrong; what takes a mistake back as well is no addition.
        let lost = wrong.iter().any(|w| w.usual.is_none());
        if lost || wrong.len() + turned.len() + from.key.count() != account.key.count() {
            continue;
        }
        key = wrong.into_iter().fold(key, |key, w| key.with(w.reading, Some(w))).toggled(&turned);
        touched.extend(stations);
        taken += 1;
    }
    (taken > 1).then_some(key)
}

/// What is changed beside an account as it shows from afar: doors, and a pressure that the test fan is held at where something is
/// off at its station. The fan follows that pressure, and all else is then off.
fn changes_from_afar(
    key: &Key,
    view: &View,
    as_noted: &Problem<'_>,
    mistakes: &Mistakes,
    held: Option<Item>,
) -> Vec<Key> {
    let noted = as_noted.seen;
    let mut stations: Vec<usize> = view.slips().map(|at| noted.list[at].station).collect();
    stations.dedup();
    let turned = turns(&stations, mistakes, noted).into_iter();
    let turned = turned.filter(|s| !s.iter().any(|at| held == Some(Item::Stretch(*at))));
    let mut all: Vec<Key> = turned.map(|s| key.toggled(&s)).collect();
    for (reading, o) in noted.list.iter().enumerate() {
        let holds_fan = stations.contains(&o.station) && as_noted.shows_fan(o).is_some();
        if holds_fan && held != Some(Item::Reading(reading)) {
            let usual = 0..mistakes.usual[reading].len();
            all.extend(usual.map(|at| key.with(reading, Some(Wrong { reading, usual: Some(at) }))));
        }
    }
    all
}

/// The same with the readings that lie far off from afar as slips: the usual one that brings each nearest, where one does.
fn with_slips(mut key: Key, view: &View, mistakes: &Mistakes, noted: &Observations) -> Key {
    for reading in view.slips() {
        let noise = noted.list[reading].noise_sd;
        let off = |(_, value): &(Slip, f64)| ((value - view.expected[reading]) / noise).abs();
        let all = &mistakes.usual[reading];
        let near = (0..all.len()).filter(|at| off(&all[*at]) < FAR);
        let usual = near.min_by(|a, b| off(&all[*a]).total_cmp(&off(&all[*b])));
        key = key.with(reading, Some(Wrong { reading, usual }));
    }
    key
}

/// Where the search for the optimum of an account begins: at that of another (`from`, with what that takes for wrong), but
/// for the test fan of a reading that is taken with another value. `seen` are the readings under the account.
fn start(problem: &Problem<'_>, seen: &Observations, (from, of): (&[f64], &Key), key: &Key) -> Vec<f64> {
    let mut x = from.to_vec();
    for w in key.wrong.iter().filter(|w| w.usual.is_some() && !of.wrong.contains(w)) {
        let o = &seen.list[w.reading];
        if let Some(fan) = problem.fan_of(o.station) {
            x[fan] = problem.fan_start(seen, o.station);
        }
    }
    x
}

/// Accounts that differ from one in one reading that lies off or is a slip already, or in one stretch
/// of a door; where something is amiss, in all stretches of a door too: a hatch that always stood
/// otherwise shows as its one true stretch.
fn changes(from: &Account, mistakes: &Mistakes, noted: &Observations) -> Vec<Key> {
    let off = suspect::distances(&from.optimum);
    let free = from.optimum.spread.inverse().diagonal();
    let least = if from.well { FAR } else { OFF };
    let mut far: Vec<usize> = (0..off.len()).filter(|i| off[*i].abs() > least).collect();
    far.sort_by(|a, b| off[*b].abs().total_cmp(&off[*a].abs()));
    far.truncate(SUSPECTS);
    far.retain(|at| !from.key.holds(*at));
    let mut all = Vec::new();
    for w in &from.key.wrong {
        let others = (0..mistakes.usual[w.reading].len()).map(Some).chain([None]).filter(|u| *u != w.usual);
        all.push(from.key.with(w.reading, None));
        all.extend(others.map(|usual| from.key.with(w.reading, Some(Wrong { usual, ..*w }))));
    }
    for &reading in &far {
        all.push(from.key.with(reading, Some(Wrong { reading, usual: None })));
        let o = &noted.list[reading];
        for (at, (_, value)) in mistakes.usual[reading].iter().enumerate() {
            // To first order: a reading pulls itself along by what it decides.
            let then = off[reading] + (value - o.value) / o.noise_sd * free[reading].sqrt();
            if then.abs() < NEARER * off[reading].abs() {
                all.push(from.key.with(reading, Some(Wrong { reading, usual: Some(at) })));
            }
        }
    }
    // Stretches of one door that together say next to nothing.
    let of_door =
        |door: usize| from.key.turned.iter().copied().filter(move |at| mistakes.doors[*at].door == door);
    let mut doors: Vec<usize> = from.key.turned.iter().map(|at| mistakes.doors[*at].door).collect();
    doors.sort_unstable();
    doors.dedup();
    for door in doors {
        let all_of_it: Vec<usize> = of_door(door).collect();
        if all_of_it.len() > 1 {
            all.push(from.key.toggled(&all_of_it));
        }
    }
    let stations: Vec<usize> = far.iter().map(|at| from.seen.list[*at].station).collect();
    if from.well {
        all.extend(whole_stretches(mistakes).map(|at| from.key.toggled(&[at])));
    } else {
        all.extend(turns(&stations, mistakes, noted).iter().map(|s| from.key.toggled(s)));
    }
    all
}

/// Probability of so large a sum of squares.
pub(super) fn probability(problem: &Problem<'_>, optimum: &Optimum, lost: usize) -> f64 {
    let (chi_square, degrees) = sum_of_squares(problem, optimum, lost);
    if degrees > 0.0 { crate::measure::chi_square_above(chi_square, degrees) } else { 1.0 }
}

/// Sum of squares without the test fans' priors, and what it is expected to be.
pub(super) fn sum_of_squares(problem: &Problem<'_>, optimum: &Optimum, lost: usize) -> (f64, f64) {
    let chi_square = optimum.squares - problem.fan_squares(&optimum.x);
    (chi_square, problem.degrees_of_freedom() as f64 - lost as f64)
}
