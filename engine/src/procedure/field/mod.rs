//! What every field test comes to: named figures with intervals, checks against limits, sentences.
//!
//! Each test has its own typed result; [`Worked`] is what results of every kind are shown, printed
//! and exported by. Ids are keys of the message catalogues: `figure-...`, `check-...`, `note-...`.

use super::verdict::Verdict;
use crate::diag::Arg;
use crate::measure::{Estimate, NoInterval};
use serde::Serialize;

/// Probability that the interval of a test's result is stated for.
pub const LEVEL: f64 = 0.95;

/// One number of a result.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Figure {
    /// Key of its name, `figure-...`.
    pub id: &'static str,
    /// Of what, where the test has several of a kind: a register, a zone, a pollutant.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub of: Option<String>,
    /// The number.
    pub number: Estimate,
}

/// One validity check or comparison with a limit, and how it came out.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Check {
    /// Key of its name, `check-...`.
    pub id: &'static str,
    /// Of what, where the test has several of a kind.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub of: Option<String>,
    /// What was found; absent where it was not measured.
    pub value: Option<Estimate>,
    /// Lowest allowed value, SI, of the value's quantity.
    pub lo: Option<f64>,
    /// Highest allowed value, SI.
    pub hi: Option<f64>,
    /// How it came out.
    pub verdict: Verdict,
    /// Clause of the standard, where it is known.
    pub clause: Option<String>,
    /// Id of the text the limit rests on ([`super::source`]), or the user's own words for it.
    pub source: String,
    /// Whether the limit was read there; else it never decides.
    pub confirmed: bool,
}

/// A limit before anything is held against it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Limit {
    /// Lowest allowed value, SI.
    pub lo: Option<f64>,
    /// Highest allowed value, SI.
    pub hi: Option<f64>,
    /// Clause, where it is known.
    pub clause: Option<String>,
    /// Id of the text it rests on, or the user's own words for it.
    pub source: String,
    /// Whether it was read there.
    pub confirmed: bool,
}

impl Limit {
    /// At most `hi`, from the text with this id.
    pub fn at_most(hi: f64, source: &str, confirmed: bool) -> Limit {
        Limit { hi: Some(hi), source: source.to_owned(), confirmed, ..Limit::default() }
    }

    /// At least `lo`, from the text with this id.
    pub fn at_least(lo: f64, source: &str, confirmed: bool) -> Limit {
        Limit { lo: Some(lo), source: source.to_owned(), confirmed, ..Limit::default() }
    }

    /// Holds a value against it: with its whole interval, so that a limit inside the interval is
    /// too close to call.
    pub fn check(&self, id: &'static str, value: Option<Estimate>) -> Check {
        let verdict = Verdict::of(value.as_ref(), self.lo, self.hi, self.confirmed);
        Check {
            id,
            of: None,
            value: value.filter(|v| v.si.is_finite()),
            lo: self.lo,
            hi: self.hi,
            verdict,
            clause: self.clause.clone(),
            source: self.source.clone(),
            confirmed: self.confirmed,
        }
    }
}

impl Check {
    /// The same check of one of several.
    #[must_use]
    pub fn of(mut self, of: &str) -> Check {
        self.of = Some(of.to_owned());
        self
    }
}

/// A sentence that belongs to a result.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Note {
    /// Key of its text, `note-...`.
    pub id: &'static str,
    /// Whether it is a caution: shown first and marked.
    pub caution: bool,
    /// Whether it is said before the numbers, as a criterion is.
    #[serde(skip)]
    pub lead: bool,
    /// Values for the text.
    pub args: Vec<(&'static str, Arg)>,
}

impl Note {
    /// A sentence without values.
    pub fn new(id: &'static str) -> Note {
        Note { id, caution: false, lead: false, args: Vec::new() }
    }

    /// A caution without values.
    pub fn caution(id: &'static str) -> Note {
        Note { caution: true, ..Note::new(id) }
    }

    /// A sentence that is said before the numbers.
    pub fn lead(id: &'static str) -> Note {
        Note { lead: true, ..Note::new(id) }
    }

    /// Adds a value.
    #[must_use]
    pub fn arg(mut self, name: &'static str, value: impl Into<Arg>) -> Note {
        self.args.push((name, value.into()));
        self
    }
}

/// What a test comes to, in the same shape for every kind.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Worked {
    /// Its numbers, the one people ask for first.
    pub figures: Vec<Figure>,
    /// Its checks.
    pub checks: Vec<Check>,
    /// Sentences that belong to it.
    pub notes: Vec<Note>,
}

impl Worked {
    /// Adds a figure.
    pub fn figure(&mut self, id: &'static str, number: Estimate) {
        self.figures.push(Figure { id, of: None, number });
    }

    /// Adds a figure of one of several.
    pub fn figure_of(&mut self, id: &'static str, of: &str, number: Estimate) {
        self.figures.push(Figure { id, of: Some(of.to_owned()), number });
    }

    /// The figure of this id, of nothing in particular or of the first.
    pub fn get(&self, id: &str) -> Option<&Estimate> {
        self.figures.iter().find(|f| f.id == id).map(|f| &f.number)
    }

    /// Whether a check whose limit was read failed.
    pub fn fails(&self) -> bool {
        self.checks.iter().any(|c| c.verdict == Verdict::Fail)
    }
}

/// A computed value for a sentence, rounded to one part in `steps`: a tenth of a pascal, a ppm.
pub fn rounded(si: f64, steps: f64) -> f64 {
    (si * steps).round() / steps
}

/// A number with the half width of its 95 % interval; without one where the half width is absent.
pub fn around(si: f64, half: Option<f64>, quantity: crate::units::Quantity) -> Estimate {
    match half {
        Some(half) => Estimate::range(si, si - half, si + half, LEVEL, quantity),
        None => Estimate::without(si, quantity, NoInterval::TypedWithoutInstrument),
    }
}
