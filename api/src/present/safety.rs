//! The safety block: what was measured, the published limit, who must act.

use crate::Job;
use engine::doc::visit::Combustion;
use engine::gate::Outcome;
use engine::units::Quantity;
use report::view::SafetyLine;
use report::words::{Show, Usage, Words};

/// One line an appliance, or one for the house.
pub(crate) fn lines(job: &Job, words: &Words) -> Vec<SafetyLine> {
    worded(job, "", words)
}

/// The same in the owner's words.
pub(crate) fn plain(job: &Job, words: &Words) -> Vec<SafetyLine> {
    let mut lines = worded(job, "owner-", words);
    for line in &mut lines {
        line.found = super::findings::capital(&line.found);
    }
    lines
}

fn worded(job: &Job, prefix: &str, words: &Words) -> Vec<SafetyLine> {
    let Some(house) = &job.house else { return Vec::new() };
    let line = |key: &str, args: &[(&str, engine::diag::Arg)]| {
        let key = format!("{prefix}{key}");
        SafetyLine {
            headline: words.text(&format!("{key}.headline"), args),
            found: words.text(&key, args),
            measured: None,
            limit: None,
            who: words.text(&format!("{key}.who"), args),
        }
    };
    let (Some(record), Some(combustion)) = (&job.record, &job.combustion) else {
        return vec![line("safety-not-inspected", &[])];
    };
    let mut out = Vec::new();
    if record.stopped {
        out.push(line("safety-stopped", &[]));
    }
    if !record.inspected {
        out.push(line("safety-not-inspected", &[]));
        // What was measured is told all the same.
        if combustion.spillage.is_empty() && combustion.flue_co.is_empty() {
            return out;
        }
    }
    let word = |w: &Option<engine::doc::Sp<String>>| w.as_ref().map_or_else(String::new, |s| s.value.clone());
    if !record.fuel_present && !house.appliances.is_empty() {
        out.push(line("safety-contradiction", &[]));
        return out;
    }
    if !record.fuel_present {
        let args =
            [("who", word(&combustion.looked_by).into()), ("where", word(&combustion.looked_where).into())];
        out.push(line("safety-no-fuel", &args));
        return out;
    }
    for (index, appliance) in house.appliances.iter().enumerate() {
        let finding = record.findings.iter().find(|f| f.appliance == index);
        let spillage = finding.and_then(|f| f.spillage);
        let flue_co = finding.and_then(|f| f.flue_co);
        let args = [
            ("appliance", appliance.label.as_str().into()),
            ("zone", house.zones[appliance.zone].label.as_str().into()),
        ];
        let before = out.len();
        let worst_spillage = || spilled(combustion, &appliance.name, &appliance.label, words);
        let worst_co = || flue(combustion, &appliance.name, &appliance.label, words);
        match spillage {
            Some(Outcome::Beyond) => out.push(line("safety-failed-spillage", &worst_spillage())),
            Some(Outcome::LimitNotConfirmed) => {
                out.push(line("safety-limit-not-confirmed", &worst_spillage()));
            }
            _ => {}
        }
        match flue_co {
            Some(Outcome::Beyond) => out.push(line("safety-failed-co", &worst_co())),
            Some(Outcome::LimitNotConfirmed) => out.push(line("safety-limit-not-confirmed", &worst_co())),
            Some(Outcome::BasisDiffers) => out.push(line("safety-basis-differs", &args)),
            _ => {}
        }
        if appliance.draft == engine::doc::house::Draft::Unvented {
            out.push(line("safety-unvented", &args));
        }
        let needs_spillage = matches!(
            appliance.draft,
            engine::doc::house::Draft::Natural | engine::doc::house::Draft::FanAssisted
        );
        let missing = (needs_spillage && spillage.is_none()) || flue_co.is_none();
        if missing {
            out.push(line(if record.signed_off { "safety-signed-off" } else { "safety-missing" }, &args));
        } else if out.len() == before {
            out.push(line("safety-present", &args));
        }
    }
    if house.appliances.is_empty() {
        out.push(line("safety-not-named", &[]));
    }
    out
}

type Args = Vec<(&'static str, engine::diag::Arg)>;

fn arguments(appliance: &str, value: String, limit: Option<String>, source: Option<&String>) -> Args {
    vec![
        ("appliance", appliance.into()),
        ("value", value.into()),
        ("limit", limit.unwrap_or_default().into()),
        ("source", source.cloned().unwrap_or_default().into()),
    ]
}

/// The longest spillage of an appliance against its limit.
fn spilled(combustion: &Combustion, name: &str, label: &str, words: &Words) -> Args {
    let of = combustion.spillage.iter().filter(|s| s.appliance.value == name);
    let Some(worst) = of.max_by(|a, b| a.spilled_s.value.total_cmp(&b.spilled_s.value)) else {
        return Args::new();
    };
    let seconds = |si| words.quantity_as(si, Quantity::Time, Show::usage(Usage::Seconds));
    let limit = worst.limit_s.map(seconds);
    arguments(label, seconds(worst.spilled_s.value), limit, worst.limit_source.as_ref())
}

/// The highest flue CO of an appliance against its limit, each with its basis.
fn flue(combustion: &Combustion, name: &str, label: &str, words: &Words) -> Args {
    let of = combustion.flue_co.iter().filter(|c| c.appliance.value == name);
    let Some(worst) = of.max_by(|a, b| a.value.value.total_cmp(&b.value.value)) else {
        return Args::new();
    };
    let on = |si: f64, air_free: bool| {
        let basis = words.say(if air_free { "basis-air-free" } else { "basis-as-measured" });
        format!("{} {basis}", words.quantity(si, Quantity::GasFraction))
    };
    let limit = worst.limit.map(|l| on(l, worst.limit_air_free));
    arguments(label, on(worst.value.value, worst.air_free), limit, worst.limit_source.as_ref())
}
