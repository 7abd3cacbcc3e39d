//! The memory of one trace: bounded, and written down as it is.

use super::chart::{Chart, Jumps, Usual};
use super::expect::HOUR_MS;
use super::signals::{patience_ms, usual_gap_ms};
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, VecDeque};

/// Hours that are remembered: three weeks.
pub(super) const KEPT_HOURS: usize = 504;
/// Hours that may wait for being judged.
const WAITING: usize = 24 * 40;
/// Points of CO2 that nights are told from: two and a half days at a minute.
const RAW: usize = 3600;
/// Least time between two of them, ms.
const RAW_MS: i64 = 55_000;
/// Share of its highest above which a device's trace says that it runs.
const RUNS: f64 = 0.2;

/// What came in within an hour.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
struct Bin {
    sum: f64,
    count: f64,
    /// While it runs.
    on: (f64, f64),
    least: f64,
}

/// One hour, judged.
#[derive(Clone, Copy, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Hourly {
    /// Mean measured.
    pub measured: Option<f64>,
    /// Mean expected by the draws of the fit; for what the model does not know zero.
    pub expected: Option<f64>,
    /// Standard deviation over the draws.
    pub spread: f64,
}

/// One trace.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Trace {
    /// The source's name.
    pub name: String,
    bins: BTreeMap<i64, Bin>,
    /// Last point, ms.
    pub last_ms: Option<i64>,
    /// Last value, SI.
    pub last: Option<f64>,
    /// Usual time between points, ms.
    gap_ms: f64,
    highest: f64,
    /// Points, for nights.
    pub(super) raw: VecDeque<(i64, f64)>,
    /// The past, hour by hour, that ends at the watch's time.
    pub(super) hours: VecDeque<Hourly>,
    pub(super) usual: Usual,
    pub(super) hourly: Jumps,
    /// Of days: for large shifts, for small ones.
    pub(super) daily: [Chart; 2],
    pub(super) day: (f64, f64),
    pub(super) day_least: Option<f64>,
    pub(super) silent: bool,
    pub(super) drifts_told_ms: Option<i64>,
    pub(super) decayed_ms: i64,
    pub(super) built_ms: i64,
    /// Days of a device's trace while it runs, for its filter.
    pub(super) runs: VecDeque<(f64, f64)>,
    /// Whether those days are parts of what the model expects.
    #[serde(default)]
    runs_by_model: bool,
}

/// Expected over the least of its day up to which an hour has the least duty.
const LEAST_DUTY: f64 = 1.05;
/// Days of a filter that are remembered.
const RUN_DAYS: usize = 500;

impl Trace {
    pub(super) fn new(name: &str) -> Trace {
        Trace { name: name.to_owned(), decayed_ms: i64::MIN, built_ms: i64::MIN, ..Trace::default() }
    }

    /// Takes a point; older ones than what is judged already only count as heard.
    pub(super) fn take(&mut self, time_ms: i64, value: f64, done_ms: Option<i64>, raw: bool) {
        if let Some(last_ms) = self.last_ms
            && time_ms > last_ms
        {
            self.gap_ms = usual_gap_ms(self.gap_ms, time_ms - last_ms);
        }
        if self.last_ms.is_none_or(|l| time_ms >= l) {
            self.last_ms = Some(time_ms);
            self.last = Some(value);
            self.silent = false;
        }
        if done_ms.is_some_and(|d| time_ms < d) {
            return;
        }
        self.highest = if value.abs() > self.highest { value.abs() } else { self.highest };
        let bin = self.bins.entry(time_ms.div_euclid(HOUR_MS) * HOUR_MS).or_default();
        bin.least = if bin.count > 0.0 && bin.least < value { bin.least } else { value };
        bin.sum += value;
        bin.count += 1.0;
        if value.abs() > RUNS * self.highest {
            bin.on.0 += value;
            bin.on.1 += 1.0;
        }
        while self.bins.len() > WAITING {
            self.bins.pop_first();
        }
        if raw && self.raw.back().is_none_or(|b| time_ms - b.0 >= RAW_MS) {
            self.raw.push_back((time_ms, value));
            if self.raw.len() > RAW {
                self.raw.pop_front();
            }
        }
    }

