//! An invented house with a visit, and what its fit is held against: truths drawn from the fit's
//! own priors, readings made from them, intervals and ranks of what the fit says.
//!
//! Used by the tests (few repetitions) and by the bench `fit`, which prints the large table.
#![allow(
    clippy::unwrap_used,
    clippy::disallowed_methods,
    reason = "a test kit: it stops where its own house cannot be made, and reads the clock"
)]

use engine::diag::Diagnostics;
use engine::doc::{self, File, Sink};
use engine::fit::observe::{Observations, collect};
use engine::fit::scene::{Scene, picture};
use engine::fit::{Fit, Options, fit, prior_draws, simulate, total_at50_m3_s};
use engine::house::air::Air;
use engine::house::{House, ParamKind, build};
use engine::rng::Stream;
use std::ops::ControlFlow;
use std::time::Instant;

/// Altitude of the house, m.
const ALTITUDE_M: f64 = 120.0;

/// Four zones: rooms, a bedroom, attic and crawl space.
pub const HOUSE: &str = r#"
format = 1
[site]
terrain = "suburban"
shelter = "moderate"
[zone.main]
label = "rooms"
kind = "living"
volume = "8000 ft3"
floor_area = "1000 ft2"
floor = "2 ft"
ceiling = "10 ft"
[zone.bedroom]
kind = "living"
volume = "1200 ft3"
floor_area = "150 ft2"
floor = "2 ft"
ceiling = "10 ft"
[zone.attic]
kind = "attic"
volume = "4000 ft3"
floor_area = "1150 ft2"
floor = "10 ft"
ceiling = "16 ft"
[zone.crawl]
kind = "crawl space"
volume = "2800 ft3"
floor_area = "1150 ft2"
floor = "-0.5 ft"
ceiling = "2 ft"
[leak.walls_main]
between = ["main", "outdoors"]
at50 = "300 to 1200 cfm"
[leak.walls_bedroom]
between = ["bedroom", "outdoors"]
at50 = "40 to 250 cfm"
face = "back"
[leak.ceiling_main]
between = ["main", "attic"]
at50 = "150 to 900 cfm"
[leak.ceiling_bedroom]
between = ["bedroom", "attic"]
at50 = "20 to 200 cfm"
[leak.floor_main]
between = ["main", "crawl"]
at50 = "150 to 900 cfm"
[leak.floor_bedroom]
between = ["bedroom", "crawl"]
at50 = "20 to 200 cfm"
[leak.attic_vents]
between = ["attic", "outdoors"]
area = "1.5 to 6 ft2"
face = "roof"
[leak.crawl_vents]
between = ["crawl", "outdoors"]
area = "1 to 5 ft2"
[door.bedroom_door]
between = ["bedroom", "main"]
width = "30 in"
height = "80 in"
gap = "8 to 30 in2"
by_day = "open"
at_night = "shut"
[door.attic_hatch]
between = ["main", "attic"]
width = "22 in"
height = "30 in"
gap = "1 to 10 in2"
[door.crawl_hatch]
between = ["main", "crawl"]
width = "20 in"
height = "24 in"
gap = "1 to 10 in2"
[fan.bath_fan]
from = "main"
to = "outdoors"
flow = "20 to 90 cfm"
[air_handler]
zone = "crawl"
flow = "650 to 1100 cfm"
supply_leak = "3 to 15 %"
return_leak = "3 to 20 %"
[air_handler.register.main_supply]
zone = "main"
side = "supply"
share = "70 to 90 %"
[air_handler.register.bedroom_supply]
zone = "bedroom"
side = "supply"
share = "10 to 25 %"
[air_handler.register.hall_return]
zone = "main"
side = "return"
share = "100 %"
"#;

/// One visit: envelope test of eight stations, zone pressures, air handler, bath fan.
pub const VISIT: &str = r#"
format = 1
date = '2026-11-12'
[conditions]
indoor = '69 degF'
outdoor = '40 degF'
wind = '4 mph'
[instrument.gauge]
measures = 'pressure'
accuracy = '1 % + 0.2 Pa'
[instrument.door_fan]
measures = 'air flow'
accuracy = '4 %'
shows = 'flow at calibration density'
[instrument.hood]
measures = 'air flow'
accuracy = '5 % + 2 cfm'
shows = 'flow at actual density'
[test.t]
standard = 'ASTM E779'
direction = 'depressurise'
pressure_with = 'gauge'
flow_with = 'door_fan'
baseline_before = ['Pa', -1.2, -0.8, -1.4]
stations = { columns = ['house Pa', 'fan cfm'], rows = [
 [-60, 2200], [-53, 2000], [-46, 1800], [-39, 1650], [-32, 1450], [-25, 1250], [-18, 1000], [-12, 780]] }
