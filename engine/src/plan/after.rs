//! The house after a plan: what a change does to the house file and to its unknown numbers. What is
//! neither (fans that nobody drew before, duct losses, transfer openings) is [`super::model`]'s.

use super::model::Luck;
use crate::doc::Sp;
use crate::doc::house::{Face, WetGround};
use crate::doc::plans::{Change, Machine, Sealing, SurfaceOf};
use crate::house::{House, Law, Owner, Place};
use crate::math;

/// An opening that was closed for good still leaks this much, m3/(s Pa^0.5): a zone that only it tied
/// to the rest keeps a pressure.
const CLOSED_C: f64 = 1e-7;
/// A sealed leak keeps this share at least.
const LEAST_LEFT: f64 = 0.01;

/// The house and its unknown numbers after the changes.
pub(super) fn after(house: &House, theta: &[f64], changes: &[Change], luck: Luck) -> (House, Vec<f64>) {
    let (mut house, mut theta) = (house.clone(), theta.to_vec());
    for change in changes {
        step(&mut house, &mut theta, change, luck);
    }
    (house, theta)
}

/// Applies one change. Names that are not there change nothing; [`super::resolve()`] reports them.
pub(super) fn step(house: &mut House, theta: &mut [f64], change: &Change, luck: Luck) {
    match change {
        Change::Seal { what, how } => seal(house, theta, what, *how, luck),
        Change::CloseCrawl { zone, removes, cover } => {
            let vents: Vec<usize> = outdoor_leaks(house, &zone.value).collect();
            for leak in vents {
                let left = 1.0 - luck.within(&house.leaks[leak].name, *removes);
                theta[house.leaks[leak].at50] += math::ln(left.clamp(LEAST_LEFT, 1.0));
            }
            cover_ground(house, &zone.value, *cover);
        }
        Change::CloseOpening { what } => {
            let owner = house.parts.iter().position(|p| p.name == what.value).map(Owner::Part);
            let closed = Law::Damper { c_m3_s_pan: CLOSED_C, closed_c_m3_s_pan: CLOSED_C, opens_pa: 0.0 };
            let of = |e: &&mut crate::house::Element| Some(e.owner) == owner;
            house.elements.iter_mut().filter(of).for_each(|e| e.law = closed.clone());
        }
        Change::Filter { what, pm25, drop_pa, loading, .. } => {
            filter(house, theta, what.as_ref(), *pm25, drop_pa.map(|d| d * loading));
        }
        Change::Mixing { share } => {
            if let Some(h) = &mut house.air_handler {
                h.text.mix_share = *share;
            }
        }
        Change::Intake { share, .. } => {
            if let Some(h) = &mut house.air_handler {
                h.text.mix_share = h.text.mix_share.max(*share);
            }
        }
        Change::Humidify(h) => house.text.machines.humidifiers.push(h.clone()),
        Change::Remove { machine: Machine::Dehumidifier, zone } => {
            if house.text.dehumidifier.as_ref().is_some_and(|d| d.zone.value == zone.value) {
                house.text.dehumidifier = None;
            }
        }
        Change::Remove { machine: Machine::Humidifier, zone } => {
            house.text.machines.humidifiers.retain(|h| h.zone.value != zone.value);
        }
        Change::Speed { what, to } => speed(house, theta, &what.value, *to),
        Change::RunFan { fan, runs_s } => {
            if let Some(f) = house.fans.iter_mut().find(|f| f.text.name.value == fan.value) {
                f.text.runs_s.clone_from(runs_s);
            }
        }
        Change::SetPoints { heat_k, cool_k, heat_back_k, cool_back_k, hours_s } => {
            for (equipment, set_k, back_k) in [
                (&mut house.text.heating, heat_k, heat_back_k),
                (&mut house.text.cooling, cool_k, cool_back_k),
            ] {
                let Some(e) = equipment else { continue };
                e.set_point_k = set_k.unwrap_or(e.set_point_k);
                if let Some(k) = back_k {
                    e.running.set_back = Some((*k, hours_s.clone()));
                }
            }
        }
        Change::Door { door, open_at_night } => {
            if let Some(d) = house.doors.iter_mut().find(|d| d.text.name.value == door.value) {
                d.text.open_at_night = *open_at_night;
                if let Some(spans) = &mut d.text.open_s {
                    *spans = by_day(spans, *open_at_night);
                }
            }
        }
        Change::Insulate { surface, adds_m2_k_w, area_m2 } => {
            for s in surfaces(house, surface) {
                if let Some(area) = area_m2.or(s.area_m2).filter(|a| *a > 0.0) {
                    conduct(s, 1.0 / (1.0 / s.ua_w_k + adds_m2_k_w / area));
                }
            }
        }
        Change::Glazing { surface, u_w_m2_k, area_m2, shgc, zone, face } => {
            for s in surfaces(house, surface) {
                if let Some(area) = area_m2.or(s.area_m2) {
                    conduct(s, area * u_w_m2_k);
                }
            }
            if let (Some(shgc), Some(zone)) = (shgc, zone) {
                windows(house, zone, *face).for_each(|w| w.shgc = *shgc);
            }
        }
        Change::Shade { zone, face, cuts } => {
            windows(house, zone, *face).for_each(|w| w.shgc *= 1.0 - cuts);
        }
        Change::GroundCover { zone, cover } => cover_ground(house, &zone.value, *cover),
        Change::Drain { zone, cuts } => {
            for wet in wet_ground(house, &zone.value) {
                wet.area_m2 *= 1.0 - cuts;
            }
            if !has_wet_ground(house, &zone.value) {
                damp_sources(house, &zone.value).for_each(|s| s.water_kg_s *= 1.0 - cuts);
            }
        }
        Change::VentDryer { zone, flow_m3_s } => {
            let here = |d: &&mut crate::doc::house::ClothesDryer| {
                d.zone.value == zone.value && d.flow_m3_s.is_none()
            };
            for dryer in house.text.machines.clothes_dryers.iter_mut().filter(here) {
                dryer.flow_m3_s = Some(*flow_m3_s);
                dryer.water_kg = 0.0;
            }
        }
        Change::CutSource { what, cuts } => {
            for s in house.text.sources.iter_mut().filter(|s| s.label == what.value) {
                s.water_kg_s *= 1.0 - cuts;
                s.pm25_kg_s *= 1.0 - cuts;
            }
            for gas in house.text.machines.gases.iter_mut().filter(|g| g.name.value == what.value) {
                gas.sources.iter_mut().for_each(|s| s.rate_kg_s *= 1.0 - cuts);
            }
        }
        Change::Replace { appliance, .. } => {
            let index = house.appliances.iter().position(|a| a.name == appliance.value);
            for e in &house.elements {
                if let (Owner::Flue(a), Law::Leak { at50, .. }) = (e.owner, &e.law)
                    && Some(a) == index
                {
                    // The old flue is closed when its appliance goes: as good as nothing is left.
                    theta[*at50] -= 12.0;
                }
            }
        }
        Change::SealDucts { .. }
        | Change::Rules { .. }
        | Change::Transfer { .. }
        | Change::Exhaust { .. }
        | Change::Hood { .. }
        | Change::Supply { .. }
        | Change::Balanced { .. }
        | Change::Cleaner { .. }
        | Change::Dehumidify(_) => {}
    }
}

