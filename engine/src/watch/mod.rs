//! The watch over a house: what its traces show against what the fitted house is expected to show.
//!
//! Everything comes in: points of named traces ([`Watch::take`]), the time ([`Watch::advance`]), the
//! fitted house and what is known of its devices ([`Setup`]). Everything that is remembered is in [`Watch`], which is
//! bounded and can be written down; the setup is given anew after a restart. Hours are the step in which traces are judged.
//!
//! An expectation is the mean of the year's model over draws of the fit, stepped under the outdoor air and the device states
//! of the hour ([`expect`]), plus what the trace usually shows beside it ([`chart::Usual`]). Its interval has three parts,
//! each said: the spread of the draws, the instrument's own, and the learned scatter. Charts find
//! when a trace left it for long enough that chance is no explanation ([`chart`]); causes are weighed by
//! stepping the house again with each ([`cause`]). Carbon monoxide waits for nothing ([`alert`]).
//!
//! What it cannot see: what was there while it learned (the first weeks), changes that no trace feels, and people's
//! intentions. It is no alarm.

pub mod alert;
pub mod cause;
pub mod chart;
pub mod event;
pub mod expect;
pub mod filter;
mod judge;
pub mod nights;
pub mod signals;
pub mod source;
mod told;
mod trace;

pub use alert::{Alert, Kind, Level};
pub use event::{Cause, Due, Event, Moved, Night, Question, Range, Told, What};
pub use expect::{Clock, HOUR_MS};
pub use source::{At, Device, Field, Filter, Source};
pub use trace::{Hourly, Trace};

use crate::doc::rules::Exposure;
use crate::rule::exposure_after;
use crate::weather::Weather;
use crate::year::live::Standing;
use crate::year::{Model, YearError};
use expect::Around;
use serde::{Deserialize, Serialize};
use std::collections::VecDeque;

/// What was expected, hour by hour, that waits for somebody to ask: a day of 170 traces.
const MOST_BANDS: usize = 4096;
/// Hours stepped at a time.
const CHUNK: i64 = 24;
/// Where the house stood is remembered once a day, for so many days.
const CHECKPOINTS: usize = 21;
const MOST_EVENTS: usize = 200;
const MOST_ALERTS: usize = 500;
const MOST_NIGHTS: usize = 600;
/// False alarms of the whole house by chance that the charts are set for, a month of 730 h.
pub const FALSE_A_MONTH: f64 = 0.2;
/// Outdoor CO2 where nothing says otherwise: the middle of the 420 to 430 ppm of an outdoor check (from memory).
pub const OUTDOOR_CO2: f64 = 425e-6;
/// Debt that is told, s of one excess exposure.
const DEBT_TOLD_S: f64 = 86_400.0;

/// What the watch works with; given anew after a restart.
#[derive(Clone, Debug)]
pub struct Setup<'a> {
    /// Traces. The memory of a trace goes by its name.
    pub sources: Vec<Source>,
    /// Devices.
    pub devices: Vec<Device>,
    /// Filters.
    pub filters: Vec<Filter>,
    /// Houses that the fit allows, the middle one first; empty without a fit.
    pub draws: &'a [Model],
    /// A typical year, for what is not measured outdoors; without it nothing is expected of rooms.
    pub weather: Option<&'a Weather>,
    /// The clock.
    pub clock: Clock,
    /// False alarms of the charts a month.
    pub false_a_month: f64,
    /// Outdoor air that the house is meant to have.
    pub exposure: Option<Exposure>,
    /// Volume of what is lived in, m3.
    pub volume_m3: f64,
    /// Outdoor CO2, volume fraction.
    pub outdoor_co2: f64,
    /// Zone with a combustion appliance.
    pub appliance_zone: Option<usize>,
}

/// Everything that the watch remembers.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Watch {
    /// End of the last hour judged, ms.
    done_ms: Option<i64>,
    /// First hour judged, ms.
    began_ms: Option<i64>,
    traces: Vec<Trace>,
    standings: Vec<Standing>,
    checkpoints: VecDeque<(i64, Standing)>,
    events: VecDeque<Event>,
    alerts: VecDeque<Alert>,
    nights: VecDeque<Night>,
    next_event: u64,
    /// Relative exposure and what is owed, s.
    owed: Option<(f64, f64)>,
    debt_told: bool,
    due_told: Vec<(String, i64)>,
    /// What was expected in hours that nobody asked for yet; not written down.
    #[serde(skip)]
    bands: VecDeque<Band>,
}

