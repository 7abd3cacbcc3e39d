//! `airwright report JOB`: the sheets, and each as PDF where that was asked for.

use super::{OnJob, Paper, work};
use anyhow::Result;
use api::{Request, Sheet};

/// Sheets are printed too.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Print {
    /// On which paper; nothing for that of the job's units.
    #[cfg_attr(not(feature = "pdf"), allow(dead_code, reason = "a program without PDF prints on none"))]
    pub(crate) paper: Option<Paper>,
}

/// Writes the sheets; returns the exit status.
pub(crate) fn run(on: &OnJob, sheet: Option<Sheet>, print: Option<Print>, quiet: bool) -> Result<u8> {
    let request = Request::Report { sheet };
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
