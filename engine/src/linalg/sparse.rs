//! The factor `L D L^T` of a sparse symmetric positive definite matrix whose graph stays.
//!
//! Order by minimum degree (Tinney and Walker 1967; ties to the lower index), then elimination
//! column by column along lists of places that are made once for a graph ([`Pattern`]): a house
//! is a tree of rooms with a few more doors, on which this order fills in next to nothing. The
//! numbers may stand in lanes, several matrices of one pattern side by side.
//! Not covered: indefinite or unsymmetric matrices. What can fail: [`NotPositive`].

use crate::math::lanes::{Lanes, Plain};
use std::collections::BTreeSet;

/// The matrix has no factor with positive pivots.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("pivot of unknown {unknown} is {pivot:e}")]
pub struct NotPositive {
    /// The unknown (in the caller's numbering) whose pivot is not positive.
    pub unknown: usize,
    /// The pivot found, in the matrix's unit.
    pub pivot: f64,
}

/// The symbolic part: order of the unknowns, places of the entries, and the path of elimination.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pattern {
    order: Vec<usize>,
    row_of: Vec<usize>,
    /// Where the entries below the diagonal of each column begin; one more at the end.
    start: Vec<usize>,
    /// Row of each of those entries, ascending within a column.
    rows: Vec<usize>,
    /// For each column, for each pair of its entries (later, earlier): the place of the entry that
    /// elimination changes.
    targets: Vec<usize>,
}

impl Pattern {
    /// Analyses the graph of `count` unknowns coupled by `edges` (unordered, double ones allowed;
    /// edges to themselves or to a node `>= count` are ignored).
    pub fn new(count: usize, edges: &[(usize, usize)]) -> Self {
        let mut near = vec![BTreeSet::new(); count];
        for &(a, b) in edges {
            if a != b && a < count && b < count {
                near[a].insert(b);
                near[b].insert(a);
            }
        }
        let (mut order, mut row_of) = (Vec::with_capacity(count), vec![usize::MAX; count]);
        let mut columns: Vec<BTreeSet<usize>> = Vec::with_capacity(count);
        for row in 0..count {
            let left = (0..count).filter(|&node| row_of[node] == usize::MAX);
            let Some(node) = left.min_by_key(|&node| near[node].len()) else { break };
            row_of[node] = row;
            order.push(node);
            let around = std::mem::take(&mut near[node]);
            for &a in &around {
                near[a].remove(&node);
                near[a].extend(around.iter().filter(|&&b| b != a));
            }
            columns.push(around);
        }
        let (mut start, mut rows) = (vec![0], Vec::new());
        for column in &columns {
            let mut in_rows: Vec<usize> = column.iter().map(|&node| row_of[node]).collect();
            in_rows.sort_unstable();
            rows.extend(in_rows);
            start.push(rows.len());
        }
        let mut pattern = Self { order, row_of, start, rows, targets: Vec::new() };
        let mut targets = Vec::new();
        for column in 0..count {
            let entries = &pattern.rows[pattern.start[column]..pattern.start[column + 1]];
            for (e, &later) in entries.iter().enumerate() {
                // Both are neighbours once the column is eliminated: the entry exists.
                targets.extend(entries[..e].iter().filter_map(|&earlier| pattern.place(later, earlier)));
            }
        }
        pattern.targets = targets;
        pattern
    }

    /// Number of unknowns.
    pub fn len(&self) -> usize {
        self.order.len()
    }

    /// Whether there is no unknown at all.
    pub fn is_empty(&self) -> bool {
        self.order.is_empty()
    }

    /// Number of stored entries: the diagonal by rows, then what is below it by columns.
    pub fn stored(&self) -> usize {
        self.order.len() + self.rows.len()
    }

    /// Where the entries below the diagonal of each column begin (one more at the end), the row of
    /// each, and for each column and each pair of its entries (later, earlier) the entry that
    /// elimination changes, counted from the first below the diagonal.
    pub(crate) fn below(&self) -> (&[usize], &[usize], impl Iterator<Item = usize>) {
        let count = self.order.len();
        (&self.start, &self.rows, self.targets.iter().map(move |target| target - count))
    }

    /// The row an unknown has in the factor's order.
    pub fn row_of(&self, unknown: usize) -> usize {
        self.row_of[unknown]
    }

    /// The unknown in each row.
    pub fn order(&self) -> &[usize] {
        &self.order
    }

