//! `house.toml`: what is known of the house before anything is measured.
//!
//! A range such as `at50 = "300 to 1200 cfm"` is what the practitioner believes nine times in
//! ten; the fit starts from it. Names are the user's own and are resolved in [`crate::house`].

mod blower;
mod elements;
mod machines;
mod read;

pub use blower::{Blower, HandlerFilter, HandlerIntake, Motor};
pub use elements::{Damper, DamperKind, Duct, FanParts, Filter, Grille, Stack, Stand};
pub use machines::{
    ClothesDryer, Gas, GasSource, HandlerDuct, Humidifier, Machines, Running, Second, Thermostat,
    WaterHeater, WetGround,
};
pub use read::read;
pub(super) use read::{FACES, hours as clock_hours, time_of_day};

use super::Sp;
use super::job::Terrain;
use crate::procedure::moisture::mould::Sensitivity;

/// What a zone is to the people.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ZoneKind {
    /// Lived in, heated or cooled.
    Living,
    /// A closet or room that holds a fuel-burning appliance, part of the house.
    Appliance,
    /// An attic.
    Attic,
    /// A crawl space.
    Crawl,
    /// A garage.
    Garage,
    /// A basement that is not lived in.
    Basement,
    /// A box of ducts where several meet: a return or a supply plenum.
    Plenum,
}

impl ZoneKind {
    /// Whether its air counts as indoor air.
    pub fn is_indoors(self) -> bool {
        matches!(self, ZoneKind::Living | ZoneKind::Appliance)
    }
}

/// A body of air taken as well mixed.
#[derive(Clone, Debug, PartialEq)]
pub struct Zone {
    /// The name other tables use.
    pub name: Sp<String>,
    /// The name people read.
    pub label: String,
    /// What it is.
    pub kind: ZoneKind,
    /// Air volume, m3.
    pub volume_m3: Option<f64>,
    /// Floor area, m2.
    pub floor_area_m2: Option<f64>,
    /// Height of its floor above ground, m.
    pub floor_m: f64,
    /// Height of its ceiling above ground, m.
    pub ceiling_m: f64,
}

/// Which side of the house an opening faces.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Face {
    /// All four walls alike.
    All,
    /// The front wall.
    Front,
    /// The wall on the right of somebody who looks at the front.
    Right,
    /// The back wall.
    Back,
    /// The left wall.
    Left,
    /// The roof: ridge and soffit vents, flues.
    Roof,
}

/// How big a leak may be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Size {
    /// Flow at 50 Pa, m3/s, low and high end.
    At50 {
        /// Low end.
        lo_m3_s: f64,
        /// High end.
        hi_m3_s: f64,
    },
    /// Free area, m2, low and high end.
    Area {
        /// Low end.
        lo_m2: f64,
        /// High end.
        hi_m2: f64,
    },
}

/// A leak, or a group of leaks that nobody measures one by one.
#[derive(Clone, Debug, PartialEq)]
pub struct Leak {
    /// The name other tables use.
    pub name: Sp<String>,
    /// The name people read.
    pub label: String,
    /// The two sides.
    pub between: [Sp<String>; 2],
    /// Prior range; nothing where it was written wrongly, which was reported.
    pub size: Option<Size>,
    /// Exponent range.
    pub exponent: Option<(f64, f64)>,
    /// Height above ground, m; nothing where it follows from the zones.
    pub height_m: Option<f64>,
    /// Where it meets the wind.
    pub face: Face,
}

/// A door, a hatch or a window that can stand open or shut.
#[derive(Clone, Debug, PartialEq)]
pub struct Door {
    /// The name other tables use.
    pub name: Sp<String>,
    /// The name people read.
    pub label: String,
    /// The two sides.
    pub between: [Sp<String>; 2],
    /// Clear width, m.
    pub width_m: f64,
    /// Clear height, m.
    pub height_m: f64,
    /// Height of the sill above ground, m.
    pub bottom_m: Option<f64>,
    /// Free area when shut, m2, low and high end; nothing where it was written wrongly.
    pub gap_m2: Option<(f64, f64)>,
    /// Which side of the house, where one side is outdoors.
    pub face: Face,
    /// Open by day; at noon where spans are written.
    pub open_by_day: bool,
    /// Open at night; at three o'clock where spans are written.
    pub open_at_night: bool,
    /// Spans of the day in which it is open, s after midnight, where they are written.
    pub open_s: Option<Vec<(f64, f64)>>,
}

