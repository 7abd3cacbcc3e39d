//! The most probable house: Levenberg-Marquardt on readings and priors together.
//!
//! Unknowns are taken in units of their prior sd from their prior mean (`z`), so the priors' rows
//! are the identity and the readings' rows a matrix `A` with few rows and many columns. Every system
//! to solve is then as small as the number of readings: a step minimises
//! `|z + d|^2 + lambda |d|^2 + |r + A d|^2`, which with `mu = 1 + lambda` is
//! `d = -z / mu - A' (mu I + A A')^-1 (r - A z / mu)`.
//!
//! Where there are no more unknowns than readings, or unknowns without a prior, the same step is
//! taken by orthogonal factors of `A` with the damping below it (More 1978, with his scaling), which
//! needs no prior. Houses never come there; the published test problems of `validate` do.

use super::problem::{FitError, Problem, Row};
use nalgebra::{Cholesky, DMatrix, DVector, Dyn};
use std::ops::ControlFlow;

/// A sum of squares that must come below a bound is given up where the last steps, so many ...
const HOPE_STEPS: usize = 4;
/// ... taken so many times more would not reach it.
const HOPE: f64 = 10.0;
/// The same where a search that matters starts near its end.
const LITTLE_HOPE: (usize, f64) = (2, 3.0);

/// Residuals that the solver makes small.
pub trait LeastSquares {
    /// Number of unknowns.
    fn count(&self) -> usize;

    /// Mean and sd of an unknown's prior; where there is none a start and a scale.
    fn prior(&self, unknown: usize) -> (f64, f64);

    /// Whether the unknowns have a prior.
    fn has_prior(&self) -> bool {
        true
    }

    /// Residuals of all readings at `x`; with derivatives where `slopes` is set.
    ///
    /// # Errors
    /// [`FitError`] where the model has no answer there.
    fn rows(&mut self, x: &[f64], slopes: bool, rows: &mut Vec<Row>) -> Result<(), FitError>;
}

impl LeastSquares for Problem<'_> {
    fn count(&self) -> usize {
        self.len()
    }

    fn prior(&self, unknown: usize) -> (f64, f64) {
        Problem::prior(self, unknown)
    }

    fn rows(&mut self, x: &[f64], slopes: bool, rows: &mut Vec<Row>) -> Result<(), FitError> {
        Problem::rows(self, x, slopes, rows)
    }
}

/// When to stop.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stop {
    /// Most iterations; a house with 60 readings needs about ten, along a bent valley a hundred.
    pub most_iterations: usize,
    /// Most times that a step is damped further before the search ends.
    pub most_dampings: usize,
    /// The step is small enough when no unknown moves more than this share of its prior sd.
    pub small_step: f64,
    /// ... or when the sum of squares, which is of the order of the number of readings, falls by no
    /// more than this. Where air hardly moves (no fan, little wind) the readings bend strongly and the
    /// steps shrink slowly around an optimum that is long found.
    pub small_gain: f64,
}

impl Default for Stop {
    fn default() -> Stop {
        Stop { most_iterations: 200, most_dampings: 20, small_step: 1e-6, small_gain: 1e-7 }
    }
}

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
    x: Vec<f64>,
    progress: &mut dyn FnMut(usize) -> ControlFlow<()>,
) -> Result<Optimum, FitError> {
    least_squares(problem, x, Stop::default(), progress)
}

/// As [`optimum_from`], for an account of the readings that matters only where the sum of squares comes
/// below `needed`: where it falls too slowly for that, the search ends early and what it has come to is
/// handed on.
///
/// A wrong account of the readings has its optimum at the end of a long bent valley, and most of the
/// steps of a search are taken there.
///
/// # Errors
/// [`FitError`].
pub(super) fn optimum_below(
    problem: &mut Problem<'_>,
    x: Vec<f64>,
    needed: f64,
) -> Result<Optimum, FitError> {
    let below = Below { needed, steps: HOPE_STEPS, hope: HOPE };
    search(problem, x, Stop::default(), below, &mut |_| ControlFlow::Continue(()))
}

