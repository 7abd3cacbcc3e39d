//! Control rules in the year: the same [`rule::Machine`] as in the live watch.
//!
//! Rules are decided at the end of every accepted step from the state it ended in and hold through
//! the next one with its halvings, as a controller does that looks once a step.
//!
//! What the year knows of the signals: zones, weather, the clock, outdoor air, the people of the
//! schedule (a group of them counts once), and whether a daily event that gives off particles is on,
//! which stands for the cooktop (30 K over the room while it is on; common practice, no source). A smoke notice is
//! in force during smoke ([`super::event`]) and windows are shut. Pressures, filter drops and the mean age of air are lost
//! signals. Particles of rooms count by the air at 20 degC. `run_share` is an exponential mean of an hour.

use super::Owed;
use super::model::{Model, Source, ZoneKind};
use super::step::{Delivered, Moment, Runner};
use crate::air;
use crate::math;
use crate::rule::{self, Background, Machine, MixingAir, Setting};
use crate::weather::month_of;

const HOUR_S: f64 = 3600.0;
/// An event that lasts longer is no cooking, s.
const LONGEST_MEAL_S: f64 = 4.0 * HOUR_S;
const COOKTOP_RISE_K: f64 = 30.0;

/// What a device of the rules is in the model.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Target {
    /// Nothing that the model has.
    Absent,
    /// One of [`Model::exhausts`].
    Exhaust(usize),
    /// One of [`Model::ventilators`].
    Ventilator(usize),
    /// One of [`Model::driers`].
    Drier(usize),
    /// The air handler: its least duty.
    Handler,
}

/// Rules for one model.
#[derive(Clone, Debug, PartialEq)]
pub struct Controls {
    /// The rules; zones are found by their names.
    pub set: rule::Set,
    /// One for each of the set's devices.
    pub targets: Vec<Target>,
}

/// Slots of a zone's signals, in this order.
const ROOM: [&str; 8] =
    ["temp", "rh", "dew_point", "humidity_ratio", "humidity_rise", "co2", "pm25", "people"];
/// Slots of a device's signals.
const DEVICE: [&str; 7] = ["on", "flow", "power", "run_share", "coil_water", "mixing_power", "leak_air"];

/// Rules on their way through the year.
pub(super) struct Running {
    machine: Machine,
    targets: Vec<Target>,
    /// The last settings, by device.
    settings: Vec<Setting>,
    signals: Vec<f64>,
    rooms: Vec<[Option<usize>; 8]>,
    devices: Vec<[Option<usize>; 7]>,
    /// Share of the last hour that each device ran.
    ran: Vec<f64>,
    background: Background,
    /// Humidity ratio and volume of the rooms, kg/kg and m3.
    moist: Vec<(f64, f64)>,
    weekday_of_first: usize,
    /// Whether a smoke notice is in force.
    pub(super) smoke: bool,
    /// What was owed when it was most, s, and the relative exposure then.
    most: (f64, f64),
}

impl Running {
    /// The year's first day is a Monday.
    pub(super) fn new(controls: &Controls, model: &Model) -> Running {
        let signals = &controls.set.signals;
        let slot = |place: &str, field: &str| signals.slot(&format!("{place}.{field}"));
        let room = |z: &super::model::Zone| ROOM.map(|f| slot(&rule::spelled(&z.name), f));
        let device = |d: &rule::Device| DEVICE.map(|f| slot(&rule::spelled(&d.name), f));
        // What nobody fills is lost.
        let mut empty = vec![f64::NAN; signals.list.len()];
        if let Some(s) = signals.slot("house.windows_open") {
            empty[s] = 0.0;
        }
        Running {
            rooms: model.zones.iter().map(room).collect(),
            devices: signals.devices.iter().map(device).collect(),
            settings: vec![Setting::FREE; signals.devices.len()],
            ran: vec![0.0; signals.devices.len()],
            signals: empty,
            background: Background::default(),
            moist: vec![(f64::NAN, 0.0); model.zones.len()],
            targets: controls.targets.clone(),
            machine: Machine::new(controls.set.clone()),
            weekday_of_first: 0,
            smoke: false,
            most: (0.0, 1.0),
        }
    }

    fn put(&mut self, name: &str, value: f64) {
        if let Some(s) = self.machine.set().signals.slot(name) {
            self.signals[s] = value;
        }
    }

    /// Keeps what is owed where it is the most so far.
    fn keep_debt(&mut self) {
        let Some(ledger) = self.machine.ledger() else { return };
        let owed_s = ledger.owed_s();
        if owed_s > self.most.0 {
            self.most = (owed_s, ledger.relative_exposure());
        }
    }

    /// What lock-outs came to owe; full is the largest of the devices they hold down.
    pub(super) fn owed(&self) -> Option<Owed> {
        let (set, ledger) = (self.machine.set(), self.machine.ledger()?);
        let target_m3_s = set.exposure?.target_m3_s;
        let locks = (0..set.rules.len()).filter_map(|r| set.worst_debt(r));
        let full_m3_s = locks.map(|w| w.full_m3_s).fold(0.0, f64::max);
        let (highest_s, relative) = self.most;
        let repay_s = rule::repay_s(highest_s, relative, full_m3_s, target_m3_s, set.volume_m3);
        Some(Owed { highest_s, repay_s, left_s: ledger.owed_s() })
    }

