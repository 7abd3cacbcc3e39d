//! Passages that nobody drew: which of them the readings ask for.
//!
//! Every route air might take that could have been overlooked (two zones that can touch, a zone and
//! outdoors, a duct that loses or draws air in another zone than its air handler's) is put into the
//! network with next to no size. The implicit-function theorem then gives, for every reading, the
//! derivative of its residual by the size, `b`. With `r` the readings' residuals at the optimum and
//! `S = I + A A'` what they were expected to spread, the residuals follow `N(0, S^-1)` if the house
//! is as drawn, and Rao's score of the size is `-b'r / sqrt(b' S^-1 b)`, standard normal; only
//! positive scores count, a size is not negative. How large the largest of all scores is by chance
//! alone follows from draws of `r`, with all correlations between the routes.

use super::observe::{Observations, common_height_m};
use super::problem::{FitError, Problem};
use super::solve::{self, Optimum};
use super::suspect;
use super::{LEVEL, fan_zone};
use crate::doc::house::ZoneKind;
use crate::house::air::{Air, STATED_AT_PA, TestFan};
use crate::house::{
    Element, Exponent, House, Law, Owner, Param, ParamKind, Place, ROOF, Scale, Setup, start,
};
use crate::math;
use crate::measure::{Estimate, normal_quantile};
use crate::rng::Stream;
use crate::units::Quantity;
use nalgebra::DVector;
use serde::Serialize;
use std::ops::ControlFlow;

/// Reported where chance alone makes so large a score less often than this.
pub const ALARM: f64 = 0.05;
/// Size at which derivatives are taken: m3/s at 50 Pa, or a register's weight. Small beside any leak.
const NO_SIZE: f64 = 1e-7;
/// A route is no candidate where the readings could not tell this size (m3/s at 50 Pa, or a share of
/// the air handler's flow) from none.
const TELLABLE: f64 = 1.0;
/// The search for a size begins at no less, in the same measure.
const LEAST_SIZE: f64 = 0.005;
/// Prior of the logarithm of a drawn size, m3/s at 50 Pa: 90 % between 4 and 600 L/s. An assumption.
const SIZE: (f64, f64) = (-3.0, 1.5);
/// The same for a share of the air handler's flow. An assumption.
const SHARE: (f64, f64) = (-2.3, 1.0);
/// Exponent of a passage that nobody has seen: the mean of cracks.
const EXPONENT: f64 = 0.65;
/// Draws of the largest score.
const CHANCES: usize = 2000;
/// Routes that are drawn and fitted.
const TRIED: usize = 4;
/// A route whose fit is not worse by more than this (twice the log evidence) is named beside the best.
const AS_GOOD: f64 = 4.0;
/// A slip goes before a passage where the sum of squares falls by this much more.
const CLEARLY: f64 = 6.0;
/// Most slips that are undone before a passage is named.
const MOST_SLIPS: usize = 6;
/// Zones whose heights are closer than this can touch, m.
const TOUCHING_M: f64 = 0.6;

/// A way that air might take.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Route {
    /// Between two zones, by index.
    Zones(usize, usize),
    /// Between a zone and outdoors.
    Outdoors(usize),
    /// From the supply ducts into a zone.
    Supply(usize),
    /// From a zone into the return ducts.
    Return(usize),
}

/// Where such a passage usually hides; common practice, no source.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Hides {
    /// Rooms and attic: chase of pipes, ducts or flue, dropped soffit.
    Chase,
    /// Rooms and crawl space or basement: under the tub, pipe cut-outs.
    TubWall,
    /// Attic and crawl space or basement: walls open from below to above, a chase.
    BalloonWall,
    /// Garage and rooms or attic: its ceiling, the floor above it, the common wall.
    GarageCeiling,
    /// Rooms and outdoors: band joist, overhang, fireplace.
    BandJoist,
    /// Attic, crawl space, basement or garage and outdoors: vents, hatches, the edge.
    Vents,
    /// Between rooms: transfer openings, partitions open above a dropped ceiling.
    Partition,
    /// Return duct: platform, panned joists, stud bay.
    PlatformReturn,
    /// Supply duct: a boot or joint that came apart.
    Boot,
}

