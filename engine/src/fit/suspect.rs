//! The reading that disagrees most, and what would explain it: each usual slip is undone, everything
//! is fitted again, and the reading is held against the fit once more.

use super::observe::{Observation, Observations, Seen};
use super::problem::Problem;
use super::solve::{self, Optimum};
use crate::house::Place;
use crate::math;
use crate::measure::{Estimate, NoInterval};
use serde::Serialize;

/// Explanations are looked for where a reading lies further off, in standard uncertainties.
const FAR: f64 = 2.5;
/// A slip explains a reading that then lies closer than this, in standard uncertainties ...
const NEAR: f64 = 2.0;
/// ... where the sum of squares falls by at least this.
const GAIN: f64 = 6.0;
/// Readings furthest off that are left out, each in turn.
const SUSPECTS: usize = 4;
/// Noise of a reading that is left out, as a multiple of its own.
pub(super) const NO_WEIGHT: f64 = 1e4;
/// Pascals in an inch of water at 4 degC.
const INCH_OF_WATER_PA: f64 = 249.089;
/// Cubic feet a minute in a litre a second.
const CFM_IN_L_S: f64 = 2.118_88;
/// Most doors beside a reading whose state is turned before a passage is named.
const MOST_BESIDE: usize = 3;
/// Most doors whose state is turned.
const MOST_DOORS: usize = 12;
/// Most fans that are switched.
const MOST_FANS: usize = 8;

/// What may have gone wrong with a reading.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "slip", rename_all = "kebab-case")]
pub enum Slip {
    /// A door stood other than noted.
    Door {
        /// Name people read.
        door: String,
        /// Whether it stood open.
        open: bool,
    },
    /// A fan ran or stood still other than noted.
    Fan {
        /// Name people read.
        fan: String,
        /// Whether it ran.
        on: bool,
    },
    /// The air handler ran or stood still other than noted.
    Handler {
        /// Whether it ran.
        on: bool,
    },
    /// The hoses were swapped.
    Hoses,
    /// Shown in inches of water, written as pascals.
    InchesAsPascals,
    /// Shown in pascals, written as inches of water.
    PascalsAsInches,
    /// Shown in cubic feet a minute, written as litres a second.
    CfmAsLitres,
    /// Shown in litres a second, written as cubic feet a minute.
    LitresAsCfm,
    /// The baseline had been subtracted already.
    BaselineSubtracted,
    /// The baseline should have been subtracted and was not.
    BaselineLeftIn,
    /// Ten times too large.
    TenTooLarge,
    /// Ten times too small.
    TenTooSmall,
}

impl Slip {
    /// Its word, as in JSON.
    pub const fn id(&self) -> &'static str {
        match self {
            Slip::Door { .. } => "door",
            Slip::Fan { .. } => "fan",
            Slip::Handler { .. } => "handler",
            Slip::Hoses => "hoses",
            Slip::InchesAsPascals => "inches-as-pascals",
            Slip::PascalsAsInches => "pascals-as-inches",
            Slip::CfmAsLitres => "cfm-as-litres",
            Slip::LitresAsCfm => "litres-as-cfm",
            Slip::BaselineSubtracted => "baseline-subtracted",
            Slip::BaselineLeftIn => "baseline-left-in",
            Slip::TenTooLarge => "ten-too-large",
            Slip::TenTooSmall => "ten-too-small",
        }
    }
}

/// A slip and what undoing it does.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Explanation {
    /// What.
    #[serde(flatten)]
    pub slip: Slip,
    /// The reading with the slip undone.
    pub value: Estimate,
    /// Its distance from what the others then expect, in standard uncertainties.
    pub z: f64,
    /// How much the sum of squares falls; where it does not, as far as the search for it went.
    pub improvement: f64,
    /// Whether it explains the reading.
    pub explains: bool,
}

/// The reading that disagrees most.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Suspect {
    /// Its index among the readings.
    pub reading: usize,
    /// Its distance from what the others expect, in standard uncertainties; where it is far off, the
    /// root of what the sum of squares falls by without it.
    pub z: f64,
    /// What was tried, the likeliest first; nothing where the reading is not far off.
    pub tried: Vec<Explanation>,
}

/// Distances of all readings from what the others expect, in standard uncertainties.
pub fn distances(optimum: &Optimum) -> Vec<f64> {
    let free = optimum.spread.inverse().diagonal();
    optimum.rows.iter().zip(free.iter()).map(|(row, free)| -row.residual / free.sqrt()).collect()
}

