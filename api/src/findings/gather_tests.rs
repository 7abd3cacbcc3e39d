//! What worked tests say, with the state of the house that each was done in.

use super::gather::{Basket, house_zone};
use crate::{Data, FieldResult, Job, TestResult};
use engine::device::person::ASLEEP_MET;
use engine::doc::field::{Asked, FieldTest};
use engine::doc::house::ZoneKind;
use engine::finding::{Item, Mark, Origin};
use engine::house::Place;
use engine::measure::{Estimate, NoInterval};
use engine::procedure::envelope::{BaselineMeans, RunResult};
use engine::procedure::field::{Check, Figure, LEVEL, Worked};
use engine::procedure::instrument::Direction;
use engine::procedure::source::cite;
use engine::procedure::tracer::steady::Person;
use engine::units::Quantity as Q;

/// Standard deviations of a stated interval.
const STATED: f64 = 1.96;

pub(super) fn all(job: &Job, data: &Data, basket: &mut Basket) {
    for (at, result) in data.results.iter().enumerate() {
        envelope(result, data.results.get(..at).unwrap_or(&[]), basket);
    }
    for result in &data.field {
        let visit = job.documents.visits.iter().find(|v| v.folder == result.visit);
        let test = visit.and_then(|v| v.field.iter().find(|t| t.name.value == result.name));
        if let Some(test) = test {
            Told { job, result, test, origin: origin(&result.visit, &result.name) }.tell(basket);
        }
    }
    typed_combustion(job, basket);
}

fn origin(visit: &str, name: &str) -> Origin {
    Origin::Test { visit: visit.to_owned(), name: name.to_owned() }
}

fn pressure(si: f64, se: Option<f64>) -> Estimate {
    match se {
        Some(se) => Estimate::range(si, si - STATED * se, si + STATED * se, LEVEL, Q::Pressure),
        None => Estimate::without(si, Q::Pressure, NoInterval::TooFewPoints),
    }
}

fn envelope(test: &TestResult, before: &[TestResult], basket: &mut Basket) {
    let origin = origin(&test.visit, &test.result.name);
    let r = &test.result;
    if let Some(ach50) = &r.figures.ach50 {
        basket.keep(Basket::number("envelope.ach50", ach50.total, &origin));
    }
    basket.keep(Basket::number("envelope.exponent", r.exponent.total, &origin));
    basket.keep(Basket::number("envelope.ela", r.figures.ela.total, &origin));
    let means = |run: &RunResult| [run.baseline.before, run.baseline.after];
    let all: Vec<BaselineMeans> = r.runs.iter().flat_map(means).flatten().collect();
    if let Some(largest) = all.iter().max_by(|a, b| a.mean_pa.abs().total_cmp(&b.mean_pa.abs())) {
        let e = pressure(largest.mean_pa.abs(), largest.mean_se_pa);
        basket.keep(Basket::number("envelope.baseline", e, &origin));
    }
    let moved = r.runs.iter().filter_map(|run| {
        let (a, b) = (run.baseline.before.as_ref()?, run.baseline.after.as_ref()?);
        let se = a.mean_se_pa.zip(b.mean_se_pa).map(|(x, y)| x.hypot(y));
        Some(pressure((b.mean_pa - a.mean_pa).abs(), se))
    });
    if let Some(most) = moved.max_by(|a, b| a.si.total_cmp(&b.si)) {
        basket.keep(Basket::number("envelope.baseline_moved", most, &origin));
    }
    // Both directions: runs of one test, or two tests of one visit.
    let flow = |test: &TestResult, direction: Direction| {
        test.result
            .runs
            .iter()
            .find(|run| run.direction == direction)
            .and_then(|run| run.figures.flow_at(50.0).map(|f| f.flow.total))
    };
    let here = || std::iter::once(test).chain(before.iter().filter(|t| t.visit == test.visit));
    let down = here().find_map(|t| flow(t, Direction::Depressurise));
    let up = here().find_map(|t| flow(t, Direction::Pressurise));
    if let Some((down, up)) = down.zip(up) {
        let mean = 0.5 * (down.si + up.si);
        let half = |e: &Estimate| e.bounds().map(|(lo, hi)| 0.5 * (hi - lo));
        let share = (down.si - up.si).abs() / mean;
        let e = match half(&down).zip(half(&up)) {
            Some((a, b)) => {
                let half = a.hypot(b) / mean;
                Estimate::range(share, share - half, share + half, LEVEL, Q::Fraction)
            }
            None => Estimate::without(share, Q::Fraction, NoInterval::TypedWithoutInstrument),
        };
        basket.keep(Basket::number("envelope.directions_differ", e, &origin));
    }
}

