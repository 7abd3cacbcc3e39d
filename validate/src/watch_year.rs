//! How often a quiet house is told of, and how soon each fault is: the measured part of `docs/WATCH.md`.

use crate::watch_house::{Fault, House, NEW_YEAR_MS, Walk};
use engine::watch::{Alert, Event, HOUR_MS, Kind, What};
use std::fmt::Write;

/// Faults with a name, the day they begin and the days that are looked at.
pub const FAULTS: [(&str, Fault, i64); 14] = [
    ("ventilator moves no air", Fault::VentilatorStopped, 4),
    ("ventilator's flow a quarter less", Fault::FlowFalls(0.25), 4),
    ("bath fan does not turn off", Fault::BathFanRuns, 10),
    ("bedroom window open by 0.25 m", Fault::Window(0.25), 4),
    ("bedroom door shut by day", Fault::DoorShut, 14),
    ("30 % of the supply into the attic", Fault::Duct(0.3), 14),
    ("three more people, day and night", Fault::People(3.0), 4),
    ("CO2 sensor reads 200 ppm more", Fault::Sensor(200e-6), 10),
    ("CO2 sensor gains 60 ppm a week", Fault::SensorAWeek(60e-6), 35),
    ("smoke outside, 60 ug/m3 more", Fault::Smoke(60e-9), 4),
    ("heating gives nothing", Fault::NoHeat, 4),
    ("a new handler's filter adds 2 % a day", Fault::Filter(0.02), 60),
    ("a sensor falls silent", Fault::Silent, 2),
    ("carbon monoxide 12 ppm", Fault::Monoxide(12e-6), 1),
];

/// Day on which faults begin: 12 March.
pub const FAULT_DAY: i64 = 70;

/// A fault found, or not.
#[derive(Clone, Debug)]
pub struct Found {
    /// What was wrong.
    pub name: &'static str,
    /// Hours until the first alert of any kind; nothing where none came.
    pub after_h: Option<f64>,
    /// Kind and trace of that alert.
    pub by: Option<(Kind, String)>,
    /// Likeliest causes of its event with their shares.
    pub causes: Vec<(What, f64)>,
    /// Days looked at.
    pub days: i64,
}

/// Counts of a quiet stretch.
#[derive(Clone, Debug, Default)]
pub struct Quiet {
    /// Days judged.
    pub days: i64,
    /// All that was told.
    pub told: Vec<Alert>,
    /// Its events.
    pub events: Vec<Event>,
}

/// Lives `days` quiet days; the watch of day [`FAULT_DAY`] comes too.
///
/// # Errors
/// A text.
pub fn quiet(house: &House, days: i64, seed: u64, at: &mut dyn FnMut(&Walk)) -> Result<Quiet, String> {
    let mut walk = Walk::new(house, seed)?;
    while walk.day < days {
        if walk.day == FAULT_DAY {
            at(&walk);
        }
        walk.live(house, None)?;
    }
    let events = walk.watch.events().cloned().collect();
    Ok(Quiet { days, told: walk.told, events })
}

/// What an alert is about: of an event the trace that is furthest off, whoever was the first by chance.
fn about(walk: &Walk, alert: &Alert) -> String {
    let event = walk.watch.events().find(|e| Some(e.id) == alert.event);
    let most = event.and_then(|e| e.traces.iter().max_by(|a, b| a.level.abs().total_cmp(&b.level.abs())));
    most.map_or_else(|| alert.of.clone(), |m| m.trace.clone())
}

