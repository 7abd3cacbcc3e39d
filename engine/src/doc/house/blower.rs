//! What `house.toml` knows of the air handler's blower, its filter and an outdoor duct into its return.

use super::elements::{FILTER_EXPONENT, fan_curve};
use crate::diag::{Diagnostic, code};
use crate::doc::read::Tab;
use crate::network::FanCurve;
use crate::units::Quantity as Q;

/// Pressure at which a wheel at its present speed moves nothing, Pa, where nobody stated it, and at
/// least this many times the rise as found. Common practice, no source.
const SHUT_OFF_PA: f64 = 300.0;
const SHUT_OFF_TIMES: f64 = 1.5;
/// Pressure up to which a motor holds its flow, Pa, where nobody stated it. Common practice, no source.
const UP_TO_PA: f64 = 200.0;

/// How a motor answers to more pressure.
#[derive(Clone, Debug)]
pub enum Motor {
    /// Near one speed whatever it works against.
    OneSpeed,
    /// Holds its torque: turns faster where less air loads the wheel.
    ConstantTorque,
    /// Holds its flow up to a pressure, Pa.
    ConstantAirflow {
        /// The pressure.
        up_to_pa: f64,
    },
    /// One speed, by points of the blower's own.
    Curve(FanCurve),
}

// A curve has no order of its own; what was written decides.
impl PartialEq for Motor {
    fn eq(&self, other: &Motor) -> bool {
        format!("{self:?}") == format!("{other:?}")
    }
}

/// The blower of an air handler, as found.
#[derive(Clone, Debug, PartialEq)]
pub struct Blower {
    /// Its motor.
    pub motor: Motor,
    /// Pressure that it makes at the flow as found, from its inlet to its outlet, Pa.
    pub rise_pa: f64,
    /// Pressure at which the wheel moves nothing, Pa; at full speed for a motor that holds its flow.
    pub shut_off_pa: f64,
}

/// The filter of an air handler.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HandlerFilter {
    /// Pressure drop of the clean filter at `at_m3_s`, Pa.
    pub drop_pa: f64,
    /// Flow that the drop is stated for, m3/s; nothing for the handler's own flow as found.
    pub at_m3_s: Option<f64>,
    /// What the dust in it multiplies the drop by.
    pub loading: f64,
    /// Exponent of `flow = C dp^n`.
    pub exponent: f64,
    /// Whether it stands at the return grille, before an outdoor duct joins; else at the blower.
    pub at_grille: bool,
}

impl HandlerFilter {
    /// Exponent where none is stated.
    pub(crate) const EXPONENT: f64 = FILTER_EXPONENT;
}

/// A duct from outdoors into the return.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HandlerIntake {
    /// Its flow while the handler runs, as found, m3/s; none where nobody built it yet.
    pub flow_m3_s: f64,
    /// Pressure of the return where it joins, below the rooms, Pa; nothing where it was not told.
    pub suction_pa: Option<f64>,
}

pub(super) fn blower(t: &Tab<'_, '_>) -> Option<Blower> {
    #[derive(Clone, Copy)]
    enum Kind {
        OneSpeed,
        Torque,
        Airflow,
    }
    let rise = t.need("rise", t.bounded("rise", Q::StaticPressure, 1.0..=2000.0));
    let shut = t.bounded("shut_off", Q::StaticPressure, 1.0..=5000.0);
    let up_to = t.bounded("up_to", Q::StaticPressure, 1.0..=2000.0);
    let kinds = [
        ("permanent split capacitor", Kind::OneSpeed),
        ("constant torque", Kind::Torque),
        ("constant airflow", Kind::Airflow),
    ];
    let curve = if t.has("curve") { Some(fan_curve(t, 1.0).0?) } else { None };
    let motor = t.choice_also("motor", &kinds, &[("fixed speed", Kind::OneSpeed)]);
    if curve.is_none() && motor.is_none() {
        let _: Option<()> = t.need("motor", None);
        return None;
    }
    let rise_pa = rise?.value;
    let limit_pa = up_to.map_or(UP_TO_PA.max(rise_pa), |u| u.value);
    let at_speed_pa =
        if matches!(motor.as_ref().map(|m| m.value), Some(Kind::Airflow)) { limit_pa } else { rise_pa };
    let shut_off_pa = shut.as_ref().map_or(SHUT_OFF_PA.max(SHUT_OFF_TIMES * at_speed_pa), |s| s.value);
    // A wheel that has stopped moving air at its own working point is none.
    if curve.is_none() && (shut_off_pa <= at_speed_pa || limit_pa < rise_pa) {
        let at = t.span_of(if limit_pa < rise_pa { "up_to" } else { "shut_off" });
        t.say(
            Diagnostic::error(code::R143)
                .at(at)
                .arg("rise", (rise_pa, Q::StaticPressure))
                .arg("limit", (shut_off_pa.min(limit_pa.max(rise_pa)), Q::StaticPressure)),
        );
        return None;
    }
    if let Some(c) = &curve
        && c.flow_m3_s(rise_pa) <= 0.0
    {
        t.say(
            Diagnostic::error(code::R143)
                .at(t.span_of("rise"))
                .arg("rise", (rise_pa, Q::StaticPressure))
                .arg("limit", (c.range_pa().1, Q::StaticPressure)),
        );
        return None;
    }
    let motor = match (curve, motor.map(|m| m.value)) {
        (Some(curve), _) => Motor::Curve(curve),
        (None, Some(Kind::OneSpeed)) => Motor::OneSpeed,
        (None, Some(Kind::Torque)) => Motor::ConstantTorque,
        (None, Some(Kind::Airflow)) => Motor::ConstantAirflow { up_to_pa: limit_pa },
        (None, None) => return None,
    };
    Some(Blower { motor, rise_pa, shut_off_pa })
}

pub(super) fn filter(t: &Tab<'_, '_>) -> Option<HandlerFilter> {
    let drop = t.need("drop", t.bounded("drop", Q::StaticPressure, 0.1..=1000.0));
    let at = t.bounded("at", Q::AirFlow, 1e-4..=50.0);
    let loading = t.number("loading").filter(|l| t.within("loading", l, Q::Number, 1.0..=50.0));
    let exponent = t.number("exponent").filter(|n| t.within("exponent", n, Q::Number, 0.5..=1.0));
    let stands = t.choice("stands", &[("blower", false), ("grille", true)]);
    Some(HandlerFilter {
        drop_pa: drop?.value,
        at_m3_s: at.map(|a| a.value),
        loading: loading.map_or(1.0, |l| l.value),
        exponent: exponent.map_or(FILTER_EXPONENT, |n| n.value),
        at_grille: stands.is_some_and(|s| s.value),
    })
}

pub(super) fn intake(t: &Tab<'_, '_>) -> Option<HandlerIntake> {
    let flow = t.bounded("flow", Q::AirFlow, 0.0..=10.0);
    let suction = t.bounded("suction", Q::StaticPressure, 0.1..=1000.0);
    Some(HandlerIntake { flow_m3_s: flow.map_or(0.0, |f| f.value), suction_pa: suction.map(|s| s.value) })
}