/// What was expected of one trace in one hour.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Band {
    /// The source, by index.
    pub source: usize,
    /// Start of the hour, ms.
    pub hour_ms: i64,
    /// Mean measured, SI.
    pub measured: Option<f64>,
    /// Expected, SI.
    pub expected: f64,
    /// Ends of the 95 % interval.
    pub interval: (f64, f64),
    /// Standard deviations that make it: draws of the fit, instrument, what is learned.
    pub parts: (f64, f64, f64),
}

/// A trace as it stands now.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Now {
    /// Its name.
    pub trace: String,
    /// Start of the last hour with a mean, ms.
    pub hour_ms: i64,
    /// Mean of that hour, SI.
    pub measured: f64,
    /// Expected, SI; nothing while it is learned.
    pub expected: Option<f64>,
    /// Ends of the 95 % interval.
    pub interval: Option<(f64, f64)>,
    /// Standard deviations that make it: draws of the fit, instrument, what is learned.
    pub parts: Option<(f64, f64, f64)>,
    /// Whether it lies within.
    pub within: Option<bool>,
}

impl Watch {
    /// End of the last hour judged, ms.
    pub fn done_ms(&self) -> Option<i64> {
        self.done_ms
    }

    /// Events, the oldest first.
    pub fn events(&self) -> impl Iterator<Item = &Event> {
        self.events.iter()
    }

    /// Alerts, the oldest first.
    pub fn alerts(&self) -> impl Iterator<Item = &Alert> {
        self.alerts.iter()
    }

    /// What nights and departures told, the oldest first.
    pub fn nights(&self) -> impl Iterator<Item = &Night> {
        self.nights.iter()
    }

    /// Traces, as remembered.
    pub fn traces(&self) -> &[Trace] {
        &self.traces
    }

    /// Relative exposure and what is owed, s of one excess exposure.
    pub fn owed(&self) -> Option<(f64, f64)> {
        self.owed
    }

    /// Another house, or another fit of it, is watched from now on. Where the house stood is forgotten; what traces usually
    /// show beside the expectation counts as little as three days of it.
    pub fn rehoused(&mut self) {
        self.standings.clear();
        self.checkpoints.clear();
        for trace in &mut self.traces {
            trace.usual.loosen();
            trace.hourly.reset();
            trace.daily.iter_mut().for_each(chart::Chart::reset);
        }
    }

    /// What was expected in the hours judged since this was last asked, the oldest first; no more than the last 4096 of all
    /// traces. It is not written down with the watch.
    pub fn take_bands(&mut self) -> Vec<Band> {
        self.bands.drain(..).collect()
    }

    pub(crate) fn keep_band(&mut self, band: Band) {
        self.bands.push_back(band);
        if self.bands.len() > MOST_BANDS {
            self.bands.pop_front();
        }
    }

    fn at(&mut self, setup: &Setup<'_>) {
        for source in &setup.sources {
            if !self.traces.iter().any(|t| t.name == source.name) {
                self.traces.push(Trace::new(&source.name));
            }
        }
        // In the order of the sources; what is no longer given is kept behind them.
        for (k, source) in setup.sources.iter().enumerate() {
            if let Some(at) = self.traces.iter().position(|t| t.name == source.name)
                && at != k
            {
                self.traces.swap(at, k);
            }
        }
    }

    /// Takes points of a source, by its index: time (ms, UTC) and value (SI), in any order. Carbon monoxide at or
    /// above a level comes back at once, every sample of it that is graver than the one before or an hour later.
    pub fn take(&mut self, setup: &Setup<'_>, source: usize, points: &[(i64, f64)]) -> Vec<Alert> {
        self.at(setup);
        let Some(of) = setup.sources.get(source) else { return Vec::new() };
        let mut found: Vec<Alert> = Vec::new();
        let raw = of.field == Field::Co2 && matches!(of.at, At::Zone(_));
        for (time_ms, value) in points.iter().copied().filter(|p| p.1.is_finite()) {
            if let Some(trace) = self.traces.get_mut(source) {
                trace.take(time_ms, value, self.done_ms, raw);
            }
            if of.field == Field::Co
                && let Some((level, _)) = alert::level_of(value)
            {
                let same = |a: &Alert| a.kind == Kind::CarbonMonoxide && a.of == of.name;
                let last = found
                    .iter()
                    .rev()
                    .find(|a| same(a))
                    .or_else(|| self.alerts.iter().rev().find(|a| same(a)));
                let repeats =
                    last.is_some_and(|l| l.level >= Some(level) && (time_ms - l.time_ms).abs() < HOUR_MS);
                if !repeats {
                    found.push(Alert {
                        kind: Kind::CarbonMonoxide,
                        time_ms,
                        of: of.name.clone(),
                        value,
                        level: Some(level),
                        event: None,
                    });
                }
            }
        }
        self.keep_alerts(&found);
        found
    }

