//! `kind = "combustion zone"`: the zone of a fuel-burning appliance under the greatest depressurisation,
//! and what its appliances do there.

use super::fan_pressures::{baseline, pressures};
use super::zone_pressures::{PRESSURES_PA, UserLimit};
use crate::doc::Sp;
use crate::doc::read::Tab;
use crate::doc::visit::{FlueCo, Spillage, flue_co, spillage};
use crate::units::Quantity as Q;
use serde::Serialize;

/// Whose protocol.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ProtocolId {
    /// ANSI/BPI-1200.
    Bpi1200,
    /// The appendix of the fuel gas code and of the residential code.
    FuelGasCodeAppendix,
    /// Standard Work Specifications 2.0105.1.
    Sws,
    /// The user's own.
    Own,
}

/// The words of documents.
pub const PROTOCOL_IDS: &[(&str, ProtocolId)] = &[
    ("bpi-1200", ProtocolId::Bpi1200),
    ("fuel gas code appendix", ProtocolId::FuelGasCodeAppendix),
    ("sws-2.0105.1", ProtocolId::Sws),
    ("own", ProtocolId::Own),
];

/// What kind of appliance, for its limit of flue CO.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum ApplianceType {
    /// Furnace: central, floor, gravity.
    Furnace,
    /// Boiler.
    Boiler,
    /// Water heater.
    WaterHeater,
    /// Room heater or vented wall furnace.
    RoomHeater,
    /// Clothes dryer.
    Dryer,
    /// Gas log in its own firebox.
    GasLog,
    /// Gas refrigerator.
    Refrigerator,
}

/// The words of documents.
pub const APPLIANCE_TYPES: &[(&str, ApplianceType)] = &[
    ("furnace", ApplianceType::Furnace),
    ("boiler", ApplianceType::Boiler),
    ("water heater", ApplianceType::WaterHeater),
    ("room heater", ApplianceType::RoomHeater),
    ("dryer", ApplianceType::Dryer),
    ("gas log", ApplianceType::GasLog),
    ("refrigerator", ApplianceType::Refrigerator),
];

/// When in the course of the work.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Stage {
    /// Before any work.
    #[default]
    AsFound,
    /// At the end of a day on which something was changed.
    EndOfDay,
    /// After the work.
    TestOut,
}

const STAGES: &[(&str, Stage)] =
    &[("as found", Stage::AsFound), ("end of day", Stage::EndOfDay), ("test-out", Stage::TestOut)];

/// The document.
#[derive(Clone, Debug, PartialEq)]
pub struct CombustionZone {
    /// When in the course of the work.
    pub stage: Stage,
    /// The zone: a name of `house.toml`, or any words.
    pub zone: Option<Sp<String>>,
    /// Whose protocol.
    pub protocol: Option<Sp<ProtocolId>>,
    /// What the user's own protocol is called.
    pub protocol_name: Option<String>,
    /// Whether the user has found it to be the one in force.
    pub protocol_confirmed: bool,
    /// Own levels of CO in the room: tell, stop, leave.
    pub levels: [Option<Sp<f64>>; 3],
    /// Own level of gas at which everybody leaves, as a share of the lower explosive limit.
    pub gas_leave: Option<Sp<f64>>,
    /// The pressure gauge.
    pub pressure_with: Option<Sp<String>>,
    /// The CO meter of the room.
    pub gas_with: Option<Sp<String>>,
    /// The combustion meter.
    pub flue_with: Option<Sp<String>>,
    /// Exhausts that `house.toml` does not name.
    pub exhausts: Vec<Sp<String>>,
    /// An air handler that `house.toml` does not name.
    pub handler: bool,
    /// Inside doors that `house.toml` does not name.
    pub doors: Vec<Sp<String>>,
    /// Doors of the zone that `house.toml` does not name.
    pub zone_doors: Vec<Sp<String>>,
    /// All off and open, before, Pa.
    pub baseline_before: Vec<f64>,
    /// The same after, Pa.
    pub baseline_after: Vec<f64>,
    /// How far single readings wandered, Pa.
    pub wandered_pa: f64,
    /// The lowest net pressure, Pa: screening.
    pub limit: UserLimit,
    /// States tried.
    pub states: Vec<State>,
    /// Spillage.
    pub spillage: Vec<SpillageTest>,
    /// CO in undiluted flue gas.
    pub flue_co: Vec<FlueTest>,
    /// CO at ovens.
    pub oven: Vec<FlueTest>,
    /// Draft.
    pub draft: Vec<Draft>,
    /// CO in the room.
    pub ambient: Vec<Ambient>,
    /// Looks for gas.
    pub gas: Vec<GasLook>,
    /// A result stands here that could not be read.
    pub unreadable: bool,
    /// Where the table stands.
    pub span: crate::diag::Span,
}

