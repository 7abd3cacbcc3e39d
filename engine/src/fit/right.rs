//! What is taken back before draws are made: readings wrong by a slip, doors that stood otherwise.
//!
//! One wrong sign or one hatch left open bends every leak of the house, and an interval around the
//! bent answer says nothing. Each reading is held to be a slip, and each door to have stood other
//! than noted, with the small probability that people have of such mistakes; the likeliest account
//! of all readings is looked for step by step (each step takes back what raises it most), and the
//! draws are those under it. Everything that was taken back is named; nothing is dropped in silence.
//! What is left unexplained widens the ranges: where the sum of squares is still improbable, all
//! noise is raised by the root of its ratio to what is expected (Birge 1932, from memory).
//! Not covered: several accounts that are about as likely (the best is taken as true); mistakes in
//! the drawing itself, which [`super::unseen`] looks for.

use super::observe::{Observations, Seen};
use super::problem::{FitError, Problem};
use super::solve::{self, Optimum};
use super::suspect;
use crate::house::House;
use crate::math;
use serde::Serialize;
use std::ops::ControlFlow;

/// Share of readings that are wrong by a slip. An assumption, no source.
const SLIP: f64 = 0.02;
/// A slip puts a reading anywhere within so many of its own noise. An assumption, no source.
const SLIP_WIDTH: f64 = 30.0;
/// Share of doors that stood other than noted. An assumption, no source.
const DOOR: f64 = 0.05;
/// Nothing is looked for where the sum of squares is this probable and no reading lies far off.
const PROBABLE: f64 = 0.05;
/// Most that is taken back.
const MOST: usize = 8;
/// Most stretches of doors that are tried.
const MOST_DOORS: usize = 24;

/// A door that was taken to have stood otherwise.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Turned {
    /// Name people read.
    pub door: String,
    /// Whether it is taken to have stood open.
    pub open: bool,
    /// Index of the visit.
    pub visit: usize,
    /// First and last of the stations at which it did.
    #[serde(skip)]
    pub stations: (usize, usize),
}

/// What was taken back.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct SetRight {
    /// Readings set aside, by index.
    pub set_aside: Vec<usize>,
    /// What the other readings expect of each, SI.
    pub expected: Vec<f64>,
    /// Doors turned.
    pub doors: Vec<Turned>,
    /// Factor on the noise of all other readings: one where their sum of squares is as expected.
    pub noise_factor: f64,
}

impl Default for SetRight {
    fn default() -> SetRight {
        SetRight { set_aside: Vec::new(), expected: Vec::new(), doors: Vec::new(), noise_factor: 1.0 }
    }
}

impl SetRight {
    /// Whether nothing was.
    pub fn is_empty(&self) -> bool {
        self.set_aside.is_empty() && self.doors.is_empty()
    }
}

/// A stretch of stations over which a door stands as noted once.
struct Stretch {
    door: usize,
    stations: Vec<usize>,
}

/// Every stretch, in the order of the visit.
fn stretches(seen: &Observations) -> Vec<Stretch> {
    let mut all: Vec<Stretch> = Vec::new();
    let doors = seen.stations.first().map_or(0, |s| s.setup.open.len());
    for door in 0..doors {
        let mut before = None;
        for (at, s) in seen.stations.iter().enumerate() {
            let now = Some((s.visit, s.setup.open[door]));
            match all.last_mut().filter(|l| l.door == door && before == now) {
                Some(last) => last.stations.push(at),
                None => all.push(Stretch { door, stations: vec![at] }),
            }
            before = now;
        }
    }
    // A door that nobody noted has a weight on each state already.
    all.retain(|s| s.stations.iter().all(|at| !seen.stations[*at].setup.unnoted[s.door]));
    all.truncate(MOST_DOORS);
    all
}

