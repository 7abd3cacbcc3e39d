//! Draws from the posterior: a multivariate t at the optimum, re-weighted by the true posterior.
//!
//! The t (4 degrees of freedom) is used for the house's parameters; what the house is not (test-fan
//! flows, instrument errors, wind) is drawn given them from the normal at the optimum, because a
//! heavy tail in a hundred nearly linear unknowns would leave no draw with weight. Weights are
//! smoothed in the tail and their Pareto shape k tells whether they can be trusted: below 0.7 they
//! can (Vehtari, Simpson, Gelman, Yao and Gabry 2015). The generalised Pareto fit is that of Zhang
//! and Stephens 2009.

use super::problem::{FitError, Problem, Row};
use super::solve::Optimum;
use crate::math;
use crate::rng::Stream;
use nalgebra::DVector;
use std::ops::ControlFlow;

const DOF: usize = 4;

/// Equally weighted draws of the house's parameters and how good they are.
#[derive(Clone, Debug, PartialEq)]
pub struct Draws {
    /// One `theta` of the house a draw.
    pub theta: Vec<Vec<f64>>,
    /// Effective number of draws before they were made equal.
    pub effective: f64,
    /// Pareto shape of the weights' tail.
    pub pareto_k: f64,
}

/// Makes `count` equally weighted draws out of `tries` weighted ones.
///
/// # Errors
/// [`FitError::Stopped`]. A draw whose network cannot be solved gets no weight.
pub fn draws(
    problem: &mut Problem<'_>,
    optimum: &Optimum,
    tries: usize,
    count: usize,
    seed: u64,
    progress: &mut dyn FnMut(usize) -> ControlFlow<()>,
) -> Result<Draws, FitError> {
    let n = problem.len();
    let first_house = problem.first_house;
    let house_n = n - first_house;
    let mut stream = Stream::new(seed, "fit");
    let lower = optimum.factor.l();
    let mut rows: Vec<Row> = Vec::new();
    let mut theta = Vec::with_capacity(tries);
    let mut ln_weight = Vec::with_capacity(tries);
    for at in 0..tries {
        if at % 64 == 0 && progress(at).is_break() {
            return Err(FitError::Stopped);
        }
        let mut z = DVector::from_fn(n, |_, _| stream.normal());
        let stretch = (stream.chi_square(DOF) / DOF as f64).sqrt();
        let mut house_squares = 0.0;
        let mut other_squares = 0.0;
        for i in 0..n {
            if i >= first_house {
                z[i] /= stretch;
                house_squares += z[i] * z[i];
            } else {
                other_squares += z[i] * z[i];
            }
        }
        // Solving with the transposed factor makes the last block marginal and the first one
        // conditional on it.
        if !lower.tr_solve_lower_triangular_mut(&mut z) {
            continue;
        }
        let x: Vec<f64> = optimum.x.iter().zip(z.iter()).map(|(x, d)| x + d).collect();
        let squares = match problem.rows(&x, false, &mut rows) {
            Ok(()) => rows.iter().map(|r| r.residual * r.residual).sum::<f64>() + problem.prior_squares(&x),
            Err(_) => f64::INFINITY,
        };
        let ln_t = -0.5 * (DOF + house_n) as f64 * math::ln(1.0 + house_squares / DOF as f64);
        ln_weight.push(-0.5 * squares - (ln_t - 0.5 * other_squares));
        theta.push(x[first_house..].to_vec());
    }
    let top = math::max_valid(ln_weight.iter().copied()).unwrap_or(0.0);
    let mut weight: Vec<f64> =
        ln_weight.iter().map(|w| if w.is_finite() { math::exp(w - top) } else { 0.0 }).collect();
    let pareto_k = smooth_tail(&mut weight);
    let total: f64 = weight.iter().sum();
    let effective = total * total / weight.iter().map(|w| w * w).sum::<f64>();
    let chosen = systematic(&weight, total, count, &mut stream);
    Ok(Draws { theta: chosen.into_iter().map(|i| theta[i].clone()).collect(), effective, pareto_k })
}

