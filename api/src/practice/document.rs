//! The document of a practice house, as a teacher writes it, and the record of a learner's visit.
//!
//! `docs/PRACTICE.md` describes the document. The true house is the drawn one with what its true causes
//! change; ranges that are left are drawn by the seed, so that one document is many houses.

use crate::File;
use crate::edit::{self, Change, Operation};
use engine::doc::Sink;
use engine::doc::house as house_text;
use engine::house::{House, ParamKind, build};
use engine::rng::Stream;
use report::words::Language;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The practice houses that come with the program.
pub const READY: [(&str, &str); 3] = [
    ("mill", include_str!("../../assets/practice/mill.toml")),
    ("orchard", include_str!("../../assets/practice/orchard.toml")),
    ("harbour", include_str!("../../assets/practice/harbour.toml")),
];

/// Their texts in Spanish.
const SPANISH: &str = include_str!("../../assets/practice/es.toml");

/// The document.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Practice {
    format: u32,
    /// What the house is called; tells nothing.
    pub(super) label: String,
    /// What the learner is told at the door.
    pub(super) story: String,
    /// Date of the visit.
    pub(super) date: String,
    /// `job.toml`.
    pub(super) job: String,
    /// `house.toml` as the practitioner draws it.
    pub(super) house: String,
    /// Conditions, instruments and `[start]` of `visit.toml`.
    pub(super) visit: String,
    /// Which instrument takes which flow: `test_fan`, `hood`, `air_handler`; and `pressure`.
    pub(super) takes: BTreeMap<String, String>,
    /// What may be the matter, true and not.
    pub(super) cause: Vec<Cause>,
    /// What may hurt somebody.
    #[serde(default)]
    pub(super) hazard: Vec<Hazard>,
    /// Texts in other languages: tag of the language, text as it stands, text in that language.
    #[serde(default)]
    words: BTreeMap<String, BTreeMap<String, String>>,
}

/// Something that may be the matter.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Cause {
    /// The word of a diagnosis.
    pub(super) name: String,
    /// In a sentence part.
    pub(super) label: String,
    /// Whether it is so.
    #[serde(rename = "true")]
    pub(super) is_true: bool,
    /// How one would have seen it, for the reveal.
    #[serde(default)]
    pub(super) seen_by: String,
    /// Fields of `house.toml` and their true values.
    #[serde(default)]
    pub(super) truth: BTreeMap<String, String>,
    /// Lines for the end of `house.toml`: what nobody drew.
    #[serde(default)]
    pub(super) adds: String,
}

/// What kind of hazard.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Deserialize, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum HazardKind {
    /// Carbon monoxide in the air of the rooms.
    CarbonMonoxide,
    /// A fire, or ash that glows.
    Embers,
    /// Material that may hold asbestos.
    Asbestos,
    /// Flue gas that spills.
    Spillage,
}

/// Something that may hurt somebody.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct Hazard {
    pub(super) kind: HazardKind,
    /// What and where, for the reveal.
    pub(super) label: String,
    /// Carbon monoxide in the air, ppm.
    #[serde(default)]
    pub(super) ppm: f64,
    /// The work ends where it is found.
    #[serde(default)]
    pub(super) ends_work: bool,
    /// The appliance that spills.
    #[serde(default)]
    pub(super) appliance: String,
    /// How long it spills, s.
    #[serde(default)]
    pub(super) spills_s: f64,
    /// Carbon monoxide in its flue, air-free, ppm.
    #[serde(default)]
    pub(super) flue_ppm: f64,
}

/// Reads and checks a document; what is wrong as a text.
pub(super) fn read(text: &str) -> Result<Practice, String> {
    let practice: Practice = toml::from_str(text).map_err(|e| e.message().to_owned())?;
    if practice.format != 1 {
        return Err(format!("format = {}", practice.format));
    }
    practice.date.parse::<jiff::civil::Date>().map_err(|e| format!("date: {e}"))?;
    let mut names: Vec<&str> = practice.cause.iter().map(|c| c.name.as_str()).collect();
    names.sort_unstable();
    if names.windows(2).any(|w| w[0] == w[1]) {
        return Err("two causes of one name".to_owned());
    }
    if !practice.cause.iter().any(|c| c.is_true) {
        return Err("no cause is true".to_owned());
    }
    Ok(practice)
}

/// Name of the visit's document.
pub(super) fn visit_name(practice: &Practice) -> String {
    format!("visits/{}/visit.toml", practice.date)
}

/// The language that a `job.toml` is in, as its tag.
fn language_of(job: &str) -> Language {
    let table: toml::Table = toml::from_str(job).unwrap_or_default();
    table.get("language").and_then(toml::Value::as_str).and_then(Language::from_tag).unwrap_or_default()
}

impl Practice {
    /// The same house with its texts in a language, as far as they are translated: text for text between
    /// quotation marks, so that no name of the documents and no number is another.
    pub(super) fn in_language(mut self, language: Language) -> Practice {
        if language_of(&self.job) == language {
            return self;
        }
        let tag = language.tag();
        let ready: BTreeMap<String, String> = match language {
            Language::Es => toml::from_str(SPANISH).unwrap_or_default(),
            Language::En => BTreeMap::new(),
        };
        let own = self.words.get(tag).cloned().unwrap_or_default();
        let find = |text: &str| own.get(text).or_else(|| ready.get(text)).cloned();
        let say = |text: &mut String| {
            if let Some(other) = find(text.trim()) {
                *text = other;
            }
        };
        say(&mut self.label);
        let first = self.story.trim().lines().next().unwrap_or_default().trim();
        if let Some(story) = find(first) {
            self.story = story;
        }
        for cause in &mut self.cause {
            say(&mut cause.label);
            say(&mut cause.seen_by);
            cause.adds = in_quotes(&cause.adds, &find);
        }
        for hazard in &mut self.hazard {
            say(&mut hazard.label);
        }
        for document in [&mut self.job, &mut self.house, &mut self.visit] {
            *document = in_quotes(document, &find);
        }
        let before = language_of(&self.job).tag();
        let line = |tag: &str| format!("language = {}", toml_text(tag));
        self.job = self.job.replace(&line(before), &line(tag));
        self
    }

