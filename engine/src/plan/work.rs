//! A plan as work: its changes in an order in which none undoes or endangers another, and after each
//! what an instrument should show while the crew is still there, from the fitted house.

use super::after::step;
use super::compared::estimate;
use super::model::Luck;
use crate::doc::Sp;
use crate::doc::house::{Draft, Fan as FanText, FanParts, ZoneKind};
use crate::doc::plans::Change;
use crate::fit::{fan_zone, scene::Scene};
use crate::house::air::{Air, STATED_AT_PA, TestFan};
use crate::house::{AREA_DISCHARGE, Element, Fan, House, Law, Owner, Param, ParamKind, Place, Scale, start};
use crate::measure::Estimate;
use crate::units::Quantity;
use serde::Serialize;

/// Kinds of work, in the order in which they are done: what endangers people first, water before
/// anything that shuts it in, ventilation before the house gets tighter, air leaks before what hides
/// them (common practice, no source).
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Stage {
    /// What burns, and what else endangers people.
    Hazards,
    /// Sources of water and of what pollutes.
    Moisture,
    /// Exhaust, supply and ways between rooms.
    Ventilation,
    /// Leaks of the shell.
    AirBarrier,
    /// Ducts.
    Ducts,
    /// Insulation and glass.
    Insulation,
    /// Machines and their settings.
    Equipment,
}

/// The kind of work a change is.
pub(super) fn stage(change: &Change) -> Stage {
    match change {
        Change::Replace { .. } => Stage::Hazards,
        Change::GroundCover { .. }
        | Change::Drain { .. }
        | Change::CloseCrawl { .. }
        | Change::VentDryer { .. }
        | Change::CutSource { .. } => Stage::Moisture,
        Change::Exhaust { .. }
        | Change::Hood { .. }
        | Change::Supply { .. }
        | Change::Balanced { .. }
        | Change::Intake { .. }
        | Change::Transfer { .. }
        | Change::Door { .. }
        | Change::RunFan { .. } => Stage::Ventilation,
        Change::Speed { what, .. } if what.value != "air_handler" => Stage::Ventilation,
        Change::Seal { .. } | Change::CloseOpening { .. } => Stage::AirBarrier,
        Change::SealDucts { .. } => Stage::Ducts,
        Change::Insulate { .. } | Change::Glazing { .. } | Change::Shade { .. } => Stage::Insulation,
        Change::Filter { .. }
        | Change::Cleaner { .. }
        | Change::Mixing { .. }
        | Change::Dehumidify(_)
        | Change::Humidify(_)
        | Change::Remove { .. }
        | Change::Speed { .. }
        | Change::SetPoints { .. }
        | Change::Rules { .. } => Stage::Equipment,
    }
}

/// Indices of the changes in the order of work; those of one stage stay as written.
pub fn in_order(changes: &[Change]) -> Vec<(Stage, usize)> {
    let mut order: Vec<(Stage, usize)> = changes.iter().enumerate().map(|(i, c)| (stage(c), i)).collect();
    order.sort();
    order
}

/// What an instrument shows.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
#[serde(tag = "kind", rename_all = "kebab-case")]
pub enum MarkKind {
    /// Pressure in a zone outside the air barrier against the rooms, which a test fan holds 50 Pa below
    /// outdoors: it rises towards 50 Pa as the barrier between them gets tight.
    ZonePressure {
        /// Where it is felt.
        zone: usize,
        /// The room it is compared with.
        against: usize,
    },
    /// Flow of the test fan that holds the rooms 50 Pa below outdoors: it falls.
    TestFlow,
    /// Pressure in a room against the next one, door shut and air handler on: it gets smaller.
    RoomPressure {
        /// The room.
        zone: usize,
        /// What it is compared with.
        against: usize,
    },
    /// Air that the supply ducts lose in operation: it falls.
    SupplyLoss,
    /// Air that the return ducts draw in in operation: it falls.
    ReturnLoss,
    /// Pressure of the zone of an appliance against outdoors with every exhaust on and inner doors shut.
    AppliancePressure {
        /// Index of the appliance.
        appliance: usize,
    },
}

