//! Outdoor air of a whole dwelling: what a rule asks for, what infiltration takes off it, what the
//! measured fans deliver, and how a schedule compares with steady air.
//!
//! Rules are data ([`rates`]). What was not read in a citable text is shown and never decides. Not
//! covered: credit for filters (its numbers were not read), dwellings that share a system.

mod combine;
pub mod exposure;
pub mod rates;

pub use combine::{COMBINATIONS, Combination, combined_m3_s};

use super::field::{LEVEL, Limit, Note, Worked};
use super::source::FROM_MEMORY;
use crate::measure::{Estimate, NoInterval, propagate};
use crate::units::Quantity;
use exposure::{Air, Exposure};
use rates::{CreditRule, Dwelling, LocalRoom, Missing, Profile, Runs};
use serde::Serialize;

/// Fans whose flows differ by no more than this share of the larger are taken as balanced; common
/// practice, no source.
pub const BALANCE: f64 = 0.10;
/// Steps of a day's schedule: minutes.
const STEPS: usize = 1440;

/// Which way a fan moves air.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Way {
    /// Out of the house.
    Exhaust,
    /// Into the house.
    Supply,
    /// Both alike: a balanced unit.
    Both,
}

/// The words used in documents.
pub const WAYS: &[(&str, Way)] = &[("exhaust", Way::Exhaust), ("supply", Way::Supply), ("both", Way::Both)];

/// When a whole-house fan runs.
#[derive(Clone, Debug, PartialEq)]
pub enum Schedule {
    /// All the time.
    Always,
    /// From and to, s after midnight; past midnight where the second is smaller.
    Hours(Vec<(f64, f64)>),
    /// So long at the start of every cycle, s.
    Cycle {
        /// On, s.
        on_s: f64,
        /// Length of the cycle, s; it divides a day or is cut off by midnight.
        every_s: f64,
    },
}

impl Schedule {
    /// Share of the minute that starts at `from_s` in which it runs.
    fn share(&self, from_s: f64) -> f64 {
        let minute = 86400.0 / STEPS as f64;
        let overlap = |a: f64, b: f64| ((from_s + minute).min(b) - from_s.max(a)).max(0.0) / minute;
        match self {
            Schedule::Always => 1.0,
            Schedule::Hours(hours) => {
                let of = |(a, b): &(f64, f64)| match a < b {
                    true => overlap(*a, *b),
                    false => overlap(*a, 86400.0) + overlap(0.0, *b),
                };
                hours.iter().map(of).sum::<f64>().min(1.0)
            }
            Schedule::Cycle { on_s, every_s } => {
                let first = (from_s / every_s).floor() * every_s;
                overlap(first, first + on_s) + overlap(first + every_s, first + every_s + on_s)
            }
        }
    }
}

/// A fan that counts for the whole house.
#[derive(Clone, Debug, PartialEq)]
pub struct Fan {
    /// Its name.
    pub name: String,
    /// Flow while it runs, m3/s.
    pub flow: Estimate,
    /// What measured it; fans measured by one instrument share its error.
    pub with: Option<String>,
    /// Which way it moves air.
    pub way: Way,
    /// When it runs.
    pub schedule: Schedule,
}

/// A room with an exhaust of its own, or without one.
#[derive(Clone, Debug, PartialEq)]
pub struct Local {
    /// Its name.
    pub name: String,
    /// What it is.
    pub room: LocalRoom,
    /// Measured flow, m3/s; zero where there is none.
    pub flow: Estimate,
    /// When it runs.
    pub runs: Runs,
    /// Volume of an enclosed kitchen, m3.
    pub volume_m3: Option<f64>,
    /// Whether it has a window that opens.
    pub window: bool,
}

/// The weather and shielding factor of the place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WeatherFactor {
    /// The factor, about 0.3 to 1.
    pub value: f64,
    /// Whether the user read it in the standard's own table.
    pub confirmed: bool,
}

