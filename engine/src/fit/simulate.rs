//! Made-up readings from a house whose truth is known: for the demonstration house, for coverage
//! tests and for teaching.
//!
//! The same observations, stations and instruments as a real visit; instrument errors and wind are
//! drawn from their stated sizes, each reading gets its own noise.

use super::observe::Observations;
use super::problem::{FitError, Problem, Row};
use crate::house::House;
use crate::math;
use crate::rng::Stream;

/// Pressure of a test fan where none was read, Pa.
const TARGET_PA: f64 = 50.0;

/// Replaces every reading's value by what the instruments would have shown in the house `theta`.
///
/// A station with a test fan is brought to the pressure that stands in `seen` for its fan zone
/// against outdoors, -50 Pa (or 50 Pa) where none was read. A reading noted as below the range is
/// below it again only where the instrument would have shown less than its limit.
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
    for station in 0..seen.stations.len() {
        let Some(fan) = problem.fan_of(station) else { continue };
        x[fan] = math::ln(fan_pa(&problem, station, &x));
    }
    let mut rows: Vec<Row> = Vec::new();
    problem.rows(&x, false, &mut rows)?;
    let mut made = seen.clone();
    for (o, row) in made.list.iter_mut().zip(&rows) {
        let shown = row.expected + o.noise_sd * stream.normal();
        // Below its range the instrument shows only its lower limit.
        o.below = o.below && shown < o.value;
        if !o.below {
            o.value = shown;
        }
    }
    Ok(made)
}

/// The pressure a station's test fan makes when its gauge shows the target, Pa, positive.
fn fan_pa(problem: &Problem<'_>, station: usize, x: &[f64]) -> f64 {
    let at_station = problem.seen.list.iter().filter(|o| o.station == station);
    let target = at_station.filter_map(|o| {
        let sign = problem.shows_fan(o)?;
        let (gain, offset) = problem.shared_errors(o, x);
        Some(sign * (o.value - offset) / (1.0 + gain))
    });
    // A target that the gauge's own error turns round is not one a fan can be set to.
    target.into_iter().find(|pa| *pa > 1.0).unwrap_or(TARGET_PA)
}
