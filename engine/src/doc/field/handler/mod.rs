//! Tests of the air handler, and the setup their documents have in common.

pub mod coil;
pub mod flow;
pub mod statics;

use crate::doc::read::Tab;
use crate::procedure::handler::setup::{Mode, Motor, Setup};
use crate::units::Quantity as Q;

/// Reads how the equipment ran.
fn setup(t: &Tab<'_, '_>) -> Setup {
    let mode = t.choice(
        "mode",
        &[("heating", Mode::Heating), ("cooling", Mode::Cooling), ("fan only", Mode::FanOnly)],
    );
    let output =
        t.choice("output", &[("fixed", (false, false)), ("varies", (true, false)), ("held", (true, true))]);
    let (modulating, held) = output.map_or((false, false), |o| o.value);
    let time = |key| t.bounded(key, Q::Time, 0.0..=86400.0).map(|s| s.value);
    let motor = t.choice_also(
        "motor",
        &[
            ("permanent split capacitor", Motor::FixedSpeed),
            ("constant torque", Motor::ConstantTorque),
            ("constant airflow", Motor::ConstantAirflow),
        ],
        &[("fixed speed", Motor::FixedSpeed)],
    );
    Setup {
        mode: mode.map(|m| m.value),
        stage: t.text("stage").map(|s| s.value),
        modulating,
        held,
        since_start_s: time("since_start"),
        steady_after_s: time("steady_after"),
        motor: motor.map(|m| m.value),
    }
}
