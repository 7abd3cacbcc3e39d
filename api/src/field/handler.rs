//! The air handler: static pressures, flow, coil.

use super::ducts::HANDLER_FLOW;
use super::{Around, Done};
use engine::air::TRADE_STANDARD_DENSITY_KG_M3;
use engine::diag::{Diagnostic, code};
use engine::doc::Sp;
use engine::doc::field::handler::coil::Coil;
use engine::doc::field::handler::flow::{Flow, Method as Written};
use engine::doc::field::handler::statics::Statics;
use engine::procedure::handler::flow::{FUEL_OUTPUT_SHARE, Method};
use engine::procedure::handler::traverse::{Rule, Section, Shows, points_for, positions};
use engine::procedure::handler::{coil, flow, statics};
use engine::procedure::known::Known;
use engine::units::Quantity;

pub(super) fn statics(asked: &Statics, test: &str, around: &Around<'_>) -> Option<Done> {
    let (result, said) = statics::evaluate(&statics::Asked {
        test: test.to_owned(),
        span: Some(asked.span.clone()),
        filter: asked.filter,
        coil: asked.coil,
        coil_wet: asked.coil_wet,
        taps: asked.taps,
        accuracy: around.accuracy(asked.pressure_with.as_ref(), Quantity::Pressure),
        waver_pa: asked.waver_pa,
        setup: asked.setup.clone(),
        limit: asked.limit.clone(),
        table: asked.table.clone(),
    });
    around.say_all(said);
    Some(Done::new(&result, result.worked()))
}

pub(super) fn flow(asked: &Flow, test: &str, around: &Around<'_>) -> Option<Done> {
    // A temperature rise tells the air itself: the blower moves what comes back.
    let returned = match &asked.method {
        Written::Rise { before_k, .. } => {
            Some(before_k.value.iter().sum::<f64>() / before_k.value.len().max(1) as f64)
        }
        _ => None,
    };
    let air = around.air(asked.air_k.or(returned), asked.rh_frac);
    let method = match &asked.method {
        Written::Plenum { matching, flows_m3_s, flow_with, operating_pa, during_pa, pressure_with } => {
            let gauge = around.flow_gauge(flow_with.as_ref());
            let flows: Option<Vec<f64>> = (flows_m3_s.value.iter())
                .map(|q| around.flow_shown(&gauge, &Sp { value: *q, span: flows_m3_s.span.clone() }, &air))
                .collect();
            let (flows_m3_s, accuracy) = (flows?, gauge.accuracy);
            let pressure_accuracy = around.accuracy(pressure_with.as_ref(), Quantity::Pressure);
            if *matching {
                Method::Matching {
                    flow_m3_s: flows_m3_s.iter().sum(),
                    accuracy,
                    wanted_pa: *operating_pa,
                    reached_pa: *during_pa,
                    pressure_accuracy,
                }
            } else {
                Method::Plate {
                    flows_m3_s,
                    accuracy,
                    with_filter_pa: *operating_pa,
                    with_plate_pa: *during_pa,
                    pressure_accuracy,
                }
            }
        }
        Written::Rise { heat_w, heat_with, heat_accuracy, fuel, before_k, after_k, temperature_with } => {
            let stated = around.accuracy(heat_with.as_ref(), Quantity::Power).or(*heat_accuracy);
            let mut heat = Known::read(heat_w.value, stated);
            if *fuel && heat.half.is_none() {
                heat.half = Some(FUEL_OUTPUT_SHARE * heat.si);
            }
            Method::Rise {
                heat_w: heat,
                fuel: *fuel,
                before_k: before_k.value.clone(),
                after_k: after_k.value.clone(),
                accuracy: around.accuracy(temperature_with.as_ref(), Quantity::Temperature),
                w_kg_kg: air.w_kg_kg,
            }
        }
        Written::Traverse { .. } => traverse(&asked.method, test, asked, around)?,
        Written::Hoods { supply, back, flow_with } => {
            let gauge = around.flow_gauge(flow_with.as_ref());
            let flows = |list: &[(Sp<String>, Sp<f64>)]| {
                let read = list.iter().filter_map(|(name, shown)| {
                    Some((name.value.clone(), around.flow_shown(&gauge, shown, &air)?))
                });
                read.collect()
            };
            Method::Hoods { supply: flows(supply), back: flows(back), accuracy: gauge.accuracy }
        }
    };
    let power = asked
        .power_w
        .as_ref()
        .map(|power| Known::read(power.value, around.accuracy(asked.power_with.as_ref(), Quantity::Power)));
    let result = flow::evaluate(&flow::Asked {
        method,
        density_kg_m3: air.density_kg_m3,
        pressure_assumed: air.pressure_assumed,
        power_w: power,
        capacity_w: asked.capacity_w,
        least_per_capacity: asked.least_per_capacity.clone(),
        most_power: asked.most_power.clone(),
        setup: asked.setup.clone(),
    });
    if result.is_none() {
        around.say(Diagnostic::error(code::D212).at(asked.span.clone()).arg("test", test));
    }
    result.map(|r| Done::new(&r, r.worked()))
}

