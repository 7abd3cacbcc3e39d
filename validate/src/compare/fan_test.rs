//! Whole envelope tests and their arithmetic.

use crate::record::Sheet;
use crate::source::{Source, number_at, numbers_at};
use engine::air::{self, ZERO_CELSIUS_K};
use engine::procedure::envelope::{
    Averaged, Baseline, Building, Conditions, EnvelopeResult, EnvelopeTest, FigureKind, Outcome, Profile,
    Run, Station, evaluate,
};
use engine::procedure::instrument::{
    AirAtTest, AirSide, Basis, Direction, FanReading, FlowGauge, Leakage, PressureGauge, ReferenceForm,
    TapOrder,
};

const M3_H: f64 = 1.0 / 3600.0;

/// A test whose flows (m3/h) stand at reference conditions and whose pressures are induced.
pub(crate) fn plain_test(name: &str, dp_pa: &[f64], flow_m3_h: &[f64]) -> EnvelopeTest {
    let station = |(p, q): (&f64, &f64)| Station {
        direction: Direction::Depressurise,
        shown_pa: *p,
        fans: vec![FanReading { shown: q * M3_H, range: 0 }],
        averaged: Averaged::default(),
        span: None,
    };
    EnvelopeTest {
        name: name.to_owned(),
        pressure_gauge: PressureGauge {
            order: TapOrder::Unsigned,
            baseline_already_out: true,
            accuracy: None,
        },
        flow_gauges: vec![FlowGauge::flow(Basis::Reference)],
        runs: vec![Run { stations: dp_pa.iter().zip(flow_m3_h).map(station).collect(), ..Run::default() }],
        conditions: Conditions::default(),
        building: Building::default(),
        span: None,
    }
}

fn worked(test: &EnvelopeTest, profile: &str) -> Result<EnvelopeResult, String> {
    let profile = Profile::by_id(profile).ok_or_else(|| format!("no profile {profile}"))?;
    let Outcome { result, diagnostics } = evaluate(test, profile);
    result.ok_or_else(|| format!("no result: {diagnostics:?}"))
}

fn flow_m3_h(result: &EnvelopeResult, dp_pa: f64) -> Result<f64, String> {
    let flow = result.figures.flow_at(dp_pa).ok_or_else(|| format!("no flow at {dp_pa} Pa"))?;
    Ok(flow.flow.total.si / M3_H)
}

pub(super) fn published_test(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let file = source.json("test.json")?;
    let test = plain_test("FT-1", &numbers_at(&file, "dp")?, &numbers_at(&file, "q")?);
    let result = worked(&test, "iso-9972")?;
    let run = result.runs.first().ok_or("no run")?;
    let (lo, hi) = result.exponent.scatter.bounds().ok_or("no interval")?;
    let t = engine::measure::student_t_two_sided(0.95, 4.0);
    let mut same = |quantity, key: &str, engine| {
        number_at(&file, &format!("published/{key}")).map(|v| sheet.compare(quantity, "FT-1", engine, v))
    };
    same("exponent", "n", result.exponent.total.si)?;
    same("standard error of exponent", "n_standard_error", (hi - lo) / 2.0 / t)?;
    same("coefficient", "C_m3_per_h_Pa_n", run.coefficient.total.si / M3_H)?;
    same("r squared", "r2", run.r2.ok_or("no r2")?)
}

