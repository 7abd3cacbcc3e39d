//! One hour judged: charts, and the events they open and close.

use super::cause::{self, Evidence, Scene};
use super::chart::{Chart, Layout, limit, run_length};
use super::event::{Event, Moved, Question};
use super::expect::{self, Around, HOUR_MS};
use super::source::{At, Field, Source};
use super::trace::{Hourly, Trace};
use super::{Alert, Band, Kind, MOST_EVENTS, Setup, Watch};
use crate::year::YearError;

/// A trace that alarms so soon after another belongs to the same event, ms.
const JOINS_MS: i64 = 72 * HOUR_MS;
/// An event lasts at least, and becomes usual after, ms.
const LEAST_MS: i64 = 12 * HOUR_MS;
const USUAL_MS: i64 = 14 * 24 * HOUR_MS;
/// What is over so soon is something that a house does now and then: its days count among the others, ms.
const PASSES_MS: i64 = 72 * HOUR_MS;
/// Hours over which the level of a trace of an event is a mean.
const LEVEL_H: f64 = 24.0;
/// Levels within which it counts as back, in usual scatters.
const BACK: f64 = 1.5;
/// Causes are weighed at this time after an event is known, and again a day later.
const WEIGH_MS: [i64; 2] = [0, 24 * HOUR_MS];
/// Hours of an event that are weighed at most.
const WEIGHED_H: i64 = 96;
/// Part of the instrument's limit below which no scatter is believed.
const LEAST_SCATTER: f64 = 0.05;

/// How the false alarms of a trace are shared among its charts: of hours, of days for large shifts, of
/// days for small ones. Hours have the least: there a chance alarm is the likeliest to be told too soon.
const SHARES: [f64; 3] = [0.1, 0.5, 0.4];
const DAYS_A_MONTH: f64 = 730.0 / 24.0;

/// The charts of one trace.
pub(super) struct Layouts {
    /// False alarms of the chart of hours, a day.
    jumps_a_day: f64,
    daily: [Layout; 2],
}

pub(super) fn layouts(setup: &Setup<'_>) -> Layouts {
    let a_day = setup.false_a_month / DAYS_A_MONTH / charted(setup).max(1.0);
    // Two sides share the rate.
    let h = |k: f64, share: f64| limit(k, 2.0 / (a_day * share));
    let (large, small) = (h(1.0, SHARES[1]), h(0.5, SHARES[2]));
    let layout = |k: f64, h: f64, cap: f64| Layout { k, h, kept: 120, needed: 28, cap };
    Layouts {
        jumps_a_day: a_day * SHARES[0],
        // No single day alarms alone.
        daily: [layout(1.0, large, large + 1.0 - 1e-6), layout(0.5, small, 3.0)],
    }
}

impl Layouts {
    fn stirred(&self, trace: &Trace) -> bool {
        let days = trace.daily.iter().zip(&self.daily).any(|(c, l)| c.is_stirred(l));
        days || trace.hourly.is_stirred(self.jumps_a_day)
    }
}

fn is_charted(source: &Source) -> bool {
    !matches!(source.at, At::Outdoors | At::Door(_)) && !source.field.drives() && source.field != Field::Co
}

fn charted(setup: &Setup<'_>) -> f64 {
    setup.sources.iter().filter(|s| is_charted(s)).count() as f64
}

