//! The honest estimate of a fan test: what its readings say once the wind is counted.
//!
//! The standards' line of least squares takes every pressure as exact and every station as independent.
//! In wind neither holds: the baseline during the stations is not the one before or after them,
//! a station's mean keeps a share of the gusts, and leaks that do not answer in proportion pass less
//! under a fluctuating pressure than under its mean. The standard's interval then holds the truth far
//! less often than it says. [`estimate`] takes these into one small Bayesian fit with errors in
//! both axes; [`next_station`] says what one more station would bring. The standard's own numbers stay
//! beside it, untouched.
//!
//! Own method. Its priors ([`WindPrior`]) are own choices, the exponent's is the handbook's (ASHRAE
//! Fundamentals 2021 ch. 16). `docs/COVERAGE.md` says how often the intervals hold.
//! Not covered: leaks of unlike exponents, whose sum bends away from a power law (simulator B has them,
//! and covers the flow at 4 Pa less often, in still air too); a gust that closes or opens a leak; a
//! fan at its end; doors moved during the test.

mod advice;
mod line;
mod posterior;
mod readings;
mod report;
#[cfg(test)]
mod tests;
mod wind;

pub use advice::{NextStation, narrowing, next_station};
pub use posterior::{KnownLine, NoEstimate, Posterior, Spread, both_axes, estimate};
pub use readings::{Reading, Readings, Zero};
pub use report::{Honest, HonestFlow};
pub(super) use report::{RunEstimate, together};
pub use wind::{Rough, WindPrior};
