//! Bad days against solutions by hand.

use super::{OUT, exhaust, hour, leak, one_zone};
use engine::doc::plans::{Event, EventKind, Size, Start};
use engine::network::{Network, Node};
use engine::weather::Weather;
use engine::year::{Beyond, Model, Occupant, Open, Options, Surface, Year, event};
use std::ops::ControlFlow;

const HOUR_S: f64 = 3600.0;
/// Parts of a step in which what the air carries goes on.
const PARTS: f64 = 4.0;

fn lasting(kind: EventKind, hours: f64, size: Size) -> Event {
    Event { lasts_s: hours * HOUR_S, size, start: Start::Day(40), ..kind.usual() }
}

fn lived(event: &Event, model: &Model, weather: &Weather, inner_step_s: f64) -> Year {
    let first = event::first_day(event, weather);
    let with = event::weather(event, first, weather, &model.outdoor, None);
    let meanwhile = event::during(event, model);
    let options = Options { inner_step_s, keep_series: true, ..Options::default() };
    let houses = (model, meanwhile.as_ref());
    let weather = with.as_ref().unwrap_or(weather);
    event::run(event, first, houses, weather, &options, &mut |_| ControlFlow::Continue(())).unwrap()
}

/// Mean of `end + (start - end) e^(-rate t)` over an hour that begins at `from_s`.
fn mean_of_hour(start: f64, end: f64, rate_per_s: f64, from_s: f64) -> f64 {
    let at = |t: f64| (-rate_per_s * t).exp();
    end + (start - end) * (at(from_s) - at(from_s + HOUR_S)) / (rate_per_s * HOUR_S)
}

/// Backward Euler of a rate in parts of a step misses an exponential by at most
/// `rate dt / 2 * max(x e^-x)` of its rise.
fn tolerance(rate_per_s: f64, part_s: f64, rise: f64) -> f64 {
    0.5 * rate_per_s * part_s * (-1.0_f64).exp() * rise
}

/// One zone with air changes `a`, penetration `p` and deposition `k` in a pulse of height `h`:
/// `dC/dt = a p Co - (a + k) C`.
#[test]
fn smoke_is_the_pulse_by_hand() {
    let (volume_m3, temp_k, flow_kg_s, p) = (200.0, 293.15, 0.04, 0.78);
    let mut model = one_zone(volume_m3, temp_k);
    model.passages[0].pm25_passed = p;
    model.exhausts = vec![exhaust(flow_kg_s)];
    let k = 0.4 / HOUR_S;
    model.zones[0].deposition_per_s = k;
    let weather = Weather::steady(hour(temp_k, 0.0));
    let a = flow_kg_s / (volume_m3 * 101_325.0 / (287.042 * temp_k));
    let (before, height, lasts_h) = (8e-9, 150e-9, 15);
    let event = lasting(EventKind::Smoke, f64::from(lasts_h), Size::Raised(height));
    for step_s in [900.0, 300.0] {
        let year = lived(&event, &model, &weather, step_s);
        let series = &year.zones[0].series.as_ref().unwrap().pm25_kg_m3;
        assert_eq!(series.len(), 24);
        let rate = a + k;
        let gain = a * p / rate;
        let (low, high) = (gain * before, gain * (before + height));
        let reached = high + (low - high) * (-rate * f64::from(lasts_h) * HOUR_S).exp();
        let allowed = tolerance(rate, step_s / PARTS, high - low);
        let mut worst: f64 = 0.0;
        for (h, got) in series.iter().enumerate() {
            let h = h as f64;
            let exact = if h < f64::from(lasts_h) {
                mean_of_hour(low, high, rate, h * HOUR_S)
            } else {
                mean_of_hour(reached, low, rate, (h - f64::from(lasts_h)) * HOUR_S)
            };
            worst = worst.max((got - exact).abs());
        }
        assert!(worst < allowed, "{step_s} s: off by {worst}, allowed {allowed}");
        // The tolerance is no blank cheque: under 2 % of the rise.
        assert!(allowed < 0.02 * (high - low));
        assert!(year.books.worst() < 1e-10);
    }
}

