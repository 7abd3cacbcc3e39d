//! Every question one can ask of a job, as plain types: [`Request`] in, [`Outcome`] out.
//!
//! Pure: the files of the job come in as texts, what is to be written goes out as texts, time and
//! progress are arguments. Command line, browser and server are clients of this and can do nothing
//! that it cannot.

pub mod app;
mod demo;
pub mod edit;
mod envelope;
pub mod exchange;
mod field;
mod findings;
#[cfg(test)]
mod gate_tests;
pub mod intake;
mod log_posterior;
mod next;
mod open;
pub mod phone;
#[cfg(test)]
mod plans_tests;
pub mod practice;
mod present;
mod ready;
mod rules;
mod safety;
#[cfg(test)]
mod safety_tests;
mod schema;
mod sheets;
#[cfg(test)]
mod sheets_tests;
mod speech;
mod starter;
mod test_out;
pub mod watch;
mod written;
mod zone;

pub use engine::doc::File;
pub use field::FieldResult;
pub use log_posterior::{LogPosterior, log_posterior};
pub use open::{Job, TestResult};
pub use present::Summary;
pub use ready::SETS as READY_SETS;
pub use safety::Safety;
pub use sheets::{Sheet, SheetFile, Written};
pub use speech::Speech;
pub use test_out::TestOut;

use engine::diag::{Diagnostics, Severity};
use engine::fit::Fit;
use engine::next::Next;
use engine::plan::Compared;
use report::html::Page;
use report::words::{Language, Words};
use serde::{Deserialize, Serialize};
use std::ops::ControlFlow;

/// The schema of every answer.
pub const SCHEMA: &str = "airwright/1";

/// A question.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(tag = "ask", rename_all = "kebab-case")]
pub enum Request {
    /// Reads and checks the documents.
    Check,
    /// Each test worked to its standard.
    Results,
    /// The house as known.
    Fit {
        /// Readings far from the others count less, whatever `job.toml` says.
        #[serde(default)]
        robust: bool,
    },
    /// Plans lived through a year.
    Plans {
        /// Draws of the house; 0 for the usual number.
        draws: usize,
        /// Every day of the year instead of the days that stand for it.
        #[serde(default)]
        every_day: bool,
        /// Writes the hourly means of each plan as a table, one file a plan.
        #[serde(default)]
        hourly: bool,
        /// A bad day that the plans live through: an event of `plans.toml` by its name, or a ready one by
        /// its kind; without it all events of `plans.toml`.
        #[serde(default)]
        event: Option<String>,
    },
    /// What each room needs on the design days against what its registers bring.
    Rooms,
    /// Which reading to take next.
    Next {
        /// What is to be known better: a complaint, a quantity or `plans`; nothing for the complaint of
        /// which least is known.
        #[serde(default)]
        question: Option<String>,
        /// Time left on site, min.
        #[serde(default)]
        minutes: Option<f64>,
    },
    /// Sheets of the job as documents.
    Report {
        /// Which; nothing for all that apply.
        #[serde(default)]
        sheet: Option<Sheet>,
        /// In which language and units, with which parts.
        #[serde(default)]
        written: Written,
    },
    /// Control rules: read, checked, and shown with a sheet for commissioning.
    Rules {
        /// Provokes each rule and lives through every series beside the rules.
        #[serde(default)]
        test: bool,
        /// Lives a year of the house as fitted, with and without the rules.
        #[serde(default)]
        year: bool,
        /// The plan whose house that year is lived in; nothing for the house as found.
        #[serde(default)]
        plan: Option<String>,
    },
    /// Diagnoses from numbers: what the evidence says, how sure, how to confirm it, what it takes.
    Findings {
        /// What does not hold and what was silent too, and what each silent rule lacked.
        #[serde(default)]
        all: bool,
    },
    /// Files of loggers brought into the job: shown as understood, and written once they are approved.
    Import {
        /// The files.
        received: Vec<intake::job::Received>,
        /// How.
        #[serde(flatten)]
        asked: intake::job::Asked,
    },
    /// The watch over the series of the job, lived through again.
    Watch {
        /// What is shown begins here: a date, or a date and a time, of the house's clock.
        #[serde(default)]
        since: Option<String>,
    },
    /// The job in a form of other people's programs.
    Export {
        /// Which.
        form: exchange::Form,
    },
    /// A practice house: made, read, answered, revealed.
    Practice {
        /// What is done.
        practice: practice::Ask,
    },
    /// The hazard screen, tests against it, the combustion guide, repeats owed, what has to be put back.
    Safety {
        /// Names of the job's other files, photos among them; nothing where the caller cannot tell.
        #[serde(default)]
        attachments: Option<Vec<String>>,
    },
    /// All of the above but the files of loggers, the watch, exports and practice.
    Work,
}