/// A fan that moves air from one side to the other.
#[derive(Clone, Debug, PartialEq)]
pub struct Fan {
    /// The name other tables use.
    pub name: Sp<String>,
    /// The name people read.
    pub label: String,
    /// Where it takes the air.
    pub from: Sp<String>,
    /// Where it blows it.
    pub to: Sp<String>,
    /// Flow, m3/s, low and high end; nothing where it was written wrongly.
    pub flow_m3_s: Option<(f64, f64)>,
    /// Electric power, W.
    pub power_w: f64,
    /// Hours a day it runs, as spans from-to in seconds of the day.
    pub runs_s: Vec<(f64, f64)>,
    /// Share of a zone's cooking that it catches, 0 to 1.
    pub capture: f64,
    /// Whether people depend on it (soil gas, exhaust gas, a laboratory): no rule may set it.
    pub safety_exhaust: bool,
    /// Its curve and what is in its line.
    pub parts: FanParts,
}

/// A register of the air handler.
#[derive(Clone, Debug, PartialEq)]
pub struct Register {
    /// The name other tables use.
    pub name: Sp<String>,
    /// The name people read.
    pub label: String,
    /// The zone it opens to.
    pub zone: Sp<String>,
    /// True for supply, false for return.
    pub supply: bool,
    /// Share of its side's flow, low and high end.
    pub share: (f64, f64),
}

/// The air handler and its ducts.
#[derive(Clone, Debug, PartialEq)]
pub struct AirHandler {
    /// Where it stands and where its ducts leak.
    pub zone: Sp<String>,
    /// Flow through the blower, m3/s.
    pub flow_m3_s: (f64, f64),
    /// Share of the flow that leaks out of the supply side.
    pub supply_leak: (f64, f64),
    /// Share of the flow that leaks into the return side.
    pub return_leak: (f64, f64),
    /// Blower power, W.
    pub power_w: f64,
    /// Share of PM2.5 caught by the filter in one pass.
    pub filter_pm25: f64,
    /// Share of the hour the blower runs for mixing when nothing calls.
    pub mix_share: f64,
    /// Its registers.
    pub registers: Vec<Register>,
    /// Its ducts, as far as they conduct heat.
    pub ducts: Vec<HandlerDuct>,
    /// Its blower, where the house file knows more than its flow.
    pub blower: Option<Blower>,
    /// Its filter, likewise.
    pub filter: Option<HandlerFilter>,
    /// An outdoor duct into its return.
    pub intake: Option<HandlerIntake>,
    /// Where the table stands.
    pub span: crate::diag::Span,
}

/// What burns fuel.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Draft {
    /// Open to the room, drawn by its chimney.
    Natural,
    /// Helped by a fan, still open to the room.
    FanAssisted,
    /// Sealed: air from outdoors, gas to outdoors.
    Sealed,
    /// No vent at all.
    Unvented,
}

/// A fuel-burning appliance.
#[derive(Clone, Debug, PartialEq)]
pub struct Appliance {
    /// The name other tables use.
    pub name: Sp<String>,
    /// The name people read.
    pub label: String,
    /// Where it stands.
    pub zone: Sp<String>,
    /// How it is vented.
    pub draft: Draft,
    /// Free area of the flue when cold, m2, low and high end.
    pub flue_m2: Option<(f64, f64)>,
    /// Height of the flue's top, m.
    pub flue_top_m: f64,
}

/// A surface that conducts heat.
#[derive(Clone, Debug, PartialEq)]
pub struct Surface {
    /// The two sides; `outdoors` and `ground` are allowed.
    pub between: [Sp<String>; 2],
    /// Conductance, W/K.
    pub ua_w_k: f64,
    /// Area, m2, where it was written.
    pub area_m2: Option<f64>,
    /// True for a roof in the sun.
    pub sunlit_roof: bool,
    /// What it is called.
    pub label: Option<String>,
    /// How readily mould grows on it.
    pub mould: Option<Sensitivity>,
    /// Temperature factor of its coldest inside spot, 0 to 1.
    pub coldest_factor: Option<f64>,
}

