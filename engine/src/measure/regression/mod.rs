//! Straight lines through readings, and the power law `flow = C dp^n` that is one in logarithms.
//!
//! Three ways to draw the line: [`Line::ordinary`] (all error in y), [`Line::york`] (stated errors
//! in both axes) and [`Line::organic`] (the line of organic correlation). Algebra of the ordinary
//! line: Roulet 2008 eq. 7.13-7.28, the same as the annexes of the fan-test standards. Errors in
//! both axes: York et al. 2004 without correlation. Inputs are slices of SI values; nothing is
//! weighted or dropped behind the caller's back. What can fail: [`RegressionError`].

mod line;
mod power;

pub use line::{Line, Method, RegressionError};
pub use power::{BandPoint, PowerLaw};
