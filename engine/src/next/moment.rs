//! What the instruments and the moment allow.

use super::Reads;
use super::minutes::{Minutes, Stand};
use super::trials::draws_down;
use crate::fit::observe::field::{BY_PANS, HALF_PLENUM};
use crate::fit::observe::{Observations, Seen};
use crate::house::{House, Place, Setup, start};
use serde::Serialize;

/// What takes a reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Instrument {
    /// A pressure gauge with tubes.
    Gauge,
    /// A calibrated fan in a door.
    TestFan,
    /// A flow hood.
    Hood,
    /// A flow plate in the filter slot.
    Plate,
    /// A calibrated fan on the ducts.
    DuctTester,
    /// A pan over a register.
    Pan,
}

/// One instrument and its errors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tool {
    /// Its index among those that took readings, whose errors the fit knows something of.
    pub shared: Option<usize>,
    /// Relative error common to all its readings, sd.
    pub gain_sd: f64,
    /// Fixed error common to all its readings, sd, Pa; zero for flows.
    pub offset_sd: f64,
    /// Noise of each reading, sd: Pa, or of the logarithm of a flow.
    pub noise_sd: f64,
    /// Logarithm of what a test fan's display shows over the flow through it (density and basis).
    pub ln_shown_over_true: f64,
}

/// The instruments at hand.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Kit {
    /// Pressure gauge.
    pub gauge: Option<Tool>,
    /// Test fan.
    pub test_fan: Option<Tool>,
    /// Flow hood.
    pub hood: Option<Tool>,
    /// Flow plate.
    pub plate: Option<Tool>,
    /// Duct tester.
    pub duct_tester: Option<Tool>,
    /// Pressure pan.
    pub pan: Option<Tool>,
}

impl Kit {
    /// Nothing at hand.
    pub const NONE: Kit =
        Kit { gauge: None, test_fan: None, hood: None, plate: None, duct_tester: None, pan: None };

    /// Everything, with usual accuracies (95 % limits of 1 % and 0.15 Pa, 3 %, 5 %, 7 %, 3 %). Common
    /// practice, no source.
    pub fn usual() -> Kit {
        let flow = |limit: f64, noise_sd: f64| {
            let gain_sd = limit / 1.96;
            Some(Tool { shared: None, gain_sd, offset_sd: 0.0, noise_sd, ln_shown_over_true: 0.0 })
        };
        Kit {
            gauge: Some(Tool {
                shared: None,
                gain_sd: 0.01 / 1.96,
                offset_sd: 0.15 / 1.96,
                noise_sd: 0.06,
                ln_shown_over_true: 0.0,
            }),
            test_fan: flow(0.03, 0.01),
            hood: flow(0.05, 0.03),
            plate: flow(0.07, 0.01),
            // What both bring is leakage in operation, of which the way there leaves most in doubt.
            duct_tester: flow(0.03, HALF_PLENUM),
            pan: flow(0.0, BY_PANS),
        }
    }

    /// One of them.
    pub fn get(&self, instrument: Instrument) -> Option<Tool> {
        match instrument {
            Instrument::Gauge => self.gauge,
            Instrument::TestFan => self.test_fan,
            Instrument::Hood => self.hood,
            Instrument::Plate => self.plate,
            Instrument::DuctTester => self.duct_tester,
            Instrument::Pan => self.pan,
        }
    }

    /// Places one.
    pub fn set(&mut self, instrument: Instrument, tool: Tool) {
        match instrument {
            Instrument::Gauge => self.gauge = Some(tool),
            Instrument::TestFan => self.test_fan = Some(tool),
            Instrument::Hood => self.hood = Some(tool),
            Instrument::Plate => self.plate = Some(tool),
            Instrument::DuctTester => self.duct_tester = Some(tool),
            Instrument::Pan => self.pan = Some(tool),
        }
    }

