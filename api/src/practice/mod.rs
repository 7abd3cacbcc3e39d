//! The practice house: a sick house behind the same documents and commands, for people who teach.
//!
//! A learner gets a job folder as a practitioner would draw it, a complaint and minutes; takes readings that
//! the engine makes up from a hidden truth, writes a diagnosis with a scope, and is shown the truth, what
//! each reading was worth, what was missed and which hazard was walked past. For honest learners: the truth
//! lies in the folder, sealed so that nobody reads it by chance.

mod document;
mod offer;
mod reveal;
mod seal;
mod take;
mod tell;
#[cfg(test)]
mod tests;

pub use document::{HazardKind, READY, Step};
pub(crate) use offer::offer;
pub(crate) use reveal::plan_of;
pub use reveal::{CauseTold, HazardTold, Revealed, ScopeTold, Worth, Would};

use crate::edit::{self, Change, Operation};
use crate::{File, Inputs, Job, Listen, Speech};
use document::{Practice, RECORD, Record, built, visit_name};
use engine::diag::{Diagnostic, Diagnostics, Span, code};
use engine::doc::Sink;
use engine::next::Minutes;
use report::words::{Language, Words};
use serde::{Deserialize, Serialize};

/// Minutes of a visit where nobody says.
pub const USUAL_MINUTES: f64 = 120.0;
/// The learner's answer.
pub const DIAGNOSIS: &str = "diagnosis.toml";
const WEATHER: &str = include_str!("../../assets/weather/greensboro-723170.csv");

/// A step of practice.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, schemars::JsonSchema)]
#[serde(tag = "step", rename_all = "kebab-case")]
pub enum Ask {
    /// Makes a job folder.
    New {
        /// A practice house that comes with the program; without it the seed picks one.
        #[serde(default)]
        house: Option<String>,
        /// The document of a teacher's own house instead.
        #[serde(default)]
        document: Option<String>,
        /// What is drawn is drawn by it.
        seed: u64,
        /// Minutes of the visit.
        #[serde(default)]
        minutes: Option<f64>,
        /// Language of the texts: `en` or `es`; without it that of the document.
        #[serde(default)]
        language: Option<String>,
    },
    /// Takes a reading, or looks for a hazard.
    Take {
        /// In words: `attic compared with outdoors; attic_hatch = open`.
        reading: String,
    },
    /// Hands in a diagnosis and a scope.
    Answer {
        /// The document.
        diagnosis: String,
    },
    /// Shows the truth; no reading can be taken after it.
    Reveal,
}

/// What a step came to.
#[derive(Debug, Default, Serialize)]
pub struct Practised {
    /// What the house is called.
    pub label: String,
    /// What the learner is told at the door.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub story: String,
    /// Minutes of the visit.
    pub minutes: f64,
    /// Minutes left.
    pub left_min: f64,
    /// What was taken now.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub taken: Option<Step>,
    /// Key of what was seen by a look.
    #[serde(skip)]
    pub(crate) saw: &'static str,
    /// Words of a diagnosis, with what they stand for.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    pub may_be: Vec<(String, String)>,
    /// Causes of the diagnosis that was handed in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub named: Option<Vec<String>>,
    /// The truth.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub revealed: Option<Revealed>,
}

/// `diagnosis.toml`.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
struct Diagnosis {
    #[expect(dead_code, reason = "asked for, so that a later format can be told")]
    format: u32,
    causes: Vec<String>,
    #[serde(default)]
    #[expect(dead_code, reason = "the learner's own words, for the teacher")]
    why: String,
    /// As in a plan of `plans.toml`; read there.
    #[serde(default)]
    #[expect(dead_code, reason = "read as a plan")]
    change: Vec<toml::Table>,
}

/// What stands in a practice folder.
struct Open {
    practice: Practice,
    record: Record,
    seed: u64,
    visit: String,
}

// A step is a command: there is no line of a document that is wrong.
fn error(code: engine::diag::Code) -> Diagnostic {
    Diagnostic::error(code)
}

fn file<'i>(inputs: &'i Inputs, name: &str) -> Option<&'i str> {
    inputs.files.iter().find(|f| f.name == name).map(|f| f.text.as_str())
}

