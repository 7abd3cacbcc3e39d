//! Rules against a CEL interpreter, against random signals, and against mistakes.

mod errors;
mod machine;
mod oracle;

use super::*;
use crate::doc::{File, Sink, house, rules};

pub(super) const HOUSE: &str = r#"
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
[zone.wet-bath]
kind = "living"
volume = "14 m3"
floor_area = "6 m2"
floor = "0 m"
ceiling = "2.5 m"
[fan.bath_fan]
from = "wet-bath"
to = "outdoors"
flow = "20 to 30 L/s"
[fan.intake]
from = "outdoors"
to = "main"
flow = "50 L/s"
[fan.soil_fan]
from = "main"
to = "outdoors"
flow = "30 L/s"
safety_exhaust = true
[air_handler]
zone = "main"
flow = "400 L/s"
supply_leak = "5 %"
return_leak = "5 %"
[appliance.heater]
zone = "main"
draft = "natural"
"#;

pub(super) fn a_house() -> house::House {
    let sink = Sink::default();
    let house = house::read(&File { name: "house.toml".to_owned(), text: HOUSE.to_owned() }, &sink);
    assert!(!sink.borrow().has_errors(), "{sink:?}");
    house
}

/// A code, its line and column, and the text it points at.
type Said = (&'static str, (usize, usize), String);

/// A set of rules, and codes of what was said, each with its line, column and the text it points at.
pub(super) fn compiled(text: &str) -> (Set, rules::Rules, Vec<Said>) {
    let sink = Sink::default();
    let file = File { name: "rules/a.toml".to_owned(), text: format!("format = 1\n{text}") };
    let written = rules::all(std::slice::from_ref(&file), &sink);
    let house = a_house();
    let set = compile(&written, &house, Signals::of_house(&house, &[]), &sink);
    authorities(&written, &set, &house, &sink);
    let said = sink.into_inner().list;
    let said = said
        .iter()
        .map(|d| {
            let span = &d.spans[0];
            let at = file.text.get(span.start..span.end).unwrap_or("");
            (d.code.0, span.line_column(&file.text), at.to_owned())
        })
        .collect();
    (set, written, said)
}

pub(super) fn good(text: &str) -> Set {
    let (set, _, said) = compiled(text);
    assert!(said.is_empty(), "{said:?}");
    set
}
