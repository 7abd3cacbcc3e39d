//! Infiltration models, wind at the house, against the handbook's examples and worked-out cases.

use crate::record::Sheet;
use crate::source::{Source, number_at, numbers_at};
use engine::procedure::infiltration::{
    Aim2, Driven, Enhanced, EnhancedCoefficients, Foundation, Shelter, Storeys, basic, basic_coefficients,
    n_factor,
};
use engine::year::wind::{Site, Terrain, wall_cp};
use serde_json::Value;

const STOREYS: [Storeys; 3] = [Storeys::One, Storeys::Two, Storeys::Three];
const SHELTERS: [Shelter; 5] =
    [Shelter::Unsheltered, Shelter::Light, Shelter::Moderate, Shelter::Heavy, Shelter::Dense];

pub(super) fn handbook(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let file = source.json("examples.json")?;
    let tables = |path: &str| numbers_at(&file, &format!("tables/{path}"));
    for (i, storeys) in STOREYS.into_iter().enumerate() {
        let stack = tables("T4_basic_Cs_L2_s2_cm4_K/Cs")?[i];
        for (class, shelter) in SHELTERS.into_iter().enumerate() {
            let wind = tables(&format!("T6_basic_Cw/class{}", class + 1))?[i];
            let (s, w) = basic_coefficients(storeys, shelter);
            sheet.compare("tables", "basic, stack", s, stack);
            sheet.compare("tables", "basic, wind", w, wind);
            for flue in [false, true] {
                let house = Enhanced { storeys, shelter, foundation: Foundation::SlabOrBasement, flue };
                let column = if flue { format!("flue_{}", i + 1) } else { "no_flue".to_owned() };
                let wanted = tables(&format!("T9_shelter/{column}"))?[class];
                sheet.compare("tables", &column, house.coefficients().shelter, wanted);
            }
        }
        sheet.compare("tables", "wind ratio", enhanced(storeys, false).wind_ratio, tables("T7_G")?[i]);
        for (flue, word) in [(false, "no_flue"), (true, "flue")] {
            let wanted = tables(&format!("T8/Cs_{word}"))?[i];
            sheet.compare("tables", word, enhanced(storeys, flue).stack, wanted);
            let grounds =
                [(Foundation::SlabOrBasement, "slab_or_basement"), (Foundation::CrawlSpace, "crawl")];
            for (foundation, ground) in grounds {
                let house = Enhanced { storeys, shelter: Shelter::Light, foundation, flue };
                let wanted = tables(&format!("T8/Cw_{ground}_{word}"))?[i];
                sheet.compare("tables", ground, house.coefficients().wind, wanted);
            }
        }
    }
    for example in file.pointer("/examples").and_then(Value::as_array).into_iter().flatten() {
        let name = example.pointer("/handbook_example").and_then(Value::as_str).unwrap_or("");
        let number = |path: &str| number_at(example, path);
        let driven = if example.pointer("/model").and_then(Value::as_str) == Some("basic") {
            let (stack, wind) = (number("in/Cs")?, number("in/Cw")?);
            let known = STOREYS.iter().flat_map(|s| SHELTERS.iter().map(move |c| (*s, *c)));
            let house = known
                .into_iter()
                .find(|(s, c)| {
                    let (a, b) = basic_coefficients(*s, *c);
                    (a - stack).abs() < 1e-12 && (b - wind).abs() < 1e-12
                })
                .ok_or_else(|| format!("example {name}: coefficients are in no table"))?;
            basic(number("in/AL_cm2")? * 1e-4, house.0, house.1, number("in/dT_K")?, number("in/U_m_s")?)
        } else {
            let house = EnhancedCoefficients {
                stack: number("in/Cs")?,
                wind: number("in/Cw")?,
                shelter: number("in/s")?,
                wind_ratio: number("in/G")?,
            };
            let found =
                house.flows(number("in/c")?, number("in/n")?, number("in/dT_K")?, number("in/Umet_m_s")?);
            sheet.compare("stack flow", name, found.stack_m3_s, number("computed/Qs")?);
            sheet.compare("wind flow", name, found.wind_m3_s, number("computed/Qw")?);
            found
        };
        let flow = driven.together_m3_s();
        sheet.compare("flow", name, flow, number("computed/Q_m3_s")?);
        sheet.compare("air changes", name, flow * 3600.0 / number("in/V_m3")?, number("computed/ach")?);
        sheet.compare("printed flow", name, flow * 3600.0, number("printed/Q_m3_h")?);
    }
    Ok(())
}

