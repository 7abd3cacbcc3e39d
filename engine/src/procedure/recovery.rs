//! Heat and moisture recovery of a balanced unit in place: balance, effectiveness, what leaks across.
//!
//! Definitions from memory (ASHRAE 84, CSA C439, EN 13141-7), the apparent sensible effectiveness read.
//! In a house the four temperatures are read in ducts, where a bad mix of the air, heat through the
//! duct's wall and air that leaks across the core all look like recovery: the heat balance of the two
//! streams is held against itself, and a tracer tells what leaks across.

use super::field::{LEVEL, Limit, Note, Worked};
use super::source::FROM_MEMORY;
use crate::air::{CP_DRY_AIR_J_KG_K, MoistAir};
use crate::measure::{Estimate, NoInterval, propagate};
use crate::units::{Accuracy, Quantity};
use serde::Serialize;

/// Supply and exhaust may differ by this share of the larger; from memory.
pub const BALANCE: f64 = 0.10;

/// The air at one of the four ducts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stream {
    /// Temperature, K.
    pub temp_k: f64,
    /// Relative humidity, where it was read.
    pub rh_frac: Option<f64>,
}

/// A tracer at three of the ducts, volume fractions.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tracer {
    /// Outdoors.
    pub outdoor: f64,
    /// In the air supplied to the rooms.
    pub supply: f64,
    /// In the air drawn from the rooms.
    pub extract: f64,
    /// Stated accuracy of the instrument.
    pub accuracy: Option<Accuracy>,
}

/// What is asked.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Asked {
    /// Supplied to the rooms, m3/s at the density there.
    pub supply: Estimate,
    /// Drawn from the rooms, m3/s.
    pub exhaust: Estimate,
    /// Outdoor air before the core.
    pub outdoor: Option<Stream>,
    /// After the core, to the rooms.
    pub supplied: Option<Stream>,
    /// From the rooms, before the core.
    pub extract: Option<Stream>,
    /// After the core, to outdoors.
    pub exhausted: Option<Stream>,
    /// Accuracy of the temperatures.
    pub temperature_accuracy: Option<Accuracy>,
    /// Accuracy of the humidities.
    pub humidity_accuracy: Option<Accuracy>,
    /// Electric power of the supply fan that heats the supply, W.
    pub supply_fan_w: Option<f64>,
    /// Electric power of the exhaust fan that heats the exhaust before the core, W.
    pub exhaust_fan_w: Option<f64>,
    /// Air pressure, Pa.
    pub pressure_pa: f64,
    /// Tracer.
    pub tracer: Option<Tracer>,
}

/// What follows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Recovered {
    /// Supply less exhaust over the larger, 0 to 1 either way.
    pub imbalance: Estimate,
    /// Sensible effectiveness, ASHRAE 84.
    pub sensible: Option<Estimate>,
    /// Rise of the supply over the difference of indoors and outdoors.
    pub apparent: Option<Estimate>,
    /// Sensible effectiveness without the heat of the fans.
    pub without_fans: Option<Estimate>,
    /// Latent effectiveness.
    pub latent: Option<Estimate>,
    /// Total effectiveness, by enthalpy.
    pub total: Option<Estimate>,
    /// Sensible heat that the supply takes up over what the exhaust gives off.
    pub heat_balance: Option<Estimate>,
    /// Share of the air drawn from the rooms in the supply.
    pub carried_over: Option<Estimate>,
    /// Outdoor air in the supply, m3/s.
    pub outdoor_air: Option<Estimate>,
    #[serde(skip)]
    small: bool,
}

/// Supply's share of a difference: `(supplied - outdoor)/(extract - outdoor)` (apparent sensible
/// effectiveness where the values are temperatures).
///
/// ```
/// use engine::procedure::recovery::apparent;
/// assert!((apparent(0.0, 16.5, 22.0) - 0.75).abs() < 1e-12);
/// ```
pub fn apparent(outdoor: f64, supplied: f64, extract: f64) -> f64 {
    (supplied - outdoor) / (extract - outdoor)
}

