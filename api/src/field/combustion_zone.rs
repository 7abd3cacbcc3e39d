//! The zone of a combustion appliance.

use super::{Around, Done};
use engine::diag::{Diagnostic, code};
use engine::doc::Sink;
use engine::doc::field::FieldTest;
use engine::doc::field::combustion_zone::{Ambient, CombustionZone, State as Written};
use engine::doc::series::Series;
use engine::doc::visit::Visit;
use engine::procedure::combustion::{Asked, Devices, HANDLER, State, evaluate};
use engine::units::Quantity;

/// CO of a room: typed, or a column of a series; what is wrong with the series is said by the test.
pub(crate) fn samples(room: &Ambient, visit: &Visit, series: &[Series]) -> Vec<f64> {
    let Some((file, column)) = &room.series else { return room.values.clone() };
    let name = format!("{}/{}", visit.folder, file.value);
    let quiet = Sink::default();
    let found = series.iter().find(|s| s.file == name);
    let column = found.and_then(|s| s.column(&column.value, Quantity::GasFraction, &quiet));
    column.unwrap_or_default().into_iter().filter(|v| v.is_finite()).collect()
}

pub(super) fn work(asked: &CombustionZone, test: &FieldTest, around: &Around<'_>) -> Option<Done> {
    let zone = around.house.zip(asked.zone.as_ref()).and_then(|(h, z)| h.zone(&z.value));
    let mut devices = around.house.map(|h| Devices::of_house(h, zone)).unwrap_or_default();
    devices.exhausts.extend(asked.exhausts.iter().map(|e| e.value.clone()));
    devices.handler |= asked.handler;
    devices.zone_doors.extend(asked.zone_doors.iter().map(|d| d.value.clone()));
    devices.room_doors.extend(asked.doors.iter().map(|d| d.value.clone()));
    let states = (asked.states.iter().enumerate())
        .filter_map(|(k, s)| {
            let name = s.name.clone().unwrap_or_else(|| format!("#{}", k + 1));
            Some((name, state(s, &devices, around)?, s.shown_pa.clone()))
        })
        .collect();
    for room in &asked.ambient {
        if let Some((file, column)) = &room.series
            && let Some(series) = around.series(file)
        {
            around.column(series, column, Quantity::GasFraction);
        }
    }
    let (result, said) = evaluate(&Asked {
        test: &test.name.value,
        written: asked,
        states,
        rooms: asked.ambient.iter().map(|a| samples(a, around.visit, around.series)).collect(),
        gauge: around.gauge(asked.pressure_with.as_ref(), asked.wandered_pa),
        room_accuracy: around.accuracy(asked.gas_with.as_ref(), Quantity::GasFraction),
        flue_accuracy: around.accuracy(asked.flue_with.as_ref(), Quantity::GasFraction),
        devices,
    });
    around.said(test, said);
    Some(Done::new(&result, result.worked()))
}

/// What ran and was shut; nothing where a name or a word of it is not known, which is said.
fn state(written: &Written, devices: &Devices, around: &Around<'_>) -> Option<State> {
    let mut state = State::default();
    let all = |names: &[String], yes: bool| names.iter().filter(|_| yes).cloned().collect::<Vec<_>>();
    state.running.extend(all(&devices.exhausts, written.exhausts));
    state.running.extend((written.handler && devices.handler).then(|| HANDLER.to_owned()));
    state.shut.extend(all(&devices.room_doors, written.doors));
    state.shut.extend(all(&devices.zone_doors, written.zone_doors));
    let mut whole = true;
    for (name, word) in &written.set {
        let runs = devices.exhausts.contains(&name.value) || (devices.handler && name.value == HANDLER);
        let shuts = devices.zone_doors.contains(&name.value) || devices.room_doors.contains(&name.value);
        if !runs && !shuts {
            around.unknown(name, "switchable", &devices.names());
            whole = false;
            continue;
        }
        let (set, choices) =
            if runs { (&mut state.running, ["on", "off"]) } else { (&mut state.shut, ["shut", "open"]) };
        match choices.iter().position(|c| *c == word.value) {
            Some(0) => {
                set.insert(name.value.clone());
            }
            Some(_) => {
                set.remove(&name.value);
            }
            None => {
                around.say(
                    Diagnostic::error(code::V101)
                        .at(word.span.clone())
                        .arg("name", name.value.as_str())
                        .arg("found", word.value.as_str())
                        .arg("choices", choices.join(", ")),
                );
                whole = false;
            }
        }
    }
    whole.then_some(state)
}
