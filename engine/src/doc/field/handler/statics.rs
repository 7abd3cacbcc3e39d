//! `kind = "static pressure"`: pressures along the air's way.

use super::super::ducts::{DUCT_PRESSURE, own_limit};
use crate::diag::Span;
use crate::doc::Sp;
use crate::doc::read::Tab;
use crate::procedure::field::Limit;
use crate::procedure::handler::setup::Setup;
use crate::procedure::handler::statics::{Across, FlowTable, Place, Taps};
use crate::units::Quantity as Q;

/// The document.
#[derive(Clone, Debug, PartialEq)]
pub struct Statics {
    /// Where the filter is.
    pub filter: Place,
    /// Where the coil is.
    pub coil: Place,
    /// Whether the coil was wet.
    pub coil_wet: Option<bool>,
    /// The readings.
    pub taps: Taps,
    /// Waver of a reading, Pa.
    pub waver_pa: Option<f64>,
    /// The gauge.
    pub pressure_with: Option<Sp<String>>,
    /// How the equipment ran.
    pub setup: Setup,
    /// Highest rated external static pressure.
    pub limit: Limit,
    /// What flow the maker states at which pressure.
    pub table: Option<FlowTable>,
    /// Where the table stands.
    pub span: Span,
}

/// Reads it.
pub(in crate::doc::field) fn read(t: &Tab<'_, '_>) -> Option<Statics> {
    // What counts as external depends on it: there is no default.
    let filter = t.need(
        "filter",
        t.choice(
            "filter",
            &[
                ("inside the rated box", Place::Inside),
                ("outside the rated box", Place::BeforeBox),
                ("none", Place::Absent),
            ],
        ),
    );
    let coil = t.need(
        "coil",
        t.choice(
            "coil",
            &[
                ("inside the rated box", Place::Inside),
                ("after the rated box", Place::AfterBox),
                ("before the rated box", Place::BeforeBox),
                ("none", Place::Absent),
            ],
        ),
    );
    let wet = t.choice("coil_surface", &[("wet", true), ("dry", false)]);
    let waver = t.bounded("waver", Q::Pressure, 0.0..=500.0);
    let pressure_with = t.text("pressure_with");
    let setup = super::setup(t);
    let own = own_limit(t);
    let limit = t.bounded("limit", Q::Pressure, 1.0..=1500.0);
    let taps = t.need("taps", t.table("taps"))?;
    let tap = |key| taps.bounded(key, Q::Pressure, DUCT_PRESSURE).map(|p| p.value);
    let taps = Taps {
        before_filter_pa: tap("before_filter"),
        after_filter_pa: tap("after_filter"),
        before_coil_pa: tap("before_coil"),
        after_coil_pa: tap("after_coil"),
        supply_pa: tap("supply"),
    };
    let table = flow_table(t);
    Some(Statics {
        filter: filter?.value,
        coil: coil?.value,
        coil_wet: wet.map(|w| w.value),
        taps,
        waver_pa: waver.map(|w| w.value),
        pressure_with,
        setup,
        limit: Limit { hi: limit.map(|l| l.value), ..own },
        table,
        span: t.span(),
    })
}

/// Flow against a pressure: two columns and what the pressure is across.
fn flow_table(t: &Tab<'_, '_>) -> Option<FlowTable> {
    let grid = t.grid("flow_table", &[("across", Q::Pressure), ("flow", Q::AirFlow)]);
    let across = t.choice(
        "flow_table_across",
        &[("the rated box", Across::Box), ("the filter", Across::Filter), ("the coil", Across::Coil)],
    );
    let within = t.bounded("flow_table_within", Q::Fraction, 0.005..=1.0);
    let grid = grid?;
    let across = t.need("flow_table_across", across)?.value;
    let (pressures, flows) = (grid.column("across"), grid.column("flow"));
    if pressures.is_none() || flows.is_none() {
        t.need::<()>("flow_table", None);
    }
    let points = pressures?.into_iter().zip(flows?).collect();
    Some(FlowTable { across, points, within_frac: within.map(|w| w.value) })
}
