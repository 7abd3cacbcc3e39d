//! The hazard screen of one visit: what was looked at, what was not, and what follows.

use super::rules::{Bars, Outcome, RULES, Rule, Who, before_drawing};
use crate::doc::field::Asked;
use crate::doc::field::combustion_zone::{Ambient, CombustionZone};
use crate::doc::house::{Draft, ZoneKind};
use crate::doc::screen::{Agreed, Found, ITEMS, Item, Look};
use crate::doc::visit::{Combustion, Visit};
use crate::doc::{Sink, Sp};
use crate::house::House;
use crate::next::Forbids;
use crate::procedure::combustion::{Action, Levels, PROTOCOLS, Published, protocol, reached};
use crate::procedure::source::{COMMON_PRACTICE, FROM_MEMORY};
use serde::Serialize;

/// Share of the lower explosive limit at which everybody leaves: the lower of the levels in use, as the
/// gate takes it.
const GAS_LEAVE: f64 = 0.10;

/// Where it is known from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum KnownFrom {
    /// `[hazards]`.
    Look,
    /// `[combustion]`.
    Combustion,
    /// A combustion test of the visit.
    Test,
    /// The year the house was built.
    Age,
    /// `house.toml`.
    House,
}

/// What was looked at.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Seen {
    /// At what.
    pub item: Item,
    /// What was found.
    pub found: Found,
    /// Where it is known from.
    pub from: KnownFrom,
    /// Who looked.
    pub looked_by: Option<String>,
    /// Where.
    pub place: Option<String>,
    /// Zone of the house, by name.
    pub zone: Option<String>,
    /// When.
    pub time: Option<String>,
    /// Photos.
    pub photos: Vec<String>,
    /// Anything else.
    pub note: Option<String>,
    /// The highest carbon monoxide, volume fraction.
    pub highest: Option<f64>,
    /// Gas, as a share of the lower explosive limit.
    pub lel: Option<f64>,
    /// Visible mould, m2.
    pub area_m2: Option<f64>,
}

/// What a look lacks.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Lack {
    /// Nobody looked.
    NotLooked,
    /// Nobody put a name to it.
    NoName,
    /// Carbon monoxide that nobody read.
    NoReading,
}

/// What has not been looked at yet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Missing {
    /// What.
    pub item: Item,
    /// What it lacks.
    pub lack: Lack,
    /// Whether nothing may be drawn down before it.
    pub before_drawing: bool,
}

/// How sure the rule's own source is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Mark {
    /// Read in the text cited.
    Read,
    /// Recalled.
    FromMemory,
    /// Common practice, no source.
    CommonPractice,
}

impl Mark {
    fn of(source: &str) -> Mark {
        match source {
            FROM_MEMORY => Mark::FromMemory,
            COMMON_PRACTICE => Mark::CommonPractice,
            _ => Mark::Read,
        }
    }
}

/// Why the procedure changes, or why the work stops.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Reason {
    /// Name of the rule: `screen-rule-...` in the catalogues.
    pub rule: &'static str,
    /// What it is about.
    pub item: Item,
    /// What it comes to.
    pub outcome: Outcome,
    /// What it forbids, a word that lifts it considered.
    pub bars: Bars,
    /// The word that lifts what it would forbid.
    pub agreed: Option<Agreed>,
    /// Whether a word would lift it.
    pub until_agreed: bool,
    /// Who must act.
    pub who: Who,
    /// Where the rule stands: an id of [`crate::procedure::source`].
    pub source: &'static str,
    /// How sure that is.
    pub mark: Mark,
    /// Zone of the house, by name.
    pub zone: Option<String>,
    /// The reading, volume fraction or share, where a level was reached.
    pub measured: Option<f64>,
    /// The level, on the same scale.
    pub level: Option<f64>,
}

/// The screen of one visit.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Screen {
    /// Folder of the visit.
    pub visit: String,
    /// Its date.
    pub date: String,
    /// Whether the visit has a `[hazards]` table in its long form, with who looked.
    pub begun: bool,
    /// What it comes to.
    pub outcome: Outcome,
    /// Why, stops first.
    pub reasons: Vec<Reason>,
    /// What was looked at, in order.
    pub seen: Vec<Seen>,
    /// What has not been looked at, in order.
    pub missing: Vec<Missing>,
    /// Who agreed to what.
    pub agreed: Vec<Agreed>,
}

