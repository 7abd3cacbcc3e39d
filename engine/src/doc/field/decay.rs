//! `kind = "decay"`: air change from the decay of a gas, in typed points, a part of a series, or
//! wherever a long series holds one.

use super::record::{self, Outdoors, Record, Volume};
use crate::doc::Sp;
use crate::doc::read::Tab;
use crate::procedure::field::Limit;
use crate::units::Quantity as Q;

/// The document.
#[derive(Clone, Debug, PartialEq)]
pub struct Decay {
    /// Readings; several columns are several sensors.
    pub record: Record,
    /// Gas outdoors.
    pub outdoors: Outdoors,
    /// Volume of the room.
    pub volume: Volume,
    /// Volumes by column, where there are several.
    pub volumes: Vec<(Sp<String>, f64)>,
    /// Look for decays in the whole record.
    pub search: bool,
    /// The user's own limit for the air change.
    pub limit: Option<Limit>,
}

/// Reads it.
pub(super) fn read(t: &Tab<'_, '_>) -> Option<Decay> {
    Some(Decay {
        record: record::record(t),
        outdoors: record::outdoors(t),
        volume: record::volume(t),
        volumes: record::volumes(t),
        search: t.flag("search").unwrap_or(false),
        limit: record::limit(t, Q::AirChange, false),
    })
}
