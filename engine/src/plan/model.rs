//! From the house as known and a plan's changes to the plain model that a year is run on.

use super::after::after;
use super::equipment::{self, climate_control, drier};
use super::passages::Passages;
use crate::device::{Recovery, person};
use crate::doc::house::{Draft, Face};
use crate::doc::job::{Place as JobPlace, Terrain as Ground};
use crate::doc::plans::Change;
use crate::house::{House, Place, ROOF, WINDS};
use crate::math;
use crate::network::Network;
use crate::rng::Stream;
use crate::weather::Weather;
use crate::weather::sun::Plane;
use crate::year::wind::{Exposure, Site, Terrain};
use crate::year::{self, Beyond, Model, Schedule, SunOn, YearError};
use std::f64::consts::{FRAC_PI_2, PI};

/// Pressure coefficient of roof vents and flue tops; common practice, no source.
const ROOF_CP: f64 = -0.3;
/// Hours of the night in a door's `at_night`.
pub(super) const NIGHT: (usize, usize) = (22, 7);
/// Solar absorptance of a roof of usual colour, film and loss to the sky (ASHRAE's sol-air values,
/// from memory).
const ROOF_SUN: (f64, f64, f64) = (0.8, 20.0, 4.0);
/// Activity of somebody awake at home, met (Persily and de Jonge 2017 give 1.2 to 1.4).
const AWAKE_MET: f64 = 1.3;
/// Mass of an adult, kg, and age: the middle of both sexes.
const ADULT: (f64, f64) = (78.0, 40.0);

/// Everything a year needs besides the house and the plan.
#[derive(Clone, Copy, Debug)]
pub struct Surroundings<'a> {
    /// Where.
    pub place: &'a JobPlace,
    /// Weather.
    pub weather: &'a Weather,
    /// Control rules of the job, which a plan may turn on ([`Change::Rules`]).
    pub rules: Option<&'a crate::rule::Set>,
}

/// How much of a stated range of success a draw gets; the same leak gets the same luck in every
/// plan, so that plans are compared on common draws.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Luck {
    /// Seed of the job.
    pub seed: u64,
    /// Number of the draw.
    pub draw: usize,
}

impl Luck {
    /// A value of a 90 % range for the thing called `name`.
    pub fn within(self, name: &str, (lo, hi): (f64, f64)) -> f64 {
        let mut stream = Stream::new(self.seed.wrapping_add(self.draw as u64), name);
        let z = stream.normal() / crate::measure::normal_quantile(0.95);
        let half = 0.5 * (hi - lo);
        lo + half * (1.0 + z)
    }
}

/// The model of the house `theta` after the changes.
///
/// # Errors
/// [`YearError::Network`] where the network cannot be made.
pub fn model(
    house: &House,
    theta: &[f64],
    changes: &[Change],
    luck: Luck,
    around: Surroundings<'_>,
) -> Result<Model, YearError> {
    let (house, theta) = after(house, theta, changes, luck);
    let (house, theta) = (&house, theta.as_slice());
    let zones: Vec<year::Zone> = house.zones.iter().map(|z| zone(house, z)).collect();
    let Passages { network, kept, doors, .. } = Passages::of(house, theta, changes);
    let network =
        Network::new(house.zones.iter().map(|z| z.name.clone()), network).map_err(YearError::Network)?;
    let density = crate::air::density_at_altitude_kg_m3(293.15, around.place.altitude_m.unwrap_or(0.0));
    let mut model = Model {
        zones,
        network,
        passages: kept,
        faces: faces(house),
        site: site(house),
        summer: around.place.summer,
        surfaces: surfaces(house),
        windows: windows(house),
        ground: year::Ground::under_house(around.weather),
        wet_ground: Vec::new(),
        occupants: house.text.people.iter().filter_map(|p| occupant(house, p)).collect(),
        gains: Vec::new(),
        sources: house.text.sources.iter().filter_map(|s| source(house, theta, s)).collect(),
        doors,
        exhausts: exhausts(house, theta, density),
        cleaners: Vec::new(),
        ventilators: supply_fans(house, theta, density),
        handler: super::handler::handler(house, theta, density, changes, luck),
        thermostat: None,
        heating: None,
        cooling: None,
        driers: Vec::new(),
        hot_water: Vec::new(),
        humidifiers: Vec::new(),
        gases: Vec::new(),
        outdoor: outdoor(around.place),
        appliance_zone: appliance_zone(house, changes),
    };
    climate_control(house, &mut model);
    equipment::machines(house, density, &mut model);
    if let Some(d) = &house.text.dehumidifier {
        model.driers.extend(drier(house, d));
    }
    for change in changes {
        super::added::apply(house, change, density, &mut model);
    }
    Ok(model)
}

