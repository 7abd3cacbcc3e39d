//! Invented ducts whose leakage is known, tested.

use super::leakage::{Asked, Part, Point, Run, Tap, To, evaluate};
use super::{delivery, difference, pans};
use crate::math;
use crate::procedure::instrument::Direction;
use crate::rng::Stream;
use crate::units::Accuracy;
use proptest::prelude::*;

fn asked(runs: Vec<Run>) -> Asked {
    let share = |relative| Some(Accuracy { relative, absolute: 0.0, larger: false });
    Asked {
        test: "ducts".into(),
        runs,
        tap: Tap::SupplyPlenum,
        elsewhere_frac: Some(0.0),
        exponent: None,
        pressure_accuracy: share(0.01),
        flow_accuracy: share(0.03),
        floor_area_m2: None,
        handler_m3_s: None,
        supply_plenum_pa: None,
        return_plenum_pa: None,
        limit: None,
    }
}

fn run(part: Part, to: To, direction: Direction, points: &[(f64, f64)]) -> Run {
    let sign = if direction == Direction::Depressurise { -1.0 } else { 1.0 };
    let point = |(pa, flow): &(f64, f64)| Point {
        duct_pa: if to == To::Outdoors { 0.0 } else { sign * pa },
        house_pa: (to == To::Outdoors).then_some(sign * pa),
        flow_m3_s: *flow,
        span: None,
    };
    Run {
        name: format!("{part:?} {to:?} {direction:?}"),
        part,
        to,
        direction,
        baseline_pa: 0.0,
        points: points.iter().map(point).collect(),
        span: None,
    }
}

