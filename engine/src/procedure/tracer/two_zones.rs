//! Exchange of air between two rooms and of each with outdoors, from both rooms' records.
//!
//! The two balances are solved exactly from row to row ([`crate::transport::exact`]) and fitted by
//! Levenberg and Marquardt's damped least squares with flows that cannot be negative. Whether the
//! records tell a flow is read off its interval: one record alone, or two that move together, do not.

use super::curve::widening;
use super::{Background, VolumeM3};
use crate::diag::{Diagnostic, code};
use crate::measure::{Estimate, Interval, NoInterval, student_t_two_sided};
use crate::procedure::field::{LEVEL, Note, Worked, around};
use crate::transport::{Exchange, exact};
use crate::units::Quantity;
use nalgebra::{DMatrix, DVector};
use serde::Serialize;

/// Rows that the fit needs.
const FEWEST: usize = 6;
const ROUNDS: usize = 120;

/// How air moves between the rooms.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Between {
    /// As much either way: an open door, an air handler that serves both.
    Equal,
    /// Each way its own flow.
    Free,
}

/// What was read. Arrays: the first room, the second.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked<'a> {
    /// Time of each row, s; rising.
    pub time_s: &'a [f64],
    /// Gas in each room, volume fraction; NaN in gaps.
    pub gas: [&'a [f64]; 2],
    /// Gas outdoors.
    pub background: Background,
    /// Volumes.
    pub volume_m3: [VolumeM3; 2],
    /// What is given off in each room, m3/s; steady.
    pub source_m3_s: [f64; 2],
    /// How air moves between the rooms.
    pub between: Between,
}

/// What follows. Arrays: the first room, the second.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TwoZones {
    /// Outdoor air into each room, m3/s.
    pub outdoor: [Told; 2],
    /// Air from the first room into the second, m3/s.
    pub across: Told,
    /// Air from the second into the first, where it is not the same.
    pub back: Option<Told>,
    /// Outdoor air into both rooms together, m3/s.
    pub outdoor_total: Told,
    /// Standard deviation of the readings about the fit, volume fraction.
    pub scatter: f64,
    /// Readings used of both rooms.
    pub used: usize,
    /// Gas of the fit in each room at each row, for drawing.
    #[serde(skip)]
    pub curves: [Vec<f64>; 2],
}

/// A flow, and whether the records tell it.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Told {
    /// The flow, m3/s.
    #[serde(flatten)]
    pub flow: Estimate,
    /// Whether its interval says anything.
    pub told: bool,
}

struct Problem<'a> {
    asked: &'a Asked<'a>,
    background: f64,
    /// Size of a flow and of a concentration, so that parameters are near one.
    flow: f64,
    gas: f64,
}