/// A state tried: what is not named is off and open.
#[derive(Clone, Debug, PartialEq)]
pub struct State {
    /// Its name.
    pub name: Option<String>,
    /// All exhausts run.
    pub exhausts: bool,
    /// The air handler runs.
    pub handler: bool,
    /// All room doors are shut.
    pub doors: bool,
    /// The zone's doors are shut.
    pub zone_doors: bool,
    /// One by one, after the words above.
    pub set: Vec<(Sp<String>, Sp<String>)>,
    /// Zone less outdoors, Pa.
    pub shown_pa: Vec<f64>,
    /// Where the table stands.
    pub span: crate::diag::Span,
}

/// State of the house during a spillage test.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Condition {
    /// The greatest depressurisation that was found.
    Greatest,
    /// Fans off, doors open.
    Natural,
}

/// A spillage test.
#[derive(Clone, Debug, PartialEq)]
pub struct SpillageTest {
    /// As the gate takes it.
    pub record: Spillage,
    /// State of the house.
    pub condition: Option<Condition>,
    /// True where the vent was warm at the start.
    pub warm: bool,
}

/// CO in undiluted gas.
#[derive(Clone, Debug, PartialEq)]
pub struct FlueTest {
    /// As the gate takes it.
    pub record: FlueCo,
    /// Whether a basis of the limit was typed.
    pub limit_basis_typed: bool,
    /// Oxygen of the same gas, volume fraction.
    pub oxygen: Option<f64>,
    /// Burner time before it was read, s.
    pub after_s: Option<f64>,
    /// Kind of appliance.
    pub kind: Option<ApplianceType>,
}

/// Draft in a vent.
#[derive(Clone, Debug, PartialEq)]
pub struct Draft {
    /// Which appliance.
    pub appliance: Sp<String>,
    /// Vent less zone, Pa.
    pub value_pa: f64,
    /// Weakest draft allowed, Pa.
    pub limit: UserLimit,
}

/// CO in the room, in the order read.
#[derive(Clone, Debug, PartialEq)]
pub struct Ambient {
    /// Where.
    pub place: String,
    /// Samples, volume fraction.
    pub values: Vec<f64>,
    /// A series beside the visit instead, and its column.
    pub series: Option<(Sp<String>, Sp<String>)>,
}

/// A look for gas at one place.
#[derive(Clone, Debug, PartialEq)]
pub struct GasLook {
    /// Where.
    pub place: String,
    /// A leak was found.
    pub leak: bool,
    /// Gas in the air as a share of the lower explosive limit.
    pub lel: Option<f64>,
}

fn state(t: &Tab<'_, '_>) -> Option<State> {
    let on = |key| t.choice(key, &[("on", true), ("off", false)]).is_some_and(|c| c.value);
    let shut = |key| t.choice(key, &[("shut", true), ("open", false)]).is_some_and(|c| c.value);
    let name = t.text("name").map(|n| n.value);
    let (exhausts, handler) = (on("exhausts"), on("handler"));
    let (doors, zone_doors) = (shut("doors"), shut("zone_doors"));
    let set = t.pairs("set");
    let shown_pa = pressures(t, "pressure", "pressures");
    if shown_pa.is_empty() && !t.has("pressures") {
        t.need::<()>("pressure", None);
    }
    (!shown_pa.is_empty()).then(|| State {
        name,
        exhausts,
        handler,
        doors,
        zone_doors,
        set,
        shown_pa,
        span: t.span(),
    })
}

fn spilled(t: &Tab<'_, '_>) -> Option<SpillageTest> {
    let conditions = [("greatest depressurisation", Condition::Greatest), ("natural", Condition::Natural)];
    let condition = t.choice("house", &conditions).map(|c| c.value);
    let vent = t.choice("vent", &[("warm", true), ("cold", false)]);
    Some(SpillageTest { record: spillage(t)?, condition, warm: vent.is_some_and(|v| v.value) })
}

fn flue(t: &Tab<'_, '_>) -> Option<FlueTest> {
    let oxygen = t.bounded("oxygen", Q::Fraction, 0.0..=0.21).map(|o| o.value);
    let after = t.bounded("after", Q::Time, 0.0..=7200.0).map(|a| a.value);
    let kind = t.choice("appliance_type", APPLIANCE_TYPES).map(|k| k.value);
    let limit_basis_typed = t.has("limit_basis");
    Some(FlueTest { record: flue_co(t)?, limit_basis_typed, oxygen, after_s: after, kind })
}

fn draft(t: &Tab<'_, '_>) -> Option<Draft> {
    let appliance = t.need("appliance", t.text("appliance"));
    let value = t.need("value", t.bounded("value", Q::Pressure, PRESSURES_PA));
    let limit = UserLimit::read(t, Q::Pressure, PRESSURES_PA);
    Some(Draft { appliance: appliance?, value_pa: value?.value, limit })
}