/// What there is to work on.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Inputs {
    /// All text files of the job folder.
    pub files: Vec<File>,
    /// Date and time for the documents, as a text; may be empty.
    pub now: String,
}

/// How far the work is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// What is being done: a key of the catalogue.
    pub what: &'static str,
    /// Units done.
    pub done: usize,
    /// Units in all; 0 where nobody knows.
    pub of: usize,
    /// While plans are lived: the one that leads so far, 0 for the house as found.
    pub leading: Option<usize>,
}

/// The caller's ear: told how far the work is, it may stop it.
pub type Listen<'a> = dyn FnMut(Progress) -> ControlFlow<()> + 'a;

/// The answer.
#[derive(Debug, Default)]
pub struct Outcome {
    /// Everything found, with the job's own files as sources.
    pub diagnostics: Diagnostics,
    /// The results, as far as they could be made.
    pub data: Data,
    /// Documents to be written into the job folder itself, in the place of those of the same name.
    pub changed: Vec<File>,
    /// Documents to be written below the job's `out` folder.
    pub documents: Vec<File>,
    /// The sheets among them by their files' names, as trees: for whoever prints them in another form.
    pub pages: Vec<(String, Page)>,
    /// The summary for a terminal.
    pub summary: Summary,
    /// Whether the caller stopped the work.
    pub stopped: bool,
    /// Whether a failed check or a held plan wants attention.
    pub attention: bool,
}

/// Results of a job.
#[derive(Debug, Default, Serialize)]
pub struct Data {
    /// Name of the job.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub job: String,
    /// Hash over all inputs.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub inputs: String,
    /// Each test.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub results: Vec<TestResult>,
    /// Field tests of every other kind.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub field: Vec<FieldResult>,
    /// The house as known.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub fit: Option<Fit>,
    /// Plans.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub plans: Option<Compared>,
    /// Rooms on the design days.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub rooms: Vec<engine::plan::RoomsDay>,
    /// Next reading.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub next: Option<Next>,
    /// Control rules.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rules: Option<rules::Rules>,
    /// Files brought in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub import: Option<intake::job::Import>,
    /// The watch.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub watch: Option<watch::Watched>,
    /// A step of practice.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub practice: Option<practice::Practised>,
    /// What an export came to.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub exported: Option<exchange::Exported>,
    /// Safety of the visits.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub safety: Option<Safety>,
    /// Whether safety alone was asked for.
    #[serde(skip)]
    pub safety_asked: bool,
    /// Findings.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub findings: Option<engine::finding::Findings>,
    /// Whether findings alone were asked for, and whether all of them.
    #[serde(skip)]
    pub findings_asked: Option<bool>,
    /// What work came to, where a visit is a test-out.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub test_out: Option<TestOut>,
    /// Sheets written, with what each is.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub sheets: Vec<SheetFile>,
    /// Documents written, by name.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub documents: Vec<String>,
}

impl Outcome {
    /// 0 done, 1 done but something needs attention, 2 could not do it.
    pub fn exit_code(&self) -> u8 {
        match self.diagnostics.worst() {
            _ if self.stopped => 2,
            Some(Severity::Error) => {
                // Refused readings among good ones are attention; nothing at all is failure.
                let rules = self.data.rules.as_ref().is_some_and(|r| !r.rules.is_empty());
                if self.data.results.is_empty()
                    && self.data.field.is_empty()
                    && self.data.fit.is_none()
                    && self.data.findings.as_ref().is_none_or(|f| f.found.is_empty())
                    && !rules
                    && self.data.watch.is_none()
                    && self.data.practice.is_none()
                    && self.data.exported.as_ref().is_none_or(|e| e.count == 0)
                    && !(self.data.safety_asked && self.data.safety.as_ref().is_some_and(Safety::has_visit))
                {
                    2
                } else {
                    1
                }
            }
            _ if self.attention => 1,
            Some(Severity::Warning) => 1,
            _ => 0,
        }
    }