fn zone(house: &House, z: &crate::house::Zone) -> year::Zone {
    let kind = if z.kind.is_indoors() { year::ZoneKind::Conditioned } else { year::ZoneKind::Buffer };
    let mut zone = year::Zone::usual(&z.name, kind, z.floor_m, z.ceiling_m, z.floor_area_m2);
    zone.volume_m3 = z.volume_m3;
    let of_zone = |s: &&crate::doc::house::Surface| s.between.iter().any(|e| e.value == z.name);
    let coldest = house.text.surfaces.iter().filter(of_zone).filter_map(|s| Some((s, s.coldest_factor?)));
    if let Some((surface, factor)) = coldest.min_by(|a, b| a.1.total_cmp(&b.1)) {
        zone.cold_factor = factor;
        zone.cold_name = surface.label.clone().unwrap_or_default();
        zone.mould = surface.mould.unwrap_or(zone.mould);
    }
    zone
}

/// Directions of the four walls, clockwise from north. The right wall is on the right of somebody
/// who looks at the front.
fn azimuth_rad(house: &House, face: Face) -> f64 {
    let front = house.text.front_rad;
    match face {
        Face::Front | Face::All | Face::Roof => front,
        Face::Right => front - FRAC_PI_2,
        Face::Back => front + PI,
        Face::Left => front + FRAC_PI_2,
    }
}

fn faces(house: &House) -> Vec<Exposure> {
    let ratio = house.text.side_ratio;
    let mut faces: Vec<Exposure> = [Face::Front, Face::Right, Face::Back, Face::Left]
        .into_iter()
        .enumerate()
        .map(|(i, face)| Exposure::Wall {
            azimuth_rad: azimuth_rad(house, face),
            side_ratio: if i % 2 == 0 { ratio } else { 1.0 / ratio },
        })
        .collect();
    faces.push(Exposure::Constant(ROOF_CP));
    debug_assert_eq!((faces.len(), ROOF), (WINDS, WINDS - 1));
    faces
}

fn site(house: &House) -> Site {
    let tops = house.zones.iter().filter(|z| z.kind.is_indoors()).map(|z| z.ceiling_m);
    Site {
        terrain: match house.text.terrain {
            Ground::City => Terrain::CITY,
            Ground::Suburban => Terrain::SUBURB,
            Ground::Open => Terrain::OPEN,
            Ground::Flat => Terrain::FLAT,
        },
        height_m: math::max_valid(tops).unwrap_or(3.0),
        shelter: house.text.shelter,
        station: Terrain::OPEN,
        mast_m: 10.0,
    }
}

fn surfaces(house: &House) -> Vec<year::Surface> {
    let mut out = Vec::new();
    for s in &house.text.surfaces {
        let ends: Vec<Option<usize>> = s.between.iter().map(|e| house.zone(&e.value)).collect();
        let ground = s.between.iter().any(|e| e.value == "ground");
        let (zone, beyond) = match ends[..] {
            [Some(a), Some(b)] => (a, Beyond::Zone(b)),
            [Some(z), None] | [None, Some(z)] => {
                let sun = s.sunlit_roof.then_some(SunOn {
                    plane: Plane { azimuth_rad: 0.0, tilt_rad: 0.0 },
                    absorptance: ROOF_SUN.0,
                    film_w_m2_k: ROOF_SUN.1,
                    sky_k: ROOF_SUN.2,
                });
                (z, if ground { Beyond::Ground } else { Beyond::Outdoors(sun) })
            }
            _ => continue,
        };
        out.push(year::Surface { zone, beyond, conductance_w_k: s.ua_w_k });
    }
    out
}

