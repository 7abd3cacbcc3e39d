//! The year against balances worked by hand and published arithmetic.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    clippy::disallowed_methods,
    clippy::float_cmp,
    reason = "tests: helpers unwrap, measurements are printed, expectations use std's functions"
)]

use engine::air::{self, MoistAir};
use engine::device::{Coil, Dehumidifier, Fuel, Plant, Recovery, person};
use engine::network::{Kind, Network, Node, Passage as Way};
use engine::weather::sun::Plane;
use engine::weather::{Hour, Weather, read};
use engine::year::wind::{Exposure, Site, Terrain};
use engine::year::{
    Beyond, Cooling, Days, Delivery, Door, Drier, DuctLeak, ExhaustFan, Gain, Ground, Handler, Heating,
    Model, Occupant, Options, OutdoorAir, Passage, Progress, Schedule, Source, SunOn, Surface, Thermostat,
    Ventilator, WetGround, Window, Year, YearError, Zone, ZoneKind, run,
};
use std::f64::consts::PI;
use std::ops::ControlFlow;

const OUT: Node = Node::Outdoors { wind: 0 };

fn hour(temp_k: f64, rh: f64) -> Hour {
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

fn leak(a: Node, b: Node, z_m: f64, c: f64) -> Way {
    Way { a, b, z_m, kind: Kind::Leak { c_m3_s_pan: c, n: 0.65 } }
}

/// One zone of a volume with one leak, no surfaces, nobody home, held at a temperature.
fn one_zone(volume_m3: f64, temp_k: f64) -> Model {
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
        ventilators: vec![],
        handler: None,
        thermostat: Some(Thermostat { zone: 0, heat_k: [temp_k; 24], cool_k: [400.0; 24] }),
        heating: Some(Heating {
            plant: Plant::furnace(Fuel::Gas, 50_000.0, 0.8),
            delivery: Delivery::Zones(vec![(0, 1.0)]),
        }),
        cooling: None,
        driers: vec![],
        outdoor: OutdoorAir::default(),
        appliance_zone: None,
    }
}

fn exhaust(flow_kg_s: f64) -> ExhaustFan {
    ExhaustFan { zone: 0, flow_kg_s, schedule: Schedule::Always, power_w: 0.0 }
}

fn live(model: &Model, weather: &Weather, options: &Options) -> Year {
    run(model, weather, options, &mut |_| ControlFlow::Continue(())).unwrap()
}

fn with_series() -> Options {
    Options { keep_series: true, ..Options::default() }
}

/// 12 kg/d into 400 m3 at 0.35 1/h of air of 1.2 kg/m3, 0 degC and 80 % outside: 5.992 g/kg,
/// 38.87 % at 21 degC (reference case, PsychroLib).
#[test]
fn moisture_comes_to_its_balance() {
    let mut model = one_zone(400.0, 294.15);
    model.exhausts = vec![exhaust(0.35 * 400.0 * 1.2 / 3600.0)];
    model.sources = vec![Source {
        zone: 0,
        start_s: 0.0,
        duration_s: 86_400.0,
        pm25_kg_s: 0.0,
        water_kg_s: 12.0 / 86_400.0,
        co2_m3_s: 0.0,
        heat_w: 0.0,
        capture: 0.0,
    }];
    let year = live(&model, &Weather::steady(hour(273.15, 0.8)), &with_series());
    let series = year.zones[0].series.as_ref().unwrap();
    let last = series.w_kg_kg.len() - 1;
    assert!((series.w_kg_kg[last] * 1e3 - 5.992).abs() < 0.002, "{}", series.w_kg_kg[last] * 1e3);
    assert!((series.rh[last] - 0.3887).abs() < 2e-4, "{}", series.rh[last]);
    assert!((series.temp_k[last] - 294.15).abs() < 1e-6);
}

/// F_inf = P a / (a + k + k_f) for four published sets (0.4730, 0.3784, 0.1609, 0.4333).
#[test]
fn outdoor_particles_come_to_their_share() {
    for (p, a, k, k_filter, expected) in [
        (1.0, 0.35, 0.39, 0.0, 0.4730),
        (0.8, 0.35, 0.39, 0.0, 0.3784),
        (0.8, 0.35, 0.39, 1.0, 0.1609),
        (0.78, 0.5, 0.4, 0.0, 0.4333),
    ] {
        let mut model = one_zone(300.0, 293.15);
        let mass_kg = 300.0 * air::moist_density_kg_m3(293.15, 0.0, 101_325.0);
        model.passages[0].pm25_passed = p;
        model.zones[0].deposition_per_s = k / 3600.0;
        model.exhausts = vec![exhaust(a * mass_kg / 3600.0)];
        if k_filter > 0.0 {
            model.handler = Some(Handler {
                flow_kg_s: k_filter * mass_kg / 3600.0 / 0.5,
                supplies: vec![(0, 1.0)],
                returns: vec![(0, 1.0)],
                supply_leak: None,
                return_leak: None,
                pm25_efficiency: 0.5,
                power_w: 0.0,
                least_duty: 1.0,
            });
        }
        // Outdoors as warm as indoors: a concentration by volume is one by mass.
        let year = live(&model, &Weather::steady(hour(293.15, 0.0)), &Options::default());
        let ratio = year.zones[0].pm25_indoors_over_outdoors.unwrap();
        assert!((ratio - expected).abs() < 1e-4, "{ratio} {expected}");
    }
}

