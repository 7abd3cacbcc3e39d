//! Zone pressures: how leaky the barriers on both sides of an attic, a garage or a crawl space are.
//!
//! The test fan holds the house at a pressure; the zone between house and outdoors takes up a
//! pressure of its own. What flows through one barrier flows through the other, so their flows at
//! 50 Pa stand in the ratio `(P_hz / 50)^n_hz / (P_zo / 50)^n_zo`. A known hole added to one barrier
//! (add-a-hole), or a door opened and the rise of the fan's flow (open-a-door), gives both in flow.
//! Trade method; the algebra is continuity of the zone with the power law
//! (ASHRAE Handbook - Fundamentals 2021 ch. 16 eq. 40), checked in `validate` against the network.
//! Both exponents are assumed, each with its own stated half width, and taken as independent.
//! Not covered: a zone with a fan or a duct of its own, a zone that opens to a second zone.

mod closure;
mod opened;

pub use crate::doc::field::zone_pressures::{Barrier, Readings};
pub use closure::{Loop, Suspect, TookAs};
pub use opened::{Method, Way};

use super::field::{Figure, LEVEL, Limit, Note, Worked};
use super::gauge::GaugeError;
use crate::diag::Diagnostic;
use crate::math::{exp, ln, pow};
use crate::measure::{Estimate, NoInterval, propagate};
use crate::units::{Accuracy, Quantity};
use closure::{FLOOR_PA, close};
use serde::Serialize;
use std::cell::Cell;

/// The pressure that flows are stated at, Pa.
pub const REFERENCE_PA: f64 = 50.0;
/// An interval wider than this factor does not tell. Ours: below it the larger barrier is known.
pub const TELLS_FACTOR: f64 = 3.0;
/// The exponent assumed where none is given, and its half width: 0.6 to 0.7 is what houses have
/// (ASHRAE Handbook - Fundamentals 2021 ch. 16, eq. 40); a standard deviation of 0.05 is 0.1 at 95 %.
pub const EXPONENT: (f64, f64) = (0.65, 0.1);

/// A hole of known size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Hole {
    /// A sharp-edged hole: `Cd A sqrt(2 P / rho)`, exponent 0.5.
    Sharp {
        /// Free area and its half width, m2.
        area_m2: (f64, f64),
        /// Discharge coefficient and its half width.
        discharge: (f64, f64),
    },
    /// Known by its flow at 50 Pa and its exponent.
    At50 {
        /// Flow and its half width, m3/s.
        flow_m3_s: (f64, f64),
        /// Exponent.
        exponent: f64,
    },
}

/// A state with something opened in one barrier.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opened {
    /// In which barrier.
    pub barrier: Barrier,
    /// The hole, where its size is known.
    pub hole: Option<Hole>,
    /// What was read then.
    pub readings: Readings,
}

/// What was read.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// The test's name, for messages.
    pub test: String,
    /// All as found, the fan holding the house.
    pub as_found: Readings,
    /// The same with the fan off and shut, to be taken off.
    pub baseline: Readings,
    /// Further states.
    pub opened: Vec<Opened>,
    /// Exponent of both barriers and the half width of each.
    pub exponent: (f64, f64),
    /// The gauge.
    pub gauge: GaugeError,
    /// Accuracy of the fan's flow.
    pub flow_accuracy: Option<Accuracy>,
    /// How well the flow repeats, as a share (95 %); the stated accuracy where it is not known.
    pub flow_repeats: Option<f64>,
    /// The house's flow at 50 Pa from an envelope test, m3/s.
    pub house_at50: Option<Estimate>,
    /// Density of the air in a sharp hole, kg/m3.
    pub density_kg_m3: f64,
    /// What house to zone has to show with the house at 50 Pa.
    pub limit: Option<Limit>,
}

/// How sure a number is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Telling {
    /// Its interval spans less than a factor of three.
    Tells,
    /// Its interval is wider, or has no end.
    TooWide,
    /// The readings moved by less than the gauges resolve.
    NotMoved,
    /// No instrument is named, so that nothing is known of the interval.
    NoInstrument,
}

