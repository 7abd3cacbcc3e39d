//! The thermostat's answer: how much of heating or cooling runs in a step.
//!
//! Without a dead band the machine gives just what holds the set point at the step's end, within its
//! capacity, as a part of the time. With one it is on or off: a call begins where the temperature
//! crosses half the band beyond the set point (the place within the step by a straight line) and
//! lasts until the other side is reached. The second stage and then the backup join when the
//! temperature is still half a band further off at the start of a step; the backup leaves when the
//! edge of the band is reached, the second stage at the end of the call (common practice, no source).

use super::equipment::{Delivery, Thermostat};
use super::step::{Delivered, Moment, Runner};
use crate::device::plant::Served;

/// How far a call has gone.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize,
)]
pub(super) enum Level {
    #[default]
    Off,
    Low,
    Full,
    Backup,
}

/// Calls for heat and for cold.
#[derive(Clone, Copy, Debug, Default, PartialEq, serde::Serialize, serde::Deserialize)]
pub(super) struct Calls {
    pub(super) heat: Level,
    pub(super) cold: Level,
}

/// The zone's state as the thermostat sees it: how far beyond the set point, K, at the start of the
/// step and at its end without the machine, positive where it calls.
struct Beyond {
    was_k: f64,
    floating_k: f64,
}

impl Beyond {
    /// What is given with a dead band; levels as in [`Served::least`], `per_w` is what one watt does
    /// by the step's end, K.
    fn with_band(&self, level: &mut Level, band_k: f64, levels: [f64; 3], per_w: f64) -> Served {
        let half = 0.5 * band_k;
        let [low_w, full_w, backup_w] = levels;
        let mut part = 1.0;
        if *level == Level::Off {
            if self.floating_k <= half {
                return Served::default();
            }
            *level = if low_w < full_w { Level::Low } else { Level::Full };
            if self.was_k < half {
                part = (self.floating_k - half) / (self.floating_k - self.was_k);
            }
        } else {
            if self.was_k > 2.0 * half {
                *level = (*level).max(Level::Full);
            }
            if backup_w > 0.0 && (self.was_k > 3.0 * half) {
                *level = Level::Backup;
            } else if *level == Level::Backup && self.was_k <= half {
                *level = Level::Full;
            }
        }
        let gives_w = match level {
            Level::Off | Level::Low => low_w,
            Level::Full => full_w,
            Level::Backup => full_w + backup_w,
        };
        let need_k = self.floating_k + half;
        if need_k <= 0.0 || gives_w <= 0.0 {
            *level = Level::Off;
            return Served::default();
        }
        let reached = need_k / per_w / gives_w;
        let running = reached.min(part);
        let served = match level {
            Level::Off | Level::Low => Served { low: running, ..Served::default() },
            Level::Full => Served { full: running, ..Served::default() },
            Level::Backup => Served { low: 0.0, full: running, backup_w: running * backup_w },
        };
        if reached <= part {
            *level = Level::Off;
        }
        served
    }
}