/// Two sleepers of 11 L/h in 15 L/s: 407.4 ppm above outdoors.
#[test]
fn two_sleepers_come_to_their_plateau() {
    let mut model = one_zone(35.0, 293.15);
    model.exhausts = vec![exhaust(0.015 * 1.2041)];
    model.occupants = vec![Occupant {
        zone: [Some(0); 24],
        co2_m3_s: [0.022 / 3600.0; 24],
        water_kg_s: [0.0; 24],
        heat_w: [0.0; 24],
    }];
    let year = live(&model, &Weather::steady(hour(293.15, 0.3)), &Options::default());
    let rise = year.zones[0].night_co2_mean_ppm - 420.0;
    assert!((rise - 407.4).abs() < 0.1, "{rise}");
    assert!((year.zones[0].night_co2_p95_ppm - 827.4).abs() < 0.1);
    assert_eq!(year.zones[0].night_co2_over_h, 0.0);
}

/// A house of 200 W/K held at 20 degC in a cold sinusoidal year: 200 W/K times the degree-hours,
/// over a furnace of 80 %.
#[test]
fn heating_is_the_degree_hours() {
    let mut weather = Weather::steady(hour(273.15, 0.5));
    for (h, hour) in weather.hours.iter_mut().enumerate() {
        let day = h as f64 / 24.0;
        hour.temp_k += 8.0 * f64::sin(2.0 * PI * day / 365.0) + 5.0 * f64::sin(2.0 * PI * day);
    }
    let degree_hours: f64 = weather.hours.iter().map(|h| 293.15 - h.temp_k).sum();
    let mut model = one_zone(400.0, 293.15);
    // No air to speak of.
    model.network.set_leak(0, 1e-9, 0.65).unwrap();
    model.surfaces = vec![Surface { zone: 0, beyond: Beyond::Outdoors(None), conductance_w_k: 200.0 }];
    let year = live(&model, &weather, &Options::default());
    let expected_j = 200.0 * degree_hours * 3600.0;
    let relative = year.energy.heat_delivered_j / expected_j - 1.0;
    assert!(relative.abs() < 1e-4, "{relative}");
    assert!(
        (year.energy.heating_j[Fuel::Gas.place()] * 0.8 / year.energy.heat_delivered_j - 1.0).abs() < 1e-12
    );
    assert!(year.too_cold_h < 1e-9);
    // The coldest hour is -13 degC: 33 K.
    assert!((year.peak_heating_w - 200.0 * 33.0).abs() < 30.0, "{}", year.peak_heating_w);
}

/// With air: an exhaust fan's mass flow adds its heat capacity to the conductance.
#[test]
fn ventilation_adds_its_heat() {
    let mut model = one_zone(400.0, 293.15);
    model.exhausts = vec![exhaust(0.05)];
    model.surfaces = vec![Surface { zone: 0, beyond: Beyond::Outdoors(None), conductance_w_k: 100.0 }];
    let year = live(&model, &Weather::steady(hour(273.15, 0.5)), &Options::default());
    let expected_w = (100.0 + 0.05 * 1006.0) * 20.0;
    assert!((year.peak_heating_w / expected_w - 1.0).abs() < 1e-6, "{}", year.peak_heating_w);
    // A balanced ventilator of the same flow with 75 % recovery costs a quarter of that.
    model.exhausts.clear();
    model.network.set_leak(0, 1e-9, 0.65).unwrap();
    model.ventilators = vec![Ventilator {
        supply_kg_s: vec![(0, 0.05)],
        exhaust_kg_s: vec![(0, 0.05)],
        recovery: Recovery { sensible: 0.75, latent: 0.0 },
        pm25_efficiency: 0.5,
        schedule: Schedule::Always,
        power_w: 60.0,
    }];
    let year = live(&model, &Weather::steady(hour(273.15, 0.5)), &Options::default());
    let expected_w = (100.0 + 0.25 * 0.05 * 1006.0) * 20.0;
    assert!((year.peak_heating_w / expected_w - 1.0).abs() < 1e-5, "{}", year.peak_heating_w);
    assert!((year.energy.ventilation_fan_j / (60.0 * 8760.0 * 3600.0) - 1.0).abs() < 1e-9);
}

