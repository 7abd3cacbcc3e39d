//! Ducts and air handlers: published numbers, check cases, the library `fluids`, a heat balance.

use crate::record::Sheet;
use crate::source::{Source, number_at, numbers_at};
use engine::air::{MoistAir, STANDARD_PRESSURE_PA, ZERO_CELSIUS_K};
use engine::device::coil::{Coil, Entering};
use engine::device::{Dehumidifier, duct};
use engine::procedure::duct::{at_pressure, delivery, difference, dominant, operating_leakage, pans};
use engine::procedure::handler::{coil, flow, traverse};
use engine::procedure::known::Known;
use engine::units::{Quantity, unit};
use serde_json::Value;

fn si(value: f64, spelling: &str, quantity: Quantity) -> Result<f64, String> {
    unit(spelling, quantity).map(|u| u.to_si(value)).ok_or_else(|| format!("no unit {spelling}"))
}

pub(super) fn fluids(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    for row in source.table("friction.csv")?.rows() {
        let (d, e) = (row.number("diameter_m")?, row.number("roughness_m")?);
        let f = duct::friction_factor(row.number("reynolds")?, e / d);
        sheet.compare("friction factor", row.case(), f, row.number("friction_factor")?);
        let (rho, mu) = (row.number("density_kg_m3")?, row.number("viscosity_pa_s")?);
        let loss = duct::friction_pa_m(d, row.number("flow_m3_s")?, e, rho, mu);
        sheet.compare("friction", row.case(), loss, row.number("friction_pa_m")?);
    }
    Ok(())
}

pub(super) fn heat_balance(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    for row in source.table("delivery.csv")?.rows() {
        let known = |column: &str| row.number(column).map(Known::exact);
        let side = |leak: &str, area: &str, r: &str, around: &str| -> Result<_, String> {
            Ok(delivery::DuctSide {
                leakage_m3_s: known(leak)?,
                area_m2: known(area)?,
                resistance_m2_k_w: known(r)?,
                around_k: known(around)?,
            })
        };
        let result = delivery::evaluate(&delivery::Asked {
            flow_m3_s: known("flow_m3_s")?,
            capacity_w: known("capacity_w")?,
            indoor_k: known("indoor_k")?,
            rho_cp_j_m3_k: row.number("rho_cp_j_m3_k")?,
            supply: side("supply_leak_m3_s", "supply_area_m2", "supply_r_m2_k_w", "supply_around_k")?,
            back: side("return_leak_m3_s", "return_area_m2", "return_r_m2_k_w", "return_around_k")?,
        });
        for (quantity, engine, column) in [
            ("effectiveness", result.effectiveness.si, "effectiveness"),
            ("return plenum", result.return_plenum.si, "return_plenum_k"),
            ("supply plenum", result.supply_plenum.si, "supply_plenum_k"),
            ("register", result.register.si, "register_k"),
        ] {
            sheet.compare(quantity, row.case(), engine, row.number(column)?);
        }
    }
    Ok(())
}

pub(super) fn positions(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let table = source.table("positions.csv")?;
    let mut at = 0;
    let mut line = String::new();
    for row in table.rows() {
        let name = format!("{} {} {}", row.text("section")?, row.text("rule")?, row.text("points")?);
        at = if name == line { at + 1 } else { 0 };
        line = name;
        let section = match row.text("section")? {
            "round" => traverse::Section::Round { diameter_m: 1.0 },
            _ => traverse::Section::Rectangular { width_m: 1.0, height_m: 1.0 },
        };
        let (rule, quantity) = match row.text("rule")? {
            "logarithmic" => (traverse::Rule::Logarithmic, "position"),
            _ => (traverse::Rule::EqualArea, "equal-area position"),
        };
        let points = row.number("points")? as usize;
        let found = traverse::positions(&section, rule, points).and_then(|p| p.get(at).copied());
        sheet.compare(quantity, row.case(), found.unwrap_or(f64::NAN), row.number("position")?);
    }
    Ok(())
}

