//! When a difference is no chance: charts whose rate of false alarms follows from theory.
//!
//! A trace's residuals are taken apart by what the hour usually has and how much it scatters ([`Usual`]), both learned,
//! and by how alike neighbours are (an autoregression of first order). Three charts look at what is left.
//!
//! * *Days* ([`Chart`], twice): people make the hours of a day alike, but days follow each other more or less
//!   at random. The mean of each day takes its place among the days of the last months; places are uniform whatever
//!   the shape of the scatter, so their normal scores are standard normal while nothing is the matter (beyond
//!   the days seen the tail is exponential). Over the scores run cumulative sums of both sides (Page 1954), `C = max(0, C + z - k)`, one
//!   tuned to large shifts, in which no single day can alarm, and one to small ones. Their limit comes from the wanted time
//!   between false alarms by Siegmund's approximation of the average run length (Siegmund 1985, from memory; simulated in the tests):
//!   `ARL = (exp(2 k b) - 2 k b - 1) / (2 k^2)`, `b = h + 1.166`.
//! * *Hours* ([`Jumps`]): the same sum over hours, whose highest value of each day has an extreme-value
//!   distribution; it is fitted by L-moments (Hosking, Wallis and Wood 1985, from memory), never lighter than exponential, and the limit is its
//!   return level. Only what is far beyond every day so far alarms within hours.

use crate::math;
use crate::measure::normal_quantile;
use serde::{Deserialize, Serialize};
use std::collections::VecDeque;

/// Mean overshoot of a normal random walk on both sides (Siegmund 1985, from memory).
const OVERSHOOT: f64 = 1.166;
/// A sum is kept below this many times its limit, so that it comes back once a change is over.
const HIGHEST: f64 = 2.0;
/// Most that a neighbour's likeness counts.
const MOST_ALIKE: f64 = 0.95;

/// Mean steps between false alarms of one side.
///
/// ```
/// // k = 0.5, h = 4: 336 by Siegmund's formula, 335.4 by integral equation for one side.
/// assert!((engine::watch::chart::run_length(0.5, 4.0) - 336.0).abs() < 4.0);
/// ```
pub fn run_length(k: f64, h: f64) -> f64 {
    let x = 2.0 * k * (h + OVERSHOOT);
    (math::exp(x) - x - 1.0) / (2.0 * k * k)
}

/// The limit that gives a mean number of steps between false alarms of one side.
pub fn limit(k: f64, steps: f64) -> f64 {
    let (mut low, mut high) = (0.0, 60.0 / (2.0 * k));
    for _ in 0..60 {
        let middle = 0.5 * (low + high);
        if run_length(k, middle) < steps { low = middle } else { high = middle }
    }
    high
}

/// How a chart is laid out.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Layout {
    /// Half the shift that it finds quickest, in standard deviations of an innovation.
    pub k: f64,
    /// Limit of either sum.
    pub h: f64,
    /// Innovations that are remembered.
    pub kept: usize,
    /// Innovations needed before it judges.
    pub needed: usize,
    /// Largest score that counts.
    pub cap: f64,
}

/// Sums of both sides, with what was learned of the series.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Chart {
    /// Innovations of the past, the oldest first.
    past: VecDeque<f64>,
    last: Option<f64>,
    /// Sums of products of neighbours and of squares, forgetting.
    alike: (f64, f64),
    /// Sums of the upper and of the lower side.
    pub sums: [f64; 2],
    /// Steps since each sum last stood at zero.
    pub since: [usize; 2],
}

impl Chart {
    /// How alike neighbours are.
    pub fn phi(&self) -> f64 {
        if self.alike.1 > 0.0 { (self.alike.0 / self.alike.1).clamp(0.0, MOST_ALIKE) } else { 0.0 }
    }

    /// Whether it has learned enough to judge.
    pub fn is_ready(&self, layout: &Layout) -> bool {
        self.past.len() >= layout.needed
    }

    /// Which side stands beyond its limit: +1, -1 or nothing.
    pub fn alarm(&self, layout: &Layout) -> Option<f64> {
        let [up, down] = self.sums;
        (up.max(down) >= layout.h).then_some(if up >= down { 1.0 } else { -1.0 })
    }

