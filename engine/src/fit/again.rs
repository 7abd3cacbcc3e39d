//! What to take again before leaving the house.
//!
//! A mistake does no harm where the other readings show it, and none where it moves nothing. What is left
//! is taken again: what was taken back and is therefore missing; readings and doors of which the accounts
//! of the readings ([`super::right`]) do not agree; readings of which a usual slip would pass unseen.
//! With `A` the readings' derivatives, `S = I + A A'` and `r = (S^-1)_ii`, a slip of `d` noises stands out
//! by `d sqrt(r)` standard uncertainties and moves the unknowns by `d A' S^-1 e_i`: the internal and the
//! outer reliability of a reading (Baarda 1968, from memory).

use super::observe::Observations;
use super::problem::{FitError, Problem, Row};
use super::right::mistakes::Mistakes;
use super::right::search::Account;
use crate::house::{House, ParamKind};
use crate::math;
use serde::Serialize;

/// A slip passes unseen that stands out by less, in standard uncertainties. An assumption, no source.
const UNSEEN: f64 = 3.0;
/// It matters where a number of the house moves by more of its own standard deviations than this. An assumption.
const MOVES: f64 = 1.0;
/// A mistake is in doubt down to this probability; one in twenty doors of which nothing is known is. An assumption.
const DOUBT: f64 = 0.02;

/// Why something is taken again, the most urgent first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Why {
    /// It is not what was meant: a reading that is not taken at all, a door that stood otherwise.
    TakenBack,
    /// The readings do not decide whether it is a mistake.
    Doubt,
    /// A usual slip of it would pass unseen.
    Unchecked,
}

/// A door to be looked at and set anew.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Look {
    /// Name people read.
    pub door: String,
    /// Whether it was noted as open.
    pub open: bool,
}

/// One setup that should be set up and read again, for one reason.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Again {
    /// The setup, as index of a station.
    #[serde(skip)]
    pub station: usize,
    /// Readings that are to be taken again, by index.
    pub readings: Vec<usize>,
    /// Doors to be looked at.
    pub doors: Vec<Look>,
    /// The reason.
    pub why: Why,
    /// What hangs on it most, where that is known.
    pub moves: Option<Moves>,
}

/// The number of the house that a mistake would move most.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Moves {
    /// Its name as people read it.
    pub what: String,
    /// By how many of its own standard deviations.
    pub by_sd: f64,
}

/// One mistake that may be there.
struct Item {
    station: usize,
    reading: Option<usize>,
    door: Option<usize>,
    why: Why,
    /// What it moves most, in that number's own standard deviations; nothing where no account tells.
    moves: Option<(f64, usize)>,
}

impl Item {
    fn by(&self) -> f64 {
        self.moves.map_or(0.0, |m| m.0)
    }
}

/// What to take again, the most urgent first. `all` are the accounts of the readings, the best first, each
/// with its share.
///
/// # Errors
/// [`FitError`] where the readings cannot be had under the best account.
pub(super) fn again(
    house: &House,
    noted: &Observations,
    mistakes: &Mistakes,
    all: &[(&Account, f64)],
) -> Result<Vec<Again>, FitError> {
    let mut items = of_readings(house, noted, mistakes, all)?;
    items.extend(of_doors(house, mistakes, all)?);
    items.sort_by(|a, b| a.why.cmp(&b.why).then(b.by().total_cmp(&a.by())));
    let mut out: Vec<Again> = Vec::new();
    for item in items {
        let same = |a: &Again| (a.station, a.why) == (item.station, item.why);
        let at = out.iter().position(same).unwrap_or_else(|| {
            let moves = item.moves.and_then(|(by_sd, param)| {
                Some(Moves { what: house.params.get(param)?.label.clone(), by_sd })
            });
            out.push(Again {
                station: item.station,
                readings: Vec::new(),
                doors: Vec::new(),
                why: item.why,
                moves,
            });
            out.len() - 1
        });
        out[at].readings.extend(item.reading);
        out[at].doors.extend(item.door.map(|door| Look {
            door: house.doors[door].text.label.clone(),
            open: noted.stations[item.station].setup.open[door],
        }));
    }
    Ok(out)
}

/// Numbers of the house that have a name and a size, as unknowns of a problem.
struct Sizes {
    /// The number, and the unknown that it is.
    all: Vec<(usize, usize)>,
    /// Standard deviation of each in units of its prior's.
    sd: Vec<f64>,
}

impl Sizes {
    fn new(house: &House, problem: &Problem<'_>, best: &Account) -> Sizes {
        let is_size = |p: &usize| {
            let param = &house.params[*p];
            !param.label.is_empty() && !matches!(param.kind, ParamKind::CommonExponent | ParamKind::Exponent)
        };
        let all: Vec<(usize, usize)> =
            (0..house.params.len()).filter(is_size).map(|p| (p, problem.first_house + p)).collect();
        let sd = |&(_, unknown): &(usize, usize)| {
            let column = best.optimum.slopes.column(unknown);
            (1.0 - column.dot(&best.optimum.spread.solve(&column))).clamp(1e-12, 1.0).sqrt()
        };
        let sd = all.iter().map(sd).collect();
        Sizes { all, sd }
    }