pub(super) fn corrections(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let case = source.json("cr-1.json")?;
    let get = |path: &str| number_at(&case, path);
    let (n, pressure_pa) = (get("input/n")?, get("input/p")?);
    let side = |temp_c: f64| AirSide {
        density_kg_m3: air::test_density_kg_m3(temp_c + ZERO_CELSIUS_K, 0.0, pressure_pa),
        viscosity_pa_s: air::viscosity_pa_s(temp_c + ZERO_CELSIUS_K),
    };
    let air = AirAtTest { indoor: side(get("input/Ti")?), outdoor: side(get("input/Te")?) };
    sheet.compare("density", "CR-1 indoors", air.indoor.density_kg_m3, get("expected/rho_i")?);
    sheet.compare("density", "CR-1 outdoors", air.outdoor.density_kg_m3, get("expected/rho_e")?);
    let direction = Direction::Depressurise;
    let gauge = FlowGauge::flow(Basis::Actual);
    let through = || {
        let reading = FanReading { shown: number_at(&case, "input/C_fan")?, range: 0 };
        match gauge.leakage(reading, direction, &air).map_err(|e| e.to_string())? {
            Leakage::AtTest(flow) => Ok::<_, String>(flow),
            Leakage::AtReference(_) => Err("an actual flow came out at reference conditions".to_owned()),
        }
    };
    sheet.compare("through the envelope", "CR-1", through()?.m3_s(), get("expected/C_env")?);
    for (form, key) in [
        (ReferenceForm::Density, "C_L_density_only"),
        (ReferenceForm::DensityAndViscosity, "C_0_viscosity_density"),
    ] {
        let engine = through()?.at_reference(&air.in_leaks(direction), form, n).m3_s();
        sheet.compare("at reference conditions", key, engine, get(&format!("expected/{key}"))?);
    }
    Ok(())
}

pub(super) fn figures(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let file = source.json("figures.json")?;
    let get = |path: &str| number_at(&file, path);
    // DQ-1: a test whose stations lie exactly on the curve.
    let (c, n) = (get("DQ-1/input/C_m3h")?, get("DQ-1/input/n")?);
    let dp = [10.0, 20.0, 35.0, 50.0, 60.0];
    let on_curve = dp.map(|p| c * engine::math::pow(p, n));
    let mut test = plain_test("DQ-1", &dp, &on_curve);
    test.building = Building {
        volume_m3: Some(get("DQ-1/input/V_m3")?),
        floor_area_m2: Some(get("DQ-1/input/A_floor_m2")?),
        envelope_area_m2: Some(get("DQ-1/input/A_env_m2")?),
        height_m: Some(get("DQ-1/input/H_m")?),
    };
    let result = worked(&test, "iso-9972")?;
    for (dp_pa, key) in [(4.0, "Q4"), (10.0, "Q10"), (50.0, "Q50")] {
        sheet.compare("flow", key, flow_m3_h(&result, dp_pa)?, get(&format!("DQ-1/expected/{key}"))?);
    }
    use FigureKind as K;
    for (kind, quantity, key, si) in [
        (K::Ach50, "air changes", "n50", M3_H),
        (K::EnvelopePermeability50, "permeability", "qE50", M3_H),
        (K::Ela, "leakage area", "ELA_cm2", 1e-4),
        (K::EqLa, "leakage area", "EqLA_cm2", 1e-4),
        (K::Sla, "specific leakage area", "SLA_cm2_m2", 1e-4),
        (K::Nl, "normalised leakage", "NL_z04", 1.0),
    ] {
        let figure = result.figures.get(kind).ok_or_else(|| format!("no {key}"))?;
        sheet.compare(quantity, key, figure.total.si / si, get(&format!("DQ-1/expected/{key}"))?);
    }
    // FT-1: areas with the interval of a scattered test.
    let points = (numbers_at(&file, "FT-1/input/dp")?, numbers_at(&file, "FT-1/input/q")?);
    let scattered = worked(&plain_test("FT-1", &points.0, &points.1), "iso-9972")?;
    let (ela, eqla) = (scattered.figures.ela, scattered.figures.eqla);
    let (lo, hi) = ela.scatter.bounds().ok_or("no interval")?;
    for (engine, key) in
        [(ela.total.si, "ELA_cm2"), (eqla.total.si, "EqLA_cm2"), (lo, "ELA_cm2_95/0"), (hi, "ELA_cm2_95/1")]
    {
        sheet.compare("leakage area", key, engine / 1e-4, get(&format!("FT-1/expected/{key}"))?);
    }
    // PT-1, PT-2: two points and one.
    let (p, q) = (numbers_at(&file, "PT-1/input/p")?, numbers_at(&file, "PT-1/input/q")?);
    let two = worked(&plain_test("PT-1", &p, &q), "astm-e1827-two-point")?;
    sheet.compare("exponent of two points", "PT-1", two.exponent.total.si, get("PT-1/expected/n")?);
    let coefficient = two.runs.first().ok_or("no run")?.coefficient.total.si / M3_H;
    sheet.compare("coefficient of two points", "PT-1", coefficient, get("PT-1/expected/C")?);
    sheet.compare("flow", "PT-1 Q4", flow_m3_h(&two, 4.0)?, get("PT-1/expected/Q4")?);
    let one = |dp: f64, q: f64| worked(&plain_test("PT-2", &[dp], &[q]), "astm-e1827-one-point");
    let at_50 = one(50.0, get("PT-2/input/q50")?)?;
    sheet.compare("flow", "PT-2 Q4", flow_m3_h(&at_50, 4.0)?, get("PT-2/expected/Q4")?);
    let below = one(get("PT-2/input/q_at/0")?, get("PT-2/input/q_at/1")?)?;
    sheet.compare("flow", "PT-2 Q50", flow_m3_h(&below, 50.0)?, get("PT-2/expected/Q50")?);
    // EL-1: leakage areas of a one-point CFM50.
    let cfm = engine::units::unit("cfm", engine::units::Quantity::AirFlow).ok_or("no cfm")?;
    let inch2 = engine::units::unit("in2", engine::units::Quantity::Area).ok_or("no in2")?;
    let cfm50 = worked(&plain_test("EL-1", &[50.0], &[cfm.to_si(1.0) / M3_H]), "astm-e1827-one-point")?;
    let area = |kind| cfm50.figures.get(kind).map(|s| inch2.from_si(s.total.si)).ok_or("no area");
    sheet.compare("area of 1 cfm at 50 Pa", "ELA", area(K::Ela)?, get("EL-1/expected/ela_in2_per_cfm50")?);
    sheet.compare("area of 1 cfm at 50 Pa", "EqLA", area(K::EqLa)?, get("EL-1/expected/eqla_in2_per_cfm50")?);
    baselines(sheet, &file)
}