    /// The envelope that every `--json` prints.
    pub fn json(&self, files: &[File], words: &Words) -> serde_json::Value {
        envelope_json(&self.diagnostics, files, words, serde_json::to_value(&self.data).unwrap_or_default())
    }
}

/// The one envelope: schema, version, diagnostics, data.
pub fn envelope_json(
    diagnostics: &Diagnostics,
    files: &[File],
    words: &Words,
    data: serde_json::Value,
) -> serde_json::Value {
    let list: Vec<serde_json::Value> = diagnostics
        .list
        .iter()
        .map(|d| {
            let message = words.diagnostic(d);
            let span = d.spans.first();
            let place = span.and_then(|s| {
                files.iter().find(|f| f.name == s.file).map(|f| s.line_column(&f.text))
            });
            serde_json::json!({
                "code": d.code,
                "severity": d.severity,
                "file": span.map(|s| s.file.clone()),
                "line": place.map(|p| p.0),
                "column": place.map(|p| p.1),
                "args": d.args.iter().map(|(k, v)| ((*k).to_owned(), serde_json::to_value(v).unwrap_or_default()))
                    .collect::<serde_json::Map<_, _>>(),
                "text": message.text,
                "because": message.because,
                "help": message.help,
            })
        })
        .collect();
    serde_json::json!({
        "schema": SCHEMA,
        "version": env!("CARGO_PKG_VERSION"),
        "diagnostics": list,
        "data": data,
    })
}

/// Answers a question about a job.
pub fn answer(request: &Request, inputs: &Inputs, listen: &mut Listen<'_>) -> Outcome {
    answer_in(request, inputs, &Speech::default(), listen)
}