impl Problem<'_> {
    fn flows(&self) -> usize {
        match self.asked.between {
            Between::Equal => 3,
            Between::Free => 4,
        }
    }

    /// Gas in both rooms at every row. Parameters: outdoor air of each room, across (and back),
    /// gas of each room at the first row.
    fn curves(&self, p: &[f64]) -> [Vec<f64>; 2] {
        let n = self.flows();
        let [q1, q2, across] = [p[0], p[1], p[2]].map(|x| x * self.flow);
        let back = if n == 4 { p[3] * self.flow } else { across };
        let capacity = [self.asked.volume_m3[0].0, self.asked.volume_m3[1].0];
        let mut exchange = Exchange::new(2);
        // Everything relative to outdoors: outdoor air brings nothing.
        exchange.transfer[1] = across;
        exchange.transfer[2] = back;
        // As much leaves a room as enters it.
        exchange.lost = vec![q1 + back - across, q2 + across - back];
        exchange.input = self.asked.source_m3_s.to_vec();
        let mut out = [Vec::new(), Vec::new()];
        let mut now = [p[n] * self.gas, p[n + 1] * self.gas];
        // One exponential a step length: start from nothing, and from one in each room.
        let mut known: Vec<(f64, [[f64; 2]; 3])> = Vec::new();
        let mut last_s = None;
        for time_s in self.asked.time_s {
            let step_s = last_s.map_or(0.0, |last| time_s - last);
            last_s = Some(*time_s);
            if step_s > 0.0 {
                let found = known.iter().find(|k| (k.0 - step_s).abs() < 1e-9 * step_s).map(|k| k.1);
                let step = found.unwrap_or_else(|| {
                    let mut ends = [[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]];
                    let mut linear = exchange.clone();
                    for (i, end) in ends.iter_mut().enumerate() {
                        if i == 1 {
                            linear.input.fill(0.0);
                        }
                        exact(step_s, &capacity, &linear, end);
                    }
                    known.push((step_s, ends));
                    ends
                });
                let [rest, one, two] = step;
                now = [0, 1].map(|i| rest[i] + one[i] * now[0] + two[i] * now[1]);
            }
            for (room, value) in out.iter_mut().zip(now) {
                room.push(value + self.background);
            }
        }
        out
    }

    fn residuals(&self, p: &[f64]) -> DVector<f64> {
        let curves = self.curves(p);
        let mut r = Vec::new();
        for (curve, gas) in curves.iter().zip(self.asked.gas) {
            r.extend(curve.iter().zip(gas).filter(|(_, g)| g.is_finite()).map(|(c, g)| (g - c) / self.gas));
        }
        DVector::from_vec(r)
    }

    fn jacobian(&self, p: &[f64]) -> DMatrix<f64> {
        let n = p.len();
        let mut columns = Vec::with_capacity(n);
        for i in 0..n {
            let step = 1e-5 * p[i].abs().max(1e-2);
            let (mut up, mut down) = (p.to_vec(), p.to_vec());
            up[i] += step;
            // A flow cannot be negative: one-sided at zero.
            down[i] = if i < self.flows() { (p[i] - step).max(0.0) } else { p[i] - step };
            let width = up[i] - down[i];
            columns.push((self.residuals(&up) - self.residuals(&down)) / width);
        }
        DMatrix::from_columns(&columns)
    }

    fn solve(&self, start: Vec<f64>) -> (Vec<f64>, f64) {
        let mut p = start;
        let mut residuals = self.residuals(&p);
        let mut cost = residuals.norm_squared();
        let mut damping = 1e-3;
        for _ in 0..ROUNDS {
            let jacobian = self.jacobian(&p);
            let normal = jacobian.transpose() * &jacobian;
            let mut slope = jacobian.transpose() * &residuals;
            // A flow at zero that wants to be negative stays there.
            let held: Vec<bool> =
                (0..p.len()).map(|i| i < self.flows() && p[i] <= 0.0 && slope[i] > 0.0).collect();
            let mut better = false;
            for _ in 0..12 {
                let mut damped = normal.clone();
                for i in 0..p.len() {
                    damped[(i, i)] += damping * normal[(i, i)].max(1e-12);
                    if held[i] {
                        for j in 0..p.len() {
                            damped[(i, j)] = 0.0;
                            damped[(j, i)] = 0.0;
                        }
                        damped[(i, i)] = 1.0;
                        slope[i] = 0.0;
                    }
                }
                let Some(step) = damped.lu().solve(&slope) else { break };
                let flows = self.flows();
                let moved =
                    |(i, x): (usize, &f64)| if i < flows { (x - step[i]).max(0.0) } else { x - step[i] };
                let next: Vec<f64> = p.iter().enumerate().map(moved).collect();
                let after = self.residuals(&next);
                let there = after.norm_squared();
                if there < cost {
                    let gain = (cost - there) / cost.max(f64::MIN_POSITIVE);
                    (p, residuals, cost) = (next, after, there);
                    damping *= 0.2;
                    better = gain > 1e-12;
                    break;
                }
                damping *= 5.0;
            }
            if !better {
                break;
            }
        }
        (p, cost)
    }

    /// The best of several starts: slow and fast exchange with each other and with outdoors.
    fn best(&self) -> Option<(Vec<f64>, f64)> {
        let first = |gas: &[f64]| gas.iter().find(|g| g.is_finite()).map_or(0.0, |g| g - self.background);
        let starts = [first(self.asked.gas[0]) / self.gas, first(self.asked.gas[1]) / self.gas];
        let mut best: Option<(Vec<f64>, f64)> = None;
        for outdoor in [0.1, 1.0] {
            for across in [0.05, 0.5, 5.0] {
                let mut p = vec![outdoor; 2];
                p.extend(vec![across; self.flows() - 2]);
                p.extend(starts);
                let (p, cost) = self.solve(p);
                if cost.is_finite() && best.as_ref().is_none_or(|b| cost < b.1) {
                    best = Some((p, cost));
                }
            }
        }
        best
    }
}

