//! Field tests of a visit as observations.
//!
//! Pressures are taken from the document as they were read, each under its setup with its gauge.
//! What needs a procedure first (a decay, a hood's field error, a duct tester's power law) enters as
//! its result: the interval of the figure, and beside it a stated discrepancy between what the
//! procedure and what the network mean. What cannot be placed is listed with the one question whose
//! answer would save it.

mod heat;
mod machines;
mod pressures;
mod tracers;

pub(crate) use machines::{BY_PANS, HALF_PLENUM};

use super::{
    Day, FLOW_REPEATABILITY, LeftOut, Observation, PRESSURE_NOISE_PA, STATED_LIMIT_SD, Seen, Tap,
    common_height_m,
};
use crate::doc::Sp;
use crate::doc::field::{Asked, FieldTest};
use crate::doc::visit::{Instrument, Visit};
use crate::house::{self, Setup};
use crate::measure::{Estimate, Interval};
use crate::procedure::field::Worked;
use crate::procedure::verdict::Verdict;

/// What a tracer sees of the network's inflow: rooms are never quite mixed and the wind of the hour
/// is not that of the note. Sd of the logarithm; common practice, no source.
const MIXED: f64 = 0.12;
/// The same of water: walls and furniture hold back and give off. Common practice, no source.
const BUFFERED: f64 = 0.3;
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
        if !matches!(test.asked, Asked::Sealing(_) | Asked::Bills(_)) {
            house::apply(self.house, &mut setup, &test.set, self.sink);
        }
        let question = match &test.asked {
            Asked::ZonePressures(z) => self.zone_pressures(z, test, &setup),
            Asked::RoomPressures(r) => self.room_pressures(r, test, &setup),
            Asked::FanPressures(f) => self.fan_pressures(f, test, &setup),
            Asked::CombustionZone(c) => self.combustion_zone(c, &setup),
            Asked::DominantLeak(d) => self.dominant(d, test, &setup),
            Asked::PressurePans(p) => self.pans(p, test, &setup),
            Asked::Recovery(r) => self.recovery(r, &setup),
            Asked::Sealing(_) => Err(("left-out-sealing", String::new())),
            Asked::Bills(b) => match worked {
                Some(worked) => self.bills(b, test, worked),
                None => Err(("left-out-no-result", String::new())),
            },
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
            Asked::StaticPressure(_) => self.statics(test, worked, setup),
            Asked::Settled(s) => self.settled(test, (s.of.as_ref(), s.with.as_ref()), worked, setup),
            _ => Ok(()),
        }
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
    ) || flow_settles(asked)
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
            | Asked::StaticPressure(_)
            | Asked::Bills(_)
    ) || flow_settles(asked)
}

/// Whether a settled reading is that of a flow.
fn flow_settles(asked: &Asked) -> bool {
    matches!(asked, Asked::Settled(s) if s.measures == crate::units::Quantity::AirFlow)
}

#[cfg(test)]
mod recovered;
#[cfg(test)]
mod tests;
