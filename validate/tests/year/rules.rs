//! Control rules in the year against a cycle worked by hand.

use super::{exhaust, hour, live, one_zone};
use engine::doc::{File, Sink, house, rules};
use engine::rule::{Signals, compile};
use engine::weather::{PickedDay, Weather};
use engine::year::{Controls, Days, Occupant, Options, Schedule, Target};

const HOUSE: &str = r#"
format = 1
[zone.house]
kind = "living"
volume = "35 m3"
floor_area = "14 m2"
floor = "0 m"
ceiling = "2.5 m"
[fan.out]
from = "house"
to = "outdoors"
flow = "15 L/s"
"#;

const RULES: &str = r#"
format = 1
[rule.air]
device = "out"
on = "100 %"
off = "0 %"
on_when = 'house.co2 > q("1000 ppm")'
off_when = 'house.co2 < q("900 ppm")'
min_on = "5 min"
"#;

/// Two sleepers in a shut room: 22 L/h into 35 m3 raise CO2 by 628.6 ppm an hour while the fan
/// rests, 900 to 1000 ppm in 0.159 h; at 15 L/s it falls towards 827.4 ppm by 1.543 an hour, back to
/// 900 in ln(172.6/72.6)/1.543 = 0.561 h. The fan runs 0.561/0.720 = 0.779 of the time.
#[test]
fn a_rule_cycles_as_worked_by_hand() {
    let sink = Sink::default();
    let file = |name: &str, text: &str| File { name: name.to_owned(), text: text.to_owned() };
    let text = house::read(&file("house.toml", HOUSE), &sink);
    let written = rules::all(&[file("rules/air.toml", RULES)], &sink);
    let set = compile(&written, &text, Signals::of_house(&text, &[]), &sink);
    assert!(sink.borrow().list.is_empty(), "{:?}", sink.borrow().list);

    let mut model = one_zone(35.0, 293.15);
    model.exhausts = vec![exhaust(0.015 * 1.2041)];
    model.exhausts[0].schedule = Schedule::Spans(Vec::new());
    model.exhausts[0].power_w = 10.0;
    model.occupants = vec![Occupant {
        zone: [Some(0); 24],
        co2_m3_s: [0.022 / 3600.0; 24],
        water_kg_s: [0.0; 24],
        heat_w: [0.0; 24],
        stays: vec![],
        persons: 1.0,
    }];
    let day = PickedDay { day: 100, weight: 1.0 };
    let options = Options {
        inner_step_s: 60.0,
        days: Days::Picked(vec![day]),
        keep_series: true,
        controls: Some(Controls { set, targets: vec![Target::Exhaust(0)] }),
        ..Options::default()
    };
    let weather = Weather::steady(hour(293.15, 0.3));
    let year = live(&model, &weather, &options);
    let duty = year.energy.ventilation_fan_j / (10.0 * 86_400.0);
    // A step of a minute is late by half of it at both ends, 10 ppm at most.
    assert!((duty - 0.779).abs() < 0.02, "{duty}");
    let co2 = &year.zones[0].series.as_ref().unwrap().co2_ppm;
    assert!(co2.iter().all(|c| (895.0..1012.0).contains(c)), "{co2:?}");
    assert!(year.books.worst() < 1e-9, "{:?}", year.books);
    // Without rules the fan never runs.
    let bare = Options { controls: None, ..options.clone() };
    assert_eq!(live(&model, &weather, &bare).energy.ventilation_fan_j, 0.0);
    assert_eq!(live(&model, &weather, &options).energy, year.energy);
}

fn set_of(house_text: &str, rules_text: &str) -> engine::rule::Set {
    let sink = Sink::default();
    let file = |name: &str, text: &str| File { name: name.to_owned(), text: text.to_owned() };
    let text = house::read(&file("house.toml", house_text), &sink);
    let written = rules::all(&[file("rules/air.toml", rules_text)], &sink);
    let set = compile(&written, &text, Signals::of_house(&text, &[]), &sink);
    assert!(sink.borrow().list.is_empty(), "{:?}", sink.borrow().list);
    set
}

/// Part of a day that the fan runs, 10 W while it does.
fn duty(model: &engine::year::Model, weather: &Weather, rules_text: &str) -> f64 {
    let controls = Controls { set: set_of(HOUSE, rules_text), targets: vec![Target::Exhaust(0)] };
    let options = Options {
        inner_step_s: 300.0,
        days: Days::Picked(vec![PickedDay { day: 100, weight: 1.0 }]),
        controls: Some(controls),
        ..Options::default()
    };
    live(model, weather, &options).energy.ventilation_fan_j / (10.0 * 86_400.0)
}

fn with_fan(flow_kg_s: f64) -> engine::year::Model {
    let mut model = one_zone(35.0, 293.15);
    model.exhausts = vec![exhaust(0.015 * 1.2041), exhaust(flow_kg_s)];
    model.exhausts[0].schedule = Schedule::Spans(Vec::new());
    model.exhausts[0].power_w = 10.0;
    model
}

