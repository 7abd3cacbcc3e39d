//! One direction of one run: from stations to a curve, figures and checks.

use super::check::{Check, CheckId};
use super::conditions::about;
use super::curve::{Curve, draw};
use super::fans::{Fans, Refused, Together, together};
use super::figures::{Figures, FlowAt, REPORT_PA};
use super::honest::{self, Reading, Readings, RunEstimate, WindPrior, Zero};
use super::input::{Averaged, Building, EnvelopeTest, Station};
use super::profile::{Limit, Method, Profile};
use super::result::{BaselineMeans, BaselineSummary, CurveBand, FanPart, RunResult, StationResult};
use super::spread::{LEVEL, Stated, coverage, half_width_of_limit};
use crate::diag::{Code, Diagnostic, Diagnostics, Severity, Span, code};
use crate::math;
use crate::measure::regression::{BandPoint, RegressionError};
use crate::measure::{Estimate, NoInterval};
use crate::procedure::instrument::{
    AirAtTest, AtReference, Direction, FlowError, HousePressure, Leakage, reference_factor,
};
use crate::units::{Accuracy, Quantity};

/// Readings of a one-point test count as one pressure within this share of the one nearest to
/// 50 Pa (own choice).
const ONE_POINT_BAND: f64 = 0.1;
/// No fan test of a house reaches this pressure, Pa (own choice).
pub(super) const HIGHEST_PA: f64 = 1000.0;
/// Below this a gauge shows no pressure at all, Pa (own choice).
const LOWEST_PA: f64 = 0.01;
/// A house leaks something, and no fan moves more than this, m3/s (own choice).
const FLOW_RANGE_M3_S: std::ops::RangeInclusive<f64> = 1e-6..=1e3;
/// Pressures the drawn curve spans, Pa.
const CURVE_PA: (f64, f64) = (4.0, 100.0);
/// Places of the drawn curve.
const CURVE_PLACES: usize = 41;

struct Used {
    number: usize,
    dp_pa: f64,
    averaged: Averaged,
    together: Together,
}

/// A run as the standard has it, and the estimate that counts the wind where one can be made.
pub(super) struct Worked {
    pub(super) result: RunResult,
    pub(super) estimate: Option<RunEstimate>,
}

/// What all runs of a test share.
pub(super) struct Shared<'a> {
    pub(super) test: &'a EnvelopeTest,
    pub(super) profile: &'a Profile,
    pub(super) air: AirAtTest,
    pub(super) building: Building,
    /// One a fan.
    pub(super) flow_accuracy: Vec<Option<Accuracy>>,
    pub(super) pressure_accuracy: Option<Accuracy>,
    /// Wind as told.
    pub(super) wind_m_s: Option<f64>,
}

fn station_diagnostic(
    test: &EnvelopeTest,
    code: Code,
    run: usize,
    number: usize,
    station: &Station,
) -> Diagnostic {
    let mut d = about(test, code).arg("run", run).arg("station", number);
    if let Some(span) = &station.span {
        d.spans = vec![span.clone()];
    }
    d
}

/// Whether a gauge on a house can show this; NaN is not.
pub(super) fn is_plausible_pa(shown_pa: f64) -> bool {
    (-HIGHEST_PA..=HIGHEST_PA).contains(&shown_pa)
}

