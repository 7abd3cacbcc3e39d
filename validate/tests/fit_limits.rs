//! Add-a-hole and open-a-door are special cases of the fit: exponents fixed, sizes of leaks with next
//! to no prior (sd 3 of the logarithm), readings without error. Its answer is then the textbook's.

use engine::doc::visit::Direction;
use engine::fit::observe::{Observation, Observations, Seen, Station, Tap};
use engine::fit::problem::Problem;
use engine::fit::solve;
use engine::house::air::{Air, TestFan};
use engine::house::{Exponent, House, Law, Setup};
use engine::procedure::gauge::GaugeError;
use engine::procedure::zone::{Asked, Barrier, Hole, Opened, Readings, Way, evaluate};
use std::ops::ControlFlow;
use validate::fit_cases::Case;

const N: f64 = 0.65;
const HELD_PA: f64 = 50.0;
const NOISE_PA: f64 = 5e-3;
const NOISE_LN: f64 = 1e-4;
const WIDE_SD: f64 = 3.0;
/// True flows at 50 Pa, m3/s: ceiling, roof, the rest of the house, the opening.
const TRUTH: [f64; 4] = [0.12, 0.35, 0.5, 0.2];
/// Where the priors stand: far from all of them.
const PRIOR: f64 = 0.05;

const TEXT: &str = "
format = 1
[zone.room]
kind = 'living'
volume = '200 m3'
floor_area = '80 m2'
floor = '0 m'
ceiling = '2.5 m'
[zone.attic]
kind = 'attic'
volume = '80 m3'
floor_area = '80 m2'
floor = '2.5 m'
ceiling = '4 m'
[leak.ceiling]
between = ['room', 'attic']
at50 = '0.1 to 0.3 m3/s'
[leak.roof]
between = ['attic', 'outdoors']
at50 = '0.1 to 0.3 m3/s'
[leak.rest]
between = ['room', 'outdoors']
at50 = '0.1 to 0.3 m3/s'
[leak.opening]
between = ['room', 'attic']
at50 = '0.1 to 0.3 m3/s'
";

/// The house with fixed exponents; the opening's exponent is that of a hole.
fn house() -> House {
    let mut house = Case::new(TEXT, "format = 1\ndate = '2026-11-12'\n").house;
    let exponent = |leak: usize| Exponent::Fixed(if leak == 3 { 0.5 } else { N });
    for (i, leak) in house.leaks.iter_mut().enumerate() {
        leak.exponent = exponent(i);
    }
    let at50: Vec<usize> = house.leaks.iter().map(|l| l.at50).collect();
    for e in &mut house.elements {
        if let Law::Leak { at50: of, exponent: n, .. } = &mut e.law {
            *n = exponent(at50.iter().position(|a| a == of).unwrap());
        }
    }
    for at in at50 {
        (house.params[at].mean, house.params[at].sd) = (PRIOR.ln(), WIDE_SD);
    }
    house
}

/// The same house with a hatch in place of the opening: next to nothing passes it shut.
fn house_with_hatch() -> House {
    let (before, _) = TEXT.split_once("[leak.opening]").unwrap();
    let text = format!(
        "{before}[door.hatch]\nbetween = ['room', 'attic']\nwidth = '0.6 m'\nheight = '0.8 m'\n\
         gap = '0.001 to 0.002 m2'\n"
    );
    let mut house = Case::new(&text, "format = 1\ndate = '2026-11-12'\n").house;
    let at50: Vec<usize> = house.leaks.iter().map(|l| l.at50).collect();
    house.leaks.iter_mut().for_each(|l| l.exponent = Exponent::Fixed(N));
    for e in &mut house.elements {
        if let Law::Leak { exponent, .. } = &mut e.law {
            *exponent = Exponent::Fixed(N);
        }
    }
    for at in at50 {
        (house.params[at].mean, house.params[at].sd) = (PRIOR.ln(), WIDE_SD);
    }
    let gap = house.doors[0].gap;
    (house.params[gap].mean, house.params[gap].sd) = (1e-8_f64.ln(), 1e-6);
    house
}

