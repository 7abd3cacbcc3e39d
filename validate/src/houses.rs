//! A house with everything in it, and a year of weather, for tests and benches of whole years.

use engine::device::{Coil, Dehumidifier, Plant, Recovery, person};
use engine::network::{Kind, Network, NetworkError, Node, Passage as Way};
use engine::weather::sun::Plane;
use engine::weather::{Weather, read};
use engine::year::wind::{Exposure, Site, Terrain};
use engine::year::{
    Beyond, Cooling, Delivery, Door, Drier, DuctLeak, ExhaustFan, Gain, Ground, Handler, Heating, Model,
    Occupant, OutdoorAir, Passage, Schedule, Source, SunOn, Surface, Thermostat, Ventilator, WetGround,
    Window, Zone, ZoneKind,
};
use std::f64::consts::PI;

/// The year of weather that the program ships.
pub fn greensboro() -> Result<Weather, String> {
    let file = "greensboro-723170.csv";
    let (weather, found) = read(file, include_str!("../../api/assets/weather/greensboro-723170.csv"));
    weather.filter(|_| found.list.is_empty()).ok_or_else(|| format!("{file}: {found:?}"))
}

/// Place of the living room, with thermostat and return.
pub const LIVING: usize = 0;
/// Place of the kitchen.
pub const KITCHEN: usize = 1;
/// Place of the bedroom of two adults.
pub const BED: usize = 2;
/// Place of the bath.
pub const BATH: usize = 3;
/// Place of the crawl space.
pub const CRAWL: usize = 4;
/// Place of the attic.
pub const ATTIC: usize = 5;

fn zones() -> Vec<Zone> {
    let mut zones = vec![
        Zone::usual("living", ZoneKind::Conditioned, 0.6, 3.1, 50.0),
        Zone::usual("kitchen", ZoneKind::Conditioned, 0.6, 3.1, 20.0),
        Zone::usual("bedroom", ZoneKind::Conditioned, 0.6, 3.1, 16.0),
        Zone::usual("bath", ZoneKind::Conditioned, 0.6, 3.1, 8.0),
        Zone::usual("crawl space", ZoneKind::Buffer, -0.3, 0.6, 94.0),
        Zone::usual("attic", ZoneKind::Buffer, 3.1, 4.5, 94.0),
    ];
    zones[ATTIC].start_k = 285.0;
    zones[CRAWL].start_k = 288.0;
    zones
}

fn leak(a: Node, b: Node, z_m: f64, c_m3_s_pan: f64) -> Way {
    Way { a, b, z_m, kind: Kind::Leak { c_m3_s_pan, n: 0.65 } }
}

/// Passages, what each lets through, and the place of the bedroom's door.
fn ways() -> (Vec<Way>, Vec<Passage>, usize) {
    let wall = |face: usize| Node::Outdoors { wind: face };
    let z = Node::Zone;
    let mut ways = Vec::new();
    // Envelope: low and high on the walls of each room.
    for (zone, face) in [(LIVING, 0), (LIVING, 1), (KITCHEN, 2), (BED, 1), (BED, 3), (BATH, 2)] {
        ways.push(leak(wall(face), z(zone), 1.0, 0.0025));
        ways.push(leak(wall(face), z(zone), 2.8, 0.0025));
    }
    // Ceiling and floor.
    for zone in [LIVING, KITCHEN, BED, BATH] {
        ways.push(leak(z(zone), z(ATTIC), 3.1, 0.004));
        ways.push(leak(z(CRAWL), z(zone), 0.6, 0.003));
    }
    // Vents of attic and crawl space.
    for face in [0, 3] {
        ways.push(leak(wall(face), z(ATTIC), 3.5, 0.08));
        ways.push(leak(wall(face), z(CRAWL), 0.3, 0.04));
    }
    // Doors: gaps, and the open door of the bedroom.
    let gaps = ways.len();
    for zone in [KITCHEN, BED, BATH] {
        ways.push(leak(z(LIVING), z(zone), 0.6, 0.012));
    }
    let opening = Kind::Opening { width_m: 0.8, height_m: 2.0, bottom_m: 0.6, discharge: 0.6 };
    let door = ways.len();
    ways.push(Way { a: z(LIVING), b: z(BED), z_m: 0.6, kind: opening.clone() });
    ways.push(Way { a: z(LIVING), b: z(KITCHEN), z_m: 0.6, kind: opening });
    ways.push(leak(z(CRAWL), z(ATTIC), 2.0, 0.001));
    let passages = (0..ways.len())
        .map(|k| Passage { pm25_passed: if (gaps..=door + 1).contains(&k) { 1.0 } else { 0.8 } })
        .collect();
    (ways, passages, door)
}