fn use_station(
    shared: &Shared<'_>,
    run: usize,
    number: usize,
    station: &Station,
    offset_pa: f64,
    found: &mut Diagnostics,
) -> Option<Used> {
    let test = shared.test;
    let say = |code| station_diagnostic(test, code, run, number, station);
    if !is_plausible_pa(station.shown_pa) {
        found.push(say(code::E102).arg("high", (HIGHEST_PA, Quantity::Pressure)));
        return None;
    }
    let direction = station.direction;
    let house = HousePressure::shown(station.shown_pa, test.pressure_gauge.order, direction);
    let induced = if test.pressure_gauge.baseline_already_out {
        house.baseline_already_out()
    } else {
        house.less_baseline(offset_pa)
    };
    let dp_pa = induced.along_pa(direction);
    if dp_pa > HIGHEST_PA {
        found.push(say(code::E102).arg("high", (HIGHEST_PA, Quantity::Pressure)));
        return None;
    }
    if dp_pa < LOWEST_PA {
        found.push(say(code::E104).arg("induced", (induced.pa(), Quantity::Pressure)).arg(
            "direction",
            match direction {
                Direction::Depressurise => "depressurise",
                Direction::Pressurise => "pressurise",
            },
        ));
        return None;
    }
    let (fans, gauges) = (station.fans.len(), test.flow_gauges.len());
    if fans != gauges {
        found.push(say(code::E124).arg("found", fans).arg("wanted", gauges));
        return None;
    }
    match together(&test.flow_gauges, station, &shared.air) {
        Ok(together) if FLOW_RANGE_M3_S.contains(&together.leakage.m3_s()) => {
            let averaged = checked_average(station.averaged).unwrap_or_else(|| {
                let mut d = say(code::E126);
                d.severity = Severity::Warning;
                found.push(d);
                Averaged::default()
            });
            Some(Used { number, dp_pa, averaged, together })
        }
        Ok(_) => {
            found.push(say(code::E103).arg("fan", 0_usize));
            None
        }
        Err(Refused { fan, error }) => {
            let say = |code| say(code).arg("fan", fan_number(test, fan));
            found.push(match error {
                FlowError::NotFinite | FlowError::NotPositive { .. } => say(code::E103),
                FlowError::NoCalibration { range } => say(code::E110).arg("range", range + 1),
                FlowError::OutsideSpan { shown_pa, low_pa, high_pa } => say(code::E109)
                    .arg("shown", (shown_pa, Quantity::Pressure))
                    .arg("low", (low_pa, Quantity::Pressure))
                    .arg("high", (high_pa, Quantity::Pressure)),
                FlowError::OtherConditions => about(test, code::E123),
            });
            None
        }
    }
}

/// What was recorded of a station's average, with its seconds; nothing where a number is unusable.
fn checked_average(told: Averaged) -> Option<Averaged> {
    let above_zero = |v: Option<f64>| v.is_none_or(|v| v > 0.0 && v.is_finite());
    let usable = told.sd_pa.is_none_or(|v| v >= 0.0 && v.is_finite())
        && above_zero(told.seconds)
        && told.count.is_none_or(|n| n > 0);
    usable.then(|| Averaged { seconds: told.seconds.or(told.count.map(f64::from)), ..told })
}

/// The number of a fan in a message, from 1; 0, which is not said, where there is no other.
pub(super) fn fan_number(test: &EnvelopeTest, fan: Option<usize>) -> usize {
    if test.flow_gauges.len() > 1 { fan.map_or(0, |f| f + 1) } else { 0 }
}

/// Keeps the readings at the pressure nearest to 50 Pa; names the others.
fn keep_one_pressure(
    shared: &Shared<'_>,
    run: usize,
    used: Vec<Used>,
    stations: &[(usize, &Station)],
    found: &mut Diagnostics,
) -> Vec<Used> {
    let far = |p: f64| math::ln(p / 50.0).abs();
    let Some(centre) = used.iter().map(|u| u.dp_pa).min_by(|a, b| far(*a).total_cmp(&far(*b))) else {
        return used;
    };
    let (kept, others): (Vec<Used>, Vec<Used>) =
        used.into_iter().partition(|u| (u.dp_pa / centre - 1.0).abs() <= ONE_POINT_BAND);
    for other in others {
        if let Some((number, station)) = stations.iter().find(|(n, _)| *n == other.number) {
            let mut d = station_diagnostic(shared.test, code::E121, run, *number, station);
            d.severity = Severity::Note;
            found.push(d.arg("induced", (other.dp_pa, Quantity::Pressure)));
        }
    }
    kept
}

/// A pressure with what its gauge cannot tell.
fn gauged(pa: f64, accuracy: Option<Accuracy>) -> Estimate {
    match accuracy.map(|a| half_width_of_limit(a.limit(pa))) {
        Some(half) => Estimate::range(pa, pa - half, pa + half, LEVEL, Quantity::Pressure),
        None => Estimate::without(pa, Quantity::Pressure, NoInterval::TypedWithoutInstrument),
    }
}

fn plain(value: f64) -> Estimate {
    Estimate::without(value, Quantity::Number, NoInterval::NotDefined)
}