/// Which duct, where a duct is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Duct {
    /// Supply side.
    Supply,
    /// Return side.
    Return,
}

/// A route by the names that people read.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Way {
    /// Its two ends; an empty name is outdoors. For a duct the first is the air handler's zone.
    pub between: [String; 2],
    /// The duct, where it is one.
    pub duct: Option<Duct>,
    /// Whether a leak is drawn between the same ends: then there is more of it than was believed.
    pub beside_drawn: bool,
    /// Where to look.
    pub hides: Hides,
}

/// A route and its score.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Score {
    /// The route.
    #[serde(skip)]
    pub route: Route,
    /// The route in words.
    pub way: Way,
    /// Score in standard deviations; its square is how much the sum of squares would fall.
    pub score: f64,
    /// Size the straight model asks for: m3/s at 50 Pa, or a share of the air handler's flow.
    pub size: f64,
}

/// The reading that tells the passage from none.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Confirm {
    /// Zone where the pressure is felt, against outdoors.
    pub feels: String,
    /// Whether the test fan holds -50 Pa.
    pub test_fan: bool,
    /// Whether the air handler runs.
    pub air_handler: bool,
    /// Door or hatch turned from its usual state, and whether it then stands open.
    pub turned: Option<(String, bool)>,
    /// What should be seen with the passage, Pa.
    pub with_it_pa: f64,
    /// What should be seen without it, Pa.
    pub without_it_pa: f64,
}

/// A passage that the readings ask for.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Found {
    /// Where it runs.
    pub way: Way,
    /// Route, by indices.
    #[serde(skip)]
    pub route: Route,
    /// Flow at 50 Pa, or a share of the air handler's flow.
    pub size: Estimate,
    /// How much the sum of squares falls when it is drawn and everything is fitted again.
    pub improvement: f64,
    /// The reading that would confirm it.
    pub confirm: Option<Confirm>,
    /// Routes that the readings cannot tell from it.
    pub or: Vec<Way>,
}

/// What the readings say about passages that nobody drew.
#[derive(Clone, Debug, Default, PartialEq, Serialize)]
pub struct Unseen {
    /// Routes that the readings could tell.
    pub candidates: usize,
    /// Probability of so large a largest score if the house is as drawn.
    pub probability: f64,
    /// The largest scores.
    pub scores: Vec<Score>,
    /// Readings set aside before, by index: a slip explained more than any passage.
    pub set_aside: Vec<usize>,
    /// Stations at which a door was taken to stand otherwise than noted before.
    pub doors_turned: usize,
    /// The passage, where chance does not explain the score.
    pub found: Option<Found>,
}

/// Scores every route; fits the house again with the best ones drawn where chance does not explain
/// the score.
///
/// A slip bends the fit as a passage does. Where a reading left out, or a door that stood otherwise,
/// explains clearly more than the passage, that is done first and the search made again.
///
/// # Errors
/// [`FitError`] where the network with the routes cannot be solved at the optimum.
pub fn look(problem: &Problem<'_>, optimum: &Optimum, seed: u64) -> Result<Unseen, FitError> {
    let mut out = once(problem, optimum, seed)?;
    let mut seen = problem.seen.clone();
    let mut now = optimum.clone();
    while let Some(found) = out.found.as_ref().filter(|_| out.set_aside.len() + out.doors_turned < MOST_SLIPS)
    {
        let needed = found.improvement + CLEARLY;
        let (mut set_aside, mut turned) = (out.set_aside.clone(), out.doors_turned);
        {
            let p = Problem::new(problem.house, &seen)?;
            let Some((reading, gain)) = suspect::worst(&p, &now) else { break };
            let station = seen.list[reading].station;
            let door = suspect::door(&p, &now, reading).filter(|d| d.1 >= gain);
            if door.map_or(gain, |d| d.1) <= needed {
                break;
            }
            if let Some((door, _)) = door {
                let open = &mut seen.stations[station].setup.open[door];
                *open = !*open;
                turned += 1;
            } else {
                seen.list[reading].noise_sd *= suspect::NO_WEIGHT;
                set_aside.push(reading);
            }
        }
        let mut p = Problem::new(problem.house, &seen)?;
        now = solve::optimum_from(&mut p, now.x.clone(), &mut |_| ControlFlow::Continue(()))?;
        out = once(&p, &now, seed)?;
        (out.set_aside, out.doors_turned) = (set_aside, turned);
    }
    Ok(out)
}

