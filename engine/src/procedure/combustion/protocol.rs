//! Published levels and limits of combustion testing, as data.
//!
//! `seen` says that the number was read in a citable text. Even then it decides nothing alone: which
//! protocol and edition are in force is the user's to say. Every other number was recalled.

pub use crate::doc::field::combustion_zone::{APPLIANCE_TYPES, ApplianceType, ProtocolId};
use crate::procedure::source::FROM_MEMORY;
use serde::Serialize;

/// A number of a protocol.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Published {
    /// Value, SI.
    pub si: f64,
    /// Id of the text.
    pub source: &'static str,
    /// Whether it was read there.
    pub seen: bool,
}

const fn seen(si: f64, source: &'static str) -> Option<Published> {
    Some(Published { si, source, seen: true })
}

const fn recalled(si: f64) -> Option<Published> {
    Some(Published { si, source: FROM_MEMORY, seen: false })
}

/// Levels of carbon monoxide in the air that people breathe, reached at or above.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize)]
pub struct Levels {
    /// Tell the people, look for the source, ventilate.
    pub tell: Option<Published>,
    /// End the testing, open up, sources off.
    pub stop: Option<Published>,
    /// Everybody out; emergency services are called from outside.
    pub leave: Option<Published>,
}

/// One protocol.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Protocol {
    /// Which.
    pub id: ProtocolId,
    /// Levels in the air.
    pub levels: Levels,
    /// Longest spillage with the vent warm, s.
    pub spillage_warm: Option<Published>,
    /// Longest spillage with the vent cold, s.
    pub spillage_cold: Option<Published>,
    /// Whether it gives limits of flue CO.
    pub has_flue_table: bool,
    /// Burner time after which flue CO is read, s.
    pub flue_after: Option<Published>,
    /// Share of the lower explosive limit at which everybody leaves.
    pub gas_leave: Option<Published>,
}

/// Ten hundredths of the lower explosive limit: the lower of the two levels in use.
const LEL_LOWER: Option<Published> = recalled(0.10);

/// Every protocol known, the user's own included: it has no numbers but those typed.
pub const PROTOCOLS: &[Protocol] = &[
    Protocol {
        id: ProtocolId::Bpi1200,
        levels: Levels {
            tell: seen(9e-6, "bpi-1200"),
            stop: seen(36e-6, "bpi-1200"),
            leave: seen(70e-6, "bpi-1200"),
        },
        spillage_warm: recalled(120.0),
        spillage_cold: recalled(300.0),
        has_flue_table: true,
        flue_after: recalled(300.0),
        gas_leave: LEL_LOWER,
    },
    Protocol {
        id: ProtocolId::FuelGasCodeAppendix,
        levels: Levels { tell: recalled(9e-6), stop: seen(30e-6, "irc-app-d"), leave: recalled(70e-6) },
        // Secondary texts quote the code's common-vent test: at the draft hood after five minutes.
        spillage_warm: seen(300.0, "irc-app-d"),
        spillage_cold: seen(300.0, "irc-app-d"),
        has_flue_table: true,
        flue_after: seen(300.0, "irc-app-d"),
        // The text seen says 20 %; the lower level of other protocols errs on the side of leaving.
        gas_leave: LEL_LOWER,
    },
    Protocol {
        id: ProtocolId::Sws,
        // Above 35 ppm; displays show whole ppm.
        levels: Levels { tell: None, stop: seen(35.5e-6, "sws-2-0105-1"), leave: recalled(70e-6) },
        spillage_warm: None,
        spillage_cold: None,
        has_flue_table: false,
        flue_after: None,
        gas_leave: LEL_LOWER,
    },
    Protocol {
        id: ProtocolId::Own,
        levels: Levels { tell: None, stop: None, leave: None },
        spillage_warm: None,
        spillage_cold: None,
        has_flue_table: false,
        flue_after: None,
        gas_leave: LEL_LOWER,
    },
];

/// The numbers of a protocol; nothing where none is chosen.
///
/// ```
/// use engine::procedure::combustion::{ProtocolId, protocol};
/// assert!((protocol(ProtocolId::Bpi1200).unwrap().levels.leave.unwrap().si - 70e-6).abs() < 1e-12);
/// ```
pub fn protocol(id: ProtocolId) -> Option<&'static Protocol> {
    PROTOCOLS.iter().find(|p| p.id == id)
}

impl Protocol {
    /// Limit of CO in an undiluted flue and whether it is air-free: a table of the fuel gas code family,
    /// recalled and not read.
    pub fn flue_limit(&self, kind: ApplianceType) -> Option<(Published, bool)> {
        if !self.has_flue_table {
            return None;
        }
        let (ppm, air_free) = match kind {
            ApplianceType::Furnace | ApplianceType::Boiler | ApplianceType::Dryer => (400.0, true),
            ApplianceType::WaterHeater | ApplianceType::RoomHeater => (200.0, true),
            ApplianceType::GasLog | ApplianceType::Refrigerator => (25.0, false),
        };
        recalled(ppm * 1e-6).map(|p| (p, air_free))
    }

    /// Limit of CO at an oven, as measured; recalled.
    pub fn oven_limit(&self) -> Option<Published> {
        if self.has_flue_table { recalled(225e-6) } else { None }
    }
}

/// Levels of the protocol with the user's own: his may be lower than the protocol's, never higher.
/// Gives the levels and how many of his were not taken.
pub fn levels(protocol: &Protocol, own: [Option<f64>; 3]) -> (Levels, usize) {
    let mut refused = 0;
    let mut merge = |published: Option<Published>, own: Option<f64>| match (published, own) {
        (Some(p), Some(own)) if own > p.si => {
            refused += 1;
            Some(p)
        }
        (_, Some(own)) => Some(Published { si: own, source: OWN_LEVEL, seen: true }),
        (p, None) => p,
    };
    let l = protocol.levels;
    let levels =
        Levels { tell: merge(l.tell, own[0]), stop: merge(l.stop, own[1]), leave: merge(l.leave, own[2]) };
    (levels, refused)
}

/// Source of a level that the user typed.
pub(super) const OWN_LEVEL: &str = "own-level";