    fn keep_alerts(&mut self, found: &[Alert]) {
        self.alerts.extend(found.iter().cloned());
        while self.alerts.len() > MOST_ALERTS {
            self.alerts.pop_front();
        }
    }

    /// Judges all whole hours before `now_ms`; what is new to tell comes back.
    ///
    /// # Errors
    /// [`YearError`] of the model; what was judged before stays.
    pub fn advance(&mut self, setup: &Setup<'_>, now_ms: i64) -> Result<Vec<Alert>, YearError> {
        self.at(setup);
        let mut found = Vec::new();
        let to_ms = now_ms.div_euclid(HOUR_MS) * HOUR_MS;
        let first = self.traces.iter().filter_map(Trace::first_bin_ms).min();
        let Some(mut from_ms) = self.done_ms.or(first) else { return Ok(found) };
        // After a long rest nothing is stepped through that nobody measured.
        if to_ms - from_ms > 60 * CHUNK * HOUR_MS {
            from_ms = first.unwrap_or(from_ms).max(from_ms);
        }
        self.began_ms.get_or_insert(from_ms);
        while from_ms < to_ms {
            let midnight = CHUNK - setup.clock.hour(from_ms) as i64;
            let count = midnight.min((to_ms - from_ms) / HOUR_MS).max(1);
            self.chunk(setup, from_ms, usize::try_from(count).unwrap_or(1), &mut found)?;
            from_ms += count * HOUR_MS;
        }
        for (source, trace) in setup.sources.iter().zip(&mut self.traces) {
            if let Some(quiet_s) = trace.silence_s(now_ms).filter(|_| !trace.silent) {
                trace.silent = true;
                let (kind, of) = (Kind::Silence, source.name.clone());
                found.push(Alert { kind, time_ms: now_ms, of, value: quiet_s, level: None, event: None });
            }
        }
        self.keep_alerts(&found);
        Ok(found)
    }

    /// Some hours of one day: expected of all draws at once, then judged one by one.
    fn chunk(
        &mut self,
        setup: &Setup<'_>,
        from_ms: i64,
        count: usize,
        found: &mut Vec<Alert>,
    ) -> Result<(), YearError> {
        let done_ms = self.done_ms.unwrap_or(from_ms);
        let mut expected: Vec<Vec<Vec<f64>>> = Vec::new();
        let mut outdoor_air = vec![f64::NAN; count];
        if let Some(typical) = setup.weather.filter(|_| !setup.draws.is_empty()) {
            let traces = &self.traces;
            let measured = |s: usize, ms: i64| {
                let known = traces.get(s).and_then(|t| {
                    if ms < done_ms { t.hour(ms, done_ms).and_then(|h| h.measured) } else { t.waiting(ms) }
                });
                known.unwrap_or(f64::NAN)
            };
            let (sources, devices) = (setup.sources.as_slice(), setup.devices.as_slice());
            let around =
                Around { sources, devices, weather: typical, clock: setup.clock, measured: &measured };
            let weather =
                expect::outdoors(typical, &around, from_ms - HOUR_MS, from_ms + HOUR_MS * count as i64);
            let around = Around { weather: &weather, ..around };
            if self.standings.len() != setup.draws.len() {
                self.standings.clear();
                for model in setup.draws {
                    let mut standing = Standing::new(model, &weather)?;
                    // Three days of what is known make it forget how it began.
                    let warm = 72;
                    expect::hours(model, &mut standing, &around, (from_ms - warm * HOUR_MS, warm as usize))?;
                    self.standings.push(standing);
                }
                self.checkpoints.clear();
            }
            // Once a day, however often it is asked.
            let old = self.checkpoints.back().is_none_or(|c| from_ms - c.0 >= CHUNK * HOUR_MS);
            if let Some(first) = self.standings.first().filter(|_| old) {
                self.checkpoints.push_back((from_ms, first.clone()));
                while self.checkpoints.len() > CHECKPOINTS {
                    self.checkpoints.pop_front();
                }
            }
            for (at, (model, standing)) in setup.draws.iter().zip(&mut self.standings).enumerate() {
                let (list, air) = expect::hours(model, standing, &around, (from_ms, count))?;
                expected.push(list);
                if at == 0 {
                    outdoor_air = air;
                }
            }
        }
        for k in 0..count {
            let hour_ms = from_ms + HOUR_MS * k as i64;
            let of = |source: usize| {
                let draws: Vec<f64> =
                    expected.iter().map(|d| d[source][k]).filter(|v| v.is_finite()).collect();
                let n = draws.len() as f64;
                let mean = draws.iter().sum::<f64>() / n;
                let square: f64 = draws.iter().map(|v| (v - mean) * (v - mean)).sum();
                (!draws.is_empty()).then(|| (mean, if n > 1.0 { (square / (n - 1.0)).sqrt() } else { 0.0 }))
            };
            let list: Vec<Option<(f64, f64)>> = (0..setup.sources.len()).map(of).collect();
            self.judge(setup, hour_ms, &list, found);
            self.owe(setup, outdoor_air[k], hour_ms, found);
            self.tell(setup, hour_ms + HOUR_MS, found);
        }
        self.weigh_events(setup)
    }

