//! The house, resolved: names are indices, ranges are priors, every number is SI.
//!
//! A [`House`] is made from `house.toml` by [`build()`]. It lists zones, the unknown [`Param`]s with
//! their priors, and the [`Element`]s of the air network that those parameters size. A group of
//! leaks is one parameter and several elements (two heights, four faces), because nobody measures
//! its cracks one by one while wind and stack meet each differently.

pub mod air;
mod blower;
mod build;
mod line;
mod priors;
mod setup;

pub use blower::{BlowerError, HandlerChange, HandlerPoint, handler_point};
pub use build::build;
pub use line::{Heat, Line, Sized, fan_capture, fan_line, fan_watts, fan_working, line_kind};
pub use priors::{AREA_DISCHARGE, COMMON_EXPONENT, EXPONENT_OWN_SD, OPENING_EXPONENT, normal_of_range};
pub use setup::{HOLE_LN_SD, Hole, Setup, Switchable, apply, find, start};

use crate::diag::Span;
use crate::doc::house::{self as text, Draft, ZoneKind};
use crate::units::Quantity;

/// One side of an element.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Place {
    /// Outdoors, at one of [`WINDS`] faces.
    Outdoors(usize),
    /// A zone, by index.
    Zone(usize),
}

/// Wind pressures told apart: front, right, back, left, roof.
pub const WINDS: usize = 5;
/// Index of the roof in the list of winds.
pub const ROOF: usize = 4;

/// A body of air.
#[derive(Clone, Debug, PartialEq)]
pub struct Zone {
    /// Name in the documents.
    pub name: String,
    /// Name people read.
    pub label: String,
    /// What it is.
    pub kind: ZoneKind,
    /// Air volume, m3.
    pub volume_m3: f64,
    /// Floor area, m2.
    pub floor_area_m2: f64,
    /// Floor above ground, m.
    pub floor_m: f64,
    /// Ceiling above ground, m.
    pub ceiling_m: f64,
    /// Where it was written.
    pub span: Span,
}

impl Zone {
    /// Height of its middle above ground, m.
    pub fn middle_m(&self) -> f64 {
        (self.floor_m + self.ceiling_m) / 2.0
    }
}

/// How an unknown number enters: the fit works on `theta`, normal a priori.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Scale {
    /// value = e^theta
    Ln,
    /// value = lo + (hi - lo) / (1 + e^-theta)
    Logit {
        /// Lower bound.
        lo: f64,
        /// Upper bound.
        hi: f64,
    },
}

impl Scale {
    /// The value of `theta`.
    pub fn value(self, theta: f64) -> f64 {
        match self {
            Scale::Ln => crate::math::exp(theta),
            Scale::Logit { lo, hi } => lo + (hi - lo) * crate::math::logistic(theta),
        }
    }

    /// Derivative of the value with respect to `theta`.
    pub fn slope(self, theta: f64) -> f64 {
        match self {
            Scale::Ln => crate::math::exp(theta),
            Scale::Logit { lo, hi } => {
                let p = crate::math::logistic(theta);
                (hi - lo) * p * (1.0 - p)
            }
        }
    }

    /// The `theta` of a value.
    pub fn theta(self, value: f64) -> f64 {
        match self {
            Scale::Ln => crate::math::ln(value),
            Scale::Logit { lo, hi } => crate::math::logit((value - lo) / (hi - lo)),
        }
    }
}

/// What a parameter is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum ParamKind {
    /// Flow of a leak at 50 Pa, m3/s.
    LeakAt50,
    /// Exponent that all cracks share.
    CommonExponent,
    /// Exponent of one leak.
    Exponent,
    /// Free area of a shut door, m2.
    Gap,
    /// Flow of a fan, m3/s.
    FanFlow,
    /// Flow through the air handler, m3/s.
    HandlerFlow,
    /// Share of the air handler's flow lost or drawn by its ducts.
    DuctLeak,
    /// Weight of a register among its side.
    RegisterWeight,
    /// Pressure drop of a filter or coil at its rated flow, Pa.
    FilterDrop,
}