/// A worked test beside what was written.
struct Told<'a> {
    job: &'a Job,
    result: &'a FieldResult,
    test: &'a FieldTest,
    origin: Origin,
}

impl Told<'_> {
    fn worked(&self) -> &Worked {
        &self.result.worked
    }

    fn item(&self, name: &str, figure: &str) -> Option<Item> {
        Basket::number(name, *self.worked().get(figure)?, &self.origin)
    }

    fn of(&self, figure: &str) -> impl Iterator<Item = (&Figure, String)> {
        let figure = figure.to_owned();
        let all = self.worked().figures.iter().filter(move |f| f.id == figure);
        all.filter_map(|f| f.of.clone().map(|of| (f, of)))
    }

    fn check(&self, id: &str) -> Option<&Check> {
        self.worked().checks.iter().find(|c| c.id == id)
    }

    fn tell(&self, basket: &mut Basket) {
        let on = [("handler on", true)];
        match &self.test.asked {
            Asked::Change(_) => {
                let share = self.worked().get("figure-change-share").map(|e| e.scaled(-1.0, Q::Fraction));
                basket.keep(share.and_then(|e| Basket::number("change.share", e, &self.origin)));
                let withheld = self.worked().notes.iter().any(|n| n.id == "note-change-withheld");
                basket.keep(Basket::flag("change.setups_differ", withheld, &self.origin));
            }
            Asked::Guarded(_) => basket.keep(self.item("guarded.share", "figure-guarded-share")),
            Asked::Surface(asked) => {
                let outdoor = asked.outdoor_k.as_ref().map(|k| k.value);
                let visit = self.job.documents.visits.iter().find(|v| v.folder == self.result.visit);
                let outdoor = outdoor.or_else(|| visit.and_then(|v| v.conditions.outdoor_k));
                let season: Vec<_> = outdoor.map(|k| ("heating season", k < 283.15)).into_iter().collect();
                let item = self.item("house.moisture_excess", "figure-moisture-excess");
                basket.keep(item.map(|i| i.setup(&season)));
            }
            Asked::DuctLeakage(_) => {
                basket.keep(self.item("ducts.leakage", "figure-duct-per-floor"));
                basket.keep(self.item("ducts.leakage_outdoors", "figure-duct-per-floor-outdoors"));
            }
            Asked::PressurePans(asked) => {
                let running = asked.handler_on.value;
                let setup = [("handler off", !running), ("handler on", running)];
                let pans: Vec<(&Figure, String)> = self.of("figure-pan").collect();
                for (pan, register) in &pans {
                    let item = Basket::number("pan.pressure", pan.number, &self.origin);
                    basket.keep(item.map(|i| self.named(i, register, None).setup(&setup)));
                }
                if let Some((highest, _)) = pans.iter().max_by(|a, b| a.0.number.si.total_cmp(&b.0.number.si))
                {
                    let item = Basket::number("pans.highest", highest.number, &self.origin);
                    basket.keep(item.map(|i| i.setup(&setup)));
                }
                let house = asked.house_pa.value.abs();
                let least = asked.zones.iter().map(|z| z.1.abs()).min_by(f64::total_cmp);
                if let Some(zone) = least.filter(|_| house > 1.0) {
                    let at_50 = 50.0 * zone / house;
                    let e = Estimate::without(at_50, Q::Pressure, NoInterval::TypedWithoutInstrument);
                    basket.keep(Basket::number("pans.zone_pressure", e, &self.origin));
                }
            }
            Asked::DominantLeak(asked) => {
                let doors = [("doors open", asked.doors_open), ("doors shut", !asked.doors_open)];
                let item = self.item("handler.shift", "figure-handler-shift");
                basket.keep(item.map(|i| i.setup(&on).setup(&doors)));
            }
            Asked::StaticPressure(asked) => {
                for (name, figure) in [
                    ("static.external", "figure-external-static"),
                    ("static.filter_share", "figure-filter-of-rated"),
                    ("static.return_side", "figure-static-return-side"),
                    ("static.supply_side", "figure-static-supply-side"),
                ] {
                    // Suctions are told with their sign; what counts here is how much.
                    let item = self
                        .worked()
                        .get(figure)
                        .map(|e| if e.si < 0.0 { e.scaled(-1.0, e.quantity) } else { *e });
                    basket
                        .keep(item.and_then(|e| Basket::number(name, e, &self.origin)).map(|i| i.setup(&on)));
                }
                self.limit(
                    "static.rated",
                    asked.limit.hi,
                    Q::StaticPressure,
                    &asked.limit.source,
                    asked.limit.confirmed,
                    None,
                    basket,
                );
            }
            Asked::HandlerFlow(_) => {
                basket.keep(self.item("handler.flow", "figure-handler-flow"));
                basket.keep(self.item("handler.flow_per_capacity", "figure-flow-per-capacity"));
                basket.keep(self.item("handler.hoods", "figure-hoods-supply"));
            }
            Asked::FanFlow(asked) => {
                let name = asked.of.as_ref().map_or(self.test.name.value.as_str(), |o| o.value.as_str());
                let item = self.item("exhaust.flow", "figure-fan-flow");
                basket.keep(item.map(|i| self.named(i, name, None)));
                if let Some(check) = self.check("check-local-exhaust") {
                    self.limit(
                        "exhaust.needed",
                        check.lo,
                        Q::AirFlow,
                        &check.source,
                        check.confirmed,
                        Some(name),
                        basket,
                    );
                }
            }
            Asked::Recovery(_) => basket.keep(self.item("unit.imbalance", "figure-imbalance")),
            Asked::ZonePressures(asked) => self.zone(asked, basket),
            Asked::RoomPressures(_) => {
                let setup = [("handler on", true), ("doors shut", true)];
                for (room, name) in self.of("figure-room-pressure") {
                    let item = Basket::number("room.pressure", room.number, &self.origin);
                    basket.keep(item.map(|i| self.named(i, &name, Some(&name)).setup(&setup)));
                }
                basket.keep(self.item("main.pressure", "figure-main-body").map(|i| i.setup(&setup)));
            }
            Asked::FanPressures(asked) => {
                for (moved, name) in self.of("figure-fan-moved") {
                    let state = asked.states.iter().find(|s| s.name == name);
                    let alone =
                        state.is_some_and(|s| s.on.len() == 1 && s.on.iter().any(|f| self.all_day(&f.value)));
                    let item = Basket::number("house.fan_pressure", moved.number, &self.origin);
                    basket.keep(item.map(|i| i.setup(&[("whole-house fan on", alone)])));
                }
            }
            Asked::CombustionZone(_) => self.combustion(basket),
            Asked::Decay(_) => {
                let windows = self.test.set.iter().filter(|(what, _)| what.value.contains("window"));
                let shut: Vec<bool> = windows.map(|(_, word)| word.value == "shut").collect();
                let setup = [("windows shut", shut.iter().all(|s| *s))];
                let item = self.item("house.air_change", "figure-air-change");
                basket.keep(item.map(|i| if shut.is_empty() { i } else { i.setup(&setup) }));
            }
            Asked::BuildUp(asked) => {
                let level =
                    ["figure-plateau", "figure-end-value"].into_iter().find_map(|f| self.worked().get(f));
                self.plateau(level.copied(), &asked.given.people, basket);
            }
            Asked::Steady(asked) => {
                let typed = |si| Estimate::without(si, Q::GasFraction, NoInterval::TypedWithoutInstrument);
                self.plateau(asked.level.as_ref().map(|l| typed(l.value)), &asked.given.people, basket);
            }
            Asked::MouldIndex(_) => {
                for (name, check) in
                    [("surface.rh", "check-mould-month"), ("mould.index", "check-mould-index")]
                {
                    let value = self.check(check).and_then(|c| c.value);
                    let item = value.and_then(|e| Basket::number(name, e, &self.origin));
                    basket.keep(item.map(|i| self.named(i, &self.test.name.value, None)));
                }
            }
            Asked::WoodMoisture(_) => {
                let item = self.item("wood.moisture", "figure-wood-moisture");
                basket.keep(item.map(|i| self.named(i, &self.test.name.value, None)));
            }
            Asked::Infrared(asked) => {
                let fan: Vec<_> =
                    asked.house_pa.map(|pa| ("test fan on", pa.abs() > 5.0)).into_iter().collect();
                for (spot, name) in self.of("figure-infrared-moved") {
                    let item = Basket::number("infrared.moved", spot.number, &self.origin);
                    basket.keep(item.map(|i| self.named(i, &name, None).setup(&fan)));
                }
            }
            _ => {}
        }
    }

    /// A level of CO2 in a room whose door was touched for the test.
    fn plateau(&self, level: Option<Estimate>, people: &[Person], basket: &mut Basket) {
        let (Some(level), Some(house)) = (level, &self.job.house) else { return };
        let asleep = !people.is_empty() && people.iter().all(|p| p.met <= ASLEEP_MET);
        for (what, word) in &self.test.set {
            let Some(door) = house.doors.iter().find(|d| d.text.name.value == what.value) else { continue };
            let [Place::Zone(a), Place::Zone(b)] = door.between else { continue };
            let (p, q) = (&house.zones[a], &house.zones[b]);
            if !(p.kind.is_indoors() && q.kind.is_indoors()) {
                continue;
            }
            // The smaller side is the room.
            let room = if p.volume_m3 < q.volume_m3 { p } else { q };
            let name = match word.value.as_str() {
                "shut" => "room.co2_shut",
                "open" => "room.co2_open",
                _ => continue,
            };
            let item = Basket::number(name, level, &self.origin);
            basket.keep(
                item.map(|i| i.of(&room.name, &room.label, Some(&room.name)).setup(&[("asleep", asleep)])),
            );
        }
    }

    /// Names what a value is of: a zone, fan, door or appliance of the house by its label.
    fn named(&self, item: Item, name: &str, zone: Option<&str>) -> Item {
        let house = self.job.house.as_ref();
        let known = house.and_then(|h| {
            let zone = h.zones.iter().find(|z| z.name == name || z.label == name);
            let fan = || h.fans.iter().find(|f| f.text.name.value == name);
            let appliance = || h.appliances.iter().find(|a| a.name == name);
            zone.map(|z| (z.label.clone(), Some(z.name.clone())))
                .or_else(|| fan().map(|f| (f.text.label.clone(), Some(f.text.from.value.clone()))))
                .or_else(|| appliance().map(|a| (a.label.clone(), Some(h.zones[a.zone].name.clone()))))
        });
        let (label, of) = known.unwrap_or_else(|| (name.replace('_', " "), None));
        item.of(name, &label, of.as_deref().or(zone))
    }

    fn all_day(&self, fan: &str) -> bool {
        let day =
            |f: &engine::house::Fan| f.text.runs_s.iter().map(|(from, to)| (to - from).abs()).sum::<f64>();
        let house = self.job.house.as_ref();
        house.is_some_and(|h| h.fans.iter().any(|f| f.text.name.value == fan && day(f) >= 20.0 * 3600.0))
    }

    /// A limit that stands beside a value.
    #[expect(
        clippy::too_many_arguments,
        reason = "one call a limit, each part of it named where it comes from"
    )]
    fn limit(
        &self,
        name: &str,
        si: Option<f64>,
        q: Q,
        source: &str,
        confirmed: bool,
        of: Option<&str>,
        basket: &mut Basket,
    ) {
        let Some(si) = si else { return };
        let item = Basket::number(name, Estimate::without(si, q, NoInterval::Exact), &self.origin);
        basket.keep(item.map(|mut i| {
            i.limit = Some((cite(source).to_owned(), if confirmed { Mark::Adopted } else { Mark::Memory }));
            match of {
                Some(of) => self.named(i, of, None),
                None => i,
            }
        }));
    }

    fn zone(&self, asked: &engine::doc::field::zone_pressures::ZonePressures, basket: &mut Basket) {
        let word = asked.zone.as_ref().map_or("", |z| z.value.as_str());
        let zone = self.job.house.as_ref().and_then(|h| h.zone(word).map(|z| &h.zones[z]));
        // Without a house the zone's own word says what it is.
        let plain = word.to_lowercase();
        let kind = zone.map(|z| z.kind).or(match () {
            () if plain.contains("attic") => Some(ZoneKind::Attic),
            () if plain.contains("garage") => Some(ZoneKind::Garage),
            () if plain.contains("crawl") => Some(ZoneKind::Crawl),
            () if plain.contains("basement") => Some(ZoneKind::Basement),
            () => None,
        });
        let (Some(name), Some(e)) = (kind.and_then(house_zone), self.worked().get("figure-house-zone"))
        else {
            return;
        };
        let whole = asked.as_found.house_outdoors_pa.map(f64::abs).filter(|pa| *pa > 1.0);
        let e = if e.si < 0.0 { e.scaled(-1.0, Q::Pressure) } else { *e };
        let (e, setup) = match whole {
            Some(pa) => (e.scaled(50.0 / pa, Q::Pressure), vec![("fan at 50 Pa", pa > 20.0)]),
            None => (e, Vec::new()),
        };
        let item = Basket::number(name, e, &self.origin);
        basket.keep(item.map(|i| self.named(i, word, Some(word)).setup(&setup)));
    }

    fn combustion(&self, basket: &mut Basket) {
        basket.keep(self.item("appliance_zone.pressure", "figure-greatest-depressurisation"));
        if let Some(check) = self.check("check-net-depressurisation") {
            self.limit(
                "appliance_zone.limit",
                check.lo,
                Q::Pressure,
                &check.source,
                check.confirmed,
                None,
                basket,
            );
        }
        let rooms: Vec<(&Figure, String)> = self.of("figure-room-co").collect();
        for (room, place) in &rooms {
            let item = Basket::number("ambient.co", room.number, &self.origin);
            basket.keep(item.map(|i| self.named(i, place, None)));
        }
        if let Some((highest, _)) = rooms.iter().max_by(|a, b| a.0.number.si.total_cmp(&b.0.number.si)) {
            basket.keep(Basket::number("ambient.co_highest", highest.number, &self.origin));
        }
        for (figure, name) in [
            ("figure-spillage-greatest", "spillage.greatest"),
            ("figure-spillage-natural", "spillage.natural"),
        ] {
            let mut all: Vec<(&Figure, String)> = self.of(figure).collect();
            // The longest of several counts: it is kept last.
            all.sort_by(|a, b| a.0.number.si.total_cmp(&b.0.number.si));
            for (spilled, appliance) in all {
                let item = Basket::number(name, spilled.number, &self.origin);
                basket.keep(item.map(|i| self.named(i, &appliance, None)));
            }
        }
        for id in ["check-spillage-greatest", "check-spillage-natural"] {
            for check in self.worked().checks.iter().filter(|c| c.id == id) {
                let of = check.of.as_deref();
                self.limit("spillage.limit", check.hi, Q::Time, &check.source, check.confirmed, of, basket);
            }
        }
        for id in ["check-flue-co-as-measured", "check-flue-co-air-free"] {
            let mut all: Vec<&Check> = self.worked().checks.iter().filter(|c| c.id == id).collect();
            all.sort_by(|a, b| a.value.map_or(0.0, |v| v.si).total_cmp(&b.value.map_or(0.0, |v| v.si)));
            for check in all {
                let (Some(of), Some(value)) = (check.of.as_deref(), check.value) else { continue };
                let item = Basket::number("flue.co", value, &self.origin);
                basket.keep(item.map(|i| self.named(i, of, None)));
                self.limit(
                    "flue.limit",
                    check.hi,
                    Q::GasFraction,
                    &check.source,
                    check.confirmed,
                    Some(of),
                    basket,
                );
            }
        }
    }
}

