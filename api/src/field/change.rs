//! The change between two envelope tests.

use super::{Around, Done};
use crate::TestResult;
use engine::diag::{Diagnostic, code};
use engine::doc::Sp;
use engine::doc::field::change::{self, Change};
use engine::procedure::change::{Asked, Criterion, Side, compare};

pub(super) fn work(asked: &Change, around: &Around<'_>) -> Option<Done> {
    let first = side(&asked.first, around);
    let second = side(&asked.second, around);
    let change = compare(&Asked {
        first: first?,
        second: second?,
        criterion: asked.criterion.map(|c| match c {
            change::Criterion::Flow(q) => Criterion::Flow(q),
            change::Criterion::Share(s) => Criterion::Share(s),
        }),
        source: asked.source.clone(),
        accepted: asked.accepted.clone(),
    })?;
    Some(Done::new(&change, change.worked.clone()))
}

pub(super) fn side<'a>(name: &Sp<String>, around: &Around<'a>) -> Option<Side<'a>> {
    let called = |t: &TestResult| format!("{}/{}", t.visit.trim_start_matches("visits/"), t.result.name);
    let here = |t: &&TestResult| t.visit == around.visit.folder && t.result.name == name.value;
    let all = around.envelope;
    let worked = all.iter().find(|t| called(t) == name.value).or_else(|| all.iter().find(here));
    let Some(worked) = worked.filter(|t| t.result.figures.flow_at(50.0).is_some()) else {
        let known: Vec<String> = all.iter().map(called).collect();
        around.say(
            Diagnostic::error(code::L106)
                .at(name.span.clone())
                .arg("name", name.value.as_str())
                .arg("known", known.join(", "))
                .arg(
                    "near",
                    engine::text::closest(&name.value, known.iter().map(String::as_str)).unwrap_or(""),
                ),
        );
        return None;
    };
    Some(Side {
        name: called(worked),
        result: &worked.result,
        prepared: &worked.prepared,
        method: worked.method.as_deref(),
        instruments: worked.instruments.clone(),
    })
}
