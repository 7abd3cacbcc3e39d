//! `kind = "pressure pans"`: a pan over one register after the other.

use crate::doc::Sp;
use crate::doc::read::Tab;
use crate::procedure::field::Limit;
use crate::procedure::source::FROM_MEMORY;
use crate::units::Quantity as Q;

/// What a register should keep, Pa (weatherisation practice, from memory: shown, never decides).
const TARGET_PA: f64 = 1.0;

/// The document.
#[derive(Clone, Debug, PartialEq)]
pub struct Pans {
    /// House minus outdoors, Pa.
    pub house_pa: Sp<f64>,
    /// Whether the handler ran.
    pub handler_on: Sp<bool>,
    /// The gauge.
    pub pressure_with: Option<Sp<String>>,
    /// Zones that hold ducts, Pa against the house.
    pub zones: Vec<(Sp<String>, f64)>,
    /// Pressure in the supply plenum while the handler runs, Pa.
    pub supply_plenum_pa: Option<f64>,
    /// The same in the return plenum; the sign does not matter.
    pub return_plenum_pa: Option<f64>,
    /// The pans.
    pub pans: Vec<Pan>,
    /// What a register should keep.
    pub target: Limit,
}

/// One register.
#[derive(Clone, Debug, PartialEq)]
pub struct Pan {
    /// Which.
    pub register: Sp<String>,
    /// The reading against the house, Pa.
    pub reads_pa: Sp<f64>,
    /// Zone that holds its duct.
    pub zone: Option<Sp<String>>,
    /// Open area of its grille or duct, the smaller one, m2.
    pub open_m2: Option<f64>,
}

/// Reads it.
pub(in crate::doc::field) fn read(t: &Tab<'_, '_>) -> Option<Pans> {
    let house = t.need("house", t.bounded("house", Q::Pressure, -100.0..=100.0));
    let house = house.filter(|h| {
        // A pan tells nothing without a pressure that drives.
        t.within("house", &h.clone().map(f64::abs), Q::Pressure, 10.0..=100.0)
    });
    let handler = t.need("handler", t.choice("handler", &[("off", false), ("on", true)]));
    let pressure_with = t.text("pressure_with");
    let plenum = |key| t.bounded(key, Q::Pressure, super::DUCT_PRESSURE).map(|p| p.value);
    let (supply_plenum_pa, return_plenum_pa) = (plenum("supply_plenum"), plenum("return_plenum"));
    let zones = t.named("zone");
    let zones = zones.iter().filter_map(|(name, z)| {
        let pa = z.need("to_house", z.bounded("to_house", Q::Pressure, -100.0..=100.0))?;
        Some((name.clone(), pa.value))
    });
    let zones = zones.collect();
    let pans = t.named("register");
    if pans.is_empty() {
        t.need::<()>("register", None);
    }
    let pans = pans.iter().filter_map(|(name, p)| {
        let zone = p.text("zone");
        let reads = p.need("reads", p.bounded("reads", Q::Pressure, -100.0..=100.0));
        let open = p.bounded("open_area", Q::Area, 1e-4..=2.0).map(|a| a.value);
        Some(Pan { register: name.clone(), reads_pa: reads?, zone, open_m2: open })
    });
    let pans = pans.collect();
    let own = super::own_limit(t);
    let target = match t.bounded("limit", Q::Pressure, 0.0..=50.0) {
        Some(limit) => Limit { hi: Some(limit.value), ..own },
        None => Limit::at_most(TARGET_PA, FROM_MEMORY, false),
    };
    Some(Pans {
        house_pa: house?,
        handler_on: handler?,
        pressure_with,
        zones,
        supply_plenum_pa,
        return_plenum_pa,
        pans,
        target,
    })
}
