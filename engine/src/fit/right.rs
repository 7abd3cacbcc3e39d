//! What is taken back before draws are made: readings wrong by a slip, doors that stood otherwise.
//!
//! One wrong sign or one hatch left open bends every leak of the house, and an interval around the
//! bent answer says nothing. Each reading is held to be a slip, and each door to have stood other
//! than noted, with the small probability that people have of such mistakes. A slip is a usual one (a
//! swapped sign, a wrong unit, a factor of ten), and then the reading still tells, or puts the reading
//! anywhere. An account of the readings says which are slips and which doors stood otherwise; its
//! evidence is Laplace's (sum of
//! squares at the optimum and determinant of what the readings were expected to spread). Accounts are
//! searched best first from the one as noted, each changing one reading or one door of another; the
//! draws are those of all accounts that are not improbable, each with its share. Where the search
//! ends in a doubtful account, it goes on from several of each number of mistakes. What is likelier
//! than not is named; nothing is dropped in silence.
//! What is left unexplained widens the ranges: where the sum of squares of the best account is still
//! improbable, all noise is raised by the root of its ratio to what is expected (Birge 1932, from
//! memory).
//! Not covered: accounts that lie more than a mistake away from every likely one; mistakes in the
//! drawing itself, which [`super::unseen`] looks for.

use super::afar::{Afar, Change, View};
use super::observe::{Observation, Observations, Seen};
use super::problem::{FitError, Problem};
use super::solve::{self, Optimum};
use super::suspect::{self, Slip};
use crate::house::House;
use crate::math;
use serde::Serialize;
use std::ops::ControlFlow;

/// Share of readings that are wrong by a slip. An assumption, no source.
const SLIP: f64 = 0.02;
/// A slip puts a reading anywhere within so many standard deviations of what it was expected to be. An
/// assumption, no source.
const SLIP_WIDTH: f64 = 30.0;
/// Share of slips that are a usual one, each as likely as the next. An assumption, no source.
const USUAL: f64 = 0.5;
/// A usual slip is tried where undoing it would bring the reading nearer by this factor.
const NEARER: f64 = 0.5;
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
            let now = Some((s.visit, s.setup.open[door], s.setup.hole[door].is_some()));
            match all.last_mut().filter(|l| l.door == door && before == now) {
                Some(last) => last.stations.push(at),
                None => all.push(Stretch { door, stations: vec![at], cost, single: false }),
            }
            before = now;
        }
    }
    // A door that nobody noted has a weight on each state already.
    // Nor is a hole that was measured a door that stood otherwise.
    let noted = |s: &Stretch, at: usize| {
        let setup = &seen.stations[at].setup;
        !setup.unnoted[s.door] && setup.hole[s.door].is_none()
    };
    all.retain(|s| s.stations.iter().all(|at| noted(s, *at)));
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

/// Every mistake that an account may hold.
struct Mistakes {
    doors: Vec<Stretch>,
    /// For each reading its usual slips and the value that it then had.
    usual: Vec<Vec<(Slip, f64)>>,
}

/// A reading that is a slip: a usual one, or one that puts it anywhere.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Wrong {
    reading: usize,
    /// Index in [`Mistakes::usual`].
    usual: Option<usize>,
}

/// What an account takes to be wrong.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
struct Key {
    /// Stretches over which a door stood otherwise, ascending.
    turned: Vec<usize>,
    /// Readings that are slips, ascending.
    wrong: Vec<Wrong>,
}

impl Key {
    fn is_as_noted(&self) -> bool {
        self.turned.is_empty() && self.wrong.is_empty()
    }

    /// Readings that tell nothing.
    fn lost(&self) -> impl Iterator<Item = usize> {
        self.wrong.iter().filter(|w| w.usual.is_none()).map(|w| w.reading)
    }

    /// Number of mistakes.
    fn count(&self) -> usize {
        self.turned.len() + self.wrong.len()
    }

    fn holds(&self, reading: usize) -> bool {
        self.wrong.iter().any(|w| w.reading == reading)
    }

    /// The same with one reading as this, or as written.
    fn with(&self, reading: usize, wrong: Option<Wrong>) -> Key {
        let mut new = self.clone();
        new.wrong.retain(|w| w.reading != reading);
        new.wrong.extend(wrong);
        new.wrong.sort_unstable();
        new
    }

    /// The same with stretches the other way.
    fn toggled(&self, which: &[usize]) -> Key {
        let mut new = self.clone();
        new.turned.retain(|i| !which.contains(i));
        new.turned.extend(which.iter().filter(|i| !self.turned.contains(i)));
        new.turned.sort_unstable();
        new
    }
}

impl Mistakes {
    fn new(noted: &Observations) -> Mistakes {
        // A reading below its range has no digits to write wrong.
        let usual = |o: &Observation| if o.below { Vec::new() } else { suspect::usual(o) };
        Mistakes { doors: stretches(noted), usual: noted.list.iter().map(usual).collect() }
    }

