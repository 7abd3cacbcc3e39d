//! Do the intervals of tracer tests hold the truth, and does the search find decays and nothing else?
//! Invented rooms with known exchange, simulated sensors, fixed seeds.

use engine::procedure::tracer::search::{Asked, search};
use engine::procedure::tracer::{Background, decay, two_zones};
use engine::rng::Stream;

const STATED_LIMIT_SD: f64 = 1.96;

struct Held {
    held: usize,
    all: usize,
    share: f64,
}

/// Decays of 12 readings whose background is off by its stated interval, as a share of records.
fn decays(turns: f64, readings: usize, background_half: f64, known: bool, seed: &str) -> Held {
    let mut rng = Stream::new(20_250, seed);
    let mut out = Held { held: 0, all: 0, share: 0.0 };
    for _ in 0..800 {
        let rate_h = 0.2 + 1.8 * rng.uniform();
        let excess = 500.0 + 1000.0 * rng.uniform();
        let truth = 420.0;
        let step = turns / rate_h / (readings - 1) as f64;
        let time_s: Vec<f64> = (0..readings).map(|i| 3600.0 * step * i as f64).collect();
        let reading =
            |t: &f64, e: f64| (truth + excess * (-rate_h * t / 3600.0).exp() + 4.0 * e).round() * 1e-6;
        let gas: Vec<f64> = time_s.iter().map(|t| reading(t, rng.normal())).collect();
        let read = truth + background_half / STATED_LIMIT_SD * rng.normal();
        let background =
            known.then_some(Background { value: read * 1e-6, half: Some(background_half * 1e-6) });
        let asked = decay::Asked { time_s: &time_s, gas: &gas, background, volume_m3: None };
        let Ok(found) = decay::evaluate(&asked) else { continue };
        let (lo, hi) = found.rate.bounds().unwrap();
        out.all += 1;
        out.held += usize::from((lo..=hi).contains(&(rate_h / 3600.0)));
        out.share += 0.5 * (hi - lo) / found.rate.si;
    }
    out.share /= out.all as f64;
    out
}

#[test]
fn intervals_of_decays_hold_the_truth() {
    for (turns, readings, half, known) in [
        (1.5, 12, 0.0, true),
        (1.5, 12, 20.0, true),
        (4.0, 60, 20.0, true),
        (4.0, 60, 0.0, false),
        (1.0, 15, 10.0, true),
    ] {
        let h = decays(turns, readings, half, known, "decays");
        let held = h.held as f64 / h.all as f64;
        println!(
            "{turns} time constants, {readings} readings, background {}: {held:.3} of {} held, mean half width {:.1} %",
            if known { format!("within {half} ppm") } else { "unknown".to_owned() },
            h.all,
            100.0 * h.share
        );
        assert!(h.all > 700, "{}", h.all);
        assert!((0.925..=0.985).contains(&held), "{held}");
    }
}

#[test]
fn intervals_of_two_rooms_hold_the_truth() {
    let mut rng = Stream::new(20_251, "rooms");
    let (mut held, mut all) = ([0; 3], 0);
    for _ in 0..60 {
        let truth = [10.0 + 40.0 * rng.uniform(), 20.0 + 80.0 * rng.uniform(), 10.0 + 90.0 * rng.uniform()];
        let volume = [35.0, 120.0];
        let time_s: Vec<f64> = (0..19).map(|i| 600.0 * f64::from(i)).collect();
        let mut state = [1200.0, 150.0];
        let mut gas = [Vec::new(), Vec::new()];
        for _ in &time_s {
            for (room, c) in gas.iter_mut().zip(state) {
                room.push((420.0 + c + 3.0 * rng.normal()) * 1e-6);
            }
            for _ in 0..2000 {
                let h = 600.0 / 3600.0 / 2000.0;
                let across = truth[2] * (state[1] - state[0]);
                state = [
                    state[0] + h * (across - truth[0] * state[0]) / volume[0],
                    state[1] + h * (-across - truth[1] * state[1]) / volume[1],
                ];
            }
        }
        let found = two_zones::evaluate(&two_zones::Asked {
            time_s: &time_s,
            gas: [&gas[0], &gas[1]],
            background: Background { value: 420e-6, half: None },
            volume_m3: volume.map(|v| (v, 0.0)),
            source_m3_s: [0.0; 2],
            between: two_zones::Between::Equal,
        })
        .unwrap();
        all += 1;
        for (i, told) in [found.outdoor[0], found.outdoor[1], found.across].iter().enumerate() {
            let (lo, hi) = told.flow.bounds().unwrap();
            held[i] += usize::from((lo..=hi).contains(&(truth[i] / 3600.0)));
        }
    }
    println!("two rooms: {held:?} of {all} held");
    for held in held {
        assert!(held as f64 >= 0.87 * f64::from(all), "{held}");
    }
}

