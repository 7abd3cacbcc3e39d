//! Made-up readings from a house whose truth is known: for the demonstration house, for coverage
//! tests and for teaching.
//!
//! The same observations, stations and instruments as a real visit; instrument errors and wind are
//! drawn from their stated sizes, each reading gets its own noise.

use super::observe::{Observations, Seen};
use super::problem::{FitError, Problem, Row};
use crate::house::House;
use crate::rng::Stream;

/// Replaces every reading's value by what the instruments would have shown in the house `theta`.
///
/// A station with a test fan is brought to the pressure that stands in `seen` for its fan zone
/// against outdoors, -50 Pa (or 50 Pa) where none was read.
///
/// # Errors
/// [`FitError`] where a station cannot be solved.
pub fn readings(
    house: &House,
    seen: &Observations,
    theta: &[f64],
    seed: u64,
) -> Result<Observations, FitError> {
    let mut problem = Problem::new(house, seen)?;
    let mut stream = Stream::new(seed, "readings");
    let mut x: Vec<f64> = (0..problem.len())
        .map(|i| {
            let (mean, sd) = problem.prior(i);
            mean + sd * stream.normal()
        })
        .collect();
    x[problem.first_house..].copy_from_slice(theta);
    let mut rows: Vec<Row> = Vec::new();
    // Bring each test fan to its target: the flow grows with the pressure, so bisection is certain.
    let mut probe = seen.clone();
    for station in 0..seen.stations.len() {
        let Some(fan) = problem.fan_of(station) else { continue };
        let (at, target) = target_pa(seen, &mut probe, station);
        // The unknowns depend on stations and instruments only: one vector serves both problems.
        let mut low = -9.0;
        let mut high = 3.0;
        let mut searching = Problem::new(house, &probe)?;
        for _ in 0..60 {
            x[fan] = 0.5 * (low + high);
            // Strong flows may have no solution within bounds; they are too strong.
            let reached = match searching.rows(&x, false, &mut rows) {
                Ok(()) => rows[at].expected.abs() >= f64::abs(target),
                Err(_) => true,
            };
            if reached {
                high = x[fan];
            } else {
                low = x[fan];
            }
        }
        probe = seen.clone();
    }
    problem.rows(&x, false, &mut rows)?;
    let mut made = seen.clone();
    for (o, row) in made.list.iter_mut().zip(&rows) {
        o.value = row.expected + o.noise_sd * stream.normal();
    }
    Ok(made)
}

/// The observation that tells a station's house pressure and the pressure it is brought to. Where
/// nothing was read, an observation is added to `probe`.
fn target_pa(seen: &Observations, probe: &mut Observations, station: usize) -> (usize, f64) {
    let s = &seen.stations[station];
    let found = seen.list.iter().position(|o| {
        o.station == station
            && matches!(o.seen, Seen::Pressure { feels, against }
                if (feels.zone == s.fan_zone && against.zone.is_none())
                    || (against.zone == s.fan_zone && feels.zone.is_none()))
    });
    match found {
        Some(at) => (at, seen.list[at].value),
        None => {
            let tap = |zone| super::observe::Tap { zone, z_m: 1.5 };
            probe.list.push(super::observe::Observation {
                station,
                seen: Seen::Pressure { feels: tap(s.fan_zone), against: tap(None) },
                value: -50.0,
                noise_sd: 1.0,
                below: false,
                instrument: None,
                span: crate::diag::Span::new("", 0..0),
            });
            (probe.list.len() - 1, -50.0)
        }
    }
}
