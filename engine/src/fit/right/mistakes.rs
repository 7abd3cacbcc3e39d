//! What people get wrong on a visit: doors that stood otherwise, readings that are slips.

use super::super::observe::{Observation, Observations, Seen};
use super::super::suspect::{self, Slip};
use crate::math;

/// Share of readings that are wrong by a slip. An assumption, no source.
const SLIP: f64 = 0.02;
/// A slip puts a reading anywhere within so many standard deviations of what it was expected to be. An
/// assumption, no source.
pub(super) const SLIP_WIDTH: f64 = 30.0;
/// Share of slips that are a usual one, each as likely as the next. An assumption, no source.
const USUAL: f64 = 0.5;
/// Share of doors that stood other than noted. An assumption, no source.
const DOOR: f64 = 0.05;
/// Most stretches of doors that are tried.
const MOST_DOORS: usize = 24;

/// A stretch of stations over which a door stands as noted once, or one station of a longer stretch: a
/// touch that nobody noted, and back again.
pub(in crate::fit) struct Stretch {
    pub(in crate::fit) door: usize,
    pub(in crate::fit) stations: Vec<usize>,
    /// Minus twice the log odds that it stood otherwise. That of a stretch is shared by its stations.
    pub(super) cost: f64,
    pub(super) single: bool,
}

/// Every stretch, in the order of the visit.
fn stretches(seen: &Observations) -> Vec<Stretch> {
    let mut all: Vec<Stretch> = Vec::new();
    let cost = 2.0 * math::ln(1.0 / DOOR - 1.0);
    let doors = seen.stations.first().map_or(0, |s| s.setup.open.len());
    for door in 0..doors {
        let mut before = None;
        for (at, s) in seen.stations.iter().enumerate() {
            let now = Some((s.visit, s.setup.open[door], s.setup.hole[door].is_some()));
            match all.last_mut().filter(|l| l.door == door && before == now) {
                Some(last) => last.stations.push(at),
                None => all.push(Stretch { door, stations: vec![at], cost, single: false }),
            }
            before = now;
        }
    }
    // A door that nobody noted has a weight on each state already.
    // Nor is a hole that was measured a door that stood otherwise.
    let noted = |s: &Stretch, at: usize| {
        let setup = &seen.stations[at].setup;
        !setup.unnoted[s.door] && setup.hole[s.door].is_none()
    };
    all.retain(|s| s.stations.iter().all(|at| noted(s, *at)));
    all.truncate(MOST_DOORS);
    let single = |s: &Stretch, at: usize| Stretch {
        door: s.door,
        stations: vec![at],
        cost: s.cost + 2.0 * math::ln(s.stations.len() as f64),
        single: true,
    };
    let longer = all.iter().filter(|s| s.stations.len() > 1);
    let singles: Vec<Stretch> =
        longer.flat_map(|s| s.stations.iter().map(move |at| single(s, *at))).collect();
    all.extend(singles);
    all
}

/// Every mistake that an account may hold.
pub(in crate::fit) struct Mistakes {
    pub(in crate::fit) doors: Vec<Stretch>,
    /// For each reading its usual slips and the value that it then had.
    pub(in crate::fit) usual: Vec<Vec<(Slip, f64)>>,
}

/// A reading that is a slip: a usual one, or one that puts it anywhere.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(in crate::fit) struct Wrong {
    pub(super) reading: usize,
    /// Index in [`Mistakes::usual`].
    pub(super) usual: Option<usize>,
}

/// What an account takes to be wrong.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(in crate::fit) struct Key {
    /// Stretches over which a door stood otherwise, ascending.
    pub(in crate::fit) turned: Vec<usize>,
    /// Readings that are slips, ascending.
    pub(in crate::fit) wrong: Vec<Wrong>,
}

impl Key {
    pub(super) fn is_as_noted(&self) -> bool {
        self.turned.is_empty() && self.wrong.is_empty()
    }

    /// Readings that tell nothing.
    pub(in crate::fit) fn lost(&self) -> impl Iterator<Item = usize> {
        self.wrong.iter().filter(|w| w.usual.is_none()).map(|w| w.reading)
    }

    /// Number of mistakes.
    pub(super) fn count(&self) -> usize {
        self.turned.len() + self.wrong.len()
    }

    pub(in crate::fit) fn holds(&self, reading: usize) -> bool {
        self.wrong.iter().any(|w| w.reading == reading)
    }

    /// The same with one reading as this, or as written.
    pub(super) fn with(&self, reading: usize, wrong: Option<Wrong>) -> Key {
        let mut new = self.clone();
        new.wrong.retain(|w| w.reading != reading);
        new.wrong.extend(wrong);
        new.wrong.sort_unstable();
        new
    }

