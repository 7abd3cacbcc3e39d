//! The section drawing and the pressure ladder of one scene.

use engine::doc::house::ZoneKind;
use engine::fit::scene::{Picture, owner_label};
use engine::house::{House, Owner, Place};
use report::view::{self, Drop, HouseDrawing, Ladder, Number, OUTDOORS, Passage, PassageKind, Rung, Zone};
use report::words::{Show, Words};

/// A leak whose exponent is below this is drawn as a hole, not as cracks.
const HOLE: f64 = 0.56;
/// Names of the duct zones that the drawing adds.
const SUPPLY: &str = "(supply)";
const RETURN: &str = "(return)";

fn kind(kind: ZoneKind) -> view::ZoneKind {
    match kind {
        ZoneKind::Living => view::ZoneKind::Living,
        ZoneKind::Appliance => view::ZoneKind::Closet,
        ZoneKind::Attic | ZoneKind::Garage | ZoneKind::Plenum => view::ZoneKind::Buffer,
        ZoneKind::Crawl | ZoneKind::Basement => view::ZoneKind::Ground,
    }
}

/// The house in a scene; `selected` is the zone the page talks about.
pub(crate) fn drawing(
    house: &House,
    picture: &Picture,
    selected: Option<usize>,
    words: &Words,
) -> HouseDrawing {
    let mut zones = zones(house, selected);
    for (zone, rung) in zones.iter_mut().zip(&picture.rungs) {
        zone.pressure = Some(Number::computed(rung.middle).signed());
    }
    if let Some(h) = &house.air_handler {
        let place = &house.zones[h.zone];
        for (id, key) in [(SUPPLY, "duct-supply"), (RETURN, "duct-return")] {
            zones.push(Zone {
                id: id.to_owned(),
                name: words.say(key),
                kind: view::ZoneKind::Duct,
                floor_m: place.floor_m,
                ceiling_m: place.ceiling_m,
                width: 1.0,
                storey: storey(house, h.zone),
                pressure: None,
                inside: Some(place.name.clone()),
                selected: false,
            });
        }
    }
    HouseDrawing {
        title: words.say("scene-cold-evening-title"),
        setup: words.say("scene-cold-evening"),
        zones,
        passages: passages(house, picture, selected, words),
    }
}

/// The zones without what the air does.
fn zones(house: &House, selected: Option<usize>) -> Vec<Zone> {
    house
        .zones
        .iter()
        .enumerate()
        .map(|(i, z)| Zone {
            id: z.name.clone(),
            name: z.label.clone(),
            kind: kind(z.kind),
            floor_m: z.floor_m,
            ceiling_m: z.ceiling_m,
            width: z.floor_area_m2,
            storey: storey(house, i),
            pressure: None,
            inside: None,
            selected: selected == Some(i),
        })
        .collect()
}

/// The house alone, for marks on it; `selected` is the zone where something is read.
pub(crate) fn plain(house: &House, selected: Option<usize>, title: String, setup: String) -> HouseDrawing {
    HouseDrawing { title, setup, zones: zones(house, selected), passages: Vec::new() }
}

/// Storeys count from the lowest lived-in floor.
fn storey(house: &House, zone: usize) -> i32 {
    let mut floors: Vec<f64> =
        house.zones.iter().filter(|z| z.kind.is_indoors()).map(|z| z.floor_m).collect();
    floors.sort_by(f64::total_cmp);
    floors.dedup_by(|a, b| (*a - *b).abs() < 1.0);
    let z = &house.zones[zone];
    if !z.kind.is_indoors() && z.ceiling_m <= floors.first().copied().unwrap_or(0.0) + 0.3 {
        return -1;
    }
    let below = floors.iter().filter(|f| **f <= z.floor_m + 0.5).count();
    let at = i32::try_from(below).unwrap_or(1) - 1;
    if z.kind == ZoneKind::Attic { at + 1 } else { at }
}

