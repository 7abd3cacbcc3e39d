//! What is known of the house, before and after the readings.

use super::Number;
use crate::words::Usage;
use engine::measure::Estimate;
use engine::units::Quantity;
use serde::Serialize;

/// A parameter before and after the readings.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct KnownRow {
    /// Name.
    pub label: String,
    /// Before: low, middle, high, SI.
    pub prior: (f64, f64, f64),
    /// After.
    pub posterior: Estimate,
    /// Share of the variance that the readings took away, 0 to 1.
    pub from_readings_frac: f64,
    /// Whether the readings determined it.
    pub determined: bool,
}

/// Parameters of one kind, on one axis.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct KnownGroup {
    /// What they are, without the unit.
    pub title: String,
    /// What they measure.
    pub quantity: Quantity,
    /// How they are shown.
    pub usage: Usage,
    /// The parameters.
    pub rows: Vec<KnownRow>,
}

/// Prior against posterior.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Known {
    /// Probability that all bars span, 0 to 1.
    pub level: f64,
    /// Number of readings fitted.
    pub readings: usize,
    /// Sentences on numbers whose limits rest on few draws.
    pub loose: Vec<String>,
    /// Groups of parameters.
    pub groups: Vec<KnownGroup>,
}

/// An answer to what people ask of a house.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Answered {
    /// What is asked.
    pub label: String,
    /// The answer.
    pub number: Number,
    /// Share of the variance that the readings removed, 0 to 1.
    pub from_readings_frac: f64,
}

/// Rooms on one design day.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RoomsDay {
    /// Heating or cooling and the temperatures.
    pub title: String,
    /// Where the outdoor temperature is from.
    pub note: String,
    /// The rooms.
    pub rooms: Vec<RoomLine>,
}

/// One room on a design day.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RoomLine {
    /// Which room.
    pub label: String,
    /// What it needs.
    pub needs: Number,
    /// What its registers bring; nothing where it has none.
    pub gets: Option<Number>,
    /// Air from them, where air is moved.
    pub flow: Option<Number>,
    /// Chance that anything is missing, 0 to 1.
    pub short_frac: f64,
    /// What makes most of it; nothing where nothing is missing in any draw.
    pub why: Option<String>,
}

/// A reading against what the fit expects.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Residual {
    /// Which reading.
    pub label: String,
    /// As read.
    pub value: Number,
    /// As expected from the others.
    pub expected: Estimate,
    /// Difference in standard uncertainties.
    pub z: f64,
    /// Whether it was given little weight.
    pub suspect: bool,
}
