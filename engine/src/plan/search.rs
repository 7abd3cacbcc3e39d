//! Small searches: combinations of listed changes, raced on common draws and stratified days.
//!
//! Every allowed combination starts. Round by round more draws and days are lived; after a round a
//! combination is out where one and the same other was at least as good in every complaint and in the
//! yearly cost, in every draw of the round, and better in one. What is left at the end and is not
//! beaten in its middle values is kept; its continuous settings are then moved on a grid whose
//! step halves. Nothing depends on time or on the number of threads.

use super::compared::{estimate, merit};
use super::resolve::Cost;
use super::{Bench, Gate, Lived, Luck, Options, Progress, Score, Searched, Surroundings, picked};
use crate::doc::plans::{Change, with_setting};
use crate::gate;
use crate::house::House;
use crate::measure::Estimate;
use crate::units::Quantity;
use crate::year::{Days, YearError};
use serde::Serialize;
use std::ops::ControlFlow;

/// Draws and days of the rounds before the last, which has all that was asked for.
const ROUNDS: [(usize, usize); 2] = [(2, 12), (4, 24)];
/// Halvings of the grid of a continuous setting.
const HALVINGS: usize = 3;
/// Combinations whose settings are moved, and that are listed.
const KEPT: usize = 8;

/// A combination that no other beats.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Combination {
    /// Indices of the choices taken.
    pub taken: Vec<usize>,
    /// Value of the continuous setting of each, SI; nothing where it has none that moves.
    pub settings: Vec<Option<f64>>,
    /// All changes, those of the base first.
    #[serde(skip)]
    pub changes: Vec<Change>,
    /// Held or released.
    pub gate: Gate,
    /// First cost, where it is known.
    pub price: Option<Estimate>,
    /// Running cost and first cost spread over the years, money a year.
    pub yearly_cost: Estimate,
    /// One value a score.
    pub values: Vec<Estimate>,
    /// Chance that every target is met.
    pub all_met: f64,
    /// Complaints solved, by weight, mean over the draws.
    pub solved: f64,
}

/// One round of the race.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Raced {
    /// Combinations that ran.
    pub ran: usize,
    /// Draws.
    pub draws: usize,
    /// Days picked of the year; 365 for all.
    pub days: usize,
    /// Combinations left after it.
    pub left: usize,
}

/// What a search found.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Found {
    /// Name in the documents.
    pub name: String,
    /// Name people read.
    pub label: String,
    /// The rounds.
    pub rounds: Vec<Raced>,
    /// Years lived in all.
    pub years: usize,
    /// What is not beaten, best first: complaints solved, then all targets, then cost. Released
    /// ones come first.
    pub kept: Vec<Combination>,
}

#[derive(Clone, Debug)]
struct Runner {
    taken: Vec<usize>,
    settings: Vec<Option<f64>>,
    changes: Vec<Change>,
    price: Option<Cost>,
}

