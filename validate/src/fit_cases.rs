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
use engine::house::air::{Air, STATED_AT_PA};
use engine::house::{House, ParamKind, build};
use engine::next::{Candidate, Instrument, Moment, Question, Reads, next};
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

/// The same house with its ceilings believed to be sealed: little room for a passage nobody drew.
pub fn house_with_sealed_ceiling() -> String {
    let sealed = HOUSE.replacen("at50 = \"150 to 900 cfm\"", "at50 = \"15 to 40 cfm\"", 1);
    sealed.replacen("at50 = \"20 to 200 cfm\"", "at50 = \"4 to 12 cfm\"", 1)
}

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

/// Two zones and five leaks and gaps: few enough unknowns for an ensemble of walkers.
pub fn small_house() -> &'static str {
    r#"
format = 1
[site]
terrain = "suburban"
shelter = "moderate"
[zone.main]
kind = "living"
volume = "9000 ft3"
floor_area = "1100 ft2"
floor = "1 ft"
ceiling = "9 ft"
[zone.attic]
kind = "attic"
volume = "4000 ft3"
floor_area = "1150 ft2"
floor = "9 ft"
ceiling = "15 ft"
[leak.walls]
between = ["main", "outdoors"]
at50 = "300 to 1500 cfm"
[leak.ceiling]
between = ["main", "attic"]
at50 = "150 to 900 cfm"
[leak.attic_vents]
between = ["attic", "outdoors"]
area = "1 to 4 ft2"
face = "roof"
[door.attic_hatch]
between = ["main", "attic"]
width = "22 in"
height = "30 in"
gap = "1 to 10 in2"
"#
}

/// Three readings under one setup of [`small_house`]; with `hatch` three more, its hatch open.
pub fn small_visit(hatch: bool) -> String {
    let (head, rest) = VISIT.split_once("[instrument.hood]").unwrap();
    let (_, readings) = rest.split_once("[[reading]]").unwrap();
    let list: Vec<&str> = readings.split("[[reading]]").collect();
    let taken = [0, 1, 3].into_iter().chain(if hatch { 4..7 } else { 0..0 });
    taken.fold(head.to_owned(), |text, i| text + "[[reading]]" + list[i])
}

/// A long visit: the same with the test fan blowing the other way and everything read again.
pub fn long_visit() -> String {
    let (head, rest) = VISIT.split_once("[test.t]").unwrap();
    let (test, readings) = rest.split_once("[[reading]]").unwrap();
    let back = test.replacen("depressurise", "pressurise", 1).replace(" [-", " [");
    format!("{head}[test.t]{test}[test.u]{back}[[reading]]{readings}[[reading]]{readings}")
}

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
pub const FAMILIES: [&str; 5] =
    ["leaks at 50 Pa", "door gaps", "total at 50 Pa", "room pressure", "crawl to rooms"];

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
    let up = one
        .streams
        .iter()
        .filter(|s| s.from == crawl && s.to.is_some_and(|z| house.zones[z].kind.is_indoors()));
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

/// A passage that is in the truth and not in the drawing: its table in `house.toml`.
pub fn hidden(between: [&str; 2]) -> String {
    format!("[leak.hidden]\nbetween = ['{}', '{}']\nat50 = '100 to 200 cfm'\n", between[0], between[1])
}

