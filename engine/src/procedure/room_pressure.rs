//! Room pressures with doors shut and the air handler on, and the return path they ask for.
//!
//! Air that a supply blows into a shut room has to come back past the door. Through an opening of
//! area A it flows as `Q = Cd A sqrt(2 P / rho)`; with the flow given, or the undercut that it takes,
//! the area for a target pressure follows. Leaks of the room to elsewhere are not counted, so that
//! the area errs on the large side where the flow is given.

use super::field::{LEVEL, Limit, Note, Worked};
use super::gauge::GaugeError;
use crate::diag::{Diagnostic, code};
use crate::measure::{Estimate, NoInterval, propagate};
use crate::units::{Accuracy, Quantity};
use serde::Serialize;

/// One room.
#[derive(Clone, Debug, PartialEq)]
pub struct Room {
    /// Its name.
    pub name: String,
    /// Room less main body, door shut, handler on, Pa.
    pub shown_pa: f64,
    /// The same with the handler off, Pa.
    pub off_pa: Option<f64>,
    /// Flow that the handler blows into the room, or takes out of it, m3/s.
    pub flow_m3_s: Option<f64>,
    /// Free area that the air has now, such as the undercut, m2.
    pub path_m2: Option<f64>,
}

/// What was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// The test's name.
    pub test: String,
    /// Rooms.
    pub rooms: Vec<Room>,
    /// Main body less outdoors, with the doors open and with them shut, Pa.
    pub main_body_pa: [Option<f64>; 2],
    /// Largest pressure wanted, either way, Pa.
    pub target: Limit,
    /// Discharge coefficient of the path and its half width.
    pub discharge: (f64, f64),
    /// The gauge.
    pub gauge: GaugeError,
    /// Accuracy of the flows.
    pub flow_accuracy: Option<Accuracy>,
    /// Density of the air, kg/m3.
    pub density_kg_m3: f64,
}

/// The pressure wanted where nobody says one, Pa: common practice, not confirmed.
pub const TARGET_PA: f64 = 3.0;
/// Discharge coefficient of an undercut or a transfer opening: that of a sharp edge (ASHRAE Handbook -
/// Fundamentals 2021 ch. 16), and a half width of ours that takes in louvres and carpet.
pub const DISCHARGE: (f64, f64) = (0.611, 0.1);

/// What one room's pressure implies.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RoomResult {
    /// Its name.
    pub name: String,
    /// Room less main body, moved by the handler, Pa.
    pub pressure: Estimate,
    /// Area that the air finds now, m2: from the flow, or as typed.
    pub path: Option<Estimate>,
    /// Area to be added for the target, m2; none where it is met.
    pub to_add: Option<Estimate>,
    /// Flow that the typed path carries at this pressure, m3/s.
    pub path_flow: Option<Estimate>,
    /// Flow given and flow through the path cannot both be right.
    pub disagrees: bool,
}

/// What follows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RoomPressures {
    /// Rooms, in the order read.
    pub rooms: Vec<RoomResult>,
    /// What shutting the doors moves the main body by, Pa.
    pub main_body_moved: Option<Estimate>,
    /// Main body less outdoors with the doors shut, Pa.
    pub main_body: Option<Estimate>,
    #[serde(skip)]
    target: Limit,
}

