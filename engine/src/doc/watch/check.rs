//! What the tables of `watch.toml` say of each other and of the house.

use super::{Arrives, By, HANDLER, OUTDOORS, Watch};
use crate::diag::{Diagnostic, Diagnostics, code};
use crate::doc::Sp;
use crate::doc::house::House;
use crate::doc::read::Tab;

/// Names within the document: brokers, and values that two sources claim.
pub(super) fn names(watch: &Watch, top: &Tab<'_, '_>) {
    let known: Vec<&str> = watch.brokers.iter().map(|b| b.name.value.as_str()).collect();
    let of_sources = watch.sources.iter().filter_map(|s| match &s.from {
        Arrives::Topic { broker, .. } => Some(broker),
        Arrives::Path(_) => None,
    });
    let of_alerts = watch.alerts.iter().filter_map(|a| match &a.by {
        By::Mqtt { broker, .. } => Some(broker),
        _ => None,
    });
    for broker in of_sources.chain(of_alerts).filter(|b| !known.contains(&b.value.as_str())) {
        let near = crate::text::closest(&broker.value, known.iter().copied()).unwrap_or("");
        top.say(
            Diagnostic::error(code::L136)
                .at(broker.span.clone())
                .arg("name", broker.value.as_str())
                .arg("near", near),
        );
    }
    for (at, one) in watch.sources.iter().enumerate() {
        let place = |s: &super::Source| match &s.from {
            Arrives::Topic { broker, filter } => (broker.value.clone(), filter.value.clone()),
            Arrives::Path(path) => (String::new(), path.value.clone()),
        };
        let value = |s: &super::Source| s.value.as_ref().map(|v| v.value.clone());
        let twin = |other: &&super::Source| place(other) == place(one) && value(other) == value(one);
        if let Some(first) = watch.sources.iter().take(at).find(twin) {
            top.say(
                Diagnostic::error(code::L139)
                    .at(one.name.span.clone())
                    .at(first.name.span.clone())
                    .arg("name", one.name.value.as_str())
                    .arg("first", first.name.value.as_str()),
            );
        }
    }
    if let (None, Some(path)) = (&watch.posts, watch.sources.iter().find_map(posted)) {
        top.say(Diagnostic::error(code::L137).at(path.span.clone()));
    }
}

fn posted(source: &super::Source) -> Option<&Sp<String>> {
    match &source.from {
        Arrives::Path(path) => Some(path),
        Arrives::Topic { .. } => None,
    }
}

/// Places of sources against the house.
pub fn check(watch: &Watch, house: Option<&House>) -> Diagnostics {
    let mut out = Diagnostics::default();
    let Some(house) = house else {
        return out;
    };
    let known = places(house);
    for place in watch.sources.iter().map(|s| &s.place) {
        if !known.contains(&place.value.as_str()) {
            out.push(place.unknown("place", known.iter().copied()));
        }
    }
    out
}

/// Where a source may stand.
fn places(house: &House) -> Vec<&str> {
    let zones = house.zones.iter().map(|z| z.name.value.as_str());
    let fans = house.fans.iter().map(|f| f.name.value.as_str());
    let doors = house.doors.iter().map(|d| d.name.value.as_str());
    let handler = house.air_handler.as_ref().map(|_| HANDLER);
    zones.chain(fans).chain(doors).chain(handler).chain([OUTDOORS]).collect()
}
