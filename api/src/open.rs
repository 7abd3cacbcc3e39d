//! A job opened: documents read and checked, and the steps of the work on it.

use crate::field::{self, Around, FieldResult};
use crate::{Data, File, Inputs, Listen, Progress, envelope, safety, written, zone};
use engine::diag::{Diagnostic, Diagnostics, Span, code};
use engine::doc::plans::{Event, EventKind};
use engine::doc::series::{self, Series};
use engine::doc::visit::{Combustion, EnvelopeTest, Visit};
use engine::doc::{Documents, Sink, Sp, load};
use engine::fit::observe::{Observations, collect_with};
use engine::fit::problem::FitError;
use engine::fit::{self, Fit};
use engine::gate::{self, Record};
use engine::house::{self, House};
use engine::plan::model::Surroundings;
use engine::plan::{self, Compared, Planned, RoomsDay, Searched};
use engine::procedure::envelope::{Comparison, EnvelopeResult};
use engine::procedure::verdict::Verdict;
use engine::rule::{self, Command, Refusal, Set, Signals};
use engine::safety::Screen;
use engine::units::Quantity;
use engine::units::System;
use engine::weather::{self, Weather};
use engine::year::Days;
use report::words::{Language, Words};
use serde::Serialize;
use sha2::{Digest, Sha256};

