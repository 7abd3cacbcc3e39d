//! What people ask of a house, before and after the readings: air from the spaces around it into the
//! rooms on a winter evening, what shutting each door does, what each set of fans does to the
//! appliances.

use super::LEVEL;
use super::scene::Scene;
use super::season::HeatLoss;
use crate::air;
use crate::doc::house::ZoneKind;
use crate::house::air::{Air, TestFan};
use crate::house::{House, Owner, Place, Setup};
use crate::measure::Estimate;
use crate::network::{Batch, Case, NetworkError, Solution, TOLERANCE_FIT};
use crate::units::Quantity;
use serde::Serialize;

/// Draws on which answers are worked out.
const MOST_DRAWS: usize = 100;

/// What is asked.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "asks", rename_all = "kebab-case")]
pub enum Asks {
    /// Air from a space around the rooms into them, winter evening, m3/s.
    AirFrom {
        /// The space.
        zone: String,
    },
    /// Change of a room's pressure against outdoors when a door is shut, air handler on, Pa.
    DoorShut {
        /// The door.
        door: String,
        /// The room.
        zone: String,
    },
    /// Pressure in the zone of an appliance against outdoors at its floor, Pa.
    AtAppliance {
        /// The appliance.
        appliance: String,
        /// Fans that run.
        fans: Vec<String>,
        /// Whether the air handler runs.
        air_handler: bool,
        /// Whether inner doors stand shut.
        doors_shut: bool,
    },
    /// Heat that goes through surfaces for each kelvin, W/K.
    Conduction,
    /// Heat that the air coming in takes for each kelvin over the heating season, W/K.
    AirHeat,
}

/// An answer.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Answer {
    /// What is asked.
    #[serde(flatten)]
    pub asks: Asks,
    /// Before the readings.
    pub prior: Estimate,
    /// After.
    pub posterior: Estimate,
    /// Share of the variance that the readings removed, 0 to 1.
    pub from_readings: f64,
    /// The posterior over the draws that [`picked`] picks, in their order; NaN where the network was not
    /// solved. Empty for what comes from bills, which are no part of the draws.
    #[serde(skip)]
    pub draws: Vec<f64>,
}

/// Draws that answers are worked out on.
pub fn picked(draws: &[Vec<f64>]) -> impl Iterator<Item = &Vec<f64>> {
    draws.iter().step_by(draws.len().div_ceil(MOST_DRAWS).max(1))
}

impl Answer {
    /// What bills say of the house's heat.
    pub(super) fn of_heat(heat: &HeatLoss) -> [Answer; 2] {
        let of = |asks, prior: Estimate, posterior: Estimate| {
            let width = |e: &Estimate| e.bounds().map_or(f64::NAN, |(lo, hi)| hi - lo);
            let left = width(&posterior) / width(&prior);
            Answer {
                asks,
                prior,
                posterior,
                from_readings: (1.0 - left * left).clamp(0.0, 1.0),
                draws: Vec::new(),
            }
        };
        [
            of(Asks::Conduction, heat.conduction_prior, heat.conduction),
            of(Asks::AirHeat, heat.infiltration_prior, heat.infiltration),
        ]
    }
}

enum Reads {
    From(usize),
    Pressure { zone: usize },
}

struct Question {
    asks: Asks,
    quantity: Quantity,
    setup: Setup,
    /// Subtracted where what is asked is a change.
    against: Option<Setup>,
    reads: Reads,
}

