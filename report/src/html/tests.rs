use super::*;
use crate::sample;
use crate::words::Language;
use engine::units::System;
use std::collections::BTreeSet;

fn all_words() -> [Words; 3] {
    [
        Words::new(Language::En, System::Ip),
        Words::new(Language::Es, System::Si),
        Words::new(Language::Es, System::Ip).with_currency("EUR"),
    ]
}

fn trees(words: &Words) -> [El; 6] {
    [
        house::tree(&sample::house(), words),
        certificate::tree(&sample::certificate(), words),
        owner::tree(&sample::owner(), words),
        hand_off::tree(&sample::hand_off(true), words),
        hand_off::tree(&sample::hand_off(false), words),
        test_out::tree(&sample::test_out(), words),
    ]
}

#[test]
fn a_name_cannot_become_markup() {
    let mut report = sample::house();
    let evil = "<script>alert(1)</script>\" onload=\"x";
    report.title = evil.into();
    report.complaints[0].words = evil.into();
    if let Some(h) = &mut report.house {
        h.zones[0].name = evil.into();
        h.passages[0].label = evil.into();
    }
    if let Some(p) = &mut report.plans {
        p.scores[0].name = evil.into();
        p.list[0].changes[0] = evil.into();
    }
    let html = house(&report, &all_words()[0]).file();
    assert!(!html.contains("<script"), "a script element");
    assert!(!html.contains("\" onload"), "an attribute was broken out of");
    assert!(html.contains("&lt;script&gt;"));
}

#[test]
fn every_number_has_its_unit() {
    // Pure numbers of the sample: the flow exponent only.
    for words in all_words() {
        let count = |t: &El| t.walk().into_iter().filter(|e| e.has_class("n")).count();
        assert!(trees(&words).iter().map(count).sum::<usize>() > 40);
        for tree in trees(&words) {
            let numbers: Vec<&El> = tree.walk().into_iter().filter(|e| e.has_class("n")).collect();
            for n in numbers {
                let text = n.inner_text();
                let bare = !n.walk().iter().any(|e| e.has_class("u")) && !text.contains(['$', '€']);
                assert!(
                    !bare || text.starts_with("0.655") || text.starts_with("0,655"),
                    "{text} has no unit"
                );
            }
        }
    }
}

#[test]
fn a_page_needs_nothing_from_elsewhere() {
    for words in all_words() {
        for tree in trees(&words) {
            let html = Page(tree).file();
            for needle in ["<script", "<link", "src=", "@import", "href=", "<iframe"] {
                assert!(!html.contains(needle), "{needle}");
            }
            let urls = html.matches("url(").count();
            assert_eq!(urls, html.matches("url(#").count(), "a url that leaves the page");
            let web = html.replace("http://www.w3.org/2000/svg", "");
            assert!(!web.contains("http"), "an address");
            assert!(!html.contains("NaN") && !html.contains("⟦"));
        }
    }
}

#[test]
fn figures_speak_to_screen_readers_and_ids_are_unique() {
    for words in all_words() {
        for tree in trees(&words) {
            let all = tree.walk();
            let mut ids = BTreeSet::new();
            for e in &all {
                if let Some(id) = e.attribute("id") {
                    assert!(ids.insert(id.to_owned()), "{id} twice");
                }
            }
            for svg in all.iter().filter(|e| e.name() == "svg" && e.attribute("aria-hidden").is_none()) {
                assert_eq!(svg.attribute("role"), Some("img"));
                for part in ["title", "desc"] {
                    let inner = svg.walk().into_iter().find(|e| e.name() == part).unwrap();
                    assert!(!inner.inner_text().is_empty(), "an empty {part}");
                }
            }
        }
    }
}

