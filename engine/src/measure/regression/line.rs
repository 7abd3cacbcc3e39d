//! Lines `y = slope x + intercept`.

use crate::measure::student_t_two_sided;
use serde::Serialize;

/// Why there is no line.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum RegressionError {
    /// Fewer points than a line needs.
    #[error("{found} points where {needed} are needed")]
    TooFewPoints {
        /// Points given.
        found: usize,
        /// Points needed.
        needed: usize,
    },
    /// The slices differ in length.
    #[error("slices of length {x} and {y}")]
    LengthsDiffer {
        /// Length of x.
        x: usize,
        /// Length of y or of an uncertainty.
        y: usize,
    },
    /// A value that is not finite, or not positive where a logarithm is taken.
    #[error("unusable value at index {index}")]
    Unusable {
        /// Index in the slice.
        index: usize,
    },
    /// All x are equal (or, for the organic line, all y).
    #[error("all points share one abscissa")]
    NoSpread,
    /// The iteration did not settle.
    #[error("no convergence after {steps} steps")]
    NoConvergence {
        /// Steps done.
        steps: usize,
    },
}

/// How a line was drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Method {
    /// Ordinary least squares of y on x.
    Ordinary,
    /// Stated uncertainties in both axes (York 2004).
    York,
    /// Line of organic correlation: slope = ratio of the standard deviations.
    Organic,
}

/// A fitted line with what its intervals need.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Line {
    /// How it was drawn.
    pub method: Method,
    /// Slope.
    pub slope: f64,
    /// Value at x = 0.
    pub intercept: f64,
    /// Standard error of the slope; for [`Method::York`] from the stated uncertainties alone.
    /// Zero for two points: ask [`Line::dof`].
    pub slope_se: f64,
    /// Standard error of the intercept.
    pub intercept_se: f64,
    /// Abscissa where the line is surest: slope and value there are uncorrelated.
    pub x_centre: f64,
    /// Standard error of the line's value at `x_centre`.
    pub centre_se: f64,
    /// Squared correlation of the points.
    pub r2: f64,
    /// Sum of squared weighted residuals: for the York line comparable with `dof`.
    pub chi2: f64,
    /// Points less two.
    pub dof: usize,
}

/// Means and centred sums of squares.
struct Sums {
    n: f64,
    x: f64,
    y: f64,
    xx: f64,
    yy: f64,
    xy: f64,
}

fn sums(x: &[f64], y: &[f64]) -> Result<Sums, RegressionError> {
    if x.len() != y.len() {
        return Err(RegressionError::LengthsDiffer { x: x.len(), y: y.len() });
    }
    if x.len() < 2 {
        return Err(RegressionError::TooFewPoints { found: x.len(), needed: 2 });
    }
    if let Some(index) = x.iter().zip(y).position(|(a, b)| !(a.is_finite() && b.is_finite())) {
        return Err(RegressionError::Unusable { index });
    }
    let n = x.len() as f64;
    let x_mean = x.iter().sum::<f64>() / n;
    let y_mean = y.iter().sum::<f64>() / n;
    let mut s = Sums { n, x: x_mean, y: y_mean, xx: 0.0, yy: 0.0, xy: 0.0 };
    for (a, b) in x.iter().zip(y) {
        s.xx += (a - x_mean) * (a - x_mean);
        s.yy += (b - y_mean) * (b - y_mean);
        s.xy += (a - x_mean) * (b - y_mean);
    }
    // A spread at the level of rounding is no spread.
    let scale = 1.0 + x_mean * x_mean;
    if s.xx <= n * scale * 1e-24 { Err(RegressionError::NoSpread) } else { Ok(s) }
}

impl Sums {
    fn r2(&self) -> f64 {
        if self.yy > 0.0 { self.xy * self.xy / (self.xx * self.yy) } else { 1.0 }
    }
}