/// Answers everything the house can be asked, over draws of prior and posterior.
///
/// # Errors
/// [`NetworkError`] where the network cannot be made.
pub fn answers(
    house: &House,
    prior: &[Vec<f64>],
    posterior: &[Vec<f64>],
    pressure_pa: f64,
) -> Result<Vec<Answer>, NetworkError> {
    let scene = Scene::cold_evening(house, pressure_pa);
    let mut air = Air::new(house)?;
    air.set_temperatures(&scene.zone_k, scene.outdoor_k, scene.pressure_pa);
    air.boundary.wind_pa.fill(0.0);
    let mut lanes = Lanes::new(air);
    let mut out = Vec::new();
    for q in questions(house, &scene.setup) {
        let before = sorted(&values(house, &mut lanes, &q, prior)?);
        let draws = values(house, &mut lanes, &q, posterior)?;
        let after = sorted(&draws);
        if before.len() < 10 || after.len() < 10 {
            continue;
        }
        let (wide, narrow) = (variance(&before), variance(&after));
        let from_readings = if wide > 0.0 { (1.0 - narrow / wide).clamp(0.0, 1.0) } else { 0.0 };
        let estimate = |v: &[f64]| Estimate::from_sorted_draws(v, LEVEL, q.quantity);
        let (prior, posterior) = (estimate(&before), estimate(&after));
        out.push(Answer { prior, posterior, asks: q.asks, from_readings, draws });
    }
    Ok(out)
}

fn questions(house: &House, evening: &Setup) -> Vec<Question> {
    let label = |z: usize| house.zones[z].label.clone();
    let mut all = Vec::new();
    for (zone, _) in house.zones.iter().enumerate().filter(|(_, z)| !z.kind.is_indoors()) {
        all.push(Question {
            asks: Asks::AirFrom { zone: label(zone) },
            quantity: Quantity::AirFlow,
            setup: evening.clone(),
            against: None,
            reads: Reads::From(zone),
        });
    }
    let inner = |d: &crate::house::Door| match d.between {
        [Place::Zone(a), Place::Zone(b)] => {
            let (p, q) = (&house.zones[a], &house.zones[b]);
            // The smaller side is the room.
            (p.kind.is_indoors() && q.kind.is_indoors()).then_some(if p.volume_m3 < q.volume_m3 {
                a
            } else {
                b
            })
        }
        _ => None,
    };
    let handler = house.air_handler.is_some();
    let mut shut = evening.clone();
    for (d, door) in house.doors.iter().enumerate() {
        let Some(zone) = inner(door) else { continue };
        shut.open[d] = false;
        let state = |open: bool| {
            let mut setup = Setup { air_handler: handler, ..evening.clone() };
            setup.open[d] = open;
            setup
        };
        all.push(Question {
            asks: Asks::DoorShut { door: door.text.label.clone(), zone: label(zone) },
            quantity: Quantity::Pressure,
            setup: state(false),
            against: Some(state(true)),
            reads: Reads::Pressure { zone },
        });
    }
    let doors_differ = shut != *evening;
    for appliance in &house.appliances {
        let mut ask = |running: Vec<bool>, air_handler: bool, doors_shut: bool| {
            let on = running.iter().zip(&house.fans).filter(|(on, _)| **on);
            let base = if doors_shut { &shut } else { evening };
            all.push(Question {
                asks: Asks::AtAppliance {
                    appliance: appliance.label.clone(),
                    fans: on.map(|(_, f)| f.text.label.clone()).collect(),
                    air_handler,
                    doors_shut,
                },
                quantity: Quantity::Pressure,
                setup: Setup { running, air_handler, ..base.clone() },
                against: None,
                reads: Reads::Pressure { zone: appliance.zone },
            });
        };
        let none = vec![false; house.fans.len()];
        ask(none.clone(), false, false);
        for fan in 0..house.fans.len() {
            let mut one = none.clone();
            one[fan] = true;
            ask(one, false, false);
        }
        if handler {
            ask(none.clone(), true, false);
        }
        let every = vec![true; house.fans.len()];
        if house.fans.len() > 1 || handler {
            ask(every.clone(), handler, false);
            if doors_differ {
                ask(every, handler, true);
            }
        }
    }
    all
}

/// As many houses at once as the processor has lanes.
struct Lanes {
    airs: Vec<Air>,
    batch: Batch,
    solutions: Vec<Solution>,
}

impl Lanes {
    fn new(air: Air) -> Lanes {
        let batch = Batch::new(&air.network).with_tolerance(TOLERANCE_FIT);
        let n = batch.lanes();
        Lanes { airs: vec![air; n], batch, solutions: vec![Solution::default(); n] }
    }

