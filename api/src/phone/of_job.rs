//! An envelope test within a whole job, as the pages type it: the same draft and the same look as a
//! test alone, made of the job's own documents and the job's own result.

use super::look::{SoFar, is_extrapolated, told};
use super::{challenge, open};
use crate::Job;
use crate::present::certificate::tightness;
use engine::diag::Diagnostics;
use engine::doc::File;
use engine::doc::Sink;
use engine::doc::visit::{EnvelopeTest, Visit};
use report::words::Words;
use serde_json::{Value, json};

/// `{ draft, look, confirms }`; `confirms` is each question as the sentence that the document keeps once
/// the tester said that the value is right.
pub(crate) fn of_job(
    job: &Job,
    files: &[File],
    visit: &Visit,
    test: &EnvelopeTest,
    now: &str,
    words: &Words,
) -> Value {
    let draft = open::of_job(&job.documents, visit, test, files, words);
    let sink = Sink::default();
    let result = job.result_of(test, visit, &sink);
    let found: Diagnostics = sink.into_inner();
    let before = |stations: usize| {
        let part = first_stations(test, stations);
        Some(tightness(&job.result_of(&part, visit, &Sink::default())?, job, words))
    };
    let so_far = SoFar {
        draft: &draft,
        now,
        words,
        job,
        result: result.as_ref(),
        extrapolated: is_extrapolated(&found),
    };
    let confirms: serde_json::Map<String, Value> = challenge::challenges(&draft, now, words)
        .iter()
        .map(|c| (c.mark.clone(), challenge::sentence(c, &draft, words).into()))
        .collect();
    json!({ "look": told(&so_far, &before), "draft": draft, "confirms": confirms })
}

/// The test as it was after this many stations, those of the first run before the others.
fn first_stations(test: &EnvelopeTest, stations: usize) -> EnvelopeTest {
    let mut part = test.clone();
    let mut left = stations;
    for grid in part.runs.iter_mut().filter_map(|run| run.stations.as_mut()) {
        grid.rows.truncate(left);
        grid.texts.truncate(left);
        left -= grid.rows.len();
    }
    part
}
