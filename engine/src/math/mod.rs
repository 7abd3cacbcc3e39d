//! The one place that calls transcendental functions of floats, and how floats are compared.
//!
//! Clippy forbids `f64::powf`, `exp`, `ln` and their kin elsewhere, so that a change of the
//! mathematical library is one edit here. The network's kernels have their own `pow`
//! (`network::kernel`) that gives the same bits on every processor.
#![expect(clippy::disallowed_methods, reason = "this module is where these functions are allowed")]

pub(crate) mod lanes;

/// `e` to the power `x`.
pub fn exp(x: f64) -> f64 {
    x.exp()
}

/// Natural logarithm.
pub fn ln(x: f64) -> f64 {
    x.ln()
}

/// Logarithm to base 10.
pub fn log10(x: f64) -> f64 {
    x.log10()
}

/// `x` to the power `y`.
pub fn pow(x: f64, y: f64) -> f64 {
    x.powf(y)
}

/// Sine of an angle in radians.
pub fn sin(angle_rad: f64) -> f64 {
    angle_rad.sin()
}

/// Cosine of an angle in radians.
pub fn cos(angle_rad: f64) -> f64 {
    angle_rad.cos()
}

/// The angle of the vector (`x`, `y`) from the x axis, rad in (-pi, pi].
pub fn atan2(y: f64, x: f64) -> f64 {
    y.atan2(x)
}

/// The logistic function, 1 / (1 + e^-x).
pub fn logistic(x: f64) -> f64 {
    1.0 / (1.0 + exp(-x))
}

/// The inverse of [`logistic`]; `p` in (0, 1).
pub fn logit(p: f64) -> f64 {
    ln(p / (1.0 - p))
}

/// The largest finite value of an iterator, or nothing where there is none.
///
/// `f64::max` swallows NaN; this skips values that are not finite on purpose and says so by type.
pub fn max_valid(values: impl IntoIterator<Item = f64>) -> Option<f64> {
    values.into_iter().filter(|v| v.is_finite()).reduce(|a, b| if b > a { b } else { a })
}

/// The smallest finite value of an iterator, or nothing where there is none.
pub fn min_valid(values: impl IntoIterator<Item = f64>) -> Option<f64> {
    values.into_iter().filter(|v| v.is_finite()).reduce(|a, b| if b < a { b } else { a })
}

/// Whether `value` lies within `tolerance` of `reference`, relative to the reference's size
/// (absolute below one).
pub fn close(value: f64, reference: f64, tolerance: f64) -> bool {
    let scale = if reference.abs() > 1.0 { reference.abs() } else { 1.0 };
    (value - reference).abs() <= tolerance * scale
}

/// The `q` quantile (0 to 1) of values sorted ascending, by linear interpolation between order
/// statistics (definition 7 of Hyndman and Fan 1996). Nothing where there are no values.
pub fn quantile_sorted(sorted: &[f64], q: f64) -> Option<f64> {
    let last = sorted.len().checked_sub(1)?;
    let place = q.clamp(0.0, 1.0) * last as f64;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 <= place <= last")]
    let below = place.floor() as usize;
    let above = if below < last { below + 1 } else { last };
    let part = place - below as f64;
    Some(sorted[below] + part * (sorted[above] - sorted[below]))
}

/// The `q` quantile of draws sorted ascending, at place `q (n + 1)` (definition 6 of Hyndman and Fan
/// 1996): the range between two such quantiles of n draws holds one more draw with the probability it
/// states, where definition 7 holds it too seldom. Nothing where there are no values.
pub fn quantile_of_draws(sorted: &[f64], q: f64) -> Option<f64> {
    let n = sorted.len() as f64;
    if sorted.len() < 2 {
        return sorted.first().copied();
    }
    quantile_sorted(sorted, ((q * (n + 1.0) - 1.0) / (n - 1.0)).clamp(0.0, 1.0))
}
