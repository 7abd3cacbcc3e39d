//! Which setup is expected to draw an appliance's zone down most, by the fitted house.
//!
//! The network of each draw is solved with everything off and open and then in each setup, calm and at the
//! temperatures of the visit; the difference is the net pressure that the test would find. It says where to
//! begin. It stands in for no reading: spillage and carbon monoxide are measured.

use super::guide::{setup_of, states};
use crate::house::air::{Air, TestFan};
use crate::house::{self, House};
use crate::measure::Estimate;
use crate::units::Quantity;
use serde::Serialize;

/// Draws of the house that each setup is solved in.
const DRAWS: usize = 60;

/// What the fit expects of one setup.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Expected {
    /// Zone less outdoors at the zone's floor, less the same with everything off and open, Pa.
    pub net: Estimate,
    /// Share of the draws in which no other setup is lower.
    pub lowest: f64,
}

/// Temperatures while it is tested.
#[derive(Clone, Debug, PartialEq)]
pub struct Weather {
    /// Each zone, K.
    pub zone_k: Vec<f64>,
    /// Outdoors, K.
    pub outdoor_k: f64,
    /// Barometric pressure, Pa.
    pub pressure_pa: f64,
}

/// What to expect of each of [`states`] for an appliance in `zone`, in their order; nothing where the
/// network could be solved in no draw.
pub fn expect(house: &House, draws: &[Vec<f64>], zone: usize, weather: &Weather) -> Option<Vec<Expected>> {
    let setups: Vec<house::Setup> = states(house, zone).iter().map(|s| setup_of(house, s)).collect();
    let rest = house::start(house);
    let floor_m = house.zones.get(zone)?.floor_m;
    let mut air = Air::new(house).ok()?;
    air.set_temperatures(&weather.zone_k, weather.outdoor_k, weather.pressure_pa);
    air.boundary.wind_pa.fill(0.0);
    let mut nets: Vec<Vec<f64>> = vec![Vec::new(); setups.len()];
    let mut lowest = vec![0_usize; setups.len()];
    let count = DRAWS.min(draws.len());
    for k in 0..count {
        let theta = &draws[k * draws.len() / count];
        let mut solve = |setup: &house::Setup| {
            air.set(house, theta, setup, TestFan::Off).ok()?;
            air.solve().ok()?;
            Some(air.pressure_between_pa(Some(zone), None, floor_m))
        };
        let Some(base) = solve(&rest) else { continue };
        let Some(all) = setups.iter().map(&mut solve).collect::<Option<Vec<f64>>>() else { continue };
        for (net, pa) in nets.iter_mut().zip(&all) {
            net.push(pa - base);
        }
        let first = (0..all.len()).min_by(|a, b| all[*a].total_cmp(&all[*b]));
        if let Some(first) = first {
            lowest[first] += 1;
        }
    }
    let solved = nets.first()?.len();
    (solved > 0).then(|| {
        nets.into_iter()
            .zip(lowest)
            .map(|(mut net, count)| {
                net.sort_by(f64::total_cmp);
                Expected {
                    net: Estimate::from_sorted_draws(&net, crate::fit::LEVEL, Quantity::Pressure),
                    lowest: count as f64 / solved as f64,
                }
            })
            .collect()
    })
}