/// Probability, for each of `visits` synthetic visits, that the readings fit `drawn`, where the truth
/// has the passage `hidden` more, passing `share` of the total flow at 50 Pa.
///
/// `drawn` is the text of the house as drawn. A share of zero makes the truth as drawn.
pub fn misfit(drawn: &str, hidden: &str, share: f64, visits: usize, seed: u64) -> Vec<f64> {
    let as_drawn = Case::new(drawn, VISIT);
    let real = Case::new(&format!("{drawn}{hidden}"), VISIT);
    let mut air = Air::new(&as_drawn.house).unwrap();
    let same = |p: &engine::house::Param| {
        as_drawn.house.params.iter().position(|q| q.name == p.name && q.kind == p.kind)
    };
    let options = Options { tries: 40, further: false, draws: 20, ..Options::default() };
    let each = prior_draws(&as_drawn.house, visits, seed).into_iter().enumerate().map(|(at, theta)| {
        let total = total_at50_m3_s(&as_drawn.house, &mut air, &theta);
        // As a share of the total with it.
        let ln_size = (total * share / (1.0 - share)).max(1e-9).ln();
        let truth: Vec<f64> = (real.house.params.iter())
            .map(|p| match same(p) {
                Some(at) => theta[at],
                None if p.kind == ParamKind::LeakAt50 => ln_size,
                None => p.mean,
            })
            .collect();
        let made = simulate::readings(&real.house, &real.seen, &truth, seed + 2000 + at as u64).unwrap();
        let mut seen = as_drawn.seen.clone();
        for (to, from) in seen.list.iter_mut().zip(&made.list) {
            (to.value, to.below) = (from.value, from.below);
        }
        timed(&as_drawn.house, &seen, options).0.fits_probability
    });
    each.collect()
}

/// A full visit: every zone felt in five states of doors and hatches (an open hatch is a hole of
/// known area), each at two pressures, then the readings without a fan.
pub fn full_visit() -> String {
    let (head, rest) = VISIT.split_once("[[reading]]").unwrap();
    let still = rest.find("[[reading]]\nfeels = 'bedroom'").unwrap();
    let mut text = head.to_owned();
    let states = [
        "bedroom_door = 'open', attic_hatch = 'shut', crawl_hatch = 'shut'",
        "bedroom_door = 'shut', attic_hatch = 'shut', crawl_hatch = 'shut'",
        "bedroom_door = 'open', attic_hatch = 'open', crawl_hatch = 'shut'",
        "bedroom_door = 'open', attic_hatch = 'shut', crawl_hatch = 'open'",
        "bedroom_door = 'open', attic_hatch = 'open', crawl_hatch = 'open'",
    ];
    for (state, pa) in states.iter().flat_map(|s| [(s, -50), (s, -25)]) {
        text += &format!(
            "[[reading]]\nfeels = 'main'\ncompared_with = 'outdoors'\nvalue = '{pa} Pa'\nwith = 'gauge'\n\
             set = {{ test_fan = 'depressurise', {state} }}\n"
        );
        for zone in ["bedroom", "attic", "crawl"] {
            text += &format!(
                "[[reading]]\nfeels = '{zone}'\ncompared_with = 'outdoors'\nvalue = '-9 Pa'\nwith = 'gauge'\n"
            );
        }
        text += "[[reading]]\nflow_of = 'test_fan'\nvalue = '1950 cfm'\nwith = 'door_fan'\n";
    }
    text + rest.get(still..).unwrap()
}

/// What one asks for where something is not drawn: every zone felt with the test fan blowing either
/// way, the bedroom's door open and shut, each hatch open and shut.
pub fn rich_visit() -> String {
    let (head, rest) = VISIT.split_once("[[reading]]").unwrap();
    let still = rest.find("[[reading]]\nfeels = 'bedroom'").unwrap();
    let mut text = head.to_owned();
    let states = [
        ("open", "shut", "shut"),
        ("shut", "shut", "shut"),
        ("open", "open", "shut"),
        ("open", "shut", "open"),
        ("open", "open", "open"),
        ("shut", "open", "open"),
    ];
    for (way, pa, low) in [("depressurise", -50, -9), ("pressurise", 50, 9)] {
        for (door, attic, crawl) in states {
            text += &format!(
                "[[reading]]\nfeels = 'main'\ncompared_with = 'outdoors'\nvalue = '{pa} Pa'\nwith = 'gauge'\n\
                 set = {{ test_fan = '{way}', bedroom_door = '{door}', attic_hatch = '{attic}', crawl_hatch = '{crawl}' }}\n"
            );
            for zone in ["bedroom", "attic", "crawl"] {
                text += &format!(
                    "[[reading]]\nfeels = '{zone}'\ncompared_with = 'outdoors'\nvalue = '{low} Pa'\nwith = 'gauge'\n"
                );
            }
            text += "[[reading]]\nflow_of = 'test_fan'\nvalue = '1950 cfm'\nwith = 'door_fan'\n";
        }
    }
    let still = rest.get(still..).unwrap();
    text + &still
        .replace("bedroom_door = 'shut', bath_fan", "bedroom_door = 'shut', attic_hatch = 'shut', bath_fan")
}

