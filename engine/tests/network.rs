//! The air network against closed forms, slices, finite differences and its own symmetries.

use engine::air::viscosity_pa_s;
use engine::network::law::GRAVITY_M_S2;
use engine::network::*;
use proptest::prelude::*;
use rand::{Rng, RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

const OUT: Node = Node::Outdoors { wind: 0 };

fn leak(a: Node, b: Node, z_m: f64, c: f64, n: f64) -> Passage {
    Passage { a, b, z_m, kind: Kind::Leak { c_m3_s_pan: c, n } }
}

fn fixed(a: Node, b: Node, kg_s: f64) -> Passage {
    Passage { a, b, z_m: 0.0, kind: Kind::Fixed { kg_s } }
}

fn named(count: usize) -> Vec<String> {
    (0..count).map(|i| format!("zone {i}")).collect()
}

/// Dry air at 101,325 Pa.
fn density(temp_k: f64) -> f64 {
    101_325.0 / (287.055 * temp_k)
}

fn exact(network: &Network, boundary: &Boundary) -> Solution {
    let mut workspace = Workspace::new(network).with_tolerance(1e-11);
    solve(network, boundary, &mut workspace, None).unwrap()
}

/// A house: `count` zones over two floors, a tree of doors and cracks inside, leaks on four
/// faces at several heights, fans, a damper, a fan on a curve, open doors.
fn house(rng: &mut impl Rng, count: usize) -> (Vec<Passage>, Boundary) {
    let mut passages = Vec::new();
    for i in 1..count {
        let other = Node::Zone(rng.random_range(0..i));
        let kind = if rng.random_bool(0.4) {
            Kind::Opening {
                width_m: rng.random_range(0.02..0.9),
                height_m: 2.0,
                bottom_m: 2.7 * f64::from(rng.random_range(0..2_u8)),
                discharge: 0.6,
            }
        } else {
            Kind::Leak { c_m3_s_pan: rng.random_range(0.002..0.05), n: rng.random_range(0.5..0.7) }
        };
        passages.push(Passage { a: other, b: Node::Zone(i), z_m: rng.random_range(0.0..5.0), kind });
    }
    while passages.len() < 5 * count - 3 {
        let zone = Node::Zone(rng.random_range(0..count));
        let outside = Node::Outdoors { wind: rng.random_range(0..4) };
        let (c, n) = (rng.random_range(0.0005..0.01), rng.random_range(0.5..0.8));
        passages.push(leak(outside, zone, rng.random_range(0.0..6.0), c, n));
    }
    let zone = |rng: &mut dyn Rng| Node::Zone((rng.next_u32() as usize) % count);
    passages.push(fixed(zone(rng), OUT, 0.03));
    passages.push(Passage {
        a: zone(rng),
        b: OUT,
        z_m: 2.0,
        kind: Kind::Damper {
            c_m3_s_pan: 0.01,
            n: 0.55,
            closed_c_m3_s_pan: 0.0002,
            opens_pa: if rng.random_bool(0.5) { 0.0 } else { 1.5 },
        },
    });
    let curve = FanCurve::new(&[(0.0, 0.05), (30.0, 0.04), (60.0, 0.02), (80.0, 0.0)], 1.2).unwrap();
    passages.push(Passage { a: zone(rng), b: OUT, z_m: 5.0, kind: Kind::Curve(curve) });

    let outdoor_temp_k = rng.random_range(255.0..305.0);
    let zone_temp_k: Vec<f64> = (0..count).map(|_| rng.random_range(288.0..300.0)).collect();
    let boundary = Boundary {
        outdoor_density_kg_m3: density(outdoor_temp_k),
        outdoor_temp_k,
        zone_density_kg_m3: zone_temp_k.iter().map(|&t| density(t)).collect(),
        zone_temp_k,
        wind_pa: (0..4).map(|_| rng.random_range(-4.0..6.0)).collect(),
        held_pa: vec![None; count],
    };
    (passages, boundary)
}

fn drawn(seed: u64, count: usize) -> (Network, Boundary) {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let (passages, boundary) = house(&mut rng, count);
    (Network::new(named(count), passages).unwrap(), boundary)
}

/// Net outflow of each zone, without what test fans bring.
fn balances(network: &Network, solution: &Solution) -> Vec<f64> {
    let mut out = vec![0.0; network.zone_count()];
    for (passage, flow) in network.passages().iter().zip(&solution.flows) {
        for (node, sign) in [(passage.a, 1.0), (passage.b, -1.0)] {
            if let Node::Zone(zone) = node {
                out[zone] += sign * flow.net_kg_s();
            }
        }
    }
    out
}

#[test]
fn leaks_in_series_and_in_parallel_combine_in_closed_form() {
    // Series of equal exponents: C = (C1^(-1/n) + C2^(-1/n))^-n; parallel: C1 + C2.
    let (c1, c2, n, dp) = (0.02_f64, 0.03_f64, 0.65, 20.0_f64);
    let network = Network::new(
        ["room"],
        vec![
            leak(Node::Outdoors { wind: 0 }, Node::Zone(0), 0.0, c1, n),
            leak(Node::Zone(0), Node::Outdoors { wind: 1 }, 0.0, c2, n),
            leak(Node::Outdoors { wind: 0 }, Node::Outdoors { wind: 1 }, 0.0, c1, n),
        ],
    )
    .unwrap();
    let mut boundary = Boundary::still(&network, 293.15);
    boundary.wind_pa[0] = dp;
    let solution = exact(&network, &boundary);
    let series = (c1.powf(-1.0 / n) + c2.powf(-1.0 / n)).powf(-n);
    let wanted = 1.2041 * series * dp.powf(n);
    // The smoothing takes (1-n)/2 (e/dp)^2, below 1e-6 here.
    assert!((solution.flows[0].net_kg_s() / wanted - 1.0).abs() < 1e-6);
    assert!((solution.flows[2].net_kg_s() / (1.2041 * c1 * dp.powf(n)) - 1.0).abs() < 1e-6);
    assert!(solution.flags.is_empty());
}

#[test]
fn the_neutral_level_of_two_leaks_is_where_the_closed_form_puts_it() {
    // Two leaks of equal exponent at z1 < z2, indoors warm: cold air comes in below, warm air goes
    // out above, each by ASTM E779's correction for its own density and viscosity, so
    // f_out c1 (z0 - z1)^n = f_in c2 (z2 - z0)^n with f = (rho/rho0)^n (mu0/mu)^(2n-1).
    let (c1, c2, n, z1, z2) = (0.01_f64, 0.025_f64, 0.6, 0.5, 5.5);
    let network = Network::new(
        ["house"],
        vec![leak(OUT, Node::Zone(0), z1, c1, n), leak(OUT, Node::Zone(0), z2, c2, n)],
    )
    .unwrap();
    let mut boundary = Boundary::still(&network, 294.0);
    (boundary.outdoor_temp_k, boundary.outdoor_density_kg_m3) = (263.0, density(263.0));
    boundary.zone_density_kg_m3[0] = density(294.0);
    let solution = exact(&network, &boundary);
    let factor = |temp_k: f64| {
        let mu = |k: f64| 1.458e-6 * k.powf(1.5) / (k + 110.4);
        density(temp_k).powf(n) * mu(temp_k).powf(1.0 - 2.0 * n)
    };
    let ratio = (c2 * factor(294.0) / (c1 * factor(263.0))).powf(1.0 / n);
    let neutral = (z1 + ratio * z2) / (1.0 + ratio);
    let at_neutral = boundary.pressure_at_pa(0, solution.zone_pa[0], neutral);
    assert!(at_neutral.abs() < 1e-3, "{at_neutral} Pa");
    let difference = (density(263.0) - density(294.0)) * GRAVITY_M_S2 * (neutral - z1);
    assert!((solution.flows[0].dp_pa - difference).abs() < 1e-3);
    assert!(solution.flows[0].net_kg_s() > 0.0 && solution.flows[1].net_kg_s() < 0.0);
}

#[test]
fn a_leak_follows_the_standards_correction_for_density_and_viscosity() {
    // Coefficient at the leak's own air: C = C0 (mu0/mu)^(2n-1) (rho0/rho)^(1-n), ASTM E779.
    let (c0, n, dp) = (0.03_f64, 0.62, 50.0_f64);
    let network = Network::new(["room"], vec![leak(OUT, Node::Zone(0), 0.0, c0, n)]).unwrap();
    for temp_k in [253.15, 293.15, 313.15] {
        let mut boundary = Boundary::still(&network, temp_k);
        boundary.held_pa[0] = Some(-dp);
        let solution = exact(&network, &boundary);
        let rho = boundary.outdoor_density_kg_m3;
        let c = c0
            * (viscosity_pa_s(293.15) / viscosity_pa_s(temp_k)).powf(2.0 * n - 1.0)
            * (1.2041 / rho).powf(1.0 - n);
        let flow_m3_s = boundary.volume_flow_m3_s(OUT, solution.flows[0].net_kg_s());
        assert!((flow_m3_s / (c * dp.powf(n)) - 1.0).abs() < 1e-6, "{temp_k}");
        assert!((solution.held_flow_kg_s[0] + solution.flows[0].net_kg_s()).abs() < 1e-15);
    }
}

#[test]
fn a_door_meets_4001_slices() {
    let (width, height, bottom, cd) = (0.8, 2.0, 0.1, 0.6);
    let door = Kind::Opening { width_m: width, height_m: height, bottom_m: bottom, discharge: cd };
    let passage = Passage { a: Node::Zone(0), b: Node::Zone(1), z_m: 0.0, kind: door };
    let network = Network::new_with_held(["warm", "cold"], vec![passage], &[0, 1]).unwrap();
    let mut workspace = Workspace::new(&network);
    let mut worst: f64 = 0.0;
    for excess_k in [0.0, 1e-6, 0.001, 0.02, 0.5, 2.0, 7.0, 20.0] {
        for dp in [-5.0, -1.0, -0.2, -0.03, -0.001, 0.0, 0.004, 0.05, 0.3, 1.3, 5.0] {
            let mut boundary = Boundary::still(&network, 288.0);
            let (rho_a, rho_b) = (density(288.0 + excess_k), density(288.0));
            boundary.zone_density_kg_m3 = vec![rho_a, rho_b];
            boundary.held_pa = vec![Some(dp), Some(0.0)];
            let flow = solve(&network, &boundary, &mut workspace, None).unwrap().flows[0];
            let slices = 4001;
            let (mut forward, mut backward) = (0.0, 0.0);
            for i in 0..slices {
                let z = bottom + height * (f64::from(i) + 0.5) / f64::from(slices);
                let d = dp - (rho_a - rho_b) * GRAVITY_M_S2 * z;
                let rho = if d > 0.0 { rho_a } else { rho_b };
                let area = width * height / f64::from(slices);
                let m = cd * area * (2.0 * rho).sqrt() * d * (d * d + 1e-4_f64).powf(-0.25);
                if m > 0.0 {
                    forward += m;
                } else {
                    backward -= m;
                }
            }
            let total = forward + backward;
            let error = (flow.forward_kg_s - forward).abs() + (flow.backward_kg_s - backward).abs();
            worst = worst.max(error / (total + 1e-9));
        }
    }
    // Midpoint slices miss the kink at the neutral level by about one slice's own error.
    assert!(worst < 1e-5, "{worst:e}");
}

#[test]
fn a_door_to_a_dead_end_exchanges_what_the_closed_form_says() {
    // Brown and Solvason 1962 with unequal densities: no net mass, so the neutral level stands at
    // z = H r / (1 + r) above the sill with r = (rho_warm / rho_cold)^(1/3), and each direction
    // carries (2/3) Cd W sqrt(2 rho g drho) of its part of the height to the power 3/2.
    let (width, height, bottom, cd) = (0.9, 2.1, 0.05, 0.6);
    let door = Kind::Opening { width_m: width, height_m: height, bottom_m: bottom, discharge: cd };
    let passages = vec![
        leak(OUT, Node::Zone(0), 1.0, 0.02, 0.65),
        Passage { a: Node::Zone(0), b: Node::Zone(1), z_m: 0.0, kind: door },
    ];
    let network = Network::new(["warm", "cold"], passages).unwrap();
    for excess_k in [2.0, 8.0, 20.0] {
        let mut boundary = Boundary::still(&network, 285.0);
        let (warm, cold) = (density(285.0 + excess_k), density(285.0));
        boundary.zone_density_kg_m3 = vec![warm, cold];
        boundary.zone_temp_k = vec![285.0 + excess_k, 285.0];
        let flow = exact(&network, &boundary).flows[1];
        let r = (warm / cold).cbrt();
        let (below, above) = (height * r / (1.0 + r), height / (1.0 + r));
        let part = |rho: f64, h: f64| {
            2.0 / 3.0 * cd * width * (2.0 * rho * GRAVITY_M_S2 * (cold - warm)).sqrt() * h.powf(1.5)
        };
        assert!((part(warm, above) / part(cold, below) - 1.0).abs() < 1e-12);
        // Smoothing takes (e / dp)^(3/2) of the largest pressure difference.
        let largest_pa = GRAVITY_M_S2 * (cold - warm) * 0.5 * height;
        let allowed = (0.01 / largest_pa).powf(1.5) + 1e-6;
        assert!((flow.forward_kg_s / part(warm, above) - 1.0).abs() < allowed, "{excess_k}");
        assert!((flow.backward_kg_s / part(cold, below) - 1.0).abs() < allowed, "{excess_k}");
        assert!(flow.net_kg_s().abs() < 1e-9);
    }
}

#[test]
fn a_fan_and_a_duct_meet_where_their_curves_cross() {
    // A straight fan curve 0.1 m3/s - 0.001 dp through a duct of C dp^(1/2): a quadratic in the
    // root of the pressure.
    let curve = FanCurve::new(&[(0.0, 0.1), (50.0, 0.05), (100.0, 0.0)], 1.2041).unwrap();
    for c in [0.002_f64, 0.01, 0.03] {
        let passages = vec![
            Passage { a: OUT, b: Node::Zone(0), z_m: 0.0, kind: Kind::Curve(curve.clone()) },
            leak(Node::Zone(0), OUT, 0.0, c, 0.5),
        ];
        let network = Network::new(["plenum"], passages).unwrap();
        let solution = exact(&network, &Boundary::still(&network, 293.15));
        let root = ((c * c + 4.0 * 0.001 * 0.1).sqrt() - c) / (2.0 * 0.001);
        assert!((solution.zone_pa[0] / (root * root) - 1.0).abs() < 1e-6, "{c}: {}", solution.zone_pa[0]);
        assert!((solution.flows[0].net_kg_s() / (1.2041 * c * root) - 1.0).abs() < 1e-6, "{c}");
    }
}

/// One way out and nothing that drives: no flow, whatever the way.
#[test]
fn a_house_at_rest_is_at_rest() {
    for n in [0.5, 0.55, 0.6, 0.65, 0.7, 1.0] {
        for c in [1e-9, 1e-4, 0.01, 0.3] {
            for temp_k in [253.15, 293.15, 313.15] {
                let network = Network::new(named(1), vec![leak(OUT, Node::Zone(0), 1.0, c, n)]).unwrap();
                let mut boundary = Boundary::still(&network, 293.15);
                boundary.outdoor_density_kg_m3 = density(temp_k);
                boundary.outdoor_temp_k = temp_k;
                let mut workspace = Workspace::new(&network);
                let found = solve(&network, &boundary, &mut workspace, None).unwrap();
                assert!(found.flows[0].net_kg_s().abs() < 1e-9, "{n} {c} {temp_k}");
            }
        }
    }
}

#[test]
fn a_zone_reached_only_by_fans_is_named() {
    let passages = vec![
        leak(OUT, Node::Zone(0), 0.0, 0.01, 0.65),
        fixed(Node::Zone(0), Node::Zone(1), 0.01),
        leak(Node::Zone(1), Node::Zone(2), 0.0, 0.01, 0.65),
        leak(Node::Zone(2), OUT, 0.0, 0.0, 0.65),
    ];
    let error = Network::new(["hall", "plenum", "closet"], passages.clone()).unwrap_err();
    let NetworkError::Isolated { zones } = error else { panic!("{error}") };
    let names: Vec<&str> = zones.iter().map(|zone| zone.name.as_str()).collect();
    assert_eq!(names, ["plenum", "closet"]);

    // A test fan that holds one of them makes both known; without it the solution refuses.
    let network = Network::new_with_held(["hall", "plenum", "closet"], passages, &[2]).unwrap();
    let mut boundary = Boundary::still(&network, 293.15);
    let mut workspace = Workspace::new(&network);
    let refused = solve(&network, &boundary, &mut workspace, None);
    assert_eq!(refused, Err(SolveError::Isolated { zones: vec![1, 2] }));
    boundary.held_pa[2] = Some(25.0);
    let solution = solve(&network, &boundary, &mut workspace, None).unwrap();
    assert!((solution.held_flow_kg_s[2] + 0.01).abs() < 1e-12);
}

#[test]
fn a_swap_that_cuts_a_zone_off_is_found_and_mended() {
    let passages = vec![leak(OUT, Node::Zone(0), 0.0, 0.01, 0.65)];
    let mut network = Network::new(["room"], passages).unwrap();
    let boundary = Boundary::still(&network, 293.15);
    let mut workspace = Workspace::new(&network);
    network.set_fixed(0, 0.01).unwrap();
    assert_eq!(network.isolated(), [0]);
    let refused = solve(&network, &boundary, &mut workspace, None);
    assert_eq!(refused, Err(SolveError::Isolated { zones: vec![0] }));
    network.set_leak(0, 0.02, 0.6).unwrap();
    assert!(solve(&network, &boundary, &mut workspace, None).is_ok());
    let refused = network.set_leak(0, -0.02, 0.6);
    assert!(matches!(refused, Err(NetworkError::OutOfBounds { parameter: Parameter::Coefficient, .. })));
    assert!(matches!(network.set_leak(7, 0.1, 0.6), Err(NetworkError::UnknownPassage { .. })));
}

#[test]
fn bad_boundaries_are_refused_with_their_numbers() {
    let network = Network::new(["room"], vec![leak(OUT, Node::Zone(0), 0.0, 0.01, 0.65)]).unwrap();
    let mut workspace = Workspace::new(&network);
    let good = Boundary::still(&network, 293.15);
    let mut bad = good.clone();
    bad.wind_pa = vec![f64::NAN];
    assert!(matches!(
        solve(&network, &bad, &mut workspace, None),
        Err(SolveError::BadNumber { given: Given::Wind, index: 0, .. })
    ));
    let mut bad = good.clone();
    bad.zone_density_kg_m3.clear();
    assert!(matches!(
        solve(&network, &bad, &mut workspace, None),
        Err(SolveError::WrongLength { given: Given::ZoneDensity, expected: 1, found: 0 })
    ));
    assert!(matches!(
        solve(&network, &good, &mut workspace, Some(&[f64::INFINITY])),
        Err(SolveError::BadNumber { given: Given::Start, .. })
    ));
}

#[test]
fn fans_beyond_their_curve_and_high_pressures_are_flagged() {
    let curve = FanCurve::new(&[(0.0, 0.2), (100.0, 0.1)], 1.2).unwrap();
    let passages = vec![
        leak(OUT, Node::Zone(0), 0.0, 1e-4, 0.65),
        Passage { a: Node::Zone(0), b: OUT, z_m: 0.0, kind: Kind::Curve(curve) },
        leak(OUT, Node::Zone(1), 0.0, 1e-4, 0.65),
        fixed(OUT, Node::Zone(1), 0.1),
    ];
    let network = Network::new(["duct", "box"], passages).unwrap();
    let solution = exact(&network, &Boundary::still(&network, 293.15));
    let fan = solution.flags.iter().find_map(|flag| match flag {
        Flag::FanBeyondCurve { passage: 1, rise_pa } => Some(*rise_pa),
        _ => None,
    });
    assert!((fan.unwrap() + solution.zone_pa[0]).abs() < 1e-9 && fan.unwrap() > 100.0);
    let high = |flag: &Flag| matches!(flag, Flag::HighPressure { zone: 1, zone_pa } if *zone_pa > 500.0);
    assert!(solution.flags.iter().any(high));
}

#[test]
fn any_start_ends_at_the_same_pressures() {
    for seed in 0..60 {
        let (network, boundary) = drawn(seed, 2 + (seed as usize % 20));
        let wanted = exact(&network, &boundary);
        let mut workspace = Workspace::new(&network).with_tolerance(1e-11);
        let mut rng = ChaCha8Rng::seed_from_u64(1000 + seed);
        for far in [1.0, 100.0, 1e4, 1e7] {
            let start: Vec<f64> = wanted.zone_pa.iter().map(|_| rng.random_range(-far..far)).collect();
            let found = solve(&network, &boundary, &mut workspace, Some(&start)).unwrap();
            for (f, w) in found.zone_pa.iter().zip(&wanted.zone_pa) {
                assert!((f - w).abs() < 1e-7, "{seed} {far}: {f} {w}");
            }
        }
    }
}

/// Counts on 300 houses: cold, from the answer of weather a little different, and far off.
#[test]
fn iterations_stay_few() {
    let (mut cold, mut warm, mut hourly) = (Vec::new(), Vec::new(), Vec::new());
    for seed in 0..300 {
        let (network, mut boundary) = drawn(seed, 12);
        let mut workspace = Workspace::new(&network);
        let first = solve(&network, &boundary, &mut workspace, None).unwrap();
        cold.push(first.iterations);
        let mut rng = ChaCha8Rng::seed_from_u64(5000 + seed);
        for wind in &mut boundary.wind_pa {
            *wind += rng.random_range(-0.1..0.1);
        }
        let next = solve(&network, &boundary, &mut workspace, Some(&first.zone_pa)).unwrap();
        warm.push(next.iterations);
        for wind in &mut boundary.wind_pa {
            *wind = rng.random_range(-4.0..6.0);
        }
        let next = solve(&network, &boundary, &mut workspace, Some(&first.zone_pa)).unwrap();
        hourly.push(next.iterations);
    }
    let mean = |counts: &[usize]| counts.iter().sum::<usize>() as f64 / counts.len() as f64;
    let most = |counts: &[usize]| counts.iter().copied().max().unwrap_or(0);
    println!(
        "iterations, mean and most: cold {:.2} {}, near {:.2} {}, new wind {:.2} {}",
        mean(&cold),
        most(&cold),
        mean(&warm),
        most(&warm),
        mean(&hourly),
        most(&hourly),
    );
    // Measured: 5.15 and 7, 3.24 and 5, 5.78 and 8; a start from other weather is worse than none.
    assert!(mean(&cold) < 5.7 && most(&cold) <= 10);
    assert!(mean(&warm) < 3.7 && most(&warm) <= 8);
    assert!(mean(&hourly) < 6.5 && most(&hourly) <= 12);
}

#[test]
fn the_smoothing_constant_does_not_matter() {
    for seed in 0..40 {
        let (network, boundary) = drawn(seed, 8);
        let mut fine = Workspace::new(&network).with_tolerance(1e-10).with_smoothing_pa(0.003);
        let one = exact(&network, &boundary);
        let two = solve(&network, &boundary, &mut fine, None).unwrap();
        let change = (one.throughflow_kg_s / two.throughflow_kg_s - 1.0).abs();
        assert!(change < 1e-3, "{seed}: {change:e}");
    }
}

#[test]
fn solving_again_gives_the_same_bits_and_keeps_its_memory() {
    let (network, boundary) = drawn(3, 12);
    let mut workspace = Workspace::new(&network);
    let mut solution = Solution::default();
    solve_into(&network, &boundary, &mut workspace, None, &mut solution).unwrap();
    let first = solution.clone();
    let places = (solution.zone_pa.as_ptr(), solution.flows.as_ptr());
    solve_into(&network, &boundary, &mut workspace, None, &mut solution).unwrap();
    assert_eq!(first, solution);
    assert_eq!(places, (solution.zone_pa.as_ptr(), solution.flows.as_ptr()));
}

// Derivatives.

/// Observations of one house, as (what, value at a solution).
fn observe(observation: Observation<'_>, solution: &Solution) -> f64 {
    match observation {
        Observation::Pressures(weights) => weights.iter().map(|&(z, w)| w * solution.zone_pa[z]).sum(),
        Observation::HeldFlow(zone) => solution.held_flow_kg_s[zone],
        Observation::Flow(passage) => solution.flows[passage].net_kg_s(),
        Observation::Flows(weights) => weights.iter().map(|&(k, w)| w * solution.flows[k].net_kg_s()).sum(),
    }
}

fn assert_derivative(found: f64, low: f64, high: f64, h: f64, scale: f64, what: &str) {
    let wanted = (high - low) / (2.0 * h);
    assert!((found - wanted).abs() <= 1e-6 * (wanted.abs() + scale), "{what}: {found} {wanted}");
}

#[test]
fn derivatives_meet_central_differences() {
    for seed in 0..12 {
        let (mut network, mut boundary) = drawn(seed, 6);
        if seed % 2 == 0 {
            boundary.held_pa[0] = Some(-50.0);
            boundary.held_pa[3] = Some(-20.0);
        }
        let weights = [(1, 1.0), (2, -0.7), (0, 0.3)];
        let flows = [(2, 1.0), (5, -1.0), (11, 0.4)];
        let observations = [
            Observation::Pressures(&weights),
            Observation::HeldFlow(0),
            Observation::HeldFlow(3),
            Observation::Flow(2),
            Observation::Flow(9),
            Observation::Flows(&flows),
        ];
        let solution = exact(&network, &boundary);
        let mut workspace = Workspace::new(&network);
        let mut all = vec![Sensitivity::default(); observations.len()];
        let mut derivatives = network.derivatives(&boundary, &solution, &mut workspace).unwrap();
        for (observation, into) in observations.iter().zip(&mut all) {
            derivatives.observe(*observation, into);
        }
        let partials = derivatives.partials().to_vec();
        let h = 1e-5;
        for (k, partial) in partials.iter().enumerate() {
            let kind = network.passages()[k].kind.clone();
            let around = |network: &mut Network, change: &dyn Fn(f64) -> Kind, h: f64| {
                let at = |network: &mut Network, x: f64| {
                    network.set_kind(k, change(x)).unwrap();
                    exact(network, &boundary)
                };
                let ends = (at(network, -h), at(network, h));
                network.set_kind(k, kind.clone()).unwrap();
                ends
            };
            let by_c = |x: f64| match kind.clone() {
                Kind::Leak { c_m3_s_pan, n } => Kind::Leak { c_m3_s_pan: c_m3_s_pan * x.exp(), n },
                Kind::Damper { c_m3_s_pan, n, closed_c_m3_s_pan, opens_pa } => {
                    Kind::Damper { c_m3_s_pan: c_m3_s_pan * x.exp(), n, closed_c_m3_s_pan, opens_pa }
                }
                Kind::Opening { width_m, height_m, bottom_m, discharge } => {
                    Kind::Opening { width_m, height_m, bottom_m, discharge: discharge * x.exp() }
                }
                Kind::Fixed { kg_s } => Kind::Fixed { kg_s: kg_s * x.exp() },
                same @ (Kind::Curve(_) | Kind::Run(_)) => same,
            };
            if !matches!(kind, Kind::Curve(_) | Kind::Run(_)) {
                let (low, high) = around(&mut network, &by_c, h);
                for (i, (o, s)) in observations.iter().zip(&all).enumerate() {
                    let found = s.by_flow[k] * partial.by_ln_c_kg_s;
                    let (low, high) = (observe(*o, &low), observe(*o, &high));
                    assert_derivative(found, low, high, h, 0.02, &format!("{seed} c {k} {i}"));
                }
            }
            let by_n = |x: f64| match kind.clone() {
                Kind::Leak { c_m3_s_pan, n } => Kind::Leak { c_m3_s_pan, n: n + x },
                Kind::Damper { c_m3_s_pan, n, closed_c_m3_s_pan, opens_pa } => {
                    Kind::Damper { c_m3_s_pan, n: n + x, closed_c_m3_s_pan, opens_pa }
                }
                same => same,
            };
            if matches!(kind, Kind::Leak { .. } | Kind::Damper { .. }) {
                let (low, high) = around(&mut network, &by_n, h);
                for (i, (o, s)) in observations.iter().zip(&all).enumerate() {
                    let found = s.by_flow[k] * partial.by_n_kg_s;
                    let (low, high) = (observe(*o, &low), observe(*o, &high));
                    assert_derivative(found, low, high, h, 0.02, &format!("{seed} n {k} {i}"));
                }
            }
        }
        let h = 1e-4;
        for wind in 0..4 {
            let at = |x: f64| {
                let mut moved = boundary.clone();
                moved.wind_pa[wind] += x;
                exact(&network, &moved)
            };
            let (low, high) = (at(-h), at(h));
            for (i, (o, s)) in observations.iter().zip(&all).enumerate() {
                let (low, high) = (observe(*o, &low), observe(*o, &high));
                assert_derivative(s.by_wind[wind], low, high, h, 0.02, &format!("{seed} w {wind} {i}"));
            }
        }
        for zone in [0, 3] {
            let Some(held) = boundary.held_pa[zone] else {
                continue;
            };
            let at = |x: f64| {
                let mut moved = boundary.clone();
                moved.held_pa[zone] = Some(held + x);
                exact(&network, &moved)
            };
            let (low, high) = (at(-h), at(h));
            for (i, (o, s)) in observations.iter().zip(&all).enumerate() {
                let (low, high) = (observe(*o, &low), observe(*o, &high));
                assert_derivative(s.by_held[zone], low, high, h, 0.02, &format!("{seed} h {zone} {i}"));
            }
        }
    }
}

// Symmetries and conservation.

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn mass_closes_in_every_zone(seed in 0_u64..1_000_000, count in 1_usize..30, hold in any::<bool>()) {
        let (network, mut boundary) = drawn(seed, count);
        if hold {
            boundary.held_pa[0] = Some(-40.0);
        }
        let mut workspace = Workspace::new(&network);
        let solution = solve(&network, &boundary, &mut workspace, None).unwrap();
        let size: f64 = solution.flows.iter().map(|f| f.forward_kg_s + f.backward_kg_s).sum();
        for (out, fan) in balances(&network, &solution).iter().zip(&solution.held_flow_kg_s) {
            prop_assert!((out - fan).abs() <= 1e-13 * size, "{} of {}", out - fan, size);
        }
        for flow in &solution.flows {
            prop_assert!(flow.forward_kg_s >= 0.0 && flow.backward_kg_s >= 0.0);
        }
    }

    #[test]
    fn renumbering_zones_changes_nothing(seed in 0_u64..1_000_000, count in 2_usize..30) {
        let (network, boundary) = drawn(seed, count);
        let wanted = exact(&network, &boundary);
        // Zone i becomes zone (i * step + 1) mod count, with step prime to count.
        let step = if count % 7 == 0 { 11 } else { 7 };
        let new = |zone: usize| (zone * step + 1) % count;
        let moved = |node: Node| match node { Node::Zone(z) => Node::Zone(new(z)), other => other };
        let passages = network.passages().iter().map(|p| Passage {
            a: moved(p.a), b: moved(p.b), z_m: p.z_m, kind: p.kind.clone(),
        }).collect();
        let mut other = boundary.clone();
        for zone in 0..count {
            other.zone_density_kg_m3[new(zone)] = boundary.zone_density_kg_m3[zone];
            other.zone_temp_k[new(zone)] = boundary.zone_temp_k[zone];
        }
        let found = exact(&Network::new(named(count), passages).unwrap(), &other);
        for zone in 0..count {
            prop_assert!((found.zone_pa[new(zone)] - wanted.zone_pa[zone]).abs() < 1e-8);
        }
        for (f, w) in found.flows.iter().zip(&wanted.flows) {
            prop_assert!((f.net_kg_s() - w.net_kg_s()).abs() < 1e-9);
        }
    }

    #[test]
    fn reversing_a_passage_flips_its_sign(seed in 0_u64..1_000_000, count in 1_usize..20, k in 0_usize..60) {
        let (network, boundary) = drawn(seed, count);
        // Not the damper and the fan, which know their direction, and a fixed flow changes sign.
        let k = k % (network.passages().len() - 3);
        let wanted = exact(&network, &boundary);
        let mut passages = network.passages().to_vec();
        let p = &mut passages[k];
        (p.a, p.b) = (p.b, p.a);
        let found = exact(&Network::new(named(count), passages).unwrap(), &boundary);
        for (i, (f, w)) in found.flows.iter().zip(&wanted.flows).enumerate() {
            let w = if i == k {
                Flow { forward_kg_s: w.backward_kg_s, backward_kg_s: w.forward_kg_s, dp_pa: -w.dp_pa }
            } else {
                *w
            };
            prop_assert!((f.forward_kg_s - w.forward_kg_s).abs() < 1e-9, "{} {:?} {:?}", i, f, w);
            prop_assert!((f.backward_kg_s - w.backward_kg_s).abs() < 1e-9);
            prop_assert!((f.dp_pa - w.dp_pa).abs() < 1e-7);
        }
    }

    #[test]
    fn splitting_a_leak_changes_nothing(seed in 0_u64..1_000_000, count in 1_usize..20, share in 0.01_f64..0.99) {
        let (network, boundary) = drawn(seed, count);
        let mut workspace = Workspace::new(&network);
        let wanted = solve(&network, &boundary, &mut workspace, None).unwrap();
        let mut passages = network.passages().to_vec();
        let k = count + 1;
        let Kind::Leak { c_m3_s_pan, n } = passages[k].kind else { return Ok(()) };
        passages[k].kind = Kind::Leak { c_m3_s_pan: share * c_m3_s_pan, n };
        let mut rest = passages[k].clone();
        rest.kind = Kind::Leak { c_m3_s_pan: (1.0 - share) * c_m3_s_pan, n };
        passages.push(rest);
        let split = Network::new(named(count), passages).unwrap();
        let found = solve(&split, &boundary, &mut Workspace::new(&split), None).unwrap();
        let bound = 10.0 * TOLERANCE * wanted.throughflow_kg_s;
        for (i, w) in wanted.flows.iter().enumerate() {
            let mut net = found.flows[i].net_kg_s();
            if i == k {
                net += found.flows[wanted.flows.len()].net_kg_s();
            }
            prop_assert!((net - w.net_kg_s()).abs() <= bound);
        }
    }

    /// At the tolerance for simulation: ten times what it allows.
    #[test]
    fn renumbering_zones_changes_less_than_the_tolerance(seed in 0_u64..1_000_000, count in 2_usize..30) {
        let (network, boundary) = drawn(seed, count);
        let wanted = solve(&network, &boundary, &mut Workspace::new(&network), None).unwrap();
        let turned = |zone: usize| count - 1 - zone;
        let moved = |node: Node| match node { Node::Zone(z) => Node::Zone(turned(z)), other => other };
        let passages = network.passages().iter().map(|p| Passage {
            a: moved(p.a), b: moved(p.b), z_m: p.z_m, kind: p.kind.clone(),
        }).collect();
        let mut other = boundary.clone();
        other.zone_density_kg_m3.reverse();
        other.zone_temp_k.reverse();
        let network = Network::new(named(count), passages).unwrap();
        let found = solve(&network, &other, &mut Workspace::new(&network), None).unwrap();
        let bound = 10.0 * TOLERANCE * wanted.throughflow_kg_s;
        for (f, w) in found.flows.iter().zip(&wanted.flows) {
            prop_assert!((f.net_kg_s() - w.net_kg_s()).abs() <= bound);
        }
    }

    /// Still air of one temperature, one fan to outdoors: a hole from any zone to outdoors lets
    /// out what the fan brings. It holds for any laws that are monotone (the balance is an
    /// M-function, whose inverse is isotone: Rheinboldt 1970, from memory).
    #[test]
    fn a_new_hole_outdoors_never_raises_the_pressure_across_a_fan(
        seed in 0_u64..1_000_000, count in 1_usize..15, places in any::<(u32, u32)>(),
        c in 1e-5_f64..0.1, n in 0.5_f64..1.0,
    ) {
        let zone = |draw: u32| Node::Zone(draw as usize % count);
        let passages = calm_house(seed, count, None);
        let (before, after) =
            across_fan(passages, count, (zone(places.0), OUT), leak(zone(places.1), OUT, 1.0, c, n));
        prop_assert!(before > 0.0 && after <= before * (1.0 + 1e-9), "{} {}", before, after);
    }

    /// The same with fan and hole between any two places, where all laws are one power of the
    /// pressure: the pressure then grows with the work done, which a hole can only lessen. (With
    /// unlike exponents it is not so, as the next test shows.)
    #[test]
    fn a_new_hole_anywhere_never_raises_the_pressure_across_a_fan(
        seed in 0_u64..1_000_000, count in 1_usize..15, places in any::<[u32; 4]>(),
        c in 1e-5_f64..0.1, n in 0.5_f64..1.0,
    ) {
        let [from, to, a, b] = places.map(|draw| match draw as usize % (count + 1) {
            zone if zone < count => Node::Zone(zone),
            _ => OUT,
        });
        prop_assume!(from != to && a != b);
        let passages = calm_house(seed, count, Some(n));
        let (before, after) = across_fan(passages, count, (from, to), leak(a, b, 1.0, c, n));
        // Below the smoothing pressure a passage is linear: not quite one power.
        prop_assert!(before > 0.0 && after <= before * (1.0 + 1e-3), "{} {}", before, after);
    }

    #[test]
    fn more_leakage_never_takes_less_fan_flow(seed in 0_u64..1_000_000, count in 1_usize..15, k in 0_usize..60) {
        let (mut network, _) = drawn(seed, count);
        // Nothing else drives air: every zone lies between the held one and outdoors.
        let mut boundary = Boundary::still(&network, 290.0);
        let last = network.passages().len() - 1;
        network.set_fixed(last, 0.0).unwrap();
        network.set_fixed(last - 2, 0.0).unwrap();
        boundary.held_pa[0] = Some(-60.0);
        let before = exact(&network, &boundary).held_flow_kg_s[0];
        let k = count - 1 + k % (4 * count - 2);
        let Kind::Leak { c_m3_s_pan, n } = network.passages()[k].kind else { return Ok(()) };
        network.set_leak(k, 1.5 * c_m3_s_pan, n).unwrap();
        let after = exact(&network, &boundary).held_flow_kg_s[0];
        prop_assert!(after <= before + 1e-9, "{} {}", before, after);
    }
}

