//! What is told at certain hours of the day: nights, departures, moisture, pressures, drifts, filters.

use super::event::{Due, Night, Range, Told};
use super::expect::HOUR_MS;
use super::nights::{self, Room};
use super::source::{At, Field};
use super::{Alert, Kind, MOST_NIGHTS, Setup, Watch, filter};
use crate::air;
use crate::procedure::tracer::Background;

/// Hours at which decays are looked for, and at which the night is over.
const DECAYS_AT: [usize; 2] = [7, 19];
const NIGHT_OVER: usize = 10;
const NIGHT_MS: i64 = 14 * HOUR_MS;
/// A decay that ended later than this before now may go on, ms.
const SETTLED_MS: i64 = HOUR_MS;
/// Gas constant of water vapour, J/(kg K) (8.314463 over 18.01528e-3).
const VAPOUR_J_KG_K: f64 = 461.523;
/// Standard deviations below outdoors that no chance explains: 1 in 2000.
const BELOW: f64 = 3.29;
/// Told again after, ms.
const AGAIN_MS: i64 = 30 * 24 * HOUR_MS;
/// 95 % of outdoor CO2 about its usual value where nobody measured it, volume fraction (an outdoor check
/// gives 420 to 430 ppm; cities more, from memory).
const OUTDOOR_LIMIT: f64 = 20e-6;

impl Watch {
    /// What is due at the end of an hour.
    pub(super) fn tell(&mut self, setup: &Setup<'_>, now_ms: i64, found: &mut Vec<Alert>) {
        let hour = setup.clock.hour(now_ms);
        if DECAYS_AT.contains(&hour) {
            self.decays(setup, now_ms);
        }
        if hour == NIGHT_OVER {
            self.build_ups(setup, now_ms);
        }
        if hour == 0 {
            self.day(setup, now_ms);
            self.below_outdoors(setup, now_ms, found);
            self.due(setup, now_ms, found);
        }
    }

    fn keep_nights(&mut self, list: Vec<Night>) {
        self.nights.extend(list);
        while self.nights.len() > MOST_NIGHTS {
            self.nights.pop_front();
        }
    }

