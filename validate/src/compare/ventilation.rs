//! Ventilation rates, exposure, exhaust flows, recovery and intake ducts.

use crate::record::Sheet;
use crate::source::{Source, number_at, numbers_at};
use engine::air::MoistAir;
use engine::measure::{Estimate, NoInterval};
use engine::procedure::fan_flow::{free_over_boxed, orifice_m3_s};
use engine::procedure::recovery;
use engine::procedure::settled::{Asked, IntakeDuct, evaluate};
use engine::procedure::tightness_room;
use engine::procedure::ventilation::exposure::{Air, cyclic, next};
use engine::procedure::ventilation::rates::{self, CFM, CreditRule, Dwelling, LocalRoom, Profile};
use engine::procedure::ventilation::{Combination, combined_m3_s};
use engine::units::Quantity;
use serde_json::Value;

const FT2: f64 = 0.3048 * 0.3048;
const FT3: f64 = FT2 * 0.3048;

fn total_cfm(area_ft2: f64, bedrooms: f64) -> Result<f64, String> {
    let rule = Profile::by_id("62.2-2013").ok_or("no 62.2-2013")?;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a count in a table")]
    let house = Dwelling {
        floor_area_m2: Some(area_ft2 * FT2),
        bedrooms: Some(bedrooms as usize),
        inch_pound: true,
        ..Dwelling::default()
    };
    rates::total_m3_s(&rule.total.value, &house, None).map(|q| q / CFM).map_err(|m| format!("{m:?}"))
}

pub(super) fn rate_table(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    for row in source.table("table.csv")?.rows() {
        let found = total_cfm(row.number("floor_area_to_ft2")?, row.number("bedrooms")?)?;
        sheet.compare("whole-house rate", row.case(), found, row.number("total_cfm")?);
    }
    Ok(())
}

fn exact(si: f64, quantity: Quantity) -> Estimate {
    Estimate::without(si, quantity, NoInterval::Exact)
}

fn room(net: f64, flow50: f64, n: f64, limit_pa: f64) -> tightness_room::TightnessRoom {
    tightness_room::evaluate(&tightness_room::Asked {
        net_exhaust: exact(net, Quantity::AirFlow),
        flow50: exact(flow50, Quantity::AirFlow),
        exponent: exact(n, Quantity::Number),
        limit_pa,
        limit_source: String::new(),
        limit_confirmed: false,
        measured: None,
    })
}