/// Leaks and open doors, all of exponent `n` where that is given (doors then are leaks too).
fn calm_house(seed: u64, count: usize, n: Option<f64>) -> Vec<Passage> {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let (mut passages, _) = house(&mut rng, count);
    passages.retain(|p| matches!(p.kind, Kind::Leak { .. } | Kind::Opening { .. }));
    for passage in &mut passages {
        match (&mut passage.kind, n) {
            (Kind::Leak { n, .. }, Some(common)) => *n = common,
            (Kind::Opening { .. }, Some(n)) => passage.kind = Kind::Leak { c_m3_s_pan: 0.3, n },
            _ => {}
        }
    }
    passages
}

/// Pressure across a fan of 0.04 kg/s in still air, before and after `hole` is there.
fn across_fan(
    mut passages: Vec<Passage>,
    count: usize,
    (from, to): (Node, Node),
    hole: Passage,
) -> (f64, f64) {
    let fan = passages.len();
    passages.push(fixed(from, to, 0.04));
    let rise = |passages: &[Passage]| {
        let network = Network::new(named(count), passages.to_vec()).unwrap();
        let boundary = Boundary::still(&network, engine::air::REFERENCE_TEMP_K);
        let mut workspace = Workspace::new(&network).with_tolerance(1e-13);
        -solve(&network, &boundary, &mut workspace, None).unwrap().flows[fan].dp_pa
    };
    let before = rise(&passages);
    passages.push(hole);
    (before, rise(&passages))
}

