use super::super::{Observations, collect_with};
use super::*;
use crate::doc::{File, Sink};
use crate::fit::problem::Problem;
use crate::house::House;
use crate::measure::NoInterval;
use crate::procedure::field::{Check, around};
use crate::units::Quantity;

const HOUSE: &str = include_str!("../../../../../api/assets/demo/house.toml");

const CONDITIONS: &str = "
[conditions]
indoor = '70 degF'
outdoor = '35 degF'
wind = '5 mph'
";

/// Instruments and the tests of every kind that enters.
const VISIT: &str = "
[instrument.gauge]
measures = 'pressure'
accuracy = '1 % or 0.15 Pa'
resolution = '0.1 Pa'
[instrument.hood]
measures = 'air flow'
accuracy = '5 % + 2 cfm'
shows = 'flow at actual density'
[test.attic]
kind = 'zone pressures'
zone = 'attic'
pressure_with = 'gauge'
as_found = { house_zone = '-46 Pa', zone_outdoors = '-4 Pa', house_outdoors = '-50 Pa' }
baseline = { house_outdoors = '-1 Pa' }
[test.rooms]
kind = 'room pressures'
pressure_with = 'gauge'
flow_with = 'hood'
main_body_doors_shut = '-2 Pa'
room = [{ room = 'bedroom', pressure = '3 Pa', handler_off = '0 Pa' }]
[test.fans]
kind = 'fan pressures'
pressure_with = 'gauge'
baseline_before = ['Pa', -1.2, -0.8]
state = [{ on = 'bath_fan', pressure = '-1.6 Pa' }, { on = 'air_handler', pressure = '-2 Pa' }]
[test.shift]
kind = 'dominant leak'
pressure_with = 'gauge'
doors = 'open'
repeats = { columns = ['off Pa', 'on Pa'], rows = [[-1.0, -1.8], [-1.1, -1.9], [-0.9, -1.7]] }
[test.night]
kind = 'decay'
points = { columns = ['time min', 'gas ppm'], rows = [[0, 1840], [30, 1391], [60, 1081]] }
background = '420 ppm'
[test.asleep]
kind = 'decay'
zone = 'bedroom'
points = { columns = ['time min', 'gas ppm'], rows = [[0, 1840], [30, 1391], [60, 1081]] }
background = '420 ppm'
set = { bedroom_door = 'shut' }
[test.handler]
kind = 'decay'
points = { columns = ['time min', 'gas ppm'], rows = [[0, 1840], [30, 1391], [60, 1081]] }
background = '420 ppm'
set = { air_handler = 'on', bath_fan = 'on' }
[test.level]
kind = 'steady state'
level = '1000 ppm'
steady_for = '20 h'
background = '420 ppm'
given_off = '30 L/h'
[test.damp]
kind = 'surface'
air = '70 degF'
rh = '40 %'
outdoor_rh = '80 %'
moisture_given_off = '8 kg/day'
moisture_given_off_accuracy = '20 %'
[test.bath]
kind = 'fan flow'
by = 'hood'
of = 'bath_fan'
flow = '60 cfm'
with = 'hood'
[test.ducts]
kind = 'duct leakage'
tap = 'supply plenum'
[test.ducts.run.one]
to = 'outdoors'
direction = 'pressurise'
readings = { columns = ['duct Pa', 'fan cfm'], rows = [[25, 80]] }
[test.rise]
kind = 'build-up'
points = { columns = ['time min', 'gas ppm'], rows = [[0, 500], [60, 900]] }
background = '420 ppm'
[test.pair]
kind = 'two zones'
series = 'rooms.csv'
column = ['main', 'bedroom']
background = '420 ppm'
volumes = { main = '150 m3', bedroom = '35 m3' }
[test.statics]
kind = 'static pressure'
filter = 'none'
coil = 'none'
taps = { before_filter = '-40 Pa', supply = '60 Pa' }
[test.pans]
kind = 'pressure pans'
house = '-50 Pa'
handler = 'off'
pressure_with = 'gauge'
supply_plenum = '40 Pa'
zone.crawl.to_house = '45 Pa'
register.main_supply = { reads = '4 Pa', zone = 'crawl', open_area = '80 in2' }
register.bedroom_supply = { reads = '2 Pa', zone = 'crawl', open_area = '40 in2' }
[test.unit]
kind = 'recovery balance'
supply = '100 cfm'
supply_with = 'hood'
supply_of = 'bedroom_supply'
exhaust = '60 cfm'
exhaust_with = 'hood'
exhaust_of = 'bath_fan'
[test.rest]
kind = 'settled reading'
series = 'fan.csv'
column = 'flow'
measures = 'air flow'
of = 'range_hood'
[test.bills]
kind = 'bills'
conductances_within = '40 %'
[test.bills.fuel.gas]
rows = { columns = ['days day', 'use kWh', 'outdoor degC'], rows = [[30, 3000, -5]] }
efficiency = '80 %'
";

