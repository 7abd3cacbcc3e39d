//! From the readings of all visits to stations and observations.
//!
//! A station is a moment with one setup and, where a test fan runs, one fan flow of its own. Each
//! row of an envelope test is a station; single readings share a station until something is
//! touched. A reading that cannot be used is reported, never dropped in silence.

use super::season::Season;
use crate::air;
use crate::diag::{Diagnostic, Span, code};
use crate::doc::fans::range as range_used;
use crate::doc::visit::{Direction, EnvelopeTest, FlowBasis, Instrument, Reading, Subject, Visit};
use crate::doc::{Sink, Sp};
use crate::house::{self, House, Place, Setup};
use crate::math;
use crate::procedure::field::Worked;
use crate::units::Quantity;
use serde::Serialize;

pub mod field;

/// A place where pressure is felt, at a height.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tap {
    /// The zone; nothing for outdoors.
    pub zone: Option<usize>,
    /// Height above ground, m.
    pub z_m: f64,
}

/// What an observation sees of the house.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Seen {
    /// Pressure at one tap minus pressure at another, Pa.
    Pressure {
        /// Where it is felt.
        feels: Tap,
        /// What it is compared with.
        against: Tap,
    },
    /// Logarithm of the test fan's flow as the instrument shows it, m3/s.
    TestFan {
        /// Logarithm of shown over true flow, from density and basis.
        ln_shown_over_true: f64,
    },
    /// Logarithm of a fan's flow, m3/s.
    Fan(usize),
    /// Logarithm of a register's flow, m3/s.
    Register(usize),
    /// Logarithm of the air handler's flow, m3/s.
    Handler,
    /// Logarithm of what the ducts lose or draw while the air handler runs, m3/s.
    DuctLeak {
        /// Supply side.
        supply: bool,
        /// Return side.
        back: bool,
    },
    /// Logarithm of the air that a zone, and all that mixes with it, gets from elsewhere, m3/s of
    /// its own air; with `of_volume` over its volume, 1/s ([`super::inflow`]).
    Inflow {
        /// The zone, named twice, or two of them.
        zones: [usize; 2],
        /// Whether the air change is seen.
        of_volume: bool,
    },
    /// Logarithm of the heat that the house loses for each kelvin, W/K: what heating bills show
    /// ([`super::season`]).
    HeatLoss {
        /// Index in [`Observations::seasons`].
        season: usize,
    },
}

impl Seen {
    /// What its value, or the exponential of it, measures.
    pub fn quantity(&self) -> Quantity {
        match self {
            Seen::Pressure { .. } => Quantity::Pressure,
            Seen::Inflow { of_volume: true, .. } => Quantity::AirChange,
            Seen::HeatLoss { .. } => Quantity::Conductance,
            _ => Quantity::AirFlow,
        }
    }
}

/// A moment with one setup.
#[derive(Clone, Debug, PartialEq)]
pub struct Station {
    /// Index of the visit.
    pub visit: usize,
    /// State of the house.
    pub setup: Setup,
    /// Zone of the test fan, where one runs.
    pub fan_zone: Option<usize>,
    /// Temperature of each zone, K.
    pub zone_k: Vec<f64>,
    /// Temperature outdoors, K.
    pub outdoor_k: f64,
    /// Barometric pressure, Pa.
    pub pressure_pa: f64,
}

/// One reading as the fit sees it.
#[derive(Clone, Debug, PartialEq)]
pub struct Observation {
    /// Index of the station.
    pub station: usize,
    /// What it sees.
    pub seen: Seen,
    /// Value: Pa, or the logarithm of m3/s, 1/s or W/K.
    pub value: f64,
    /// Noise of its own, sd in the same measure.
    pub noise_sd: f64,
    /// The instrument showed less than `value`.
    pub below: bool,
    /// Index of the instrument, whose gain and offset it shares with its other readings.
    pub instrument: Option<usize>,
    /// Where it was written.
    pub span: Span,
}

/// An instrument on a visit, with the sd of its shared errors.
#[derive(Clone, Debug, PartialEq)]
pub struct SharedError {
    /// Name people read.
    pub label: String,
    /// Relative error, sd.
    pub gain_sd: f64,
    /// Fixed error, sd, Pa; zero for flow instruments.
    pub offset_sd: f64,
}

