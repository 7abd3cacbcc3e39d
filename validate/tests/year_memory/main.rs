//! A year allocates nothing after its first day: counted by an allocator, hence a binary with one
//! test.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on fails")]

use engine::year::{Days, Options, Progress, run};
use stats_alloc::{INSTRUMENTED_SYSTEM, Region, StatsAlloc};
use std::alloc::System;
use std::ops::ControlFlow;
use validate::houses::{greensboro, six_zones};

#[global_allocator]
static ALLOCATOR: &StatsAlloc<System> = &INSTRUMENTED_SYSTEM;

/// From the end of the first of three days of warming up to the end of the last of twelve picked
/// days, one a month: heating and cooling, doors, fans, ventilator, dehumidifier, condensation.
#[test]
fn a_year_allocates_nothing_after_its_first_day() {
    let weather = greensboro().unwrap();
    let model = six_zones(&weather).unwrap();
    let options = Options { days: Days::Picked(weather.stratified_days(12)), ..Options::default() };
    let mut region = Region::new(ALLOCATOR);
    let (mut last, mut days) = (None, 0);
    let year = run(&model, &weather, &options, &mut |progress: Progress| {
        if progress.day_count == 1 {
            region.reset();
        } else if progress.day_count == progress.of_days {
            last = Some(region.change());
            days = progress.day_count;
        }
        ControlFlow::Continue(())
    })
    .unwrap();
    assert!(days >= 12 && year.coil_water_kg > 0.0 && year.energy.heat_delivered_j > 0.0);
    let change = last.unwrap();
    assert_eq!((change.allocations, change.reallocations), (0, 0), "{change:?}");
}
