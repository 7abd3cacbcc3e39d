//! Delivery effectiveness of ducts: the part of what the equipment makes that reaches the rooms.
//!
//! The form of ASHRAE 152 (from memory; the same as a full energy balance of leakage and conduction):
//! `DE = a_s B_s - a_s B_s (1 - B_r a_r) dt_r/dt_e - a_s (1 - B_s) dt_s/dt_e`, with the tightness
//! `a = (Q_e - Q_leak) / Q_e`, the conduction `B = exp(-A / (R rho cp Q_e))`, the equipment's rise
//! `dt_e = Cap / (rho cp Q_e)` and `dt = t_in - t_around` of each side. Sensible heat only: in cooling,
//! damp air drawn into the return costs more. No regain, thermostat or cycling.

use crate::math;
use crate::measure::Estimate;
use crate::procedure::field::{Note, Worked};
use crate::procedure::known::{Known, follows};
use crate::units::Quantity;
use serde::Serialize;

/// One side of the ducts.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DuctSide {
    /// Leakage to or from outdoors while running, m3/s.
    pub leakage_m3_s: Known,
    /// Surface outside the rooms, m2.
    pub area_m2: Known,
    /// Thermal resistance, m2 K/W.
    pub resistance_m2_k_w: Known,
    /// Temperature around it, K.
    pub around_k: Known,
}

/// What was read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Asked {
    /// Flow through the handler, m3/s.
    pub flow_m3_s: Known,
    /// Sensible heat that the equipment gives the air, W; negative in cooling.
    pub capacity_w: Known,
    /// Temperature of the rooms, K.
    pub indoor_k: Known,
    /// Volumetric heat capacity of the air, J/(m3 K).
    pub rho_cp_j_m3_k: f64,
    /// Supply ducts.
    pub supply: DuctSide,
    /// Return ducts.
    pub back: DuctSide,
}

/// The numbers of the balance.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Balance {
    /// Delivery effectiveness, 0 to 1.
    pub effectiveness: f64,
    /// Temperature at the return plenum, K.
    pub return_plenum_k: f64,
    /// Temperature at the supply plenum, K.
    pub supply_plenum_k: f64,
    /// Temperature at the registers, K.
    pub register_k: f64,
}

/// Part of a temperature difference that is left after the duct: `exp(-A / (R rho cp Q))`.
///
/// ```
/// use engine::procedure::duct::delivery::conduction;
/// assert!((conduction(30.0, 1.057, 1.204 * 1006.0 * 0.5) - 0.954216).abs() < 1e-6);
/// ```
pub fn conduction(area_m2: f64, resistance_m2_k_w: f64, capacity_rate_w_k: f64) -> f64 {
    math::exp(-area_m2 / (resistance_m2_k_w * capacity_rate_w_k))
}

/// The balance from tightness `a`, conduction `b` and temperature around (K), supply and return;
/// `rise_k` is the equipment's.
///
/// ```
/// use engine::procedure::duct::delivery::balance;
/// let case = balance([0.9, 0.9], [0.9, 0.95], [273.15, 273.15], 293.15, 15_000.0 / (1.204 * 1006.0 * 0.5));
/// assert!((case.effectiveness - 0.642488).abs() < 1e-6);
/// ```
pub fn balance(a: [f64; 2], b: [f64; 2], around_k: [f64; 2], indoor_k: f64, rise_k: f64) -> Balance {
    let ([a_s, a_r], [b_s, b_r], [t_s, t_r]) = (a, b, around_k);
    let (dt_s, dt_r) = (indoor_k - t_s, indoor_k - t_r);
    let back = indoor_k - (1.0 - b_r * a_r) * dt_r;
    let plenum = back + rise_k;
    Balance {
        effectiveness: a_s * b_s
            - a_s * b_s * (1.0 - b_r * a_r) * dt_r / rise_k
            - a_s * (1.0 - b_s) * dt_s / rise_k,
        return_plenum_k: back,
        supply_plenum_k: plenum,
        register_k: t_s + b_s * (plenum - t_s),
    }
}