    /// The first hour that something came in, ms.
    pub(super) fn first_bin_ms(&self) -> Option<i64> {
        self.bins.keys().next().copied()
    }

    /// Takes the hour out of what waits: its mean, that while it runs, and the least.
    pub(super) fn close(&mut self, hour_ms: i64) -> (Option<f64>, Option<f64>, Option<f64>) {
        while self.bins.first_key_value().is_some_and(|b| *b.0 < hour_ms) {
            self.bins.pop_first();
        }
        let Some(bin) = self.bins.remove(&hour_ms) else { return (None, None, None) };
        let mean = |sum: f64, count: f64| (count > 0.0).then(|| sum / count);
        (mean(bin.sum, bin.count), mean(bin.on.0, bin.on.1), Some(bin.least))
    }

    /// Mean of an hour that waits or of one of the past, `back` hours before the end of the past.
    pub(super) fn waiting(&self, hour_ms: i64) -> Option<f64> {
        self.bins.get(&hour_ms).filter(|b| b.count > 0.0).map(|b| b.sum / b.count)
    }

    pub(super) fn keep(&mut self, hour: Hourly) {
        self.hours.push_back(hour);
        if self.hours.len() > KEPT_HOURS {
            self.hours.pop_front();
        }
    }

    /// The hour that starts at a time, where the past ends at `done_ms`.
    pub(super) fn hour(&self, hour_ms: i64, done_ms: i64) -> Option<Hourly> {
        let back = (done_ms - hour_ms) / HOUR_MS;
        let at = usize::try_from(self.hours.len() as i64 - back).ok()?;
        if back <= 0 { None } else { self.hours.get(at).copied() }
    }

    /// Keeps a day of a device's trace while it runs.
    pub(super) fn keep_run(&mut self, day: f64, value: f64) {
        if self.runs_by_model {
            return;
        }
        match self.runs.back_mut() {
            // Several hours of one day: their mean, by halves forgetting nothing of weight.
            Some(last) if (last.0 - day).abs() < 0.5 => last.1 = 0.9 * last.1 + 0.1 * value,
            _ => self.runs.push_back((day, value)),
        }
        if self.runs.len() > RUN_DAYS {
            self.runs.pop_front();
        }
    }

    /// The day that ends as a part of what the model expects, where the device turns in every hour of it. The mean of a
    /// device that turns on and off within minutes tells its duty more than its flow; in the hours of least
    /// duty, which the model knows, it tells the flow.
    pub(super) fn keep_steady(&mut self, day: f64) {
        let last = self.hours.iter().rev().take(24);
        let each: Vec<(f64, f64)> = last.filter_map(|h| Some((h.expected?, h.measured?))).collect();
        let steady = each.iter().all(|e| e.0 > 0.0);
        if each.len() < 18 || (!steady && !self.runs_by_model) {
            return;
        }
        if steady != self.runs_by_model {
            self.runs_by_model = steady;
            self.runs.clear();
        }
        if !steady {
            return;
        }
        let least = each.iter().map(|e| e.0).fold(f64::INFINITY, f64::min);
        let calm = each.iter().filter(|e| e.0 <= LEAST_DUTY * least);
        let mut ratios: Vec<f64> = calm.map(|e| e.1 / e.0).collect();
        ratios.sort_by(f64::total_cmp);
        let Some(middle) = crate::math::quantile_sorted(&ratios, 0.5) else { return };
        self.runs.push_back((day, middle));
        if self.runs.len() > RUN_DAYS {
            self.runs.pop_front();
        }
    }

    /// Silence so far, s, where it is longer than twelve usual gaps and three hours.
    pub(super) fn silence_s(&self, now_ms: i64) -> Option<f64> {
        let quiet = (now_ms - self.last_ms?) as f64;
        let usual = (12.0 * self.gap_ms).max(3.0 * HOUR_MS as f64);
        (quiet > usual).then_some(quiet / 1000.0)
    }

    /// Whether its signal counts as lost: after three usual gaps, at least fifteen minutes.
    pub(super) fn is_lost(&self, now_ms: i64) -> bool {
        let usual = patience_ms(self.gap_ms);
        self.last_ms.is_none_or(|l| (now_ms - l) as f64 > usual)
    }
}
