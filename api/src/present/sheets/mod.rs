//! The sheets beside the full record: what they carry in common.

pub(crate) mod hand_off;
pub(crate) mod owner;
pub(crate) mod test_out;

use super::{certificate, safety};
use crate::Job;
use engine::diag::Arg;
use engine::doc::visit::Visit;
use report::sheets::Head;
use report::words::Words;

/// Tester with the credential, a sentence; empty where nobody is named.
pub(crate) fn tester(job: &Job, words: &Words) -> String {
    let t = &job.documents.job.tester;
    let Some(name) = &t.name else { return String::new() };
    let credential: Arg = t.credential.as_deref().unwrap_or("").into();
    words.text("sheet-tester", &[("name", name.as_str().into()), ("credential", credential)])
}

/// Whose house it is and when it was tested; a job without a visit has its name alone.
fn lead(job: &Job, words: &Words) -> String {
    let parts = [job.documents.job.name.clone(), super::house::subtitle(job, words)];
    parts.into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>().join(" \u{b7} ")
}

/// What every sheet carries; safety in the trade's words.
pub(crate) fn head(job: &Job, title: String, visit: Option<&Visit>, words: &Words, now: &str) -> Head {
    Head {
        letterhead: certificate::letterhead(job, words),
        title,
        lead: lead(job, words),
        stale: None,
        safety: if job.house.is_some() { safety::lines(job, words) } else { Vec::new() },
        instruments: visit.map(|v| certificate::instruments(v, words)).unwrap_or_default(),
        tester: tester(job, words),
        provenance: certificate::provenance(job, now),
    }
}