/// The same, with what is shown at once said in another language or units than the job's; documents stay
/// in those of the job.
pub fn answer_in(request: &Request, inputs: &Inputs, speech: &Speech, listen: &mut Listen<'_>) -> Outcome {
    if let Request::Import { received, asked } = request {
        let (import, found, text) = intake::job::answer(inputs, received, asked);
        let data = Data { import: Some(import), ..Data::default() };
        let diagnostics = Diagnostics { list: found };
        return Outcome { data, diagnostics, summary: Summary { text }, ..Outcome::default() };
    }
    if let Request::Practice { practice: ask } = request {
        let mut out = Outcome::default();
        let (practised, changed, documents, found, text) =
            practice::answer(inputs, ask, speech, listen, &mut out.stopped);
        out.data.practice = (!practised.label.is_empty()).then_some(practised);
        out.data.documents = documents.iter().map(|d| d.name.clone()).collect();
        (out.changed, out.documents, out.diagnostics) = (changed, documents, found);
        out.summary = Summary { text };
        return out;
    }
    let mut job = Job::open(inputs);
    let mut out = Outcome::default();
    out.data.job = job.documents.job.name.clone();
    out.data.inputs = job.inputs_hash.clone();
    let (sheet, written) = match request {
        Request::Report { sheet, written } => (*sheet, written.clone()),
        _ => (None, Written::default()),
    };
    let report = matches!(request, Request::Report { .. });
    // One sheet asks for what it is made from, the whole report and the work for all.
    let all = *request == Request::Work || (report && sheet.is_none_or(Sheet::wants_all));
    let writes = *request == Request::Work || report;
    let wants_fit =
        all || matches!(
            request,
            Request::Fit { .. } | Request::Plans { .. } | Request::Next { .. } | Request::Rooms
        ) || sheet == Some(Sheet::HandOff);
    // The watch asks for a fit where there is a house, and goes on without.
    let wants_findings = all || matches!(request, Request::Findings { .. });
    let worked_for_export = |f: &exchange::Form| matches!(f, exchange::Form::Results | exchange::Form::Hpxml);
    let wants_results = match request {
        Request::Results => true,
        Request::Export { form } => worked_for_export(form),
        _ => wants_findings || report,
    };
    let wants_fit = wants_fit || ((wants_findings || means(request)) && job.house.is_some());
    if wants_results {
        out.data.results = job.results();
        out.data.field = job.field(&out.data.results);
        if matches!(request, Request::Results) {
            job.say_where_nothing_is_tested();
        }
    }
    let may_ask = match request {
        Request::Next { question: Some(words), .. } => job.may_ask(words),
        _ => true,
    };
    let wants_fit = wants_fit && may_ask;
    if wants_fit && job.house.is_some() && job.is_sound() {
        let robust = matches!(request, Request::Fit { robust: true });
        out.data.fit = job.fit(robust, listen, &mut out.stopped);
    } else if wants_fit && !wants_findings && job.house.is_none() && !report {
        job.no_house();
    }
    if let Some(fit) = &out.data.fit {
        if all || matches!(request, Request::Plans { .. }) {
            let asked = match request {
                Request::Plans { draws, every_day, hourly, event } => open::PlansAsked {
                    draws: *draws,
                    every_day: *every_day,
                    hourly: *hourly,
                    event: event.as_deref(),
                },
                _ => open::PlansAsked::default(),
            };
            out.data.plans = job.plans(fit, asked, listen, &mut out.stopped);
        }
        if all || *request == Request::Rooms {
            out.data.rooms = job.rooms(fit, !all);
        }
        if let Some(compared) = &out.data.plans {
            out.documents.extend(next::keep(&job, fit, compared));
        }
        match request {
            Request::Next { question, minutes } => {
                let lived = next::kept(inputs);
                out.data.next = job.next(fit, question.as_deref(), *minutes, lived.as_ref());
            }
            _ if all => out.data.next = job.next(fit, None, None, None),
            _ => {}
        }
    }
    if let Request::Rules { test, year, plan } = request {
        out.data.rules = rules::answer(&job, &inputs.files, *test);
        if let Some(rules) = &mut out.data.rules
            && *year
            && job.is_sound()
            && let Some(set) = &rules.set
        {
            rules.year = rules::years(&job, set, plan.as_deref(), listen, &mut out.stopped);
        }
    }
    if report && matches!(sheet, None | Some(Sheet::Commissioning)) && !job.documents.rules.rules.is_empty() {
        out.data.rules = rules::answer(&job, &inputs.files, false);
    }
    if writes && matches!(sheet, None | Some(Sheet::TestOut)) && !out.stopped {
        out.data.test_out = test_out::answer(&job, inputs, &out.data, listen, &mut out.stopped);
    }
    if let Request::Watch { since } = request
        && !out.stopped
    {
        out.data.watch = watch::answer(&job, &inputs.files, out.data.fit.as_ref(), since.as_deref());
        // The fit was the means, not what was asked.
        out.data.fit = None;
        if let Some(w) = &out.data.watch {
            out.documents.push(watch::kept(w));
        }
    }
    let wants_safety = matches!(request, Request::Safety { .. });
    if (wants_safety || all) && !out.stopped {
        let attachments = match request {
            Request::Safety { attachments } => attachments.as_deref(),
            _ => None,
        };
        out.data.safety = Some(job.safety(out.data.fit.as_ref(), attachments));
        out.data.safety_asked = wants_safety;
    }
    if wants_safety {
        out.data.fit = None;
        out.attention |= out.data.safety.as_ref().is_some_and(Safety::wants_attention);
    }
    if wants_findings && !out.stopped {
        out.data.findings = Some(findings::answer(&job, &out.data, &inputs.files));
        out.data.findings_asked = match request {
            Request::Findings { all } => Some(*all),
            _ => None,
        };
    }
    out.attention |= job.needs_attention(&out.data);
    if matches!(request, Request::Findings { .. }) {
        let first = |f: &engine::finding::Finding| f.group <= engine::finding::Group::Quality;
        out.attention |= out.data.findings.iter().any(|f| f.found.iter().any(first));
    }
    out.attention |= out.data.watch.as_ref().is_some_and(|w| !w.alerts.is_empty());
    let (words, shown) = (job.words(), speech.over(job.words()));
    if let Request::Export { form } = request {
        let (exported, files) = exchange::answer(&job, inputs, &out.data, *form, &words);
        let args = [("count", exported.count.into())];
        out.summary = Summary { text: format!("{}\n", shown.text("exchange-exported", &args)) };
        out.data =
            Data { exported: Some(exported), job: out.data.job, inputs: out.data.inputs, ..Data::default() };
        out.attention = false;
        out.documents.extend(files);
    } else if may_ask {
        out.summary = present::summary(&job, &out.data, &shown);
    }
    if out.stopped {
        out.documents.clear();
    } else if writes {
        if matches!(sheet, None | Some(Sheet::Record | Sheet::TestOut)) {
            job.check_pictures();
        }
        let made = present::pages(&job, &out.data, &written, &inputs.now, sheet);
        if let (true, Some(sheet)) = (made.is_empty(), sheet) {
            sheets::lacks(&job, sheet, &shown);
        }
        let file = |(_, name, page): &(Sheet, String, Page)| File { name: name.clone(), text: page.file() };
        out.documents.splice(0..0, made.iter().map(file));
        out.data.sheets = made.iter().map(|(sheet, name, _)| SheetFile::of(*sheet, name)).collect();
        out.pages = made.into_iter().map(|(_, name, page)| (name, page)).collect();
    }
    if let Some(compared) = out.data.plans.as_ref().filter(|_| !out.stopped) {
        out.documents.extend(present::hourly(compared));
    }
    if let (Some(rules), false) = (&out.data.rules, report) {
        out.documents.push(present::rules_page(&job, rules, &words));
    }
    out.data.documents = out.documents.iter().map(|d| d.name.clone()).collect();
    out.diagnostics = job.take_diagnostics();
    out
}

