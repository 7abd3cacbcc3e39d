//! What a year is judged by, gathered step by step.

use super::air::is_conditioned;
use super::carried::{CO2, HEAT, LANES, PM, WATER};
use super::equipment::Delivery;
use super::model::{Beyond, Model, ZoneKind};
use super::step::{Delivered, Moment, Runner};
use super::surfaces::Surfaces;
use super::{Counts, Energy, GasYear, Options, Series, SoilPressure, Year, YearBooks, ZoneYear};
use crate::air;
use crate::device::Fuel;
use crate::math::quantile_sorted;
use crate::transport::Graph;

/// A set point missed by less than this is met, K.
const MISSED_K: f64 = 0.5;
const HOUR_S: f64 = 3600.0;

/// Sums of the hour at hand for one zone.
#[derive(Clone, Copy, Debug, Default)]
struct HourSum {
    temp_k: f64,
    w_kg_kg: f64,
    co2_ppm: f64,
    pm_kg_m3: f64,
}

/// Sums over the recorded time, weighted by the days.
#[derive(Clone, Debug)]
pub(super) struct Tally {
    pub(super) counts: Counts,
    conditioned: Vec<bool>,
    buffers: Vec<usize>,
    /// Place in `buffers` and slot of the graph.
    from_buffers: Vec<(usize, usize)>,
    /// Days the current day stands for; zero while warming up.
    weight: f64,
    hour_s: f64,
    hour: Vec<HourSum>,
    hour_pressure_pa: f64,
    hour_heating_j: f64,
    hour_cooling_j: f64,
    hour_of_day: usize,
    /// One an hour recorded: hour of the day and weight.
    hours: Vec<(usize, f64)>,
    series: Vec<Series>,
    seconds: f64,
    outdoor_air_kg: f64,
    buffer_air_kg: Vec<f64>,
    pm_outdoors: f64,
    least_appliance_pa: f64,
    energy: Energy,
    peak_heating_w: f64,
    peak_cooling_w: f64,
    cold_s: f64,
    hot_s: f64,
    handler_s: f64,
    condensed_kg: f64,
    coil_water_kg: f64,
    reevaporated_kg: f64,
    surfaces: Surfaces,
    soil: Vec<Soil>,
    /// Sums of the hour and of the time recorded, and highest hourly mean: `[gas * zones + zone]`.
    gas_hour: Vec<f64>,
    gas_sum: Vec<f64>,
    gas_highest: Vec<f64>,
    hour_outdoor_k: f64,
    /// Energy of the hour in steady running and time it runs: heating, cooling.
    hour_own_j: [f64; 2],
    hour_run_s: [f64; 2],
    cycling: [f64; 2],
    fuel: usize,
    /// Register temperature times time, and time, while it heats and cools.
    register: [(f64, f64); 2],
}

/// The pressure at the floor of one zone that touches the ground.
#[derive(Clone, Debug, Default)]
struct Soil {
    zone: usize,
    floor_m: f64,
    hour_pa: f64,
    last_pa: Option<f64>,
    sum_pa: f64,
    below_s: f64,
    change_pa: f64,
    change_weight: f64,
}

