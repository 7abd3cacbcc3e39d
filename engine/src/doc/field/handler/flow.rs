//! `kind = "handler flow"`: flow of the air handler by one of five methods.

use super::super::ducts::{AIR, DUCT_PRESSURE, FLOW, own_limit};
use crate::diag::Span;
use crate::doc::Sp;
use crate::doc::read::Tab;
use crate::procedure::field::Limit;
use crate::procedure::handler::setup::Setup;
use crate::procedure::handler::traverse::{Rule, Section};
use crate::units::{Accuracy, Quantity as Q};

/// The document.
#[derive(Clone, Debug, PartialEq)]
pub struct Flow {
    /// How the flow was found.
    pub method: Method,
    /// Temperature of the air at the meter, K.
    pub air_k: Option<f64>,
    /// Its humidity.
    pub rh_frac: Option<f64>,
    /// Electric power of the blower, W.
    pub power_w: Option<Sp<f64>>,
    /// What read it.
    pub power_with: Option<Sp<String>>,
    /// Rated cooling capacity, W.
    pub capacity_w: Option<f64>,
    /// Least flow per capacity.
    pub least_per_capacity: Option<Limit>,
    /// Most power per flow.
    pub most_power: Option<Limit>,
    /// How the equipment ran.
    pub setup: Setup,
    /// Where the table stands.
    pub span: Span,
}

/// What the methods need.
#[derive(Clone, Debug, PartialEq)]
pub enum Method {
    /// Flow plates, or a fan in place of the return.
    Plenum {
        /// Whether it is a fan.
        matching: bool,
        /// Flow readings, m3/s.
        flows_m3_s: Sp<Vec<f64>>,
        /// What took them.
        flow_with: Option<Sp<String>>,
        /// Supply plenum in operation, Pa.
        operating_pa: f64,
        /// Supply plenum during the test, Pa.
        during_pa: f64,
        /// The gauge.
        pressure_with: Option<Sp<String>>,
    },
    /// Heat over temperature rise.
    Rise {
        /// Heat, W.
        heat_w: Sp<f64>,
        /// What read it.
        heat_with: Option<Sp<String>>,
        /// Or how exact it is stated to be.
        heat_accuracy: Option<Accuracy>,
        /// Whether fuel burns.
        fuel: bool,
        /// Before the heater, K.
        before_k: Sp<Vec<f64>>,
        /// After it, K.
        after_k: Sp<Vec<f64>>,
        /// The thermometer.
        temperature_with: Option<Sp<String>>,
    },
    /// Speeds over a plane.
    Traverse {
        /// The plane.
        section: Section,
        /// Positions.
        rule: Rule,
        /// Readings by line: pressures, Pa, or speeds, m/s.
        lines: Vec<Sp<Vec<f64>>>,
        /// Whether they are velocity pressures.
        pressures: bool,
        /// Whether speeds are those of standard air.
        standard_air: bool,
        /// What took them.
        with: Option<Sp<String>>,
        /// Straight duct before and after, m.
        straight_m: (Option<f64>, Option<f64>),
    },
    /// Hoods.
    Hoods {
        /// Supply registers, m3/s.
        supply: Vec<(Sp<String>, Sp<f64>)>,
        /// Return grilles, m3/s.
        back: Vec<(Sp<String>, Sp<f64>)>,
        /// The hood.
        flow_with: Option<Sp<String>>,
    },
}

#[derive(Clone, Copy)]
enum How {
    Plate,
    Matching,
    Rise,
    Traverse,
    Hoods,
}

/// Reads it.
pub(in crate::doc::field) fn read(t: &Tab<'_, '_>) -> Option<Flow> {
    let how = t.need(
        "method",
        t.choice(
            "method",
            &[
                ("flow plate", How::Plate),
                ("pressure matching", How::Matching),
                ("temperature rise", How::Rise),
                ("traverse", How::Traverse),
                ("hoods", How::Hoods),
            ],
        ),
    );
    let Some(how) = how else {
        t.leave_alone();
        return None;
    };
    let own = own_limit(t);
    let least = t.bounded("least_flow_per_capacity", Q::FlowPerPower, 1e-6..=1e-3);
    let most = t.bounded("most_power_per_flow", Q::SpecificFanPower, 1.0..=1e5);
    let air = t.bounded("air", Q::Temperature, AIR).map(|k| k.value);
    let rh = t.bounded("rh", Q::Fraction, 0.0..=1.0).map(|r| r.value);
    let power = t.bounded("power", Q::Power, 1.0..=1e4);
    let power_with = t.text("power_with");
    let capacity = t.bounded("cooling_capacity", Q::Power, 500.0..=2e5).map(|w| w.value);
    let setup = super::setup(t);
    let method = match how.value {
        How::Plate => plenum(t, false),
        How::Matching => plenum(t, true),
        How::Rise => rise(t),
        How::Traverse => traverse(t),
        How::Hoods => hoods(t),
    };
    Some(Flow {
        air_k: air,
        rh_frac: rh,
        power_w: power,
        power_with,
        capacity_w: capacity,
        least_per_capacity: least.map(|l| Limit { lo: Some(l.value), ..own.clone() }),
        most_power: most.map(|l| Limit { hi: Some(l.value), ..own }),
        setup,
        span: t.span(),
        method: method?,
    })
}

