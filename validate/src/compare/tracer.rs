//! Air exchange by tracer, CO2 of people, mould, surfaces, air quality.

use crate::record::Sheet;
use crate::source::{Row, Source, number_at, numbers_at};
use engine::air::quality::{aqi_pm25, nowcast};
use engine::device::person::{Sex, basal_w, co2_m3_s, mean_mass_kg};
use engine::procedure::moisture::mould::{Decline, Index, Sensitivity};
use engine::procedure::surface;
use engine::procedure::tracer::curve::{Curve, Prior, fit};
use engine::procedure::tracer::{Background, decay, steady, two_zones};
use serde_json::Value;
use std::collections::BTreeMap;

const HOUR_S: f64 = 3600.0;

fn half(estimate: &engine::measure::Estimate) -> f64 {
    estimate.bounds().map_or(f64::NAN, |(lo, hi)| 0.5 * (hi - lo))
}

pub(super) fn checks(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let json = source.json("checks.json")?;
    let get = |path: &str| number_at(&json, path);
    let time_s: Vec<f64> = numbers_at(&json, "T-1/hours")?.iter().map(|h| h * HOUR_S).collect();
    let gas: Vec<f64> = numbers_at(&json, "T-1/ppm")?.iter().map(|c| c * 1e-6).collect();
    let at = |ppm: f64| {
        let background = Some(Background { value: ppm * 1e-6, half: Some(0.0) });
        let asked = decay::Asked { time_s: &time_s, gas: &gas, background, volume_m3: None };
        decay::evaluate(&asked).map_err(|d| d.code.to_string())
    };
    let decay = at(get("T-1/background")?)?;
    sheet.compare("rate", "T-1", decay.rate.si * HOUR_S, get("T-1/rate")?);
    sheet.compare("half width", "T-1", half(&decay.rate) * HOUR_S, get("T-1/half")?);
    let se = half(&decay.rate) * HOUR_S / engine::measure::student_t_two_sided(0.95, 7.0);
    sheet.compare("standard error", "T-1", se, get("T-1/se")?);
    sheet.compare("r2", "T-1", decay.r2.unwrap_or(f64::NAN), get("T-1/r2")?);
    let ends = decay.ends_only_per_s.unwrap_or(f64::NAN);
    sheet.compare("rate of the ends", "T-1", ends * HOUR_S, get("T-1/ends")?);
    sheet.compare("rate", "T-1, 400 ppm", at(400.0)?.rate.si * HOUR_S, get("T-1/rate_400")?);
    sheet.compare("rate", "T-1, 440 ppm", at(440.0)?.rate.si * HOUR_S, get("T-1/rate_440")?);

    let room = |given: f64, level: f64, background: f64, volume: f64| {
        let asked = steady::Asked {
            level: (level * 1e-6, None),
            background: Background { value: background * 1e-6, half: None },
            source: steady::Source::Stated(given, None),
            temp_k: 293.15,
            pressure_pa: 101_325.0,
            volume_m3: Some((volume, 0.0)),
            steady_for_s: None,
        };
        steady::evaluate(&asked).map_err(|d| d.code.to_string())
    };
    let given = get("T-2/given_off_l_s")? * 1e-3;
    let two = room(given, get("T-2/level")?, get("T-2/background")?, get("T-2/volume_m3")?)?;
    sheet.compare("flow", "T-2", two.flow.si * 1e3, get("T-2/flow_l_s")?);
    let rate = two.rate.map_or(f64::NAN, |r| r.si * HOUR_S);
    sheet.compare("rate", "T-2", rate, get("T-2/rate")?);
    // Backwards: the flow that this excess stands for.
    let given = get("sleepers/given_off_l_h")? * 1e-3 / HOUR_S;
    let sleepers = room(given, 400.0 + get("sleepers/excess_ppm")?, 400.0, 1.0)?;
    sheet.compare("excess of two sleepers", "as flow", sleepers.flow.si * 1e3, get("sleepers/flow_l_s")?);
    Ok(())
}

pub(super) fn generation(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    for row in source.table("rates.csv")?.rows() {
        let sex = if row.text("sex")? == "M" { Sex::Male } else { Sex::Female };
        let age = row.number("age_years")?;
        let mass = mean_mass_kg(sex, age);
        sheet.compare("mean mass", row.case(), mass, row.number("mass_kg")?);
        let basal = basal_w(sex, age, mass);
        sheet.compare("basal rate", row.case(), basal * 86_400.0 / 1e6, row.number("bmr_mj_day")?);
        for met in ["1.0", "1.2", "1.4", "1.6", "2.0", "3.0", "4.0"] {
            let expected = row.number(&format!("l_s_met_{met}"))?;
            let met = met.parse().map_err(|_| "met")?;
            let own = co2_m3_s(basal, met, 273.0, 101_000.0) * 1e3;
            sheet.compare("rate at one activity", row.case(), own, expected);
        }
    }
    Ok(())
}

