//! Water, CO2 and particles of a step, each on the flows of that step.

use super::equipment::Delivery;
use super::heat::spread;
use super::outside::overlap;
use super::step::{Delivered, Moment, Runner};
use crate::air;
use crate::transport::Books;

/// Mass transfer to a cold surface, kg/(m2 s) per kg/kg: 3 W/(m2 K) of convection over the heat
/// capacity of air (Lewis relation).
const CONDENSATION_KG_M2_S: f64 = 3.0 / air::CP_DRY_AIR_J_KG_K;
const CONDENSATION_PASSES: usize = 3;
const PPM: f64 = 1e-6;

/// Places in `Runner::books`.
pub(super) const WATER: usize = 0;
pub(super) const CO2: usize = 1;
pub(super) const PM: usize = 2;
pub(super) const HEAT: usize = 3;

/// What kind of thing is carried, as far as flows treat it differently.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Kind {
    Gas,
    Water,
    Particles,
}

impl Runner<'_> {
    /// Flows of the step for one carried thing, `outdoors` its value outside; `handler_passes` is
    /// what filter or coil let through.
    fn carry(&mut self, kind: Kind, outdoors: f64, duty: f64, handler_passes: f64) {
        let (x, f) = (&mut self.exchange, &self.flows);
        let particles = kind == Kind::Particles;
        x.transfer.copy_from_slice(if particles { &f.pm_between } else { &f.between });
        let entering = if particles { &f.pm_from_outdoors } else { &f.from_outdoors };
        #[expect(clippy::needless_range_loop, reason = "several lists by one index")]
        for zone in 0..self.zones {
            x.lost[zone] = f.to_outdoors[zone];
            x.input[zone] = entering[zone] * outdoors;
            if particles {
                // What cracks and filters between zones hold back leaves the balance.
                for to in 0..self.zones {
                    let k = zone * self.zones + to;
                    x.lost[zone] += (f.between[k] - f.pm_between[k]).max(0.0);
                }
            }
        }
        for (fan, part) in self.model.exhausts.iter().zip(&self.exhaust_part) {
            x.add_to_outdoors(fan.zone, part * fan.flow_kg_s);
        }
        for (vent, part) in self.model.ventilators.iter().zip(&self.vent_part) {
            let effectiveness = if kind == Kind::Water { vent.recovery.latent } else { 0.0 };
            let passed = if particles { 1.0 - vent.pm25_efficiency } else { 1.0 };
            x.add_recovered(&vent.supply_kg_s, &vent.exhaust_kg_s, effectiveness, *part, passed, outdoors);
        }
        if let Some(h) = &self.handler {
            x.add_mixed(&h.returns, &h.supplies, duty, handler_passes, outdoors);
        }
    }

    /// CO2, and the count of outdoor and buffer air, which moves the same way.
    pub(super) fn gases(&mut self, moment: &Moment, delivered: &Delivered) {
        self.carry(Kind::Gas, 1.0, delivered.duty, 1.0);
        self.tally.air(moment.dt_s, &self.exchange);
        let outdoors_ppm = self.model.outdoor.co2_ppm;
        self.scratch[0].copy_from_slice(&self.exchange.input);
        self.exchange.input.iter_mut().for_each(|v| *v *= outdoors_ppm);
        let per_m3 = air::REFERENCE_DENSITY_KG_M3 / PPM;
        for o in &self.model.occupants {
            if let Some(zone) = o.zone[moment.hour] {
                self.exchange.input[zone] += o.co2_m3_s[moment.hour] * per_m3;
            }
        }
        for s in self.model.sources.iter().filter(|s| s.co2_m3_s > 0.0) {
            let part = (1.0 - s.capture) * overlap(moment.time_s, moment.dt_s, s.start_s, s.duration_s);
            self.exchange.input[s.zone] += part * s.co2_m3_s * per_m3;
        }
        self.stepper.factor(moment.dt_s, &self.mass_kg, &self.exchange);
        let books = self.stepper.advance(&self.mass_kg, &self.exchange, &mut self.state.co2_ppm);
        self.books[CO2].add(&books);
        self.named_gases(moment);
    }

    /// Gases by name, on the flows of CO2 and with `scratch[0]` as the outdoor air of each zone.
    fn named_gases(&mut self, moment: &Moment) {
        let zones = self.zones;
        if self.model.gases.is_empty() {
            return;
        }
        self.scratch[1].copy_from_slice(&self.exchange.lost);
        for (k, gas) in self.model.gases.iter().enumerate() {
            let x = &mut self.exchange;
            for zone in 0..zones {
                x.lost[zone] = self.scratch[1][zone] + gas.decay_per_s * self.mass_kg[zone];
                x.input[zone] = self.scratch[0][zone] * gas.outdoors_kg_kg;
            }
            for s in &gas.sources {
                let part = (1.0 - s.capture) * overlap(moment.time_s, moment.dt_s, s.start_s, s.duration_s);
                x.input[s.zone] += part * s.rate_kg_s;
            }
            self.stepper.factor(moment.dt_s, &self.mass_kg, x);
            let books = self.stepper.advance(&self.mass_kg, x, &mut self.state.gas_kg_kg[k]);
            self.gas_books[k].add(&books);
        }
    }

    /// PM2.5.
    pub(super) fn particles(&mut self, moment: &Moment, delivered: &Delivered) {
        let outdoors = moment.pm_outdoors_kg_m3 / self.air.outdoor_density_kg_m3();
        let passes = self.model.handler.as_ref().map_or(1.0, |h| 1.0 - h.pm25_efficiency);
        self.carry(Kind::Particles, outdoors, delivered.duty, passes);
        for (zone, z) in self.model.zones.iter().enumerate() {
            self.exchange.lost[zone] += z.deposition_per_s * self.mass_kg[zone];
        }
        for s in self.model.sources.iter().filter(|s| s.pm25_kg_s > 0.0) {
            let part = (1.0 - s.capture) * overlap(moment.time_s, moment.dt_s, s.start_s, s.duration_s);
            self.exchange.input[s.zone] += part * s.pm25_kg_s;
        }
        self.stepper.factor(moment.dt_s, &self.mass_kg, &self.exchange);
        let books = self.stepper.advance(&self.mass_kg, &self.exchange, &mut self.state.pm_kg_kg);
        self.books[PM].add(&books);
    }

    /// Water: what the coil takes is a part of what passes it, what a dryer takes a part of what
    /// its zone holds, so neither can take more than there is. Condensation on each zone's coldest
    /// surface by active set.
    pub(super) fn water(&mut self, moment: &Moment, delivered: &Delivered) {
        let pressure_pa = moment.outdoor.pressure_pa;
        let handler_cools = self.model.cooling.as_ref().is_some_and(|c| c.delivery == Delivery::Handler);
        let passes = if handler_cools && delivered.duty > 0.0 {
            1.0 - delivered.call / delivered.duty * (1.0 - delivered.coil_passes)
        } else {
            1.0
        };
        self.carry(Kind::Water, moment.outdoor.w_kg_kg, delivered.duty, passes);
        self.water_sources(moment, delivered);

        let n = self.zones;
        let [lost, input] = &mut self.scratch;
        lost.copy_from_slice(&self.exchange.lost);
        input.copy_from_slice(&self.exchange.input);
        // The surface's saturation, once a step.
        for zone in 0..n {
            let z = &self.model.zones[zone];
            let out_k = moment.outdoor.temp_k;
            let surface_k = out_k + z.cold_factor * (self.state.temp_k[zone] - out_k);
            self.response[zone] = air::saturation_humidity_ratio(surface_k, pressure_pa);
        }
        let mut books = Books::default();
        for pass in 1..=CONDENSATION_PASSES {
            for zone in 0..n {
                let sink = if self.state.condensing[zone] {
                    self.model.zones[zone].cold_area_m2 * CONDENSATION_KG_M2_S
                } else {
                    0.0
                };
                self.exchange.lost[zone] = lost[zone] + sink;
                self.exchange.input[zone] = input[zone] + sink * self.response[zone];
            }
            self.values.copy_from_slice(&self.state.w_kg_kg);
            self.stepper.factor(moment.dt_s, &self.water_mass_kg, &self.exchange);
            books = self.stepper.advance(&self.water_mass_kg, &self.exchange, &mut self.values);
            let mut changed = false;
            for zone in 0..n {
                let condenses = self.values[zone] > self.response[zone];
                changed |= condenses != self.state.condensing[zone];
                self.state.condensing[zone] = condenses;
            }
            if !changed {
                break;
            }
            self.tally.counts.condensation_pass_count += 1;
            if pass == CONDENSATION_PASSES {
                self.tally.counts.condensation_unsettled_count += 1;
            }
        }
        let mut condensed_kg_s = 0.0;
        for zone in 0..n {
            if self.state.condensing[zone] {
                let sink = self.model.zones[zone].cold_area_m2 * CONDENSATION_KG_M2_S;
                condensed_kg_s += sink * (self.values[zone] - self.response[zone]).max(0.0);
            }
        }
        self.tally.condensed(condensed_kg_s * moment.dt_s, moment.dt_s, &self.state.condensing);
        self.state.w_kg_kg.copy_from_slice(&self.values);
        self.books[WATER].add(&books);
        self.drain(moment, delivered, passes);
    }

    fn water_sources(&mut self, moment: &Moment, delivered: &Delivered) {
        let pressure_pa = moment.outdoor.pressure_pa;
        let x = &mut self.exchange;
        for o in &self.model.occupants {
            if let Some(zone) = o.zone[moment.hour] {
                x.input[zone] += o.water_kg_s[moment.hour];
            }
        }
        for s in self.model.sources.iter().filter(|s| s.water_kg_s > 0.0) {
            let part = (1.0 - s.capture) * overlap(moment.time_s, moment.dt_s, s.start_s, s.duration_s);
            x.input[s.zone] += part * s.water_kg_s;
        }
        if !self.model.wet_ground.is_empty() {
            let w_ground = air::saturation_humidity_ratio(moment.ground_k, pressure_pa);
            for wet in &self.model.wet_ground {
                x.lost[wet.zone] += wet.transfer_kg_s;
                x.input[wet.zone] += wet.transfer_kg_s * w_ground;
            }
        }
        for (drier, on) in self.model.driers.iter().zip(&self.state.drier_on) {
            if *on {
                let (t, w) = (self.state.temp_k[drier.zone], self.state.w_kg_kg[drier.zone]);
                let running = drier.unit.running(t, air::relative_humidity(t, w, pressure_pa));
                x.lost[drier.zone] += running.water_kg_s / w.max(1e-5);
                self.tally.drier(moment.dt_s, running.power_w);
            }
        }
        self.appliance_water(moment.dt_s);
        let x = &mut self.exchange;
        if delivered.evaporation_kg_s > 0.0
            && let Some(h) = &self.handler
        {
            spread(&h.supplies, delivered.evaporation_kg_s, &mut x.input);
        }
        // A unit without ducts dries its own zones.
        if let Some(c) = &self.model.cooling
            && let Delivery::Zones(shares) = &c.delivery
            && delivered.call > 0.0
        {
            let sum: f64 = shares.iter().map(|s| s.1).sum();
            let taken = delivered.call * c.own_flow_kg_s * (1.0 - delivered.coil_passes);
            for (zone, share) in shares {
                x.lost[*zone] += taken * share / sum;
            }
        }
    }

    /// What the coil took goes on it, and beyond what it holds down the drain.
    fn drain(&mut self, moment: &Moment, delivered: &Delivered, passes: f64) {
        let Some(cooling) = &self.model.cooling else {
            return;
        };
        self.state.coil_kg -= delivered.evaporation_kg_s * moment.dt_s;
        self.tally.reevaporated(delivered.evaporation_kg_s * moment.dt_s);
        if let (Delivery::Handler, Some(h)) = (&cooling.delivery, &self.handler) {
            let arriving: f64 = h
                .returns
                .iter()
                .map(|end| end.flow * end.zone.map_or(moment.outdoor.w_kg_kg, |z| self.state.w_kg_kg[z]))
                .sum();
            let taken = delivered.duty * arriving * (1.0 - passes) * moment.dt_s;
            self.state.coil_kg += taken;
            self.tally.coil_water(taken);
        }
        self.state.coil_kg = self.state.coil_kg.clamp(0.0, cooling.coil.holds_kg.max(0.0));
    }
}
