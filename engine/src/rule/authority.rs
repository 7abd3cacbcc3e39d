//! What may be commanded and what is only advised.
//!
//! The program advises and exports. A device is commanded only where it does not depend on the
//! command: it has a schedule of its own, it notices silence and returns to ventilating, and, where it
//! could draw down an appliance that takes its air from the room, somebody has looked and written so.

use super::Set;
use super::signal::{DeviceKind, Signals};
use crate::diag::{Diagnostic, code};
use crate::doc::Sink;
use crate::doc::house::{Draft, House};
use crate::doc::rules::{Authority, Permission, Rules};
use crate::text::closest;

/// Longest silence before the device acts on its own, s. Common practice, no source.
const LONGEST_SILENCE_S: f64 = 900.0;

/// A device that may be commanded, with everything that makes it so.
#[derive(Clone, Debug, PartialEq)]
pub struct Command {
    /// Device, by index.
    pub device: usize,
    /// Share of full by its own schedule, 0 to 1.
    pub fallback: f64,
    /// Hours of that schedule, s of the day; none is all day.
    pub fallback_s: Vec<(f64, f64)>,
    /// Longest silence, s.
    pub heartbeat_s: f64,
    /// Share of full after it, 0 to 1.
    pub on_loss: f64,
    /// The recorded permission, where one is needed.
    pub permission: Option<Permission>,
}

/// Why a device is only advised.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Refusal {
    /// It is not named in the documents, or is a safety exhaust.
    NotItsDevice,
    /// It has no schedule of its own.
    NoFallback,
    /// Nothing tells how long it waits for a word.
    NoHeartbeat,
    /// Silence would leave it without ventilating.
    DoesNotVentilate,
    /// A flue could feel it and nobody has permitted that.
    NoPermission,
}

/// Whether an appliance that draws from the rooms could feel the device.
fn could_draw_down(signals: &Signals, device: usize, house: &House) -> bool {
    let open = |d: Draft| matches!(d, Draft::Natural | Draft::FanAssisted);
    signals.devices[device].draws && house.appliances.iter().any(|a| open(a.draft))
}

/// What may be commanded; what is missing elsewhere goes to the sink and leaves the device to advice.
pub fn authorities(
    written: &Rules,
    set: &Set,
    house: &House,
    sink: &Sink,
) -> (Vec<Command>, Vec<(String, Vec<Refusal>)>) {
    let (mut commands, mut refused) = (Vec::new(), Vec::new());
    for one in &written.authorities {
        let mut why = Vec::new();
        let command = command(one, set, house, sink, &mut why);
        match command {
            Some(command) if why.is_empty() => commands.push(command),
            _ => refused.push((one.device.value.clone(), why)),
        }
    }
    (commands, refused)
}

fn command(
    one: &Authority,
    set: &Set,
    house: &House,
    sink: &Sink,
    why: &mut Vec<Refusal>,
) -> Option<Command> {
    let signals = &set.signals;
    let mut refuse = |refusal, diagnostic: Diagnostic| {
        why.push(refusal);
        sink.borrow_mut().push(diagnostic.arg("device", one.device.value.as_str()));
    };
    let Some(device) = signals.device(&one.device.value) else {
        let names = || signals.devices.iter().map(|d| d.name.as_str());
        let near = closest(&one.device.value, names()).unwrap_or("");
        let known = names().collect::<Vec<_>>().join(", ");
        let d = Diagnostic::error(code::R111)
            .at(one.device.span.clone())
            .arg("name", one.device.value.as_str())
            .arg("near", near)
            .arg("known", known);
        refuse(Refusal::NotItsDevice, d);
        return None;
    };
    let at = || one.span.clone();
    if signals.devices[device].safety_exhaust {
        refuse(Refusal::NotItsDevice, Diagnostic::error(code::R123).at(one.device.span.clone()));
    }
    if one.fallback.is_none() {
        refuse(Refusal::NoFallback, Diagnostic::error(code::R131).at(at()));
    }
    if one.heartbeat_s.is_none_or(|h| h > LONGEST_SILENCE_S) {
        let most = (LONGEST_SILENCE_S, crate::units::Quantity::Time);
        refuse(Refusal::NoHeartbeat, Diagnostic::error(code::R132).at(at()).arg("most", most));
    }
    // A dehumidifier and a hood do not ventilate the house; silence may leave them off.
    let ventilates = !matches!(signals.devices[device].kind, DeviceKind::Dehumidifier | DeviceKind::Hood);
    if one.on_loss.is_none_or(|share| ventilates && share <= 0.0) {
        refuse(Refusal::DoesNotVentilate, Diagnostic::error(code::R133).at(at()));
    }
    if could_draw_down(signals, device, house) && one.permission.is_none() {
        refuse(Refusal::NoPermission, Diagnostic::error(code::R134).at(at()));
    }
    let (fallback, fallback_s) = one.fallback.clone()?;
    Some(Command {
        device,
        fallback,
        fallback_s,
        heartbeat_s: one.heartbeat_s?,
        on_loss: one.on_loss?,
        permission: one.permission.clone(),
    })
}
