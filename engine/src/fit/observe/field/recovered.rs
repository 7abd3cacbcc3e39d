//! Truths that are known: what a kind of reading tells is found again, within its interval, and
//! narrower than without it; one that contradicts is named with what would explain it.

use super::super::{Observations, Seen};
use super::tests::{house, seen};
use crate::fit::problem::Problem;
use crate::fit::suspect::Slip;
use crate::fit::{Fit, Options, fit, prior_draws, simulate};
use crate::house::House;
use std::ops::ControlFlow;

/// Houses a kind is tried on.
const HOUSES: usize = 30;

const OUTSIDE: &str = "
[conditions]
indoor = '70 degF'
outdoor = '35 degF'
wind = '5 mph'
";
const BASE: &str = "
[conditions]
indoor = '70 degF'
outdoor = '35 degF'
wind = '5 mph'
[instrument.gauge]
measures = 'pressure'
accuracy = '1 % or 0.15 Pa'
[instrument.door_fan]
measures = 'air flow'
accuracy = '3 %'
shows = 'flow at calibration density'
[test.t]
standard = 'ASTM E779'
direction = 'depressurise'
pressure_with = 'gauge'
flow_with = 'door_fan'
baseline_before = ['Pa', -1.2, -0.8, -1.4]
stations = { columns = ['house Pa', 'fan cfm'], rows = [[-50, 2000], [-30, 1400], [-15, 900]] }
";
/// The closet's index in the demonstration house.
const CLOSET: usize = 2;
const POINTS: &str = "points = { columns = ['time min', 'gas ppm'], rows = [[0, 1840], [60, 1081]] }\n";

fn whole(house: &House, seen: &Observations, whole: bool) -> Fit {
    let options = Options { tries: 200, further: false, draws: 100, whole, ..Options::default() };
    fit(house, seen, options, &mut |_| ControlFlow::Continue(())).unwrap()
}

/// What a reading would be in still air, over some houses, in the measure of its observation.
fn told(house: &House, seen: &Observations, reading: usize, draws: &[Vec<f64>]) -> Vec<f64> {
    let mut problem = Problem::new(house, seen).unwrap();
    let (mut x, mut rows) = (problem.start(), Vec::new());
    let mut values: Vec<f64> = draws
        .iter()
        .filter_map(|theta| {
            x[problem.first_house..].copy_from_slice(theta);
            problem.rows(&x, false, &mut rows).ok()?;
            Some(rows[reading].expected)
        })
        .collect();
    values.sort_by(f64::total_cmp);
    values
}

/// How often the truth lay within 90 %, and the interval's mean width over that without the kind.
fn tried(base: &str, text: &str, is: fn(&Seen) -> bool) -> (f64, f64) {
    let house = house();
    let (all, said) = seen(&house, &format!("{base}{text}"));
    assert!(!said.has_errors(), "{said:#?}");
    let chosen: Vec<usize> = (0..all.list.len()).filter(|i| is(&all.list[*i].seen)).collect();
    assert!(!chosen.is_empty() && all.left_out.is_empty(), "{:?}", all.left_out);
    let (mut inside, mut count, mut with_it, mut without_it) = (0.0, 0.0, 0.0, 0.0);
    for (n, truth) in prior_draws(&house, HOUSES, 5).iter().enumerate() {
        let Ok(made) = simulate::readings(&house, &all, truth, n as u64 + 1) else { continue };
        let mut fewer = made.clone();
        let mut at = 0;
        fewer.list.retain(|_| {
            at += 1;
            !chosen.contains(&(at - 1))
        });
        let (more, less) = (whole(&house, &made, false), whole(&house, &fewer, false));
        for &reading in &chosen {
            let truth = told(&house, &made, reading, std::slice::from_ref(truth))[0];
            let ends = |fit: &Fit| {
                let values = told(&house, &made, reading, &fit.draws);
                let n = values.len();
                (values[n / 20], values[n - 1 - n / 20])
            };
            let ((lo, hi), (wide_lo, wide_hi)) = (ends(&more), ends(&less));
            inside += f64::from(u8::from(lo <= truth && truth <= hi));
            count += 1.0;
            with_it += hi - lo;
            without_it += wide_hi - wide_lo;
        }
    }
    (inside / count, with_it / without_it)
}

