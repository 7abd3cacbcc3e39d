//! The documents people write: `job.toml`, `house.toml`, `visits/<date>/visit.toml`, `plans.toml`.
//!
//! Text -> spanned tree ([`read`]) -> typed document (one file each here). Every mistake of every
//! file is collected in one run; nothing stops at the first. What is returned alongside errors is
//! what could be read, so that later checks can still speak. Documents refer to each other by
//! name; [`crate::house`] resolves the names.

pub mod house;
pub mod job;
pub mod plans;
pub mod read;
pub mod visit;

use crate::diag::Span;
use std::cell::RefCell;

/// A value and where it was written.
#[derive(Clone, Debug, PartialEq)]
pub struct Sp<T> {
    /// The value.
    pub value: T,
    /// Where.
    pub span: Span,
}

impl<T> Sp<T> {
    /// The same place, another value.
    pub fn map<U>(self, f: impl FnOnce(T) -> U) -> Sp<U> {
        Sp { value: f(self.value), span: self.span }
    }
}

/// Where the readers put what they find.
pub type Sink = RefCell<crate::diag::Diagnostics>;

/// The format version this program reads and writes.
pub const FORMAT: i64 = 1;

/// One file of a job: its name within the folder (with `/`) and its text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct File {
    /// Such as `visits/2026-11-12/visit.toml`.
    pub name: String,
    /// The text, verbatim.
    pub text: String,
}