/// Runs one search.
///
/// # Errors
/// [`YearError`]: a model that cannot be run, or a stop from `progress`.
pub fn run(
    house: &House,
    draws: &[Vec<f64>],
    search: &Searched,
    scores: &[Score],
    (around, record): (Surroundings<'_>, Option<&gate::Record>),
    options: &Options,
    progress: &mut dyn FnMut(Progress) -> ControlFlow<()>,
) -> Result<Found, YearError> {
    let all = search.combinations();
    let mut field: Vec<Runner> = all.into_iter().map(|taken| runner(search, taken)).collect();
    let mut found = Found {
        name: search.name.clone(),
        label: search.label.clone(),
        rounds: Vec::new(),
        years: 0,
        kept: Vec::new(),
    };
    let early = ROUNDS.iter().map(|(draws, days)| Options {
        draws: (*draws).min(options.draws),
        days: Days::Picked(around.weather.stratified_days(*days)),
        hourly: false,
        ..options.clone()
    });
    let last = Options { hourly: false, ..options.clone() };
    let rounds: Vec<Options> = early.chain(std::iter::once(last.clone())).collect();
    let mut lived: Vec<Vec<Lived>> = Vec::new();
    for how in &rounds {
        let bench = Bench { house, draws, scores, around, options: how };
        lived = bench.race(&field, progress)?;
        found.years += field.len() * how.draws.min(draws.len());
        let costs: Vec<Vec<f64>> = field.iter().zip(&lived).map(|(r, l)| costs(r, l, options)).collect();
        let keep: Vec<bool> = (0..field.len())
            .map(|c| !(0..field.len()).any(|other| other != c && beats(scores, &lived, &costs, other, c)))
            .collect();
        let ran = field.len();
        retain(&mut field, &keep);
        retain(&mut lived, &keep);
        found.rounds.push(Raced {
            ran,
            draws: how.draws.min(draws.len()),
            days: match &how.days {
                Days::All => crate::weather::DAYS,
                Days::Picked(days) => days.len(),
            },
            left: field.len(),
        });
    }
    let bench = Bench { house, draws, scores, around, options: &last };
    // Not beaten in the middle values.
    let middles: Vec<Vec<f64>> =
        field.iter().zip(&lived).map(|(r, l)| middle(r, l, scores, options)).collect();
    let keep: Vec<bool> = (0..field.len())
        .map(|c| !(0..field.len()).any(|o| o != c && dominates(&middles[o], &middles[c], o < c)))
        .collect();
    retain(&mut field, &keep);
    retain(&mut lived, &keep);
    let mut best: Vec<(Runner, Vec<Lived>)> = field.into_iter().zip(lived).collect();
    best.sort_by(|a, b| order(b, a, scores, options));
    best.truncate(KEPT);
    for (runner, years) in &mut best {
        found.years += refine(&bench, search, runner, years, progress)?;
    }
    best.sort_by(|a, b| order(b, a, scores, options));
    let mut kept: Vec<Combination> =
        best.iter().map(|(r, l)| combination(r, l, house, scores, record, options)).collect();
    kept.sort_by_key(|c| !c.gate.is_released());
    found.kept = kept;
    Ok(found)
}

fn retain<T>(list: &mut Vec<T>, keep: &[bool]) {
    let mut keep = keep.iter();
    list.retain(|_| keep.next().copied().unwrap_or(false));
}

fn runner(search: &Searched, taken: Vec<usize>) -> Runner {
    let settings = taken.iter().map(|k| search.choices[*k].vary.map(|(lo, hi)| 0.5 * (lo + hi))).collect();
    let mut price = search.base_price.or(search.base.is_empty().then_some(((0.0, 0.0), (0.0, 0.0))));
    for k in &taken {
        price = price.zip(search.choices[*k].price).map(|(a, b)| {
            let add = |x: (f64, f64), y: (f64, f64)| (x.0 + y.0, x.1 + y.1);
            (add(a.0, b.0), add(a.1, b.1))
        });
    }
    let mut runner = Runner { taken, settings, changes: Vec::new(), price };
    runner.changes = changes(search, &runner);
    runner
}

fn changes(search: &Searched, runner: &Runner) -> Vec<Change> {
    let mut all = search.base.clone();
    for (k, setting) in runner.taken.iter().zip(&runner.settings) {
        let change = &search.choices[*k].change;
        all.push(setting.map_or_else(|| change.clone(), |value| with_setting(change, value)));
    }
    all
}

impl Bench<'_> {
    /// Lives every runner in every draw: `[runner][draw]`.
    fn race(
        &self,
        field: &[Runner],
        progress: &mut dyn FnMut(Progress) -> ControlFlow<()>,
    ) -> Result<Vec<Vec<Lived>>, YearError> {
        let picked = picked(self.options.draws, self.draws.len());
        let tasks: Vec<(usize, usize)> =
            (0..field.len()).flat_map(|c| (0..picked.len()).map(move |d| (c, d))).collect();
        let mut lived =
            self.lived(&tasks, &picked, &|c| field[c].changes.as_slice(), &|_| None, progress)?.into_iter();
        Ok(field.iter().map(|_| lived.by_ref().take(picked.len()).collect()).collect())
    }
}

/// Yearly cost by draw.
fn costs(runner: &Runner, lived: &[Lived], options: &Options) -> Vec<f64> {
    let of = |(d, l): (usize, &Lived)| {
        let luck = Luck { seed: options.seed, draw: d };
        let (first, yearly) = runner.price.unwrap_or_default();
        l.energy_cost
            + luck.within("search/year", yearly)
            + luck.within("search", first) / options.years_of_cost
    };
    lived.iter().enumerate().map(of).collect()
}

/// Value of a score, signed so that less is better.
fn signed(score: &Score, value: f64) -> f64 {
    if score.kind.lower_is_better() { value } else { -value }
}

