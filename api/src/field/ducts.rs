//! Ducts: leakage, pans, the dominant leak, delivery effectiveness, leakage by difference.

use super::{Around, Done};
use crate::{TestResult, envelope};
use engine::air::{self, MoistAir};
use engine::diag::{Diagnostic, Diagnostics, code};
use engine::doc::Sp;
use engine::doc::field::ducts::{self, Told};
use engine::doc::visit::{self, EnvelopeTest, FlowBasis};
use engine::procedure::duct::{delivery, difference, dominant, flow_at_meter, leakage, pans};
use engine::procedure::handler::rho_cp_j_m3_k;
use engine::procedure::instrument::{Direction, FlowGauge};
use engine::procedure::known::Known;
use engine::units::Quantity;

/// The air that a test moved.
pub(super) struct Air {
    pub(super) pressure_pa: f64,
    pub(super) pressure_assumed: bool,
    pub(super) density_kg_m3: f64,
    pub(super) w_kg_kg: f64,
}

impl Around<'_> {
    /// The air at a meter: 20 degC where no temperature is told, dry where no humidity is (0.5 % of the
    /// density), sea level where neither barometer nor altitude is.
    pub(super) fn air(&self, temp_k: Option<f64>, rh_frac: Option<f64>) -> Air {
        let c = &self.visit.conditions;
        let altitude = self.job.place.altitude_m;
        let pressure_pa = c.pressure_pa.unwrap_or_else(|| air::standard_pressure_pa(altitude.unwrap_or(0.0)));
        let temp_k = temp_k.or(c.indoor_k).unwrap_or(air::REFERENCE_TEMP_K);
        let moist = MoistAir::from_rh(temp_k, rh_frac.or(c.indoor_rh).unwrap_or(0.0), pressure_pa);
        Air {
            pressure_pa,
            pressure_assumed: c.pressure_pa.is_none() && altitude.is_none(),
            density_kg_m3: moist.density_kg_m3(),
            w_kg_kg: moist.humidity_ratio,
        }
    }

    /// A gauge of flow by its name; what shows flow of the air itself where none is named.
    pub(super) fn flow_gauge(&self, name: Option<&Sp<String>>) -> FlowGauge {
        envelope::flow_gauge(self.instrument(name, Quantity::AirFlow))
    }

    /// Flow of the air at a meter, m3/s; a reading that gives none is said.
    pub(super) fn flow_shown(&self, gauge: &FlowGauge, shown: &Sp<f64>, air: &Air) -> Option<f64> {
        let flow = flow_at_meter(gauge, shown.value, air.density_kg_m3);
        if flow.is_err() {
            self.say(Diagnostic::error(code::D201).at(shown.span.clone()));
        }
        flow.ok()
    }

    /// A number that was typed or comes from an earlier test of this visit (the first of `ids`).
    pub(super) fn known(&self, told: &Told, ids: &[&str], wanted: &'static str) -> Option<Known> {
        let Some(name) = &told.from else {
            return told.value.as_ref().map(|v| Known::read(v.value, told.accuracy));
        };
        let here = || self.before.iter().filter(|b| b.visit == self.visit.folder);
        let found = here().find(|b| b.name == name.value);
        let figure = found.and_then(|b| ids.iter().find_map(|id| b.worked.get(id)));
        if figure.is_none() {
            let fits = here().filter(|b| ids.iter().any(|id| b.worked.get(id).is_some()));
            let known: Vec<&str> = fits.map(|b| b.name.as_str()).collect();
            self.no_test(name, wanted, &known);
        }
        figure.map(Known::from_estimate)
    }

    fn no_test(&self, name: &Sp<String>, wanted: &'static str, known: &[&str]) {
        self.say(
            Diagnostic::error(code::D202)
                .at(name.span.clone())
                .arg("name", name.value.as_str())
                .arg("wanted", wanted)
                .arg("known", known.join(", ")),
        );
    }

    pub(super) fn say_all(&self, said: Diagnostics) {
        self.sink.borrow_mut().append(said);
    }
}

/// The flow of the handler by its test.
pub(super) const HANDLER_FLOW: &[&str] = &["figure-handler-flow"];

