//! The safety block: what was measured, the published limit, who must act.

use crate::Job;
use engine::doc::visit::Combustion;
use engine::gate::Outcome;
use engine::measure::{Estimate, NoInterval};
use engine::units::Quantity;
use report::view::{Limit, Number, SafetyLine};
use report::words::{Usage, Words};

/// One line an appliance, or one for the house.
pub(crate) fn lines(job: &Job, words: &Words) -> Vec<SafetyLine> {
    let Some(house) = &job.house else { return Vec::new() };
    let line = |key: &str, args: &[(&str, engine::diag::Arg)]| SafetyLine {
        headline: words.text(&format!("{key}.headline"), args),
        found: words.text(key, args),
        measured: None,
        limit: None,
        who: words.text(&format!("{key}.who"), args),
    };
    let combustion = job.documents.visits.iter().rev().find_map(|v| v.combustion.as_ref());
    let (Some(record), Some(combustion)) = (&job.record, combustion) else {
        return vec![line("safety-not-inspected", &[])];
    };
    if !record.inspected {
        return vec![line("safety-not-inspected", &[])];
    }
    let word = |w: &Option<engine::doc::Sp<String>>| w.as_ref().map_or_else(String::new, |s| s.value.clone());
    if !record.fuel_present {
        let args =
            [("who", word(&combustion.looked_by).into()), ("where", word(&combustion.looked_where).into())];
        return vec![line("safety-no-fuel", &args)];
    }
    let mut out = Vec::new();
    for (index, appliance) in house.appliances.iter().enumerate() {
        let finding = record.findings.iter().find(|f| f.appliance == index);
        let spillage = finding.and_then(|f| f.spillage);
        let flue_co = finding.and_then(|f| f.flue_co);
        let args = [
            ("appliance", appliance.label.as_str().into()),
            ("zone", house.zones[appliance.zone].label.as_str().into()),
        ];
        let with = |key: &str, number: Option<(Number, Option<Limit>)>| {
            let mut l = line(key, &args);
            if let Some((n, limit)) = number {
                l.measured = Some(n);
                l.limit = limit;
            }
            l
        };
        if spillage == Some(Outcome::Beyond) {
            out.push(with("safety-failed-spillage", longest_spillage(combustion, &appliance.name)));
        }
        if flue_co == Some(Outcome::Beyond) {
            out.push(with("safety-failed-co", highest_co(combustion, &appliance.name)));
        }
        let open = |o: Option<Outcome>| {
            matches!(o, Some(Outcome::LimitNotConfirmed | Outcome::BasisDiffers))
        };
        if open(spillage) {
            out.push(with("safety-limit-not-confirmed", longest_spillage(combustion, &appliance.name)));
        } else if open(flue_co) {
            out.push(with("safety-limit-not-confirmed", highest_co(combustion, &appliance.name)));
        }
        let needs_spillage = matches!(
            appliance.draft,
            engine::doc::house::Draft::Natural | engine::doc::house::Draft::FanAssisted
        );
        let missing = (needs_spillage && spillage.is_none()) || flue_co.is_none();
        if missing {
            out.push(line(if record.signed_off { "safety-signed-off" } else { "safety-missing" }, &args));
        } else if out.is_empty() {
            out.push(line("safety-present", &args));
        }
    }
    if out.is_empty() {
        out.push(line("safety-not-inspected", &[]));
    }
    out
}

fn longest_spillage(combustion: &Combustion, appliance: &str) -> Option<(Number, Option<Limit>)> {
    let of = combustion.spillage.iter().filter(|s| s.appliance.value == appliance);
    let worst = of.max_by(|a, b| a.spilled_s.value.total_cmp(&b.spilled_s.value))?;
    let typed =
        Estimate::without(worst.spilled_s.value, Quantity::Time, NoInterval::TypedWithoutInstrument);
    let limit = worst.limit_s.map(|si| Limit {
        si,
        quantity: Quantity::Time,
        usage: Usage::Seconds,
        at_most: true,
        source: worst.limit_source.clone().unwrap_or_default(),
        confirmed: worst.limit_confirmed,
    });
    Some((Number::measured(typed, "").used_as(Usage::Seconds), limit))
}

fn highest_co(combustion: &Combustion, appliance: &str) -> Option<(Number, Option<Limit>)> {
    let of = combustion.flue_co.iter().filter(|c| c.appliance.value == appliance);
    let worst = of.max_by(|a, b| a.value.value.total_cmp(&b.value.value))?;
    let typed =
        Estimate::without(worst.value.value, Quantity::GasFraction, NoInterval::TypedWithoutInstrument);
    let limit = worst.limit.map(|si| Limit {
        si,
        quantity: Quantity::GasFraction,
        usage: Usage::Usual,
        at_most: true,
        source: worst.limit_source.clone().unwrap_or_default(),
        confirmed: worst.limit_confirmed,
    });
    Some((Number::measured(typed, ""), limit))
}