/// The hatch as the word of a setup says, and the test fan on.
fn hatch(house: &House, word: &str) -> Setup {
    let span = || engine::diag::Span::new("visit.toml", 0..0);
    let sp = |text: &str| engine::doc::Sp { value: text.to_owned(), span: span() };
    let sink = engine::doc::Sink::default();
    let mut setup = engine::house::start(house);
    engine::house::apply(house, &mut setup, &[(sp("hatch"), sp(word))], &sink);
    assert!(!sink.borrow().has_errors(), "{:?}", sink.borrow());
    Setup { test_fan: Some(Direction::Depressurise), ..setup }
}

/// Both states, as the network makes them; still air at one temperature.
fn states(house: &House) -> (Observations, Vec<Readings>) {
    let setup = |open: bool| Setup {
        sealed: vec![false, false, false, !open],
        test_fan: Some(Direction::Depressurise),
        ..engine::house::start(house)
    };
    states_of(house, [setup(false), setup(true)])
}

fn states_of(house: &House, setups: [Setup; 2]) -> (Observations, Vec<Readings>) {
    let mut air = Air::new(house).unwrap();
    let mut theta = house.prior_mean();
    for (leak, truth) in house.leaks.iter().zip(TRUTH) {
        theta[leak.at50] = truth.ln();
    }
    let temps = vec![293.15; house.zones.len()];
    let (room, attic) = (house.zone("room").unwrap(), house.zone("attic").unwrap());
    let tap = |zone: usize| Tap { zone: Some(zone), z_m: house.zones[zone].middle_m() };
    let mut seen = Observations { wind_sd_pa: vec![1e-6], ..Observations::default() };
    let mut read = Vec::new();
    for setup in setups {
        air.set_temperatures(&temps, 293.15, 101_325.0);
        air.set(house, &theta, &setup, TestFan::Hold { zone: room, pa: -HELD_PA }).unwrap();
        air.solve().unwrap();
        let zone_pa = air.pressure_between_pa(Some(attic), None, tap(attic).z_m);
        let flow_m3_s = -air.solution.held_flow_kg_s[room] / air.boundary.zone_density_kg_m3[room];
        let station = seen.stations.len();
        seen.stations.push(Station {
            visit: 0,
            setup,
            fan_zone: Some(room),
            zone_k: temps.clone(),
            outdoor_k: 293.15,
            pressure_pa: 101_325.0,
        });
        let mut add = |what: Seen, value: f64, noise_sd: f64| {
            seen.list.push(Observation {
                station,
                seen: what,
                value,
                noise_sd,
                below: false,
                instrument: None,
                span: engine::diag::Span::new("", 0..0),
            });
        };
        let against = |zone: usize| Tap { zone: None, ..tap(zone) };
        add(Seen::Pressure { feels: tap(room), against: against(room) }, -HELD_PA, NOISE_PA);
        add(Seen::Pressure { feels: tap(attic), against: against(attic) }, zone_pa, NOISE_PA);
        add(Seen::TestFan { ln_shown_over_true: 0.0 }, flow_m3_s.ln(), NOISE_LN);
        read.push(Readings {
            house_zone_pa: Some(-HELD_PA - zone_pa),
            zone_outdoors_pa: Some(zone_pa),
            house_outdoors_pa: Some(-HELD_PA),
            flow_m3_s: Some(flow_m3_s),
        });
    }
    (seen, read)
}

/// The textbook's flows of ceiling and roof at 50 Pa.
fn textbook(read: &[Readings], hole: Option<Hole>, way: Way) -> [f64; 2] {
    let asked = Asked {
        test: "limit".into(),
        as_found: read[0],
        baseline: Readings::default(),
        opened: vec![Opened { barrier: Barrier::HouseZone, hole, readings: read[1] }],
        exponent: (N, 0.0),
        gauge: GaugeError::default(),
        flow_accuracy: None,
        flow_repeats: None,
        house_at50: None,
        density_kg_m3: 1.2041,
        limit: None,
    };
    let zone = evaluate(&asked).0.unwrap();
    let method = zone.methods.iter().find(|m| m.way == way).unwrap();
    [method.house_zone.si, method.zone_outdoors.si]
}

fn fitted(house: &House, seen: &Observations) -> [f64; 2] {
    let mut problem = Problem::new(house, seen).unwrap();
    let best = solve::optimum(&mut problem, &mut |_| ControlFlow::Continue(())).unwrap();
    [0, 1].map(|leak| best.x[problem.first_house + house.leaks[leak].at50].exp())
}

