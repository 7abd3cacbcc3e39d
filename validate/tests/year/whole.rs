//! A whole house through a year of weather, and runs that stop or are refused.

use super::{exhaust, hour, live, one_zone};
use engine::weather::Weather;
use engine::year::{Days, ExhaustFan, Model, Options, Progress, Year, YearError, run};
use std::ops::ControlFlow;
use validate::houses::{BED, greensboro, six_zones};
fn timed(model: &Model, weather: &Weather, options: &Options) -> (Year, f64) {
    let start = std::time::Instant::now();
    let year = live(model, weather, options);
    (year, start.elapsed().as_secs_f64())
}

fn summary(name: &str, year: &Year, seconds: f64) {
    let bed = &year.zones[BED];
    let e = &year.energy;
    println!(
        "{name}: {seconds:.2} s; bed CO2 {:.0}/{:.0} ppm, over {:.0} h; PM {:.2} ug/m3; damp {:.0} h dry {:.0} h; ach {:.3}; \
         crawl {:.2e} attic {:.2e} kg/s; p {:.2} Pa; heat {:.0} cool {:.0} fan {:.0} dry {:.0} kWh; duty {:.3}; \
         peaks {:.0}/{:.0} W; cold {:.0} hot {:.0} h; condensed {:.1} coil {:.0} kg; books {:.1e}; {:?}",
        bed.night_co2_mean_ppm,
        bed.night_co2_p95_ppm,
        bed.night_co2_over_h,
        bed.pm25_mean_kg_m3 * 1e9,
        bed.damp_h,
        bed.dry_h,
        year.outdoor_air_per_h,
        year.air_from_buffers_kg_s[0].1,
        year.air_from_buffers_kg_s[1].1,
        year.least_appliance_pa.unwrap(),
        e.heating_j[0] / 3.6e6,
        e.cooling_j / 3.6e6,
        e.handler_fan_j / 3.6e6,
        e.drier_j / 3.6e6,
        year.handler_duty,
        year.peak_heating_w,
        year.peak_cooling_w,
        year.too_cold_h,
        year.too_hot_h,
        year.condensed_kg,
        year.coil_water_kg,
        year.books.worst(),
        year.counts,
    );
}

#[test]
fn a_whole_house_keeps_its_books_and_its_steps_agree() {
    let weather = greensboro().unwrap();
    let model = six_zones(&weather).unwrap();
    let five = Options::default();
    let fifteen = Options { inner_step_s: 900.0, ..Options::default() };
    let picked = Options { days: Days::Picked(weather.stratified_days(48)), ..Options::default() };
    let (a, ta) = timed(&model, &weather, &five);
    summary("5 min", &a, ta);
    let (b, tb) = timed(&model, &weather, &fifteen);
    summary("15 min", &b, tb);
    let (c, tc) = timed(&model, &weather, &picked);
    summary("48 days", &c, tc);
    for year in [&a, &b, &c] {
        assert!(year.books.worst() < 1e-9, "{:?}", year.books);
        assert!(!year.diagnostics.has_errors());
    }
    // Same numbers again, to the bit.
    assert_eq!(live(&model, &weather, &picked), c);
    // The step and the choice of days do not change what a plan is judged by.
    let near = |x: f64, y: f64, relative: f64| assert!((x / y - 1.0).abs() < relative, "{x} {y}");
    near(b.zones[BED].night_co2_mean_ppm, a.zones[BED].night_co2_mean_ppm, 0.02);
    near(b.energy.electricity_j(), a.energy.electricity_j(), 0.03);
    near(b.outdoor_air_per_h, a.outdoor_air_per_h, 0.02);
    near(c.zones[BED].night_co2_mean_ppm, a.zones[BED].night_co2_mean_ppm, 0.03);
    near(c.energy.electricity_j(), a.energy.electricity_j(), 0.08);
    near(c.outdoor_air_per_h, a.outdoor_air_per_h, 0.05);
    near(c.zones[BED].pm25_mean_kg_m3, a.zones[BED].pm25_mean_kg_m3, 0.05);
}

#[test]
fn a_run_stops_when_told_and_refuses_what_does_not_fit() {
    let weather = Weather::steady(hour(283.15, 0.5));
    let mut model = one_zone(300.0, 293.15);
    let mut days = 0;
    let stopped = run(&model, &weather, &Options::default(), &mut |p: Progress| {
        days = p.day_count;
        if days == 3 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    });
    assert_eq!(stopped, Err(YearError::Stopped { day_count: 3 }));
    assert_eq!(days, 3);
    let step = Options { inner_step_s: 700.0, ..Options::default() };
    let mut go = |_: Progress| ControlFlow::Continue(());
    assert!(matches!(run(&model, &weather, &step, &mut go), Err(YearError::Step { .. })));
    model.exhausts = vec![ExhaustFan { zone: 3, ..exhaust(0.01) }];
    model.zones[0].volume_m3 = f64::NAN;
    let Err(YearError::Model(list)) = run(&model, &weather, &Options::default(), &mut go) else { panic!() };
    assert_eq!(list.len(), 2);
}
