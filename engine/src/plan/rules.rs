//! Devices of a house's rules in the model of its year.

use crate::device::Recovery;
use crate::doc::plans::{Change, RuleAct, RuledDevice};
use crate::doc::rules::Does;
use crate::house::{House, Place};
use crate::rule::{DeviceKind, Rule, Set};
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

/// Whether a name in a plan means a rule: its own name, or that of its file, with or without folder
/// and ending.
pub(super) fn means(name: &str, rule: &Rule) -> bool {
    let file = rule.span.file.as_ref();
    let stem = |f: &str| f.strip_prefix("rules/").unwrap_or(f).trim_end_matches(".toml").to_owned();
    name == rule.name || stem(name) == stem(file)
}

/// What a rule does to its device, for the gate. Whether its own schedule runs it less or more than
/// the rule is not looked at: a rule that sets a device may do both.
pub(super) fn act(rule: &Rule, set: &Set) -> RuleAct {
    let device = &set.signals.devices[rule.device];
    let (more, less) = match rule.does {
        Does::Set { on, off } => (on > 0.0 || off.is_some_and(|o| o > 0.0), on < 1.0 || off.is_some()),
        Does::LockOut { .. } => (false, true),
    };
    let kind = match device.kind {
        DeviceKind::Handler => RuledDevice::Handler,
        DeviceKind::Dehumidifier => RuledDevice::Drier,
        DeviceKind::Damper => RuledDevice::Opening,
        DeviceKind::Fan | DeviceKind::Hood => RuledDevice::Exhaust,
        DeviceKind::Ventilator => RuledDevice::Ventilator,
    };
    let text =
        format!("{:?} {:?} {:?}", rule.does, rule.text, (rule.min_on_s, rule.most_on_s, rule.priority));
    RuleAct { rule: rule.name.clone(), device: device.name.clone(), kind, more, less, text }
}

/// The rules that changes turn on; nothing where they turn on none.
pub(super) fn turned_on(changes: &[Change], set: &Set) -> Option<Set> {
    let named: Vec<&str> = changes
        .iter()
        .filter_map(|c| if let Change::Rules { acts, .. } = c { Some(acts) } else { None })
        .flatten()
        .map(|a| a.rule.as_str())
        .collect();
    if named.is_empty() {
        return None;
    }
    let mut some = set.clone();
    some.rules.retain(|r| named.contains(&r.name.as_str()));
    (!some.rules.is_empty()).then_some(some)
}
