//! The air handler: static pressures, flow by five methods, what a coil takes from the air.

pub mod coil;
pub mod flow;
mod flow_worked;
pub mod setup;
pub mod statics;
pub mod traverse;

use crate::air::{CP_DRY_AIR_J_KG_K, CP_VAPOUR_J_KG_K};

/// Heat that a volume of air takes per kelvin, J/(m3 K), from its density and humidity ratio.
///
/// ```
/// assert!((engine::procedure::handler::rho_cp_j_m3_k(1.204, 0.0) - 1211.2).abs() < 0.1);
/// ```
pub fn rho_cp_j_m3_k(density_kg_m3: f64, w_kg_kg: f64) -> f64 {
    // The density is of air and vapour together, the heat capacities are per kg of dry air.
    density_kg_m3 / (1.0 + w_kg_kg) * (CP_DRY_AIR_J_KG_K + w_kg_kg * CP_VAPOUR_J_KG_K)
}
