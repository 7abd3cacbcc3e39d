//! Plans through bad days, as a view and as lines.

use super::plans::called;
use engine::doc::plans::{Event, EventKind, Size};
use engine::house::House;
use engine::measure::Estimate;
use engine::plan::{Compared, EventLived, EventScore};
use engine::units::Quantity;
use engine::weather::{MONTH_STARTS, month_of};
use report::view::{BadDays, BadDaysRow, Number};
use report::words::{Show, Usage, Words};

fn kind_key(kind: EventKind) -> &'static str {
    match kind {
        EventKind::Smoke => "event-smoke",
        EventKind::HeatWave => "event-heat-wave",
        EventKind::ColdSnap => "event-cold-snap",
        EventKind::PowerCut => "event-power-cut",
        EventKind::EverythingOn => "event-everything-on",
        EventKind::DoorsShut => "event-doors-shut",
        EventKind::Guests => "event-guests",
        EventKind::Cooking => "event-cooking",
    }
}

/// What happens, for how long, from which day on.
fn title(lived: &EventLived, words: &Words) -> String {
    let Event { label, kind, lasts_s, size, at_s, .. } = &lived.event;
    let about = |si: f64, quantity, show| words.about(si, quantity, show);
    let size = match size {
        Size::None => "none".to_owned(),
        Size::Raised(by) => about(*by, Quantity::ParticleConcentration, Show::default().signed()),
        Size::Shifted(by) => about(*by, Quantity::TemperatureDifference, Show::default().signed()),
        Size::Held(at) => about(*at, Quantity::Temperature, Show::default()),
        Size::Persons(more) => format!("+{}", words.number(*more)),
        Size::Times(times) => format!("\u{d7}{}", words.number(*times)),
    };
    let month = month_of(lived.first_day);
    let mut date = format!("{:02}-{:02}", month + 1, lived.first_day - MONTH_STARTS[month] + 1);
    if let Some(at_s) = at_s {
        let minutes = (at_s / 60.0).round();
        let hour = (minutes / 60.0).floor();
        date += &format!(" {hour:02}:{:02}", minutes - 60.0 * hour);
    }
    words.text(
        "event-title",
        &[
            ("label", label.clone().unwrap_or_else(|| words.say(kind_key(*kind))).into()),
            ("size", size.into()),
            ("hours", (lasts_s / 3600.0).into()),
            ("date", date.into()),
        ],
    )
}

fn score(score: EventScore, house: &House, words: &Words) -> String {
    let zone = |key: &str, z: usize| words.text(key, &[("zone", house.zones[z].label.as_str().into())]);
    match score {
        EventScore::Pm25Mean { zone: z } => zone("event-pm25-mean", z),
        EventScore::Pm25Peak { zone: z } => zone("event-pm25-peak", z),
        EventScore::Pm25Hours { zone: z } => zone("event-pm25-hours", z),
        EventScore::Pm25 { zone: z } => zone("event-pm25", z),
        EventScore::WarmHours { zone: z } => zone("event-warm-hours", z),
        EventScore::Warmest { zone: z } => zone("event-warmest", z),
        EventScore::CoolHours { zone: z } => zone("event-cool-hours", z),
        EventScore::Coldest { zone: z } => zone("event-coldest", z),
        EventScore::TempAtEnd { zone: z } => zone("event-temp-at-end", z),
        EventScore::HighestCo2 { zone: z } => zone("event-highest-co2", z),
        EventScore::NightCo2 { zone: z } => zone("event-night-co2", z),
        EventScore::HumidHours { zone: z } => zone("event-humid-hours", z),
        EventScore::AppliancePressure { appliance } => {
            let label = house.appliances[appliance].label.as_str();
            words.text("event-appliance-pressure", &[("appliance", label.into())])
        }
        EventScore::Owed => words.say("event-owed"),
        EventScore::Repay => words.say("event-repay"),
        EventScore::Repaid => {
            words.text("event-repaid", &[("days", engine::year::event::REPAY_DAYS.to_string().into())])
        }
    }
}

/// What the reader must know of an event's numbers.
fn notes(lived: &EventLived, words: &Words) -> String {
    let mut note = words.text("event-draws", &[("draws", lived.draws.into())]);
    let more = match lived.event.kind {
        EventKind::EverythingOn if lived.scores.is_empty() => Some("event-no-appliance"),
        EventKind::EverythingOn => Some("event-screening"),
        EventKind::PowerCut => Some("event-power-cut-note"),
        _ => None,
    };
    if let Some(key) = more {
        note += &format!(" {}", words.say(key));
    }
    note
}

/// Stretches of time are counted in hours.
fn shown(estimate: Estimate) -> Number {
    let n = Number::computed(estimate);
    if estimate.quantity == Quantity::Time { n.used_as(Usage::Hours) } else { n }
}

fn number(estimate: &Estimate, score: EventScore) -> Number {
    let n = shown(*estimate);
    if matches!(score, EventScore::AppliancePressure { .. }) { n.signed() } else { n }
}

/// The views of all events.
pub(super) fn views(house: &House, compared: &Compared, words: &Words) -> Vec<BadDays> {
    let one = |lived: &EventLived| {
        let row = |(s, of): (usize, &EventScore)| BadDaysRow {
            name: score(*of, house, words),
            as_found: number(&lived.plans[0].values[s], *of),
            plans: lived
                .plans
                .iter()
                .skip(1)
                .map(|p| [number(&p.values[s], *of), shown(p.differences[s]).signed()])
                .collect(),
        };
        BadDays {
            title: title(lived, words),
            note: notes(lived, words),
            rows: lived.scores.iter().enumerate().map(row).collect(),
        }
    };
    compared.events.iter().map(one).collect()
}

/// A line a quantity and plan.
pub(super) fn lines(house: &House, compared: &Compared, words: &Words) -> String {
    let mut out = String::new();
    for lived in &compared.events {
        out += &format!("  {}\n", title(lived, words));
        for (s, of) in lived.scores.iter().enumerate() {
            out += &format!("     {}\n", score(*of, house, words));
            for (i, plan) in lived.plans.iter().enumerate() {
                let value = plan.values[s];
                if !value.si.is_finite() {
                    let gone = matches!(of, EventScore::AppliancePressure { .. });
                    let none = words.say(if gone { "event-appliance-gone" } else { "event-no-value" });
                    out += &format!("       {}: {none}\n", called(i, words));
                    continue;
                }
                let show = number(&value, *of).show();
                let mut line = words.estimate_short(&value, show);
                if i > 0 && plan.differences[s].si.is_finite() {
                    let by = words
                        .estimate_short(&plan.differences[s], shown(plan.differences[s]).signed().show());
                    line += &format!("; {}", words.text("plans-against-found", &[("value", by.into())]));
                }
                out += &format!("       {}: {line}\n", called(i, words));
            }
        }
        out += &format!("     {}\n", notes(lived, words));
    }
    for (i, owed) in compared.owed.iter().enumerate() {
        let Some((highest, repay)) = owed else { continue };
        let hours = Show::usage(Usage::Hours);
        let repaid = if repay.si.is_finite() {
            words.estimate_short(repay, hours)
        } else {
            words.say("event-never-repaid")
        };
        let args = [
            ("plan", called(i, words).into()),
            ("owed", words.estimate_short(highest, hours).into()),
            ("repay", repaid.into()),
        ];
        out += &format!("  {}\n", words.text("plans-owed", &args));
    }
    out
}
