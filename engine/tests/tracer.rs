//! Laws that tracer and moisture tests keep whatever the numbers.

use engine::procedure::moisture::mould::{Decline, Index, Sensitivity};
use engine::procedure::tracer::{Background, decay, search, two_zones};
use proptest::prelude::*;

fn record(rate_h: f64, excess: f64, noise: &[f64]) -> (Vec<f64>, Vec<f64>) {
    let n = noise.len();
    let time_s: Vec<f64> = (0..n).map(|i| 240.0 * i as f64).collect();
    let gas = time_s.iter().zip(noise);
    let gas = gas.map(|(t, e)| 420e-6 + excess * (-rate_h * t / 3600.0).exp() * (1.0 + 0.01 * e)).collect();
    (time_s, gas)
}

fn rate(time_s: &[f64], gas: &[f64], background: Option<(f64, f64)>) -> Option<decay::Decay> {
    let background = background.map(|(value, half)| Background { value, half: Some(half) });
    decay::evaluate(&decay::Asked { time_s, gas, background, volume_m3: Some((50.0, 1.0)) }).ok()
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    /// A power of two changes no rounding; the rate knows no unit.
    #[test]
    fn scaling_all_concentrations_changes_no_rate(
        rate_h in 0.3..3.0_f64, excess in 200e-6..2000e-6, noise in prop::collection::vec(-1.0..1.0, 12..60),
        power in -20i32..20,
    ) {
        let (time_s, gas) = record(rate_h, excess, &noise);
        let factor = 2.0_f64.powi(power);
        let scaled: Vec<f64> = gas.iter().map(|c| c * factor).collect();
        let (a, b) = (
            rate(&time_s, &gas, Some((420e-6, 10e-6))).unwrap(),
            rate(&time_s, &scaled, Some((420e-6 * factor, 10e-6 * factor))).unwrap(),
        );
        prop_assert!((a.rate.si / b.rate.si - 1.0).abs() < 1e-9);
        let (a, b) = (a.rate.bounds().unwrap(), b.rate.bounds().unwrap());
        prop_assert!((a.0 / b.0 - 1.0).abs() < 1e-6 && (a.1 / b.1 - 1.0).abs() < 1e-6);
    }

    #[test]
    fn shifting_the_clock_changes_nothing(
        rate_h in 0.3..3.0_f64, noise in prop::collection::vec(-1.0..1.0, 12..40), shift_min in 0u32..1_000_000,
    ) {
        let (time_s, gas) = record(rate_h, 900e-6, &noise);
        let shifted: Vec<f64> = time_s.iter().map(|t| t + 60.0 * f64::from(shift_min)).collect();
        let background = Some((420e-6, 5e-6));
        prop_assert_eq!(rate(&time_s, &gas, background), rate(&shifted, &gas, background));
    }

    #[test]
    fn a_wider_background_never_narrows_the_line(
        rate_h in 0.3..1.0_f64, noise in prop::collection::vec(-1.0..1.0, 8..16), half in 1e-6..30e-6,
    ) {
        let (time_s, gas) = record(rate_h, 900e-6, &noise);
        let exact = rate(&time_s, &gas, Some((420e-6, 0.0))).unwrap();
        let wide = rate(&time_s, &gas, Some((420e-6, half))).unwrap();
        prop_assume!(wide.method == decay::Method::Line);
        let width = |d: &decay::Decay| d.rate.bounds().map(|(lo, hi)| hi - lo).unwrap();
        prop_assert!(width(&wide) >= width(&exact));
    }

    #[test]
    fn whatever_is_read_nothing_breaks(
        gas in prop::collection::vec(prop_oneof![any::<f64>(), 0.0..5e-3], 0..30),
        background in prop::option::of(0.0..1e-3),
    ) {
        let time_s: Vec<f64> = (0..gas.len()).map(|i| 60.0 * i as f64).collect();
        let _ = rate(&time_s, &gas, background.map(|b| (b, 1e-5)));
        let asked = search::Asked { time_s: &time_s, gas: vec![&gas], volume_m3: None, background: None };
        let _ = search::search(&asked);
    }

    #[test]
    fn a_search_knows_no_unit_and_no_clock(
        rate_h in 0.5..2.0_f64, people in 0.002..0.01_f64, power in -8i32..8, shift_min in 0u32..100_000,
    ) {
        // Two hours of people in 40 m3, then nobody.
        let time_s: Vec<f64> = (0..600).map(|i| 60.0 * f64::from(i)).collect();
        // L/s over m3/h.
        let end = people * 3.6 / (rate_h * 40.0);
        let gas: Vec<f64> = time_s.iter().map(|t| {
            let up = |t: f64| end * (1.0 - (-rate_h * t / 3600.0).exp());
            420e-6 + if *t < 7200.0 { up(*t) } else { up(7200.0) * (-rate_h * (t - 7200.0) / 3600.0).exp() }
        }).collect();
        let factor = 2.0_f64.powi(power);
        let scaled: Vec<f64> = gas.iter().map(|c| c * factor).collect();
        let shifted: Vec<f64> = time_s.iter().map(|t| t + 60.0 * f64::from(shift_min)).collect();
        let rows = |time_s: &[f64], gas: &[f64], factor: f64| {
            let background = Some(Background { value: 420e-6 * factor, half: Some(4e-6 * factor) });
            let asked = search::Asked { time_s, gas: vec![gas], volume_m3: None, background };
            search::search(&asked).unwrap().stretches.iter().map(|s| s.rows).collect::<Vec<_>>()
        };
        let found = rows(&time_s, &gas, 1.0);
        prop_assert_eq!(found.len(), 1);
        prop_assert_eq!(&found, &rows(&shifted, &scaled, factor));
    }

    /// Outdoor air of the two rooms and what crosses come back from a record without noise.
    #[test]
    fn two_rooms_come_back(q1 in 5.0..60.0_f64, q2 in 10.0..100.0, across in 5.0..150.0) {
        let (v1, v2) = (35.0, 90.0);
        let time_s: Vec<f64> = (0..25).map(|i| 300.0 * f64::from(i)).collect();
        let (mut one, mut two) = (vec![1500.0], vec![200.0]);
        // Fine steps of Runge and Kutta's fourth order: another way than the engine's.
        let slope = |a: f64, b: f64| [(across * (b - a) - q1 * a) / v1, (across * (a - b) - q2 * b) / v2];
        for _ in 1..time_s.len() {
            let (mut a, mut b) = (*one.last().unwrap(), *two.last().unwrap());
            let h = 300.0 / 3600.0 / 50.0;
            for _ in 0..50 {
                let k1 = slope(a, b);
                let k2 = slope(a + h / 2.0 * k1[0], b + h / 2.0 * k1[1]);
                let k3 = slope(a + h / 2.0 * k2[0], b + h / 2.0 * k2[1]);
                let k4 = slope(a + h * k3[0], b + h * k3[1]);
                a += h / 6.0 * (k1[0] + 2.0 * k2[0] + 2.0 * k3[0] + k4[0]);
                b += h / 6.0 * (k1[1] + 2.0 * k2[1] + 2.0 * k3[1] + k4[1]);
            }
            one.push(a);
            two.push(b);
        }
        let ppm = |v: &[f64]| v.iter().map(|c| (c + 420.0) * 1e-6).collect::<Vec<f64>>();
        let (one, two) = (ppm(&one), ppm(&two));
        let found = two_zones::evaluate(&two_zones::Asked {
            time_s: &time_s,
            gas: [&one, &two],
            background: Background { value: 420e-6, half: None },
            volume_m3: [(v1, 0.0), (v2, 0.0)],
            source_m3_s: [0.0; 2],
            between: two_zones::Between::Equal,
        }).unwrap();
        let near = |told: &two_zones::Told, truth: f64| (told.flow.si * 3600.0 / truth - 1.0).abs() < 1e-3;
        prop_assert!(near(&found.outdoor[0], q1) && near(&found.outdoor[1], q2) && near(&found.across, across));
    }

    /// The index stays within its range, and a more sensitive material never has the lower one.
    #[test]
    fn mould_keeps_its_order(states in prop::collection::vec((-10.0..45.0, 30.0..100.0), 1..2000)) {
        let mut all = Sensitivity::ALL.map(|s| Index::from(s, Decline::AlmostNone, 0.0));
        for (temp_c, rh) in states {
            for index in &mut all {
                index.hour(temp_c, rh);
                prop_assert!((0.0..=6.5).contains(&index.index));
            }
        }
    }
}