fn with_slope(method: Method, s: &Sums, slope: f64, x: &[f64], y: &[f64]) -> Line {
    let intercept = s.y - slope * s.x;
    let rest: f64 = x.iter().zip(y).map(|(a, b)| b - s.y - slope * (a - s.x)).map(|r| r * r).sum();
    let dof = x.len() - 2;
    let variance = if dof > 0 { rest / dof as f64 } else { 0.0 };
    let slope_se = (variance / s.xx).sqrt();
    let centre_se = (variance / s.n).sqrt();
    let intercept_se = (centre_se * centre_se + s.x * s.x * slope_se * slope_se).sqrt();
    Line {
        method,
        slope,
        intercept,
        slope_se,
        intercept_se,
        x_centre: s.x,
        centre_se,
        r2: s.r2(),
        chi2: rest,
        dof,
    }
}

impl Line {
    /// Ordinary least squares: all error in y, the same for every point.
    ///
    /// ```
    /// use engine::measure::regression::Line;
    /// let line = Line::ordinary(&[0.0, 1.0, 2.0], &[1.0, 3.1, 4.9]).unwrap();
    /// assert!((line.slope - 1.95).abs() < 1e-12);
    /// ```
    pub fn ordinary(x: &[f64], y: &[f64]) -> Result<Line, RegressionError> {
        let s = sums(x, y)?;
        Ok(with_slope(Method::Ordinary, &s, s.xy / s.xx, x, y))
    }

    /// The line of organic correlation: slope = standard deviation of y over that of x, with the
    /// sign of the correlation. Needs no stated uncertainties and treats both axes alike. Its
    /// standard errors are those of the ordinary line's form with this line's residuals (customary
    /// approximation, no source).
    pub fn organic(x: &[f64], y: &[f64]) -> Result<Line, RegressionError> {
        let s = sums(x, y)?;
        if s.yy <= 0.0 {
            return Err(RegressionError::NoSpread);
        }
        let slope = (s.yy / s.xx).sqrt().copysign(s.xy);
        Ok(with_slope(Method::Organic, &s, slope, x, y))
    }

    /// The line for points with stated standard uncertainties in both axes (York et al. 2004,
    /// no correlation between the two).
    ///
    /// The standard errors follow from the stated uncertainties; a `chi2` far above `dof` says
    /// that those were too small.
    pub fn york(x: &[f64], y: &[f64], x_se: &[f64], y_se: &[f64]) -> Result<Line, RegressionError> {
        const STEPS: usize = 200;
        let s = sums(x, y)?;
        for u in [x_se, y_se] {
            if u.len() != x.len() {
                return Err(RegressionError::LengthsDiffer { x: x.len(), y: u.len() });
            }
        }
        let unusable = |(a, b): (&f64, &f64)| !(*a >= 0.0 && *b > 0.0 && a.is_finite() && b.is_finite());
        if let Some(index) = x_se.iter().zip(y_se).position(unusable) {
            return Err(RegressionError::Unusable { index });
        }
        let mut slope = s.xy / s.xx;
        for _ in 0..STEPS {
            let pass = york_pass(x, y, x_se, y_se, slope);
            let change = (pass.slope - slope).abs();
            slope = pass.slope;
            if change <= 1e-14 * (1.0 + slope.abs()) {
                let last = york_pass(x, y, x_se, y_se, slope);
                return Ok(Line {
                    method: Method::York,
                    slope,
                    intercept: last.y_mean - slope * last.x_mean,
                    slope_se: last.slope_se,
                    intercept_se: (1.0 / last.weight
                        + last.x_centre * last.x_centre * last.slope_se * last.slope_se)
                        .sqrt(),
                    x_centre: last.x_centre,
                    centre_se: (1.0 / last.weight).sqrt(),
                    r2: s.r2(),
                    chi2: last.chi2,
                    dof: x.len() - 2,
                });
            }
        }
        Err(RegressionError::NoConvergence { steps: STEPS })
    }

    /// Value at `x`.
    pub fn at(&self, x: f64) -> f64 {
        self.slope * x + self.intercept
    }

    /// Standard error of the line (not of a new reading) at `x`. Roulet 2008 eq. 7.20.
    pub fn se_at(&self, x: f64) -> f64 {
        let far = (x - self.x_centre) * self.slope_se;
        (self.centre_se * self.centre_se + far * far).sqrt()
    }