/// Results typed in `[combustion]` of the last visit.
fn typed_combustion(job: &Job, basket: &mut Basket) {
    let Some(visit) = job.documents.visits.last() else { return };
    let Some(typed) = &visit.combustion else { return };
    let origin = Origin::Conditions { visit: visit.folder.clone() };
    let label = |name: &str| {
        let known = job.house.as_ref().and_then(|h| h.appliances.iter().find(|a| a.name == name));
        known.map_or_else(|| name.replace('_', " "), |a| a.label.clone())
    };
    let limited = |item: Option<Item>, source: &Option<String>, confirmed: bool| {
        item.map(|mut i| {
            let mark = if confirmed { Mark::Adopted } else { Mark::Memory };
            i.limit = Some((source.clone().unwrap_or_default(), mark));
            i
        })
    };
    let mut spillage: Vec<_> = typed.spillage.iter().collect();
    spillage.sort_by(|a, b| a.spilled_s.value.total_cmp(&b.spilled_s.value));
    for s in spillage {
        let of = |i: Option<Item>| i.map(|i| i.of(&s.appliance.value, &label(&s.appliance.value), None));
        let name = match s.house.to_lowercase() {
            h if h.contains("natural") => "spillage.natural",
            h if h.contains("greatest") || h.contains("worst") => "spillage.greatest",
            _ => continue,
        };
        let e = Estimate::without(s.spilled_s.value, Q::Time, NoInterval::TypedWithoutInstrument);
        basket.keep(of(Basket::number(name, e, &origin)));
        if let Some(limit) = s.limit_s {
            let e = Estimate::without(limit, Q::Time, NoInterval::Exact);
            let item =
                limited(Basket::number("spillage.limit", e, &origin), &s.limit_source, s.limit_confirmed);
            basket.keep(of(item));
        }
    }
    let mut flues: Vec<_> = typed.flue_co.iter().collect();
    flues.sort_by(|a, b| a.value.value.total_cmp(&b.value.value));
    for f in flues {
        // On another basis than its limit it is no evidence.
        let Some(limit) = f.limit.filter(|_| f.air_free == f.limit_air_free) else { continue };
        let of = |i: Option<Item>| i.map(|i| i.of(&f.appliance.value, &label(&f.appliance.value), None));
        let e = Estimate::without(f.value.value, Q::GasFraction, NoInterval::TypedWithoutInstrument);
        basket.keep(of(Basket::number("flue.co", e, &origin)));
        let e = Estimate::without(limit, Q::GasFraction, NoInterval::Exact);
        let item = limited(Basket::number("flue.limit", e, &origin), &f.limit_source, f.limit_confirmed);
        basket.keep(of(item));
    }
}
