//! The house as known.

pub mod draws;
pub mod observe;
pub mod problem;
pub mod solve;
