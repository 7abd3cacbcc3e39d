//! The settled part of a record: where a reading would come to rest, and how long to wait for it.
//!
//! A duct starts at the warmth of the basement, a hood's display at its last flow; the record then
//! nears its end value as `y = y_end + a e^(-t/tau)`. Fitted by least squares with the time constant
//! found by search (the other two are linear). Residuals of a logger hang together, so the number
//! of independent rows is `N (1 - r)/(1 + r)` with their lag-one correlation. What can fail: a record
//! that is still on its way, of which the end is then not told.

mod duct;

pub use duct::{IntakeDuct, Response};

use super::field::{LEVEL, Note, Worked};
use crate::diag::{Diagnostic, code};
use crate::math;
use crate::measure::{Estimate, NoInterval, student_t_two_sided};
use crate::units::{Accuracy, Quantity};
use serde::Serialize;

/// Fewest rows for a fit.
pub const LEAST_ROWS: usize = 8;
/// A change within this many of the scatter's standard deviations is no settling.
const SEEN: f64 = 3.0;
/// Where nobody says how near is near enough, this share of the change.
pub const NEAR_SHARE: f64 = 0.05;

/// What is asked.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// Time, s; rising.
    pub time_s: Vec<f64>,
    /// Values, SI; NaN in gaps.
    pub values: Vec<f64>,
    /// What they measure.
    pub quantity: Quantity,
    /// Stated accuracy of the instrument.
    pub accuracy: Option<Accuracy>,
    /// When the fan started, s on the same clock; rows before are left out.
    pub from_s: f64,
    /// How near is near enough, SI.
    pub tolerance: Option<f64>,
    /// The duct of an outdoor-air intake, for the heat it never loses.
    pub intake: Option<IntakeDuct>,
}

/// How the record looks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Shape {
    /// No change beyond the scatter: the mean is the value.
    Flat,
    /// It settles within the record.
    Settles,
    /// It settles, but the record ends before it is near.
    Extrapolated,
    /// It drifts: the end cannot be told.
    Drifts,
}

/// What follows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Settled {
    /// How the record looks.
    pub shape: Shape,
    /// End value, with the scatter's part and the instrument's.
    pub value: Option<Estimate>,
    /// Time constant, s.
    pub tau: Option<Estimate>,
    /// Time after the start from which it is near enough, s; nothing where there was nothing to wait for.
    pub wait_s: Option<Estimate>,
    /// How far the last row is from the end value by the fit, SI.
    pub left: Option<f64>,
    /// Standard deviation of the rows about the fit.
    pub scatter: f64,
    /// Rows used.
    pub rows: usize,
    /// Rows left out for being gaps.
    pub gaps: usize,
    /// Outdoor temperature with the duct's own heat taken out, K.
    pub outdoor: Option<Estimate>,
    /// Share of the difference to the basement that never goes.
    pub standing_share: Option<f64>,
}

/// A line in one exponential.
struct Fitted {
    end: f64,
    change: f64,
    rss: f64,
    /// Inverse of the normal matrix of the end value and the change, by rows.
    inverse: [f64; 3],
}

/// Least squares of `end + change e^(-t/tau)`; nothing where the two cannot be told apart.
fn fit(t: &[f64], y: &[f64], tau: f64) -> Option<Fitted> {
    let n = t.len() as f64;
    let (mut se, mut see, mut sy, mut sey) = (0.0, 0.0, 0.0, 0.0);
    for (t, y) in t.iter().zip(y) {
        let e = math::exp(-t / tau);
        se += e;
        see += e * e;
        sy += y;
        sey += e * y;
    }
    let det = n * see - se * se;
    if det <= 1e-12 * n * see || det.is_nan() {
        return None;
    }
    let (end, change) = ((see * sy - se * sey) / det, (n * sey - se * sy) / det);
    let rss = t.iter().zip(y).fold(0.0, |sum, (t, y)| {
        let r = y - end - change * math::exp(-t / tau);
        sum + r * r
    });
    Some(Fitted { end, change, rss, inverse: [see / det, -se / det, n / det] })
}