/// What follows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ZonePressures {
    /// House less zone with the loop closed, Pa, without sign.
    pub house_zone: Estimate,
    /// Zone less outdoors with the loop closed, Pa, without sign.
    pub zone_outdoors: Estimate,
    /// The loop of the three readings, where all were taken.
    pub closure: Option<Loop>,
    /// Flow of the outer barrier at 50 Pa over that of the inner.
    pub ratio: Estimate,
    /// Whether the ratio tells.
    pub ratio_tells: Telling,
    /// Flow through the zone as a share of what the inner barrier alone would let through.
    pub series: Estimate,
    /// The inner barrier's flow at 50 Pa is at most this, m3/s: all of the house's flow.
    pub house_zone_at_most: Option<Estimate>,
    /// The outer barrier's flow at 50 Pa is at most this, m3/s, if all of the house's flow took that way.
    pub zone_outdoors_at_most: Option<Estimate>,
    /// The methods that give flows.
    pub methods: Vec<Method>,
    /// House less zone with the house at 50 Pa, against its limit.
    #[serde(skip)]
    limit: Option<(Limit, Estimate)>,
}

/// The numbers of one computation, with what moves them.
pub(crate) struct Inputs {
    list: Vec<(f64, f64)>,
}

impl Inputs {
    fn new() -> Inputs {
        Inputs { list: Vec::new() }
    }

    fn add(&mut self, value: f64, half: f64) -> usize {
        self.list.push((value, half));
        self.list.len() - 1
    }

    /// An interval that is even in the logarithm, for what is above zero. Whether it has both ends.
    fn positive(&self, quantity: Quantity, f: impl Fn(&[f64]) -> f64) -> (Estimate, bool) {
        let broken = Cell::new(false);
        let e = propagate(&self.list, LEVEL, Quantity::Number, |x| {
            let value = f(x);
            let good = value.is_finite() && value > 0.0;
            broken.set(broken.get() || !good);
            if good { ln(value) } else { f64::NAN }
        });
        let value = exp(e.si);
        match e.bounds() {
            Some((lo, hi)) if !broken.get() => {
                (Estimate::range(value, exp(lo), exp(hi), LEVEL, quantity), true)
            }
            _ => (Estimate::without(value, quantity, NoInterval::DataCannotTell), false),
        }
    }

    /// Whether the value is told from zero.
    fn above_zero(&self, f: impl Fn(&[f64]) -> f64) -> Option<bool> {
        let e = propagate(&self.list, LEVEL, Quantity::Number, f);
        let (lo, hi) = e.bounds()?;
        (lo > 0.0 || hi < 0.0).then_some(lo > 0.0)
    }
}

fn honest(e: Estimate, stated: bool) -> Estimate {
    if stated { e } else { Estimate::without(e.si, e.quantity, NoInterval::TypedWithoutInstrument) }
}

fn telling(e: &Estimate, whole: bool, stated: bool) -> Telling {
    if !stated {
        return Telling::NoInstrument;
    }
    match e.bounds() {
        Some((lo, hi)) if whole && hi < TELLS_FACTOR * lo => Telling::Tells,
        _ => Telling::TooWide,
    }
}

/// Where the numbers shared by all states stand among the inputs.
#[derive(Clone, Copy)]
pub(crate) struct Shared {
    gain: usize,
    inner: usize,
    outer: usize,
}

