//! One step of the coupled house: air, then heat, then water, CO2 and particles.
//!
//! Air is solved with the densities of the step's start. A handler that runs part of the step is
//! solved on and off, and the flows are mixed by its duty; where its leaks balance in every zone,
//! one solution serves. (One solution with the mean flow is cheaper by a third but wrong where
//! duct leaks press on rooms: measured on a six-zone house with a shut bedroom, night CO2 936
//! instead of 874 ppm, hours above 1000 ppm 1328 instead of 860, air from the attic 15 % less.) The duty is what the thermostat needs, found with the flows of the last
//! duty and again where it moved by more than [`DUTY_MOVED`]. If a zone's temperature moves by more
//! than [`MOST_MOVE_K`] the step is halved, twice at most, and counted.

use super::YearError;
use super::air::{Air, Flows};
use super::carried::{LANES, Routes, Tangent, WATER, groups};
use super::clock;
use super::control::Calls;
use super::ducts::HandlerFlows;
use super::equipment::{Delivery, Schedule, in_span};
use super::heat::Conduction;
use super::live::Held;
use super::model::Model;
use super::outside::Sun;
use super::rules::Running;
use super::score::Tally;
use crate::air;
use crate::device::{self, coil::Duty, coil::Entering, water_heater::Heated};
use crate::doc::job::SummerTime;
use crate::transport::{Balance, Books};
use crate::weather::{Outdoor, Weather, month_of};

const MOST_MOVE_K: f64 = 1.0;
pub(super) const MOST_HALVINGS: u32 = 2;
const DUTY_MOVED: f64 = 0.02;
const DUTY_PASSES: usize = 3;

/// What changes from step to step.
#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub(super) struct State {
    pub(super) temp_k: Vec<f64>,
    pub(super) w_kg_kg: Vec<f64>,
    pub(super) co2_ppm: Vec<f64>,
    /// PM2.5 per air, kg/kg.
    pub(super) pm_kg_kg: Vec<f64>,
    pub(super) coil_kg: f64,
    pub(super) condensing: Vec<bool>,
    exhaust_on: Vec<bool>,
    vent_on: Vec<bool>,
    pub(super) drier_on: Vec<bool>,
    pub(super) humid_on: Vec<bool>,
    /// Gases by name, kg/kg, one list a gas.
    pub(super) gas_kg_kg: Vec<Vec<f64>>,
    /// What the thermostat calls for.
    pub(super) calls: Calls,
    /// Part of the time the handler runs.
    pub(super) duty: f64,
    /// Part of the time the thermostat calls.
    call: f64,
}

/// Everything that concerns one step in time.
#[derive(Clone, Copy, Debug)]
pub(super) struct Moment {
    pub(super) dt_s: f64,
    /// Hour of the day by the clock on the wall.
    pub(super) hour: usize,
    /// Start of the step, s of the year in standard time.
    pub(super) time_s: f64,
    /// Middle of the step by the clock on the wall, s after midnight.
    pub(super) day_s: f64,
    pub(super) summer: Option<SummerTime>,
    pub(super) outdoor: Outdoor,
    pub(super) ground_k: f64,
    pub(super) pm_outdoors_kg_m3: f64,
}

impl Moment {
    /// The part of the step that a daily event takes.
    pub(super) fn part(&self, start_s: f64, duration_s: f64) -> f64 {
        clock::part(self.summer.as_ref(), (self.time_s, self.dt_s), start_s, duration_s)
    }
}

/// What heat and cold were delivered in a step.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Delivered {
    /// Part of the time the handler runs, for any reason.
    pub(super) duty: f64,
    /// Part of the time the thermostat calls.
    pub(super) call: f64,
    /// By the heating plant, W.
    pub(super) heating_w: f64,
    /// Of it, by the backup.
    pub(super) backup_w: f64,
    /// Fuel of the heating plant but the backup, steady running, W.
    pub(super) heating_own_w: f64,
    /// Electricity of the cooling, steady running, W.
    pub(super) cooling_own_w: f64,
    /// Sensible heat taken by the coil, W.
    pub(super) cooling_w: f64,
    /// Sensible and latent heat taken by the coil, W.
    pub(super) cooling_total_w: f64,
    /// Part of the water in the coil's air that passes while it is cold.
    pub(super) coil_passes: f64,
    /// Water that evaporates from the coil, kg/s.
    pub(super) evaporation_kg_s: f64,
}

