//! One visit's combustion results as the gate reads them: those of `[combustion]` and those of its
//! `combustion zone` tests, in one record.

use super::gas::{Action, on_basis, reached};
use super::protocol::{Levels, Protocol, levels, protocol};
use crate::doc::field::Asked;
use crate::doc::field::combustion_zone::{Ambient, CombustionZone, FlueTest, SpillageTest};
use crate::doc::visit::{Combustion, FlueCo, Spillage, Visit};
use crate::house::House;
use crate::procedure::source::cite;

/// The protocol of a test and the levels that count.
pub(super) fn of_test(test: &CombustionZone) -> (Option<&'static Protocol>, Levels, usize) {
    let published = test.protocol.as_ref().and_then(|p| protocol(p.value));
    let own = [0, 1, 2].map(|k| test.levels.get(k).and_then(Option::as_ref).map(|l| l.value));
    // Without a protocol the lowest of all would be a guess; the user's own levels still count.
    let nothing = Protocol {
        id: super::protocol::ProtocolId::Own,
        levels: Levels::default(),
        spillage_warm: None,
        spillage_cold: None,
        has_flue_table: false,
        flue_after: None,
        gas_leave: None,
    };
    let (levels, refused) = levels(published.unwrap_or(&nothing), own);
    (published, levels, refused)
}

/// A spillage result with its limit: the typed one, else the protocol's.
pub(super) fn spillage(test: &CombustionZone, one: &SpillageTest) -> Spillage {
    let mut record = one.record.clone();
    if record.limit_s.is_none()
        && let Some(p) = of_test(test).0
        && let Some(limit) = if one.warm { p.spillage_warm } else { p.spillage_cold }
    {
        record.limit_s = Some(limit.si);
        record.limit_source = Some(cite(limit.source).to_owned());
        record.limit_confirmed = limit.seen && test.protocol_confirmed;
    }
    record
}

/// A flue CO result on the basis of its limit: the typed one, else the protocol's. Converted where the
/// oxygen of the same gas was read; else value and limit stay on different bases.
pub(super) fn flue(test: &CombustionZone, one: &FlueTest, oven: bool) -> FlueCo {
    let mut record = one.record.clone();
    if record.limit.is_none()
        && let Some(p) = of_test(test).0
    {
        let limit = match oven {
            true => p.oven_limit().map(|l| (l, false)),
            false => one.kind.and_then(|k| p.flue_limit(k)),
        };
        if let Some((limit, air_free)) = limit {
            record.limit = Some(limit.si);
            record.limit_air_free = air_free;
            record.limit_source = Some(cite(limit.source).to_owned());
            record.limit_confirmed = limit.seen && test.protocol_confirmed;
        }
    }
    if record.limit.is_some()
        && let Some(value) = on_basis(record.value.value, record.air_free, record.limit_air_free, one.oxygen)
    {
        record.value.value = value;
        record.air_free = record.limit_air_free;
    }
    record
}

/// Whether something was found at which the work ends: CO in the room at the level to stop or to
/// leave, an oven beyond its limit, a gas leak.
fn stops(
    test: &CombustionZone,
    named: &impl Fn(&FlueTest) -> bool,
    samples: &impl Fn(&Ambient) -> Vec<f64>,
) -> bool {
    let (_, levels, _) = of_test(test);
    let ends = |a: &Ambient| reached(&samples(a), &levels).iter().any(|r| r.action >= Action::Stop);
    let leave = gas_leave(test);
    // An oven that the house does not name has no place in the gate's list; beyond its limit it ends the work.
    let oven = |one: &FlueTest| {
        let r = flue(test, one, true);
        !named(one) && r.air_free == r.limit_air_free && r.limit.is_some_and(|l| r.value.value > l)
    };
    test.oven.iter().any(oven)
        || test.ambient.iter().any(ends)
        || test.gas.iter().any(|g| g.leak || g.lel.is_some_and(|l| l >= leave))
}

/// The level of gas at which everybody leaves.
pub(super) fn gas_leave(test: &CombustionZone) -> f64 {
    let published = test.protocol.as_ref().and_then(|p| protocol(p.value)).and_then(|p| p.gas_leave);
    let own = test.gas_leave.as_ref().map(|l| l.value);
    // Ten hundredths where nobody says anything: the lower of the levels in use.
    let published = published.map_or(0.10, |p| p.si);
    own.map_or(published, |o| o.min(published))
}

/// All combustion results of one visit; nothing where it has none. A test without a `[combustion]` table
/// counts, yet nobody recorded a look for fuel, so that the gate stays shut. `samples` gives the CO of a
/// room, typed or out of a series; a series that gives none counts as a result that cannot be read. An
/// oven counts as an appliance where `house` names it.
pub fn of_visit(
    visit: &Visit,
    house: Option<&House>,
    samples: impl Fn(&Ambient) -> Vec<f64>,
) -> Option<Combustion> {
    let named = |one: &FlueTest| {
        let name = one.record.appliance.value.as_str();
        house.is_some_and(|h| h.appliances.iter().any(|a| a.name == name))
    };
    let tests = visit.field.iter().filter_map(|t| match &t.asked {
        Asked::CombustionZone(test) => Some(test.as_ref()),
        _ => None,
    });
    let mut all = visit.combustion.clone();
    for test in tests {
        let results = test.spillage.len() + test.flue_co.len() + test.oven.len();
        let stopped = stops(test, &named, &samples);
        let unreadable = test.unreadable || test.ambient.iter().any(|a| samples(a).is_empty());
        if results == 0 && !stopped && !unreadable {
            continue;
        }
        let sum = all.get_or_insert_with(|| Combustion {
            fuel_present: true,
            looked_by: None,
            looked_where: None,
            spillage: Vec::new(),
            flue_co: Vec::new(),
            sign_off: None,
            unreadable: false,
            stopped: false,
            span: test.span.clone(),
        });
        // An appliance was fired: fuel is there, whatever else was written.
        sum.fuel_present |= results > 0 || test.unreadable;
        sum.unreadable |= unreadable;
        sum.stopped |= stopped;
        sum.spillage.extend(test.spillage.iter().map(|s| spillage(test, s)));
        sum.flue_co.extend(test.flue_co.iter().map(|f| flue(test, f, false)));
        sum.flue_co.extend(test.oven.iter().filter(|f| named(f)).map(|f| flue(test, f, true)));
    }
    if let Some(all) = &mut all {
        all.unreadable |= visit.lost_combustion;
    }
    all
}
