//! Duct leakage at 25 Pa with a calibrated fan: total, or to outdoors with the house held at the
//! pressure of the ducts.
//!
//! One point is brought to 25 Pa with the exponent 0.6 (from memory: ASTM E1554, ANSI/RESNET/ICC 380);
//! three points or more over a factor of 1.5 in pressure give the exponent themselves. Intervals:
//! scatter about the line, the gauges' stated accuracies (one number for all readings each), the
//! exponent where it is assumed, and how far the ducts may be from the pressure at the tap. To
//! outdoors, a remaining pressure between ducts and house lets other leaks take part; that is in
//! the interval where a total is known, and said where it is not. Flows are those of the air that
//! was there.

use super::{EXPONENT, EXPONENT_HALF, REFERENCE_PA, operating_leakage};
use crate::diag::{Diagnostic, Diagnostics, Span, code};
use crate::math;
use crate::measure::regression::PowerLaw;
use crate::measure::{Estimate, NoInterval, student_t_two_sided};
use crate::procedure::field::{LEVEL, Limit};
use crate::procedure::instrument::Direction;
use crate::procedure::known::{Known, follows};
use crate::units::{Accuracy, Quantity};
use serde::Serialize;

/// Share of the duct pressure by which other places may differ from the tap where nobody read them
/// (assumed here, no source).
pub const TAP_SHARE: f64 = 0.1;
/// Points and spread in pressure (highest over lowest) that give an exponent (own choice).
pub const LINE: (usize, f64) = (3, 1.5);
/// Share of the plenum's pressure that leaks feel, and the half width taken for it (half: ASHRAE
/// 152, from memory; half width assumed here).
pub const PLENUM_SHARE: (f64, f64) = (0.5, 0.25);

/// Which ducts.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Part {
    /// Both sides with the cabinet.
    Whole,
    /// The supply side, a barrier in the cabinet.
    Supply,
    /// The return side, a barrier in the cabinet.
    Return,
}

/// Leakage to where.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum To {
    /// To anywhere: the house is open.
    Anywhere,
    /// To outdoors: the house is held at the ducts' pressure.
    Outdoors,
}

/// Where the duct pressure was read.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Tap {
    /// In the supply plenum.
    SupplyPlenum,
    /// In the return plenum.
    ReturnPlenum,
    /// At a register near the handler.
    NearRegister,
    /// At the register farthest from the test fan.
    FarRegister,
    /// At the test fan's own connection.
    AtFan,
}

impl Tap {
    /// The word in messages.
    pub fn word(self) -> &'static str {
        match self {
            Tap::SupplyPlenum => "supply-plenum",
            Tap::ReturnPlenum => "return-plenum",
            Tap::NearRegister => "near-register",
            Tap::FarRegister => "far-register",
            Tap::AtFan => "at-fan",
        }
    }
}

/// One point.
#[derive(Clone, Debug, PartialEq)]
pub struct Point {
    /// Ducts minus house, Pa.
    pub duct_pa: f64,
    /// House minus outdoors, Pa.
    pub house_pa: Option<f64>,
    /// Flow of the test fan, m3/s.
    pub flow_m3_s: f64,
    /// Where it stands.
    pub span: Option<Span>,
}

/// Points taken in one setup.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Its name.
    pub name: String,
    /// Which ducts.
    pub part: Part,
    /// Leakage to where.
    pub to: To,
    /// Which way the fan blows.
    pub direction: Direction,
    /// Mean of the pressure with the fan off, Pa.
    pub baseline_pa: f64,
    /// Its points.
    pub points: Vec<Point>,
    /// Where it stands.
    pub span: Option<Span>,
}

/// What was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// Name of the test.
    pub test: String,
    /// Its runs.
    pub runs: Vec<Run>,
    /// Where the duct pressure was read.
    pub tap: Tap,
    /// Largest difference between the tap and another place, as a share of the pressure, where read.
    pub elsewhere_frac: Option<f64>,
    /// An exponent the user wants instead of 0.6.
    pub exponent: Option<f64>,
    /// Accuracy of the pressure gauge.
    pub pressure_accuracy: Option<Accuracy>,
    /// Accuracy of the test fan's flow.
    pub flow_accuracy: Option<Accuracy>,
    /// Conditioned floor area, m2.
    pub floor_area_m2: Option<f64>,
    /// Flow of the handler, m3/s.
    pub handler_m3_s: Option<Known>,
    /// Pressure of the supply plenum while the handler runs, Pa.
    pub supply_plenum_pa: Option<f64>,
    /// Pressure of the return plenum while the handler runs, Pa.
    pub return_plenum_pa: Option<f64>,
    /// Adopted limit per floor area (m/s), and for which leakage.
    pub limit: Option<(Limit, To)>,
}

