//! `airwright report JOB`: the sheets, and each as PDF where that was asked for.

use super::{OnJob, Paper, work};
use anyhow::Result;
use api::{Request, Sheet, Speech, Written};
use report::sheets::Part;
use report::words::Language;

/// Sheets are printed too.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Print {
    /// On which paper; nothing for that of the job's units.
    #[cfg_attr(not(feature = "pdf"), allow(dead_code, reason = "a program without PDF prints on none"))]
    pub(crate) paper: Option<Paper>,
}

/// How the sheets are written, where not as the job says.
#[derive(Debug, clap::Args)]
pub(crate) struct How {
    /// Language of the sheets: `en`, `es`; without it that of the job.
    #[arg(long, value_name = "LANGUAGE", value_parser = language)]
    language: Option<Language>,
    /// Units of the sheets: `ip`, `si`; without it those of the job.
    #[arg(long, value_name = "UNITS", value_parser = ["ip", "si"])]
    units: Option<String>,
    /// Parts of the full record, with commas between them: `complaint`, `results`, `findings`, `fit`, `plans`,
    /// `readings`, `photos`, `sources`; without it all. What concerns safety is in every record.
    #[arg(long, value_name = "PARTS", value_parser = parts)]
    parts: Option<Parts>,
}

#[derive(Clone, Debug)]
struct Parts(Vec<Part>);

impl How {
    fn written(&self) -> Written {
        let language = self.language.map(|l| l.tag().to_owned());
        let speech = Speech { language, system: self.units.clone() };
        Written { speech, parts: self.parts.as_ref().map(|p| p.0.clone()) }
    }
}

/// A language that there are words of, by its tag.
pub(super) fn language(tag: &str) -> Result<Language, String> {
    Language::from_tag(tag).ok_or_else(|| Language::ALL.map(Language::tag).join(", "))
}

fn parts(list: &str) -> Result<Parts, String> {
    let mut out = Vec::new();
    // Safety is no choice; whoever names it gets what is there anyway.
    for word in list.split(',').map(str::trim).filter(|w| !w.is_empty() && *w != "safety") {
        let part = Part::ALL.into_iter().find(|p| p.word() == word);
        out.push(part.ok_or_else(|| Part::ALL.map(Part::word).join(", "))?);
    }
    Ok(Parts(out))
}

/// Writes the sheets; returns the exit status.
pub(crate) fn run(
    on: &OnJob,
    sheet: Option<Sheet>,
    how: &How,
    print: Option<Print>,
    quiet: bool,
) -> Result<u8> {
    let request = Request::Report { sheet, written: how.written() };
    match print {
        Some(print) => printed::run(on, &request, print, quiet),
        None => work::run(on, &request, quiet),
    }
}

#[cfg(not(feature = "pdf"))]
mod printed {
    use super::{OnJob, Print};
    use anyhow::{Result, bail};
    use api::Request;

    /// Says how to get a program that can.
    pub(super) fn run(_: &OnJob, _: &Request, _: Print, _: bool) -> Result<u8> {
        let words = api::plain_words();
        bail!("{}\n{}", words.say("cli-no-pdf"), words.say("cli-no-pdf.help"));
    }
}

#[cfg(feature = "pdf")]
mod printed {
    use super::{OnJob, Paper, Print};
    use crate::cli::work;
    use crate::{files, pdf};
    use anyhow::Result;
    use api::{Inputs, Outcome, Request};
    use engine::diag::{Diagnostic, Diagnostics, code};
    use engine::units::System;
    use std::path::{Path, PathBuf};

    pub(super) fn run(on: &OnJob, request: &Request, print: Print, quiet: bool) -> Result<u8> {
        let out = on.job.join(files::OUT);
        work::run_with(on, request, quiet, |outcome, inputs, words| {
            let paper = print.paper.unwrap_or(match words.system() {
                System::Ip => Paper::Letter,
                System::Si => Paper::A4,
            });
            all(outcome, inputs, paper, &out)
        })
    }

    /// Prints every sheet of an answer.
    fn all(outcome: &mut Outcome, inputs: &Inputs, paper: Paper, out: &Path) -> Result<Vec<PathBuf>> {
        let mut written = Vec::new();
        let mut found = Diagnostics::default();
        for (name, page) in &outcome.pages {
            let file = format!("{}.pdf", name.trim_end_matches(".html"));
            let printed = match pdf::print(page, paper, &inputs.now) {
                Ok(printed) => printed,
                Err(why) => {
                    let said = Diagnostic::error(code::K182).arg("file", file).arg("why", format!("{why:#}"));
                    found.list.push(said);
                    continue;
                }
            };
            if printed.lost > 0 {
                let said = Diagnostic::warning(code::K180).arg("file", file.as_str());
                found.list.push(said.arg("count", printed.lost as f64));
            }
            if !printed.short_of.is_empty() {
                let said = Diagnostic::warning(code::K181).arg("file", file.as_str());
                found.list.push(said.arg("why", printed.short_of));
            }
            written.push(files::write_bytes(out, &file, &printed.bytes)?);
            if let Some(sheet) = outcome.data.sheets.iter_mut().find(|s| s.file == *name) {
                sheet.pdf = Some(file.clone());
            }
            outcome.data.documents.push(file);
        }
        outcome.diagnostics.list.extend(found.list);
        Ok(written)
    }
}
