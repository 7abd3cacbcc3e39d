//! Checks of the engine against the outside world.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "clippy sees as tests only functions marked so, not their helpers; oracles use std"
)]

mod fit;
mod network;
mod transport;
mod year;
