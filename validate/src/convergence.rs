//! Whole houses at several inner steps against an independent solution of the same equations.
//!
//! `scipy-houses` solves air, heat, water, CO2 and particles together without any step of ours
//! (`oracles/house_oracle.py`). Here the same description becomes a [`Model`], lives the same days
//! through [`engine::year::run`], and its hourly means are put beside. [`render`] writes
//! `docs/CONVERGENCE.md`.

use crate::houses::greensboro;
use crate::source::{Source, number_at, numbers_at};
use engine::device::Recovery;
use engine::network::{Kind, Network, Node, Passage as Way};
use engine::weather::{PickedDay, Weather};
use engine::year::wind::{Exposure, Site, Terrain};
use engine::year::{
    Beyond, Days, Door, ExhaustFan, Gain, Ground, Model, Occupant, Open, Options, OutdoorAir, Passage,
    Schedule, Source as Event, Surface, Ventilator, YearError, Zone, ZoneKind, run,
};
use serde_json::Value;
use std::fmt::Write;
use std::ops::ControlFlow;

/// First recorded day of the year, from 0, and how many.
const FIRST_DAY: usize = 10;
const DAY_COUNT: usize = 14;
/// Inner steps, s.
pub const STEPS_S: [f64; 4] = [60.0, 300.0, 900.0, 3600.0];
/// What is compared, in the order of [`Errors`].
pub const QUANTITIES: [&str; 4] = ["temperature", "water", "CO2", "PM2.5"];
const COLUMNS: [&str; 4] = ["temp_k", "water_g_kg", "co2_ppm", "pm25_ug_m3"];

/// Largest difference of an hourly mean over the case's largest value (temperature: over its range
/// from the coldest to the warmest hour of any zone), one a quantity of [`QUANTITIES`].
pub type Errors = [f64; 4];

/// One house with the values it is to meet.
pub struct Case {
    /// Its name.
    pub name: String,
    model: Model,
    /// `[quantity][zone][hour]`.
    wanted: [Vec<Vec<f64>>; 4],
}

fn list<'a>(value: &'a Value, key: &str) -> impl Iterator<Item = &'a Value> {
    value.get(key).and_then(Value::as_array).into_iter().flatten()
}

fn index(value: &Value, key: &str) -> Result<Option<usize>, String> {
    let number = value.get(key).and_then(Value::as_i64).ok_or_else(|| format!("no {key}"))?;
    Ok(usize::try_from(number).ok())
}

fn zone_of(value: &Value, key: &str) -> Result<usize, String> {
    index(value, key)?.ok_or_else(|| format!("{key} is no zone"))
}

fn by_hour(value: &Value, key: &str) -> Result<[f64; 24], String> {
    numbers_at(value, key)?.try_into().map_err(|_| format!("{key} has not 24 hours"))
}

fn zone(value: &Value, name: &str) -> Result<Zone, String> {
    let get = |key: &str| number_at(value, key);
    let mut zone =
        Zone::usual(name, ZoneKind::Conditioned, get("floor_m")?, get("ceiling_m")?, get("area_m2")?);
    zone.heat_capacity_j_k = get("capacity_j_k")?;
    zone.moisture_multiplier = get("moisture")?;
    zone.deposition_per_s = get("deposition_per_s")?;
    zone.start_k = get("start_k")?;
    // Nothing condenses: the oracle has no active set.
    zone.cold_area_m2 = 0.0;
    Ok(zone)
}

