//! The zone of a fuel-burning appliance: the greatest depressurisation, spillage, carbon monoxide,
//! draft, gas.
//!
//! States what was measured, which published limit stands against it and who must act; says of nothing
//! that it is in order. Pressures are screening: release hangs on spillage and CO ([`of_visit`] is what
//! [`crate::gate`] reads). Levels and limits are data ([`PROTOCOLS`]); the states to try are data
//! ([`combustion_states`]). Air-free and as-measured CO are never compared; the oxygen of the same gas
//! converts one to the other ([`air_free`]).
//! Not covered: which appliance goes first on a common vent, combustion air by volume.

mod gas;
mod protocol;
mod record;
mod result;
mod states;

pub use crate::doc::field::combustion_zone::Condition;
pub use gas::{Action, OXYGEN_HIGHEST, OXYGEN_OUTDOORS, Reached, air_free, on_basis, reached};
pub use protocol::{
    APPLIANCE_TYPES, ApplianceType, Levels, PROTOCOLS, Protocol, ProtocolId, Published, levels, protocol,
};
pub use record::of_visit;
pub use result::{Asked, CombustionResult, FlueResult, RoomAir, SpillageResult, StateResult, evaluate};
pub use states::{Devices, Guide, Guided, HANDLER, State, combustion_states};

#[cfg(test)]
mod tests;
