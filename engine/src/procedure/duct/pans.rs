//! Pressure pans: a pan over one register after the other while the house is held at a pressure.
//!
//! The pressure behind the pan against the house tells how well the duct is connected to outside.
//! The zone that holds the duct gives the drive: its own pressure against the house, not always
//! that of outdoors, so a reading is scaled by `50 Pa / zone`. In the series model the leak over
//! what is open to the house is `sqrt(P / (P_zone - P))` (from the orifice law). The test tells which
//! run to look at; it measures no leakage.

use crate::diag::{Diagnostic, Diagnostics, Span, code};
use crate::measure::Estimate;
use crate::procedure::field::{Limit, Note, Worked};
use crate::procedure::known::{Known, follows};
use crate::units::{Accuracy, Quantity};
use serde::Serialize;

/// The pressure that readings are stated for, Pa.
pub const STATED_AT_PA: f64 = 50.0;
/// From this stated reading on a run counts as connected to outside, Pa (an open data standard's
/// definition of the term, seen; qualitative).
pub const CONNECTED_PA: f64 = 5.0;
/// A zone below this share of the house's pressure gives a blunt test (own choice).
pub const BLUNT_SHARE: f64 = 0.5;

/// One register.
#[derive(Clone, Debug, PartialEq)]
pub struct Pan {
    /// Which.
    pub register: String,
    /// What the pan read against the house, Pa; the sign does not matter.
    pub reads_pa: f64,
    /// Zone that holds its duct.
    pub zone: Option<String>,
    /// Where it stands.
    pub span: Option<Span>,
}

/// What was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// House against outdoors, Pa; the sign does not matter.
    pub house_pa: f64,
    /// Zones that hold ducts: name and pressure against the house, Pa.
    pub zones: Vec<(String, f64)>,
    /// The pans.
    pub pans: Vec<Pan>,
    /// Accuracy of the gauge.
    pub accuracy: Option<Accuracy>,
    /// What a register should keep, Pa at 50 Pa.
    pub target: Limit,
}

/// One register worked.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PanResult {
    /// Which.
    pub register: String,
    /// The reading as it would be with 50 Pa between zone and house.
    pub at_50: Estimate,
    /// Leak area over open area.
    pub area_ratio: Estimate,
    /// Whether its zone's own pressure was read.
    pub zone_read: bool,
}

/// What follows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Pans {
    /// Register by register, as read.
    pub pans: Vec<PanResult>,
    /// Zones whose pressure is below half of the house's.
    pub blunt: Vec<String>,
    /// What a register should keep.
    #[serde(skip)]
    pub target: Limit,
}

/// A pan's reading brought to 50 Pa between zone and house.
pub fn at_50_pa(pan_pa: f64, zone_pa: f64) -> f64 {
    pan_pa * STATED_AT_PA / zone_pa
}

/// Leak area over the area open to the house: `sqrt(P / (P_zone - P))`.
///
/// ```
/// use engine::procedure::duct::pans::area_ratio;
/// assert!((area_ratio(10.0, 50.0) - 0.5).abs() < 1e-12);
/// ```
pub fn area_ratio(pan_pa: f64, zone_pa: f64) -> f64 {
    let share = (pan_pa / zone_pa).clamp(0.0, 1.0 - 1e-6);
    (share / (1.0 - share)).sqrt()
}