/// A run worked.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RunResult {
    /// Its name.
    pub name: String,
    /// Which ducts.
    pub part: Part,
    /// Leakage to where.
    pub to: To,
    /// Which way the fan blew.
    pub direction: Direction,
    /// Leakage at 25 Pa.
    pub q25: Estimate,
    /// Flow exponent; without an interval where it is assumed.
    pub exponent: Estimate,
    /// Points used.
    pub points: usize,
    /// Lowest and highest pressure used, Pa.
    pub span_pa: (f64, f64),
    /// Largest pressure that may have stood between ducts and house, Pa; to outdoors only.
    pub null_pa: Option<f64>,
    /// Whether the house was not open during a total test.
    pub house_not_open: bool,
}

/// Leakage of one part to one side, over its directions.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Combined {
    /// Which ducts.
    pub part: Part,
    /// Leakage to where.
    pub to: To,
    /// Leakage at 25 Pa.
    pub q25: Estimate,
    /// Exponent used to go to other pressures.
    pub exponent: Estimate,
    /// Whether it is the sum of supply and return.
    pub summed: bool,
    /// Whether two directions disagree beyond their intervals.
    pub directions_disagree: bool,
}

/// What follows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Leakage {
    /// Every run that could be worked.
    pub runs: Vec<RunResult>,
    /// Part by part.
    pub combined: Vec<Combined>,
    /// Supply and return less the whole, m3/s, where all three were measured.
    pub split_gap: Option<Estimate>,
    /// Leakage while the handler runs, by the half-plenum rule.
    pub operating: Vec<(Part, To, Estimate)>,
    /// Whole leakage per floor area.
    pub per_floor: Vec<(To, Estimate)>,
    /// Whole leakage over the handler's flow.
    pub of_handler: Vec<(To, Estimate)>,
    /// How far other places may be from the pressure at the tap, as a share of it.
    pub tap_frac: f64,
    /// Whether somebody read that.
    pub tap_read: bool,
    /// Where the tap was.
    pub tap: Tap,
    /// Adopted limit.
    #[serde(skip)]
    pub limit: Option<(Limit, To)>,
}

