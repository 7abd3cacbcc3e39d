//! Derivatives of the map of [`super::draws`] along its directions, several numbers at a time.
//!
//! `J = (1 + S^2)^(-1/2) (1 + S U' R V)` with `R` the readings' slopes by the whitened unknowns. A
//! reading touches its own station's unknowns and the house's: most slopes are zero. Each sum is
//! taken in the order of the readings at every level of the processor, so that its bits are the same.

use super::problem::{Problem, Row};
use crate::math::lanes::{Lanes, Level, Task, dispatch};
use nalgebra::DMatrix;

/// Columns are padded to whole vectors of the widest level.
const WIDEST: usize = 8;

/// The directions of the map, laid out for the products.
pub(super) struct Directions {
    count: usize,
    /// Length of a padded column.
    wide: usize,
    /// For each unknown its share in every direction.
    v: Vec<f64>,
    /// For each reading a column of `S U'`.
    su: Vec<f64>,
    level: Level,
}

impl Directions {
    /// `v` has one column a direction, `su` one a reading.
    pub(super) fn new(v: &DMatrix<f64>, su: &DMatrix<f64>) -> Directions {
        let count = v.ncols();
        let wide = count.next_multiple_of(WIDEST);
        let mut by_unknown = vec![0.0; v.nrows() * wide];
        for (unknown, to) in by_unknown.chunks_exact_mut(wide.max(1)).enumerate() {
            for (direction, to) in to.iter_mut().take(count).enumerate() {
                *to = v[(unknown, direction)];
            }
        }
        let mut by_reading = vec![0.0; su.ncols() * wide];
        for (reading, to) in by_reading.chunks_exact_mut(wide.max(1)).enumerate() {
            for (direction, to) in to.iter_mut().take(count).enumerate() {
                *to = su[(direction, reading)];
            }
        }
        Directions { count, wide, v: by_unknown, su: by_reading, level: Level::best() }
    }

    /// The matrix; `narrowed` is the factor of each of its rows.
    pub(super) fn jacobian(&self, problem: &Problem<'_>, rows: &[Row], narrowed: &[f64]) -> DMatrix<f64> {
        let mut along = vec![0.0; rows.len() * self.wide];
        let mut columns = vec![0.0; self.count * self.wide];
        dispatch(self.level, Products { of: self, problem, rows, along: &mut along, columns: &mut columns });
        DMatrix::from_fn(self.count, self.count, |r, c| columns[c * self.wide + r] * narrowed[r])
    }
}

struct Products<'a, 'h> {
    of: &'a Directions,
    problem: &'a Problem<'h>,
    rows: &'a [Row],
    /// Of each reading: its derivatives by every direction.
    along: &'a mut [f64],
    columns: &'a mut [f64],
}

impl Task for Products<'_, '_> {
    type Output = ();
    #[inline(always)]
    fn run<L: Lanes>(self, l: L) {
        let Self { of, problem, rows, along, columns } = self;
        if of.count == 0 {
            return;
        }
        for (row, along) in rows.iter().zip(along.chunks_exact_mut(of.wide)) {
            for (unknown, slope) in row.slope.iter().enumerate().filter(|(_, s)| s.abs() > 0.0) {
                let v = &of.v[unknown * of.wide..][..of.wide];
                add_scaled(l, slope * problem.prior(unknown).1, v, along);
            }
        }
        for (at, column) in columns.chunks_exact_mut(of.wide).enumerate() {
            column[at] = 1.0;
            for (su, along) in of.su.chunks_exact(of.wide).zip(along.chunks_exact(of.wide)) {
                add_scaled(l, along[at], su, column);
            }
        }
    }
}

/// Adds `scale` times `x` to `sum`; their length is a multiple of every level's width.
#[inline(always)]
fn add_scaled<L: Lanes>(l: L, scale: f64, x: &[f64], sum: &mut [f64]) {
    let scale = l.splat(scale);
    for (sum, x) in L::view_mut(sum).iter_mut().zip(L::view(x)) {
        *sum = l.add(*sum, l.mul(scale, *x));
    }
}
