//! Devices of a house's rules in the model of its year.

use crate::device::Recovery;
use crate::house::{House, Place};
use crate::rule::{DeviceKind, Set};
use crate::year::{Controls, ExhaustFan, Model, Schedule, Target, Ventilator};

/// The rules for a model of `house` at `theta`, with a fan of its own for each device that only a
/// rule runs. A fan with a curve moves its air through its line, which rules do not reach: it stays
/// on its schedule. Dampers stay as they are.
pub fn controls(house: &House, theta: &[f64], altitude_m: f64, model: &mut Model, set: &Set) -> Controls {
    let density = crate::air::density_at_altitude_kg_m3(293.15, altitude_m);
    let ruled = |at: usize| set.rules.iter().any(|r| r.device == at);
    let targets = set.signals.devices.iter().enumerate().map(|(at, device)| {
        if !ruled(at) {
            return Target::Absent;
        }
        match device.kind {
            DeviceKind::Handler if model.handler.is_some() => return Target::Handler,
            DeviceKind::Dehumidifier => {
                return model.driers.len().checked_sub(1).map_or(Target::Absent, Target::Drier);
            }
            _ => {}
        }
        let fan = house.fans.iter().find(|f| f.text.name.value == device.name);
        let Some(fan) = fan else {
            // What a plan adds stands last.
            let last =
                model.ventilators.len().checked_sub(1).filter(|_| device.kind == DeviceKind::Ventilator);
            return last.map_or(Target::Absent, Target::Ventilator);
        };
        if fan.text.parts.curve.is_some() {
            return Target::Absent;
        }
        let flow_kg_s = house.value(fan.flow, theta) * density;
        let same = |flow: f64| (flow - flow_kg_s).abs() <= 1e-12 * flow_kg_s;
        match fan.between {
            [Place::Zone(zone), Place::Outdoors(_)] => {
                let there = model.exhausts.iter().position(|e| e.zone == zone && same(e.flow_kg_s));
                Target::Exhaust(there.unwrap_or_else(|| {
                    let schedule = Schedule::Spans(Vec::new());
                    let power_w = fan.text.power_w;
                    model.exhausts.push(ExhaustFan { zone, flow_kg_s, schedule, power_w, heats: None });
                    model.exhausts.len() - 1
                }))
            }
            [Place::Outdoors(_), Place::Zone(zone)] => {
                let one = |v: &Ventilator| v.supply_kg_s.iter().any(|s| s.0 == zone && same(s.1));
                let there = model.ventilators.iter().position(one);
                Target::Ventilator(there.unwrap_or_else(|| {
                    model.ventilators.push(Ventilator {
                        supply_kg_s: vec![(zone, flow_kg_s)],
                        exhaust_kg_s: Vec::new(),
                        recovery: Recovery::default(),
                        pm25_efficiency: 0.0,
                        schedule: Schedule::Spans(Vec::new()),
                        power_w: fan.text.power_w,
                    });
                    model.ventilators.len() - 1
                }))
            }
            _ => Target::Absent,
        }
    });
    Controls { targets: targets.collect(), set: set.clone() }
}
