//! Properties of the choice: order of the documents, safety, what sets may promise.

use super::*;
use crate::doc::{File, Sink};
use crate::fit::prior_draws;
use crate::house::build;
use crate::house::{HOLE_LN_SD, Hole};

const HOUSE: &str = include_str!("../../../api/assets/demo/house.toml");

fn house_of(text: &str) -> House {
    let sink = Sink::default();
    let doc = crate::doc::house::read(&File { name: "house.toml".into(), text: text.into() }, &sink);
    let house = build(&doc, &sink);
    assert!(!sink.borrow().has_errors(), "{:#?}", sink.borrow());
    house
}

/// The document with its tables of zones and of doors in the opposite order.
fn permuted() -> String {
    let mut blocks: Vec<&str> = HOUSE.split("\n\n").collect();
    for kind in ["[zone.", "[door."] {
        let at: Vec<usize> = (0..blocks.len()).filter(|i| blocks[*i].starts_with(kind)).collect();
        let there: Vec<&str> = at.iter().map(|i| blocks[*i]).collect();
        for (to, block) in at.iter().zip(there.iter().rev()) {
            blocks[*to] = block;
        }
    }
    blocks.join("\n\n")
}

fn crawl(house: &House) -> Question {
    Question::AirFrom { zone: house.zone("crawl").unwrap() }
}

fn names(house: &House, next: &Next) -> Vec<(String, i64)> {
    let board = Board::new(house, &Moment::usual(house));
    let name = |c: &Candidate| {
        let fan_pa = c.fan_pa.unwrap_or(crate::house::air::STATED_AT_PA);
        let same = |t: &&Trial| {
            t.reads == c.reads
                && board.setups[t.setup] == c.setup
                && (board.fan_pa[t.setup] - fan_pa).abs() < 1e-9
        };
        key(house, (&c.setup, fan_pa), board.trials.iter().find(same).unwrap())
    };
    next.list.iter().filter(|c| c.removes > 0.005).map(|c| (name(c), (c.removes * 1e4) as i64)).collect()
}

#[test]
fn the_order_of_zones_and_doors_changes_nothing() {
    let (one, other) = (house_of(HOUSE), house_of(&permuted()));
    assert_ne!(one.zones[0].name, other.zones[0].name);
    assert_ne!(one.doors[0].text.name.value, other.doors[0].text.name.value);
    let draws = prior_draws(&one, 120, 4);
    let place: Vec<usize> = other
        .params
        .iter()
        .map(|p| one.params.iter().position(|q| q.name == p.name && q.kind == p.kind).unwrap())
        .collect();
    let moved: Vec<Vec<f64>> = draws.iter().map(|d| place.iter().map(|p| d[*p]).collect()).collect();
    for ask in [crawl, |_: &House| Question::Total] {
        let a = next(&one, &draws, ask(&one), &Moment::usual(&one));
        let b = next(&other, &moved, ask(&other), &Moment::usual(&other));
        assert!(a.list.len() > 30);
        assert_eq!(names(&one, &a), names(&other, &b));
        let route = |house: &House, n: &Next| -> Vec<String> {
            let all = names(house, n);
            n.route
                .iter()
                .flat_map(|r| &r.stops)
                .filter_map(|s| all.get(s.pick))
                .map(|n| n.0.clone())
                .collect()
        };
        assert_eq!(route(&one, &a), route(&other, &b));
    }
}

#[test]
fn a_forbidden_reading_never_appears() {
    let house = house_of(HOUSE);
    let draws = prior_draws(&house, 60, 5);
    let mut stream = Stream::new(7, "states");
    let mut seen = 0;
    for at in 0..24 {
        let mut moment = Moment::usual(&house);
        // Any state of the house, any reason, any time.
        for open in &mut moment.stand.setup.open {
            *open = stream.uniform() < 0.5;
        }
        for on in &mut moment.stand.setup.running {
            *on = stream.uniform() < 0.5;
        }
        moment.stand.setup.air_handler = stream.uniform() < 0.5;
        moment.stand.fan_in_door = stream.uniform() < 0.5;
        moment.stand.flue_warm = stream.uniform() < 0.5;
        moment.left_min = 60.0 * stream.uniform();
        let why = [Forbids::Embers, Forbids::NotLooked, Forbids::Combustion];
        let free = next(&house, &draws, crawl(&house), &moment);
        moment.forbids = vec![why[at % 3]];
        let held = next(&house, &draws, crawl(&house), &moment);
        assert!(free.list.iter().any(|c| c.test_fan) && free.forbidden == 0);
        let draws = |c: &Candidate| draws_down(&house, &c.setup);
        assert!(!held.list.iter().any(|c| draws(c) || c.test_fan || !c.running.is_empty()));
        // What turns for a proof draws nothing down either.
        let shuts = |c: &Candidate| {
            c.proof.is_some_and(|p| {
                matches!(p.turn, Turn::Door { door, open } if {
                    let mut turned = c.setup.clone();
                    turned.open[door] = open;
                    draws_down(&house, &turned)
                })
            })
        };
        assert!(!held.list.iter().any(shuts), "a proof step draws down");
        assert_eq!(held.list.len() + held.forbidden, free.list.len());
        assert!(held.helps.iter().any(|h| h.missing == Missing::Safety && h.count == held.forbidden));
        seen += held.list.len();
    }
    assert!(seen > 0);
}

