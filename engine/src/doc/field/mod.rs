//! Field tests in a visit: `[test.NAME]` with a `kind`; one module a kind.
//!
//! A test without `kind` is an envelope test ([`super::visit::EnvelopeTest`]).

pub mod combustion_zone;
pub mod fan_pressures;
pub mod room_pressures;
pub mod surface;
pub mod zone_pressures;

use super::Sp;
use super::read::Tab;
use crate::diag::Span;

/// What one test asks, by kind.
#[derive(Clone, Debug, PartialEq)]
pub enum Asked {
    /// Moisture at a surface.
    Surface(surface::Surface),
    /// Zone against house and outdoors.
    ZonePressures(Box<zone_pressures::ZonePressures>),
    /// Rooms with doors shut.
    RoomPressures(room_pressures::RoomPressures),
    /// House with fans on.
    FanPressures(fan_pressures::FanPressures),
    /// Zone of a combustion appliance.
    CombustionZone(Box<combustion_zone::CombustionZone>),
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
    ("zone pressures", |t| zone_pressures::read(t).map(|z| Asked::ZonePressures(Box::new(z)))),
    ("room pressures", |t| room_pressures::read(t).map(Asked::RoomPressures)),
    ("fan pressures", |t| fan_pressures::read(t).map(Asked::FanPressures)),
    ("combustion zone", |t| combustion_zone::read(t).map(|c| Asked::CombustionZone(Box::new(c)))),
];

impl FieldTest {
    /// Whether it is of the kind whose results the gate reads.
    pub fn holds_combustion(&self) -> bool {
        matches!(self.asked, Asked::CombustionZone(_))
    }
}

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