/// A list that every value of lies within bounds; those that do not are said and left out.
fn inside(
    t: &Tab<'_, '_>,
    key: &'static str,
    quantity: Q,
    bounds: std::ops::RangeInclusive<f64>,
) -> Option<Sp<Vec<f64>>> {
    let list = t.quantities(key, quantity)?;
    let span = list.span.clone();
    let kept = |v: &f64| t.within(key, &Sp { value: *v, span: span.clone() }, quantity, bounds.clone());
    let kept: Vec<f64> = list.value.into_iter().filter(kept).collect();
    (!kept.is_empty()).then_some(Sp { value: kept, span: list.span })
}

fn plenum(t: &Tab<'_, '_>, matching: bool) -> Option<Method> {
    let key = if matching { "fan_flow" } else { "plate_flows" };
    let (flow_with, pressure_with) = (t.text("flow_with"), t.text("pressure_with"));
    // A gauge that shows the pressure in the fan or at the plate needs a calibration in the visit.
    let raw = if matching { "fan_pressure" } else { "plate_pressures" };
    let raw = inside(t, raw, Q::Pressure, 0.0..=2000.0);
    let flows = match raw {
        Some(raw) => Some(raw),
        None => t.need(
            key,
            if matching {
                t.bounded(key, Q::AirFlow, FLOW).map(|q| q.map(|q| vec![q]))
            } else {
                inside(t, key, Q::AirFlow, FLOW)
            },
        ),
    };
    let pressure = |key| t.need(key, t.bounded(key, Q::Pressure, 1.0..=*DUCT_PRESSURE.end()));
    let (operating, during) = (pressure("supply_operating"), pressure("supply_during_test"));
    Some(Method::Plenum {
        matching,
        flows_m3_s: flows?,
        flow_with,
        operating_pa: operating?.value,
        during_pa: during?.value,
        pressure_with,
    })
}

fn rise(t: &Tab<'_, '_>) -> Option<Method> {
    let from = t.need("heat_from", t.choice("heat_from", &[("electricity", false), ("fuel", true)]));
    let heat = t.need("heat", t.bounded("heat", Q::Power, 100.0..=1e6));
    let (heat_with, temperature_with) = (t.text("heat_with"), t.text("temperature_with"));
    let heat_accuracy = t.accuracy("heat_accuracy", Q::Power).map(|a| a.value);
    let temperatures = |key| t.need(key, inside(t, key, Q::Temperature, AIR));
    let (before, after) = (temperatures("before"), temperatures("after"));
    Some(Method::Rise {
        heat_w: heat?,
        heat_with,
        heat_accuracy,
        fuel: from?.value,
        before_k: before?,
        after_k: after?,
        temperature_with,
    })
}

fn traverse(t: &Tab<'_, '_>) -> Option<Method> {
    const SIZE: std::ops::RangeInclusive<f64> = 0.02..=3.0;
    let length = |key| t.bounded(key, Q::Length, SIZE).map(|l| l.value);
    let (diameter, width, height) = (length("diameter"), length("width"), length("height"));
    let section = match (diameter, width, height) {
        (Some(diameter_m), None, None) => Some(Section::Round { diameter_m }),
        (None, Some(width_m), Some(height_m)) => Some(Section::Rectangular { width_m, height_m }),
        (None, Some(_), None) => t.need("height", None),
        (None, None, Some(_)) => t.need("width", None),
        _ => t.need("diameter", None),
    };
    let rule = t.choice("positions", &[("logarithmic", Rule::Logarithmic), ("equal area", Rule::EqualArea)]);
    let shows = t.choice("speeds_are", &[("actual", false), ("of standard air", true)]);
    let with = t.text("read_with");
    let straight = |key| t.bounded(key, Q::Length, 0.0..=100.0).map(|l| l.value);
    let straight_m = (straight("straight_before"), straight("straight_after"));
    let (mut lines, mut pressures) = (Vec::new(), false);
    for line in t.list("line") {
        let read = if line.has("speeds") {
            inside(&line, "speeds", Q::Speed, -100.0..=100.0)
        } else {
            pressures = true;
            line.need("pressures", inside(&line, "pressures", Q::Pressure, -1000.0..=6000.0))
        };
        lines.extend(read);
    }
    Some(Method::Traverse {
        section: section?,
        rule: rule.map_or(Rule::Logarithmic, |r| r.value),
        lines,
        pressures,
        standard_air: shows.is_some_and(|s| s.value),
        with,
        straight_m,
    })
}

fn hoods(t: &Tab<'_, '_>) -> Option<Method> {
    let flow_with = t.text("flow_with");
    let (mut supply, mut back) = (Vec::new(), Vec::new());
    let registers = t.named("register");
    if registers.is_empty() {
        t.need::<()>("register", None);
    }
    for (name, r) in &registers {
        let side = r.need("side", r.choice("side", &[("supply", true), ("return", false)]));
        let flow = r.need("flow", r.bounded("flow", Q::AirFlow, FLOW));
        if let (Some(side), Some(flow)) = (side, flow) {
            let list = if side.value { &mut supply } else { &mut back };
            list.push((name.clone(), flow));
        }
    }
    (!supply.is_empty() || !back.is_empty()).then_some(Method::Hoods { supply, back, flow_with })
}
