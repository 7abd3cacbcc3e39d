//! One power law through points whose pressures and flows both err, the pressures perhaps together.
//!
//! `ln q_i = ln C + f(n, x_i - e_i) + noise`, `f(n, d) = n ln d - n (1 - n)/2 R/(d^2 + R)`. `e` (Pa) is
//! what the pressure of a station is too high by: normal with a mean and a full covariance. The
//! second term of `f` is the rectification of a fluctuating pressure, the second-order term of the mean
//! of `|d + u|^n` for `u` of variance `R`, held finite at small `d`. The mode over `(ln C, n, e)`
//! is found by Gauss-Newton steps with `e` eliminated; the rest is Laplace's approximation.

use crate::math;

/// What is known of the points' errors before the line is drawn.
pub(super) struct Errors<'a> {
    /// Expected error of each pressure, Pa.
    pub(super) mean_pa: &'a [f64],
    /// Covariance of the errors, Pa2, row after row.
    pub(super) covariance_pa2: &'a [f64],
    /// Variance of each ln flow.
    pub(super) flow_var: &'a [f64],
    /// Variance of the pressures over the leaks, `R`, Pa2.
    pub(super) rectified_pa2: f64,
    /// Exponent expected, and its standard deviation, where something is.
    pub(super) exponent: Option<(f64, f64)>,
}

/// The line at its mode.
#[derive(Clone, Debug)]
pub(super) struct Line {
    pub(super) ln_c: f64,
    pub(super) n: f64,
    /// Variances of `ln C` and `n`, and their covariance.
    pub(super) covariance: [f64; 3],
    /// Pressure errors at the mode, Pa.
    pub(super) e_pa: Vec<f64>,
    /// Logarithm of the evidence, up to a constant that does not depend on `Errors`.
    pub(super) ln_evidence: f64,
    /// Weight of each ln flow in `ln C` and in `n`.
    pub(super) weights: Vec<[f64; 2]>,
    /// Slope of each ln flow in its pressure at the mode, 1/Pa.
    pub(super) slope_per_pa: Vec<f64>,
}

impl Line {
    /// `ln Q` at `dp_pa` on the curve, and its variance.
    pub(super) fn ln_flow(&self, dp_pa: f64) -> (f64, f64) {
        let x = math::ln(dp_pa);
        let [cc, nn, cn] = self.covariance;
        (self.ln_c + self.n * x, (cc + 2.0 * x * cn + x * x * nn).max(0.0))
    }
}

/// Share of a pressure that its error cannot exceed; keeps the logarithm finite.
const LEFT: f64 = 0.2;
const STEPS: usize = 40;

/// `f`, its slope in `n` and its slope in `d`.
fn law(n: f64, d_pa: f64, r_pa2: f64) -> (f64, f64, f64) {
    let x = math::ln(d_pa);
    let sum = d_pa * d_pa + r_pa2;
    let share = r_pa2 / sum;
    let bend = 0.5 * n * (1.0 - n);
    (n * x - bend * share, x - (0.5 - n) * share, n / d_pa + 2.0 * bend * r_pa2 * d_pa / (sum * sum))
}

/// In-place Cholesky factor (lower) of a symmetric matrix; nothing where it is not positive.
fn cholesky(a: &mut [f64], k: usize) -> Option<()> {
    for j in 0..k {
        for i in j..k {
            let mut sum = a[i * k + j];
            for l in 0..j {
                sum -= a[i * k + l] * a[j * k + l];
            }
            if i == j {
                if sum.is_nan() || sum <= 0.0 {
                    return None;
                }
                a[j * k + j] = sum.sqrt();
            } else {
                a[i * k + j] = sum / a[j * k + j];
            }
        }
    }
    Some(())
}

/// `L^-1 b`.
fn forward(l: &[f64], k: usize, b: &mut [f64]) {
    for i in 0..k {
        let mut sum = b[i];
        for j in 0..i {
            sum -= l[i * k + j] * b[j];
        }
        b[i] = sum / l[i * k + i];
    }
}

/// `L^-T b`.
fn backward(l: &[f64], k: usize, b: &mut [f64]) {
    for i in (0..k).rev() {
        let mut sum = b[i];
        for j in i + 1..k {
            sum -= l[j * k + i] * b[j];
        }
        b[i] = sum / l[i * k + i];
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(x, y)| x * y).sum()
}

