//! What the watch cannot know by itself: the accuracy of traces, and filters with what stands around them.
//!
//! ```toml
//! [trace.bedroom_co2]
//! column = "bedroom.co2"
//! accuracy = "50 ppm + 3 %"          # the instrument's 95 % limit
//!
//! [filter.hall]
//! device = "air_handler"
//! sits = "after the intake"          # before the intake | after the intake | in the intake
//! motor = "permanent split capacitor" # or "constant torque", "constant airflow"
//! flow = "1000 cfm"
//! intake = "60 cfm"                  # of it, what a duct from outdoors brings
//! drop = "25 Pa"                     # across the clean filter
//! return = "25 Pa"                   # grille and duct up to the junction
//! rest = "75 Pa"                     # the rest, supply included
//! new = "2026-05-01"
//! limit = 2.0                        # resistance over the clean one at which it is due
//! ```

use crate::diag::{Diagnostic, code};
use crate::doc::Sp;
use crate::doc::read::Tab;
use crate::units::{Accuracy, Quantity as Q};
use crate::watch::Field;
use crate::watch::filter::{Motor, Sits};

/// A filter as written.
#[derive(Clone, Debug, PartialEq)]
pub struct Filter {
    /// The device whose blower it stands before.
    pub device: Sp<String>,
    /// Where it sits, where that is known.
    pub sits: Option<Sits>,
    /// The blower's motor, likewise.
    pub motor: Option<Motor>,
    /// Flow of the blower, m3/s.
    pub flow_m3_s: f64,
    /// Of it, through the intake, m3/s.
    pub intake_m3_s: f64,
    /// Drop of the clean filter, Pa.
    pub drop_pa: f64,
    /// Drop up to the junction, Pa.
    pub return_pa: f64,
    /// Drop of the rest, Pa.
    pub rest_pa: f64,
    /// The day it was new.
    pub new: Option<jiff::civil::Date>,
    /// Resistance over the clean one at which it is due.
    pub limit: f64,
}

/// The stated accuracy of a trace, with the trace's name.
pub(super) fn trace((_, t): &(Sp<String>, Tab<'_, '_>)) -> Option<(Sp<String>, Accuracy)> {
    let column = t.need("column", t.text("column"))?;
    let field = column.value.rsplit_once('.').and_then(|(_, f)| Field::named(f));
    let Some(field) = field else {
        t.leave_alone();
        t.say(Diagnostic::error(code::L121).at(column.span.clone()).arg("name", column.value.as_str()));
        return None;
    };
    let accuracy = t.need("accuracy", t.accuracy("accuracy", field.quantity()))?;
    Some((column, accuracy.value))
}

/// Reads a filter's table.
pub(super) fn filter((_, t): &(Sp<String>, Tab<'_, '_>)) -> Option<Filter> {
    let device = t.need("device", t.text("device"));
    let sits = [
        ("before the intake", Sits::Before),
        ("after the intake", Sits::After),
        ("in the intake", Sits::Intake),
    ];
    let motors = [
        ("permanent split capacitor", Motor::FixedSpeed),
        ("constant torque", Motor::ConstantTorque),
        ("constant airflow", Motor::ConstantAirflow),
    ];
    let sits = t.choice("sits", &sits).map(|s| s.value);
    let motor = t.choice_also("motor", &motors, &[("fixed speed", Motor::FixedSpeed)]).map(|m| m.value);
    let flow = t.need("flow", t.bounded("flow", Q::AirFlow, 1e-3..=10.0));
    let pa = |key: &'static str| t.bounded(key, Q::StaticPressure, 0.1..=1000.0);
    let drop = t.need("drop", pa("drop"));
    let (back, rest) = (pa("return"), pa("rest"));
    let intake = t.bounded("intake", Q::AirFlow, 0.0..=10.0).map_or(0.0, |i| i.value);
    let new = t.text("new").and_then(|text| {
        let date = text.value.trim().parse().ok();
        if date.is_none() {
            t.say(Diagnostic::error(code::T013).at(text.span.clone()).arg("found", text.value.as_str()));
        }
        date
    });
    let limit = t.number("limit").filter(|l| t.within("limit", l, Q::Number, 1.1..=10.0));
    let (device, flow, drop) = (device?, flow?.value, drop?.value);
    Some(Filter {
        device,
        sits,
        motor,
        flow_m3_s: flow,
        intake_m3_s: intake.min(0.9 * flow),
        drop_pa: drop,
        // As the clean filter, and three times it (common practice, no source).
        return_pa: back.map_or(drop, |b| b.value),
        rest_pa: rest.map_or(3.0 * drop, |r| r.value),
        new,
        limit: limit.map_or(2.0, |l| l.value),
    })
}
