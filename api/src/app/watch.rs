//! The watch as a page: the traces of a job, what was expected of them hour by hour, events, filters,
//! nights, and any window of the readings. All of it is the answer of `airwright watch JOB`
//! ([`crate::watch`]) as data; what is drawn in the pages are these numbers in the units of the job.
//!
//! A page is asked for twice: without judging it gives the traces, the units and the levels of the
//! readings at once; judged it fits the house and lives through the series, which takes its while.

mod levels;
#[cfg(test)]
mod tests;

use crate::present::watch::{Called, Named, Names, Worded};
use crate::watch::{Gathered, Watched, gather, live_through};
use crate::{Data, Job, Listen, Progress};
use engine::doc::{File, Sink, house};
use engine::rule::spelled;
use engine::units::Quantity;
use engine::watch::{Alert, Band, Cause, Event, Field, Kind, Source, What};
use levels::Levels;
use report::words::Words;
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value, json};

/// A day, ms.
const DAY_MS: f64 = 86_400_000.0;
/// Nights that are told, the last ones.
const NIGHTS: usize = 200;

/// The readings of a job with their levels, and what the watch made of them.
#[derive(Debug)]
pub(super) struct Series {
    gathered: Gathered,
    levels: Vec<Levels>,
    /// What was judged, once it was asked for and not stopped.
    judged: Option<(Option<Watched>, Vec<Hours>)>,
}

/// What was expected of a trace, hour by hour without a gap; nothing in an hour of which nothing was.
#[derive(Clone, Debug, PartialEq, Serialize)]
struct Hours {
    trace: String,
    /// Start of the first hour, ms.
    from_ms: i64,
    low: Vec<Option<f64>>,
    mid: Vec<Option<f64>>,
    high: Vec<Option<f64>>,
}

impl Series {
    /// Reads the series of a job.
    pub(super) fn of(job: &Job, files: &[File]) -> Series {
        let gathered = gather(job, files);
        let levels = gathered.points.iter().map(|p| Levels::of(p)).collect();
        Series { gathered, levels, judged: None }
    }

    /// A window of a trace; nothing where there is no such trace.
    pub(super) fn window(&self, trace: &str, from_ms: i64, to_ms: i64, buckets: usize) -> Value {
        let at = self.gathered.sources.iter().position(|s| s.name == trace);
        at.and_then(|k| self.levels.get(k)).map_or(Value::Null, |l| json!(l.window(from_ms, to_ms, buckets)))
    }

    /// Lives through the series, once.
    pub(super) fn judge(&mut self, job: &Job, data: &Data, listen: &mut Listen<'_>, stopped: &mut bool) {
        if self.judged.is_some() || self.gathered.sources.is_empty() {
            return;
        }
        let mut hours = HoursOf { hours: Vec::new(), sources: &self.gathered.sources };
        let mut hear = |bands: Vec<Band>, part: f64| {
            hours.take(&bands);
            // In thousandths of the time lived through.
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 1000")]
            let done = (part * 1000.0) as usize;
            let heard = listen(Progress { what: "progress-watch", done, of: 1000, leading: None });
            *stopped |= heard.is_break();
            heard
        };
        let watched = live_through(job, &self.gathered, data.fit.as_ref(), i64::MIN, &mut hear);
        if !*stopped {
            self.judged = Some((watched, hours.hours));
        }
    }