/// The readings as they are after everything likely was taken back, their optimum, and what it was;
/// nothing where the readings as noted stand.
///
/// # Errors
/// [`FitError`] where the readings as noted cannot be fitted.
pub(super) fn set_right(
    house: &House,
    noted: &Observations,
    optimum: &Optimum,
) -> Result<Option<(Observations, Optimum, SetRight)>, FitError> {
    let slip_cost = 2.0 * (math::ln(1.0 / SLIP - 1.0) + math::ln(SLIP_WIDTH));
    let door_cost = 2.0 * math::ln(1.0 / DOOR - 1.0);
    let (mut seen, mut now, mut done) = (noted.clone(), optimum.clone(), SetRight::default());
    let go = &mut |_| ControlFlow::Continue(());
    let doors = stretches(noted);
    while done.set_aside.len() + done.doors.len() < MOST {
        let problem = Problem::new(house, &seen)?;
        let chi_square = now.squares - problem.fan_squares(&now.x);
        let degrees = problem.degrees_of_freedom() as f64 - done.set_aside.len() as f64;
        let worst = suspect::worst(&problem, &now);
        if worst.is_none() && crate::measure::chi_square_above(chi_square, degrees) > PROBABLE {
            break;
        }
        let mut best = worst.map(|(reading, gain)| (gain - slip_cost, None, reading));
        for (at, stretch) in doors.iter().enumerate() {
            let changed = turned(&seen, stretch);
            // Neither what is less likely than the best so far nor what is unlikely is looked for.
            let least_net = best.map_or(0.0, |b| if b.0 > 0.0 { b.0 } else { 0.0 });
            let needed = now.squares - door_cost - least_net;
            let again = Problem::new(house, &changed)
                .and_then(|mut p| solve::optimum_below(&mut p, now.x.clone(), needed));
            let Ok(again) = again else { continue };
            let net = now.squares - again.squares - door_cost;
            if best.is_none_or(|b| net > b.0) {
                best = Some((net, Some(at), 0));
            }
        }
        let Some((net, door, reading)) = best else { break };
        // Taken back where that is likelier than not.
        if net < 0.0 {
            break;
        }
        if let Some(stretch) = door.map(|at| &doors[at]) {
            seen = turned(&seen, stretch);
            let (first, last) = (stretch.stations[0], stretch.stations[stretch.stations.len() - 1]);
            let before = done.doors.len();
            done.doors
                .retain(|d| d.stations != (first, last) || d.door != house.doors[stretch.door].text.label);
            // Turned back: it stood as noted after all.
            if done.doors.len() == before {
                let s = &seen.stations[first];
                done.doors.push(Turned {
                    door: house.doors[stretch.door].text.label.clone(),
                    open: s.setup.open[stretch.door],
                    visit: s.visit,
                    stations: (first, last),
                });
            }
        } else {
            seen.list[reading].noise_sd *= suspect::NO_WEIGHT;
            done.set_aside.push(reading);
        }
        let mut problem = Problem::new(house, &seen)?;
        now = solve::optimum_from(&mut problem, now.x.clone(), go)?;
    }
    let problem = Problem::new(house, &seen)?;
    let chi_square = now.squares - problem.fan_squares(&now.x);
    let degrees = problem.degrees_of_freedom() as f64 - done.set_aside.len() as f64;
    if degrees > 0.0 && crate::measure::chi_square_above(chi_square, degrees) <= PROBABLE {
        done.noise_factor = (chi_square / degrees).sqrt();
        for o in &mut seen.list {
            o.noise_sd *= done.noise_factor;
        }
        let mut problem = Problem::new(house, &seen)?;
        now = solve::optimum_from(&mut problem, now.x.clone(), go)?;
    }
    done.expected = done
        .set_aside
        .iter()
        .map(|at| match (now.rows[*at].expected, seen.list[*at].seen) {
            (pa, Seen::Pressure { .. }) => pa,
            (ln, _) => math::exp(ln),
        })
        .collect();
    let changed = !done.is_empty() || done.noise_factor > 1.0;
    Ok(changed.then_some((seen, now, done)))
}

/// The readings with a door turned over a stretch.
fn turned(seen: &Observations, stretch: &Stretch) -> Observations {
    let mut changed = seen.clone();
    for at in &stretch.stations {
        let open = &mut changed.stations[*at].setup.open[stretch.door];
        *open = !*open;
    }
    changed
}