fn once(problem: &Problem<'_>, optimum: &Optimum, seed: u64) -> Result<Unseen, FitError> {
    let (house, seen) = (problem.house, problem.seen);
    let (mut scores, unit) = scored(problem, optimum)?;
    let candidates = scores.len();
    let highest = scores.first().map_or(0.0, |s| s.score);
    let probability = chance(&unit, seen.list.len(), highest, seed);
    scores.truncate(TRIED);
    scores.retain(|s| s.score > 0.0);
    let found = if probability <= ALARM { draw(house, seen, optimum, &scores) } else { None };
    Ok(Unseen { candidates, probability, scores, found, ..Unseen::default() })
}

/// Score of every route that the readings could tell, the largest first; with the direction of each among the readings, in
/// no order.
pub(super) fn scored(
    problem: &Problem<'_>,
    optimum: &Optimum,
) -> Result<(Vec<Score>, Vec<DVector<f64>>), FitError> {
    let (house, seen) = (problem.house, problem.seen);
    let all = routes(house);
    if all.is_empty() || seen.list.is_empty() {
        return Ok((Vec::new(), Vec::new()));
    }
    let ln_none = math::ln(NO_SIZE);
    let open = with(house, &all, |_| (ln_none, 1.0));
    let mut trial = Problem::new(&open, seen)?;
    let mut x = optimum.x.clone();
    let first = x.len();
    x.resize(first + all.len(), ln_none);
    let mut rows = Vec::new();
    trial.rows(&x, true, &mut rows)?;
    let residuals = solve::residuals(&optimum.rows);
    let lower = optimum.spread.l();
    let (mut scores, mut unit) = (Vec::new(), Vec::new());
    for (k, route) in all.iter().enumerate() {
        let b = DVector::from_iterator(rows.len(), rows.iter().map(|r| r.slope[first + k] / NO_SIZE));
        let Some(g) = lower.solve_lower_triangular(&b) else { continue };
        let length = g.norm();
        if length * TELLABLE < 1.0 {
            continue;
        }
        let score = -b.dot(&residuals) / length;
        scores.push(Score { route: *route, way: way(house, *route), score, size: score / length });
        unit.push(g / length);
    }
    scores.sort_by(|a, b| b.score.total_cmp(&a.score));
    Ok((scores, unit))
}

/// The house with one route drawn.
pub(super) fn with_one(house: &House, route: Route) -> House {
    let (mean, sd) = size_prior(route);
    with(house, &[route], |_| (mean, sd))
}

/// Where the search for a route's size begins: its unknown at what the straight model asks for.
pub(super) fn size_start(score: &Score) -> f64 {
    math::ln(score.size.clamp(LEAST_SIZE, TELLABLE))
}

