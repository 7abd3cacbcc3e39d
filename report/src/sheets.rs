//! What the sheets of a job are made from beside [`crate::view`]: the owner's page, the contractor's
//! hand-off, the test-out. Plain data, worded in the language of the page.

use crate::view::{
    Check, HouseDrawing, Instrument, Letterhead, Limit, Number, PhotosOf, Provenance, SafetyLine, State,
    Tightness, Todo,
};
use engine::procedure::test_out::{Became, Written};
use serde::{Deserialize, Serialize};

/// A part of the full record that may be left out.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Part {
    /// What the people say, and what explains it.
    Complaint,
    /// Tests worked to their standards.
    Results,
    /// Diagnoses; those of hazards stay.
    Findings,
    /// The house as known: section, pressures, sizes, what was not determined.
    Fit,
    /// Plans, work to do, rooms on the design days.
    Plans,
    /// Every reading against what the fit expects, and which to take next.
    Readings,
    /// Photos of the visits.
    Photos,
    /// Instruments with calibration, and who took the readings.
    Sources,
}

impl Part {
    /// Every part, in the order of the record.
    pub const ALL: [Part; 8] = [
        Part::Complaint,
        Part::Results,
        Part::Findings,
        Part::Fit,
        Part::Plans,
        Part::Readings,
        Part::Photos,
        Part::Sources,
    ];

    /// Its word, as documents and the command line say it.
    pub fn word(self) -> &'static str {
        match self {
            Part::Complaint => "complaint",
            Part::Results => "results",
            Part::Findings => "findings",
            Part::Fit => "fit",
            Part::Plans => "plans",
            Part::Readings => "readings",
            Part::Photos => "photos",
            Part::Sources => "sources",
        }
    }

    /// Key of what it is called.
    pub fn key(self) -> String {
        format!("record-part-{}", self.word())
    }
}

/// What every sheet carries: whose it is, what it was read with, from what it was derived.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Head {
    /// Letterhead of the firm, with its credential.
    pub letterhead: Option<Letterhead>,
    /// The sheet's title.
    pub title: String,
    /// Job, visit, weather: one line.
    pub lead: String,
    /// Why the results are older than the readings, if they are.
    pub stale: Option<String>,
    /// Safety, the first block.
    pub safety: Vec<SafetyLine>,
    /// What took the readings.
    pub instruments: Vec<Instrument>,
    /// Who took them, with the credential.
    pub tester: String,
    /// From what it was derived.
    pub provenance: Provenance,
}

/// A sentence and where its number comes from.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Said {
    /// The sentence.
    pub text: String,
    /// Measured, computed or assumed; nothing where it has no number.
    pub state: Option<State>,
}

/// A complaint on the owner's page.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OwnerComplaint {
    /// The person's own words.
    pub words: String,
    /// What explains it.
    pub says: Vec<Said>,
}

/// A number now and after the work.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct NowAfter {
    /// What it is.
    pub name: String,
    /// The house as found.
    pub now: Number,
    /// After the best plan that may be acted on.
    pub after: Option<Number>,
    /// The goal.
    pub goal: Option<Limit>,
}

/// The owner's page: one sheet, no word that it does not explain.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct OwnerPage {
    /// What every sheet carries.
    pub head: Head,
    /// Complaints, the weightiest first.
    pub complaints: Vec<OwnerComplaint>,
    /// Complaints that stand in the full record only.
    pub more_complaints: usize,
    /// One picture of the house.
    pub house: Option<HouseDrawing>,
    /// At most three things to do, in order.
    pub todo: Vec<Todo>,
    /// Plans that wait, and who must do what first.
    pub waiting: Vec<String>,
    /// What changes.
    pub changes: Vec<NowAfter>,
    /// How tight the house is.
    pub tightness: Option<Tightness>,
    /// What the scale of tightness means.
    pub tightness_note: String,
    /// What is not known yet.
    pub unknown: Vec<String>,
    /// What the visit touched and nobody has put back yet; empty where there is none.
    pub left_open: String,
    /// What the visit touched and who put it back; empty where nothing was touched.
    pub put_back: String,
    /// Units and words that appear, each explained.
    pub explained: Vec<String>,
    /// That the rest stands in the full record.
    pub rest: String,
}

