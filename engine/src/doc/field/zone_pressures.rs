//! `kind = "zone pressures"`: a zone against house and outdoors while the test fan holds the house.

use crate::doc::Sp;
use crate::doc::read::Tab;
use crate::units::Quantity as Q;
use serde::Serialize;

/// Which barrier of the zone.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Barrier {
    /// Between house and zone.
    HouseZone,
    /// Between zone and outdoors.
    ZoneOutdoors,
}

/// Pressures of one state of the zone, as shown, and the fan's flow, m3/s.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Readings {
    /// House less zone, Pa.
    pub house_zone_pa: Option<f64>,
    /// Zone less outdoors, Pa.
    pub zone_outdoors_pa: Option<f64>,
    /// House less outdoors, Pa.
    pub house_outdoors_pa: Option<f64>,
    /// Flow of the test fan, m3/s.
    pub flow_m3_s: Option<f64>,
}

impl Readings {
    /// House-zone, zone-outdoors, house-outdoors.
    pub fn pressures(&self) -> [Option<f64>; 3] {
        [self.house_zone_pa, self.zone_outdoors_pa, self.house_outdoors_pa]
    }
}

/// The document.
#[derive(Clone, Debug, PartialEq)]
pub struct ZonePressures {
    /// Which zone: a name of `house.toml`, or any words.
    pub zone: Option<Sp<String>>,
    /// The gauge.
    pub pressure_with: Option<Sp<String>>,
    /// The test fan.
    pub flow_with: Option<Sp<String>>,
    /// As found.
    pub as_found: Readings,
    /// The fan off and shut.
    pub baseline: Readings,
    /// Further states.
    pub opened: Vec<Opened>,
    /// Exponent of both barriers, where the user gives one.
    pub exponent: Option<f64>,
    /// Its half width.
    pub exponent_within: Option<f64>,
    /// How far pressures wandered, Pa.
    pub wandered_pa: f64,
    /// How well the flow repeats, as a share.
    pub flow_repeats: Option<f64>,
    /// Least house-zone pressure with the house at 50 Pa, Pa.
    pub limit: UserLimit,
}

/// A limit that the user gives.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct UserLimit {
    /// Value, SI.
    pub value: Option<f64>,
    /// Where it stands.
    pub source: Option<String>,
    /// Whether the user read it there.
    pub confirmed: bool,
}

impl UserLimit {
    /// Reads `limit`, `limit_source` and `limit_confirmed`.
    pub(super) fn read(t: &Tab<'_, '_>, quantity: Q, bounds: std::ops::RangeInclusive<f64>) -> UserLimit {
        UserLimit {
            value: t.bounded("limit", quantity, bounds).map(|l| l.value),
            source: t.text("limit_source").map(|s| s.value),
            confirmed: t.flag("limit_confirmed").unwrap_or(false),
        }
    }
}

/// A state with something opened.
#[derive(Clone, Debug, PartialEq)]
pub struct Opened {
    /// In which barrier.
    pub barrier: Barrier,
    /// Free area of a sharp hole, m2, and its half width.
    pub hole_area_m2: Option<(f64, f64)>,
    /// Discharge coefficient of it.
    pub discharge: Option<f64>,
    /// Flow of the hole at 50 Pa, m3/s, with its half width, and its exponent.
    pub hole_at50: Option<(f64, f64, Option<f64>)>,
    /// What was read.
    pub readings: Readings,
}

/// Pressures a fan test can make, Pa: beyond this a unit is wrong.
pub(super) const PRESSURES_PA: std::ops::RangeInclusive<f64> = -300.0..=300.0;

/// A value with a half width that stands beside it as a range, or alone.
fn with_half(t: &Tab<'_, '_>, key: &'static str, quantity: Q) -> Option<(f64, f64)> {
    let range = t.range(key, quantity)?;
    let (lo, hi) = range.value;
    let positive = Sp { value: lo, span: range.span };
    t.within(key, &positive, quantity, 1e-9..=1e3).then_some(((lo + hi) / 2.0, (hi - lo) / 2.0))
}

fn readings(t: &Tab<'_, '_>) -> Readings {
    let pressure = |key| t.bounded(key, Q::Pressure, PRESSURES_PA).map(|p| p.value);
    Readings {
        house_zone_pa: pressure("house_zone"),
        zone_outdoors_pa: pressure("zone_outdoors"),
        house_outdoors_pa: pressure("house_outdoors"),
        flow_m3_s: t.bounded("flow", Q::AirFlow, 1e-6..=50.0).map(|f| f.value),
    }
}

fn opened(t: &Tab<'_, '_>) -> Option<Opened> {
    let barriers = [("house-zone", Barrier::HouseZone), ("zone-outdoors", Barrier::ZoneOutdoors)];
    let barrier = t.need("between", t.choice("between", &barriers));
    let hole_area_m2 = with_half(t, "hole_area", Q::Area);
    let discharge = t.bounded("discharge", Q::Number, 0.3..=1.0).map(|d| d.value);
    let at50 = with_half(t, "hole_at50", Q::AirFlow);
    let exponent = t.bounded("hole_exponent", Q::Number, 0.5..=1.0).map(|n| n.value);
    Some(Opened {
        hole_area_m2,
        discharge,
        hole_at50: at50.map(|(q, half)| (q, half, exponent)),
        readings: readings(t),
        barrier: barrier?.value,
    })
}

/// Reads it.
pub(super) fn read(t: &Tab<'_, '_>) -> Option<ZonePressures> {
    let zone = t.text("zone");
    let (pressure_with, flow_with) = (t.text("pressure_with"), t.text("flow_with"));
    let as_found = t.need("as_found", t.table("as_found"));
    let baseline = t.table("baseline").map(|b| readings(&b)).unwrap_or_default();
    let opened: Vec<Opened> = t.list("opened").iter().filter_map(opened).collect();
    let exponent = t.bounded("exponent", Q::Number, 0.5..=1.0).map(|n| n.value);
    let within = t.bounded("exponent_within", Q::Number, 0.0..=0.25).map(|n| n.value);
    let wandered = t.bounded("wandered", Q::Pressure, 0.0..=20.0).map_or(0.0, |w| w.value);
    let repeats = t.bounded("flow_repeats_within", Q::Fraction, 0.0..=0.2).map(|r| r.value);
    let limit = UserLimit::read(t, Q::Pressure, 0.0..=50.0);
    Some(ZonePressures {
        zone,
        pressure_with,
        flow_with,
        as_found: readings(&as_found?),
        baseline,
        opened,
        exponent,
        exponent_within: within,
        wandered_pa: wandered,
        flow_repeats: repeats,
        limit,
    })
}