/// A heater that is too small misses its set point by what physics says.
#[test]
fn capacity_limits() {
    let mut model = one_zone(400.0, 293.15);
    model.network.set_leak(0, 1e-9, 0.65).unwrap();
    model.surfaces = vec![Surface { zone: 0, beyond: Beyond::Outdoors(None), conductance_w_k: 200.0 }];
    model.heating.as_mut().unwrap().plant = Plant::furnace(Fuel::Gas, 2000.0, 0.8);
    let year = live(&model, &Weather::steady(hour(273.15, 0.5)), &Options::default());
    assert!((year.zones[0].temp_mean_k - 283.15).abs() < 0.05, "{}", year.zones[0].temp_mean_k);
    assert!((year.too_cold_h - 8760.0).abs() < 1.0);
    assert!(year.diagnostics.list.iter().any(|d| d.code.0 == "Y113"));
}

fn handler(flow_kg_s: f64, supplies: &[(usize, f64)], returns: &[(usize, f64)]) -> Handler {
    Handler {
        flow_kg_s,
        supplies: supplies.to_vec(),
        returns: returns.to_vec(),
        supply_leak: None,
        return_leak: None,
        pm25_efficiency: 0.0,
        power_w: 0.0,
        least_duty: 1.0,
    }
}

/// A supply that loses a tenth of 0.5 kg/s outdoors pulls on the house until its leak brings the
/// same in: dp = (m / (rho c))^(1/n).
#[test]
fn a_supply_leak_depressurises_the_house() {
    let mut model = one_zone(300.0, 293.15);
    let mut h = handler(0.5, &[(0, 1.0)], &[(0, 1.0)]);
    h.supply_leak = Some(DuctLeak { share: 0.1, zone: None });
    model.handler = Some(h);
    model.appliance_zone = Some(0);
    // The same air on both sides: no stack.
    let mut weather = Weather::steady(hour(293.15, 0.0));
    weather.hours.iter_mut().for_each(|h| h.w_kg_kg = 0.0);
    let year = live(&model, &weather, &Options::default());
    let expected_pa = f64::powf(0.05 / (1.2041 * 0.02), 1.0 / 0.65);
    let least_pa = year.least_appliance_pa.unwrap();
    assert!((least_pa / -expected_pa - 1.0).abs() < 1e-3, "{least_pa} {expected_pa}");
    assert!((year.outdoor_air_kg_s - 0.05).abs() < 1e-6);
    // And a return leak of the same share balances it: the leak carries nothing, the ducts all.
    if let Some(h) = &mut model.handler {
        h.return_leak = Some(DuctLeak { share: 0.1, zone: None });
    }
    let year = live(&model, &weather, &Options::default());
    assert!(year.least_appliance_pa.unwrap().abs() < 1e-3);
    // A tenth of what is drawn is outdoor air, and a tenth of what is blown leaves: 0.9 arrives.
    assert!((year.outdoor_air_kg_s - 0.045).abs() < 1e-5, "{}", year.outdoor_air_kg_s);
}

/// Two sleepers behind a shut door; the handler mixes the house: less CO2 in the bedroom, no more
/// outdoor air, and the same CO2 leaves the house.
#[test]
fn mixing_lowers_the_bedroom_without_outdoor_air() {
    let bedroom = Zone { cold_area_m2: 0.0, ..Zone::usual("bedroom", ZoneKind::Conditioned, 0.0, 2.5, 14.0) };
    let rest = Zone { cold_area_m2: 0.0, ..Zone::usual("rest", ZoneKind::Conditioned, 0.0, 2.5, 146.0) };
    let mut model = one_zone(400.0, 294.15);
    let ways = vec![
        leak(OUT, Node::Zone(0), 1.0, 0.001),
        leak(OUT, Node::Zone(0), 2.4, 0.001),
        leak(OUT, Node::Zone(1), 1.0, 0.02),
        leak(OUT, Node::Zone(1), 2.4, 0.02),
        leak(Node::Zone(0), Node::Zone(1), 0.1, 0.002),
    ];
    model.network = Network::new(["bedroom", "rest"], ways).unwrap();
    model.passages = vec![Passage { pm25_passed: 1.0 }; 5];
    model.zones = vec![bedroom, rest];
    model.thermostat = Some(Thermostat { zone: 1, heat_k: [294.15; 24], cool_k: [400.0; 24] });
    model.heating = Some(Heating {
        plant: Plant::furnace(Fuel::Gas, 20_000.0, 0.9),
        delivery: Delivery::Zones(vec![(0, 0.1), (1, 0.9)]),
    });
    model.occupants = vec![Occupant {
        zone: std::array::from_fn(|h| if !(7..22).contains(&h) { Some(0) } else { None }),
        co2_m3_s: [0.022 / 3600.0; 24],
        water_kg_s: [0.0; 24],
        heat_w: [0.0; 24],
    }];
    let weather = Weather::steady(hour(278.15, 0.5));
    let still = live(&model, &weather, &Options::default());
    model.handler = Some(handler(0.1, &[(0, 0.5), (1, 0.5)], &[(0, 0.5), (1, 0.5)]));
    let mixed = live(&model, &weather, &Options::default());
    assert!(mixed.zones[0].night_co2_mean_ppm < 0.5 * still.zones[0].night_co2_mean_ppm);
    assert!(mixed.zones[1].night_co2_mean_ppm > still.zones[1].night_co2_mean_ppm);
    assert!((mixed.outdoor_air_per_h / still.outdoor_air_per_h - 1.0).abs() < 0.02);
    assert!((mixed.books.co2.gained / still.books.co2.gained - 1.0).abs() < 0.02);
}

