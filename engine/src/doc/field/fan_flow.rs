//! `kind = "fan flow"`: the flow of one exhaust or supply, by hood, orifice box or probe.

use crate::doc::Sp;
use crate::doc::read::Tab;
use crate::procedure::ventilation::WAYS;
use crate::procedure::ventilation::Way;
use crate::procedure::ventilation::rates::{LOCAL_ROOMS, LocalRoom, RUNS, Runs};
use crate::units::Quantity as Q;

/// Flows that a fan of a house can have, m3/s.
pub(super) const FLOWS: std::ops::RangeInclusive<f64> = 1e-4..=5.0;
const PRESSURES: std::ops::RangeInclusive<f64> = 0.01..=2000.0;

/// A limit of the user's own.
#[derive(Clone, Debug, PartialEq)]
pub struct OwnLimit {
    /// Value, SI.
    pub value: f64,
    /// Where it stands, in the user's words.
    pub source: String,
    /// Whether he has read it there.
    pub confirmed: bool,
}

/// Reads `limit`, `limit_source` and `limit_confirmed`.
pub(super) fn own_limit(
    t: &Tab<'_, '_>,
    quantity: Q,
    bounds: std::ops::RangeInclusive<f64>,
) -> Option<OwnLimit> {
    let value = t.bounded("limit", quantity, bounds);
    let source = t.text("limit_source").map_or_else(String::new, |s| s.value);
    let confirmed = t.flag("limit_confirmed").unwrap_or(false);
    Some(OwnLimit { value: value?.value, source, confirmed })
}

/// One reading under `one`, or several under `many`; each within bounds.
pub(super) fn readings(
    t: &Tab<'_, '_>,
    one: &'static str,
    many: &'static str,
    quantity: Q,
    bounds: &std::ops::RangeInclusive<f64>,
) -> Option<Sp<Vec<f64>>> {
    let single = t.bounded(one, quantity, bounds.clone());
    let several = t.quantities(many, quantity);
    match (single, several) {
        (Some(x), _) => Some(Sp { value: vec![x.value], span: x.span }),
        (None, Some(list)) => {
            let check = |x: &f64| {
                t.within(many, &Sp { value: *x, span: list.span.clone() }, quantity, bounds.clone())
            };
            let value: Vec<f64> = list.value.iter().copied().filter(check).collect();
            (!value.is_empty()).then_some(Sp { value, span: list.span })
        }
        (None, None) => None,
    }
}

/// How it was measured.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum By {
    /// A hood without a fan.
    Hood,
    /// A hood with a fan that holds it at the room's pressure.
    PoweredHood,
    /// A box with an orifice.
    OrificeBox,
    /// A probe in the duct.
    Probe,
}

const WAYS_TO_MEASURE: &[(&str, By)] = &[
    ("hood", By::Hood),
    ("powered hood", By::PoweredHood),
    ("orifice box", By::OrificeBox),
    ("probe", By::Probe),
];

/// A good flow with the probe in place.
#[derive(Clone, Debug, PartialEq)]
pub struct Site {
    /// The good flow, m3/s.
    pub good: Option<Sp<f64>>,
    /// What measured it.
    pub good_with: Option<Sp<String>>,
    /// A test of this visit or an earlier one that measured it.
    pub good_from: Option<Sp<String>>,
    /// The probe's readings beside it, m/s.
    pub speeds: Option<Sp<Vec<f64>>>,
    /// The same, Pa.
    pub pressures: Option<Sp<Vec<f64>>>,
}