#[track_caller]
fn found_again(text: &str, is: fn(&Seen) -> bool, narrower_than: f64) {
    found_beside(BASE, text, is, narrower_than);
}

#[track_caller]
fn found_beside(base: &str, text: &str, is: fn(&Seen) -> bool, narrower_than: f64) {
    let (coverage, width) = tried(base, text, is);
    assert!((0.78..=1.0).contains(&coverage), "covered {coverage}");
    assert!(width < narrower_than, "width {width} of that without");
}

#[test]
fn air_change_of_the_whole_house() {
    let text = format!("[test.n]\nkind = 'decay'\nbackground = '420 ppm'\n{POINTS}");
    // Beside an envelope test it adds next to nothing; alone it tells the house's size.
    // A sum of many leaks is known to a sixth before any reading, and a tracer says little more.
    found_beside(OUTSIDE, &text, |s| matches!(s, Seen::Inflow { .. }), 0.9);
}

#[test]
fn air_change_of_a_room() {
    let text = format!(
        "[test.n]\nkind = 'decay'\nzone = 'bedroom'\nset = {{ bedroom_door = 'shut', air_handler = 'on' }}\n{POINTS}"
    );
    found_again(&text, |s| matches!(s, Seen::Inflow { .. }), 0.8);
}

#[test]
fn plateau_with_everything_on() {
    let text = "[test.n]\nkind = 'steady state'\nlevel = '900 ppm'\nsteady_for = '20 h'\n\
        set = { air_handler = 'on', bath_fan = 'on' }\n";
    found_again(text, |s| matches!(s, Seen::Inflow { .. }), 0.8);
}

#[test]
fn humidity_excess() {
    let text = "[test.n]\nkind = 'surface'\nair = '70 degF'\nrh = '40 %'\nmoisture_given_off = '8 kg/d'\n\
        moisture_given_off_accuracy = '20 %'\nset = { air_handler = 'on', bath_fan = 'on' }\n";
    found_again(text, |s| matches!(s, Seen::Inflow { .. }), 1.01);
}

#[test]
fn duct_leakage_in_operation() {
    let text = "[test.n]\nkind = 'duct leakage'\ntap = 'supply plenum'\n[test.n.run.one]\nto = 'outdoors'\n\
        direction = 'pressurise'\nreadings = { columns = ['duct Pa', 'fan cfm'], rows = [[25, 80]] }\n";
    found_again(text, |s| matches!(s, Seen::DuctLeak { .. }), 0.75);
}

#[test]
fn flow_of_a_fan() {
    let text = "[test.n]\nkind = 'fan flow'\nby = 'hood'\nof = 'bath_fan'\nflow = '60 cfm'\n";
    found_again(text, |s| matches!(s, Seen::Fan(_)), 0.5);
}

#[test]
fn pressures_of_zones_rooms_and_fans() {
    let text = "[test.a]\nkind = 'zone pressures'\nzone = 'attic'\npressure_with = 'gauge'\n\
        as_found = { house_zone = '-46 Pa', zone_outdoors = '-4 Pa' }\n\
        [test.b]\nkind = 'room pressures'\npressure_with = 'gauge'\n\
        room = [{ room = 'bedroom', pressure = '3 Pa' }]\n\
        [test.c]\nkind = 'fan pressures'\npressure_with = 'gauge'\n\
        state = [{ on = ['bath_fan', 'air_handler'], pressure = '-2 Pa' }]\n";
    let house = house();
    let (all, _) = seen(&house, &format!("{BASE}{text}"));
    // The envelope test's own readings stand first.
    let first = seen(&house, BASE).0.list.len();
    assert_eq!(all.list.len(), first + 4);
    found_again(
        text,
        |s| {
            matches!(s, Seen::Pressure { feels, against } if feels.zone.is_some()
        && against.zone.is_some())
        },
        0.4,
    );
}

