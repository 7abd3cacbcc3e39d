//! The questions of the app's pages about a whole job: what a page shows, an edit, a new house.
//!
//! A page is made of fragments of the report and of what can be touched: the switches of a scene, the
//! fields of a thing with their text as it stands in the document. Nothing is computed in a second
//! way. A [`Desk`] keeps the job it was asked about last with what was worked out of it, so that a
//! switch turned on the drawing does not fit the house again; the answers do not depend on it.

mod begin;
mod edits;
mod form;
mod gloss;
mod house;
mod parts;
#[cfg(test)]
mod speech_tests;
mod table;
#[cfg(test)]
mod tests;
mod visit;
pub(crate) mod watch;

use crate::{Data, Inputs, Job, Listen, Sheet, Speech, Written, envelope_json, findings, next, present};
use engine::diag::Diagnostics;
use engine::doc::File;
use engine::units::System;
use report::html::{Fragment, fragment_style, fragments};
use report::sheets::Part;
use report::words::Words;
use serde::{Deserialize, Serialize};
use serde_json::{Value, json};

pub use begin::{Begin, Foundation};
pub(crate) use form::word;

/// Which page, and what of it.
#[derive(Clone, Debug, Deserialize)]
#[serde(tag = "page", rename_all = "kebab-case")]
pub enum Page {
    /// The house in one scene.
    House {
        /// How it stands.
        #[serde(default)]
        scene: house::Chosen,
    },
    /// The visit step by step; with `read` also results, findings, safety, what was read.
    Visit {
        /// Which visit and what of it is open.
        #[serde(flatten)]
        asked: visit::Asked,
        /// With what the readings say of the house, which takes a fit.
        #[serde(default)]
        read: bool,
    },
    /// What the readings say and do not say, and which reading to take next.
    Known {
        /// What is to be known better.
        #[serde(default)]
        question: Option<String>,
        /// Time left on site, min.
        #[serde(default)]
        minutes: Option<f64>,
    },
    /// Plans through the year.
    Plans {
        /// Live them; without it only what was lived on this desk for the same documents is shown.
        #[serde(default)]
        run: bool,
    },
    /// What can be read in a practice house, and what that costs.
    Practice {
        /// Readings in words, whose minutes are asked for.
        #[serde(default)]
        readings: Vec<String>,
    },
    /// What plans are made of, to be changed.
    Parts,
    /// The work that a diagnosis of a practice house orders, to be changed.
    Scope,
    /// The documents that people take away.
    Report {
        /// How they are written.
        #[serde(default)]
        written: Written,
    },
    /// The traces of the job's series.
    Watch {
        /// Fit the house and live through the series; without it only traces and units are told.
        #[serde(default)]
        judge: bool,
    },
}

/// A question of the app.
#[derive(Clone, Debug, Deserialize)]
#[serde(tag = "app", rename_all = "kebab-case")]
pub enum Question {
    /// A page of a job.
    Page {
        /// Which.
        #[serde(flatten)]
        page: Page,
        /// The job.
        files: Vec<Text>,
        /// Date and time, as a text.
        #[serde(default)]
        now: String,
    },
    /// A window of a trace of the job whose watch page was asked for last; nothing where it is not there any more.
    Window {
        /// The trace.
        trace: String,
        /// From, ms since 1970.
        from: i64,
        /// To, without it.
        to: i64,
        /// Stretches that it is told in.
        buckets: usize,
    },
    /// What the traces of a desk are called, one after the other.
    Names {
        /// Documents that call places and traces something: `house.toml`, `watch.toml`; `job.toml` for the language.
        files: Vec<Text>,
        /// The traces.
        traces: Vec<watch::Told>,
    },
    /// Causes of a desk's events in the words of a job.
    Causes {
        /// `job.toml` for its language and units, `house.toml` and `watch.toml` for what it calls its places.
        files: Vec<Text>,
        /// Traces that causes may name.
        traces: Vec<watch::Told>,
        /// Causes of each event, as they are kept.
        events: Vec<Vec<engine::watch::Cause>>,
    },
    /// Edits worked into documents.
    Edit {
        /// The documents concerned.
        files: Vec<Text>,
        /// What is done, in order.
        operations: Vec<crate::edit::Operation>,
    },
    /// Edits of two people brought together.
    Merge {
        /// Name of the document.
        name: String,
        /// What both began with.
        base: String,
        /// One's.
        mine: String,
        /// The other's.
        theirs: String,
    },
    /// Documents of a new job from a few answers.
    Begin(Begin),
    /// Documents of the invented demonstration house.
    Demo,
    /// The rules fragments are drawn by.
    Style,
}

