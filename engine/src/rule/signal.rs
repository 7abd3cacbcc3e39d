//! What rules may read and set: names, quantities and physical ranges.

use crate::doc::house::House;
use crate::doc::plans::{Change, Plan};
use crate::units::Quantity as Q;

/// What a signal is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// True or false; 1 or 0 in its slot.
    Flag,
    /// A number in SI units.
    Measure(Q),
}

/// One signal.
#[derive(Clone, Debug, PartialEq)]
pub struct Signal {
    /// As in a condition, `bedroom.co2`.
    pub name: String,
    /// What it is.
    pub kind: Kind,
    /// Lowest value that can be, SI.
    pub low: f64,
    /// Highest value that can be, SI.
    pub high: f64,
    /// A usual value in a house where nothing is the matter, SI.
    pub usual: f64,
}

/// What kind of device.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "snake_case")]
pub enum DeviceKind {
    /// A fan that blows out or within.
    Fan,
    /// A hood over the cooktop.
    Hood,
    /// A fan, or a pair of them, that brings outdoor air.
    Ventilator,
    /// The blower of the air handler.
    Handler,
    /// A damper.
    Damper,
    /// A dehumidifier.
    Dehumidifier,
}

/// Something that rules may set.
#[derive(Clone, Debug, PartialEq)]
pub struct Device {
    /// As rules name it.
    pub name: String,
    /// The name people read.
    pub label: String,
    /// What it is.
    pub kind: DeviceKind,
    /// Whether people depend on it: no rule may set it.
    pub safety_exhaust: bool,
    /// Outdoor air that it brings or draws at full, m3/s; zero where that is not told.
    pub flow_m3_s: f64,
    /// Whether it draws air out of the house or moves it about, so that a flue could feel it.
    pub draws: bool,
}

/// Everything that rules of one house may name.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Signals {
    /// Signals, by slot.
    pub list: Vec<Signal>,
    /// Devices.
    pub devices: Vec<Device>,
}

/// Quantity, lowest, highest and usual value of a room's signals.
const ROOM: [(&str, Q, f64, f64, f64); 8] = [
    ("temp", Q::Temperature, 233.15, 333.15, 294.15),
    ("rh", Q::Fraction, 0.0, 1.0, 0.45),
    ("dew_point", Q::Temperature, 213.15, 313.15, 282.15),
    ("humidity_ratio", Q::HumidityRatio, 0.0, 0.06, 0.007),
    ("humidity_rise", Q::HumidityRatio, -0.03, 0.05, 0.0),
    ("co2", Q::GasFraction, 300e-6, 20_000e-6, 600e-6),
    ("pm25", Q::ParticleConcentration, 0.0, 5000e-9, 6e-9),
    ("people", Q::Number, 0.0, 50.0, 0.0),
];

const OUTDOOR: [(&str, Q, f64, f64, f64); 7] = [
    ("temp", Q::Temperature, 203.15, 333.15, 285.15),
    ("rh", Q::Fraction, 0.0, 1.0, 0.6),
    ("dew_point", Q::Temperature, 193.15, 309.15, 277.15),
    ("humidity_ratio", Q::HumidityRatio, 0.0, 0.04, 0.005),
    ("pm25", Q::ParticleConcentration, 0.0, 5000e-9, 8e-9),
    ("co2", Q::GasFraction, 300e-6, 2000e-6, 420e-6),
    ("wind", Q::Speed, 0.0, 60.0, 3.0),
];

const TIME: [(&str, f64, f64, f64); 3] =
    [("hour", 0.0, 24.0, 12.0), ("weekday", 1.0, 7.0, 3.0), ("month", 1.0, 12.0, 4.0)];

const DEVICE: [(&str, Q, f64, f64, f64); 5] = [
    ("flow", Q::AirFlow, 0.0, 5.0, 0.0),
    ("pressure", Q::Pressure, -500.0, 500.0, 0.0),
    ("filter_drop", Q::StaticPressure, 0.0, 500.0, 30.0),
    ("power", Q::Power, 0.0, 10_000.0, 0.0),
    ("run_share", Q::Fraction, 0.0, 1.0, 0.0),
];

/// Longest exposure that can be owed, s: the range that the analysis of conditions knows.
const YEAR_S: f64 = 365.0 * 86_400.0;

const WHOLE: [(&str, Q, f64, f64, f64); 9] = [
    ("relative_exposure", Q::Number, 0.0, 100.0, 1.0),
    ("debt", Q::Time, 0.0, YEAR_S, 0.0),
    ("outdoor_air", Q::AirFlow, 0.0, 10.0, 0.02),
    ("mean_age", Q::Time, 0.0, 30.0 * 86_400.0, 10_000.0),
    ("pressure", Q::Pressure, -200.0, 200.0, 0.0),
    ("lowest_co2", Q::GasFraction, 300e-6, 20_000e-6, 500e-6),
    ("lowest_pm25", Q::ParticleConcentration, 0.0, 5000e-9, 4e-9),
    ("temp", Q::Temperature, 233.15, 333.15, 294.15),
    ("humidity_ratio", Q::HumidityRatio, 0.0, 0.06, 0.007),
];

