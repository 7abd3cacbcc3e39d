//! `kind = "duct leakage"`: runs of a calibrated fan on the ducts, total or to outdoors.

use super::{FLOW, Told, told};
use crate::doc::Sp;
use crate::doc::read::{Grid, Tab};
use crate::doc::visit::{DIRECTIONS, Direction};
use crate::procedure::duct::leakage::{Part, Tap, To};
use crate::procedure::field::Limit;
use crate::units::Quantity as Q;

/// Published limits per floor area: name in documents, m/s, source id, whether it was read there.
///
/// 2009 and 2012: read in an article that compares the two editions; 2021 from memory.
pub const ADOPTED: &[(&str, f64, &str, bool)] = &[
    ("IECC 2009 rough-in", 6.0, "jlc-2012", true),
    ("IECC 2009 rough-in without handler", 4.0, "jlc-2012", true),
    ("IECC 2009 post-construction", 12.0, "jlc-2012", true),
    ("IECC 2012 rough-in", 4.0, "jlc-2012", true),
    ("IECC 2012 rough-in without handler", 3.0, "jlc-2012", true),
    ("IECC 2012 post-construction", 4.0, "jlc-2012", true),
    ("IECC 2021 post-construction", 4.0, crate::procedure::source::FROM_MEMORY, false),
    ("IECC 2021 all ducts inside", 8.0, crate::procedure::source::FROM_MEMORY, false),
];

/// The document.
#[derive(Clone, Debug, PartialEq)]
pub struct Leakage {
    /// Where the duct pressure was read.
    pub tap: Sp<Tap>,
    /// Duct pressures read elsewhere at one of the points, Pa: the tap's first.
    pub elsewhere_pa: Option<Sp<Vec<f64>>>,
    /// An exponent instead of 0.6.
    pub exponent: Option<f64>,
    /// The gauge.
    pub pressure_with: Option<Sp<String>>,
    /// The test fan.
    pub flow_with: Option<Sp<String>>,
    /// Temperature of the air at the test fan, K.
    pub fan_air_k: Option<f64>,
    /// Conditioned floor area, m2, where it is not the job's.
    pub floor_area_m2: Option<f64>,
    /// Flow of the handler.
    pub handler: Told,
    /// Supply plenum in operation, Pa.
    pub supply_plenum_pa: Option<f64>,
    /// Return plenum in operation, Pa.
    pub return_plenum_pa: Option<f64>,
    /// Adopted limit per floor area and for which leakage.
    pub limit: Option<(Limit, To)>,
    /// The runs.
    pub runs: Vec<Run>,
}

/// Points taken in one setup.
#[derive(Clone, Debug, PartialEq)]
pub struct Run {
    /// Its name.
    pub name: Sp<String>,
    /// Which ducts.
    pub part: Part,
    /// Leakage to where.
    pub to: To,
    /// Which way the fan blew.
    pub direction: Direction,
    /// Pressures with the fan off, Pa.
    pub baseline_pa: Vec<f64>,
    /// Columns `duct` (ducts minus house), `house` (house minus outdoors), `fan` or `fan-pressure`.
    pub readings: Grid,
}

/// Reads it.
pub(in crate::doc::field) fn read(t: &Tab<'_, '_>) -> Option<Leakage> {
    let tap = t.need(
        "tap",
        t.choice(
            "tap",
            &[
                ("supply plenum", Tap::SupplyPlenum),
                ("return plenum", Tap::ReturnPlenum),
                ("near register", Tap::NearRegister),
                ("farthest register", Tap::FarRegister),
                ("test fan", Tap::AtFan),
            ],
        ),
    );
    let plenum = |key| t.bounded(key, Q::Pressure, super::DUCT_PRESSURE).map(|p| p.value);
    let limit = limit(t);
    let runs = t.named("run");
    if runs.is_empty() {
        t.need::<()>("run", None);
    }
    Some(Leakage {
        elsewhere_pa: t.quantities("elsewhere", Q::Pressure),
        exponent: t.bounded("exponent", Q::Number, 0.5..=1.0).map(|n| n.value),
        pressure_with: t.text("pressure_with"),
        flow_with: t.text("flow_with"),
        fan_air_k: t.bounded("fan_air", Q::Temperature, super::AIR).map(|k| k.value),
        floor_area_m2: t.bounded("floor_area", Q::Area, 1.0..=1e5).map(|a| a.value),
        handler: told(t, ["handler_flow", "handler_flow_accuracy", "handler_flow_from"], Q::AirFlow, FLOW),
        supply_plenum_pa: plenum("supply_plenum"),
        return_plenum_pa: plenum("return_plenum"),
        limit,
        runs: runs.iter().filter_map(run).collect(),
        tap: tap?,
    })
}

fn limit(t: &Tab<'_, '_>) -> Option<(Limit, To)> {
    let choices: Vec<(&'static str, usize)> = ADOPTED.iter().enumerate().map(|(i, a)| (a.0, i)).collect();
    let adopted = t.choice("adopted", &choices);
    let own = super::own_limit(t);
    let typed = t.bounded("limit", Q::FloorLeakage, 1e-7..=0.1);
    let to = t.choice("limit_for", &[("total", To::Anywhere), ("outdoors", To::Outdoors)]);
    let to = to.map_or(To::Anywhere, |t| t.value);
    match (typed, adopted.and_then(|a| ADOPTED.get(a.value))) {
        (Some(typed), _) => Some((Limit { hi: Some(typed.value), ..own }, to)),
        (None, Some((name, per_100_ft2, source, confirmed))) => {
            let unit = crate::units::unit("cfm/100 ft2", Q::FloorLeakage)?;
            let limit = Limit::at_most(unit.to_si(*per_100_ft2), source, *confirmed);
            Some((Limit { clause: Some((*name).to_owned()), ..limit }, to))
        }
        (None, None) => None,
    }
}

fn run((name, t): &(Sp<String>, Tab<'_, '_>)) -> Option<Run> {
    let part =
        t.choice("part", &[("whole", Part::Whole), ("supply", Part::Supply), ("return", Part::Return)]);
    let to = t.need("to", t.choice("to", &[("total", To::Anywhere), ("outdoors", To::Outdoors)]));
    let direction = t.need("direction", t.choice("direction", DIRECTIONS));
    let baseline = t.quantities("baseline", Q::Pressure);
    let readings = t.need(
        "readings",
        t.grid(
            "readings",
            &[
                ("duct", Q::Pressure),
                ("house", Q::Pressure),
                ("fan", Q::AirFlow),
                ("fan-pressure", Q::Pressure),
            ],
        ),
    );
    Some(Run {
        name: name.clone(),
        part: part.map_or(Part::Whole, |p| p.value),
        to: to?.value,
        direction: direction?.value,
        baseline_pa: baseline.map_or_else(Vec::new, |b| b.value),
        readings: readings?,
    })
}