/// The time constant of the smallest sum of squares: a grid over its logarithm, then golden section.
fn best_tau(t: &[f64], y: &[f64]) -> Option<f64> {
    let span = t.last()? - t.first()?;
    let step = span / (t.len() - 1) as f64;
    let rss = |ln_tau: f64| fit(t, y, math::exp(ln_tau)).map_or(f64::INFINITY, |f| f.rss);
    let (from, to) = (math::ln(step / 2.0), math::ln(20.0 * span));
    let places = 60;
    let at = |i: usize| from + (to - from) * i as f64 / f64::from(places);
    let best = (0..=places as usize).min_by(|a, b| rss(at(*a)).total_cmp(&rss(at(*b))))?;
    let (mut a, mut b) = (at(best.saturating_sub(1)), at((best + 1).min(places as usize)));
    let golden = (5.0_f64.sqrt() - 1.0) / 2.0;
    for _ in 0..60 {
        let (c, d) = (b - golden * (b - a), a + golden * (b - a));
        if rss(c) < rss(d) { b = d } else { a = c }
    }
    Some(math::exp((a + b) / 2.0))
}

/// Correlation of neighbours among residuals, at least 0.
fn neighbours(residuals: &[f64]) -> f64 {
    let all: f64 = residuals.iter().map(|r| r * r).sum();
    let both: f64 = residuals.windows(2).map(|w| w.iter().product::<f64>()).sum();
    if all > 0.0 { (both / all).clamp(0.0, 0.99) } else { 0.0 }
}

/// Works it.
///
/// # Errors
/// X111 where fewer than [`LEAST_ROWS`] rows are left.
///
/// ```
/// use engine::procedure::settled::{Asked, Shape, evaluate};
/// use engine::units::Quantity;
/// // From 21 degC towards -5 degC, 90 s time constant, a row every 10 s for ten minutes.
/// let time_s: Vec<f64> = (0..60).map(|i| f64::from(i) * 10.0).collect();
/// let values = time_s.iter().map(|t| 268.15 + 26.0 * engine::math::exp(-t / 90.0)).collect();
/// let found = evaluate(&Asked {
///     time_s,
///     values,
///     quantity: Quantity::Temperature,
///     accuracy: None,
///     from_s: 0.0,
///     tolerance: Some(0.5),
///     intake: None,
/// })
/// .unwrap();
/// assert_eq!(found.shape, Shape::Settles);
/// assert!((found.value.unwrap().si - 268.15).abs() < 1e-3);
/// assert!((found.wait_s.unwrap().si - 90.0 * 52.0_f64.ln()).abs() < 0.1);
/// ```
pub fn evaluate(asked: &Asked) -> Result<Settled, Diagnostic> {
    let after = || asked.time_s.iter().zip(&asked.values).filter(|(t, _)| **t >= asked.from_s);
    let (mut t, mut y): (Vec<f64>, Vec<f64>) = (Vec::new(), Vec::new());
    for (time, value) in after().filter(|(t, v)| t.is_finite() && v.is_finite()) {
        t.push(time - asked.from_s);
        y.push(*value);
    }
    let gaps = after().count() - t.len();
    if t.len() < LEAST_ROWS {
        return Err(Diagnostic::error(code::X111).arg("rows", t.len()).arg("wanted", LEAST_ROWS));
    }
    let n = t.len() as f64;
    let span = t.last().copied().unwrap_or(0.0) - t.first().copied().unwrap_or(0.0);
    let average = y.iter().sum::<f64>() / n;
    let flat_rss: f64 = y.iter().map(|y| (y - average) * (y - average)).sum();
    let tau = best_tau(&t, &y);
    let fitted = tau.and_then(|tau| fit(&t, &y, tau).map(|f| (tau, f)));
    let stated = |value: f64| asked.accuracy.map_or(0.0, |a| a.limit(value));
    let around = |value: f64, half: f64| {
        let limit = stated(value);
        let half = (half * half + limit * limit).sqrt();
        Estimate::range(value, value - half, value + half, LEVEL, asked.quantity)
    };
    let mut found = Settled {
        shape: Shape::Flat,
        value: None,
        tau: None,
        wait_s: None,
        left: None,
        scatter: (flat_rss / (n - 1.0)).sqrt(),
        rows: t.len(),
        gaps,
        outdoor: None,
        standing_share: None,
    };
    // Three numbers more than a mean have to earn their place (F test at about 1 in 1000).
    let earns = |f: &Fitted| (flat_rss - f.rss) / 2.0 > 8.0 * f.rss / (n - 3.0);
    match fitted {
        Some((tau, f)) if flat_rss > 1e-18 * n * average * average && earns(&f) => {
            exponential(&mut found, asked, &t, &y, tau, &f, span);
        }
        _ => {
            let residuals: Vec<f64> = y.iter().map(|y| y - average).collect();
            let r = neighbours(&residuals);
            let free = (n * (1.0 - r) / (1.0 + r)).max(2.0);
            let half = student_t_two_sided(LEVEL, free - 1.0) * found.scatter / free.sqrt();
            found.value = Some(around(average, half));
        }
    }
    if let (Some(duct), Some(value)) = (&asked.intake, found.value) {
        let share = duct.response().standing_share();
        found.standing_share = Some(share);
        let free = |k: f64| (k - share * duct.around_k) / (1.0 - share);
        found.outdoor = Some(match value.bounds() {
            Some((lo, hi)) => Estimate::range(free(value.si), free(lo), free(hi), LEVEL, asked.quantity),
            None => Estimate { si: free(value.si), ..value },
        });
    }
    Ok(found)
}

