//! What all readings together say: quantities of the fitted house, over common draws.

use super::gather::{Basket, exhaust, main_zone};
use engine::doc::house::ZoneKind;
use engine::finding::{DRAWS, Origin};
use engine::fit::answers::{Asks, picked};
use engine::fit::scene::{Scene, picture};
use engine::fit::{Fit, LEVEL};
use engine::house::House;
use engine::measure::Estimate;
use engine::units::Quantity as Q;

/// Rooms whose floors and ceilings differ by less than this stand on one storey, m.
const STOREY_M: f64 = 0.5;

pub(super) fn all(house: &House, fit: &Fit, pressure_pa: f64, basket: &mut Basket) {
    if fit.readings_used == 0 || fit.draws.is_empty() {
        return;
    }
    neutral(house, fit, pressure_pa, basket);
    let value = |param: usize| lanes(picked(&fit.draws).map(|theta| house.value(param, theta)).collect());
    if let Some(handler) = &house.air_handler {
        keep("ducts.return_leak", value(handler.return_leak), Q::Fraction, None, basket);
        keep("ducts.supply_leak", value(handler.supply_leak), Q::Fraction, None, basket);
    }
    for (at, fan) in house.fans.iter().enumerate() {
        if let Some(name) = exhaust(house, at) {
            let of = (fan.text.name.value.as_str(), fan.text.label.as_str(), fan.text.from.value.as_str());
            keep(name, value(fan.flow), Q::AirFlow, Some(of), basket);
        }
    }
    for appliance in &house.appliances {
        // Everything on, doors as the question has them: the lowest of those asked.
        let asked = fit.answers.iter().filter(|a| {
            matches!(&a.asks, Asks::AtAppliance { appliance: name, fans, .. }
                if *name == appliance.label && fans.len() == house.fans.len() && !fans.is_empty())
        });
        if let Some(lowest) = asked.min_by(|a, b| a.posterior.si.total_cmp(&b.posterior.si)) {
            let zone = house.zones[appliance.zone].name.as_str();
            let of = (appliance.name.as_str(), appliance.label.as_str(), zone);
            keep("appliance.pressure", lanes(lowest.draws.clone()), Q::Pressure, Some(of), basket);
        }
    }
}

/// The neutral level of a cold evening, as a share of the height of the rooms. The slope of the pressure
/// is that of the temperatures alone, so the level is linear in the pressure at the floor.
fn neutral(house: &House, fit: &Fit, pressure_pa: f64, basket: &mut Basket) {
    let Some(main) = main_zone(house) else { return };
    let here = &house.zones[main];
    let lived = house.zones.iter().filter(|z| z.kind == ZoneKind::Living);
    let apart =
        |z: &engine::house::Zone| (z.floor_m - here.floor_m).abs().max((z.ceiling_m - here.ceiling_m).abs());
    if lived.clone().any(|z| apart(z) > STOREY_M) {
        return;
    }
    let draws: Vec<Vec<f64>> = picked(&fit.draws).cloned().collect();
    let Ok(seen) = picture(house, &Scene::cold_evening(house, pressure_pa), &draws) else { return };
    let Some(rung) = seen.rungs.iter().find(|r| r.zone == main) else { return };
    let span = rung.floor.si - rung.ceiling.si;
    let Some((lo, hi)) = rung.floor.bounds().filter(|_| span < 0.0) else { return };
    let share = |pa: f64| pa / span;
    let e = Estimate::range(share(rung.floor.si), share(hi), share(lo), LEVEL, Q::Fraction);
    let item = Basket::number("stack.neutral_height", e, &Origin::Fit);
    basket.keep(item.map(|i| i.setup(&[("heating season", true)])));
}

/// The picked draws in turn until there are [`DRAWS`] of them: the index stays common.
fn lanes(picked: Vec<f64>) -> Vec<f64> {
    picked.iter().copied().cycle().take(if picked.is_empty() { 0 } else { DRAWS }).collect()
}

fn keep(name: &str, draws: Vec<f64>, q: Q, of: Option<(&str, &str, &str)>, basket: &mut Basket) {
    let mut sorted: Vec<f64> = draws.iter().copied().filter(|v| v.is_finite()).collect();
    if sorted.len() < DRAWS / 2 {
        return;
    }
    sorted.sort_by(f64::total_cmp);
    let item = Basket::number(name, Estimate::from_sorted_draws(&sorted, LEVEL, q), &Origin::Fit);
    basket.keep(item.map(|mut item| {
        item.draws = Some(draws);
        match of {
            Some((name, label, zone)) => item.of(name, label, Some(zone)),
            None => item,
        }
    }));
}