fn model(house: &Value) -> Result<Model, String> {
    let names: Vec<String> = (0..list(house, "zones").count()).map(|k| format!("zone {k}")).collect();
    let zones: Vec<Zone> =
        list(house, "zones").zip(&names).map(|(z, n)| zone(z, n)).collect::<Result<_, _>>()?;
    let (mut ways, mut passages) = (Vec::new(), Vec::new());
    for leak in list(house, "leaks") {
        let get = |key: &str| number_at(leak, key);
        let face = zone_of(leak, "face")?;
        let a = index(leak, "a")?.map_or(Node::Outdoors { wind: face }, Node::Zone);
        let kind = Kind::Leak { c_m3_s_pan: get("c")?, n: get("n")? };
        ways.push(Way { a, b: Node::Zone(zone_of(leak, "b")?), z_m: get("z_m")?, kind });
        passages.push(Passage { pm25_passed: get("passed")? });
    }
    let mut surfaces = Vec::new();
    for wall in list(house, "walls") {
        let beyond = match wall.get("beyond").and_then(Value::as_str) {
            Some("outdoors") => Beyond::Outdoors(None),
            Some(_) => Beyond::Ground,
            None => Beyond::Zone(zone_of(wall, "beyond")?),
        };
        surfaces.push(Surface {
            zone: zone_of(wall, "zone")?,
            beyond,
            conductance_w_k: number_at(wall, "w_k")?,
        });
    }
    let mut occupants = Vec::new();
    for person in list(house, "people") {
        let places: Vec<Option<usize>> =
            list(person, "zone").map(|z| z.as_i64().and_then(|z| usize::try_from(z).ok())).collect();
        occupants.push(Occupant {
            zone: places.try_into().map_err(|_| "a person without 24 hours")?,
            co2_m3_s: by_hour(person, "co2_m3_s")?,
            water_kg_s: by_hour(person, "water_kg_s")?,
            heat_w: by_hour(person, "heat_w")?,
            stays: vec![],
            persons: 1.0,
        });
    }
    let mut sources = Vec::new();
    for event in list(house, "events") {
        let get = |key: &str| number_at(event, key);
        sources.push(Event {
            zone: zone_of(event, "zone")?,
            start_s: get("start_s")?,
            duration_s: get("duration_s")?,
            pm25_kg_s: get("pm25_kg_s")?,
            water_kg_s: get("water_kg_s")?,
            co2_m3_s: 0.0,
            heat_w: get("heat_w")?,
            capture: 0.0,
        });
    }
    let mut doors = Vec::new();
    for door in list(house, "doors") {
        doors.push(Door {
            passage: zone_of(door, "passage")?,
            open: Open::Hours(by_hour(door, "open")?.map(|o| o > 0.5)),
        });
    }
    let mut exhausts = Vec::new();
    for fan in list(house, "fans") {
        exhausts.push(ExhaustFan {
            zone: zone_of(fan, "zone")?,
            flow_kg_s: number_at(fan, "kg_s")?,
            schedule: Schedule::Hours(by_hour(fan, "hours")?),
            power_w: 0.0,
            heats: None,
        });
    }
    let mut ventilators = Vec::new();
    for v in list(house, "ventilators") {
        let get = |key: &str| number_at(v, key);
        ventilators.push(Ventilator {
            supply_kg_s: vec![(zone_of(v, "supply")?, get("kg_s")?)],
            exhaust_kg_s: vec![(zone_of(v, "exhaust")?, get("kg_s")?)],
            recovery: Recovery { sensible: get("sensible")?, latent: get("latent")? },
            pm25_efficiency: get("pm25")?,
            schedule: Schedule::Hours(by_hour(v, "hours")?),
            power_w: 0.0,
        });
    }
    let mut gains = Vec::new();
    for gain in list(house, "gains") {
        gains.push(Gain { zone: zone_of(gain, "zone")?, heat_w: [number_at(gain, "heat_w")?; 24] });
    }
    Ok(Model {
        gases: Vec::new(),
        hot_water: Vec::new(),
        humidifiers: Vec::new(),
        network: Network::new(names, ways).map_err(|e| e.to_string())?,
        zones,
        passages,
        faces: numbers_at(house, "faces")?.into_iter().map(Exposure::Constant).collect(),
        // The station's wind as it is.
        site: Site {
            terrain: Terrain::OPEN,
            height_m: 10.0,
            shelter: 1.0,
            station: Terrain::OPEN,
            mast_m: 10.0,
        },
        surfaces,
        windows: vec![],
        ground: Ground { mean_k: 286.15, amplitude_k: 0.0, coldest_day: 0.0 },
        wet_ground: vec![],
        occupants,
        gains,
        sources,
        doors,
        exhausts,
        cleaners: Vec::new(),
        ventilators,
        handler: None,
        thermostat: None,
        heating: None,
        cooling: None,
        driers: vec![],
        outdoor: OutdoorAir::default(),
        summer: None,
        appliance_zone: None,
    })
}

/// The houses of `scipy-houses`.
///
/// # Errors
/// A file that cannot be read, in words.
pub fn cases(source: &Source) -> Result<Vec<Case>, String> {
    let described = source.json("houses.json")?;
    let hours = source.table("hours.csv")?;
    let mut cases = Vec::new();
    for house in described.as_array().into_iter().flatten() {
        let name = house.get("name").and_then(Value::as_str).ok_or("a house without name")?.to_owned();
        let model = model(house)?;
        let zones = model.zones.len();
        let mut wanted: [Vec<Vec<f64>>; 4] = std::array::from_fn(|_| vec![Vec::new(); zones]);
        for row in hours.rows().filter(|row| row.case() == name) {
            let zone: usize = row.text("zone")?.parse().map_err(|_| "no zone")?;
            for (quantity, column) in COLUMNS.iter().enumerate() {
                wanted[quantity].get_mut(zone).ok_or("a zone too many")?.push(row.number(column)?);
            }
        }
        if wanted.iter().flatten().any(|values| values.len() != 24 * DAY_COUNT) {
            return Err(format!("{name}: not {DAY_COUNT} days of hours"));
        }
        cases.push(Case { name, model, wanted });
    }
    Ok(cases)
}

