//! Plans side by side: intervals, differences over common draws, chances.

use super::lived::{Hourly, Lived};
use super::model::Luck;
use super::{Doubt, Found, Options, Planned, Score};
use crate::gate::Gate;
use crate::measure::{Estimate, NoInterval};
use crate::units::Quantity;
use serde::{Serialize, Serializer};

/// One plan, scored.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Scored {
    /// Name in the documents; empty for the house as found.
    pub name: String,
    /// Name people read.
    pub label: String,
    /// Held or released; nothing for the house as found.
    pub gate: Option<Gate>,
    /// For a released plan the hash of what its release hangs on: combustion record, house, changes
    /// ([`crate::gate::release`]).
    pub release: Option<String>,
    /// First cost.
    pub price: Option<Estimate>,
    /// Cost a year without the first cost: energy, filters, service.
    pub running_cost: Estimate,
    /// The running cost and the first cost spread over the years, money a year.
    pub yearly_cost: Estimate,
    /// One value a score.
    pub values: Vec<Estimate>,
    /// Each value less that of the house as found, over the same draws and the same weather.
    pub differences: Vec<Estimate>,
    /// Chance that each score meets its target; nothing where it has none.
    pub met: Vec<Option<f64>>,
    /// Chance that every target is met.
    pub all_met: f64,
    /// Chance of being best among what may be acted on; nothing for a held plan.
    pub best_chance: Option<f64>,
    /// Chance of being best if every plan were released.
    pub best_if_released: f64,
}

/// What every plan came to in every draw.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct DrawScores {
    /// Which of the fit's draws were lived.
    pub draws: Vec<usize>,
    /// `values[plan][score][draw]`, SI, in the order of [`Compared::plans`] and [`Compared::scores`];
    /// single precision in JSON, `null` where there is no value.
    #[serde(serialize_with = "single")]
    pub values: Vec<Vec<Vec<f64>>>,
    /// `yearly_cost[plan][draw]`, money a year.
    pub yearly_cost: Vec<Vec<f64>>,
    /// In each draw the plan that is best among what may be acted on.
    pub best: Vec<usize>,
}

#[expect(clippy::cast_possible_truncation, reason = "for reading, not for reckoning on")]
fn single<S: Serializer>(values: &[Vec<Vec<f64>>], serializer: S) -> Result<S::Ok, S::Error> {
    let short = |v: &f64| v.is_finite().then_some(*v as f32);
    let list = |l: &Vec<f64>| l.iter().map(short).collect::<Vec<_>>();
    serializer.collect_seq(values.iter().map(|plan| plan.iter().map(list).collect::<Vec<_>>()))
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
    /// What every plan came to in every draw.
    pub draw_scores: DrawScores,
    /// What the remaining doubt between the two best plans hangs on; nothing where one is best in every
    /// draw, held ones counted.
    pub doubt: Option<Doubt>,
    /// What searches found.
    pub searches: Vec<Found>,
    /// Bad days lived through.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub events: Vec<super::EventLived>,
    /// For each plan, the house as found first, what lock-outs of its rules come to owe in the year and
    /// the time that repays it with the locked-out devices at full; nothing without rules that owe.
    pub owed: Vec<Option<(Estimate, Estimate)>>,
    /// `energy_parts[plan][draw]`, J a year: what is set against bills ([`super::billed()`]).
    #[serde(skip)]
    pub energy_parts: Vec<Vec<[f64; 3]>>,
    /// Energy scaled to the bills of the house, where it has some.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub billed: Option<super::Billed>,
    /// For each plan, the house as found first, where the air handler's blower works; nothing where the
    /// house file knows no blower.
    pub handler: Vec<Option<super::HandlerAir>>,
    /// Hourly means of each plan in the first draw, where asked for.
    #[serde(skip)]
    pub hourly: Vec<Hourly>,
    /// What the reader should know, once each.
    pub diagnostics: crate::diag::Diagnostics,
}