    /// What is read in each house in one state; nothing where the network was not solved.
    fn read(
        &mut self,
        house: &House,
        draws: &[&Vec<f64>],
        setup: &Setup,
        reads: &Reads,
    ) -> Result<Vec<Option<f64>>, NetworkError> {
        let mut out = Vec::with_capacity(draws.len());
        for group in draws.chunks(self.airs.len()) {
            for (air, theta) in self.airs.iter_mut().zip(group) {
                air.set(house, theta, setup, TestFan::Off)?;
            }
            let zones = house.zones.len();
            let cases: Vec<Case<'_>> = (self.airs.iter().zip(group))
                .map(|(air, _)| {
                    let last = air.solution.zone_pa.as_slice();
                    let start = Some(last).filter(|p| p.len() == zones);
                    Case { network: &air.network, boundary: &air.boundary, start }
                })
                .collect();
            let failed: Vec<usize> =
                self.batch.solve(&cases, &mut self.solutions).iter().map(|(lane, _)| *lane).collect();
            for (lane, (air, theta)) in self.airs.iter_mut().zip(group).enumerate() {
                if failed.contains(&lane) {
                    out.push(None);
                    continue;
                }
                std::mem::swap(&mut air.solution, &mut self.solutions[lane]);
                out.push(Some(read(house, air, reads, theta, setup)));
            }
        }
        Ok(out)
    }
}

fn values(
    house: &House,
    lanes: &mut Lanes,
    q: &Question,
    draws: &[Vec<f64>],
) -> Result<Vec<f64>, NetworkError> {
    let draws: Vec<&Vec<f64>> = picked(draws).collect();
    let at = lanes.read(house, &draws, &q.setup, &q.reads)?;
    let from = match &q.against {
        Some(setup) => lanes.read(house, &draws, setup, &q.reads)?,
        None => vec![Some(0.0); draws.len()],
    };
    let less = |(at, from): (Option<f64>, Option<f64>)| at.zip(from).map_or(f64::NAN, |(a, f)| a - f);
    Ok(at.into_iter().zip(from).map(less).collect())
}

fn sorted(values: &[f64]) -> Vec<f64> {
    let mut out: Vec<f64> = values.iter().copied().filter(|v| v.is_finite()).collect();
    out.sort_by(f64::total_cmp);
    out
}

fn read(house: &House, air: &Air, reads: &Reads, theta: &[f64], setup: &Setup) -> f64 {
    match *reads {
        Reads::Pressure { zone } => air.pressure_between_pa(Some(zone), None, house.zones[zone].floor_m),
        Reads::From(zone) => {
            let indoors = |p: Place| matches!(p, Place::Zone(z) if house.zones[z].kind.is_indoors());
            let mut kg_s = 0.0;
            for (element, flow) in house.elements.iter().zip(&air.solution.flows) {
                // Registers carry the air handler's air past the space.
                if matches!(element.owner, Owner::Register(_)) {
                    continue;
                }
                if element.a == Place::Zone(zone) && indoors(element.b) {
                    kg_s += flow.forward_kg_s;
                } else if element.b == Place::Zone(zone) && indoors(element.a) {
                    kg_s += flow.backward_kg_s;
                }
            }
            let mut m3_s = kg_s / air::REFERENCE_DENSITY_KG_M3;
            // What leaky return ducts draw from their own space is blown into the rooms.
            if let Some(h) = house.air_handler.as_ref().filter(|h| h.zone == zone && setup.air_handler) {
                let buffer = !matches!(house.zones[zone].kind, ZoneKind::Living | ZoneKind::Appliance);
                let kept = 1.0 - house.value(h.supply_leak, theta);
                if buffer {
                    m3_s += house.value(h.flow, theta) * house.value(h.return_leak, theta) * kept;
                }
            }
            m3_s
        }
    }
}

fn variance(v: &[f64]) -> f64 {
    let n = v.len() as f64;
    let mean = v.iter().sum::<f64>() / n;
    v.iter().map(|x| (x - mean) * (x - mean)).sum::<f64>() / (n - 1.0)
}
