//! Bills against scipy and statsmodels.

use crate::record::Sheet;
use crate::source::Source;
use engine::measure::Estimate;
use engine::procedure::bills::{Fuel, FuelFound, Period, Shape, evaluate};
use std::collections::BTreeMap;

pub(super) fn change_points(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let mut temps: BTreeMap<(String, String), Vec<f64>> = BTreeMap::new();
    for row in source.table("temperatures.csv")?.rows() {
        let key = (row.case().to_owned(), row.text("period")?.to_owned());
        temps.entry(key).or_default().push(row.number("temp_k")?);
    }
    let mut cases: BTreeMap<String, Vec<Period>> = BTreeMap::new();
    for row in source.table("periods.csv")?.rows() {
        let key = (row.case().to_owned(), row.text("period")?.to_owned());
        cases.entry(row.case().to_owned()).or_default().push(Period {
            days: row.number("days")?,
            energy_j: row.number("energy_j")?,
            outdoor_k: temps.remove(&key).unwrap_or_default(),
            estimated: false,
            span: None,
        });
    }
    let mut found: BTreeMap<String, FuelFound> = BTreeMap::new();
    for row in source.table("fits.csv")?.rows() {
        let case = row.case();
        if !found.contains_key(case) {
            let fuel = Fuel {
                name: case.to_owned(),
                periods: cases.remove(case).unwrap_or_default(),
                shape: Some(match row.text("shape")? {
                    "heating" => Shape::Heating,
                    "cooling" => Shape::Cooling,
                    _ => Shape::Both,
                }),
                efficiency: None,
                usual_year_k: Vec::new(),
            };
            let (fitted, _) = evaluate(&fuel).map_err(|d| d.code.to_string())?;
            found.insert(case.to_owned(), fitted);
        }
        let Some(f) = found.get(case) else { continue };
        let estimate: Option<Estimate> = match row.text("quantity")? {
            "base" => f.base,
            "heating_slope" => f.heating_slope,
            "heating_balance" => f.heating_balance,
            "cooling_slope" => f.cooling_slope,
            "cooling_balance" => f.cooling_balance,
            _ => None,
        };
        let Some(estimate) = estimate else {
            let dof = f.periods as f64 - f.shape.parameters() as f64;
            sheet.compare("sum of squares", case, f.scatter_w * f.scatter_w * dof, row.number("value")?);
            continue;
        };
        let name = row.text("quantity")?;
        let quantity = match name {
            "base" => "base",
            n if n.ends_with("slope") => "slope",
            _ => "balance temperature",
        };
        sheet.compare(quantity, &format!("{case} {name}"), estimate.si, row.number("value")?);
        // An autocorrelated fit is widened by the engine and not by the library.
        if !f.autocorrelated {
            let half = estimate.bounds().map_or(f64::NAN, |(lo, hi)| (hi - lo) / 2.0);
            sheet.compare("half width", &format!("{case} {name}"), half, row.number("half_width")?);
        }
    }
    Ok(())
}
