//! Fans, ducts, heating, cooling and the other machines of a house, as plain numbers.

use super::model::{ByHour, Source};
use crate::device::{Coil, Dehumidifier, Plant, Recovery, WaterHeater};

/// When something runs.
#[derive(Clone, Debug, PartialEq)]
pub enum Schedule {
    /// All the time.
    Always,
    /// In these hours of the day, each as a part of the hour, 0 to 1.
    Hours(ByHour<f64>),
    /// In these spans of the day, s after midnight; one that ends before it starts runs past
    /// midnight. Steps end where a span does.
    Spans(Vec<(f64, f64)>),
    /// When the relative humidity of a zone exceeds a value.
    Humidity {
        /// Zone whose humidity counts.
        zone: usize,
        /// Set point, 0 to 1.
        rh: f64,
        /// Dead band, 0 to 1.
        band: f64,
    },
}

/// A fan that draws from a zone and blows outdoors.
#[derive(Clone, Debug, PartialEq)]
pub struct ExhaustFan {
    /// Zone it draws from.
    pub zone: usize,
    /// Flow while it runs, kg/s.
    pub flow_kg_s: f64,
    /// When it runs.
    pub schedule: Schedule,
    /// Electricity while it runs, W.
    pub power_w: f64,
    /// Zone that its heat ends in; nothing where it leaves the house with the air.
    pub heats: Option<usize>,
}

/// What takes particles out of a zone's air while a fan within it runs.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cleaner {
    /// Its fan, which moves nothing out: index of [`super::Model::exhausts`].
    pub fan: usize,
    /// Clean air delivery rate for PM2.5, m3/s.
    pub cadr_m3_s: f64,
}

/// Air brought in by a fan, perhaps with air led out and recovery between them.
#[derive(Clone, Debug, PartialEq)]
pub struct Ventilator {
    /// Where outdoor air goes, kg/s by zone.
    pub supply_kg_s: Vec<(usize, f64)>,
    /// Where air is led out, kg/s by zone; may be empty.
    pub exhaust_kg_s: Vec<(usize, f64)>,
    /// Of heat and moisture.
    pub recovery: Recovery,
    /// Part of outdoor PM2.5 its filter holds, 0 to 1.
    pub pm25_efficiency: f64,
    /// When it runs.
    pub schedule: Schedule,
    /// Electricity while it runs, W.
    pub power_w: f64,
}

impl Ventilator {
    /// Heat of its motors that each zone receives while it runs, W. The motor of the supply stands in the
    /// air it brings, behind the recovery, and that of the exhaust in what leaves; a unit with both
    /// shares its power by their flows (common practice, no source).
    pub fn fan_heat_w(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        let flow = |ends: &[(usize, f64)]| ends.iter().map(|e| e.1).sum::<f64>();
        let all = flow(&self.supply_kg_s) + flow(&self.exhaust_kg_s);
        let per_kg_s = if all > 0.0 { self.power_w / all } else { 0.0 };
        self.supply_kg_s.iter().map(move |(zone, flow)| (*zone, per_kg_s * flow))
    }
}

/// A part of duct flow lost or drawn through leaks.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DuctLeak {
    /// Part of the handler's flow, 0 to 1.
    pub share: f64,
    /// Where it goes to or comes from; `None` is outdoors.
    pub zone: Option<usize>,
}

/// A stretch of duct through a zone, as a conductance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DuctRun {
    /// What it crosses; `None` is outdoors.
    pub zone: Option<usize>,
    /// U times area, W/K.
    pub conductance_w_k: f64,
}

/// A central air handler.
#[derive(Clone, Debug, PartialEq)]
pub struct Handler {
    /// Flow while it runs, kg/s.
    pub flow_kg_s: f64,
    /// Share of what the registers deliver, by zone; shares are scaled to sum to one.
    pub supplies: Vec<(usize, f64)>,
    /// Share of what the grilles draw, by zone; likewise.
    pub returns: Vec<(usize, f64)>,
    /// Leaks of the supply side.
    pub supply_leak: Option<DuctLeak>,
    /// Leaks of the return side.
    pub return_leak: Option<DuctLeak>,
    /// Part of its flow that a duct from outdoors into the return brings while it runs, 0 to 1.
    pub intake_share: f64,
    /// Ducts between machine and registers, by the zones they cross.
    pub supply_ducts: Vec<DuctRun>,
    /// Ducts between grilles and machine, likewise.
    pub return_ducts: Vec<DuctRun>,
    /// Part of PM2.5 its filter holds in one pass, 0 to 1.
    pub pm25_efficiency: f64,
    /// Electricity while it runs, W; becomes heat in the air.
    pub power_w: f64,
    /// Part of every hour it runs even without a call: 0 on call only, 1 always.
    pub least_duty: f64,
    /// Pressure that its blower makes while it runs, Pa; no number where it is not known.
    pub rise_pa: f64,
    /// Drop over its filter while it runs, Pa; likewise.
    pub filter_pa: f64,
}

/// How heat and cold reach the zones.
#[derive(Clone, Debug, PartialEq)]
pub enum Delivery {
    /// Through the air handler.
    Handler,
    /// Straight into zones, by share (baseboards, a stove, a wall unit).
    Zones(Vec<(usize, f64)>),
}

/// Other set points for a part of the day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SetBack {
    /// Starts, s after midnight.
    pub from_s: f64,
    /// Ends, s after midnight; before the start where it runs past midnight.
    pub to_s: f64,
    /// Heat below this, K; the hour's own where nothing.
    pub heat_k: Option<f64>,
    /// Cool above this, K; likewise.
    pub cool_k: Option<f64>,
}

