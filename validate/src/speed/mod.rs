//! Houses and weather for measuring how fast the air network is solved.
//!
//! A house is a tree of rooms (doors ajar, cracks) with leaks to four faces at several heights, five
//! passages a zone. Weather is a row of hours that have nothing to do with each other, the
//! hardest case, or the same hours in steps of five minutes with straight lines between, as the
//! simulated year takes its weather from hourly records. [`table()`] makes `docs/SPEED.md`.

mod fit;
mod plans;
mod rules;
mod table;

pub use fit::{fit_alone, fits};
pub use plans::plans;
pub use rules::{rule_set, rule_signals, rules_ns, rules_section};
pub use table::{EPANET_SERIES, house_years, table};

use engine::network::{
    Batch, Boundary, Case, Kind, Level, Network, Node, Passage, Solution, Trail, Workspace, solve_into,
};
use std::time::Instant;

/// Faces of a house, each with its wind.
const FACES: usize = 4;
/// Steps of five minutes in an hour.
pub const STEPS_AN_HOUR: usize = 12;

/// A small generator of our own, so that a count of instructions counts the engine alone.
#[derive(Clone, Copy, Debug)]
pub struct Draw(pub u64);

impl Draw {
    /// Uniform in [low, high): the 53 upper bits of a 64-bit linear congruential generator.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * ((self.0 >> 11) as f64 / (1_u64 << 53) as f64)
    }

    /// A whole number below `count`.
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "not negative, below count")]
    pub fn below(&mut self, count: usize) -> usize {
        self.between(0.0, count as f64) as usize
    }
}

/// A house of `zones` zones and five passages a zone.
///
/// # Panics
/// Never: every zone has a way to outdoors.
#[expect(clippy::expect_used, reason = "the tree of rooms reaches every zone, the first leak outdoors")]
pub fn house(zones: usize, draw: &mut Draw) -> Network {
    let mut passages = Vec::new();
    let leak = |draw: &mut Draw, low: f64, high: f64| Kind::Leak {
        c_m3_s_pan: draw.between(low, high),
        n: draw.between(0.55, 0.75),
    };
    for zone in 1..zones {
        let kind = leak(draw, 0.005, 0.1);
        // Among the last eight rooms: a building is long, not a star.
        let (a, b) = (Node::Zone(zone - 1 - draw.below(zone.min(8))), Node::Zone(zone));
        passages.push(Passage { a, b, z_m: draw.between(0.0, 5.0), kind });
    }
    while passages.len() < 5 * zones {
        let kind = leak(draw, 0.0005, 0.005);
        let (a, b) = (Node::Outdoors { wind: draw.below(FACES) }, Node::Zone(draw.below(zones)));
        passages.push(Passage { a, b, z_m: draw.between(0.0, 6.0), kind });
    }
    Network::new((0..zones).map(|i| i.to_string()), passages).expect("every zone has a way out")
}

/// The same house with every leak drawn anew around its size and exponent.
///
/// # Panics
/// Never: the numbers stay within their bounds.
#[expect(clippy::expect_used, reason = "the numbers stay within their bounds")]
pub fn drawn_again(network: &Network, draw: &mut Draw) -> Network {
    let mut other = network.clone();
    for k in 0..network.passages().len() {
        if let Kind::Leak { c_m3_s_pan, n } = network.passages()[k].kind {
            let (c, n) = (c_m3_s_pan * draw.between(0.6, 1.6), n + draw.between(-0.04, 0.04));
            other.set_leak(k, c, n).expect("within bounds");
        }
    }
    other
}

fn density(temp_k: f64) -> f64 {
    101_325.0 / (287.055 * temp_k)
}

/// Boundaries of `count` hours: `share` of each is new, the rest that of the hour before. One
/// makes hours that have nothing to do with each other; 0.3 a correlation of 0.7 from hour to hour
/// (wind speeds on record show more).
pub fn hours(network: &Network, count: usize, share: f64, draw: &mut Draw) -> Vec<Boundary> {
    let mut now = Boundary::still(network, 293.15);
    (0..count)
        .map(|_| {
            let mut move_to = |value: &mut f64, low: f64, high: f64| {
                *value += share * (draw.between(low, high) - *value);
            };
            now.wind_pa.iter_mut().for_each(|wind| move_to(wind, -3.0, 6.0));
            move_to(&mut now.outdoor_temp_k, 260.0, 300.0);
            now.zone_temp_k.iter_mut().for_each(|temp_k| move_to(temp_k, 291.0, 297.0));
            dense(now.clone())
        })
        .collect()
}

