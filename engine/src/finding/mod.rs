//! Findings: diagnoses from numbers. A rule says which pattern of quantities, taken in which state
//! of the house, points to what; how to confirm it, what would refute it, what it usually takes, who
//! may do it and what to be careful of.
//!
//! Rules are data ([`read()`]): the pattern is a condition in CEL over the [`quantity`] list and the
//! rule's own limits, lowered by [`crate::rule::condition`]. Evidence (`evidence`) are values with
//! intervals or draws; the pattern is asked of [`DRAWS`] draws, and the share in which it holds is its
//! chance. Draws of the fit share their index, so what the fit knows together stays together; other
//! evidence is drawn by itself (a gain that two tests share is not carried from one to the other).
//!
//! [`judge()`] runs rules of reading quality first: what they find holds back every finding that rests
//! on the spoilt reading. Safety rules are held back by nothing and stand before all others. A rule
//! whose quantity or setup was not recorded is silent and says what it lacked. A limit that was only
//! recalled, or is a habit of the trade, decides nothing: such a finding is worth a look at most.

mod evidence;
mod judge;
pub mod quantity;
mod read;

pub use evidence::{Evidence, Item, Origin, Value};
pub use judge::{
    CauseShare, Chance, Finding, Findings, Group, Lack, LimitShown, NotFound, Silent, Standing, Used, judge,
};
pub use read::{Adopted, PLACEHOLDERS, Rules, read};

use crate::diag::Span;
use crate::doc::job::Measure;
use crate::doc::rules::Condition;
use crate::rule::Program;
use quantity::Class;
use serde::Serialize;

/// Draws that a pattern is asked of.
pub const DRAWS: usize = 400;

/// How well a pattern or a limit is supported.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Mark {
    /// Read in a retrieved text.
    Seen,
    /// Follows from a formula shown.
    Derived,
    /// Recalled, not read in a citable text.
    Memory,
    /// Common practice, no source.
    Practice,
    /// The user found it in force.
    Adopted,
}

impl Mark {
    /// Words of documents.
    pub const CHOICES: &'static [(&'static str, Mark)] = &[
        ("SEEN", Mark::Seen),
        ("DERIVED", Mark::Derived),
        ("MEMORY", Mark::Memory),
        ("PRACTICE", Mark::Practice),
    ];

    /// Whether it may decide.
    pub fn decides(self) -> bool {
        matches!(self, Mark::Seen | Mark::Derived | Mark::Adopted)
    }
}

/// Who may do what a finding takes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Who {
    /// Who tests.
    Tester,
    /// Who lives there.
    Occupant,
    /// The crew that seals, insulates, hangs ducts and fans.
    Crew,
    /// A licensed heating and cooling contractor.
    Hvac,
    /// A licensed person for the appliance and its vent.
    Appliance,
    /// Emergency services, called from outside.
    Emergency,
    /// A certified radon mitigator.
    Radon,
    /// Who set the sensors or controls up.
    Controls,
}

impl Who {
    /// Words of documents.
    pub const CHOICES: &'static [(&'static str, Who)] = &[
        ("tester", Who::Tester),
        ("occupant", Who::Occupant),
        ("crew", Who::Crew),
        ("heating and cooling contractor", Who::Hvac),
        ("licensed person for the appliance", Who::Appliance),
        ("emergency services", Who::Emergency),
        ("certified radon mitigator", Who::Radon),
        ("who set it up", Who::Controls),
    ];
}

/// What kind of rule.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Sort {
    /// About the reading itself; runs first.
    Quality,
    /// About people's lives; outranks everything.
    Safety,
    /// About the house.
    House,
}

impl Sort {
    /// Words of documents.
    pub const CHOICES: &'static [(&'static str, Sort)] =
        &[("reading quality", Sort::Quality), ("safety", Sort::Safety), ("house", Sort::House)];
}

/// A limit that a pattern names.
#[derive(Clone, Debug, PartialEq)]
pub struct Limit {
    /// Its name after `limit.`.
    pub name: String,
    /// Slot of the quantity it is a value of.
    pub of: usize,
    /// Value, SI.
    pub si: f64,
    /// Where it stands.
    pub source: String,
    /// How well it is supported.
    pub mark: Mark,
}

/// One possible cause.
#[derive(Clone, Debug, PartialEq)]
pub struct Cause {
    /// Its name.
    pub id: String,
    /// Weight against the other causes before any other evidence.
    pub weight: f64,
    /// Other evidence that makes it likelier, and how many times.
    pub more: Option<(Program, f64)>,
    /// Its words, where the rule is the user's own.
    pub says: Option<String>,
}

/// Words of a rule of the user's own.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Texts {
    /// The finding.
    pub says: String,
    /// What to do next to confirm it.
    pub test: String,
    /// What would refute it.
    pub refuted: String,
    /// What it usually takes.
    pub remedy: String,
    /// What to be careful of.
    pub caution: Option<String>,
}

/// One rule.
#[derive(Clone, Debug, PartialEq)]
pub struct Rule {
    /// Its name.
    pub id: String,
    /// Pattern of the list in `docs/FINDINGS.md`; nothing for the user's own.
    pub row: Option<usize>,
    /// The file it stands in, without folder and ending.
    pub family: String,
    /// What kind.
    pub sort: Sort,
    /// The pattern.
    pub when: Program,
    /// The pattern as written.
    pub text: Condition,
    /// Whether one of its quantities is enough.
    pub either: bool,
    /// Class of what it is asked of, one by one; nothing for the whole house.
    pub class: Option<Class>,
    /// Slots of its quantities.
    pub slots: Vec<usize>,
    /// Setups asked of the evidence for a slot.
    pub setup: Vec<(usize, &'static str)>,
    /// Its limits; their slots follow those of the quantities.
    pub limits: Vec<Limit>,
    /// Causes, the heaviest first as written.
    pub causes: Vec<Cause>,
    /// How long the confirming test takes, s.
    pub test_s: f64,
    /// Kind of that test as written in documents, where it is one of the program's.
    pub test_kind: Option<String>,
    /// Who may do what it takes.
    pub who: Who,
    /// A plan change as text with names to fill in.
    pub change: Option<String>,
    /// Quantities of complaints that it touches.
    pub touches: Vec<Measure>,
    /// Names of quantities, or `group.*`, that it spoils.
    pub spoils: Vec<String>,
    /// Where the pattern stands.
    pub source: String,
    /// How well it is supported.
    pub mark: Mark,
    /// Words, where the rule is the user's own.
    pub texts: Option<Texts>,
    /// Where it was written.
    pub span: Span,
}

impl Rule {
    /// Key of its words in the catalogues.
    pub fn key(&self) -> String {
        key(&self.id)
    }
}

/// Key of the words of a rule in the catalogues: `finding-no-return-path`.
pub fn key(id: &str) -> String {
    format!("finding-{}", id.replace('_', "-"))
}

/// Key of the words of a cause: `cause-no-return-path`.
pub fn cause_key(id: &str) -> String {
    format!("cause-{}", id.replace('_', "-"))
}
