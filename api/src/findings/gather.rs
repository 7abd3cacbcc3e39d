//! What a job holds as evidence: documents, conditions, single readings; then tests and the fit. Of
//! two values of one thing the later one counts, so the order is that of what is known better.

use crate::{Data, Job};
use engine::doc::house::ZoneKind;
use engine::doc::job::Measure;
use engine::finding::quantity::{QUANTITIES, slot};
use engine::finding::{Evidence, Item, Origin, Value};
use engine::fit::observe::{Observation, Seen, Station};
use engine::house::{House, Place};
use engine::measure::{Estimate, NoInterval};
use engine::procedure::field::LEVEL;
use engine::rule::Kind;
use engine::units::Quantity as Q;

/// A heating season is colder than this outdoors, K: enough for stack and condensation to show.
const COLD_K: f64 = 283.15;
/// Instruments and figures are stated for this many standard deviations.
const STATED: f64 = 1.96;
/// Draws of the fit worth less than this many equal ones say `likely` at most.
const FEW_DRAWS: f64 = 40.0;
/// A fan that runs at least so long a day ventilates the house, s.
const ALL_DAY_S: f64 = 20.0 * 3600.0;

/// Collects evidence; a value of another quantity than the name's is left out.
#[derive(Default)]
pub(super) struct Basket {
    pub(super) items: Vec<Item>,
}

impl Basket {
    /// An item of this quantity, to be kept by [`Basket::keep`].
    pub(super) fn number(name: &str, e: Estimate, origin: &Origin) -> Option<Item> {
        let slot = slot(name)?;
        let fits = QUANTITIES.get(slot).is_some_and(|q| q.kind == Kind::Measure(e.quantity));
        // The trade's two pressures are one physical quantity.
        let e = match QUANTITIES.get(slot)?.kind {
            Kind::Measure(q) if !fits && e.quantity.si_symbol() == q.si_symbol() => {
                Estimate { quantity: q, ..e }
            }
            _ if fits => e,
            _ => return None,
        };
        e.si.is_finite().then(|| Item::new(slot, Value::Number(e), origin.clone()))
    }

    pub(super) fn flag(name: &str, is: bool, origin: &Origin) -> Option<Item> {
        Some(Item::new(slot(name)?, Value::Flag(is), origin.clone()))
    }

    pub(super) fn keep(&mut self, item: Option<Item>) {
        self.items.extend(item);
    }
}

/// Everything that a job says of the quantities.
pub(super) fn evidence(job: &Job, data: &Data) -> Evidence {
    let mut basket = Basket::default();
    written(job, &mut basket);
    conditions(job, &mut basket);
    if let Some(house) = &job.house {
        readings(job, house, &mut basket);
    }
    super::gather_tests::all(job, data, &mut basket);
    let mut few_draws = false;
    if let (Some(house), Some(fit)) = (&job.house, &data.fit) {
        few_draws = !fit.draws_hold() || fit.effective_draws < FEW_DRAWS;
        let altitude_m = job.documents.job.place.altitude_m.unwrap_or(0.0);
        let pressure_pa = engine::air::standard_pressure_pa(altitude_m);
        super::gather_fit::all(house, fit, pressure_pa, &mut basket);
    }
    Evidence { items: basket.items, few_draws, seed: job.documents.job.seed }
}

/// Name of a pressure between the house and a space of this kind.
pub(super) fn house_zone(kind: ZoneKind) -> Option<&'static str> {
    match kind {
        ZoneKind::Attic => Some("attic.house_zone"),
        ZoneKind::Garage => Some("garage.house_zone"),
        ZoneKind::Crawl | ZoneKind::Basement => Some("crawl.house_zone"),
        _ => None,
    }
}

/// Documents: who complains of air from below, how the house is ventilated.
fn written(job: &Job, basket: &mut Basket) {
    if let Some(year) = job.documents.job.building.year_built {
        let year = Estimate::without(year as f64, Q::Number, NoInterval::Exact);
        basket.keep(Basket::number("house.year_built", year, &Origin::House));
    }
    let Some(house) = &job.house else { return };
    for complaint in &job.documents.job.complaints {
        let from = complaint.from.as_ref().and_then(|f| house.zone(&f.value)).map(|z| &house.zones[z]);
        if let Some(zone) = from.filter(|z| matches!(z.kind, ZoneKind::Crawl | ZoneKind::Basement))
            && complaint.quantity.value == Measure::AirFrom
        {
            let said = Basket::flag("crawl.musty", true, &Origin::Complaint);
            basket.keep(said.map(|i| i.of(&zone.name, &zone.label, Some(&zone.name))));
        }
    }
    let all_day = |f: &&engine::house::Fan| {
        f.text
            .runs_s
            .iter()
            .map(|(from, to)| if to > from { to - from } else { to - from + 86_400.0 })
            .sum::<f64>()
            >= ALL_DAY_S
    };
    let out = |f: &engine::house::Fan| matches!(f.between[1], Place::Outdoors(_));
    let into = |f: &engine::house::Fan| matches!(f.between[0], Place::Outdoors(_));
    let steady: Vec<_> = house.fans.iter().filter(all_day).collect();
    if !steady.is_empty() {
        let (exhausts, supplies) = (steady.iter().any(|f| out(f)), steady.iter().any(|f| into(f)));
        basket.keep(Basket::flag("house.exhaust_only", exhausts && !supplies, &Origin::House));
        basket.keep(Basket::flag("house.supply_only", supplies && !exhausts, &Origin::House));
    }
}

