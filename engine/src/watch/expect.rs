//! What the fitted house would show hour by hour, under the weather and the device states of those hours.

use super::source::{At, Device, Field, Source};
use crate::air;
use crate::weather::{Hour, Weather};
use crate::year::live::{self, Held, Instant, Standing};
use crate::year::{Model, Target, YearError};

/// Inner step, s.
pub const STEP_S: f64 = 300.0;
/// One hour, ms.
pub const HOUR_MS: i64 = 3_600_000;

/// The clock of the house's weather: ms of UTC to s of the year in standard time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Clock {
    /// Standard time ahead of UTC, s.
    pub ahead_s: f64,
}

impl Clock {
    /// Seconds of the year, standard time. The last day of a leap year follows the 365th.
    pub fn year_s(self, time_ms: i64) -> f64 {
        let local_ms = time_ms + (self.ahead_s * 1000.0) as i64;
        let date = jiff::Timestamp::from_millisecond(local_ms)
            .map(|t| jiff::tz::Offset::UTC.to_datetime(t))
            .unwrap_or_default();
        let midnight = f64::from(date.date().day_of_year() - 1) * 86_400.0;
        midnight + local_ms.rem_euclid(86_400_000) as f64 / 1000.0
    }

    /// Hour of the day, standard time.
    pub fn hour(self, time_ms: i64) -> usize {
        let local_ms = time_ms + (self.ahead_s * 1000.0) as i64;
        usize::try_from(local_ms.rem_euclid(86_400_000) / HOUR_MS).unwrap_or(0)
    }

    /// Whole days since 1970, standard time.
    pub fn day(self, time_ms: i64) -> i64 {
        (time_ms + (self.ahead_s * 1000.0) as i64).div_euclid(86_400_000)
    }
}

/// Hourly means of one trace over a stretch of hours, NaN in gaps.
pub type Hours<'a> = &'a dyn Fn(usize, i64) -> f64;

/// What a model needs to be stepped over some hours.
pub struct Around<'a> {
    /// Traces.
    pub sources: &'a [Source],
    /// Devices.
    pub devices: &'a [Device],
    /// The typical year, with measured hours written over it.
    pub weather: &'a Weather,
    /// The clock.
    pub clock: Clock,
    /// Measured hourly mean of a source in the hour that starts at a time, ms.
    pub measured: Hours<'a>,
}

/// Writes the measured hours of outdoor traces over a typical year. Values hold at the end of their hour.
pub fn outdoors(typical: &Weather, around: &Around<'_>, from_ms: i64, to_ms: i64) -> Weather {
    let mut weather = typical.clone();
    let count = weather.hours.len();
    let outdoor = |field: Field| around.sources.iter().position(|s| s.at == At::Outdoors && s.field == field);
    let (temp, rh, wind, pm) =
        (outdoor(Field::Temp), outdoor(Field::Rh), outdoor(Field::Wind), outdoor(Field::Pm25));
    if count == 0 || [temp, rh, wind, pm].iter().all(Option::is_none) {
        return weather;
    }
    if pm.is_some() && weather.pm25_kg_m3.is_empty() {
        weather.pm25_kg_m3 = vec![8e-9; count];
    }
    let mut at_ms = from_ms;
    while at_ms < to_ms {
        let place = (around.clock.year_s(at_ms) / 3600.0).floor().rem_euclid(count as f64);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 <= place < count")]
        let place = place as usize;
        // The mean of two hours holds between them.
        let ending = |source: Option<usize>| {
            let (now, next) = (
                source.map(|s| (around.measured)(s, at_ms)),
                source.map(|s| (around.measured)(s, at_ms + HOUR_MS)),
            );
            match (now.filter(|v| v.is_finite()), next.filter(|v| v.is_finite())) {
                (Some(a), Some(b)) => Some(0.5 * (a + b)),
                (a, _) => a,
            }
        };
        let hour: &mut Hour = &mut weather.hours[place];
        let was_rh = air::relative_humidity(hour.temp_k, hour.w_kg_kg, hour.pressure_pa);
        let (temp_k, wet) = (ending(temp), ending(rh));
        if temp_k.is_some() || wet.is_some() {
            hour.temp_k = temp_k.unwrap_or(hour.temp_k);
            let wet = wet.unwrap_or(was_rh).clamp(0.0, 1.0);
            hour.w_kg_kg =
                air::humidity_ratio(wet * air::saturation_pressure_pa(hour.temp_k), hour.pressure_pa);
        }
        if let Some(speed) = ending(wind) {
            hour.wind_m_s = speed;
        }
        if let (Some(s), Some(of)) = (pm, weather.pm25_kg_m3.get_mut(place)) {
            let value = (around.measured)(s, at_ms);
            if value.is_finite() {
                *of = value;
            }
        }
        at_ms += HOUR_MS;
    }
    weather
}