/// Everything read, ready for the fit.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Observations {
    /// Moments.
    pub stations: Vec<Station>,
    /// Readings.
    pub list: Vec<Observation>,
    /// Instruments.
    pub instruments: Vec<SharedError>,
    /// For each visit, sd of the wind pressure on a face, Pa.
    pub wind_sd_pa: Vec<f64>,
    /// Heating seasons of bills.
    pub seasons: Vec<Season>,
    /// What was read and is not among them.
    pub left_out: Vec<LeftOut>,
    /// State of the house after the last single reading.
    pub now: Option<Setup>,
}

impl Observations {
    /// The heating season that an observation is of.
    pub fn season_of(&self, o: &Observation) -> Option<&Season> {
        match o.seen {
            Seen::HeatLoss { season } => self.seasons.get(season),
            _ => None,
        }
    }
}

/// Readings that the fit does not take, and the one question whose answer would save them.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct LeftOut {
    /// Name of the test or the instrument.
    pub what: String,
    /// Kind of the test as written in documents; empty for an instrument.
    pub kind: &'static str,
    /// Key of the question in the catalogues, `left-out-...`.
    pub question: &'static str,
    /// What the question is about: a name in the document, or nothing.
    pub of: String,
    /// Where it was written.
    pub span: Span,
}

/// Figures of worked field tests, by index of visit and of field test.
pub type Figures<'a> = dyn Fn(usize, usize) -> Option<Worked> + 'a;

/// Accuracy is stated as 95 % limits; this many standard deviations.
const STATED_LIMIT_SD: f64 = 1.96;
/// Repeatability of a flow reading, sd of its logarithm. An assumption, no source.
const FLOW_REPEATABILITY: f64 = 0.01;
/// Least noise of a pressure reading, Pa. An assumption, no source.
const PRESSURE_NOISE_PA: f64 = 0.05;
/// Spread of the wall pressure coefficient over faces and directions, sd: the published low-rise
/// coefficients run from -0.7 to 0.6.
const CP_SPREAD: f64 = 0.4;
/// Least sd of a wind pressure, Pa; air is never quite calm. An assumption, no source.
const CALM_WIND_PA: f64 = 0.1;

/// Collects the observations of all visits. What cannot be used is reported.
pub fn collect(house: &House, visits: &[Visit], altitude_m: f64, sink: &Sink) -> Observations {
    collect_with(house, visits, altitude_m, &|_, _| None, sink)
}

/// The same with the results of field tests, for those that enter as a summary (tracers, flows of
/// fans and ducts); the pressures of field tests need none.
pub fn collect_with(
    house: &House,
    visits: &[Visit],
    altitude_m: f64,
    worked: &Figures<'_>,
    sink: &Sink,
) -> Observations {
    let mut all = Observations::default();
    for (index, visit) in visits.iter().enumerate() {
        let first_instrument = all.instruments.len();
        all.instruments.extend(visit.instruments.iter().map(|i| {
            // An instrument without a stated accuracy keeps its place and has no reading.
            let stated = i.accuracy.unwrap_or_default();
            SharedError {
                label: i.label.clone(),
                gain_sd: stated.relative / STATED_LIMIT_SD,
                offset_sd: if i.measures == Quantity::Pressure {
                    stated.absolute / STATED_LIMIT_SD
                } else {
                    0.0
                },
            }
        }));
        all.wind_sd_pa.push(wind_sd_pa(visit));
        let mut day = Day { house, visit, index, altitude_m, first_instrument, sink, all: &mut all };
        day.collect(worked);
        let left_out = visit.instruments.iter().filter(|i| i.accuracy.is_none() && is_used(visit, i));
        for instrument in left_out {
            sink.borrow_mut().push(
                Diagnostic::warning(code::V112)
                    .at(instrument.name.span.clone())
                    .arg("name", instrument.label.as_str()),
            );
            all.left_out.push(LeftOut {
                what: instrument.label.clone(),
                kind: "",
                question: "left-out-accuracy",
                of: String::new(),
                span: instrument.name.span.clone(),
            });
        }
    }
    all
}