fn exponential(found: &mut Settled, asked: &Asked, t: &[f64], y: &[f64], tau: f64, f: &Fitted, span: f64) {
    let n = t.len() as f64;
    let residuals: Vec<f64> =
        t.iter().zip(y).map(|(t, y)| y - f.end - f.change * math::exp(-t / tau)).collect();
    let r = neighbours(&residuals);
    let free = (n * (1.0 - r) / (1.0 + r)).max(4.0);
    // Correlated rows inflate every variance alike.
    let variance = f.rss / (n - 3.0) * (n / free);
    let quantile = student_t_two_sided(LEVEL, free - 3.0);
    let covariance = with_tau(t, tau, f);
    let se = |i: usize| covariance.map_or(f64::INFINITY, |c| (variance * c[i]).sqrt());
    let last = t.last().copied().unwrap_or(0.0);
    let left = f.change * math::exp(-last / tau);
    found.scatter = (f.rss / (n - 3.0)).sqrt();
    found.left = Some(left);
    let half = quantile * se(0);
    // The end is told where its interval is small against the change seen in the record.
    let seen =
        (f.change * (math::exp(-t.first().copied().unwrap_or(0.0) / tau) - math::exp(-last / tau))).abs();
    if tau > 5.0 * span || half.is_nan() || half > seen {
        found.shape = Shape::Drifts;
        return;
    }
    let near = asked.tolerance.unwrap_or(NEAR_SHARE * f.change.abs()).abs();
    found.shape =
        if left.abs() <= near.max(SEEN * found.scatter) { Shape::Settles } else { Shape::Extrapolated };
    let limit = asked.accuracy.map_or(0.0, |a| a.limit(f.end));
    let all = (half * half + limit * limit).sqrt();
    found.value = Some(Estimate::range(f.end, f.end - all, f.end + all, LEVEL, asked.quantity));
    let tau_half = quantile * se(2);
    let times = (f.change.abs() / near).max(1.0);
    found.tau = Some(Estimate::range(tau, (tau - tau_half).max(0.0), tau + tau_half, LEVEL, Quantity::Time));
    found.wait_s = found.tau.map(|e| e.scaled(math::ln(times), Quantity::Time));
}

/// Diagonal of the inverse normal matrix of end value, change and time constant at the optimum.
fn with_tau(t: &[f64], tau: f64, f: &Fitted) -> Option<[f64; 3]> {
    // Column of the time constant: change t/tau2 e^(-t/tau); the other two have their inverse already.
    let (mut c0, mut c1, mut cc) = (0.0, 0.0, 0.0);
    for t in t {
        let e = math::exp(-t / tau);
        let column = f.change * t / (tau * tau) * e;
        c0 += column;
        c1 += column * e;
        cc += column * column;
    }
    let [a, b, d] = f.inverse;
    // Schur complement.
    let (u0, u1) = (a * c0 + b * c1, b * c0 + d * c1);
    let rest = cc - (c0 * u0 + c1 * u1);
    if rest <= 0.0 || rest.is_nan() {
        return None;
    }
    Some([a + u0 * u0 / rest, d + u1 * u1 / rest, 1.0 / rest])
}