pub(super) fn checks(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let file = source.json("cases.json")?;
    for case in file.as_array().into_iter().flatten() {
        let id = case.pointer("/id").and_then(Value::as_str).unwrap_or("");
        let of = |path: &str| number_at(case, path);
        let list = |path: &str| numbers_at(case, path);
        match id {
            "V-1" | "V-2" => {
                let found = total_cfm(of("input/A_ft2")?, of("input/br")?)?;
                sheet.compare("whole-house rate", id, found, of("expected/Qtot_cfm")?);
            }
            "V-3" => {
                let found = rates::infiltration_by_flow50_m3_s(of("input/Q50")?, of("input/wsf")?, 2.0);
                sheet.compare("infiltration credit", id, found, of("expected/Qinf_cfm")?);
            }
            "V-4" => {
                let need = |share| -> Result<rates::FanNeed, String> {
                    let (total, inf) = (of("input/Qtot")?, of("input/Qinf")?);
                    Ok(rates::fan_need(CreditRule::ByBalance, total, inf, share, None))
                };
                let (whole, part) = (need(1.0)?, need(0.6)?);
                for (found, path) in [
                    (whole.balanced_m3_s, "balanced"),
                    (whole.unbalanced_m3_s, "unbalanced"),
                    (whole.phi, "phi"),
                    (part.balanced_m3_s, "Aext06_balanced"),
                    (part.unbalanced_m3_s, "Aext06_unbalanced"),
                ] {
                    sheet.compare("fan flow needed", id, found, of(&format!("expected/{path}"))?);
                }
            }
            "V-5" => {
                let window = |path: &str| case.pointer(path).and_then(Value::as_bool) == Some(true);
                let shortfall = |room, base: &str| -> Result<f64, String> {
                    let off = if window(&format!("/{base}/window")) { 20.0 * CFM } else { 0.0 };
                    Ok(rates::shortfall_m3_s(room, of(&format!("{base}/meas"))? * CFM, off, true) / CFM)
                };
                let sum = shortfall(LocalRoom::Kitchen, "input/kitchen")?
                    + shortfall(LocalRoom::Bath, "input/baths/0")?
                    + shortfall(LocalRoom::Bath, "input/baths/1")?;
                sheet.compare("shortfall of local exhausts", id, sum, of("expected/total_deficit")?);
                let share = Profile::by_id("62.2-2013").and_then(|p| p.deficit_share).ok_or("no share")?;
                sheet.compare("shortfall of local exhausts", id, share.value * sum, of("expected/added")?);
            }
            "V-6" => {
                let (fan, inf) = (of("input/fan")?, of("input/infiltration")?);
                for (how, path) in [
                    (Combination::Quadrature, "quadrature"),
                    (Combination::HalfFan, "half_fan"),
                    (Combination::SubAdditive, "sub_additive"),
                ] {
                    let found = combined_m3_s(how, 0.0, fan, inf);
                    sheet.compare("fans and infiltration", path, found, of(&format!("expected/{path}"))?);
                }
            }
            "RE-1" => {
                let air = Air { volume_m3: of("input/V_ft3")? * FT3, step_s: 3600.0 };
                let (total, mut r) = (of("input/Qtot")? * CFM, of("input/R0")?);
                for (hour, wanted) in list("expected/R")?.into_iter().enumerate() {
                    r = next(r, if hour < 8 { 0.0 } else { 150.0 * CFM }, total, air);
                    sheet.compare("relative exposure", id, r, wanted);
                }
            }
            "RE-2" => {
                let air = Air { volume_m3: of("input/V_ft3")? * FT3, step_s: 60.0 };
                for (hours, wanted) in list("input/cycle_h")?.into_iter().zip(list("expected/mean")?) {
                    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "minutes")]
                    let half = (hours * 30.0) as usize;
                    let flows = [vec![of("input/on_cfm")? * CFM; half], vec![0.0; half]].concat();
                    let found = cyclic(&flows, of("input/Qtot")? * CFM, air).map_or(f64::NAN, |e| e.mean);
                    sheet.compare("cyclic exposure", id, found, wanted);
                }
            }
            "TR-1" => {
                for (limit, wanted) in list("input/limit_pa")?.into_iter().zip(list("expected/cfm50")?) {
                    let found = room(of("input/net_cfm")?, 1e3, of("input/n")?, limit);
                    sheet.compare("depressurisation", id, found.least_flow50.si, wanted);
                }
            }
            _ => {
                for (flow50, wanted) in list("input/cfm50")?.into_iter().zip(list("expected/dp_pa")?) {
                    let found = room(of("input/net_cfm")?, flow50, of("input/n")?, 5.0);
                    sheet.compare("depressurisation", id, found.depressurisation.si, wanted);
                }
            }
        }
    }
    Ok(())
}

pub(super) fn equipment(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let file = source.json("cases.json")?;
    let cases = file.as_array().ok_or("no list of cases")?;
    let free = cases.iter().find(|c| c.pointer("/id").and_then(Value::as_str) == Some("fl150"));
    let free = free.ok_or("no fl150")?;
    for case in cases {
        let id = case.pointer("/id").and_then(Value::as_str).unwrap_or("");
        let of = |path: &str| number_at(case, path);
        match id {
            "hrv1" => {
                let found = recovery::apparent(of("inputs/t_out")?, of("inputs/t_sup")?, of("inputs/t_in")?);
                sheet.compare("effectiveness", id, found, of("expected/ASE")?);
            }
            "hrv2" => {
                let temps = [of("inputs/t_out")?, of("inputs/t_sup")?, of("inputs/t_in")?];
                let (m, w) = (of("inputs/m")?, of("inputs/Pf_each_W")?);
                let found = recovery::sensible_without_fans(temps, [m, m], [w, w]);
                sheet.compare("effectiveness", id, found, of("expected/SRE")?);
            }
            "hrv3" => {
                let (out, inside) = (of("inputs/t_out")?, of("inputs/t_in")?);
                let found = recovery::exhaust_side(
                    out,
                    inside,
                    of("inputs/t_exh")?,
                    of("inputs/P_W")?,
                    of("inputs/m")?,
                );
                sheet.compare("effectiveness", id, found, of("expected/eta")?);
            }
            "erv1" => {
                // The case's own supply state; the engine's definition has to give its total back.
                let p = engine::air::STANDARD_PRESSURE_PA;
                let (out, inside) = (MoistAir::from_rh(308.15, 0.5, p), MoistAir::from_rh(297.15, 0.5, p));
                let supply_h = engine::air::enthalpy_j_kg(of("expected/ts")? + 273.15, of("expected/Ws")?);
                sheet.compare("enthalpy", id, supply_h / 1e3, of("expected/hs")?);
                let total =
                    recovery::effectiveness(out.enthalpy_j_kg(), supply_h, inside.enthalpy_j_kg(), 1.0, 1.0);
                sheet.compare("total effectiveness", id, total, of("expected/eps_total")?);
            }
            "or150" | "or100" => {
                let d = of("inputs/d_m")?;
                let area = std::f64::consts::PI * d * d / 4.0;
                let found = orifice_m3_s(of("inputs/Cd")?, area, of("inputs/dP_Pa")?, of("inputs/rho")?);
                sheet.compare("orifice", id, found, of("expected/Q_m3s")?);
            }
            _ => {
                // What the filter adds to the first case stands for a box: the free flow comes back.
                let flow = of("expected/Q_m3s")?;
                let added = of("inputs/Rf")? - number_at(free, "inputs/Rf")?;
                let found = flow * free_over_boxed(added * flow * flow, of("inputs/P0")?);
                sheet.compare("free flow of a fan", id, found, number_at(free, "expected/Q_m3s")?);
            }
        }
    }
    Ok(())
}

