//! Air against PsychroLib, CoolProp, and the formulas of the fan-test texts.

use crate::record::Sheet;
use crate::source::{Row, Source, number_at};
use engine::air::{self, MoistAir, ZERO_CELSIUS_K};

fn state(row: &Row<'_>) -> Result<MoistAir, String> {
    Ok(MoistAir::from_rh(row.number("temp_k")?, row.number("rh_frac")?, row.number("pressure_pa")?))
}

pub(super) fn psychrolib(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let table = source.table("states.csv")?;
    for row in table.rows() {
        let air = state(&row)?;
        let mut same = |quantity: &str, column: &str, engine: f64| {
            row.number(column).map(|v| sheet.compare(quantity, row.case(), engine, v))
        };
        same("saturation pressure", "saturation_pa", air::saturation_pressure_pa(air.temp_k))?;
        same("humidity ratio", "humidity_ratio", air.humidity_ratio)?;
        same("enthalpy", "enthalpy_j_kg", air.enthalpy_j_kg())?;
        same("dew point", "dew_point_k", air.dew_point_k())?;
        same("wet bulb", "wet_bulb_k", air.wet_bulb_k())?;
        same("specific volume", "volume_m3_kg", air.specific_volume_m3_kg())?;
        same("density", "density_kg_m3", air.density_kg_m3())?;
        same("relative humidity", "rh_frac", air.rh_frac())?;
    }
    for row in source.table("standard_pressure.csv")?.rows() {
        let engine = air::standard_pressure_pa(row.number("altitude_m")?);
        sheet.compare("standard pressure", row.case(), engine, row.number("pressure_pa")?);
    }
    Ok(())
}

pub(super) fn coolprop(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    for row in source.table("states.csv")?.rows() {
        let air = state(&row)?;
        let mut same = |quantity: &str, column: &str, engine: f64| {
            row.number(column).map(|v| sheet.compare(quantity, row.case(), engine, v))
        };
        same("humidity ratio", "humidity_ratio", air.humidity_ratio)?;
        same("dew point", "dew_point_k", air.dew_point_k())?;
        same("wet bulb", "wet_bulb_k", air.wet_bulb_k())?;
        same("density", "density_kg_m3", air.density_kg_m3())?;
    }
    for row in source.table("viscosity.csv")?.rows() {
        let engine = air::viscosity_pa_s(row.number("temp_k")?);
        sheet.compare("viscosity, dry", row.case(), engine, row.number("viscosity_pa_s")?);
    }
    Ok(())
}

pub(super) fn test_standard(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    for row in source.table("density.csv")?.rows() {
        let (temp_k, rh) = (row.number("temp_c")? + ZERO_CELSIUS_K, row.number("rh_frac")?);
        let engine = air::test_density_kg_m3(temp_k, rh, row.number("pressure_pa")?);
        sheet.compare("density", row.case(), engine, row.number("density_kg_m3")?);
    }
    let vapour = number_at(&source.json("vapour.json")?, "saturation_pa_at_20_c")?;
    let engine = air::test_vapour_pressure_pa(20.0 + ZERO_CELSIUS_K, 1.0);
    sheet.compare("vapour pressure", "AD-1", engine, vapour);
    Ok(())
}

pub(super) fn roulet_viscosity(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    for row in source.table("viscosity.csv")?.rows() {
        let engine = air::viscosity_pa_s(row.number("temp_c")? + ZERO_CELSIUS_K);
        sheet.compare("viscosity", row.case(), engine, row.number("viscosity_pa_s")?);
    }
    Ok(())
}

pub(super) fn altitude_density(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    for row in source.table("density.csv")?.rows() {
        let temp_k = row.number("temp_c")? + ZERO_CELSIUS_K;
        let engine = air::density_at_altitude_kg_m3(temp_k, row.number("altitude_m")?);
        sheet.compare("density at altitude", row.case(), engine, row.number("density_kg_m3")?);
    }
    Ok(())
}
