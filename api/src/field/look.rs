//! What several tests look up: flows typed or of other tests, the envelope test, the air.

use super::{Around, FieldResult};
use crate::TestResult;
use engine::air;
use engine::diag::{Diagnostic, code};
use engine::doc::Sp;
use engine::doc::field::recovery::Flow;
use engine::measure::Estimate;
use engine::procedure::field::around;
use engine::units::{Quantity, System};

/// Humidity where nobody read it, as the envelope tests take it.
const USUAL_RH: f64 = 0.5;

/// A flow and what measured it.
pub(super) struct Measured {
    pub(super) flow: Estimate,
    pub(super) with: Option<String>,
    /// The test it is of.
    pub(super) test: Option<String>,
}

impl<'a> Around<'a> {
    /// A test worked before this one: of this visit, or the last of an earlier one.
    pub(super) fn earlier(&self, name: &Sp<String>) -> Option<&'a FieldResult> {
        let called = || self.before.iter().rev().filter(|r| r.name == name.value);
        let found = called().find(|r| r.visit == self.visit.folder).or_else(|| called().next());
        if found.is_none() {
            let known: Vec<&str> = self.before.iter().map(|r| r.name.as_str()).collect();
            self.unknown(name, "test", &known);
        }
        found
    }

    /// A figure of a test worked before; one without it is said.
    pub(super) fn figure(&self, name: &Sp<String>, ids: &[&str]) -> Option<Estimate> {
        let test = self.earlier(name)?;
        let found = ids.iter().find_map(|id| test.worked.get(id)).copied();
        if found.is_none() {
            self.say(Diagnostic::error(code::X104).at(name.span.clone()).arg("test", name.value.as_str()));
        }
        found
    }

    /// A flow: typed, with its instrument, or of a test worked before.
    pub(super) fn flow(&self, flow: &Flow) -> Option<Measured> {
        if let Some(from) = &flow.from {
            let test = self.earlier(from)?;
            let found = self.figure(from, &["figure-fan-flow", "figure-settled"])?;
            if found.quantity != Quantity::AirFlow {
                self.say(
                    Diagnostic::error(code::X104).at(from.span.clone()).arg("test", from.value.as_str()),
                );
                return None;
            }
            let with = test.detail.get("with").and_then(|w| w.as_str()).map(str::to_owned);
            return Some(Measured { flow: found, with, test: Some(from.value.clone()) });
        }
        let value = flow.value.as_ref()?.value;
        Some(Measured {
            flow: self.typed(value, flow.with.as_ref()),
            with: flow.with.as_ref().map(|w| w.value.clone()),
            test: None,
        })
    }

    /// A typed flow with the accuracy of its instrument.
    pub(super) fn typed(&self, value_m3_s: f64, with: Option<&Sp<String>>) -> Estimate {
        let accuracy = self.accuracy(with, Quantity::AirFlow);
        around(value_m3_s, accuracy.map(|a| a.limit(value_m3_s)), Quantity::AirFlow)
    }

    /// The envelope test of this name, or the last one up to this visit.
    pub(super) fn envelope_test(&self, name: Option<&Sp<String>>) -> Option<&'a TestResult> {
        let until = || self.envelope.iter().rev().filter(|t| t.visit <= self.visit.folder);
        let Some(name) = name else { return until().next() };
        let found = until().find(|t| t.result.name == name.value);
        if found.is_none() {
            let known: Vec<&str> = self.envelope.iter().map(|t| t.result.name.as_str()).collect();
            self.unknown(name, "test", &known);
        }
        found
    }

    /// Whether numbers are shown in inch-pound units.
    pub(super) fn inch_pound(&self) -> bool {
        self.job.units == System::Ip
    }

    /// Air pressure: read, of the place's altitude, or at sea level.
    pub(super) fn pressure_pa(&self) -> f64 {
        let altitude_m = self.job.place.altitude_m.unwrap_or(0.0);
        self.visit.conditions.pressure_pa.unwrap_or_else(|| air::standard_pressure_pa(altitude_m))
    }

    /// Indoor temperature, or 20 degC.
    pub(super) fn indoor_k(&self) -> f64 {
        self.visit.conditions.indoor_k.unwrap_or(air::REFERENCE_TEMP_K)
    }

    /// Density of air of the rooms' humidity at this temperature, kg/m3.
    pub(super) fn density_kg_m3(&self, temp_k: f64) -> f64 {
        let rh = self.visit.conditions.indoor_rh.unwrap_or(USUAL_RH);
        air::test_density_kg_m3(temp_k, rh, self.pressure_pa())
    }

    /// Air volume: of the job, or of the house.
    pub(super) fn volume_m3(&self) -> Option<f64> {
        let typed = self.job.building.volume_m3.as_ref().map(|v| v.value);
        typed.or_else(|| self.house.map(engine::house::House::indoor_volume_m3))
    }

    /// Floor area: of the job, or of the house.
    pub(super) fn floor_area_m2(&self) -> Option<f64> {
        let typed = self.job.building.floor_area_m2.as_ref().map(|a| a.value);
        typed.or_else(|| self.house.map(engine::house::House::indoor_floor_area_m2))
    }

    /// Height of the building, m.
    pub(super) fn height_m(&self) -> Option<f64> {
        self.job.building.height_m.as_ref().map(|h| h.value)
    }
}
