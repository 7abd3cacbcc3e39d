//! Readings together: the best three, and a route for the time left.
//!
//! Greedy by gain for each minute, from each of the strongest first readings (a fan that is once in the
//! door makes the next ones cheap), then put into the cheapest order, then filled up.

use super::gain::Gains;
use super::minutes::Stand;
use super::moment::Moment;
use super::trials::{Board, Trial};
use crate::house::House;
use serde::Serialize;

/// A reading that adds less than this share of the present variance is not worth a stop.
pub(super) const LEAST_GAIN: f64 = 0.02;
/// A stop of a route removes at least this share of what a minute of the whole route removes.
const WORTH: f64 = 1.0 / 3.0;
/// Readings among which sets are looked for: the strongest and the cheapest.
const POOL: usize = 40;
/// First readings that a route is begun with.
const STARTS: usize = 8;
/// Most readings of a route.
const MOST_STOPS: usize = 10;

/// Readings taken together.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Together {
    /// Indices in [`super::Next::list`], in the cheapest order.
    pub picks: Vec<usize>,
    /// Share of the question's variance that they remove together, 0 to 1.
    pub removes: f64,
    /// The question's range after them, as a share of the present range.
    pub narrower: f64,
    /// Work in that order, min.
    pub minutes: f64,
}

/// One reading of a route.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Stop {
    /// Index in [`super::Next::list`].
    pub pick: usize,
    /// What it takes to come here from the stop before, min.
    pub changeover_min: f64,
    /// The reading, min.
    pub reading_min: f64,
    /// Share of the variance removed with this stop and all before, 0 to 1.
    pub removes: f64,
    /// The last one before the test fan comes out of its door.
    pub last_with_fan: bool,
}

/// A route for the time left.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Route {
    /// Time left, min.
    pub left_min: f64,
    /// Time it takes, min.
    pub minutes: f64,
    /// The question's range after it, as a share of the present range.
    pub narrower: f64,
    /// In this order.
    pub stops: Vec<Stop>,
}

/// Trials that may be taken, with what each removes alone.
pub(super) struct Choice<'a> {
    pub(super) house: &'a House,
    pub(super) moment: &'a Moment,
    pub(super) board: &'a Board,
    pub(super) gains: &'a Gains,
    /// Indices of trials in the order of the list, with the share each removes alone.
    pub(super) list: &'a [(usize, f64)],
}

