//! No sequence of signals beats what a rule remembers.

use super::*;
use proptest::prelude::*;

const RULES: &str = r#"
[exposure]
target = "40 L/s"
infiltration = "12 L/s"
[rule.damp]
device = "bath_fan"
on = "100 %"
off = "0 %"
on_when = 'wet_bath.humidity_rise > q("2 g/kg")'
off_when = 'wet_bath.humidity_rise < q("1 g/kg")'
min_on = "20 min"
min_off = "10 min"
if_lost = "on"
[rule.smoke]
device = "intake"
does = "lock out"
floor = "20 %"
on_when = 'outdoor.pm25 > q("35 ug/m3")'
off_when = 'outdoor.pm25 < q("20 ug/m3")'
min_on = "30 min"
min_off = "15 min"
most_on = "6 h"
priority = 8
if_lost = "off"
[rule.people]
device = "intake"
on = "100 %"
on_when = 'bedroom.co2 > q("1000 ppm")'
off_when = 'bedroom.co2 < q("800 ppm")'
min_on = "5 min"
"#;

/// Codes of random signals: rise, outdoor particles and CO2 by slot.
fn feed(set: &Set, draw: &(u8, u8, u8, f64), signals: &mut [f64]) {
    let slot = |name: &str| set.signals.slot(name).unwrap();
    let one = |code: u8, low: f64, middle: f64, high: f64| match code {
        0 => low,
        1 => middle,
        2 => high,
        _ => f64::NAN,
    };
    signals[slot("wet_bath.humidity_rise")] = one(draw.0, 0.0005, 0.0015, 0.004);
    signals[slot("outdoor.pm25")] = one(draw.1, 10e-9, 25e-9, 90e-9);
    signals[slot("bedroom.co2")] = one(draw.2, 600e-6, 900e-6, 1200e-6);
    signals[slot("house.outdoor_air")] = if draw.0 == 3 { f64::NAN } else { draw.3 };
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn least_times_caps_and_debts_hold(
        draws in prop::collection::vec((0_u8..4, 0_u8..4, 0_u8..4, 0.0..0.08_f64, 1.0..900.0_f64), 1..400),
    ) {
        let set = good(RULES);
        let mut machine = Machine::new(set.clone());
        let mut twin = machine.clone();
        let mut signals = set.signals.usual();
        let count = set.rules.len();
        let mut since = vec![0.0; count];
        let mut on = vec![false; count];
        // (end of a step on, its length), for the capped rule.
        let smoke = set.rules.iter().position(|r| r.name == "smoke").unwrap();
        let mut history: Vec<(f64, f64)> = Vec::new();
        let (mut now, mut longest) = (0.0, 0.0_f64);
        for (a, b, c, flow, dt) in &draws {
            now += dt;
            longest = longest.max(*dt);
            feed(&set, &(*a, *b, *c, *flow), &mut signals);
            if machine.is_on(smoke) {
                history.push((now, *dt));
            }
            let before = machine.ledger().unwrap().clone();
            let settings = machine.step(&signals, *dt).to_vec();
            prop_assert_eq!(&settings[..], twin.step(&signals, *dt));
            for (k, rule) in set.rules.iter().enumerate() {
                since[k] += dt;
                if machine.is_on(k) != on[k] {
                    let least = if on[k] { rule.min_on_s } else { rule.min_off_s };
                    prop_assert!(since[k] >= least, "{} after {} s", rule.name, since[k]);
                    on[k] = machine.is_on(k);
                    since[k] = 0.0;
                }
            }
            let day: f64 = history.iter().filter(|h| h.0 > now - 86_400.0).map(|h| h.1).sum();
            prop_assert!(day <= set.rules[smoke].most_on_s + longest + 1e-6, "{day}");
            let ledger = machine.ledger().unwrap();
            let (booked, repaid) = ledger.books_s();
            prop_assert!((booked - repaid - ledger.owed_s()).abs() <= 1e-9 * (1.0 + booked));
            prop_assert!(ledger.owed_s() >= 0.0 && repaid <= booked + 1e-9);
            // A debt only goes down while the air is above its target.
            if ledger.owed_s() < before.owed_s() {
                let least = ledger.relative_exposure().min(before.relative_exposure());
                prop_assert!(least < 1.0 + 1e-12);
            }
            for s in &settings {
                prop_assert!((0.0..=1.0).contains(&s.applied(0.5)));
            }
        }
        prop_assert_eq!(machine.ledger(), twin.ledger());
    }

    #[test]
    fn a_lost_sensor_reaches_its_fail_safe(
        draws in prop::collection::vec((0_u8..3, 0_u8..3, 0_u8..3, 0.0..0.08_f64), 1..60),
    ) {
        let set = good(RULES);
        let mut machine = Machine::new(set.clone());
        let mut signals = set.signals.usual();
        for draw in &draws {
            feed(&set, draw, &mut signals);
            machine.step(&signals, 60.0);
        }
        feed(&set, &(3, 3, 3, 0.02), &mut signals);
        // The longest least time, and one step.
        for _ in 0..31 {
            machine.step(&signals, 60.0);
        }
        for (k, rule) in set.rules.iter().enumerate() {
            prop_assert!(machine.is_lost(k));
            prop_assert_eq!(machine.is_on(k), rule.if_lost == IfLost::On, "{}", rule.name);
        }
    }
}

