//! The engine against the outside world, and guards of the reference data.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::disallowed_methods,
    clippy::float_cmp,
    reason = "clippy sees as tests only functions marked so, not their helpers; a test that cannot go on fails; measurements are printed, expectations use the standard library's functions"
)]

mod again;
mod convergence;
mod coverage;
mod crates;
mod fit;
mod fit_limits;
mod guards;
mod office;
mod residuals;
mod results;
mod tracer;
mod transport;
mod watch;
mod weather;
mod year;
mod zone_network;