/// A dehumidifier holds its set point within its dead band, and what it takes is the balance.
#[test]
fn a_dehumidifier_holds_its_set_point() {
    let mut model = one_zone(300.0, 295.15);
    model.zones[0].moisture_multiplier = 15.0;
    let flow_kg_s = 0.02;
    model.exhausts = vec![exhaust(flow_kg_s)];
    model.driers = vec![Drier {
        zone: 0,
        unit: Dehumidifier {
            capacity_kg_s: 30.0 / 86_400.0,
            efficiency_kg_j: 2.0 / 3.6e6,
            rating_k: 291.48,
            rating_rh: 0.6,
            set_rh: 0.5,
            band_rh: 0.04,
        },
    }];
    // Outdoors at 22 degC and 80 %.
    let outdoors = hour(295.15, 0.8);
    let year = live(&model, &Weather::steady(outdoors), &with_series());
    let series = year.zones[0].series.as_ref().unwrap();
    let later = &series.rh[24 * 30..];
    assert!(later.iter().all(|rh| (0.475..0.525).contains(rh)));
    let mean_w: f64 = series.w_kg_kg.iter().sum::<f64>() / 8760.0;
    let taken_kg = flow_kg_s * (outdoors.w_kg_kg - mean_w) * 8760.0 * 3600.0;
    // Over the year, warming up aside, the books give the same; efficiency at 22 degC and 50 %
    // lies within a third of the rating.
    let efficiency = taken_kg / (year.energy.drier_j / 3.6e6);
    assert!((1.3..2.7).contains(&efficiency), "{efficiency}");
}

/// A cooling coil takes water and heat in the proportion of its bypass factor, and the house's
/// humidity falls below what it would be.
#[test]
fn cooling_takes_water() {
    let mut model = one_zone(400.0, 297.15);
    model.exhausts = vec![exhaust(0.04)];
    model.zones[0].moisture_multiplier = 15.0;
    model.gains = vec![Gain { zone: 0, heat_w: [2500.0; 24] }];
    model.surfaces = vec![Surface { zone: 0, beyond: Beyond::Outdoors(None), conductance_w_k: 150.0 }];
    model.thermostat = Some(Thermostat { zone: 0, heat_k: [290.0; 24], cool_k: [297.15; 24] });
    model.handler =
        Some(Handler { power_w: 300.0, least_duty: 0.0, ..handler(0.45, &[(0, 1.0)], &[(0, 1.0)]) });
    let cooling = Cooling {
        plant: Plant::air_conditioner(9000.0, 3.5),
        coil: Coil { bypass: 0.15, holds_kg: 1.0 },
        delivery: Delivery::Handler,
        own_flow_kg_s: 0.0,
    };
    model.cooling = Some(cooling);
    let out_k = 303.15;
    let year = live(&model, &Weather::steady(hour(out_k, 0.6)), &with_series());
    let series = year.zones[0].series.as_ref().unwrap();
    let last = series.temp_k.len() - 1;
    assert!((series.temp_k[last] - 297.15).abs() < 1e-3);
    // Sensible load by hand: walls, air, gains and the fan's own heat.
    let sensible_w = (150.0 + 0.04 * 1006.0) * (out_k - 297.15) + 2500.0 + 300.0 * year.handler_duty;
    // What the coil takes is the sensible load and the heat of its water.
    let water_kg_s = year.coil_water_kg / (8760.0 * 3600.0);
    let total_w = year.energy.heat_removed_j / (8760.0 * 3600.0);
    let difference = total_w - sensible_w - water_kg_s * 2.54e6;
    assert!((difference / total_w).abs() < 0.02, "{difference} of {total_w}");
    // The water it takes is what the air brings: flow times the difference.
    let brought = 0.04 * (hour(out_k, 0.6).w_kg_kg - series.w_kg_kg[last]);
    assert!((water_kg_s / brought - 1.0).abs() < 0.01, "{water_kg_s} {brought}");
    // A fan that never rests brings water back from the coil: damper.
    if let Some(h) = &mut model.handler {
        h.least_duty = 1.0;
    }
    let always = live(&model, &Weather::steady(hour(out_k, 0.6)), &with_series());
    let rh = always.zones[0].series.as_ref().unwrap().rh[last];
    assert!(rh > series.rh[last] + 0.005, "{rh} {}", series.rh[last]);
}

