//! Field tests of a visit as observations.
//!
//! Pressures are taken from the document as they were read, each under its setup with its gauge.
//! What needs a procedure first (a decay, a hood's field error, a duct tester's power law) enters as
//! its result: the interval of the figure, and beside it a stated discrepancy between what the
//! procedure and what the network mean. What cannot be placed is listed with the one question whose
//! answer would save it.

use super::{
    Day, FLOW_REPEATABILITY, LeftOut, Observation, PRESSURE_NOISE_PA, STATED_LIMIT_SD, Seen, Tap,
    common_height_m,
};
use crate::air;
use crate::doc::Sp;
use crate::doc::field::bills::Bills;
use crate::doc::field::combustion_zone::CombustionZone;
use crate::doc::field::ducts::dominant::Dominant;
use crate::doc::field::fan_pressures::FanPressures;
use crate::doc::field::room_pressures::RoomPressures;
use crate::doc::field::zone_pressures::{Readings, ZonePressures};
use crate::doc::field::{Asked, FieldTest};
use crate::doc::visit::{Direction, Instrument, Visit};
use crate::fit::inflow;
use crate::fit::season::{Climate, Season};
use crate::house::{self, House, Place, Setup};
use crate::math;
use crate::measure::{Estimate, Interval};
use crate::procedure::combustion::Devices;
use crate::procedure::field::Worked;
use crate::procedure::verdict::Verdict;

/// What a tracer sees of the network's inflow: rooms are never quite mixed and the wind of the hour
/// is not that of the note. Sd of the logarithm; common practice, no source.
const MIXED: f64 = 0.12;
/// The same of water: walls and furniture hold back and give off. Common practice, no source.
const BUFFERED: f64 = 0.3;
/// Leakage in operation by half the plenum's pressure. Sd of the logarithm; common practice, no source.
const HALF_PLENUM: f64 = 0.25;
/// What bills see beside conduction and air: sun and inner gains that go with the season, thermostats
/// turned down; the same once more for temperatures of a usual year, and for ducts outside of the
/// rooms. Sd over the heat loss; common practice, no source.
const SEASONAL: f64 = 0.1;
/// How far the conductances of `house.toml` may be off together, sd. Common practice, no source.
const CONDUCTANCES_OFF: f64 = 0.25;
/// Mean wind at the eaves of a house among others, m/s, and how far it may be off, sd over it. Common
/// practice, no source.
const SEASON_WIND_M_S: f64 = 2.0;
const WIND_OFF: f64 = 0.4;
/// Rooms in the heating season where nobody says, K.
const INDOOR_K: f64 = 293.15;
/// A reading without a named gauge, Pa.
const NO_GAUGE_PA: f64 = 0.1;

/// Every instrument that a test of the visit names for readings that the fit takes.
pub(super) fn instruments(visit: &Visit) -> impl Iterator<Item = &Sp<String>> {
    visit
        .field
        .iter()
        .flat_map(|t| match &t.asked {
            Asked::ZonePressures(z) => [z.pressure_with.as_ref(), z.flow_with.as_ref()],
            Asked::RoomPressures(r) => [r.pressure_with.as_ref(), r.flow_with.as_ref()],
            Asked::FanPressures(f) => [f.pressure_with.as_ref(), None],
            Asked::CombustionZone(c) => [c.pressure_with.as_ref(), None],
            Asked::DominantLeak(d) => [d.pressure_with.as_ref(), None],
            _ => [None, None],
        })
        .flatten()
}

/// The gauge of a test: its index where one is named, its own noise, Pa.
#[derive(Clone, Copy)]
struct Gauge {
    instrument: Option<usize>,
    noise_pa: f64,
}

/// The mean of readings and the sd of it by their scatter.
fn mean_of(values: &[f64]) -> Option<(f64, f64)> {
    let n = values.len() as f64;
    let mean = values.iter().sum::<f64>() / n;
    let squares = values.iter().map(|v| (v - mean) * (v - mean)).sum::<f64>();
    let sd = if values.len() > 1 { (squares / (n - 1.0) / n).sqrt() } else { 0.0 };
    (!values.is_empty()).then_some((mean, sd))
}