    /// The page as data.
    pub(super) fn page(&self, job: &Job, words: &Words) -> Value {
        let names = self.names(job);
        let traces: Vec<Value> = self.gathered.sources.iter().zip(&self.levels).map(|(s, l)| {
            let (first_ms, last_ms) = l.ends_ms().unzip();
            json!({
                "id": s.name, "name": names.say(&s.name, words), "quantity": s.field.quantity(), "drives": s.field.drives(),
                "group": group(s.field.quantity()), "first_ms": first_ms, "last_ms": last_ms, "count": l.count(),
            })
        }).collect();
        let zone = self.gathered.zone.as_ref().and_then(|z| z.iana_name());
        let mut out = json!({
            "job": job.documents.job.name,
            "zone": zone,
            "language": words.language().tag(),
            "units": units(words),
            "traces": traces,
            "judged": self.judged.is_some(),
            "monoxide": words.say("watch-no-alarm"),
        });
        if let (Some((Some(w), hours)), Value::Object(out)) = (&self.judged, &mut out) {
            out.extend(self.told(w, words, &names));
            out.insert("expected".to_owned(), json!(hours));
        }
        out
    }

    fn names(&self, job: &Job) -> Names {
        Names::Called(Called::of(job.documents.house.as_ref(), &self.gathered.written))
    }

    fn told(&self, w: &Watched, words: &Words, names: &Names) -> Map<String, Value> {
        let of = Worded { w, words, names };
        let events = w.events.iter().map(|e| event(e, &of));
        let alerts = w.alerts.iter().map(|a| {
            let rate = w.expected_false_a_month.iter().find(|k| k.0 == a.kind).and_then(|k| k.1);
            alert(a, rate, None, &of)
        });
        let now = w.traces.iter().map(|n| {
            json!({ "trace": n.trace, "hour_ms": n.hour_ms, "measured": n.measured, "expected": n.expected,
                "interval": n.interval, "within": n.within })
        });
        let limit = |device: &str| {
            let written = &self.gathered.written.filters;
            written.iter().find(|x| x.device.value == spelled(device)).map(|x| x.limit)
        };
        let mut out = standing(&of, limit);
        let mut put = |key: &str, value: Value| out.insert(key.to_owned(), value);
        put("events", events.collect());
        put("alerts", alerts.collect());
        put("now", now.collect());
        out
    }
}

/// What a watch shows beside its traces, events and alerts: nights, filters, what is owed, rules, and how often chance
/// alone gives an alert. `limit` is at which load a device's filter is due.
pub(crate) fn standing(of: &Worded<'_>, limit: impl Fn(&str) -> Option<f64>) -> Map<String, Value> {
    let (w, words) = (of.w, of.words);
    let skip = w.nights.len().saturating_sub(NIGHTS);
    let nights = w.nights.iter().skip(skip).map(|n| {
        json!({ "trace": n.trace, "name": of.called(&n.trace), "from_ms": n.from_ms, "to_ms": n.to_ms, "text": of.night(n) })
    });
    let filters = w.filters.iter().map(|due| {
        let f = &due.forecast;
        let at = |day: Option<f64>| day.map(|d| d * DAY_MS);
        json!({
            "device": due.device, "trace": due.trace, "text": of.filter(due),
            "load": f.load, "limit": limit(&due.device), "from_ms": at(Some(due.first_day)), "now_ms": w.to_ms,
            "due_ms": at(f.due_day), "earliest_ms": at(f.due_between.0), "latest_ms": at(f.due_between.1),
        })
    });
    let false_a_month: f64 = w.expected_false_a_month.iter().filter_map(|k| k.1).sum();
    let count = words.fixed(false_a_month, 1);
    let values: [(&str, Value); 6] = [
        ("nights", nights.collect()),
        ("filters", filters.collect()),
        ("owed", json!(of.owed())),
        ("rules", json!(of.rules())),
        ("has_model", w.has_model.into()),
        ("false_text", words.text("watch-false", &[("count", count.into())]).into()),
    ];
    values.into_iter().map(|(key, value)| (key.to_owned(), value)).collect()
}

/// Rarer than once in so many years is only said to be rarer.
const LONGEST_YEARS: f64 = 50.0;

