//! Profile storage and the factor `L D L^T` of a symmetric positive definite matrix.
//!
//! Row `i` of the lower triangle is stored from its first column that is not zero up to the
//! diagonal. Fill stays inside that profile, and every inner loop is a dot product of two
//! consecutive pieces of memory (George and Liu 1981, section 4.2).

use super::order::reverse_cuthill_mckee;

/// The matrix has no factor with positive pivots.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
#[error("pivot of unknown {unknown} is {pivot:e}")]
pub struct NotPositive {
    /// The unknown (in the caller's numbering) whose pivot is not positive.
    pub unknown: usize,
    /// The pivot found, in the matrix's unit.
    pub pivot: f64,
}

/// The symbolic part: order of the unknowns and shape of the profile. Made once for a graph.
#[derive(Clone, Debug)]
pub struct Profile {
    order: Vec<usize>,
    row_of: Vec<usize>,
    first: Vec<usize>,
    /// Where column 0 of a row would lie: entry (i, j) is at `origin[i] + j` (wrapping).
    origin: Vec<usize>,
    stored: usize,
}

impl Profile {
    /// Analyses the graph of `count` unknowns coupled by `edges` (unordered, double ones allowed).
    pub fn new(count: usize, edges: &[(usize, usize)]) -> Self {
        let order = reverse_cuthill_mckee(count, edges);
        let mut row_of = vec![0; count];
        for (row, &unknown) in order.iter().enumerate() {
            row_of[unknown] = row;
        }
        let mut first: Vec<usize> = (0..count).collect();
        for &(a, b) in edges {
            if a < count && b < count {
                let (low, high) = sorted(row_of[a], row_of[b]);
                first[high] = first[high].min(low);
            }
        }
        let mut origin = Vec::with_capacity(count);
        let mut stored = 0_usize;
        for (row, &column) in first.iter().enumerate() {
            origin.push(stored.wrapping_sub(column));
            stored += row + 1 - column;
        }
        Self {
            order,
            row_of,
            first,
            origin,
            stored,
        }
    }

    /// Number of unknowns.
    pub fn len(&self) -> usize {
        self.order.len()
    }

    /// Whether there is no unknown at all.
    pub fn is_empty(&self) -> bool {
        self.order.is_empty()
    }

    /// Number of stored entries of the lower triangle.
    pub fn stored(&self) -> usize {
        self.stored
    }

    /// The row an unknown has in the factor's order.
    pub fn row_of(&self, unknown: usize) -> usize {
        self.row_of[unknown]
    }

    /// The unknown in each row.
    pub fn order(&self) -> &[usize] {
        &self.order
    }

    /// Place in [`Ldlt::values_mut`] of the entry for two unknowns, if the profile holds it.
    pub fn slot(&self, a: usize, b: usize) -> Option<usize> {
        let (low, high) = sorted(*self.row_of.get(a)?, *self.row_of.get(b)?);
        (low >= self.first[high]).then(|| self.origin[high].wrapping_add(low))
    }
}

fn sorted(a: usize, b: usize) -> (usize, usize) {
    if a <= b { (a, b) } else { (b, a) }
}

/// The numeric part: fill [`values_mut`](Self::values_mut), [`factor`](Self::factor), then solve.
#[derive(Clone, Debug)]
pub struct Ldlt {
    values: Vec<f64>,
    pivot: Vec<f64>,
    inverse_pivot: Vec<f64>,
}

impl Ldlt {
    /// Room for the numbers of one matrix of this shape.
    pub fn new(profile: &Profile) -> Self {
        Self {
            values: vec![0.0; profile.stored()],
            pivot: vec![0.0; profile.len()],
            inverse_pivot: vec![0.0; profile.len()],
        }
    }

    /// The stored entries, addressed by [`Profile::slot`]; after `factor` they hold `L`.
    pub fn values_mut(&mut self) -> &mut [f64] {
        &mut self.values
    }

    /// Replaces the entries by their factor.
    ///
    /// # Errors
    /// [`NotPositive`] at the first pivot that is not a positive finite number.
    pub fn factor(&mut self, profile: &Profile) -> Result<(), NotPositive> {
        for i in 0..profile.len() {
            let first_i = profile.first[i];
            let origin_i = profile.origin[i];
            let start = origin_i.wrapping_add(first_i);
            // Everything above row i is final, row i is worked on: two pieces that do not overlap.
            let (above, row) = self.values.split_at_mut(start);
            for j in first_i..i {
                let first_j = profile.first[j];
                let from = if first_i > first_j { first_i } else { first_j };
                if from < j {
                    let origin_j = profile.origin[j];
                    let l = &above[origin_j.wrapping_add(from)..origin_j.wrapping_add(j)];
                    let u = &row[from - first_i..j - first_i];
                    row[j - first_i] -= dot(l, u);
                }
            }
            let last = i - first_i;
            let mut pivot = row[last];
            for (value, inverse) in row[..last].iter_mut().zip(&self.inverse_pivot[first_i..i]) {
                let u = *value;
                *value = u * inverse;
                pivot -= u * *value;
            }
            if !(pivot > 0.0 && pivot.is_finite()) {
                return Err(NotPositive {
                    unknown: profile.order[i],
                    pivot,
                });
            }
            self.pivot[i] = pivot;
            self.inverse_pivot[i] = 1.0 / pivot;
        }
        Ok(())
    }