/// What is asked.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// The rule.
    pub profile: &'static Profile,
    /// The user's own rate, m3/s, and whether he has read it in his rule.
    pub own_rate: Option<(f64, bool)>,
    /// Where the own rate stands.
    pub own_source: Option<String>,
    /// Sizes.
    pub dwelling: Dwelling,
    /// True for a house that stood before; false for a new one.
    pub existing: bool,
    /// Normalised leakage of the envelope test.
    pub nl: Option<Estimate>,
    /// Flow at 50 Pa, m3/s, with the height over 2.5 m or the storeys, where there is no `nl`.
    pub flow50: Option<(Estimate, f64)>,
    /// Weather and shielding factor of the place.
    pub weather_factor: Option<WeatherFactor>,
    /// Infiltration of a model to use in its stead, m3/s.
    pub modelled: Option<Estimate>,
    /// Share of the envelope that faces outdoors: 1 for a detached house.
    pub exterior_share: f64,
    /// Fans that count for the whole house.
    pub fans: Vec<Fan>,
    /// Rooms with exhausts of their own.
    pub locals: Vec<Local>,
    /// What an openable window takes off a shortfall, m3/s; 0 for nothing.
    pub window_m3_s: f64,
    /// How infiltration adds to the fans.
    pub combination: Combination,
}

/// Where the infiltration comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum CreditFrom {
    /// The rule gives none.
    NotGiven,
    /// The rule's own way, from the envelope test and the place's factor.
    WeatherFactor,
    /// A model of infiltration, which the rule does not name.
    Model,
    /// Nobody told the place's factor.
    NoFactor,
    /// There is no envelope test.
    NoEnvelopeTest,
}

/// What a room's exhaust comes to.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LocalFound {
    /// Its name.
    pub name: String,
    /// Measured, m3/s.
    pub flow: Estimate,
    /// Least flow asked for, m3/s, where it can be told.
    pub wanted_m3_s: Option<f64>,
    /// Shortfall by the existing-dwelling path, m3/s.
    pub shortfall_m3_s: f64,
}

/// What follows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Ventilation {
    /// Id of the rule.
    pub profile: &'static str,
    /// Outdoor air in all by the rule, m3/s, before shortfalls.
    pub total_m3_s: f64,
    /// Rooms.
    pub locals: Vec<LocalFound>,
    /// Sum of their shortfalls, m3/s.
    pub shortfall_m3_s: Option<f64>,
    /// Outdoor air in all with the share of the shortfalls that is added, m3/s.
    pub required_m3_s: f64,
    /// Infiltration, m3/s.
    pub infiltration: Option<Estimate>,
    /// Where it comes from, or why there is none.
    pub credit_from: CreditFrom,
    /// Whether the cap for new houses cut the credit.
    pub capped: bool,
    /// Fan flow needed by a balanced system, m3/s.
    pub needed_balanced: Estimate,
    /// Fan flow needed by fans that blow one way, m3/s.
    pub needed_unbalanced: Estimate,
    /// Share of infiltration that counts beside fans that blow one way.
    pub phi: f64,
    /// Steady flow with the effect of the measured fans as they run, m3/s.
    pub delivered: Option<Estimate>,
    /// Whether supply and exhaust are balanced.
    pub balanced: bool,
    /// Outdoor air of fans and infiltration together as the schedule gives it, m3/s.
    pub outdoor_air: Option<Estimate>,
    /// Relative exposure under the schedule.
    pub exposure: Option<Exposure>,
    /// Whether some fan does not run all the time.
    pub intermittent: bool,
    /// Whether a schedule was averaged for want of a volume.
    pub averaged: bool,
    #[serde(skip)]
    limits: Vec<(&'static str, Option<String>, Limit, Option<Estimate>)>,
}

/// Supply and exhaust of a minute, m3/s.
fn minutes(fans: &[Fan], flows: &[f64]) -> Vec<(f64, f64)> {
    let minute = 86400.0 / STEPS as f64;
    let at = |step: usize| {
        let from_s = step as f64 * minute;
        fans.iter().zip(flows).fold((0.0, 0.0), |(supply, exhaust), (fan, q)| {
            let q = q * fan.schedule.share(from_s);
            match fan.way {
                Way::Exhaust => (supply, exhaust + q),
                Way::Supply => (supply + q, exhaust),
                Way::Both => (supply + q, exhaust + q),
            }
        })
    };
    (0..STEPS).map(at).collect()
}

