//! What surrounds the network in one moment: densities, temperatures, wind, test fans.

use super::error::{Given, SolveError};
use super::law::GRAVITY_M_S2;
use super::{Network, Node};
use crate::air::{REFERENCE_DENSITY_KG_M3, REFERENCE_TEMP_K};

/// Densities, temperatures, wind and held pressures for one solution.
#[derive(Clone, Debug, PartialEq)]
pub struct Boundary {
    /// Density of outdoor air, kg/m3.
    pub outdoor_density_kg_m3: f64,
    /// Temperature of outdoor air, K (for viscosity only).
    pub outdoor_temp_k: f64,
    /// Density of each zone's air, kg/m3.
    pub zone_density_kg_m3: Vec<f64>,
    /// Temperature of each zone's air, K (for viscosity only).
    pub zone_temp_k: Vec<f64>,
    /// Pressure from wind at each place on the outside, Pa.
    pub wind_pa: Vec<f64>,
    /// Reference pressure a test fan holds in a zone, Pa; `None` where the pressure is unknown.
    pub held_pa: Vec<Option<f64>>,
}

impl Boundary {
    /// No wind, no test fan, dry air of one temperature at 101,325 Pa everywhere.
    pub fn still(network: &Network, temp_k: f64) -> Self {
        let density_kg_m3 = REFERENCE_DENSITY_KG_M3 * REFERENCE_TEMP_K / temp_k;
        Self {
            outdoor_density_kg_m3: density_kg_m3,
            outdoor_temp_k: temp_k,
            zone_density_kg_m3: vec![density_kg_m3; network.zone_count()],
            zone_temp_k: vec![temp_k; network.zone_count()],
            wind_pa: vec![0.0; network.wind_count()],
            held_pa: vec![None; network.zone_count()],
        }
    }

    /// Density of the air at a node, kg/m3; outdoors for a zone that does not exist.
    pub fn density_kg_m3(&self, node: Node) -> f64 {
        match node {
            Node::Outdoors { .. } => self.outdoor_density_kg_m3,
            Node::Zone(zone) => {
                self.zone_density_kg_m3.get(zone).copied().unwrap_or(self.outdoor_density_kg_m3)
            }
        }
    }

    /// Temperature of the air at a node, K; outdoors for a zone that does not exist.
    pub fn temp_k(&self, node: Node) -> f64 {
        match node {
            Node::Outdoors { .. } => self.outdoor_temp_k,
            Node::Zone(zone) => self.zone_temp_k.get(zone).copied().unwrap_or(self.outdoor_temp_k),
        }
    }

    /// Mass flow in kg/s of a volume flow in m3/s of the air at `node`.
    pub fn mass_flow_kg_s(&self, node: Node, flow_m3_s: f64) -> f64 {
        flow_m3_s * self.density_kg_m3(node)
    }

    /// Volume flow in m3/s of a mass flow in kg/s of the air at `node`.
    pub fn volume_flow_m3_s(&self, node: Node, flow_kg_s: f64) -> f64 {
        flow_kg_s / self.density_kg_m3(node)
    }

    /// Pressure of a zone less that of outdoor air without wind, both at height `z_m`, in Pa:
    /// `p - (rho - rho_out) g z`, from the zone's reference pressure `zone_pa`.
    pub fn pressure_at_pa(&self, zone: usize, zone_pa: f64, z_m: f64) -> f64 {
        let density = self.density_kg_m3(Node::Zone(zone));
        zone_pa - (density - self.outdoor_density_kg_m3) * GRAVITY_M_S2 * z_m
    }

    /// Reference pressure to hold, in Pa, for a gauge at height `z_m` to show `shown_pa` against
    /// outdoors: the inverse of [`pressure_at_pa`](Self::pressure_at_pa).
    pub fn reference_pa(&self, zone: usize, shown_pa: f64, z_m: f64) -> f64 {
        let density = self.density_kg_m3(Node::Zone(zone));
        shown_pa + (density - self.outdoor_density_kg_m3) * GRAVITY_M_S2 * z_m
    }

    pub(super) fn check(&self, network: &Network) -> Result<(), SolveError> {
        let count = network.zone_count();
        let length = |given, found: usize| {
            if found == count {
                Ok(())
            } else {
                Err(SolveError::WrongLength { given, expected: count, found })
            }
        };
        length(Given::ZoneDensity, self.zone_density_kg_m3.len())?;
        length(Given::ZoneTemp, self.zone_temp_k.len())?;
        length(Given::Held, self.held_pa.len())?;
        if self.wind_pa.len() < network.wind_count() {
            let (expected, found) = (network.wind_count(), self.wind_pa.len());
            return Err(SolveError::WrongLength { given: Given::Wind, expected, found });
        }
        // A positive finite number's bits lie between those of zero and infinity: one comparison for
        // all, and the place is looked for only where there is one.
        let rank = |v: f64| v.to_bits().wrapping_sub(1);
        let limit = f64::INFINITY.to_bits() - 1;
        let positive = |given, values: &[f64]| {
            if values.iter().fold(0, |most, &v| if rank(v) > most { rank(v) } else { most }) >= limit {
                let index = values.iter().position(|&v| rank(v) >= limit).unwrap_or(0);
                return Err(SolveError::BadNumber { given, index, value: values[index] });
            }
            Ok(())
        };
        positive(Given::OutdoorDensity, &[self.outdoor_density_kg_m3])?;
        positive(Given::OutdoorTemp, &[self.outdoor_temp_k])?;
        positive(Given::ZoneDensity, &self.zone_density_kg_m3)?;
        positive(Given::ZoneTemp, &self.zone_temp_k)?;
        if let Some(index) = self.wind_pa.iter().position(|v| !v.is_finite()) {
            return Err(SolveError::BadNumber { given: Given::Wind, index, value: self.wind_pa[index] });
        }
        for (index, held) in self.held_pa.iter().enumerate() {
            if let Some(value) = *held
                && !value.is_finite()
            {
                return Err(SolveError::BadNumber { given: Given::Held, index, value });
            }
        }
        Ok(())
    }
}
