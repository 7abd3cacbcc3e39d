//! A job opened: documents read and checked, and the steps of the work on it.

mod checks;
mod fitted;
mod lived;

pub(crate) use checks::check_name;
pub(crate) use lived::PlansAsked;

use crate::field::{self, Around, FieldResult};
use crate::{Data, File, Inputs, envelope, safety, written, zone};
use checks::{check_combustion, check_complaints, check_currency, check_look};
use engine::diag::{Diagnostic, Diagnostics, Span, code};
use engine::doc::series::{self, Series};
use engine::doc::visit::{Combustion, EnvelopeTest, Visit};
use engine::doc::{Documents, Sink, Sp, load};
use engine::fit::observe::{Observations, collect_with};
use engine::gate::{self, Record};
use engine::house::{self, House};
use engine::plan::{self, Planned, Searched};
use engine::procedure::envelope::{Comparison, EnvelopeResult};
use engine::procedure::verdict::Verdict;
use engine::rule::{self, Command, Refusal, Set, Signals};
use engine::safety::Screen;
use engine::units::System;
use engine::weather::{self, Weather};
use report::words::{Language, Words};
use serde::Serialize;
use sha2::{Digest, Sha256};

/// A test worked to its standard.
#[derive(Debug, Serialize)]
pub struct TestResult {
    /// Folder of its visit.
    pub visit: String,
    /// The result.
    pub result: EnvelopeResult,
    /// Against the adopted limit.
    pub comparison: Option<Comparison>,
    /// How the openings were prepared.
    #[serde(skip)]
    pub prepared: Vec<(String, String)>,
    /// What identifies the instruments: the serial number, or the name within the visit.
    #[serde(skip)]
    pub instruments: Vec<String>,
    /// Preparation method.
    #[serde(skip)]
    pub method: Option<String>,
    /// What the tester was asked about and confirmed.
    #[serde(skip)]
    pub confirmed: Vec<String>,
}

/// An opened job.
#[derive(Debug)]
pub struct Job {
    /// The documents as read.
    pub documents: Documents,
    /// The house, resolved.
    pub house: Option<House>,
    /// Its weather.
    pub weather: Option<Weather>,
    /// Combustion results of the last visit: its `[combustion]` table and its tests.
    pub combustion: Option<Combustion>,
    /// What they say to the gate.
    pub record: Option<Record>,
    /// The hazard screen of each visit.
    pub screens: Vec<Screen>,
    /// Readings ready for the fit.
    pub observations: Observations,
    /// Series beside the visits.
    pub series: Vec<Series>,
    /// The plans, resolved.
    pub planned: Vec<Planned>,
    /// Searches, ready to run.
    pub searches: Vec<Searched>,
    /// Control rules, put together; nothing without a house.
    pub rules: Option<Set>,
    /// What may be commanded, and what is only advised and why.
    pub commands: (Vec<Command>, Vec<(String, Vec<Refusal>)>),
    /// Hash over all input files.
    pub inputs_hash: String,
    /// The letterhead's picture as a `data:` address, where whoever asked brought it.
    pub logo: Option<String>,
    /// Pictures brought among the files: name, and `data:` address.
    pub(crate) pictures: Vec<File>,
    sink: Sink,
}

