//! Ventilation that is owed: relative exposure and what repays it.
//!
//! Relative exposure is the concentration of a pollutant that the house gives off steadily, over the
//! one that the target flow would hold: `dR/dt = (Q_tot - Q R)/V`, in one step of flow Q
//! `R' = r + (R - r) exp(-Q dt/V)` with `r = Q_tot/Q`, and `R' = R + Q_tot dt/V` without flow. That is
//! the recursion of ASHRAE 62.2, appendix C, from memory; derived again here from the balance.
//!
//! The debt is the time integral of `R - 1` from the moment a lock-out acts until it is back at zero:
//! hours of one excess exposure. It is kept by rule, and what was booked is what is owed or repaid.

use super::Set;
use crate::doc::rules::{Does, Exposure};
use crate::math;

/// Relative exposure after a time of one flow, and its time integral, s.
///
/// `flow_m3_s` is all outdoor air, fans and infiltration together.
///
/// ```
/// // At the target flow an exposure of one stays.
/// let (after, seconds) = engine::rule::exposure_after(1.0, 3600.0, 0.03, 0.03, 300.0);
/// assert!((after - 1.0).abs() < 1e-12 && (seconds - 3600.0).abs() < 1e-9);
/// ```
pub fn exposure_after(start: f64, dt_s: f64, flow_m3_s: f64, target_m3_s: f64, volume_m3: f64) -> (f64, f64) {
    let turned = flow_m3_s * dt_s / volume_m3;
    if turned < 1e-9 {
        // Without flow it rises in a straight line.
        let rise = target_m3_s * dt_s / volume_m3;
        return (start + rise, (start + 0.5 * rise) * dt_s);
    }
    let steady = target_m3_s / flow_m3_s;
    // The series where the difference would lose digits.
    let series = turned * (1.0 - turned / 2.0 * (1.0 - turned / 3.0 * (1.0 - turned / 4.0)));
    let gone = if turned < 1e-3 { series } else { 1.0 - math::exp(-turned) };
    let after = start + (steady - start) * gone;
    (after, steady * dt_s + (start - steady) * gone * volume_m3 / flow_m3_s)
}

