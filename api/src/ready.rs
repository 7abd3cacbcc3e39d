//! Ready sets of rules, as text to edit, with the names of one house.

use engine::doc::house::{House, ZoneKind};
use engine::doc::plans::Plan;
use engine::rule::{Device, DeviceKind, Signals};
use engine::text::digits;

/// The ready sets, by name.
pub const SETS: [&str; 7] = ["humidity", "bath", "smoke", "mixing", "kitchen", "night", "run-time"];

const TEXTS: [&str; 7] = [
    include_str!("../assets/rules/humidity.toml"),
    include_str!("../assets/rules/bath.toml"),
    include_str!("../assets/rules/smoke.toml"),
    include_str!("../assets/rules/mixing.toml"),
    include_str!("../assets/rules/kitchen.toml"),
    include_str!("../assets/rules/night.toml"),
    include_str!("../assets/rules/run-time.toml"),
];

const REPAY: &str = r#"[rule.repay_{set}]
label = "repay what lock-outs owe"
device = "{ventilator}"
on = "100 %"
on_when = 'house.debt > q("1 h") && outdoor.pm25 < q("12 ug/m3") && !outdoor.smoke'
off_when = 'house.debt <= q("0 h") || outdoor.pm25 > q("20 ug/m3") || outdoor.smoke'
min_on = "30 min"
priority = 3
if_lost = "let go""#;

/// One set for one house. Where the house lacks a device, the name stays for the user to replace,
/// and reading the set says so.
pub(crate) fn text(set: &str, house: &House, plans: &[Plan]) -> Option<String> {
    let at = SETS.iter().position(|s| *s == set)?;
    let devices = Signals::of_house(house, plans).devices;
    let device = |kind: DeviceKind, otherwise: &str| {
        let usable = |d: &&Device| d.kind == kind && !d.safety_exhaust;
        devices.iter().find(usable).map_or_else(|| otherwise.to_owned(), |d| d.name.clone())
    };
    let bath_fan = devices
        .iter()
        .find(|d| d.kind == DeviceKind::Fan && d.name.contains("bath") && !d.safety_exhaust)
        .map_or_else(|| device(DeviceKind::Fan, "bath_fan"), |d| d.name.clone());
    let living = house.zones.iter().filter(|z| z.kind == ZoneKind::Living);
    let floor = |z: &engine::doc::house::Zone| z.floor_area_m2.unwrap_or(0.0);
    let largest = living.clone().max_by(|a, b| floor(a).total_cmp(&floor(b)));
    let room = largest.map_or("main", |z| z.name.value.as_str());
    let bath = house.fans.iter().find(|f| f.name.value == bath_fan).map_or(room, |f| f.from.value.as_str());
    let bedroom = house.people.first().map_or(room, |p| p.sleep_in.value.as_str());
    let ventilator = device(DeviceKind::Ventilator, "ventilator");
    let people: f64 = house.people.iter().map(|p| p.count).sum();
    let area: f64 = living.map(floor).sum();
    // ASHRAE 62.2: 0.15 L/s a m2 and 3.5 L/s for bedrooms and one (SI form from memory); people
    // stand in for the bedrooms and one that no document counts.
    let target = 0.15 * area + 3.5 * people.max(2.0);
    let exposure = format!(
        "[exposure]\ntarget = \"{} L/s\"        # 0.15 L/s a m2 and 3.5 L/s a head; put your own\n\
         infiltration = \"0 L/s\"   # what comes in by itself: see the fit, and put it here",
        digits(target, 3)
    );
    let names = [
        ("{exposure}", exposure.as_str()),
        ("{repay}", REPAY),
        ("{set}", set),
        ("{ventilator}", &ventilator),
        ("{dehumidifier}", &device(DeviceKind::Dehumidifier, "dehumidifier")),
        ("{air_handler}", &device(DeviceKind::Handler, "air_handler")),
        ("{hood}", &device(DeviceKind::Hood, "range_hood")),
        ("{bath_fan}", &bath_fan),
        ("{room}", room),
        ("{bath}", bath),
        ("{bedroom}", bedroom),
    ];
    let filled = |text: String, (from, to): &(&str, &str)| text.replace(from, to);
    Some(names.iter().fold(TEXTS[at].to_owned(), filled))
}
