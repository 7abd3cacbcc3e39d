//! Pressures that fans make.

use super::{Around, Done};
use engine::doc::field::FieldTest;
use engine::doc::field::fan_pressures::FanPressures;
use engine::procedure::fan_pressure::{Asked, Baseline, State, evaluate};
use engine::procedure::field::Limit;

pub(super) fn work(asked: &FanPressures, test: &FieldTest, around: &Around<'_>) -> Option<Done> {
    let states = asked.states.iter().enumerate().map(|(k, s)| State {
        // A state without a name and without a fan is told by its number.
        name: if s.name.is_empty() { format!("#{}", k + 1) } else { s.name.clone() },
        shown_pa: s.shown_pa.clone(),
    });
    let limit = asked.limit.value.map(|pa| {
        let source = asked.limit.source.clone().unwrap_or_default();
        let confirmed = asked.limit.confirmed;
        // What is too low is below zero, and what is too high above it.
        let limit = if pa < 0.0 { Limit::at_least(pa, "", false) } else { Limit::at_most(pa, "", false) };
        Limit { source, confirmed, ..limit }
    });
    let (result, said) = evaluate(&Asked {
        test: test.name.value.clone(),
        baseline: Baseline {
            before_pa: asked.baseline_before.clone(),
            after_pa: asked.baseline_after.clone(),
        },
        states: states.collect(),
        gauge: around.gauge(asked.pressure_with.as_ref(), asked.wandered_pa),
        limit,
    });
    around.said(test, said);
    Some(Done::new(&result, result.worked()))
}
