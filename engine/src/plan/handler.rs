//! The air handler of a plan: its ducts, and where its blower works with the plan's filter, speed and
//! outdoor duct.

use super::equipment;
use super::model::Luck;
use crate::doc::house::HandlerFilter;
use crate::doc::plans::Change;
use crate::house::{BlowerError, HandlerChange, HandlerPoint, House, handler_point};
use crate::measure::Estimate;
use crate::units::Quantity;
use crate::year;
use serde::Serialize;

/// Most of its flow that a handler draws from outdoors.
const MOST_OUTDOORS: f64 = 0.5;

/// What a list of changes does to the handler as found.
pub(super) fn change(house: &House, changes: &[Change]) -> HandlerChange {
    let was = house.air_handler.as_ref().and_then(|h| h.text.filter);
    let mut out = HandlerChange { filter: None, speed: 1.0, intake_m3_s: 0.0 };
    for one in changes {
        match one {
            Change::Filter { what: None, drop_pa: Some(drop_pa), loading, at_grille, .. } => {
                out.filter = Some(HandlerFilter {
                    drop_pa: *drop_pa,
                    at_m3_s: was.and_then(|w| w.at_m3_s),
                    loading: *loading,
                    exponent: was.map_or(HandlerFilter::EXPONENT, |w| w.exponent),
                    at_grille: at_grille.unwrap_or(was.is_some_and(|w| w.at_grille)),
                });
            }
            Change::Speed { what, to } if what.value == "air_handler" => out.speed *= to,
            Change::Intake { flow_m3_s, .. } => out.intake_m3_s += flow_m3_s,
            _ => {}
        }
    }
    out
}

/// Where the blower works after the changes; nothing where the house file knows none.
pub(super) fn point(
    house: &House,
    theta: &[f64],
    changes: &[Change],
) -> Option<Result<HandlerPoint, BlowerError>> {
    let h = house.air_handler.as_ref()?;
    handler_point(&h.text, house.value(h.flow, theta), &change(house, changes))
}

pub(super) fn handler(
    house: &House,
    theta: &[f64],
    density: f64,
    changes: &[Change],
    luck: Luck,
) -> Option<year::Handler> {
    let h = house.air_handler.as_ref()?;
    let left: f64 = changes
        .iter()
        .map(|c| match c {
            Change::SealDucts { removes } => 1.0 - luck.within("air_handler", *removes).clamp(0.0, 0.99),
            _ => 1.0,
        })
        .product();
    let side = |supply: bool| {
        h.registers.iter().filter(|r| r.1 == supply).map(|r| (r.0, house.value(r.2, theta))).collect()
    };
    let leak = |p| Some(year::DuctLeak { share: house.value(p, theta) * left, zone: Some(h.zone) });
    let leaked = house.value(h.return_leak, theta) * left;
    let found_m3_s = house.value(h.flow, theta);
    // Without a blower, or where it was refused, the flow stays and an intake brings what was written.
    let still = HandlerPoint {
        flow_m3_s: found_m3_s,
        intake_m3_s: change(house, changes).intake_m3_s + h.text.intake.map_or(0.0, |i| i.flow_m3_s),
        filter_pa: f64::NAN,
        rise_pa: f64::NAN,
        power: 1.0,
    };
    let at = point(house, theta, changes).and_then(Result::ok).unwrap_or(still);
    Some(year::Handler {
        flow_kg_s: at.flow_m3_s * density,
        intake_share: (at.intake_m3_s / at.flow_m3_s / (1.0 - leaked)).min(MOST_OUTDOORS),
        supplies: side(true),
        returns: side(false),
        supply_leak: leak(h.supply_leak),
        return_leak: leak(h.return_leak),
        supply_ducts: equipment::ducts(house, &h.text, true),
        return_ducts: equipment::ducts(house, &h.text, false),
        pm25_efficiency: h.text.filter_pm25,
        power_w: h.text.power_w * at.power,
        least_duty: h.text.mix_share,
        rise_pa: at.rise_pa,
        filter_pa: at.filter_pa,
    })
}

/// Where the blower of one plan works, over the draws.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct HandlerAir {
    /// Flow through it.
    pub flow: Estimate,
    /// Outdoor air through its intake while it runs.
    pub intake: Estimate,
    /// Drop over its filter.
    pub filter: Estimate,
    /// Pressure that it makes.
    pub rise: Estimate,
}

/// One for each list of changes; nothing where the house file knows no blower, or one that cannot work.
pub(super) fn of_plans<'a>(
    house: &House,
    thetas: &[&[f64]],
    plans: impl Iterator<Item = &'a [Change]>,
) -> Vec<Option<HandlerAir>> {
    plans
        .map(|changes| {
            let points: Vec<HandlerPoint> =
                thetas.iter().map(|theta| point(house, theta, changes)?.ok()).collect::<Option<_>>()?;
            let over = |of: fn(&HandlerPoint) -> f64, quantity| {
                super::compared::estimate(points.iter().map(of).collect(), quantity)
            };
            (!points.is_empty()).then(|| HandlerAir {
                flow: over(|p| p.flow_m3_s, Quantity::AirFlow),
                intake: over(|p| p.intake_m3_s, Quantity::AirFlow),
                filter: over(|p| p.filter_pa, Quantity::StaticPressure),
                rise: over(|p| p.rise_pa, Quantity::StaticPressure),
            })
        })
        .collect()
}
