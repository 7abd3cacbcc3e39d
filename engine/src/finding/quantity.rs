//! The quantities that findings speak of: names, kinds, what each is of, and where it comes from.

use crate::rule::Kind;
use crate::units::Quantity as Q;
use serde::Serialize;

/// What a quantity is of. A rule that reads quantities of one class is asked once for each of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Class {
    /// The whole house.
    House,
    /// A space around the rooms: attic, garage, crawl space, cavity.
    Space,
    /// A room.
    Room,
    /// A register.
    Register,
    /// A fan.
    Fan,
    /// A fuel-burning appliance.
    Appliance,
    /// A spot, a surface, a place where a meter stood.
    Spot,
}

/// Where values of a quantity come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Fed {
    /// From tests, single readings, the documents or the fit; it may be typed too.
    Found,
    /// Only what a person typed as seen.
    Typed,
}

/// One quantity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Named {
    /// As in a condition, `envelope.ach50`.
    pub name: &'static str,
    /// What it is.
    pub kind: Kind,
    /// What it is of.
    pub class: Class,
    /// Where it comes from.
    pub fed: Fed,
}

impl Named {
    /// Key of its name in the catalogues: `evidence-envelope-ach50`.
    pub fn key(&self) -> String {
        key(self.name)
    }
}

/// Key of the name of a quantity in the catalogues.
pub fn key(name: &str) -> String {
    format!("evidence-{}", name.replace(['.', '_'], "-"))
}

const fn of(class: Class, name: &'static str, q: Q, fed: Fed) -> Named {
    Named { name, kind: Kind::Measure(q), class, fed }
}

const fn flag(class: Class, name: &'static str, fed: Fed) -> Named {
    Named { name, kind: Kind::Flag, class, fed }
}

use Class::{Appliance, Fan, House, Register, Room, Space, Spot};
use Fed::{Found, Typed};

