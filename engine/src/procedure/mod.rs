//! Field tests worked to their published procedures: one module a test, the standards' rules as data.
//!
//! Every procedure takes typed SI readings that say what they show ([`instrument`]), and returns a
//! result with intervals and with every validity check beside it. A limit that was not read in a
//! citable text never decides ([`verdict::Verdict::LimitNotConfirmed`]).

pub mod bills;
pub mod change;
pub mod combustion;
pub mod duct;
pub mod envelope;
pub mod fan_flow;
pub mod fan_pressure;
pub mod field;
pub mod gauge;
pub mod guarded;
pub mod handler;
pub mod infiltration;
pub mod instrument;
pub mod known;
pub mod moisture;
pub mod recovery;
pub mod room_pressure;
pub mod sealing;
pub mod settled;
pub mod source;
pub mod surface;
pub mod test_out;
pub mod tightness_room;
pub mod tracer;
pub mod ventilation;
pub mod verdict;
pub mod zone;