/// Set points of the thermostat.
#[derive(Clone, Debug, PartialEq)]
pub struct Thermostat {
    /// Zone it hangs in.
    pub zone: usize,
    /// Heat below this, K.
    pub heat_k: ByHour<f64>,
    /// Cool above this, K.
    pub cool_k: ByHour<f64>,
    /// Parts of the day with other set points, to the second; the last one counts.
    pub set_backs: Vec<SetBack>,
    /// Dead band, K: a call starts half of it beyond the set point and ends half of it on the other
    /// side. At zero the machine gives just what holds the set point, as part of the time.
    pub band_k: f64,
}

impl Thermostat {
    /// A thermostat in a zone that holds the same set points all day, without a dead band.
    pub fn steady(zone: usize, heat_k: f64, cool_k: f64) -> Thermostat {
        Thermostat { zone, heat_k: [heat_k; 24], cool_k: [cool_k; 24], set_backs: Vec::new(), band_k: 0.0 }
    }

    /// Set points for heating and cooling, K, at a time of day.
    pub fn at(&self, hour: usize, day_s: f64) -> (f64, f64) {
        let (mut heat_k, mut cool_k) = (self.heat_k[hour], self.cool_k[hour]);
        for back in self.set_backs.iter().filter(|b| in_span(day_s, (b.from_s, b.to_s))) {
            heat_k = back.heat_k.unwrap_or(heat_k);
            cool_k = back.cool_k.unwrap_or(cool_k);
        }
        (heat_k, cool_k)
    }
}

/// Whether a time of day lies in a span of the day, which may run past midnight.
pub(super) fn in_span(day_s: f64, (from_s, to_s): (f64, f64)) -> bool {
    if from_s <= to_s { (from_s..to_s).contains(&day_s) } else { day_s >= from_s || day_s < to_s }
}

/// Heating.
#[derive(Clone, Debug, PartialEq)]
pub struct Heating {
    /// The machine.
    pub plant: Plant,
    /// How it delivers.
    pub delivery: Delivery,
}

/// Cooling.
#[derive(Clone, Debug, PartialEq)]
pub struct Cooling {
    /// The machine.
    pub plant: Plant,
    /// Its coil.
    pub coil: Coil,
    /// How it delivers.
    pub delivery: Delivery,
    /// Air over the coil where it is not the handler's, kg/s.
    pub own_flow_kg_s: f64,
}

/// A dehumidifier in a zone; what it takes is drained.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Drier {
    /// Zone it stands in.
    pub zone: usize,
    /// The machine.
    pub unit: Dehumidifier,
}

/// A heat-pump water heater: its heat and its condensate come from the air of its zone. The tank
/// keeps its temperature; what is drawn is heated in the same hour.
#[derive(Clone, Debug, PartialEq)]
pub struct HotWater {
    /// Zone it stands in.
    pub zone: usize,
    /// The machine.
    pub unit: WaterHeater,
    /// Heat that drawn water takes along, W.
    pub draw_w: ByHour<f64>,
    /// Heat that the tank loses to its zone, W.
    pub standby_w: f64,
}

/// A humidifier with a set point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Humidifier {
    /// Zone it stands in, whose humidity counts.
    pub zone: usize,
    /// Water while it runs, kg/s.
    pub capacity_kg_s: f64,
    /// Relative humidity it holds, 0 to 1.
    pub set_rh: f64,
    /// Dead band, 0 to 1.
    pub band_rh: f64,
    /// Electricity while it runs, W; what it falls short of the heat of evaporation the air gives.
    pub power_w: f64,
}

/// A load of laundry in a machine that dries it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ClothesDryer {
    /// Zone it stands in.
    pub zone: usize,
    /// Starts, s after midnight.
    pub start_s: f64,
    /// Runs for, s.
    pub duration_s: f64,
    /// Electricity while it runs, W.
    pub power_w: f64,
    /// Where water and heat go.
    pub vent: DryerVent,
}

/// Where a clothes dryer's air goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum DryerVent {
    /// Outdoors, with all its heat and water: the flow drawn from the zone, kg/s.
    Outdoors {
        /// Flow while it runs, kg/s.
        flow_kg_s: f64,
    },
    /// Into the zone: all its electricity becomes heat there, of which the water takes its part.
    Room {
        /// Water of one load that comes into the air, kg.
        water_kg: f64,
    },
}

impl ClothesDryer {
    /// The fan that a vented dryer is.
    pub fn exhaust(&self) -> Option<ExhaustFan> {
        let DryerVent::Outdoors { flow_kg_s } = self.vent else { return None };
        let end_s = self.start_s + self.duration_s;
        let spans = if self.duration_s >= 86_400.0 {
            vec![(0.0, 86_400.0)]
        } else {
            vec![(self.start_s, if end_s > 86_400.0 { end_s - 86_400.0 } else { end_s })]
        };
        let schedule = Schedule::Spans(spans);
        Some(ExhaustFan { zone: self.zone, flow_kg_s, schedule, power_w: self.power_w, heats: None })
    }

    /// The source that an unvented dryer is.
    pub fn source(&self) -> Option<Source> {
        let DryerVent::Room { water_kg } = self.vent else { return None };
        let water_kg_s = water_kg / self.duration_s;
        Some(Source {
            zone: self.zone,
            start_s: self.start_s,
            duration_s: self.duration_s,
            pm25_kg_s: 0.0,
            water_kg_s,
            co2_m3_s: 0.0,
            // Electricity that is not spent on evaporation, here or later from what stays wet.
            heat_w: (self.power_w - water_kg_s * crate::air::EVAPORATION_20C_J_KG).max(0.0),
            capture: 0.0,
        })
    }
}