#[test]
fn safety_comes_first_and_nothing_is_called_safe() {
    let words = all_words()[0];
    let text = house::tree(&sample::house(), &words).inner_text();
    let at = |needle: &str| text.find(needle).unwrap_or_else(|| panic!("{needle} is missing"));
    assert!(at("Water heater: stop") < at("What you told us"));
    assert!(at("What you told us") < at("How air moves"));
    assert!(at("How air moves") < at("Plans side by side"));
    assert!(at("Plans side by side") < at("inputs, hash"));
    assert!(text.contains("72\u{a0}s, measured 11:16"), "the measured value");
    assert!(text.contains("at most 60\u{a0}s (older procedure)"), "its limit and source");
    for word in text.to_lowercase().split(|c: char| !c.is_alphabetic()) {
        assert!(word != "safe" && word != "seguro" && word != "segura", "the page says {word}");
    }
}

#[test]
fn held_plans_are_plainly_held() {
    for words in all_words() {
        let text = house::tree(&sample::house(), &words).inner_text();
        let (held, why) = match words.language() {
            Language::En => ("Held.", "Computed, not released: combustion results missing"),
            Language::Es => ("Retenido.", "Calculado, no liberado: combustion results missing"),
        };
        assert_eq!(text.matches(held).count(), 3);
        assert_eq!(text.matches(why).count(), 3);
    }
}

#[test]
fn states_are_told_apart() {
    let text = house::tree(&sample::house(), &all_words()[0]).inner_text();
    for word in ["measured 11:16", "computed", "assumed: priced by the tester"] {
        assert!(text.contains(word), "{word}");
    }
}

#[test]
fn numbers_follow_language_and_units() {
    let text = |w: &Words| certificate::tree(&sample::certificate(), w).inner_text();
    let [en, es, _] = all_words();
    assert!(text(&en).contains("2,282\u{a0}cfm"), "{}", text(&en));
    assert!(text(&es).contains("3.880\u{a0}m³/h"));
    assert!(text(&es).contains("9,1\u{a0}1/h"));
}

#[test]
fn the_certificate_keeps_failed_checks_and_has_a_place_to_sign() {
    let words = all_words()[0];
    let tree = certificate::tree(&sample::certificate(), &words);
    let text = tree.inner_text();
    for part in [
        "ASTM E779-19",
        "95\u{a0}% range 8.7 to 9.6",
        "fail",
        "1 check failed",
        "baseline against the smallest station",
        "no. F-318",
        "Signature of the tester",
        "inputs, hash",
        "7 mph",
    ] {
        assert!(text.contains(part), "{part} is missing");
    }
    let rows: Vec<&El> =
        tree.walk().into_iter().filter(|e| e.name() == "tr" && e.has_class("check-f")).collect();
    assert_eq!(rows.len(), 1, "one failed check, kept");
    assert!(
        text.find("baseline against").unwrap() < text.find("height times").unwrap(),
        "failed checks lead"
    );
}

#[test]
fn every_check_names_its_source() {
    let words = all_words()[0];
    let c = sample::certificate();
    let tree = certificate::tree(&c, &words);
    let notes: Vec<&El> = tree.walk().into_iter().filter(|e| e.has_class("sources")).collect();
    let notes = notes[0].inner_text();
    for check in &c.checks {
        assert!(check.source.is_empty() || notes.contains(&check.source), "{} is missing", check.source);
    }
    let cells: Vec<String> =
        tree.walk().into_iter().filter(|e| e.name() == "td").map(El::inner_text).collect();
    let numbered = cells.iter().filter(|t| t.starts_with('[')).count();
    assert_eq!(numbered, c.checks.iter().filter(|k| !k.source.is_empty()).count());
}

#[test]
fn a_state_that_all_share_is_said_once() {
    let words = all_words()[0];
    let mut list = sample::house().tightness.unwrap().others;
    list.truncate(1);
    list.push(list[0].clone());
    let text = parts::evidence(&list, &words).inner_text();
    assert_eq!(text.matches("computed").count(), 1, "{text}");
    list[0].number.state = crate::view::State::Measured { at: "10:05".into() };
    let text = parts::evidence(&list, &words).inner_text();
    assert!(
        text.contains("measured 10:05") && text.contains("computed") && !text.contains("All of these"),
        "{text}"
    );
}

