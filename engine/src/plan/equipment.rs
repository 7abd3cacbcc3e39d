//! From the house's machines as written to those of the year.

use crate::device::plant::LowStage;
use crate::device::{Coil, Dehumidifier, Fuel, Plant, WaterHeater};
use crate::doc::Sp;
use crate::doc::house::{Equipment, HeatKind};
use crate::house::House;
use crate::year::{self, Delivery, DryerVent, DuctRun, Model, SetBack};

/// Bypass factor of a cooling coil and water it holds, kg; common practice, no source.
const COIL: Coil = Coil { bypass: 0.15, holds_kg: 0.6 };
const WATER_J_KG_K: f64 = 4186.0;
/// A class I vapour retarder at its limit of 0.1 perm, kg/(s m2 Pa) (International Residential Code,
/// from memory).
const SHEET_KG_S_M2_PA: f64 = 5.72e-12;
/// Dead band of humidity controls, 0 to 1; common practice, no source.
pub(super) const BAND_RH: f64 = 0.04;
/// Fan of an evaporative humidifier, W; common practice, no source.
const HUMIDIFIER_FAN_W: f64 = 30.0;

/// Rating, stages and limits of a machine as written over those that are usual for its kind.
fn plant(e: &Equipment, heating: bool) -> Plant {
    let mut plant = match (e.kind, heating) {
        (HeatKind::Furnace, _) => Plant::furnace(Fuel::Gas, e.capacity_w, e.efficiency),
        (HeatKind::Electric, _) => Plant::furnace(Fuel::Electricity, e.capacity_w, e.efficiency),
        (_, true) => Plant::heat_pump(e.capacity_w, e.efficiency, e.running.backup_w.unwrap_or(e.capacity_w)),
        (_, false) => Plant::air_conditioner(e.capacity_w, e.efficiency),
    };
    if let Some(second) = e.running.second {
        let off_k = second.outdoor_k - plant.rating_k;
        if off_k.abs() > 1.0 {
            plant.capacity_slope_per_k = (second.capacity_w / e.capacity_w - 1.0) / off_k;
            if let Some(efficiency) = second.efficiency {
                plant.cop_slope_per_k = (efficiency - e.efficiency) / off_k;
            }
        }
    }
    plant.low = e.running.low_stage.map(|(share, efficiency)| LowStage {
        share,
        cop_factor: efficiency.map_or(1.0, |low| low / e.efficiency),
    });
    plant.cycling_loss = e.running.cycling_loss;
    plant.lowest_k = e.running.lowest_k.unwrap_or(0.0);
    plant
}

pub(super) fn climate_control(house: &House, model: &mut Model) {
    let hangs = house.text.machines.thermostat.as_ref();
    let told = hangs.and_then(|t| t.zone.as_ref()).and_then(|z| house.zone(&z.value));
    let Some(zone) = told.or_else(|| crate::fit::fan_zone(house)) else { return };
    let delivery = || {
        if model.handler.is_some() {
            Delivery::Handler
        } else {
            let rooms = house.zones.iter().enumerate().filter(|(_, z)| z.kind.is_indoors());
            let total = house.indoor_floor_area_m2();
            Delivery::Zones(rooms.map(|(i, z)| (i, z.floor_area_m2 / total)).collect())
        }
    };
    let (heating, cooling) = (house.text.heating.as_ref(), house.text.cooling.as_ref());
    // What is not there is never called for.
    let heat_k = heating.map_or(250.0, |h| h.set_point_k);
    let cool_k = cooling.map_or(400.0, |c| c.set_point_k);
    let mut thermostat = year::Thermostat::steady(zone, heat_k, cool_k);
    thermostat.band_k = hangs.map_or(0.0, |t| t.band_k);
    for (heats, equipment) in [(true, heating), (false, cooling)] {
        for (k, spans) in equipment.iter().filter_map(|e| e.running.set_back.as_ref()) {
            let back = |&(from_s, to_s): &(f64, f64)| SetBack {
                from_s,
                to_s,
                heat_k: heats.then_some(*k),
                cool_k: (!heats).then_some(*k),
            };
            thermostat.set_backs.extend(spans.iter().map(back));
        }
    }
    model.heating = heating.map(|h| year::Heating { plant: plant(h, true), delivery: delivery() });
    model.cooling = cooling.map(|c| year::Cooling {
        plant: plant(c, false),
        coil: COIL,
        delivery: delivery(),
        // 400 cfm a ton where the coil has its own fan; common practice, no source.
        own_flow_kg_s: c.capacity_w / 3517.0 * 0.189 * 1.2,
    });
    model.thermostat = Some(thermostat);
}

