//! The heat balance of a step, and the thermostat's answer.
//!
//! Unknown is each zone's temperature; the thermostat's zone answers linearly to heat, so the heat
//! that holds the set point at the step's end is known at once ([`super::control`]).
//! Air carries 1006 J/(kg K) (dry air; the vapour's part, 1 %, is left out); latent heat counts in
//! the water's balance only.

use super::carried::HEAT;
use super::equipment::Delivery;
use super::live;
use super::model::{Beyond, Model};
use super::step::{Delivered, Moment, Runner};
use crate::air::{CP_DRY_AIR_J_KG_K as CP, EVAPORATION_20C_J_KG};
use crate::transport::{Books, End, Exchange, Graph};

/// A sunlit surface.
#[derive(Clone, Copy, Debug)]
struct Sunlit {
    zone: usize,
    conductance_w_k: f64,
    /// Kelvin per W/m2.
    rise: f64,
    sky_k: f64,
}

/// Conductances, gathered once.
#[derive(Clone, Debug)]
pub(super) struct Conduction {
    /// `[from * zones + to]`, W/K.
    between: Vec<f64>,
    /// To outdoor air, W/K.
    outdoors: Vec<f64>,
    /// To the ground, W/K.
    ground: Vec<f64>,
    sunlit: Vec<Sunlit>,
    pub(super) capacity_j_k: Vec<f64>,
    /// The zones' capacities as the balance of heat takes them, and `between` by slot.
    capacity: Vec<[f64; 1]>,
    by_slot: Vec<f64>,
    /// Share of heat (by handler or straight) that reaches each zone; the rest is lost by leaks.
    heat_spread: Vec<f64>,
    cool_spread: Vec<f64>,
}

impl Conduction {
    pub(super) fn new(model: &Model) -> Conduction {
        let n = model.zones.len();
        let mut c = Conduction {
            between: vec![0.0; n * n],
            outdoors: vec![0.0; n],
            ground: vec![0.0; n],
            sunlit: Vec::new(),
            capacity_j_k: model.zones.iter().map(|z| z.heat_capacity_j_k).collect(),
            capacity: model.zones.iter().map(|z| [z.heat_capacity_j_k]).collect(),
            by_slot: Vec::new(),
            heat_spread: vec![0.0; n],
            cool_spread: vec![0.0; n],
        };
        for s in &model.surfaces {
            match s.beyond {
                Beyond::Zone(other) => {
                    c.between[s.zone * n + other] += s.conductance_w_k;
                    c.between[other * n + s.zone] += s.conductance_w_k;
                }
                Beyond::Ground => c.ground[s.zone] += s.conductance_w_k,
                Beyond::Outdoors(sun) => {
                    c.outdoors[s.zone] += s.conductance_w_k;
                    if let Some(sun) = sun {
                        c.sunlit.push(Sunlit {
                            zone: s.zone,
                            conductance_w_k: s.conductance_w_k,
                            rise: sun.absorptance / sun.film_w_m2_k,
                            sky_k: sun.sky_k,
                        });
                    }
                }
            }
        }
        c
    }

    /// Adds what conducts to a balance of heat, W/K, sun left out.
    pub(super) fn add_to(&self, into: &mut Exchange, outdoor_k: f64, ground_k: f64) {
        for (into, conducted) in into.transfer.iter_mut().zip(&self.between) {
            *into += conducted;
        }
        for zone in 0..self.outdoors.len() {
            into.lost[zone] += self.outdoors[zone] + self.ground[zone];
            into.input[zone] += self.outdoors[zone] * outdoor_k + self.ground[zone] * ground_k;
        }
    }

    /// Share of heat (or cold) that reaches each zone.
    pub(super) fn spread(&self, heat: bool) -> &[f64] {
        if heat { &self.heat_spread } else { &self.cool_spread }
    }

    /// Puts what conducts between zones at the slots of a graph.
    pub(super) fn set_slots(&mut self, graph: &Graph) {
        let n = graph.zones();
        self.by_slot = vec![0.0; graph.slots()];
        for from in 0..n {
            for to in 0..n {
                if let Some(slot) = graph.slot(from, to) {
                    self.by_slot[slot] = self.between[from * n + to];
                }
            }
        }
    }

    /// Where heat and cold go, once the handler's flows are known.
    pub(super) fn set_spread(&mut self, model: &Model, supplies: Option<&[End]>) {
        let fill = |into: &mut Vec<f64>, delivery: Option<&Delivery>| match delivery {
            Some(Delivery::Zones(shares)) => {
                let sum: f64 = shares.iter().map(|s| s.1).sum();
                shares.iter().for_each(|(zone, share)| into[*zone] += share / sum);
            }
            Some(Delivery::Handler) => spread(supplies.unwrap_or(&[]), 1.0, into),
            None => {}
        };
        fill(&mut self.heat_spread, model.heating.as_ref().map(|h| &h.delivery));
        fill(&mut self.cool_spread, model.cooling.as_ref().map(|c| &c.delivery));
    }
}

/// Adds `amount` to zones by what the supplies blow into each.
pub(super) fn spread(supplies: &[End], amount: f64, into: &mut [f64]) {
    let total: f64 = supplies.iter().map(|e| e.flow).sum();
    for end in supplies {
        if let Some(zone) = end.zone {
            into[zone] += amount * end.flow / total;
        }
    }
}

