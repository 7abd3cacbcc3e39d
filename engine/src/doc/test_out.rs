//! `[test_out]` of a visit: this visit shows what the work of a plan came to.
//!
//! ```toml
//! [test_out]
//! of = "a"                    # the plan that was carried out
//! before = "2026-11-12"       # the visit that saw the house before it
//! work_done = "2026-12-02"    # the day the work ended, where it is known
//! ```

use super::Sp;
use super::read::Tab;
use crate::diag::{Diagnostic, Span, code};

/// What a visit is held against.
#[derive(Clone, Debug, PartialEq)]
pub struct TestOut {
    /// Name of the plan that was carried out.
    pub of: Sp<String>,
    /// The visit before the work: its date, or the name of its folder below `visits`.
    pub before: Sp<String>,
    /// Day on which the work ended.
    pub work_done: Option<String>,
    /// Where the table stands.
    pub span: Span,
}

/// Reads `[test_out]`.
pub(super) fn read(t: &Tab<'_, '_>) -> Option<TestOut> {
    let of = t.need("of", t.text("of"));
    let before = t.need("before", t.text("before"));
    let work_done = t.text("work_done").filter(|d| is_date(t, d)).map(|d| d.value);
    Some(TestOut { of: of?, before: before?, work_done, span: t.span() })
}

/// Whether a text is a date `YYYY-MM-DD`; says so where it is none.
pub(super) fn is_date(t: &Tab<'_, '_>, date: &Sp<String>) -> bool {
    let good = date.value.parse::<jiff::civil::Date>().is_ok();
    if !good {
        t.say(Diagnostic::error(code::T013).at(date.span.clone()).arg("found", date.value.as_str()));
    }
    good
}

impl TestOut {
    /// Whether a visit is the one before the work.
    pub fn is_before(&self, visit: &super::visit::Visit) -> bool {
        let folder = visit.folder.strip_prefix("visits/").unwrap_or(&visit.folder);
        self.before.value == folder || self.before.value == visit.date
    }
}

#[cfg(test)]
mod tests {
    use crate::doc::{File, Sink, visit};

    fn read(text: &str) -> (visit::Visit, Vec<&'static str>) {
        let sink = Sink::default();
        let file = File { name: "visits/2026-12-10/visit.toml".to_owned(), text: text.to_owned() };
        let visit = visit::read(&file, &sink);
        let codes = sink.borrow().list.iter().map(|d| d.code.0).collect();
        (visit, codes)
    }

    #[test]
    fn a_test_out_names_its_plan_and_the_visit_before() {
        let text = "format = 1\ndate = \"2026-12-10\"\n[test_out]\nof = \"a\"\nbefore = \"2026-11-12\"\n";
        let (visit, codes) = read(text);
        assert_eq!(codes, Vec::<&str>::new());
        let out = visit.test_out.as_ref().unwrap();
        assert_eq!((out.of.value.as_str(), out.before.value.as_str()), ("a", "2026-11-12"));
        assert!(!out.is_before(&visit));
        let earlier = read("format = 1\ndate = \"2026-11-12\"\n").0;
        assert!(out.is_before(&earlier));
    }

    #[test]
    fn a_day_that_is_none_and_a_missing_plan_are_said() {
        let text =
            "format = 1\ndate = \"2026-12-10\"\n[test_out]\nbefore = \"x\"\nwork_done = \"2026-13-01\"\n";
        let (visit, codes) = read(text);
        assert!(visit.test_out.is_none());
        assert_eq!(codes, ["T003", "T013"]);
    }
}
