//! The house as known.

pub mod observe;