pub(super) fn intake(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let file = source.json("cases.json")?;
    for case in file.as_array().into_iter().flatten() {
        let name = case.pointer("/case").and_then(Value::as_str).unwrap_or("");
        let of = |path: &str| number_at(case, path);
        let duct = IntakeDuct {
            diameter_m: of("D_m")?,
            length_m: of("L_m")?,
            flow_m3_s: of("Q_m3s")?,
            wall_kg_m: of("wall_kg_per_m")?,
            wall_j_kg_k: of("c_wall")?,
            outer_m2_k_w: of("R_outer")?,
            around_k: 291.15,
        };
        let response = duct.response();
        sheet.compare("transfer units", name, response.ntu, of("NTU")?);
        sheet.compare("time constant of the wall", name, response.tau_s, of("tau_wall_s")?);
        sheet.compare("standing share", name, response.standing_share(), of("steady_residual")?);
        let times: Vec<f64> = [0.0, 30.0, 60.0, 120.0, 180.0, 300.0, 600.0].to_vec();
        for (time, theta) in times.iter().zip(response.outlet(&times)) {
            sheet.compare("outlet", name, theta, of(&format!("theta_outlet/{time}"))?);
        }
        // A record of such a duct, outdoors at -10 degC: the settled reading and its duct give
        // outdoors back.
        let time_s: Vec<f64> = (0..240).map(|i| f64::from(i) * 5.0).collect();
        let outdoor_k = 263.15;
        let values =
            response.outlet(&time_s).iter().map(|t| outdoor_k + t * (duct.around_k - outdoor_k)).collect();
        let asked = Asked {
            time_s,
            values,
            quantity: Quantity::Temperature,
            accuracy: None,
            from_s: 0.0,
            tolerance: None,
            intake: Some(duct),
        };
        let found = evaluate(&asked).map_err(|d| d.code.to_string())?;
        let share = found.value.map_or(f64::NAN, |v| (v.si - outdoor_k) / (duct.around_k - outdoor_k));
        sheet.compare("outlet", name, share, of("steady_residual")?);
        let outdoors = found.outdoor.map_or(f64::NAN, |v| (v.si - outdoor_k) / (duct.around_k - outdoor_k));
        sheet.compare("outlet", name, outdoors, 0.0);
    }
    Ok(())
}

pub(super) fn settling(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let records = source.table("records.csv")?;
    for row in source.table("fits.csv")?.rows() {
        let mine = || records.rows().filter(|r| r.case() == row.case());
        let asked = Asked {
            time_s: mine().map(|r| r.number("time_s")).collect::<Result<_, _>>()?,
            values: mine().map(|r| r.number("value")).collect::<Result<_, _>>()?,
            quantity: Quantity::Number,
            accuracy: None,
            from_s: 0.0,
            tolerance: None,
            intake: None,
        };
        let found = evaluate(&asked).map_err(|d| d.code.to_string())?;
        let half =
            |e: Option<Estimate>| e.and_then(|e| e.bounds()).map_or(f64::NAN, |(lo, hi)| (hi - lo) / 2.0);
        let middle = |e: Option<Estimate>| e.map_or(f64::NAN, |e| e.si);
        sheet.compare("end value", row.case(), middle(found.value), row.number("end")?);
        sheet.compare("time constant", row.case(), middle(found.tau), row.number("tau_s")?);
        sheet.compare("half width", row.case(), half(found.value), row.number("end_half")?);
        sheet.compare("half width", row.case(), half(found.tau), row.number("tau_half")?);
    }
    Ok(())
}

pub(super) fn filter_classes(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    for row in source.table("minima.csv")?.rows() {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a class in a table")]
        let class = row.number("merv")? as usize;
        let (e1, e2) = engine::device::filter::merv_bands(class).unwrap_or((f64::NAN, f64::NAN));
        sheet.compare("0.3 to 1 um", row.case(), 100.0 * e1, row.number("e1_min_pct")?);
        sheet.compare("1 to 3 um", row.case(), 100.0 * e2, row.number("e2_min_pct")?);
    }
    Ok(())
}