/// Braess's paradox (for nonlinear networks: Cohen and Horowitz 1991, from memory): where the
/// passages have unlike exponents, a hole between two rooms may raise the pressure across a fan.
#[test]
fn a_hole_between_rooms_may_raise_the_pressure_where_exponents_differ() {
    // From the fan's room two ways lead outdoors, by exponents 0.5 then 1 and by 1 then 0.5. With
    // coefficients that pass the fan's whole flow at 1 Pa each way carries half and takes
    // 0.5^2 + 0.5 = 0.75 Pa. A wide hole between the middles makes both one room at p of 2 p, with
    // p + sqrt p = 1: 3 - sqrt 5 = 0.764 Pa.
    let [fan_room, one, two] = [0, 1, 2].map(Node::Zone);
    let c = 0.04 / engine::air::REFERENCE_DENSITY_KG_M3;
    let passages = vec![
        leak(fan_room, one, 1.0, c, 0.5),
        leak(one, OUT, 1.0, c, 1.0),
        leak(fan_room, two, 1.0, c, 1.0),
        leak(two, OUT, 1.0, c, 0.5),
    ];
    let (before, after) = across_fan(passages, 3, (OUT, fan_room), leak(one, two, 1.0, 1e3 * c, 0.65));
    assert!((before - 0.75).abs() < 1e-3, "{before}");
    assert!((after - (3.0 - 5.0_f64.sqrt())).abs() < 1e-3, "{after}");
}

