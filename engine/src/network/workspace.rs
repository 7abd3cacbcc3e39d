//! Memory of a solver for one network at a time.

use super::core::Core;
use super::error::SolveError;
use super::newton;
use super::shape::WIDEST;
use super::solve::{Solution, TOLERANCE};
use super::{Boundary, Case, Network};
use crate::math::lanes::{Lanes, Level, Plain, Task, dispatch};

/// Memory of a solver, made once for a network and reused: solving again allocates nothing.
#[derive(Clone, Debug)]
pub struct Workspace {
    pub(super) core: Core,
    level: Level,
    errors: Vec<(usize, SolveError)>,
}

impl Workspace {
    /// Memory for a network, with the tolerance for simulation, [`TOLERANCE`].
    pub fn new(network: &Network) -> Self {
        Self {
            core: Core::new(1, TOLERANCE, &network.shape),
            level: Level::best(),
            errors: Vec::with_capacity(1),
        }
    }

    /// The same with another tolerance: residuals as a share of the outdoor throughflow.
    #[must_use]
    pub fn with_tolerance(mut self, tolerance: f64) -> Self {
        self.core.tolerance = tolerance;
        self
    }

    /// Sets the tolerance: residuals as a share of the outdoor throughflow.
    pub(crate) fn set_tolerance(&mut self, tolerance: f64) {
        self.core.tolerance = tolerance;
    }

    /// The same with another smoothing pressure in place of [`SMOOTHING_PA`](super::law::SMOOTHING_PA), to show what the
    /// constant changes.
    #[must_use]
    pub fn with_smoothing_pa(mut self, smoothing_pa: f64) -> Self {
        self.core.smoothing2 = smoothing_pa * smoothing_pa;
        self
    }

    /// The same at another level of the processor: slower, with the same bits.
    #[must_use]
    pub fn with_level(mut self, level: Level) -> Self {
        self.level = level;
        self
    }

    pub(super) fn solve(&mut self, case: Case<'_>, solution: &mut Solution) -> Result<(), SolveError> {
        self.load(case.network, case.boundary)?;
        case.check_start()?;
        let solutions = std::slice::from_mut(solution);
        newton::run(self.level, &mut self.core, &[case], solutions, &mut self.errors);
        self.errors.pop().map_or(Ok(()), |(_, error)| Err(error))
    }

    /// See [`solve_blown_into`](super::solve_blown_into).
    pub(super) fn solve_again(&mut self, case: Case<'_>, solution: &mut Solution) -> Result<(), SolveError> {
        self.core.load_blown(0, case.network);
        case.check_start()?;
        let solutions = std::slice::from_mut(solution);
        newton::run_prepared(self.level, &mut self.core, &[case], solutions, &mut self.errors);
        self.errors.pop().map_or(Ok(()), |(_, error)| Err(error))
    }

    /// The network at given pressures: laws, flows, slopes, and the factor of the slopes.
    pub(super) fn linearise(
        &mut self,
        network: &Network,
        boundary: &Boundary,
        zone_pa: &[f64],
    ) -> Result<(), SolveError> {
        self.load(network, boundary)?;
        for (row, &zone) in network.shape.pattern.order().iter().enumerate() {
            self.core.p[row] = zone_pa[zone];
        }
        dispatch(self.level, Linearise { core: &mut self.core, network });
        self.core.bad_pivot(&network.shape, 0).map_or(Ok(()), |(row, pivot_kg_s_pa)| {
            let zone = network.shape.pattern.order()[row];
            Err(SolveError::Singular { zone, pivot_kg_s_pa, iteration: 0 })
        })
    }

    fn load(&mut self, network: &Network, boundary: &Boundary) -> Result<(), SolveError> {
        self.core.fit(&network.shape);
        self.core.clear();
        self.core.load(0, network, boundary)
    }
}

struct Linearise<'a> {
    core: &'a mut Core,
    network: &'a Network,
}

impl Task for Linearise<'_> {
    type Output = ();
    #[inline(always)]
    fn run<E: Lanes>(self, e: E) {
        let Self { core, network } = self;
        core.prepare(Plain, e, &network.shape);
        core.load_laws(0, network);
        core.evaluate(Plain, e, &network.shape, |_| network);
        core.factor(Plain, &network.shape, &mut [0.0; WIDEST]);
    }
}
