//! The watch against a real record, and over a quiet year of a house of the truth.

use super::office::{Record, record};
use engine::units::Accuracy;
use engine::watch::{At, Clock, Field, HOUR_MS, Kind, Setup, Source, Told, Watch, What};
use validate::watch_house::{Fault, House};
use validate::watch_year::{FAULTS, find, quiet};

const DRAWS: usize = 4;
const SEED: u64 = 20;

fn office_setup() -> Setup<'static> {
    let accuracy = Accuracy { relative: 0.03, absolute: 50e-6, larger: false };
    Setup {
        sources: vec![Source { name: "office.co2".into(), at: At::Zone(0), field: Field::Co2, accuracy }],
        devices: Vec::new(),
        filters: Vec::new(),
        draws: &[],
        weather: None,
        clock: Clock { ahead_s: 0.0 },
        false_a_month: engine::watch::FALSE_A_MONTH,
        exposure: None,
        volume_m3: 0.0,
        outdoor_co2: 420e-6,
        appliance_zone: None,
    }
}

/// The record begins on 2 February 2015 at 14:19; fed as it came, minute by minute, hour by hour.
fn watched(r: &Record) -> (Watch, i64) {
    let setup = office_setup();
    // 2 February 2015, 14:19 UTC.
    let first_ms = 1_422_886_740_000;
    let mut watch = Watch::default();
    let mut next_ms = first_ms;
    for (t, c) in r.time_s.iter().zip(&r.co2) {
        let ms = first_ms + (t * 1000.0) as i64;
        if ms - next_ms > HOUR_MS {
            watch.advance(&setup, ms).unwrap();
            // It survives a restart at any hour.
            let text = serde_json::to_string(&watch).unwrap();
            watch = serde_json::from_str(&text).unwrap();
            next_ms = ms;
        }
        watch.take(&setup, 0, &[(ms, *c)]);
    }
    let last_ms = first_ms + (r.time_s.last().unwrap() * 1000.0) as i64;
    watch.advance(&setup, last_ms).unwrap();
    watch.decays(&setup, last_ms + 2 * HOUR_MS);
    (watch, first_ms)
}

#[test]
fn decays_found_by_the_watch_agree_with_who_was_in_the_room() {
    let Some(r) = record() else { return };
    let (watch, first_ms) = watched(&r);
    let (mut inside, mut right, mut starts) = (0, 0, Vec::new());
    for night in watch.nights() {
        let Told::Decay { rate, baseline, .. } = &night.told else { continue };
        let span = [night.from_ms, night.to_ms].map(|ms| (ms - first_ms) as f64 / 1000.0);
        let rows = (0..r.time_s.len()).filter(|i| r.time_s[*i] >= span[0] && r.time_s[*i] <= span[1]);
        let alone = rows.clone().filter(|i| !r.occupied[*i]).count();
        inside += rows.count();
        right += alone;
        starts.push(span[0]);
        println!(
            "{:.2} h to {:.2} h: {:.3} 1/h, towards {:.0} ppm",
            span[0] / 3600.0,
            span[1] / 3600.0,
            rate.si * 3600.0,
            baseline * 1e6
        );
    }
    // Both evenings, as the outside evaluation of the search says (see `office`).
    let mut ends: Vec<usize> =
        (1..r.occupied.len()).filter(|i| r.occupied[i - 1] && !r.occupied[*i]).collect();
    let empty = |i: usize| {
        let hour = r.time_s.iter().zip(&r.occupied).skip(i).take_while(|(t, _)| **t < r.time_s[i] + 3600.0);
        hour.clone().all(|(_, o)| !o)
    };
    ends.retain(|i| empty(*i));
    let hit = ends.iter().filter(|e| starts.iter().any(|s| (s - r.time_s[**e]).abs() < 1800.0)).count();
    println!("ends of occupancy {}, found {hit}; unoccupied {right} of {inside} minutes", ends.len());
    assert_eq!((hit, ends.len()), (2, 2));
    assert!(right as f64 >= 0.95 * inside as f64);
}

/// A year of twenty traces, nothing the matter: under one alert a month. Then faults, found in time with the right
/// cause in front.
#[test]
fn a_quiet_year_is_quiet_and_faults_are_found() {
    let house = House::new(DRAWS, SEED).unwrap();
    let mut at = None;
    let year = quiet(&house, 365, SEED, &mut |w| at = Some(w.clone())).unwrap();
    for kind in Kind::ALL {
        println!("{kind:?}: {}", year.told.iter().filter(|a| a.kind == kind).count());
    }
    println!("{} alerts in a year", year.told.len());
    assert!(year.told.len() < 12, "{:?}", year.told);
    let from = at.unwrap();
    let mut named = 0;
    for fault in FAULTS {
        let within_h = match fault.1 {
            Fault::Monoxide(_) => 1.0,
            Fault::Silent => 4.0,
            Fault::VentilatorStopped | Fault::FlowFalls(_) => 48.0,
            Fault::DoorShut | Fault::People(_) | Fault::NoHeat => 48.0,
            _ => continue,
        };
        let found = find(&house, (&from, &year), fault).unwrap();
        println!("{found:?}");
        assert!(found.after_h.is_some_and(|h| h <= within_h), "{found:?}");
        let first = found.causes.first().map(|c| &c.0);
        named += i32::from(match fault.1 {
            Fault::DoorShut => matches!(first, Some(What::DoorShut { .. })),
            Fault::People(_) => matches!(first, Some(What::People { zone }) if zone == "living"),
            Fault::NoHeat => first == Some(&What::NoHeat),
            Fault::VentilatorStopped | Fault::FlowFalls(_) => {
                matches!(first, Some(What::Stopped { device }) if device == "ventilator")
            }
            _ => false,
        });
    }
    assert_eq!(named, 5);
}

/// The stated interval of a filter's date holds the truth about as often as it says (90 %).
#[test]
fn dates_of_filters_hold() {
    use engine::watch::filter::{Motor, Path, Shows, Sits, forecast};
    let path = Path {
        sits: Sits::After,
        motor: Motor::FixedSpeed,
        flow_m3_s: 0.5,
        intake_m3_s: 0.03,
        drop_pa: 25.0,
        return_pa: 25.0,
        rest_pa: 75.0,
        exponent: 1.5,
    };
    let mut stream = engine::rng::Stream::new(11, "dates");
    let (mut inside, trials, mut sum) = (0, 100, 0.0);
    for _ in 0..trials {
        let days: Vec<(f64, f64)> = (0..60)
            .map(|d| {
                let load = 1.0 + f64::from(d) / 150.0;
                (f64::from(d), 0.5 * path.shows(Shows::Flow, load) * (1.0 + 0.004 * stream.normal()))
            })
            .collect();
        let f = forecast(&path, Shows::Flow, &days, 2.0).unwrap();
        let (lo, hi) = (f.due_between.0.unwrap(), f.due_between.1.unwrap_or(f64::INFINITY));
        inside += i32::from(lo <= 150.0 && 150.0 <= hi);
        sum += f.due_day.unwrap();
    }
    println!("{inside} of {trials} dates inside, mean {:.1} for 150", sum / f64::from(trials));
    assert!(inside >= 80, "{inside} of {trials}");
}
