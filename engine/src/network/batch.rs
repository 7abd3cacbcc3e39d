//! Many houses of one shape at once: one in each lane of the processor.
//!
//! Problem: draws of a house's parameters, plans and setups are the same graph with other numbers.
//! Each case may differ in everything but the graph: coefficients, exponents, heights, kinds of
//! passages, boundary, start. A case's answer has the bits that [`solve_into`](super::solve_into)
//! gives for it alone, whatever stands beside it and whatever the processor.

use super::columns::Leaks;
use super::core::Core;
use super::error::{Given, SolveError};
use super::newton;
use super::shape::Shape;
use super::solve::{Solution, TOLERANCE};
use super::{Boundary, Network};
use crate::math::lanes::Level;
use std::sync::Arc;

/// One network to solve.
#[derive(Clone, Copy, Debug)]
pub struct Case<'a> {
    /// The network; its graph is that of the batch.
    pub network: &'a Network,
    /// Densities, wind and held pressures.
    pub boundary: &'a Boundary,
    /// Reference pressures to start from, Pa; see [`solve_into`](super::solve_into).
    pub start: Option<&'a [f64]>,
}

impl Case<'_> {
    pub(super) fn check_start(&self) -> Result<(), SolveError> {
        let Some(start) = self.start else { return Ok(()) };
        let (given, expected, found) = (Given::Start, self.network.zone_count(), start.len());
        if found != expected {
            return Err(SolveError::WrongLength { given, expected, found });
        }
        match start.iter().position(|p| !p.is_finite()) {
            Some(index) => Err(SolveError::BadNumber { given, index, value: start[index] }),
            None => Ok(()),
        }
    }
}

/// Memory for solving networks of one graph, several at a time.
///
/// ```
/// use engine::network::*;
/// // How far do draws of a leak's coefficient spread the pressure that a bath fan makes?
/// let outdoors = Node::Outdoors { wind: 0 };
/// let kinds = [Kind::Leak { c_m3_s_pan: 0.01, n: 0.65 }, Kind::Fixed { kg_s: 0.030 * 1.2041 }];
/// let [leak, fan] = kinds.map(|kind| Passage { a: Node::Zone(0), b: outdoors, z_m: 1.0, kind });
/// let flat = Network::new(["flat"], vec![leak, fan])?;
/// let draws: Vec<Network> = [0.008, 0.010, 0.012]
///     .into_iter()
///     .map(|c| {
///         let mut draw = flat.clone();
///         draw.set_leak(0, c, 0.65).map(|()| draw)
///     })
///     .collect::<Result<_, _>>()?;
/// let still = Boundary::still(&flat, 293.15);
/// let cases: Vec<Case> =
///     draws.iter().map(|network| Case { network, boundary: &still, start: None }).collect();
/// let mut solutions = vec![Solution::default(); 3];
/// let mut batch = Batch::new(&flat);
/// assert!(batch.solve(&cases, &mut solutions).is_empty());
/// assert!((solutions[0].zone_pa[0] + 7.64).abs() < 0.01); // (0.030 / 0.008)^(1 / 0.65)
/// assert!((solutions[2].zone_pa[0] + 4.09).abs() < 0.01);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Clone, Debug)]
pub struct Batch {
    core: Core,
    shape: Arc<Shape>,
    level: Level,
    /// The leaks of each group, so that they need not be laid out again at the next step.
    groups: Vec<Leaks>,
    group_errors: Vec<(usize, SolveError)>,
    errors: Vec<(usize, SolveError)>,
}

impl Batch {
    /// Memory for networks of this graph, with the tolerance for simulation, [`TOLERANCE`].
    pub fn new(network: &Network) -> Self {
        Self::at_level(network, Level::best())
    }

    /// The same at another level of the processor: slower, with the same bits.
    pub fn at_level(network: &Network, level: Level) -> Self {
        let level = if level.is_available() { level } else { Level::Plain };
        Self {
            core: Core::new(level.width(), TOLERANCE, &network.shape),
            shape: Arc::clone(&network.shape),
            level,
            groups: Vec::new(),
            group_errors: Vec::new(),
            errors: Vec::new(),
        }
    }

    /// The same with another tolerance: residuals as a share of the outdoor throughflow.
    #[must_use]
    pub fn with_tolerance(mut self, tolerance: f64) -> Self {
        self.core.tolerance = tolerance;
        self
    }

    /// Networks solved side by side.
    pub fn lanes(&self) -> usize {
        self.core.lanes
    }

    /// Solves every case into the solution of the same index, and returns which failed and why, by
    /// ascending index; the solution of a case that failed is left as it was. Cases beyond the
    /// solutions are left out. Allocates nothing when as many cases and the solutions have been used
    /// before. Keeps some kilobytes a case: the same case at the same place next time is quicker.
    ///
    /// # Errors
    /// Per case those of [`solve_into`](super::solve_into), and [`SolveError::OtherGraph`].
    pub fn solve(&mut self, cases: &[Case<'_>], solutions: &mut [Solution]) -> &[(usize, SolveError)] {
        self.errors.clear();
        let n = self.core.lanes;
        for (group, (cases, solutions)) in cases.chunks(n).zip(solutions.chunks_mut(n)).enumerate() {
            let cases = &cases[..if cases.len() < solutions.len() { cases.len() } else { solutions.len() }];
            if group == self.groups.len() {
                self.groups.push(Leaks::new(n, self.shape.padded));
            }
            std::mem::swap(&mut self.core.leaks, &mut self.groups[group]);
            self.solve_group(cases, solutions);
            std::mem::swap(&mut self.core.leaks, &mut self.groups[group]);
            self.group_errors.sort_by_key(|(lane, _)| *lane);
            self.errors.extend(self.group_errors.drain(..).map(|(lane, error)| (group * n + lane, error)));
        }
        &self.errors
    }

    fn solve_group(&mut self, cases: &[Case<'_>], solutions: &mut [Solution]) {
        let core = &mut self.core;
        core.clear();
        let mut good = None;
        for (lane, case) in cases.iter().enumerate() {
            let same = Arc::ptr_eq(&case.network.shape, &self.shape) || case.network.shape == self.shape;
            let loaded = if same { Ok(()) } else { Err(SolveError::OtherGraph) };
            let loaded = loaded
                .and_then(|()| case.check_start())
                .and_then(|()| core.load(lane, case.network, case.boundary));
            match loaded {
                Ok(()) => good = good.or(Some(lane)),
                Err(error) => self.group_errors.push((lane, error)),
            }
        }
        let Some(good) = good else { return };
        // Lanes without a case of their own work along on the numbers of another.
        for lane in 0..core.lanes {
            if lane >= cases.len() || self.group_errors.iter().any(|(failed, _)| *failed == lane) {
                core.copy_lane(good, lane);
            }
        }
        newton::run(self.level, core, cases, solutions, &mut self.group_errors);
    }
}