impl Watch {
    /// Judges the hour that starts at `hour_ms`; `expected` by source as mean and standard deviation of the draws.
    pub(super) fn judge(
        &mut self,
        setup: &Setup<'_>,
        hour_ms: i64,
        expected: &[Option<(f64, f64)>],
        found: &mut Vec<Alert>,
    ) {
        let layouts = layouts(setup);
        let (hour, end_ms) = (setup.clock.hour(hour_ms), hour_ms + HOUR_MS);
        let new_day = hour == 23;
        let mut alarms: Vec<(usize, usize)> = Vec::new();
        let mut bands: Vec<Band> = Vec::new();
        for (at, source) in setup.sources.iter().enumerate() {
            let Some(trace) = self.traces.get_mut(at) else { continue };
            let (mean, running, least) = trace.close(hour_ms);
            let device = matches!(source.at, At::Device(_));
            let known = expected.get(at).copied().flatten();
            // What the model does not know of a device is judged by itself, while it runs.
            let own = device && known.is_none() && source.field.shows().is_some();
            let measured = if own { running } else { mean };
            if let Some(value) = running.filter(|_| device && source.field.shows().is_some()) {
                let day = (setup.clock.day(hour_ms)) as f64;
                trace.keep_run(day, value);
            }
            if let Some(least) = least {
                trace.day_least = Some(trace.day_least.map_or(least, |l: f64| l.min(least)));
            }
            let known = if own { Some((0.0, 0.0)) } else { known };
            if let (Some(known), Some(usual), true) = (known, trace.usual.at(hour), is_charted(source)) {
                let level = measured.unwrap_or(known.0 + usual.0);
                let (expected, interval, parts) = super::band(source, known, usual, level);
                bands.push(Band { source: at, hour_ms, measured, expected, interval, parts });
            }
            trace.keep(Hourly { measured, expected: known.map(|k| k.0), spread: known.map_or(0.0, |k| k.1) });
            let open = self
                .events
                .iter_mut()
                .rev()
                .find(|e| e.end_ms.is_none() && e.traces.iter().any(|m| m.trace == source.name));
            let (Some(measured), Some((expected, spread)), true) = (measured, known, is_charted(source))
            else {
                trace.hourly.gap();
                continue;
            };
            let residual = measured - expected;
            let least_scatter = (LEAST_SCATTER * source.accuracy.limit(measured)).max(1e-12);
            let usual = trace.usual.at(hour);
            let quiet = open.is_none() && !layouts.stirred(trace);
            if let Some((mean, scatter)) = usual {
                // Where the draws disagree more than they do usually, the model may be off by as much.
                let sd = (scatter * scatter + spread * spread).sqrt().max(least_scatter);
                let value = (residual - mean) / sd;
                trace.hourly.take(value, quiet);
                trace.day.0 += value;
                trace.day.1 += 1.0;
                if let Some(event) = open {
                    follow(event, &source.name, (residual - mean, value), hour_ms);
                } else if trace.hourly.alarms(layouts.jumps_a_day) {
                    alarms.push((at, 0));
                }
            }
            if quiet {
                trace.usual.take(hour, residual);
            }
        }
        bands.into_iter().for_each(|b| self.keep_band(b));
        if new_day {
            for at in 0..setup.sources.len() {
                self.end_of_day(setup, (at, setup.clock.day(hour_ms) as f64), &layouts, &mut alarms);
            }
        }
        self.done_ms = Some(end_ms);
        // The strongest first: it gives the event its name.
        let strength = |alarm: &(usize, usize)| {
            let (source, trace) = (setup.sources.get(alarm.0)?, self.traces.get(alarm.0)?);
            let (start_ms, _) = began(trace, alarm.1, &layouts, end_ms);
            Some(past(trace, setup, start_ms, end_ms, source).2.abs())
        };
        let mut strengths: Vec<(f64, (usize, usize))> =
            alarms.iter().map(|a| (strength(a).unwrap_or(0.0), *a)).collect();
        strengths.sort_by(|a, b| b.0.total_cmp(&a.0));
        for (_, (at, chart)) in strengths {
            self.open(setup, at, (chart, &layouts), end_ms, found);
        }
        self.close_events(end_ms);
    }