pub(super) fn house_tests(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    for row in source.table("shares.csv")?.rows() {
        let share = difference::share(row.number("open")?, row.number("sealed")?);
        sheet.compare("share of duct leakage", row.case(), share, row.number("share_percent")? / 100.0);
    }
    Ok(())
}

pub(super) fn course_note(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    for row in source.table("friction.csv")?.rows() {
        let length = |column: &str, u: &str| si(row.number(column)?, u, Quantity::Length);
        let flow = si(row.number("flow_cfm")?, "cfm", Quantity::AirFlow)?;
        let (d, e) = (length("diameter_in", "in")?, length("roughness_in", "in")?);
        // The note's air: 0.075 lb/ft3 and 1.81e-5 Pa s.
        let rho = engine::air::TRADE_STANDARD_DENSITY_KG_M3;
        let drop = duct::friction_pa_m(d, flow, e, rho, 1.81e-5) * length("length_ft", "ft")?;
        sheet.compare("drop", row.case(), drop, si(row.number("drop_inh2o")?, "inH2O", Quantity::Pressure)?);
        let speed = flow / (std::f64::consts::FRAC_PI_4 * d * d);
        let f = duct::friction_factor(rho * speed * d / 1.81e-5, e / d);
        sheet.compare("friction factor", row.case(), f, row.number("friction_factor")?);
    }
    for row in source.table("equivalents.csv")?.rows() {
        let (a, b) = (row.number("a_in")?, row.number("b_in")?);
        let equal = match row.text("shape")? {
            "oval" => duct::equal_friction_oval(a, b),
            _ => duct::equal_friction_rectangle(a, b),
        };
        sheet.compare("equal friction", row.case(), equal, row.number("equivalent_in")?);
    }
    Ok(())
}

/// Each case by its topic; a topic nobody compares is an error.
pub(super) fn cases(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let all = source.json("cases.json")?;
    for (id, case) in all.as_object().ok_or("no cases")? {
        let ids = |prefix: &str| id.starts_with(prefix);
        if ids("pv") || ids("tr") || ids("ts") || ids("fp") {
            air_flow(id, case, sheet)?;
        } else if ids("deh") {
            dehumidifier(id, case, sheet)?;
        } else if ids("coil") {
            coil_case(id, case, sheet)?;
        } else if ids("De") || ids("oval") || ids("flex") {
            friction_case(id, case, sheet)?;
        } else {
            leakage_case(id, case, sheet)?;
        }
    }
    Ok(())
}

fn air_flow(id: &str, case: &Value, sheet: &mut Sheet) -> Result<(), String> {
    let (given, wanted) = (
        |k: &str| number_at(case, &format!("inputs/{k}")),
        |k: &str| number_at(case, &format!("expected/{k}")),
    );
    let cfm = |q: f64| si(q, "cfm", Quantity::AirFlow);
    let kelvin = |f: f64| si(f, "degF", Quantity::TemperatureDifference);
    match id {
        "pv1" => {
            sheet.compare("speed", id, traverse::speed_m_s(given("Pv_Pa")?, given("rho")?), wanted("V_ms")?)
        }
        "pv2" => {
            let pa = si(given("Pv_inwg")?, "inH2O", Quantity::Pressure)?;
            let speed = traverse::speed_m_s(pa, engine::air::TRADE_STANDARD_DENSITY_KG_M3);
            sheet.compare("speed, trade constant", id, speed, si(wanted("V_fpm")?, "fpm", Quantity::Speed)?);
        }
        "pv3" => {
            let readings = numbers_at(case, "inputs/Pv_Pa")?;
            let mean = traverse::mean_speed(&[readings], traverse::Shows::VelocityPressure, given("rho")?);
            sheet.compare("mean speed", id, mean.mean_m_s, wanted("V_ms")?);
        }
        "fp1" => {
            let factor = flow::pressure_correction(
                given("p_filter_Pa")?,
                given("p_plate_Pa")?,
                flow::SYSTEM_EXPONENT.0,
            );
            sheet.compare("plate flow", id, given("Qind")? * factor, wanted("Q")?);
        }
        "tr1" => {
            let flow = flow::flow_of_rise_m3_s(given("W")?, kelvin(given("dT_F")?)?, 1.204 * 1006.0);
            sheet.compare("flow", id, flow, wanted("Q_SI_m3s_rho1p204_cp1006")?);
            sheet.compare("flow, trade constant", id, flow, cfm(wanted("Q_cfm")?)?);
        }
        "tr2" => {
            let rho_cp = 1.204 * given("alt_factor")? * 1006.0;
            let flow = flow::flow_of_rise_m3_s(given("W")?, kelvin(given("dT_F")?)?, rho_cp);
            sheet.compare("flow at altitude", id, flow, cfm(wanted("Q_actual_cfm")?)?);
        }
        _ => {
            let heat = si(given("SHR")? * given("Qtot_Btuh")?, "Btu/h", Quantity::Power)?;
            let rho_cp =
                engine::procedure::handler::rho_cp_j_m3_k(engine::air::TRADE_STANDARD_DENSITY_KG_M3, 0.0);
            let flow = flow::flow_of_rise_m3_s(heat, kelvin(wanted("dT_F")?)?, rho_cp);
            sheet.compare("flow, trade constant", id, flow, cfm(given("cfm")?)?);
        }
    }
    Ok(())
}

