//! What every request has to pass before it reaches the desk.

use super::desk::{Caller, Desk, Speaks};
use super::listen::Peer;
use super::refuse::{Done, Refusal, json_response};
use super::{pace, pair};
use crate::cli::talk;
use crate::clock;
use axum::extract::{Request, State};
use axum::http::header::{self, HeaderName};
use axum::http::{HeaderMap, HeaderValue, Method, StatusCode};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use engine::diag::{Diagnostic, code};
use std::net::IpAddr;
use std::sync::Arc;

/// Longest path with its query, bytes.
const LONGEST_TARGET: usize = 4096;

impl IntoResponse for Refusal {
    fn into_response(self) -> Response {
        let mut response = self.status.into_response();
        // Put into words by `asked`, which knows the language.
        response.extensions_mut().insert(self);
        response
    }
}

fn peer(request: &Request) -> IpAddr {
    // Without a peer nobody connected: nobody's bucket.
    request.extensions().get::<Peer>().map_or(IpAddr::from([0, 0, 0, 0]), |p| p.0)
}

/// The only value of a header; nothing where it is missing.
fn one<'h>(headers: &'h HeaderMap, name: &HeaderName) -> Done<Option<&'h str>> {
    let mut all = headers.get_all(name).iter();
    let first = all.next();
    if all.next().is_some() {
        return Err(Refusal::unreadable(name.as_str()));
    }
    first.map(|v| v.to_str().map_err(|_| Refusal::unreadable(name.as_str()))).transpose()
}

fn foreign(status: StatusCode) -> Refusal {
    Refusal::new(status, Diagnostic::error(code::K153))
}

/// Everything, pages too: the name by which we were called, so that no name of somebody else's that is led to
/// our address gets a page of ours.
pub(super) async fn all(State(desk): State<Arc<Desk>>, request: Request, next: Next) -> Response {
    let began = clock::monotonic();
    let speaks = Speaks::of(request.headers());
    let line = desk.log.then(|| told(&request));
    let response = match called(&desk, &request) {
        Ok(()) => next.run(request).await,
        Err(refusal) => hardened(refusal.answer(speaks)),
    };
    if let Some(line) = line {
        let ms = began.elapsed().as_millis();
        talk(&format!("{line} {} {ms} ms\n", response.status().as_u16()));
    }
    response
}

/// Method and kind of address: neither names of jobs nor queries.
fn told(request: &Request) -> String {
    let path = request.uri().path();
    let shown = match path.strip_prefix("/desk/") {
        Some(rest) => {
            let first = rest.split('/').next().filter(|f| f.bytes().all(|b| b.is_ascii_lowercase()));
            format!("/desk/{}", first.unwrap_or("-"))
        }
        None => "page".to_owned(),
    };
    format!("{} {} {shown}", clock::moment(clock::now_ms()), request.method())
}

fn called(desk: &Desk, request: &Request) -> Done<()> {
    let target = request.uri();
    if target.path_and_query().map_or(0, |p| p.as_str().len()) > LONGEST_TARGET {
        return Err(Refusal::new(
            StatusCode::URI_TOO_LONG,
            Diagnostic::error(code::K154).arg("what", "address"),
        ));
    }
    let known = |name: &str| desk.names.iter().any(|n| n.eq_ignore_ascii_case(name));
    let host =
        one(request.headers(), &header::HOST)?.ok_or_else(|| foreign(StatusCode::MISDIRECTED_REQUEST))?;
    let same = target.authority().is_none_or(|a| a.as_str().eq_ignore_ascii_case(host));
    if known(host) && same { Ok(()) } else { Err(foreign(StatusCode::MISDIRECTED_REQUEST)) }
}