/// Works it.
///
/// ```
/// use engine::procedure::field::Limit;
/// use engine::procedure::room_pressure::{Asked, DISCHARGE, Room, evaluate};
/// let bedroom = Room {
///     name: "bedroom".into(),
///     shown_pa: 12.0,
///     off_pa: None,
///     flow_m3_s: None,
///     path_m2: Some(0.009),
/// };
/// let asked = Asked {
///     test: "doors".into(),
///     rooms: vec![bedroom],
///     main_body_pa: [None, None],
///     target: Limit { lo: Some(-3.0), hi: Some(3.0), ..Limit::default() },
///     discharge: DISCHARGE,
///     gauge: Default::default(),
///     flow_accuracy: None,
///     density_kg_m3: 1.2041,
/// };
/// let (result, _) = evaluate(&asked);
/// // A quarter of the pressure needs twice the area: as much again.
/// assert!((result.rooms[0].to_add.unwrap().si - 0.009).abs() < 1e-12);
/// ```
pub fn evaluate(asked: &Asked) -> (RoomPressures, Vec<Diagnostic>) {
    let mut said = Vec::new();
    let rooms: Vec<RoomResult> = (asked.rooms.iter())
        .filter_map(|room| {
            let result = one(asked, room);
            if result.is_none() {
                said.push(
                    Diagnostic::error(code::Z107)
                        .arg("test", asked.test.as_str())
                        .arg("room", room.name.as_str()),
                );
            }
            result
        })
        .collect();
    let stated = asked.gauge.is_stated();
    let pressure = |inputs: &[(f64, f64)], f: fn(&[f64]) -> f64| {
        let e = propagate(inputs, LEVEL, Quantity::Pressure, f);
        if stated { e } else { bare(e) }
    };
    let [open, shut] = asked.main_body_pa;
    let read = |pa: f64| (pa, asked.gauge.total_pa(pa));
    let result = RoomPressures {
        rooms,
        main_body_moved: open.zip(shut).map(|(o, s)| pressure(&[read(s), read(o)], |x| x[0] - x[1])),
        main_body: shut.map(|s| pressure(&[read(s)], |x| x[0])),
        target: asked.target.clone(),
    };
    (result, said)
}

fn bare(e: Estimate) -> Estimate {
    Estimate::without(e.si, e.quantity, NoInterval::TypedWithoutInstrument)
}

fn one(asked: &Asked, room: &Room) -> Option<RoomResult> {
    let gauge = &asked.gauge;
    let off = room.off_pa.unwrap_or(0.0);
    let moved = room.shown_pa - off;
    if !moved.is_finite() {
        return None;
    }
    let own = |pa: f64| gauge.own_pa(pa);
    let mut half = own(room.shown_pa);
    if room.off_pa.is_some() {
        half = (half * half + own(off) * own(off)).sqrt();
    }
    let gain = gauge.gain() * moved;
    let pressure = (moved, (half * half + gain * gain).sqrt());
    let stated = gauge.is_stated();
    let honest = |e: Estimate, whole: bool| if whole { e } else { bare(e) };
    let size = pressure.0.abs();
    let target = asked.target.hi.unwrap_or(TARGET_PA);
    let flow = room.flow_m3_s.map(|q| (q, asked.flow_accuracy.map_or(0.0, |a| a.limit(q))));
    let measured = flow.is_some() && asked.flow_accuracy.is_some() && stated;
    let per = |pa: f64, discharge: f64| discharge * (2.0 * pa.max(0.01) / asked.density_kg_m3).sqrt();
    let inputs = [(size, pressure.1), asked.discharge, flow.unwrap_or_default()];
    let area = |f: &dyn Fn(&[f64]) -> f64| propagate(&inputs, LEVEL, Quantity::Area, f);
    let over = size > target;
    let (path, to_add) = match (flow, room.path_m2) {
        (Some(_), _) => (
            Some(honest(area(&|x| x[2] / per(x[0], x[1])), measured)),
            over.then(|| {
                honest(area(&|x| (x[2] / per(target, x[1]) - x[2] / per(x[0], x[1])).max(0.0)), measured)
            }),
        ),
        (None, Some(m2)) => (
            Some(Estimate::without(m2, Quantity::Area, NoInterval::TypedWithoutInstrument)),
            over.then(|| honest(area(&|x| (m2 * ((x[0] / target).max(0.0).sqrt() - 1.0)).max(0.0)), stated)),
        ),
        (None, None) => (None, None),
    };
    let path_flow = room
        .path_m2
        .map(|m2| honest(propagate(&inputs, LEVEL, Quantity::AirFlow, |x| m2 * per(x[0], x[1])), stated));
    let disagrees = match (path_flow.and_then(|e| e.bounds()), flow) {
        // More through the path than is blown in cannot be.
        (Some((lo, _)), Some((q, half))) => lo > q + half,
        _ => false,
    };
    let e = Estimate::range(moved, moved - pressure.1, moved + pressure.1, LEVEL, Quantity::Pressure);
    Some(RoomResult {
        name: room.name.clone(),
        pressure: honest(e, stated),
        path,
        to_add,
        path_flow,
        disagrees,
    })
}

