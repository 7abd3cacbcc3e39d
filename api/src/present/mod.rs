//! From results to what people see: the view of the pages, the certificate, the summary.

mod beyond;
pub(crate) mod certificate;
mod changes;
mod drawing;
mod events;
pub(crate) mod field;
mod findings;
mod house;
mod next;
mod phrase;
mod plans;
mod rooms;
mod rules;
mod safety;
mod screen;
mod signals;
mod watch;

use crate::{Data, File, Job, TestResult};
use report::words::Words;
use report::{html, text};

/// The summary for a terminal.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Summary {
    /// Lines, ready to print.
    pub text: String,
}

/// In this order: safety, tightness, what is known and what is not, plans, the next reading.
pub(crate) fn summary(job: &Job, data: &Data, words: &Words) -> Summary {
    let mut out = String::new();
    // Who asked for findings alone gets them; the summary of the whole job their headlines.
    if let (Some(found), Some(all)) = (&data.findings, data.findings_asked) {
        let view = findings::view(job, found, all, words);
        return Summary { text: report::findings::text(&view, words) };
    }
    if let Some(safety) = data.safety.as_ref().filter(|_| data.safety_asked) {
        return Summary { text: report::screen::text(&screen::all(job, safety, words), words) };
    }
    let mut block = |heading: &str, body: String| {
        if !body.is_empty() {
            out += &format!("{}\n{body}\n", words.say(heading));
        }
    };
    if job.house.is_some() {
        block("cli-safety", text::safety(&safety::lines(job, words), words));
    }
    if let Some(safety) = data.safety.as_ref().filter(|s| job.house.is_some() || s.is_kept()) {
        block("screen-title", report::screen::headlines(&screen::all(job, safety, words)));
    }
    block("cli-tightness", tightness(data, job, words));
    if let Some(found) = &data.findings {
        let view = findings::view(job, found, false, words);
        block("findings-title", report::findings::headlines(&view));
    }
    block("field-title", text::field(&screen::field_tests(job, &data.field, words), words));
    if let Some(fit) = &data.fit {
        block("fit-known-heading", house::three_known(fit, words));
        block("fit-unknown-heading", house::three_unknown(fit, words));
        // Who asked for the fit alone wants all of it; the summary of the whole job stays short, and
        // the report has it.
        if data.plans.is_none() && data.next.is_none() && data.rooms.is_empty() {
            block("beyond-title", beyond::lines(fit, words));
            block("answers-title", beyond::answer_lines(fit, words));
        }
    }
    if let (Some(house), true) = (&job.house, data.plans.is_none()) {
        block("rooms-title", rooms::lines(&data.rooms, house, words));
    }
    if let Some(compared) = &data.plans {
        block("cli-plans", plans::lines(job, compared, words));
    }
    if let Some(next) = &data.next {
        // Who asked for it gets the route and all that goes with it; the whole job's summary one reading.
        let alone = data.results.is_empty() && data.plans.is_none();
        block("cli-next", next::lines(job, next, if alone { 5 } else { 1 }, words));
    }
    if let Some(rules) = &data.rules {
        out += &report::rules::text(&rules::view(job, rules, words), words);
    }
    if let Some(watched) = &data.watch {
        out += &watch::lines(watched, words);
    }
    Summary { text: out }
}

fn tightness(data: &Data, job: &Job, words: &Words) -> String {
    let several = data.results.len() > 1;
    let one = |r: &TestResult| {
        let name = match several {
            true => format!("  {}/{}\n", r.visit.trim_start_matches("visits/"), r.result.name),
            false => String::new(),
        };
        name + &text::tightness(&certificate::tightness(r, job, words), words)
    };
    data.results.iter().map(one).collect()
}

#[cfg(test)]
pub(crate) use plans::lines as plan_lines;
pub(crate) use plans::{called, hourly};
#[cfg(test)]
pub(crate) use screen::{all as screen_view, check as screen_check};
/// The page of the rules.
pub(crate) fn rules_page(job: &Job, rules: &crate::rules::Rules, words: &Words) -> File {
    File { name: "rules.html".to_owned(), text: html::rules(&rules::view(job, rules, words), words) }
}

/// The report of the house, or the certificate of each test where there is no house.
pub(crate) fn documents(job: &Job, data: &Data, words: &Words, now: &str) -> Vec<File> {
    let mut documents = Vec::new();
    if job.house.is_some() && data.fit.is_some() {
        let report = house::report(job, data, words, now);
        documents.push(File { name: "report.html".to_owned(), text: html::house(&report, words) });
    }
    for (i, result) in data.results.iter().enumerate() {
        let name = if data.results.len() == 1 {
            "certificate.html".to_owned()
        } else {
            format!("certificate-{}.html", i + 1)
        };
        let certificate = certificate::certificate(result, job, words, now);
        documents.push(File { name, text: html::certificate(&certificate, words) });
    }
    if documents.iter().all(|d| d.name != "report.html") && !data.field.is_empty() {
        let page = html::field(&job.documents.job.name, &screen::field_tests(job, &data.field, words), words);
        documents.push(File { name: "tests.html".to_owned(), text: page });
    }
    documents
}