    /// Mistakes that another account does not hold.
    pub(super) fn beside(&self, other: &Key) -> (Vec<Wrong>, Vec<usize>) {
        let wrong = self.wrong.iter().copied().filter(|w| !other.wrong.contains(w));
        let turned = self.turned.iter().copied().filter(|at| !other.turned.contains(at));
        (wrong.collect(), turned.collect())
    }

    /// The same with stretches the other way.
    pub(super) fn toggled(&self, which: &[usize]) -> Key {
        let mut new = self.clone();
        new.turned.retain(|i| !which.contains(i));
        new.turned.extend(which.iter().filter(|i| !self.turned.contains(i)));
        new.turned.sort_unstable();
        new
    }
}

impl Mistakes {
    pub(super) fn new(noted: &Observations) -> Mistakes {
        // A reading below its range has no digits to write wrong.
        let usual = |o: &Observation| if o.below { Vec::new() } else { suspect::usual(o) };
        Mistakes { doors: stretches(noted), usual: noted.list.iter().map(usual).collect() }
    }

    /// Minus twice the log odds of a slip that puts a reading anywhere within [`SLIP_WIDTH`] of its noise.
    pub(super) fn anywhere() -> f64 {
        Mistakes::lost() + 2.0 * math::ln(SLIP_WIDTH)
    }

    /// Minus twice the log odds that a reading is a slip, but no usual one.
    fn lost() -> f64 {
        2.0 * math::ln(1.0 / SLIP - 1.0) - 2.0 * math::ln(1.0 - USUAL)
    }

    /// Minus twice the log odds of a slip, and for a usual one what the density of what was written
    /// changes by.
    fn slip(&self, wrong: Wrong, noted: &Observations) -> f64 {
        let all = &self.usual[wrong.reading];
        let Some((_, value)) = wrong.usual.and_then(|at| all.get(at)) else { return Mistakes::lost() };
        let o = &noted.list[wrong.reading];
        // Flows are logarithms, and a factor shifts them.
        let scale = match o.seen {
            Seen::Pressure { .. } => (value / o.value).abs(),
            _ => 1.0,
        };
        2.0 * math::ln(1.0 / SLIP - 1.0) + 2.0 * math::ln(all.len() as f64 / USUAL) - 2.0 * math::ln(scale)
    }

    pub(super) fn cost(&self, key: &Key, noted: &Observations) -> f64 {
        key.turned.iter().map(|at| self.doors[*at].cost).sum::<f64>()
            + key.wrong.iter().map(|w| self.slip(*w, noted)).sum::<f64>()
    }

    /// The readings under an account.
    pub(super) fn under(&self, key: &Key, noted: &Observations) -> Observations {
        let mut seen = noted.clone();
        key.turned.iter().for_each(|at| turn(&mut seen, &self.doors[*at]));
        for w in &key.wrong {
            let o = &mut seen.list[w.reading];
            match w.usual.and_then(|at| self.usual[w.reading].get(at)) {
                Some((_, value)) => o.value = *value,
                None => o.noise_sd *= suspect::NO_WEIGHT,
            }
        }
        seen
    }
}

/// Whole stretches.
pub(super) fn whole_stretches(mistakes: &Mistakes) -> std::ops::Range<usize> {
    0..mistakes.doors.iter().position(|s| s.single).unwrap_or(mistakes.doors.len())
}

/// What of the doors is turned at once: a stretch, one of the `stations` of a longer one, all stretches of a door, all that are
/// noted alike.
pub(super) fn turns(stations: &[usize], mistakes: &Mistakes, noted: &Observations) -> Vec<Vec<usize>> {
    let doors = &mistakes.doors;
    let whole = whole_stretches(mistakes);
    let mut all: Vec<Vec<usize>> = whole.clone().map(|at| vec![at]).collect();
    let off = |at: &usize| stations.contains(&doors[*at].stations[0]);
    all.extend((whole.end..doors.len()).filter(off).map(|at| vec![at]));
    // A hatch that was never shut shows in no single stretch.
    let noted_open = |at: usize| noted.stations[doors[at].stations[0]].setup.open[doors[at].door];
    let last = doors.iter().map(|s| s.door + 1).max().unwrap_or(0);
    for door in 0..last {
        let of: Vec<usize> = whole.clone().filter(|at| doors[*at].door == door).collect();
        let (open, shut): (Vec<usize>, Vec<usize>) = of.iter().partition(|at| noted_open(**at));
        let mixed = !open.is_empty() && !shut.is_empty();
        all.extend([of, open, shut].into_iter().take(if mixed { 3 } else { 1 }).filter(|s| s.len() > 1));
    }
    all
}

/// Turns a door over a stretch.
fn turn(seen: &mut Observations, stretch: &Stretch) {
    for at in &stretch.stations {
        let open = &mut seen.stations[*at].setup.open[stretch.door];
        *open = !*open;
    }
}