/// Names the reading that disagrees most and tries what would explain it.
pub fn suspect(problem: &Problem<'_>, optimum: &Optimum) -> Option<Suspect> {
    let all = distances(optimum);
    let mut reading = (0..all.len()).max_by(|a, b| all[*a].abs().total_cmp(&all[*b].abs()))?;
    let mut z = all[reading];
    let mut tried = Vec::new();
    if z.abs() > FAR {
        if let Some((worst, gain)) = worst(problem, optimum) {
            reading = worst;
            z = gain.sqrt() * all[worst].signum();
        }
        for (slip, changed) in slips(problem, reading) {
            tried.extend(undo(problem, optimum, reading, slip, &changed));
        }
    }
    tried.sort_by(|a, b| b.improvement.total_cmp(&a.improvement));
    Some(Suspect { reading, z, tried })
}

/// The reading without which all others agree best, and how much the sum of squares then falls;
/// nothing where no reading is far off.
///
/// A gross error bends the whole fit, and another reading may seem to be the one that is off: the
/// furthest are left out in turn.
pub(super) fn worst(problem: &Problem<'_>, optimum: &Optimum) -> Option<(usize, f64)> {
    let all = distances(optimum);
    let mut order: Vec<usize> = (0..all.len()).filter(|i| all[*i].abs() > FAR).collect();
    order.sort_by(|a, b| all[*b].abs().total_cmp(&all[*a].abs()));
    let gains = order.iter().take(SUSPECTS).filter_map(|&i| Some((i, without(problem, optimum, i)?)));
    gains.filter(|g| g.1 > 0.0).max_by(|a, b| a.1.total_cmp(&b.1))
}

/// The door beside a reading's zones that, had it stood otherwise at its station, would make all
/// readings agree best, and how much the sum of squares would fall. For a flow: a door or hatch to a
/// space around the rooms.
pub(super) fn door(problem: &Problem<'_>, optimum: &Optimum, reading: usize) -> Option<(usize, f64)> {
    let o = &problem.seen.list[reading];
    let (station, house) = (o.station, problem.house);
    let fan = problem.seen.stations[station].fan_zone;
    let zones = |d: usize| {
        house.doors[d].between.iter().filter_map(|p| match p {
            Place::Zone(z) => Some(*z),
            Place::Outdoors(_) => None,
        })
    };
    let beside = |d: &usize| match o.seen {
        Seen::Pressure { feels, against } => {
            let felt = [feels.zone, against.zone];
            let mut rooms = felt.iter().flatten().filter(|z| Some(**z) != fan).peekable();
            rooms.peek().is_none() || rooms.any(|z| zones(*d).any(|at| at == *z))
        }
        _ => zones(*d).any(|z| !house.zones[z].kind.is_indoors()),
    };
    let turned = |d: usize| {
        let mut changed = problem.seen.clone();
        let open = &mut changed.stations[station].setup.open[d];
        *open = !*open;
        Some((d, gain(problem, optimum, &changed)?))
    };
    // A hole that was measured is no door that stood otherwise.
    let noted = |d: &usize| problem.seen.stations[station].setup.hole[*d].is_none();
    let doors = (0..house.doors.len()).filter(noted).filter(beside).take(MOST_BESIDE);
    doors.filter_map(turned).max_by(|a, b| a.1.total_cmp(&b.1))
}

/// How much the sum of squares falls under other readings.
fn gain(problem: &Problem<'_>, optimum: &Optimum, changed: &Observations) -> Option<f64> {
    let mut again = Problem::new(problem.house, changed).ok()?;
    let x = optimum.x.clone();
    let new = solve::optimum_below(&mut again, x, optimum.squares).ok()?;
    Some(optimum.squares - new.squares)
}

/// How much the sum of squares falls where a reading is left out.
fn without(problem: &Problem<'_>, optimum: &Optimum, reading: usize) -> Option<f64> {
    let mut changed = problem.seen.clone();
    changed.list[reading].noise_sd *= NO_WEIGHT;
    gain(problem, optimum, &changed)
}