/// Indices drawn with the weights, evenly spaced along their sum.
fn systematic(weight: &[f64], total: f64, count: usize, stream: &mut Stream) -> Vec<usize> {
    let mut chosen = Vec::with_capacity(count);
    let step = total / count as f64;
    let mut mark = stream.uniform() * step;
    let mut sum = 0.0;
    for (i, w) in weight.iter().enumerate() {
        sum += w;
        while mark < sum && chosen.len() < count {
            chosen.push(i);
            mark += step;
        }
    }
    while chosen.len() < count && !weight.is_empty() {
        chosen.push(weight.len() - 1);
    }
    chosen
}

/// Replaces the largest weights by the expected order statistics of the generalised Pareto fitted
/// to them and returns its shape; infinite where there are too few.
fn smooth_tail(weight: &mut [f64]) -> f64 {
    let n = weight.len() as f64;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small positive count")]
    let tail = (if 0.2 * n < 3.0 * n.sqrt() { 0.2 * n } else { 3.0 * n.sqrt() }) as usize;
    if tail < 5 {
        return f64::INFINITY;
    }
    let mut order: Vec<usize> = (0..weight.len()).collect();
    order.sort_by(|&a, &b| weight[a].total_cmp(&weight[b]));
    let cut = weight[order[order.len() - tail - 1]];
    let tail_at = &order[order.len() - tail..];
    let excess: Vec<f64> = tail_at.iter().map(|&i| weight[i] - cut).collect();
    let Some((k, sigma)) = generalised_pareto(&excess) else { return f64::INFINITY };
    let largest = weight[order[order.len() - 1]];
    for (rank, &i) in tail_at.iter().enumerate() {
        let p = (rank as f64 + 0.5) / tail as f64;
        let quantile = if k.abs() < 1e-12 {
            -sigma * math::ln(1.0 - p)
        } else {
            sigma / k * (math::pow(1.0 - p, -k) - 1.0)
        };
        let smoothed = cut + quantile;
        weight[i] = if smoothed < largest { smoothed } else { largest };
    }
    k
}

/// Shape and scale of a generalised Pareto fitted to ascending positive values (Zhang and Stephens
/// 2009), with the weak prior on the shape that Vehtari et al. use.
fn generalised_pareto(x: &[f64]) -> Option<(f64, f64)> {
    let n = x.len() as f64;
    let largest = *x.last()?;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a quarter of a small count")]
    let quartile = x[((n / 4.0 + 0.5).floor() as usize).saturating_sub(1)];
    if !(largest > 0.0 && quartile > 0.0) {
        return None;
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small positive count")]
    let m = 30 + n.sqrt() as usize;
    let b: Vec<f64> = (1..=m)
        .map(|j| (1.0 - (m as f64 / (j as f64 - 0.5)).sqrt()) / (3.0 * quartile) + 1.0 / largest)
        .collect();
    let shape = |b: f64| x.iter().map(|x| math::ln(1.0 - b * x)).sum::<f64>() / n;
    let like: Vec<f64> = b
        .iter()
        .map(|&b| {
            let k = shape(b);
            n * (math::ln(-b / k) - k - 1.0)
        })
        .collect();
    let weights: Vec<f64> =
        like.iter().map(|l| 1.0 / like.iter().map(|o| math::exp(o - l)).sum::<f64>()).collect();
    let mean_b: f64 = b.iter().zip(&weights).map(|(b, w)| b * w).sum();
    let k = shape(mean_b);
    let sigma = -k / mean_b;
    // Prior worth ten observations at shape 0.5.
    Some((k * n / (n + 10.0) + 0.5 * 10.0 / (n + 10.0), sigma))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_pareto_shape_is_found() {
        // Quantiles of a generalised Pareto with shape 0.4 and scale 2.
        let n = 2000;
        let x: Vec<f64> = (0..n)
            .map(|i| {
                let p = (f64::from(i) + 0.5) / f64::from(n);
                2.0 / 0.4 * (math::pow(1.0 - p, -0.4) - 1.0)
            })
            .collect();
        let (k, sigma) = generalised_pareto(&x).unwrap();
        assert!((k - 0.4).abs() < 0.02 && (sigma - 2.0).abs() < 0.05, "{k} {sigma}");
    }

    #[test]
    fn equal_weights_draw_every_index_once() {
        let mut stream = Stream::new(1, "t");
        let chosen = systematic(&[1.0; 10], 10.0, 10, &mut stream);
        assert_eq!(chosen, (0..10).collect::<Vec<_>>());
    }
}