/// Days of a room with people who come and go, a sensor with noise and steps of one ppm.
fn days(rng: &mut Stream) -> (Vec<f64>, Vec<f64>, Vec<bool>, f64) {
    let rate_h = 0.3 + 1.2 * rng.uniform();
    let volume = 30.0 + 50.0 * rng.uniform();
    let (mut c, mut people, mut left_min) = (0.0, 0.0, 0.0);
    let (mut time_s, mut gas, mut occupied) = (Vec::new(), Vec::new(), Vec::new());
    let mut tired = 0;
    for minute in 0..3 * 1440 {
        if left_min <= 0.0 {
            let now: f64 =
                if people > 0.0 && rng.uniform() < 0.6 { 0.0 } else { (4.0 * rng.uniform()).floor() };
            tired += 1;
            people = now;
            left_min = 40.0 + 300.0 * rng.uniform();
        }
        left_min -= 1.0;
        // 0.0052 L/s each.
        let level = people * 0.0052e-3 * 3600.0 / volume * 1e6 / rate_h;
        c = level + (c - level) * (-rate_h / 60.0).exp();
        time_s.push(60.0 * f64::from(minute));
        gas.push((420.0 + c + 2.0 * rng.normal()).round() * 1e-6);
        occupied.push(people > 0.0);
    }
    assert!(tired > 3);
    (time_s, gas, occupied, rate_h)
}

#[test]
fn the_search_finds_decays_of_empty_rooms_and_little_else() {
    let mut rng = Stream::new(20_252, "search");
    let (mut inside, mut right, mut hit, mut ends) = (0_usize, 0_usize, 0_usize, 0_usize);
    let (mut held, mut stretches) = (0_usize, 0_usize);
    let mut errors: Vec<f64> = Vec::new();
    for _ in 0..40 {
        let (time_s, gas, occupied, rate_h) = days(&mut rng);
        let background = Some(Background { value: 420e-6, half: Some(5e-6) });
        let found = search(&Asked { time_s: &time_s, gas: vec![&gas], volume_m3: None, background }).unwrap();
        for s in &found.stretches {
            stretches += 1;
            let rows = s.rows.0..=s.rows.1;
            inside += rows.clone().count();
            let alone = rows.clone().filter(|i| !occupied[*i]).count();
            right += alone;
            if alone as f64 > 0.9 * rows.count() as f64 {
                errors.push(s.decay.rate.si * 3600.0 / rate_h - 1.0);
                let (lo, hi) = s.decay.rate.bounds().unwrap();
                held += usize::from((lo..=hi).contains(&(rate_h / 3600.0)));
            }
        }
        // Rooms that empty from well above outdoors, and stay empty for two time constants.
        for i in 1..occupied.len() {
            let until = i + (2.0 / rate_h * 60.0) as usize;
            let empty = occupied.get(i..until).is_some_and(|o| o.iter().all(|o| !o));
            if occupied[i - 1] && empty && gas[i] > 520e-6 {
                ends += 1;
                let near =
                    |s: &engine::procedure::tracer::search::Stretch| s.rows.0 < i + 45 && s.rows.1 > i + 10;
                hit += usize::from(found.stretches.iter().any(near));
            }
        }
    }
    let precision = right as f64 / inside as f64;
    errors.sort_by(f64::total_cmp);
    let at = |q: f64| engine::math::quantile_sorted(&errors, q).unwrap();
    println!(
        "{stretches} stretches; precision {precision:.3} of their minutes; recall {hit} of {ends}; \
         of {} at least nine tenths empty the rate is off by {:+.3} at the median, {:+.3} and {:+.3} at 5 and 95 %; \
         its interval holds {held}",
        errors.len(),
        at(0.5),
        at(0.05),
        at(0.95),
    );
    assert!(at(0.5).abs() < 0.01 && at(0.05) > -0.05 && at(0.95) < 0.05);
    assert!(precision > 0.9, "{precision}");
    assert!(hit as f64 > 0.85 * ends as f64, "{hit} of {ends}");
}