    fn rooms<'b>(&'b self, setup: &'b Setup<'_>) -> (Vec<usize>, Vec<Room<'b>>) {
        let co2 = setup.sources.iter().enumerate().filter_map(|(k, s)| match s.at {
            At::Zone(zone) if s.field == Field::Co2 => Some((k, s, zone)),
            _ => None,
        });
        co2.map(|(k, source, zone)| {
            let volume = setup.draws.first().and_then(|m| m.zones.get(zone)).map(|z| z.volume_m3);
            let points = self.traces[k].raw.iter().copied().collect();
            (k, Room { trace: &source.name, points, volume_m3: volume, accuracy: source.accuracy })
        })
        .unzip()
    }

    /// Outdoor CO2 as measured in the last day, where it is.
    fn background(&self, setup: &Setup<'_>) -> Option<Background> {
        let at = setup.sources.iter().position(|s| s.at == At::Outdoors && s.field == Field::Co2)?;
        let last = self.traces[at].hours.iter().rev().take(24).filter_map(|h| h.measured);
        let list: Vec<f64> = last.collect();
        let value = list.iter().sum::<f64>() / list.len() as f64;
        let limit = setup.sources[at].accuracy.limit(value);
        (!list.is_empty()).then_some(Background { value, half: Some(limit) })
    }

    /// Looks for decays now; also for callers whose record ends here.
    pub fn decays(&mut self, setup: &Setup<'_>, now_ms: i64) {
        let background = self.background(setup);
        let (at, rooms) = self.rooms(setup);
        let after: Vec<i64> = at.iter().map(|k| self.traces[*k].decayed_ms).collect();
        let found = nights::decays(&rooms, background, &after, now_ms - SETTLED_MS);
        for k in at {
            let trace = &mut self.traces[k];
            let last = found.iter().filter(|n| n.trace == trace.name).map(|n| n.to_ms).max();
            trace.decayed_ms = last.map_or(trace.decayed_ms, |l| l.max(trace.decayed_ms));
        }
        self.keep_nights(found);
    }

    fn build_ups(&mut self, setup: &Setup<'_>, now_ms: i64) {
        let usual = Background { value: setup.outdoor_co2, half: Some(OUTDOOR_LIMIT) };
        let background = self.background(setup).unwrap_or(usual);
        let (_, rooms) = self.rooms(setup);
        let span = (now_ms - NIGHT_MS, now_ms - 2 * HOUR_MS);
        let found = rooms.iter().filter_map(|r| nights::build_up(r, background, span)).collect();
        self.keep_nights(found);
    }

    /// Moisture and pressures of the day that ends now.
    fn day(&mut self, setup: &Setup<'_>, now_ms: i64) {
        let from_ms = now_ms - 24 * HOUR_MS;
        let of = |at: At, field: Field| {
            let k = setup.sources.iter().position(|s| s.at == at && s.field == field)?;
            let list: Vec<f64> = (0..24)
                .filter_map(|h| self.traces[k].hour(from_ms + h * HOUR_MS, now_ms)?.measured)
                .collect();
            (list.len() >= 18).then_some((k, list))
        };
        let vapour = |at: At| {
            let ((_, temp), (rh_at, rh)) = (of(at, Field::Temp)?, of(at, Field::Rh)?);
            let n = temp.len().min(rh.len());
            let each = (0..n).map(|k| {
                let full = air::saturation_pressure_pa(temp[k]) / (VAPOUR_J_KG_K * temp[k]);
                (rh[k] * full, setup.sources[rh_at].accuracy.limit(rh[k]) * full)
            });
            let (sum, half) = each.fold((0.0, 0.0), |(s, h), (v, limit)| (s + v, h + limit));
            Some((sum / n as f64, half / n as f64))
        };
        let outdoors = vapour(At::Outdoors);
        let mut list = Vec::new();
        let mut zones: Vec<usize> = setup
            .sources
            .iter()
            .filter_map(|s| match s.at {
                At::Zone(z) => Some(z),
                _ => None,
            })
            .collect();
        zones.sort_unstable();
        zones.dedup();
        for zone in zones {
            let name = |field: Field| {
                let here = setup.sources.iter().find(|s| s.at == At::Zone(zone) && s.field == field);
                here.map_or_else(String::new, |s| s.name.clone())
            };
            if let (Some(outside), Some(inside)) = (outdoors, vapour(At::Zone(zone))) {
                let (si, half) = (inside.0 - outside.0, (inside.1 * inside.1 + outside.1 * outside.1).sqrt());
                let excess = Range { si, lo: Some(si - half), hi: Some(si + half) };
                let told = Told::Moisture { excess };
                list.push(Night { trace: name(Field::Rh), from_ms, to_ms: now_ms, told });
            }
            if setup.appliance_zone == Some(zone)
                && let Some((_, pa)) = of(At::Zone(zone), Field::Pressure)
            {
                let mean = pa.iter().sum::<f64>() / pa.len() as f64;
                let least = crate::math::min_valid(pa).unwrap_or(mean);
                let told = Told::Pressure { mean, least };
                list.push(Night { trace: name(Field::Pressure), from_ms, to_ms: now_ms, told });
            }
        }
        self.keep_nights(list);
    }

    /// CO2 below what air outdoors has: the sensor drifts, whatever the house does.
    fn below_outdoors(&mut self, setup: &Setup<'_>, now_ms: i64, found: &mut Vec<Alert>) {
        for (source, trace) in setup.sources.iter().zip(&mut self.traces) {
            if source.field != Field::Co2 {
                continue;
            }
            let week = trace.hours.iter().rev().take(168).filter_map(|h| h.measured);
            let Some(least) = crate::math::min_valid(week) else { continue };
            let own = source.accuracy.limit(setup.outdoor_co2);
            let sd = (own * own + OUTDOOR_LIMIT * OUTDOOR_LIMIT).sqrt() / 1.96;
            let told = trace.drifts_told_ms.is_some_and(|t| now_ms - t < AGAIN_MS);
            if (setup.outdoor_co2 - least) / sd > BELOW && !told {
                trace.drifts_told_ms = Some(now_ms);
                let (kind, of) = (Kind::BelowOutdoors, source.name.clone());
                found.push(Alert { kind, time_ms: now_ms, of, value: least, level: None, event: None });
            }
        }
    }

    /// Forecasts of all filters from every trace that tells them.
    pub fn filters(&self, setup: &Setup<'_>) -> Vec<Due> {
        let mut list = Vec::new();
        for of in &setup.filters {
            let (Some(path), Some(device)) = (of.path(), setup.devices.get(of.device)) else { continue };
            for (source, trace) in setup.sources.iter().zip(&self.traces) {
                let here = matches!(source.at, At::Device(d) if d == of.device);
                let Some(shows) = source.field.shows().filter(|_| here) else { continue };
                let new_day = of.new_ms.map_or(i64::MIN, |ms| setup.clock.day(ms)) as f64;
                let days: Vec<(f64, f64)> = trace.runs.iter().filter(|d| d.0 >= new_day).copied().collect();
                let Some(forecast) = filter::forecast(&path, shows, &days, of.limit) else { continue };
                list.push(Due {
                    device: device.name.clone(),
                    trace: source.name.clone(),
                    first_day: days.first().map_or(0.0, |d| d.0),
                    forecast,
                });
            }
        }
        list
    }

    fn due(&mut self, setup: &Setup<'_>, now_ms: i64, found: &mut Vec<Alert>) {
        let today = setup.clock.day(now_ms) as f64;
        for due in self.filters(setup) {
            // Told where even the lower end of what it holds now is beyond the limit's half way: the date itself.
            let come = due.forecast.due_day.is_some_and(|d| d <= today) && due.forecast.load.1 > 1.0;
            let told = self.due_told.iter().any(|t| t.0 == due.device && now_ms - t.1 < AGAIN_MS);
            if come && !told {
                self.due_told.retain(|t| t.0 != due.device);
                self.due_told.push((due.device.clone(), now_ms));
                let value = due.forecast.load.0;
                found.push(Alert {
                    kind: Kind::FilterDue,
                    time_ms: now_ms,
                    of: due.device,
                    value,
                    level: None,
                    event: None,
                });
            }
        }
    }
}
