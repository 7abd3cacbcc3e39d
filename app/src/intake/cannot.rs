//! Why a way in cannot be opened, and what the system says of a file or an address, in words of the catalogue.

use engine::diag::{Diagnostic, code};
use std::io::{Error, ErrorKind};

/// What kind of trouble the system tells; a word that texts of the catalogue choose by.
pub(crate) fn why(error: &Error) -> &'static str {
    match error.kind() {
        ErrorKind::NotFound => "missing",
        ErrorKind::PermissionDenied => "denied",
        ErrorKind::AlreadyExists => "exists",
        ErrorKind::NotADirectory => "no-folder",
        ErrorKind::IsADirectory => "folder",
        ErrorKind::InvalidData => "no-text",
        ErrorKind::StorageFull => "full",
        ErrorKind::AddrInUse => "in-use",
        ErrorKind::AddrNotAvailable => "not-here",
        _ => "other",
    }
}

/// Why a way in cannot be opened. Nothing of a secret is in it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Cannot {
    /// A secret that is not where the document says.
    Secret {
        /// The file or the environment variable.
        name: String,
        /// A word of the catalogue.
        why: &'static str,
        /// What the system says.
        what: String,
    },
    /// An address that cannot be listened at.
    Listen {
        /// Host and port.
        address: String,
        /// A word of the catalogue.
        why: &'static str,
        /// What the system says.
        what: String,
    },
    /// Anything else, in the words of what could not be done.
    Other(String),
}

impl Cannot {
    /// The same as a diagnostic.
    pub(crate) fn diagnostic(&self) -> Diagnostic {
        match self {
            Cannot::Secret { name, why, what } => Diagnostic::error(code::L146)
                .arg("name", name.as_str())
                .arg("why", *why)
                .arg("what", what.as_str()),
            Cannot::Listen { address, why, what } => Diagnostic::error(code::L147)
                .arg("address", address.as_str())
                .arg("why", *why)
                .arg("what", what.as_str()),
            Cannot::Other(what) => Diagnostic::error(code::L148).arg("what", what.as_str()),
        }
    }
}

impl std::fmt::Display for Cannot {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Cannot::Secret { name, why, what } => write!(f, "secret {name}: {why} {what}"),
            Cannot::Listen { address, why, what } => write!(f, "{address}: {why} {what}"),
            Cannot::Other(what) => write!(f, "{what}"),
        }
    }
}

impl From<String> for Cannot {
    fn from(what: String) -> Cannot {
        Cannot::Other(what)
    }
}

impl From<Cannot> for String {
    fn from(cannot: Cannot) -> String {
        cannot.to_string()
    }
}
