//! Visits of the account of the fit's coverage, and who takes again what the program asks for.

use crate::fit_cases::{Case, VISIT, rich_visit, visit_read_twice, visit_with_rounds};
use crate::fit_coverage::Made;
use engine::fit::observe::Observations;
use engine::fit::{Options, fit};
use engine::house::House;
use std::ops::ControlFlow;

/// A visit, and how often what the fit asks for is taken again.
pub struct Visit {
    /// Its text, with all readings that may be taken.
    pub text: String,
    /// How often the fit is asked.
    pub rounds: usize,
}

impl Visit {
    /// Every reading taken once.
    pub fn once() -> Visit {
        Visit { text: VISIT.to_owned(), rounds: 0 }
    }

    /// Every reading after the fan test taken twice.
    pub fn twice() -> Visit {
        Visit { text: visit_read_twice(), rounds: 0 }
    }

    /// Every zone felt in six states of the doors.
    pub fn rich() -> Visit {
        Visit { text: rich_visit(), rounds: 0 }
    }

    /// Every reading taken once, then what the fit asks for, and again what it asks for after that.
    pub fn checked() -> Visit {
        const ROUNDS: usize = 2;
        Visit { text: visit_with_rounds(1 + ROUNDS), rounds: ROUNDS }
    }

    /// First station of which every door is looked at by itself.
    pub fn looked_from(&self) -> usize {
        if self.rounds == 0 {
            usize::MAX
        } else {
            Case::new(crate::fit_cases::HOUSE, VISIT).seen.stations.len()
        }
    }

    /// What of a visit's readings was taken in the end.
    pub fn taken(&self, house: &House, mut made: Made, seed: u64) -> Option<Made> {
        if self.rounds == 0 {
            return Some(made);
        }
        let first = self.looked_from();
        let round = (made.seen.stations.len() - first) / self.rounds;
        let mut stations: Vec<usize> = (0..first).collect();
        for _ in 0..self.rounds {
            let seen = only(&made.seen, &stations);
            let options =
                Options { seed, whole: false, further: false, tries: 20, draws: 10, ..Options::default() };
            let asked = fit(house, &seen, options, &mut |_| ControlFlow::Continue(())).ok()?.again;
            let mut asked: Vec<usize> = asked.iter().map(|a| stations[a.station]).collect();
            asked.sort_unstable();
            asked.dedup();
            for at in asked {
                // The fan test is not made again, but the first setup after it, which is the same.
                let test = first - round;
                let of = if at < test { 0 } else { (at - test) % round };
                let next = (0..self.rounds).map(|k| first + k * round + of).find(|s| !stations.contains(s));
                stations.extend(next);
            }
            stations.sort_unstable();
        }
        let kept = |at: &usize| stations.contains(&made.seen.list[*at].station);
        let list: Vec<usize> = (0..made.seen.list.len()).filter(kept).collect();
        made.slips.retain(|s| list.contains(s));
        made.slips.iter_mut().for_each(|s| *s = list.iter().position(|l| l == s).unwrap_or(0));
        made.doors.retain(|(_, s)| stations.contains(s));
        made.doors.iter_mut().for_each(|(_, s)| *s = stations.iter().position(|l| l == s).unwrap_or(0));
        (made.seen, made.told) = (only(&made.seen, &stations), only(&made.told, &stations));
        made.stations = stations;
        Some(made)
    }
}

/// The readings of some stations, ascending.
pub fn only(all: &Observations, stations: &[usize]) -> Observations {
    let mut some = all.clone();
    some.stations = stations.iter().map(|s| all.stations[*s].clone()).collect();
    some.list.retain(|o| stations.contains(&o.station));
    for o in &mut some.list {
        o.station = stations.iter().position(|s| *s == o.station).unwrap_or(0);
    }
    some
}
