//! What a coil takes from the air (or gives it): total, sensible and latent heat from the states on
//! both sides and the flow.
//!
//! `q_total = m (h1 - h2)`, `q_sensible = m (1.006 + 1.86 W2)(t1 - t2)`, with `m` the flow of dry air
//! (ASHRAE 2017 ch. 1 eq. 30; the enthalpy of the condensate, below 1 % in comfort cooling, is
//! neglected). The result judges no refrigerant charge: that is a licensed technician's work.

use super::setup::Setup;
use crate::air::{self, MoistAir, ZERO_CELSIUS_K};
use crate::diag::{Diagnostic, Diagnostics, Span, code};
use crate::measure::Estimate;
use crate::procedure::field::{Note, Worked};
use crate::procedure::known::{Known, follows};
use crate::units::{Accuracy, Quantity};
use serde::Serialize;

/// What told the humidity.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Humidity {
    /// Relative humidity, 0 to 1.
    Relative(f64),
    /// Wet bulb, K.
    WetBulb(f64),
}

/// The air on one side.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Side {
    /// Dry bulb, K.
    pub temp_k: f64,
    /// Humidity.
    pub humidity: Humidity,
}

/// What was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// Name of the test.
    pub test: String,
    /// Where it stands.
    pub span: Option<Span>,
    /// Flow of the entering air, m3/s.
    pub flow_m3_s: Known,
    /// Entering.
    pub entering: Side,
    /// Leaving.
    pub leaving: Side,
    /// Accuracy of dry and wet bulbs.
    pub temperature_accuracy: Option<Accuracy>,
    /// Accuracy of relative humidities.
    pub humidity_accuracy: Option<Accuracy>,
    /// Pressure of the air, Pa.
    pub pressure_pa: f64,
    /// Whether it was assumed.
    pub pressure_assumed: bool,
    /// How the equipment ran.
    pub setup: Setup,
}

/// What follows; heat taken from the air is positive.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Capacity {
    /// Sensible and latent.
    pub total: Estimate,
    /// Sensible.
    pub sensible: Estimate,
    /// Latent.
    pub latent: Estimate,
    /// Sensible over total; cooling only.
    pub sensible_share: Option<Estimate>,
    /// Water taken.
    pub water: Estimate,
    /// Entering less leaving temperature.
    pub split: Estimate,
    /// Whether the air was cooled.
    pub cooling: bool,
    /// Whether the pressure was assumed.
    pub pressure_assumed: bool,
    /// How the equipment ran.
    pub setup: Setup,
}

/// Humidity ratio from dry and wet bulb, kg/kg.
///
/// ASHRAE 2017 ch. 1 eq. 33 (water) and 35 (ice), from memory; agrees with the wet bulb of
/// [`air::wet_bulb_k`], which is checked against PsychroLib.
///
/// ```
/// use engine::air::MoistAir;
/// use engine::procedure::handler::coil::from_wet_bulb_kg_kg;
/// let room = MoistAir::from_rh(299.82, 0.5, 101_325.0);
/// let w = from_wet_bulb_kg_kg(room.temp_k, room.wet_bulb_k(), room.pressure_pa);
/// assert!((w - room.humidity_ratio).abs() < 1e-6);
/// ```
pub fn from_wet_bulb_kg_kg(temp_k: f64, wet_k: f64, pressure_pa: f64) -> f64 {
    let (t, wet) = (temp_k - ZERO_CELSIUS_K, wet_k - ZERO_CELSIUS_K);
    let ws = air::saturation_humidity_ratio(wet_k, pressure_pa);
    if wet_k >= air::TRIPLE_POINT_K {
        ((2501.0 - 2.326 * wet) * ws - 1.006 * (t - wet)) / (2501.0 + 1.86 * t - 4.186 * wet)
    } else {
        ((2830.0 - 0.24 * wet) * ws - 1.006 * (t - wet)) / (2830.0 + 1.86 * t - 2.1 * wet)
    }
}

impl Humidity {
    fn known(self, asked: &Asked) -> Known {
        match self {
            Humidity::Relative(rh) => Known::read(rh, asked.humidity_accuracy),
            Humidity::WetBulb(k) => Known::read(k, asked.temperature_accuracy),
        }
    }

    fn air(self, temp_k: f64, value: f64, pressure_pa: f64) -> MoistAir {
        match self {
            Humidity::Relative(_) => MoistAir::from_rh(temp_k, value.clamp(0.0, 1.0), pressure_pa),
            Humidity::WetBulb(_) => {
                let w = from_wet_bulb_kg_kg(temp_k, value.min(temp_k), pressure_pa);
                MoistAir { temp_k, humidity_ratio: w.max(0.0), pressure_pa }
            }
        }
    }
}