/// Whether a reading names the instrument.
fn is_used(visit: &Visit, instrument: &Instrument) -> bool {
    let tests = visit.tests.iter().flat_map(|t| t.pressure_with.iter().chain(&t.flow_with));
    let readings = visit.readings.iter().filter_map(|r| r.with.as_ref());
    tests.chain(readings).chain(field::instruments(visit)).any(|name| name.value == instrument.name.value)
}

fn wind_sd_pa(visit: &Visit) -> f64 {
    let speed = visit.conditions.wind_m_s.unwrap_or(2.0);
    let noted = CP_SPREAD * 0.5 * air::REFERENCE_DENSITY_KG_M3 * speed * speed;
    let scatter = visit.tests.iter().filter_map(|t| {
        let samples: Vec<f64> = t.baselines().iter().flat_map(|s| s.value.iter().copied()).collect();
        let n = samples.len() as f64;
        let mean = samples.iter().sum::<f64>() / n;
        (samples.len() > 2)
            .then(|| (samples.iter().map(|p| (p - mean) * (p - mean)).sum::<f64>() / (n - 1.0)).sqrt())
    });
    math::max_valid(scatter.chain([noted, CALM_WIND_PA])).unwrap_or(CALM_WIND_PA)
}

/// Taps read at one station and the time noted. A pressure that is read again at another time begins a
/// new station: the fan was set again, and something may have been touched that nobody noted.
#[derive(Default)]
struct Moment<'a> {
    time: Option<&'a str>,
    taps: Vec<(&'a str, &'a str)>,
}

impl<'a> Moment<'a> {
    fn taps_of(reading: &'a Reading) -> Option<(&'a str, &'a str)> {
        match &reading.subject {
            Subject::Pressure { feels, compared_with } => Some((&feels.value, &compared_with.value)),
            Subject::Flow { .. } => None,
        }
    }

    fn is_past(&self, reading: &'a Reading) -> bool {
        let later = reading.time.is_some() && reading.time.as_deref() != self.time;
        later && Self::taps_of(reading).is_some_and(|pair| self.taps.contains(&pair))
    }

    fn take(&mut self, reading: &'a Reading) {
        self.time = reading.time.as_deref().or(self.time);
        self.taps.extend(Self::taps_of(reading));
    }
}

struct Day<'a> {
    house: &'a House,
    visit: &'a Visit,
    index: usize,
    altitude_m: f64,
    first_instrument: usize,
    sink: &'a Sink,
    all: &'a mut Observations,
}

