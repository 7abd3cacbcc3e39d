//! Zone pressures.

use super::{Around, Done};
use engine::doc::field::FieldTest;
use engine::doc::field::zone_pressures::{Opened as Written, ZonePressures};
use engine::doc::house::ZoneKind;
use engine::measure::Estimate;
use engine::procedure::field::Limit;
use engine::procedure::room_pressure::DISCHARGE;
use engine::procedure::zone::{Asked, EXPONENT, Hole, Opened, REFERENCE_PA, evaluate};
use engine::units::Quantity;

/// Least pressure between house and garage with the house at 50 Pa, Pa.
const GARAGE_PA: f64 = 45.0;

pub(super) fn work(asked: &ZonePressures, test: &FieldTest, around: &Around<'_>) -> Option<Done> {
    let exponent = match (asked.exponent, asked.exponent_within) {
        (Some(n), within) => (n, within.unwrap_or(EXPONENT.1)),
        (None, within) => (EXPONENT.0, within.unwrap_or(EXPONENT.1)),
    };
    let (result, said) = evaluate(&Asked {
        test: test.name.value.clone(),
        as_found: asked.as_found,
        baseline: asked.baseline,
        opened: asked.opened.iter().map(opened).collect(),
        exponent,
        gauge: around.gauge(asked.pressure_with.as_ref(), asked.wandered_pa),
        flow_accuracy: around.accuracy(asked.flow_with.as_ref(), Quantity::AirFlow),
        flow_repeats: asked.flow_repeats,
        house_at50: house_at50(around),
        density_kg_m3: around.density_kg_m3(around.indoor_k()),
        limit: limit(asked, around),
    });
    around.said(test, said);
    let result = result?;
    Some(Done::new(&result, result.worked()))
}

fn opened(written: &Written) -> Opened {
    let default = EXPONENT.0;
    let hole = match (written.hole_area_m2, written.hole_at50) {
        (Some(area_m2), _) => {
            let discharge = written.discharge.map_or(DISCHARGE, |d| (d, 0.0));
            Some(Hole::Sharp { area_m2, discharge })
        }
        (None, Some((flow, half, exponent))) => {
            Some(Hole::At50 { flow_m3_s: (flow, half), exponent: exponent.unwrap_or(default) })
        }
        (None, None) => None,
    };
    Opened { barrier: written.barrier, hole, readings: written.readings }
}

/// The flow at 50 Pa of this visit's last envelope test.
fn house_at50(around: &Around<'_>) -> Option<Estimate> {
    let mut of_visit = around.envelope.iter().filter(|r| r.visit == around.visit.folder);
    of_visit.next_back()?.result.figures.flow_at(REFERENCE_PA).map(|f| f.flow.total)
}

/// The user's limit; else, for a garage, the published one.
fn limit(asked: &ZonePressures, around: &Around<'_>) -> Option<Limit> {
    if let Some(pa) = asked.limit.value {
        let source = asked.limit.source.clone().unwrap_or_default();
        let confirmed = asked.limit.confirmed;
        return Some(Limit { source, confirmed, ..Limit::at_least(pa, "", false) });
    }
    let house = around.house?;
    let zone = house.zone(&asked.zone.as_ref()?.value)?;
    (house.zones.get(zone)?.kind == ZoneKind::Garage)
        .then(|| Limit::at_least(GARAGE_PA, "garage-barrier-guide", true))
}