impl MarkKind {
    /// What it measures.
    pub fn quantity(self) -> Quantity {
        match self {
            MarkKind::TestFlow | MarkKind::SupplyLoss | MarkKind::ReturnLoss => Quantity::AirFlow,
            _ => Quantity::Pressure,
        }
    }

    /// Whether the number gets larger as the work goes on.
    pub fn rises(self) -> bool {
        matches!(self, MarkKind::ZonePressure { .. })
    }
}

/// A number to reach while the crew is there.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Mark {
    /// What is read.
    #[serde(flatten)]
    pub kind: MarkKind,
    /// Before this step, the steps before it done.
    pub before: Estimate,
    /// After it, as far as the plan says.
    pub after: Estimate,
}

/// One change of a plan with its marks.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Step {
    /// What kind of work.
    pub stage: Stage,
    /// Index in the plan's changes.
    pub change: usize,
    /// What to read; empty where no instrument of the trade shows it at once.
    pub marks: Vec<Mark>,
}

/// The changes in the order of work, each with what to read after it, over draws of the house.
///
/// Every step rests on those before it. A share of success that the plan states as a range is drawn
/// anew for each house, the same in all steps and in the plan's years ([`super::compare`]). Air at
/// one temperature, no wind, for the test fan; the cold evening of [`Scene`] for rooms and appliances.
pub fn marks(house: &House, draws: &[Vec<f64>], changes: &[Change], seed: u64) -> Vec<Step> {
    let order = in_order(changes);
    let mut now: Vec<(House, Vec<f64>, Luck)> = draws
        .iter()
        .enumerate()
        .map(|(draw, theta)| (house.clone(), theta.clone(), Luck { seed, draw }))
        .collect();
    let mut steps = Vec::with_capacity(order.len());
    // Appliances that went in an earlier step, or are sealed against the house now, feel nothing.
    let mut gone: Vec<&str> = Vec::new();
    for (stage, index) in order {
        let change = &changes[index];
        if let Change::Replace { appliance, by: None | Some(Draft::Sealed) } = change {
            gone.push(&appliance.value);
        }
        let kinds = kinds(house, change, &gone);
        let read = |now: &[(House, Vec<f64>, Luck)]| -> Vec<Vec<f64>> {
            let of = |kind: &MarkKind| now.iter().map(|(h, t, _)| value(h, t, *kind)).collect();
            kinds.iter().map(of).collect()
        };
        let before = read(&now);
        for (house, theta, luck) in &mut now {
            step(house, theta, change, *luck);
            beyond(house, theta, change, *luck);
        }
        let after = read(&now);
        let told = |(kind, (before, after)): (&MarkKind, (Vec<f64>, Vec<f64>))| Mark {
            kind: *kind,
            before: estimate(before, kind.quantity()),
            after: estimate(after, kind.quantity()),
        };
        let marks = kinds.iter().zip(before.into_iter().zip(after)).map(told).collect();
        steps.push(Step { stage, change: index, marks });
    }
    steps
}

/// What [`step`] leaves to the year's model and the marks feel: openings between rooms, ducts, new fans.
fn beyond(house: &mut House, theta: &mut Vec<f64>, change: &Change, luck: Luck) {
    match change {
        Change::Transfer { between, area_m2 } => {
            let zones: Vec<usize> = between.iter().filter_map(|b| house.zone(&b.value)).collect();
            if let [a, b] = zones[..] {
                let c = AREA_DISCHARGE * area_m2 * (2.0 / crate::air::REFERENCE_DENSITY_KG_M3).sqrt();
                house.elements.push(Element {
                    a: Place::Zone(a),
                    b: Place::Zone(b),
                    z_m: crate::fit::observe::common_height_m(house, Some(a), Some(b)),
                    // Open all the time.
                    law: Law::Damper { c_m3_s_pan: c, closed_c_m3_s_pan: c, opens_pa: 0.0 },
                    owner: Owner::Part(usize::MAX),
                });
            }
        }
        Change::SealDucts { removes } => {
            let Some(h) = &house.air_handler else { return };
            // As the year has it: one luck for both sides.
            let left = 1.0 - luck.within("air_handler", *removes).clamp(0.0, 0.99);
            for param in [h.supply_leak, h.return_leak] {
                let value = house.value(param, theta) * left;
                theta[param] = house.params[param].scale.theta(value);
            }
        }
        Change::Exhaust { from, flow_m3_s, .. } => fan(house, theta, from, *flow_m3_s, false),
        Change::Hood { zone, flow_m3_s, .. } | Change::VentDryer { zone, flow_m3_s } => {
            fan(house, theta, zone, *flow_m3_s, false);
        }
        Change::Balanced { to, from, flow_m3_s, exhaust_m3_s, .. } => {
            fan(house, theta, from, *exhaust_m3_s, false);
            fan(house, theta, to, *flow_m3_s, true);
        }
        // Air that a supply fan brings is not counted on where a burner could draw too little.
        _ => {}
    }
}