/// Draws of the house that each plan is lived in.
const PLAN_DRAWS: usize = 24;
/// Draws of the house whose rooms are worked on the design days.
const ROOM_DRAWS: usize = 100;
/// Days that stand for the year while plans are compared: four a month.
const PLAN_DAYS: usize = 48;
/// Inner step of those years, s.
const PLAN_STEP_S: f64 = 900.0;
/// Numbers named in the warning on limits that rest on few draws.
const MOST_LOOSE: usize = 4;

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

    /// Fits the house; `robust` where the job does not ask for it itself.
    pub fn fit(&self, robust: bool, listen: &mut Listen<'_>, stopped: &mut bool) -> Option<Fit> {
        let house = self.house.as_ref()?;
        let options = fit::Options {
            seed: self.documents.job.seed,
            robust: robust || self.documents.job.robust_fit,
            ..fit::Options::default()
        };
        let mut hear = |p| match p {
            fit::Progress::Optimum(done) => {
                listen(Progress { what: "progress-fit", done, of: 0, leading: None })
            }
            fit::Progress::Draws(done, of) => {
                listen(Progress { what: "progress-fit", done, of, leading: None })
            }
        };
        match fit::fit(house, &self.observations, options, &mut hear) {
            Ok(fit) => {
                if !fit.draws_hold() {
                    self.say(Diagnostic::warning(code::F101).arg("k", fit.pareto_k));
                }
                self.loose_limits(&fit);
                // What was taken back is said by itself, unless more is left.
                if !fit.fits_as_drawn() && (fit.set_right.is_empty() || fit.set_right.noise_factor > 1.0) {
                    self.misfit(&fit);
                }
                self.strained(&fit);
                self.taken_back(&fit);
                Some(fit)
            }
            Err(FitError::Stopped) => {
                *stopped = true;
                None
            }
            Err(error) => {
                self.say(self.unfitted(&error));
                None
            }
        }
    }

    /// Why no fit was made, at the readings concerned.
    fn unfitted(&self, error: &FitError) -> Diagnostic {
        let (said, station) = match error {
            FitError::Backwards { station, .. } => (Diagnostic::error(code::F106), Some(*station)),
            FitError::Solve { station, .. } => {
                (Diagnostic::error(code::F103).arg("detail", error.to_string()), Some(*station))
            }
            _ => (Diagnostic::error(code::F103).arg("detail", error.to_string()), None),
        };
        let here = self.observations.list.iter().filter(|o| Some(o.station) == station);
        here.fold(said, |said, o| said.at(o.span.clone()))
    }

    /// Numbers whose limits rest on too few draws; nothing where no weight of the draws can be trusted,
    /// which says more.
    fn loose_limits(&self, fit: &Fit) {
        let loose = fit.loose_limits();
        let Some(worst) = loose.first().filter(|_| fit.draws_hold()) else { return };
        // What the house's file does not name has a name of the engine's own, which says nothing here.
        let label = |k: &fit::Known| k.label.clone();
        let mut names: Vec<String> = Vec::new();
        for name in loose.iter().map(|k| label(k)).filter(|n| !n.is_empty()) {
            if !names.contains(&name) && names.len() < MOST_LOOSE {
                names.push(name);
            }
        }
        self.say(
            Diagnostic::note(code::F117)
                .arg("names", names.join("; "))
                .arg("count", loose.len())
                .arg("of", fit.known.len())
                .arg("draws", worst.limits.draws_beyond.round())
                .arg("error", (100.0 * worst.limits.error_sd).round()),
        );
    }

    /// Says where no reading enters, and where what was written of a thing leaves no room for what the
    /// readings say of it.
    fn strained(&self, fit: &Fit) {
        if fit.readings_used == 0 {
            self.say(Diagnostic::warning(code::F104));
        }
        for s in &fit.strained {
            let quantity = s.prior.quantity;
            let (lo, hi) = s.prior.bounds().unwrap_or((s.prior.si, s.prior.si));
            let said = Diagnostic::warning(code::F105)
                .arg("name", s.label.as_str())
                .arg("lo", (lo, quantity))
                .arg("hi", (hi, quantity))
                .arg("found", (s.posterior.si, quantity))
                .arg("readings", s.readings.len());
            let spans = s.readings.iter().filter_map(|r| fit.readings.get(*r));
            self.say(spans.fold(said, |said, r| said.at(r.span.clone())));
        }
    }

    /// Names what was taken back before draws were made.
    fn taken_back(&self, fit: &Fit) {
        let right = &fit.set_right;
        for ((at, expected), slip) in right.set_aside.iter().zip(&right.expected).zip(&right.as_slip) {
            let Some(r) = fit.readings.get(*at) else { continue };
            let said = match slip {
                Some(slip) => Diagnostic::warning(code::F116).arg("slip", slip.id()),
                None => Diagnostic::warning(code::F107),
            };
            self.say(
                said.at(r.span.clone())
                    .arg("shown", (r.shown.si, r.shown.quantity))
                    .arg("expected", (*expected, r.expected.quantity)),
            );
        }
        for d in &right.doors {
            let open = if d.open { "yes" } else { "no" };
            self.say(Diagnostic::warning(code::F108).arg("door", d.door.as_str()).arg("open", open));
        }
    }

    fn misfit(&self, fit: &Fit) {
        let worst = fit.readings.iter().max_by(|a, b| a.z.abs().total_cmp(&b.z.abs()));
        let mut d = Diagnostic::warning(code::F102)
            .arg("chi_square", fit.chi_square)
            .arg("readings", fit.readings_used);
        if let Some(worst) = worst {
            d = d
                .at(worst.span.clone())
                .arg("shown", (worst.shown.si, worst.shown.quantity))
                .arg("expected", (worst.expected.si, worst.expected.quantity));
        }
        self.say(d);
    }

    /// Lives the plans through the year in these houses, for practice: nothing but the comparison.
    pub(crate) fn live(
        &self,
        draws: &[Vec<f64>],
        listen: &mut Listen<'_>,
        stopped: &mut bool,
    ) -> Option<Compared> {
        let (house, weather) = (self.house.as_ref()?, self.weather.as_ref()?);
        let scores = plan::score_list(house, &self.documents.job);
        let options = plan::Options {
            draws: draws.len(),
            days: Days::Picked(weather.stratified_days(PLAN_DAYS)),
            inner_step_s: PLAN_STEP_S,
            years_of_cost: self.documents.job.years_of_cost,
            seed: self.documents.job.seed,
            people: self.people(house),
            hourly: false,
        };
        let around = Surroundings { place: &self.documents.job.place, weather, rules: self.rules.as_ref() };
        let mut hear = |p: plan::Progress| {
            listen(Progress { what: "progress-plans", done: p.done, of: p.of, leading: p.leading })
        };
        match plan::compare(house, draws, &self.planned, &scores, around, &options, &mut hear) {
            Ok(compared) => Some(compared),
            Err(_) => {
                // Stopped by the listener, or a house that no network solves; the caller says which.
                *stopped =
                    listen(Progress { what: "progress-plans", done: 0, of: 0, leading: None }).is_break();
                None
            }
        }
    }

    /// Lives the plans through the year.
    pub(crate) fn plans(
        &self,
        fit: &Fit,
        asked: PlansAsked<'_>,
        listen: &mut Listen<'_>,
        stopped: &mut bool,
    ) -> Option<Compared> {
        let house = self.house.as_ref()?;
        if self.planned.is_empty() && self.searches.is_empty() {
            return None;
        }
        let Some(weather) = &self.weather else {
            if self.documents.job.place.weather.is_none() {
                self.say(Diagnostic::warning(code::J104).at(Span::new("job.toml", 0..0)));
            }
            return None;
        };
        let scores = plan::score_list(house, &self.documents.job);
        let PlansAsked { draws, every_day, hourly, event } = asked;
        let events = self.events(event);
        let options = plan::Options {
            draws: if draws == 0 { PLAN_DRAWS } else { draws },
            days: if every_day { Days::All } else { Days::Picked(weather.stratified_days(PLAN_DAYS)) },
            inner_step_s: PLAN_STEP_S,
            years_of_cost: self.documents.job.years_of_cost,
            seed: self.documents.job.seed,
            people: self.people(house),
            hourly,
        };
        let around = Surroundings { place: &self.documents.job.place, weather, rules: self.rules.as_ref() };
        let mut hear = |p: plan::Progress| {
            listen(Progress { what: "progress-plans", done: p.done, of: p.of, leading: p.leading })
        };
        let mut worked =
            plan::compare(house, &fit.draws, &self.planned, &scores, around, &options, &mut hear);
        if let Ok(compared) = &mut worked {
            self.bills(compared, house, weather);
        }
        if let Ok(compared) = &mut worked {
            for search in &self.searches {
                let record = self.record.as_ref();
                match plan::search(house, &fit.draws, search, &scores, (around, record), &options, &mut hear)
                {
                    Ok(found) => compared.searches.push(found),
                    Err(error) => {
                        worked = Err(error);
                        break;
                    }
                }
            }
        }
        if let Ok(compared) = &mut worked
            && !events.is_empty()
        {
            let mut hear = |p: plan::Progress| {
                listen(Progress { what: "progress-events", done: p.done, of: p.of, leading: None })
            };
            let limits = &self.documents.job.thresholds;
            let (plans, draws) = (&self.planned, &fit.draws);
            match plan::bad_days(&events, house, draws, plans, limits, around, &options, &mut hear) {
                Ok((lived, found)) => {
                    compared.events = lived;
                    compared.diagnostics.append(found);
                }
                Err(error) => worked = Err(error),
            }
        }
        match worked {
            Ok(compared) => {
                for d in &compared.diagnostics.list {
                    self.say(d.clone());
                }
                Some(compared)
            }
            Err(engine::year::YearError::Stopped { .. }) => {
                *stopped = true;
                None
            }
            Err(error) => {
                self.say(error.diagnostic());
                None
            }
        }
    }

    /// Sets the plans' energy against the bills, where the job has some.
    pub(crate) fn bills(&self, compared: &mut Compared, house: &House, weather: &Weather) {
        let fuels = field::billed_fuels(&self.documents, Some(house), Some(weather), &self.series);
        if fuels.is_empty() {
            return;
        }
        let meters: Vec<plan::Meter> = fuels.iter().map(plan::meter).collect();
        compared.billed = plan::billed(&compared.energy_parts, &meters);
        let Some(billed) = &compared.billed else {
            compared.diagnostics.push(Diagnostic::note(code::R150));
            return;
        };
        for part in billed.parts.iter().filter(|p| !p.agrees) {
            compared.diagnostics.push(
                Diagnostic::warning(code::R149)
                    .arg("part", if part.electricity { "electricity" } else { "burnt" })
                    .arg("model", (part.model.si, Quantity::Energy))
                    .arg("bills", (part.bills.si, Quantity::Energy))
                    .arg("ratio", part.ratio.si),
            );
        }
    }

    /// The event asked for, or all that are written.
    fn events(&self, asked: Option<&str>) -> Vec<Event> {
        let written = &self.documents.events;
        let Some(name) = asked else { return written.clone() };
        let plain = name.replace(['-', '_'], " ");
        let kind = EventKind::CHOICES.iter().find(|(word, _)| *word == plain).map(|(_, kind)| *kind);
        let found = written.iter().find(|e| e.name == name).cloned().or_else(|| kind.map(EventKind::usual));
        if found.is_none() {
            let names = written.iter().map(|e| e.name.as_str());
            let known: Vec<&str> = names.chain(EventKind::CHOICES.iter().map(|(word, _)| *word)).collect();
            self.say(
                Diagnostic::error(code::T011)
                    .arg("name", name)
                    .arg("kind", "event")
                    .arg("near", engine::text::closest(name, known.iter().copied()).unwrap_or(""))
                    .arg("known", known.join(", ")),
            );
        }
        found.into_iter().collect()
    }

    /// People that the steady ventilation rate is for: bedrooms and one, or those who live there where
    /// they are more.
    fn people(&self, house: &House) -> f64 {
        let bedrooms = self.documents.job.building.bedrooms.map_or(0.0, |b| b as f64);
        house.text.people.iter().map(|p| p.count).sum::<f64>().max(bedrooms + 1.0)
    }

    /// What each room needs on the design days against what its registers bring. What is missing for
    /// it is said where it was asked for by itself.
    pub fn rooms(&self, fit: &Fit, asked: bool) -> Vec<RoomsDay> {
        let Some(house) = &self.house else { return Vec::new() };
        if house.text.heating.is_none() && house.text.cooling.is_none() {
            if asked {
                self.say(Diagnostic::error(code::J120).at(Span::new("house.toml", 0..0)));
            }
            return Vec::new();
        }
        let Some(weather) = &self.weather else {
            if asked {
                self.say(Diagnostic::error(code::J121).at(Span::new("job.toml", 0..0)));
            }
            return Vec::new();
        };
        let around = Surroundings { place: &self.documents.job.place, weather, rules: self.rules.as_ref() };
        let count = ROOM_DRAWS.min(fit.draws.len());
        let picked: Vec<Vec<f64>> =
            (0..count).map(|i| fit.draws[i * fit.draws.len() / count].clone()).collect();
        plan::design_rooms(house, &picked, around, self.documents.job.seed).unwrap_or_else(|error| {
            self.say(error.diagnostic());
            Vec::new()
        })
    }

    /// A failed check, a verdict against, a held plan or a misfit.
    pub fn needs_attention(&self, data: &Data) -> bool {
        let checks = data.results.iter().any(|r| r.result.all_checks().any(|c| c.verdict == Verdict::Fail));
        let field = data.field.iter().any(|f| f.worked.fails());
        let misfit = data.fit.as_ref().is_some_and(|f| !f.fits_as_drawn());
        checks || field || misfit
    }
}