/// Goes on from a quiet walk with a fault. Chance, which does not count, is what the quiet year told too, from six hours
/// before to two days after: of an event, one whose furthest trace belongs to an event of the quiet year of that time.
///
/// # Errors
/// A text.
pub fn find(
    house: &House,
    (from, quiet): (&Walk, &Quiet),
    (name, fault, days): (&'static str, Fault, i64),
) -> Result<Found, String> {
    let mut walk = from.clone();
    let before = walk.told.len();
    let since = walk.day;
    let mut until = days;
    let mut seen = None;
    while walk.day < since + until {
        walk.live(house, Some((fault, since)))?;
        if seen.is_none() {
            let chance = |a: &&Alert| {
                let near = |ms: i64| (-6 * HOUR_MS..48 * HOUR_MS).contains(&(a.time_ms - ms));
                let of = about(&walk, a);
                let event = |e: &Event| near(e.known_ms) && e.traces.iter().any(|m| m.trace == of);
                let told = |q: &Alert| q.kind == a.kind && q.of == a.of && near(q.time_ms);
                if a.event.is_some() { quiet.events.iter().any(event) } else { quiet.told.iter().any(told) }
            };
            seen = walk.told.iter().skip(before).find(|a| !chance(a)).cloned();
        }
        if seen.is_some() && until == days {
            // A day more, so that causes are weighed again.
            until = (walk.day - since + 2).min(days.max(2));
        }
    }
    let start_ms = NEW_YEAR_MS + 24 * HOUR_MS * since;
    let of = seen.as_ref().map(|a| about(&walk, a)).unwrap_or_default();
    let event = seen.as_ref().and_then(|a| a.event);
    let causes = walk.watch.events().find(|e| Some(e.id) == event).map(|e| {
        e.causes.iter().filter(|c| c.share > 0.02).take(3).map(|c| (c.what.clone(), c.share)).collect()
    });
    Ok(Found {
        name,
        after_h: seen.as_ref().map(|a| (a.time_ms - start_ms) as f64 / HOUR_MS as f64),
        by: seen.map(|a| (a.kind, of)),
        causes: causes.unwrap_or_default(),
        days,
    })
}

/// The table.
pub fn render(quiet: &[Quiet], found: &[Found], draws: usize, seed: u64) -> String {
    let mut out = String::new();
    let days: i64 = quiet.iter().map(|q| q.days).sum();
    let months = days as f64 / 30.417;
    let _ = writeln!(
        out,
        "{} quiet years of 20 traces and three outdoors, {draws} draws of the fit, seed {seed}, {days} days.\n",
        quiet.len()
    );
    out.push_str("| alert | told | a month | stated by theory |\n| --- | ---: | ---: | ---: |\n");
    for kind in Kind::ALL {
        let count = quiet.iter().flat_map(|q| &q.told).filter(|a| a.kind == kind).count();
        let stated = kind.false_a_month(engine::watch::FALSE_A_MONTH);
        let stated = stated.map_or_else(|| "no chance in it".to_owned(), |s| format!("{s:.2}"));
        let _ = writeln!(out, "| {} | {count} | {:.2} | {stated} |", kind_name(kind), count as f64 / months);
    }
    out.push_str("\nEach fault begins at midnight on day 71 of the first year.\n\n");
    out.push_str("| fault | found after | by | likeliest causes |\n| --- | ---: | --- | --- |\n");
    for f in found {
        let after = f.after_h.map_or_else(
            || format!("not in {} d", f.days),
            |h| match h {
                h if h < 1.0 => "at once".to_owned(),
                h if h < 72.0 => format!("{h:.0} h"),
                h => format!("{:.1} d", h / 24.0),
            },
        );
        let by = f.by.as_ref().map_or_else(String::new, |b| format!("{}: `{}`", kind_name(b.0), b.1));
        let causes: Vec<String> =
            f.causes.iter().map(|(w, s)| format!("{} {:.0} %", what_name(w), 100.0 * s)).collect();
        let _ = writeln!(out, "| {} | {after} | {by} | {} |", f.name, causes.join(", "));
    }
    out
}

fn kind_name(kind: Kind) -> &'static str {
    match kind {
        Kind::CarbonMonoxide => "carbon monoxide",
        Kind::Change => "left the expectation",
        Kind::Silence => "silence",
        Kind::BelowOutdoors => "CO2 below outdoors",
        Kind::FilterDue => "filter due",
        Kind::Debt => "debt",
    }
}

fn what_name(what: &What) -> String {
    match what {
        What::Stopped { device } => format!("{device} stopped"),
        What::Runs { device } => format!("{device} runs"),
        What::DoorOpen { between } => format!("door open {}", between.join("-")),
        What::DoorShut { between } => format!("door shut {}", between.join("-")),
        What::Window { zone } => format!("window {zone}"),
        What::Duct { into } => format!("duct into {into}"),
        What::People { zone } => format!("people {zone}"),
        What::Smoke => "smoke".to_owned(),
        What::NoHeat => "no heat or cold".to_owned(),
        What::Filter { device } => format!("filter {device}"),
        What::Sensor { trace } => format!("sensor {trace}"),
        What::Other => "something else".to_owned(),
    }
}