/// Conditions of the last visit that wrote them.
fn conditions(job: &Job, basket: &mut Basket) {
    for visit in &job.documents.visits {
        let origin = Origin::Conditions { visit: visit.folder.clone() };
        let typed = |si, q| Estimate::without(si, q, NoInterval::TypedWithoutInstrument);
        let c = &visit.conditions;
        if let Some(rh) = c.indoor_rh {
            basket.keep(Basket::number("house.rh", typed(rh, Q::Fraction), &origin));
        }
        let Some(outdoor_k) = c.outdoor_k else { continue };
        basket.keep(Basket::number("house.outdoors", typed(outdoor_k, Q::Temperature), &origin));
        let cold = outdoor_k < COLD_K;
        for (zone, k) in &c.zones_k {
            let kind = job.house.as_ref().and_then(|h| h.zone(&zone.value).map(|z| h.zones[z].kind));
            if kind == Some(ZoneKind::Attic) {
                let above = typed(k - outdoor_k, Q::TemperatureDifference);
                let item = Basket::number("attic.above_outdoors", above, &origin);
                basket.keep(item.map(|i| i.setup(&[("heating season", cold)])));
            }
        }
    }
}

/// A value with its standard deviation as a figure has it.
fn with_sd(si: f64, sd: f64, q: Q) -> Estimate {
    Estimate::range(si, si - STATED * sd, si + STATED * sd, LEVEL, q)
}

/// A flow read as a logarithm.
fn flow(o: &Observation, sd: f64) -> Estimate {
    let at = |x: f64| engine::math::exp(o.value + x);
    Estimate::range(at(0.0), at(-STATED * sd), at(STATED * sd), LEVEL, Q::AirFlow)
}

/// Single readings: each with its own noise and the shared errors of its instrument.
fn readings(job: &Job, house: &House, basket: &mut Basket) {
    let seen = &job.observations;
    let origin = |o: &Observation| Origin::Reading {
        visit: seen
            .stations
            .get(o.station)
            .and_then(|s| job.documents.visits.get(s.visit))
            .map_or_else(String::new, |v| v.folder.clone()),
        span: o.span.clone(),
    };
    let sd = |o: &Observation, size: f64| {
        let shared = o.instrument.and_then(|i| seen.instruments.get(i));
        let (gain, offset) = shared.map_or((0.0, 0.0), |s| (s.gain_sd * size, s.offset_sd));
        (o.noise_sd * o.noise_sd + gain * gain + offset * offset).sqrt()
    };
    for (at, station) in seen.stations.iter().enumerate() {
        let here: Vec<&Observation> = seen.list.iter().filter(|o| o.station == at && !o.below).collect();
        let pressure = |feels: usize, against: Option<usize>| {
            here.iter().find_map(|o| match o.seen {
                Seen::Pressure { feels: f, against: a } if f.zone == Some(feels) && a.zone == against => {
                    Some((*o, with_sd(o.value, sd(o, o.value), Q::Pressure)))
                }
                _ => None,
            })
        };
        let main = main_zone(house);
        if station.test_fan().is_some() {
            spaces(house, station, main, &pressure, &origin, basket);
        } else {
            rooms(house, station, main, &pressure, &origin, basket);
        }
        for o in &here {
            match o.seen {
                Seen::Fan(fan) => {
                    if let (Some(name), Some(f)) = (exhaust(house, fan), house.fans.get(fan)) {
                        let item = Basket::number(name, flow(o, sd(o, 1.0)), &origin(o));
                        basket.keep(
                            item.map(|i| i.of(&f.text.name.value, &f.text.label, Some(&f.text.from.value))),
                        );
                    }
                }
                Seen::Handler => {
                    basket.keep(Basket::number("handler.flow", flow(o, sd(o, 1.0)), &origin(o)));
                }
                _ => {}
            }
        }
    }
}

/// The largest lived-in zone.
pub(super) fn main_zone(house: &House) -> Option<usize> {
    let lived = house.zones.iter().enumerate().filter(|(_, z)| z.kind == ZoneKind::Living);
    lived.max_by(|a, b| a.1.volume_m3.total_cmp(&b.1.volume_m3)).map(|(at, _)| at)
}