impl Tally {
    /// `whole`: the days follow each other. Room for `hours` recorded, so that none is made later.
    pub(super) fn new(model: &Model, whole: bool, hours: usize) -> Tally {
        let zones = model.zones.len();
        let touches = |zone: usize| {
            let conducts = model.surfaces.iter().any(|s| s.zone == zone && s.beyond == Beyond::Ground);
            conducts || model.wet_ground.iter().any(|w| w.zone == zone)
        };
        let gases = vec![0.0; zones * model.gases.len()];
        let buffers: Vec<usize> = (0..zones).filter(|z| model.zones[*z].kind == ZoneKind::Buffer).collect();
        Tally {
            counts: Counts::default(),
            conditioned: (0..zones).map(|z| is_conditioned(model, z)).collect(),
            buffer_air_kg: vec![0.0; buffers.len()],
            buffers,
            from_buffers: Vec::new(),
            weight: 0.0,
            hour_s: 0.0,
            hour: vec![HourSum::default(); zones],
            hour_pressure_pa: 0.0,
            hour_heating_j: 0.0,
            hour_cooling_j: 0.0,
            hour_of_day: 0,
            hours: Vec::with_capacity(hours),
            series: (0..zones).map(|_| Series::with_room(hours)).collect(),
            seconds: 0.0,
            outdoor_air_kg: 0.0,
            pm_outdoors: 0.0,
            least_appliance_pa: f64::INFINITY,
            energy: Energy::default(),
            peak_heating_w: 0.0,
            peak_cooling_w: 0.0,
            cold_s: 0.0,
            hot_s: 0.0,
            handler_s: 0.0,
            condensed_kg: 0.0,
            coil_water_kg: 0.0,
            reevaporated_kg: 0.0,
            surfaces: Surfaces::new(model, whole),
            soil: (0..zones)
                .filter(|z| touches(*z))
                .map(|zone| Soil { zone, floor_m: model.zones[zone].floor_m, ..Soil::default() })
                .collect(),
            gas_hour: gases.clone(),
            gas_sum: gases.clone(),
            gas_highest: gases,
            hour_outdoor_k: 0.0,
            hour_own_j: [0.0; 2],
            hour_run_s: [0.0; 2],
            cycling: [
                model.heating.as_ref().map_or(0.0, |h| h.plant.cycling_loss),
                model.cooling.as_ref().map_or(0.0, |c| c.plant.cycling_loss),
            ],
            fuel: model.heating.as_ref().map_or(0, |h| h.plant.fuel.place()),
            register: [(0.0, 0.0); 2],
        }
    }

    /// The next day stands for `weight` days; zero does not record.
    pub(super) fn set_weight(&mut self, weight: f64) {
        self.weight = weight;
    }

    pub(super) fn appliance_pressure(&mut self, pressure_pa: f64) {
        if self.weight > 0.0 {
            self.least_appliance_pa = self.least_appliance_pa.min(pressure_pa);
        }
    }

    /// Air moved in a step, kg/s: outdoor air by zone, and by slot between zones.
    pub(super) fn air(&mut self, dt_s: f64, outdoor: &[[f64; LANES]], between: &[[f64; LANES]]) {
        if self.weight <= 0.0 {
            return;
        }
        let part = self.weight * dt_s;
        for (_, outdoor) in self.conditioned.iter().zip(outdoor).filter(|(living, _)| **living) {
            self.outdoor_air_kg += part * outdoor[CO2];
        }
        for (buffer, slot) in &self.from_buffers {
            self.buffer_air_kg[*buffer] += part * between[*slot][CO2];
        }
    }

    /// Finds the slots that lead from buffer zones into the living space.
    pub(super) fn set_slots(&mut self, graph: &Graph) {
        for (buffer, from) in self.buffers.iter().enumerate() {
            let living = (0..self.conditioned.len()).filter(|to| self.conditioned[*to]);
            self.from_buffers.extend(living.filter_map(|to| graph.slot(*from, to)).map(|s| (buffer, s)));
        }
    }

    pub(super) fn drier(&mut self, dt_s: f64, power_w: f64) {
        self.energy.drier_j += self.weight * dt_s * power_w;
    }

    pub(super) fn hot_water(&mut self, dt_s: f64, power_w: f64) {
        self.energy.hot_water_j += self.weight * dt_s * power_w;
    }

    pub(super) fn humidifier(&mut self, dt_s: f64, power_w: f64) {
        self.energy.humidifier_j += self.weight * dt_s * power_w;
    }

    pub(super) fn condensed(&mut self, water_kg: f64, dt_s: f64, condensing: &[bool]) {
        self.condensed_kg += self.weight * water_kg;
        self.surfaces.condensing(self.weight * dt_s, condensing);
    }