/// Glass colder than the dew point takes water: the balance of what evaporates and what condenses.
#[test]
fn cold_glass_takes_water() {
    let mut model = one_zone(300.0, 294.15);
    model.zones[0].cold_area_m2 = 10.0;
    model.zones[0].cold_factor = 0.3;
    model.network.set_leak(0, 1e-9, 0.65).unwrap();
    let water_kg_s = 3.0 / 86_400.0;
    model.sources = vec![Source {
        zone: 0,
        start_s: 0.0,
        duration_s: 86_400.0,
        pm25_kg_s: 0.0,
        water_kg_s,
        co2_m3_s: 0.0,
        heat_w: 0.0,
        capture: 0.0,
    }];
    let year = live(&model, &Weather::steady(hour(263.15, 0.5)), &with_series());
    // In balance: 3 kg/d = (3 / 1006) kg/(m2 s) * 10 m2 * (w - w_sat at -0.7 degC).
    let surface_k = 263.15 + 0.3 * (294.15 - 263.15);
    let expected = air::saturation_humidity_ratio(surface_k, 101_325.0) + water_kg_s / (3.0 / 1006.0 * 10.0);
    let series = year.zones[0].series.as_ref().unwrap();
    let w = series.w_kg_kg[series.w_kg_kg.len() - 1];
    assert!((w / expected - 1.0).abs() < 1e-4, "{w} {expected}");
    assert!((year.condensed_kg / (3.0 * 365.0) - 1.0).abs() < 0.01);
}

fn greensboro() -> Weather {
    let text = include_str!("../../api/assets/weather/greensboro-723170.csv");
    let (weather, found) = read("greensboro-723170.csv", text);
    assert!(found.list.is_empty(), "{found:?}");
    weather.unwrap()
}

#[test]
fn greensboro_is_the_climate_it_is() {
    let weather = greensboro();
    assert!((weather.latitude_rad * 180.0 / PI - 36.1).abs() < 1e-9);
    assert!((weather.elevation_m - 273.0).abs() < 1e-9);
    // The 13th hour as the source file has it: 11.7 and 10.6 degC, 992 mbar, 5.2 m/s from 250
    // degrees, 155 W/m2 global and diffuse, no direct; and its relative humidity of 93 %.
    let noon = &weather.hours[12];
    assert!((noon.temp_k - 284.85).abs() < 1e-9 && (noon.pressure_pa - 99_200.0).abs() < 1e-9);
    assert!((noon.wind_m_s - 5.2).abs() < 1e-12 && (noon.wind_from_rad * 180.0 / PI - 250.0).abs() < 1e-9);
    assert!((noon.ghi_w_m2 - 155.0).abs() < 1e-12 && (noon.dhi_w_m2 - 155.0).abs() < 1e-12);
    assert!((air::relative_humidity(noon.temp_k, noon.w_kg_kg, noon.pressure_pa) - 0.93).abs() < 0.005);
    // About 15 degC a year (from memory).
    assert!((weather.mean_temp_k() - 288.15).abs() < 1.5);
    // Mean pressure of the standard atmosphere at 273 m within 1 %.
    assert!((weather.mean_pressure_pa() / air::standard_pressure_pa(273.0) - 1.0).abs() < 0.01);
}

/// Global irradiance is direct times the sine of the altitude plus diffuse: the sun's place must
/// agree with the station's own splitting. Hours of high sun only, where an hour's mean is close to
/// its middle.
#[test]
fn the_suns_place_agrees_with_the_stations_split() {
    let weather = greensboro();
    let (mut count, mut sum, mut worst) = (0.0, 0.0, 0.0_f64);
    for (h, hour) in weather.hours.iter().enumerate() {
        if hour.dni_w_m2 < 300.0 {
            continue;
        }
        let sun = engine::weather::sun::position(
            (h as f64 + 0.5) * 3600.0,
            weather.utc_offset_h,
            weather.latitude_rad,
            weather.longitude_rad,
        );
        if sun.altitude_rad() < 25.0 * PI / 180.0 {
            continue;
        }
        let error = hour.dni_w_m2 * sun.toward[2] + hour.dhi_w_m2 - hour.ghi_w_m2;
        count += 1.0;
        sum += error;
        worst = worst.max(error.abs());
    }
    println!("{count} hours, mean {:.2} W/m2, worst {worst:.1} W/m2", sum / count);
    assert!(count > 1000.0);
    assert!((sum / count).abs() < 5.0 && worst < 60.0);
}

/// 48 picked days keep the sums that plans hang on.
#[test]
fn picked_days_keep_the_years_sums() {
    let weather = greensboro();
    let picked = weather.stratified_days(48);
    assert_eq!(picked.len(), 48);
    let sums = |day: usize| {
        let hours = &weather.hours[24 * day..24 * day + 24];
        let sum = |f: &dyn Fn(&Hour) -> f64| hours.iter().map(f).sum::<f64>();
        [
            sum(&|h| (288.15 - h.temp_k).max(0.0)),
            sum(&|h| (h.temp_k - 295.15).max(0.0)),
            sum(&|h| h.w_kg_kg),
            sum(&|h| h.wind_m_s * h.wind_m_s),
            sum(&|h| h.ghi_w_m2),
        ]
    };
    let (mut all, mut some) = ([0.0; 5], [0.0; 5]);
    for day in 0..365 {
        all.iter_mut().zip(sums(day)).for_each(|(a, s)| *a += s);
    }
    for p in &picked {
        some.iter_mut().zip(sums(p.day)).for_each(|(a, s)| *a += p.weight * s);
    }
    let off: Vec<f64> = some.iter().zip(all).map(|(s, a)| s / a - 1.0).collect();
    println!("heating, cooling degree-hours, water, wind squared, sun: {off:.3?}");
    assert!(off.iter().all(|o| o.abs() < 0.05));
}

