//! Air exchange from a gas that the air carries: CO2 of people, or a tracer let out.
//!
//! A well-mixed room obeys `V dc/dt = Q (c_out - c) + G` (Batterman 2017). Without a source the
//! excess over outdoors decays with the rate `Q / V` ([`decay`]); with a steady one it approaches
//! `c_out + G / Q` ([`rise`], [`steady`]). Two rooms share air ([`two_zones`]); in a long record
//! decays are looked for ([`search`]). Concentrations are volume fractions, but every rate is the
//! same in any unit. What these tests cannot see: a room that is not mixed, a source that was
//! forgotten, air from a neighbour taken for air from outdoors.

pub mod curve;
pub mod decay;
pub mod rise;
pub mod search;
pub mod steady;
pub mod two_zones;

use crate::measure::Estimate;
use crate::units::{Accuracy, Quantity};
use serde::Serialize;

/// The gas outdoors, and how well it is known.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Background {
    /// Volume fraction.
    pub value: f64,
    /// Half width of its 95 % interval, where something says it.
    pub half: Option<f64>,
}

impl Background {
    /// From one or several readings outdoors, and from what is stated of the instruments.
    ///
    /// Read with the instrument of the room, its offset and gain are in both and cancel in the
    /// excess; what is left is the scatter of the readings or the step of the display. Read or
    /// known otherwise, the room's instrument errs against it by its own stated limit. Nothing
    /// where no reading stands there.
    pub fn read(
        readings: &[f64],
        same_instrument: bool,
        stated: Option<f64>,
        room: Option<Accuracy>,
        own: Option<Accuracy>,
        step: f64,
    ) -> Option<Background> {
        let n = readings.len() as f64;
        if readings.is_empty() {
            return None;
        }
        let value = readings.iter().sum::<f64>() / n;
        let scatter = (readings.len() > 1).then(|| {
            let variance = readings.iter().map(|r| (r - value) * (r - value)).sum::<f64>() / (n - 1.0);
            crate::measure::student_t_two_sided(0.95, n - 1.0) * (variance / n).sqrt()
        });
        let mut parts: Vec<f64> = scatter.into_iter().chain(stated).collect();
        if same_instrument {
            // Half a step either way.
            parts.push(0.5 * step);
        } else {
            parts.extend(own.map(|a| a.limit(value)));
            parts.extend(room.map(|a| a.limit(value)));
        }
        let known = scatter.is_some() || stated.is_some() || own.is_some() || (same_instrument && step > 0.0);
        let half = known.then(|| parts.iter().map(|p| p * p).sum::<f64>().sqrt());
        Some(Background { value, half })
    }
}

/// A volume and the half width of its 95 % interval (zero where nobody stated one), m3.
pub type VolumeM3 = (f64, f64);

/// Flow from a rate and a volume, m3/s; the two are independent.
pub(crate) fn flow(rate: Estimate, volume_m3: VolumeM3) -> Estimate {
    let mut flow = rate.scaled(volume_m3.0, Quantity::AirFlow);
    if let crate::measure::Interval::Range { lo, hi, .. } = &mut flow.interval {
        let of_volume = rate.si * volume_m3.1;
        let wider = |half: f64| (half * half + of_volume * of_volume).sqrt();
        *lo = flow.si - wider(flow.si - *lo);
        *hi = flow.si + wider(*hi - flow.si);
    }
    flow
}