/// Whether `a` was at least as good as `b` in every complaint and in cost in every draw, and better
/// in one; of two that are equal throughout the first stays.
fn beats(scores: &[Score], lived: &[Vec<Lived>], costs: &[Vec<f64>], a: usize, b: usize) -> bool {
    let mut better = false;
    for d in 0..lived[a].len() {
        let mut pairs = vec![(costs[a][d], costs[b][d])];
        for (s, score) in scores.iter().enumerate().filter(|(_, s)| s.complaint.is_some()) {
            pairs.push((signed(score, lived[a][d].values[s]), signed(score, lived[b][d].values[s])));
        }
        for (x, y) in pairs {
            if x > y {
                return false;
            }
            better |= x < y;
        }
    }
    better || a < b
}

fn middle(runner: &Runner, lived: &[Lived], scores: &[Score], options: &Options) -> Vec<f64> {
    let mut out = vec![estimate(costs(runner, lived, options), Quantity::Money).si];
    for (s, score) in scores.iter().enumerate().filter(|(_, s)| s.complaint.is_some()) {
        let values = lived.iter().map(|l| l.values[s]).collect();
        out.push(signed(score, estimate(values, score.kind.quantity()).si));
    }
    out
}

fn dominates(a: &[f64], b: &[f64], first: bool) -> bool {
    let worse = a.iter().zip(b).any(|(x, y)| x > y);
    let better = a.iter().zip(b).any(|(x, y)| x < y);
    !worse && (better || first)
}

/// Mean weight of solved complaints, share of draws with every target met, mean cost.
fn standing(runner: &Runner, lived: &[Lived], scores: &[Score], options: &Options) -> (f64, f64, f64) {
    let n = lived.len() as f64;
    let merits: Vec<(f64, bool)> = lived.iter().map(|l| merit(scores, &l.values)).collect();
    (
        merits.iter().map(|m| m.0).sum::<f64>() / n,
        merits.iter().filter(|m| m.1).count() as f64 / n,
        costs(runner, lived, options).iter().sum::<f64>() / n,
    )
}

fn order(
    a: &(Runner, Vec<Lived>),
    b: &(Runner, Vec<Lived>),
    scores: &[Score],
    options: &Options,
) -> std::cmp::Ordering {
    let (x, y) = (standing(&a.0, &a.1, scores, options), standing(&b.0, &b.1, scores, options));
    x.0.total_cmp(&y.0).then(x.1.total_cmp(&y.1)).then(y.2.total_cmp(&x.2))
}

/// Moves the continuous settings of a combination, one after another, by steps that halve; returns
/// the years it took.
fn refine(
    bench: &Bench<'_>,
    search: &Searched,
    runner: &mut Runner,
    lived: &mut Vec<Lived>,
    progress: &mut dyn FnMut(Progress) -> ControlFlow<()>,
) -> Result<usize, YearError> {
    let mut years = 0;
    let mut part = 0.25;
    for _ in 0..HALVINGS {
        for place in 0..runner.taken.len() {
            let (Some(now), Some((lo, hi))) =
                (runner.settings[place], search.choices[runner.taken[place]].vary)
            else {
                continue;
            };
            let step = part * (hi - lo);
            let moved: Vec<Runner> = [now - step, now + step]
                .into_iter()
                .map(|value| {
                    let mut other = runner.clone();
                    other.settings[place] = Some(value.clamp(lo, hi));
                    other.changes = changes(search, &other);
                    other
                })
                .collect();
            let tried = bench.race(&moved, progress)?;
            years += tried.iter().map(Vec::len).sum::<usize>();
            let mut best = (runner.clone(), std::mem::take(lived));
            for candidate in moved.into_iter().zip(tried) {
                if order(&candidate, &best, bench.scores, bench.options).is_gt() {
                    best = candidate;
                }
            }
            (*runner, *lived) = best;
        }
        part *= 0.5;
    }
    Ok(years)
}

fn combination(
    runner: &Runner,
    lived: &[Lived],
    house: &House,
    scores: &[Score],
    record: Option<&gate::Record>,
    options: &Options,
) -> Combination {
    let (solved, all_met, _) = standing(runner, lived, scores, options);
    Combination {
        taken: runner.taken.clone(),
        settings: runner.settings.clone(),
        gate: gate::judge(&runner.changes, house, record),
        price: runner.price.map(|((lo, hi), _)| {
            Estimate::range(0.5 * (lo + hi), lo, hi, crate::fit::LEVEL, Quantity::Money)
        }),
        yearly_cost: estimate(costs(runner, lived, options), Quantity::Money),
        values: scores
            .iter()
            .enumerate()
            .map(|(s, score)| estimate(lived.iter().map(|l| l.values[s]).collect(), score.kind.quantity()))
            .collect(),
        all_met,
        solved,
        changes: runner.changes.clone(),
    }
}
