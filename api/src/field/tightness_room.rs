//! How much tighter a house may become for its exhausts.

use super::{Around, Done};
use engine::diag::{Diagnostic, code};
use engine::doc::Sp;
use engine::doc::field::recovery::Flow;
use engine::doc::field::tightness_room::TightnessRoom;
use engine::measure::{Estimate, NoInterval, propagate};
use engine::procedure::field::{LEVEL, around as with_half};
use engine::procedure::tightness_room::{Asked, evaluate};
use engine::units::Quantity;

pub(super) fn work(asked: &TightnessRoom, around: &Around<'_>) -> Option<Done> {
    let net = net(asked, around);
    let limit = limit(asked, around);
    let test = around.envelope_test(asked.envelope.as_ref());
    if test.is_none() && asked.envelope.is_none() {
        around.say(Diagnostic::error(code::X131).at(asked.span.clone()));
    }
    let result = &test?.result;
    let (limit_pa, limit_source, limit_confirmed) = limit?;
    let found = evaluate(&Asked {
        net_exhaust: net?,
        flow50: result.figures.flow_at(50.0)?.flow.total,
        exponent: result.exponent.total,
        limit_pa,
        limit_source,
        limit_confirmed,
        measured: asked.measured_pa.map(|pa| {
            let accuracy = around.accuracy(asked.measured_with.as_ref(), Quantity::Pressure);
            // Gauges show a depressurised house below zero.
            with_half(-pa, accuracy.map(|a| a.limit(pa)), Quantity::Pressure)
        }),
    });
    Some(Done::new(&found, found.worked()))
}

/// All exhausts less all supplies; flows of one instrument share its error.
fn net(asked: &TightnessRoom, around: &Around<'_>) -> Option<Estimate> {
    if let Some(net) = &asked.net_exhaust_m3_s {
        return Some(around.typed(net.value, asked.with.as_ref()));
    }
    let of = |name: &Sp<String>| around.flow(&Flow { value: None, with: None, from: Some(name.clone()) });
    let signed =
        (asked.exhausts.iter().map(|n| (1.0, of(n)))).chain(asked.supplies.iter().map(|n| (-1.0, of(n))));
    let all: Option<Vec<_>> = signed.map(|(sign, m)| m.map(|m| (sign, m))).collect();
    let all = all?;
    let si: f64 = all.iter().map(|(sign, m)| sign * m.flow.si).sum();
    if all.iter().any(|(_, m)| m.flow.bounds().is_none()) {
        return Some(Estimate::without(si, Quantity::AirFlow, NoInterval::TypedWithoutInstrument));
    }
    let half = |e: &Estimate| e.bounds().map_or(0.0, |(lo, hi)| (hi - lo) / 2.0);
    let mut groups: Vec<(Option<&str>, f64)> = Vec::new();
    for (sign, m) in &all {
        let with = m.with.as_deref();
        let known = groups.iter_mut().find(|g| g.0.is_some() && g.0 == with);
        match known {
            Some(group) => group.1 += sign * half(&m.flow),
            None => groups.push((with, sign * half(&m.flow))),
        }
    }
    let inputs: Vec<(f64, f64)> = groups.iter().map(|g| (0.0, g.1)).collect();
    Some(propagate(&inputs, LEVEL, Quantity::AirFlow, |x| si + x.iter().sum::<f64>()))
}

fn limit(asked: &TightnessRoom, around: &Around<'_>) -> Option<(f64, String, bool)> {
    if let Some(own) = &asked.limit {
        return Some((own.value, own.source.clone(), own.confirmed));
    }
    let from = asked.limit_from.as_ref()?;
    let test = around.earlier(from)?;
    let found = test.worked.checks.iter().find_map(|c| {
        let pressure = c.value.is_some_and(|v| v.quantity == Quantity::Pressure);
        let pa = c.lo.filter(|lo| *lo < 0.0).map(f64::abs).or(c.hi.filter(|hi| *hi > 0.0));
        pa.filter(|_| pressure).map(|pa| (pa, c.source.clone(), c.confirmed))
    });
    if found.is_none() {
        around.say(Diagnostic::error(code::X133).at(from.span.clone()).arg("test", from.value.as_str()));
    }
    found
}