/// What a screen is made of.
pub struct Around<'a> {
    /// The house, where there is one.
    pub house: Option<&'a House>,
    /// Combustion results of this visit.
    pub combustion: Option<&'a Combustion>,
    /// The year it was built.
    pub year_built: Option<usize>,
    /// Houses built before this year may have lead paint.
    pub lead_before: Option<usize>,
    /// Carbon monoxide of a room in a combustion test, volume fraction.
    pub samples: &'a dyn Fn(&Ambient) -> Vec<f64>,
}

impl std::fmt::Debug for Around<'_> {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Around").field("combustion", &self.combustion).finish_non_exhaustive()
    }
}

/// Puts the screen of a visit together. Results of combustion tests and the look for fuel are joined, so
/// that nothing is asked twice.
pub fn screen(visit: &Visit, around: &Around<'_>) -> Screen {
    let care = &visit.care;
    let mut seen: Vec<Seen> = Vec::new();
    let mut missing: Vec<Missing> = Vec::new();
    for (_, item) in ITEMS {
        let one = known(*item, visit, around);
        let lack = match &one {
            None => Some(Lack::NotLooked),
            // What was seen counts whoever saw it; that nothing was seen needs a name.
            Some(s) if s.found == Found::NoneSeen && s.from == KnownFrom::Look && s.looked_by.is_none() => {
                Some(Lack::NoName)
            }
            Some(s) if *item == Item::AmbientCo && s.found == Found::NoneSeen && s.highest.is_none() => {
                Some(Lack::NoReading)
            }
            Some(_) => None,
        };
        let drawing = before_drawing(*item);
        missing.extend(lack.map(|lack| Missing { item: *item, lack, before_drawing: drawing }));
        seen.extend(one);
    }
    let mut reasons: Vec<Reason> = Vec::new();
    for one in &seen {
        let matching = RULES.iter().filter(|r| r.item == one.item && r.found.contains(&one.found));
        reasons.extend(matching.map(|r| follows(r, one, &care.agreed)));
        reasons.extend(level(one, care.hazards.get(one.item)));
    }
    if around.combustion.is_some_and(|c| c.stopped) {
        let (source, item) = (COMMON_PRACTICE, Item::AmbientCo);
        reasons.push(plain(
            "combustion-stopped",
            item,
            Outcome::Stop,
            Bars::Everything,
            Who::GasUtility,
            source,
        ));
    }
    reasons.sort_by_key(|r| r.outcome != Outcome::Stop);
    let outcome = match (reasons.first().map(|r| r.outcome), missing.is_empty()) {
        (Some(Outcome::Stop), _) => Outcome::Stop,
        (_, false) => Outcome::Unfinished,
        (Some(_), true) => Outcome::Changed,
        (None, true) => Outcome::Go,
    };
    Screen {
        visit: visit.folder.clone(),
        date: visit.date.clone(),
        begun: care.hazards.begun,
        outcome,
        reasons,
        seen,
        missing,
        agreed: care.agreed.clone(),
    }
}

/// What is known of an item, from wherever it is known.
fn known(item: Item, visit: &Visit, around: &Around<'_>) -> Option<Seen> {
    let look = visit.care.hazards.get(item).map(of_look);
    let bare = |found, from| Seen {
        item,
        found,
        from,
        looked_by: None,
        place: None,
        zone: None,
        time: None,
        photos: Vec::new(),
        note: None,
        highest: None,
        lel: None,
        area_m2: None,
    };
    match item {
        Item::Fuel => {
            let c = around.combustion.filter(|c| c.looked_by.is_some() && c.looked_where.is_some())?;
            let found = if c.fuel_present { Found::Present } else { Found::NoneSeen };
            let text = |w: &Option<Sp<String>>| w.as_ref().map(|w| w.value.clone());
            let (looked_by, place) = (text(&c.looked_by), text(&c.looked_where));
            Some(Seen { looked_by, place, ..bare(found, KnownFrom::Combustion) })
        }
        Item::AmbientCo => {
            let read = tests(visit).flat_map(|t| &t.ambient).flat_map(|a| (around.samples)(a));
            let highest = read.fold(None, |sum: Option<f64>, v| Some(sum.map_or(v, |s| s.max(v))));
            match look {
                // The tests' samples and the doorstep's are one air.
                Some(s) => {
                    let both = [s.highest, highest].into_iter().flatten().reduce(f64::max);
                    Some(Seen { highest: both, ..s })
                }
                None => highest.map(|h| Seen { highest: Some(h), ..bare(Found::NoneSeen, KnownFrom::Test) }),
            }
        }
        Item::Gas => look.or_else(|| {
            let looks: Vec<_> = tests(visit).flat_map(|t| &t.gas).collect();
            let leak = looks.iter().any(|g| g.leak);
            let found = if leak { Found::Present } else { Found::NoneSeen };
            let lel = looks.iter().filter_map(|g| g.lel).reduce(f64::max);
            (!looks.is_empty()).then(|| Seen { lel, ..bare(found, KnownFrom::Test) })
        }),
        Item::Unvented => {
            let has = around.house.is_some_and(|h| h.appliances.iter().any(|a| a.draft == Draft::Unvented));
            match look {
                Some(s) if s.found != Found::NoneSeen || !has => Some(s),
                _ => has.then(|| bare(Found::Present, KnownFrom::House)),
            }
        }
        Item::Lead => look.or_else(|| {
            let (built, before) = (around.year_built?, around.lead_before?);
            let found = if built < before { Found::Suspect } else { Found::NoneSeen };
            Some(bare(found, KnownFrom::Age))
        }),
        _ => look,
    }
}