/// As [`optimum_below`], given up sooner: where the sum of squares is either soon below the bound or
/// never.
///
/// # Errors
/// [`FitError`].
pub(super) fn optimum_soon_below(
    problem: &mut Problem<'_>,
    x: Vec<f64>,
    needed: f64,
) -> Result<Optimum, FitError> {
    let (steps, hope) = LITTLE_HOPE;
    let below = Below { needed, steps, hope };
    search(problem, x, Stop::default(), below, &mut |_| ControlFlow::Continue(()))
}

/// A bound that a sum of squares must come below, and when it is given up.
#[derive(Clone, Copy)]
struct Below {
    needed: f64,
    /// Steps looked back at, at most [`HOPE_STEPS`].
    steps: usize,
    hope: f64,
}

/// Finds the least sum of squares of any problem.
///
/// # Errors
/// [`FitError`].
pub fn least_squares<P: LeastSquares>(
    problem: &mut P,
    x: Vec<f64>,
    stop: Stop,
    progress: &mut dyn FnMut(usize) -> ControlFlow<()>,
) -> Result<Optimum, FitError> {
    let below = Below { needed: f64::INFINITY, steps: HOPE_STEPS, hope: HOPE };
    search(problem, x, stop, below, progress)
}

fn search<P: LeastSquares>(
    problem: &mut P,
    mut x: Vec<f64>,
    stop: Stop,
    below: Below,
    progress: &mut dyn FnMut(usize) -> ControlFlow<()>,
) -> Result<Optimum, FitError> {
    let weight = f64::from(u8::from(problem.has_prior()));
    let mut z = whitened(problem, &x);
    let mut rows = Vec::new();
    problem.rows(&x, true, &mut rows)?;
    let mut squares = sum(&rows) + weight * z.norm_squared();
    let mut slopes = slopes_by_z(problem, &rows);
    let tall = !problem.has_prior() || problem.count() <= rows.len();
    let mut scale = DVector::zeros(z.len());
    let mut damping = 1e-3;
    let mut trial_rows = Vec::new();
    let mut iterations = 0;
    // Sums of squares of the last iterations, the oldest first.
    let mut past = [f64::INFINITY; HOPE_STEPS];
    loop {
        if progress(iterations).is_break() {
            return Err(FitError::Stopped);
        }
        let residuals = residuals(&rows);
        let wide = (!tall).then(|| (&slopes * slopes.transpose(), &slopes * &z));
        for (s, column) in scale.iter_mut().zip(slopes.column_iter()).filter(|_| tall) {
            let length = (column.norm_squared() + weight).sqrt();
            *s = if length > *s { length } else { *s };
        }
        let mut moved = false;
        let mut small = false;
        for _ in 0..stop.most_dampings {
            let step = match &wide {
                Some((gram, along)) => {
                    let mu = 1.0 + damping;
                    let mut damped = gram.clone();
                    add_to_diagonal(&mut damped, mu);
                    Cholesky::new(damped)
                        .map(|factor| -(slopes.tr_mul(&factor.solve(&(&residuals - along / mu))) + &z / mu))
                }
                None => tall_step(&slopes, &residuals, &(&z * weight), weight, &scale, damping),
            };
            let Some(step) = step else { return Err(FitError::Singular { iterations }) };
            small = step.iter().all(|s| s.abs() <= stop.small_step);
            let trial_z = &z + &step;
            let trial = raw(problem, &trial_z);
            let trial_squares = match problem.rows(&trial, true, &mut trial_rows) {
                Ok(()) => sum(&trial_rows) + weight * trial_z.norm_squared(),
                Err(_) => f64::INFINITY,
            };
            if trial_squares <= squares {
                small |= squares - trial_squares <= stop.small_gain;
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
        let hopeless = squares - below.needed > below.hope * (past[HOPE_STEPS - below.steps] - squares);
        past.rotate_left(1);
        past[HOPE_STEPS - 1] = squares;
        if !moved || small || hopeless || iterations >= stop.most_iterations {
            break;
        }
    }
    let mut gram = &slopes * slopes.transpose();
    add_to_diagonal(&mut gram, 1.0);
    let spread = Cholesky::new(gram).ok_or(FitError::Singular { iterations })?;
    Ok(Optimum { reading_squares: sum(&rows), x, z, squares, rows, slopes, spread, iterations })
}

/// The step that minimises `|r + A d|^2 + weight |z + d|^2 + damping |D d|^2`, by orthogonal factors.
fn tall_step(
    slopes: &DMatrix<f64>,
    residuals: &DVector<f64>,
    pull: &DVector<f64>,
    weight: f64,
    scale: &DVector<f64>,
    damping: f64,
) -> Option<DVector<f64>> {
    let (m, n) = slopes.shape();
    let mut stacked = DMatrix::zeros(m + n, n);
    stacked.rows_mut(0, m).copy_from(slopes);
    let mut right = DVector::zeros(m + n);
    right.rows_mut(0, m).copy_from(&-residuals);
    for i in 0..n {
        let below = (weight + damping * scale[i] * scale[i]).sqrt();
        stacked[(m + i, i)] = below;
        right[m + i] = if below > 0.0 { -pull[i] / below } else { 0.0 };
    }
    let qr = stacked.qr();
    qr.r().solve_upper_triangular(&qr.q().tr_mul(&right))
}

/// Covariance of the unknowns as the straight model at the optimum has it, residuals in standard
/// deviations: `(A'A + I)^-1`, without the `I` where the unknowns have no prior. Nothing where they
/// are not determined.
pub fn covariance<P: LeastSquares>(problem: &P, optimum: &Optimum) -> Option<DMatrix<f64>> {
    let n = problem.count();
    let sd = DVector::from_fn(n, |i, _| problem.prior(i).1);
    let z = if problem.has_prior() {
        let removed = optimum.slopes.tr_mul(&optimum.spread.solve(&optimum.slopes));
        DMatrix::identity(n, n) - removed
    } else {
        // Columns of length one first: what is left of their condition is the problem's own.
        let length = DVector::from_fn(n, |i, _| optimum.slopes.column(i).norm());
        let unit = DMatrix::from_fn(optimum.slopes.nrows(), n, |r, i| optimum.slopes[(r, i)] / length[i]);
        let inverse = unit.qr().r().solve_upper_triangular(&DMatrix::identity(n, n))?;
        let whole = &inverse * inverse.transpose();
        DMatrix::from_fn(n, n, |i, j| whole[(i, j)] / (length[i] * length[j]))
    };
    Some(DMatrix::from_fn(n, n, |i, j| z[(i, j)] * sd[i] * sd[j]))
}

/// The unknowns in units of their prior sd from their prior mean.
fn whitened<P: LeastSquares>(problem: &P, x: &[f64]) -> DVector<f64> {
    DVector::from_fn(problem.count(), |i, _| {
        let (mean, sd) = problem.prior(i);
        (x[i] - mean) / sd
    })
}

/// The unknowns of a whitened vector.
pub(super) fn raw<P: LeastSquares>(problem: &P, z: &DVector<f64>) -> Vec<f64> {
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
fn slopes_by_z<P: LeastSquares>(problem: &P, rows: &[Row]) -> DMatrix<f64> {
    DMatrix::from_fn(rows.len(), problem.count(), |r, i| rows[r].slope[i] * problem.prior(i).1)
}

fn add_to_diagonal(matrix: &mut DMatrix<f64>, value: f64) {
    for i in 0..matrix.nrows() {
        matrix[(i, i)] += value;
    }
}

fn sum(rows: &[Row]) -> f64 {
    rows.iter().map(|r| r.residual * r.residual).sum()
}
