//! What all readings together say: quantities of the fitted house, over common draws.

use super::gather::{Basket, exhaust};
use engine::finding::{DRAWS, Origin};
use engine::fit::answers::{Asks, picked};
use engine::fit::{Fit, LEVEL};
use engine::house::House;
use engine::measure::Estimate;
use engine::units::Quantity as Q;

pub(super) fn all(house: &House, fit: &Fit, basket: &mut Basket) {
    if fit.readings_used == 0 || fit.draws.is_empty() {
        return;
    }
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
