//! Field tests whose readings enter as they were read: pressures under their setups, a flow beside them.

use super::{Placed, mean_of};
use crate::doc::field::FieldTest;
use crate::doc::field::combustion_zone::CombustionZone;
use crate::doc::field::ducts::dominant::Dominant;
use crate::doc::field::fan_pressures::FanPressures;
use crate::doc::field::room_pressures::RoomPressures;
use crate::doc::field::zone_pressures::{Readings, ZonePressures};
use crate::doc::visit::Direction;
use crate::fit::observe::{Day, Seen};
use crate::house::{self, House, Place, Setup};
use crate::procedure::combustion::Devices;

impl Day<'_> {
    pub(super) fn zone_pressures(
        &mut self,
        asked: &ZonePressures,
        test: &FieldTest,
        setup: &Setup,
    ) -> Placed {
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

    pub(super) fn room_pressures(
        &mut self,
        asked: &RoomPressures,
        test: &FieldTest,
        setup: &Setup,
    ) -> Placed {
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
            if let (Some(flow), Some(register), None) = (room.flow_m3_s, here.next(), here.next()) {
                let with = asked.flow_with.as_ref();
                self.flow_read(station, Seen::Register(register), flow, with, &room.room.span);
            }
        }
        unknown.map_or(Ok(()), |room| Err(("left-out-which-zone", room)))
    }

    pub(super) fn fan_pressures(&mut self, asked: &FanPressures, test: &FieldTest, setup: &Setup) -> Placed {
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

    pub(super) fn combustion_zone(&mut self, asked: &CombustionZone, setup: &Setup) -> Placed {
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

    pub(super) fn dominant(&mut self, asked: &Dominant, test: &FieldTest, setup: &Setup) -> Placed {
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
}
