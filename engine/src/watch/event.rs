//! What happened: events with their causes, and what nights and departures told.

use super::filter::Forecast;
use serde::{Deserialize, Serialize};

/// A number with its interval.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Range {
    /// SI.
    pub si: f64,
    /// Lower end, where there is one.
    pub lo: Option<f64>,
    /// Upper end.
    pub hi: Option<f64>,
}

impl From<crate::measure::Estimate> for Range {
    fn from(e: crate::measure::Estimate) -> Range {
        let bounds = e.bounds();
        Range { si: e.si, lo: bounds.map(|b| b.0), hi: bounds.map(|b| b.1) }
    }
}

/// What may be behind an event.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum What {
    /// A device moves no air, or less than it should.
    Stopped {
        /// The device.
        device: String,
    },
    /// A device runs though it should not.
    Runs {
        /// The device.
        device: String,
    },
    /// A door stands open.
    DoorOpen {
        /// Rooms on its sides.
        between: [String; 2],
    },
    /// A door stays shut.
    DoorShut {
        /// Rooms on its sides.
        between: [String; 2],
    },
    /// A window is open.
    Window {
        /// The room.
        zone: String,
    },
    /// A supply duct has come apart.
    Duct {
        /// Where its air goes; empty for outdoors.
        into: String,
    },
    /// More people.
    People {
        /// The room.
        zone: String,
    },
    /// Smoke outside.
    Smoke,
    /// Heating or cooling gives nothing.
    NoHeat,
    /// A filter has loaded.
    Filter {
        /// The device.
        device: String,
    },
    /// A sensor has moved against all others.
    Sensor {
        /// The trace.
        trace: String,
    },
    /// None of these.
    Other,
}

/// A cause with how well it explains what was measured.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Cause {
    /// What.
    #[serde(flatten)]
    pub what: What,
    /// How much of it explains best: part of its flow that a device lost, m2 for a window, share of flow for a duct, people, kg/m3 for smoke,
    /// resistance over the clean one for a filter, the trace's own quantity for a sensor; 1 for what is or is not.
    pub amount: f64,
    /// Its part of the likelihood of all that were tried, 0 to 1.
    pub share: f64,
}

/// One trace of an event.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Moved {
    /// The trace.
    pub trace: String,
    /// Mean of measured less expected since the start, SI.
    pub by: f64,
    /// The largest hour, in usual scatters.
    pub most: f64,
    /// Mean of the last day in usual scatters.
    pub level: f64,
    /// Alarms of this height by chance, of all traces of the house, a month.
    pub chance_a_month: f64,
    pub(super) sum: (f64, f64),
}

/// A question whose answer would tell causes apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Question {
    /// Where the device's filter sits, and what motor drives its blower.
    WhereIsTheFilter,
}

/// Traces left what is expected of them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Event {
    /// Number, rising.
    pub id: u64,
    /// When it began, as far as the sums tell, ms.
    pub start_ms: i64,
    /// When it was known, ms.
    pub known_ms: i64,
    /// When it ended, ms; nothing while it lasts.
    pub end_ms: Option<i64>,
    /// It did not end: what is new was taken as usual.
    pub became_usual: bool,
    /// The traces, the first to be known first.
    pub traces: Vec<Moved>,
    /// Causes tried, the likeliest first; empty without a fitted model.
    pub causes: Vec<Cause>,
    /// What should be asked.
    pub question: Option<Question>,
    pub(super) weighed_ms: i64,
    #[serde(default)]
    pub(super) joined_ms: i64,
    pub(super) last_off_ms: i64,
}

/// What a night or a departure told.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Told {
    /// CO2 fell after people left.
    Decay {
        /// Air changes, 1/s.
        rate: Range,
        /// Level it falls towards, volume fraction.
        baseline: f64,
        /// Another room rose meanwhile: part of it is exchange between rooms.
        between_rooms: bool,
    },
    /// CO2 rose towards a plateau.
    BuildUp {
        /// Level it runs towards, volume fraction.
        plateau: Range,
        /// Air changes, 1/s.
        rate: Range,
        /// CO2 that people give off, m3/s; needs the room's volume.
        source_m3_s: Option<Range>,
        /// Whether the plateau was seen (three time constants) or is an extrapolation.
        seen: bool,
    },
    /// Air between two rooms, from a decay in both with nobody in them.
    Exchange {
        /// The other room's trace.
        with: String,
        /// Either way, m3/s.
        across: Range,
        /// Outdoor air into both, m3/s.
        outdoor: Range,
    },
    /// Water in the room's air over that outdoors, mean of a day, kg/m3.
    Moisture {
        /// With its instruments' 95 %.
        excess: Range,
    },
    /// Pressure of a zone against outdoors on one day, Pa.
    Pressure {
        /// Mean.
        mean: f64,
        /// Least hour.
        least: f64,
    },
}

/// With its trace and time.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Night {
    /// The trace, or the place for what several tell.
    pub trace: String,
    /// From, ms.
    pub from_ms: i64,
    /// To, ms.
    pub to_ms: i64,
    /// What.
    #[serde(flatten)]
    pub told: Told,
}

/// A filter's forecast, by device and trace.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Due {
    /// The device.
    pub device: String,
    /// The trace it comes from.
    pub trace: String,
    /// Day that the forecast counts from, whole days since 1970.
    pub first_day: f64,
    /// The forecast.
    #[serde(flatten)]
    pub forecast: Forecast,
}