    fn end_of_day(
        &mut self,
        setup: &Setup<'_>,
        (at, day): (usize, f64),
        layouts: &Layouts,
        alarms: &mut Vec<(usize, usize)>,
    ) {
        let Some(trace) = self.traces.get_mut(at) else { return };
        let name = &setup.sources[at].name;
        if matches!(setup.sources[at].at, At::Device(_)) && setup.sources[at].field.shows().is_some() {
            trace.keep_steady(day);
        }
        let open =
            self.events.iter().any(|e| e.end_ms.is_none() && e.traces.iter().any(|m| m.trace == *name));
        trace.hourly.end_day(!open);
        let (sum, count) = std::mem::take(&mut trace.day);
        if count < 12.0 {
            trace.daily.iter_mut().for_each(Chart::gap);
            return;
        }
        for k in 0..2 {
            trace.daily[k].take(sum / count, !open, &layouts.daily[k]);
            let told = alarms.iter().any(|a| a.0 == at);
            if !open && !told && trace.daily[k].alarm(&layouts.daily[k]).is_some() {
                alarms.push((at, k + 1));
            }
        }
    }

    fn open(
        &mut self,
        setup: &Setup<'_>,
        at: usize,
        (chart, layouts): (usize, &Layouts),
        now_ms: i64,
        found: &mut Vec<Alert>,
    ) {
        let (Some(source), Some(trace)) = (setup.sources.get(at), self.traces.get(at)) else { return };
        let (start_ms, a_day) = began(trace, chart, layouts, now_ms);
        let chance_a_month = a_day * DAYS_A_MONTH * charted(setup);
        let (sum, most, level) = past(trace, setup, start_ms, now_ms, source);
        let by = if sum.1 > 0.0 { sum.0 / sum.1 } else { 0.0 };
        let moved = Moved { trace: source.name.clone(), by, most, level, chance_a_month, sum };
        let question = question(setup, source);
        // What began after another event was known is an event of its own.
        let joins =
            |e: &&mut Event| e.end_ms.is_none() && now_ms - e.known_ms <= JOINS_MS && start_ms <= e.known_ms;
        if let Some(event) = self.events.iter_mut().rev().find(joins) {
            // Stronger than all that was told of the event: nobody may look for it there.
            let stronger = event.traces.iter().all(|m| m.level.abs() < moved.level.abs());
            if now_ms > event.known_ms && stronger {
                let (kind, of, event) = (Kind::Change, source.name.clone(), Some(event.id));
                found.push(Alert { kind, time_ms: now_ms, of, value: by, level: None, event });
            }
            event.joined_ms = now_ms;
            event.start_ms = event.start_ms.min(start_ms);
            event.traces.push(moved);
            event.question = event.question.or(question);
            return;
        }
        self.next_event += 1;
        let id = self.next_event;
        found.push(Alert {
            kind: Kind::Change,
            time_ms: now_ms,
            of: source.name.clone(),
            value: by,
            level: None,
            event: Some(id),
        });
        self.events.push_back(Event {
            id,
            start_ms,
            known_ms: now_ms,
            end_ms: None,
            became_usual: false,
            traces: vec![moved],
            causes: Vec::new(),
            question,
            weighed_ms: i64::MIN,
            joined_ms: now_ms,
            last_off_ms: now_ms,
        });
        while self.events.len() > MOST_EVENTS {
            self.events.pop_front();
        }
    }

    fn close_events(&mut self, now_ms: i64) {
        for event in self.events.iter_mut().filter(|e| e.end_ms.is_none()) {
            let lasted = now_ms - event.known_ms;
            let back = lasted >= LEAST_MS && event.traces.iter().all(|m| m.level.abs() < BACK);
            let usual = lasted >= USUAL_MS;
            let short = event.last_off_ms - event.start_ms <= PASSES_MS;
            if !back && !usual {
                continue;
            }
            event.end_ms = Some(if back { event.last_off_ms } else { now_ms });
            event.became_usual = !back;
            for moved in &event.traces {
                let Some(trace) = self.traces.iter_mut().find(|t| t.name == moved.trace) else { continue };
                trace.hourly.reset();
                trace.hourly.settle(back && short);
                trace.daily.iter_mut().for_each(Chart::reset);
                if !back {
                    trace.usual.loosen();
                }
            }
        }
    }