/// Works it. Readings that cannot be used are said (D203 to D206) and left out.
///
/// ```
/// use engine::procedure::duct::leakage::*;
/// use engine::procedure::instrument::Direction;
/// let point = Point { duct_pa: 50.0, house_pa: None, flow_m3_s: 0.090943, span: None };
/// let run = Run {
///     name: "total".into(), part: Part::Whole, to: To::Anywhere, direction: Direction::Pressurise,
///     baseline_pa: 0.0, points: vec![point], span: None,
/// };
/// let (result, wrong) = evaluate(&Asked {
///     test: "ducts".into(), runs: vec![run], tap: Tap::SupplyPlenum, elsewhere_frac: Some(0.0), exponent: None,
///     pressure_accuracy: None, flow_accuracy: None, floor_area_m2: Some(200.0), handler_m3_s: None,
///     supply_plenum_pa: None, return_plenum_pa: None, limit: None,
/// });
/// assert!(wrong.list.is_empty());
/// assert!((result.combined[0].q25.si - 0.060).abs() < 1e-6);
/// assert!((result.per_floor[0].1.si - 0.0003).abs() < 1e-8);
/// ```
pub fn evaluate(asked: &Asked) -> (Leakage, Diagnostics) {
    let mut wrong = Diagnostics::default();
    let mut runs: Vec<RunResult> = asked.runs.iter().filter_map(|r| run(r, asked, &mut wrong)).collect();
    widen_by_null(&mut runs);
    let mut combined = Vec::new();
    for to in [To::Outdoors, To::Anywhere] {
        let sides = [Part::Supply, Part::Return].map(|part| combine(&runs, part, to));
        let whole = combine(&runs, Part::Whole, to).or_else(|| sum(&sides, to));
        combined.extend(whole.into_iter().chain(sides.into_iter().flatten()));
    }
    let (tap_frac, tap_read) = tap(asked);
    let mut result = Leakage {
        split_gap: split_gap(&combined),
        runs,
        combined,
        operating: Vec::new(),
        per_floor: Vec::new(),
        of_handler: Vec::new(),
        tap_frac,
        tap_read,
        tap: asked.tap,
        limit: asked.limit.clone(),
    };
    for whole in result.combined.iter().filter(|c| c.part == Part::Whole) {
        if let Some(area) = asked.floor_area_m2 {
            result.per_floor.push((whole.to, whole.q25.scaled(1.0 / area, Quantity::FloorLeakage)));
        }
        if let Some(handler) = asked.handler_m3_s {
            let share =
                follows(&[Known::from_estimate(&whole.q25), handler], Quantity::Fraction, |x| match x {
                    [leak, flow] => leak / flow,
                    _ => f64::NAN,
                });
            result.of_handler.push((whole.to, share));
        }
    }
    for (part, plenum_pa) in [(Part::Supply, asked.supply_plenum_pa), (Part::Return, asked.return_plenum_pa)]
    {
        // What goes to the house does no harm: to outdoors where it is known.
        let side = result.combined.iter().find(|c| c.part == part);
        if let (Some(side), Some(plenum_pa)) = (side, plenum_pa) {
            result.operating.push((part, side.to, operating(side, plenum_pa)));
        }
    }
    (result, wrong)
}

fn tap(asked: &Asked) -> (f64, bool) {
    (asked.elsewhere_frac.unwrap_or(TAP_SHARE), asked.elsewhere_frac.is_some())
}

/// Usable points of a run: pressure along its direction, Pa, and flow, m3/s.
fn usable(run: &Run, asked: &Asked, wrong: &mut Diagnostics) -> Vec<(f64, f64)> {
    let mut points = Vec::new();
    for (at, point) in run.points.iter().enumerate() {
        let driving = match (run.to, point.house_pa) {
            (To::Anywhere, _) => point.duct_pa - run.baseline_pa,
            (To::Outdoors, Some(house_pa)) => point.duct_pa + house_pa - run.baseline_pa,
            (To::Outdoors, None) => {
                wrong.push(
                    Diagnostic::error(code::D204)
                        .at(point.span.clone())
                        .arg("test", asked.test.as_str())
                        .arg("run", run.name.as_str()),
                );
                continue;
            }
        };
        let along = if run.direction == Direction::Depressurise { -driving } else { driving };
        if along > 0.0 && along.is_finite() && point.flow_m3_s > 0.0 && point.flow_m3_s.is_finite() {
            points.push((along, point.flow_m3_s));
        } else {
            wrong.push(
                Diagnostic::error(code::D203)
                    .at(point.span.clone())
                    .arg("test", asked.test.as_str())
                    .arg("run", run.name.as_str())
                    .arg("point", at + 1)
                    .arg("pressure", (driving, Quantity::Pressure)),
            );
        }
    }
    if points.is_empty() {
        wrong.push(
            Diagnostic::error(code::D205)
                .at(run.span.clone())
                .arg("test", asked.test.as_str())
                .arg("run", run.name.as_str()),
        );
    }
    points
}

/// The line through the points where they carry one.
fn line(run: &Run, points: &[(f64, f64)], asked: &Asked, wrong: &mut Diagnostics) -> Option<PowerLaw> {
    let (dp, flow): (Vec<f64>, Vec<f64>) = points.iter().copied().unzip();
    let (low, high) = ends(points);
    if asked.exponent.is_some() || points.len() < LINE.0 || high < LINE.1 * low {
        return None;
    }
    let law = PowerLaw::ordinary(&dp, &flow).ok()?;
    if (0.5..=1.0).contains(&law.exponent()) {
        return Some(law);
    }
    wrong.push(
        Diagnostic::warning(code::D206)
            .at(run.span.clone())
            .arg("test", asked.test.as_str())
            .arg("run", run.name.as_str())
            .arg("exponent", law.exponent())
            .arg("used", EXPONENT),
    );
    None
}