pub(super) fn leakage(asked: &ducts::leakage::Leakage, test: &str, around: &Around<'_>) -> Option<Done> {
    let gauge = around.flow_gauge(asked.flow_with.as_ref());
    let fan = around.instrument(asked.flow_with.as_ref(), Quantity::AirFlow);
    let raw = fan.is_some_and(|f| f.shows == FlowBasis::FanPressure);
    let at_fan = around.air(asked.fan_air_k, None);
    let mut runs = Vec::new();
    for run in &asked.runs {
        let grid = &run.readings;
        let at = |name: &str| grid.columns.iter().position(|c| c == name);
        let (wanted, other) = if raw { ("fan-pressure", "fan") } else { ("fan", "fan-pressure") };
        let (Some(duct), Some(flow)) = (at("duct"), at(wanted)) else {
            let column = if at(wanted).is_none() && at(other).is_some() { other } else { "" };
            around.say(
                if column.is_empty() {
                    Diagnostic::error(code::D205).arg("test", test).arg("run", run.name.value.as_str())
                } else {
                    let name = fan.map_or("", |f| f.label.as_str());
                    let d = Diagnostic::error(code::V108).arg("test", test).arg("column", column);
                    d.arg("wanted", wanted).arg("name", name)
                }
                .at(grid.columns_span.clone()),
            );
            continue;
        };
        let house = at("house");
        let mut points = Vec::new();
        for row in &grid.rows {
            let cell = |at: usize| row.value.get(at).copied().unwrap_or(f64::NAN);
            let shown = Sp { value: cell(flow), span: row.span.clone() };
            if let Some(flow_m3_s) = around.flow_shown(&gauge, &shown, &at_fan) {
                points.push(leakage::Point {
                    duct_pa: cell(duct),
                    house_pa: house.map(cell),
                    flow_m3_s,
                    span: Some(row.span.clone()),
                });
            }
        }
        let count = run.baseline_pa.len().max(1) as f64;
        runs.push(leakage::Run {
            name: run.name.value.replace('_', " "),
            part: run.part,
            to: run.to,
            direction: match run.direction {
                visit::Direction::Depressurise => Direction::Depressurise,
                visit::Direction::Pressurise => Direction::Pressurise,
            },
            baseline_pa: run.baseline_pa.iter().sum::<f64>() / count,
            points,
            span: Some(run.name.span.clone()),
        });
    }
    let elsewhere_frac = asked.elsewhere_pa.as_ref().and_then(|list| {
        let (tap, others) = list.value.split_first()?;
        let apart = |p: &f64| ((p - tap) / tap).abs();
        (!others.is_empty() && tap.abs() > 0.0).then(|| others.iter().map(apart).fold(0.0, f64::max))
    });
    let building = envelope::building(around.job, around.house);
    let (result, said) = leakage::evaluate(&leakage::Asked {
        test: test.to_owned(),
        runs,
        tap: asked.tap.value,
        elsewhere_frac,
        exponent: asked.exponent,
        pressure_accuracy: around.accuracy(asked.pressure_with.as_ref(), Quantity::Pressure),
        flow_accuracy: fan.and_then(|f| f.accuracy),
        floor_area_m2: asked.floor_area_m2.or(building.floor_area_m2),
        handler_m3_s: around.known(&asked.handler, HANDLER_FLOW, "handler-flow"),
        supply_plenum_pa: asked.supply_plenum_pa,
        return_plenum_pa: asked.return_plenum_pa,
        limit: asked.limit.clone(),
    });
    around.say_all(said);
    (!result.runs.is_empty()).then(|| Done::new(&result, result.worked()))
}

pub(super) fn pans(asked: &ducts::pans::Pans, around: &Around<'_>) -> Option<Done> {
    if asked.handler_on.value {
        around.say(Diagnostic::error(code::D208).at(asked.handler_on.span.clone()));
        return None;
    }
    let zone = |name: &Sp<String>| {
        let found = asked.zones.iter().any(|z| z.0.value == name.value);
        if !found {
            let known: Vec<&str> = asked.zones.iter().map(|z| z.0.value.as_str()).collect();
            around.unknown(name, "zone", &known);
        }
        found.then(|| name.value.clone())
    };
    let read = asked.pans.iter().map(|p| pans::Pan {
        register: p.register.value.clone(),
        reads_pa: p.reads_pa.value,
        zone: p.zone.as_ref().and_then(zone),
        span: Some(p.reads_pa.span.clone()),
    });
    let read = read.collect();
    let (result, said) = pans::evaluate(&pans::Asked {
        house_pa: asked.house_pa.value,
        zones: asked.zones.iter().map(|z| (z.0.value.clone(), z.1)).collect(),
        pans: read,
        accuracy: around.accuracy(asked.pressure_with.as_ref(), Quantity::Pressure),
        target: asked.target.clone(),
    });
    around.say_all(said);
    (!result.pans.is_empty()).then(|| Done::new(&result, result.worked()))
}