/// Heat and water between two states: total W, sensible W, water kg/s.
pub fn between(entering: &MoistAir, leaving: &MoistAir, flow_m3_s: f64) -> [f64; 3] {
    let dry_kg_s = flow_m3_s / entering.specific_volume_m3_kg();
    let water = dry_kg_s * (entering.humidity_ratio - leaving.humidity_ratio);
    let total = dry_kg_s * (entering.enthalpy_j_kg() - leaving.enthalpy_j_kg());
    let at_entering = air::enthalpy_j_kg(entering.temp_k, leaving.humidity_ratio);
    [total, dry_kg_s * (at_entering - leaving.enthalpy_j_kg()), water]
}

/// Works it. Impossible states are said (D213) and nothing follows.
///
/// ```
/// use engine::procedure::handler::coil::*;
/// use engine::procedure::handler::setup::Setup;
/// use engine::procedure::known::Known;
/// let (result, _) = evaluate(&Asked {
///     test: "coil".into(), span: None, flow_m3_s: Known::exact(0.5663),
///     entering: Side { temp_k: 299.82, humidity: Humidity::Relative(0.5) },
///     leaving: Side { temp_k: 284.8005, humidity: Humidity::Relative(0.9037) },
///     temperature_accuracy: None, humidity_accuracy: None, pressure_pa: 101_325.0,
///     pressure_assumed: false, setup: Setup::default(),
/// });
/// assert!((result.unwrap().total.si - 15_437.0).abs() < 15.0);
/// ```
pub fn evaluate(asked: &Asked) -> (Option<Capacity>, Diagnostics) {
    let mut wrong = Diagnostics::default();
    for (side, name) in [(&asked.entering, "entering"), (&asked.leaving, "leaving")] {
        let bad = match side.humidity {
            Humidity::WetBulb(wet_k) => {
                wet_k > side.temp_k || from_wet_bulb_kg_kg(side.temp_k, wet_k, asked.pressure_pa) < 0.0
            }
            Humidity::Relative(rh) => !(0.0..=1.0).contains(&rh),
        };
        if bad {
            wrong.push(
                Diagnostic::error(code::D213)
                    .at(asked.span.clone())
                    .arg("test", asked.test.as_str())
                    .arg("side", name),
            );
        }
    }
    if !wrong.list.is_empty() {
        return (None, wrong);
    }
    let (e, l) = (&asked.entering, &asked.leaving);
    let inputs = [
        asked.flow_m3_s,
        Known::read(e.temp_k, asked.temperature_accuracy),
        e.humidity.known(asked),
        Known::read(l.temp_k, asked.temperature_accuracy),
        l.humidity.known(asked),
    ];
    let heat = |x: &[f64]| match x {
        [flow, t1, h1, t2, h2] => between(
            &e.humidity.air(*t1, *h1, asked.pressure_pa),
            &l.humidity.air(*t2, *h2, asked.pressure_pa),
            *flow,
        ),
        _ => [f64::NAN; 3],
    };
    let of = |quantity, pick: fn([f64; 3]) -> f64| follows(&inputs, quantity, |x| pick(heat(x)));
    let cooling = l.temp_k < e.temp_k;
    let split = follows(&[inputs[1], inputs[3]], Quantity::TemperatureDifference, |x| match x {
        [t1, t2] => t1 - t2,
        _ => f64::NAN,
    });
    let result = Capacity {
        total: of(Quantity::HeatFlow, |h| h[0]),
        sensible: of(Quantity::HeatFlow, |h| h[1]),
        latent: of(Quantity::HeatFlow, |h| h[0] - h[1]),
        sensible_share: cooling.then(|| of(Quantity::Fraction, |h| h[1] / h[0])),
        water: of(Quantity::MassRate, |h| h[2]),
        split,
        cooling,
        pressure_assumed: asked.pressure_assumed,
        setup: asked.setup.clone(),
    };
    (Some(result), wrong)
}

impl Capacity {
    /// In the shape of all tests.
    pub fn worked(&self) -> Worked {
        let mut worked = Worked::default();
        let turned = |e: Estimate| if self.cooling { e } else { e.scaled(-1.0, e.quantity) };
        let (total, sensible) = if self.cooling {
            ("figure-coil-total", "figure-coil-sensible")
        } else {
            ("figure-coil-heat", "figure-coil-heat-sensible")
        };
        worked.figure(total, turned(self.total));
        worked.figure(sensible, turned(self.sensible));
        if self.cooling {
            worked.figure("figure-coil-latent", self.latent);
            worked.figure("figure-coil-water", self.water);
        }
        if let Some(share) = self.sensible_share {
            worked.figure("figure-sensible-share", share);
        }
        worked.figure("figure-coil-split", turned(self.split));
        if self.cooling && self.water.si < 0.0 {
            worked.notes.push(Note::caution("note-coil-wetter"));
        }
        if self.pressure_assumed {
            worked.notes.push(Note::caution("note-sea-level"));
        }
        worked.notes.push(Note::new("note-coil-charge"));
        worked.notes.push(Note::new("note-coil-blower"));
        self.setup.say_steady(&mut worked);
        worked
    }
}
