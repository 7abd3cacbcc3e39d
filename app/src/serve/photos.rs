//! Photos of a job, both ways: bytes under the name of their SHA-256, sent where the other side lacks them.

use super::desk::{Caller, Desk};
use super::guard::Json;
use super::refuse::{Done, Refusal};
use crate::store::{LARGEST_PHOTO, PHOTOS, photo_hash};
use axum::Extension;
use axum::body::Body;
use axum::extract::{Path, Request, State};
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::Response;
use engine::diag::{Diagnostic, code};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};
use std::sync::Arc;

/// `GET /desk/jobs/{job}/photos`: their names and sizes.
pub(super) async fn list(State(desk): State<Arc<Desk>>, Path(job): Path<String>) -> Done<Json<Value>> {
    let all = desk.ask(move |store| Ok(store.stands(&job)?)).await?;
    let photo = |d: &crate::store::DocumentHead| {
        let name = d.name.strip_prefix(PHOTOS).filter(|n| photo_hash(n).is_some())?;
        Some(json!({ "name": name, "bytes": d.bytes }))
    };
    Ok(Json(json!({ "photos": all.iter().filter_map(photo).collect::<Vec<_>>() })))
}

/// `PUT /desk/jobs/{job}/photos/{name}`: a photo, held against its name.
pub(super) async fn put(
    State(desk): State<Arc<Desk>>,
    Extension(caller): Extension<Caller>,
    Path((job, name)): Path<(String, String)>,
    request: Request,
) -> Done<Json<Value>> {
    let refused = || Refusal::new(StatusCode::UNPROCESSABLE_ENTITY, Diagnostic::error(code::K190));
    let Some(wanted) = photo_hash(&name).map(str::to_owned) else { return Err(refused()) };
    let bytes = desk.bytes(request, LARGEST_PHOTO).await?;
    let sum: String = Sha256::digest(&bytes).iter().map(|b| format!("{b:02x}")).collect();
    if sum != wanted || kind(&bytes).is_none() {
        return Err(refused());
    }
    let kept = desk.ask(move |store| Ok(store.add_photo(&job, &name, bytes, caller.who())?)).await?;
    Ok(Json(json!({ "kept": kept })))
}

/// `GET /desk/jobs/{job}/photos/{name}`: its bytes.
pub(super) async fn get(
    State(desk): State<Arc<Desk>>,
    Path((job, name)): Path<(String, String)>,
) -> Done<Response> {
    if photo_hash(&name).is_none() {
        return Err(Refusal::nothing_there());
    }
    let bytes = desk.ask(move |store| Ok(store.photo(&job, &name)?)).await?;
    let bytes = bytes.ok_or_else(Refusal::nothing_there)?;
    let kind = kind(&bytes).unwrap_or("application/octet-stream");
    let mut response = Response::new(Body::from(bytes));
    response.headers_mut().insert(header::CONTENT_TYPE, HeaderValue::from_static(kind));
    Ok(response)
}

/// What bytes are by their first ones, whatever their name says; nothing for anything but JPEG and PNG.
fn kind(bytes: &[u8]) -> Option<&'static str> {
    match bytes {
        [0x89, b'P', b'N', b'G', b'\r', b'\n', 0x1a, b'\n', ..] => Some("image/png"),
        [0xff, 0xd8, 0xff, ..] => Some("image/jpeg"),
        _ => None,
    }
}
