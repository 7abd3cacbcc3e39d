//! The most probable house: Levenberg-Marquardt on readings and priors together, then the
//! information matrix there.

use super::problem::{FitError, Problem, Row};
use nalgebra::{Cholesky, DMatrix, DVector, Dyn};
use std::ops::ControlFlow;

/// Most iterations; a house with 60 readings needs about ten.
const MOST_ITERATIONS: usize = 60;
/// The step is small enough when no unknown moves more than this share of its prior sd.
const SMALL_STEP: f64 = 1e-6;

/// The optimum.
#[derive(Clone, Debug)]
pub struct Optimum {
    /// The unknowns.
    pub x: Vec<f64>,
    /// Sum of squares of readings and priors: minus twice the log posterior, up to a constant.
    pub squares: f64,
    /// Sum of squares of the readings alone.
    pub reading_squares: f64,
    /// Rows of the readings at the optimum, with derivatives.
    pub rows: Vec<Row>,
    /// Factor of the information matrix (readings and priors).
    pub factor: Cholesky<f64, Dyn>,
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
    let n = problem.len();
    let mut x = problem.start();
    let mut rows = Vec::new();
    problem.rows(&x, true, &mut rows)?;
    let mut squares = sum(&rows) + problem.prior_squares(&x);
    let mut damping = 1e-3;
    let mut trial_rows = Vec::new();
    let mut iterations = 0;
    loop {
        if progress(iterations).is_break() {
            return Err(FitError::Stopped);
        }
        let (information, gradient) = normal_equations(problem, &x, &rows);
        let mut moved = false;
        let mut small = false;
        for _ in 0..12 {
            let mut damped = information.clone();
            for i in 0..n {
                damped[(i, i)] *= 1.0 + damping;
            }
            let Some(factor) = Cholesky::new(damped) else {
                damping *= 10.0;
                continue;
            };
            let step = factor.solve(&gradient);
            let trial: Vec<f64> = x.iter().zip(step.iter()).map(|(x, s)| x - s).collect();
            small = step.iter().enumerate().all(|(i, s)| s.abs() <= SMALL_STEP * problem.prior(i).1);
            let tried = problem.rows(&trial, true, &mut trial_rows);
            let trial_squares = match tried {
                Ok(()) => sum(&trial_rows) + problem.prior_squares(&trial),
                Err(_) => f64::INFINITY,
            };
            if trial_squares <= squares {
                x = trial;
                std::mem::swap(&mut rows, &mut trial_rows);
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
    let (information, _) = normal_equations(problem, &x, &rows);
    let factor = Cholesky::new(information).ok_or(FitError::Singular { iterations })?;
    Ok(Optimum { reading_squares: sum(&rows), x, squares, rows, factor, iterations })
}

fn sum(rows: &[Row]) -> f64 {
    rows.iter().map(|r| r.residual * r.residual).sum()
}

fn normal_equations(problem: &Problem<'_>, x: &[f64], rows: &[Row]) -> (DMatrix<f64>, DVector<f64>) {
    let n = problem.len();
    let mut information = DMatrix::zeros(n, n);
    let mut gradient = DVector::zeros(n);
    for i in 0..n {
        let (mean, sd) = problem.prior(i);
        information[(i, i)] = 1.0 / (sd * sd);
        gradient[i] = (x[i] - mean) / (sd * sd);
    }
    for row in rows {
        // A reading touches a few tens of the unknowns: its own station's and the house's.
        let touched: Vec<usize> =
            row.slope.iter().enumerate().filter(|(_, s)| s.abs() > 0.0).map(|(i, _)| i).collect();
        for &i in &touched {
            gradient[i] += row.slope[i] * row.residual;
            for &j in &touched {
                information[(i, j)] += row.slope[i] * row.slope[j];
            }
        }
    }
    (information, gradient)
}