/// The class of a case.
fn class(case: &Value) -> Result<Sensitivity, String> {
    match case.get("cls").and_then(Value::as_str) {
        Some("vs") => Ok(Sensitivity::VerySensitive),
        Some("s") => Ok(Sensitivity::Sensitive),
        Some("mr") => Ok(Sensitivity::MediumResistant),
        Some("r") => Ok(Sensitivity::Resistant),
        other => Err(format!("class {other:?}")),
    }
}

pub(super) fn mould(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let json = source.json("cases.json")?;
    let cases = json.get("cases").and_then(Value::as_array).ok_or("no cases")?;
    for case in cases {
        let sensitivity = class(case)?;
        let name = format!("{} {} {}", case["cls"], case["T_C"], case["RH_pct"]);
        let temp_c = number_at(case, "T_C")?;
        let decline = match case.get("k3").and_then(Value::as_f64) {
            Some(k3) if k3 > 0.9 => Decline::AsPine,
            Some(k3) if k3 > 0.4 => Decline::Significant,
            Some(k3) if k3 > 0.2 => Decline::Low,
            _ => Decline::AlmostNone,
        };
        let start = case.get("M0").and_then(Value::as_f64).unwrap_or(0.0);
        let mut index = Index::from(sensitivity, decline, start);
        if let Some(rh) = case.get("RH_pct").and_then(Value::as_f64) {
            if let Some(hours) = case.get("hours").and_then(Value::as_u64) {
                (0..hours).for_each(|_| index.hour(temp_c, rh));
                sheet.compare("index", &name, index.index, number_at(case, "M_end")?);
                continue;
            }
            sheet.compare(
                "critical humidity",
                &name,
                sensitivity.critical_rh_pct(temp_c),
                number_at(case, "RHcrit")?,
            );
            sheet.compare(
                "highest index",
                &name,
                sensitivity.highest_index(temp_c, rh),
                number_at(case, "Mmax")?,
            );
            let mut day = 0;
            for until in [7, 30, 90, 365] {
                (day * 24..until * 24).for_each(|_| index.hour(temp_c, rh));
                day = until;
                sheet.compare("index", &name, index.index, number_at(case, &format!("M_{until}d"))?);
            }
        } else {
            // Sixty days of twelve hours at 97 % and twelve at 60 %.
            for hour in 0..60 * 24 {
                index.hour(temp_c, if hour % 24 < 12 { 97.0 } else { 60.0 });
            }
            sheet.compare("index", &name, index.index, number_at(case, "M_end")?);
        }
    }
    Ok(())
}

pub(super) fn air_quality(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    for row in source.table("aqi.csv")?.rows() {
        let own = aqi_pm25(row.number("pm25_ug_m3")? * 1e-9);
        sheet.compare("index", row.case(), own, row.number("aqi")?);
    }
    Ok(())
}

pub(super) fn short_term_mean(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let json = source.json("cases.json")?;
    for (i, case) in json.get("cases").and_then(Value::as_array).ok_or("no cases")?.iter().enumerate() {
        let hours = numbers_at(case, "hourly_newest_first")?;
        let own = nowcast(&hours).unwrap_or(f64::NAN);
        let name = format!("series {}", i + 1);
        sheet.compare("mean", &name, own, number_at(case, "nowcast")?);
        sheet.compare("index", &name, aqi_pm25(own * 1e-9), number_at(case, "aqi")?);
    }
    Ok(())
}

pub(super) fn surfaces(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let json = source.json("checks.json")?;
    let get = |path: &str| number_at(&json, path);
    let asked = |air_c: f64, rh: f64, outdoor_c: f64, surface_c: Option<f64>, outdoor_rh: Option<f64>| {
        surface::evaluate(&surface::Asked {
            air_k: air_c + 273.15,
            rh_frac: rh / 100.0,
            surface_k: surface_c.map(|c| c + 273.15),
            outdoor_k: Some(outdoor_c + 273.15),
            outdoor_rh_frac: outdoor_rh.map(|r| r / 100.0),
            pressure_pa: 101_325.0,
            temperature_accuracy: None,
            humidity_accuracy: None,
        })
    };
    for i in 0..3 {
        let at = |key: &str| get(&format!("factor/{i}/{key}"));
        let own = asked(get("air_c")?, get("rh_pct")?, get("outdoor_c")?, Some(at("surface_c")?), None);
        let value = |e: Option<engine::measure::Estimate>| e.map_or(f64::NAN, |e| e.si);
        let name = format!("f {}", at("f")?);
        sheet.compare("surface factor", &name, value(own.surface_factor), at("f")?);
        sheet.compare("surface humidity", &name, value(own.surface_rh) * 100.0, at("rh_pct")?);
    }
    let at = |key: &str| get(&format!("balance/{key}"));
    let own = asked(at("air_c")?, at("rh_pct")?, at("outdoor_c")?, None, Some(at("outdoor_rh_pct")?));
    sheet.compare("dew point", "balance", own.dew_point.si, at("dew_point_c")? + 273.15);
    let dry_kg_s = at("density")? * at("volume_m3")? * at("rate_h")? / HOUR_S;
    let ratio = at("water_kg_d")? / 86_400.0 / dry_kg_s;
    sheet.compare("excess ratio", "balance", own.excess_ratio.map_or(f64::NAN, |e| e.si), ratio);
    Ok(())
}

