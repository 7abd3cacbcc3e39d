//! Draws from the posterior: every draw solves its own randomised least-squares problem, and is then
//! re-weighted by the true posterior.
//!
//! Few readings are very sharp (a test fan's pressure is known to 0.1 Pa of 50) while the leaks they
//! sum up are known to a third of their size: the posterior is a thin curved sheet, on which neither
//! a normal nor a t at the optimum puts a single draw. Randomise-then-optimise follows the sheet
//! (Bardsley, Solonen, Haario and Laine 2014; in the few directions that readings act on: Bardsley,
//! Cui, Marzouk and Wang 2020). With `A = U S V'` the slopes at the optimum in units of the prior,
//! a standard normal `e` becomes the draw `z` that solves
//!
//! `F(z) = e`, `F(z) = (1 + S^2)^(-1/2) (V' z + S U' r(z))` along `V`, `F(z) = z` across it,
//!
//! whose density is `|det F'(z)| exp(-|F(z)|^2 / 2)`; the posterior over it is the draw's weight. A
//! straight model gives equal weights. Weights are smoothed in the tail and their Pareto shape k
//! tells whether they can be trusted: below 0.7 they can (Vehtari, Simpson, Gelman, Yao and Gabry
//! 2015). The generalised Pareto fit is that of Zhang and Stephens 2009.

use super::jacobian::Directions;
use super::problem::{FitError, Problem, Row};
use super::solve::{self, Optimum};
use crate::math;
use crate::rng::Stream;
use nalgebra::{DMatrix, DVector, Dyn, LU};
use std::ops::ControlFlow;

/// Directions that move no reading by more than this share of its noise are left to the prior; the
/// weights account for it.
const LEAST_NARROWING: f64 = 1e-6;
/// `F` is solved to this, in standard deviations; what is left is put into the weight.
const SOLVED: f64 = 1e-2;
/// Most Newton steps a draw.
const MOST_STEPS: usize = 25;
/// Most steps without derivatives before them.
const MOST_SECANTS: usize = 14;
/// A step without derivatives is slow where it leaves more than this of the gap.
const SECANT_LEAVES: f64 = 0.6;
/// Slow steps before derivatives are worked out: a step that leads away is not taken, but what it
/// tells of the map mends the next one.
const MOST_SLOW: usize = 4;
/// Share of the outdoor throughflow to which networks are solved on the way to a draw, where no
/// derivatives are asked for: the balance at the draw itself is that of the fit.
const ON_THE_WAY: f64 = 1e-5;

/// Equally weighted draws of the house's parameters and how good they are.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Draws {
    /// One `theta` of the house a draw.
    pub theta: Vec<Vec<f64>>,
    /// All of them before they were made equal.
    pub all: Vec<Vec<f64>>,
    /// Their weights, which sum to one.
    pub weight: Vec<f64>,
    /// Effective number of draws before they were made equal.
    pub effective: f64,
    /// Pareto shape of the weights' tail.
    pub pareto_k: f64,
    /// Draws without weight because their equation was not solved.
    pub unsolved: usize,
}

/// Draws with the logarithm of their weights, before they are made equal.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Weighted {
    /// One vector of all unknowns of the problem a draw.
    pub x: Vec<Vec<f64>>,
    /// Logarithm of each draw's weight, to a common constant.
    pub ln_weight: Vec<f64>,
    /// Draws without weight because their equation was not solved; they are in neither list.
    pub unsolved: usize,
}

/// Makes `tries` weighted draws of all unknowns.
///
/// # Errors
/// [`FitError::Stopped`], [`FitError::Singular`]. A draw whose equation cannot be solved, or where the
/// map folds, gets no weight.
pub fn weighted(
    problem: Problem<'_>,
    optimum: &Optimum,
    tries: usize,
    stream: Stream,
    progress: &mut dyn FnMut(usize) -> ControlFlow<()>,
) -> Result<Weighted, FitError> {
    let mut drawing = Drawing::new(problem, optimum, stream)?;
    drawing.further(tries, progress)?;
    Ok(drawing.drawn)
}

/// One posterior and the draws made from it so far.
pub(super) struct Drawing<'h> {
    problem: Problem<'h>,
    map: Map,
    stream: Stream,
    drawn: Weighted,
}

