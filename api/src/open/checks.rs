//! What no single document tells: names, currencies and combustion results held against each other.

use engine::diag::{Diagnostic, code};
use engine::doc::visit::{Combustion, Visit};
use engine::doc::{Documents, Sink, Sp};
use engine::house::House;

/// One job counts in one currency: nothing here knows what one is worth in another.
pub(super) fn check_currency(documents: &Documents, sink: &Sink) {
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

pub(super) fn check_complaints(house: &House, documents: &Documents, sink: &Sink) {
    for name in &documents.job.named_zones {
        check_name(name, "zone", house.text.zones.iter().map(|z| z.name.value.as_str()), sink);
    }
    for gas in documents.job.complaints.iter().filter_map(|c| c.gas.as_ref()) {
        let known = house.text.machines.gases.iter().map(|g| g.name.value.as_str());
        check_name(gas, "gas", known, sink);
    }
}

/// Results of a test need a recorded look for fuel beside them, and one that found some.
pub(super) fn check_look(visit: &Visit, combustion: Option<&Combustion>, sink: &Sink) {
    let Some(combustion) = combustion else { return };
    let code = match &visit.combustion {
        None => code::C102,
        Some(written) if !written.fuel_present && combustion.fuel_present => code::C103,
        Some(_) => return,
    };
    sink.borrow_mut().push(Diagnostic::warning(code).at(combustion.span.clone()));
}

pub(super) fn check_combustion(house: &House, combustion: &Combustion, sink: &Sink) {
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
    sink.borrow_mut().push(name.unknown(kind, known.iter().copied()));
}