fn judge(limit: &Limit, curve: &Curve<'_>, baseline: &BaselineSummary) -> Check {
    use CheckId as C;
    let accuracy = curve.pressure_accuracy;
    let sides = || baseline.before.iter().chain(baseline.after.iter());
    let largest = math::max_valid(sides().map(|m| m.mean_pa.abs()));
    let mut sorted = curve.dp_pa.to_vec();
    sorted.sort_by(f64::total_cmp);
    let lowest = sorted.first().map(|p| gauged(*p, accuracy));
    let line = curve.shape.line(10.0);
    let mut limit = *limit;
    let value = match limit.check {
        C::StationCount => Some(plain(curve.dp_pa.len() as f64)),
        C::LowestPressure => lowest,
        C::HighestPressure => sorted.last().map(|p| gauged(*p, accuracy)),
        C::PressureStep => math::max_valid(sorted.windows(2).map(|w| w[1] - w[0])).map(plain),
        C::LowestOverBaseline => {
            // The limit is so many times the baseline.
            limit.lo = limit.lo.zip(largest).map(|(times, pa)| times * pa);
            lowest.filter(|_| largest.is_some())
        }
        C::Baseline => largest.map(|p| gauged(p, accuracy)),
        C::BaselineSplit => {
            let split = sides().flat_map(|m| [m.mean_positive_pa, m.mean_negative_pa]).flatten();
            math::max_valid(split.map(f64::abs)).map(|p| gauged(p, accuracy))
        }
        C::Determination => line.map(|(r2, _)| plain(r2)),
        C::Correlation => line.map(|(r2, _)| plain(r2.sqrt())),
        C::RelativeStandardError => line.map(|(_, se)| plain(se)),
        C::Exponent => (curve.method != Method::OnePoint).then(|| plain(curve.shape.n)),
        _ => None,
    };
    Check::judge(&limit, value)
}

/// The one reason for which all of several stations were refused.
fn shared_reason(refused: &Diagnostics, stations: usize) -> Option<&'static str> {
    let every = |codes: &[Code]| refused.list.iter().all(|d| codes.contains(&d.code));
    let reasons: [(&[Code], &str); 3] = [
        (&[code::E103], "flow"),
        (&[code::E104], "direction"),
        // A column of another quantity has numbers too large and of the wrong sign.
        (&[code::E102, code::E104], "pressure"),
    ];
    let all_refused = stations > 1 && refused.list.len() == stations;
    reasons.iter().find(|(codes, _)| all_refused && every(codes)).map(|(_, reason)| *reason)
}

/// Names stations that stand there twice, number for number: a fan test hardly ever shows the same again.
fn note_repeats(shared: &Shared<'_>, run: usize, stations: &[(usize, &Station)], found: &mut Diagnostics) {
    for (at, (number, station)) in stations.iter().enumerate() {
        let same = |other: &&(usize, &Station)| {
            other.1.shown_pa.total_cmp(&station.shown_pa).is_eq() && other.1.fans == station.fans
        };
        if let Some((first, _)) = stations.iter().take(at).find(same) {
            let mut d =
                station_diagnostic(shared.test, code::E128, run, *number, station).arg("first", *first);
            d.severity = Severity::Note;
            found.push(d);
        }
    }
}

