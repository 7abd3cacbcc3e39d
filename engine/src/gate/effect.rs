//! What changes and rules do to the air that a burning appliance draws.

use crate::doc::house::ZoneKind;
use crate::doc::plans::{Change, RuleAct, RuledDevice, SurfaceOf};
use crate::house::{Fan, House, Place};
use serde::Serialize;

/// What a change does to the air that an appliance draws.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Effect {
    /// Makes the shell tighter.
    Tightens,
    /// Takes more air out of the house, or takes it for longer.
    AddsExhaust,
    /// Changes how much air the ducts lose or draw, or how long they do.
    ChangesDuctBalance,
    /// Changes doors, transfer openings or returns.
    ChangesDoorsOrReturns,
    /// Shuts an opening that fed a room with air, or takes supplied air away.
    Encloses,
}

/// Filters of this class and finer make the return draw harder through its leaks; common practice,
/// no source.
const FINE_MERV: usize = 11;

/// The effect of one change; nothing where an appliance does not feel it.
///
/// Balanced ventilation counts as exhaust: a blocked supply filter leaves only the exhaust side.
/// Insulation and new glazing of a lived-in zone count as tightening, because blown insulation and new
/// frames close cracks (common practice, no source).
pub fn effect(change: &Change, house: &House) -> Option<Effect> {
    let fan = |name: &str| house.fans.iter().find(|f| f.text.name.value == name);
    match change {
        Change::Seal { .. } => Some(Effect::Tightens),
        Change::Insulate { surface, .. } | Change::Glazing { surface, .. } => {
            is_shell(surface, house).then_some(Effect::Tightens)
        }
        Change::SealDucts { .. } | Change::Mixing { .. } | Change::Intake { .. } => {
            Some(Effect::ChangesDuctBalance)
        }
        Change::Filter { merv, drop_pa, .. } => {
            (drop_pa.is_some() || merv.is_some_and(|m| m >= FINE_MERV)).then_some(Effect::ChangesDuctBalance)
        }
        Change::Speed { what, .. } if what.value == "air_handler" => Some(Effect::ChangesDuctBalance),
        Change::Speed { what, to } => of_fan(fan(&what.value)?, *to > 1.0),
        // Other hours are more hours, unless it never runs again.
        Change::RunFan { fan: name, runs_s } => of_fan(fan(&name.value)?, !runs_s.is_empty()),
        Change::Transfer { .. } | Change::Door { .. } => Some(Effect::ChangesDoorsOrReturns),
        Change::CloseOpening { .. } | Change::CloseCrawl { .. } => Some(Effect::Encloses),
        Change::Exhaust { .. } | Change::Hood { .. } | Change::Balanced { .. } | Change::VentDryer { .. } => {
            Some(Effect::AddsExhaust)
        }
        Change::Supply { .. }
        | Change::Cleaner { .. }
        | Change::Dehumidify(_)
        | Change::Humidify(_)
        | Change::Remove { .. }
        | Change::SetPoints { .. }
        | Change::Shade { .. }
        | Change::GroundCover { .. }
        | Change::Drain { .. }
        | Change::Replace { .. }
        | Change::CutSource { .. }
        // Several: [`effects`].
        | Change::Rules { .. } => None,
    }
}

/// All effects of a change: one at most, but for control rules.
pub fn effects(change: &Change, house: &House) -> Vec<Effect> {
    let Change::Rules { acts, .. } = change else { return effect(change, house).into_iter().collect() };
    let of = |a: &RuleAct| {
        let fan = house.fans.iter().position(|f| f.text.name.value == a.device);
        let runs = match (fan, a.kind) {
            (Some(index), _) => Runs::Fan(index),
            (None, RuledDevice::Handler) => Runs::Handler,
            (None, RuledDevice::Drier) => Runs::Nothing,
            (None, RuledDevice::Opening) => Runs::Opening,
            (None, RuledDevice::Exhaust) => Runs::Exhaust,
            // Supply alone or balanced cannot be told here: the one that is felt more.
            (None, RuledDevice::Ventilator) => Runs::Balanced,
        };
        [(a.more, true), (a.less, false)]
            .into_iter()
            .filter(|(may, _)| *may)
            .filter_map(move |(_, more)| rule_effect(runs, more, house))
            .collect::<Vec<_>>()
    };
    let mut list: Vec<Effect> = acts.iter().flat_map(of).collect();
    list.sort_unstable();
    list.dedup();
    list
}

/// A device that a rule may switch.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Runs {
    /// A fan of the house file, by index.
    Fan(usize),
    /// An exhaust fan, a hood or a dryer that a plan adds.
    Exhaust,
    /// A supply fan that a plan adds.
    Supply,
    /// Balanced ventilation.
    Balanced,
    /// The air handler.
    Handler,
    /// A damper, a door or a window.
    Opening,
    /// Anything that moves no air through the house: cleaner, dehumidifier, humidifier, heating,
    /// cooling, light, alarm.
    Nothing,
}

/// The effect of a rule that runs a device longer (`more`) or less than the house and plan have it.
///
/// A rule that may do both is asked for both. A device that cannot be told counts as felt.
pub fn rule_effect(runs: Runs, more: bool, house: &House) -> Option<Effect> {
    match runs {
        Runs::Fan(index) => match house.fans.get(index) {
            Some(fan) => of_fan(fan, more),
            None => Some(Effect::AddsExhaust),
        },
        Runs::Exhaust => more.then_some(Effect::AddsExhaust),
        Runs::Supply => (!more).then_some(Effect::Encloses),
        Runs::Balanced => Some(Effect::AddsExhaust),
        Runs::Handler => Some(Effect::ChangesDuctBalance),
        Runs::Opening => Some(Effect::ChangesDoorsOrReturns),
        Runs::Nothing => None,
    }
}

/// A fan of the house file that moves more air, or less.
fn of_fan(fan: &Fan, more: bool) -> Option<Effect> {
    match fan.between {
        [Place::Zone(_), Place::Outdoors(_)] => more.then_some(Effect::AddsExhaust),
        [Place::Outdoors(_), Place::Zone(_)] => (!more).then_some(Effect::Encloses),
        // From one zone into another: it draws on one of them.
        _ => Some(Effect::ChangesDoorsOrReturns),
    }
}

/// Whether surfaces bound a zone that is lived in or holds an appliance.
fn is_shell(which: &SurfaceOf, house: &House) -> bool {
    let indoors = |name: &str| {
        let zone = house.zone(name).map(|z| house.zones[z].kind);
        zone.is_some_and(|k| k.is_indoors() || k == ZoneKind::Basement)
            || house.appliances.iter().any(|a| house.zones[a.zone].name == name)
    };
    match which {
        SurfaceOf::Between(ends) => ends.iter().any(|e| indoors(&e.value)),
        SurfaceOf::Label(label) => {
            let named = house.text.surfaces.iter().filter(|s| s.label.as_deref() == Some(&label.value));
            named.flat_map(|s| &s.between).any(|e| indoors(&e.value))
        }
    }
}
