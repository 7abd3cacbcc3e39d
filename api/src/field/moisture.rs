//! Moisture over time and in materials, and infrared pairs.

use super::{Around, Done};
use engine::air::saturation_pressure_pa;
use engine::diag::{Diagnostic, Span};
use engine::doc::field::moisture::{Infrared, MouldIndex, SurfaceMeter, WoodMoisture};
use engine::procedure::moisture::{infrared, meter, mould, wood};
use engine::units::Quantity as Q;

/// Says what was found, at a place.
fn tell(around: &Around<'_>, list: &[Diagnostic], at: &Span) {
    for d in list {
        around.say(d.clone().at(at.clone()));
    }
}

pub(super) fn mould_index(asked: &MouldIndex, around: &Around<'_>) -> Option<Done> {
    let series = around.series(&asked.series)?;
    let temp_k = around.column(series, &asked.temperature, Q::Temperature);
    let mut rh = around.column(series, &asked.humidity, Q::Fraction)?;
    let temp_k = temp_k?;
    if let Some(air) = &asked.air {
        let air_k = around.column(series, air, Q::Temperature)?;
        // The vapour of the air meets the surface at its own temperature; more than full is water.
        for ((rh, air_k), surface_k) in rh.iter_mut().zip(&air_k).zip(&temp_k) {
            *rh = (*rh * saturation_pressure_pa(*air_k) / saturation_pressure_pa(*surface_k)).min(1.0);
        }
    }
    let result = mould::evaluate(&mould::Asked {
        time_s: &series.time_s,
        temp_k: &temp_k,
        rh_frac: &rh,
        sensitivity: asked.sensitivity,
        decline: asked.decline,
        start: asked.start,
    });
    match result {
        Ok(result) => {
            tell(around, &result.said, &asked.series.span);
            Some(Done::new(&result, result.worked()))
        }
        Err(d) => {
            tell(around, &[d], &asked.series.span);
            None
        }
    }
}

pub(super) fn wood(asked: &WoodMoisture, around: &Around<'_>) -> Option<Done> {
    let result = wood::evaluate(&wood::Asked {
        readings: asked.readings.value.clone(),
        species_correction: asked.species_correction,
        temperature_correction: asked.temperature_correction,
        accuracy: around.accuracy(asked.with.as_ref(), Q::Fraction),
        air: asked.air_k.zip(asked.rh_frac),
    });
    match result {
        Ok(result) => {
            tell(around, &result.said, &asked.readings.span);
            Some(Done::new(&result, result.worked(asked.limit.as_ref())))
        }
        Err(d) => {
            tell(around, &[d], &asked.readings.span);
            None
        }
    }
}

pub(super) fn surface_meter(asked: &SurfaceMeter, around: &Around<'_>) -> Option<Done> {
    let reference = asked.reference_material.as_ref().unwrap_or(&asked.material);
    let result = meter::evaluate(&meter::Asked {
        material: asked.material.value.clone(),
        reference_material: reference.value.clone(),
        reference: asked.dry.iter().map(|d| d.1).collect(),
        spots: asked.spots.clone(),
    });
    match result {
        Ok(result) => {
            tell(around, &result.said, &asked.material.span);
            Some(Done::new(&result, result.worked()))
        }
        Err(d) => {
            tell(around, &[d], &reference.span);
            None
        }
    }
}

pub(super) fn infrared(asked: &Infrared, span: &Span, around: &Around<'_>) -> Option<Done> {
    let conditions = &around.visit.conditions;
    let both = |(before, during): (Option<f64>, Option<f64>), visit: Option<f64>, key: &'static str| {
        let before = before.or(visit);
        if before.is_none() {
            let d = Diagnostic::error(engine::diag::code::T003).arg("key", key).arg("table", "test");
            around.say(d.at(span.clone()));
        }
        // Not read again, it is taken as it was.
        before.map(|b| (b, during.unwrap_or(b)))
    };
    let indoor_k = both(asked.indoor_k, conditions.indoor_k, "indoor");
    let outdoor_k = both(asked.outdoor_k, conditions.outdoor_k, "outdoor");
    let spots = asked.spots.iter().map(|(name, before, during)| infrared::Spot {
        name: name.value.clone(),
        before_k: *before,
        during_k: *during,
    });
    let result = infrared::evaluate(&infrared::Asked {
        spots: spots.collect(),
        indoor_k: indoor_k?,
        outdoor_k: outdoor_k?,
        house_pa: asked.house_pa,
        steady_s: asked.steady_s,
        tells_k: asked.tells_k,
    });
    match result {
        Ok(result) => {
            tell(around, &result.said, span);
            Some(Done::new(&result, result.worked()))
        }
        Err(d) => {
            tell(around, &[d], span);
            None
        }
    }
}