/// A window that lets sun in.
#[derive(Clone, Debug, PartialEq)]
pub struct Window {
    /// The zone behind it.
    pub zone: Sp<String>,
    /// Area, m2.
    pub area_m2: f64,
    /// Solar heat gain coefficient.
    pub shgc: f64,
    /// Side of the house.
    pub face: Face,
}

/// People who live there.
#[derive(Clone, Debug, PartialEq)]
pub struct People {
    /// What they are called.
    pub label: String,
    /// How many.
    pub count: f64,
    /// Zone at night.
    pub sleep_in: Sp<String>,
    /// Zone by day.
    pub day_in: Sp<String>,
    /// Hours asleep, seconds of the day.
    pub sleep_s: (f64, f64),
    /// Hours away, seconds of the day.
    pub away_s: Option<(f64, f64)>,
}

/// Something that puts water or particles into the air.
#[derive(Clone, Debug, PartialEq)]
pub struct Source {
    /// What it is.
    pub label: String,
    /// Where.
    pub zone: Sp<String>,
    /// When it starts, seconds of the day; nothing for all day.
    pub at_s: Option<f64>,
    /// How long, s.
    pub lasts_s: f64,
    /// Water, kg/s.
    pub water_kg_s: f64,
    /// Particles, kg/s.
    pub pm25_kg_s: f64,
    /// Heat, W.
    pub heat_w: f64,
}

/// How heat is made or taken away.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum HeatKind {
    /// An electric heat pump.
    HeatPump,
    /// A furnace that burns fuel.
    Furnace,
    /// Electric resistance.
    Electric,
    /// An air conditioner.
    AirConditioner,
}

/// Heating or cooling equipment.
#[derive(Clone, Debug, PartialEq)]
pub struct Equipment {
    /// What it is.
    pub kind: HeatKind,
    /// Capacity, W.
    pub capacity_w: f64,
    /// Heat moved per energy bought, at the rating condition.
    pub efficiency: f64,
    /// Set point, K.
    pub set_point_k: f64,
    /// How it runs.
    pub running: Running,
}

/// A dehumidifier.
#[derive(Clone, Debug, PartialEq)]
pub struct Dehumidifier {
    /// Where.
    pub zone: Sp<String>,
    /// Water a time at its rating condition, kg/s.
    pub capacity_kg_s: f64,
    /// Water per electricity, kg/J.
    pub efficiency_kg_j: f64,
    /// Relative humidity it holds.
    pub set_point_rh: f64,
}

/// The whole document.
#[derive(Clone, Debug, PartialEq)]
pub struct House {
    /// Surroundings.
    pub terrain: Terrain,
    /// Wind shelter, 1 none to 0.3 dense (the shelter classes of the enhanced infiltration model).
    pub shelter: f64,
    /// Compass direction that the front faces, rad clockwise from north.
    pub front_rad: f64,
    /// Front width over side width.
    pub side_ratio: f64,
    /// Zones.
    pub zones: Vec<Zone>,
    /// Leaks.
    pub leaks: Vec<Leak>,
    /// Doors and hatches.
    pub doors: Vec<Door>,
    /// Fans.
    pub fans: Vec<Fan>,
    /// Ducts.
    pub ducts: Vec<Duct>,
    /// Filters and coils.
    pub filters: Vec<Filter>,
    /// Grilles and undercuts.
    pub grilles: Vec<Grille>,
    /// Dampers.
    pub dampers: Vec<Damper>,
    /// Stacks.
    pub stacks: Vec<Stack>,
    /// The air handler.
    pub air_handler: Option<AirHandler>,
    /// Fuel-burning appliances.
    pub appliances: Vec<Appliance>,
    /// Heat-conducting surfaces.
    pub surfaces: Vec<Surface>,
    /// Windows.
    pub windows: Vec<Window>,
    /// People.
    pub people: Vec<People>,
    /// Sources.
    pub sources: Vec<Source>,
    /// Heating.
    pub heating: Option<Equipment>,
    /// Cooling.
    pub cooling: Option<Equipment>,
    /// Dehumidifier.
    pub dehumidifier: Option<Dehumidifier>,
    /// Other machines, wet ground, gases.
    pub machines: Machines,
    /// Where the document starts.
    pub span: crate::diag::Span,
}