/// Works it. Nothing where the state as found has no pressures to work with; that is said.
///
/// Sources: see the module. With the house held at `P` in both states, continuity of the zone gives
/// for a hole `C_h` of exponent `m` between house and zone
/// `C_hz = C_h P_hz2^m / ((P_hz1 P_zo2 / P_zo1)^n - P_hz2^n)`, and for a door there
/// `C_zo = dQ / (P_zo2^n - P_zo1^n)`; where the house was held at another pressure, the first flow is
/// carried over with the same exponent.
///
/// ```
/// use engine::procedure::gauge::GaugeError;
/// use engine::procedure::zone::{Asked, EXPONENT, Readings, Telling, evaluate};
/// use engine::units::Accuracy;
/// let accuracy = Some(Accuracy { relative: 0.01, absolute: 0.25, larger: true });
/// let asked = Asked {
///     test: "attic".into(),
///     as_found: Readings {
///         house_zone_pa: Some(-40.0),
///         zone_outdoors_pa: Some(-10.0),
///         house_outdoors_pa: Some(-50.0),
///         flow_m3_s: None,
///     },
///     baseline: Readings::default(),
///     opened: Vec::new(),
///     exponent: EXPONENT,
///     gauge: GaugeError { accuracy, resolution_pa: 0.1, wandered_pa: 0.5 },
///     flow_accuracy: None,
///     flow_repeats: None,
///     house_at50: None,
///     density_kg_m3: 1.2041,
///     limit: None,
/// };
/// let (attic, said) = evaluate(&asked);
/// let attic = attic.unwrap();
/// // (40 / 10)^0.65: the roof is two and a half times as leaky as the ceiling.
/// assert!((attic.ratio.si - 2.4623).abs() < 1e-4);
/// assert_eq!(attic.ratio_tells, Telling::Tells);
/// assert!(said.is_empty());
/// ```
pub fn evaluate(asked: &Asked) -> (Option<ZonePressures>, Vec<Diagnostic>) {
    let mut said = Vec::new();
    let held: Vec<f64> =
        (asked.opened.iter()).filter_map(|o| o.readings.house_outdoors_pa.map(f64::abs)).collect();
    let Some(first) = close(asked, &asked.as_found, 0, &held, &mut said) else {
        return (None, said);
    };
    let stated = asked.gauge.is_stated();
    let mut inputs = Inputs::new();
    let shared = Shared {
        gain: inputs.add(1.0, asked.gauge.gain()),
        inner: inputs.add(asked.exponent.0, asked.exponent.1),
        outer: inputs.add(asked.exponent.0, asked.exponent.1),
    };
    let at = first.place(&mut inputs);
    let pressures = |x: &[f64]| first.pressures(x, at, shared.gain);
    let of = |f: fn([f64; 3]) -> f64| {
        honest(propagate(&inputs.list, LEVEL, Quantity::Pressure, |x| f(pressures(x))), stated)
    };
    let power = |p: f64, n: f64| pow(p / REFERENCE_PA, n);
    let (ratio, whole) = inputs.positive(Quantity::Number, |x| {
        let [hz, zo, _] = pressures(x);
        // A pressure whose error reaches zero leaves the ratio without an end.
        let told = hz > FLOOR_PA && zo > FLOOR_PA;
        if told { power(hz, x[shared.inner]) / power(zo, x[shared.outer]) } else { f64::NAN }
    });
    // The share is between 0 and 1, so that an even interval may not leave them.
    let series = propagate(&inputs.list, LEVEL, Quantity::Fraction, |x| {
        let [hz, _, ho] = pressures(x);
        pow((hz / ho).clamp(0.0, 1.0), x[shared.inner])
    });
    let at50 = house_at50(asked, &first);
    let at_most = |pick: fn([f64; 3]) -> f64| {
        at50.map(|flow| {
            let mut inputs = Inputs { list: inputs.list.clone() };
            let q = inputs.add(flow.0, flow.1);
            let (e, _) = inputs.positive(Quantity::AirFlow, |x| {
                let p = pressures(x);
                x[q] * pow(p[2] / pick(p), x[shared.inner])
            });
            honest(e, stated)
        })
    };
    let methods = opened::methods(asked, &first, at50, &mut said);
    let limit = asked.limit.clone().map(|limit| {
        let at50 = propagate(&inputs.list, LEVEL, Quantity::Pressure, |x| {
            let [hz, _, ho] = pressures(x);
            hz / ho * REFERENCE_PA
        });
        (limit, honest(at50, stated))
    });
    let result = ZonePressures {
        house_zone: of(|p| p[0]),
        zone_outdoors: of(|p| p[1]),
        closure: first.check.clone(),
        ratio_tells: telling(&ratio, whole, stated),
        ratio: honest(ratio, stated),
        series: honest(bounded(series), stated),
        house_zone_at_most: at_most(|p| p[0]),
        zone_outdoors_at_most: at_most(|p| p[1]),
        methods,
        limit,
    };
    (Some(result), said)
}

