//! What the air carries, against the matrix exponential of scipy and published arithmetic.
#![allow(
    clippy::unwrap_used,
    clippy::print_stdout,
    reason = "tests: helpers unwrap, measurements are printed"
)]

use engine::transport::{End, Exchange, Stepper, exact, step};
use serde_json::Value;

struct Case {
    duration_s: f64,
    capacity: Vec<f64>,
    exchange: Exchange,
    start: Vec<f64>,
    end: Vec<f64>,
}

fn cases() -> Vec<Case> {
    let text = include_str!("../data/transport-expm/cases.csv");
    let rows: Vec<Vec<&str>> = text.lines().skip(1).map(|l| l.split(',').collect()).collect();
    let number = |row: &[&str], k: usize| row[k].parse::<f64>().unwrap();
    let mut cases = Vec::new();
    for group in rows.chunk_by(|a, b| a[0] == b[0]) {
        let zones = group.len();
        let mut exchange = Exchange::new(zones);
        for (from, row) in group.iter().enumerate() {
            exchange.lost[from] = number(row, 4);
            exchange.input[from] = number(row, 5);
            for to in 0..zones {
                exchange.transfer[from * zones + to] = number(row, 7 + to);
            }
        }
        let column = |k: usize| group.iter().map(|row| number(row, k)).collect::<Vec<f64>>();
        cases.push(Case {
            duration_s: number(&group[0], 2),
            capacity: column(3),
            exchange,
            start: column(6),
            end: column(15),
        });
    }
    cases
}

fn largest(values: &[f64]) -> f64 {
    values.iter().fold(0.0, |a, b| a.max(b.abs()))
}

fn worst_difference(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).fold(0.0, |w, (x, y)| w.max((x - y).abs()))
}

#[test]
fn reference_stepper_agrees_with_scipy_expm() {
    let cases = cases();
    assert_eq!(cases.len(), 24);
    let mut worst: f64 = 0.0;
    for case in &cases {
        let mut values = case.start.clone();
        exact(case.duration_s, &case.capacity, &case.exchange, &mut values);
        for (value, expected) in values.iter().zip(&case.end) {
            worst = worst.max((value / expected - 1.0).abs());
        }
    }
    println!("worst relative difference from expm: {worst:.1e}");
    assert!(worst < 1e-9);
}

#[test]
fn ordinary_step_is_first_order() {
    for case in &cases() {
        // The duration is cut so that the coarsest step resolves the fastest rate.
        let fastest = (0..case.capacity.len())
            .map(|i| {
                let n = case.capacity.len();
                let out: f64 = (0..n).map(|j| case.exchange.transfer[i * n + j]).sum();
                (out + case.exchange.lost[i]) / case.capacity[i]
            })
            .fold(0.0, f64::max);
        let duration_s = 1.0 / fastest;
        let mut truth = case.start.clone();
        exact(duration_s, &case.capacity, &case.exchange, &mut truth);
        let error = |steps: i32| {
            let mut values = case.start.clone();
            let dt_s = duration_s / f64::from(steps);
            let mut stepper = Stepper::default();
            stepper.factor(dt_s, &case.capacity, &case.exchange);
            for _ in 0..steps {
                stepper.advance(&case.capacity, &case.exchange, &mut values);
            }
            worst_difference(&values, &truth) / largest(&truth)
        };
        let (coarse, fine) = (error(64), error(128));
        let ratio = coarse / fine;
        assert!((1.9..2.1).contains(&ratio), "ratio {ratio}");
    }
}

struct TwoZones {
    capacity: Vec<f64>,
    exchange: Exchange,
}