/// An alert with how often such a one comes for nothing, and until when it lasted where that is known.
pub(crate) fn alert(a: &Alert, false_a_month: Option<f64>, end_ms: Option<i64>, of: &Worded<'_>) -> Value {
    let rate = match false_a_month {
        Some(n) => false_rate(n, of.words),
        None => of.words.say("watch-false-none"),
    };
    json!({
        "kind": a.kind, "time_ms": a.time_ms, "end_ms": end_ms, "of": a.of, "event": a.event, "text": of.alert(a),
        "rate": rate, "grave": a.kind == Kind::CarbonMonoxide,
    })
}

/// How often such an alert comes for nothing, in whole numbers that people can hold: so many a month, or one in so
/// many months or years.
fn false_rate(a_month: f64, words: &Words) -> String {
    let told = |key: &str, n: f64| words.text(key, &[("count", words.fixed(n, 0).into())]);
    let months = 1.0 / a_month;
    match months {
        m if m.is_infinite() || m > LONGEST_YEARS * 12.0 => told("watch-false-rare", LONGEST_YEARS),
        m if m >= 24.0 => told("watch-false-years", m / 12.0),
        m if m >= 1.5 => told("watch-false-months", m),
        m if m > 1.0 / 1.5 => told("watch-false-month", 1.0),
        _ => told("watch-false-kind", a_month),
    }
}

/// A kind of alert as stores and messages name it.
pub(crate) fn kind_word(kind: Kind) -> &'static str {
    match kind {
        Kind::CarbonMonoxide => "carbon-monoxide",
        Kind::Change => "change",
        Kind::Silence => "silence",
        Kind::BelowOutdoors => "below-outdoors",
        Kind::FilterDue => "filter-due",
        Kind::Debt => "debt",
    }
}

/// A trace of a desk, as far as its names and causes have to know it.
#[derive(Clone, Debug, Deserialize)]
pub struct Told {
    /// Its name.
    name: String,
    /// What it measures, by the name in the table of units.
    quantity: String,
    /// Where it is taken, where that is told.
    #[serde(default)]
    place: Option<String>,
}

impl Told {
    /// What it measures: the one field of its quantity, or the one that its name ends in.
    fn field(&self) -> Option<Field> {
        let quantity = |f: &Field| serde_json::to_value(f.quantity()).ok() == Some(json!(self.quantity));
        let all: Vec<Field> = Field::all().filter(quantity).collect();
        let ends = |f: &&Field| spelled(&self.name).ends_with(f.name());
        let longest = all.iter().filter(ends).max_by_key(|f| f.name().len());
        longest.copied().or_else(|| (all.len() == 1).then(|| all[0]))
    }

    /// Something of its quantity, which is all that its numbers are told by.
    fn of_its_quantity(&self) -> Option<Field> {
        let quantity = |f: &Field| serde_json::to_value(f.quantity()).ok() == Some(json!(self.quantity));
        Field::all().find(quantity)
    }
}

/// What the documents of a house, and the store of a desk beside them, call its traces.
pub(crate) fn called(files: &[File], traces: &[Told]) -> Called {
    let sink = Sink::default();
    let house = files.iter().find(|f| f.name == "house.toml").map(|f| house::read(f, &sink));
    let beside = traces.iter().filter_map(|t| {
        Some(Named { name: t.name.clone(), label: None, place: t.place.clone()?, field: t.field() })
    });
    Called::of(house.as_ref(), &engine::doc::watch::of_job(files, &sink)).with(beside)
}

/// What the traces of a desk are called, one after the other.
pub(super) fn names(files: &[File], traces: &[Told], words: &Words) -> Value {
    let names = Names::Called(called(files, traces));
    traces.iter().map(|t| names.say(&t.name, words)).collect()
}

/// Causes of events that a desk kept, in words: the likeliest of each with its share and what to look at.
pub(super) fn causes(files: &[File], events: &[Vec<Cause>], traces: &[Told], words: &Words) -> Value {
    let names = Names::Called(called(files, traces));
    let fields: Vec<(String, Field)> =
        traces.iter().filter_map(|t| Some((t.name.clone(), t.of_its_quantity()?))).collect();
    events.iter().map(|list| told_causes(list, &fields, words, &names)).collect()
}