/// Works one direction of one run; nothing, with the reason in `found`, where no curve can be drawn.
pub(super) fn work(
    shared: &Shared<'_>,
    run: usize,
    direction: Direction,
    stations: &[(usize, &Station)],
    baseline: BaselineSummary,
    found: &mut Diagnostics,
) -> Option<Worked> {
    let (test, profile) = (shared.test, shared.profile);
    let mut refused = Diagnostics::default();
    let usable = stations
        .iter()
        .filter_map(|(n, s)| use_station(shared, run, *n, s, baseline.offset_pa, &mut refused));
    let mut used: Vec<Used> = usable.collect();
    if used.is_empty()
        && let Some(reason) = shared_reason(&refused, stations.len())
    {
        let mut d = about(test, code::E127).arg("run", run).arg("count", stations.len()).arg("why", reason);
        let spans: Vec<Span> = refused.list.into_iter().flat_map(|d| d.spans).collect();
        // The first and the last tell where all of them stand.
        d.spans = spans.first().into_iter().chain(spans.last()).cloned().collect();
        found.push(d);
        return None;
    }
    found.append(refused);
    note_repeats(shared, run, stations, found);
    if profile.method == Method::OnePoint {
        used = keep_one_pressure(shared, run, used, stations, found);
    }
    let needed = match profile.method {
        Method::MultiPoint => 3,
        Method::TwoPoint => 2,
        Method::OnePoint => 1,
    };
    if used.len() < needed {
        found.push(about(test, code::E101).arg("run", run).arg("found", used.len()).arg("needed", needed));
        return None;
    }
    let numbers: Vec<usize> = used.iter().map(|u| u.number).collect();
    let dp_pa: Vec<f64> = used.iter().map(|u| u.dp_pa).collect();
    let assumed = profile.exponent.value;
    let mut drawn = |flows: &[f64]| match draw(profile.method, assumed, &dp_pa, flows) {
        Ok(shape) if shape.is_usable(CURVE_PA) => Some(shape),
        other => {
            let code =
                if let Err(RegressionError::TooFewPoints { .. }) = other { code::E101 } else { code::E119 };
            found.push(about(test, code).arg("run", run).arg("found", dp_pa.len()).arg("needed", needed));
            None
        }
    };
    // The exponent comes first, since bringing a flow to reference conditions needs it. A constant
    // factor on all flows leaves it as it is.
    let shown: Vec<f64> = used.iter().map(|u| u.together.leakage.m3_s()).collect();
    let at_test = drawn(&shown)?;
    let leak_air = shared.air.in_leaks(direction);
    let form = profile.reference.value;
    let still_at_test = used.iter().all(|u| matches!(u.together.leakage, Leakage::AtTest(_)));
    let averaged: Vec<Averaged> = used.iter().map(|u| u.averaged).collect();
    let (leakages, shares): (Vec<Leakage>, Vec<Vec<f64>>) =
        used.into_iter().map(|u| (u.together.leakage, u.together.shares)).unzip();
    let flow_m3_s: Vec<f64> = leakages
        .into_iter()
        .map(|leakage| {
            let at_reference: AtReference = match leakage {
                Leakage::AtTest(flow) => flow.at_reference(&leak_air, form, at_test.n),
                Leakage::AtReference(flow) => flow,
            };
            at_reference.m3_s()
        })
        .collect();
    let shape = drawn(&flow_m3_s)?;
    let curve = Curve {
        method: profile.method,
        shape,
        assumed,
        dp_pa: &dp_pa,
        flow_m3_s: &flow_m3_s,
        fans: Fans { shares: &shares, accuracy: &shared.flow_accuracy, flow_m3_s: &flow_m3_s },
        pressure_accuracy: shared.pressure_accuracy,
        offset_se_pa: baseline.offset_se_pa,
    };
    let (lowest, highest) =
        (math::min_valid(dp_pa.iter().copied())?, math::max_valid(dp_pa.iter().copied())?);
    let flow_at = |dp: f64| {
        let parts = curve.parts(dp);
        FlowAt {
            dp_pa: dp,
            flow: Stated::from_parts(shape.flow_m3_s(dp), Quantity::AirFlow, &parts),
            parts,
            extrapolated: dp < lowest || dp > highest,
        }
    };
    warn(shared, run, shape.n, highest, found);
    let residuals = numbers.iter().zip(&dp_pa).zip(&flow_m3_s).map(|((station, dp), flow)| {
        let fitted_m3_s = shape.flow_m3_s(*dp);
        StationResult {
            station: *station,
            dp_pa: *dp,
            flow_m3_s: *flow,
            fitted_m3_s,
            residual_percent: 100.0 * (flow / fitted_m3_s - 1.0),
        }
    });
    let coefficient = flow_at(1.0).flow;
    let estimate = estimate(shared, direction, &curve, &averaged, &baseline);
    let result = RunResult {
        run,
        direction,
        method: profile.method,
        baseline,
        exponent: curve.exponent(),
        coefficient,
        coefficient_at_test: still_at_test
            .then(|| coefficient.total.si / reference_factor(&leak_air, form, at_test.n)),
        r2: shape.line(10.0).map(|l| l.0),
        figures: Figures::from_flows(&shared.building, flow_at),
        fans: fan_parts(&curve),
        stations: residuals.collect(),
        left_out: stations.iter().map(|(n, _)| *n).filter(|n| !numbers.contains(n)).collect(),
        curve: drawing(&curve),
        checks: profile
            .limits
            .iter()
            .filter(|l| !l.check.of_whole_test())
            .map(|l| judge(l, &curve, &baseline))
            .collect(),
    };
    Some(Worked { result, estimate })
}

