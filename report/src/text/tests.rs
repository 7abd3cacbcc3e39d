use super::*;
use crate::sample;
use crate::words::Language;
use engine::units::System;

#[test]
fn the_summary_leads_with_safety_and_holds_plans() {
    let words = Words::new(Language::En, System::Ip);
    let text = summary(&sample::house(), &words);
    assert!(text.find("!! Water heater").unwrap() < text.find("ACH50").unwrap());
    assert!(text.contains("ACH50         9.1\u{a0}1/h, 95\u{a0}% range 8.7 to 9.6 [computed]"), "{text}");
    assert!(text.contains("wind counted  9.1\u{a0}1/h, 95\u{a0}% range 8.6 to 9.6 [computed]"), "{text}");
    assert_eq!(text.matches("Held. Computed, not released").count(), 3);
    assert!(text.contains("  3. Repeat the crawl space pressure, hatch shut: 3\u{a0}min, no help"));
}

#[test]
fn columns_line_up_in_spanish_too() {
    let words = Words::new(Language::Es, System::Si);
    let text = summary(&sample::house(), &words);
    assert!(text.contains("\n  ACH50       9,1") && text.contains("\n  límite      como máximo"), "{text}");
}

#[test]
fn every_verdict_and_state_has_a_word() {
    for language in Language::ALL {
        let words = Words::new(language, System::Si);
        let all = [Verdict::Pass, Verdict::Fail, Verdict::TooClose, Verdict::LimitNotConfirmed];
        let said: std::collections::BTreeSet<String> = all.iter().map(|v| verdict(*v, &words)).collect();
        assert_eq!(said.len(), 4);
        assert!(!state(&State::Assumed { by: "x".into() }, &words).contains("state-"));
    }
}
