//! Solving again allocates nothing: counted by an allocator, hence a binary with one test.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use engine::network::{Batch, Boundary, Case, Kind, Network, Solution, Trail, Workspace, solve_into};
use engine::rule::Machine;
use stats_alloc::{INSTRUMENTED_SYSTEM, Region, StatsAlloc};
use std::alloc::System;
use validate::speed::{Draw, TOGETHER, drawn_again, five_minutes, hours, house, rule_set, rule_signals};

#[global_allocator]
static ALLOCATOR: &StatsAlloc<System> = &INSTRUMENTED_SYSTEM;

#[test]
fn nothing_is_allocated_after_the_first_step() {
    let mut draw = Draw(3);
    let network = house(12, &mut draw);
    let mut houses: Vec<Network> = (0..TOGETHER).map(|_| drawn_again(&network, &mut draw)).collect();
    let boundaries: Vec<Boundary> = five_minutes(&hours(&network, 9, 0.3, &mut draw));
    let mut workspace = Workspace::new(&network);
    let mut batch = Batch::new(&network);
    let mut trails = vec![Trail::new(); TOGETHER];
    let mut solutions = vec![Solution::default(); TOGETHER];

    let mut step = |houses: &mut [Network], boundary: &Boundary, turn: usize| {
        // Rules act: a fan in the place of a leak, a door, another flow.
        let n = 0.6;
        houses[turn % TOGETHER].set_leak(40, 1e-3 * (1.0 + turn as f64), n).unwrap();
        let kind = if turn.is_multiple_of(2) {
            Kind::Fixed { kg_s: 0.01 }
        } else {
            Kind::Leak { c_m3_s_pan: 1e-3, n }
        };
        houses[turn % TOGETHER].set_kind(59, kind).unwrap();
        let start = trails[0].start();
        solve_into(&houses[0], boundary, &mut workspace, start, &mut solutions[0]).unwrap();
        let cases: [Case<'_>; TOGETHER] = std::array::from_fn(|lane| Case {
            network: &houses[lane],
            boundary,
            start: trails[lane].start(),
        });
        assert!(batch.solve(&cases, &mut solutions).is_empty());
        for (trail, solution) in trails.iter_mut().zip(&solutions) {
            trail.push(&solution.zone_pa);
        }
    };
    // The first step of each house, with either kind in the place that changes.
    for turn in 0..2 * TOGETHER {
        step(&mut houses, &boundaries[0], turn / 2 + turn % 2 * TOGETHER + turn % 2);
    }
    let region = Region::new(ALLOCATOR);
    for (turn, boundary) in boundaries.iter().enumerate() {
        step(&mut houses, boundary, turn);
    }
    let change = region.change();
    assert_eq!((change.allocations, change.reallocations), (0, 0), "{change:?}");
    let set = rule_set();
    let rows = rule_signals(&set, 256);
    let mut machine = Machine::new(set);
    let region = Region::new(ALLOCATOR);
    let mut ran = 0.0;
    for row in &rows {
        ran += machine.step(row, 600.0).iter().map(|s| s.applied(0.0)).sum::<f64>();
    }
    let change = region.change();
    assert_eq!((change.allocations, change.reallocations), (0, 0), "{change:?}");
    assert!(ran > 10.0, "rules went on: {ran}");
    // The allocator does count.
    let region = Region::new(ALLOCATOR);
    drop(std::hint::black_box(vec![1.0; 5]));
    assert_eq!(region.change().allocations, 1);
}
