//! Combustion that has to be tested again: at the end of each day on which shell, fans or air handler
//! were changed, and at test-out.

use crate::diag::{Diagnostic, Span, code};
use crate::doc::field::Asked;
use crate::doc::field::combustion_zone::Stage;
use crate::doc::house::Draft;
use crate::doc::screen::{ChangedPart, day_of};
use crate::doc::visit::Visit;
use crate::house::House;
use serde::Serialize;

/// Where the rule stands that asks for it at the end of a day.
pub const DAY_SOURCE: &str = "state-programme-combustion";
/// Where the rule stands that asks for it after the work.
pub const AFTER_SOURCE: &str = "irc-2015-app-d";

/// How a repeat stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Standing {
    /// Done at the end of the day.
    Done,
    /// Done, on a later day.
    Late,
    /// Owed.
    Owed,
}

/// Work of one day.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Day {
    /// The date.
    pub day: String,
    /// What was changed that an appliance feels.
    pub changed: Vec<String>,
    /// How the repeat stands.
    pub standing: Standing,
    /// Appliances whose results lack; empty where none is named.
    pub lacking: Vec<String>,
    /// Where the first change was written.
    pub span: Span,
}

/// All of it.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Repeats {
    /// Days with work, by date.
    pub days: Vec<Day>,
    /// The repeat after the work; nothing where nothing was changed.
    pub test_out: Option<Standing>,
    /// Appliances whose results lack at test-out.
    pub test_out_lacking: Vec<String>,
}

impl Repeats {
    /// Whether a repeat is owed now.
    pub fn is_owed(&self) -> bool {
        self.days.iter().any(|d| d.standing == Standing::Owed)
    }

    /// Whether the repeat at test-out is owed.
    pub fn is_test_out_owed(&self) -> bool {
        self.test_out == Some(Standing::Owed)
    }

    /// A warning for each day whose repeat is owed.
    pub fn diagnostics(&self) -> impl Iterator<Item = Diagnostic> {
        self.days.iter().filter(|d| d.standing == Standing::Owed).map(|d| {
            Diagnostic::warning(code::O107)
                .at(d.span.clone())
                .arg("day", d.day.as_str())
                .arg("what", d.changed.join("; "))
        })
    }
}

/// What was changed, by day: `[[changed]]` and the repairs of sealing sessions.
fn days(visits: &[Visit]) -> Vec<Day> {
    let mut days: Vec<Day> = Vec::new();
    let mut add = |day: &str, what: &str, span: &Span| match days.iter_mut().find(|d| d.day == day) {
        Some(d) => d.changed.push(what.to_owned()),
        None => days.push(Day {
            day: day.to_owned(),
            changed: vec![what.to_owned()],
            standing: Standing::Owed,
            lacking: Vec::new(),
            span: span.clone(),
        }),
    };
    for visit in visits {
        for c in visit.care.changed.iter().filter(|c| c.part != ChangedPart::Other) {
            add(&c.day, &c.what, &c.span);
        }
        for test in &visit.field {
            let Asked::Sealing(session) = &test.asked else { continue };
            for repair in &session.repairs {
                add(&day_of(None, &visit.date), &repair.what.value, &repair.what.span);
            }
        }
    }
    days.sort_by(|a, b| a.day.cmp(&b.day));
    days
}

/// Appliances that have no full result in any of these visits' tests of a stage: spillage where the draft
/// asks for it, and CO in the flue.
fn lacking(house: &House, visits: &[&Visit], stage: impl Fn(Stage) -> bool) -> Vec<String> {
    let tests = || {
        visits.iter().flat_map(|v| &v.field).filter_map(|t| match &t.asked {
            Asked::CombustionZone(c) if stage(c.stage) => Some(c),
            _ => None,
        })
    };
    let lacks = |a: &&crate::house::Appliance| {
        let spills = matches!(a.draft, Draft::Natural | Draft::FanAssisted);
        let spillage = tests().any(|t| t.spillage.iter().any(|s| s.record.appliance.value == a.name));
        let flue =
            tests().any(|t| t.flue_co.iter().chain(&t.oven).any(|f| f.record.appliance.value == a.name));
        (spills && !spillage) || !flue
    };
    house.appliances.iter().filter(lacks).map(|a| a.label.clone()).collect()
}

/// Which repeats are done and owed. Where the last look found no fuel and the house has no appliance there
/// is nothing to repeat.
pub fn repeats(visits: &[Visit], house: Option<&House>) -> Repeats {
    let appliances = house.is_some_and(|h| !h.appliances.is_empty());
    let looked = visits.iter().filter_map(|v| v.combustion.as_ref()).next_back();
    if !appliances && looked.is_some_and(|c| !c.fuel_present) {
        return Repeats::default();
    }
    let after = |s: Stage| s != Stage::AsFound;
    let tested = |visits: &[&Visit], stage: &dyn Fn(Stage) -> bool| -> (bool, Vec<String>) {
        let any = visits.iter().flat_map(|v| &v.field).any(
            |t| matches!(&t.asked, Asked::CombustionZone(c) if stage(c.stage) && !c.spillage.is_empty()),
        );
        match house.filter(|_| appliances) {
            Some(h) => {
                let lacking = lacking(h, visits, stage);
                (lacking.is_empty(), lacking)
            }
            None => (any, Vec::new()),
        }
    };
    let mut days = days(visits);
    for day in &mut days {
        let same: Vec<&Visit> = visits.iter().filter(|v| v.date == day.day).collect();
        let later: Vec<&Visit> = visits.iter().filter(|v| v.date > day.day).collect();
        let (done, lacks) = tested(&same, &after);
        // A test of a later day is one after the work, whatever its stage.
        let (late, _) = tested(&later, &|_| true);
        day.standing = match (done, late) {
            (true, _) => Standing::Done,
            (false, true) => Standing::Late,
            (false, false) => Standing::Owed,
        };
        day.lacking = if done { Vec::new() } else { lacks };
    }
    let mut out = Repeats::default();
    if let Some(last) = days.last() {
        let since: Vec<&Visit> = visits.iter().filter(|v| v.date >= last.day).collect();
        let (done, lacks) = tested(&since, &|s| s == Stage::TestOut);
        out.test_out = Some(if done { Standing::Done } else { Standing::Owed });
        out.test_out_lacking = lacks;
    }
    Repeats { days, ..out }
}