/// The same hours in steps of five minutes, straight lines between.
pub fn five_minutes(hours: &[Boundary]) -> Vec<Boundary> {
    let mut steps = Vec::new();
    for pair in hours.windows(2) {
        for step in 0..STEPS_AN_HOUR {
            let share = step as f64 / STEPS_AN_HOUR as f64;
            let mix = |a: f64, b: f64| a + share * (b - a);
            let mut now = pair[0].clone();
            now.outdoor_temp_k = mix(pair[0].outdoor_temp_k, pair[1].outdoor_temp_k);
            for (k, temp_k) in now.zone_temp_k.iter_mut().enumerate() {
                *temp_k = mix(pair[0].zone_temp_k[k], pair[1].zone_temp_k[k]);
            }
            for (k, wind) in now.wind_pa.iter_mut().enumerate() {
                *wind = mix(pair[0].wind_pa[k], pair[1].wind_pa[k]);
            }
            steps.push(dense(now));
        }
    }
    steps
}

fn dense(mut now: Boundary) -> Boundary {
    now.outdoor_density_kg_m3 = density(now.outdoor_temp_k);
    now.zone_density_kg_m3 = now.zone_temp_k.iter().map(|&temp_k| density(temp_k)).collect();
    now
}

/// Houses that are solved together.
pub const TOGETHER: usize = 8;
/// Solutions between two looks at the clock: few enough that some rounds are not interrupted.
const CHUNK: usize = 48;

/// Time and Newton steps of one solution, means over a series.
#[derive(Clone, Copy, Debug)]
pub struct Timed {
    /// Microseconds for one house and one boundary.
    pub us: f64,
    /// Newton steps.
    pub iterations: f64,
}

/// What is timed.
#[derive(Clone, Debug)]
pub struct Series {
    pub(super) houses: Vec<Network>,
    boundaries: Vec<Boundary>,
    fine: bool,
}

impl Series {
    /// `together` houses of `zones` zones, drawn around one, and a series for all of them: hours
    /// that have nothing to do with each other, or (`fine`) correlated ones in steps of five minutes.
    pub fn new(zones: usize, together: usize, fine: bool) -> Self {
        let mut draw = Draw(7);
        let network = house(zones, &mut draw);
        let houses = (0..together).map(|_| drawn_again(&network, &mut draw)).collect();
        let hours = hours(&network, if fine { 41 } else { 480 }, if fine { 0.3 } else { 1.0 }, &mut draw);
        Self { houses, boundaries: if fine { five_minutes(&hours) } else { hours }, fine }
    }

    /// How many networks are solved in one round.
    pub fn count(&self) -> usize {
        self.houses.len() * self.boundaries.len()
    }

    /// Solves all of it at a level, `rounds` times, with a look at the clock every few solutions.
    /// The time is the sum of each piece's least: what other programs take does not count.
    ///
    /// # Panics
    /// Where a house is not solved.
    #[expect(
        clippy::disallowed_methods,
        clippy::unwrap_used,
        reason = "what measures time reads the clock, and stops where its own house is not solved"
    )]
    pub fn solve(&self, level: Level, rounds: usize) -> Timed {
        let n = self.houses.len();
        let mut workspace = Workspace::new(&self.houses[0]).with_level(level);
        let mut batch = Batch::at_level(&self.houses[0], level);
        let mut solutions = vec![Solution::default(); n];
        let mut trails = vec![Trail::new(); n];
        let mut least = vec![f64::INFINITY; self.boundaries.len().div_ceil(CHUNK)];
        let mut iterations = 0;
        for _ in 0..rounds {
            iterations = 0;
            trails.iter_mut().for_each(Trail::clear);
            for (least, boundaries) in least.iter_mut().zip(self.boundaries.chunks(CHUNK)) {
                let begin = Instant::now();
                for boundary in boundaries {
                    let start = |lane: usize| if self.fine { trails[lane].start() } else { None };
                    if n == 1 {
                        let network = &self.houses[0];
                        solve_into(network, boundary, &mut workspace, start(0), &mut solutions[0]).unwrap();
                    } else {
                        let case =
                            |lane: usize| Case { network: &self.houses[lane], boundary, start: start(lane) };
                        let cases: [Case<'_>; TOGETHER] = std::array::from_fn(case);
                        assert!(batch.solve(&cases[..n], &mut solutions).is_empty());
                    }
                    for (trail, solution) in trails.iter_mut().zip(&solutions) {
                        if self.fine {
                            trail.push(&solution.zone_pa);
                        }
                        iterations += solution.iterations;
                    }
                }
                let taken = begin.elapsed().as_secs_f64();
                *least = if taken < *least { taken } else { *least };
            }
        }
        let solved = self.count() as f64;
        Timed { us: 1e6 * least.iter().sum::<f64>() / solved, iterations: iterations as f64 / solved }
    }
}
