//! The safety of a visit: the hazard screen, tests against it, the combustion guide, repeats owed, what
//! has to be put back.

use crate::{Job, field};
use engine::diag::{Diagnostic, code};
use engine::doc::Documents;
use engine::doc::field::combustion_zone::Ambient;
use engine::doc::series::Series;
use engine::doc::visit::{Combustion, Visit};
use engine::fit::Fit;
use engine::house::House;
use engine::procedure::combustion;
use engine::safety::{
    self, Around, Expected, Flag, Guide, Outcome, Prepared, Repeats, Restore, Screen, Weather,
};
use report::words::{Language, Words};
use serde::Serialize;

/// Answer to [`crate::Request::Safety`].
#[derive(Debug, Serialize)]
pub struct Safety {
    /// The hazard screen of the last visit.
    pub screen: Option<Screen>,
    /// Tests and readings of all visits that were taken against the screen of their day.
    pub flags: Vec<Flag>,
    /// Combustion, an entry an appliance, from the last visit.
    pub guides: Vec<Guide>,
    /// Combustion to be tested again after work.
    pub repeats: Repeats,
    /// What each visit disturbed and what of it was put back; visits that disturbed nothing are left out.
    pub restore: Vec<Restore>,
}

impl Safety {
    /// Whether there is a visit to speak of.
    pub(crate) fn has_visit(&self) -> bool {
        self.screen.is_some()
    }

    /// Whether somebody keeps these records, or something is the matter: a single test of a job that does
    /// not keep them stays without.
    pub(crate) fn is_kept(&self) -> bool {
        self.screen.as_ref().is_some_and(|s| s.begun || s.is_stop())
            || !self.flags.is_empty()
            || !self.repeats.days.is_empty()
            || self.restore.iter().any(|r| r.closed.is_some() || r.list.iter().any(|d| d.restored.is_some()))
    }

    /// Whether something wants somebody.
    pub(crate) fn wants_attention(&self) -> bool {
        self.screen.as_ref().is_none_or(|s| s.outcome >= Outcome::Unfinished)
            || !self.flags.is_empty()
            || self.repeats.is_owed()
            || self.restore.iter().any(|r| r.open().next().is_some())
    }
}

/// Combustion results of a visit: its table and its tests.
pub(crate) fn combustion(visit: &Visit, house: Option<&House>, series: &[Series]) -> Option<Combustion> {
    combustion::of_visit(visit, house, |room: &Ambient| field::samples(room, visit, series))
}

/// The screen of each visit.
pub(crate) fn screens(documents: &Documents, house: Option<&House>, series: &[Series]) -> Vec<Screen> {
    let one = |visit: &Visit| {
        let samples = |room: &Ambient| field::samples(room, visit, series);
        let results = combustion(visit, house, series);
        safety::screen(
            visit,
            &Around {
                house,
                combustion: results.as_ref(),
                year_built: documents.job.building.year_built,
                lead_before: documents.job.place.lead_paint_before,
                samples: &samples,
            },
        )
    };
    let mut screens: Vec<Screen> = documents.visits.iter().map(one).collect();
    safety::carry(&mut screens);
    screens
}

/// A line of preparation, in the words of the phone in whatever language, else in the tester's own.
fn prepared(what: &str, how: &str) -> Prepared {
    for language in Language::ALL {
        let words = Words::new(language, engine::units::System::Si);
        if let Some((disturbed, restored)) = crate::phone::preparation(what, how, &words) {
            return Prepared { disturbed, restored };
        }
    }
    safety::plain(how)
}

impl Job {
    /// The hazard screen of the last visit.
    pub fn screen(&self) -> Option<&Screen> {
        self.screens.last()
    }

    /// What each visit disturbed and what of it was put back.
    pub fn restore_lists(&self) -> Vec<Restore> {
        let house = self.house.as_ref();
        let all = self.documents.visits.iter().map(|v| safety::restore(v, house, &prepared));
        all.filter(|r| !r.list.is_empty()).collect()
    }

    /// Combustion to be tested again after work.
    pub fn repeats(&self) -> Repeats {
        safety::repeats(&self.documents.visits, self.house.as_ref())
    }