/// Questions of the desk: from our own pages, not too often, as JSON.
pub(super) async fn asked(State(desk): State<Arc<Desk>>, request: Request, next: Next) -> Response {
    let speaks = Speaks::of(request.headers());
    let response = match own(&desk, &request) {
        Ok(()) => next.run(request).await,
        Err(refusal) => refusal.into_response(),
    };
    let status = response.status();
    let ours = response.headers().get(header::CONTENT_TYPE).is_some_and(|kind| {
        kind == HeaderValue::from_static("application/json")
            || kind == HeaderValue::from_static("text/event-stream")
    });
    let refusal = response.extensions().get::<Refusal>().cloned().or_else(|| {
        // What a path, a query or a method that does not fit was answered: no text of the request in it.
        let what = match status {
            StatusCode::NOT_FOUND => return Some(Refusal::nothing_there()),
            StatusCode::METHOD_NOT_ALLOWED => "method",
            _ if (status.is_client_error() || status.is_server_error()) && !ours => "address",
            _ => return None,
        };
        (!ours).then(|| Refusal { status, ..Refusal::unreadable(what) })
    });
    hardened(match refusal {
        Some(refusal) => refusal.answer(speaks),
        None => response,
    })
}

fn own(desk: &Desk, request: &Request) -> Done<()> {
    let headers = request.headers();
    desk.by_address.take(pace::of(peer(request)), clock::monotonic()).map_err(Refusal::too_fast)?;
    if let Some(origin) = one(headers, &header::ORIGIN)?
        && !desk.origins.iter().any(|o| o == origin)
    {
        return Err(foreign(StatusCode::FORBIDDEN));
    }
    if let Some(site) = one(headers, &HeaderName::from_static("sec-fetch-site"))?
        && !matches!(site, "same-origin" | "none")
    {
        return Err(foreign(StatusCode::FORBIDDEN));
    }
    if request.method() == Method::POST {
        let kind = one(headers, &header::CONTENT_TYPE)?.unwrap_or("");
        let mut parts = kind.split(';').map(str::trim);
        let json = parts.next().is_some_and(|k| k.eq_ignore_ascii_case("application/json"));
        if !json || parts.any(|p| !p.eq_ignore_ascii_case("charset=utf-8")) {
            let why = Diagnostic::error(code::K154).arg("what", "content-type");
            return Err(Refusal::new(StatusCode::UNSUPPORTED_MEDIA_TYPE, why));
        }
    }
    Ok(())
}

/// Questions of a joined device.
pub(super) async fn joined(State(desk): State<Arc<Desk>>, mut request: Request, next: Next) -> Response {
    // The body of a request is not shared between threads: what is needed of the head is read first.
    let shown = token(&request);
    let caller = match shown {
        Ok(token) => caller(&desk, token).await,
        Err(refusal) => Err(refusal),
    };
    match caller {
        Ok(caller) => {
            request.extensions_mut().insert(caller);
            next.run(request).await
        }
        Err(refusal) => refusal.into_response(),
    }
}

/// The hash of the token that is shown.
fn token(request: &Request) -> Done<String> {
    let shown = one(request.headers(), &header::AUTHORIZATION).map_err(|_| Refusal::not_joined())?;
    let token = shown.and_then(|s| s.strip_prefix("Bearer ")).ok_or_else(Refusal::not_joined)?;
    pair::hash_of_token(token).ok_or_else(Refusal::not_joined)
}

async fn caller(desk: &Desk, token: String) -> Done<Caller> {
    let wanted = token.clone();
    let device = desk.ask(move |store| Ok(store.device(&wanted)?)).await?.ok_or_else(Refusal::not_joined)?;
    desk.by_device.take(pace::Whose::Device(device.id), clock::monotonic()).map_err(Refusal::too_fast)?;
    Ok(Caller { device, token })
}

/// Answers of the desk are nobody else's to read, keep or guess the kind of.
fn hardened(mut response: Response) -> Response {
    let headers = [
        (header::CACHE_CONTROL, "no-store"),
        (header::X_CONTENT_TYPE_OPTIONS, "nosniff"),
        (header::REFERRER_POLICY, "no-referrer"),
        (header::CONTENT_SECURITY_POLICY, "default-src 'none'; frame-ancestors 'none'"),
        (HeaderName::from_static("cross-origin-resource-policy"), "same-origin"),
    ];
    for (name, value) in headers {
        response.headers_mut().insert(name, HeaderValue::from_static(value));
    }
    response
}

/// Plain JSON as an answer.
pub(super) struct Json<T>(pub(super) T);

impl<T: serde::Serialize> IntoResponse for Json<T> {
    fn into_response(self) -> Response {
        json_response(&self.0)
    }
}
