//! What a phone shows of each procedure: how many stations, at which pressures, which definitions.
//!
//! Suggested pressures are ours, chosen so that the checks of the profile can hold; they are advice.

use super::prepare::{State, items, label, state_words};
use engine::procedure::envelope::{CheckId, Method, PROFILES, Profile};
use report::words::Words;
use serde_json::{Value, json};

/// Induced house pressures to aim at, Pa, in the order to take them.
pub(super) fn pressures_pa(profile: &Profile) -> Vec<f64> {
    match (profile.method, profile.id) {
        (Method::OnePoint, _) => vec![50.0; stations_wanted(profile)],
        (Method::TwoPoint, _) => [[52.0; 5], [12.0; 5]].concat(),
        (Method::MultiPoint, "cgsb-149.10") => vec![60.0, 51.0, 44.0, 37.0, 31.0, 25.0, 20.0, 15.0],
        (Method::MultiPoint, "astm-e779") => vec![62.0, 54.0, 47.0, 40.0, 33.0, 26.0, 19.0, 12.0],
        (Method::MultiPoint, _) => vec![60.0, 51.0, 43.0, 35.0, 27.0, 19.0, 12.0],
    }
}

/// Stations after which a test is whole.
pub(super) fn stations_wanted(profile: &Profile) -> usize {
    match profile.method {
        Method::TwoPoint => 10,
        // As many as the profile's own limit asks for.
        Method::OnePoint => {
            let count = profile.limits.iter().find(|l| l.check == CheckId::StationCount);
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small count")]
            let wanted = count.and_then(|l| l.lo).map_or(1, |n| n as usize);
            wanted
        }
        Method::MultiPoint => pressures_pa(profile).len(),
    }
}

fn method(profile: &Profile) -> &'static str {
    match profile.method {
        Method::MultiPoint => "multi-point",
        Method::TwoPoint => "two-point",
        Method::OnePoint => "one-point",
    }
}

/// Which words define the sizes: standards of one family share them.
fn family(profile: &Profile) -> &'static str {
    match profile.id {
        "iso-9972" => "iso",
        "cgsb-149.10" => "cgsb",
        id if id.starts_with("resnet") => "resnet",
        _ => "astm",
    }
}

/// Every profile as the wire carries it.
pub(super) fn all(words: &Words) -> Value {
    let one = |p: &Profile| {
        let definition = |what: &str| words.say(&format!("phone-{what}-{}", family(p)));
        let preparation: Vec<Value> = items(p.id)
            .iter()
            .map(|i| {
                let states: serde_json::Map<String, Value> = State::ALL
                    .into_iter()
                    .map(|s| (s.id().to_owned(), state_words(i.kind, s, words).into()))
                    .collect();
                json!({
                    "id": i.id, "label": label(i.id, words), "usual": i.usual, "restore": i.restore,
                    "kind": i.kind, "states": states,
                })
            })
            .collect();
        json!({
            "id": p.id,
            "standard": p.standard,
            "method": method(p),
            "directions": ["depressurise", "pressurise"],
            "stations_wanted": stations_wanted(p),
            "pressures_pa": pressures_pa(p),
            "volume_definition": definition("volume"),
            "floor_definition": definition("floor"),
            "envelope_definition": definition("envelope"),
            "preparation": preparation,
        })
    };
    PROFILES.iter().map(one).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use engine::units::System;
    use report::words::Language;

    #[test]
    fn a_test_as_suggested_keeps_the_limits_of_its_profile() {
        for profile in PROFILES {
            let mut sorted = pressures_pa(profile);
            assert_eq!(sorted.len(), stations_wanted(profile), "{}", profile.id);
            sorted.sort_by(f64::total_cmp);
            let (low, high) = (sorted[0], sorted[sorted.len() - 1]);
            let step = sorted.windows(2).map(|w| w[1] - w[0]).fold(0.0, f64::max);
            for limit in profile.limits {
                let value = match limit.check {
                    CheckId::StationCount => sorted.len() as f64,
                    CheckId::LowestPressure => low,
                    CheckId::HighestPressure => high,
                    CheckId::PressureStep => step,
                    _ => continue,
                };
                let holds = limit.lo.is_none_or(|lo| value >= lo) && limit.hi.is_none_or(|hi| value <= hi);
                assert!(holds, "{}: {:?} {value}", profile.id, limit.check);
            }
        }
    }

    #[test]
    fn every_definition_is_worded() {
        for language in Language::ALL {
            let said = all(&Words::new(language, System::Ip)).to_string();
            assert!(!said.contains("phone-"), "{said}");
        }
    }
}
