//! Machines that take heat and water from the air of their zone or give it: water heaters,
//! humidifiers.

use super::carried::WATER;
use super::step::{Moment, Runner};
use crate::air::{self, EVAPORATION_20C_J_KG};
use crate::device::{self, water_heater::Heated};

impl Runner<'_> {
    /// What they do in this step, by the air at its start.
    pub(super) fn choose_appliances(&mut self, moment: &Moment) {
        let pressure_pa = moment.outdoor.pressure_pa;
        let state = &self.state;
        for (h, does) in self.model.hot_water.iter().zip(&mut self.heated_water) {
            let (t, w) = (state.temp_k[h.zone], state.w_kg_kg[h.zone]);
            *does = h.unit.heating(h.draw_w[moment.hour] + h.standby_w, t, w, pressure_pa);
        }
        for (k, h) in self.model.humidifiers.iter().enumerate() {
            let rh = air::relative_humidity(state.temp_k[h.zone], state.w_kg_kg[h.zone], pressure_pa);
            self.next_humid_on[k] = device::calls(state.humid_on[k], h.set_rh - rh, h.band_rh);
        }
    }

    /// Their sensible heat into the balance.
    pub(super) fn appliance_heat(&mut self) {
        let x = &mut self.exchange;
        for (h, does) in self.model.hot_water.iter().zip(&self.heated_water) {
            x.input[h.zone][0] += h.standby_w - does.taken.sensible_w;
        }
        for (h, on) in self.model.humidifiers.iter().zip(&self.next_humid_on) {
            if *on {
                // Boiled or not: what its electricity does not evaporate the air does.
                x.input[h.zone][0] += h.power_w - h.capacity_kg_s * EVAPORATION_20C_J_KG;
            }
        }
    }

    /// Their water into the balance, their electricity into the tally.
    pub(super) fn appliance_water(&mut self, dt_s: f64) {
        let x = &mut self.carried[0];
        for (h, does) in self.model.hot_water.iter().zip(&self.heated_water) {
            let Heated { taken, power_w } = does;
            // A part of what the zone holds, so that it cannot take more than there is.
            x.lost[h.zone][WATER] += taken.water_kg_s / self.state.w_kg_kg[h.zone].max(1e-5);
            self.tally.hot_water(dt_s, *power_w);
        }
        for (h, on) in self.model.humidifiers.iter().zip(&self.state.humid_on) {
            if *on {
                x.input[h.zone][WATER] += h.capacity_kg_s;
                self.tally.humidifier(dt_s, h.power_w);
            }
        }
    }
}