    /// `house.toml` as it is.
    pub(super) fn true_house(&self) -> Result<String, String> {
        let mut operations = Vec::new();
        let mut adds = String::new();
        for cause in self.cause.iter().filter(|c| c.is_true) {
            for (key, value) in &cause.truth {
                let key = edit::key_path(key).map_err(|e| e.to_string())?;
                let change = Change::Set { value: toml_text(value) };
                operations.push(Operation { path: "house.toml".to_owned(), key, change });
            }
            if !cause.adds.trim().is_empty() {
                adds += &format!("\n{}\n", cause.adds.trim());
            }
        }
        Ok(edit::apply(&self.house, &operations).map_err(|e| e.to_string())? + &adds)
    }
}

/// A document with what stands whole between quotation marks in other words; names of zones and the like
/// hold no blanks and are in no dictionary unless they are labels.
fn in_quotes(document: &str, find: &dyn Fn(&str) -> Option<String>) -> String {
    let labelled = |line: &str| {
        let key = line.split('=').next().unwrap_or_default().trim();
        let (head, text) = line.split_once(" = ")?;
        let text = text.trim().strip_prefix('"')?.strip_suffix('"')?;
        let told = ["label", "words", "who", "limit_source", "name", "note", "story"].contains(&key);
        told.then(|| find(text)).flatten().map(|other| format!("{head} = {}", toml_text(&other)))
    };
    let mut out: Vec<String> =
        document.lines().map(|line| labelled(line).unwrap_or_else(|| line.to_owned())).collect();
    out.push(String::new());
    out.join("\n")
}

/// A text as a value of TOML.
pub(super) fn toml_text(text: &str) -> String {
    toml_edit::Value::from(text).to_string().trim().to_owned()
}

/// A house file, built; its mistakes as a text.
pub(super) fn built(text: &str) -> Result<House, String> {
    let sink = Sink::default();
    let file = File { name: "house.toml".to_owned(), text: text.to_owned() };
    let house = build(&house_text::read(&file, &sink), &sink);
    let found = sink.into_inner();
    if found.has_errors() {
        let first = found.list.iter().find(|d| d.severity == engine::diag::Severity::Error);
        return Err(first.map_or_else(String::new, |d| format!("house.toml, {}: {:?}", d.code, d.args)));
    }
    Ok(house)
}

/// The hidden numbers: each range of the true house drawn by the seed and the name of the thing, within
/// one and a half standard deviations; exponents stay where they are.
pub(super) fn truth(house: &House, seed: u64) -> Vec<f64> {
    let drawn = |p: &engine::house::Param| {
        if matches!(p.kind, ParamKind::Exponent | ParamKind::CommonExponent) {
            return p.mean;
        }
        let z = Stream::new(seed, &format!("truth of {} {:?}", p.name, p.kind)).normal();
        p.mean + z.clamp(-1.5, 1.5) * p.sd
    };
    house.params.iter().map(drawn).collect()
}

/// One thing that was done on the visit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Step {
    /// In the learner's words.
    pub what: String,
    /// What was shown.
    pub shown: String,
    /// What it took, min.
    pub minutes: f64,
    /// Whether the setup could pull air down a flue.
    #[serde(default)]
    pub draws_down: bool,
    /// What was looked for or measured for safety; empty for a reading of the house.
    #[serde(default)]
    pub look: String,
}

/// `practice.toml`.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub(super) struct Record {
    pub(super) format: u32,
    pub(super) minutes: f64,
    #[serde(default)]
    pub(super) revealed: bool,
    pub(super) sealed: String,
    pub(super) seal: String,
    #[serde(default)]
    pub(super) taken: Vec<Step>,
}

/// Name of the record.
pub(super) const RECORD: &str = "practice.toml";

impl Record {
    /// Minutes that were spent.
    pub(super) fn spent_min(&self) -> f64 {
        self.taken.iter().map(|t| t.minutes).sum()
    }

    /// As a document.
    pub(super) fn file(&self) -> File {
        let mut text = String::from(
            "# A practice house. What it hides is sealed below; opening it cheats nobody but the learner.\n",
        );
        let fold: Vec<String> =
            self.sealed.as_bytes().chunks(100).map(|c| String::from_utf8_lossy(c).into_owned()).collect();
        text += &format!(
            "format = {}\nminutes = {:?}\nrevealed = {}\nseal = {}\nsealed = \"\"\"\n{}\"\"\"\n",
            self.format,
            self.minutes,
            self.revealed,
            toml_text(&self.seal),
            fold.join("\n"),
        );
        for t in &self.taken {
            text += &format!(
                "\n[[taken]]\nwhat = {}\nshown = {}\nminutes = {:?}\ndraws_down = {}\nlook = {}\n",
                toml_text(&t.what),
                toml_text(&t.shown),
                t.minutes,
                t.draws_down,
                toml_text(&t.look),
            );
        }
        File { name: RECORD.to_owned(), text }
    }
}