/// Without power a heated zone cools as `e^(-UA t / C)`; before it stands at its set point.
#[test]
fn a_power_cut_cools_as_by_hand() {
    let (inside_k, outside_k, ua_w_k) = (293.15, 273.15, 100.0);
    let mut model = one_zone(200.0, inside_k);
    // Two pinholes: their air carries 0.02 % of what the wall conducts.
    let ways = [0.5, 2.0].map(|z_m| leak(OUT, Node::Zone(0), z_m, 1e-5));
    model.network = Network::new(["house"], ways.to_vec()).unwrap();
    model.passages = vec![model.passages[0]; 2];
    model.surfaces = vec![Surface { zone: 0, beyond: Beyond::Outdoors(None), conductance_w_k: ua_w_k }];
    let weather = Weather::steady(hour(outside_k, 0.2));
    let event = lasting(EventKind::PowerCut, 24.0, Size::None);
    let year = lived(&event, &model, &weather, 300.0);
    let rate = ua_w_k / model.zones[0].heat_capacity_j_k;
    let allowed = tolerance(rate, 300.0, inside_k - outside_k);
    for (h, got) in year.zones[0].series.as_ref().unwrap().temp_k.iter().enumerate() {
        let exact = mean_of_hour(inside_k, outside_k, rate, h as f64 * HOUR_S);
        assert!((got - exact).abs() < allowed.max(1e-3), "hour {h}: {got} {exact}");
    }
    // It is noticed: nothing was heated.
    assert!(year.energy.heating_j.iter().all(|j| *j == 0.0));
}

/// Guests more: the CO2 over outdoors goes to its new level by the air change.
#[test]
fn guests_raise_co2_by_their_number() {
    let (volume_m3, temp_k, flow_kg_s, g_m3_s) = (200.0, 293.15, 0.05, 4e-6);
    let mut model = one_zone(volume_m3, temp_k);
    model.exhausts = vec![exhaust(flow_kg_s)];
    model.occupants = vec![Occupant {
        zone: [Some(0); 24],
        co2_m3_s: [g_m3_s; 24],
        water_kg_s: [0.0; 24],
        heat_w: [0.0; 24],
        stays: vec![],
        persons: 1.0,
    }];
    let weather = Weather::steady(hour(temp_k, 0.0));
    let density = 101_325.0 / (287.042 * temp_k);
    let rise = |people: f64| 1e6 * people * g_m3_s * density / flow_kg_s;
    let out = model.outdoor.co2_ppm;
    let rate = flow_kg_s / (volume_m3 * density);
    let event = lasting(EventKind::Guests, 24.0, Size::Persons(2.0));
    let year = lived(&event, &model, &weather, 300.0);
    let allowed = tolerance(rate, 300.0 / PARTS, rise(2.0));
    for (h, got) in year.zones[0].series.as_ref().unwrap().co2_ppm.iter().enumerate() {
        let exact = mean_of_hour(out + rise(1.0), out + rise(3.0), rate, h as f64 * HOUR_S);
        // And 0.3 % for the mass of CO2 against that of air at the source.
        assert!((got - exact).abs() < allowed + 0.003 * rise(3.0), "hour {h}: {got} {exact}");
    }
}

