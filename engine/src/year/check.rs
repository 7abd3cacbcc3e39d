//! What does not fit together in a model.

use super::equipment::{Delivery, Schedule};
use super::model::{Beyond, Model};

/// A list of the model.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Part {
    /// Zones.
    Zones,
    /// Passages.
    Passages,
    /// Wind faces.
    Faces,
    /// Surfaces.
    Surfaces,
    /// Windows.
    Windows,
    /// Wet ground.
    WetGround,
    /// Occupants.
    Occupants,
    /// Gains.
    Gains,
    /// Sources.
    Sources,
    /// Doors.
    Doors,
    /// Exhaust fans.
    Exhausts,
    /// Portable air cleaners.
    Cleaners,
    /// Ventilators.
    Ventilators,
    /// Air handler.
    Handler,
    /// Thermostat.
    Thermostat,
    /// Heating.
    Heating,
    /// Cooling.
    Cooling,
    /// Dehumidifiers.
    Driers,
    /// Water heaters.
    HotWater,
    /// Humidifiers.
    Humidifiers,
    /// Gases by name.
    Gases,
    /// The appliance's zone.
    Appliance,
}

/// One thing that does not fit.
#[derive(Clone, Copy, Debug, PartialEq, thiserror::Error)]
pub enum ModelError {
    /// A list of the wrong length.
    #[error("{part:?}: {found} entries, expected {wanted}")]
    Count {
        /// Which list.
        part: Part,
        /// Its length.
        found: usize,
        /// What the network needs.
        wanted: usize,
    },
    /// An index past the end of what it points into.
    #[error("{part:?} {index}: points at {target} of {count}")]
    Index {
        /// Which list.
        part: Part,
        /// Entry of that list.
        index: usize,
        /// Where it points.
        target: usize,
        /// How many there are.
        count: usize,
    },
    /// A number outside what makes sense.
    #[error("{part:?} {index}: {name} is {value}")]
    Number {
        /// Which list.
        part: Part,
        /// Entry of that list.
        index: usize,
        /// Which number.
        name: &'static str,
        /// Its value.
        value: f64,
    },
    /// Heating or cooling through a handler that is not there.
    #[error("{part:?}: delivers through an air handler that is not there")]
    NoHandler {
        /// Heating or cooling.
        part: Part,
    },
}

struct Checker {
    zones: usize,
    found: Vec<ModelError>,
}

impl Checker {
    fn count(&mut self, part: Part, found: usize, wanted: usize) {
        if found != wanted {
            self.found.push(ModelError::Count { part, found, wanted });
        }
    }

    fn index(&mut self, part: Part, index: usize, target: usize, count: usize) {
        if target >= count {
            self.found.push(ModelError::Index { part, index, target, count });
        }
    }

    fn zone(&mut self, part: Part, index: usize, zone: usize) {
        self.index(part, index, zone, self.zones);
    }

    fn within(&mut self, part: Part, index: usize, name: &'static str, value: f64, lo: f64, hi: f64) {
        // Written so that NaN fails.
        if !(value >= lo && value <= hi) {
            self.found.push(ModelError::Number { part, index, name, value });
        }
    }

    fn schedule(&mut self, part: Part, index: usize, schedule: &Schedule) {
        match schedule {
            Schedule::Always => {}
            Schedule::Hours(hours) => {
                for part_on in hours {
                    self.within(part, index, "hours", *part_on, 0.0, 1.0);
                }
            }
            Schedule::Spans(spans) => {
                for time_s in spans.iter().flat_map(|s| [s.0, s.1]) {
                    self.within(part, index, "span", time_s, 0.0, 86_400.0);
                }
            }
            Schedule::Humidity { zone, rh, band } => {
                self.zone(part, index, *zone);
                self.within(part, index, "rh", *rh, 0.0, 1.0);
                self.within(part, index, "band", *band, 0.0, 1.0);
            }
        }
    }

    fn shares(&mut self, part: Part, shares: &[(usize, f64)], most: f64) {
        for (index, (zone, share)) in shares.iter().enumerate() {
            self.zone(part, index, *zone);
            self.within(part, index, "share", *share, 0.0, most);
        }
    }

