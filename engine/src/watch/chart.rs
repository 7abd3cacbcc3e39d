//! When a difference is no chance: charts whose rate of false alarms follows from theory.
//!
//! A series of residuals is made even in three steps, all learned from the series itself: what the residual of its hour
//! usually is and how much it scatters, how alike neighbours are (an autoregression of first order), and
//! the place of each innovation among those of the last weeks. Places are uniform whatever the shape of
//! the scatter, so their normal scores are standard normal while nothing is the matter. Over
//! them run two cumulative sums, one for each side (Page 1954):
//! `C = max(0, C + z - k)`, an alarm where `C` passes `h`. `h` comes from the wanted time between false alarms by
//! Siegmund's approximation of the average run length (Siegmund 1985, from memory; checked by simulation in the tests):
//! `ARL = (exp(2 k b) - 2 k b - 1) / (2 k^2)`, `b = h + 1.166`.

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

    /// Standard deviation of an innovation, by the middle half of those remembered; one where there are few.
    pub fn innovation_sd(&self) -> f64 {
        let mut sorted: Vec<f64> = self.past.iter().copied().collect();
        sorted.sort_by(f64::total_cmp);
        let at = |q: f64| math::quantile_sorted(&sorted, q).unwrap_or(0.0);
        // The middle half of a normal is 1.349 sd wide; heavy ends count by the middle 95 %.
        let middle = (at(0.75) - at(0.25)) / 1.349;
        let wide = (at(0.975) - at(0.025)) / 3.92;
        if self.past.len() < 48 { 1.0 } else { middle.max(wide).max(1e-3) }
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

    /// Takes the next value (a residual in units of its usual scatter); `learn` whether it may change what is
    /// taken as usual. Returns its normal score where the chart can tell.
    pub fn take(&mut self, value: f64, learn: bool, layout: &Layout) -> Option<f64> {
        let innovation = value - self.phi() * self.last.unwrap_or(0.0);
        let before = self.last.replace(value);
        // A neighbour is missing after a gap: such a value would not be like the others.
        let before = before?;
        let mut score = None;
        if self.is_ready(layout) {
            let below = self.past.iter().filter(|p| **p < innovation).count() as f64;
            let same = self.past.iter().filter(|p| (**p - innovation).abs() < 1e-12).count() as f64;
            let place = (below + 0.5 * same + 0.5) / (self.past.len() as f64 + 1.0);
            let z = normal_quantile(place);
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
        let layout = Layout { k, h: limit(k, steps), kept: 672, needed: 168 };
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
        let layout = Layout { k: 1.0, h: limit(1.0, 1e5), kept: 672, needed: 168 };
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