    fn owe(&mut self, setup: &Setup<'_>, outdoor_air_m3_s: f64, hour_ms: i64, found: &mut Vec<Alert>) {
        let Some(exposure) = setup.exposure.filter(|_| setup.volume_m3 > 0.0) else { return };
        let (relative, owed_s) = self.owed.unwrap_or((1.0, 0.0));
        let flow = if outdoor_air_m3_s.is_finite() { outdoor_air_m3_s } else { exposure.infiltration_m3_s };
        let (after, seconds) = exposure_after(relative, 3600.0, flow, exposure.target_m3_s, setup.volume_m3);
        let owed_s = (owed_s + seconds - 3600.0).max(0.0);
        if owed_s > DEBT_TOLD_S && !self.debt_told {
            self.debt_told = true;
            let (time_ms, of) = (hour_ms + HOUR_MS, "house".to_owned());
            found.push(Alert { kind: Kind::Debt, time_ms, of, value: owed_s, level: None, event: None });
        }
        self.debt_told &= owed_s > 0.0;
        self.owed = Some((after, owed_s));
    }

    /// Each trace in its last hour that has a mean.
    pub fn now(&self, setup: &Setup<'_>) -> Vec<Now> {
        let Some(done_ms) = self.done_ms else { return Vec::new() };
        let one = |(source, trace): (&Source, &Trace)| {
            let back = trace.hours.iter().rev().position(|h| h.measured.is_some())?;
            let hour = *trace.hours.get(trace.hours.len() - 1 - back)?;
            let hour_ms = done_ms - HOUR_MS * (back as i64 + 1);
            let measured = hour.measured?;
            let usual = trace.usual.at(setup.clock.hour(hour_ms));
            let known = hour
                .expected
                .zip(usual)
                .map(|(expected, usual)| band(source, (expected, hour.spread), usual, measured));
            Some(Now {
                trace: source.name.clone(),
                hour_ms,
                measured,
                expected: known.map(|k| k.0),
                interval: known.map(|k| k.1),
                parts: known.map(|k| k.2),
                within: known.map(|k| k.1.0 <= measured && measured <= k.1.1),
            })
        };
        setup.sources.iter().zip(&self.traces).filter_map(one).collect()
    }
}

/// Expected, the ends of the 95 % interval, and its parts: draws of the fit, instrument, what is learned.
fn band(
    source: &Source,
    (expected, spread): (f64, f64),
    (usual, scatter): (f64, f64),
    level: f64,
) -> (f64, (f64, f64), (f64, f64, f64)) {
    let parts = (spread, 0.5 * source.accuracy.limit(level), scatter);
    let sd = (parts.0 * parts.0 + parts.1 * parts.1 + parts.2 * parts.2).sqrt();
    let (at, half) = (expected + usual, 1.96 * sd);
    (at, (at - half, at + half), parts)
}
