//! What can be asked of a house, and its value in every draw.

use crate::air;
use crate::fit::scene::Scene;
use crate::house::air::{Air, STATED_AT_PA, TestFan};
use crate::house::{House, Owner, Place, Setup, start};
use crate::units::Quantity;
use serde::Serialize;

/// What is to be known better.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum Question {
    /// Flow at 50 Pa through everything, m3/s.
    Total,
    /// Share of a leak in the air that enters at 50 Pa.
    LeakShare {
        /// Index of the leak.
        leak: usize,
    },
    /// Share of the air that enters the rooms at 50 Pa by way of a space around them.
    ZoneShare {
        /// Index of the space.
        zone: usize,
    },
    /// What the ducts lose and draw outside of the rooms while the air handler runs, m3/s.
    DuctLeakage,
    /// Air from a space around the rooms into them on a cold evening, m3/s.
    AirFrom {
        /// Index of the space.
        zone: usize,
    },
    /// Air through a room's openings with its door as at night, m3/s.
    RoomAir {
        /// Index of the room.
        zone: usize,
    },
    /// Pressure in the zone of an appliance against outdoors at its floor, with every exhaust and
    /// the air handler on and doors as at night, Pa.
    AppliancePressure {
        /// Index of the appliance.
        appliance: usize,
    },
    /// Air that enters the rooms from outside of them without fans and wind, 1/s.
    AirChange {
        /// When.
        season: Season,
    },
    /// How far the two leading plans are apart; its values come from the years that were lived.
    Plans,
}

/// A time of the year.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Season {
    /// A cold evening, 36 degF outdoors.
    Winter,
    /// A hot afternoon, 90 degF outdoors.
    Summer,
}

impl Question {
    /// Everything that can be asked of the house by its model alone.
    pub fn all(house: &House) -> Vec<Question> {
        let around = || (0..house.zones.len()).filter(|z| !house.zones[*z].kind.is_indoors());
        let rooms = || (0..house.zones.len()).filter(|z| house.zones[*z].kind.is_indoors());
        let mut all = vec![Question::Total];
        all.extend((0..house.leaks.len()).map(|leak| Question::LeakShare { leak }));
        all.extend(around().map(|zone| Question::ZoneShare { zone }));
        let outside = |h: &crate::house::AirHandler| !house.zones[h.zone].kind.is_indoors();
        if house.air_handler.as_ref().is_some_and(outside) {
            all.push(Question::DuctLeakage);
        }
        all.extend(around().map(|zone| Question::AirFrom { zone }));
        all.extend(rooms().map(|zone| Question::RoomAir { zone }));
        all.extend((0..house.appliances.len()).map(|appliance| Question::AppliancePressure { appliance }));
        all.extend([Season::Winter, Season::Summer].map(|season| Question::AirChange { season }));
        all
    }

    /// The words by which it is asked for, with names as in `house.toml`.
    pub fn name(self, house: &House) -> String {
        match self {
            Question::Total => "total".to_owned(),
            Question::LeakShare { leak } => format!("share of {}", house.leaks[leak].name),
            Question::ZoneShare { zone } => format!("share of {}", house.zones[zone].name),
            Question::DuctLeakage => "duct leakage".to_owned(),
            Question::AirFrom { zone } => format!("air from {}", house.zones[zone].name),
            Question::RoomAir { zone } => format!("air of {}", house.zones[zone].name),
            Question::AppliancePressure { appliance } => {
                format!("pressure at {}", house.appliances[appliance].name)
            }
            Question::AirChange { season: Season::Winter } => "air change in winter".to_owned(),
            Question::AirChange { season: Season::Summer } => "air change in summer".to_owned(),
            Question::Plans => "plans".to_owned(),
        }
    }

    /// The question of these words.
    pub fn find(house: &House, words: &str) -> Option<Question> {
        let plain = |s: &str| s.trim().to_lowercase().replace(['_', '-'], " ");
        Question::all(house).into_iter().find(|q| plain(&q.name(house)) == plain(words))
    }

    /// What its value measures.
    pub fn quantity(self) -> Quantity {
        match self {
            Question::Total | Question::DuctLeakage => Quantity::AirFlow,
            Question::AirFrom { .. } | Question::RoomAir { .. } => Quantity::AirFlow,
            Question::LeakShare { .. } | Question::ZoneShare { .. } => Quantity::Fraction,
            Question::AppliancePressure { .. } => Quantity::Pressure,
            Question::AirChange { .. } => Quantity::AirChange,
            Question::Plans => Quantity::Number,
        }
    }

