//! The gate: no plan that could draw flue gas into the house leaves the program as advice until
//! this visit's combustion results allow it.
//!
//! What a plan does is judged by its [`Effect`]s, not by its name. What was found on the visit is a
//! [`Record`]. [`judge`] puts both together; [`WorkScope`] can be made by it alone, so no command,
//! page or export can go round. A licensed person's sign-off stands in for a missing result and
//! never for a failed one. A limit that nobody confirmed neither passes nor fails, so it holds.

use crate::doc::house::Draft;
use crate::doc::plans::Change;
use crate::doc::visit::Combustion;
use crate::house::House;
use serde::Serialize;

/// What a change does to the air that an appliance draws.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Effect {
    /// Makes the shell tighter.
    Tightens,
    /// Takes more air out of the house.
    AddsExhaust,
    /// Changes how much air the ducts lose or draw, or how long they do.
    ChangesDuctBalance,
    /// Changes doors, transfer openings or returns.
    ChangesDoorsOrReturns,
}

/// The effect of one change; nothing where an appliance does not feel it.
///
/// Balanced ventilation counts as exhaust: a blocked supply filter leaves only the exhaust side.
pub fn effect(change: &Change) -> Option<Effect> {
    match change {
        Change::Seal { .. } => Some(Effect::Tightens),
        Change::SealDucts { .. } | Change::Mixing { .. } => Some(Effect::ChangesDuctBalance),
        Change::Transfer { .. } | Change::Door { .. } => Some(Effect::ChangesDoorsOrReturns),
        Change::Exhaust { .. } | Change::Balanced { .. } => Some(Effect::AddsExhaust),
        Change::Supply { .. } | Change::Filter { .. } | Change::Dehumidify(_) | Change::Replace { .. } => {
            None
        }
    }
}

/// How one combustion result stands against its limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// Within a limit that the user confirmed.
    Within,
    /// Beyond the limit, confirmed or not.
    Beyond,
    /// Within a limit that nobody confirmed, or no limit was given.
    LimitNotConfirmed,
    /// Value and limit are on different bases and are not compared.
    BasisDiffers,
}

/// What was found at one appliance.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Finding {
    /// Index in [`House::appliances`].
    pub appliance: usize,
    /// Spillage, the worst of the visit.
    pub spillage: Option<Outcome>,
    /// Carbon monoxide in the undiluted flue gas, the worst of the visit.
    pub flue_co: Option<Outcome>,
}

/// What one visit says about fuel and combustion.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Record {
    /// Whether somebody looked for fuel and wrote down who and where.
    pub inspected: bool,
    /// Whether fuel was found.
    pub fuel_present: bool,
    /// One entry an appliance.
    pub findings: Vec<Finding>,
    /// A licensed person's word stands in for missing results.
    pub signed_off: bool,
    /// Carbon monoxide in a room or at an oven, or gas, was found at a level at which the work ends.
    pub stopped: bool,
    /// A result is of an appliance that the house does not name.
    pub unnamed: bool,
}

/// Why a plan is held.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "reason", rename_all = "kebab-case")]
pub enum Reason {
    /// Nobody recorded a look for fuel in and at the house.
    NotInspected,
    /// The record says that there is no fuel and the house file has an appliance.
    Contradiction,
    /// Fuel was found and the house file names no appliance.
    ApplianceNotNamed,
    /// No spillage result of this visit.
    SpillageMissing {
        /// Which appliance.
        appliance: String,
    },
    /// No flue CO result of this visit.
    FlueCoMissing {
        /// Which appliance.
        appliance: String,
    },
    /// Spillage went on beyond the limit.
    SpillageFailed {
        /// Which appliance.
        appliance: String,
    },
    /// Flue CO beyond the limit.
    FlueCoFailed {
        /// Which appliance.
        appliance: String,
    },
    /// A result stands against a limit that nobody confirmed.
    LimitNotConfirmed {
        /// Which appliance.
        appliance: String,
    },
    /// Value and limit cannot be compared (air-free and as measured).
    BasisDiffers {
        /// Which appliance.
        appliance: String,
    },
    /// Carbon monoxide in the room or gas at a level at which the work ends.
    Stopped,
    /// An appliance without a vent stands in the house.
    Unvented {
        /// Which appliance.
        appliance: String,
    },
}

/// What has to be kept to when a released plan is carried out.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "condition", rename_all = "kebab-case")]
pub enum Condition {
    /// The old appliance is out before anything else is done.
    ReplaceFirst {
        /// Which appliance.
        appliance: String,
    },
    /// Spillage and CO are tested again after the work.
    TestAgain,
    /// A licensed person's word stands behind the release.
    SignedOff,
}

