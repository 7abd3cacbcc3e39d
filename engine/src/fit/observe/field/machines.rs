//! Fans, registers, ducts and the air handler as observations.

use super::{FLOW_REPEATABILITY, Placed, STATED_LIMIT_SD};
use crate::air;
use crate::doc::Sp;
use crate::doc::field::FieldTest;
use crate::doc::field::ducts::pans::{Pan, Pans};
use crate::doc::field::recovery::{Flow, Recovery};
use crate::fit::observe::{Day, Observation, Seen};
use crate::house::{AirHandler, Setup};
use crate::math;
use crate::procedure::duct::pans::area_ratio;
use crate::procedure::field::Worked;

/// Leakage in operation by half the plenum's pressure. Sd of the logarithm; common practice, no source.
pub(crate) const HALF_PLENUM: f64 = 0.25;
/// Pans: the ratio of leak to open area holds for one duct with one leak, and where along the duct
/// the leak sits decides its pressure in operation. Sd of the logarithm; common practice, no source.
pub(crate) const BY_PANS: f64 = 0.5;
/// Discharge coefficient of a sharp edge.
const EDGE: f64 = 0.611;

impl Day<'_> {
    pub(super) fn fan_flow(
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

    pub(super) fn duct_leakage(
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

    /// What flows at a fan or register of this name, and the setup in which it does.
    fn flows_at(&self, name: &str, setup: &mut Setup) -> Option<Seen> {
        if let Some(fan) = self.house.fans.iter().position(|f| f.text.name.value == name) {
            setup.running[fan] = true;
            return Some(Seen::Fan(fan));
        }
        let mut registers = self.house.air_handler.iter().flat_map(|h| h.text.registers.iter());
        let register = registers.position(|r| r.name.value == name)?;
        setup.air_handler = true;
        Some(Seen::Register(register))
    }

    /// A flow as it was read at `seen`; nothing where its instrument has no accuracy.
    pub(super) fn flow_read(
        &mut self,
        station: usize,
        seen: Seen,
        flow_m3_s: f64,
        with: Option<&Sp<String>>,
        span: &crate::diag::Span,
    ) {
        let Some((instrument, accuracy, step)) =
            self.named(with).and_then(|(at, i)| Some((at, i.accuracy?, i.resolution)))
        else {
            return;
        };
        let fixed = accuracy.absolute / STATED_LIMIT_SD / flow_m3_s;
        let step = step / flow_m3_s;
        let noise2 = FLOW_REPEATABILITY * FLOW_REPEATABILITY + step * step / 12.0 + fixed * fixed;
        self.all.list.push(Observation {
            station,
            seen,
            value: math::ln(flow_m3_s),
            noise_sd: noise2.sqrt(),
            below: false,
            instrument: Some(instrument),
            span: span.clone(),
        });
    }

    /// Both flows of a unit with two fans; one that another test measured is in the fit by that test.
    pub(super) fn recovery(&mut self, asked: &Recovery, setup: &Setup) -> Placed {
        let both = [(&asked.supply, &asked.supply_of), (&asked.exhaust, &asked.exhaust_of)];
        if both.iter().all(|(flow, _)| flow.value.is_none()) {
            return Ok(());
        }
        let mut running = setup.clone();
        let mut found: Vec<(Seen, &Flow)> = Vec::new();
        for (flow, of) in both {
            let seen = of.as_ref().and_then(|of| self.flows_at(&of.value, &mut running));
            match (seen, &flow.value) {
                (Some(seen), Some(_)) => found.push((seen, flow)),
                (None, Some(_)) => {
                    let of = of.as_ref().map_or_else(String::new, |of| of.value.clone());
                    return Err(("left-out-which-fan", of));
                }
                // The other fan runs beside it.
                (_, None) => {}
            }
        }
        let station = self.station(&running, None);
        for (seen, flow) in found {
            if let Some(shown) = flow.value.as_ref().filter(|v| v.value > 0.0) {
                self.flow_read(station, seen, shown.value, flow.with.as_ref(), &shown.span);
            }
        }
        Ok(())
    }

    /// Where the flow of a fan came to rest.
    pub(super) fn settled(
        &mut self,
        test: &FieldTest,
        (of, with): (Option<&Sp<String>>, Option<&Sp<String>>),
        worked: &Worked,
        setup: &mut Setup,
    ) -> Placed {
        let Some(seen) = of.and_then(|of| self.flows_at(&of.value, setup)) else {
            return Err(("left-out-which-fan", of.map_or_else(String::new, |of| of.value.clone())));
        };
        self.of_figure(test, setup, seen, worked.get("figure-settled").copied(), with, 0.0)
    }

    /// Flow of the air handler by a static pressure and its maker's table.
    pub(super) fn statics(&mut self, test: &FieldTest, worked: &Worked, setup: &mut Setup) -> Placed {
        if self.house.air_handler.is_none() {
            return Err(("left-out-no-handler", String::new()));
        }
        let Some(flow) = worked.get("figure-static-flow").copied() else {
            return Err(("left-out-statics", String::new()));
        };
        setup.air_handler = true;
        self.of_figure(test, setup, Seen::Handler, Some(flow), None, 0.0)
    }

    /// Pans over every register of a side: the leaks' area is what the ratios say of the areas open to
    /// the house, and half the plenum's pressure drives it in operation. A leak in the trunk shows at
    /// every pan with the part of the open area that is its register's, one near a register at that one
    /// pan: either way the sum over the registers is the leak.
    pub(super) fn pans(&mut self, asked: &Pans, test: &FieldTest, setup: &Setup) -> Placed {
        let house = self.house;
        let Some(handler) = &house.air_handler else { return Err(("left-out-no-handler", String::new())) };
        // Pans see what is open to outside; ducts in the rooms leak into the rooms.
        if asked.handler_on.value || house.zones[handler.zone].kind.is_indoors() {
            return Err(("left-out-pans-inside", String::new()));
        }
        let Some(gauge) = self.gauge(asked.pressure_with.as_ref(), 0.0) else { return Ok(()) };
        let gain_sd = gauge.instrument.map_or(0.0, |i| self.all.instruments[i].gain_sd);
        let offset_sd = gauge.instrument.map_or(0.0, |i| self.all.instruments[i].offset_sd);
        let pan_sd_pa = gauge.noise_pa.hypot(offset_sd);
        let mut missing = None;
        let mut placed = false;
        for (supply, plenum_pa) in [(true, asked.supply_plenum_pa), (false, asked.return_plenum_pa)] {
            let pans = match side(handler, supply, asked) {
                Ok(pans) => pans,
                Err(name) => {
                    missing = missing.or(Some(name));
                    continue;
                }
            };
            let Some(plenum_pa) = plenum_pa.filter(|p| p.abs() > 0.0) else {
                missing = missing.or_else(|| Some(String::new()));
                continue;
            };
            let (mut leak_m2, mut var_m4, mut least_m2) = (0.0, 0.0, 0.0);
            for (pan, open_m2) in pans {
                let zone = pan.zone.as_ref().and_then(|z| asked.zones.iter().find(|n| n.0.value == z.value));
                let drive_pa = zone.map_or(asked.house_pa.value, |z| z.1).abs();
                let at = |pa: f64| open_m2 * area_ratio(if pa > 0.0 { pa } else { 0.0 }, drive_pa);
                let reads_pa = pan.reads_pa.value.abs();
                let sd_m2 = 0.5 * (at(reads_pa + pan_sd_pa) - at(reads_pa - pan_sd_pa));
                leak_m2 += at(reads_pa);
                var_m4 += sd_m2 * sd_m2;
                least_m2 += at(2.0 * pan_sd_pa);
            }
            // Nothing to see: the leak is below what the gauge would have shown.
            let below = leak_m2 < least_m2;
            let area_m2 = if below { least_m2 } else { leak_m2 };
            let speed = (plenum_pa.abs() / air::REFERENCE_DENSITY_KG_M3).sqrt();
            let own = if below { 0.0 } else { var_m4.sqrt() / area_m2 };
            let running = Setup { air_handler: true, test_fan: None, ..setup.clone() };
            let station = self.station(&running, None);
            self.all.list.push(Observation {
                station,
                seen: Seen::DuctLeak { supply, back: !supply },
                value: math::ln(EDGE * area_m2 * speed),
                noise_sd: (BY_PANS * BY_PANS + own * own + 0.25 * gain_sd * gain_sd).sqrt(),
                below,
                instrument: None,
                span: test.span.clone(),
            });
            placed = true;
        }
        match missing {
            Some(of) if !placed => Err(("left-out-pans", of)),
            _ => Ok(()),
        }
    }
}

/// The pans of one side with the open area of each register; the first register that lacks one.
fn side<'p>(handler: &AirHandler, supply: bool, asked: &'p Pans) -> Result<Vec<(&'p Pan, f64)>, String> {
    let mut pans = Vec::new();
    for (register, (_, is_supply, _)) in handler.text.registers.iter().zip(&handler.registers) {
        if *is_supply != supply {
            continue;
        }
        let name = &register.name.value;
        let pan = asked.pans.iter().find(|p| p.register.value == *name);
        match pan.and_then(|p| Some((p, p.open_m2?))) {
            Some(found) => pans.push(found),
            None => return Err(name.clone()),
        }
    }
    if pans.is_empty() { Err(String::new()) } else { Ok(pans) }
}