fn surfaces() -> Vec<Surface> {
    let mut surfaces = Vec::new();
    for (zone, out, up, down) in
        [(LIVING, 45.0, 12.0, 15.0), (KITCHEN, 20.0, 5.0, 6.0), (BED, 18.0, 4.0, 5.0), (BATH, 8.0, 2.0, 2.5)]
    {
        surfaces.push(Surface { zone, beyond: Beyond::Outdoors(None), conductance_w_k: out });
        surfaces.push(Surface { zone, beyond: Beyond::Zone(ATTIC), conductance_w_k: up });
        surfaces.push(Surface { zone, beyond: Beyond::Zone(CRAWL), conductance_w_k: down });
    }
    for azimuth_rad in [0.0, PI] {
        let plane = Plane { azimuth_rad, tilt_rad: 0.4 };
        let sun = SunOn { plane, absorptance: 0.85, film_w_m2_k: 20.0, sky_k: 4.0 };
        surfaces.push(Surface { zone: ATTIC, beyond: Beyond::Outdoors(Some(sun)), conductance_w_k: 110.0 });
    }
    surfaces.push(Surface { zone: CRAWL, beyond: Beyond::Ground, conductance_w_k: 90.0 });
    surfaces.push(Surface { zone: CRAWL, beyond: Beyond::Outdoors(None), conductance_w_k: 40.0 });
    surfaces
}