#[test]
fn build_up_by_its_level_and_by_its_shape() {
    // With everything on, so that it tells something beside the envelope test.
    let text = format!(
        "[test.n]\nkind = 'build-up'\nbackground = '420 ppm'\nset = {{ air_handler = 'on', bath_fan = 'on' }}\n{POINTS}"
    );
    found_again(&text, |s| matches!(s, Seen::Inflow { .. }), 0.8);
}

#[test]
fn air_of_two_zones() {
    let text = "[test.n]\nkind = 'two zones'\nbackground = '420 ppm'\nset = { bedroom_door = 'shut', air_handler = 'on' }\n\
        volumes = { main = '150 m3', bedroom = '35 m3' }\n\
        series = 'rooms.csv'\ncolumn = ['main', 'bedroom']\n";
    found_again(text, |s| matches!(s, Seen::Inflow { zones: [a, b], .. } if a != b), 0.8);
}

#[test]
fn pressures_of_a_combustion_zone() {
    let text = "[test.n]\nkind = 'combustion zone'\nzone = 'closet'\nprotocol = 'bpi-1200'\npressure_with = 'gauge'\n\
        baseline_before = ['Pa', -0.8, -1.0]\n\
        [[test.n.state]]\nexhausts = 'on'\ndoors = 'shut'\nzone_doors = 'shut'\npressure = '-4.6 Pa'\n\
        [[test.n.state]]\nexhausts = 'on'\nhandler = 'on'\npressure = '-3 Pa'\n";
    let house = house();
    let (all, said) = seen(&house, &format!("{BASE}{text}"));
    let first = seen(&house, BASE).0.list.len();
    assert!(!said.has_errors(), "{said:#?}");
    assert_eq!(all.list.len(), first + 3);
    let closet = house.zone("closet").unwrap();
    assert!(all.list[first..].iter().all(|o| {
        matches!(o.seen, Seen::Pressure { feels, against } if feels.zone == Some(closet) && against.zone.is_none())
    }));
    found_again(text, |s| matches!(s, Seen::Pressure { feels, .. } if feels.zone == Some(CLOSET)), 0.7);
}

#[test]
fn flow_of_the_handler_by_its_static_pressure() {
    let text = "[test.n]\nkind = 'static pressure'\nfilter = 'none'\ncoil = 'none'\n\
        taps = { before_filter = '-40 Pa', supply = '60 Pa' }\n";
    found_again(text, |s| matches!(s, Seen::Handler), 0.5);
}

#[test]
fn duct_leakage_by_pans() {
    let text = "[test.n]\nkind = 'pressure pans'\nhouse = '-50 Pa'\nhandler = 'off'\npressure_with = 'gauge'\n\
        supply_plenum = '40 Pa'\nzone.crawl.to_house = '45 Pa'\n\
        register.main_supply = { reads = '4 Pa', zone = 'crawl', open_area = '80 in2' }\n\
        register.bedroom_supply = { reads = '2 Pa', zone = 'crawl', open_area = '40 in2' }\n";
    found_again(text, |s| matches!(s, Seen::DuctLeak { .. }), 0.95);
}

const BILLS: &str = "[test.n]\nkind = 'bills'\n[test.n.fuel.gas]\nefficiency = '80 %'\n\
    rows = { columns = ['days day', 'use kWh', 'outdoor degC'], rows = [[30, 3000, -5]] }\n";

#[test]
fn heat_of_the_air_by_bills() {
    // Beside an envelope test bills say next to nothing of the air; what they say must not be wrong.
    // Draws of the two fits differ by chance.
    found_again(BILLS, |s| matches!(s, Seen::HeatLoss { .. }), 1.1);
}

