//! Series and events of the desk, for drawing; and readings that a device took itself.
//!
//! Times are milliseconds since 1970 in UTC, values SI; the answer names the unit.

use super::desk::Desk;
use super::guard::Json;
use super::refuse::{Done, Refusal};
use crate::clock;
use crate::store::{Batch, Description, Part, Point, Source, Store, StoreError, si_unit, to_si};
use axum::extract::{Query, Request, State};
use serde::Deserialize;
use serde_json::{Value, json};
use std::sync::Arc;

/// Most stretches of a window, hours of what was expected (ten years), events, and readings sent at once.
const MOST_BUCKETS: usize = 5000;
const MOST_HOURS: i64 = 87_660;
const MOST_EVENTS: i64 = 5000;
const MOST_READINGS: usize = 20_000;
/// Largest batch of readings, bytes as JSON.
const LARGEST_BATCH: usize = 1 << 20;
/// Longest name of a source, bytes.
const LONGEST_NAME: usize = 200;
const HOUR_MS: i64 = 3_600_000;
/// Alerts that are told: of the last year, and the last so many.
const ALERTS_MS: i64 = 366 * 24 * HOUR_MS;
const MOST_ALERTS: i64 = 200;

fn span(from: i64, to: i64) -> Done<()> {
    let times = 0..=253_402_300_800_000;
    if from < to && times.contains(&from) && times.contains(&to) {
        Ok(())
    } else {
        Err(Refusal::unreadable("from, to"))
    }
}

/// Of which job.
#[derive(Deserialize)]
pub(super) struct OfJob {
    job: String,
}

/// `GET /desk/sources?job=`.
pub(super) async fn sources(State(desk): State<Arc<Desk>>, Query(of): Query<OfJob>) -> Done<Json<Value>> {
    let sources = desk.ask(move |store| Ok(of_job(store, &of.job)?)).await?;
    let shown: Vec<Value> = sources
        .into_iter()
        .map(|s| {
            let si = s.quantity.as_deref().and_then(si_unit);
            json!({
                "id": s.id, "name": s.name, "job": s.job, "place": s.place, "quantity": s.quantity,
                "unit": s.unit, "unit_si": si, "instrument": s.instrument, "basis": s.basis,
                "first_ms": s.first_ms, "last_ms": s.last_ms, "count": s.readings,
            })
        })
        .collect();
    Ok(Json(json!({ "sources": shown })))
}

fn of_job(store: &Store, job: &str) -> Result<Vec<Source>, StoreError> {
    // Says that there is no such job rather than that it has no sources.
    store.stands(job)?;
    Ok(store.sources()?.into_iter().filter(|s| s.job.as_deref() == Some(job)).collect())
}

fn known(store: &Store, source: i64) -> Result<Source, StoreError> {
    let found = store.sources()?.into_iter().find(|s| s.id == source);
    found.ok_or_else(|| StoreError::NoSource { name: source.to_string() })
}

/// A stretch of a source.
#[derive(Deserialize)]
pub(super) struct Stretch {
    source: i64,
    from: i64,
    to: i64,
    #[serde(default)]
    buckets: Option<usize>,
}

/// `GET /desk/window?source=&from=&to=&buckets=`: least, mean and greatest in stretches of time.
pub(super) async fn window(State(desk): State<Arc<Desk>>, Query(of): Query<Stretch>) -> Done<Json<Value>> {
    span(of.from, of.to)?;
    let buckets = of.buckets.unwrap_or(400);
    if !(1..=MOST_BUCKETS).contains(&buckets) {
        return Err(Refusal::unreadable("buckets"));
    }
    let (source, list) = desk
        .ask(move |store| Ok((known(store, of.source)?, store.window(of.source, of.from, of.to, buckets)?)))
        .await?;
    Ok(Json(json!({
        "unit": source.quantity.as_deref().and_then(si_unit),
        "start_ms": list.iter().map(|b| b.t).collect::<Vec<_>>(),
        "least": list.iter().map(|b| b.min).collect::<Vec<_>>(),
        "mean": list.iter().map(|b| b.mean).collect::<Vec<_>>(),
        "greatest": list.iter().map(|b| b.max).collect::<Vec<_>>(),
        "count": list.iter().map(|b| b.count).collect::<Vec<_>>(),
    })))
}