/// The visit of one who wants to be sure: all readings after the fan test a second time, every door and
/// fan set anew for it.
pub fn visit_read_twice() -> String {
    visit_with_rounds(2)
}

/// All readings after the fan test so many times, every door and fan set anew for each round.
pub fn visit_with_rounds(rounds: usize) -> String {
    let readings = VISIT.find("[[reading]]").unwrap();
    let first = "set = { test_fan = 'depressurise' }";
    let again =
        "set = { test_fan = 'depressurise', air_handler = 'off', bedroom_door = 'open', bath_fan = 'off' }";
    let second = VISIT.get(readings..).unwrap();
    assert!(second.contains(first), "the visit begins otherwise");
    format!("{VISIT}{}", second.replacen(first, again, 1).repeat(rounds - 1))
}

/// Twelve zones: a hall, eight rooms with doors to it, attic, crawl space and garage; 60 readings.
pub fn large_case() -> Case {
    large_case_with("")
}

/// The same with a window in every room, hatches and doors to outdoors: some 300 readings to judge.
pub fn busy_case() -> Case {
    let door = |name: &str, a: &str, b: &str| {
        format!(
            "[door.{name}]\nbetween = ['{a}', '{b}']\nwidth = '24 in'\nheight = '30 in'\ngap = '1 to 6 in2'\n"
        )
    };
    let mut doors = String::new();
    for room in 0..8 {
        doors += &door(&format!("window_{room}"), &format!("room_{room}"), "outdoors");
    }
    doors += &door("window_hall", "main", "outdoors");
    for space in ["attic", "crawl", "garage"] {
        doors += &(door(&format!("{space}_hatch"), "main", space)
            + &door(&format!("{space}_out"), space, "outdoors"));
    }
    large_case_with(&doors)
}

fn large_case_with(doors: &str) -> Case {
    let head = HOUSE.split_once("[zone.bedroom]").unwrap().0;
    let zone = |name: &str, kind: &str, floor: f64, ceiling: f64| {
        format!(
            "[zone.{name}]\nkind = '{kind}'\nvolume = '1200 ft3'\nfloor_area = '150 ft2'\n\
             floor = '{floor} ft'\nceiling = '{ceiling} ft'\n"
        )
    };
    let leak = |name: &str, a: &str, b: &str| {
        format!("[leak.{name}]\nbetween = ['{a}', '{b}']\nat50 = '30 to 200 cfm'\n")
    };
    let mut house = head.to_owned();
    house += &(zone("attic", "attic", 10.0, 18.0) + &zone("crawl", "crawl space", -6.0, 2.0));
    house += &zone("garage", "garage", 2.0, 10.0);
    house += &(leak("hall_ceiling", "main", "attic") + &leak("hall_floor", "main", "crawl"));
    house += &(leak("hall_garage", "main", "garage") + &leak("hall_walls", "main", "outdoors"));
    for space in ["attic", "crawl", "garage"] {
        house += &format!("[leak.{space}_vents]\nbetween = ['{space}', 'outdoors']\narea = '1 to 5 ft2'\n");
    }
    for room in 0..8 {
        let name = format!("room_{room}");
        house += &zone(&name, "living", 2.0, 10.0);
        house += &leak(&format!("walls_{room}"), &name, "outdoors");
        house += &leak(&format!("ceiling_{room}"), &name, "attic");
        house += &format!(
            "[door.door_{room}]\nbetween = ['{name}', 'main']\nwidth = '30 in'\nheight = '80 in'\ngap = '8 to 30 in2'\n"
        );
    }
    house += doors;
    let mut visit = VISIT.split_once("[[reading]]").unwrap().0.to_owned();
    for (turn, state) in ["open", "shut", "shut", "open"].iter().enumerate() {
        visit += &format!(
            "[[reading]]\nfeels = 'main'\ncompared_with = 'outdoors'\nvalue = '-50 Pa'\nwith = 'gauge'\n\
             set = {{ test_fan = 'depressurise', door_{turn} = '{state}', door_{} = 'shut' }}\n",
            turn + 4
        );
        let rooms = (2 * turn..2 * turn + 4).map(|r| format!("room_{}", r % 8));
        let spaces = ["attic", "crawl", "garage"].map(str::to_owned);
        for felt in spaces.into_iter().chain(rooms).chain(["room_0", "room_5"].map(str::to_owned)) {
            visit += &format!(
                "[[reading]]\nfeels = '{felt}'\ncompared_with = 'outdoors'\nvalue = '-9 Pa'\nwith = 'gauge'\n"
            );
        }
        visit += "[[reading]]\nflow_of = 'test_fan'\nvalue = '1950 cfm'\nwith = 'door_fan'\n";
    }
    Case::new(&house, &visit)
}