impl Runner<'_> {
    /// Answers with `self.values` at what they are at the step's end without heating and cooling.
    pub(super) fn respond(&mut self, moment: &Moment, next: &mut Delivered) {
        let model = self.model;
        let Some(thermostat) = &model.thermostat else { return };
        let (heat_k, cool_k) = thermostat.at(moment.hour, moment.day_s);
        let (was_k, here_k) = (self.state.temp_k[thermostat.zone], self.values[thermostat.zone][0]);
        self.next_calls = self.state.calls;
        let heat = Beyond { was_k: heat_k - was_k, floating_k: heat_k - here_k };
        let cold = Beyond { was_k: was_k - cool_k, floating_k: here_k - cool_k };
        let wants = |b: &Beyond, level: Level| b.floating_k > 0.0 || level != Level::Off;
        if model.heating.is_some() && wants(&heat, self.state.calls.heat) {
            self.call_heat(moment, thermostat, &heat, next);
        } else if model.cooling.is_some() && wants(&cold, self.state.calls.cold) {
            self.call_cold(moment, thermostat, &cold, next);
        }
    }

    /// Answer of the zones to 1 W spread by `heat` or cold, into `self.response`; of the
    /// thermostat's zone, K/W.
    fn answer(&mut self, heat: bool, zone: usize) -> f64 {
        for (response, share) in self.response.iter_mut().zip(self.conduction.spread(heat)) {
            *response = [*share];
        }
        self.exchange.solve(&self.air.graph, &mut self.response);
        self.response[zone][0]
    }

    fn give(&mut self, heat_w: f64) {
        self.given_w = heat_w;
        for ([value], [response]) in self.values.iter_mut().zip(&self.response) {
            *value += heat_w * response;
        }
    }

    fn served(
        level: &mut Level,
        thermostat: &Thermostat,
        beyond: &Beyond,
        levels: [f64; 3],
        per_w: f64,
    ) -> Served {
        if thermostat.band_k > 0.0 {
            beyond.with_band(level, thermostat.band_k, levels, per_w)
        } else {
            Served::least(beyond.floating_k / per_w, levels)
        }
    }

    fn call_heat(&mut self, moment: &Moment, thermostat: &Thermostat, beyond: &Beyond, next: &mut Delivered) {
        let model = self.model;
        let Some(heating) = &model.heating else { return };
        let plant = &heating.plant;
        let by_handler = heating.delivery == Delivery::Handler;
        let fan_w = model.handler.as_ref().filter(|_| by_handler).map_or(0.0, |h| h.power_w);
        let capacity_w = plant.at(moment.outdoor.temp_k).capacity_w;
        let low_w = plant.low.map_or(1.0, |l| l.share) * capacity_w;
        let per_w = self.answer(true, thermostat.zone);
        if per_w <= 0.0 {
            return;
        }
        if capacity_w + plant.backup_w <= 0.0 {
            return;
        }
        // Where the machine itself has stopped, the backup cycles alone.
        let alone = capacity_w <= 0.0;
        let only_w = fan_w + plant.backup_w;
        let levels =
            if alone { [only_w, only_w, 0.0] } else { [low_w + fan_w, capacity_w + fan_w, plant.backup_w] };
        let level = &mut self.next_calls.heat;
        let mut served = Self::served(level, thermostat, beyond, levels, per_w);
        if alone {
            served.backup_w = served.running() * plant.backup_w;
        }
        next.call = served.running();
        let (low_w, full_w) = (served.low * low_w, served.full * capacity_w);
        next.backup_w = served.backup_w;
        next.heating_w = low_w + full_w + served.backup_w;
        next.heating_own_w = plant.stages_power_w(low_w, full_w, moment.outdoor.temp_k);
        if by_handler {
            next.duty = next.duty.max(next.call);
        }
        self.give(next.heating_w + fan_w * next.call);
    }

    fn call_cold(&mut self, moment: &Moment, thermostat: &Thermostat, beyond: &Beyond, next: &mut Delivered) {
        let model = self.model;
        let Some(cooling) = &model.cooling else { return };
        let plant = &cooling.plant;
        let by_handler = cooling.delivery == Delivery::Handler;
        let fan_w = model.handler.as_ref().filter(|_| by_handler).map_or(0.0, |h| h.power_w);
        let air = self.entering(moment, &cooling.delivery, cooling.own_flow_kg_s);
        let capacity_w = plant.at(moment.outdoor.temp_k).capacity_w;
        // The air at the step's start: once a step, however often the duty is found anew.
        let (low, full) = match self.coil_duty {
            Some(known) => known,
            None => {
                let full = cooling.coil.at_capacity(&air, capacity_w);
                let low = plant.low.map_or(full, |l| cooling.coil.at_capacity(&air, l.share * capacity_w));
                self.coil_duty = Some((low, full));
                (low, full)
            }
        };
        let per_w = self.answer(false, thermostat.zone);
        if per_w <= 0.0 || full.sensible_w - fan_w <= 0.0 {
            return;
        }
        let levels = [(low.sensible_w - fan_w).max(0.0), full.sensible_w - fan_w, 0.0];
        let served = Self::served(&mut self.next_calls.cold, thermostat, beyond, levels, per_w);
        next.call = served.running();
        next.cooling_w = served.low * low.sensible_w + served.full * full.sensible_w;
        let (low_w, full_w) = (served.low * low.total_w, served.full * full.total_w);
        next.cooling_total_w = low_w + full_w;
        next.cooling_own_w = plant.stages_power_w(low_w, full_w, moment.outdoor.temp_k);
        let arriving = next.call * air.flow_kg_s * air.w_kg_kg;
        let taken = served.low * low.water_kg_s + served.full * full.water_kg_s;
        next.coil_passes = if arriving > 0.0 { (1.0 - taken / arriving).clamp(0.0, 1.0) } else { 1.0 };
        if by_handler {
            next.duty = next.duty.max(next.call);
        }
        self.give(fan_w * next.call - next.cooling_w);
    }
}
