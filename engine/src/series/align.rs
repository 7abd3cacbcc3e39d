//! Offset between the clocks of two loggers, from what both saw.
//!
//! Both series are brought to one grid and the offset sought at which they agree best (normalised
//! cross-correlation), refined below the step of the grid. Its standard uncertainty is that of the
//! shift in `x(t + offset) = a + b y(t) + noise` by least squares, `s / (|b| rms(dy/dt) sqrt(n))`,
//! with `n` counted down by the noise's correlation from row to row. Derived here, no source.
//! What is estimated is told, never applied: air that takes ten minutes from one room to the next
//! looks the same as a clock ten minutes late, so loggers should begin side by side.

use super::Point;
use serde::Serialize;

/// How to look.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Asked {
    /// Largest offset looked at, s.
    pub most_s: f64,
    /// Least correlation that counts as the same thing seen.
    pub least_correlation: f64,
    /// Another peak as high as this share of the best one makes it ambiguous.
    pub rival: f64,
}

impl Default for Asked {
    fn default() -> Asked {
        // 14 h holds every mistake of a time zone and stays below a day, at which everything repeats.
        Asked { most_s: 14.0 * 3600.0, least_correlation: 0.7, rival: 0.97 }
    }
}

/// Why no offset is told.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Untold {
    /// Fewer than thirty steps in common.
    TooShort,
    /// One of them does not change.
    Flat,
    /// They do not see the same thing.
    Unlike,
    /// Several offsets fit as well.
    Ambiguous,
    /// The best one lies at the edge of what was looked at.
    AtTheEdge,
}

/// The offset of a clock against another.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Offset {
    /// The first clock shows so much more than the second at the same moment, s.
    pub offset_s: f64,
    /// Standard uncertainty, s.
    pub std_s: f64,
    /// Correlation at this offset.
    pub correlation: f64,
    /// Steps in common.
    pub rows: usize,
}

/// Longest grid; longer records are brought to longer steps.
const MOST_ROWS: usize = 6000;
const LEAST_ROWS: usize = 30;

/// Values at `from_ms + k step_ms`, by straight lines between neighbours; NaN outside and where two
/// neighbours stand further apart than `hole_ms`. Points out of order are passed over.
pub fn resample(points: &[Point], from_ms: i64, step_ms: i64, rows: usize, hole_ms: i64) -> Vec<f64> {
    let mut out = vec![f64::NAN; rows];
    let mut before: Option<Point> = None;
    for point in points.iter().filter(|p| p.value.is_finite()) {
        let Some(a) = before.filter(|a| a.time_ms < point.time_ms) else {
            if before.is_none_or(|a| a.time_ms <= point.time_ms) {
                before = Some(*point);
            }
            continue;
        };
        if point.time_ms - a.time_ms <= hole_ms {
            let first = (a.time_ms - from_ms + step_ms - 1).div_euclid(step_ms).max(0);
            for k in first..=(point.time_ms - from_ms).div_euclid(step_ms) {
                if let Some(slot) = usize::try_from(k).ok().and_then(|k| out.get_mut(k)) {
                    let at = from_ms + k * step_ms;
                    let share = (at - a.time_ms) as f64 / (point.time_ms - a.time_ms) as f64;
                    *slot = a.value + share * (point.value - a.value);
                }
            }
        }
        before = Some(*point);
    }
    out
}

/// Median time between points, ms.
pub fn usual_step_ms(points: &[Point]) -> Option<i64> {
    let mut steps: Vec<i64> =
        points.windows(2).map(|w| w[1].time_ms - w[0].time_ms).filter(|s| *s > 0).take(10_000).collect();
    steps.sort_unstable();
    steps.get(steps.len() / 2).copied()
}

/// Means of points in stretches of `every_ms` that begin at whole multiples of it; the time of each
/// is the middle of its stretch. Points must rise in time.
pub fn means(points: &[Point], every_ms: i64) -> Vec<Point> {
    let mut out: Vec<Point> = Vec::new();
    let mut open: Option<(i64, f64, usize)> = None;
    let close = |(slot, sum, n): (i64, f64, usize)| Point {
        time_ms: slot * every_ms + every_ms / 2,
        value: sum / n as f64,
    };
    for point in points.iter().filter(|p| p.value.is_finite()) {
        let slot = point.time_ms.div_euclid(every_ms);
        match &mut open {
            Some((at, sum, n)) if *at == slot => {
                *sum += point.value;
                *n += 1;
            }
            _ => out.extend(open.replace((slot, point.value, 1)).map(close)),
        }
    }
    out.extend(open.map(close));
    out
}