fn leakage_case(id: &str, case: &Value, sheet: &mut Sheet) -> Result<(), String> {
    let (given, wanted) = (
        |k: &str| number_at(case, &format!("inputs/{k}")),
        |k: &str| number_at(case, &format!("expected/{k}")),
    );
    let n = engine::procedure::duct::EXPONENT;
    if id.starts_with("dl") {
        sheet.compare("leakage", id, at_pressure(given("Q25")?, 25.0, given("P_Pa")?, n), wanted("Q")?);
    } else if id.starts_with("hpz") {
        let pa = dominant::house_pressure_pa(given("Qimb")?, given("CFM50")?, given("n")?);
        sheet.compare("house pressure", id, -pa, wanted("dP_Pa")?);
    } else if id.starts_with("hp") {
        let q = operating_leakage(given("Q25")?, given("Pplen_Pa")?, 0.5, n);
        sheet.compare("leakage in operation", id, q, wanted("Q")?);
    } else if id.starts_with("pan") {
        let ratio = pans::area_ratio(given("P_pan_Pa")?, given("house_Pa")?);
        sheet.compare("pan area ratio", id, ratio, wanted("ratio")?);
    } else if id.starts_with("de") {
        let k = |c: f64| c + ZERO_CELSIUS_K;
        let case = delivery::balance(
            [given("as")?, given("ar")?],
            [given("Bs")?, given("Br")?],
            [k(given("tamb_s")?), k(given("tamb_r")?)],
            k(given("tin")?),
            given("Cap_W")? / (1.204 * 1006.0 * given("Q_m3s")?),
        );
        sheet.compare("delivery effectiveness", id, case.effectiveness, wanted("DE")?);
        sheet.compare("register", id, case.register_k, k(wanted("T_register")?));
        sheet.compare("supply plenum", id, case.supply_plenum_k, k(wanted("T_supply_plenum")?));
        sheet.compare("return plenum", id, case.return_plenum_k, k(wanted("T_return_plenum")?));
    } else if id.starts_with('B') {
        let rate = 1.204 * 1006.0 * given("Q_m3s")?;
        let left = delivery::conduction(given("A_m2")?, given("R_m2KW")?, rate);
        sheet.compare("conduction", id, left, wanted("B")?);
    } else {
        return Err(format!("nothing compares {id}"));
    }
    Ok(())
}

