//! Readings as they come: a stream of events that ends with the connection, the device or the program.
//!
//! Somebody else may write to the store, a live watch above all; SQLite counts commits of every program
//! (`data_version`), and that count is looked at five times a second while anybody listens.

use super::desk::{Caller, Desk};
use super::refuse::{Done, Refusal};
use axum::Extension;
use axum::body::{Body, Bytes};
use axum::extract::{Query, State};
use axum::http::{HeaderValue, header};
use axum::response::Response;
use hyper::body::Frame;
use serde::Deserialize;
use serde_json::json;
use std::collections::BTreeMap;
use std::convert::Infallible;
use std::pin::Pin;
use std::sync::{Arc, Mutex, PoisonError};
use std::task::{Context, Poll};
use std::time::Duration;
use tokio::sync::{mpsc, watch};

/// How often the store is looked at.
const LOOK: Duration = Duration::from_millis(200);
/// How long a stream is silent at most.
const HEARTBEAT: Duration = Duration::from_secs(10);
/// Streams at once, of all and of one device.
const MOST: usize = 32;
const OF_ONE: usize = 4;
/// Readings in one event.
const TOGETHER: i64 = 1000;
/// Events that may wait for a slow client; a slower one is cut off and comes again.
const WAITING: usize = 64;

/// Streams by device, and the count of commits.
pub(super) struct Streams {
    open: Mutex<BTreeMap<i64, usize>>,
    beat: watch::Sender<i64>,
}

impl Streams {
    pub(super) fn new() -> Streams {
        Streams { open: Mutex::new(BTreeMap::new()), beat: watch::Sender::new(0) }
    }

    fn hold(desk: &Arc<Desk>, device: i64) -> Option<Held> {
        let mut open = desk.streams.open.lock().unwrap_or_else(PoisonError::into_inner);
        let all: usize = open.values().sum();
        let own = open.entry(device).or_default();
        if all >= MOST || *own >= OF_ONE {
            return None;
        }
        *own += 1;
        drop(open);
        Some(Held(Arc::clone(desk), device))
    }

    fn any(&self) -> bool {
        self.open.lock().unwrap_or_else(PoisonError::into_inner).values().any(|n| *n > 0)
    }
}

/// A stream as long as it is open.
pub(super) struct Held(Arc<Desk>, i64);

impl Drop for Held {
    fn drop(&mut self) {
        let mut open = self.0.streams.open.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(count) = open.get_mut(&self.1) {
            *count = count.saturating_sub(1);
            if *count == 0 {
                open.remove(&self.1);
            }
        }
    }
}

/// Looks at the store while anybody listens, until the program ends.
pub(super) fn beat(desk: &Arc<Desk>) {
    let desk = Arc::clone(desk);
    tokio::spawn(async move {
        let mut end = desk.end.clone();
        loop {
            tokio::select! {
                () = tokio::time::sleep(LOOK) => {}
                _ = end.wait_for(|ended| *ended) => return,
            }
            if !desk.streams.any() {
                continue;
            }
            // A store that cannot be read now is looked at again.
            if let Ok(pulse) = desk.ask(|store| Ok(store.pulse()?)).await {
                desk.streams.beat.send_if_modified(|last| std::mem::replace(last, pulse) != pulse);
            }
        }
    });
}

/// Of which job.
#[derive(Deserialize)]
pub(super) struct OfJob {
    job: String,
}

/// `GET /desk/live?job=`: each new reading as an event `{source, points: [[time_ms, value]]}`, SI. Where readings
/// came that are older than what was told, `event: anew` names the source: look at its window again. `event: watch`
/// says that the watch over the job has something new to tell.
pub(super) async fn live(
    State(desk): State<Arc<Desk>>,
    Extension(caller): Extension<Caller>,
    Query(of): Query<OfJob>,
) -> Done<Response> {
    let held = Streams::hold(&desk, caller.device.id).ok_or_else(Refusal::too_much)?;
    let beat = desk.streams.beat.subscribe();
    let mut told = Told { job: of.job, sources: BTreeMap::new(), watch: String::new(), first: true };
    told.look(&desk).await?;
    let (send, receive) = mpsc::channel(WAITING);
    tokio::spawn(tell(desk, caller, told, beat, send, held));
    Ok(stream(receive))
}

