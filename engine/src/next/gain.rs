//! How much of a question's variance readings would remove, alone and together.
//!
//! By the law of total variance that share is the variance of the question's mean given the readings.
//! The mean is taken as linear in each reading (and in the square of each pressure, which saturates
//! where a space is nearly outdoors), with the readings' own noise in closed form. Every term explains a
//! little by chance: the share is adjusted by the number of terms and of different draws (Ezekiel
//! 1930, adjusted R2), and small shares are shrunk by their sampling error.

use nalgebra::{Cholesky, DMatrix, DVector};

/// Fewer different draws than this say nothing.
const LEAST_DRAWS: f64 = 8.0;
/// A share is shrunk by half where it is this many times what chance makes.
const CHANCES: f64 = 2.0;
/// A reading without a solution in more of the draws than this is not judged.
const MOST_LOST: f64 = 0.2;

/// One reading over the draws: its terms, and what its own noise adds to their variance.
struct Terms {
    /// Centred values of each term.
    values: Vec<Vec<f64>>,
    /// Variance that the reading's noise adds to each; the two terms' noises do not go together.
    noise: [f64; 2],
}

/// The question against every reading.
#[derive(Clone, Debug)]
pub(super) struct Gains {
    variance: f64,
    /// Number of different draws, as equally weighted ones.
    pub(super) effective: f64,
    /// Terms of each reading: first and number; none where it was not judged.
    terms: Vec<std::ops::Range<usize>>,
    /// Covariance of the terms, noise included.
    gram: DMatrix<f64>,
    /// Covariance of the terms with the question.
    cross: DVector<f64>,
}

fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

impl Gains {
    /// `effective` counts the draws ([`different`]), `columns` hold each reading over the draws, `noise_sd` its own noise, `squares` whether it
    /// bends. Nothing where the question does not differ between the draws.
    pub(super) fn new(
        target: &[f64],
        effective: f64,
        columns: &[Vec<f64>],
        noise_sd: &[f64],
        squares: &[bool],
    ) -> Option<Gains> {
        let known: Vec<f64> = target.iter().copied().filter(|t| t.is_finite()).collect();
        if known.len() * 2 < target.len() || known.is_empty() {
            return None;
        }
        let middle = mean(&known);
        // A draw without an answer counts as the mean: it neither helps nor harms a reading.
        let centred: Vec<f64> = target.iter().map(|t| if t.is_finite() { t - middle } else { 0.0 }).collect();
        let variance = dot(&centred, &centred) / centred.len() as f64;
        if variance <= 1e-12 * middle * middle || variance <= 0.0 || effective < LEAST_DRAWS {
            return None;
        }
        let n = centred.len() as f64;
        let mut terms = Vec::with_capacity(columns.len());
        let (mut values, mut noise) = (Vec::new(), Vec::new());
        for ((column, sd), square) in columns.iter().zip(noise_sd).zip(squares) {
            let first = values.len();
            if let Some(t) = terms_of(column, *sd, *square) {
                noise.extend(t.noise.into_iter().take(t.values.len()));
                values.extend(t.values);
            }
            terms.push(first..values.len());
        }
        let mut gram = DMatrix::zeros(values.len(), values.len());
        for i in 0..values.len() {
            for j in 0..=i {
                let value = dot(&values[i], &values[j]) / n;
                gram[(i, j)] = value;
                gram[(j, i)] = value;
            }
            // A trace of ridge: two readings that always agree are one.
            gram[(i, i)] += noise[i] + 1e-9;
        }
        let cross = DVector::from_iterator(values.len(), values.iter().map(|v| dot(v, &centred) / n));
        Some(Gains { variance, effective, terms, gram, cross })
    }

    /// Share of the variance that the readings of these columns remove together, 0 to 1.
    pub(super) fn removes(&self, columns: &[usize]) -> f64 {
        let list: Vec<usize> = columns.iter().flat_map(|c| self.terms[*c].clone()).collect();
        let terms = list.len();
        let left = self.effective - 1.0;
        if terms == 0 || terms as f64 + 1.0 >= left {
            return 0.0;
        }
        let gram = DMatrix::from_fn(terms, terms, |i, j| self.gram[(list[i], list[j])]);
        let cross = DVector::from_fn(terms, |i, _| self.cross[list[i]]);
        let Some(factor) = Cholesky::new(gram) else { return 0.0 };
        let share = (cross.dot(&factor.solve(&cross)) / self.variance).clamp(0.0, 1.0);
        let share = (1.0 - (1.0 - share) * left / (left - terms as f64)).clamp(0.0, 1.0);
        // The best of some hundred readings that tell nothing stands some standard errors above
        // nothing; a share of that size is shrunk, a large one is left alone.
        let chance = CHANCES * self.chance(terms);
        if share > 0.0 { share * share * share / (share * share + chance * chance) } else { 0.0 }
    }

