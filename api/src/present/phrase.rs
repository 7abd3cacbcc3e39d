//! Names and short phrases, from the catalogue.

use engine::doc::job::Measure;
use engine::doc::plans::Change;
use engine::fit::{Known, What};
use engine::gate::{Condition, Reason};
use engine::house::{House, ParamKind};
use engine::plan::{Score, ScoreKind};
use engine::units::Quantity;
use report::words::{Show, Usage, Words};

/// What a parameter is called.
pub(crate) fn param(known: &Known, words: &Words) -> String {
    match known.kind {
        ParamKind::CommonExponent => words.say("param-common-exponent"),
        ParamKind::HandlerFlow => words.say("param-handler-flow"),
        ParamKind::DuctLeak if known.name == "supply_leak" => words.say("param-supply-leak"),
        ParamKind::DuctLeak => words.say("param-return-leak"),
        _ => known.label.clone(),
    }
}

/// How a parameter's numbers are shown.
pub(crate) fn param_show(kind: ParamKind) -> Show {
    Show::usage(match kind {
        ParamKind::LeakAt50 => Usage::TestFlow,
        ParamKind::Gap => Usage::LeakageArea,
        _ => Usage::Usual,
    })
}

/// What a reading is called.
pub(crate) fn reading(what: &What, words: &Words) -> String {
    match what {
        What::Pressure { feels, compared_with } => words.text(
            "reading-pressure",
            &[("feels", feels.as_str().into()), ("compared_with", compared_with.as_str().into())],
        ),
        What::TestFan => words.say("reading-test-fan"),
        What::Flow { of } => words.text("reading-flow", &[("of", of.as_str().into())]),
        What::Handler => words.say("reading-handler"),
        What::DuctLeak { supply, back } => words.say(match (supply, back) {
            (true, false) => "reading-duct-leak-supply",
            (false, true) => "reading-duct-leak-return",
            _ => "reading-duct-leak",
        }),
        What::Inflow { into } => words.text("reading-inflow", &[("into", into.as_str().into())]),
    }
}

/// Why the gate holds.
pub(crate) fn reason(reason: &Reason, words: &Words) -> String {
    let (key, appliance) = match reason {
        Reason::NotInspected => ("gate-reason-not-inspected", ""),
        Reason::Contradiction => ("gate-reason-contradiction", ""),
        Reason::ApplianceNotNamed => ("gate-reason-appliance-not-named", ""),
        Reason::SpillageMissing { appliance } => ("gate-reason-spillage-missing", appliance.as_str()),
        Reason::FlueCoMissing { appliance } => ("gate-reason-flue-co-missing", appliance.as_str()),
        Reason::SpillageFailed { appliance } => ("gate-reason-spillage-failed", appliance.as_str()),
        Reason::FlueCoFailed { appliance } => ("gate-reason-flue-co-failed", appliance.as_str()),
        Reason::LimitNotConfirmed { appliance } => ("gate-reason-limit-not-confirmed", appliance.as_str()),
        Reason::BasisDiffers { appliance } => ("gate-reason-basis-differs", appliance.as_str()),
        Reason::Stopped => ("gate-reason-stopped", ""),
        Reason::Unvented { appliance } => ("gate-reason-unvented", appliance.as_str()),
    };
    words.text(key, &[("appliance", appliance.into())])
}

/// What a release asks for.
pub(crate) fn condition(condition: &Condition, words: &Words) -> String {
    match condition {
        Condition::ReplaceFirst { appliance } => {
            words.text("gate-condition-replace-first", &[("appliance", appliance.as_str().into())])
        }
        Condition::TestAgain => words.say("gate-condition-test-again"),
        Condition::SignedOff => words.say("gate-condition-signed-off"),
    }
}

/// A measure of a year.
pub(crate) fn measure(measure: Measure, house: &House, at: Option<usize>, words: &Words) -> String {
    let name = match measure {
        Measure::Co2AtNight => "measure-co2-at-night",
        Measure::Pm25 => "measure-pm25",
        Measure::HumidHours => "measure-humid-hours",
        Measure::DryHours => "measure-dry-hours",
        Measure::AirFrom => "measure-air-from",
        Measure::OutdoorAir => "measure-outdoor-air",
    };
    words.text(name, &[("zone", at.map_or("", |z| house.zones[z].label.as_str()).into())])
}