/// How the truth of a hunt is made.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Making {
    /// From the fit's own priors, everything as noted.
    AsDrawn,
    /// Leakage half a standard deviation off, own exponents twice as far apart, one door in twenty
    /// other than noted, one reading in fifty wrong by a slip.
    Other,
}

/// What the search for a passage that nobody drew said of one house.
#[derive(Clone, Debug)]
pub struct Hunt {
    /// What it said.
    pub unseen: engine::fit::unseen::Unseen,
    /// Whether the right pair of zones is named.
    pub named: bool,
    /// ... or stands among those that the readings cannot tell from it.
    pub among: bool,
    /// Probability that the readings fit the house as drawn.
    pub fits: f64,
    /// Time of optimum and search.
    pub seconds: f64,
}

/// Looks for `hidden` (see [`hidden`]; between the zones `pair`) in houses of which it passes `share`
/// of the total.
pub fn hunt(
    (drawn, visit): (&str, &str),
    pair: [&str; 2],
    share: f64,
    making: Making,
    houses: usize,
    seed: u64,
) -> Vec<Hunt> {
    let as_drawn = Case::new(drawn, visit);
    let real = Case::new(&format!("{drawn}{}", hidden(pair)), visit);
    let mut air = Air::new(&as_drawn.house).unwrap();
    let mut stream = Stream::new(seed, "other making");
    let label = |name: &str| {
        as_drawn.house.zone(name).map_or_else(String::new, |z| as_drawn.house.zones[z].label.clone())
    };
    let ends = pair.map(label);
    let same = |p: &engine::house::Param| {
        as_drawn.house.params.iter().position(|q| q.name == p.name && q.kind == p.kind)
    };
    let right = |w: &engine::fit::unseen::Way| w.duct.is_none() && ends.iter().all(|e| w.between.contains(e));
    let each = prior_draws(&as_drawn.house, houses, seed).into_iter().enumerate().map(|(at, mut theta)| {
        if making == Making::Other {
            for (t, p) in theta.iter_mut().zip(&as_drawn.house.params) {
                match p.kind {
                    ParamKind::LeakAt50 => *t += 0.5 * p.sd,
                    ParamKind::Exponent => *t = p.mean + 2.0 * (*t - p.mean),
                    _ => {}
                }
            }
        }
        let total = total_at50_m3_s(&as_drawn.house, &mut air, &theta);
        let ln_size = (total * share / (1.0 - share)).max(1e-9).ln();
        let truth: Vec<f64> = (real.house.params.iter())
            .map(|p| match same(p) {
                Some(at) => theta[at],
                None if p.kind == ParamKind::LeakAt50 => ln_size,
                None => p.mean,
            })
            .collect();
        let mut there = real.seen.clone();
        if making == Making::Other {
            for s in &mut there.stations {
                for open in &mut s.setup.open {
                    *open ^= stream.uniform() < 0.05;
                }
            }
        }
        let made = simulate::readings(&real.house, &there, &truth, seed + 2000 + at as u64).unwrap();
        let mut seen = as_drawn.seen.clone();
        for (to, from) in seen.list.iter_mut().zip(&made.list) {
            (to.value, to.below) = (from.value, from.below);
            if making == Making::Other && stream.uniform() < 0.02 {
                let pressure = matches!(to.seen, engine::fit::observe::Seen::Pressure { .. });
                to.value = if pressure { -to.value } else { to.value - 2.118_88_f64.ln() };
            }
        }
        let start = Instant::now();
        let (unseen, fits) = look(&as_drawn.house, &seen, seed + at as u64).unwrap_or_default();
        let seconds = start.elapsed().as_secs_f64();
        let found = unseen.found.as_ref();
        let named = found.is_some_and(|f| right(&f.way));
        let among = named || found.is_some_and(|f| f.or.iter().any(right));
        Hunt { unseen, named, among, fits, seconds }
    });
    each.collect()
}

