//! What the pages are made from: plain data, filled by whoever has computed it.
//!
//! No solver types. A text that is the user's own (names, complaints) stands as written; a text of
//! the program comes in already worded in the language of the page. Numbers are [`Number`]s: an
//! estimate, what it is used for, and whether it was measured, computed or assumed.

mod certificate;
mod drawn;
mod known;
mod plans;
mod todo;

pub use certificate::{Certificate, Check, CheckState, Fact, FieldTest, Instrument, Letterhead, Provenance};
pub use drawn::{
    Drop, HouseDrawing, Ladder, LinePoint, Passage, PassageKind, Rung, Station, TestPlot, Zone, ZoneKind,
};
pub use known::{Answered, Known, KnownGroup, KnownRow, Residual, RoomLine, RoomsDay};
pub use plans::{BadDays, BadDaysRow, Plan, PlanStatus, Plans, Score};
pub use todo::{NextReading, SetupDrawing, SetupKind, SetupMark, Todo};

use crate::sheets::Part;
use crate::words::{Show, Usage};
use engine::measure::Estimate;
use engine::units::Quantity;
use serde::{Deserialize, Serialize};

/// The place that is not a zone.
pub const OUTDOORS: &str = "outdoors";

/// Where a number comes from.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum State {
    /// Read on site.
    Measured {
        /// When, as a text; may be empty.
        at: String,
    },
    /// Worked out from readings by the model or a standard's procedure.
    Computed,
    /// No reading stands behind it.
    Assumed {
        /// By whom or from what; may be empty.
        by: String,
    },
}

/// A number on a page.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Number {
    /// Value, unit and interval.
    pub estimate: Estimate,
    /// Where it comes from.
    pub state: State,
    /// What it is used for: decides its display unit.
    pub usage: Usage,
    /// Whether its sign is always shown.
    pub signed: bool,
}

impl Number {
    /// A computed number.
    pub fn computed(estimate: Estimate) -> Number {
        Number { estimate, state: State::Computed, usage: Usage::Usual, signed: false }
    }

    /// A measured number.
    pub fn measured(estimate: Estimate, at: &str) -> Number {
        Number { state: State::Measured { at: at.to_owned() }, ..Number::computed(estimate) }
    }

    /// An assumed number.
    pub fn assumed(estimate: Estimate, by: &str) -> Number {
        Number { state: State::Assumed { by: by.to_owned() }, ..Number::computed(estimate) }
    }

    /// The same, shown for a use of the trade.
    #[must_use]
    pub fn used_as(self, usage: Usage) -> Number {
        Number { usage, ..self }
    }

    /// The same, with its sign always shown.
    #[must_use]
    pub fn signed(self) -> Number {
        Number { signed: true, ..self }
    }

    /// How to show it.
    pub fn show(&self) -> Show {
        let show = Show::usage(self.usage);
        if self.signed { show.signed() } else { show }
    }
}

/// A limit or target.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Limit {
    /// Value, SI.
    pub si: f64,
    /// What it measures.
    pub quantity: Quantity,
    /// How it is shown.
    pub usage: Usage,
    /// True where values must stay below it, false where they must reach it.
    pub at_most: bool,
    /// Where it is published, or whose target it is.
    pub source: String,
    /// Whether the source was seen and confirmed; else no verdict hangs on it.
    pub confirmed: bool,
}

/// What a comparison with a limit comes to.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// The whole interval keeps the limit.
    Pass,
    /// The whole interval breaks the limit.
    Fail,
    /// The interval lies across the limit.
    TooClose,
    /// Value and limit stand side by side without a verdict.
    LimitNotConfirmed,
}

