//! `kind = "room pressures"`: rooms against the main body, doors shut, air handler on.

use super::zone_pressures::{PRESSURES_PA, UserLimit};
use crate::doc::Sp;
use crate::doc::read::Tab;
use crate::units::Quantity as Q;

/// The document.
#[derive(Clone, Debug, PartialEq)]
pub struct RoomPressures {
    /// The gauge.
    pub pressure_with: Option<Sp<String>>,
    /// What read the flows.
    pub flow_with: Option<Sp<String>>,
    /// Largest pressure wanted, either way, Pa.
    pub limit: UserLimit,
    /// Main body less outdoors, doors open, Pa.
    pub main_body_open_pa: Option<f64>,
    /// Main body less outdoors, doors shut, Pa.
    pub main_body_shut_pa: Option<f64>,
    /// Discharge coefficient of doors' undercuts and transfer openings.
    pub discharge: Option<f64>,
    /// How far pressures wandered, Pa.
    pub wandered_pa: f64,
    /// Rooms.
    pub rooms: Vec<Room>,
}

/// One room.
#[derive(Clone, Debug, PartialEq)]
pub struct Room {
    /// Its name.
    pub room: Sp<String>,
    /// Room less main body, Pa.
    pub pressure_pa: f64,
    /// The same with the handler off, Pa.
    pub off_pa: Option<f64>,
    /// Flow blown in or taken out, m3/s.
    pub flow_m3_s: Option<f64>,
    /// Free area of the path there is, m2.
    pub path_m2: Option<f64>,
}

fn room(t: &Tab<'_, '_>) -> Option<Room> {
    let name = t.need("room", t.text("room"));
    let pressure = |key| t.bounded(key, Q::Pressure, PRESSURES_PA).map(|p| p.value);
    let shown = t.need("pressure", pressure("pressure"));
    let off = pressure("handler_off");
    let flow = t.bounded("flow", Q::AirFlow, 1e-4..=5.0).map(|f| f.value);
    let path = t.bounded("path_area", Q::Area, 1e-5..=2.0).map(|a| a.value);
    let width = t.bounded("door_width", Q::Length, 0.3..=3.0).map(|l| l.value);
    let undercut = t.bounded("undercut", Q::Length, 0.0..=0.15).map(|l| l.value);
    let under = match (width, undercut) {
        (Some(width), Some(gap)) => Some(width * gap),
        (None, Some(_)) => t.need("door_width", None),
        (Some(_), None) => t.need("undercut", None),
        (None, None) => None,
    };
    // A path beside the door adds to its undercut.
    let path = match (path, under) {
        (Some(a), Some(b)) => Some(a + b),
        (a, b) => a.or(b),
    };
    Some(Room {
        room: name?,
        pressure_pa: shown?,
        off_pa: off,
        flow_m3_s: flow,
        path_m2: path.filter(|a| *a > 0.0),
    })
}

/// Reads it.
pub(super) fn read(t: &Tab<'_, '_>) -> Option<RoomPressures> {
    let (pressure_with, flow_with) = (t.text("pressure_with"), t.text("flow_with"));
    let limit = UserLimit::read(t, Q::Pressure, 0.1..=50.0);
    let pressure = |key| t.bounded(key, Q::Pressure, PRESSURES_PA).map(|p| p.value);
    let (open, shut) = (pressure("main_body_doors_open"), pressure("main_body_doors_shut"));
    let discharge = t.bounded("discharge", Q::Number, 0.3..=1.0).map(|d| d.value);
    let wandered = t.bounded("wandered", Q::Pressure, 0.0..=20.0).map_or(0.0, |w| w.value);
    t.need("room", t.has("room").then_some(()));
    Some(RoomPressures {
        pressure_with,
        flow_with,
        limit,
        main_body_open_pa: open,
        main_body_shut_pa: shut,
        discharge,
        wandered_pa: wandered,
        rooms: t.list("room").iter().filter_map(room).collect(),
    })
}