/// BZ-1: means of baseline readings.
fn baselines(sheet: &mut Sheet, file: &serde_json::Value) -> Result<(), String> {
    let get = |path: &str| number_at(file, &format!("BZ-1/{path}"));
    let list = |path: &str| numbers_at(file, &format!("BZ-1/{path}")).map(|l| Some(Baseline::Samples(l)));
    let mut test = plain_test("BZ-1", &[15.0, 30.0, 50.0], &[400.0, 640.0, 890.0]);
    test.pressure_gauge.baseline_already_out = false;
    for run in &mut test.runs {
        run.baseline_before = list("input/before")?;
        run.baseline_after = list("input/after")?;
    }
    let result = worked(&test, "iso-9972")?;
    let run = result.runs.first().ok_or("no run")?;
    let sides = [("before", run.baseline.before), ("after", run.baseline.after)];
    for (name, side) in sides {
        let side = side.ok_or("no baseline")?;
        sheet.compare("baseline", name, side.mean_pa, get(&format!("expected/{name}/mean"))?);
        let positive = side.mean_positive_pa.ok_or("no positive")?;
        sheet.compare("baseline", name, positive, get(&format!("expected/{name}/positive"))?);
        let negative = side.mean_negative_pa.ok_or("no negative")?;
        sheet.compare("baseline", name, negative, get(&format!("expected/{name}/negative"))?);
    }
    sheet.compare("baseline", "offset", run.baseline.offset_pa, get("expected/offset")?);
    let station = run.stations.first().ok_or("no station")?;
    sheet.compare("baseline", "induced", station.dp_pa, 15.0 + get("expected/offset")?);
    Ok(())
}