impl RoomPressures {
    /// In the shape of all tests.
    pub fn worked(&self) -> Worked {
        let mut worked = Worked::default();
        for room in &self.rooms {
            worked.figure_of("figure-room-pressure", &room.name, room.pressure);
            if let Some(area) = room.to_add {
                worked.figure_of("figure-return-path-to-add", &room.name, area);
            }
            if let Some(area) = room.path {
                worked.figure_of("figure-return-path-now", &room.name, area);
            }
            worked.checks.push(self.target.check("check-room-pressure", Some(room.pressure)).of(&room.name));
            if room.disagrees {
                worked
                    .notes
                    .push(Note::new("note-room-path-disagrees").arg("room", room.name.replace('_', " ")));
            }
        }
        if let Some(pressure) = self.main_body {
            worked.figure("figure-main-body", pressure);
        }
        if let Some(moved) = self.main_body_moved {
            worked.figure("figure-main-body-moved", moved);
            let below_zero = moved.bounds().map_or(moved.si < 0.0, |(_, hi)| hi < 0.0);
            if below_zero {
                worked.notes.push(Note::caution("note-main-body-drawn-down"));
            }
        }
        if self.rooms.iter().any(|r| r.to_add.is_some()) {
            worked.notes.push(Note::new("note-return-path-assumed"));
        }
        worked
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn asked(room: Room) -> Asked {
        Asked {
            test: "doors".into(),
            rooms: vec![room],
            main_body_pa: [Some(-0.2), Some(-3.1)],
            target: Limit { lo: Some(-2.5), hi: Some(2.5), ..Limit::default() },
            discharge: DISCHARGE,
            gauge: GaugeError {
                accuracy: Some(Accuracy { relative: 0.01, absolute: 0.2, larger: true }),
                resolution_pa: 0.1,
                wandered_pa: 0.0,
            },
            flow_accuracy: Some(Accuracy { relative: 0.05, absolute: 0.0, larger: false }),
            density_kg_m3: 1.2041,
        }
    }

    fn room(shown_pa: f64, flow: Option<f64>, path: Option<f64>) -> Room {
        Room { name: "bedroom".into(), shown_pa, off_pa: None, flow_m3_s: flow, path_m2: path }
    }

    #[test]
    fn the_area_brings_the_room_to_its_target() {
        // 60 L/s; by hand: 0.060 / (0.611 sqrt(2 * 2.5 / 1.2041)) = 481.9 cm2 in all.
        let (result, _) = evaluate(&asked(room(9.0, Some(0.060), None)));
        let one = &result.rooms[0];
        let all = one.path.unwrap().si + one.to_add.unwrap().si;
        assert!((all - 0.048190).abs() < 1e-5, "{all}");
        // A return room is drawn down, and the area is the same.
        let (under, _) = evaluate(&asked(room(-9.0, Some(0.060), None)));
        assert_eq!(under.rooms[0].to_add, one.to_add);
        assert!(result.worked().notes.iter().any(|n| n.caution), "main body drawn down");
    }

    #[test]
    fn a_room_within_its_target_needs_nothing() {
        let (result, _) = evaluate(&asked(room(1.5, Some(0.03), None)));
        assert_eq!(result.rooms[0].to_add, None);
    }

    #[test]
    fn an_undercut_that_carries_more_than_is_blown_in_is_said() {
        let (result, _) = evaluate(&asked(room(9.0, Some(0.010), Some(0.02))));
        assert!(result.rooms[0].disagrees);
    }
}