/// The search alone, without draws; and the probability that the readings fit the house.
fn look(house: &House, seen: &Observations, seed: u64) -> Option<(engine::fit::unseen::Unseen, f64)> {
    use engine::fit::{problem::Problem, solve, unseen};
    let mut problem = Problem::new(house, seen).ok()?;
    let optimum = solve::optimum(&mut problem, &mut |_| ControlFlow::Continue(())).ok()?;
    let unseen = unseen::look(&problem, &optimum, seed).ok()?;
    let chi_square = optimum.squares - problem.fan_squares(&optimum.x);
    let degrees = problem.degrees_of_freedom() as f64;
    Some((unseen, engine::measure::chi_square_above(chi_square, degrees)))
}

/// The house without its air handler, whose ducts else decide what comes from the crawl space.
pub fn house_without_ducts() -> &'static str {
    HOUSE.get(..HOUSE.find("[air_handler]").unwrap()).unwrap()
}

/// A visit that leaves something to ask: baseline and two stations of an envelope test.
pub fn short_visit() -> String {
    let (head, rest) = VISIT.split_once(" [-60").unwrap();
    let few = rest.split_once(" [-25").unwrap().1.split_once(", [-12").unwrap().0;
    let tail = rest.split_once("]] }").unwrap().1.split_once("[[reading]]").unwrap().0;
    format!("{head} [-25{few}] }}{tail}")
}

/// A visit without a fan: only its instruments and what the gauge shows by itself.
pub fn visit_without_fan() -> String {
    let end = VISIT.find("[test.t]").unwrap();
    format!(
        "{}[[reading]]\nfeels = 'main'\ncompared_with = 'outdoors'\nvalue = '-1 Pa'\nwith = 'gauge'\n",
        VISIT.get(..end).unwrap()
    )
}

/// What was expected of a further reading and what it did.
#[derive(Clone, Copy, Debug)]
pub struct Promise {
    /// Share of the variance that it should remove.
    pub expected: f64,
    /// Share that it removed.
    pub removed: f64,
}

/// For `houses` truths from the priors: fits the short visit, asks what the reading that `is` picks
/// would remove of the question's variance, takes it (`text` is its table in `visit.toml`), fits
/// again. `visit` is the text of the visit before.
pub fn promises(
    visit: &str,
    question: Question,
    is: impl Fn(&Candidate) -> bool,
    text: &str,
    houses: usize,
    seed: u64,
) -> Vec<Promise> {
    let before = Case::new(house_without_ducts(), visit);
    let after = Case::new(house_without_ducts(), &format!("{visit}{text}"));
    let mut air = Air::new(&before.house).unwrap();
    let family = if question == Question::Total { 2 } else { 4 };
    let mut variance = |fit: &Fit| {
        let values: Vec<f64> = (fit.draws.iter())
            .map(|d| quantities(&before.house, &mut air, d).iter().find(|q| q.0 == family).unwrap().1)
            .collect();
        let middle = mean(&values);
        mean(&values.iter().map(|v| (v - middle) * (v - middle)).collect::<Vec<_>>())
    };
    let each = prior_draws(&before.house, houses, seed).into_iter().enumerate().map(|(at, truth)| {
        let seed = seed + 3000 + at as u64;
        let all = simulate::readings(&after.house, &after.seen, &truth, seed).unwrap();
        let mut first = before.seen.clone();
        for (to, from) in first.list.iter_mut().zip(&all.list) {
            (to.value, to.below) = (from.value, from.below);
        }
        let options = Options { seed, ..Options::default() };
        let now = timed(&before.house, &first, options).0;
        let list = next(&before.house, &now.draws, question, &moment(&before.house, &first)).list;
        let expected = list.iter().find(|c| is(c)).unwrap().removes;
        let then = timed(&after.house, &all, options).0;
        Promise { expected, removed: 1.0 - variance(&then) / variance(&now) }
    });
    each.collect()
}