/// An invented house of six zones and thirty passages, everything in it.
///
/// # Errors
/// [`NetworkError`], which would be a mistake here.
pub fn six_zones(weather: &Weather) -> Result<Model, NetworkError> {
    let zones = zones();
    let (ways, passages, door) = ways();
    let network = Network::new(zones.iter().map(|z| z.name.clone()), ways)?;
    let side = PI / 2.0;
    let faces = (0..4)
        .map(|k| Exposure::Wall {
            azimuth_rad: f64::from(k) * side,
            side_ratio: if k % 2 == 0 { 1.5 } else { 1.0 / 1.5 },
        })
        .collect();
    let vertical = |azimuth_rad| Plane { azimuth_rad, tilt_rad: side };
    let window =
        |zone, area_m2, azimuth_rad| Window { zone, area_m2, shgc: 0.35, plane: vertical(azimuth_rad) };

    let asleep = |hour: usize| !(7..22).contains(&hour);
    let basal_w = person::basal_w(person::Sex::Female, 35.0, 70.0);
    let places = std::array::from_fn(|h| {
        if asleep(h) {
            Some(BED)
        } else if (9..17).contains(&h) {
            None
        } else {
            Some(LIVING)
        }
    });
    let met = std::array::from_fn(|h| if asleep(h) { person::ASLEEP_MET } else { 1.3 });
    let adult = Occupant::person(basal_w, places, met);
    let event = |zone, start_h: f64, duration_s, pm25_mg_min: f64, water_kg: f64, capture| Source {
        zone,
        start_s: start_h * 3600.0,
        duration_s,
        pm25_kg_s: pm25_mg_min * 1e-6 / 60.0,
        water_kg_s: water_kg / duration_s,
        co2_m3_s: 0.0,
        heat_w: 0.0,
        capture,
    };
    let hours =
        |from: usize, to: usize| std::array::from_fn(|h| if (from..to).contains(&h) { 1.0 } else { 0.0 });
    Ok(Model {
        zones,
        network,
        passages,
        faces,
        site: Site {
            terrain: Terrain::SUBURB,
            height_m: 4.0,
            shelter: 0.7,
            station: Terrain::OPEN,
            mast_m: 10.0,
        },
        surfaces: surfaces(),
        windows: vec![window(LIVING, 8.0, PI), window(KITCHEN, 3.0, 0.0), window(BED, 3.0, side)],
        ground: Ground::under_house(weather),
        wet_ground: vec![WetGround { zone: CRAWL, transfer_kg_s: 0.003 * 20.0 }],
        occupants: vec![adult.clone(), adult],
        gains: vec![Gain { zone: LIVING, heat_w: [150.0; 24] }, Gain { zone: KITCHEN, heat_w: [120.0; 24] }],
        sources: vec![
            event(KITCHEN, 18.0, 1200.0, 1.5, 0.5, 0.5),
            event(BATH, 7.0, 600.0, 0.0, 0.4, 0.0),
            event(LIVING, 0.0, 86_400.0, 0.0, 2.0, 0.0),
        ],
        doors: vec![Door {
            passage: door,
            open: engine::year::Open::Hours(std::array::from_fn(|h| !asleep(h))),
        }],
        exhausts: vec![
            ExhaustFan {
                zone: KITCHEN,
                flow_kg_s: 0.12,
                schedule: Schedule::Hours(hours(18, 19)),
                power_w: 80.0,
                heats: None,
            },
            ExhaustFan {
                zone: BATH,
                flow_kg_s: 0.03,
                schedule: Schedule::Humidity { zone: BATH, rh: 0.65, band: 0.05 },
                power_w: 15.0,
                heats: None,
            },
        ],
        cleaners: Vec::new(),
        ventilators: vec![Ventilator {
            supply_kg_s: vec![(LIVING, 0.02), (BED, 0.01)],
            exhaust_kg_s: vec![(BATH, 0.03)],
            recovery: Recovery { sensible: 0.65, latent: 0.4 },
            pm25_efficiency: 0.5,
            schedule: Schedule::Hours(hours(6, 23)),
            power_w: 40.0,
        }],
        handler: Some(Handler {
            flow_kg_s: 0.5,
            supplies: vec![(LIVING, 0.5), (KITCHEN, 0.2), (BED, 0.2), (BATH, 0.1)],
            returns: vec![(LIVING, 1.0)],
            supply_leak: Some(DuctLeak { share: 0.08, zone: Some(ATTIC) }),
            return_leak: Some(DuctLeak { share: 0.05, zone: Some(CRAWL) }),
            supply_ducts: vec![],
            return_ducts: vec![],
            pm25_efficiency: 0.3,
            power_w: 350.0,
            intake_share: 0.0,
            least_duty: 0.1,
            rise_pa: f64::NAN,
            filter_pa: f64::NAN,
        }),
        thermostat: Some(Thermostat {
            zone: LIVING,
            heat_k: std::array::from_fn(|h| if asleep(h) { 291.15 } else { 294.15 }),
            cool_k: [298.15; 24],
            set_backs: vec![],
            band_k: 0.0,
        }),
        heating: Some(Heating { plant: Plant::heat_pump(9000.0, 3.6, 5000.0), delivery: Delivery::Handler }),
        cooling: Some(Cooling {
            plant: Plant::air_conditioner(9000.0, 3.5),
            coil: Coil { bypass: 0.15, holds_kg: 0.5 },
            delivery: Delivery::Handler,
            own_flow_kg_s: 0.0,
        }),
        driers: vec![Drier {
            zone: CRAWL,
            unit: Dehumidifier {
                capacity_kg_s: 20.0 / 86_400.0,
                efficiency_kg_j: 1.8 / 3.6e6,
                rating_k: 291.48,
                rating_rh: 0.6,
                set_rh: 0.65,
                band_rh: 0.06,
            },
        }],
        hot_water: vec![],
        humidifiers: vec![],
        gases: vec![],
        outdoor: OutdoorAir::default(),
        summer: None,
        appliance_zone: Some(LIVING),
    })
}

