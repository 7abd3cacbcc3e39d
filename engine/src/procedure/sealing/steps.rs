//! A level that falls in steps under autocorrelated noise: where each step is, and how large.

use crate::measure::student_t_two_sided;

/// One step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Step {
    /// By how much the level fell.
    pub(super) fall: f64,
    /// Half width of its 95 % interval.
    pub(super) half: f64,
    /// Index of the first value after it, where it is likeliest.
    pub(super) at: usize,
}

/// What a record comes to.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Levels {
    /// One a mark, in order.
    pub(super) steps: Vec<Step>,
    /// Level before the first step.
    pub(super) first: (f64, f64),
    /// Level after the last one, with the half width of its 95 % interval.
    pub(super) last: (f64, f64),
    /// Standard deviation of a single value about its level.
    pub(super) noise: f64,
    /// How many values in a row count as one independent value.
    pub(super) together: f64,
}

/// Finds one step between each mark and the one before it.
///
/// `marks` are indices into `values`, rising: the first value after each repair was said to be
/// done. The step of a mark lies at or before it, and after the mark before. Levels are means of
/// the values between steps. The places of the steps are not decided but drawn, one given the
/// others (Gibbs sampling), with the likelihood of normal noise whose information is divided by
/// the values' integrated autocorrelation time: values in a row say less than their number.
pub(super) fn find(values: &[f64], marks: &[usize]) -> Option<Levels> {
    let n = values.len();
    if n < 3 || marks.iter().any(|m| *m == 0 || *m >= n) {
        return None;
    }
    let sums = Sums::new(values);
    let mut at: Vec<usize> = marks.to_vec();
    // Likeliest places first: a step moves the levels its neighbours see, a few rounds settle all.
    for _ in 0..6 {
        let before = at.clone();
        for k in 0..at.len() {
            let span = window(k, &at, marks, n);
            let best =
                (span.low..=span.high).max_by(|a, b| sums.split(&span, *a).total_cmp(&sums.split(&span, *b)));
            if let (Some(best), Some(slot)) = (best, at.get_mut(k)) {
                *slot = best;
            }
        }
        if at == before {
            break;
        }
    }
    let (noise, together, dof) = scatter(values, &sums, &at);
    let drawn = Drawn::new(&sums, &at, marks, n, noise, together);
    let t = student_t_two_sided(0.95, dof);
    let told = |i: usize| drawn.level(i, t);
    let steps = at.iter().enumerate().map(|(k, at)| {
        let (fall, half) = drawn.step(k, t);
        Step { fall, half, at: *at }
    });
    Some(Levels { steps: steps.collect(), first: told(0), last: told(at.len()), noise, together })
}

/// Where a step may be, and the levels on both sides of it.
struct Span {
    start: usize,
    low: usize,
    high: usize,
    end: usize,
}

fn window(k: usize, at: &[usize], marks: &[usize], n: usize) -> Span {
    let start = if k == 0 { 0 } else { at.get(k - 1).copied().unwrap_or(0) };
    let end = at.get(k + 1).copied().unwrap_or(n);
    let after_mark_before = if k == 0 { 1 } else { marks.get(k - 1).copied().unwrap_or(0) + 1 };
    let high = marks.get(k).copied().unwrap_or(n - 1).min(end - 1);
    let low = after_mark_before.max(start + 1).min(high);
    Span { start, low, high, end }
}

/// Places drawn, and what the levels were with each.
struct Drawn {
    /// Sum of the weights is the number of sweeps; of each level: sum of means, of variances, of
    /// squared means.
    levels: Vec<Moments>,
    falls: Vec<Moments>,
}

#[derive(Clone, Copy, Default)]
struct Moments {
    count: f64,
    mean: f64,
    variance: f64,
    square: f64,
}

impl Moments {
    fn add(&mut self, mean: f64, variance: f64) {
        self.count += 1.0;
        self.mean += mean;
        self.variance += variance;
        self.square += mean * mean;
    }

    /// Mean and standard deviation, the spread of the means included.
    fn told(&self) -> (f64, f64) {
        let mean = self.mean / self.count;
        (mean, (self.variance / self.count + (self.square / self.count - mean * mean).max(0.0)).sqrt())
    }
}

