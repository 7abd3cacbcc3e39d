//! Least squares of the change-point model. For given balance temperatures the base and the slopes
//! are linear; only the balance temperatures are searched, first over a grid, then by golden section.

use super::Period;
use nalgebra::{DMatrix, DVector};

/// Step of the search for a balance temperature, K.
const GRID_K: f64 = 0.5;

/// Which slopes a model has.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Shape {
    /// The same use all year.
    Flat,
    /// More in the cold.
    Heating,
    /// More in the heat.
    Cooling,
    /// Both.
    Both,
}

impl Shape {
    /// Numbers to be found.
    pub fn parameters(self) -> usize {
        match self {
            Shape::Flat => 1,
            Shape::Heating | Shape::Cooling => 3,
            Shape::Both => 5,
        }
    }

    pub(super) fn heats(self) -> bool {
        matches!(self, Shape::Heating | Shape::Both)
    }

    pub(super) fn cools(self) -> bool {
        matches!(self, Shape::Cooling | Shape::Both)
    }
}

/// A model fitted.
#[derive(Clone, Debug)]
pub(super) struct Fitted {
    pub(super) shape: Shape,
    /// Base W; heating slope W/K and balance K; cooling slope and balance; as far as the shape has them.
    pub(super) parameters: Vec<f64>,
    /// Covariance over the residual variance, of the same numbers.
    pub(super) unscaled: DMatrix<f64>,
    /// Weighted residuals, W.
    pub(super) residuals: Vec<f64>,
    pub(super) rss: f64,
}

/// Mean degree difference of a period below a balance temperature, K.
pub(super) fn below(period: &Period, balance_k: f64) -> f64 {
    mean(period, |t| (balance_k - t).max(0.0))
}

/// The same above one.
pub(super) fn above(period: &Period, balance_k: f64) -> f64 {
    mean(period, |t| (t - balance_k).max(0.0))
}

fn mean(period: &Period, f: impl Fn(f64) -> f64) -> f64 {
    period.outdoor_k.iter().map(|t| f(*t)).sum::<f64>() / period.outdoor_k.len() as f64
}

/// Weights: a mean over more days is known better.
fn weights(periods: &[Period]) -> Vec<f64> {
    let all: f64 = periods.iter().map(|p| p.days).sum();
    periods.iter().map(|p| (p.days * periods.len() as f64 / all).sqrt()).collect()
}

struct Linear {
    coefficients: DVector<f64>,
    rss: f64,
}

fn linear(columns: &[Vec<f64>], power_w: &[f64], weights: &[f64]) -> Option<Linear> {
    let x = DMatrix::from_fn(power_w.len(), columns.len(), |i, j| {
        columns.get(j).and_then(|c| c.get(i)).copied().unwrap_or(0.0) * weights[i]
    });
    let y = DVector::from_fn(power_w.len(), |i, _| power_w[i] * weights[i]);
    let normal = x.transpose() * &x;
    let coefficients = normal.cholesky()?.solve(&(x.transpose() * &y));
    let rss = (&y - &x * &coefficients).norm_squared();
    Some(Linear { coefficients, rss })
}

fn columns(periods: &[Period], heating: Option<f64>, cooling: Option<f64>) -> Vec<Vec<f64>> {
    let mut all = vec![vec![1.0; periods.len()]];
    all.extend(heating.map(|k| periods.iter().map(|p| below(p, k)).collect()));
    all.extend(cooling.map(|k| periods.iter().map(|p| above(p, k)).collect()));
    all
}

/// The smallest of `f` near the best place of a grid.
fn golden(mut a: f64, mut b: f64, f: impl Fn(f64) -> f64) -> f64 {
    let share = (5.0_f64.sqrt() - 1.0) / 2.0;
    for _ in 0..50 {
        let (c, d) = (b - share * (b - a), a + share * (b - a));
        if f(c) <= f(d) { b = d } else { a = c }
    }
    (a + b) / 2.0
}

/// Coldest and warmest mean of a period, K.
pub(super) fn range_k(periods: &[Period]) -> (f64, f64) {
    periods
        .iter()
        .map(|p| mean(p, |t| t))
        .fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), t| (a.min(t), b.max(t)))
}