/// Everything on: one leak and a fan that never ran before: `dp = -(Q / C)^(1/n)`.
#[test]
fn everything_on_presses_as_the_leak_says() {
    let mut model = one_zone(200.0, 293.15);
    let mut fan = exhaust(0.06);
    fan.schedule = engine::year::Schedule::Spans(vec![]);
    model.exhausts = vec![fan];
    model.appliance_zone = Some(0);
    model.doors = vec![];
    let weather = Weather::steady(hour(293.15, 0.0));
    let event = lasting(EventKind::EverythingOn, 24.0, Size::None);
    let year = lived(&event, &model, &weather, 900.0);
    let density = 101_325.0 / (287.042 * 293.15);
    // The leak's C is for air of the reference density: the flow goes with the root of density here.
    let law = |q_m3_s: f64| -(q_m3_s / 0.02_f64).powf(1.0 / 0.65);
    let got = year.least_appliance_pa.unwrap();
    let by_hand = law(0.06 / density);
    assert!((got / by_hand - 1.0).abs() < 0.01, "{got} {by_hand}");
    // Off, there is nothing.
    let quiet = Event { kind: EventKind::Smoke, size: Size::Raised(1e-9), ..event };
    assert!(lived(&quiet, &model, &weather, 900.0).least_appliance_pa.unwrap().abs() < 1e-6);
}

#[test]
fn weather_and_schedules_change_where_they_should_and_nowhere_else() {
    let mut weather = Weather::steady(hour(278.15, 0.95));
    for (h, hour) in weather.hours.iter_mut().enumerate() {
        if (24 * 100..24 * 103).contains(&h) {
            hour.temp_k -= 10.0;
        }
        if (24 * 200..24 * 202).contains(&h) {
            hour.wind_m_s = 0.0;
        } else {
            hour.wind_m_s = 3.0;
        }
    }
    let cold = Event { lasts_s: 72.0 * HOUR_S, ..EventKind::ColdSnap.usual() };
    assert_eq!(event::first_day(&cold, &weather), 100);
    let calm = EventKind::DoorsShut.usual();
    assert_eq!(event::first_day(&calm, &weather), 200);
    let with = event::weather(&cold, 100, &weather, &one_zone(1.0, 293.15).outdoor, None).unwrap();
    for (h, (was, now)) in weather.hours.iter().zip(&with.hours).enumerate() {
        if (24 * 100..24 * 103).contains(&h) {
            assert!((was.temp_k - now.temp_k - 8.0).abs() < 1e-12);
            // Air that cold holds less water.
            let most = engine::air::saturation_humidity_ratio(now.temp_k, now.pressure_pa);
            assert!(now.w_kg_kg <= most && now.w_kg_kg < was.w_kg_kg);
        } else {
            assert_eq!(was, now);
        }
    }
    // An event at the turn of the year goes on in January.
    let late = lasting(EventKind::Smoke, 48.0, Size::Raised(1e-7));
    let outdoor = one_zone(1.0, 293.15).outdoor;
    let with = event::weather(&late, 364, &weather, &outdoor, None).unwrap();
    assert!((with.pm25_kg_m3[8759] - 1.08e-7).abs() < 1e-15 && (with.pm25_kg_m3[0] - 1.08e-7).abs() < 1e-15);
    assert!((with.pm25_kg_m3[24] - 8e-9).abs() < 1e-18);
    let mut model = one_zone(200.0, 293.15);
    model.doors = vec![engine::year::Door { passage: 0, open: Open::Hours([true; 24]) }];
    let shut = event::during(&calm, &model).unwrap();
    let open: Vec<usize> = (0..24).filter(|h| shut.doors[0].is_open(*h, 0.0)).collect();
    assert_eq!(open, (7..22).collect::<Vec<_>>());
}