    /// Standard error of the share that so many terms explain by chance.
    pub(super) fn chance(&self, terms: usize) -> f64 {
        (2.0 * terms as f64).sqrt() / self.effective
    }

    /// Whether a column was judged.
    pub(super) fn knows(&self, column: usize) -> bool {
        !self.terms[column].is_empty()
    }
}

/// Kish's count of equally weighted draws: resampling repeats the heavier ones.
pub(super) fn different(draws: &[Vec<f64>]) -> f64 {
    let bits = |draw: &Vec<f64>| draw.iter().map(|v| v.to_bits()).collect::<Vec<u64>>();
    let mut all: Vec<Vec<u64>> = draws.iter().map(bits).collect();
    all.sort_unstable();
    let squares: f64 = all.chunk_by(|a, b| a == b).map(|c| (c.len() * c.len()) as f64).sum();
    let n = draws.len() as f64;
    n * n / squares
}

fn terms_of(column: &[f64], noise_sd: f64, square: bool) -> Option<Terms> {
    let known: Vec<f64> = column.iter().copied().filter(|v| v.is_finite()).collect();
    if known.is_empty() || (known.len() as f64) < (1.0 - MOST_LOST) * column.len() as f64 {
        return None;
    }
    let middle = mean(&known);
    let spread = known.iter().map(|v| (v - middle) * (v - middle)).sum::<f64>() / known.len() as f64;
    let scale = (spread + noise_sd * noise_sd).sqrt();
    if scale <= 0.0 {
        return None;
    }
    let y: Vec<f64> = column.iter().map(|v| if v.is_finite() { (v - middle) / scale } else { 0.0 }).collect();
    // Moments of reading plus normal noise of variance v: of y + e, 3 E(y) v = 0 to its square; of its
    // square, 4 v E(y2) + 2 v2.
    let v = noise_sd * noise_sd / (scale * scale);
    let second = dot(&y, &y) / y.len() as f64;
    let noise = [v, 4.0 * v * second + 2.0 * v * v];
    let mut values = Vec::with_capacity(2);
    if square {
        let squares: Vec<f64> = y.iter().map(|y| y * y - second).collect();
        values.push(y);
        values.push(squares);
    } else {
        values.push(y);
    }
    Some(Terms { values, noise })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rng::Stream;

    /// Question `t = a + b`; readings of `a` and of `b` with noise of known size: alone each removes
    /// `var(a)^2 / (var(a) + noise) / var(t)`, together the sum of both, and a reading of nothing
    /// removes nothing.
    #[test]
    fn shares_agree_with_the_closed_form() {
        let mut stream = Stream::new(5, "test");
        let n = 4000;
        let a: Vec<f64> = (0..n).map(|_| 2.0 * stream.normal()).collect();
        let b: Vec<f64> = (0..n).map(|_| stream.normal()).collect();
        let c: Vec<f64> = (0..n).map(|_| stream.normal()).collect();
        let t: Vec<f64> = a.iter().zip(&b).map(|(a, b)| a + b).collect();
        let gains =
            Gains::new(&t, t.len() as f64, &[a, b, c], &[1.0, 0.5, 0.1], &[true, false, true]).unwrap();
        let near = |got: f64, want: f64| assert!((got - want).abs() < 0.03, "{got} {want}");
        near(gains.removes(&[0]), 16.0 / 5.0 / 5.0);
        near(gains.removes(&[1]), 1.0 / 1.25 / 5.0);
        near(gains.removes(&[0, 1]), 3.2 / 5.0 + 0.8 / 5.0);
        near(gains.removes(&[2]), 0.0);
    }

    #[test]
    fn few_draws_do_not_explain_by_chance() {
        let mut stream = Stream::new(9, "test");
        let mut sum = 0.0;
        for _ in 0..200 {
            let t: Vec<f64> = (0..40).map(|_| stream.normal()).collect();
            let columns: Vec<Vec<f64>> = (0..3).map(|_| (0..40).map(|_| stream.normal()).collect()).collect();
            sum +=
                Gains::new(&t, t.len() as f64, &columns, &[0.1; 3], &[true; 3]).unwrap().removes(&[0, 1, 2])
                    / 200.0;
        }
        assert!(sum < 0.06, "{sum}");
    }
}
