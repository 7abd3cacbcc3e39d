//! `kind = "change"`: two envelope tests compared, with the criterion set before.

use crate::diag::{Diagnostic, code};
use crate::doc::Sp;
use crate::doc::read::Tab;
use crate::units::{self, Quantity as Q};

/// The least fall that counts as success.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Criterion {
    /// A flow at 50 Pa, m3/s.
    Flow(f64),
    /// A share of the first test's flow.
    Share(f64),
}

/// The document.
#[derive(Clone, Debug, PartialEq)]
pub struct Change {
    /// The test before: `2026-11-12/envelope`, or a test of this visit.
    pub first: Sp<String>,
    /// The test after.
    pub second: Sp<String>,
    /// The criterion.
    pub criterion: Option<Criterion>,
    /// Who set it.
    pub source: String,
    /// Why differences of the setups do not matter.
    pub accepted: Option<String>,
}

/// Reads it.
pub(super) fn read(t: &Tab<'_, '_>) -> Option<Change> {
    let first = t.need("first", t.text("first"));
    let second = t.need("second", t.text("second"));
    let fall = t.text("down_by");
    let criterion = fall.and_then(|fall| {
        let share = units::parse(&fall.value, Q::Fraction).ok().filter(|s| (0.0..=1.0).contains(&s.si));
        match (share, units::parse(&fall.value, Q::AirFlow)) {
            (Some(share), _) => Some(Criterion::Share(share.si)),
            (None, Ok(flow)) if flow.si >= 0.0 => Some(Criterion::Flow(flow.si)),
            _ => {
                t.say(Diagnostic::error(code::L107).at(fall.span).arg("found", fall.value.as_str()));
                None
            }
        }
    });
    let source = t.text("source").map_or_else(String::new, |s| s.value);
    let accepted = t.text("accept_differences").map(|a| a.value);
    Some(Change { first: first?, second: second?, criterion, source, accepted })
}