impl Job {
    /// Reads and checks everything; mistakes are collected.
    pub fn open(inputs: &Inputs) -> Job {
        let sink = Sink::default();
        let mut documents = load(&inputs.files, &sink);
        written::check(&documents.visits, &inputs.files, &inputs.now, &sink);
        let now_from = after_work(&mut documents, &inputs.files, &sink);
        let house = documents.house.as_ref().map(|text| house::build(text, &sink));
        let named = documents.job.firm.logo.as_ref();
        let logo = named.and_then(|name| inputs.files.iter().find(|f| f.name == *name));
        // Nothing but a picture of these kinds becomes a part of the page.
        let picture = |text: &&str| {
            text.starts_with("data:image/png;base64,") || text.starts_with("data:image/jpeg;base64,")
        };
        let logo = logo.map(|f| f.text.as_str()).filter(picture).map(str::to_owned);
        let place = &mut documents.job.place;
        place.summer = place.time_zone.as_ref().and_then(|name| zone::summer(name, &sink));
        let altitude_m = documents.job.place.altitude_m.unwrap_or(0.0);
        let series = read_series(&documents, &inputs.files, &sink);
        let weather = read_weather(&documents, &inputs.files, &sink);
        let zone_name = documents.job.place.time_zone.as_ref();
        if let Some((name, weather)) = zone_name.zip(weather.as_ref()) {
            zone::check_weather(name, weather.utc_offset_h, &sink);
        }
        let observe = |h: &House| {
            let worked = field::for_fit(&documents, h, weather.as_ref(), &series);
            let of_now = |visit: usize| visit >= now_from;
            let result =
                |visit: usize, test: usize| worked.get(visit).filter(|_| of_now(visit))?.get(test)?.clone();
            collect_with(h, &now(&documents.visits, now_from), altitude_m, &result, &sink)
        };
        let observations = house.as_ref().map(observe).unwrap_or_default();
        // Results of an earlier visit say nothing of the house as it is now.
        let last = documents.visits.last();
        let screens = safety::screens(&documents, house.as_ref(), &series);
        let mut combustion = last.and_then(|visit| safety::combustion(visit, house.as_ref(), &series));
        // A stop of the hazard screen is one for the gate too: no word stands against it.
        if let Some(combustion) = &mut combustion {
            combustion.stopped |= screens.last().is_some_and(Screen::is_stop);
        }
        if let Some(visit) = last {
            check_look(visit, combustion.as_ref(), &sink);
        }
        let record = house.as_ref().zip(combustion.as_ref()).map(|(h, combustion)| {
            check_combustion(h, combustion, &sink);
            let repeat_owed = engine::safety::repeats(&documents.visits, Some(h)).is_owed();
            Record { repeat_owed, ..gate::record(h, combustion) }
        });
        if let Some(h) = &house {
            check_complaints(h, &documents, &sink);
        }
        check_currency(&documents, &sink);
        let rules = documents.house.as_ref().map(|text| {
            let signals = Signals::of_house(text, &documents.plans);
            rule::compile(&documents.rules, text, signals, &sink)
        });
        let planned = house
            .as_ref()
            .map(|h| {
                plan::resolve(
                    &documents.plans,
                    &documents.job.prices,
                    h,
                    rules.as_ref(),
                    record.as_ref(),
                    &sink,
                )
            })
            .unwrap_or_default();
        let searches =
            house.as_ref().map(|h| searches(&documents, h, rules.as_ref(), &sink)).unwrap_or_default();
        let commands = match (&documents.house, &rules) {
            (Some(text), Some(set)) => rule::authorities(&documents.rules, set, text, &sink),
            _ => (Vec::new(), Vec::new()),
        };
        let mut job = Job {
            documents,
            house,
            weather,
            combustion,
            record,
            screens,
            observations,
            series,
            planned,
            searches,
            rules,
            commands,
            inputs_hash: hash(&inputs.files),
            logo,
            pictures: Vec::new(),
            sink,
        };
        job.bring_pictures(&inputs.files);
        job.check_safety();
        job
    }

    /// Whether the house file and the readings can be computed with.
    pub fn is_sound(&self) -> bool {
        !self.sink.borrow().list.iter().any(|d| {
            d.severity == engine::diag::Severity::Error
                && d.spans.first().is_none_or(|s| s.file == "house.toml" || s.file == "job.toml")
        })
    }

    /// The words of the job.
    pub fn words(&self) -> Words {
        let job = &self.documents.job;
        let language = Language::from_tag(&job.language).unwrap_or(Language::En);
        let words = Words::new(language, job.units);
        match &job.place.currency {
            Some(c) if c != "USD" => words.with_currency(c),
            _ => words,
        }
    }