/// Sweeps over all places, and how many before any is kept.
const SWEEPS: usize = 400;
const UNKEPT: usize = 50;
/// Most places that are weighed for one step; a longer stretch is weighed at every second, third ...
const MOST_PLACES: usize = 400;

impl Drawn {
    fn new(sums: &Sums, at: &[usize], marks: &[usize], n: usize, noise: f64, together: f64) -> Drawn {
        let mut at = at.to_vec();
        let mut drawn = Drawn {
            levels: vec![Moments::default(); at.len() + 1],
            falls: vec![Moments::default(); at.len()],
        };
        let mut stream = crate::rng::Stream::new(0, "places of steps");
        let spread = (2.0 * noise * noise * together).max(f64::MIN_POSITIVE);
        let mut weights = Vec::with_capacity(MOST_PLACES + 1);
        let variance = |count: usize| noise * noise * together.min(count as f64) / count as f64;
        for sweep in 0..SWEEPS {
            for k in 0..at.len() {
                let span = window(k, &at, marks, n);
                let stride = (span.high - span.low) / MOST_PLACES + 1;
                weights.clear();
                let mut top = f64::NEG_INFINITY;
                for i in (span.low..=span.high).step_by(stride) {
                    let gain = sums.split(&span, i) / spread;
                    top = top.max(gain);
                    weights.push(gain);
                }
                let mut sum = 0.0;
                for w in &mut weights {
                    sum += crate::math::exp(*w - top);
                    *w = sum;
                }
                let drawn = stream.uniform() * sum;
                let which = weights.partition_point(|w| *w < drawn);
                if let Some(slot) = at.get_mut(k) {
                    *slot = (span.low + which * stride).min(span.high);
                }
            }
            if sweep < UNKEPT {
                continue;
            }
            let mut start = 0;
            let mut before: Option<(f64, f64)> = None;
            for (i, end) in at.iter().copied().chain([n]).enumerate() {
                let level = (sums.mean(start, end), variance(end - start));
                if let Some(slot) = drawn.levels.get_mut(i) {
                    slot.add(level.0, level.1);
                }
                if let (Some(before), Some(slot)) =
                    (before, i.checked_sub(1).and_then(|k| drawn.falls.get_mut(k)))
                {
                    slot.add(before.0 - level.0, before.1 + level.1);
                }
                before = Some(level);
                start = end;
            }
        }
        drawn
    }

    fn level(&self, i: usize, t: f64) -> (f64, f64) {
        let (mean, sd) = self.levels.get(i).copied().unwrap_or_default().told();
        (mean, t * sd)
    }

    fn step(&self, k: usize, t: f64) -> (f64, f64) {
        let (mean, sd) = self.falls.get(k).copied().unwrap_or_default().told();
        (mean, t * sd)
    }
}

/// Scatter about the levels between steps: standard deviation, integrated autocorrelation time
/// (in values, at least 1) and degrees of freedom of independent values.
///
/// The time is the larger of two: `1 + 2 sum rho_k` up to the first sum of two neighbours that is
/// not positive (Geyer, Statistical Science 7, 1992: the initial positive sequence), and
/// `(1 + rho_1)/(1 - rho_1)` of first-order noise. Taking out the levels' own means makes every
/// autocovariance too small by `time / n` a level; that is given back.
fn scatter(values: &[f64], sums: &Sums, at: &[usize]) -> (f64, f64, f64) {
    let mut residuals = Vec::with_capacity(values.len());
    let mut start = 0;
    for end in at.iter().copied().chain([values.len()]) {
        let mean = sums.mean(start, end);
        residuals.extend(values.get(start..end).unwrap_or_default().iter().map(|v| v - mean));
        start = end;
    }
    let n = residuals.len() as f64;
    let levels = at.len() as f64 + 1.0;
    let lag = |k: usize| {
        let later = residuals.get(k..).unwrap_or_default();
        residuals.iter().zip(later).map(|(a, b)| a * b).sum::<f64>()
    };
    let zero = lag(0);
    let mut time: f64 = 1.0;
    if zero > 0.0 {
        for _ in 0..3 {
            let lost = time * levels / n;
            let rho = |k: usize| (lag(k) / zero + lost) / (1.0 + lost);
            let mut sequence = 1.0;
            let mut k = 1;
            while k + 1 < residuals.len() / 4 {
                let pair = rho(k) + rho(k + 1);
                // Beyond this the estimate is noise.
                if pair <= 2.0 * lost {
                    break;
                }
                sequence += 2.0 * pair;
                k += 2;
            }
            let first = rho(1).clamp(0.0, 0.99);
            time = sequence.max((1.0 + first) / (1.0 - first)).clamp(1.0, n / 4.0);
        }
    }
    // Each level takes one independent value out of the scatter.
    let free = (n / time - levels).max(1.0);
    let sd = (zero / (n - levels * time).max(1.0)).sqrt();
    (sd, time, free)
}

