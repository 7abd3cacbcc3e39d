//! Heat: degree-hours, ventilation, capacity.

use super::{exhaust, hour, live, one_zone};
use engine::device::{Fuel, Plant, Recovery};
use engine::weather::Weather;
use engine::year::{Beyond, Options, Schedule, Surface, Ventilator};
use std::f64::consts::PI;
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
    // Its supply's motor, half of the power, is behind the recovery.
    let expected_w = (100.0 + 0.25 * 0.05 * 1006.0) * 20.0 - 0.5 * 60.0;
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

/// One zone of little capacity without heating at 0 degC outdoors: by how much a machine warms it, K.
fn warmed_k(change: impl Fn(&mut engine::year::Model)) -> f64 {
    let mut model = one_zone(400.0, 273.15);
    model.thermostat = None;
    model.heating = None;
    model.zones[0].heat_capacity_j_k = 1e5;
    model.surfaces = vec![Surface { zone: 0, beyond: Beyond::Outdoors(None), conductance_w_k: 100.0 }];
    change(&mut model);
    let days = engine::year::Days::Picked(vec![engine::weather::PickedDay { day: 20, weight: 1.0 }]);
    let options = Options { days, ..super::with_series() };
    let year = live(&model, &Weather::steady(hour(273.15, 0.5)), &options);
    assert!(year.books.heat.relative_error() < 1e-12, "{:?}", year.books);
    let series = &year.zones[0].series.as_ref().unwrap().temp_k;
    series[series.len() - 1] - 273.15
}

/// The motor of a supply fan warms its zone by P / (UA + m cp); a unit with two fans by half of that
/// power behind its recovery; an exhaust fan by nothing, one in a line between rooms by all of it.
/// Air alone (stack flow through the one leak) is counted by a run without a fan's power.
#[test]
fn motors_warm_the_air_they_bring() {
    let unit = |exhaust: f64, sensible: f64| Ventilator {
        supply_kg_s: vec![(0, 0.05)],
        exhaust_kg_s: if exhaust > 0.0 { vec![(0, exhaust)] } else { vec![] },
        recovery: Recovery { sensible, latent: 0.0 },
        pm25_efficiency: 0.0,
        schedule: Schedule::Always,
        power_w: 300.0,
    };
    let supply = warmed_k(|m| m.ventilators = vec![unit(0.0, 0.0)]);
    let expected = 300.0 / (100.0 + 0.05 * 1006.0);
    assert!((supply / expected - 1.0).abs() < 1e-6, "{supply} {expected}");
    let shut = |m: &mut engine::year::Model| m.network.set_leak(0, 1e-9, 0.65).unwrap();
    let balanced = warmed_k(|m| {
        shut(m);
        m.ventilators = vec![unit(0.05, 0.75)];
    });
    let expected = 150.0 / (100.0 + 0.25 * 0.05 * 1006.0);
    assert!((balanced / expected - 1.0).abs() < 1e-4, "{balanced} {expected}");
    let fan = |heats| engine::year::ExhaustFan { power_w: 300.0, heats, ..exhaust(0.05) };
    assert!(warmed_k(|m| m.exhausts = vec![fan(None)]).abs() < 1e-9);
    let inside = warmed_k(|m| m.exhausts = vec![fan(Some(0))]);
    assert!((inside / (300.0 / (100.0 + 0.05 * 1006.0)) - 1.0).abs() < 1e-6, "{inside}");
}