    fn setting(&self, target: Target) -> Setting {
        let at = self.targets.iter().position(|t| *t == target);
        at.and_then(|a| self.settings.get(a)).copied().unwrap_or(Setting::FREE)
    }
}

fn set(signals: &mut [f64], slot: Option<usize>, value: f64) {
    if let Some(place) = slot.and_then(|s| signals.get_mut(s)) {
        *place = value;
    }
}

/// Whether an event is on that gives off particles for no longer than a meal.
fn is_cooking(source: &Source, moment: &Moment) -> bool {
    source.pm25_kg_s > 0.0
        && source.duration_s <= LONGEST_MEAL_S
        && moment.part(source.start_s, source.duration_s) > 0.0
}

impl Runner<'_> {
    /// What rules make of fans, ventilators and dryers of the step; after they chose for themselves.
    pub(super) fn apply_rules(&mut self) {
        let Some(rules) = &self.rules else { return };
        for (target, setting) in rules.targets.iter().zip(&rules.settings) {
            let part = match *target {
                Target::Exhaust(k) => self.exhaust_part.get_mut(k),
                Target::Ventilator(k) => self.vent_part.get_mut(k),
                Target::Drier(k) => {
                    if let Some(on) = self.next_drier_on.get_mut(k) {
                        *on = setting.applied(f64::from(u8::from(*on))) > 0.5;
                    }
                    None
                }
                Target::Absent | Target::Handler => None,
            };
            if let Some(part) = part {
                *part = setting.applied(*part);
            }
        }
    }

    /// Part of every hour that the handler runs even without a call, by rules and its own setting.
    pub(super) fn least_duty(&self) -> f64 {
        let own = self.model.handler.as_ref().map_or(0.0, |h| h.least_duty);
        let own = self.held.as_ref().and_then(|h| h.handler).unwrap_or(own);
        self.rules.as_ref().map_or(own, |r| r.setting(Target::Handler).applied(own))
    }

    /// Outdoor air that came into the rooms that are lived in, leaks, fans and ventilators, kg/s.
    pub(super) fn outdoor_air_kg_s(&self) -> f64 {
        let lived = |zone: usize| self.model.zones[zone].kind == ZoneKind::Conditioned;
        let leaks: f64 = (0..self.zones).filter(|z| lived(*z)).map(|z| self.flows.entering()[z]).sum();
        let fans: f64 = self
            .model
            .ventilators
            .iter()
            .zip(&self.vent_part)
            .flat_map(|(v, part)| v.supply_kg_s.iter().filter(|s| lived(s.0)).map(move |s| part * s.1))
            .sum();
        leaks + fans
    }

    /// Decides at the end of a step, for the next one.
    pub(super) fn decide_rules(&mut self, moment: &Moment, delivered: &Delivered) {
        let Some(mut rules) = self.rules.take() else { return };
        self.fill_rooms(&mut rules, moment);
        self.fill_house(&mut rules, moment);
        self.fill_devices(&mut rules, moment, delivered);
        let Running { machine, signals, settings, .. } = &mut rules;
        machine.fill_own(signals);
        settings.copy_from_slice(machine.step(signals, moment.dt_s));
        rules.keep_debt();
        self.rules = Some(rules);
    }

    fn fill_rooms(&self, rules: &mut Running, moment: &Moment) {
        let pressure_pa = moment.outdoor.pressure_pa;
        for (zone, moist) in rules.moist.iter_mut().enumerate() {
            let lived = self.model.zones[zone].kind == ZoneKind::Conditioned;
            *moist = (self.state.w_kg_kg[zone], if lived { self.model.zones[zone].volume_m3 } else { 0.0 });
        }
        rules.background.step(moment.dt_s, rules.moist.iter().copied());
        for zone in 0..self.zones {
            let (temp_k, w) = (self.state.temp_k[zone], self.state.w_kg_kg[zone]);
            let at_home = self.model.occupants.iter();
            let people: f64 = at_home
                .filter(|o| o.at(moment.hour, moment.day_s).zone == Some(zone))
                .map(|o| o.persons)
                .sum();
            let values = [
                temp_k,
                air::relative_humidity(temp_k, w, pressure_pa),
                dew_point_k(w, pressure_pa),
                w,
                rules.background.rise(zone, rules.moist.iter().copied()),
                self.state.co2_ppm[zone] * 1e-6,
                self.state.pm_kg_kg[zone] * air::REFERENCE_DENSITY_KG_M3,
                people,
            ];
            for (slot, value) in rules.rooms[zone].iter().zip(values) {
                set(&mut rules.signals, *slot, value);
            }
        }
    }

    fn fill_house(&self, rules: &mut Running, moment: &Moment) {
        let out = &moment.outdoor;
        let day = moment.day;
        let lived = |z: &usize| self.model.zones[*z].kind == ZoneKind::Conditioned;
        let rooms = || (0..self.zones).filter(lived);
        let volume: f64 = rooms().map(|z| self.model.zones[z].volume_m3).sum();
        let mean = |of: &[f64]| rooms().map(|z| of[z] * self.model.zones[z].volume_m3).sum::<f64>() / volume;
        let least = |of: &[f64]| rooms().map(|z| of[z]).fold(f64::INFINITY, f64::min);
        let cooking = self.model.sources.iter().any(|s| is_cooking(s, moment));
        let flag = f64::from(u8::from(cooking));
        for (name, value) in [
            ("outdoor.temp", out.temp_k),
            ("outdoor.rh", air::relative_humidity(out.temp_k, out.w_kg_kg, out.pressure_pa)),
            ("outdoor.dew_point", dew_point_k(out.w_kg_kg, out.pressure_pa)),
            ("outdoor.humidity_ratio", out.w_kg_kg),
            ("outdoor.pm25", moment.pm_outdoors_kg_m3),
            ("outdoor.co2", self.model.outdoor.co2_ppm * 1e-6),
            ("outdoor.wind", out.wind_m_s),
            ("time.hour", moment.day_s / HOUR_S),
            ("time.weekday", ((day + rules.weekday_of_first) % 7 + 1) as f64),
            ("time.month", (month_of(day) + 1) as f64),
            ("house.outdoor_air", self.outdoor_air_kg_s() / air::REFERENCE_DENSITY_KG_M3),
            ("house.lowest_co2", least(&self.state.co2_ppm) * 1e-6),
            ("house.lowest_pm25", least(&self.state.pm_kg_kg) * air::REFERENCE_DENSITY_KG_M3),
            ("house.temp", mean(&self.state.temp_k)),
            ("house.humidity_ratio", mean(&self.state.w_kg_kg)),
            ("outdoor.smoke", f64::from(u8::from(rules.smoke))),
            ("cooktop.on", flag),
            ("cooktop.presence", flag),
            ("cooktop.temp_rise", flag * COOKTOP_RISE_K),
        ] {
            rules.put(name, value);
        }
    }

    fn fill_devices(&self, rules: &mut Running, moment: &Moment, delivered: &Delivered) {
        let density = air::REFERENCE_DENSITY_KG_M3;
        let kept = math::exp(-moment.dt_s / HOUR_S);
        for (at, target) in rules.targets.iter().enumerate() {
            let (part, flow_kg_s, power_w) = match *target {
                Target::Absent => continue,
                Target::Exhaust(k) => {
                    (self.exhaust_part[k], self.model.exhausts[k].flow_kg_s, self.model.exhausts[k].power_w)
                }
                Target::Ventilator(k) => {
                    let v = &self.model.ventilators[k];
                    (self.vent_part[k], v.supply_kg_s.iter().map(|s| s.1).sum(), v.power_w)
                }
                // Its power hangs on the air; rules do not read it.
                Target::Drier(k) => (f64::from(u8::from(self.state.drier_on[k])), 0.0, f64::NAN),
                Target::Handler => {
                    let h = self.model.handler.as_ref();
                    (delivered.duty, h.map_or(0.0, |h| h.flow_kg_s), h.map_or(0.0, |h| h.power_w))
                }
            };
            rules.ran[at] = part + (rules.ran[at] - part) * kept;
            let price = (*target == Target::Handler).then(|| self.mixing(moment, delivered)).flatten();
            let values = [
                f64::from(u8::from(part > 0.0)),
                part * flow_kg_s / density,
                part * power_w,
                rules.ran[at],
                self.state.coil_kg,
                price.map_or(f64::NAN, |p| p.total_w()),
                price.map_or(f64::NAN, |p| p.leak_air_m3_s),
            ];
            for (slot, value) in rules.devices[at].iter().zip(values) {
                set(&mut rules.signals, *slot, value);
            }
        }
    }

    /// What mixing costs now.
    fn mixing(&self, moment: &Moment, delivered: &Delivered) -> Option<rule::Charge> {
        let h = self.model.handler.as_ref()?;
        let zone = h.returns.first().map_or(0, |r| r.0);
        let leak = |l: &Option<super::DuctLeak>| l.map_or(0.0, |l| l.share);
        Some(rule::charge(&MixingAir {
            flow_m3_s: h.flow_kg_s / air::REFERENCE_DENSITY_KG_M3,
            supply_leak: leak(&h.supply_leak),
            return_leak: leak(&h.return_leak),
            power_w: h.power_w,
            temp_k: self.state.temp_k[zone],
            w_kg_kg: self.state.w_kg_kg[zone],
            outdoor_k: moment.outdoor.temp_k,
            outdoor_w_kg_kg: moment.outdoor.w_kg_kg,
            evaporation_kg_s: delivered.evaporation_kg_s,
        }))
    }
}

fn dew_point_k(w_kg_kg: f64, pressure_pa: f64) -> f64 {
    air::dew_point_k(air::vapour_pressure_pa(w_kg_kg, pressure_pa))
}
