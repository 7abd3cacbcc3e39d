//! The year against balances worked by hand and published arithmetic; here, the small house that
//! the balances stand in.

mod bad_days;
mod carried;
mod clock;
mod heat;
mod machines;
mod rules;
mod water;
mod whole;

use engine::air::MoistAir;
use engine::device::{Fuel, Plant};
use engine::network::{Kind, Network, Node, Passage as Way};
use engine::weather::{Hour, Weather};
use engine::year::wind::{Exposure, Site, Terrain};
use engine::year::{
    Delivery, ExhaustFan, Ground, Handler, Heating, Model, Options, OutdoorAir, Passage, Schedule,
    Thermostat, Year, Zone, ZoneKind, run,
};
use std::ops::ControlFlow;
pub(super) const OUT: Node = Node::Outdoors { wind: 0 };

pub(super) fn hour(temp_k: f64, rh: f64) -> Hour {
    let pressure_pa = 101_325.0;
    Hour {
        temp_k,
        w_kg_kg: MoistAir::from_rh(temp_k, rh, pressure_pa).humidity_ratio,
        pressure_pa,
        wind_m_s: 0.0,
        wind_from_rad: 0.0,
        ghi_w_m2: 0.0,
        dni_w_m2: 0.0,
        dhi_w_m2: 0.0,
    }
}

pub(super) fn leak(a: Node, b: Node, z_m: f64, c: f64) -> Way {
    Way { a, b, z_m, kind: Kind::Leak { c_m3_s_pan: c, n: 0.65 } }
}

/// One zone of a volume with one leak, no surfaces, nobody home, held at a temperature.
pub(super) fn one_zone(volume_m3: f64, temp_k: f64) -> Model {
    let mut zone = Zone::usual("house", ZoneKind::Conditioned, 0.0, 2.5, volume_m3 / 2.5);
    zone.start_k = temp_k;
    zone.cold_area_m2 = 0.0;
    zone.moisture_multiplier = 1.0;
    let network = Network::new(["house"], vec![leak(OUT, Node::Zone(0), 1.0, 0.02)]).unwrap();
    Model {
        zones: vec![zone],
        network,
        passages: vec![Passage { pm25_passed: 1.0 }],
        faces: vec![Exposure::Constant(0.0)],
        site: Site {
            terrain: Terrain::SUBURB,
            height_m: 5.0,
            shelter: 1.0,
            station: Terrain::OPEN,
            mast_m: 10.0,
        },
        surfaces: vec![],
        windows: vec![],
        ground: Ground { mean_k: 288.0, amplitude_k: 0.0, coldest_day: 0.0 },
        wet_ground: vec![],
        occupants: vec![],
        gains: vec![],
        sources: vec![],
        doors: vec![],
        exhausts: vec![],
        cleaners: Vec::new(),
        ventilators: vec![],
        handler: None,
        thermostat: Some(Thermostat::steady(0, temp_k, 400.0)),
        heating: Some(Heating {
            plant: Plant::furnace(Fuel::Gas, 50_000.0, 0.8),
            delivery: Delivery::Zones(vec![(0, 1.0)]),
        }),
        cooling: None,
        driers: vec![],
        hot_water: vec![],
        humidifiers: vec![],
        gases: vec![],
        outdoor: OutdoorAir::default(),
        summer: None,
        appliance_zone: None,
    }
}

pub(super) fn exhaust(flow_kg_s: f64) -> ExhaustFan {
    ExhaustFan { zone: 0, flow_kg_s, schedule: Schedule::Always, power_w: 0.0, heats: None }
}

pub(super) fn live(model: &Model, weather: &Weather, options: &Options) -> Year {
    run(model, weather, options, &mut |_| ControlFlow::Continue(())).unwrap()
}

pub(super) fn with_series() -> Options {
    Options { keep_series: true, ..Options::default() }
}

pub(super) fn handler(flow_kg_s: f64, supplies: &[(usize, f64)], returns: &[(usize, f64)]) -> Handler {
    Handler {
        flow_kg_s,
        supplies: supplies.to_vec(),
        returns: returns.to_vec(),
        supply_leak: None,
        return_leak: None,
        supply_ducts: vec![],
        return_ducts: vec![],
        pm25_efficiency: 0.0,
        power_w: 0.0,
        intake_share: 0.0,
        least_duty: 1.0,
        rise_pa: f64::NAN,
        filter_pa: f64::NAN,
    }
}