fn passages(house: &House, picture: &Picture, selected: Option<usize>, words: &Words) -> Vec<Passage> {
    let id = |zone: Option<usize>| zone.map_or_else(|| OUTDOORS.to_owned(), |z| house.zones[z].name.clone());
    let handler = house.air_handler.as_ref();
    let middle = house.prior_mean();
    picture
        .streams
        .iter()
        .map(|s| {
            let (mut from, mut to) = (id(s.from), id(s.to));
            let (kind, label) = match s.owner {
                Owner::Leak(l) => {
                    let big = house.exponent(house.leaks[l].exponent, &middle) < HOLE;
                    (if big { PassageKind::Vent } else { PassageKind::Leak }, owner_label(house, s.owner))
                }
                Owner::Door(_) => (PassageKind::Door, owner_label(house, s.owner)),
                Owner::Fan(_) => (PassageKind::Fan, owner_label(house, s.owner)),
                Owner::Flue(_) => (PassageKind::Flue, owner_label(house, s.owner)),
                Owner::Part(_) => (PassageKind::Vent, owner_label(house, s.owner)),
                Owner::Register(r) => {
                    let supply = match handler.and_then(|h| h.registers.get(r)) {
                        Some(register) => register.1,
                        // A duct leak: supply where it ends in the handler's zone.
                        None => s.to == handler.map(|h| h.zone),
                    };
                    if supply {
                        SUPPLY.clone_into(&mut from);
                    } else {
                        RETURN.clone_into(&mut to);
                    }
                    let label = if r == usize::MAX {
                        words.say(if supply { "param-supply-leak" } else { "param-return-leak" })
                    } else {
                        owner_label(house, s.owner)
                    };
                    (PassageKind::Duct, label)
                }
            };
            Passage {
                via_buffer: s.from.is_some_and(|z| !house.zones[z].kind.is_indoors())
                    && s.to.is_some_and(|z| house.zones[z].kind.is_indoors())
                    && from != SUPPLY
                    || s.owner == Owner::Register(usize::MAX) && to == RETURN,
                selected: selected.is_some_and(|z| touches(house, s.owner, z)),
                from,
                to,
                height_m: s.z_m,
                flow: Number::computed(s.flow),
                kind,
                label,
            }
        })
        .collect()
}

/// Whether the door of the zone the page talks about is meant.
fn touches(house: &House, owner: Owner, zone: usize) -> bool {
    matches!(owner, Owner::Door(d) if house.doors[d].between.contains(&Place::Zone(zone)))
}

/// The pressure ladder of the scene; the drop is the one across the selected zone's door.
pub(crate) fn ladder(house: &House, picture: &Picture, selected: Option<usize>, words: &Words) -> Ladder {
    let rungs = house
        .zones
        .iter()
        .zip(&picture.rungs)
        .enumerate()
        .map(|(i, (z, r))| Rung {
            name: z.label.clone(),
            middle: Number::computed(r.middle).signed(),
            floor_pa: r.floor.si,
            ceiling_pa: r.ceiling.si,
            selected: selected == Some(i),
        })
        .collect();
    Ladder { rungs, drop: selected.and_then(|z| drop(house, picture, z, words)) }
}

fn drop(house: &House, picture: &Picture, zone: usize, words: &Words) -> Option<Drop> {
    let stream = picture
        .streams
        .iter()
        .filter(|s| matches!(s.owner, Owner::Door(_)) && (s.from == Some(zone) || s.to == Some(zone)))
        .max_by(|a, b| a.flow.si.total_cmp(&b.flow.si))?;
    let (from, to) = (stream.from?, stream.to?);
    // At the door's foot: between floor and ceiling pressure by height.
    let at = |z: usize| {
        let (r, zone) = (&picture.rungs[z], &house.zones[z]);
        let part = ((stream.z_m - zone.floor_m) / (zone.ceiling_m - zone.floor_m)).clamp(0.0, 1.0);
        r.floor.si + part * (r.ceiling.si - r.floor.si)
    };
    let flow = words.about(stream.flow.si, engine::units::Quantity::AirFlow, Show::default());
    Some(Drop {
        from,
        to,
        from_pa: at(from),
        to_pa: at(to),
        label: words
            .text("ladder-drop", &[("flow", flow.into()), ("door", owner_label(house, stream.owner).into())]),
    })
}
