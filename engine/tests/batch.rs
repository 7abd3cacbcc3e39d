//! Houses in lanes against each house alone: the same bits, whatever stands beside it.

use engine::network::*;
use proptest::prelude::*;
use rand::{Rng, RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;

/// A graph of `count` zones, every kind of passage in it.
fn graph(rng: &mut impl Rng, count: usize) -> Network {
    let outside = |rng: &mut dyn Rng| Node::Outdoors { wind: (rng.next_u32() % 3) as usize };
    let mut passages = Vec::new();
    for i in 1..count {
        let (a, b) = (Node::Zone(rng.random_range(0..i)), Node::Zone(i));
        let kind = Kind::Leak { c_m3_s_pan: 0.01, n: 0.6 };
        passages.push(Passage { a, b, z_m: rng.random_range(0.0..5.0), kind });
    }
    for i in 0..4 * count {
        let (a, b) = (outside(rng), Node::Zone(i % count));
        let kind = Kind::Leak { c_m3_s_pan: 0.002, n: 0.65 };
        passages.push(Passage { a, b, z_m: rng.random_range(0.0..6.0), kind });
    }
    Network::new((0..count).map(|i| i.to_string()), passages).unwrap()
}

/// The same graph with other numbers, other kinds and another boundary.
fn draw(rng: &mut impl Rng, graph: &Network, curve: &FanCurve) -> (Network, Boundary, Option<Vec<f64>>) {
    let mut network = graph.clone();
    let count = network.zone_count();
    for k in 0..network.passages().len() {
        let n = rng.random_range(0.5..0.8);
        // The first leaks outdoors stay, so that every zone keeps its way out.
        let swapped = if k < count - 1 { 0.3 } else { 0.1 };
        let tie = (count - 1..2 * count - 1).contains(&k);
        let kind = if tie || !rng.random_bool(swapped) {
            Kind::Leak { c_m3_s_pan: rng.random_range(0.0005..0.03), n }
        } else {
            match rng.random_range(0..6) {
                0 => Kind::Leak { c_m3_s_pan: 0.0, n },
                1 => Kind::Opening {
                    width_m: rng.random_range(0.02..0.9),
                    height_m: 2.0,
                    bottom_m: 0.1,
                    discharge: 0.6,
                },
                2 => Kind::Fixed { kg_s: rng.random_range(-0.02..0.03) },
                3 => Kind::Damper {
                    c_m3_s_pan: 0.01,
                    n,
                    closed_c_m3_s_pan: 0.0002,
                    opens_pa: rng.random_range(0.0..2.0),
                },
                4 => Kind::Run(std::sync::Arc::new(Run {
                    sized: Resistance::rated(rng.random_range(20.0..120.0), 0.1, 0.8),
                    fan: rng.random_bool(0.5).then(|| curve.clone()),
                    rise_m: rng.random_range(0.0..6.0),
                    ..Run::of(Resistance::straight(6.0, 0.15, 0.0177, 9e-4))
                })),
                _ => Kind::Curve(curve.clone()),
            }
        };
        network.set_kind(k, kind).unwrap();
    }
    let mut boundary = Boundary::still(&network, 293.15);
    let density = |temp_k: f64| 101_325.0 / (287.055 * temp_k);
    boundary.outdoor_temp_k = rng.random_range(255.0..305.0);
    boundary.outdoor_density_kg_m3 = density(boundary.outdoor_temp_k);
    for zone in 0..count {
        boundary.zone_temp_k[zone] = rng.random_range(288.0..300.0);
        boundary.zone_density_kg_m3[zone] = density(boundary.zone_temp_k[zone]);
    }
    boundary.wind_pa.iter_mut().for_each(|wind| *wind = rng.random_range(-4.0..6.0));
    if rng.random_bool(0.2) {
        boundary.held_pa[rng.random_range(0..count)] = Some(rng.random_range(-60.0..60.0));
    }
    let start = rng.random_bool(0.6).then(|| (0..count).map(|_| rng.random_range(-9.0..9.0)).collect());
    (network, boundary, start)
}

type Draw = (Network, Boundary, Option<Vec<f64>>);

fn cases(draws: &[Draw]) -> Vec<Case<'_>> {
    draws
        .iter()
        .map(|(network, boundary, start)| Case { network, boundary, start: start.as_deref() })
        .collect()
}

fn alone(draw: &Draw, level: Level) -> Solution {
    let (network, boundary, start) = draw;
    let mut workspace = Workspace::new(network).with_level(level);
    solve(network, boundary, &mut workspace, start.as_deref()).unwrap()
}