/// How the plans are to be lived.
#[derive(Clone, Copy, Debug, Default)]
pub(crate) struct PlansAsked<'a> {
    /// Draws; 0 for the usual number.
    pub(crate) draws: usize,
    /// Every day of the year.
    pub(crate) every_day: bool,
    /// Hourly means are kept.
    pub(crate) hourly: bool,
    /// One event; nothing for all that are written.
    pub(crate) event: Option<&'a str>,
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

/// One job counts in one currency: nothing here knows what one is worth in another.
fn check_currency(documents: &Documents, sink: &Sink) {
    let mut first = documents.job.place.currency.as_deref();
    let plans = documents.plans.iter().filter_map(|p| p.currency.as_ref());
    let prices = documents.job.prices.iter().filter_map(|p| p.currency.as_ref());
    for currency in prices.chain(plans) {
        let one = *first.get_or_insert(currency.value);
        if one != currency.value {
            sink.borrow_mut().push(
                Diagnostic::error(code::U009)
                    .at(currency.span.clone())
                    .arg("found", currency.value)
                    .arg("first", one),
            );
        }
    }
}

fn check_complaints(house: &House, documents: &Documents, sink: &Sink) {
    for name in &documents.job.named_zones {
        check_name(name, "zone", house.text.zones.iter().map(|z| z.name.value.as_str()), sink);
    }
    for gas in documents.job.complaints.iter().filter_map(|c| c.gas.as_ref()) {
        let known = house.text.machines.gases.iter().map(|g| g.name.value.as_str());
        check_name(gas, "gas", known, sink);
    }
}