/// The numbers of a house as drawn, given those of the same house with a route drawn after them. What
/// passes beside a drawn leak is part of it; what passes where nothing is drawn is lost.
pub(super) fn as_drawn(house: &House, route: Route, mut theta: Vec<f64>) -> Vec<f64> {
    let Some(size) = theta.pop() else { return theta };
    let ends = match route {
        Route::Zones(a, b) => [Some(a), Some(b)],
        Route::Outdoors(a) => [Some(a), None],
        Route::Supply(_) | Route::Return(_) => return theta,
    };
    let zone = |p: Place| if let Place::Zone(z) = p { Some(z) } else { None };
    let beside = house.elements.iter().find_map(|e| match e.law {
        Law::Leak { at50, .. } if matches!(e.owner, Owner::Leak(_)) => {
            let own = [zone(e.a), zone(e.b)];
            (own == ends || [own[1], own[0]] == ends).then_some(at50)
        }
        _ => None,
    });
    if let Some(at50) = beside {
        theta[at50] = math::ln(math::exp(theta[at50]) + math::exp(size));
    }
    theta
}

/// Probability that the largest of the scores reaches `highest` by chance.
fn chance(unit: &[DVector<f64>], readings: usize, highest: f64, seed: u64) -> f64 {
    if unit.is_empty() || highest <= 0.0 {
        return 1.0;
    }
    let mut stream = Stream::new(seed, "unseen");
    let mut reached = 0;
    for _ in 0..CHANCES {
        let e = DVector::from_fn(readings, |_, _| stream.normal());
        reached += usize::from(unit.iter().any(|g| g.dot(&e) >= highest));
    }
    (reached + 1) as f64 / (CHANCES + 1) as f64
}

/// Draws each of the routes and fits everything again; the best by evidence, with its size.
fn draw(house: &House, seen: &Observations, optimum: &Optimum, scores: &[Score]) -> Option<Found> {
    let mut tried: Vec<(f64, Found, Vec<f64>)> = Vec::new();
    for s in scores {
        let (_, sd) = size_prior(s.route);
        let drawn = with_one(house, s.route);
        let Ok(mut problem) = Problem::new(&drawn, seen) else { continue };
        let mut x = optimum.x.clone();
        x.push(size_start(s));
        let Ok(new) = solve::optimum_from(&mut problem, x, &mut |_| ControlFlow::Continue(())) else {
            continue;
        };
        let at = problem.len() - 1;
        let column = new.slopes.column(at).clone_owned();
        let left = 1.0 - column.dot(&new.spread.solve(&column));
        let half = normal_quantile(0.5 + LEVEL / 2.0) * sd * left.clamp(0.0, 1.0).sqrt();
        let theta = new.x[problem.first_house..].to_vec();
        let value = |d: f64| size_of(&drawn, s.route, &theta, d);
        let quantity = if is_duct(s.route) { Quantity::Fraction } else { Quantity::AirFlow };
        let found = Found {
            way: s.way.clone(),
            route: s.route,
            size: Estimate::range(value(0.0), value(-half), value(half), LEVEL, quantity),
            improvement: optimum.squares - new.squares,
            confirm: None,
            or: Vec::new(),
        };
        tried.push((new.squares + solve::ln_det(&new.spread), found, theta));
    }
    tried.sort_by(|a, b| a.0.total_cmp(&b.0));
    let or = tried.iter().skip(1).filter(|t| t.0 - tried[0].0 < AS_GOOD).map(|t| t.1.way.clone()).collect();
    let (_, mut found, theta) = tried.into_iter().next()?;
    found.or = or;
    let first = optimum.x.len() - house.params.len();
    found.confirm = confirm(house, seen, &optimum.x[first..], found.route, &theta);
    Some(found)
}

fn size_prior(route: Route) -> (f64, f64) {
    if is_duct(route) { SHARE } else { SIZE }
}

fn is_duct(route: Route) -> bool {
    matches!(route, Route::Supply(_) | Route::Return(_))
}

/// Size of the route that was drawn last, its unknown moved by `d`.
fn size_of(drawn: &House, route: Route, theta: &[f64], d: f64) -> f64 {
    let mut theta = theta.to_vec();
    if let Some(last) = theta.last_mut() {
        *last += d;
    }
    match (route, &drawn.air_handler) {
        (Route::Supply(_) | Route::Return(_), Some(h)) => {
            let register = h.registers.len() - 1;
            crate::house::air::register_flow_m3_s(drawn, &theta, register) / drawn.value(h.flow, &theta)
        }
        _ => theta.last().map_or(0.0, |t| math::exp(*t)),
    }
}

