//! `kind = "sealing session"`: the fan runs while holes are closed.

use super::record::{When, when};
use crate::diag::{Diagnostic, code};
use crate::doc::Sp;
use crate::doc::read::{Grid, Tab};
use crate::units::Quantity as Q;

/// The document.
#[derive(Clone, Debug, PartialEq)]
pub struct Sealing {
    /// A series beside the visit with columns for house pressure and flow.
    pub series: Option<Sp<String>>,
    /// Its column of house pressures.
    pub house: Option<Sp<String>>,
    /// Its column of flows.
    pub flow: Option<Sp<String>>,
    /// Typed rows instead: columns `time`, `house`, `fan`.
    pub rows: Option<Grid>,
    /// Zero-flow pressure, Pa, house minus outdoors.
    pub baseline_pa: f64,
    /// Exponent for the way to 50 Pa.
    pub exponent: Option<f64>,
    /// Leakage at 50 Pa to come down to, m3/s.
    pub target_m3_s: Option<f64>,
    /// People at work.
    pub crew: f64,
    /// The flow instrument.
    pub flow_with: Option<Sp<String>>,
    /// Repairs, in the order done.
    pub repairs: Vec<Repair>,
    /// Leakages at which something else is due.
    pub lines: Vec<Line>,
}

/// One repair, marked when it was done.
#[derive(Clone, Debug, PartialEq)]
pub struct Repair {
    /// What was closed.
    pub what: Sp<String>,
    /// When it was done.
    pub done: Sp<When>,
}

/// A leakage at which something else is due.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// What is due.
    pub what: String,
    /// Below this leakage at 50 Pa, m3/s.
    pub below_m3_s: f64,
    /// Who says so.
    pub source: String,
    /// Whether that was read in its text.
    pub confirmed: bool,
}

/// Reads it.
pub(super) fn read(t: &Tab<'_, '_>) -> Option<Sealing> {
    let series = t.text("series");
    let (house, flow) = (t.text("house"), t.text("flow"));
    let rows = t.grid("rows", &[("time", Q::Time), ("house", Q::Pressure), ("fan", Q::AirFlow)]);
    if series.is_none() && rows.is_none() && !t.has("rows") {
        t.need::<()>("rows", None);
    }
    let baseline = t.bounded("baseline", Q::Pressure, -50.0..=50.0);
    let exponent = t.number("exponent");
    let target = t.bounded("target", Q::AirFlow, 1e-6..=100.0);
    let crew = t.count("crew");
    let flow_with = t.text("flow_with");
    let repairs = t.list("repair").iter().filter_map(repair).collect();
    let lines = t.list("line").iter().filter_map(line).collect();
    let exponent = exponent.filter(|n| {
        let fits = (0.5..=1.0).contains(&n.value);
        if !fits {
            t.say(Diagnostic::error(code::L104).at(n.span.clone()).arg("found", n.value));
        }
        fits
    });
    Some(Sealing {
        series,
        house,
        flow,
        rows,
        baseline_pa: baseline.map_or(0.0, |b| b.value),
        exponent: exponent.map(|n| n.value),
        target_m3_s: target.map(|t| t.value),
        crew: crew.map_or(1.0, |c| c.value as f64),
        flow_with,
        repairs,
        lines,
    })
}

fn repair(t: &Tab<'_, '_>) -> Option<Repair> {
    let what = t.need("what", t.text("what"));
    let done = t.need("done", when(t, "done"));
    Some(Repair { what: what?, done: done? })
}

fn line(t: &Tab<'_, '_>) -> Option<Line> {
    let what = t.need("what", t.text("what"));
    let below = t.need("below", t.bounded("below", Q::AirFlow, 1e-6..=100.0));
    let source = t.text("source").map_or_else(String::new, |s| s.value);
    let confirmed = t.flag("confirmed").unwrap_or(false);
    Some(Line { what: what?.value, below_m3_s: below?.value, source, confirmed })
}