fn ambient(t: &Tab<'_, '_>) -> Option<Ambient> {
    let place = t.text("place").map_or_else(String::new, |p| p.value);
    let values = t.quantities("values", Q::GasFraction);
    let (series, column) = (t.text("series"), t.text("column"));
    let series = match series {
        Some(series) => t.need("column", column).map(|c| (series, c)),
        None => None,
    };
    if values.is_none() && series.is_none() {
        t.need::<()>("values", None);
    }
    let span = t.span_of("values");
    let typed = values.map(|v| v.value).unwrap_or_default();
    let count = typed.len();
    let values: Vec<f64> = (typed.into_iter())
        .filter(|v| t.within("values", &Sp { value: *v, span: span.clone() }, Q::GasFraction, 0.0..=0.1))
        .collect();
    let whole = values.len() == count && (count > 0 || series.is_some());
    whole.then_some(Ambient { place, values, series })
}

fn gas(t: &Tab<'_, '_>) -> Option<GasLook> {
    let place = t.text("place").map_or_else(String::new, |p| p.value);
    let found = t.need("found", t.choice("found", &[("leak", true), ("no leak", false)]));
    let lel = t.bounded("lel", Q::Fraction, 0.0..=1.0).map(|l| l.value);
    Some(GasLook { place, leak: found?.value, lel })
}

/// Reads it.
pub(super) fn read(t: &Tab<'_, '_>) -> Option<CombustionZone> {
    let zone = t.text("zone");
    let stage = t.choice("stage", STAGES).map_or(Stage::AsFound, |s| s.value);
    let protocol = t.choice("protocol", PROTOCOL_IDS);
    let protocol_name = t.text("protocol_name").map(|n| n.value);
    let protocol_confirmed = t.flag("protocol_confirmed").unwrap_or(false);
    let own = t.table("levels");
    let level = |key| own.as_ref().and_then(|o| o.bounded(key, Q::GasFraction, 1e-7..=0.01));
    let levels = [level("tell"), level("stop"), level("leave")];
    let gas_leave = own.as_ref().and_then(|o| o.bounded("lel", Q::Fraction, 0.001..=1.0));
    let (pressure_with, gas_with) = (t.text("pressure_with"), t.text("gas_with"));
    let flue_with = t.text("flue_with");
    let (exhausts, doors) = (t.text_or_texts("exhausts"), t.text_or_texts("doors"));
    let zone_doors = t.text_or_texts("zone_doors");
    let handler = t.flag("handler").unwrap_or(false);
    let (before, after) = (baseline(t, "baseline_before"), baseline(t, "baseline_after"));
    let wandered = t.bounded("wandered", Q::Pressure, 0.0..=20.0).map_or(0.0, |w| w.value);
    let limit = UserLimit::read(t, Q::Pressure, PRESSURES_PA);
    let states = t.list("state").iter().filter_map(state).collect();
    let mut unreadable = false;
    let mut whole = |found: usize, read: usize| unreadable |= read < found;
    let list = t.list("spillage");
    let spillage: Vec<SpillageTest> = list.iter().filter_map(spilled).collect();
    whole(list.len(), spillage.len());
    let list = t.list("flue_co");
    let flue_co: Vec<FlueTest> = list.iter().filter_map(flue).collect();
    whole(list.len(), flue_co.len());
    let list = t.list("oven");
    let oven: Vec<FlueTest> = list.iter().filter_map(flue).collect();
    whole(list.len(), oven.len());
    let list = t.list("ambient");
    let ambient: Vec<Ambient> = list.iter().filter_map(ambient).collect();
    whole(list.len(), ambient.len());
    let list = t.list("gas");
    let gas: Vec<GasLook> = list.iter().filter_map(gas).collect();
    whole(list.len(), gas.len());
    // A key of results that is there and gives none is a result that could not be read.
    let counts = [
        ("spillage", spillage.len()),
        ("flue_co", flue_co.len()),
        ("oven", oven.len()),
        ("ambient", ambient.len()),
        ("gas", gas.len()),
    ];
    unreadable |= counts.iter().any(|(key, n)| *n == 0 && t.has(key));
    Some(CombustionZone {
        stage,
        zone,
        protocol,
        protocol_name,
        protocol_confirmed,
        levels,
        gas_leave,
        pressure_with,
        gas_with,
        flue_with,
        exhausts,
        handler,
        doors,
        zone_doors,
        baseline_before: before,
        baseline_after: after,
        wandered_pa: wandered,
        limit,
        states,
        spillage,
        flue_co,
        oven,
        draft: t.list("draft").iter().filter_map(draft).collect(),
        ambient,
        gas,
        unreadable,
        span: t.span(),
    })
}