fn open(inputs: &Inputs) -> Result<Open, Diagnostic> {
    let text = file(inputs, RECORD).ok_or_else(|| error(code::S102))?;
    let record: Record = toml::from_str(text).map_err(|_| error(code::S103))?;
    let hidden = seal::open(&record.sealed, &record.seal).ok_or_else(|| error(code::S103))?;
    let practice = document::read(&hidden.document).map_err(|what| error(code::S101).arg("what", what))?;
    let practice = practice.in_language(crate::words(inputs).language());
    let visit = file(inputs, &visit_name(&practice)).ok_or_else(|| error(code::S102))?.to_owned();
    Ok(Open { practice, record, seed: hidden.seed, visit })
}

/// Does a step. Files for the job folder itself, what was found, what is printed.
pub(crate) fn answer(
    inputs: &Inputs,
    ask: &Ask,
    speech: &Speech,
    listen: &mut Listen<'_>,
    stopped: &mut bool,
) -> (Practised, Vec<File>, Vec<File>, Diagnostics, String) {
    let sink = Sink::default();
    let words = if inputs.files.is_empty() { crate::plain_words() } else { crate::words(inputs) };
    let words = speech.over(words);
    let done = match ask {
        Ask::New { house, document, seed, minutes, language } => {
            let language = language.as_deref().and_then(Language::from_tag);
            new(house.as_deref(), document.as_deref(), *seed, minutes.unwrap_or(USUAL_MINUTES), language)
        }
        Ask::Take { reading } => take(inputs, reading, &words, &sink),
        Ask::Answer { diagnosis } => hand_in(inputs, diagnosis),
        Ask::Reveal => reveal_all(inputs, &words, &sink, listen, stopped),
    };
    let (practised, files, documents) = match done {
        Ok((practised, files, documents)) if !*stopped => (practised, files, documents),
        Ok(_) => (Practised::default(), Vec::new(), Vec::new()),
        Err(diagnostic) => {
            sink.borrow_mut().push(diagnostic);
            (Practised::default(), Vec::new(), Vec::new())
        }
    };
    let found = sink.into_inner();
    let text = if practised.label.is_empty() { String::new() } else { tell::lines(&practised, &words) };
    (practised, files, documents, found, text)
}

type Done = Result<(Practised, Vec<File>, Vec<File>), Diagnostic>;

fn new(
    house: Option<&str>,
    document: Option<&str>,
    seed: u64,
    minutes: f64,
    language: Option<Language>,
) -> Done {
    let picked = usize::try_from(seed % 3).unwrap_or(0);
    let text = match (document, house) {
        (Some(text), _) => text,
        (None, Some(name)) => READY.iter().find(|r| r.0 == name).map(|r| r.1).ok_or_else(|| {
            let known = READY.map(|r| r.0).join(", ");
            error(code::S110).arg("name", name).arg("known", known)
        })?,
        (None, None) => READY[picked].1,
    };
    let wrong = |what: String| error(code::S101).arg("what", what);
    let mut practice = document::read(text).map_err(wrong)?;
    if let Some(language) = language {
        practice = practice.in_language(language);
    }
    // Both houses and the beginning of the visit have to hold before a learner stands in front of them.
    built(&practice.house).map_err(wrong)?;
    built(&practice.true_house().map_err(wrong)?).map_err(wrong)?;
    let name = visit_name(&practice);
    let check = Sink::default();
    let visit_text = format!("format = 1\ndate = \"{}\"\n\n{}", practice.date, practice.visit.trim_start());
    let visit = take::visit(&name, &visit_text, &check);
    if let Some(d) = check.borrow().list.iter().find(|d| d.severity == engine::diag::Severity::Error) {
        return Err(wrong(format!("visit, {}: {:?}", d.code, d.args)));
    }
    let tools: Vec<&str> = visit.instruments.iter().map(|i| i.name.value.as_str()).collect();
    if let Some(tool) = practice.takes.values().find(|t| !tools.contains(&t.as_str())) {
        return Err(wrong(format!("takes: {tool}")));
    }
    let (sealed, seal) = seal::close(&seal::Hidden { document: text.to_owned(), seed });
    let record = Record { format: 1, minutes, revealed: false, sealed, seal, taken: Vec::new() };
    let files = vec![
        File { name: "job.toml".to_owned(), text: practice.job.trim_start().to_owned() },
        File { name: "house.toml".to_owned(), text: practice.house.trim_start().to_owned() },
        File { name: "weather.csv".to_owned(), text: WEATHER.to_owned() },
        File { name, text: visit_text },
        File { name: DIAGNOSIS.to_owned(), text: starter(&practice) },
        record.file(),
    ];
    let practised = Practised {
        label: practice.label.clone(),
        story: practice.story.trim().to_owned(),
        minutes,
        left_min: minutes,
        may_be: may_be(&practice),
        ..Practised::default()
    };
    Ok((practised, files, Vec::new()))
}