fn shares(list: &[(usize, f64)]) -> Vec<(usize, f64)> {
    list.to_vec()
}

const LIVING: usize = 0;
const KITCHEN: usize = 1;
const BED: usize = 2;
const BATH: usize = 3;
const CRAWL: usize = 4;
const ATTIC: usize = 5;

/// An invented house of six zones and thirty passages, everything in it.
fn six_zones(weather: &Weather) -> Model {
    let mut zones = vec![
        Zone::usual("living", ZoneKind::Conditioned, 0.6, 3.1, 50.0),
        Zone::usual("kitchen", ZoneKind::Conditioned, 0.6, 3.1, 20.0),
        Zone::usual("bedroom", ZoneKind::Conditioned, 0.6, 3.1, 16.0),
        Zone::usual("bath", ZoneKind::Conditioned, 0.6, 3.1, 8.0),
        Zone::usual("crawl space", ZoneKind::Buffer, -0.3, 0.6, 94.0),
        Zone::usual("attic", ZoneKind::Buffer, 3.1, 4.5, 94.0),
    ];
    zones[ATTIC].start_k = 285.0;
    zones[CRAWL].start_k = 288.0;
    let wall = |face: usize| Node::Outdoors { wind: face };
    let z = Node::Zone;
    let mut ways = Vec::new();
    // Envelope: low and high on the walls of each room.
    for (zone, face) in [(LIVING, 0), (LIVING, 1), (KITCHEN, 2), (BED, 1), (BED, 3), (BATH, 2)] {
        ways.push(leak(wall(face), z(zone), 1.0, 0.0025));
        ways.push(leak(wall(face), z(zone), 2.8, 0.0025));
    }
    // Ceiling and floor.
    for zone in [LIVING, KITCHEN, BED, BATH] {
        ways.push(leak(z(zone), z(ATTIC), 3.1, 0.004));
        ways.push(leak(z(CRAWL), z(zone), 0.6, 0.003));
    }
    // Vents of attic and crawl space.
    for face in [0, 3] {
        ways.push(leak(wall(face), z(ATTIC), 3.5, 0.08));
        ways.push(leak(wall(face), z(CRAWL), 0.3, 0.04));
    }
    // Doors: gaps, and the open door of the bedroom.
    let gaps = ways.len();
    for zone in [KITCHEN, BED, BATH] {
        ways.push(leak(z(LIVING), z(zone), 0.6, 0.012));
    }
    let opening = Kind::Opening { width_m: 0.8, height_m: 2.0, bottom_m: 0.6, discharge: 0.6 };
    let door = ways.len();
    ways.push(Way { a: z(LIVING), b: z(BED), z_m: 0.6, kind: opening.clone() });
    ways.push(Way { a: z(LIVING), b: z(KITCHEN), z_m: 0.6, kind: opening });
    ways.push(leak(z(CRAWL), z(ATTIC), 2.0, 0.001));
    assert_eq!(ways.len(), 30);
    let passages = (0..ways.len())
        .map(|k| Passage { pm25_passed: if (gaps..=door + 1).contains(&k) { 1.0 } else { 0.8 } })
        .collect();
    let network = Network::new(zones.iter().map(|z| z.name.clone()), ways).unwrap();

    let side = PI / 2.0;
    let faces = (0..4)
        .map(|k| Exposure::Wall {
            azimuth_rad: f64::from(k) * side,
            side_ratio: if k % 2 == 0 { 1.5 } else { 1.0 / 1.5 },
        })
        .collect();
    let mut surfaces = Vec::new();
    for (zone, out, up, down) in
        [(LIVING, 45.0, 12.0, 15.0), (KITCHEN, 20.0, 5.0, 6.0), (BED, 18.0, 4.0, 5.0), (BATH, 8.0, 2.0, 2.5)]
    {
        surfaces.push(Surface { zone, beyond: Beyond::Outdoors(None), conductance_w_k: out });
        surfaces.push(Surface { zone, beyond: Beyond::Zone(ATTIC), conductance_w_k: up });
        surfaces.push(Surface { zone, beyond: Beyond::Zone(CRAWL), conductance_w_k: down });
    }
    for azimuth_rad in [0.0, PI] {
        let plane = Plane { azimuth_rad, tilt_rad: 0.4 };
        let sun = SunOn { plane, absorptance: 0.85, film_w_m2_k: 20.0, sky_k: 4.0 };
        surfaces.push(Surface { zone: ATTIC, beyond: Beyond::Outdoors(Some(sun)), conductance_w_k: 110.0 });
    }
    surfaces.push(Surface { zone: CRAWL, beyond: Beyond::Ground, conductance_w_k: 90.0 });
    surfaces.push(Surface { zone: CRAWL, beyond: Beyond::Outdoors(None), conductance_w_k: 40.0 });
    let vertical = |azimuth_rad| Plane { azimuth_rad, tilt_rad: side };
    let window =
        |zone, area_m2, azimuth_rad| Window { zone, area_m2, shgc: 0.35, plane: vertical(azimuth_rad) };

    let asleep = |hour: usize| !(7..22).contains(&hour);
    let basal_w = person::basal_w(person::Sex::Female, 35.0, 70.0);
    let places = std::array::from_fn(|h| {
        if asleep(h) {
            Some(BED)
        } else if (9..17).contains(&h) {
            None
        } else {
            Some(LIVING)
        }
    });
    let met = std::array::from_fn(|h| if asleep(h) { person::ASLEEP_MET } else { 1.3 });
    let adult = Occupant::person(basal_w, places, met);
    let event = |zone, start_h: f64, duration_s, pm25_mg_min: f64, water_kg: f64, capture| Source {
        zone,
        start_s: start_h * 3600.0,
        duration_s,
        pm25_kg_s: pm25_mg_min * 1e-6 / 60.0,
        water_kg_s: water_kg / duration_s,
        co2_m3_s: 0.0,
        heat_w: 0.0,
        capture,
    };
    let hours =
        |from: usize, to: usize| std::array::from_fn(|h| if (from..to).contains(&h) { 1.0 } else { 0.0 });
    Model {
        zones,
        network,
        passages,
        faces,
        site: Site {
            terrain: Terrain::SUBURB,
            height_m: 4.0,
            shelter: 0.7,
            station: Terrain::OPEN,
            mast_m: 10.0,
        },
        surfaces,
        windows: vec![window(LIVING, 8.0, PI), window(KITCHEN, 3.0, 0.0), window(BED, 3.0, side)],
        ground: Ground::under_house(weather),
        wet_ground: vec![WetGround { zone: CRAWL, transfer_kg_s: 0.003 * 20.0 }],
        occupants: vec![adult.clone(), adult],
        gains: vec![Gain { zone: LIVING, heat_w: [150.0; 24] }, Gain { zone: KITCHEN, heat_w: [120.0; 24] }],
        sources: vec![
            event(KITCHEN, 18.0, 1200.0, 1.5, 0.5, 0.5),
            event(BATH, 7.0, 600.0, 0.0, 0.4, 0.0),
            event(LIVING, 0.0, 86_400.0, 0.0, 2.0, 0.0),
        ],
        doors: vec![Door { passage: door, open: std::array::from_fn(|h| !asleep(h)) }],
        exhausts: vec![
            ExhaustFan {
                zone: KITCHEN,
                flow_kg_s: 0.12,
                schedule: Schedule::Hours(hours(18, 19)),
                power_w: 80.0,
            },
            ExhaustFan {
                zone: BATH,
                flow_kg_s: 0.03,
                schedule: Schedule::Humidity { zone: BATH, rh: 0.65, band: 0.05 },
                power_w: 15.0,
            },
        ],
        ventilators: vec![Ventilator {
            supply_kg_s: vec![(LIVING, 0.02), (BED, 0.01)],
            exhaust_kg_s: vec![(BATH, 0.03)],
            recovery: Recovery { sensible: 0.65, latent: 0.4 },
            pm25_efficiency: 0.5,
            schedule: Schedule::Hours(hours(6, 23)),
            power_w: 40.0,
        }],
        handler: Some(Handler {
            flow_kg_s: 0.5,
            supplies: shares(&[(LIVING, 0.5), (KITCHEN, 0.2), (BED, 0.2), (BATH, 0.1)]),
            returns: shares(&[(LIVING, 1.0)]),
            supply_leak: Some(DuctLeak { share: 0.08, zone: Some(ATTIC) }),
            return_leak: Some(DuctLeak { share: 0.05, zone: Some(CRAWL) }),
            pm25_efficiency: 0.3,
            power_w: 350.0,
            least_duty: 0.1,
        }),
        thermostat: Some(Thermostat {
            zone: LIVING,
            heat_k: std::array::from_fn(|h| if asleep(h) { 291.15 } else { 294.15 }),
            cool_k: [298.15; 24],
        }),
        heating: Some(Heating { plant: Plant::heat_pump(9000.0, 3.6, 5000.0), delivery: Delivery::Handler }),
        cooling: Some(Cooling {
            plant: Plant::air_conditioner(9000.0, 3.5),
            coil: Coil { bypass: 0.15, holds_kg: 0.5 },
            delivery: Delivery::Handler,
            own_flow_kg_s: 0.0,
        }),
        driers: vec![Drier {
            zone: CRAWL,
            unit: Dehumidifier {
                capacity_kg_s: 20.0 / 86_400.0,
                efficiency_kg_j: 1.8 / 3.6e6,
                rating_k: 291.48,
                rating_rh: 0.6,
                set_rh: 0.65,
                band_rh: 0.06,
            },
        }],
        outdoor: OutdoorAir::default(),
        appliance_zone: Some(LIVING),
    }
}