    pub(super) fn reevaporated(&mut self, water_kg: f64) {
        self.reevaporated_kg += self.weight * water_kg;
    }

    /// `pressure_pa` of a zone at a height.
    pub(super) fn soil_pressure(&mut self, dt_s: f64, pressure_pa: impl Fn(usize, f64) -> f64) {
        for soil in &mut self.soil {
            let now_pa = pressure_pa(soil.zone, soil.floor_m);
            soil.hour_pa += dt_s * now_pa;
            soil.sum_pa += self.weight * dt_s * now_pa;
            if now_pa < 0.0 {
                soil.below_s += self.weight * dt_s;
            }
        }
    }

    pub(super) fn coil_water(&mut self, water_kg: f64) {
        self.coil_water_kg += self.weight * water_kg;
    }

    /// Ends the hour at hand if it is full.
    fn close_hour(&mut self) {
        // Steps divide the hour; the margin is for rounding.
        if self.hour_s < HOUR_S - 1e-3 {
            return;
        }
        if self.weight > 0.0 {
            let pressure_pa = self.hour_pressure_pa / self.hour_s;
            let outdoor_k = self.hour_outdoor_k / self.hour_s;
            for (zone, sum) in self.hour.iter().enumerate() {
                let (temp_k, w) = (sum.temp_k / self.hour_s, sum.w_kg_kg / self.hour_s);
                self.surfaces.hour(zone, self.weight, temp_k, outdoor_k, w, pressure_pa);
            }
            for (highest, sum) in self.gas_highest.iter_mut().zip(&self.gas_hour) {
                *highest = highest.max(sum / self.hour_s);
            }
            let used: [f64; 2] = std::array::from_fn(|k| {
                let running = (self.hour_run_s[k] / self.hour_s).min(1.0);
                self.weight * self.hour_own_j[k] / (1.0 - self.cycling[k] * (1.0 - running))
            });
            self.energy.heating_j[self.fuel] += used[0];
            self.energy.cooling_j += used[1];
            for (sum, series) in self.hour.iter().zip(&mut self.series) {
                let (temp_k, w) = (sum.temp_k / self.hour_s, sum.w_kg_kg / self.hour_s);
                series.temp_k.push(temp_k);
                series.w_kg_kg.push(w);
                series.rh.push(air::relative_humidity(temp_k, w, pressure_pa).min(1.0));
                series.co2_ppm.push(sum.co2_ppm / self.hour_s);
                series.pm25_kg_m3.push(sum.pm_kg_m3 / self.hour_s);
            }
            self.hours.push((self.hour_of_day, self.weight));
            self.peak_heating_w = self.peak_heating_w.max(self.hour_heating_j / self.hour_s);
            self.peak_cooling_w = self.peak_cooling_w.max(self.hour_cooling_j / self.hour_s);
        }
        for soil in &mut self.soil {
            let now_pa = soil.hour_pa / self.hour_s;
            // Not from one picked day to the next: their last hour is one of warming up.
            if let Some(last_pa) = soil.last_pa.filter(|_| self.weight > 0.0) {
                soil.change_pa += self.weight * (now_pa - last_pa).abs();
                soil.change_weight += self.weight;
            }
            soil.last_pa = Some(now_pa);
            soil.hour_pa = 0.0;
        }
        self.gas_hour.fill(0.0);
        self.hour_outdoor_k = 0.0;
        self.hour_own_j = [0.0; 2];
        self.hour_run_s = [0.0; 2];
        self.hour_s = 0.0;
        self.hour.fill(HourSum::default());
        self.hour_pressure_pa = 0.0;
        self.hour_heating_j = 0.0;
        self.hour_cooling_j = 0.0;
    }