/// A name as a condition can spell it: letters, digits and underscores.
pub fn spelled(name: &str) -> String {
    let plain = |c: char| if c.is_ascii_alphanumeric() || c == '_' { c } else { '_' };
    let mut out: String = name.chars().map(plain).collect();
    if out.starts_with(|c: char| c.is_ascii_digit()) {
        out.insert(0, '_');
    }
    out
}

impl Signals {
    fn measure(&mut self, of: &str, (name, q, low, high, usual): (&str, Q, f64, f64, f64)) {
        let name = format!("{of}.{name}");
        self.list.push(Signal { name, kind: Kind::Measure(q), low, high, usual });
    }

    fn flag(&mut self, of: &str, name: &str) {
        let name = format!("{of}.{name}");
        self.list.push(Signal { name, kind: Kind::Flag, low: 0.0, high: 1.0, usual: 0.0 });
    }

    /// The signals and devices of a house; plans may add a ventilator and a dehumidifier.
    pub fn of_house(house: &House, plans: &[Plan]) -> Signals {
        let mut out = Signals::default();
        for zone in &house.zones {
            let name = spelled(&zone.name.value);
            ROOM.iter().for_each(|s| out.measure(&name, *s));
        }
        OUTDOOR.iter().for_each(|s| out.measure("outdoor", *s));
        out.flag("outdoor", "smoke");
        for (name, low, high, usual) in TIME {
            out.measure("time", (name, Q::Number, low, high, usual));
        }
        WHOLE.iter().for_each(|s| out.measure("house", *s));
        out.flag("house", "windows_open");
        out.flag("cooktop", "on");
        out.measure("cooktop", ("temp_rise", Q::TemperatureDifference, -50.0, 300.0, 0.0));
        out.flag("cooktop", "presence");
        out.devices = devices(house, plans);
        for at in 0..out.devices.len() {
            let name = spelled(&out.devices[at].name);
            out.flag(&name, "on");
            DEVICE.iter().for_each(|s| out.measure(&name, *s));
            if out.devices[at].kind == DeviceKind::Handler {
                out.measure(&name, ("coil_water", Q::Mass, 0.0, 5.0, 0.0));
                out.measure(&name, ("mixing_power", Q::Power, 0.0, 20_000.0, 300.0));
                out.measure(&name, ("leak_air", Q::AirFlow, 0.0, 1.0, 0.0));
            }
        }
        // A room and a device of one name share what both have; the room's comes first.
        let mut seen = std::collections::BTreeSet::new();
        out.list.retain(|s| seen.insert(s.name.clone()));
        out
    }

    /// The slot of a signal.
    pub fn slot(&self, name: &str) -> Option<usize> {
        self.list.iter().position(|s| s.name == name)
    }

    /// A device by its name in the documents.
    pub fn device(&self, name: &str) -> Option<usize> {
        self.devices.iter().position(|d| d.name == name)
    }

    /// Usual values, one a slot: what stands there where nobody measures.
    pub fn usual(&self) -> Vec<f64> {
        self.list.iter().map(|s| s.usual).collect()
    }
}

fn devices(house: &House, plans: &[Plan]) -> Vec<Device> {
    let mut out: Vec<Device> = house
        .fans
        .iter()
        .map(|f| {
            let outwards = f.to.value == "outdoors";
            let kind = match () {
                () if f.from.value == "outdoors" => DeviceKind::Ventilator,
                () if outwards && f.capture > 0.0 => DeviceKind::Hood,
                () => DeviceKind::Fan,
            };
            let outdoor = outwards || kind == DeviceKind::Ventilator;
            Device {
                name: f.name.value.clone(),
                label: f.label.clone(),
                kind,
                safety_exhaust: f.safety_exhaust,
                flow_m3_s: f.flow_m3_s.filter(|_| outdoor).map_or(0.0, |(lo, hi)| 0.5 * (lo + hi)),
                draws: kind != DeviceKind::Ventilator,
            }
        })
        .collect();
    let other = |name: &str, kind, flow_m3_s| Device {
        name: name.to_owned(),
        label: name.replace('_', " "),
        kind,
        safety_exhaust: false,
        flow_m3_s,
        draws: matches!(kind, DeviceKind::Handler | DeviceKind::Damper | DeviceKind::Ventilator),
    };
    let damper = |d: &crate::doc::house::Damper| Device {
        label: d.label.clone(),
        ..other(&d.name.value, DeviceKind::Damper, 0.0)
    };
    out.extend(house.dampers.iter().map(damper));
    if house.air_handler.is_some() {
        out.push(other("air_handler", DeviceKind::Handler, 0.0));
    }
    let changes = || plans.iter().flat_map(|p| &p.changes).map(|c| &c.value);
    let dries = changes().any(|c| matches!(c, Change::Dehumidify(_)));
    if house.dehumidifier.is_some() || dries {
        out.push(other("dehumidifier", DeviceKind::Dehumidifier, 0.0));
    }
    let flow = changes().find_map(|c| match c {
        Change::Balanced { flow_m3_s, .. } | Change::Supply { flow_m3_s, .. } => Some(*flow_m3_s),
        _ => None,
    });
    if let Some(flow_m3_s) = flow.filter(|_| out.iter().all(|d| d.name != "ventilator")) {
        out.push(other("ventilator", DeviceKind::Ventilator, flow_m3_s));
    }
    out
}