pub(super) fn house() -> House {
    let sink = Sink::default();
    let doc = crate::doc::house::read(&File { name: "house.toml".into(), text: HOUSE.into() }, &sink);
    house::build(&doc, &sink)
}

/// Results as `api` would hand them on: what each kind's procedure names its figures.
fn result(test: &FieldTest) -> Option<Worked> {
    let mut w = Worked::default();
    let rate = |si: f64| around(si / 3600.0, Some(0.05 * si / 3600.0), Quantity::AirChange);
    let flow = |si: f64| around(si, Some(0.08 * si), Quantity::AirFlow);
    match &test.asked {
        Asked::Decay(_) => w.figure("figure-air-change", rate(0.5)),
        Asked::Steady(_) => {
            w.figure("figure-zone-outdoor-air", flow(0.03));
            let turns = Estimate::without(9.0, Quantity::Number, NoInterval::Exact);
            let limit = crate::procedure::field::Limit::at_least(3.0, "", true);
            w.checks.push(Check { ..limit.check("check-steady", Some(turns)) });
        }
        Asked::Surface(_) => {
            w.figure("figure-moisture-excess", around(3e-3, Some(3e-4), Quantity::VapourConcentration));
        }
        Asked::FanFlow(_) => w.figure("figure-fan-flow", flow(0.028)),
        Asked::DuctLeakage(_) => {
            w.figure("figure-duct-operating-supply-outdoors", flow(0.04));
            w.figure("figure-duct-operating-return-outdoors", flow(0.02));
        }
        Asked::BuildUp(_) => w.figure("figure-outdoor-air-level", flow(0.03)),
        Asked::TwoZones(_) => w.figure("figure-zone-outdoor-air", flow(0.04)),
        Asked::StaticPressure(_) => w.figure("figure-static-flow", flow(0.4)),
        Asked::Settled(_) => w.figure("figure-settled", flow(0.07)),
        Asked::Bills(b) => {
            let loss = |si: f64| around(si, Some(0.1 * si), Quantity::Conductance);
            for fuel in &b.fuels {
                let name = &fuel.name.value;
                w.figure_of("figure-heating-slope", name, loss(325.0));
                if fuel.efficiency.is_some() {
                    w.figure_of("figure-heat-loss", name, loss(260.0));
                    w.figure_of("figure-heating-outdoor", name, around(276.0, None, Quantity::Temperature));
                }
            }
        }
        _ => return None,
    }
    Some(w)
}

pub(super) fn seen(house: &House, text: &str) -> (Observations, crate::diag::Diagnostics) {
    let sink = Sink::default();
    let file =
        File { name: "visits/a/visit.toml".into(), text: format!("format = 1\ndate = '2026-11-12'\n{text}") };
    let visits = [crate::doc::visit::read(&file, &sink)];
    let figures = |visit: usize, test: usize| result(&visits[visit].field[test]);
    let seen = collect_with(house, &visits, 270.0, &figures, &sink);
    (seen, sink.into_inner())
}

fn tests(text: &str) -> Observations {
    let (seen, said) = seen(&house(), &format!("{CONDITIONS}{text}"));
    assert!(!said.has_errors(), "{said:#?}");
    seen
}