/// A function of the fans' flows, with their intervals: fans of one instrument move together.
fn of_fans(fans: &[Fan], more: Option<&Estimate>, f: impl Fn(&[f64], f64) -> f64) -> Estimate {
    let mut groups: Vec<&str> = fans.iter().filter_map(|f| f.with.as_deref()).collect();
    groups.sort_unstable();
    groups.dedup();
    let alone = fans.iter().filter(|f| f.with.is_none()).count();
    let half = |e: &Estimate| e.bounds().map(|(lo, hi)| (hi - lo) / 2.0);
    let known = fans.iter().all(|f| half(&f.flow).is_some()) && more.is_none_or(|m| half(m).is_some());
    // One input a group: how many of its half widths all its fans are off.
    let mut inputs = vec![(0.0, 1.0); groups.len() + alone];
    inputs.push(more.map_or((0.0, 0.0), |m| (m.si, half(m).unwrap_or(0.0))));
    let found = propagate(&inputs, LEVEL, Quantity::AirFlow, |x| {
        let mut own = groups.len();
        let flows: Vec<f64> = fans
            .iter()
            .map(|fan| {
                let group = fan.with.as_deref().and_then(|w| groups.iter().position(|g| *g == w));
                let at = group.unwrap_or_else(|| {
                    own += 1;
                    own - 1
                });
                let off = x.get(at).copied().unwrap_or(0.0);
                (fan.flow.si + off * half(&fan.flow).unwrap_or(0.0)).max(0.0)
            })
            .collect();
        f(&flows, x.last().copied().unwrap_or(0.0).max(0.0))
    });
    match known {
        true => found,
        false => Estimate::without(found.si, Quantity::AirFlow, NoInterval::TypedWithoutInstrument),
    }
}

fn infiltration(asked: &Asked) -> (Option<Estimate>, CreditFrom) {
    if let Some(modelled) = asked.modelled {
        return (Some(modelled), CreditFrom::Model);
    }
    if asked.profile.credit.value == CreditRule::None {
        return (None, CreditFrom::NotGiven);
    }
    let Some(factor) = asked.weather_factor else {
        return (None, CreditFrom::NoFactor);
    };
    let by_leakage = asked.nl.zip(asked.dwelling.floor_area_m2).map(|(nl, area_m2)| {
        nl.scaled(rates::infiltration_by_leakage_m3_s(1.0, factor.value, area_m2), Quantity::AirFlow)
    });
    let by_flow = asked.flow50.map(|(q50, height)| {
        q50.scaled(rates::infiltration_by_flow50_m3_s(1.0, factor.value, height), Quantity::AirFlow)
    });
    match by_leakage.or(by_flow) {
        Some(q) => (Some(q), CreditFrom::WeatherFactor),
        None => (None, CreditFrom::NoEnvelopeTest),
    }
}