#[test]
fn two_rooms_that_move_together_do_not_tell_their_exchange() {
    // Both rooms alike from the start: whatever crosses changes nothing.
    let time_s: Vec<f64> = (0..30).map(|i| 300.0 * f64::from(i)).collect();
    let alike: Vec<f64> = time_s.iter().map(|t| 420e-6 + 900e-6 * (-t / 7200.0).exp()).collect();
    let noise = |i: usize, k: usize| 2e-6 * ((7 * i + 13 * k) as f64).sin();
    let room = |k: usize| alike.iter().enumerate().map(|(i, c)| c + noise(i, k)).collect::<Vec<f64>>();
    let (one, two) = (room(1), room(2));
    let found = two_zones::evaluate(&two_zones::Asked {
        time_s: &time_s,
        gas: [&one, &two],
        background: Background { value: 420e-6, half: None },
        volume_m3: [(40.0, 0.0), (40.0, 0.0)],
        source_m3_s: [0.0; 2],
        between: two_zones::Between::Equal,
    })
    .unwrap();
    assert!(!found.across.told, "{:?}", found.across);
    assert!(found.outdoor_total.told);
    assert!((found.outdoor_total.flow.si * 3600.0 - 40.0).abs() < 1.0, "{:?}", found.outdoor_total);
}

