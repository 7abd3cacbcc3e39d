//! Long work of the desk for a device: asked, watched, cancelled, taken.
//!
//! Two at once, others wait in line. A result is kept for an hour, or until the device says that it has it
//! (`DELETE`): an answer that is lost on the way is asked for again. A task belongs to the device that asked;
//! nobody else is told of it.

use super::desk::{Caller, Desk, SMALL};
use super::guard::Json;
use super::live::{event, stream};
use super::pair;
use super::refuse::{Done, Refusal};
use crate::clock;
use api::{Speech, app};
use axum::Extension;
use axum::extract::{Path, Request, State};
use axum::http::StatusCode;
use axum::response::Response;
use engine::diag::{Diagnostic, code};
use serde::Deserialize;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::ops::ControlFlow;
use std::sync::{Arc, Mutex, PoisonError};
use std::time::{Duration, Instant};
use tokio::sync::{Semaphore, mpsc, watch};

/// Tasks that work at once.
const AT_ONCE: usize = 2;
/// Tasks that are kept, of all and of one device: waiting, working or done.
const MOST: usize = 32;
const OF_ONE: usize = 8;
/// How long a result waits.
const KEPT: Duration = Duration::from_secs(3600);
/// How often a stream of progress looks.
const LOOK: Duration = Duration::from_millis(200);

/// How far a task is.
#[derive(Clone, Debug, Default, PartialEq, serde::Serialize)]
pub(super) struct Standing {
    state: Phase,
    /// A key of the catalogue.
    what: &'static str,
    done: usize,
    of: usize,
    leading: Option<usize>,
}

/// Waiting, working, or one of the ends.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "kebab-case")]
enum Phase {
    #[default]
    Waits,
    Works,
    Done,
    Failed,
}

struct Task {
    device: i64,
    standing: watch::Sender<Standing>,
    /// Cancelled: whoever works sees it and ends.
    stop: watch::Sender<bool>,
    result: Option<Value>,
    ended: Option<Instant>,
}

/// All tasks by name.
pub(super) struct Tasks {
    list: Mutex<BTreeMap<String, Task>>,
    turns: Semaphore,
}

impl Tasks {
    pub(super) fn new() -> Tasks {
        Tasks { list: Mutex::new(BTreeMap::new()), turns: Semaphore::new(AT_ONCE) }
    }

    fn with<T>(&self, f: impl FnOnce(&mut BTreeMap<String, Task>) -> T) -> T {
        let mut list = self.list.lock().unwrap_or_else(PoisonError::into_inner);
        let now = clock::monotonic();
        list.retain(|_, t| t.ended.is_none_or(|e| now.saturating_duration_since(e) < KEPT));
        f(&mut list)
    }

    /// A turn among those that work; nothing once the desk ends.
    pub(super) async fn turn(&self) -> Option<tokio::sync::SemaphorePermit<'_>> {
        self.turns.acquire().await.ok()
    }

    /// Asks all of them to end.
    pub(super) fn end(&self) {
        self.with(|list| {
            for task in list.values() {
                task.stop.send_replace(true);
            }
        });
    }

    fn finish(&self, id: &str, state: Phase, result: Option<Value>) {
        self.with(|list| {
            if let Some(task) = list.get_mut(id) {
                task.result = result;
                task.ended = Some(clock::monotonic());
                task.standing.send_modify(|s| s.state = state);
            }
        });
    }
}

fn none() -> Refusal {
    Refusal::new(StatusCode::NOT_FOUND, Diagnostic::error(code::K158))
}

/// A page of a job, as the pages themselves ask for it; documents are the desk's own.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Asks {
    job: String,
    question: app::Page,
    #[serde(default)]
    now: String,
    /// Language and units of the device; those of the job where it says none.
    #[serde(default)]
    speech: Speech,
}

