//! What the pages are made from: plain data, filled by whoever has computed it.
//!
//! No solver types. A text that is the user's own (names, complaints) stands as written; a text of
//! the program comes in already worded in the language of the page. Numbers are [`Number`]s: an
//! estimate, what it is used for, and whether it was measured, computed or assumed.

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
    /// Zone the air comes from, or [`OUTDOORS`].
    pub from: String,
    /// Zone the air goes to, or [`OUTDOORS`].
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

/// Whether a plan may be acted on.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum PlanStatus {
    /// Computed, not released, and why.
    Held(Vec<String>),
    /// May go into a work scope, to be kept to these conditions; none where nothing in it is felt by
    /// an appliance that burns fuel.
    Released(Vec<String>),
}

/// A plan.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Plan {
    /// Letter on the page.
    pub letter: String,
    /// Name.
    pub name: String,
    /// What is changed.
    pub changes: Vec<String>,
    /// Price.
    pub price: Number,
    /// Held or released.
    pub status: PlanStatus,
    /// Chance of being best, 0 to 1; 0 for a held plan.
    pub best_frac: f64,
    /// For a held plan: the chance of being best if every plan were released, 0 to 1.
    pub if_released_frac: Option<f64>,
    /// Chance of meeting every target, 0 to 1.
    pub targets_frac: f64,
    /// Whether it is the best one; never true for a held plan.
    pub best: bool,
}

/// One score of all plans.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Score {
    /// What is scored.
    pub name: String,
    /// Place and period.
    pub detail: String,
    /// Target, if there is one.
    pub target: Option<Limit>,
    /// The house as found.
    pub as_found: Option<Number>,
    /// One number a plan, in the order of the plans.
    pub plans: Vec<Number>,
}

/// Plans side by side.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Plans {
    /// What best means here.
    pub rule: String,
    /// The plans.
    pub list: Vec<Plan>,
    /// Chance that leaving the house as found is best, 0 to 1. With the plans' `best_frac` it makes 1.
    pub as_found_frac: f64,
    /// Chance that no plan meets every target, 0 to 1.
    pub none_meets_frac: f64,
    /// Scores, a figure each.
    pub scores: Vec<Score>,
    /// Other quantities, a row each.
    pub rest: Vec<Score>,
    /// What the doubt between the best hangs on, what searches found; a sentence each.
    pub notes: Vec<String>,
    /// Bad days that the plans lived through.
    pub bad_days: Vec<BadDays>,
}

/// An event and what it came to in every plan.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct BadDays {
    /// What happens, for how long, from which day on.
    pub title: String,
    /// In how many houses, and what the reader must know.
    pub note: String,
    /// A quantity each.
    pub rows: Vec<BadDaysRow>,
}

/// One quantity of an event.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BadDaysRow {
    /// What.
    pub name: String,
    /// The house as found.
    pub as_found: Number,
    /// For each plan its value, and that less the house as found.
    pub plans: Vec<[Number; 2]>,
}

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
    /// The other side of a door or fan, by its id or [`OUTDOORS`].
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
