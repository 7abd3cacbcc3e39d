//! Room pressures.

use super::{Around, Done};
use engine::doc::field::FieldTest;
use engine::doc::field::room_pressures::RoomPressures;
use engine::procedure::field::Limit;
use engine::procedure::room_pressure::{Asked, DISCHARGE, Room, TARGET_PA, evaluate};
use engine::units::Quantity;

pub(super) fn work(asked: &RoomPressures, test: &FieldTest, around: &Around<'_>) -> Option<Done> {
    let target = match asked.limit.value {
        Some(pa) => Limit {
            lo: Some(-pa),
            hi: Some(pa),
            clause: None,
            source: asked.limit.source.clone().unwrap_or_default(),
            confirmed: asked.limit.confirmed,
        },
        None => Limit { lo: Some(-TARGET_PA), ..Limit::at_most(TARGET_PA, "common-practice", false) },
    };
    let rooms = asked.rooms.iter().map(|r| Room {
        name: r.room.value.clone(),
        shown_pa: r.pressure_pa,
        off_pa: r.off_pa,
        flow_m3_s: r.flow_m3_s,
        path_m2: r.path_m2,
    });
    let (result, said) = evaluate(&Asked {
        test: test.name.value.clone(),
        rooms: rooms.collect(),
        main_body_pa: [asked.main_body_open_pa, asked.main_body_shut_pa],
        target,
        discharge: asked.discharge.map_or(DISCHARGE, |d| (d, 0.0)),
        gauge: around.gauge(asked.pressure_with.as_ref(), asked.wandered_pa),
        flow_accuracy: around.accuracy(asked.flow_with.as_ref(), Quantity::AirFlow),
        density_kg_m3: around.density_kg_m3(around.indoor_k()),
    });
    around.said(test, said);
    Some(Done::new(&result, result.worked()))
}