/// A document on the wire.
#[derive(Clone, Debug, Deserialize, Serialize)]
pub struct Text {
    /// Name within the job.
    pub name: String,
    /// All of it.
    pub text: String,
}

/// The job asked about last, and what was worked out of it.
#[derive(Debug, Default)]
pub struct Desk {
    open: Option<Open>,
}

#[derive(Debug)]
struct Open {
    inputs: Inputs,
    job: Job,
    words: Words,
    data: Data,
    found: Diagnostics,
    /// Results of the tests are there.
    worked: bool,
    fitted: bool,
    series: Option<watch::Series>,
}

impl Desk {
    /// Answers a question in the envelope of `--json`. Everything that is shown on a screen is said in
    /// the device's own language and units, whatever the job is written in.
    pub fn answer(&mut self, question: Question, speech: &Speech, listen: &mut Listen<'_>) -> Value {
        let bare = || speech.over(crate::plain_words());
        match question {
            Question::Page { page, files, now } => self.page(&page, files, now, speech, listen),
            Question::Window { trace, from, to, buckets } => {
                let series = self.open.as_ref().and_then(|o| o.series.as_ref());
                let window = series.map_or(Value::Null, |s| s.window(&trace, from, to, buckets));
                plain(&bare(), window)
            }
            Question::Names { files, traces } => {
                let inputs =
                    Inputs { files: files.into_iter().map(File::from).collect(), now: String::new() };
                let words = speech.over(crate::words(&inputs));
                plain(&words, watch::names(&inputs.files, &traces, &words))
            }
            Question::Causes { files, traces, events } => {
                let inputs =
                    Inputs { files: files.into_iter().map(File::from).collect(), now: String::new() };
                let words = speech.over(crate::words(&inputs));
                plain(&words, watch::causes(&inputs.files, &events, &traces, &words))
            }
            Question::Edit { files, operations } => edits::edit(files, &operations, &bare()),
            Question::Merge { name, base, mine, theirs } => {
                edits::merge(&name, &base, &mine, &theirs, &bare())
            }
            Question::Begin(begin) => {
                let files: Vec<Text> = begin::files(&begin).into_iter().map(Text::from).collect();
                plain(&bare(), json!({ "files": files, "ignored": begin::ignored(&begin) }))
            }
            Question::Demo => {
                let files: Vec<Text> =
                    crate::demo().unwrap_or_default().into_iter().map(Text::from).collect();
                plain(&bare(), json!({ "files": files }))
            }
            Question::Style => plain(&bare(), json!({ "style": fragment_style() })),
        }
    }

    fn page(
        &mut self,
        page: &Page,
        files: Vec<Text>,
        now: String,
        speech: &Speech,
        listen: &mut Listen<'_>,
    ) -> Value {
        let inputs = Inputs { files: files.into_iter().map(File::from).collect(), now };
        // What was worked out is no part of what it was worked out from.
        let same = self.open.as_ref().is_some_and(|o| written(&o.inputs).eq(written(&inputs)));
        if let (true, Some(open)) = (same, &mut self.open) {
            open.inputs = inputs;
        } else {
            let mut job = Job::open(&inputs);
            let words = job.words();
            let found = job.take_diagnostics();
            let data = Data { job: job.documents.job.name.clone(), ..Data::default() };
            self.open =
                Some(Open { inputs, job, words, data, found, worked: false, fitted: false, series: None });
        }
        let Some(open) = &mut self.open else { return Value::Null };
        open.words = speech.over(open.job.words());
        let data = open.page(page, listen);
        let mut found = open.found.clone();
        found.list.extend(open.job.take_diagnostics().list);
        open.found.clone_from(&found);
        let mut answer = envelope_json(&found, &open.inputs.files, &open.words, data);
        gloss::gloss_all(&mut answer, &open.words);
        answer
    }
}