fn bits(solution: &Solution) -> Vec<u64> {
    let flows = solution.flows.iter().flat_map(|f| [f.forward_kg_s, f.backward_kg_s, f.dp_pa]);
    let sums = [solution.residual_kg_s, solution.throughflow_kg_s, solution.iterations as f64];
    let all = solution.zone_pa.iter().chain(&solution.held_flow_kg_s).copied();
    all.chain(flows).chain(sums).map(f64::to_bits).collect()
}

fn draws(seed: u64, zones: usize, count: usize) -> (Network, Vec<Draw>) {
    let mut rng = ChaCha8Rng::seed_from_u64(seed);
    let graph = graph(&mut rng, zones);
    let curve = FanCurve::new(&[(0.0, 0.05), (30.0, 0.04), (60.0, 0.02), (80.0, 0.0)], 1.2).unwrap();
    let draws = (0..count).map(|_| draw(&mut rng, &graph, &curve)).collect();
    (graph, draws)
}

fn levels() -> impl Iterator<Item = Level> {
    Level::ALL.into_iter().filter(|level| level.is_available())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn neither_level_nor_grouping_changes_a_bit(
        seed in 0_u64..1_000_000, zones in 1_usize..14, count in 1_usize..20, skip in 0_usize..9,
    ) {
        let (graph, draws) = draws(seed, zones, count);
        let wanted: Vec<Vec<u64>> = draws.iter().map(|draw| bits(&alone(draw, Level::Plain))).collect();
        for level in levels() {
            for (draw, wanted) in draws.iter().zip(&wanted) {
                prop_assert_eq!(&bits(&alone(draw, level)), wanted);
            }
            // Groups that begin elsewhere, one memory for both.
            let mut batch = Batch::at_level(&graph, level);
            let mut solutions = vec![Solution::default(); count];
            for skip in [0, skip.min(count - 1)] {
                let failed = batch.solve(&cases(&draws[skip..]), &mut solutions[skip..]);
                prop_assert!(failed.is_empty(), "{:?}", failed);
                for (found, wanted) in solutions.iter().zip(&wanted) {
                    prop_assert_eq!(&bits(found), wanted);
                }
            }
        }
    }
}

#[test]
fn threads_change_no_bit() {
    let (graph, draws) = draws(5, 9, 61);
    let mut one = vec![Solution::default(); draws.len()];
    assert!(Batch::new(&graph).solve(&cases(&draws), &mut one).is_empty());
    for parts in [2, 3, 7] {
        let mut many = vec![Solution::default(); draws.len()];
        let size = draws.len().div_ceil(parts);
        std::thread::scope(|scope| {
            for (draws, solutions) in draws.chunks(size).zip(many.chunks_mut(size)) {
                let graph = &graph;
                scope.spawn(move || assert!(Batch::new(graph).solve(&cases(draws), solutions).is_empty()));
            }
        });
        assert_eq!(one, many);
    }
}

#[test]
fn a_case_that_fails_is_named_and_the_others_are_solved() {
    let (graph, mut draws) = draws(8, 6, 21);
    let other = self::draws(9, 4, 1).1.remove(0);
    let wanted: Vec<Solution> = draws.iter().map(|draw| alone(draw, Level::Plain)).collect();
    draws[0] = other;
    draws[3].1.wind_pa[0] = f64::NAN;
    draws[9].2 = Some(vec![0.0; 2]);
    draws[10].1.zone_density_kg_m3.pop();
    // Nothing ties zone 2 to anything, and nothing holds it.
    draws[20].1.held_pa.fill(None);
    for k in 0..draws[20].0.passages().len() {
        let passage = &draws[20].0.passages()[k];
        if [passage.a, passage.b].contains(&Node::Zone(2)) {
            draws[20].0.set_kind(k, Kind::Fixed { kg_s: 0.0 }).unwrap();
        }
    }
    for level in levels() {
        let mut solutions = vec![Solution::default(); draws.len()];
        let mut batch = Batch::at_level(&graph, level);
        let failed = batch.solve(&cases(&draws), &mut solutions).to_vec();
        let places: Vec<usize> = failed.iter().map(|(place, _)| *place).collect();
        assert_eq!(places, [0, 3, 9, 10, 20], "{failed:?}");
        assert!(matches!(failed[0].1, SolveError::OtherGraph));
        assert!(matches!(failed[1].1, SolveError::BadNumber { given: Given::Wind, index: 0, .. }));
        assert!(matches!(failed[2].1, SolveError::WrongLength { given: Given::Start, found: 2, .. }));
        assert!(matches!(failed[3].1, SolveError::WrongLength { given: Given::ZoneDensity, .. }));
        assert_eq!(failed[4].1, SolveError::Isolated { zones: vec![2] });
        for (place, (found, wanted)) in solutions.iter().zip(&wanted).enumerate() {
            if places.contains(&place) {
                assert_eq!(*found, Solution::default());
            } else {
                assert_eq!(bits(found), bits(wanted), "{place}");
            }
        }
    }
}