/// A house on its way through the year.
pub(super) struct Runner<'a> {
    pub(super) model: &'a Model,
    pub(super) weather: &'a Weather,
    pub(super) zones: usize,
    pub(super) air: Air,
    off: Flows,
    on: Flows,
    pub(super) flows: Flows,
    pub(super) handler: Option<HandlerFlows>,
    pub(super) state: State,
    /// Air of each zone at 20 degC, kg: what CO2 and particles are stored in.
    pub(super) mass_kg: Vec<f64>,
    pub(super) conduction: Conduction,
    pub(super) sun: Sun,
    /// The balance of heat, W/K.
    pub(super) exchange: Balance<1>,
    /// Temperatures at the end of the step under way, and what one watt does to them.
    pub(super) values: Vec<[f64; 1]>,
    pub(super) response: Vec<[f64; 1]>,
    /// Temperatures at the start of the step just done, K.
    pub(super) was_k: Vec<f64>,
    /// What moves with shares that stay.
    pub(super) routes: Routes,
    /// Water, CO2, particles and gases by name, four side by side in each group.
    pub(super) carried: Vec<Balance<LANES>>,
    /// Their storage, kg of air, and scratch for their values.
    pub(super) lane_capacity: Vec<Vec<[f64; LANES]>>,
    pub(super) lanes: Vec<[f64; LANES]>,
    /// Loss and input of water without condensation.
    pub(super) kept: Vec<(f64, f64)>,
    /// Saturation at each zone's cold surface, kg/kg; NaN where it was not worked out in this step.
    pub(super) saturated: Vec<f64>,
    pub(super) cold: Vec<Tangent>,
    net_off: Vec<f64>,
    net_on: Vec<f64>,
    pub(super) exhaust_part: Vec<f64>,
    pub(super) vent_part: Vec<f64>,
    next_exhaust_on: Vec<bool>,
    next_vent_on: Vec<bool>,
    pub(super) next_drier_on: Vec<bool>,
    pub(super) next_humid_on: Vec<bool>,
    pub(super) next_calls: Calls,
    /// What the coil takes in the low stage and the full one, from the air at the step's start.
    pub(super) coil_duty: Option<(Duty, Duty)>,
    /// What water heaters do in the step.
    pub(super) heated_water: Vec<Heated>,
    /// Heat the thermostat's answer added to the zones, W; below zero for cold.
    pub(super) given_w: f64,
    pub(super) books: [Books; 4],
    pub(super) gas_books: Vec<Books>,
    pub(super) tally: Tally,
    pub(super) rules: Option<Running>,
    /// What is known of devices and doors, over their own schedules ([`super::live`]).
    pub(super) held: Option<Held>,
}