#[test]
fn every_kind_is_an_observation_in_its_setup() {
    let all = tests(VISIT);
    assert!(all.left_out.is_empty(), "{:?}", all.left_out);
    let count = |wanted: fn(&Seen) -> bool| all.list.iter().filter(|o| wanted(&o.seen)).count();
    // Zone 4, rooms 3, fans 3, handler off and on 2.
    assert_eq!(count(|s| matches!(s, Seen::Pressure { .. })), 12);
    assert_eq!(count(|s| matches!(s, Seen::Inflow { of_volume: true, .. })), 3);
    assert_eq!(count(|s| matches!(s, Seen::Inflow { of_volume: false, .. })), 4);
    // The duct tester's two sides, and the supply side by pans.
    assert_eq!(count(|s| matches!(s, Seen::DuctLeak { .. })), 3);
    // By hood, in a unit that supplies and exhausts, come to rest.
    assert_eq!(count(|s| matches!(s, Seen::Fan(_))), 3);
    assert_eq!(count(|s| matches!(s, Seen::Register(_))), 1);
    assert_eq!(count(|s| matches!(s, Seen::Handler)), 1);
    assert_eq!(count(|s| matches!(s, Seen::HeatLoss { .. })), 1);
    assert_eq!(all.seasons.len(), 1);
    assert!((all.seasons[0].ua_sd_w_k / all.seasons[0].ua_w_k - 0.4 / 1.96).abs() < 1e-12);
    let house = house();
    let door = house.doors.iter().position(|d| d.text.name.value == "bedroom_door").unwrap();
    let station = |o: &Observation| &all.stations[o.station];
    let at = |n: usize| all.list.iter().filter(|o| matches!(o.seen, Seen::Inflow { .. })).nth(n).unwrap();
    assert!(station(at(0)).setup.open[door] && !station(at(1)).setup.open[door]);
    assert!(station(at(2)).setup.air_handler);
    // The interval's own 2.55 % and what a mixed house means beside it.
    assert!((at(0).noise_sd - (0.05_f64 / 1.96).hypot(MIXED)).abs() < 1e-4, "{}", at(0).noise_sd);
    // The hood's gain is shared; what is left of 4.1 % after 2.55 % is the fan's own.
    let fan = all.list.iter().find(|o| matches!(o.seen, Seen::Fan(_))).unwrap();
    assert!(fan.instrument.is_some());
    let own = ((0.08_f64 / 1.96) * (0.08 / 1.96) - (0.05_f64 / 1.96) * (0.05 / 1.96)).sqrt();
    assert!((fan.noise_sd - own).abs() < 1e-4, "{} {own}", fan.noise_sd);
    // The state of the house now is that of the readings, not of a tracer's night.
    assert!(!all.now.unwrap().air_handler);
}

#[test]
fn slopes_agree_with_central_differences() {
    let house = house();
    let all = tests(VISIT);
    let mut problem = Problem::new(&house, &all).unwrap();
    let mut x = problem.start();
    let mut stream = crate::rng::Stream::new(4, "jitter");
    for (i, x) in x.iter_mut().enumerate() {
        *x += 0.3 * problem.prior(i).1.min(0.5) * stream.normal();
    }
    let (mut rows, mut up, mut down) = (Vec::new(), Vec::new(), Vec::new());
    problem.rows(&x, true, &mut rows).unwrap();
    let mut checked = vec![0; all.list.len()];
    for i in 0..problem.len() {
        let (step, at) = (1e-6, x[i]);
        x[i] = at + step;
        problem.rows(&x, false, &mut up).unwrap();
        x[i] = at - step;
        problem.rows(&x, false, &mut down).unwrap();
        x[i] = at;
        for (r, row) in rows.iter().enumerate() {
            let slope = (up[r].residual - down[r].residual) / (2.0 * step);
            assert!(
                (row.slope[i] - slope).abs() < 1e-4 * (1.0 + slope.abs()),
                "{:?} unknown {i}: {} {slope}",
                all.list[r].seen,
                row.slope[i]
            );
            checked[r] += usize::from(slope.abs() > 1e-3);
        }
    }
    for (o, n) in all.list.iter().zip(checked) {
        assert!(!matches!(o.seen, Seen::Inflow { .. } | Seen::HeatLoss { .. }) || n > 5, "{:?} {n}", o.seen);
    }
}

#[test]
fn what_is_left_out_is_asked_for() {
    for (question, of, text) in [
        ("left-out-which-zone", "cellar", "zone = 'cellar'\nkind = 'decay'\n"),
        // Rooms apart: which of them was it?
        ("left-out-which-zone", "", "kind = 'decay'\nset = { bedroom_door = 'shut' }\n"),
        ("left-out-which-decay", "", "kind = 'decay'\nsearch = true\n"),
        (
            "left-out-rooms",
            "north bedroom",
            "kind = 'steady state'\nzone = 'bedroom'\nlevel = '900 ppm'\nset = { bedroom_door = 'shut' }\n",
        ),
        ("left-out-water", "", "kind = 'surface'\nair = '70 degF'\nrh = '40 %'\n"),
        ("left-out-which-fan", "", "kind = 'fan flow'\nby = 'hood'\nflow = '60 cfm'\n"),
        (
            "left-out-which-zone",
            "kitchen",
            "kind = 'room pressures'\nroom = [{ room = 'kitchen', pressure = '2 Pa' }]\n",
        ),
        (
            "left-out-which-fan",
            "hood",
            "kind = 'fan pressures'\nstate = [{ on = 'hood', pressure = '-2 Pa' }]\n",
        ),
        (
            "left-out-pans",
            "main_supply",
            "kind = 'pressure pans'\nhouse = '-50 Pa'\nhandler = 'off'\nregister.a = { reads = '2 Pa' }\n",
        ),
        (
            "left-out-bills-efficiency",
            "wood",
            "kind = 'bills'\nfuel.wood.rows = { columns = ['days day', 'use kWh', 'outdoor degC'], rows = [[30, 9, 9]] }\n",
        ),
        ("left-out-which-fan", "", "kind = 'recovery balance'\nsupply = '90 cfm'\nexhaust = '90 cfm'\n"),
    ] {
        let all = tests(&format!("[test.t]\n{text}"));
        let asked: Vec<_> = all.left_out.iter().map(|l| (l.question, l.of.to_lowercase())).collect();
        assert_eq!(asked, [(question, of.to_lowercase())], "{text}");
    }
    let text = "[test.t]\nkind = 'decay'\n";
    let (without, _) = seen(&house(), text);
    assert_eq!(without.left_out[0].question, "left-out-temperatures");
}

