//! A sealing session.

use super::record::moment;
use super::{Around, Done};
use engine::diag::{Diagnostic, Span, code};
use engine::doc::field::sealing::Sealing;
use engine::procedure::sealing::{Asked, Fuel, Line, Mark, Reading, evaluate};
use engine::units::Quantity;

pub(super) fn work(asked: &Sealing, span: &Span, around: &Around<'_>) -> Option<Done> {
    let (readings, start) = readings(asked, around)?;
    let mut marks = Vec::new();
    for repair in &asked.repairs {
        match moment(repair.done.value, start, 0.0) {
            Some(time_s) => marks.push(Mark {
                what: repair.what.value.clone(),
                time_s,
                span: Some(repair.done.span.clone()),
            }),
            None => around.say(
                Diagnostic::error(code::L103)
                    .at(repair.done.span.clone())
                    .arg("found", repair.what.value.as_str()),
            ),
        }
    }
    let appliances = around.house.is_some_and(|h| !h.appliances.is_empty());
    let fuel = match &around.visit.combustion {
        Some(c) if c.fuel_present => Fuel::Present,
        _ if appliances => Fuel::Present,
        Some(_) => Fuel::NoneFound,
        None => Fuel::NotInspected,
    };
    let lines = asked.lines.iter().map(|l| Line {
        what: l.what.clone(),
        below_m3_s: l.below_m3_s,
        source: l.source.clone(),
        confirmed: l.confirmed,
    });
    let (session, said) = evaluate(&Asked {
        readings,
        marks,
        baseline_pa: asked.baseline_pa,
        exponent: asked.exponent.or_else(|| exponent(around)),
        target_m3_s: asked.target_m3_s,
        crew: asked.crew,
        flow_accuracy: around.accuracy(asked.flow_with.as_ref(), Quantity::AirFlow),
        lines: lines.collect(),
        fuel,
        span: Some(span.clone()),
    });
    said.into_iter().for_each(|d| around.say(d));
    let session = session?;
    Some(Done::new(&session, session.worked.clone()))
}

/// The exponent of an envelope test of several stations in the same visit.
fn exponent(around: &Around<'_>) -> Option<f64> {
    let tests = around.envelope.iter().filter(|t| t.visit == around.visit.folder);
    tests
        .filter(|t| t.result.runs.iter().any(|r| r.r2.is_some()))
        .map(|t| t.result.exponent.total.si)
        .next_back()
}

/// Readings, and the local date and time of the first one, where a series tells.
fn readings(asked: &Sealing, around: &Around<'_>) -> Option<(Vec<Reading>, Option<jiff::civil::DateTime>)> {
    if let Some(rows) = &asked.rows {
        let at = |name: &str| rows.columns.iter().position(|c| c == name);
        let (time, house, fan) = (at("time")?, at("house"), at("fan")?);
        let reading = |r: &engine::doc::Sp<Vec<f64>>| {
            let cell = |i: usize| r.value.get(i).copied();
            Some(Reading { time_s: cell(time)?, house_pa: house.and_then(cell), flow_m3_s: cell(fan)? })
        };
        let mut list: Vec<Reading> = Vec::new();
        for row in &rows.rows {
            match reading(row) {
                Some(r) if list.last().is_none_or(|last| r.time_s > last.time_s) => list.push(r),
                Some(r) => around.say(
                    Diagnostic::error(code::V205)
                        .at(row.span.clone())
                        .arg("found", format!("{} s", r.time_s)),
                ),
                None => {}
            }
        }
        return Some((list, None));
    }
    let series = around.series(asked.series.as_ref()?)?;
    let flow = around.column(series, asked.flow.as_ref()?, Quantity::AirFlow)?;
    let house = match &asked.house {
        Some(name) => Some(around.column(series, name, Quantity::Pressure)?),
        None => None,
    };
    let mut list = Vec::new();
    for (i, (time_s, flow_m3_s)) in series.time_s.iter().zip(flow).enumerate() {
        let house_pa = house.as_ref().map(|h| h.get(i).copied().unwrap_or(f64::NAN));
        // A gap in the series is no reading.
        if flow_m3_s.is_finite() && house_pa.is_none_or(f64::is_finite) {
            list.push(Reading { time_s: *time_s, house_pa, flow_m3_s });
        }
    }
    Some((list, series.start))
}