impl Day<'_> {
    fn say(&self, diagnostic: Diagnostic) {
        self.sink.borrow_mut().push(diagnostic);
    }

    fn collect(&mut self, worked: &Figures<'_>) {
        let mut setup = house::start(self.house);
        house::apply(self.house, &mut setup, &self.visit.start, self.sink);
        for test in &self.visit.tests {
            self.test(test, &setup);
        }
        for (at, test) in self.visit.field.iter().enumerate() {
            self.field_test(test, worked(self.index, at).as_ref(), &setup);
        }
        let mut touched = true;
        let mut moment = Moment::default();
        for reading in &self.visit.readings {
            if !reading.set.is_empty() {
                house::apply(self.house, &mut setup, &reading.set, self.sink);
                touched = true;
            }
            touched |= moment.is_past(reading);
            if touched {
                moment = Moment::default();
            }
            moment.take(reading);
            self.reading(reading, &setup, touched);
            touched = false;
        }
        self.all.now = Some(setup);
    }

    fn station(&mut self, setup: &Setup, fan_zone: Option<usize>) -> usize {
        let c = &self.visit.conditions;
        // Without a note: rooms at 20 degC, outdoors at 10 degC, buffers half way; the stack effect
        // of a wrong guess is small against 50 Pa and shows in the residuals at small pressures.
        let indoor_k = c.indoor_k.unwrap_or(293.15);
        let outdoor_k = c.outdoor_k.unwrap_or(283.15);
        let zone_k = self
            .house
            .zones
            .iter()
            .map(|z| {
                let noted = c.zones_k.iter().find(|(name, _)| name.value == z.name).map(|(_, k)| *k);
                noted.unwrap_or(if z.kind.is_indoors() { indoor_k } else { (indoor_k + outdoor_k) / 2.0 })
            })
            .collect();
        self.all.stations.push(Station {
            visit: self.index,
            setup: setup.clone(),
            fan_zone,
            zone_k,
            outdoor_k,
            pressure_pa: c.pressure_pa.unwrap_or_else(|| air::standard_pressure_pa(self.altitude_m)),
        });
        self.all.stations.len() - 1
    }

    fn instrument(&self, name: Option<&Sp<String>>) -> Option<(usize, &Instrument)> {
        let name = name?;
        let found = self.visit.instruments.iter().position(|i| i.name.value == name.value);
        if found.is_none() {
            let known = self.visit.instruments.iter().map(|i| i.name.value.as_str());
            self.say(name.unknown("instrument", known));
        }
        found.map(|i| (self.first_instrument + i, &self.visit.instruments[i]))
    }

    fn zone(&self, name: &Sp<String>) -> Option<usize> {
        let found = self.house.zone(&name.value);
        if found.is_none() {
            let known = self.house.zones.iter().map(|z| z.name.as_str());
            self.say(name.unknown("zone", known));
        }
        found
    }

    /// The zone the test fan blows from: as written, else the largest living zone.
    fn fan_zone(&self, written: Option<&Sp<String>>) -> Option<usize> {
        match written {
            Some(name) => self.zone(name),
            None => {
                let living = self.house.zones.iter().enumerate().filter(|(_, z)| z.kind.is_indoors());
                living.max_by(|a, b| a.1.volume_m3.total_cmp(&b.1.volume_m3)).map(|(i, _)| i)
            }
        }
    }

    fn test(&mut self, test: &EnvelopeTest, start: &Setup) {
        let mut setup = start.clone();
        house::apply(self.house, &mut setup, &test.set, self.sink);
        let Some(zone) = self.fan_zone(test.zone.as_ref()) else { return };
        let gauge = self.instrument(test.pressure_with.as_ref()).map(|(i, g)| (i, g.clone()));
        let fans: Vec<Option<(usize, Instrument)>> = (test.flow_with.iter())
            .map(|name| self.instrument(Some(name)).map(|(i, f)| (i, f.clone())))
            .collect();
        let middle = self.house.zones[zone].middle_m();
        let (inside, outside) = (Tap { zone: Some(zone), z_m: middle }, Tap { zone: None, z_m: middle });
        let (feels, against) =
            if test.reads_outdoors_minus_house { (outside, inside) } else { (inside, outside) };
        let seen = Seen::Pressure { feels, against };
        let pressure_noise = |g: &Option<(usize, Instrument)>| {
            let step = g.as_ref().map_or(0.1, |(_, g)| g.resolution);
            (PRESSURE_NOISE_PA * PRESSURE_NOISE_PA + step * step / 12.0).sqrt()
        };
        // Without a stated accuracy there is no weight for a reading.
        let weighed = |g: &Option<(usize, Instrument)>| g.as_ref().is_none_or(|(_, g)| g.accuracy.is_some());
        let baselines = test.baselines();
        let mean_of = |sets: &mut dyn Iterator<Item = usize>| {
            let samples: Vec<f64> = sets.flat_map(|at| baselines[at].value.iter().copied()).collect();
            (!samples.is_empty()).then(|| samples.iter().sum::<f64>() / samples.len() as f64)
        };
        // The zero-flow pressure is a reading of its own: stack and wind without a fan.
        if let Some(mean) = mean_of(&mut (0..baselines.len())).filter(|_| weighed(&gauge)) {
            let off = Setup { test_fan: None, ..setup.clone() };
            let station = self.station(&off, None);
            self.all.list.push(Observation {
                station,
                seen,
                value: mean,
                noise_sd: pressure_noise(&gauge),
                below: false,
                instrument: gauge.as_ref().map(|g| g.0),
                span: test.span.clone(),
            });
        }
        for (run, sides) in test.runs.iter().zip(test.baselines_of_runs()) {
            let baseline = mean_of(&mut sides.into_iter().flatten());
            setup.test_fan = Some(run.direction);
            let Some(grid) = &run.stations else { continue };
            let house_at = grid.columns.iter().position(|c| c == "house");
            let columns = self.visit.fan_columns(test, run);
            for (place, row) in grid.rows.iter().enumerate() {
                let station = self.station(&setup, Some(zone));
                if let Some(house_pa) = house_at.and_then(|c| row.value.get(c))
                    && weighed(&gauge)
                {
                    let subtracted = gauge.as_ref().is_some_and(|(_, g)| g.baseline_subtracted);
                    let value = house_pa + if subtracted { baseline.unwrap_or(0.0) } else { 0.0 };
                    self.all.list.push(Observation {
                        station,
                        seen,
                        value,
                        noise_sd: pressure_noise(&gauge),
                        below: false,
                        instrument: gauge.as_ref().map(|g| g.0),
                        span: row.span.clone(),
                    });
                }
                if !fans.iter().all(weighed) {
                    continue;
                }
                let shown = columns.iter().enumerate().map(|(i, column)| {
                    let fan = fans.get(i).and_then(Option::as_ref).map(|f| (f.0, &f.1));
                    let read = *row.value.get(column.at)?;
                    // Of several fans, one that shows zero was sealed.
                    let turned = column.holds_pressure && (read != 0.0 || columns.len() == 1);
                    let instrument = fan.map(|f| f.1);
                    let range = range_used(instrument, column, grid, place);
                    let flow = if turned { calibrated_flow_m3_s(instrument?, range?, read)? } else { read };
                    Some((flow, fan))
                });
                match shown.collect::<Option<Vec<_>>>().as_deref() {
                    Some(&[(flow, fan)]) => self.test_fan_flow(station, flow, false, fan, row.span.clone()),
                    Some(several @ [_, ..]) => self.test_fans_flow(station, several, row.span.clone()),
                    Some([]) => {}
                    None => self.say(Diagnostic::warning(code::V110).at(row.span.clone())),
                }
            }
        }
    }

    /// Several fans at once: one observation of their sum. The errors of their gauges are independent
    /// and stand in its own noise; no gain of the sum is shared with other readings.
    fn test_fans_flow(&mut self, station: usize, shown: &[(f64, Option<(usize, &Instrument)>)], span: Span) {
        let running = || shown.iter().filter(|(m3_s, _)| *m3_s != 0.0);
        if running().count() == 0 || running().any(|(m3_s, _)| *m3_s < 0.0) {
            self.say(Diagnostic::warning(code::V102).at(span));
            return;
        }
        let (mut sum_m3_s, mut noise2) = (0.0, 0.0);
        for (shown_m3_s, fan) in running() {
            let Some(ln_shown_over_true) = self.ln_shown_over_true(station, fan.map(|f| f.1)) else { return };
            let true_m3_s = shown_m3_s / math::exp(ln_shown_over_true);
            let (limit, step) = fan.map_or((0.0, 0.0), |(_, f)| (limit_of(f, *shown_m3_s), f.resolution));
            let (own, gain_sd) = (flow_noise_sd(step / shown_m3_s), limit / STATED_LIMIT_SD / shown_m3_s);
            let noise = true_m3_s * (own * own + gain_sd * gain_sd).sqrt();
            sum_m3_s += true_m3_s;
            noise2 += noise * noise;
        }
        self.all.list.push(Observation {
            station,
            seen: Seen::TestFan { ln_shown_over_true: 0.0 },
            value: math::ln(sum_m3_s),
            noise_sd: noise2.sqrt() / sum_m3_s,
            below: false,
            instrument: None,
            span,
        });
    }

    fn test_fan_flow(
        &mut self,
        station: usize,
        shown_m3_s: f64,
        below: bool,
        fan: Option<(usize, &Instrument)>,
        span: Span,
    ) {
        if shown_m3_s <= 0.0 {
            self.say(Diagnostic::warning(code::V102).at(span));
            return;
        }
        let Some(ln_shown_over_true) = self.ln_shown_over_true(station, fan.map(|f| f.1)) else { return };
        self.all.list.push(Observation {
            station,
            seen: Seen::TestFan { ln_shown_over_true },
            value: math::ln(shown_m3_s),
            noise_sd: flow_noise_sd(fan.map_or(0.0, |(_, f)| f.resolution) / shown_m3_s),
            below,
            instrument: fan.map(|f| f.0),
            span,
        });
    }

    /// Logarithm of what a test fan's gauge shows over the flow of the air that passes it; nothing
    /// where no test fan runs.
    fn ln_shown_over_true(&self, station: usize, fan: Option<&Instrument>) -> Option<f64> {
        let s = &self.all.stations[station];
        let direction = s.setup.test_fan?;
        let rho = |k: f64| air::test_density_kg_m3(k, 0.5, s.pressure_pa);
        let indoor = rho(s.fan_zone.map_or(293.15, |z| s.zone_k[z]));
        let outdoor = rho(s.outdoor_k);
        let (through_fan, through_shell) = match direction {
            Direction::Depressurise => (indoor, outdoor),
            Direction::Pressurise => (outdoor, indoor),
        };
        let calibration = fan.map_or(through_fan, |f| f.calibration_density_kg_m3);
        let basis = fan.map_or(FlowBasis::ActualDensity, |f| f.shows);
        Some(match basis {
            // An orifice shows the flow that would give its pressure at the calibration density.
            FlowBasis::FanPressure | FlowBasis::CalibrationDensity => {
                0.5 * math::ln(through_fan / calibration)
            }
            FlowBasis::ActualDensity => 0.0,
            FlowBasis::ThroughEnvelope => math::ln(through_fan / through_shell),
            // Through the envelope, then (rho/rho0)^(1-n) with n near 0.65.
            FlowBasis::ReferenceConditions => {
                math::ln(through_fan / through_shell)
                    + 0.35 * math::ln(through_shell / air::REFERENCE_DENSITY_KG_M3)
            }
        })
    }

    fn reading(&mut self, reading: &Reading, setup: &Setup, touched: bool) {
        let instrument = self.instrument(reading.with.as_ref()).map(|(i, x)| (i, x.clone()));
        if reading.with.is_none() {
            self.say(Diagnostic::warning(code::V103).at(reading.span.clone()));
        }
        if instrument.as_ref().is_some_and(|(_, i)| i.accuracy.is_none()) {
            return;
        }
        let fan_zone = if setup.test_fan.is_some() { self.fan_zone(None) } else { None };
        let same = self.all.stations.last().is_some_and(|s| {
            !touched && s.visit == self.index && s.setup == *setup && s.fan_zone == fan_zone
        });
        let station = if same { self.all.stations.len() - 1 } else { self.station(setup, fan_zone) };
        let seen = match &reading.subject {
            Subject::Pressure { feels, compared_with } => {
                let Some(pair) = self.taps(feels, compared_with) else { return };
                Seen::Pressure { feels: pair.0, against: pair.1 }
            }
            Subject::Flow { of } if of.value == "test_fan" => {
                if setup.test_fan.is_none() {
                    self.say(Diagnostic::error(code::V104).at(of.span.clone()));
                    return;
                }
                let fan = instrument.as_ref().map(|(i, f)| (*i, f));
                self.test_fan_flow(station, reading.value.value, reading.below, fan, reading.span.clone());
                return;
            }
            Subject::Flow { of } => {
                let Some((seen, running)) = self.flow_of(of, setup) else { return };
                if !running {
                    self.say(
                        Diagnostic::error(code::V105).at(reading.span.clone()).arg("name", of.value.as_str()),
                    );
                    return;
                }
                seen
            }
        };
        let is_pressure = matches!(seen, Seen::Pressure { .. });
        let shown = reading.value.value;
        if !is_pressure && shown <= 0.0 {
            self.say(Diagnostic::warning(code::V102).at(reading.value.span.clone()));
            return;
        }
        let step = instrument.as_ref().map_or(0.0, |(_, i)| i.resolution);
        // The fixed part of a flow instrument's accuracy acts on each reading alone.
        let fixed = instrument
            .as_ref()
            .map_or(0.0, |(_, i)| i.accuracy.unwrap_or_default().absolute / STATED_LIMIT_SD);
        let typed = if instrument.is_none() { 0.1 } else { 0.0 };
        let (value, noise_sd) = if is_pressure {
            (shown, (PRESSURE_NOISE_PA * PRESSURE_NOISE_PA + step * step / 12.0 + typed * typed).sqrt())
        } else {
            let rel = (step * step / 12.0 + fixed * fixed).sqrt() / shown;
            (math::ln(shown), (FLOW_REPEATABILITY * FLOW_REPEATABILITY + rel * rel + typed * typed).sqrt())
        };
        self.all.list.push(Observation {
            station,
            seen,
            value,
            noise_sd,
            below: reading.below,
            instrument: instrument.map(|i| i.0),
            span: reading.span.clone(),
        });
    }

    /// What flows there, and whether the setup lets it run.
    fn flow_of(&self, of: &Sp<String>, setup: &Setup) -> Option<(Seen, bool)> {
        let house = self.house;
        if let Some(fan) = house.fans.iter().position(|f| f.text.name.value == of.value) {
            return Some((Seen::Fan(fan), setup.running[fan]));
        }
        if let Some(handler) = &house.air_handler {
            if of.value == "air_handler" {
                return Some((Seen::Handler, setup.air_handler));
            }
            let register = handler.text.registers.iter().position(|r| r.name.value == of.value);
            if let Some(register) = register.filter(|r| *r < handler.registers.len()) {
                return Some((Seen::Register(register), setup.air_handler));
            }
        }
        let fans = house.fans.iter().map(|f| f.text.name.value.as_str());
        let registers =
            house.air_handler.iter().flat_map(|h| h.text.registers.iter().map(|r| r.name.value.as_str()));
        let known = fans.chain(registers).chain(["air_handler", "test_fan"]);
        self.say(of.unknown("flow", known));
        None
    }

    fn taps(&self, feels: &Sp<String>, against: &Sp<String>) -> Option<(Tap, Tap)> {
        let find = |name: &Sp<String>| {
            if name.value == "outdoors" { Some(None) } else { self.zone(name).map(Some) }
        };
        let (a, b) = (find(feels), find(against));
        let (a, b) = (a?, b?);
        if a == b {
            self.say(
                Diagnostic::error(code::H103).at(against.span.clone()).arg("name", against.value.as_str()),
            );
            return None;
        }
        let z_m = common_height_m(self.house, a, b);
        Some((Tap { zone: a, z_m }, Tap { zone: b, z_m }))
    }
}