fn windows(house: &House) -> Vec<year::Window> {
    house
        .text
        .windows
        .iter()
        .filter_map(|w| {
            let tilt_rad = if w.face == Face::Roof { 0.5 } else { FRAC_PI_2 };
            Some(year::Window {
                zone: house.zone(&w.zone.value)?,
                area_m2: w.area_m2,
                shgc: w.shgc,
                plane: Plane { azimuth_rad: azimuth_rad(house, w.face), tilt_rad },
            })
        })
        .collect()
}

/// People by what their house's document says: asleep, out, or awake in the room of the day. Their
/// times are kept as they are written.
fn occupant(house: &House, p: &crate::doc::house::People) -> Option<year::Occupant> {
    let (bed, day) = (house.zone(&p.sleep_in.value)?, house.zone(&p.day_in.value)?);
    let basal = |sex| person::basal_w(sex, ADULT.1, ADULT.0);
    let middle = 0.5 * (basal(person::Sex::Female) + basal(person::Sex::Male));
    let all = |met: f64| {
        let mut o = year::Occupant::person(middle, [Some(day); 24], [met; 24]);
        for given in [&mut o.co2_m3_s, &mut o.water_kg_s, &mut o.heat_w] {
            given.iter_mut().for_each(|one| *one *= p.count);
        }
        o
    };
    let stay = |(from_s, to_s): (f64, f64), zone, met| {
        let o = all(met);
        year::Stay {
            from_s,
            to_s,
            zone,
            co2_m3_s: o.co2_m3_s[0],
            water_kg_s: o.water_kg_s[0],
            heat_w: o.heat_w[0],
        }
    };
    let mut occupant = all(AWAKE_MET);
    occupant.persons = p.count;
    occupant.stays.push(stay(p.sleep_s, Some(bed), person::ASLEEP_MET));
    occupant.stays.extend(p.away_s.map(|away| stay(away, None, AWAKE_MET)));
    Some(occupant)
}

fn source(house: &House, theta: &[f64], s: &crate::doc::house::Source) -> Option<year::Source> {
    let zone = house.zone(&s.zone.value)?;
    let start_s = s.at_s.unwrap_or(0.0);
    // A hood catches what is cooked below it while it runs.
    let capture = house.fans.iter().position(|f| {
        f.between[0] == Place::Zone(zone)
            && f.text.runs_s.iter().any(|(from, to)| *from <= start_s && start_s < *to)
    });
    Some(year::Source {
        zone,
        start_s,
        duration_s: s.lasts_s,
        pm25_kg_s: s.pm25_kg_s,
        water_kg_s: s.water_kg_s,
        co2_m3_s: 0.0,
        heat_w: s.heat_w,
        capture: capture.map_or(0.0, |f| crate::house::fan_capture(house, theta, f)),
    })
}

fn exhausts(house: &House, theta: &[f64], density: f64) -> Vec<year::ExhaustFan> {
    let fans = house.fans.iter().enumerate().filter(|(_, f)| !f.text.runs_s.is_empty());
    fans.filter_map(|(i, f)| {
        let fan = |zone, flow_kg_s| year::ExhaustFan {
            zone,
            flow_kg_s,
            schedule: Schedule::Spans(f.text.runs_s.clone()),
            power_w: crate::house::fan_watts(house, theta, i),
            heats: match f.between[1] {
                Place::Zone(zone) => Some(zone),
                Place::Outdoors(_) => None,
            },
        };
        match (f.between, crate::house::fan_line(house, i)) {
            // Its air goes through its line; here only its power counts.
            ([Place::Zone(zone), _] | [_, Place::Zone(zone)], Some(_)) => Some(fan(zone, 0.0)),
            ([Place::Zone(zone), Place::Outdoors(_)], None) => {
                Some(fan(zone, house.value(f.flow, theta) * density))
            }
            _ => None,
        }
    })
    .collect()
}