fn told_causes(list: &[Cause], fields: &[(String, Field)], words: &Words, names: &Names) -> Value {
    let told = list.iter().filter(|c| c.share >= crate::present::watch::LEAST_SHARE);
    told.map(|c| {
        let look = words.find(&format!("watch-look-{}", look(&c.what)), &[]);
        let text = crate::present::watch::cause(c, fields, words, names);
        json!({ "share": c.share, "percent": words.percent(c.share), "text": text, "look": look })
    })
    .collect()
}

/// Bands put in the order of time under their traces.
struct HoursOf<'a> {
    hours: Vec<Hours>,
    sources: &'a [Source],
}

impl HoursOf<'_> {
    fn take(&mut self, bands: &[Band]) {
        for band in bands {
            let Some(source) = self.sources.get(band.source) else { continue };
            let at = self.hours.iter().position(|h| h.trace == source.name).unwrap_or_else(|| {
                let (trace, from_ms) = (source.name.clone(), band.hour_ms);
                self.hours.push(Hours { trace, from_ms, low: Vec::new(), mid: Vec::new(), high: Vec::new() });
                self.hours.len() - 1
            });
            let of = &mut self.hours[at];
            let Ok(hour) = usize::try_from((band.hour_ms - of.from_ms) / engine::watch::HOUR_MS) else {
                continue;
            };
            for (list, value) in [
                (&mut of.low, band.interval.0),
                (&mut of.mid, band.expected),
                (&mut of.high, band.interval.1),
            ] {
                list.resize(list.len().max(hour + 1), None);
                list[hour] = Some(value);
            }
        }
    }
}

fn event(e: &Event, of: &Worded<'_>) -> Value {
    let moved = e.traces.iter().map(|m| json!({ "trace": m.trace, "text": of.moved(m) }));
    json!({
        "id": e.id, "start_ms": e.start_ms, "known_ms": e.known_ms, "end_ms": e.end_ms, "became_usual": e.became_usual,
        "traces": moved.collect::<Value>(), "causes": told_causes(&e.causes, &of.w.fields, of.words, of.names),
        "question": e.question.map(|_| of.words.say("watch-where-is-the-filter")),
    })
}

/// What to look at where a cause is likely: the ending of a key of the catalogue.
fn look(what: &What) -> &'static str {
    match what {
        What::Stopped { .. } => "stopped",
        What::Runs { .. } => "runs",
        What::DoorOpen { .. } | What::DoorShut { .. } => "door",
        What::Window { .. } => "window",
        What::Duct { .. } => "duct",
        What::People { .. } => "people",
        What::Smoke => "smoke",
        What::NoHeat => "no-heat",
        What::Filter { .. } => "filter",
        What::Sensor { .. } => "sensor",
        What::Other => "other",
    }
}

/// What people ask about who look at a quantity.
fn group(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::GasFraction | Quantity::ParticleConcentration => "air",
        Quantity::Temperature
        | Quantity::TemperatureDifference
        | Quantity::Fraction
        | Quantity::HumidityRatio
        | Quantity::VapourConcentration => "damp",
        Quantity::Pressure | Quantity::Speed | Quantity::Angle => "pressure",
        _ => "machines",
    }
}

/// How each quantity is shown: its symbol and what takes an SI number there, `si * scale + shift`.
fn units(words: &Words) -> Value {
    let named = |q: Quantity| serde_json::to_value(q).ok()?.as_str().map(str::to_owned);
    Quantity::all()
        .into_iter()
        .filter_map(|q| {
            let of = words.unit_of(q);
            let symbol = words.unit_symbol(q, report::words::Show::default());
            let shown =
                json!({ "symbol": symbol, "scale": 1.0 / of.factor, "shift": 0.0 - of.offset / of.factor, "group": group(q) });
            Some((named(q)?, shown))
        })
        .collect::<Map<String, Value>>()
        .into()
}
