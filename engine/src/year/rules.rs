//! Control rules in the year: the same [`rule::Machine`] as in the live watch.
//!
//! Rules are decided at the end of every accepted step from the state it ended in and hold through
//! the next one with its halvings, as a controller does that looks once a step.
//!
//! What the year knows of the signals: zones, weather, the clock, outdoor air, the people of the
//! schedule (a group of them counts once), and whether a daily event that gives off particles is on,
//! which stands for the cooktop (30 K over the room while it is on; common practice, no source). A smoke notice is
//! in force during smoke ([`super::event`]) and while the NowCast of outdoor PM2.5 over the twelve hours before stands
//! at [`NOTICE_AQI`] or above; windows are shut. The mean age of air is a lost signal, and so are the filter drops of
//! everything but the air handler. Particles of rooms count by the air at 20 degC.
//!
//! Pressures are those of the network at the step's start, those with and without the handler by its duty: that of
//! the house is the mean of the rooms by volume at their middle height against outdoor air without wind; across a fan
//! to or from outdoors it is what it blows against (the room's pressure, with its sign turned for an exhaust), across
//! the handler what its blower makes, where the house file knows the blower ([`super::Handler::rise_pa`]).
//!
//! `run_share` is a true share of the last hour, kept by minutes ([`LastHour`]): exact where steps end on whole minutes;
//! else what ran in the oldest minute counts by the part of that minute which is still within the hour. A device that
//! runs part of a step runs that part of every minute of it.

use super::Owed;
use super::clock;
use super::model::{Model, Source, ZoneKind};
use super::step::{Delivered, Moment, Runner};
use crate::air::{self, quality};
use crate::rule::{self, Background, Machine, MixingAir, Setting};
use crate::weather::month_of;

const HOUR_S: f64 = 3600.0;
/// An event that lasts longer is no cooking, s.
const LONGEST_MEAL_S: f64 = 4.0 * HOUR_S;
const COOKTOP_RISE_K: f64 = 30.0;
/// Index of outdoor air from which a smoke notice is in force: where the US index calls it unhealthy for
/// everybody (EPA 2024, from memory). That authorities give notice from there on is common practice, no source.
pub(super) const NOTICE_AQI: f64 = 151.0;
const MINUTE_S: f64 = 60.0;
/// The minutes of an hour, and the one that it began in.
const MINUTES: usize = 61;
/// Two times that are this close are one, s.
const SAME_S: f64 = 1e-3;

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
/// Slots of what is neither a room nor a device.
const WHOLE: [&str; 20] = [
    "outdoor.temp",
    "outdoor.rh",
    "outdoor.dew_point",
    "outdoor.humidity_ratio",
    "outdoor.pm25",
    "outdoor.co2",
    "outdoor.wind",
    "time.hour",
    "time.weekday",
    "time.month",
    "house.outdoor_air",
    "house.lowest_co2",
    "house.lowest_pm25",
    "house.temp",
    "house.humidity_ratio",
    "house.pressure",
    "outdoor.smoke",
    "cooktop.on",
    "cooktop.presence",
    "cooktop.temp_rise",
];
/// Slots of a device's signals.
const DEVICE: [&str; 9] =
    ["on", "flow", "power", "run_share", "coil_water", "mixing_power", "leak_air", "pressure", "filter_drop"];

/// How long something ran in each of the last minutes.
#[derive(Clone, Debug)]
struct LastHour {
    ran_s: [f64; MINUTES],
    /// The minute that the end lies in.
    minute: f64,
    to_s: f64,
    at: usize,
}

impl LastHour {
    fn new() -> LastHour {
        LastHour { ran_s: [0.0; MINUTES], minute: f64::NEG_INFINITY, to_s: f64::NEG_INFINITY, at: 0 }
    }