    /// Whether it is on the way to an alarm, when nothing should be learned.
    pub fn is_stirred(&self, layout: &Layout) -> bool {
        self.sums[0].max(self.sums[1]) >= 0.5 * layout.h
    }

    /// The larger sum, and the steps since it began.
    pub fn highest(&self) -> (f64, usize) {
        let at = usize::from(self.sums[1] > self.sums[0]);
        (self.sums[at], self.since[at])
    }

    /// Starts again with what it learned.
    pub fn reset(&mut self) {
        self.sums = [0.0; 2];
        self.since = [0; 2];
    }

    /// A gap: the next value has no neighbour.
    pub fn gap(&mut self) {
        self.last = None;
    }

    /// Normal score of an innovation among those of the past; beyond them an exponential tail through
    /// the outer fifth.
    fn place(&self, innovation: f64) -> f64 {
        let n = self.past.len() as f64;
        let mut sorted: Vec<f64> = self.past.iter().copied().collect();
        sorted.sort_by(f64::total_cmp);
        let (Some(lowest), Some(highest)) = (sorted.first(), sorted.last()) else { return 0.0 };
        let sign = match innovation {
            i if i > *highest => 1.0,
            i if i < *lowest => -1.0,
            _ => {
                let below = sorted.partition_point(|p| *p < innovation) as f64;
                let same = sorted.iter().filter(|p| (**p - innovation).abs() < 1e-12).count() as f64;
                return normal_quantile((below + 0.5 * same + 0.5) / (n + 1.0));
            }
        };
        let mut tail: Vec<f64> = sorted.iter().map(|p| sign * p).collect();
        tail.sort_by(f64::total_cmp);
        let outer = (tail.len() / 5).clamp(2, tail.len() - 1);
        let (rest, outer) = tail.split_at(tail.len() - outer);
        let from = rest.last().copied().unwrap_or(0.0);
        let beyond = outer.iter().map(|x| x - from).sum::<f64>() / outer.len() as f64;
        let part = outer.len() as f64 / n * math::exp(-(sign * innovation - from) / beyond.max(1e-12));
        -sign * normal_quantile(part.min(0.5 / (n + 1.0)).max(1e-12))
    }

    /// Takes the next value (a residual in units of its usual scatter); `learn` whether it may change what is
    /// taken as usual. Returns its normal score where the chart can tell.
    pub fn take(&mut self, value: f64, learn: bool, layout: &Layout) -> Option<f64> {
        let innovation = value - self.phi() * self.last.unwrap_or(0.0);
        let before = self.last.replace(value);
        // A neighbour is missing after a gap: such a value would not be like the others.
        let before = before?;
        let mut score = None;
        if self.is_ready(layout) {
            let z = self.place(innovation).clamp(-layout.cap, layout.cap);
            score = Some(z);
            for (side, sign) in [1.0, -1.0].into_iter().enumerate() {
                let sum = (self.sums[side] + sign * z - layout.k).clamp(0.0, HIGHEST * layout.h);
                self.since[side] = if sum > 0.0 { self.since[side] + 1 } else { 0 };
                self.sums[side] = sum;
            }
        }
        if learn {
            let keeps = 1.0 - 1.0 / layout.kept as f64;
            self.alike.0 = keeps * self.alike.0 + before * value;
            self.alike.1 = keeps * self.alike.1 + before * before;
            self.past.push_back(innovation);
            while self.past.len() > layout.kept {
                self.past.pop_front();
            }
        }
        score
    }
}

/// Innovations of hours count up to so many of their standard deviations.
const MOST_SD: f64 = 6.0;
/// Hours remembered, and needed.
const HOURS: (usize, usize) = (672, 240);
/// Days whose highest sum is remembered, and needed.
const MAXIMA: (usize, usize) = (120, 42);
/// Days of an event that are kept until it is over.
const OPEN: usize = 3;
/// Least limit of the sum over hours.
const LEAST_LIMIT: f64 = 4.0;
/// Shape below which no tail is believed to lie (zero is exponential, below it heavier).
const HEAVIEST_BELIEVED: f64 = -0.02;