/// Houses of no sense: coefficients over seven decades, storms, fans far beyond their curves.
#[test]
fn wild_networks_are_solved_too() {
    let mut most = 0;
    for seed in 0..2000 {
        let mut rng = ChaCha8Rng::seed_from_u64(90_000 + seed);
        let count = rng.random_range(1..25);
        let (mut passages, mut boundary) = house(&mut rng, count);
        for passage in &mut passages {
            if let Kind::Leak { c_m3_s_pan, n } = &mut passage.kind {
                *c_m3_s_pan = 10.0_f64.powf(rng.random_range(-6.0..1.0));
                *n = rng.random_range(0.5..1.0);
            }
            if let Kind::Fixed { kg_s } = &mut passage.kind {
                *kg_s = rng.random_range(-2.0..2.0);
            }
        }
        for wind in &mut boundary.wind_pa {
            *wind *= rng.random_range(0.0..30.0);
        }
        if rng.random_bool(0.3) {
            boundary.held_pa[0] = Some(rng.random_range(-80.0..80.0));
        }
        let network = Network::new(named(count), passages).unwrap();
        let mut workspace = Workspace::new(&network).with_tolerance(TOLERANCE_FIT);
        let solution = solve(&network, &boundary, &mut workspace, None).unwrap();
        most = most.max(solution.iterations);
    }
    // Of 20,000 such houses none failed and the worst took 18 steps.
    assert!(most <= 25, "{most}");
}