#[test]
fn mixing_alone_is_no_outdoor_air() {
    // 35 and 365 m3, 300 m3/h each way, no outdoor air: closed form, both end at 766.25 ppm.
    let time_s: Vec<f64> = (0..30).map(|i| 60.0 * f64::from(i)).collect();
    let at = |t: f64, v: f64| (766.25 + v * (-9.393_346 * t / 3600.0).exp()) * 1e-6;
    let bedroom: Vec<f64> = time_s.iter().map(|t| at(*t, 1733.75)).collect();
    let rest: Vec<f64> = time_s.iter().map(|t| at(*t, -166.25)).collect();
    let background = Some(Background { value: 420e-6, half: Some(0.0) });
    let asked = search::Asked {
        time_s: &time_s,
        gas: vec![&bedroom, &rest],
        volume_m3: Some(vec![(35.0, 0.0), (365.0, 0.0)]),
        background,
    };
    let whole = search::whole(&asked).unwrap();
    assert_eq!(whole.stretches[0].kind, search::Kind::OnlyBetweenRooms);
    // With outdoor air of 0.5 1/h in both, the sum tells it and the bedroom alone does not.
    let leak = |c: &f64, t: &f64| 420e-6 + (c - 420e-6) * (-0.5 * t / 3600.0).exp();
    let bedroom: Vec<f64> = bedroom.iter().zip(&time_s).map(|(c, t)| leak(c, t)).collect();
    let rest: Vec<f64> = rest.iter().zip(&time_s).map(|(c, t)| leak(c, t)).collect();
    let asked = search::Asked { gas: vec![&bedroom, &rest], ..asked };
    let whole = search::whole(&asked).unwrap();
    let found = &whole.stretches[0];
    assert_eq!(found.kind, search::Kind::BetweenRooms);
    let rate = found.of_sum.as_ref().unwrap().rate.si * 3600.0;
    assert!((rate - 0.5).abs() < 1e-3, "{rate}");
    assert!(found.decay.rate.si * 3600.0 > 2.0);
}