impl Runner<'_> {
    /// Temperatures at the step's end into `self.values`, with the flows at hand; what the
    /// thermostat called for.
    pub(super) fn heat(&mut self, moment: &Moment, last: Delivered) -> Delivered {
        self.heat_exchange(moment, last);
        let (c, graph) = (&self.conduction, &self.air.graph);
        let x = &mut self.exchange;
        x.factor(graph, moment.dt_s, &c.capacity);
        let per_s = 1.0 / moment.dt_s;
        for (((value, capacity), was_k), [input]) in
            self.values.iter_mut().zip(&c.capacity_j_k).zip(&self.state.temp_k).zip(&x.input)
        {
            *value = [capacity * per_s * was_k + input];
        }
        x.solve(graph, &mut self.values);
        let least_duty = self.least_duty();
        let mut next = Delivered {
            duty: least_duty,
            evaporation_kg_s: last.evaporation_kg_s,
            coil_passes: 1.0,
            ..Delivered::default()
        };
        self.given_w = 0.0;
        self.respond(moment, &mut next);
        next
    }

    /// Books of the step just accepted, while its exchange is at hand.
    pub(super) fn heat_books(&mut self, moment: &Moment) {
        let (c, x) = (&self.conduction, &self.exchange);
        let given: f64 = c.spread(self.given_w >= 0.0).iter().sum::<f64>() * self.given_w;
        let mut books = Books { gained: given * moment.dt_s, ..Books::default() };
        let mut start = 0.0;
        for zone in 0..self.zones {
            let (before, [after]) = (self.state.temp_k[zone], self.values[zone]);
            books.gained += x.input[zone][0] * moment.dt_s;
            books.lost += x.lost[zone][0] * after * moment.dt_s;
            start += c.capacity_j_k[zone] * before;
            books.held += c.capacity_j_k[zone] * after;
        }
        books.stored = books.held - start;
        books.held = books.held.max(start);
        self.books[HEAT].add(&books);
    }

    /// Fills the exchange with everything but the thermostat's answer.
    fn heat_exchange(&mut self, moment: &Moment, last: Delivered) {
        let outdoor_k = moment.outdoor.temp_k;
        let (c, x, f) = (&self.conduction, &mut self.exchange, &self.flows);
        for ((into, conducted), carried) in x.transfer.iter_mut().zip(&c.by_slot).zip(f.between()) {
            *into = [conducted + CP * carried];
        }
        let (out, entering) = (f.leaving(), f.entering());
        for zone in 0..self.zones {
            x.lost[zone] = [c.outdoors[zone] + c.ground[zone] + CP * out[zone]];
            x.input[zone] = [c.outdoors[zone] + CP * entering[zone]];
        }
        for (fan, part) in self.model.exhausts.iter().zip(&self.exhaust_part) {
            x.lost[fan.zone][0] += CP * part * fan.flow_kg_s;
        }
        for (route, part) in self.routes.vents_heat.iter().zip(&self.vent_part) {
            route.add_to(x, CP * part, [1.0]);
        }
        if let Some(route) = &self.routes.handler_heat {
            route.add_to(x, last.duty, [1.0]);
        }
        for (input, ground) in x.input.iter_mut().zip(&c.ground) {
            *input = [input[0] * outdoor_k + ground * moment.ground_k];
        }
        let windows = self.model.windows.len();
        for (window, sun) in self.model.windows.iter().zip(&self.sun.now) {
            x.input[window.zone][0] += window.area_m2 * window.shgc * sun;
        }
        for (surface, sun) in c.sunlit.iter().zip(self.sun.now.iter().skip(windows)) {
            x.input[surface.zone][0] += surface.conductance_w_k * (surface.rise * sun - surface.sky_k);
        }
        if let (Some(flows), Some(handler)) = (&self.handler, &self.model.handler) {
            // Fan heat beyond the thermostat's call, less what the wet coil takes to dry.
            let idle_w = (last.duty - last.call).max(0.0) * handler.power_w
                - last.evaporation_kg_s * EVAPORATION_20C_J_KG;
            let total: f64 = flows.heated.iter().map(|e| e.flow).sum();
            for (zone, flow) in flows.heated.iter().filter_map(|e| e.zone.map(|z| (z, e.flow))) {
                x.input[zone][0] += idle_w * flow / total;
            }
        }
        for (fan, part) in self.model.exhausts.iter().zip(&self.exhaust_part) {
            fan.heats.iter().for_each(|zone| x.input[*zone][0] += part * fan.power_w);
        }
        for (vent, part) in self.model.ventilators.iter().zip(&self.vent_part) {
            vent.fan_heat_w().for_each(|(zone, heat_w)| x.input[zone][0] += part * heat_w);
        }
        for given in live::given(self.model, self.held.as_ref(), moment.hour, moment.day_s) {
            x.input[given.zone][0] += given.heat_w;
        }
        for gain in &self.model.gains {
            x.input[gain.zone][0] += gain.heat_w[moment.hour];
        }
        for s in &self.model.sources {
            if s.heat_w > 0.0 {
                x.input[s.zone][0] += s.heat_w * (1.0 - s.capture) * moment.part(s.start_s, s.duration_s);
            }
        }
        for (drier, on) in self.model.driers.iter().zip(&self.next_drier_on) {
            if *on {
                let rh = crate::air::relative_humidity(
                    self.state.temp_k[drier.zone],
                    self.state.w_kg_kg[drier.zone],
                    moment.outdoor.pressure_pa,
                );
                x.input[drier.zone][0] += drier.unit.running(self.state.temp_k[drier.zone], rh).heat_w;
            }
        }
        self.appliance_heat();
    }
}