/// Held or released.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
#[serde(tag = "state", rename_all = "kebab-case")]
pub enum Gate {
    /// Computed, not released.
    Held {
        /// Why.
        reasons: Vec<Reason>,
    },
    /// May go into a work scope.
    Released {
        /// What has to be kept to.
        conditions: Vec<Condition>,
    },
}

impl Gate {
    /// Whether the plan may go into a work scope.
    pub fn is_released(&self) -> bool {
        matches!(self, Gate::Released { .. })
    }
}

/// A plan that the gate let through. There is no other way to make one.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WorkScope {
    plan: String,
    conditions: Vec<Condition>,
}

impl WorkScope {
    /// Name of the plan.
    pub fn plan(&self) -> &str {
        &self.plan
    }

    /// What has to be kept to.
    pub fn conditions(&self) -> &[Condition] {
        &self.conditions
    }
}

/// The work scope of a plan, or why there is none.
pub fn work_scope(
    plan: &str,
    changes: &[Change],
    house: &House,
    record: Option<&Record>,
) -> Result<WorkScope, Vec<Reason>> {
    match judge(changes, house, record) {
        Gate::Released { conditions } => Ok(WorkScope { plan: plan.to_owned(), conditions }),
        Gate::Held { reasons } => Err(reasons),
    }
}

/// Reads a visit's combustion table into a record. Results of unknown appliances are left out
/// here; the checker reports them.
pub fn record(house: &House, combustion: &Combustion) -> Record {
    let worst = |a: Option<Outcome>, b: Outcome| {
        let rank = |o: Outcome| match o {
            Outcome::Within => 0,
            Outcome::LimitNotConfirmed => 1,
            Outcome::BasisDiffers => 2,
            Outcome::Beyond => 3,
        };
        Some(a.map_or(b, |a| if rank(a) >= rank(b) { a } else { b }))
    };
    let findings = house
        .appliances
        .iter()
        .enumerate()
        .map(|(index, appliance)| {
            let spillage = combustion
                .spillage
                .iter()
                .filter(|s| s.appliance.value == appliance.name)
                .fold(None, |sum, s| worst(sum, against(s.spilled_s.value, s.limit_s, s.limit_confirmed)));
            let flue_co = combustion.flue_co.iter().filter(|c| c.appliance.value == appliance.name).fold(
                None,
                |sum, c| {
                    let outcome = if c.limit.is_some() && c.air_free != c.limit_air_free {
                        Outcome::BasisDiffers
                    } else {
                        against(c.value.value, c.limit, c.limit_confirmed)
                    };
                    worst(sum, outcome)
                },
            );
            Finding { appliance: index, spillage, flue_co }
        })
        .collect();
    // A result that cannot be read, or whose appliance nobody knows, may be a failed one: no word
    // stands in for it.
    let known = |name: &str| house.appliances.iter().any(|a| a.name == name);
    let unnamed = !combustion.spillage.iter().all(|s| known(&s.appliance.value))
        || !combustion.flue_co.iter().all(|c| known(&c.appliance.value));
    let whole = !combustion.unreadable && !unnamed;
    Record {
        inspected: combustion.looked_by.is_some() && combustion.looked_where.is_some(),
        fuel_present: combustion.fuel_present,
        findings,
        signed_off: whole && combustion.sign_off.is_some(),
        stopped: combustion.stopped,
        unnamed,
    }
}

fn against(value: f64, limit: Option<f64>, confirmed: bool) -> Outcome {
    match limit {
        Some(limit) if value > limit => Outcome::Beyond,
        Some(_) if confirmed => Outcome::Within,
        _ => Outcome::LimitNotConfirmed,
    }
}

