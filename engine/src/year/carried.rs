//! Water, CO2, particles and named gases of a step, side by side on the flows of that step.
//!
//! They share one elimination (a lane each, [`Balance`]); a step is cut into [`PARTS`] equal parts on
//! one factorisation, which takes the error of the first order in time down by as much for the price of
//! some substitutions.

use super::air::Flows;
use super::ducts::HandlerFlows;
use super::equipment::Delivery;
use super::live;
use super::model::Model;
use super::step::{Delivered, Moment, Runner, State};
use crate::air;
use crate::transport::{Balance, Books, Graph, Route};

/// Mass transfer to a cold surface, kg/(m2 s) per kg/kg: 3 W/(m2 K) of convection over the heat
/// capacity of air (Lewis relation).
const CONDENSATION_KG_M2_S: f64 = 3.0 / air::CP_DRY_AIR_J_KG_K;
const CONDENSATION_PASSES: usize = 3;
const PPM: f64 = 1e-6;
/// Equal parts of a step, for what the air carries.
const PARTS: u32 = 4;

/// Places in `Runner::books`, and lanes of the first group.
pub(super) const WATER: usize = 0;
pub(super) const CO2: usize = 1;
pub(super) const PM: usize = 2;
/// In the books; the first group's lane of this number is that of the first named gas.
pub(super) const HEAT: usize = 3;
const FIRST_GAS: usize = 3;
/// Things side by side.
pub(super) const LANES: usize = 4;

/// Groups of things that are carried, for a number of named gases.
pub(super) fn groups(gases: usize) -> usize {
    (FIRST_GAS + gases).div_ceil(LANES)
}

/// Named gases of a group, each with its lane.
fn gases_of(group: usize, gases: usize) -> impl Iterator<Item = (usize, usize)> {
    let first = if group == 0 { FIRST_GAS } else { 0 };
    (first..LANES)
        .map(move |lane| (group * LANES + lane - FIRST_GAS, lane))
        .filter(move |(gas, _)| *gas < gases)
}

/// What moves with shares that stay: ventilators and the handler.
pub(super) struct Routes {
    /// Ventilators for the first group, and for the gases of the others.
    vents: [Vec<Route<LANES>>; 2],
    pub(super) vents_heat: Vec<Route<1>>,
    handler: Option<Route<LANES>>,
    pub(super) handler_heat: Option<Route<1>>,
}

impl Routes {
    pub(super) fn new(model: &Model, graph: &Graph, handler: Option<&HandlerFlows>) -> Routes {
        let list = |latent: f64, filter: bool| {
            let one = |v: &super::Ventilator| {
                let (mut effectiveness, mut passed) = ([0.0; LANES], [1.0; LANES]);
                effectiveness[WATER] = latent * v.recovery.latent;
                if filter {
                    passed[PM] = 1.0 - v.pm25_efficiency;
                }
                Route::recovered(graph, &v.supply_kg_s, &v.exhaust_kg_s, effectiveness, passed)
            };
            model.ventilators.iter().map(one).collect()
        };
        let heat = |v: &super::Ventilator| {
            let effectiveness = [v.recovery.sensible];
            Route::recovered(graph, &v.supply_kg_s, &v.exhaust_kg_s, effectiveness, [1.0])
        };
        Routes {
            vents: [list(1.0, true), list(0.0, false)],
            vents_heat: model.ventilators.iter().map(heat).collect(),
            handler: handler.map(|h| Route::mixed(graph, &h.returns, &h.supplies)),
            handler_heat: handler.map(|h| h.heat_route(graph)),
        }
    }
}

/// The saturation of a zone's cold surface, known exactly at one temperature and from below around it:
/// most zones are so far from condensing that the tangent settles it.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Tangent {
    temp_k: f64,
    pa: f64,
    slope_pa_k: f64,
}

impl Tangent {
    /// Saturation humidity ratio, worked out now.
    fn exact(&mut self, surface_k: f64, pressure_pa: f64) -> f64 {
        let pa = air::saturation_pressure_pa(surface_k);
        let slope_pa_k = pa * air::saturation_log_slope(surface_k);
        *self = Tangent { temp_k: surface_k, pa, slope_pa_k };
        air::saturation_humidity_ratio_of(pa, pressure_pa)
    }

    /// Whether air of a humidity ratio is certainly not saturated at the surface. Either branch of the
    /// curve (ice, water) lies above its tangents; between them it has a kink.
    fn is_dry(&self, surface_k: f64, w_kg_kg: f64, pressure_pa: f64) -> bool {
        let same_branch = (surface_k <= air::TRIPLE_POINT_K) == (self.temp_k <= air::TRIPLE_POINT_K);
        let least_pa = self.pa + self.slope_pa_k * (surface_k - self.temp_k);
        same_branch && air::vapour_pressure_pa(w_kg_kg, pressure_pa) < (1.0 - 1e-9) * least_pa
    }
}