[[reading]]
feels = 'main'
compared_with = 'outdoors'
value = '-50 Pa'
with = 'gauge'
set = { test_fan = 'depressurise' }
[[reading]]
feels = 'attic'
compared_with = 'outdoors'
value = '-5 Pa'
with = 'gauge'
[[reading]]
feels = 'crawl'
compared_with = 'outdoors'
value = '-9 Pa'
with = 'gauge'
[[reading]]
flow_of = 'test_fan'
value = '1950 cfm'
with = 'door_fan'
[[reading]]
feels = 'main'
compared_with = 'outdoors'
value = '-50 Pa'
with = 'gauge'
set = { attic_hatch = 'open' }
[[reading]]
feels = 'attic'
compared_with = 'outdoors'
value = '-15 Pa'
with = 'gauge'
[[reading]]
flow_of = 'test_fan'
value = '2500 cfm'
with = 'door_fan'
[[reading]]
feels = 'main'
compared_with = 'outdoors'
value = '-50 Pa'
with = 'gauge'
set = { attic_hatch = 'shut', crawl_hatch = 'open' }
[[reading]]
feels = 'crawl'
compared_with = 'outdoors'
value = '-20 Pa'
with = 'gauge'
[[reading]]
flow_of = 'test_fan'
value = '2500 cfm'
with = 'door_fan'
[[reading]]
feels = 'bedroom'
compared_with = 'main'
value = '3 Pa'
with = 'gauge'
set = { test_fan = 'off', air_handler = 'on', bedroom_door = 'shut', bath_fan = 'on', crawl_hatch = 'shut' }
[[reading]]
flow_of = 'bedroom_supply'
value = '110 cfm'
with = 'hood'
[[reading]]
flow_of = 'bath_fan'
below = '30 cfm'
with = 'hood'
"#;

/// A house and the readings of its visits.
pub struct Case {
    /// The house.
    pub house: House,
    /// Its readings; their values are placeholders.
    pub seen: Observations,
}

impl Case {
    /// Reads both documents.
    pub fn new(house: &str, visit: &str) -> Case {
        let sink = Sink::default();
        let doc = doc::house::read(&File { name: "house.toml".into(), text: house.into() }, &sink);
        let house = build(&doc, &sink);
        let file = File { name: "visits/a/visit.toml".into(), text: visit.into() };
        let visit = doc::visit::read(&file, &sink);
        let seen = collect(&house, &[visit], ALTITUDE_M, &sink);
        assert_clean(&sink.borrow());
        Case { house, seen }
    }
}

fn assert_clean(said: &Diagnostics) {
    assert!(!said.has_errors(), "{said:#?}");
}

/// Fits and times it.
pub fn timed(house: &House, seen: &Observations, options: Options) -> (Fit, f64) {
    let start = Instant::now();
    let fit = fit(house, seen, options, &mut |_| ControlFlow::Continue(())).unwrap();
    (fit, start.elapsed().as_secs_f64())
}

/// The families of quantities that are held against the truth.
pub const FAMILIES: [&str; 5] = ["leaks at 50 Pa", "door gaps", "total at 50 Pa", "room pressure", "crawl to rooms"];

/// The quantities of one house: family and value.
pub fn quantities(house: &House, air: &mut Air, theta: &[f64]) -> Vec<(usize, f64)> {
    let mut all: Vec<(usize, f64)> = Vec::new();
    for (i, p) in house.params.iter().enumerate() {
        match p.kind {
            ParamKind::LeakAt50 => all.push((0, theta[i])),
            ParamKind::Gap => all.push((1, theta[i])),
            _ => {}
        }
    }
    all.push((2, total_at50_m3_s(house, air, theta)));
    let scene = Scene::cold_evening(house, 101_325.0);
    let one = picture(house, &scene, &[theta.to_vec()]).unwrap();
    let bedroom = house.zone("bedroom").unwrap();
    all.push((3, one.rungs[bedroom].middle.si));
    let crawl = house.zone("crawl");
    let up = one.streams.iter().filter(|s| s.from == crawl && s.to.is_some_and(|z| house.zones[z].kind.is_indoors()));
    // Supply registers bring house air past the crawl space; they are not its air.
    let leaks = up.filter(|s| !engine::fit::scene::owner_label(house, s.owner).contains("supply"));
    all.push((4, leaks.map(|s| s.flow.si).sum()));
    all
}