fn timed(model: &Model, weather: &Weather, options: &Options) -> (Year, f64) {
    let start = std::time::Instant::now();
    let year = live(model, weather, options);
    (year, start.elapsed().as_secs_f64())
}

fn summary(name: &str, year: &Year, seconds: f64) {
    let bed = &year.zones[BED];
    let e = &year.energy;
    println!(
        "{name}: {seconds:.2} s; bed CO2 {:.0}/{:.0} ppm, over {:.0} h; PM {:.2} ug/m3; damp {:.0} h dry {:.0} h; ach {:.3}; \
         crawl {:.2e} attic {:.2e} kg/s; p {:.2} Pa; heat {:.0} cool {:.0} fan {:.0} dry {:.0} kWh; duty {:.3}; \
         peaks {:.0}/{:.0} W; cold {:.0} hot {:.0} h; condensed {:.1} coil {:.0} kg; books {:.1e}; {:?}",
        bed.night_co2_mean_ppm,
        bed.night_co2_p95_ppm,
        bed.night_co2_over_h,
        bed.pm25_mean_kg_m3 * 1e9,
        bed.damp_h,
        bed.dry_h,
        year.outdoor_air_per_h,
        year.air_from_buffers_kg_s[0].1,
        year.air_from_buffers_kg_s[1].1,
        year.least_appliance_pa.unwrap(),
        e.heating_j[0] / 3.6e6,
        e.cooling_j / 3.6e6,
        e.handler_fan_j / 3.6e6,
        e.drier_j / 3.6e6,
        year.handler_duty,
        year.peak_heating_w,
        year.peak_cooling_w,
        year.too_cold_h,
        year.too_hot_h,
        year.condensed_kg,
        year.coil_water_kg,
        year.books.worst(),
        year.counts,
    );
}