fn may_be(practice: &Practice) -> Vec<(String, String)> {
    let mut list: Vec<(String, String)> =
        practice.cause.iter().map(|c| (c.name.clone(), c.label.clone())).collect();
    list.sort();
    list
}

/// A diagnosis to fill in.
fn starter(practice: &Practice) -> String {
    let mut text = String::from(
        "# The diagnosis: one or several of the words below.\nformat = 1\ncauses = []\nwhy = \"\"\n\n",
    );
    for (name, label) in may_be(practice) {
        text += &format!("# {name}: {label}\n");
    }
    text += "\n# The scope: changes as in plans.toml, such as\n# [[change]]\n# do = \"seal ducts\"\n# removes = \"60 to 80 %\"\n";
    text
}

fn take(inputs: &Inputs, text: &str, words: &Words, sink: &Sink) -> Done {
    let Open { practice, mut record, seed, visit: before } = open(inputs)?;
    if record.revealed {
        return Err(error(code::S107));
    }
    let wanted = take::parse(text).ok_or_else(|| {
        let looks = take::LOOKS.map(|l| l.0).join(", ");
        error(code::S104).arg("found", text).arg("looks", looks)
    })?;
    let house =
        practice.true_house().and_then(|t| built(&t)).map_err(|what| error(code::S101).arg("what", what))?;
    let name = visit_name(&practice);
    let visit = take::visit(&name, &before, sink);
    let left_min = record.minutes - record.spent_min();
    let late = |needs: f64| error(code::S105).arg("needs", needs).arg("left", left_min.max(0.0));
    let (step, after, saw) = match wanted {
        take::Wanted::Look(look) => {
            if look.minutes() > left_min {
                return Err(late(look.minutes()));
            }
            let shown = take::look(&look, &practice, &house, &visit, seed)?;
            let operation = |(key, value): &(&str, String)| -> Option<Operation> {
                let key = edit::key_path(key).ok()?;
                Some(Operation { path: name.clone(), key, change: Change::Set { value: value.clone() } })
            };
            let operations: Vec<Operation> = shown.operations.iter().filter_map(operation).collect();
            let edited = edit::apply(&before, &operations).map_err(|e| {
                error(code::S106).arg("what", text).arg("known", e.to_string()).arg("why", "unknown")
            })?;
            let step = Step {
                what: text.trim().to_owned(),
                shown: shown.shown,
                minutes: look.minutes(),
                draws_down: false,
                look: look.key(),
            };
            (step, edited + &shown.lines, shown.key)
        }
        take::Wanted::Reading { subject, set } => {
            let clock = clock(record.spent_min());
            // A first draft with any value: what the instrument shows is put in its place.
            let is_flow = subject.first().is_some_and(|s| s.0 == "flow_of");
            let draft = if is_flow { "1 m3/s" } else { "-1 Pa" };
            let no_tool = || error(code::S106).arg("what", text).arg("known", "").arg("why", "tool");
            let lines = take::lines(&practice, &subject, &set, draft, &clock).ok_or_else(no_tool)?;
            let trial = take::visit(&name, &(before.clone() + &lines), sink);
            let reading = trial.readings.last().ok_or_else(no_tool)?;
            let minutes = Minutes::of(&job_minutes(&practice));
            let cost = take::cost(&house, &visit, reading, &minutes, sink).ok_or_else(|| {
                let zones = house.zones.iter().map(|z| z.name.as_str());
                let known: Vec<&str> = zones.chain(["outdoors", "test_fan", "air_handler"]).collect();
                error(code::S106).arg("what", text).arg("known", known.join(", ")).arg("why", "unknown")
            })?;
            if cost.minutes > left_min {
                return Err(late(cost.minutes));
            }
            let altitude_m = altitude(&practice);
            let shown = take::shown(&house, &trial, altitude_m, seed, words.system(), sink);
            // What is wrong with the words themselves was said already.
            if sink.borrow().has_errors() {
                return Ok((Practised::default(), Vec::new(), Vec::new()));
            }
            let shown = shown.map_err(|what| {
                error(code::S106).arg("what", text).arg("known", what).arg("why", "network")
            })?;
            let lines = take::lines(&practice, &subject, &set, &shown, &clock).unwrap_or_default();
            let step = Step {
                what: text.trim().to_owned(),
                shown,
                minutes: cost.minutes,
                draws_down: cost.draws_down,
                look: String::new(),
            };
            (step, before + &lines, "practice-saw-value")
        }
    };
    record.taken.push(step.clone());
    let practised = Practised {
        label: practice.label.clone(),
        minutes: record.minutes,
        left_min: record.minutes - record.spent_min(),
        taken: Some(step),
        saw,
        ..Practised::default()
    };
    Ok((practised, vec![File { name, text: after }, record.file()], Vec::new()))
}

