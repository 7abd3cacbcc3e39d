//! Solving again allocates nothing: counted by an allocator, hence a binary with one test.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use engine::network::{Batch, Boundary, Case, Kind, Network, Solution, Trail, Workspace, solve_into};
use engine::weather::PickedDay;
use engine::year::{Days, Options, run};
use stats_alloc::{INSTRUMENTED_SYSTEM, Region, StatsAlloc};
use std::alloc::System;
use std::ops::ControlFlow;
use validate::houses::{greensboro, six_zones};
use validate::speed::{Draw, TOGETHER, drawn_again, five_minutes, hours, house};

#[global_allocator]
static ALLOCATOR: &StatsAlloc<System> = &INSTRUMENTED_SYSTEM;

#[test]
fn nothing_is_allocated_after_the_first_step() {
    a_year_allocates_nothing_more_with_more_days();
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
    // The allocator does count.
    let region = Region::new(ALLOCATOR);
    drop(std::hint::black_box(vec![1.0; 5]));
    assert_eq!(region.change().allocations, 1);
}

/// Part of the one test: another in this binary would be counted with it.
fn a_year_allocates_nothing_more_with_more_days() {
    let weather = greensboro().unwrap();
    let mut model = six_zones(&weather).unwrap();
    // A door that opens has the network look again which zones it connects, in new lists.
    model.doors.clear();
    let count = |days: usize| {
        let picked = (0..days).map(|k| PickedDay { day: 100 + k, weight: 1.0 }).collect();
        let options = Options { days: Days::Picked(picked), ..Options::default() };
        let region = Region::new(ALLOCATOR);
        run(&model, &weather, &options, &mut |_| ControlFlow::Continue(())).unwrap();
        region.change()
    };
    let (few, many) = (count(6), count(30));
    println!("a year: {few:?} {many:?}");
    // Sorting the longer list of nights takes a buffer a zone, and the lists grow when the scores are
    // made; none of the 6912 steps more takes anything.
    assert!(many.allocations - few.allocations <= model.zones.len(), "{few:?} {many:?}");
    assert!(many.reallocations - few.reallocations < 100, "{few:?} {many:?}");
}
