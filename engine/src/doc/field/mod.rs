//! Field tests in a visit: `[test.NAME]` with a `kind`; one module a kind.
//!
//! A test without `kind` is an envelope test ([`super::visit::EnvelopeTest`]).

pub mod decay;
pub mod moisture;
pub mod record;
pub mod steady;
pub mod surface;
pub mod two_zones;

use super::Sp;
use super::read::Tab;
use crate::diag::Span;

/// What one test asks, by kind.
#[derive(Clone, Debug, PartialEq)]
pub enum Asked {
    /// Moisture at a surface.
    Surface(surface::Surface),
    /// Air change from a decay.
    Decay(decay::Decay),
    /// Build-up of a gas.
    BuildUp(steady::BuildUp),
    /// Outdoor air from a steady level.
    Steady(steady::Steady),
    /// Exchange between two rooms.
    TwoZones(two_zones::TwoZones),
    /// Mould risk over time.
    MouldIndex(moisture::MouldIndex),
    /// Moisture of wood.
    WoodMoisture(moisture::WoodMoisture),
    /// Relative readings at surfaces.
    SurfaceMeter(moisture::SurfaceMeter),
    /// Pairs of infrared readings.
    Infrared(moisture::Infrared),
}

/// A test as written.
#[derive(Clone, Debug, PartialEq)]
pub struct FieldTest {
    /// Its name.
    pub name: Sp<String>,
    /// Its kind, as written in documents.
    pub kind: &'static str,
    /// What was touched for it.
    pub set: Vec<(Sp<String>, Sp<String>)>,
    /// Anything else the tester wrote.
    pub note: Option<String>,
    /// What it asks.
    pub asked: Asked,
    /// Where the table stands.
    pub span: Span,
}

type Reader = fn(&Tab<'_, '_>) -> Option<Asked>;

/// Kinds of tests and who reads them; the name is also the key of its title, `test-...`, with
/// hyphens for spaces.
pub const KINDS: &[(&str, Reader)] = &[
    ("surface", |t| surface::read(t).map(Asked::Surface)),
    ("decay", |t| decay::read(t).map(Asked::Decay)),
    ("build-up", |t| steady::read_build_up(t).map(Asked::BuildUp)),
    ("steady state", |t| steady::read(t).map(Asked::Steady)),
    ("two zones", |t| two_zones::read(t).map(Asked::TwoZones)),
    ("mould index", |t| moisture::read_mould(t).map(Asked::MouldIndex)),
    ("wood moisture", |t| moisture::read_wood(t).map(Asked::WoodMoisture)),
    ("surface meter", |t| moisture::read_meter(t).map(Asked::SurfaceMeter)),
    ("infrared", |t| moisture::read_infrared(t).map(Asked::Infrared)),
];

/// Reads a test that has a `kind`.
pub(super) fn read((name, t): &(Sp<String>, Tab<'_, '_>)) -> Option<FieldTest> {
    // An envelope test may be told to be one; it does not come here.
    let choices: Vec<(&'static str, usize)> =
        KINDS.iter().map(|k| k.0).chain(["envelope"]).enumerate().map(|(i, k)| (k, i)).collect();
    let kind = t.choice("kind", &choices);
    let (set, note) = (t.pairs("set"), t.text("note").map(|n| n.value));
    let Some((kind, reader)) = kind.and_then(|k| KINDS.get(k.value)) else {
        t.leave_alone();
        return None;
    };
    Some(FieldTest { name: name.clone(), kind, set, note, asked: reader(t)?, span: t.span() })
}