/// The tap that differs most with and without the passage.
fn confirm(
    house: &House,
    seen: &Observations,
    without: &[f64],
    route: Route,
    with_it: &[f64],
) -> Option<Confirm> {
    let drawn = with_one(house, route);
    let (mut plain, mut more) = (Air::new(house).ok()?, Air::new(&drawn).ok()?);
    if let Some(s) = seen.stations.last() {
        plain.set_temperatures(&s.zone_k, s.outdoor_k, s.pressure_pa);
        more.set_temperatures(&s.zone_k, s.outdoor_k, s.pressure_pa);
    }
    let duct = is_duct(route);
    let hold = fan_zone(house)?;
    let fan = if duct { TestFan::Off } else { TestFan::Hold { zone: hold, pa: -STATED_AT_PA } };
    let usual = Setup { air_handler: duct, ..start(house) };
    let mut best: Option<(f64, Confirm)> = None;
    for turned in std::iter::once(None).chain((0..house.doors.len()).map(Some)) {
        let mut setup = usual.clone();
        if let Some(d) = turned {
            setup.open[d] = !setup.open[d];
        }
        let solved = plain.set(house, without, &setup, fan).is_ok()
            && plain.solve().is_ok()
            && more.set(&drawn, with_it, &setup, fan).is_ok()
            && more.solve().is_ok();
        if !solved {
            continue;
        }
        for (zone, z) in house.zones.iter().enumerate().filter(|(z, _)| duct || *z != hold) {
            let at = |air: &Air| air.pressure_between_pa(Some(zone), None, z.middle_m());
            let (with_it_pa, without_it_pa) = (at(&more), at(&plain));
            // Leaving everything as it stands is worth a little more than walking to a hatch.
            let worth = (with_it_pa - without_it_pa).abs() * if turned.is_none() { 1.2 } else { 1.0 };
            if best.as_ref().is_none_or(|b| worth > b.0) {
                let turned = turned.map(|d| (house.doors[d].text.label.clone(), setup.open[d]));
                let feels = z.label.clone();
                let (test_fan, air_handler) = (!duct, duct);
                let c = Confirm { feels, test_fan, air_handler, turned, with_it_pa, without_it_pa };
                best = Some((worth, c));
            }
        }
    }
    best.map(|b| b.1)
}

/// Every route that could have been overlooked.
pub fn routes(house: &House) -> Vec<Route> {
    let mut all = Vec::new();
    let inside = |z: usize| house.zones[z].kind.is_indoors();
    for a in 0..house.zones.len() {
        for b in a + 1..house.zones.len() {
            let (p, q) = (&house.zones[a], &house.zones[b]);
            let near = p.floor_m < q.ceiling_m + TOUCHING_M && q.floor_m < p.ceiling_m + TOUCHING_M;
            // A wall open from below to above joins spaces that lie a storey apart.
            if near || !(inside(a) || inside(b)) {
                all.push(Route::Zones(a, b));
            }
        }
        all.push(Route::Outdoors(a));
    }
    if let Some(h) = &house.air_handler {
        for zone in (0..house.zones.len()).filter(|z| *z != h.zone && !inside(*z)) {
            all.extend([Route::Supply(zone), Route::Return(zone)]);
        }
    }
    all
}

