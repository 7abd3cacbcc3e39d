//! What was found about the quantities: values with their intervals, where they come from, and the
//! state of the house they were taken in; and the draws that stand for them.

use super::quantity::QUANTITIES;
use super::{DRAWS, Mark};
use crate::diag::Span;
use crate::measure::{Estimate, Interval, NoInterval, normal_quantile};
use crate::rng::Stream;
use crate::{math, rule};
use serde::Serialize;

/// Where a value comes from.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Origin {
    /// A worked test.
    Test {
        /// Folder of its visit.
        visit: String,
        /// Its name.
        name: String,
    },
    /// A single reading.
    Reading {
        /// Folder of its visit.
        visit: String,
        /// Where it was written.
        span: Span,
    },
    /// Conditions of a visit.
    Conditions {
        /// Folder of the visit.
        visit: String,
    },
    /// The fit: all readings together.
    Fit,
    /// A complaint.
    Complaint,
    /// The house file.
    House,
    /// Typed by a person as seen.
    Seen {
        /// When, or by whom, in their words.
        note: Option<String>,
        /// Where it was written.
        span: Span,
    },
}

/// A value, or whether something is so.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(untagged)]
pub enum Value {
    /// A number with its interval.
    Number(Estimate),
    /// True or false.
    Flag(bool),
}

/// One piece of evidence.
#[derive(Clone, Debug, PartialEq)]
pub struct Item {
    /// Slot of its quantity.
    pub slot: usize,
    /// What it is of, where the quantity is not of the whole house: a name in the documents.
    pub of: Option<String>,
    /// The same as people read it.
    pub label: Option<String>,
    /// The zone it is in or about, by name.
    pub zone: Option<String>,
    /// The value.
    pub value: Value,
    /// Draws of the posterior, [`DRAWS`] of them, where it comes from the fit.
    pub draws: Option<Vec<f64>>,
    /// States of the house that were recorded: held (true) or not (false).
    pub setup: Vec<(&'static str, bool)>,
    /// Where it comes from.
    pub origin: Origin,
    /// For a quantity that is itself a limit: where the limit stands, and its mark.
    pub limit: Option<(String, Mark)>,
}

impl Item {
    /// A value of this quantity.
    pub fn new(slot: usize, value: Value, origin: Origin) -> Item {
        Item {
            slot,
            of: None,
            label: None,
            zone: None,
            value,
            draws: None,
            setup: Vec::new(),
            origin,
            limit: None,
        }
    }

    /// Of what.
    #[must_use]
    pub fn of(mut self, name: &str, label: &str, zone: Option<&str>) -> Item {
        self.of = Some(name.to_owned());
        self.label = Some(label.to_owned());
        self.zone = zone.map(str::to_owned);
        self
    }

    /// The state of the house it was taken in.
    #[must_use]
    pub fn setup(mut self, setup: &[(&'static str, bool)]) -> Item {
        self.setup.extend_from_slice(setup);
        self
    }

    /// Whether its doubt is known: it has an interval, is exact, or carries draws.
    pub fn doubt_is_known(&self) -> bool {
        let exact =
            |e: &Estimate| matches!(e.interval, Interval::Range { .. } | Interval::None(NoInterval::Exact));
        match &self.value {
            Value::Flag(_) => true,
            Value::Number(e) => self.draws.is_some() || exact(e),
        }
    }

    /// [`DRAWS`] values that stand for it, in the common order.
    ///
    /// A number's draws are normal or lognormal, whichever its interval is more even in; a half on
    /// each side of the value, so that both ends of the interval are kept. The stream is named by the
    /// quantity and what it is of: the same evidence has the same draws in every rule.
    pub fn lanes(&self, seed: u64) -> Vec<f64> {
        if let Some(draws) = &self.draws {
            return draws.clone();
        }
        match &self.value {
            Value::Flag(yes) => vec![f64::from(u8::from(*yes)); DRAWS],
            Value::Number(e) => spread(e, &self.stream(), seed),
        }
    }

    fn stream(&self) -> String {
        let name = QUANTITIES.get(self.slot).map_or("", |q| q.name);
        format!("finding/{name}/{}", self.of.as_deref().unwrap_or(""))
    }
}

fn spread(e: &Estimate, stream: &str, seed: u64) -> Vec<f64> {
    let Interval::Range { lo, hi, level } = e.interval else { return vec![e.si; DRAWS] };
    if !(e.si.is_finite() && lo.is_finite() && hi.is_finite()) {
        return vec![e.si; DRAWS];
    }
    let z = normal_quantile(0.5 + level / 2.0);
    let mut random = Stream::new(seed, stream);
    let uneven = |below: f64, above: f64| (above - below).abs() / (above + below).max(f64::MIN_POSITIVE);
    let log = lo > 0.0 && uneven(math::ln(e.si / lo), math::ln(hi / e.si)) < uneven(e.si - lo, hi - e.si);
    let (mid, below, above) = if log {
        let mid = math::ln(e.si);
        (mid, mid - math::ln(lo), math::ln(hi) - mid)
    } else {
        (e.si, e.si - lo, hi - e.si)
    };
    let one = |_| {
        let x = random.normal() / z;
        let moved = mid + x * if x < 0.0 { below } else { above };
        if log { math::exp(moved) } else { moved }
    };
    (0..DRAWS).map(one).collect()
}

/// Everything found about a job.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Evidence {
    /// In the order found: of two about the same thing in the same state the later one counts.
    pub items: Vec<Item>,
    /// Whether the draws of the fit are few or do not hold: chances in words only.
    pub few_draws: bool,
    /// Seed.
    pub seed: u64,
}

impl Evidence {
    /// What a rule may read, besides its own limits: one signal a quantity.
    pub fn signals() -> rule::Signals {
        let signal = |q: &super::quantity::Named| rule::Signal {
            name: q.name.to_owned(),
            kind: q.kind,
            low: f64::NEG_INFINITY,
            high: f64::INFINITY,
            usual: 0.0,
            whole: false,
        };
        rule::Signals { list: QUANTITIES.iter().map(signal).collect(), devices: Vec::new() }
    }
}