/// Jumps within hours.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Jumps {
    past: VecDeque<f64>,
    last: Option<f64>,
    alike: (f64, f64),
    sd: Option<f64>,
    /// Sums of both sides and hours since each stood at zero.
    sums: [f64; 2],
    since: [usize; 2],
    day_most: f64,
    maxima: VecDeque<f64>,
    /// Those of days of which it is open yet whether they are like the others.
    #[serde(default)]
    open: Vec<f64>,
    /// Place, width and shape of the extreme-value distribution of a day's highest.
    extreme: Option<(f64, f64, f64)>,
}

impl Jumps {
    /// How alike neighbouring hours are.
    pub fn phi(&self) -> f64 {
        if self.alike.1 > 0.0 { (self.alike.0 / self.alike.1).clamp(0.0, MOST_ALIKE) } else { 0.0 }
    }

    /// Standard deviation of an innovation; one while it is learned.
    pub fn innovation_sd(&self) -> f64 {
        self.sd.unwrap_or(1.0)
    }

    /// The limit at a rate of false alarms a day; nothing while it is learned.
    pub fn limit(&self, a_day: f64) -> Option<f64> {
        let (place, width, shape) = self.extreme?;
        let y = -math::ln(1.0 - a_day);
        let level = place + width / shape * (1.0 - math::pow(y, shape));
        Some(level.max(LEAST_LIMIT))
    }

    /// Alarms a day by chance of a height.
    pub fn chance_a_day(&self, height: f64) -> f64 {
        let Some((place, width, shape)) = self.extreme else { return 1.0 };
        let inner = 1.0 - shape * (height - place) / width;
        if inner <= 0.0 { 0.0 } else { 1.0 - math::exp(-math::pow(inner, 1.0 / shape)) }
    }

    /// The larger sum and its hours.
    pub fn highest(&self) -> (f64, usize) {
        let at = usize::from(self.sums[1] > self.sums[0]);
        (self.sums[at], self.since[at])
    }

    /// Whether it is beyond the limit.
    pub fn alarms(&self, a_day: f64) -> bool {
        self.limit(a_day).is_some_and(|l| self.highest().0 > l)
    }

    /// Whether it is on the way to an alarm.
    pub fn is_stirred(&self, a_day: f64) -> bool {
        self.limit(a_day).is_some_and(|l| self.highest().0 > 0.5 * l)
    }

    /// Starts again with what it learned.
    pub fn reset(&mut self) {
        self.sums = [0.0; 2];
        self.since = [0; 2];
    }

    /// A gap.
    pub fn gap(&mut self) {
        self.last = None;
    }

    /// Takes the next hour; `learn` whether it may change what is usual.
    pub fn take(&mut self, value: f64, learn: bool) {
        let innovation = value - self.phi() * self.last.unwrap_or(0.0);
        let Some(before) = self.last.replace(value) else { return };
        if learn {
            let keeps = 1.0 - 1.0 / HOURS.0 as f64;
            self.alike = (keeps * self.alike.0 + before * value, keeps * self.alike.1 + before * before);
            self.past.push_back(innovation);
            while self.past.len() > HOURS.0 {
                self.past.pop_front();
            }
        }
        if self.past.len() < HOURS.1 {
            return;
        }
        let sd = match self.sd {
            Some(sd) => sd,
            None => *self.sd.insert(middle_sd(&self.past)),
        };
        let z = (innovation / sd).clamp(-MOST_SD, MOST_SD);
        for (side, sign) in [1.0, -1.0].into_iter().enumerate() {
            // Bounded, so that it comes back.
            let sum = (self.sums[side] + sign * z - 1.0).clamp(0.0, 400.0);
            self.since[side] = if sum > 0.0 { self.since[side] + 1 } else { 0 };
            self.sums[side] = sum;
            self.day_most = self.day_most.max(sum);
        }
    }

    /// The day is over; `learn` whether its highest counts.
    pub fn end_day(&mut self, learn: bool) {
        let most = std::mem::take(&mut self.day_most);
        if self.past.len() < HOURS.1 {
            return;
        }
        self.sd = Some(middle_sd(&self.past));
        if learn {
            self.learn_most(most);
        } else if self.open.len() < OPEN {
            self.open.push(most);
        }
        if self.maxima.len() >= MAXIMA.1 {
            self.extreme = extreme(&self.maxima);
        }
    }
}

