//! Rooms on the design days over the draws of the house: what each needs, what its registers bring,
//! and what makes it fall short.

use super::model::{Luck, Surroundings, model};
use crate::house::House;
use crate::measure::Estimate;
use crate::units::Quantity;
use crate::year::{Cause, DesignDay, Room, YearError, cold_day, hot_day, rooms};
use serde::Serialize;

/// One room over the draws. Heating and cooling both count positive.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RoomKnown {
    /// The user's name.
    pub name: String,
    /// What it needs at its set point, W.
    pub load: Estimate,
    /// What its registers bring with the machine at full power, W.
    pub delivered: Estimate,
    /// Air from its registers at 20 degC, m3/s; nothing where no air is moved.
    pub flow: Option<Estimate>,
    /// What is missing, W; below zero is a reserve.
    pub short: Estimate,
    /// Chance that anything is missing.
    pub short_chance: f64,
    /// What most often makes the most of it, and in which share of the draws that fall short.
    pub cause: Option<(Cause, f64)>,
}

/// One of the two days.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct RoomsDay {
    /// The cold day, else the hot one.
    pub heats: bool,
    /// Outdoors, K.
    pub outdoor_k: f64,
    /// Whether the user gave that temperature.
    pub given: bool,
    /// Set point, K.
    pub indoor_k: f64,
    /// Every living zone.
    pub rooms: Vec<RoomKnown>,
}

/// Both days, as far as the house has machines for them.
///
/// # Errors
/// As [`rooms`].
pub fn design_rooms(
    house: &House,
    draws: &[Vec<f64>],
    around: Surroundings<'_>,
    seed: u64,
) -> Result<Vec<RoomsDay>, YearError> {
    let given = [around.place.heating_design_k, around.place.cooling_design_k];
    let set = [house.text.heating.as_ref(), house.text.cooling.as_ref()];
    let mut days = Vec::new();
    for (heats, given_k, machine) in [(true, given[0], set[0]), (false, given[1], set[1])] {
        let Some(indoor_k) = machine.map(|m| m.set_point_k) else { continue };
        let mut lived: Vec<Vec<Room>> = Vec::with_capacity(draws.len());
        let mut day: Option<DesignDay> = None;
        for (draw, theta) in draws.iter().enumerate() {
            let model = model(house, theta, &[], Luck { seed, draw }, around)?;
            let of = if heats { cold_day } else { hot_day };
            let day = day.get_or_insert_with(|| of(around.weather, &model, indoor_k, given_k));
            lived.push(rooms(&model, day)?);
        }
        let (Some(day), Some(first)) = (day, lived.first()) else { continue };
        let list = (0..first.len()).map(|r| known(&lived, r, first[r].name.clone())).collect();
        days.push(RoomsDay {
            heats,
            outdoor_k: day.outdoor.temp_k,
            given: given_k.is_some(),
            indoor_k,
            rooms: list,
        });
    }
    Ok(days)
}

fn known(lived: &[Vec<Room>], r: usize, name: String) -> RoomKnown {
    let of = |quantity, value: &dyn Fn(&Room) -> f64| {
        let mut values: Vec<f64> = lived.iter().filter_map(|d| d.get(r)).map(value).collect();
        values.sort_by(f64::total_cmp);
        Estimate::from_sorted_draws(&values, crate::fit::LEVEL, quantity)
    };
    let rooms = || lived.iter().filter_map(|d| d.get(r));
    let short: Vec<Cause> = rooms().map(|x| x.cause).filter(|c| *c != Cause::Enough).collect();
    let share = |cause: Cause| short.iter().filter(|c| **c == cause).count() as f64 / short.len() as f64;
    let cause = [Cause::Load, Cause::Flow, Cause::Leakage]
        .into_iter()
        .map(|c| (c, share(c)))
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .filter(|_| !short.is_empty());
    let flow = of(Quantity::AirFlow, &|x| x.flow_kg_s / crate::air::REFERENCE_DENSITY_KG_M3);
    RoomKnown {
        name,
        load: of(Quantity::Power, &|x| x.load_w),
        delivered: of(Quantity::Power, &|x| x.delivered_w),
        flow: (flow.si > 0.0).then_some(flow),
        short: of(Quantity::Power, &|x| x.load_w - x.delivered_w),
        short_chance: short.len() as f64 / lived.len().max(1) as f64,
        cause,
    }
}