/// `POST /desk/tasks`.
pub(super) async fn begin(
    State(desk): State<Arc<Desk>>,
    Extension(caller): Extension<Caller>,
    request: Request,
) -> Done<Json<Value>> {
    let asks: Asks = desk.body(request, SMALL).await?;
    let documents = desk.ask(move |store| Ok(store.job(&asks.job)?)).await?;
    // Pictures are no part of a question.
    let text =
        |d: crate::store::Bytes| Some(app::Text { name: d.path, text: String::from_utf8(d.bytes).ok()? });
    let files = documents.into_iter().filter_map(text).collect();
    let question = app::Question::Page { page: asks.question, files, now: asks.now };
    let id = pair::secret_name().ok_or_else(Refusal::too_much)?;
    let (standing, stop) = (watch::Sender::new(Standing::default()), watch::Sender::new(false));
    let stopped = stop.subscribe();
    let device = caller.device.id;
    let put = desk.tasks.with(|list| {
        let own = |list: &BTreeMap<String, Task>| list.values().filter(|t| t.device == device).count();
        if own(list) >= OF_ONE {
            // The oldest result that nobody has taken makes room.
            let ended = list.iter().filter(|(_, t)| t.device == device && t.ended.is_some());
            let oldest = ended.min_by_key(|(_, t)| t.ended).map(|(id, _)| id.clone());
            oldest.and_then(|id| list.remove(&id));
        }
        let own = own(list);
        let may = list.len() < MOST && own < OF_ONE;
        if may {
            let task = Task { device, standing: standing.clone(), stop, result: None, ended: None };
            list.insert(id.clone(), task);
        }
        may
    });
    if !put {
        return Err(Refusal::too_much());
    }
    tokio::spawn(work(desk, id.clone(), (question, asks.speech), standing, stopped));
    Ok(Json(json!({ "id": id })))
}

async fn work(
    desk: Arc<Desk>,
    id: String,
    (question, speech): (app::Question, Speech),
    standing: watch::Sender<Standing>,
    mut stopped: watch::Receiver<bool>,
) {
    let turn = tokio::select! {
        turn = desk.tasks.turns.acquire() => turn,
        _ = stopped.wait_for(|stopped| *stopped) => return,
    };
    if *stopped.borrow() {
        return;
    }
    standing.send_modify(|s| s.state = Phase::Works);
    let answer = tokio::task::spawn_blocking(move || {
        let mut listen = |progress: api::Progress| {
            standing.send_modify(|s| {
                s.what = progress.what;
                s.done = progress.done;
                s.of = progress.of;
                s.leading = progress.leading;
            });
            if *stopped.borrow() { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        };
        app::Desk::default().answer(question, &speech, &mut listen)
    });
    let answer = answer.await;
    drop(turn);
    match answer {
        Ok(answer) => desk.tasks.finish(&id, Phase::Done, Some(answer)),
        Err(_) => desk.tasks.finish(&id, Phase::Failed, None),
    }
}

/// `GET /desk/tasks/{id}`: how far it is, and its result once there is one.
pub(super) async fn look(
    State(desk): State<Arc<Desk>>,
    Extension(caller): Extension<Caller>,
    Path(id): Path<String>,
) -> Done<Json<Value>> {
    let answer = desk.tasks.with(|list| {
        let task = list.get(&id).filter(|t| t.device == caller.device.id)?;
        let mut answer = json!({ "standing": *task.standing.borrow() });
        if let Some(result) = &task.result {
            answer["answer"] = result.clone();
        }
        Some(answer)
    });
    answer.map(Json).ok_or_else(none)
}

/// `GET /desk/tasks/{id}/progress`: how far it is, as events, until it has ended.
pub(super) async fn progress(
    State(desk): State<Arc<Desk>>,
    Extension(caller): Extension<Caller>,
    Path(id): Path<String>,
) -> Done<Response> {
    let standing = desk
        .tasks
        .with(|list| list.get(&id).filter(|t| t.device == caller.device.id).map(|t| t.standing.subscribe()));
    let mut standing = standing.ok_or_else(none)?;
    let (send, receive) = mpsc::channel(8);
    let mut end = desk.end.clone();
    tokio::spawn(async move {
        loop {
            let now = standing.borrow_and_update().clone();
            if send.send(event(None, &json!(now))).await.is_err() {
                return;
            }
            if matches!(now.state, Phase::Done | Phase::Failed) {
                return;
            }
            tokio::time::sleep(LOOK).await;
            tokio::select! {
                // A task that was cancelled is gone, and its stream with it.
                changed = standing.changed() => if changed.is_err() { return },
                () = send.closed() => return,
                _ = end.wait_for(|ended| *ended) => return,
            }
        }
    });
    Ok(stream(receive))
}

/// `DELETE /desk/tasks/{id}`: it ends and is forgotten, or its result was taken.
pub(super) async fn cancel(
    State(desk): State<Arc<Desk>>,
    Extension(caller): Extension<Caller>,
    Path(id): Path<String>,
) -> Done<Json<Value>> {
    let gone = desk.tasks.with(|list| {
        list.get(&id).filter(|t| t.device == caller.device.id)?;
        list.remove(&id)
    });
    let task = gone.ok_or_else(none)?;
    task.stop.send_replace(true);
    Ok(Json(json!({ "cancelled": true })))
}
