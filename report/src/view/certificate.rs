//! Instruments, checks, field tests and the certificate of a test.

use super::{Evidence, TestPlot, Tightness};
use serde::{Deserialize, Serialize};

/// An instrument.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Instrument {
    /// What it is.
    pub name: String,
    /// Serial number.
    pub serial: String,
    /// Date of its calibration.
    pub calibrated: String,
    /// Stated accuracy.
    pub accuracy: String,
    /// Basis of what it shows.
    pub basis: String,
}

/// From what a page was derived.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Provenance {
    /// Hash over all inputs.
    pub inputs_hash: String,
    /// Seed of all random numbers.
    pub seed: String,
    /// Version of the engine.
    pub engine_version: String,
    /// When the page was made; may be empty.
    pub made: String,
}

/// How a validity check came out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CheckState {
    /// It holds.
    Holds,
    /// It failed.
    Failed,
    /// It could not be decided.
    Undecided,
}

/// A validity check of a test.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Check {
    /// What is checked.
    pub name: String,
    /// What was found, with its unit.
    pub found: String,
    /// What the standard wants, with its unit.
    pub wanted: String,
    /// Clause or source.
    pub source: String,
    /// How it came out.
    pub state: CheckState,
}

/// A field test worked.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FieldTest {
    /// Its name and kind.
    pub title: String,
    /// What to be careful of, as sentences.
    pub cautions: Vec<String>,
    /// Sentences said before the numbers: what is compared, the criterion.
    pub lead: Vec<String>,
    /// Its numbers, the one people ask for first.
    pub figures: Vec<Evidence>,
    /// Its checks.
    pub checks: Vec<Check>,
    /// Sentences that belong to it.
    pub notes: Vec<String>,
}

/// A label and its text.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Fact {
    /// Label.
    pub label: String,
    /// Text.
    pub text: String,
}

/// Who hands the certificate over.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Letterhead {
    /// Name of the firm.
    pub name: String,
    /// Address, phone, licence: one line each.
    pub lines: Vec<String>,
    /// A picture as a `data:` address (PNG or JPEG), where there is one.
    #[serde(default)]
    pub logo: Option<String>,
}

/// The certificate of one envelope test.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Certificate {
    /// Of the firm.
    pub letterhead: Option<Letterhead>,
    /// House or address.
    pub title: String,
    /// When it was tested.
    pub tested: String,
    /// The standard and its edition.
    pub standard: String,
    /// The standard's number against its limit.
    pub tightness: Tightness,
    /// Why nothing is decided although there is a limit.
    pub undecided: Option<String>,
    /// Why the result is older than its readings, if it is.
    pub stale: Option<String>,
    /// Validity checks, failed ones included.
    pub checks: Vec<Check>,
    /// The plot of each run.
    pub plots: Vec<TestPlot>,
    /// Building: volume, area, heights.
    pub building: Vec<Fact>,
    /// Weather during the test.
    pub weather: Vec<Fact>,
    /// How the building was prepared.
    pub preparation: Vec<String>,
    /// Readings that were asked about and that the tester confirmed, as sentences.
    pub confirmed: Vec<String>,
    /// Tester.
    pub tester: Vec<Fact>,
    /// Instruments.
    pub instruments: Vec<Instrument>,
    /// From what it was derived.
    pub provenance: Provenance,
}
