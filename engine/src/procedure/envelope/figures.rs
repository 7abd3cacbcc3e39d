//! The figures of an envelope test and how each follows from the flow at one pressure.

use super::input::Building;
use super::spread::{Parts, Stated};
use crate::air::REFERENCE_DENSITY_KG_M3;
use crate::math;
use crate::units::Quantity;
use serde::Serialize;

/// Pressures at which flow is stated, Pa.
pub const REPORT_PA: [f64; 5] = [4.0, 10.0, 25.0, 50.0, 75.0];
/// Discharge coefficient of the equivalent leakage area (CAN/CGSB-149.10; ASHRAE 2021 ch. 16).
pub const EQLA_DISCHARGE: f64 = 0.611;
/// Reference height of normalised leakage, m.
pub const REFERENCE_HEIGHT_M: f64 = 2.5;

/// Effective or equivalent leakage area, m2: the sharp opening of this discharge coefficient that
/// passes `flow_m3_s` of reference air under `dp_pa`.
///
/// ASHRAE Fundamentals 2021 ch. 16 eq. 41-45: 4 Pa and coefficient 1 give the ELA, 10 Pa and 0.611
/// the EqLA.
///
/// ```
/// use engine::procedure::envelope::leakage_area_m2;
/// let ela = leakage_area_m2(197.81767532830128 / 3600.0, 4.0, 1.0);
/// assert!((ela * 1e4 - 213.181).abs() < 0.001);
/// ```
pub fn leakage_area_m2(flow_m3_s: f64, dp_pa: f64, discharge: f64) -> f64 {
    flow_m3_s * (REFERENCE_DENSITY_KG_M3 / (2.0 * dp_pa)).sqrt() / discharge
}

/// Normalised leakage: `1000 (ELA/A) (H/2.5 m)^0.4` with ELA and A both in m2.
///
/// ASHRAE Fundamentals 2021 ch. 16 eq. 46, which prints the factor 0.1: that one is right for an
/// ELA in cm2 only.
///
/// ```
/// use engine::procedure::envelope::normalized_leakage;
/// let nl = normalized_leakage(0.0213181, 150.0, 5.0);
/// assert!((nl - 0.18753).abs() < 1e-5);
/// ```
pub fn normalized_leakage(ela_m2: f64, floor_area_m2: f64, height_m: f64) -> f64 {
    1000.0 * (ela_m2 / floor_area_m2) * math::pow(height_m / REFERENCE_HEIGHT_M, 0.4)
}

/// Flow at one reference pressure.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FlowAt {
    /// Pressure, Pa.
    pub dp_pa: f64,
    /// Flow at reference conditions.
    pub flow: Stated,
    /// Where its interval comes from.
    pub parts: Parts,
    /// Whether the pressure lies outside the stations.
    pub extrapolated: bool,
}

/// Names a figure, for adopted limits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum FigureKind {
    /// Flow at 50 Pa (CFM50).
    Flow50,
    /// Flow at 75 Pa.
    Flow75,
    /// Air changes at 50 Pa (ACH50, n50).
    Ach50,
    /// Flow at 50 Pa per envelope area (q50).
    EnvelopePermeability50,
    /// Flow at 50 Pa per floor area (w50).
    FloorPermeability50,
    /// Flow at 75 Pa per envelope area.
    EnvelopePermeability75,
    /// Effective leakage area, 4 Pa.
    Ela,
    /// Equivalent leakage area, 10 Pa.
    EqLa,
    /// Specific leakage area.
    Sla,
    /// Normalised leakage.
    Nl,
}

/// What an envelope test says about the building.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Figures {
    /// At the pressures of [`REPORT_PA`].
    pub flows: Vec<FlowAt>,
    /// Air changes at 50 Pa; needs the volume.
    pub ach50: Option<Stated>,
    /// Flow at 50 Pa per envelope area.
    pub q50_envelope: Option<Stated>,
    /// Flow at 75 Pa per envelope area.
    pub q75_envelope: Option<Stated>,
    /// Flow at 50 Pa per floor area.
    pub q50_floor: Option<Stated>,
    /// Effective leakage area, 4 Pa, discharge coefficient 1.
    pub ela: Stated,
    /// Equivalent leakage area, 10 Pa, discharge coefficient 0.611.
    pub eqla: Stated,
    /// ELA per floor area, m2/m2.
    pub sla: Option<Stated>,
    /// Normalised leakage; needs floor area and height.
    pub nl: Option<Stated>,
}

impl Figures {
    /// Works all figures out from the flow at a pressure.
    pub(super) fn from_flows(building: &Building, flow_at: impl Fn(f64) -> FlowAt) -> Figures {
        let flows: Vec<FlowAt> = REPORT_PA.iter().map(|p| flow_at(*p)).collect();
        let (q4, q10) = (flow_at(4.0).flow, flow_at(10.0).flow);
        let (q50, q75) = (flow_at(50.0).flow, flow_at(75.0).flow);
        let per = |flow: Stated, size: Option<f64>, quantity| size.map(|s| flow.scaled(1.0 / s, quantity));
        let ela = q4.scaled(leakage_area_m2(1.0, 4.0, 1.0), Quantity::Area);
        let nl = building
            .floor_area_m2
            .zip(building.height_m)
            .map(|(floor, height)| ela.scaled(normalized_leakage(1.0, floor, height), Quantity::Number));
        Figures {
            ach50: per(q50, building.volume_m3, Quantity::AirChange),
            q50_envelope: per(q50, building.envelope_area_m2, Quantity::Permeability),
            q75_envelope: per(q75, building.envelope_area_m2, Quantity::Permeability),
            q50_floor: per(q50, building.floor_area_m2, Quantity::Permeability),
            ela,
            eqla: q10.scaled(leakage_area_m2(1.0, 10.0, EQLA_DISCHARGE), Quantity::Area),
            sla: per(ela, building.floor_area_m2, Quantity::Number),
            nl,
            flows,
        }
    }

    /// Flow at one of [`REPORT_PA`].
    pub fn flow_at(&self, dp_pa: f64) -> Option<&FlowAt> {
        self.flows.iter().find(|f| (f.dp_pa - dp_pa).abs() < 1e-9)
    }

    /// The figure of this kind, if it could be worked out.
    pub fn get(&self, kind: FigureKind) -> Option<Stated> {
        use FigureKind as K;
        match kind {
            K::Flow50 => self.flow_at(50.0).map(|f| f.flow),
            K::Flow75 => self.flow_at(75.0).map(|f| f.flow),
            K::Ach50 => self.ach50,
            K::EnvelopePermeability50 => self.q50_envelope,
            K::EnvelopePermeability75 => self.q75_envelope,
            K::FloorPermeability50 => self.q50_floor,
            K::Ela => Some(self.ela),
            K::EqLa => Some(self.eqla),
            K::Sla => self.sla,
            K::Nl => self.nl,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_factor_of_normalised_leakage_belongs_to_its_unit() {
        let (ela_m2, floor_m2, height_m) = (0.0213181, 150.0, 5.0);
        let with_cm2 = 0.1 * (ela_m2 * 1e4 / floor_m2) * math::pow(height_m / 2.5, 0.4);
        let nl = normalized_leakage(ela_m2, floor_m2, height_m);
        assert!((nl - with_cm2).abs() < 1e-15);
        // Taking the printed 0.1 with m2 would be wrong ten thousand times over.
        assert!((nl / (0.1 * (ela_m2 / floor_m2) * math::pow(2.0, 0.4)) - 1e4).abs() < 1e-6);
    }
}
