//! Particles, CO2 and the ducts that carry them.

use super::{OUT, exhaust, handler, hour, leak, live, one_zone};
use engine::air;
use engine::device::{Fuel, Plant};
use engine::network::{Network, Node};
use engine::weather::Weather;
use engine::year::{
    Delivery, DuctLeak, Handler, Heating, Occupant, Options, Passage, Stay, Thermostat, Zone, ZoneKind,
};
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
                supply_ducts: vec![],
                return_ducts: vec![],
                pm25_efficiency: 0.5,
                power_w: 0.0,
                intake_share: 0.0,
                least_duty: 1.0,
                rise_pa: f64::NAN,
                filter_pa: f64::NAN,
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
        stays: vec![],
        persons: 1.0,
    }];
    let year = live(&model, &Weather::steady(hour(293.15, 0.3)), &Options::default());
    let rise = year.zones[0].night_co2_mean_ppm - 420.0;
    assert!((rise - 407.4).abs() < 0.1, "{rise}");
    assert!((year.zones[0].night_co2_p95_ppm - 827.4).abs() < 0.1);
    assert_eq!(year.zones[0].night_co2_over_h, 0.0);
}

/// From 22:30 to 06:15 in steps of an hour: what a sleeper gives off is counted to the second.
#[test]
fn people_come_and_go_when_it_is_written() {
    const CO2_M3_S: f64 = 4e-6;
    let mut model = one_zone(300.0, 293.15);
    let options = Options { inner_step_s: 3600.0, ..Options::default() };
    let weather = Weather::steady(hour(293.15, 0.3));
    let empty = live(&model, &weather, &options);
    let stay = Stay {
        from_s: 22.5 * 3600.0,
        to_s: 6.25 * 3600.0,
        zone: Some(0),
        co2_m3_s: CO2_M3_S,
        water_kg_s: 0.0,
        heat_w: 0.0,
    };
    model.occupants = vec![Occupant {
        zone: [None; 24],
        co2_m3_s: [1.0; 24],
        water_kg_s: [0.0; 24],
        heat_w: [0.0; 24],
        stays: vec![stay],
        persons: 1.0,
    }];
    let lived = live(&model, &weather, &options);
    let days = lived.days_simulated as f64;
    let given = days * 7.75 * 3600.0 * CO2_M3_S * air::REFERENCE_DENSITY_KG_M3 / 1e-6;
    let counted = lived.books.co2.gained - empty.books.co2.gained;
    assert!((counted / given - 1.0).abs() < 1e-9, "{counted} {given}");
    // Two more steps a day.
    assert_eq!(lived.counts.step_count - empty.counts.step_count, 2 * lived.days_simulated);
    // A zone that is not there is found.
    model.occupants[0].stays[0].zone = Some(3);
    assert!(!model.check().is_empty());
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
    model.thermostat = Some(Thermostat::steady(1, 294.15, 400.0));
    model.heating = Some(Heating {
        plant: Plant::furnace(Fuel::Gas, 20_000.0, 0.9),
        delivery: Delivery::Zones(vec![(0, 0.1), (1, 0.9)]),
    });
    model.occupants = vec![Occupant {
        zone: std::array::from_fn(|h| if !(7..22).contains(&h) { Some(0) } else { None }),
        co2_m3_s: [0.022 / 3600.0; 24],
        water_kg_s: [0.0; 24],
        heat_w: [0.0; 24],
        stays: vec![],
        persons: 1.0,
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