#[test]
fn what_the_hazard_screen_forbids_never_appears() {
    let house = house_of(HOUSE);
    let draws = prior_draws(&house, 60, 5);
    let moment = Moment::usual(&house);
    let free = next(&house, &draws, crawl(&house), &moment);
    for zone in 0..house.zones.len() {
        let out = Moment { forbids: vec![Forbids::KeepOut], keep_out: vec![zone], ..moment.clone() };
        let held = next(&house, &draws, crawl(&house), &out);
        let usual = start(&house).open;
        let enters = |c: &Candidate| {
            let taps = matches!(c.reads, Reads::Tap { feels, compared_with }
                if feels == zone || compared_with == Some(zone));
            let at = |d: usize| house.doors[d].between.contains(&crate::house::Place::Zone(zone));
            let turned = |setup: &Setup| (0..usual.len()).any(|d| at(d) && setup.open[d] != usual[d]);
            taps || turned(&c.setup)
        };
        assert!(free.list.iter().any(enters), "zone {zone} was never entered");
        assert!(!held.list.iter().any(enters) && held.forbidden > 0);
        // Air may be drawn down elsewhere.
        assert!(held.list.iter().any(|c| c.test_fan));
    }
    let stop = Moment { forbids: vec![Forbids::Stop], ..moment };
    let held = next(&house, &draws, crawl(&house), &stop);
    assert!(held.list.is_empty() && held.route.is_none_or(|r| r.stops.is_empty()));
}

#[test]
fn three_together_promise_no_less_than_one_and_no_more_than_all() {
    let house = house_of(HOUSE);
    for seed in 0..6 {
        let draws = prior_draws(&house, 100, seed);
        for question in Question::all(&house) {
            let mut moment = Moment::usual(&house);
            moment.left_min = 45.0;
            let found = next(&house, &draws, question, &moment);
            let best = found.list.iter().map(|c| c.removes).fold(0.0, f64::max);
            if let Some(three) = &found.together {
                assert!(three.removes >= best - 1e-12 && three.removes <= 1.0, "{question:?}");
                assert!(three.picks.len() <= 3);
            }
            if let Some(route) = &found.route {
                assert!(route.minutes <= 45.0 + 1e-9);
                let rising = route.stops.windows(2).all(|w| w[0].removes <= w[1].removes);
                assert!(rising && route.stops.iter().all(|s| s.removes <= 1.0));
                let first = &route.stops[0];
                assert!(first.removes >= found.list[first.pick].removes - 1e-12);
            }
            if seed > 0 {
                break;
            }
        }
    }
}

#[test]
fn a_route_carries_its_state() {
    let house = house_of(HOUSE);
    let draws = prior_draws(&house, 100, 3);
    let mut moment = Moment::usual(&house);
    moment.left_min = 60.0;
    let found = next(&house, &draws, crawl(&house), &moment);
    let route = found.route.unwrap();
    assert!(route.stops.len() > 2, "{route:#?}");
    // The fan goes into the door at most once, and what it takes is paid by the first.
    let fan: Vec<bool> = route.stops.iter().map(|s| found.list[s.pick].test_fan).collect();
    assert!(fan.windows(2).filter(|w| !w[0] && w[1]).count() + usize::from(fan[0]) <= 1, "{fan:?}");
    for pair in route.stops.windows(2) {
        // A duct tester takes its own time.
        let ducts = matches!(found.list[pair[1].pick].reads, Reads::Ducts { .. });
        if found.list[pair[0].pick].test_fan && found.list[pair[1].pick].test_fan && !ducts {
            assert!(pair[1].changeover_min < Minutes::default().fan_in_min);
        }
    }
    let sum: f64 = route.stops.iter().map(|s| s.changeover_min + s.reading_min).sum();
    assert!((sum - route.minutes).abs() < 1e-9);
}

#[test]
fn a_warm_flue_costs_its_time_once() {
    let house = house_of(HOUSE);
    let mut stand = Stand::usual(&house);
    stand.flue_warm = true;
    let mut setup = start(&house);
    setup.test_fan = Some(crate::doc::visit::Direction::Depressurise);
    let m = Minutes::default();
    let first = stand.changeover_min(&house, &setup, &Reads::FanFlow, true, &m);
    assert!((first - m.fan_in_min - m.flue_min).abs() < 1e-12);
    let then = stand.after(&setup, &Reads::FanFlow, true);
    assert!(then.changeover_min(&house, &setup, &Reads::FanFlow, true, &m).abs() < 1e-12);
}