    /// The scores.
    fn finish(mut self, runner: FinishedRun<'_>, options: &Options) -> Year {
        let model = runner.model;
        let seconds = if self.seconds > 0.0 { self.seconds } else { 1.0 };
        let conditioned_kg: f64 =
            (0..model.zones.len()).filter(|z| self.conditioned[*z]).map(|z| runner.mass_kg[z]).sum();
        let outdoor_pm = self.pm_outdoors / seconds;
        let all_series = std::mem::take(&mut self.series);
        let zones = model
            .zones
            .iter()
            .zip(all_series)
            .enumerate()
            .map(|(k, (zone, series))| {
                let mut year = self.zone(&zone.name, series, outdoor_pm, options);
                self.surfaces.finish(k, &mut year);
                year
            })
            .collect();
        let n = model.zones.len();
        let mean = |(sum, time): (f64, f64)| (time > 0.0).then(|| sum / time);
        let outdoor_air_kg_s = self.outdoor_air_kg / seconds;
        Year {
            zones,
            days_simulated: runner.days_simulated,
            outdoor_air_kg_s,
            outdoor_air_per_h: if conditioned_kg > 0.0 {
                outdoor_air_kg_s / conditioned_kg * HOUR_S
            } else {
                0.0
            },
            air_from_buffers_kg_s: self
                .buffers
                .iter()
                .zip(&self.buffer_air_kg)
                .map(|(zone, kg)| (model.zones[*zone].name.clone(), kg / seconds))
                .collect(),
            least_appliance_pa: self.least_appliance_pa.is_finite().then_some(self.least_appliance_pa),
            outdoor_pm25_kg_m3: outdoor_pm,
            energy: self.energy,
            peak_heating_w: self.peak_heating_w,
            peak_cooling_w: self.peak_cooling_w,
            too_cold_h: self.cold_s / HOUR_S,
            too_hot_h: self.hot_s / HOUR_S,
            handler_duty: self.handler_s / seconds,
            condensed_kg: self.condensed_kg,
            coil_water_kg: self.coil_water_kg,
            reevaporated_kg: self.reevaporated_kg,
            register_heating_k: mean(self.register[0]),
            register_cooling_k: mean(self.register[1]),
            gases: model
                .gases
                .iter()
                .enumerate()
                .map(|(g, gas)| GasYear {
                    gas: gas.name.clone(),
                    mean_kg_kg: self.gas_sum[g * n..(g + 1) * n].iter().map(|s| s / seconds).collect(),
                    highest_kg_kg: self.gas_highest[g * n..(g + 1) * n].to_vec(),
                    books: runner.gas_books[g],
                })
                .collect(),
            soil: self
                .soil
                .iter()
                .map(|s| SoilPressure {
                    zone: model.zones[s.zone].name.clone(),
                    mean_pa: s.sum_pa / seconds,
                    change_pa: s.change_pa / s.change_weight.max(1e-12),
                    drawing: s.below_s / seconds,
                })
                .collect(),
            owed: runner.owed,
            books: YearBooks {
                air_imbalance: runner.worst_imbalance,
                water: runner.books[WATER],
                co2: runner.books[CO2],
                pm25: runner.books[PM],
                heat: runner.books[HEAT],
                gases: runner.gas_books.iter().fold(0.0, |w, b| w.max(b.relative_error())),
            },
            counts: Counts {
                solved_count: runner.solved_count,
                newton_count: runner.newton_count,
                ..self.counts
            },
            diagnostics: crate::diag::Diagnostics::default(),
        }
    }

