//! Schedules by the clock on the wall, weather by standard time.

use super::{exhaust, hour, live, one_zone, with_series};
use engine::weather::{PickedDay, Weather};
use engine::year::{Days, ExhaustFan, Model, Options, OutdoorAir, Schedule, Source, SummerTime, Year};

const DAY_S: f64 = 86_400.0;
/// New York in 2029: 11 March, 2 o'clock, to 4 November, 1 o'clock, of standard time.
const NORTH: SummerTime =
    SummerTime { from_s: 69.0 * DAY_S + 7200.0, to_s: 307.0 * DAY_S + 3600.0, shift_s: 3600.0 };
/// Sydney in 2029: 7 October to 1 April.
const SOUTH: SummerTime =
    SummerTime { from_s: 279.0 * DAY_S + 7200.0, to_s: 90.0 * DAY_S + 7200.0, shift_s: 3600.0 };
const RATE_KG_S: f64 = 1e-9;

fn dusty(start_h: f64, duration_s: f64, summer: Option<SummerTime>) -> Model {
    let mut model = one_zone(400.0, 293.15);
    model.outdoor = OutdoorAir { pm25_kg_m3: [0.0; 12], ..OutdoorAir::default() };
    model.sources = vec![Source {
        zone: 0,
        start_s: start_h * 3600.0,
        duration_s,
        pm25_kg_s: RATE_KG_S,
        water_kg_s: 0.0,
        co2_m3_s: 0.0,
        heat_w: 0.0,
        capture: 0.0,
    }];
    model.summer = summer;
    model
}

fn on(model: &Model, day: usize) -> Year {
    let days = Days::Picked(vec![PickedDay { day, weight: 1.0 }]);
    let year = live(model, &Weather::steady(hour(278.15, 0.5)), &Options { days, ..with_series() });
    assert!(year.books.worst() < 1e-9, "{day}: {:?}", year.books);
    year
}

/// A shower at 06:45 of the wall is at 06:45 of standard time in winter and at 05:45 in summer.
#[test]
fn a_shower_moves_with_the_clock() {
    let pm = |summer, day| {
        let year = on(&dusty(6.75, 600.0, summer), day);
        year.zones[0].series.as_ref().unwrap().pm25_kg_m3.clone()
    };
    for (summer, winter_day, summer_day) in [(NORTH, 10, 190), (SOUTH, 190, 10)] {
        let (cold, warm) = (pm(Some(summer), winter_day), pm(Some(summer), summer_day));
        let never = pm(None, summer_day);
        for h in 2..24 {
            let same = |a: f64, b: f64| (a - b).abs() < 1e-9 * a.abs().max(1e-12);
            assert!(same(cold[h], warm[h - 1]), "{h}: {} {}", cold[h], warm[h - 1]);
            assert!(same(cold[h], never[h]), "{h}: {} {}", cold[h], never[h]);
        }
        assert!(cold[6] > 5.0 * cold[5] && warm[5] > 5.0 * warm[4]);
    }
}

/// Each day has its event, whole, also the days on which the clock changes; what runs from one time of
/// the wall to another is an hour shorter on one of them and an hour longer on the other.
#[test]
fn the_days_of_the_change_lose_and_double_nothing() {
    for (summer, spring, autumn) in [(NORTH, 69, 307), (SOUTH, 279, 90)] {
        for start_h in [0.5, 1.25, 1.75, 2.5, 6.75, 22.5] {
            for day in [spring, autumn] {
                // Three days of warming up and the day itself. What the clock ahead takes to the evening
                // before is one more where summer begins within them and one less where it ends.
                let early = if start_h >= 1.0 {
                    0.0
                } else if day == spring {
                    1.0
                } else {
                    -1.0
                };
                let released_kg = on(&dusty(start_h, 1800.0, Some(summer)), day).books.pm25.gained;
                let expected_kg = (4.0 + early) * 1800.0 * RATE_KG_S;
                let off = released_kg / expected_kg - 1.0;
                assert!(off.abs() < 1e-9, "{start_h} on {day}: {off}");
            }
        }
        let ran_h = |day| {
            let mut model = dusty(6.75, 600.0, Some(summer));
            let schedule = Schedule::Spans(vec![(3600.0, 4.0 * 3600.0)]);
            model.exhausts = vec![ExhaustFan { power_w: 1.0, schedule, ..exhaust(0.01) }];
            on(&model, day).energy.ventilation_fan_j / 3600.0
        };
        for (day, expected_h) in [(spring, 2.0), (autumn, 4.0), (spring + 3, 3.0), (autumn + 3, 3.0)] {
            assert!((ran_h(day) - expected_h).abs() < 1e-9, "{day}: {}", ran_h(day));
        }
    }
}