    /// Display units.
    pub fn units(&self) -> System {
        self.documents.job.units
    }

    /// Everything found so far, in the order of the files.
    pub fn take_diagnostics(&mut self) -> Diagnostics {
        std::mem::take(&mut *self.sink.borrow_mut()).sorted()
    }

    pub(crate) fn sink(&self) -> &Sink {
        &self.sink
    }

    pub(crate) fn say(&self, diagnostic: Diagnostic) {
        self.sink.borrow_mut().push(diagnostic);
    }

    pub(crate) fn no_house(&self) {
        self.say(Diagnostic::error(code::J102).at(Span::new("house.toml", 0..0)));
    }

    /// Every test of every visit.
    pub fn results(&self) -> Vec<TestResult> {
        let mut results = Vec::new();
        for visit in &self.documents.visits {
            for test in &visit.tests {
                results.extend(self.result_of(test, visit, &self.sink));
            }
        }
        if self.documents.visits.is_empty() {
            self.say(Diagnostic::warning(code::J103));
        }
        results
    }

    /// Visits are there and none has a test: whoever asked for results would see nothing at all.
    pub(crate) fn say_where_nothing_is_tested(&self) {
        let visits = &self.documents.visits;
        // A test that could not be read was reported.
        let broken = self.sink.borrow().has_errors();
        if !visits.is_empty() && !broken && visits.iter().all(|v| v.tests.is_empty() && v.field.is_empty()) {
            self.say(Diagnostic::warning(code::J110));
        }
    }

    /// One envelope test, worked; what is wrong goes to `sink`.
    pub(crate) fn result_of(&self, test: &EnvelopeTest, visit: &Visit, sink: &Sink) -> Option<TestResult> {
        let worked = envelope::work(test, visit, &self.documents.job, self.house.as_ref(), sink);
        worked.map(|(result, comparison)| TestResult {
            visit: visit.folder.clone(),
            result,
            comparison,
            prepared: test.prepared.iter().map(|(k, v)| (k.value.clone(), v.value.clone())).collect(),
            instruments: identities(test, visit),
            method: test.method.clone(),
            confirmed: test.confirmed.clone(),
        })
    }

    /// Every test of another kind; `envelope` are the worked envelope tests.
    pub fn field(&self, envelope: &[TestResult]) -> Vec<FieldResult> {
        let mut results: Vec<FieldResult> = Vec::new();
        for visit in &self.documents.visits {
            for test in &visit.field {
                let around = Around {
                    visit,
                    job: &self.documents.job,
                    house: self.house.as_ref(),
                    envelope,
                    before: &results,
                    weather: self.weather.as_ref(),
                    series: &self.series,
                    sink: &self.sink,
                };
                let worked = field::work(test, &around);
                results.extend(worked);
            }
        }
        results
    }

    /// A failed check, a verdict against, a held plan or a misfit.
    pub fn needs_attention(&self, data: &Data) -> bool {
        let checks = data.results.iter().any(|r| r.result.all_checks().any(|c| c.verdict == Verdict::Fail));
        let field = data.field.iter().any(|f| f.worked.fails());
        let misfit = data.fit.as_ref().is_some_and(|f| !f.fits_as_drawn());
        checks || field || misfit
    }
}

fn searches(documents: &Documents, house: &House, rules: Option<&Set>, sink: &Sink) -> Vec<Searched> {
    let text = engine::doc::plans::Plans {
        plans: documents.plans.clone(),
        searches: documents.searches.clone(),
        events: Vec::new(),
    };
    plan::resolve_searches(&text, &documents.job.prices, house, rules, sink)
}