/// The document.
#[derive(Clone, Debug, PartialEq)]
pub struct FanFlow {
    /// Fan or register of `house.toml` that was measured.
    pub of: Option<Sp<String>>,
    /// How it was measured.
    pub by: Sp<By>,
    /// Shown flows, m3/s.
    pub flows: Option<Sp<Vec<f64>>>,
    /// Shown speeds, m/s.
    pub speeds: Option<Sp<Vec<f64>>>,
    /// Shown pressures of the box, or velocity pressures of the probe, Pa.
    pub pressures: Option<Sp<Vec<f64>>>,
    /// The instrument.
    pub with: Option<Sp<String>>,
    /// The user's own field error of a hood, share of the flow.
    pub field_error: Option<f64>,
    /// Pressure read in the hood, Pa.
    pub hood_pressure_pa: Option<f64>,
    /// Stated resistance of the hood, Pa at m3/s.
    pub hood_resistance: Option<(f64, f64)>,
    /// Pressure the fan gives, Pa.
    pub fan_pressure_pa: Option<f64>,
    /// Whether that is at no flow.
    pub fan_at_no_flow: bool,
    /// Area of the orifice or the duct, m2.
    pub area_m2: Option<f64>,
    /// Discharge coefficient of the orifice.
    pub discharge: Option<f64>,
    /// A good flow beside the probe.
    pub site: Option<Site>,
    /// An earlier test that learned the site.
    pub site_from: Option<Sp<String>>,
    /// The room it serves.
    pub serves: Option<LocalRoom>,
    /// When it runs.
    pub runs: Runs,
    /// Volume of an enclosed kitchen, m3.
    pub room_volume_m3: Option<f64>,
    /// Which way it moves air.
    pub way: Way,
    /// Temperature of the air that was measured, K.
    pub air_k: Option<f64>,
    /// The user's own least flow.
    pub limit: Option<OwnLimit>,
}

/// `area`, or a `diameter`, m2.
pub(super) fn area(t: &Tab<'_, '_>) -> Option<f64> {
    let area = t.bounded("area", Q::Area, 1e-5..=2.0).map(|a| a.value);
    let round =
        t.bounded("diameter", Q::Length, 0.005..=1.6).map(|d| std::f64::consts::PI * d.value * d.value / 4.0);
    area.or(round)
}

fn site(t: &Tab<'_, '_>) -> Site {
    let good = t.bounded("good", Q::AirFlow, FLOWS);
    let good_from = t.text("good_from");
    if good.is_none() && good_from.is_none() {
        t.need::<()>("good", None);
    }
    Site {
        good,
        good_with: t.text("good_with"),
        good_from,
        speeds: readings(t, "speed", "speeds", Q::Speed, &(0.01..=60.0)),
        pressures: readings(t, "velocity_pressure", "velocity_pressures", Q::Pressure, &PRESSURES),
    }
}

/// Reads it.
pub(super) fn read(t: &Tab<'_, '_>) -> Option<FanFlow> {
    let by = t.need("by", t.choice("by", WAYS_TO_MEASURE));
    let resistance = t.table("hood_resistance").and_then(|r| {
        let pressure = r.need("pressure", r.bounded("pressure", Q::Pressure, PRESSURES));
        let at = r.need("at", r.bounded("at", Q::AirFlow, FLOWS));
        Some((pressure?.value, at?.value))
    });
    let no_flow = t.choice("fan_pressure_is", &[("at no flow", true), ("as running", false)]);
    let pressures = match by.as_ref().map(|b| b.value) {
        Some(By::Probe) => readings(t, "velocity_pressure", "velocity_pressures", Q::Pressure, &PRESSURES),
        _ => readings(t, "pressure", "pressures", Q::Pressure, &PRESSURES),
    };
    let found = FanFlow {
        of: t.text("of"),
        flows: readings(t, "flow", "flows", Q::AirFlow, &FLOWS),
        speeds: readings(t, "speed", "speeds", Q::Speed, &(0.01..=60.0)),
        pressures,
        with: t.text("with"),
        field_error: t.bounded("field_error", Q::Fraction, 0.0..=1.0).map(|e| e.value),
        hood_pressure_pa: t.bounded("hood_pressure", Q::Pressure, PRESSURES).map(|p| p.value),
        hood_resistance: resistance,
        fan_pressure_pa: t.bounded("fan_pressure", Q::Pressure, PRESSURES).map(|p| p.value),
        fan_at_no_flow: no_flow.is_some_and(|n| n.value),
        area_m2: area(t),
        discharge: t.bounded("discharge", Q::Number, 0.3..=1.0).map(|d| d.value),
        site: t.table("site").map(|s| site(&s)),
        site_from: t.text("site_from"),
        serves: t.choice("serves", LOCAL_ROOMS).map(|s| s.value),
        runs: t.choice("runs", RUNS).map_or(Runs::OnDemand, |r| r.value),
        room_volume_m3: t.bounded("room_volume", Q::Volume, 1.0..=2000.0).map(|v| v.value),
        way: t.choice("way", WAYS).map_or(Way::Exhaust, |w| w.value),
        air_k: t.bounded("air", Q::Temperature, 213.15..=343.15).map(|k| k.value),
        limit: own_limit(t, Q::AirFlow, FLOWS),
        by: by?,
    };
    Some(found)
}