fn seal(house: &House, theta: &mut [f64], what: &[Sp<String>], how: Sealing, luck: Luck) {
    let named: Vec<&crate::house::Leak> =
        what.iter().filter_map(|w| house.leaks.iter().find(|l| l.name == w.value)).collect();
    let together: f64 = named.iter().map(|l| house.value(l.at50, theta)).sum();
    let first = named.first().map_or("", |l| l.name.as_str());
    for leak in &named {
        let left = match how {
            Sealing::Removes(range) => 1.0 - luck.within(&leak.name, range),
            Sealing::Until(range) => luck.within(first, range) / together.max(1e-12),
        };
        theta[leak.at50] += math::ln(left.clamp(LEAST_LEFT, 1.0));
    }
}

/// Leaks of a zone to outdoors.
pub(super) fn outdoor_leaks<'h>(house: &'h House, zone: &str) -> impl Iterator<Item = usize> + 'h {
    let zone = house.zone(zone).map(Place::Zone);
    let out = |p: &Place| matches!(p, Place::Outdoors(_));
    let leaks = house.leaks.iter().enumerate();
    leaks
        .filter(move |(_, l)| l.between.iter().any(|p| Some(*p) == zone) && l.between.iter().any(out))
        .map(|(i, _)| i)
}

fn filter(house: &mut House, theta: &mut [f64], what: Option<&Sp<String>>, pm25: f64, drop_pa: Option<f64>) {
    let Some(what) = what else {
        if let Some(h) = &mut house.air_handler {
            h.text.filter_pm25 = pm25;
        }
        return;
    };
    if let (Some(param), Some(drop_pa)) = (filter_drop(house, &what.value), drop_pa) {
        theta[param] = house.params[param].scale.theta(drop_pa);
    }
}

/// The parameter of the drop of a filter of the house file, which is the sized part of a line.
pub(super) fn filter_drop(house: &House, name: &str) -> Option<usize> {
    let sized = house.lines.iter().filter_map(|l| l.sized.map(|s| s.drop));
    sized.into_iter().find(|p| house.params[*p].name == name)
}

