//! Truths of the first making: drawn from the fit's own priors, readings made by the fit's own model
//! ([`engine::fit::simulate`]), everything as noted. The fit must be right about these.
//!
//! Kept apart from [`crate::truth_other`], which shares no line with it.

use crate::fit_cases::Case;
use crate::fit_coverage::Made;
use engine::fit::{prior_draws, simulate};

/// The truth of house `at` of a series, and its readings; nothing where they cannot be made.
pub fn make(case: &Case, seed: u64, at: u64) -> Option<Made> {
    let theta = prior_draws(&case.house, 1, seed.wrapping_add(7919 * at)).pop()?;
    let seen = simulate::readings(&case.house, &case.seen, &theta, seed + 1000 + at).ok()?;
    let told = seen.clone();
    Some(Made {
        house: case.house.clone(),
        theta,
        seen,
        told,
        stations: (0..case.seen.stations.len()).collect(),
        hidden: None,
        slips: Vec::new(),
        doors: Vec::new(),
    })
}