impl ParamKind {
    /// What the value measures.
    pub fn quantity(self) -> Quantity {
        match self {
            ParamKind::LeakAt50 | ParamKind::FanFlow | ParamKind::HandlerFlow => Quantity::AirFlow,
            ParamKind::CommonExponent | ParamKind::Exponent => Quantity::Number,
            ParamKind::Gap => Quantity::Area,
            ParamKind::FilterDrop => Quantity::Pressure,
            ParamKind::DuctLeak | ParamKind::RegisterWeight => Quantity::Fraction,
        }
    }
}

/// An unknown number of the house and what is believed of it before any reading.
#[derive(Clone, Debug, PartialEq)]
pub struct Param {
    /// Name in the documents of the thing it belongs to.
    pub name: String,
    /// Name people read.
    pub label: String,
    /// What it is.
    pub kind: ParamKind,
    /// How `theta` becomes a value.
    pub scale: Scale,
    /// Prior mean of `theta`.
    pub mean: f64,
    /// Prior standard deviation of `theta`.
    pub sd: f64,
}

/// The exponent of a leak.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Exponent {
    /// Known by its kind: 0.5 for an opening large against the boundary layer.
    Fixed(f64),
    /// The common one plus an own deviation, both on the logit scale.
    Shared {
        /// Parameter of the common exponent.
        common: usize,
        /// Parameter of the own deviation.
        own: usize,
    },
    /// Its own parameter.
    Own(usize),
}

/// What an element of the network does.
#[derive(Clone, Debug, PartialEq)]
pub enum Law {
    /// A share of a leak.
    Leak {
        /// Parameter of the flow at 50 Pa.
        at50: usize,
        /// Exponent.
        exponent: Exponent,
        /// Share of the leak that this element carries.
        share: f64,
    },
    /// A door or hatch.
    Door {
        /// Index in [`House::doors`].
        door: usize,
    },
    /// A fan; also a register or duct leak of the air handler.
    Fan {
        /// Index in [`House::fans`].
        fan: usize,
    },
    /// Air handler, one register.
    Register {
        /// Index in the air handler's registers.
        register: usize,
    },
    /// Parts in series.
    Line {
        /// Index in [`House::lines`].
        line: usize,
    },
    /// A damper that the air opens; exponent 0.5.
    Damper {
        /// Coefficient fully open, m3/(s Pa^0.5).
        c_m3_s_pan: f64,
        /// Coefficient shut.
        closed_c_m3_s_pan: f64,
        /// Pressure from a to b at which it opens, Pa.
        opens_pa: f64,
    },
}

/// What an element belongs to, for labels and for the setup.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Owner {
    /// [`House::leaks`].
    Leak(usize),
    /// [`House::doors`].
    Door(usize),
    /// [`House::fans`].
    Fan(usize),
    /// The air handler's registers.
    Register(usize),
    /// [`House::appliances`]: the flue.
    Flue(usize),
    /// [`House::parts`]: duct, filter, grille, damper, stack.
    Part(usize),
}

/// One passage of the air network.
#[derive(Clone, Debug, PartialEq)]
pub struct Element {
    /// Flow counts positive from here.
    pub a: Place,
    /// To here.
    pub b: Place,
    /// Height above ground, m.
    pub z_m: f64,
    /// What it does.
    pub law: Law,
    /// What it belongs to.
    pub owner: Owner,
}

/// A leak or a group of leaks.
#[derive(Clone, Debug, PartialEq)]
pub struct Leak {
    /// Name in the documents.
    pub name: String,
    /// Name people read.
    pub label: String,
    /// Its two sides (the outdoor face is the first of its elements').
    pub between: [Place; 2],
    /// Parameter of the flow at 50 Pa.
    pub at50: usize,
    /// Exponent.
    pub exponent: Exponent,
    /// Where it was written.
    pub span: Span,
}