/// Offset of the clock of `a` against that of `b`.
///
/// # Errors
/// [`Untold`], where the two do not tell.
pub fn offset(a: &[Point], b: &[Point], asked: Asked) -> Result<Offset, Untold> {
    let (usual_a, usual_b) = usual_step_ms(a).zip(usual_step_ms(b)).ok_or(Untold::TooShort)?;
    let ends = |p: &[Point]| {
        let times = p.iter().map(|p| p.time_ms);
        times.clone().min().zip(times.max())
    };
    let ((a0, a1), (b0, b1)) = ends(a).zip(ends(b)).ok_or(Untold::TooShort)?;
    let most_ms = (asked.most_s * 1000.0) as i64;
    let from = a0.max(b0 - most_ms);
    let to = a1.min(b1 + most_ms);
    if to <= from {
        return Err(Untold::TooShort);
    }
    let whole = (b1 - b0).max(to - from);
    let step = usual_a.max(usual_b).max(whole / MOST_ROWS as i64).max(1);
    let hole = 5 * step;
    let count = |from: i64, to: i64| usize::try_from((to - from) / step + 1).unwrap_or(0);
    let x = resample(a, from, step, count(from, to), hole);
    let y = resample(b, b0, step, count(b0, b1), hole);
    // At lag k, x[i] stands beside y[i - k]; its clock shows `(k step) + from - b0` more.
    let base = from - b0;
    let lag_of = |offset_ms: i64| (offset_ms - base).div_euclid(step);
    let scores: Vec<(i64, Option<Fit>)> =
        (lag_of(-most_ms)..=lag_of(most_ms)).map(|k| (k, fit(&x, &y, k))).collect();
    let most_rows = scores.iter().filter_map(|(_, f)| f.map(|f| f.rows)).max().unwrap_or(0);
    if most_rows < LEAST_ROWS {
        return Err(Untold::TooShort);
    }
    // A short overlap agrees by chance.
    let enough = (most_rows / 2).max(LEAST_ROWS);
    let scores: Vec<(i64, Fit)> =
        scores.into_iter().filter_map(|(k, f)| f.filter(|f| f.rows >= enough).map(|f| (k, f))).collect();
    let best = scores
        .iter()
        .enumerate()
        .filter(|(_, (_, f))| f.correlation.is_finite())
        .max_by(|(_, (_, f)), (_, (_, g))| f.correlation.total_cmp(&g.correlation))
        .map(|(at, _)| at)
        .ok_or(Untold::Flat)?;
    let (lag, fit) = scores[best];
    if fit.correlation < asked.least_correlation {
        return Err(Untold::Unlike);
    }
    let (before, after) = (&scores[..best], &scores[best + 1..]);
    if rival(before.iter().rev(), fit, asked.rival) || rival(after.iter(), fit, asked.rival) {
        return Err(Untold::Ambiguous);
    }
    if best == 0 || best + 1 == scores.len() {
        return Err(Untold::AtTheEdge);
    }
    // The top of the parabola through the best and its neighbours.
    let (l, m, r) = (scores[best - 1].1.correlation, fit.correlation, scores[best + 1].1.correlation);
    let bend = l - 2.0 * m + r;
    let beyond = if bend < 0.0 { 0.5 * (l - r) / bend } else { 0.0 };
    let step_s = step as f64 / 1000.0;
    let offset_s = (lag * step + base) as f64 / 1000.0 + beyond * step_s;
    // Interpolating between rows leaves about a tenth of a step that the noise does not show.
    let std_s = (fit.std_steps * fit.std_steps + 0.01).sqrt() * step_s;
    Ok(Offset { offset_s, std_s, correlation: m, rows: fit.rows })
}

/// Whether a list of neighbours, nearest first, holds another peak as high as this share of the best
/// one: told apart from its shoulder by a valley between them.
fn rival<'f>(list: impl Iterator<Item = &'f (i64, Fit)>, best: Fit, share: f64) -> bool {
    let mut valley = best.correlation;
    for (_, f) in list {
        if f.correlation < valley {
            valley = f.correlation;
        }
        if f.correlation > share * best.correlation && f.correlation > valley + 0.02 {
            return true;
        }
    }
    false
}

#[derive(Clone, Copy)]
struct Fit {
    correlation: f64,
    std_steps: f64,
    rows: usize,
}