/// A fan of fixed flow between a zone and outdoors, which everything-on runs.
fn fan(house: &mut House, theta: &mut Vec<f64>, zone: &Sp<String>, flow_m3_s: f64, blows_in: bool) {
    let Some(z) = house.zone(&zone.value).filter(|_| flow_m3_s > 0.0) else { return };
    // Every unknown of the house has its place in `theta`.
    if theta.len() != house.params.len() {
        return;
    }
    let (room, out) = (Place::Zone(z), Place::Outdoors(0));
    let between = if blows_in { [out, room] } else { [room, out] };
    let mean = Scale::Ln.theta(flow_m3_s);
    let name = Sp { value: String::new(), span: zone.span.clone() };
    let element = Element {
        a: between[0],
        b: between[1],
        z_m: house.zones[z].middle_m(),
        law: Law::Fan { fan: house.fans.len() },
        owner: Owner::Fan(house.fans.len()),
    };
    house.fans.push(Fan {
        text: FanText {
            name: name.clone(),
            label: String::new(),
            from: name.clone(),
            to: name,
            flow_m3_s: Some((flow_m3_s, flow_m3_s)),
            power_w: 0.0,
            runs_s: Vec::new(),
            capture: 0.0,
            safety_exhaust: false,
            parts: FanParts::default(),
        },
        between,
        flow: theta.len(),
    });
    house.elements.push(element);
    house.params.push(Param {
        name: String::new(),
        label: String::new(),
        kind: ParamKind::FanFlow,
        scale: Scale::Ln,
        mean,
        sd: 0.0,
    });
    theta.push(mean);
}

/// What shows that a change is done.
fn kinds(house: &House, change: &Change, gone: &[&str]) -> Vec<MarkKind> {
    let mut out = Vec::new();
    let mut add = |kind: MarkKind| {
        if !out.contains(&kind) {
            out.push(kind);
        }
    };
    let rooms = fan_zone(house);
    match change {
        Change::Seal { what, .. } => {
            let named = what.iter().filter_map(|w| house.leaks.iter().find(|l| l.name == w.value));
            for leak in named {
                if let Some((zone, against)) = across(house, leak.between) {
                    add(MarkKind::ZonePressure { zone, against });
                }
            }
            if rooms.is_some() {
                add(MarkKind::TestFlow);
            }
        }
        Change::CloseCrawl { zone, .. } => {
            if let (Some(zone), Some(against)) = (house.zone(&zone.value), rooms) {
                add(MarkKind::ZonePressure { zone, against });
            }
        }
        Change::SealDucts { .. } if house.air_handler.is_some() => {
            add(MarkKind::SupplyLoss);
            add(MarkKind::ReturnLoss);
        }
        Change::Transfer { between, .. } if house.air_handler.is_some() => {
            let zones: Vec<usize> = between.iter().filter_map(|b| house.zone(&b.value)).collect();
            if let [zone, against] = zones[..] {
                add(MarkKind::RoomPressure { zone, against });
            }
        }
        _ => {}
    }
    if crate::gate::effects(change, house).is_empty() {
        return out;
    }
    for (appliance, a) in house.appliances.iter().enumerate() {
        // One that is sealed against the room does not feel it.
        if a.draft != Draft::Sealed && !gone.contains(&a.name.as_str()) {
            add(MarkKind::AppliancePressure { appliance });
        }
    }
    out
}

/// The zone outside the air barrier and the room inside it, of a leak between two zones.
fn across(house: &House, between: [Place; 2]) -> Option<(usize, usize)> {
    let [Place::Zone(a), Place::Zone(b)] = between else { return None };
    let inside = |z: usize| house.zones[z].kind.is_indoors() && house.zones[z].kind != ZoneKind::Plenum;
    match (inside(a), inside(b)) {
        (true, false) => Some((b, a)),
        (false, true) => Some((a, b)),
        _ => None,
    }
}