    /// Goes on by a step of which the device runs the part `part`; a gap in time forgets what was before.
    fn pass(&mut self, from_s: f64, dt_s: f64, part: f64) {
        let follows = (from_s - self.to_s).abs() < SAME_S;
        if !follows {
            self.ran_s.fill(0.0);
            self.minute = (from_s / MINUTE_S + SAME_S).floor();
        }
        let to_s = from_s + dt_s;
        let mut now_s = from_s;
        loop {
            let edge_s = (self.minute + 1.0) * MINUTE_S;
            self.ran_s[self.at] += part * (to_s.min(edge_s) - now_s).max(0.0);
            if edge_s > to_s - SAME_S {
                break;
            }
            now_s = edge_s;
            self.minute += 1.0;
            self.at = (self.at + 1) % MINUTES;
            self.ran_s[self.at] = 0.0;
        }
        self.to_s = to_s;
    }

    /// Part of the last hour that it ran.
    fn share(&self) -> f64 {
        let into = (self.to_s / MINUTE_S - self.minute).clamp(0.0, 1.0);
        let oldest_s = self.ran_s[(self.at + 1) % MINUTES];
        let all_s: f64 = self.ran_s.iter().sum();
        ((all_s - into * oldest_s) / HOUR_S).clamp(0.0, 1.0)
    }
}

