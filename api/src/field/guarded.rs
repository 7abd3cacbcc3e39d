//! Guarded and unguarded tests of one unit.

use super::change::side;
use super::{Around, Done};
use engine::doc::field::guarded::GuardedUnit;
use engine::house::House;
use engine::procedure::guarded::split;

pub(super) fn work(asked: &GuardedUnit, around: &Around<'_>) -> Option<Done> {
    let (unguarded, guarded) = (side(&asked.unguarded, around), side(&asked.guarded, around));
    let typed = around.job.building.floor_area_m2.as_ref().map(|a| a.value);
    let floor = typed.or_else(|| around.house.map(House::indoor_floor_area_m2));
    let result = split(&unguarded?, &guarded?, floor)?;
    Some(Done::new(&result, result.worked()))
}