/// A stream of events as an answer.
pub(super) fn stream(receive: mpsc::Receiver<Bytes>) -> Response {
    let mut response = Response::new(Body::new(Events(receive)));
    let kind = HeaderValue::from_static("text/event-stream");
    response.headers_mut().insert(header::CONTENT_TYPE, kind);
    response
}

/// One event; its data is JSON, which has no line ends.
pub(super) fn event(kind: Option<&str>, data: &serde_json::Value) -> Bytes {
    let kind = kind.map_or(String::new(), |k| format!("event: {k}\n"));
    Bytes::from(format!("{kind}data: {data}\n\n"))
}

async fn tell(
    desk: Arc<Desk>,
    caller: Caller,
    mut told: Told,
    mut beat: watch::Receiver<i64>,
    send: mpsc::Sender<Bytes>,
    held: Held,
) {
    let mut end = desk.end.clone();
    if send.send(Bytes::from_static(b": open\n\n")).await.is_err() {
        return;
    }
    loop {
        let came = tokio::select! {
            changed = beat.changed() => changed.is_ok(),
            () = tokio::time::sleep(HEARTBEAT) => false,
            () = send.closed() => return,
            _ = end.wait_for(|ended| *ended) => return,
        };
        // A device may have been forgotten meanwhile, by another program, too.
        let token = caller.token.clone();
        if !matches!(desk.ask(move |store| Ok(store.device(&token)?)).await, Ok(Some(_))) {
            break;
        }
        let events = if came {
            match told.look(&desk).await {
                Ok(events) => events,
                Err(_) => break,
            }
        } else {
            vec![Bytes::from_static(b": here\n\n")]
        };
        for one in events {
            if send.try_send(one).is_err() {
                return;
            }
        }
    }
    drop(held);
}

/// What a stream has told: of each source how many readings there are and the moment of the last.
struct Told {
    job: String,
    sources: BTreeMap<i64, (i64, i64)>,
    /// The mark of the watch.
    watch: String,
    first: bool,
}

impl Told {
    /// What came since.
    async fn look(&mut self, desk: &Desk) -> Done<Vec<Bytes>> {
        let job = self.job.clone();
        let (now, watch) = desk.ask(move |store| Ok((store.pace(&job)?, store.watch_mark(&job)?))).await?;
        let mut events = Vec::new();
        for (source, count, last_ms) in now {
            // A source that appears while we listen is told from its beginning.
            let before = if self.first { (count, last_ms) } else { (0, -1) };
            let told = *self.sources.get(&source).unwrap_or(&before);
            if told.0 == count && self.sources.contains_key(&source) {
                continue;
            }
            let mut after_ms = told.1;
            let mut new = 0;
            while after_ms < last_ms {
                let points =
                    desk.ask(move |store| Ok(store.points_after(source, after_ms, TOGETHER)?)).await?;
                let Some(last) = points.last() else { break };
                after_ms = last.0;
                new += points.len() as i64;
                events.push(event(None, &json!({ "source": source, "points": points })));
            }
            if count - told.0 > new {
                events.push(event(Some("anew"), &json!({ "source": source })));
            }
            self.sources.insert(source, (told.0.max(count), after_ms.max(told.1)));
        }
        // After the readings, so that whoever hears of it has them.
        if std::mem::replace(&mut self.watch, watch.clone()) != watch && !self.first {
            events.push(event(Some("watch"), &json!({ "watch": true })));
        }
        self.first = false;
        Ok(events)
    }
}

/// Events as the body of an answer.
struct Events(mpsc::Receiver<Bytes>);

impl hyper::body::Body for Events {
    type Data = Bytes;
    type Error = Infallible;

    fn poll_frame(
        mut self: Pin<&mut Self>,
        context: &mut Context<'_>,
    ) -> Poll<Option<Result<Frame<Bytes>, Infallible>>> {
        self.0.poll_recv(context).map(|next| next.map(|bytes| Ok(Frame::data(bytes))))
    }
}