/// Fits one shape; nothing where it cannot be told.
pub(super) fn fit(periods: &[Period], shape: Shape) -> Option<Fitted> {
    if periods.len() <= shape.parameters() {
        return None;
    }
    let power: Vec<f64> = periods.iter().map(Period::power_w).collect();
    let weights = weights(periods);
    let (cold, warm) = range_k(periods);
    let rss = |heating: Option<f64>, cooling: Option<f64>| {
        if heating.zip(cooling).is_some_and(|(h, c)| c < h) {
            return f64::INFINITY;
        }
        linear(&columns(periods, heating, cooling), &power, &weights).map_or(f64::INFINITY, |l| l.rss)
    };
    // Each slope needs two periods beyond its balance temperature, or it only fits one point.
    let second = |mut list: Vec<f64>| {
        list.sort_by(f64::total_cmp);
        (list.get(1).copied().unwrap_or(cold), list.iter().rev().nth(1).copied().unwrap_or(warm))
    };
    let (cold, warm) = second(periods.iter().map(|p| mean(p, |t| t)).collect());
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a handful of steps")]
    let count = ((warm - cold) / GRID_K).ceil().max(1.0) as usize;
    let at = |i: usize| cold + (warm - cold) * i as f64 / count as f64;
    let (heating, cooling) = match shape {
        Shape::Flat => (None, None),
        Shape::Heating | Shape::Cooling => {
            let one = |k: f64| if shape == Shape::Heating { rss(Some(k), None) } else { rss(None, Some(k)) };
            let best = (0..=count).min_by(|a, b| one(at(*a)).total_cmp(&one(at(*b))))?;
            let k = golden(at(best.saturating_sub(1)), at((best + 1).min(count)), one);
            if shape == Shape::Heating { (Some(k), None) } else { (None, Some(k)) }
        }
        Shape::Both => {
            let mut best = (f64::INFINITY, 0, 0);
            for h in 0..=count {
                for c in h..=count {
                    let sum = rss(Some(at(h)), Some(at(c)));
                    if sum < best.0 {
                        best = (sum, h, c);
                    }
                }
            }
            let near = |i: usize| (at(i.saturating_sub(1)), at((i + 1).min(count)));
            let (mut h, mut c) = (at(best.1), at(best.2));
            for _ in 0..20 {
                let (a, b) = near(best.1);
                h = golden(a, b.min(c), |k| rss(Some(k), Some(c)));
                let (a, b) = near(best.2);
                c = golden(a.max(h), b, |k| rss(Some(h), Some(k)));
            }
            (Some(h), Some(c))
        }
    };
    let found = linear(&columns(periods, heating, cooling), &power, &weights)?;
    let mut slopes = found.coefficients.iter().skip(1).copied();
    let mut parameters = vec![*found.coefficients.iter().next()?];
    for balance in [heating, cooling].into_iter().flatten() {
        parameters.extend([slopes.next()?, balance]);
    }
    let j = jacobian(periods, shape, &parameters, &weights);
    let unscaled = (j.transpose() * &j).try_inverse()?;
    let residuals = periods
        .iter()
        .zip(&power)
        .zip(&weights)
        .map(|((p, w), weight)| weight * (w - predicted_w(p, shape, &parameters)))
        .collect();
    Some(Fitted { shape, parameters, unscaled, residuals, rss: found.rss })
}

/// What a model expects of a period, W.
pub(super) fn predicted_w(period: &Period, shape: Shape, parameters: &[f64]) -> f64 {
    match (shape, parameters) {
        (Shape::Heating, [base, h, at]) => base + h * below(period, *at),
        (Shape::Cooling, [base, c, at]) => base + c * above(period, *at),
        (Shape::Both, [base, h, hat, c, cat]) => base + h * below(period, *hat) + c * above(period, *cat),
        _ => parameters.first().copied().unwrap_or(f64::NAN),
    }
}

/// Derivatives of what a model expects of a period with respect to its numbers.
pub(super) fn gradient(period: &Period, shape: Shape, parameters: &[f64]) -> Vec<f64> {
    let share_below = |k: f64| mean(period, |t| if t < k { 1.0 } else { 0.0 });
    let mut row = vec![1.0];
    match (shape, parameters) {
        (Shape::Heating, [_, h, at]) => row.extend([below(period, *at), h * share_below(*at)]),
        (Shape::Cooling, [_, c, at]) => row.extend([above(period, *at), -c * (1.0 - share_below(*at))]),
        (Shape::Both, [_, h, hat, c, cat]) => row.extend([
            below(period, *hat),
            h * share_below(*hat),
            above(period, *cat),
            -c * (1.0 - share_below(*cat)),
        ]),
        _ => {}
    }
    row
}

fn jacobian(periods: &[Period], shape: Shape, parameters: &[f64], weights: &[f64]) -> DMatrix<f64> {
    let rows: Vec<Vec<f64>> = periods.iter().map(|p| gradient(p, shape, parameters)).collect();
    DMatrix::from_fn(periods.len(), parameters.len(), |i, j| {
        rows.get(i).and_then(|r| r.get(j)).copied().unwrap_or(0.0) * weights[i]
    })
}