    fn delivery(&mut self, part: Part, delivery: &Delivery, handler: bool) {
        match delivery {
            Delivery::Handler if !handler => self.found.push(ModelError::NoHandler { part }),
            Delivery::Handler => {}
            Delivery::Zones(shares) => {
                self.shares(part, shares, 1e9);
                let sum: f64 = shares.iter().map(|s| s.1).sum();
                self.within(part, 0, "sum of shares", sum, 1e-9, 1e9);
            }
        }
    }
}

const MOST_FLOW_KG_S: f64 = 100.0;
const MOST_HEAT_W: f64 = 1e6;

impl Model {
    /// Everything that does not fit together; empty for a model that can run.
    pub fn check(&self) -> Vec<ModelError> {
        let n = self.network.zone_count();
        let mut c = Checker { zones: n, found: Vec::new() };
        c.count(Part::Zones, self.zones.len(), n);
        c.count(Part::Passages, self.passages.len(), self.network.passages().len());
        if self.faces.len() < self.network.wind_count() {
            c.count(Part::Faces, self.faces.len(), self.network.wind_count());
        }
        for (k, z) in self.zones.iter().enumerate() {
            c.within(Part::Zones, k, "volume_m3", z.volume_m3, 1e-3, 1e6);
            c.within(Part::Zones, k, "floor_area_m2", z.floor_area_m2, 0.0, 1e6);
            c.within(Part::Zones, k, "heat_capacity_j_k", z.heat_capacity_j_k, 1.0, 1e12);
            c.within(Part::Zones, k, "moisture_multiplier", z.moisture_multiplier, 1.0, 1e4);
            c.within(Part::Zones, k, "deposition_per_s", z.deposition_per_s, 0.0, 1.0);
            c.within(Part::Zones, k, "cold_area_m2", z.cold_area_m2, 0.0, 1e6);
            c.within(Part::Zones, k, "cold_factor", z.cold_factor, 0.0, 1.0);
            c.within(Part::Zones, k, "start_k", z.start_k, 200.0, 340.0);
        }
        for (k, p) in self.passages.iter().enumerate() {
            c.within(Part::Passages, k, "pm25_passed", p.pm25_passed, 0.0, 1.0);
        }
        for (k, s) in self.surfaces.iter().enumerate() {
            c.zone(Part::Surfaces, k, s.zone);
            c.within(Part::Surfaces, k, "conductance_w_k", s.conductance_w_k, 0.0, 1e6);
            match s.beyond {
                Beyond::Zone(other) => c.zone(Part::Surfaces, k, other),
                Beyond::Outdoors(Some(sun)) => {
                    c.within(Part::Surfaces, k, "absorptance", sun.absorptance, 0.0, 1.0);
                    c.within(Part::Surfaces, k, "film_w_m2_k", sun.film_w_m2_k, 0.1, 1000.0);
                }
                Beyond::Outdoors(None) | Beyond::Ground => {}
            }
        }
        for (k, w) in self.windows.iter().enumerate() {
            c.zone(Part::Windows, k, w.zone);
            c.within(Part::Windows, k, "area_m2", w.area_m2, 0.0, 1e5);
            c.within(Part::Windows, k, "shgc", w.shgc, 0.0, 1.0);
        }
        for (k, w) in self.wet_ground.iter().enumerate() {
            c.zone(Part::WetGround, k, w.zone);
            c.within(Part::WetGround, k, "transfer_kg_s", w.transfer_kg_s, 0.0, 1e3);
        }
        for (k, o) in self.occupants.iter().enumerate() {
            for zone in o.zone.iter().flatten() {
                c.zone(Part::Occupants, k, *zone);
            }
            for hour in 0..24 {
                c.within(Part::Occupants, k, "co2_m3_s", o.co2_m3_s[hour], 0.0, 1.0);
                c.within(Part::Occupants, k, "water_kg_s", o.water_kg_s[hour], 0.0, 1.0);
                c.within(Part::Occupants, k, "heat_w", o.heat_w[hour], 0.0, MOST_HEAT_W);
            }
            for stay in &o.stays {
                stay.zone.iter().for_each(|zone| c.zone(Part::Occupants, k, *zone));
                c.within(Part::Occupants, k, "from_s", stay.from_s, 0.0, 86_400.0);
                c.within(Part::Occupants, k, "to_s", stay.to_s, 0.0, 86_400.0);
                c.within(Part::Occupants, k, "co2_m3_s", stay.co2_m3_s, 0.0, 1.0);
                c.within(Part::Occupants, k, "water_kg_s", stay.water_kg_s, 0.0, 1.0);
                c.within(Part::Occupants, k, "heat_w", stay.heat_w, 0.0, MOST_HEAT_W);
            }
        }
        for (k, g) in self.gains.iter().enumerate() {
            c.zone(Part::Gains, k, g.zone);
            for heat_w in g.heat_w {
                c.within(Part::Gains, k, "heat_w", heat_w, 0.0, MOST_HEAT_W);
            }
        }
        for (k, s) in self.sources.iter().enumerate() {
            c.zone(Part::Sources, k, s.zone);
            c.within(Part::Sources, k, "start_s", s.start_s, 0.0, 86_400.0);
            c.within(Part::Sources, k, "duration_s", s.duration_s, 0.0, 86_400.0);
            c.within(Part::Sources, k, "pm25_kg_s", s.pm25_kg_s, 0.0, 1.0);
            c.within(Part::Sources, k, "water_kg_s", s.water_kg_s, 0.0, 10.0);
            c.within(Part::Sources, k, "co2_m3_s", s.co2_m3_s, 0.0, 1.0);
            c.within(Part::Sources, k, "heat_w", s.heat_w, 0.0, MOST_HEAT_W);
            c.within(Part::Sources, k, "capture", s.capture, 0.0, 1.0);
        }
        for (k, d) in self.doors.iter().enumerate() {
            c.index(Part::Doors, k, d.passage, self.network.passages().len());
        }
        self.check_machines(&mut c);
        c.found
    }