/// What each fan of the house, by its name, and the air handler are in its model.
pub fn targets(house: &House) -> Vec<(String, year::Target)> {
    let (mut exhausts, mut ventilators) = (0, 0);
    let mut list = Vec::new();
    for (i, f) in house.fans.iter().enumerate() {
        let lined = crate::house::fan_line(house, i).is_some();
        let target = match f.between {
            _ if f.text.runs_s.is_empty() => year::Target::Absent,
            [Place::Zone(_), _] | [_, Place::Zone(_)] if lined => {
                exhausts += 1;
                year::Target::Exhaust(exhausts - 1)
            }
            [Place::Zone(_), Place::Outdoors(_)] => {
                exhausts += 1;
                year::Target::Exhaust(exhausts - 1)
            }
            [Place::Outdoors(_), Place::Zone(_)] if f.text.parts.curve.is_none() => {
                ventilators += 1;
                year::Target::Ventilator(ventilators - 1)
            }
            _ => year::Target::Absent,
        };
        list.push((f.text.name.value.clone(), target));
    }
    if house.air_handler.is_some() {
        list.push(("air_handler".to_owned(), year::Target::Handler));
    }
    list
}

/// Doors of the house as found, by name, with their index among the doors of its model; nothing for one that never
/// opens, which the model does not have.
pub fn door_targets(house: &House) -> Vec<(String, Option<usize>)> {
    let theta: Vec<f64> = house.params.iter().map(|p| p.mean).collect();
    let own = Passages::of(house, &theta, &[]).own;
    let one = |(k, d): (usize, &crate::house::Door)| {
        (d.text.name.value.clone(), own.iter().find(|o| o.0 == k).map(|o| o.1))
    };
    house.doors.iter().enumerate().map(one).collect()
}

fn supply_fans(house: &House, theta: &[f64], density: f64) -> Vec<year::Ventilator> {
    let fans = house.fans.iter().filter(|f| !f.text.runs_s.is_empty() && f.text.parts.curve.is_none());
    fans.filter_map(|f| match f.between {
        [Place::Outdoors(_), Place::Zone(zone)] => Some(year::Ventilator {
            supply_kg_s: vec![(zone, house.value(f.flow, theta) * density)],
            exhaust_kg_s: Vec::new(),
            recovery: Recovery::default(),
            pm25_efficiency: 0.0,
            schedule: Schedule::Spans(f.text.runs_s.clone()),
            power_w: f.text.power_w,
        }),
        _ => None,
    })
    .collect()
}

pub(super) fn outdoor(place: &JobPlace) -> year::OutdoorAir {
    let usual = year::OutdoorAir::default();
    year::OutdoorAir {
        co2_ppm: place.outdoor_co2.map_or(usual.co2_ppm, |c| c * 1e6),
        pm25_kg_m3: place.outdoor_pm25_kg_m3.map_or(usual.pm25_kg_m3, |p| [p; 12]),
    }
}

fn appliance_zone(house: &House, changes: &[Change]) -> Option<usize> {
    house.appliances.iter().find(|a| draws_room_air(a, changes)).map(|a| a.zone)
}

/// Whether an appliance still draws its air from its room after the changes.
pub(super) fn draws_room_air(a: &crate::house::Appliance, changes: &[Change]) -> bool {
    let gone = |c: &Change| matches!(c, Change::Replace { appliance, .. } if appliance.value == a.name);
    matches!(a.draft, Draft::Natural | Draft::FanAssisted) && !changes.iter().any(gone)
}
