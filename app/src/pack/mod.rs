//! A whole job as one file: a ZIP of every document, attachment and series, byte for byte, with a list
//! of SHA-256 checksums in front.
//!
//! The same job gives the same bytes: entries stand in the order of their names, with one fixed date.
//! The list is the first entry, so that a file that broke off still says what it held. Reading trusts
//! nothing: neither names, nor sizes, nor the table of contents at the end.

mod read;
#[cfg(test)]
mod tests;
mod write;

#[cfg(test)]
use read::Trouble;
pub(crate) use read::{Lost, unpack};
pub(crate) use write::pack;

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};

/// Name of the list within the pack. Hidden files are no part of a job, so no document can bear it.
pub(crate) const LIST: &str = ".pack.json";
/// Version of the list and of what it means.
pub(crate) const FORMAT: u32 = 1;

/// The list of a pack.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct List {
    /// [`FORMAT`].
    pub(crate) format: u32,
    /// Every other entry, in the order of the names.
    pub(crate) files: Vec<Listed>,
}

/// A file of a pack.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub(crate) struct Listed {
    /// Its path within the job, with `/`.
    pub(crate) path: String,
    /// Bytes.
    pub(crate) size: u64,
    /// SHA-256 of them, lower-case hexadecimal.
    pub(crate) sha256: String,
}

/// SHA-256 in hexadecimal.
pub(crate) fn sha256(bytes: &[u8]) -> String {
    Sha256::digest(bytes).iter().map(|b| format!("{b:02x}")).collect()
}