/// Truths of air and conductance drawn from what is believed, bills made from them: the conductance
/// is found again in its interval, and narrower.
#[test]
fn conductance_by_bills() {
    let house = house();
    let (all, _) = seen(&house, &format!("{BASE}{BILLS}"));
    let at = all.list.iter().position(|o| matches!(o.seen, Seen::HeatLoss { .. })).unwrap();
    let season = &all.seasons[0];
    let read_w_k = crate::math::exp(all.list[at].value);
    let own_w_k = ((all.list[at].noise_sd * read_w_k).powi(2) - season.ua_sd_w_k.powi(2)).sqrt();
    let mut stream = crate::rng::Stream::new(8, "bills");
    let (mut inside, mut width) = (0, 0.0);
    for (n, truth) in prior_draws(&house, HOUSES, 6).iter().enumerate() {
        let mut made = simulate::readings(&house, &all, truth, n as u64 + 1).unwrap();
        let mut air = crate::house::air::Air::new(&house).unwrap();
        let Ok(air_w_k) = season.air_w_k(&house, &mut air, truth, None) else { panic!("no solution") };
        let ua = season.ua_w_k + season.ua_sd_w_k * stream.normal();
        let read = ua + air_w_k + own_w_k * stream.normal();
        made.list[at].value = crate::math::ln(read);
        // The noise is stated in W/K.
        made.list[at].noise_sd = all.list[at].noise_sd * read_w_k / read;
        let fit = whole(&house, &made, false);
        let heat = fit.heat_loss.unwrap();
        let (lo, hi) = heat.conduction.bounds().unwrap();
        let (wide_lo, wide_hi) = heat.conduction_prior.bounds().unwrap();
        inside += usize::from(lo <= ua && ua <= hi);
        width += (hi - lo) / (wide_hi - wide_lo) / HOUSES as f64;
        assert_eq!(heat.per_draw_w_k.len(), fit.draws.len());
        assert!((heat.factor(0) * heat.nominal_w_k - heat.per_draw_w_k[0]).abs() < 1e-9);
    }
    assert!(inside * 100 >= HOUSES * 78, "{inside} of {HOUSES}");
    assert!(width < 0.87, "{width}");
}

/// The suspect where one reading is changed, with a slip that explains it.
fn named(text: &str, is: fn(&Seen) -> bool, wrong: impl Fn(&House, &mut Observations, usize)) -> Vec<Slip> {
    let house = house();
    let (all, _) = seen(&house, &format!("{BASE}{text}"));
    let reading = all.list.iter().position(|o| is(&o.seen)).unwrap();
    let mut made = simulate::readings(&house, &all, &house.prior_mean(), 9).unwrap();
    wrong(&house, &mut made, reading);
    let fit = whole(&house, &made, true);
    let suspect = fit.suspect.unwrap();
    assert_eq!(suspect.reading, reading, "{suspect:#?}");
    suspect.tried.into_iter().filter(|t| t.explains).map(|t| t.slip).collect()
}

#[test]
fn a_contradictory_one_is_named_with_what_would_explain_it() {
    let text = format!("[test.n]\nkind = 'decay'\nbackground = '420 ppm'\n{POINTS}");
    let fans = named(
        &text,
        |s| matches!(s, Seen::Inflow { .. }),
        |house, made, reading| {
            // The air handler had run all night, and nobody noted it.
            let station = made.list[reading].station;
            made.stations[station].setup.air_handler = true;
            let all_on = simulate::readings(house, made, &house.prior_mean(), 9).unwrap();
            made.list[reading].value = all_on.list[reading].value + 0.3;
            made.stations[station].setup.air_handler = false;
        },
    );
    assert!(fans.contains(&Slip::Handler { on: true }), "{fans:?}");
    let text = "[test.n]\nkind = 'fan flow'\nby = 'hood'\nof = 'bath_fan'\nflow = '60 cfm'\n";
    let units = named(
        text,
        |s| matches!(s, Seen::Fan(_)),
        |_, made, reading| made.list[reading].value += crate::math::ln(10.0),
    );
    assert!(units.contains(&Slip::TenTooLarge), "{units:?}");
}
