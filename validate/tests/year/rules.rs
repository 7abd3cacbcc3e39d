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
