//! Fans and machines that a plan adds and nobody drew before.

use super::equipment::{self, drier};
use crate::device::{Recovery, fan};
use crate::doc::plans::{Change, When};
use crate::house::House;
use crate::year::{self, Model, Schedule};

/// What lasts longer is no meal that a hood stands over, s.
const LONGEST_MEAL_S: f64 = 6.0 * 3600.0;
/// The changes that need no change of a passage.
pub(super) fn apply(house: &House, change: &Change, density: f64, model: &mut Model) {
    let zone = |name: &crate::doc::Sp<String>| house.zone(&name.value);
    let schedule = |when: &When, zone: usize| match when {
        When::Always => Schedule::Always,
        When::Spans(spans) => Schedule::Spans(spans.clone()),
        When::Share(share) => Schedule::Hours([*share; 24]),
        When::Above(rh) => Schedule::Humidity { zone, rh: *rh, band: equipment::BAND_RH },
    };
    match change {
        Change::Exhaust { from, flow_m3_s, power_w, when } => {
            model.exhausts.extend(zone(from).map(|zone| year::ExhaustFan {
                zone,
                flow_kg_s: flow_m3_s * density,
                schedule: schedule(when, zone),
                power_w: *power_w,
                heats: None,
            }));
        }
        Change::Hood { zone: at, flow_m3_s, power_w, capture, runs_s } => {
            let Some(zone) = zone(at) else { return };
            hood(model, zone, (*flow_m3_s, density), *power_w, *capture, runs_s);
        }
        Change::Supply { to, flow_m3_s, power_w, pm25, when } => {
            model.ventilators.extend(zone(to).map(|to| year::Ventilator {
                supply_kg_s: vec![(to, flow_m3_s * density)],
                exhaust_kg_s: Vec::new(),
                recovery: Recovery::default(),
                pm25_efficiency: *pm25,
                schedule: schedule(when, to),
                power_w: *power_w,
            }));
        }
        Change::Balanced { to, from, flow_m3_s, exhaust_m3_s, power_w, recovery, moisture, pm25, when } => {
            if let (Some(to), Some(from)) = (zone(to), zone(from)) {
                model.ventilators.push(year::Ventilator {
                    supply_kg_s: vec![(to, flow_m3_s * density)],
                    exhaust_kg_s: vec![(from, exhaust_m3_s * density)],
                    recovery: Recovery { sensible: *recovery, latent: *moisture },
                    pm25_efficiency: *pm25,
                    schedule: schedule(when, from),
                    power_w: *power_w,
                });
            }
        }
        Change::Cleaner { zone: at, cadr_m3_s, power_w, when } => {
            let Some(zone) = zone(at) else { return };
            // A part of the time is the first minutes of every hour; nobody runs half a cleaner.
            let schedule = match when {
                When::Share(share) if *share < 1.0 => Schedule::Spans(
                    (0..24).map(|h| 3600.0 * f64::from(h)).map(|s| (s, s + 3600.0 * share)).collect(),
                ),
                When::Share(_) => Schedule::Always,
                when => schedule(when, zone),
            };
            // A fan that moves nothing out of the house: its electricity and its heat count.
            let power_w = *power_w;
            model.cleaners.push(year::Cleaner { fan: model.exhausts.len(), cadr_m3_s: *cadr_m3_s });
            model.exhausts.push(year::ExhaustFan {
                zone,
                flow_kg_s: 0.0,
                schedule,
                power_w,
                heats: Some(zone),
            });
        }
        Change::Dehumidify(d) => model.driers.extend(drier(house, d)),
        // In the house, its unknown numbers, its passages or its handler already.
        Change::Seal { .. }
        | Change::SealDucts { .. }
        | Change::Transfer { .. }
        | Change::CloseOpening { .. }
        | Change::Intake { .. }
        | Change::Filter { .. }
        | Change::Mixing { .. }
        | Change::Humidify(_)
        | Change::Remove { .. }
        | Change::Speed { .. }
        | Change::RunFan { .. }
        | Change::SetPoints { .. }
        | Change::Door { .. }
        | Change::Insulate { .. }
        | Change::Glazing { .. }
        | Change::Shade { .. }
        | Change::GroundCover { .. }
        | Change::CloseCrawl { .. }
        | Change::Drain { .. }
        | Change::VentDryer { .. }
        | Change::Replace { .. }
        | Change::CutSource { .. }
        | Change::Rules { .. } => {}
    }
}

/// A hood: a fan that also catches what is set free in its zone while it runs.
fn hood(
    model: &mut Model,
    zone: usize,
    (flow_m3_s, density): (f64, f64),
    power_w: f64,
    capture: Option<f64>,
    runs_s: &[(f64, f64)],
) {
    let cooked = |s: &&year::Source| s.zone == zone && s.pm25_kg_s > 0.0 && s.duration_s < LONGEST_MEAL_S;
    let spans: Vec<(f64, f64)> = if runs_s.is_empty() {
        let end = |s: &year::Source| (s.start_s + s.duration_s).rem_euclid(86_400.0);
        model.sources.iter().filter(cooked).map(|s| (s.start_s, end(s))).collect()
    } else {
        runs_s.to_vec()
    };
    let caught = capture.unwrap_or_else(|| fan::capture(&fan::CAPTURE_BY_FLOW, flow_m3_s));
    let runs = |start_s: f64, duration_s: f64| {
        duration_s < LONGEST_MEAL_S
            && spans.iter().any(|(from, to)| {
                if from <= to { (*from..*to).contains(&start_s) } else { start_s >= *from || start_s < *to }
            })
    };
    for s in model.sources.iter_mut().filter(|s| s.zone == zone && runs(s.start_s, s.duration_s)) {
        s.capture = s.capture.max(caught);
    }
    for gas in &mut model.gases {
        for s in gas.sources.iter_mut().filter(|s| s.zone == zone && runs(s.start_s, s.duration_s)) {
            s.capture = s.capture.max(caught);
        }
    }
    if !spans.is_empty() {
        model.exhausts.push(year::ExhaustFan {
            zone,
            flow_kg_s: flow_m3_s * density,
            schedule: Schedule::Spans(spans),
            power_w,
            heats: None,
        });
    }
}
