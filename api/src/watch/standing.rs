//! What a live watch shows beside its bands and events: kept in a store as numbers, put into words when somebody asks.

use super::Watched;
use crate::app::watch as page;
use crate::present::watch::{Names, Worded};
use crate::{File, Inputs, Job, Speech};
use engine::watch::signals::RulesNow;
use engine::watch::{Alert, Due, Field, Kind, Night, Setup, Watch, alert};
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

/// Nights that are kept, the last ones.
const NIGHTS: usize = 200;

/// How a watch stands.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Standing {
    /// Judged up to this, ms.
    pub to_ms: i64,
    /// Whether anything is expected of rooms.
    pub has_model: bool,
    /// What each trace measures.
    fields: Vec<(String, Field)>,
    /// What nights and departures told.
    nights: Vec<Night>,
    /// Filters.
    filters: Vec<Due>,
    /// Resistance over the clean one at which each device's filter is due.
    limits: Vec<(String, f64)>,
    /// Relative exposure and what is owed, s of one excess exposure.
    owed: Option<(f64, f64)>,
    /// False alarms of each kind that are expected in a month.
    false_a_month: Vec<(Kind, Option<f64>)>,
}

/// An alert that was told, as a store has it.
#[derive(Clone, Debug, PartialEq)]
pub struct Told {
    /// Its kind, as stores and messages name it (`filter-due`).
    pub kind: String,
    /// The source or device.
    pub of: String,
    /// When it began, ms.
    pub start_ms: i64,
    /// When it was over, ms.
    pub end_ms: Option<i64>,
    /// The number that tells, SI.
    pub value: Option<f64>,
    /// Such alerts a month of a house where nothing is the matter.
    pub false_a_month: Option<f64>,
}

impl Standing {
    /// Of a watch at the end of its last hour; nothing before that.
    pub fn of(watch: &Watch, setup: &Setup<'_>) -> Option<Standing> {
        let nights: Vec<Night> = watch.nights().cloned().collect();
        let limit = |f: &engine::watch::Filter| Some((setup.devices.get(f.device)?.name.clone(), f.limit));
        Some(Standing {
            to_ms: watch.done_ms()?,
            has_model: !setup.draws.is_empty() && setup.weather.is_some(),
            fields: setup.sources.iter().map(|s| (s.name.clone(), s.field)).collect(),
            nights: nights.get(nights.len().saturating_sub(NIGHTS)..).unwrap_or_default().to_vec(),
            filters: watch.filters(setup),
            limits: setup.filters.iter().filter_map(limit).collect(),
            owed: watch.owed(),
            false_a_month: Kind::ALL.map(|k| (k, k.false_a_month(setup.false_a_month))).to_vec(),
        })
    }

    /// What each trace in it measures.
    pub fn fields(&self) -> &[(String, Field)] {
        &self.fields
    }

    /// As the watch whose words are wanted.
    fn watched(self, zone: Option<jiff::tz::TimeZone>, rules: Option<RulesNow>) -> Watched {
        Watched {
            to_ms: self.to_ms,
            fields: self.fields,
            expected_false_a_month: self.false_a_month,
            nights: self.nights,
            filters: self.filters,
            owed: self.owed,
            rules,
            has_model: self.has_model,
            zone,
            ..Watched::default()
        }
    }
}

impl Told {
    /// As the watch tells it; nothing of a kind that nobody knows. `now_ms` is until when silence is counted that lasts.
    fn alert(&self, now_ms: i64) -> Option<Alert> {
        let kind = Kind::ALL.into_iter().find(|k| page::kind_word(*k) == self.kind)?;
        let silent_s = (self.end_ms.unwrap_or(now_ms) - self.start_ms) as f64 / 1000.0;
        let value = if kind == Kind::Silence { silent_s.max(0.0) } else { self.value.unwrap_or(f64::NAN) };
        let level = (kind == Kind::CarbonMonoxide).then(|| alert::level_of(value).map(|l| l.0)).flatten();
        Some(Alert { kind, time_ms: self.start_ms, of: self.of.clone(), value, level, event: None })
    }
}

/// The page of a live watch as data: alerts with how often such ones come for nothing, nights, filters, what is owed,
/// rules. `files` are the job's documents, of which `job.toml` says how it is worded where `speech` does not, and
/// `house.toml` and `watch.toml` what its places and traces are called.
pub fn told(
    standing: Option<Standing>,
    alerts: &[Told],
    rules: Option<RulesNow>,
    files: Vec<File>,
    speech: &Speech,
    now_ms: i64,
) -> Value {
    let inputs = Inputs { files, now: String::new() };
    let words = speech.over(crate::words(&inputs));
    let names = Names::Called(page::called(&inputs.files, &[]));
    let zone = super::zone(&Job::open(&inputs));
    let (judged, limits) =
        (standing.is_some(), standing.as_ref().map(|s| s.limits.clone()).unwrap_or_default());
    let w = match standing {
        Some(standing) => standing.watched(zone, rules),
        None => Watched { to_ms: now_ms, zone, rules, ..Watched::default() },
    };
    let of = Worded { w: &w, words: &words, names: &names };
    let list = alerts.iter().filter_map(|told| {
        let alert = told.alert(now_ms)?;
        Some(page::alert(&alert, told.false_a_month, told.end_ms, &of))
    });
    let limit = |device: &str| limits.iter().find(|l| l.0 == device).map(|l| l.1);
    let mut out = page::standing(&of, limit);
    out.insert("alerts".to_owned(), list.collect());
    out.insert("until_ms".to_owned(), json!(judged.then_some(w.to_ms)));
    Value::Object(out)
}