/// Time that repays a debt at a steady flow, s; nothing where that flow never does.
///
/// Solves `debt + integral of (R - 1) = 0`; bracketed by what the excess at the start can add.
pub fn repay_s(debt_s: f64, start: f64, flow_m3_s: f64, target_m3_s: f64, volume_m3: f64) -> Option<f64> {
    if debt_s <= 0.0 {
        return Some(0.0);
    }
    let steady = target_m3_s / flow_m3_s;
    if flow_m3_s <= 0.0 || steady >= 1.0 {
        return None;
    }
    let owed = |t: f64| debt_s + exposure_after(start, t, flow_m3_s, target_m3_s, volume_m3).1 - t;
    let (mut low, mut high) =
        (0.0, (debt_s + (start - steady).max(0.0) * volume_m3 / flow_m3_s) / (1.0 - steady) + 1.0);
    for _ in 0..80 {
        let middle = 0.5 * (low + high);
        if owed(middle) > 0.0 {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(high)
}

/// What one house owes.
#[derive(Clone, Debug, PartialEq)]
pub struct Ledger {
    exposure: Exposure,
    volume_m3: f64,
    relative: f64,
    /// By rule, s.
    accounts: Vec<f64>,
    booked_s: f64,
    repaid_s: f64,
    /// The rule that acted last.
    last: usize,
}

/// What a ledger remembers, to be written down.
#[derive(Clone, Debug, PartialEq, serde::Serialize, serde::Deserialize)]
pub(super) struct Owed {
    relative: f64,
    accounts: Vec<f64>,
    booked_s: f64,
    repaid_s: f64,
    last: usize,
}

impl Ledger {
    /// What is remembered.
    pub(super) fn remembered(&self) -> Owed {
        let Ledger { relative, accounts, booked_s, repaid_s, last, .. } = self.clone();
        Owed { relative, accounts, booked_s, repaid_s, last }
    }

    /// Goes on from what was remembered; false where that is of other rules.
    pub(super) fn resume(&mut self, of: Owed) -> bool {
        let same = of.accounts.len() == self.accounts.len();
        if same {
            let Owed { relative, accounts, booked_s, repaid_s, last } = of;
            *self = Ledger { relative, accounts, booked_s, repaid_s, last, ..self.clone() };
        }
        same
    }

    /// Nothing owed, exposure at the target.
    pub fn new(exposure: Exposure, volume_m3: f64, rules: usize) -> Ledger {
        Ledger {
            exposure,
            volume_m3,
            relative: 1.0,
            accounts: vec![0.0; rules],
            booked_s: 0.0,
            repaid_s: 0.0,
            last: 0,
        }
    }

    /// Goes on by a time with all outdoor air of that time; what is not known counts as infiltration
    /// alone. `acting` is the rule that held ventilation down.
    pub fn step(&mut self, dt_s: f64, outdoor_air_m3_s: f64, acting: Option<usize>) {
        let known = outdoor_air_m3_s.is_finite() && outdoor_air_m3_s >= 0.0;
        let flow = if known { outdoor_air_m3_s } else { self.exposure.infiltration_m3_s };
        let target = self.exposure.target_m3_s;
        let (after, seconds) = exposure_after(self.relative, dt_s, flow, target, self.volume_m3);
        self.relative = after;
        let excess = seconds - dt_s;
        if let Some(rule) = acting {
            self.last = rule;
        }
        if excess > 0.0 {
            // What is owed grows after the lock-out too, until the air is back at its target.
            if (acting.is_some() || self.owed_s() > 0.0)
                && let Some(account) = self.accounts.get_mut(self.last)
            {
                *account += excess;
                self.booked_s += excess;
            }
            return;
        }
        let mut left = -excess;
        for account in &mut self.accounts {
            let paid = left.min(*account);
            *account -= paid;
            left -= paid;
            self.repaid_s += paid;
        }
    }

    /// Relative exposure now.
    pub fn relative_exposure(&self) -> f64 {
        self.relative
    }

    /// What is owed, s of one excess exposure.
    pub fn owed_s(&self) -> f64 {
        self.accounts.iter().sum()
    }

    /// What is owed through one rule, s.
    pub fn owed_by_s(&self, rule: usize) -> f64 {
        self.accounts.get(rule).copied().unwrap_or(0.0)
    }

    /// All that was ever booked and all that was repaid, s; their difference is what is owed.
    pub fn books_s(&self) -> (f64, f64) {
        (self.booked_s, self.repaid_s)
    }

    /// Time that repays what is owed at a steady flow, s; nothing where that flow never does.
    pub fn repay_s(&self, flow_m3_s: f64) -> Option<f64> {
        repay_s(self.owed_s(), self.relative, flow_m3_s, self.exposure.target_m3_s, self.volume_m3)
    }
}

/// The most that a lock-out comes to owe: its whole time at its floor, from an exposure of one.
#[derive(Clone, Copy, Debug, PartialEq, serde::Serialize)]
pub struct Worst {
    /// How long it acts, s.
    pub acts_s: f64,
    /// Outdoor air meanwhile, infiltration counted, m3/s.
    pub flow_m3_s: f64,
    /// Relative exposure at its end.
    pub exposure: f64,
    /// Owed at its end, s of one excess exposure.
    pub owed_s: f64,
    /// Outdoor air at full, m3/s.
    pub full_m3_s: f64,
    /// Time that repays it at full, s; nothing where full is not above the target.
    pub repay_s: Option<f64>,
}

impl Set {
    /// The most that the debt of a rule can come to in one go; nothing for a rule without one.
    pub fn worst_debt(&self, rule: usize) -> Option<Worst> {
        let (rule, exposure) = (self.rules.get(rule)?, self.exposure?);
        let Does::LockOut { floor } = rule.does else { return None };
        let device = self.signals.devices.get(rule.device)?;
        if !rule.debt || device.flow_m3_s <= 0.0 || self.volume_m3 <= 0.0 {
            return None;
        }
        let acts_s = rule.most_on_s.min(86_400.0);
        let flow_m3_s = exposure.infiltration_m3_s + floor * device.flow_m3_s;
        let full_m3_s = exposure.infiltration_m3_s + device.flow_m3_s;
        let (after, seconds) = exposure_after(1.0, acts_s, flow_m3_s, exposure.target_m3_s, self.volume_m3);
        let owed_s = (seconds - acts_s).max(0.0);
        let repay_s = repay_s(owed_s, after, full_m3_s, exposure.target_m3_s, self.volume_m3);
        Some(Worst { acts_s, flow_m3_s, exposure: after, owed_s, full_m3_s, repay_s })
    }
}
