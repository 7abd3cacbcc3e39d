//! What a watch is given: named traces with their place and quantity, devices, and what is known of them.

use super::filter::{Motor, Shows, Sits};
use crate::units::{Accuracy, Quantity as Q};
use crate::year::Target;
use serde::{Deserialize, Serialize};

/// What a trace measures.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Field {
    /// Air temperature, K.
    Temp,
    /// Relative humidity, 0 to 1.
    Rh,
    /// Carbon dioxide, volume fraction.
    Co2,
    /// Fine particles, kg/m3.
    Pm25,
    /// Carbon monoxide, volume fraction.
    Co,
    /// Pressure against outdoors, Pa.
    Pressure,
    /// Flow, m3/s.
    Flow,
    /// Outdoor air through an intake into a device, m3/s.
    IntakeFlow,
    /// Electricity, W.
    Power,
    /// Pressure across a filter, Pa.
    FilterDrop,
    /// Whether, or what part of full, a device is told to run.
    On,
    /// People in a room.
    People,
    /// Whether, or what part of the time, a door is open.
    Open,
    /// Wind speed, m/s.
    Wind,
}

/// Names, quantities and accuracies (95 %) of fields. What nobody states is the class of usual instruments, from
/// memory but for the reference levels that `docs/WATCH.md` names.
const FIELDS: [(Field, &str, Q, f64, f64); 14] = [
    (Field::Temp, "temp", Q::Temperature, 0.0, 0.5),
    (Field::Rh, "rh", Q::Fraction, 0.0, 0.03),
    (Field::Co2, "co2", Q::GasFraction, 0.03, 50e-6),
    (Field::Pm25, "pm25", Q::ParticleConcentration, 0.15, 3e-9),
    (Field::Co, "co", Q::GasFraction, 0.05, 5e-6),
    (Field::Pressure, "pressure", Q::Pressure, 0.01, 0.5),
    (Field::Flow, "flow", Q::AirFlow, 0.05, 0.0),
    (Field::IntakeFlow, "intake_flow", Q::AirFlow, 0.05, 0.0),
    (Field::Power, "power", Q::Power, 0.02, 1.0),
    (Field::FilterDrop, "filter_drop", Q::StaticPressure, 0.02, 1.0),
    (Field::On, "on", Q::Number, 0.0, 0.0),
    (Field::People, "people", Q::Number, 0.0, 0.0),
    (Field::Open, "open", Q::Number, 0.0, 0.0),
    (Field::Wind, "wind", Q::Speed, 0.05, 0.3),
];

impl Field {
    /// Every field there is.
    pub fn all() -> impl Iterator<Item = Field> {
        FIELDS.iter().map(|f| f.0)
    }

    /// By the name that rules use too, `co2` of `bedroom.co2`.
    pub fn named(name: &str) -> Option<Field> {
        FIELDS.iter().find(|f| f.1 == name).map(|f| f.0)
    }

    /// Whether it says what the house does, so that the model follows it, and nothing is expected of it.
    pub fn drives(self) -> bool {
        matches!(self, Field::On | Field::People | Field::Open)
    }

    fn row(self) -> &'static (Field, &'static str, Q, f64, f64) {
        FIELDS.iter().find(|f| f.0 == self).unwrap_or(&FIELDS[0])
    }

    /// Its name.
    pub fn name(self) -> &'static str {
        self.row().1
    }

    /// Its quantity.
    pub fn quantity(self) -> Q {
        self.row().2
    }

    /// The class of usual instruments.
    pub fn usual_accuracy(self) -> Accuracy {
        let (.., relative, absolute) = *self.row();
        Accuracy { relative, absolute, larger: false }
    }

    /// What a trace of a blower tells of its filter.
    pub fn shows(self) -> Option<Shows> {
        Some(match self {
            Field::Flow => Shows::Flow,
            Field::IntakeFlow => Shows::Intake,
            Field::FilterDrop => Shows::Drop,
            Field::Power => Shows::Power,
            _ => return None,
        })
    }
}

/// Where a trace is taken.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum At {
    /// A zone of the house, by index.
    Zone(usize),
    /// Outdoors.
    Outdoors,
    /// A device, by index.
    Device(usize),
    /// A door, by its index in the model.
    Door(usize),
}

/// One trace.
#[derive(Clone, Debug, PartialEq)]
pub struct Source {
    /// Its name, `bedroom.co2`: what its memory goes by.
    pub name: String,
    /// Where.
    pub at: At,
    /// What.
    pub field: Field,
    /// The instrument's 95 % limit.
    pub accuracy: Accuracy,
}

/// A device that traces may belong to.
#[derive(Clone, Debug, PartialEq)]
pub struct Device {
    /// Its name.
    pub name: String,
    /// What it is in the model.
    pub target: Target,
}

/// What is known of a device's filter. What is not known is asked, not guessed.
#[derive(Clone, Debug, PartialEq)]
pub struct Filter {
    /// The device, by index.
    pub device: usize,
    /// Where it sits.
    pub sits: Option<Sits>,
    /// The blower's motor.
    pub motor: Option<Motor>,
    /// Flow of the blower with it clean, m3/s.
    pub flow_m3_s: f64,
    /// Of it, what an intake brings, m3/s.
    pub intake_m3_s: f64,
    /// Drop across it clean, Pa.
    pub drop_pa: f64,
    /// Drop of grille and return duct, Pa.
    pub return_pa: f64,
    /// Drop of the rest, Pa.
    pub rest_pa: f64,
    /// When it was new, ms.
    pub new_ms: Option<i64>,
    /// Resistance over the clean one at which it is due.
    pub limit: f64,
}

impl Filter {
    /// The path around it, where all is known that decides sign and size.
    pub fn path(&self) -> Option<super::filter::Path> {
        Some(super::filter::Path {
            sits: self.sits?,
            motor: self.motor?,
            flow_m3_s: self.flow_m3_s,
            intake_m3_s: self.intake_m3_s,
            drop_pa: self.drop_pa,
            return_pa: self.return_pa,
            rest_pa: self.rest_pa,
            exponent: 1.5,
        })
    }
}