fn points<'a>(rows: impl Iterator<Item = Row<'a>>) -> BTreeMap<String, Vec<Row<'a>>> {
    let mut groups: BTreeMap<String, Vec<Row<'a>>> = BTreeMap::new();
    for row in rows {
        groups.entry(row.case().to_owned()).or_default().push(row);
    }
    groups
}

fn column(rows: &[Row<'_>], name: &str, factor: f64) -> Result<Vec<f64>, String> {
    rows.iter().map(|r| r.number(name).map(|x| x * factor)).collect()
}

pub(super) fn curves(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let table = source.table("points.csv")?;
    let groups = points(table.rows());
    for row in source.table("fits.csv")?.rows() {
        let rows = groups.get(row.case()).ok_or("no points")?;
        let (time_s, gas) = (column(rows, "time_h", HOUR_S)?, column(rows, "gas_ppm", 1e-6)?);
        let prior =
            Prior { mean: row.number("prior_mean_ppm")? * 1e-6, sd: row.number("prior_sd_ppm")? * 1e-6 };
        for (kind, prior) in [("free", None), ("held", Some(prior))] {
            let curve: Curve = fit(&time_s, &gas, prior).ok_or("no curve")?;
            let name = format!("{} {kind}", row.case());
            let at = |key: &str| row.number(&format!("{kind}_{key}"));
            sheet.compare("fitted rate", &name, curve.rate_per_s * HOUR_S, at("rate_h")?);
            sheet.compare("fitted end", &name, curve.end * 1e6, at("end_ppm")?);
            sheet.compare("standard error of the rate", &name, curve.rate_se * HOUR_S, at("rate_se_h")?);
            sheet.compare("standard error of the end", &name, curve.end_se * 1e6, at("end_se_ppm")?);
        }
        if row.case().starts_with("decay") {
            let background = Some(Background { value: row.number("background_ppm")? * 1e-6, half: None });
            let asked = decay::Asked { time_s: &time_s, gas: &gas, background, volume_m3: None };
            let line = decay::evaluate(&asked).map_err(|d| d.code.to_string())?.line.ok_or("no line")?;
            sheet.compare("rate of the line", row.case(), line.si * HOUR_S, row.number("line_rate_h")?);
        }
    }
    Ok(())
}

pub(super) fn two_rooms(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let table = source.table("points.csv")?;
    let groups = points(table.rows());
    for row in source.table("fits.csv")?.rows() {
        let rows = groups.get(row.case()).ok_or("no points")?;
        let time_s = column(rows, "time_h", HOUR_S)?;
        let (first, second) = (column(rows, "first_ppm", 1e-6)?, column(rows, "second_ppm", 1e-6)?);
        let asked = two_zones::Asked {
            time_s: &time_s,
            gas: [&first, &second],
            background: Background { value: 420e-6, half: None },
            volume_m3: [(row.number("first_m3")?, 0.0), (row.number("second_m3")?, 0.0)],
            source_m3_s: [0.0, 0.0],
            between: two_zones::Between::Equal,
        };
        let own = two_zones::evaluate(&asked).map_err(|d| d.code.to_string())?;
        let t = row.number("t")?;
        let flows = [
            ("outdoor_first", &own.outdoor[0]),
            ("outdoor_second", &own.outdoor[1]),
            ("across", &own.across),
        ];
        for (key, told) in flows {
            let name = format!("{} {key}", row.case());
            let (lo, hi) = told.flow.bounds().ok_or("no interval")?;
            sheet.compare("flow", &name, told.flow.si * HOUR_S, row.number(&format!("{key}_m3_h"))?);
            let half = 0.5 * (hi - lo) * HOUR_S;
            sheet.compare("half width", &name, half, t * row.number(&format!("{key}_se"))?);
        }
    }
    Ok(())
}
