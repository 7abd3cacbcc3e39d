//! The documents people write: `job.toml`, `house.toml`, `visits/<date>/visit.toml`, `plans.toml`,
//! `rules/*.toml`, `watch.toml`.
//!
//! Text -> spanned tree ([`read`]) -> typed document (one file each here). Every mistake of every
//! file is collected in one run; nothing stops at the first. What is returned alongside errors is
//! what could be read, so that later checks can still speak. Documents refer to each other by
//! name; [`crate::house`] resolves the names.

pub mod fans;
pub mod field;
pub mod form;
pub mod house;
pub mod job;
pub mod plans;
pub mod read;
pub mod rules;
pub mod screen;
pub mod series;
pub mod test_out;
pub mod visit;
pub mod watch;

use crate::diag::{Diagnostic, Span, code};
use crate::text::closest;
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

impl Sp<String> {
    /// A name that is none of the `known` ones of its kind, with the nearest of them.
    pub fn unknown<'n>(&self, kind: &'static str, known: impl IntoIterator<Item = &'n str>) -> Diagnostic {
        let known: Vec<&str> = known.into_iter().collect();
        Diagnostic::error(code::T011)
            .at(self.span.clone())
            .arg("name", self.value.as_str())
            .arg("kind", kind)
            .arg("near", closest(&self.value, known.iter().copied()).unwrap_or(""))
            .arg("known", known.join(", "))
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

/// All documents of one job, as read.
#[derive(Clone, Debug, PartialEq)]
pub struct Documents {
    /// `job.toml`.
    pub job: job::Job,
    /// `house.toml`; a job may be a single test without a house.
    pub house: Option<house::House>,
    /// `visits/*/visit.toml`, by date.
    pub visits: Vec<visit::Visit>,
    /// `plans.toml`.
    pub plans: Vec<plans::Plan>,
    /// Searches of `plans.toml`.
    pub searches: Vec<plans::Search>,
    /// Bad days of `plans.toml`.
    pub events: Vec<plans::Event>,
    /// `rules/*.toml`, put together.
    pub rules: rules::Rules,
}

/// Reads every document of a job. Files of other names are left alone.
pub fn load(files: &[File], sink: &Sink) -> Documents {
    let named = |name: &str| files.iter().find(|f| f.name == name);
    if named("job.toml").is_none() {
        sink.borrow_mut().push(Diagnostic::error(code::J101).at(Span::new("job.toml", 0..0)));
    }
    let empty = File { name: "job.toml".to_owned(), text: String::new() };
    // A missing job.toml was reported; its missing keys need not be.
    let job = match named("job.toml") {
        Some(file) => job::read(file, sink),
        None => job::read(&empty, &Sink::default()),
    };
    let mut visits: Vec<visit::Visit> = files
        .iter()
        .filter(|f| f.name.starts_with("visits/") && f.name.ends_with("/visit.toml"))
        .map(|f| visit::read(f, sink))
        .collect();
    visits.sort_by(|a, b| a.date.cmp(&b.date).then(a.folder.cmp(&b.folder)));
    let plans = named("plans.toml").map(|f| plans::read(f, sink)).unwrap_or_default();
    Documents {
        job,
        house: named("house.toml").map(|f| house::read(f, sink)),
        visits,
        plans: plans.plans,
        searches: plans.searches,
        events: plans.events,
        rules: rules::all(files, sink),
    }
}