    /// The factor between standard error and half width at `level`: Student's t of `dof` where
    /// the scatter was estimated, the normal one where it was stated. Nothing for two points.
    pub fn coverage(&self, level: f64) -> Option<f64> {
        match (self.method, self.dof) {
            (Method::York, _) => Some(crate::measure::normal_quantile(0.5 + level / 2.0)),
            (_, 0) => None,
            (_, dof) => Some(student_t_two_sided(level, dof as f64)),
        }
    }
}

struct YorkPass {
    slope: f64,
    slope_se: f64,
    x_mean: f64,
    y_mean: f64,
    x_centre: f64,
    weight: f64,
    chi2: f64,
}

/// One pass of York's equations. Written with variances, so that an exact x (zero uncertainty) is
/// allowed.
fn york_pass(x: &[f64], y: &[f64], x_se: &[f64], y_se: &[f64], slope: f64) -> YorkPass {
    let weights: Vec<f64> =
        x_se.iter().zip(y_se).map(|(ux, uy)| 1.0 / (uy * uy + slope * slope * ux * ux)).collect();
    let weight: f64 = weights.iter().sum();
    let mean = |v: &[f64]| v.iter().zip(&weights).map(|(v, w)| v * w).sum::<f64>() / weight;
    let (x_mean, y_mean) = (mean(x), mean(y));
    let mut top = 0.0;
    let mut bottom = 0.0;
    let mut chi2 = 0.0;
    let mut adjusted = Vec::with_capacity(x.len());
    for i in 0..x.len() {
        let (u, v, w) = (x[i] - x_mean, y[i] - y_mean, weights[i]);
        let beta = w * (u * y_se[i] * y_se[i] + slope * v * x_se[i] * x_se[i]);
        top += w * beta * v;
        bottom += w * beta * u;
        chi2 += w * (v - slope * u) * (v - slope * u);
        adjusted.push(x_mean + beta);
    }
    let x_centre = mean(&adjusted);
    let spread: f64 = adjusted.iter().zip(&weights).map(|(a, w)| w * (a - x_centre) * (a - x_centre)).sum();
    YorkPass { slope: top / bottom, slope_se: (1.0 / spread).sqrt(), x_mean, y_mean, x_centre, weight, chi2 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_exact_line_is_found_and_has_no_width() {
        let x = [1.0, 2.0, 4.0, 7.0];
        let y: Vec<f64> = x.iter().map(|x| 3.0 - 2.0 * x).collect();
        for line in [Line::ordinary(&x, &y).unwrap(), Line::organic(&x, &y).unwrap()] {
            assert!((line.slope + 2.0).abs() < 1e-14 && (line.intercept - 3.0).abs() < 1e-13);
            assert!(line.slope_se < 1e-14 && (line.r2 - 1.0).abs() < 1e-14);
        }
    }

    #[test]
    fn york_with_exact_x_is_the_weighted_line() {
        // Closed form of the weighted line, weights 1, 1/4, 1.
        let line = Line::york(&[0.0, 1.0, 2.0], &[0.0, 2.0, 2.0], &[0.0; 3], &[1.0, 2.0, 1.0]).unwrap();
        assert!((line.slope - 1.0).abs() < 1e-14);
        assert!((line.intercept - (10.0 / 9.0 - 1.0)).abs() < 1e-14);
        assert!((line.slope_se - (0.5_f64).sqrt()).abs() < 1e-14);
    }

    #[test]
    fn what_cannot_be_fitted_says_why() {
        use RegressionError as E;
        assert_eq!(Line::ordinary(&[1.0], &[1.0]), Err(E::TooFewPoints { found: 1, needed: 2 }));
        assert_eq!(Line::ordinary(&[1.0, 1.0], &[1.0, 2.0]), Err(E::NoSpread));
        assert_eq!(Line::ordinary(&[1.0, f64::NAN], &[1.0, 2.0]), Err(E::Unusable { index: 1 }));
        assert_eq!(Line::ordinary(&[1.0, 2.0], &[1.0]), Err(E::LengthsDiffer { x: 2, y: 1 }));
        assert_eq!(
            Line::york(&[1.0, 2.0], &[1.0, 2.0], &[0.1; 2], &[0.1, 0.0]),
            Err(E::Unusable { index: 1 })
        );
        assert_eq!(Line::ordinary(&[1.0, 2.0], &[1.0, 3.0]).unwrap().coverage(0.95), None);
    }
}