/// Results of a test need a recorded look for fuel beside them, and one that found some.
fn check_look(visit: &Visit, combustion: Option<&Combustion>, sink: &Sink) {
    let Some(combustion) = combustion else { return };
    let code = match &visit.combustion {
        None => code::C102,
        Some(written) if !written.fuel_present && combustion.fuel_present => code::C103,
        Some(_) => return,
    };
    sink.borrow_mut().push(Diagnostic::warning(code).at(combustion.span.clone()));
}

fn check_combustion(house: &House, combustion: &Combustion, sink: &Sink) {
    let names = (combustion.spillage.iter().map(|s| &s.appliance))
        .chain(combustion.flue_co.iter().map(|c| &c.appliance));
    for name in names {
        check_name(name, "appliance", house.appliances.iter().map(|a| a.name.as_str()), sink);
    }
    if !combustion.fuel_present && !house.appliances.is_empty() {
        sink.borrow_mut().push(Diagnostic::error(code::V106).at(combustion.span.clone()));
    }
}

pub(crate) fn check_name<'n>(
    name: &Sp<String>,
    kind: &'static str,
    known: impl Iterator<Item = &'n str>,
    sink: &Sink,
) {
    let known: Vec<&str> = known.collect();
    if known.contains(&name.value.as_str()) {
        return;
    }
    sink.borrow_mut().push(
        Diagnostic::error(code::T011)
            .at(name.span.clone())
            .arg("name", name.value.as_str())
            .arg("kind", kind)
            .arg("near", engine::text::closest(&name.value, known.iter().copied()).unwrap_or(""))
            .arg("known", known.join(", ")),
    );
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