/// A score.
pub(crate) fn score(score: &Score, house: &House, words: &Words) -> String {
    match score.kind {
        ScoreKind::Of { measure: what @ Measure::AirFrom, from, .. } => measure(what, house, from, words),
        ScoreKind::Of { measure: what, zone, .. } => measure(what, house, zone, words),
        ScoreKind::AppliancePressure => words.say("score-appliance-pressure"),
        ScoreKind::Ach50 => words.say("score-ach50"),
        ScoreKind::Energy => words.say("score-energy"),
    }
}

/// A change of a plan.
pub(crate) fn change(change: &Change, house: &House, words: &Words) -> String {
    let named = |name: &str| {
        let zones = house.zones.iter().map(|z| (&z.name, &z.label));
        let leaks = house.leaks.iter().map(|l| (&l.name, &l.label));
        let doors = house.doors.iter().map(|d| (&d.text.name.value, &d.text.label));
        let appliances = house.appliances.iter().map(|a| (&a.name, &a.label));
        let mut all = zones.chain(leaks).chain(doors).chain(appliances);
        all.find(|(n, _)| n.as_str() == name).map_or_else(|| name.to_owned(), |(_, label)| label.clone())
    };
    let share = |(lo, hi): (f64, f64)| words.from_to(&words.percent(lo), &words.percent(hi));
    let flow = |si: f64| words.about(si, Quantity::AirFlow, Show::default());
    match change {
        Change::Seal { what, removes } => words
            .text("change-seal", &[("what", named(&what.value).into()), ("share", share(*removes).into())]),
        Change::SealDucts { removes } => {
            words.text("change-seal-ducts", &[("share", share(*removes).into())])
        }
        Change::Transfer { between, area_m2 } => {
            let area = words.about(*area_m2, Quantity::Area, Show::usage(Usage::LeakageArea));
            words.text(
                "change-transfer",
                &[
                    ("a", named(&between[0].value).into()),
                    ("b", named(&between[1].value).into()),
                    ("area", area.into()),
                ],
            )
        }
        Change::Exhaust { from, flow_m3_s, runs_s, .. } => words.text(
            "change-exhaust",
            &[
                ("from", named(&from.value).into()),
                ("flow", flow(*flow_m3_s).into()),
                ("hours", runs_s.iter().map(|r| clock(*r)).collect::<Vec<_>>().join(", ").into()),
            ],
        ),
        Change::Supply { to, flow_m3_s, .. } => {
            words.text("change-supply", &[("to", named(&to.value).into()), ("flow", flow(*flow_m3_s).into())])
        }
        Change::Balanced { to, from, flow_m3_s, recovery, .. } => words.text(
            "change-balanced",
            &[
                ("to", named(&to.value).into()),
                ("from", named(&from.value).into()),
                ("flow", flow(*flow_m3_s).into()),
                ("recovery", words.percent(*recovery).into()),
            ],
        ),
        Change::Filter { pm25 } => words.text("change-filter", &[("share", words.percent(*pm25).into())]),
        Change::Mixing { share } => words.text("change-mix", &[("share", words.percent(*share).into())]),
        Change::Dehumidify(d) => words.text("change-dehumidify", &[("zone", named(&d.zone.value).into())]),
        Change::Door { door, open_at_night } => {
            let key = if *open_at_night { "change-door-open" } else { "change-door-shut" };
            words.text(key, &[("door", named(&door.value).into())])
        }
        Change::Replace { appliance, by } => {
            let key = if by.is_none() { "change-replace-electric" } else { "change-replace-sealed" };
            words.text(key, &[("appliance", named(&appliance.value).into())])
        }
    }
}

/// A span of the day, `06:45\u{2013}07:15`.
fn clock((from_s, to_s): (f64, f64)) -> String {
    let at = |s: f64| {
        let minutes = (s / 60.0).round();
        format!("{:02.0}:{:02.0}", (minutes / 60.0).floor(), minutes.rem_euclid(60.0))
    };
    format!("{}\u{2013}{}", at(from_s), at(to_s))
}