/// Rules on their way through the year.
pub(super) struct Running {
    machine: Machine,
    targets: Vec<Target>,
    /// The last settings, by device.
    settings: Vec<Setting>,
    signals: Vec<f64>,
    rooms: Vec<[Option<usize>; 8]>,
    devices: Vec<[Option<usize>; 9]>,
    whole: [Option<usize>; 20],
    /// How each device ran in the last hour.
    ran: Vec<LastHour>,
    background: Background,
    /// Humidity ratio and volume of the rooms, kg/kg and m3.
    moist: Vec<(f64, f64)>,
    weekday_of_first: usize,
    /// Whether a smoke notice is in force.
    pub(super) smoke: bool,
    /// The hour for which the notice by the outdoor air was looked up, and what it said.
    notice: (f64, bool),
    /// What was owed when it was most, s, and the relative exposure then.
    most: (f64, f64),
    /// When something was owed last, and when an event ended, s of the year.
    last_owed_s: f64,
    ended_s: Option<f64>,
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
            whole: WHOLE.map(|n| signals.slot(n)),
            settings: vec![Setting::FREE; signals.devices.len()],
            ran: vec![LastHour::new(); signals.devices.len()],
            signals: empty,
            background: Background::default(),
            moist: vec![(f64::NAN, 0.0); model.zones.len()],
            targets: controls.targets.clone(),
            machine: Machine::new(controls.set.clone()),
            weekday_of_first: 0,
            smoke: false,
            notice: (f64::NEG_INFINITY, false),
            most: (0.0, 1.0),
            last_owed_s: f64::NEG_INFINITY,
            ended_s: None,
        }
    }

    /// Keeps what is owed where it is the most so far.
    fn keep_debt(&mut self, time_s: f64) {
        let Some(ledger) = self.machine.ledger() else { return };
        let owed_s = ledger.owed_s();
        if owed_s > 0.0 {
            self.last_owed_s = time_s;
        }
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
        let clear = |ended_s: &f64| (ledger.owed_s() <= 0.0).then(|| (self.last_owed_s - ended_s).max(0.0));
        let repaid_s = self.ended_s.as_ref().and_then(clear);
        Some(Owed { highest_s, repay_s, left_s: ledger.owed_s(), repaid_s })
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
        self.fill_house(&mut rules, moment, delivered);
        self.fill_devices(&mut rules, moment, delivered);
        let Running { machine, signals, settings, .. } = &mut rules;
        machine.fill_own(signals);
        settings.copy_from_slice(machine.step(signals, moment.dt_s));
        rules.keep_debt(moment.time_s + moment.dt_s);
        self.rules = Some(rules);
    }

    /// What lock-outs owe now, s.
    pub(super) fn owed_s(&self) -> f64 {
        self.rules.as_ref().and_then(|r| r.machine.ledger()).map_or(0.0, rule::Ledger::owed_s)
    }

    /// An event ended at this time of the year.
    pub(super) fn ended(&mut self, time_s: f64) {
        if let Some(rules) = &mut self.rules {
            rules.ended_s = Some(time_s);
        }
    }

    /// Whether the outdoor air of the twelve hours before this instant is worth a notice.
    fn is_noticed(&self, hour: f64) -> bool {
        let before = |k: usize| {
            let time_s = (hour - k as f64 - 0.5) * HOUR_S;
            self.weather.pm25_kg_m3_at(time_s).unwrap_or_else(|| {
                let day = (time_s / 86_400.0).rem_euclid(365.0);
                #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 <= day < 366")]
                let day = (day as usize).min(364);
                self.model.outdoor.pm25_kg_m3[month_of(day)]
            })
        };
        let newest_first: [f64; 12] = std::array::from_fn(before);
        quality::nowcast(&newest_first).is_some_and(|c| quality::aqi_pm25(c) >= NOTICE_AQI)
    }

    /// Mean pressure of a zone at its middle height against outdoor air, Pa.
    fn middle_pa(&self, zone: usize, duty: f64) -> f64 {
        let z = &self.model.zones[zone];
        self.air.mean_pressure_pa(zone, 0.5 * (z.floor_m + z.ceiling_m), duty)
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

    fn fill_house(&self, rules: &mut Running, moment: &Moment, delivered: &Delivered) {
        let out = &moment.outdoor;
        let middle_s = moment.time_s + 0.5 * moment.dt_s;
        let wall_day = ((middle_s + clock::ahead_s(moment.summer.as_ref(), middle_s)) / 86_400.0).floor();
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 <= day < 365")]
        let day = wall_day.rem_euclid(365.0) as usize;
        let duty = self.duty_apart(delivered);
        let hour = ((moment.time_s + moment.dt_s) / HOUR_S + 1e-9).floor();
        if (rules.notice.0 - hour).abs() > 0.5 {
            rules.notice = (hour, self.is_noticed(hour));
        }
        let noticed = rules.smoke || rules.notice.1;
        let lived = |z: &usize| self.model.zones[*z].kind == ZoneKind::Conditioned;
        let rooms = || (0..self.zones).filter(lived);
        let volume: f64 = rooms().map(|z| self.model.zones[z].volume_m3).sum();
        let pressure = rooms().map(|z| self.middle_pa(z, duty) * self.model.zones[z].volume_m3).sum::<f64>();
        let mean = |of: &[f64]| rooms().map(|z| of[z] * self.model.zones[z].volume_m3).sum::<f64>() / volume;
        let least = |of: &[f64]| rooms().map(|z| of[z]).fold(f64::INFINITY, f64::min);
        let cooking = self.model.sources.iter().any(|s| is_cooking(s, moment));
        let flag = f64::from(u8::from(cooking));
        let values = [
            out.temp_k,
            air::relative_humidity(out.temp_k, out.w_kg_kg, out.pressure_pa),
            dew_point_k(out.w_kg_kg, out.pressure_pa),
            out.w_kg_kg,
            moment.pm_outdoors_kg_m3,
            self.model.outdoor.co2_ppm * 1e-6,
            out.wind_m_s,
            moment.day_s / HOUR_S,
            ((day + rules.weekday_of_first) % 7 + 1) as f64,
            (month_of(day) + 1) as f64,
            self.outdoor_air_kg_s() / air::REFERENCE_DENSITY_KG_M3,
            least(&self.state.co2_ppm) * 1e-6,
            least(&self.state.pm_kg_kg) * air::REFERENCE_DENSITY_KG_M3,
            mean(&self.state.temp_k),
            mean(&self.state.w_kg_kg),
            pressure / volume,
            f64::from(u8::from(noticed)),
            flag,
            flag,
            flag * COOKTOP_RISE_K,
        ];
        for (slot, value) in rules.whole.iter().zip(values) {
            set(&mut rules.signals, *slot, value);
        }
    }

    fn fill_devices(&self, rules: &mut Running, moment: &Moment, delivered: &Delivered) {
        let density = air::REFERENCE_DENSITY_KG_M3;
        let duty = self.duty_apart(delivered);
        let none = (f64::NAN, f64::NAN);
        for (at, target) in rules.targets.iter().enumerate() {
            let (part, flow_kg_s, power_w, (pressure_pa, filter_pa)) = match *target {
                Target::Absent => continue,
                Target::Exhaust(k) => {
                    let fan = &self.model.exhausts[k];
                    let across = (-self.middle_pa(fan.zone, duty), f64::NAN);
                    (self.exhaust_part[k], fan.flow_kg_s, fan.power_w, across)
                }
                Target::Ventilator(k) => {
                    let v = &self.model.ventilators[k];
                    let to = v.supply_kg_s.first().map(|s| self.middle_pa(s.0, duty));
                    let across = (to.unwrap_or(f64::NAN), f64::NAN);
                    (self.vent_part[k], v.supply_kg_s.iter().map(|s| s.1).sum(), v.power_w, across)
                }
                // Its power hangs on the air; rules do not read it.
                Target::Drier(k) => (f64::from(u8::from(self.state.drier_on[k])), 0.0, f64::NAN, none),
                Target::Handler => {
                    let h = self.model.handler.as_ref();
                    let running = if delivered.duty > 0.0 { 1.0 } else { 0.0 };
                    let across = h.map_or(none, |h| (running * h.rise_pa, running * h.filter_pa));
                    (delivered.duty, h.map_or(0.0, |h| h.flow_kg_s), h.map_or(0.0, |h| h.power_w), across)
                }
            };
            rules.ran[at].pass(moment.time_s, moment.dt_s, part);
            let price = (*target == Target::Handler).then(|| self.mixing(moment, delivered)).flatten();
            let values = [
                f64::from(u8::from(part > 0.0)),
                part * flow_kg_s / density,
                part * power_w,
                rules.ran[at].share(),
                self.state.coil_kg,
                price.map_or(f64::NAN, |p| p.total_w()),
                price.map_or(f64::NAN, |p| p.leak_air_m3_s),
                pressure_pa,
                filter_pa,
            ];
            for (slot, value) in rules.devices[at].iter().zip(values) {
                set(&mut rules.signals, *slot, value);
            }
        }
    }

    /// Part of the time that the handler runs on a solution of its own.
    fn duty_apart(&self, delivered: &Delivered) -> f64 {
        let balanced = self.handler.as_ref().is_none_or(|h| h.balanced);
        if balanced { 0.0 } else { delivered.duty.clamp(0.0, 1.0) }
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

#[cfg(test)]
mod tests {
    use super::{HOUR_S, LastHour};

    #[test]
    fn the_share_of_the_last_hour_is_a_share() {
        let mut last = LastHour::new();
        // A quarter on, in steps of five minutes, and the rest off.
        for k in 0..12_u32 {
            last.pass(f64::from(k) * 300.0, 300.0, if k < 3 { 1.0 } else { 0.0 });
        }
        assert!((last.share() - 0.25).abs() < 1e-12);
        // Ten minutes later ten of the fifteen have left the hour: no exponential mean does that.
        last.pass(HOUR_S, 600.0, 0.0);
        assert!((last.share() - 300.0 / HOUR_S).abs() < 1e-12, "{}", last.share());
        // Part of a step is that part of each of its minutes, also off the minute.
        last.pass(HOUR_S + 600.0, 30.0, 0.5);
        assert!((last.share() - (270.0 + 15.0) / HOUR_S).abs() < 1e-12, "{}", last.share());
        // Off the minute the oldest one counts by its part: 45 of its 60 s, of which half are left.
        last.pass(HOUR_S + 630.0, HOUR_S, 1.0);
        assert!((last.share() - (HOUR_S - 7.5) / HOUR_S).abs() < 1e-12, "{}", last.share());
        // A gap forgets.
        last.pass(1e6, 60.0, 1.0);
        assert!((last.share() - 60.0 / HOUR_S).abs() < 1e-9, "{}", last.share());
    }
}
