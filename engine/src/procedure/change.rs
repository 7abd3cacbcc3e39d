//! The change between two envelope tests, with the criterion first.

use super::envelope::EnvelopeResult;
use super::field::{LEVEL, Limit, Note, Worked};
use super::verdict::Verdict;
use crate::measure::{Estimate, NoInterval, normal_below, normal_quantile};
use crate::units::Quantity;
use serde::Serialize;

/// One of the two tests.
#[derive(Clone, Debug, PartialEq)]
pub struct Side<'a> {
    /// Its name, with its visit.
    pub name: String,
    /// Its result.
    pub result: &'a EnvelopeResult,
    /// How each opening was prepared.
    pub prepared: &'a [(String, String)],
    /// Preparation method.
    pub method: Option<&'a str>,
    /// What identifies its instruments: serial numbers, or names within one visit.
    pub instruments: Vec<String>,
}

/// The least fall that counts as success, set before the result.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Criterion {
    /// A flow at 50 Pa, m3/s.
    Flow(f64),
    /// A share of the first test's flow.
    Share(f64),
}

/// What is asked.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked<'a> {
    /// The test before.
    pub first: Side<'a>,
    /// The test after.
    pub second: Side<'a>,
    /// The criterion, if one was set.
    pub criterion: Option<Criterion>,
    /// Who set it.
    pub source: String,
    /// Why differences of the setups do not matter, in the tester's words.
    pub accepted: Option<String>,
}

/// What the comparison comes to.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Change {
    /// Second minus first, m3/s at 50 Pa.
    pub flow50: Estimate,
    /// The same as a share of the first.
    pub share: Estimate,
    /// Whether the instruments' own error is shared by both tests.
    pub shared_error: bool,
    /// Chance that the criterion is met, 0 to 1.
    pub chance: Option<f64>,
    /// How it stands against the criterion; absent without one, or where it is withheld.
    pub verdict: Option<Verdict>,
    /// What the two numbers alone would say.
    pub plain: Option<Verdict>,
    /// What differs between the setups.
    #[serde(skip)]
    pub differences: Vec<Note>,
    /// In the shape of all tests.
    #[serde(skip)]
    pub worked: Worked,
}

/// Compares the flows at 50 Pa.
///
/// Scatter and baseline of each test are its own. The gain of an instrument is one number: where
/// the same instruments took both tests it scales both flows alike, so that of the change only
/// `gain x change` is left; else each test has its own (JCGM 100:2008, 5.2.2, with correlation 1
/// and 0). The chance is that of a normal distribution of the change.
///
/// Nothing where a test has no flow at 50 Pa. A function of two worked tests:
///
/// ```
/// use engine::procedure::change::{Asked, Change, Criterion, Side, compare};
/// use engine::procedure::envelope::EnvelopeResult;
/// fn fell_by_a_fifth<'a>(before: Side<'a>, after: Side<'a>) -> Option<Change> {
///     let criterion = Some(Criterion::Share(0.2));
///     compare(&Asked { first: before, second: after, criterion, source: String::new(), accepted: None })
/// }
/// ```
pub fn compare(asked: &Asked<'_>) -> Option<Change> {
    let of = |side: &Side<'_>| {
        let at = side.result.figures.flow_at(50.0)?;
        Some((at.flow.total.si, at.parts)).filter(|(q, _)| q.is_finite() && *q > 0.0)
    };
    let (q1, parts1) = of(&asked.first)?;
    let (q2, parts2) = of(&asked.second)?;
    let shared_error =
        !asked.first.instruments.is_empty() && asked.first.instruments == asked.second.instruments;
    let (split1, split2) = (parts1.split(), parts2.split());
    let stated = parts1.total().is_some() && parts2.total().is_some();
    let fall = q1 - q2;
    // 95 % half widths throughout.
    let variance = q1 * q1 * split1.own
        + q2 * q2 * split2.own
        + if shared_error {
            fall * fall * split1.shared
        } else {
            q1 * q1 * split1.shared + q2 * q2 * split2.shared
        };
    let half = variance.sqrt();
    // The share divides by the first flow, whose own error moves both.
    let ratio = q2 / q1;
    let ratio_variance =
        split1.own + split2.own + if shared_error { 0.0 } else { split1.shared + split2.shared };
    let share_half = ratio * ratio_variance.sqrt();
    let told = |si: f64, half: f64, quantity| match stated {
        true => Estimate::range(si, si - half, si + half, LEVEL, quantity),
        false => Estimate::without(si, quantity, NoInterval::TypedWithoutInstrument),
    };
    let flow50 = told(-fall, half, Quantity::AirFlow);
    let share = told(ratio - 1.0, share_half, Quantity::Fraction);
    let differences = differences(&asked.first, &asked.second);
    let withheld = !differences.is_empty() && asked.accepted.is_none();
    // The least fall as a highest allowed change.
    let (value, half, most) = match asked.criterion {
        Some(Criterion::Flow(least)) => (flow50, half, Some(-least)),
        Some(Criterion::Share(least)) => (share, share_half, Some(-least)),
        None => (flow50, half, None),
    };
    let judged = |value: &Estimate| most.map(|most| Verdict::of(Some(value), None, Some(most), true));
    let bare = Estimate::without(value.si, value.quantity, NoInterval::NotDefined);
    let plain = judged(&bare);
    let known = stated && half > 0.0;
    let verdict = if withheld || !stated { None } else { judged(&value) };
    let sd = half / normal_quantile(0.5 + LEVEL / 2.0);
    let chance = most.filter(|_| known && !withheld).map(|most| normal_below((most - value.si) / sd));
    let mut change = Change {
        flow50,
        share,
        shared_error,
        chance,
        verdict,
        plain,
        differences,
        worked: Worked::default(),
    };
    change.worked = worked(&change, asked, value, most, withheld);
    Some(change)
}