#[test]
fn a_released_plan_says_to_what_it_is_kept() {
    let mut report = sample::house();
    let text = |r: &crate::view::HouseReport| house::tree(r, &all_words()[0]).inner_text();
    let said = text(&report);
    assert!(said.contains("Released, to be kept to: the bath fan is measured again"), "{said}");
    assert!(said.contains("If it were released: best in 69\u{a0}%."));
    assert!(said.contains("In 8\u{a0}% of the houses the readings allow, no plan meets every target."));
    report.plans.as_mut().unwrap().list[3].status = crate::view::PlanStatus::Released(Vec::new());
    let said = text(&report);
    assert!(said.contains("nothing in it is felt by a burning appliance") && !said.contains("allow it"));
}

#[test]
fn a_limit_that_is_not_confirmed_gives_no_verdict() {
    let mut c = sample::certificate();
    c.tightness.verdict = Some(crate::view::Verdict::LimitNotConfirmed);
    if let Some(l) = &mut c.tightness.limit {
        l.confirmed = false;
    }
    let text = certificate::tree(&c, &all_words()[0]).inner_text();
    assert!(
        text.contains("limit not confirmed: no verdict")
            && text.contains("limit not confirmed against its source")
    );
}

#[test]
fn the_range_with_the_wind_counted_stands_beside_the_standards_own() {
    let mut c = sample::certificate();
    let said = |c: &crate::view::Certificate| certificate::tree(c, &all_words()[0]).inner_text();
    let text = said(&c);
    assert!(text.contains("8.7 to 9.6") && text.contains("With the wind counted: 9.1"), "{text}");
    assert!(text.contains("The verdict rests on this one."));
    c.tightness.verdict = None;
    assert!(!said(&c).contains("The verdict rests"));
    c.tightness.wind_counted = None;
    assert!(!said(&c).contains("With the wind counted"));
}

#[test]
fn an_empty_report_is_a_page() {
    let html = house(&crate::view::HouseReport::default(), &all_words()[0]).file();
    assert!(html.starts_with("<!doctype html>") && html.ends_with("</html>\n"));
}

#[test]
fn a_stale_result_says_so() {
    let mut c = sample::certificate();
    c.stale = Some("reading 16 came later".into());
    let text = certificate::tree(&c, &all_words()[0]).inner_text();
    assert!(text.contains("Stale: reading 16 came later"));
}

/// WCAG 2 contrast of the pairs that carry text, from the tokens themselves.
#[test]
fn text_has_contrast() {
    fn luminance(hex: &str) -> f64 {
        let channel = |i: usize| {
            let v = f64::from(u8::from_str_radix(hex.get(i..i + 2).unwrap(), 16).unwrap()) / 255.0;
            if v <= 0.04045 { v / 12.92 } else { engine::math::pow((v + 0.055) / 1.055, 2.4) }
        };
        0.2126 * channel(0) + 0.7152 * channel(2) + 0.0722 * channel(4)
    }
    let token = |block: &str, name: &str| {
        let at = block.find(&format!("--{name}:#")).unwrap() + name.len() + 4;
        block.get(at..at + 6).unwrap().to_owned()
    };
    let mut blocks = style::TOKENS.trim().lines();
    for block in [blocks.next().unwrap(), blocks.next().unwrap()] {
        for (a, b) in [
            ("ink", "bg"),
            ("soft", "bg"),
            ("accent", "bg"),
            ("caution", "bg"),
            ("ink", "cwash"),
            ("caution", "cwash"),
            ("ink", "paper"),
            ("ink", "wash"),
            ("soft", "wash"),
            ("soft", "earth"),
        ] {
            let (x, y) = (luminance(&token(block, a)), luminance(&token(block, b)));
            let ratio = (x.max(y) + 0.05) / (x.min(y) + 0.05);
            assert!(ratio >= 4.5, "{a} on {b}: {ratio:.1}");
        }
    }
}

/// Syllables as groups of vowels, a silent e at the end left out: a count within one of what people hear.
fn syllables(word: &str) -> usize {
    let word = word.to_lowercase();
    let mut count = 0;
    let mut before = false;
    for c in word.chars() {
        let vowel = "aeiouy".contains(c);
        count += usize::from(vowel && !before);
        before = vowel;
    }
    let silent = word.ends_with('e') && !word.ends_with("le") && count > 1;
    (count - usize::from(silent)).max(1)
}