/// With the test fan holding 50 Pa and the attic hatch shut, the attic stands between rooms and
/// outdoors; opened, it is drawn down with the rooms.
#[test]
fn the_proof_of_the_attic_tap_is_its_hatch() {
    let house = house_of(HOUSE);
    let draws = prior_draws(&house, 100, 3);
    let attic = house.zone("attic").unwrap();
    let found = next(&house, &draws, Question::ZoneShare { zone: attic }, &Moment::usual(&house));
    let tap = Reads::Tap { feels: attic, compared_with: None };
    let shown = found.list.iter().find(|c| c.reads == tap && c.test_fan && c.proof.is_some()).unwrap();
    let hatch = house.doors.iter().position(|d| d.text.name.value == "attic_hatch").unwrap();
    let proof = shown.proof.unwrap();
    assert!(matches!(proof.turn, Turn::Door { door, .. } if door == hatch), "{proof:?}");
    let opened = if shown.toggled == Some(hatch) { shown.expected.si } else { proof.to.si };
    let shut = if shown.toggled == Some(hatch) { proof.to.si } else { shown.expected.si };
    assert!(opened < shut - 1.0, "{opened} {shut}");
    let (lo, hi) = shown.surprise.bounds().unwrap();
    let (low, high) = shown.expected.bounds().unwrap();
    assert!(lo < low && high < hi);
}

/// In a house that is known, a hole that let in more than its area can is known to be larger; another
/// hole at the same door is not.
#[test]
fn what_readings_told_of_a_hole_is_not_told_again() {
    use crate::fit::observe::{Observation, Observations, Seen, SharedError, Station};
    let house = house_of(HOUSE);
    let theta: Vec<f64> = house.params.iter().map(|p| p.mean).collect();
    let door = house.doors.iter().position(|d| d.text.name.value == "attic_hatch").unwrap();
    let hole = Hole { area_m2: 0.06, ln_sd: HOLE_LN_SD };
    let at = |hole: Hole| {
        let mut setup = start(&house);
        setup.test_fan = Some(crate::doc::visit::Direction::Depressurise);
        setup.hole[door] = Some(hole);
        Station {
            visit: 0,
            setup,
            fan_zone: crate::fit::fan_zone(&house),
            zone_k: vec![290.0; house.zones.len()],
            outdoor_k: 283.0,
            pressure_pa: crate::air::STANDARD_PRESSURE_PA,
        }
    };
    let tap = |zone: Option<usize>| crate::fit::observe::Tap { zone, z_m: 0.0 };
    let against_outdoors = |zone: Option<usize>| Observation {
        station: 0,
        seen: Seen::Pressure { feels: tap(zone), against: tap(None) },
        value: 0.0,
        noise_sd: 0.002,
        below: false,
        instrument: Some(0),
        span: crate::diag::Span::new("", 0..0),
    };
    let exact = SharedError { label: "gauge".into(), gain_sd: 0.0, offset_sd: 0.0 };
    let asked = Observations {
        stations: vec![at(hole)],
        list: [crate::fit::fan_zone(&house), house.zone("attic")].map(against_outdoors).to_vec(),
        instruments: vec![exact],
        wind_sd_pa: vec![0.0001],
        ..Observations::default()
    };
    // What the gauge shows where the hole is larger by three of its sd.
    let larger = Observations { stations: vec![at(hole.off_by(3.0 * hole.ln_sd))], ..asked.clone() };
    let mut problem = crate::fit::problem::Problem::new(&house, &larger).unwrap();
    let mut x: Vec<f64> = (0..problem.len()).map(|i| problem.prior(i).0).collect();
    x[problem.fan_of(0).unwrap()] = math::ln(50.0);
    let mut rows = Vec::new();
    problem.rows(&x, false, &mut rows).unwrap();
    let mut seen = asked;
    for (o, row) in seen.list.iter_mut().zip(&rows) {
        o.value = row.expected;
    }
    let moment = Moment { kit: Kit::seen(&seen), seen, ..Moment::usual(&house) };
    let draws = vec![theta; 200];
    let bench = Bench::new(&house, &draws, &moment).unwrap();
    let spread = |hole: Hole| {
        let off = bench.off_by(door, hole);
        let mean = off.iter().sum::<f64>() / 200.0;
        (mean / hole.ln_sd, (off.iter().map(|o| (o - mean).powi(2)).sum::<f64>() / 200.0).sqrt() / hole.ln_sd)
    };
    let (mean, sd) = spread(hole);
    assert!(mean > 1.0 && sd < 0.9, "{mean} {sd}");
    let (mean, sd) = spread(Hole { area_m2: 0.02, ..hole });
    assert!(mean.abs() < 0.3 && (0.8..1.2).contains(&sd), "{mean} {sd}");
}