/// Standard uncertainty of an estimate over its value; nothing where it has no interval.
fn relative_sd(e: &Estimate) -> Option<f64> {
    let Interval::Range { lo, hi, level, .. } = e.interval else { return None };
    let sd = (hi - lo) / 2.0 / crate::measure::normal_quantile(0.5 + level / 2.0);
    (e.si > 0.0 && sd.is_finite()).then_some(sd / e.si)
}

impl Day<'_> {
    /// One field test; `start` is the state of the house when the visit began.
    pub(super) fn field_test(&mut self, test: &FieldTest, worked: Option<&Worked>, start: &Setup) {
        if !enters(&test.asked) {
            return;
        }
        let mut setup = start.clone();
        if !matches!(test.asked, Asked::Sealing(_) | Asked::Bills(_) | Asked::PressurePans(_)) {
            house::apply(self.house, &mut setup, &test.set, self.sink);
        }
        let question = match &test.asked {
            Asked::ZonePressures(z) => self.zone_pressures(z, test, &setup),
            Asked::RoomPressures(r) => self.room_pressures(r, test, &setup),
            Asked::FanPressures(f) => self.fan_pressures(f, test, &setup),
            Asked::CombustionZone(c) => self.combustion_zone(c, &setup),
            Asked::DominantLeak(d) => self.dominant(d, test, &setup),
            Asked::StaticPressure(_) => Err(("left-out-statics", String::new())),
            Asked::PressurePans(_) => Err(("left-out-pans", String::new())),
            Asked::Sealing(_) => Err(("left-out-sealing", String::new())),
            Asked::Bills(b) => match worked {
                Some(worked) => self.bills(b, test, worked),
                None => Err(("left-out-no-result", String::new())),
            },
            Asked::Recovery(_) | Asked::Settled(_) => Err(("left-out-which-fan", String::new())),
            _ => match worked {
                Some(worked) => self.summary(test, worked, &mut setup),
                None => Err(("left-out-no-result", String::new())),
            },
        };
        if let Err((question, of)) = question {
            // Surfaces of one visit have one answer.
            let asked = self.all.left_out.iter().any(|l| l.question == question && l.of == of);
            if !(asked && question == "left-out-water") {
                self.leave_out(test, question, of);
            }
        }
    }

    fn leave_out(&mut self, test: &FieldTest, question: &'static str, of: String) {
        let (what, kind) = (test.name.value.clone(), test.kind);
        self.all.left_out.push(LeftOut { what, kind, question, of, span: test.span.clone() });
    }

    /// The instrument of this name; an unknown one was said where the test was worked.
    fn named(&self, name: Option<&Sp<String>>) -> Option<(usize, &Instrument)> {
        let at = self.visit.instruments.iter().position(|i| Some(&i.name.value) == name.map(|n| &n.value))?;
        Some((self.first_instrument + at, &self.visit.instruments[at]))
    }

    /// The gauge; nothing where its accuracy is not known.
    fn gauge(&self, name: Option<&Sp<String>>, wandered_pa: f64) -> Option<Gauge> {
        let found = self.named(name);
        if found.is_some_and(|(_, g)| g.accuracy.is_none()) {
            return None;
        }
        let step_pa = found.map_or(0.0, |(_, g)| g.resolution);
        let typed_pa = if found.is_none() { NO_GAUGE_PA } else { 0.0 };
        let wandered_pa = wandered_pa / STATED_LIMIT_SD;
        let parts = [PRESSURE_NOISE_PA, step_pa / 12.0_f64.sqrt(), typed_pa, wandered_pa];
        let noise_pa = parts.iter().map(|p| p * p).sum::<f64>().sqrt();
        Some(Gauge { instrument: found.map(|f| f.0), noise_pa })
    }

    /// The zone with this name in documents or this label.
    fn zone_called(&self, name: &str) -> Option<usize> {
        let called = |z: &house::Zone| z.name == name || z.label.eq_ignore_ascii_case(name);
        self.house.zones.iter().position(called)
    }

    fn pressure(
        &mut self,
        station: usize,
        (feels, against): (Option<usize>, Option<usize>),
        (pa, scatter_pa): (f64, f64),
        gauge: Gauge,
        span: &crate::diag::Span,
    ) {
        let z_m = common_height_m(self.house, feels, against);
        let noise_sd = (gauge.noise_pa * gauge.noise_pa + scatter_pa * scatter_pa).sqrt();
        self.all.list.push(Observation {
            station,
            seen: Seen::Pressure { feels: Tap { zone: feels, z_m }, against: Tap { zone: against, z_m } },
            value: pa,
            noise_sd,
            below: false,
            instrument: gauge.instrument,
            span: span.clone(),
        });
    }

    fn zone_pressures(&mut self, asked: &ZonePressures, test: &FieldTest, setup: &Setup) -> Placed {
        let zone = asked.zone.as_ref().and_then(|z| self.zone_called(&z.value));
        let name = asked.zone.as_ref().map_or_else(String::new, |z| z.value.clone());
        let Some(zone) = zone else { return Err(("left-out-which-zone", name)) };
        let Some(rooms) = self.fan_zone(None) else { return Err(("left-out-which-zone", name)) };
        let Some(gauge) = self.gauge(asked.pressure_with.as_ref(), asked.wandered_pa) else { return Ok(()) };
        let signs = asked.as_found.pressures().into_iter().flatten();
        let told = setup.test_fan.or_else(|| {
            // House and zone both lie on the fan's side of outdoors.
            let sum: f64 = signs.sum();
            let blows = if sum < 0.0 { Direction::Depressurise } else { Direction::Pressurise };
            (sum.abs() > 0.0).then_some(blows)
        });
        let Some(direction) = told else { return Err(("left-out-which-way", name)) };
        let states = [(&asked.as_found, Some(direction)), (&asked.baseline, None)];
        for (readings, test_fan) in states {
            let Readings { flow_m3_s, .. } = *readings;
            let pairs = [(Some(rooms), Some(zone)), (Some(zone), None), (Some(rooms), None)];
            if readings.pressures().iter().all(Option::is_none) {
                continue;
            }
            let state = Setup { test_fan, ..setup.clone() };
            let station = self.station(&state, test_fan.map(|_| rooms));
            for (pair, shown_pa) in pairs.into_iter().zip(readings.pressures()) {
                if let Some(pa) = shown_pa {
                    self.pressure(station, pair, (pa, 0.0), gauge, &test.span);
                }
            }
            let fan = self.named(asked.flow_with.as_ref()).map(|(i, f)| (i, f.clone()));
            if let (Some(flow), Some((at, fan)), Some(_)) = (flow_m3_s, fan, test_fan)
                && fan.accuracy.is_some()
            {
                self.test_fan_flow(station, flow, false, Some((at, &fan)), test.span.clone());
            }
        }
        if asked.opened.is_empty() { Ok(()) } else { Err(("left-out-opened", name)) }
    }

    fn room_pressures(&mut self, asked: &RoomPressures, test: &FieldTest, setup: &Setup) -> Placed {
        let handler = self.house.air_handler.is_some();
        if !handler {
            return Err(("left-out-no-handler", String::new()));
        }
        let Some(body) = self.fan_zone(None) else { return Ok(()) };
        let Some(gauge) = self.gauge(asked.pressure_with.as_ref(), asked.wandered_pa) else { return Ok(()) };
        let state = |shut: bool, air_handler: bool| {
            let mut state = Setup { air_handler, test_fan: None, ..setup.clone() };
            let inner = |p: &Place| matches!(p, Place::Zone(z) if self.house.zones[*z].kind.is_indoors());
            for (d, _) in self.house.doors.iter().enumerate().filter(|(_, d)| d.between.iter().all(inner)) {
                (state.open[d], state.unnoted[d]) = (!shut, false);
            }
            state
        };
        let (open, shut, off) = (state(false, true), state(true, true), state(true, false));
        for (setup, shown_pa) in [(&open, asked.main_body_open_pa), (&shut, asked.main_body_shut_pa)] {
            if let Some(pa) = shown_pa {
                let station = self.station(setup, None);
                self.pressure(station, (Some(body), None), (pa, 0.0), gauge, &test.span);
            }
        }
        let mut unknown = None;
        let (mut on, mut at_rest) = (None, None);
        let hood = self.named(asked.flow_with.as_ref()).map(|(i, f)| (i, f.clone()));
        for room in &asked.rooms {
            let Some(zone) = self.zone_called(&room.room.value).filter(|z| *z != body) else {
                unknown = Some(room.room.value.clone());
                continue;
            };
            let station = *on.get_or_insert_with(|| self.station(&shut, None));
            let pair = (Some(zone), Some(body));
            self.pressure(station, pair, (room.pressure_pa, 0.0), gauge, &room.room.span);
            if let Some(pa) = room.off_pa {
                let station = *at_rest.get_or_insert_with(|| self.station(&off, None));
                self.pressure(station, pair, (pa, 0.0), gauge, &room.room.span);
            }
            // A flow is a register's where the room has one alone.
            let mut registers = self.house.air_handler.iter().flat_map(|h| h.registers.iter().enumerate());
            let mut here = registers.by_ref().filter(|(_, r)| r.0 == zone).map(|(at, _)| at);
            if let (Some(flow), Some(register), None) = (room.flow_m3_s, here.next(), here.next())
                && let Some((instrument, hood)) = hood.as_ref().filter(|(_, h)| h.accuracy.is_some())
            {
                let fixed = hood.accuracy.unwrap_or_default().absolute / STATED_LIMIT_SD / flow;
                let step = hood.resolution / flow;
                self.all.list.push(Observation {
                    station,
                    seen: Seen::Register(register),
                    value: math::ln(flow),
                    noise_sd: (FLOW_REPEATABILITY * FLOW_REPEATABILITY + step * step / 12.0 + fixed * fixed)
                        .sqrt(),
                    below: false,
                    instrument: Some(*instrument),
                    span: room.room.span.clone(),
                });
            }
        }
        unknown.map_or(Ok(()), |room| Err(("left-out-which-zone", room)))
    }

    fn fan_pressures(&mut self, asked: &FanPressures, test: &FieldTest, setup: &Setup) -> Placed {
        let Some(body) = self.fan_zone(None) else { return Ok(()) };
        let Some(gauge) = self.gauge(asked.pressure_with.as_ref(), asked.wandered_pa) else { return Ok(()) };
        let still = Setup {
            running: vec![false; self.house.fans.len()],
            air_handler: false,
            test_fan: None,
            ..setup.clone()
        };
        let baseline: Vec<f64> = asked.baseline_before.iter().chain(&asked.baseline_after).copied().collect();
        if let Some(mean) = mean_of(&baseline) {
            let station = self.station(&still, None);
            self.pressure(station, (Some(body), None), mean, gauge, &test.span);
        }
        let mut unknown = None;
        for state in &asked.states {
            let Some(mean) = mean_of(&state.shown_pa) else { continue };
            let mut running = still.clone();
            let mut known = !state.on.is_empty();
            for name in &state.on {
                match house::find(self.house, &name.value) {
                    Some(house::Switchable::Fan(f)) => running.running[f] = true,
                    Some(house::Switchable::AirHandler) => running.air_handler = true,
                    _ => known = false,
                }
            }
            if !known {
                unknown = Some(state.name.clone());
                continue;
            }
            let station = self.station(&running, None);
            self.pressure(station, (Some(body), None), mean, gauge, &test.span);
        }
        unknown.map_or(Ok(()), |state| Err(("left-out-which-fan", state)))
    }

    fn combustion_zone(&mut self, asked: &CombustionZone, setup: &Setup) -> Placed {
        if asked.states.is_empty() && asked.baseline_before.is_empty() && asked.baseline_after.is_empty() {
            return Ok(());
        }
        let name = asked.zone.as_ref().map_or_else(String::new, |z| z.value.clone());
        let Some(zone) = self.zone_called(&name) else { return Err(("left-out-which-zone", name)) };
        let beyond = asked.exhausts.iter().chain(&asked.doors).chain(&asked.zone_doors).next();
        let handler = asked.handler && self.house.air_handler.is_none();
        if handler || beyond.is_some() {
            let of = beyond.map_or_else(|| "air_handler".to_owned(), |n| n.value.clone());
            return Err(("left-out-not-drawn", of));
        }
        let Some(gauge) = self.gauge(asked.pressure_with.as_ref(), asked.wandered_pa) else { return Ok(()) };
        let house: &House = self.house;
        let devices = Devices::of_house(house, Some(zone));
        let door = |names: &[String], setup: &mut Setup, open: bool| {
            for (d, _) in house.doors.iter().enumerate().filter(|(_, d)| names.contains(&d.text.name.value)) {
                setup.open[d] = open;
            }
        };
        let mut still = Setup {
            running: vec![false; house.fans.len()],
            air_handler: false,
            test_fan: None,
            ..setup.clone()
        };
        door(&devices.room_doors, &mut still, true);
        door(&devices.zone_doors, &mut still, true);
        let baseline: Vec<f64> = asked.baseline_before.iter().chain(&asked.baseline_after).copied().collect();
        if let (Some(mean), Some(span)) = (mean_of(&baseline), asked.states.first().map(|s| &s.span)) {
            let station = self.station(&still, None);
            self.pressure(station, (Some(zone), None), mean, gauge, span);
        }
        let mut unknown = None;
        for state in &asked.states {
            let Some(mean) = mean_of(&state.shown_pa) else { continue };
            if let Some(name) = state.set.iter().find(|(n, _)| house::find(house, &n.value).is_none()) {
                unknown = Some(name.0.value.clone());
                continue;
            }
            let mut setup = still.clone();
            for (f, fan) in house.fans.iter().enumerate() {
                setup.running[f] = state.exhausts && devices.exhausts.contains(&fan.text.name.value);
            }
            setup.air_handler = state.handler && devices.handler;
            door(&devices.room_doors, &mut setup, !state.doors);
            door(&devices.zone_doors, &mut setup, !state.zone_doors);
            house::apply(house, &mut setup, &state.set, self.sink);
            let station = self.station(&setup, None);
            self.pressure(station, (Some(zone), None), mean, gauge, &state.span);
        }
        unknown.map_or(Ok(()), |name| Err(("left-out-not-drawn", name)))
    }

    fn dominant(&mut self, asked: &Dominant, test: &FieldTest, setup: &Setup) -> Placed {
        if self.house.air_handler.is_none() {
            return Err(("left-out-no-handler", String::new()));
        }
        if asked.intake_open {
            return Err(("left-out-intake", String::new()));
        }
        let Some(body) = self.fan_zone(None) else { return Ok(()) };
        let Some(gauge) = self.gauge(asked.pressure_with.as_ref(), 0.0) else { return Ok(()) };
        let mut state = Setup { test_fan: None, ..setup.clone() };
        if !asked.doors_open {
            let inner = |p: &Place| matches!(p, Place::Zone(z) if self.house.zones[*z].kind.is_indoors());
            for (d, door) in self.house.doors.iter().enumerate() {
                state.open[d] &= !door.between.iter().all(inner);
            }
        }
        let columns = [(asked.repeats.column("off"), false), (asked.repeats.column("on"), true)];
        for (column, air_handler) in columns {
            let mut shown_pa = column.unwrap_or_default();
            shown_pa.extend(asked.last_off_pa.filter(|_| !air_handler));
            let Some(mean) = mean_of(&shown_pa) else { continue };
            state.air_handler = air_handler;
            let station = self.station(&state, None);
            self.pressure(station, (Some(body), None), mean, gauge, &test.span);
        }
        Ok(())
    }

    /// A test that enters by its result.
    fn summary(&mut self, test: &FieldTest, worked: &Worked, setup: &mut Setup) -> Placed {
        let figure = |id: &str| worked.figures.iter().filter(|f| f.id == id).map(|f| f.number).next_back();
        let air = "figure-zone-outdoor-air";
        match &test.asked {
            Asked::Decay(d) => {
                if d.search || d.record.columns.len() > 1 {
                    return Err(("left-out-which-decay", String::new()));
                }
                let zone = d.volume.zone.as_ref();
                self.tracer(test, setup, zone, figure("figure-air-change"), (true, false), MIXED)
            }
            Asked::BuildUp(b) => {
                let zone = b.volume.zone.as_ref();
                match figure("figure-outdoor-air-level") {
                    Some(level) => self.tracer(test, setup, zone, Some(level), (false, true), MIXED),
                    None => self.tracer(test, setup, zone, figure("figure-air-change"), (true, false), MIXED),
                }
            }
            Asked::Steady(s) => {
                let steady = worked.checks.iter().find(|c| c.id == "check-steady");
                if steady.is_none_or(|c| matches!(c.verdict, Verdict::Fail) || c.value.is_none()) {
                    return Err(("left-out-not-steady", String::new()));
                }
                self.tracer(test, setup, s.volume.zone.as_ref(), figure(air), (false, true), MIXED)
            }
            Asked::TwoZones(t) => {
                let names: Vec<&Sp<String>> = t.volumes.iter().map(|v| &v.0).collect();
                let zones: Vec<usize> = names.iter().filter_map(|n| self.zone_called(&n.value)).collect();
                let (&[one, two], Some(total)) = (zones.as_slice(), figure(air)) else {
                    let lost = names.iter().find(|n| self.zone_called(&n.value).is_none());
                    return Err(("left-out-which-zone", lost.map_or_else(String::new, |n| n.value.clone())));
                };
                self.inflow(test, setup, [one, two], Some(total), false, MIXED)
            }
            Asked::Surface(s) => {
                let Some(excess) = figure("figure-moisture-excess") else { return Ok(()) };
                let Some(given) = s.given_off_kg_s else { return Err(("left-out-water", String::new())) };
                let Some(doubt) = s.given_off_accuracy else {
                    return Err(("left-out-water", String::new()));
                };
                if excess.si <= 0.0 {
                    return Err(("left-out-no-result", String::new()));
                }
                let given_sd = doubt.limit(given) / STATED_LIMIT_SD / given;
                let sd = relative_sd(&excess).unwrap_or(0.0).hypot(given_sd).hypot(BUFFERED);
                let through = Estimate::without(
                    given / excess.si,
                    crate::units::Quantity::AirFlow,
                    crate::measure::NoInterval::NotComputed,
                );
                self.tracer(test, setup, None, Some(through), (false, true), sd)
            }
            Asked::FanFlow(f) => self.fan_flow(test, f.of.as_ref(), f.with.as_ref(), worked, setup),
            Asked::HandlerFlow(_) => {
                if self.house.air_handler.is_none() {
                    return Err(("left-out-no-handler", String::new()));
                }
                setup.air_handler = true;
                self.of_figure(test, setup, Seen::Handler, figure("figure-handler-flow"), None, 0.0)
            }
            Asked::DuctLeakage(d) => self.duct_leakage(test, d.flow_with.as_ref(), worked, setup),
            _ => Ok(()),
        }
    }

    /// A tracer in a room: by its air change, or by the flow that the whole house must get.
    fn tracer(
        &mut self,
        test: &FieldTest,
        setup: &Setup,
        zone: Option<&Sp<String>>,
        figure: Option<Estimate>,
        (of_volume, must_be_whole): (bool, bool),
        discrepancy: f64,
    ) -> Placed {
        let named = zone.and_then(|z| self.zone_called(&z.value));
        if let (Some(zone), None) = (zone, named) {
            return Err(("left-out-which-zone", zone.value.clone()));
        }
        let Some(at) = named.or_else(|| self.fan_zone(None)) else { return Ok(()) };
        let body = inflow::body(self.house, setup, [at, at]);
        let whole = inflow::is_whole(self.house, &body);
        if named.is_none() && !whole {
            return Err(("left-out-which-zone", String::new()));
        }
        // What comes from the rooms beside is not outdoor air, and how much it carried is not known.
        if must_be_whole && !whole {
            return Err(("left-out-rooms", self.house.zones[at].label.clone()));
        }
        self.inflow(test, setup, [at, at], figure, of_volume, discrepancy)
    }

    fn inflow(
        &mut self,
        test: &FieldTest,
        setup: &Setup,
        zones: [usize; 2],
        figure: Option<Estimate>,
        of_volume: bool,
        discrepancy: f64,
    ) -> Placed {
        let conditions = &self.visit.conditions;
        if conditions.indoor_k.is_none() || conditions.outdoor_k.is_none() {
            return Err(("left-out-temperatures", String::new()));
        }
        let setup = Setup { test_fan: None, ..setup.clone() };
        self.of_figure(test, &setup, Seen::Inflow { zones, of_volume }, figure, None, discrepancy)
    }

    /// One figure of a result as an observation. Where its instrument is also another reading's, the
    /// share of its interval that is the instrument's own error is taken out and shared.
    fn of_figure(
        &mut self,
        test: &FieldTest,
        setup: &Setup,
        seen: Seen,
        figure: Option<Estimate>,
        with: Option<&Sp<String>>,
        discrepancy: f64,
    ) -> Placed {
        let Some(figure) = figure.filter(|f| f.si > 0.0) else {
            return Err(("left-out-no-result", String::new()));
        };
        let own = relative_sd(&figure);
        if own.is_none() && discrepancy < BUFFERED {
            return Err(("left-out-interval", String::new()));
        }
        let shared = self.named(with).filter(|(_, i)| i.accuracy.is_some()).map(|i| i.0);
        let gain_sd = shared.map_or(0.0, |i| self.all.instruments[i].gain_sd);
        let own = own.unwrap_or(0.0);
        let rest = own * own - gain_sd * gain_sd + discrepancy * discrepancy;
        let noise_sd =
            if rest > FLOW_REPEATABILITY * FLOW_REPEATABILITY { rest.sqrt() } else { FLOW_REPEATABILITY };
        let station = self.station(setup, None);
        self.all.list.push(Observation {
            station,
            seen,
            value: math::ln(figure.si),
            noise_sd,
            below: false,
            instrument: shared,
            span: test.span.clone(),
        });
        Ok(())
    }

    fn fan_flow(
        &mut self,
        test: &FieldTest,
        of: Option<&Sp<String>>,
        with: Option<&Sp<String>>,
        worked: &Worked,
        setup: &mut Setup,
    ) -> Placed {
        let name = of.unwrap_or(&test.name);
        let fan = self.house.fans.iter().position(|f| f.text.name.value == name.value);
        let mut registers = self.house.air_handler.iter().flat_map(|h| h.text.registers.iter());
        let register = registers.position(|r| r.name.value == name.value);
        let seen = match (fan, register) {
            (Some(fan), _) => {
                setup.running[fan] = true;
                Seen::Fan(fan)
            }
            (None, Some(register)) => {
                setup.air_handler = true;
                Seen::Register(register)
            }
            (None, None) => {
                return Err(("left-out-which-fan", of.map_or_else(String::new, |n| n.value.clone())));
            }
        };
        self.of_figure(test, setup, seen, worked.get("figure-fan-flow").copied(), with, 0.0)
    }

    /// The slope of heating bills: conduction and the heat of the air that comes in.
    fn bills(&mut self, asked: &Bills, test: &FieldTest, worked: &Worked) -> Placed {
        let all = |id: &'static str| worked.figures.iter().filter(move |f| f.id == id);
        let turned = |of: &Option<String>| all("figure-heat-loss").any(|f| f.of == *of);
        if let Some(slope) = all("figure-heating-slope").find(|f| !turned(&f.of)) {
            return Err(("left-out-bills-efficiency", slope.of.clone().unwrap_or_default()));
        }
        let losses: Vec<Estimate> = all("figure-heat-loss").map(|f| f.number).collect();
        let outdoors: Vec<f64> = all("figure-heating-outdoor").map(|f| f.number.si).collect();
        let read_w_k: f64 = losses.iter().map(|e| e.si).sum();
        if losses.is_empty() || outdoors.is_empty() || read_w_k <= 0.0 {
            return Err(("left-out-no-result", String::new()));
        }
        if !self.all.seasons.is_empty() {
            return Err(("left-out-bills-other", String::new()));
        }
        let conditions = &self.visit.conditions;
        let pressure_pa = conditions.pressure_pa;
        let climate = Climate {
            indoor_k: asked.indoor_k.or(conditions.indoor_k).unwrap_or(INDOOR_K),
            outdoor_k: outdoors.iter().sum::<f64>() / outdoors.len() as f64,
            wind_m_s: asked.wind_m_s.unwrap_or(SEASON_WIND_M_S),
            pressure_pa: pressure_pa.unwrap_or_else(|| air::standard_pressure_pa(self.altitude_m)),
        };
        let off = asked.conductances_within.map_or(CONDUCTANCES_OFF, |w| w / STATED_LIMIT_SD);
        let windier = Climate { wind_m_s: (1.0 + WIND_OFF) * climate.wind_m_s, ..climate };
        let (Some(season), Some(windier)) =
            (Season::new(self.house, climate, off), Season::new(self.house, windier, off))
        else {
            return Err(("left-out-bills", String::new()));
        };
        // What another wind would do to the air's heat in the house as first believed.
        let heat = |s: &Season| s.nominal_air_w_k(self.house);
        let (Some(still), Some(blown)) = (heat(&season), heat(&windier)) else {
            return Err(("left-out-no-result", String::new()));
        };
        let own2: f64 = losses.iter().map(|e| relative_sd(e).map_or(0.0, |r| r * e.si)).map(|s| s * s).sum();
        if losses.iter().any(|e| relative_sd(e).is_none()) {
            return Err(("left-out-interval", String::new()));
        }
        let usual = worked.notes.iter().any(|n| n.id == "note-bills-usual-weather");
        let ducts = self.house.air_handler.as_ref().is_some_and(|h| !self.house.zones[h.zone].kind.is_indoors());
        let mut off2 = SEASONAL * SEASONAL;
        for _ in [usual, ducts].into_iter().filter(|yes| *yes) {
            off2 += SEASONAL * SEASONAL;
        }
        let wind_w_k = blown - still;
        let sd2 = own2 + off2 * read_w_k * read_w_k + wind_w_k * wind_w_k;
        let noise_sd = (sd2 + season.ua_sd_w_k * season.ua_sd_w_k).sqrt() / read_w_k;
        self.all.seasons.push(season);
        let season = self.all.seasons.len() - 1;
        // Its own states are the season's; the station only says on which visit it was written.
        let station = self.station(&house::start(self.house), None);
        self.all.list.push(Observation {
            station,
            seen: Seen::HeatLoss { season },
            value: math::ln(read_w_k),
            noise_sd,
            below: false,
            instrument: None,
            span: test.span.clone(),
        });
        Ok(())
    }

    fn duct_leakage(
        &mut self,
        test: &FieldTest,
        with: Option<&Sp<String>>,
        worked: &Worked,
        setup: &mut Setup,
    ) -> Placed {
        let Some(handler) = &self.house.air_handler else {
            return Err(("left-out-no-handler", String::new()));
        };
        // What leaks into the rooms is no leak of the house's ducts as the model has them, unless they
        // run in the rooms.
        let inside = self.house.zones[handler.zone].kind.is_indoors();
        let ids = if inside {
            ["figure-duct-operating-supply", "figure-duct-operating-return"]
        } else {
            ["figure-duct-operating-supply-outdoors", "figure-duct-operating-return-outdoors"]
        };
        setup.air_handler = true;
        let found = ids.map(|id| worked.get(id).copied());
        if found.iter().all(Option::is_none) {
            let any = |mark: &str| worked.figures.iter().any(|f| f.id.starts_with(mark));
            let total_only = !inside && (any("figure-duct-operating") || any("figure-duct-25"));
            let outdoors = worked.figures.iter().any(|f| f.id.ends_with("-outdoors"));
            let question = if total_only && !outdoors { "left-out-to-outdoors" } else { "left-out-plenum" };
            return Err((question, String::new()));
        }
        for (figure, supply) in found.into_iter().zip([true, false]).filter(|(f, _)| f.is_some()) {
            let seen = Seen::DuctLeak { supply, back: !supply };
            self.of_figure(test, setup, seen, figure, with, HALF_PLENUM)?;
        }
        Ok(())
    }
}