impl Jumps {
    fn learn_most(&mut self, most: f64) {
        self.maxima.push_back(most);
        while self.maxima.len() > MAXIMA.0 {
            self.maxima.pop_front();
        }
    }

    /// An event is over; `among` whether its days are days like others. Left out, the rarest of a house's
    /// usual days would be missing from what its limit is drawn from.
    pub fn settle(&mut self, among: bool) {
        for most in std::mem::take(&mut self.open) {
            if among {
                self.learn_most(most);
            }
        }
    }
}

/// Standard deviation by the middle half, or by the middle 95 % where that is wider.
fn middle_sd(past: &VecDeque<f64>) -> f64 {
    let mut sorted: Vec<f64> = past.iter().copied().collect();
    sorted.sort_by(f64::total_cmp);
    let at = |q: f64| math::quantile_sorted(&sorted, q).unwrap_or(0.0);
    let half = (at(0.75) - at(0.25)) / 1.349;
    let wide = (at(0.975) - at(0.025)) / 3.92;
    half.max(wide).max(1e-3)
}

/// Generalised extreme-value distribution by L-moments: place, width, shape (below zero: heavy).
fn extreme(maxima: &VecDeque<f64>) -> Option<(f64, f64, f64)> {
    let mut x: Vec<f64> = maxima.iter().copied().collect();
    x.sort_by(f64::total_cmp);
    let n = x.len() as f64;
    let (mut b0, mut b1, mut b2) = (0.0, 0.0, 0.0);
    for (k, x) in x.iter().enumerate() {
        let k = k as f64;
        b0 += x / n;
        b1 += k * x / (n * (n - 1.0));
        b2 += k * (k - 1.0) * x / (n * (n - 1.0) * (n - 2.0));
    }
    let (l2, l3) = (2.0 * b1 - b0, 6.0 * b2 - 6.0 * b1 + b0);
    if l2 <= 1e-9 {
        return None;
    }
    let c = 2.0 / (3.0 + l3 / l2) - math::ln(2.0) / math::ln(3.0);
    let shape = (7.859 * c + 2.9554 * c * c).clamp(-0.9, HEAVIEST_BELIEVED);
    let gamma = crate::measure::gamma(1.0 + shape);
    let width = l2 * shape / ((1.0 - math::pow(2.0, -shape)) * gamma);
    Some((b0 - width * (1.0 - gamma) / shape, width, shape))
}

/// What the residual of each hour of the day usually is.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Usual {
    mean: Vec<f64>,
    scatter: Vec<f64>,
    count: Vec<f64>,
}

/// Days over which the usual is remembered.
const MEMORY_DAYS: f64 = 28.0;
/// Mean absolute deviation of a normal over its standard deviation.
const ABSOLUTE: f64 = 0.797_884_560_802_865_4;

impl Usual {
    /// Mean residual and its scatter in an hour of the day, with the hours beside it; nothing before three
    /// days.
    pub fn at(&self, hour: usize) -> Option<(f64, f64)> {
        if self.count.get(hour).is_none_or(|c| *c < 3.0) {
            return None;
        }
        let near = |list: &[f64]| {
            let at = |k: usize| list.get(k % 24).copied().unwrap_or(0.0);
            0.25 * at(hour + 23) + 0.5 * at(hour) + 0.25 * at(hour + 1)
        };
        Some((self.mean[hour], near(&self.scatter) / ABSOLUTE))
    }

    /// Mean of all hours.
    pub fn level(&self) -> Option<f64> {
        let known: Vec<f64> =
            self.mean.iter().zip(&self.count).filter(|(_, c)| **c >= 3.0).map(|(m, _)| *m).collect();
        (known.len() >= 12).then(|| known.iter().sum::<f64>() / known.len() as f64)
    }

    /// Takes a residual of an hour of the day.
    pub fn take(&mut self, hour: usize, residual: f64) {
        for list in [&mut self.mean, &mut self.scatter, &mut self.count] {
            list.resize(24, 0.0);
        }
        let count = (self.count[hour] + 1.0).min(MEMORY_DAYS);
        let off = residual - self.mean[hour];
        self.mean[hour] += off / count;
        if self.count[hour] > 0.0 {
            self.scatter[hour] += (off.abs() - self.scatter[hour]) / (count - 1.0).max(1.0);
        }
        self.count[hour] = count;
    }