/// Works it. A pan that reads more than its zone is said (D207) and left out.
///
/// ```
/// use engine::procedure::duct::pans::*;
/// use engine::procedure::field::Limit;
/// let (result, wrong) = evaluate(&Asked {
///     house_pa: -50.0,
///     zones: vec![("attic".into(), 40.0)],
///     pans: vec![Pan { register: "hall".into(), reads_pa: 8.0, zone: Some("attic".into()), span: None }],
///     accuracy: None,
///     target: Limit::default(),
/// });
/// assert!(wrong.list.is_empty());
/// assert!((result.pans[0].at_50.si - 10.0).abs() < 1e-12);
/// assert!((result.pans[0].area_ratio.si - 0.5).abs() < 1e-12);
/// ```
pub fn evaluate(asked: &Asked) -> (Pans, Diagnostics) {
    let mut wrong = Diagnostics::default();
    let read = |pa: f64| Known::read(pa.abs(), asked.accuracy);
    let mut pans = Vec::new();
    for pan in &asked.pans {
        let own = pan.zone.as_ref().and_then(|name| asked.zones.iter().find(|z| z.0 == *name));
        let (reads, zone) = (read(pan.reads_pa), read(own.map_or(asked.house_pa, |z| z.1)));
        let slack = reads.half.unwrap_or(0.0) + zone.half.unwrap_or(0.0);
        if reads.si > zone.si + slack {
            wrong.push(
                Diagnostic::error(code::D207)
                    .at(pan.span.clone())
                    .arg("register", pan.register.as_str())
                    .arg("pan", (reads.si, Quantity::Pressure))
                    .arg("zone", (zone.si, Quantity::Pressure)),
            );
            continue;
        }
        let of = |quantity, f: fn(f64, f64) -> f64| {
            follows(&[reads, zone], quantity, |x| match x {
                // A reading is not below zero, whatever the gauge's doubt.
                [pan, zone] => f(pan.max(0.0), zone.max(1e-3)),
                _ => f64::NAN,
            })
        };
        pans.push(PanResult {
            register: pan.register.clone(),
            at_50: of(Quantity::Pressure, at_50_pa),
            area_ratio: of(Quantity::Number, area_ratio),
            zone_read: own.is_some(),
        });
    }
    let blunt = asked.zones.iter().filter(|z| z.1.abs() < BLUNT_SHARE * asked.house_pa.abs());
    let blunt = blunt.map(|z| z.0.clone()).collect();
    (Pans { pans, blunt, target: asked.target.clone() }, wrong)
}

impl Pans {
    /// In the shape of all tests.
    pub fn worked(&self) -> Worked {
        let mut worked = Worked::default();
        for pan in &self.pans {
            worked.figure_of("figure-pan", &pan.register, pan.at_50);
        }
        for pan in &self.pans {
            worked.figure_of("figure-pan-ratio", &pan.register, pan.area_ratio);
        }
        if self.target.hi.is_some() {
            // A target that decides nothing is said once, of the worst register.
            let worst = self.pans.iter().max_by(|a, b| a.at_50.si.total_cmp(&b.at_50.si));
            let shown = |p: &&PanResult| self.target.confirmed || worst.is_some_and(|w| std::ptr::eq(w, *p));
            for pan in self.pans.iter().filter(shown) {
                worked.checks.push(self.target.check("check-pan", Some(pan.at_50)).of(&pan.register));
            }
        }
        let named = |keep: &dyn Fn(&PanResult) -> bool| {
            let names: Vec<String> =
                self.pans.iter().filter(|p| keep(p)).map(|p| p.register.replace('_', " ")).collect();
            (!names.is_empty()).then(|| names.join(", "))
        };
        for zone in &self.blunt {
            worked.notes.push(Note::caution("note-pan-blunt").arg("zone", zone.replace('_', " ")));
        }
        if named(&|p| !p.zone_read).is_some() {
            worked.notes.push(Note::caution("note-pan-zone"));
        }
        let sure = |p: &PanResult| p.at_50.bounds().map_or(p.at_50.si, |b| b.0);
        if let Some(names) = named(&|p| sure(p) >= CONNECTED_PA && p.area_ratio.si < 1.0) {
            worked.notes.push(Note::new("note-pan-connected").arg("registers", names));
        }
        if let Some(names) = named(&|p| p.area_ratio.si >= 1.0) {
            worked.notes.push(Note::caution("note-pan-detached").arg("registers", names));
        }
        worked.notes.push(Note::new("note-pan-no-flow"));
        worked
    }
}