/// Two of [`six_zones`] side by side with a party wall: twelve zones, sixty passages, one handler of
/// twice the flow.
///
/// # Errors
/// [`NetworkError`], which would be a mistake here.
pub fn twelve_zones(weather: &Weather) -> Result<Model, NetworkError> {
    let one = six_zones(weather)?;
    let zones = one.zones.len();
    let (mut ways, mut names) = (one.network.passages().to_vec(), Vec::new());
    let first = ways.len();
    let moved = |node: Node| match node {
        Node::Zone(zone) => Node::Zone(zone + zones),
        outdoors @ Node::Outdoors { .. } => outdoors,
    };
    ways.extend(one.network.passages().iter().map(|w| Way { a: moved(w.a), b: moved(w.b), ..w.clone() }));
    // The last leak of the second house joins the living rooms instead.
    if let Some(last) = ways.last_mut() {
        *last = leak(Node::Zone(LIVING), Node::Zone(LIVING + zones), 1.5, 0.002);
    }
    for half in ["east", "west"] {
        names.extend(one.zones.iter().map(|z| format!("{half} {}", z.name)));
    }
    let network = Network::new(names, ways)?;
    let mut two = Model { network, ..one.clone() };
    two.zones.extend(one.zones.iter().cloned());
    two.passages.extend(one.passages.iter().copied());
    two.surfaces.extend(one.surfaces.iter().map(|s| Surface {
        zone: s.zone + zones,
        beyond: if let Beyond::Zone(z) = s.beyond { Beyond::Zone(z + zones) } else { s.beyond },
        ..*s
    }));
    two.windows.extend(one.windows.iter().map(|w| Window { zone: w.zone + zones, ..*w }));
    two.wet_ground.extend(one.wet_ground.iter().map(|w| WetGround { zone: w.zone + zones, ..*w }));
    two.occupants.extend(
        one.occupants.iter().map(|o| Occupant { zone: o.zone.map(|z| z.map(|z| z + zones)), ..o.clone() }),
    );
    two.gains.extend(one.gains.iter().map(|g| Gain { zone: g.zone + zones, ..g.clone() }));
    two.sources.extend(one.sources.iter().map(|s| Source { zone: s.zone + zones, ..*s }));
    two.doors.extend(one.doors.iter().map(|d| Door { passage: d.passage + first, open: d.open.clone() }));
    two.exhausts.extend(one.exhausts.iter().map(|f| ExhaustFan {
        zone: f.zone + zones,
        schedule: match &f.schedule {
            Schedule::Humidity { zone, rh, band } => {
                Schedule::Humidity { zone: zone + zones, rh: *rh, band: *band }
            }
            other => other.clone(),
        },
        ..f.clone()
    }));
    let shift =
        |list: &[(usize, f64)]| -> Vec<(usize, f64)> { list.iter().map(|(z, q)| (z + zones, *q)).collect() };
    two.ventilators.extend(one.ventilators.iter().map(|v| Ventilator {
        supply_kg_s: shift(&v.supply_kg_s),
        exhaust_kg_s: shift(&v.exhaust_kg_s),
        ..v.clone()
    }));
    if let Some(h) = &mut two.handler {
        h.flow_kg_s *= 2.0;
        h.power_w *= 2.0;
        let more = (shift(&h.supplies), shift(&h.returns));
        h.supplies.extend(more.0);
        h.returns.extend(more.1);
    }
    two.heating = one
        .heating
        .map(|h| Heating { plant: Plant::heat_pump(18_000.0, 3.6, 10_000.0), delivery: h.delivery });
    two.cooling = one.cooling.map(|c| Cooling { plant: Plant::air_conditioner(18_000.0, 3.5), ..c });
    two.driers.extend(one.driers.iter().map(|d| Drier { zone: d.zone + zones, ..*d }));
    Ok(two)
}
