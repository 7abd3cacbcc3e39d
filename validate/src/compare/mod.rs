//! One comparison a source. To add one: a folder under `data/`, a function, a line in [`ALL`].

mod air;
mod bills;
mod combustion;
mod duct;
mod fan_test;
mod fits;
mod infiltration;
mod lines;
mod network;
mod strd;
mod sun;
mod tracer;
pub mod transport;
mod ventilation;
mod year;
mod zone;

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
    ("nist-strd", strd::regression),
    ("fit-by-others", fits::others),
    ("fan-test-lines", lines::worked_lines),
    ("dm4bem-a06", fan_test::published_test),
    ("fan-test-corrections", fan_test::corrections),
    ("fan-test-figures", fan_test::figures),
    ("zone-pressures", zone::pressures),
    ("combustion-levels", combustion::levels),
    ("combustion-recalled", combustion::levels),
    ("co-air-free", combustion::air_free),
    ("epanet-networks", network::epanet),
    ("transport-expm", transport::expm),
    ("two-zone-co2", transport::two_zones),
    ("pvlib-sun", sun::pvlib),
    ("scipy-houses", year::houses),
    ("fluids-friction", duct::fluids),
    ("duct-heat-balance", duct::heat_balance),
    ("duct-cases", duct::cases),
    ("duct-cases-memory", duct::cases),
    ("traverse-points", duct::positions),
    ("fsec-house-tests", duct::house_tests),
    ("fluids-course-note", duct::course_note),
    ("ashrae-2021-16-infiltration", infiltration::handbook),
    ("infiltration-models", infiltration::models),
    ("terrain-wind", infiltration::terrain),
    ("swami-chandra-1987", infiltration::walls),
    ("ashrae-62-2-table-4-1a", ventilation::rate_table),
    ("ventilation-checks", ventilation::checks),
    ("ventilation-equipment", ventilation::equipment),
    ("merv-11", ventilation::filter_classes),
    ("merv-minima", ventilation::filter_classes),
    ("intake-duct-warmup", ventilation::intake),
    ("scipy-settling", ventilation::settling),
    ("scipy-bills", bills::change_points),
    ("tracer-checks", tracer::checks),
    ("co2-generation", tracer::generation),
    ("scipy-decays", tracer::curves),
    ("scipy-two-rooms", tracer::two_rooms),
    ("surface-checks", tracer::surfaces),
    ("mould-index", tracer::mould),
    ("aqi-pm25-2024", tracer::air_quality),
    ("nowcast", tracer::short_term_mean),
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