/// A fan of 0.06 kg/s through one leak of 0.02 m3/(s Pa^0.65): the room lies
/// (0.06 / 1.2041 / 0.02)^(1/0.65) = 4.07 Pa below outdoors, and stays there.
#[test]
fn pressures_are_signals_in_the_year() {
    let weather = Weather::steady(hour(293.15, 0.3));
    let model = with_fan(0.06);
    let rule = |pa: &str| {
        format!(
            "format = 1\n[rule.air]\ndevice = \"out\"\non = \"0 %\"\noff = \"100 %\"\non_when = 'house.pressure < q(\"{pa} Pa\")'\n"
        )
    };
    // The rule's own fan would add to it: it is held off while the room lies low, and so never runs.
    assert!(duty(&model, &weather, &rule("-3.9")) < 0.02);
    assert!(duty(&with_fan(0.0), &weather, &rule("-3.9")) > 0.98);
    // Across the fan it is the same, with the sign of what it blows against.
    let across = |pa: &str| {
        format!(
            "format = 1\n[rule.air]\ndevice = \"out\"\non = \"100 %\"\non_when = 'out.pressure > q(\"{pa} Pa\")'\n"
        )
    };
    assert!(duty(&model, &weather, &across("3.9")) > 0.98);
    assert!(duty(&model, &weather, &across("6.5")) < 0.02);
}

/// The NowCast of 60 ug/m3 all year is 60: unhealthy; of 30 it is not.
#[test]
fn outdoor_air_itself_brings_a_smoke_notice() {
    let rule = "format = 1\n[rule.air]\ndevice = \"out\"\non = \"100 %\"\non_when = 'outdoor.smoke'\n";
    for (pm25, runs) in [(60e-9, 1.0), (30e-9, 0.0)] {
        let mut weather = Weather::steady(hour(293.15, 0.3));
        weather.pm25_kg_m3 = vec![pm25; 24];
        assert!((duty(&with_fan(0.0), &weather, rule) - runs).abs() < 0.02, "{pm25}");
    }
}

/// Below a quarter of the last hour the fan goes on: three steps of five minutes, then off until the first of them
/// has begun to leave the hour, which is seen at the end of a step: three of thirteen.
#[test]
fn a_run_share_is_held_by_its_signal() {
    let weather = Weather::steady(hour(293.15, 0.3));
    let rule =
        "format = 1\n[rule.air]\ndevice = \"out\"\non = \"100 %\"\non_when = 'out.run_share < q(\"25 %\")'\n";
    let duty = duty(&with_fan(0.0), &weather, rule);
    assert!((duty - 3.0 / 13.0).abs() < 0.01, "{duty}");
}

const OWES: &str = r#"
format = 1
[exposure]
target = "15 L/s"
infiltration = "2 L/s"
[rule.smoke]
device = "out"
does = "lock out"
floor = "20 %"
most_on = "12 h"
on_when = 'outdoor.smoke'
[rule.repay]
device = "out"
on = "100 %"
on_when = 'house.debt > q("0 h") && !outdoor.smoke'
"#;

/// A lock-out of six hours of smoke owes; the fan at twice the target repays it, in the time that the equation of
/// relative exposure gives.
#[test]
fn a_debt_is_lived_until_it_is_repaid() {
    use engine::doc::plans::{Event, EventKind, Size, Start};
    let mut model = one_zone(35.0, 293.15);
    let full = 0.030;
    model.exhausts = vec![exhaust(full * 1.2041)];
    // Its own schedule is the target.
    model.exhausts[0].schedule = Schedule::Hours([0.5; 24]);
    let weather = Weather::steady(hour(293.15, 0.3));
    let event = Event {
        lasts_s: 6.0 * 3600.0,
        size: Size::Raised(150e-9),
        start: Start::Day(40),
        ..EventKind::Smoke.usual()
    };
    let with = engine::year::event::weather(&event, 40, &weather, &model.outdoor, None).unwrap();
    let set = set_of(HOUSE, OWES);
    let volume = set.volume_m3;
    let options = Options {
        inner_step_s: 300.0,
        controls: Some(Controls { set, targets: vec![Target::Exhaust(0)] }),
        ..Options::default()
    };
    let year = engine::year::event::run(&event, 40, (&model, None), &with, &options, &mut |_| {
        std::ops::ControlFlow::Continue(())
    })
    .unwrap();
    let owed = year.owed.unwrap();
    // The notice by the outdoor air lasts on by the mean of its hours, a few; then the debt is repaid.
    let (after, seconds) = engine::rule::exposure_after(1.0, 6.0 * 3600.0, 0.2 * full, 0.015, volume);
    assert!(owed.highest_s > seconds - 6.0 * 3600.0, "{owed:?} {after}");
    let repaid = owed.repaid_s.unwrap();
    let steady = engine::rule::repay_s(owed.highest_s, after, full, 0.015, volume).unwrap();
    assert!(
        owed.left_s <= 0.0 && repaid > 0.8 * steady && repaid < steady + 8.0 * 3600.0,
        "{owed:?} {steady}"
    );
    assert!(year.zones[0].series.is_none());
}
