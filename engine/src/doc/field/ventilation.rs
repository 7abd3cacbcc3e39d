//! `kind = "ventilation rate"`: outdoor air of the whole dwelling by a rule, and what the fans give.

use super::recovery::Flow;
use crate::doc::Sp;
use crate::doc::house::clock_hours;
use crate::doc::read::Tab;
use crate::procedure::ventilation::rates::{LOCAL_ROOMS, LocalRoom, PROFILES, Profile, RUNS, Runs};
use crate::procedure::ventilation::{COMBINATIONS, Combination, Schedule, WAYS, Way};
use crate::units::Quantity as Q;

/// A fan that counts for the whole house.
#[derive(Clone, Debug, PartialEq)]
pub struct Fan {
    /// Its name.
    pub name: String,
    /// Its flow.
    pub flow: Flow,
    /// Which way it moves air; nothing where a test of it tells.
    pub way: Option<Way>,
    /// When it runs.
    pub schedule: Schedule,
}

/// A room with an exhaust, or without one.
#[derive(Clone, Debug, PartialEq)]
pub struct Room {
    /// Its name.
    pub name: String,
    /// What it is.
    pub room: LocalRoom,
    /// Flow of its exhaust; nothing where there is none.
    pub flow: Option<Flow>,
    /// When it runs.
    pub runs: Runs,
    /// Volume of an enclosed kitchen, m3.
    pub volume_m3: Option<f64>,
    /// Whether it has a window that opens.
    pub window: bool,
}

/// The document.
#[derive(Clone, Debug, PartialEq)]
pub struct Ventilation {
    /// The rule.
    pub rule: Sp<&'static Profile>,
    /// Whether the house stood before.
    pub existing: bool,
    /// Floor area, m2, where it is not the job's.
    pub floor_area_m2: Option<f64>,
    /// Volume, m3, where it is not the job's.
    pub volume_m3: Option<f64>,
    /// Bedrooms, where they are not the job's.
    pub bedrooms: Option<usize>,
    /// People, where there are more than bedrooms and one.
    pub people: Option<usize>,
    /// The user's own rate, m3/s.
    pub own_rate_m3_s: Option<f64>,
    /// Where it stands.
    pub own_rate_source: Option<String>,
    /// Whether he has read it there.
    pub own_rate_confirmed: bool,
    /// Weather and shielding factor, where it is not the place's.
    pub weather_factor: Option<f64>,
    /// Whether the user has read it in the standard's own table.
    pub weather_factor_confirmed: bool,
    /// Storeys above ground, where the job has no height.
    pub storeys: Option<f64>,
    /// A test of infiltration to take it from.
    pub infiltration_from: Option<Sp<String>>,
    /// Share of the envelope that faces outdoors.
    pub exterior_share: f64,
    /// What an openable window takes off a shortfall, m3/s.
    pub window_m3_s: f64,
    /// How infiltration adds to the fans.
    pub combination: Combination,
    /// Fans.
    pub fans: Vec<Fan>,
    /// Rooms.
    pub rooms: Vec<Room>,
}

/// Reads it.
pub(super) fn read(t: &Tab<'_, '_>) -> Option<Ventilation> {
    let rules: Vec<(&'static str, &'static Profile)> = PROFILES.iter().map(|p| (p.id, p)).collect();
    let rule = t.need("rule", t.choice("rule", &rules));
    let dwelling = t.need("dwelling", t.choice("dwelling", &[("existing", true), ("new", false)]));
    let found = Ventilation {
        existing: dwelling.as_ref().is_none_or(|d| d.value),
        floor_area_m2: t.bounded("floor_area", Q::Area, 1.0..=1e5).map(|a| a.value),
        volume_m3: t.bounded("volume", Q::Volume, 1.0..=1e6).map(|v| v.value),
        bedrooms: t.count("bedrooms").map(|b| b.value),
        people: t.count("people").map(|p| p.value),
        own_rate_m3_s: t.bounded("own_rate", Q::AirFlow, super::fan_flow::FLOWS).map(|r| r.value),
        own_rate_source: t.text("own_rate_source").map(|s| s.value),
        own_rate_confirmed: t.flag("own_rate_confirmed").unwrap_or(false),
        weather_factor: t.bounded("weather_factor", Q::Number, 0.05..=3.0).map(|f| f.value),
        weather_factor_confirmed: t.flag("weather_factor_confirmed").unwrap_or(false),
        storeys: t.bounded("storeys", Q::Number, 1.0..=5.0).map(|s| s.value),
        infiltration_from: t.text("infiltration_from"),
        exterior_share: t.bounded("exterior_share", Q::Fraction, 0.0..=1.0).map_or(1.0, |s| s.value),
        window_m3_s: t.bounded("window_credit", Q::AirFlow, 0.0..=0.1).map_or(0.0, |w| w.value),
        combination: t.choice("combination", COMBINATIONS).map(|c| c.value).unwrap_or_default(),
        fans: t.list("fan").iter().filter_map(fan).collect(),
        rooms: t.list("room").iter().filter_map(room).collect(),
        rule: rule?,
    };
    dwelling.map(|_| found)
}

fn fan(t: &Tab<'_, '_>) -> Option<Fan> {
    let name = t.text("name").map(|n| n.value);
    let flow = Flow::read(t, "flow", "with", "flow_from");
    let way = t.choice("way", WAYS).map(|w| w.value);
    let hours: Vec<(f64, f64)> = t.text_or_texts("hours").iter().filter_map(|h| clock_hours(t, h)).collect();
    let on = t.bounded("on", Q::Time, 60.0..=86400.0);
    let every = t.bounded("every", Q::Time, 120.0..=86400.0);
    let schedule = match (on, every) {
        (Some(on), Some(every)) if on.value < every.value => {
            Schedule::Cycle { on_s: on.value, every_s: every.value }
        }
        (Some(on), Some(every)) => {
            t.say(
                crate::diag::Diagnostic::error(crate::diag::code::X122)
                    .at(on.span)
                    .arg("on", (on.value, Q::Time))
                    .arg("every", (every.value, Q::Time)),
            );
            return None;
        }
        (Some(_), None) => {
            t.need::<()>("every", None);
            return None;
        }
        (None, Some(_)) => {
            t.need::<()>("on", None);
            return None;
        }
        _ if !hours.is_empty() => Schedule::Hours(hours),
        _ => Schedule::Always,
    };
    let from = flow.from.as_ref().map(|f| f.value.clone());
    let known = flow.value.is_some() || from.is_some();
    let name = name.or(from).unwrap_or_else(|| "fan".to_owned());
    known.then_some(Fan { name, flow, way, schedule })
}

fn room(t: &Tab<'_, '_>) -> Option<Room> {
    let name = t.need("name", t.text("name"));
    let room = t.need("room", t.choice("room", LOCAL_ROOMS));
    let has = t.has("flow") || t.has("flow_from");
    let flow = has.then(|| Flow::read(t, "flow", "with", "flow_from"));
    if !has {
        t.text("with");
    }
    let runs = t.choice("runs", RUNS).map_or(Runs::OnDemand, |r| r.value);
    let volume_m3 = t.bounded("volume", Q::Volume, 1.0..=2000.0).map(|v| v.value);
    let window = t.flag("window").unwrap_or(false);
    Some(Room { name: name?.value, room: room?.value, flow, runs, volume_m3, window })
}