impl<'h> Drawing<'h> {
    /// Ready to draw; nothing is drawn.
    pub(super) fn new(
        problem: Problem<'h>,
        optimum: &Optimum,
        stream: Stream,
    ) -> Result<Drawing<'h>, FitError> {
        let map = Map::new(optimum).ok_or(FitError::Singular { iterations: optimum.iterations })?;
        Ok(Drawing { problem, map, stream, drawn: Weighted::default() })
    }

    /// Makes `tries` draws more.
    pub(super) fn further(
        &mut self,
        tries: usize,
        progress: &mut dyn FnMut(usize) -> ControlFlow<()>,
    ) -> Result<(), FitError> {
        let mut rows: Vec<Row> = Vec::new();
        for at in 0..tries {
            if at % 16 == 0 && progress(at).is_break() {
                return Err(FitError::Stopped);
            }
            let e = DVector::from_fn(self.problem.len(), |_, _| self.stream.normal());
            match self.map.draw(&mut self.problem, &e, &mut rows) {
                Some((z, ln)) => {
                    self.drawn.x.push(solve::raw(&self.problem, &z));
                    self.drawn.ln_weight.push(ln);
                }
                None => self.drawn.unsolved += 1,
            }
        }
        Ok(())
    }

    /// Makes `count` equally weighted draws out of all made so far.
    pub(super) fn draws(&self, count: usize) -> Draws {
        let Weighted { x, ln_weight, unsolved } = &self.drawn;
        let top = math::max_valid(ln_weight.iter().copied()).unwrap_or(0.0);
        let mut weight: Vec<f64> =
            ln_weight.iter().map(|w| if w.is_finite() { math::exp(w - top) } else { 0.0 }).collect();
        let pareto_k = smooth_tail(&mut weight);
        let total: f64 = weight.iter().sum();
        let effective = total * total / weight.iter().map(|w| w * w).sum::<f64>();
        let chosen = systematic(&weight, total, count, &mut self.stream.clone());
        let all: Vec<Vec<f64>> = x.iter().map(|x| x[self.problem.first_house..].to_vec()).collect();
        let theta = chosen.into_iter().map(|i| all[i].clone()).collect();
        weight.iter_mut().for_each(|w| *w /= total);
        Draws { theta, all, weight, effective, pareto_k, unsolved: *unsolved }
    }
}

type Factor = LU<f64, Dyn, Dyn>;

/// The map `F` from draws to standard normals.
struct Map {
    /// Orthonormal directions that readings act on, in units of the prior; one column each.
    v: DMatrix<f64>,
    /// The same for the products of the map's derivatives.
    directions: Directions,
    /// `S U'`.
    su: DMatrix<f64>,
    /// `(1 + S^2)^(-1/2)`.
    narrowed: DVector<f64>,
    /// The optimum along `v`.
    at_optimum: DVector<f64>,
}

impl Map {
    fn new(optimum: &Optimum) -> Option<Map> {
        if optimum.slopes.is_empty() {
            let n = optimum.z.len();
            let none = DVector::zeros(0);
            let (v, su) = (DMatrix::zeros(n, 0), DMatrix::zeros(0, optimum.slopes.nrows()));
            return Some(Map {
                directions: Directions::new(&v, &su),
                v,
                su,
                narrowed: none.clone(),
                at_optimum: none,
            });
        }
        let svd = optimum.slopes.transpose().svd(true, true);
        let (Some(v), Some(u)) = (svd.u, svd.v_t) else { return None };
        let kept: Vec<usize> =
            (0..svd.singular_values.len()).filter(|&i| svd.singular_values[i] > LEAST_NARROWING).collect();
        let s = svd.singular_values.select_rows(&kept);
        let v = v.select_columns(&kept);
        let su = DMatrix::from_diagonal(&s) * u.select_rows(&kept);
        let at_optimum = v.tr_mul(&optimum.z);
        Some(Map {
            directions: Directions::new(&v, &su),
            v,
            su,
            narrowed: s.map(|s| 1.0 / (1.0 + s * s).sqrt()),
            at_optimum,
        })
    }

