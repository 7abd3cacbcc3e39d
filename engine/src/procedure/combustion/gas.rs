//! Carbon monoxide of a flue on one basis, and in the room against levels.

use super::protocol::{Levels, Published};
use serde::Serialize;

/// Oxygen of dry outdoor air, volume fraction, as combustion meters count it (from memory; a meter's
/// own 20.9 %).
pub const OXYGEN_OUTDOORS: f64 = 0.209;
/// Above this oxygen nothing is converted: a small error of the meter makes a large one of the result.
pub const OXYGEN_HIGHEST: f64 = 0.15;

/// What a measured CO would be without the excess air: `CO 20.9 / (20.9 - O2)`.
///
/// Dry flue gas with oxygen `O2` is undiluted gas with a share `O2 / 20.9` of air, which has no CO.
/// Nothing where the oxygen is not from 0 to [`OXYGEN_HIGHEST`].
///
/// ```
/// use engine::procedure::combustion::air_free;
/// assert!((air_free(100e-6, 0.09).unwrap() - 175.63e-6).abs() < 1e-8);
/// assert!(air_free(100e-6, 0.19).is_none());
/// ```
pub fn air_free(as_measured: f64, oxygen: f64) -> Option<f64> {
    (0.0..=OXYGEN_HIGHEST)
        .contains(&oxygen)
        .then(|| as_measured * OXYGEN_OUTDOORS / (OXYGEN_OUTDOORS - oxygen))
}

/// The value on the other basis, where oxygen allows it.
pub fn on_basis(value: f64, from_air_free: bool, to_air_free: bool, oxygen: Option<f64>) -> Option<f64> {
    if from_air_free == to_air_free {
        return Some(value);
    }
    let factor = air_free(1.0, oxygen?)?;
    Some(if to_air_free { value * factor } else { value / factor })
}

/// Which level.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Action {
    /// Tell the people, look for the source, ventilate.
    Tell,
    /// End the testing, open up, sources off.
    Stop,
    /// Everybody out.
    Leave,
}

/// The first sample that reached a level.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Reached {
    /// Which level.
    pub action: Action,
    /// Number of the sample, from 1.
    pub sample: usize,
    /// Its value, volume fraction.
    pub value: f64,
    /// The level.
    pub level: Published,
}

/// For each level the first sample at or above it; one is enough, and nothing is averaged.
///
/// ```
/// use engine::procedure::combustion::{Action, ProtocolId, protocol, reached};
/// let levels = protocol(ProtocolId::Bpi1200).unwrap().levels;
/// let all = reached(&[2e-6, 10e-6, 80e-6, 3e-6], &levels);
/// assert_eq!(all.last().unwrap().action, Action::Leave);
/// assert_eq!(all[0].sample, 2);
/// ```
pub fn reached(samples: &[f64], levels: &Levels) -> Vec<Reached> {
    let all = [(Action::Tell, levels.tell), (Action::Stop, levels.stop), (Action::Leave, levels.leave)];
    let mut out = Vec::new();
    for (action, level) in all {
        let Some(level) = level else { continue };
        // A hair's breadth for the conversion of ppm.
        let first = samples.iter().position(|s| *s >= level.si * (1.0 - 1e-9));
        if let Some((k, value)) = first.and_then(|k| Some((k, *samples.get(k)?))) {
            out.push(Reached { action, sample: k + 1, value, level });
        }
    }
    out
}