/// A door, hatch or window.
#[derive(Clone, Debug, PartialEq)]
pub struct Door {
    /// As written.
    pub text: text::Door,
    /// Its two sides.
    pub between: [Place; 2],
    /// Parameter of the free area when shut.
    pub gap: usize,
    /// True where one zone lies above the other.
    pub horizontal: bool,
    /// Height of its lower edge above ground, m.
    pub bottom_m: f64,
}

/// A fan.
#[derive(Clone, Debug, PartialEq)]
pub struct Fan {
    /// As written.
    pub text: text::Fan,
    /// From where to where.
    pub between: [Place; 2],
    /// Parameter of its flow.
    pub flow: usize,
}

/// What a passage with parts is called.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Name in the documents.
    pub name: String,
    /// Name people read.
    pub label: String,
}

/// The air handler.
#[derive(Clone, Debug, PartialEq)]
pub struct AirHandler {
    /// As written.
    pub text: text::AirHandler,
    /// Zone where it stands.
    pub zone: usize,
    /// Parameter of its flow.
    pub flow: usize,
    /// Parameter of the supply leakage share.
    pub supply_leak: usize,
    /// Parameter of the return leakage share.
    pub return_leak: usize,
    /// For each register: zone, true for supply, parameter of its weight.
    pub registers: Vec<(usize, bool, usize)>,
}

/// A fuel-burning appliance.
#[derive(Clone, Debug, PartialEq)]
pub struct Appliance {
    /// Name in the documents.
    pub name: String,
    /// Name people read.
    pub label: String,
    /// Zone where it stands.
    pub zone: usize,
    /// How it is vented.
    pub draft: Draft,
    /// Where it was written.
    pub span: Span,
}

/// The house as drawn.
#[derive(Clone, Debug, PartialEq)]
pub struct House {
    /// As written, for what needs no resolving.
    pub text: text::House,
    /// Zones.
    pub zones: Vec<Zone>,
    /// Unknown numbers.
    pub params: Vec<Param>,
    /// Elements of the air network.
    pub elements: Vec<Element>,
    /// Leaks.
    pub leaks: Vec<Leak>,
    /// Doors.
    pub doors: Vec<Door>,
    /// Fans.
    pub fans: Vec<Fan>,
    /// Parts in series.
    pub lines: Vec<Line>,
    /// Names of ducts, filters, grilles, dampers and stacks.
    pub parts: Vec<Part>,
    /// Air handler.
    pub air_handler: Option<AirHandler>,
    /// Fuel-burning appliances.
    pub appliances: Vec<Appliance>,
}

impl House {
    /// The zone of this name.
    pub fn zone(&self, name: &str) -> Option<usize> {
        self.zones.iter().position(|z| z.name == name)
    }

    /// The parameters' prior means, as `theta`.
    pub fn prior_mean(&self) -> Vec<f64> {
        self.params.iter().map(|p| p.mean).collect()
    }

    /// The value of a parameter under `theta`.
    pub fn value(&self, param: usize, theta: &[f64]) -> f64 {
        self.params[param].scale.value(theta[param])
    }

    /// The exponent of a leak under `theta`.
    pub fn exponent(&self, exponent: Exponent, theta: &[f64]) -> f64 {
        match exponent {
            Exponent::Fixed(n) => n,
            Exponent::Own(p) => self.value(p, theta),
            Exponent::Shared { common, own } => self.params[common].scale.value(theta[common] + theta[own]),
        }
    }

    /// Indoor volume, m3.
    pub fn indoor_volume_m3(&self) -> f64 {
        self.zones.iter().filter(|z| z.kind.is_indoors()).map(|z| z.volume_m3).sum()
    }

    /// Indoor floor area, m2.
    pub fn indoor_floor_area_m2(&self) -> f64 {
        self.zones.iter().filter(|z| z.kind.is_indoors()).map(|z| z.floor_area_m2).sum()
    }
}
