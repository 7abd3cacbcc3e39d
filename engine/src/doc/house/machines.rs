//! Machines and surfaces of `house.toml` that came with the year: how heating and cooling are run,
//! ducts, hot water, laundry, humidifier, wet ground, gases by name.

use super::read::{hours, time_of_day};
use crate::doc::Sp;
use crate::doc::read::Tab;
use crate::procedure::moisture::mould::Sensitivity;
use crate::units::Quantity as Q;

/// How a heating or cooling machine runs, beyond its rating.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Running {
    /// Other set point, K, and when, seconds of the day.
    pub set_back: Option<(f64, Vec<(f64, f64)>)>,
    /// Share of capacity in the low stage, and its efficiency where told.
    pub low_stage: Option<(f64, Option<f64>)>,
    /// Degradation coefficient of cycling, 0 to 1.
    pub cycling_loss: f64,
    /// Second rating: outdoor temperature, K, capacity, W, and efficiency.
    pub second: Option<Second>,
    /// Resistance behind a heat pump, W; its rated capacity where not told.
    pub backup_w: Option<f64>,
    /// Outdoor temperature below which a heat pump stops, K.
    pub lowest_k: Option<f64>,
}

/// A second line of a rating sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Second {
    /// Outdoor temperature, K.
    pub outdoor_k: f64,
    /// Capacity there, W.
    pub capacity_w: f64,
    /// Heat moved per energy bought there.
    pub efficiency: Option<f64>,
}

/// The thermostat.
#[derive(Clone, Debug, PartialEq)]
pub struct Thermostat {
    /// Where it hangs; the largest living zone where not told.
    pub zone: Option<Sp<String>>,
    /// Dead band, K.
    pub band_k: f64,
}

/// A stretch of duct.
#[derive(Clone, Debug, PartialEq)]
pub struct HandlerDuct {
    /// What it crosses; `outdoors` is allowed.
    pub zone: Sp<String>,
    /// True for supply, false for return.
    pub supply: bool,
    /// Conductance, W/K.
    pub ua_w_k: f64,
}

/// A heat-pump water heater.
#[derive(Clone, Debug, PartialEq)]
pub struct WaterHeater {
    /// Where.
    pub zone: Sp<String>,
    /// Heat to the water per electricity.
    pub efficiency: f64,
    /// Water drawn, kg/s.
    pub draw_kg_s: f64,
    /// By how much it is warmed, K.
    pub rise_k: f64,
    /// Loss of the tank, W.
    pub standby_w: f64,
}

/// A clothes dryer and the load it runs every day.
#[derive(Clone, Debug, PartialEq)]
pub struct ClothesDryer {
    /// Where.
    pub zone: Sp<String>,
    /// Starts, seconds of the day.
    pub at_s: f64,
    /// Runs for, s.
    pub lasts_s: f64,
    /// Electricity, W.
    pub power_w: f64,
    /// Flow where it blows outdoors, m3/s; nothing where it blows into the room.
    pub flow_m3_s: Option<f64>,
    /// Water of the load, kg.
    pub water_kg: f64,
}

/// A humidifier.
#[derive(Clone, Debug, PartialEq)]
pub struct Humidifier {
    /// Where.
    pub zone: Sp<String>,
    /// Water, kg/s.
    pub capacity_kg_s: f64,
    /// Relative humidity it holds.
    pub set_point_rh: f64,
    /// Whether it boils the water.
    pub steam: bool,
}

/// Ground that gives off water.
#[derive(Clone, Debug, PartialEq)]
pub struct WetGround {
    /// Zone above it.
    pub zone: Sp<String>,
    /// Area, m2.
    pub area_m2: f64,
    /// Part under a sheet.
    pub cover: f64,
}

/// A gas by name.
#[derive(Clone, Debug, PartialEq)]
pub struct Gas {
    /// The name.
    pub name: Sp<String>,
    /// Outdoors, kg/m3.
    pub outdoors_kg_m3: f64,
    /// Decay, 1/s.
    pub decay_per_s: f64,
    /// What sets it free.
    pub sources: Vec<GasSource>,
}

/// What sets a gas free, every day.
#[derive(Clone, Debug, PartialEq)]
pub struct GasSource {
    /// Where.
    pub zone: Sp<String>,
    /// When it starts, seconds of the day; nothing for all day.
    pub at_s: Option<f64>,
    /// How long, s.
    pub lasts_s: f64,
    /// Rate, kg/s.
    pub rate_kg_s: f64,
}