/// One number in one house; not a number where the network has no solution.
fn value(house: &House, theta: &[f64], kind: MarkKind) -> f64 {
    let solved = |scene: Option<&Scene>| -> Option<Air> {
        let mut air = Air::new(house).ok()?;
        air.boundary.wind_pa.fill(0.0);
        match scene {
            Some(s) => {
                air.set_temperatures(&s.zone_k, s.outdoor_k, s.pressure_pa);
                air.set(house, theta, &s.setup, TestFan::Off).ok()?;
            }
            None => {
                let even = vec![crate::air::REFERENCE_TEMP_K; house.zones.len()];
                let pressure = crate::air::STANDARD_PRESSURE_PA;
                air.set_temperatures(&even, crate::air::REFERENCE_TEMP_K, pressure);
                let fan = TestFan::Hold { zone: fan_zone(house)?, pa: -STATED_AT_PA };
                air.set(house, theta, &start(house), fan).ok()?;
            }
        }
        air.solve().ok()?;
        Some(air)
    };
    let height = |a: usize, b: Option<usize>| crate::fit::observe::common_height_m(house, Some(a), b);
    let found = match kind {
        MarkKind::ZonePressure { zone, against } => solved(None)
            .map(|air| air.pressure_between_pa(Some(zone), Some(against), height(zone, Some(against)))),
        MarkKind::TestFlow => fan_zone(house)
            .zip(solved(None))
            .map(|(zone, air)| -air.solution.held_flow_kg_s[zone] / air.boundary.outdoor_density_kg_m3),
        MarkKind::RoomPressure { zone, against } => {
            let mut scene = Scene::cold_evening(house, crate::air::STANDARD_PRESSURE_PA);
            let both = [Place::Zone(zone), Place::Zone(against)];
            for (open, door) in scene.setup.open.iter_mut().zip(&house.doors) {
                if both.iter().all(|z| door.between.contains(z)) {
                    *open = false;
                }
            }
            solved(Some(&scene))
                .map(|air| air.pressure_between_pa(Some(zone), Some(against), height(zone, Some(against))))
        }
        MarkKind::SupplyLoss | MarkKind::ReturnLoss => house.air_handler.as_ref().map(|h| {
            let leak = if kind == MarkKind::SupplyLoss { h.supply_leak } else { h.return_leak };
            house.value(h.flow, theta) * house.value(leak, theta)
        }),
        MarkKind::AppliancePressure { appliance } => house.appliances.get(appliance).and_then(|a| {
            let mut scene = Scene::everything_on(house, crate::air::STANDARD_PRESSURE_PA);
            for (open, door) in scene.setup.open.iter_mut().zip(&house.doors) {
                let inner = door
                    .between
                    .iter()
                    .all(|p| matches!(p, Place::Zone(z) if house.zones[*z].kind.is_indoors()));
                *open &= !inner;
            }
            solved(Some(&scene))
                .map(|air| air.pressure_between_pa(Some(a.zone), None, house.zones[a.zone].floor_m))
        }),
    };
    found.unwrap_or(f64::NAN)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diag::Span;
    use crate::doc::Sp;
    use crate::doc::plans::Sealing;

    fn named(text: &str) -> Sp<String> {
        Sp { value: text.to_owned(), span: Span::new("plans.toml", 0..0) }
    }

    fn seal(what: &str, share: f64) -> Change {
        Change::Seal { what: vec![named(what)], how: Sealing::Removes((share, share)) }
    }

    const HOUSE: &str = r#"
format = 1
[zone.main]
kind = "living"
volume = "250 m3"
floor_area = "100 m2"
floor = "0.5 m"
ceiling = "3 m"
[zone.attic]
kind = "attic"
volume = "100 m3"
floor_area = "100 m2"
floor = "3 m"
ceiling = "5 m"
[leak.walls]
between = ["main", "outdoors"]
at50 = "0.2 to 0.2001 m3/s"
[leak.ceiling]
between = ["main", "attic"]
at50 = "0.1 to 0.1001 m3/s"
[leak.vents]
between = ["attic", "outdoors"]
at50 = "0.4 to 0.4001 m3/s"
"#;

    fn house() -> House {
        read(HOUSE)
    }

    fn read(text: &str) -> House {
        let sink = crate::doc::Sink::default();
        let file = crate::doc::File { name: "house.toml".to_owned(), text: text.to_owned() };
        let text = crate::doc::house::read(&file, &sink);
        let house = crate::house::build(&text, &sink);
        assert!(!sink.borrow().has_errors(), "{:?}", sink.borrow().list);
        house
    }

    #[test]
    fn hazards_come_first_and_machines_last() {
        let changes = [
            Change::Mixing { share: 0.3 },
            seal("ceiling", 0.5),
            Change::SealDucts { removes: (0.5, 0.5) },
            Change::GroundCover { zone: named("attic"), cover: 1.0 },
            Change::Transfer { between: [named("main"), named("attic")], area_m2: 0.03 },
            Change::Replace { appliance: named("heater"), by: None },
            seal("walls", 0.5),
        ];
        let order: Vec<usize> = in_order(&changes).iter().map(|o| o.1).collect();
        assert_eq!(order, [5, 3, 4, 1, 6, 2, 0]);
    }

    /// A fan of 0.02 m3/s that the plan adds draws on the heater more than the house as found, and a heater
    /// that went before feels nothing.
    #[test]
    fn a_new_exhaust_is_felt_by_a_burner_that_is_still_there() {
        let with_heater = format!(
            "{HOUSE}[appliance.heater]\nzone = \"main\"\ndraft = \"natural\"\nflue_area = \"60 to 61 cm2\"\n\
             flue_top = \"6 m\"\n"
        );
        let house = read(&with_heater);
        let theta = house.prior_mean();
        let exhaust = Change::Exhaust {
            from: named("main"),
            flow_m3_s: 0.02,
            power_w: 10.0,
            when: crate::doc::plans::When::Always,
        };
        let steps = marks(&house, std::slice::from_ref(&theta), std::slice::from_ref(&exhaust), 1);
        let mark = &steps[0].marks[0];
        assert_eq!(mark.kind, MarkKind::AppliancePressure { appliance: 0 });
        assert!(mark.after.si < mark.before.si - 0.05, "{} {}", mark.before.si, mark.after.si);
        let replaced = Change::Replace { appliance: named("heater"), by: None };
        let steps = marks(&house, &[theta], &[exhaust, replaced], 1);
        assert_eq!(steps.iter().map(|s| s.change).collect::<Vec<_>>(), [1, 0]);
        assert!(steps.iter().all(|s| s.marks.is_empty()), "{steps:?}");
    }

    /// By hand: two leaks in series of one exponent n pass one flow, so that the drops go as
    /// (q_vents / q_ceiling)^(1/n): with 0.1 and 0.4 m3/s, n = 0.65, the attic takes
    /// 50 / (1 + (0.4 / 0.1)^(1 / 0.65)) = 5.30 Pa of 50 and stands 44.7 Pa above the rooms; half the
    /// ceiling sealed, 50 / (1 + 8^(1 / 0.65)) = 1.96 Pa, 48.0 Pa.
    #[test]
    fn the_attic_against_the_rooms_rises_as_the_ceiling_gets_tight() {
        let house = house();
        let mut theta = house.prior_mean();
        // The exponent the numbers above are worked with.
        for (k, p) in house.params.iter().enumerate() {
            if p.kind == ParamKind::CommonExponent {
                theta[k] = p.scale.theta(0.65);
            }
        }
        let steps = marks(&house, &[theta], &[seal("ceiling", 0.5)], 1);
        assert_eq!(steps.len(), 1);
        let zone = &steps[0].marks[0];
        assert_eq!(zone.kind, MarkKind::ZonePressure { zone: 1, against: 0 });
        assert!((zone.before.si - 44.7).abs() < 0.15, "{}", zone.before.si);
        assert!((zone.after.si - 48.0).abs() < 0.15, "{}", zone.after.si);
        let fan = &steps[0].marks[1];
        assert_eq!(fan.kind, MarkKind::TestFlow);
        assert!(fan.after.si < fan.before.si && fan.after.si > 0.2);
    }
}
