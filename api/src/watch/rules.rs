//! The job's control rules over live readings: the machine of the year, stepped over what a store has kept.
//! It sets nothing; it says what it would have set.

use super::{Live, ahead_s};
use crate::open;
use crate::present;
use engine::doc::watch::OUTDOORS;
use engine::rule::{Set, spelled};
use engine::watch::signals::{Ear, Ruled, RuledMemory, RulesNow};
use engine::watch::{Clock, Field};
use report::words::Words;
use serde::{Deserialize, Serialize};

/// Time between two looks, ms.
const STEP_MS: i64 = super::RULES_MS;

/// A source that rules may read.
#[derive(Debug)]
struct Heard {
    /// Its name in `watch.toml`.
    source: String,
    /// Its name in rules.
    signal: String,
    /// Whether it speaks of changes only.
    changes_only: bool,
    ear: Ear,
}

/// What is remembered between two looks.
#[derive(Debug, Serialize, Deserialize)]
struct Memory {
    ruled: RuledMemory,
    ears: Vec<(String, Ear)>,
}

/// Rules at work over live readings.
#[derive(Debug)]
pub struct LiveRules {
    ruled: Ruled,
    heard: Vec<Heard>,
    clock: Clock,
    zone: Option<jiff::tz::TimeZone>,
    pressure_pa: f64,
    hash: String,
}

impl Live {
    /// The job's rules, all off; nothing where it has none that can be read.
    pub fn rules(&self) -> Option<LiveRules> {
        let set = self.job.rules.clone().filter(|s| !s.rules.is_empty())?;
        let heard = self.document.sources.iter().filter_map(|s| {
            let field = if s.word == "run_share" { Some(Field::On) } else { Field::named(s.word) };
            let field = field.filter(|f| f.quantity() == s.quantity || *f == Field::On)?;
            let place =
                if s.place.value == OUTDOORS { "outdoor".to_owned() } else { spelled(&s.place.value) };
            let (source, signal) = (s.name.value.clone(), format!("{place}.{}", field.name()));
            Some(Heard { source, signal, changes_only: field.drives(), ear: Ear::default() })
        });
        let fetched = self.sources().into_iter().filter(|s| s.name.starts_with("outdoor."));
        let fetched = fetched.map(|s| Heard {
            source: s.name.clone(),
            signal: format!("outdoor.{}", s.field.name()),
            changes_only: false,
            ear: Ear::default(),
        });
        let zone = self.zone();
        let weather = self.job.weather.as_ref();
        Some(LiveRules {
            heard: heard.chain(fetched).collect(),
            clock: Clock { ahead_s: ahead_s(zone.as_ref()) },
            zone,
            pressure_pa: weather
                .map_or(engine::air::STANDARD_PRESSURE_PA, engine::weather::Weather::mean_pressure_pa),
            hash: hash_of(&set),
            ruled: Ruled::new(set),
        })
    }
}

/// Over all that the rules hang on: other rules, or the same over another house, begin anew.
fn hash_of(set: &Set) -> String {
    let text = format!("{set:?}");
    open::hash(&[crate::File { name: "rules".to_owned(), text }])
}

impl LiveRules {
    /// Hash over the rules as they were understood.
    pub fn hash(&self) -> &str {
        &self.hash
    }

    /// Goes on from what was remembered of the same rules; false, and all rules off, where it cannot be read.
    pub fn resume(&mut self, body: &[u8]) -> bool {
        let Ok(memory) = serde_json::from_slice::<Memory>(body) else { return false };
        let Some(ruled) = Ruled::resumed(self.ruled.machine().set().clone(), memory.ruled) else {
            return false;
        };
        self.ruled = ruled;
        for heard in &mut self.heard {
            if let Some((_, ear)) = memory.ears.iter().find(|e| e.0 == heard.source) {
                heard.ear = *ear;
            }
        }
        true
    }

    /// What is remembered.
    pub fn remembered(&self) -> Vec<u8> {
        let ears = self.heard.iter().map(|h| (h.source.clone(), h.ear)).collect();
        serde_json::to_vec(&Memory { ruled: self.ruled.remembered(), ears }).unwrap_or_default()
    }

    /// Names of the sources that rules hear.
    pub fn sources(&self) -> impl Iterator<Item = &str> {
        self.heard.iter().map(|h| h.source.as_str())
    }

    /// Hears what came before the rules begin to look, so that it is known how often each source speaks; by the order of
    /// [`LiveRules::sources`], ms and SI, in the order of time.
    pub fn hear(&mut self, points: &[Vec<(i64, f64)>]) {
        for (heard, list) in self.heard.iter_mut().zip(points) {
            list.iter().for_each(|p| heard.ear.hear(p.0, p.1));
        }
    }

    /// Looks every five minutes of `(from_ms, to_ms]` at what was said until then.
    pub fn step(&mut self, points: &[Vec<(i64, f64)>], (from_ms, to_ms): (i64, i64)) {
        let mut at_ms = (from_ms.div_euclid(STEP_MS) + 1) * STEP_MS;
        let mut rest: Vec<_> = points.iter().map(|list| list.iter().peekable()).collect();
        while at_ms <= to_ms {
            for (heard, list) in self.heard.iter_mut().zip(&mut rest) {
                while let Some(point) = list.next_if(|p| p.0 <= at_ms) {
                    heard.ear.hear(point.0, point.1);
                }
            }
            let of_now = |h: &Heard| Some((h.signal.clone(), h.ear.heard(at_ms, h.changes_only)?));
            let now: Vec<(String, f64)> = self.heard.iter().filter_map(of_now).collect();
            self.ruled.step_heard(&now, self.clock, self.pressure_pa, at_ms);
            at_ms += STEP_MS;
        }
    }

    /// How rules and devices stand; nothing before the first look.
    pub fn now(&self) -> Option<RulesNow> {
        self.ruled.now()
    }

    /// The same in lines for people.
    pub fn lines(&self, words: &Words) -> Vec<String> {
        self.now().map(|now| present::watch::rule_lines(&now, self.zone.clone(), words)).unwrap_or_default()
    }
}
