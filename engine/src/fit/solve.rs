//! The most probable house: Levenberg-Marquardt on readings and priors together.
//!
//! Unknowns are taken in units of their prior sd from their prior mean (`z`), so the priors' rows
//! are the identity and the readings' rows a matrix `A` with few rows and many columns. Every system
//! to solve is then as small as the number of readings: a step minimises
//! `|z + d|^2 + lambda |d|^2 + |r + A d|^2`, which with `mu = 1 + lambda` is
//! `d = -z / mu - A' (mu I + A A')^-1 (r - A z / mu)`.

use super::problem::{FitError, Problem, Row};
use nalgebra::{Cholesky, DMatrix, DVector, Dyn};
use std::ops::ControlFlow;

/// Most iterations; a house with 60 readings needs about ten.
const MOST_ITERATIONS: usize = 60;
/// The step is small enough when no unknown moves more than this share of its prior sd.
const SMALL_STEP: f64 = 1e-6;
/// ... or when the sum of squares, which is of the order of the number of readings, falls by no more
/// than this. Where air hardly moves (no fan, little wind) the readings bend strongly and the steps
/// shrink slowly around an optimum that is long found.
const SMALL_GAIN: f64 = 1e-7;

/// The optimum.
#[derive(Clone, Debug)]
pub struct Optimum {
    /// The unknowns.
    pub x: Vec<f64>,
    /// The unknowns in units of their prior sd from their prior mean.
    pub z: DVector<f64>,
    /// Sum of squares of readings and priors: minus twice the log posterior, up to a constant.
    pub squares: f64,
    /// Sum of squares of the readings alone.
    pub reading_squares: f64,
    /// Rows of the readings at the optimum, with derivatives.
    pub rows: Vec<Row>,
    /// Derivatives of the readings' residuals by `z`, one row a reading.
    pub slopes: DMatrix<f64>,
    /// Factor of `I + A A'`: what the readings' residuals were expected to spread before the fit.
    pub spread: Cholesky<f64, Dyn>,
    /// Iterations done.
    pub iterations: usize,
}

/// Finds the optimum. `progress` is called once an iteration.
///
/// # Errors
/// [`FitError`].
pub fn optimum(
    problem: &mut Problem<'_>,
    progress: &mut dyn FnMut(usize) -> ControlFlow<()>,
) -> Result<Optimum, FitError> {
    let x = problem.start();
    optimum_from(problem, x, progress)
}

/// The same from a start of one's own.
///
/// # Errors
/// [`FitError`].
pub fn optimum_from(
    problem: &mut Problem<'_>,
    mut x: Vec<f64>,
    progress: &mut dyn FnMut(usize) -> ControlFlow<()>,
) -> Result<Optimum, FitError> {
    let mut z = whitened(problem, &x);
    let mut rows = Vec::new();
    problem.rows(&x, true, &mut rows)?;
    let mut squares = sum(&rows) + z.norm_squared();
    let mut slopes = slopes_by_z(problem, &rows);
    let mut damping = 1e-3;
    let mut trial_rows = Vec::new();
    let mut iterations = 0;
    loop {
        if progress(iterations).is_break() {
            return Err(FitError::Stopped);
        }
        let residuals = residuals(&rows);
        let gram = &slopes * slopes.transpose();
        let along = &slopes * &z;
        let mut moved = false;
        let mut small = false;
        for _ in 0..12 {
            let mu = 1.0 + damping;
            let mut damped = gram.clone();
            add_to_diagonal(&mut damped, mu);
            let Some(factor) = Cholesky::new(damped) else {
                return Err(FitError::Singular { iterations });
            };
            let step = -(slopes.tr_mul(&factor.solve(&(&residuals - &along / mu))) + &z / mu);
            small = step.iter().all(|s| s.abs() <= SMALL_STEP);
            let trial_z = &z + &step;
            let trial = raw(problem, &trial_z);
            let trial_squares = match problem.rows(&trial, true, &mut trial_rows) {
                Ok(()) => sum(&trial_rows) + trial_z.norm_squared(),
                Err(_) => f64::INFINITY,
            };
            if trial_squares <= squares {
                small |= squares - trial_squares <= SMALL_GAIN;
                x = trial;
                z = trial_z;
                std::mem::swap(&mut rows, &mut trial_rows);
                slopes = slopes_by_z(problem, &rows);
                squares = trial_squares;
                damping *= 0.2;
                moved = true;
                break;
            }
            if small {
                break;
            }
            damping = if damping < 1e-8 { 1e-4 } else { damping * 6.0 };
        }
        iterations += 1;
        if !moved || small || iterations >= MOST_ITERATIONS {
            break;
        }
    }
    let mut gram = &slopes * slopes.transpose();
    add_to_diagonal(&mut gram, 1.0);
    let spread = Cholesky::new(gram).ok_or(FitError::Singular { iterations })?;
    Ok(Optimum { reading_squares: sum(&rows), x, z, squares, rows, slopes, spread, iterations })
}

/// The unknowns in units of their prior sd from their prior mean.
fn whitened(problem: &Problem<'_>, x: &[f64]) -> DVector<f64> {
    DVector::from_fn(problem.len(), |i, _| {
        let (mean, sd) = problem.prior(i);
        (x[i] - mean) / sd
    })
}

/// The unknowns of a whitened vector.
pub(super) fn raw(problem: &Problem<'_>, z: &DVector<f64>) -> Vec<f64> {
    z.iter()
        .enumerate()
        .map(|(i, z)| {
            let (mean, sd) = problem.prior(i);
            mean + sd * z
        })
        .collect()
}

/// Logarithm of the determinant of a factored matrix.
pub(super) fn ln_det(factor: &Cholesky<f64, Dyn>) -> f64 {
    2.0 * factor.l_dirty().diagonal().iter().map(|d| crate::math::ln(*d)).sum::<f64>()
}

/// The readings' residuals as a vector.
pub(super) fn residuals(rows: &[Row]) -> DVector<f64> {
    DVector::from_iterator(rows.len(), rows.iter().map(|r| r.residual))
}

/// The readings' derivatives by the whitened unknowns.
fn slopes_by_z(problem: &Problem<'_>, rows: &[Row]) -> DMatrix<f64> {
    DMatrix::from_fn(rows.len(), problem.len(), |r, i| rows[r].slope[i] * problem.prior(i).1)
}

fn add_to_diagonal(matrix: &mut DMatrix<f64>, value: f64) {
    for i in 0..matrix.nrows() {
        matrix[(i, i)] += value;
    }
}

fn sum(rows: &[Row]) -> f64 {
    rows.iter().map(|r| r.residual * r.residual).sum()
}