impl Case {
    /// Largest differences at an inner step.
    ///
    /// # Errors
    /// [`YearError`], which would be a mistake here.
    pub fn errors(&self, weather: &Weather, inner_step_s: f64) -> Result<Errors, YearError> {
        let days = (FIRST_DAY..FIRST_DAY + DAY_COUNT).map(|day| PickedDay { day, weight: 1.0 }).collect();
        let options =
            Options { inner_step_s, days: Days::Picked(days), keep_series: true, ..Options::default() };
        let year = run(&self.model, weather, &options, &mut |_| ControlFlow::Continue(()))?;
        let mut errors = [0.0; 4];
        for (quantity, error) in errors.iter_mut().enumerate() {
            let (mut worst, mut least, mut most) = (0.0_f64, f64::MAX, f64::MIN);
            for (zone, wanted) in year.zones.iter().zip(&self.wanted[quantity]) {
                let Some(series) = &zone.series else { continue };
                let (found, scale) = match quantity {
                    0 => (&series.temp_k, 1.0),
                    1 => (&series.w_kg_kg, 1e3),
                    2 => (&series.co2_ppm, 1.0),
                    _ => (&series.pm25_kg_m3, 1e9),
                };
                for (found, wanted) in found.iter().zip(wanted) {
                    let apart = (scale * found - wanted).abs();
                    // Written so that NaN counts as the worst.
                    worst = if apart <= worst { worst } else { apart };
                    least = least.min(*wanted);
                    most = most.max(*wanted);
                }
            }
            *error = worst / if quantity == 0 { most - least } else { most };
        }
        Ok(errors)
    }
}

/// One row a house and step.
pub struct Line {
    /// The house.
    pub name: String,
    /// Inner step, s.
    pub step_s: f64,
    /// Largest differences.
    pub errors: Errors,
}

/// Every house at every step of [`STEPS_S`].
///
/// # Errors
/// A file or a run that fails, in words.
pub fn lines() -> Result<Vec<Line>, String> {
    let weather = greensboro()?;
    let mut lines = Vec::new();
    for case in cases(&Source::load("scipy-houses")?)? {
        for step_s in STEPS_S {
            let errors = case.errors(&weather, step_s).map_err(|e| e.to_string())?;
            lines.push(Line { name: case.name.clone(), step_s, errors });
        }
    }
    Ok(lines)
}

/// `docs/CONVERGENCE.md`.
pub fn render(lines: &[Line]) -> String {
    let mut out = String::from(
        "# Convergence of the year's step\n\n\
         How far hourly means of a simulated house are from an independent solution of the same equations, by inner step.\n\
         Written by `cargo run -p airwright-validate -- convergence`; a test fails where this file is out of date.\n\
         Three invented houses without heating or cooling live 14 January days of the shipped weather: leaks between rooms and on four faces, stack and wind, a door, people, cooking, a shower, an exhaust fan, and in the largest a ventilator with recovery.\n\
         The independent solution (`validate/oracles/house_oracle.py`, SciPy's Radau at 1e-8) solves the air network anew at every instant and holds nothing over a step.\n\
         Numbers are the largest difference of any zone's hourly mean over the house's largest value; for temperature over the range between its coldest and warmest hour.\n\
         An hourly mean of the year is the mean over straight lines between the instants that a step knows: its ends, and for what the air carries the ends of the four equal parts that it is cut into on one factorisation.\n\
         The goal, 2e-3 at 60 s and 1e-2 at 5 min, was set for a decay of 0.5/h; all four quantities meet it in all three houses, where a door, a fan and cooking change a room within minutes (the test holds them to it).\n\
         What is left is of the first order: flows and weather that stay for a step, and the rest of backward Euler's error.\n\
         *Order* is the exponent of the step in the error since the row above.\n\n\
         | house | step | temperature | water | CO2 | PM2.5 | order (CO2) |\n| --- | ---: | ---: | ---: | ---: | ---: | ---: |\n",
    );
    for (k, line) in lines.iter().enumerate() {
        let before = k.checked_sub(1).map(|b| &lines[b]).filter(|b| b.name == line.name);
        let order = before.map_or("-".to_owned(), |b| {
            let ratio = engine::math::ln(line.errors[2] / b.errors[2]);
            format!("{:.2}", ratio / engine::math::ln(line.step_s / b.step_s))
        });
        let [t, w, c, p] = line.errors.map(|e| format!("{e:.1e}"));
        // Writing to a String cannot fail.
        let _ = writeln!(out, "| {} | {} s | {t} | {w} | {c} | {p} | {order} |", line.name, line.step_s);
    }
    out
}