/// Holds or releases a set of changes.
pub fn judge(changes: &[Change], house: &House, record: Option<&Record>) -> Gate {
    let released = |conditions| Gate::Released { conditions };
    let replaced = |name: &str| {
        changes.iter().find_map(|c| match c {
            Change::Replace { appliance, by } if appliance.value == name => Some(*by),
            _ => None,
        })
    };
    if changes.iter().all(|c| effect(c).is_none()) {
        return released(Vec::new());
    }
    let Some(record) = record.filter(|r| r.inspected) else {
        return Gate::Held { reasons: vec![Reason::NotInspected] };
    };
    let mut reasons = Vec::new();
    let mut conditions = Vec::new();
    // A failed result, whatever it comes from: no word and no replaced appliance stands against it.
    if record.stopped {
        reasons.push(Reason::Stopped);
    }
    if !record.fuel_present && !record.stopped && !record.unnamed {
        if house.appliances.is_empty() {
            return released(Vec::new());
        }
        return Gate::Held { reasons: vec![Reason::Contradiction] };
    }
    if record.unnamed || (house.appliances.is_empty() && !record.signed_off) {
        reasons.push(Reason::ApplianceNotNamed);
    }
    for (index, appliance) in house.appliances.iter().enumerate() {
        let name = || appliance.label.clone();
        // Out of the house, or sealed against it, before the rest is done.
        if matches!(replaced(&appliance.name), Some(None | Some(Draft::Sealed))) {
            conditions.push(Condition::ReplaceFirst { appliance: name() });
            continue;
        }
        let finding = record.findings.iter().find(|f| f.appliance == index);
        let spillage = finding.and_then(|f| f.spillage);
        let flue_co = finding.and_then(|f| f.flue_co);
        let needs_spillage = matches!(appliance.draft, Draft::Natural | Draft::FanAssisted);
        if appliance.draft == Draft::Unvented && !record.signed_off {
            reasons.push(Reason::Unvented { appliance: name() });
        }
        let mut held_here = Vec::new();
        for (outcome, needed, missing, failed) in [
            (
                spillage,
                needs_spillage,
                Reason::SpillageMissing { appliance: name() },
                Reason::SpillageFailed { appliance: name() },
            ),
            (
                flue_co,
                true,
                Reason::FlueCoMissing { appliance: name() },
                Reason::FlueCoFailed { appliance: name() },
            ),
        ] {
            match outcome {
                Some(Outcome::Beyond) => held_here.push(failed),
                Some(Outcome::LimitNotConfirmed) => {
                    held_here.push(Reason::LimitNotConfirmed { appliance: name() });
                }
                Some(Outcome::BasisDiffers) => held_here.push(Reason::BasisDiffers { appliance: name() }),
                Some(Outcome::Within) => {}
                None if needed && !record.signed_off => held_here.push(missing),
                None => {}
            }
        }
        held_here.dedup();
        reasons.extend(held_here);
    }
    if !reasons.is_empty() {
        return Gate::Held { reasons };
    }
    if record.signed_off {
        conditions.push(Condition::SignedOff);
    }
    if !house.appliances.is_empty() {
        conditions.push(Condition::TestAgain);
    }
    released(conditions)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::doc::{File, Sink, Sp};

    fn house(appliance: &str) -> House {
        let text = format!(
            "format = 1\n[zone.main]\nkind='living'\nvolume='300 m3'\nfloor_area='120 m2'\nfloor='0 m'\nceiling='2.5 m'\n\
             [leak.walls]\nbetween=['main','outdoors']\nat50='200 to 900 cfm'\n{appliance}"
        );
        let sink = Sink::default();
        let doc = crate::doc::house::read(&File { name: "house.toml".into(), text }, &sink);
        let house = crate::house::build(&doc, &sink);
        assert!(!sink.borrow().has_errors(), "{:?}", sink.borrow());
        house
    }

    const HEATER: &str =
        "[appliance.heater]\nzone='main'\ndraft='natural'\nflue_area='10 to 14 in2'\nflue_top='6 m'\n";

    fn spot(text: &str) -> Sp<String> {
        Sp { value: text.into(), span: crate::diag::Span::new("plans.toml", 0..1) }
    }

    fn changes() -> Vec<Change> {
        vec![
            Change::Seal { what: spot("walls"), removes: (0.3, 0.5) },
            Change::SealDucts { removes: (0.5, 0.8) },
            Change::Transfer { between: [spot("main"), spot("main")], area_m2: 0.03 },
            Change::Exhaust { from: spot("main"), flow_m3_s: 0.03, power_w: 10.0, runs_s: vec![] },
            Change::Balanced {
                to: spot("main"),
                from: spot("main"),
                flow_m3_s: 0.03,
                power_w: 40.0,
                recovery: 0.7,
            },
            Change::Mixing { share: 0.3 },
            Change::Door { door: spot("d"), open_at_night: true },
            Change::Supply { to: spot("main"), flow_m3_s: 0.02, power_w: 10.0 },
            Change::Filter { pm25: 0.5 },
            Change::Replace { appliance: spot("heater"), by: Some(Draft::Natural) },
        ]
    }

    /// Every subset of the changes against every record: no path releases a change that an open
    /// appliance feels unless both results are there and within confirmed limits, or missing and
    /// signed off.
    #[test]
    fn no_path_releases_a_held_change() {
        let house = house(HEATER);
        let all = changes();
        let outcomes = [
            None,
            Some(Outcome::Within),
            Some(Outcome::Beyond),
            Some(Outcome::LimitNotConfirmed),
            Some(Outcome::BasisDiffers),
        ];
        let mut released = 0;
        for pick in 0..1_usize << all.len() {
            let set: Vec<Change> =
                all.iter().enumerate().filter(|(i, _)| pick >> i & 1 == 1).map(|(_, c)| c.clone()).collect();
            let felt = set.iter().any(|c| effect(c).is_some());
            for spillage in outcomes {
                for flue_co in outcomes {
                    for flags in 0..32 {
                        let record = Record {
                            inspected: flags & 1 == 1,
                            fuel_present: flags & 2 == 2,
                            signed_off: flags & 4 == 4,
                            stopped: flags & 8 == 8,
                            unnamed: flags & 16 == 16,
                            findings: vec![Finding { appliance: 0, spillage, flue_co }],
                        };
                        let fine = |o: Option<Outcome>| {
                            o == Some(Outcome::Within) || (o.is_none() && record.signed_off)
                        };
                        let may = !felt
                            || (record.inspected
                                && record.fuel_present
                                && !record.stopped
                                && !record.unnamed
                                && fine(spillage)
                                && fine(flue_co));
                        let scope = work_scope("p", &set, &house, Some(&record));
                        assert_eq!(scope.is_ok(), may, "{set:?} {record:?} {scope:?}");
                        released += usize::from(scope.is_ok() && felt);
                    }
                }
            }
            assert_eq!(work_scope("p", &set, &house, None).is_ok(), !felt);
        }
        assert!(released > 0);
    }

    #[test]
    fn an_all_electric_house_passes_by_recorded_inspection_only() {
        let house = house("");
        let none = Record {
            inspected: true,
            fuel_present: false,
            findings: vec![],
            signed_off: false,
            stopped: false,
            unnamed: false,
        };
        assert!(judge(&changes(), &house, Some(&none)).is_released());
        assert!(!judge(&changes(), &house, None).is_released());
        let nobody = Record { inspected: false, ..none };
        assert!(!judge(&changes(), &house, Some(&nobody)).is_released());
    }

    #[test]
    fn replacing_the_appliance_by_a_sealed_or_electric_one_comes_first() {
        let house = house(HEATER);
        let record = Record {
            inspected: true,
            fuel_present: true,
            findings: vec![],
            signed_off: false,
            stopped: false,
            unnamed: false,
        };
        for by in [None, Some(Draft::Sealed)] {
            let set = vec![
                Change::Seal { what: spot("walls"), removes: (0.3, 0.5) },
                Change::Replace { appliance: spot("heater"), by },
            ];
            let Gate::Released { conditions } = judge(&set, &house, Some(&record)) else {
                panic!("held");
            };
            assert!(matches!(conditions.first(), Some(Condition::ReplaceFirst { .. })));
        }
    }

    #[test]
    fn air_free_and_as_measured_are_never_compared() {
        let house = house(HEATER);
        let text = "format = 1\ndate='2026-01-10'\n[combustion]\nfuel='present'\nlooked_by='T'\nlooked_where='closet'\n\
            [[combustion.spillage]]\nappliance='heater'\nspilled_for='20 s'\nlimit='60 s'\nlimit_confirmed=true\n\
            [[combustion.flue_co]]\nappliance='heater'\nvalue='40 ppm'\nbasis='as measured'\nlimit='200 ppm'\n\
            limit_basis='air-free'\nlimit_confirmed=true\n";
        let sink = Sink::default();
        let visit =
            crate::doc::visit::read(&File { name: "visits/x/visit.toml".into(), text: text.into() }, &sink);
        assert!(!sink.borrow().has_errors(), "{:?}", sink.borrow());
        let record = record(&house, &visit.combustion.unwrap());
        let Gate::Held { reasons } = judge(&changes(), &house, Some(&record)) else { panic!("released") };
        assert_eq!(reasons, [Reason::BasisDiffers { appliance: "heater".into() }]);
    }

    #[test]
    fn a_sign_off_never_covers_a_result_that_was_mistyped() {
        let house = house(HEATER);
        let released = |result: &str| {
            let text = format!(
                "format = 1\ndate='2026-01-10'\n[combustion]\nfuel='present'\nlooked_by='T'\nlooked_where='closet'\n\
                 {result}[combustion.sign_off]\nwho='L'\nlicence='1'\nwhat='closet'\n"
            );
            let file = File { name: "visits/x/visit.toml".into(), text };
            let visit = crate::doc::visit::read(&file, &Sink::default());
            judge(&changes(), &house, Some(&record(&house, &visit.combustion.unwrap()))).is_released()
        };
        assert!(released(""));
        // Spilled for 200 s: a unit forgotten, an appliance misspelt.
        assert!(!released("[[combustion.spillage]]\nappliance='heater'\nspilled_for=200\nlimit='60 s'\n"));
        assert!(!released("[[combustion.spillage]]\nappliance='heatr'\nspilled_for='200 s'\nlimit='60 s'\n"));
    }
}
