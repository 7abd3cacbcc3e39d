//! Fans that ran at once: their flows together, and what the errors of their gauges do to the curve.

use super::input::Station;
use super::spread::half_width_of_limit;
use crate::math;
use crate::procedure::instrument::{AirAtTest, FlowError, FlowGauge, Leakage};
use crate::units::Accuracy;

/// What the fans of one station moved.
pub(super) struct Together {
    pub(super) leakage: Leakage,
    /// Share of each fan in it; they sum to 1.
    pub(super) shares: Vec<f64>,
}

/// A reading that gives no flow. No fan is named where all were sealed.
pub(super) struct Refused {
    pub(super) fan: Option<usize>,
    pub(super) error: FlowError,
}

/// Adds up what the fans of a station moved, each by its own gauge. Of several fans, one that shows
/// zero was sealed. `station.fans` and `gauges` are equally long.
pub(super) fn together(
    gauges: &[FlowGauge],
    station: &Station,
    air: &AirAtTest,
) -> Result<Together, Refused> {
    let mut sum: Option<Leakage> = None;
    let mut flows_m3_s = Vec::with_capacity(gauges.len());
    for (fan, (gauge, reading)) in gauges.iter().zip(&station.fans).enumerate() {
        if gauges.len() > 1 && reading.shown == 0.0 {
            flows_m3_s.push(0.0);
            continue;
        }
        let refused = |error| Refused { fan: Some(fan), error };
        let leakage = gauge.leakage(*reading, station.direction, air).map_err(refused)?;
        flows_m3_s.push(leakage.m3_s());
        sum = Some(match sum {
            None => leakage,
            Some(others) => others.with(leakage).map_err(refused)?,
        });
    }
    let none = Refused { fan: None, error: FlowError::NotPositive { shown: 0.0 } };
    let leakage = sum.ok_or(none)?;
    let shares = flows_m3_s.iter().map(|q| q / leakage.m3_s()).collect();
    Ok(Together { leakage, shares })
}

/// The fans of a run: shares at each station and accuracy of each gauge.
#[derive(Clone, Copy)]
pub(super) struct Fans<'a> {
    /// At each station, the share of each fan.
    pub(super) shares: &'a [Vec<f64>],
    /// Stated accuracy of each fan's gauge, m3/s.
    pub(super) accuracy: &'a [Option<Accuracy>],
    /// All fans' flow at each station, m3/s.
    pub(super) flow_m3_s: &'a [f64],
}

impl Fans<'_> {
    fn share(&self, station: usize, fan: usize) -> f64 {
        self.shares.get(station).and_then(|s| s.get(fan)).copied().unwrap_or(0.0)
    }

    /// Geometric mean of a fan's own flow over the stations at which it ran, m3/s.
    fn own_flow_m3_s(&self, fan: usize, stations: impl Iterator<Item = usize>) -> Option<f64> {
        let (mut sum, mut count) = (0.0, 0_usize);
        for station in stations {
            let share = self.share(station, fan);
            if share > 0.0 {
                sum += math::ln(share * self.flow_m3_s[station]);
                count += 1;
            }
        }
        (count > 0).then(|| math::exp(sum / count as f64))
    }

    /// 95 % half width of ln flow by the gains of the fans' gauges, where each station of the list has
    /// the weight beside it in that logarithm; nothing where a fan that ran has no stated accuracy.
    ///
    /// A gain `g` of one gauge moves ln flow of a station by its fan's share times `g`. The errors of
    /// different gauges are independent: their effects join as the root of the sum of squares.
    pub(super) fn gain(&self, weights: &[(usize, f64)]) -> Option<f64> {
        let mut sum2 = 0.0;
        for (fan, accuracy) in self.accuracy.iter().enumerate() {
            let Some(own_m3_s) = self.own_flow_m3_s(fan, weights.iter().map(|w| w.0)) else { continue };
            let gain = half_width_of_limit((*accuracy)?.limit(own_m3_s)) / own_m3_s;
            let moved = gain * self.weighted_share(fan, weights);
            sum2 += moved * moved;
        }
        Some(sum2.sqrt())
    }

    /// Share of a fan in the flow that these weights give.
    pub(super) fn weighted_share(&self, fan: usize, weights: &[(usize, f64)]) -> f64 {
        weights.iter().map(|(station, weight)| weight * self.share(*station, fan)).sum()
    }

    /// Relative half width of each fan's stated accuracy at its own mean flow; nothing for a fan that
    /// never ran, and nothing inside where none is stated.
    pub(super) fn own_accuracy(&self, fan: usize) -> Option<Option<f64>> {
        let own_m3_s = self.own_flow_m3_s(fan, 0..self.shares.len())?;
        let accuracy = self.accuracy.get(fan).copied().flatten();
        Some(accuracy.map(|a| half_width_of_limit(a.limit(own_m3_s)) / own_m3_s))
    }
}