/// Requests that a fit is only the means of: they go on without.
fn means(request: &Request) -> bool {
    matches!(request, Request::Watch { .. } | Request::Safety { .. })
}

/// The words of a job: its language, units and currency.
pub fn words(inputs: &Inputs) -> Words {
    Job::open(inputs).words()
}

/// The file that the letterhead of a job shows as its logo: whoever has it brings it among the files, with a
/// `data:` address (PNG or JPEG) as its text.
pub fn logo_of(files: &[File]) -> Option<String> {
    let job: Vec<File> = files.iter().filter(|f| f.name == "job.toml").cloned().collect();
    engine::doc::load(&job, &engine::doc::Sink::default()).job.firm.logo
}

/// Where photos of the visits may lie in the job folder, for each the first that is there: whoever has it brings
/// it among the files, with a `data:` address (PNG or JPEG) as its text.
pub fn photos_of(files: &[File]) -> Vec<Vec<String>> {
    let documents = engine::doc::load(files, &engine::doc::Sink::default());
    let visits = documents.visits.iter();
    visits.flat_map(|v| v.photos.iter().map(|p| present::photos::places(&v.folder, &p.file.value))).collect()
}

/// What a plan is called in a line: a letter, 0 for the house as found.
pub fn plan_letter(index: usize, words: &Words) -> String {
    present::called(index, words)
}

/// Words for messages where there is no job.
pub fn plain_words() -> Words {
    Words::new(Language::En, engine::units::System::Ip)
}

/// The demonstration house as files.
///
/// # Errors
/// A text where the readings could not be made, which a test excludes.
pub fn demo() -> Result<Vec<File>, String> {
    demo::files()
}

/// A ready set of rules for a job, as text to edit; nothing where there is no such set or no house.
pub fn ready_rules(inputs: &Inputs, set: &str) -> Option<String> {
    let job = Job::open(inputs);
    let house = job.documents.house.as_ref()?;
    ready::text(set, house, &job.documents.plans)
}

/// A commented starter for a job, dated.
pub fn starter(date: &str) -> Vec<File> {
    starter::files(date)
}

/// JSON Schemas and the table of display units.
pub fn schemas() -> serde_json::Value {
    schema::all()
}