fn worked(change: &Change, asked: &Asked<'_>, value: Estimate, most: Option<f64>, withheld: bool) -> Worked {
    let mut worked = Worked::default();
    let names =
        |note: Note| note.arg("first", asked.first.name.as_str()).arg("second", asked.second.name.as_str());
    worked.notes.push(names(Note::lead("note-change-of")));
    if let Some(most) = most {
        let criterion = Note::lead("note-change-criterion").arg("criterion", (-most, value.quantity));
        worked.notes.push(criterion);
    }
    if withheld {
        worked.notes.push(Note::caution("note-change-withheld"));
    } else if let Some(why) = asked.accepted.as_ref().filter(|_| !change.differences.is_empty()) {
        worked.notes.push(Note::new("note-change-accepted").arg("why", why.as_str()));
    }
    worked.notes.extend(change.differences.iter().cloned());
    match change.verdict {
        Some(Verdict::Pass) => worked.notes.push(Note::new("note-change-met")),
        Some(Verdict::Fail) => worked.notes.push(Note::new("note-change-not-met")),
        Some(Verdict::TooClose) => worked.notes.push(Note::new("note-change-too-close")),
        _ => {}
    }
    match change.plain {
        Some(Verdict::Pass) => worked.notes.push(Note::new("note-change-plain-met")),
        Some(Verdict::Fail) => worked.notes.push(Note::new("note-change-plain-not-met")),
        _ => {}
    }
    let shared = if change.shared_error { "note-change-shared" } else { "note-change-apart" };
    worked.notes.push(Note::new(shared));
    worked.figure("figure-change-flow50", change.flow50);
    worked.figure("figure-change-share", change.share);
    if let Some(chance) = change.chance {
        worked.notes.push(match chance {
            c if c > 0.99 => Note::new("note-change-chance-high"),
            c if c < 0.01 => Note::new("note-change-chance-low"),
            c => Note::new("note-change-chance").arg("chance", (c, Quantity::Fraction)),
        });
    }
    if let Some(most) = most.filter(|_| !withheld) {
        worked.checks.push(Limit::at_most(most, &asked.source, true).check("check-change", Some(value)));
    }
    worked
}

/// What differs between two setups in a way that matters.
fn differences(first: &Side<'_>, second: &Side<'_>) -> Vec<Note> {
    let mut list = Vec::new();
    let directions = |side: &Side<'_>| {
        let runs = side.result.runs.iter().map(|r| r.direction as u8);
        runs.collect::<std::collections::BTreeSet<_>>()
    };
    if directions(first) != directions(second) {
        list.push(Note::new("note-change-differs-direction"));
    }
    if first.result.profile != second.result.profile {
        let note = Note::new("note-change-differs-standard");
        list.push(note.arg("first", first.result.standard).arg("second", second.result.standard));
    }
    if first.method != second.method {
        let note = Note::new("note-change-differs-method");
        list.push(note.arg("first", first.method.unwrap_or("")).arg("second", second.method.unwrap_or("")));
    }
    let state = |side: &Side<'_>, name: &str| {
        side.prepared.iter().find(|(n, _)| n == name).map_or_else(String::new, |(_, s)| s.trim().to_owned())
    };
    let mut names: Vec<&str> = Vec::new();
    for (name, _) in first.prepared.iter().chain(second.prepared) {
        if !names.contains(&name.as_str()) {
            names.push(name);
        }
    }
    for name in names {
        let (a, b) = (state(first, name), state(second, name));
        if a != b {
            let note = Note::new("note-change-differs-opening").arg("opening", name);
            list.push(note.arg("first", a).arg("second", b));
        }
    }
    list
}