proptest! {
    #[test]
    fn a_power_law_comes_back_in_both_directions(c in 1e-3..2e-2f64, n in 0.5..0.95f64, pa in 15.0..40.0f64) {
        let points: Vec<(f64, f64)> =
            [0.6, 0.8, 1.0, 1.3].iter().map(|f| (f * pa, c * math::pow(f * pa, n))).collect();
        for direction in [Direction::Pressurise, Direction::Depressurise] {
            for to in [To::Anywhere, To::Outdoors] {
                let (result, wrong) = evaluate(&asked(vec![run(Part::Whole, to, direction, &points)]));
                prop_assert!(wrong.list.is_empty());
                prop_assert!((result.combined[0].q25.si / (c * math::pow(25.0, n)) - 1.0).abs() < 1e-9);
                prop_assert!((result.runs[0].exponent.si - n).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn tight_and_insulated_ducts_deliver_all(cap in 3e3..2e4f64, around in 250.0..330.0f64) {
        let whole = delivery::balance([1.0; 2], [1.0; 2], [around; 2], 293.15, cap / 600.0);
        prop_assert!((whole.effectiveness - 1.0).abs() < 1e-12);
    }

    /// Sealed ducts feel the house through their inside leaks and outdoors through the others: the same
    /// flow passes both, and the difference of the two tests is turned back into the leakage.
    #[test]
    fn the_sealed_state_is_undone(outside in 1e-3..2e-2f64, duct_pa in 10.0..49.0f64) {
        let n = 0.6;
        let open = outside * math::pow(50.0, n);
        let still = outside * math::pow(50.0 - duct_pa, n);
        let found = (open - still) * difference::sealed_factor(duct_pa, n);
        prop_assert!((found / open - 1.0).abs() < 1e-9);
    }

    #[test]
    fn pans_scale_with_their_zone(pan in 0.1..20.0f64, zone in 25.0..50.0f64) {
        prop_assert!((pans::at_50_pa(pan, zone) - pans::at_50_pa(2.0 * pan, 2.0 * zone)).abs() < 1e-12);
        prop_assert!((pans::area_ratio(pan, zone) - pans::area_ratio(2.0 * pan, 2.0 * zone)).abs() < 1e-9);
    }
}

/// Do the 95 % intervals hold the truth? One and several points, gauges wrong within their limits.
#[test]
fn intervals_hold_the_truth() {
    let mut rng = Stream::new(11, "duct-leakage");
    for count in [1_usize, 5] {
        let (tests, mut inside) = (2000, 0);
        for _ in 0..tests {
            // The assumed exponent holds 95 times in a hundred, as the accuracies.
            let n = 0.6 + 0.1 / 1.96 * rng.normal();
            let c = 0.01;
            let (flow, pressure) = (1.0 + 0.03 / 1.96 * rng.normal(), 1.0 + 0.01 / 1.96 * rng.normal());
            let points: Vec<(f64, f64)> = (0..count)
                .map(|i| {
                    let pa = 20.0 + 10.0 * i as f64;
                    // One reading of a single-point test has no scatter that could be seen.
                    let scatter = if count > 1 { 0.01 * rng.normal() } else { 0.0 };
                    (pa * pressure, c * math::pow(pa, n) * flow * math::exp(scatter))
                })
                .collect();
            let truth = c * math::pow(25.0, n);
            let (result, _) =
                evaluate(&asked(vec![run(Part::Whole, To::Anywhere, Direction::Pressurise, &points)]));
            let (lo, hi) = result.combined[0].q25.bounds().unwrap();
            inside += usize::from(lo <= truth && truth <= hi);
        }
        let share = inside as f64 / f64::from(tests);
        assert!((0.93..0.985).contains(&share), "{count} points: {share}");
    }
}

#[test]
fn what_remains_between_ducts_and_house_widens_the_outdoor_leakage() {
    let total = run(Part::Whole, To::Anywhere, Direction::Pressurise, &[(25.0, 0.08)]);
    let mut outdoors = run(Part::Whole, To::Outdoors, Direction::Pressurise, &[(25.0, 0.03)]);
    let width = |outdoors: &Run| {
        let (result, _) = evaluate(&asked(vec![total.clone(), outdoors.clone()]));
        let of = result.combined.iter().find(|c| c.to == To::Outdoors).unwrap().q25.bounds().unwrap();
        of.1 - of.0
    };
    let exact = width(&outdoors);
    outdoors.points[0].duct_pa = 0.5;
    // 0.05 m3/s of inside leakage at 25 Pa passes (0.5/25)^0.6 of itself.
    assert!((width(&outdoors) - exact - 2.0 * 0.05 * math::pow(0.02, 0.6)).abs() < 0.002);
}

#[test]
fn sides_are_added_and_held_against_the_whole() {
    let one = |part, flow| run(part, To::Anywhere, Direction::Pressurise, &[(25.0, flow)]);
    let (result, _) = evaluate(&asked(vec![one(Part::Supply, 0.04), one(Part::Return, 0.02)]));
    let whole = result.combined.iter().find(|c| c.part == Part::Whole).unwrap();
    assert!(whole.summed && (whole.q25.si - 0.06).abs() < 1e-12 && result.split_gap.is_none());
    let (result, _) =
        evaluate(&asked(vec![one(Part::Supply, 0.04), one(Part::Return, 0.02), one(Part::Whole, 0.05)]));
    assert!((result.split_gap.unwrap().si - 0.01).abs() < 1e-12);
    assert!(result.worked().notes.iter().any(|n| n.id == "note-duct-split"));
}

#[test]
fn wrong_points_are_said_and_the_rest_computes() {
    let mut one = run(Part::Whole, To::Anywhere, Direction::Pressurise, &[(25.0, 0.06), (25.0, 0.06)]);
    one.points[0].duct_pa = -25.0;
    one.points[1].flow_m3_s = f64::NAN;
    one.points.push(Point { duct_pa: 26.0, house_pa: None, flow_m3_s: 0.06, span: None });
    let (result, wrong) = evaluate(&asked(vec![one]));
    let codes: Vec<&str> = wrong.list.iter().map(|d| d.code.0).collect();
    assert_eq!(codes, ["D203", "D203"]);
    assert_eq!(result.runs[0].points, 1);
}