/// From which visit on readings tell of the house as it is now: the last test-out, or the first visit.
/// A house file in the folder of that test-out is the house after the work.
fn after_work(documents: &mut Documents, files: &[File], sink: &Sink) -> usize {
    let Some(at) = documents.visits.iter().rposition(|v| v.test_out.is_some()) else { return 0 };
    let visit = &documents.visits[at];
    if let Some(file) = files.iter().find(|f| f.name == format!("{}/house.toml", visit.folder)) {
        documents.house = Some(engine::doc::house::read(file, sink));
    }
    let earlier: Vec<&str> =
        documents.visits[..at].iter().map(|v| v.folder.trim_start_matches("visits/")).collect();
    if let (Some(out), false) = (&visit.test_out, earlier.is_empty()) {
        sink.borrow_mut().push(
            Diagnostic::note(code::N106)
                .at(out.span.clone())
                .arg("visits", earlier.join(", "))
                .arg("after", visit.folder.trim_start_matches("visits/")),
        );
    }
    at
}

/// The visits for the fit: those before `from` without what was read, so that each keeps its place.
fn now(visits: &[Visit], from: usize) -> std::borrow::Cow<'_, [Visit]> {
    if from == 0 {
        return visits.into();
    }
    let mut all = visits.to_vec();
    for visit in &mut all[..from] {
        visit.tests.clear();
        visit.field.clear();
        visit.readings.clear();
    }
    all.into()
}

/// What identifies the instruments of a test over several visits.
fn identities(test: &EnvelopeTest, visit: &Visit) -> Vec<String> {
    let names = test.pressure_with.iter().chain(&test.flow_with);
    let identity = |name: &Sp<String>| {
        let serial =
            visit.instruments.iter().find(|i| i.name.value == name.value).and_then(|i| i.serial.clone());
        serial.unwrap_or_else(|| format!("{}/{}", visit.folder, name.value))
    };
    names.map(identity).collect()
}

/// The series in the folders of visits that have field tests.
fn read_series(documents: &Documents, files: &[File], sink: &Sink) -> Vec<Series> {
    let folders = documents.visits.iter().filter(|v| !v.field.is_empty()).map(|v| v.folder.as_str());
    let folders: Vec<&str> = folders.collect();
    let beside = |f: &&File| {
        f.name.ends_with(".csv")
            && f.name.rsplit_once('/').is_some_and(|(folder, _)| folders.contains(&folder))
    };
    files.iter().filter(beside).filter_map(|f| series::read(f, sink)).collect()
}

fn read_weather(documents: &Documents, files: &[File], sink: &Sink) -> Option<Weather> {
    let name = documents.job.place.weather.as_ref()?;
    let Some(file) = files.iter().find(|f| f.name == name.value) else {
        sink.borrow_mut()
            .push(Diagnostic::error(code::J105).at(name.span.clone()).arg("file", name.value.as_str()));
        return None;
    };
    let (weather, found) = weather::read(&file.name, &file.text);
    sink.borrow_mut().append(found);
    let mut weather = weather?;
    if let Some(name) = &documents.job.place.particles {
        let Some(file) = files.iter().find(|f| f.name == name.value) else {
            sink.borrow_mut()
                .push(Diagnostic::error(code::J105).at(name.span.clone()).arg("file", name.value.as_str()));
            return None;
        };
        let (particles, found) = weather::read_particles(&file.name, &file.text, weather.utc_offset_h);
        sink.borrow_mut().append(found);
        weather.pm25_kg_m3 = particles?;
    }
    Some(weather)
}

/// SHA-256 over names and texts of all input files, in the order of their names.
pub(crate) fn hash(files: &[File]) -> String {
    // What is derived is no input.
    let input = |f: &&File| {
        let apart = f.name.starts_with("out/") || f.name.starts_with("attachments/");
        !apart && !f.text.starts_with("data:image/")
    };
    let mut sorted: Vec<&File> = files.iter().filter(input).collect();
    sorted.sort_by(|a, b| a.name.cmp(&b.name));
    let mut sum = Sha256::new();
    for file in sorted {
        sum.update(file.name.as_bytes());
        sum.update([0]);
        sum.update(file.text.as_bytes());
        sum.update([0]);
    }
    sum.finalize().iter().take(8).map(|b| format!("{b:02x}")).collect()
}