fn ends(points: &[(f64, f64)]) -> (f64, f64) {
    points.iter().fold((f64::INFINITY, 0.0), |(lo, hi), p| (lo.min(p.0), hi.max(p.0)))
}

fn run(run: &Run, asked: &Asked, wrong: &mut Diagnostics) -> Option<RunResult> {
    let points = usable(run, asked, wrong);
    if points.is_empty() {
        return None;
    }
    let count = points.len() as f64;
    let law = line(run, &points, asked, wrong);
    let n = law.as_ref().map_or(asked.exponent.unwrap_or(EXPONENT), PowerLaw::exponent);
    // Each point at 25 Pa, in logarithms.
    let ln25: Vec<f64> = points.iter().map(|(p, q)| math::ln(*q) + n * math::ln(REFERENCE_PA / p)).collect();
    let mean = ln25.iter().sum::<f64>() / count;
    let spread = ln25.iter().map(|x| (x - mean) * (x - mean)).sum::<f64>();
    let (q25, scatter, from_exponent) = match &law {
        Some(law) => {
            (law.flow_m3_s(REFERENCE_PA), law.ln_half_width(REFERENCE_PA, LEVEL).unwrap_or(0.0), 0.0)
        }
        None => {
            let se = (spread / (count * (count - 1.0).max(1.0))).sqrt();
            let scatter = if count > 1.0 { student_t_two_sided(LEVEL, count - 1.0) * se } else { 0.0 };
            let reach = points.iter().map(|(p, _)| math::ln(REFERENCE_PA / p)).sum::<f64>() / count;
            // An exponent the user gives is taken at its word.
            let half = if asked.exponent.is_some() { 0.0 } else { EXPONENT_HALF };
            (math::exp(mean), scatter, half * reach.abs())
        }
    };
    let mean_of = |pick: fn(&(f64, f64)) -> f64| points.iter().map(pick).sum::<f64>() / count;
    let (mean_pa, mean_flow) = (mean_of(|p| p.0), mean_of(|p| p.1));
    let gauges = asked.flow_accuracy.zip(asked.pressure_accuracy).map(|(flow, pressure)| {
        let from_tap = n * tap(asked).0;
        let (flow, pressure) = (flow.limit(mean_flow) / mean_flow, n * pressure.limit(mean_pa) / mean_pa);
        [flow, pressure, from_tap, scatter, from_exponent].iter().map(|h| h * h).sum::<f64>().sqrt()
    });
    let q25 = match gauges {
        Some(h) => Estimate::range(q25, q25 * math::exp(-h), q25 * math::exp(h), LEVEL, Quantity::AirFlow),
        None => Estimate::without(q25, Quantity::AirFlow, NoInterval::TypedWithoutInstrument),
    };
    let largest = |f: &dyn Fn(&Point) -> f64| run.points.iter().map(f).fold(0.0, f64::max);
    let null = largest(&|p| p.duct_pa.abs()).max(asked.pressure_accuracy.map_or(0.0, |a| a.limit(0.0)));
    Some(RunResult {
        name: run.name.clone(),
        part: run.part,
        to: run.to,
        direction: run.direction,
        q25,
        exponent: law.as_ref().map_or_else(
            || Estimate::without(n, Quantity::Number, NoInterval::Assumed),
            |l| l.exponent_estimate(LEVEL),
        ),
        points: points.len(),
        span_pa: ends(&points),
        null_pa: (run.to == To::Outdoors).then_some(null),
        house_not_open: run.to == To::Anywhere
            && largest(&|p| p.house_pa.map_or(0.0, |h| h.abs() / p.duct_pa.abs().max(1e-9))) > 0.1,
    })
}