/// Works it.
///
/// Balance of each room with constant flows: `V1 dc1/dt = q1 (c_out - c1) + m (c2 - c1) + G1`, and
/// the same for the second (mass balance of Batterman 2017 for two rooms). Intervals: Student's t on
/// the linearised fit, widened where neighbouring residuals are alike, with the background's and
/// the volumes' intervals in quadrature. A flow is told where its interval is narrower than the
/// flow itself, or ends below half of all flows together.
///
/// Errors: A101 too few rows, A110 no fit.
///
/// ```
/// use engine::procedure::tracer::{Background, two_zones::{Asked, Between, evaluate}};
/// // 35 and 365 m3, 300 m3/h each way, no outdoor air (closed form).
/// let time_s: Vec<f64> = (0..40).map(|i| 60.0 * f64::from(i)).collect();
/// let at = |t: f64, v: f64| 766.25 + v * (-9.393346 * t / 3600.0).exp();
/// let first: Vec<f64> = time_s.iter().map(|t| at(*t, 1733.75) * 1e-6).collect();
/// let second: Vec<f64> = time_s.iter().map(|t| at(*t, -166.25) * 1e-6).collect();
/// let rooms = evaluate(&Asked {
///     time_s: &time_s,
///     gas: [&first, &second],
///     background: Background { value: 420e-6, half: None },
///     volume_m3: [(35.0, 0.0), (365.0, 0.0)],
///     source_m3_s: [0.0, 0.0],
///     between: Between::Equal,
/// }).unwrap();
/// assert!((rooms.across.flow.si * 3600.0 - 300.0).abs() < 0.5);
/// assert!(rooms.outdoor_total.flow.si * 3600.0 < 0.5);
/// ```
pub fn evaluate(asked: &Asked<'_>) -> Result<TwoZones, Diagnostic> {
    let rows = |gas: &[f64]| gas.iter().filter(|g| g.is_finite()).count();
    let found = rows(asked.gas[0]).min(rows(asked.gas[1]));
    if found < FEWEST {
        return Err(Diagnostic::error(code::A101).arg("found", found).arg("needed", FEWEST));
    }
    let all = || asked.gas.iter().flat_map(|g| g.iter().copied());
    let highest = crate::math::max_valid(all()).unwrap_or(0.0) - asked.background.value;
    let lowest = crate::math::min_valid(all()).unwrap_or(0.0) - asked.background.value;
    let problem = |background: f64| Problem {
        asked,
        background,
        flow: (asked.volume_m3[0].0 + asked.volume_m3[1].0) / 3600.0,
        gas: highest.abs().max(lowest.abs()).max(f64::MIN_POSITIVE),
    };
    let at = problem(asked.background.value);
    let failed = || Diagnostic::error(code::A110);
    let (p, cost) = at.best().ok_or_else(failed)?;
    let residuals = at.residuals(&p);
    let used = residuals.len();
    let dof = used.checked_sub(p.len()).filter(|d| *d > 0).ok_or_else(failed)?;
    let scatter = (cost / dof as f64).sqrt();
    let first = rows(asked.gas[0]);
    let widened = widening(&residuals.as_slice()[..first]).max(widening(&residuals.as_slice()[first..]));
    let jacobian = at.jacobian(&p);
    let normal = jacobian.transpose() * &jacobian;
    let covariance = invert(&normal);
    let k = student_t_two_sided(LEVEL, dof as f64) * scatter * widened;
    let moved: Vec<Vec<f64>> = (asked.background.half.filter(|h| *h > 0.0))
        .map(|half| {
            [-half, half].iter().map(|h| problem(asked.background.value + h).solve(p.clone()).0).collect()
        })
        .unwrap_or_default();
    let volume_share = asked.volume_m3.iter().map(|v| v.1 / v.0).fold(0.0, f64::max);
    let flows = at.flows();
    let sum: f64 = p[..flows].iter().sum::<f64>() * at.flow;
    let told = |weights: &[f64]| {
        let dot = |p: &[f64]| weights.iter().zip(p).map(|(w, x)| w * x).sum::<f64>();
        let value = dot(&p) * at.flow;
        let variance = covariance.as_ref().map(|c| {
            let w =
                DVector::from_iterator(p.len(), (0..p.len()).map(|i| weights.get(i).copied().unwrap_or(0.0)));
            (w.transpose() * c * &w)[0]
        });
        let by_background = moved.iter().map(|m| (dot(m) - dot(&p)).abs() * at.flow).fold(0.0, f64::max);
        let half = variance.filter(|v| v.is_finite() && *v >= 0.0).map(|v| {
            let parts = [k * v.sqrt() * at.flow, by_background, value * volume_share];
            parts.iter().map(|x| x * x).sum::<f64>().sqrt()
        });
        let mut flow = match half {
            Some(_) => around(value, half, Quantity::AirFlow),
            None => Estimate::without(value, Quantity::AirFlow, NoInterval::NotComputed),
        };
        if let Interval::Range { lo, .. } = &mut flow.interval {
            *lo = lo.max(0.0);
        }
        let told = half.is_some_and(|h| h < value || value + h < 0.5 * sum);
        Told { flow, told }
    };
    let unit = |at: usize| (0..flows).map(|i| if i == at { 1.0 } else { 0.0 }).collect::<Vec<f64>>();
    Ok(TwoZones {
        outdoor: [told(&unit(0)), told(&unit(1))],
        across: told(&unit(2)),
        back: (asked.between == Between::Free).then(|| told(&unit(3))),
        outdoor_total: told(&[1.0, 1.0]),
        scatter: scatter * at.gas,
        used,
        curves: at.curves(&p),
    })
}