fn enhanced(storeys: Storeys, flue: bool) -> EnhancedCoefficients {
    let foundation = Foundation::SlabOrBasement;
    Enhanced { storeys, shelter: Shelter::Light, foundation, flue }.coefficients()
}

pub(super) fn models(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let file = source.json("cases.json")?;
    for case in file.as_array().into_iter().flatten() {
        let id = case.pointer("/id").and_then(Value::as_str).unwrap_or("");
        let of = |path: &str| number_at(case, path);
        match id {
            "IN-6" => {
                let n = n_factor(of("input/C")?, of("input/H")?, of("input/S")?, of("input/L")?);
                sheet.compare("N-factor", id, of("input/ACH50")? / n, of("expected/ach")?);
            }
            "IN-4" => {
                let house = EnhancedCoefficients {
                    stack: of("input/Cs")?,
                    wind: of("input/Cw")?,
                    shelter: of("input/s")?,
                    wind_ratio: of("input/G")?,
                };
                let found = house.flows(of("input/c")?, of("input/n")?, of("input/dT")?, of("input/Umet")?);
                sheet.compare("enhanced model", id, found.together_m3_s(), of("expected/Q")?);
            }
            "IN-3" => {
                let (area_m2, wind) = (of("input/AL_in2")? * 0.0254 * 0.0254, of("input/U_mph")? * 0.44704);
                let dt_k = of("input/dT_F")? / 1.8;
                let flow = basic(area_m2, Storeys::Two, Shelter::Moderate, dt_k, wind).together_m3_s();
                let cfm = flow / (0.3048 * 0.3048 * 0.3048 / 60.0);
                sheet.compare("basic model, inch-pound twin", id, cfm, of("expected/Q_cfm")?);
                let change = cfm * 60.0 / of("input/V_ft3")?;
                sheet.compare("basic model, inch-pound twin", id, change, of("expected/ach")?);
            }
            "IN-1" | "IN-2" => {
                let area_cm2 = of("input/AL_cm2")?;
                let (dt, wind) = (of("input/dT")?, of("input/U")?);
                let house = match id {
                    "IN-1" => (Storeys::Two, Shelter::Moderate),
                    _ => (Storeys::One, Shelter::Heavy),
                };
                let found: Driven = basic(area_cm2 * 1e-4, house.0, house.1, dt, wind);
                sheet.compare("basic model", id, found.together_m3_s(), of("expected/Q_m3s")?);
                let change = found.together_m3_s() * 3600.0 / of("input/V")?;
                sheet.compare("basic model", id, change, of("expected/ach")?);
            }
            _ => {
                let at = |foundation| -> Result<Aim2, String> {
                    let (n, r, height_m) = (of("input/n")?, of("input/R")?, of("input/H")?);
                    Ok(Aim2 { n, r, x: 0.0, height_m, foundation })
                };
                let (slab, crawl) = (at(Foundation::SlabOrBasement)?, at(Foundation::CrawlSpace)?);
                let density = of("input/rho")?;
                sheet.compare("AIM-2", id, slab.stack_factor(), of("expected/fs")?);
                sheet.compare("AIM-2", id, slab.wind_factor(), of("expected/fw_slab")?);
                let stack = slab.stack_coefficient(density, of("input/T")?);
                sheet.compare("AIM-2", id, stack, of("expected/Cs")?);
                sheet.compare("AIM-2", id, slab.wind_coefficient(density), of("expected/Cw_slab")?);
                sheet.compare("AIM-2", id, crawl.wind_coefficient(density), of("expected/Cw_crawl")?);
            }
        }
    }
    Ok(())
}

pub(super) fn terrain(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let file = source.json("ratios.json")?;
    let terrains = [Terrain::CITY, Terrain::SUBURB, Terrain::OPEN, Terrain::FLAT];
    for (height_m, key) in [(10.0, "h10"), (5.0, "h5")] {
        let wanted = numbers_at(&file, &format!("expected/{key}"))?;
        for (terrain, wanted) in terrains.into_iter().zip(wanted) {
            let site = Site { terrain, height_m, shelter: 1.0, station: Terrain::OPEN, mast_m: 10.0 };
            sheet.compare("wind ratio", key, site.speed_ratio(), wanted);
        }
    }
    Ok(())
}

pub(super) fn walls(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    for row in source.table("wall_cp.csv")?.rows() {
        let angle = row.number("angle_deg")?.to_radians();
        let cp = wall_cp(angle, row.number("side_ratio")?);
        sheet.compare("wall pressure coefficient", row.case(), cp, row.number("cp")?);
    }
    Ok(())
}
