//! What can go wrong with a network and with its solution.

/// A zone as an error names it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NamedZone {
    /// Index of the zone.
    pub zone: usize,
    /// Its name.
    pub name: String,
}

/// A number of a passage.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Parameter {
    /// Height above ground, m.
    Height,
    /// Volumetric coefficient of a leak or an open damper, m3/(s Pa^n).
    Coefficient,
    /// Flow exponent.
    Exponent,
    /// Coefficient of a closed damper, m3/(s Pa^n).
    ClosedCoefficient,
    /// Pressure at which a damper opens, Pa.
    OpeningPressure,
    /// Width of an opening, m.
    OpeningWidth,
    /// Height of an opening, m.
    OpeningHeight,
    /// Height of an opening's sill above ground, m.
    OpeningBottom,
    /// Discharge coefficient.
    Discharge,
    /// Fixed mass flow, kg/s.
    FixedFlow,
}

/// Why passages and zones are not a network that can be solved.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum NetworkError {
    /// Zones without a way to outdoors over passages whose flow answers to pressure.
    #[error("{} zones without a way to outdoors", zones.len())]
    Isolated {
        /// The zones, by ascending index.
        zones: Vec<NamedZone>,
    },
    /// A passage names a zone that does not exist.
    #[error("passage {passage} names zone {zone} of {zone_count}")]
    UnknownZone {
        /// The passage.
        passage: usize,
        /// The zone it names.
        zone: usize,
        /// How many zones there are.
        zone_count: usize,
    },
    /// A run without any resistance or fan, or with a number that no run can have.
    #[error("passage {passage} is no run")]
    BadRun {
        /// The passage.
        passage: usize,
    },
    /// A passage from a zone to itself.
    #[error("passage {passage} leads from zone {zone} to itself")]
    SameZone {
        /// The passage.
        passage: usize,
        /// The zone at both ends.
        zone: usize,
    },
    /// A number of a passage is outside its bounds.
    #[error("passage {passage}: {parameter:?} is {value}, expected {min} to {max}")]
    OutOfBounds {
        /// The passage.
        passage: usize,
        /// Which number.
        parameter: Parameter,
        /// Its value.
        value: f64,
        /// Least value allowed.
        min: f64,
        /// Greatest value allowed.
        max: f64,
    },
    /// There is no such passage.
    #[error("passage {passage} of {passage_count}")]
    UnknownPassage {
        /// The passage asked for.
        passage: usize,
        /// How many there are.
        passage_count: usize,
    },
}

/// A list or number of the boundary or the start.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Given {
    /// Outdoor density, kg/m3.
    OutdoorDensity,
    /// Outdoor temperature, K.
    OutdoorTemp,
    /// Densities of the zones, kg/m3.
    ZoneDensity,
    /// Temperatures of the zones, K.
    ZoneTemp,
    /// Wind pressures, Pa.
    Wind,
    /// Held pressures, Pa.
    Held,
    /// Pressures to start from, Pa.
    Start,
}

/// A passage and the flow it carried when the iteration stopped.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Carrying {
    /// The passage.
    pub passage: usize,
    /// Flow from a to b, kg/s.
    pub flow_kg_s: f64,
    /// Pressure difference across it between the reference pressures, Pa.
    pub dp_pa: f64,
}

/// Why the pressures were not found.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub enum SolveError {
    /// A list of the boundary has the wrong length.
    #[error("{given:?} has {found} entries, expected {expected}")]
    WrongLength {
        /// Which list.
        given: Given,
        /// Entries needed (at least, for wind).
        expected: usize,
        /// Entries found.
        found: usize,
    },
    /// A number of the boundary is not finite, or a density or temperature is not positive.
    #[error("{given:?} {index} is {value}")]
    BadNumber {
        /// Which list or number.
        given: Given,
        /// Place in the list.
        index: usize,
        /// The value.
        value: f64,
    },
    /// Zones that nothing ties to outdoors or to a held pressure in this setup.
    #[error("zones {zones:?} without a way to outdoors or to a held pressure")]
    Isolated {
        /// The zones, by ascending index.
        zones: Vec<usize>,
    },
    /// The network of a case has another graph than the batch.
    #[error("the network has another graph than the batch")]
    OtherGraph,
    /// The matrix lost a pivot: a zone tied to the rest by next to nothing.
    #[error("zone {zone} is all but isolated: pivot {pivot_kg_s_pa:e} kg/(s Pa)")]
    Singular {
        /// The zone.
        zone: usize,
        /// The pivot, kg/(s Pa).
        pivot_kg_s_pa: f64,
        /// Iteration in which it happened.
        iteration: usize,
    },
    /// The iteration came to its end without balance.
    #[error("zone {zone} is out of balance by {zone_residual_kg_s:e} kg/s after {iteration} iterations")]
    NotConverged {
        /// The zone that is most out of balance.
        zone: usize,
        /// Net flow out of that zone, kg/s.
        zone_residual_kg_s: f64,
        /// Sum of the absolute residuals of all zones, kg/s.
        residual_kg_s: f64,
        /// Iterations done.
        iteration: usize,
        /// Largest change of a pressure in the last step, Pa.
        last_step_pa: f64,
        /// The passages of that zone with the largest flows, largest first, at most four.
        dominating: Vec<Carrying>,
    },
}