/// Values over draws as an estimate.
pub(super) fn estimate(mut values: Vec<f64>, quantity: Quantity) -> Estimate {
    values.sort_by(f64::total_cmp);
    if values.iter().all(|v| v.is_finite()) {
        Estimate::from_sorted_draws(&values, crate::fit::LEVEL, quantity)
    } else {
        Estimate::without(f64::NAN, quantity, NoInterval::NotComputed)
    }
}

/// Complaints solved, by weight; whether every target is met.
pub(super) fn merit(scores: &[Score], values: &[f64]) -> (f64, bool) {
    let met = scores.iter().zip(values).filter(|(s, v)| s.met(**v));
    let weight = met.map(|(s, _)| s.weight).sum();
    (weight, scores.iter().zip(values).all(|(s, v)| s.met(*v)))
}

/// The comparison, and the two plans between which doubt remains: the best, and the one that is best
/// most often in the draws in which it is not; nothing where it is best in all, released or not.
pub(super) fn tally(
    lived: &[Lived],
    plans: &[Planned],
    scores: &[Score],
    picked: &[usize],
    options: &Options,
) -> (Compared, Option<[usize; 2]>) {
    let (candidates, count) = (plans.len() + 1, picked.len());
    let at = |c: usize, d: usize| &lived[d * candidates + c];
    let plan = |c: usize| c.checked_sub(1).map(|p| &plans[p]);
    let of_range = |c: usize, d: usize, what: &str, range: Option<(f64, f64)>| {
        let luck = Luck { seed: options.seed, draw: d };
        plan(c).zip(range).map_or(0.0, |(p, range)| luck.within(&format!("{}{what}", p.name), range))
    };
    let price = |c: usize, d: usize| of_range(c, d, "", plan(c).and_then(|p| p.price));
    let running = |c: usize, d: usize| {
        let yearly = plan(c).map(|p| p.yearly).filter(|y| y.1 > 0.0);
        at(c, d).energy_cost + of_range(c, d, "/year", yearly)
    };
    let cost = |c: usize, d: usize| running(c, d) + price(c, d) / options.years_of_cost;
    let merit = |c: usize, d: usize| merit(scores, &at(c, d).values);
    // Complaints first, then every target, then the least cost.
    let best_of = |allowed: &dyn Fn(usize) -> bool, d: usize| -> usize {
        (0..candidates)
            .filter(|c| allowed(*c))
            .max_by(|&a, &b| {
                let ((weight_a, all_a), (weight_b, all_b)) = (merit(a, d), merit(b, d));
                (weight_a.total_cmp(&weight_b))
                    .then(all_a.cmp(&all_b))
                    .then(cost(b, d).total_cmp(&cost(a, d)))
            })
            .unwrap_or(0)
    };
    let released = |c: usize| plan(c).is_none_or(|p| p.gate.is_released());
    let share = |allowed: &dyn Fn(usize) -> bool| -> Vec<f64> {
        let mut wins = vec![0.0; candidates];
        for d in 0..count {
            wins[best_of(allowed, d)] += 1.0 / count as f64;
        }
        wins
    };
    let wins = share(&released);
    let wins_if = share(&|_| true);
    let over = |value: &dyn Fn(usize) -> f64| (0..count).map(value).collect::<Vec<f64>>();
    let part = |yes: &dyn Fn(usize) -> bool| (0..count).filter(|d| yes(*d)).count() as f64 / count as f64;
    let scored = (0..candidates)
        .map(|c| Scored {
            name: plan(c).map_or_else(String::new, |p| p.name.clone()),
            label: plan(c).map_or_else(String::new, |p| p.label.clone()),
            gate: plan(c).map(|p| p.gate.clone()),
            release: plan(c).and_then(|p| p.release.clone()),
            price: plan(c)
                .and_then(|p| p.price)
                .map(|(lo, hi)| Estimate::range(0.5 * (lo + hi), lo, hi, crate::fit::LEVEL, Quantity::Money)),
            running_cost: estimate(over(&|d| running(c, d)), Quantity::Money),
            yearly_cost: estimate(over(&|d| cost(c, d)), Quantity::Money),
            values: scores
                .iter()
                .enumerate()
                .map(|(s, score)| estimate(over(&|d| at(c, d).values[s]), score.kind.quantity()))
                .collect(),
            differences: scores
                .iter()
                .enumerate()
                .map(|(s, score)| {
                    let by = over(&|d| at(c, d).values[s] - at(0, d).values[s]);
                    estimate(by, difference(score.kind.quantity()))
                })
                .collect(),
            met: scores
                .iter()
                .enumerate()
                .map(|(s, score)| score.target.map(|_| part(&|d| score.met(at(c, d).values[s]))))
                .collect(),
            all_met: part(&|d| merit(c, d).1),
            best_chance: released(c).then_some(wins[c]),
            best_if_released: wins_if[c],
        })
        .collect();
    let best =
        (0..candidates).filter(|c| released(*c)).max_by(|a, b| wins[*a].total_cmp(&wins[*b])).unwrap_or(0);
    let others = (0..candidates).filter(|c| *c != best && wins_if[*c] + wins[*c] > 0.0);
    let chance = |c: &usize| (wins[*c], wins_if[*c]);
    let second = others.max_by(|a, b| {
        let ((x, x_if), (y, y_if)) = (chance(a), chance(b));
        x.total_cmp(&y).then(x_if.total_cmp(&y_if)).then(b.cmp(a))
    });
    let owed = |c: usize| {
        let of = |value: &dyn Fn(crate::year::Owed) -> f64| {
            let values = over(&|d| at(c, d).owed.map_or(f64::NAN, value));
            estimate(values, Quantity::Time)
        };
        let highest = of(&|o| o.highest_s);
        at(c, 0).owed.map(|_| (highest, of(&|o| o.repay_s.unwrap_or(f64::NAN))))
    };
    let mut diagnostics = crate::diag::Diagnostics::default();
    for d in lived.iter().flat_map(|l| &l.diagnostics.list) {
        // Every run says it with its own numbers; once is enough.
        if !diagnostics.list.iter().any(|have| have.code == d.code) {
            diagnostics.push(d.clone());
        }
    }
    let compared = Compared {
        scores: scores.to_vec(),
        plans: scored,
        best,
        none_meets: part(&|d| !(0..candidates).any(|c| merit(c, d).1)),
        draws: count,
        days: lived.first().map_or(0, |l| l.days),
        books_worst: crate::math::max_valid(lived.iter().map(|l| l.books)).unwrap_or(f64::NAN),
        seed: options.seed,
        draw_scores: DrawScores {
            draws: picked.to_vec(),
            values: (0..candidates)
                .map(|c| (0..scores.len()).map(|s| over(&|d| at(c, d).values[s])).collect())
                .collect(),
            yearly_cost: (0..candidates).map(|c| over(&|d| cost(c, d))).collect(),
            best: (0..count).map(|d| best_of(&released, d)).collect(),
        },
        doubt: None,
        searches: Vec::new(),
        events: Vec::new(),
        owed: (0..candidates).map(owed).collect(),
        energy_parts: (0..candidates).map(|c| (0..count).map(|d| at(c, d).energy_parts).collect()).collect(),
        billed: None,
        handler: Vec::new(),
        hourly: (0..candidates).filter_map(|c| at(c, 0).hourly.clone()).collect(),
        diagnostics,
    };
    (compared, second.map(|second| [best, second]))
}

/// What a difference of a quantity measures.
pub(super) fn difference(quantity: Quantity) -> Quantity {
    if quantity == Quantity::Temperature { Quantity::TemperatureDifference } else { quantity }
}