    fn zone(&self, name: &str, series: Series, outdoor_pm: f64, options: &Options) -> ZoneYear {
        let mut night: Vec<(f64, f64)> = Vec::new();
        let (mut weight, mut over_h, mut damp_h, mut dry_h) = (0.0, 0.0, 0.0, 0.0);
        let (mut temp, mut pm) = (0.0, 0.0);
        for (k, (hour, w)) in self.hours.iter().enumerate() {
            weight += w;
            temp += w * series.temp_k[k];
            pm += w * series.pm25_kg_m3[k];
            if series.rh[k] > options.damp_rh {
                damp_h += w;
            } else if series.rh[k] < options.dry_rh {
                dry_h += w;
            }
            if *hour >= options.night_from_h || *hour < options.night_to_h {
                night.push((series.co2_ppm[k], *w));
                if series.co2_ppm[k] > options.co2_limit_ppm {
                    over_h += w;
                }
            }
        }
        let scale = if weight > 0.0 { 1.0 / weight } else { 0.0 };
        let night_weight: f64 = night.iter().map(|n| n.1).sum();
        let night_mean: f64 = night.iter().map(|n| n.0 * n.1).sum::<f64>() / night_weight.max(1e-12);
        let pm_mean = pm * scale;
        ZoneYear {
            name: name.to_owned(),
            night_co2_mean_ppm: night_mean,
            night_co2_p95_ppm: weighted_quantile(&mut night, 0.95),
            night_co2_over_h: over_h,
            pm25_mean_kg_m3: pm_mean,
            pm25_indoors_over_outdoors: if outdoor_pm > 0.0 { Some(pm_mean / outdoor_pm) } else { None },
            damp_h,
            dry_h,
            temp_mean_k: temp * scale,
            coldest_surface: String::new(),
            condensing_h: 0.0,
            mould_critical_h: 0.0,
            mould_index: None,
            series: options.keep_series.then_some(series),
        }
    }
}

/// Quantile of weighted values: linear between the middles of the weights, which with equal
/// weights is close to definition 5 of Hyndman and Fan (1996).
fn weighted_quantile(values: &mut [(f64, f64)], q: f64) -> f64 {
    values.sort_by(|a, b| a.0.total_cmp(&b.0));
    let equal = values.windows(2).all(|v| (v[0].1 - v[1].1).abs() < 1e-12);
    if equal {
        let sorted: Vec<f64> = values.iter().map(|v| v.0).collect();
        return quantile_sorted(&sorted, q).unwrap_or(0.0);
    }
    let total: f64 = values.iter().map(|v| v.1).sum();
    let target = q * total;
    let mut below = 0.0;
    let mut last: Option<(f64, f64)> = None;
    for (value, weight) in values.iter() {
        let middle = below + 0.5 * weight;
        if middle >= target {
            return match last {
                Some((place, old)) => old + (value - old) * (target - place) / (middle - place),
                None => *value,
            };
        }
        last = Some((middle, *value));
        below += weight;
    }
    last.map_or(0.0, |l| l.1)
}

/// What is left of a run when its scores are made.
struct FinishedRun<'a> {
    model: &'a Model,
    mass_kg: Vec<f64>,
    books: [crate::transport::Books; 4],
    gas_books: Vec<crate::transport::Books>,
    worst_imbalance: f64,
    solved_count: usize,
    newton_count: usize,
    days_simulated: usize,
    owed: Option<super::Owed>,
}

