//! The sun's place and what falls on tilted planes, against pvlib.

use crate::record::Sheet;
use crate::source::{Row, Source};
use engine::weather::Hour;
use engine::weather::sun::{GROUND_REFLECTANCE, Plane, Position, incident_w_m2, position};

fn place(row: &Row<'_>) -> Result<Position, String> {
    let angle = |column: &str| row.number(column).map(f64::to_radians);
    Ok(position(row.number("time_s")?, 0.0, angle("latitude_deg")?, angle("longitude_deg")?))
}

fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

pub(super) fn pvlib(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    for row in source.table("places.csv")?.rows() {
        let angle = |column: &str| row.number(column).map(f64::to_radians);
        // The outward vector of a plane that faces the sun points at it.
        let wanted = Plane { azimuth_rad: angle("azimuth_deg")?, tilt_rad: angle("zenith_deg")? }.outward();
        let found = place(&row)?.toward;
        let apart: f64 = (0..3).map(|k| (wanted[k] - found[k]).powi(2)).sum::<f64>().sqrt();
        sheet.compare("angle to the sun's place", row.case(), apart.to_degrees(), 0.0);
    }
    for row in source.table("planes.csv")?.rows() {
        let angle = |column: &str| row.number(column).map(f64::to_radians);
        let plane = Plane { azimuth_rad: angle("facing_deg")?, tilt_rad: angle("tilt_deg")? };
        let hour = Hour {
            temp_k: 293.15,
            w_kg_kg: 0.0,
            pressure_pa: 101_325.0,
            wind_m_s: 0.0,
            wind_from_rad: 0.0,
            ghi_w_m2: row.number("ghi_w_m2")?,
            dni_w_m2: row.number("dni_w_m2")?,
            dhi_w_m2: row.number("dhi_w_m2")?,
        };
        let cosine = dot(place(&row)?.toward, plane.outward());
        let found = incident_w_m2(&hour, cosine, &plane, GROUND_REFLECTANCE);
        let case =
            format!("{} tilt {} facing {}", row.case(), row.text("tilt_deg")?, row.text("facing_deg")?);
        sheet.compare("irradiance on a plane", &case, found, row.number("incident_w_m2")?);
    }
    Ok(())
}