/// Works it.
///
/// # Errors
/// What the rule needs and nobody told.
///
/// ```
/// use engine::procedure::ventilation::{Asked, Combination, CreditFrom, evaluate, rates};
/// let asked = Asked {
///     profile: rates::Profile::by_id("62.2-2013").unwrap(),
///     own_rate: None,
///     own_source: None,
///     dwelling: rates::Dwelling {
///         floor_area_m2: Some(2000.0 * 0.09290304), bedrooms: Some(3), inch_pound: true,
///         ..rates::Dwelling::default()
///     },
///     existing: true,
///     nl: None,
///     flow50: None,
///     weather_factor: None,
///     modelled: None,
///     exterior_share: 1.0,
///     fans: Vec::new(),
///     locals: Vec::new(),
///     window_m3_s: 0.0,
///     combination: Combination::Quadrature,
/// };
/// let found = evaluate(&asked).unwrap();
/// assert!((found.total_m3_s / rates::CFM - 90.0).abs() < 1e-9);
/// assert_eq!(found.credit_from, CreditFrom::NoFactor);
/// ```
pub fn evaluate(asked: &Asked) -> Result<Ventilation, Missing> {
    let rule = asked.profile;
    let total = rates::total_m3_s(&rule.total.value, &asked.dwelling, asked.own_rate.map(|r| r.0))?;
    let inch_pound = asked.dwelling.inch_pound;
    let locals: Vec<LocalFound> = asked.locals.iter().map(|l| local(l, asked, inch_pound)).collect();
    let share = rule.deficit_share.filter(|_| asked.existing && !locals.is_empty());
    let shortfall = share.map(|_| locals.iter().map(|l| l.shortfall_m3_s).sum::<f64>());
    let required = total + share.zip(shortfall).map_or(0.0, |(s, sum)| s.value * sum);

    let (infiltration, credit_from) = infiltration(asked);
    let cap = rule.new_house_cap.filter(|_| !asked.existing);
    let credit_rule = match credit_from {
        CreditFrom::Model if rule.credit.value == CreditRule::None => CreditRule::Whole,
        _ => rule.credit.value,
    };
    let need = |q: f64| rates::fan_need(credit_rule, required, q, asked.exterior_share, cap.map(|c| c.value));
    let need_of = |f: &dyn Fn(rates::FanNeed) -> f64| match infiltration {
        None => Estimate::without(f(need(0.0)), Quantity::AirFlow, NoInterval::Exact),
        Some(q) => of_fans(&[], Some(&q), |_, q| f(need(q))),
    };
    let (needed_balanced, needed_unbalanced) =
        (need_of(&|n| n.balanced_m3_s), need_of(&|n| n.unbalanced_m3_s));
    let credit = infiltration.map_or(0.0, |q| q.si) * asked.exterior_share;
    let capped = cap.is_some_and(|c| credit > c.value * required);

    let air = asked.dwelling.volume_m3.map(|volume_m3| Air { volume_m3, step_s: 86400.0 / STEPS as f64 });
    let intermittent = asked.fans.iter().any(|f| f.schedule != Schedule::Always);
    let averaged = intermittent && air.is_none();
    let steady = |flows: &[f64]| match (intermittent, air) {
        (true, Some(air)) => exposure::steady_equivalent_m3_s(flows, air),
        (true, None) => flows.iter().sum::<f64>() / flows.len() as f64,
        (false, _) => flows.first().copied().unwrap_or(0.0),
    };
    let with_infiltration = |flows: &[f64], q: f64| -> Vec<f64> {
        let mix = |(s, e): &(f64, f64)| combined_m3_s(asked.combination, s.min(*e), (s - e).abs(), q);
        minutes(&asked.fans, flows).iter().map(mix).collect()
    };
    let has_fans = !asked.fans.is_empty();
    let delivered = has_fans.then(|| {
        of_fans(&asked.fans, None, |flows, _| {
            let larger: Vec<f64> = minutes(&asked.fans, flows).iter().map(|(s, e)| s.max(*e)).collect();
            steady(&larger)
        })
    });
    let outdoor_air = infiltration
        .filter(|_| has_fans)
        .map(|q| of_fans(&asked.fans, Some(&q), |flows, q| steady(&with_infiltration(flows, q))));
    let middle: Vec<f64> = asked.fans.iter().map(|f| f.flow.si).collect();
    let (supply, exhaust) =
        minutes(&asked.fans, &middle).iter().fold((0.0, 0.0), |(s, e), m| (s + m.0, e + m.1));
    let balanced = has_fans && (supply - exhaust).abs() <= BALANCE * supply.max(exhaust);
    let exposure = air.filter(|_| intermittent).and_then(|air| {
        exposure::cyclic(&with_infiltration(&middle, infiltration.map_or(0.0, |q| q.si)), required, air)
    });

    let mut found = Ventilation {
        profile: rule.id,
        total_m3_s: total,
        locals,
        shortfall_m3_s: shortfall,
        required_m3_s: required,
        infiltration,
        credit_from,
        capped,
        needed_balanced,
        needed_unbalanced,
        phi: need(infiltration.map_or(0.0, |q| q.si)).phi,
        delivered,
        balanced,
        outdoor_air,
        exposure,
        intermittent,
        averaged,
        limits: Vec::new(),
    };
    found.limits = limits(asked, &found);
    Ok(found)
}

fn local(l: &Local, asked: &Asked, inch_pound: bool) -> LocalFound {
    let window_m3_s = if l.window { asked.window_m3_s } else { 0.0 };
    LocalFound {
        name: l.name.clone(),
        flow: l.flow,
        wanted_m3_s: rates::local_exhaust_m3_s(l.room, l.runs, l.volume_m3, inch_pound),
        shortfall_m3_s: rates::shortfall_m3_s(l.room, l.flow.si, window_m3_s, inch_pound),
    }
}

