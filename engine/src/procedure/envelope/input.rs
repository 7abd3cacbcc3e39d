//! What is told about an envelope test, SI.

use crate::diag::Span;
use crate::procedure::instrument::{Direction, FanReading, FlowGauge, PressureGauge};
use serde::Serialize;

/// What a gauge recorded of a station's pressure beside its mean; what it did not is absent.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Averaged {
    /// Standard deviation of the pressure, Pa.
    pub sd_pa: Option<f64>,
    /// How long it was averaged, s.
    pub seconds: Option<f64>,
    /// Number of readings in the mean. Without `seconds` they are taken as one a second (common
    /// practice, no source).
    pub count: Option<u32>,
}

/// One station: a held pressure and the flow that held it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Station {
    /// Which way the fan moved air.
    pub direction: Direction,
    /// Envelope pressure as shown, Pa.
    pub shown_pa: f64,
    /// Flow gauges as shown, one a fan in the order of [`EnvelopeTest::flow_gauges`]. Of several fans,
    /// one that shows zero was sealed.
    pub fans: Vec<FanReading>,
    /// How the pressure was averaged.
    pub averaged: Averaged,
    /// Where it was written.
    #[serde(skip)]
    pub span: Option<Span>,
}

/// Baseline pressure with the fan sealed, in the tap order of the gauge.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Baseline {
    /// Single readings, Pa.
    Samples(Vec<f64>),
    /// Their mean alone, Pa.
    Mean(f64),
}

/// One sequence of stations with its baselines.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Run {
    /// Before the stations.
    pub baseline_before: Option<Baseline>,
    /// After them.
    pub baseline_after: Option<Baseline>,
    /// Whether one of its baselines is one of the run before it too: read once, used twice.
    pub shares_baseline: bool,
    /// The stations, in the order taken. A run in both directions is worked as two.
    pub stations: Vec<Station>,
}

/// What fixes the air pressure at the site.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Site {
    /// Barometer at the site, not reduced to sea level, Pa.
    Barometer {
        /// Pressure, Pa.
        pressure_pa: f64,
    },
    /// Height above sea level, m.
    Altitude {
        /// Height, m.
        altitude_m: f64,
    },
}

/// Weather and indoor air during the test; what was not measured is absent.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Conditions {
    /// Indoor temperature, K.
    pub indoor_k: Option<f64>,
    /// Outdoor temperature, K.
    pub outdoor_k: Option<f64>,
    /// Indoor relative humidity, 0 to 1.
    pub indoor_rh_frac: Option<f64>,
    /// Outdoor relative humidity, 0 to 1.
    pub outdoor_rh_frac: Option<f64>,
    /// Air pressure or altitude.
    pub site: Option<Site>,
    /// Mean wind speed, m/s.
    pub wind_m_s: Option<f64>,
}

/// The building's sizes; what is absent leaves out the figures that need it.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Building {
    /// Internal volume, m3.
    pub volume_m3: Option<f64>,
    /// Floor area, m2.
    pub floor_area_m2: Option<f64>,
    /// Envelope area, m2.
    pub envelope_area_m2: Option<f64>,
    /// From the lowest floor above grade to the highest ceiling, m.
    pub height_m: Option<f64>,
}

/// An envelope test as it was taken.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct EnvelopeTest {
    /// The user's name for it.
    pub name: String,
    /// Pressure channel.
    pub pressure_gauge: PressureGauge,
    /// Fans that ran at once, each with its flow channel.
    pub flow_gauges: Vec<FlowGauge>,
    /// One or more runs.
    pub runs: Vec<Run>,
    /// Weather and indoor air.
    pub conditions: Conditions,
    /// Sizes.
    pub building: Building,
    /// Where it was written.
    #[serde(skip)]
    pub span: Option<Span>,
}