    fn check_machines(&self, c: &mut Checker) {
        for (k, cleaner) in self.cleaners.iter().enumerate() {
            c.index(Part::Cleaners, k, cleaner.fan, self.exhausts.len());
            c.within(Part::Cleaners, k, "cadr_m3_s", cleaner.cadr_m3_s, 0.0, 100.0);
        }
        for (k, f) in self.exhausts.iter().enumerate() {
            c.zone(Part::Exhausts, k, f.zone);
            c.within(Part::Exhausts, k, "flow_kg_s", f.flow_kg_s, 0.0, MOST_FLOW_KG_S);
            c.within(Part::Exhausts, k, "power_w", f.power_w, 0.0, MOST_HEAT_W);
            f.heats.iter().for_each(|zone| c.zone(Part::Exhausts, k, *zone));
            c.schedule(Part::Exhausts, k, &f.schedule);
        }
        for (k, v) in self.ventilators.iter().enumerate() {
            c.shares(Part::Ventilators, &v.supply_kg_s, MOST_FLOW_KG_S);
            c.shares(Part::Ventilators, &v.exhaust_kg_s, MOST_FLOW_KG_S);
            c.within(Part::Ventilators, k, "sensible", v.recovery.sensible, 0.0, 1.0);
            c.within(Part::Ventilators, k, "latent", v.recovery.latent, 0.0, 1.0);
            c.within(Part::Ventilators, k, "pm25_efficiency", v.pm25_efficiency, 0.0, 1.0);
            c.within(Part::Ventilators, k, "power_w", v.power_w, 0.0, MOST_HEAT_W);
            c.schedule(Part::Ventilators, k, &v.schedule);
        }
        if let Some(h) = &self.handler {
            c.within(Part::Handler, 0, "flow_kg_s", h.flow_kg_s, 1e-6, MOST_FLOW_KG_S);
            c.within(Part::Handler, 0, "pm25_efficiency", h.pm25_efficiency, 0.0, 1.0);
            c.within(Part::Handler, 0, "power_w", h.power_w, 0.0, MOST_HEAT_W);
            c.within(Part::Handler, 0, "least_duty", h.least_duty, 0.0, 1.0);
            c.within(Part::Handler, 0, "intake_share", h.intake_share, 0.0, 0.9);
            for shares in [&h.supplies, &h.returns] {
                c.shares(Part::Handler, shares, 1e9);
                let sum: f64 = shares.iter().map(|s| s.1).sum();
                c.within(Part::Handler, 0, "sum of shares", sum, 1e-9, 1e9);
            }
            for run in h.supply_ducts.iter().chain(&h.return_ducts) {
                c.within(Part::Handler, 0, "duct", run.conductance_w_k, 0.0, 1e5);
                if let Some(zone) = run.zone {
                    c.zone(Part::Handler, 0, zone);
                }
            }
            for leak in [h.supply_leak, h.return_leak].into_iter().flatten() {
                c.within(Part::Handler, 0, "leak", leak.share, 0.0, 1.0);
                if let Some(zone) = leak.zone {
                    c.zone(Part::Handler, 0, zone);
                }
            }
        }
        if let Some(t) = &self.thermostat {
            c.zone(Part::Thermostat, 0, t.zone);
            for hour in 0..24 {
                c.within(Part::Thermostat, hour, "heat_k", t.heat_k[hour], 250.0, 320.0);
                // Cooling starts above where heating stops.
                c.within(Part::Thermostat, hour, "cool_k", t.cool_k[hour], t.heat_k[hour], 400.0);
            }
            c.within(Part::Thermostat, 0, "band_k", t.band_k, 0.0, 10.0);
            for (k, back) in t.set_backs.iter().enumerate() {
                for time_s in [back.from_s, back.to_s] {
                    c.within(Part::Thermostat, k, "set_back", time_s, 0.0, 86_400.0);
                }
                for temp_k in [back.heat_k, back.cool_k].into_iter().flatten() {
                    c.within(Part::Thermostat, k, "set_back", temp_k, 250.0, 400.0);
                }
            }
        }
        if let Some(h) = &self.heating {
            c.delivery(Part::Heating, &h.delivery, self.handler.is_some());
            c.within(Part::Heating, 0, "capacity_w", h.plant.capacity_w, 0.0, MOST_HEAT_W);
            c.within(Part::Heating, 0, "cop", h.plant.cop, 0.01, 100.0);
        }
        if let Some(k) = &self.cooling {
            c.delivery(Part::Cooling, &k.delivery, self.handler.is_some());
            c.within(Part::Cooling, 0, "capacity_w", k.plant.capacity_w, 0.0, MOST_HEAT_W);
            c.within(Part::Cooling, 0, "cop", k.plant.cop, 0.01, 100.0);
            c.within(Part::Cooling, 0, "bypass", k.coil.bypass, 0.0, 0.99);
        }
        for (k, d) in self.driers.iter().enumerate() {
            c.zone(Part::Driers, k, d.zone);
            c.within(Part::Driers, k, "capacity_kg_s", d.unit.capacity_kg_s, 0.0, 1.0);
            c.within(Part::Driers, k, "efficiency_kg_j", d.unit.efficiency_kg_j, 1e-9, 1e-3);
        }
        for (k, h) in self.hot_water.iter().enumerate() {
            c.zone(Part::HotWater, k, h.zone);
            c.within(Part::HotWater, k, "cop", h.unit.cop, 1.0, 20.0);
            c.within(Part::HotWater, k, "flow_kg_s", h.unit.flow_kg_s, 1e-6, MOST_FLOW_KG_S);
            c.within(Part::HotWater, k, "standby_w", h.standby_w, 0.0, MOST_HEAT_W);
            for draw_w in h.draw_w {
                c.within(Part::HotWater, k, "draw_w", draw_w, 0.0, MOST_HEAT_W);
            }
        }
        for (k, h) in self.humidifiers.iter().enumerate() {
            c.zone(Part::Humidifiers, k, h.zone);
            c.within(Part::Humidifiers, k, "capacity_kg_s", h.capacity_kg_s, 0.0, 1.0);
            c.within(Part::Humidifiers, k, "set_rh", h.set_rh, 0.0, 1.0);
            c.within(Part::Humidifiers, k, "power_w", h.power_w, 0.0, MOST_HEAT_W);
        }
        for (k, g) in self.gases.iter().enumerate() {
            c.within(Part::Gases, k, "outdoors_kg_kg", g.outdoors_kg_kg, 0.0, 1.0);
            c.within(Part::Gases, k, "decay_per_s", g.decay_per_s, 0.0, 1.0);
            for s in &g.sources {
                c.zone(Part::Gases, k, s.zone);
                c.within(Part::Gases, k, "start_s", s.start_s, 0.0, 86_400.0);
                c.within(Part::Gases, k, "duration_s", s.duration_s, 0.0, 86_400.0);
                c.within(Part::Gases, k, "rate_kg_s", s.rate_kg_s, 0.0, 1.0);
                c.within(Part::Gases, k, "capture", s.capture, 0.0, 1.0);
            }
        }
        if let Some(zone) = self.appliance_zone {
            c.zone(Part::Appliance, 0, zone);
        }
    }
}
