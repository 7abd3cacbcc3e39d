//! Balance and recovery of a unit that supplies and exhausts.

use super::{Around, Done};
use engine::doc::field::recovery::{Recovery, Stream as Written};
use engine::procedure::recovery::{Asked, Stream, Tracer, evaluate};
use engine::units::Quantity;

pub(super) fn work(asked: &Recovery, around: &Around<'_>) -> Option<Done> {
    let stream = |s: &Written| s.temp_k.map(|temp_k| Stream { temp_k, rh_frac: s.rh_frac });
    let (supply, exhaust) = (around.flow(&asked.supply), around.flow(&asked.exhaust));
    let outdoors = around.visit.conditions.outdoor_k;
    let result = evaluate(&Asked {
        supply: supply?.flow,
        exhaust: exhaust?.flow,
        outdoor: stream(&asked.outdoor).or_else(|| {
            let rh_frac = asked.outdoor.rh_frac.or(around.visit.conditions.outdoor_rh);
            outdoors.map(|temp_k| Stream { temp_k, rh_frac })
        }),
        supplied: stream(&asked.supplied),
        extract: stream(&asked.extract),
        exhausted: stream(&asked.exhausted),
        temperature_accuracy: around.accuracy(asked.temperature_with.as_ref(), Quantity::Temperature),
        humidity_accuracy: around.accuracy(asked.humidity_with.as_ref(), Quantity::Fraction),
        supply_fan_w: asked.supply_fan_w,
        exhaust_fan_w: asked.exhaust_fan_w,
        pressure_pa: around.pressure_pa(),
        tracer: asked.tracer.as_ref().map(|t| Tracer {
            outdoor: t.outdoor,
            supply: t.supply,
            extract: t.extract,
            accuracy: around.accuracy(t.with.as_ref(), Quantity::GasFraction),
        }),
    });
    let mut worked = result.worked();
    if let Some(own) = &asked.limit {
        let limit = engine::procedure::field::Limit {
            lo: Some(-own.value),
            ..super::fan_flow::own_limit(own, false)
        };
        worked.checks.retain(|c| c.id != "check-balance");
        worked.checks.push(limit.check("check-balance", Some(result.imbalance)));
    }
    Some(Done::new(&result, worked))
}
