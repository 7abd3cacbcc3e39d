//! Conditions and sizes as told, checked; air densities; baselines.

use super::input::{Baseline, Building, Conditions, EnvelopeTest, Run, Site};
use super::profile::DensityForm;
use super::result::{Assumption, BaselineMeans, BaselineSummary};
use super::run::{HIGHEST_PA, is_plausible_pa};
use crate::air;
use crate::diag::{Code, Diagnostic, Diagnostics, code};
use crate::procedure::instrument::{AirAtTest, AirSide, Basis, TapOrder};
use crate::units::Quantity;

/// Outdoor and indoor temperatures of a test lie well within this, K (-60 to 60 degC, own choice).
const TEMP_RANGE_K: std::ops::RangeInclusive<f64> = 213.15..=333.15;
/// Air pressure where people live, Pa (own choice).
const BAROMETER_RANGE_PA: std::ops::RangeInclusive<f64> = 50_000.0..=110_000.0;
/// Altitude where people live, m (own choice).
const SITE_RANGE_M: std::ops::RangeInclusive<f64> = -500.0..=6000.0;

/// A diagnostic about this test.
pub(super) fn about(test: &EnvelopeTest, code: Code) -> Diagnostic {
    Diagnostic::error(code).at(test.span.clone()).arg("test", test.name.as_str())
}

fn in_range(
    test: &EnvelopeTest,
    field: &'static str,
    value: Option<f64>,
    range: &std::ops::RangeInclusive<f64>,
    quantity: Quantity,
    found: &mut Diagnostics,
) -> Option<f64> {
    let value = value?;
    if range.contains(&value) {
        return Some(value);
    }
    found.push(
        about(test, code::E117)
            .arg("field", field)
            .arg("value", (value, quantity))
            .arg("low", (*range.start(), quantity))
            .arg("high", (*range.end(), quantity)),
    );
    None
}

/// Sizes above zero; the others are named and left out.
pub(super) fn checked_building(test: &EnvelopeTest, found: &mut Diagnostics) -> Building {
    let mut positive = |field: &'static str, value: Option<f64>, quantity| {
        let value = value?;
        if value > 0.0 && value.is_finite() {
            return Some(value);
        }
        found.push(about(test, code::E108).arg("field", field).arg("value", (value, quantity)));
        None
    };
    let b = &test.building;
    Building {
        volume_m3: positive("volume", b.volume_m3, Quantity::Volume),
        floor_area_m2: positive("floor_area", b.floor_area_m2, Quantity::Area),
        envelope_area_m2: positive("envelope_area", b.envelope_area_m2, Quantity::Area),
        height_m: positive("height", b.height_m, Quantity::Length),
    }
}

/// Conditions within what is possible; the others are named and taken as not measured.
pub(super) fn checked_conditions(test: &EnvelopeTest, found: &mut Diagnostics) -> Conditions {
    let c = &test.conditions;
    let mut ask = |field, value, range: &std::ops::RangeInclusive<f64>, quantity| {
        in_range(test, field, value, range, quantity, found)
    };
    let site = match c.site {
        Some(Site::Barometer { pressure_pa }) => {
            ask("air_pressure", Some(pressure_pa), &BAROMETER_RANGE_PA, Quantity::Pressure)
                .map(|pressure_pa| Site::Barometer { pressure_pa })
        }
        Some(Site::Altitude { altitude_m }) => {
            ask("altitude", Some(altitude_m), &SITE_RANGE_M, Quantity::Length)
                .map(|altitude_m| Site::Altitude { altitude_m })
        }
        None => None,
    };
    Conditions {
        indoor_k: ask("indoor_temperature", c.indoor_k, &TEMP_RANGE_K, Quantity::Temperature),
        outdoor_k: ask("outdoor_temperature", c.outdoor_k, &TEMP_RANGE_K, Quantity::Temperature),
        indoor_rh_frac: ask("indoor_humidity", c.indoor_rh_frac, &(0.0..=1.0), Quantity::Fraction),
        outdoor_rh_frac: ask("outdoor_humidity", c.outdoor_rh_frac, &(0.0..=1.0), Quantity::Fraction),
        site,
        wind_m_s: ask("wind", c.wind_m_s, &(0.0..=100.0), Quantity::Speed),
    }
}

