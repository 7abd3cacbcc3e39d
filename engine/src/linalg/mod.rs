//! Sparse symmetric systems on a graph that stays while its numbers change.
//!
//! Problem: a house is 5 to 60 unknowns on a loosely meshed graph, factored millions of times.
//! Method: minimum-degree order and an elimination `L D L^T` without pivoting along lists that are
//! made once for the graph ([`Pattern`]); numbers are refilled for every Newton step without
//! allocating, one matrix at a time or several in lanes.
//! Sources: see [`Pattern`]. Not covered: indefinite or unsymmetric matrices.
//! What can fail: [`NotPositive`].

mod sparse;

pub use sparse::{Factor, NotPositive, Pattern};