/// Ducts of one side.
pub(super) fn ducts(house: &House, text: &crate::doc::house::AirHandler, supply: bool) -> Vec<DuctRun> {
    let runs = text.ducts.iter().filter(|d| d.supply == supply);
    runs.filter_map(|d| {
        let zone = house.zone(&d.zone.value);
        (zone.is_some() || d.zone.value == "outdoors").then_some(DuctRun { zone, conductance_w_k: d.ua_w_k })
    })
    .collect()
}

pub(super) fn drier(house: &House, d: &crate::doc::house::Dehumidifier) -> Option<year::Drier> {
    Some(year::Drier {
        zone: house.zone(&d.zone.value)?,
        unit: Dehumidifier {
            capacity_kg_s: d.capacity_kg_s,
            efficiency_kg_j: d.efficiency_kg_j,
            // 65 degF and 60 %: 10 CFR 430 subpart B appendix X1 for portable units.
            rating_k: 291.483,
            rating_rh: 0.6,
            set_rh: d.set_point_rh,
            band_rh: BAND_RH,
        },
    })
}

/// Hot water, laundry, humidifiers, wet ground and gases; `density` of the air, kg/m3.
pub(super) fn machines(house: &House, density: f64, model: &mut Model) {
    let machines = &house.text.machines;
    let zone = |name: &Sp<String>| house.zone(&name.value);
    for w in &machines.water_heaters {
        model.hot_water.extend(zone(&w.zone).map(|zone| year::HotWater {
            zone,
            unit: WaterHeater::usual(w.efficiency),
            draw_w: [w.draw_kg_s * WATER_J_KG_K * w.rise_k; 24],
            standby_w: w.standby_w,
        }));
    }
    for c in &machines.clothes_dryers {
        let Some(zone) = zone(&c.zone) else { continue };
        let dryer = year::ClothesDryer {
            zone,
            start_s: c.at_s,
            duration_s: c.lasts_s,
            power_w: c.power_w,
            vent: match c.flow_m3_s {
                Some(flow) => DryerVent::Outdoors { flow_kg_s: flow * density },
                None => DryerVent::Room { water_kg: c.water_kg },
            },
        };
        model.exhausts.extend(dryer.exhaust());
        model.sources.extend(dryer.source());
    }
    for h in &machines.humidifiers {
        model.humidifiers.extend(zone(&h.zone).map(|zone| year::Humidifier {
            zone,
            capacity_kg_s: h.capacity_kg_s,
            set_rh: h.set_point_rh,
            band_rh: BAND_RH,
            power_w: if h.steam {
                h.capacity_kg_s * crate::air::EVAPORATION_20C_J_KG
            } else {
                HUMIDIFIER_FAN_W
            },
        }));
    }
    for w in &machines.wet_ground {
        let wet = |zone| year::WetGround::covered(zone, w.area_m2, w.cover, SHEET_KG_S_M2_PA);
        model.wet_ground.extend(zone(&w.zone).map(wet));
    }
    for g in &machines.gases {
        model.gases.push(year::Gas {
            name: g.name.value.clone(),
            outdoors_kg_kg: g.outdoors_kg_m3 / density,
            decay_per_s: g.decay_per_s,
            sources: g
                .sources
                .iter()
                .filter_map(|s| {
                    Some(year::GasSource {
                        zone: zone(&s.zone)?,
                        start_s: s.at_s.unwrap_or(0.0),
                        duration_s: s.lasts_s,
                        rate_kg_s: s.rate_kg_s,
                        capture: 0.0,
                    })
                })
                .collect(),
        });
    }
}
