//! A sheet as PDF, written by the desk from its own copy of a job, where PDF is built in.

use super::desk::{Desk, SMALL};
use super::refuse::{Done, Refusal};
use axum::body::Body;
use axum::extract::{Path, Request, State};
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::Response;
use serde::Deserialize;
use std::sync::Arc;

/// Whether this desk can.
pub(super) const CAN: bool = cfg!(feature = "pdf");

/// Which sheet, by its file's name without its ending, and how it is written.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
#[cfg_attr(not(feature = "pdf"), allow(dead_code, reason = "a desk without PDF prints nothing"))]
struct Asks {
    sheet: String,
    #[serde(default)]
    written: api::Written,
    #[serde(default)]
    now: String,
}

/// `POST /desk/jobs/{job}/pdf`: the bytes.
///
/// # Errors
/// No such job, no such sheet of it, or the page cannot be set.
pub(super) async fn print(
    State(desk): State<Arc<Desk>>,
    Path(job): Path<String>,
    request: Request,
) -> Done<Response> {
    if !CAN {
        return Err(Refusal::nothing_there());
    }
    let asks: Asks = desk.body(request, SMALL).await?;
    let documents = desk.ask(move |store| Ok(store.job(&job)?)).await?;
    // As long as a task, and in line with them.
    let turn = desk.tasks.turn().await.ok_or_else(Refusal::too_much)?;
    let made = tokio::task::spawn_blocking(move || set(documents, asks)).await;
    drop(turn);
    let bytes = made.map_err(|_| Refusal::too_much())??;
    let mut response = Response::new(Body::from(bytes));
    response.headers_mut().insert(header::CONTENT_TYPE, HeaderValue::from_static("application/pdf"));
    Ok(response)
}

#[cfg(not(feature = "pdf"))]
fn set(_: Vec<crate::store::Bytes>, _: Asks) -> Done<Vec<u8>> {
    Err(Refusal::new(StatusCode::NOT_FOUND, engine::diag::Diagnostic::error(engine::diag::code::K159)))
}

#[cfg(feature = "pdf")]
fn set(documents: Vec<crate::store::Bytes>, asks: Asks) -> Done<Vec<u8>> {
    use crate::cli::Paper;
    use engine::diag::{Diagnostic, code};
    use engine::units::System;
    let file = |d: crate::store::Bytes| {
        crate::files::picture_of(&d.path, &d.bytes)
            .or_else(|| Some(api::File { name: d.path, text: String::from_utf8(d.bytes).ok()? }))
    };
    let inputs = api::Inputs { files: documents.into_iter().filter_map(file).collect(), now: asks.now };
    let system = asks.written.speech.system.clone();
    let request = api::Request::Report { sheet: None, written: asks.written };
    let mut listen = |_: api::Progress| std::ops::ControlFlow::Continue(());
    let outcome = api::answer(&request, &inputs, &mut listen);
    let stem = |name: &str| name.trim_end_matches(".html").to_owned();
    let page = outcome.pages.iter().find(|(name, _)| stem(name) == stem(&asks.sheet));
    let (_, page) = page.ok_or_else(Refusal::nothing_there)?;
    let words = api::words(&inputs);
    let ip = system.map_or(words.system() == System::Ip, |s| s.eq_ignore_ascii_case("ip"));
    let paper = if ip { Paper::Letter } else { Paper::A4 };
    let printed = crate::pdf::print(page, paper, &inputs.now).map_err(|why| {
        let said = Diagnostic::error(code::K182).arg("file", asks.sheet).arg("why", format!("{why:#}"));
        Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, said)
    })?;
    Ok(printed.bytes)
}
