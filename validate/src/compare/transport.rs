//! What the air carries, against the matrix exponential of SciPy.

use crate::record::Sheet;
use crate::source::{Source, number_at};
use engine::transport::{End, Exchange, exact};
use serde_json::Value;
use std::collections::BTreeMap;

/// A system of zones under constant flows, its start, and where it ends.
pub struct Case {
    /// Its name.
    pub name: String,
    /// How long it runs, s.
    pub duration_s: f64,
    /// Air of each zone (mass or, where the density cancels, volume).
    pub capacity: Vec<f64>,
    /// Flows and sources.
    pub exchange: Exchange,
    /// Values at the start.
    pub start: Vec<f64>,
    /// Values at the end.
    pub end: Vec<f64>,
}

/// The cases of `transport-expm`.
pub fn cases(source: &Source) -> Result<Vec<Case>, String> {
    let table = source.table("cases.csv")?;
    let mut groups: BTreeMap<&str, Vec<_>> = BTreeMap::new();
    for row in table.rows() {
        groups.entry(row.case()).or_default().push(row);
    }
    let mut cases = Vec::new();
    for (name, rows) in groups {
        let zones = rows.len();
        let column =
            |column: &str| rows.iter().map(|row| row.number(column)).collect::<Result<Vec<f64>, _>>();
        let mut exchange = Exchange::new(zones);
        exchange.lost = column("lost")?;
        exchange.input = column("input")?;
        for to in 0..zones {
            for (from, flow) in column(&format!("to_{to}"))?.into_iter().enumerate() {
                exchange.transfer[from * zones + to] = flow;
            }
        }
        cases.push(Case {
            name: name.to_owned(),
            duration_s: column("duration_s")?.first().copied().ok_or("no rows")?,
            capacity: column("capacity")?,
            exchange,
            start: column("start")?,
            end: column("end")?,
        });
    }
    Ok(cases)
}

pub(super) fn expm(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    for case in cases(source)? {
        let mut values = case.start.clone();
        exact(case.duration_s, &case.capacity, &case.exchange, &mut values);
        for (zone, (engine, expected)) in values.iter().zip(&case.end).enumerate() {
            sheet.compare("value at the end", &format!("{} zone {zone}", case.name), *engine, *expected);
        }
    }
    Ok(())
}

/// Two rooms with their own outdoor air, mixed by an air handler: capacities (m3) and exchange
/// (m3/s) of a case of `two-zone-co2`. Volumes stand for masses: the density cancels.
pub fn two_rooms(case: &Value) -> Result<([f64; 2], Exchange), String> {
    let get = |key: &str| number_at(case, key);
    let volumes = [get("V1")?, get("V2")?];
    // A case without outdoor air names none.
    let outdoors_ppm = if case.get("Co").is_some() { get("Co")? } else { 0.0 };
    let mut exchange = Exchange::new(2);
    for (zone, per_h) in [get("a1_per_h")?, get("a2_per_h")?].into_iter().enumerate() {
        let flow = per_h * volumes[zone] / 3600.0;
        exchange.add_from_outdoors(zone, flow, outdoors_ppm, 1.0);
        exchange.add_to_outdoors(zone, flow);
    }
    // The handler draws twice the exchange flow from each room and blows as much into each: half
    // of what a room sends comes back to it, half crosses.
    let mix = 2.0 * get("Qm_m3h")? / 3600.0;
    let ends = [0, 1].map(|zone| End { zone: Some(zone), flow: mix });
    exchange.add_mixed(&ends, &ends, 1.0, 1.0, outdoors_ppm);
    exchange.input[0] += get("G_m3h")? / 3600.0 * 1e6;
    Ok((volumes, exchange))
}

/// Long enough for two rooms to come to rest, s.
const AT_REST_S: f64 = 4000.0 * 3600.0;

pub(super) fn two_zones(source: &Source, sheet: &mut Sheet) -> Result<(), String> {
    let file = source.json("cases.json")?;
    for (index, case) in file.get("cases").and_then(Value::as_array).ok_or("no cases")?.iter().enumerate() {
        let get = |key: &str| number_at(case, key);
        let (capacity, exchange) = two_rooms(case)?;
        let name = format!("case {index}, {} m3/h", get("Qm_m3h")?);
        let mut both = |quantity: &str, values: [f64; 2], keys: [&str; 2]| {
            for (value, key) in values.iter().zip(keys) {
                sheet.compare(quantity, &format!("{name} {key}"), *value, get(key)?);
            }
            Ok::<(), String>(())
        };
        let after = |duration_s: f64, start: [f64; 2]| {
            let mut values = start;
            exact(duration_s, &capacity, &exchange, &mut values);
            values
        };
        if case.get("t_h").is_some() {
            let start = [get("C0")?; 2];
            both("CO2 after a night", after(get("t_h")? * 3600.0, start), ["C1_8h", "C2_8h"])?;
            both("CO2 at rest", after(AT_REST_S, start), ["C1_ss", "C2_ss"])?;
        } else {
            let start = [get("C10")?, get("C20")?];
            both("CO2 while mixing", after(get("t_min")? * 60.0, start), ["C1", "C2"])?;
        }
    }
    Ok(())
}