/// What follows.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Delivery {
    /// Delivery effectiveness, 0 to 1.
    pub effectiveness: Estimate,
    /// What it would be without leakage.
    pub if_tight: Estimate,
    /// What it would be without conduction.
    pub if_insulated: Estimate,
    /// Temperature at the registers.
    pub register: Estimate,
    /// Temperature at the supply plenum.
    pub supply_plenum: Estimate,
    /// Temperature at the return plenum.
    pub return_plenum: Estimate,
    /// Whether it is for cooling.
    pub cooling: bool,
}

/// Works it.
///
/// ```
/// use engine::procedure::duct::delivery::*;
/// use engine::procedure::known::Known;
/// let k = Known::exact;
/// let side = |leak, area| DuctSide {
///     leakage_m3_s: k(leak), area_m2: k(area), resistance_m2_k_w: k(1.057), around_k: k(273.15),
/// };
/// let result = evaluate(&Asked {
///     flow_m3_s: k(0.5), capacity_w: k(15_000.0), indoor_k: k(293.15), rho_cp_j_m3_k: 1.204 * 1006.0,
///     supply: side(0.05, 30.0), back: side(0.025, 10.0),
/// });
/// assert!((result.effectiveness.si - 0.780637).abs() < 1e-6);
/// ```
pub fn evaluate(asked: &Asked) -> Delivery {
    let (s, r) = (&asked.supply, &asked.back);
    let inputs = [
        asked.flow_m3_s,
        asked.capacity_w,
        asked.indoor_k,
        s.leakage_m3_s,
        r.leakage_m3_s,
        s.area_m2,
        r.area_m2,
        s.resistance_m2_k_w,
        r.resistance_m2_k_w,
        s.around_k,
        r.around_k,
    ];
    let with = |leaks: f64, conducts: f64, x: &[f64]| match x {
        [flow, cap, indoor, q_s, q_r, area_s, area_r, r_s, r_r, t_s, t_r] => {
            let rate = asked.rho_cp_j_m3_k * flow;
            let a = [1.0 - leaks * q_s / flow, 1.0 - leaks * q_r / flow];
            let b = [conduction(conducts * area_s, *r_s, rate), conduction(conducts * area_r, *r_r, rate)];
            balance(a, b, [*t_s, *t_r], *indoor, cap / rate)
        }
        _ => balance([f64::NAN; 2], [0.0; 2], [0.0; 2], 0.0, 1.0),
    };
    let share =
        |leaks, conducts| follows(&inputs, Quantity::Fraction, |x| with(leaks, conducts, x).effectiveness);
    let temp =
        |pick: fn(&Balance) -> f64| follows(&inputs, Quantity::Temperature, |x| pick(&with(1.0, 1.0, x)));
    Delivery {
        effectiveness: share(1.0, 1.0),
        if_tight: share(0.0, 1.0),
        if_insulated: share(1.0, 0.0),
        register: temp(|b| b.register_k),
        supply_plenum: temp(|b| b.supply_plenum_k),
        return_plenum: temp(|b| b.return_plenum_k),
        cooling: asked.capacity_w.si < 0.0,
    }
}

impl Delivery {
    /// In the shape of all tests.
    pub fn worked(&self) -> Worked {
        let mut worked = Worked::default();
        worked.figure("figure-delivery", self.effectiveness);
        worked.figure("figure-delivery-tight", self.if_tight);
        worked.figure("figure-delivery-insulated", self.if_insulated);
        worked.figure("figure-register-temperature", self.register);
        worked.figure("figure-supply-plenum-temperature", self.supply_plenum);
        worked.figure("figure-return-plenum-temperature", self.return_plenum);
        worked.notes.push(Note::new("note-delivery-form"));
        if self.cooling {
            worked.notes.push(Note::caution("note-delivery-sensible"));
        }
        worked
    }
}
