//! Series of readings as loggers and live sources give them: points in time with what is known of
//! the sensor, what is doubtful about them, and what can be derived beside them.
//!
//! A series as received is never changed here. Doubts are flags on stretches ([`quality`]), a
//! correction makes another series beside the raw one ([`correct`]), and the offset between two
//! clocks is estimated and told, never applied ([`align`]).

pub mod align;
pub mod correct;
pub mod quality;

use crate::units::Quantity;
use serde::Serialize;

/// One reading at one moment.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Point {
    /// Milliseconds since 1970-01-01 00:00 UTC, leap seconds not counted.
    pub time_ms: i64,
    /// SI.
    pub value: f64,
}

/// What one sensor showed over time, and what is known of it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Trace {
    /// Name of the source: a file, a topic, an address.
    pub source: String,
    /// The instrument's name in the job.
    pub instrument: String,
    /// Zone or place where it stood; empty where nobody said.
    pub place: String,
    /// What it measures.
    pub quantity: Quantity,
    /// Symbol of the unit it was written in; the points are SI.
    pub unit: String,
    /// What the shown number stands for (raw, at which density, already compensated); empty where
    /// nobody said.
    pub basis: String,
    /// In the order received.
    pub points: Vec<Point>,
}
