//! What a store could not do.

use crate::intake::cannot::why;
use api::edit::EditError;
use engine::diag::{Diagnostic, code};
use std::path::{Path, PathBuf};

pub(crate) type Result<T> = std::result::Result<T, StoreError>;

/// Why a store could not do what it was asked.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub(crate) enum StoreError {
    #[error("no store of this program")]
    NotAStore,
    #[error("no store at {0}")]
    NoStore(PathBuf),
    #[error("version {version}, known {known}")]
    Newer { version: i64, known: i64 },
    #[error("damaged: {what}")]
    Damaged { what: String },
    #[error("queue full: {waiting} wait, {refused} refused so far")]
    Full { waiting: usize, refused: u64 },
    #[error("no room: {what}")]
    NoRoom { what: String },
    #[error("the writer has ended")]
    Ended,
    #[error("busy")]
    Busy,
    #[error("no job {name}")]
    NoJob { name: String, known: String },
    #[error("job {name} erased")]
    Erased { name: String },
    #[error("no document {path}")]
    NoDocument { path: String },
    #[error("no revision {number} of {path}, the last is {last}")]
    NoRevision { path: String, number: i64, last: i64 },
    #[error("nothing to take back in {path}")]
    NothingToUndo { path: String },
    #[error("no path: {path}")]
    Path { path: String },
    #[error("{path}: {why} {what}")]
    Edit { path: String, why: &'static str, what: String, line: usize },
    #[error("no source {name}")]
    NoSource { name: String },
    #[error("source {name}: {field} is {was}")]
    Described { name: String, field: &'static str, was: String },
    #[error("unit {unit} of {quantity}")]
    Unit { unit: String, quantity: String },
    #[error("folder {folder} was not taken from the job {job}")]
    Unknown { folder: String, job: String },
    #[error("{path}: {why} {what}")]
    File { path: String, why: &'static str, what: String },
    #[error("no device {name}")]
    NoDevice { name: String },
    #[error("{what} has {bytes} bytes, at most {most}")]
    Large { what: String, bytes: usize, most: usize },
    #[error("{what}")]
    Other { what: String },
}

impl From<rusqlite::Error> for StoreError {
    fn from(error: rusqlite::Error) -> StoreError {
        use rusqlite::ErrorCode as E;
        let what = error.to_string();
        match error.sqlite_error_code() {
            Some(E::DatabaseCorrupt) => StoreError::Damaged { what },
            Some(E::NotADatabase) => StoreError::NotAStore,
            Some(E::DiskFull | E::SystemIoFailure | E::ReadOnly | E::PermissionDenied | E::CannotOpen) => {
                StoreError::NoRoom { what }
            }
            Some(E::DatabaseBusy | E::DatabaseLocked) => StoreError::Busy,
            _ => StoreError::Other { what },
        }
    }
}

impl StoreError {
    /// A file or a folder that cannot be read or written.
    pub(crate) fn file(path: &Path, error: &std::io::Error) -> StoreError {
        StoreError::File { path: path.display().to_string(), why: why(error), what: error.to_string() }
    }

    /// A file that would be written over.
    pub(crate) fn there(path: &Path) -> StoreError {
        StoreError::file(path, &std::io::ErrorKind::AlreadyExists.into())
    }

    /// An edit of a document that does not fit.
    pub(crate) fn edit(path: &str, error: &EditError) -> StoreError {
        let (why, what, line) = match error {
            EditError::Unreadable { line, what } => ("unreadable", what, *line),
            EditError::Missing { key } => ("missing", key, 0),
            EditError::Taken { key } => ("taken", key, 0),
            EditError::Kind { key } => ("kind", key, 0),
            EditError::Value { value, .. } => ("value", value, 0),
            EditError::Key { text } => ("key", text, 0),
        };
        StoreError::Edit { path: path.to_owned(), why, what: what.clone(), line }
    }

    /// The same as a diagnostic, for people and for JSON.
    pub(crate) fn diagnostic(&self) -> Diagnostic {
        use StoreError as S;
        let number = |n: i64| n as f64;
        match self {
            S::NotAStore => Diagnostic::error(code::K101),
            S::NoStore(path) => Diagnostic::error(code::K102).arg("path", path.display().to_string()),
            S::Newer { version, known } => {
                Diagnostic::error(code::K103).arg("version", number(*version)).arg("known", number(*known))
            }
            S::Damaged { what } => Diagnostic::error(code::K104).arg("what", what.as_str()),
            S::Full { waiting, refused } => {
                Diagnostic::error(code::K105).arg("waiting", *waiting).arg("refused", *refused as f64)
            }
            S::NoRoom { what } => Diagnostic::error(code::K106).arg("what", what.as_str()),
            S::Ended => Diagnostic::error(code::K107),
            S::Busy => Diagnostic::error(code::K108),
            S::NoJob { name, known } => {
                Diagnostic::error(code::K109).arg("name", name.as_str()).arg("known", known.as_str())
            }
            S::Erased { name } => Diagnostic::error(code::K110).arg("name", name.as_str()),
            S::NoDocument { path } => Diagnostic::error(code::K111).arg("path", path.as_str()),
            S::NoRevision { path, number: n, last } => Diagnostic::error(code::K112)
                .arg("path", path.as_str())
                .arg("number", number(*n))
                .arg("last", number(*last)),
            S::NothingToUndo { path } => Diagnostic::error(code::K113).arg("path", path.as_str()),
            S::Path { path } => Diagnostic::error(code::K114).arg("path", path.as_str()),
            S::Edit { path, why, what, line } => Diagnostic::error(code::K115)
                .arg("path", path.as_str())
                .arg("why", *why)
                .arg("what", what.as_str())
                .arg("line", *line),
            S::NoSource { name } => Diagnostic::error(code::K116).arg("name", name.as_str()),
            S::Described { name, field, was } => Diagnostic::error(code::K117)
                .arg("name", name.as_str())
                .arg("field", *field)
                .arg("was", was.as_str()),
            S::Unit { unit, quantity } => {
                Diagnostic::error(code::K118).arg("unit", unit.as_str()).arg("quantity", quantity.as_str())
            }
            S::Unknown { folder, job } => {
                Diagnostic::error(code::K119).arg("folder", folder.as_str()).arg("job", job.as_str())
            }
            S::File { path, why, what } => Diagnostic::error(code::K120)
                .arg("path", path.as_str())
                .arg("why", *why)
                .arg("what", what.as_str()),
            S::NoDevice { name } => Diagnostic::error(code::K160).arg("name", name.as_str()),
            S::Large { what, bytes, most } => Diagnostic::error(code::K155)
                .arg("what", what.as_str())
                .arg("mb", bytes.div_ceil(1 << 20))
                .arg("most", *most >> 20),
            S::Other { what } => Diagnostic::error(code::K121).arg("what", what.as_str()),
        }
    }
}