fn undo(
    problem: &Problem<'_>,
    optimum: &Optimum,
    reading: usize,
    slip: Slip,
    changed: &Observations,
) -> Option<Explanation> {
    let mut again = Problem::new(problem.house, changed).ok()?;
    // Test fans start from the readings as changed.
    let start = again.start();
    let mut x = optimum.x.clone();
    for fan in (0..changed.stations.len()).filter_map(|s| again.fan_of(s)) {
        x[fan] = start[fan];
    }
    let new = solve::optimum_below(&mut again, x, optimum.squares - GAIN).ok()?;
    let z = *distances(&new).get(reading)?;
    let improvement = optimum.squares - new.squares;
    let o = changed.list.get(reading)?;
    let si = if matches!(o.seen, Seen::Pressure { .. }) { o.value } else { math::exp(o.value) };
    let value = Estimate::without(si, o.seen.quantity(), NoInterval::NotComputed);
    Some(Explanation { slip, value, z, improvement, explains: z.abs() < NEAR && improvement > GAIN })
}

/// The usual slips of writing a reading down, each with the value that it then had: a swapped sign, a
/// wrong unit, a factor of ten.
pub(super) fn usual(o: &Observation) -> Vec<(Slip, f64)> {
    if let Seen::Pressure { .. } = o.seen {
        return vec![
            (Slip::Hoses, -o.value),
            (Slip::InchesAsPascals, o.value * INCH_OF_WATER_PA),
            (Slip::PascalsAsInches, o.value / INCH_OF_WATER_PA),
            (Slip::TenTooLarge, o.value / 10.0),
            (Slip::TenTooSmall, o.value * 10.0),
        ];
    }
    let (ten, unit) = (math::ln(10.0), math::ln(CFM_IN_L_S));
    let mut out = vec![(Slip::TenTooLarge, o.value - ten), (Slip::TenTooSmall, o.value + ten)];
    // Only flows that somebody typed have a unit to mistake.
    let summary = matches!(o.seen, Seen::Inflow { .. } | Seen::DuctLeak { .. } | Seen::HeatLoss { .. });
    if !summary {
        out.extend([(Slip::CfmAsLitres, o.value - unit), (Slip::LitresAsCfm, o.value + unit)]);
    }
    out
}

/// Every slip that the reading may have had, with all readings as they then are.
fn slips(problem: &Problem<'_>, reading: usize) -> Vec<(Slip, Observations)> {
    let seen = problem.seen;
    let o = &seen.list[reading];
    let mut out = Vec::new();
    let mut with = |slip: Slip, value: f64| {
        let mut changed = seen.clone();
        changed.list[reading].value = value;
        out.push((slip, changed));
    };
    for (slip, value) in usual(o) {
        with(slip, value);
    }
    if let Some(baseline) = baseline(seen, o).filter(|_| matches!(o.seen, Seen::Pressure { .. })) {
        with(Slip::BaselineSubtracted, o.value + baseline);
        with(Slip::BaselineLeftIn, o.value - baseline);
    }
    let holes = &seen.stations[o.station].setup.hole;
    let doors = problem.house.doors.iter().enumerate().filter(|(d, _)| holes[*d].is_none());
    for (d, door) in doors.take(MOST_DOORS) {
        let mut changed = seen.clone();
        let open = !seen.stations[o.station].setup.open[d];
        changed.stations[o.station].setup.open[d] = open;
        out.push((Slip::Door { door: door.text.label.clone(), open }, changed));
    }
    // What a tracer shows was not watched all the while.
    if let Seen::Inflow { .. } = o.seen {
        let setup = &seen.stations[o.station].setup;
        for (f, fan) in problem.house.fans.iter().enumerate().take(MOST_FANS) {
            let mut changed = seen.clone();
            let on = !setup.running[f];
            changed.stations[o.station].setup.running[f] = on;
            out.push((Slip::Fan { fan: fan.text.label.clone(), on }, changed));
        }
        if problem.house.air_handler.is_some() {
            let mut changed = seen.clone();
            let on = !setup.air_handler;
            changed.stations[o.station].setup.air_handler = on;
            out.push((Slip::Handler { on }, changed));
        }
    }
    out
}

/// Mean of the same taps without a test fan on the same visit.
fn baseline(seen: &Observations, o: &Observation) -> Option<f64> {
    let here = &seen.stations[o.station];
    here.fan_zone?;
    let still = seen.list.iter().filter(|p| {
        let s = &seen.stations[p.station];
        p.seen == o.seen && s.visit == here.visit && s.fan_zone.is_none()
    });
    let values: Vec<f64> = still.map(|p| p.value).collect();
    (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64)
}
