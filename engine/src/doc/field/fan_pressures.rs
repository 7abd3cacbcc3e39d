//! `kind = "fan pressures"`: the house against outdoors, one state of fans after the other.

use super::zone_pressures::{PRESSURES_PA, UserLimit};
use crate::doc::Sp;
use crate::doc::read::Tab;
use crate::units::Quantity as Q;

/// The document.
#[derive(Clone, Debug, PartialEq)]
pub struct FanPressures {
    /// The gauge.
    pub pressure_with: Option<Sp<String>>,
    /// All fans off, before, Pa.
    pub baseline_before: Vec<f64>,
    /// All fans off, after, Pa.
    pub baseline_after: Vec<f64>,
    /// How far single readings wandered, Pa.
    pub wandered_pa: f64,
    /// Lowest pressure that a state may move the house to, Pa.
    pub limit: UserLimit,
    /// States.
    pub states: Vec<State>,
}

/// One state.
#[derive(Clone, Debug, PartialEq)]
pub struct State {
    /// Its name; the fans that run where there is none.
    pub name: String,
    /// Fans that run.
    pub on: Vec<Sp<String>>,
    /// House less outdoors, Pa.
    pub shown_pa: Vec<f64>,
}

/// Readings of a pressure: one quantity, or a list in one column; those beyond bounds are said and left out.
pub(super) fn pressures(t: &Tab<'_, '_>, one: &'static str, many: &'static str) -> Vec<f64> {
    let mut out = Vec::new();
    let list = t.quantities(many, Q::Pressure);
    let span = t.span_of(many);
    for value in list.map(|l| l.value).unwrap_or_default() {
        let spot = Sp { value, span: span.clone() };
        out.extend(t.within(many, &spot, Q::Pressure, PRESSURES_PA).then_some(value));
    }
    out.extend(t.bounded(one, Q::Pressure, PRESSURES_PA).map(|p| p.value));
    out
}

/// A baseline: a list of readings.
pub(super) fn baseline(t: &Tab<'_, '_>, key: &'static str) -> Vec<f64> {
    let span = t.span_of(key);
    let list = t.quantities(key, Q::Pressure).map(|l| l.value).unwrap_or_default();
    list.into_iter()
        .filter(|v| t.within(key, &Sp { value: *v, span: span.clone() }, Q::Pressure, PRESSURES_PA))
        .collect()
}

fn state(t: &Tab<'_, '_>) -> Option<State> {
    let on = t.text_or_texts("on");
    let name = t.text("name").map(|n| n.value);
    let shown_pa = pressures(t, "pressure", "pressures");
    if shown_pa.is_empty() && !t.has("pressures") {
        t.need::<()>("pressure", None);
    }
    let fans: Vec<&str> = on.iter().map(|n| n.value.as_str()).collect();
    let name = name.unwrap_or_else(|| fans.join(" + "));
    (!shown_pa.is_empty()).then_some(State { name, on, shown_pa })
}

/// Reads it.
pub(super) fn read(t: &Tab<'_, '_>) -> Option<FanPressures> {
    let pressure_with = t.text("pressure_with");
    let (before, after) = (baseline(t, "baseline_before"), baseline(t, "baseline_after"));
    let wandered = t.bounded("wandered", Q::Pressure, 0.0..=20.0).map_or(0.0, |w| w.value);
    let limit = UserLimit::read(t, Q::Pressure, PRESSURES_PA);
    t.need("state", t.has("state").then_some(()));
    Some(FanPressures {
        pressure_with,
        baseline_before: before,
        baseline_after: after,
        wandered_pa: wandered,
        limit,
        states: t.list("state").iter().filter_map(state).collect(),
    })
}
