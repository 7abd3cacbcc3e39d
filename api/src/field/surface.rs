//! Moisture at a surface.

use super::{Around, Done};
use engine::doc::field::surface::Surface;
use engine::procedure::surface::{Asked, evaluate};
use engine::units::Quantity;

pub(super) fn work(asked: &Surface, around: &Around<'_>) -> Option<Done> {
    let outdoor = asked.outdoor_k.as_ref().map(|k| k.value);
    let result = evaluate(&Asked {
        air_k: asked.air_k.value,
        rh_frac: asked.rh_frac.value,
        surface_k: asked.surface_k.as_ref().map(|k| k.value),
        outdoor_k: outdoor.or(around.visit.conditions.outdoor_k),
        outdoor_rh_frac: asked.outdoor_rh_frac.or(around.visit.conditions.outdoor_rh),
        pressure_pa: around.pressure_pa(),
        temperature_accuracy: around.accuracy(asked.temperature_with.as_ref(), Quantity::Temperature),
        humidity_accuracy: around.accuracy(asked.humidity_with.as_ref(), Quantity::Fraction),
    });
    Some(Done::new(&result, result.worked()))
}