    /// Weighs the causes of events that are due for it.
    pub(super) fn weigh_events(&mut self, setup: &Setup<'_>) -> Result<(), YearError> {
        let (Some(model), Some(typical), Some(done_ms)) = (setup.draws.first(), setup.weather, self.done_ms)
        else {
            return Ok(());
        };
        for at in 0..self.events.len() {
            let event = &self.events[at];
            // A trace that joins may tell causes apart.
            let times = WEIGH_MS.map(|w| event.known_ms + w).into_iter().chain([event.joined_ms]);
            let due = times
                .into_iter()
                .any(|from| event.weighed_ms < from && done_ms >= from && done_ms - from < 8 * 24 * HOUR_MS);
            if !due {
                continue;
            }
            let end_ms = event.end_ms.unwrap_or(done_ms).min(done_ms);
            let start_ms = event.start_ms.max(end_ms - WEIGHED_H * HOUR_MS);
            let Some((checked_ms, checked)) = self
                .checkpoints
                .iter()
                .rev()
                .find(|c| c.0 + HOUR_MS <= start_ms)
                .or(self.checkpoints.front())
            else {
                continue;
            };
            let start_ms = start_ms.max(*checked_ms);
            let hours = (end_ms - start_ms) / HOUR_MS;
            if hours < 2 {
                continue;
            }
            let traces = &self.traces;
            let measured = |s: usize, ms: i64| {
                let hour = traces.get(s).and_then(|t| t.hour(ms, done_ms));
                hour.and_then(|h| h.measured).unwrap_or(f64::NAN)
            };
            let (sources, devices) = (setup.sources.as_slice(), setup.devices.as_slice());
            let around =
                Around { sources, devices, weather: typical, clock: setup.clock, measured: &measured };
            let weather = expect::outdoors(typical, &around, checked_ms - HOUR_MS, end_ms);
            let around = Around { weather: &weather, ..around };
            let mut standing = checked.clone();
            let before = usize::try_from((start_ms - checked_ms) / HOUR_MS).unwrap_or(0);
            if before > 0 {
                expect::hours(model, &mut standing, &around, (*checked_ms, before))?;
            }
            let named: Vec<&str> = event.traces.iter().map(|m| m.trace.as_str()).collect();
            let span = (start_ms, usize::try_from(hours).unwrap_or(0));
            let evidence: Vec<Evidence> = (0..sources.len())
                .filter_map(|s| evidence(traces.get(s)?, setup, s, span, done_ms, &named))
                .collect();
            let scene = Scene {
                model,
                standing: &standing,
                span,
                around: &around,
                filters: &setup.filters,
                evidence: &evidence,
            };
            let causes = cause::weigh(&scene)?;
            let event = &mut self.events[at];
            event.causes = causes;
            event.weighed_ms = done_ms;
        }
        Ok(())
    }
}

/// The past of one trace over the hours of an event and the hour before.
fn evidence(
    trace: &Trace,
    setup: &Setup<'_>,
    source: usize,
    (from_ms, hours): (i64, usize),
    done_ms: i64,
    named: &[&str],
) -> Option<Evidence> {
    let of = setup.sources.get(source).filter(|s| is_charted(s))?;
    let (mut values, mut scatter, mut level) = (Vec::new(), Vec::new(), Vec::new());
    for k in 0..=hours {
        let hour_ms = from_ms + HOUR_MS * (k as i64 - 1);
        let hour = trace.hour(hour_ms, done_ms).unwrap_or_default();
        let usual = trace.usual.at(setup.clock.hour(hour_ms));
        let (mean, sd) = usual.unwrap_or((0.0, f64::NAN));
        let sd = (sd * sd + hour.spread * hour.spread).sqrt();
        let expected = hour.expected.unwrap_or(f64::NAN);
        let least = LEAST_SCATTER * of.accuracy.limit(hour.measured.unwrap_or(expected + mean));
        let sd = sd.max(least).max(1e-12);
        values.push(if usual.is_some() {
            (hour.measured.unwrap_or(f64::NAN) - expected - mean) / sd
        } else {
            f64::NAN
        });
        scatter.push(sd);
        level.push(expected + mean);
    }
    let known = values.iter().filter(|v| v.is_finite()).count();
    let usual_level = level.iter().copied().find(|l| l.is_finite())?;
    (known >= 2).then(|| Evidence {
        source,
        values,
        scatter,
        level,
        phi: trace.hourly.phi(),
        innovation_sd: trace.hourly.innovation_sd(),
        limit: of.accuracy.limit(usual_level),
        in_event: named.contains(&of.name.as_str()),
    })
}