/// Flesch-Kincaid grade (Kincaid and others 1975): 0.39 words a sentence + 11.8 syllables a word - 15.59.
fn grade(text: &str) -> f64 {
    let ends = |c: char| matches!(c, '.' | ':' | ';' | '!' | '?' | '\n');
    let (mut sentences, mut words, mut sounds) = (0.0, 0.0, 0.0);
    for sentence in text.split(ends) {
        let list: Vec<&str> =
            sentence.split(|c: char| !c.is_alphabetic()).filter(|w| w.chars().count() > 1).collect();
        if list.len() < 2 {
            continue;
        }
        sentences += 1.0;
        words += list.len() as f64;
        sounds += list.iter().map(|w| syllables(w) as f64).sum::<f64>();
    }
    0.39 * words / sentences + 11.8 * sounds / words - 15.59
}

/// By hand: one sentence of 6 words and 6 syllables: 0.39 * 6 + 11.8 - 15.59 = -1.45.
#[test]
fn the_owners_page_reads_at_ninth_grade() {
    assert!((grade("the cat sat on the mat") + 1.45).abs() < 1e-9);
    let (_, text) = Language::En
        .catalogues()
        .iter()
        .find(|(name, _)| name.contains("sheets"))
        .expect("the sheets' catalogue");
    let mut all = String::new();
    let mut owner = false;
    for line in text.lines() {
        let starts = line.chars().next().is_some_and(|c| c.is_ascii_alphabetic());
        if starts {
            owner = line.starts_with("owner-");
        }
        if !owner || line.starts_with('#') {
            continue;
        }
        let said = line.split_once(" = ").map_or("", |p| p.1);
        // What is put in is a name or a number: a short word.
        let mut plain = String::new();
        let mut inside = 0;
        for c in said.chars() {
            match c {
                '{' => {
                    inside += 1;
                    plain.push_str("one");
                }
                '}' => inside -= 1,
                c if inside == 0 => plain.push(c),
                _ => {}
            }
        }
        all += &format!("{plain}\n");
    }
    let grade = grade(&all);
    assert!(grade > 2.0 && grade < 9.0, "{grade}");
}

#[test]
fn sheets_say_what_they_are_for_in_order() {
    let words = all_words()[0];
    let order = |text: &str, needles: &[&str]| {
        let mut rest = text;
        for needle in needles {
            let found = rest.split_once(needle);
            rest = found.unwrap_or_else(|| panic!("{needle} is missing or too early: {text}")).1;
        }
    };
    let text = owner::tree(&sample::owner(), &words).inner_text();
    order(
        &text,
        &[
            "Example Home Performance",
            "Your house on one page",
            "Water heater: stop",
            "The east bedroom is stuffy",
            "The room is pushed 2.9 Pa above the hall.",
            "Three things to do, in this order",
            "Change the water heater",
            "Cut off the garage",
            "Seal the ceiling",
            "Not yet:",
            "What the work changes",
            "How tight the house is",
            "What is not known yet",
            "Read with: ",
        ],
    );
    let text = hand_off::tree(&sample::hand_off(true), &words).inner_text();
    order(
        &text,
        &[
            "Water heater: stop",
            "To be kept to",
            "Stop at once",
            "Known of this house",
            "Work, in this order",
            "stop when",
            "Who tests again",
        ],
    );
    let held = hand_off::tree(&sample::hand_off(false), &words).inner_text();
    order(&held, &["Held: this plan must not be carried out yet", "has no spillage result"]);
    assert!(!held.contains("Work, in this order") && !held.contains("stop when"), "{held}");
    let text = test_out::tree(&sample::test_out(), &words).inner_text();
    order(
        &text,
        &[
            "To be reached:",
            "before the result.",
            "Gone:",
            "Promised and obtained",
            "Tests of both visits",
            "fireplace: shut before",
            "Single readings",
            "What differs between the visits",
        ],
    );
}