/// The height at which two zones are compared: the middle of what they share, the plane between
/// them where one lies above, the zone's middle against outdoors.
pub fn common_height_m(house: &House, a: Option<usize>, b: Option<usize>) -> f64 {
    match (a, b) {
        (Some(a), Some(b)) => {
            let (a, b) = (&house.zones[a], &house.zones[b]);
            let lo = if a.floor_m > b.floor_m { a.floor_m } else { b.floor_m };
            let hi = if a.ceiling_m < b.ceiling_m { a.ceiling_m } else { b.ceiling_m };
            (lo + hi) / 2.0
        }
        (Some(z), None) | (None, Some(z)) => house.zones[z].middle_m(),
        (None, None) => 0.0,
    }
}

/// Noise of one flow reading by repeatability and its display's step (a share of it), sd of its logarithm.
fn flow_noise_sd(step: f64) -> f64 {
    (FLOW_REPEATABILITY * FLOW_REPEATABILITY + step * step / 12.0).sqrt()
}

/// Stated limit of error of a flow, m3/s.
fn limit_of(fan: &Instrument, flow_m3_s: f64) -> f64 {
    fan.accuracy.map_or(0.0, |a| a.limit(flow_m3_s))
}

/// Flow at calibration density from the pressure in the fan, by the user's calibration of the range.
fn calibrated_flow_m3_s(fan: &Instrument, range: usize, pressure_pa: f64) -> Option<f64> {
    let calibrations = fan.calibrations_at_density();
    calibrations.get(range).filter(|c| c.is_usable())?.flow_m3_s(pressure_pa.abs()).ok()
}

/// The elements' place of a tap.
pub fn place(tap: Tap) -> Place {
    tap.zone.map_or(Place::Outdoors(house::ROOF), Place::Zone)
}

#[cfg(test)]
mod tests;