/// A number to reach while the crew is there.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct MarkLine {
    /// What to read, and how the house stands.
    pub read: String,
    /// As computed before this step.
    pub before: Number,
    /// As computed after it.
    pub after: Number,
    /// When to stop: a sentence.
    pub stop: String,
    /// Whether the number can be steered by.
    pub steers: bool,
}

/// One step of the work.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WorkStep {
    /// Kind of work.
    pub stage: String,
    /// What is done, with its target.
    pub what: String,
    /// Where.
    pub place: String,
    /// Numbers to reach.
    pub marks: Vec<MarkLine>,
    /// Limits of materials.
    pub materials: Vec<String>,
}

/// Work that may be done.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Work {
    /// What has to be kept to.
    pub conditions: Vec<String>,
    /// Price, where one was given.
    pub price: Option<Number>,
    /// What to be careful of in this house.
    pub hazards: Vec<String>,
    /// When to stop at once.
    pub stops: Vec<String>,
    /// The steps in order.
    pub steps: Vec<WorkStep>,
    /// Who tests again, what and when.
    pub retest: Vec<String>,
    /// What the release hangs on.
    pub release: String,
    /// Whether any number is computed, so that its range is explained.
    pub computed: bool,
}

/// Held or released.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub enum HandOffStatus {
    /// Only what holds it and who acts.
    Held(Vec<String>),
    /// The work.
    Released(Box<Work>),
}

/// The contractor's hand-off of one plan.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HandOff {
    /// What every sheet carries.
    pub head: Head,
    /// Letter and name of the plan.
    pub plan: String,
    /// Held or released.
    pub status: HandOffStatus,
}

/// A complaint on the test-out.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OutComplaint {
    /// The person's own words.
    pub words: String,
    /// What was to be reached, with its source.
    pub criterion: String,
    /// When that was written against the result.
    pub written: Written,
    /// The same as a sentence.
    pub written_text: String,
    /// Before the work.
    pub before: Number,
    /// After the work.
    pub after: Number,
    /// After minus before.
    pub change: Number,
    /// What became of it.
    pub became: Became,
    /// The same in words, with its numbers.
    pub said: String,
}

/// A row: before, promised, after, change.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OutRow {
    /// What.
    pub name: String,
    /// Before the work.
    pub before: Number,
    /// What the plan promised.
    pub promised: Option<Number>,
    /// After the work.
    pub after: Number,
    /// After minus before.
    pub change: Option<Number>,
    /// What belongs to it: shared error, promise kept.
    pub note: String,
}

/// A test of both visits.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OutTest {
    /// Its name.
    pub title: String,
    /// Its numbers.
    pub rows: Vec<OutRow>,
    /// What differs between the two setups; empty where nothing does.
    pub differs: Vec<String>,
    /// Sentences that belong to it.
    pub notes: Vec<String>,
    /// Comparison with a criterion.
    pub checks: Vec<Check>,
}

/// The test-out.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct TestOutView {
    /// What every sheet carries; instruments of the visit after the work.
    pub head: Head,
    /// The plan and both visits, as sentences.
    pub intro: Vec<String>,
    /// What became of each complaint.
    pub complaints: Vec<OutComplaint>,
    /// What the plan promised for the year, and what was obtained.
    pub promised: Vec<OutRow>,
    /// Tests that both visits took.
    pub tests: Vec<OutTest>,
    /// Single readings that both visits took in the same state of the house.
    pub readings: Vec<OutRow>,
    /// What differs between the visits: what, before, after.
    pub setups: Vec<[String; 3]>,
    /// Instruments of the visit before.
    pub instruments_before: Vec<Instrument>,
    /// Photos of both visits.
    pub photos: Vec<PhotosOf>,
}
