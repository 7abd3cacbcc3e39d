//! What one run says, along its direction.

/// One station.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Reading {
    /// Mean induced pressure, the offset taken out, Pa; above zero.
    pub dp_pa: f64,
    /// Flow at reference conditions, m3/s; above zero.
    pub flow_m3_s: f64,
    /// Standard deviation of the pressure while it was averaged, Pa, where the gauge recorded it.
    pub sd_pa: Option<f64>,
    /// How long it was averaged, s.
    pub seconds: Option<f64>,
}

impl Reading {
    /// Means alone.
    pub fn mean(dp_pa: f64, flow_m3_s: f64) -> Reading {
        Reading { dp_pa, flow_m3_s, sd_pa: None, seconds: None }
    }
}

/// A baseline.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Zero {
    /// Mean along the direction of the run, Pa.
    pub mean_pa: f64,
    /// Number of samples; 0 where only their mean was told.
    pub count: usize,
    /// Standard deviation of the samples, Pa, where two or more tell.
    pub sd_pa: Option<f64>,
}

/// One direction of one run, in the order taken.
#[derive(Clone, Debug, PartialEq)]
pub struct Readings {
    /// The stations.
    pub stations: Vec<Reading>,
    /// Baseline before them.
    pub before: Option<Zero>,
    /// Baseline after them.
    pub after: Option<Zero>,
    /// What was taken out of the stations' pressures, along the direction, Pa.
    pub offset_pa: f64,
    /// Wind as told, m/s.
    pub wind_m_s: Option<f64>,
}