#[test]
fn a_whole_house_keeps_its_books_and_its_steps_agree() {
    let weather = greensboro();
    let model = six_zones(&weather);
    let five = Options::default();
    let fifteen = Options { inner_step_s: 900.0, ..Options::default() };
    let picked = Options { days: Days::Picked(weather.stratified_days(48)), ..Options::default() };
    let (a, ta) = timed(&model, &weather, &five);
    summary("5 min", &a, ta);
    let (b, tb) = timed(&model, &weather, &fifteen);
    summary("15 min", &b, tb);
    let (c, tc) = timed(&model, &weather, &picked);
    summary("48 days", &c, tc);
    for year in [&a, &b, &c] {
        assert!(year.books.worst() < 1e-9, "{:?}", year.books);
        assert!(!year.diagnostics.has_errors());
    }
    // Same numbers again, to the bit.
    assert_eq!(live(&model, &weather, &picked), c);
    // The step and the choice of days do not change what a plan is judged by.
    let near = |x: f64, y: f64, relative: f64| assert!((x / y - 1.0).abs() < relative, "{x} {y}");
    near(b.zones[BED].night_co2_mean_ppm, a.zones[BED].night_co2_mean_ppm, 0.02);
    near(b.energy.electricity_j(), a.energy.electricity_j(), 0.03);
    near(b.outdoor_air_per_h, a.outdoor_air_per_h, 0.02);
    near(c.zones[BED].night_co2_mean_ppm, a.zones[BED].night_co2_mean_ppm, 0.03);
    near(c.energy.electricity_j(), a.energy.electricity_j(), 0.08);
    near(c.outdoor_air_per_h, a.outdoor_air_per_h, 0.05);
    near(c.zones[BED].pm25_mean_kg_m3, a.zones[BED].pm25_mean_kg_m3, 0.05);
}

#[test]
fn a_run_stops_when_told_and_refuses_what_does_not_fit() {
    let weather = Weather::steady(hour(283.15, 0.5));
    let mut model = one_zone(300.0, 293.15);
    let mut days = 0;
    let stopped = run(&model, &weather, &Options::default(), &mut |p: Progress| {
        days = p.day_count;
        if days == 3 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    });
    assert_eq!(stopped, Err(YearError::Stopped { day_count: 3 }));
    assert_eq!(days, 3);
    let step = Options { inner_step_s: 700.0, ..Options::default() };
    let mut go = |_: Progress| ControlFlow::Continue(());
    assert!(matches!(run(&model, &weather, &step, &mut go), Err(YearError::Step { .. })));
    model.exhausts = vec![ExhaustFan { zone: 3, ..exhaust(0.01) }];
    model.zones[0].volume_m3 = f64::NAN;
    let Err(YearError::Model(list)) = run(&model, &weather, &Options::default(), &mut go) else { panic!() };
    assert_eq!(list.len(), 2);
}