impl Choice<'_> {
    fn trial(&self, at: usize) -> &Trial {
        &self.board.trials[self.list[at].0]
    }

    /// Share that a set removes; adding a reading never takes away what is known, so no less than the
    /// best of it alone.
    fn removes(&self, set: &[usize], at_least: f64) -> f64 {
        let mut columns: Vec<usize> =
            set.iter().flat_map(|at| self.trial(*at).columns.iter().copied()).collect();
        columns.sort_unstable();
        columns.dedup();
        let alone = set.iter().map(|at| self.list[*at].1).fold(at_least, |a, b| if b > a { b } else { a });
        let joint = self.gains.removes(&columns);
        if joint > alone { joint } else { alone }
    }

    /// The least that a further reading has to add to a share: what is worth a stop, and twice what a
    /// tap with its square explains by chance of the rest.
    fn least_gain(&self, value: f64) -> f64 {
        LEAST_GAIN + 2.0 * self.gains.chance(2) * (1.0 - value)
    }

    fn pool(&self) -> Vec<usize> {
        let worth = |at: &usize| self.list[*at].1 >= LEAST_GAIN * 0.5;
        let mut strong: Vec<usize> = (0..self.list.len()).filter(worth).collect();
        // The list stands by gain for each minute.
        let cheap: Vec<usize> = strong.iter().copied().take(POOL / 2).collect();
        strong.sort_by(|a, b| self.list[*b].1.total_cmp(&self.list[*a].1).then(a.cmp(b)));
        strong.truncate(POOL);
        strong.extend(cheap);
        strong.sort_unstable();
        strong.dedup();
        strong
    }

    /// Changeover and reading of a stop from a stand.
    fn cost(&self, stand: &Stand, at: usize) -> (f64, f64) {
        let trial = self.trial(at);
        let (setup, m) = (&self.board.setups[trial.setup], &self.moment.minutes);
        (stand.changeover_min(self.house, setup, &trial.reads, trial.draws_down, m), m.reading_min)
    }

    fn after(&self, stand: &Stand, at: usize) -> Stand {
        let trial = self.trial(at);
        stand.after(&self.board.setups[trial.setup], &trial.reads, trial.draws_down)
    }

    /// Minutes of a set in an order.
    fn minutes(&self, order: &[usize]) -> f64 {
        let mut stand = self.moment.stand.clone();
        let mut sum = 0.0;
        for at in order {
            let (changeover, reading) = self.cost(&stand, *at);
            sum += changeover + reading;
            stand = self.after(&stand, *at);
        }
        sum
    }

    /// A cheap order: the nearest next, then pairs exchanged while that saves time.
    fn ordered(&self, set: &[usize]) -> (Vec<usize>, f64) {
        let mut left = set.to_vec();
        let mut order = Vec::with_capacity(set.len());
        let mut stand = self.moment.stand.clone();
        while !left.is_empty() {
            let cost = |at: &usize| self.cost(&stand, *at).0;
            let near = (0..left.len()).min_by(|a, b| cost(&left[*a]).total_cmp(&cost(&left[*b])));
            let at = left.remove(near.unwrap_or(0));
            stand = self.after(&stand, at);
            order.push(at);
        }
        let mut best = self.minutes(&order);
        let mut better = true;
        while better {
            better = false;
            for i in 0..order.len() {
                for j in i + 1..order.len() {
                    order.swap(i, j);
                    let minutes = self.minutes(&order);
                    if minutes < best - 1e-9 {
                        best = minutes;
                        better = true;
                    } else {
                        order.swap(i, j);
                    }
                }
            }
        }
        (order, best)
    }

    /// The three that remove most together.
    pub(super) fn three(&self) -> Option<Together> {
        let pool = self.pool();
        let strongest = *pool.iter().max_by(|a, b| self.list[**a].1.total_cmp(&self.list[**b].1))?;
        let mut set = vec![strongest];
        let mut value = self.list[strongest].1;
        while set.len() < 3 {
            let mut best: Option<(usize, f64)> = None;
            for at in pool.iter().filter(|p| !set.contains(p)) {
                let mut with = set.clone();
                with.push(*at);
                let joint = self.removes(&with, value);
                if joint > value + self.least_gain(value) && best.is_none_or(|b| joint > b.1) {
                    best = Some((*at, joint));
                }
            }
            let Some((at, joint)) = best else { break };
            set.push(at);
            value = joint;
        }
        // Each of the later two exchanged once more against all others.
        for place in 1..set.len() {
            for at in &pool {
                if set.contains(at) {
                    continue;
                }
                let mut other = set.clone();
                other[place] = *at;
                let joint = self.removes(&other, 0.0);
                if joint > value {
                    (set, value) = (other, joint);
                }
            }
        }
        let (picks, minutes) = self.ordered(&set);
        Some(Together { picks, removes: value, narrower: (1.0 - value).sqrt(), minutes })
    }

    /// Adds readings to an order while time and gain are left.
    fn fill(&self, pool: &[usize], order: &mut Vec<usize>, value: &mut f64) {
        let mut stand = order.iter().fold(self.moment.stand.clone(), |s, at| self.after(&s, *at));
        let mut used = self.minutes(order);
        while order.len() < MOST_STOPS {
            let mut best: Option<(usize, f64, f64, f64)> = None;
            for at in pool.iter().filter(|p| !order.contains(p)) {
                let (changeover, reading) = self.cost(&stand, *at);
                let minutes = changeover + reading;
                if used + minutes > self.moment.left_min + 1e-9 {
                    continue;
                }
                let mut with = order.clone();
                with.push(*at);
                let joint = self.removes(&with, *value);
                let rate = (joint - *value) / minutes;
                if joint - *value >= self.least_gain(*value) && best.is_none_or(|b| rate > b.1) {
                    best = Some((*at, rate, joint, minutes));
                }
            }
            let Some((at, _, joint, minutes)) = best else { break };
            order.push(at);
            *value = joint;
            used += minutes;
            stand = self.after(&stand, at);
        }
    }

    /// An order without the stops that tell little for their minutes beside the rest of it: time that is left
    /// need not be filled.
    fn pruned(&self, mut order: Vec<usize>, mut value: f64, mut minutes: f64) -> (Vec<usize>, f64, f64) {
        while order.len() > 1 {
            let mut weakest: Option<(f64, Vec<usize>, f64, f64)> = None;
            for place in 0..order.len() {
                let mut rest = order.clone();
                rest.remove(place);
                let (rest, took) = self.ordered(&rest);
                let left = self.removes(&rest, 0.0);
                let rate = (value - left) / (minutes - took).max(1.0);
                if weakest.as_ref().is_none_or(|w| rate < w.0) {
                    weakest = Some((rate, rest, left, took));
                }
            }
            match weakest {
                Some((rate, rest, left, took)) if rate < WORTH * value / minutes => {
                    (order, value, minutes) = (rest, left, took);
                }
                _ => break,
            }
        }
        (order, value, minutes)
    }

    /// The route for the time left; nothing where no reading fits into it or helps.
    pub(super) fn route(&self) -> Option<Route> {
        let pool = self.pool();
        let mut starts: Vec<Option<usize>> = vec![None];
        let mut strong = pool.clone();
        strong.sort_by(|a, b| self.list[*b].1.total_cmp(&self.list[*a].1).then(a.cmp(b)));
        starts.extend(strong.into_iter().take(STARTS).map(Some));
        let mut best: Option<(Vec<usize>, f64, f64)> = None;
        for start in starts {
            let (mut order, mut value) = (Vec::new(), 0.0);
            if let Some(at) = start {
                if self.minutes(&[at]) > self.moment.left_min {
                    continue;
                }
                order.push(at);
                value = self.list[at].1;
            }
            self.fill(&pool, &mut order, &mut value);
            let (mut order, _) = self.ordered(&order);
            self.fill(&pool, &mut order, &mut value);
            let minutes = self.minutes(&order);
            let wins = best.as_ref().is_none_or(|(_, v, m)| {
                value > v + LEAST_GAIN * 0.5 || (value > v - LEAST_GAIN * 0.5 && minutes < *m)
            });
            if !order.is_empty() && wins {
                best = Some((order, value, minutes));
            }
        }
        let (order, value, minutes) = best?;
        let (order, value, minutes) = self.pruned(order, value, minutes);
        let mut stand = self.moment.stand.clone();
        let mut stops: Vec<Stop> = Vec::with_capacity(order.len());
        let mut so_far = 0.0;
        for (place, at) in order.iter().enumerate() {
            let (changeover_min, reading_min) = self.cost(&stand, *at);
            stand = self.after(&stand, *at);
            so_far = self.removes(order.get(..=place).unwrap_or(&[]), so_far);
            let fan = |at: &usize| self.board.setups[self.trial(*at).setup].test_fan.is_some();
            let last_with_fan = fan(at) && order.get(place + 1).is_some_and(|next| !fan(next));
            stops.push(Stop { pick: *at, changeover_min, reading_min, removes: so_far, last_with_fan });
        }
        let value = if so_far > value { so_far } else { value };
        Some(Route { left_min: self.moment.left_min, minutes, narrower: (1.0 - value).sqrt(), stops })
    }
}