/// A cut from 18:00 by the clock: the room stands at its set point until then and cools as `e^(-UA t / C)` from
/// then on, in summer time an hour earlier by the weather's own hours.
#[test]
fn a_power_cut_begins_at_its_hour() {
    let (inside_k, outside_k, ua_w_k) = (293.15, 273.15, 100.0);
    let mut model = one_zone(200.0, inside_k);
    let ways = [0.5, 2.0].map(|z_m| leak(OUT, Node::Zone(0), z_m, 1e-5));
    model.network = Network::new(["house"], ways.to_vec()).unwrap();
    model.passages = vec![model.passages[0]; 2];
    model.surfaces = vec![Surface { zone: 0, beyond: Beyond::Outdoors(None), conductance_w_k: ua_w_k }];
    let mut heated = model.clone();
    let weather = Weather::steady(hour(outside_k, 0.2));
    let rate = ua_w_k / model.zones[0].heat_capacity_j_k;
    let summer = engine::doc::job::SummerTime { from_s: 0.0, to_s: 300.0 * 86_400.0, shift_s: HOUR_S };
    for (summer, first) in [(None, 18), (Some(summer), 17)] {
        heated.summer = summer;
        let event = Event { at_s: Some(18.0 * HOUR_S), ..lasting(EventKind::PowerCut, 4.0, Size::None) };
        assert_eq!(event::first_hour(&event, 40, heated.summer.as_ref()), first);
        let year = lived(&event, &heated, &weather, 300.0);
        let temp = &year.zones[0].series.as_ref().unwrap().temp_k;
        let allowed = tolerance(rate, 300.0, inside_k - outside_k).max(2e-3);
        for (h, got) in temp.iter().enumerate().take(first + 4) {
            let exact = if h < first {
                inside_k
            } else {
                mean_of_hour(inside_k, outside_k, rate, (h - first) as f64 * HOUR_S)
            };
            assert!((got - exact).abs() < allowed, "hour {h}: {got} {exact}");
        }
    }
}

/// A cleaner that runs a quarter of each hour takes particles in that quarter alone: between, the room goes its
/// own way, and a power cut stops it.
#[test]
fn a_cleaner_runs_by_its_schedule() {
    let (volume_m3, temp_k, flow_kg_s) = (100.0, 293.15, 0.01);
    let mut model = one_zone(volume_m3, temp_k);
    model.exhausts = vec![exhaust(flow_kg_s), exhaust(0.0)];
    model.zones[0].deposition_per_s = 0.0;
    let cadr_m3_s = 0.1;
    model.cleaners = vec![engine::year::Cleaner { fan: 1, cadr_m3_s }];
    let spans = (0..24).map(|h| f64::from(h) * HOUR_S).map(|s| (s, s + 900.0)).collect();
    model.exhausts[1].schedule = engine::year::Schedule::Spans(spans);
    let weather = Weather::steady(hour(temp_k, 0.0));
    let day = engine::weather::PickedDay { day: 100, weight: 1.0 };
    let options = Options {
        inner_step_s: 60.0,
        days: engine::year::Days::Picked(vec![day]),
        keep_series: true,
        ..Options::default()
    };
    let year = super::live(&model, &weather, &options);
    let got = year.zones[0].series.as_ref().unwrap().pm25_kg_m3[12];
    // The periodic solution: a = 0.3 1/h of air, k = 3.6 1/h while it runs, over a quarter and three.
    let a = flow_kg_s / (volume_m3 * 101_325.0 / (287.042 * temp_k));
    let k = cadr_m3_s / volume_m3;
    let out = 8e-9;
    let (on_s, off_s) = (900.0, 2700.0);
    let low = out * a / (a + k);
    let (e_on, e_off) = ((-(a + k) * on_s).exp(), (-a * off_s).exp());
    // c after the quarter: low + (start - low) e_on; start: out + (c - out) e_off.
    let start = (out + (low - out) * e_off + (0.0 - low) * e_on * e_off) / (1.0 - e_on * e_off);
    let ended = low + (start - low) * e_on;
    let mean = (low * on_s
        + (start - low) * (1.0 - e_on) / (a + k)
        + out * off_s
        + (ended - out) * (1.0 - e_off) / a)
        / HOUR_S;
    assert!((got / mean - 1.0).abs() < 0.01, "{got} {mean}");
    // The mean rate would say less.
    let smeared = out * a / (a + 0.25 * k);
    assert!((smeared / mean - 1.0).abs() > 0.02, "{smeared} {mean}");
    let cut = Event { size: Size::None, ..lasting(EventKind::PowerCut, 24.0, Size::None) };
    let still = event::during(&cut, &model).unwrap();
    assert_eq!(still.exhausts[1].schedule, engine::year::Schedule::Spans(Vec::new()));
}