/// Everything here.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Machines {
    /// The thermostat.
    pub thermostat: Option<Thermostat>,
    /// Heat-pump water heaters.
    pub water_heaters: Vec<WaterHeater>,
    /// Clothes dryers.
    pub clothes_dryers: Vec<ClothesDryer>,
    /// Humidifiers.
    pub humidifiers: Vec<Humidifier>,
    /// Wet ground.
    pub wet_ground: Vec<WetGround>,
    /// Gases.
    pub gases: Vec<Gas>,
}

impl Machines {
    /// Names of zones used here.
    pub fn zones(&self) -> impl Iterator<Item = &Sp<String>> {
        (self.thermostat.iter().filter_map(|t| t.zone.as_ref()))
            .chain(self.water_heaters.iter().map(|w| &w.zone))
            .chain(self.clothes_dryers.iter().map(|c| &c.zone))
            .chain(self.humidifiers.iter().map(|h| &h.zone))
            .chain(self.wet_ground.iter().map(|w| &w.zone))
            .chain(self.gases.iter().flat_map(|g| &g.sources).map(|s| &s.zone))
    }
}

pub(super) fn machines(top: &Tab<'_, '_>) -> Machines {
    Machines {
        thermostat: top.table("thermostat").map(|t| Thermostat {
            zone: t.text("zone"),
            band_k: t.bounded("dead_band", Q::TemperatureDifference, 0.0..=5.0).map_or(0.0, |b| b.value),
        }),
        water_heaters: top.list("water_heater").iter().filter_map(water_heater).collect(),
        clothes_dryers: top.list("clothes_dryer").iter().filter_map(clothes_dryer).collect(),
        humidifiers: top.list("humidifier").iter().filter_map(humidifier).collect(),
        wet_ground: top.list("wet_ground").iter().filter_map(wet_ground).collect(),
        gases: top.named("gas").iter().filter_map(gas).collect(),
    }
}

pub(super) fn running(t: &Tab<'_, '_>, heating: bool) -> Running {
    let set_back = t.bounded("set_back", Q::Temperature, 273.15..=313.15);
    let spans: Vec<(f64, f64)> =
        t.text_or_texts("set_back_hours").iter().filter_map(|s| hours(t, s)).collect();
    let set_back = match set_back {
        Some(k) => t.need("set_back_hours", (!spans.is_empty()).then_some(())).map(|()| (k.value, spans)),
        None => None,
    };
    let share = t.bounded("low_stage", Q::Fraction, 0.05..=1.0);
    let low_efficiency = t.number("low_stage_efficiency");
    let loss = t.bounded("cycling_loss", Q::Fraction, 0.0..=0.9);
    let outdoors = t.bounded("second_outdoors", Q::Temperature, 223.15..=330.0);
    let capacity = t.bounded("second_capacity", Q::Power, 100.0..=1e6);
    let efficiency = t.number("second_efficiency");
    let second = outdoors.and_then(|o| {
        let capacity = t.need("second_capacity", capacity)?;
        Some(Second {
            outdoor_k: o.value,
            capacity_w: capacity.value,
            efficiency: efficiency.map(|e| e.value),
        })
    });
    let backup = if heating { t.bounded("backup", Q::Power, 0.0..=1e6) } else { None };
    let lowest = if heating { t.bounded("lowest_outdoors", Q::Temperature, 223.15..=300.0) } else { None };
    Running {
        set_back,
        low_stage: share.map(|s| (s.value, low_efficiency.map(|e| e.value))),
        cycling_loss: loss.map_or(0.0, |l| l.value),
        second,
        backup_w: backup.map(|b| b.value),
        lowest_k: lowest.map(|l| l.value),
    }
}

pub(super) fn duct(t: &Tab<'_, '_>) -> Option<HandlerDuct> {
    let zone = t.need("zone", t.text("zone"));
    let supply = t.need("side", t.choice("side", &[("supply", true), ("return", false)]));
    let ua = t.bounded("ua", Q::Conductance, 0.0..=1e4);
    let area = t.bounded("area", Q::Area, 0.0..=1e4);
    let r = t.bounded("r", Q::Resistance, 0.01..=100.0);
    let ua = match (ua, area, r) {
        (Some(ua), _, _) => Some(ua.value),
        (None, Some(area), Some(r)) => Some(area.value / r.value),
        _ => t.need("ua", None),
    };
    Some(HandlerDuct { zone: zone?, supply: supply?.value, ua_w_k: ua? })
}