    /// Place of the entry for two unknowns, if the pattern holds it. That of `(a, a)` is its row.
    pub fn slot(&self, a: usize, b: usize) -> Option<usize> {
        let (a, b) = (*self.row_of.get(a)?, *self.row_of.get(b)?);
        if a == b { Some(a) } else { self.place(a.max(b), a.min(b)) }
    }

    fn place(&self, row: usize, column: usize) -> Option<usize> {
        let (from, to) = (self.start[column], self.start[column + 1]);
        let found = self.rows[from..to].binary_search(&row).ok()?;
        Some(self.order.len() + from + found)
    }

    /// Replaces the entries (lanes side by side) by their factor and fills the inverse pivots; the
    /// right side `x` goes along half of the way, to be finished by [`back`](Self::back). The
    /// diagonal keeps the pivots: one that is not positive shows there, nothing stops for it.
    #[inline(always)]
    pub(crate) fn eliminate<L: Lanes>(
        &self,
        l: L,
        values: &mut [f64],
        inverse_pivot: &mut [f64],
        x: &mut [f64],
    ) {
        let x = &mut L::view_mut(x)[..self.order.len()];
        let count = self.order.len();
        let (diagonal, below) = L::view_mut(values).split_at_mut(count);
        let inverse_pivot = &mut L::view_mut(inverse_pivot)[..count];
        let mut targets = self.targets.iter();
        for column in 0..count {
            let inverse = l.div(l.splat(1.0), diagonal[column]);
            inverse_pivot[column] = inverse;
            let known = x[column];
            let (from, to) = (self.start[column], self.start[column + 1]);
            for e in from..to {
                let u = below[e];
                let factor = l.mul(u, inverse);
                for (earlier, &target) in (from..e).zip(targets.by_ref()) {
                    let change = l.mul(factor, below[earlier]);
                    below[target - count] = l.sub(below[target - count], change);
                }
                let row = self.rows[e];
                diagonal[row] = l.sub(diagonal[row], l.mul(factor, u));
                x[row] = l.sub(x[row], l.mul(factor, known));
            }
            for u in &mut below[from..to] {
                *u = l.mul(*u, inverse);
            }
        }
    }

    /// Solves in place (lanes side by side) for a right side in the factor's row order.
    #[inline(always)]
    pub(crate) fn solve_lanes<L: Lanes>(&self, l: L, values: &[f64], inverse_pivot: &[f64], x: &mut [f64]) {
        let count = self.order.len();
        let below = &L::view(values)[count..];
        {
            let x = &mut L::view_mut(x)[..count];
            for column in 0..count {
                let known = x[column];
                let (from, to) = (self.start[column], self.start[column + 1]);
                for (&row, &factor) in self.rows[from..to].iter().zip(&below[from..to]) {
                    x[row] = l.sub(x[row], l.mul(factor, known));
                }
            }
        }
        self.back(l, values, inverse_pivot, x);
    }

    /// The second half of a solution.
    #[inline(always)]
    pub(crate) fn back<L: Lanes>(&self, l: L, values: &[f64], inverse_pivot: &[f64], x: &mut [f64]) {
        let count = self.order.len();
        let below = &L::view(values)[count..];
        let inverse_pivot = &L::view(inverse_pivot)[..count];
        let x = &mut L::view_mut(x)[..count];
        for column in (0..count).rev() {
            let mut value = l.mul(x[column], inverse_pivot[column]);
            let (from, to) = (self.start[column], self.start[column + 1]);
            for (&row, &factor) in self.rows[from..to].iter().zip(&below[from..to]) {
                value = l.sub(value, l.mul(factor, x[row]));
            }
            x[column] = value;
        }
    }
}

/// The numeric part for one matrix: fill the values, factor, solve.
#[derive(Clone, Debug)]
pub struct Factor {
    values: Vec<f64>,
    inverse_pivot: Vec<f64>,
}

impl Factor {
    /// Room for the numbers of one matrix of this pattern.
    pub fn new(pattern: &Pattern) -> Self {
        Self { values: vec![0.0; pattern.stored()], inverse_pivot: vec![0.0; pattern.len()] }
    }

    /// The stored entries, addressed by [`Pattern::slot`]; after `factor` they hold `L` and `D`.
    pub fn values_mut(&mut self) -> &mut [f64] {
        &mut self.values
    }