/// What a test could not be placed for: the question and what it is about.
type Placed = Result<(), (&'static str, String)>;

/// Whether a kind of test reads what the fit could use. Results that are worked out of others
/// (change, guarded unit, duct leakage by difference, infiltration) and those that read no air (wood,
/// mould, infrared) do not.
fn enters(asked: &Asked) -> bool {
    matches!(
        asked,
        Asked::ZonePressures(_)
            | Asked::RoomPressures(_)
            | Asked::FanPressures(_)
            | Asked::CombustionZone(_)
            | Asked::DominantLeak(_)
            | Asked::Decay(_)
            | Asked::BuildUp(_)
            | Asked::Steady(_)
            | Asked::TwoZones(_)
            | Asked::FanFlow(_)
            | Asked::HandlerFlow(_)
            | Asked::DuctLeakage(_)
            | Asked::StaticPressure(_)
            | Asked::PressurePans(_)
            | Asked::Sealing(_)
            | Asked::Bills(_)
            | Asked::Surface(_)
            | Asked::Recovery(_)
    ) || matches!(asked, Asked::Settled(s) if s.measures == crate::units::Quantity::AirFlow)
}

/// Whether a kind of test enters by its worked result.
pub fn by_result(asked: &Asked) -> bool {
    matches!(
        asked,
        Asked::Decay(_)
            | Asked::BuildUp(_)
            | Asked::Steady(_)
            | Asked::TwoZones(_)
            | Asked::Surface(_)
            | Asked::FanFlow(_)
            | Asked::HandlerFlow(_)
            | Asked::DuctLeakage(_)
            | Asked::Bills(_)
    )
}

#[cfg(test)]
mod recovered;
#[cfg(test)]
mod tests;