/// Every quantity there is, by slot.
pub const QUANTITIES: &[Named] = &[
    // The envelope.
    of(House, "envelope.ach50", Q::AirChange, Found),
    of(House, "envelope.exponent", Q::Number, Found),
    of(House, "envelope.baseline", Q::Pressure, Found),
    of(House, "envelope.baseline_moved", Q::Pressure, Found),
    of(House, "envelope.directions_differ", Q::Fraction, Found),
    of(House, "envelope.ela", Q::Area, Found),
    of(House, "stack.neutral_height", Q::Fraction, Found),
    of(Space, "attic.house_zone", Q::Pressure, Found),
    of(Space, "garage.house_zone", Q::Pressure, Found),
    of(Space, "crawl.house_zone", Q::Pressure, Found),
    of(Space, "cavity.house_zone", Q::Pressure, Typed),
    of(Space, "garage.door_change", Q::Fraction, Typed),
    flag(Space, "crawl.musty", Found),
    flag(House, "attic.ice_dams", Typed),
    of(House, "attic.above_outdoors", Q::TemperatureDifference, Found),
    of(Spot, "infrared.moved", Q::TemperatureDifference, Found),
    of(House, "change.share", Q::Fraction, Found),
    of(House, "change.of_expected", Q::Fraction, Typed),
    flag(House, "change.setups_differ", Found),
    of(House, "guarded.share", Q::Fraction, Found),
    // Ducts, rooms, air handler.
    of(House, "handler.shift", Q::Pressure, Found),
    of(House, "pans.highest", Q::Pressure, Found),
    of(Register, "pan.pressure", Q::Pressure, Found),
    of(House, "pans.zone_pressure", Q::Pressure, Found),
    of(House, "ducts.leakage", Q::FloorLeakage, Found),
    of(House, "ducts.leakage_outdoors", Q::FloorLeakage, Found),
    of(House, "ducts.return_leak", Q::Fraction, Found),
    of(House, "ducts.supply_leak", Q::Fraction, Found),
    of(Room, "room.pressure", Q::Pressure, Found),
    of(Room, "room.flow_off_design", Q::Fraction, Typed),
    flag(Room, "room.toward_buffer", Typed),
    of(Room, "room.off_main", Q::TemperatureDifference, Typed),
    of(House, "main.pressure", Q::Pressure, Found),
    of(House, "static.external", Q::StaticPressure, Found),
    of(House, "static.rated", Q::StaticPressure, Found),
    of(House, "static.filter_share", Q::Fraction, Found),
    of(House, "static.return_side", Q::StaticPressure, Found),
    of(House, "static.supply_side", Q::StaticPressure, Found),
    of(House, "handler.flow", Q::AirFlow, Found),
    of(House, "handler.flow_per_capacity", Q::FlowPerPower, Found),
    of(House, "handler.hoods", Q::AirFlow, Found),
    flag(House, "handler.fan_always_on", Typed),
    flag(House, "registers.condensation", Typed),
    // Combustion and garage.
    of(Appliance, "appliance.pressure", Q::Pressure, Found),
    of(House, "appliance_zone.pressure", Q::Pressure, Found),
    of(House, "appliance_zone.limit", Q::Pressure, Found),
    of(Appliance, "spillage.greatest", Q::Time, Found),
    of(Appliance, "spillage.natural", Q::Time, Found),
    of(Appliance, "spillage.limit", Q::Time, Found),
    of(Spot, "ambient.co", Q::GasFraction, Found),
    of(Appliance, "flue.co", Q::GasFraction, Found),
    of(Appliance, "flue.limit", Q::GasFraction, Found),
    of(House, "ambient.co_highest", Q::GasFraction, Found),
    of(Appliance, "flue.co_rise", Q::GasFraction, Typed),
    of(Appliance, "draft.moved_by_handler", Q::Pressure, Typed),
    of(House, "garage.co_in_house", Q::GasFraction, Typed),
    flag(House, "fireplace.smell_with_exhaust", Typed),
    // Ventilation and air quality.
    of(Fan, "bath.flow", Q::AirFlow, Found),
    of(Fan, "kitchen.flow", Q::AirFlow, Found),
    of(Fan, "exhaust.flow", Q::AirFlow, Found),
    of(Fan, "exhaust.needed", Q::AirFlow, Found),
    flag(House, "house.exhaust_only", Found),
    of(House, "house.fan_pressure", Q::Pressure, Found),
    of(House, "unit.imbalance", Q::Fraction, Found),
    of(Room, "room.co2_shut", Q::GasFraction, Found),
    of(Room, "room.co2_open", Q::GasFraction, Found),
    of(House, "house.co2", Q::GasFraction, Typed),
    of(House, "house.air_change", Q::AirChange, Found),
    of(Spot, "sensor.co2_night_rise", Q::GasFraction, Typed),
    flag(House, "pm.peaks_at_meals", Typed),
    of(House, "pm.decay", Q::AirChange, Typed),
    of(House, "pm.indoor_over_outdoor", Q::Number, Typed),
    of(House, "radon.long_term", Q::RadonActivity, Typed),
    flag(House, "odour.after_renovation", Typed),
    of(House, "tvoc.falls_by", Q::Fraction, Typed),
    flag(Fan, "fan.told_on", Typed),
    of(Fan, "fan.flow_then", Q::AirFlow, Typed),
    flag(Fan, "fan.switched_off_by_people", Typed),
    // Moisture and comfort.
    flag(House, "windows.condensation", Typed),
    of(House, "house.rh", Q::Fraction, Found),
    of(House, "house.outdoors", Q::Temperature, Found),
    of(House, "house.year_built", Q::Number, Found),
    of(House, "house.moisture_excess", Q::VapourConcentration, Found),
    of(House, "attic.dew_over_outdoors", Q::TemperatureDifference, Typed),
    of(House, "attic.dew_below_indoors", Q::TemperatureDifference, Typed),
    of(Spot, "wood.moisture", Q::Fraction, Found),
    of(Spot, "surface.rh", Q::Fraction, Found),
    of(Spot, "mould.index", Q::Index, Found),
    of(Space, "crawl.dew_over_surface", Q::TemperatureDifference, Typed),
    of(Spot, "wood.moisture_rise", Q::Fraction, Typed),
    flag(House, "house.insulated_lately", Typed),
    flag(House, "house.supply_only", Found),
    of(House, "floors.top_warmer", Q::TemperatureDifference, Typed),
    of(House, "floors.top_pressure", Q::Pressure, Typed),
    of(House, "sensors.rh_spread", Q::Fraction, Typed),
];

/// States of the house that a reading can be asked to have been taken in.
pub const SETUPS: &[&str] = &[
    "doors open",
    "doors shut",
    "handler on",
    "handler off",
    "fan at 50 Pa",
    "test fan on",
    "whole-house fan on",
    "exhausts on",
    "windows shut",
    "heating season",
    "outdoor smoke",
    "asleep",
];

/// The slot of a quantity.
pub fn slot(name: &str) -> Option<usize> {
    QUANTITIES.iter().position(|q| q.name == name)
}