fn assert_same(fit: [f64; 2], book: [f64; 2]) {
    for (i, (fit, book)) in fit.iter().zip(book).enumerate() {
        // Flows are stated at the reference density, the textbook's at that of the moment.
        assert!((book / TRUTH[i] - 1.0).abs() < 2e-3, "the textbook's own: {book} {}", TRUTH[i]);
        assert!((fit / book - 1.0).abs() < 2e-3, "barrier {i}: fit {fit}, textbook {book}");
    }
}

#[test]
fn add_a_hole_is_the_fit_without_flows() {
    let mut house = house();
    // The hole is known.
    let hole = house.leaks[3].at50;
    (house.params[hole].mean, house.params[hole].sd) = (TRUTH[3].ln(), 1e-6);
    let (mut seen, read) = states(&house);
    seen.list.retain(|o| matches!(o.seen, Seen::Pressure { .. }));
    let known = Hole::At50 { flow_m3_s: (TRUTH[3], 0.0), exponent: 0.5 };
    assert_same(fitted(&house, &seen), textbook(&read, Some(known), Way::Hole));
}

#[test]
fn open_a_door_is_the_fit_with_an_opening_of_unknown_size() {
    let house = house();
    let (seen, read) = states(&house);
    assert_same(fitted(&house, &seen), textbook(&read, None, Way::Door));
}

#[test]
fn a_hatch_open_by_a_known_hole_is_add_a_hole() {
    let house = house_with_hatch();
    let area_m2 = 0.05;
    let (mut seen, read) = states_of(&house, [hatch(&house, "shut"), hatch(&house, "0.05 m2")]);
    seen.list.retain(|o| matches!(o.seen, Seen::Pressure { .. }));
    let flow_m3_s = engine::house::AREA_DISCHARGE
        * area_m2
        * (2.0 * HELD_PA / engine::air::REFERENCE_DENSITY_KG_M3).sqrt();
    let known = Hole::At50 { flow_m3_s: (flow_m3_s, 0.0), exponent: 0.5 };
    assert_same(fitted(&house, &seen), textbook(&read, Some(known), Way::Hole));
}

/// Without flows the hole alone sets the scale, so that both leaks are as uncertain as its area.
#[test]
fn leaks_are_as_uncertain_as_the_hole() {
    let house = house_with_hatch();
    // A range is 5 to 95 %: 3.29 standard deviations.
    let range_sd = (0.06_f64 / 0.04).ln() / 3.2897;
    for (word, sd) in [("0.05 m2", engine::house::HOLE_LN_SD), ("0.04 to 0.06 m2", range_sd)] {
        let (mut seen, _) = states_of(&house, [hatch(&house, "shut"), hatch(&house, word)]);
        seen.list.retain(|o| matches!(o.seen, Seen::Pressure { .. }));
        let mut problem = Problem::new(&house, &seen).unwrap();
        let best = solve::optimum(&mut problem, &mut |_| ControlFlow::Continue(())).unwrap();
        let spread = solve::covariance(&problem, &best).unwrap();
        for leak in [0, 1] {
            let at = problem.first_house + house.leaks[leak].at50;
            let found = spread[(at, at)].sqrt();
            assert!((found / sd - 1.0).abs() < 0.02, "{word}: leak {leak} to {found}, hole to {sd}");
        }
    }
}

#[test]
fn a_hole_larger_than_its_hatch_is_refused() {
    let house = house_with_hatch();
    let span = engine::diag::Span::new("visit.toml", 0..0);
    let sp = |text: &str| engine::doc::Sp { value: text.to_owned(), span: span.clone() };
    for (word, code) in [("1 m2", "F118"), ("-0.1 m2", "V101"), ("ajar", "V101")] {
        let sink = engine::doc::Sink::default();
        let mut setup = engine::house::start(&house);
        engine::house::apply(&house, &mut setup, &[(sp("hatch"), sp(word))], &sink);
        assert_eq!(setup, engine::house::start(&house));
        let said = format!("{:?}", sink.borrow());
        assert!(said.contains(code), "{word}: {said}");
    }
}