    /// The instruments that took the readings, each known by what it read, with the errors that the
    /// fit counts and the mean of the noises.
    pub fn seen(seen: &Observations) -> Kit {
        let mut kit = Kit::NONE;
        for o in &seen.list {
            let Some(shared) = o.instrument else { continue };
            let errors = &seen.instruments[shared];
            let (instrument, ln_shown_over_true) = match o.seen {
                Seen::Pressure { .. } => (Instrument::Gauge, 0.0),
                Seen::TestFan { ln_shown_over_true } => (Instrument::TestFan, ln_shown_over_true),
                Seen::Fan(_) | Seen::Register(_) => (Instrument::Hood, 0.0),
                Seen::Handler => (Instrument::Plate, 0.0),
                // Worked from tests whose instruments none of the candidates uses.
                Seen::DuctLeak { .. } => (Instrument::DuctTester, 0.0),
                Seen::Inflow { .. } | Seen::HeatLoss { .. } => continue,
            };
            kit.set(
                instrument,
                Tool {
                    shared: Some(shared),
                    gain_sd: errors.gain_sd,
                    offset_sd: errors.offset_sd,
                    noise_sd: o.noise_sd,
                    ln_shown_over_true,
                },
            );
        }
        kit
    }
}

/// Why something may not be done now.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Forbids {
    /// The work ends until somebody acted: no reading at all.
    Stop,
    /// A fire burns or glows, or nobody looked.
    Embers,
    /// Material that may hold asbestos lies where air would be drawn from.
    Asbestos,
    /// Combustion results are missing or failed.
    Combustion,
    /// Another hazard that was seen or is suspected.
    Screen,
    /// Something has not been looked at that has to be before air is drawn down.
    NotLooked,
    /// Something was changed since combustion was tested.
    Repeat,
    /// A place must not be entered ([`Moment::keep_out`]); air may be drawn down.
    KeepOut,
}

/// What the instruments and the moment allow.
#[derive(Clone, Debug, PartialEq)]
pub struct Moment {
    /// How house and instruments stand now.
    pub stand: Stand,
    /// Instruments.
    pub kit: Kit,
    /// Minutes of work.
    pub minutes: Minutes,
    /// Time left on site, min.
    pub left_min: f64,
    /// What forbids what; empty where everything may be done.
    pub forbids: Vec<Forbids>,
    /// Zones that must not be entered, opened or read in.
    pub keep_out: Vec<usize>,
    /// What was read so far: it tells something of the instruments' own errors and of the wind.
    pub seen: Observations,
    /// Barometric pressure, Pa.
    pub pressure_pa: f64,
    /// Seed of winds and errors.
    pub seed: u64,
}

/// Time left where nobody says, min.
pub const USUAL_LEFT_MIN: f64 = 30.0;

impl Moment {
    /// Everything as usual, every usual instrument, nothing forbidden, nothing read.
    pub fn usual(house: &House) -> Moment {
        Moment {
            stand: Stand::usual(house),
            kit: Kit::usual(),
            minutes: Minutes::default(),
            left_min: USUAL_LEFT_MIN,
            forbids: Vec::new(),
            keep_out: Vec::new(),
            seen: Observations::default(),
            pressure_pa: crate::air::STANDARD_PRESSURE_PA,
            seed: 1,
        }
    }

    /// Whether safety forbids reading this under this setup. Where anything stands against drawing down,
    /// every test fan, exhaust and blower behind a shut door is left out.
    pub(super) fn holds(&self, house: &House, setup: &Setup, reads: Option<&Reads>) -> bool {
        let draws = || draws_down(house, setup);
        let stop = self.forbids.contains(&Forbids::Stop);
        stop || (self.forbids.iter().any(|f| *f != Forbids::KeepOut) && draws())
            || (!self.keep_out.is_empty() && self.enters(house, setup, reads))
    }

    /// Whether safety forbids this setup with the gauge in these zones.
    pub fn bars(&self, house: &House, setup: &Setup, taps: &[usize]) -> bool {
        self.holds(house, setup, None) || taps.iter().any(|zone| self.keep_out.contains(zone))
    }

    /// Whether somebody has to go into, open or read in a zone to keep out of.
    fn enters(&self, house: &House, setup: &Setup, reads: Option<&Reads>) -> bool {
        let out = |zone: usize| self.keep_out.contains(&zone);
        let tapped = match reads {
            Some(Reads::Tap { feels, compared_with }) => out(*feels) || compared_with.is_some_and(out),
            // The plate and the duct tester go where the handler stands.
            Some(Reads::Handler | Reads::Ducts { .. }) => {
                house.air_handler.as_ref().is_some_and(|h| out(h.zone))
            }
            _ => false,
        };
        let usual = start(house);
        let opened = (house.doors.iter().zip(&usual.open).zip(&setup.open)).any(|((door, usual), now)| {
            usual != now && door.between.iter().any(|p| matches!(p, Place::Zone(z) if out(*z)))
        });
        tapped || opened
    }
}