/// Draws the line. `start` is `(n, e)` to begin with; `tolerance` ends the steps (relative in the
/// pressures). Nothing where the points do not fix it.
pub(super) fn draw(
    dp_pa: &[f64],
    ln_flow: &[f64],
    errors: &Errors<'_>,
    start: Option<(f64, &[f64])>,
    tolerance: f64,
) -> Option<Line> {
    let k = dp_pa.len();
    let limit = |x: f64, e: f64| if x - e < LEFT * x { x - LEFT * x } else { e };
    let (mut n, mut e): (f64, Vec<f64>) = match start {
        Some((n, e)) => (n, e.to_vec()),
        None => (errors.exponent.map_or(0.65, |p| p.0), errors.mean_pa.to_vec()),
    };
    for (e, x) in e.iter_mut().zip(dp_pa) {
        *e = limit(*x, *e);
    }
    let sigma = errors.covariance_pa2;
    let mut v = vec![0.0; k * k];
    let (mut ones, mut g, mut z, mut j) = (vec![0.0; k], vec![0.0; k], vec![0.0; k], vec![0.0; k]);
    let mut last = None;
    for step in 0..STEPS {
        for i in 0..k {
            let (f, in_n, in_d) = law(n, dp_pa[i] - e[i], errors.rectified_pa2);
            j[i] = -in_d;
            g[i] = in_n;
            ones[i] = 1.0;
            z[i] = ln_flow[i] - f + in_n * n - in_d * (e[i] - errors.mean_pa[i]);
        }
        for a in 0..k {
            for b in 0..=a {
                v[a * k + b] = j[a] * j[b] * sigma[a * k + b];
            }
            v[a * k + a] += errors.flow_var[a];
        }
        cholesky(&mut v, k)?;
        forward(&v, k, &mut ones);
        forward(&v, k, &mut g);
        forward(&v, k, &mut z);
        let (p, n0) = errors.exponent.map_or((0.0, 0.0), |(n0, sd)| (1.0 / (sd * sd), n0));
        let (a, b, c) = (dot(&ones, &ones), dot(&ones, &g), dot(&g, &g) + p);
        let (u, w) = (dot(&ones, &z), dot(&g, &z) + p * n0);
        let det = a * c - b * b;
        if det.is_nan() || det <= 1e-12 * a * c {
            return None;
        }
        let ln_c = (c * u - b * w) / det;
        let new_n = ((a * w - b * u) / det).clamp(0.2, 1.3);
        let mut r: Vec<f64> = (0..k).map(|i| z[i] - ln_c * ones[i] - new_n * g[i]).collect();
        let chi2 = dot(&r, &r) + p * (new_n - n0) * (new_n - n0);
        backward(&v, k, &mut r);
        let mut moved = (new_n - n).abs();
        for i in 0..k {
            let pulled: f64 = (0..k)
                .map(|l| (if l <= i { sigma[i * k + l] } else { sigma[l * k + i] }) * j[l] * r[l])
                .sum();
            let mut to = limit(dp_pa[i], errors.mean_pa[i] + pulled);
            // Long ways of a strongly bent law are gone half.
            if step > 8 {
                to = 0.5 * (to + e[i]);
            }
            moved = moved.max((to - e[i]).abs() / dp_pa[i]);
            e[i] = to;
        }
        n = new_n;
        let done = moved < tolerance;
        if done || step + 1 == STEPS {
            let ln_det_v: f64 = (0..k).map(|i| 2.0 * math::ln(v[i * k + i])).sum();
            backward(&v, k, &mut ones);
            backward(&v, k, &mut g);
            last = Some(Line {
                ln_c,
                n,
                covariance: [c / det, a / det, -b / det],
                weights: (0..k)
                    .map(|i| [(c * ones[i] - b * g[i]) / det, (a * g[i] - b * ones[i]) / det])
                    .collect(),
                slope_per_pa: j.iter().map(|x| -x).collect(),
                e_pa: Vec::new(),
                ln_evidence: -0.5 * (ln_det_v + chi2 + math::ln(det)),
            });
            break;
        }
    }
    let mut line = last?;
    line.e_pa = e;
    Some(line)
}
