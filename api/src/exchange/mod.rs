//! What a job gives to other people's programs: every reading as a table with UCUM units, readings and
//! series as SenML, results as JSON, a summary as HPXML. `docs/EXCHANGE.md` says what each form holds and
//! what it has no place for.

mod hpxml;
mod readings;
mod senml;
mod table;
#[cfg(test)]
mod tests;

pub use readings::Taken;

use crate::{Data, File, Inputs, Job};
use engine::diag::{Diagnostic, code};
use report::words::Words;
use serde::{Deserialize, Serialize};

/// A form of an export.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Form {
    /// One table of all readings, comma-separated, units by UCUM.
    ReadingsCsv,
    /// Readings and series as SenML in JSON (RFC 8428).
    Senml,
    /// Results in the envelope of every answer.
    Results,
    /// A summary as HPXML 4.2.
    Hpxml,
}

impl Form {
    /// The words of the command line.
    pub const CHOICES: [(&'static str, Form); 4] = [
        ("readings-csv", Form::ReadingsCsv),
        ("senml", Form::Senml),
        ("results", Form::Results),
        ("hpxml", Form::Hpxml),
    ];
}

/// What an export came to.
#[derive(Clone, Debug, Serialize)]
pub struct Exported {
    /// Its form.
    pub form: Form,
    /// Readings, records or results written.
    pub count: usize,
    /// What the form has no place or no unit for.
    pub without: Vec<String>,
}

/// Makes the documents of a form; what does not fit into it is said. `data` holds worked results where the
/// form needs them.
pub(crate) fn answer(
    job: &Job,
    inputs: &Inputs,
    data: &Data,
    form: Form,
    words: &Words,
) -> (Exported, Vec<File>) {
    let mut out = Exported { form, count: 0, without: Vec::new() };
    let mut said = Vec::new();
    let files = match form {
        Form::ReadingsCsv => {
            let all = readings::all(&inputs.files);
            out.count = all.len();
            vec![File { name: "export/readings.csv".to_owned(), text: table::write(&all) }]
        }
        Form::Senml => {
            let made = senml::write(job, &inputs.files);
            out.count = made.records;
            said.extend(made.without_unit.iter().map(|w| ("unit", w.clone())));
            said.extend(made.without_time.iter().map(|w| ("time", w.clone())));
            made.files
        }
        Form::Results => {
            out.count = data.results.len() + data.field.len();
            let text = crate::envelope_json(
                &engine::diag::Diagnostics { list: job.sink().borrow().list.clone() },
                &inputs.files,
                words,
                serde_json::to_value(data).unwrap_or_default(),
            );
            vec![File { name: "export/results.json".to_owned(), text: format!("{text:#}\n") }]
        }
        Form::Hpxml => {
            let made = hpxml::write(job, &inputs.files, data, &inputs.now);
            out.count = made.summarised;
            said.extend(made.beyond.iter().map(|w| ("place", w.clone())));
            vec![File { name: "export/house.xml".to_owned(), text: made.text }]
        }
    };
    for why in ["unit", "time", "place"] {
        let names: Vec<&str> = said.iter().filter(|s| s.0 == why).map(|s| s.1.as_str()).collect();
        if !names.is_empty() {
            let inside = if form == Form::Hpxml { "extension" } else { "" };
            job.say(
                Diagnostic::note(code::O148)
                    .arg("names", names.join(", "))
                    .arg("why", why)
                    .arg("where", inside),
            );
        }
    }
    out.without = said.into_iter().map(|s| s.1).collect();
    if out.count == 0 {
        job.say(Diagnostic::error(code::O149));
        return (out, Vec::new());
    }
    (out, files)
}
