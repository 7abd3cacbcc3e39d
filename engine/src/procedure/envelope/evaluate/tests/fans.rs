//! Several fans at once.

use super::*;

fn accuracy(relative: f64, absolute: f64) -> Option<Accuracy> {
    Some(Accuracy { relative, absolute, larger: false })
}

/// The test with its flow shared out: `share` of each station's to the first of two equal fans.
fn shared_out(one: &EnvelopeTest, share: impl Fn(usize) -> f64) -> EnvelopeTest {
    let mut test = one.clone();
    test.flow_gauges.push(one.flow_gauges[0].clone());
    for (i, station) in test.runs[0].stations.iter_mut().enumerate() {
        let all = station.fans[0];
        let part = |share: f64| FanReading { shown: share * all.shown, ..all };
        station.fans = vec![part(share(i)), part(1.0 - share(i))];
    }
    test
}

fn at(result: &EnvelopeResult, dp_pa: f64) -> FlowAt {
    *result.figures.flow_at(dp_pa).unwrap()
}

#[test]
fn two_fans_showing_half_each_are_one_with_a_smaller_gain() {
    let mut one = simple(&FT1);
    one.flow_gauges[0].accuracy = accuracy(0.05, 0.0);
    let two = shared_out(&one, |_| 0.5);
    for p in crate::procedure::envelope::PROFILES {
        let (one, two) = (evaluate(&one, p).result.unwrap(), evaluate(&two, p).result.unwrap());
        let (a, b) = (at(&one, 50.0), at(&two, 50.0));
        assert!((a.flow.total.si / b.flow.total.si - 1.0).abs() < 1e-12, "{}", p.id);
        assert!((one.exponent.total.si - two.exponent.total.si).abs() < 1e-12);
        let ratio = a.parts.flow_gain.unwrap() / b.parts.flow_gain.unwrap();
        assert!((ratio - 2.0_f64.sqrt()).abs() < 1e-12, "{}: {ratio}", p.id);
        let same = |a: Option<f64>, b: Option<f64>| (a.unwrap_or(0.0) - b.unwrap_or(0.0)).abs() < 1e-12;
        assert!(same(a.parts.scatter, b.parts.scatter) && one.runs[0].fans.is_empty());
        assert!((two.runs[0].fans[1].share50 - 0.5).abs() < 1e-12);
    }
    let bounds = |t| evaluate(t, profile("iso-9972")).result.unwrap().exponent.total.bounds().unwrap();
    let (a, b) = (bounds(&one), bounds(&two));
    assert!((a.0 - b.0).abs() < 1e-12 && (a.1 - b.1).abs() < 1e-12, "equal shares leave the exponent alone");
}

/// How far the curve moves where one fan's readings are all too high by a little, by working the
/// test again.
#[test]
fn the_gain_part_is_what_a_wrong_gauge_does_to_the_curve() {
    let mut one = simple(&FT1);
    one.flow_gauges[0].accuracy = accuracy(0.04, 0.0);
    // The second fan is opened for the three highest pressures only.
    let mut test = shared_out(&one, |i| if i < 3 { 1.0 } else { 0.55 });
    test.flow_gauges[1].accuracy = accuracy(0.02, 0.01);
    let iso = profile("iso-9972");
    let worked = |t: &EnvelopeTest| evaluate(t, iso).result.unwrap();
    let step = 1e-5;
    let moved = |fan: usize, by: f64| {
        let mut test = test.clone();
        for station in &mut test.runs[0].stations {
            station.fans[fan].shown *= 1.0 + by;
        }
        worked(&test)
    };
    let pairs: Vec<_> = (0..2).map(|fan| (moved(fan, step), moved(fan, -step))).collect();
    let result = worked(&test);
    let own = |i: usize| 0.45 * FT1[i].1 / 3600.0;
    let mean = math::exp([3, 4, 5].map(|i| math::ln(own(i))).iter().sum::<f64>() / 3.0);
    let gains = [0.04, 0.02 + 0.01 / mean];
    for dp in [4.0, 10.0, 50.0, 75.0] {
        let effect = |(up, down): &(EnvelopeResult, EnvelopeResult)| {
            (math::ln(at(up, dp).flow.total.si) - math::ln(at(down, dp).flow.total.si)) / (2.0 * step)
        };
        let expected: f64 = pairs.iter().zip(gains).map(|(p, g)| (g * effect(p)) * (g * effect(p))).sum();
        let part = at(&result, dp).parts.flow_gain.unwrap();
        assert!((part / expected.sqrt() - 1.0).abs() < 1e-6, "{dp} Pa: {part} {}", expected.sqrt());
    }
    let turned = |(up, down): &(EnvelopeResult, EnvelopeResult)| {
        (up.exponent.total.si - down.exponent.total.si) / (2.0 * step)
    };
    let gauges: f64 = pairs.iter().zip(gains).map(|(p, g)| (g * turned(p)) * (g * turned(p))).sum();
    let half = |e: &Estimate| (e.bounds().unwrap().1 - e.si).abs();
    let (total, scatter) = (half(&result.exponent.total), half(&result.exponent.scatter));
    assert!(((total * total - scatter * scatter) / gauges - 1.0).abs() < 1e-5);
    // Each instrument has to keep the standard's limit by itself: the worst is judged.
    let check = result.all_checks().find(|c| c.id == CheckId::FlowAccuracy).unwrap();
    assert!((check.value.unwrap() - gains[1].max(gains[0])).abs() < 1e-12);
}