impl Settled {
    /// In the shape of all tests.
    pub fn worked(&self) -> Worked {
        let mut worked = Worked::default();
        if let Some(value) = self.outdoor {
            worked.figure("figure-outdoor-behind-duct", value);
        }
        if let Some(value) = self.value {
            worked.figure("figure-settled", value);
        }
        if let Some(wait) = self.wait_s {
            worked.figure("figure-wait", wait);
        }
        if let Some(tau) = self.tau {
            worked.figure("figure-time-constant", tau);
        }
        if let Some(share) = self.standing_share {
            let share = Estimate::without(share, Quantity::Fraction, NoInterval::NotDefined);
            worked.figure("figure-standing-share", share);
        }
        worked.notes.push(match self.shape {
            Shape::Flat => Note::new("note-record-flat"),
            Shape::Settles => Note::new("note-record-settles"),
            Shape::Extrapolated => Note::caution("note-record-extrapolated"),
            Shape::Drifts => Note::caution("note-record-drifts"),
        });
        if self.gaps > 0 {
            worked.notes.push(Note::new("note-record-gaps").arg("gaps", self.gaps));
        }
        worked
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rng::Stream;

    fn asked(time_s: Vec<f64>, values: Vec<f64>) -> Asked {
        Asked {
            time_s,
            values,
            quantity: Quantity::AirFlow,
            accuracy: None,
            from_s: 0.0,
            tolerance: None,
            intake: None,
        }
    }

    fn noisy(rows: usize, step_s: f64, tau: f64, seed: &str) -> Vec<f64> {
        let mut rng = Stream::new(7, seed);
        (0..rows).map(|i| 50.0 + 20.0 * math::exp(-(i as f64) * step_s / tau) + 0.5 * rng.normal()).collect()
    }

    /// The interval holds the end value about as often as it says.
    #[test]
    fn coverage() {
        let time: Vec<f64> = (0..80).map(|i| f64::from(i) * 5.0).collect();
        let mut held = 0;
        for i in 0..400 {
            let found = evaluate(&asked(time.clone(), noisy(80, 5.0, 70.0, &format!("s{i}")))).unwrap();
            let (lo, hi) = found.value.unwrap().bounds().unwrap();
            held += u32::from(lo <= 50.0 && 50.0 <= hi);
        }
        assert!((368..=392).contains(&held), "{held} of 400");
    }

    #[test]
    fn a_short_record_says_that_it_cannot_tell() {
        let time: Vec<f64> = (0..20).map(f64::from).collect();
        let found = evaluate(&asked(time.clone(), noisy(20, 1.0, 400.0, "short"))).unwrap();
        assert!(found.shape == Shape::Drifts || found.shape == Shape::Flat, "{:?}", found.shape);
        let line: Vec<f64> = time.iter().map(|t| 10.0 - 0.1 * t).collect();
        let found = evaluate(&asked(time, line)).unwrap();
        assert_eq!((found.shape, found.value), (Shape::Drifts, None));
    }

    #[test]
    fn a_flat_record_is_its_mean_and_gaps_are_counted() {
        let time: Vec<f64> = (0..40).map(f64::from).collect();
        let values: Vec<f64> =
            (0..40).map(|i| if i == 7 { f64::NAN } else { 30.0 + 0.1 * f64::from(i % 3) }).collect();
        let found = evaluate(&asked(time, values)).unwrap();
        assert_eq!((found.shape, found.gaps, found.rows), (Shape::Flat, 1, 39));
        assert!((found.value.unwrap().si - 30.1).abs() < 0.02);
        assert_eq!(evaluate(&asked(vec![0.0; 3], vec![1.0; 3])).unwrap_err().code, code::X111);
    }
}