fn of_look(look: &Look) -> Seen {
    Seen {
        item: look.item,
        found: look.found,
        from: KnownFrom::Look,
        looked_by: look.looked_by.clone(),
        place: look.place.clone(),
        zone: look.zone.as_ref().map(|z| z.value.clone()),
        time: look.time.clone(),
        photos: look.photos.iter().map(|p| p.value.clone()).collect(),
        note: look.note.clone(),
        highest: look.highest.as_ref().map(|h| h.value),
        lel: look.lel,
        area_m2: look.area_m2,
    }
}

fn tests(visit: &Visit) -> impl Iterator<Item = &CombustionZone> {
    visit.field.iter().filter_map(|t| match &t.asked {
        Asked::CombustionZone(test) => Some(test.as_ref()),
        _ => None,
    })
}

fn plain(
    rule: &'static str,
    item: Item,
    outcome: Outcome,
    bars: Bars,
    who: Who,
    source: &'static str,
) -> Reason {
    Reason {
        rule,
        item,
        outcome,
        bars,
        agreed: None,
        until_agreed: false,
        who,
        source,
        mark: Mark::of(source),
        zone: None,
        measured: None,
        level: None,
    }
}

fn follows(rule: &Rule, seen: &Seen, agreed: &[Agreed]) -> Reason {
    let word = agreed.iter().find(|a| rule.until_agreed && a.about == Some(rule.item));
    let bars = if word.is_some() { Bars::Nothing } else { rule.bars };
    Reason {
        agreed: word.cloned(),
        until_agreed: rule.until_agreed,
        zone: seen.zone.clone(),
        ..plain(rule.id, rule.item, rule.outcome, bars, rule.who, rule.source)
    }
}

/// Carbon monoxide and gas against their levels: a number counts whatever the word beside it says.
fn level(seen: &Seen, look: Option<&Look>) -> Option<Reason> {
    let against = |reason: Reason, value: f64, level: f64| Reason {
        measured: Some(value),
        level: Some(level),
        ..reason
    };
    if let Some(lel) = seen.lel.filter(|l| *l >= GAS_LEAVE) {
        let (stop, all, who) = (Outcome::Stop, Bars::Everything, Who::GasUtility);
        return Some(against(plain("gas-level", Item::Gas, stop, all, who, COMMON_PRACTICE), lel, GAS_LEAVE));
    }
    let highest = seen.highest?;
    let chosen = look.and_then(|l| l.protocol).and_then(protocol).map(|p| p.levels);
    let levels = chosen.filter(|l| l.stop.is_some()).unwrap_or_else(lowest);
    let worst = reached(&[highest], &levels).pop()?;
    let (rule, outcome, bars, who) = match worst.action {
        // A level that nobody read in its text tells, and forbids nothing by itself.
        Action::Tell if !worst.level.seen => {
            ("co-tell", Outcome::Changed, Bars::Nothing, Who::HeatingContractor)
        }
        Action::Tell => ("co-tell", Outcome::Changed, Bars::DrawingDown, Who::HeatingContractor),
        Action::Stop => ("co-stop", Outcome::Stop, Bars::Everything, Who::HeatingContractor),
        Action::Leave => ("co-leave", Outcome::Stop, Bars::Everything, Who::Emergency),
    };
    let source = worst.level.source;
    Some(against(plain(rule, Item::AmbientCo, outcome, bars, who, source), highest, worst.level.si))
}

