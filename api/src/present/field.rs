//! Field tests as people see them.

use crate::FieldResult;
use engine::measure::{Estimate, NoInterval};
use engine::procedure::field::{Check, Note};
use engine::procedure::source::source;
use engine::procedure::verdict::Verdict;
use engine::units::Quantity;
use report::view::{self, CheckState, Evidence, Number};
use report::words::{Show, Usage, Words};

/// All tests of a job.
pub(crate) fn tests(results: &[FieldResult], words: &Words) -> Vec<view::FieldTest> {
    results.iter().map(|r| test(r, words)).collect()
}

/// Key of the name of a kind of test.
pub(crate) fn kind_key(kind: &str) -> String {
    format!("test-{}", kind.replace(' ', "-"))
}

fn test(result: &FieldResult, words: &Words) -> view::FieldTest {
    let kind = words.say(&kind_key(result.kind));
    let name = result.name.replace('_', " ");
    let worked = &result.worked;
    let figures = worked.figures.iter().map(|f| Evidence {
        label: named(f.id, f.of.as_deref(), words),
        number: Number::computed(f.number).used_as(usage(f.id)),
    });
    view::FieldTest {
        title: if name == kind { name } else { format!("{name}: {kind}") },
        cautions: worked.notes.iter().filter(|n| n.caution).map(|n| note(n, words)).collect(),
        lead: worked.notes.iter().filter(|n| n.lead).map(|n| note(n, words)).collect(),
        figures: figures.collect(),
        checks: worked.checks.iter().map(|c| check(c, words)).collect(),
        notes: (worked.notes.iter().filter(|n| !n.caution && !n.lead).map(|n| note(n, words)))
            .chain(result.note.iter().map(|n| words.text("field-note", &[("note", n.as_str().into())])))
            .collect(),
    }
}

/// The unit that the trade shows a figure or a check in.
pub(crate) fn usage(id: &str) -> Usage {
    let holds = |words: &[&str]| words.iter().any(|w| id.contains(w));
    match () {
        () if holds(&["spillage"]) => Usage::Seconds,
        () if holds(&["-at50", "-at-most"]) || id.starts_with("figure-through-zone") => Usage::TestFlow,
        () if holds(&["return-path"]) => Usage::LeakageArea,
        () => Usage::Usual,
    }
}

/// What a figure is called.
pub(crate) fn named(id: &str, of: Option<&str>, words: &Words) -> String {
    let name = words.say(id);
    match of {
        Some(of) => words.text("field-of", &[("name", name.into()), ("of", of.replace('_', " ").into())]),
        None => name,
    }
}

fn note(note: &Note, words: &Words) -> String {
    words.text(note.id, &note.args)
}

fn check(check: &Check, words: &Words) -> view::Check {
    let quantity = check.value.map_or(Quantity::Number, |v| v.quantity);
    let number = |si: f64| match quantity {
        Quantity::Number => words.number(si),
        quantity => words.about(si, quantity, Show::usage(usage(check.id))),
    };
    let wanted = match (check.lo, check.hi) {
        (Some(lo), Some(hi)) => words.from_to(&number(lo), &number(hi)),
        (Some(lo), None) => words.text("wanted-at-least", &[("value", number(lo).into())]),
        (None, Some(hi)) => words.text("wanted-at-most", &[("value", number(hi).into())]),
        (None, None) => String::new(),
    };
    let citation = source(&check.source).map_or(check.source.as_str(), |s| s.citation);
    let clause = check.clause.as_ref().map_or_else(String::new, |c| format!("{c}; "));
    let confirmed =
        if check.confirmed { String::new() } else { format!(" ({})", words.say("limit-not-confirmed")) };
    view::Check {
        name: named(check.id, check.of.as_deref(), words),
        found: check.value.map_or_else(|| words.say("not-measured"), |v| found(&v, usage(check.id), words)),
        wanted,
        source: format!("{clause}{citation}{confirmed}"),
        state: match check.verdict {
            Verdict::Pass => CheckState::Holds,
            Verdict::Fail => CheckState::Failed,
            Verdict::TooClose | Verdict::LimitNotConfirmed | Verdict::CannotTell => CheckState::Undecided,
        },
    }
}

fn found(value: &Estimate, usage: Usage, words: &Words) -> String {
    let bare = Estimate::without(value.si, value.quantity, NoInterval::NotDefined);
    words
        .shown_estimate(if value.bounds().is_some() { value } else { &bare }, Show::usage(usage))
        .value
        .to_string()
}