fn limits(
    asked: &Asked,
    found: &Ventilation,
) -> Vec<(&'static str, Option<String>, Limit, Option<Estimate>)> {
    let rule = asked.profile;
    let mut list = Vec::new();
    let own = asked.own_rate.is_some_and(|r| r.1);
    let total_read = rule.total.confirmed || (rule.id == "own" && own);
    let factor_read = asked.weather_factor.is_some_and(|f| f.confirmed);
    let credit_read = match found.credit_from {
        CreditFrom::WeatherFactor => rule.credit.confirmed && factor_read && !found.capped,
        CreditFrom::Model => false,
        _ => true,
    };
    let share_read = found.shortfall_m3_s.is_none() || rule.deficit_share.is_none_or(|d| d.confirmed);
    if let Some(delivered) = found.delivered {
        let needed = if found.balanced { found.needed_balanced } else { found.needed_unbalanced };
        let source = match (&asked.own_source, rule.id) {
            (Some(words), "own") => words.clone(),
            _ => rule.total.source.to_owned(),
        };
        let confirmed = total_read && credit_read && share_read && !found.intermittent;
        let limit = Limit::at_least(needed.si, &source, confirmed);
        list.push(("check-whole-house-fan", None, limit, Some(widened(delivered, needed))));
    }
    if let Some(e) = found.exposure {
        let number = |x| Some(Estimate::without(x, Quantity::Number, NoInterval::NotDefined));
        list.push(("check-exposure-mean", None, Limit::at_most(1.0, FROM_MEMORY, false), number(e.mean)));
        list.push(("check-exposure-peak", None, Limit::at_most(5.0, FROM_MEMORY, false), number(e.peak)));
    }
    for l in &found.locals {
        if let Some(wanted) = l.wanted_m3_s {
            let limit = Limit::at_least(wanted, "ashrae-2021-16-tables", true);
            list.push(("check-local-exhaust", Some(l.name.clone()), limit, Some(l.flow)));
        }
    }
    list
}

/// A value with the interval of what it is held against added to its own.
fn widened(value: Estimate, against: Estimate) -> Estimate {
    let (Some((lo, hi)), Some((from, to))) = (value.bounds(), against.bounds()) else { return value };
    let square = |a: f64, b: f64| (a * a + b * b).sqrt();
    let (down, up) = (square(value.si - lo, to - against.si), square(hi - value.si, against.si - from));
    Estimate::range(value.si, value.si - down, value.si + up, LEVEL, value.quantity)
}

impl Ventilation {
    /// In the shape of all tests.
    pub fn worked(&self) -> Worked {
        let mut worked = Worked::default();
        let exact = |q| Estimate::without(q, Quantity::AirFlow, NoInterval::Exact);
        if let Some(delivered) = self.delivered {
            worked.figure("figure-fan-delivered", delivered);
        }
        let mut needed = [
            ("figure-fan-needed-balanced", self.needed_balanced),
            ("figure-fan-needed-one-way", self.needed_unbalanced),
        ];
        if !self.balanced {
            needed.reverse();
        }
        for (id, figure) in needed {
            worked.figure(id, figure);
        }
        worked.figure("figure-ventilation-total", exact(self.required_m3_s));
        if let Some(q) = self.infiltration {
            worked.figure("figure-infiltration-credited", q);
        }
        if let Some(q) = self.outdoor_air {
            worked.figure("figure-outdoor-air", q);
        }
        if let Some(sum) = self.shortfall_m3_s {
            worked.figure("figure-local-shortfall", exact(sum));
            worked.figure("figure-ventilation-added", exact(self.required_m3_s - self.total_m3_s));
        }
        if let Some(e) = self.exposure {
            let number = |x| Estimate::without(x, Quantity::Number, NoInterval::NotDefined);
            worked.figure("figure-exposure-mean", number(e.mean));
            worked.figure("figure-exposure-peak", number(e.peak));
        }
        for (id, of, limit, value) in &self.limits {
            let check = limit.check(id, *value);
            worked.checks.push(match of {
                Some(of) => check.of(of),
                None => check,
            });
        }
        let said = match self.credit_from {
            CreditFrom::NotGiven => Some("note-credit-not-given"),
            CreditFrom::NoFactor => Some("note-credit-no-factor"),
            CreditFrom::NoEnvelopeTest => Some("note-credit-no-envelope-test"),
            CreditFrom::Model => Some("note-credit-from-model"),
            CreditFrom::WeatherFactor => None,
        };
        worked.notes.extend(said.map(Note::new));
        for (when, id) in [
            (self.capped, "note-credit-capped"),
            (self.averaged, "note-schedule-averaged"),
            (self.intermittent && !self.averaged, "note-schedule-equivalent"),
            (self.delivered.is_none(), "note-no-whole-house-fan"),
            (self.intermittent && self.exposure.is_none() && !self.averaged, "note-no-air-at-all"),
        ] {
            if when {
                worked.notes.push(Note::new(id));
            }
        }
        worked
    }
}