/// Effectiveness by ASHRAE 84: the apparent one times supply over the smaller mass flow.
pub fn effectiveness(outdoor: f64, supplied: f64, extract: f64, supply_kg_s: f64, exhaust_kg_s: f64) -> f64 {
    apparent(outdoor, supplied, extract) * supply_kg_s / supply_kg_s.min(exhaust_kg_s)
}

/// Sensible recovery without the fans' heat, simplified from CSA C439 (from memory): no terms for
/// frost, case and leakage.
///
/// ```
/// use engine::procedure::recovery::sensible_without_fans;
/// let sre = sensible_without_fans([0.0, 16.5, 22.0], [0.06, 0.06], [30.0, 30.0]);
/// assert!((sre - 0.711338).abs() < 1e-6);
/// ```
pub fn sensible_without_fans(
    [outdoor, supplied, extract]: [f64; 3],
    [supply_kg_s, exhaust_kg_s]: [f64; 2],
    [supply_fan_w, exhaust_fan_w]: [f64; 2],
) -> f64 {
    let taken_w = supply_kg_s * CP_DRY_AIR_J_KG_K * (supplied - outdoor) - supply_fan_w;
    let there_w = supply_kg_s.max(exhaust_kg_s) * CP_DRY_AIR_J_KG_K * (extract - outdoor) + exhaust_fan_w;
    taken_w / there_w
}

/// Efficiency seen from the exhaust, with the fans' heat as a credit (Passive-house practice, from
/// memory).
///
/// ```
/// use engine::procedure::recovery::exhaust_side;
/// assert!((exhaust_side(0.0, 22.0, 6.0, 60.0, 0.06) - 0.772456).abs() < 1e-6);
/// ```
pub fn exhaust_side(outdoor: f64, extract: f64, exhausted: f64, fans_w: f64, kg_s: f64) -> f64 {
    (extract - exhausted + fans_w / (kg_s * CP_DRY_AIR_J_KG_K)) / (extract - outdoor)
}

