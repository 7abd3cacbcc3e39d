//! The whole test: its runs, their mean, and the checks that concern all of it.

use super::check::{Check, CheckId};
use super::conditions::{about, air_at_test, baseline, checked_building, checked_conditions};
use super::figures::{Figures, FlowAt};
use super::honest;
use super::input::{Conditions, EnvelopeTest, Station};
use super::profile::{Limit, Profile};
use super::result::{EnvelopeResult, RunResult};
use super::run::{Shared, Worked, fan_number, work};
use super::spread::{LEVEL, Parts, Stated};
use crate::diag::{Diagnostic, Diagnostics, Severity, code};
use crate::math;
use crate::measure::{Estimate, NoInterval};
use crate::procedure::instrument::{Basis, Direction};
use crate::units::{Accuracy, Quantity};
use serde::Serialize;

/// A result, if one could be worked out, and everything found on the way.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Outcome {
    /// Absent where no run gave a curve.
    pub result: Option<EnvelopeResult>,
    /// Codes E101 and following.
    pub diagnostics: Diagnostics,
}

/// Works an envelope test to a procedure.
///
/// ```
/// use engine::procedure::envelope::*;
/// use engine::procedure::instrument::*;
/// let station = |shown_pa: f64, flow_m3_h: f64| Station {
///     direction: Direction::Depressurise,
///     shown_pa,
///     fans: vec![FanReading { shown: flow_m3_h / 3600.0, range: 0 }],
///     averaged: Averaged::default(),
///     span: None,
/// };
/// let test = EnvelopeTest {
///     name: "before sealing".into(),
///     pressure_gauge: PressureGauge {
///         order: TapOrder::HouseMinusOutdoors,
///         baseline_already_out: true,
///         accuracy: None,
///     },
///     flow_gauges: vec![FlowGauge::flow(Basis::Reference)],
///     runs: vec![Run {
///         stations: vec![
///             station(-10.0, 237.0), station(-20.0, 364.0), station(-30.0, 444.0),
///             station(-40.0, 625.0), station(-50.0, 688.0), station(-60.0, 704.0),
///         ],
///         ..Run::default()
///     }],
///     conditions: Conditions::default(),
///     building: Building { volume_m3: Some(300.0), ..Building::default() },
///     span: None,
/// };
/// let outcome = evaluate(&test, Profile::by_id("iso-9972").unwrap());
/// let result = outcome.result.unwrap();
/// assert!((result.exponent.total.si - 0.6434).abs() < 1e-4);
/// let n50_per_h = result.figures.ach50.unwrap().total.si * 3600.0;
/// assert!((n50_per_h - 661.768 / 300.0).abs() < 1e-3);
/// ```
pub fn evaluate(test: &EnvelopeTest, profile: &Profile) -> Outcome {
    let mut found = Diagnostics::default();
    let building = checked_building(test, &mut found);
    let conditions = checked_conditions(test, &mut found);
    let (air, mut assumptions) = air_at_test(test, &conditions, profile.density.value, &mut found);
    if !(calibrations_are_usable(test, &mut found) && flows_can_be_added(test, &mut found)) {
        return Outcome { result: None, diagnostics: found };
    }
    let shared = Shared {
        test,
        profile,
        air,
        building,
        flow_accuracy: (test.flow_gauges.iter().enumerate())
            .map(|(fan, g)| accuracy(test, ("flow", fan_number(test, Some(fan))), g.accuracy, &mut found))
            .collect(),
        pressure_accuracy: accuracy(test, ("pressure", 0), test.pressure_gauge.accuracy, &mut found),
        wind_m_s: conditions.wind_m_s.filter(|u| *u >= 0.0),
    };
    for (fan, _) in shared.flow_accuracy.iter().enumerate().filter(|(_, a)| a.is_none()) {
        note(about(test, code::E118).arg("fan", fan_number(test, Some(fan))), &mut found);
    }
    if shared.pressure_accuracy.is_none() && test.pressure_gauge.accuracy.is_none() {
        note(about(test, code::E125), &mut found);
    }
    if test.runs.is_empty() {
        found.push(about(test, code::E101).arg("run", 1_usize).arg("found", 0_usize).arg("needed", 1_usize));
    }
    let mut worked = Vec::new();
    for (index, run) in test.runs.iter().enumerate() {
        let number = index + 1;
        let Some(summary) = baseline(test, run, number, &mut assumptions, &mut found) else {
            continue;
        };
        let numbered: Vec<(usize, &Station)> =
            run.stations.iter().enumerate().map(|(i, s)| (i + 1, s)).collect();
        let one_way = |direction| -> Vec<(usize, &Station)> {
            numbered.iter().copied().filter(|(_, s)| s.direction == direction).collect()
        };
        let ways: Vec<(Direction, Vec<(usize, &Station)>)> = [Direction::Depressurise, Direction::Pressurise]
            .into_iter()
            .map(|d| (d, one_way(d)))
            .filter(|(_, stations)| !stations.is_empty())
            .collect();
        if ways.len() > 1 {
            note(about(test, code::E112).arg("run", number), &mut found);
        }
        if ways.is_empty() {
            found.push(
                about(test, code::E101).arg("run", number).arg("found", 0_usize).arg("needed", 1_usize),
            );
        }
        for (direction, stations) in ways {
            worked.extend(work(&shared, number, direction, &stations, summary, &mut found));
        }
    }
    assumptions.sort();
    assumptions.dedup();
    let (runs, estimates): (Vec<RunResult>, Vec<Option<honest::RunEstimate>>) =
        worked.into_iter().map(|w: Worked| (w.result, w.estimate)).unzip();
    let result = (!runs.is_empty()).then(|| {
        compare_directions(test, &runs, &mut found);
        let figures = mean_figures(&shared, &runs);
        let estimates: Option<Vec<honest::RunEstimate>> = estimates.into_iter().collect();
        EnvelopeResult {
            name: test.name.clone(),
            profile: profile.id,
            standard: profile.standard,
            density: profile.density,
            reference: profile.reference,
            air,
            assumptions,
            exponent: mean_exponent(&runs),
            checks: profile
                .limits
                .iter()
                .filter(|l| l.check.of_whole_test())
                .map(|l| judge(l, &shared, &conditions, &runs, &figures))
                .collect(),
            honest: estimates.and_then(|e| honest::together(&e, &weights(&runs), &shared.building)),
            figures,
            runs,
        }
    });
    Outcome { result, diagnostics: found }
}

