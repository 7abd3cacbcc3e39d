//! `kind = "recovery balance"`: balance and recovery of a unit that supplies and exhausts.

use super::fan_flow::FLOWS;
use crate::doc::Sp;
use crate::doc::read::Tab;
use crate::units::Quantity as Q;

/// A flow: typed, or of another test.
#[derive(Clone, Debug, PartialEq)]
pub struct Flow {
    /// Typed, m3/s.
    pub value: Option<Sp<f64>>,
    /// What measured it.
    pub with: Option<Sp<String>>,
    /// The test that measured it.
    pub from: Option<Sp<String>>,
}

impl Flow {
    /// Reads the flow under three keys; one of value and test has to be there.
    pub(super) fn read(t: &Tab<'_, '_>, value: &'static str, with: &'static str, from: &'static str) -> Flow {
        let flow =
            Flow { value: t.bounded(value, Q::AirFlow, FLOWS), with: t.text(with), from: t.text(from) };
        if flow.value.is_none() && flow.from.is_none() {
            t.need::<()>(value, None);
        }
        flow
    }
}

/// Air in one of the four ducts: K and share.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stream {
    /// Temperature, K.
    pub temp_k: Option<f64>,
    /// Relative humidity.
    pub rh_frac: Option<f64>,
}

/// A tracer at three of the ducts.
#[derive(Clone, Debug, PartialEq)]
pub struct Tracer {
    /// Outdoors, volume fraction.
    pub outdoor: f64,
    /// To the rooms.
    pub supply: f64,
    /// From the rooms.
    pub extract: f64,
    /// What read it.
    pub with: Option<Sp<String>>,
}

/// The document.
#[derive(Clone, Debug, PartialEq)]
pub struct Recovery {
    /// To the rooms.
    pub supply: Flow,
    /// From the rooms.
    pub exhaust: Flow,
    /// Fan or register of `house.toml` that the supply is.
    pub supply_of: Option<Sp<String>>,
    /// The same of the exhaust.
    pub exhaust_of: Option<Sp<String>>,
    /// Outdoor air before the core.
    pub outdoor: Stream,
    /// After the core, to the rooms.
    pub supplied: Stream,
    /// From the rooms, before the core.
    pub extract: Stream,
    /// After the core, to outdoors.
    pub exhausted: Stream,
    /// What read the temperatures.
    pub temperature_with: Option<Sp<String>>,
    /// What read the humidities.
    pub humidity_with: Option<Sp<String>>,
    /// Electric power of the fan in the supply, W.
    pub supply_fan_w: Option<f64>,
    /// Of the fan in the exhaust, W.
    pub exhaust_fan_w: Option<f64>,
    /// Tracer.
    pub tracer: Option<Tracer>,
    /// The user's own limit of the imbalance.
    pub limit: Option<super::fan_flow::OwnLimit>,
}

fn stream(t: &Tab<'_, '_>, temperature: &'static str, humidity: &'static str) -> Stream {
    Stream {
        temp_k: t.bounded(temperature, Q::Temperature, 213.15..=343.15).map(|k| k.value),
        rh_frac: t.bounded(humidity, Q::Fraction, 0.0..=1.0).map(|r| r.value),
    }
}

/// Reads it.
pub(super) fn read(t: &Tab<'_, '_>) -> Option<Recovery> {
    let watts = |key| t.bounded(key, Q::Power, 0.0..=5000.0).map(|w| w.value);
    Some(Recovery {
        supply: Flow::read(t, "supply", "supply_with", "supply_from"),
        exhaust: Flow::read(t, "exhaust", "exhaust_with", "exhaust_from"),
        supply_of: t.text("supply_of"),
        exhaust_of: t.text("exhaust_of"),
        outdoor: stream(t, "outdoor", "outdoor_rh"),
        supplied: stream(t, "supplied", "supplied_rh"),
        extract: stream(t, "extract", "extract_rh"),
        exhausted: stream(t, "exhausted", "exhausted_rh"),
        temperature_with: t.text("temperature_with"),
        humidity_with: t.text("humidity_with"),
        supply_fan_w: watts("supply_fan_power"),
        exhaust_fan_w: watts("exhaust_fan_power"),
        tracer: t.table("tracer").and_then(|x| tracer(&x)),
        limit: super::fan_flow::own_limit(t, Q::Fraction, 0.001..=1.0),
    })
}

fn tracer(t: &Tab<'_, '_>) -> Option<Tracer> {
    let at = |key| t.need(key, t.bounded(key, Q::GasFraction, 0.0..=0.1)).map(|c| c.value);
    let (outdoor, supply, extract) = (at("outdoor"), at("supply"), at("extract"));
    let with = t.text("with");
    Some(Tracer { outdoor: outdoor?, supply: supply?, extract: extract?, with })
}