/// Works it. Mass flows take the density of the duct that each flow was read for: supply and
/// extract. A temperature instrument's error is one number for all four ducts, so an offset leaves
/// every difference alone; how far apart its readings of one air would be (half of the stated
/// limit) is taken as each reading's own, which is an assumption.
///
/// ```
/// use engine::measure::Estimate;
/// use engine::procedure::recovery::{Asked, Stream, evaluate};
/// use engine::units::{Accuracy, Quantity::AirFlow};
/// let at = |c: f64| Some(Stream { temp_k: c + 273.15, rh_frac: None });
/// let found = evaluate(&Asked {
///     supply: Estimate::range(0.050, 0.048, 0.052, 0.95, AirFlow),
///     exhaust: Estimate::range(0.050, 0.048, 0.052, 0.95, AirFlow),
///     outdoor: at(0.0),
///     supplied: at(16.5),
///     extract: at(22.0),
///     exhausted: at(6.0),
///     temperature_accuracy: Some(Accuracy { absolute: 0.5, ..Accuracy::default() }),
///     humidity_accuracy: None,
///     supply_fan_w: None,
///     exhaust_fan_w: None,
///     pressure_pa: 101_325.0,
///     tracer: None,
/// });
/// assert!((found.apparent.unwrap().si - 0.75).abs() < 1e-9);
/// ```
pub fn evaluate(asked: &Asked) -> Recovered {
    let half = |e: &Estimate| e.bounds().map_or(0.0, |(lo, hi)| (hi - lo) / 2.0);
    let flows = [(asked.supply.si, half(&asked.supply)), (asked.exhaust.si, half(&asked.exhaust))];
    let flows_known = asked.supply.bounds().is_some() && asked.exhaust.bounds().is_some();
    let honest = |e: Estimate, known: bool| match known {
        true => e,
        false => Estimate::without(e.si, e.quantity, NoInterval::TypedWithoutInstrument),
    };
    let imbalance = propagate(&flows, LEVEL, Quantity::Fraction, |x| match x {
        [s, e] => (s - e) / s.max(*e),
        _ => f64::NAN,
    });

    let temps_known = asked.temperature_accuracy.is_some();
    let own = |k: f64| asked.temperature_accuracy.map_or(0.0, |a| OWN_SHARE * a.limit(k));
    let rise = |s: &Stream| (s.temp_k, own(s.temp_k));
    let density = |temp_k: f64| crate::air::dry_density_kg_m3(temp_k, asked.pressure_pa);
    let three = match (asked.outdoor, asked.supplied, asked.extract) {
        (Some(o), Some(s), Some(e)) => Some((o, s, e)),
        _ => None,
    };
    let of_three = |known: bool, f: &dyn Fn([f64; 3], [f64; 2]) -> f64| {
        three.map(|(o, s, e)| {
            let inputs = [rise(&o), rise(&s), rise(&e), flows[0], flows[1]];
            let found = propagate(&inputs, LEVEL, Quantity::Fraction, |x| match x {
                [o, s, e, supply, exhaust] => f([*o, *s, *e], [supply * density(*s), exhaust * density(*e)]),
                _ => f64::NAN,
            });
            honest(found, known)
        })
    };
    let all_known = temps_known && flows_known;
    let apparent_found = of_three(temps_known, &|[o, s, e], _| apparent(o, s, e));
    let sensible = of_three(all_known, &|[o, s, e], [ms, me]| effectiveness(o, s, e, ms, me));
    let fans = [asked.supply_fan_w, asked.exhaust_fan_w];
    let without_fans = fans.iter().any(Option::is_some).then(|| {
        let watts = fans.map(|w| w.unwrap_or(0.0));
        of_three(all_known, &|temps, flows| sensible_without_fans(temps, flows, watts))
    });
    let heat_balance = asked.exhausted.and_then(|x| {
        let (o, s, e) = three?;
        let inputs = [rise(&o), rise(&s), rise(&e), rise(&x), flows[0], flows[1]];
        let [supply_w, exhaust_w] = fans.map(|w| w.unwrap_or(0.0));
        let found = propagate(&inputs, LEVEL, Quantity::Fraction, |v| match v {
            [o, s, e, x, supply, exhaust] => {
                let taken = supply * density(*s) * CP_DRY_AIR_J_KG_K * (s - o) - supply_w;
                let given = exhaust * density(*e) * CP_DRY_AIR_J_KG_K * (e - x) + exhaust_w;
                taken / given
            }
            _ => f64::NAN,
        });
        Some(honest(found, all_known))
    });
    let moist = three.and_then(|(o, s, e)| Some([moist(&o)?, moist(&s)?, moist(&e)?]));
    let wet_known = all_known && asked.humidity_accuracy.is_some();
    let of_moist = |f: &dyn Fn(&MoistAir) -> f64| {
        moist.map(|streams| {
            let wet = |rh: f64| (rh, asked.humidity_accuracy.map_or(0.0, |a| OWN_SHARE * a.limit(rh)));
            let mut inputs: Vec<(f64, f64)> = streams.iter().map(|s| (s.0, own(s.0))).collect();
            inputs.extend(streams.iter().map(|s| wet(s.1)));
            inputs.extend(flows);
            let found = propagate(&inputs, LEVEL, Quantity::Fraction, |x| match x {
                [to, ts, te, ro, rs, re, supply, exhaust] => {
                    let air =
                        |t: &f64, rh: &f64| MoistAir::from_rh(*t, rh.clamp(0.0, 1.0), asked.pressure_pa);
                    let (ms, me) = (supply * density(*ts), exhaust * density(*te));
                    effectiveness(f(&air(to, ro)), f(&air(ts, rs)), f(&air(te, re)), ms, me)
                }
                _ => f64::NAN,
            });
            honest(found, wet_known)
        })
    };
    let carried_over = asked.tracer.map(|t| {
        let own = |c: f64| (c, t.accuracy.map_or(0.0, |a| OWN_SHARE * a.limit(c)));
        let inputs = [own(t.outdoor), own(t.supply), own(t.extract)];
        let found = propagate(&inputs, LEVEL, Quantity::Fraction, |x| match x {
            [o, s, e] => apparent(*o, *s, *e),
            _ => f64::NAN,
        });
        honest(found, t.accuracy.is_some())
    });
    let outdoor_air = carried_over.map(|c| {
        let inputs = [flows[0], (c.si, half(&c))];
        let found = propagate(&inputs, LEVEL, Quantity::AirFlow, |x| match x {
            [supply, carried] => supply * (1.0 - carried),
            _ => f64::NAN,
        });
        honest(found, asked.supply.bounds().is_some() && c.bounds().is_some())
    });
    Recovered {
        imbalance: honest(imbalance, flows_known),
        sensible,
        apparent: apparent_found,
        without_fans: without_fans.flatten(),
        latent: of_moist(&|air| air.humidity_ratio),
        total: of_moist(&|air| air.enthalpy_j_kg()),
        heat_balance,
        carried_over,
        outdoor_air,
        small: three.is_some_and(|(o, _, e)| (e.temp_k - o.temp_k).abs() < SMALL_DIFFERENCE_K),
    }
}