fn friction_case(id: &str, case: &Value, sheet: &mut Sheet) -> Result<(), String> {
    let (given, wanted) = (
        |k: &str| number_at(case, &format!("inputs/{k}")),
        |k: &str| number_at(case, &format!("expected/{k}")),
    );
    if id.starts_with("flex") {
        let factor = duct::compression_factor(given("D_in")? * 0.0254, given("compression")?);
        sheet.compare("compression factor", id, factor, wanted("PDCF")?);
    } else if id == "oval" {
        let equal = duct::equal_friction_oval(given("A_mm")?, given("a_mm")?);
        sheet.compare("equal friction", id, equal, wanted("De")?);
    } else {
        let equal = duct::equal_friction_rectangle(given("a")?, given("b")?);
        sheet.compare("equal friction", id, equal, wanted("De")?);
    }
    Ok(())
}

fn coil_case(id: &str, case: &Value, sheet: &mut Sheet) -> Result<(), String> {
    let (given, wanted) = (
        |k: &str| number_at(case, &format!("inputs/{k}")),
        |k: &str| number_at(case, &format!("expected/{k}")),
    );
    let entering = MoistAir::from_rh(given("t1")? + ZERO_CELSIUS_K, given("RH")?, given("p")?);
    let leaving = MoistAir {
        temp_k: wanted("t2")? + ZERO_CELSIUS_K,
        humidity_ratio: wanted("W2")?,
        pressure_pa: given("p")?,
    };
    let flow = given("Q_m3s_entering")?;
    let [total, sensible, water] = coil::between(&entering, &leaving, flow);
    sheet.compare("coil heat", id, total, 1000.0 * wanted("q_total_kW")?);
    sheet.compare("coil heat", id, sensible, 1000.0 * wanted("q_sens_kW")?);
    sheet.compare("coil heat", id, sensible / total, wanted("SHR")?);
    sheet.compare("coil heat", id, 3600.0 * water, wanted("condensate_kg_h")?);
    let duty = Coil { bypass: given("BF")?, holds_kg: 0.0 }.at_dew_point(
        &Entering {
            temp_k: entering.temp_k,
            w_kg_kg: entering.humidity_ratio,
            pressure_pa: entering.pressure_pa,
            flow_kg_s: flow / entering.specific_volume_m3_kg(),
        },
        given("ADP")? + ZERO_CELSIUS_K,
    );
    sheet.compare("coil heat", id, duty.total_w, 1000.0 * wanted("q_total_kW")?);
    sheet.compare("coil heat", id, duty.sensible_w, 1000.0 * wanted("q_sens_kW")?);
    Ok(())
}

fn dehumidifier(id: &str, case: &Value, sheet: &mut Sheet) -> Result<(), String> {
    let (given, wanted) = (
        |k: &str| number_at(case, &format!("inputs/{k}")),
        |k: &str| number_at(case, &format!("expected/{k}")),
    );
    let fahrenheit = |f: f64| si(f, "degF", Quantity::Temperature);
    if id == "deh1" {
        let rating_k = fahrenheit(65.0)?;
        let device = Dehumidifier {
            capacity_kg_s: si(given("pints_day")?, "pt/d", Quantity::MassRate)?,
            efficiency_kg_j: si(given("IEF")?, "L/kWh", Quantity::MassPerEnergy)?,
            rating_k,
            rating_rh: 0.6,
            set_rh: 0.5,
            band_rh: 0.05,
        };
        let running = device.running(rating_k, 0.6);
        sheet.compare("dehumidifier power", id, running.power_w, wanted("P_W")?);
        let litres = si(wanted("L_day")?, "L/d", Quantity::MassRate)?;
        sheet.compare("dehumidifier water", id, running.water_kg_s, litres);
    } else {
        let air = MoistAir::from_rh(fahrenheit(given("T_F")?)?, given("RH")?, STANDARD_PRESSURE_PA);
        sheet.compare("wet bulb", id, air.wet_bulb_k(), fahrenheit(wanted("WB_F")?)?);
        sheet.compare("dew point", id, air.dew_point_k(), fahrenheit(wanted("DP_F")?)?);
    }
    Ok(())
}