fn traverse(method: &Written, test: &str, asked: &Flow, around: &Around<'_>) -> Option<Method> {
    let Written::Traverse { section, rule, lines, pressures, standard_air, with, straight_m } = method else {
        return None;
    };
    let most_common = lines.first().map_or(0, |l| l.value.len());
    let (side, other_side) = match section {
        Section::Rectangular { width_m, height_m } => (*width_m, Some(*height_m)),
        Section::Round { diameter_m } => (*diameter_m, None),
    };
    let at = positions(section, *rule, most_common);
    let even = lines.iter().all(|l| l.value.len() == most_common);
    let (Some(at), true) = (at, even) else {
        let wanted = match (rule, section) {
            (Rule::Logarithmic, Section::Round { .. }) => "6, 8, 10",
            (Rule::Logarithmic, Section::Rectangular { .. }) => "5, 6, 7",
            (Rule::EqualArea, Section::Round { .. }) => "4, 6, 8, 10",
            (Rule::EqualArea, Section::Rectangular { .. }) => "4, 5, 6",
        };
        let depths = |side: f64| {
            let at = positions(section, Rule::Logarithmic, points_for(section, side)).unwrap_or_default();
            at.iter().map(|x| format!("{:.0}", 1000.0 * x * side)).collect::<Vec<_>>().join(", ")
        };
        let found = if lines.is_empty() {
            "untaken".to_owned()
        } else if even {
            most_common.to_string()
        } else {
            "mixed".to_owned()
        };
        around.say(
            Diagnostic::error(code::D211)
                .at(lines.first().map_or_else(|| asked.span.clone(), |l| l.span.clone()))
                .arg("test", test)
                .arg("found", found)
                .arg("wanted", wanted)
                .arg("depths", depths(side))
                .arg("height", other_side.map_or_else(String::new, depths)),
        );
        return None;
    };
    let measures = if *pressures { Quantity::Pressure } else { Quantity::Speed };
    Some(Method::Traverse {
        section: *section,
        lines: lines.iter().map(|l| l.value.clone()).collect(),
        shows: match (pressures, standard_air) {
            (true, _) => Shows::VelocityPressure,
            (false, true) => Shows::StandardSpeed(TRADE_STANDARD_DENSITY_KG_M3),
            (false, false) => Shows::Speed,
        },
        accuracy: around.accuracy(with.as_ref(), measures),
        // Lines of a rectangular duct run over its width.
        depths_m: at.iter().map(|x| x * side).collect(),
        straight_m: *straight_m,
    })
}

pub(super) fn coil(asked: &Coil, test: &str, around: &Around<'_>) -> Option<Done> {
    let flow = around.known(&asked.handler, HANDLER_FLOW, "handler-flow")?;
    let air = around.air(Some(asked.entering.temp_k), None);
    let (result, said) = coil::evaluate(&coil::Asked {
        test: test.to_owned(),
        span: Some(asked.span.clone()),
        flow_m3_s: flow,
        entering: asked.entering,
        leaving: asked.leaving,
        temperature_accuracy: around.accuracy(asked.temperature_with.as_ref(), Quantity::Temperature),
        humidity_accuracy: around.accuracy(asked.humidity_with.as_ref(), Quantity::Fraction),
        pressure_pa: air.pressure_pa,
        pressure_assumed: air.pressure_assumed,
        setup: asked.setup.clone(),
    });
    around.say_all(said);
    result.map(|r| Done::new(&r, r.worked()))
}