/// Share of an instrument's stated limit that one reading differs from its others; an assumption.
pub const OWN_SHARE: f64 = 0.5;
/// Below this difference of indoors and outdoors the result says little, K; common practice, no source.
pub const SMALL_DIFFERENCE_K: f64 = 8.0;

fn moist(s: &Stream) -> Option<(f64, f64)> {
    Some((s.temp_k, s.rh_frac?))
}

impl Recovered {
    /// In the shape of all tests.
    pub fn worked(&self) -> Worked {
        let mut worked = Worked::default();
        let figures = [
            ("figure-imbalance", Some(self.imbalance)),
            ("figure-effectiveness-sensible", self.sensible),
            ("figure-effectiveness-apparent", self.apparent),
            ("figure-effectiveness-without-fans", self.without_fans),
            ("figure-effectiveness-latent", self.latent),
            ("figure-effectiveness-total", self.total),
            ("figure-heat-balance", self.heat_balance),
            ("figure-carried-over", self.carried_over),
            ("figure-outdoor-air-supplied", self.outdoor_air),
        ];
        for (id, figure) in figures {
            if let Some(figure) = figure {
                worked.figure(id, figure);
            }
        }
        let limit = Limit {
            lo: Some(-BALANCE),
            hi: Some(BALANCE),
            source: FROM_MEMORY.to_owned(),
            ..Limit::default()
        };
        worked.checks.push(limit.check("check-balance", Some(self.imbalance)));
        // Streams that do not give and take the same heat contradict the readings.
        let contradicts = |e: &Estimate| match e.bounds() {
            Some((lo, hi)) => lo > 1.0 || hi < 1.0,
            None => (e.si - 1.0).abs() > 0.2,
        };
        if self.heat_balance.as_ref().is_some_and(contradicts) {
            worked.notes.push(Note::caution("note-heat-balance-open"));
        }
        let above_one = |e: &Option<Estimate>| e.is_some_and(|e| e.si > 1.0 || e.si < 0.0);
        if above_one(&self.sensible) || above_one(&self.apparent) {
            worked.notes.push(Note::caution("note-effectiveness-impossible"));
        }
        if self.small {
            worked.notes.push(Note::caution("note-small-difference"));
        }
        if self.apparent.is_some() && self.carried_over.is_none() {
            worked.notes.push(Note::new("note-carry-over-unknown"));
        }
        worked
    }
}
