//! The engine against the outside world, and guards of the reference data.
#![expect(clippy::unwrap_used, reason = "a test that cannot go on fails")]

mod coverage;
mod guards;
mod residuals;
mod results;
