//! From results to what people see: the view of the pages, the certificate, the summary.

mod again;
mod beyond;
pub(crate) mod certificate;
mod changes;
pub(crate) mod drawing;
mod events;
pub(crate) mod field;
mod findings;
mod house;
mod next;
pub(crate) mod photos;
mod phrase;
mod plans;
mod rooms;
pub(crate) mod rules;
mod safety;
pub(crate) mod screen;
pub(crate) mod sheets;
mod signals;
pub(crate) mod watch;

use crate::{Data, File, Job, Sheet, TestResult, Written};
use engine::units::System;
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
        let loose = house::loose(fit, words);
        block("fit-limits-heading", loose.iter().map(|l| format!("  {l}\n")).collect());
        // Who asked for the fit alone wants all of it; the summary of the whole job stays short, and
        // the report has it.
        if data.plans.is_none() && data.next.is_none() && data.rooms.is_empty() {
            block("beyond-title", beyond::lines(fit, words));
            block("answers-title", beyond::answer_lines(fit, words));
        }
        if data.plans.is_none() && data.rooms.is_empty() {
            block("again-title", again::lines(job, fit, words));
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
pub(crate) use findings::source_key;
pub(crate) use house::report as house_report;
pub(crate) use next::{candidate, question};
pub(crate) use phrase::score as score_of;
pub(crate) use phrase::{param, param_show};
#[cfg(test)]
pub(crate) use plans::lines as plan_lines;
pub(crate) use plans::{called, hourly};

/// Why a gate holds a plan, in words; empty where it does not.
pub(crate) fn reasons_of(gate: &engine::gate::Gate, words: &Words) -> Vec<String> {
    match gate {
        engine::gate::Gate::Held { reasons } => reasons.iter().map(|r| phrase::reason(r, words)).collect(),
        engine::gate::Gate::Released { .. } => Vec::new(),
    }
}

#[cfg(test)]
pub(crate) use screen::{all as screen_view, check as screen_check};
/// The page of the rules.
pub(crate) fn rules_page(job: &Job, rules: &crate::rules::Rules, words: &Words) -> File {
    File { name: RULES.to_owned(), text: html::rules(&rules::view(job, rules, words), words).file() }
}

/// File of the page of the rules.
const RULES: &str = "rules.html";

/// The sheets of a job as files: all that apply, or one kind.
pub(crate) fn documents(
    job: &Job,
    data: &Data,
    written: &Written,
    now: &str,
    wanted: Option<Sheet>,
) -> Vec<(Sheet, File)> {
    let file = |(sheet, name, page): (Sheet, String, html::Page)| (sheet, File { name, text: page.file() });
    pages(job, data, written, now, wanted).into_iter().map(file).collect()
}

/// The sheets of a job, each with its file's name: all that apply, or one kind.
pub(crate) fn pages(
    job: &Job,
    data: &Data,
    written: &Written,
    now: &str,
    wanted: Option<Sheet>,
) -> Vec<(Sheet, String, html::Page)> {
    let own = job.words();
    let words = &written.speech.over(own);
    let mut pages = Vec::new();
    // A sheet in another language or other units than the job's says so by its name.
    let other = |name: String| {
        let mut ending = String::new();
        if words.language() != own.language() {
            ending = format!("-{}", words.language().tag());
        }
        if words.system() != own.system() {
            ending += if words.system() == System::Si { "-si" } else { "-ip" };
        }
        name.strip_suffix(".html").map_or(name.clone(), |stem| format!("{stem}{ending}.html"))
    };
    let wants = |sheet: Sheet| wanted.is_none_or(|w| w == sheet);
    let mut add = |sheet: Sheet, name: String, page: html::Page| pages.push((sheet, other(name), page));
    if wants(Sheet::Owner)
        && let Some(page) = sheets::owner::page(job, data, words, now)
    {
        add(Sheet::Owner, "owner.html".to_owned(), html::owner(&page, words));
    }
    let whole = job.house.is_some() && data.fit.is_some();
    if whole && wants(Sheet::Record) {
        let report = house::report(job, data, words, now);
        let report = match &written.parts {
            Some(parts) => report.only(parts),
            None => report,
        };
        add(Sheet::Record, "report.html".to_owned(), html::house(&report, words));
    }
    if wants(Sheet::HandOff) {
        for (name, view) in sheets::hand_off::all(job, data, words, now) {
            add(Sheet::HandOff, format!("hand-off-{}.html", plain(&name)), html::hand_off(&view, words));
        }
    }
    if wants(Sheet::TestOut)
        && let Some(view) = sheets::test_out::view(job, data, words, now)
    {
        add(Sheet::TestOut, "test-out.html".to_owned(), html::test_out(&view, words));
    }
    if wants(Sheet::Commissioning)
        && let Some(rules) = data.rules.as_ref().filter(|r| !r.rules.is_empty())
    {
        add(Sheet::Commissioning, RULES.to_owned(), html::rules(&rules::view(job, rules, words), words));
    }
    if wants(Sheet::Certificate) {
        for (i, result) in data.results.iter().enumerate() {
            let name = match data.results.len() {
                1 => "certificate.html".to_owned(),
                _ => format!("certificate-{}.html", i + 1),
            };
            let certificate = certificate::certificate(result, job, words, now);
            add(Sheet::Certificate, name, html::certificate(&certificate, words));
        }
    }
    if !whole && wants(Sheet::Record) && !data.field.is_empty() {
        let name = job.documents.job.name.clone();
        let mut head = sheets::head(job, name, job.documents.visits.last(), words, now);
        head.lead = house::subtitle(job, words);
        let page = html::field(&head, &screen::field_tests(job, &data.field, words), words);
        add(Sheet::Record, "tests.html".to_owned(), page);
    }
    pages
}

/// A name of the documents as part of a file's name.
fn plain(name: &str) -> String {
    name.chars().map(|c| if c.is_alphanumeric() || c == '_' { c } else { '-' }).collect()
}