/// When what a chart shows began, ms, and alarms of its height by chance, a day.
fn began(trace: &Trace, chart: usize, layouts: &Layouts, now_ms: i64) -> (i64, f64) {
    let (since, steps, a_day) = match chart.checked_sub(1) {
        None => {
            let (height, since) = trace.hourly.highest();
            (since, 1, trace.hourly.chance_a_day(height))
        }
        Some(k) => {
            let (height, since) = trace.daily[k].highest();
            (since, 24, 2.0 / run_length(layouts.daily[k].k, height))
        }
    };
    (now_ms - HOUR_MS * (steps * since) as i64, a_day)
}

fn question(setup: &Setup<'_>, source: &Source) -> Option<Question> {
    let At::Device(device) = source.at else { return None };
    source.field.shows()?;
    let told = setup.filters.iter().any(|f| f.device == device && f.path().is_some());
    (!told).then_some(Question::WhereIsTheFilter)
}

/// Sum and count of residuals since a time, the largest in scatters, and the mean of the last day.
fn past(
    trace: &Trace,
    setup: &Setup<'_>,
    start_ms: i64,
    now_ms: i64,
    source: &Source,
) -> ((f64, f64), f64, f64) {
    let (mut sum, mut most, mut level) = ((0.0, 0.0), 0.0_f64, (0.0, 0.0));
    let mut ms = start_ms.max(now_ms - HOUR_MS * trace.hours.len() as i64);
    while ms < now_ms {
        let hour = trace.hour(ms, now_ms).unwrap_or_default();
        if let (Some(measured), Some(expected), Some((mean, scatter))) =
            (hour.measured, hour.expected, trace.usual.at(setup.clock.hour(ms)))
        {
            let off = measured - expected - mean;
            let sd = (scatter * scatter + hour.spread * hour.spread).sqrt();
            let value = off / sd.max(LEAST_SCATTER * source.accuracy.limit(measured)).max(1e-12);
            sum = (sum.0 + off, sum.1 + 1.0);
            most = if value.abs() > most.abs() { value } else { most };
            if now_ms - ms <= 24 * HOUR_MS {
                level = (level.0 + value, level.1 + 1.0);
            }
        }
        ms += HOUR_MS;
    }
    (sum, most, if level.1 > 0.0 { level.0 / level.1 } else { 0.0 })
}

/// Goes on with a trace of an open event.
fn follow(event: &mut Event, name: &str, (off, value): (f64, f64), hour_ms: i64) {
    let Some(moved) = event.traces.iter_mut().find(|m| m.trace == name) else { return };
    moved.sum = (moved.sum.0 + off, moved.sum.1 + 1.0);
    moved.by = moved.sum.0 / moved.sum.1;
    moved.most = if value.abs() > moved.most.abs() { value } else { moved.most };
    moved.level += (value - moved.level) / LEVEL_H;
    if value.abs() > 2.0 && hour_ms + HOUR_MS > event.last_off_ms {
        event.last_off_ms = hour_ms + HOUR_MS;
    }
}