    /// Tests and readings that were taken against the screen of their day.
    pub fn flags(&self) -> Vec<Flag> {
        let visits = self.documents.visits.iter().zip(&self.screens);
        visits.flat_map(|(v, s)| safety::against(v, s, self.house.as_ref())).collect()
    }

    /// Says what the screens, the restore lists and the repeats have to say of the documents.
    pub(crate) fn check_safety(&self) {
        let house = self.house.as_ref();
        for visit in &self.documents.visits {
            if let Some(house) = house {
                safety::check(visit, house, self.sink());
            }
            safety::check_restored(visit, &safety::restore(visit, house, &prepared), self.sink());
        }
        for flag in self.flags() {
            self.say(flag.diagnostic());
        }
        if let Some((visit, screen)) = self.documents.visits.last().zip(self.screen()) {
            let own = screen.reasons.iter().filter(|r| r.outcome == Outcome::Stop);
            for look in own.filter_map(|r| visit.care.hazards.get(r.item)) {
                self.say(Diagnostic::warning(code::O104).at(look.span.clone()).arg("item", look.item.word()));
            }
        }
        for owed in self.repeats().diagnostics() {
            self.say(owed);
        }
    }

    /// The combustion guide of the last visit; with a fit it says which setup to expect the worst.
    pub fn guides(&self, fit: Option<&Fit>) -> Vec<Guide> {
        let Some(house) = &self.house else { return Vec::new() };
        let visit = self.documents.visits.last();
        let weather = self.weather_of(visit, house);
        let expected = |zone: usize| -> Option<Vec<Expected>> {
            let fit = fit.filter(|f| f.readings_used > 0)?;
            safety::expect(house, &fit.draws, zone, &weather)
        };
        safety::guides(visit, house, self.combustion.as_ref(), self.screen(), &expected)
    }

    /// Temperatures of a visit, with the usual ones where nobody noted any.
    fn weather_of(&self, visit: Option<&Visit>, house: &House) -> Weather {
        let c = visit.map(|v| v.conditions.clone()).unwrap_or_default();
        let (indoor_k, outdoor_k) = (c.indoor_k.unwrap_or(293.15), c.outdoor_k.unwrap_or(283.15));
        let zone_k = house.zones.iter().map(|z| {
            let noted = c.zones_k.iter().find(|(name, _)| name.value == z.name).map(|(_, k)| *k);
            noted.unwrap_or(if z.kind.is_indoors() { indoor_k } else { (indoor_k + outdoor_k) / 2.0 })
        });
        let altitude_m = self.documents.job.place.altitude_m.unwrap_or(0.0);
        Weather {
            zone_k: zone_k.collect(),
            outdoor_k,
            pressure_pa: c.pressure_pa.unwrap_or_else(|| engine::air::standard_pressure_pa(altitude_m)),
        }
    }

    /// Photos that are not among the files that the job holds.
    fn check_photos(&self, held: &[String]) {
        let stem = |name: &str| {
            let file = name.rsplit('/').next().unwrap_or(name);
            file.split('.').next().unwrap_or(file).to_owned()
        };
        for visit in &self.documents.visits {
            let looks = visit.care.hazards.looks.iter().flat_map(|l| &l.photos);
            for photo in looks.chain(visit.photos.iter().map(|p| &p.file)) {
                let name = photo.value.as_str();
                let beside = format!("{}/{name}", visit.folder);
                let is = |h: &String| *h == name || *h == beside || stem(h) == name;
                if !held.iter().any(is) {
                    self.say(Diagnostic::warning(code::O102).at(photo.span.clone()).arg("photo", name));
                }
            }
        }
    }

    /// Everything about the safety of the visits.
    pub(crate) fn safety(&self, fit: Option<&Fit>, attachments: Option<&[String]>) -> Safety {
        if let Some(held) = attachments {
            self.check_photos(held);
        }
        Safety {
            screen: self.screen().cloned(),
            flags: self.flags(),
            guides: self.guides(fit),
            repeats: self.repeats(),
            restore: self.restore_lists(),
        }
    }
}
