//! What is drawn: the house with its flows, the ladder of pressures, the plot of a test.

use super::{Evidence, Number};
use serde::{Deserialize, Serialize};

/// What kind of place a zone is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum ZoneKind {
    /// Lived in.
    Living,
    /// Attic, garage, porch: neither in nor out.
    Buffer,
    /// Inside of ducts.
    Duct,
    /// A small room for equipment.
    Closet,
    /// Under the lowest floor: crawl space, cellar.
    Ground,
}

/// A zone in the section.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Zone {
    /// Name that passages refer to.
    pub id: String,
    /// Name that people read.
    pub name: String,
    /// What kind of place.
    pub kind: ZoneKind,
    /// Height of its floor over grade, m.
    pub floor_m: f64,
    /// Height of its ceiling over grade, m.
    pub ceiling_m: f64,
    /// Width relative to the others of its storey (or its floor area).
    pub width: f64,
    /// Storey, from 0 at the lowest lived-in floor.
    pub storey: i32,
    /// Pressure against outdoors at the same height, at its middle.
    pub pressure: Option<Number>,
    /// For ducts: the zone they run in.
    pub inside: Option<String>,
    /// Whether it is the one the page talks about.
    pub selected: bool,
}

/// What kind of passage.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PassageKind {
    /// Cracks and holes.
    Leak,
    /// A door or its gap.
    Door,
    /// A fan.
    Fan,
    /// A vent or grille.
    Vent,
    /// A flue.
    Flue,
    /// A duct's register or grille.
    Duct,
}

/// Air through a passage, in the drawing's setup.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Passage {
    /// Zone the air comes from, or [`OUTDOORS`](super::OUTDOORS).
    pub from: String,
    /// Zone the air goes to, or [`OUTDOORS`](super::OUTDOORS).
    pub to: String,
    /// Height over grade, m.
    pub height_m: f64,
    /// The flow; negative means against the arrow.
    pub flow: Number,
    /// Whether the air passed a garage, crawl space or attic on its way in.
    pub via_buffer: bool,
    /// What it is.
    pub kind: PassageKind,
    /// Its name.
    pub label: String,
    /// Whether the page talks about it.
    pub selected: bool,
}

/// The house in one setup.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HouseDrawing {
    /// The setup in a few words.
    pub title: String,
    /// The setup as a sentence.
    pub setup: String,
    /// Zones, left to right within a storey.
    pub zones: Vec<Zone>,
    /// Passages with air moving.
    pub passages: Vec<Passage>,
}

/// One zone on the ladder.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Rung {
    /// Name.
    pub name: String,
    /// Pressure against outdoors at the height of its middle.
    pub middle: Number,
    /// The same at its floor, Pa.
    pub floor_pa: f64,
    /// The same at its ceiling, Pa.
    pub ceiling_pa: f64,
    /// Whether the page talks about it.
    pub selected: bool,
}

/// Pressures of all zones.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Ladder {
    /// Zones, left to right.
    pub rungs: Vec<Rung>,
    /// A drop to point out: index from, index to.
    pub drop: Option<Drop>,
}

/// A drop of pressure between two rungs.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Drop {
    /// Rung the air leaves.
    pub from: usize,
    /// Rung it comes to.
    pub to: usize,
    /// Height of the passage as pressures on both sides, Pa.
    pub from_pa: f64,
    /// The same on the other side, Pa.
    pub to_pa: f64,
    /// What it drives, in words.
    pub label: String,
}

/// One station of a test.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Station {
    /// Pressure difference, Pa.
    pub dp_pa: f64,
    /// Flow, m3/s.
    pub flow_m3_s: f64,
    /// Flow over the line's flow, minus one.
    pub residual_frac: f64,
    /// Whether the result rests on it.
    pub used: bool,
}

/// One point of the fitted line with its band.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct LinePoint {
    /// Pressure difference, Pa.
    pub dp_pa: f64,
    /// Flow of the line, m3/s.
    pub flow_m3_s: f64,
    /// Low end of the band, m3/s.
    pub lo_m3_s: f64,
    /// High end of the band, m3/s.
    pub hi_m3_s: f64,
}

/// A test of several stations.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TestPlot {
    /// Its name.
    pub title: String,
    /// Stations as measured.
    pub stations: Vec<Station>,
    /// The fitted line.
    pub line: Vec<LinePoint>,
    /// Confidence of the band, 0 to 1.
    pub level: f64,
    /// Largest residual that is let pass, as a share.
    pub residual_limit_frac: Option<f64>,
    /// The result at its reference pressure.
    pub result: Evidence,
    /// The reference pressure, Pa.
    pub reference_pa: f64,
    /// Exponent and other numbers of the fit.
    pub facts: Vec<Evidence>,
}