/// Volumes in m3 stand for masses and m3/s for flows: the density cancels.
fn two_zones(case: &Value) -> TwoZones {
    let get = |key: &str| case[key].as_f64().unwrap();
    let (v1, v2) = (get("V1"), get("V2"));
    let mut exchange = Exchange::new(2);
    let outdoors_ppm = case["Co"].as_f64().unwrap_or(420.0);
    for (zone, flow) in [(0, get("a1_per_h") * v1 / 3600.0), (1, get("a2_per_h") * v2 / 3600.0)] {
        exchange.add_from_outdoors(zone, flow, outdoors_ppm, 1.0);
        exchange.add_to_outdoors(zone, flow);
    }
    // The handler draws twice the exchange flow from each room and blows as much into each: half
    // of what a room sends comes back to it, half crosses.
    let mix = get("Qm_m3h") / 3600.0;
    let ends = [End { zone: Some(0), flow: 2.0 * mix }, End { zone: Some(1), flow: 2.0 * mix }];
    exchange.add_mixed(&ends, &ends, 1.0, 1.0, outdoors_ppm);
    exchange.input[0] += get("G_m3h") / 3600.0 * 1e6;
    TwoZones { capacity: vec![v1, v2], exchange }
}

#[test]
fn two_rooms_mixed_by_an_air_handler() {
    let text = include_str!("../data/two-zone-co2/cases.json");
    let file: Value = serde_json::from_str(text).unwrap();
    let mut bedroom_by_mixing = Vec::new();
    for case in file["cases"].as_array().unwrap() {
        let get = |key: &str| case[key].as_f64();
        let TwoZones { capacity, exchange } = two_zones(case);
        if let Some(hours) = get("t_h") {
            let c0 = get("C0").unwrap();
            let mut values = [c0, c0];
            exact(hours * 3600.0, &capacity, &exchange, &mut values);
            assert!((values[0] - get("C1_8h").unwrap()).abs() < 0.006, "{values:?}");
            assert!((values[1] - get("C2_8h").unwrap()).abs() < 0.006);
            bedroom_by_mixing.push(values[0]);
            exact(4000.0 * 3600.0, &capacity, &exchange, &mut values);
            assert!((values[0] - get("C1_ss").unwrap()).abs() < 0.006);
            assert!((values[1] - get("C2_ss").unwrap()).abs() < 0.006);
            // The ordinary step at five minutes, against the largest value of the case.
            let mut stepped = [c0, c0];
            for _ in 0..96 {
                step(300.0, &capacity, &exchange, &mut stepped);
            }
            let error = (stepped[0] - get("C1_8h").unwrap()).abs() / get("C1_8h").unwrap();
            assert!(error < 1e-2, "{error}");
        } else {
            let mut values = [get("C10").unwrap(), get("C20").unwrap()];
            let minutes = get("t_min").unwrap();
            exact(minutes * 60.0, &capacity, &exchange, &mut values);
            assert!((values[0] - get("C1").unwrap()).abs() < 6e-4, "{values:?}");
            assert!((values[1] - get("C2").unwrap()).abs() < 6e-4);
        }
    }
    // More mixing, less in the bedroom, with no more outdoor air.
    assert!(bedroom_by_mixing.windows(2).all(|w| w[1] < w[0]));
}

#[test]
fn mixing_moves_the_bedrooms_co2_and_keeps_its_mass() {
    let case: Value = serde_json::json!({
        "V1": 35, "V2": 365, "a1_per_h": 0, "a2_per_h": 0, "Qm_m3h": 300, "G_m3h": 0, "Co": 420
    });
    let TwoZones { capacity, exchange } = two_zones(&case);
    let mut values = [2500.0, 600.0];
    let mass = |v: &[f64; 2]| capacity[0] * v[0] + capacity[1] * v[1];
    // 306 500 ppm m3, the figure of the reference.
    assert!((mass(&values) - 306_500.0).abs() < 1e-9);
    let mut last = values[0];
    for _ in 0..12 {
        let books = step(300.0, &capacity, &exchange, &mut values);
        assert!(values[0] < last);
        last = values[0];
        assert!(books.lost.abs() < 1e-12 && books.gained.abs() < 1e-12);
        assert!((mass(&values) / 306_500.0 - 1.0).abs() < 1e-13);
    }
    assert!((values[0] - 766.25).abs() < 2.0);
}