impl Runner<'_> {
    /// Adds the step just done to the tally.
    pub(super) fn record(&mut self, moment: &Moment, delivered: &Delivered) {
        let dt_s = moment.dt_s;
        for place in 0..self.tally.gas_hour.len() {
            let mean = self.gas_mean(place / self.zones, place % self.zones);
            self.tally.gas_hour[place] += dt_s * mean;
            self.tally.gas_sum[place] += self.tally.weight * dt_s * mean;
        }
        let t = &mut self.tally;
        t.hour_of_day = moment.hour;
        t.hour_s += dt_s;
        // Means over the step, straight lines between the instants that are known.
        for (zone, (sum, mean)) in t.hour.iter_mut().zip(&self.carried[0].mean).enumerate() {
            sum.temp_k += dt_s * 0.5 * (self.was_k[zone] + self.state.temp_k[zone]);
            sum.w_kg_kg += dt_s * mean[WATER];
            sum.co2_ppm += dt_s * mean[CO2];
            sum.pm_kg_m3 += dt_s * mean[PM] * self.air.zone_density_kg_m3(zone);
        }
        t.hour_pressure_pa += dt_s * moment.outdoor.pressure_pa;
        t.hour_outdoor_k += dt_s * moment.outdoor.temp_k;
        t.hour_own_j[0] += dt_s * delivered.heating_own_w;
        t.hour_own_j[1] += dt_s * delivered.cooling_own_w;
        let kind = usize::from(delivered.cooling_total_w > 0.0);
        t.hour_run_s[kind] += dt_s * delivered.call;
        t.hour_heating_j += dt_s * delivered.heating_w;
        t.hour_cooling_j += dt_s * delivered.cooling_total_w;
        if t.weight > 0.0 {
            let part = t.weight * dt_s;
            t.seconds += part;
            t.pm_outdoors += part * moment.pm_outdoors_kg_m3;
            t.handler_s += part * delivered.duty;
            t.energy.heat_delivered_j += part * delivered.heating_w;
            t.energy.heat_removed_j += part * delivered.cooling_total_w;
            t.energy.heating_j[Fuel::Electricity.place()] += part * delivered.backup_w;
            if let (Some(flows), true) = (&self.handler, delivered.call > 0.0) {
                let fan_w = self.model.handler.as_ref().map_or(0.0, |h| h.power_w);
                let heat_w = (delivered.heating_w - delivered.cooling_w) / delivered.call + fan_w;
                let by_handler = if kind == 0 {
                    self.model.heating.as_ref().is_some_and(|h| h.delivery == Delivery::Handler)
                } else {
                    self.model.cooling.as_ref().is_some_and(|c| c.delivery == Delivery::Handler)
                };
                if by_handler {
                    let register_k = flows.register_k(heat_w, moment.outdoor.temp_k, &self.state.temp_k);
                    t.register[kind].0 += part * delivered.call * register_k;
                    t.register[kind].1 += part * delivered.call;
                }
            }
            if let Some(h) = &self.model.handler {
                t.energy.handler_fan_j += part * delivered.duty * h.power_w;
            }
            let exhausts = self.model.exhausts.iter().zip(&self.exhaust_part).map(|(f, on)| f.power_w * on);
            let vents = self.model.ventilators.iter().zip(&self.vent_part).map(|(v, on)| v.power_w * on);
            t.energy.ventilation_fan_j += part * exhausts.chain(vents).sum::<f64>();
            if let Some(thermostat) = &self.model.thermostat {
                let here_k = self.state.temp_k[thermostat.zone];
                let (heat_k, cool_k) = thermostat.at(moment.hour, moment.day_s);
                let missed_k = MISSED_K.max(thermostat.band_k);
                if here_k < heat_k - missed_k {
                    t.cold_s += part;
                }
                if here_k > cool_k + missed_k {
                    t.hot_s += part;
                }
            }
        }
        t.close_hour();
    }

    /// Parts with the runner: its tally, and what the scores still need.
    pub(super) fn finish(self, options: &Options, days_simulated: usize) -> Year {
        let finished = FinishedRun {
            model: self.model,
            mass_kg: self.mass_kg,
            books: self.books,
            gas_books: self.gas_books,
            worst_imbalance: self.air.worst_imbalance,
            solved_count: self.air.solved_count,
            newton_count: self.air.newton_count,
            days_simulated,
            owed: self.rules.as_ref().and_then(super::rules::Running::owed),
        };
        self.tally.finish(finished, options)
    }
}

#[cfg(test)]
mod tests {
    use super::weighted_quantile;

    #[test]
    fn a_weight_of_two_is_like_two_values() {
        let mut one: Vec<(f64, f64)> = (0..100).map(|k| (f64::from(k / 2), 1.0)).collect();
        let mut two: Vec<(f64, f64)> =
            (0..50).map(|k| (f64::from(k), if k == 0 { 2.000_001 } else { 2.0 })).collect();
        let (a, b) = (weighted_quantile(&mut one, 0.95), weighted_quantile(&mut two, 0.95));
        assert!((a - b).abs() < 0.6, "{a} {b}");
    }
}
