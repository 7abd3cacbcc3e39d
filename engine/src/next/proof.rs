//! The proof step of a tap: what its number must do when something it hangs on is turned. A tube in
//! the wrong zone, or kinked, does not follow.

use super::Reads;
use super::expect::{Bench, wind_name};
use super::trials::{Trial, sides};
use crate::house::{Place, Setup, start};
use crate::measure::Estimate;
use crate::units::Quantity;
use serde::Serialize;

/// What is turned for the proof.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "turn", rename_all = "kebab-case")]
pub enum Turn {
    /// A door or hatch.
    Door {
        /// Index of the door.
        door: usize,
        /// Whether it is opened for the proof.
        open: bool,
    },
    /// The test fan is stopped and shut.
    FanOff,
    /// The air handler is stopped.
    HandlerOff,
    /// The exhaust fans are stopped.
    ExhaustOff,
}

/// A proof step.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Proof {
    /// What is turned.
    #[serde(flatten)]
    pub turn: Turn,
    /// What the tap must then show, Pa.
    pub to: Estimate,
    /// By how much it must change, Pa.
    pub change: Estimate,
}

/// A change that is less than this times the noise of a reading, or than what a gust makes, proves
/// nothing. Common practice, no source.
const LEAST_NOISES: f64 = 5.0;
const LEAST_CHANGE_PA: f64 = 1.0;

/// The proof step of a tap; nothing for a flow, or where nothing that is turned would show.
pub(super) fn proof(bench: &mut Bench<'_>, (setup, fan_pa): (&Setup, f64), trial: &Trial) -> Option<Proof> {
    let Reads::Tap { feels, compared_with } = trial.reads else { return None };
    let wind = wind_name(bench.house, (setup, fan_pa));
    let before = bench.shown((setup, fan_pa), &[&trial.reads], &wind).pop()?;
    let noises = LEAST_NOISES * bench.noise_sd(&trial.reads);
    let least = if noises > LEAST_CHANGE_PA { noises } else { LEAST_CHANGE_PA };
    // First the door of the very pair, then any door of the zone.
    let mut doors: Vec<usize> = (0..bench.house.doors.len())
        .filter(|d| bench.house.doors[*d].between.contains(&Place::Zone(feels)))
        .collect();
    doors.sort_by_key(|d| {
        let other = sides(bench.house, *d).map(|(a, b)| if a == feels { b } else { a });
        let pair = compared_with.is_some() && other == compared_with;
        let rooms = other.is_some_and(|z| bench.house.zones[z].kind.is_indoors());
        (!pair, !rooms)
    });
    let usual = start(bench.house);
    let mut turns: Vec<(Turn, Setup)> = doors
        .into_iter()
        .map(|d| {
            let mut turned = setup.clone();
            // A hole is shut for the proof, a door that stands usually open opened again.
            turned.open[d] = match turned.hole[d].take() {
                Some(_) => usual.open[d],
                None => !turned.open[d],
            };
            (Turn::Door { door: d, open: turned.open[d] }, turned)
        })
        .collect();
    let mut off = setup.clone();
    if off.test_fan.take().is_some() {
        turns.push((Turn::FanOff, off));
    } else if setup.air_handler {
        off.air_handler = false;
        turns.push((Turn::HandlerOff, off));
    } else if setup.running.contains(&true) {
        off.running.fill(false);
        turns.push((Turn::ExhaustOff, off));
    }
    for (turn, turned) in turns {
        if bench.moment.holds(bench.house, &turned, None) {
            continue;
        }
        let after = bench.shown((&turned, fan_pa), &[&trial.reads], &wind).pop()?;
        let pairs = || before.iter().zip(&after).filter(|(b, a)| b.is_finite() && a.is_finite());
        let estimate = |mut values: Vec<f64>| {
            values.sort_by(f64::total_cmp);
            Estimate::from_sorted_draws(&values, crate::fit::LEVEL, Quantity::Pressure)
        };
        let change = estimate(pairs().map(|(b, a)| a - b).collect());
        // In nine of ten houses it must be seen.
        if change.bounds().is_some_and(|(lo, hi)| lo > least || hi < -least) {
            return Some(Proof { turn, to: estimate(pairs().map(|p| *p.1).collect()), change });
        }
    }
    None
}