impl Runner<'_> {
    /// Everything the air carries but heat, through one step.
    pub(super) fn carry(&mut self, moment: &Moment, delivered: &Delivered) {
        let model = self.model;
        let handler_cools = model.cooling.as_ref().is_some_and(|c| c.delivery == Delivery::Handler);
        let mut passes = [1.0; LANES];
        if handler_cools && delivered.duty > 0.0 {
            passes[WATER] = 1.0 - delivered.call / delivered.duty * (1.0 - delivered.coil_passes);
        }
        passes[PM] = model.handler.as_ref().map_or(1.0, |h| 1.0 - h.pm25_efficiency);
        let gases = model.gases.len();
        for group in 0..self.carried.len() {
            let (mut outdoors, mut through) = ([0.0; LANES], [1.0; LANES]);
            if group == 0 {
                outdoors[WATER] = moment.outdoor.w_kg_kg;
                outdoors[CO2] = model.outdoor.co2_ppm;
                outdoors[PM] = moment.pm_outdoors_kg_m3 / self.air.outdoor_density_kg_m3();
                through = passes;
            }
            for (gas, lane) in gases_of(group, gases) {
                outdoors[lane] = model.gases[gas].outdoors_kg_kg;
            }
            self.fill(group, delivered.duty, through);
            if group == 0 {
                self.tally.air(moment.dt_s, &self.carried[0].input, &self.carried[0].transfer);
            }
            for input in &mut self.carried[group].input {
                (0..LANES).for_each(|l| input[l] *= outdoors[l]);
            }
            self.named_gases(group, moment);
        }
        self.sources(moment);
        self.water_sources(moment, delivered);
        for group in 1..self.carried.len() {
            let x = &mut self.carried[group];
            let values = &mut self.lanes;
            load(&self.state, group, values);
            let capacity = &self.lane_capacity[group];
            let books = x.advance(&self.air.graph, moment.dt_s, PARTS, capacity, values);
            store(&mut self.state, group, values);
            for (gas, lane) in gases_of(group, gases) {
                self.gas_books[gas].add(&books[lane]);
            }
        }
        let books = self.with_condensation(moment);
        for (k, books) in books.iter().enumerate().take(HEAT) {
            self.books[k].add(books);
        }
        if let Some(first) = self.gas_books.first_mut() {
            first.add(&books[FIRST_GAS]);
        }
        self.drain(moment, delivered, passes[WATER]);
    }

    /// Flows of the step for one group, what comes from outdoors as a flow; `passes` is what the
    /// handler's filter or coil lets through.
    fn fill(&mut self, group: usize, duty: f64, passes: [f64; LANES]) {
        let (x, f) = (&mut self.carried[group], &self.flows);
        fill_flows(x, f, group == 0);
        for (fan, part) in self.model.exhausts.iter().zip(&self.exhaust_part) {
            (0..LANES).for_each(|l| x.lost[fan.zone][l] += part * fan.flow_kg_s);
        }
        for (route, part) in self.routes.vents[usize::from(group > 0)].iter().zip(&self.vent_part) {
            route.add_to(x, *part, [1.0; LANES]);
        }
        if let Some(route) = &self.routes.handler {
            route.add_to(x, duty, passes);
        }
    }

    /// Sources and decay of the named gases of a group.
    fn named_gases(&mut self, group: usize, moment: &Moment) {
        let x = &mut self.carried[group];
        for (gas, lane) in gases_of(group, self.model.gases.len()) {
            let gas = &self.model.gases[gas];
            for (lost, mass_kg) in x.lost.iter_mut().zip(&self.mass_kg) {
                lost[lane] += gas.decay_per_s * mass_kg;
            }
            for s in &gas.sources {
                let part = (1.0 - s.capture) * moment.part(s.start_s, s.duration_s);
                x.input[s.zone][lane] += part * s.rate_kg_s;
            }
        }
    }

    /// People and daily events, deposition of particles.
    fn sources(&mut self, moment: &Moment) {
        let x = &mut self.carried[0];
        let per_m3 = air::REFERENCE_DENSITY_KG_M3 / PPM;
        for given in live::given(self.model, self.held.as_ref(), moment.hour, moment.day_s) {
            x.input[given.zone][CO2] += given.co2_m3_s * per_m3;
            x.input[given.zone][WATER] += given.water_kg_s;
        }
        for s in &self.model.sources {
            let part = (1.0 - s.capture) * moment.part(s.start_s, s.duration_s);
            if part > 0.0 {
                let input = &mut x.input[s.zone];
                input[WATER] += part * s.water_kg_s;
                input[CO2] += part * s.co2_m3_s * per_m3;
                input[PM] += part * s.pm25_kg_s;
            }
        }
        for (lost, (z, mass_kg)) in x.lost.iter_mut().zip(self.model.zones.iter().zip(&self.mass_kg)) {
            lost[PM] += z.deposition_per_s * mass_kg;
        }
        for c in &self.model.cleaners {
            let zone = self.model.exhausts[c.fan].zone;
            let density_kg_m3 = self.mass_kg[zone] / self.model.zones[zone].volume_m3;
            x.lost[zone][PM] += self.exhaust_part[c.fan] * c.cadr_m3_s * density_kg_m3;
        }
    }

    /// Water: what the coil takes is a part of what passes it, what a dryer takes a part of what
    /// its zone holds, so neither can take more than there is.
    fn water_sources(&mut self, moment: &Moment, delivered: &Delivered) {
        let pressure_pa = moment.outdoor.pressure_pa;
        let x = &mut self.carried[0];
        if !self.model.wet_ground.is_empty() {
            let w_ground = air::saturation_humidity_ratio(moment.ground_k, pressure_pa);
            for wet in &self.model.wet_ground {
                x.lost[wet.zone][WATER] += wet.transfer_kg_s;
                x.input[wet.zone][WATER] += wet.transfer_kg_s * w_ground;
            }
        }
        for (drier, on) in self.model.driers.iter().zip(&self.state.drier_on) {
            if *on {
                let (t, w) = (self.state.temp_k[drier.zone], self.state.w_kg_kg[drier.zone]);
                let running = drier.unit.running(t, air::relative_humidity(t, w, pressure_pa));
                x.lost[drier.zone][WATER] += running.water_kg_s / w.max(1e-5);
                self.tally.drier(moment.dt_s, running.power_w);
            }
        }
        self.appliance_water(moment.dt_s);
        let x = &mut self.carried[0];
        if delivered.evaporation_kg_s > 0.0
            && let Some(h) = &self.handler
        {
            let total: f64 = h.supplies.iter().map(|e| e.flow).sum();
            for (zone, flow) in h.supplies.iter().filter_map(|e| e.zone.map(|z| (z, e.flow))) {
                x.input[zone][WATER] += delivered.evaporation_kg_s * flow / total;
            }
        }
        // A unit without ducts dries its own zones.
        if let Some(c) = &self.model.cooling
            && let Delivery::Zones(shares) = &c.delivery
            && delivered.call > 0.0
        {
            let sum: f64 = shares.iter().map(|s| s.1).sum();
            let taken = delivered.call * c.own_flow_kg_s * (1.0 - delivered.coil_passes);
            for (zone, share) in shares {
                x.lost[*zone][WATER] += taken * share / sum;
            }
        }
    }

    /// The first group's step, with condensation on each zone's coldest surface by active set.
    fn with_condensation(&mut self, moment: &Moment) -> [Books; LANES] {
        let (model, n) = (self.model, self.zones);
        let (pressure_pa, out_k) = (moment.outdoor.pressure_pa, moment.outdoor.temp_k);
        let surface_k =
            |state: &State, zone: usize| out_k + model.zones[zone].cold_factor * (state.temp_k[zone] - out_k);
        let sink = |zone: usize| model.zones[zone].cold_area_m2 * CONDENSATION_KG_M2_S;
        let mut books = [Books::default(); LANES];
        for (zone, kept) in self.kept.iter_mut().enumerate() {
            *kept = (self.carried[0].lost[zone][WATER], self.carried[0].input[zone][WATER]);
        }
        for pass in 1..=CONDENSATION_PASSES {
            let x = &mut self.carried[0];
            for zone in 0..n {
                let (mut lost, mut input) = self.kept[zone];
                if self.state.condensing[zone] {
                    let k = surface_k(&self.state, zone);
                    // Once a step.
                    if pass == 1 || self.saturated[zone].is_nan() {
                        self.saturated[zone] = self.cold[zone].exact(k, pressure_pa);
                    }
                    lost += sink(zone);
                    input += sink(zone) * self.saturated[zone];
                } else if pass == 1 {
                    self.saturated[zone] = f64::NAN;
                }
                (x.lost[zone][WATER], x.input[zone][WATER]) = (lost, input);
            }
            load(&self.state, 0, &mut self.lanes);
            let capacity = &self.lane_capacity[0];
            books = x.advance(&self.air.graph, moment.dt_s, PARTS, capacity, &mut self.lanes);
            let mut changed = false;
            for zone in 0..n {
                let w = self.lanes[zone][WATER];
                let k = surface_k(&self.state, zone);
                if self.saturated[zone].is_nan() {
                    if self.cold[zone].is_dry(k, w, pressure_pa) {
                        continue;
                    }
                    self.saturated[zone] = self.cold[zone].exact(k, pressure_pa);
                }
                let condenses = w > self.saturated[zone];
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
        for zone in (0..n).filter(|zone| self.state.condensing[*zone]) {
            let over = self.carried[0].ended[zone][WATER] - self.saturated[zone];
            condensed_kg_s += sink(zone) * over.max(0.0);
        }
        self.tally.condensed(condensed_kg_s * moment.dt_s, moment.dt_s, &self.state.condensing);
        store(&mut self.state, 0, &self.lanes);
        books
    }

    /// What the coil took goes on it, and beyond what it holds down the drain.
    fn drain(&mut self, moment: &Moment, delivered: &Delivered, passes: f64) {
        let Some(cooling) = &self.model.cooling else {
            return;
        };
        self.state.coil_kg -= delivered.evaporation_kg_s * moment.dt_s;
        self.tally.reevaporated(delivered.evaporation_kg_s * moment.dt_s);
        if let (Delivery::Handler, Some(h)) = (&cooling.delivery, &self.handler) {
            let w = |zone: Option<usize>| {
                zone.map_or(moment.outdoor.w_kg_kg, |z| self.carried[0].ended[z][WATER])
            };
            let arriving: f64 = h.returns.iter().map(|end| end.flow * w(end.zone)).sum();
            let taken = delivered.duty * arriving * (1.0 - passes) * moment.dt_s;
            self.state.coil_kg += taken;
            self.tally.coil_water(taken);
        }
        self.state.coil_kg = self.state.coil_kg.clamp(0.0, cooling.coil.holds_kg.max(0.0));
    }
}

/// The flows of passages in every lane of a group.
fn fill_flows(x: &mut Balance<LANES>, f: &Flows, first: bool) {
    if !first {
        x.transfer.iter_mut().zip(f.between()).for_each(|(to, flow)| *to = [*flow; LANES]);
        x.lost.iter_mut().zip(f.leaving()).for_each(|(to, flow)| *to = [*flow; LANES]);
        x.input.iter_mut().zip(f.entering()).for_each(|(to, flow)| *to = [*flow; LANES]);
        return;
    }
    for ((to, flow), pm) in x.transfer.iter_mut().zip(f.between()).zip(f.pm_between()) {
        *to = [*flow, *flow, *pm, *flow];
    }
    for ((to, flow), held) in x.lost.iter_mut().zip(f.leaving()).zip(f.pm_held()) {
        *to = [*flow, *flow, flow + held, *flow];
    }
    for ((to, flow), pm) in x.input.iter_mut().zip(f.entering()).zip(f.pm_entering()) {
        *to = [*flow, *flow, *pm, *flow];
    }
}

fn load(state: &State, group: usize, lanes: &mut [[f64; LANES]]) {
    if group == 0 {
        for (zone, lanes) in lanes.iter_mut().enumerate() {
            *lanes = [state.w_kg_kg[zone], state.co2_ppm[zone], state.pm_kg_kg[zone], 0.0];
        }
    }
    for (gas, lane) in gases_of(group, state.gas_kg_kg.len()) {
        lanes.iter_mut().zip(&state.gas_kg_kg[gas]).for_each(|(lanes, value)| lanes[lane] = *value);
    }
}

fn store(state: &mut State, group: usize, lanes: &[[f64; LANES]]) {
    if group == 0 {
        for (zone, lanes) in lanes.iter().enumerate() {
            state.w_kg_kg[zone] = lanes[WATER];
            state.co2_ppm[zone] = lanes[CO2];
            state.pm_kg_kg[zone] = lanes[PM];
        }
    }
    for (gas, lane) in gases_of(group, state.gas_kg_kg.len()) {
        state.gas_kg_kg[gas].iter_mut().zip(lanes).for_each(|(value, lanes)| *value = lanes[lane]);
    }
}

impl Runner<'_> {
    /// Mean of a named gas over the last step in a zone, kg/kg.
    pub(super) fn gas_mean(&self, gas: usize, zone: usize) -> f64 {
        let place = FIRST_GAS + gas;
        self.carried[place / LANES].mean[zone][place % LANES]
    }
}
