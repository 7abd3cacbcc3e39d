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

mod effect;

pub use effect::{Effect, Runs, effect, effects, rule_effect};

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
    /// Carbon monoxide in a room or at an oven, or gas, was found at a level at which the work ends, or the
    /// hazard screen ([`crate::safety`]) says stop.
    pub stopped: bool,
    /// Work was done that appliances feel, and combustion was not tested again since
    /// ([`crate::safety::Repeats::is_owed`]).
    pub repeat_owed: bool,
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
    /// A combustion result, the house or the plan changed after the release.
    Changed,
    /// Carbon monoxide in the room or gas at a level at which the work ends, or a stop of the hazard screen.
    Stopped,
    /// After work the repeat of the combustion tests is owed: what was measured is of the house before it.
    RepeatOwed,
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

/// A plan that the gate let through. There is no other way to make one, and it holds for the record,
/// the house and the changes that it was made from only.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct WorkScope {
    plan: String,
    conditions: Vec<Condition>,
    release: String,
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

    /// What it was released on ([`release`]).
    pub fn release(&self) -> &str {
        &self.release
    }

    /// The same scope, judged again by what is known now. One changed reading of combustion, one
    /// changed line of the house or of the plan withdraws it: it has to be made anew, which asks
    /// the gate.
    ///
    /// # Errors
    /// [`Reason::Changed`] where something changed; else what holds it now.
    pub fn recheck(
        self,
        changes: &[Change],
        house: &House,
        record: Option<&Record>,
    ) -> Result<WorkScope, Vec<Reason>> {
        let now = work_scope(&self.plan, changes, house, record)?;
        if now.release == self.release { Ok(now) } else { Err(vec![Reason::Changed]) }
    }
}

/// Hash over the combustion record, the house as written and the changes: what a release hangs on.
pub fn release(changes: &[Change], house: &House, record: Option<&Record>) -> String {
    use std::fmt::Write;
    let mut sum = Fnv([0xcbf2_9ce4_8422_2325, 0x8422_2325_cbf2_9ce4]);
    // Writing into a sum cannot fail.
    let _ = write!(sum, "{record:?}|{:?}|{changes:?}", house.text);
    sum.0.iter().map(|h| format!("{h:016x}")).collect()
}

/// Two sums by FNV-1a with different starts; guards against slips, not against an adversary.
struct Fnv([u64; 2]);

impl std::fmt::Write for Fnv {
    fn write_str(&mut self, text: &str) -> std::fmt::Result {
        for byte in text.bytes() {
            for (k, sum) in self.0.iter_mut().enumerate() {
                *sum = (*sum ^ u64::from(byte).rotate_left(13 * u32::from(k == 1)))
                    .wrapping_mul(0x0100_0000_01b3);
            }
        }
        Ok(())
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
        Gate::Released { conditions } => {
            Ok(WorkScope { plan: plan.to_owned(), conditions, release: release(changes, house, record) })
        }
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
        // The job's visits together say it.
        repeat_owed: false,
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
    let effects: Vec<Effect> = changes.iter().flat_map(|c| effects(c, house)).collect();
    let replaced: Vec<(&str, Option<Draft>)> = changes
        .iter()
        .filter_map(|c| match c {
            Change::Replace { appliance, by } => Some((appliance.value.as_str(), *by)),
            _ => None,
        })
        .collect();
    judge_effects(&effects, &replaced, house, record)
}

/// Holds or releases what has these effects, such as rules ([`rule_effect`]); `replaced` are the
/// appliances that go before, each with how the new one is vented (nothing for an electric one).
pub fn judge_effects(
    effects: &[Effect],
    replaced: &[(&str, Option<Draft>)],
    house: &House,
    record: Option<&Record>,
) -> Gate {
    let released = |conditions| Gate::Released { conditions };
    let replaced = |name: &str| replaced.iter().find(|(n, _)| *n == name).map(|r| r.1);
    if effects.is_empty() {
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
    // A word given before the work says nothing of the house after it.
    if record.repeat_owed {
        reasons.push(Reason::RepeatOwed);
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
mod tests;
