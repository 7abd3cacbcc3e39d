//! The ordinary step against the exact one, and what mixing must keep.

use engine::transport::{Stepper, exact, step};
use serde_json::{Value, json};
use validate::compare::transport::{cases, two_rooms};
use validate::source::{Source, number_at};

fn largest(values: &[f64]) -> f64 {
    values.iter().fold(0.0, |a, b| a.max(b.abs()))
}

fn worst_difference(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).fold(0.0, |w, (x, y)| w.max((x - y).abs()))
}

#[test]
fn ordinary_step_is_first_order() {
    for case in cases(&Source::load("transport-expm").unwrap()).unwrap() {
        // The duration is cut so that the coarsest step resolves the fastest rate.
        let n = case.capacity.len();
        let rate = |i: usize| {
            let out: f64 = case.exchange.transfer[i * n..(i + 1) * n].iter().sum();
            (out + case.exchange.lost[i]) / case.capacity[i]
        };
        let duration_s = 1.0 / (0..n).map(rate).fold(0.0, f64::max);
        let mut truth = case.start.clone();
        exact(duration_s, &case.capacity, &case.exchange, &mut truth);
        let error = |steps: i32| {
            let mut values = case.start.clone();
            let mut stepper = Stepper::default();
            stepper.factor(duration_s / f64::from(steps), &case.capacity, &case.exchange);
            for _ in 0..steps {
                stepper.advance(&case.capacity, &case.exchange, &mut values);
            }
            worst_difference(&values, &truth) / largest(&truth)
        };
        let ratio = error(64) / error(128);
        assert!((1.9..2.1).contains(&ratio), "{}: ratio {ratio}", case.name);
    }
}

/// Five minutes are short enough for a night, and mixing lowers the bedroom.
#[test]
fn five_minute_steps_follow_a_night_of_two_rooms() {
    let file = Source::load("two-zone-co2").unwrap().json("cases.json").unwrap();
    let mut bedroom_by_mixing = Vec::new();
    for case in file["cases"].as_array().unwrap().iter().filter(|case| case.get("t_h").is_some()) {
        let get = |key: &str| number_at(case, key).unwrap();
        let (capacity, exchange) = two_rooms(case).unwrap();
        let mut values = [get("C0"); 2];
        for _ in 0..96 {
            step(300.0, &capacity, &exchange, &mut values);
        }
        assert!((values[0] / get("C1_8h") - 1.0).abs() < 1e-2, "{values:?}");
        bedroom_by_mixing.push(values[0]);
    }
    assert!(bedroom_by_mixing.len() > 2 && bedroom_by_mixing.windows(2).all(|w| w[1] < w[0]));
}

#[test]
fn mixing_moves_the_bedrooms_co2_and_keeps_its_mass() {
    let case: Value = json!({
        "V1": 35, "V2": 365, "a1_per_h": 0, "a2_per_h": 0, "Qm_m3h": 300, "G_m3h": 0
    });
    let (capacity, exchange) = two_rooms(&case).unwrap();
    let mut values = [2500.0, 600.0];
    let mass = |v: &[f64; 2]| capacity[0] * v[0] + capacity[1] * v[1];
    let mut last = values[0];
    for _ in 0..12 {
        let books = step(300.0, &capacity, &exchange, &mut values);
        assert!(values[0] < last);
        last = values[0];
        assert!(books.lost.abs() < 1e-12 && books.gained.abs() < 1e-12);
        // 35 m3 of 2500 ppm and 365 m3 of 600 ppm.
        assert!((mass(&values) / 306_500.0 - 1.0).abs() < 1e-13);
    }
    // 306 500 / 400, the mean of both rooms.
    assert!((values[0] - 766.25).abs() < 2.0);
}
