//! Names in plans to things of the house, with what cannot be said where it is written.

use crate::diag::{Diagnostic, code};
use crate::doc::plans::{Change, Plan};
use crate::doc::{Sink, Sp};
use crate::gate::{self, Gate, Record};
use crate::house::House;
use std::collections::BTreeSet;

/// A plan with all its changes, those of the plans it extends first.
#[derive(Clone, Debug, PartialEq)]
pub struct Planned {
    /// Name in the documents.
    pub name: String,
    /// Name people read.
    pub label: String,
    /// First cost, low and high end.
    pub price: Option<(f64, f64)>,
    /// The changes.
    pub changes: Vec<Change>,
    /// Held or released.
    pub gate: Gate,
}

/// Resolves and checks every plan and asks the gate.
pub fn resolve(plans: &[Plan], house: &House, record: Option<&Record>, sink: &Sink) -> Vec<Planned> {
    let say = |d: Diagnostic| sink.borrow_mut().push(d);
    plans
        .iter()
        .filter_map(|plan| {
            let changes = with_base(plan, plans, &mut BTreeSet::new(), &say)?;
            let mut fine = true;
            let mut sealed = BTreeSet::new();
            for change in &changes {
                fine &= check(change, house, &say);
                if let Change::Seal { what, .. } = &change.value
                    && !sealed.insert(what.value.as_str())
                {
                    say(Diagnostic::warning(code::P103)
                        .at(what.span.clone())
                        .arg("leak", what.value.as_str())
                        .arg("plan", plan.label.as_str()));
                }
            }
            if !fine {
                return None;
            }
            let changes: Vec<Change> = changes.into_iter().map(|c| c.value).collect();
            Some(Planned {
                name: plan.name.value.clone(),
                label: plan.label.clone(),
                price: plan.price,
                gate: gate::judge(&changes, house, record),
                changes,
            })
        })
        .collect()
}

fn with_base<'p>(
    plan: &'p Plan,
    plans: &'p [Plan],
    seen: &mut BTreeSet<&'p str>,
    say: &dyn Fn(Diagnostic),
) -> Option<Vec<Sp<Change>>> {
    if !seen.insert(&plan.name.value) {
        say(Diagnostic::error(code::P101).at(plan.name.span.clone()).arg("plan", plan.name.value.as_str()));
        return None;
    }
    let mut changes = Vec::new();
    if let Some(base) = &plan.extends {
        let Some(found) = plans.iter().find(|p| p.name.value == base.value) else {
            say(base.unknown("plan", plans.iter().map(|p| p.name.value.as_str())));
            return None;
        };
        changes = with_base(found, plans, seen, say)?;
    }
    changes.extend(plan.changes.iter().cloned());
    Some(changes)
}

/// Whether everything a change names exists.
fn check(change: &Sp<Change>, house: &House, say: &dyn Fn(Diagnostic)) -> bool {
    let zone = |name: &Sp<String>| {
        let found = house.zone(&name.value).is_some();
        if !found {
            say(name.unknown("zone", house.zones.iter().map(|z| z.name.as_str())));
        }
        found
    };
    let handler = || {
        if house.air_handler.is_none() {
            say(Diagnostic::error(code::P102).at(change.span.clone()));
        }
        house.air_handler.is_some()
    };
    match &change.value {
        Change::Seal { what, .. } => {
            let found = house.leaks.iter().any(|l| l.name == what.value);
            if !found {
                say(what.unknown("leak", house.leaks.iter().map(|l| l.name.as_str())));
            }
            found
        }
        Change::SealDucts { .. } | Change::Filter { .. } | Change::Mixing { .. } => handler(),
        Change::Transfer { between, .. } => {
            let both = zone(&between[0]) & zone(&between[1]);
            let same = between[0].value == between[1].value;
            if same {
                say(Diagnostic::error(code::H103)
                    .at(between[1].span.clone())
                    .arg("name", between[1].value.as_str()));
            }
            both && !same
        }
        Change::Exhaust { from, .. } => zone(from),
        Change::Supply { to, .. } => zone(to),
        Change::Balanced { to, from, .. } => zone(to) & zone(from),
        Change::Dehumidify(d) => zone(&d.zone),
        Change::Door { door, .. } => {
            let found = house.doors.iter().any(|d| d.text.name.value == door.value);
            if !found {
                say(door.unknown("door", house.doors.iter().map(|d| d.text.name.value.as_str())));
            }
            found
        }
        Change::Replace { appliance, .. } => {
            let found = house.appliances.iter().any(|a| a.name == appliance.value);
            if !found {
                say(appliance.unknown("appliance", house.appliances.iter().map(|a| a.name.as_str())));
            }
            found
        }
    }
}
