//! How long a control rule takes.

use super::Draw;
use engine::doc::{File, Sink, house, rules};
use engine::rule::{Machine, Set, Signals, compile};
use std::time::Instant;

const HOUSE: &str = r#"
format = 1
[zone.main]
kind = "living"
volume = "300 m3"
floor_area = "120 m2"
floor = "0 m"
ceiling = "2.5 m"
[zone.bedroom]
kind = "living"
volume = "36 m3"
floor_area = "14 m2"
floor = "0 m"
ceiling = "2.5 m"
[fan.bath_fan]
from = "main"
to = "outdoors"
flow = "25 L/s"
[fan.intake]
from = "outdoors"
to = "main"
flow = "50 L/s"
[fan.hood]
from = "main"
to = "outdoors"
flow = "80 L/s"
capture = "50 %"
[air_handler]
zone = "main"
flow = "400 L/s"
supply_leak = "5 %"
return_leak = "5 %"
"#;

/// Rules of every kind: short and long conditions, lock-outs with a most in 24 hours, debts.
const RULES: &str = r#"
format = 1
[exposure]
target = "40 L/s"
infiltration = "12 L/s"
[rule.damp]
device = "bath_fan"
on = "100 %"
on_when = 'main.humidity_rise > q("2 g/kg")'
off_when = 'main.humidity_rise < q("0.7 g/kg")'
min_on = "20 min"
[rule.people]
device = "bath_fan"
on = "100 %"
on_when = 'main.people > 0'
[rule.smoke]
device = "intake"
does = "lock out"
floor = "20 %"
most_on = "16 h"
priority = 9
min_on = "30 min"
on_when = '(outdoor.smoke || outdoor.pm25 > q("55 ug/m3")) && outdoor.pm25 > house.lowest_pm25'
off_when = '!outdoor.smoke && outdoor.pm25 < q("35 ug/m3")'
[rule.heat]
device = "intake"
does = "lock out"
floor = "50 %"
most_on = "6 h"
priority = 8
on_when = 'outdoor.temp > q("35 degC") && outdoor.temp > main.temp + q("8 K")'
off_when = 'outdoor.temp < q("33 degC") || outdoor.temp < main.temp + q("6 K")'
[rule.mix]
device = "air_handler"
on = "100 %"
on_when = 'bedroom.co2 > q("900 ppm") && bedroom.co2 - house.lowest_co2 > q("200 ppm") && air_handler.mixing_power < q("1500 W")'
off_when = 'bedroom.co2 - house.lowest_co2 < q("75 ppm") || bedroom.co2 < q("750 ppm")'
min_on = "10 min"
[rule.air]
device = "intake"
on = "100 %"
on_when = 'bedroom.co2 > q("1000 ppm") && bedroom.co2 - house.lowest_co2 < q("150 ppm")'
off_when = 'bedroom.co2 < q("800 ppm")'
[rule.hood]
device = "hood"
on = "100 %"
on_when = 'cooktop.on || cooktop.temp_rise > q("5 K")'
off_when = '!cooktop.on && cooktop.temp_rise < q("2 K")'
min_on = "10 min"
[rule.night]
device = "intake"
on = "100 %"
min_on = "20 min"
on_when = 'time.month in [5, 6, 7, 8, 9] && (time.hour >= 21 || time.hour < 7) && main.temp > q("24 degC") && outdoor.temp < main.temp - q("3 K")'
off_when = '(time.hour >= 7 && time.hour < 21) || main.temp < q("21 degC") || outdoor.temp > main.temp - q("1 K")'
"#;

/// A set of rules of every kind.
///
/// # Panics
/// Never: the texts are good.
pub fn rule_set() -> Set {
    let sink = Sink::default();
    let file = |name: &str, text: &str| File { name: name.to_owned(), text: text.to_owned() };
    let house = house::read(&file("house.toml", HOUSE), &sink);
    let written = rules::all(&[file("rules/a.toml", RULES)], &sink);
    let set = compile(&written, &house, Signals::of_house(&house, &[]), &sink);
    assert!(sink.borrow().list.is_empty(), "{:?}", sink.borrow().list);
    set
}

/// Rows of signals that wander over their ranges, so that rules go on and off.
pub fn rule_signals(set: &Set, rows: usize) -> Vec<Vec<f64>> {
    let mut draw = Draw(5);
    let mut now = set.signals.usual();
    let mut row = || {
        for (x, s) in now.iter_mut().zip(&set.signals.list) {
            let to = draw.between(s.low, s.high);
            // Most stay near what is usual.
            *x = if draw.below(8) == 0 { to } else { *x + 0.1 * (s.usual - *x) };
        }
        now.clone()
    };
    (0..rows).map(|_| row()).collect()
}

/// Time of one rule in a step of the machine, ns: the least of many rounds.
///
/// # Panics
/// Never.
#[expect(clippy::disallowed_methods, reason = "the clock is what this is for")]
pub fn rules_ns() -> (usize, f64) {
    let set = rule_set();
    let rows = rule_signals(&set, 512);
    let count = set.rules.len();
    let mut machine = Machine::new(set);
    let mut least = f64::INFINITY;
    for _ in 0..200 {
        let start = Instant::now();
        for row in &rows {
            std::hint::black_box(machine.step(std::hint::black_box(row), 60.0));
        }
        least = least.min(start.elapsed().as_secs_f64());
    }
    (count, least * 1e9 / (rows.len() * count) as f64)
}

/// The section of `docs/SPEED.md` on control rules.
pub fn rules_section() -> String {
    let (count, ns) = rules_ns();
    format!("## Control rules\n\n{count} rules, {ns:.1} ns a rule\n\n")
}