/// Everything at hand, nothing forbidden, the test fan in the door, these readings taken.
pub fn moment(house: &House, seen: &Observations) -> Moment {
    let mut moment = Moment::usual(house);
    moment.stand.fan_in_door = true;
    moment.stand.setup.test_fan = Some(doc::visit::Direction::Depressurise);
    let read = engine::next::Kit::seen(seen);
    for instrument in [Instrument::Gauge, Instrument::TestFan, Instrument::Hood, Instrument::Plate] {
        if let Some(tool) = read.get(instrument) {
            moment.kit.set(instrument, tool);
        }
    }
    moment.seen = seen.clone();
    moment
}

/// Further readings that are put to the proof: name, question, which candidate, its table.
pub fn further(house: &House) -> Vec<Further> {
    let zone = |name: &str| house.zone(name).unwrap();
    let door = |name: &str| house.doors.iter().position(|d| d.text.name.value == name);
    let (crawl, attic) = (zone("crawl"), zone("attic"));
    let fan = "[[reading]]\nflow_of = 'test_fan'\nvalue = '1950 cfm'\nwith = 'door_fan'\n";
    let tap = |zone: &str, set: &str| {
        format!(
            "[[reading]]\nfeels = 'main'\ncompared_with = 'outdoors'\nvalue = '-50 Pa'\nwith = 'gauge'\n\
             set = {{ test_fan = 'depressurise'{set} }}\n\
             [[reading]]\nfeels = '{zone}'\ncompared_with = 'outdoors'\nvalue = '-9 Pa'\nwith = 'gauge'\n{fan}"
        )
    };
    let felt = |zone: usize| Reads::Tap { feels: zone, compared_with: None };
    vec![
        Further {
            name: "flow of the test fan, for the total",
            visit: visit_without_fan(),
            question: Question::Total,
            reads: Reads::FanFlow,
            toggled: None,
            text: tap("main", ""),
            tested: true,
        },
        Further {
            name: "crawl space at -50 Pa, for its air",
            visit: short_visit(),
            question: Question::AirFrom { zone: crawl },
            reads: felt(crawl),
            toggled: None,
            text: tap("crawl", ""),
            tested: false,
        },
        Further {
            name: "crawl space with its hatch open, for its air",
            visit: short_visit(),
            question: Question::AirFrom { zone: crawl },
            reads: felt(crawl),
            toggled: door("crawl_hatch"),
            text: tap("crawl", ", crawl_hatch = 'open'"),
            tested: true,
        },
        Further {
            name: "attic with its hatch open, for the crawl space's air",
            visit: short_visit(),
            question: Question::AirFrom { zone: crawl },
            reads: felt(attic),
            toggled: door("attic_hatch"),
            text: tap("attic", ", attic_hatch = 'open'"),
            tested: false,
        },
    ]
}

/// A further reading.
pub struct Further {
    /// What it is.
    pub name: &'static str,
    /// The visit before, `visit.toml`.
    pub visit: String,
    /// What it is taken for.
    pub question: Question,
    /// What is read.
    pub reads: Reads,
    /// Which door is turned.
    pub toggled: Option<usize>,
    /// Its table in `visit.toml`.
    pub text: String,
    /// Whether the tests take it; the rest is for the bench.
    pub tested: bool,
}

impl Further {
    /// Takes it in `houses` houses.
    pub fn promises(&self, houses: usize, seed: u64) -> Vec<Promise> {
        // The tables are those of the usual test pressure.
        let is = |c: &Candidate| {
            c.reads == self.reads && c.toggled == self.toggled && c.fan_pa == Some(STATED_AT_PA)
        };
        promises(&self.visit, self.question, is, &self.text, houses, seed)
    }
}

/// Mean of a list.
pub fn mean(values: &[f64]) -> f64 {
    values.iter().sum::<f64>() / values.len() as f64
}
