//! Time of one solution of a house of 12 zones and 60 leaks, by hand: no bench library is needed
//! to divide a time by a count. Run with `cargo bench -p airwright-validate --bench network`.
#![expect(
    clippy::disallowed_methods,
    clippy::print_stdout,
    clippy::unwrap_used,
    clippy::expect_used,
    reason = "a bench reads the clock and prints; it stops when the house cannot be made"
)]

use engine::network::{Boundary, Kind, Network, Node, Passage, Solution, Workspace, solve_into};
use std::time::Instant;

const ZONES: usize = 12;
const LEAKS: usize = 60;
const STEPS: usize = 100_000;

/// A small generator of our own, so that the bench needs nothing but the engine.
struct Draw(u64);

impl Draw {
    /// Uniform in [low, high): the 53 upper bits of a 64-bit linear congruential generator.
    fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        low + (high - low) * ((self.0 >> 11) as f64 / (1_u64 << 53) as f64)
    }

    fn below(&mut self, count: usize) -> usize {
        (0..count).rev().find(|&i| self.between(0.0, 1.0) >= i as f64 / (i + 1) as f64).unwrap_or(0)
    }
}

fn house(draw: &mut Draw) -> Network {
    let mut passages = Vec::new();
    let leak = |draw: &mut Draw, c: f64| Kind::Leak { c_m3_s_pan: c, n: draw.between(0.55, 0.75) };
    for zone in 1..ZONES {
        let c = draw.between(0.005, 0.1);
        let kind = leak(draw, c);
        let (a, b) = (Node::Zone(draw.below(zone)), Node::Zone(zone));
        passages.push(Passage { a, b, z_m: draw.between(0.0, 5.0), kind });
    }
    while passages.len() < LEAKS {
        let c = draw.between(0.0005, 0.005);
        let kind = leak(draw, c);
        let (a, b) = (Node::Outdoors { wind: draw.below(4) }, Node::Zone(draw.below(ZONES)));
        passages.push(Passage { a, b, z_m: draw.between(0.0, 6.0), kind });
    }
    Network::new((0..ZONES).map(|i| i.to_string()), passages).expect("every zone has a way out")
}

/// Boundaries of a walk: `share` of each is new, the rest that of the step before.
fn weather(network: &Network, draw: &mut Draw, share: f64) -> Vec<Boundary> {
    let mut now = Boundary::still(network, 293.15);
    let density = |temp_k: f64| 101_325.0 / (287.055 * temp_k);
    (0..1000)
        .map(|_| {
            for wind in &mut now.wind_pa {
                *wind += share * (draw.between(-3.0, 6.0) - *wind);
            }
            now.outdoor_temp_k += share * (draw.between(260.0, 300.0) - now.outdoor_temp_k);
            now.outdoor_density_kg_m3 = density(now.outdoor_temp_k);
            for zone in 0..ZONES {
                let temp_k = &mut now.zone_temp_k[zone];
                *temp_k += share * (draw.between(291.0, 297.0) - *temp_k);
                now.zone_density_kg_m3[zone] = density(*temp_k);
            }
            now.clone()
        })
        .collect()
}

fn main() {
    let mut draw = Draw(7);
    let network = house(&mut draw);
    for (name, share, warm) in [
        ("5-minute boundaries, last solution as start", 0.03, true),
        ("independent hourly boundaries, last solution as start", 1.0, true),
        ("independent hourly boundaries, cold", 1.0, false),
    ] {
        let boundaries = weather(&network, &mut draw, share);
        let mut workspace = Workspace::new(&network);
        let mut solution = Solution::default();
        let mut last = [0.0; ZONES];
        let mut best = f64::INFINITY;
        let mut iterations = 0;
        for _ in 0..5 {
            iterations = 0;
            let begin = Instant::now();
            for step in 0..STEPS {
                let boundary = &boundaries[step % boundaries.len()];
                let start = warm.then_some(&last[..]);
                solve_into(&network, boundary, &mut workspace, start, &mut solution).unwrap();
                last.copy_from_slice(&solution.zone_pa);
                iterations += solution.iterations;
            }
            let each = begin.elapsed().as_secs_f64() / STEPS as f64;
            best = if each < best { each } else { best };
        }
        let mean = iterations as f64 / STEPS as f64;
        println!("{name}: {:.2} us, {mean:.2} steps", best * 1e6);
    }
}
