//! Relative exposure: how much more of a steady source people breathe under a schedule than under
//! steady air at the required rate.
//!
//! The recursion is the solution over a step of `V dR/dt = Q_tot - Q R`: a balance with constant
//! emission, so it is right by construction; ASHRAE 62.2 Appendix C prints the same (from memory).

use crate::math;
use serde::Serialize;

/// The air that dilutes, and the step of the schedule.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Air {
    /// Air volume, m3.
    pub volume_m3: f64,
    /// Length of a step, s.
    pub step_s: f64,
}

/// Relative exposure at the end of a step that starts at `before` with this flow.
///
/// ```
/// use engine::procedure::ventilation::exposure::{Air, next};
/// // 16 000 ft3, 90 cfm required, one hour without air: 1 -> 1.3375.
/// let (ft3, cfm) = (0.3048_f64.powi(3), 0.3048_f64.powi(3) / 60.0);
/// let air = Air { volume_m3: 16e3 * ft3, step_s: 3600.0 };
/// assert!((next(1.0, 0.0, 90.0 * cfm, air) - 1.3375).abs() < 1e-12);
/// ```
pub fn next(before: f64, flow_m3_s: f64, total_m3_s: f64, air: Air) -> f64 {
    if flow_m3_s <= 0.0 {
        return before + total_m3_s * air.step_s / air.volume_m3;
    }
    let rest = total_m3_s / flow_m3_s;
    rest + (before - rest) * math::exp(-flow_m3_s * air.step_s / air.volume_m3)
}

/// Mean over a step that starts at `before`.
fn mean_over(before: f64, flow_m3_s: f64, total_m3_s: f64, air: Air) -> f64 {
    let changes = flow_m3_s * air.step_s / air.volume_m3;
    let after = next(before, flow_m3_s, total_m3_s, air);
    if changes < 1e-9 {
        return (before + after) / 2.0;
    }
    // From the balance itself: V (R1 - R0) = Q_tot dt - Q dt mean.
    (total_m3_s * air.step_s - air.volume_m3 * (after - before)) / (flow_m3_s * air.step_s)
}

/// What a schedule comes to.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Exposure {
    /// Mean over the schedule, once it repeats itself.
    pub mean: f64,
    /// Highest value.
    pub peak: f64,
}

/// Relative exposure under flows that repeat, one a step, from the state that repeats with them.
///
/// Nothing where no step has any air: then it rises without end.
pub fn cyclic(flows_m3_s: &[f64], total_m3_s: f64, air: Air) -> Option<Exposure> {
    // One cycle is R -> g R + c; the state that repeats is c / (1 - g).
    let gain = math::exp(-flows_m3_s.iter().map(|q| q.max(0.0)).sum::<f64>() * air.step_s / air.volume_m3);
    if gain >= 1.0 || gain.is_nan() {
        return None;
    }
    let from_zero = flows_m3_s.iter().fold(0.0, |r, q| next(r, *q, total_m3_s, air));
    let mut r = from_zero / (1.0 - gain);
    let (mut sum, mut peak) = (0.0, r);
    for q in flows_m3_s {
        sum += mean_over(r, *q, total_m3_s, air);
        r = next(r, *q, total_m3_s, air);
        peak = peak.max(r);
    }
    Some(Exposure { mean: sum / flows_m3_s.len() as f64, peak })
}

/// The steady flow with the same mean exposure as flows that repeat, m3/s; zero without any air.
///
/// ```
/// use engine::procedure::ventilation::exposure::{Air, steady_equivalent_m3_s};
/// let air = Air { volume_m3: 400.0, step_s: 3600.0 };
/// assert!((steady_equivalent_m3_s(&[0.03, 0.03], air) - 0.03).abs() < 1e-12);
/// // The same air in one half of the day only does less.
/// assert!(steady_equivalent_m3_s(&[[0.06; 12], [0.0; 12]].concat(), air) < 0.02);
/// ```
pub fn steady_equivalent_m3_s(flows_m3_s: &[f64], air: Air) -> f64 {
    // The exposure is proportional to the total it is relative to; any will do.
    cyclic(flows_m3_s, 1.0, air).map_or(0.0, |e| 1.0 / e.mean)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rng::Stream;

    /// Whatever the schedule: more air never raises the exposure, the steady equivalent never exceeds
    /// the mean flow, and the peak is not below the mean.
    #[test]
    fn laws_of_any_schedule() {
        let mut rng = Stream::new(11, "schedules");
        for _ in 0..300 {
            let air =
                Air { volume_m3: 100.0 + 600.0 * rng.uniform(), step_s: 600.0 + 3000.0 * rng.uniform() };
            let flows: Vec<f64> = (0..24).map(|_| (0.12 * rng.uniform() - 0.04).max(0.0)).collect();
            let more: Vec<f64> = flows.iter().map(|q| q + 0.01 * rng.uniform()).collect();
            let (a, b) = (cyclic(&flows, 0.04, air).unwrap(), cyclic(&more, 0.04, air).unwrap());
            assert!(b.mean <= a.mean && b.peak <= a.peak + 1e-12 && a.peak >= a.mean, "{a:?} {b:?}");
            let mean = flows.iter().sum::<f64>() / 24.0;
            assert!(steady_equivalent_m3_s(&flows, air) <= mean * (1.0 + 1e-12));
        }
        assert_eq!(cyclic(&[0.0; 24], 0.04, Air { volume_m3: 400.0, step_s: 3600.0 }), None);
    }
}