/// The report of a house.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct HouseReport {
    /// Of the firm.
    pub letterhead: Option<Letterhead>,
    /// Who took the readings, with the credential.
    pub tester: String,
    /// Name of the job.
    pub title: String,
    /// Visit, date, weather: one line.
    pub subtitle: String,
    /// Why the results are older than the readings, if they are.
    pub stale: Option<String>,
    /// Safety, the first block of the page.
    pub safety: Vec<SafetyLine>,
    /// The hazard screen, the combustion guide, what was touched and put back.
    pub care: Option<crate::screen::SafetyView>,
    /// What somebody living there says, and what explains it.
    pub complaints: Vec<Complaint>,
    /// Findings, the short list and the appendix.
    pub findings: Option<crate::findings::FindingsView>,
    /// How tight the house is.
    pub tightness: Option<Tightness>,
    /// The section drawing.
    pub house: Option<HouseDrawing>,
    /// The pressure ladder.
    pub ladder: Option<Ladder>,
    /// Envelope and duct tests.
    pub tests: Vec<TestPlot>,
    /// Field tests of every other kind.
    pub field: Vec<FieldTest>,
    /// Prior against posterior.
    pub known: Option<Known>,
    /// Readings against what the fit expects.
    pub residuals: Vec<Residual>,
    /// What the readings did not determine, as sentences.
    pub undetermined: Vec<String>,
    /// What the readings say beyond the sizes, as sentences.
    pub beyond: Vec<String>,
    /// What people ask of a house.
    pub answers: Vec<Answered>,
    /// Rooms on the design days.
    pub rooms: Vec<RoomsDay>,
    /// Plans side by side.
    pub plans: Option<Plans>,
    /// Further readings worth taking.
    pub next: Vec<NextReading>,
    /// The question of the readings, the best three together, the route, what is left out: sentences.
    pub next_notes: Vec<String>,
    /// Work to do, in order.
    pub todo: Vec<Todo>,
    /// What to be careful of.
    pub cautions: Vec<String>,
    /// Photos of the visits.
    pub photos: Vec<PhotosOf>,
    /// What took the readings.
    pub instruments: Vec<Instrument>,
    /// From what all this was derived.
    pub provenance: Provenance,
    /// Parts that were left out because somebody asked for that.
    pub left_out: Vec<Part>,
}

impl HouseReport {
    /// Leaves out every part that is not among these. Safety is no part: the safety block, the hazard screen,
    /// what to be careful of, findings of hazards and readings that hold results back stay.
    #[must_use]
    pub fn only(mut self, parts: &[Part]) -> HouseReport {
        self.left_out = Part::ALL.into_iter().filter(|p| !parts.contains(p)).collect();
        for part in self.left_out.clone() {
            match part {
                Part::Complaint => self.complaints.clear(),
                Part::Results => {
                    self.tightness = None;
                    self.field.clear();
                    self.tests.clear();
                }
                Part::Findings => {
                    if let Some(view) = &mut self.findings {
                        view.short.retain(|f| f.hazard);
                        view.appendix.clear();
                    }
                    self.findings = self.findings.filter(|v| !v.short.is_empty());
                }
                Part::Fit => {
                    self.house = None;
                    self.ladder = None;
                    self.known = None;
                    self.undetermined.clear();
                    self.beyond.clear();
                    self.answers.clear();
                }
                Part::Plans => {
                    self.plans = None;
                    self.todo.clear();
                    self.rooms.clear();
                }
                Part::Readings => {
                    self.residuals.clear();
                    self.next.clear();
                    self.next_notes.clear();
                }
                Part::Photos => self.photos.clear(),
                Part::Sources => {
                    self.instruments.clear();
                    self.tester.clear();
                }
            }
        }
        self
    }
}

/// Photos of one visit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PhotosOf {
    /// The visit, as people call it.
    pub visit: String,
    /// Those that can be shown.
    pub photos: Vec<Photo>,
    /// What is said of those that cannot: sentences.
    pub lacking: Vec<String>,
}

/// A photo as a part of the page.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Photo {
    /// The picture, a `data:` address.
    pub data: String,
    /// What it shows.
    pub shows: String,
    /// When, where, at which test: one line; may be empty.
    pub about: String,
}

/// One line of the safety block.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SafetyLine {
    /// What to do, in a few bold words.
    pub headline: String,
    /// What was found, as a sentence that leads to the number.
    pub found: String,
    /// The number, if there is one.
    pub measured: Option<Number>,
    /// The published limit.
    pub limit: Option<Limit>,
    /// Who has to act.
    pub who: String,
}

/// A complaint and its explanation.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Complaint {
    /// The person's own words.
    pub words: String,
    /// Who or where, if wanted.
    pub by: String,
    /// The testable statement made of it.
    pub statement: String,
    /// What explains it, as sentences.
    pub explanation: String,
    /// The numbers the explanation rests on.
    pub evidence: Vec<Evidence>,
}

/// A number with what it is.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Evidence {
    /// What it is.
    pub label: String,
    /// The number.
    pub number: Number,
}

/// How tight the house is, against a limit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Tightness {
    /// The standard's name of the number, such as `ACH50`.
    pub name: String,
    /// The number, by the standard.
    pub number: Number,
    /// The same with the wind counted, where it could be estimated: the one that is compared with the
    /// limit.
    pub wind_counted: Option<Number>,
    /// The limit, if one is adopted.
    pub limit: Option<Limit>,
    /// What the comparison comes to.
    pub verdict: Option<Verdict>,
    /// Other names of the same result, by the standard.
    pub others: Vec<Evidence>,
    /// Some of them with the wind counted; for the record, not for the one sheet.
    pub others_counted: Vec<Evidence>,
}