    /// What moves most where an unknown moves by so much in units of its prior's standard deviation.
    fn most(&self, by: impl Fn(usize) -> f64) -> Option<(f64, usize)> {
        let each = self.all.iter().zip(&self.sd).map(|((p, unknown), sd)| (by(*unknown).abs() / sd, *p));
        each.max_by(|a, b| a.0.total_cmp(&b.0))
    }

    /// The same between two accounts.
    fn between(&self, a: &Account, b: &Account) -> Option<(f64, usize)> {
        self.most(|unknown| a.optimum.z[unknown] - b.optimum.z[unknown])
    }
}

/// The accounts that hold something to be wrong: their share, and what they move.
fn doubted(
    sizes: &Sizes,
    all: &[(&Account, f64)],
    wrong: impl Fn(&Account) -> bool,
) -> (f64, Option<(f64, usize)>) {
    let Some(&(best, _)) = all.first() else { return (0.0, None) };
    let share = all.iter().filter(|(a, _)| wrong(a)).map(|(_, share)| share).sum();
    let other = all.iter().find(|(a, _)| wrong(a) != wrong(best));
    (share, other.and_then(|(other, _)| sizes.between(other, best)))
}

/// Whether a mistake of such a share is neither in nor out, and matters.
fn is_doubted(share: f64, moves: Option<(f64, usize)>) -> bool {
    share > DOUBT && share < 1.0 - DOUBT && moves.is_some_and(|m| m.0 > MOVES)
}

/// Readings.
fn of_readings(
    house: &House,
    noted: &Observations,
    mistakes: &Mistakes,
    all: &[(&Account, f64)],
) -> Result<Vec<Item>, FitError> {
    let Some(&(best, _)) = all.first() else { return Ok(Vec::new()) };
    let sizes = Sizes::new(house, &Problem::new(house, &best.seen)?, best);
    let back = best.optimum.spread.inverse();
    let mut items = Vec::new();
    for (reading, o) in noted.list.iter().enumerate() {
        let mut add = |why, moves| {
            items.push(Item { station: o.station, reading: Some(reading), door: None, why, moves });
        };
        let (share, moves) = doubted(&sizes, all, |a| a.key.holds(reading));
        let lost = best.key.lost().any(|at| at == reading);
        if lost && share >= 1.0 - DOUBT {
            add(Why::TakenBack, moves);
        } else if lost || is_doubted(share, moves) {
            add(Why::Doubt, moves);
        } else if !best.key.holds(reading) {
            // What a slip of one noise moves.
            let along = best.optimum.slopes.tr_mul(&back.column(reading));
            let Some((by_one, param)) = sizes.most(|unknown| along[unknown]) else { continue };
            let seen_by_one = back[(reading, reading)].sqrt();
            let slips = mistakes.usual[reading].iter().map(|(_, value)| (value - o.value).abs() / o.noise_sd);
            let unseen = slips.filter(|d| d * seen_by_one < UNSEEN && d * by_one > MOVES);
            if let Some(slip) = math::max_valid(unseen) {
                add(Why::Unchecked, Some((slip * by_one, param)));
            }
        }
    }
    Ok(items)
}

/// Doors: at the station of the stretch at which they do most.
fn of_doors(house: &House, mistakes: &Mistakes, all: &[(&Account, f64)]) -> Result<Vec<Item>, FitError> {
    let Some(&(best, _)) = all.first() else { return Ok(Vec::new()) };
    let sizes = Sizes::new(house, &Problem::new(house, &best.seen)?, best);
    let mut items = Vec::new();
    for (at, stretch) in mistakes.doors.iter().enumerate() {
        let (share, moves) = doubted(&sizes, all, |a| a.key.turned.contains(&at));
        let turned = share >= 1.0 - DOUBT;
        let why = if turned { Why::TakenBack } else { Why::Doubt };
        if turned || is_doubted(share, moves) {
            let station = where_it_does_most(house, best, stretch.door, &stretch.stations)?;
            items.push(Item { station, reading: None, door: Some(stretch.door), why, moves });
        }
    }
    Ok(items)
}

/// Of these stations the one whose readings would change most with a door the other way, the house as it is.
fn where_it_does_most(
    house: &House,
    best: &Account,
    door: usize,
    stations: &[usize],
) -> Result<usize, FitError> {
    let first = stations.first().copied().unwrap_or(0);
    let mut turned = best.seen.clone();
    for at in stations {
        let open = &mut turned.stations[*at].setup.open[door];
        *open = !*open;
    }
    let mut rows: Vec<Row> = Vec::new();
    let mut problem = Problem::new(house, &turned)?;
    // With no answer one is as good as the next.
    if problem.rows(&best.optimum.x, false, &mut rows).is_err() {
        return Ok(first);
    }
    let change = |station: usize| -> f64 {
        let own = turned.list.iter().enumerate().filter(|(_, o)| o.station == station);
        own.map(|(i, _)| (rows[i].residual - best.optimum.rows[i].residual).powi(2)).sum()
    };
    let most = stations.iter().copied().max_by(|a, b| change(*a).total_cmp(&change(*b)));
    Ok(most.unwrap_or(first))
}
