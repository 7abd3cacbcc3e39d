//! The state of the house while a reading is taken, inherited from the reading before.

use super::House;
use crate::diag::{Diagnostic, code};
use crate::doc::visit::Direction;
use crate::doc::{Sink, Sp};
use crate::math;
use crate::units::{Quantity, parse_range};

/// What can be switched, opened or sealed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Switchable {
    /// [`House::doors`].
    Door(usize),
    /// [`House::fans`].
    Fan(usize),
    /// The air handler.
    AirHandler,
    /// [`House::leaks`]: can be sealed for a test.
    Leak(usize),
    /// The test fan.
    TestFan,
    /// [`House::lines`]: a stack with its own temperature.
    Stack(usize),
}

/// Accuracy of a hole whose area is given as one number, as sd of its logarithm: rule and edge, and a
/// discharge coefficient that is not quite that of a sharp edge. Common practice, no source.
pub const HOLE_LN_SD: f64 = 0.05;

/// A hole of known size where a door, hatch or window is not shut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Hole {
    /// Free area, m2.
    pub area_m2: f64,
    /// Sd of the logarithm of the area.
    pub ln_sd: f64,
}

impl Hole {
    /// The same hole when its area is another by this logarithm.
    #[must_use]
    pub fn off_by(self, ln: f64) -> Hole {
        Hole { area_m2: self.area_m2 * math::exp(ln), ..self }
    }
}

/// Reads a hole: an area, or a range of areas (5 to 95 %).
fn hole(text: &str) -> Option<Hole> {
    let (low, high) = parse_range(text, Quantity::Area).ok()?;
    if low.si <= 0.0 {
        return None;
    }
    let wide = math::ln(high.si / low.si) / (2.0 * crate::measure::normal_quantile(0.95));
    let ln_sd = if wide > 0.0 { wide } else { HOLE_LN_SD };
    Some(Hole { area_m2: (low.si * high.si).sqrt(), ln_sd })
}

/// The state of everything that can be switched.
#[derive(Clone, Debug, PartialEq)]
pub struct Setup {
    /// Which doors are open.
    pub open: Vec<bool>,
    /// Which doors stood as nobody noted (`unknown`); [`Setup::open`] then holds a guess.
    pub unnoted: Vec<bool>,
    /// Doors that are open by a hole of known size, instead of by [`Setup::open`].
    pub hole: Vec<Option<Hole>>,
    /// Which fans run.
    pub running: Vec<bool>,
    /// Whether the air handler's blower runs.
    pub air_handler: bool,
    /// Which leaks are sealed for the time being.
    pub sealed: Vec<bool>,
    /// Which lines hold hot gas.
    pub hot: Vec<bool>,
    /// The test fan, where one runs.
    pub test_fan: Option<Direction>,
}

/// The setup in which nothing runs and every inner door is open: what the standards ask for
/// unless something else is noted.
pub fn start(house: &House) -> Setup {
    Setup {
        open: house.doors.iter().map(|d| d.between.iter().all(|p| indoors(house, *p))).collect(),
        unnoted: vec![false; house.doors.len()],
        hole: vec![None; house.doors.len()],
        running: vec![false; house.fans.len()],
        air_handler: false,
        sealed: vec![false; house.leaks.len()],
        hot: vec![false; house.lines.len()],
        test_fan: None,
    }
}

fn indoors(house: &House, place: super::Place) -> bool {
    match place {
        super::Place::Outdoors(_) => false,
        super::Place::Zone(z) => house.zones[z].kind.is_indoors(),
    }
}

/// Finds what a name switches.
pub fn find(house: &House, name: &str) -> Option<Switchable> {
    if name == "test_fan" {
        return Some(Switchable::TestFan);
    }
    if name == "air_handler" {
        return house.air_handler.as_ref().map(|_| Switchable::AirHandler);
    }
    let doors = house.doors.iter().position(|d| d.text.name.value == name).map(Switchable::Door);
    let fans = || house.fans.iter().position(|f| f.text.name.value == name).map(Switchable::Fan);
    let leaks = || house.leaks.iter().position(|l| l.name == name).map(Switchable::Leak);
    let hot = |l: &super::Line| l.name == name && l.heat.is_some_and(|h| h.gas_k.is_some());
    let stacks = || house.lines.iter().position(hot).map(Switchable::Stack);
    doors.or_else(fans).or_else(leaks).or_else(stacks)
}

/// Applies what was touched; words that do not fit are reported and leave the state as it was.
pub fn apply(house: &House, setup: &mut Setup, set: &[(Sp<String>, Sp<String>)], sink: &Sink) {
    for (name, word) in set {
        let Some(what) = find(house, &name.value) else {
            let known = names(house);
            sink.borrow_mut().push(name.unknown("switchable", known));
            continue;
        };
        if let (Switchable::Door(d), Some(hole)) = (what, hole(&word.value)) {
            let door = &house.doors[d].text;
            let whole_m2 = door.width_m * door.height_m;
            if hole.area_m2 > whole_m2 {
                sink.borrow_mut().push(
                    Diagnostic::error(code::F118)
                        .at(word.span.clone())
                        .arg("door", door.label.as_str())
                        .arg("hole", (hole.area_m2, Quantity::Area))
                        .arg("whole", (whole_m2, Quantity::Area)),
                );
                continue;
            }
            (setup.hole[d], setup.open[d], setup.unnoted[d]) = (Some(hole), false, false);
            continue;
        }
        let choices: &[&str] = match what {
            Switchable::Door(_) => &["open", "shut", "unknown", "40 in2"],
            Switchable::Fan(_) | Switchable::AirHandler => &["on", "off"],
            Switchable::Leak(_) => &["sealed", "open"],
            Switchable::Stack(_) => &["hot", "cold"],
            Switchable::TestFan => &["depressurise", "pressurise", "off"],
        };
        if !choices.contains(&word.value.as_str()) {
            sink.borrow_mut().push(
                Diagnostic::error(code::V101)
                    .at(word.span.clone())
                    .arg("name", name.value.as_str())
                    .arg("found", word.value.as_str())
                    .arg("choices", choices.join(", ")),
            );
            continue;
        }
        let word = word.value.as_str();
        match what {
            Switchable::Door(d) => {
                setup.hole[d] = None;
                setup.unnoted[d] = word == "unknown";
                if !setup.unnoted[d] {
                    setup.open[d] = word == "open";
                }
            }
            Switchable::Fan(f) => setup.running[f] = word == "on",
            Switchable::AirHandler => setup.air_handler = word == "on",
            Switchable::Leak(l) => setup.sealed[l] = word == "sealed",
            Switchable::Stack(l) => setup.hot[l] = word == "hot",
            Switchable::TestFan => {
                setup.test_fan = match word {
                    "depressurise" => Some(Direction::Depressurise),
                    "pressurise" => Some(Direction::Pressurise),
                    _ => None,
                }
            }
        }
    }
}

fn names(house: &House) -> Vec<&str> {
    let doors = house.doors.iter().map(|d| d.text.name.value.as_str());
    let fans = house.fans.iter().map(|f| f.text.name.value.as_str());
    let mut all: Vec<&str> = doors.chain(fans).chain(["test_fan"]).collect();
    if house.air_handler.is_some() {
        all.push("air_handler");
    }
    all.extend(house.leaks.iter().map(|l| l.name.as_str()));
    let hot = house.lines.iter().filter(|l| l.heat.is_some_and(|h| h.gas_k.is_some()));
    all.extend(hot.map(|l| l.name.as_str()));
    all
}