impl Open {
    fn page(&mut self, page: &Page, listen: &mut Listen<'_>) -> Value {
        let mut stopped = false;
        if let Page::Watch { judge } = page {
            return self.watch(*judge, listen);
        }
        if let Page::Practice { readings } = page {
            let offered = crate::practice::offer(&self.job, &self.inputs, readings, &self.words);
            return json!({ "offer": offered });
        }
        if let Page::Parts = page {
            // What is typed is answered at once; the plans themselves are lived when that is asked for.
            return parts::page(&self.job, &self.inputs.files, &self.found, &self.words);
        }
        if let Page::Scope = page {
            return parts::scope(&self.job, &self.inputs.files, &self.found, &self.words);
        }
        if let Page::Visit { asked, read: false } = page {
            // What is typed is answered at once: what the house makes of it is asked for by itself.
            self.results();
            let around = visit::Around {
                job: &self.job,
                data: &self.data,
                files: &self.inputs.files,
                found: &self.found,
                words: &self.words,
                now: &self.inputs.now,
            };
            let mut out = visit::page(&around, asked);
            out["job"] = self.data.job.clone().into();
            out["house"] = self.job.house.is_some().into();
            return out;
        }
        self.work(listen, &mut stopped);
        let mut extra = json!({});
        match page {
            Page::House { scene } => {
                let mut page = house::page(&self.job, &self.data, &self.inputs.files, scene, &self.words);
                page["job"] = self.data.job.clone().into();
                return page;
            }
            Page::Known { question, minutes } => {
                if let Some(fit) = &self.data.fit {
                    let lived = next::kept(&self.inputs);
                    let may = question.as_deref().is_none_or(|words| self.job.may_ask(words));
                    self.data.next = may
                        .then(|| self.job.next(fit, question.as_deref(), *minutes, lived.as_ref()))
                        .flatten();
                    extra["questions"] = self.job.questions(&self.words).into();
                }
            }
            Page::Plans { run } => {
                if let (Some(fit), true) = (&self.data.fit, *run || self.data.plans.is_some()) {
                    if self.data.plans.is_none() {
                        let asked = crate::open::PlansAsked::default();
                        self.data.plans = self.job.plans(fit, asked, listen, &mut stopped);
                        self.data.rooms = self.job.rooms(fit, false);
                    }
                    if let Some(compared) = &self.data.plans {
                        let kept = next::keep(&self.job, fit, compared);
                        extra["keep"] = kept.map_or(Value::Null, |f| {
                            json!(Text { name: format!("{DERIVED}{}", f.name), text: f.text })
                        });
                    }
                }
                extra["lived"] = self.data.plans.is_some().into();
                extra["written"] = self.job.planned.len().into();
            }
            Page::Visit { .. }
            | Page::Practice { .. }
            | Page::Parts
            | Page::Scope
            | Page::Report { .. }
            | Page::Watch { .. } => {}
        }
        let mut shown: Vec<Fragment> = self.fragments(page);
        if matches!(page, Page::Plans { .. }) {
            self.check_rules();
            let view = self.data.rules.as_ref().map(|r| present::rules::view(&self.job, r, &self.words));
            shown.extend(view.and_then(|v| report::html::rules_table(&v, &self.words)));
        }
        let mut out = json!({
            "job": self.data.job,
            "house": self.job.house.is_some(),
            "fitted": self.data.fit.is_some(),
            "stopped": stopped,
            "fragments": shown,
        });
        if let (Value::Object(out), Value::Object(extra)) = (&mut out, extra) {
            out.extend(extra);
        }
        if let Page::Report { written } = page {
            self.check_rules();
            // What leaves is in the job's language, or in the one that was chosen for it.
            self.job.bring_pictures(&self.inputs.files);
            self.job.check_pictures();
            let made = present::documents(&self.job, &self.data, written, &self.inputs.now, None);
            let sheet = |(sheet, file): (Sheet, File)| {
                let mut label = self.words.say(&format!("sheet-{}", sheet.word()));
                // One of several is told by its plan, not by the name of a file.
                let of =
                    |p: &&engine::doc::plans::Plan| file.name == format!("hand-off-{}.html", p.name.value);
                if let Some(plan) = self.job.documents.plans.iter().find(of) {
                    label = format!("{label}: {}", plan.label);
                }
                json!({ "name": file.name, "label": label, "text": file.text })
            };
            out["documents"] = made.into_iter().map(sheet).collect();
            let own = self.job.words();
            out["own"] = json!({ "language": own.language().tag(), "system": if own.system() == System::Si { "SI" } else { "IP" } });
            let part = |p: &Part| json!({ "value": p, "label": self.words.say(&p.key()) });
            out["parts"] = Part::ALL.iter().map(part).collect();
        }
        out
    }