/// `GET /desk/expected?source=&from=&to=`: what the fitted house was expected to show, with its 95 % interval.
pub(super) async fn expected(State(desk): State<Arc<Desk>>, Query(of): Query<Stretch>) -> Done<Json<Value>> {
    span(of.from, of.to)?;
    if (of.to - of.from) / HOUR_MS > MOST_HOURS {
        return Err(Refusal::unreadable("from, to"));
    }
    let (source, list) = desk
        .ask(move |store| {
            // The hour in which the stretch begins belongs to it.
            let from = of.from.saturating_sub(HOUR_MS - 1);
            Ok((known(store, of.source)?, store.expected(of.source, from, of.to)?))
        })
        .await?;
    Ok(Json(json!({
        "unit": source.quantity.as_deref().and_then(si_unit),
        "from_ms": list.iter().map(|e| e.hour_ms).collect::<Vec<_>>(),
        "to_ms": list.iter().map(|e| e.hour_ms + HOUR_MS).collect::<Vec<_>>(),
        "low": list.iter().map(|e| e.lo).collect::<Vec<_>>(),
        "mid": list.iter().map(|e| e.mean).collect::<Vec<_>>(),
        "high": list.iter().map(|e| e.hi).collect::<Vec<_>>(),
    })))
}

/// A stretch of a job.
#[derive(Deserialize)]
pub(super) struct JobStretch {
    job: String,
    from: i64,
    to: i64,
}

/// `GET /desk/events?job=&from=&to=`.
pub(super) async fn events(State(desk): State<Arc<Desk>>, Query(of): Query<JobStretch>) -> Done<Json<Value>> {
    span(of.from, of.to)?;
    let events = desk.ask(move |store| Ok(store.events(&of.job, of.from, of.to, MOST_EVENTS)?)).await?;
    Ok(Json(json!({ "events": events })))
}

/// A job, and in which language and units it is told of; what is left out is as the job says.
#[derive(Deserialize)]
pub(super) struct ToldOf {
    job: String,
    language: Option<String>,
    system: Option<String>,
}

/// `GET /desk/watch?job=&language=&system=`: how the live watch of a job stands beside bands and events: alerts with how
/// often such ones come for nothing, nights, filters with their dates, ventilation owed, rules.
pub(super) async fn watch(State(desk): State<Arc<Desk>>, Query(of): Query<ToldOf>) -> Done<Json<Value>> {
    let now_ms = clock::now_ms();
    let answer = desk
        .ask(move |store| {
            let watched = store.watched(&of.job)?.and_then(|w| w.standing);
            let rules = store.ruled(&of.job)?.map(|r| r.standing);
            let standing = watched.and_then(|body| serde_json::from_slice(&body).ok());
            let rules = rules.and_then(|body| serde_json::from_slice(&body).ok());
            let alerts = store.alerts(&of.job, now_ms - ALERTS_MS, MOST_ALERTS)?;
            let mut files = Vec::new();
            for name in ["job.toml", "house.toml", "watch.toml"] {
                let text = store.text(&of.job, name)?;
                files.extend(text.map(|text| api::File { name: name.to_owned(), text }));
            }
            let speech = api::Speech { language: of.language, system: of.system };
            Ok(api::watch::told(standing, &alerts, rules, files, &speech, now_ms))
        })
        .await?;
    Ok(Json(answer))
}

/// Readings of one source, in the unit that is told.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Readings {
    job: String,
    source: Told,
    points: Vec<(i64, f64)>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Told {
    name: String,
    instrument: String,
    place: String,
    quantity: String,
    unit: String,
    basis: String,
}

/// `POST /desk/readings`: sent twice they count once.
pub(super) async fn readings(State(desk): State<Arc<Desk>>, request: Request) -> Done<Json<Value>> {
    let told: Readings = desk.body(request, LARGEST_BATCH).await?;
    let Told { name, instrument, place, quantity, unit, basis } = told.source;
    let texts = [&name, &instrument, &place, &quantity, &unit, &basis];
    let sound = |t: &&String| !t.is_empty() && t.len() <= LONGEST_NAME && !t.chars().any(char::is_control);
    if !texts.iter().all(sound) || !["raw", "baseline-subtracted", "corrected"].contains(&basis.as_str()) {
        return Err(Refusal::unreadable("source"));
    }
    if told.points.len() > MOST_READINGS {
        return Err(Refusal::unreadable("points"));
    }
    let answer = desk
        .ask(move |store| {
            let mut points = Vec::with_capacity(told.points.len());
            for (time_ms, value) in told.points {
                points.push(Point { time_ms, value: to_si(&quantity, &unit, value)? });
            }
            // Named within its job, as the sources of a live watch are.
            let full = format!("{}/{name}", told.job);
            let description = Description {
                job: Some(told.job),
                instrument: Some(instrument),
                place: Some(place),
                quantity: Some(quantity),
                unit: Some(unit),
                basis: Some(basis),
            };
            let now_ms = clock::now_ms();
            let source = store.describe(&full, description, now_ms)?;
            let parts = vec![Part { source, points, flags: 0 }];
            let ack = store.writer().append(Batch { parts, raw: Vec::new(), arrived_ms: now_ms })?;
            Ok(json!({
                "source": source, "kept": ack.kept, "twice": ack.twice, "second": ack.second,
                "refused": ack.refused,
            }))
        })
        .await?;
    Ok(Json(answer))
}