fn note(mut diagnostic: Diagnostic, found: &mut Diagnostics) {
    diagnostic.severity = Severity::Note;
    found.push(diagnostic);
}

fn accuracy(
    test: &EnvelopeTest,
    (field, fan): (&'static str, usize),
    stated: Option<Accuracy>,
    found: &mut Diagnostics,
) -> Option<Accuracy> {
    let usable = |v: f64| v >= 0.0 && v.is_finite();
    let stated = stated?;
    if usable(stated.relative) && usable(stated.absolute) {
        return Some(stated);
    }
    found.push(about(test, code::E122).arg("field", field).arg("fan", fan));
    None
}

fn calibrations_are_usable(test: &EnvelopeTest, found: &mut Diagnostics) -> bool {
    let mut usable = true;
    for (fan, gauge) in test.flow_gauges.iter().enumerate() {
        let bad = match gauge.basis {
            Basis::FanPressure => gauge.calibrations.iter().position(|c| !c.is_usable()),
            Basis::CalibrationDensity { density_kg_m3 } => {
                (!(density_kg_m3 > 0.0 && density_kg_m3.is_finite())).then_some(0)
            }
            _ => None,
        };
        if let Some(range) = bad {
            let fan = fan_number(test, Some(fan));
            found.push(about(test, code::E111).arg("range", range + 1).arg("fan", fan));
            usable = false;
        }
    }
    usable
}

/// Flows are added through the envelope or at reference conditions. From one to the other leads the
/// exponent, which is not known before they are added.
fn flows_can_be_added(test: &EnvelopeTest, found: &mut Diagnostics) -> bool {
    let at_reference = test.flow_gauges.iter().filter(|g| g.basis == Basis::Reference).count();
    let alike = at_reference == 0 || at_reference == test.flow_gauges.len();
    if !alike {
        found.push(about(test, code::E123));
    }
    alike
}

/// Share of each run in the mean: directions count alike, and runs of a direction alike.
fn weights(runs: &[RunResult]) -> Vec<f64> {
    let of = |direction| runs.iter().filter(|r| r.direction == direction).count();
    let directions =
        [Direction::Depressurise, Direction::Pressurise].into_iter().filter(|d| of(*d) > 0).count();
    runs.iter().map(|r| 1.0 / (directions * of(r.direction)) as f64).collect()
}

/// Runs of one group share baselines; `number` of a run counts from 1.
fn baseline_group(shared: &Shared<'_>, number: usize) -> usize {
    shared.test.runs.iter().take(number).skip(1).filter(|r| !r.shares_baseline).count()
}

fn mean_figures(shared: &Shared<'_>, runs: &[RunResult]) -> Figures {
    let weights = weights(runs);
    Figures::from_flows(&shared.building, |dp_pa| {
        let flows: Vec<(f64, &FlowAt, usize)> = (weights.iter().zip(runs))
            .filter_map(|(w, r)| r.figures.flow_at(dp_pa).map(|f| (*w, f, baseline_group(shared, r.run))))
            .collect();
        let mean: f64 = flows.iter().map(|(w, f, _)| w * f.flow.total.si).sum();
        let shares: Vec<(f64, Parts, usize)> =
            flows.iter().map(|(w, f, group)| (w * f.flow.total.si / mean, f.parts, *group)).collect();
        let parts = Parts::of_mean(&shares);
        FlowAt {
            dp_pa,
            flow: Stated::from_parts(mean, Quantity::AirFlow, &parts),
            parts,
            extrapolated: flows.iter().any(|(_, f, _)| f.extrapolated),
        }
    })
}

fn mean_exponent(runs: &[RunResult]) -> Stated {
    if let [only] = runs {
        return only.exponent;
    }
    let weights = weights(runs);
    let mean = weights.iter().zip(runs).map(|(w, r)| w * r.exponent.total.si).sum();
    let of = |get: fn(&Stated) -> &Estimate| {
        let halves: Option<Vec<f64>> = weights
            .iter()
            .zip(runs)
            .map(|(w, r)| get(&r.exponent).bounds().map(|(lo, hi)| w * (hi - lo) / 2.0))
            .collect();
        match halves {
            Some(h) => {
                let half = h.iter().map(|x| x * x).sum::<f64>().sqrt();
                Estimate::range(mean, mean - half, mean + half, LEVEL, Quantity::Number)
            }
            None => Estimate::without(mean, Quantity::Number, NoInterval::TooFewPoints),
        }
    };
    Stated { total: of(|s| &s.total), scatter: of(|s| &s.scatter) }
}

/// A difference between directions beyond their scatter wants an explanation, not a mean alone.
fn compare_directions(test: &EnvelopeTest, runs: &[RunResult], found: &mut Diagnostics) {
    for down in runs.iter().filter(|r| r.direction == Direction::Depressurise) {
        for up in runs.iter().filter(|r| r.direction == Direction::Pressurise) {
            let at_50 = |r: &RunResult| r.figures.flow_at(50.0).map(|f| f.flow.scatter);
            let (Some(a), Some(b)) = (at_50(down), at_50(up)) else {
                continue;
            };
            let (Some(ends_a), Some(ends_b)) = (a.bounds(), b.bounds()) else {
                continue;
            };
            if ends_a.1 < ends_b.0 || ends_b.1 < ends_a.0 {
                let mut d = about(test, code::E120)
                    .arg("depressurised", (a.si, Quantity::AirFlow))
                    .arg("pressurised", (b.si, Quantity::AirFlow));
                d.severity = Severity::Warning;
                found.push(d);
            }
        }
    }
}

fn judge(
    limit: &Limit,
    shared: &Shared<'_>,
    conditions: &Conditions,
    runs: &[RunResult],
    figures: &Figures,
) -> Check {
    use CheckId as C;
    let quantity = limit.check.quantity().unwrap_or(Quantity::Number);
    let ways = |direction| runs.iter().filter(|r| r.direction == direction).count();
    let (down, up) = (ways(Direction::Depressurise), ways(Direction::Pressurise));
    let value = match limit.check {
        C::HeightTemperature => match (shared.building.height_m, conditions.indoor_k, conditions.outdoor_k) {
            (Some(height), Some(indoor), Some(outdoor)) => Some(height * (indoor - outdoor).abs()),
            _ => None,
        },
        C::Wind => conditions.wind_m_s,
        C::OutdoorTemperature => conditions.outdoor_k,
        C::FlowAccuracy => match shared.flow_accuracy.as_slice() {
            [only] => {
                only.zip(figures.flow_at(50.0)).map(|(a, f)| a.limit(f.flow.total.si) / f.flow.total.si)
            }
            // Each instrument has to keep the limit by itself.
            _ => {
                let each = runs.iter().flat_map(|r| &r.fans).map(|f| f.accuracy_frac);
                each.collect::<Option<Vec<f64>>>().and_then(math::max_valid)
            }
        },
        C::PressureAccuracy => shared.pressure_accuracy.map(|a| a.limit(50.0)),
        C::Directions => Some(f64::from(u8::from(down > 0) + u8::from(up > 0))),
        C::Depressurised => Some(down as f64),
        _ => None,
    };
    Check::judge(limit, value.map(|v| Estimate::without(v, quantity, NoInterval::NotDefined)))
}

#[cfg(test)]
mod tests;