/// Densities and viscosities on both sides, with what had to be assumed.
pub(super) fn air_at_test(
    test: &EnvelopeTest,
    conditions: &Conditions,
    form: DensityForm,
    found: &mut Diagnostics,
) -> (AirAtTest, Vec<Assumption>) {
    let mut assumed = Vec::new();
    let matters = test.flow_gauges.iter().any(|g| g.basis != Basis::Reference);
    let mut missing = |field: &'static str, code, assumption| {
        if matters {
            let mut d = about(test, code).arg("field", field);
            d.severity = crate::diag::Severity::Warning;
            found.push(d);
            assumed.push(assumption);
        }
    };
    let mut temp_k = |value: Option<f64>, field, assumption| {
        value.unwrap_or_else(|| {
            missing(field, code::E115, assumption);
            air::REFERENCE_TEMP_K
        })
    };
    let indoor_k = temp_k(conditions.indoor_k, "indoor", Assumption::IndoorTemperature);
    let outdoor_k = temp_k(conditions.outdoor_k, "outdoor", Assumption::OutdoorTemperature);
    if conditions.site.is_none() {
        missing("air_pressure", code::E116, Assumption::SeaLevel);
    }
    if form == DensityForm::Moist
        && matters
        && (conditions.indoor_rh_frac.is_none() || conditions.outdoor_rh_frac.is_none())
    {
        assumed.push(Assumption::Humidity);
    }
    let side = |temp_k: f64, rh_frac: Option<f64>| {
        let density_kg_m3 = match (form, conditions.site) {
            (DensityForm::DryAltitude, Some(Site::Altitude { altitude_m })) => {
                air::density_at_altitude_kg_m3(temp_k, altitude_m)
            }
            (DensityForm::DryAltitude, None) => air::density_at_altitude_kg_m3(temp_k, 0.0),
            (DensityForm::DryAltitude, Some(Site::Barometer { pressure_pa })) => {
                // The same form with the pressure ratio measured instead of from altitude.
                air::density_at_altitude_kg_m3(temp_k, 0.0) * pressure_pa / air::STANDARD_PRESSURE_PA
            }
            (DensityForm::Moist, site) => {
                let pressure_pa = match site {
                    Some(Site::Barometer { pressure_pa }) => pressure_pa,
                    Some(Site::Altitude { altitude_m }) => air::standard_pressure_pa(altitude_m),
                    None => air::STANDARD_PRESSURE_PA,
                };
                air::test_density_kg_m3(temp_k, rh_frac.unwrap_or(0.5), pressure_pa)
            }
        };
        AirSide { density_kg_m3, viscosity_pa_s: air::viscosity_pa_s(temp_k) }
    };
    let air = AirAtTest {
        indoor: side(indoor_k, conditions.indoor_rh_frac),
        outdoor: side(outdoor_k, conditions.outdoor_rh_frac),
    };
    (air, assumed)
}

fn means(baseline: &Baseline, sign: f64) -> BaselineMeans {
    let samples: Vec<f64> = match baseline {
        Baseline::Samples(list) => list.iter().map(|p| sign * p).collect(),
        Baseline::Mean(mean) => vec![sign * mean],
    };
    let mean_of =
        |values: &[f64]| (!values.is_empty()).then(|| values.iter().sum::<f64>() / values.len() as f64);
    let part = |keep: fn(&f64) -> bool| mean_of(&samples.iter().copied().filter(keep).collect::<Vec<_>>());
    let mean_pa = mean_of(&samples).unwrap_or(f64::NAN);
    if let Baseline::Mean(_) = baseline {
        return BaselineMeans {
            count: 0,
            mean_pa,
            mean_positive_pa: None,
            mean_negative_pa: None,
            mean_se_pa: None,
        };
    }
    let count = samples.len();
    let sum2: f64 = samples.iter().map(|p| (p - mean_pa) * (p - mean_pa)).sum();
    BaselineMeans {
        count,
        mean_pa,
        mean_positive_pa: part(|p| *p > 0.0),
        mean_negative_pa: part(|p| *p < 0.0),
        mean_se_pa: (count > 1).then(|| (sum2 / (count * (count - 1)) as f64).sqrt()),
    }
}

/// The baseline of a run; nothing where it is needed and not known.
pub(super) fn baseline(
    test: &EnvelopeTest,
    run: &Run,
    number: usize,
    assumed: &mut Vec<Assumption>,
    found: &mut Diagnostics,
) -> Option<BaselineSummary> {
    let sign = if test.pressure_gauge.order == TapOrder::OutdoorsMinusHouse { -1.0 } else { 1.0 };
    let mut side = |told: &Option<Baseline>| {
        let told = told.as_ref()?;
        let values: &[f64] = match told {
            Baseline::Samples(list) => list,
            Baseline::Mean(mean) => std::slice::from_ref(mean),
        };
        if let Some(place) = values.iter().position(|p| !is_plausible_pa(*p)) {
            found.push(
                about(test, code::E107)
                    .arg("run", number)
                    .arg("sample", place + 1)
                    .arg("high", (HIGHEST_PA, Quantity::Pressure)),
            );
            return None;
        }
        (!values.is_empty()).then(|| means(told, sign))
    };
    let (before, after) = (side(&run.baseline_before), side(&run.baseline_after));
    let out = test.pressure_gauge.baseline_already_out;
    let (offset_pa, drift_pa) = match (before, after) {
        (Some(b), Some(a)) => (0.5 * (b.mean_pa + a.mean_pa), b.mean_pa - a.mean_pa),
        (Some(one), None) | (None, Some(one)) => {
            if !out {
                let mut d = about(test, code::E106).arg("run", number);
                d.severity = crate::diag::Severity::Warning;
                found.push(d);
                assumed.push(if before.is_some() {
                    Assumption::BaselineBeforeOnly
                } else {
                    Assumption::BaselineAfterOnly
                });
            }
            (one.mean_pa, 0.0)
        }
        (None, None) if out => return Some(BaselineSummary::default()),
        (None, None) => {
            found.push(about(test, code::E105).arg("run", number));
            return None;
        }
    };
    let both: Vec<BaselineMeans> = before.into_iter().chain(after).collect();
    let share = 1.0 / both.len() as f64;
    let of_means: f64 = both.iter().filter_map(|m| m.mean_se_pa).map(|se| share * se * share * se).sum();
    let offset_se_pa = (drift_pa * drift_pa / 12.0 + of_means).sqrt();
    Some(BaselineSummary { before, after, offset_pa, offset_se_pa: Some(offset_se_pa) })
}
