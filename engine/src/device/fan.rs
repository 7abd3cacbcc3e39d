//! Fans as machines: electric power where they work, and what a hood catches at its flow.
//!
//! `P = Q dp / eta` from an efficiency of fan, drive and motor together, or points of power over flow
//! carried by the fan laws (flow with the speed, power with its cube and the density).
//! The flow and the rise come from the network: [`crate::network::Network::working`].

/// Where a fan's electric power comes from.
#[derive(Clone, Debug, PartialEq)]
pub enum Electric {
    /// The same wherever it works, W.
    Watts(f64),
    /// Air power over electric power, above 0 and at most 1.
    Efficiency(f64),
    /// Power (W) over flow (m3/s) at full speed, by ascending flow.
    Points(Vec<(f64, f64)>),
}

/// Electric power of a fan that moves `flow_m3_s` against `rise_pa`, W.
///
/// `speed` is that over the speed the points are stated for, `density_ratio` the density over theirs.
///
/// ```
/// use engine::device::fan::{Electric, watts};
/// // 0.5 m3/s against 125 Pa at 40 %: 156 W; at half the speed an eighth of the points' power.
/// assert!((watts(&Electric::Efficiency(0.4), 0.5, 125.0, 1.0, 1.0) - 156.25).abs() < 1e-9);
/// let points = Electric::Points(vec![(0.1, 40.0), (0.2, 60.0)]);
/// assert!((watts(&points, 0.075, 30.0, 0.5, 1.0) - 50.0 / 8.0).abs() < 1e-9);
/// ```
pub fn watts(electric: &Electric, flow_m3_s: f64, rise_pa: f64, speed: f64, density_ratio: f64) -> f64 {
    match electric {
        Electric::Watts(w) => *w,
        // A fan that the pressure drives takes nothing.
        Electric::Efficiency(eta) => (flow_m3_s * rise_pa / eta).max(0.0),
        Electric::Points(points) => density_ratio * speed * speed * speed * along(points, flow_m3_s / speed),
    }
}

/// Share of what is cooked that a hood catches at a flow, from points of (flow m3/s, capture) by
/// ascending flow; straight between them, from none at no flow to the first, constant beyond the last.
///
/// ```
/// use engine::device::fan::capture;
/// assert!((capture(&[(0.05, 0.5), (0.1, 0.7)], 0.075) - 0.6).abs() < 1e-12);
/// assert!((capture(&[(0.05, 0.5), (0.1, 0.7)], 0.025) - 0.25).abs() < 1e-12);
/// assert!((capture(&[(0.05, 0.5), (0.1, 0.7)], 0.3) - 0.7).abs() < 1e-12);
/// ```
pub fn capture(points: &[(f64, f64)], flow_m3_s: f64) -> f64 {
    let from_none: Vec<(f64, f64)> = std::iter::once((0.0, 0.0)).chain(points.iter().copied()).collect();
    along(&from_none, flow_m3_s).clamp(0.0, 1.0)
}

/// Range-hood capture over flow (m3/s): the pairs that the 2022 California Energy Code, Table 150.0-G,
/// takes as equal for a hood over a range (110 to 280 cfm); from memory, for comparison only.
pub const CAPTURE_BY_FLOW: [(f64, f64); 6] = [
    (0.051_914, 0.50),
    (0.061_353, 0.55),
    (0.075_512, 0.65),
    (0.084_950, 0.70),
    (0.117_987, 0.80),
    (0.132_145, 0.85),
];

/// Straight between points, constant beyond them; zero without any.
fn along(points: &[(f64, f64)], x: f64) -> f64 {
    let (Some(first), Some(last)) = (points.first(), points.last()) else { return 0.0 };
    if x <= first.0 {
        return first.1;
    }
    let between = points.windows(2).find(|p| x <= p[1].0);
    between.map_or(last.1, |p| p[0].1 + (p[1].1 - p[0].1) * (x - p[0].0) / (p[1].0 - p[0].0))
}