/// Leaks between ducts and house pass `(total - outdoors) (null/25)^n` under what remained of a
/// pressure between them.
fn widen_by_null(runs: &mut [RunResult]) {
    let totals: Vec<(Part, f64)> =
        runs.iter().filter(|r| r.to == To::Anywhere).map(|r| (r.part, r.q25.si)).collect();
    for run in runs.iter_mut().filter(|r| r.to == To::Outdoors) {
        let total = totals.iter().find(|t| t.0 == run.part).map(|t| t.1);
        if let (Some(total), Some(null_pa), Some((lo, hi))) = (total, run.null_pa, run.q25.bounds()) {
            let inside = (total - run.q25.si).max(0.0);
            let more = operating_leakage(inside, null_pa, 1.0, run.exponent.si);
            run.q25 = Estimate::range(run.q25.si, lo - more, hi + more, LEVEL, Quantity::AirFlow);
        }
    }
}

/// The mean over runs; the gauges are the same, so their error stays.
fn combine(runs: &[RunResult], part: Part, to: To) -> Option<Combined> {
    let of: Vec<&RunResult> = runs.iter().filter(|r| r.part == part && r.to == to).collect();
    let first = of.first()?;
    let count = of.len() as f64;
    let mean = |pick: &dyn Fn(&RunResult) -> f64| of.iter().map(|r| pick(r)).sum::<f64>() / count;
    let value = mean(&|r| r.q25.si);
    let bounds: Option<Vec<(f64, f64)>> = of.iter().map(|r| r.q25.bounds()).collect();
    let apart = bounds.as_ref().is_some_and(|b| {
        b.iter().map(|x| x.0).fold(f64::NEG_INFINITY, f64::max)
            > b.iter().map(|x| x.1).fold(f64::INFINITY, f64::min)
    });
    let q25 = match bounds {
        Some(b) => {
            let end = |pick: fn(&(f64, f64)) -> f64| b.iter().map(pick).sum::<f64>() / count;
            Estimate::range(value, end(|x| x.0), end(|x| x.1), LEVEL, Quantity::AirFlow)
        }
        None => Estimate::without(value, Quantity::AirFlow, NoInterval::TypedWithoutInstrument),
    };
    let exponent = match of.as_slice() {
        [_] => first.exponent,
        _ => Estimate::without(mean(&|r| r.exponent.si), Quantity::Number, NoInterval::NotDefined),
    };
    Some(Combined { part, to, q25, exponent, summed: false, directions_disagree: apart })
}

/// Supply and return added: measured by the same gauges, so their errors add.
fn sum(sides: &[Option<Combined>; 2], to: To) -> Option<Combined> {
    let [Some(a), Some(b)] = sides else { return None };
    let value = a.q25.si + b.q25.si;
    let q25 = match (a.q25.bounds(), b.q25.bounds()) {
        (Some(x), Some(y)) => Estimate::range(value, x.0 + y.0, x.1 + y.1, LEVEL, Quantity::AirFlow),
        _ => Estimate::without(value, Quantity::AirFlow, NoInterval::TypedWithoutInstrument),
    };
    let n = (a.exponent.si * a.q25.si + b.exponent.si * b.q25.si) / value;
    let exponent = Estimate::without(n, Quantity::Number, NoInterval::NotDefined);
    Some(Combined { part: Part::Whole, to, q25, exponent, summed: true, directions_disagree: false })
}

fn split_gap(combined: &[Combined]) -> Option<Estimate> {
    [To::Anywhere, To::Outdoors].into_iter().find_map(|to| {
        let of = |part| combined.iter().find(|c| c.part == part && c.to == to && !c.summed);
        let inputs =
            [of(Part::Supply)?, of(Part::Return)?, of(Part::Whole)?].map(|c| Known::from_estimate(&c.q25));
        Some(follows(&inputs, Quantity::AirFlow, |x| match x {
            [supply, back, whole] => supply + back - whole,
            _ => f64::NAN,
        }))
    })
}

fn operating(side: &Combined, plenum_pa: f64) -> Estimate {
    let exponent = match side.exponent.bounds() {
        Some(_) => Known::from_estimate(&side.exponent),
        None => Known { si: side.exponent.si, half: Some(EXPONENT_HALF) },
    };
    let share = Known { si: PLENUM_SHARE.0, half: Some(PLENUM_SHARE.1) };
    follows(&[Known::from_estimate(&side.q25), share, exponent], Quantity::AirFlow, |x| match x {
        [q25, share, n] => operating_leakage(*q25, plenum_pa, *share, *n),
        _ => f64::NAN,
    })
}
