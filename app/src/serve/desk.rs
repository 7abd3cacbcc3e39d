//! What every request knows of: the store, who may ask, how often; and the list of questions.

use super::live::Streams;
use super::pace::Pace;
use super::pair::Codes;
use super::refuse::{Done, Refusal};
use super::tasks::Tasks;
use super::{documents, guard, live, pages, pair, photos, print, series, tasks};
use crate::clock;
use crate::pages::Page;
use crate::store::{Device, Store, Who};
use axum::Router;
use axum::extract::Request;
use axum::http::{HeaderMap, header};
use axum::middleware::from_fn_with_state;
use axum::routing::{any, delete, get, post};
use engine::units::System;
use report::words::{Language, Words};
use serde::de::DeserializeOwned;
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::{Semaphore, watch};

/// How long the body of a request may take to arrive.
const ARRIVING: Duration = Duration::from_secs(60);
/// Bodies of more than [`SMALL`] that are held at once.
const LARGE_AT_ONCE: usize = 4;
/// A body that needs no turn, bytes.
pub(super) const SMALL: usize = 64 << 10;

/// The desk.
pub(super) struct Desk {
    pub(super) store: Arc<Store>,
    /// What may stand in a `Host` header.
    pub(super) names: Vec<String>,
    /// What may stand in an `Origin` header.
    pub(super) origins: Vec<String>,
    pub(super) log: bool,
    pub(super) end: watch::Receiver<bool>,
    pub(super) codes: Codes,
    pub(super) streams: Streams,
    pub(super) tasks: Tasks,
    /// Of all requests, by address; of a device's.
    pub(super) by_address: Pace,
    pub(super) by_device: Pace,
    large: Semaphore,
}

/// The language an answer is wanted in.
#[derive(Clone, Copy, Debug)]
pub(super) struct Speaks(Language);

impl Speaks {
    pub(super) fn of(headers: &HeaderMap) -> Speaks {
        let wanted = headers.get(header::ACCEPT_LANGUAGE).and_then(|v| v.to_str().ok()).unwrap_or("en");
        let first = wanted.split([',', ';', '-']).next().unwrap_or("en").trim();
        Speaks(Language::from_tag(first).unwrap_or(Language::En))
    }

    pub(super) fn words(self) -> Words {
        Words::new(self.0, System::Si)
    }
}

/// Who asks, once the token is known.
#[derive(Clone, Debug)]
pub(super) struct Caller {
    pub(super) device: Device,
    /// Hash of its token.
    pub(super) token: String,
}

impl Caller {
    pub(super) fn who(&self) -> Who {
        Who { author: self.device.name.clone(), device: self.device.name.clone(), now_ms: clock::now_ms() }
    }
}

impl Desk {
    pub(super) fn new(
        store: Arc<Store>,
        names: Vec<String>,
        scheme: &str,
        log: bool,
        end: watch::Receiver<bool>,
    ) -> Arc<Desk> {
        let origins = names.iter().map(|name| format!("{scheme}://{name}")).collect();
        Arc::new(Desk {
            store,
            names,
            origins,
            log,
            end,
            codes: Codes::default(),
            streams: Streams::new(),
            tasks: Tasks::new(),
            by_address: Pace::new(400.0, 40.0),
            by_device: Pace::new(200.0, 20.0),
            large: Semaphore::new(LARGE_AT_ONCE),
        })
    }

    /// Asks the store on a thread that may wait.
    pub(super) async fn ask<T: Send + 'static>(
        &self,
        f: impl FnOnce(&Store) -> Done<T> + Send + 'static,
    ) -> Done<T> {
        let store = Arc::clone(&self.store);
        let done = tokio::task::spawn_blocking(move || f(&store)).await;
        done.unwrap_or_else(|_| Err(Refusal::from(crate::store::StoreError::Ended)))
    }

    /// The body of a request as JSON of a known shape.
    ///
    /// # Errors
    /// Too large, too slow, not JSON or not of the shape.
    pub(super) async fn body<T: DeserializeOwned>(&self, request: Request, most: usize) -> Done<T> {
        let bytes = self.bytes(request, most).await?;
        serde_json::from_slice(&bytes).map_err(|e| Refusal::unreadable(&e.to_string()))
    }

    /// The body of a request as it is.
    ///
    /// # Errors
    /// Too large, too slow.
    pub(super) async fn bytes(&self, request: Request, most: usize) -> Done<Vec<u8>> {
        let told = request.headers().get(header::CONTENT_LENGTH).and_then(|v| v.to_str().ok()?.parse().ok());
        if told.is_some_and(|n: usize| n > most) {
            return Err(Refusal::too_large("request", most));
        }
        let turn = if most > SMALL && told.is_none_or(|n| n > SMALL) {
            Some(self.large.try_acquire().map_err(|_| Refusal::too_much())?)
        } else {
            None
        };
        let read = axum::body::to_bytes(request.into_body(), most);
        let bytes = match tokio::time::timeout(ARRIVING, read).await {
            Ok(Ok(bytes)) => bytes,
            Ok(Err(_)) => return Err(Refusal::too_large("request", most)),
            Err(_) => return Err(Refusal::unreadable("time")),
        };
        drop(turn);
        Ok(bytes.into())
    }
}

/// Every question of the desk, and the pages.
pub(super) fn router(desk: &Arc<Desk>, pages: &'static [Page]) -> Router {
    let joined = Router::new()
        .route("/desk/code", post(pair::code))
        .route("/desk/devices", get(pair::devices))
        .route("/desk/device", get(pair::own).delete(pair::leave))
        .route("/desk/jobs", get(documents::jobs))
        .route("/desk/jobs/{job}", get(documents::job))
        .route("/desk/jobs/{job}/exchange", post(documents::exchange))
        .route("/desk/jobs/{job}/settle", post(documents::settle))
        .route("/desk/jobs/{job}/pdf", post(print::print))
        .route("/desk/jobs/{job}/photos", get(photos::list))
        .route("/desk/jobs/{job}/photos/{name}", get(photos::get).put(photos::put))
        .route("/desk/sources", get(series::sources))
        .route("/desk/window", get(series::window))
        .route("/desk/expected", get(series::expected))
        .route("/desk/events", get(series::events))
        .route("/desk/watch", get(series::watch))
        .route("/desk/readings", post(series::readings))
        .route("/desk/live", get(live::live))
        .route("/desk/tasks", post(tasks::begin))
        .route("/desk/tasks/{id}", get(tasks::look).merge(delete(tasks::cancel)))
        .route("/desk/tasks/{id}/progress", get(tasks::progress))
        .route("/desk", any(nothing))
        .route("/desk/{*rest}", any(nothing))
        .layer(from_fn_with_state(Arc::clone(desk), guard::joined));
    let open = Router::new().route("/desk/join", post(pair::join));
    let asked = joined
        .merge(open)
        .layer(from_fn_with_state(Arc::clone(desk), guard::asked))
        .with_state(Arc::clone(desk));
    asked.merge(pages::router(pages)).layer(from_fn_with_state(Arc::clone(desk), guard::all))
}

async fn nothing() -> Refusal {
    Refusal::nothing_there()
}
