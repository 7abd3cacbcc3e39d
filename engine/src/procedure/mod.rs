//! Field tests worked to their published procedures: one module a test, the standards' rules as data.
//!
//! Every procedure takes typed SI readings that say what they show ([`instrument`]), and returns a
//! result with intervals and with every validity check beside it. A limit that was not read in a
//! citable text never decides ([`verdict::Verdict::LimitNotConfirmed`]).

pub mod envelope;
pub mod field;
pub mod instrument;
pub mod moisture;
pub mod source;
pub mod surface;
pub mod tracer;
pub mod verdict;