/// A share between 0 and 1, its interval too.
fn bounded(e: Estimate) -> Estimate {
    match e.bounds() {
        Some((lo, hi)) => Estimate::range(e.si, lo.max(0.0), hi.min(1.0), LEVEL, e.quantity),
        None => e,
    }
}

/// The house's flow at 50 Pa and its half width: of the fan as found, or of an envelope test.
fn house_at50(asked: &Asked, first: &closure::Closed) -> Option<(f64, f64)> {
    if let Some(flow) = asked.as_found.flow_m3_s {
        let [_, _, ho] = first.middle();
        let at50 = flow * pow(REFERENCE_PA / ho, asked.exponent.0);
        let limit = asked.flow_accuracy.map_or(0.0, |a| a.limit(flow) / flow);
        let carried = (ln(REFERENCE_PA / ho) * asked.exponent.1).abs();
        return Some((at50, at50 * (limit * limit + carried * carried).sqrt()));
    }
    let e = asked.house_at50.as_ref()?;
    Some((e.si, e.bounds().map_or(0.0, |(lo, hi)| (hi - lo) / 2.0)))
}

impl ZonePressures {
    /// In the shape of all tests.
    pub fn worked(&self) -> Worked {
        let mut worked = Worked::default();
        for (k, m) in self.methods.iter().enumerate() {
            let several = self.methods.iter().filter(|o| o.way == m.way).count() > 1;
            let of = several.then(|| (k + 1).to_string());
            let [through, share, inner, outer] = match m.way {
                Way::Hole => [
                    "figure-through-zone-hole",
                    "figure-zone-share-hole",
                    "figure-house-zone-at50-hole",
                    "figure-zone-outdoors-at50-hole",
                ],
                Way::Door => [
                    "figure-through-zone-door",
                    "figure-zone-share-door",
                    "figure-house-zone-at50-door",
                    "figure-zone-outdoors-at50-door",
                ],
            };
            let mut figure =
                |id, number: Estimate| worked.figures.push(Figure { id, of: of.clone(), number });
            figure(through, m.through);
            if let Some(number) = m.share {
                figure(share, number);
            }
            figure(inner, m.house_zone);
            figure(outer, m.zone_outdoors);
            let way = m.way.word();
            match m.tells {
                Telling::Tells => {}
                Telling::TooWide => worked.notes.push(Note::new("note-opened-too-wide").arg("way", way)),
                Telling::NotMoved => worked.notes.push(Note::new("note-opened-not-moved").arg("way", way)),
                Telling::NoInstrument => {
                    worked.notes.push(Note::new("note-opened-no-instrument").arg("way", way));
                }
            }
        }
        worked.figure("figure-zone-ratio", self.ratio);
        worked.figure("figure-house-zone", self.house_zone);
        worked.figure("figure-zone-outdoors", self.zone_outdoors);
        worked.figure("figure-zone-series", self.series);
        if self.methods.iter().all(|m| m.tells != Telling::Tells)
            && let (Some(inner), Some(outer)) = (self.house_zone_at_most, self.zone_outdoors_at_most)
        {
            worked.figure("figure-house-zone-at-most", inner);
            worked.figure("figure-zone-outdoors-at-most", outer);
        }
        match self.ratio_tells {
            Telling::Tells => {}
            Telling::NoInstrument => worked.notes.push(Note::new("note-zone-no-instrument")),
            Telling::TooWide | Telling::NotMoved => worked.notes.push(Note::new("note-zone-ratio-too-wide")),
        }
        if self.methods.is_empty() {
            worked.notes.push(Note::new("note-zone-ratio-only"));
        }
        if let Some(note) = opened::agreement(&self.methods) {
            worked.notes.push(note);
        }
        worked.notes.push(Note::new("note-zone-assumed"));
        if let Some(check) = self.closure.as_ref().map(Loop::check) {
            worked.checks.push(check);
        }
        if let Some((limit, value)) = &self.limit {
            worked.checks.push(limit.check("check-house-zone", Some(*value)));
        }
        worked
    }
}

#[cfg(test)]
mod tests;
