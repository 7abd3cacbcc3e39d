//! Solving one network: what goes in, what comes out.
//!
//! The step is accepted by Armijo's test on the potential; where the predicted fall is
//! lost in rounding, by a fall of the residual instead. The last step is always a full Newton step
//! from a point that already meets the tolerance, and its linear flows are what is handed on:
//! they balance to rounding whatever the tolerance. The iteration itself: `newton`.

use super::error::SolveError;
use super::workspace::Workspace;
use super::{Boundary, Case, Network};

/// Stop for simulation: sum of residuals as a share of the outdoor throughflow.
pub const TOLERANCE: f64 = 1e-5;

/// Stop for the fit, which differentiates the answer.
pub const TOLERANCE_FIT: f64 = 1e-8;

/// A pressure beyond this in an answer is flagged, Pa.
pub const HIGH_PRESSURE_PA: f64 = 500.0;

/// Flow through one passage.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Flow {
    /// Flow from a to b, kg/s, not negative.
    pub forward_kg_s: f64,
    /// Flow from b to a, kg/s, not negative. Both are positive only in an opening.
    pub backward_kg_s: f64,
    /// Pressure of a less that of b at the passage's height (an opening: mid-height), Pa.
    pub dp_pa: f64,
}

impl Flow {
    /// Net flow from a to b, kg/s.
    pub fn net_kg_s(&self) -> f64 {
        self.forward_kg_s - self.backward_kg_s
    }
}

/// Something in a solution that its reader should know.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Flag {
    /// A fan works beyond the ends of its curve, on the straight continuation.
    FanBeyondCurve {
        /// The passage.
        passage: usize,
        /// Pressure rise over the fan, Pa.
        rise_pa: f64,
    },
    /// A pressure beyond [`HIGH_PRESSURE_PA`].
    HighPressure {
        /// The zone.
        zone: usize,
        /// Its reference pressure, Pa.
        zone_pa: f64,
    },
}

/// Pressures and flows at which every zone's mass balances.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Solution {
    /// Reference pressure of each zone, Pa.
    pub zone_pa: Vec<f64>,
    /// Flow through each passage; the zones' balances close to rounding.
    pub flows: Vec<Flow>,
    /// Flow the test fan blows into each zone whose pressure is held, kg/s; zero elsewhere.
    pub held_flow_kg_s: Vec<f64>,
    /// Newton steps taken.
    pub iterations: usize,
    /// Sum of the absolute residuals before the last step, kg/s.
    pub residual_kg_s: f64,
    /// Air that enters from outdoors (or leaves, where that is more), kg/s.
    pub throughflow_kg_s: f64,
    /// What the reader should know.
    pub flags: Vec<Flag>,
}

/// Solves the network; see [`solve_into`].
///
/// # Errors
/// As [`solve_into`].
pub fn solve(
    network: &Network,
    boundary: &Boundary,
    workspace: &mut Workspace,
    start: Option<&[f64]>,
) -> Result<Solution, SolveError> {
    let mut solution = Solution::default();
    solve_into(network, boundary, workspace, start, &mut solution)?;
    Ok(solution)
}

/// Finds the pressures at which every zone's mass balances, into `solution`.
///
/// `start` gives the zones' reference pressures to begin with, in Pa (the last solution, say);
/// without it the network with every passage made linear at 1 Pa is solved first. Any start ends
/// at the same answer; the last solution is the better one where boundaries move little, none
/// where they are new (measured on 300 houses: 3.2 steps; 5.8 from other weather, 5.2 from none). Allocates nothing when workspace and solution have been used before with
/// this network (flags apart).
///
/// # Errors
/// [`SolveError`]: a boundary of wrong length or with bad numbers, zones that nothing ties to
/// outdoors, a lost pivot, no balance after 60 steps.
pub fn solve_into(
    network: &Network,
    boundary: &Boundary,
    workspace: &mut Workspace,
    start: Option<&[f64]>,
    solution: &mut Solution,
) -> Result<(), SolveError> {
    workspace.solve(Case { network, boundary, start }, solution)
}

/// As [`solve_into`], right after a solution with this workspace of the same network under the same
/// boundary: nothing but what fans blow ([`Network::set_blown`]) has changed since, so that laws and
/// coefficients of the moment serve again.
///
/// # Errors
/// As [`solve_into`].
pub(crate) fn solve_blown_into(
    network: &Network,
    boundary: &Boundary,
    workspace: &mut Workspace,
    start: Option<&[f64]>,
    solution: &mut Solution,
) -> Result<(), SolveError> {
    workspace.solve_again(Case { network, boundary, start }, solution)
}