    /// The draw that `e` maps to and the logarithm of its weight.
    fn draw(
        &self,
        problem: &mut Problem<'_>,
        e: &DVector<f64>,
        rows: &mut Vec<Row>,
    ) -> Option<(DVector<f64>, f64)> {
        if self.v.ncols() == 0 {
            return Some((e.clone(), 0.0));
        }
        let along = self.v.tr_mul(e);
        let across = e - &self.v * &along;
        let mut a = &self.at_optimum + along.component_mul(&self.narrowed);
        let first = self.residuals(problem, &(&self.v * &a + &across), rows, false)?;
        let mut gap = self.gap(&a, &first, &along);
        let mut factor: Option<Factor> = None;
        for _ in 0..MOST_STEPS {
            self.secant(problem, (&along, &across), factor.as_ref(), (&mut a, &mut gap), rows);
            let z = &self.v * &a + &across;
            let residuals = self.residuals(problem, &z, rows, true)?;
            // Solved more closely than where derivatives were not asked for.
            gap = self.gap(&a, &residuals, &along);
            let lu = LU::new(self.directions.jacobian(problem, rows, self.narrowed.as_slice()));
            if gap.norm() < SOLVED {
                // Where the map is turned over it folds: another draw stands for the same place.
                if lu.determinant() < 0.0 {
                    return None;
                }
                let ln_det: f64 = lu.u().diagonal().iter().map(|d| math::ln(d.abs())).sum();
                let squares = a.norm_squared() + residuals.norm_squared();
                // What is left of the gap counts as part of the normal draw.
                let normal = (&along + &gap).norm_squared();
                return Some((z, 0.5 * (normal - squares) - ln_det));
            }
            let step = lu.solve(&gap)?;
            factor = Some(lu);
            let mut share = 1.0;
            loop {
                let trial = &a - &step * share;
                let tried = self.residuals(problem, &(&self.v * &trial + &across), rows, false);
                if let Some(trial_gap) = tried.map(|r| self.gap(&trial, &r, &along))
                    && trial_gap.norm() < gap.norm() * (1.0 - 0.1 * share)
                {
                    (a, gap) = (trial, trial_gap);
                    break;
                }
                share *= 0.4;
                if share < 1e-3 {
                    return None;
                }
            }
        }
        None
    }

    /// Steps towards the solution of a draw's equation without derivatives: Broyden's method from the
    /// last factor, or from the map's slope at the optimum, which is diagonal. Derivatives and their
    /// factor cost several times what the residuals do, and the weight needs them once, at the end.
    fn secant(
        &self,
        problem: &mut Problem<'_>,
        (along, across): (&DVector<f64>, &DVector<f64>),
        factor: Option<&Factor>,
        (a, gap): (&mut DVector<f64>, &mut DVector<f64>),
        rows: &mut Vec<Row>,
    ) {
        let mut secants: Vec<(DVector<f64>, DVector<f64>)> = Vec::with_capacity(MOST_SECANTS);
        let mut slow = 0;
        while secants.len() < MOST_SECANTS && gap.norm() >= SOLVED {
            let back = |gap: &DVector<f64>| {
                let mut step = match factor {
                    Some(lu) => lu.solve(gap)?,
                    None => gap.component_mul(&self.narrowed),
                };
                for (more, s) in &secants {
                    step.axpy(s.dot(&step), more, 1.0);
                }
                Some(step)
            };
            let Some(step) = back(gap).map(|s| -s) else { return };
            let trial = &*a + &step;
            let Some(r) = self.residuals(problem, &(&self.v * &trial + across), rows, false) else { return };
            let trial_gap = self.gap(&trial, &r, along);
            let expected = back(&(&trial_gap - &*gap));
            let left = trial_gap.norm() / gap.norm();
            slow += usize::from(left > SECANT_LEAVES);
            if left < 1.0 {
                (*a, *gap) = (trial, trial_gap);
            }
            if slow > MOST_SLOW {
                return;
            }
            let Some(expected) = expected else { return };
            let scale = step.dot(&expected);
            if scale.abs() <= 0.0 {
                return;
            }
            secants.push(((&step - expected) / scale, step));
        }
    }

    fn residuals(
        &self,
        problem: &mut Problem<'_>,
        z: &DVector<f64>,
        rows: &mut Vec<Row>,
        slopes: bool,
    ) -> Option<DVector<f64>> {
        let x = solve::raw(problem, z);
        match slopes {
            true => problem.rows(&x, true, rows).ok()?,
            false => problem.rows_within(ON_THE_WAY, &x, rows).ok()?,
        }
        Some(solve::residuals(rows))
    }

    fn gap(&self, a: &DVector<f64>, residuals: &DVector<f64>, wanted: &DVector<f64>) -> DVector<f64> {
        (a + &self.su * residuals).component_mul(&self.narrowed) - wanted
    }
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