fn speed(house: &mut House, theta: &mut [f64], what: &str, to: f64) {
    let power = to * to * to;
    if what == "air_handler" {
        // With a known blower the whole list of changes decides ([`super::handler`]).
        if let Some(h) = house.air_handler.as_mut().filter(|h| h.text.blower.is_none()) {
            theta[h.flow] += math::ln(to);
            h.text.power_w *= power;
        }
        return;
    }
    let Some(fan) = house.fans.iter().position(|f| f.text.name.value == what) else { return };
    house.fans[fan].text.power_w *= power;
    house.fans[fan].text.parts.speed *= to;
    // The curve moves with the speed; a fan without one moves its flow.
    let line = house.lines.iter_mut().find_map(|l| l.fan.as_mut().filter(|f| f.0 == fan));
    match line {
        Some((_, curve, ..)) => {
            if let Ok(other) = curve.at_speed(to) {
                *curve = other;
            }
        }
        None => theta[house.fans[fan].flow] += math::ln(to),
    }
}

/// The surfaces meant, of the house file.
pub(super) fn surfaces<'h>(
    house: &'h mut House,
    which: &'h SurfaceOf,
) -> impl Iterator<Item = &'h mut crate::doc::house::Surface> {
    house.text.surfaces.iter_mut().filter(move |s| match which {
        SurfaceOf::Label(label) => s.label.as_deref() == Some(label.value.as_str()),
        SurfaceOf::Between([a, b]) => {
            let has = |name: &str| s.between.iter().any(|e| e.value == name);
            has(&a.value) && has(&b.value)
        }
    })
}

/// Another conductance. What the surface's coldest spot lacks of the room's temperature is the drop
/// over the film inside, in proportion to the heat that flows.
fn conduct(surface: &mut crate::doc::house::Surface, ua_w_k: f64) {
    if let Some(factor) = &mut surface.coldest_factor
        && surface.ua_w_k > 0.0
    {
        *factor = (1.0 - (1.0 - *factor) * ua_w_k / surface.ua_w_k).clamp(0.0, 1.0);
    }
    surface.ua_w_k = ua_w_k;
}

fn windows<'h>(
    house: &'h mut House,
    zone: &'h Sp<String>,
    face: Option<Face>,
) -> impl Iterator<Item = &'h mut crate::doc::house::Window> {
    let here = move |w: &&mut crate::doc::house::Window| {
        w.zone.value == zone.value && face.is_none_or(|f| f == Face::All || f == w.face)
    };
    house.text.windows.iter_mut().filter(here)
}

fn wet_ground<'h>(house: &'h mut House, zone: &'h str) -> impl Iterator<Item = &'h mut WetGround> {
    house.text.machines.wet_ground.iter_mut().filter(move |w| w.zone.value == zone)
}

pub(super) fn has_wet_ground(house: &House, zone: &str) -> bool {
    house.text.machines.wet_ground.iter().any(|w| w.zone.value == zone)
}

/// Sources that give water to a zone all day: wet ground that was written as a rate.
fn damp_sources<'h>(
    house: &'h mut House,
    zone: &'h str,
) -> impl Iterator<Item = &'h mut crate::doc::house::Source> {
    let here = move |s: &&mut crate::doc::house::Source| is_damp_source(s, zone);
    house.text.sources.iter_mut().filter(here)
}

pub(super) fn is_damp_source(s: &crate::doc::house::Source, zone: &str) -> bool {
    s.zone.value == zone && s.water_kg_s > 0.0 && s.lasts_s >= 86_400.0
}

fn cover_ground(house: &mut House, zone: &str, cover: f64) {
    if has_wet_ground(house, zone) {
        // A second sheet covers part of what the first left bare.
        wet_ground(house, zone).for_each(|w| w.cover = 1.0 - (1.0 - w.cover) * (1.0 - cover));
    } else {
        damp_sources(house, zone).for_each(|s| s.water_kg_s *= 1.0 - cover);
    }
}

/// Spans of the day with the night left out, or with all of it.
fn by_day(spans: &[(f64, f64)], at_night: bool) -> Vec<(f64, f64)> {
    let (dusk_s, dawn_s) = (super::model::NIGHT.0 as f64 * 3600.0, super::model::NIGHT.1 as f64 * 3600.0);
    let halves = spans.iter().flat_map(|&(from, to)| {
        if from <= to { [(from, to), (to, to)] } else { [(from, 86_400.0), (0.0, to)] }
    });
    let day = halves.map(|(from, to)| (from.max(dawn_s), to.min(dusk_s))).filter(|(from, to)| from < to);
    day.chain(at_night.then_some((dusk_s, dawn_s))).collect()
}
