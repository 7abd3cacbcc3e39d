//! Regression and quantiles.

use crate::record::Sheet;
use crate::source::{Source, number_at, numbers_at};
use engine::measure::regression::PowerLaw;
use engine::measure::{normal_quantile, student_t_two_sided};
use engine::procedure::envelope::honest::both_axes;
use serde_json::Value;
use std::collections::BTreeMap;

pub(super) fn quantiles(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    for row in source.table("student_t.csv")?.rows() {
        let dof = row.number("dof")?;
        for (column, level) in [("t80", 0.8), ("t90", 0.9), ("t95", 0.95), ("t99", 0.99)] {
            let case = format!("{} {column}", row.case());
            sheet.compare("Student t", &case, student_t_two_sided(level, dof), row.number(column)?);
        }
    }
    for row in source.table("normal.csv")?.rows() {
        sheet.compare("normal quantile", row.case(), normal_quantile(row.number("p")?), row.number("z")?);
    }
    Ok(())
}

pub(super) fn student_table(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let levels = [("p80", 0.8), ("p90", 0.9), ("p95", 0.95), ("p99", 0.99), ("p995", 0.995), ("p999", 0.999)];
    for row in source.table("student_t.csv")?.rows() {
        for (column, level) in levels {
            let engine = student_t_two_sided(level, row.number("dof")?);
            sheet.compare("Student t", &format!("dof {} {column}", row.case()), engine, row.number(column)?);
        }
    }
    Ok(())
}

pub(super) fn linregress(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let mut tests: BTreeMap<String, (Vec<f64>, Vec<f64>)> = BTreeMap::new();
    for row in source.table("points.csv")?.rows() {
        let test = tests.entry(row.case().to_owned()).or_default();
        test.0.push(row.number("dp_pa")?);
        test.1.push(row.number("flow_m3_s")?);
    }
    for row in source.table("lines.csv")?.rows() {
        let (dp, flow) = tests.get(row.case()).ok_or_else(|| format!("no points of {}", row.case()))?;
        let line = PowerLaw::ordinary(dp, flow).map_err(|e| format!("{}: {e}", row.case()))?.line;
        let mut same = |quantity: &str, column: &str, engine: f64| {
            row.number(column).map(|v| sheet.compare(quantity, row.case(), engine, v))
        };
        same("slope", "slope", line.slope)?;
        same("intercept", "intercept", line.intercept)?;
        same("standard error of slope", "slope_se", line.slope_se)?;
        same("standard error of intercept", "intercept_se", line.intercept_se)?;
        same("correlation", "r", line.r2.sqrt())?;
    }
    Ok(())
}

pub(super) fn odr(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let mut tests: BTreeMap<String, [Vec<f64>; 4]> = BTreeMap::new();
    for row in source.table("points.csv")?.rows() {
        let test = tests.entry(row.case().to_owned()).or_default();
        for (column, list) in ["dp_pa", "flow_m3_s", "dp_sd_pa", "flow_sd"].iter().zip(test) {
            list.push(row.number(column)?);
        }
    }
    for row in source.table("lines.csv")?.rows() {
        let [dp, flow, dp_sd, flow_sd] =
            tests.get(row.case()).ok_or_else(|| format!("no points of {}", row.case()))?;
        let line = both_axes(dp, flow, dp_sd, flow_sd).map_err(|e| format!("{}: {e}", row.case()))?;
        let mut same = |quantity: &str, column: &str, engine: f64| {
            row.number(column).map(|v| sheet.compare(quantity, row.case(), engine, v))
        };
        same("exponent, errors in both axes", "n", line.n)?;
        same("ln coefficient, errors in both axes", "ln_c", line.ln_c)?;
        same("standard errors, errors in both axes", "n_se", line.n_se)?;
        same("standard errors, errors in both axes", "ln_c_se", line.ln_c_se)?;
    }
    Ok(())
}

/// An ordinary line in the units of the file (m3/h) beside what is printed.
fn ordinary(sheet: &mut Sheet, case: &str, law: &PowerLaw, printed: &Value) -> Result<(), String> {
    let half = |e: Option<f64>| e.ok_or_else(|| format!("{case}: no interval"));
    let coverage = half(law.line.coverage(0.95))?;
    let mut same = |quantity: &str, path: &str, engine: f64| match printed.pointer(&format!("/{path}")) {
        Some(_) => number_at(printed, path).map(|v| sheet.compare(quantity, case, engine, v)),
        None => Ok(()),
    };
    same("exponent", "n", law.exponent())?;
    same("coefficient", "C", law.coefficient())?;
    same("ln coefficient", "lnC", law.line.intercept)?;
    same("standard error of exponent", "se_n", law.line.slope_se)?;
    same("standard error of ln coefficient", "se_lnC", law.line.intercept_se)?;
    same("r squared", "r2", law.line.r2)?;
    same("half width of exponent", "half_width_n", coverage * law.line.slope_se)?;
    same("half width of ln coefficient", "half_width_lnC", coverage * law.line.intercept_se)?;
    for (key, dp_pa) in [("C", 1.0), ("q4", 4.0), ("q10", 10.0), ("q50", 50.0)] {
        let flow = law.flow_estimate(dp_pa, 0.95);
        let (lo, hi) = flow.bounds().ok_or_else(|| format!("{case}: no interval"))?;
        if key != "C" {
            same("flow", key, flow.si)?;
        }
        same("interval end", &format!("{key}_95/0"), lo)?;
        same("interval end", &format!("{key}_95/1"), hi)?;
    }
    Ok(())
}

pub(super) fn worked_lines(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let tests = source.json("lines.json")?;
    for test in tests.as_array().ok_or("not a list")? {
        let case = test.get("id").and_then(Value::as_str).ok_or("a test without id")?;
        let (dp, q) = (numbers_at(test, "dp")?, numbers_at(test, "q")?);
        let fail = |e| format!("{case}: {e}");
        let law = PowerLaw::ordinary(&dp, &q).map_err(fail)?;
        ordinary(sheet, case, &law, test.get("OLS").ok_or("no OLS")?)?;
        if test.get("LOC_n").is_some() {
            let organic = PowerLaw::organic(&dp, &q).map_err(fail)?;
            sheet.compare("organic exponent", case, organic.exponent(), number_at(test, "LOC_n")?);
            sheet.compare("organic coefficient", case, organic.coefficient(), number_at(test, "LOC_C")?);
        }
        if test.get("York").is_some() {
            let dp_se = vec![number_at(test, "u_dp_Pa")?; dp.len()];
            let u_q = number_at(test, "u_q_relative")?;
            let q_se: Vec<f64> = q.iter().map(|q| q * u_q).collect();
            let york = PowerLaw::york(&dp, &q, &dp_se, &q_se).map_err(fail)?;
            sheet.compare("York exponent", case, york.exponent(), number_at(test, "York/n")?);
            sheet.compare("York coefficient", case, york.coefficient(), number_at(test, "York/C")?);
            sheet.compare("York standard errors", case, york.line.slope_se, number_at(test, "York/se_n")?);
            sheet.compare(
                "York standard errors",
                case,
                york.line.intercept_se,
                number_at(test, "York/se_lnC")?,
            );
            sheet.compare("York chi squared", case, york.line.chi2, number_at(test, "York/chi2")?);
            sheet.compare(
                "York degrees of freedom",
                case,
                york.line.dof as f64,
                number_at(test, "York/dof")?,
            );
        }
    }
    Ok(())
}
