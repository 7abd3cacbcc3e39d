//! Tests and readings that were taken against the screen of their visit. They count, and are marked.

use super::rules::Bars;
use super::screen::Screen;
use crate::diag::{Diagnostic, Span, code};
use crate::doc::field::{Asked, FieldTest};
use crate::doc::screen::Item;
use crate::doc::visit::{Direction, Visit};
use serde::Serialize;

/// A test that was taken against the screen.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Flag {
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
pub fn against(visit: &Visit, screen: &Screen) -> Vec<Flag> {
    if !screen.begun {
        return Vec::new();
    }
    let barred = |moves: Moves| -> Vec<Item> {
        let least = if moves == Moves::Down { Bars::DrawingDown } else { Bars::MovingAir };
        let mut items: Vec<Item> = screen.barring(least).map(|r| r.item).collect();
        // Without a reading of carbon monoxide nothing is drawn down.
        let unlooked = screen.unlooked().filter(|_| moves == Moves::Down).map(|m| m.item);
        items.extend(unlooked);
        items.sort_unstable();
        items.dedup();
        items
    };
    let mut out = Vec::new();
    let mut flag = |test: &str, moves: Moves, span: &Span| {
        let items = barred(moves);
        if !items.is_empty() {
            let drew_down = moves == Moves::Down;
            out.push(Flag { test: test.to_owned(), drew_down, items, span: span.clone() });
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
    // A setup holds until the next one: the first reading of each is enough.
    for reading in &visit.readings {
        if let Some(moves) = by_set(&reading.set) {
            flag("", moves, &reading.span);
        }
    }
    out
}

fn by_set(set: &[(crate::doc::Sp<String>, crate::doc::Sp<String>)]) -> Option<Moves> {
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