    /// Replaces the entries by their factor.
    ///
    /// # Errors
    /// [`NotPositive`] at the first pivot that is not a positive finite number.
    pub fn factor(&mut self, pattern: &Pattern) -> Result<(), NotPositive> {
        let mut unused = vec![0.0; pattern.len()];
        pattern.eliminate(Plain, &mut self.values, &mut self.inverse_pivot, &mut unused);
        let pivots = self.values.iter().zip(&pattern.order);
        match pivots.into_iter().find(|(pivot, _)| !(**pivot > 0.0 && pivot.is_finite())) {
            Some((&pivot, &unknown)) => Err(NotPositive { unknown, pivot }),
            None => Ok(()),
        }
    }

    /// Solves `A x = b` with both in the caller's numbering.
    pub fn solve(&self, pattern: &Pattern, b: &[f64]) -> Vec<f64> {
        let mut rows: Vec<f64> = pattern.order.iter().map(|&unknown| b[unknown]).collect();
        pattern.solve_lanes(Plain, &self.values, &self.inverse_pivot, &mut rows);
        pattern.row_of.iter().map(|&row| rows[row]).collect()
    }

    /// Natural logarithm of the determinant of the factored matrix.
    pub fn log_det(&self) -> f64 {
        self.values[..self.inverse_pivot.len()].iter().map(|&d| crate::math::ln(d)).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{DMatrix, DVector};
    use rand::{Rng, RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    /// A house-like graph: a tree with some more edges; conductances over four decades.
    fn random_case(rng: &mut impl Rng, count: usize) -> (Vec<(usize, usize)>, DMatrix<f64>) {
        let mut edges: Vec<(usize, usize)> = (1..count).map(|i| (rng.random_range(0..i), i)).collect();
        for _ in 0..count {
            edges.push((rng.random_range(0..count), rng.random_range(0..count)));
        }
        let mut a = DMatrix::zeros(count, count);
        for &(i, j) in &edges {
            let g = crate::math::pow(10.0, rng.random_range(-2.0..2.0));
            if i != j {
                a[(i, j)] -= g;
                a[(j, i)] -= g;
                a[(i, i)] += g;
                a[(j, j)] += g;
            }
        }
        for i in 0..count {
            a[(i, i)] += rng.random_range(0.01..1.0);
        }
        (edges, a)
    }

    fn filled(pattern: &Pattern, a: &DMatrix<f64>) -> Factor {
        let mut factor = Factor::new(pattern);
        for i in 0..a.nrows() {
            for j in 0..=i {
                match pattern.slot(i, j) {
                    Some(slot) => factor.values_mut()[slot] = a[(i, j)],
                    None => assert!(a[(i, j)] == 0.0, "({i}, {j}) left out"),
                }
            }
        }
        factor
    }

    #[test]
    fn agrees_with_dense_cholesky() {
        let mut rng = ChaCha8Rng::seed_from_u64(11);
        for count in [1, 2, 3, 7, 12, 30, 80] {
            let (edges, a) = random_case(&mut rng, count);
            let pattern = Pattern::new(count, &edges);
            let mut factor = filled(&pattern, &a);
            factor.factor(&pattern).unwrap();
            let b = DVector::from_fn(count, |_, _| rng.random_range(-1.0..1.0));
            let dense = a.clone().cholesky().unwrap();
            let wanted = dense.solve(&b);
            let found = DVector::from_vec(factor.solve(&pattern, b.as_slice()));
            let error = (&found - &wanted).amax() / wanted.amax();
            assert!(error < 1e-11, "{count}: {error:e}");
            let log_det = 2.0 * dense.l().diagonal().iter().map(|&d| crate::math::ln(d)).sum::<f64>();
            assert!((factor.log_det() - log_det).abs() < 1e-10 * (1.0 + log_det.abs()));
        }
    }

    #[test]
    fn a_singular_matrix_names_the_unknown() {
        let pattern = Pattern::new(3, &[(0, 1)]);
        let mut factor = Factor::new(&pattern);
        for (i, j, value) in [(0, 0, 1.0), (1, 0, -1.0), (1, 1, 1.0), (2, 2, 5.0)] {
            factor.values_mut()[pattern.slot(i, j).unwrap()] = value;
        }
        let error = factor.factor(&pattern).unwrap_err();
        assert!(error.unknown < 2 && error.pivot <= 0.0, "{error}");
    }
}
