use super::{own_rules, rules};
use crate::{File, Inputs, Request, answer};
use engine::doc::Sink;
use engine::doc::job::Complaint;
use engine::doc::read::{Tab, parse};
use engine::finding::quantity::{QUANTITIES, SETUPS, slot};
use engine::finding::{
    Chance, DRAWS, Evidence, Findings, Group, Item, Lack, Mark, Origin, Rules, Standing, Value, cause_key,
    judge, key,
};
use engine::measure::{Estimate, NoInterval};
use engine::rule::Kind;
use engine::units::{self, Quantity as Q};
use report::words::{Language, Words};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::ControlFlow;

const CASES: &str = include_str!("../../assets/findings/cases.toml");

/// `quantity(of) = value +- half @ state, state`; no half width is no interval.
fn item(line: &str) -> Item {
    let (line, states) = line.split_once('@').unwrap_or((line, ""));
    let (name, value) = line.split_once('=').unwrap();
    let (name, of) = match name.trim().split_once('(') {
        Some((name, of)) => (name, Some(of.trim_end_matches(')'))),
        None => (name.trim(), None),
    };
    let slot = slot(name).unwrap_or_else(|| panic!("no quantity {name}"));
    let value = value.trim();
    let value = match QUANTITIES[slot].kind {
        Kind::Flag => Value::Flag(value == "true"),
        Kind::Measure(q) => {
            let (mid, half) = value.split_once("+-").unwrap_or((value, ""));
            let beside = if q == Q::Temperature { Q::TemperatureDifference } else { q };
            let read = |text: &str, q| match units::parse(text.trim(), q) {
                Ok(written) => written.si,
                Err(error) => panic!("{line}: {error:?}"),
            };
            let mid = read(mid, q);
            Value::Number(if half.is_empty() {
                Estimate::without(mid, q, NoInterval::TypedWithoutInstrument)
            } else {
                let half = read(half, beside);
                Estimate::range(mid, mid - half, mid + half, 0.95, q)
            })
        }
    };
    let mut made = Item::new(slot, value, Origin::Complaint);
    if let Some(of) = of {
        made = made.of(of, of, Some(of));
    }
    let states = states.split(',').map(str::trim).filter(|s| !s.is_empty());
    let states: Vec<(&'static str, bool)> = states
        .map(|s| (*SETUPS.iter().find(|k| **k == s).unwrap_or_else(|| panic!("no state {s}")), true))
        .collect();
    made.setup(&states)
}

fn judged(rules: &Rules, lines: &[&str]) -> Findings {
    judged_with(rules, lines, &[])
}

fn judged_with(rules: &Rules, lines: &[&str], complaints: &[Complaint]) -> Findings {
    let evidence = Evidence { items: lines.iter().map(|l| item(l)).collect(), few_draws: false, seed: 3 };
    judge(rules, &evidence, complaints)
}

fn ready() -> Rules {
    let sink = Sink::default();
    let rules = own_rules(&sink);
    assert!(sink.borrow().list.is_empty(), "{:#?}", sink.borrow().list);
    rules
}

#[test]
fn the_rules_read_without_a_fault_and_cover_the_list() {
    let rules = ready();
    let rows: BTreeSet<usize> = rules.rules.iter().filter_map(|r| r.row).collect();
    assert_eq!(rows, (1..=65).collect());
    // Rows of the two kinds that come before the others.
    let of = |sort| -> BTreeSet<usize> {
        rules.rules.iter().filter(|r| r.sort == sort).filter_map(|r| r.row).collect()
    };
    assert_eq!(of(engine::finding::Sort::Quality), BTreeSet::from([2, 3, 5, 16, 25, 33, 49, 65]));
    assert!((35..=43).all(|row| of(engine::finding::Sort::Safety).contains(&row)));
}

#[test]
fn every_rule_has_words_in_every_language() {
    let mut missing = Vec::new();
    for language in Language::ALL {
        let words = Words::new(language, units::System::Si);
        let mut need = |key: String| {
            let said = words.find(&key, &[]);
            let english = Words::new(Language::En, units::System::Si).find(&key, &[]);
            // A word that is the same in both languages is rare enough to be named.
            let same = ["who-", "cause-"].iter().all(|p| !key.starts_with(p) && !key.ends_with("radon.name"))
                && language == Language::Es;
            if said.is_none() || (same && said == english) {
                missing.push(format!("{}: {key}", language.tag()));
            }
        };
        for rule in ready().rules {
            for part in ["", ".name", ".test", ".refuted", ".remedy"] {
                need(format!("{}{part}", key(&rule.id)));
            }
            rule.causes.iter().for_each(|c| need(cause_key(&c.id)));
        }
        QUANTITIES.iter().for_each(|q| need(q.key()));
        SETUPS.iter().for_each(|s| need(format!("setup-{}", s.replace(' ', "-"))));
    }
    assert!(missing.is_empty(), "{}", missing.join("\n"));
}

/// Where a finding rests is told in the reader's language, word for word the text of the rule in English.
#[test]
fn sources_of_our_words_are_told_in_every_language() {
    // Titles that are the same in every language, and the habit of the trade, which its mark tells.
    let plain = |s: &str| s.is_empty() || s == "ISO 9972" || s == "common practice, no source";
    let words = |language| Words::new(language, units::System::Si);
    let mut broken = Vec::new();
    for rule in ready().rules {
        let sources = rule.limits.iter().map(|l| &l.source).chain([&rule.source]);
        for source in sources.filter(|s| !plain(s)) {
            let key = crate::present::source_key(source);
            let (en, es) = (words(Language::En).find(&key, &[]), words(Language::Es).find(&key, &[]));
            if en.as_deref() != Some(source) || es.is_none() || es == en {
                broken.push(format!("{}: {key}", rule.id));
            }
        }
    }
    assert!(broken.is_empty(), "{}", broken.join("\n"));
}

#[test]
fn no_rule_says_safe() {
    for (name, text) in Language::ALL.into_iter().flat_map(|l| l.catalogues().iter()) {
        let ours = name.starts_with("findings-");
        let says = |word: &str| text.to_lowercase().split(|c: char| !c.is_alphabetic()).any(|w| w == word);
        assert!(
            !ours || !["safe", "safely", "seguro", "segura", "seguros"].iter().any(|w| says(w)),
            "{name}"
        );
    }
}

/// Evidence that makes each rule speak, that does not, and that leaves it silent with what it lacked.
#[test]
fn every_rule_fires_where_it_should_and_is_silent_where_it_must() {
    let rules = ready();
    let sink = Sink::default();
    let root = parse("cases.toml", CASES, &sink);
    let top = Tab::top("cases.toml", &root, &sink);
    let texts = |t: &Tab<'_, '_>, key| t.texts(key).into_iter().map(|s| s.value).collect::<Vec<_>>();
    let cases: BTreeMap<String, _> = top
        .named("case")
        .iter()
        .map(|(name, t)| {
            let lacks = t.text("lacks").unwrap().value;
            (name.value.clone(), (texts(t, "fires"), texts(t, "not"), texts(t, "silent"), lacks))
        })
        .collect();
    drop(top);
    assert!(sink.borrow().list.is_empty(), "{:?}", sink.borrow().list);
    let ids: BTreeSet<String> = rules.rules.iter().map(|r| r.id.clone()).collect();
    assert_eq!(ids, cases.keys().cloned().collect(), "a rule without a case, or a case without a rule");
    let mut wrong = Vec::new();
    for (id, (fires, not, silent, lacks)) in &cases {
        let ask = |lines: &[String]| judged(&rules, &lines.iter().map(String::as_str).collect::<Vec<_>>());
        let found = ask(fires);
        match found.found.iter().find(|f| f.id == *id) {
            Some(f) if f.chance.share > 0.9 => {
                let rule = rules.rules.iter().find(|r| r.id == *id).unwrap();
                let decides = rule.mark.decides() && f.limits.iter().all(|l| l.mark.decides());
                let wanted = if decides { Standing::Found } else { Standing::WorthALook };
                if f.standing != wanted {
                    wrong.push(format!("{id}: {:?}, not {wanted:?}", f.standing));
                }
                let sum: f64 = f.causes.iter().map(|c| c.share).sum();
                assert!((sum - 1.0).abs() < 1e-9, "{id}: causes sum to {sum}");
            }
            other => wrong.push(format!("{id} does not fire: {:?}", other.map(|f| f.chance))),
        }
        let found = ask(not);
        if !found.not_found.iter().any(|n| n.id == *id) {
            wrong.push(format!("{id} fires, or is silent, where it must not"));
        }
        let found = ask(silent);
        let said: Vec<String> = (found.silent.iter().filter(|s| s.id == *id))
            .flat_map(|s| &s.lacks)
            .map(|l| match l {
                Lack::Quantity { quantity } => (*quantity).to_owned(),
                Lack::NotRecorded { quantity, setup } => format!("{quantity}: {setup}"),
                Lack::TakenOtherwise { quantity, setup } => format!("{quantity} otherwise: {setup}"),
            })
            .collect();
        if !said.contains(lacks) {
            wrong.push(format!("{id} lacks {lacks}, says {said:?}"));
        }
        assert!(!found.found.iter().any(|f| f.id == *id), "{id} speaks without its evidence");
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// A reading taken in another state than asked for is no evidence, and it is said.
#[test]
fn a_reading_in_another_state_is_told_apart() {
    let mut wrong = item("room.pressure(bedroom) = 6 Pa +- 0.4 Pa @ doors shut");
    wrong = wrong.setup(&[("handler on", false)]);
    let evidence = Evidence { items: vec![wrong], few_draws: false, seed: 1 };
    let found = judge(&ready(), &evidence, &[]);
    let silent = found.silent.iter().find(|s| s.id == "no_return_path").unwrap();
    assert_eq!(silent.lacks, [Lack::TakenOtherwise { quantity: "room.pressure", setup: "handler on" }]);
}

/// What a quality rule spoils holds back what rests on it, and never what lives hang on.
#[test]
fn spoilt_readings_hold_back_all_but_safety() {
    let rules = ready();
    let pans = ["pan.pressure(hall) = 40 Pa +- 1 Pa @ handler off"];
    let found = judged(&rules, &pans);
    assert_eq!(found.found.iter().find(|f| f.id == "run_fallen_off").unwrap().standing, Standing::Found);
    let spoilt = [pans[0], "pans.highest = 2 Pa +- 0.3 Pa", "pans.zone_pressure = 15 Pa +- 1 Pa"];
    let found = judged(&rules, &spoilt);
    let held = found.found.iter().find(|f| f.id == "run_fallen_off").unwrap();
    assert_eq!(
        (held.standing, held.doubted_by.as_slice()),
        (Standing::HeldBack, &["pans_blunted".to_owned()][..])
    );
    // Quality itself stands before it.
    assert_eq!(found.found[0].id, "pans_blunted");

    let own = "format = 1\n[finding.bad_meter]\nsort = \"reading quality\"\nwhen = 'house.rh > limit.much'\nspoils = [\"ambient.*\"]\ntest_takes = \"1 min\"\nwho = \"tester\"\nsource = \"t\"\nmark = \"SEEN\"\nlimit.much = { of = \"house.rh\", value = \"1 %\", mark = \"SEEN\" }\ncause.a = { weight = 1, says = \"b\" }\ntext = { says = \"s\", test = \"t\", refuted = \"r\", remedy = \"m\" }\n";
    let sink = Sink::default();
    let files = [File { name: "findings/own.toml".into(), text: own.into() }];
    let rules = super::rules(&files, &sink);
    assert!(sink.borrow().list.is_empty(), "{:?}", sink.borrow().list);
    let found = judged(&rules, &["house.rh = 50 % +- 2 %", "ambient.co(kitchen) = 90 ppm +- 4 ppm"]);
    let first = &found.found[0];
    assert_eq!((first.id.as_str(), first.group), ("co_leave", Group::Hazard));
    assert_ne!(first.standing, Standing::HeldBack);
    assert_eq!(first.doubted_by, ["bad_meter"]);
}

/// Without an interval, or on few draws of the fit, no per cent are told.
#[test]
fn a_chance_needs_a_doubt_that_is_known() {
    let rules = ready();
    let chance =
        |lines: &[&str]| judged(&rules, lines).found.iter().find(|f| f.id == "wood_wet").unwrap().chance;
    assert_eq!(chance(&["wood.moisture(sill) = 26 %"]), Chance { share: 1.0, words_only: true });
    assert!(!chance(&["wood.moisture(sill) = 26 % +- 2 %"]).words_only);
    let mut fitted = item("ducts.return_leak = 14 % +- 3 %");
    fitted.draws = Some((0..DRAWS).map(|i| 0.08 + 0.0004 * i as f64).collect());
    for few_draws in [false, true] {
        let evidence = Evidence { items: vec![fitted.clone()], few_draws, seed: 1 };
        let found = judge(&rules, &evidence, &[]);
        let f = found.found.iter().find(|f| f.id == "return_draws_from_around").unwrap();
        assert_eq!(f.chance.words_only, few_draws);
        // 350 of 400 draws are above 10 %: the draws themselves count, not their interval.
        assert!((f.chance.share - 0.875).abs() < 0.006, "{:?}", f.chance);
    }
}

/// The chance of a pattern is that of a normal variable, and the common index keeps what goes together.
#[test]
fn chances_are_those_of_the_distribution() {
    let rules = ready();
    // Mean 20.98 % and an sd of 0.5 % against 20 %: 97.5 %; the error of 400 draws is 0.8 %.
    let found = judged(&rules, &["wood.moisture(sill) = 20.98 % +- 0.98 %"]);
    let share = found.found.iter().find(|f| f.id == "wood_wet").unwrap().chance.share;
    assert!((share - 0.975).abs() < 0.025, "{share}");
    // Two quantities of the fit that move together: their difference is known, each alone is not.
    let mut pair = [item("spillage.natural(x) = 100 s"), item("spillage.limit(x) = 101 s")];
    for (at, item) in pair.iter_mut().enumerate() {
        item.draws = Some((0..DRAWS).map(|i| i as f64 + at as f64).collect());
    }
    let evidence = Evidence { items: pair.to_vec(), few_draws: false, seed: 1 };
    let found = judge(&rules, &evidence, &[]);
    assert!(found.not_found.iter().any(|n| n.id == "spills_always" && n.chance.share == 0.0));
}

/// Draws keep both ends of an interval, on the scale that it is more even on.
#[test]
fn draws_keep_the_interval() {
    let ends = |e: Estimate, of: &str| {
        let mut draws = Item::new(slot("wood.moisture").unwrap(), Value::Number(e), Origin::Fit)
            .of(of, of, None)
            .lanes(5);
        draws.sort_by(f64::total_cmp);
        let at = |q| engine::math::quantile_of_draws(&draws, q).unwrap();
        (at(0.025), at(0.5), at(0.975))
    };
    for (si, lo, hi, far) in [(0.2, 0.18, 0.22, 0.006), (0.2, 0.1, 0.4, 0.06), (0.2, 0.19, 0.3, 0.025)] {
        // Several streams: one of 400 draws wanders.
        let all: Vec<_> =
            (0..20).map(|k| ends(Estimate::range(si, lo, hi, 0.95, Q::Fraction), &k.to_string())).collect();
        let mean = |f: fn(&(f64, f64, f64)) -> f64| all.iter().map(f).sum::<f64>() / 20.0;
        let found = (mean(|e| e.0), mean(|e| e.1), mean(|e| e.2));
        assert!(
            (found.0 - lo).abs() < far && (found.1 - si).abs() < far && (found.2 - hi).abs() < far,
            "{found:?}"
        );
    }
    // 0.1 to 0.4 about 0.2 is even in the logarithm: nothing falls to zero or below.
    assert!(ends(Estimate::range(0.2, 0.1, 0.4, 0.95, Q::Fraction), "low").0 > 0.05);
}

/// A limit that was recalled leaves it at a look; the user's own word for it lets it decide.
#[test]
fn an_adopted_limit_decides() {
    let lines = ["pm.peaks_at_meals = true", "guarded.share = 60 % +- 3 %"];
    let standing = |rules: &Rules| {
        judged(rules, &lines).found.iter().find(|f| f.id == "leaks_to_neighbours").unwrap().standing
    };
    assert_eq!(standing(&ready()), Standing::WorthALook);
    let text = "format = 1\n[[adopt]]\nfinding = \"leaks_to_neighbours\"\nlimit = \"share\"\nvalue = \"30 %\"\nsource = \"programme, 2026\"\n";
    let sink = Sink::default();
    let adopted = rules(&[File { name: "findings/a.toml".into(), text: text.into() }], &sink);
    assert!(sink.borrow().list.is_empty());
    assert_eq!(standing(&adopted), Standing::Found);
    let rule = adopted.rules.iter().find(|r| r.id == "leaks_to_neighbours").unwrap();
    assert_eq!((rule.limits[0].mark, rule.limits[0].si), (Mark::Adopted, 0.3));
}

/// Other evidence moves the causes.
#[test]
fn other_evidence_moves_causes() {
    let rules = ready();
    let share = |lines: &[&str]| {
        let found = judged(&rules, lines);
        let f = found.found.iter().find(|f| f.id == "static_too_high").unwrap().clone();
        f.causes.into_iter().find(|c| c.id == "filter_restricts").unwrap()
    };
    let high = ["static.external = 190 Pa +- 8 Pa @ handler on", "static.rated = 125 Pa"];
    let alone = share(&high);
    let beside = share(&[high[0], high[1], "static.filter_share = 60 % +- 4 %"]);
    assert!(!alone.moved && beside.moved);
    // 4 of 12 before; three times as heavy, 12 of 20.
    assert!((alone.share - 4.0 / 12.0).abs() < 1e-9 && (beside.share - 12.0 / 20.0).abs() < 1e-9);
}

/// Each mistake of an own document has its code, and a document with mistakes still gives the rest.
#[test]
fn mistakes_are_told() {
    let of = |body: &str| {
        let sink = Sink::default();
        rules(&[File { name: "findings/own.toml".into(), text: format!("format = 1\n{body}") }], &sink);
        let codes: Vec<&str> = sink.borrow().list.iter().map(|d| d.code.0).collect();
        codes
    };
    let rest = "test_takes = \"1 min\"\nwho = \"crew\"\nsource = \"t\"\nmark = \"SEEN\"\ncause.a = { weight = 1, says = \"b\" }\ntext = { says = \"s\", test = \"t\", refuted = \"r\", remedy = \"m\" }\n";
    let rule = |more: &str| of(&format!("[finding.x]\n{more}\n{rest}"));
    assert!(rule("when = 'house.rh > q(\"50 %\")'").is_empty());
    assert_eq!(rule("when = 'house.rhh > q(\"50 %\")'"), ["R102"]);
    assert_eq!(rule("when = 'house.rh > q(\"50 Pa\")'"), ["U005"]);
    assert_eq!(rule("when = 'house.rh > envelope.ach50'"), ["R103"]);
    assert_eq!(rule("when = 'room.pressure > q(\"1 Pa\") && bath.flow > q(\"1 cfm\")'"), ["Q101"]);
    assert_eq!(of(&format!("[finding.wood_wet]\nwhen = 'house.rh > q(\"50 %\")'\n{rest}")), ["Q102"]);
    assert_eq!(rule("when = 'house.rh > q(\"50 %\")'\nspoils = [\"house.rh\"]"), ["Q106"]);
    assert_eq!(rule("when = 'house.rh > q(\"50 %\")'\nsetup = [\"house.rh\"]"), ["Q107"]);
    assert_eq!(rule("when = 'house.rh > q(\"50 %\")'\nsetup = [\"house.rh: doors ajar\"]"), ["T011"]);
    assert_eq!(rule("either = true\nwhen = '!(house.rh > q(\"50 %\"))'"), ["Q105"]);
    assert_eq!(
        rule(
            "when = 'house.rh > q(\"50 %\")'\nlimit.l = { of = \"attic.ice_dams\", value = \"1\", mark = \"SEEN\" }"
        ),
        ["Q104"]
    );
    assert_eq!(rule("when = 'house.rh > q(\"50 %\")'\nchange = 'what = \"{roof}\"'"), ["T011"]);
    let bare = "[finding.x]\nwhen = 'house.rh > q(\"50 %\")'\ntest_takes = \"1 min\"\nwho = \"crew\"\nsource = \"t\"\nmark = \"SEEN\"\ncause.a = { weight = 1 }\n";
    assert_eq!(of(bare), ["T003", "T003"], "words of an own rule stand beside it");
    assert_eq!(of("[[seen]]\nwhat = \"room.pressure\"\nvalue = \"3 Pa\"\n"), ["Q103"]);
    assert_eq!(of("[[seen]]\nwhat = \"attic.ice_dams\"\nof = \"attic\"\nis = true\n"), ["Q103"]);
    assert_eq!(of("[[seen]]\nwhat = \"house.rh\"\nvalue = \"3 Pa\"\n").len(), 1);
    assert_eq!(
        of("[[adopt]]\nfinding = \"wood_wet\"\nlimit = \"dry\"\nvalue = \"3 %\"\nsource = \"s\"\n"),
        ["T011"]
    );
}

fn inputs(more: &[(&str, String)]) -> Inputs {
    let mut files = crate::demo().unwrap();
    files.extend(more.iter().map(|(name, text)| File { name: (*name).to_owned(), text: text.clone() }));
    Inputs { files, now: String::new() }
}

/// Each ready change reads as a plan once the names of a house are filled in.
#[test]
fn ready_changes_read_as_plans() {
    let job = crate::Job::open(&inputs(&[]));
    let house = job.house.as_ref().unwrap();
    let mut filled = 0;
    for rule in ready().rules.into_iter().filter(|r| r.change.is_some()) {
        let sink = Sink::default();
        // Of what the demonstration house has of this kind.
        let (of, zone) = match rule.id.as_str() {
            id if id.contains("attic") || id == "ice_dams" => ("attic", "attic"),
            id if id.contains("crawl") => ("crawl", "crawl"),
            "garage_joined" => ("crawl", "crawl"),
            "bath_fan_weak" => ("bath_fan", "main"),
            "zone_depressurised" => ("water_heater", "closet"),
            _ => ("bedroom", "bedroom"),
        };
        let fires = judged(&ready(), &["wood.moisture(sill) = 26 % +- 2 %"]).found.remove(0);
        let finding = engine::finding::Finding {
            id: rule.id.clone(),
            of: Some(of.into()),
            zone: (rule.id != "leaky_all_over").then(|| zone.into()),
            change: rule.change.clone(),
            ..fires
        };
        let text =
            super::change_text(&finding, house, "try").unwrap_or_else(|| panic!("{}: no names", rule.id));
        assert!(!text.contains('{') && !text.contains("NAME"), "{text}");
        let file = File { name: "plans.toml".into(), text: format!("format = 1\n[plan.try]\n{text}") };
        let plans = engine::doc::plans::read(&file, &sink);
        assert!(sink.borrow().list.is_empty(), "{}: {text}{:#?}", rule.id, sink.borrow().list);
        assert!(plans.plans[0].whole && !plans.plans[0].changes.is_empty());
        let planned = engine::plan::resolve(&plans.plans, &[], house, None, None, &sink);
        assert!(!sink.borrow().has_errors() && !planned.is_empty(), "{}: {:#?}", rule.id, sink.borrow().list);
        filled += 1;
    }
    assert!(filled > 20, "{filled}");
}

/// The demonstration house: what it is complained of, and what it may do to its heater.
#[test]
fn the_demonstration_house() {
    let seen = "format = 1\n[[seen]]\nwhat = \"windows.condensation\"\nis = true\nnote = \"the owner, in January\"\n";
    let inputs = inputs(&[("findings/seen.toml", seen.to_owned())]);
    let out = answer(&Request::Findings { all: true }, &inputs, &mut |_| ControlFlow::Continue(()));
    let found = out.data.findings.as_ref().unwrap();
    let by = |id: &str| found.found.iter().find(|f| f.id == id);
    assert_eq!(found.found[0].group, Group::Hazard, "{:#?}", found.found[0]);
    let room = by("no_return_path").unwrap();
    assert_eq!(
        (room.group, room.zone.as_deref(), room.complaints.as_slice()),
        (Group::Complaint, Some("bedroom"), &[0][..])
    );
    assert_eq!(by("return_draws_from_around").unwrap().complaints, [1]);
    // One of three was seen: the rule says what else it needs.
    let wet = found.silent.iter().find(|s| s.id == "windows_wet").unwrap();
    assert!(wet.lacks.contains(&Lack::Quantity { quantity: "house.moisture_excess" }));
    let text = &out.summary.text;
    for key in ["finding-", "evidence-", "cause-", "findings-", "setup-", "who-"] {
        assert!(!text.contains(key), "a key without words: {text}");
    }
    assert!(text.contains("do = \"transfer\"") && text.contains("[[plan.try.change]]"), "{text}");
    let page = Request::Report { sheet: None, written: crate::Written::default() };
    let out = answer(&page, &inputs, &mut |_| ControlFlow::Continue(()));
    let html = &out.documents.iter().find(|d| d.name == "report.html").unwrap().text;
    assert!(html.contains("Findings") && html.contains("too little way back"));
}

/// The documentation's own examples read, and its tables name every quantity and finding.
#[test]
fn the_documentation_is_true() {
    let text = include_str!("../../../docs/FINDINGS.md");
    let blocks = text.split("```toml\n").skip(1).filter_map(|part| part.split("```").next());
    let sink = Sink::default();
    let whole = blocks.collect::<Vec<_>>().join("\n");
    let all = rules(&[File { name: "findings/documented.toml".into(), text: whole }], &sink);
    assert!(sink.borrow().list.is_empty(), "{:#?}", sink.borrow().list);
    assert!(all.seen.len() >= 2 && all.adopted.len() == 1 && all.rules.iter().any(|r| r.texts.is_some()));
    let missing: Vec<&str> =
        QUANTITIES.iter().map(|q| q.name).filter(|n| !text.contains(&format!("`{n}`"))).collect();
    assert!(missing.is_empty(), "{missing:?}");
    let missing: Vec<String> =
        ready().rules.into_iter().map(|r| r.id).filter(|id| !text.contains(&format!("`{id}`"))).collect();
    assert!(missing.is_empty(), "{missing:?}");
    let missing: Vec<&&str> = SETUPS.iter().filter(|s| !text.contains(&format!("`{s}`"))).collect();
    assert!(missing.is_empty(), "{missing:?}");
}
