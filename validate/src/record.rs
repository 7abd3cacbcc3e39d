//! The one helper every comparison goes through, and the account it adds up to.

use crate::source::{Source, Status};
use std::collections::BTreeMap;
use std::fmt::Write;

/// Errors below these are rounding, or the last digits somebody kept, and may differ from machine
/// to machine; the account says no more than that they are below.
const FLOORS: [f64; 2] = [1e-12, 1e-9];

/// All comparisons of one quantity with one source.
#[derive(Clone, Debug, Default)]
struct Tally {
    cases: usize,
    worst: f64,
    worst_case: String,
    sum2: f64,
}

/// The comparisons with one source.
#[derive(Clone, Debug)]
pub struct Sheet {
    source: Source,
    tallies: BTreeMap<String, Tally>,
}

impl Sheet {
    /// An empty sheet.
    pub fn new(source: Source) -> Sheet {
        Sheet { source, tallies: BTreeMap::new() }
    }

    /// The source compared with.
    pub fn source(&self) -> &Source {
        &self.source
    }

    fn limit(&self, quantity: &str) -> (f64, Option<&str>) {
        match self.source.exception.get(quantity) {
            Some(own) => (own.tolerance, own.unit.as_deref()),
            None => (self.source.tolerance, None),
        }
    }

    /// Records what the engine says beside what the source says, both SI.
    ///
    /// The difference is relative to the source's value, or absolute where `SOURCE.toml` gives
    /// this quantity an absolute tolerance. A value that is not finite counts as an infinite
    /// difference.
    pub fn compare(&mut self, quantity: &str, case: &str, engine: f64, source: f64) {
        let (_, unit) = self.limit(quantity);
        let scale = if unit.is_some() || source.abs() < f64::MIN_POSITIVE { 1.0 } else { source.abs() };
        let error = (engine - source).abs() / scale;
        let error = if error.is_finite() { error } else { f64::INFINITY };
        let tally = self.tallies.entry(quantity.to_owned()).or_default();
        tally.cases += 1;
        tally.sum2 += error * error;
        if error >= tally.worst {
            tally.worst = error;
            tally.worst_case = format!("{case}: engine {engine}, source {source}");
        }
    }

    /// Number of comparisons.
    pub fn cases(&self) -> usize {
        self.tallies.values().map(|t| t.cases).sum()
    }

    /// What lies outside its tolerance, in words for a failing test.
    pub fn failures(&self) -> Vec<String> {
        let mut list = Vec::new();
        for (quantity, tally) in &self.tallies {
            let (limit, unit) = self.limit(quantity);
            if tally.worst > limit {
                list.push(format!(
                    "{}: {quantity} differs by {:e} {}, allowed {limit:e}; worst case {}",
                    self.source.id,
                    tally.worst,
                    unit.unwrap_or("relative"),
                    tally.worst_case
                ));
            }
        }
        for name in self.source.exception.keys().filter(|n| !self.tallies.contains_key(*n)) {
            list.push(format!("{}: a tolerance for {name}, which nothing compares", self.source.id));
        }
        list
    }
}

fn short(error: f64, unit: Option<&str>) -> String {
    let floor = FLOORS.iter().find(|f| error < **f);
    let text = floor.map_or_else(|| format!("{error:.1e}"), |f| format!("< {f:e}"));
    match unit {
        Some(unit) => format!("{text} {unit}"),
        None => text,
    }
}

/// `RESIDUALS.md`.
pub fn render(sheets: &[Sheet]) -> String {
    let mut out = String::from(
        "# Residuals\n\n\
         How far the engine is from what others published or computed.\n\
         Written by `cargo run -p airwright-validate`; a test fails where this file is out of date.\n\
         Errors are relative to the source's value unless a unit stands beside them.\n\
         Status: SEEN was read in a citable text, COMPUTED was worked out from a stated formula by other software, MEMORY was recalled.\n\n\
         | source | status | quantity | cases | largest error | rms error | tolerance |\n\
         | --- | --- | --- | ---: | ---: | ---: | ---: |\n",
    );
    for sheet in sheets {
        let status = match sheet.source.status {
            Status::Seen => "SEEN",
            Status::Memory => "MEMORY",
            Status::Computed => "COMPUTED",
        };
        for (quantity, tally) in &sheet.tallies {
            let (limit, unit) = sheet.limit(quantity);
            let rms = (tally.sum2 / tally.cases as f64).sqrt();
            let tolerance = unit.map_or_else(|| format!("{limit:e}"), |u| format!("{limit:e} {u}"));
            // Writing to a String cannot fail.
            let _ = writeln!(
                out,
                "| {} | {status} | {quantity} | {} | {} | {} | {tolerance} |",
                sheet.source.id,
                tally.cases,
                short(tally.worst, unit),
                short(rms, unit),
            );
        }
    }
    out.push_str("\n## Sources\n\n");
    for sheet in sheets {
        let s = &sheet.source;
        let _ = writeln!(out, "* **{}**: {} ({}).", s.id, s.citation, s.edition);
        let _ = writeln!(out, "  Tolerance: {}.", s.tolerance_reason);
        for (name, own) in &s.exception {
            let _ = writeln!(out, "  For {name}: {}.", own.reason);
        }
        if let Some(remark) = &s.remark {
            let _ = writeln!(out, "  {remark}");
        }
    }
    out
}