    /// Solves in place for a right side already in the factor's row order.
    pub fn solve_rows(&self, profile: &Profile, x: &mut [f64]) {
        let count = profile.len();
        for i in 0..count {
            let first = profile.first[i];
            let origin = profile.origin[i];
            let l = &self.values[origin.wrapping_add(first)..origin.wrapping_add(i)];
            x[i] -= dot(l, &x[first..i]);
        }
        for (value, inverse) in x.iter_mut().zip(&self.inverse_pivot) {
            *value *= inverse;
        }
        for i in (0..count).rev() {
            let first = profile.first[i];
            let origin = profile.origin[i];
            let l = &self.values[origin.wrapping_add(first)..origin.wrapping_add(i)];
            let (before, rest) = x.split_at_mut(i);
            let xi = rest[0];
            for (value, l) in before[first..].iter_mut().zip(l) {
                *value -= l * xi;
            }
        }
    }

    /// Solves `A x = b` with both in the caller's numbering.
    pub fn solve(&self, profile: &Profile, b: &[f64]) -> Vec<f64> {
        let mut rows: Vec<f64> = profile.order.iter().map(|&unknown| b[unknown]).collect();
        self.solve_rows(profile, &mut rows);
        profile.row_of.iter().map(|&row| rows[row]).collect()
    }

    /// Natural logarithm of the determinant of the factored matrix.
    pub fn log_det(&self) -> f64 {
        self.pivot.iter().map(|&d| crate::math::ln(d)).sum()
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{DMatrix, DVector};
    use rand::{Rng, RngExt, SeedableRng};
    use rand_chacha::ChaCha8Rng;

    /// A house-like graph: a tree with some more edges; conductances over four decades.
    fn random_case(rng: &mut impl Rng, count: usize) -> (Vec<(usize, usize)>, DMatrix<f64>) {
        let mut edges: Vec<(usize, usize)> =
            (1..count).map(|i| (rng.random_range(0..i), i)).collect();
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

    fn filled(profile: &Profile, a: &DMatrix<f64>) -> Ldlt {
        let mut ldlt = Ldlt::new(profile);
        for i in 0..a.nrows() {
            for j in 0..=i {
                match profile.slot(i, j) {
                    Some(slot) => ldlt.values_mut()[slot] = a[(i, j)],
                    None => assert!(a[(i, j)] == 0.0, "({i}, {j}) left out"),
                }
            }
        }
        ldlt
    }

    #[test]
    fn agrees_with_dense_cholesky() {
        let mut rng = ChaCha8Rng::seed_from_u64(11);
        for count in [1, 2, 3, 7, 12, 30, 80] {
            let (edges, a) = random_case(&mut rng, count);
            let profile = Profile::new(count, &edges);
            let mut ldlt = filled(&profile, &a);
            ldlt.factor(&profile).unwrap();
            let b = DVector::from_fn(count, |_, _| rng.random_range(-1.0..1.0));
            let dense = a.clone().cholesky().unwrap();
            let wanted = dense.solve(&b);
            let found = DVector::from_vec(ldlt.solve(&profile, b.as_slice()));
            let error = (&found - &wanted).amax() / wanted.amax();
            assert!(error < 1e-11, "{count}: {error:e}");
            let log_det = 2.0
                * dense
                    .l()
                    .diagonal()
                    .iter()
                    .map(|&d| crate::math::ln(d))
                    .sum::<f64>();
            assert!((ldlt.log_det() - log_det).abs() < 1e-10 * (1.0 + log_det.abs()));
        }
    }

    #[test]
    fn a_singular_matrix_names_the_unknown() {
        let profile = Profile::new(3, &[(0, 1)]);
        let mut ldlt = Ldlt::new(&profile);
        for (i, j, value) in [(0, 0, 1.0), (1, 0, -1.0), (1, 1, 1.0), (2, 2, 5.0)] {
            ldlt.values_mut()[profile.slot(i, j).unwrap()] = value;
        }
        let error = ldlt.factor(&profile).unwrap_err();
        assert!(error.unknown < 2 && error.pivot <= 0.0, "{error}");
    }
}