#[test]
fn priorities_rests_and_lock_outs() {
    let set = good(RULES);
    let (bath, intake) = (set.signals.device("bath_fan").unwrap(), set.signals.device("intake").unwrap());
    let mut machine = Machine::new(set.clone());
    let mut signals = set.signals.usual();
    feed(&set, &(0, 0, 0, 0.03), &mut signals);
    let settings = machine.step(&signals, 3600.0);
    assert_eq!((settings[bath].set, settings[intake]), (Some(0.0), Setting::FREE));
    feed(&set, &(2, 2, 2, 0.03), &mut signals);
    let settings = machine.step(&signals, 3600.0);
    assert_eq!((settings[bath].set, settings[intake].set), (Some(1.0), Some(1.0)));
    // The lock-out is of a higher priority than the rule for people.
    assert!((settings[intake].applied(0.4) - 0.2).abs() < 1e-12);
    // Without CO2 the rule for people lets go; the lock-out holds.
    feed(&set, &(0, 2, 3, 0.03), &mut signals);
    let settings = machine.step(&signals, 3600.0);
    assert_eq!((settings[intake].set, settings[intake].applied(0.4)), (None, 0.2));
}

#[test]
fn exposure_and_repayment_against_an_integration() {
    // scipy 1.16.3 solve_ivp (LSODA, rtol 1e-12) of dR/dt = (0.04 - Q R)/350 from R = 1:
    // 12 h at 0.018 m3/s, then the time at 0.062 m3/s until the integral of R - 1 is back at zero.
    let reference = [2.089705122880816, 31611.289277317384, 112067.73979003];
    let (r, seconds) = exposure_after(1.0, 43_200.0, 0.018, 0.04, 350.0);
    assert!((r - reference[0]).abs() < 1e-9 && (seconds - 43_200.0 - reference[1]).abs() < 1e-3);
    let repaid = repay_s(seconds - 43_200.0, r, 0.062, 0.04, 350.0).unwrap();
    assert!((repaid - reference[2]).abs() < 1.0, "{repaid}");
    assert!(
        repay_s(100.0, 1.0, 0.04, 0.04, 350.0).is_none() && repay_s(1.0, 1.0, 0.0, 0.04, 350.0).is_none()
    );
    // Without flow: a straight line.
    let (r, seconds) = exposure_after(1.0, 3600.0, 0.0, 0.04, 350.0);
    assert!((r - (1.0 + 0.04 * 3600.0 / 350.0)).abs() < 1e-12);
    assert!((seconds - 3600.0 * (1.0 + 0.5 * 0.04 * 3600.0 / 350.0)).abs() < 1e-9);
}

#[test]
fn a_lock_out_owes_for_days() {
    let set = good(&RULES.replace("target = \"40 L/s\"", "target = \"55 L/s\""));
    let smoke = set.rules.iter().position(|r| r.name == "smoke").unwrap();
    let worst = set.worst_debt(smoke).unwrap();
    // 12 L/s by itself and a fifth of 50 L/s; 350 m3 of rooms.
    assert!((worst.flow_m3_s - 0.022).abs() < 1e-12 && (worst.acts_s - 21_600.0).abs() < 1e-9);
    // By hand, 62 L/s against 55: (14 673 + 6929) / 0.113 s.
    assert!((worst.owed_s - 14_673.0).abs() < 20.0, "{worst:?}");
    assert!((worst.repay_s.unwrap() / 86_400.0 - 2.2).abs() < 0.05, "{worst:?}");
}

#[test]
fn every_rule_is_provoked_as_expected() {
    let set = good(RULES);
    for rule in 0..set.rules.len() {
        let done = provoke(&set, rule).unwrap();
        assert!(done.is_as_expected() && done.without == 0, "{done:#?}");
        assert!(done.parts.iter().any(|p| matches!(p.stage, Stage::Provoke(_)) && p.seen));
        assert!(done.parts.iter().any(|p| p.stage == Stage::Lose));
        let capped = set.rules[rule].most_on_s.is_finite();
        assert_eq!(done.parts.iter().any(|p| p.stage == Stage::Cap), capped);
    }
}
