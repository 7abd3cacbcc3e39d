//! One comparison a source. To add one: a folder under `data/`, a function, a line in [`ALL`].

mod air;
mod fan_test;
mod lines;
mod network;
pub mod transport;

use crate::record::Sheet;
use crate::source::Source;
use std::path::PathBuf;

/// Puts the engine's answers beside a source's values.
pub type Compare = fn(&Source, &mut Sheet) -> Result<(), String>;

/// Every source with its comparison, in the order of the account.
pub const ALL: &[(&str, Compare)] = &[
    ("psychrolib", air::psychrolib),
    ("coolprop", air::coolprop),
    ("uk-tsl1-2010", air::test_standard),
    ("roulet-2008-viscosity", air::roulet_viscosity),
    ("astm-e779-density", air::altitude_density),
    ("scipy-quantiles", lines::quantiles),
    ("roulet-2008-table-7-6", lines::student_table),
    ("scipy-linregress", lines::linregress),
    ("scipy-odr", lines::odr),
    ("fan-test-lines", lines::worked_lines),
    ("dm4bem-a06", fan_test::published_test),
    ("fan-test-corrections", fan_test::corrections),
    ("fan-test-figures", fan_test::figures),
    ("epanet-networks", network::epanet),
    ("transport-expm", transport::expm),
    ("two-zone-co2", transport::two_zones),
];

/// Runs the comparison of one source.
pub fn one(id: &str, compare: Compare) -> Result<Sheet, String> {
    let source = Source::load(id)?;
    let mut sheet = Sheet::new(source.clone());
    compare(&source, &mut sheet).map_err(|e| format!("{id}: {e}"))?;
    Ok(sheet)
}

/// Runs every comparison.
pub fn all() -> Result<Vec<Sheet>, String> {
    ALL.iter().map(|(id, compare)| one(id, *compare)).collect()
}

/// Where the account stands.
pub fn residuals_path() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("RESIDUALS.md")
}