    /// Its value in every draw, SI; not a number where the draw's network has no solution.
    pub fn values(self, house: &House, draws: &[Vec<f64>], pressure_pa: f64) -> Vec<f64> {
        let Ok(mut air) = Air::new(house) else { return Vec::new() };
        let mut solved = |scene: &Scene, fan: TestFan, read: &dyn Fn(&Air, &[f64], &Setup) -> f64| {
            air.set_temperatures(&scene.zone_k, scene.outdoor_k, scene.pressure_pa);
            air.boundary.wind_pa.fill(0.0);
            let mut one = |theta: &Vec<f64>| {
                let done = air.set(house, theta, &scene.setup, fan).is_ok() && air.solve().is_ok();
                if done { read(&air, theta, &scene.setup) } else { f64::NAN }
            };
            draws.iter().map(&mut one).collect::<Vec<f64>>()
        };
        let evening = Scene::cold_evening(house, pressure_pa);
        match self {
            Question::Total | Question::LeakShare { .. } | Question::ZoneShare { .. } => {
                let Some(zone) = crate::fit::fan_zone(house) else { return Vec::new() };
                let held = TestFan::Hold { zone, pa: -STATED_AT_PA };
                let out = |air: &Air| -air.solution.held_flow_kg_s[zone];
                solved(&even(house), held, &|air, theta, setup| match self {
                    Question::LeakShare { leak } => {
                        let through = house.elements.iter().zip(&air.solution.flows);
                        let here = through.filter(|(e, _)| e.owner == Owner::Leak(leak));
                        here.map(|(_, f)| f.net_kg_s()).sum::<f64>().abs() / out(air)
                    }
                    Question::ZoneShare { zone } => {
                        into_rooms_kg_s(house, air, theta, setup, &|p| p == Place::Zone(zone)) / out(air)
                    }
                    _ => out(air) / air.boundary.outdoor_density_kg_m3,
                })
            }
            Question::DuctLeakage => {
                let Some(h) = &house.air_handler else { return Vec::new() };
                let shares = |d: &[f64]| house.value(h.supply_leak, d) + house.value(h.return_leak, d);
                draws.iter().map(|d| house.value(h.flow, d) * shares(d)).collect()
            }
            Question::AirFrom { zone } => solved(&evening, TestFan::Off, &|air, theta, setup| {
                into_rooms_kg_s(house, air, theta, setup, &|p| p == Place::Zone(zone))
                    / air::REFERENCE_DENSITY_KG_M3
            }),
            Question::RoomAir { zone } => solved(&evening, TestFan::Off, &|air, _, _| {
                let flows = house.elements.iter().zip(&air.solution.flows);
                let into = flows.map(|(e, f)| match (e.a, e.b) {
                    (_, Place::Zone(z)) if z == zone => f.forward_kg_s,
                    (Place::Zone(z), _) if z == zone => f.backward_kg_s,
                    _ => 0.0,
                });
                into.sum::<f64>() / air::REFERENCE_DENSITY_KG_M3
            }),
            Question::AppliancePressure { appliance } => {
                let zone = house.appliances[appliance].zone;
                solved(&Scene::everything_on(house, pressure_pa), TestFan::Off, &|air, _, _| {
                    air.pressure_between_pa(Some(zone), None, house.zones[zone].floor_m)
                })
            }
            Question::AirChange { season } => {
                let mut scene = evening.clone();
                scene.setup = start(house);
                if season == Season::Summer {
                    scene.on_a_hot_afternoon(house);
                }
                let outside = |p: Place| !indoors(house, p);
                let volume_m3 = house.indoor_volume_m3();
                solved(&scene, TestFan::Off, &|air, theta, setup| {
                    into_rooms_kg_s(house, air, theta, setup, &outside)
                        / air::REFERENCE_DENSITY_KG_M3
                        / volume_m3
                })
            }
            Question::Plans => Vec::new(),
        }
    }
}

/// Everything at reference conditions, usual doors, nothing runs.
fn even(house: &House) -> Scene {
    Scene {
        setup: start(house),
        zone_k: vec![air::REFERENCE_TEMP_K; house.zones.len()],
        outdoor_k: air::REFERENCE_TEMP_K,
        pressure_pa: air::STANDARD_PRESSURE_PA,
        fan: TestFan::Off,
    }
}

fn indoors(house: &House, place: Place) -> bool {
    matches!(place, Place::Zone(z) if house.zones[z].kind.is_indoors())
}

/// Air from the places that `from` picks into the rooms, kg/s. Registers carry the air handler's air
/// past a space and are left out; what leaky return ducts draw from it is blown into the rooms.
fn into_rooms_kg_s(
    house: &House,
    air: &Air,
    theta: &[f64],
    setup: &Setup,
    from: &dyn Fn(Place) -> bool,
) -> f64 {
    let mut kg_s = 0.0;
    for (e, flow) in house.elements.iter().zip(&air.solution.flows) {
        if matches!(e.owner, Owner::Register(_)) {
            continue;
        }
        if from(e.a) && indoors(house, e.b) {
            kg_s += flow.forward_kg_s;
        } else if from(e.b) && indoors(house, e.a) {
            kg_s += flow.backward_kg_s;
        }
    }
    let drawn = house
        .air_handler
        .as_ref()
        .filter(|h| setup.air_handler && from(Place::Zone(h.zone)) && !house.zones[h.zone].kind.is_indoors());
    kg_s + drawn.map_or(0.0, |h| {
        house.value(h.flow, theta) * house.value(h.return_leak, theta) * air::REFERENCE_DENSITY_KG_M3
    })
}