/// The lowest levels that were read in a text, whoever's they are: for a reading without a protocol.
fn lowest() -> Levels {
    let of = |level: fn(&Levels) -> Option<Published>| {
        let read = PROTOCOLS.iter().filter_map(|p| level(&p.levels)).filter(|l| l.seen);
        read.reduce(|a, b| if b.si < a.si { b } else { a })
    };
    Levels { tell: of(|l| l.tell), stop: of(|l| l.stop), leave: of(|l| l.leave) }
}

impl Screen {
    /// Whether the work ends until somebody acted.
    pub fn is_stop(&self) -> bool {
        self.outcome == Outcome::Stop
    }

    /// What is known of an item.
    pub fn of(&self, item: Item) -> Option<&Seen> {
        self.seen.iter().find(|s| s.item == item)
    }

    /// Reasons that forbid this much or more.
    pub fn barring(&self, least: Bars) -> impl Iterator<Item = &Reason> {
        self.reasons.iter().filter(move |r| r.bars >= least)
    }

    /// Why nothing may be drawn down now, as the advice on readings takes it. Fuel is the gate's
    /// question and not among them.
    pub fn forbids(&self) -> Vec<Forbids> {
        let mut out = Vec::new();
        let mut add = |f: Forbids| {
            if !out.contains(&f) {
                out.push(f);
            }
        };
        for reason in self.barring(Bars::Entering) {
            add(match (reason.bars, reason.item) {
                (Bars::Everything, _) => Forbids::Stop,
                (Bars::Entering, _) => Forbids::KeepOut,
                (_, Item::Embers) => Forbids::Embers,
                (_, Item::Asbestos) => Forbids::Asbestos,
                _ => Forbids::Screen,
            });
        }
        if self.unlooked().next().is_some() {
            add(Forbids::NotLooked);
        }
        out
    }

    /// Everything that stands against drawing air down: seen, or not looked at.
    pub fn against_drawing(&self) -> Vec<Item> {
        let mut items: Vec<Item> = self.barring(Bars::DrawingDown).map(|r| r.item).collect();
        items.extend(self.unlooked().map(|m| m.item));
        items.sort_unstable();
        items.dedup();
        items
    }

    /// What has to be looked at before anything is drawn down, fuel left to the gate.
    pub fn unlooked(&self) -> impl Iterator<Item = &Missing> {
        self.missing.iter().filter(|m| m.before_drawing && m.item != Item::Fuel)
    }

    /// Zones to keep out of. Where none is named: those nobody lives in, attics alone for vermiculite.
    pub fn keep_out(&self, house: &House) -> Vec<usize> {
        let mut zones = Vec::new();
        for reason in self.reasons.iter().filter(|r| r.bars == Bars::Entering) {
            match reason.zone.as_ref().and_then(|z| house.zone(z)) {
                Some(zone) => zones.push(zone),
                None => zones.extend(house.zones.iter().enumerate().filter_map(|(z, zone)| {
                    let attic = zone.kind == ZoneKind::Attic;
                    let below = zone.kind == ZoneKind::Crawl && reason.item != Item::Asbestos;
                    (attic || below).then_some(z)
                })),
            }
        }
        zones.sort_unstable();
        zones.dedup();
        zones
    }
}

/// Carries stops from visit to visit, oldest first: a stop holds until what stopped is looked at anew.
pub fn carry(screens: &mut [Screen]) {
    let mut stops: Vec<Reason> = Vec::new();
    for screen in screens {
        stops.retain(|s| screen.of(s.item).is_none());
        // One that was found again is there already.
        let mut reasons: Vec<Reason> =
            stops.iter().filter(|s| screen.reasons.iter().all(|r| r.rule != s.rule)).cloned().collect();
        if !reasons.is_empty() {
            screen.outcome = Outcome::Stop;
            reasons.append(&mut screen.reasons);
            screen.reasons = reasons;
        }
        stops = screen.reasons.iter().filter(|r| r.outcome == Outcome::Stop).cloned().collect();
    }
}

/// Zones that the house does not have.
pub fn check(visit: &Visit, house: &House, sink: &Sink) {
    for zone in visit.care.hazards.looks.iter().filter_map(|l| l.zone.as_ref()) {
        if house.zone(&zone.value).is_none() {
            let known = house.zones.iter().map(|z| z.name.as_str());
            sink.borrow_mut().push(zone.unknown("zone", known));
        }
    }
}