/// What an instant of the model shows to a source; nothing for what the model does not know.
pub fn shows(model: &Model, source: &Source, devices: &[Device], now: &Instant) -> Option<f64> {
    let density = air::REFERENCE_DENSITY_KG_M3;
    match source.at {
        At::Outdoors | At::Door(_) => None,
        At::Zone(z) => match source.field {
            Field::Temp => now.temp_k.get(z).copied(),
            Field::Co2 => now.co2.get(z).copied(),
            Field::Pm25 => now.pm25_kg_m3.get(z).copied(),
            Field::Pressure => now.pressure_pa.get(z).copied(),
            Field::Rh => {
                let (temp_k, w) = (now.temp_k.get(z)?, now.w_kg_kg.get(z)?);
                Some(air::relative_humidity(*temp_k, *w, now.station_pa))
            }
            _ => None,
        },
        At::Device(d) => {
            let (part, flow_kg_s, power_w) = match devices.get(d)?.target {
                Target::Exhaust(k) => {
                    let fan = model.exhausts.get(k)?;
                    (now.exhausts.get(k)?, fan.flow_kg_s, fan.power_w)
                }
                Target::Ventilator(k) => {
                    let v = model.ventilators.get(k)?;
                    (now.ventilators.get(k)?, v.supply_kg_s.iter().map(|s| s.1).sum(), v.power_w)
                }
                Target::Handler => {
                    let h = model.handler.as_ref()?;
                    (&now.handler, h.flow_kg_s, h.power_w)
                }
                Target::Drier(_) | Target::Absent => return None,
            };
            match source.field {
                Field::Flow if flow_kg_s > 0.0 => Some(part * flow_kg_s / density),
                Field::Power if power_w > 0.0 => Some(part * power_w),
                _ => None,
            }
        }
    }
}

/// What is known of devices, doors and people in an hour, at this part of it (0 to 1). A door that was open for a part of
/// the hour is open in its first part: which part it was the mean does not tell.
fn hold(around: &Around<'_>, (hour_ms, part_of_hour): (i64, f64), model: &Model, held: &mut Held) {
    held.exhausts.clear();
    held.exhausts.resize(model.exhausts.len(), None);
    held.ventilators.clear();
    held.ventilators.resize(model.ventilators.len(), None);
    held.handler = None;
    held.doors.clear();
    held.doors.resize(model.doors.len(), None);
    held.people.clear();
    held.people.resize(model.zones.len(), None);
    for (at, source) in around.sources.iter().enumerate().filter(|(_, s)| s.field.drives()) {
        let part = (around.measured)(at, hour_ms);
        if !part.is_finite() {
            continue;
        }
        if let (Field::People, At::Zone(z)) = (source.field, source.at)
            && let Some(people) = held.people.get_mut(z)
        {
            *people = Some(part.max(0.0));
        }
        let part = part.clamp(0.0, 1.0);
        if let (Field::Open, At::Door(k)) = (source.field, source.at)
            && let Some(open) = held.doors.get_mut(k)
        {
            *open = Some(part_of_hour < part);
        }
        let (Field::On, At::Device(d)) = (source.field, source.at) else { continue };
        match around.devices.get(d).map(|d| d.target) {
            Some(Target::Exhaust(k)) => held.exhausts[k] = Some(part),
            Some(Target::Ventilator(k)) => held.ventilators[k] = Some(part),
            Some(Target::Handler) => held.handler = Some(part),
            _ => {}
        }
    }
}

/// Steps one model over whole hours. Returns hourly means by source (in the order of the sources; NaN where the
/// model knows nothing) and the outdoor air of each hour, m3/s.
///
/// # Errors
/// [`YearError`].
pub fn hours(
    model: &Model,
    standing: &mut Standing,
    around: &Around<'_>,
    (from_ms, count): (i64, usize),
) -> Result<(Vec<Vec<f64>>, Vec<f64>), YearError> {
    let mut sums = vec![vec![0.0; count]; around.sources.len()];
    let mut outdoor_air = vec![0.0; count];
    let from_s = around.clock.year_s(from_ms);
    let span_s = (from_s, from_s + 3600.0 * count as f64);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 <= hour < count")]
    let hour_of = |time_s: f64| (((time_s - from_s) / 3600.0).max(0.0) as usize).min(count - 1);
    live::step(
        model,
        around.weather,
        standing,
        span_s,
        STEP_S,
        &mut |middle_s, held| {
            let hour = hour_of(middle_s);
            let part = (middle_s - from_s) / 3600.0 - hour as f64;
            hold(around, (from_ms + HOUR_MS * hour as i64, part), model, held);
        },
        &mut |end_s, dt_s, now| {
            let hour = hour_of(end_s - 0.5 * dt_s);
            for (list, source) in sums.iter_mut().zip(around.sources) {
                list[hour] += shows(model, source, around.devices, now).unwrap_or(f64::NAN) * dt_s / 3600.0;
            }
            outdoor_air[hour] += now.outdoor_air_kg_s / air::REFERENCE_DENSITY_KG_M3 * dt_s / 3600.0;
        },
    )?;
    Ok((sums, outdoor_air))
}
