//! Sparse symmetric systems on a graph that stays while its numbers change.
//!
//! Problem: a house is 5 to 60 unknowns on a loosely meshed graph, factored millions of times.
//! Method: reverse Cuthill-McKee order ([`order`]), then a profile (skyline) factor `L D L^T`
//! without pivoting. The graph is analysed once ([`Profile`]); numbers live in [`Ldlt`] and are
//! refilled for every Newton step without allocating.
//! Sources: Cuthill and McKee 1969; George and Liu 1981, chapter 4 (envelope methods).
//! Not covered: indefinite or unsymmetric matrices. What can fail: [`NotPositive`].

pub mod order;
mod profile;

pub use profile::{Ldlt, NotPositive, Profile};