pub(super) fn dominant(asked: &ducts::dominant::Dominant, around: &Around<'_>) -> Option<Done> {
    let (off, on) = (asked.repeats.column("off")?, asked.repeats.column("on")?);
    let repeats: Vec<(f64, f64)> = off.into_iter().zip(on).collect();
    let gauge = around.instrument(asked.pressure_with.as_ref(), Quantity::Pressure);
    let house = asked.envelope.as_ref().and_then(|name| {
        let result = &around.envelope_test(Some(name))?.result;
        let q50 = result.figures.flow_at(50.0)?.flow.total;
        let n = result.exponent.total;
        // An exponent that was assumed carries the doubt of an envelope's, 0.65 by 0.05.
        let n = Known { si: n.si, half: Known::from_estimate(&n).half.or(Some(0.05)) };
        Some((Known::from_estimate(&q50), n))
    });
    if repeats.is_empty() {
        return None;
    }
    let result = dominant::evaluate(&dominant::Asked {
        repeats,
        last_off_pa: asked.last_off_pa,
        step_pa: gauge.map(|g| g.resolution),
        house,
        doors_open: asked.doors_open,
        intake_open: asked.intake_open,
    });
    Some(Done::new(&result, result.worked()))
}

pub(super) fn delivery(asked: &ducts::delivery::Delivery, around: &Around<'_>) -> Option<Done> {
    let flow = around.known(&asked.handler, HANDLER_FLOW, "handler-flow");
    let leak =
        |side: &ducts::delivery::Side, ids: &[&str]| around.known(&side.leakage, ids, "operating-leakage");
    let supply =
        leak(&asked.supply, &["figure-duct-operating-supply-outdoors", "figure-duct-operating-supply"]);
    let back = leak(&asked.back, &["figure-duct-operating-return-outdoors", "figure-duct-operating-return"]);
    let (flow, supply, back) = (flow?, supply?, back?);
    let beyond = [supply, back].iter().any(|leak| leak.si > flow.si);
    if beyond {
        around.say(Diagnostic::error(code::D214).at(asked.span.clone()));
        return None;
    }
    let indoor_k = asked.indoor_k.or(around.visit.conditions.indoor_k).unwrap_or(air::REFERENCE_TEMP_K);
    let moved = around.air(Some(indoor_k), None);
    let temperature = |k| Known::read(k, asked.temperature_accuracy);
    let side = |side: &ducts::delivery::Side, leakage_m3_s| delivery::DuctSide {
        leakage_m3_s,
        area_m2: Known::read(side.area_m2, asked.area_accuracy),
        resistance_m2_k_w: Known::read(side.resistance_m2_k_w, asked.resistance_accuracy),
        around_k: temperature(side.around_k),
    };
    let sign = if asked.cooling { -1.0 } else { 1.0 };
    let capacity = Known::read(asked.capacity_w.value, asked.capacity_accuracy);
    let result = delivery::evaluate(&delivery::Asked {
        flow_m3_s: flow,
        capacity_w: Known { si: sign * capacity.si, ..capacity },
        indoor_k: temperature(indoor_k),
        rho_cp_j_m3_k: rho_cp_j_m3_k(moved.density_kg_m3, moved.w_kg_kg),
        supply: side(&asked.supply, supply),
        back: side(&asked.back, back),
    });
    Some(Done::new(&result, result.worked()))
}

pub(super) fn difference(asked: &ducts::difference::Difference, around: &Around<'_>) -> Option<Done> {
    let (open, sealed) = (around.envelope_test(Some(&asked.open)), around.envelope_test(Some(&asked.sealed)));
    let (open, sealed) = (open?, sealed?);
    let at_50 = |test: &TestResult| {
        let flow = test.result.figures.flow_at(50.0)?;
        let quadrature = |parts: &[Option<f64>]| parts.iter().flatten().map(|h| h * h).sum::<f64>().sqrt();
        let parts = flow.parts;
        Some(difference::Envelope {
            q50_m3_s: flow.flow.total.si,
            gain: parts.flow_gain.map(|_| quadrature(&[parts.flow_gain, parts.pressure_gain])),
            own: quadrature(&[parts.scatter, parts.baseline, parts.exponent]),
        })
    };
    let result = difference::evaluate(&difference::Asked {
        open: at_50(open)?,
        sealed: at_50(sealed)?,
        same_gauges: same_gauges(open, sealed, around),
        duct_pa: asked.duct_pa,
        duct_accuracy: around.accuracy(asked.pressure_with.as_ref(), Quantity::Pressure),
    });
    Some(Done::new(&result, result.worked()))
}

/// Whether both tests were made in this visit with the same gauge and fans.
fn same_gauges(open: &TestResult, sealed: &TestResult, around: &Around<'_>) -> bool {
    let written = |t: &TestResult| -> Option<&EnvelopeTest> {
        let here = t.visit == around.visit.folder;
        around.visit.tests.iter().find(|e| here && e.name.value == t.result.name)
    };
    let names = |e: &EnvelopeTest| {
        let fans: Vec<String> = e.flow_with.iter().map(|f| f.value.clone()).collect();
        (e.pressure_with.as_ref().map(|p| p.value.clone()), fans)
    };
    written(open).zip(written(sealed)).is_some_and(|(a, b)| names(a) == names(b))
}
