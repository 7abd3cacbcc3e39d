//! Tests and readings that were taken against the screen of their visit. They count, and are marked.

use super::rules::Bars;
use super::screen::Screen;
use crate::diag::{Diagnostic, Span, code};
use crate::doc::field::{Asked, FieldTest};
use crate::doc::screen::Item;
use crate::doc::visit::{Direction, Visit};
use crate::doc::{Sink, Sp};
use crate::house::{self, House};
use crate::next::draws_down;
use serde::Serialize;

/// A test that was taken against the screen.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Flag {
    /// Folder of the visit.
    pub visit: String,
    /// Name of the test; empty for single readings.
    pub test: String,
    /// Whether it drew the house down; else it moved its air another way.
    pub drew_down: bool,
    /// Against what.
    pub items: Vec<Item>,
    /// Where it was written.
    pub span: Span,
}

impl Flag {
    /// As a warning.
    pub fn diagnostic(&self) -> Diagnostic {
        let words: Vec<&str> = self.items.iter().map(|i| i.word()).collect();
        Diagnostic::warning(code::O103)
            .at(self.span.clone())
            .arg("test", self.test.as_str())
            .arg("items", words.join(", "))
    }
}

/// How a test moves the air of the house.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Moves {
    Air,
    Down,
}

/// Everything of a visit that was taken against its screen. A visit without a `[hazards]` table has no
/// screen to be taken against.
pub fn against(visit: &Visit, screen: &Screen, house: Option<&House>) -> Vec<Flag> {
    if !screen.begun && visit.care.hazards.looks.is_empty() {
        return Vec::new();
    }
    let moving: Vec<Item> = screen.barring(Bars::MovingAir).map(|r| r.item).collect();
    // Without a reading of carbon monoxide nothing is drawn down. The short form says what was seen, and
    // nothing of the rest.
    let drawing = match screen.begun {
        true => screen.against_drawing(),
        false => screen.barring(Bars::DrawingDown).map(|r| r.item).collect(),
    };
    let barred = |moves: Moves| if moves == Moves::Down { drawing.clone() } else { moving.clone() };
    let mut out = Vec::new();
    let mut flag = |test: &str, moves: Moves, span: &Span| {
        let items = barred(moves);
        if !items.is_empty() {
            let drew_down = moves == Moves::Down;
            out.push(Flag {
                visit: visit.folder.clone(),
                test: test.to_owned(),
                drew_down,
                items,
                span: span.clone(),
            });
        }
    };
    for test in &visit.tests {
        let down = test.runs.iter().any(|r| r.direction == Direction::Depressurise);
        flag(&test.name.value, if down { Moves::Down } else { Moves::Air }, &test.span);
    }
    for test in &visit.field {
        if let Some(moves) = field(test).max(by_set(&test.set)) {
            flag(&test.name.value, moves, &test.span);
        }
    }
    // A setup holds until the next one: the first reading of each is enough. Where there is a house the
    // whole setup counts, exhausts and a blower behind a shut door among it.
    let quiet = Sink::default();
    let mut setup = house.map(|h| {
        let mut setup = house::start(h);
        house::apply(h, &mut setup, &visit.start, &quiet);
        setup
    });
    for reading in visit.readings.iter().filter(|r| !r.set.is_empty()) {
        let moves = match (house, &mut setup) {
            (Some(h), Some(setup)) => {
                house::apply(h, setup, &reading.set, &quiet);
                match setup.test_fan {
                    Some(Direction::Pressurise) => Some(Moves::Air),
                    _ => draws_down(h, setup).then_some(Moves::Down),
                }
            }
            _ => by_set(&reading.set),
        };
        if let Some(moves) = moves {
            flag("", moves, &reading.span);
        }
    }
    out
}

fn by_set(set: &[(Sp<String>, Sp<String>)]) -> Option<Moves> {
    let fan = set.iter().find(|(name, _)| name.value == "test_fan")?;
    match fan.1.value.as_str() {
        "depressurise" => Some(Moves::Down),
        "pressurise" => Some(Moves::Air),
        _ => None,
    }
}

/// How a field test moves air, where its document tells.
fn field(test: &FieldTest) -> Option<Moves> {
    let by_pressure = |pa: Option<f64>| match pa {
        Some(pa) if pa > 0.0 => Moves::Air,
        _ => Moves::Down,
    };
    match &test.asked {
        Asked::PressurePans(p) => Some(by_pressure(Some(p.house_pa.value))),
        Asked::ZonePressures(z) => Some(by_pressure(z.as_found.house_outdoors_pa)),
        // A combustion test is what draws most, and a sealing session runs the fan.
        Asked::CombustionZone(c) if !c.states.is_empty() => Some(Moves::Down),
        Asked::FanPressures(_) | Asked::Sealing(_) => Some(Moves::Down),
        Asked::DuctLeakage(d) => {
            let down = d.runs.iter().any(|r| r.direction == Direction::Depressurise);
            Some(if down { Moves::Down } else { Moves::Air })
        }
        Asked::RoomPressures(_) | Asked::DominantLeak(_) => Some(Moves::Air),
        _ => None,
    }
}
