//! Names and short phrases, from the catalogue.

use engine::doc::job::Measure;
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
        What::HeatLoss => words.say("reading-heat-loss"),
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
        Reason::Changed => ("gate-reason-changed", ""),
        Reason::RepeatOwed => ("gate-reason-repeat-owed", ""),
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

/// A measure of a year in a zone; `beyond` is the value beyond which its hours or days count.
pub(crate) fn measure(
    measure: Measure,
    house: &House,
    at: Option<usize>,
    (beyond, gas): (Option<f64>, Option<&str>),
    words: &Words,
) -> String {
    let name = match measure {
        Measure::Co2AtNight => "measure-co2-at-night",
        Measure::Pm25 => "measure-pm25",
        Measure::HumidHours => "measure-humid-hours",
        Measure::DryHours => "measure-dry-hours",
        Measure::AirFrom => "measure-air-from",
        Measure::OutdoorAir => "measure-outdoor-air",
        Measure::Co2Hours => "measure-co2-hours",
        Measure::Pm25OverOutdoors => "measure-pm25-over-outdoors",
        Measure::Pm25Days => "measure-pm25-days",
        Measure::MouldIndex => "measure-mould-index",
        Measure::CondensingHours => "measure-condensing-hours",
        Measure::Gas => "measure-gas",
        Measure::WarmHours => "measure-warm-hours",
        Measure::CoolHours => "measure-cool-hours",
    };
    let limit = beyond.zip(measure.threshold()).map_or_else(String::new, |(si, q)| match q {
        Quantity::Fraction => words.percent(si),
        _ => words.about(si, q, Show::default()),
    });
    words.text(
        name,
        &[
            ("zone", at.map_or("", |z| house.zones[z].label.as_str()).into()),
            ("beyond", limit.into()),
            ("gas", gas.unwrap_or_default().replace('_', " ").as_str().into()),
        ],
    )
}

/// A score.
pub(crate) fn score(score: &Score, house: &House, words: &Words) -> String {
    let zone_of = |z: usize| house.zones[z].label.as_str();
    let people = |k: usize| house.text.people[k].label.as_str();
    match score.kind {
        ScoreKind::Of { measure: what @ Measure::AirFrom, from, .. } => {
            measure(what, house, from, (None, None), words)
        }
        ScoreKind::Of { measure: what @ Measure::Gas, zone, from } => {
            let gas = from.and_then(|g| house.text.machines.gases.get(g)).map(|g| g.name.value.as_str());
            measure(what, house, zone, (None, gas), words)
        }
        ScoreKind::Of { measure: what, zone, .. } => measure(what, house, zone, (score.beyond, None), words),
        ScoreKind::PersonPm25 { people: k } => {
            words.text("score-person-pm25", &[("people", people(k).into())])
        }
        ScoreKind::PersonCo2 { people: k } => words.text("score-person-co2", &[("people", people(k).into())]),
        ScoreKind::RelativeExposure => words.say("score-relative-exposure"),
        ScoreKind::HighestNowCast { zone } => words.text("score-now-cast", &[("zone", zone_of(zone).into())]),
        ScoreKind::SoilPressure { zone } => {
            words.text("score-soil-pressure", &[("zone", zone_of(zone).into())])
        }
        ScoreKind::AppliancePressure => words.say("score-appliance-pressure"),
        ScoreKind::PeakHeating => words.say("score-peak-heating"),
        ScoreKind::PeakCooling => words.say("score-peak-cooling"),
        ScoreKind::Ach50 => words.say("score-ach50"),
        ScoreKind::Energy => words.say("score-energy"),
    }
}

/// A span of the day, `06:45\u{2013}07:15`.
pub(crate) fn clock((from_s, to_s): (f64, f64)) -> String {
    let at = |s: f64| {
        let minutes = (s / 60.0).round();
        format!("{:02.0}:{:02.0}", (minutes / 60.0).floor(), minutes.rem_euclid(60.0))
    };
    format!("{}\u{2013}{}", at(from_s), at(to_s))
}
