//! What the remaining doubt between the two best plans hangs on, and which reading would settle it.
//!
//! Over the common draws the two plans differ by some amount in some score. The squared correlation
//! of that difference with an unknown number of the house is the share of its variance that goes with
//! the number. By chance alone it is about one over the draws, so shares below four over the draws are
//! not named.

use super::Compared;
use crate::house::{House, ParamKind};
use serde::Serialize;

/// Unknown numbers that are named at most.
const NAMED: usize = 3;

/// A kind of reading that would tell an unknown number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Settles {
    /// Pressures of the zones on both sides of the leak while a test fan runs.
    ZonePressure,
    /// A fan test at several pressures.
    FanTest,
    /// Pressure of the room with its door shut.
    RoomPressure,
    /// The flow of the fan, by hood or flow grid.
    FanFlow,
    /// The flow through the air handler, by plate.
    HandlerFlow,
    /// A duct leakage test.
    DuctTest,
    /// The flow of the register, by hood.
    RegisterFlow,
    /// The pressure before and behind the filter or coil.
    PressureDrop,
}

impl Settles {
    /// The reading that tells a parameter.
    pub fn of(kind: ParamKind) -> Settles {
        match kind {
            ParamKind::LeakAt50 => Settles::ZonePressure,
            ParamKind::CommonExponent | ParamKind::Exponent => Settles::FanTest,
            ParamKind::Gap => Settles::RoomPressure,
            ParamKind::FanFlow => Settles::FanFlow,
            ParamKind::HandlerFlow => Settles::HandlerFlow,
            ParamKind::DuctLeak => Settles::DuctTest,
            ParamKind::RegisterWeight => Settles::RegisterFlow,
            ParamKind::FilterDrop => Settles::PressureDrop,
        }
    }
}

/// An unknown number and what goes with it.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Share {
    /// Index in the house's parameters.
    pub param: usize,
    /// Name in the documents of what it belongs to.
    pub name: String,
    /// Name people read.
    pub label: String,
    /// What it is.
    pub kind: ParamKind,
    /// Share of the variance of the difference that goes with it, 0 to 1.
    pub share: f64,
    /// The reading that would tell it.
    pub settles: Settles,
}

/// The doubt between two plans.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Doubt {
    /// Indices in [`Compared::plans`], the better first.
    pub plans: [usize; 2],
    /// Index of the score in which they differ; nothing where it is the yearly cost.
    pub score: Option<usize>,
    /// Share of the draws in which the first does better in it.
    pub first_better: f64,
    /// The unknown numbers it hangs on, most first; empty where none stands out.
    pub hangs_on: Vec<Share>,
}

/// The doubt between two plans.
pub(super) fn of(
    compared: &Compared,
    [a, b]: [usize; 2],
    house: &House,
    draws: &[Vec<f64>],
) -> Option<Doubt> {
    let table = &compared.draw_scores;
    // The heaviest complaint that one of them solves in some draw and the other does not; else cost.
    let splits = |s: &usize| {
        let score = &compared.scores[*s];
        let of = |c: usize, d: usize| score.met(table.values[c][*s][d]);
        (0..table.draws.len()).any(|d| of(a, d) != of(b, d))
    };
    let complaints = (0..compared.scores.len()).filter(|s| compared.scores[*s].complaint.is_some());
    let by_weight = |x: &usize, y: &usize| {
        compared.scores[*x].weight.total_cmp(&compared.scores[*y].weight).then(y.cmp(x))
    };
    let score = complaints.filter(splits).max_by(by_weight);
    let (of_a, of_b) = match score {
        Some(s) => (&table.values[a][s], &table.values[b][s]),
        None => (&table.yearly_cost[a], &table.yearly_cost[b]),
    };
    let lower = score.is_none_or(|s| compared.scores[s].kind.lower_is_better());
    let by: Vec<f64> = of_a.iter().zip(of_b).map(|(x, y)| x - y).collect();
    if by.iter().any(|d| !d.is_finite()) {
        return None;
    }
    let better = by.iter().filter(|d| if lower { **d < 0.0 } else { **d > 0.0 }).count();
    let chance_share = 4.0 / by.len() as f64;
    let mut hangs_on: Vec<Share> = house
        .params
        .iter()
        .enumerate()
        .filter_map(|(param, p)| {
            let theta: Vec<f64> = table.draws.iter().map(|d| draws[*d][param]).collect();
            let share = squared_correlation(&theta, &by)?;
            (share > chance_share).then(|| Share {
                param,
                name: p.name.clone(),
                label: p.label.clone(),
                kind: p.kind,
                share,
                settles: Settles::of(p.kind),
            })
        })
        .collect();
    hangs_on.sort_by(|x, y| y.share.total_cmp(&x.share).then(x.param.cmp(&y.param)));
    hangs_on.truncate(NAMED);
    Some(Doubt { plans: [a, b], score, first_better: better as f64 / by.len() as f64, hangs_on })
}

/// Squared correlation; nothing where one of the two does not vary.
fn squared_correlation(x: &[f64], y: &[f64]) -> Option<f64> {
    let n = x.len() as f64;
    let mean = |v: &[f64]| v.iter().sum::<f64>() / n;
    let (mx, my) = (mean(x), mean(y));
    let (mut xx, mut yy, mut xy) = (0.0, 0.0, 0.0);
    for (a, b) in x.iter().zip(y) {
        xx += (a - mx) * (a - mx);
        yy += (b - my) * (b - my);
        xy += (a - mx) * (b - my);
    }
    (xx > 0.0 && yy > 0.0).then(|| xy * xy / (xx * yy))
}

#[cfg(test)]
mod tests {
    use super::squared_correlation;

    /// By hand: x = 1..4, y = 1, 3, 2, 4 has r = 0.8.
    #[test]
    fn correlation() {
        let r2 = squared_correlation(&[1.0, 2.0, 3.0, 4.0], &[1.0, 3.0, 2.0, 4.0]).unwrap();
        assert!((r2 - 0.64).abs() < 1e-12, "{r2}");
        assert!(squared_correlation(&[1.0, 1.0], &[1.0, 2.0]).is_none());
    }
}