/// Hits and ranks of one family.
#[derive(Clone, Debug, Default)]
pub struct Tally {
    /// Truths inside the 90 % interval.
    pub inside: usize,
    /// Truths.
    pub count: usize,
    /// Ranks of the truths among the draws, in tenths.
    pub bins: [usize; 10],
}

impl Tally {
    fn take(&mut self, truth: f64, mut draws: Vec<f64>, stream: &mut Stream) {
        draws.retain(|d| d.is_finite());
        draws.sort_by(f64::total_cmp);
        let estimate = engine::measure::Estimate::from_sorted_draws(
            &draws,
            engine::fit::LEVEL,
            engine::units::Quantity::Number,
        );
        let (lo, hi) = estimate.bounds().unwrap();
        self.count += 1;
        self.inside += usize::from(lo <= truth && truth <= hi);
        let below = draws.iter().filter(|d| **d < truth).count() as f64;
        // Where the truth stands between two draws is drawn too, so that ranks are even.
        let place = (below + stream.uniform()) / (draws.len() + 1) as f64;
        self.bins[((place * 10.0) as usize).min(9)] += 1;
    }

    /// Share of truths inside.
    pub fn coverage(&self) -> f64 {
        self.inside as f64 / self.count as f64
    }

    /// Probability of ranks as uneven as these, were they independent and uniform.
    pub fn even(&self) -> f64 {
        let expected = self.count as f64 / 10.0;
        let chi: f64 = self.bins.iter().map(|b| (*b as f64 - expected).powi(2) / expected).sum();
        engine::measure::chi_square_above(chi, 9.0)
    }
}

/// What a series of synthetic visits gave.
#[derive(Clone, Debug, Default)]
pub struct Coverage {
    /// One a family.
    pub families: Vec<Tally>,
    /// Everything.
    pub pooled: Tally,
    /// Of each fit.
    pub pareto_k: Vec<f64>,
    /// Of each fit.
    pub effective: Vec<f64>,
    /// Of each fit.
    pub seconds: Vec<f64>,
    /// Of each fit: probability that the readings fit the house as drawn.
    pub fits: Vec<f64>,
}

/// Fits `visits` synthetic visits, truths from the priors.
pub fn coverage(case: &Case, visits: usize, seed: u64) -> Coverage {
    let mut out = Coverage { families: vec![Tally::default(); FAMILIES.len()], ..Coverage::default() };
    let mut stream = Stream::new(seed, "ranks");
    let mut air = Air::new(&case.house).unwrap();
    for (at, truth) in prior_draws(&case.house, visits, seed).iter().enumerate() {
        let seed = seed + 1000 + at as u64;
        let seen = simulate::readings(&case.house, &case.seen, truth, seed).unwrap();
        let (fit, seconds) = timed(&case.house, &seen, Options { seed, ..Options::default() });
        if std::env::var("DBG").is_ok() { println!("DBG {at} p {:.4} chi {:.1} it {} k {:.2} eff {:.0} z {:?}", fit.fits_probability, fit.chi_square, fit.iterations, fit.pareto_k, fit.effective_draws, fit.readings.iter().map(|r| (r.z*10.0).round()/10.0).collect::<Vec<_>>()); }
        out.pareto_k.push(fit.pareto_k);
        out.effective.push(fit.effective_draws);
        out.seconds.push(seconds);
        out.fits.push(fit.fits_probability);
        let right = quantities(&case.house, &mut air, truth);
        let draws: Vec<_> = fit.draws.iter().map(|d| quantities(&case.house, &mut air, d)).collect();
        for (q, (family, value)) in right.iter().enumerate() {
            let column: Vec<f64> = draws.iter().map(|d| d[q].1).collect();
            out.families[*family].take(*value, column.clone(), &mut stream);
            out.pooled.take(*value, column, &mut stream);
        }
    }
    out
}

/// Mean of a list.
pub fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}