    /// A new usual begins: what is known counts as little as three days.
    pub fn loosen(&mut self) {
        self.count.iter_mut().for_each(|c| *c = c.min(3.0));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rng::Stream;

    #[test]
    fn limits_give_back_the_run_length() {
        for k in [0.25, 0.5, 1.0] {
            for steps in [500.0, 5e3, 1e5] {
                assert!((run_length(k, limit(k, steps)) / steps - 1.0).abs() < 1e-6);
            }
        }
    }

    /// The mean time to a false alarm is what was asked for, also where neighbours are alike and the
    /// scatter is skewed, as nobody told the chart.
    #[test]
    fn false_alarms_come_as_seldom_as_stated() {
        let steps = 400.0;
        let k = 0.5;
        let layout = Layout { k, h: limit(k, steps), kept: 672, needed: 168, cap: 4.0 };
        let mut stream = Stream::new(7, "false alarms");
        let (mut alarms, mut judged) = (0.0, 0.0);
        for _ in 0..12 {
            let mut chart = Chart::default();
            let mut x = 0.0;
            for _ in 0..6000 {
                let skewed = stream.chi_square(2) - 2.0;
                x = 0.6 * x + skewed;
                if chart.take(x, true, &layout).is_some() {
                    judged += 1.0;
                }
                if chart.alarm(&layout).is_some() {
                    alarms += 1.0;
                    chart.reset();
                }
            }
        }
        // Both sides run: half the time between alarms of one.
        let found = judged / alarms;
        assert!((0.7..1.45).contains(&(found / (0.5 * steps))), "{found} for {}", 0.5 * steps);
    }

    #[test]
    fn a_shift_is_found_and_a_restart_changes_nothing() {
        let layout = Layout { k: 1.0, h: limit(1.0, 1e5), kept: 672, needed: 168, cap: 4.0 };
        let mut stream = Stream::new(3, "a shift");
        let mut chart = Chart::default();
        for _ in 0..1000 {
            chart.take(stream.normal(), true, &layout);
        }
        let mut twin: Chart = chart.clone();
        let mut steps = 0;
        while chart.alarm(&layout).is_none() {
            let value = 4.0 + stream.normal();
            chart.take(value, false, &layout);
            twin.take(value, false, &layout);
            steps += 1;
        }
        assert!(steps <= 5 && chart == twin, "{steps}");
        assert_eq!(chart.highest().1, steps);
    }

    /// An extreme-value distribution is found again from draws of it, and its return level is passed as often as
    /// it says.
    #[test]
    fn return_levels_return() {
        let mut stream = Stream::new(5, "extremes");
        let (place, width, shape) = (6.0, 2.0, -0.15);
        let mut draw = || place + width / shape * (1.0 - (-stream.uniform().ln()).powf(shape));
        let jumps = Jumps { extreme: extreme(&(0..4000).map(|_| draw()).collect()), ..Jumps::default() };
        let found = jumps.extreme.unwrap();
        assert!((found.0 - place).abs() < 0.15 && (found.2 - shape).abs() < 0.05, "{found:?}");
        let level = jumps.limit(0.01).unwrap();
        let passed = (0..20_000).filter(|_| draw() > level).count() as f64 / 20_000.0;
        assert!((0.007..0.013).contains(&passed), "{passed}");
        assert!((jumps.chance_a_day(level) - 0.01).abs() < 1e-6);
    }

    #[test]
    fn the_usual_follows_the_hour() {
        let mut usual = Usual::default();
        for day in 0..60 {
            for hour in 0..24 {
                let sign = if day % 2 == 0 { 1.0 } else { -1.0 };
                usual.take(hour, hour as f64 + sign);
            }
        }
        let (mean, scatter) = usual.at(7).unwrap();
        assert!((mean - 7.0).abs() < 0.1 && (scatter * ABSOLUTE - 1.0).abs() < 0.1, "{mean} {scatter}");
    }
}
