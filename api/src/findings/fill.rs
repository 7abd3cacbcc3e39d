//! The text of a plan change with the names of this house filled in.

use super::gather::main_zone;
use engine::doc::house::ZoneKind;
use engine::finding::Finding;
use engine::house::{House, Place};

/// A ready `[[plan.NAME.change]]`, or nothing where a name it needs is not in the house.
pub(crate) fn change_text(finding: &Finding, house: &House, plan: &str) -> Option<String> {
    let template = finding.change.as_deref()?;
    let mut text = format!("[[plan.{plan}.change]]\n{}", template.trim_start())
        .replace("plan.NAME.", &format!("plan.{plan}."));
    let all: [(&str, &dyn Fn() -> Option<String>); 6] = [
        ("zone", &|| finding.zone.clone().filter(|z| house.zone(z).is_some())),
        ("main", &|| main_zone(house).map(|z| house.zones[z].name.clone())),
        ("fan", &|| finding.of.clone().filter(|f| house.fans.iter().any(|x| x.text.name.value == *f))),
        ("appliance", &|| appliance(finding, house)),
        ("leaks_to_zone", &|| leaks(finding, house)),
        ("sleeping", &|| sleeping(house)),
    ];
    for (name, value) in all {
        let open = format!("{{{name}}}");
        if text.contains(&open) {
            text = text.replace(&open, &value()?);
        }
    }
    Some(text)
}

fn appliance(finding: &Finding, house: &House) -> Option<String> {
    let named = house.appliances.iter().find(|a| finding.of.as_deref() == Some(a.name.as_str()));
    named.or_else(|| house.appliances.first().filter(|_| house.appliances.len() == 1)).map(|a| a.name.clone())
}

/// The room that most people sleep in, where it is not the largest.
fn sleeping(house: &House) -> Option<String> {
    let main = main_zone(house).map(|z| house.zones[z].name.as_str());
    let rooms = house.text.people.iter().filter(|p| Some(p.sleep_in.value.as_str()) != main);
    rooms.max_by(|a, b| a.count.total_cmp(&b.count)).map(|p| p.sleep_in.value.clone())
}

/// Leaks between the rooms and the zone of the finding; of a finding about the whole house, between the
/// rooms and its attics and the spaces below.
fn leaks(finding: &Finding, house: &House) -> Option<String> {
    let zone = finding.zone.as_ref().and_then(|z| house.zone(z));
    let around = |z: usize| match zone {
        Some(one) => z == one,
        None => matches!(
            house.zones[z].kind,
            ZoneKind::Attic | ZoneKind::Crawl | ZoneKind::Basement | ZoneKind::Garage
        ),
    };
    let joins = |l: &&engine::house::Leak| match l.between {
        [Place::Zone(a), Place::Zone(b)] => {
            let lived = |z: usize| house.zones[z].kind.is_indoors();
            (lived(a) && around(b)) || (lived(b) && around(a))
        }
        _ => false,
    };
    let names: Vec<String> = house.leaks.iter().filter(joins).map(|l| format!("\"{}\"", l.name)).collect();
    (!names.is_empty()).then(|| names.join(", "))
}
