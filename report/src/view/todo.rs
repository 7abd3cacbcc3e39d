//! The next reading, how the house is set for it, and the list of what to do.

use super::{HouseDrawing, Number};
use serde::Serialize;

/// A further reading.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct NextReading {
    /// What to do.
    pub words: String,
    /// How much narrower the range in question gets, 0 to 1.
    pub gain_frac: f64,
    /// Work, s.
    pub work_s: f64,
    /// What to expect, what would be a surprise, how the tap is proved: sentences.
    pub before: Vec<String>,
    /// The setup on the house.
    pub setup: Option<SetupDrawing>,
}

/// The house with what a reading needs marked on it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SetupDrawing {
    /// Zones; no air is drawn.
    pub house: HouseDrawing,
    /// What stands how, and where it is read.
    pub marks: Vec<SetupMark>,
}

/// One mark of a setup: shape and words.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SetupMark {
    /// What it is.
    pub kind: SetupKind,
    /// The zone where it is, by its id.
    pub at: String,
    /// The other side of a door or fan, by its id or [`OUTDOORS`](super::OUTDOORS).
    pub other: String,
    /// Its words.
    pub label: String,
}

/// What a mark of a setup is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SetupKind {
    /// A door or hatch that stands open.
    Open,
    /// A door or hatch that is shut.
    Shut,
    /// The test fan in an outer door.
    TestFan,
    /// An exhaust fan or the air handler that runs.
    Runs,
    /// Where pressure is felt or a flow is read.
    Feels,
    /// What the pressure is compared with.
    ComparedWith,
}

/// Work to do.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Todo {
    /// What.
    pub what: String,
    /// Where.
    pub place: String,
    /// Who.
    pub who: String,
    /// Price.
    pub price: Option<Number>,
    /// What the people living there gain.
    pub change: String,
    /// What has to be done with it.
    pub goes_with: String,
    /// How it is proved.
    pub proof: String,
}
