//! Jobs of the desk: what there is, and the exchange with a device.

use super::desk::{Caller, Desk, SMALL};
use super::guard::Json;
use super::refuse::{Done, Refusal};
use crate::store::{LARGEST_DOCUMENT, Sent};
use axum::Extension;
use axum::extract::{Path, Request, State};
use axum::http::StatusCode;
use engine::diag::{Diagnostic, code};
use serde::{Deserialize, Deserializer};
use serde_json::{Value, json};
use std::sync::Arc;

/// Largest exchange, bytes as JSON: a few of the largest documents; a device sends more in several.
const LARGEST_EXCHANGE: usize = 6 * LARGEST_DOCUMENT;
/// Most documents of one.
const MOST_DOCUMENTS: usize = 2000;
/// Longest name of a job, in letters, and longest mark of a change.
const LONGEST_NAME: usize = 120;
const LONGEST_MARK: usize = 64;

/// `GET /desk/jobs`.
pub(super) async fn jobs(State(desk): State<Arc<Desk>>) -> Done<Json<Value>> {
    let jobs = desk.ask(|store| Ok(store.jobs()?)).await?;
    let there: Vec<_> = jobs.into_iter().filter(|j| j.erased_ms.is_none()).collect();
    Ok(Json(json!({ "jobs": there })))
}

/// `GET /desk/jobs/{job}`: documents with revision, hash and size, and what waits to be settled.
pub(super) async fn job(State(desk): State<Arc<Desk>>, Path(job): Path<String>) -> Done<Json<Value>> {
    let found = desk.ask(move |store| Ok((store.stands(&job)?, store.waiting(&job)?))).await?;
    Ok(Json(json!({ "documents": found.0, "waiting": found.1 })))
}

/// What a device sends.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Exchange {
    /// Whether the job is made where it is not there.
    #[serde(default)]
    begin: bool,
    documents: Vec<Document>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Document {
    name: String,
    base: i64,
    #[serde(default)]
    mark: String,
    #[serde(default)]
    from: Option<String>,
    /// Missing: nothing was done; null: taken away.
    #[serde(default, deserialize_with = "told")]
    #[allow(clippy::option_option, reason = "missing and null are two things")]
    text: Option<Option<String>>,
}

#[allow(clippy::option_option, reason = "missing and null are two things")]
fn told<'de, D: Deserializer<'de>>(reader: D) -> Result<Option<Option<String>>, D::Error> {
    Option::deserialize(reader).map(Some)
}

/// Whether a device may make a job of this name.
fn job_name(name: &str) -> Done<()> {
    let sound = |c: char| c.is_alphanumeric() || " -_.,()'".contains(c);
    let long = name.chars().count() > LONGEST_NAME;
    if name.trim() != name || name.is_empty() || name.starts_with('.') || long || !name.chars().all(sound) {
        let shown: String = name.chars().filter(|c| !c.is_control()).take(LONGEST_NAME).collect();
        let why = Diagnostic::error(code::K156).arg("name", shown);
        return Err(Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, why));
    }
    Ok(())
}

/// `POST /desk/jobs/{job}/exchange`.
pub(super) async fn exchange(
    State(desk): State<Arc<Desk>>,
    Extension(caller): Extension<Caller>,
    Path(job): Path<String>,
    request: Request,
) -> Done<Json<Value>> {
    let told: Exchange = desk.body(request, LARGEST_EXCHANGE).await?;
    if told.begin {
        job_name(&job)?;
    }
    if told.documents.len() > MOST_DOCUMENTS {
        return Err(Refusal::unreadable("documents"));
    }
    let mut sent = Vec::with_capacity(told.documents.len());
    for d in told.documents {
        // A change without a mark could not be told from another one.
        let changed = d.text.is_some();
        let sound = d.mark.len() <= LONGEST_MARK && d.mark.bytes().all(|b| b.is_ascii_alphanumeric());
        if !sound || (changed && d.mark.is_empty()) {
            return Err(Refusal::unreadable("mark"));
        }
        if d.from.as_ref().is_some_and(|f| f.len() > LARGEST_DOCUMENT) {
            return Err(Refusal::too_large(&d.name, LARGEST_DOCUMENT));
        }
        sent.push(Sent { name: d.name, base: d.base, from: d.from, text: d.text, mark: d.mark });
    }
    let answer = desk
        .ask(move |store| {
            let done = store.exchange(&job, caller.device.id, told.begin, sent, caller.who())?;
            Ok(json!({ "documents": done.documents, "left": done.left, "waiting": store.waiting(&job)? }))
        })
        .await?;
    Ok(Json(answer))
}

/// What becomes of an edit that waits.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Settle {
    number: i64,
    take: bool,
}

/// `POST /desk/jobs/{job}/settle`.
pub(super) async fn settle(
    State(desk): State<Arc<Desk>>,
    Extension(caller): Extension<Caller>,
    Path(job): Path<String>,
    request: Request,
) -> Done<Json<Value>> {
    let told: Settle = desk.body(request, SMALL).await?;
    let answer = desk
        .ask(move |store| {
            let became = store.settle(&job, told.number, told.take, caller.who())?;
            Ok(json!({ "became": became, "waiting": store.waiting(&job)? }))
        })
        .await?;
    Ok(Json(answer))
}