impl<'a> Runner<'a> {
    pub(super) fn new(model: &'a Model, weather: &'a Weather, tally: Tally) -> Result<Runner<'a>, YearError> {
        let zones = model.zones.len();
        let handler = model.handler.as_ref().map(|h| HandlerFlows::new(h, zones));
        let first = weather.at(0.0);
        let density = air::moist_density_kg_m3(293.15, 0.0, weather.mean_pressure_pa());
        let mass_kg: Vec<f64> = model.zones.iter().map(|z| z.volume_m3 * density).collect();
        let outdoor_density = air::moist_density_kg_m3(first.temp_k, first.w_kg_kg, first.pressure_pa);
        let state = State {
            temp_k: model.zones.iter().map(|z| z.start_k).collect(),
            w_kg_kg: vec![first.w_kg_kg; zones],
            co2_ppm: vec![model.outdoor.co2_ppm; zones],
            pm_kg_kg: vec![0.5 * model.outdoor.pm25_kg_m3[0] / outdoor_density; zones],
            coil_kg: 0.0,
            condensing: vec![false; zones],
            exhaust_on: vec![false; model.exhausts.len()],
            vent_on: vec![false; model.ventilators.len()],
            drier_on: vec![false; model.driers.len()],
            humid_on: vec![false; model.humidifiers.len()],
            gas_kg_kg: model.gases.iter().map(|g| vec![g.outdoors_kg_kg; zones]).collect(),
            calls: Calls::default(),
            duty: 0.0,
            call: 0.0,
        };
        let air = Air::new(model).map_err(YearError::Network)?;
        let off = Flows::new(&air.graph);
        let mut conduction = Conduction::new(model);
        conduction.set_slots(&air.graph);
        conduction.set_spread(model, handler.as_ref().map(|h| h.heated.as_slice()));
        let zeros = vec![0.0; zones];
        let group_count = groups(model.gases.len());
        let mut tally = tally;
        tally.set_slots(&air.graph);
        Ok(Runner {
            model,
            weather,
            zones,
            on: off.clone(),
            flows: off.clone(),
            off,
            exchange: Balance::new(&air.graph),
            values: vec![[0.0]; zones],
            response: vec![[0.0]; zones],
            was_k: zeros.clone(),
            routes: Routes::new(model, &air.graph, handler.as_ref()),
            carried: vec![Balance::new(&air.graph); group_count],
            lane_capacity: (0..group_count)
                .map(|group| {
                    let of = |(z, m): (&super::Zone, &f64)| {
                        let mut lanes = [*m; LANES];
                        if group == 0 {
                            lanes[WATER] = z.moisture_multiplier * m;
                        }
                        lanes
                    };
                    model.zones.iter().zip(&mass_kg).map(of).collect()
                })
                .collect(),
            lanes: vec![[0.0; LANES]; zones],
            kept: vec![(0.0, 0.0); zones],
            saturated: vec![f64::NAN; zones],
            cold: vec![Tangent::default(); zones],
            handler,
            air,
            mass_kg,
            conduction,
            sun: Sun::new(model),
            net_off: zeros.clone(),
            net_on: zeros,
            exhaust_part: vec![0.0; model.exhausts.len()],
            vent_part: vec![0.0; model.ventilators.len()],
            next_exhaust_on: state.exhaust_on.clone(),
            next_vent_on: state.vent_on.clone(),
            next_drier_on: state.drier_on.clone(),
            next_humid_on: state.humid_on.clone(),
            next_calls: Calls::default(),
            heated_water: vec![Heated::default(); model.hot_water.len()],
            coil_duty: None,
            given_w: 0.0,
            state,
            books: [Books::default(); 4],
            gas_books: vec![Books::default(); model.gases.len()],
            tally,
            rules: None,
            held: None,
        })
    }

    /// The house is this one from now on; `unruled` puts the control rules to rest for good.
    pub(super) fn turn(&mut self, model: &'a Model, unruled: bool, smoke: bool) {
        self.model = model;
        if unruled {
            self.rules = None;
        }
        if let Some(rules) = &mut self.rules {
            rules.smoke = smoke;
        }
    }

    /// Goes from `time_s` to `time_s + dt_s`.
    pub(super) fn step(&mut self, time_s: f64, dt_s: f64, halvings: u32) -> Result<(), YearError> {
        let moment = self.moment(time_s, dt_s);
        let middle_s = time_s + 0.5 * dt_s;
        let fail = |e| YearError::Solve { time_s, source: e };
        self.air
            .set_doors(self.model.doors.iter().enumerate().map(|(k, d)| {
                let known = self.held.as_ref().and_then(|h| h.doors.get(k).copied().flatten());
                known.unwrap_or_else(|| d.is_open(moment.hour, moment.day_s))
            }))
            .map_err(YearError::Network)?;
        self.air.set_boundary(&moment.outdoor, &self.state.temp_k, &self.state.w_kg_kg);
        self.sun.set(self.weather, middle_s);
        self.choose(&moment);
        self.net_flows();
        self.coil_duty = None;

        let mut least_pa = f64::INFINITY;
        let (mut solved_off, mut solved_on) = (false, false);
        let least_duty = self.least_duty();
        let balanced = self.handler.as_ref().is_none_or(|h| h.balanced);
        let mut delivered = Delivered {
            duty: self.state.duty.max(least_duty),
            call: self.state.call,
            ..Delivered::default()
        };
        delivered.evaporation_kg_s = self.coil_evaporation(&moment, delivered.duty - delivered.call);
        for pass in 1..=DUTY_PASSES {
            let duty = delivered.duty;
            if !solved_off && (balanced || duty < 1.0) {
                self.air.solve(middle_s, &self.net_off, false, &mut self.off).map_err(fail)?;
                least_pa = least_pa.min(self.appliance_pa());
                solved_off = true;
            }
            if !solved_on && !balanced && duty > 0.0 {
                self.air.solve(middle_s, &self.net_on, true, &mut self.on).map_err(fail)?;
                least_pa = least_pa.min(self.appliance_pa());
                solved_on = true;
            }
            if balanced || duty <= 0.0 {
                self.flows.copy(&self.off);
            } else if duty >= 1.0 {
                self.flows.copy(&self.on);
            } else {
                self.flows.blend(&self.off, &self.on, duty);
            }
            let next = self.heat(&moment, delivered);
            let moved = (next.duty - duty).abs();
            delivered = next;
            if moved < DUTY_MOVED || pass == DUTY_PASSES {
                break;
            }
        }
        let worst_move = self
            .values
            .iter()
            .zip(&self.state.temp_k)
            .fold(0.0, |w: f64, ([new], old)| w.max((new - old).abs()));
        if worst_move > MOST_MOVE_K && halvings > 0 {
            self.tally.counts.halved_count += 1;
            self.step(time_s, 0.5 * dt_s, halvings - 1)?;
            return self.step(time_s + 0.5 * dt_s, 0.5 * dt_s, halvings - 1);
        }
        self.heat_books(&moment);
        std::mem::swap(&mut self.was_k, &mut self.state.temp_k);
        for (temp_k, [value]) in self.state.temp_k.iter_mut().zip(&self.values) {
            *temp_k = *value;
        }
        self.state.calls = self.next_calls;
        self.state.duty = delivered.duty;
        self.state.call = delivered.call;
        std::mem::swap(&mut self.state.exhaust_on, &mut self.next_exhaust_on);
        std::mem::swap(&mut self.state.vent_on, &mut self.next_vent_on);
        std::mem::swap(&mut self.state.drier_on, &mut self.next_drier_on);
        std::mem::swap(&mut self.state.humid_on, &mut self.next_humid_on);

        self.carry(&moment, &delivered);
        self.tally.counts.step_count += 1;
        let duty_on = if balanced { 0.0 } else { delivered.duty.clamp(0.0, 1.0) };
        self.tally.soil_pressure(dt_s, |zone, z_m| self.air.mean_pressure_pa(zone, z_m, duty_on));
        if least_pa.is_finite() {
            self.tally.appliance_pressure(least_pa);
        }
        self.record(&moment, &delivered);
        self.decide_rules(&moment, &delivered);
        Ok(())
    }

    fn moment(&self, time_s: f64, dt_s: f64) -> Moment {
        // The middle of the step: its start may be rounded to the hour before.
        let middle_s = time_s + 0.5 * dt_s;
        let day = (middle_s / 86_400.0).rem_euclid(365.0);
        let summer = self.model.summer;
        let wall_s = middle_s + clock::ahead_s(summer.as_ref(), middle_s);
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "0 <= day < 366, 0 <= hour < 24"
        )]
        let (whole_day, hour) =
            (day.floor() as usize, ((wall_s / 3600.0).rem_euclid(24.0).floor() as usize).min(23));
        Moment {
            dt_s,
            hour,
            time_s,
            day_s: wall_s.rem_euclid(86_400.0),
            summer,
            outdoor: self.weather.at(middle_s),
            ground_k: self.model.ground.temp_k(day),
            pm_outdoors_kg_m3: self
                .weather
                .pm25_kg_m3_at(time_s + 0.5 * dt_s)
                .unwrap_or(self.model.outdoor.pm25_kg_m3[month_of(whole_day)]),
        }
    }

    /// Which fans and dryers run in this step, by the humidity at its start.
    fn choose(&mut self, moment: &Moment) {
        let state = &self.state;
        let pressure_pa = moment.outdoor.pressure_pa;
        let rh = |zone: usize| air::relative_humidity(state.temp_k[zone], state.w_kg_kg[zone], pressure_pa);
        let part = |schedule: &Schedule, was_on: bool| match schedule {
            Schedule::Always => (1.0, true),
            Schedule::Hours(parts) => (parts[moment.hour], true),
            Schedule::Spans(spans) => {
                (if spans.iter().any(|s| in_span(moment.day_s, *s)) { 1.0 } else { 0.0 }, true)
            }
            Schedule::Humidity { zone, rh: set, band } => {
                let on = device::calls(was_on, rh(*zone) - set, *band);
                (if on { 1.0 } else { 0.0 }, on)
            }
        };
        for (k, fan) in self.model.exhausts.iter().enumerate() {
            (self.exhaust_part[k], self.next_exhaust_on[k]) = part(&fan.schedule, state.exhaust_on[k]);
        }
        for (k, vent) in self.model.ventilators.iter().enumerate() {
            (self.vent_part[k], self.next_vent_on[k]) = part(&vent.schedule, state.vent_on[k]);
        }
        for (k, drier) in self.model.driers.iter().enumerate() {
            self.next_drier_on[k] = drier.unit.runs(state.drier_on[k], rh(drier.zone));
        }
        self.apply_rules();
        self.apply_held();
        self.choose_appliances(moment);
    }

    /// Net flow that fans blow into each zone with the handler off and on. A fan that runs part of
    /// an hour counts with its mean flow.
    fn net_flows(&mut self) {
        self.net_off.fill(0.0);
        for (fan, part) in self.model.exhausts.iter().zip(&self.exhaust_part) {
            self.net_off[fan.zone] -= part * fan.flow_kg_s;
        }
        for (vent, part) in self.model.ventilators.iter().zip(&self.vent_part) {
            for (zone, flow) in &vent.supply_kg_s {
                self.net_off[*zone] += part * flow;
            }
            for (zone, flow) in &vent.exhaust_kg_s {
                self.net_off[*zone] -= part * flow;
            }
        }
        self.net_on.copy_from_slice(&self.net_off);
        if let Some(h) = &self.handler {
            for (on, net) in self.net_on.iter_mut().zip(&h.net_kg_s) {
                *on += net;
            }
        }
    }

    fn appliance_pa(&self) -> f64 {
        self.model
            .appliance_zone
            .map_or(f64::INFINITY, |zone| self.air.pressure_pa(zone, self.model.zones[zone].floor_m))
    }

    /// The air that meets the coil at the step's start.
    pub(super) fn entering(&self, moment: &Moment, delivery: &Delivery, own_flow_kg_s: f64) -> Entering {
        let state = |zone: Option<usize>| {
            zone.map_or((moment.outdoor.temp_k, moment.outdoor.w_kg_kg), |z| {
                (self.state.temp_k[z], self.state.w_kg_kg[z])
            })
        };
        let (mut flow_kg_s, mut heat, mut water) = (0.0, 0.0, 0.0);
        match (delivery, &self.handler) {
            (Delivery::Zones(shares), _) => {
                let sum: f64 = shares.iter().map(|s| s.1).sum();
                for (zone, share) in shares {
                    let (flow, (t, w)) = (own_flow_kg_s * share / sum, state(Some(*zone)));
                    flow_kg_s += flow;
                    heat += flow * t;
                    water += flow * w;
                }
            }
            (Delivery::Handler, Some(h)) => {
                for end in &h.returns {
                    flow_kg_s += end.flow;
                    water += end.flow * state(end.zone).1;
                }
                heat = h.plenum.iter().map(|end| end.flow * state(end.zone).0).sum();
            }
            (Delivery::Handler, None) => {}
        }
        let scale = if flow_kg_s > 0.0 { 1.0 / flow_kg_s } else { 0.0 };
        Entering {
            temp_k: heat * scale,
            w_kg_kg: water * scale,
            pressure_pa: moment.outdoor.pressure_pa,
            flow_kg_s,
        }
    }

    /// Water that the wet coil gives back while the handler runs without a call, kg/s over the step.
    fn coil_evaporation(&self, moment: &Moment, idle: f64) -> f64 {
        match &self.model.cooling {
            Some(c) if idle > 0.0 && self.state.coil_kg > 0.0 && c.delivery == Delivery::Handler => {
                let air = self.entering(moment, &c.delivery, c.own_flow_kg_s);
                c.coil.evaporated_kg(&air, self.state.coil_kg, idle * moment.dt_s) / moment.dt_s
            }
            _ => 0.0,
        }
    }
}