    /// Minus twice the log odds of a slip, and for a usual one what the density of what was written
    /// changes by.
    fn slip(&self, wrong: Wrong, noted: &Observations) -> f64 {
        let one = 2.0 * math::ln(1.0 / SLIP - 1.0);
        let all = &self.usual[wrong.reading];
        let Some((_, value)) = wrong.usual.and_then(|at| all.get(at)) else {
            return one - 2.0 * math::ln(1.0 - USUAL);
        };
        let o = &noted.list[wrong.reading];
        // Flows are logarithms, and a factor shifts them.
        let scale = match o.seen {
            Seen::Pressure { .. } => (value / o.value).abs(),
            _ => 1.0,
        };
        one + 2.0 * math::ln(all.len() as f64 / USUAL) - 2.0 * math::ln(scale)
    }

    fn cost(&self, key: &Key, noted: &Observations) -> f64 {
        key.turned.iter().map(|at| self.doors[*at].cost).sum::<f64>()
            + key.wrong.iter().map(|w| self.slip(*w, noted)).sum::<f64>()
    }

    /// The readings under an account.
    fn under(&self, key: &Key, noted: &Observations) -> Observations {
        let mut seen = noted.clone();
        key.turned.iter().for_each(|at| turn(&mut seen, &self.doors[*at]));
        for w in &key.wrong {
            let o = &mut seen.list[w.reading];
            match w.usual.and_then(|at| self.usual[w.reading].get(at)) {
                Some((_, value)) => o.value = *value,
                None => o.noise_sd *= suspect::NO_WEIGHT,
            }
        }
        seen
    }
}

/// An account of the readings.
#[derive(Clone)]
struct Account {
    key: Key,
    seen: Observations,
    optimum: Optimum,
    /// Minus twice the logarithm of its evidence but for the sum of squares.
    rest: f64,
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
    let mistakes = Mistakes::new(noted);
    let all = search(house, noted, optimum, &mistakes)?;
    let mut done = SetRight::default();
    let Some(best) = all.first() else { return Ok((Vec::new(), done)) };
    let factor = noise_factor(house, best)?;
    let share = |a: &Account| {
        let squares = (a.optimum.squares - best.optimum.squares) / (factor * factor);
        math::exp(-0.5 * (squares + a.rest - best.rest))
    };
    let whole: f64 = all.iter().map(share).sum();
    let as_noted = all.iter().find(|a| a.key.is_as_noted());
    if as_noted.map_or(0.0, share) / whole < HOLDS {
        name(house, &mistakes, best, &mut done);
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
    mistakes: &Mistakes,
) -> Result<Vec<Account>, FitError> {
    let as_noted = Account::new(Key::default(), &Problem::new(house, noted)?, optimum.clone(), 0.0);
    let mut search = Search { house, noted, mistakes, all: vec![as_noted], tried: vec![Key::default()] };
    if search.all[0].gross {
        search.from_afar(None)?;
    }
    search.greedily()?;
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
    Ok(search.all)
}

/// One thing that an account takes to be wrong.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Item {
    Reading(usize),
    Stretch(usize),
}

/// The accounts found so far, and what was tried.
struct Search<'a> {
    house: &'a House,
    noted: &'a Observations,
    mistakes: &'a Mistakes,
    /// After every stage the best first.
    all: Vec<Account>,
    tried: Vec<Key>,
}