/// Name of the flow of an exhaust: of a hood by what it catches, of a bath fan by its name.
pub(super) fn exhaust(house: &House, fan: usize) -> Option<&'static str> {
    let fan = house.fans.get(fan)?;
    if !matches!(fan.between[1], Place::Outdoors(_)) {
        return None;
    }
    let named = |words: &[&str]| {
        let names = format!("{} {}", fan.text.name.value, fan.text.label).to_lowercase();
        words.iter().any(|w| names.contains(w))
    };
    if fan.text.capture > 0.0 || named(&["hood", "kitchen", "campana", "cocina"]) {
        Some("kitchen.flow")
    } else if named(&["bath", "ba\u{f1}o", "bano", "toilet", "aseo"]) {
        Some("bath.flow")
    } else {
        None
    }
}

type Pressure<'a> = dyn Fn(usize, Option<usize>) -> Option<(&'a Observation, Estimate)> + 'a;

/// Spaces around the rooms while a test fan holds the house, brought to 50 Pa.
fn spaces<'a>(
    house: &House,
    station: &Station,
    main: Option<usize>,
    pressure: &Pressure<'a>,
    origin: &dyn Fn(&Observation) -> Origin,
    basket: &mut Basket,
) {
    let Some(main) = main else { return };
    let Some((_, whole)) = pressure(main, None) else { return };
    for (at, zone) in house.zones.iter().enumerate() {
        let Some(name) = house_zone(zone.kind) else { continue };
        // A door to the space that stands open joins it to something.
        let beside = |d: &&engine::house::Door| d.between.contains(&Place::Zone(at));
        let open = house.doors.iter().zip(&station.setup.open).filter(|(d, _)| beside(d)).any(|(_, o)| *o);
        if open {
            continue;
        }
        let (read, si, half) = match (pressure(at, None), pressure(at, Some(main)), pressure(main, Some(at)))
        {
            (Some((o, zone)), ..) => {
                // Both against outdoors by one gauge: its gain goes with the difference.
                let halves = half(&whole).hypot(half(&zone));
                (o, (whole.si - zone.si).abs(), halves)
            }
            (_, Some((o, e)), _) | (_, _, Some((o, e))) => (o, e.si.abs(), half(&e)),
            _ => continue,
        };
        if whole.si.abs() < 1.0 {
            continue;
        }
        let scale = 50.0 / whole.si.abs();
        let e = Estimate::range(si * scale, (si - half) * scale, (si + half) * scale, LEVEL, Q::Pressure);
        let item = Basket::number(name, e, &origin(read));
        basket.keep(item.map(|i| {
            i.of(&zone.name, &zone.label, Some(&zone.name)).setup(&[("fan at 50 Pa", whole.si.abs() > 20.0)])
        }));
    }
}

fn half(e: &Estimate) -> f64 {
    e.bounds().map_or(0.0, |(lo, hi)| 0.5 * (hi - lo))
}

/// Rooms and the main body without a test fan.
fn rooms<'a>(
    house: &House,
    station: &Station,
    main: Option<usize>,
    pressure: &Pressure<'a>,
    origin: &dyn Fn(&Observation) -> Origin,
    basket: &mut Basket,
) {
    let Some(main) = main else { return };
    let handler = station.setup.air_handler;
    let handler = [("handler on", handler), ("handler off", !handler)];
    let inner = |d: &engine::house::Door, a: usize| {
        let lived = |p: &Place| matches!(p, Place::Zone(z) if house.zones[*z].kind == ZoneKind::Living);
        d.between.iter().all(lived) && d.between.contains(&Place::Zone(a))
    };
    // Doors of a room: shut, open, or nothing where somebody did not note it or there is none.
    let doors = |zone: usize| -> Vec<(&'static str, bool)> {
        let mut all = house.doors.iter().zip(&station.setup.open).zip(&station.setup.unnoted).peekable();
        let own: Vec<(bool, bool)> = all
            .by_ref()
            .filter(|((d, _), _)| inner(d, zone))
            .map(|((_, open), unnoted)| (*open, *unnoted))
            .collect();
        if own.is_empty() || own.iter().any(|(_, unnoted)| *unnoted) {
            return Vec::new();
        }
        let shut = own.iter().all(|(open, _)| !open);
        let open = own.iter().all(|(open, _)| *open);
        vec![("doors shut", shut), ("doors open", open)]
    };
    for (at, zone) in house.zones.iter().enumerate() {
        if zone.kind != ZoneKind::Living || at == main {
            continue;
        }
        if let Some((o, e)) = pressure(at, Some(main)) {
            let item = Basket::number("room.pressure", e, &origin(o));
            basket.keep(
                item.map(|i| {
                    i.of(&zone.name, &zone.label, Some(&zone.name)).setup(&handler).setup(&doors(at))
                }),
            );
        }
    }
    if let Some((o, e)) = pressure(main, None) {
        let item = Basket::number("main.pressure", e, &origin(o));
        basket.keep(item.map(|i| i.setup(&handler).setup(&doors(main))));
    }
}

/// The test fan of a station.
trait Held {
    fn test_fan(&self) -> Option<()>;
}

impl Held for Station {
    fn test_fan(&self) -> Option<()> {
        (self.fan_zone.is_some() || self.setup.test_fan.is_some()).then_some(())
    }
}