/// Prefix sums.
struct Sums(Vec<f64>);

impl Sums {
    fn new(values: &[f64]) -> Sums {
        let mut sums = Vec::with_capacity(values.len() + 1);
        let mut sum = 0.0;
        sums.push(0.0);
        for v in values {
            sum += v;
            sums.push(sum);
        }
        Sums(sums)
    }

    fn sum(&self, from: usize, to: usize) -> f64 {
        self.0.get(to).copied().unwrap_or(0.0) - self.0.get(from).copied().unwrap_or(0.0)
    }

    fn mean(&self, from: usize, to: usize) -> f64 {
        self.sum(from, to) / to.saturating_sub(from).max(1) as f64
    }

    /// The part of the sum of squares that two levels split at `at` explain, up to a constant.
    fn split(&self, span: &Span, at: usize) -> f64 {
        let (a, b) = (self.sum(span.start, at), self.sum(at, span.end));
        a * a / (at - span.start).max(1) as f64 + b * b / (span.end - at).max(1) as f64
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// AR(1) noise with unit standard deviation.
    fn noise(n: usize, rho: f64, seed: u64) -> Vec<f64> {
        let mut rng = crate::rng::Stream::new(seed, "sealing steps");
        let mut x = rng.normal();
        (0..n)
            .map(|_| {
                x = rho * x + (1.0 - rho * rho).sqrt() * rng.normal();
                x
            })
            .collect()
    }

    #[test]
    fn intervals_of_steps_cover_under_correlated_noise() {
        let (falls, marks) = ([60.0, 0.0, 25.0], [400_usize, 700, 1100]);
        let places = [350, 690, 1000];
        let (mut held, mut all) = (0_u32, 0_u32);
        for seed in 0..200 {
            let values: Vec<f64> = noise(1400, 0.9, seed)
                .iter()
                .enumerate()
                .map(|(i, e)| {
                    let down: f64 = places.iter().zip(falls).filter(|(p, _)| i >= **p).map(|(_, f)| f).sum();
                    2000.0 - down + 12.0 * e
                })
                .collect();
            let found = find(&values, &marks).unwrap();
            for (step, fall) in found.steps.iter().zip(falls) {
                all += 1;
                held += u32::from((step.fall - fall).abs() <= step.half);
            }
        }
        let share = f64::from(held) / f64::from(all);
        println!("sealing steps: 95 % intervals hold {:.1} % of {all}", share * 100.0);
        assert!((0.91..=0.99).contains(&share), "{share}");
    }

    #[test]
    fn a_clean_step_is_found_where_it_is() {
        let values: Vec<f64> = noise(200, 0.0, 7)
            .iter()
            .enumerate()
            .map(|(i, e)| if i < 80 { 500.0 } else { 450.0 } + e)
            .collect();
        let found = find(&values, &[120]).unwrap();
        assert_eq!(found.steps[0].at, 80);
        assert!((found.steps[0].fall - 50.0).abs() < 1.0);
        assert!(found.steps[0].half < 1.0);
        assert!((found.noise - 1.0).abs() < 0.2 && found.together < 2.0);
    }

    #[test]
    fn nonsense_gives_nothing() {
        assert!(find(&[1.0, 2.0], &[1]).is_none());
        assert!(find(&[1.0, 2.0, 3.0, 4.0], &[4]).is_none());
        assert!(find(&[1.0, 2.0, 3.0, 4.0], &[0]).is_none());
    }
}
