//! A job's plans lived through the year, and its rooms on the hardest days.

use super::Job;
use crate::{Listen, Progress, field};
use engine::diag::{Diagnostic, Span, code};
use engine::doc::plans::{Event, EventKind};
use engine::fit::Fit;
use engine::house::House;
use engine::plan::model::Surroundings;
use engine::plan::{self, Compared, RoomsDay};
use engine::units::Quantity;
use engine::weather::Weather;
use engine::year::Days;

/// Draws of the house that each plan is lived in.
const PLAN_DRAWS: usize = 24;
/// Draws of the house whose rooms are worked on the design days.
const ROOM_DRAWS: usize = 100;
/// Days that stand for the year while plans are compared: four a month.
const PLAN_DAYS: usize = 48;
/// Inner step of those years, s.
const PLAN_STEP_S: f64 = 900.0;

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

impl Job {
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
}