    /// Traces and, where it is asked for, what the watch makes of them.
    fn watch(&mut self, judge: bool, listen: &mut Listen<'_>) -> Value {
        let mut stopped = false;
        if judge {
            self.work(listen, &mut stopped);
        }
        let (job, files) = (&self.job, &self.inputs.files);
        let series = self.series.get_or_insert_with(|| watch::Series::of(job, files));
        if judge && !stopped {
            series.judge(job, &self.data, listen, &mut stopped);
        }
        let mut page = series.page(job, &self.words);
        page["stopped"] = stopped.into();
        page
    }

    /// What the pages of rules need is read and checked, not lived.
    fn check_rules(&mut self) {
        let ruled = self.inputs.files.iter().any(|f| f.name.starts_with("rules/"));
        if ruled && self.data.rules.is_none() {
            self.data.rules = crate::rules::answer(&self.job, &self.inputs.files, false);
        }
    }

    /// Results, fit and findings, once for the documents as they are.
    fn work(&mut self, listen: &mut Listen<'_>, stopped: &mut bool) {
        if self.fitted {
            return;
        }
        self.results();
        if self.job.house.is_some() && self.job.is_sound() {
            self.data.fit = self.job.fit(false, listen, stopped);
        }
        if !*stopped {
            self.data.findings = Some(findings::answer(&self.job, &self.data, &self.inputs.files));
            self.fitted = true;
        }
    }

    /// Results of the tests, once for the documents as they are.
    fn results(&mut self) {
        if self.worked {
            return;
        }
        self.data.results = self.job.results();
        self.data.field = self.job.field(&self.data.results);
        self.worked = true;
        // What the tests say of their readings belongs beside them.
        self.found.list.extend(self.job.take_diagnostics().list);
    }

    fn fragments(&self, page: &Page) -> Vec<Fragment> {
        let wanted: &[&str] = match page {
            Page::House { .. }
            | Page::Parts
            | Page::Scope
            | Page::Practice { .. }
            | Page::Watch { .. }
            | Page::Visit { read: false, .. } => &[],
            Page::Visit { .. } => {
                &["safety", "complaints", "tightness", "findings", "field", "tests", "instruments"]
            }
            Page::Known { .. } => {
                &["next", "answers", "beyond", "known", "undetermined", "residuals", "findings-all"]
            }
            Page::Plans { .. } => &["safety", "plans", "todo", "cautions", "rooms"],
            Page::Report { .. } => &["safety"],
        };
        let report = present::house_report(&self.job, &self.data, &self.words, &self.inputs.now);
        let mut all = fragments(&report, &self.words);
        all.retain(|f| wanted.contains(&f.id));
        all.sort_by_key(|f| wanted.iter().position(|w| *w == f.id));
        all
    }
}

/// Where derived documents stand within a job.
const DERIVED: &str = "out/";

/// The documents that people wrote.
fn written(inputs: &Inputs) -> impl Iterator<Item = &File> {
    // Pictures are shown in what leaves, and nothing is worked out from them.
    let picture = |f: &File| f.text.starts_with("data:image/");
    inputs.files.iter().filter(move |f| !f.name.starts_with(DERIVED) && !picture(f))
}

impl From<File> for Text {
    fn from(f: File) -> Text {
        Text { name: f.name, text: f.text }
    }
}

impl From<Text> for File {
    fn from(t: Text) -> File {
        File { name: t.name, text: t.text }
    }
}

fn plain(words: &Words, data: Value) -> Value {
    envelope_json(&Diagnostics::default(), &[], words, data)
}