impl Search<'_> {
    fn sort(&mut self) {
        self.all.sort_by(|a, b| a.energy().total_cmp(&b.energy()));
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

    /// The account that shows from afar; with one thing held to be right.
    fn from_afar(&mut self, held: Option<Item>) -> Result<(), FitError> {
        let slip = 2.0 * (math::ln(1.0 / SLIP - 1.0) - math::ln(1.0 - USUAL) + math::ln(SLIP_WIDTH));
        let (house, noted, mistakes) = (self.house, self.noted, self.mistakes);
        let reading = held.and_then(|item| if let Item::Reading(at) = item { Some(at) } else { None });
        let afar = Afar { house, slip, held: reading };
        let as_noted = Problem::new(house, noted)?;
        let changes = |key: &Key, view: &View| -> Vec<Change<Key>> {
            let mut stations: Vec<usize> = view.slips().map(|at| noted.list[at].station).collect();
            stations.dedup();
            let turned = turns(&stations, mistakes, noted).into_iter();
            let turned = turned.filter(|s| !s.iter().any(|at| held == Some(Item::Stretch(*at))));
            let mut all: Vec<Key> = turned.map(|s| key.toggled(&s)).collect();
            // The fan follows the pressure that it is held at, and then all else is off at its station.
            let holds_fan = |at: &usize| {
                let o = &noted.list[*at];
                stations.contains(&o.station) && as_noted.shows_fan(o).is_some() && reading != Some(*at)
            };
            for reading in (0..noted.list.len()).filter(holds_fan) {
                let usual = 0..mistakes.usual[reading].len();
                all.extend(usual.map(|at| key.with(reading, Some(Wrong { reading, usual: Some(at) }))));
            }
            let cost = |key: &Key| mistakes.cost(key, noted);
            let change = |new: Key| {
                let seen = mistakes.under(&new, noted);
                let x = start(&as_noted, &seen, (&view.x, key), &new);
                Change { dearer: cost(&new) - cost(key), key: new, x }
            };
            all.into_iter().map(change).collect()
        };
        let view = afar.view(noted, as_noted.start())?;
        let under = |key: &Key| mistakes.under(key, noted);
        let (view, mut key) = afar.changed((view, Key::default()), changes, under)?;
        for reading in view.slips() {
            let o = &noted.list[reading];
            let off = |(_, value): &(Slip, f64)| ((value - view.expected[reading]) / o.noise_sd).abs();
            let all = &mistakes.usual[reading];
            let near = (0..all.len()).filter(|at| off(&all[*at]) < FAR);
            let usual = near.min_by(|a, b| off(&all[*a]).total_cmp(&off(&all[*b])));
            key = key.with(reading, Some(Wrong { reading, usual }));
        }
        if self.tried.contains(&key) {
            return Ok(());
        }
        self.tried.push(key.clone());
        let seen = mistakes.under(&key, noted);
        let mut problem = Problem::new(house, &seen)?;
        let go = &mut |_| ControlFlow::Continue(());
        // Readings that cannot be under it speak against an account.
        if let Ok(optimum) = solve::optimum_from(&mut problem, view.x, go) {
            let cost = mistakes.cost(&key, noted);
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
            self.from_afar(Some(item))?;
        }
        self.greedily()
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
        let mut best = match aside {
            true => self.all.iter().map(Account::energy).fold(f64::INFINITY, f64::min),
            false => from.energy(),
        };
        for key in changes(&from, self.mistakes, self.noted) {
            if self.tried.contains(&key) || (!aside && key.lost().next().is_some()) {
                continue;
            }
            self.tried.push(key.clone());
            let seen = self.mistakes.under(&key, self.noted);
            let cost = self.mistakes.cost(&key, self.noted);
            let dearer = cost - self.mistakes.cost(&from.key, self.noted);
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
            let Ok(optimum) = found else { continue };
            let new = Account::new(key, &problem, optimum, cost);
            if aside && new.energy() < best {
                best = new.energy();
            }
            self.all.push(new);
        }
        Ok(())
    }
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
    let stations: Vec<usize> = far.iter().map(|at| from.seen.list[*at].station).collect();
    if from.well {
        all.extend(whole_stretches(mistakes).map(|at| from.key.toggled(&[at])));
    } else {
        all.extend(turns(&stations, mistakes, noted).iter().map(|s| from.key.toggled(s)));
    }
    all
}

/// Whole stretches.
fn whole_stretches(mistakes: &Mistakes) -> std::ops::Range<usize> {
    0..mistakes.doors.iter().position(|s| s.single).unwrap_or(mistakes.doors.len())
}

/// What of the doors is turned at once: a stretch, one of the `stations` of a longer one, all stretches of a door, all that are
/// noted alike.
fn turns(stations: &[usize], mistakes: &Mistakes, noted: &Observations) -> Vec<Vec<usize>> {
    let doors = &mistakes.doors;
    let whole = whole_stretches(mistakes);
    let mut all: Vec<Vec<usize>> = whole.clone().map(|at| vec![at]).collect();
    let off = |at: &usize| stations.contains(&doors[*at].stations[0]);
    all.extend((whole.end..doors.len()).filter(off).map(|at| vec![at]));
    // A hatch that was never shut shows in no single stretch.
    let noted_open = |at: usize| noted.stations[doors[at].stations[0]].setup.open[doors[at].door];
    let last = doors.iter().map(|s| s.door + 1).max().unwrap_or(0);
    for door in 0..last {
        let of: Vec<usize> = whole.clone().filter(|at| doors[*at].door == door).collect();
        let (open, shut): (Vec<usize>, Vec<usize>) = of.iter().partition(|at| noted_open(**at));
        let mixed = !open.is_empty() && !shut.is_empty();
        all.extend([of, open, shut].into_iter().take(if mixed { 3 } else { 1 }).filter(|s| s.len() > 1));
    }
    all
}

/// Probability of so large a sum of squares.
fn probability(problem: &Problem<'_>, optimum: &Optimum, lost: usize) -> f64 {
    let (chi_square, degrees) = sum_of_squares(problem, optimum, lost);
    if degrees > 0.0 { crate::measure::chi_square_above(chi_square, degrees) } else { 1.0 }
}

/// Sum of squares without the test fans' priors, and what it is expected to be.
fn sum_of_squares(problem: &Problem<'_>, optimum: &Optimum, lost: usize) -> (f64, f64) {
    let chi_square = optimum.squares - problem.fan_squares(&optimum.x);
    (chi_square, problem.degrees_of_freedom() as f64 - lost as f64)
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

/// Turns a door over a stretch.
fn turn(seen: &mut Observations, stretch: &Stretch) {
    for at in &stretch.stations {
        let open = &mut seen.stations[*at].setup.open[stretch.door];
        *open = !*open;
    }
}