#[test]
fn fans_that_show_different_things_make_one_house() {
    let tell = |basis, directions, order| {
        let telling =
            Telling { basis, order, directions, baseline_already_out: false, table: false, ranges: 1 };
        telling.test()
    };
    let both: &[Direction] = &[Depressurise, Pressurise];
    for (directions, order) in [
        (&both[..1], TapOrder::HouseMinusOutdoors),
        (&both[1..], TapOrder::OutdoorsMinusHouse),
        (both, TapOrder::HouseMinusOutdoors),
    ] {
        let mut test = tell(Basis::FanPressure, directions, order);
        let others =
            [Basis::CalibrationDensity { density_kg_m3: 1.2041 }, Basis::StandardAir, Basis::Envelope]
                .map(|basis| tell(basis, directions, order));
        for (i, station) in test.runs[0].stations.iter_mut().enumerate() {
            let rest = if i % PRESSURES_PA.len() < 2 { 0.0 } else { 0.2 };
            // The calibration's exponent is 0.497.
            station.fans[0].shown *= math::pow(1.0 - 3.0 * rest, 1.0 / 0.497);
            for other in &others {
                let all = other.runs[0].stations[i].fans[0];
                station.fans.push(FanReading { shown: rest * all.shown, ..all });
            }
        }
        test.flow_gauges.extend(others.iter().map(|o| o.flow_gauges[0].clone()));
        let outcome = evaluate(&test, profile("iso-9972"));
        assert!(!outcome.diagnostics.has_errors(), "{:?}", outcome.diagnostics);
        let result = outcome.result.unwrap();
        let truth = C_REF * math::pow(50.0, N);
        assert!((at(&result, 50.0).flow.total.si / truth - 1.0).abs() < 1e-9);
        assert!((result.exponent.total.si - N).abs() < 1e-9);
    }
}

#[test]
fn mistakes_with_several_fans_are_named() {
    let iso = profile("iso-9972");
    let said = |test: &EnvelopeTest, code: Code, fan: Option<usize>| {
        let outcome = evaluate(test, iso);
        let found = outcome.diagnostics.list.iter().find(|d| d.code == code);
        let found = found.unwrap_or_else(|| panic!("{code} in {:?}", outcome.diagnostics));
        if let Some(fan) = fan {
            assert!(found.args.contains(&("fan", Arg::Number(fan as f64))), "{found:?}");
        }
        outcome
    };
    let mut one = simple(&FT1);
    one.flow_gauges[0].accuracy = accuracy(0.05, 0.0);
    one.pressure_gauge.accuracy = accuracy(0.01, 0.0);
    let good = shared_out(&one, |_| 0.5);
    assert!(evaluate(&good, iso).diagnostics.list.is_empty());

    let mut test = good.clone();
    test.runs[0].stations[1].fans.pop();
    test.runs[0].stations[2].fans[1].shown = -0.1;
    assert_eq!(said(&test, code::E124, None).result.unwrap().runs[0].left_out, vec![2, 3]);
    said(&test, code::E103, Some(2));
    for fan in &mut test.runs[0].stations[2].fans {
        fan.shown = 0.0;
    }
    said(&test, code::E103, Some(0));

    let mut test = good.clone();
    test.flow_gauges[1].basis = Basis::Actual;
    assert!(said(&test, code::E123, None).result.is_none());

    let mut test = good.clone();
    test.flow_gauges[1].accuracy = None;
    let result = said(&test, code::E118, Some(2)).result.unwrap();
    assert_eq!(at(&result, 50.0).parts.flow_gain, None);
    for station in &mut test.runs[0].stations {
        station.fans[1].shown = 0.0;
    }
    let result = evaluate(&test, iso).result.unwrap();
    assert!((at(&result, 50.0).parts.flow_gain.unwrap() - 0.05).abs() < 1e-12, "a sealed fan has no error");

    let mut test = good;
    test.flow_gauges[1].basis = Basis::FanPressure;
    test.flow_gauges[0].basis = Basis::Actual;
    said(&test, code::E110, Some(2));
    let curve = Curve::Power { k_m3_s: -0.02, exponent: 0.5, span_pa: None };
    test.flow_gauges[1].calibrations = vec![Calibration { curve, density_kg_m3: 1.2 }];
    assert!(said(&test, code::E111, Some(2)).result.is_none());
    test.flow_gauges[1].accuracy = accuracy(-0.1, 0.0);
    test.flow_gauges[1].calibrations[0].curve = Curve::Power { k_m3_s: 0.02, exponent: 0.5, span_pa: None };
    said(&test, code::E122, Some(2));
}
