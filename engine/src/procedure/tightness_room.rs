//! How much tighter a house may become for its exhausts: the pressure that everything running makes,
//! and the leakage below which it passes a limit.
//!
//! `dp = (Q_net/C)^(1/n)` and `Q50_min = Q_net (50/dp_limit)^n`: the power law of the envelope test,
//! nothing else. Wind and stack come on top. The limit is the user's own: none is built in.

use super::field::{LEVEL, Limit, Note, Worked};
use crate::math;
use crate::measure::{Estimate, NoInterval, propagate};
use crate::units::Quantity;
use serde::Serialize;

/// What is asked.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// All exhausts less all supplies while everything runs, m3/s.
    pub net_exhaust: Estimate,
    /// Flow at 50 Pa of the envelope test, m3/s.
    pub flow50: Estimate,
    /// Flow exponent.
    pub exponent: Estimate,
    /// Deepest depressurisation allowed, Pa, above zero.
    pub limit_pa: f64,
    /// Where the limit stands and whether the user read it there.
    pub limit_source: String,
    /// Whether the user read it there.
    pub limit_confirmed: bool,
    /// Depressurisation measured with everything running against everything off, Pa, above zero.
    pub measured: Option<Estimate>,
}

/// What follows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TightnessRoom {
    /// Depressurisation computed for everything running, Pa.
    pub depressurisation: Estimate,
    /// Flow at 50 Pa below which it passes the limit, m3/s.
    pub least_flow50: Estimate,
    /// How far the house is from it now, m3/s; below zero where it has passed it.
    pub room: Estimate,
    /// Measured, Pa.
    pub measured: Option<Estimate>,
    #[serde(skip)]
    limit: Limit,
}

/// Works it.
///
/// ```
/// use engine::measure::Estimate;
/// use engine::procedure::tightness_room::{Asked, evaluate};
/// use engine::units::Quantity::{AirFlow, Number};
/// let found = evaluate(&Asked {
///     net_exhaust: Estimate::range(200.0, 190.0, 210.0, 0.95, AirFlow),
///     flow50: Estimate::range(1200.0, 1150.0, 1250.0, 0.95, AirFlow),
///     exponent: Estimate::range(0.65, 0.60, 0.70, 0.95, Number),
///     limit_pa: 5.0,
///     limit_source: "programme, clause 3".into(),
///     limit_confirmed: true,
///     measured: None,
/// });
/// // 200 cfm and 5 Pa: 893 cfm at 50 Pa.
/// assert!((found.least_flow50.si - 893.0).abs() < 1.0);
/// ```
pub fn evaluate(asked: &Asked) -> TightnessRoom {
    let half = |e: &Estimate| e.bounds().map_or(0.0, |(lo, hi)| (hi - lo) / 2.0);
    let known = [&asked.net_exhaust, &asked.flow50].iter().all(|e| e.bounds().is_some());
    let inputs = [asked.net_exhaust, asked.flow50, asked.exponent].map(|e| (e.si, half(&e)));
    let of = |quantity, f: &dyn Fn(f64, f64, f64) -> f64| {
        let found = propagate(&inputs, LEVEL, quantity, |x| match x {
            [q, q50, n] => f(q.max(0.0), q50.max(1e-9), n.clamp(0.4, 1.0)),
            _ => f64::NAN,
        });
        match known {
            true => found,
            false => Estimate::without(found.si, quantity, NoInterval::TypedWithoutInstrument),
        }
    };
    let least = |q: f64, n: f64| q * math::pow(50.0 / asked.limit_pa, n);
    TightnessRoom {
        depressurisation: of(Quantity::Pressure, &|q, q50, n| 50.0 * math::pow(q / q50, 1.0 / n)),
        least_flow50: of(Quantity::AirFlow, &|q, _, n| least(q, n)),
        room: of(Quantity::AirFlow, &|q, q50, n| q50 - least(q, n)),
        measured: asked.measured,
        limit: Limit::at_most(asked.limit_pa, &asked.limit_source, asked.limit_confirmed),
    }
}

impl TightnessRoom {
    /// In the shape of all tests.
    pub fn worked(&self) -> Worked {
        let mut worked = Worked::default();
        worked.figure("figure-tightness-room", self.room);
        worked.figure("figure-least-flow50", self.least_flow50);
        worked.figure("figure-depressurisation", self.depressurisation);
        worked.checks.push(self.limit.check("check-depressurisation", Some(self.depressurisation)));
        if let Some(measured) = self.measured {
            worked.figure("figure-depressurisation-measured", measured);
            worked.checks.push(self.limit.check("check-depressurisation-measured", Some(measured)));
            let apart = (self.depressurisation.bounds().zip(measured.bounds()))
                .is_some_and(|((a, b), (c, d))| b < c || d < a);
            if apart {
                worked.notes.push(Note::caution("note-depressurisation-differs"));
            }
        }
        if self.room.si < 0.0 {
            worked.notes.push(Note::caution("note-no-tightness-room"));
        }
        worked.notes.push(Note::new("note-depressurisation-calm"));
        worked
    }
}
