//! The sheet of a test and its job folder: the certificate that the command line writes, with the
//! state of the restore list.

use super::challenge::confirmed;
use super::compose::compose;
use super::draft::Draft;
use super::look::{decided, is_extrapolated, undecidable};
use super::{prepare, work};
use crate::envelope_json;
use crate::present::certificate::certificate;
use engine::diag::Diagnostic;
use engine::diag::code;
use report::html;
use serde_json::{Value, json};

/// The envelope with `html` (nothing where the test gives no result) and `files`.
pub(super) fn sheet(draft: &Draft, now: &str) -> Value {
    let words = draft.words();
    let mut worked = work(compose(draft, now, &confirmed(draft, now, &words)), now);
    if draft.date(now).is_none() {
        worked.found.push(Diagnostic::error(code::D103));
    }
    if draft.all_stations().any(|s| s.is_begun() && !draft.is_whole(s)) {
        worked.found.push(Diagnostic::warning(code::D104));
    }
    let dated = draft.date(now).is_some();
    let page = worked.result.as_ref().filter(|_| dated).map(|result| {
        let mut c = certificate(result, &worked.job, &words, now);
        c.preparation = prepare::grouped(draft, &words);
        c.tightness.verdict = decided(draft, &c.tightness);
        if is_extrapolated(&worked.found) {
            c.tightness.name =
                words.text("phone-sheet-extrapolated", &[("name", c.tightness.name.as_str().into())]);
        }
        let mut marks = Vec::new();
        if prepare::is_restore_open(draft) {
            marks.push(words.say("phone-sheet-restore-open"));
        }
        c.undecided = undecidable(draft).map(|why| words.say(why)).or(c.undecided);
        // Beside the date, where nobody can miss it.
        for mark in marks {
            c.tested = format!("{} \u{b7} {mark}", c.tested);
        }
        html::certificate(&c, &words).file()
    });
    let files: Vec<Value> = worked.files.iter().map(|f| json!({ "name": f.name, "text": f.text })).collect();
    envelope_json(&worked.found, &worked.files, &words, json!({ "html": page, "files": files }))
}