/// How `x[i]` goes with `y[i - k]`.
fn fit(x: &[f64], y: &[f64], k: i64) -> Option<Fit> {
    let pair = |i: usize| {
        let j = usize::try_from(i as i64 - k).ok()?;
        Some((x[i], *y.get(j)?)).filter(|(a, b)| a.is_finite() && b.is_finite())
    };
    let (mut n, mut sx, mut sy) = (0.0, 0.0, 0.0);
    for (a, b) in (0..x.len()).filter_map(pair) {
        n += 1.0;
        sx += a;
        sy += b;
    }
    if n < 3.0 {
        return None;
    }
    let (mx, my) = (sx / n, sy / n);
    let (mut xx, mut yy, mut xy) = (0.0, 0.0, 0.0);
    for (a, b) in (0..x.len()).filter_map(pair) {
        xx += (a - mx) * (a - mx);
        yy += (b - my) * (b - my);
        xy += (a - mx) * (b - my);
    }
    // What rounding leaves of a constant is no change.
    let flat = |ss: f64, mean: f64| ss <= 1e-20 * n * mean * mean;
    let correlation =
        if xx > 0.0 && yy > 0.0 && !flat(xx, mx) && !flat(yy, my) { xy / (xx * yy).sqrt() } else { f64::NAN };
    let slope = xy / yy;
    // Noise of x beside the line, how it follows itself, and how steep y runs.
    let (mut rest, mut follows, mut steep) = (0.0, 0.0, 0.0);
    let mut last: Option<(f64, f64)> = None;
    for (a, b) in (0..x.len()).filter_map(pair) {
        let e = a - mx - slope * (b - my);
        rest += e * e;
        if let Some((e0, b0)) = last {
            follows += e * e0;
            steep += (b - b0) * (b - b0);
        }
        last = Some((e, b));
    }
    let rho = if rest > 0.0 { (follows / rest).clamp(0.0, 0.99) } else { 0.0 };
    let counts = n * (1.0 - rho) / (1.0 + rho);
    let std_steps = if steep > 0.0 {
        (rest / n).sqrt() / (slope.abs() * (steep / n).sqrt() * counts.sqrt())
    } else {
        f64::INFINITY
    };
    Some(Fit { correlation, std_steps, rows: n as usize })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math;

    /// A room over some hours: people come and go, with noise of its own a logger.
    fn seen(rows: usize, step_ms: i64, clock_ms: i64, seed: u64) -> Vec<Point> {
        let mut state = seed;
        let mut noise = || {
            state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
            (state >> 33) as f64 / (1u64 << 31) as f64 - 0.5
        };
        let level = |t_min: f64| {
            let bump = |at: f64, high: f64| {
                let d = t_min - at;
                if d < 0.0 { 0.0 } else { high * math::exp(-d / 90.0) * (1.0 - math::exp(-d / 15.0)) }
            };
            450.0 + bump(60.0, 700.0) + bump(260.0, 400.0) + bump(430.0, 900.0)
        };
        (0..rows as i64)
            .map(|i| Point {
                time_ms: 1_700_000_000_000 + i * step_ms + clock_ms,
                value: 1e-6 * (level(i as f64 * step_ms as f64 / 60_000.0) + 20.0 * noise()),
            })
            .collect()
    }

    #[test]
    fn an_offset_is_found_within_its_interval() {
        let mut inside = 0;
        let mut worst = 0.0_f64;
        for seed in 1..=100_u64 {
            let late = (seed as i64 * 37_700) % 5_000_000 - 2_500_000;
            let a = seen(600, 60_000, late, seed);
            let b = seen(300, 120_000, 0, seed + 1000);
            let found = offset(&a, &b, Asked::default()).unwrap();
            let off = (found.offset_s - late as f64 / 1000.0).abs();
            worst = worst.max(off);
            inside += usize::from(off <= 2.0 * found.std_s);
        }
        assert!(inside >= 90 && worst < 60.0, "{inside} of 100 inside two sd, worst {worst} s");
    }

    #[test]
    fn what_cannot_be_told_is_not_told() {
        let a = seen(600, 60_000, 0, 1);
        let flat: Vec<Point> = a.iter().map(|p| Point { value: 4e-4, ..*p }).collect();
        assert_eq!(offset(&a, &flat, Asked::default()), Err(Untold::Flat));
        assert_eq!(offset(&a, &a[..20], Asked::default()), Err(Untold::TooShort));
        assert_eq!(offset(&a, &[], Asked::default()), Err(Untold::TooShort));
        // The same every hour: an hour more fits as well.
        let wave = |noise: f64| -> Vec<Point> {
            (0..2000_i64)
                .map(|i| Point {
                    time_ms: i * 60_000,
                    value: math::sin(std::f64::consts::TAU * i as f64 / 60.0) + noise * (i % 3) as f64,
                })
                .collect()
        };
        assert_eq!(offset(&wave(0.0), &wave(0.1), Asked::default()), Err(Untold::Ambiguous));
        let mut unlike = seen(600, 60_000, 0, 3);
        for (i, p) in unlike.iter_mut().enumerate() {
            p.value = ((i * 7919) % 101) as f64;
        }
        assert_eq!(offset(&a, &unlike, Asked::default()), Err(Untold::Unlike));
    }

    #[test]
    fn resampling_leaves_holes_open_and_means_are_means() {
        let points: Vec<Point> =
            [0, 10, 20, 200, 210].iter().map(|s| Point { time_ms: s * 1000, value: *s as f64 }).collect();
        let grid = resample(&points, 5_000, 10_000, 21, 30_000);
        assert!((grid[0] - 5.0).abs() < 1e-12 && (grid[1] - 15.0).abs() < 1e-12);
        assert!(grid[2].is_nan() && grid[10].is_nan() && (grid[20] - 205.0).abs() < 1e-12);
        let means = means(&points, 60_000);
        assert_eq!(means.iter().map(|p| p.time_ms).collect::<Vec<_>>(), [30_000, 210_000]);
        assert!((means[0].value - 10.0).abs() < 1e-12 && (means[1].value - 205.0).abs() < 1e-12);
    }
}
