//! The engine of Airwright: the physics of air in one house, and the documents people write.
//!
//! No files, no clock, no network, no log, no threads required, no sentence of any language:
//! what it needs from outside comes in as arguments, and what it has to say goes out as
//! [`diag::Diagnostic`]s and plain results. The path of a number is told in `ARCHITECTURE.md`.

pub mod air;
pub mod device;
pub mod diag;
pub mod doc;
pub mod finding;
pub mod fit;
pub mod gate;
pub mod house;
pub mod linalg;
pub mod math;
pub mod measure;
pub mod network;
pub mod next;
pub mod plan;
pub mod procedure;
pub mod rng;
pub mod rule;
pub mod safety;
pub mod series;
pub mod text;
pub mod transport;
pub mod units;
pub mod watch;
pub mod weather;
pub mod year;