#[test]
fn bills_ask_for_surfaces_and_are_taken_once() {
    let bills = |name: &str| {
        format!(
            "[test.{name}]\nkind = 'bills'\n[test.{name}.fuel.gas]\nefficiency = '80 %'\n\
             rows = {{ columns = ['days day', 'use kWh', 'outdoor degC'], rows = [[30, 3000, -5]] }}\n"
        )
    };
    let mut bare = house();
    bare.text.surfaces.clear();
    let (all, _) = seen(&bare, &format!("{CONDITIONS}{}", bills("one")));
    assert_eq!((all.left_out[0].question, all.list.len()), ("left-out-bills", 0));
    let twice = tests(&format!("{}{}", bills("one"), bills("two")));
    assert_eq!((twice.left_out[0].question, twice.list.len()), ("left-out-bills-other", 1));
}

/// A box with one wall and a hole in each of two walls: the heat for each kelvin by hand.
#[test]
fn heat_loss_of_a_box_agrees_with_the_hand() {
    let text = "format = 1\n[zone.room]\nkind = 'living'\nvolume = '250 m3'\nfloor_area = '100 m2'\n\
        floor = '0 m'\nceiling = '2.5 m'\n[leak.low]\nbetween = ['room', 'outdoors']\n\
        at50 = '0.1 to 0.1001 m3/s'\nheight = '0 m'\nexponent = 0.5\n[leak.high]\nbetween = ['room', 'outdoors']\n\
        at50 = '0.1 to 0.1001 m3/s'\nheight = '2.5 m'\nexponent = 0.5\n[[surface]]\nbetween = ['room', 'outdoors']\n\
        ua = '150 W/K'\n[[surface]]\nbetween = ['room', 'ground']\nua = '50 W/K'\n";
    let sink = Sink::default();
    let doc = crate::doc::house::read(&File { name: "house.toml".into(), text: text.into() }, &sink);
    let house = house::build(&doc, &sink);
    assert!(!sink.borrow().has_errors(), "{:#?}", sink.borrow());
    let climate = crate::fit::season::Climate {
        indoor_k: 293.15,
        outdoor_k: 273.15,
        wind_m_s: 0.0,
        pressure_pa: 101_325.0,
    };
    let season = crate::fit::season::Season::new(&house, climate, 0.25).unwrap();
    // The ground does not follow the weather.
    assert_eq!((season.ua_w_k, season.ua_sd_w_k), (150.0, 37.5));
    // Air of both holes, half of the stack each: m = C sqrt(2 rho dp / 2), C the flow at 50 Pa over the
    // root of 50, at the reference density.
    let heat_w = |out_c: f64| {
        let rho = |c: f64| crate::air::test_density_kg_m3(c + 273.15, 0.5, 101_325.0);
        let dp = (rho(out_c) - rho(20.0)) * crate::network::law::GRAVITY_M_S2 * 2.5;
        let c = |rho: f64| 0.10005 / 50.0_f64.sqrt() * (1.2041 * rho).sqrt();
        // In series: both pass the same mass.
        let (low, high) = (c(rho(out_c)), c(rho(20.0)));
        let kg_s = (dp / (1.0 / (low * low) + 1.0 / (high * high))).sqrt();
        1006.0 * kg_s * (20.0 - out_c)
    };
    let by_hand = (heat_w(-5.0) - heat_w(5.0)) / 10.0;
    let found = season.nominal_air_w_k(&house).unwrap();
    assert!((found / by_hand - 1.0).abs() < 5e-3, "{found} {by_hand}");
}