/// The visit begins at nine.
fn clock(minutes: f64) -> String {
    let all = 9.0 * 60.0 + minutes;
    let hours = (all / 60.0).floor();
    format!("{:02}:{:02}", hours, (all - 60.0 * hours).floor())
}

/// The practice job as read, without its visits.
fn job(practice: &Practice) -> engine::doc::job::Job {
    let file = File { name: "job.toml".to_owned(), text: practice.job.clone() };
    engine::doc::job::read(&file, &Sink::default())
}

fn job_minutes(practice: &Practice) -> Vec<(&'static str, f64)> {
    job(practice).minutes_s
}

fn altitude(practice: &Practice) -> f64 {
    job(practice).place.altitude_m.unwrap_or(0.0)
}

fn read_diagnosis(practice: &Practice, text: &str) -> Result<Diagnosis, Diagnostic> {
    let here = |d: Diagnostic| d.at(Span::new(DIAGNOSIS, 0..0));
    let diagnosis: Diagnosis = toml::from_str(text).map_err(|e| {
        let range = e.span().unwrap_or(0..0);
        Diagnostic::error(code::T001)
            .at(Span::new(DIAGNOSIS, range))
            .arg("kind", engine::doc::read::syntax_kind(e.message()))
            .arg("detail", e.message())
    })?;
    let known: Vec<&str> = practice.cause.iter().map(|c| c.name.as_str()).collect();
    if let Some(other) = diagnosis.causes.iter().find(|c| !known.contains(&c.as_str())) {
        return Err(here(
            Diagnostic::error(code::S108)
                .arg("name", other.as_str())
                .arg("near", engine::text::closest(other, known.iter().copied()).unwrap_or(""))
                .arg("known", known.join(", ")),
        ));
    }
    Ok(diagnosis)
}

fn hand_in(inputs: &Inputs, text: &str) -> Done {
    let Open { practice, record, .. } = open(inputs)?;
    if record.revealed {
        return Err(error(code::S107));
    }
    let diagnosis = read_diagnosis(&practice, text)?;
    if diagnosis.causes.is_empty() {
        return Err(error(code::S109));
    }
    let practised = Practised {
        label: practice.label.clone(),
        minutes: record.minutes,
        left_min: record.minutes - record.spent_min(),
        named: Some(diagnosis.causes),
        ..Practised::default()
    };
    Ok((practised, vec![File { name: DIAGNOSIS.to_owned(), text: text.to_owned() }], Vec::new()))
}

fn reveal_all(
    inputs: &Inputs,
    words: &Words,
    sink: &Sink,
    listen: &mut Listen<'_>,
    stopped: &mut bool,
) -> Done {
    let Open { practice, mut record, seed, .. } = open(inputs)?;
    let text = file(inputs, DIAGNOSIS).unwrap_or("format = 1\ncauses = []\n");
    let diagnosis = read_diagnosis(&practice, text)?;
    if diagnosis.causes.is_empty() {
        sink.borrow_mut().push(Diagnostic::warning(code::S109).at(Span::new(DIAGNOSIS, 0..0)));
    }
    let asked = reveal::Asked {
        practice: &practice,
        record: &record,
        seed,
        causes: &diagnosis.causes,
        diagnosis: text,
    };
    let revealed = reveal::reveal(&asked, inputs, words, sink, listen, stopped)
        .map_err(|what| error(code::S101).arg("what", what))?;
    let mut documents = Vec::new();
    if let Ok(text) = practice.true_house() {
        documents.push(File { name: "practice/true-house.toml".to_owned(), text });
    }
    record.revealed = true;
    let practised = Practised {
        label: practice.label.clone(),
        minutes: record.minutes,
        left_min: record.minutes - record.spent_min(),
        named: Some(diagnosis.causes),
        revealed: Some(revealed),
        ..Practised::default()
    };
    Ok((practised, vec![record.file()], documents))
}