/// The inverse of a normal matrix scaled to a unit diagonal; nothing where the data leave a
/// direction open.
fn invert(normal: &DMatrix<f64>) -> Option<DMatrix<f64>> {
    let n = normal.nrows();
    let scale: Vec<f64> = (0..n).map(|i| 1.0 / normal[(i, i)].sqrt()).collect();
    if scale.iter().any(|s| !s.is_finite()) {
        return None;
    }
    let scaled = DMatrix::from_fn(n, n, |i, j| normal[(i, j)] * scale[i] * scale[j]);
    let inverse = scaled.cholesky()?.inverse();
    Some(DMatrix::from_fn(n, n, |i, j| inverse[(i, j)] * scale[i] * scale[j]))
}

impl TwoZones {
    /// In the shape of all tests; `names` are the rooms'.
    pub fn worked(&self, names: [&str; 2]) -> Worked {
        let mut worked = Worked::default();
        let [first, second] = names;
        let mut untold = Vec::new();
        let mut figure = |id: &'static str, of: &str, told: &Told| {
            if told.told {
                worked.figure_of(id, of, told.flow);
            } else {
                untold.push((id, of.to_owned()));
            }
        };
        let way = format!("{first} \u{2192} {second}");
        match &self.back {
            None => figure("figure-exchange-flow", &format!("{first} \u{2194} {second}"), &self.across),
            Some(back) => {
                figure("figure-exchange-flow", &way, &self.across);
                figure("figure-exchange-flow", &format!("{second} \u{2192} {first}"), back);
            }
        }
        figure("figure-zone-outdoor-air", first, &self.outdoor[0]);
        figure("figure-zone-outdoor-air", second, &self.outdoor[1]);
        figure("figure-zone-outdoor-air", &format!("{first} + {second}"), &self.outdoor_total);
        for (id, of) in untold {
            let note = Note::caution(match id {
                "figure-exchange-flow" => "note-exchange-untold",
                _ => "note-outdoor-untold",
            });
            worked.notes.push(note.arg("of", of.replace('_', " ")));
        }
        let scatter = (self.scatter, Quantity::GasFraction);
        worked.notes.push(Note::new("note-two-zones-scatter").arg("scatter", scatter));
        worked
    }
}