pub(super) const MOULD: &[(&str, Sensitivity)] = &[
    ("very sensitive", Sensitivity::VerySensitive),
    ("sensitive", Sensitivity::Sensitive),
    ("medium resistant", Sensitivity::MediumResistant),
    ("resistant", Sensitivity::Resistant),
];

fn water_heater(t: &Tab<'_, '_>) -> Option<WaterHeater> {
    let zone = t.need("zone", t.text("zone"));
    let efficiency = t.need("efficiency", t.number("efficiency"));
    let draw = t.need("draw", t.bounded("draw", Q::MassRate, 0.0..=1.0));
    let rise = t.bounded("rise", Q::TemperatureDifference, 1.0..=90.0);
    let standby = t.bounded("standby", Q::Power, 0.0..=1000.0);
    Some(WaterHeater {
        zone: zone?,
        efficiency: efficiency?.value.clamp(1.0, 20.0),
        draw_kg_s: draw?.value,
        // 14 to 52 degC and a tank that loses 60 W; common practice, no source.
        rise_k: rise.map_or(38.0, |r| r.value),
        standby_w: standby.map_or(60.0, |s| s.value),
    })
}

fn clothes_dryer(t: &Tab<'_, '_>) -> Option<ClothesDryer> {
    let zone = t.need("zone", t.text("zone"));
    let at = t.need("at", t.text("at")).and_then(|s| time_of_day(t, &s, &s.value));
    let lasts = t.need("lasts", t.bounded("lasts", Q::Time, 60.0..=86_400.0));
    let power = t.bounded("power", Q::Power, 0.0..=1e4);
    let outdoors = t.need("vent", t.choice("vent", &[("outdoors", true), ("room", false)]))?.value;
    let flow = t.bounded("flow", Q::AirFlow, 0.0..=1.0);
    let water = t.bounded("water", Q::Mass, 0.0..=20.0);
    let (flow, water_kg) = if outdoors {
        (Some(t.need("flow", flow)?.value), 0.0)
    } else {
        (None, t.need("water", water)?.value)
    };
    Some(ClothesDryer {
        zone: zone?,
        at_s: at?,
        lasts_s: lasts?.value,
        power_w: power.map_or(0.0, |p| p.value),
        flow_m3_s: flow,
        water_kg,
    })
}

fn humidifier(t: &Tab<'_, '_>) -> Option<Humidifier> {
    let zone = t.need("zone", t.text("zone"));
    let capacity = t.need("capacity", t.bounded("capacity", Q::MassRate, 0.0..=0.01));
    let set_point = t.need("set_point", t.bounded("set_point", Q::Fraction, 0.1..=0.8));
    let kind = t.choice("kind", &[("steam", true), ("evaporative", false)]);
    Some(Humidifier {
        zone: zone?,
        capacity_kg_s: capacity?.value,
        set_point_rh: set_point?.value,
        steam: kind.is_some_and(|k| k.value),
    })
}

fn wet_ground(t: &Tab<'_, '_>) -> Option<WetGround> {
    let zone = t.need("zone", t.text("zone"));
    let area = t.need("area", t.bounded("area", Q::Area, 0.0..=1e5));
    let cover = t.bounded("cover", Q::Fraction, 0.0..=1.0);
    Some(WetGround { zone: zone?, area_m2: area?.value, cover: cover.map_or(0.0, |c| c.value) })
}

fn gas((name, t): &(Sp<String>, Tab<'_, '_>)) -> Option<Gas> {
    let outdoors = t.bounded("outdoors", Q::ParticleConcentration, 0.0..=1.0);
    let decay = t.bounded("decay", Q::AirChange, 0.0..=1.0);
    let source = |t: &Tab<'_, '_>| {
        let zone = t.need("zone", t.text("zone"));
        let at_s = t.text("at").and_then(|s| time_of_day(t, &s, &s.value));
        let lasts = t.bounded("lasts", Q::Time, 1.0..=86_400.0);
        let rate = t.need("rate", t.bounded("rate", Q::ParticleRate, 0.0..=1.0));
        Some(GasSource {
            zone: zone?,
            at_s,
            lasts_s: lasts.map_or(86_400.0, |l| l.value),
            rate_kg_s: rate?.value,
        })
    };
    Some(Gas {
        name: name.clone(),
        outdoors_kg_m3: outdoors.map_or(0.0, |o| o.value),
        decay_per_s: decay.map_or(0.0, |d| d.value),
        sources: t.list("source").iter().filter_map(source).collect(),
    })
}
