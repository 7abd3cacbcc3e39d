//! Numbers that know how sure they are: estimates with intervals, regression, Student's t.

mod estimate;
mod propagate;
pub mod regression;

pub use estimate::{Estimate, Interval, NoInterval};
pub use propagate::propagate;

use statrs::distribution::{ContinuousCDF, Normal, StudentsT};

/// The `p` quantile of the standard normal distribution.
pub fn normal_quantile(p: f64) -> f64 {
    Normal::standard().inverse_cdf(p)
}

/// The probability that a standard normal lies below `z`.
pub fn normal_below(z: f64) -> f64 {
    Normal::standard().cdf(z)
}

/// The two-sided Student t factor: `level` (such as 0.95) of the probability lies within it on
/// either side, for `dof` degrees of freedom. Infinite where `dof` is not positive.
pub fn student_t_two_sided(level: f64, dof: f64) -> f64 {
    StudentsT::new(0.0, 1.0, dof).map_or(f64::INFINITY, |t| t.inverse_cdf(0.5 + level / 2.0))
}

/// The probability that a Student t variable with `dof` degrees of freedom lies below `t`.
pub fn student_t_below(t: f64, dof: f64) -> f64 {
    StudentsT::new(0.0, 1.0, dof).map_or(f64::NAN, |d| d.cdf(t))
}

/// The gamma function.
pub(crate) fn gamma(x: f64) -> f64 {
    statrs::function::gamma::gamma(x)
}

/// The probability that a chi-square variable with `dof` degrees of freedom exceeds `value`.
pub fn chi_square_above(value: f64, dof: f64) -> f64 {
    use statrs::distribution::ChiSquared;
    ChiSquared::new(dof).map_or(f64::NAN, |c| c.sf(value))
}
