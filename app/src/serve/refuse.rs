//! What a request is answered that is not done: a status, and the diagnostic in words and by its code.

use super::desk::Speaks;
use crate::store::StoreError;
use axum::body::Body;
use axum::http::{HeaderValue, StatusCode, header};
use axum::response::Response;
use engine::diag::{Diagnostic, code};
use serde_json::json;

/// A request that is not done.
#[derive(Clone, Debug)]
pub(super) struct Refusal {
    pub(super) status: StatusCode,
    pub(super) why: Diagnostic,
    /// Seconds after which it may come again.
    pub(super) after_s: Option<u64>,
}

pub(super) type Done<T> = Result<T, Refusal>;

impl Refusal {
    pub(super) fn new(status: StatusCode, why: Diagnostic) -> Refusal {
        Refusal { status, why, after_s: None }
    }

    /// A request that cannot be read.
    pub(super) fn unreadable(what: &str) -> Refusal {
        Refusal::new(StatusCode::BAD_REQUEST, Diagnostic::error(code::K154).arg("what", what))
    }

    pub(super) fn too_fast(after_s: u64) -> Refusal {
        let why = Diagnostic::error(code::K151).arg("seconds", after_s as f64);
        Refusal { status: StatusCode::TOO_MANY_REQUESTS, why, after_s: Some(after_s) }
    }

    pub(super) fn too_much() -> Refusal {
        let why = Diagnostic::error(code::K157);
        Refusal { status: StatusCode::SERVICE_UNAVAILABLE, why, after_s: Some(5) }
    }

    pub(super) fn too_large(what: &str, most: usize) -> Refusal {
        let most_mb = most.div_ceil(1 << 20);
        let why = Diagnostic::error(code::K155).arg("what", what).arg("mb", most_mb + 1).arg("most", most_mb);
        Refusal::new(StatusCode::PAYLOAD_TOO_LARGE, why)
    }

    pub(super) fn not_joined() -> Refusal {
        Refusal::new(StatusCode::UNAUTHORIZED, Diagnostic::error(code::K152))
    }

    pub(super) fn nothing_there() -> Refusal {
        Refusal::new(StatusCode::NOT_FOUND, Diagnostic::error(code::K159))
    }

    /// As an answer, in the language of whoever asked.
    pub(super) fn answer(&self, speaks: Speaks) -> Response {
        let words = speaks.words();
        let said = words.diagnostic(&self.why);
        let body = json!({
            "error": { "code": self.why.code.0, "text": said.text, "because": said.because, "help": said.help }
        });
        // A name that was asked for is said again: in JSON, and no mark-up even to whoever takes it for such.
        let text = body.to_string().replace('<', "\\u003c");
        let mut response = json_text(text);
        *response.status_mut() = self.status;
        if let Some(after_s) = self.after_s {
            response.headers_mut().insert(header::RETRY_AFTER, HeaderValue::from(after_s));
        }
        if self.status == StatusCode::UNAUTHORIZED {
            response.headers_mut().insert(header::WWW_AUTHENTICATE, HeaderValue::from_static("Bearer"));
        }
        response
    }
}

impl From<StoreError> for Refusal {
    fn from(error: StoreError) -> Refusal {
        use StoreError as S;
        let status = match &error {
            S::NoJob { .. } | S::NoDocument { .. } | S::NoSource { .. } | S::NoDevice { .. } => {
                StatusCode::NOT_FOUND
            }
            S::Erased { .. } => StatusCode::GONE,
            S::NoRevision { .. } | S::NothingToUndo { .. } | S::Described { .. } => StatusCode::CONFLICT,
            S::Path { .. } | S::Edit { .. } | S::Unit { .. } => StatusCode::UNPROCESSABLE_ENTITY,
            S::Large { .. } => StatusCode::PAYLOAD_TOO_LARGE,
            S::Full { .. } | S::Busy => StatusCode::SERVICE_UNAVAILABLE,
            S::NoRoom { .. } => StatusCode::INSUFFICIENT_STORAGE,
            _ => StatusCode::INTERNAL_SERVER_ERROR,
        };
        let after_s = (status == StatusCode::SERVICE_UNAVAILABLE).then_some(5);
        Refusal { status, why: error.diagnostic(), after_s }
    }
}

/// JSON as an answer.
pub(super) fn json_response(body: &impl serde::Serialize) -> Response {
    // What is answered is made of plain values, which can always be written.
    json_text(serde_json::to_string(body).unwrap_or_default())
}

fn json_text(text: String) -> Response {
    let mut response = Response::new(Body::from(text));
    response.headers_mut().insert(header::CONTENT_TYPE, HeaderValue::from_static("application/json"));
    response
}
