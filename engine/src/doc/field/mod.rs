//! Field tests in a visit: `[test.NAME]` with a `kind`; one module a kind.
//!
//! A test without `kind` is an envelope test ([`super::visit::EnvelopeTest`]).

pub mod bills;
pub mod change;
pub mod combustion_zone;
pub mod decay;
pub mod ducts;
pub mod fan_flow;
pub mod fan_pressures;
pub mod guarded;
pub mod handler;
pub mod infiltration;
pub mod moisture;
pub mod record;
pub mod recovery;
pub mod room_pressures;
pub mod sealing;
pub mod settled;
pub mod steady;
pub mod surface;
pub mod tightness_room;
pub mod two_zones;
pub mod ventilation;
pub mod zone_pressures;

use super::Sp;
use super::read::Tab;
use crate::diag::Span;

/// What one test asks, by kind.
#[derive(Clone, Debug, PartialEq)]
pub enum Asked {
    /// Two envelope tests compared.
    Change(change::Change),
    /// Two tests of one unit, with and without its neighbours' pressure.
    Guarded(guarded::GuardedUnit),
    /// The fan runs while holes are closed.
    Sealing(sealing::Sealing),
    /// Moisture at a surface.
    Surface(surface::Surface),
    /// Duct leakage with a calibrated fan.
    DuctLeakage(ducts::leakage::Leakage),
    /// Pressure pans.
    PressurePans(ducts::pans::Pans),
    /// The dominant duct leak.
    DominantLeak(ducts::dominant::Dominant),
    /// Delivery effectiveness of ducts.
    DeliveryEffectiveness(ducts::delivery::Delivery),
    /// Duct leakage by the difference of two envelope tests.
    DuctDifference(ducts::difference::Difference),
    /// Static pressures of the air handler.
    StaticPressure(handler::statics::Statics),
    /// Flow of the air handler.
    HandlerFlow(handler::flow::Flow),
    /// What a coil takes from the air.
    CoilCapacity(handler::coil::Coil),
    /// Flow of one exhaust or supply.
    FanFlow(Box<fan_flow::FanFlow>),
    /// Where a record comes to rest.
    Settled(settled::Settled),
    /// Balance and recovery of a unit.
    Recovery(Box<recovery::Recovery>),
    /// Outdoor air by a rule.
    Ventilation(Box<ventilation::Ventilation>),
    /// How much tighter the house may become.
    TightnessRoom(Box<tightness_room::TightnessRoom>),
    /// Air that leaks in.
    Infiltration(Box<infiltration::Infiltration>),
    /// Bills against the weather.
    Bills(bills::Bills),
    /// Zone against house and outdoors.
    ZonePressures(Box<zone_pressures::ZonePressures>),
    /// Rooms with doors shut.
    RoomPressures(room_pressures::RoomPressures),
    /// House with fans on.
    FanPressures(fan_pressures::FanPressures),
    /// Zone of a combustion appliance.
    CombustionZone(Box<combustion_zone::CombustionZone>),
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
    ("change", |t| change::read(t).map(Asked::Change)),
    ("guarded unit", |t| guarded::read(t).map(Asked::Guarded)),
    ("sealing session", |t| sealing::read(t).map(Asked::Sealing)),
    ("surface", |t| surface::read(t).map(Asked::Surface)),
    ("duct leakage", |t| ducts::leakage::read(t).map(Asked::DuctLeakage)),
    ("pressure pans", |t| ducts::pans::read(t).map(Asked::PressurePans)),
    ("dominant leak", |t| ducts::dominant::read(t).map(Asked::DominantLeak)),
    ("delivery effectiveness", |t| ducts::delivery::read(t).map(Asked::DeliveryEffectiveness)),
    ("duct leakage by difference", |t| ducts::difference::read(t).map(Asked::DuctDifference)),
    ("static pressure", |t| handler::statics::read(t).map(Asked::StaticPressure)),
    ("handler flow", |t| handler::flow::read(t).map(Asked::HandlerFlow)),
    ("coil capacity", |t| handler::coil::read(t).map(Asked::CoilCapacity)),
    ("fan flow", |t| fan_flow::read(t).map(Box::new).map(Asked::FanFlow)),
    ("settled reading", |t| settled::read(t).map(Asked::Settled)),
    ("recovery balance", |t| recovery::read(t).map(Box::new).map(Asked::Recovery)),
    ("ventilation rate", |t| ventilation::read(t).map(Box::new).map(Asked::Ventilation)),
    ("tightness room", |t| tightness_room::read(t).map(Box::new).map(Asked::TightnessRoom)),
    ("infiltration", |t| infiltration::read(t).map(Box::new).map(Asked::Infiltration)),
    ("bills", |t| bills::read(t).map(Asked::Bills)),
    ("zone pressures", |t| zone_pressures::read(t).map(|z| Asked::ZonePressures(Box::new(z)))),
    ("room pressures", |t| room_pressures::read(t).map(Asked::RoomPressures)),
    ("fan pressures", |t| fan_pressures::read(t).map(Asked::FanPressures)),
    ("combustion zone", |t| combustion_zone::read(t).map(|c| Asked::CombustionZone(Box::new(c)))),
    ("decay", |t| decay::read(t).map(Asked::Decay)),
    ("build-up", |t| steady::read_build_up(t).map(Asked::BuildUp)),
    ("steady state", |t| steady::read(t).map(Asked::Steady)),
    ("two zones", |t| two_zones::read(t).map(Asked::TwoZones)),
    ("mould index", |t| moisture::read_mould(t).map(Asked::MouldIndex)),
    ("wood moisture", |t| moisture::read_wood(t).map(Asked::WoodMoisture)),
    ("surface meter", |t| moisture::read_meter(t).map(Asked::SurfaceMeter)),
    ("infrared", |t| moisture::read_infrared(t).map(Asked::Infrared)),
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
