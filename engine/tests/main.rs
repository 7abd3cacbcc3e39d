//! Properties of the engine seen from outside, in one binary.
#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::print_stdout,
    clippy::disallowed_methods,
    reason = "clippy sees as tests only functions marked so, not their helpers; oracles use std"
)]

mod batch;
mod documents;
mod elements;
mod network;
mod tracer;
