//! The coldest surface of each zone: condensation and mould on it.
//!
//! Its temperature lies between outdoors and the room by the zone's temperature factor; the air at it
//! has the room's humidity ratio. Hourly means. The index runs through the recorded hours in order
//! from a clean surface, with almost no decline (what ASHRAE 160 takes without further knowledge).

use super::ZoneYear;
use super::model::Model;
use crate::air::{self, ZERO_CELSIUS_K};
use crate::procedure::moisture::mould::{Decline, Index};

#[derive(Clone, Debug)]
struct Coldest {
    name: String,
    factor: f64,
    index: Index,
    highest: f64,
    critical_h: f64,
    condensing_s: f64,
}

#[derive(Clone, Debug)]
pub(super) struct Surfaces {
    coldest: Vec<Coldest>,
    /// The hours follow each other, so the index means something.
    whole: bool,
}

impl Surfaces {
    pub(super) fn new(model: &Model, whole: bool) -> Surfaces {
        let coldest = model.zones.iter().map(|z| Coldest {
            name: z.cold_name.clone(),
            factor: z.cold_factor,
            index: Index::from(z.mould, Decline::AlmostNone, 0.0),
            highest: 0.0,
            critical_h: 0.0,
            condensing_s: 0.0,
        });
        Surfaces { coldest: coldest.collect(), whole }
    }

    pub(super) fn condensing(&mut self, weighted_s: f64, condensing: &[bool]) {
        for (surface, _) in self.coldest.iter_mut().zip(condensing).filter(|(_, on)| **on) {
            surface.condensing_s += weighted_s;
        }
    }

    /// An hour that stands for `weight` hours.
    pub(super) fn hour(
        &mut self,
        zone: usize,
        weight: f64,
        room_k: f64,
        outdoor_k: f64,
        w_kg_kg: f64,
        pressure_pa: f64,
    ) {
        let surface = &mut self.coldest[zone];
        let surface_k = outdoor_k + surface.factor * (room_k - outdoor_k);
        let temp_c = surface_k - ZERO_CELSIUS_K;
        let rh_pct = (100.0 * air::relative_humidity(surface_k, w_kg_kg, pressure_pa)).min(100.0);
        let sensitivity = surface.index.sensitivity;
        if temp_c > 0.0 && temp_c < 50.0 && rh_pct >= sensitivity.critical_rh_pct(temp_c) {
            surface.critical_h += weight;
        }
        if self.whole {
            surface.index.hour(temp_c, rh_pct);
            surface.highest = surface.highest.max(surface.index.index);
        }
    }

    pub(super) fn finish(&self, zone: usize, year: &mut ZoneYear) {
        let surface = &self.coldest[zone];
        year.coldest_surface.clone_from(&surface.name);
        year.condensing_h = surface.condensing_s / 3600.0;
        year.mould_critical_h = surface.critical_h;
        year.mould_index = self.whole.then_some(surface.highest);
    }
}