/// The estimate that counts the wind; nothing where a fan ran whose accuracy is not stated.
fn estimate(
    shared: &Shared<'_>,
    direction: Direction,
    curve: &Curve<'_>,
    averaged: &[Averaged],
    baseline: &BaselineSummary,
) -> Option<RunEstimate> {
    let sign = match direction {
        Direction::Depressurise => -1.0,
        Direction::Pressurise => 1.0,
    };
    let zero = |m: BaselineMeans| Zero {
        mean_pa: sign * m.mean_pa,
        count: m.count,
        sd_pa: m.mean_se_pa.map(|se| se * (m.count as f64).sqrt()),
    };
    let (before, after) = (baseline.before.map(zero), baseline.after.map(zero));
    // A gauge that takes the baseline out takes out the one from before.
    let offset_pa = match before.or(after) {
        Some(first) if shared.test.pressure_gauge.baseline_already_out => first.mean_pa,
        _ => sign * baseline.offset_pa,
    };
    let readings = Readings {
        stations: (curve.dp_pa.iter().zip(curve.flow_m3_s).zip(averaged))
            .map(|((dp_pa, flow_m3_s), a)| Reading {
                dp_pa: *dp_pa,
                flow_m3_s: *flow_m3_s,
                sd_pa: a.sd_pa,
                seconds: a.seconds,
            })
            .collect(),
        before,
        after,
        offset_pa,
        wind_m_s: shared.wind_m_s,
    };
    let expected = (curve.assumed.value, curve.assumed.se);
    let posterior = honest::estimate(&readings, expected, &WindPrior::OWN).ok()?;
    let gain_sd = |weights: Vec<f64>| {
        let listed: Vec<(usize, f64)> = weights.iter().copied().enumerate().collect();
        let flow = curve.fans.gain(&listed)?;
        let limit =
            |i: usize| curve.pressure_accuracy.map_or(0.0, |a| half_width_of_limit(a.limit(curve.dp_pa[i])));
        let slopes = posterior.slopes_per_pa();
        let pressure: f64 = weights.iter().enumerate().map(|(i, w)| w * slopes[i] * limit(i)).sum();
        Some((flow * flow + pressure * pressure).sqrt() / coverage())
    };
    let at = |dp_pa: f64| gain_sd(posterior.weights(dp_pa)).map(|sd| (dp_pa, sd));
    let flows: Option<Vec<(f64, f64)>> = std::iter::once(1.0).chain(REPORT_PA).map(at).collect();
    Some(RunEstimate { gain_sd: flows?, exponent_gain_sd: gain_sd(posterior.exponent_weights())?, posterior })
}

/// Where there are several, the fans that ran.
fn fan_parts(curve: &Curve<'_>) -> Vec<FanPart> {
    let count = curve.fans.accuracy.len();
    let part = |fan| {
        let accuracy_frac = curve.fans.own_accuracy(fan)?;
        Some(FanPart { fan: fan + 1, share50: curve.share(fan, 50.0), accuracy_frac })
    };
    if count > 1 { (0..count).filter_map(part).collect() } else { Vec::new() }
}

fn warn(shared: &Shared<'_>, run: usize, n: f64, highest: f64, found: &mut Diagnostics) {
    let mut say = |mut d: Diagnostic| {
        d.severity = Severity::Warning;
        found.push(d);
    };
    let unsure = shared.pressure_accuracy.map_or(0.0, |a| a.limit(50.0));
    if highest < 50.0 - unsure {
        say(about(shared.test, code::E113).arg("run", run).arg("highest", (highest, Quantity::Pressure)));
    }
    if !(0.5..=1.0).contains(&n) {
        say(about(shared.test, code::E114).arg("run", run).arg("exponent", n));
    }
}

fn drawing(curve: &Curve<'_>) -> Vec<CurveBand> {
    let (low, high) = (math::ln(CURVE_PA.0), math::ln(CURVE_PA.1));
    (0..CURVE_PLACES)
        .map(|i| {
            let dp_pa = math::exp(low + (high - low) * i as f64 / (CURVE_PLACES - 1) as f64);
            let flow_m3_s = curve.shape.flow_m3_s(dp_pa);
            let stated = Stated::from_parts(flow_m3_s, Quantity::AirFlow, &curve.parts(dp_pa));
            let (scatter, total) = (stated.scatter.bounds(), stated.total.bounds());
            CurveBand {
                scatter: BandPoint {
                    dp_pa,
                    flow_m3_s,
                    lo_m3_s: scatter.map(|b| b.0),
                    hi_m3_s: scatter.map(|b| b.1),
                },
                total_lo_m3_s: total.map(|b| b.0),
                total_hi_m3_s: total.map(|b| b.1),
            }
        })
        .collect()
}