/// The house with the routes drawn, their unknowns after all others. For the solver only: the new
/// elements have no names.
fn with(house: &House, routes: &[Route], prior: impl Fn(Route) -> (f64, f64)) -> House {
    let mut drawn = house.clone();
    for route in routes {
        let param = drawn.params.len();
        let (mean, sd) = prior(*route);
        let kind = if is_duct(*route) { ParamKind::RegisterWeight } else { ParamKind::LeakAt50 };
        let (name, label) = (String::new(), String::new());
        drawn.params.push(Param { name, label, kind, scale: Scale::Ln, mean, sd });
        let mut leak = |a, b, z_m, share| {
            // No leak of the list: nothing seals it.
            let law = Law::Leak { at50: param, exponent: Exponent::Fixed(EXPONENT), share };
            drawn.elements.push(Element { a, b, z_m, law, owner: Owner::Flue(usize::MAX) });
        };
        match *route {
            Route::Zones(a, b) => {
                let z_m = common_height_m(house, Some(a), Some(b));
                leak(Place::Zone(a), Place::Zone(b), z_m, 1.0);
            }
            Route::Outdoors(zone) => {
                let z = &house.zones[zone];
                let faces = if z.kind == ZoneKind::Attic { ROOF..ROOF + 1 } else { 0..ROOF };
                let share = 1.0 / faces.len() as f64;
                for face in faces {
                    leak(Place::Outdoors(face), Place::Zone(zone), z.middle_m(), share);
                }
            }
            Route::Supply(zone) | Route::Return(zone) => {
                let supply = matches!(route, Route::Supply(_));
                if let Some(h) = &mut drawn.air_handler {
                    let register = h.registers.len();
                    h.registers.push((zone, supply, param));
                    let (a, b) = if supply { (h.zone, zone) } else { (zone, h.zone) };
                    drawn.elements.push(Element {
                        a: Place::Zone(a),
                        b: Place::Zone(b),
                        z_m: 0.0,
                        law: Law::Register { register },
                        owner: Owner::Register(register),
                    });
                }
            }
        }
    }
    drawn
}

fn way(house: &House, route: Route) -> Way {
    let label = |z: usize| house.zones[z].label.clone();
    let outdoors = |p: Place| matches!(p, Place::Outdoors(_));
    let handler = house.air_handler.as_ref().map_or_else(String::new, |h| label(h.zone));
    let (between, duct, beside_drawn) = match route {
        Route::Zones(a, b) => {
            let same = |l: &crate::house::Leak| {
                l.between.contains(&Place::Zone(a)) && l.between.contains(&Place::Zone(b))
            };
            ([label(a), label(b)], None, house.leaks.iter().any(same))
        }
        Route::Outdoors(z) => {
            let same = |l: &crate::house::Leak| {
                l.between.contains(&Place::Zone(z)) && l.between.iter().any(|p| outdoors(*p))
            };
            ([label(z), String::new()], None, house.leaks.iter().any(same))
        }
        Route::Supply(z) => ([handler, label(z)], Some(Duct::Supply), false),
        Route::Return(z) => ([handler, label(z)], Some(Duct::Return), false),
    };
    Way { between, duct, beside_drawn, hides: hides(house, route) }
}

/// Where a route usually hides; common practice, no source.
fn hides(house: &House, route: Route) -> Hides {
    use ZoneKind::{Attic, Basement, Crawl, Garage};
    let kind = |z: usize| house.zones[z].kind;
    match route {
        Route::Supply(_) => Hides::Boot,
        Route::Return(_) => Hides::PlatformReturn,
        Route::Outdoors(z) if kind(z).is_indoors() => Hides::BandJoist,
        Route::Outdoors(_) => Hides::Vents,
        Route::Zones(a, b) => {
            let pair = [kind(a), kind(b)];
            let has = |k: &[ZoneKind]| pair.iter().any(|p| k.contains(p));
            if pair.iter().all(|k| k.is_indoors()) {
                Hides::Partition
            } else if has(&[Garage]) {
                Hides::GarageCeiling
            } else if has(&[Attic]) && has(&[Crawl, Basement]) {
                Hides::BalloonWall
            } else if has(&[Attic]) {
                Hides::Chase
            } else {
                Hides::TubWall
            }
        }
    }
}
